"""Pieces and places, asked of the use-cases themselves.

By hand: bag A001N holds 1 clutch cover (1.1), 4 M6 x 25 (1.2), 2 M6 x 40 (1.3), 8 pieces with the
gasket (1.4).
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pandas as pd
import pytest

from stores.errors import BadValue, Hint, NotFound, Refused, Repeated
from stores.model.ledger import Condition, PlaceKind
from stores.storage.outwork import read_batches
from stores.usecases.common import Whereabouts
from stores.usecases.context import Context
from stores.usecases.history import Undo, audit, history, undo
from stores.usecases.inspect import Inspect, inspect
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
from stores.usecases.strip import Loose, Strip, loose, strip


@pytest.fixture
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
    "assign": (assign, AssignPieces("1.2", "1.3", "1", anyway=True)),
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
    assert clash.value.hint == Hint("assign", what="1.2", to="1.3", anyway=True)
    with pytest.raises(Refused, match="same joint"):
        assign(clutch, AssignPieces("1.2", "1.2"))
    lent = assign(clutch, AssignPieces("1.2", "1.3", "1", anyway=True))
    assert (lent.to_item, lent.pieces, lent.owed) == ("1.3", 1, True)
    loose(Context(clutch.store), Loose("1 M6x25 hex bolt"))
    assert not assign(clutch, AssignPieces("0.1", "1.2")).owed
    with pytest.raises(NotFound, match="no such item"):
        assign(clutch, AssignPieces("0.2", "1.2"))
    lose(clutch, LosePieces("1.2"))
    with pytest.raises(Refused, match="no piece in hand to assign"):
        assign(clutch, AssignPieces("1.2", "1.3", anyway=True))


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
    assert strange.value.facts == {"names": ["box 7"]}
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


def test_an_empty_stores_has_no_index(context: Context) -> None:
    with pytest.raises(NotFound, match="nothing in the stores"):
        places(context, ListPlaces())


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
