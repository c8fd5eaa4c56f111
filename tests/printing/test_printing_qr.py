"""QR codes against ISO/IEC 18004 and a reference library."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from qrcode import constants
from qrcode.util import BIT_LIMIT_TABLE

from stores.errors import PrintError
from stores.printing.qr import BYTES, MIN_MODULE, code_box, runs, side

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
