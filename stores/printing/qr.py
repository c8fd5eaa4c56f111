"""QR codes: which version and level fit a payload and a space; the modules as runs.

Source: ISO/IEC 18004:2015, table 7 (capacity in byte mode), 6.3.8 (quiet zone of four modules),
7.8.3 (penalties of a mask).
"""

import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

from stores.errors import PrintError
from stores.printing.boxes import CUT, Code

__all__ = [
    "BYTES",
    "MIN_MODULE",
    "QUIET_MODULES",
    "Design",
    "best_design",
    "code_box",
    "half_blocks",
    "least_design",
    "penalty",
    "runs",
    "side",
    "snapped",
    "symbol",
    "symbol_runs",
]


_MASKS = range(8)
_DARK = re.compile("1+")


@lru_cache(maxsize=512)
def symbol_runs(payload: str, version: int, level: str) -> tuple[tuple[int, int, int], ...]:
    """Return the dark modules as runs, row by row: row, first column, length."""
    modules = side(version)
    rows = f"{symbol(payload, version, level):0{modules * modules}b}"[::-1]
    return tuple(
        (row, run.start() - row * modules, run.end() - run.start())
        for row in range(modules)
        for run in _DARK.finditer(rows, row * modules, (row + 1) * modules)
    )


def symbol(payload: str, version: int, level: str) -> int:
    """Return all modules as a number, with the mask of the least penalty.

    The bit of row ``r`` and column ``c`` is ``r * side + c``. The library draws it with one mask;
    the others are laid over that drawing, and all eight judged, with whole numbers.
    """
    # Measured by tests/benchmarks/labels_speed.py: a code takes 18 ms with the library's own choice
    # of mask and 4 with this one, 150 labels 0.52 and 0.39 of the plain way's time.
    data = _drawn(payload, version, level, 0) & _room(version) ^ _mask(version, 0)
    tried = (data ^ _mask(version, at) | _fixed(version, level, at) for at in _MASKS)
    return min(tried, key=lambda modules: penalty(modules, side(version)))


def penalty(modules: int, side: int) -> int:
    """Give the points against a symbol: ISO/IEC 18004:2015, 7.8.3.1, table 11.

    Runs of five and more, squares of two, what looks like a finder pattern beside four light
    modules, and more or fewer dark modules than half.
    """
    light = modules ^ ((1 << side * side) - 1)
    points = 0
    same = []
    for step, edges, fit in zip((1, side), *_windows(side), strict=True):
        alike = ~(modules ^ modules >> step) & edges
        same.append(alike)
        five = alike & alike >> step & alike >> 2 * step & alike >> 3 * step
        points += five.bit_count() + 2 * (five & ~(five << step)).bit_count()
        # 1011101: the same from both ends
        eye = modules & light >> step & modules >> 2 * step & modules >> 3 * step
        eye &= modules >> 4 * step & light >> 5 * step & modules >> 6 * step
        white = light & light >> step & light >> 2 * step & light >> 3 * step
        points += 40 * (eye & white >> 7 * step & fit).bit_count()
        points += 40 * (white & eye >> 4 * step & fit).bit_count()
    across, down = same
    points += 3 * (across & across >> side & down).bit_count()
    return points + 10 * int(abs(modules.bit_count() / (side * side) * 100 - 50) / 5)


@cache
def _windows(side: int) -> tuple[tuple[int, int], tuple[int, int]]:
    """Modules with a neighbour to the right and below, and with ten more of them."""

    def all_but(count: int) -> tuple[int, int]:
        row = (1 << side - count) - 1
        across = sum(row << at * side for at in range(side))
        return across, (1 << side * (side - count)) - 1

    return all_but(1), all_but(10)


def _drawn(payload: str, version: int, level: str, mask: int) -> int:
    """Return the library's symbol with a given mask."""
    from qrcode import QRCode, constants
    from qrcode.util import MODE_8BIT_BYTE, QRData

    correction = getattr(constants, f"ERROR_CORRECT_{level}")
    code: Any = QRCode(version, correction, border=0, mask_pattern=mask)
    code.add_data(QRData(payload.encode(), mode=MODE_8BIT_BYTE), optimize=0)
    code.make(fit=False)
    return _number(code.get_matrix())


