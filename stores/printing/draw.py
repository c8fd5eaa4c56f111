"""Drawing boxes into a PDF with ReportLab. All knowledge of ReportLab is in this module.

Pictures are put behind the finished PDF, so that they need not be in memory all at once.
ISO 32000-1:2008, 7.5.6: a file may be changed by adding to its end. New versions of some objects
follow, then a cross-reference section for these alone and a trailer that points back with /Prev.
"""

import re
import struct
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryFile
from typing import IO, Any

from stores.errors import PrintError, shorten
from stores.printing.boxes import (
    MM_PER_POINT,
    Box,
    Code,
    Frame,
    Picture,
    Point,
    Stripe,
    Stroke,
    Text,
    Tick,
    plain,
)
from stores.printing.files import Printed, put
from stores.printing.paper import chosen_paper
from stores.printing.qr import runs as rows_of
from stores.printing.qr import side
from stores.printing.typeface import BUILT_IN, MISSING, Font, built_in, drawable, own_font, runs

__all__ = ["Late", "Pdf", "jpeg_size", "measure", "with_pictures"]


_COLOURS = {1: b"/DeviceGray", 3: b"/DeviceRGB"}
_FRAMES = (0xC0, 0xC1, 0xC2)
"""JPEG markers of a frame that PDF can show: baseline, extended, progressive."""


@dataclass(frozen=True, slots=True)
class Late:
    """The number of the object that a picture takes, the file's bytes, and what it says it is."""

    number: int
    width: int
    height: int
    channels: int
    jpeg: bytes


def jpeg_size(jpeg: bytes) -> tuple[int, int, int] | None:
    """Give width, height and channels of a JPEG, grey or RGB with 8 bits; None for all else."""
    if jpeg[:2] != b"\xff\xd8":
        return None
    at = 2
    while at + 10 <= len(jpeg):
        if jpeg[at] != 0xFF:
            return None
        marker = jpeg[at + 1]
        if marker == 0xFF:  # fill
            at += 1
            continue
        if marker in _FRAMES:
            height = int.from_bytes(jpeg[at + 5 : at + 7])
            width = int.from_bytes(jpeg[at + 7 : at + 9])
            good = jpeg[at + 4] == 8 and width and height and jpeg[at + 9] in _COLOURS
            return (width, height, jpeg[at + 9]) if good else None
        at += 2 + int.from_bytes(jpeg[at + 2 : at + 4])
    return None


def with_pictures(document: bytes, pictures: Iterable[Late]) -> Iterator[bytes]:
    """Give the document in pieces, each picture as the object whose number it has.

    The JPEG is in the file as it is. Raises PrintError for what is no finished PDF.
    """
    tail = re.search(rb"trailer\s*<<(.*)>>\s*startxref\s+(\d+)\s+%%EOF\s*\Z", document, re.DOTALL)
    if not tail:
        raise PrintError("the pictures cannot be added: the document has no trailer")
    yield document
    at = len(document)
    starts: dict[int, int] = {}
    for picture in pictures:
        head = (
            b"%d 0 obj\n<< /Type /XObject /Subtype /Image /Width %d /Height %d /ColorSpace %s"
            b" /BitsPerComponent 8 /Filter /DCTDecode /Length %d >>\nstream\n"
        ) % (
            picture.number,
            picture.width,
            picture.height,
            _COLOURS[picture.channels],
            len(picture.jpeg),
        )
        foot = b"\nendstream\nendobj\n"
        yield head
        yield picture.jpeg
        yield foot
        starts[picture.number] = at
        at += len(head) + len(picture.jpeg) + len(foot)
    if starts:
        yield b"xref\n"
        for number in sorted(starts):
            yield b"%d 1\n%010d 00000 n \n" % (number, starts[number])
        yield b"trailer\n<<%s/Prev %s\n>>\nstartxref\n%d\n%%%%EOF\n" % (tail[1], tail[2], at)


Bytes = bytes
"""The type: in the class below, ``bytes`` is what gives the file."""
_HANGING = frozenset("JĴЈͿƑƒ")
"""Letters whose ink begins left of where they are set: at 48 points by 0.8 mm."""
_HANGS = 0.06
"""Of the size of type."""


@lru_cache(maxsize=8)
def _face(bold: bool, own: Font | None = None) -> Any:
    """Give ReportLab's font: the built-in one, or the person's own, which has one weight.

    Raises:
        PrintError: one that ReportLab does not read.
    """
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFError, TTFont

    font = own or built_in(bold)
    try:
        made = TTFont(font.name, str(font.path))
        if own:
            # of two fonts that call themselves alike ReportLab takes the first for both
            made.face.name = own.name.encode("ascii")
        pdfmetrics.registerFont(made)
    except (TTFError, OSError, ValueError, LookupError, struct.error) as error:
        where = shorten(str(font.path), 200)
        raise PrintError(f"cannot print with the font {where}: {error}") from error
    return pdfmetrics.getFont(font.name)


