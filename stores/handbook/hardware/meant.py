"""What was meant, where sizes fit nothing as they stand: inches, centimetres, another order."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import permutations

from stores.errors import BadValue
from stores.handbook.hardware.inches import is_inch
from stores.handbook.hardware.match import fits, match
from stores.handbook.hardware.model import Kind, Match, as_fraction, shown

__all__ = ["with_question"]

_MM = 25.4
# Above this many inches no piece of these tables is asked for in inches.
_INCHES = 12.0


def with_question(
    kind: Kind, found: Match, sizes_mm: Sequence[float | None], standard: str | None
) -> Match:
    """Add the question whether something else was meant, where that fits and the sizes do not."""
    sizes = [size for size in sizes_mm if size is not None]
    if found.exact or len(sizes) != len(sizes_mm):
        return found
    for question, other in _readings(sizes):
        if not fits(kind, other) or (kind.length and other[-1] < min(other[:-1], default=0.0)):
            continue  # nothing of a length is asked for shorter than it is thick
        try:
            meant = match(kind, other, None, standard, None, 0)
        except BadValue:
            continue
        if meant.exact:
            words = [dim.words for name in meant.asked if (dim := kind.dim(name)) is not None]
            said = question.format(order=", ".join(words))
            if "inches" in said and not any(is_inch(piece) for piece in meant.exact):
                said = said.replace(" in fits", " in; the nearest is metric")
            return replace(found, question=said, meant=meant.exact)
    return _inches_that_fit_nothing(kind, found, sizes, standard)


def _inches_that_fit_nothing(
    kind: Kind, found: Match, sizes: Sequence[float], standard: str | None
) -> Match:
    """Ask whether it was inches where no table has those either: circlip 1, dowel 0.25 x 1.

    That is so of a lone size below half the smallest, and of sizes in 32nds that are no tenths.
    """
    if not found.nearest or max(sizes) > _INCHES:
        return found
    least = min(abs(size - miss) for size, miss in zip(sizes, _misses(found), strict=False))
    lone = len(sizes) == 1 and sizes[0] * 2 <= least <= sizes[0] * _MM
    if not lone and not _thirty_seconds(sizes):
        return found
    inches = [size * _MM for size in sizes]
    meant = match(kind, inches, None, standard, None, 1)
    if not meant.nearest:
        return found
    misses = ", ".join(f"{name} {miss:+g}" for name, miss in meant.nearest[0].misses.items())
    said = (
        f"did you mean {' x '.join(map(as_fraction, sizes))} in, "
        f"{' x '.join(map(shown, inches))} mm? None is that either; the nearest misses by "
        f"{misses} mm"
    )
    if lone:
        said = f"the smallest is {shown(least)} mm; {said}"
    return replace(found, question=said, meant=meant.nearest[:1])


def _misses(found: Match) -> Sequence[float]:
    return tuple(found.nearest[0].misses.values())


def _thirty_seconds(sizes: Sequence[float]) -> bool:
    """Tell sizes that are written as inches: one below 1, all in 32nds, not all in tenths."""
    return (
        min(sizes) < 1
        and all(size * 32 == int(size * 32) for size in sizes)
        and any(not math.isclose(size * 10, round(size * 10)) for size in sizes)
    )


def _readings(sizes: Sequence[float]) -> Iterator[tuple[str, list[float]]]:
    whole = all(size == int(size) for size in sizes)
    if max(sizes) <= _INCHES and not (whole and len(sizes) == 1):
        inches = " x ".join(as_fraction(size) for size in sizes)
        yield f"did you mean inches? {inches} in fits", [size * _MM for size in sizes]
    if len(sizes) < 2:
        return
    if max(sizes) <= _INCHES and not _thirty_seconds(sizes):
        tens = [round(size * 10, 6) for size in sizes]
        yield f"did you mean cm? {' x '.join(map(shown, tens))} mm fits", tens
    if len(sizes) > 4:
        return
    for order in permutations(range(len(sizes))):
        other = [sizes[at] for at in order]
        if not all(math.isclose(a, b) for a, b in zip(other, sizes, strict=True)):
            yield f"did you mean {' x '.join(map(shown, other))} ({{order}})? That fits", other
