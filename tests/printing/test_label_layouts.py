"""The layouts other than the bag label, on every stock that has room for them."""

import re
from collections.abc import Sequence
from itertools import combinations
from pathlib import Path

import pytest
from printing_builder import MACHINE, bag
from printing_reading import MM, pictures, said, words
from zxingcpp import BarcodeFormat, read_barcodes

from stores.errors import PrintError
from stores.model.labels import (
    BatchTicket,
    BoxIndex,
    BoxLine,
    ConditionTag,
    Flag,
    LabelValue,
    PackTag,
    SizeLine,
    StockPlace,
    Tag,
    TicketLine,
)
from stores.model.ledger import Condition
from stores.printing.boxes import Box, Code, Text, moved
from stores.printing.draw import measure
from stores.printing.label_layout import Face, Laid, lay_out
from stores.printing.label_values import fields_of, kind_of
from stores.printing.labels import layout_alignment, write_alignment, write_labels
from stores.printing.templates import best_for, load_layout, load_stock, stems
from stores.resources import folder

VALUES: list[LabelValue] = [
    BoxIndex("B03", tuple(BoxLine(f"A{n:03}N", f"M{n} nut", n) for n in range(1, 9)), "Shelf 2"),
    StockPlace(
        "drawer 3",
        tuple(SizeLine(f"M{n}", f"x {2 * n}, {3 * n} hex bolt", ("min 20",)) for n in range(3, 10)),
        "cupboard 1",
        ("irritant", "skin sensitiser"),
        "2026-03-04",
    ),
    PackTag("0.7", "flange sealant", "50 ml", "2026-11-03", "2027-03-01", hazards=("irritant",)),
    Tag("T04K", "Crankcase half", MACHINE, "Engine", 31, "300 x 180 mm", "9.5 kg", "heavy"),
    ConditionTag("A001N", Condition.CONDEMNED, "Bearing", "pitted", "0.08 mm", "0.05 mm"),
    BatchTicket("W07", "Plater", "zinc", tuple(TicketLine(n, f"M{n} nut") for n in range(1, 7))),
    Flag("L12", "dip", "switch", "lamp", "blue"),
]


def laid(value: LabelValue, stock: str, dpi: int = 0) -> tuple[Laid, Face]:
    sheet = load_stock(stock)
    face = Face(sheet.label_width, sheet.label_height, sheet.safe, sheet.hole, dpi)
    layout = best_for(kind_of(value), face.area.width, face.area.height)
    return lay_out(fields_of(value), layout, face, measure), face


PAIRS = [
    pytest.param(value, stock, id=f"{kind_of(value)}-{stock}")
    for value in VALUES
    for stock in stems("stock")
    if not (isinstance(value, Flag) and load_stock(stock).hole)
]


@pytest.mark.parametrize("stock", [name for name in stems("stock") if load_stock(name).hole])
def test_a_flag_is_not_folded_over_a_hole(stock: str) -> None:
    with pytest.raises(PrintError, match="without a hole"):
        laid(VALUES[-1], stock)


@pytest.mark.parametrize("dpi", [0, 203, 300])
@pytest.mark.parametrize(("value", "stock"), PAIRS)
def test_nothing_overlaps_or_leaves_the_label(value: LabelValue, stock: str, dpi: int) -> None:
    made, face = laid(value, stock, dpi)
    extents = []
    for box in made.boxes:
        assert box.x >= face.safe - 1e-6
        assert box.y >= face.area.y - 1e-6
        assert box.x + box.width <= face.width - face.safe + 1e-6
        assert box.y + box.height <= face.height - face.safe + 1e-6
        quiet = box.quiet if isinstance(box, Code) else 0.0
        extents.append(
            (
                box.x - quiet,
                box.y - quiet,
                box.x + box.width + quiet,
                box.y + box.height + quiet,
                box,
            )
        )
        if isinstance(box, Code) and dpi:
            # a module is a whole number of dots, and stands on one
            dots = box.width / (17 + 4 * box.version) * dpi / 25.4
            assert dots == pytest.approx(round(dots), abs=1e-6)
            assert box.x * dpi / 25.4 == pytest.approx(round(box.x * dpi / 25.4), abs=1e-6)
    for at, a in enumerate(extents):
        for b in extents[at + 1 :]:
            apart = (
                a[2] <= b[0] + 1e-6
                or b[2] <= a[0] + 1e-6
                or a[3] <= b[1] + 1e-6
                or b[3] <= a[1] + 1e-6
            )
            assert apart, (a[4], b[4])


