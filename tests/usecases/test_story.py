"""The story of one thing: every act that touched it, in order, and nothing else."""

from pathlib import Path

import pytest
from conftest import Bench, kept
from PIL import Image

from stores.errors import BadValue, NotFound
from stores.model.ledger import ActKind, Condition
from stores.usecases.assembling import SetPoint, TakeReading, set_point, take_reading
from stores.usecases.context import Context
from stores.usecases.counts import CountPlace, count_place
from stores.usecases.history import Deed, StoryOf, Undo, history, story, undo
from stores.usecases.inspect import Inspect, Specify, inspect, specify
from stores.usecases.orders import PlaceOrder, ReceiveOrder, place_order, receive_order
from stores.usecases.outwork import (
    BeginBatch,
    CountBatchBack,
    MarkBatch,
    PutIntoBatch,
    SendBatch,
    begin_batch,
    count_batch_back,
    mark_batch,
    put_into_batch,
    send_batch,
)
from stores.usecases.places import StowPlaces, stow
from stores.usecases.snags import ClearSnag, RecordSnag, clear_snag, record_snag
from stores.usecases.strip import Strip, strip

PLATERS = "Brindlecote Platers"


@kept
def lived(context: Context) -> Context:
    """Two steps; acts by number as the comments say."""
    strip(context, Strip("Engine/Clutch", "cover", ["4 M6x25 hex bolt"]))  # 2: step 1, A001N
    strip(context, Strip("Engine", "cap", ["2 M8x20 bolt"]))  # 3: step 2, A003J
    inspect(context, Inspect("1.2", "serviceable", quantity=3))  # 4
    inspect(context, Inspect("2.2", "serviceable"))  # 5
    record_snag(context, RecordSnag("1", "damaged", "a cracked lug"))  # 6
    begin_batch(context, BeginBatch(PLATERS, "zinc"))  # 7
    put_into_batch(context, PutIntoBatch(1, ["1.2"], 2))  # 8
    mark_batch(context, MarkBatch(1, ["packed"]))  # 9
    send_batch(context, SendBatch(1))  # 10
    count_batch_back(context, CountBatchBack(1))  # 11
    clear_snag(context, ClearSnag(1, "welded"))  # 12
    specify(context, Specify("2.2", "3 M8x20 hex bolt"))  # 13
    place_order(context, PlaceOrder("Hollin Fasteners", ["2.2"]))  # 14
    receive_order(context, ReceiveOrder(1))  # 15
    stow(context, StowPlaces(["A001N"], "box 3"))  # 16
    set_point(context, SetPoint("1", "face", "at most 0.1 mm"))  # 17
    take_reading(context, TakeReading("1", "face", "0.05 mm"))  # 18
    count_place(context, CountPlace("A003J", but=""))  # 19
    inspect(context, Inspect("1.2", "condemned", "necked", quantity=1))  # 20
    undo(context, Undo())  # 21
    return context


def acts(context: Context, what: str) -> list[int | None]:
    return [deed.act for deed in story(context, StoryOf(what)).deeds]


def deed_of(context: Context, what: str, act: int) -> Deed:
    return next(deed for deed in story(context, StoryOf(what)).deeds if deed.act == act)


def test_of_an_item(lived: Context) -> None:
    assert acts(lived, "1.2") == [2, 4, 7, 8, 9, 10, 11, 20, 21]
    assert acts(lived, "2.2") == [3, 5, 13, 14, 15, 19]
    assert acts(lived, "1.1") == [2]


def test_of_a_step_with_its_snags_and_readings(lived: Context) -> None:
    assert acts(lived, "1") == [2, 4, 6, 7, 8, 9, 10, 11, 12, 17, 18, 20, 21]
    assert acts(lived, "step 2") == [3, 5, 13, 14, 15, 19]


def test_of_a_bag_a_box_and_a_firm(lived: Context) -> None:
    assert acts(lived, "A001N") == [2, 4, 10, 11, 16, 20, 21]
    assert acts(lived, "A003J") == [3, 5, 15, 19]
    assert acts(lived, "box 3") == [16]
    assert acts(lived, PLATERS) == [7, 8, 9, 10, 11]


