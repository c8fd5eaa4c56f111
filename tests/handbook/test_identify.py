"""Identification of threads: probability, the twins of the trade, published sizes, calibration."""

import csv
import importlib.util
import sys
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stores.errors import BadValue, NotationError
from stores.handbook.identify import TRADE, Measurement, contradiction, identify
from stores.handbook.identify import model as a
from stores.handbook.identify.model import GAUGES, USUAL, blades, chance, chances, choices
from stores.handbook.identify.weighing import (
    LEAST,
    banded,
    catalogue,
    none_density,
    normal_share,
    rubbed,
    worn,
)
from stores.handbook.lengths import length_likelihood
from stores.handbook.thread import all_threads, get

TESTS = Path(__file__).parents[1]


def published(name: str) -> list[dict[str, str]]:
    with (TESTS / "published" / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


# ---- probability


measurements = st.builds(
    lambda size, inside, pitch, flats, spanner, angle, spread: Measurement(
        outside_mm=None if inside else size,
        bore_mm=size if inside else None,
        gauge_mm=pitch if pitch and pitch < 3 else None,
        gauge_tpi=pitch if pitch and pitch > 3 else None,
        flats_mm=flats * size if flats else None,
        flats_by_spanner=spanner,
        angle_deg=angle,
        diameter_sigma_mm=spread,
    ),
    st.floats(0.9, 120),
    st.booleans(),
    st.none() | st.sampled_from([0.25, 0.8, 1.0, 1.25, 2.5, 4.0, 18.0, 20.0, 26.0, 32.0, 60.0]),
    st.none() | st.floats(1.2, 2.5),
    st.booleans(),
    st.none() | st.sampled_from([60.0, 55.0, 47.5]),
    st.floats(0.004, 0.5),
)


@given(measurements)
@settings(deadline=None)
def test_probabilities_sum_to_one_with_none_of_these(measurement: Measurement) -> None:
    found = identify(measurement)
    shares = [m.probability for m in found.matches]
    assert all(LEAST <= share <= 1 for share in shares)
    assert 0 <= found.none_share <= 1
    assert sum(shares) + found.none_share == pytest.approx(1, abs=1e-9)
    assert all(first >= second for first, second in pairwise(shares))


@given(measurements)
@settings(deadline=None, max_examples=50)
def test_the_window_leaves_nothing_out(measurement: Measurement) -> None:
    """Every thread weighed by the plain densities gives the same as the quick search."""
    from stores.handbook.identify.model import sets_for
    from stores.handbook.identify.weighing import (
        angle_chance,
        bore_limits,
        diameter_density,
        flats_bands,
        flats_density,
    )

    whole = catalogue()
    sigma, inside = measurement.diameter_sigma_mm, measurement.bore_mm is not None
    bands: dict[int, list[tuple[float, float, float]]] = {}
    for low, high, at, share in flats_bands(whole.threads, measurement.flats_of):
        bands.setdefault(at, []).append((low, high, share))
    weights = []
    for at, t in enumerate(whole.threads):
        limits = bore_limits(t) if inside else t.external_major_limits_mm
        size = measurement.diameter_mm
        assert size is not None
        like = diameter_density(size, sigma, *limits, t.pitch_mm, internal=inside)
        for unit, mark in (("mm", measurement.gauge_mm), ("tpi", measurement.gauge_tpi)):
            if mark is not None:
                sets = sets_for(unit, mark, ())
                like *= chance(unit, mark, t.pitch_mm, t.flank_angle_deg, sets, 8)
        if measurement.flats_mm is not None:
            like *= flats_density(
                measurement.flats_mm,
                0.03,
                bands.get(at, []),
                t.major_mm,
                spanner=measurement.flats_by_spanner,
            )
        if measurement.angle_deg is not None:
            like *= angle_chance(measurement.angle_deg, t.flank_angle_deg)
        weights.append(like * (1 - a.NONE_SHARE))
    none = a.NONE_SHARE * none_density(measurement)
    for prior, beforehand in ((TRADE, whole.trade), (None, whole.even)):
        shares = [weight * share for weight, share in zip(weights, beforehand, strict=True)]
        total = sum(shares) + none
        found = identify(measurement, prior)
        for t, share in zip(whole.threads, shares, strict=True):
            if share / total > 2 * LEAST:
                assert found.probability(t.designation) == pytest.approx(share / total, abs=1e-6)


def test_what_a_worn_size_measures_is_a_density() -> None:
    """Closed form against a brute convolution in numpy; and it integrates to one."""
    low, high, sigma, wear = 5.794, 5.974, 0.03, 0.02
    sizes = low + (np.arange(400) + 0.5) * (high - low) / 400
    drops = (np.arange(1200) + 0.5) * 0.0005
    weights = np.exp(-drops / wear) * 0.0005 / wear
    worn_sizes = sizes[:, None] - drops[None, :]
    for x in (5.6, 5.75, 5.8, 5.9, 5.97, 6.05, 6.1):
        bell = np.exp(-0.5 * ((x - worn_sizes) / sigma) ** 2) / (sigma * np.sqrt(2 * np.pi))
        brute = float((bell @ weights).mean())
        assert worn(x, low, high, sigma, wear) == pytest.approx(brute, rel=1e-3, abs=1e-12)
    grid = np.linspace(5.0, 6.5, 30001)
    total = sum(worn(x, low, high, sigma, wear) for x in grid.tolist()) * (grid[1] - grid[0])
    assert total == pytest.approx(1, abs=1e-6)


def test_what_a_rubbed_size_measures_is_a_density() -> None:
    """Closed form against a brute convolution in numpy; and it integrates to one."""
    low, high, sigma, most = 7.76, 7.972, 0.03, 0.3125
    sizes = low + (np.arange(400) + 0.5) * (high - low) / 400
    drops = (np.arange(400) + 0.5) * most / 400
    rubbed_sizes = sizes[:, None] - drops[None, :]
    for x in (7.4, 7.45, 7.5, 7.7, 7.9, 8.0, 8.05):
        bell = np.exp(-0.5 * ((x - rubbed_sizes) / sigma) ** 2) / (sigma * np.sqrt(2 * np.pi))
        brute = float(bell.mean())
        assert rubbed(x, low, high, sigma, most) == pytest.approx(brute, rel=1e-3, abs=1e-9)
    grid = np.linspace(7.0, 8.5, 30001)
    total = sum(rubbed(x, low, high, sigma, most) for x in grid.tolist()) * (grid[1] - grid[0])
    assert total == pytest.approx(1, abs=1e-6)


@given(
    st.floats(-50, 50), st.floats(0.001, 5), st.floats(0.001, 5), st.floats(0.001, 1),
    st.floats(0.0005, 1),
)  # fmt: skip
def test_the_density_is_never_negative_nor_overflows(
    x: float, width: float, sigma: float, low: float, wear: float
) -> None:
    value = worn(x, low, low + width, sigma, wear)
    assert 0 <= value <= 1.000001 / width
    assert 0 <= rubbed(x, low, low + width, sigma, wear) <= 1.000001 / width + 1e-9


def test_without_wear_the_density_is_symmetrical() -> None:
    for off in (0.0, 0.05, 0.1, 0.3):
        above, below = 5.9 + off, 5.9 - off
        assert banded(above, 5.8, 6.0, 0.03) == pytest.approx(banded(below, 5.8, 6.0, 0.03))
        assert worn(above, 5.8, 6.0, 0.03, 1e-6) == pytest.approx(
            banded(above, 5.8, 6.0, 0.03), rel=1e-3, abs=1e-12
        )


def test_a_normal_share_keeps_its_digits_in_the_tail() -> None:
    """Upper tail at 10 standard deviations: 7.61985e-24 (standard normal tables)."""
    assert normal_share(10, 40) == pytest.approx(7.61985e-24, rel=1e-5)
    assert normal_share(-40, -10) == pytest.approx(7.61985e-24, rel=1e-5)
    assert normal_share(-1, 1) == pytest.approx(0.682689, abs=1e-6)


def test_a_bore_is_the_mirror_of_a_bolt() -> None:
    """M6 6H, ISO 965-2: bore 4.917 to 5.153 mm."""
    found = identify(Measurement(bore_mm=5.035, gauge_mm=1.0, angle_deg=60.0))
    assert found.best
    assert found.best.thread.designation == "M6"


def test_threads_alike_in_all_that_was_measured_keep_their_odds() -> None:
    """1/4 BSF and 1/4 cycle by diameter alone: limits alike, so the prior alone decides."""
    found = identify(Measurement(outside_mm=6.3))
    shares = [found.probability(name) for name in ("1/4 BSF", "1/4-26 cycle")]
    assert shares[0] == pytest.approx(shares[1])
    twice = identify(Measurement(outside_mm=6.3), {"1/4 BSF": 2, "1/4-26 cycle": 1})
    assert twice.probability("1/4 BSF") > 1.5 * twice.probability("1/4-26 cycle")


# ---- prior


def test_the_machines_record_turns_the_answer() -> None:
    bolt = Measurement(outside_mm=5.9, gauge_mm=1.0)
    assert identify(bolt, {"0BA": 12, "4BA": 6}).best.thread.designation == "0BA"  # type: ignore[union-attr]
    assert identify(bolt, {"M6": 12, "M8": 6}).best.thread.designation == "M6"  # type: ignore[union-attr]


def test_no_record_rules_a_thread_out() -> None:
    bolt = Measurement(outside_mm=7.87, gauge_mm=1.25, angle_deg=60.0)
    assert identify(bolt, {"5/16 BSF": 100}).probability("M8") > 0.95


def test_a_recorded_thread_that_no_table_holds_is_found() -> None:
    bolt = Measurement(outside_mm=12.85, gauge_mm=1.5, angle_deg=60.0)
    assert identify(bolt).probability("M13x1.5") == 0
    found = identify(bolt, {"M13x1.5": 2, "M8": 5})
    assert found.best
    assert found.best.thread.designation == "M13x1.5"


def test_a_name_that_may_be_two_threads_is_shared() -> None:
    found = identify(Measurement(outside_mm=6.3, gauge_tpi=26.0), {"1/4-26": 4, "M6": 1})
    assert found.probability("1/4 BSF") == pytest.approx(
        found.probability("1/4-26 cycle"), rel=0.05
    )


def test_the_prior_is_a_distribution_and_misses_no_thread() -> None:
    even = catalogue().even
    assert sum(even) == pytest.approx(1)
    assert len(set(even)) == 1
    trade = catalogue().trade
    assert sum(trade) == pytest.approx(1)
    assert min(trade) > 0
    assert len(trade) == len(all_threads())


# ---- gauges


def test_each_blade_is_taken_for_its_own_pitch() -> None:
    for name in GAUGES:
        own = blades((name,))
        for at, blade in enumerate(own):
            shares = choices(blade.pitch_mm, blade.angle_deg, (name,), 8)
            assert sum(shares) == pytest.approx(1)
            assert max(shares) == shares[at]


@pytest.mark.parametrize("gauges", [USUAL, GAUGES, ("unified",), ("ba",)], ids="+".join)
@pytest.mark.parametrize("crests", [2, 8, 20])
def test_all_shapes_at_once_are_as_one_by_one(gauges: tuple[str, ...], crests: int) -> None:
    shapes = catalogue().shapes
    assert {(t.pitch_mm, t.flank_angle_deg) for t in all_threads()} == set(shapes)
    for blade in blades(gauges)[::3]:
        quick = chances(shapes, blade.unit, blade.mark, gauges, crests)
        plain = [chance(blade.unit, blade.mark, *shape, gauges, crests) for shape in shapes]
        assert quick == pytest.approx(plain, abs=1e-9)


def test_more_crests_confuse_less() -> None:
    """26 tpi on a 1.0 mm pitch: 0.023 mm a crest, which adds up."""
    wrong = [chance("mm", 1.0, 25.4 / 26, 55.0, USUAL, crests) for crests in (3, 5, 8, 12)]
    assert all(more > less for more, less in pairwise(wrong))


def test_a_blade_no_set_has_is_asked_about() -> None:
    with pytest.raises(
        BadValue, match="no blade of a metric or whitworth gauge reads 23 tpi: near"
    ):
        identify(Measurement(gauge_tpi=23.0))
    with pytest.raises(BadValue, match="no thread gauge 'french'"):
        identify(Measurement(gauge_tpi=26.0, gauges=("french",)))
    # 0.81 is a BA blade: that set was then at hand.
    assert identify(Measurement(outside_mm=4.6, gauge_mm=0.81)).probability("2BA") > 0.8


# ---- published sizes


def _limits_rows() -> list[tuple[str, float, dict[str, float]]]:
    rows = []
    for row in published("threads_iso_metric"):
        if row["d_max_6g_mm"]:
            size = (float(row["d_max_6g_mm"]) + float(row["d_min_6g_mm"])) / 2
            rows.append((row["designation"], size, {"gauge_mm": float(row["p_mm"])}))
    for name in ("threads_unc", "threads_unf"):
        for row in published(name):
            if row["d_max_2a_in"]:
                size = 25.4 * (float(row["d_max_2a_in"]) + float(row["d_min_2a_in"])) / 2
                rows.append((row["designation"], size, {"gauge_tpi": float(row["tpi"])}))
    return rows


@pytest.mark.parametrize(("name", "size", "pitch"), _limits_rows(), ids=str)
def test_a_bolt_in_the_middle_of_its_printed_limits_is_named(
    name: str, size: float, pitch: dict[str, float]
) -> None:
    """Metric: named outright. Unified: named, or a twin of the thread that is."""
    name = get(name).designation
    found = identify(Measurement(outside_mm=size, **pitch), TRADE)  # type: ignore[arg-type]
    assert found.best
    if "gauge_mm" in pitch:
        assert found.best.thread.designation == name
    else:
        groups = [set(group.names) for group in found.twins] or [{found.best.thread.designation}]
        assert any(name in group for group in groups)
        # Odd number sizes are seldom met outside America: the prior is against them.
        odd = name.split("-")[0] in ("#1", "#3", "#5")
        assert found.probability(name) > (0.05 if odd else 0.2)


def test_across_flats_tell_what_the_printed_spanners_say() -> None:
    """BS 1083: 0.525 in is the spanner of 5/16; ISO 272: 13 mm of M8; 16 mm of M10."""
    for flats, name in ((0.523 * 25.4, "5/16 BSW"), (12.9, "M8"), (15.9, "M10")):
        found = identify(Measurement(flats_mm=flats, head="hex"))
        assert found.probability(name) > 0.1
        assert name in [m.thread.designation for m in found.matches[:4]]


# ---- errors


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({}, "nothing was measured: give a diameter, a pitch, flats or a flank angle"),
        (
            {"outside_mm": 6.0, "bore_mm": 5.0},
            "an outside diameter is of a bolt and a bore of a nut: give one of them",
        ),
        (
            {"gauge_mm": 1.0, "gauge_tpi": 26.0},
            "a gauge blade is in mm or in threads per inch: give one of them",
        ),
        (
            {"outside_mm": 6.0, "head": "nut"},
            "a nut has no outside diameter of thread: measure its bore",
        ),
        ({"outside_mm": -6.0}, "outside_mm -6: expected 0.1 to 300"),
        ({"outside_mm": float("nan")}, "outside_mm nan: expected 0.1 to 300"),
        ({"outside_mm": 6.0, "diameter_sigma_mm": 0.0}, "diameter_sigma_mm 0: expected 0.001 to 5"),
        (
            {"outside_mm": 6.0, "surface": "wet"},
            "no surface 'wet': expected bare, painted, rusty",
        ),
        ({"angle_deg": 53.0}, "flank angle 53 degrees: expected 60, 55 or 47.5"),
        (
            {"flats_mm": 10.0, "head": "cheese"},
            "a cheese head has no flats: leave across flats out, or the head",
        ),
        (
            {"flats_mm": 10.0, "head": "odd"},
            "no flats are on record for the head 'odd': expected hex, hex flange, nut, socket cap, "
            "button, countersunk, headless",
        ),
    ],
)
def test_errors_are_one_clear_line(given: dict[str, float], message: str) -> None:
    with pytest.raises(BadValue) as caught:
        identify(Measurement(**given))  # type: ignore[arg-type]
    assert str(caught.value) == message


