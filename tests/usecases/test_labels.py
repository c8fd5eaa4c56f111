"""Labels, asked of the use-cases themselves."""

from dataclasses import replace

import pytest
from conftest import kept

from stores.errors import BadValue, Hint, NotationError, NotFound, Refused
from stores.model.labels import (
    STOCK,
    BatchTicket,
    BoxIndex,
    BoxLine,
    ConditionTag,
    Flag,
    LabelSheet,
    LabelValue,
    Tag,
    TicketLine,
)
from stores.model.ledger import Condition
from stores.usecases.context import Context
from stores.usecases.history import Undo, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.labels import (
    AskLabels,
    AskSheet,
    LabelFile,
    Labels,
    MakeLabels,
    SayOut,
    SetPrinter,
    label_sheet,
    labels,
    labels_came_out,
    labels_made,
    set_printer,
)
from stores.usecases.outwork import (
    BeginBatch,
    PutIntoBatch,
    SendPieces,
    TakeBack,
    begin_batch,
    put_into_batch,
    send,
    take_back,
)
from stores.usecases.places import LosePieces, MovePieces, StowPlaces, lose, move, stow
from stores.usecases.strip import Strip, strip


@kept
def shelved(context: Context) -> Context:
    """Bags A001N and A003J in box 3 on shelf 1, a bolt condemned, one away at a firm."""
    store = context.store
    strip(
        Context(store, day="2026-03-14"),
        Strip(
            "Engine/Clutch",
            "clutch cover",
            ["4 M6x25 hex bolt @ left", "2 M6x40 bolt", "1 gasket"],
            hazard="spring",
        ),
    )
    strip(Context(store), Strip("Engine", "magneto", ["2 M6x30 bolt"]))
    stow(Context(store), StowPlaces(["A001N", "A003J"], "box 3"))
    stow(Context(store), StowPlaces(["box 3"], "shelf 1"))
    inspect(Context(store), Inspect("1.2", Condition.CONDEMNED, quantity=1, reason="bent"))
    return context


def only(context: Context, kind: str, *what: str) -> LabelValue:
    (value,) = labels(context, AskLabels(kind, what)).labels
    return value


def make(context: Context, *bags: str, file: str = "a.pdf") -> None:
    due = labels(context, AskLabels(what=bags))
    labels_made(context, MakeLabels(digests={b.code: b.digest for b in due.bags}, file=file))


def codes(reply: Labels) -> list[str]:
    return [bag.code for bag in reply.bags]


def test_a_label_is_due_until_it_came_out_and_again_when_the_bag_holds_other_things(
    shelved: Context,
) -> None:
    assert codes(labels(shelved, AskLabels())) == ["A001N", "A003J"]
    make(shelved)
    assert codes(labels(shelved, AskLabels())) == ["A001N", "A003J"]
    out = labels_came_out(shelved, SayOut(spoilt=["a003j"]))
    assert (out.good, out.spoilt) == (("A001N",), ("A003J",))
    assert codes(labels(shelved, AskLabels())) == ["A003J"]
    assert codes(labels(shelved, AskLabels(everything=True))) == ["A001N", "A003J"]
    assert codes(labels(shelved, AskLabels(what=["A001N", "A001N"]))) == ["A001N"]
    make(shelved)
    labels_came_out(shelved, SayOut())
    strip(Context(shelved.store), Strip("Engine", "oil cap"))
    assert codes(labels(shelved, AskLabels())) == ["A004H"]
    inspect(Context(shelved.store), Inspect("1.3", Condition.CONDEMNED, quantity=1, reason="bent"))
    assert codes(labels(shelved, AskLabels())) == ["A001N", "A004H"]
    (again,) = labels(shelved, AskLabels(what=["A001N"])).bags
    assert (again.label_due, again.superseded) == (True, True)


def test_a_verdict_that_lets_it_be_fitted_makes_no_label_due(shelved: Context) -> None:
    """Of 41 labels all were due after a day of inspection. What matters at the rebuild is what is
    in the bag, and what must not go on; a sticker says the rest."""
    make(shelved)
    labels_came_out(shelved, SayOut())
    at = Context(shelved.store)
    inspect(at, Inspect("2", Condition.REPAIRABLE, reason="rust"))
    inspect(at, Inspect("2", Condition.SERVICEABLE, of=Condition.REPAIRABLE))
    inspect(at, Inspect("1.3", Condition.SERVICEABLE, quantity=1))
    assert codes(labels(shelved, AskLabels())) == []
    inspect(
        at, Inspect("2.2", Condition.QUARANTINE, "cracked?", quantity=1, of=Condition.SERVICEABLE)
    )
    assert codes(labels(shelved, AskLabels())) == ["A003J"]
    undo(at, Undo())
    assert codes(labels(shelved, AskLabels())) == []


