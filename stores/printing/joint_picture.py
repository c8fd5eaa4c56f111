"""The picture of a joint to be tightened, fitted into any box. Pure: boxes in mm.

A circle for each hole with its turn, large; beside it the number of the hole (``h3``) and what
goes in. Black on white only.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import atan2, cos, hypot, pi, sin

from stores.errors import PrintError
from stores.handbook.tightening.order import Plan
from stores.printing.boxes import (
    CAPS,
    LEADING,
    MIN_SIZE,
    MM_PER_POINT,
    Box,
    Frame,
    Measure,
    Text,
    text_at,
)
from stores.printing.fit import plain

__all__ = ["joint_boxes"]

_LARGEST = 6.0
_SMALLEST = 1.7
"""Millimetres: radius of a hole's circle; in the smallest two figures can still be read."""
_LINE = 0.3
_READ_AFAR = 2.6
"""Millimetres: circles shrink to this radius before any is moved from its place."""
_CLEAR = 0.5
"""Millimetres of white between any two things."""
_TURNS = (0, 25, -25, 50, -50, 75, -75, 100, -100, 130, -130, 160, -160, 180)
"""Degrees from straight outwards at which words are tried beside a circle."""
_FURTHER = (0.0, 0.8, 1.6, 2.4)


@dataclass(frozen=True, slots=True)
class _Spot:
    """A hole in the picture: its turn, what to write, its circle's centre from the top left."""

    turn: int
    label: str
    more: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class _Style:
    """Radius of the circles, mm, size of type, whether it is written what goes in.

    ``moves`` is how far a circle may be moved from its place, in its own diameter.
    """

    radius: float
    size: float
    full: bool
    moves: float


@dataclass(frozen=True, slots=True)
class _Room:
    """The box, and what is in it already."""

    width: float
    height: float
    spots: Sequence[_Spot]
    style: _Style
    measure: Measure

    def free(self, block: Sequence[Text], texts: Sequence[Text]) -> bool:
        """Whether words lie within the box, off all circles and off other words."""
        edge = self.style.radius + _LINE / 2 + _CLEAR
        return all(
            box.x >= 0
            and box.y >= 0
            and box.x + box.width <= self.width
            and box.y + box.height <= self.height
            and not any(_touches(box, spot.x, spot.y, edge) for spot in self.spots)
            and not any(_overlap(box, other) for other in texts)
            for box in block
        )


def joint_boxes(plan: Plan, width: float, height: float, measure: Measure) -> tuple[Box, ...]:
    """Give the boxes of the joint's picture within a box so many mm wide and high, from its corner.

    The joint keeps its proportions and fills the box; circles too close are moved apart by no more
    than one circle, and words shrink to 5.5 points. Where what goes in finds no room, the holes'
    numbers stand alone and the last text's ``lost`` says so.

    Raises:
        PrintError: the box is too small for a circle and a number for each hole.
    """
    wanted = plan.joint.with_lengths
    for style in _styles(width, height, wanted):
        spots = _spots(plan, width, height, style, measure)
        boxes = _drawn(_Room(width, height, spots, style, measure)) if spots else None
        if spots is None or boxes is None:
            continue
        if wanted and not style.full:
            lost = "no room in the picture for what goes into the holes"
            boxes[-1] = replace(boxes[-1], lost=lost)
        circles = [
            Frame(spot.x - style.radius, spot.y - style.radius, *(2 * style.radius,) * 2,
                  _LINE, style.radius)
            for spot in spots
        ]  # fmt: skip
        return (*circles, *boxes)
    raise PrintError(
        f"{width:g} x {height:g} mm is too small for a picture of {len(plan.joint.holes)} holes"
    )


