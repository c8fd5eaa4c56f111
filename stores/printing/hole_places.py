"""Where the holes of a joint lie on a card and how large they are drawn. Pure, in mm."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from math import atan2, hypot, pi

from stores.errors import StoresError
from stores.handbook.tightening.joint import Form, Joint
from stores.handbook.tightening.order import Plan
from stores.printing.fit import plain
from stores.printing.hole_marks import Point, arc

__all__ = [
    "HEAD",
    "SCALES",
    "Placed",
    "Spot",
    "bolt_diameter",
    "bolt_sizes",
    "place_holes",
    "too_close",
]

SCALES = (1, 2, 3, 4, 5, 10, 20, 50, 100, 200, 500, 1000, 2000)
"""One to so many: full size, then the simple scales, the largest first."""
HEAD = 2.0
"""Of the bolt's diameter: the room of a head. A hexagon head is about 1.8 across corners."""
_LEAST_RADIUS = 0.7
_LARGEST_BOLT = 200.0
_EDGE = 2.0
"""Millimetres between heads and the guessed outline."""
_SHARES = (0.78, 0.66, 0.54, 0.42)
"""Of the field: how large a sketch, which has no size of its own, is drawn."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A hole on the card: number, turn, what goes in, centre, radii of circle and head, mm."""

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
class Placed:
    """The holes in a field, from its top left corner.

    ``own_size``: the circles are as wide as the bolts, so that these go through. ``outline`` is
    closed, or empty; ``guessed`` if it was drawn round the holes for want of a known one.
    """

    spots: tuple[Spot, ...]
    own_size: bool
    outline: tuple[Point, ...]
    guessed: bool


@lru_cache(maxsize=512)
def bolt_diameter(words: str) -> float | None:
    """Give the outside diameter, mm, of the thread that the words name; None if they name none."""
    from stores.handbook.fastener import parse

    try:
        thread = parse(words).thread if words.strip() else None
    except StoresError:
        return None
    if thread is None or not 0 < thread.major_mm <= _LARGEST_BOLT:
        return None
    return thread.major_mm


def bolt_sizes(joint: Joint, words: Mapping[int, str], diameter_mm: float) -> dict[int, float]:
    """Give the bolt's diameter of each hole, mm; ``diameter_mm`` where the words name no thread."""
    return {
        number: bolt_diameter(words.get(number, "")) or diameter_mm for number in joint.by_number
    }


def too_close(joint: Joint, sizes: Mapping[int, float]) -> tuple[int, int] | None:
    """Give the first two holes that are nearer to one another than their bolts are thick."""
    if not joint.to_scale:
        return None
    for one, other in combinations(joint.by_number.values(), 2):
        way = hypot(one.x_mm - other.x_mm, one.y_mm - other.y_mm)
        if way < (sizes[one.number] + sizes[other.number]) / 2:
            return one.number, other.number
    return None


def place_holes(
    plan: Plan,
    words: Mapping[int, str],
    sizes: Mapping[int, float],
    field: tuple[float, float],
    scale: int,
    outline: Sequence[Point] = (),
) -> list[Placed]:
    """Place the holes in a field so many mm wide and high at 1 to ``scale``.

    Gives what fits, the best first: nothing if the heads do not fit into the field, more than one
    for a sketch, which can be drawn larger or smaller.
    """
    joint = plan.joint
    if joint.to_scale:
        found = _placed(plan, words, sizes, field, 1 / scale, outline)
        return [found] if found else []
    if scale != SCALES[0]:
        return []
    sketches = (_placed(plan, words, sizes, field, each, ()) for each in _sketches(joint, field))
    return [found for found in sketches if found]


def _sketches(joint: Joint, field: tuple[float, float]) -> list[float]:
    radius = max(hypot(hole.x_mm, hole.y_mm) for hole in joint.holes)
    return [share * min(field) / (2 * radius) for share in _SHARES]


