"""The end of a day, closing out, the bound record: asked of the use-cases themselves."""

from dataclasses import replace

import pytest
from conftest import kept

from stores.errors import Hint, NotationError, Refused, Repeated
from stores.usecases.assembling import Sign, sign
from stores.usecases.closing import (
    CloseOut,
    HandOver,
    bound_record,
    close_out,
    end_of_day,
    hand_over,
    look_before_closing,
)
from stores.usecases.context import Context
from stores.usecases.history import Undo, history, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.orders import Buy, buy
from stores.usecases.places import AssignPieces, assign
from stores.usecases.refit import Refit, refit
from stores.usecases.strip import Loose, Strip, loose, strip
from stores.wording.closing import day_lists, unsettled


@kept
def brake(context: Context) -> Context:
    """A brake plate off, its bolts inspected."""
    strip(context, Strip("Brakes", "brake plate", ["2 M8x30 hex bolt"]))
    inspect(context, Inspect("1", "serviceable"))
    return context


def test_words_are_kept_and_the_last_two_stand_on_top(context: Context) -> None:
    replies = [hand_over(context, HandOver(words)) for words in ("one", " two ", "three")]
    assert [(each.machine, each.words) for each in replies][1] == ("Orrick Plover", "two")
    assert [words for _, words in end_of_day(context).words] == ["three", "two"]
    undo(context, Undo())
    assert [words for _, words in end_of_day(context).words] == ["two", "one"]
    with pytest.raises(NotationError):
        hand_over(context, HandOver("  "))


def test_a_trial_keeps_no_words_and_the_same_key_keeps_them_once(context: Context) -> None:
    tried = hand_over(context, HandOver("drain pan under the sump", trial=True))
    assert (tried.trial, tried.words) == (True, "drain pan under the sump")
    assert end_of_day(context).words == ()
    hand_over(context, HandOver("drain pan under the sump", key="k"))
    with pytest.raises(Repeated):
        hand_over(context, HandOver("drain pan under the sump", key="k"))
    assert len(end_of_day(context).words) == 1


def test_a_day_leaves_what_is_off_loose_and_unsigned(brake: Context) -> None:
    (off,) = end_of_day(brake).left.off
    assert (off.step, off.where, off.text, off.to_undo) == (1, "Brakes", "brake plate", False)
    assert day_lists(end_of_day(brake).left)["Off"] == ("step 1 Brakes: brake plate",)
    refit(brake, Refit("1", finger_tight=True))
    lists = day_lists(end_of_day(brake).left)
    assert lists["Off"] == ()
    assert lists["Only finger-tight"] == ("1.2 M8 x 30 hex bolt, brake plate",)
    assert lists["Waits"] == ("no second check signed: step 1 brake plate",)


def test_every_step_that_is_off_is_handed_over_those_from_before_by_assembly(
    context: Context,
) -> None:
    early, late = (replace(context, day=f"2026-03-0{each}") for each in (1, 2))
    strip(early, Strip("Engine / Clutch", "clutch cover", ["2 M6x25 hex bolt @ rear"]))
    strip(early, Strip("Frame", "mudguard", ["1 mudguard"]))
    strip(early, Strip("Engine / Clutch", "pressure plate", ["6 clutch spring"]))
    strip(late, Strip("Frame", "stand", ["1 stand"]))
    lists = day_lists(end_of_day(context).left)
    assert lists["Off"] == ("step 4 Frame: stand",)
    assert lists["Off from before"] == (
        "Engine / Clutch: steps 1 clutch cover; 3 pressure plate",
        "Frame: step 2 mudguard",
    )
    refit(context, Refit("4", as_it_came=True, anyway=True))
    lists = day_lists(end_of_day(context).left)
    assert lists["Off"][1] == "Frame: step 2 mudguard"
    assert "Off from before" not in lists


def test_what_is_in_the_way_is_what_a_closing_is_refused_for(brake: Context) -> None:
    matters = look_before_closing(brake).in_the_way
    assert [unsettled(each) for each in matters[:2]] == [
        "not on the machine: 1 brake plate (1.1)",
        "not on the machine: 2 M8 x 30 hex bolt (1.2)",
    ]
    with pytest.raises(Refused, match="in the way of closing") as refusal:
        close_out(brake, CloseOut())
    assert refusal.value.facts["matters"] == matters
    assert refusal.value.hint == Hint("look before closing")
    refit(brake, Refit("1", by="A. Marl"))
    sign(brake, Sign("1", "J. Teal", second=True))
    assert look_before_closing(brake).in_the_way == ()
    before = len(history(brake))
    assert close_out(brake, CloseOut("no leak", trial=True)).machine == "Orrick Plover"
    assert len(history(brake)) == before
    act = close_out(brake, CloseOut("no leak")).act
    with pytest.raises(Refused, match="closed out already") as again:
        close_out(brake, CloseOut())
    assert again.value.facts["act"] == act
    assert bound_record(brake).closed[1:] == ("no leak",)


def test_nothing_stripped_is_nothing_to_close_or_bind(context: Context) -> None:
    with pytest.raises(Refused, match="nothing to close"):
        close_out(context, CloseOut())
    with pytest.raises(Refused, match="no record to bind"):
        bound_record(context)


def test_the_bound_record_has_all_acts_the_first_first(brake: Context) -> None:
    record = bound_record(brake)
    assert [number for number, *_ in record.acts] == [1, 2, 3]
    assert {item.ref for item in record.items} == {"1.1", "1.2"}
    assert (record.closed, record.shots) == ((), {})
    assert record.in_the_way == look_before_closing(brake).in_the_way


def test_the_bound_record_tells_new_pieces_from_others(context: Context) -> None:
    strip(context, Strip("Frame", "cover", ["2 of 5 M8x30 hex bolt"]))
    loose(context, Loose("1 M8x30 hex bolt", "tin 1"))
    assign(context, AssignPieces("0.1", "1.2"))
    day = replace(context, day="3 Nov 2026")
    buy(day, Buy("2 M8x30 hex bolt", firm="Hollin Fasteners"))
    (ours,) = (item.number for item in bound_record(context).items if item.ref == "1.2")
    new, old = bound_record(context).bought[ours]
    assert new == "new: 2 from Hollin Fasteners, 3 Nov 2026"
    assert old.startswith("not new: 1 from loose stock, ")
