"""Pictures put behind a finished PDF, so that they need not be in memory all at once. Pure.

ISO 32000-1:2008, 7.5.6: a file may be changed by adding to its end. New versions of some objects
follow, then a cross-reference section for these alone and a trailer that points back with /Prev.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from stores.errors import PrintError

__all__ = ["Late", "jpeg_size", "with_pictures"]

_COLOURS = {1: b"/DeviceGray", 3: b"/DeviceRGB"}
_FRAMES = (0xC0, 0xC1, 0xC2)
"""JPEG markers of a frame that PDF can show: baseline, extended, progressive."""


@dataclass(frozen=True, slots=True)
class Late:
    """The number of the object that a picture takes, the file's bytes, and what it says it is."""

    number: int
    width: int
    height: int
    channels: int
    jpeg: bytes


def jpeg_size(jpeg: bytes) -> tuple[int, int, int] | None:
    """Give width, height and channels of a JPEG, grey or RGB with 8 bits; None for all else."""
    if jpeg[:2] != b"\xff\xd8":
        return None
    at = 2
    while at + 10 <= len(jpeg):
        if jpeg[at] != 0xFF:
            return None
        marker = jpeg[at + 1]
        if marker == 0xFF:  # fill
            at += 1
            continue
        if marker in _FRAMES:
            height = int.from_bytes(jpeg[at + 5 : at + 7])
            width = int.from_bytes(jpeg[at + 7 : at + 9])
            good = jpeg[at + 4] == 8 and width and height and jpeg[at + 9] in _COLOURS
            return (width, height, jpeg[at + 9]) if good else None
        at += 2 + int.from_bytes(jpeg[at + 2 : at + 4])
    return None


def with_pictures(document: bytes, pictures: Iterable[Late]) -> Iterator[bytes]:
    """Give the document in pieces, each picture as the object whose number it has.

    The JPEG is in the file as it is. Raises PrintError for what is no finished PDF.
    """
    tail = re.search(rb"trailer\s*<<(.*)>>\s*startxref\s+(\d+)\s+%%EOF\s*\Z", document, re.DOTALL)
    if not tail:
        raise PrintError("the pictures cannot be added: the document has no trailer")
    yield document
    at = len(document)
    starts: dict[int, int] = {}
    for picture in pictures:
        head = (
            b"%d 0 obj\n<< /Type /XObject /Subtype /Image /Width %d /Height %d /ColorSpace %s"
            b" /BitsPerComponent 8 /Filter /DCTDecode /Length %d >>\nstream\n"
        ) % (
            picture.number,
            picture.width,
            picture.height,
            _COLOURS[picture.channels],
            len(picture.jpeg),
        )
        foot = b"\nendstream\nendobj\n"
        yield head
        yield picture.jpeg
        yield foot
        starts[picture.number] = at
        at += len(head) + len(picture.jpeg) + len(foot)
    if starts:
        yield b"xref\n"
        for number in sorted(starts):
            yield b"%d 1\n%010d 00000 n \n" % (number, starts[number])
        yield b"trailer\n<<%s/Prev %s\n>>\nstartxref\n%d\n%%%%EOF\n" % (tail[1], tail[2], at)
