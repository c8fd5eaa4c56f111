"""Bag labels: laid out, drawn, and read back."""

import re
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ImageFont
from printing_builder import MACHINE, Condition, bag, item, step
from printing_reading import MM, pictures, read_codes, said, words

from stores.bagcode import nth
from stores.errors import PrintError
from stores.model.items import Description
from stores.model.labels import Bag, BatchTicket, Content, TicketLine
from stores.printing.boxes import READ_SIZE, Box, Code, Measure, Text, text_at
from stores.printing.draw import measure
from stores.printing.label_layout import Face, lay_out
from stores.printing.label_values import fields_of
from stores.printing.labels import label_pages, write_labels
from stores.printing.templates import best_for, load_layout, load_stock, stems

SIZES = [
    (load_stock(n).label_width, load_stock(n).label_height, load_stock(n).safe)
    for n in stems("stock")
    if load_stock(n).hole is None and not load_stock(n).cut
]

SHEETS = [n for n in stems("stock") if load_stock(n).kind == "sheet"]
PAPER = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}


def usual(count: int = 24) -> list[Bag]:
    """Bags as a strip-down fills them: one to nine lines, with and without position."""
    sizes = [
        "M6 x 25 hex bolt",
        "M6 plain washer",
        "1/4-26 BSF x 1 1/2 in hex bolt",
        "paper gasket",
    ]
    parts = ["Clutch cover", "Front brake plate", "Magneto end cap", "Selector fork spindle"]
    paths = [
        "Engine / Clutch",
        "Cycle parts / Front wheel",
        "Electrics",
        "Engine / Gearbox / Selector",
    ]
    return [
        bag(
            nth(at),
            *(
                item(
                    line,
                    sizes[(at + line) % 4],
                    line + at % 7,
                    off=step(at + 1, parts[at % 4], assembly=paths[at % 4]),
                    position=f"hole {line}" if at % 3 == 0 else "",
                    condition=Condition.SERVICEABLE if at % 5 == 0 else Condition.AS_REMOVED,
                )
                for line in range(1, 2 + at % 9)
            ),
        )
        for at in range(count)
    ]


# --- the layout, by itself ---


def layout_bag_label(
    filled: Bag, width: float, height: float, measure: Measure, safe: float = 2.0
) -> tuple[Box, ...]:
    """The label in the layout that is chosen for such a size."""
    face = Face(width, height, safe)
    layout = best_for("bag", face.area.width, face.area.height)
    return lay_out(fields_of(filled), layout, face, measure).boxes


def extent(box: Box) -> tuple[float, float, float, float]:
    quiet = box.quiet if isinstance(box, Code) else 0.0
    return (
        box.x - quiet,
        box.y - quiet,
        box.x + box.width + quiet,
        box.y + box.height + quiet,
    )


def check_layout(boxes: tuple[Box, ...], width: float, height: float, safe: float) -> None:
    slack = 1e-6
    for box in boxes:
        assert box.x >= safe - slack, box
        assert box.y >= safe - slack, box
        assert box.x + box.width <= width - safe + slack, box
        assert box.y + box.height <= height - safe + slack, box
        x0, y0, x1, y1 = extent(box)
        assert min(x0, y0) >= -slack
        assert x1 <= width + slack
        assert y1 <= height + slack
        if isinstance(box, Text):
            assert box.size >= READ_SIZE
            assert box.width == pytest.approx(measure(box.text, box.bold, box.size))
    for at, one in enumerate(boxes):
        for other in boxes[at + 1 :]:
            a, b = extent(one), extent(other)
            apart = (
                a[2] <= b[0] + slack
                or b[2] <= a[0] + slack
                or a[3] <= b[1] + slack
                or b[3] <= a[1] + slack
            )
            assert apart, (one, other)


PHRASE = st.text(
    st.characters(exclude_categories=["Cs"]) | st.sampled_from("ABCabc 0123 / ×½"), max_size=80
)
LONG = PHRASE | st.integers(1, 40).map(lambda n: "Selector fork spindle " * n) | st.just("W" * 200)


