"""The index of the pictures: sheets of thumbnails, with a front page of the assemblies.

The paper with its grids, the front page and each picture with its words are laid out purely.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from stores.errors import BadValue, PrintError, shorten
from stores.planning.pictures import Shot
from stores.printing.boxes import (
    READ_SIZE,
    Area,
    Box,
    Frame,
    Measure,
    Picture,
    Stripe,
    Text,
    Thumbnails,
    cut_end,
    cut_start,
    moved,
    plain,
    text_at,
    wrap,
)
from stores.printing.draw import jpeg_size
from stores.printing.files import Printed, put
from stores.printing.pages import Slab, Words, column
from stores.printing.paper import Paper, paper_named
from stores.text import join

__all__ = [
    "GRIDS",
    "HEAD",
    "NO_ASSEMBLY",
    "Row",
    "foot",
    "grid_of",
    "head",
    "layout_photo_index",
    "spans",
    "write_photo_index",
]


GRIDS = {6: (2, 3), 8: (2, 4), 9: (3, 3), 12: (3, 4), 15: (3, 5), 16: (4, 4), 20: (4, 5)}
"""Pictures on a page: columns and rows."""
HEAD = 14.0
"""Millimetres that the heading of a page takes."""
_GAP_X = 4.5
_GAP_Y = 5.0


def grid_of(per_page: int, paper: Paper) -> list[Area]:
    """Give the places of a page with room for so many pictures, 6 to 20, row by row.

    A number without a grid of its own takes the next larger. Raises BadValue outside 6 to 20.
    """
    if not 6 <= per_page <= 20:
        raise BadValue(f"{per_page} pictures a page: give 6 to 20")
    columns, rows = next(grid for count, grid in GRIDS.items() if count >= per_page)
    top = paper.top + HEAD
    width = (paper.room - _GAP_X * (columns - 1)) / columns
    height = (paper.bottom - top - _GAP_Y * (rows - 1)) / rows
    return [
        Area(paper.left + column * (width + _GAP_X), top + row * (height + _GAP_Y), width, height)
        for row in range(rows)
        for column in range(columns)
    ]


def head(
    name: str, machine: str, below: str, paper: Paper, measure: Measure, more: str = ""
) -> list[Box]:
    """Head a page: the assembly large, the machine at the right, a line of figures below."""
    side = cut_end(machine, paper.room * 0.4, 10.0, measure, True) if machine else ""
    on = text_at(paper.right, 0, side, 10.0, measure, bold=True, right=True)
    room = paper.room - (on.width + 5.0 if side else 0.0) - measure(more, True, 14.0)
    size = 14.0
    while size > 10.0 and measure(name, True, size) > room:
        size -= 0.5
    title = text_at(
        paper.left, 0, _end_of(name, room, size, measure) + more, size, measure, bold=True
    )
    line = paper.top + 6.0
    boxes: list[Box] = [
        Stripe(paper.left, paper.top, paper.room, 0.7),
        replace(title, y=line - title.baseline),
        text_at(
            paper.left, paper.top + 8.0, cut_end(below, paper.room, 8.5, measure), 8.5, measure
        ),
    ]
    return [*boxes, replace(on, y=line - on.baseline)] if side else boxes


def _end_of(path: str, room: float, size: float, measure: Measure) -> str:
    """Give a path of assemblies, or as many of its last parts as there is room for."""
    parts = path.split(" / ")
    for at in range(len(parts)):
        words = " / ".join(["…", *parts[at:]] if at else parts)
        if measure(words, True, size) <= room:
            return words
    return cut_start(parts[-1], room, size, measure, True)


def foot(words: str, at: int, total: int, paper: Paper, measure: Measure) -> list[Box]:
    """Title and date, and page x of y, below the pictures."""
    y = paper.bottom + 3.0
    page = text_at(paper.right, y + 1.2, f"Page {at} of {total}", 8.5, measure, right=True)
    said = cut_end(words, page.x - 4 - paper.left, 8.5, measure)
    return [
        Stripe(paper.left, y, paper.room, 0.15),
        text_at(paper.left, y + 1.2, said, 8.5, measure),
        page,
    ]


def spans(numbers: Iterable[int]) -> str:
    """Say which numbers, runs of them as from and to.

    >>> spans([1, 2, 3, 7, 9, 10])
    '1–3, 7, 9, 10'
    """
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(_run(run) for run in runs)


def _run(run: Sequence[int]) -> str:
    return f"{run[0]}–{run[-1]}" if len(run) > 2 else ", ".join(map(str, run))


_GAP = 1.2
"""Millimetres between things that stand side by side."""
_NUMBER = 11.0
_CODES = ((12.0, 2), (10.0, 3), (8.0, 99))
"""Points that the bag codes are set in, and up to how many rows."""
_CLEAR = 0.8
"""Millimetres more between the number's frame and the codes under it."""
_SMALL = 8.5
_FILE = 7.0
"""Points that the file's name is set in: it is only looked up."""
_LINE = _SMALL * 25.4 / 72 * 1.22
"""Millimetres from one line of the caption to the next, as `column` sets it."""
_HEAD = 5.3
"""Millimetres for the number and one row of codes."""
_LEAST = 0.34
"""Of the cell: the picture is never lower, however many bags it shows."""
_WORDS = 0.5
"""Of the cell: how high the words may grow for a long caption."""
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, slots=True)
class _Cell:
    """What stands in one place of the grid, from 0, 0 at its own top left corner."""

    boxes: tuple[Box, ...]


