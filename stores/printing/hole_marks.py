"""Lines at any angle, beside the boxes of `boxes`, and drawing them. Millimetres as there."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import cos, hypot, pi, sin

from stores.printing.boxes import MM_PER_POINT, Box, Rule, Text
from stores.printing.draw import Pdf

__all__ = ["HolePdf", "Mark", "Point", "Slab", "Stroke", "arc", "ends", "gap", "shifted", "stroke"]

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line through points, which count from the box's corner. ``dash``: mm drawn, mm left out."""

    x: float
    y: float
    width: float
    height: float
    points: tuple[Point, ...]
    line: float = 0.15
    dash: tuple[float, ...] = ()


Mark = Box | Stroke


@dataclass(frozen=True, slots=True)
class Slab:
    """Marks that stay together, from 0 at their own top left, and the height they take."""

    marks: tuple[Mark, ...]
    height: float


def stroke(points: Sequence[Point], line: float = 0.15, dash: tuple[float, ...] = ()) -> Stroke:
    """Give the line through points of the page."""
    left, top = min(x for x, _ in points), min(y for _, y in points)
    width, height = max(x for x, _ in points) - left, max(y for _, y in points) - top
    from_corner = tuple((x - left, y - top) for x, y in points)
    return Stroke(left, top, width, height, from_corner, line, dash)


def ends(line: Stroke) -> tuple[Point, ...]:
    """Give the points of a line on the page."""
    return tuple((line.x + x, line.y + y) for x, y in line.points)


def shifted(marks: Iterable[Mark], x: float, y: float) -> list[Mark]:
    """Give the marks moved by so many mm."""
    return [replace(mark, x=mark.x + x, y=mark.y + y) for mark in marks]


def arc(centre: Point, radius: float, start: float, turn: float) -> list[Point]:
    """Give points along an arc, no more than 1 mm or 10 degrees apart, both ends with it."""
    steps = max(2, int(abs(turn) * max(radius, 180 / 10 / pi)) + 1)
    return [
        (
            centre[0] + radius * cos(start + turn * at / steps),
            centre[1] + radius * sin(start + turn * at / steps),
        )
        for at in range(steps + 1)
    ]


def gap(box: Text | Rule, point: Point) -> float:
    """Give the distance from a point to the nearest of a box, mm."""
    off_x = max(box.x - point[0], 0.0, point[0] - box.x - box.width)
    off_y = max(box.y - point[1], 0.0, point[1] - box.y - box.height)
    return hypot(off_x, off_y)


class HolePdf(Pdf):
    """A PDF that draws lines at any angle too."""

    def card(self, marks: Iterable[Mark]) -> None:
        """Draw one page: first the lines, so that they never run over words."""
        kept = list(marks)
        for mark in kept:
            if isinstance(mark, Stroke):
                self._stroke(mark)
        self.page(mark for mark in kept if not isinstance(mark, Stroke))

    def _stroke(self, mark: Stroke) -> None:
        path = self._canvas.beginPath()
        for at, (x, y) in enumerate(ends(mark)):
            place = (x / MM_PER_POINT, (self.height - y) / MM_PER_POINT)
            if at:
                path.lineTo(*place)
            else:
                path.moveTo(*place)
        self._canvas.saveState()
        self._canvas.setLineWidth(mark.line / MM_PER_POINT)
        self._canvas.setLineJoin(1)
        if mark.dash:
            self._canvas.setDash([part / MM_PER_POINT for part in mark.dash])
        self._canvas.drawPath(path, stroke=1, fill=0)
        self._canvas.restoreState()