@st.composite
def any_bag(draw: st.DrawFn) -> Bag:
    code = draw(st.integers(0, 400_000).map(nth))
    steps = draw(
        st.lists(
            st.builds(
                step,
                st.integers(0, 99_999),
                LONG,
                machine=LONG,
                assembly=LONG,
                date=st.sampled_from(["2026-03-04", "2025-12-31", ""]),
            ),
            min_size=1,
            max_size=4,
            unique_by=lambda s: s.number,
        )
    )
    contents = draw(
        st.lists(
            st.builds(
                lambda text, count, off, position, condition: Content(
                    item(1, text, count, off=off, position=position), count, condition
                ),
                LONG,
                st.integers(1, 1_000_000),
                st.sampled_from(steps),
                PHRASE,
                st.sampled_from(list(Condition)),
            ),
            min_size=1,
            max_size=30,
        )
    )
    return Bag(code, tuple(contents))


@settings(max_examples=150, deadline=None)
@given(any_bag(), st.sampled_from(SIZES))
def test_nothing_overlaps_or_leaves_the_label(
    filled: Bag, size: tuple[float, float, float]
) -> None:
    width, height, safe = size
    boxes = layout_bag_label(filled, width, height, measure, safe)
    check_layout(boxes, width, height, safe)
    texts = [box for box in boxes if isinstance(box, Text)]
    code = [box for box in texts if box.text == filled.code]
    large, *small = sorted(code, key=lambda box: -box.size)
    assert large.size >= 11  # capitals 2.9 mm high
    assert len(small) == (0 if min(width, height) < 38 else 1)
    drawn = [box for box in boxes if isinstance(box, Code)]
    assert len(drawn) in (1, 2)
    assert all(each.payload.split("\n")[0] == filled.code for each in drawn)
    assert [each.payload for each in drawn[1:]] in ([], [filled.code])


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 30), st.integers(1, 120), st.sampled_from(SIZES))
def test_contents_are_shown_whole_or_counted(
    lines: int, length: int, size: tuple[float, float, float]
) -> None:
    """A size that is cut is another size: every line is whole, or counted as missing."""
    width, height, safe = size
    what = [f"M{line} x {length} {'long ' * (length // 8)}bolt" for line in range(1, lines + 1)]
    filled = bag("A001N", *(item(at, text, at) for at, text in enumerate(what, 1)))
    texts = [
        box
        for box in layout_bag_label(filled, width, height, measure, safe)
        if isinstance(box, Text)
    ]
    said_ = " ".join(box.text for box in texts)
    shown = [at for at, text in enumerate(what, 1) if f"{at} {text}" in said_]
    assert shown == list(range(1, len(shown) + 1))
    rest = lines - len(shown)
    if rest:
        assert f"+ {rest} more" in said_
        assert any(f"room for {len(shown)} of {lines} lines" in box.lost for box in texts)
    else:
        assert " more" not in said_
    # where lines are counted, how many pieces there are is said
    assert not rest or f"{filled.pieces} piece" in said_


@pytest.mark.parametrize(("width", "height", "safe"), [(20.0, 20.0, 2.0), (100.0, 10.0, 1.0)])
def test_a_label_too_small_is_refused(width: float, height: float, safe: float) -> None:
    with pytest.raises(PrintError, match="too small"):
        layout_bag_label(bag(), width, height, measure, safe)


def test_different_conditions_are_told_apart_line_by_line() -> None:
    filled = bag("A001N", item(1), item(2, "M6 nut", 2, condition=Condition.CONDEMNED))
    said_ = " ".join(
        box.text for box in layout_bag_label(filled, 63.5, 38.1, measure) if isinstance(box, Text)
    )
    assert "M6 nut (CONDEMNED)" in said_
    assert "M6 x 25 hex bolt" in said_
    assert "as removed" not in said_