def _time_of(taken: str) -> str:
    """Say when a picture was taken, as short as can be.

    >>> _time_of("2026-03-04T14:05:33"), _time_of("2026-03-04"), _time_of("")
    ('4 Mar 2026, 14:05', '4 Mar 2026', 'no time')
    """
    words = plain(taken)
    try:
        at = datetime.fromisoformat(words)
    except ValueError:
        return words or "no time"
    day = f"{at.day} {_MONTHS[at.month - 1]} {at.year}"
    return f"{day}, {at:%H:%M}" if len(words) > 10 else day


def _file_name(shot_file: object) -> str:
    """Give a file's name or path so that it can be set and shown, whatever bytes are in it."""
    return plain(str(shot_file).encode(errors="replace").decode())


def _cells_of(shot: Shot, width: float, height: float, measure: Measure) -> list[_Cell]:
    """Give the cell of a picture, and more of them where it shows more bags than one can name."""
    number = _number(shot, "", measure)
    rest = [plain(code) for code in shot.bags if plain(code)]
    below = _below(shot, width, measure)
    fixed = _fixed(below)
    caption = _caption(shot)
    usual = max(2, min(6, int((height - width * 0.75 - fixed - _HEAD) / _LINE)))
    usual_height = _HEAD + fixed + usual * _LINE
    codes_height = height * (1 - _LEAST) - fixed - 1.3 - (_LINE if caption else 0.0)
    codes, rest = _codes(rest, number, width, codes_height, measure)
    first = max(box.y + box.height for box in (*number, *codes)) + 1.3
    words, end = _under(below, first, width, measure)
    if caption:
        room = max(usual_height, height * _WORDS)
        most = max(1, int((room - end) / _LINE + 0.05))
        said = Words(caption, _SMALL, False, most, f"picture {shot.number}, caption")
        more, end = column([said], 0, end, width, measure)
        words += more
    top = height - max(end, usual_height)
    picture = Picture(0, 0, width, top - 1.6, shot.file, shot.number)
    placed = [replace(box, y=box.y + top) for box in (*number, *codes, *words)]
    cells = [_Cell((_shaped(picture, shot), *placed))]
    while rest:
        number = _number(shot, ", more bags", measure)
        codes, rest = _codes(rest, number, width, height, measure)
        cells.append(_Cell((*number, *codes)))
    return cells


def _shaped(picture: Picture, shot: Shot) -> Picture:
    """Bring the box to the picture's own shape, turned upright, in the middle of its room."""
    wide, high = shot.width, shot.height
    if wide < 1 or high < 1:
        return picture
    if shot.turn in range(5, 9):
        wide, high = high, wide
    scale = min(picture.width / wide, picture.height / high)
    width, height = wide * scale, high * scale
    x, y = (picture.width - width) / 2, (picture.height - height) / 2
    return replace(picture, x=picture.x + x, y=picture.y + y, width=width, height=height)


