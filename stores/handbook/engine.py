"""Compression: what a cylinder should show, and what a dry and a wet test say together.

Absolute pressure counts from nothing, gauge pressure from the day's atmosphere: a compression
tester reads gauge, ratio times atmosphere is absolute. The two are never mixed: `Pressure` knows
which it is.

    absolute = atmosphere x ratio^n        gauge = absolute - atmosphere

n = 1 is the floor: air squeezed so slowly that all its heat goes. Cranking lies about n = 1.2 to
1.3, 1.4 is no heat lost at all.

The compression test: dry and wet readings of the cylinders read together.

The verdicts are the trade's usual ones (car-maker workshop procedure; marine engine page on
compression testing); the steps that split "rises well" from "little change" are assumptions.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from stores import units
from stores.errors import BadValue, NotationError
from stores.handbook.answer import Answer, above_zero, between
from stores.handbook.table import table

__all__ = [
    "STANDARD_KPA",
    "Cause",
    "CylinderVerdict",
    "Pressure",
    "SpreadRule",
    "TestVerdict",
    "atmosphere",
    "expected",
    "floor",
    "judge",
    "read_pressure",
    "spread",
    "spread_rules",
    "trapped_ratio",
    "usual",
]


STANDARD_KPA = 101.325

"""Standard atmosphere, kPa (CGPM 1954)."""

CRANKING = (1.2, 1.25, 1.3)

"""Low, middle and high exponent while cranking (a reference page gives about 1.3; the band is
common practice)."""

_LEAST_RATIO, _MOST_RATIO = 2.0, 25.0


@dataclass(frozen=True, slots=True)
class Pressure:
    """An absolute pressure in kPa with the atmosphere it was read in, kPa."""

    absolute_kpa: float
    atmosphere_kpa: float = STANDARD_KPA

    @property
    def gauge_kpa(self) -> float:
        """What a gauge shows that rests at nought in the open."""
        return self.absolute_kpa - self.atmosphere_kpa

    def absolute(self, unit: str) -> float:
        """Absolute pressure in any unit of pressure."""
        return float(self.absolute_kpa / units.unit(unit, units.Kind.PRESSURE).factor)

    def gauge(self, unit: str) -> float:
        """Gauge pressure in any unit of pressure."""
        return float(self.gauge_kpa / units.unit(unit, units.Kind.PRESSURE).factor)

    def text(self, unit: str = "psi", digits: int = 3) -> str:
        """Write both: ``76.8 psi on the gauge (91.3 psi absolute)``."""
        gauge, absolute = self.gauge(unit), self.absolute(unit)
        return (
            f"{units.plain(gauge, digits)} {unit} on the gauge "
            f"({units.plain(absolute, digits)} {unit} absolute)"
        )


_ABSOLUTE = r"(?i)\s*(?:\(?\s*(?:absolute|abs)\.?\s*\)?)$"

_GAUGE = r"(?i)\s*(?:\(?\s*(?:on the gauge|gauge|gage)\s*\)?)$"


def read_pressure(
    text: str, *, atmosphere_kpa: float = STANDARD_KPA, gauge: bool = True
) -> Pressure:
    """Read a pressure in any unit: ``95 psi``, ``6.5 bar``, ``8 bar abs``, ``110 psig``.

    ``gauge`` says what a pressure is that does not say so itself: a tester reads gauge.

    Raises `NotationError` for what is no pressure, `BadValue` for an unknown unit, none, or more
    than 10 MPa.

    Args:
        text: the pressure with its unit.
        atmosphere_kpa: the day's atmosphere [kPa].
        gauge: a pressure that does not say so is above the atmosphere.

    95 psi are 95 x 6.894757 kPa above the air's 101.325:

    >>> round(read_pressure("95 psi").absolute_kpa, 1)
    756.3
    """
    rest = text.strip()
    for pattern, is_gauge in ((_ABSOLUTE, False), (_GAUGE, True)):
        if re.search(pattern, rest):
            gauge, rest = is_gauge, re.sub(pattern, "", rest)
            break
    else:
        found = re.fullmatch(r"(.*\bpsi|.*\dpsi)([ag])", rest, re.IGNORECASE)
        if found:
            rest, gauge = found[1], found[2].lower() == "g"
    try:
        value = float(units.read(rest, units.Kind.PRESSURE).base)
    except NotationError:
        raise NotationError("cannot read a pressure", text) from None
    between("pressure", value, "kPa", 0.0, 10_000.0)
    _atmosphere(atmosphere_kpa)
    return Pressure(value + atmosphere_kpa if gauge else value, atmosphere_kpa)


def _atmosphere(kpa: float) -> float:
    return between("atmospheric pressure", kpa, "kPa", 30.0, 110.0)


def _ratio(ratio: float) -> float:
    return between("compression ratio", ratio, "to 1", _LEAST_RATIO, _MOST_RATIO)


def atmosphere(altitude_m: float = 0.0, barometer_hpa: float | None = None) -> Answer:
    """Return the pressure of the air where the machine stands, kPa.

    ``altitude_m``, -430 to 5000, with the forecast's pressure, which is reduced to sea level; for
    a barometer's own reading on the spot leave the altitude at 0. Without a barometer standard air
    is taken, and the range is that of the weather, 950 to 1050 hPa at sea level (assumption).

    p = p0 (1 - 0.0065 h / 288.15)^5.25588, ISO 2533 (International Standard Atmosphere).

    Args:
        altitude_m: above the sea [m].
        barometer_hpa: what the barometer or forecast says [hPa].

    ISO 2533: 101.325 kPa at sea level, 95.46 kPa at 500 m:

    >>> atmosphere().value, round(atmosphere(500).value, 2)
    (101.325, 95.46)
    """
    between("altitude", altitude_m, "m", -430.0, 5000.0)
    factor = (1 - 0.0065 * altitude_m / 288.15) ** 5.25588
    if barometer_hpa is None:
        return Answer(
            "atmospheric pressure", STANDARD_KPA * factor, "kPa", 95.0 * factor, 105.0 * factor,
            "the weather", (f"standard air at {altitude_m:g} m, no barometer",),
            ("isa", "atmosphere"),
        )  # fmt: skip
    between("barometer", barometer_hpa, "hPa", 850.0 if altitude_m else 500.0, 1090.0)
    value = barometer_hpa / 10 * factor
    said = (
        f"the barometer is reduced to sea level, the machine stands at {altitude_m:g} m"
        if altitude_m else "the barometer reads where the machine stands"
    )  # fmt: skip
    return Answer(
        "atmospheric pressure", value, "kPa", value * 0.998, value * 1.002, "the barometer",
        (said, "good to 0.2 per cent"), ("isa",),
    )  # fmt: skip


_TEST = (
    "engine warm, all plugs out, ignition off, throttle wide open, the same strokes for each "
    "cylinder until the needle stands"
)

_CAUTIONS = (
    "a sense check: the maker's figure is the limit",
    "fuel vapour and sparks: earth the plug leads, turn the fuel off, keep clear of the plug hole",
)


def _pressure_answer(
    what: str, ratio: float, atmosphere_kpa: float, exponents: tuple[float, float, float],
    limiting: str, assumptions: tuple[str, ...], *, gauge: bool,
) -> Answer:  # fmt: skip
    _ratio(ratio)
    _atmosphere(atmosphere_kpa)
    low, value, high = (
        atmosphere_kpa * ratio**n - (atmosphere_kpa if gauge else 0.0) for n in exponents
    )
    kind = "gauge: counted from the day's atmosphere" if gauge else "absolute: counted from nothing"
    return Answer(
        what, value, "kPa", low, high, limiting,
        (kind, f"atmosphere {atmosphere_kpa:.4g} kPa", *assumptions),
        ("polytropic", "practice"), _CAUTIONS,
    )  # fmt: skip


def floor(ratio: float, atmosphere_kpa: float = STANDARD_KPA, *, gauge: bool = False) -> Answer:
    """Return the floor of compression: ratio times the day's atmosphere, kPa absolute.

    998.8 hPa is 14.49 psi; times a ratio of 6.3 it is 91 psi absolute, 77 on the gauge. With
    ``gauge`` the answer is what a gauge shows. Ratio 2 to 25, counted over the stroke that traps
    air (`trapped_ratio` for a two-stroke).

    Args:
        ratio: compression ratio [1].
        atmosphere_kpa: the day's atmosphere [kPa].
        gauge: as a gauge shows it.

    6.3 x 99.88 kPa:

    >>> round(floor(6.3, 99.88).value, 1)
    629.2
    """
    return _pressure_answer(
        "floor of compression", ratio, atmosphere_kpa, (1.0, 1.0, 1.0),
        "the ratio counted from where the ports or the valve shut",
        ("no heat kept in the air, nothing leaks",), gauge=gauge,
    )  # fmt: skip


def expected(
    ratio: float, atmosphere_kpa: float = STANDARD_KPA, *, gauge: bool = False,
    exponents: tuple[float, float, float] = CRANKING,
) -> Answer:  # fmt: skip
    """Return what cranking should show: atmosphere x ratio^n with n from 1.2 to 1.3, kPa absolute.

    Real engines read lower: the inlet valve shuts late, a two-stroke's exhaust port stands open.
    ``exponents`` are low, middle and high, 1 to 1.4. Ratio 2 to 25.

    Args:
        ratio: compression ratio [1].
        atmosphere_kpa: the day's atmosphere [kPa].
        gauge: as a gauge shows it.
        exponents: low, middle and high [1].

    101.325 kPa x 6.3^1.25:

    >>> round(expected(6.3).value)
    1011
    """
    for n in exponents:
        between("exponent", n, "", 1.0, 1.4)
    if list(exponents) != sorted(exponents):
        raise BadValue("exponents: expected low, middle, high")
    return _pressure_answer(
        "expected compression", ratio, atmosphere_kpa, exponents,
        "late closing of the inlet valve or the exhaust port: real engines read lower",
        (f"n from {exponents[0]:g} to {exponents[2]:g}", _TEST), gauge=gauge,
    )  # fmt: skip


LOST = 0.75

"""Least share of the reckoned cranking pressure that a sound four-stroke shows: late closing of the
inlet valve costs up to a quarter (common practice)."""


def usual(
    ratio: float, atmosphere_kpa: float = STANDARD_KPA, *, two_stroke: bool = False,
) -> Answer:  # fmt: skip
    """Return what a sound engine usually shows on the gauge, kPa: one range, and why.

    A four-stroke shows from `LOST` of the least cranking pressure up to the greatest. A small
    two-stroke of a low ratio shows 90 to 115 psi at sea level (common practice), less higher up in
    the measure of the air; of a higher ratio at least the floor, at most what cranking gives.

    Args:
        ratio: compression ratio [1].
        atmosphere_kpa: the day's atmosphere [kPa].
        two_stroke: it has no valves in the head.

    101.325 kPa x (6.3^1.2 - 1) x 0.75 and 101.325 kPa x (6.3^1.3 - 1):

    >>> found = usual(6.3)
    >>> round(found.low), round(found.high)
    (616, 1007)
    """
    best = expected(ratio, atmosphere_kpa, gauge=True)
    least = floor(ratio, atmosphere_kpa, gauge=True)
    thinner = atmosphere_kpa / STANDARD_KPA
    psi = float(units.convert(1, "psi", "kPa"))
    ends = next(
        row["value"] for row in table("fluids_compression_rules")
        if row["key"] == "small_two_stroke"
    ).split(" to ")  # fmt: skip
    low, high = (float(end) * psi * thinner for end in ends)
    share = round(100 * thinner)
    air = "" if share == 100 else f"; the day's air is {share} % of standard air"
    reckoned = "ratio and cranking (n 1.2 to 1.3) give"
    top = f"{reckoned} {_span_psi(best.low, best.high)} at the best"
    if not two_stroke:
        low, high = max(least.value, LOST * best.low), best.high
        why: tuple[str, ...] = (
            top, f"late closing of the inlet valve costs up to a quarter (common practice){air}"
        )  # fmt: skip
    elif max(low, least.value) <= min(high, best.high):
        low, high = max(low, least.value), min(high, best.high)
        why = (
            f"a small two-stroke of a low ratio shows {ends[0]} to {ends[1]} psi at sea level "
            "(common practice)",
            f"{top}, which an open exhaust port never reaches{air}",
        )
    else:
        low, high = least.value, best.high
        why = (top, f"no less than the floor; an open exhaust port costs the rest{air}")
    return Answer(
        "usual compression", (low + high) / 2, "kPa", low, high, "; ".join(why),
        (_TEST,), ("polytropic", "practice"), _CAUTIONS,
    )  # fmt: skip


def _span_psi(*kilopascals: float) -> str:
    each = (units.plain(units.convert(kpa, "kPa", "psi"), 3) for kpa in kilopascals)
    return f"{' to '.join(each)} psi"


def trapped_ratio(ratio: float, stroke_mm: float, port_mm: float) -> Answer:
    """Return the ratio counted from where the exhaust port shuts.

    ``port_mm`` is from the top edge of the port down to the piston crown at bottom dead centre:
    1 + (ratio - 1) x (stroke - port) / stroke.

    Args:
        ratio: over the whole stroke [1].
        stroke_mm: the stroke [mm].
        port_mm: height of the exhaust port [mm].

    1 + 6 x 40 / 60:

    >>> trapped_ratio(7, 60, 20).value
    5.0
    """
    _ratio(ratio)
    above_zero("stroke", stroke_mm, "mm", 300.0)
    between("open port", port_mm, "mm", 0.0, stroke_mm * 0.8)

    def trapped(port: float) -> float:
        return 1 + (ratio - 1) * (stroke_mm - port) / stroke_mm

    return Answer(
        "trapped ratio", trapped(port_mm), "to 1", trapped(port_mm + 0.5),
        trapped(max(0.0, port_mm - 0.5)), "the height of the port",
        ("the ratio given is over the full stroke", "port measured to 0.5 mm"), ("geometry",),
    )  # fmt: skip


RISES, STAYS = 0.15, 0.05

"""Rise of the wet reading, of the dry one, above which it rises well and below which it stays
(assumption; the sources only say "well" and "little")."""


class Cause(StrEnum):
    """What a reading points to."""

    SOUND = "sound"
    LOW = "low"
    WEAK = "weaker than usual, not yet low"
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


@dataclass(frozen=True, slots=True)
class SpreadRule:
    """A rule of how far apart cylinders may be, and whether a test keeps it: ``share`` is of the
    highest, the most that they are apart, or the ``least`` that the lowest has."""

    share: float
    least: bool
    source: str
    kept: bool


_SPREADS = (
    ("spread", False), ("spread_20", False), ("lowest_of_highest", True),
    ("lowest_of_highest_75", True),
)  # fmt: skip


def spread_rules(percent: float) -> tuple[SpreadRule, ...]:
    """Return what each book says of cylinders so far apart, per cent of the highest: they differ.

    12 per cent is more than 10 and less than 20; the lowest has 88 per cent of the highest:

    >>> [(rule.share, rule.kept) for rule in spread_rules(12)]
    [(0.1, False), (0.2, True), (0.7, True), (0.75, True)]
    """
    between("spread", percent, "%", 0.0, 100.0)
    rows = {row["key"]: row for row in table("fluids_compression_rules")}
    found = []
    for key, least in _SPREADS:
        share = float(rows[key]["value"])
        most = 100 * (1 - share if least else share)
        found.append(SpreadRule(share, least, rows[key]["source"], percent <= most + 1e-9))
    return tuple(found)


def _rule(key: str) -> float:
    return float(next(r for r in table("fluids_compression_rules") if r["key"] == key)["value"])


def spread(readings: Sequence[Pressure]) -> Answer:
    """Return highest less lowest, in per cent of the highest, by the gauge.

    Sources differ on the limit: 10 per cent (marine page), lowest at least 70 per cent of the
    highest (car maker).

    Raises `BadValue` for fewer than two readings or a highest of nothing.

    A tenth less than the highest:

    >>> round(spread([read_pressure("100 psi"), read_pressure("90 psi")]).value, 1)
    10.0
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
    usual_kpa: float | None = None,
    neighbours: bool = True,
) -> TestVerdict:
    """Judge a test: cylinders in order along the engine, ``wet`` where it was done.

    Low is below the maker's limit; without one, below 70 per cent of the best cylinder, or below
    ``floor_kpa`` on the gauge (`stores.handbook.engine.floor` with ``gauge``, for a single
    cylinder). A cylinder that is not low but below ``usual_kpa``, the low end of `usual`, is weak;
    a maker's limit makes that idle. ``neighbours`` says that cylinders next to each other share a
    gasket.

    A two-stroke has no valves in the head: what does not rise with oil leaks at the head joint,
    the plug, a decompressor or through a crack. Its crankshaft seals do not show in this test.

    Raises `BadValue` without readings, for more wet than dry ones, or for readings below the
    atmosphere.

    Args:
        dry: readings without oil in the bore.
        wet: readings with oil, None where not done.
        two_stroke: it has no valves in the head.
        maker_low: the least that the maker allows.
        floor_kpa: the floor, above the atmosphere [kPa].
        usual_kpa: the least that is usual, above the atmosphere [kPa].
        neighbours: cylinders side by side share a gasket.

    90 is less than 70 per cent of 150:

    >>> test = judge([read_pressure("150 psi"), read_pressure("90 psi")])
    >>> [cylinder.cause.value for cylinder in test.cylinders]
    ['sound', 'low']
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
    if usual_kpa is not None and maker_low is None:
        for at, each in enumerate(dry):
            if causes[at] is Cause.SOUND and each.gauge_kpa < usual_kpa * (1 - 1e-9):
                causes[at] = Cause.WEAK
        said += f"; weak is below the usual {_span_psi(usual_kpa)}"
    if neighbours:
        _mark_neighbours(causes, low, rises)
    cylinders = tuple(
        CylinderVerdict(at + 1, d, w, r, c, _reason(c, r, said))
        for at, (d, w, r, c) in enumerate(zip(dry, wets, rises, causes, strict=True))
    )
    apart = spread(dry) if len(dry) > 1 and max(e.gauge_kpa for e in dry) > 0 else None
    return TestVerdict(
        cylinders, apart, _whole(causes, low, apart, rises),
        (said, f"rises well: {100 * RISES:.0f} % or more with oil; little change: under "
         f"{100 * STAYS:.0f} %",
         f"{_rule('wet_oil'):g} ml of oil for the wet test, throttle wide open, same strokes"),
        ("compression-car", "compression-marine", *(["compression-books"] if apart else []),
         "practice", *(["maker"] if maker_low else [])),
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
            said = f"low is below {100 * share:.0f} % of the best cylinder"
            return best, f"{said} (no maker's limit known)"
    if floor_kpa is not None:
        return floor_kpa, "low is below the floor, ratio times atmosphere (no maker's limit known)"
    return None, "one cylinder and no maker's figure or ratio: cannot say whether this is low"


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
    wet = "no wet test" if rise is None else f"{100 * rise:+.0f} % with oil"
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
    named = [at for at, each in enumerate(causes) if low[at] or each is Cause.WEAK]
    if named:
        told = [f"cylinder {at + 1}: {causes[at]}" for at in named]
        return "; ".join(told if any(low) else [*told, *_rising(rises)])
    if causes[0] is Cause.RINGS:
        return "rises well with oil: rings or bore leak"
    if apart is not None and apart.value > 100 * _rule("spread") + 1e-9:
        return "; ".join(
            [
                f"sound by the rule used, but {apart.value:.1f} per cent apart: "
                "more than the 10 per cent that other books allow",
                *_rising(rises),
            ]
        )
    return str(causes[0])


def _rising(rises: list[float | None]) -> list[str]:
    return [
        f"cylinder {at + 1} rises {100 * rise:.0f} % with oil: rings or bore begin to leak"
        for at, rise in enumerate(rises)
        if rise is not None and rise >= RISES
    ]
