"""The holes of a joint in a field: where each is drawn, and the words beside it. Pure, in mm.

Two looks of one picture. On a card for the bolts themselves the rings are as wide as the bolts,
and a label ``[2] h5``, the turn in a box and the hole, is tied to its ring by a thin line. In a
picture of the order the turn stands large in the ring, and beside it ``h5``. Under ``h5`` stands
what goes in. No label lies under a bolt's head or over another one.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations, pairwise, product
from math import atan2, cos, hypot, pi, sin

from stores.errors import PrintError, StoresError
from stores.handbook.tightening.joint import Form, Joint
from stores.handbook.tightening.order import Plan
from stores.printing.boxes import (
    CAPS,
    LEADING,
    MIN_SIZE,
    MM_PER_POINT,
    READ_SIZE,
    Box,
    Frame,
    Measure,
    Point,
    Stroke,
    Text,
    plain,
    shifted,
    stroke,
    text_at,
    wrap,
)

__all__ = [
    "CARD_LOOKS",
    "EMPTY",
    "SCALES",
    "Field",
    "HoleLook",
    "HoleRing",
    "bolt_diameter",
    "drawn_field",
    "joint_picture",
    "placed_at_scale",
    "too_close",
]

SCALES = (1, 2, 3, 4, 5, 10, 20, 50, 100, 200, 500, 1000, 2000)
"""One to so many: full size, then the simple scales, the largest first."""
_HEAD = 2.0
"""Of the bolt's diameter: the room of a head. A hexagon head is about 1.8 across corners."""
_LEAST_RADIUS = 0.7
_LARGEST_BOLT = 200.0
_EDGE = 2.0
"""Millimetres between heads and the guessed outline."""
_SHARES = (0.78, 0.66, 0.54, 0.42)
"""Of the field: how large a sketch, which has no size of its own, is drawn on a card."""
_LARGEST_RING, _SMALLEST_RING = 6.0, 1.7
"""Millimetres: radii in a picture of the order; in the smallest two figures can still be read."""
_READ_AFAR = 2.6
"""Millimetres: rings of a picture shrink to this radius before any is moved from its place."""
_LINE = 0.3
_CLEAR = 0.5
"""Millimetres of white between any two things."""
_LEAST_STAR = 1.6
"""Millimetres: radius below which a ring has a cross alone, no star of slits."""
_DASH = (2.5, 1.5)
_WIDEST = 28.0
"""Millimetres: words longer than this are broken."""
_MOST_LINES = 3
_ROUNDS = 4
_TURNS = tuple(
    sign * degrees * pi / 180 for degrees in range(0, 181, 15) for sign in (1, -1)
)[1:-1]  # fmt: skip
"""From straight outwards: the directions in which a label is tried."""
_SEEN = 0.9
"""Millimetres: a shorter tie is not seen."""
_NEAR = (0.0, 0.8, 1.6, 2.4)
_FAR = (0.0, 1.0, 2.0, 3.5, 5.5, 8.0, 11.0, 15.0, 20.0, 26.0, 33.0)
_FURTHEST = (*_FAR, 42.0, 52.0, 64.0, 78.0, 94.0, 112.0, 132.0)
"""Millimetres off its ring at which a label is tried."""

_Extent = tuple[float, float, float, float]
"""Left, top, right and bottom, mm."""


@dataclass(frozen=True, slots=True)
class HoleRing:
    """A hole as drawn: number, turn, what goes in; centre, radius, and radius of its head, mm."""

    number: int
    turn: int
    words: str
    x: float
    y: float
    radius: float
    head: float

    @property
    def centre(self) -> Point:
        return self.x, self.y


@dataclass(frozen=True, slots=True)
class Field:
    """Holes placed in a field, from its top left corner.

    ``own_size``: the rings are as wide as the bolts, so that these go through. ``outline`` is a
    guess of the edge of the cover, closed, or empty.
    """

    rings: tuple[HoleRing, ...]
    own_size: bool = False
    outline: tuple[Point, ...] = ()


EMPTY = Field(())


