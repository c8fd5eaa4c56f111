"""Inch sizes against tables that are mostly metric: say so, and by how much the nearest misses."""

from collections.abc import Sequence
from dataclasses import replace

from stores.handbook.hardware.catalogue import get_kind
from stores.handbook.hardware.model import Match, Piece, as_fraction

__all__ = ["is_inch", "metric_is_near", "say_inches"]

_OF_INCHES = ("inch", "ASME", "AS568", "AS 568")


def is_inch(piece: Piece) -> bool:
    """Tell a piece of an inch list from a metric one."""
    return any(word in f"{piece.standard} {piece.designation}" for word in _OF_INCHES)


def metric_is_near(found: Match) -> Match:
    """Call no metric piece the one for sizes in inches: it is the nearest, and says how it misses.

    A 1/4 in bolt does not go through a spring washer for M6, whatever its tolerance would allow.
    """

    exact = tuple(piece for piece in found.exact if is_inch(piece))
    if not any(is_inch(piece) for piece in (*found.exact, *found.nearest, *found.meant)):
        found = _only_metric(found)
    if exact or not found.exact:
        return replace(found, exact=exact)
    return replace(found, exact=(), nearest=(*found.exact, *found.nearest)[:5])


def _only_metric(found: Match) -> Match:
    kind = get_kind(found.kind)
    if any(word in kind.standard(row) for row in kind.rows() for word in _OF_INCHES):
        return found
    note = f"no inch sizes of the {found.kind} in these tables: what is named is metric"
    return replace(found, notes=(note, *found.notes))


def say_inches(found: Match, sizes_mm: Sequence[float]) -> Match:
    """Say of a size that fits nothing and is a fraction of an inch, 6.35 mm, that it is one.

    Sizes within 0.01 mm of a 32nd that are no half millimetre, as a caliper shows them.
    """
    if found.exact or found.question:
        return found
    said = [
        f"{size:g} mm is {as_fraction(size / 25.4)} in"
        for size in sizes_mm
        if 1 < size < 100
        and abs(size * 32 / 25.4 - round(size * 32 / 25.4)) * 25.4 / 32 < 0.01
        and abs(size * 2 - round(size * 2)) > 0.02
    ]
    if not said:
        return found
    found = _only_metric(found)
    return replace(found, notes=(*said, *found.notes))
