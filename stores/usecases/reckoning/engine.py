"""Compression and battery, as they are typed."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from stores import units
from stores.errors import BadValue, NotationError
from stores.usecases.reckoning import Reckoned, _all, _amount, _mm, reckoned

if TYPE_CHECKING:
    from stores.handbook.answer import Answer
    from stores.handbook.engine import Pressure, SpreadRule, TestVerdict

__all__ = [
    "BatteryReckoned",
    "CompressionReckoned",
    "CompressionTest",
    "CylinderTested",
    "ReckonBattery",
    "ReckonCompression",
    "battery",
    "compression",
    "compression_test",
]

MOST_KPA = 4500.0
"""More than the compression of any diesel (common practice): a reading above it is misread."""


@dataclass(frozen=True, slots=True)
class CylinderTested:
    """What a compression test says of a cylinder; pressures on the gauge, kPa."""

    cylinder: int
    dry_kpa_gauge: float
    wet_kpa_gauge: float | None
    cause: str
    reason: str


@dataclass(frozen=True, slots=True)
class CompressionTest:
    """What a dry and a wet test say together; ``spread_percent`` is of the highest cylinder, and
    ``spread_rules`` what each book says of it."""

    verdict: str
    spread_percent: float | None
    spread_rules: "tuple[SpreadRule, ...]"
    cylinders: tuple[CylinderTested, ...]
    assumptions: tuple[str, ...]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]


class ReckonCompression(NamedTuple):
    """A cylinder's compression ratio, ``7.5`` or ``7.5:1``, the day's air, and readings of a dry
    and a wet test."""

    ratio: float | str | None = None
    barometer: str = ""
    altitude_m: float = 0.0
    dry: str = ""
    wet: str = ""
    maker: str = ""
    two_stroke: bool = False
    stroke: str = ""
    port: str = ""
    unit: str = "psi"


@dataclass(frozen=True, slots=True)
class CompressionReckoned:
    """What a cylinder should show and what the tests say.

    ``answers`` end with the floor, absolute and on the gauge, and what cranking gives; empty where
    no ratio was said. ``usual`` is what a sound engine shows on the gauge: the one range to go by,
    and why, None without a ratio. ``carbon`` tells that a reading is above what cranking gives.
    """

    atmosphere: Reckoned
    usual: Reckoned | None
    answers: tuple[Reckoned, ...]
    test: CompressionTest | None
    two_stroke: bool
    unit: str
    carbon: bool


class ReckonBattery(NamedTuple):
    """A battery at rest: volts of one, or of two of 6 V in series; or the gravity of its acid.

    With its capacity also how to charge it; ``battery_c`` is how warm it is then.
    """

    volts: Sequence[float] = ()
    nominal_v: int | None = None
    rested_h: float | None = None
    gravity: float | None = None
    acid_c: float = 26.7
    capacity_ah: float | None = None
    battery_c: float | None = None


@dataclass(frozen=True, slots=True)
class BatteryReckoned:
    """State of charge, and between which temperatures each freezes; of a pair also the volts.

    ``charging`` are amperes, hours and end voltage, of the emptier of a pair; empty where no
    capacity was said.
    """

    answers: tuple[Reckoned, ...]
    charging: tuple[Reckoned, ...]
    freezes_c: tuple[tuple[float, float], ...]
    verdict: str
    total_v: float | None
    apart_v: float | None


def compression(ask: ReckonCompression) -> CompressionReckoned:
    """Return what a cylinder should show, and what a dry and a wet test say together.

    Raises:
        BadValue, NotationError: too little said, or a reading that cannot be.
    """
    from stores.handbook import engine as squeeze
    from stores.handbook.engine import judge

    barometer = _amount(ask.barometer, units.Kind.PRESSURE, "hPa") * 10 if ask.barometer else None
    air = squeeze.atmosphere(ask.altitude_m, barometer)
    if ask.ratio is None and not ask.dry:
        raise BadValue("no ratio and no readings")
    if bool(ask.stroke) != bool(ask.port):
        raise BadValue("stroke or port alone")
    answers: list[Answer] = []
    floor = usual = None
    if ask.ratio is not None:
        ratio = _ratio(ask.ratio)
        if ask.stroke:
            trapped = squeeze.trapped_ratio(ratio, _mm(ask.stroke), _mm(ask.port))
            answers.append(trapped)
            ratio = trapped.value
        floor = squeeze.floor(ratio, air.value, gauge=True)
        answers += [
            squeeze.floor(ratio, air.value),
            floor,
            squeeze.expected(ratio, air.value, gauge=True),
        ]
        usual = squeeze.usual(ratio, air.value, two_stroke=ask.two_stroke)
    verdict, carbon = None, False
    if ask.dry:
        dry = [each for each in _pressures(ask.dry, ask.unit, air.value) if each]
        maker = _pressures(ask.maker, ask.unit, air.value) if ask.maker else []
        verdict = judge(
            dry,
            _pressures(ask.wet, ask.unit, air.value) if ask.wet else (),
            two_stroke=ask.two_stroke,
            maker_low=next(iter(maker), None),
            floor_kpa=floor.value if floor else None,
            usual_kpa=usual.low if usual else None,
        )
        carbon = floor is not None and max(each.gauge_kpa for each in dry) > answers[-1].high
    elif ask.wet:
        raise BadValue("wet without dry")
    return CompressionReckoned(
        reckoned(air),
        reckoned(usual) if usual else None,
        _all(*answers),
        compression_test(verdict) if verdict else None,
        ask.two_stroke,
        ask.unit,
        carbon,
    )


def _ratio(typed: float | str) -> float:
    """Return a compression ratio: ``7.5``, ``7.5:1``, ``7.5 to 1``."""
    if not isinstance(typed, str):
        return typed
    bare = re.sub(r"\s*(?::|to)\s*1(?:[.,]0*)?$", "", typed.strip(), flags=re.IGNORECASE)
    if not re.fullmatch(r"\d+(?:[.,]\d+)?", bare):
        raise NotationError("cannot read a compression ratio such as 7.5 or 7.5:1", typed)
    return float(bare.replace(",", "."))


def _pressures(text: str, unit: str, atmosphere_kpa: float) -> "list[Pressure | None]":
    """Return readings in a row: ``88,71``, ``6.1bar, -, 5.9bar``; None is one not taken."""
    from stores.handbook.engine import read_pressure

    pressures: list[Pressure | None] = []
    for part in re.split(r"\s*[,;]\s*|\s+(?=[-\d])", text.strip()):
        if part == "-":
            pressures.append(None)
            continue
        bare = re.fullmatch(r"[\d.]+", part)
        read = read_pressure(f"{part} {unit}" if bare else part, atmosphere_kpa=atmosphere_kpa)
        if read.gauge_kpa > MOST_KPA:
            raise BadValue("more than an engine shows", typed=part, most_psi=MOST_KPA / 6.894757)
        pressures.append(read)
    return pressures


def battery(ask: ReckonBattery) -> BatteryReckoned:
    """Return the state of charge of a lead-acid battery at rest.

    Raises:
        BadValue: volts and gravity at once, neither, or one out of range.
    """
    from stores.handbook.battery import at_rest, by_gravity, charging, freezes_between, in_series

    volts = list(ask.volts)
    if ask.gravity is not None and volts:
        raise BadValue("volts or gravity")
    pair = None
    if ask.gravity is not None:
        answers = [by_gravity(ask.gravity, ask.acid_c)]
    elif len(volts) == 1:
        answers = [at_rest(volts[0], ask.nominal_v, rest_hours=ask.rested_h)]
    elif len(volts) == 2:
        pair = in_series(volts[0], volts[1], rest_hours=ask.rested_h)
        answers = [pair.first, pair.second]
    else:
        raise BadValue("no volts at rest")
    charge: tuple[Answer, ...] = ()
    if ask.battery_c is not None and ask.capacity_ah is None:
        raise BadValue("warmth without a capacity")
    if ask.capacity_ah is not None:
        emptier = min(answers, key=lambda each: each.value)
        six = pair is not None or ask.nominal_v == 6 or (bool(volts) and volts[0] < 8)
        charge = charging(ask.capacity_ah, emptier, 6 if six else 12, ask.battery_c)
    return BatteryReckoned(
        _all(*answers),
        _all(*charge),
        tuple(freezes_between(answer.low) for answer in answers),
        pair.verdict if pair else "",
        pair.total_v if pair else None,
        pair.apart_v if pair else None,
    )


def compression_test(verdict: "TestVerdict") -> CompressionTest:
    """Return a compression test that was judged as plain facts."""
    from stores.handbook.answer import cite
    from stores.handbook.engine import spread_rules

    return CompressionTest(
        verdict.verdict,
        verdict.spread.value if verdict.spread else None,
        spread_rules(verdict.spread.value) if verdict.spread else (),
        tuple(
            CylinderTested(
                each.number,
                each.dry.gauge_kpa,
                None if each.wet is None else each.wet.gauge_kpa,
                each.cause,
                each.reason,
            )
            for each in verdict.cylinders
        ),
        verdict.assumptions,
        tuple(cite(key) for key in verdict.sources),
        verdict.cautions,
    )
