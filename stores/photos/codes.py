"""Finding the codes in a photograph, however small, tilted or badly lit.

``tests/benchmarks/label_in_picture.py`` measures what each way of looking is worth.
"""

from collections.abc import Iterable, Iterator
from functools import partial
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

from stores.photos.costs import room_for
from stores.photos.opening import PictureRefused, check_cost, decoding_cost, in_order, opened
from stores.photos.thumbs import drafted, plain_in_bands

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageFile import ImageFile

__all__ = ["codes_in", "codes_in_all", "codes_seen"]

_LONGEST = 6000
"""Pixels: a longer picture is made smaller first; a label that is read at all is read then."""
_LOOKING = 5
"""Bytes for each pixel of a grey picture that it takes to look at it."""
_TILES = 4
_STRETCHED = 2500
"""Pixels: what is longer is stretched at half its size."""
_OVERLAP = 200
"""Pixels by which tiles overlap, so that a small code is whole in one of them."""


def codes_in(file: Path, *, thorough: bool = False) -> tuple[str, ...]:
    """Return the texts of the QR codes in a photograph, each once, sorted.

    The whole picture is read as it is, at half its size with its edges sharpened, then more so (a
    blurred label), then in parts (light that differs); all of it though one code was found, for
    there may be a second label that makes the first no answer. Where none was found it is read at
    half its size without that (a faint print, one with dead dots). ``thorough`` then tries enlarged
    parts (a small label), softened, and stretched one way and the other (a label seen from the
    side), at about six times the time.

    Raises:
        PictureRefused: not a picture, or broken.
    """
    with opened(file) as (stream, picture, form):
        need = _prepared(stream, picture, form)
    check_cost(file, need)
    with room_for(need):
        return codes_seen(_grey(file), thorough=thorough)


def _prepared(stream: IO[bytes], picture: "ImageFile", form: str) -> int:
    """Set a picture up to be decoded no larger than it has to be; return what that, or looking at
    it then, takes."""
    times = _times(picture)
    if form == "JPEG":
        drafted(picture, -(-max(picture.size) // times), "L")
    left = _times(picture)
    grey = picture.width * picture.height // left**2
    return max(decoding_cost(stream, picture, form) + grey, _LOOKING * grey)


def _times(picture: "Image") -> int:
    """Return by how many whole times a picture is made smaller."""
    return -(-max(picture.size) // _LONGEST)


def _grey(file: Path) -> "Image":
    with opened(file) as (stream, picture, form):
        _prepared(stream, picture, form)
        picture.load()
        return plain_in_bands(picture, _times(picture), "L")


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
    for looked in _more(grey, half, thorough=thorough):
        if found:
            break
        found = {text for each in looked for text in _read(each)}
    return tuple(sorted(found))


def _more(grey: "Image", half: "Image", *, thorough: bool) -> Iterator[Iterable["Image"]]:
    """Give further ways of looking, each made only when it is its turn."""
    from PIL import ImageFilter

    yield [half]
    if thorough:
        yield map(_enlarged, _parts(grey))
        small = grey if max(grey.size) <= _STRETCHED else half
        yield [small.filter(ImageFilter.BoxBlur(1))]
        yield (_stretched(small, *by) for by in ((1, 1.5), (1.5, 1)))


def _stretched(grey: "Image", across: float, down: float) -> "Image":
    from PIL.Image import Resampling

    size = round(grey.width * across), round(grey.height * down)
    return grey.resize(size, Resampling.BILINEAR)


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
