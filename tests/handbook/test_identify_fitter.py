"""What a fitter would say: worn bolts, spanners, flange bolts, nuts, a pitch or a spanner alone."""

import csv
from collections.abc import Mapping
from pathlib import Path

import pytest

from stores.errors import BadValue, NotationError
from stores.handbook.identify import TRADE, Identification, Measurement
from stores.handbook.identify import identify as weigh
from stores.handbook.identify.model import OTHER_FLATS, trade_weight
from stores.handbook.identify.weighing import flats_density
from stores.handbook.measure import read_measure
from stores.handbook.thread import Series, all_threads, get


def identify(measurement: Measurement, prior: Mapping[str, float] | str = TRADE) -> Identification:
    """Weigh as a fitter does, who knows what is common."""
    return weigh(measurement, prior)


PUBLISHED = Path(__file__).parents[1] / "published"


def published(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def told(given: str) -> Identification:
    """Identify from text such as ``bore=6.8; flats=13; head=nut``."""
    words = dict(part.strip().split("=", 1) for part in given.split(";"))
    return identify(Measurement.read(**words))  # type: ignore[arg-type]


def names(text: str) -> set[str]:
    return {name.strip() for name in text.split(";") if name.strip()}


# ---- natural inputs


@pytest.mark.parametrize("row", published("identify_natural"), ids=lambda r: r["given"])
def test_the_answer_is_the_fitters(row: dict[str, str]) -> None:
    found = told(row["given"])
    best = names(row["best"])
    assert found.best
    assert found.best.thread.designation in best
    assert sum(found.probability(name) for name in best) >= float(row["least"])
    if twins := names(row["twins"]):
        group = next(g for g in found.twins if twins <= set(g.names))
        assert group.best
        assert group.best.text in str(group)


# ---- wear


@pytest.mark.parametrize("row", published("identify_worn"), ids=lambda r: r["outside"])
def test_a_worn_bolt_is_still_known_by_its_pitch(row: dict[str, str]) -> None:
    found = identify(Measurement.read(outside=row["outside"], pitch=row["pitch"]))
    assert found.best
    assert found.best.thread.designation == row["name"]
    assert found.probability(row["name"]) > 0.5


def test_a_worn_nut_mirrors_a_worn_bolt() -> None:
    """M8 6H, ISO 965-2: bore 6.647 to 6.912 mm; a bore 0.2 mm over the limit is a worn M8."""
    found = identify(Measurement(bore_mm=7.1, gauge_mm=1.25))
    assert found.best
    assert found.best.thread.designation == "M8"
    assert found.probability("M8") > 0.9


def test_wear_goes_one_way() -> None:
    """No wear makes a bolt thicker: 0.2 mm over the greatest M8 is no M8, unless it is painted, and
    no coat of paint adds 0.3 mm."""
    for size in ({"outside_mm": 8.2}, {"bore_mm": 6.4}):
        bare = identify(Measurement(**size, gauge_mm=1.25, surface="bare"))  # type: ignore[arg-type]
        assert bare.probability("M8") < 0.01
    assert identify(Measurement(outside_mm=8.3, gauge_mm=1.25)).probability("M8") < 0.01
    assert identify(Measurement(bore_mm=6.3, gauge_mm=1.25)).probability("M8") < 0.01


def test_a_small_screw_is_not_worn_by_what_its_thread_is_deep() -> None:
    """M2 (pitch 0.4) rubbed down by 0.25 mm would have lost half its thread of 0.49 mm."""
    assert identify(Measurement(outside_mm=1.65, gauge_mm=0.4)).probability("M2") < 0.05


# ---- spanners


@pytest.mark.parametrize(
    ("whole", "exact"),
    [
        ("13", "13.0"),
        ("10", "10.0"),
        ("17 mm", "17.0 mm"),
        ("1/2", "0.500 in"),
        ("0.75 in", "0.750 in"),
    ],
)
def test_the_spanner_that_fits_is_not_a_rounded_figure(whole: str, exact: str) -> None:
    first, second = read_measure(whole, "across flats"), read_measure(exact, "across flats")
    assert first.value == pytest.approx(second.value)
    assert first.sigma == second.sigma
    assert first.by_spanner
    assert not second.by_spanner


def test_a_whole_number_of_flats_is_as_sure_as_one_with_a_nought() -> None:
    """ISO 272: 13 mm is M8; BS 1083: 0.525 in (13.3 mm) is 5/16."""
    for outside in ("7.9", "7.95"):
        said = identify(Measurement.read(outside=outside, flats="13", head="hex"))
        measured = identify(Measurement.read(outside=outside, flats="13.0", head="hex"))
        metric = ("M8", "M8x1", "M8x0.75")
        assert sum(map(said.probability, metric)) > 0.95
        assert sum(map(said.probability, metric)) == pytest.approx(
            sum(map(measured.probability, metric)), abs=0.03
        )


def test_a_rule_or_a_stated_doubt_is_no_spanner() -> None:
    assert not read_measure("13", "flats", "rule").by_spanner
    assert read_measure("13", "flats", "rule").sigma == pytest.approx(0.3)
    assert not read_measure("13 +/- 0.2", "flats").by_spanner
    assert read_measure("12.9", "flats").sigma == pytest.approx(0.03)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("1/4 W", 0.525),
        ("1/4 Whit", 0.525),
        ("5/16 BS", 0.525),
        ("5/16BSF", 0.525),
        ("3/16 W", 0.445),
        ("½ W", 0.920),
        ("1 1/8 Whitworth", 1.860),
        ("2BA", 0.324),
        ("7/16 AF", 0.4375),
        ("7/16 a/f", 0.4375),
    ],
)
def test_spanners_are_read_by_what_stands_on_them(text: str, inches: float) -> None:
    """BS 190 and BS 1083 (Machinery's Handbook 31, British fasteners Table 1), BA from memory."""
    measure = read_measure(text, "flats")
    assert measure.value == pytest.approx(25.4 * inches, abs=0.005)
    assert measure.by_spanner