def _number(shot: Shot, more: str, measure: Measure) -> list[Box]:
    """The picture's number in a frame, so that it is not taken for a bag's code."""
    size = _NUMBER if not more else 9.0
    text = text_at(1.1, 0.9, f"{shot.number}{more}", size, measure, bold=True, caps=True)
    return [Frame(0.15, 0.15, text.width + 1.9, text.y + text.height + 0.75, 0.3, 0.6), text]


def _codes(
    codes: list[str],
    number: list[Box],
    width: float,
    room: float,
    measure: Measure,
) -> tuple[list[Text], list[str]]:
    """Set the bags' codes beside the number and under it; give what found no room."""
    start = number[0].x + number[0].width + 2.0
    first = number[1].y + number[1].height
    boxes: list[Text] = []
    for size, most in _CODES:
        boxes, rows = [], 1
        pitch = max(text_at(0, 0, "J", size, measure, caps=True).height + 1.0, size * 0.4)
        x, left = start, list(codes)
        while left:
            parts = wrap(left[0], width, size, measure, bold=True)
            row: list[Text] = []
            for at, part in enumerate(parts):
                wide = measure(part, True, size)
                if at or (x > 0 and x + wide > width + 1e-6):
                    x, rows = 0.0, rows + 1
                box = text_at(x, 0, part, size, measure, bold=True, caps=True)
                y = first + (rows - 1) * pitch - box.baseline
                row.append(replace(box, y=max(0.0, y + (_CLEAR if rows > 1 else 0.0))))
                x += wide + 2.4
            if row[-1].y + row[-1].height > room and boxes:
                break
            boxes += row
            left.pop(0)
        if not left and rows <= most:
            return boxes, []
    return boxes, left


def _below(shot: Shot, width: float, measure: Measure) -> list[list[Text]]:
    """The rows under the number: step and snag, time; the file that it was."""
    snags = join([str(snag.number) for snag in shot.snags])
    snag = f"snag{'s' if len(shot.snags) > 1 else ''} {snags}" if snags else ""
    name = ", ".join(filter(None, (f"Step {shot.step}" if shot.step else "", snag)))
    name = cut_end(name[:1].upper() + name[1:] or "no step", width, _SMALL, measure, True)
    step = text_at(0, 0, name, _SMALL, measure, bold=True)
    when = cut_end(_time_of(shot.taken), width, _SMALL, measure)
    time = text_at(width, 0, when, _SMALL, measure, right=True)
    rows = [[step, time]] if step.width + _GAP <= time.x else [[step], [time]]
    if file := _file_name(shot.name):
        rows.append([text_at(0, 0, cut_start(file, width, _FILE, measure, False), _FILE, measure)])
    return rows


def _fixed(rows: list[list[Text]]) -> float:
    """Give the height of the rows between the number and the caption, in mm."""
    return sum(row[0].height * 1.22 for row in rows)


def _under(
    rows: list[list[Text]], y: float, width: float, measure: Measure
) -> tuple[list[Text], float]:
    boxes: list[Text] = []
    for row in rows:
        boxes += [replace(box, y=y) for box in row]
        y += row[0].height * 1.22
    return boxes, y


def _caption(shot: Shot) -> str:
    said = ": ".join(words for words in (plain(shot.part), plain(shot.caption)) if words)
    snags = (f"Snag {snag.number}, {plain(snag.words)}" for snag in shot.snags)
    return ". ".join((*snags, *filter(None, [said])))


def _absent(picture: Picture, reason: str, measure: Measure) -> list[Box]:
    """Say in the picture's place that it is not there, and which file it was."""
    room = Area(picture.x + 1.5, picture.y + 1.5, picture.width - 3.0, picture.height - 3.0)
    edge = Frame(picture.x, picture.y, picture.width, picture.height, 0.3)
    name = _file_name(picture.file.name)
    boxes: list[Box] = [edge]
    said = wrap(f"Picture {reason}", room.width, _SMALL, measure, True)
    lines = [(line, True) for line in said]
    lines += [(line, False) for line in wrap(name, room.width, _SMALL, measure)]
    y = room.y
    for at, (line, bold) in enumerate(lines):
        last = y + 2 * _LINE > room.bottom and at + 1 < len(lines)
        words = cut_end(f"{line} …", room.width, _SMALL, measure, bold) if last else line
        if y + _SMALL * 25.4 / 72 > room.bottom:
            break
        boxes.append(text_at(room.x, y, words, _SMALL, measure, bold=bold))
        if last:
            break
        y += _LINE
    return boxes


