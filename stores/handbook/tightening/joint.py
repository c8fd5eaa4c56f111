"""A joint to be tightened: its holes, where they lie and what goes into them.

What shape the holes of a joint make: a bolt circle, a ring, a row, two rows, or none of these.

Everything here depends on how the holes lie to one another, not on where the joint lies or how it
is turned.

The cross pattern of a bolt circle.

The legacy cross pattern of ASME PCC-1 (2010, table 4) is printed for numbers of bolts that can be
divided by four. All its rows follow from two rules, which this module applies to any number:

- *quads*: a bolt, the one opposite, then the pair square to them; the next quad starts within the
  first quarter;
- *halving*: the next start lies in the middle of the widest open gap of the quarter; of two
  equally good ones the one further from the last, then the lower number ("keep halving the
  angle", as the gasket suppliers say).

Six, ten, fourteen ... bolts go in opposite pairs, the pairs by halving. An odd number has no
opposite bolts: it goes by halving round the whole circle, which gives the usual star for five.
From 48 bolts on four neighbours count as one.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from itertools import pairwise
from math import atan2, hypot, isfinite, pi
from types import MappingProxyType

from stores.errors import BadValue
from stores.handbook.answer import between

__all__ = [
    "CIRCLE_ANGLE",
    "CIRCLE_RADIUS",
    "GROUPED_FROM",
    "MOST_HOLES",
    "RING_RADIUS",
    "Form",
    "Hole",
    "Joint",
    "Places",
    "Ring",
    "bolt_circle",
    "cross_pattern",
    "halving",
    "middle",
    "neighbours",
    "ring",
    "row",
    "two_rows",
]


MOST_HOLES = 60

_LARGEST_MM = 100_000.0

_SAME_PLACE = 1e-6

"""Of the size of the joint: two holes closer than this are one."""


class Form(StrEnum):
    """How the places of the holes were given."""

    CIRCLE = "bolt circle"
    ROW = "row"
    ROWS = "rows"
    CLOCK = "clock positions"
    PLACES = "places"


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole: its number on the joint and its place, mm, ``x_mm`` to the right, ``y_mm`` up.

    ``length`` is what goes in it, in the person's own words (``M6x45``); empty if all are alike.
    """

    number: int
    x_mm: float
    y_mm: float
    length: str = ""


@dataclass(frozen=True, slots=True)
class Joint:
    """Two to sixty holes, numbered 1 to so many, no two at one place.

    ``to_scale`` is False for a sketch: only the directions are known. ``said`` is how the text was
    understood, to be shown with the answer.

    Raises:
        BadValue: too few or too many holes, numbers that do not run from 1, a place that is no
            number, two holes at one place.
    """

    holes: tuple[Hole, ...]
    name: str = ""
    form: Form = Form.PLACES
    said: str = ""

    def __post_init__(self) -> None:
        count = len(self.holes)
        if not 2 <= count <= MOST_HOLES:
            raise BadValue(f"a joint of {count} holes: expected 2 to {MOST_HOLES}")
        numbers = sorted(hole.number for hole in self.holes)
        if numbers != list(range(1, count + 1)):
            raise BadValue(f"the holes are numbered {numbers}: expected 1 to {count}, each once")
        for hole in self.holes:
            for value in (hole.x_mm, hole.y_mm):
                if not (isfinite(value) and abs(value) <= _LARGEST_MM):
                    raise BadValue(
                        f"hole {hole.number} at {hole.x_mm:g},{hole.y_mm:g} mm: expected within "
                        f"{_LARGEST_MM:g} mm"
                    )
        twins = self.twins()
        if twins:
            raise BadValue(f"holes {twins[0]} and {twins[1]} are at one place")

    def twins(self) -> tuple[int, int] | None:
        """Return the numbers of the first two holes at one place, None if there are none."""
        ordered = sorted(self.holes, key=lambda hole: hole.number)
        near = _SAME_PLACE * self.size_mm
        for at, second in enumerate(ordered):
            for first in ordered[:at]:
                if hypot(first.x_mm - second.x_mm, first.y_mm - second.y_mm) <= near:
                    return first.number, second.number
        return None

    @property
    def size_mm(self) -> float:
        """The larger side of the upright rectangle that holds the holes, mm."""
        xs = [hole.x_mm for hole in self.holes]
        ys = [hole.y_mm for hole in self.holes]
        return max(max(xs) - min(xs), max(ys) - min(ys))

    @property
    def to_scale(self) -> bool:
        """Whether distances are known, not the directions alone."""
        return self.form is not Form.CLOCK

    @property
    def by_number(self) -> Mapping[int, Hole]:
        """The holes by their numbers, lowest first."""
        ordered = sorted(self.holes, key=lambda hole: hole.number)
        return MappingProxyType({hole.number: hole for hole in ordered})

    @property
    def with_lengths(self) -> bool:
        """Whether any hole has its own length."""
        return any(hole.length for hole in self.holes)


