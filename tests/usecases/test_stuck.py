"""What is still on the machine, jobs without a piece, and stacks: asked of the use-cases."""

from dataclasses import replace

import pytest

from stores.errors import BadValue, NotationError, NotFound, Refused, Repeated
from stores.handbook.cautions import SEIZED
from stores.model.items import Item
from stores.model.ledger import Condition, PlaceKind
from stores.planning.closing import Unsettled, UnsettledKind
from stores.planning.status import BlockerKind, State, StepStatus
from stores.storage.items import read_items
from stores.usecases.assembling import Sign, sign
from stores.usecases.closing import end_of_day, look_before_closing
from stores.usecases.context import Context
from stores.usecases.correct import (
    CorrectMachine,
    CorrectStep,
    correct_machine,
    correct_step,
)
from stores.usecases.find import Find, find
from stores.usecases.history import Undo, audit, history, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.labels import AskLabels, labels
from stores.usecases.machines import AddMachine, add_machine, machines
from stores.usecases.orders import Buy, buy
from stores.usecases.rebuild import (
    ListSteps,
    LookAhead,
    PutBefore,
    ahead,
    checklist,
    going,
    listed_steps,
    put_before,
    status_on,
    work_today,
)
from stores.usecases.refit import Refit, refit
from stores.usecases.shopping import WhatToBuy, shopping
from stores.usecases.snags import ClearSnag, ListSnags, RecordSnag, clear_snag, record_snag, snags
from stores.usecases.strip import LeftOn, Loose, Strip, loose, strip
from stores.usecases.stuck import (
    LeaveOn,
    PieceBroke,
    TakeOff,
    broke,
    came_off,
    left_on,
)

DRAIN = Strip("Engine", "drain the oil", job=True, undo="fill the oil")
COVER = Strip("Engine", "cover", ["3 of 4 M6 x 20 hex bolt, 1 seized"])
HEAD = Strip("Engine", "head", ["4 M8x60 stud, 1 broken in hole 3"], part_to="shelf 2")


def item_of(context: Context, ref: str) -> Item:
    with context.reading() as connection:
        return next(item for item in read_items(connection) if item.ref == ref)


def step_of(context: Context, number: int) -> StepStatus:
    with context.reading() as connection:
        return status_on(connection, machines(context)[0].number).steps[number]


def where(context: Context, ref: str) -> dict[PlaceKind, int]:
    found: dict[PlaceKind, int] = {}
    for holding in item_of(context, ref).holdings:
        if holding.quantity > 0:
            found[holding.kind] = found.get(holding.kind, 0) + holding.quantity
    return found


# --- a job is no part ---


def test_a_job_has_a_number_and_no_piece(context: Context) -> None:
    step = strip(context, DRAIN)
    assert (step.step, step.part, step.job, step.undo) == (1, "drain the oil", True, "fill the oil")
    assert (step.items, step.bag, step.into) == ((), None, None)
    assert strip(context, Strip("Engine", "cover")).step == 2
    with context.reading() as connection:
        assert [item.ref for item in read_items(connection)] == ["2.1"]
    assert history(context)[1].summary == "step 1: drain the oil, Engine (Orrick Plover)"
    assert not audit(context).faults


def test_what_reads_like_a_job_is_asked_about(context: Context) -> None:
    for part in ("drain the oil", "slack off the chain", "disconnect battery", "Undo the union"):
        with pytest.raises(Refused, match="a job or a piece") as refusal:
            strip(context, Strip("Engine", part))
        assert refusal.value.facts["part"] == part
    for part in ("drain plug", "release bearing", "set screw", "mark plate", "1 off drain the oil"):
        assert not strip(context, Strip("Engine", part)).job


def test_a_job_may_have_pieces_besides(context: Context) -> None:
    step = strip(context, replace(DRAIN, lines=["1 drain plug", "1 copper washer"]))
    assert [line.item for line in step.items] == ["1.1", "1.2"]
    assert step.bag
    inspect(context, Inspect("1.1", "serviceable"))
    buy(context, Buy("1.2"))
    refit(context, Refit("1.1"))
    refit(context, Refit("1.2"))
    assert step_of(context, 1).state is State.READY  # the oil is not in yet
    reply = refit(context, Refit("1"))
    assert reply.job is not None
    assert (reply.job.step, reply.job.undo, reply.pieces) == (1, "fill the oil", 0)
    assert step_of(context, 1).state is State.FINISHED