NO_ASSEMBLY = "(no assembly named)"
_LEGEND = "In the frame: the picture's number. Beside it: the bags that it shows."
_FRONT_GAP = 4.0


@dataclass(frozen=True, slots=True)
class Row:
    """One assembly: its steps, how many pictures, their numbers, and the pages they are on."""

    machine: str
    assembly: str
    steps: str
    count: int
    numbers: str
    pages: str


def _front_pages(
    rows: Sequence[Row],
    pictures: int,
    sheets: int,
    paper: Paper,
    measure: Measure,
    title: str,
    date: str,
) -> list[list[Box]]:
    """Give the boxes of the front page, or of as many as the assemblies take, without the foot."""
    machines = list(dict.fromkeys(row.machine for row in rows))
    named = ", ".join(machine for machine in machines if machine)
    total = (
        f"{_counted(pictures, 'picture')} of {_counted(len(rows), 'assembly', 'assemblies')}"
        f" on {_counted(sheets, 'sheet')}."
    )
    words = [Words(title, 20.0, True, 2, "the title")]
    if named and named.casefold() not in title.casefold():
        words.append(Words(named, 13.0, True, 4, "the machines"))
    words.append(Words(f"{date}.  {total}" if date else total, 10.0))
    words.append(Words(_LEGEND, 9.0))
    top, y = column(words, 0, 0, paper.room, measure)
    heading = _heading(paper, measure)
    pages: list[list[Box]] = [[moved(box, paper.left, paper.top) for box in top]]
    y = paper.top + y + 4.0
    above = [heading]
    for machine in machines:
        if len(machines) > 1:
            above = [heading, _machine(machine, paper, measure)]
        waiting = above if machine == machines[0] else above[1:]
        for slab in (_row(row, paper, measure) for row in rows if row.machine == machine):
            if y + sum(each.height for each in (*waiting, slab)) > paper.bottom:
                pages.append([])
                y, waiting = paper.top, above
            for each in (*waiting, slab):
                pages[-1] += [moved(box, paper.left, y) for box in each.boxes]
                y += each.height
            waiting = []
    return pages


def _counted(count: int, noun: str, many: str = "") -> str:
    return f"{count:,} {noun if count == 1 else many or noun + 's'}"


def _edges(paper: Paper) -> tuple[float, ...]:
    """Where the columns begin: assembly, steps, how many, numbers, pages; and the right edge."""
    return (0.0, paper.room - 104.0, paper.room - 70.0, paper.room - 53.0, paper.room - 22.0)


def _heading(paper: Paper, measure: Measure) -> Slab:
    name, steps, _, numbers, pages = _edges(paper)
    boxes: list[Box] = [
        text_at(x, 0, words, 8.5, measure, bold=True, right=right)
        for x, words, right in (
            (name, "Assembly", False),
            (steps, "Steps", False),
            (numbers - _FRONT_GAP, "Pictures", True),
            (numbers, "Numbers", False),
            (pages, "Pages", False),
        )
    ]
    boxes.append(Stripe(0, 4.2, paper.room, 0.5))
    return Slab(tuple(boxes), 4.8)


def _machine(name: str, paper: Paper, measure: Measure) -> Slab:
    words = [Words(name or "(no machine named)", 11.5, True, 3, "a machine's name")]
    boxes, y = column(words, 0, 3.6, paper.room, measure)
    return Slab((*boxes, Stripe(0, y + 0.8, paper.room, 0.3)), y + 1.1)


def _row(row: Row, paper: Paper, measure: Measure) -> Slab:
    name, steps, count, numbers, pages = _edges(paper)
    top, said = 1.9, row.assembly or NO_ASSEMBLY
    ref = said[:30]
    size = 10.5
    while size > READ_SIZE and measure(str(row.count), True, size) > numbers - _FRONT_GAP - count:
        size -= 0.5
    boxes: list[Box] = [
        text_at(numbers - _FRONT_GAP, top, str(row.count), size, measure, bold=True, right=True)
    ]
    ends = [top + 4.0]
    for x, right, words in (
        (name, steps, Words(said, 10.5, True, 4, f"{ref}: assembly")),
        (steps, count, Words(row.steps, 9.0, False, 12, f"{ref}: steps")),
        (numbers, pages, Words(row.numbers, 9.0, False, 12, f"{ref}: numbers")),
        (pages, paper.room + _FRONT_GAP, Words(row.pages, 10.5, True, 12, f"{ref}: pages")),
    ):
        texts, end = column(
            [words], x, top + (0.0 if words.bold else 0.4), right - x - _FRONT_GAP, measure
        )
        boxes += texts
        ends.append(end)
    end = max(ends) + 0.9
    boxes.append(Stripe(0, end, paper.room, 0.1))
    return Slab(tuple(boxes), end + 0.1)