CIRCLE_RADIUS = 0.05

"""A bolt circle: no hole further off the circle than this share of its radius (our tolerance)."""

CIRCLE_ANGLE = 1 / 6

"""A bolt circle: no hole further along the circle from its place than this share of the pitch."""

RING_RADIUS = 0.12

"""A ring: no hole further off the circle than this share of its radius (our tolerance)."""

_WIDEST_GAP = pi

_ROW_OFF = 0.05

"""A row: no hole further off the line than this share of its length."""

_ROWS_OFF = 0.06

_COLUMN_OFF = 0.25

_EQUAL = 1e-9

Places = dict[int, tuple[float, float]]

"""Hole numbers and their places, mm."""


@dataclass(frozen=True, slots=True)
class Ring:
    """Holes round a centre: numbers clockwise, with the angle of each, radians from 12 o'clock."""

    centre: tuple[float, float]
    radius: float
    holes: tuple[int, ...]
    angles: tuple[float, ...]


def places_of(joint: Joint) -> Places:
    """Return the places of the holes by number."""
    return {number: (hole.x_mm, hole.y_mm) for number, hole in joint.by_number.items()}


def apart(one: tuple[float, float], other: tuple[float, float]) -> float:
    """Return the distance between two places."""
    return hypot(one[0] - other[0], one[1] - other[1])


def ring(places: Places) -> Ring | None:
    """Return the ring that three or more holes make, or None.

    The circle is fitted by least squares (Kåsa); the holes must go round the centre: no gap of
    half a turn or more.
    """
    if len(places) < 3:
        return None
    fitted = _fit(list(places.values()))
    if fitted is None:
        return None
    centre, radius = fitted
    if any(abs(apart(place, centre) - radius) > RING_RADIUS * radius for place in places.values()):
        return None
    turns = {
        number: atan2(x - centre[0], y - centre[1]) % (2 * pi) for number, (x, y) in places.items()
    }
    first = turns[min(places)]
    # Counted from the lowest number on; a hair before it is a hair before it, not a whole turn on.
    round_ = {
        number: 0.0 if number == min(places) else (turn - first) % (2 * pi)
        for number, turn in turns.items()
    }
    holes = sorted(places, key=lambda number: (round_[number], number))
    angles = [round_[number] for number in holes]
    gaps = [after - before for before, after in pairwise([*angles, 2 * pi])]
    if max(gaps) >= _WIDEST_GAP - _EQUAL:
        return None
    return Ring(centre, radius, tuple(holes), tuple(first + angle for angle in angles))


def bolt_circle(places: Places) -> Ring | None:
    """Return the ring if the holes are spaced evenly enough round it for a bolt circle, or None."""
    found = ring(places)
    if found is None:
        return None
    pitch = 2 * pi / len(places)
    off = [angle - at * pitch for at, angle in enumerate(found.angles)]
    # The hole counted from is as likely to be off as another: the middle of all sets the places.
    start = (max(off) + min(off)) / 2
    round_enough = all(
        abs(apart(place, found.centre) - found.radius) <= CIRCLE_RADIUS * found.radius
        for place in places.values()
    )
    even = all(abs(each - start) <= CIRCLE_ANGLE * pitch for each in off)
    return found if round_enough and even else None


