"""How far a step is, by examples worked out by hand."""

from dataclasses import replace

import pytest

from stores.handbook.fastener import parse
from stores.model.items import Description, Holding, Item, Step
from stores.model.ledger import Condition, PlaceKind
from stores.model.snags import Snag
from stores.planning.assembling import HowTight, Refits, StepNotes, Tightened
from stores.planning.status import Awaited, BlockerKind, State, Status, left_over, status_of
from stores.wording.status import said

SERVICEABLE, AS_REMOVED, NEW = Condition.SERVICEABLE, Condition.AS_REMOVED, Condition.NEW


def bolts(step: int, *held: tuple[int, PlaceKind, Condition], renew: str = "") -> Item:
    """Four bolts of the engine, so many of them in each place and condition."""
    text = "M6 x 25 bolt"
    what = Description(text, parse(text).kind.value, renew)
    where = Step(step, "Plover", "Engine" if step else "", f"part {step}")
    holdings = tuple(Holding(count, "A001N", kind, condition) for count, kind, condition in held)
    return Item(step * 10 + 1, 1, where, what, 4, what, 4, renew, holdings=holdings)


def good(step: int) -> Item:
    return bolts(step, (4, PlaceKind.BAG, SERVICEABLE))


def on(step: int) -> Item:
    return bolts(step, (4, PlaceKind.MACHINE, SERVICEABLE))


def states(status: Status) -> dict[int, str]:
    return {number: each.state.value for number, each in status.steps.items()}


def kinds(status: Status, step: int) -> list[BlockerKind]:
    return [one.kind for one in status.steps[step].blockers]


def test_the_four_states() -> None:
    """3 is tight, 2 is on but finger-tight; 1 would shut that in. Nothing but the frame is free."""
    loose = Refits({}, {21: Tightened(21, 4, HowTight.FINGER)})
    frame = replace(good(4), step=Step(4, "Plover", "Frame", "part 4"))
    made = status_of([good(1), on(2), on(3), frame], loose)
    assert states(made) == {4: "ready", 3: "finished", 2: "on", 1: "waits"}
    assert kinds(made, 1) == [BlockerKind.TIGHTEN]
    assert made.steps[1].before == made.steps[1].blockers
    assert made.steps[1].own == ()


def test_what_is_owed_further_down_is_shut_in_already_and_holds_nothing_up() -> None:
    loose = Refits({}, {31: Tightened(31, 4, HowTight.FINGER)})
    assert states(status_of([good(1), on(2), on(3)], loose)) == {
        3: "on", 2: "finished", 1: "ready",
    }  # fmt: skip


def test_a_step_waits_for_the_nearest_that_is_not_on_though_one_between_is() -> None:
    made = status_of([good(1), on(2), good(3)])
    assert made.steps[1].behind == (3,)
    assert status_of([good(1), good(2), good(3)]).steps[1].behind == (2,)


@pytest.mark.parametrize(
    ("held", "renew", "expected"),
    [
        ([(4, SERVICEABLE)], "", []),
        ([(4, NEW)], "", []),
        ([(4, AS_REMOVED)], "", [BlockerKind.INSPECT]),
        ([(3, SERVICEABLE), (1, AS_REMOVED)], "", [BlockerKind.INSPECT]),
        ([(4, SERVICEABLE), (1, AS_REMOVED)], "", []),
        ([(4, SERVICEABLE)], "never twice", [BlockerKind.BUY]),
        ([(3, SERVICEABLE), (1, Condition.REPAIRABLE)], "", [BlockerKind.REPAIR]),
        ([(3, SERVICEABLE), (1, Condition.QUARANTINE)], "", [BlockerKind.DECIDE]),
        ([(3, SERVICEABLE), (1, Condition.CONDEMNED)], "", [BlockerKind.BUY]),
    ],
)
def test_which_pieces_are_to_hand(
    held: list[tuple[int, Condition]], renew: str, expected: list[BlockerKind]
) -> None:
    item = bolts(1, *((count, PlaceKind.BAG, each) for count, each in held), renew=renew)
    made = status_of([item])
    assert kinds(made, 1) == expected
    assert (made.steps[1].state is State.READY) == (not expected)


def test_what_came_off_for_access_only_needs_no_inspection() -> None:
    item = bolts(1, (4, PlaceKind.BAG, AS_REMOVED))
    made = status_of([item], Refits({1: StepNotes(access_only=True)}))
    assert made.steps[1].state is State.READY
    assert made.pieces[11].uninspected == 0


def test_a_loose_piece_is_given_out_once_and_to_the_step_that_goes_on_first() -> None:
    three = [(3, PlaceKind.BAG, SERVICEABLE)]
    spare = bolts(0, (1, PlaceKind.BOX, NEW))
    made = status_of([bolts(1, *three), bolts(2, *three), spare])
    assert states(made) == {2: "ready", 1: "waits"}
    assert made.pieces[11].short == 1
    assert made.pieces[21].short == 0


def test_what_is_on_order_is_not_short() -> None:
    """1 of 4 is here, 2 are on order: 1 is short."""
    coming = [Awaited("Tallow", 2, text="M6 x 25 bolt", ordered=True)]
    piece = status_of([bolts(1, (1, PlaceKind.BAG, NEW))], awaited=coming).pieces[11]
    assert (piece.to_hand, piece.on_order, piece.short, piece.away) == (1, 2, 1, 0)


def test_a_snag_stands_in_the_way_of_what_shuts_it_in() -> None:
    snags = [Snag(1, "leak", "weeps", assembly="Engine"), Snag(2, "fault", "dent", step=2)]
    made = status_of([good(1), good(2)], snags=snags)
    assert [said(one) for one in made.steps[1].own] == ["clear snag 1: leak: weeps"]
    assert [said(one) for one in made.steps[2].own] == ["clear snag 2: dent"]
    shut = status_of([good(1), on(2)], snags=snags)
    assert shut.steps[2].state is State.ON
    assert [said(one) for one in shut.steps[1].before] == ["clear snag 2: dent"]


@pytest.mark.parametrize(
    ("item", "expected"),
    [
        (bolts(1, (1, PlaceKind.BAG, Condition.CONDEMNED)), 0),  # its place is not filled yet
        (bolts(1, (4, PlaceKind.MACHINE, NEW), (3, PlaceKind.BAG, AS_REMOVED)), 3),
        (bolts(1, (4, PlaceKind.MACHINE, NEW), (3, PlaceKind.BAG, NEW)), 0),  # spares
        (bolts(0, (2, PlaceKind.BOX, AS_REMOVED), (1, PlaceKind.BOX, NEW)), 2),
    ],
)
def test_left_over_are_old_pieces_once_the_place_is_filled(item: Item, expected: int) -> None:
    assert left_over(item) == expected
