"""What is drawn, as plain values, and words fitted into a width. Pure.

Millimetres from the top left corner, sizes of type in points.
"""

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

__all__ = [
    "ASCENT",
    "CAPS",
    "CUT",
    "HOOK",
    "LEADING",
    "MIN_SIZE",
    "MM_PER_POINT",
    "READ_SIZE",
    "Area",
    "Box",
    "Code",
    "Frame",
    "Measure",
    "Picture",
    "Point",
    "Stripe",
    "Stroke",
    "Text",
    "Thumbnails",
    "Tick",
    "below_capitals",
    "cut_end",
    "cut_start",
    "fitting",
    "moved",
    "plain",
    "shifted",
    "stroke",
    "text_at",
    "wrap",
]


MM_PER_POINT = 25.4 / 72
ASCENT = 0.76
"""Of the size of type: from the top of a line's box to the baseline. The box is one size high."""
CAPS = 0.745
"""Height of capitals and figures, of the size of type, with what round ones overshoot on top."""
MIN_SIZE = 5.5
"""Points: smaller type is not read at all. Only the figures of a drawing that has no room for
larger ones go down to this."""
READ_SIZE = 8.0
"""Points: the smallest type on labels and sheets, read at a bench. What has no room on a label is
said in less, or counted, and the person told to take a larger one."""
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
class Stripe:
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


Box = Text | Stripe | Frame | Tick | Code | Picture | Stroke


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


def below_capitals(text: str) -> float:
    """Return what capitals and figures reach below the baseline, of the size of type: of a bag's
    code the same whatever its letters, so that none leaves less room for what stands under it."""
    return HOOK if "J" in text or "Q" in text or _BAG.fullmatch(text) else 0.015


_BAG = re.compile("[A-Z][0-9]{3,5}[A-Z]")


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
        height = baseline + below_capitals(text) * unit
    return Text(x - width if right else x, y, width, height, text, size, bold, baseline, lost)


CUT = "…"
_LONGEST = 3000
"""Characters of one text that are looked at: more than any label or sheet has room for."""


def plain(text: str) -> str:
    """Bring a text to one line that can be set: composed letters, single spaces, no controls.

    >>> plain("  clutch\\tcover\\n")
    'clutch cover'
    """
    composed = unicodedata.normalize("NFC", text[:_LONGEST])
    kept = "".join(
        " " if unicodedata.category(char) in ("Cc", "Zl", "Zp", "Zs") else char
        for char in composed
        if unicodedata.category(char) not in ("Cf", "Cs")
        and not "\ufe00" <= char <= "\ufe0f"  # variation selectors draw nothing
    )
    words = " ".join(kept.split())
    return words + CUT if len(text) > _LONGEST else words


def wrap(text: str, width: float, size: float, measure: Measure, bold: bool = False) -> list[str]:
    """Break a text into lines no wider than ``width`` mm, between words where that is possible.

    A character wider than the width still takes a line of its own.
    """
    if measure(text, bold, size) <= width:
        return [text] if text else []
    lines: list[str] = []
    line = ""
    for word in text.split(" "):
        longer = f"{line} {word}" if line else word
        if measure(longer, bold, size) <= width:
            line = longer
            continue
        if line:
            lines.append(line)
        while measure(word, bold, size) > width and len(word) > 1:
            head = fitting(word, width, size, measure, bold)
            lines.append(word[:head])
            word = word[head:]  # noqa: PLW2901
        line = word
    return [*lines, line] if line else lines


def fitting(text: str, width: float, size: float, measure: Measure, bold: bool) -> int:
    """Give how many leading characters fit, at least one."""
    low, high = 1, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if measure(text[:middle], bold, size) <= width:
            low = middle
        else:
            high = middle - 1
    while low > 1 and low < len(text) and unicodedata.combining(text[low]):
        low -= 1
    return low


def cut_end(text: str, width: float, size: float, measure: Measure, bold: bool = False) -> str:
    """Cut the end off until the text with an ellipsis is no wider than ``width`` mm."""
    if measure(text, bold, size) <= width:
        return text
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if measure(text[:middle].rstrip() + CUT, bold, size) <= width:
            low = middle
        else:
            high = middle - 1
    return text[:low].rstrip() + CUT


def cut_start(text: str, width: float, size: float, measure: Measure, bold: bool = False) -> str:
    """Cut the front off, for a path whose last part says most."""
    if measure(text, bold, size) <= width:
        return text
    low, high = 0, len(text)
    while low < high:
        middle = (low + high) // 2
        if measure(CUT + text[middle:].lstrip(), bold, size) <= width:
            high = middle
        else:
            low = middle + 1
    return CUT + text[low:].lstrip()