def test_pieces_that_went_out_and_came_back_leave_the_label_as_it_was(shelved: Context) -> None:
    make(shelved)
    labels_came_out(shelved, SayOut())
    at = Context(shelved.store)
    send(at, SendPieces(["2.2"], "Vale Plating", new_firm=True))
    assert codes(labels(shelved, AskLabels())) == ["A003J"]
    take_back(at, TakeBack("Vale Plating"))
    assert codes(labels(shelved, AskLabels())) == []


def test_a_label_from_when_each_verdict_stood_on_it_holds_good(shelved: Context) -> None:
    due = labels(shelved, AskLabels()).bags
    printed = {bag.code: bag.former_digest for bag in due}
    labels_made(shelved, MakeLabels(digests=printed, file="a.pdf"))
    labels_came_out(shelved, SayOut())
    assert codes(labels(shelved, AskLabels())) == []


def test_all_sheets_made_and_not_said_printed_are_dealt_with(shelved: Context) -> None:
    """Not the last file alone: an older one came out of the printer too."""
    strip(Context(shelved.store), Strip("Engine", "oil cap"))
    make(shelved, "A001N", "A003J", file="labels.pdf")
    make(shelved, "A004H", file="labels-2.pdf")
    out = labels_came_out(shelved, SayOut())
    assert (out.good, out.waiting) == (("A001N", "A003J", "A004H"), ())
    assert out.sheets == (
        LabelFile("labels.pdf", ("A001N", "A003J")),
        LabelFile("labels-2.pdf", ("A004H",)),
    )
    assert codes(labels(shelved, AskLabels())) == []


def test_a_sheet_can_be_named_and_the_others_wait(shelved: Context) -> None:
    strip(Context(shelved.store), Strip("Engine", "oil cap"))
    make(shelved, "A001N", "A003J", file="labels.pdf")
    make(shelved, "A004H", file="labels-2.pdf")
    make(shelved, "A003J", file="labels-3.pdf")
    with pytest.raises(NotFound, match="no such sheet waiting") as unknown:
        labels_came_out(shelved, SayOut(sheets=["labels-4"]))
    assert unknown.value.facts == {
        "typed": "labels-4", "waiting": ("labels.pdf", "labels-2.pdf", "labels-3.pdf"),
    }  # fmt: skip
    with pytest.raises(Refused, match="label not made"):
        labels_came_out(shelved, SayOut(sheets=["labels-2"], spoilt=["A003J"]))
    second = labels_came_out(shelved, SayOut(sheets=["/somewhere/labels-2.pdf"]))
    assert (second.good, second.sheets) == (("A004H",), (LabelFile("labels-2.pdf", ("A004H",)),))
    assert second.waiting == (
        LabelFile("labels.pdf", ("A001N", "A003J")), LabelFile("labels-3.pdf", ("A003J",)),
    )  # fmt: skip
    assert codes(labels(shelved, AskLabels())) == ["A001N", "A003J"]
    first = labels_came_out(shelved, SayOut(sheets=["labels"], spoilt=["A003J"]))
    assert (first.good, first.spoilt) == (("A001N",), ("A003J",))
    assert codes(labels(shelved, AskLabels())) == ["A003J"]
    third = labels_came_out(shelved, SayOut())
    assert (third.good, third.waiting) == (("A003J",), ())
    assert codes(labels(shelved, AskLabels())) == []


def test_an_older_sheet_said_printed_late_takes_no_newer_label_away(shelved: Context) -> None:
    make(shelved, "A001N", file="old.pdf")
    inspect(Context(shelved.store), Inspect("1.3", Condition.CONDEMNED, quantity=1, reason="bent"))
    make(shelved, "A001N", file="new.pdf")
    labels_came_out(shelved, SayOut(sheets=["new"]))
    assert codes(labels(shelved, AskLabels())) == ["A003J"]
    labels_came_out(shelved, SayOut(sheets=["old"]))
    assert codes(labels(shelved, AskLabels())) == ["A003J"]


def test_an_older_sheet_alone_leaves_a_changed_bag_due(shelved: Context) -> None:
    make(shelved, "A001N", file="old.pdf")
    inspect(Context(shelved.store), Inspect("1.3", Condition.CONDEMNED, quantity=1, reason="bent"))
    make(shelved, "A001N", file="new.pdf")
    labels_came_out(shelved, SayOut(sheets=["old"]))
    assert codes(labels(shelved, AskLabels())) == ["A001N", "A003J"]


