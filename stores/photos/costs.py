"""What pictures cost in memory while they are decoded, and the room that they share.

However many pictures lie in a folder and however many processors work on them, what is decoded at
one moment fits into `ROOM`: a picture waits until there is room for it, and one that would need
more than all of it is refused.
"""

import re
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import IO, TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.Image import Image

__all__ = ["ROOM", "JpegParts", "decoded_bytes", "jpeg_buffer", "room_for"]

ROOM = 420_000_000
"""Bytes for all pictures that are decoded at one moment: 105 million pixels of a PNG in colour."""

_AFTER = re.compile(rb"\xff[^\x00\xd0-\xd7]")
"""What ends the coded data of a JPEG's scan: a marker, but for restarts and a stuffed zero."""

_free = threading.Condition()
_taken = 0


@contextmanager
def room_for(need: int) -> Iterator[None]:
    """Wait until there is room for so many bytes, and take it. Who has room asks for no more."""
    global _taken  # noqa: PLW0603 (one room for the whole process)
    need = min(need, ROOM)
    with _free:
        _free.wait_for(lambda: _taken + need <= ROOM)
        _taken += need
    try:
        yield
    finally:
        with _free:
            _taken -= need
            _free.notify_all()


def decoded_bytes(picture: "Image", form: str = "") -> int:
    """Return the bytes that Pillow keeps a picture of this mode and size in; for a HEIC twice that,
    from memory, for its decoder has the whole picture beside it."""
    width, height = picture.size
    each = {"1": 1, "L": 1, "P": 1}.get(picture.mode, 2 if ";16" in picture.mode else 4)
    return width * height * each * (2 if form == "HEIC" else 1)


class JpegParts:
    """Counts the scans of a JPEG to the end of the image, whatever lies behind it: a phone puts a
    film there. Source: ISO/IEC 10918-1, B.1 and B.2.

    ``buffer`` is what a decoder keeps beside the picture, where it cannot decode row by row because
    more than one scan tells of the same row: two bytes for each coefficient.
    """

    def __init__(self) -> None:
        self.scans = 0
        self.over = False
        self.buffer = 0
        self._held = b""
        self._skip = 0
        self._coded = False
        self._frame = b""

    def feed(self, piece: bytes) -> None:
        """Read on."""
        data = self._held + piece if self._held else piece
        at = 0
        while not self.over and at < len(data):
            if self._skip:
                step = min(self._skip, len(data) - at)
                at += step
                self._skip -= step
            elif self._coded:
                end = _AFTER.search(data, at)
                if end is None:
                    at = len(data) - data.endswith(b"\xff")
                    break
                at, self._coded = end.start(), False
            elif (found := self._marker(data, at)) is None:
                break
            else:
                at = found
        self._held = b"" if self.over else data[at:]

    def _marker(self, data: bytes, at: int) -> int | None:
        """Read one marker, and give where to go on; None where its end is still to come."""
        at = data.find(b"\xff", at)
        if at < 0 or len(data) - at < 2:
            return len(data) if at < 0 else None
        kind = data[at + 1]
        if kind == 0xFF:
            return at + 1
        if kind == 0xD9:
            self.over = True
            return at
        if kind <= 0x01 or 0xD0 <= kind <= 0xD8:
            return at + 2
        length = max(2, int.from_bytes(data[at + 2 : at + 4], "big"))
        segment = data[at + 4 : at + 2 + length]
        if len(data) - at < 4 or len(segment) < length - 2:
            return None
        if 0xC0 <= kind <= 0xCF and kind not in (0xC4, 0xC8, 0xCC) and not self._frame:
            self._frame = bytes((kind,)) + segment
        elif kind == 0xDA:
            self.scans += 1
            self._coded = True
            if self.scans == 1 and segment:
                self.buffer = self._coefficients(segment[0])
        return at + 2 + length

    def _coefficients(self, in_first_scan: int) -> int:
        frame = self._frame
        if len(frame) < 7 + 3 * (frame[6] if len(frame) > 6 else 0):
            return 0
        kind, height, width = frame[0], int.from_bytes(frame[2:4], "big"), frame[4:6]
        across = int.from_bytes(width, "big")
        parts = [frame[7 + 3 * each : 10 + 3 * each] for each in range(frame[6])]
        if kind in (0xC0, 0xC1, 0xC9) and in_first_scan >= len(parts):
            return 0
        factors = [((part[1] >> 4) or 1, (part[1] & 15) or 1) for part in parts]
        most = max(1, *(x for x, _ in factors)), max(1, *(y for _, y in factors))
        return sum(2 * across * height * x * y // (most[0] * most[1]) for x, y in factors)


def jpeg_buffer(stream: IO[bytes]) -> int:
    """Return what a decoder of this JPEG keeps beside the picture."""
    parts = JpegParts()
    stream.seek(0)
    while not parts.scans and not parts.over and (piece := stream.read(1 << 16)):
        parts.feed(piece)
    stream.seek(0)
    return parts.buffer
