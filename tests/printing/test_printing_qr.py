"""QR codes against ISO/IEC 18004 and a reference library."""

import math
import random

import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from qrcode import QRCode, constants
from qrcode.util import BIT_LIMIT_TABLE, MODE_8BIT_BYTE, QRData, lost_point

from stores.bagcode import nth
from stores.errors import PrintError
from stores.printing.boxes import Code
from stores.printing.label_layout import on_dots
from stores.printing.qr import (
    BYTES,
    MIN_MODULE,
    best_design,
    code_box,
    penalty,
    runs,
    side,
    snapped,
    symbol,
)

# ISO/IEC 18004:2015, table 7, byte mode, as it is printed in the standard (from memory); the
# second test compares the whole table with the qrcode library's own.
PRINTED = [(1, "L", 17), (1, "H", 7), (2, "M", 26), (5, "Q", 60), (7, "L", 154), (10, "M", 213)]


@pytest.mark.parametrize(("version", "level", "most"), PRINTED)
def test_capacities_are_the_standards(version: int, level: str, most: int) -> None:
    assert BYTES[version]["LMQH".index(level)] == most


@pytest.mark.parametrize("version", list(BYTES))
def test_capacities_agree_with_the_library(version: int) -> None:
    """Data bits less 4 of mode and 8 (16 from version 10) of count: ISO/IEC 18004:2015, 7.4.5."""
    count_bits = 16 if version >= 10 else 8
    for at, level in enumerate("LMQH"):
        limit = BIT_LIMIT_TABLE[getattr(constants, f"ERROR_CORRECT_{level}")][version]
        assert BYTES[version][at] == (limit - 4 - count_bits) // 8


@given(
    st.lists(st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=60), max_size=20),
    st.floats(8.0, 24.0),
)
def test_the_code_comes_first_and_modules_are_never_too_small(
    lines: list[str], room: float
) -> None:
    box = code_box("\n".join(["A001N", *lines]), room)
    said = box.payload.split("\n")
    assert said[0] == "A001N"
    assert said == ["A001N", *lines] or said[-1] == "…" or said == ["A001N"]
    assert box.width <= room + 1e-9
    module = box.width / side(box.version)
    # three dots of a 203 dpi printer to a module
    assert module >= 3 * 25.4 / 203
    assert module >= MIN_MODULE - 1e-9
    # 6.3.8: the quiet zone is four modules wide
    assert box.quiet == pytest.approx(4 * module)
    assert len(box.payload.encode()) <= BYTES[box.version]["LMQH".index(box.level)]


def test_no_room_is_refused() -> None:
    with pytest.raises(PrintError, match="no room"):
        code_box("A001N", 5.0)


def test_runs_are_the_dark_modules() -> None:
    """The three finder patterns of ISO/IEC 18004:2015, 6.3.3.1: 7 dark, 1-5-1, 1-1-3-1-1 ..."""
    box = code_box("A001N", 12.0)
    modules = side(box.version)
    dark = {(row, column + at) for row, column, length in runs(box) for at in range(length)}
    finder = ["#######", "#.....#", "#.###.#", "#.###.#", "#.###.#", "#.....#", "#######"]
    for top, left in ((0, 0), (0, modules - 7), (modules - 7, 0)):
        seen = [
            "".join("#" if (top + y, left + x) in dark else "." for x in range(7)) for y in range(7)
        ]
        assert seen == finder


def text_of(length: int) -> str:
    chance = random.Random(length)
    return (
        "".join(chance.choice("AKX017 /x.½") for _ in range(length))
        .encode()[:length]
        .decode(errors="ignore")
    )


@pytest.mark.parametrize("level", list("LMQH"))
@pytest.mark.parametrize("version", list(BYTES))
def test_every_module_is_where_the_library_puts_it(version: int, level: str) -> None:
    """A full symbol and a short text, against the qrcode library with the best of all eight masks
    (ISO/IEC 18004:2015, 7.8.3), by its own points."""
    most = BYTES[version]["LMQH".index(level)]
    for text in (text_of(most), "A001N"):
        drawn = QRCode(version, getattr(constants, f"ERROR_CORRECT_{level}"), border=0)
        drawn.add_data(QRData(text.encode(), mode=MODE_8BIT_BYTE), optimize=0)
        symbols = {}
        for mask in range(8):
            drawn.makeImpl(False, mask)
            theirs = "".join("01"[bool(dark)] for row in drawn.modules for dark in row)
            symbols[int(theirs[::-1], 2)] = lost_point(drawn.modules)
            assert penalty(int(theirs[::-1], 2), side(version)) == lost_point(drawn.modules)
        assert symbols[symbol(text, version, level)] == min(symbols.values())