@dataclass(frozen=True, slots=True)
class HoleLook:
    """How holes are labelled: in type of ``size`` points, ``full``: with what goes in.

    ``further``: how far off its ring a label may stand, mm. ``ties`` says what the line from a ring
    to its label keeps clear of: 2, every other head; 1, every other bolt and line; 0, words alone.
    ``boxed``: the turn stands in a box of the label, else in the ring.
    """

    size: float
    full: bool
    further: tuple[float, ...] = _NEAR
    ties: int = 2
    boxed: bool = False


CARD_LOOKS = tuple(
    HoleLook(size, full, _FAR if ties == 2 else _FURTHEST, ties, boxed=True)
    for full, ties, sizes in (
        (True, 2, (11.0, 9.0, READ_SIZE)),
        (True, 1, (READ_SIZE,)),
        (True, 0, (READ_SIZE,)),
        (False, 2, (9.0, READ_SIZE)),
        (False, 1, (READ_SIZE,)),
        (False, 0, (READ_SIZE, MIN_SIZE)),
    )
    for size in sizes
)
"""The looks of a card for the bolts, the best first."""


# where the holes lie


@lru_cache(maxsize=512)
def bolt_diameter(words: str) -> float | None:
    """Return the outside diameter, mm, of the thread that the words name; None if there is none."""
    from stores.handbook.fastener import parse

    try:
        thread = parse(words).thread if words.strip() else None
    except StoresError:
        return None
    if thread is None or not 0 < thread.major_mm <= _LARGEST_BOLT:
        return None
    return thread.major_mm


def too_close(joint: Joint, bolts: Mapping[int, float]) -> tuple[int, int] | None:
    """Return the first two holes that are nearer to one another than their bolts (mm) are thick."""
    if joint.to_scale:
        for one, other in combinations(joint.by_number.values(), 2):
            way = hypot(one.x_mm - other.x_mm, one.y_mm - other.y_mm)
            if way < (bolts[one.number] + bolts[other.number]) / 2:
                return one.number, other.number
    return None


def placed_at_scale(
    plan: Plan,
    words: Mapping[int, str],
    bolts: Mapping[int, float],
    size: tuple[float, float],
    scale: int,
) -> list[Field]:
    """Return the holes placed in a field ``size`` mm wide and high at 1 to ``scale``.

    ``words`` say what goes into each hole, ``bolts`` how thick that is, mm. What fits comes, the
    best first: nothing if the heads do not fit, more than one for a sketch, which has no size of
    its own.
    """
    factors = [1 / scale]
    if not plan.joint.to_scale:
        reach = max(hypot(hole.x_mm, hole.y_mm) for hole in plan.joint.holes)
        factors = [share * min(size) / (2 * reach) for share in _SHARES if scale == SCALES[0]]
    fields = (_placed(plan, words, bolts, size, factor) for factor in factors)
    return [field for field in fields if field]


def _placed(
    plan: Plan,
    words: Mapping[int, str],
    bolts: Mapping[int, float],
    size: tuple[float, float],
    factor: float,
) -> Field | None:
    holes = plan.joint.by_number
    at = {number: (hole.x_mm * factor, -hole.y_mm * factor) for number, hole in holes.items()}
    radii, heads, own_size = _radii(at, bolts, factor, plan.joint.to_scale)
    around = [
        (x + side * heads[number], y + side * heads[number])
        for number, (x, y) in at.items()
        for side in (-1, 1)
    ]
    for edge in (_guess(plan.joint, at, heads), []):  # a guess may be left out
        xs, ys = zip(*around, *edge, strict=True)
        if max(xs) - min(xs) <= size[0] + 1e-9 and max(ys) - min(ys) <= size[1] + 1e-9:
            off_x, off_y = (size[0] - min(xs) - max(xs)) / 2, (size[1] - min(ys) - max(ys)) / 2
            rings = tuple(
                HoleRing(number, plan.turn_of(number), plain(words.get(number, "")),
                     x + off_x, y + off_y, radii[number], heads[number])
                for number, (x, y) in at.items()
            )  # fmt: skip
            return Field(rings, own_size, tuple((x + off_x, y + off_y) for x, y in edge))
    return None