def test_a_prior_must_name_threads_and_have_weight() -> None:
    bolt = Measurement(outside_mm=6.0)
    with pytest.raises(NotationError, match="not a thread"):
        identify(bolt, {"spanner": 1})
    with pytest.raises(NotationError, match="its name does not give its pitch"):
        identify(bolt, {"M13": 1})
    with pytest.raises(BadValue, match="expected a number not below zero"):
        identify(bolt, {"M6": -1})
    with pytest.raises(BadValue, match="no thread of the machine's record has a weight above zero"):
        identify(bolt, {"M6": 0})


def test_what_is_far_from_every_thread_is_none_of_these() -> None:
    found = identify(Measurement(outside_mm=5.65, gauge_tpi=13.0, angle_deg=47.5))
    assert found.none_share > 0.5
    assert identify(Measurement(outside_mm=250.0)).none_share == 1
    assert identify(Measurement(outside_mm=250.0)).best is None


def test_what_was_written_down_is_read() -> None:
    written = Measurement.read(
        outside="0.248 in", pitch="26 tpi", over="9.8 over ten", flats="0.445 in", angle="55"
    )
    assert written.outside_mm == pytest.approx(6.2992)
    assert (written.gauge_tpi, written.over_mm, written.over_pitches) == (26, 9.8, 10)
    found = identify(written)
    assert found.best
    assert found.best.thread.designation == "1/4 BSF"


