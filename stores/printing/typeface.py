"""Which font draws which letter: the one in the wheel, and for what it lacks one of the person's.

The font is chosen once, before anything is printed, as the paper is; words are measured and drawn
run by run, each with the font that has it. What neither has is drawn as a box and said.

What is read of a font: ISO/IEC 14496-22 (OpenType), the table directory, ``cmap`` formats 4 and 12,
and the bits of ``OS/2`` that say whether a document may carry it. ReportLab reads these too, and
draws with them; but it believes what a damaged font says of itself, and goes through as many
characters as that claims to have. The tests hold one reader against the other.
"""

import struct
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import as_file, files
from itertools import groupby
from pathlib import Path
from string import ascii_letters
from zlib import crc32

from stores.errors import BadValue, shorten

__all__ = [
    "BUILT_IN",
    "MISSING",
    "Font",
    "built_in",
    "drawable",
    "lettering_with",
    "own_font",
    "runs",
]

MISSING = "□"
"""Drawn for a character that no font has, U+25A1."""
BUILT_IN = {False: "DejaVuSansCondensed", True: "DejaVuSansCondensed-Bold"}

_TABLES = (b"cmap", b"glyf", b"head", b"hhea", b"hmtx", b"loca", b"maxp")
"""What a font with TrueType outlines cannot do without."""
_MOST = 100 << 20
"""Bytes of a font that is read; those with all of the world's letters have 40 million."""
_JOINED = ((0x0900, 0x0DFF), (0x0F00, 0x109F), (0x1780, 0x18AF), (0xA800, 0xA8DF), (0xA980, 0xABFF))
"""Blocks of scripts whose letters change places and join: set one after another they are wrong."""


@dataclass(frozen=True, eq=False, slots=True)
class Font:
    """A font file, the characters that it has, and a name by its contents."""

    path: Path
    characters: frozenset[int]
    name: str


_OWN: ContextVar[Font | None] = ContextVar("font", default=None)


def own_font() -> Font | None:
    """Give the font of the person's own, None where the built-in one is all there is."""
    return _OWN.get()


@contextmanager
def lettering_with(path: Path) -> Iterator[None]:
    """Print what the built-in font lacks with this one meanwhile.

    Raises:
        BadValue: no file, no TrueType font, none that a document may carry, or no Latin letters.
    """
    before = _OWN.set(_checked(path))
    try:
        yield
    finally:
        _OWN.reset(before)


def drawable(char: str) -> bool:
    """Whether a font has it, and it can be set in order from left to right."""
    return _by(char, _OWN.get()) is not None


def runs(text: str) -> list[tuple[Font | None, str]]:
    """Give a text as it is drawn, in pieces of one font each; None is the built-in one."""
    if text.isascii():
        return [(None, text)] if text else []
    own = _OWN.get()
    by = [(_by(char, own), char) for char in text]
    return [
        (own if mine else None, "".join(MISSING if by is None else char for by, char in group))
        for mine, group in groupby(by, key=lambda each: each[0] is True)
    ]


@lru_cache(maxsize=8192)
def _by(char: str, own: Font | None) -> bool | None:
    """Give False for the built-in font, True for the person's own, None for neither."""
    if unicodedata.bidirectional(char) in ("R", "AL", "AN"):
        return None
    code = ord(char)
    if all(code in built_in(bold).characters for bold in BUILT_IN):
        return False
    if own is None or any(first <= code <= last for first, last in _JOINED):
        return None
    return True if code in own.characters else None


@cache
def built_in(bold: bool) -> Font:
    """Give the font in the wheel."""
    with as_file(files("stores.printing").joinpath("fonts", f"{BUILT_IN[bold]}.ttf")) as path:
        return Font(path, _characters(path.read_bytes()), BUILT_IN[bold])


def _checked(path: Path) -> Font:
    try:
        stat = path.stat()
        return _read(path, stat.st_mtime_ns, stat.st_size)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        words = f"cannot print with the font {shorten(str(path), 200)}: {reason}"
        raise BadValue(f"{words}; give a TrueType file (.ttf)") from error


