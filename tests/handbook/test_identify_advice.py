"""Twins of the trade, what would tell them apart, and what a measurement is worth."""

import csv
from itertools import pairwise
from math import log2
from pathlib import Path

import pytest

from stores.handbook.identify import Measurement, Option, expected_bits, identify
from stores.handbook.identify.advice import _text
from stores.handbook.identify.weighing import angle_equivalent_mm, goes_on, pitch_factor
from stores.handbook.thread import get

PUBLISHED = Path(__file__).parents[1] / "published"


def published(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


# ---- twins


@pytest.mark.parametrize("row", published("identify_twins"), ids=lambda r: r["names"])
def test_the_twins_of_the_trade_are_named(row: dict[str, str]) -> None:
    found = identify(Measurement.read(outside=row["outside"], tool=row["tool"], pitch=row["pitch"]))
    names = {name.strip() for name in row["names"].split(";")}
    group = next(g for g in found.twins if names & set(g.names))
    assert names <= set(group.names)
    assert group.best
    assert group.best.bits <= group.open_bits + 1e-9
    assert row["apart_by"] in group.best.text
    assert "\n" not in str(group)


def test_the_sentence_gives_the_figures() -> None:
    group = identify(Measurement(outside_mm=5.9, gauge_mm=1.0)).twins[0]
    assert str(group).startswith(
        "M6 and 0BA. To tell them apart: flank angle by profile gauge, M6 60 against 0BA 47.5"
    )


def test_how_much_is_needed_is_said() -> None:
    """By hand: ten pitches of 26 tpi are 254 / 26 = 9.77 mm, of M6 10.00: 0.23 apart, half of it is
    0.115, so to within 0.1. A blade that leaves 0.023 mm a crest unseen needs 0.12 / 0.023 = 5.2,
    so 6 spaces: 7 crests. BS 811: the 1/4 cycle bolt has 26 tpi."""
    found = identify(Measurement(outside_mm=6.1, diameter_sigma_mm=0.3))
    texts = {
        each.option: _text(each.option, (get("1/4-26 cycle"), get("M6")), found.measurement)
        for each in found.twins[0].advice
        if each.option is not Option.NUT
    }
    assert texts[Option.OVER_TEN].endswith("9.77 against M6 10.00 mm, read to within 0.1 mm")
    assert texts[Option.GAUGE].endswith("26 tpi against M6 1 mm, over 7 crests or more")
    # #10-32 UNF ends at 0.1891 in = 4.803 mm (ASME B1.1, 2A), M5 begins at 4.976 - 0.150 = 4.826
    # (ISO 965-1, 6g): 0.023 apart. 1/4 BSW and UNC are one size: no diameter is read close enough.
    near = _text(Option.DIAMETER, (get("M5"), get("#10-32 UNF")), found.measurement)
    assert near.endswith("read to within 0.01 mm")
    same = _text(Option.DIAMETER, (get("1/4 BSW"), get("1/4-20 UNC")), found.measurement)
    assert "within" not in same


def test_the_measurement_advised_does_tell_them_apart() -> None:
    base = {"outside_mm": 5.9, "gauge_mm": 1.0}
    assert identify(Measurement(**base, angle_deg=47.5)).probability("0BA") > 0.9
    assert identify(Measurement(**base, angle_deg=60.0)).probability("M6") > 0.95
    assert not identify(Measurement(**base, angle_deg=60.0)).twins
    # BS 1083: 0.525 in on a 5/16; ASME B18.2.1: 1/2 in.
    screw = {"outside_mm": 7.8, "gauge_tpi": 18.0, "flats_sigma_mm": 0.03}
    assert identify(Measurement(**screw, flats_mm=13.3)).probability("5/16 BSW") > 0.9
    assert identify(Measurement(**screw, flats_mm=12.65)).probability("5/16-18 UNC") > 0.9


def test_the_windscreen_bolts_would_have_been_told_apart() -> None:
    """AAIB report 1/92: 84 of 90 bolts were about 0.66 mm too thin, on the same pitch.

    #8-32 for #10-32: 0.164 against 0.190 in.
    """
    thin = get("#8-32 UNC").external_major_limits_mm
    found = identify(Measurement(outside_mm=sum(thin) / 2, gauge_tpi=32.0))
    assert found.best
    assert found.best.thread.designation == "#8-32 UNC"
    assert found.probability("#10-32 UNF") < 1e-4


# ---- what a measurement is worth


_PAIRS = [
    {"0BA": 0.3, "M6": 0.7},
    {"2BA": 0.3, "#10-32 UNF": 0.3, "M5": 0.4},
    {"1/4 BSW": 0.5, "1/4-20 UNC": 0.5},
    {"3/8 BSF": 0.2, "3/8-26 cycle": 0.8},
]


@pytest.mark.parametrize("weights", _PAIRS, ids=" ".join)
@pytest.mark.parametrize("option", [Option.DIAMETER, Option.OVER_TEN, Option.FLATS, Option.ANGLE])
def test_a_more_precise_measurement_never_tells_less(
    weights: dict[str, float], option: Option
) -> None:
    threads = {get(name): weight for name, weight in weights.items()}
    scale = 50 if option is Option.ANGLE else 1
    bits = [
        expected_bits(threads, option, sigma=sigma * scale)
        for sigma in (0.4, 0.2, 0.1, 0.05, 0.02, 0.01)
    ]
    most = -sum(w * log2(w) for w in weights.values())
    assert all(fine >= rough - 2e-3 for rough, fine in pairwise(bits))
    assert all(0 <= each <= most + 1e-9 for each in bits)


def test_a_caliper_reading_leaves_a_micrometer_less_to_tell() -> None:
    threads = {get("#10-32 UNF"): 0.5, get("M5"): 0.5}
    fresh = expected_bits(threads, Option.DIAMETER)
    after = [
        expected_bits(threads, Option.DIAMETER, Measurement(outside_mm=4.81, diameter_sigma_mm=s))
        for s in (0.01, 0.03, 0.3)
    ]
    assert after[0] < after[1] < after[2] <= fresh + 0.05


def test_nothing_tells_a_thread_from_itself() -> None:
    alone = {get("M6"): 1.0}
    for option in Option:
        assert expected_bits(alone, option, nut=get("M6")) == pytest.approx(0, abs=1e-9)


def test_angle_cannot_tell_what_has_the_same_angle() -> None:
    same = {get("M5"): 0.5, get("#10-32 UNF"): 0.5}
    assert expected_bits(same, Option.ANGLE) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("row", published("identify_equivalents"), ids=lambda r: r["form"])
def test_diametral_equivalents_of_pitch_and_angle(row: dict[str, str]) -> None:
    angle = float(row["angle_deg"])
    assert pitch_factor(angle) == pytest.approx(float(row["pitch_factor"]), abs=0.0006)
    one_degree = angle_equivalent_mm(1.0, angle, angle - 1)
    assert one_degree == pytest.approx(float(row["angle_factor"]), abs=0.00006)


@pytest.mark.parametrize("name", ["M6", "M10", "1/4 BSF", "5/16 BSW", "3/8-16 UNC", "2BA", "M8x1"])
def test_a_nut_goes_on_its_own_bolt(name: str) -> None:
    assert goes_on(get(name), get(name)) > 0.9


@pytest.mark.parametrize(
    ("nut", "bolt"),
    [("2BA", "M5"), ("M6", "1/4-26 cycle"), ("M8", "M8x1"), ("1/2 BSW", "1/2-13 UNC")],
)
def test_a_nut_of_another_size_or_pitch_does_not(nut: str, bolt: str) -> None:
    """Common practice; 1/2 in is the one size where BSW (12 tpi) does not go with UNC (13)."""
    assert goes_on(get(nut), get(bolt)) < 0.1


@pytest.mark.parametrize("size", ["1/4", "5/16", "3/8", "3/4"])
def test_bsw_and_unc_interchange_where_the_count_is_the_same(size: str) -> None:
    """Common practice: but for 1/2 in, a UNC bolt takes a BSW nut, if not well."""
    tpi = {"1/4": 20, "5/16": 18, "3/8": 16, "3/4": 10}[size]
    assert goes_on(get(f"{size} BSW"), get(f"{size}-{tpi} UNC")) > 0.5
