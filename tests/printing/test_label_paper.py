"""Any words on any label: read back from the PDF by pdfplumber, the ink of each letter by FreeType.

Every layout on every stock that has room for it. Words are Latin, Greek, Cyrillic, and scripts
that the font lacks.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import pdfplumber
import pypdfium2
import pytest
import zxingcpp
from conftest import examples
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import ImageFont
from printing_builder import bag, item, step
from printing_reading import MM

from stores.bagcode import nth
from stores.errors import PrintError
from stores.model.labels import (
    Bag,
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
from stores.printing.boxes import READ_SIZE, Code
from stores.printing.draw import measure
from stores.printing.label_layout import Face, lay_out
from stores.printing.label_values import fields_of
from stores.printing.labels import write_labels
from stores.printing.templates import (
    LabelStock,
    Layout,
    layout_names,
    load_layout,
    load_stock,
    stems,
)

LETTERS = "abcdefghij ABCDQJ 0123456789 /-,.() äöüßéç αβγδΩ ЖИКЛщ"
MISSING = "垫圈א🔩"
"""CJK, Hebrew, an emoji: the font has none of them."""


BEARING = 0.045
"""Of the size of type: what the ink of a letter may hang out beside where it is set."""


def phrases(most: int, letters: str = LETTERS) -> st.SearchStrategy[str]:
    text = st.text(st.sampled_from(letters), min_size=1, max_size=most)
    return text.map(lambda said: " ".join(said.split())).filter(bool)


def counts() -> st.SearchStrategy[int]:
    return st.integers(1, 9999)


def values(kind: str, most: int, letters: str = LETTERS) -> st.SearchStrategy[LabelValue]:
    """A value for a label of this kind, with texts of up to so many letters."""
    made = of_stock if kind in ("place", "pack") else of_machine
    return made(kind, most, letters)


@st.composite
def of_stock(draw: st.DrawFn, kind: str, most: int, letters: str) -> LabelValue:
    """A drawer with sizes in it, or one thing in stock."""

    def perhaps() -> str:
        return draw(st.just("") | phrases(most, letters))

    hazards = tuple(draw(st.lists(phrases(most, letters), max_size=3)))
    if kind == "place":
        threads = st.sampled_from(["", "M6", "M12 x 1.25", "1/4 BSF", "2BA", "#10-32 UNF"])
        sizes = tuple(
            SizeLine(
                draw(threads),
                draw(phrases(most, letters)),
                tuple(filter(None, (perhaps(), perhaps()))),
            )
            for _ in range(draw(st.integers(1, 12)))
        )
        code = nth(draw(st.integers(0, 400_000)))
        return StockPlace(code, sizes, perhaps(), hazards, "2026-03-04")
    opened, use_by = draw(
        st.sampled_from([("", ""), ("2026-03-04", ""), ("2026-03-04", "2027-01-31")])
    )
    return PackTag(
        "0.17", draw(phrases(most, letters)), "50 ml", opened, use_by, perhaps(), perhaps(),
        perhaps(), perhaps(), perhaps(), hazards,
    )  # fmt: skip


@st.composite
def of_machine(draw: st.DrawFn, kind: str, most: int, letters: str) -> LabelValue:
    """What is of a machine or goes out from it."""

    def said() -> str:
        return draw(phrases(most, letters))

    def perhaps() -> str:
        return draw(st.just("") | phrases(most, letters))

    code = nth(draw(st.integers(0, 400_000)))
    lines = draw(st.integers(1, 12))
    match kind:
        case "bag":
            steps = [step(at, said(), machine=said(), assembly=said()) for at in (7, 8, 9)]
            condition = st.sampled_from(list(Condition))
            return bag(
                code,
                *(
                    item(
                        at,
                        said(),
                        draw(counts()),
                        off=draw(st.sampled_from(steps)),
                        position=perhaps(),
                        condition=draw(condition),
                    )
                    for at in range(1, lines + 1)
                ),
            )
        case "box":
            bags = tuple(BoxLine(nth(at), said(), draw(counts())) for at in range(lines))
            return BoxIndex(code, bags, perhaps(), perhaps(), "2026-03-04")
        case "tag":
            return Tag(code, said(), said(), said(), 31, perhaps(), perhaps(), note=perhaps())
        case "condition":
            state = draw(st.sampled_from([each for each in Condition if each != "as removed"]))
            measured = draw(st.sampled_from(["", "0.08 mm", "71.23 mm"]))
            return ConditionTag(code, state, said(), perhaps(), measured, "", said(), "2026-03-04")
        case "batch":
            out = tuple(TicketLine(draw(counts()), said(), "7.1") for _ in range(lines))
            return BatchTicket(code, said(), said(), out, perhaps(), "2026-03-04", "2026-04-01")
        case _:
            around = draw(st.sampled_from([0.0, 3.0, 6.0]))
            return Flag(code, said(), said(), said(), perhaps(), perhaps(), around=around)


def pairs() -> Iterator[tuple[str, str]]:
    for layout in map(load_layout, layout_names()):
        for stock in map(load_stock, stems("stock")):
            area = Face(stock.label_width, tall(stock), stock.safe, stock.hole).area
            room = layout.room[0] <= area.width and layout.room[1] <= area.height
            if room and not (layout.fold and stock.hole):
                yield layout.name, stock.name


def a_third_at_once(paired: Iterator[tuple[str, str]]) -> list[Any]:
    """Leave each layout on every third of its stocks in the ordinary run, the next layout on the
    next; each stock is there then."""
    stocks: dict[str, list[str]] = {}
    for layout, stock in paired:
        stocks.setdefault(layout, []).append(stock)
    return [
        pytest.param(
            layout,
            stock,
            marks=[] if (at - number) % 3 == 0 or len(names) < 3 else [pytest.mark.slow],
        )
        for number, (layout, names) in enumerate(stocks.items())
        for at, stock in enumerate(names)
    ]


def tall(stock: LabelStock) -> float:
    return stock.longest or stock.label_height


@dataclass(frozen=True, slots=True)
class Letter:
    """The ink of one letter in mm from the label's corner, and the line that it stands on."""

    text: str
    x0: float
    y0: float
    x1: float
    y1: float
    line: float
    bearing: float
    size: float


