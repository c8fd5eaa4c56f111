"""Bags tipped together, asked of the use-cases themselves.

By hand: bag A001N holds the cover (1.1), 4 M6 x 25 (1.2) and 2 M6 nuts (1.3), bag A003J the lid
(2.1), 4 M6 x 30 (2.2) and 2 M6 nuts (2.3).
"""

import sqlite3
from collections.abc import Sequence
from dataclasses import replace

import pytest
from conftest import kept

from stores.errors import BadValue, Hint, NotFound, Refused, Repeated
from stores.planning.closing import UnsettledKind
from stores.planning.counts import MatterKind
from stores.storage.items import read_items
from stores.usecases.closing import end_of_day, look_before_closing
from stores.usecases.context import Context
from stores.usecases.find import Find, find
from stores.usecases.history import Undo, audit, history, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.labels import (
    AskLabels,
    MakeLabels,
    SayOut,
    labels,
    labels_came_out,
    labels_made,
)
from stores.usecases.mixups import ListMixed, MixPieces, SortPieces, mix, mixed, sort
from stores.usecases.places import ListPlaces, LosePieces, MovePieces, lose, move, places
from stores.usecases.rebuild import ListSteps, listed_steps, work_today
from stores.usecases.refit import Refit, refit
from stores.usecases.strip import Loose, Strip, loose, strip
from stores.wording.status import flag, said


@kept
def two(context: Context) -> tuple[Context, str, str]:
    """Two bags, inspected."""
    one = strip(context, Strip("Engine", "cover", ["4 M6x25 hex bolt", "2 M6 nut"]))
    other = strip(context, Strip("Engine", "lid", ["4 M6x30 hex bolt", "2 M6 nut"]))
    for step in "12":
        inspect(context, Inspect(step, "serviceable"))
    assert one.bag
    assert other.bag
    return context, one.bag, other.bag


def doubtful(context: Context) -> dict[str, int]:
    """How many pieces of each line are mixed up."""
    with context.reading() as connection:
        return {item.ref: item.mixed for item in read_items(connection) if item.mixup}


def test_what_is_mixed_is_said_of_both_bags_and_all_their_lines(
    two: tuple[Context, str, str],
) -> None:
    context, one, other = two
    reply = mix(context, MixPieces([one, other], "fell off the bench"))
    assert (reply.mixed.mixup, reply.mixed.note, reply.bags) == (
        1, "fell off the bench", tuple(sorted([one, other])),
    )  # fmt: skip
    assert [(line.item, line.quantity, line.text) for line in reply.mixed.lines] == [
        ("1.1", 1, "cover"), ("1.2", 4, "M6 x 25 hex bolt"), ("1.3", 2, "M6 nut"),
        ("2.1", 1, "lid"), ("2.2", 4, "M6 x 30 hex bolt"), ("2.3", 2, "M6 nut"),
    ]  # fmt: skip
    assert doubtful(context) == {"1.1": 1, "1.2": 4, "1.3": 2, "2.1": 1, "2.2": 4, "2.3": 2}
    assert not audit(context).faults
    stocktake = audit(context).stocktake
    assert stocktake
    assert (MatterKind.MIXED_UP, 4, "1.2") in [
        (each.kind, each.quantity, each.item) for each in stocktake.open_matters
    ]


def test_the_measurement_that_tells_two_apart_is_known(two: tuple[Context, str, str]) -> None:
    context, one, other = two
    mix(context, MixPieces([one, other]))
    (each,) = mixed(context, ListMixed(one))
    assert mixed(context, ListMixed()) == mixed(context, ListMixed("1")) == (each,)
    assert mixed(context, ListMixed("2.2")) == (each,)
    pairs = {(pair.one, pair.other): pair for pair in each.pairs}
    assert len(pairs) == 15  # six lines, each with each other
    length = pairs["1.2", "2.2"].tellings[0]
    assert (length.by, length.one, length.other) == ("length", "25 mm", "30 mm")
    assert (pairs["1.3", "2.3"].same, pairs["1.3", "2.3"].tellings) == (True, ())
    assert pairs["1.2", "1.3"].tellings[0].by == "kind"
    assert pairs["1.1", "2.1"].tellings[0].by == "name"


