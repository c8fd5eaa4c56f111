"""What is drawn, as plain values: millimetres from the top left corner, sizes of type in points."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

__all__ = [
    "ASCENT",
    "CAPS",
    "HOOK",
    "LEADING",
    "MIN_SIZE",
    "MM_PER_POINT",
    "Area",
    "Box",
    "Code",
    "Frame",
    "Measure",
    "Picture",
    "Point",
    "Rule",
    "Stroke",
    "Text",
    "Thumbnails",
    "Tick",
    "moved",
    "shifted",
    "stroke",
    "text_at",
]

MM_PER_POINT = 25.4 / 72
ASCENT = 0.76
"""Of the size of type: from the top of a line's box to the baseline. The box is one size high."""
CAPS = 0.745
"""Height of capitals and figures, of the size of type, with what round ones overshoot on top."""
MIN_SIZE = 5.5
"""Points: smaller type is not read at a bench."""
HOOK = 0.21
"""What J and Q reach below the baseline, of the size of type."""
LEADING = 1.16
"""From one baseline to the next, of the size of type."""

Measure = Callable[[str, bool, float], float]
"""Width in mm of a text, bold or not, at a size in points."""
Point = tuple[float, float]
Thumbnails = Callable[[Sequence[Path], int], Iterator[bytes | None]]
"""Upright JPEGs of these files in order, their longer side so many pixels; None: unreadable."""


@dataclass(frozen=True, slots=True)
class Text:
    """One line of words. ``baseline`` counts from the box's top; ``lost``: what was left out."""

    x: float
    y: float
    width: float
    height: float
    text: str
    size: float
    bold: bool = False
    baseline: float = 0.0
    lost: str = ""


@dataclass(frozen=True, slots=True)
class Rule:
    """A bar, black unless it has a ``colour`` such as ``#c02020``."""

    x: float
    y: float
    width: float
    height: float
    colour: str = ""


@dataclass(frozen=True, slots=True)
class Frame:
    """An outline, drawn along the box's edges, ``line`` mm thick."""

    x: float
    y: float
    width: float
    height: float
    line: float = 0.2
    radius: float = 0.0


@dataclass(frozen=True, slots=True)
class Tick:
    """A square to tick by hand; ``done`` draws the tick."""

    x: float
    y: float
    width: float
    height: float
    done: bool = False


@dataclass(frozen=True, slots=True)
class Code:
    """A QR code. The box is the dark modules; ``quiet`` mm around it must stay white."""

    x: float
    y: float
    width: float
    height: float
    payload: str
    version: int
    level: str
    quiet: float


@dataclass(frozen=True, slots=True)
class Picture:
    """A photograph, as large as it fits the box undistorted, in its middle, with a thin outline.

    ``jpeg`` is the upright picture, put in when it is drawn; ``file`` where it comes from, and
    ``number`` what messages call it. Without ``jpeg`` nothing is drawn.
    """

    x: float
    y: float
    width: float
    height: float
    file: Path
    number: int = 0
    jpeg: bytes = b""


@dataclass(frozen=True, slots=True)
class Area:
    """A part of a label or page to be filled. Draws nothing."""

    x: float
    y: float
    width: float
    height: float

    @property
    def bottom(self) -> float:
        return self.y + self.height

    @property
    def right(self) -> float:
        return self.x + self.width


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


Box = Text | Rule | Frame | Tick | Code | Picture | Stroke


def moved(box: Box, x: float, y: float) -> Box:
    """Give the box shifted by so many mm."""
    return replace(box, x=box.x + x, y=box.y + y)


def shifted(boxes: Iterable[Box], x: float, y: float) -> list[Box]:
    """Return the boxes moved by so many mm."""
    return [moved(box, x, y) for box in boxes]


def stroke(points: Sequence[Point], line: float = 0.15, dash: tuple[float, ...] = ()) -> Stroke:
    """Return the line through points of the page, ``line`` mm thick."""
    left, top = min(x for x, _ in points), min(y for _, y in points)
    width, height = max(x for x, _ in points) - left, max(y for _, y in points) - top
    from_corner = tuple((x - left, y - top) for x, y in points)
    return Stroke(left, top, width, height, from_corner, line, dash)


def text_at(
    x: float,
    y: float,
    text: str,
    size: float,
    measure: Measure,
    *,
    bold: bool = False,
    caps: bool = False,
    right: bool = False,
    lost: str = "",
) -> Text:
    """Give a line of words whose box has its top at ``y`` and its left (or right) edge at ``x``.

    ``caps`` makes the box as high as capitals and figures, for codes that have nothing else.
    """
    width = measure(text, bold, size)
    unit = size * MM_PER_POINT
    height, baseline = unit, ASCENT * unit
    if caps:
        baseline = CAPS * unit
        height = baseline + (HOOK if "J" in text or "Q" in text else 0.015) * unit
    return Text(x - width if right else x, y, width, height, text, size, bold, baseline, lost)