@pytest.mark.parametrize(
    ("ask", "fact"),
    [
        (replace(DRAIN, part_to="shelf 2"), "a job goes nowhere"),
        (replace(DRAIN, part=" "), "what was done is empty"),
        (replace(DRAIN, undo="x" * 3000), "how it is undone is 3,000 characters long"),
    ],
)
def test_what_cannot_be_a_job_is_refused(context: Context, ask: Strip, fact: str) -> None:
    before = history(context)
    with pytest.raises((Refused, NotationError), match=fact):
        strip(context, ask)
    assert history(context) == before


def test_a_job_waits_like_a_step_and_is_ticked_off_like_one(context: Context) -> None:
    strip(context, DRAIN)
    strip(context, Strip("Engine", "sump"))
    assert (step_of(context, 1).state, step_of(context, 1).behind) == (State.WAITS, (2,))
    inspect(context, Inspect("2", "serviceable"))
    refit(context, Refit("2"))
    assert step_of(context, 1).state is State.READY
    (today,) = work_today(context).ready
    assert (today.step, today.job, today.undo, today.bags) == (1, True, "fill the oil", ())
    tried = refit(context, Refit("1", trial=True))
    assert step_of(context, 1).state is State.READY
    done = refit(context, Refit("1", key="k", by="A. Marl"))
    assert (done.signed, done.items, done.short) == ((1,), (), ())
    assert tried.job == done.job
    with pytest.raises(Repeated):
        refit(context, Refit("1", key="k"))
    assert step_of(context, 1).state is State.FINISHED
    with pytest.raises(Refused, match="all back already"):
        refit(context, Refit("1"))
    assert not look_before_closing(context).in_the_way
    undo(context, Undo(done.act, "act"))
    assert step_of(context, 1).state is State.READY
    assert not audit(context).faults


def test_every_list_has_the_job(context: Context) -> None:
    strip(context, DRAIN)
    strip(context, Strip("Frame", "seat"))
    assert [each.step.number for each in listed_steps(context, ListSteps())] == [2, 1]
    listed = listed_steps(context, ListSteps())[1]
    assert (listed.job, listed.undo, listed.job_done, listed.lines) == (
        True, "fill the oil", False, (),
    )  # fmt: skip
    (stage,) = checklist(context, ListSteps(only_next=True, assembly="Engine")).stages
    assert stage.job is not None
    assert stage.job.words == "fill the oil"
    assert [each.step for each in ahead(context, LookAhead()).steps] == [2, 1]
    assert {row.assembly: row.ready for row in going(context).assemblies} == {
        "Engine": 1, "Frame": 0,
    }  # fmt: skip
    off = end_of_day(context).left.off[0]
    assert (off.step, off.to_undo, off.how) == (1, True, "fill the oil")
    undone = look_before_closing(context).in_the_way[-1]
    assert (undone.kind, undone.step, undone.how) == (UnsettledKind.NOT_UNDONE, 1, "fill the oil")
    (found,) = find(context, Find("1")).jobs
    assert (found.part, found.undo, found.undone) == ("drain the oil", "fill the oil", "")
    assert [job.step for job in find(context, Find("oil")).jobs] == [1]
    put_before(context, PutBefore("1", "2"))
    assert step_of(context, 2).behind == (1,)


def test_a_job_of_which_nothing_is_said_is_undone(context: Context) -> None:
    strip(context, Strip("Frame", "slack off the chain", job=True))
    (stage,) = checklist(context, ListSteps()).stages
    assert stage.job is not None
    assert stage.job.words == "undo this: slack off the chain"


def test_a_job_has_no_pieces_to_handle(context: Context) -> None:
    strip(context, DRAIN)
    for deed in (
        lambda: inspect(context, Inspect("1", "serviceable")),
        lambda: came_off(context, TakeOff("1")),
    ):
        with pytest.raises(Refused, match="nothing came off") as refusal:
            deed()
        assert refusal.value.facts == {"step": 1, "part": "drain the oil"}
    with pytest.raises(Refused, match="nothing came off"):
        inspect(context, Inspect("1.1", "serviceable"))
    with pytest.raises(Refused, match="job not undone"):
        sign(context, Sign("1", "A. Marl"))
    assert record_snag(context, RecordSnag("1", "leak", "plug weeps")).step == 1
    with pytest.raises(Refused, match="a snag would be shut in"):
        refit(context, Refit("1"))
    undo(context, Undo("1", "step"))
    with pytest.raises(NotFound, match="step taken back"):
        refit(context, Refit("1"))


