"""The inventory says the same on screen, on paper, as CSV, as a spreadsheet and as JSON.

What is where is held against the rows of movements themselves, added up by pandas.
"""

import contextlib
import csv
import sqlite3
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pandas as pd
import pdfplumber
import pytest
from conftest import Bench, kept
from openpyxl import load_workbook

HELD = ("bag", "box", "shelf", "bench", "firm")
"""The kinds of places that hold something; what is fitted is on the machine."""


@kept
def stocked(clutch: Bench) -> Bench:
    """Two machines, a drawer, a tin in a cupboard, a shelf of consumables; much was moved since."""
    clutch("machine", "add", "Hollin Tern")
    clutch("strip", "Head", "cylinder head", "6 M8x60 stud", "8 M8 nut", "-m", "Hollin")
    clutch("strip", "Frame", "tank", "2 M8x30 bolt", "-p", "shelf 2", "-m", "Orrick")
    clutch("piece", "loose", "3 M10 nut", "-m", "Orrick")
    clutch(
        "stock", "enter", "40 M6x25 hex bolt", "25 M6x16 hex bolt", "8 1/4 BSF x 3/4 hex bolt",
        "25 M8 nut", "--to", "drawer 3",
    )  # fmt: skip
    clutch("stock", "enter", "60 1/4 BSF x 1 hex bolt", "--to", "tin 2", "-c", "as removed")
    clutch("stock", "enter", "half a 50 ml tube of flange sealant", "400 g of lithium grease",
           "--to", "shelf 2")  # fmt: skip
    clutch("place", "stow", "A001N", "box 10")
    clutch("place", "stow", "tin 2", "cupboard 1")
    clutch("inspect", "1.2", "1", "condemned", "bent", "-m", "Orrick")
    clutch("inspect", "1.2", "2", "serviceable", "-m", "Orrick")
    clutch("outwork", "send", "1.3", "-q", "1", "--to", "Brindle Platers", "-m", "Hollin")
    clutch("piece", "move", "0.2", "bench", "-q", "7")
    clutch("piece", "lose", "0.5", "-q", "2")
    clutch("stock", "use", "sealant", "10 ml")
    clutch("refit", "1.2", "-q", "2", "-m", "Orrick")
    clutch("piece", "scrap", "0.4", "-q", "3")
    clutch("undo")
    return clutch


def by_the_rows(file: Path) -> pd.Series:
    """Add up the movements: so much of each item in each place and condition, none left out."""
    with contextlib.closing(sqlite3.connect(file)) as connection:
        moved = pd.read_sql("select * from movement", connection)
        places = pd.read_sql("select id, kind, name from place", connection).set_index("id")
    come = moved.rename(columns={"to_place": "place", "to_condition": "condition"})
    gone = moved.rename(columns={"from_place": "place", "from_condition": "condition"})
    gone["quantity"] = -gone["quantity"]
    columns = ["item_id", "place", "condition", "quantity"]
    both = pd.concat([come[columns], gone[columns]])
    both["kind"] = both["place"].map(places["kind"])
    both["name"] = both["place"].map(places["name"])
    net = both.groupby(["item_id", "kind", "name", "condition"])["quantity"].sum()
    return net[(net != 0) & net.index.get_level_values("kind").isin(HELD)]


def test_every_count_is_what_the_movements_add_up_to(stocked: Bench) -> None:
    net = by_the_rows(stocked.file)
    with contextlib.closing(sqlite3.connect(stocked.file)) as connection:
        items = pd.read_sql("select id, unit from item", connection).set_index("id")["unit"]
    listed = stocked.json("stock", "inventory")
    lines = [(place, held) for place in listed["places"] for held in place["held"]]
    ours = sorted(
        (place["kind"], place["name"], held["condition"], held["quantity"]) for place, held in lines
    )
    theirs = sorted(
        (kind, name, condition, int(count))
        for (_, kind, name, condition), count in net.items()  # type: ignore[misc]
    )
    assert ours == theirs
    units = net.index.get_level_values("item_id").map(items)
    assert listed["pieces"] == int(net[units == ""].sum())
    assert listed["amounts"] == int((units != "").sum()) == 2
    assert listed["lines"] == len(net)
    by_place = net[units == ""].groupby(level=["kind", "name"]).sum()
    for place in listed["places"]:
        assert place["pieces"] == by_place.get((place["kind"], place["name"]), 0)


