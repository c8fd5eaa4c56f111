"""Drawing boxes into a PDF with ReportLab. All knowledge of ReportLab is in this module."""

import unicodedata
from collections.abc import Iterable
from functools import cache, lru_cache
from importlib.resources import as_file, files
from io import BytesIO
from typing import Any

from stores.printing.boxes import MM_PER_POINT, Box, Code, Frame, Rule, Text, Tick
from stores.printing.qr import runs, side

__all__ = ["A4", "MISSING", "Pdf", "measure"]

A4 = (210.0, 297.0)
"""Width and height in mm: ISO 216."""
MISSING = "□"
"""Drawn for a character that the font lacks, U+25A1."""
_FONTS = {False: "DejaVuSansCondensed", True: "DejaVuSansCondensed-Bold"}


@cache
def _face(bold: bool) -> Any:
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    name = _FONTS[bold]
    with as_file(files("stores.printing").joinpath("fonts", f"{name}.ttf")) as path:
        pdfmetrics.registerFont(TTFont(name, str(path)))
    return pdfmetrics.getFont(name)


@lru_cache(maxsize=8192)
def _drawable(char: str) -> bool:
    """Whether both fonts have it and it can be set in order from left to right."""
    if unicodedata.bidirectional(char) in ("R", "AL", "AN"):
        return False
    return all(ord(char) in _face(bold).face.charToGlyph for bold in (False, True))


def _set(text: str) -> str:
    """Give the text as it can be drawn."""
    if text.isascii():
        return text
    return "".join(char if _drawable(char) else MISSING for char in text)


@lru_cache(maxsize=65536)
def measure(text: str, bold: bool, size: float) -> float:
    """Give the width in mm of a text as it will be drawn, at a size in points."""
    return float(_face(bold).stringWidth(_set(text), size)) * MM_PER_POINT


class Pdf:
    """A PDF under way, page by page. The same boxes make the same bytes."""

    def __init__(self, title: str, subject: str, page: tuple[float, float] = A4) -> None:
        from reportlab.pdfgen.canvas import Canvas

        self.height = page[1]
        self.pages = 0
        self.missing: dict[str, None] = {}
        self._out = BytesIO()
        size = (page[0] / MM_PER_POINT, page[1] / MM_PER_POINT)
        for bold in _FONTS:
            _face(bold)
        self._canvas = Canvas(self._out, pagesize=size, invariant=1, pageCompression=1)
        self._canvas.setTitle(title)
        self._canvas.setAuthor("stores")
        self._canvas.setCreator("stores")
        self._canvas.setSubject(subject)
        # a label sheet that the viewer shrinks "to fit" misses its labels
        self._canvas.setViewerPreference("PrintScaling", "None")

    def page(self, boxes: Iterable[Box]) -> None:
        """Draw one page."""
        for box in boxes:
            self._draw(box)
        self._canvas.showPage()
        self.pages += 1

    def bytes(self) -> bytes:
        """Close the file and give it."""
        self._canvas.save()
        return self._out.getvalue()

    def missing_warning(self) -> tuple[str, ...]:
        """Name the characters that could not be drawn, in one line, or give nothing."""
        if not self.missing:
            return ()
        named = [f"{char} (U+{ord(char):04X})" for char in self.missing]
        more = f" and {len(named) - 12} others" if len(named) > 12 else ""
        return (f"not in the font, drawn as {MISSING}: {', '.join(named[:12])}{more}",)

    def _draw(self, box: Box) -> None:
        match box:
            case Text():
                self._text(box)
            case Rule():
                self._canvas.rect(*self._corner(box), stroke=0, fill=1)
            case Frame():
                self._frame(box)
            case Tick():
                self._tick(box)
            case Code():
                self._code(box)

    def _corner(self, box: Box) -> tuple[float, float, float, float]:
        return (
            box.x / MM_PER_POINT,
            (self.height - box.y - box.height) / MM_PER_POINT,
            box.width / MM_PER_POINT,
            box.height / MM_PER_POINT,
        )

    def _text(self, box: Text) -> None:
        words = _set(box.text)
        if words != box.text:
            lost = (char for char in box.text if not _drawable(char))
            self.missing.update(dict.fromkeys(lost))
        self._canvas.setFont(_FONTS[box.bold], box.size)
        self._canvas.drawString(
            box.x / MM_PER_POINT, (self.height - box.y - box.baseline) / MM_PER_POINT, words
        )

    def _frame(self, box: Frame) -> None:
        self._canvas.setLineWidth(box.line / MM_PER_POINT)
        if box.radius:
            radius = box.radius / MM_PER_POINT
            self._canvas.roundRect(*self._corner(box), radius, stroke=1, fill=0)
        else:
            self._canvas.rect(*self._corner(box), stroke=1, fill=0)

    def _tick(self, box: Tick) -> None:
        self._frame(Frame(box.x, box.y, box.width, box.height, 0.35, 0.4))
        if not box.done:
            return
        x, y, width, height = self._corner(box)
        stroke = self._canvas.beginPath()
        stroke.moveTo(x + 0.18 * width, y + 0.52 * height)
        stroke.lineTo(x + 0.42 * width, y + 0.2 * height)
        stroke.lineTo(x + 0.95 * width, y + 1.08 * height)
        self._canvas.saveState()
        self._canvas.setLineWidth(0.7 / MM_PER_POINT)
        self._canvas.setLineCap(1)
        self._canvas.setLineJoin(1)
        self._canvas.drawPath(stroke, stroke=1, fill=0)
        self._canvas.restoreState()

    def _code(self, box: Code) -> None:
        left, bottom, width, height = self._corner(box)
        module = width / side(box.version)
        path = self._canvas.beginPath()
        for row, column, length in runs(box):
            path.rect(
                left + column * module,
                bottom + height - (row + 1) * module,
                length * module,
                module,
            )
        self._canvas.drawPath(path, stroke=0, fill=1)
