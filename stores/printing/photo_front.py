"""The front page of the picture index: the assemblies and where their pictures are. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from stores.printing.boxes import Box, Measure, Rule, moved, text_at
from stores.printing.paper import Slab, Words, column
from stores.printing.photo_paper import Paper
from stores.text import plural

__all__ = ["NO_ASSEMBLY", "Row", "front_pages"]

NO_ASSEMBLY = "(no assembly named)"
_LEGEND = "In the frame: the picture's number. Beside it: the bags that it shows."
_GAP = 4.0


@dataclass(frozen=True, slots=True)
class Row:
    """One assembly: its steps, how many pictures, their numbers, and the pages they are on."""

    machine: str
    assembly: str
    steps: str
    count: int
    numbers: str
    pages: str


def front_pages(
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
        f"{plural(pictures, 'picture', marks=True)} of "
        f"{plural(len(rows), 'assembly', 'assemblies', marks=True)}"
        f" on {plural(sheets, 'sheet', marks=True)}."
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
            (numbers - _GAP, "Pictures", True),
            (numbers, "Numbers", False),
            (pages, "Pages", False),
        )
    ]
    boxes.append(Rule(0, 4.2, paper.room, 0.5))
    return Slab(tuple(boxes), 4.8)


def _machine(name: str, paper: Paper, measure: Measure) -> Slab:
    words = [Words(name or "(no machine named)", 11.5, True, 3, "a machine's name")]
    boxes, y = column(words, 0, 3.6, paper.room, measure)
    return Slab((*boxes, Rule(0, y + 0.8, paper.room, 0.3)), y + 1.1)


def _row(row: Row, paper: Paper, measure: Measure) -> Slab:
    name, steps, count, numbers, pages = _edges(paper)
    top, said = 1.9, row.assembly or NO_ASSEMBLY
    ref = said[:30]
    size = 10.5
    while size > 5.5 and measure(str(row.count), True, size) > numbers - _GAP - count:
        size -= 0.5
    boxes: list[Box] = [
        text_at(numbers - _GAP, top, str(row.count), size, measure, bold=True, right=True)
    ]
    ends = [top + 4.0]
    for x, right, words in (
        (name, steps, Words(said, 10.5, True, 4, f"{ref}: assembly")),
        (steps, count, Words(row.steps, 9.0, False, 12, f"{ref}: steps")),
        (numbers, pages, Words(row.numbers, 9.0, False, 12, f"{ref}: numbers")),
        (pages, paper.room + _GAP, Words(row.pages, 10.5, True, 12, f"{ref}: pages")),
    ):
        texts, end = column(
            [words], x, top + (0.0 if words.bold else 0.4), right - x - _GAP, measure
        )
        boxes += texts
        ends.append(end)
    end = max(ends) + 0.9
    boxes.append(Rule(0, end, paper.room, 0.1))
    return Slab(tuple(boxes), end + 0.1)
