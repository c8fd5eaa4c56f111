"""Finding the codes in a photograph, however small, tilted or badly lit.

``tests/benchmarks/label_in_picture.py`` measures what each way of looking is worth.
"""

from collections.abc import Iterable, Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stores.photos.opening import PictureRefused, in_order, opened
from stores.photos.thumbs import plain, reduced

if TYPE_CHECKING:
    from PIL.Image import Image

__all__ = ["codes_in", "codes_in_all", "codes_seen"]

_LONGEST = 6000
"""Pixels: a longer picture is made smaller first; a label that is read at all is read then."""
_TILES = 4
_OVERLAP = 200
"""Pixels by which tiles overlap, so that a small code is whole in one of them."""


def codes_in(file: Path, *, thorough: bool = False) -> tuple[str, ...]:
    """Return the texts of the QR codes in a photograph, each once, sorted.

    The whole picture is read as it is, at half its size with its edges sharpened, then more so (a
    blurred label), then in parts (light that differs); all of it though one code was found, for
    there may be a second label that makes the first no answer. ``thorough`` then tries enlarged
    parts (a small label) where none was found, at about five times the time.

    Raises:
        PictureRefused: not a picture, or broken.
    """
    with opened(file) as (_, picture, form):
        if form == "JPEG":
            picture.draft("L", (_LONGEST, _LONGEST))
        picture.load()
        return codes_seen(plain(reduced(picture, _LONGEST)).convert("L"), thorough=thorough)


def codes_in_all(
    files: Iterable[Path], *, thorough: bool = False, workers: int | None = None
) -> Iterator[tuple[Path, tuple[str, ...] | PictureRefused]]:
    """Return each file with the codes in it, or with its refusal, in order, on all processors."""
    return in_order(partial(_tried, thorough=thorough), files, workers)


def _tried(file: Path, thorough: bool) -> tuple[Path, tuple[str, ...] | PictureRefused]:
    try:
        return file, codes_in(file, thorough=thorough)
    except PictureRefused as refused:
        return file, refused


def codes_seen(grey: "Image", *, thorough: bool = False) -> tuple[str, ...]:
    """Return the texts of the QR codes in a grey picture that is upright or not."""
    half = grey.reduce(2) if min(grey.size) > 600 else grey
    found = _read(grey) | _read(_sharpened(half, 1, 4))
    if len(found) < 2:
        found |= _read(_sharpened(half, 3, 5))
    if len(found) < 2:
        found |= {text for part in _parts(grey) for text in _read(part)}
    if not found and thorough:
        found = {text for part in _parts(grey) for text in _read(_enlarged(part))}
    return tuple(sorted(found))


def _read(grey: "Image") -> set[str]:
    import zxingcpp

    formats: Any = zxingcpp.BarcodeFormat.QRCode
    read = zxingcpp.read_barcodes(grey, formats=formats, try_invert=False)
    return {each.text for each in read if each.text}


def _sharpened(grey: "Image", radius: int, strength: float) -> "Image":
    """Push a picture away from its own blur: an unsharp mask with a box, which is quick."""
    from PIL import Image, ImageFilter

    return Image.blend(grey.filter(ImageFilter.BoxBlur(radius)), grey, strength)


def _enlarged(grey: "Image") -> "Image":
    from PIL.Image import Resampling

    twice = grey.resize((2 * grey.width, 2 * grey.height), Resampling.BILINEAR)
    return _sharpened(twice, 2, 3)


def _parts(grey: "Image") -> Iterator["Image"]:
    """Cut a picture into overlapping parts, all of them though an early one may show a code."""
    width, height = grey.size
    for row in range(_TILES):
        for column in range(_TILES):
            yield grey.crop(
                (
                    max(0, width * column // _TILES - _OVERLAP),
                    max(0, height * row // _TILES - _OVERLAP),
                    min(width, width * (column + 1) // _TILES + _OVERLAP),
                    min(height, height * (row + 1) // _TILES + _OVERLAP),
                )
            )
