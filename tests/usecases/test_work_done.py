"""Work done on a piece is part of its story: what, by whom, when, what it measured afterwards."""

import pytest
from conftest import kept

from stores.errors import BadValue, Refused, Repeated
from stores.model.items import StoryLine
from stores.model.ledger import Condition
from stores.usecases.closing import bound_record
from stores.usecases.common import WorkSaid
from stores.usecases.context import Context
from stores.usecases.find import Find, FoundItem, find
from stores.usecases.history import Undo, audit, history, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.outwork import (
    BeginBatch,
    CountBatchBack,
    PutIntoBatch,
    SendBatch,
    SendPieces,
    TakeBack,
    begin_batch,
    count_batch_back,
    put_into_batch,
    send,
    send_batch,
    take_back,
)
from stores.usecases.rebuild import ListSteps, checklist, listed_steps
from stores.usecases.strip import Strip, strip
from stores.wording.find import found
from stores.wording.inspect import inspected

WELDED = WorkSaid("welded and ground", "Harris", "19.98 mm")


def on(context: Context, day: str) -> Context:
    return Context(context.store, None, day)


@kept
def worn(context: Context) -> Context:
    """A camshaft (1.1) that is to be welded, and its 4 bolts (1.2)."""
    strip(on(context, "2026-11-01"), Strip("Engine", "camshaft", ["4 M6x25 bolt 8.8"]))
    inspect(on(context, "2026-11-03"), Inspect("1.1", "repairable", "worn, to be welded"))
    return context


def camshaft(context: Context) -> FoundItem:
    [item] = find(context, Find("1.1")).items
    return item


def test_it_is_passed_once_the_work_is_said(worn: Context) -> None:
    with pytest.raises(Refused, match="marked repairable") as refusal:
        inspect(worn, Inspect("1.1", "serviceable"))
    assert refusal.value.facts["what"] == "1.1"
    reply = inspect(on(worn, "2026-11-12"), Inspect("1.1", "serviceable", work=WELDED))
    assert (reply.items[0].condition, reply.work) == (Condition.SERVICEABLE, WELDED)
    item = camshaft(worn)
    assert item.findings == "1 serviceable"
    assert item.story == (
        StoryLine("2026-11-03", 1, "worn, to be welded", Condition.REPAIRABLE),
        StoryLine("2026-11-12", 1, "welded and ground", None, "Harris", "19.98 mm"),
        StoryLine("2026-11-12", 1, "", Condition.SERVICEABLE),
    )
    assert audit(worn).faults == ()
    assert history(worn)[0].summary.endswith(
        "serviceable, welded and ground by Harris, then 19.98 mm"
    )
    [listed] = listed_steps(worn, ListSteps())
    assert [line.work_done for line in listed.lines] == [
        ("welded and ground by Harris, then 19.98 mm",),
        (),
    ]
    told = [line.text for line in found(find(worn, Find("1.1"))).lines]
    assert "inspected: 1 serviceable" in told
    assert (
        "story: 3 Nov 2026 1 repairable: worn, to be welded; 12 Nov 2026 1 welded and ground by "
        "Harris, then 19.98 mm; 12 Nov 2026 1 serviceable"
    ) in told
    assert find(worn, Find("harris")).items == (item,)
    [bound] = [each for each in bound_record(worn).items if each.ref == "1.1"]
    assert bound.verdict == "1 serviceable"
    undo(worn, Undo())
    assert camshaft(worn).findings == "1 repairable: worn, to be welded"
    assert len(camshaft(worn).story) == 1


def test_the_firm_that_sends_it_back_did_the_work(worn: Context) -> None:
    send(worn, SendPieces(["1.1"], "Harris", work="to weld"))
    back = take_back(worn, TakeBack("Harris", work=WorkSaid("welded", measured="20.4 mm")))
    assert back.work == WorkSaid("welded", "Harris", "20.4 mm")
    assert history(worn)[0].reason == "welded by Harris, then 20.4 mm"
    assert camshaft(worn).findings == "1 repairable: worn, to be welded"  # nobody inspected it
    # Ground at home, then inspected: no word about repairing it again.
    ground = inspect(worn, Inspect("1.1", work=WorkSaid("ground", measured="19.98 mm")))
    assert ground.items[0].condition is None
    assert inspect(worn, Inspect("1.1", "serviceable")).items[0].quantity == 1
    done = [line.done for line in camshaft(worn).story if line.done]
    assert done == ["welded by Harris, then 20.4 mm", "ground, then 19.98 mm"]
    assert audit(worn).faults == ()


def test_a_batch_back_from_the_plater(worn: Context) -> None:
    begin_batch(worn, BeginBatch("Dyke Platers", "zinc plating"))
    put_into_batch(worn, PutIntoBatch(1, ["1.2"]))
    send_batch(worn, SendBatch(1))
    count_batch_back(worn, CountBatchBack(1, ["1.2"], "3", work=WorkSaid("zinc plated")))
    [item] = find(worn, Find("1.2")).items
    assert item.story[-1].words == "3 zinc plated by Dyke Platers"
    [listed] = listed_steps(worn, ListSteps())
    assert listed.lines[1].work_done == ("3 zinc plated by Dyke Platers",)
    assert checklist(worn, ListSteps()).total == 1


def test_only_as_many_as_were_worked_on_are_passed(worn: Context) -> None:
    inspect(worn, Inspect("1.2", "repairable", "threads burred", "4"))
    inspect(worn, Inspect("1.2", quantity="3", work=WorkSaid("chased")))
    reply = inspect(worn, Inspect("1.2", "serviceable"))
    assert [each.quantity for each in reply.items] == [3]
    [item] = find(worn, Find("1.2")).items
    assert item.findings == "1 repairable: threads burred; 3 serviceable"


def test_what_is_no_work_is_refused(worn: Context) -> None:
    before = history(worn)
    with pytest.raises(BadValue, match="work not said"):
        inspect(worn, Inspect("1.1", "serviceable", work=WorkSaid(by="Harris")))
    with pytest.raises(Refused, match="several items"):
        inspect(worn, Inspect("1", "serviceable", work=WELDED))
    with pytest.raises(BadValue, match="work not said"):
        take_back(worn, TakeBack("Harris", work=WorkSaid(measured="20 mm")))
    assert history(worn) == before


def test_a_trial_writes_nothing_and_the_same_key_is_one_act(worn: Context) -> None:
    before = history(worn)
    inspect(worn, Inspect("1.1", work=WELDED, trial=True))
    inspect(worn, Inspect("1.1", "serviceable", work=WELDED, trial=True))
    assert history(worn) == before
    assert len(camshaft(worn).story) == 1
    inspect(worn, Inspect("1.1", work=WELDED, key="k"))
    with pytest.raises(Repeated):
        inspect(worn, Inspect("1.1", work=WELDED, key="k"))
    assert len(camshaft(worn).story) == 2


def test_of_several_verdicts_the_work_goes_with_what_passed(worn: Context) -> None:
    said = ("3", "serviceable", "1", "condemned", "stripped")
    reply = inspect(worn, Inspect("1.2", said=said, work=WorkSaid("chased")))
    assert [(each.quantity, each.condition) for each in reply.items] == [
        (3, Condition.SERVICEABLE),
        (1, Condition.CONDEMNED),
    ]
    [item] = find(worn, Find("1.2")).items
    assert [line.words for line in item.story] == [
        "3 chased",
        "3 serviceable",
        "1 condemned: stripped",
    ]
    assert "Work done on those that passed: chased" in inspected(reply).lines
    assert audit(worn).faults == ()
