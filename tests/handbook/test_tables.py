"""The loader of the standards' tables, and that every row of the thread tables has its source."""

from pathlib import Path

import pytest

from stores.errors import BadValue
from stores.handbook.table import number, table

DATA = Path(__file__).parents[2] / "stores" / "handbook" / "tables"


@pytest.mark.parametrize(
    "name", sorted(p.stem for p in DATA.glob("*.csv") if p.stem.startswith(("threads", "across")))
)
def test_every_row_has_a_source(name: str) -> None:
    rows = table(name)
    assert rows
    assert all(row["source"].strip() for row in rows)
    assert table(name) is rows


def test_rows_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        table("threads_ba")[0]["d_mm"] = "7"  # type: ignore[index]


def test_a_number_size_is_not_a_comment() -> None:
    assert table("threads_unc")[0]["size_in"] == "#1"


def test_empty_cell_is_no_number() -> None:
    assert number("") is None
    assert number("2.55") == 2.55


@pytest.mark.parametrize(
    ("name", "text", "message"),
    [
        ("bad_empty", "", "bad_empty.csv has no source column"),
        ("bad_header", "# a comment\nd_mm\n6\n", "bad_header.csv has no source column"),
        ("bad_source", "# c\nd_mm,source\n6,ISO 261\n7, \n", "bad_source.csv line 4: no source"),
        ("bad_row", "d_mm,source\n6\n", "bad_row.csv line 2: 1 fields, 2 expected"),
    ],
)
def test_bad_table_is_refused(
    name: str, text: str, message: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("stores.handbook.table._read", lambda _: text.encode())
    with pytest.raises(BadValue, match=message):
        table(name)


def test_missing_table_is_refused() -> None:
    with pytest.raises(BadValue, match="no table 'threads_of_mars'"):
        table("threads_of_mars")
