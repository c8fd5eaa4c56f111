"""What shape the holes of a joint make: a bolt circle, a ring, a row, two rows, or none of these.

Everything here depends on how the holes lie to one another, not on where the joint lies or how it
is turned.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, hypot, pi

from stores.handbook.tightening.model import Joint

__all__ = [
    "CIRCLE_ANGLE",
    "CIRCLE_RADIUS",
    "RING_RADIUS",
    "Places",
    "Ring",
    "bolt_circle",
    "middle",
    "neighbours",
    "ring",
    "row",
    "two_rows",
]

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
    """Give the places of the holes by number."""
    return {number: (hole.x_mm, hole.y_mm) for number, hole in joint.by_number.items()}


def apart(one: tuple[float, float], other: tuple[float, float]) -> float:
    """Give the distance between two places."""
    return hypot(one[0] - other[0], one[1] - other[1])


def ring(places: Places) -> Ring | None:
    """Give the ring that three or more holes make, or None.

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
    """Give the ring if the holes are spaced evenly enough round it for a bolt circle, or None."""
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
    """Give the holes from one end of a row to the other, the lower-numbered end first, or None."""
    ends = _ends(places)
    along = _along(places, *ends)
    length = apart(places[ends[0]], places[ends[1]])
    if any(abs(off) > _ROW_OFF * length for _, off in along.values()):
        return None
    return tuple(sorted(places, key=lambda number: along[number][0]))


def _ends(places: Places) -> tuple[int, int]:
    """Give the two holes furthest apart, the lower number first."""
    pairs = [(one, other) for one in places for other in places if one < other]
    furthest = max(apart(places[one], places[other]) for one, other in pairs)
    return next(
        pair for pair in pairs if apart(places[pair[0]], places[pair[1]]) >= furthest * (1 - _EQUAL)
    )


def _along(places: Places, one: int, other: int) -> dict[int, tuple[float, float]]:
    """Give each place as a distance along the line from one hole to another, and off it."""
    x0, y0 = places[one]
    length = apart(places[one], places[other])
    ux, uy = (places[other][0] - x0) / length, (places[other][1] - y0) / length
    return {
        number: ((x - x0) * ux + (y - y0) * uy, (y - y0) * ux - (x - x0) * uy)
        for number, (x, y) in places.items()
    }


def two_rows(places: Places) -> tuple[tuple[int, ...], tuple[int, ...]] | None:
    """Give two rows whose holes face each other, each from the same end, or None.

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
    """Give the holes on the outline, in order round it, without those within a straight edge."""
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
    """Give the middle of the cover: the centroid of the area within the outline of the holes."""
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
    """Give the neighbours of each hole: those with no third hole nearer to both of them.

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
