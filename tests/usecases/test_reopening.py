"""A machine that is closed out is worked on no more, until it is opened again with a reason."""

from collections.abc import Callable
from typing import Any

import pytest
from conftest import kept

from stores.errors import Hint, NotationError, NotFound, Refused, Repeated
from stores.usecases.closing import (
    CloseOut,
    HandOver,
    Reopen,
    bound_record,
    close_out,
    end_of_day,
    hand_over,
    look_before_closing,
    reopen,
)
from stores.usecases.context import Context
from stores.usecases.correct import CorrectLine, CorrectStep, correct_line, correct_step
from stores.usecases.find import Find, find
from stores.usecases.history import Undo, audit, history, undo
from stores.usecases.inspect import Inspect, Specify, inspect, specify
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.orders import Buy, PlaceOrder, ReceiveOrder, buy, place_order, receive_order
from stores.usecases.outwork import SendPieces, send
from stores.usecases.places import LosePieces, lose
from stores.usecases.rebuild import PutBefore, TakeTime, put_before, take_time
from stores.usecases.refit import Refit, refit
from stores.usecases.snags import RecordSnag, record_snag
from stores.usecases.stock import Enter, LookAtStock, Reserve, enter, reserve, stock
from stores.usecases.strip import Loose, Strip, loose, strip


@kept
def closed(context: Context) -> Context:
    """A cover and a saddle that were off and are on again; closed out on 3 Nov 2026."""
    strip(context, Strip("Engine", "cover", ["4 M6x25 hex bolt"]))
    strip(context, Strip("Frame", "saddle", ["2 M8x20 hex bolt"]))
    for step in "12":
        inspect(context, Inspect(step, "serviceable"))
        refit(context, Refit(step))
    close_out(Context(context.store, None, "2026-11-03"), CloseOut("road test: no leak"))
    return context


NEW: dict[str, Callable[[Context], Any]] = {
    "strip": lambda c: strip(c, Strip("Engine", "cover", ["4 M6x25 hex bolt"])),
    "strip elsewhere": lambda c: strip(c, Strip("Wheels", "front wheel", ["1 M12 nut"])),
    "loose": lambda c: loose(c, Loose("1 M8x40 hex bolt")),
    "specify": lambda c: specify(c, Specify("1.2", "4 M6x25 hex bolt 8.8")),
    "reuse": lambda c: specify(c, Specify("1.2", reuse="as good as new")),
    "order": lambda c: put_before(c, PutBefore("1", "2")),
    "time": lambda c: take_time(c, TakeTime("1", "45 min")),
    "undo a refit": lambda c: undo(c, Undo("7", "act")),
}


@pytest.mark.parametrize("deed", NEW.values(), ids=NEW.keys())
def test_a_closed_machine_takes_no_new_step(
    closed: Context, deed: Callable[[Context], Any]
) -> None:
    before = history(closed)
    with pytest.raises(Refused, match="machine closed out") as refusal:
        deed(closed)
    assert refusal.value.facts["day"] == "2026-11-03"
    assert refusal.value.hint == Hint("reopen", machine="Orrick Plover")
    assert history(closed) == before
    reopen(closed, Reopen("oil at the cover"))
    deed(closed)
    assert audit(closed).faults == ()


def test_reading_and_a_note_stay_possible(closed: Context) -> None:
    assert find(closed, Find("cover")).items
    hand_over(closed, HandOver("runs well"))
    assert end_of_day(closed).words[0][1] == "runs well"


def test_the_record_of_a_closed_machine_can_be_put_right(closed: Context) -> None:
    correct_step(closed, CorrectStep("1", part="cover, left"))
    correct_line(closed, CorrectLine("2.2", "3 M8x20 hex bolt"))  # one more than was counted
    assert [item.part for item in find(closed, Find("1.2")).items] == ["cover, left"]
    assert bound_record(closed).closed == ("2026-11-03", "road test: no leak")
    with pytest.raises(Refused, match="machine closed out"):
        put_before(closed, PutBefore("1", "2"))
    assert audit(closed).faults == ()


def test_a_correction_of_a_closed_machine_is_undone_and_brought_back(closed: Context) -> None:
    act = correct_line(closed, CorrectLine("2.2", "3 M8x20 hex bolt")).act
    undo(closed, Undo(str(act), "act"))
    assert find(closed, Find("2.2")).items[0].found == 2
    undo(closed, Undo(str(act + 1), "act"))
    assert find(closed, Find("2.2")).items[0].found == 3
    with pytest.raises(Refused, match="machine closed out"):  # that was done, not corrected
        undo(closed, Undo("7", "act"))
    assert audit(closed).faults == ()