def _radii(
    at: Mapping[int, Point], bolts: Mapping[int, float], factor: float, to_scale: bool
) -> tuple[dict[int, float], dict[int, float], bool]:
    """Return the radii of rings and heads, and whether the rings have the bolts' own size.

    On a smaller scale too the rings keep the bolts' size where the heads find room, so that bolts
    can be pushed through all the same.
    """
    ways = {(one, other): _way(at[one], at[other]) for one, other in combinations(at, 2)}
    radii = {number: bolt / 2 for number, bolt in bolts.items()}
    heads = {number: max(_HEAD * bolt / 2, bolt / 2 + 0.8) for number, bolt in bolts.items()}
    own_size = (to_scale and factor == 1) or all(
        way >= heads[one] + heads[other] for (one, other), way in ways.items()
    )
    if not own_size:
        shrunk = factor
        if not to_scale:
            shrunk = min(way / (heads[one] + heads[other]) for (one, other), way in ways.items())
        radii = {number: max(_LEAST_RADIUS, radius * shrunk) for number, radius in radii.items()}
    for pair, way in ways.items():
        if sum(radii[each] for each in pair) > way - 0.2:
            own_size = False
            for each in pair:
                radii[each] = min(radii[each], max(0.05, 0.5 * way - 0.15))
    if not own_size:
        heads = {number: radius + 0.6 for number, radius in radii.items()}
    return radii, heads, own_size


def _guess(joint: Joint, at: Mapping[int, Point], heads: Mapping[int, float]) -> list[Point]:
    """Return an edge round the holes: a circle round a bolt circle, else a rounded hull."""
    from stores.handbook.tightening.joint import hull

    beyond = max(heads.values()) + _EDGE
    reach = [hypot(*place) for place in at.values()]
    if joint.form in (Form.CIRCLE, Form.CLOCK) and max(reach) - min(reach) < 0.01 * max(reach):
        return _arc((0.0, 0.0), max(reach) + beyond, 0.0, 2 * pi)
    corners = [at[number] for number in hull(dict(at))]
    edge: list[Point] = []
    for before, corner, after in zip(
        [corners[-1], *corners[:-1]], corners, [*corners[1:], corners[0]], strict=True
    ):
        start = atan2(corner[1] - before[1], corner[0] - before[0]) - pi / 2
        end = atan2(after[1] - corner[1], after[0] - corner[0]) - pi / 2
        edge += _arc(corner, beyond, start, (end - start) % (2 * pi))
    return [*edge, edge[0]]


def _arc(centre: Point, radius: float, start: float, turn: float) -> list[Point]:
    """Return points along an arc, no more than 1 mm or 10 degrees apart, both ends with it."""
    steps = max(2, int(abs(turn) * max(radius, 180 / 10 / pi)) + 1)
    angles = [start + turn * at / steps for at in range(steps + 1)]
    return [(centre[0] + radius * cos(each), centre[1] + radius * sin(each)) for each in angles]


# a picture of the order


def joint_picture(plan: Plan, width: float, height: float, measure: Measure) -> tuple[Box, ...]:
    """Return the picture of a joint in a box so many mm wide and high, from its corner.

    The joint keeps its proportions and fills the box; rings too close are moved apart by no more
    than one ring, and words shrink to 8 points. Where what goes in finds no room, the holes'
    numbers stand alone and the last text's ``lost`` says so; in a box that is too small for them as
    well, these are smaller.

    Raises:
        PrintError: the box is too small for a ring and a number for each hole.
    """
    wanted = plan.joint.with_lengths
    for look, radius, moves in _picture_looks(width, height, wanted):
        field = _fitted(plan, (width, height), look, radius, moves, measure)
        boxes = drawn_field(field, (width, height), look, measure) if field else None
        if boxes is None:
            continue
        last = boxes[-1]
        if wanted and not look.full and isinstance(last, Text):
            boxes[-1] = replace(last, lost="no room in the picture for what goes into the holes")
        return tuple(boxes)
    raise PrintError(
        f"{width:g} x {height:g} mm is too small for a picture of {len(plan.joint.holes)} holes"
    )


