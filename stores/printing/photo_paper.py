"""The paper of the index: its sizes, the grids of pictures, the words at head and foot. Pure."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from stores.errors import BadValue
from stores.printing.boxes import Area, Box, Measure, Rule, text_at
from stores.printing.fit import cut_end, cut_start

__all__ = ["GRIDS", "HEAD", "Paper", "foot", "grid_of", "head", "paper_named", "spans"]

GRIDS = {6: (2, 3), 8: (2, 4), 9: (3, 3), 12: (3, 4), 15: (3, 5), 16: (4, 4), 20: (4, 5)}
"""Pictures on a page: columns and rows."""
HEAD = 14.0
"""Millimetres that the heading of a page takes."""
_GAP_X = 4.5
_GAP_Y = 5.0


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet, upright, in mm; the margins are the house's, the left one for punched holes."""

    name: str
    width: float
    height: float
    left: float = 18.0
    top: float = 14.0

    @property
    def right(self) -> float:
        return self.width - 12.0

    @property
    def bottom(self) -> float:
        return self.height - 16.0

    @property
    def room(self) -> float:
        return self.right - self.left


_PAPERS = {
    "a4": Paper("A4", 210.0, 297.0),  # ISO 216
    "letter": Paper("US Letter", 215.9, 279.4),  # ANSI/ASME Y14.1, size A
}


def paper_named(name: str) -> Paper:
    """Give A4 or US Letter. Raises BadValue for another paper."""
    key = name.strip().lower().removeprefix("us").strip(" -")
    if key not in _PAPERS:
        raise BadValue(f"no paper {name!r} for the picture index: A4 or Letter")
    return _PAPERS[key]


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
        Rule(paper.left, paper.top, paper.room, 0.7),
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
        Rule(paper.left, y, paper.room, 0.15),
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