def test_a_trial_of_what_was_made_and_came_out_writes_nothing(shelved: Context) -> None:
    due = {bag.code: bag.digest for bag in labels(shelved, AskLabels()).bags}
    tried = labels_made(shelved, MakeLabels(digests=due, file="a.pdf", trial=True))
    assert (tried.bags, tried.trial) == (("A001N", "A003J"), True)
    with pytest.raises(Refused, match="no label waiting"):
        labels_came_out(shelved, SayOut())
    make(shelved)
    tried_out = labels_came_out(shelved, SayOut(spoilt=["A003J"], trial=True))
    assert codes(labels(shelved, AskLabels())) == ["A001N", "A003J"]
    out = labels_came_out(shelved, SayOut(spoilt=["A003J"]))
    assert replace(tried_out, trial=False) == out


def test_what_came_out_was_made_before(shelved: Context) -> None:
    with pytest.raises(Refused, match="no label waiting") as idle:
        labels_came_out(shelved, SayOut())
    assert idle.value.hint == Hint("labels")
    make(shelved, "A001N")
    with pytest.raises(Refused, match="label not made") as other:
        labels_came_out(shelved, SayOut(spoilt=["A003J"]))
    assert other.value.facts == {"bags": ("A003J",), "waiting": ("A001N",)}
    with pytest.raises(NotFound):
        labels_made(shelved, MakeLabels(digests={"A004H": "0"}, file="a.pdf"))


def test_a_box_lists_its_bags_with_their_pieces(shelved: Context) -> None:
    box = only(shelved, "box", "BOX 3")
    assert isinstance(box, BoxIndex)
    assert (box.code, box.place, box.machine) == ("box 3", "shelf 1", "Orrick Plover")
    assert box.bags == (
        BoxLine("A001N", "step 1 clutch cover", 8),
        BoxLine("A003J", "step 2 magneto", 3),
    )


def test_loose_parts_in_a_box_or_on_a_shelf_have_a_label_too(shelved: Context) -> None:
    move(shelved, MovePieces("1.1", "shelf 1"))
    shelf = only(shelved, "", "shelf 1")
    assert isinstance(shelf, BoxIndex)
    assert (shelf.code, shelf.bags) == ("shelf 1", (BoxLine("step 1", "clutch cover", 1),))


def test_a_tag_says_where_a_large_part_came_from(shelved: Context) -> None:
    tag = only(shelved, "tag", "1.2")
    assert isinstance(tag, Tag)
    assert (tag.code, tag.part, tag.assembly, tag.step) == (
        "1.2", "M6 x 25 hex bolt", "Engine / Clutch", 1,
    )  # fmt: skip
    assert (tag.hazard, tag.note, tag.date) == ("spring", "left", "2026-03-14")
    assert tag.payload == "1.2\nOrrick Plover\nEngine / Clutch\nM6 x 25 hex bolt"
    assert len(labels(shelved, AskLabels("tag", ["1"])).labels) == 4


def test_a_verdict_is_of_each_condition_that_was_given(shelved: Context) -> None:
    verdict = only(shelved, "condition", "1.2")
    assert isinstance(verdict, ConditionTag)
    assert (verdict.condition, verdict.reason) == (Condition.CONDEMNED, "bent")
    inspect(Context(shelved.store), Inspect("1.2", Condition.SERVICEABLE, quantity=1))
    made = labels(shelved, AskLabels("condition", ["1.2"])).labels
    assert {each.condition for each in made if isinstance(each, ConditionTag)} == {
        Condition.CONDEMNED, Condition.SERVICEABLE,
    }  # fmt: skip
    with pytest.raises(NotFound, match="nothing inspected there") as unseen:
        labels(shelved, AskLabels("condition", ["1.1"]))
    assert unseen.value.hint == Hint("inspect", what="1.1")