def test_every_list_says_so(two: tuple[Context, str, str]) -> None:
    context, one, other = two
    made = {bag.code: bag.digest for bag in labels(context, AskLabels()).bags}
    labels_made(context, MakeLabels(made, "labels.pdf"))
    labels_came_out(context, SayOut())
    assert not labels(context, AskLabels()).bags
    mix(context, MixPieces([one, other]))
    due = labels(context, AskLabels()).bags
    assert [(bag.code, bag.mixed_with, bag.superseded) for bag in due] == [
        (code, (its,), True) for code, its in sorted([(one, other), (other, one)])
    ]
    bolt = next(item for item in find(context, Find(one)).items if item.item == "1.2")
    assert (bolt.mixed, bolt.mixup, bolt.mixed_with) == (4, 1, ("1.1", "1.3", "2.1", "2.2", "2.3"))
    assert all("MIXED UP" in line.what for line in places(context, ListPlaces()).places)
    for step in listed_steps(context, ListSteps()):
        assert step.state == "waits"
        for line in step.lines:
            assert any(flag(each).startswith("MIXED UP with ") for each in line.flags)
            assert (line.to_hand, line.short) == (0, 0)
    today = work_today(context)
    assert not today.ready
    assert any(said(each).startswith("sort 4 M6 x 30") for each in today.at_hand[0].waits_for)
    assert len(end_of_day(context).left.mixed_up) == 6
    in_the_way = look_before_closing(context).in_the_way
    assert sum(each.kind is UnsettledKind.MIXED_UP for each in in_the_way) == 6


def test_what_is_mixed_is_not_refitted_unless_one_insists(two: tuple[Context, str, str]) -> None:
    context, _one, _other = two
    mix(context, MixPieces(["1.2", "2.2"]))
    with pytest.raises(Refused) as refused:
        refit(context, Refit("1"))
    assert refused.value.fact == "mixed up"
    assert [(each.item, each.quantity) for each in refused.value.facts["items"]] == [("1.2", 4)]
    assert refused.value.hint == Hint("mixed", number=1)
    assert refit(context, Refit("1.3")).pieces == 2  # of the same bag, but not in it
    reply = refit(context, Refit("1", anyway=True))
    assert [(each.item, each.quantity) for each in reply.mixed] == [("1.2", 4)]
    # one of each may sit at the other's joint: the other line stays in doubt
    assert doubtful(context) == {"1.2": 4, "2.2": 4}
    assert not audit(context).faults


def test_pieces_that_are_not_mixed_go_on_first(two: tuple[Context, str, str]) -> None:
    context, _, _ = two
    move(context, MovePieces("1.2", "bench", "1"))
    mix(context, MixPieces(["A001N", "2.2"]))
    assert doubtful(context)["1.2"] == 3
    assert refit(context, Refit("1.2", quantity="1")).mixed == ()
    with pytest.raises(Refused, match="mixed up"):
        refit(context, Refit("1.2", quantity="1"))


def test_sorted_all_as_recorded_nothing_is_mixed_any_more(two: tuple[Context, str, str]) -> None:
    context, one, other = two
    before = labels(context, AskLabels(everything=True)).bags
    mix(context, MixPieces([one, other]))
    reply = sort(context, SortPieces("1"))
    assert [(each.item, each.quantity, each.place.name, each.moved) for each in reply.lines] == [
        ("1.1", 1, one, 0), ("1.2", 4, one, 0), ("1.3", 2, one, 0),
        ("2.1", 1, other, 0), ("2.2", 4, other, 0), ("2.3", 2, other, 0),
    ]  # fmt: skip
    assert (reply.left, reply.bags) == ((), tuple(sorted([one, other])))
    assert (doubtful(context), mixed(context, ListMixed())) == ({}, ())
    assert labels(context, AskLabels(everything=True)).bags == before  # the old labels do again
    assert refit(context, Refit("2")).pieces == 7
    assert not audit(context).faults


def test_so_many_of_each_are_sorted_and_some_are_in_the_other_bag(
    two: tuple[Context, str, str],
) -> None:
    context, one, other = two
    mix(context, MixPieces(["1.2", "2.2"]))
    reply = sort(context, SortPieces("", ["1.2=3", f"2.2=1@{one}"]))
    assert [(each.item, each.quantity, each.place.name, each.moved) for each in reply.lines] == [
        ("1.2", 3, one, 0), ("2.2", 1, one, 1),
    ]  # fmt: skip
    assert [(line.item, line.quantity) for line in reply.left] == [("1.2", 1), ("2.2", 3)]
    with context.reading() as connection:
        lid = next(item for item in read_items(connection) if item.ref == "2.2")
    bags = [held for held in lid.holdings if held.kind.in_hand]
    assert {held.place: (held.quantity, held.mixed) for held in bags} == {
        one: (1, 0),
        other: (3, 3),
    }
    assert not audit(context).faults
    # the last one of 1.2 sorted, what is left can only be 2.2
    last = sort(context, SortPieces("1", ["1.2"]))
    assert [(each.item, each.quantity) for each in last.by_itself] == [("2.2", 3)]
    assert (last.left, doubtful(context)) == ((), {})


