"""Thumbnails of pictures, upright, made on all cores a few ahead of where they are drawn."""

import os
import warnings
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL import Image

__all__ = ["Thumbnails", "thumbnail", "thumbnails"]

Thumbnails = Callable[[Sequence[Path], int], Iterator[bytes | None]]
"""Upright JPEGs of these files in order, their longer side so many pixels; None: unreadable."""

_QUALITY = 80
_AHEAD = 4
"""Thumbnails waiting for each core: enough to keep all busy, few enough to need no memory."""
_ORIENTATION = 0x0112
"""EXIF 2.32 (CIPA DC-008-2019), 4.6.4: the tag of the orientation."""


def thumbnail(file: Path, longest: int, turn: int = 1) -> bytes | None:
    """Give a picture as an upright JPEG, grey or RGB, its longer side at most ``longest`` pixels.

    ``turn`` is the EXIF orientation on record; if that is 1, the file's own counts. Gives None for
    what cannot be read to its end.
    """
    from PIL import Image

    try:
        with Image.open(file) as picture:
            # a JPEG is decoded at a half, a quarter or an eighth: most of the time saved is here
            picture.draft("RGB", (longest, longest))
            own = picture.getexif().get(_ORIENTATION, 1)
            picture.thumbnail((longest, longest), reducing_gap=2.0)
            return _jpeg(_turned(_flat(picture), turn if turn in range(2, 9) else own))
    except Exception:  # what is not a picture raises nearly anything on its way through a reader
        return None


def _flat(picture: "Image.Image") -> "Image.Image":
    """Give it as grey or RGB; what is clear becomes paper."""
    from PIL import Image

    if picture.mode in ("L", "RGB"):
        return picture
    if picture.mode.startswith("I"):  # 16 bits of grey
        return picture.convert("I").point([value // 256 for value in range(65536)], "L")
    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        clear = picture.convert("RGBA")
        paper = Image.new("RGB", clear.size, "white")
        paper.paste(clear, mask=clear.getchannel("A"))
        return paper
    return picture.convert("RGB")


def _turned(picture: "Image.Image", turn: int) -> "Image.Image":
    from PIL.Image import Transpose

    ways = {
        2: Transpose.FLIP_LEFT_RIGHT,
        3: Transpose.ROTATE_180,
        4: Transpose.FLIP_TOP_BOTTOM,
        5: Transpose.TRANSPOSE,
        6: Transpose.ROTATE_270,
        7: Transpose.TRANSVERSE,
        8: Transpose.ROTATE_90,
    }
    return picture.transpose(ways[turn]) if turn in ways else picture


def _jpeg(picture: "Image.Image") -> bytes:
    from io import BytesIO

    out = BytesIO()
    picture.save(out, "JPEG", quality=_QUALITY)
    return out.getvalue()


def thumbnails(pictures: Iterable[tuple[Path, int]], longest: int) -> Iterator[bytes | None]:
    """Give the thumbnails of these files, each with its turn, in order.

    Pillow lets go of the interpreter while it decodes: threads use every core as processes would,
    and start at once.
    """
    from PIL.Image import DecompressionBombWarning

    # a large picture is only slow; what is larger still Pillow refuses, and its place says so
    warnings.filterwarnings("ignore", category=DecompressionBombWarning)
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    waiting: deque[Future[bytes | None]] = deque()
    with ThreadPoolExecutor(cores or 1) as pool:
        try:
            for file, turn in pictures:
                waiting.append(pool.submit(thumbnail, file, longest, turn))
                if len(waiting) >= _AHEAD * (cores or 1):
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()
        finally:
            for late in waiting:
                late.cancel()
