"""Hardware from its size: what to order, or the nearest and by how much it misses.

`stores.handbook.hardware.reading.ask` answers what a person types; here are the kinds and their
words. Naming the package loads no table: a person who asks for a bearing needs no washers.
"""

from stores.handbook.hardware.model import Piece

__all__ = ["Piece", "called", "dimensions", "kinds", "listed_in_full", "typed"]


def kinds() -> tuple[str, ...]:
    """Return the names of the kinds of hardware."""
    from stores.handbook.hardware.catalogue import all_kinds

    return tuple(kind.name for kind in all_kinds())


def called(kind: str) -> str:
    """Return the name that a person knows a kind by: external circlip (retaining ring)."""
    from stores.handbook.hardware.catalogue import get_kind

    found = get_kind(kind)
    return found.called or found.name


def listed_in_full(kind: str) -> bool:
    """Return whether what is not in the table of a kind is not made either, as far as we know."""
    from stores.handbook.hardware.catalogue import get_kind

    return not get_kind(kind).same


def typed(kind: str) -> str:
    """Return in words the sizes that a kind is asked for by, in the order in which they stand."""
    from stores.handbook.hardware.catalogue import get_kind
    from stores.handbook.hardware.reading import wanted

    return wanted(get_kind(kind))


def dimensions(kind: str) -> tuple[tuple[str, str], ...]:
    """Return all sizes of a kind: letter and words."""
    from stores.handbook.hardware.catalogue import get_kind

    return tuple((dim.name, dim.words) for dim in get_kind(kind).dims)
