"""Opening files as pictures: safely, whatever they hold, by their content and not their name.

The picture classes of Pillow are called directly, not ``Image.open``: that tries every format it
knows on what may be a hostile file, and warns of or refuses large pictures by a limit of its own
that can only be changed for the whole program.

`look` says what a picture is; `in_order` works on many at once, on threads and not processes:
Pillow decodes, zlib inflates, SHA-256 digests and the code reader reads outside Python's lock, so
two threads take half the time of one, and nothing has to be started or copied between processes.
"""

import hashlib
import os
import re
import stat
import struct
import warnings
import zlib
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from functools import cache
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, TypeVar

from stores.errors import StoresError
from stores.photos.costs import ROOM, JpegParts, decoded_bytes, jpeg_buffer, room_for

if TYPE_CHECKING:
    from PIL.ImageFile import ImageFile

__all__ = [
    "MOST_BYTES",
    "MOST_PIXELS",
    "MOST_SCANS",
    "SUFFIXES",
    "Exif",
    "PictureFile",
    "PictureRefused",
    "check_cost",
    "check_whole",
    "decoding_cost",
    "exif_of",
    "heic_reader",
    "in_order",
    "look",
    "opened",
    "read_file",
    "shown",
]

Given = TypeVar("Given")
Made = TypeVar("Made")

MOST_PIXELS = 150_000_000
"""Above this no picture is taken; what a smaller one costs is asked in `costs`. Cameras give 10 to
100 million."""
MOST_SIDE = 65_535
"""Pixels of a side: what the JPEG format ends at. Each row costs memory, however short it is."""
MOST_BYTES = 1_000_000_000
"""Above this a file is not read; 150 million pixels at 16 bits, not compressed, are 900 MB."""
MOST_SCANS = 250
"""Scans of a progressive JPEG. Encoders write about ten; each costs a pass over the picture."""

SUFFIXES = {"JPEG": ".jpg", "PNG": ".png", "HEIC": ".heic"}
"""The formats that are taken, and how their files are named once kept."""

_HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"}
"""Major brands of ISO/IEC 23008-12 (HEIF) files that cameras write."""
_OTHERS = (
    (b"GIF8", "a GIF picture"),
    (b"BM", "a BMP picture"),
    (b"II*\0", "a TIFF picture or a camera's raw file"),
    (b"MM\0*", "a TIFF picture or a camera's raw file"),
    (b"%PDF", "a PDF"),
    (b"8BPS", "a layered picture of a drawing program"),
    (b"<svg", "a drawing (SVG)"),
)

_BROKEN = (
    OSError,
    SyntaxError,
    ValueError,
    EOFError,
    LookupError,
    OverflowError,
    struct.error,
    zlib.error,
)
"""What Pillow raises on data that are not as they should be."""

_EXIF_IFD = 0x8769
_ORIENTATION, _MAKE, _MODEL = 0x0112, 0x010F, 0x0110
_TIMES = ((0x9003, 0x9011, 0x9291), (0x9004, 0x9012, 0x9292))
"""DateTimeOriginal and DateTimeDigitized, with offset and part of a second: Exif 2.32, 4.6.5 F."""
_ANY_OFFSET = 0x9010
_TIME = r"\s*(\d{4})[:\-/](\d\d)[:\-/](\d\d)[ T](\d\d):(\d\d):(\d\d)"
_OFFSET = r"\s*([+\-])(\d\d):?(\d\d)"

_AHEAD = 3
"""Results per worker that may wait for their turn; this bounds the memory."""

_BLOCK = 64 << 20

_JOINERS = "\u200d\ufe0f"
"""What holds an emoji of several parts together: harmless, though not printable by itself."""


class PictureRefused(StoresError):
    """A file that is not taken as a picture. The others of its folder still are."""

    def __init__(self, file: Path, reason: str) -> None:
        self.file = file
        self.reason = reason
        super().__init__(f"{shown(file)}: {reason}")


def shown(file: Path, limit: int = 160) -> str:
    """Return a file's name so that it can be shown on any terminal, in one line.

    Line ends, control and direction marks are written as escapes, and so are bytes that are not
    UTF-8. A long path loses its beginning.
    """
    text = "".join(
        each if each.isprintable() or each in _JOINERS else _escaped(each)
        for each in os.fspath(file)
    )
    return text if len(text) <= limit else f"…{text[1 - limit :]}"


