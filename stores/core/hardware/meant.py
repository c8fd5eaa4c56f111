"""What was meant, where sizes fit nothing as they stand: inches, centimetres, another order."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import permutations

from stores.core.hardware.match import fits, match
from stores.core.hardware.model import Kind, Match, as_fraction, shown
from stores.errors import BadValue

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
            return replace(found, question=said, meant=meant.exact)
    return _too_small(kind, found, sizes, standard)


def _too_small(kind: Kind, found: Match, sizes: Sequence[float], standard: str | None) -> Match:
    """Ask of a lone size below half the smallest in the table whether it was inches: circlip 1."""
    if len(sizes) != 1 or not found.nearest:
        return found
    least = min(abs(sizes[0] - miss) for miss in found.nearest[0].misses.values())
    if sizes[0] * 2 > least or sizes[0] * _MM < least:
        return found
    meant = match(kind, [sizes[0] * _MM], None, standard, None, 1)
    if not meant.nearest:
        return found
    best = meant.nearest[0]
    miss = next(iter(best.misses.values()))
    said = (
        f"the smallest is {shown(least)} mm; did you mean {as_fraction(sizes[0])} in, "
        f"{shown(sizes[0] * _MM)} mm? None is that either, and the nearest misses by {miss:+g} mm"
    )
    return replace(found, question=said, meant=(best,))


def _readings(sizes: Sequence[float]) -> Iterator[tuple[str, list[float]]]:
    whole = all(size == int(size) for size in sizes)
    if max(sizes) <= _INCHES and not (whole and len(sizes) == 1):
        inches = " x ".join(as_fraction(size) for size in sizes)
        yield f"did you mean inches? {inches} in fits", [size * _MM for size in sizes]
    if len(sizes) < 2:
        return
    if max(sizes) <= _INCHES:
        tens = [round(size * 10, 6) for size in sizes]
        yield f"did you mean cm? {' x '.join(map(shown, tens))} mm fits", tens
    if len(sizes) > 4:
        return
    for order in permutations(range(len(sizes))):
        other = [sizes[at] for at in order]
        if not all(math.isclose(a, b) for a, b in zip(other, sizes, strict=True)):
            yield f"did you mean {' x '.join(map(shown, other))} ({{order}})? That fits", other