def test_marks_go_where_the_pieces_go(two: tuple[Context, str, str]) -> None:
    context, _, _ = two
    mix(context, MixPieces(["1.2", "2.2"]))
    move(context, MovePieces("1.2", "box 1"))
    lose(context, LosePieces("1.2", "1"))
    inspect(context, Inspect("2.2", "condemned", "necked", "2"))
    assert doubtful(context) == {"1.2": 4, "2.2": 4}
    reply = sort(context, SortPieces())
    assert sum(each.quantity for each in reply.lines) == 8
    assert not audit(context).faults


def test_mixups_that_share_a_line_are_one(two: tuple[Context, str, str]) -> None:
    context, _, _ = two
    loose(context, Loose("3 M6x35 hex bolt", "tin 1"))
    loose(context, Loose("3 M8 nut", "tin 2"))
    loose(context, Loose("3 M8 washer", "tin 2"))
    mix(context, MixPieces(["1.2", "2.2"]))
    mix(context, MixPieces(["2.2", "0.1"], "and the tin"))
    mix(context, MixPieces(["0.2", "0.3"]))
    first, second = mixed(context, ListMixed())
    assert (first.mixup, [line.item for line in first.lines]) == (2, ["0.1", "1.2", "2.2"])
    assert (second.mixup, [line.item for line in second.lines]) == (3, ["0.2", "0.3"])
    with pytest.raises(Refused) as refused:
        sort(context, SortPieces())
    assert (refused.value.fact, refused.value.facts["mixups"]) == ("several are mixed up", (2, 3))
    sort(context, SortPieces("2"))
    assert doubtful(context) == {"0.2": 3, "0.3": 3}


def test_the_same_line_in_two_conditions_can_be_mixed_up(two: tuple[Context, str, str]) -> None:
    context, _, _ = two
    inspect(context, Inspect("1.2", "condemned", "necked", "2"))
    move(context, MovePieces("1.2", "box 1", "2", "condemned"))
    mix(context, MixPieces(["1.2", "1"]))
    assert doubtful(context)["1.2"] == 4


def test_undone_and_done_again(two: tuple[Context, str, str]) -> None:
    context, one, other = two
    clean = labels(context, AskLabels(everything=True)).bags
    done = mix(context, MixPieces([one, other]))
    marked = doubtful(context)
    back = undo(context, Undo(str(done.act), "act"))
    assert doubtful(context) == {}
    assert labels(context, AskLabels(everything=True)).bags == clean
    undo(context, Undo(str(back.act), "act"))
    assert doubtful(context) == marked
    did = sort(context, SortPieces("1", [f"2.2=1@{one}"]))
    undo(context, Undo(str(did.act), "act"))
    assert doubtful(context) == marked
    assert not audit(context).faults


def test_an_act_that_a_mixup_stands_on_is_not_undone(two: tuple[Context, str, str]) -> None:
    context, _one, _other = two
    moved = move(context, MovePieces("1.2", "box 1"))
    done = mix(context, MixPieces(["1.2", "2.2"]))
    did = sort(context, SortPieces("1", ["1.2=1"]))
    with pytest.raises(Refused) as refused:
        undo(context, Undo(str(moved.act), "act"))
    assert refused.value.fact == "mixed up since"
    with pytest.raises(Refused) as sorted_since:
        undo(context, Undo("1", "step"))
    assert sorted_since.value.fact in ("mixed up since", "moved on since")
    undo(context, Undo(str(done.act), "act"))  # and with it what was sorted of it
    assert doubtful(context) == {}
    undo(context, Undo(str(did.act), "act"))
    undo(context, Undo(str(moved.act), "act"))
    assert not audit(context).faults


@pytest.mark.parametrize(
    ("what", "fact"),
    [
        (["A001N"], "mixed with what"),
        (["A001N", "a001n"], "mixed with what"),
        (["1.2", " 1.2"], "mixed with what"),
        (["1.2", "1.2 "], "mixed with what"),
        (["1.2", "9.1"], "no such step"),
    ],
)
def test_what_cannot_be_mixed_is_refused(
    two: tuple[Context, str, str], what: Sequence[str], fact: str
) -> None:
    context, _, _ = two
    before = len(history(context))
    with pytest.raises((Refused, NotFound, BadValue)) as refused:
        mix(context, MixPieces(what))
    assert refused.value.fact == fact or not fact
    assert len(history(context)) == before


