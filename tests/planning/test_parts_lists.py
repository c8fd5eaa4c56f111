"""Parts lists: headings, quantities, and that no row that is an item is taken for a new one."""

import csv
import re
from pathlib import Path

import pytest

from stores.errors import NotationError
from stores.handbook.fastener import parse
from stores.model.items import Description, Item, Step
from stores.planning.parts_lists import Columns, Index, ListedPart, RowOutcome, read_part

PUBLISHED = Path(__file__).resolve().parents[1] / "published"


def item(text: str, line: int = 1, assembly: str = "Engine / Clutch", wanted: int = 1) -> Item:
    what = Description(text, "")
    return Item(line, line, Step(1, "Plover", assembly), what, wanted, what, wanted)


def texts() -> list[str]:
    found = []
    for name in ("fastener_text.csv", "fastener_text_more.csv"):
        if (PUBLISHED / name).exists():
            with (PUBLISHED / name).open(encoding="utf-8", newline="") as file:
                found += [row["text"] for row in csv.DictReader(file)]
    assert len(found) > 50
    return found


def test_every_spelling_of_an_item_is_matched_to_it() -> None:
    """The spellings of tests/published stand for the trade's; whatever the notation reads as this
    item must reach it, also past the look at figures that spares reading what cannot match."""
    for text in texts():
        try:
            spec = parse(text).spec
        except NotationError:
            continue
        for others in ([], [item("M99 x 1 thing", 2)]):
            fate = Index([item(spec), *others]).match(ListedPart(2, text))
            assert fate.outcome is RowOutcome.MATCHED, (text, spec)


DECIMALS = ("0.25", ".250", "1.5", "1.50", "12.50", "6,35", "0.3125", "2.5", "25.0", ".5", "0.313",
            "0.19", "0.1563", "10.75")  # fmt: skip


@pytest.mark.parametrize("decimal", DECIMALS)
def test_decimals_that_become_fractions_reach_their_item_too(decimal: str) -> None:
    """0.25 is 1/4 in the canonical form, 12.50 is 12.5, .5 is 0.5: figures that are not written."""
    tried = 0
    for text in texts()[::7]:
        figures = [*re.finditer(r"\d+(?:[./]\d+)?", text)]
        for found in figures[-1:]:
            said = text[: found.start()] + decimal + text[found.end() :]
            try:
                spec = parse(said).spec
            except NotationError:
                continue
            if "M24 x 14" in spec:  # a ring's bore taken for its thread: a wrong reading anyway
                continue
            tried += 1
            fate = Index([item(spec), item("M99 x 1 thing", 2)]).match(ListedPart(2, said))
            assert fate.outcome is RowOutcome.MATCHED, (said, spec)
    assert tried > 100


@pytest.mark.parametrize(
    ("heads", "expected"),
    [
        (["Part No.", "Description", "No. off"], Columns(1, 2, 0)),
        (["QTY", "Part name", "Group", "Remarks"], Columns(1, 0, -1, 2, 3)),
        (["Pos", "Description", "Description 2", "Qty"], Columns(1, 3)),
        (["Description"], Columns(0)),
    ],
)
def test_headings_as_parts_books_write_them(heads: list[str], expected: Columns) -> None:
    """Headings: common practice."""
    assert Columns.guess(heads, {}) == expected


def test_a_title_is_no_row_of_headings() -> None:
    assert Columns.guess(["Parts book of the Plover", "", ""], {}) is None


@pytest.mark.parametrize(
    ("said", "count"),
    [("4", 4), ("4 off", 4), ("4.0", 4), ("2 pcs.", 2), ("A/R", 0), ("", 1), ("0", 0)],
)
def test_quantities_that_can_be_read(said: str, count: int) -> None:
    part = read_part(3, ["sleeve", said], Columns(0, 1)).part
    assert part is not None
    assert part.quantity == count


@pytest.mark.parametrize("said", ["-1", "4.5", "some", "1000000000", "4 / 5"])
def test_quantities_that_cannot_be_read(said: str) -> None:
    fate = read_part(3, ["sleeve", said], Columns(0, 1))
    assert fate.outcome is RowOutcome.REFUSED
    assert said in fate.reason


def test_two_items_alike_are_told_apart_by_their_assembly_or_not_at_all() -> None:
    index = Index([item("gasket", 1, "Engine / Clutch"), item("gasket", 2, "Engine / Sump")])
    assert index.match(ListedPart(2, "gasket")).candidates == ("1.1", "1.2")
    assert index.match(ListedPart(2, "gasket")).outcome is RowOutcome.NEW
    assert index.match(ListedPart(2, "gasket", assembly="Sump")).item == "1.2"
    assert index.match(ListedPart(2, "gasket", assembly="engine/clutch")).item == "1.1"
    assert index.match(ListedPart(2, "gasket", assembly="Frame")).outcome is RowOutcome.NEW
