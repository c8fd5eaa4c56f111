"""A piece is what it is: what was bought as another thing than was found goes by its own name on
every label, list, page and checklist; and so do the old ones.

By hand: step 1 has a magneto (1.1) and three M6 x 20 (1.2) that should be 1/4 BSF x 3/4.
"""

import pytest
from conftest import kept

from stores.errors import Refused
from stores.model.labels import Bag, BatchTicket, ConditionTag, Tag
from stores.model.ledger import Condition
from stores.planning.counts import stocktake
from stores.storage.items import read_items
from stores.usecases.context import Context
from stores.usecases.counts import ComparePlace, CountPlace, compare_place, count_place
from stores.usecases.find import Find, find
from stores.usecases.history import Undo, audit, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.labels import AskLabels, labels
from stores.usecases.orders import Buy, buy
from stores.usecases.outwork import (
    BeginBatch,
    CountBatchBack,
    DespatchNote,
    PutIntoBatch,
    SendBatch,
    SendPieces,
    TakeBack,
    begin_batch,
    count_batch_back,
    despatch_note,
    put_into_batch,
    send,
    send_batch,
    take_back,
)
from stores.usecases.places import (
    ListPlaces,
    LosePieces,
    MovePieces,
    ScrapPieces,
    lose,
    move,
    places,
    scrap,
)
from stores.usecases.rebuild import status_of_lacking
from stores.usecases.refit import Refit, refit
from stores.usecases.shopping import WhatToBuy, shopping
from stores.usecases.strip import Strip, strip
from stores.wording.history import open_matter

OLD, NEW = "M6 x 20 hex bolt", "1/4 BSF x 3/4 hex bolt"
WRONG = Strip("Engine", "magneto", ["3 M6x20 hex bolt (should be 1/4 BSF x 3/4 hex bolt)"])


@kept
def bought(context: Context) -> Context:
    """The old bolts in tin 1, the new ones in bag A001N with the magneto."""
    strip(context, WRONG)
    move(context, MovePieces("1.2", "tin 1"))
    buy(context, Buy("3 off 1/4 BSF x 3/4 hex bolt", to="A001N"))
    return context


def test_on_labels(bought: Context) -> None:
    (bag,) = labels(bought, AskLabels(what=["A001N"])).labels
    assert isinstance(bag, Bag)
    assert [content.text for content in bag.contents] == ["1 magneto", f"3 off {NEW}"]
    move(bought, MovePieces("1.2", "A001N", of="as removed"))
    (bag,) = labels(bought, AskLabels(what=["A001N"])).labels
    assert isinstance(bag, Bag)
    assert [c.text for c in bag.contents] == ["1 magneto", f"3 {OLD}", f"3 off {NEW}"]
    (tag,) = labels(bought, AskLabels("tag", ["1.2"])).labels
    assert isinstance(tag, Tag)
    assert tag.part == f"{OLD} and {NEW}"
    scrap(bought, ScrapPieces("1.2", "3", of="as removed"))
    (tag,) = labels(bought, AskLabels("tag", ["1.2"])).labels
    assert isinstance(tag, Tag)
    assert (tag.part, tag.payload.splitlines()[-1]) == (NEW, NEW)


def test_in_places_find_and_counts(bought: Context) -> None:
    held = {line.name: line.what for line in places(bought, ListPlaces()).places}
    assert held == {"A001N": f"1 magneto; 3 off {NEW} (new)", "tin 1": f"3 {OLD}"}
    (item,) = find(bought, Find("1.2")).items
    assert {pieces.place: pieces.what for pieces in item.now if pieces.quantity > 0} == {
        "tin 1": OLD, "A001N": NEW,
    }  # fmt: skip
    counted = {line.what for line in compare_place(bought, ComparePlace("A001N")).lines}
    assert counted == {"1.1 magneto", f"1.2 {NEW}"}
    counted = {line.what for line in compare_place(bought, ComparePlace("tin 1")).lines}
    assert counted == {f"1.2 {OLD}"}
    # one too many of the new ones is another new one
    count_place(bought, CountPlace("A001N", ["1.1", "1.2=4"], reason="one more in the packet"))
    held = {line.name: line.what for line in places(bought, ListPlaces()).places}
    assert held["A001N"] == f"1 magneto; 4 off {NEW} (new)"


