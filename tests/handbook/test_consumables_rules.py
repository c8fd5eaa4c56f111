"""How much a job takes and how long it keeps, against worked examples and by hand."""

import csv
import re
from collections.abc import Callable
from datetime import date
from fractions import Fraction
from itertools import permutations
from math import pi
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from stores import units
from stores.errors import BadValue, NotationError, NotFound
from stores.handbook import consumables as shop
from stores.handbook.answer import Answer, cite
from stores.handbook.battery import gravity_at
from stores.handbook.consumables import (
    consumables,
    kind_by_key,
    usable_until,
)
from stores.handbook.fluids import Box
from stores.handbook.thread import get

PUBLISHED = Path(__file__).parent.parent / "published"


def rows(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / f"{name}.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def figures(inputs: str) -> list[float]:
    """Give the figures of an example in the order in which they stand, names and units aside."""
    plain = re.sub(r"\b[A-Za-z_]\w*=", " ", inputs)
    return [float(found) for found in re.findall(r"(?<![\w.])\d+(?:\.\d+)?", plain)]


def _cartridge(_: list[float]) -> float:
    ml = float(units.convert(Fraction("10.3"), "US fl oz", "ml"))
    return float(units.convert(shop.square_joint_length(ml, 6.35, 6.35).value, "m", "ft"))


def _fillet(_: list[float]) -> float:
    density = 0.283 * 453.59237 / 2.54**3  # lb/in3
    grams = shop.fillet(0.5 * 25.4, 12 * 25.4, density).value
    return float(units.convert(grams, "g", "lb"))


WORKED: dict[str, Callable[[list[float]], float]] = {
    "sealant bead volume": lambda n: shop.bead(n[0], n[1]).value,
    "sealant bead with loops round holes": lambda n: shop.bead(n[0], n[1], int(n[2]), n[3]).value,
    "bead length from a pack": lambda n: shop.bead_length(n[0], n[1]).value,
    "square joint length from a cartridge": _cartridge,
    "threadlocker for a job": lambda n: (
        shop.threadlocker(
            [(get("M6"), int(n[0])), (get("M8"), int(n[2])), (get("M10"), int(n[4]))]
        ).value
    ),
    "retaining compound in an annular gap": lambda n: shop.retaining(*n).value,
    "grease to replenish from the side": lambda n: shop.replenish(*n).value,
    "free space of a ball bearing": lambda n: shop.free_space(*n[:5]).value,
    "initial fill, a third of free space": lambda n: shop.first_fill(n[0], 1 / 3, n[-1]).value,
    "theoretical spreading rate": lambda n: shop.practical_rate(*n, loss=0).value,
    "wet film for a dry film": lambda n: shop.wet_film(*n).value,
    "paint to buy": lambda n: shop.paint_to_buy(n[0], int(n[1]), n[2], n[3], n[4]).value,
    "citric acid bath, grams per litre": lambda n: shop.citric_acid(*n).value,
    "electrolyte density to 25 C": lambda n: gravity_at(*n, 25.0),
    "liquid in a tank with a part in it": lambda n: (
        shop.tank_with_part(Box(600, 400, 300), n[-3], n[-2]).value
    ),
    "gaskets from a sheet, straight rows": lambda _: (
        shop.blanks_from_sheet((500, 500), (180, 120), 5).value
    ),
    "hose to buy": lambda n: shop.runs(n[:3], n[3]).value,
    "heat-shrink cut length": lambda n: shop.heat_shrink(n[0], n[1] / 100).value,
    "fillet weld metal": _fillet,
    "electrodes for a weld": lambda n: shop.filler(n[0], n[1]).value,
    "voltage drop along a wire": lambda n: (
        shop.voltage_drop(shop.wire_of_strands("14/0.30").ohm_per_m, *n[-2:]).value
    ),
    "welding time from a cylinder": lambda n: shop.gas_minutes(*n).value,
    "whole packs": lambda n: shop.whole_packs(n[0], n[1], n[2]).value,
}
IN_WORDS = {"mixing by parts", "usable until, opened tin"}
EXAMPLES = {row["kind"]: row for row in rows("consumables_examples")}


def test_every_worked_example_is_checked() -> None:
    assert set(EXAMPLES) == set(WORKED) | IN_WORDS


@pytest.mark.parametrize("kind", WORKED)
def test_worked_examples_to_half_the_last_digit(kind: str) -> None:
    row = EXAMPLES[kind]
    printed = row["result"]
    half = 0.5 * 10.0 ** -len(printed.partition(".")[2])
    assert WORKED[kind](figures(row["inputs"])) == pytest.approx(float(printed), abs=half * 1.0001)


def test_parts_are_mixed_as_in_the_example() -> None:
    made = shop.mix(300, shop.read_parts("4:1:1"))
    assert [f"{one.value:g}" for one in made] == EXAMPLES["mixing by parts"]["result"].split(" / ")
    assert [one.what for one in made] == ["paint", "hardener", "thinner"]


def test_the_earlier_date_counts_as_in_the_example() -> None:
    kind = kind_by_key("coolant")
    sealed = usable_until(kind, made=date(2024, 3, 1), unopened_months=24)
    opened = usable_until(
        kind, made=date(2024, 3, 1), opened=date(2025, 1, 15), unopened_months=24, opened_months=12
    )
    assert EXAMPLES["usable until, opened tin"]["result"] == f"{opened.day:%Y-%m}"
    assert (sealed.day, sealed.by, opened.by) == (date(2026, 3, 1), "made", "opened")


@pytest.mark.parametrize("row", rows("consumables_thread_gaps"), ids=lambda row: row["thread"])
def test_the_gap_of_a_thread(row: dict[str, str]) -> None:
    """Within 3 % and the rounding: the two differ on the nut's root, which no standard limits."""
    gap = shop.thread_gap(get(row["thread"]))
    for value, printed in ((gap.value, "gap_mm3"), (gap.low, "low_mm3"), (gap.high, "high_mm3")):
        half = 0.5 * 10.0 ** -len(row[printed].partition(".")[2])
        assert value == pytest.approx(float(row[printed]), abs=half + 0.03 * value)
    booked = shop.threadlocker_allowance(get(row["thread"]))
    assert booked.value == pytest.approx(float(row["booked_ml"]))
    assert any("our allowance" in said for said in booked.assumptions)


@pytest.mark.parametrize(
    "name", ["M2", "M64x6", "1/4 BSF", "1 BSW", "2 BA", "1/4 UNC", "G1/2", "26 tpi cycle 1/4"]
)
def test_the_gap_holds_the_flanks_and_grows_with_the_length(name: str) -> None:
    thread = get(name)
    gap = shop.thread_gap(thread)
    assert 0 <= gap.low <= gap.value <= gap.high
    assert shop.thread_gap(thread, 2 * thread.major_mm).value == pytest.approx(2.5 * gap.value)


def test_a_round_bead_by_hand() -> None:
    assert shop.bead(2, 1000).value == pytest.approx(pi)
    assert shop.bead(2, 1000).high == pytest.approx(1.1 * pi)  # 10 %, common practice
    assert shop.bead_length(shop.bead(2, 1000).value, 2).value == pytest.approx(1.0)
    assert shop.square_joint(10, 10, 1000).value == 100
    assert shop.film(50, 0.2).value == 1.0  # 50 cm2 by 0.02 cm


def test_grease_through_the_ring() -> None:
    assert shop.replenish(100, 20, through_ring=True).value == pytest.approx(4.0)  # 0.002 D B
    assert any("wrong by ten" in said for said in shop.replenish(47, 14).assumptions)
    assert any("texts differ" in said for said in shop.first_fill(6.3).assumptions)
    with pytest.raises(BadValue, match="more steel than fits"):
        shop.free_space(20, 47, 14, 1000)
    with pytest.raises(BadValue, match="less than 47"):
        shop.free_space(47, 47, 14, 100)


def test_paint_in_american_measure() -> None:
    """1604 square feet to the US gallon and mil, at 100 % solids: five paint-trade pages."""
    rate = shop.practical_rate(100, 25.4, 0).value  # m2/l at one mil
    square_feet = rate / 0.3048**2 * 3.785411784
    assert square_feet == pytest.approx(1604, abs=0.5)
    assert shop.wet_film(60, 50, 0.2).value == pytest.approx(100)
    assert shop.practical_rate(65, 125, 0.4).value == pytest.approx(5.2 * 0.6)
    by_gun = shop.paint_to_buy(1, 1, 50, 50)
    assert [by_gun.low, by_gun.high] == pytest.approx([100 / 0.7, 100 / 0.5])
    with pytest.raises(BadValue, match="no way to put on paint 'mop'"):
        shop.practical_rate(50, 50, way="mop")


@pytest.mark.parametrize(
    ("said", "parts"),
    [
        ("4:1:1", "4 1 1"),
        ("2 to 1", "2 1"),
        ("3 : 1,5", "3 3/2"),
        ("2:1 + 10 % of the paint", "2 1 1/5"),
        ("2:1 + 10 % of the mix", "2 1 3/10"),
        ("1 + 10 % thinners", "1 1/10"),
    ],
)
def test_parts_as_the_tin_has_them(said: str, parts: str) -> None:
    assert shop.read_parts(said) == tuple(Fraction(part) for part in parts.split())


@pytest.mark.parametrize(
    ("said", "error", "message"),
    [
        ("2:1 + 10 %", BadValue, "2:1 . 10 % of the paint, or 2:1 . 10 % of the mix"),
        ("two to one", NotationError, "write them as 4:1:1"),
        ("2:1 + a splash", NotationError, "of the paint"),
        ("0:1", BadValue, "above 0"),
        ("4", NotationError, "write them as 4:1:1"),
    ],
)
def test_parts_asked_about(said: str, error: type[Exception], message: str) -> None:
    with pytest.raises(error, match=message):
        shop.read_parts(said)


@given(st.lists(st.integers(1, 40), min_size=2, max_size=4), st.integers(1, 5000))
def test_parts_add_up_in_their_ratio(parts: list[int], ready: int) -> None:
    made = shop.mix(ready, tuple(Fraction(part) for part in parts))
    assert sum(one.value for one in made) == pytest.approx(ready)
    for one, part in zip(made, parts, strict=True):
        assert one.value / made[0].value == pytest.approx(part / parts[0])


def test_the_strength_of_citric_acid_and_what_a_tank_holds() -> None:
    assert shop.citric_acid_by_mass(95, 5).value == pytest.approx(5000)  # 5 in 100 by mass
    assert any("5 % is 50 g/l" in said for said in shop.citric_acid(20).assumptions)
    with pytest.raises(BadValue, match="more than the tank holds"):
        shop.tank_with_part(Box(100, 100, 100), 50, 100)
    with pytest.raises(BadValue, match="known are steel"):
        shop.tank_with_part(Box(100, 100, 100), 50, 1, "lead")


def test_blanks_turned_where_that_gives_more() -> None:
    """By hand: a blank of 30 x 100 lies 3 x 2 as drawn; turned, 1 x 9."""
    assert shop.blanks_from_sheet((110, 290), (30, 100), 2).value == 9
    assert shop.sheets_for_blanks(10, (110, 290), (30, 100), 2).value == 2
    with pytest.raises(BadValue, match="does not fit"):
        shop.sheets_for_blanks(1, (100, 100), (120, 50))


def test_a_total_that_is_enough_and_no_piece_that_is() -> None:
    made = shop.cut_lengths([900, 600], [800, 800])
    assert (made.total.value, made.enough_in_all, made.short) == (1500, True, (900,))
    assert made.lengths == ((800.0, (600.0,)),)
    fits = shop.cut_lengths([420, 310, 655], [1200, 500], 25)
    assert fits.short == ()
    assert all(sum(cuts) <= length for length, cuts in fits.lengths)
    none = shop.cut_lengths([100], [])
    assert (none.enough_in_all, none.short) == (False, (100.0,))


def _fewest_left_out(cuts: list[int], there: list[int]) -> int:
    """Try every order of cuts into every order of lengths: slow and plain."""
    fewest = len(cuts)
    for order in permutations(cuts):
        for lengths in permutations(there):
            left, missed = list(lengths), 0
            for cut in order:
                at = next((at for at, length in enumerate(left) if length >= cut), None)
                if at is None:
                    missed += 1
                else:
                    left[at] -= cut
            fewest = min(fewest, missed)
    return fewest


@given(
    st.lists(st.integers(1, 9), min_size=1, max_size=5), st.lists(st.integers(1, 12), max_size=3)
)
@example([4, 4, 3, 3, 2], [8, 8])
@example([5, 4, 3, 3], [8, 7])
def test_lengths_are_cut_as_well_as_can_be(cuts: list[int], there: list[int]) -> None:
    made = shop.cut_lengths(cuts, there)
    assert made.sure
    assert len(made.short) == _fewest_left_out(cuts, there)
    placed = [cut for _, own in made.lengths for cut in own]
    assert sorted([*placed, *made.short]) == sorted(cuts)
    assert all(sum(own) <= length for length, own in made.lengths)


def test_many_lengths_are_cut_in_bounded_time() -> None:
    made = shop.cut_lengths([101 + at for at in range(60)], [290] * 30)
    assert sorted([*(c for _, own in made.lengths for c in own), *made.short])[0] == 101


def test_heat_shrink_over_a_plug() -> None:
    assert shop.shrink_ratio(12, 6).value == 2
    assert shop.shrink_ratio(12, 5).value == 3
    with pytest.raises(BadValue, match="before the plug"):
        shop.shrink_ratio(50, 5)
    with pytest.raises(BadValue, match="which is which"):
        shop.shrink_ratio(5, 6)


def test_wire_and_weld() -> None:
    assert shop.voltage_drop(0.0189, 5, 8, both_ways=True).value == pytest.approx(0.0189 * 80)
    thin = shop.voltage_drop(0.0294, 2, 10)
    assert any("too thin" in said for said in thin.cautions)  # rated 5.75 A
    with pytest.raises(NotFound, match=r"9/0\.30"):
        shop.wire_of_strands("65/0.30")
    with pytest.raises(NotationError, match=r"14/0\.30"):
        shop.wire_of_strands("thick")
    rods = shop.filler(100)
    assert [rods.low, rods.high] == pytest.approx([100 / 0.66, 100 / 0.59])
    with pytest.raises(BadValue, match="known are submerged arc"):
        shop.filler(100, process="gas")


LIVES = [
    # row of the table by hand, cautious end of each
    ("brake-fluid-glycol", "made", (2026, 3, 1), None, (2028, 3, 1)),
    ("brake-fluid-glycol", "opened", (2026, 3, 1), (2026, 6, 10), (2026, 6, 10)),
    ("lithium-grease", "made", (2024, 2, 29), None, (2029, 2, 28)),
    ("cutting-disc", "made", (2024, 1, 1), None, (2027, 1, 1)),
    ("petrol", "opened", (2026, 1, 31), (2026, 3, 31), (2026, 9, 30)),
]


@pytest.mark.parametrize(("key", "by", "made", "opened", "until"), LIVES)
def test_until_when_a_pack_is_good(
    key: str,
    by: str,
    made: tuple[int, int, int],
    opened: tuple[int, int, int] | None,
    until: tuple[int, int, int],
) -> None:
    """24, 0, 60, 36 and 6 months: the lives that texts print, the shortest of each."""
    found = usable_until(
        kind_by_key(key), made=date(*made), opened=date(*opened) if opened else None
    )
    assert (found.day, found.by, found.check) == (date(*until), by, False)
    assert found.latest is not None
    assert found.day is not None
    assert found.day <= found.latest


def test_what_is_not_known_is_not_said() -> None:
    unknown = usable_until(kind_by_key("brake-fluid-glycol"))
    assert (unknown.day, unknown.check, unknown.final) == (None, True, True)
    assert any("never used" in said for said in unknown.cautions)
    bought = usable_until(kind_by_key("lithium-grease"), bought=date(2026, 1, 1))
    assert (bought.by, bought.final) == ("bought", False)
    assert "counted from the day bought" in bought.assumptions[0]
    undated = usable_until(kind_by_key("split-pins"), made=date(1990, 1, 1))
    assert (undated.day, undated.check) == (None, False)
    label = usable_until(
        kind_by_key("cutting-disc"), made=date(2026, 1, 1), label=date(2026, 5, 31)
    )
    assert (label.day, label.by) == (date(2026, 5, 31), "label")
    hint = usable_until(kind_by_key("masking-tape"), made=date(2026, 1, 1))
    assert any("from memory" in said for said in hint.assumptions)
    with pytest.raises(BadValue, match="opened before it was made"):
        usable_until(kind_by_key("petrol"), made=date(2026, 1, 2), opened=date(2026, 1, 1))


@given(st.integers(0, 10**6), st.integers(1, 10**5), st.integers(0, 10**6))
def test_whole_packs_are_enough_and_one_less_is_not(need: int, pack: int, there: int) -> None:
    packs = shop.whole_packs(need, pack, there).value
    assert there + packs * pack >= need
    assert packs == 0 or there + (packs - 1) * pack < need


@pytest.mark.parametrize("kind", consumables(), ids=lambda kind: kind.key)
def test_each_kind_has_its_cautions(kind: shop.Consumable) -> None:
    said = shop.cautions_of(kind)
    assert "safety data sheet" in said[0]
    assert "local rules" in said[-1]
    for words, caution in (
        ("flammable", "no flame"),
        ("sensitiser", "allergic|asthma"),
        ("asphyxiant", "Stifles"),
        ("corrosive", "goggles"),
    ):
        if any(words in hazard for hazard in kind.hazards):
            assert re.search(caution, " ".join(said))


ANSWERS: list[Answer] = [
    shop.bead(3, 640, 4, 12),
    shop.square_joint_length(300, 6, 6),
    shop.film(100, 0.1),
    shop.retaining(47, 14, 0.03),
    shop.threadlocker([(get("M8"), 6)]),
    shop.replenish(47, 14),
    shop.free_space(20, 47, 14, 106),
    shop.first_fill(6.3),
    shop.paint_to_buy(1.2, 2, 45, 40),
    *shop.mix(300, (Fraction(2), Fraction(1))),
    shop.citric_acid(20),
    shop.tank_with_part(Box(600, 400, 300), 250, 12),
    shop.blanks_from_sheet((500, 500), (180, 120)),
    shop.runs([420, 310], 25),
    shop.heat_shrink(30),
    shop.fillet(6, 1000),
    shop.filler(169.6),
    shop.gas_minutes(9, 200, 10),
    shop.voltage_drop(0.0189, 5, 8),
    shop.whole_packs(2350, 1000, 180),
]


@pytest.mark.parametrize("answer", ANSWERS, ids=lambda answer: answer.what)
def test_each_answer_says_where_it_is_from(answer: Answer) -> None:
    assert answer.low <= answer.value <= answer.high
    assert answer.assumptions
    assert answer.cautions
    assert all(cite(key) for key in answer.sources)


@pytest.mark.parametrize(
    ("ask", "message"),
    [
        (lambda: shop.bead(0, 100), "bead 0 mm: expected above 0"),
        (lambda: shop.bead(3, 100, -1), "holes -1"),
        (lambda: shop.bead(3, 100, 2), "loop 0 mm"),
        (lambda: shop.practical_rate(0, 50), "volume solids 0 %"),
        (lambda: shop.practical_rate(50, 0), "dry film 0 um"),
        (lambda: shop.threadlocker([]), "which threads"),
        (lambda: shop.whole_packs(1, 0), "expected above 0"),
        (lambda: shop.runs([]), "which runs"),
        (lambda: shop.gas_minutes(9, 2000, 10), "up to 350 bar"),
        (lambda: shop.heat_shrink(30, 0.5), "expected 0 to 0.2"),
        (lambda: shop.first_fill(6.3, 2), "expected 0.1 to 1"),
    ],
)
def test_nonsense_is_refused(ask: Callable[[], object], message: str) -> None:
    with pytest.raises(BadValue, match=message):
        ask()
