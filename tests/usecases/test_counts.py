"""Counting a place, asked of the use-cases themselves.

By hand: bag A001N holds 1 clutch cover (1.1), 4 M6 x 25 (1.2), 2 M6 x 40 (1.3), 1 gasket (1.4).
"""

from dataclasses import replace
from pathlib import Path

import pytest
from conftest import dump_of, kept

from stores.errors import BadValue, NotFound, Refused, Repeated
from stores.storage.items import read_items
from stores.usecases.context import Context
from stores.usecases.counts import (
    ComparePlace,
    CountPlace,
    compare_place,
    count_place,
)
from stores.usecases.history import Undo, audit, undo
from stores.usecases.places import ListPlaces, LosePieces, StowPlaces, lose, places, stow
from stores.usecases.strip import Strip, strip


@kept
def clutch(context: Context) -> Context:
    strip(
        Context(context.store),
        Strip("Engine/Clutch", "clutch cover", ["4 M6x25 hex bolt", "2 M6x40 bolt", "1 gasket"]),
    )
    return context


def verdicts(context: Context, place: str, *scanned: str) -> dict[str, tuple[int, int, str]]:
    lines = compare_place(context, ComparePlace(place, scanned)).lines
    return {line.what: (line.expected, line.found, line.verdict) for line in lines}


def pieces(context: Context) -> dict[str, int]:
    """Pieces by the kind of place."""
    total: dict[str, int] = {}
    with context.reading() as connection:
        for item in read_items(connection):
            for holding in item.holdings:
                total[holding.kind.value] = total.get(holding.kind.value, 0) + holding.quantity
    return {kind: count for kind, count in total.items() if count}


def test_what_is_expected_is_set_beside_what_was_counted(clutch: Context) -> None:
    assert verdicts(clutch, "A001N", "1.1", "1.2=3", "1.3=4", "1.2") == {
        "1.1 clutch cover": (1, 1, "right"),
        "1.2 M6 x 25 hex bolt": (4, 4, "right"),
        "1.3 M6 x 40 bolt": (2, 4, "too many"),
        "1.4 gasket": (1, 0, "missing"),
    }
    reply = compare_place(clutch, ComparePlace("a001n"))
    assert (reply.place, reply.differences) == ("A001N", 4)


def test_a_strange_bag_says_where_it_should_be_and_words_why_they_are_none(clutch: Context) -> None:
    strip(Context(clutch.store), Strip("Engine", "sump", ["2 M6x20 bolt"]))
    stow(clutch, StowPlaces(["A001N"], "box 1"))
    stow(clutch, StowPlaces(["A003J"], "box 2"))
    reply = compare_place(clutch, ComparePlace("box 1", ["A003J", "A003J", "A003K", "A003K"]))
    missing, strange, words = reply.lines
    assert (missing.what, missing.verdict) == ("A001N", "missing")
    assert (strange.what, strange.verdict, strange.recorded_in) == ("A003J", "extra", "box 2")
    assert (words.kind, words.found, words.verdict) == ("words", 1, "extra")
    assert "A003J" in str(words.unread)


def test_a_trial_writes_nothing_and_a_key_is_one_act(clutch: Context) -> None:
    ask = CountPlace("A001N", ["1.1", "1.2=3", "1.3=4", "1.4"], "spring count")
    file = Path(clutch.store.name)
    before = dump_of(file)
    tried = count_place(clutch, replace(ask, trial=True))
    assert dump_of(file) == before
    done = count_place(clutch, replace(ask, key="form 1"))
    assert done == replace(tried, trial=False)
    with pytest.raises(Repeated) as repeated:
        count_place(clutch, replace(ask, key="form 1"))
    assert repeated.value.act == done.act


def test_missing_is_lost_and_too_many_is_of_unknown_origin(clutch: Context) -> None:
    ask = CountPlace("A001N", ["1.1", "1.2=3", "1.3=4", "1.4"], "spring count")
    reply = count_place(clutch, ask)
    assert (reply.place, reply.differences, reply.moved) == ("A001N", 2, 3)
    # 8 - 1 missing + 2 too many = 9 in the bag.
    assert pieces(clutch) == {
        "came with the machine": -8, "bag": 9, "lost": 1, "unknown origin": -2,
    }  # fmt: skip
    assert audit(Context(clutch.store)).faults == ()
    undo(Context(clutch.store), Undo())
    assert pieces(clutch) == {"came with the machine": -8, "bag": 8}


def test_what_was_lost_and_is_counted_again_is_the_same_piece(clutch: Context) -> None:
    lose(clutch, LosePieces("1.2", "2"))
    count_place(clutch, CountPlace("A001N", ["1.1", "1.2=3", "1.3=2", "1.4"], "was in the lid"))
    assert pieces(clutch) == {"came with the machine": -8, "bag": 7, "lost": 1}


