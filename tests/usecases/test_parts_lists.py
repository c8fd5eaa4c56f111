"""Reading in a parts list: a trial, all or nothing, undone."""

from dataclasses import replace

import pytest
from conftest import kept

from stores.errors import BadValue, Refused, Repeated, StoresError
from stores.planning.parts_lists import RowOutcome
from stores.usecases.context import Context
from stores.usecases.history import Undo, audit, undo
from stores.usecases.parts_lists import (
    ListParts,
    PartRow,
    ReadPartsList,
    parts_lists,
    read_parts_list,
)
from stores.usecases.strip import Strip, strip

Rows = tuple[tuple[int, tuple[str, ...]], ...]

ROWS: Rows = (
    (1, ("Part No.", "Description", "No. off", "Section")),
    (2, ("P1", "m6 by twenty five hex bolts", "4", "Clutch")),
    (3, ("P2", "gasket", "2", "Engine/Clutch")),
    (4, ("P3", "oil seal 17x35x7", "A/R", "Gearbox")),
    (5, ("", "", "", "")),
)
BAD: Rows = (*ROWS, (6, ("P4", "sleeve", "many", "Engine")))


@kept
def clutch(context: Context) -> Context:
    strip(
        Context(context.store),
        Strip("Engine/Clutch", "clutch cover", ["4 M6x25 hex bolt", "1 gasket"]),
    )
    return context


def sources(context: Context) -> list[tuple[str, int]]:
    return [(part.source, part.line) for part in parts_lists(context, ListParts()).parts]


def test_a_trial_shows_each_fate_and_writes_nothing(clutch: Context) -> None:
    seen: list[PartRow] = []
    ask = ReadPartsList(BAD, "book", trial=True)
    read = read_parts_list(clutch, ask, each=seen.append)
    assert (read.act, read.machine, read.source) == (None, "Orrick Plover", "book")
    assert read.columns == {
        "what": "Description", "quantity": "No. off", "number": "Part No.", "assembly": "Section",
    }  # fmt: skip
    assert read.rows == {"new": 1, "matched": 2, "refused": 1, "empty": 1}
    assert [(row.line, row.fate, row.quantity, row.item, row.there) for row in read.fates] == [
        (2, RowOutcome.MATCHED, 4, "1.2", None),
        (3, RowOutcome.MATCHED, 2, "1.3", 1),  # two on the list, one taken off
        (4, RowOutcome.NEW, 0, "", None),
        (6, RowOutcome.REFUSED, None, "", None),
    ]
    assert "many" in read.fates[-1].reason
    assert read.refused == read.fates[-1:]
    assert tuple(seen) == read.fates
    assert sources(clutch) == []


def test_only_so_many_rows_are_in_the_reply(clutch: Context) -> None:
    read = read_parts_list(clutch, ReadPartsList(BAD, "book", most=2, trial=True))
    assert [row.line for row in read.fates] == [2, 3]
    assert [row.line for row in read.refused] == [6]
    assert sum(read.rows.values()) == 5
    read_parts_list(clutch, ReadPartsList(ROWS, "book"))
    listed = parts_lists(clutch, ListParts(2))
    assert ([part.line for part in listed.parts], listed.total) == ([2, 3], 3)


def test_one_bad_row_stops_the_whole_list(clutch: Context) -> None:
    with pytest.raises(Refused, match="row of a parts list") as bad:
        read_parts_list(clutch, ReadPartsList(BAD, "book"))
    assert (bad.value.facts["line"], bad.value.facts["rows"]) == (6, 1)
    assert sources(clutch) == []


def test_without_the_refused_the_rest_is_read_in_and_they_are_named(clutch: Context) -> None:
    read = read_parts_list(clutch, ReadPartsList(BAD, "book", without_refused=True))
    assert (read.trial, [row.line for row in read.refused]) == (False, [6])
    assert [
        (part.line, part.number, part.quantity, part.what, part.assembly, part.item)
        for part in parts_lists(clutch, ListParts()).parts
    ] == [
        (2, "P1", 4, "m6 by twenty five hex bolts", "Clutch", "1.2"),
        (3, "P2", 2, "gasket", "Engine/Clutch", "1.3"),
        (4, "P3", 0, "oil seal 17x35x7", "Gearbox", ""),
    ]


def test_it_is_undone_and_not_read_in_twice(clutch: Context) -> None:
    read = read_parts_list(clutch, ReadPartsList(ROWS, "book"))
    for trial in (False, True):
        with pytest.raises(Refused, match="parts list read already") as twice:
            read_parts_list(clutch, ReadPartsList(ROWS, "book", trial=trial))
        assert twice.value.facts == {"source": "book", "act": read.act}
    undoing = undo(Context(clutch.store), Undo()).act
    assert sources(clutch) == []
    read_parts_list(clutch, ReadPartsList(ROWS, "book"))
    assert sources(clutch) == [("book", 2), ("book", 3), ("book", 4)]
    assert audit(Context(clutch.store)).faults == ()
    with pytest.raises(StoresError, match="list read in again"):
        undo(Context(clutch.store), Undo(undoing))


def test_the_same_key_twice_is_one_act(clutch: Context) -> None:
    ask = ReadPartsList(ROWS, "book", key="form 1")
    act = read_parts_list(clutch, ask).act
    with pytest.raises(Repeated) as repeated:
        read_parts_list(clutch, replace(ask, source="book again"))
    assert repeated.value.act == act


def test_a_heading_that_is_not_guessed_is_named(clutch: Context) -> None:
    odd: Rows = ((1, ("Nr", "Benennung")), (2, ("1", "gasket")))
    with pytest.raises(BadValue, match="no heading") as none:
        read_parts_list(clutch, ReadPartsList(odd, "odd"))
    assert none.value.facts["there"] == ("Nr", "Benennung", "1", "gasket")
    read = read_parts_list(clutch, ReadPartsList(odd, "odd", ["What=Benennung"], trial=True))
    assert [row.item for row in read.fates] == ["1.3"]
    with pytest.raises(BadValue, match="no such column") as column:
        read_parts_list(clutch, ReadPartsList(odd, "odd", ["colour=Nr"]))
    assert column.value.facts["name"] == "colour"
    for typed in ("what", "what= "):
        with pytest.raises(BadValue, match="not a column"):
            read_parts_list(clutch, ReadPartsList(odd, "odd", [typed]))


def test_a_row_that_may_be_several_items_is_none_of_them(clutch: Context) -> None:
    strip(Context(clutch.store), Strip("Engine/Sump", "sump", ["1 gasket"]))
    rows: Rows = ((1, ("Description", "Qty")), (2, ("gasket", "1")))
    [row] = read_parts_list(clutch, ReadPartsList(rows, "book", trial=True)).fates
    assert (row.fate, row.item, row.candidates) == (RowOutcome.NEW, "", ("1.3", "2.2"))


def test_a_list_without_rows_is_refused(clutch: Context) -> None:
    with pytest.raises(Refused, match="no row to read in"):
        read_parts_list(clutch, ReadPartsList(ROWS[:1], "book"))
    with pytest.raises(BadValue, match="no heading"):
        read_parts_list(clutch, ReadPartsList((), "book"))
