"""Pieces and places, asked of the use-cases themselves.

By hand: bag A001N holds 1 clutch cover (1.1), 4 M6 x 25 (1.2), 2 M6 x 40 (1.3), 8 pieces with the
gasket (1.4).
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pandas as pd
import pytest
from conftest import kept

from stores.errors import BadValue, Hint, NotFound, Refused, Repeated
from stores.model.ledger import Condition, PlaceKind
from stores.planning.counts import MatterKind
from stores.storage.outwork import read_batches
from stores.usecases.common import Whereabouts
from stores.usecases.context import Context
from stores.usecases.find import Find, find
from stores.usecases.history import Undo, audit, history, undo
from stores.usecases.inspect import Inspect, Specify, inspect, specify
from stores.usecases.orders import Buy, buy
from stores.usecases.outwork import (
    BeginBatch,
    PutIntoBatch,
    SendBatch,
    begin_batch,
    put_into_batch,
    send_batch,
)
from stores.usecases.places import (
    AssignPieces,
    ListPlaces,
    LosePieces,
    MovePieces,
    PiecesOfItem,
    RecoverPieces,
    ScrapCondemned,
    ScrapPieces,
    StowPlaces,
    assign,
    lose,
    move,
    places,
    recover,
    scrap,
    scrap_condemned,
    stow,
)
from stores.usecases.shopping import WhatToBuy, shopping
from stores.usecases.strip import Loose, Strip, loose, strip


@kept
def clutch(context: Context) -> Context:
    strip(
        Context(context.store),
        Strip("Engine/Clutch", "clutch cover", ["4 M6x25 hex bolt", "2 M6x40 bolt", "1 gasket"]),
    )
    return context


def where(context: Context) -> dict[str, int]:
    """Pieces in each place, by the index."""
    return {line.name: line.pieces for line in places(context, ListPlaces()).places}


ASKS: dict[str, tuple[Callable[..., Any], Any]] = {
    "move": (move, MovePieces("1.2", "box 1", "3")),
    "lose": (lose, LosePieces("1.2", "1")),
    "scrap": (scrap, ScrapPieces("1.2", "2")),
    "assign": (assign, AssignPieces("1.2", "1.3", "1", anyway="cut down")),
    "stow": (stow, StowPlaces(["A001N"], "box 1")),
}


@pytest.mark.parametrize("name", ASKS)
def test_a_trial_writes_nothing_and_a_key_is_one_act(clutch: Context, name: str) -> None:
    deed, ask = ASKS[name]
    before = places(clutch, ListPlaces())
    tried = deed(clutch, replace(ask, trial=True))
    assert places(clutch, ListPlaces()) == before
    done = deed(clutch, replace(ask, key="form 1"))
    assert done == replace(tried, trial=False)
    after = places(clutch, ListPlaces())
    with pytest.raises(Repeated) as repeated:
        deed(clutch, replace(ask, key="form 1"))
    assert repeated.value.act == done.act
    assert places(clutch, ListPlaces()) == after


def test_pieces_move_to_a_place_that_is_made_for_them(clutch: Context) -> None:
    reply = move(clutch, MovePieces("1.2", "box 1", "3"))
    assert reply.place == Whereabouts(PlaceKind.BOX, "box 1", new=True)
    assert reply.items == (PiecesOfItem("1.2", "M6 x 25 hex bolt", 3),)
    assert (reply.pieces, reply.machine, reply.other_machines) == (3, "Orrick Plover", False)
    assert not move(clutch, MovePieces("1.3", "box 1")).place.new
    assert not move(clutch, MovePieces("1.1", "bench")).place.new
    assert where(clutch) == {"A001N": 2, "bench": 1, "box 1": 5}


def test_a_count_and_a_condition_are_read_as_typed(clutch: Context) -> None:
    with pytest.raises(BadValue, match="no count"):
        move(clutch, MovePieces("1.2", "bench", "some"))
    with pytest.raises(BadValue, match="count out of range"):
        move(clutch, MovePieces("1.2", "bench", "−1"))
    with pytest.raises(BadValue, match="no condition") as odd:
        move(clutch, MovePieces("1.2", "bench", of="shiny"))
    assert odd.value.facts["conditions"] == tuple(Condition)
    with pytest.raises(Refused, match="no such piece to take") as none:
        move(clutch, MovePieces("1.2", "bench", of="cond"))
    assert none.value.facts["what"] == "1.2 M6 x 25 hex bolt"
    with pytest.raises(BadValue, match="not a day"):
        move(replace(clutch, day="soon"), MovePieces("1.2", "bench"))
    assert where(clutch) == {"A001N": 8}


def test_what_is_lost_is_found_again_and_no_more_than_that(clutch: Context) -> None:
    assert lose(clutch, LosePieces("1.2", "3", reason="under the lathe")).firm == ""
    with pytest.raises(Refused, match="fewer were lost") as fewer:
        recover(clutch, RecoverPieces("1.2", "4"))
    assert fewer.value.facts == {"item": "1.2", "lost": 3}
    back = recover(clutch, RecoverPieces("1.2", "2"))
    assert back.places == (Whereabouts(PlaceKind.BAG, "A001N"),)
    assert recover(clutch, RecoverPieces("1.2", to="tin 1")).places == (
        Whereabouts(PlaceKind.BOX, "tin 1", new=True),
    )
    with pytest.raises(Refused, match="none was lost"):
        recover(clutch, RecoverPieces("1.2"))
    assert where(clutch) == {"A001N": 7, "tin 1": 1}


def test_what_a_firm_lost_is_off_its_batch(clutch: Context) -> None:
    begin_batch(clutch, BeginBatch("Dyke Platers", "zinc"))
    put_into_batch(clutch, PutIntoBatch(1, ["1.2"]))
    send_batch(clutch, SendBatch(1))
    assert lose(clutch, LosePieces("1.2", "1", firm="Dyke")).firm == "Dyke Platers"
    with clutch.reading() as connection:
        (batch,) = read_batches(connection)
    assert [(line.away, line.off) for line in batch.lines] == [(3, 1)]


def test_a_pattern_is_kept_until_the_new_one_fits(clutch: Context) -> None:
    with pytest.raises(Refused, match="nothing to throw out"):
        scrap(clutch, ScrapPieces("1.2"))
    inspect(Context(clutch.store), Inspect("1.2", Condition.CONDEMNED, reason="bent"))
    kept = scrap(clutch, ScrapPieces("1.2"))
    assert (kept.pieces, kept.patterns) == (3, ("1.2",))
    assert scrap(clutch, ScrapPieces("1.2", "1")).patterns == ()


def test_a_lent_piece_is_owed_to_its_joint(clutch: Context) -> None:
    with pytest.raises(Refused, match="another thing belongs there") as clash:
        assign(clutch, AssignPieces("1.2", "1.3", "1"))
    assert clash.value.facts == {
        "item": "1.2", "text": "M6 x 25 hex bolt", "to_item": "1.3", "wanted": "M6 x 40 bolt",
    }  # fmt: skip
    assert clash.value.hint == Hint("assign", what="1.2", to="1.3", anyway="WHY")
    with pytest.raises(Refused, match="same joint"):
        assign(clutch, AssignPieces("1.2", "1.2"))
    lent = assign(clutch, AssignPieces("1.2", "1.3", "1", anyway="cut down"))
    assert (lent.to_item, lent.in_place_of, lent.pieces, lent.owed) == ("1.5", "1.3", 1, True)
    loose(Context(clutch.store), Loose("1 M6x25 hex bolt"))
    assert not assign(clutch, AssignPieces("0.1", "1.2")).owed
    with pytest.raises(NotFound, match="no such item"):
        assign(clutch, AssignPieces("0.2", "1.2"))
    lose(clutch, LosePieces("1.2"))
    with pytest.raises(Refused, match="no piece in hand to assign"):
        assign(clutch, AssignPieces("1.2", "1.3", anyway="cut down"))


def test_a_box_is_in_one_place_and_never_in_itself(clutch: Context) -> None:
    reply = stow(clutch, StowPlaces(["A001N", "A001N"], "box 1"))
    assert reply.stowed == ("A001N",)
    assert reply.inside == Whereabouts(PlaceKind.BOX, "box 1", new=True)
    stow(clutch, StowPlaces(["box 1"], "shelf 2"))
    (line,) = places(clutch, ListPlaces("shelf 2")).places
    assert (line.name, line.inside) == ("A001N", "box 1, shelf 2")
    with pytest.raises(Refused, match="inside what it holds") as holds:
        stow(clutch, StowPlaces(["shelf 2"], "box 1"))
    assert holds.value.facts == {"inside": "box 1", "name": "shelf 2"}
    with pytest.raises(Refused, match="inside itself"):
        stow(clutch, StowPlaces(["box 1"], "box 1"))
    with pytest.raises(Refused, match="a bag in a bag"):
        stow(clutch, StowPlaces(["box 1"], "A001N"))
    with pytest.raises(NotFound, match="no such bag or box") as strange:
        stow(clutch, StowPlaces(["box 7", "box 1"], "shelf 3"))
    assert strange.value.facts == {"names": ("box 7",), "near": ()}
    with pytest.raises(BadValue, match="what goes where"):
        stow(clutch, StowPlaces([], "box 1"))


def test_the_index_is_what_a_table_of_movements_adds_up_to(clutch: Context) -> None:
    strip(Context(clutch.store), Strip("Frame", "tank", ["2 M8x30 bolt"], part_to="shelf 2"))
    stow(clutch, StowPlaces(["A001N"], "box 10"))
    stow(clutch, StowPlaces(["A003J"], "box 2"))
    move(clutch, MovePieces("1.2", "bench", "1"))
    lose(clutch, LosePieces("1.3", "1"))
    with clutch.reading() as connection:
        moves = pd.read_sql("SELECT * FROM movement", connection)
        named = pd.read_sql("SELECT id, name, kind FROM place", connection).set_index("id")
    net = (
        moves.groupby("to_place")["quantity"].sum()
        .sub(moves.groupby("from_place")["quantity"].sum(), fill_value=0)
    )  # fmt: skip
    inside = named["kind"].isin(["bag", "box", "shelf", "bench"])
    wanted = {named["name"][p]: int(n) for p, n in net.items() if inside[p] and n}
    listed = places(clutch, ListPlaces())
    assert where(clutch) == wanted
    assert [line.name for line in listed.places] == ["A001N", "A003J", "bench", "shelf 2"]
    for line in listed.places:
        assert line.pieces == sum(each.quantity for each in line.held)
    assert [line.name for line in places(clutch, ListPlaces("box 2")).places] == ["A003J"]
    with pytest.raises(NotFound, match="nothing in this place") as empty:
        places(clutch, ListPlaces("box 7"))
    assert empty.value.facts == {"place": "box 7"}


def test_what_is_empty_is_named_and_what_is_new_is_marked(clutch: Context) -> None:
    assert places(clutch, ListPlaces()).empty == ()
    for to in ("box 10", "box 2", "bench"):
        move(clutch, MovePieces("1.2", to, new_place=True))
    buy(clutch, Buy("1.4", "1", "Hollin Fasteners", to="bench"))
    index = places(clutch, ListPlaces())
    assert index.empty == ("box 2", "box 10")
    assert [line.what for line in index.places if line.name == "bench"] == [
        "4 M6 x 25 hex bolt; 1 gasket (new)"
    ]
    assert places(clutch, ListPlaces("bench")).empty == ()
    stow(clutch, StowPlaces(["A001N"], "box 2"))  # what holds a bag is not empty
    assert places(clutch, ListPlaces()).empty == ("box 10",)


def test_what_is_thrown_out_says_in_which_condition_it_was(clutch: Context) -> None:
    inspect(clutch, Inspect("1.2", "condemned", "necked", quantity=1))
    reply = scrap(clutch, ScrapPieces("1.2", "2"))
    assert [(each.quantity, each.condition) for each in reply.items] == [
        (1, Condition.CONDEMNED), (1, Condition.AS_REMOVED),
    ]  # fmt: skip


def test_a_verdict_says_which_pieces_it_took_where_that_was_not_clear(clutch: Context) -> None:
    first = inspect(clutch, Inspect("1.2", "quarantine", "odd mark", quantity=1))
    assert [each.were for each in first.items] == [()]
    mended = inspect(clutch, Inspect("1.2", "condemned", "cracked", quantity=1, of="quarantine"))
    assert [each.were for each in mended.items] == [(Condition.QUARANTINE,)]
    last = inspect(clutch, Inspect("1.2", "condemned", "cracked", quantity=1))
    assert [each.were for each in last.items] == [(Condition.AS_REMOVED,)]


def test_an_empty_stores_has_no_index(context: Context) -> None:
    with pytest.raises(NotFound, match="nothing in the stores"):
        places(context, ListPlaces())


def test_what_does_not_serve_is_refused_and_keeps_its_name_where_it_is_said_to(
    context: Context,
) -> None:
    strip(context, Strip("Engine", "gearbox cover", ["0 of 2 3x20 split pin"]))
    loose(context, Loose("3 rag"))

    def to_buy() -> list[tuple[str, int]]:
        return [(line.what, line.quantity) for line in shopping(context, WhatToBuy()).lines]

    wanted = to_buy()
    assert [quantity for _, quantity in wanted] == [2]
    with pytest.raises(Refused, match="another thing belongs there"):
        assign(context, AssignPieces("0.1", "1.2", "2"))
    assert to_buy() == wanted
    reply = assign(context, AssignPieces("0.1", "1.2", "1", anyway="stops the hole for now"))
    assert (reply.to_item, reply.in_place_of) == ("1.3", "1.2")
    assert [quantity for _, quantity in to_buy()] == [1]
    (found,) = find(context, Find("1.3")).items
    assert (found.as_found, found.as_specified, found.wanted, found.position) == (
        "rag", "rag", 1, "in place of 1.2",
    )  # fmt: skip
    held = [line.what for line in places(context, ListPlaces()).places]
    assert "2 off rag; 1 rag" in held or "1 rag; 2 off rag" in held
    assert audit(context).faults == ()
    undo(context, Undo())
    assert to_buy() == wanted
    assert audit(context).faults == ()


def test_what_is_named_first_serves(context: Context) -> None:
    strip(context, Strip("Engine/Carburettor", "jets", ["0 of 1 pilot jet cap"]))
    loose(context, Loose("1 thing like a little brass hat"))
    with pytest.raises(Refused, match="another thing belongs there"):
        assign(context, AssignPieces("0.1", "1.2"))
    specify(context, Specify("0.1", "pilot jet cap"))
    assert assign(context, AssignPieces("0.1", "1.2")).in_place_of == ""
    assert shopping(context, WhatToBuy()).lines == ()


def test_the_right_old_piece_is_not_called_what_was_wrong_there(context: Context) -> None:
    strip(context, Strip("Engine", "magneto", ["1 M6x20 hex bolt (should be M6x25 hex bolt)"]))
    loose(context, Loose("1 M6x25 hex bolt"))
    inspect(context, Inspect("0.1", "serviceable"))
    reply = assign(context, AssignPieces("0.1", "1.2"))
    assert (reply.to_item, reply.in_place_of) == ("1.3", "1.2")
    (found,) = find(context, Find("1.3")).items
    assert (found.as_found, found.wanted, found.short) == ("M6 x 25 hex bolt", 1, 0)
    assert shopping(context, WhatToBuy()).lines == ()


def test_a_place_near_an_old_one_is_asked_about(clutch: Context) -> None:
    move(clutch, MovePieces("1.2", "shelf 2", "1"))
    before = where(clutch)
    with pytest.raises(Refused) as refused:
        move(clutch, MovePieces("1.2", "shef 2", "1"))
    assert (refused.value.fact, refused.value.facts["near"]) == ("near an old place", ("shelf 2",))
    assert where(clutch) == before
    for plain in ("shelf 3", "box C", "leaning by door"):
        assert move(clutch, MovePieces("1.2", plain, "1")).place.new
    assert move(clutch, MovePieces("1.3", "shef 2", "1", new_place=True)).place.name == "shef 2"
    assert not move(clutch, MovePieces("1.3", "Shef 2", "1")).place.new


@pytest.mark.parametrize(
    "name",
    ["same bag as clutch cover", "with the clutch", "next to the clutch cover", "bag of clutch",
     "as before", "in the bag with the clutch cover"],
)  # fmt: skip
def test_a_sentence_is_no_place(clutch: Context, name: str) -> None:
    before = where(clutch)
    with pytest.raises(Refused) as refused:
        move(clutch, MovePieces("1.2", name))
    assert refused.value.fact == "a sentence for a place"
    bags = refused.value.facts["bags"]
    assert bags == (("A001N",) if "clutch" in name else ())
    assert where(clutch) == before
    assert move(clutch, MovePieces("1.2", name, new_place=True)).place.name == name


def test_a_place_that_was_undone_is_not_offered(clutch: Context) -> None:
    moved = move(clutch, MovePieces("1.2", "shlef 2"))
    undo(clutch, Undo(str(moved.act), "act"))
    assert move(clutch, MovePieces("1.2", "shelf 2")).place.new


class TestAllCondemned:
    @pytest.fixture
    def condemned(self, context: Context) -> Context:
        """1.2: 2 of 4 condemned; 1.3: both condemned, so one is the pattern; 2.2: 1 of 1 bagged."""
        strip(context, Strip("Engine", "cover", ["4 M6x25 hex bolt", "2 M6x40 bolt"]))
        strip(context, Strip("Frame", "stand", ["1 M10x60 bolt"]))
        for ref, count in (("1.2", 2), ("1.3", 2), ("2.2", 1)):
            inspect(context, Inspect(ref, "condemned", "necked", count))
        return context

    def test_all_go_but_one_of_each_that_is_the_only_pattern(self, condemned: Context) -> None:
        reply = scrap_condemned(condemned, ScrapCondemned(reason="worn out"))
        assert [(each.item, each.quantity) for each in reply.items] == [("1.2", 2), ("1.3", 1)]
        assert reply.patterns == ("1.3", "2.2")
        assert audit(condemned).faults == ()
        with pytest.raises(Refused, match="nothing condemned") as refused:
            scrap_condemned(condemned, ScrapCondemned())
        assert refused.value.facts["patterns"] == ("1.3", "2.2")
        undo(condemned, Undo(reply.act, "act"))
        assert scrap_condemned(condemned, ScrapCondemned(trial=True)).pieces == 3

    def test_of_a_part_of_the_machine(self, condemned: Context) -> None:
        assert scrap_condemned(condemned, ScrapCondemned("1.2", trial=True)).pieces == 2
        assert scrap_condemned(condemned, ScrapCondemned("A001N", trial=True)).pieces == 3
        move(condemned, MovePieces("1.3", "box 3", 1, "condemned"))
        assert scrap_condemned(condemned, ScrapCondemned("box 3", trial=True)).pieces == 1
        with pytest.raises(Refused, match="nothing condemned"):
            scrap_condemned(condemned, ScrapCondemned("Frame"))

    def test_a_trial_writes_nothing_and_a_key_makes_two_one(self, condemned: Context) -> None:
        before = len(history(condemned))
        assert scrap_condemned(condemned, ScrapCondemned(trial=True)).trial
        assert len(history(condemned)) == before
        scrap_condemned(condemned, ScrapCondemned(key="k"))
        with pytest.raises(Repeated):
            scrap_condemned(condemned, ScrapCondemned(key="k"))


def test_a_piece_whose_joint_is_known_is_of_unknown_origin_no_more(context: Context) -> None:
    strip(context, Strip("Engine", "cover", ["3 of 4 M8x40 hex bolt"]))
    loose(context, Loose("2 M8x40 hex bolt", "tin 1"))

    def unknown() -> list[tuple[int, str, str]]:
        stocktake = audit(context).stocktake
        assert stocktake is not None
        return [
            (each.quantity, each.item, each.text)
            for each in stocktake.open_matters
            if each.kind is MatterKind.UNKNOWN
        ]

    assert unknown() == [(2, "0.1", "M8 x 40 hex bolt")]
    assign(context, AssignPieces("0.1", "1.2", "1"))
    assert unknown() == [(1, "0.1", "M8 x 40 hex bolt")]
    scrap(context, ScrapPieces("0.1", "1"))
    assert unknown() == []
    undo(context, Undo())
    undo(context, Undo())
    assert unknown() == [(2, "0.1", "M8 x 40 hex bolt")]
