"""The shopping list as a table, read back by pandas and openpyxl."""

import csv
from pathlib import Path

import pandas as pd
import pytest
from openpyxl import load_workbook

from stores.errors import PrintError
from stores.planning.shopping import ShoppingList, Shortage
from stores.printing.files import COLUMNS, harmless, write_csv, write_xlsx


def line(text: str, why: str = "2 missing at strip-down", quantity: int = 2) -> Shortage:
    return Shortage(quantity * 2, text, "bolt", why, ("7.1", "9.2"), text)


LINES = [
    line("M6 x 25 hex bolt"),
    line('1/4" BSF, "Whitworth" hex bolt', "renew: one, two; three"),
    line("Шпилька M8 × 40 垫圈"),
    line("Ø12 ½ in\nwasher"),
]
PLAIN = [
    (4, "M6 x 25 hex bolt", "bolt", "2 missing at strip-down", "7.1, 9.2"),
    (4, '1/4" BSF, "Whitworth" hex bolt', "bolt", "renew: one, two; three", "7.1, 9.2"),
    (4, "Шпилька M8 × 40 垫圈", "bolt", "2 missing at strip-down", "7.1, 9.2"),
    (4, "Ø12 ½ in\nwasher", "bolt", "2 missing at strip-down", "7.1, 9.2"),
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
    assert {row[9] for row in rows[1:]} == {"buy now"}
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
    assert cells[1].value.replace("\r", "\n") == f"'{text}".replace("\r", "\n")


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