def test_what_is_not_in_hand_or_one_thing_only_is_refused(two: tuple[Context, str, str]) -> None:
    context, _one, _ = two
    refit(context, Refit("1.3"))
    with pytest.raises(NotFound) as gone:
        mix(context, MixPieces(["1.3", "2.3"]))
    assert (gone.value.fact, gone.value.facts["what"]) == ("nothing in hand to mix", "1.3 M6 nut")
    move(context, MovePieces("1.2", "bench", "2"))
    move(context, MovePieces("1.2", "box 1", "2"))
    move(context, MovePieces("1.1", "shelf 1"))
    with pytest.raises(Refused) as same:
        mix(context, MixPieces(["1.2", "01.2"]))
    assert same.value.fact == "the same thing"


@pytest.mark.parametrize(
    ("lines", "fact", "facts"),
    [
        (["1.2=5"], "fewer are mixed up", {"item": "1.2", "mixed": 4, "asked": 5}),
        (["1.2=3", "1.2=2"], "fewer are mixed up", {"item": "1.2", "mixed": 1, "asked": 2}),
        (["1.1"], "not in this mix-up", {"item": "1.1", "number": 1, "items": ("1.2", "2.2")}),
        (["four"], "no line of sorting", {"typed": "four"}),
        (["1.2=some"], "no count", {"typed": "some"}),
        (["1.2=0"], "count out of range", {"count": 0}),
    ],
)
def test_sorting_that_cannot_be_is_refused(
    two: tuple[Context, str, str], lines: Sequence[str], fact: str, facts: dict[str, object]
) -> None:
    context, _, _ = two
    mix(context, MixPieces(["1.2", "2.2"]))
    before = len(history(context))
    with pytest.raises((Refused, BadValue)) as refused:
        sort(context, SortPieces("1", lines))
    assert refused.value.fact == fact
    assert facts.items() <= refused.value.facts.items()
    assert len(history(context)) == before
    assert doubtful(context) == {"1.2": 4, "2.2": 4}


def test_what_is_not_mixed_is_not_sorted(two: tuple[Context, str, str]) -> None:
    context, _one, _ = two
    with pytest.raises(Refused, match="nothing is mixed up"):
        sort(context, SortPieces())
    mix(context, MixPieces(["1.2", "2.2"]))
    for which, fact in (("7", "no such mix-up"), ("1.1", "not mixed up")):
        with pytest.raises(NotFound) as refused:
            sort(context, SortPieces(which))
        assert refused.value.fact == fact
        with pytest.raises(NotFound):
            mixed(context, ListMixed(which))


def test_a_trial_writes_nothing_and_a_key_is_one_act(two: tuple[Context, str, str]) -> None:
    context, one, other = two
    ask = MixPieces([one, other], trial=True)
    tried = mix(context, ask)
    assert doubtful(context) == {}
    assert mix(context, replace(ask, trial=False, key="form 1")) == replace(tried, trial=False)
    with pytest.raises(Repeated):
        mix(context, replace(ask, trial=False, key="form 1"))
    sorting = SortPieces("1", ["1.2=1"], trial=True)
    tried_too = sort(context, sorting)
    assert doubtful(context)["1.2"] == 4
    assert sort(context, replace(sorting, trial=False, key="form 2")) == replace(
        tried_too, trial=False
    )
    with pytest.raises(Repeated):
        sort(context, replace(sorting, trial=False, key="form 2"))
    assert doubtful(context)["1.2"] == 3


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ("quantity = 9", "says 9 of 1.2"),
        ("item_id = 3 WHERE sorted = 0", "is of one thing alone"),
    ],
)
@pytest.mark.files_alone
def test_the_audit_finds_what_cannot_be(
    two: tuple[Context, str, str], change: str, said: str
) -> None:
    context, _, _ = two
    mix(context, MixPieces(["1.2", "2.2"]))
    sort(context, SortPieces("1", ["1.2=1"]))
    assert not audit(context).faults
    with sqlite3.connect(context.store.name) as connection:
        connection.execute("DROP TRIGGER mix_up_line_no_update")
        connection.execute(f"UPDATE mix_up_line SET {change}")
    faults = [str(fault) for fault in audit(context).faults]
    assert any(said in fault for fault in faults), faults