def test_a_spanner_that_no_table_holds_is_refused() -> None:
    with pytest.raises(NotationError, match="no table holds a 3 W spanner"):
        read_measure("3 W", "flats")
    with pytest.raises(NotationError, match="cannot read an outside diameter"):
        read_measure("1/4 W", "od")


# ---- flange bolts, and heads that no table holds


@pytest.mark.parametrize(
    "row", published("identify_flanges"), ids=lambda r: f"{r['thread']}-{r['flats_mm']}"
)
def test_a_flange_bolt_is_known_by_its_spanner(row: dict[str, str]) -> None:
    thread, flats = get(row["thread"]), float(row["flats_mm"])
    assert flats in [s.af_mm for s in thread.spanners if s.part == row["part"]]
    nut = row["part"] == "flange nut"
    limits = thread.internal_minor_limits_mm if nut else thread.external_major_limits_mm
    assert limits is not None
    size = sum(limits) / 2
    found = identify(
        Measurement(
            bore_mm=size if nut else None,
            outside_mm=None if nut else size,
            gauge_mm=thread.pitch_mm,
            flats_mm=flats,
            flats_by_spanner=True,
            head=row["part"],
        )
    )
    assert found.probability(row["thread"]) > 0.9


def test_a_head_that_no_table_holds_speaks_neither_for_nor_against() -> None:
    """Flats that are in no table leave two threads of one size their odds."""
    bolt = {"outside_mm": 5.9, "gauge_mm": 1.0}
    plain = identify(Measurement(**bolt))
    odd = identify(Measurement(**bolt, flats_mm=9.1, head="hex flange"))
    for found in (plain, odd):
        assert found.probability("M6") > 0.6
    assert odd.probability("0BA") / odd.probability("M6") == pytest.approx(
        plain.probability("0BA") / plain.probability("M6"), rel=1e-6
    )


def test_flats_in_no_table_say_the_same_of_every_thread_of_a_size() -> None:
    bands = [(9.78, 10.0, 0.5), (12.73, 13.0, 0.5)]
    assert flats_density(11.5, 0.03, bands, 6.0) == pytest.approx(
        flats_density(11.5, 0.03, [], 6.0)
    )
    assert flats_density(9.9, 0.03, bands, 6.0) > 10 * flats_density(9.9, 0.03, [], 6.0)
    assert 0 < OTHER_FLATS < 1


@pytest.mark.parametrize(
    ("said", "head"),
    [
        ("hex flange", "hex flange"), ("flange bolt", "hex flange"), ("Flanged", "hex flange"),
        ("hexagon flange bolt", "hex flange"), ("hexagon head bolt", "hex"), ("hex bolt", "hex"),
        ("allen", "socket cap"), ("socket head cap screw", "socket cap"),
        ("cap-head", "socket cap"), ("grub screw", "headless"), ("csk", "countersunk"),
        ("hex nut", "nut"), ("flange nut", "nut"), ("button head", "button"),
    ],
)  # fmt: skip
def test_heads_are_called_by_many_names(said: str, head: str) -> None:
    assert Measurement(flats_mm=10.0, head=said).head == head


def test_a_head_of_no_flats_is_still_refused() -> None:
    with pytest.raises(BadValue, match="a pan head screw head has no flats"):
        Measurement(flats_mm=10.0, head="pan head screw")


# ---- how common threads are


def test_the_heavy_cycle_series_is_rare() -> None:
    """Common practice: bicycles and old motor cycles have 26 tpi; 20 tpi is UNF (ASME B1.1)."""
    for heavy, usual in (("7/16-20 cycle", "7/16-20 UNF"), ("1/2-20 cycle", "1/2-20 UNF")):
        assert trade_weight(get(heavy)) < 0.1 * trade_weight(get(usual))
    for odd in ("17/64-26 cycle", "7/32-26 cycle", "9/32-26 cycle"):
        assert trade_weight(get(odd)) < 0.1 * trade_weight(get("1/4-28 UNF"))
    for usual in ("1/4-26 cycle", "5/16-26 cycle", "3/8-26 cycle"):
        assert trade_weight(get(usual)) > 0.5 * trade_weight(get("1/4-28 UNF"))


def test_no_cycle_thread_outweighs_those_of_26() -> None:
    cycle = [t for t in all_threads() if t.series is Series.CYCLE]
    assert max(cycle, key=trade_weight).tpi == 26
