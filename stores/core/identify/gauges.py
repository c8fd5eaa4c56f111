"""Reading a pitch by thread gauge: which blade is taken for which thread."""

from dataclasses import dataclass
from functools import cache, lru_cache
from math import exp, isclose

from stores.core.identify.assumptions import GAUGE_ANGLE_DEG, GAUGE_LAPSE, GAUGE_SLIP_MM
from stores.core.tables import table
from stores.core.thread.form import MM_PER_INCH
from stores.errors import BadValue

__all__ = ["GAUGES", "USUAL", "Blade", "blades", "chance", "choices", "sets_for"]

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
