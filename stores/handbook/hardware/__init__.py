"""Hardware from its size: what to order, or the nearest and by how much it misses.

::

    >>> found = by_size("bearing", [20, 47, 14])
    >>> found.exact[0].designation
    '6204'
    >>> by_designation("DIN 471 - 20")[0].sizes["d2"]
    19.0
"""

from collections.abc import Sequence
from importlib import import_module
from typing import TYPE_CHECKING

from stores.handbook.hardware.model import Match, Piece

if TYPE_CHECKING:
    from stores.handbook.hardware.bearings import (
        Mark,
        bore_of,
        clearance_um,
        explain,
        suffix_meaning,
    )
    from stores.handbook.hardware.fixings import (
        cap_of_category,
        cap_rule,
        key_for_shaft,
        split_pin_for,
    )
    from stores.handbook.hardware.match import lengths, step_up
    from stores.handbook.hardware.reading import Reply, ask
    from stores.handbook.hardware.sealing import (
        Material,
        SealType,
        e_clips_for_shaft,
        family,
        id_tolerance,
        materials,
        od_allowance,
        outside,
        same_family,
        seal_type,
        section_tolerance,
        width_advice,
    )

__all__ = [
    "Mark",
    "Match",
    "Material",
    "Piece",
    "Reply",
    "SealType",
    "ask",
    "asking",
    "bore_of",
    "by_designation",
    "by_size",
    "called",
    "cap_of_category",
    "cap_rule",
    "clearance_um",
    "dimensions",
    "e_clips_for_shaft",
    "explain",
    "family",
    "id_tolerance",
    "key_for_shaft",
    "kinds",
    "lengths",
    "listed_in_full",
    "materials",
    "od_allowance",
    "outside",
    "same_family",
    "seal_type",
    "section_tolerance",
    "split_pin_for",
    "step_up",
    "suffix_meaning",
    "typed",
    "width_advice",
]


# Which module has which name. They are loaded at first use: naming the package must cost nothing
# at the bench, and a person who asks for a bearing needs no washers.
_HOMES = {
    "bearings": ("Mark", "bore_of", "clearance_um", "explain", "suffix_meaning"),
    "fixings": ("cap_of_category", "cap_rule", "key_for_shaft", "split_pin_for"),
    "match": ("lengths", "step_up"),
    "reading": ("Reply", "ask"),
    "sealing": (
        "Material",
        "SealType",
        "e_clips_for_shaft",
        "family",
        "id_tolerance",
        "materials",
        "od_allowance",
        "outside",
        "same_family",
        "seal_type",
        "section_tolerance",
        "width_advice",
    ),
}


def __getattr__(name: str) -> object:
    for home, names in _HOMES.items():
        if name in names:
            value: object = getattr(import_module(f"{__name__}.{home}"), name)
            globals()[name] = value
            return value
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def by_size(
    kind: str,
    sizes_mm: Sequence[float | None],
    *,
    dims: Sequence[str] | None = None,
    standard: str | None = None,
    error_mm: float | None = None,
    limit: int = 5,
) -> Match:
    """Find the designations that measured sizes fit, and the nearest with their misses.

    ``sizes_mm`` are in the order of the trade (`asking`), nominal first and length last; fewer may
    be given, None stands for one not measured; or name them with ``dims``, as
    ``dims=["d2", "m"]``. ``standard`` keeps only one standard's rows. ``error_mm`` is the measuring
    error (the kind's own when None: 0.05 for a caliper on metal, 0.1 on rubber, 0.01 to 0.02 where
    a micrometer is needed), added to the piece's own tolerance. Raises `BadValue` for an unknown
    kind or size.

    ISO 15: a bore of 20, an outside of 47 and a width of 14 mm is a 6204:

    >>> "6204" in [piece.designation for piece in by_size("bearing", [20, 47, 14]).exact]
    True
    """
    from stores.handbook.hardware.catalogue import get_kind
    from stores.handbook.hardware.reading import find

    return find(get_kind(kind), sizes_mm, dims, standard, error_mm, limit)


def by_designation(text: str) -> tuple[Piece, ...]:
    """Return the rows that a designation names: "6204-2RS C3", "DIN 471 - 20", "20 x 35 x 7".

    More than one row where the text leaves it open. Raises `NotationError` when it cannot be read
    and `NotFound` when it is read but the tables do not have it.

    DIN 471 has a groove of 19 mm, 1.3 mm wide, for a ring for 20 mm:

    >>> ring = by_designation("DIN 471 - 20")[0]
    >>> ring.sizes["d2"], ring.sizes["m"]
    (19.0, 1.3)
    """
    from stores.handbook.hardware.reading import read_designation

    return read_designation(text)


def kinds() -> tuple[str, ...]:
    """Return the names of the kinds of hardware."""
    from stores.handbook.hardware.catalogue import all_kinds

    return tuple(kind.name for kind in all_kinds())


def asking(kind: str) -> tuple[tuple[tuple[str, str], ...], ...]:
    """Return the orders in which a kind's sizes are given unnamed, the usual first: letter, words.

    >>> asking("bearing")
    ((('d', 'bore'), ('D', 'outside diameter'), ('B', 'width')),)
    """
    from stores.handbook.hardware.catalogue import get_kind

    found = get_kind(kind)
    return tuple(
        tuple((dim.name, dim.words) for name in order if (dim := found.dim(name)) is not None)
        for order in found.orders
    )


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