@pytest.mark.slow
@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize(("value", "stock"), PAIRS)
def test_every_code_reads_back(tmp_path: Path, value: LabelValue, stock: str, dpi: int) -> None:
    path = tmp_path / "labels.pdf"
    write_labels([value], path, stock=stock, dpi=dpi)
    for page in pictures(path, dpi):
        found = read_barcodes(page, formats=BarcodeFormat.QRCode)
        assert found
        assert {code.text.split("\n")[0] for code in found} == {value.code}
        assert len(found) >= (2 if isinstance(value, Flag) else 1)


def test_a_long_index_goes_on_on_more_labels(tmp_path: Path) -> None:
    path = tmp_path / "labels.pdf"
    made = write_labels([VALUES[0]], path, stock="a4-65-38.1x21.2")
    text = said(path)
    assert made.labels > 1
    assert made.warnings == ()
    assert f"label1of{made.labels}" in text
    for n in range(1, 9):
        assert text.count(f"A{n:03}N") == 1


def test_spoilt_places_are_skipped_and_copies_counted(tmp_path: Path) -> None:
    path = tmp_path / "labels.pdf"
    made = write_labels([bag()], path, start=20, skip={21, 22}, copies=3)
    assert (made.sheets, made.labels) == (2, 3)
    sheet = load_stock("a4-21-63.5x38.1")
    pages = words(path)
    assert all(word["y0"] >= sheet.top + 6 * sheet.down for word in pages[0])
    # place 22 is the first of the second sheet, so the labels are at 20, 23 and 24
    assert min(word["x0"] for word in pages[1]) > sheet.left + sheet.across


def test_an_offset_moves_all_printing(tmp_path: Path) -> None:
    one, two = tmp_path / "one.pdf", tmp_path / "two.pdf"
    write_labels([bag()], one)
    write_labels([bag()], two, dx_mm=1.5, dy_mm=-0.75)
    for a, b in zip(words(one)[0], words(two)[0], strict=True):
        assert b["x0"] - a["x0"] == pytest.approx(1.5, abs=0.05)
        assert b["y0"] - a["y0"] == pytest.approx(-0.75, abs=0.05)


def test_the_alignment_sheet_has_a_cross_at_each_corner(tmp_path: Path) -> None:
    import pdfplumber

    path = tmp_path / "align.pdf"
    write_alignment(path)
    sheet = load_stock("a4-21-63.5x38.1")
    with pdfplumber.open(path) as document:
        bars = [
            (round(float(r["x0"]) * MM + 1.5, 1), round(float(r["top"]) * MM, 1))
            for r in document.pages[0].rects
            if abs(float(r["width"]) * MM - 3) < 0.01 and float(r["height"]) * MM < 0.11
        ]
    for spot in sheet.spots(21):
        for x in (spot.x, spot.x + 63.5):
            for y in (spot.y, spot.y + 38.1):
                assert any(abs(x - a) < 0.11 and abs(y - b) < 0.11 for a, b in bars)


STOCKS = sorted(path.stem for path in (folder("label_templates") / "stock").glob("*.toml"))
STEPS = ["Print it at 100 %, on plain paper. " * 2, "Read the figure on the edge. " * 4, "Type:"]


def figure_at(page: Sequence[Box], edge: tuple[float, float], *, level: bool) -> float:
    """Read a scale as a person does: the figure of the marks nearest to a label's edge."""
    x, y = edge
    figures = [
        box
        for box in page
        if isinstance(box, Text) and re.fullmatch(r"[+-]\d+|0", box.text) and box.size > 7
    ]
    if level:
        near = [box for box in figures if 0 < box.y - y < 9 and abs(box.x + box.width / 2 - x) < 7]
        marks = sorted((box.x + box.width / 2, float(box.text)) for box in near)
        where = x
    else:
        near = [box for box in figures if 0 < box.x - x < 14 and abs(box.y + 1.3 - y) < 7]
        marks = sorted((box.y + box.height / 2, float(box.text)) for box in near)
        where = y
    (one, low), (two, high) = marks[0], marks[-1]
    return low + (where - one) * (high - low) / (two - one)