def _escaped(character: str) -> str:
    code = ord(character)
    if 0xDC80 <= code <= 0xDCFF:  # how Python carries a byte that is not UTF-8 (PEP 383)
        return f"\\x{code - 0xDC00:02x}"
    return character.encode("unicode_escape").decode("ascii")


@contextmanager
def read_file(file: Path) -> Iterator[IO[bytes]]:
    """Open a file for reading, never waiting for a pipe and never waking a device.

    Raises:
        PictureRefused: not there, not a plain file, empty, too large, or not to be read.
    """
    try:
        _check_plain(file, file.stat())
        flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
        descriptor = os.open(file, flags)
    except (OSError, ValueError) as error:
        raise PictureRefused(file, _why_not_read(error)) from error
    with open(descriptor, "rb") as stream:  # noqa: PTH123 (a descriptor, not a path)
        _check_plain(file, os.fstat(descriptor))  # it may have been changed for another meanwhile
        yield stream


def _check_plain(file: Path, found: os.stat_result) -> None:
    if stat.S_ISDIR(found.st_mode):
        raise PictureRefused(file, "a folder, not a picture")
    if not stat.S_ISREG(found.st_mode):
        raise PictureRefused(file, "a device or a pipe, not a picture")
    if not found.st_size:
        raise PictureRefused(file, "the file is empty")
    if found.st_size > MOST_BYTES:
        raise PictureRefused(file, f"{found.st_size / 1e9:.1f} GB is too large for a picture")


def _why_not_read(error: Exception) -> str:
    if isinstance(error, FileNotFoundError):
        return "there is no such file"
    if isinstance(error, PermissionError):
        return "no permission to read it"
    if isinstance(error, OSError):
        return f"cannot be read: {error.strerror or error}"
    return "the name cannot be that of a file"


@contextmanager
def opened(file: Path) -> Iterator[tuple[IO[bytes], "ImageFile", str]]:
    """Open a picture and give the stream, the picture (not yet decoded) and its format.

    What goes wrong inside the ``with`` while the picture is decoded is told as a refusal too.

    Raises:
        PictureRefused: not a picture, of a format that is not taken, over the pixel limit, or
            broken.
    """
    quiet()
    with read_file(file) as stream:
        form = _format(file, _head(file, stream))
        try:
            picture = _picture(stream, form)
        except Exception as error:  # the reading of a broken header raises whatever it meets
            raise PictureRefused(
                file, f"begins as a {form} picture, but is broken or cut short"
            ) from error
        with picture:
            _check_size(file, picture.size)
            try:
                yield stream, picture, form
            except PictureRefused:
                raise
            except MemoryError as error:
                raise PictureRefused(file, "too large for the memory there is") from error
            except _BROKEN as error:
                raise PictureRefused(file, _why_broken(error)) from error


def _head(file: Path, stream: IO[bytes]) -> bytes:
    try:
        head = stream.read(64)
        stream.seek(0)
    except OSError as error:
        raise PictureRefused(file, _why_not_read(error)) from error
    return head


def quiet() -> None:
    """Keep what Pillow has to say about odd pictures off the person's screen, and have it take
    memory in pieces that go back to the system: C libraries keep what is freed below 32 MB."""
    warnings.filterwarnings("ignore", module=r"PIL\.")
    from PIL import Image

    core: Any = Image.__dict__["core"]
    core.set_block_size(_BLOCK)


def _format(file: Path, head: bytes) -> str:
    if head.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if head[4:8] == b"ftyp":
        if head[8:12] in _HEIC_BRANDS:
            if not heic_reader():
                raise PictureRefused(
                    file,
                    "a HEIC picture, and no reader for it is installed: "
                    "pip install pillow-heif, or save it as JPEG",
                )
            return "HEIC"
        other = "an AVIF picture" if head[8:12] in (b"avif", b"avis") else "a film or sound"
    elif head.startswith(b"RIFF") and head[8:12] == b"WEBP":
        other = "a WebP picture"
    else:
        other = next((name for magic, name in _OTHERS if head.startswith(magic)), "")
    if other:
        raise PictureRefused(file, f"{other}; taken are JPEG, PNG and HEIC")
    raise PictureRefused(file, "not a picture")


@cache
def heic_reader() -> bool:
    """Tell whether HEIC can be read here."""
    try:
        import pillow_heif
    except ImportError:
        return False
    return hasattr(pillow_heif, "HeifImageFile")