def _picture_looks(
    width: float, height: float, lengths: bool
) -> Iterator[tuple[HoleLook, float, float]]:
    """Return looks to try, the best first, with the rings' radius and how many rings they move."""
    largest = max(_SMALLEST_RING, min(_LARGEST_RING, min(width, height) / 7))
    radii = [largest * (1 - at / 10) for at in range(8)]
    radii = [radius for radius in radii if radius > _SMALLEST_RING] + [_SMALLEST_RING]
    for full, sizes in (
        *([(True, (9.0, READ_SIZE))] if lengths else []),
        (False, (9.0, READ_SIZE)),
        (False, (MIN_SIZE,)),
    ):
        for moves, further in ((0.0, _NEAR), (0.5, _NEAR), (1.0, _NEAR), (0.5, _FAR)):
            for radius, size in product(radii, sizes):
                last = further is _NEAR or size == sizes[-1]
                if last and (moves or radius >= _READ_AFAR):
                    yield HoleLook(size, full, further), radius, moves


def _fitted(
    plan: Plan,
    size: tuple[float, float],
    look: HoleLook,
    radius: float,
    moves: float,
    measure: Measure,
) -> Field | None:
    """Place the holes as large as the field allows, rings apart; None if they do not fit."""
    holes = list(plan.joint.by_number.values())
    xs, ys = [hole.x_mm for hole in holes], [-hole.y_mm for hole in holes]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    edge = radius + _LINE
    words = max(
        max(
            measure(f"h{hole.number}", True, look.size),
            measure(plain(hole.length), False, look.size) if look.full else 0.0,
        )
        for hole in holes
    )
    lines = 2 if look.full else 1
    # Words find room outside the rings on all sides, or above and below only: a long narrow joint
    # needs the width for itself.
    inset_x, inset_y = edge, edge
    if high > wide or plan.order.clockwise:
        inset_x += words + 2 * _CLEAR
    if high <= wide or plan.order.clockwise:
        inset_y += lines * look.size * MM_PER_POINT * LEADING + 2 * _CLEAR
    room_x, room_y = size[0] - 2 * inset_x, size[1] - 2 * inset_y
    if min(room_x, room_y) < 0:
        return None
    factor = min(room_x / wide if wide else 1e9, room_y / high if high else 1e9)
    off_x = (size[0] - factor * (min(xs) + max(xs))) / 2
    off_y = (size[1] - factor * (min(ys) + max(ys))) / 2
    centres = [(x * factor + off_x, y * factor + off_y) for x, y in zip(xs, ys, strict=True)]
    parted = _parted(centres, 2 * radius + _LINE + _CLEAR, moves, edge, size)
    if parted is None:
        return None
    return Field(
        tuple(
            HoleRing(hole.number, plan.turn_of(hole.number), plain(hole.length),
                 *centre, radius, radius + _LINE / 2)
            for hole, centre in zip(holes, parted, strict=True)
        )
    )  # fmt: skip


def _parted(
    centres: Sequence[Point], least: float, moves: float, edge: float, size: tuple[float, float]
) -> list[Point] | None:
    """Move centres until all are ``least`` mm apart; None if one would move by more rings."""

    def within(x: float, y: float) -> Point:
        return min(max(x, edge), size[0] - edge), min(max(y, edge), size[1] - edge)

    placed = list(centres)
    for _ in range(80 if moves else 1):
        clear = True
        for one, other in combinations(range(len(placed)), 2):
            (ax, ay), (bx, by) = placed[other], placed[one]
            way = hypot(ax - bx, ay - by)
            if way >= least - 1e-6:
                continue
            clear = False
            push = (least - way) / 2 + 1e-3
            ux, uy = ((ax - bx) / way, (ay - by) / way) if way else (1.0, 0.0)
            placed[other] = within(ax + push * ux, ay + push * uy)
            placed[one] = within(bx - push * ux, by - push * uy)
        if clear:
            break
    else:
        return None
    most = max(_way(now, then) for now, then in zip(placed, centres, strict=True))
    return placed if most <= moves * least else None