def _styles(width: float, height: float, with_lengths: bool) -> Iterator[_Style]:
    """Give the styles to try, the best first."""
    largest = max(_SMALLEST, min(_LARGEST, min(width, height) / 7))
    radii = [largest * (1 - at / 10) for at in range(8)]
    radii = [radius for radius in radii if radius > _SMALLEST] + [_SMALLEST]
    for full in (True, False) if with_lengths else (False,):
        for moves in (0.0, 0.5, 1.0):
            for radius, size in product(radii, (9.0, 7.5, 6.5, MIN_SIZE)):
                large = size > MIN_SIZE and size * MM_PER_POINT > 1.2 * radius
                if not large and (moves or radius >= _READ_AFAR):
                    yield _Style(radius, size, full, moves)


def _spots(
    plan: Plan, width: float, height: float, style: _Style, measure: Measure
) -> list[_Spot] | None:
    """Fit the holes into the box, circles apart; None if they do not fit."""
    holes = list(plan.joint.by_number.values())
    left = min(hole.x_mm for hole in holes)
    top = max(hole.y_mm for hole in holes)
    wide = max(hole.x_mm for hole in holes) - left
    high = top - min(hole.y_mm for hole in holes)
    edge = style.radius + _LINE
    words = [
        max(
            measure(f"h{hole.number}", True, style.size),
            measure(plain(hole.length), False, style.size) if style.full else 0.0,
        )
        for hole in holes
    ]
    lines = 2 if style.full else 1
    beside = max(words) + 2 * _CLEAR
    above = lines * style.size * MM_PER_POINT * LEADING + 2 * _CLEAR
    # Words find room outside the circles on all sides, or above and below only: a long narrow
    # joint needs the width for itself.
    inset_x, inset_y = (edge + beside, edge) if high > wide else (edge, edge + above)
    if plan.order.clockwise:
        inset_x, inset_y = edge + beside, edge + above
    room_x, room_y = width - 2 * inset_x, height - 2 * inset_y
    if min(room_x, room_y) < 0:
        return None
    scale = min(room_x / wide if wide else 1e9, room_y / high if high else 1e9)
    start_x = (width - scale * wide) / 2
    start_y = (height - scale * high) / 2
    centres = [
        (start_x + (hole.x_mm - left) * scale, start_y + (top - hole.y_mm) * scale)
        for hole in holes
    ]
    least = 2 * style.radius + _LINE + _CLEAR
    parted = _parted(
        centres, least, style.moves * least, (edge, width - edge), (edge, height - edge)
    )
    if parted is None:
        return None
    return [
        _Spot(plan.turn_of(hole.number), f"h{hole.number}", plain(hole.length), *centre)
        for hole, centre in zip(holes, parted, strict=True)
    ]


def _parted(
    centres: Sequence[tuple[float, float]],
    least: float,
    most: float,
    across: tuple[float, float],
    down: tuple[float, float],
) -> list[tuple[float, float]] | None:
    """Move centres until all are ``least`` mm apart; None if one would move more than ``most``."""
    placed = list(centres)
    for _ in range(80 if most else 1):
        clear = True
        for at in range(len(placed)):
            for to in range(at):
                (ax, ay), (bx, by) = placed[at], placed[to]
                way = hypot(ax - bx, ay - by)
                if way >= least - 1e-6:
                    continue
                clear = False
                push = (least - way) / 2 + 1e-3
                ux, uy = ((ax - bx) / way, (ay - by) / way) if way else (1.0, 0.0)
                placed[at] = _within(ax + push * ux, ay + push * uy, across, down)
                placed[to] = _within(bx - push * ux, by - push * uy, across, down)
        if clear:
            break
    else:
        return None
    moves = (
        hypot(now[0] - then[0], now[1] - then[1]) for now, then in zip(placed, centres, strict=True)
    )
    return placed if max(moves) <= most else None


def _within(
    x: float, y: float, across: tuple[float, float], down: tuple[float, float]
) -> tuple[float, float]:
    return min(max(x, across[0]), across[1]), min(max(y, down[0]), down[1])