_DPI = 200
"""Dots an inch that a thumbnail has at the size of its place: what a workshop printer shows."""


def write_photo_index(
    shots: Sequence[Shot],
    path: Path,
    *,
    title: str,
    date: str,
    per_page: int = 12,
    paper: str = "",
    thumbs: Thumbnails,
    progress: Callable[[int, int], None] | None = None,
) -> Printed:
    """Write the index of these pictures as a PDF, upright, with a front page of the assemblies.

    ``title`` heads it; ``date`` says when it was true. ``per_page`` is 6 to 20; a number without a
    grid of its own takes the next larger. Each assembly begins a page. ``paper`` is "A4" or
    "Letter". ``thumbs`` makes upright JPEGs of files, their longer side so many pixels.
    ``progress`` is told after each picture how many of how many are done. A picture that cannot be
    read leaves a place that says so, and a warning.

    Raises:
        BadValue: per_page or paper is none of these.
        PrintError: no pictures, or a file that cannot be written. Nothing is left half written.
    """
    from stores.printing.draw import Pdf, measure

    sheet = paper_named(paper)
    pages = layout_photo_index(
        shots, measure, title=title, date=date, per_page=per_page, paper=paper
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
    bare.append(f"picture {box.number}: {shorten(_file_name(box.file), 200)} {reason}")
    return _absent(box, reason, measure)


@dataclass(frozen=True, slots=True)
class _Pictures:
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
    paper: str = "",
) -> list[list[Box]]:
    """Give the boxes of every page, in mm from its top left corner.

    Machines and assemblies come in the order of their first pictures, pictures by their numbers;
    those of no assembly come last. A picture of several steps stands under each of them. Raises as
    `write_photo_index`.
    """
    if not shots:
        raise PrintError("there are no pictures to print")
    sheet = paper_named(paper)
    sheets = [page for group in _groups(shots) for page in _sheets(group, per_page, sheet, measure)]
    title, date = plain(title), plain(date)
    ahead = 1
    while True:  # the longer the front, the higher the numbers that it has to name
        rows = _rows(shots, sheets, ahead)
        count = len({(shot.machine, shot.number) for shot in shots})
        front = _front_pages(rows, count, len(sheets), sheet, measure, title, date)
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


def _groups(shots: Sequence[Shot]) -> Iterator[_Pictures]:
    for machine, own in _sorted(shots, lambda shot: plain(shot.machine)):
        for assembly, group in _sorted(own, lambda shot: plain(shot.assembly)):
            yield _Pictures(machine, assembly or NO_ASSEMBLY, tuple(group))


def _sorted(
    shots: Iterable[Shot], key: Callable[[Shot], str]
) -> Iterator[tuple[str, tuple[Shot, ...]]]:
    """Put pictures together, the nameless last, each lot in the order of the numbers."""
    lots: dict[str, list[Shot]] = {}
    for shot in sorted(shots, key=lambda shot: shot.number):
        lots.setdefault(key(shot), []).append(shot)
    for name in sorted(lots, key=lambda name: not name):
        yield name, tuple(lots[name])


def _sheets(group: _Pictures, per_page: int, paper: Paper, measure: Measure) -> Iterator[_Sheet]:
    """Fill the pages of one heading."""
    places = grid_of(per_page, paper)
    cells: list[tuple[Shot, _Cell]] = []
    for shot in group.shots:
        size = (places[0].width, places[0].height)
        cells += [(shot, cell) for cell in _cells_of(shot, *size, measure)]
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
            len({shot.number for shot in group}),
            spans(shot.number for shot in group),
            spans(pages[machine, assembly]),
        )
        for machine, own in _sorted(shots, lambda shot: plain(shot.machine))
        for assembly, group in _sorted(own, lambda shot: plain(shot.assembly))
    ]