# the labels


@dataclass(frozen=True, slots=True)
class _Block:
    """A label from 0 at its own top left, before it has a place."""

    boxes: tuple[Box, ...]
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class _HoleLabel:
    """A label in its place, and the line that ties it to its ring, ``tied`` if it is drawn."""

    boxes: tuple[Box, ...]
    extent: _Extent
    tie: tuple[Point, Point]
    tied: bool


def _labels(
    rings: Sequence[HoleRing], size: tuple[float, float], look: HoleLook, measure: Measure
) -> list[_HoleLabel] | None:
    """Find a place in the field for the label of every ring; None if one finds none."""
    blocks: dict[int, _Block] = {}
    for ring in rings:
        block = _block(ring, look, measure)
        if block is None:
            return None
        blocks[ring.number] = block
    xs, ys = [ring.x for ring in rings], [ring.y for ring in rings]
    middle = sum(xs) / len(xs), sum(ys) / len(ys)
    long = (max(xs) - min(xs) + 1e-9) / (max(ys) - min(ys) + 1e-9)
    # From the outside in; one that finds no room comes first in the next round.
    queue = sorted(rings, key=lambda ring: -_way(ring.centre, middle))
    tried: set[int] = set()
    for _ in range(_ROUNDS):
        placed: list[_HoleLabel] = []
        for ring in queue:
            out = _outwards(ring.x - middle[0], ring.y - middle[1], long)
            label = _find(ring, blocks[ring.number], out, rings, placed, size, look)
            if label is None:
                break
            placed.append(label)
        else:
            return placed
        if ring.number in tried:
            return None
        tried.add(ring.number)
        queue = [ring, *(other for other in queue if other is not ring)]
    return None


def _block(ring: HoleRing, look: HoleLook, measure: Measure) -> _Block | None:
    """Set the label of a hole; None if what goes in takes too many lines."""
    size = look.size
    unit = size * MM_PER_POINT
    hole = text_at(0, 0, f"h{ring.number}", size, measure, bold=True)
    boxes: list[Text | Frame] = [hole]
    width, height = hole.width, hole.height
    if look.boxed:
        turn = text_at(0, 0, str(ring.turn), size, measure, bold=True, caps=True)
        pad = 0.22 * unit
        wide = max(turn.width, 0.62 * unit) + 2 * pad + 0.4
        high = turn.height + 2 * pad
        turn = replace(turn, x=(wide - turn.width) / 2, y=pad)
        hole = replace(hole, x=wide + 0.28 * unit, y=pad + turn.baseline - hole.baseline)
        boxes = [Frame(0.1, 0.1, wide - 0.2, high - 0.2, 0.2, 0.25 * unit), turn, hole]
        width, height = hole.x + hole.width, max(high, hole.y + hole.height)
    if look.full and ring.words:
        small = max(min(size, READ_SIZE), 0.88 * size) if look.boxed else size
        lines = wrap(ring.words, _WIDEST, small, measure)
        if len(lines) > _MOST_LINES:
            return None
        height += 0.45 if look.boxed else 0.16 * unit
        for line in lines:
            text = text_at(0, height, line, small, measure)
            height += 1.12 * text.height
            width = max(width, text.width)
            boxes.append(text)
    return _Block(tuple(boxes), width, height)


def _outwards(x: float, y: float, long: float) -> float:
    """Return the direction tried first: away from the middle, or across a row."""
    if long > 1.5:
        return pi / 2 if y > -1e-6 else -pi / 2
    if long < 1 / 1.5:
        return 0.0 if x > -1e-6 else pi
    return atan2(y, x) if hypot(x, y) > 1e-6 else pi / 2


