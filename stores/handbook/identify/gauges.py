"""Reading a pitch by thread gauge: which blade is taken for which thread."""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from math import exp, isclose, sqrt

from stores.errors import BadValue
from stores.handbook.identify.assumptions import GAUGE_ANGLE_DEG, GAUGE_LAPSE, GAUGE_SLIP_MM
from stores.handbook.table import table
from stores.handbook.thread.form import MM_PER_INCH

__all__ = ["GAUGES", "USUAL", "Blade", "blades", "chance", "chances", "choices", "sets_for"]

GAUGES = ("metric", "whitworth", "unified", "ba")
USUAL = ("metric", "whitworth")
"""Gauge sets taken to be at hand when none is named (common practice: sold as one gauge)."""


@dataclass(frozen=True, slots=True)
class Blade:
    """One blade: its set, what is stamped on it (mm or tpi), pitch in mm and flank angle."""

    gauge: str
    unit: str
    mark: float
    pitch_mm: float
    angle_deg: float


@cache
def blades(gauges: tuple[str, ...]) -> tuple[Blade, ...]:
    """Give all the blades of some gauge sets.

    Raises `BadValue` for a set that is not one of metric, whitworth, unified and ba.
    """
    found = []
    for name in gauges:
        row = next((r for r in table("gauge_blades") if r["gauge"] == name), None)
        if row is None:
            raise BadValue(f"no thread gauge {name!r}: expected {', '.join(GAUGES)}")
        for text in row["blades"].split():
            mark = float(text)
            pitch = mark if row["unit"] == "mm" else MM_PER_INCH / mark
            found.append(Blade(name, row["unit"], mark, pitch, float(row["angle_deg"])))
    return tuple(found)


@lru_cache(maxsize=1024)
def sets_for(unit: str, mark: float, gauges: tuple[str, ...]) -> tuple[str, ...]:
    """Give the gauge sets in use when a blade so marked was read.

    Those named, or the usual ones and, if they lack the blade, every other set that has it.

    Raises `BadValue`, naming the blades near it, when no set has it.
    """
    named = tuple(name.lower() for name in gauges) or USUAL
    if any(b.unit == unit and isclose(b.mark, mark) for b in blades(named)):
        return named
    others = () if gauges else tuple(
        name
        for name in GAUGES
        if name not in named
        and any(b.unit == unit and isclose(b.mark, mark) for b in blades((name,)))
    )  # fmt: skip
    if others:
        return named + others
    near = sorted(
        {b.mark for b in blades(named) if b.unit == unit}, key=lambda m: abs(m / mark - 1)
    )
    label = "tpi" if unit == "tpi" else "mm"
    hint = " or ".join(f"{m:g}" for m in sorted(near[:2]))
    raise BadValue(
        f"no blade of a {' or '.join(named)} gauge reads {mark:g} {label}"
        + (f": near it {hint}; or give a length over ten crests" if near else "")
    )


def choices(pitch_mm: float, angle_deg: float, gauges: tuple[str, ...], crests: int) -> list[float]:
    """Give the chance of each of `blades` to be taken for a thread, in their order.

    The last of ``crests`` crests stands ``crests - 1`` pitch differences out of its notch, the
    flanks the difference of the angles; both look the worse by a normal law. A small chance of a
    slip is spread over all blades.
    """
    all_blades = blades(gauges)
    span = crests - 1
    misfit = [
        ((b.pitch_mm - pitch_mm) * span / GAUGE_SLIP_MM) ** 2
        + ((b.angle_deg - angle_deg) / GAUGE_ANGLE_DEG) ** 2
        for b in all_blades
    ]
    least = min(misfit)
    weights = [exp(-0.5 * (m - least)) for m in misfit]
    scale = (1 - GAUGE_LAPSE) / sum(weights)
    lapse = GAUGE_LAPSE / len(all_blades)
    return [w * scale + lapse for w in weights]


def chance(
    unit: str,
    mark: float,
    pitch_mm: float,
    angle_deg: float,
    gauges: tuple[str, ...],
    crests: int,
) -> float:
    """Give the chance that a thread is read as ``mark``, whichever of the sets the blade is in."""
    return sum(
        share
        for blade, share in zip(
            blades(gauges), choices(pitch_mm, angle_deg, gauges, crests), strict=True
        )
        if blade.unit == unit and isclose(blade.mark, mark)
    )


# ---- every shape of thread at once

_UNSEEN = 50.0
"""Misfit, in squared standard deviations over that of the blade that fits best, from which a blade
is taken by a slip only: exp(-25) is a ten millionth of the chance of a slip."""


def chances(
    shapes: Sequence[tuple[float, float]],
    unit: str,
    mark: float,
    gauges: tuple[str, ...],
    crests: int,
) -> list[float]:
    """Give `chance` for threads of each pitch in mm and flank angle, sorted.

    The further a pitch is from the blade's, the more another blade fits better: the search goes out
    from the blade's own pitch, both ways, until only a slip is left.
    """
    pitches, all_blades = _sorted(gauges)
    marked = [b for b in all_blades if b.unit == unit and isclose(b.mark, mark)]
    slip = GAUGE_LAPSE / len(all_blades) * len(marked)
    found = [slip] * len(shapes)
    if not marked:
        return found
    own, step = marked[0].pitch_mm, GAUGE_SLIP_MM / (crests - 1)
    # The blade nearest in pitch may be out by as much as 12.5 degrees (60 on 47.5).
    behind = _UNSEEN + (12.5 / GAUGE_ANGLE_DEG) ** 2
    middle = bisect_left(shapes, (own, 0.0))
    for way in (range(middle, len(shapes)), range(middle - 1, -1, -1)):
        for at in way:
            pitch, angle = shapes[at]
            next_ = bisect_left(pitches, pitch)
            least = min(abs(p - pitch) for p in pitches[max(next_ - 1, 0) : next_ + 1])
            reach = sqrt(least * least + behind * step * step)
            if abs(own - pitch) > reach:
                break
            near = all_blades[
                bisect_left(pitches, pitch - reach) : bisect_right(pitches, pitch + reach)
            ]
            weights = [
                exp(
                    -0.5
                    * (
                        ((b.pitch_mm - pitch) ** 2 - least * least) / (step * step)
                        + ((b.angle_deg - angle) / GAUGE_ANGLE_DEG) ** 2
                    )
                )
                for b in near
            ]
            fits = sum(w for w, b in zip(weights, near, strict=True) if b in marked)
            found[at] += (1 - GAUGE_LAPSE) * fits / sum(weights)
    return found


@cache
def _sorted(gauges: tuple[str, ...]) -> tuple[tuple[float, ...], tuple[Blade, ...]]:
    found = tuple(sorted(blades(gauges), key=lambda blade: blade.pitch_mm))
    return tuple(b.pitch_mm for b in found), found
