"""Pages: a heading, a foot, blocks that are never broken; and running text with pictures.

Blocks are laid out as a whole; running text is drawn page by page as it comes.

The bound record is set twice, once to count its pages and once to draw them,
page by page: of a page that is done only its packed bytes stay, pictures wait on the disk.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from stores.errors import PrintError
from stores.planning.pictures import Shot
from stores.printing.boxes import (
    READ_SIZE,
    Box,
    Measure,
    Picture,
    Stripe,
    Text,
    Thumbnails,
    cut_end,
    moved,
    plain,
    text_at,
    wrap,
)
from stores.printing.files import Printed, put
from stores.printing.paper import chosen_paper

__all__ = [
    "LEFT",
    "RIGHT",
    "TOP",
    "WIDTH",
    "Flow",
    "Paragraph",
    "Pictures",
    "Slab",
    "Words",
    "column",
    "counted_at",
    "counted_width",
    "headings",
    "write_pages",
]


LEFT = 18.0
"""Millimetres: wide enough for punched holes."""
RIGHT = 198.0
TOP = 14.0
WIDTH = RIGHT - LEFT


@dataclass(frozen=True, slots=True)
class Slab:
    """Boxes that stay together, from 0 at their own top, and how much height they take."""

    boxes: tuple[Box, ...]
    height: float


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph for a column: its type, how many lines at most, and what a warning calls it."""

    text: str
    size: float
    bold: bool = False
    most: int = 12
    name: str = ""


def headings(
    columns: Iterable[tuple[float, str, bool]],
    measure: Measure,
    *,
    rule: float = 0.5,
    height: float = 4.8,
) -> Slab:
    """Head the columns of a table, each with where it is in mm and whether it ends there; a rule of
    so many points under them."""
    boxes: list[Box] = [
        text_at(x, 0, words, 8.5, measure, bold=True, right=right) for x, words, right in columns
    ]
    return Slab((*boxes, Stripe(LEFT, 4.2, WIDTH, rule)), height)


def counted_at(
    right: float, baseline: float, count: str, size: float, measure: Measure, *, room: float = 99.0
) -> list[Box]:
    """Give a count that ends at ``right`` with a small "off" behind it, so that no size beside it
    is read into it: ``4 off  1/4 BSF nut``. It shrinks to ``room`` mm, to 8 points at least;
    thousands that leave no room for "off" stand alone."""
    off = [text_at(right, 0, "off", READ_SIZE, measure, right=True)]
    end = off[0].x - _BEFORE_OFF
    if counted_width(count, READ_SIZE, measure) > room:
        off, end = [], right
    while size > READ_SIZE and measure(count, True, size) > room - (right - end):
        size -= 0.5
    number = text_at(end, 0, count, size, measure, bold=True, right=True)
    return [replace(each, y=baseline - each.baseline) for each in (number, *off)]


_BEFORE_OFF = 0.8


def counted_width(count: str, size: float, measure: Measure) -> float:
    """Return how wide in mm a count is with its "off", in type of this size."""
    return measure(count, True, size) + _BEFORE_OFF + measure("off", False, READ_SIZE)


def column(
    paragraphs: Sequence[Words], x: float, y: float, width: float, measure: Measure
) -> tuple[list[Text], float]:
    """Set paragraphs one under the other; give the boxes and where the last one ends."""
    boxes: list[Text] = []
    for words in paragraphs:
        lines = wrap(words.text, width, words.size, measure, words.bold)
        lost = ""
        if len(lines) > words.most:
            rest = " ".join(lines[words.most - 1 : words.most + 1])
            last = cut_end(rest + " …", width, words.size, measure, words.bold)
            lines = [*lines[: words.most - 1], last]
            lost = f"cut to fit: {words.name}"
        for line in lines:
            box = text_at(x, y, line, words.size, measure, bold=words.bold, lost=lost)
            lost = ""
            boxes.append(box)
            y += box.height * 1.22
    return boxes, y