def _picture(stream: IO[bytes], form: str) -> "ImageFile":
    if form == "JPEG":
        from PIL.JpegImagePlugin import JpegImageFile

        return JpegImageFile(stream)
    if form == "PNG":
        from PIL.PngImagePlugin import PngImageFile

        png = PngImageFile(stream)
        if "exif" not in png.info and (late := _late_exif(stream)):
            png.info["exif"] = b"Exif\0\0" + late
        return png
    from pillow_heif import HeifImageFile

    made: ImageFile = HeifImageFile(stream)
    return made


def _late_exif(stream: IO[bytes]) -> bytes:
    """Return the EXIF of a PNG that stands behind the image data, for which Pillow would decode
    the whole picture; the stream stays where it is."""
    here = stream.tell()
    stream.seek(8)
    found = b""
    while len(head := stream.read(8)) == 8 and head[4:] != b"IEND" and not found:
        length = int.from_bytes(head[:4], "big")
        if head[4:] == b"eXIf":
            found = stream.read(min(length, 1 << 16))
        stream.seek(length + 4, os.SEEK_CUR)
    stream.seek(here)
    return found


def _check_size(file: Path, size: tuple[int, int]) -> None:
    width, height = size
    if width < 1 or height < 1:
        raise PictureRefused(file, "a picture without width or height")
    if width * height > MOST_PIXELS:
        raise PictureRefused(
            file,
            f"{width} x {height} is {width * height / 1e6:.0f} million pixels; "
            f"at most {MOST_PIXELS // 1_000_000} million are taken",
        )
    if max(size) > MOST_SIDE:
        raise PictureRefused(file, f"{width} x {height}: a side has at most {MOST_SIDE} pixels")


def decoding_cost(stream: IO[bytes], picture: "ImageFile", form: str) -> int:
    """Return the bytes that it takes to decode a picture as it is set up now."""
    if form != "JPEG":
        return decoded_bytes(picture, form)
    here = stream.tell()
    buffer = jpeg_buffer(stream)
    stream.seek(here)
    return decoded_bytes(picture) + buffer


def check_cost(file: Path, need: int) -> None:
    """Refuse a picture that would need more memory than all pictures together may have.

    Raises:
        PictureRefused: so it is.
    """
    if need > ROOM:
        raise PictureRefused(
            file,
            f"it would take {need / 1e6:.0f} MB of memory to be shown; save it smaller, or as a "
            "plain JPEG",
        )


def _why_broken(error: Exception) -> str:
    said = str(error).lower()
    if "truncat" in said or "not enough image data" in said or "end of file" in said:
        return "the picture is cut short"
    return "the picture is broken and cannot be shown"