def _drawn(room: _Room) -> list[Text] | None:
    """Write the turns into the circles and the rest beside them; None if one finds no room."""
    middle = (room.width / 2, room.height / 2)
    turns = [_turn(spot, room.style.radius, room.measure) for spot in room.spots]
    texts: list[Text] = []
    # From the outside in: the outer ones have white beside them, the inner ones look for it.
    for spot in sorted(room.spots, key=lambda spot: -hypot(spot.x - middle[0], spot.y - middle[1])):
        found = _beside(spot, middle, room, texts)
        if found is None:
            return None
        texts += found
    return [*turns, *texts]


def _turn(spot: _Spot, radius: float, measure: Measure) -> Text:
    """The turn in the middle of its circle, as large as the circle allows."""
    words = str(spot.turn)
    size = 1.15 * radius / (CAPS * MM_PER_POINT)
    size = min(size, size * 1.4 * radius / measure(words, True, size))
    box = text_at(0, 0, words, size, measure, bold=True, caps=True)
    return replace(box, x=spot.x - box.width / 2, y=spot.y - box.height / 2)


def _beside(
    spot: _Spot, middle: tuple[float, float], room: _Room, texts: Sequence[Text]
) -> list[Text] | None:
    """Write hole and length beside its circle, outwards if there is room; None if there is none."""
    out = _outwards(spot.x - middle[0], spot.y - middle[1], room)
    more = spot.more if room.style.full else ""
    for further, turn in product(_FURTHER, _TURNS):
        for rows in (((spot.label, True), (more, False)),) if more else (((spot.label, True),),):
            block = _block(rows, spot, out + turn * pi / 180, further, room)
            if room.free(block, texts):
                return block
    return None


def _outwards(x: float, y: float, room: _Room) -> float:
    """Give the direction in which words are tried first: away from the middle.

    Of a joint that is far longer than wide they stand alike beside every hole: across its length.
    """
    xs = [spot.x for spot in room.spots]
    ys = [spot.y for spot in room.spots]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    if wide > 1.5 * high:
        return -pi / 2 if y < -1e-6 else pi / 2
    if high > 1.5 * wide:
        return pi if x < -1e-6 else 0.0
    return atan2(y, x) if hypot(x, y) > 1e-6 else pi / 2


def _block(
    rows: Sequence[tuple[str, bool]], spot: _Spot, angle: float, further: float, room: _Room
) -> list[Text]:
    """Set lines in a block that just clears the circle in a direction, at so many mm more."""
    size = room.style.size
    unit = size * MM_PER_POINT
    pitch = unit * LEADING
    wide = max(room.measure(words, bold, size) for words, bold in rows)
    high = unit + pitch * (len(rows) - 1)
    ux, uy = cos(angle), sin(angle)
    clear = room.style.radius + _LINE / 2 + _CLEAR + 0.05
    way = clear
    while hypot(max(0.0, abs(way * ux) - wide / 2), max(0.0, abs(way * uy) - high / 2)) < clear:
        way += 0.1
    x = spot.x + (way + further) * ux - wide / 2
    y = spot.y + (way + further) * uy - high / 2
    made = []
    for at, (words, bold) in enumerate(rows):
        text = text_at(0, y + at * pitch, words, size, room.measure, bold=bold)
        slack = wide - text.width
        share = 0.0 if ux > 0.5 else 1.0 if ux < -0.5 else 0.5
        made.append(replace(text, x=x + slack * share))
    return made


def _touches(box: Text, x: float, y: float, radius: float) -> bool:
    off_x = max(box.x - x, 0.0, x - box.x - box.width)
    off_y = max(box.y - y, 0.0, y - box.y - box.height)
    return hypot(off_x, off_y) < radius - 1e-6


def _overlap(one: Text, other: Text) -> bool:
    return (
        one.x < other.x + other.width + _CLEAR
        and other.x < one.x + one.width + _CLEAR
        and one.y < other.y + other.height + 0.1
        and other.y < one.y + one.height + 0.1
    )