class Flow:
    """Pages being filled from the top. The caller decides what stays with what."""

    def __init__(self, title: str, date: str, measure: Measure) -> None:
        self.pages: list[list[Box]] = [[]]
        self.y = TOP
        self._title = title
        self._date = date
        self._measure = measure

    @property
    def fresh(self) -> bool:
        """Whether the page holds nothing yet."""
        return not self.pages[-1]

    @property
    def page(self) -> float:
        """How much height a whole page has."""
        return chosen_paper().bottom - TOP

    def fits(self, height: float) -> bool:
        """Whether so much height is left."""
        return self.y + height <= chosen_paper().bottom + 1e-6

    def add(self, slab: Slab) -> None:
        """Put a slab down, whether it fits or not."""
        self.pages[-1] += [moved(box, 0, self.y) for box in slab.boxes]
        self.y += slab.height

    def space(self, height: float) -> None:
        """Leave some white, but not at the top of a page."""
        if not self.fresh:
            self.y += height

    def turn(self) -> None:
        """Begin another page."""
        self.pages.append([])
        self.y = TOP

    def finished(self) -> list[list[Box]]:
        """Give the pages, each with title, date and page x of y at its foot."""
        total = len(self.pages)
        return [[*page, *self._foot(at, total)] for at, page in enumerate(self.pages, 1)]

    def _foot(self, at: int, total: int) -> list[Box]:
        y = chosen_paper().bottom + 3.0
        page = text_at(RIGHT, y + 1.2, f"Page {at} of {total}", 8.5, self._measure, right=True)
        room = page.x - 4 - LEFT
        words = f"{self._title}, {self._date}" if self._date else self._title
        return [
            Stripe(LEFT, y, WIDTH, 0.15),
            text_at(LEFT, y + 1.2, cut_end(words, room, 8.5, self._measure), 8.5, self._measure),
            page,
        ]