def test_a_pitch_given_twice_the_same_way_is_refused() -> None:
    with pytest.raises(BadValue, match="the pitch was given twice: '26 tpi' and '26'"):
        Measurement.read(outside="6.2", pitch="26 tpi", over="26")
    with pytest.raises(BadValue, match="in mm or in threads per inch"):
        Measurement.read(outside="6.2", pitch="26 tpi", over="1.25")


# ---- calibration


def _benchmark() -> ModuleType:
    path = TESTS / "benchmarks" / "identify.py"
    spec = importlib.util.spec_from_file_location("benchmark_identify", path)
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def test_it_is_calibrated_and_close_to_the_bayes_limit() -> None:
    """The benchmark in small: brute force in numpy on the same simulated bolts, seeded."""
    score = _benchmark().score(4000, 7, "diameter gauge")
    assert score.ours >= score.limit - 0.01
    assert score.difference < 0.01
    # Of 4000 bolts chance alone leaves about 1 %.
    assert score.calibration <= 0.02
    assert score.pooled_calibration <= 0.01
    assert score.ours > score.nearest_of_pitch + 0.1 > score.nearest + 0.1


def test_without_a_prior_it_is_calibrated_where_every_thread_is_as_common() -> None:
    """The same where the true thread is drawn evenly from the lists."""
    benchmark = _benchmark()
    world = benchmark.World("evenly", weights=np.ones(len(all_threads())), told=None)
    for what in ("diameter", "diameter gauge", "bore gauge"):
        score = benchmark.score(4000, 11, what, world)
        assert score.ours >= score.limit - 0.01
        # Of 4000 bolts chance alone leaves about 1 %, 2 % where most choices are open.
        assert score.calibration <= max(0.02, score.limit_calibration + 0.005)
        assert score.ours > score.nearest + 0.1


