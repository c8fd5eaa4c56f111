"""A machine that is kept for its parts wants nothing back, and which piece is taken is said.

By hand: the Tern's step 1 is a dynamo held by 4 M8 bolts, two of them inspected; the Plover, which
is to be restored, misses one such bolt of 4 at its step 1.
"""

import pytest
from conftest import kept

from stores.errors import Hint, NotFound, Refused, Repeated
from stores.model.ledger import Condition
from stores.usecases.closing import CloseOut, bound_record, close_out, look_before_closing
from stores.usecases.context import Context
from stores.usecases.find import Find, find
from stores.usecases.history import Undo, audit, history, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.machines import (
    AddMachine,
    KeepForParts,
    add_machine,
    keep_for_parts,
    machines,
)
from stores.usecases.places import AssignPieces, MovePieces, assign, move
from stores.usecases.rebuild import (
    ListSteps,
    LookAhead,
    ahead,
    going,
    listed_steps,
    summary,
    work_today,
)
from stores.usecases.refit import Refit, refit
from stores.usecases.shopping import WhatToBuy, shopping
from stores.usecases.strip import Strip, strip

DONOR = "Tern 50"


@kept
def two(context: Context) -> Context:
    strip(context, Strip("Engine", "magneto", ["3 of 4 M8x30 hex bolt"]))
    add_machine(context, AddMachine(DONOR))
    tern = Context(context.store, DONOR)
    strip(tern, Strip("Engine", "dynamo", ["4 M8x30 hex bolt"]))
    inspect(tern, Inspect("1.2", "serviceable", quantity="2"))
    return tern


def rob(context: Context, **more: str) -> None:
    assign(context, AssignPieces("1.2", "1.2", "1", other="Orrick Plover", **more))


def test_a_donor_that_is_not_for_parts_is_owed_what_was_taken(two: Context) -> None:
    rob(two, of="serviceable")
    assert [line.quantity for line in shopping(two, WhatToBuy()).lines] == [1]
    assert len(audit(two).debts) == 1


def test_a_machine_for_parts_wants_nothing_back(two: Context) -> None:
    rob(two, of="serviceable")
    reply = keep_for_parts(two, KeepForParts("Tern"))
    assert (reply.machine, reply.for_parts, reply.wanted) == (DONOR, True, ())
    assert [each.for_parts for each in machines(two)] == [False, True]
    assert shopping(two, WhatToBuy()).lines == ()
    assert shopping(two, WhatToBuy()).measure_first == ()
    assert audit(two).debts == ()
    for ask in (
        work_today,
        going,
        summary,
        lambda context: ahead(context, LookAhead()),
        lambda context: listed_steps(context, ListSteps()),
        lambda context: refit(context, Refit("1")),
    ):
        with pytest.raises(NotFound, match="for parts") as refusal:
            ask(two)
        assert refusal.value.hint == Hint("want_back", machine=DONOR)
    [item] = find(two, Find("1.2")).items
    assert item.short == 0
    assert look_before_closing(two).in_the_way == ()
    assert bound_record(two).in_the_way == ()
    # A piece that is taken now is owed to nobody.
    assert not assign(
        two, AssignPieces("1.2", "1.2", "1", of="as removed", other="Orrick Plover")
    ).owed
    close_out(two, CloseOut())
    assert audit(two).faults == ()


def test_the_machine_to_restore_is_as_it_was(two: Context) -> None:
    plover = Context(two.store, "Orrick Plover")
    before = (shopping(plover, WhatToBuy()), listed_steps(plover, ListSteps()))
    keep_for_parts(two, KeepForParts(DONOR))
    assert (shopping(plover, WhatToBuy()), listed_steps(plover, ListSteps())) == before


def test_a_step_may_be_wanted_back_all_the_same(two: Context) -> None:
    strip(two, Strip("Frame", "saddle", ["2 M6x20 bolt"]))
    keep_for_parts(two, KeepForParts(DONOR))
    reply = keep_for_parts(two, KeepForParts(DONOR, ["2"]))
    assert reply.wanted == (2,)
    assert [each.step.number for each in listed_steps(two, ListSteps())] == [2]
    assert keep_for_parts(two, KeepForParts(DONOR, ["2"], takes_back=True)).wanted == ()
    undo(two, Undo())
    assert [each.step.number for each in listed_steps(two, ListSteps())] == [2]
    with pytest.raises(Refused, match="in the way of closing"):
        close_out(two, CloseOut())


def test_it_can_be_undone_and_taken_back(two: Context) -> None:
    rob(two, of="serviceable")
    keep_for_parts(two, KeepForParts(DONOR))
    undo(two, Undo())
    assert [line.quantity for line in shopping(two, WhatToBuy()).lines] == [1]
    keep_for_parts(two, KeepForParts(DONOR))
    with pytest.raises(Refused, match="kept for parts already"):
        keep_for_parts(two, KeepForParts(DONOR))
    assert not keep_for_parts(two, KeepForParts(DONOR, takes_back=True)).for_parts
    assert [line.quantity for line in shopping(two, WhatToBuy()).lines] == [1]
    assert len(audit(two).debts) == 1
    with pytest.raises(Refused, match="to be restored already"):
        keep_for_parts(two, KeepForParts(DONOR, takes_back=True))
    with pytest.raises(Refused, match="not kept for parts"):
        keep_for_parts(two, KeepForParts(DONOR, ["1"]))


def test_a_machine_is_added_for_parts_in_one_act(context: Context) -> None:
    assert add_machine(context, AddMachine("Dunlin", for_parts=True)).for_parts
    strip(Context(context.store, "Dunlin"), Strip("Engine", "head", ["3 of 4 M8 nut"]))
    assert shopping(Context(context.store, "Dunlin"), WhatToBuy()).lines == ()


def test_a_trial_writes_nothing_and_the_same_key_is_one_act(two: Context) -> None:
    before = history(two)
    assert keep_for_parts(two, KeepForParts(DONOR, trial=True)).for_parts
    assert history(two) == before
    keep_for_parts(two, KeepForParts(DONOR, key="k"))
    with pytest.raises(Repeated):
        keep_for_parts(two, KeepForParts(DONOR, key="k"))


def test_which_of_two_pieces_is_taken_is_asked(two: Context) -> None:
    with pytest.raises(Refused, match="which of them") as refusal:
        rob(two)
    assert refusal.value.facts["conditions"] == (Condition.AS_REMOVED, Condition.SERVICEABLE)
    rob(two, of="serviceable")
    rob(two, of="as removed")
    [item] = find(two, Find("1.2")).items
    assert [(each.quantity, each.condition) for each in item.now if each.kind.in_hand] == [
        (1, Condition.AS_REMOVED),
        (1, Condition.SERVICEABLE),
    ]


def test_the_place_says_which(two: Context) -> None:
    move(two, MovePieces("1.2", "tin 3", "2", of="serviceable"))
    rob(two, place="Tin 3")
    [item] = find(two, Find("1.2")).items
    assert {(each.place, each.quantity) for each in item.now if each.kind.in_hand} == {
        ("tin 3", 1),
        ("A003J", 2),
    }
    with pytest.raises(Refused, match="none there"):
        rob(two, place="nowhere")
    # Pieces that are alike are no question.
    inspect(two, Inspect("1.2", "serviceable"))
    rob(two)