def test_no_line_of_a_machine_is_lost_between_the_lists(stocked: Bench) -> None:
    """All is what is of one machine, what is of the other, and what is loose or in stock."""

    def lines(*words: str) -> list[tuple[str, str, str, int]]:
        return [
            (place["name"], held["machine"], held["item"], held["quantity"])
            for place in stocked.json("stock", "inventory", *words)["places"]
            for held in place["held"]
        ]

    everything = lines()
    ours, theirs = lines("-m", "Orrick"), lines("-m", "Hollin")
    assert {machine for _, machine, _, _ in ours} == {"Orrick Plover"}
    assert {machine for _, machine, _, _ in theirs} == {"Hollin Tern"}
    rest = [line for line in everything if line[2].startswith("0.")]
    assert sorted(everything) == sorted([*ours, *theirs, *rest])
    assert len(rest) == 9


def test_what_it_is_worth_is_reckoned_by_the_newest_price(stocked: Bench) -> None:
    """By hand: 50 bolts for 6.40 are 0.128 each. In the drawer are 40 less the 7 moved: 33, 4.22;
    on the bench 7, 0.90; of the joint's 4 two are fitted, one condemned, one left: 0.13. Nuts are
    0.13, put up from 0.12: in the drawer 25 less 2 lost, 2.99; of the joint's 8 one at the firm,
    0.13, and 7 in their bag, 0.91. In all 4.22 + 0.90 + 0.13 + 2.99 + 0.13 + 0.91 = 9.28."""
    stocked("order", "price", "M8 nut", "0.50")
    stocked("order", "price", "--currency", "GBP")  # what was asked before is in another currency
    stocked(
        "order", "price", "M6x25 hex bolt", "6.40", "--pack", "50", "--from", "Hollin Fasteners"
    )
    stocked("order", "price", "M8 nut", "0.12", "--from", "Hollin Fasteners")
    stocked("order", "price", "M8 nut", "0.13", "--from", "Dyke")
    listed = stocked.json("stock", "inventory")
    values = {
        (place["name"], held["text"], held["condition"]): held["value"]
        for place in listed["places"]
        for held in place["held"]
        if held["value"] is not None
    }
    assert values == {
        ("A001N", "M6 x 25 hex bolt", "as removed"): 13,
        ("A001N", "M6 x 25 hex bolt", "condemned"): 0,
        ("bench", "M6 x 25 hex bolt", "new"): 90,
        ("drawer 3", "M6 x 25 hex bolt", "new"): 422,
        ("drawer 3", "M8 nut", "new"): 299,
        ("A003J", "M8 nut", "as removed"): 91,
        ("Brindle Platers", "M8 nut", "as removed"): 13,
    }
    assert (listed["value"], listed["currency"]) == (928, "GBP")
    assert listed["unpriced"] == listed["lines"] - len(values)
    shown = stocked("stock", "inventory")
    assert f"Value 9.28 GBP, {listed['unpriced']} lines without a price" in shown
    assert "In drawer 3: 89 pieces; value 7.21 GBP, 2 lines without a price" in (
        " ".join(shown.split())
    )


def test_without_a_price_no_value_is_made_up(stocked: Bench) -> None:
    shown = stocked("stock", "inventory")
    assert "No price known" in shown
    assert "0.00" not in shown


def test_a_place_a_size_or_a_word_narrows_it(stocked: Bench) -> None:
    def held(*words: str) -> set[tuple[str, str]]:
        return {
            (place["name"], one["text"])
            for place in stocked.json("stock", "inventory", *words)["places"]
            for one in place["held"]
        }

    assert held("CUPBOARD 1") == {("tin 2", "1/4 BSF x 1 hex bolt")}, "with all that stands in it"
    assert held("M6x16") == {("drawer 3", "M6 x 16 hex bolt")}
    assert held("M6", "--of", "new") == {
        ("bench", "M6 x 25 hex bolt"), ("drawer 3", "M6 x 25 hex bolt"),
        ("drawer 3", "M6 x 16 hex bolt"),
    }  # fmt: skip
    assert held("sealant") == {("shelf 2", "ml of flange sealant")}
    assert held("M8 nut", "-m", "Hollin") == {("A003J", "M8 nut"), ("Brindle Platers", "M8 nut")}
    assert "nothing like 'hammer' is in the stores" in stocked.refused(
        "stock", "inventory", "hammer"
    )
    assert "that is quarantine" in stocked.refused("stock", "inventory", "M6", "--of", "quarantine")
    assert "is not a condition" in stocked.refused("stock", "inventory", "--of", "shiny")


