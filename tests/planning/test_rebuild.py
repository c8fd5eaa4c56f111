"""The stages of a rebuild: their order, what is owed on a step that is on, where snags hang."""

from fractions import Fraction
from typing import Any

from stores.model.items import Description, Holding, Item, Step
from stores.model.ledger import Condition, PlaceKind
from stores.model.snags import Snag
from stores.planning.assembling import (
    Applied,
    CheckPoint,
    HowTight,
    Refits,
    Role,
    Signature,
    StepNotes,
    Tightened,
)
from stores.planning.order import Said
from stores.planning.rebuild import Stage, progress, stages, total
from stores.planning.status import BlockerKind, status_of
from stores.wording.status import briefs, held_up

PATHS = {1: "Engine / Gearbox", 2: "Engine / Gearbox", 3: "Brakes / Front", 4: "Engine"}


def things(*on: int) -> list[Item]:
    """A bolt a step; those of the steps named are on the machine."""
    bolt = Description("M6 x 25 hex bolt", "bolt", thread="M6")
    made = []
    for number, path in PATHS.items():
        kind = PlaceKind.MACHINE if number in on else PlaceKind.BAG
        holding = Holding(2, "A001N", kind, Condition.SERVICEABLE)
        off = Step(number, "Orrick Plover", path, f"part {number}")
        made.append(Item(number, 1, off, bolt, 2, bolt, 2, holdings=(holding,)))
    return made


def turned(items: list[Item], *args: Any, **more: Any) -> list[Stage]:
    return stages(status_of(items, *args, **more))


def numbers(made: list[Stage]) -> list[int]:
    return [stage.step.number for stage in made]


def test_the_order_is_the_strip_down_turned_round_unless_said() -> None:
    assert numbers(turned(things())) == [4, 3, 2, 1]
    # by hand: 1 goes before 2 now, so 3 is free to stay where it was
    assert numbers(turned(things(), said=[Said(1, 2)])) == [4, 3, 1, 2]


def test_loose_pieces_go_to_the_step_that_comes_first() -> None:
    spare = Description("M6 x 25 hex bolt", "bolt", thread="M6")
    bare = [Item(9, 1, Step(0, "Orrick Plover"), spare, 2, spare, 2,
                 holdings=(Holding(2, "tin", PlaceKind.BOX, Condition.NEW),))]  # fmt: skip
    wanting = [
        Item(each.number, 1, each.step, each.as_found, 2, each.as_specified, 2) for each in things()
    ]
    first = {stage.step.number: stage.lines[0].status.spare for stage in turned([*wanting, *bare])}
    assert first == {4: 2, 3: 0, 2: 0, 1: 0}
    # by hand: 1 goes on before 4, as said, but 4 wants nothing, so the spares are left for 3
    wanting[-1] = things(4)[-1]
    made = turned([*wanting, *bare], said=[Said(1, 3), Said(1, 2)])
    assert {stage.step.number: stage.lines[0].status.spare for stage in made} == {
        1: 2, 2: 0, 3: 0, 4: 0,
    }  # fmt: skip


def test_what_goes_in_hangs_on_its_line() -> None:
    notes = StepNotes((Applied(1, 1, "grease", "grease"), Applied(1, 0, "sealant", "sealant")))
    made = turned(things(), Refits({1: notes}))[-1]
    assert [each.text for each in made.applied] == ["sealant"]
    assert [each.text for each in made.lines[0].applied] == ["grease"]


def test_what_is_owed_once_all_is_on() -> None:
    point = CheckPoint(1, 3, "run-out", None, Fraction(1, 10), "mm")
    loose = {3: Tightened(3, 2, HowTight.FINGER)}
    known = Refits({3: StepNotes(points=(point,))}, loose)
    off = next(stage for stage in turned(things(), known) if stage.step.number == 3)
    assert off.status.owes == ()  # pieces come first
    on = next(stage for stage in turned(things(3), known) if stage.step.number == 3)
    assert on.done
    assert not on.finished
    assert briefs(on.status.owes) == ["tighten 3.1", "measure run-out", "second person signs"]
    found = CheckPoint(1, 3, "run-out", None, Fraction(1, 10), "mm", found=Fraction(1, 10))
    signed = (Signature(3, Role.SECOND, "J. Teal"),)
    known = Refits({3: StepNotes(points=(found,), signatures=signed)})
    on = next(stage for stage in turned(things(3), known) if stage.step.number == 3)
    assert on.finished


def test_a_snag_hangs_on_the_step_that_would_shut_it_in() -> None:
    snags = [
        Snag(1, "leak", "its own step", step=2),
        Snag(2, "worn", "the last of the gearbox", assembly="engine/gearbox"),
        Snag(3, "worn", "the last of the engine", assembly="Engine"),
        Snag(4, "fault", "of the machine"),
        Snag(5, "fault", "of what is not stripped", assembly="Frame"),
    ]
    status = status_of(things(), snags=snags)
    hung = {number: [snag.number for snag in each.snags] for number, each in status.steps.items()}
    # the order is 4 3 2 1: step 1 is the last of Engine / Gearbox, and of Engine with it
    assert hung == {4: [], 3: [], 2: [1], 1: [2, 3]}
    assert [snag.number for snag in status.loose_snags] == [4, 5]
    # step 1 is on: the last still to be done is step 2
    status = status_of(things(1), snags=snags)
    hung = {number: [snag.number for snag in each.snags] for number, each in status.steps.items()}
    assert hung == {4: [], 3: [], 2: [1, 2, 3], 1: []}


def test_a_snag_is_owed_on_a_step_that_is_on() -> None:
    made = turned(things(2), snags=[Snag(1, "leak", "oil", step=2)])
    (owed,) = next(stage for stage in made if stage.step.number == 2).status.owes
    assert (owed.kind, owed.snag) == (BlockerKind.CLEAR, 1)


def test_progress_adds_up_at_any_depth() -> None:
    made = turned(things(1, 3))
    rows = {row.assembly: row for row in progress(made)}
    # by hand: step 1 done in the gearbox, and 2 waits for 4, which is of what is around it; 3 is on
    # but not signed for; 4 is ready
    gearbox = rows["Engine / Gearbox"]
    assert (gearbox.steps, gearbox.done, gearbox.waits) == (2, 1, 1)
    assert held_up(gearbox.held_up) == "step 4 first"
    assert rows["Brakes / Front"].open == 1
    assert held_up(rows["Brakes / Front"].held_up) == "step 3: second person signs"
    top = {row.assembly: row.steps for row in progress(made, 1)}
    assert top == {"Engine": 3, "Brakes": 1}
    for depth in (0, 1, 2):
        whole = total(progress(made, depth))
        assert (whole.steps, whole.done, whole.open, whole.ready, whole.waits) == (4, 1, 1, 1, 1)