# --- still on the machine ---


def test_what_did_not_come_off_is_found_and_not_in_the_bag(context: Context) -> None:
    step = strip(context, COVER)
    line = step.items[1]
    assert (line.found, line.wanted, line.still_on) == (4, 4, (LeftOn(1, "seized"),))
    assert where(context, "1.2") == {PlaceKind.BAG: 3, PlaceKind.STUCK: 1}
    item = item_of(context, "1.2")
    assert (item.found, item.fitted, item.to_fit, item.lacking) == (4, 0, 4, 0)
    assert item.stuck_words == "1 still on machine: seized"
    assert SEIZED in step.cautions
    assert not audit(context).faults


@pytest.mark.parametrize(
    ("line", "off", "still"),
    [
        ("4 M6x20 hex bolt, 1 stuck", 3, [(1, "stuck", "")]),
        ("0 of 2 M6x20 hex bolt, 2 not undone", 0, [(2, "not undone", "")]),
        ("2 of 4 M6 stud, 1 seized, 1 sheared off in hole 3 @ front", 2,
         [(1, "seized", ""), (1, "broken", "hole 3")]),
        ("4 M6x20 hex bolt (1 won't undo) @ rear", 3, [(1, "won't undo", "")]),
    ],
)  # fmt: skip
def test_a_line_says_what_is_still_on(
    context: Context, line: str, off: int, still: list[tuple[int, str, str]]
) -> None:
    step = strip(context, Strip("Engine", "cover", [line], part_to="shelf 2"))
    said = step.items[1]
    assert [(each.quantity, each.how, each.hole) for each in said.still_on] == still
    assert said.found - sum(each.quantity for each in said.still_on) == off
    assert (step.bag is None) == (off == 0)  # a bag that nothing would go into is not begun
    assert not audit(context).faults


@pytest.mark.parametrize(
    ("line", "error", "words"),
    [
        ("3 of 4 M6x20 hex bolt, 2 stuck", NotationError, "make 5, but 4 belong here"),
        ("4 M6x20 hex bolt, 5 stuck", NotationError, "only 4 were there"),
        ("4 M6 stud, 1 broken", BadValue, "still in its hole"),
    ],
)
def test_counts_that_do_not_meet_are_refused(
    context: Context, line: str, error: type[Exception], words: str
) -> None:
    before = history(context)
    with pytest.raises(error, match=words):
        strip(context, Strip("Engine", "cover", [line]))
    assert history(context) == before
    with pytest.raises(Refused, match="means nothing here"):
        loose(context, Loose("4 M6x20 hex bolt, 1 stuck"))


def test_it_stands_in_the_way_until_it_is_off_or_left(context: Context) -> None:
    strip(context, COVER)
    inspect(context, Inspect("1", "serviceable"))
    (blocker,) = step_of(context, 1).blockers
    assert (blocker.kind, blocker.quantity, blocker.item is not None) == (
        BlockerKind.FREE, 1, True,
    )  # fmt: skip
    with pytest.raises(Refused, match="still on the machine") as refusal:
        refit(context, Refit("1"))
    (stuck,) = refusal.value.facts["items"]
    assert (stuck.item, stuck.quantity, stuck.how) == ("1.2", 1, "seized")
    assert refit(context, Refit("1.2", 3, trial=True)).pieces == 3
    bolt = ("1.2", "M6 x 20 hex bolt")
    seized = Unsettled(UnsettledKind.STILL_ON, 1, *bolt, why="seized")
    assert seized in end_of_day(context).left.waits
    matters = look_before_closing(context).in_the_way
    assert seized in matters
    assert Unsettled(UnsettledKind.NOT_ON, 3, *bolt) in matters
    assert listed_steps(context, ListSteps())[0].lines[1].still_on == "1 still on machine: seized"
    done = refit(context, Refit("1", anyway=True))
    assert (done.pieces, [each.item for each in done.stuck]) == (4, ["1.2"])
    assert step_of(context, 1).state is State.WAITS


def test_it_comes_off_into_its_bag(context: Context) -> None:
    bag = strip(context, COVER).bag
    before = history(context)
    tried = came_off(context, TakeOff("1.2", trial=True))
    assert history(context) == before
    reply = came_off(context, TakeOff("1.2", key="k"))
    assert replace(tried, trial=False) == reply
    with pytest.raises(Repeated):
        came_off(context, TakeOff("1.2", key="k"))
    assert (reply.quantity, reply.place.name, reply.still_on, reply.snags) == (1, bag, 0, ())
    assert where(context, "1.2") == {PlaceKind.BAG: 4}
    with pytest.raises(Refused, match="nothing still on"):
        came_off(context, TakeOff("1.2"))
    undo(context, Undo())
    assert item_of(context, "1.2").stuck == 1
    assert not audit(context).faults


