"""The calculators of consumables asked as use-cases, against the worked examples."""

import csv
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from stores.errors import BadValue, NotationError, NotFound, StoresError
from stores.usecases.reckoning import consumables as by
from stores.usecases.reckoning.consumables import (
    AskKeeps,
    ReckonBath,
    ReckonBead,
    ReckonCompound,
    ReckonGrease,
    ReckonLengths,
    ReckonPaint,
    ReckonSheet,
    ReckonShrink,
    ReckonVolts,
    ReckonWeld,
)

PUBLISHED = Path(__file__).parent.parent / "published" / "consumables_examples.csv"


def printed() -> dict[str, str]:
    with PUBLISHED.open(encoding="utf-8", newline="") as file:
        return {row["kind"]: row["result"] for row in csv.DictReader(file)}


TYPED: dict[str, Callable[[], float]] = {
    "sealant bead volume": lambda: by.bead(ReckonBead("3", "640")).value,
    "sealant bead with loops round holes": lambda: by.bead(
        ReckonBead("2,5 mm", "88 cm", 10, "14")
    ).value,
    "bead length from a pack": lambda: by.bead(ReckonBead("3", pack="80 ml")).value,
    "threadlocker for a job": lambda: by.locking(["24 M6", "16 off M8", "6 x M10"]).value,
    "grease to replenish from the side": lambda: by.grease(ReckonGrease("6204"))[0].value,
    "initial fill, a third of free space": lambda: by.grease(
        ReckonGrease("20 x 47 x 14", "106 g")
    )[0].value,
    "free space of a ball bearing": lambda: by.grease(ReckonGrease("6204-2RS", "106"))[2].value,
    "paint to buy": lambda: by.paint(ReckonPaint("1.2", "45 %", "40 um", 2, "40 %"))[0].value,
    "wet film for a dry film": lambda: by.paint(ReckonPaint("1 m2", "65", "100"))[2].value,
    "gaskets from a sheet, straight rows": lambda: by.sheet(
        ReckonSheet("500 x 500", "180x120")
    )[0].value,
    "hose to buy": lambda: by.lengths(ReckonLengths(["420", "310", "655"], "25")).total.value,
    "voltage drop along a wire": lambda: by.volts(ReckonVolts("14/0.30", "5", "8.75 A")).value,
    "retaining compound in an annular gap": lambda: by.compound(
        ReckonCompound("bush 47 x 14 0.03")
    ).value,
    "citric acid bath, grams per litre": lambda: by.bath(ReckonBath("20 l", citric="50"))[0].value,
    "liquid in a tank with a part in it": lambda: by.bath(
        ReckonBath("box 600 400 300", "25 cm", "12 kg")
    )[0].value,
    "heat-shrink cut length": lambda: by.shrink(ReckonShrink("3 cm"))[0].value,
    "welding time from a cylinder": lambda: by.weld(
        ReckonWeld(cylinder="9 l", bar="200 bar", flow="10 l/min")
    )[0].value,
}  # fmt: skip


@pytest.mark.parametrize("kind", TYPED)
def test_as_typed_it_is_the_worked_example(kind: str) -> None:
    said = printed()[kind]
    half = 0.5 * 10.0 ** -len(said.partition(".")[2])
    assert TYPED[kind]() == pytest.approx(float(said), abs=half * 1.0001)


def test_parts_are_poured_as_typed() -> None:
    made = [one.value for one in by.mixing("4:1:1", "0.3 l")]
    assert [f"{ml:g}" for ml in made] == printed()["mixing by parts"].split(" / ")


def test_packs_are_bought_for_the_most_that_may_be_lost() -> None:
    """1 m2 of 50 um from 50 % solids is 100 ml; by gun half may be lost: 200 ml, four of 50."""
    reply = by.paint(ReckonPaint("1", "50", "50", pack="50 ml"))
    assert (reply[0].high, reply[1].value) == (pytest.approx(200), 4)


def test_sides_are_read_as_people_write_them() -> None:
    for typed in ("A4", "210x297", "210 by 297 mm", "21 x 29.7 cm"):
        assert by.sheet(ReckonSheet(typed, "60 x 40"))[0].value == 18  # 3 of 60 by 6 of 40


