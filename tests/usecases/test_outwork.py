"""Outwork, asked of the use-cases themselves.

By hand: bag A001N holds 1 cover (1.1) and 4 M6 x 25 bolts 8.8 (1.2), 5 pieces; A003J 1 lever (2.1),
2 return springs (2.2) and a bearing (2.3), 4 pieces.
"""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from conftest import Bench, dump_of, kept

from stores.errors import BadValue, Hint, NotationError, NotFound, Refused, Repeated
from stores.model.ledger import Condition, PlaceKind
from stores.model.outwork import Mind
from stores.usecases.common import Whereabouts
from stores.usecases.context import Context
from stores.usecases.history import audit
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.outwork import (
    BatchListed,
    BeginBatch,
    CountBatchBack,
    DespatchNote,
    ListBatches,
    MarkBatch,
    PutIntoBatch,
    SendBatch,
    SendPieces,
    TakeBack,
    TakeOutOfBatch,
    WriteOff,
    batches,
    begin_batch,
    count_batch_back,
    despatch_note,
    mark_batch,
    put_into_batch,
    send,
    send_batch,
    take_back,
    take_out_of_batch,
    write_off,
)
from stores.usecases.places import ListPlaces, MovePieces, PiecesOfItem, move, places
from stores.usecases.strip import Strip, strip
from stores.wording.outwork import cautions

BOLT = "M6 x 25 bolt 8.8"
PLATERS = "Dyke Platers"


@kept
def two(context: Context) -> Context:
    strip(Context(context.store), Strip("Engine", "cover", ["4 M6x25 bolt 8.8"]))
    strip(Context(context.store), Strip("Engine", "lever", ["2 return spring", "1 bearing 6203"]))
    return context


@kept
def made_up(two: Context) -> Context:
    """Batch 1 with the cover and its 4 bolts, not sent."""
    begin_batch(two, BeginBatch(PLATERS, "zinc plating", "clear"))
    put_into_batch(two, PutIntoBatch(1, ["1"], metal="steel"))
    return two


@kept
def away(made_up: Context) -> Context:
    send_batch(made_up, SendBatch(1, "2026-12-20"))
    return made_up


def listed(context: Context) -> list[BatchListed]:
    return list(batches(context, ListBatches(everything=True)).batches)


def where(context: Context) -> dict[str, int]:
    return {line.name: line.pieces for line in places(context, ListPlaces()).places}


ASKS: dict[str, tuple[str, Callable[..., Any], Any]] = {
    "begin": ("two", begin_batch, BeginBatch(PLATERS, "zinc")),
    "put": ("made_up", put_into_batch, PutIntoBatch(1, ["2.2"])),
    "out": ("made_up", take_out_of_batch, TakeOutOfBatch(1, ["1.2"])),
    "mark": ("made_up", mark_batch, MarkBatch(1, ["packed"], "2027-02-19")),
    "send batch": ("made_up", send_batch, SendBatch(1)),
    "batch back": ("away", count_batch_back, CountBatchBack(1, ["1.2"], "3")),
    "off": ("away", write_off, WriteOff(1, reason="lost in the vat")),
    "send": ("two", send, SendPieces(["1.2"], PLATERS)),
    "back": ("away", take_back, TakeBack(PLATERS)),
    "back but": ("away", take_back, TakeBack(PLATERS, but="1.2: 3")),
    "batch back but": ("away", count_batch_back, CountBatchBack(1, but="1.2: 3")),
}


@pytest.mark.parametrize("name", ASKS)
def test_a_trial_writes_nothing_and_a_key_is_one_act(
    name: str, request: pytest.FixtureRequest
) -> None:
    fixture, deed, ask = ASKS[name]
    context: Context = request.getfixturevalue(fixture)

    def record() -> list[str]:
        return dump_of(Path(context.store.name))

    before = record()
    tried = deed(context, replace(ask, trial=True))
    assert record() == before
    done = deed(context, replace(ask, key="form 1"))
    assert done == replace(tried, trial=False)
    after = record()
    assert len(after) > len(before)
    with pytest.raises(Repeated) as repeated:
        deed(context, replace(ask, key="form 1"))
    assert repeated.value.act == done.act
    assert record() == after