def measure(text: str, bold: bool, size: float) -> float:
    """Give the width in mm of a text as it will be drawn, at a size in points."""
    return _width(text, bold, size, own_font())


@lru_cache(maxsize=65536)
def _width(text: str, bold: bool, size: float, _own: Font | None) -> float:
    width = sum(float(_face(bold, own).stringWidth(words, size)) for own, words in runs(text))
    return (width + _overhang(text) * size) * MM_PER_POINT


def _overhang(text: str) -> float:
    """Give what the first letter's ink hangs out at the left, of the size of type."""
    return _HANGS if text[:1] in _HANGING else 0.0


class Pdf:
    """A PDF under way, page by page. The same boxes make the same bytes."""

    def __init__(self, title: str, subject: str, page: tuple[float, float] | None = None) -> None:
        from reportlab import rl_config
        from reportlab.pdfgen.canvas import Canvas

        rl_config.useA85 = 0  # text armour for every stream: a quarter more bytes, and slow
        page = page or chosen_paper().size
        self.height = page[1]
        self.pages = 0
        self.missing: dict[str, None] = {}
        self._last_code: tuple[tuple[str, int, str], Any] = (("", 0, ""), None)
        self._out = BytesIO()
        self._pictures: list[tuple[int, int, int, int]] = []
        self._spool: IO[bytes] | None = None
        size = (page[0] / MM_PER_POINT, page[1] / MM_PER_POINT)
        for bold in BUILT_IN:
            _face(bold)
        self._canvas = Canvas(self._out, pagesize=size, invariant=1, pageCompression=1)
        self._canvas.setTitle(title)
        self._canvas.setAuthor("stores")
        self._canvas.setCreator("stores")
        self._canvas.setSubject(subject)
        # a label sheet that the viewer shrinks "to fit" misses its labels
        self._canvas.setViewerPreference("PrintScaling", "None")

    def page(self, boxes: Iterable[Box], size: tuple[float, float] | None = None) -> None:
        """Draw one page, of a ``size`` of its own if one is given in mm."""
        if size is not None:
            self.height = size[1]
            self._canvas.setPageSize((size[0] / MM_PER_POINT, size[1] / MM_PER_POINT))
        for box in boxes:
            self._draw(box)
        self._canvas.showPage()
        self.pages += 1

    def bytes(self) -> bytes:
        """Close the file and give it."""
        return b"".join(self.pieces())

    def pieces(self) -> Iterator[Bytes]:
        """Close the file and give it bit by bit: the pictures are never in memory all at once."""
        self._canvas.save()
        return with_pictures(self._out.getvalue(), self._late())

    def close(self) -> None:
        """Let go of the pictures that were put aside, once the file is given or given up."""
        if self._spool is not None:
            self._spool.close()

    def missing_warning(self) -> tuple[str, ...]:
        """Name the characters that could not be drawn, in one line, or give nothing."""
        if not self.missing:
            return ()
        named = [f"{char} (U+{ord(char):04X})" for char in self.missing]
        more = f" and {len(named) - 12} others" if len(named) > 12 else ""
        said = f"not in the font, drawn as {MISSING}: {', '.join(named[:12])}{more}"
        return (said if own_font() else f"{said}; a font that has them: stores --font FILE",)

    def _draw(self, box: Box) -> None:
        match box:
            case Text():
                self._text(box)
            case Stripe():
                self._rule(box)
            case Frame():
                self._frame(box)
            case Tick():
                self._tick(box)
            case Code():
                self._code(box)
            case Stroke():
                points = [(box.x + x, box.y + y) for x, y in box.points]
                self._line(points, box.line, box.dash)
            case Picture():
                self._picture(box)

    def _corner(self, box: Box) -> tuple[float, float, float, float]:
        return (
            box.x / MM_PER_POINT,
            (self.height - box.y - box.height) / MM_PER_POINT,
            box.width / MM_PER_POINT,
            box.height / MM_PER_POINT,
        )

    def _text(self, box: Text) -> None:
        if not box.text.isascii():
            lost = (char for char in box.text if not drawable(char))
            self.missing.update(dict.fromkeys(lost))
        x = box.x / MM_PER_POINT + _overhang(box.text) * box.size
        y = (self.height - box.y - box.baseline) / MM_PER_POINT
        for own, words in runs(box.text):
            face = _face(box.bold, own)
            self._canvas.setFont(face.fontName, box.size)
            self._canvas.drawString(x, y, words)
            x += face.stringWidth(words, box.size)

    def _rule(self, box: Stripe) -> None:
        if not box.colour:
            self._canvas.rect(*self._corner(box), stroke=0, fill=1)
            return
        self._canvas.saveState()
        self._canvas.setFillColor(box.colour)
        self._canvas.rect(*self._corner(box), stroke=0, fill=1)
        self._canvas.restoreState()

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
        shares = ((0.18, 0.48), (0.42, 0.8), (0.95, -0.08))
        points = [(box.x + x * box.width, box.y + y * box.height) for x, y in shares]
        self._line(points, 0.7, cap=1)

    def _line(
        self, points: Sequence[Point], line: float, dash: tuple[float, ...] = (), cap: int = 0
    ) -> None:
        """Draw a line through points of the page, all in mm."""
        path = self._canvas.beginPath()
        for at, (x, y) in enumerate(points):
            (path.lineTo if at else path.moveTo)(x / MM_PER_POINT, (self.height - y) / MM_PER_POINT)
        self._canvas.saveState()
        self._canvas.setLineWidth(line / MM_PER_POINT)
        self._canvas.setLineCap(cap)
        self._canvas.setLineJoin(1)
        if dash:
            self._canvas.setDash([part / MM_PER_POINT for part in dash])
        self._canvas.drawPath(path, stroke=1, fill=0)
        self._canvas.restoreState()

    def _code(self, box: Code) -> None:
        left, bottom, width, height = self._corner(box)
        module = width / side(box.version)
        # whole numbers in a system of modules, down from the top: short
        self._canvas.saveState()
        self._canvas.translate(left, bottom + height)
        self._canvas.scale(module, -module)
        symbol = (box.payload, box.version, box.level)
        if self._last_code[0] != symbol:  # a label has the same one twice
            path = self._canvas.beginPath()
            for row, column, length in rows_of(box):
                path.rect(column, row, length, 1)
            self._last_code = (symbol, path)
        self._canvas.drawPath(self._last_code[1], stroke=0, fill=1)
        self._canvas.restoreState()

    def _picture(self, box: Picture) -> None:
        """Set a picture, and put its bytes aside on disk until the file is written."""
        size = jpeg_size(box.jpeg)
        if size is None:
            return
        wide, high, channels = size
        scale = min(box.width / wide, box.height / high)
        width, height = wide * scale, high * scale
        left, top = box.x + (box.width - width) / 2, box.y + (box.height - height) / 2
        x, y, drawn_width, drawn_height = self._corner(Frame(left, top, width, height))
        name = f"picture{len(self._pictures)}"
        self._hold_place(name)
        self._canvas.saveState()
        self._canvas.translate(x, y)
        self._canvas.scale(drawn_width, drawn_height)
        self._canvas.doForm(name)
        self._canvas.restoreState()
        self._frame(Frame(left, top, width, height, 0.15))
        if self._spool is None:
            self._spool = TemporaryFile()  # noqa: SIM115 - see close
        self._pictures.append((wide, high, channels, self._spool.write(box.jpeg)))

    def _hold_place(self, name: str) -> None:
        """Give a picture to come its number in the document."""
        from reportlab.pdfbase.pdfdoc import PDFDictionary

        # ReportLab's own drawImage keeps every picture in memory until the file is written.
        # Measured with 600 pictures of 220 kB: 17 MB and 1.9 s, by drawImage 509 MB and 13 s.
        self._canvas._doc.addForm(name, PDFDictionary({}))

    def _late(self) -> Iterator[Late]:
        if self._spool is None:
            return
        document = self._canvas._doc
        self._spool.seek(0)
        for at, (width, height, channels, length) in enumerate(self._pictures):
            key = document.getXObjectName(f"picture{at}")
            number, _ = document.idToObjectNumberAndVersion[key]
            yield Late(number, width, height, channels, self._spool.read(length))


def write_pdf(
    pages: Sequence[Sequence[Box]],
    path: Path,
    title: str,
    subject: str,
    size: tuple[float, float] | None = None,
) -> Printed:
    """Write pages of ``size`` mm, by itself the chosen paper, as a PDF; return it with what was cut
    or could not be drawn.

    Raises:
        PrintError: a file that cannot be written.
    """
    pdf = Pdf(plain(title), subject, size)
    for page in pages:
        pdf.page(page)
    put(path, pdf.bytes())
    lost = [box.lost for page in pages for box in page if isinstance(box, Text) and box.lost]
    return Printed(path, pdf.pages, warnings=(*lost, *pdf.missing_warning()))