def _number(rows: Iterable[Iterable[object]]) -> int:
    return int("".join("1" if dark else "0" for row in rows for dark in row)[::-1], 2)


@cache
def _fixed(version: int, level: str, mask: int) -> int:
    """Return what does not hang on the text: patterns, format and version."""
    return _drawn("", version, level, mask) & ~_room(version)


@cache
def _mask(version: int, mask: int) -> int:
    """Return a mask over the modules of data: ISO/IEC 18004:2015, 7.8.2."""
    from qrcode.util import mask_func

    turned, modules = mask_func(mask), range(side(version))
    return _number((turned(row, at) for at in modules) for row in modules) & _room(version)


@cache
def _room(version: int) -> int:
    """Return where the modules of data are: ISO/IEC 18004:2015, 6.3 and figures 2 to 4."""
    from qrcode.util import pattern_position

    modules = side(version)
    far = modules - 8
    free = [[True] * modules for _ in range(modules)]

    def taken(top: int, left: int, height: int, width: int) -> None:
        for row in range(top, top + height):
            free[row][left : left + width] = [False] * width

    taken(0, 0, 9, 9)  # finders, separators, format
    taken(0, far, 9, 8)
    taken(far, 0, 8, 9)
    taken(6, 0, 1, modules)  # timing
    taken(0, 6, modules, 1)
    centres = pattern_position(version)
    for row in centres:
        for column in centres:
            if (row, column) not in {(6, 6), (6, modules - 7), (modules - 7, 6)}:
                taken(row - 2, column - 2, 5, 5)
    if version >= 7:  # version
        taken(0, far - 3, 6, 3)
        taken(far - 3, 0, 3, 6)
    return _number(free)


MIN_MODULE = 0.38
"""Millimetres: a little over three dots of a 203 dpi printer (3 x 25.4 / 203 = 0.3754)."""
QUIET_MODULES = 4
_LEVELS = "LMQH"

BYTES: dict[int, tuple[int, int, int, int]] = {
    1: (17, 14, 11, 7),
    2: (32, 26, 20, 14),
    3: (53, 42, 32, 24),
    4: (78, 62, 46, 34),
    5: (106, 84, 60, 44),
    6: (134, 106, 74, 58),
    7: (154, 122, 86, 64),
    8: (192, 152, 108, 84),
    9: (230, 180, 130, 98),
    10: (271, 213, 151, 119),
}
"""Bytes that a version holds at levels L, M, Q and H: ISO/IEC 18004:2015, table 7."""


_TWO_CODES_FROM = 1600.0
"""Square millimetres of a label: under it the small code of two, a third of the room for codes,
would have modules under ``MIN_MODULE``."""
_FEWEST_DOTS = 3
"""With fewer to a module, what a thermal head burns beside one closes the white."""
_MM_PER_INCH = 25.4


@dataclass(frozen=True, slots=True)
class Design:
    """How many codes a label has and what they say.

    ``whole``: the first says all that is in the bag; otherwise the bag code alone. ``level`` is the
    least error level of the first. A second code stands in the opposite corner, says the bag code
    alone at level ``second`` and gets ``second_share`` of the area of both.
    """

    codes: int
    whole: bool
    level: str
    second: str = ""
    second_share: float = 0.0


def best_design(width_mm: float, height_mm: float, *, contents: bool = False) -> Design:
    """Give the design that is read most often after stains, creases, fading and the rest.

    Measured by ``tests/benchmarks/code_survival.py``, which says by how much, on labels of
    63.5 x 38.1 and 38.1 x 21.2 mm: two codes of the bag code alone, as large as each other, where
    there is room for two, else one, so that its modules are large and its level high. What is in
    the bag stands in words beside them. With ``contents`` the first code says that too, for any
    telephone, where the label is large enough for a second, smaller one of the bag code alone.
    """
    if width_mm * height_mm < _TWO_CODES_FROM:
        return Design(1, False, "H")
    return Design(2, True, "M", "H", 1 / 3) if contents else Design(2, False, "H", "H", 1 / 2)