@pytest.mark.parametrize("letter", sorted({char for at in range(9000) for char in nth(at)}))
def test_no_letter_of_a_code_leaves_its_box(letter: str) -> None:
    """Measured on the glyphs by FreeType: a J hangs below the line."""
    name = "DejaVuSansCondensed-Bold.ttf"
    font = ImageFont.truetype(str(files("stores.printing") / "fonts" / name), 1000)
    _, top, _, bottom = font.getbbox(letter, anchor="ls")
    box = text_at(0, 0, letter, 1000 / MM, measure, bold=True, caps=True)
    assert box.baseline >= -top - 1
    assert box.height - box.baseline >= bottom - 1


def test_loose_pieces_belong_to_no_step() -> None:
    boxes = layout_bag_label(bag("A001N", item(off=step(0, ""))), 63.5, 38.1, measure)
    texts = [box.text for box in boxes if isinstance(box, Text)]
    assert "Loose" in texts
    assert not any("tep 0" in text for text in texts)


def test_a_bag_from_several_days_shows_the_first_and_the_last() -> None:
    days = ["2026-03-10", "2025-12-31", "2026-01-01"]
    filled = bag("A001N", *(item(at, off=step(at, date=day)) for at, day in enumerate(days, 1)))
    texts = [
        box.text for box in layout_bag_label(filled, 99.1, 38.1, measure) if isinstance(box, Text)
    ]
    assert "31 Dec 2025 – 10 Mar 2026" in texts


# --- the printed sheet ---

# ISO/IEC 18004:2015, 6.3.3.1: seven modules square, dark, light, dark in the ratio 1:1:3:1:1
FINDER = ["#######", "#.....#", "#.###.#", "#.###.#", "#.###.#", "#.....#", "#######"]


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("stock", stems("stock"))
def test_every_code_reads_back(tmp_path: Path, stock: str, dpi: int) -> None:
    """Codes are read by zxing-cpp from a picture of the label at a printer's resolution."""
    bags = usual()
    path = tmp_path / "labels.pdf"
    write_labels(bags, path, stock=stock)
    sheet = load_stock(stock)
    pages = pictures(path, dpi)
    for filled, spot in zip(bags, sheet.spots(len(bags)), strict=True):
        corner = (spot.x, spot.y, spot.x + sheet.label_width, spot.y + sheet.label_height)
        label = pages[spot.sheet].crop(tuple(round(mm / 25.4 * dpi) for mm in corner))
        boxes = layout_bag_label(filled, sheet.label_width, sheet.label_height, measure, sheet.safe)
        read = read_codes(label)
        if not sheet.cut and sheet.hole is None:
            # on a printer's dots codes are a little smaller, and there may be room for a second
            assert len(read) >= sum(isinstance(box, Code) for box in boxes)
        assert read[1:] in ([], [filled.code])
        lines = read[0].split("\n")
        assert lines[0] == filled.code
        if lines[-1] == "…":
            assert filled.payload.startswith("\n".join(lines[:-1]) + "\n")
        else:
            assert "\n".join(lines) in (filled.payload, filled.code)


@pytest.mark.parametrize("stock", SHEETS)
def test_the_quiet_zone_is_white(tmp_path: Path, stock: str) -> None:
    """Four modules of white around the code: ISO/IEC 18004:2015, 6.3.8."""
    filled = usual(9)[8]
    path = tmp_path / "labels.pdf"
    write_labels([filled], path, stock=stock, start=2)
    (laid,) = label_pages([filled], stock=stock, start=2)
    codes = [box for box in laid.boxes if isinstance(box, Code)]
    assert codes
    page = pictures(path, 600)[0]
    for code in codes:
        _quiet(page, code.x, code.y, code, 600 / 25.4)