def test_paper_has_every_line_totals_by_place_and_numbered_pages(
    stocked: Bench, tmp_path: Path
) -> None:
    stocked("stock", "enter", *(f"{n} M{n} nut" for n in (10, 12, 14, 16, 18, 20, 22, 24) * 6),
            "--to", "drawer 7")  # fmt: skip
    stocked("order", "price", "M8 nut", "0.13")
    path = tmp_path / "inventory.pdf"
    assert str(path) in stocked("stock", "inventory", "--pdf", str(path))
    listed = stocked.json("stock", "inventory")
    with pdfplumber.open(path) as pdf:
        pages = [" ".join(page.extract_text().split()) for page in pdf.pages]
        sizes = {
            round(char["size"], 1)
            for page in pdf.pages
            for char in page.chars
            if char["text"].isdigit() and char["top"] < page.height - 40
        }
    assert len(pages) > 1
    for at, page in enumerate(pages, 1):
        assert f"Page {at} of {len(pages)}" in page
    assert min(sizes) >= 9.5, "counts and sizes are read at arm's length"
    text = " ".join(pages)
    for place in listed["places"]:
        assert place["name"] in text
        if not place["amounts"]:
            assert f"{place['pieces']} piece{'s' if place['pieces'] != 1 else ''}" in text
        for held in place["held"]:
            if not held["unit"]:
                # a small "off" stands close behind a count
                assert f"{held['quantity']}off {held['text']}" in text
    assert "In drawer 7, continued" in text
    assert "400 g lithium grease" in text
    assert "15 ml flange sealant" in text, "half of 50 ml less the 10 used"
    assert f"In all: {len(listed['places'])} places, {listed['pieces']} pieces" in text


def test_a_spreadsheet_has_typed_cells_bold_heads_and_a_print_area(
    stocked: Bench, tmp_path: Path
) -> None:
    stocked("stock", "enter", "12 1/4", "3 =1+1", "--to", "drawer 4")
    stocked("order", "price", "M8 nut", "0.13")
    stocked("order", "price", "--currency", "GBP")
    stocked("order", "price", "M8 nut", "0.13")
    path = tmp_path / "inventory.xlsx"
    stocked("stock", "inventory", "--xlsx", str(path))
    listed = stocked.json("stock", "inventory")
    book = load_workbook(path)
    assert book.sheetnames == ["Inventory", "By place"]
    for sheet in book:
        assert all(cell.font.bold for cell in sheet[1])
        last = sheet.cell(sheet.max_row, sheet.max_column).coordinate
        assert sheet.print_area.replace("$", "").endswith(f"A1:{last}")
        assert sheet.print_title_rows == "$1:$1"
        assert not any(cell.font.bold for row in sheet.iter_rows(min_row=2) for cell in row)
        for row in sheet.iter_rows(min_row=2):
            for cell in row:
                assert not isinstance(cell.value, (date, datetime, bool))
                assert cell.data_type in ("n", "s"), "no formula, no error, no date"
                assert (cell.number_format == "@") == isinstance(cell.value, str)
    rows = list(book["Inventory"].iter_rows(min_row=2, values_only=True))
    heads = [cell.value for cell in book["Inventory"][1]]
    assert heads == ["Place", "Sits in", "Count", "Unit", "What", "Condition", "Of", "Value, GBP"]
    assert len(rows) == listed["lines"]
    assert sum(row[2] for row in rows if row[3] == "pieces") == listed["pieces"]
    assert sum(row[7] or 0 for row in rows) == pytest.approx(listed["value"] / 100)
    assert ("tin 2", "cupboard 1", 60, "pieces", "1/4 BSF x 1 hex bolt", "as removed",
            "stock 0.6", None) in rows  # fmt: skip
    totals = list(book["By place"].iter_rows(min_row=2, values_only=True))
    assert [(row[0], row[2]) for row in totals[:-1]] == [
        (place["name"], place["pieces"]) for place in listed["places"]
    ]
    assert totals[-1][0] == "In all"
    assert totals[-1][2] == listed["pieces"] == sum(row[2] for row in totals[:-1])


def test_a_csv_reads_back_and_nothing_in_it_is_taken_for_a_date(
    stocked: Bench, tmp_path: Path
) -> None:
    stocked("stock", "enter", "12 1/4", "--to", "Mar 3", "--new-place")
    path = tmp_path / "inventory.csv"
    stocked("stock", "inventory", "--csv", str(path))
    listed = stocked.json("stock", "inventory")
    read: Any = pd.read_csv(path)
    assert read.loc[read["Unit"] == "pieces", "Count"].sum() == listed["pieces"]
    for name in ("Place", "What", "Of"):
        assert read[name].map(type).eq(str).all()
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    (quarter,) = [row for row in rows if "Mar 3" in row["Place"]]
    assert quarter["Place"].startswith("'")
    assert quarter["What"].startswith("'") or not quarter["What"][0].isdigit()


def test_an_empty_stores_has_nothing_to_list(bench: Bench) -> None:
    assert "nothing is in the stores" in bench.refused("stock", "inventory")