@lru_cache(maxsize=4)
def _read(path: Path, _changed: int, length: int) -> Font:
    """Read what a font has. Raises ValueError with what is wrong with it."""
    if not path.is_file():
        raise ValueError("it is no file")
    if length > _MOST:
        raise ValueError("it is larger than any font")
    try:
        data = path.read_bytes()
        characters = _characters(data)
    except (struct.error, IndexError) as error:
        raise ValueError("it is damaged") from error
    if not characters.issuperset(map(ord, ascii_letters)):
        raise ValueError("it has no Latin letters")
    return Font(path, characters, f"own-{crc32(data):08x}")


def _characters(data: bytes) -> frozenset[int]:
    """Return the characters that a font has a glyph for."""
    start = 0
    if data[:4] == b"ttcf":  # several in one file: the first is taken
        (start,) = struct.unpack_from(">L", data, 12)
    kind = data[start : start + 4]
    if kind == b"OTTO":
        raise ValueError("its outlines are not TrueType")
    if kind not in (b"\0\1\0\0", b"true"):
        raise ValueError("it is no TrueType font")
    (count,) = struct.unpack_from(">H", data, start + 4)
    tables = {}
    for at in range(count):
        tag, _, offset, length = struct.unpack_from(">4sLLL", data, start + 12 + 16 * at)
        if offset + length > len(data):
            raise ValueError("it is cut short")
        tables[tag] = offset
    if not tables.keys() >= set(_TABLES):
        raise ValueError("its outlines are not TrueType")
    if b"OS/2" in tables:
        (rights,) = struct.unpack_from(">H", data, tables[b"OS/2"] + 8)
        if rights & 0x0F == 0x02 or rights & 0x0300:
            raise ValueError("its maker does not let a document carry it")
    return frozenset(_mapped(data, tables[b"cmap"]))


def _mapped(data: bytes, cmap: int) -> Iterator[int]:
    """Give the characters of the best of a font's maps."""
    (count,) = struct.unpack_from(">H", data, cmap + 2)
    found = {}
    for at in range(count):
        system, code, offset = struct.unpack_from(">HHL", data, cmap + 4 + 8 * at)
        (form,) = struct.unpack_from(">H", data, cmap + offset)
        if (system == 0 or (system, code) in ((3, 1), (3, 10))) and form in (4, 12):
            found[form] = cmap + offset
    if not found:
        raise ValueError("it does not say which characters it has")
    if 12 in found:
        yield from _groups(data, found[12])
    else:
        yield from _segments(data, found[4])


def _groups(data: bytes, at: int) -> Iterator[int]:
    """Format 12: runs of characters whose glyphs follow each other."""
    (count,) = struct.unpack_from(">L", data, at + 12)
    before = -1
    for group in range(count):
        first, last, glyph = struct.unpack_from(">LLL", data, at + 16 + 12 * group)
        if not before < first <= last <= 0x10FFFF:
            raise ValueError("it is damaged")
        before = last
        yield from range(first + (glyph == 0), last + 1)


def _segments(data: bytes, at: int) -> Iterator[int]:
    """Format 4: runs of characters below U+10000, by a difference or by a list of glyphs."""
    (twice,) = struct.unpack_from(">H", data, at + 6)
    many = twice // 2
    ends = struct.unpack_from(f">{many}H", data, at + 14)
    starts = struct.unpack_from(f">{many}H", data, at + 16 + twice)
    shifts = struct.unpack_from(f">{many}H", data, at + 16 + 2 * twice)
    lists = at + 16 + 3 * twice
    offsets = struct.unpack_from(f">{many}H", data, lists)
    for segment, (first, last) in enumerate(zip(starts, ends, strict=True)):
        for code in range(first, min(last, 0xFFFE) + 1):
            glyph = code + shifts[segment] if not offsets[segment] else 0
            if offsets[segment]:
                place = lists + 2 * segment + offsets[segment] + 2 * (code - first)
                (listed,) = struct.unpack_from(">H", data, place)
                glyph = listed + shifts[segment] if listed else 0
            if glyph & 0xFFFF:
                yield code