def _world(benchmark: ModuleType, name: str) -> Any:
    return next(each for each in benchmark.ALL_ALIKE if each.name == name)


@pytest.mark.parametrize("name", ["painted, 0 to 0.15", "worn by 0.1 on average"])
def test_painted_or_worn_throughout_it_is_close_to_what_is_possible(name: str) -> None:
    """Nobody says so; the brute force beside it knows."""
    benchmark = _benchmark()
    score = benchmark.score(4000, 3, "diameter gauge", _world(benchmark, name))
    assert score.ours >= score.limit - 0.03
    assert score.calibration <= 0.03


@pytest.mark.parametrize(
    ("name", "surface"), [("painted, 0 to 0.15", "painted"), ("rubbed or rusted, all", "rusty")]
)
def test_where_the_surface_is_said_it_is_as_good_as_possible(name: str, surface: str) -> None:
    benchmark = _benchmark()
    world = replace(_world(benchmark, name), surface=surface)
    score = benchmark.score(4000, 3, "diameter gauge", world)
    assert score.ours >= score.limit - 0.01
    assert score.calibration <= 0.03


def test_where_there_is_neither_paint_nor_rust_little_is_lost_by_allowing_for_it() -> None:
    benchmark = _benchmark()
    score = benchmark.score(4000, 3, "diameter gauge", benchmark.World("plain", benchmark.PLAIN))
    assert score.ours >= score.limit - 0.01
    assert score.calibration <= 0.03


