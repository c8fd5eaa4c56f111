"""QR codes: which version and level fit a payload and a space; the modules as runs.

Source: ISO/IEC 18004:2015, table 7 (capacity in byte mode), 6.3.8 (quiet zone of four modules),
7.8.3 (penalties of a mask).
"""

import math
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from operator import itemgetter
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
    """Give the dark modules as runs, row by row: row, first column, length."""
    side = 17 + 4 * version
    rows = f"{symbol(payload, version, level):0{side * side}b}"[::-1]
    return tuple(
        (row, run.start() - row * side, run.end() - run.start())
        for row in range(side)
        for run in _DARK.finditer(rows, row * side, (row + 1) * side)
    )


def symbol(payload: str, version: int, level: str, mask: int | None = None) -> int:
    """Give all modules as a number, with the mask of the least penalty or the one that is given."""
    place, room, masks = _places(version)
    words = _with_checks(_data(payload.encode(), version, level), version, level)
    bits = f"{int.from_bytes(words, 'big'):0{8 * len(words)}b}"
    # what is left of the symbol behind the last byte stays light, as do the fixed patterns here
    data = int("".join(place(bits.ljust(room + 1, "0"))), 2)
    side = 17 + 4 * version
    tried = _MASKS if mask is None else (mask,)
    made = [data ^ masks[at] ^ _fixed(version, level, at) for at in tried]
    return min(made, key=lambda modules: penalty(modules, side))


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


def _data(text: bytes, version: int, level: str) -> bytes:
    """Mode, count, text, end and filling: ISO/IEC 18004:2015, 7.4.5, 7.4.9 and 7.4.10."""
    room = sum(data for _, data in _blocks(version, level))
    count_bits = 16 if version >= 10 else 8
    used = 4 + count_bits + 8 * len(text)
    if used > 8 * room:
        raise ValueError(f"{len(text)} bytes do not fit version {version}, level {level}")
    bits = (0b0100 << count_bits | len(text)) << 8 * len(text) | int.from_bytes(text, "big")
    end = min(4, 8 * room - used)
    end += -(used + end) % 8
    made = (bits << end).to_bytes((used + end) // 8, "big")
    return made + (b"\xec\x11" * room)[: room - len(made)]


def _with_checks(data: bytes, version: int, level: str) -> bytes:
    """Split into blocks, add check bytes, interleave: ISO/IEC 18004:2015, 7.5 and 7.6."""
    blocks, checks, start = [], [], 0
    for total, length in _blocks(version, level):
        block = data[start : start + length]
        start += length
        blocks.append(block)
        checks.append(_checks(block, total - length))
    longest = max(map(len, blocks))
    words = bytearray()
    for at in range(longest):
        words += bytes(block[at] for block in blocks if at < len(block))
    for each in zip(*checks, strict=True):
        words += bytes(each)
    return bytes(words)


def _checks(block: bytes, count: int) -> bytes:
    """Divide by the generator polynomial, a byte at a time; the remainder is the check bytes."""
    table = _division(count)
    top = 8 * (count - 1)
    low = (1 << top) - 1
    left = 0
    for byte in block:
        left = (left & low) << 8 ^ table[byte ^ left >> top]
    return left.to_bytes(count, "big")


@cache
def _division(count: int) -> tuple[int, ...]:
    """What each leading byte takes off the rest: byte times generator, as one number."""
    from qrcode.base import EXP_TABLE, LOG_TABLE

    def times(one: int, other: int) -> int:
        return EXP_TABLE[(LOG_TABLE[one] + LOG_TABLE[other]) % 255] if one and other else 0

    generator = [1]
    for at in range(count):
        raised = [*generator, 0]
        for place, factor in enumerate(generator):
            raised[place + 1] ^= times(factor, EXP_TABLE[at])
        generator = raised
    return tuple(
        int.from_bytes(bytes(times(byte, factor) for factor in generator[1:]), "big")
        for byte in range(256)
    )


@cache
def _blocks(version: int, level: str) -> tuple[tuple[int, int], ...]:
    """Bytes of each block, all and of data: ISO/IEC 18004:2015, table 9, as the library has it."""
    from qrcode.base import rs_blocks

    return tuple((each.total_count, each.data_count) for each in rs_blocks(version, _level(level)))


def _level(level: str) -> int:
    from qrcode import constants

    return int(getattr(constants, f"ERROR_CORRECT_{level}"))


def _empty(version: int, level: str, mask: int) -> list[list[bool | None]]:
    """Give a symbol of the library with all but the data in it; modules of data are None."""
    from qrcode import QRCode

    class Empty(QRCode):  # type: ignore[misc,unused-ignore]
        def map_data(self, data: Any, mask_pattern: int) -> None:
            """Put nothing in."""

    drawn: Any = Empty(version=version, error_correction=_level(level), border=0)
    drawn.makeImpl(False, mask)
    modules: list[list[bool | None]] = drawn.modules
    return modules


@cache
def _fixed(version: int, level: str, mask: int) -> int:
    side = 17 + 4 * version
    return sum(
        1 << row * side + column
        for row, modules in enumerate(_empty(version, level, mask))
        for column, dark in enumerate(modules)
        if dark
    )


@cache
def _places(version: int) -> tuple[Callable[[str], Sequence[str]], int, tuple[int, ...]]:
    """Where each bit of data goes, how many there are, and the masks over them.

    The first gives, from the bits in order and one ``0`` more, the symbol from its last module to
    its first. ISO/IEC 18004:2015, 7.7.3 and 7.8.2.
    """
    from qrcode.util import mask_func

    side = 17 + 4 * version
    empty = _empty(version, "L", 0)
    free: list[tuple[int, int]] = []
    upwards = True
    for right in (*range(side - 1, 6, -2), *range(5, 0, -2)):
        rows = range(side - 1, -1, -1) if upwards else range(side)
        free += [
            (row, column)
            for row in rows
            for column in (right, right - 1)
            if empty[row][column] is None
        ]
        upwards = not upwards
    at = {place: number for number, place in enumerate(free)}
    none = len(free)
    order = [at.get(divmod(place, side), none) for place in range(side * side - 1, -1, -1)]
    masks = tuple(
        sum(1 << row * side + column for row, column in free if mask_func(mask)(row, column))
        for mask in _MASKS
    )
    return itemgetter(*order), none, masks


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


def best_design(width_mm: float, height_mm: float) -> Design:
    """Give the design that is read most often after stains, creases, fading and the rest.

    Measured by ``tests/benchmarks/code_survival.py``, which says by how much, on labels of
    63.5 x 38.1 and 38.1 x 21.2 mm. On the large one a code of all the contents and a small one of
    the bag code alone are read as often as the best there is, two of the bag code alone; on the
    small one a single code is kept to the bag code, so that its modules are large and its level
    high.
    """
    if width_mm * height_mm >= _TWO_CODES_FROM:
        return Design(2, True, "M", "H", 1 / 3)
    return Design(1, False, "H")


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


def _box(text: str, version: int, level: str, room: float, margin: float) -> Code:
    modules = side(version)
    module = min(room / modules, max(MIN_MODULE, min(margin, 2.2) / QUIET_MODULES))
    width = module * modules
    return Code(0, 0, width, width, text, version, level, QUIET_MODULES * module)


def runs(code: Code) -> Iterator[tuple[int, int, int]]:
    """Give the dark modules as runs: row, first column, length."""
    return iter(symbol_runs(code.payload, code.version, code.level))