def test_gaps_are_filled_as_people_say_them() -> None:
    """A 6204 is 47 mm outside and 14 wide (ISO 15); the rest is width x depth x length by hand."""
    by_sizes = by.compound(ReckonCompound("bush 47 14 0.03"))
    assert by.compound(ReckonCompound("bearing 6204 0.03 mm")) == by_sizes
    assert by.compound(ReckonCompound("face 100 cm2 0.1")).value == pytest.approx(1)
    assert by.compound(ReckonCompound("groove 6x6 1 m")).value == pytest.approx(36)
    assert by.compound(ReckonCompound("groove 6 6", "360 ml")).value == pytest.approx(10)


def test_a_fillet_in_inches_is_the_books() -> None:
    """The filler metal handbook's 1/2 in leg and a foot of it: 0.4245 lb at 0.283 lb/in3, which is
    7.833 g/cm3; ours is 7.85."""
    metal = by.weld(ReckonWeld("1/2 in", "1 ft"))[1]
    assert metal.value / 453.59237 == pytest.approx(0.4245 * 7.85 / 7.8334, rel=2e-3)


def test_a_wire_by_its_resistance() -> None:
    assert by.volts(ReckonVolts("0.01 ohm/m", "2 m", "10", both_ways=True)).value == (
        pytest.approx(0.4)
    )


def test_how_long_it_keeps() -> None:
    reply = by.keeps(AskKeeps("DOT 4", bought="3 Nov 2025", opened="15/1/2026"), date(2026, 3, 1))
    assert (reply.until, reply.by, reply.final) == (date(2026, 1, 15), "opened", True)
    assert sum("old opened tin" in said for said in reply.cautions) == 1
    plain = by.keeps(AskKeeps("lithium grease"))
    assert (plain.until, plain.check, plain.unopened) == (None, False, (60, 60))


@pytest.mark.parametrize(
    ("ask", "error", "message"),
    [
        (lambda: by.bead(ReckonBead("3")), BadValue, "length or pack"),
        (lambda: by.bead(ReckonBead("3", "640", pack="80 ml")), BadValue, "length or pack"),
        (lambda: by.locking(["6 M7.3"]), StoresError, "M7"),
        (lambda: by.grease(ReckonGrease("99999")), BadValue, "no such bearing"),
        (lambda: by.paint(ReckonPaint("1", "45 g", "40")), NotationError, "a figure in %"),
        (lambda: by.sheet(ReckonSheet("500", "180x120")), NotationError, "two sides"),
        (lambda: by.lengths(ReckonLengths(["soon"])), NotationError, "expected a number"),
        (lambda: by.volts(ReckonVolts("65/0.30", "5", "8")), NotFound, "the table"),
        (lambda: by.keeps(AskKeeps("magneto")), NotFound, "magneto"),
        (lambda: by.compound(ReckonCompound("bush 47")), BadValue, "no gap to fill"),
        (lambda: by.compound(ReckonCompound("hole 47 14 1")), BadValue, "no gap to fill"),
        (lambda: by.compound(ReckonCompound("groove 6 6")), BadValue, "no gap to fill"),
        (lambda: by.weld(ReckonWeld("5")), BadValue, "leg and length"),
        (lambda: by.weld(ReckonWeld(bar="200")), BadValue, "gas of no cylinder"),
        (lambda: by.shrink(ReckonShrink()), BadValue, "nothing to shrink"),
        (lambda: by.shrink(ReckonShrink(over="4", under="9")), BadValue, "which is which"),
        (lambda: by.bath(ReckonBath("20 l", "50")), BadValue, "a part in no tank"),
        (lambda: by.bath(ReckonBath("some")), StoresError, "some"),
        (lambda: by.keeps(AskKeeps("petrol", made="31/2/2026")), BadValue, "not a day"),
    ],
)
def test_what_cannot_be_reckoned(
    ask: Callable[[], object], error: type[StoresError], message: str
) -> None:
    with pytest.raises(error, match=message):
        ask()