def test_a_batch_is_made_up_of_what_is_in_hand(two: Context) -> None:
    begun = begin_batch(two, BeginBatch(PLATERS, "zinc plating", "clear"))
    assert (begun.batch, begun.firm, begun.work, begun.finish) == (
        1, PLATERS, "zinc plating", "clear",
    )  # fmt: skip
    assert begin_batch(two, BeginBatch("Dyke", "blasting")).firm == PLATERS
    put = put_into_batch(two, PutIntoBatch(1, ["1.2", "1.2"], "3", metal="steel", strength="8.8"))
    assert (put.put, put.pieces) == (3, 3)
    (line,) = put.lines
    assert (line.item, line.machine, line.text, line.quantity, line.metal, line.strength) == (
        "1.2", "Orrick Plover", BOLT, 3, "steel", "8.8",
    )  # fmt: skip
    assert where(two) == {"A001N": 5, "A003J": 4}
    with pytest.raises(Refused, match="not so many for a batch") as few:
        put_into_batch(two, PutIntoBatch(2, ["1.2"], "2"))
    assert few.value.facts == {
        "asked": 2, "item": "1.2", "text": BOLT, "in_hand": 1, "in_other_batches": 3,
    }  # fmt: skip
    put_into_batch(two, PutIntoBatch(1, ["1.2"]))
    with pytest.raises(Refused, match="not so many for a batch") as none:
        put_into_batch(two, PutIntoBatch(2, ["1.2"]))
    assert (none.value.facts["asked"], none.value.facts["in_hand"]) == (None, 0)
    assert put_into_batch(two, PutIntoBatch(2, ["1"])).put == 1, "of a step, what is free"
    with pytest.raises(Refused, match="nothing in hand to put in"):
        put_into_batch(two, PutIntoBatch(2, []))


def test_what_is_said_of_a_line_is_said_anew(made_up: Context) -> None:
    put_into_batch(made_up, PutIntoBatch(1, ["1.2"], "2", masking="threads", note="matched"))
    (batch,) = listed(made_up)
    line = next(line for line in batch.lines if line.item == "1.2")
    assert (line.quantity, line.metal, line.masking, line.note) == (2, "", "threads", "matched")
    out = take_out_of_batch(made_up, TakeOutOfBatch(1, ["1"]))
    assert out.items == (PiecesOfItem("1.1", "cover", 1), PiecesOfItem("1.2", BOLT, 2))
    with pytest.raises(Refused, match="not in this batch"):
        take_out_of_batch(made_up, TakeOutOfBatch(1, ["1.2"]))
    with pytest.raises(Refused, match="batch is empty") as empty:
        send_batch(made_up, SendBatch(1))
    assert empty.value.hint == Hint("put_into_batch", batch=1)
    with pytest.raises(BadValue, match="batch is empty"):
        despatch_note(made_up, DespatchNote(1))


def test_a_batch_is_marked_and_promised(made_up: Context) -> None:
    marked = mark_batch(made_up, MarkBatch(1, ["packed"], "2027-02-19"))
    assert (marked.firm, marked.marks, marked.promised) == (PLATERS, ("packed",), "2027-02-19")
    assert listed(made_up)[0].promised == "2027-02-19"
    assert mark_batch(made_up, MarkBatch(1, promised="none")).promised == ""
    assert listed(made_up)[0].promised is None
    assert mark_batch(made_up, MarkBatch(1, ["photographed"])).promised is None
    with pytest.raises(BadValue, match="no such mark"):
        mark_batch(made_up, MarkBatch(1, ["gilded"]))
    with pytest.raises(BadValue, match="not a day") as odd:
        mark_batch(made_up, MarkBatch(1, promised="soon"))
    assert "not a day: 'soon'" in str(odd.value)
    with pytest.raises(Refused, match="nothing to mark"):
        mark_batch(made_up, MarkBatch(1))