@cache
def ink(letter: str, bold: bool) -> tuple[float, float, float, float]:
    """Ink of a letter of one em, from its origin, down positive. By FreeType."""
    name = f"DejaVuSansCondensed{'-Bold' if bold else ''}.ttf"
    font = ImageFont.truetype(str(files("stores.printing") / "fonts" / name), 1000)
    x0, y0, x1, y1 = font.getbbox(letter, anchor="ls")
    return x0 / 1000, y0 / 1000, x1 / 1000, y1 / 1000


def letters_of(path: Path, sheet: LabelStock) -> list[tuple[float, list[Letter]]]:
    """Give each label's height and letters; each stands at the first free place of its sheet."""
    made = []
    with pdfplumber.open(path) as document:
        for page in document.pages:
            found = []
            for char in page.chars:
                if not char["text"].strip():
                    continue
                size = char["matrix"][0] * char["size"] if char["matrix"][0] != 1 else char["size"]
                x = char["matrix"][4] * MM
                y = (float(page.height) - char["matrix"][5]) * MM
                x0, y0, x1, y1 = (each * size * MM for each in ink(char["text"], "Bold" in char["fontname"]))  # fmt: skip  # noqa: E501
                found.append(
                    Letter(
                        char["text"],
                        x + x0,
                        y + y0,
                        x + x1,
                        y + y1,
                        round(y, 2),
                        BEARING * size * MM,
                        size,
                    )
                )
            made.append((float(page.height) * MM, found))
    return made


def check_paper(path: Path, sheet: LabelStock) -> list[str]:
    """Check the ink of each label and give its words, without spaces."""
    said = []
    for height, found in letters_of(path, sheet):
        spots = [(0.0, 0.0)]
        edge = height if sheet.cut else sheet.label_height
        if sheet.kind == "sheet":
            spots = [(spot.x, spot.y) for spot in sheet.spots(sheet.per_sheet)]
        placed = 0
        for left, top in spots:
            mine = [
                each
                for each in found
                if left <= each.x0 <= left + sheet.label_width and top <= each.y0 <= top + edge
            ]
            placed += len(mine)
            if not mine:
                continue
            for each in mine:
                assert each.x0 >= left + sheet.safe - each.bearing - 0.02, each
                right = left + sheet.label_width - sheet.safe
                assert each.x1 <= right + each.bearing + 0.02, each
                assert each.y0 >= top + sheet.safe - 0.05, each
                assert each.y1 <= top + edge - sheet.safe + 0.05, each
                if sheet.hole:
                    assert each.y0 >= sheet.hole.y + sheet.hole.radius_kept - 0.05
                assert each.size >= READ_SIZE - 0.01, each
            check_lines(mine)
            said.append("".join(each.text for each in mine))
        assert placed == len(found)
    return said