def _quiet(page: Any, x: float, y: float, code: Code, dots: float) -> None:
    dark = page.crop(tuple(round(mm * dots) for mm in (x, y, x + code.width, y + code.height)))
    module = code.width * dots / (17 + 4 * code.version)
    # 6.3.3: a finder pattern in every corner but the lower right one; a mirrored code has others
    modules = 17 + 4 * code.version
    for top, left in ((0, 0), (0, modules - 7), (modules - 7, 0)):
        seen = [
            "".join(
                "#" if dark.getpixel((int((left + x + 0.5) * module), row)) < 128 else "."
                for x in range(7)
            )
            for row in (int((top + y + 0.5) * module) for y in range(7))
        ]
        assert seen == FINDER
    whole = page.crop(
        tuple(
            round(mm * dots)
            for mm in (
                x - code.quiet,
                y - code.quiet,
                x + code.width + code.quiet,
                y + code.height + code.quiet,
            )
        )
    )
    ink = whole.point(lambda tone: 255 if tone < 128 else 0).getbbox()
    assert ink is not None
    quiet = [ink[0], ink[1], whole.width - ink[2], whole.height - ink[3]]
    assert all(edge / module == pytest.approx(4, abs=0.2) for edge in quiet)


@pytest.mark.parametrize("stock", [n for n in stems("stock") if not load_stock(n).cut])
def test_labels_lie_where_the_stock_says(tmp_path: Path, stock: str) -> None:
    sheet = load_stock(stock)
    label = (sheet.label_width, sheet.label_height)
    paper = PAPER.get(stock.split("-", maxsplit=1)[0], label)
    path = tmp_path / "labels.pdf"
    made = write_labels(usual(sheet.per_sheet), path, stock=stock, outlines=True)
    assert (made.sheets, made.labels) == (1, sheet.per_sheet)
    with pdfplumber.open(path) as document:
        (page,) = document.pages
        # A4: ISO 216:2007, table 1; US Letter: 8 1/2 x 11 in; else the label itself
        assert float(page.width) * MM == pytest.approx(paper[0], abs=0.05)
        assert float(page.height) * MM == pytest.approx(paper[1], abs=0.05)
        drawn = sorted(
            (round(float(shape["top"]) * MM, 2), round(float(shape["x0"]) * MM, 2))
            for shape in [*page.curves, *page.rects]
            if abs(float(shape["width"]) * MM - sheet.label_width) < 0.05
            and abs(float(shape["height"]) * MM - sheet.label_height) < 0.05
        )
    expected = sorted((spot.y, spot.x) for spot in sheet.spots(sheet.per_sheet))
    assert len(drawn) == sheet.per_sheet
    for (top, left), (y, x) in zip(drawn, expected, strict=True):
        assert top == pytest.approx(y, abs=0.05)
        assert left == pytest.approx(x, abs=0.05)


def test_the_words_of_each_label_stand_on_it(tmp_path: Path) -> None:
    bags = [bag("A001N", item()), bag("A002K", item(1, "M8 nut", 3), item(2, "M8 washer", 4))]
    path = tmp_path / "labels.pdf"
    write_labels(bags, path, start=20)
    sheet = load_stock("a4-21-63.5x38.1")
    on_sheet = words(path)[0]
    placed = 0
    for filled, spot in zip(bags, sheet.spots(2, 20), strict=True):
        mine = [
            word
            for word in on_sheet
            if word["x0"] >= spot.x
            and word["x1"] <= spot.x + sheet.label_width
            and word["y0"] >= spot.y
            and word["y1"] <= spot.y + sheet.label_height
        ]
        placed += len(mine)
        text = " ".join(word["text"] for word in mine)
        assert text.count(filled.code) == 2
        for phrase in (
            *([MACHINE] if filled is bags[0] else []),  # where the contents leave a line
            "Engine / Clutch",
            "Step 7 Clutch cover",
            "4 Mar 2026",
        ):
            assert phrase in text
        for content in filled.contents:
            assert content.text in text
        assert f"{filled.pieces} pieces" in text
    assert placed == len(on_sheet)


def test_a_begun_sheet_is_used_up(tmp_path: Path) -> None:
    path = tmp_path / "labels.pdf"
    made = write_labels(usual(3), path, start=21)
    assert made.sheets == 2
    assert [sum(w["text"].startswith("Step") for w in page) for page in words(path)] == [1, 2]