@pytest.mark.parametrize(("right", "down"), [(0.0, 0.0), (1.5, -0.75), (-2.0, 2.5)])
@pytest.mark.parametrize("known", [(0.0, 0.0), (1.0, -0.5), (-1.3, 0.8)])
def test_what_the_scales_say_is_how_far_the_printer_is_out(
    right: float, down: float, known: tuple[float, float]
) -> None:
    """A printer that prints so far to the right and so far down, ``known`` of it on record, which
    moves the sheet the other way. A scale must then say all of it, at each of the four edges."""
    stock = load_stock("a4-21-63.5x38.1")
    (page,) = layout_alignment(stock, measure, STEPS, "x", -known[0], -known[1])
    printed = [moved(box, right, down) for box in page]
    first, *_, last = stock.spots(stock.per_sheet)
    wide, high = stock.label_width, stock.label_height
    shift = (right - known[0], down - known[1])
    for x, y in ((first.x, first.y + high * 0.3), (last.x + wide, last.y + high * 0.3)):
        said = figure_at(printed, (x, y + shift[1]), level=True)
        assert said == pytest.approx(right, abs=0.05)
    for x, y in ((first.x + wide * 0.65, first.y), (last.x + wide * 0.22, last.y + high)):
        said = figure_at(printed, (x + shift[0], y), level=False)
        assert said == pytest.approx(down, abs=0.05)


@pytest.mark.parametrize("name", STOCKS)
@pytest.mark.parametrize("shift", [(0.0, 0.0), (1.3, -0.7)])
def test_the_alignment_sheet_can_be_read_on_every_stock(
    name: str, shift: tuple[float, float]
) -> None:
    """Every step stands on it, none over another or over a scale, in 7 points and more."""
    stock = load_stock(name)
    pages = layout_alignment(stock, measure, STEPS, "stores record printer NAME", *shift)
    for page in pages:
        texts = [box for box in page if isinstance(box, Text)]
        for box in texts:
            assert box.size >= 7 or stock.label_width < 40, box
            assert 0 <= box.x <= box.x + box.width <= stock.sheet_width
            assert 0 <= box.y <= box.y + box.height <= stock.sheet_height
            assert not box.lost
        for one, other in combinations(texts, 2):
            over = (
                min(one.x + one.width, other.x + other.width) - max(one.x, other.x) > 0.01
                and min(one.y + one.height, other.y + other.height) - max(one.y, other.y) > 0.2
            )
            assert not over, (one.text, other.text)
    words = "".join(
        box.text.replace(" ", "") for page in pages for box in page if isinstance(box, Text)
    )
    for step in (*STEPS, "stores record printer NAME"):
        assert step.replace(" ", "") in words
    assert "RIGHT" in words
    assert "DOWN" in words


def test_a_roll_has_no_places(tmp_path: Path) -> None:
    with pytest.raises(PrintError, match="one label after the other"):
        write_labels([bag()], tmp_path / "x.pdf", stock="roll-51x32", start=2)


TAG = (folder("label_templates") / "layouts" / "tag.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("old", "new", "reason"),
    [
        ('text = "{part}"', 'text = "{prat}"', "has no {prat}"),
        ('kind = "tag"', 'kind = "tug"', "one of"),
        ("size = [44, 8]", "size = [6, 44]", "the largest comes first"),
        ("size = [44, 8]", "size = [44, 2]", "from 5.5"),
        ('cut = "never"\nshare', 'cut = "maybe"\nshare', "one of"),
        ("fill = true", "fil = true", "no such key"),
        ('text = "{code}"', 'text = "{part}"', "must be somewhere"),
    ],
)
def test_a_wrong_layout_is_named(tmp_path: Path, old: str, new: str, reason: str) -> None:
    assert old in TAG
    path = tmp_path / "mine.toml"
    path.write_text(TAG.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(PrintError) as caught:
        load_layout(str(path))
    assert "mine.toml" in str(caught.value)
    assert reason in str(caught.value)


def test_a_persons_own_folder_comes_first(tmp_path: Path) -> None:
    (tmp_path / "stock").mkdir()
    text = (folder("label_templates") / "stock" / "roll-51x32.toml").read_text(encoding="utf-8")
    (tmp_path / "stock" / "roll-51x32.toml").write_text(text.replace("51.0", "52.0"))
    assert load_stock("roll-51x32", tmp_path).label_width == 52
    assert load_stock("roll-51x32").label_width == 51
