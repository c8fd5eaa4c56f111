"""Compression: the check values of common practice, pressures both ways, tests read together."""

import math

import pytest

from stores.errors import BadValue, NotationError
from stores.handbook import engine
from stores.handbook.answer import cite
from stores.handbook.engine import (
    Cause,
    Pressure,
    atmosphere,
    expected,
    floor,
    judge,
    read_pressure,
    spread,
    spread_rules,
    usual,
)
from stores.units import convert

KPA = float(convert(1, "psi", "kPa"))


def psi(value: float) -> Pressure:
    return Pressure(value * KPA + engine.STANDARD_KPA)


def test_the_check_values_of_common_practice() -> None:
    """998.8 hPa is 14.49 psi; times 6.3 it is 91 psi (common practice, no published source)."""
    assert float(convert(998.8, "hPa", "psi")) == pytest.approx(14.49, abs=0.005)
    got = floor(6.3, 99.88)
    assert got.value / KPA == pytest.approx(91, abs=0.5)
    assert "absolute" in got.assumptions[0]
    on_gauge = floor(6.3, 99.88, gauge=True)
    assert got.value - on_gauge.value == pytest.approx(99.88)
    # A small two-stroke with a low ratio usually shows 90 to 115 psi (common practice): above the
    # floor on the gauge, below what the full stroke would give, for its exhaust port stands open.
    assert on_gauge.value / KPA < 90
    assert expected(6.3, 99.88, gauge=True).low / KPA > 115


@pytest.mark.parametrize(
    ("readings", "kept"),
    [
        ((150, 140), (True, True, True, True)),  # 6.7 % apart
        ((150, 130), (False, True, True, True)),  # 13.3 %; the lowest has 86.7 %
        ((150, 115), (False, False, True, True)),  # 23.3 %; 76.7 %
        ((150, 108), (False, False, True, False)),  # 28 %; 72 %
        ((150, 100), (False, False, False, False)),  # 33.3 %; 66.7 %
        ((100, 90), (True, True, True, True)),  # 10 % is no more than 10 %
        ((100, 75), (False, False, True, True)),  # 75 % is at least 75 %
    ],
)
def test_what_each_book_says_of_a_spread(readings: tuple[int, int], kept: tuple[bool, ...]) -> None:
    """Marine page: 10 % apart at most; car maker: lowest at least 70 %; other books: 20 % and
    75 % (common practice). They differ, and each is named."""
    test = judge([psi(each) for each in readings])
    assert test.spread is not None
    rules = spread_rules(test.spread.value)
    assert tuple(rule.kept for rule in rules) == kept
    assert [(rule.share, rule.least) for rule in rules] == [
        (0.10, False), (0.20, False), (0.70, True), (0.75, True),
    ]  # fmt: skip
    assert ["common practice" in rule.source for rule in rules] == [False, True, False, True]
    assert "compression-books" in test.sources


def test_one_range_for_one_engine() -> None:
    """A small two-stroke of a low ratio shows 90 to 115 psi at sea level (common practice); at
    2000 m ISO 2533 leaves 794.95 of 1013.25 hPa, and a tester as much less."""
    found = usual(6.3, two_stroke=True)
    assert (found.low / KPA, found.high / KPA) == pytest.approx((90, 115), abs=0.01)
    high_up = usual(6.3, 79.495, two_stroke=True)
    thinner = 794.95 / 1013.25
    assert (high_up.low / KPA, high_up.high / KPA) == pytest.approx(
        (90 * thinner, 115 * thinner), abs=0.05
    )
    for ratio in (2.0, 3.0, 4.0, 5.0, 6.3, 8.0, 10.0, 25.0):
        for two_stroke in (True, False):
            span = usual(ratio, two_stroke=two_stroke)
            assert floor(ratio, gauge=True).value <= span.low < span.high
            assert span.high <= expected(ratio, gauge=True).high + 1e-9
            assert span.limiting


def test_between_the_floor_and_what_is_usual_a_cylinder_is_weak() -> None:
    """6.3 to 1 at 998.8 hPa: the floor is 77 psi, usual for a two-stroke begins at 89."""
    least = floor(6.3, 99.88, gauge=True).value
    low = usual(6.3, 99.88, two_stroke=True).low
    causes = [
        judge([psi(each)], two_stroke=True, floor_kpa=least, usual_kpa=low).cylinders[0].cause
        for each in (70, 80, 95)
    ]
    assert causes == [Cause.LOW, Cause.WEAK, Cause.SOUND]
    both = judge([psi(80)], [psi(100)], floor_kpa=least, usual_kpa=low)
    assert "rings or bore begin to leak" in both.verdict
    # The maker's limit is the limit: nothing of ours stands beside it.
    assert judge([psi(80)], maker_low=psi(75), usual_kpa=low).verdict == "sound"


def test_the_exponent_by_integration() -> None:
    """dp/p = -n dV/V from bottom to top dead centre, in small steps."""
    n, ratio, steps = 1.3, 8.0, 200_000
    volume, pressure = ratio, 100.0
    step = (ratio - 1) / steps
    for _ in range(steps):
        pressure *= 1 + n * step / (volume - step / 2)
        volume -= step
    got = expected(ratio, 100.0, exponents=(n, n, n))
    assert got.value == pytest.approx(pressure, rel=1e-3)