def _placed(
    plan: Plan,
    words: Mapping[int, str],
    sizes: Mapping[int, float],
    field: tuple[float, float],
    factor: float,
    outline: Sequence[Point],
) -> Placed | None:
    joint = plan.joint
    holes = list(joint.by_number.values())
    at = {hole.number: (hole.x_mm * factor, -hole.y_mm * factor) for hole in holes}
    drawn, heads, own_size = _radii(at, sizes, factor, joint.to_scale)
    for one, other in combinations(at, 2):
        way = _way(at[one], at[other])
        if drawn[one] + drawn[other] > way - 0.2:
            own_size = False
            for each in (one, other):
                drawn[each] = min(drawn[each], max(0.05, 0.5 * way - 0.15))
    if not own_size:
        heads = {number: radius + 0.6 for number, radius in drawn.items()}
    known = [(x * factor, -y * factor) for x, y in outline]
    edge = known or _guess(joint, at, heads)
    ring = [*edge, *(point for each in at for point in _square(at[each], heads[each]))]
    left, right = min(x for x, _ in ring), max(x for x, _ in ring)
    top, bottom = min(y for _, y in ring), max(y for _, y in ring)
    if right - left > field[0] + 1e-9 or bottom - top > field[1] + 1e-9:
        # A guessed edge may be left out; holes and a known edge may not.
        if known or not edge:
            return None
        edge = []
        ring = [point for each in at for point in _square(at[each], heads[each])]
        left, right = min(x for x, _ in ring), max(x for x, _ in ring)
        top, bottom = min(y for _, y in ring), max(y for _, y in ring)
        if right - left > field[0] + 1e-9 or bottom - top > field[1] + 1e-9:
            return None
    off_x, off_y = (field[0] - left - right) / 2, (field[1] - top - bottom) / 2
    spots = tuple(
        Spot(
            hole.number,
            plan.turn_of(hole.number),
            plain(words.get(hole.number, "")),
            at[hole.number][0] + off_x,
            at[hole.number][1] + off_y,
            drawn[hole.number],
            heads[hole.number],
        )
        for hole in holes
    )
    moved = tuple((x + off_x, y + off_y) for x, y in edge)
    return Placed(spots, own_size, moved, not known)


def _radii(
    at: Mapping[int, Point], sizes: Mapping[int, float], factor: float, to_scale: bool
) -> tuple[dict[int, float], dict[int, float], bool]:
    """Give the radii of circles and heads, and whether the circles have the bolts' own size.

    On a smaller scale too the circles keep the bolts' size where the heads find room, so that
    bolts can be pushed through all the same.
    """
    drawn = {number: size / 2 for number, size in sizes.items()}
    heads = {number: max(HEAD * size / 2, size / 2 + 0.8) for number, size in sizes.items()}
    full = to_scale and factor == 1
    if full or all(
        _way(at[one], at[other]) >= heads[one] + heads[other] for one, other in combinations(at, 2)
    ):
        return drawn, heads, True
    shrunk = factor
    if not to_scale:
        shrunk = min(
            _way(at[one], at[other]) / (heads[one] + heads[other])
            for one, other in combinations(at, 2)
        )
    drawn = {number: max(_LEAST_RADIUS, radius * shrunk) for number, radius in drawn.items()}
    return drawn, {number: radius + 0.6 for number, radius in drawn.items()}, False


def _way(one: Point, other: Point) -> float:
    return hypot(one[0] - other[0], one[1] - other[1])


def _square(centre: Point, reach: float) -> tuple[Point, Point]:
    return (centre[0] - reach, centre[1] - reach), (centre[0] + reach, centre[1] + reach)


def _guess(joint: Joint, at: Mapping[int, Point], heads: Mapping[int, float]) -> list[Point]:
    """Give an edge round the holes: a circle round a bolt circle, else a rounded hull."""
    from stores.handbook.tightening.joint import hull

    beyond = max(heads.values()) + _EDGE
    reach = [hypot(*place) for place in at.values()]
    if joint.form in (Form.CIRCLE, Form.CLOCK) and max(reach) - min(reach) < 0.01 * max(reach):
        return arc((0.0, 0.0), max(reach) + beyond, 0.0, 2 * pi)
    corners = [at[number] for number in hull(dict(at))]
    edge: list[Point] = []
    for before, corner, after in zip(
        [corners[-1], *corners[:-1]], corners, [*corners[1:], corners[0]], strict=True
    ):
        start = atan2(corner[1] - before[1], corner[0] - before[0]) - pi / 2
        end = atan2(after[1] - corner[1], after[0] - corner[0]) - pi / 2
        edge += arc(corner, beyond, start, (end - start) % (2 * pi))
    return [*edge, edge[0]]
