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
import threading
import time
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
    "check_whole",
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
"""Above this a picture is not decoded: it would take 600 MB. Cameras give 10 to 100 million."""
MOST_AT_ONCE = 40_000_000
"""So many pixels are worked on at once, whatever the files and the processors: a PNG takes up to
8 bytes a pixel, some 400 MB in all. A JPEG is decoded small, and counts for less."""
MOST_WHOLE = {"JPEG": MOST_PIXELS}
"""What is decoded small may have so many pixels; what has to be decoded whole `MOST_AT_ONCE`."""
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
            _check_size(file, picture.size, MOST_WHOLE.get(form, MOST_AT_ONCE))
            pixels = picture.width * picture.height
            try:
                with _ROOM.taken(pixels // (_SMALLER if form == "JPEG" else 1)):
                    yield stream, picture, form
            except PictureRefused:
                raise
            except MemoryError as error:
                raise PictureRefused(file, "too large for the memory there is") from error
            except _BROKEN as error:
                raise PictureRefused(file, _why_broken(error)) from error


class _Room:
    """The pixels that are worked on at once, by all threads. A thread that works on one already
    does not wait for another: it would wait for itself."""

    def __init__(self) -> None:
        self._free = threading.Condition()
        self._used = 0
        self._here = threading.local()

    @contextmanager
    def taken(self, pixels: int) -> Iterator[None]:
        """Wait until there is room for so many, and have it meanwhile."""
        inside = getattr(self._here, "depth", 0)
        with self._free:
            while not inside and self._used and self._used + pixels > MOST_AT_ONCE:
                self._free.wait()
            self._used += pixels
        if pixels > _LARGE:
            _give_back()
        self._here.depth = inside + 1
        try:
            yield
        finally:
            self._here.depth = inside
            with self._free:
                self._used -= pixels
                self._free.notify_all()


_ROOM = _Room()
_LARGE = 10_000_000
"""So many pixels, and the last picture's memory is given back before the next one is decoded."""
_A_MOMENT = 0.05
"""Seconds; a picture that large takes one or more."""


def _give_back() -> None:
    """Let the system have the memory that was freed: the C library keeps it, for each thread by
    itself, and two large pictures after one another took as much as two at once."""
    import ctypes

    time.sleep(_A_MOMENT)  # whoever made room lets go of the picture a moment later
    try:
        ctypes.CDLL(None).malloc_trim(0)
    except (AttributeError, OSError, TypeError):
        return  # another C library, which has no such call


_SMALLER = 8
"""A JPEG is decoded with a pixel for so many at least."""


def _head(file: Path, stream: IO[bytes]) -> bytes:
    try:
        head = stream.read(64)
        stream.seek(0)
    except OSError as error:
        raise PictureRefused(file, _why_not_read(error)) from error
    return head


def quiet() -> None:
    """Keep what Pillow has to say about odd pictures off the person's screen."""
    warnings.filterwarnings("ignore", module=r"PIL\.")


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

        return PngImageFile(stream)
    from pillow_heif import HeifImageFile

    made: ImageFile = HeifImageFile(stream)
    return made


def _check_size(file: Path, size: tuple[int, int], most: int) -> None:
    width, height = size
    if width < 1 or height < 1:
        raise PictureRefused(file, "a picture without width or height")
    if width * height > most:
        raise PictureRefused(
            file,
            f"{width} x {height} is {width * height / 1e6:.0f} million pixels; "
            f"at most {most // 1_000_000} million are taken"
            + (" but of a JPEG" if most < MOST_PIXELS else ""),
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
        exif = exif_of(picture)
        stream.seek(0)
        digest, size = _read_through(file, stream)
        if form == "JPEG" and _scans(stream) > MOST_SCANS:
            raise PictureRefused(
                file, f"more than {MOST_SCANS} scans in one picture: made to keep a reader busy"
            )
        stream.seek(0)
        check_whole(file, stream, picture, form)
    return PictureFile(
        file, form, width, height, exif.orientation, exif.taken, digest, size, exif.camera
    )


def _scans(stream: IO[bytes]) -> int:
    """Count the scans of a JPEG up to its end of image, and stop at one more than are taken; what
    lies behind the end, as the film of a phone, is no part of it. Markers of ISO/IEC 10918-1, table
    B.1."""
    stream.seek(2)
    scans = 0
    while scans <= MOST_SCANS:
        marker = stream.read(2)
        while marker[1:] == b"\xff":  # filled up
            marker = b"\xff" + stream.read(1)
        if len(marker) < 2 or marker[0] != 0xFF or marker[1] == _END:
            break
        if marker[1] == 0x01 or marker[1] in _ALONE:
            continue
        stream.seek(max(0, int.from_bytes(stream.read(2), "big") - 2), os.SEEK_CUR)
        if marker[1] == _SCAN:
            scans += 1
            _to_marker(stream)
    return scans


_END, _SCAN, _ALONE = 0xD9, 0xDA, range(0xD0, 0xD9)
_MARKER = re.compile(rb"\xff[^\x00\xff\xd0-\xd7]", re.DOTALL)


def _to_marker(stream: IO[bytes]) -> None:
    """Go on to the first marker behind the data of a scan."""
    at, last = stream.tell(), b""
    while piece := stream.read(1 << 16):
        found = _MARKER.search(last + piece)
        if found:
            stream.seek(at - len(last) + found.start())
            return
        at += len(piece)
        last = piece[-1:]


def _read_through(file: Path, stream: IO[bytes]) -> tuple[str, int]:
    """Return digest and bytes."""
    digest, size = hashlib.sha256(), 0
    while piece := stream.read(1 << 20):
        digest.update(piece)
        size += len(piece)
        if size > MOST_BYTES:
            raise PictureRefused(file, "the file grows while it is read")
    return digest.hexdigest(), size


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