@given(st.integers(21, 65), st.floats(MIN_MODULE, 3.0), st.sampled_from([203, 300]))
def test_snapped_modules_are_whole_dots(modules: int, module: float, dpi: int) -> None:
    size = modules * module
    made = snapped(modules, size, dpi)
    dots = made / modules * dpi / 25.4
    assert dots == pytest.approx(round(dots), abs=1e-9)
    assert size - modules * 25.4 / dpi < made <= size + 1e-3
    # what is on dots stays as it is
    assert snapped(modules, made, dpi) == pytest.approx(made)


# 3 dots of 203 dpi are 3 x 25.4 / 203 = 0.37537 mm, 4 of 300 dpi are 0.33867 mm: by hand
@pytest.mark.parametrize(
    ("modules", "size", "dpi", "made"),
    [(21, 8.0, 203, 7.8828), (21, 8.0, 300, 7.112), (41, 17.05, 203, 15.3901)],
)
def test_snapped_sizes(modules: int, size: float, dpi: int, made: float) -> None:
    assert snapped(modules, size, dpi) == pytest.approx(made, abs=5e-5)


def test_modules_finer_than_three_dots_are_refused() -> None:
    with pytest.raises(PrintError, match="203 dpi"):
        snapped(57, 10.0, 203)


@pytest.mark.parametrize("dpi", [203, 300])
def test_the_least_module_is_whole_dots_of_a_roll_printer(dpi: int) -> None:
    assert snapped(21, 21 * MIN_MODULE, dpi) / 21 * dpi / 25.4 >= 3 - 1e-9


def dots_of(code: Code, dpi: int) -> Image.Image:
    """Print it: each dot is ink if its middle is in a dark module."""
    modules = side(code.version)
    dark = {(row, at + n) for row, at, length in runs(code) for n in range(length)}
    module = code.width / modules * dpi / 25.4
    left, top = code.x * dpi / 25.4, code.y * dpi / 25.4
    across = math.ceil(left + (modules + 4) * module)
    down = math.ceil(top + (modules + 4) * module)
    picture = Image.new("L", (across, down), 255)
    for y in range(down):
        for x in range(across):
            place = math.floor((y + 0.5 - top) / module), math.floor((x + 0.5 - left) / module)
            if place in dark:
                picture.putpixel((x, y), 0)
    return picture


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("level", list("LMQH"))
@pytest.mark.parametrize("version", list(BYTES))
def test_every_size_reads_back_on_a_printers_dots(version: int, level: str, dpi: int) -> None:
    """At the least module, as it comes and snapped, by zxing-cpp."""
    text = "A001N\n" + "M6 x 25 hex bolt, " * 20
    text = text[: BYTES[version]["LMQH".index(level)]]
    width = side(version) * MIN_MODULE
    plain = Code(2.0, 2.03, width, width, text, version, level, 4 * MIN_MODULE)
    for code in (plain, on_dots(plain, dpi)):
        assert code.width <= width + 1e-9
        picture = dots_of(code, dpi)
        (found,) = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)
        assert found.text == text
        assert found.ec_level == level


@pytest.mark.parametrize("dpi", [203, 300])
def test_a_snapped_code_has_modules_of_whole_dots(dpi: int) -> None:
    code = on_dots(code_box("A001N\nOrrick Plover 150", 17.05), dpi)
    module = code.width / side(code.version) / 25.4 * dpi
    assert module == pytest.approx(round(module), abs=1e-6)
    assert code.quiet == pytest.approx(4 * code.width / side(code.version))


@settings(deadline=None)
@given(st.integers(0, 400_000))
def test_the_short_code_is_the_least_symbol_at_the_highest_level(serial: int) -> None:
    """Seven bytes at level H of version 1: ISO/IEC 18004:2015, table 7."""
    box = code_box(nth(serial), 10.0)
    assert (box.payload, box.version, box.level) == (nth(serial), 1, "H")


@pytest.mark.parametrize(("width", "height"), [(63.5, 38.1), (38.1, 21.2), (102, 152), (35, 70)])
def test_a_design_leaves_the_bag_code_on_every_label(width: float, height: float) -> None:
    design = best_design(width, height)
    assert design.codes == (2 if design.second else 1)
    assert 0 <= design.second_share < 1
    assert set(design.level + design.second) <= set("LMQH")