def test_a_coat_of_paint_does_not_make_a_cycle_thread_of_a_metric_one() -> None:
    """M6 is 5.974 mm at most (ISO 965-2, 6g); a coat of 0.05 mm a side makes that 6.07."""
    found = identify(Measurement(outside_mm=6.08, gauge_mm=1.0), TRADE)
    assert found.best
    assert found.best.thread.designation == "M6"
    bare = identify(Measurement(outside_mm=6.08, gauge_mm=1.0, surface="bare"), TRADE)
    assert bare.probability("M6") < found.probability("M6")


@pytest.mark.parametrize("word", ["rusty", "worn", "Corroded", " rusted "])
def test_a_surface_has_more_names_than_one(word: str) -> None:
    assert Measurement(outside_mm=6.0, surface=word).surface == "rusty"


def test_a_surface_is_asked_about_where_the_answer_turns_on_it() -> None:
    """6.10 mm over the crests: under paint an M6 (5.794 to 5.974, ISO 965-2), bare metal has no
    M6 of that size; 7.9 mm with 1.25 mm is an M8 whatever is on it."""
    open_ = {each.surface: each for each in identify(Measurement(outside_mm=6.1), TRADE).turns_on}
    assert open_["painted"].thread.designation == "M6"
    assert open_["bare"].thread.designation != "M6"
    for surface, each in open_.items():
        said = identify(Measurement(outside_mm=6.1, surface=surface), TRADE)
        assert said.best
        assert said.best.thread == each.thread
        assert said.best.probability == pytest.approx(each.probability, abs=1e-3)
        assert said.turns_on == ()
    assert identify(Measurement(outside_mm=7.9, gauge_mm=1.25), TRADE).turns_on == ()
    assert identify(Measurement(gauge_mm=1.25), TRADE).turns_on == ()