def _fit(places: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], float] | None:
    count = len(places)
    mean_x = sum(x for x, _ in places) / count
    mean_y = sum(y for _, y in places) / count
    from_mean = [(x - mean_x, y - mean_y) for x, y in places]
    xx = sum(x * x for x, _ in from_mean)
    yy = sum(y * y for _, y in from_mean)
    xy = sum(x * y for x, y in from_mean)
    xz = sum(x * (x * x + y * y) for x, y in from_mean) / 2
    yz = sum(y * (x * x + y * y) for x, y in from_mean) / 2
    whole = xx * yy - xy * xy
    if whole <= 1e-9 * (xx + yy) ** 2:
        return None
    x = (xz * yy - yz * xy) / whole
    y = (yz * xx - xz * xy) / whole
    return (mean_x + x, mean_y + y), (x * x + y * y + (xx + yy) / count) ** 0.5


def row(places: Places) -> tuple[int, ...] | None:
    """Return the holes along a row, the end with the lower number first, or None."""
    ends = _ends(places)
    along = _along(places, *ends)
    length = apart(places[ends[0]], places[ends[1]])
    if any(abs(off) > _ROW_OFF * length for _, off in along.values()):
        return None
    return tuple(sorted(places, key=lambda number: along[number][0]))


def _ends(places: Places) -> tuple[int, int]:
    """Return the two holes furthest apart, the lower number first."""
    pairs = [(one, other) for one in places for other in places if one < other]
    furthest = max(apart(places[one], places[other]) for one, other in pairs)
    return next(
        pair for pair in pairs if apart(places[pair[0]], places[pair[1]]) >= furthest * (1 - _EQUAL)
    )


def _along(places: Places, one: int, other: int) -> dict[int, tuple[float, float]]:
    """Return each place as a distance along the line from one hole to another, and off it."""
    x0, y0 = places[one]
    length = apart(places[one], places[other])
    ux, uy = (places[other][0] - x0) / length, (places[other][1] - y0) / length
    return {
        number: ((x - x0) * ux + (y - y0) * uy, (y - y0) * ux - (x - x0) * uy)
        for number, (x, y) in places.items()
    }


def two_rows(places: Places) -> tuple[tuple[int, ...], tuple[int, ...]] | None:
    """Return two rows whose holes face each other, each from the same end, or None.

    The row with the lowest number comes first and its lower-numbered end leads.
    """
    if len(places) < 4 or len(places) % 2:
        return None
    best: tuple[float, tuple[tuple[int, ...], tuple[int, ...]]] | None = None
    edge = hull(places)
    for one, other in pairwise([*edge, edge[0]]):
        found = _rows_along(places, one, other)
        if found and (best is None or found[0] > best[0] * (1 + 1e-6)):
            best = found
    return best[1] if best else None


def _rows_along(
    places: Places, one: int, other: int
) -> tuple[float, tuple[tuple[int, ...], tuple[int, ...]]] | None:
    along = _along(places, one, other)
    half = len(places) // 2
    across = sorted(places, key=lambda number: along[number][1])
    sides = []
    for holes in (across[:half], across[half:]):
        offs = [along[number][1] for number in holes]
        sides.append((min(offs), max(offs)))
    between = sides[1][0] - sides[0][1]
    rows = [
        sorted(holes, key=lambda number: along[number][0])
        for holes in (across[:half], across[half:])
    ]
    length = max(along[line[-1]][0] - along[line[0]][0] for line in rows)
    loose = _ROWS_OFF * max(between, length)
    if between <= 0 or any(high - low > min(loose, between / 2) for low, high in sides):
        return None
    pitch = min(
        along[after][0] - along[before][0] for line in rows for before, after in pairwise(line)
    )
    if any(
        abs(along[near][0] - along[far][0]) > _COLUMN_OFF * pitch
        for near, far in zip(*rows, strict=True)
    ):
        return None
    first, second = sorted(rows, key=min)
    if first[0] > first[-1]:
        first, second = first[::-1], second[::-1]
    return length, (tuple(first), tuple(second))


