"""What is bought of consumables, against a plain count of what is needed and what is there."""

from datetime import date
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from stores.model.stock import LowMark, Need
from stores.planning.sharing import Reserved
from stores.planning.supplies import (
    Lot,
    OpenNeed,
    Shared,
    Thing,
    share_supplies,
    supply_lines,
)

MACHINES = ("Orrick Plover", "Brindle Tern")
NAMES = {
    "threadlocker-medium": "threadlocker, medium strength",
    "flange-sealant": "anaerobic flange sealant",
}
PACKS = {"threadlocker-medium": 10, "flange-sealant": 50}

AMOUNTS = st.integers(0, 400).map(lambda twentieths: Fraction(twentieths, 20))
"""In twentieths of a millilitre: a drop is 0.05 ml (from memory)."""

NEEDS = st.lists(
    st.tuples(st.sampled_from(MACHINES), st.integers(1, 4), st.sampled_from(list(NAMES)), AMOUNTS),
    max_size=8,
).map(lambda rows: sorted(rows, key=lambda row: MACHINES.index(row[0])))
LOTS = st.lists(
    st.tuples(
        st.sampled_from(list(NAMES)),
        st.integers(1, 30),
        st.sampled_from(["", "", "past its date", "opened"]),
        st.booleans(),
    ),
    max_size=6,
)
KEPT = st.lists(
    st.tuples(st.integers(1, 6), st.sampled_from(MACHINES), st.integers(0, 4), st.integers(1, 30)),
    max_size=4,
)


def shared_out(
    needs: list[tuple[str, int, str, Fraction]],
    lots: list[tuple[str, int, str, bool]],
    kept: list[tuple[int, str, int, int]],
) -> tuple[list[OpenNeed], list[Lot], Shared]:
    wanted = [
        OpenNeed(Need(machine, step, "cover", 1, name, NAMES[name], name, unit="ml"), amount)
        for machine, step, name, amount in needs
    ]
    there = [
        Lot(
            number, f"0.{number}", Thing(name), NAMES[name], "ml", count, PACKS[name],
            opened=date(2026, 1, 1) if opened else None, bad=bad,
        )
        for number, (name, count, bad, opened) in enumerate(lots, 1)
    ]  # fmt: skip
    return wanted, there, share_supplies(there, wanted, [Reserved(*one) for one in kept])


@given(NEEDS, LOTS, KEPT)
def test_nothing_is_counted_twice(
    needs: list[tuple[str, int, str, Fraction]],
    lots: list[tuple[str, int, str, bool]],
    kept: list[tuple[int, str, int, int]],
) -> None:
    """Of each lot what is given, free and kept is what is there, of a bad one nothing is given; no
    need gets more than it takes, or of another kind."""
    wanted, there, shared = shared_out(needs, lots, kept)
    for place, lot in enumerate(there):
        given_out = sum((mine.get(place, Fraction(0)) for mine in shared.given), Fraction(0))
        held = sum((some for key, some in shared.kept.items() if key[0] == place), Fraction(0))
        assert shared.free[place] >= 0
        if lot.bad:
            assert (given_out, held, shared.free[place]) == (0, 0, 0)
        else:
            assert given_out + held + shared.free[place] == lot.quantity
    for place, need in enumerate(wanted):
        assert sum((some for _, some in shared.of(place)), Fraction(0)) <= (need.quantity or 0)
        assert all(lot.thing == need.thing for lot, _ in shared.of(place))


@given(NEEDS, LOTS, KEPT, st.dictionaries(st.sampled_from(list(NAMES)), st.integers(1, 60)))
def test_what_is_bought_and_had_is_what_is_needed(
    needs: list[tuple[str, int, str, Fraction]],
    lots: list[tuple[str, int, str, bool]],
    kept: list[tuple[int, str, int, int]],
    least: dict[str, int],
) -> None:
    """Over all machines, against sums in plain dicts: what is bought, with what is there and good,
    is enough for all steps and for what is to be held, by less than a pack; where a person keeps
    something for one that does not need it, no less than that."""
    wanted, _, shared = shared_out(needs, lots, kept)
    marks = [LowMark(f"ml of {NAMES[name]}", "ml", count) for name, count in least.items()]
    lines = {line.kind: line for line in supply_lines(shared, wanted, MACHINES, marks)}
    for name in NAMES:
        need = sum((row[3] for row in needs if row[2] == name), Fraction(0))
        to_hold = least.get(name, 0)
        had = sum(count for of, count, bad, _ in lots if of == name and not bad)
        line = lines.get(name)
        bought = (line.quantity or 0) * line.pack if line else 0
        assert bought + had >= need + to_hold
        if not kept and line is not None:
            pack = line.pack
            assert bought - pack < need + to_hold - had <= bought
        if not kept and need + to_hold <= had:
            assert line is None


@given(NEEDS, LOTS)
def test_the_lists_of_two_machines_add_up_to_that_of_both(
    needs: list[tuple[str, int, str, Fraction]], lots: list[tuple[str, int, str, bool]]
) -> None:
    """What one machine's list counts on, the other's does not: what both are short of is what they
    are short of together."""
    wanted, _, shared = shared_out(needs, lots, [])
    short: dict[str, Fraction] = {}
    for place, need in enumerate(wanted):
        lack = (need.quantity or 0) - sum((some for _, some in shared.of(place)), Fraction(0))
        short[need.need.kind] = short.get(need.need.kind, Fraction(0)) + lack
    for name, lack in short.items():
        need = sum((row[3] for row in needs if row[2] == name), Fraction(0))
        had = sum(count for of, count, bad, _ in lots if of == name and not bad)
        assert lack == max(Fraction(0), need - had)
