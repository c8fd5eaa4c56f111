"""What a picture file is: format, size, which way up, when it was taken, and its digest."""

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import IO, Any

from stores.photos.opening import MOST_BYTES, MOST_SCANS, SUFFIXES, check_whole, opened
from stores.photos.refusal import PictureRefused

__all__ = ["Look", "exif_of", "look", "upright_size"]

_EXIF_IFD = 0x8769
_ORIENTATION, _MAKE, _MODEL = 0x0112, 0x010F, 0x0110
_TIMES = ((0x9003, 0x9011, 0x9291), (0x9004, 0x9012, 0x9292))
"""DateTimeOriginal and DateTimeDigitized, with offset and part of a second: Exif 2.32, 4.6.5 F."""
_ANY_OFFSET = 0x9010
_TIME = r"\s*(\d{4})[:\-/](\d\d)[:\-/](\d\d)[ T](\d\d):(\d\d):(\d\d)"
_OFFSET = r"\s*([+\-])(\d\d):?(\d\d)"


@dataclass(frozen=True, slots=True)
class Look:
    """A picture as it lies in its file.

    ``width`` and ``height`` are in pixels as stored; ``orientation`` is the EXIF value 1 to 8.
    ``taken`` is the time by the camera's clock, with an offset from UTC only where the camera
    wrote one, or None. ``digest`` is the SHA-256 of the file in hexadecimal, ``size`` its bytes.
    """

    file: Path
    format: str
    width: int
    height: int
    orientation: int
    taken: datetime | None
    digest: str
    size: int
    camera: str = ""

    @property
    def suffix(self) -> str:
        """The suffix that a kept copy gets, as ``.jpg``."""
        return SUFFIXES[self.format]

    @property
    def upright(self) -> tuple[int, int]:
        """Width and height in pixels once turned upright."""
        return upright_size((self.width, self.height), self.orientation)


def upright_size(size: tuple[int, int], orientation: int) -> tuple[int, int]:
    """Give the size of a picture once turned upright; EXIF 5 to 8 lie on their side."""
    return (size[1], size[0]) if orientation >= 5 else size


def look(file: Path) -> Look:
    """Look at one file, and check that its picture can be decoded to the end.

    Raises:
        PictureRefused: one line that says why it is not taken.
    """
    with opened(file) as (stream, picture, form):
        width, height = picture.size
        exif = exif_of(picture)
        stream.seek(0)
        digest, size, scans = _read_through(file, stream)
        if form == "JPEG" and scans > MOST_SCANS:
            raise PictureRefused(file, f"{scans} scans in one picture: made to keep a reader busy")
        stream.seek(0)
        check_whole(file, stream, picture, form)
    return Look(file, form, width, height, exif.orientation, exif.taken, digest, size, exif.camera)


def _read_through(file: Path, stream: IO[bytes]) -> tuple[str, int, int]:
    """Give digest, bytes and count of JPEG scan markers (SOS of ISO/IEC 10918-1, table B.1)."""
    digest, size, scans, last = hashlib.sha256(), 0, 0, b""
    while piece := stream.read(1 << 20):
        digest.update(piece)
        size += len(piece)
        scans += piece.count(b"\xff\xda") + (last + piece[:1] == b"\xff\xda")
        last = piece[-1:]
        if size > MOST_BYTES:
            raise PictureRefused(file, "the file grows while it is read")
    return digest.hexdigest(), size, scans


@dataclass(frozen=True, slots=True)
class Exif:
    """What is taken from a picture's EXIF; what is missing or nonsense there is left out."""

    orientation: int = 1
    taken: datetime | None = None
    camera: str = ""


def exif_of(picture: Any) -> Exif:
    """Read orientation, time and camera. Broken EXIF is no reason to refuse a picture."""
    try:
        first = picture.getexif()
        inner: Mapping[int, Any] = first.get_ifd(_EXIF_IFD)
        turned = first.get(_ORIENTATION, 1)
        names = [_text(first.get(tag)) for tag in (_MAKE, _MODEL)]
    except Exception:  # whatever broken EXIF makes the reader raise
        return Exif()
    orientation = turned if isinstance(turned, int) and 1 <= turned <= 8 else 1
    return Exif(orientation, _taken(inner), " ".join(name for name in names if name))


def _taken(inner: Mapping[int, Any]) -> datetime | None:
    for time_tag, offset_tag, part_tag in _TIMES:
        found = re.match(_TIME, _text(inner.get(time_tag)))
        if not found:
            continue
        try:
            taken = datetime(*(int(each) for each in found.groups()))  # type: ignore[arg-type]  # noqa: DTZ001
        except ValueError:  # 0000:00:00 00:00:00 from a camera whose clock was never set
            continue
        part = re.match(r"\d+", _text(inner.get(part_tag)))
        if part:
            taken += timedelta(seconds=float(f"0.{part[0][:6]}"))
        return taken.replace(tzinfo=_zone(inner.get(offset_tag)) or _zone(inner.get(_ANY_OFFSET)))
    return None


def _zone(value: object) -> timezone | None:
    found = re.match(_OFFSET, _text(value))
    if not found:
        return None
    minutes = int(found[2]) * 60 + int(found[3])
    if minutes >= 24 * 60:
        return None
    return timezone(timedelta(minutes=-minutes if found[1] == "-" else minutes))


def _text(value: object) -> str:
    if isinstance(value, bytes):
        value = value.decode("latin-1")
    return value.replace("\0", " ").strip() if isinstance(value, str) else ""