def test_a_ticket_is_of_a_batch_or_of_what_went_without_one(shelved: Context) -> None:
    store = shelved.store
    send(Context(store), SendPieces(["2.2"], "Dyke", quantity=1, work="zinc plating"))
    alone = only(shelved, "batch", "dyke")
    assert isinstance(alone, BatchTicket)
    assert (alone.firm, alone.work) == ("Dyke", "zinc plating")
    assert alone.lines == (TicketLine(1, "M6 x 30 bolt", "2.2"),)
    begin_batch(Context(store), BeginBatch("Brindlecote Platers", "zinc", finish="clear"))
    put_into_batch(Context(store), PutIntoBatch(1, ["1.2"], quantity=3))
    for name in ("1", "brindlecote"):
        ticket = only(shelved, "batch", name)
        assert isinstance(ticket, BatchTicket)
        assert (ticket.code, ticket.work) == ("batch 1", "zinc, clear")
        assert ticket.lines == (TicketLine(3, "M6 x 25 hex bolt", "1.2"),)
    with pytest.raises(NotFound, match="no batch to label") as missing:
        labels(shelved, AskLabels("batch", ["7"]))
    assert (missing.value.facts, missing.value.hint) == ({"number": "7"}, Hint("batches"))
    with pytest.raises(NotFound, match="nothing away there"):
        labels(shelved, AskLabels("batch", ["Nobody"]))


def test_a_flag_reads_a_wires_words(context: Context) -> None:
    text = "W7: green, dynamo  to headlamp"
    flag = Flag("W7", "green", "dynamo", "headlamp", payload="W7: green, dynamo to headlamp")
    assert only(context, "flag", text) == flag
    assert only(context, "flag", "W8: spare") == Flag("W8", "spare", payload="W8: spare")
    (thick,) = labels(context, AskLabels("flag", [text], around="1/4 in")).labels
    assert thick == replace(flag, around=6.35)
    with pytest.raises(BadValue, match="cable too thick"):
        labels(context, AskLabels("flag", [text], around="101"))
    with pytest.raises(NotationError):
        labels(context, AskLabels("flag", [text], around="thick"))
    with pytest.raises(BadValue, match="not the words of a wire"):
        labels(context, AskLabels("flag", ["green wire"]))
    with pytest.raises(BadValue, match="only a flag goes around"):
        labels(context, AskLabels("tag", ["1.1"], around="6 mm"))


def test_what_is_not_there_is_refused(shelved: Context) -> None:
    with pytest.raises(BadValue, match="no such kind of label") as unknown:
        labels(shelved, AskLabels("egg"))
    assert unknown.value.facts["kinds"] == tuple(STOCK)
    for kind in set(STOCK) - {"bag"}:
        with pytest.raises(BadValue, match="labels of what"):
            labels(shelved, AskLabels(kind))
    with pytest.raises(NotFound, match="no bag in that box") as box:
        labels(shelved, AskLabels("box", ["box 9"]))
    assert box.value.facts == {"name": "box 9", "boxes": ("box 3",)}
    lose(Context(shelved.store), LosePieces("2"))
    with pytest.raises(NotFound, match="bag without a label") as empty:
        labels(shelved, AskLabels(what=["A003J"]))
    assert empty.value.facts == {"bags": ("A003J",)}


def test_how_labels_go_on_their_stock(shelved: Context) -> None:
    set_printer(shelved, SetPrinter("Upstairs", right="0.5", down="-1.2", dpi="300"))
    typed = AskSheet(start="4", skip="5, 7", copies="2", printer="up")
    sheet = label_sheet(shelved, AskLabels("tag", sheet=typed))
    assert (sheet.stock, sheet.start, sheet.skip, sheet.copies) == (STOCK["tag"], 4, (5, 7), 2)
    assert (sheet.shift_mm, sheet.dpi) == ((-0.5, 1.2), 300)
    assert labels(shelved, AskLabels("tag", ["1.1"], sheet=typed)).sheet == sheet
    plain = label_sheet(shelved, AskLabels(sheet=AskSheet(stock="roll-51x32")))
    assert plain == LabelSheet("roll-51x32")
    assert (plain.shift_mm, plain.dpi) == ((0.0, 0.0), None)


@pytest.mark.parametrize(
    ("sheet", "fact"),
    [
        (AskSheet(start="0"), "labels count from 1"),
        (AskSheet(skip="3,0"), "labels count from 1"),
        (AskSheet(start="first"), "not a whole number"),
        (AskSheet(copies="0"), "copies out of range"),
        (AskSheet(copies="101"), "copies out of range"),
        (AskSheet(copies="2.5"), "not a whole number"),
        (AskSheet(printer="attic"), "no such printer"),
    ],
)
def test_a_sheet_that_cannot_be_is_refused(shelved: Context, sheet: AskSheet, fact: str) -> None:
    for ask in (label_sheet, labels):
        with pytest.raises((BadValue, NotFound), match=fact):
            ask(shelved, AskLabels(sheet=sheet))
