"""Pages of A4 with a heading, a foot and blocks that are never broken. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from stores.printing.boxes import Box, Measure, Rule, Text, moved, text_at
from stores.printing.fit import cut_end, wrap

__all__ = ["BOTTOM", "LEFT", "RIGHT", "TOP", "WIDTH", "Flow", "Slab", "Words", "column"]

LEFT = 18.0
"""Millimetres: wide enough for punched holes."""
RIGHT = 198.0
TOP = 14.0
BOTTOM = 281.0
"""Millimetres from the top edge; the foot of the page stands below."""
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

    def fits(self, height: float) -> bool:
        """Whether so much height is left."""
        return self.y + height <= BOTTOM + 1e-6

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
        y = BOTTOM + 3.0
        page = text_at(RIGHT, y + 1.2, f"Page {at} of {total}", 8.5, self._measure, right=True)
        room = page.x - 4 - LEFT
        words = f"{self._title}, {self._date}" if self._date else self._title
        return [
            Rule(LEFT, y, WIDTH, 0.15),
            text_at(LEFT, y + 1.2, cut_end(words, room, 8.5, self._measure), 8.5, self._measure),
            page,
        ]