def _find(
    ring: HoleRing,
    block: _Block,
    out: float,
    rings: Sequence[HoleRing],
    placed: Sequence[_HoleLabel],
    size: tuple[float, float],
    look: HoleLook,
) -> _HoleLabel | None:
    apart = (1.1, 1.1) if look.boxed else (_CLEAR, 0.1)
    for x, y, angle in _corners(ring, block, out, look):
        if not (0 <= x <= size[0] - block.width and 0 <= y <= size[1] - block.height):
            continue
        extent = (x, y, x + block.width, y + block.height)
        if any(_away(extent, other.centre) < other.head + _CLEAR - 1e-6 for other in rings):
            continue
        if any(_over(extent, other.extent, apart) for other in placed):
            continue
        if any(_cuts(other.tie, extent) for other in placed):
            continue
        boxes = block.boxes
        if not look.boxed:  # lines stand towards their ring
            share = 0.0 if cos(angle) > 0.5 else 1.0 if cos(angle) < -0.5 else 0.5
            boxes = tuple(replace(box, x=(block.width - box.width) * share) for box in boxes)
        boxes = tuple(shifted(boxes, x, y))
        tie = _tie(ring, extent)
        tied = look.boxed or _doubtful(ring, rings, extent, boxes[0])
        if not look.boxed and tied and _way(*tie) < _SEEN:
            continue
        if _tie_free(tie, ring, rings, placed, look):
            return _HoleLabel(boxes, extent, tie, tied)
    return None


def _doubtful(ring: HoleRing, rings: Sequence[HoleRing], extent: _Extent, hole: Box) -> bool:
    """Whether a label stands far off its ring, or it or its first line as near to another one."""
    first = (hole.x, hole.y, hole.x + hole.width, hole.y + hole.height)
    if _away(extent, ring.centre) - ring.head > _NEAR[-1] + _CLEAR:
        return True
    return any(
        _away(words, other.centre) - other.head < _away(words, ring.centre) - ring.head + 0.2
        for words in (extent, first)
        for other in rings
        if other is not ring
    )


def _corners(
    ring: HoleRing, block: _Block, out: float, look: HoleLook
) -> Iterator[tuple[float, float, float]]:
    """Return the top left corners to try, the nearest to the ring first, and their direction."""
    clear = ring.head + _CLEAR
    for more, turn in product(look.further, _TURNS):
        ux, uy = cos(out + turn), sin(out + turn)
        # the least way from the ring's centre to the block's at which they just clear
        way = clear + abs(ux) * block.width / 2 + abs(uy) * block.height / 2
        low = clear
        while way - low > 0.05:
            half = (low + way) / 2
            off = hypot(
                max(0.0, abs(half * ux) - block.width / 2),
                max(0.0, abs(half * uy) - block.height / 2),
            )
            low, way = (low, half) if off >= clear else (half, way)
        way += more
        yield ring.x + way * ux - block.width / 2, ring.y + way * uy - block.height / 2, out + turn


def _tie(ring: HoleRing, extent: _Extent) -> tuple[Point, Point]:
    """Return the line from the ring to the nearest of the words."""
    end = (min(max(ring.x, extent[0]), extent[2]), min(max(ring.y, extent[1]), extent[3]))
    way = _way(end, ring.centre)
    ux, uy = (end[0] - ring.x) / way, (end[1] - ring.y) / way
    start = (ring.x + ring.radius * ux, ring.y + ring.radius * uy)
    return start, (end[0] - 0.3 * ux, end[1] - 0.3 * uy)


def _tie_free(
    tie: tuple[Point, Point],
    ring: HoleRing,
    rings: Sequence[HoleRing],
    placed: Sequence[_HoleLabel],
    look: HoleLook,
) -> bool:
    if any(_cuts(tie, label.extent) for label in placed):
        return False
    if look.ties == 0:
        return True
    for other in rings:
        reach = other.head if look.ties == 2 else other.radius + 0.3
        if other is not ring and _off_line(other.centre, *tie) < reach:
            return False
    return not any(_cross(*tie, *label.tie) for label in placed)


def _way(one: Point, other: Point) -> float:
    return hypot(one[0] - other[0], one[1] - other[1])


def _away(extent: _Extent, point: Point) -> float:
    return hypot(
        max(extent[0] - point[0], 0.0, point[0] - extent[2]),
        max(extent[1] - point[1], 0.0, point[1] - extent[3]),
    )


