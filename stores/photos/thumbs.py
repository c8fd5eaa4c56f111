"""Small copies of pictures: upright, in plain colour, as JPEG, many at once."""

import io
from collections.abc import Iterable, Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from stores.errors import BadValue
from stores.photos.costs import room_for
from stores.photos.opening import (
    PictureRefused,
    check_cost,
    decoding_cost,
    exif_of,
    in_order,
    opened,
)

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageFile import ImageFile

__all__ = [
    "drafted",
    "plain_in_bands",
    "reduced",
    "small_pictures",
    "thumbnail",
    "thumbnails",
    "turned",
]

QUALITY = 80
"""JPEG quality of a thumbnail: at 300 dpi in print no difference is seen above it."""


def thumbnail(file: Path, longest_px: int, quality: int = QUALITY) -> bytes:
    """Return a picture as a JPEG with its longest side at most ``longest_px`` pixels.

    It stands upright without EXIF, in grey or RGB; transparent parts become white. It is never
    larger than the original. Nothing of the original's EXIF is in it.

    Raises:
        BadValue: a size or quality that makes no picture.
        PictureRefused: not a picture, or broken.
    """
    if not 1 <= longest_px <= 10_000:
        raise BadValue(f"a thumbnail of {longest_px} pixels; give 1 to 10000")
    if not 1 <= quality <= 95:
        raise BadValue(f"a JPEG quality of {quality}; give 1 to 95")
    with opened(file) as (stream, picture, form):
        orientation = exif_of(picture).orientation
        if form == "JPEG":  # decoded at a half, a quarter or an eighth, still twice what is wanted
            drafted(picture, 2 * longest_px)
        need = decoding_cost(stream, picture, form)
        if (smaller := _whole_times(picture, longest_px)) == 1:  # made plain and smaller at once
            need += (4 if _is_plain(picture) else 12) * picture.width * picture.height
        check_cost(file, need)
        with room_for(need):
            picture.load()
            small = reduced(plain_in_bands(picture, smaller), longest_px)
            made = io.BytesIO()
            turned(small, orientation).save(made, "JPEG", quality=quality, optimize=True)
    return made.getvalue()


def thumbnails(
    files: Iterable[Path],
    longest_px: int,
    quality: int = QUALITY,
    *,
    workers: int | None = None,
) -> Iterator[tuple[Path, bytes | PictureRefused]]:
    """Return each file with its thumbnail, or with why it has none, in order and on all processors.

    Only a few are made ahead of the one asked for.
    """
    return in_order(partial(_tried, longest_px=longest_px, quality=quality), files, workers)


def small_pictures(files: Iterable[Path], longest_px: int) -> Iterator[bytes | None]:
    """Return the thumbnails in order, as sheets take them: None for what is no picture."""
    for _, made in thumbnails(files, longest_px):
        yield made if isinstance(made, bytes) else None


def _tried(file: Path, longest_px: int, quality: int) -> tuple[Path, bytes | PictureRefused]:
    try:
        return file, thumbnail(file, longest_px, quality)
    except PictureRefused as refused:
        return file, refused


def drafted(picture: "ImageFile", longest_px: int, mode: str | None = None) -> None:
    """Have a JPEG decoded at a part of its size, no smaller than this."""
    scale = min(1.0, longest_px / max(picture.size))
    width, height = (max(1, int(side * scale)) for side in picture.size)
    picture.draft(mode, (width, height))


def _whole_times(picture: "Image", longest_px: int) -> int:
    """Return by how many whole times a picture can be made smaller and still be twice as long."""
    return max(1, max(picture.size) // (2 * longest_px))


def plain_in_bands(picture: "Image", times: int = 1, mode: str = "") -> "Image":
    """Return a decoded picture in plain colours, or of another mode, and so many whole times
    smaller, a band at a time: never is there a second picture of the full size."""
    from PIL import Image

    if times == 1 and not mode:
        return plain(picture)
    width, height = picture.size
    rows = times * max(1, (1 << 20) // (times * width))
    made: Image.Image | None = None
    for top in range(0, height, rows):
        band = plain(picture.crop((0, top, width, min(height, top + rows))))
        band = (band.convert(mode) if mode else band).reduce(times)
        if made is None:
            made = Image.new(band.mode, (band.width, -(-height // times)))
        made.paste(band, (0, top // times))
    assert made is not None  # it has a row
    return made


def reduced(picture: "Image", longest_px: int) -> "Image":
    """Return a plain picture, its longest side at most ``longest_px``; a smaller one as it is."""
    from PIL.Image import Resampling

    scale = longest_px / max(picture.size)
    if scale >= 1:
        return picture
    width, height = (max(1, round(side * scale)) for side in picture.size)
    return picture.resize((width, height), Resampling.LANCZOS, reducing_gap=2.0)


def turned(picture: "Image", orientation: int) -> "Image":
    """Turn a picture upright by its EXIF orientation, 1 to 8 (Exif 2.32, 4.6.4 A)."""
    from PIL.Image import Transpose

    how = {
        2: Transpose.FLIP_LEFT_RIGHT,
        3: Transpose.ROTATE_180,
        4: Transpose.FLIP_TOP_BOTTOM,
        5: Transpose.TRANSPOSE,
        6: Transpose.ROTATE_270,
        7: Transpose.TRANSVERSE,
        8: Transpose.ROTATE_90,
    }.get(orientation)
    return picture.transpose(how) if how is not None else picture


def _is_plain(picture: "Image") -> bool:
    return picture.mode in ("L", "RGB") and "transparency" not in picture.info


def plain(picture: "Image") -> "Image":
    """Return a picture in grey or RGB, 8 bits a channel, transparent parts over white."""
    from PIL import Image

    if _is_plain(picture):
        return picture
    if picture.mode.startswith("I"):  # 16 bits of grey
        return picture.convert("I").point(lambda value: value * (1 / 256)).convert("L")
    if picture.mode in ("RGBA", "LA", "PA", "La", "RGBa") or "transparency" in picture.info:
        over = picture.convert("RGBA")
        white = Image.new("RGBA", over.size, "white")
        return Image.alpha_composite(white, over).convert("RGB")
    return picture.convert("L" if picture.mode == "1" else "RGB")
