"""The shopping list as a table, read back by pandas and openpyxl."""

import csv
import zipfile
from pathlib import Path

import pandas as pd
import pytest
from openpyxl import load_workbook

from stores.errors import PrintError
from stores.planning.shopping import ShoppingList, Shortage, ToMeasure
from stores.printing.files import (
    COLUMNS,
    INSPECT_FIRST,
    TO_INSPECT,
    Sheet,
    csv_pieces,
    harmless,
    put,
    write_book,
    write_csv,
    write_xlsx,
)


def line(text: str, why: str = "2 missing at strip-down", quantity: int = 2) -> Shortage:
    return Shortage(quantity * 2, text, "bolt", why, ("7.1", "9.2"), text)


LINES = [
    line("M6 x 25 hex bolt"),
    line('1/4" BSF, "Whitworth" hex bolt', "renew: one, two; three"),
    line("Шпилька M8 × 40 垫圈"),
    line("Ø12 ½ in\nwasher"),
]
PLAIN = [
    (4, "M6 x 25 hex bolt", "bolt", "2 missing at strip-down", "steps 7.1, 9.2"),
    (4, '1/4" BSF, "Whitworth" hex bolt', "bolt", "renew: one, two; three", "steps 7.1, 9.2"),
    (4, "Шпилька M8 × 40 垫圈", "bolt", "2 missing at strip-down", "steps 7.1, 9.2"),
    (4, "Ø12 ½ in\nwasher", "bolt", "2 missing at strip-down", "steps 7.1, 9.2"),
]


def test_csv_reads_back(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    write_csv(ShoppingList(lines=tuple(LINES)), path)
    # the byte order mark by which spreadsheets know UTF-8: Unicode Standard, 23.8
    assert path.read_bytes().startswith(b"\xef\xbb\xbf")
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    assert tuple(rows[0]) == COLUMNS
    assert [(int(row[0]), *row[1:5]) for row in rows[1:]] == PLAIN
    assert {tuple(row[5:8]) for row in rows[1:]} == {("1", "", "")}  # no pack, no price known
    read = pd.read_csv(path)
    assert list(read.columns) == list(COLUMNS)
    assert read["Quantity"].tolist() == [4, 4, 4, 4]


def test_xlsx_reads_back(tmp_path: Path) -> None:
    path = tmp_path / "list.xlsx"
    write_xlsx(ShoppingList(lines=tuple(LINES)), path)
    rows = list(load_workbook(path).active.iter_rows(values_only=True))
    assert rows[0] == COLUMNS
    assert [row[:5] for row in rows[1:]] == PLAIN


# Characters that begin a formula: OWASP, "CSV Injection"
@pytest.mark.parametrize("first", ["=", "+", "-", "@", "\t", "\r", " =", "\n="])
def test_no_cell_is_a_formula(tmp_path: Path, first: str) -> None:
    text = f'{first}HYPERLINK("x")'
    assert harmless(text) == f"'{text}"
    write_csv(ShoppingList(lines=(line(text, text),)), tmp_path / "list.csv")
    write_xlsx(ShoppingList(lines=(line(text, text),)), tmp_path / "list.xlsx")
    with (tmp_path / "list.csv").open(encoding="utf-8-sig", newline="") as file:
        row = list(csv.reader(file))[1]
    assert row[1].startswith("'")
    assert row[3].startswith("'")
    (cells,) = load_workbook(tmp_path / "list.xlsx").active.iter_rows(min_row=2)
    assert [cell.data_type for cell in cells[:5]] == ["n", "s", "s", "s", "s"]
    # openpyxl reads line ends as XML does, CR as LF: XML 1.0, 2.11
    assert cells[1].value.replace("\r", "\n") == text.replace("\r", "\n")
    with zipfile.ZipFile(tmp_path / "list.xlsx") as book:
        raw = book.read("xl/worksheets/sheet1.xml").decode()
    # a formula is the element f of a cell: ECMA-376 part 1, 18.3.1.40
    assert "<f>" not in raw
    assert "<f " not in raw
    assert cells[1].number_format == "@"  # what is typed over it is words too


def test_what_is_inspected_first_is_apart(tmp_path: Path) -> None:
    listed = ShoppingList(
        lines=(line("M6 x 25 hex bolt"),),
        measure_first=(ToMeasure("2.10", "main jet", "part", 1), ToMeasure("0.7", "stud", "", 3)),
    )
    write_csv(listed, tmp_path / "list.csv")
    write_xlsx(listed, tmp_path / "list.xlsx")
    with (tmp_path / "list.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    assert rows[2:] == [
        [], [INSPECT_FIRST], list(TO_INSPECT),
        ["1", "main jet", "part", "step 2.10"], ["3", "stud", "", "stock 0.7"],
    ]  # fmt: skip
    book = load_workbook(tmp_path / "list.xlsx")
    assert book.sheetnames == ["To buy", INSPECT_FIRST]
    buy, inspect = book
    assert (buy.max_row, inspect.max_row) == (2, 3)
    for sheet in book:
        assert all(cell.font.bold for cell in sheet[1])
        assert sheet.print_title_rows == "$1:$1"
        last = sheet.cell(sheet.max_row, sheet.max_column).coordinate
        assert sheet.print_area.replace("$", "").endswith(f"A1:{last}")
        for column, width in sheet.column_dimensions.items():
            assert 8 <= width.width <= 60, column


def test_no_joint_is_read_as_a_figure_or_a_day(tmp_path: Path) -> None:
    """By pandas, which guesses what a cell is as spreadsheets do: 2.10 would be 2.1."""
    heads = ("Item", "What", "Which")
    rows = [("2.10", "nut", "1.2"), ("3.4", "bolt", "1.2, but 3 there")]
    put(tmp_path / "list.csv", csv_pieces((heads, rows)))
    read = pd.read_csv(tmp_path / "list.csv")
    assert read["Item"].tolist() == ["step 2.10", "step 3.4"]
    assert read["Which"].tolist() == ["step 1.2", "step 1.2, but 3 there"]
    write_book(tmp_path / "list.xlsx", [Sheet("List", heads, rows, (9, 9, 9))])
    assert pd.read_excel(tmp_path / "list.xlsx")["Item"].tolist() == ["step 2.10", "step 3.4"]


def test_characters_that_no_spreadsheet_holds_are_replaced(tmp_path: Path) -> None:
    write_xlsx(ShoppingList(lines=(line("M6\x00 \x1f\ud800 bolt"),)), tmp_path / "list.xlsx")
    write_csv(ShoppingList(lines=(line("M6\x00 \ud800 bolt"),)), tmp_path / "list.csv")
    (cells,) = load_workbook(tmp_path / "list.xlsx").active.iter_rows(min_row=2)
    assert cells[1].value.startswith("M6\ufffd \ufffd")


@pytest.mark.parametrize("write", [write_csv, write_xlsx])
def test_an_empty_list_has_its_heading(tmp_path: Path, write: object) -> None:
    path = tmp_path / "list.xlsx"
    write(ShoppingList(), path)  # type: ignore[operator]
    if write is write_csv:
        assert path.read_text(encoding="utf-8-sig").strip() == ",".join(COLUMNS)
    else:
        assert next(load_workbook(path).active.iter_rows(values_only=True)) == COLUMNS


@pytest.mark.parametrize("write", [write_csv, write_xlsx])
def test_an_unknown_folder_is_named(tmp_path: Path, write: object) -> None:
    with pytest.raises(PrintError, match="no folder"):
        write(ShoppingList(lines=tuple(LINES)), tmp_path / "nowhere" / "list")  # type: ignore[operator]