def test_a_bag_goes_where_it_was_found_and_out_of_where_it_was_not(clutch: Context) -> None:
    strip(Context(clutch.store), Strip("Engine", "sump", ["2 M6x20 bolt"]))
    stow(clutch, StowPlaces(["A001N"], "box 1"))
    stow(clutch, StowPlaces(["A003J"], "box 2"))
    assert count_place(clutch, CountPlace("box 1", ["A003J"], "swapped")).moved == 0
    index = {line.name: line.inside for line in places(clutch, ListPlaces()).places}
    assert index == {"A001N": "", "A003J": "box 1"}
    undo(Context(clutch.store), Undo())
    index = {line.name: line.inside for line in places(clutch, ListPlaces()).places}
    assert index == {"A001N": "box 1", "A003J": "box 2"}


def test_a_count_that_agrees_needs_no_reason_and_one_that_differs_does(clutch: Context) -> None:
    stow(clutch, StowPlaces(["A001N"], "box 1"))
    assert count_place(clutch, CountPlace("box 1", ["A001N"])).differences == 0
    with pytest.raises(Refused, match="why does the count differ") as why:
        count_place(clutch, CountPlace("box 1"))
    assert why.value.facts == {"differences": 1, "place": "box 1"}


def test_what_cannot_be_counted_is_refused(clutch: Context) -> None:
    with pytest.raises(NotFound, match="no such box or shelf") as nowhere:
        compare_place(clutch, ComparePlace("box 77"))
    assert nowhere.value.facts == {"name": "box 77"}
    with pytest.raises(BadValue, match="no count of an item") as odd:
        compare_place(clutch, ComparePlace("A001N", ["1.2=some"]))
    assert odd.value.facts == {"typed": "some", "item": "1.2"}
    with pytest.raises(NotFound, match="no such item"):
        compare_place(clutch, ComparePlace("A001N", ["1.9=3"]))
    with pytest.raises(Refused, match="a place that cannot be in it"):
        compare_place(clutch, ComparePlace("A001N", ["A001N"]))
    stow(clutch, StowPlaces(["A001N"], "box 1"))
    stow(clutch, StowPlaces(["box 1"], "shelf 2"))
    with pytest.raises(Refused, match="it holds the place counted"):
        count_place(clutch, CountPlace("box 1", ["A001N", "shelf 2"], "upside down"))


class TestAsListedBut:
    def found(self, context: Context, but: str, place: str = "A001N") -> dict[str, tuple[int, int]]:
        lines = compare_place(context, ComparePlace(place, but=but)).lines
        return {line.what.split()[0]: (line.expected, line.found) for line in lines}

    def test_only_what_differs_is_said(self, clutch: Context) -> None:
        assert self.found(clutch, "1.2: 3, 1.4: none") == {
            "1.1": (1, 1), "1.2": (4, 3), "1.3": (2, 2), "1.4": (1, 0),
        }  # fmt: skip
        assert all(expected == found for expected, found in self.found(clutch, "").values())
        reply = count_place(clutch, CountPlace("A001N", but="1.2=3; 1.3 4", reason="dropped one"))
        assert (reply.differences, reply.moved) == (2, 3)
        assert self.found(clutch, "")["1.2"] == (3, 3)
        assert audit(clutch).faults == ()
        undo(clutch, Undo())
        assert self.found(clutch, "")["1.2"] == (4, 4)

    def test_a_box_with_its_bags(self, clutch: Context) -> None:
        strip(clutch, Strip("Engine", "cap", ["2 M8x20 bolt"]))
        stow(clutch, StowPlaces(["A001N", "A003J"], "box 3"))
        assert self.found(clutch, "A003J: missing", "box 3") == {"A001N": (1, 1), "A003J": (1, 0)}
        with pytest.raises(Refused, match="in a place within") as refused:
            self.found(clutch, "1.2: 3", "box 3")
        assert refused.value.facts["inner"] == "A001N"

    def test_refusals(self, clutch: Context) -> None:
        for but in ("1.2", "1.2: some", "1.2: 3: 4", "1.2: -1"):
            with pytest.raises(BadValue, match="no exception"):
                self.found(clutch, but)
        with pytest.raises(BadValue, match="excepted twice"):
            self.found(clutch, "1.2: 3, 1.2: 4")
        with pytest.raises(NotFound, match="no such item"):
            self.found(clutch, "1.9: 3")
        with pytest.raises(BadValue, match="counted and as listed"):
            compare_place(clutch, ComparePlace("A001N", ["1.2=4"], but=""))
        strip(clutch, Strip("Engine", "cap", ["2 M8x20 bolt"]))
        with pytest.raises(Refused, match="not listed here"):
            self.found(clutch, "2.2: none")
        with pytest.raises(Refused, match="why does the count differ"):
            count_place(clutch, CountPlace("A001N", but="1.2: 3"))