def hull(places: Places) -> list[int]:
    """Return the holes on the outline, in order round it, without those within a straight edge."""
    ordered = sorted(places, key=lambda number: places[number])

    def half(numbers: Sequence[int]) -> list[int]:
        line: list[int] = []
        for number in numbers:
            while len(line) > 1 and _turns(places, line[-2], line[-1], number) <= 0:
                line.pop()
            line.append(number)
        return line[:-1]

    return [*half(ordered), *half(ordered[::-1])]


def _turns(places: Places, one: int, two: int, three: int) -> float:
    (ax, ay), (bx, by), (cx, cy) = places[one], places[two], places[three]
    return (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)


def middle(places: Places) -> tuple[float, float]:
    """Return the middle of the cover: the centroid of the area within the outline of the holes."""
    edge = [places[number] for number in hull(places)]
    x0, y0 = edge[0]
    area = across_x = across_y = 0.0
    for (ax, ay), (bx, by) in pairwise([*edge[1:]]):
        part = (ax - x0) * (by - y0) - (bx - x0) * (ay - y0)
        area += part
        across_x += part * (ax + bx - 2 * x0)
        across_y += part * (ay + by - 2 * y0)
    if area <= 1e-9 * max(apart(edge[0], place) for place in edge) ** 2:
        (ax, ay), (bx, by) = (places[number] for number in _ends(places))
        return (ax + bx) / 2, (ay + by) / 2
    return x0 + across_x / (3 * area), y0 + across_y / (3 * area)


def neighbours(places: Places) -> dict[int, frozenset[int]]:
    """Return the neighbours of each hole: those with no third hole nearer to both of them.

    This is the relative neighbourhood graph: the next holes along an edge or across a narrow
    part, never the one after.
    """
    found: dict[int, set[int]] = {number: set() for number in places}
    for one in places:
        for other in places:
            if one >= other:
                continue
            way = apart(places[one], places[other]) * (1 - 1e-6)
            if not any(
                apart(places[third], places[one]) < way
                and apart(places[third], places[other]) < way
                for third in places
                if third not in (one, other)
            ):
                found[one].add(other)
                found[other].add(one)
    return {number: frozenset(near) for number, near in found.items()}


GROUPED_FROM = 48


@cache
def cross_pattern(bolts: int) -> tuple[int, ...]:
    """Return the order for bolts numbered clockwise round a circle from 1.

    Raises `BadValue` for fewer than 2 or more than 60 bolts.

    >>> cross_pattern(8)
    (1, 5, 3, 7, 2, 6, 4, 8)
    """
    between("bolts", bolts, "", 2, MOST_HOLES)
    if bolts >= GROUPED_FROM and bolts % 4 == 0:
        groups = cross_pattern(bolts // 4)
        return tuple(4 * (group - 1) + bolt for group in groups for bolt in (1, 2, 3, 4))
    turns: tuple[int, ...] = (0,)
    quarter = bolts
    if bolts % 4 == 0:
        quarter = bolts // 4
        turns = (0, 2 * quarter, quarter, 3 * quarter)
    elif bolts % 2 == 0:
        quarter = bolts // 2
        turns = (0, quarter)
    return tuple(start + turn for start in halving(quarter) for turn in turns)


def halving(places: int) -> tuple[int, ...]:
    """Return the order of places 1 to ``places`` by halving the widest gap.

    The place after the last one counts as done: it is the first of the next quarter, or the first
    of the circle again.

    >>> halving(7)
    (1, 4, 6, 2, 5, 3, 7)
    """

    def round_trip(one: int, other: int) -> int:
        way = abs(one - other)
        return min(way, places - way)

    done = [1]
    while len(done) < places:
        walls = sorted([*done, places + 1])
        gaps = list(pairwise(walls))
        widest = max(high - low for low, high in gaps)
        middles = {
            middle
            for low, high in gaps
            if high - low == widest
            for middle in ((low + high) // 2, (low + high + 1) // 2)
        }
        last = done[-1]
        done.append(min(middles, key=lambda place: (-round_trip(place, last), place)))
    return tuple(done)
