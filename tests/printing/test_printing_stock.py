"""Label stock as text files."""

from pathlib import Path

import pytest

from stores.errors import PrintError
from stores.printing.templates import DEFAULT, load_stock, stems
from stores.resources import folder

STOCK = (folder("label_templates") / "stock" / f"{DEFAULT}.toml").read_text(encoding="utf-8")

# Width and height of the labels and how many to an A4 sheet: what the trade calls each by, which
# is also in the file's name. A4 is 210 x 297 mm: ISO 216:2007, table 1.
TRADE = [
    ("a4-21-63.5x38.1", 63.5, 38.1, 21),
    ("a4-24-70x37", 70.0, 37.0, 24),
    ("a4-14-99.1x38.1", 99.1, 38.1, 14),
    ("a4-65-38.1x21.2", 38.1, 21.2, 65),
]


@pytest.mark.parametrize(("name", "width", "height", "count"), TRADE)
def test_a_stock_is_what_its_name_says(name: str, width: float, height: float, count: int) -> None:
    stock = load_stock(name)
    assert (stock.sheet_width, stock.sheet_height) == (210, 297)
    assert (stock.label_width, stock.label_height) == (width, height)
    assert stock.per_sheet == count


@pytest.mark.parametrize("name", [row[0] for row in TRADE])
def test_the_grid_stands_in_the_middle_of_the_sheet(name: str) -> None:
    """Sheets are cut symmetrically, so that they may be fed either way round (common practice)."""
    stock = load_stock(name)
    right = stock.left + (stock.columns - 1) * stock.across + stock.label_width
    bottom = stock.top + (stock.rows - 1) * stock.down + stock.label_height
    assert stock.left == pytest.approx(210 - right, abs=0.06)
    assert stock.top == pytest.approx(297 - bottom, abs=0.06)


def test_every_file_loads() -> None:
    assert DEFAULT in stems("stock")
    assert {row[0] for row in TRADE} <= set(stems("stock"))
    for name in stems("stock"):
        load_stock(name)


def test_places_go_row_by_row_and_over_to_the_next_sheet() -> None:
    stock = load_stock(DEFAULT)
    spots = list(stock.spots(3, start=20))
    assert [spot.sheet for spot in spots] == [0, 0, 1]
    assert spots[0].x == pytest.approx(stock.left + stock.across)
    assert spots[0].y == pytest.approx(stock.top + 6 * stock.down)
    assert (spots[2].x, spots[2].y) == (stock.left, stock.top)


@pytest.mark.parametrize("start", [0, -1, 22])
def test_a_start_beyond_the_sheet_is_refused(start: int) -> None:
    with pytest.raises(PrintError, match=f"places 1 to 21.*{start}"):
        list(load_stock(DEFAULT).spots(1, start))


@pytest.mark.parametrize(
    ("old", "new", "key", "reason"),
    [
        ("across = 66.04", "across = 63.0", "grid.across", "overlap"),
        ("down = 38.1", "down = 38.0", "grid.down", "overlap"),
        ("columns = 3", "columns = 4", "grid.columns", "sheet at 210"),
        ("rows = 7", "rows = 8", "grid.rows", "sheet at 297"),
        ("left = 7.21", "left = 17", "grid.columns", "ends at"),
        ("left = 7.21", "left = -1", "grid.left", "from 0"),
        ("top = 15.15", 'top = "15"', "grid.top", "length in millimetres"),
        ("top = 15.15", "top = nan", "grid.top", "length in millimetres"),
        ("top = 15.15", "", "grid.top", "missing"),
        ("rows = 7", "rows = 7.5", "grid.rows", "whole number"),
        ("rows = 7", "rows = true", "grid.rows", "whole number"),
        ("rows = 7", "rows = 7\ngutter = 2", "grid.gutter", "no such key"),
        ("corner_radius = 1.5", "corner_radius = 30", "label.corner_radius", "at most half"),
        ("safe = 2.0", "safe = 20", "label.safe", "leaves nothing"),
        ('kind = "sheet"', 'kind = "ring"', "kind", "one of"),
        ("title = ", "title = 5 #", "title", "text in quotes"),
    ],
)
def test_a_wrong_file_is_named_with_key_and_reason(
    tmp_path: Path, old: str, new: str, key: str, reason: str
) -> None:
    assert old in STOCK
    path = tmp_path / "mine.toml"
    path.write_text(STOCK.replace(old, new), encoding="utf-8")
    with pytest.raises(PrintError) as caught:
        load_stock(str(path))
    said = str(caught.value)
    assert "mine.toml" in said
    assert key in said
    assert reason in said
    assert "\n" not in said


def test_a_copy_is_used_by_its_path(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(STOCK.replace("rows = 7", "rows = 5"), encoding="utf-8")
    assert load_stock(str(path)).per_sheet == 15


def test_a_file_that_is_no_toml_is_named(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text("width = = 3", encoding="utf-8")
    with pytest.raises(PrintError, match="not TOML"):
        load_stock(str(path))
    path.write_bytes(b"title = \xff")
    with pytest.raises(PrintError, match="UTF-8"):
        load_stock(str(path))


@pytest.mark.parametrize("name", ["a4-99", "", "../pyproject", "missing.toml", "missing/x.toml"])
def test_an_unknown_stock_is_refused(name: str) -> None:
    with pytest.raises(PrintError):
        load_stock(name)
    if not name.endswith(".toml"):
        with pytest.raises(PrintError, match=DEFAULT):
            load_stock(name)