def check_whole(file: Path, stream: IO[bytes], picture: "ImageFile", form: str) -> None:
    """Check at little cost that the picture can be decoded to its end.

    A JPEG is decoded at an eighth of its size, a PNG's data are inflated and counted but not made
    into pixels. Errors are those of the decoders, which ``opened`` tells as refusals.
    """
    if form == "JPEG":
        picture.draft("L", (max(1, picture.width // 8), max(1, picture.height // 8)))
        picture.load()
    elif form == "PNG":
        _check_png(file, stream)
    else:
        picture.load()


def _check_png(file: Path, stream: IO[bytes]) -> None:
    """Inflate the image data piece by piece; there must be as much as the size asks for.

    Source: the PNG specification (ISO/IEC 15948), 5.3 chunks, 7.3 and 8.2 the two scan orders.
    """
    stream.seek(8)
    inflater = zlib.decompressobj()
    need = had = 0
    while True:
        head = stream.read(8)
        if len(head) < 8:
            raise PictureRefused(file, "the picture is cut short")
        length, kind = int.from_bytes(head[:4], "big"), head[4:]
        if kind == b"IHDR":
            need = _png_bytes(stream.read(length))
            stream.seek(4, os.SEEK_CUR)
        elif kind == b"IDAT":
            crc = zlib.crc32(kind)
            while length:
                piece = stream.read(min(length, 1 << 18))
                if not piece:
                    raise PictureRefused(file, "the picture is cut short")
                length -= len(piece)
                crc = zlib.crc32(piece, crc)
                had += _inflated(inflater, piece, need + 1 - had)
            if stream.read(4) != crc.to_bytes(4, "big"):
                raise PictureRefused(file, "the picture is damaged: a check sum does not fit")
        elif kind == b"IEND":
            break
        else:
            stream.seek(length + 4, os.SEEK_CUR)
    if had < need:
        raise PictureRefused(file, "the picture is cut short")


def _inflated(inflater: "zlib._Decompress", piece: bytes, most: int) -> int:
    """Count what a piece inflates to, a quarter of a megabyte at a time, to ``most`` at most."""
    count = 0
    while piece and count < most and not inflater.eof:
        count += len(inflater.decompress(piece, 1 << 18))
        piece = inflater.unconsumed_tail
    return count


def _png_bytes(header: bytes) -> int:
    """Return the bytes of a PNG's image data from its header."""
    width, height = int.from_bytes(header[:4], "big"), int.from_bytes(header[4:8], "big")
    depth, colour, interlaced = header[8], header[9], header[12]
    bits = depth * {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}[colour]
    passes = [(0, 0, 1, 1)]
    if interlaced:
        passes = [
            (0, 0, 8, 8),
            (4, 0, 8, 8),
            (0, 4, 4, 8),
            (2, 0, 4, 4),
            (0, 2, 2, 4),
            (1, 0, 2, 2),
            (0, 1, 1, 2),
        ]
    total = 0
    for left, top, across, down in passes:
        columns, rows = -(-(width - left) // across), -(-(height - top) // down)
        if columns > 0 and rows > 0:
            total += rows * (1 + (columns * bits + 7) // 8)
    return total


@dataclass(frozen=True, slots=True)
class PictureFile:
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


def look(file: Path) -> PictureFile:
    """PictureFile at one file, and check that its picture can be decoded to the end.

    Raises:
        PictureRefused: one line that says why it is not taken.
    """
    with opened(file) as (stream, picture, form):
        width, height = picture.size
        stream.seek(0)
        digest, size, parts = _read_through(file, stream)
        if form == "JPEG" and parts.scans > MOST_SCANS:
            raise PictureRefused(
                file, f"{parts.scans} scans in one picture: made to keep a reader busy"
            )
        need = parts.buffer if form == "JPEG" else decoded_bytes(picture, form)
        check_cost(file, need + _shown_later(form, width * height, need))
        stream.seek(0)
        with room_for(need if form != "PNG" else 0):
            exif = exif_of(picture)
            check_whole(file, stream, picture, form)
    return PictureFile(
        file, form, width, height, exif.orientation, exif.taken, digest, size, exif.camera
    )


def _shown_later(form: str, pixels: int, need: int) -> int:
    """Return what is needed besides, at most, to show a picture that is taken and to look for codes
    in it: a JPEG is decoded at a part of its size then."""
    if form == "JPEG":
        return pixels // 2 if need else 0
    return min(pixels, 36_000_000)


def _read_through(file: Path, stream: IO[bytes]) -> tuple[str, int, JpegParts]:
    """Return digest and bytes of a file, and what it has as a JPEG."""
    digest, size, parts = hashlib.sha256(), 0, JpegParts()
    while piece := stream.read(1 << 20):
        digest.update(piece)
        size += len(piece)
        parts.feed(piece)
        if size > MOST_BYTES:
            raise PictureRefused(file, "the file grows while it is read")
    return digest.hexdigest(), size, parts


@dataclass(frozen=True, slots=True)
class Exif:
    """What is taken from a picture's EXIF; what is missing or nonsense there is left out."""

    orientation: int = 1
    taken: datetime | None = None
    camera: str = ""


def exif_of(picture: Any) -> Exif:
    """Read orientation, time and camera. Broken EXIF is no reason to refuse a picture."""
    from PIL.Image import Image

    try:
        # what a PNG has is known by now; its own way to ask decodes the picture where it has none
        first = Image.getexif(picture) if picture.format == "PNG" else picture.getexif()
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


def in_order(
    work: Callable[[Given], Made], items: Iterable[Given], workers: int | None = None
) -> Iterator[Made]:
    """Return ``work(item)`` of each item, in the order of the items.

    Only a few results are made ahead of the one that is asked for. What ``work`` raises is raised
    at that item's turn.
    """
    from concurrent.futures import Future, ThreadPoolExecutor

    workers = workers or os.cpu_count() or 1
    waiting: deque[Future[Made]] = deque()
    pool = ThreadPoolExecutor(workers, thread_name_prefix="pictures")
    try:
        for item in items:
            waiting.append(pool.submit(work, item))
            if len(waiting) >= workers * _AHEAD:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
