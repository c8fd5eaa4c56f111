"""The words beside the holes of a card: never under a bolt's head, never over one another. Pure.

A label reads ``[2] h5``, the turn in a box and the hole, and under it what goes in. A thin line
ties it to its hole. Labels that find no room beside their hole stand further off.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import atan2, cos, hypot, pi, sin

from stores.printing.boxes import MIN_SIZE, MM_PER_POINT, Frame, Measure, Text, text_at
from stores.printing.fit import wrap
from stores.printing.hole_marks import Point, Stroke, stroke
from stores.printing.hole_places import Spot

__all__ = ["STYLES", "Label", "Style", "place_labels"]

_CLEAR = 0.5
"""Millimetres of white between any two things."""
_APART = 1.1
"""Millimetres of white between two labels."""
_TURNS = tuple(
    sign * degrees * pi / 180 for degrees in range(0, 181, 15) for sign in (1, -1)
)[1:-1]  # fmt: skip
_FURTHER = (0.0, 1.0, 2.0, 3.5, 5.5, 8.0, 11.0, 15.0, 20.0, 26.0, 33.0)
_FURTHEST = (42.0, 52.0, 64.0, 78.0, 94.0, 112.0, 132.0)
_WIDEST = 28.0
"""Millimetres: words longer than this are broken."""
_MOST_LINES = 3
_ROUNDS = 4


@dataclass(frozen=True, slots=True)
class Style:
    """How labels are set. ``full``: with what goes in.

    ``lines`` says what a tying line keeps clear of: 2, every other head; 1, every other bolt and
    line; 0, words alone.
    """

    size: float
    full: bool
    lines: int


STYLES = tuple(
    Style(size, full, lines)
    for full, lines, sizes in (
        (True, 2, (11.0, 9.0, 7.5, 6.5)),
        (True, 1, (7.5, 6.5, MIN_SIZE)),
        (True, 0, (MIN_SIZE,)),
        (False, 2, (9.0, 6.5)),
        (False, 1, (6.5, MIN_SIZE)),
        (False, 0, (MIN_SIZE,)),
    )
    for size in sizes
)
"""The styles to try, the best first."""


@dataclass(frozen=True, slots=True)
class Label:
    """The words of a hole: boxes, and the line that ties them to it."""

    number: int
    texts: tuple[Text, ...]
    frame: Frame
    line: Stroke
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class _Block:
    """A label from 0 at its own top left, before it has a place."""

    texts: tuple[Text, ...]
    frame: Frame
    width: float
    height: float


def place_labels(
    spots: Sequence[Spot], field: tuple[float, float], style: Style, measure: Measure
) -> list[Label] | None:
    """Find a place in the field for the label of every hole; None if one finds none."""
    middle = (
        sum(spot.x for spot in spots) / len(spots),
        sum(spot.y for spot in spots) / len(spots),
    )
    blocks: dict[int, _Block] = {}
    for spot in spots:
        block = _block(spot, style, measure)
        if block is None:
            return None
        blocks[spot.number] = block
    # From the outside in; one that finds no room comes first in the next round.
    queue = sorted(spots, key=lambda spot: -hypot(spot.x - middle[0], spot.y - middle[1]))
    tried: set[int] = set()
    for _ in range(_ROUNDS):
        placed: list[Label] = []
        for spot in queue:
            out = _outwards(spot, middle, spots)
            found = _find(spot, blocks[spot.number], out, spots, placed, field, style)
            if found is None:
                break
            placed.append(found)
        else:
            return placed
        if spot.number in tried:
            return None
        tried.add(spot.number)
        queue = [spot, *(other for other in queue if other is not spot)]
    return None


def _block(spot: Spot, style: Style, measure: Measure) -> _Block | None:
    """Set the label of a hole; None if what goes in takes too many lines."""
    size = style.size
    unit = size * MM_PER_POINT
    turn = text_at(0, 0, str(spot.turn), size, measure, bold=True, caps=True)
    pad = 0.22 * unit
    wide = max(turn.width, 0.62 * unit) + 2 * pad + 0.4
    high = turn.height + 2 * pad
    frame = Frame(0.1, 0.1, wide - 0.2, high - 0.2, 0.2, 0.25 * unit)
    turn = replace(turn, x=(wide - turn.width) / 2, y=pad)
    hole = text_at(0, 0, f"h{spot.number}", size, measure, bold=True)
    hole = replace(hole, x=wide + 0.28 * unit, y=turn.y + turn.baseline - hole.baseline)
    texts = [turn, hole]
    width = hole.x + hole.width
    height = max(high, hole.y + hole.height)
    if style.full and spot.words:
        small = max(MIN_SIZE, 0.88 * size)
        lines = wrap(spot.words, _WIDEST, small, measure)
        if len(lines) > _MOST_LINES:
            return None
        for line in lines:
            text = text_at(0, height + 0.45, line, small, measure)
            height = text.y + text.height + 0.12 * small * MM_PER_POINT - 0.45
            width = max(width, text.width)
            texts.append(text)
        height += 0.45
    return _Block(tuple(texts), frame, width, height)


def _outwards(spot: Spot, middle: Point, spots: Sequence[Spot]) -> float:
    """Give the direction tried first: away from the middle, or across a row."""
    x, y = spot.x - middle[0], spot.y - middle[1]
    wide = max(each.x for each in spots) - min(each.x for each in spots)
    high = max(each.y for each in spots) - min(each.y for each in spots)
    if wide > 4 * high:
        return pi / 2 if y > -1e-6 else -pi / 2
    if high > 4 * wide:
        return 0.0 if x > -1e-6 else pi
    return atan2(y, x) if hypot(x, y) > 1e-6 else pi / 2


def _find(
    spot: Spot,
    block: _Block,
    out: float,
    spots: Sequence[Spot],
    placed: Sequence[Label],
    field: tuple[float, float],
    style: Style,
) -> Label | None:
    for x, y in _corners(spot, block, out, style):
        if not (0 <= x <= field[0] - block.width and 0 <= y <= field[1] - block.height):
            continue
        box = (x, y, x + block.width, y + block.height)
        if any(_away(box, other.centre) < other.head + _CLEAR - 1e-6 for other in spots):
            continue
        if any(_over(box, _extent(label), _APART) for label in placed):
            continue
        if any(_cuts(label.line, box) for label in placed):
            continue
        line = _tie(spot, box)
        if _line_free(line, spot, spots, placed, style):
            return _label(spot, block, line, x, y)
    return None


def _corners(spot: Spot, block: _Block, out: float, style: Style) -> Iterator[Point]:
    """Give the top left corners to try, the nearest to the hole first."""
    further = _FURTHER if style.lines == 2 else (*_FURTHER, *_FURTHEST)
    clear = spot.head + _CLEAR
    for more, turn in product(further, _TURNS):
        ux, uy = cos(out + turn), sin(out + turn)
        # the least way from the hole's centre to the block's at which they just clear
        way = clear + abs(ux) * block.width / 2 + abs(uy) * block.height / 2
        low = clear
        while way - low > 0.05:
            half = (low + way) / 2
            off = hypot(
                max(0.0, abs(half * ux) - block.width / 2),
                max(0.0, abs(half * uy) - block.height / 2),
            )
            low, way = (low, half) if off >= clear else (half, way)
        yield (
            spot.x + (way + more) * ux - block.width / 2,
            spot.y + (way + more) * uy - block.height / 2,
        )


def _label(spot: Spot, block: _Block, line: Stroke, x: float, y: float) -> Label:
    texts = tuple(replace(text, x=text.x + x, y=text.y + y) for text in block.texts)
    frame = replace(block.frame, x=block.frame.x + x, y=block.frame.y + y)
    return Label(spot.number, texts, frame, line, x, y, block.width, block.height)


_Extent = tuple[float, float, float, float]


def _extent(label: Label) -> _Extent:
    return label.x, label.y, label.x + label.width, label.y + label.height


def _tie(spot: Spot, box: _Extent) -> Stroke:
    """The line from the circle's edge to the nearest of the words."""
    end = (min(max(spot.x, box[0]), box[2]), min(max(spot.y, box[1]), box[3]))
    way = hypot(end[0] - spot.x, end[1] - spot.y)
    ux, uy = (end[0] - spot.x) / way, (end[1] - spot.y) / way
    start = (spot.x + spot.radius * ux, spot.y + spot.radius * uy)
    return stroke([start, (end[0] - 0.3 * ux, end[1] - 0.3 * uy)], 0.15)


