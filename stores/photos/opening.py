"""Opening a file as a picture: safely, whatever it holds, and by its content, not its name.

The picture classes of Pillow are called directly, not ``Image.open``: that tries every format it
knows on what may be a hostile file, and warns of or refuses large pictures by a limit of its own
that can only be changed for the whole program.
"""

import os
import stat
import struct
import warnings
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import IO, TYPE_CHECKING

from stores.photos.refusal import PictureRefused

if TYPE_CHECKING:
    from PIL.ImageFile import ImageFile

__all__ = [
    "MOST_BYTES",
    "MOST_PIXELS",
    "MOST_SCANS",
    "SUFFIXES",
    "check_whole",
    "heic_reader",
    "opened",
    "read_file",
]

MOST_PIXELS = 150_000_000
"""Above this a picture is not decoded: it would take 600 MB. Cameras give 10 to 100 million."""
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
    """Give the bytes of a PNG's image data from its header."""
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
