"""Drawing boxes as dots, for a thermal printer that takes a label as one picture in ZPL II.

Source of the format: the ZPL II commands ^XA, ^PW, ^LL, ^FO, ^GF and ^XZ, from memory; the tests
draw what comes out with a renderer of another hand and read its code back.
"""

from collections.abc import Iterable
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from stores.printing.boxes import Box, Code, Frame, Stripe, Stroke, Text, Tick
from stores.printing.qr import runs as rows_of
from stores.printing.qr import side
from stores.printing.typeface import Font, built_in, runs

if TYPE_CHECKING:
    from PIL.Image import Image

    from stores.printing.labels import LabelPage

__all__ = ["ROLL_DPI", "dots", "zpl"]

MM_PER_INCH = 25.4
ROLL_DPI = 203
"""Dots an inch of most thermal printers (common practice): eight a millimetre."""


def zpl(pages: Iterable["LabelPage"], dpi: int) -> bytes:
    """Return labels for a printer that speaks ZPL II, each as one picture of so many dots an inch.

    The offset of the printer is its own to set.
    """
    return b"".join(_label(dots(page.boxes, page.width, page.height, dpi)) for page in pages)


def _label(picture: "Image") -> bytes:
    from PIL import ImageChops

    black = ImageChops.invert(picture.convert("L")).convert("1").tobytes()
    row = (picture.width + 7) // 8
    return (
        f"^XA^PW{picture.width}^LL{picture.height}^FO0,0"
        f"^GFA,{len(black)},{len(black)},{row},{black.hex().upper()}^FS^XZ\n"
    ).encode("ascii")


def dots(boxes: Iterable[Box], width: float, height: float, dpi: int) -> "Image":
    """Return boxes of a page so many mm wide and high as a picture of black and white dots.

    The modules of a code are whole dots where it was laid out for this printer.
    """
    from PIL import Image, ImageDraw

    per_mm = dpi / MM_PER_INCH
    size = (round(width * per_mm), round(height * per_mm))
    picture = Image.new("1", size, 1)
    draw = ImageDraw.Draw(picture)
    for box in boxes:
        _draw(draw, box, per_mm)
    return picture


def _draw(draw: Any, box: Box, per_mm: float) -> None:
    left, top = box.x * per_mm, box.y * per_mm
    right, bottom = left + box.width * per_mm, top + box.height * per_mm
    match box:
        case Text():
            high = max(1, round(box.size / 72 * MM_PER_INCH * per_mm))
            for own, words in runs(box.text):
                font = _font(own or built_in(box.bold), high)
                at = (left, top + box.baseline * per_mm)
                draw.text(at, words, fill=0, font=font, anchor="ls")
                left += font.getlength(words)
        case Stripe():
            draw.rectangle((left, top, max(left, right - 1), max(top, bottom - 1)), fill=0)
        case Frame():
            wide = max(1, round(box.line * per_mm))
            draw.rounded_rectangle(
                (left, top, right, bottom), radius=box.radius * per_mm, outline=0, width=wide
            )
        case Tick():
            draw.rectangle((left, top, right, bottom), outline=0, width=max(1, round(per_mm * 0.3)))
            if box.done:
                draw.line((left, top, right, bottom), fill=0, width=2)
                draw.line((left, bottom, right, top), fill=0, width=2)
        case Code():
            module = (right - left) / side(box.version)
            for row, first, length in rows_of(box):
                x, y = left + first * module, top + row * module
                draw.rectangle(
                    (round(x), round(y), round(x + length * module) - 1, round(y + module) - 1),
                    fill=0,
                )
        case Stroke():
            points = [((box.x + x) * per_mm, (box.y + y) * per_mm) for x, y in box.points]
            draw.line(points, fill=0, width=max(1, round(box.line * per_mm)))


@lru_cache(maxsize=64)
def _font(font: Font, pixels: int) -> Any:
    from PIL import ImageFont

    return ImageFont.truetype(str(font.path), pixels)