def check_lines(mine: list[Letter]) -> None:
    """No letter's ink touches that of a letter on another line."""
    lines: dict[float, list[Letter]] = {}
    for each in mine:
        lines.setdefault(each.line, []).append(each)
    order = sorted(lines)
    for at, one in enumerate(order):
        for other in order[at + 1 : at + 4]:
            for a in lines[one]:
                for b in lines[other]:
                    apart = a.x1 <= b.x0 or b.x1 <= a.x0 or a.y1 <= b.y0 + 0.02
                    assert apart, (a, b)


def counted(count: int, what: str, text: str) -> bool:
    """Whether a count with what it counts stands in a text without spaces; of a list in which
    something begins with a figure each count has "off" behind it."""
    what = what.replace(" ", "")
    return f"{count}off{what}" in text or (not what[0].isdigit() and f"{count}{what}" in text)


def check_stock(value: StockPlace | PackTag, text: str, warned: str) -> None:
    """All sizes of a drawer, the day and the caution of a pack; what has no room is said."""
    if isinstance(value, StockPlace):
        for one in value.lines:
            assert f"{one.first}{one.what}".replace(" ", "") in text
    else:
        assert value.name.replace(" ", "") in text or "the name" in warned
        assert not value.use_by or "useby31Jan2027" in text
    whole = "; ".join(value.hazards).replace(" ", "")
    assert not value.hazards or whole in text or "readthepack" in text or "the hazard" in warned


@pytest.mark.parametrize(("layout", "stock"), a_third_at_once(pairs()))
@settings(max_examples=examples(2, 3), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_ordinary_words_stand_on_every_label(
    tmp_path_factory: pytest.TempPathFactory, layout: str, stock: str, data: st.DataObject
) -> None:
    """Ink within the label, off other words; codes, counts, sizes whole. Lines of a ticket are
    counted only on a label as large as a stamp, on which not one of them has room."""
    kind, sheet = load_layout(layout).kind, load_stock(stock)
    value = data.draw(values(kind, 24))
    path = tmp_path_factory.mktemp("labels") / "labels.pdf"
    made = write_labels([value], path, layout=layout, stock=stock)
    said = check_paper(path, sheet)
    assert len(said) == made.labels
    for label in said:
        assert value.code in label
    text = "".join(said)
    warned = " ".join(made.warnings)
    match value:
        case Bag():
            unfit = any(each in text for each in ("CONDEMNED", "QUARANTINE"))
            # where lines are counted; what must not be fitted comes before it
            assert f"{value.pieces}piece" in text or unfit or "lines only" not in warned
            for content in value.contents:
                said_of_it = counted(content.quantity, content.item.as_found.text, text)
                assert said_of_it or "lines only" in warned
        case BoxIndex():
            for line in value.bags:
                assert text.count(f"{line.code}{line.what.replace(' ', '')}") >= 1
            assert f"{sum(line.pieces for line in value.bags)}piece" in text
        case StockPlace() | PackTag():
            check_stock(value, text, warned)
        case BatchTicket():
            for out in value.lines:
                assert counted(out.quantity, out.what, text) or "lines only" in warned
            assert sheet.label_height < 22 or "lines only" not in warned
            assert f"{sum(out.quantity for out in value.lines)}piece" in text
        case ConditionTag():
            assert value.condition.value.upper() in text
            assert value.measured.replace(" ", "") in text
        case Flag():
            assert text.count(value.code) == 2
        case Tag():
            assert value.part.replace(" ", "") in text or "the part" in warned


VALUES: dict[str, LabelValue] = {
    "bag": bag("A003J", item(1), item(2, "M8 nut", 3)),
    "box": BoxIndex("box 3", (BoxLine("A001N", "7 Clutch cover", 6),), "shelf 2"),
    "place": StockPlace(
        "drawer 3", (SizeLine("M6", "x 16, 25 hex bolt"), SizeLine("M6", "nut", ("min 50",)))
    ),
    "pack": PackTag("0.7", "flange sealant", "50 ml", "2026-11-03", "2027-03-01"),
    "tag": Tag("7.1", "Crankcase half", "Orrick Plover", "Engine", 31),
    "condition": ConditionTag("7.2", Condition.REPAIRABLE, "Bush", "worn", "0.08 mm", "0.05 mm"),
    "batch": BatchTicket("batch 4", "Platers", "zinc", (TicketLine(4, "M6 nut", "7.1"),)),
    "flag": Flag("W7", "green", "dynamo", "lamp", around=4.0),
}


@pytest.mark.parametrize(("layout", "stock"), list(pairs()))
def test_no_type_is_smaller_than_is_read_at_a_bench(
    tmp_path: Path, layout: str, stock: str
) -> None:
    """8 points on every kind of label and every stock, read from the file."""
    path = tmp_path / "labels.pdf"
    write_labels([VALUES[load_layout(layout).kind]], path, layout=layout, stock=stock)
    with pdfplumber.open(path) as document:
        sizes = {round(char["size"], 2) for page in document.pages for char in page.chars}
    assert min(sizes) >= READ_SIZE - 0.01


@pytest.mark.slow
@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize(("layout", "stock"), list(pairs()))
def test_every_code_of_every_layout_reads_back(
    tmp_path: Path, layout: str, stock: str, dpi: int
) -> None:
    """By zxing-cpp, from the label alone as a printer of such dots has it."""
    value = VALUES[load_layout(layout).kind]
    path = tmp_path / "labels.pdf"
    write_labels([value], path, layout=layout, stock=stock, dpi=dpi)
    sheet = load_stock(stock)
    page = pypdfium2.PdfDocument(path)[0]
    wide, high = page.get_size()
    left, top = (sheet.left / MM, sheet.top / MM) if sheet.kind == "sheet" else (0.0, 0.0)
    right = left + sheet.label_width / MM
    bottom = high if sheet.cut else top + sheet.label_height / MM
    crop = (left, max(0.0, high - bottom), max(0.0, wide - right), top)
    picture = page.render(scale=dpi / 72, crop=crop).to_pil().convert("L")
    found = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)
    drawn = lay_out(
        fields_of(value),
        load_layout(layout),
        Face(sheet.label_width, bottom * MM - top * MM, sheet.safe, sheet.hole, dpi),
        measure,
    )
    assert len(found) == sum(isinstance(box, Code) for box in drawn.boxes)
    assert {code.text.split("\n")[0] for code in found} == {value.code}