# Greek, Cyrillic and Central European letters: ISO/IEC 8859-7, 8859-5 and 8859-2 have them
@pytest.mark.parametrize(
    "text",
    ["Κάλυμμα συμπλέκτη", "Крышка сцепления", "Pokrywa sprzęgła łożyska", "Ñandú façade Ø12 ½ µm"],
)
def test_letters_of_other_scripts_are_drawn(tmp_path: Path, text: str) -> None:
    path = tmp_path / "labels.pdf"
    made = write_labels([bag("A001N", item(off=step(part=text)))], path)
    assert made.warnings == ()
    assert text.replace(" ", "") in said(path)


@pytest.mark.parametrize("char", ["垫", "🔩", "ก", "א"])
def test_a_character_that_cannot_be_drawn_is_shown_and_named(tmp_path: Path, char: str) -> None:
    path = tmp_path / "labels.pdf"
    made = write_labels([bag("A001N", item(1, f"M6 {char} washer"))], path)
    (warning,) = made.warnings
    assert f"{char} (U+{ord(char):04X})" in warning
    assert "M6□washer" in said(path)
    assert {text.split("\n")[0] for text in read_codes(pictures(path, 203)[0])} == {"A001N"}


def test_what_was_cut_is_said(tmp_path: Path) -> None:
    many = [item(at, f"M6 x {at} hex bolt", 2, position="upper left") for at in range(1, 31)]
    long = item(off=step(part="Selector fork spindle cover " * 12))
    made = write_labels([bag("A001N", *many), bag("A002K", long)], tmp_path / "labels.pdf")
    lines, cut, *_ = made.warnings
    counts = re.fullmatch(
        r"A001N: room for (\d+) of 30 lines only, not for (.+) and (\d+) more", lines
    )
    assert counts
    shown, named, rest = counts.groups()
    assert int(shown) + len(named.split("; ")) + int(rest) == len(many)
    assert cut == "A002K: cut to fit: the step"


def test_the_same_bags_make_the_same_bytes(tmp_path: Path) -> None:
    one, two = tmp_path / "one.pdf", tmp_path / "two.pdf"
    write_labels(usual(), one)
    write_labels(usual(), two)
    assert one.read_bytes() == two.read_bytes()


def test_the_file_says_what_it_is(tmp_path: Path) -> None:
    path = tmp_path / "labels.pdf"
    write_labels(usual(2), path)
    with pdfplumber.open(path) as document:
        assert document.metadata["Title"] == "2 bag labels"
        assert document.metadata["Author"] == "stores"


def test_progress_is_told_label_by_label(tmp_path: Path) -> None:
    told: list[int] = []
    write_labels(usual(23), tmp_path / "labels.pdf", progress=told.append)
    assert told == list(range(1, 24))


def test_no_bags_make_no_file(tmp_path: Path) -> None:
    with pytest.raises(PrintError, match="no labels"):
        write_labels([], tmp_path / "labels.pdf")
    assert list(tmp_path.iterdir()) == []


def test_two_codes_stand_in_opposite_corners_where_words_leave_room() -> None:
    few = layout_bag_label(bag("A001N", item(1, "M6 x 25 hex bolt")), 63.5, 38.1, measure)
    first, second = [box for box in few if isinstance(box, Code)]
    assert first.payload == second.payload == "A001N"
    assert first.width == pytest.approx(second.width, abs=0.1)
    assert first.x > 63.5 / 2 > second.x + second.width
    assert second.y > first.y + first.height
    many = [item(at, f"M6 x {at} hex bolt", position="upper left") for at in range(1, 6)]
    full = layout_bag_label(bag("A001N", *many), 63.5, 38.1, measure)
    assert not any(isinstance(box, Text) and box.lost for box in full)