def test_another_machine_is_no_matter(closed: Context) -> None:
    add_machine(closed, AddMachine("Tern 50"))
    strip(Context(closed.store, "Tern"), Strip("Engine", "cover", ["4 M6x25 hex bolt"]))


def test_it_is_opened_again_with_a_reason_and_closed_once_more(closed: Context) -> None:
    with pytest.raises(NotationError):
        reopen(closed, Reopen("  "))
    reply = reopen(Context(closed.store, None, "2026-11-20"), Reopen("oil at the cover"))
    assert (reply.machine, reply.closed_on) == ("Orrick Plover", "2026-11-03")
    with pytest.raises(Refused, match="not closed out"):
        reopen(closed, Reopen("again"))
    assert bound_record(closed).closed == ()
    told = [(turn.day, turn.closed, turn.words) for turn in end_of_day(closed).turns]
    assert told == [
        ("2026-11-03", True, "road test: no leak"),
        ("2026-11-20", False, "oil at the cover"),
    ]
    assert bound_record(closed).turns == end_of_day(closed).turns
    close_out(Context(closed.store, None, "2026-11-21"), CloseOut("dry"))
    assert bound_record(closed).closed == ("2026-11-21", "dry")
    assert len(bound_record(closed).turns) == 3


def test_opening_is_undone(closed: Context) -> None:
    reopen(closed, Reopen("oil at the cover"))
    undo(closed, Undo())
    assert bound_record(closed).closed == ("2026-11-03", "road test: no leak")
    with pytest.raises(Refused, match="machine closed out"):
        strip(closed, Strip("Engine", "cover", ["4 M6x25 hex bolt"]))
    undo(closed, Undo("8", "act"))  # the closing itself
    strip(closed, Strip("Engine", "cover", ["4 M6x25 hex bolt"]))


def test_a_trial_writes_nothing_and_the_same_key_is_one_act(closed: Context) -> None:
    before = history(closed)
    assert reopen(closed, Reopen("oil", trial=True)).reason == "oil"
    assert history(closed) == before
    reopen(closed, Reopen("oil", key="k"))
    with pytest.raises(Repeated):
        reopen(closed, Reopen("oil", key="k"))


def test_what_a_snag_and_the_pieces_say(closed: Context) -> None:
    with pytest.raises(Refused, match="machine closed out"):
        record_snag(closed, RecordSnag("1", "leak", "weeps at the cover"))
    for deed in (
        lambda: send(closed, SendPieces(["1.2"], "Dyke Platers")),
        lambda: lose(closed, LosePieces("1.2", "1")),
    ):
        with pytest.raises((Refused, NotFound)):  # all are on the machine
            deed()
    assert look_before_closing(closed).in_the_way == ()


def test_the_workshop_buys_and_enters_stock_after_its_last_machine_is_closed(
    closed: Context,
) -> None:
    enter(closed, Enter(["40 M6 nut", "50 ml flange sealant"], to="drawer 3"))
    buy(closed, Buy("20 M5 nut", firm="Hollin Fasteners", stock=True))
    place_order(closed, PlaceOrder("Hollin Fasteners", ["30 M8 nut"], stock=True))
    receive_order(closed, ReceiveOrder(1))
    lines = stock(closed, LookAtStock()).lines
    assert {(line.name, line.quantity) for line in lines} == {
        ("M6 nut", 40), ("flange sealant", 50), ("M5 nut", 20), ("M8 nut", 30)
    }  # fmt: skip
    with pytest.raises(Refused, match="machine closed out"):
        reserve(closed, Reserve("0.1", "4"))
    with pytest.raises(Refused, match="machine closed out"):
        place_order(closed, PlaceOrder("Hollin Fasteners", ["4 M6x25 hex bolt"]))
    assert audit(closed).faults == ()


def test_where_the_workshops_stock_is_keeps_no_machine_open(context: Context) -> None:
    strip(context, Strip("Engine", "cover", ["4 M6x25 hex bolt"]))
    inspect(context, Inspect("1", "serviceable"))
    refit(context, Refit("1"))
    enter(context, Enter(["60 1/4 BSF bolt"], to="tin 2", condition="as removed"))
    enter(context, Enter(["20 M6 washer"], to="tin 2"))
    send(context, SendPieces(["0.2"], "Brindle Platers", work="zinc"))
    close_out(context, CloseOut())
    assert audit(context).faults == ()
