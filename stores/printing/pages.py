"""Running text on A4 with headings and small pictures, drawn page by page as it comes."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from stores.errors import PrintError
from stores.planning.pictures import Shot
from stores.printing.boxes import Box, Measure, Picture, Rule, Text, Thumbnails, text_at
from stores.printing.files import Printed, put
from stores.printing.fit import cut_end, plain, wrap
from stores.printing.paper import BOTTOM, LEFT, RIGHT, WIDTH, Flow, Slab

__all__ = ["Paragraph", "Pictures", "write_pages"]

_SIZES = {"title": 26.0, "chapter": 16.0, "heading": 11.5, "body": 9.5, "small": 8.5}
_ABOVE = {"title": 60.0, "chapter": 6.0, "heading": 3.6, "body": 0.4, "small": 0.2}
_ROOM = {"title": 60.0, "chapter": 30.0, "heading": 18.0, "body": 0.0, "small": 0.0}
_PHOTO = (42.0, 32.0)
_PIXELS = 420
_A_ROW = 4


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A text of a kind: title, chapter, heading, body or small; ``indent`` in mm."""

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
    one_page: bool = False,
    progress: Callable[[], None] | None = None,
) -> Printed:
    """Write running text as a PDF. A page is drawn when it is full: neither its text nor its
    pictures stay in memory as a whole.

    ``parts`` gives the text anew each time: it is gone through once to count the pages, without the
    pictures, and once to draw them. ``thumbs`` makes the small upright JPEGs; ``progress`` is told
    of each part drawn.

    Raises:
        PrintError: a file that cannot be written, or more than fits on ``one_page``.
    """
    from stores.printing.draw import Pdf, measure

    heading, day = plain(title), plain(date)
    total = sum(1 for _ in _pages(parts(), Flow(heading, day, measure), _no_pictures, [], measure))
    if one_page and total > 1:
        raise PrintError(f"{title}: more than one page; leave something out")
    pdf = Pdf(heading, subject)
    lost: list[str] = []
    words = cut_end(f"{heading}, {day}", WIDTH - 40, 8.5, measure)
    flow = Flow(heading, day, measure)
    try:
        for page in _pages(parts(), flow, thumbs, lost, measure, progress):
            number = "" if one_page else f"Page {pdf.pages + 1} of {total}"
            pdf.page(
                [
                    *page,
                    Rule(LEFT, BOTTOM + 3.0, WIDTH, 0.15),
                    text_at(LEFT, BOTTOM + 4.2, words, 8.5, measure),
                    text_at(RIGHT, BOTTOM + 4.2, number, 8.5, measure, right=True),
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
    """Set the parts and give each page as soon as it is full, the last one at the end."""
    for part in parts:
        if isinstance(part, Pictures):
            _add_pictures(flow, part, thumbs, lost, measure)
        else:
            _add_paragraph(flow, part, measure)
        while len(flow.pages) > 1:
            yield flow.pages.pop(0)
        if progress:
            progress()
    yield flow.pages.pop()


def _add_paragraph(flow: Flow, part: Paragraph, measure: Measure) -> None:
    size, bold = _SIZES[part.kind], part.kind in ("title", "chapter", "heading")
    if (part.new_page and not flow.fresh) or not flow.fits(_ROOM[part.kind]):
        flow.turn()
    if part.kind == "title":
        flow.y += _ABOVE[part.kind]
    else:
        flow.space(_ABOVE[part.kind])
    for line in wrap(plain(part.text), WIDTH - part.indent, size, measure, bold):
        box: Text = text_at(LEFT + part.indent, 0, line, size, measure, bold=bold)
        if not flow.fits(box.height):
            flow.turn()
        flow.add(Slab((box,), box.height * 1.24))


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
        if not flow.fits(high + 8.0):
            flow.turn()
        boxes: list[Box] = []
        for place, shot in enumerate(part.shots[at : at + _A_ROW]):
            x = LEFT + place * (wide + 3.0)
            jpeg = next(made, None)
            words = f"{shot.number} {plain(shot.caption)}".strip()
            if jpeg is None:
                lost.append(f"picture {shot.number} is missing or cannot be read")
                words = f"{shot.number} (no picture)"
            else:
                frame = Picture(x, 1.5, wide, high, shot.file, shot.number)
                boxes.append(replace(frame, jpeg=jpeg))
            boxes.append(text_at(x, high + 2.5, cut_end(words, wide, 8.0, measure), 8.0, measure))
        flow.add(Slab(tuple(boxes), high + 7.0))