def test_a_batch_is_away_until_every_piece_is_back_or_written_off(made_up: Context) -> None:
    sent = send_batch(made_up, SendBatch(1, "2026-12-20"))
    assert sent.items == (PiecesOfItem("1.1", "cover", 1), PiecesOfItem("1.2", BOLT, 4))
    assert (sent.pieces, sent.promised) == (5, "2026-12-20")
    assert where(made_up) == {PLATERS: 5, "A003J": 4}
    with pytest.raises(Refused, match="batch was sent"):
        put_into_batch(made_up, PutIntoBatch(1, ["2.2"]))
    back = count_batch_back(made_up, CountBatchBack(1, ["1.2"], "3", "serv"))
    assert (back.pieces, back.still_away, back.inspected) == (3, 2, True)
    assert back.missing == (PiecesOfItem("1.1", "cover", 1), PiecesOfItem("1.2", BOLT, 1))
    with pytest.raises(Refused, match="more back than away") as more:
        count_batch_back(made_up, CountBatchBack(1, ["1.2"], "2"))
    assert more.value.facts == {"quantity": 2, "item": "1.2", "text": BOLT, "away": 1, "batch": 1}
    with pytest.raises(Refused, match="count of several"):
        count_batch_back(made_up, CountBatchBack(1, quantity="1"))
    with pytest.raises(Refused, match="count back first"):
        count_batch_back(made_up, CountBatchBack(1, condition="condemned"))
    with pytest.raises(Refused, match="why written off"):
        write_off(made_up, WriteOff(1, ["1.2"]))
    off = write_off(made_up, WriteOff(1, ["1.2"], reason="lost in the vat"))
    assert off.items == (PiecesOfItem("1.2", BOLT, 1),)
    with pytest.raises(Refused, match="not away in this batch"):
        write_off(made_up, WriteOff(1, ["1.2"], reason="again"))
    (batch,) = listed(made_up)
    assert (batch.state, batch.pieces, batch.away) == ("away", 5, 1)
    assert [(line.back, line.written_off, line.away) for line in batch.lines] == [
        (0, 0, 1), (3, 1, 0),
    ]  # fmt: skip
    assert not count_batch_back(made_up, CountBatchBack(1)).inspected
    assert listed(made_up)[0].state == "all back"
    assert batches(made_up, ListBatches()).batches == ()
    with pytest.raises(Refused, match="batch is back"):
        count_batch_back(made_up, CountBatchBack(1))
    assert where(made_up) == {"A001N": 4, "A003J": 4}


def test_a_promise_runs_out_on_the_day_of_the_context(away: Context) -> None:
    assert listed(replace(away, day="2026-11-15"))[0].days_overdue == 0
    late = mark_batch(away, MarkBatch(1, promised="2026-11-01"))
    assert late.promised == "2026-11-01"
    assert listed(replace(away, day="2026-11-15"))[0].days_overdue == 14


@pytest.mark.parametrize(
    ("deed", "ask"),
    [
        (put_into_batch, PutIntoBatch(7, ["1"])),
        (take_out_of_batch, TakeOutOfBatch(7, ["1"])),
        (mark_batch, MarkBatch(7, ["packed"])),
        (send_batch, SendBatch(7)),
        (count_batch_back, CountBatchBack(7)),
        (write_off, WriteOff(7, reason="x")),
        (despatch_note, DespatchNote(7)),
    ],
)
def test_a_batch_that_is_not_there(two: Context, deed: Callable[..., Any], ask: Any) -> None:
    with pytest.raises(NotFound, match="no such batch") as missing:
        deed(two, ask)
    assert (missing.value.facts, missing.value.hint) == ({"batch": 7}, Hint("batches"))


def test_a_batch_that_is_not_sent_does_not_come_back(made_up: Context) -> None:
    with pytest.raises(Refused, match="batch not sent") as unsent:
        count_batch_back(made_up, CountBatchBack(1))
    assert unsent.value.hint == Hint("send_batch", batch=1)
    with pytest.raises(NotationError, match="the firm is empty"):
        begin_batch(made_up, BeginBatch(" ", "zinc"))