def test_of_an_assembly_and_the_machine(lived: Context) -> None:
    assert acts(lived, "Engine / Clutch") == acts(lived, "1")
    every = sorted(act.number for act in history(lived))
    assert acts(lived, "Orrick Plover") == [act for act in every if act != 16]
    assert set(acts(lived, "Engine")) == set(every) - {1, 16}


def test_what_went_where_and_what_was_found(lived: Context) -> None:
    went = deed_of(lived, "1.2", 10).went
    assert [(each.item, each.quantity) for each in went] == [("1.2", 1), ("1.2", 1)]
    assert {each.before.place for each in went} == {"A001N"}
    assert {each.after.place for each in went} == {PLATERS}
    (found,) = deed_of(lived, "1.2", 20).found
    assert (found.quantity, found.condition, found.reason) == (1, Condition.CONDEMNED, "necked")
    undone = deed_of(lived, "1.2", 20)
    assert (undone.stands, undone.undone_by) == (False, 21)
    assert deed_of(lived, "1.2", 21).kind == ActKind.REVERSE
    assert deed_of(lived, "A001N", 11).went[0].after.place == "A001N"


def test_the_newest_alone(lived: Context) -> None:
    told = story(lived, StoryOf("1.2", "2"))
    assert [deed.act for deed in told.deeds] == [20, 21]
    assert told.left_out == 7
    with pytest.raises(BadValue, match="how many acts"):
        story(lived, StoryOf("1.2", "some"))


def test_of_what_was_taken_back_and_of_what_never_was(lived: Context) -> None:
    strip(lived, Strip("Frame", "stand", ["1 M10x60 bolt"]))
    undo(lived, Undo())
    assert acts(lived, "3") == acts(lived, "3.2") == [22, 23]
    with pytest.raises(NotFound, match="never a step"):
        story(lived, StoryOf("9"))
    with pytest.raises(NotFound, match="never an item"):
        story(lived, StoryOf("1.9"))
    with pytest.raises(NotFound, match="nothing called that"):
        story(lived, StoryOf("Gearbox"))


def test_pictures_are_part_of_the_story(clutch: Bench, tmp_path: Path) -> None:
    Image.new("RGB", (90, 60), "teal").save(tmp_path / "a.jpg")
    clutch("photo", "add", str(tmp_path / "a.jpg"))
    clutch("photo", "file", "1", "1.2")
    clutch("photo", "caption", "1", "the long one")
    clutch("photo", "add", str(tmp_path / "a.jpg"))
    acts = [deed["summary"] for deed in clutch.json("history", "1.2")["deeds"][1:]]
    assert acts[-1] == "picture 1: the long one"
    assert any(words.startswith("picture 1 ") and "1.2" in words for words in acts)
    assert clutch.json("history", "1.3")["deeds"][-1]["act"] == 2


def test_labels_are_part_of_the_story(clutch: Bench) -> None:
    clutch("labels", "--out", str(clutch.file.with_suffix(".pdf")))
    clutch("labels", "--came-out")
    clutch("inspect", "1.2", "2", "condemned", "necked")
    deeds = clutch.json("history", "A001N")["deeds"]
    assert [deed["act"] for deed in deeds if deed["act"]] == [2, 3]
    (label,) = (deed for deed in deeds if deed["kind"] == "label")
    assert (label["bag"], label["good"]) == ("A001N", True)
    said = clutch("history", "1.2")
    assert "1.2: " not in said.splitlines()[0]
    assert "M6 x 25 hex bolt: 3 entries" in said.splitlines()[0]
    assert "  label of bag A001N printed" in said
    assert "1.2  2 condemned: necked" in said
    assert "1.2  4 M6 x 25 hex bolt: came with the machine, then in bag A001N" in said


def test_what_was_counted_too_many_was_taken_out(clutch: Bench) -> None:
    clutch("correct", "line", "1.2", "3 M6x25 hex bolt")
    said = clutch("history", "1.2")
    assert "1.2  1 M6 x 25 hex bolt: taken out, in bag A001N" in said
    assert "then came with the machine" not in said