@pytest.mark.parametrize("stock", ["a4-65-38.1x21.2", "a4-21-63.5x38.1", "roll-51x32", "roll-57"])
@pytest.mark.parametrize(
    "kind", ["bag", "box", "place", "pack", "tag", "condition", "batch", "flag"]
)
@settings(max_examples=examples(2, 3), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_what_the_font_lacks_is_replaced_and_said(
    tmp_path_factory: pytest.TempPathFactory, kind: str, stock: str, data: st.DataObject
) -> None:
    sheet = load_stock(stock)
    value = data.draw(values(kind, 12, "abc 012" + MISSING))
    path = tmp_path_factory.mktemp("labels") / "labels.pdf"
    made = write_labels([value], path, stock=stock)
    text = "".join(check_paper(path, sheet))
    assert not set(text) & set(MISSING)
    boxes = [letter for letter in text if letter == "□"]
    warned = " ".join(made.warnings)
    assert bool(boxes) == ("U+" in warned)


@pytest.mark.parametrize("layout", layout_names())
@settings(max_examples=examples(2, 12), deadline=None)
@given(data=st.data())
def test_very_long_words_are_cut_or_refused_in_one_line(layout: str, data: st.DataObject) -> None:
    """Up to 200 letters, on each size; by the boxes with the real font's measure."""
    chosen: Layout = load_layout(layout)
    stock = data.draw(st.sampled_from([each for name, each in pairs() if name == layout]))
    sheet = load_stock(stock)
    value = data.draw(values(chosen.kind, 200))
    face = Face(sheet.label_width, tall(sheet), sheet.safe, sheet.hole, data.draw(DPI))
    try:
        made = lay_out(fields_of(value), chosen, face, measure)
    except PrintError as error:
        # what is never cut: a measured size, a caution; not one of these values has such a text
        pytest.fail(f"refused: {error}")
    extents = []
    for box in made.boxes:
        quiet = box.quiet if isinstance(box, Code) else 0.0
        assert box.x >= face.safe - 1e-6
        assert box.x + box.width <= face.width - face.safe + 1e-6
        assert box.y >= face.area.y - 1e-6
        assert box.y + box.height <= face.height - face.safe + 1e-6
        right, bottom = box.x + box.width + quiet, box.y + box.height + quiet
        extents.append((box.x - quiet, box.y - quiet, right, bottom))
    for at, a in enumerate(extents):
        for b in extents[at + 1 :]:
            across = a[2] <= b[0] + 1e-6 or b[2] <= a[0] + 1e-6
            down = a[3] <= b[1] + 1e-6 or b[3] <= a[1] + 1e-6
            assert across or down


DPI = st.sampled_from([0, 203, 300])