def test_the_short_way_out_and_back(two: Context) -> None:
    inspect(Context(two.store), Inspect("1.2", Condition.CONDEMNED, quantity=1, reason="bent"))
    move(two, MovePieces("1.2", "box 1", "2", "as removed"))
    sent = send(two, SendPieces(["1.2", "2"], PLATERS, work="zinc"))
    assert (sent.pieces, sent.firm, sent.work) == (7, PLATERS, "zinc")
    assert sent.items[0] == PiecesOfItem("1.2", BOLT, 3)
    with pytest.raises(Refused, match="count of several to send"):
        send(two, SendPieces(["1.1", "1.2"], PLATERS, "1"))
    with pytest.raises(Refused, match="condemned is not sent"):  # the one that is left here
        send(two, SendPieces(["1.2"], PLATERS))
    with pytest.raises(Refused, match="count of several"):
        take_back(two, TakeBack(PLATERS, quantity="1"))
    with pytest.raises(Refused, match="count back first"):
        take_back(two, TakeBack(PLATERS, condition="quarantine"))
    with pytest.raises(Refused, match="not at this firm"):
        take_back(two, TakeBack(PLATERS, ["1.1"]))
    back = take_back(two, TakeBack("Dyke", ["1.2"]))
    assert (back.pieces, back.still_away) == (3, 4)
    assert {(each.quantity, each.place) for each in back.items} == {
        (1, Whereabouts(PlaceKind.BAG, "A001N")), (2, Whereabouts(PlaceKind.BOX, "box 1")),
    }  # fmt: skip
    rest = take_back(two, TakeBack(PLATERS, condition="serviceable", to="bench"))
    assert {each.place.kind for each in rest.items} == {PlaceKind.BENCH}
    assert where(two) == {"A001N": 3, "bench": 4, "box 1": 2}
    with pytest.raises(NotFound, match="nothing at this firm") as empty:
        take_back(two, TakeBack(PLATERS))
    assert empty.value.facts == {"firm": PLATERS, "firms": ()}


def test_the_short_way_back_is_taken_off_the_batch(away: Context) -> None:
    take_back(away, TakeBack(PLATERS, ["1.2"], "3"))
    assert [line.back for line in listed(away)[0].lines] == [0, 3]
    assert audit(Context(away.store)).faults == ()


def test_the_note_shows_pictures_of_what_is_in_the_batch(made_up: Context, tmp_path: Path) -> None:
    from PIL import Image

    assert despatch_note(made_up, DespatchNote(1)).pictures == ()
    shot = tmp_path / "cover.jpg"
    Image.new("RGB", (40, 30), "grey").save(shot)
    bench = Bench(Path(made_up.store.name))
    bench("photo", "add", str(shot), "--to", "1", "--caption", "the cover")
    note = despatch_note(made_up, DespatchNote(1))
    assert note.batch.pieces == 5
    (picture,) = note.pictures
    assert (picture.number, picture.caption) == (1, "the cover")
    assert picture.file.is_file()


class TestCautions:
    """Electroplating: ISO 4042 has risk from 320 HV, 1000 MPa; ISO 898-1 has 1040 MPa for 10.9."""

    def put(self, context: Context, work: str, what: str, **said: str) -> str:
        begin_batch(context, BeginBatch(PLATERS, work))
        return " ".join(cautions(put_into_batch(context, PutIntoBatch(1, [what], **said)).minded))

    @pytest.mark.parametrize(
        ("strength", "risk"), [("8.8", False), ("10.9", True), ("12.9", True), ("330 HV", True)]
    )
    def test_strong_steel_is_not_electroplated(
        self, two: Context, strength: str, risk: bool
    ) -> None:
        told = self.put(two, "zinc plating", "1.2", strength=strength)
        assert ("no electroplating" in told) is risk

    def test_springs_never(self, two: Context) -> None:
        told = self.put(two, "zinc plating", "2.2")
        assert "spring steel, no electroplating" in told

    def test_an_oven_spoils_bearings(self, two: Context) -> None:
        assert "bearings do not go in an oven" in self.put(two, "powder coat", "2.3")

    def test_mixed_metals(self, two: Context) -> None:
        self.put(two, "zinc plating", "1.1", metal="aluminium")
        both = put_into_batch(two, PutIntoBatch(1, ["1.2"], metal="steel")).minded
        [mixed] = [each for each in both if each.mind is Mind.METALS]
        assert mixed.detail == "aluminium 1.1; steel 1.2"

    def test_masking_is_asked_for(self, two: Context) -> None:
        assert "say what is masked" in self.put(two, "powder coat", "1.1")
        masked = put_into_batch(two, PutIntoBatch(1, ["1.1"], masking="threads")).minded
        assert not any(each.mind is Mind.MASK for each in masked)

    def test_one_rule_is_said_once_with_all_its_items(self, two: Context) -> None:
        begin_batch(two, BeginBatch(PLATERS, "powder coat"))
        step = strip(two, Strip("Engine", "drum", ["2 bearing", "1 wheel bearing"])).step
        minded = put_into_batch(two, PutIntoBatch(1, [f"{step}.2", f"{step}.3"])).minded
        assert [each.items for each in minded if each.mind is Mind.BEARING_IN_OVEN] == [
            (f"{step}.2", f"{step}.3")
        ]
        said = [line for line in cautions(minded) if "bearings" in line]
        assert said == [
            f"{step}.2, {step}.3: bearings do not go in an oven: grease and cage are lost"
        ]
        assert not any("not marked" in line for line in cautions(minded, paper=True))