_SIZES = {"title": 26.0, "chapter": 16.0, "heading": 11.5, "body": 9.5, "small": 8.5}
_ABOVE = {"title": 60.0, "chapter": 6.0, "heading": 3.6, "body": 0.4, "small": 0.2}
_HEADINGS = ("title", "chapter", "heading")
_LINE = 1.24
"""From line to line, of the height of type."""
_PHOTO = (42.0, 32.0)
_PIXELS = 420
_A_ROW = 4


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A text of a kind: title, chapter, heading, body or small; ``indent`` in mm. A heading may
    begin a ``new_page``."""

    text: str
    kind: str = "body"
    indent: float = 0.0
    new_page: bool = False


@dataclass(frozen=True, slots=True)
class Pictures:
    """A few pictures side by side, small, with their numbers."""

    shots: tuple[Shot, ...]


def write_pages(
    parts: Callable[[], Iterable[Paragraph | Pictures]],
    path: Path,
    *,
    title: str,
    date: str,
    subject: str,
    thumbs: Thumbnails,
    progress: Callable[[], None] | None = None,
) -> Printed:
    """Write running text as a PDF. A page is drawn when it is full: neither its text nor its
    pictures stay in memory as a whole.

    ``parts`` gives the text anew each time: it is gone through once to count the pages, without the
    pictures, and once to draw them. ``thumbs`` makes the small upright JPEGs; ``progress`` is told
    of each part drawn.

    Raises:
        PrintError: a file that cannot be written.
    """
    from stores.printing.draw import Pdf, measure

    heading, day = plain(title), plain(date)
    total = sum(1 for _ in _pages(parts(), Flow(heading, day, measure), _no_pictures, [], measure))
    pdf = Pdf(heading, subject)
    lost: list[str] = []
    words = cut_end(f"{heading}, {day}", WIDTH - 40, 8.5, measure)
    flow = Flow(heading, day, measure)
    end = chosen_paper().bottom
    try:
        for page in _pages(parts(), flow, thumbs, lost, measure, progress):
            number = f"Page {pdf.pages + 1} of {total}"
            pdf.page(
                [
                    *page,
                    Stripe(LEFT, end + 3.0, WIDTH, 0.15),
                    text_at(LEFT, end + 4.2, words, 8.5, measure),
                    text_at(RIGHT, end + 4.2, number, 8.5, measure, right=True),
                ]
            )
        put(path, pdf.pieces())
    except OSError as error:
        raise PrintError(f"cannot make {path}: {error.strerror or error}") from error
    finally:
        pdf.close()
    return Printed(path, pdf.pages, warnings=(*lost, *pdf.missing_warning()))


def _no_pictures(files: Sequence[Path], _longest: int) -> Iterator[bytes | None]:
    """Stand in for pictures where only their room counts."""
    return iter([b""] * len(files))


def _pages(
    parts: Iterable[Paragraph | Pictures],
    flow: Flow,
    thumbs: Thumbnails,
    lost: list[str],
    measure: Measure,
    progress: Callable[[], None] | None = None,
) -> Iterator[list[Box]]:
    """Set the parts and give each page as soon as it is full, the last one at the end.

    Headings wait for what stands below them: none is the last on its page.
    """
    headings: list[Paragraph] = []
    for part in parts:
        if isinstance(part, Paragraph) and part.kind in _HEADINGS:
            headings.append(part)
        else:
            _begin(flow, headings, part, measure)
            headings = []
            if isinstance(part, Pictures):
                _add_pictures(flow, part, thumbs, lost, measure)
            else:
                _add_paragraph(flow, part, measure)
        while len(flow.pages) > 1:
            yield flow.pages.pop(0)
        if progress:
            progress()
    _begin(flow, headings, None, measure)
    while flow.pages:
        yield flow.pages.pop(0)


def _begin(
    flow: Flow, headings: Sequence[Paragraph], first: Paragraph | Pictures | None, measure: Measure
) -> None:
    """Put headings down where the beginning of what they head has room as well."""
    if not headings:
        return
    needed = 0.0
    for part in headings:
        needed += _ABOVE[part.kind] + sum(line.height * _LINE for line in _lines(part, measure))
    if isinstance(first, Pictures):
        needed += _ROW_OF_PICTURES
    elif first:
        needed += _ABOVE[first.kind]
        needed += sum(line.height * _LINE for line in _lines(first, measure)[:_KEPT])
    if not flow.fresh and (not flow.fits(needed) or any(part.new_page for part in headings)):
        flow.turn()
    if needed > flow.page and len(headings) > 1:  # the last of them stays with what follows
        _begin(flow, headings[:-1], None, measure)
        _begin(flow, [replace(headings[-1], new_page=False)], first, measure)
        return
    for part in headings:
        _add_paragraph(flow, part, measure)


_KEPT = 2
"""So many lines of a text stay with the heading above it."""
_ROW_OF_PICTURES = _PHOTO[1] + 8.0


def _lines(part: Paragraph, measure: Measure) -> list[Text]:
    size, bold = _SIZES[part.kind], part.kind in _HEADINGS
    return [
        text_at(LEFT + part.indent, 0, line, size, measure, bold=bold)
        for line in wrap(plain(part.text), WIDTH - part.indent, size, measure, bold)
    ]


def _add_paragraph(flow: Flow, part: Paragraph, measure: Measure) -> None:
    if part.kind == "title":
        flow.y += _ABOVE[part.kind]
    else:
        flow.space(_ABOVE[part.kind])
    for line in _lines(part, measure):
        if not flow.fits(line.height):
            flow.turn()
        flow.add(Slab((line,), line.height * _LINE))


def _add_pictures(
    flow: Flow,
    part: Pictures,
    thumbs: Thumbnails,
    lost: list[str],
    measure: Measure,
) -> None:
    wide, high = _PHOTO
    made = thumbs([shot.file for shot in part.shots], _PIXELS)
    for at in range(0, len(part.shots), _A_ROW):
        if not flow.fits(_ROW_OF_PICTURES):
            flow.turn()
        boxes: list[Box] = []
        for place, shot in enumerate(part.shots[at : at + _A_ROW]):
            x = LEFT + place * (wide + 3.0)
            jpeg = next(made, None)
            snags = [f"snag {snag.number}, {plain(snag.words)}" for snag in shot.snags]
            said = "; ".join(filter(None, (*snags, plain(shot.caption))))
            words = f"{shot.number} {said}".strip()
            if jpeg is None:
                lost.append(f"picture {shot.number} is missing or cannot be read")
                words = f"{shot.number} (no picture)"
            else:
                frame = Picture(x, 1.5, wide, high, shot.file, shot.number)
                boxes.append(replace(frame, jpeg=jpeg))
            boxes.append(text_at(x, high + 2.5, cut_end(words, wide, 8.0, measure), 8.0, measure))
        flow.add(Slab(tuple(boxes), high + 7.0))