def _over(one: _Extent, other: _Extent, apart: tuple[float, float]) -> bool:
    return (
        one[0] < other[2] + apart[0]
        and other[0] < one[2] + apart[0]
        and one[1] < other[3] + apart[1]
        and other[1] < one[3] + apart[1]
    )


def _off_line(point: Point, one: Point, two: Point) -> float:
    """Return the distance of a point from a stretch of line."""
    dx, dy = two[0] - one[0], two[1] - one[1]
    square = dx * dx + dy * dy
    share = ((point[0] - one[0]) * dx + (point[1] - one[1]) * dy) / square if square else 0.0
    share = min(1.0, max(0.0, share))
    return hypot(point[0] - one[0] - share * dx, point[1] - one[1] - share * dy)


def _cuts(line: tuple[Point, Point], extent: _Extent) -> bool:
    """Whether a line runs through a box or within 0.2 mm of it (Liang and Barsky's clipping)."""
    low, high = 0.0, 1.0
    for axis in (0, 1):
        start, way = line[0][axis], line[1][axis] - line[0][axis]
        least, most = extent[axis] - 0.2, extent[axis + 2] + 0.2
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


# drawing


def drawn_field(
    field: Field, size: tuple[float, float], look: HoleLook, measure: Measure
) -> list[Box] | None:
    """Return the boxes of a field of ``size`` mm, words last; None if labels find no room."""
    labels = _labels(field.rings, size, look, measure)
    if labels is None:
        return None
    boxes: list[Box] = [*_edge(field.outline, [label.extent for label in labels])]
    for ring in field.rings:
        boxes += _hole(ring) if look.boxed else _numbered(ring, measure)
    boxes += [stroke(label.tie) for label in labels if label.tied]
    return [*boxes, *(box for label in labels for box in label.boxes)]


def _numbered(ring: HoleRing, measure: Measure) -> list[Box]:
    """A ring with its turn in the middle, as large as it allows."""
    radius, words = ring.radius, str(ring.turn)
    size = 1.15 * radius / (CAPS * MM_PER_POINT)
    size = min(size, size * 1.4 * radius / measure(words, True, size))
    turn = text_at(0, 0, words, size, measure, bold=True, caps=True)
    return [
        Frame(ring.x - radius, ring.y - radius, 2 * radius, 2 * radius, _LINE, radius),
        replace(turn, x=ring.x - turn.width / 2, y=ring.y - turn.height / 2),
    ]


def _hole(ring: HoleRing) -> list[Box]:
    """A ring as wide as the bolt, a cross through its middle, slits as a star."""
    radius = ring.radius
    line = min(0.35, radius / 3)
    boxes: list[Box] = [
        Frame(ring.x - radius, ring.y - radius, 2 * radius, 2 * radius, line, radius)
    ]
    lines = [(turn, radius + min(0.9, 0.3 * radius), 0.15) for turn in (0.0, pi / 2)]
    if radius >= _LEAST_STAR:
        lines += [(turn, radius, 0.2) for turn in (pi / 4, 3 * pi / 4)]
    for turn, reach, line in lines:
        x, y = reach * cos(turn), reach * sin(turn)
        boxes.append(stroke([(ring.x - x, ring.y - y), (ring.x + x, ring.y + y)], line))
    return boxes


def _edge(outline: Sequence[Point], labels: Sequence[_Extent]) -> Iterable[Stroke]:
    """Return the edge of the cover, dashed, left out where words stand."""
    kept: list[list[Point]] = [[]]
    for before, after in pairwise(outline):
        steps = max(1, int(_way(before, after) / 0.5))
        for at in range(steps + 1):
            share = at / steps
            point = (
                before[0] + share * (after[0] - before[0]),
                before[1] + share * (after[1] - before[1]),
            )
            if any(
                extent[0] - 0.8 <= point[0] <= extent[2] + 0.8
                and extent[1] - 0.8 <= point[1] <= extent[3] + 0.8
                for extent in labels
            ):
                if kept[-1]:
                    kept.append([])
            else:
                kept[-1].append(point)
    return [stroke(points, 0.15, _DASH) for points in kept if len(points) > 2]