# ISO 2533 tables, standard atmosphere, from memory: geopotential height, hPa.
@pytest.mark.parametrize(
    ("metres", "hpa"), [(0, 1013.25), (500, 954.61), (1000, 898.75), (2000, 794.95), (3000, 701.09)]
)
def test_standard_air(metres: float, hpa: float) -> None:
    got = atmosphere(metres)
    assert got.value * 10 == pytest.approx(hpa, abs=0.01)
    assert got.low < got.value < got.high
    assert atmosphere(metres, 1013.25).value == pytest.approx(got.value)
    # Against the weight of the air above, integrated downwards.
    p, h, dh = 1013.25, 0.0, 1.0
    while h < metres:
        p -= p * 9.80665 * 0.0289644 / 8.31432 / (288.15 - 0.0065 * (h + dh / 2)) * dh
        h += dh
    assert got.value * 10 == pytest.approx(p, rel=1e-4)


def test_pressures_know_what_they_are() -> None:
    assert read_pressure("95 psi").gauge("psi") == pytest.approx(95)
    assert read_pressure("95 psia").absolute("psi") == pytest.approx(95)
    assert read_pressure("110 psig").gauge("psi") == pytest.approx(110)
    assert read_pressure("8 bar abs").absolute("bar") == pytest.approx(8)
    assert read_pressure("8 bar gauge", gauge=False).gauge("bar") == pytest.approx(8)
    assert read_pressure("7 kg/cm2").gauge_kpa == pytest.approx(686.4655)
    low = read_pressure("6 bar", atmosphere_kpa=90.0)
    assert low.absolute_kpa == pytest.approx(690)
    assert low.text("bar") == "6 bar on the gauge (6.9 bar absolute)"
    with pytest.raises(NotationError, match="cannot read a pressure"):
        read_pressure("strong")
    with pytest.raises(BadValue, match="write the unit"):
        read_pressure("95")
    with pytest.raises(BadValue, match="pressure"):
        read_pressure("500 bar")


def test_the_trapped_ratio_of_a_two_stroke() -> None:
    assert engine.trapped_ratio(10, 50, 0).value == 10
    assert engine.trapped_ratio(10, 50, 20).value == pytest.approx(1 + 9 * 0.6)


@pytest.mark.parametrize(
    ("dry", "wet", "words", "causes"),
    [
        ([150, 148], [], {}, [Cause.SOUND, Cause.SOUND]),
        ([150, 90], [None, 130], {}, [Cause.SOUND, Cause.RINGS]),
        ([150, 90], [None, 92], {}, [Cause.SOUND, Cause.VALVES]),
        ([150, 90], [None, 92], {"two_stroke": True}, [Cause.SOUND, Cause.SEAL]),
        ([150, 90], [None, 98], {}, [Cause.SOUND, Cause.BOTH]),
        ([150, 90], [], {}, [Cause.SOUND, Cause.LOW]),
        ([150, 60, 62, 149], [None, 61, 63, None], {},
         [Cause.SOUND, Cause.BETWEEN, Cause.BETWEEN, Cause.SOUND]),
        ([60, 62], [61, 63], {"maker_low": 100}, [Cause.BETWEEN, Cause.BETWEEN]),
        ([60, 62], [80, 83], {"maker_low": 100}, [Cause.RINGS, Cause.RINGS]),
        ([90], [110], {"maker_low": 100}, [Cause.RINGS]),
        ([90], [], {}, [Cause.UNKNOWN]),
        ([90], [120], {}, [Cause.RINGS]),
        ([70], [71], {"floor_kpa": 77 * KPA}, [Cause.VALVES]),
        ([150, 90], [None, 70], {}, [Cause.SOUND, Cause.REPEAT]),
        ([0, 120], [0, None], {}, [Cause.VALVES, Cause.SOUND]),
    ],
)  # fmt: skip
def test_dry_and_wet_together(
    dry: list[float], wet: list[float | None], words: dict[str, float], causes: list[Cause]
) -> None:
    keys = dict(words)
    limit = keys.pop("maker_low", None)
    got = judge(
        [psi(each) for each in dry],
        [None if each is None else psi(each) for each in wet],
        maker_low=None if limit is None else psi(limit),
        two_stroke=bool(keys.pop("two_stroke", False)),
        floor_kpa=keys.pop("floor_kpa", None),
    )
    assert [each.cause for each in got.cylinders] == causes
    assert all(cite(key) for key in got.sources)
    assert got.cautions


def test_the_whole_engine() -> None:
    assert judge([psi(150), psi(148)]).verdict == "sound"
    wide = judge([psi(150), psi(118)])
    assert "21.3 per cent apart" in wide.verdict
    worn = judge([psi(80)] * 4, maker_low=psi(120))
    assert worn.verdict.startswith("all low")


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: floor(1.0), "compression ratio 1 to 1: expected 2 to 25"),
        (lambda: floor(8, 1013.25), "atmospheric pressure 1013.25 kPa"),
        (lambda: expected(8, exponents=(1.2, 1.25, 3.0)), "exponent 3"),
        (lambda: expected(8, exponents=(1.3, 1.25, 1.2)), "low, middle, high"),
        (lambda: atmosphere(9000), "altitude 9000 m"),
        (lambda: atmosphere(0, 29.9), "barometer 29.9 hPa"),
        (lambda: judge([]), "at least one reading"),
        (lambda: judge([psi(90)], [psi(90), psi(90)]), "2 wet readings for 1"),
        (lambda: judge([Pressure(90.0)]), "gauge and absolute mixed up"),
        (lambda: spread([psi(90)]), "two cylinders"),
        (lambda: engine.trapped_ratio(8, 50, 49), "open port 49 mm"),
        (lambda: floor(math.nan), "compression ratio nan"),
    ],
)
def test_nonsense_is_refused(call: object, message: str) -> None:
    assert callable(call)
    with pytest.raises(BadValue, match=message):
        call()