def test_a_layout_may_ask_for_the_contents_in_the_first_code() -> None:
    filled = bag("A001N", item(1, "M6 x 25 hex bolt"))
    asks = replace(load_layout("bag"), contents=True)
    boxes = lay_out(fields_of(filled), asks, Face(63.5, 38.1), measure).boxes
    whole, small = [box for box in boxes if isinstance(box, Code)]
    assert (whole.payload, small.payload) == (filled.payload, "A001N")
    assert whole.width > small.width


def test_a_small_label_has_two_codes_where_its_words_leave_room_else_one() -> None:
    off = step(part="loom", assembly="Electrics")
    for lines, codes in ((1, 2), (4, 1)):
        items = [item(at, f"M6 x {at} bolt", off=off) for at in range(1, lines + 1)]
        boxes = layout_bag_label(bag("A001N", *items), 38.1, 21.2, measure)
        said_by = [box.payload for box in boxes if isinstance(box, Code)]
        assert said_by == ["A001N"] * codes


@pytest.mark.parametrize("stock", stems("stock"))
def test_what_is_wrong_or_can_hurt_is_on_every_label(tmp_path: Path, stock: str) -> None:
    """However full the bag: the caution, what is wrong, too few or condemned, and the bag code."""
    off = step(
        part="Selector fork spindle", assembly="Engine / Gearbox", hazard="spring under load"
    )
    other = Description("M8 x 35 hex bolt", "bolt")
    items = [
        *(item(at, f"M6 x {at} countersunk screw", 4, off=off) for at in range(1, 9)),
        item(9, "M8 x 40 hex bolt", 1, off=off, as_specified=other),
        item(10, "1/4 BSF nut", 3, off=off, wanted=4, found=3),
        item(11, "bush", 1, off=off, condition=Condition.CONDEMNED),
    ]
    made = write_labels([bag("A001N", *items)], tmp_path / "labels.pdf", stock=stock)
    text = said(tmp_path / "labels.pdf")
    assert "A001N" in text
    for word in ("CAUTION", "WRONG", "3of4", "CONDEMNED"):
        assert word in text
    if "+" in text:
        assert any("lines only, not for" in warning for warning in made.warnings)
        assert any("Take a larger label" in warning for warning in made.warnings)


def test_the_stock_that_would_do_loses_nothing(tmp_path: Path) -> None:
    """It is tried: what is named says every line, and no smaller sheet does."""
    items = [item(at, f"M6 x {at} countersunk screw", 4) for at in range(1, 7)]
    small = write_labels([bag("A001N", *items)], tmp_path / "a.pdf", stock="a4-65-38.1x21.2")
    advice = small.warnings[-1]
    named = advice.removeprefix("Take a larger label: nothing is left out on ").split(" or ")
    assert named != [advice]
    for stock in named:
        path = tmp_path / f"{stock}.pdf"
        assert not any(
            "only" in each
            for each in write_labels([bag("A001N", *items)], path, stock=stock).warnings
        )
        text = said(path)
        assert all(f"M6x{at}countersunkscrew" in text for at in range(1, 7))


def test_a_ticket_too_long_for_its_label_counts_the_rest(tmp_path: Path) -> None:
    """It says how many pieces the firm has, of whom, and what would hold it all."""
    lines = tuple(
        TicketLine(
            each,
            f"special long shouldered bolt {each}, castellated, for the selector mechanism cover",
            f"7.{each}",
        )
        for each in range(1, 10)
    )
    ticket = BatchTicket("batch 4", "Vale Plating", "bright zinc plate, bake", lines)
    made = write_labels([ticket], tmp_path / "a.pdf", stock="a4-65-38.1x21.2")
    assert made.labels == 1
    text = said(tmp_path / "a.pdf")
    assert all(each in text for each in ("batch4", "45pieces", "ValePlating", "more"))
    assert any("of 9 lines only" in each for each in made.warnings)
    named = made.warnings[-1].removeprefix("Take a larger label: nothing is left out on ")
    for stock in named.split(" or "):
        write_labels([ticket], tmp_path / "b.pdf", stock=stock)
        large = said(tmp_path / "b.pdf")
        assert all(f"speciallongshoulderedbolt{each},castellated" in large for each in range(1, 10))