def snapped(module_count: int, size_mm: float, dpi: int) -> float:
    """Give the largest size up to ``size_mm`` of which each module is a whole number of dots.

    ``module_count`` is the number of modules across ``size_mm``. A roll printer draws a module of
    3.4 dots now 3, now 4 wide; a reader then takes a thin one for none.

    Raises:
        PrintError: a module would be less than three dots wide.
    """
    dots = math.floor(size_mm / module_count * dpi / _MM_PER_INCH + 1e-6)
    if dots < _FEWEST_DOTS:
        raise PrintError(
            f"{module_count} modules in {size_mm:.1f} mm are too fine for a printer of {dpi} dpi"
        )
    return module_count * dots * _MM_PER_INCH / dpi


def side(version: int) -> int:
    """Give the modules along a side, quiet zone apart."""
    return 17 + 4 * version


def code_box(payload: str, room: float, margin: float = 2.2) -> Code:
    """Give the code for a payload whose dark square may be ``room`` mm wide, at 0, 0.

    The smallest version that holds all of it is taken, so that modules are large; then the
    highest level that this version allows. A payload too long loses lines from its end, and an
    ellipsis as last line says so; the first line is never lost. Modules stay so small that the
    white around the code fits into a ``margin`` of so many mm, as far as a printer's dots allow.

    Raises:
        PrintError: not even the first line fits.
    """
    versions = [version for version in BYTES if side(version) * MIN_MODULE <= room + 1e-9]
    # half of a surrogate pair, which a scan of a broken file can leave, is no character
    lines = payload.encode(errors="replace").decode().split("\n")
    for kept in range(len(lines), 0, -1):
        text = "\n".join(lines[:kept] if kept == len(lines) else [*lines[:kept], CUT])
        size = len(text.encode())
        # level M where there is room for it; L rather than losing a line
        for weakest in (1, 0):
            for version in versions:
                fits = [at for at in range(weakest, 4) if BYTES[version][at] >= size]
                if fits:
                    return _box(text, version, _LEVELS[fits[-1]], room, margin)
    first = lines[0]
    for version in versions:
        if BYTES[version][0] >= len(first.encode()):
            return _box(first, version, "L", room, margin)
    raise PrintError(f"no room for a QR code of {first!r}: {room:.1f} mm are left for it")


def least_design(payload: str) -> tuple[int, str]:
    """Return the smallest version that holds a payload, and its highest level that still does.

    Raises:
        PrintError: no version here holds it.
    """
    size = len(payload.encode())
    for version, held in BYTES.items():
        fits = [level for level, most in zip(_LEVELS, held, strict=True) if most >= size]
        if fits:
            return version, fits[-1]
    raise PrintError(f"{size} bytes are too many for a QR code: shorten it")


def half_blocks(payload: str) -> list[str]:
    """Return a QR code with its quiet zone as lines of text, two modules to a character.

    What is light is drawn, as a terminal writes light on dark.
    """
    version, level = least_design(payload)
    width = side(version) + 2 * QUIET_MODULES
    dark = [[False] * width for _ in range(width + width % 2)]
    for row, column, length in symbol_runs(payload, version, level):
        for at in range(column, column + length):
            dark[row + QUIET_MODULES][at + QUIET_MODULES] = True
    if width % 2:
        dark[-1] = [True] * width  # below the quiet zone: left as the terminal is
    marks = {(False, False): "█", (False, True): "▀", (True, False): "▄", (True, True): " "}
    return [
        "".join(marks[pair] for pair in zip(*rows, strict=True))
        for rows in zip(dark[::2], dark[1::2], strict=True)
    ]


def _box(text: str, version: int, level: str, room: float, margin: float) -> Code:
    modules = side(version)
    module = min(room / modules, max(MIN_MODULE, min(margin, 2.2) / QUIET_MODULES))
    width = module * modules
    return Code(0, 0, width, width, text, version, level, QUIET_MODULES * module)


def runs(code: Code) -> Iterator[tuple[int, int, int]]:
    """Give the dark modules as runs: row, first column, length."""
    return iter(symbol_runs(code.payload, code.version, code.level))