def test_it_is_left_on_and_counts_as_fitted(context: Context) -> None:
    strip(context, COVER)
    with pytest.raises(Refused, match="fewer still on") as refusal:
        left_on(context, LeaveOn("1.2", 2))
    assert refusal.value.facts == {"item": "1.2", "asked": 2, "there": 1}
    left_on(context, LeaveOn("1.2", trial=True))
    assert item_of(context, "1.2").stuck == 1
    reply = left_on(context, LeaveOn("1", note="sound"))
    assert (reply.item, reply.quantity, reply.still_on) == ("1.2", 1, 0)
    item = item_of(context, "1.2")
    assert (item.fitted, item.to_fit, item.stuck) == (1, 3, 0)
    inspect(context, Inspect("1", "serviceable"))
    assert refit(context, Refit("1")).pieces == 4
    assert step_of(context, 1).state is State.FINISHED
    assert not look_before_closing(context).in_the_way
    assert not audit(context).faults


def test_a_broken_piece_is_a_new_one_to_buy_and_a_hole_to_drill(context: Context) -> None:
    step = strip(context, HEAD)
    (left,) = step.items[1].still_on
    assert (left.broken, left.hole, left.snag) == (True, "hole 3", 1)
    (snag,) = snags(context, ListSnags()).snags
    assert (snag.item, snag.step, snag.open) == ("1.2", 1, True)
    assert "broken in hole 3" in snag.text
    (line,) = shopping(context, WhatToBuy()).lines
    assert (line.quantity, line.what, line.why, line.joints) == (
        1, "M8 x 60 stud", "1 broken in its hole", ("1.2",),
    )  # fmt: skip
    with pytest.raises(Refused, match="a broken piece does not stay"):
        left_on(context, LeaveOn("1.2"))
    buy(context, Buy("1.2"))
    inspect(context, Inspect("1", "serviceable"))
    with pytest.raises(Refused, match="a snag would be shut in"):
        refit(context, Refit("1"))
    cleared = clear_snag(context, ClearSnag(1, "drilled out, thread chased"))
    assert (cleared.scrapped, cleared.open) == (1, 0)
    there = where(context, "1.2")
    assert (there[PlaceKind.BAG], there[PlaceKind.SCRAPPED], PlaceKind.STUCK in there) == (
        4, 1, False,
    )  # fmt: skip
    assert refit(context, Refit("1")).pieces == 5
    assert step_of(context, 1).state is State.FINISHED
    assert not audit(context).faults


def test_clearing_the_hole_is_undone_as_one(context: Context) -> None:
    strip(context, HEAD)
    act = clear_snag(context, ClearSnag(1, "drilled out")).act
    assert not item_of(context, "1.2").still_on
    undo(context, Undo(act, "act"))
    assert [each.hole for each in item_of(context, "1.2").still_on] == ["hole 3"]
    assert len(snags(context, ListSnags()).snags) == 1
    reply = came_off(context, TakeOff("1.2"))
    assert reply.snags == (1,)
    assert not snags(context, ListSnags()).snags
    assert item_of(context, "1.2").in_hand(Condition.CONDEMNED) == 1
    assert not audit(context).faults


@pytest.mark.parametrize("rename", ["another name", "another machine"])
def test_what_is_still_on_is_there_under_another_name_too(context: Context, rename: str) -> None:
    if rename == "another name":
        strip(context, HEAD)
        strip(context, COVER)
        strip(context, replace(COVER, part="lid"))
        refit(context, Refit("3.2", 1, as_it_came=True))
        correct_machine(context, CorrectMachine(name="Orrick Lapwing"))
        assert clear_snag(context, ClearSnag(1, "drilled out")).act
        assert where(context, "1.2") == {PlaceKind.BAG: 3, PlaceKind.SCRAPPED: 1}
        assert left_on(context, LeaveOn("3.2")).still_on == 0
        assert where(context, "3.2") == {PlaceKind.BAG: 2, PlaceKind.MACHINE: 2}
        assert broke(context, PieceBroke("3.2", 2)).short == 2
        assert not item_of(context, "3.2").fitted
        moved = "2.2"
    else:
        add_machine(context, AddMachine("Tern 50"))
        other = replace(context, machine="Tern 50")
        strip(other, COVER)
        correct_step(other, CorrectStep("1", to_machine="Orrick Plover"))
        context, moved = replace(context, machine="Orrick Plover"), "1.2"
    assert came_off(context, TakeOff(moved)).still_on == 0
    assert where(context, moved) == {PlaceKind.BAG: 4}
    assert not audit(context).faults


