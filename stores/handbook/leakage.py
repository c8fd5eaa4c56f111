"""The compression test: dry and wet readings of the cylinders read together.

The verdicts are the trade's usual ones (car-maker workshop procedure; marine engine page on
compression testing); the steps that split "rises well" from "little change" are assumptions.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from stores.errors import BadValue
from stores.handbook.answer import Answer
from stores.handbook.compression import Pressure
from stores.handbook.table import table

__all__ = ["Cause", "CylinderVerdict", "TestVerdict", "judge", "spread"]

RISES, STAYS = 0.15, 0.05
"""Rise of the wet reading, of the dry one, above which it rises well and below which it stays
(assumption; the sources only say "well" and "little")."""


class Cause(StrEnum):
    """What a reading points to."""

    SOUND = "sound"
    LOW = "low"
    RINGS = "rings or bore"
    VALVES = "valves or head gasket"
    SEAL = "head gasket, head joint or a cracked or holed part"
    BETWEEN = "head gasket between neighbours"
    BOTH = "rings and valves, or not clear"
    WORN = "all low: worn, or the test was not right"
    REPEAT = "repeat the test"
    UNKNOWN = "nothing to go by"


@dataclass(frozen=True, slots=True)
class CylinderVerdict:
    """What one cylinder shows: ``rise`` is wet over dry less 1, None without a wet test."""

    number: int
    dry: Pressure
    wet: Pressure | None
    rise: float | None
    cause: Cause
    reason: str


@dataclass(frozen=True, slots=True)
class TestVerdict:
    """What the whole test shows."""

    __test__ = False  # no test class, for pytest

    cylinders: tuple[CylinderVerdict, ...]
    spread: Answer | None
    verdict: str
    assumptions: tuple[str, ...]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]


def _rule(key: str) -> float:
    return float(next(r for r in table("fluids_compression_rules") if r["key"] == key)["value"])


def spread(readings: Sequence[Pressure]) -> Answer:
    """Give highest less lowest, in per cent of the highest, by the gauge.

    Sources differ on the limit: 10 per cent (marine page), lowest at least 70 per cent of the
    highest (car maker).

    Raises `BadValue` for fewer than two readings or a highest of nothing.
    """
    if len(readings) < 2:
        raise BadValue("a spread needs two cylinders")
    gauges = [each.gauge_kpa for each in readings]
    top, bottom = max(gauges), min(gauges)
    if bottom < 0 or top <= 0:
        raise BadValue("readings below the atmosphere: gauge and absolute mixed up?")
    value = (top - bottom) / top * 100
    off = 2.0
    return Answer(
        "spread", value, "%", max(0.0, value - off), min(100.0, value + off),
        "the lowest cylinder", ("gauge readings, repeated to 1 per cent each",),
        ("compression-car", "compression-marine"),
    )  # fmt: skip


def judge(
    dry: Sequence[Pressure],
    wet: Sequence[Pressure | None] = (),
    *,
    two_stroke: bool = False,
    maker_low: Pressure | None = None,
    floor_kpa: float | None = None,
    neighbours: bool = True,
) -> TestVerdict:
    """Judge a test: cylinders in order along the engine, ``wet`` where it was done.

    Low is below the maker's limit; without one, below 70 per cent of the best cylinder, or below
    ``floor_kpa`` on the gauge (`stores.handbook.compression.floor` with ``gauge``, for a single
    cylinder). ``neighbours`` says that cylinders next to each other share a gasket.

    A two-stroke has no valves in the head: what does not rise with oil leaks at the head joint,
    the plug, a decompressor or through a crack. Its crankshaft seals do not show in this test.

    Raises `BadValue` without readings, for more wet than dry ones, or for readings below the
    atmosphere.
    """
    if not dry:
        raise BadValue("a compression test needs at least one reading")
    if len(wet) > len(dry):
        raise BadValue(f"{len(wet)} wet readings for {len(dry)} cylinders")
    if any(each.gauge_kpa < 0 for each in (*dry, *(w for w in wet if w))):
        raise BadValue("readings below the atmosphere: gauge and absolute mixed up?")
    wets = [*wet, *[None] * (len(dry) - len(wet))]
    limit, said = _limit(dry, maker_low, floor_kpa)
    low = [limit is not None and each.gauge_kpa < limit * (1 - 1e-9) for each in dry]
    rises = [_rise(d, w) for d, w in zip(dry, wets, strict=True)]
    causes = [
        _cause(is_low, rise, limit is not None, two_stroke)
        for is_low, rise in zip(low, rises, strict=True)
    ]
    if neighbours:
        _mark_neighbours(causes, low, rises)
    cylinders = tuple(
        CylinderVerdict(at + 1, d, w, r, c, _reason(c, r, said))
        for at, (d, w, r, c) in enumerate(zip(dry, wets, rises, causes, strict=True))
    )
    apart = spread(dry) if len(dry) > 1 and max(e.gauge_kpa for e in dry) > 0 else None
    return TestVerdict(
        cylinders, apart, _whole(causes, low, apart, rises),
        (said, f"rises well: {RISES:.0%} or more with oil; little change: under {STAYS:.0%}",
         f"{_rule('wet_oil'):g} ml of oil for the wet test, throttle wide open, same strokes"),
        ("compression-car", "compression-marine", "practice", *(["maker"] if maker_low else [])),
        ("the maker's limit comes first", "oil for a wet test is squirted out: eyes, and the plug "
         "hole, away from each other; on two-strokes and flat engines it runs off and tells less"),
    )  # fmt: skip


def _limit(
    dry: Sequence[Pressure], maker_low: Pressure | None, floor_kpa: float | None
) -> tuple[float | None, str]:
    if maker_low is not None:
        return maker_low.gauge_kpa, "low is below the maker's limit"
    if len(dry) > 1:
        share = _rule("lowest_of_highest")
        best = share * max(each.gauge_kpa for each in dry)
        if floor_kpa is None or floor_kpa <= best:
            return best, f"low is below {share:.0%} of the best cylinder (no maker's limit known)"
    if floor_kpa is not None:
        return floor_kpa, "low is below the floor, ratio times atmosphere (no maker's limit known)"
    return None, "no maker's limit, no ratio and one cylinder: low cannot be told from sound"


def _rise(dry: Pressure, wet: Pressure | None) -> float | None:
    if wet is None:
        return None
    if dry.gauge_kpa <= 0:
        return 0.0 if wet.gauge_kpa <= 0 else float("inf")
    return wet.gauge_kpa / dry.gauge_kpa - 1


def _cause(low: bool, rise: float | None, known: bool, two_stroke: bool) -> Cause:
    if rise is not None and rise < -STAYS:
        return Cause.REPEAT
    if not low and known:
        return Cause.SOUND
    if rise is None:
        return Cause.LOW if known else Cause.UNKNOWN
    if rise >= RISES:
        return Cause.RINGS
    if rise < STAYS:
        return (Cause.SEAL if two_stroke else Cause.VALVES) if known else Cause.UNKNOWN
    return Cause.BOTH if known else Cause.UNKNOWN


def _mark_neighbours(causes: list[Cause], low: list[bool], rises: list[float | None]) -> None:
    """Two neighbours low that do not rise, and not all of them: the gasket between."""
    if all(low) and len(low) > 2:
        return
    stays = [
        is_low and rise is not None and -STAYS <= rise < STAYS
        for is_low, rise in zip(low, rises, strict=True)
    ]
    for at in range(len(causes) - 1):
        if stays[at] and stays[at + 1]:
            causes[at] = causes[at + 1] = Cause.BETWEEN


def _reason(cause: Cause, rise: float | None, said: str) -> str:
    wet = "no wet test" if rise is None else f"{rise:+.0%} with oil"
    if cause is Cause.REPEAT:
        return f"{wet}: less with oil than without cannot be; battery tired, fewer strokes?"
    return f"{wet}; {said}"


def _whole(
    causes: list[Cause], low: list[bool], apart: Answer | None, rises: list[float | None]
) -> str:
    if Cause.REPEAT in causes:
        return str(Cause.REPEAT)
    if len(low) > 1 and all(low) and set(causes) != {Cause.BETWEEN}:
        return str(Cause.WORN)
    if any(low):
        return "; ".join(f"cylinder {at + 1}: {c}" for at, c in enumerate(causes) if low[at])
    if causes[0] is Cause.RINGS:
        return "rises well with oil: rings or bore leak"
    if apart is not None and apart.value > 100 * _rule("spread") + 1e-9:
        better = [
            f"cylinder {at + 1} rises {rise:.0%} with oil: rings or bore begin to leak"
            for at, rise in enumerate(rises)
            if rise is not None and rise >= RISES
        ]
        return "; ".join(
            [
                f"sound by the rule used, but {apart.value:.1f} per cent apart: "
                "more than the 10 per cent that other books allow",
                *better,
            ]
        )
    return str(causes[0])