def test_a_firm_near_an_old_one_is_asked_about(context: Context) -> None:
    from stores.usecases.orders import Buy, buy
    from stores.usecases.outwork import TakeBack, take_back

    strip(context, Strip("Engine", "cover", ["4 M6x25 hex bolt", "2 M6 nut", "1 M8 nut"]))
    send(context, SendPieces(["1.2"], "Harris Plating"))
    for new, deed in (
        (True, lambda: send(context, SendPieces(["1.3"], "Harris Platng"))),
        (True, lambda: begin_batch(context, BeginBatch("Haris Plating", "zinc"))),
        (True, lambda: buy(context, Buy("2 M6 nut", firm="Harris Platting"))),
        (False, lambda: take_back(context, TakeBack("Harris Platng"))),
    ):
        with pytest.raises(Refused) as refused:
            deed()
        assert refused.value.fact == ("near an old firm" if new else "no firm but near one")
        assert refused.value.facts["near"] == ("Harris Plating",)
    assert send(context, SendPieces(["1.3"], "harris")).firm == "Harris Plating"
    other = send(context, SendPieces(["1.4"], "Harris Platng", new_firm=True))
    assert other.firm == "Harris Platng"


class TestAllBut:
    def test_a_batch_back_in_one_line_and_what_is_short_stays_open(self, away: Context) -> None:
        back = count_batch_back(away, CountBatchBack(1, but="1.2: 3"))
        assert back.items == (PiecesOfItem("1.1", "cover", 1), PiecesOfItem("1.2", BOLT, 3))
        assert (back.pieces, back.still_away) == (4, 1)
        assert back.missing == (PiecesOfItem("1.2", BOLT, 1),)
        (line,) = (line for line in listed(away)[0].lines if line.item == "1.2")
        assert (line.back, line.away) == (3, 1)
        assert where(away)[PLATERS] == 1
        assert count_batch_back(away, CountBatchBack(1)).still_away == 0
        assert audit(away).faults == ()

    def test_none_of_an_item(self, away: Context) -> None:
        back = count_batch_back(away, CountBatchBack(1, but="1.2: none"))
        assert back.items == (PiecesOfItem("1.1", "cover", 1),)
        assert back.missing == (PiecesOfItem("1.2", BOLT, 4),)

    def test_the_short_way(self, away: Context) -> None:
        back = take_back(away, TakeBack(PLATERS, but="1.2=1"))
        assert [(each.item, each.quantity) for each in back.items] == [("1.1", 1), ("1.2", 1)]
        assert back.missing == (PiecesOfItem("1.2", BOLT, 3),)
        assert listed(away)[0].away == 3

    def test_refusals(self, away: Context) -> None:
        for deed in (
            lambda but, n=None: count_batch_back(away, CountBatchBack(1, quantity=n, but=but)),
            lambda but, n=None: take_back(away, TakeBack(PLATERS, quantity=n, but=but)),
        ):
            with pytest.raises(Refused, match="not so many away") as more:
                deed("1.2: 5")
            assert more.value.facts["away"] == 4
            with pytest.raises(Refused, match="not so many away"):
                deed("2.2: none")
            with pytest.raises(Refused, match="nothing came back"):
                deed("1: none")
            with pytest.raises(Refused, match="several items"):
                deed("1: 3")
            with pytest.raises(BadValue, match="no exception"):
                deed("1.2: few")
        with pytest.raises(Refused, match="a count and all but"):
            count_batch_back(away, CountBatchBack(1, ["1.2"], "2", but="1.2: 1"))
        assert where(away)[PLATERS] == 5