def test_in_what_is_told_of_a_move_and_of_a_loss(bought: Context) -> None:
    moved = move(bought, MovePieces("1.2", "shelf 1"))
    assert {(each.text, each.quantity) for each in moved.items} == {(OLD, 3), (NEW, 3)}
    lost = lose(bought, LosePieces("1.2", "2", of="new"))
    assert [(each.text, each.quantity) for each in lost.items] == [(NEW, 2)]
    with bought.reading() as connection:
        items = read_items(connection)
        lacking = status_of_lacking(connection, items)
        matters = [open_matter(each) for each in stocktake(items, {}, lacking).open_matters]
    assert f"lost: 2 of 1.2: {NEW}, 2 to buy" in matters
    with pytest.raises(Refused, match="9 of 1") as none:
        move(bought, MovePieces("1.2", "shelf 2", "9", of="new"))
    assert NEW in str(none.value)


def test_in_batches_and_what_comes_back(bought: Context) -> None:
    begin_batch(bought, BeginBatch("Dyke Platers", "dull nickel"))
    filled = put_into_batch(bought, PutIntoBatch(1, ["1.2"]))
    assert [(each.text, each.quantity) for each in filled.lines] == [(NEW, 3)]
    (ticket,) = labels(bought, AskLabels("batch", ["1"])).labels
    assert isinstance(ticket, BatchTicket)
    assert [(line.quantity, line.what) for line in ticket.lines] == [(3, NEW)]
    assert despatch_note(bought, DespatchNote(1)).batch.lines[0].text == NEW
    send_batch(bought, SendBatch(1))
    (ticket,) = labels(bought, AskLabels("batch", ["1"])).labels
    assert isinstance(ticket, BatchTicket)
    assert [(line.quantity, line.what) for line in ticket.lines] == [(3, NEW)]
    back = count_batch_back(bought, CountBatchBack(1, condition="serviceable"))
    assert [each.text for each in back.items] == [NEW]
    # good, and new as they were: the old ones' name is not theirs, and they go on
    (item,) = find(bought, Find("1.2")).items
    assert {pieces.what: pieces.condition for pieces in item.now if pieces.quantity > 0} == {
        NEW: Condition.NEW, OLD: Condition.AS_REMOVED,
    }  # fmt: skip
    sent = send(bought, SendPieces(["1.2"], "Hollin"))
    assert [(each.text, each.quantity) for each in sent.items] == [(NEW, 3)]
    returned = take_back(bought, TakeBack("Hollin"))
    assert [(each.text, each.quantity) for each in returned.items] == [(NEW, 3)]
    inspect(bought, Inspect("1.1", "serviceable"))
    assert [each.text for each in refit(bought, Refit("1")).items] == ["magneto", NEW]
    on = [p.what for p in find(bought, Find("1.2")).items[0].now if p.place == "Orrick Plover"]
    assert NEW in on


def test_a_new_one_that_fails_is_loose_under_its_own_name(bought: Context) -> None:
    with pytest.raises(Refused, match="nothing to inspect"):
        inspect(bought, Inspect("1.2", "serviceable", of="new"))
    reply = inspect(bought, Inspect("1.2", "condemned", "bad thread", 1, of="new"))
    (told,) = reply.items
    assert (told.item, told.text, told.quantity, told.bought_for) == ("0.1", NEW, 1, "1.2")
    assert [(line.what, line.quantity) for line in shopping(bought, WhatToBuy()).lines] == [
        (NEW, 1)
    ]
    (tag,) = labels(bought, AskLabels("condition", ["0.1"])).labels
    assert isinstance(tag, ConditionTag)
    assert (tag.part, tag.condition, tag.reason) == (NEW, Condition.CONDEMNED, "bad thread")
    assert audit(bought).faults == ()
    undo(bought, Undo())
    assert shopping(bought, WhatToBuy()).lines == ()
    assert audit(bought).faults == ()