def test_a_piece_breaks_on_the_way_out_or_when_it_is_tightened(context: Context) -> None:
    strip(context, COVER)
    before = history(context)
    broke(context, PieceBroke("1.2", hole="hole 2", trial=True))
    assert history(context) == before
    reply = broke(context, PieceBroke("1.2", hole="hole 2"))
    assert (reply.quantity, reply.hole, reply.snag, reply.short) == (1, "hole 2", 1, 1)
    assert item_of(context, "1.2").stuck_words == "1 still on machine: broken in hole 2"
    with pytest.raises(Refused, match="fewer on the machine") as refusal:
        broke(context, PieceBroke("1.2"))
    assert refusal.value.facts == {"item": "1.2", "asked": 1, "there": 0}
    inspect(context, Inspect("1", "serviceable"))
    refit(context, Refit("1.2", 3))
    again = broke(context, PieceBroke("1.2", 2))
    assert (again.snag, again.short, item_of(context, "1.2").fitted) == (2, 3, 1)
    assert not audit(context).faults


def test_the_label_is_due_when_it_comes_off(context: Context) -> None:
    strip(context, COVER)
    digests = []
    for deed in (lambda: None, lambda: left_on(context, LeaveOn("1.2"))):
        deed()
        (bag,) = labels(context, AskLabels(everything=True)).bags
        digests.append(bag.digest)
    assert digests[0] != digests[1]


def test_an_undone_step_takes_all_of_it_back(context: Context) -> None:
    strip(context, HEAD)
    taken = undo(context, Undo("1", "step")).act
    assert not snags(context, ListSnags(everything=True)).snags
    assert not audit(context).faults
    undo(context, Undo(taken, "act"))
    assert item_of(context, "1.2").still_on[0].how == "broken"
    assert not audit(context).faults


# --- a stack ---


@pytest.mark.parametrize(
    ("line", "position", "words"),
    [
        ("left, from the gear out: 0.3, 0.5, 0.1 shims", "left, from the gear out",
         "0.3, 0.5, 0.1 = 0.9 mm"),
        ("3 shims: 0.3, 0.5, 0.1 @ left", "left", "0.3, 0.5, 0.1 = 0.9 mm"),
        ("0.3 + 0.5 + 0.1 mm shims", "", "0.3, 0.5, 0.1 = 0.9 mm"),
        ("thrust washers: 10, 12.5 thou @ clutch side", "clutch side", "10, 12.5 = 22.5 thou"),
        ("shims: 0.010, 0.005 in", "", "0.01, 0.005 = 0.015 in"),
    ],
)  # fmt: skip
def test_a_stack_keeps_its_order(context: Context, line: str, position: str, words: str) -> None:
    step = strip(context, Strip("Gearbox", "gear", [line]))
    said = step.items[1]
    assert (said.position, said.stack) == (position, words)
    item = item_of(context, "1.2")
    assert item.stack is not None
    assert (item.stack.words, item.found) == (words, len(item.stack.layers))
    assert find(context, Find("1.2")).items[0].stack == words
    assert listed_steps(context, ListSteps())[0].lines[1].stack == words
    assert not audit(context).faults


def test_a_stack_is_found_by_its_thickness(context: Context) -> None:
    strip(context, Strip("Gearbox", "gear", ["left, from the gear out: 0.35, 0.5 shims"]))
    assert [item.item for item in find(context, Find("shim 0.35")).items] == ["1.2"]


def test_a_stack_that_does_not_add_up_is_refused(context: Context) -> None:
    for line, words in (
        ("2 shims: 0.3, 0.5, 0.1", "2 in the stack, but 3 thicknesses"),
        ("shims: 80, 90", "is that a slip"),
    ):
        with pytest.raises((NotationError, BadValue), match=words):
            strip(context, Strip("Gearbox", "gear", [line]))
    with pytest.raises(Refused, match="means nothing here"):
        buy(context, Buy("shims: 0.3, 0.5"))
