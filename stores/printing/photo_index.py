"""The index of the pictures: sheets of thumbnails, with a front page of the assemblies."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from stores.errors import BadValue, PrintError, shorten
from stores.planning.pictures import Shot
from stores.printing.boxes import Box, Measure, Picture, Text, Thumbnails, moved
from stores.printing.files import Printed, put
from stores.printing.fit import plain
from stores.printing.late import jpeg_size
from stores.printing.photo_cell import Cell, absent, cells_of, file_name
from stores.printing.photo_front import NO_ASSEMBLY, Row, front_pages
from stores.printing.photo_paper import Paper, foot, grid_of, head, paper_named, spans

__all__ = ["layout_photo_index", "write_photo_index"]

_DPI = 200
"""Dots an inch that a thumbnail has at the size of its place: what a workshop printer shows."""


def write_photo_index(
    shots: Sequence[Shot],
    path: Path,
    *,
    title: str,
    date: str,
    per_page: int = 12,
    by: str = "assembly",
    paper: str = "A4",
    thumbs: Thumbnails,
    progress: Callable[[int, int], None] | None = None,
) -> Printed:
    """Write the index of these pictures as a PDF, upright, with a front page of the assemblies.

    ``title`` heads it; ``date`` says when it was true. ``per_page`` is 6 to 20; a number without a
    grid of its own takes the next larger. ``by`` is "assembly", each beginning a page, or
    "machine", one run through all of a machine's pictures. ``paper`` is "A4" or "Letter".
    ``thumbs`` makes upright JPEGs of files, their longer side so many pixels. ``progress`` is told
    after each picture how many of how many are done. A picture that cannot be read
    leaves a place that says so, and a warning.

    Raises:
        BadValue: per_page, by or paper is none of these.
        PrintError: no pictures, or a file that cannot be written. Nothing is left half written.
    """
    from stores.printing.draw import Pdf, measure

    sheet = paper_named(paper)
    pages = layout_photo_index(
        shots, measure, title=title, date=date, per_page=per_page, by=by, paper=paper
    )
    pictures = [box for page in pages for box in page if isinstance(box, Picture)]
    longest = round(max(side for box in pictures for side in (box.width, box.height)) / 25.4 * _DPI)
    made = thumbs([box.file for box in pictures], longest)
    pdf = Pdf(plain(title), "Picture index", (sheet.width, sheet.height))
    warnings = [box.lost for page in pages for box in page if isinstance(box, Text) and box.lost]
    bare: list[str] = []
    done = 0
    try:
        for page in pages:
            boxes: list[Box] = []
            for box in page:
                if not isinstance(box, Picture):
                    boxes.append(box)
                    continue
                boxes += _developed(box, next(made, None), bare, measure)
                done += 1
                if progress:
                    progress(done, len(pictures))
            pdf.page(boxes)
        put(path, pdf.pieces())
    except OSError as error:  # the disk where the thumbnails wait is full
        raise PrintError(f"cannot make the picture index: {error.strerror or error}") from error
    finally:
        if (close := getattr(made, "close", None)) is not None:
            close()
        pdf.close()
    warnings += [*bare, *pdf.missing_warning()]
    return Printed(path, pdf.pages, stock=f"plain paper, {sheet.name}", warnings=tuple(warnings))


def _developed(box: Picture, jpeg: bytes | None, bare: list[str], measure: Measure) -> list[Box]:
    """Give the picture with its thumbnail, or what stands in its place."""
    if jpeg and jpeg_size(jpeg):
        return [replace(box, jpeg=jpeg)]
    try:
        reason = "cannot be read" if box.file.exists() else "is missing"
    except OSError:  # a folder that may not be entered, a name too long for the disk
        reason = "cannot be read"
    bare.append(f"picture {box.number}: {shorten(file_name(box.file), 200)} {reason}")
    return absent(box, reason, measure)


@dataclass(frozen=True, slots=True)
class _Group:
    """Pictures under one heading, which begins a page."""

    machine: str
    name: str
    shots: tuple[Shot, ...]


@dataclass(slots=True)
class _Sheet:
    """One page of the index before it knows its number."""

    boxes: list[Box]
    shots: list[Shot]


def layout_photo_index(
    shots: Sequence[Shot],
    measure: Measure,
    *,
    title: str,
    date: str,
    per_page: int = 12,
    by: str = "assembly",
    paper: str = "A4",
) -> list[list[Box]]:
    """Give the boxes of every page, in mm from its top left corner.

    Machines and assemblies come in the order of their first pictures, pictures by their numbers;
    those of no assembly come last. Raises as `write_photo_index`.
    """
    if by not in ("assembly", "machine"):
        raise BadValue(f"no picture index by {by!r}: by assembly or by machine")
    if not shots:
        raise PrintError("there are no pictures to print")
    sheet = paper_named(paper)
    sheets = [
        page
        for group in _groups(shots, by)
        for page in _sheets(group, per_page, by == "machine", sheet, measure)
    ]
    title, date = plain(title), plain(date)
    ahead = 1
    while True:  # the longer the front, the higher the numbers that it has to name
        rows = _rows(shots, sheets, ahead)
        front = front_pages(rows, len(shots), len(sheets), sheet, measure, title, date)
        if len(front) <= ahead:
            break
        ahead = len(front)
    pages = [*front, *([[]] * (ahead - len(front))), *(page.boxes for page in sheets)]
    machines = {plain(shot.machine) for shot in shots}
    named = [name for name in machines if len(machines) == 1 and name.lower() not in title.lower()]
    words = ", ".join(part for part in (title, *named, date) if part)
    return [
        [*boxes, *foot(words, at, len(pages), sheet, measure)] for at, boxes in enumerate(pages, 1)
    ]


def _groups(shots: Sequence[Shot], by: str) -> Iterator[_Group]:
    for machine, own in _sorted(shots, lambda shot: plain(shot.machine)):
        if by == "machine":
            yield _Group(machine, "All pictures", tuple(own))
            continue
        for assembly, group in _sorted(own, lambda shot: plain(shot.assembly)):
            yield _Group(machine, assembly or NO_ASSEMBLY, tuple(group))


def _sorted(
    shots: Iterable[Shot], key: Callable[[Shot], str]
) -> Iterator[tuple[str, tuple[Shot, ...]]]:
    """Put pictures together, the nameless last, each lot in the order of the numbers."""
    lots: dict[str, list[Shot]] = {}
    for shot in sorted(shots, key=lambda shot: shot.number):
        lots.setdefault(key(shot), []).append(shot)
    for name in sorted(lots, key=lambda name: not name):
        yield name, tuple(lots[name])


def _sheets(
    group: _Group, per_page: int, paths: bool, paper: Paper, measure: Measure
) -> Iterator[_Sheet]:
    """Fill the pages of one heading."""
    places = grid_of(per_page, paper)
    cells: list[tuple[Shot, Cell]] = []
    for shot in group.shots:
        size = (places[0].width, places[0].height)
        cells += [(shot, cell) for cell in cells_of(shot, *size, measure, paths)]
    for start in range(0, len(cells), len(places)):
        page = cells[start : start + len(places)]
        shown = [shot for shot, _ in page]
        said = f"Pictures {spans(shot.number for shot in shown)}"
        steps = spans(shot.step for shot in shown if shot.step)
        below = f"{said}, steps {steps}" if steps else said
        more = " (continued)" if start else ""
        boxes = head(group.name, group.machine, below, paper, measure, more)
        for place, (_, cell) in zip(places, page, strict=False):
            boxes += [moved(box, place.x, place.y) for box in cell.boxes]
        yield _Sheet(boxes, shown)


def _rows(shots: Sequence[Shot], sheets: Sequence[_Sheet], ahead: int) -> list[Row]:
    """Say for each assembly of each machine what the front page says of it."""
    pages: dict[tuple[str, str], list[int]] = {}
    for at, page in enumerate(sheets, ahead + 1):
        for shot in page.shots:
            pages.setdefault((plain(shot.machine), plain(shot.assembly)), []).append(at)
    return [
        Row(
            machine,
            assembly,
            spans(shot.step for shot in group if shot.step),
            len(group),
            spans(shot.number for shot in group),
            spans(pages[machine, assembly]),
        )
        for machine, own in _sorted(shots, lambda shot: plain(shot.machine))
        for assembly, group in _sorted(own, lambda shot: plain(shot.assembly))
    ]
