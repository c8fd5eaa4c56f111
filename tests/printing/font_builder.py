"""Fonts for the tests: the letters of the built-in one under other characters.

Laid out after ISO/IEC 14496-22: the table directory, ``cmap`` formats 4 and 12.
"""

import struct
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path
from string import ascii_letters

from reportlab.pdfbase.ttfonts import TTFont

BUILT_IN = str(files("stores.printing").joinpath("fonts", "DejaVuSansCondensed.ttf"))
LATIN = {letter: letter for letter in ascii_letters}


def write_font(
    path: Path, drawn_as: Mapping[str, str], *, wide: bool = False, rights: int | None = None
) -> Path:
    """Write a font that draws each character as this letter of the built-in one.

    ``wide`` maps by format 12, else by format 4; ``rights`` is what OS/2 says of embedding.
    """
    glyphs = _glyphs()
    of = {ord(char): glyphs[ord(letter)] for char, letter in drawn_as.items()}
    tables = dict(_tables())
    tables[b"cmap"] = _groups(of) if wide else _segments(of)
    if rights is not None:
        about = tables[b"OS/2"]
        tables[b"OS/2"] = about[:8] + struct.pack(">H", rights) + about[10:]
    path.write_bytes(_font(tables))
    return path


@cache
def _glyphs() -> dict[int, int]:
    return dict(TTFont("letters", BUILT_IN).face.charToGlyph)


@cache
def _tables() -> dict[bytes, bytes]:
    data = Path(BUILT_IN).read_bytes()
    (count,) = struct.unpack_from(">H", data, 4)
    found = {}
    for at in range(count):
        tag, _, offset, length = struct.unpack_from(">4sLLL", data, 12 + 16 * at)
        found[tag] = data[offset : offset + length]
    return {tag: data for tag, data in found.items() if tag not in (b"GSUB", b"GPOS", b"GDEF")}


def _font(tables: Mapping[bytes, bytes]) -> bytes:
    head = struct.pack(">4sHHHH", b"\0\1\0\0", len(tables), 128, 3, 16)
    at = len(head) + 16 * len(tables)
    body = b""
    for tag, data in sorted(tables.items()):
        head += struct.pack(">4sLLL", tag, 0, at + len(body), len(data))
        body += data + b"\0" * (-len(data) % 4)
    return head + body


def _groups(of: Mapping[int, int]) -> bytes:
    rows = b"".join(struct.pack(">LLL", code, code, glyph) for code, glyph in sorted(of.items()))
    table = struct.pack(">HHLLL", 12, 0, 16 + len(rows), 0, len(of)) + rows
    return struct.pack(">HHHHL", 0, 1, 3, 10, 12) + table


def _segments(of: Mapping[int, int]) -> bytes:
    codes = [*sorted(of), 0xFFFF]
    shifts = [(of.get(code, 0) - code) & 0xFFFF for code in codes]
    shifts[-1] = 1
    many = len(codes)
    listed = f">{many}H"
    table = struct.pack(">HHHHHHH", 4, 16 + 8 * many, 0, 2 * many, 0, 0, 0)
    table += struct.pack(listed, *codes) + b"\0\0" + struct.pack(listed, *codes)
    table += struct.pack(listed, *shifts) + struct.pack(listed, *([0] * many))
    return struct.pack(">HHHHL", 0, 1, 3, 1, 12) + table