def _line_free(
    line: Stroke, spot: Spot, spots: Sequence[Spot], placed: Sequence[Label], style: Style
) -> bool:
    if any(_cuts(line, _extent(label)) for label in placed):
        return False
    if style.lines == 0:
        return True
    one, two = _two(line)
    for other in spots:
        if other is spot:
            continue
        reach = other.head if style.lines == 2 else other.radius + 0.3
        if _off_line(other.centre, one, two) < reach:
            return False
    return not any(_cross(one, two, *_two(label.line)) for label in placed)


def _two(line: Stroke) -> tuple[Point, Point]:
    (ax, ay), (bx, by) = line.points[0], line.points[-1]
    return (line.x + ax, line.y + ay), (line.x + bx, line.y + by)


def _away(box: _Extent, point: Point) -> float:
    return hypot(
        max(box[0] - point[0], 0.0, point[0] - box[2]),
        max(box[1] - point[1], 0.0, point[1] - box[3]),
    )


def _over(one: _Extent, other: _Extent, clear: float) -> bool:
    return (
        one[0] < other[2] + clear
        and other[0] < one[2] + clear
        and one[1] < other[3] + clear
        and other[1] < one[3] + clear
    )


def _off_line(point: Point, one: Point, two: Point) -> float:
    """Give the distance of a point from a stretch of line."""
    dx, dy = two[0] - one[0], two[1] - one[1]
    square = dx * dx + dy * dy
    share = ((point[0] - one[0]) * dx + (point[1] - one[1]) * dy) / square if square else 0.0
    share = min(1.0, max(0.0, share))
    return hypot(point[0] - one[0] - share * dx, point[1] - one[1] - share * dy)


def _cuts(line: Stroke, box: _Extent) -> bool:
    """Whether a line runs through a box or within 0.2 mm of it (Liang and Barsky's clipping)."""
    one, two = _two(line)
    low, high = 0.0, 1.0
    for start, end, least, most in (
        (one[0], two[0], box[0] - 0.2, box[2] + 0.2),
        (one[1], two[1], box[1] - 0.2, box[3] + 0.2),
    ):
        way = end - start
        if abs(way) < 1e-12:
            if not least <= start <= most:
                return False
            continue
        enter, leave = sorted(((least - start) / way, (most - start) / way))
        low, high = max(low, enter), min(high, leave)
    return low <= high


def _cross(one: Point, two: Point, three: Point, four: Point) -> bool:
    def side(a: Point, b: Point, c: Point) -> float:
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    return (
        side(one, two, three) * side(one, two, four) < 0
        and side(three, four, one) * side(three, four, two) < 0
    )