@pytest.mark.parametrize(
    ("measured", "part", "other"),
    [
        ({"outside": "7.9", "pitch": "7 tpi"}, "diameter", "pitch"),  # 5/16 has no 7 tpi
        ({"outside": "5.95", "pitch": "1.0", "flats": "13"}, "size across flats", ""),  # an M8's
        ({"outside": "7.88", "pitch": "22 tpi", "flats": "22"}, "size across flats", ""),
        ({"outside": "12.6", "pitch": "1.0", "flats": "10"}, "diameter", ""),  # M6 but for that
    ],
)
def test_measurements_that_do_not_go_together_are_named(
    measured: dict[str, str], part: str, other: str
) -> None:
    """Common practice: a bolt of 5.95 mm and 1 mm pitch has 10 mm flats; 5/16 BSF has 22 tpi."""
    found = contradiction(Measurement.read(**measured), TRADE)
    assert found
    assert {found.part, found.other} == {part, other}


@pytest.mark.parametrize(
    "measured",
    [
        {"outside": "5.95", "pitch": "1.0", "flats": "10"},
        {"outside": "7.9", "pitch": "22 tpi", "flats": "13.3"},
        {"outside": "6.3", "pitch": "26 tpi", "angle": "60"},
        {"outside": "12.6", "pitch": "12 tpi"},
        {"outside": "5.9"},
    ],
)
def test_measurements_of_one_bolt_go_together(measured: dict[str, str]) -> None:
    assert contradiction(Measurement.read(**measured), TRADE) is None


def test_a_length_out_of_tolerance_speaks_against_a_screw_without_an_edge() -> None:
    """js17 on 25 mm is 1.05 mm either way (ISO 4759-1, ISO 286-1): beyond it the density falls
    tenfold and more, then by a slope; and it is a density: over all lengths it adds up to 1."""
    inside = length_likelihood(25.5, 25, "hex")
    outside = [length_likelihood(25 + off, 25, "hex") for off in (1.3, 1.6, 2.0, 3.0)]
    assert outside[0] < inside / 10
    assert all(0.2 * a < b < a for a, b in pairwise(outside[:3]))
    steps = np.arange(10, 40, 0.001)
    assert sum(length_likelihood(x, 25, "hex") for x in steps) * 0.001 == pytest.approx(1, abs=1e-3)


def test_a_length_over_crests_says_over_how_many() -> None:
    with pytest.raises(BadValue, match="over how many crests"):
        Measurement.read(outside="6.0", over="9.8")
