"""The order in which the holes of a joint are tightened.

A bolt circle goes by the cross pattern of ASME PCC-1 (`pattern`). For anything else there is no
standard: the workshop manuals say "from the middle outwards, crosswise". Made exact here:

- a *ring* whose holes are spaced unevenly goes in pairs, a hole and the one most nearly opposite,
  the next pair into the widest gap;
- a *row* goes from the middle to the ends, side to side in turn;
- *two rows*, as of a cylinder head, go from the middle to the ends, crosswise: a hole, the one
  diagonally opposite, then the other two of the same distance;
- *other* covers start at the hole nearest the middle; each is followed by the one most nearly
  opposite, then the nearest to the middle of those left.

Of equally good holes the lowest number comes first. Two neighbours follow one another only where
the rule leaves nothing else. What goes into a hole plays no part.

The passes in which a joint is brought to its torque.

All bolts go by hand first, then in the order at a share of the torque, then at the full torque;
a last pass at the full torque shows whether any still turns. Shares by `tightening_passes.csv`.

The whole answer for a joint: order, passes, what was taken for granted, sources, cautions.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from math import pi

from stores.errors import BadValue, NotFound
from stores.handbook.answer import above_zero, cite
from stores.handbook.table import table
from stores.handbook.tightening.joint import (
    CIRCLE_ANGLE,
    CIRCLE_RADIUS,
    GROUPED_FROM,
    Form,
    Joint,
    Places,
    Ring,
    apart,
    bolt_circle,
    cross_pattern,
    middle,
    neighbours,
    places_of,
    ring,
    row,
    two_rows,
)
from stores.handbook.tightening.reading import read_order

__all__ = [
    "GENERAL",
    "MOST_NM",
    "SMALL_NM",
    "Order",
    "Plan",
    "Procedure",
    "Shape",
    "Stage",
    "cite",
    "makers_order",
    "plan_joint",
    "procedure",
    "settable",
    "stages",
    "tightening_order",
]


_TIER = 0.02

"""Of the largest distance from the middle: holes within this are equally far from it."""

_CENTRAL = 0.15

"""Of the largest distance from the middle: a hole within this is in the middle, none opposite."""

_REACH = 0.2

"""Of the largest distance from the middle: how far outwards to look for a hole that is not a
neighbour of the last."""


class Shape(StrEnum):
    """What the holes were taken for."""

    CIRCLE = "bolt circle"
    RING = "uneven ring"
    ROW = "row"
    TWO_ROWS = "two rows"
    OTHER = "irregular cover"
    MAKER = "maker's order"


@dataclass(frozen=True, slots=True)
class Order:
    """Hole numbers in the order of tightening, what they were taken for and why so.

    ``clockwise`` are the holes round the circle or ring, from the lowest number; empty for others.
    """

    holes: tuple[int, ...]
    shape: Shape
    why: str
    source: str
    clockwise: tuple[int, ...] = ()

    @property
    def loosening(self) -> tuple[int, ...]:
        """The order of loosening: the reverse."""
        return self.holes[::-1]


def tightening_order(joint: Joint) -> Order:
    """Return the order for a joint, by where its holes lie. See the head of this module.

    From the middle of a row outwards, by turns to either side:

    >>> from stores.handbook.tightening.reading import read_joint
    >>> tightening_order(read_joint("6 in row at 40")).holes
    (3, 4, 2, 5, 1, 6)
    """
    places = places_of(joint)
    circle = bolt_circle(places)
    if circle:
        return _on_circle(circle, typed=joint.form is Form.CIRCLE)
    uneven = ring(places)
    if uneven and not joint.to_scale:
        return _on_ring(uneven)
    rows = two_rows(places)
    if rows:
        holes = _two_rows(places, *rows)
        return Order(holes, Shape.TWO_ROWS, _WHY[Shape.TWO_ROWS], "middle-outwards")
    line = row(places)
    if line:
        return Order(_from_middle(line), Shape.ROW, _WHY[Shape.ROW], "middle-outwards")
    if uneven:
        return _on_ring(uneven)
    return Order(_outwards(places), Shape.OTHER, _WHY[Shape.OTHER], "middle-outwards")


def makers_order(joint: Joint, holes: tuple[int, ...]) -> Order:
    """Return the maker's own order for a joint: it always wins.

    Raises `BadValue` unless every hole is there once.

    >>> from stores.handbook.tightening.reading import read_joint
    >>> makers_order(read_joint("4 on 60"), (3, 1, 4, 2)).holes
    (3, 1, 4, 2)
    """
    if sorted(holes) != list(joint.by_number):
        raise BadValue(
            f"an order of {len(holes)} holes for a joint of {len(joint.holes)}: every hole once"
        )
    round_ = tightening_order(joint).clockwise
    return Order(holes, Shape.MAKER, "the maker's own order", "makers-order", round_)


_TAKEN = (
    f"taken as a bolt circle (no hole further off than {100 * CIRCLE_RADIUS:g} % of the radius "
    f"and {100 * CIRCLE_ANGLE:.0f} % of the pitch): "
)

_WHY = {
    Shape.RING: (
        "taken as a ring of uneven spacing: opposite pairs, each next pair into the widest gap"
    ),
    Shape.ROW: "taken as one row: from the middle to the ends, side to side in turn",
    Shape.TWO_ROWS: "taken as two rows: from the middle to the ends, crosswise",
    Shape.OTHER: (
        "an irregular cover: from the middle of the cover outwards, each hole followed by the one "
        "most nearly opposite, not by its neighbour"
    ),
}


def _on_circle(circle: Ring, *, typed: bool) -> Order:
    count = len(circle.holes)
    why = "" if typed else _TAKEN
    if count >= GROUPED_FROM and count % 4 == 0:
        why, source = why + "cross pattern, four neighbours counting as one", "groups-of-four"
        if count > GROUPED_FROM:
            why += ", as published for 48"
    elif count % 4 == 0 and count <= 32:
        why, source = why + "cross pattern", "pcc-1"
    else:
        why, source = why + "cross pattern, its rules carried on to this number", "halving"
    holes = tuple(circle.holes[place - 1] for place in cross_pattern(count))
    return Order(holes, Shape.CIRCLE, why, source, circle.holes)


def _on_ring(uneven: Ring) -> Order:
    return Order(_round(uneven), Shape.RING, _WHY[Shape.RING], "halving", uneven.holes)


def _from_middle(line: Sequence[int]) -> tuple[int, ...]:
    """Order a row: the middle, then both sides in turn; the lower number of a pair first."""
    count = len(line)
    rings = [[line[count // 2]]] if count % 2 else []
    rings += [[line[at], line[count - 1 - at]] for at in reversed(range(count // 2))]
    done: list[int] = []
    for pair in rings:
        first = min(pair)
        if len(done) > 1 and len(pair) == 2:
            # the side that the last one was not on
            first = pair[0] if line.index(done[-1]) > (count - 1) / 2 else pair[1]
        done += [first, *(hole for hole in pair if hole != first)]
    return tuple(done)


def _two_rows(places: Places, near: Sequence[int], far: Sequence[int]) -> tuple[int, ...]:
    """Order two rows that face each other, four holes of one distance at a time."""
    count = len(near)
    done: list[int] = []
    if count % 2:
        done += sorted((near[count // 2], far[count // 2]))
    for at in reversed(range(count // 2)):
        opposite = {
            near[at]: far[count - 1 - at],
            far[count - 1 - at]: near[at],
            far[at]: near[count - 1 - at],
            near[count - 1 - at]: far[at],
        }
        beside = {side[place] for side in (near, far) for place in _next_to(side, done)}
        first = min(hole for hole in opposite if hole not in beside)
        second = opposite[first]
        rest = [hole for hole in opposite if hole not in (first, second)]
        if at + 1 == count - 1 - at:
            # Of the middle four both are neighbours of the last one: the further one.
            ways = {hole: apart(places[hole], places[second]) for hole in rest}
            third = [hole for hole in rest if ways[hole] >= max(ways.values()) * (1 - 1e-6)]
        else:
            same = near if second in near else far
            third = [hole for hole in rest if hole in same]
        done += [first, second, min(third), opposite[min(third)]]
    return tuple(done)


def _next_to(side: Sequence[int], done: Sequence[int]) -> tuple[int, ...]:
    if not done or done[-1] not in side:
        return ()
    at = side.index(done[-1])
    return tuple(place for place in (at - 1, at + 1) if 0 <= place < len(side))


def _least(wanted: Mapping[int, float], slack: float) -> list[int]:
    """Return the holes whose figure is the least, or within ``slack`` of it."""
    bound = min(wanted.values()) + slack
    return [hole for hole, value in wanted.items() if value <= bound]


def _round(uneven: Ring) -> tuple[int, ...]:
    """Order a ring: opposite pairs, the next into the widest gap."""
    count = len(uneven.holes)
    angle = dict(zip(uneven.holes, uneven.angles, strict=True))
    near = {
        hole: frozenset((uneven.holes[at - 1], uneven.holes[(at + 1) % count]))
        for at, hole in enumerate(uneven.holes)
    }

    def between(one: int, other: int) -> float:
        way = abs(angle[one] - angle[other]) % (2 * pi)
        return min(way, 2 * pi - way)

    left = sorted(uneven.holes)
    done: list[int] = []
    while left:
        last = done[-1] if done else 0
        free = [hole for hole in left if not done or hole not in near[last]] or left
        if len(done) % 2:
            best = _least({hole: -between(hole, last) for hole in free}, 1e-6)
        elif done:
            open_ = {hole: -min(between(hole, each) for each in done) for hole in free}
            best = _least(open_, 1e-6)
            best = _least({hole: -between(hole, last) for hole in best}, 1e-6)
        else:
            best = free
        done.append(min(best))
        left.remove(done[-1])
    return _mended(done, near, lambda one, other: True, lambda one, other: False)


def _outwards(places: Places) -> tuple[int, ...]:
    """Order any other cover from its middle outwards."""
    centre = middle(places)
    away = {hole: apart(place, centre) for hole, place in places.items()}
    most = max(away.values())
    near = neighbours(places)

    def off_opposite(one: int, other: int) -> float:
        """How far from the place of ``one`` mirrored through the middle ``other`` lies."""
        x, y = places[one]
        return apart((2 * centre[0] - x, 2 * centre[1] - y), places[other])

    left = sorted(places)
    done: list[int] = []
    paired = False
    while left:
        last = done[-1] if done else 0
        nearest = min(away[hole] for hole in left)
        reach = (max(nearest, away[last]) if paired else nearest) + _REACH * most
        within = [hole for hole in left if away[hole] <= reach]
        free = [hole for hole in within if not done or hole not in near[last]] or within
        wanted = {hole: off_opposite(last, hole) if paired else away[hole] for hole in free}
        best = _least(wanted, _TIER * most)
        if done:
            best = _least({hole: -apart(places[hole], places[last]) for hole in best}, 1e-6 * most)
        done.append(min(best))
        left.remove(done[-1])
        paired = not paired and away[done[-1]] > _CENTRAL * most
    return _mended(
        done,
        near,
        lambda one, other: abs(away[one] - away[other]) <= _REACH * most,
        lambda one, other: off_opposite(one, other) <= _TIER * most,
    )


def _mended(
    order: list[int],
    near: dict[int, frozenset[int]],
    alike: Callable[[int, int], bool],
    facing: Callable[[int, int], bool],
) -> tuple[int, ...]:
    """Swap holes that are ``alike`` until as few neighbours as possible follow one another.

    Neighbours that are ``facing`` each other through the middle may follow one another.
    """

    def faults(line: Sequence[int]) -> int:
        return sum(other in near[one] and not facing(one, other) for one, other in pairwise(line))

    left = faults(order)
    while left:
        swaps = [
            (at, to)
            for at in range(1, len(order))
            for to in range(1, at)
            if alike(order[at], order[to])
        ]
        for at, to in sorted(swaps, key=lambda swap: (swap[0] - swap[1], -swap[0])):
            trial = list(order)
            trial[at], trial[to] = trial[to], trial[at]
            if faults(trial) < left:
                order, left = trial, faults(trial)
                break
        else:
            break
    return tuple(order)


MOST_NM = 5000.0

SMALL_NM = 2.0

"""Most workshop torque wrenches measure nothing below this (common practice)."""


@dataclass(frozen=True, slots=True)
class Procedure:
    """Shares of the final torque, per cent, rising to 100; ``rest_h`` hours, then once more."""

    key: str
    per_cent: tuple[int, ...]
    rest_h: int
    source: str


@dataclass(frozen=True, slots=True)
class Stage:
    """One pass over all holes.

    ``per_cent`` is None where no wrench is set; ``torque_nm`` also where no torque was given.
    ``holes`` is the order of this pass.
    """

    what: str
    per_cent: int | None
    torque_nm: float | None
    holes: tuple[int, ...]

    @property
    def torque(self) -> str:
        """The torque in words: ``12.5 N m``; empty if there is none."""
        return "" if self.torque_nm is None else f"{self.torque_nm:.10g} N m"


def procedure(holes: int, key: str = "") -> Procedure:
    """Return the procedure of that key, or the one for so many holes.

    Raises `NotFound` for an unknown key, naming those that are known.
    """
    rows = table("tightening_passes")
    for each in rows:
        if each["key"] == key.strip().lower() or (
            not key
            and each["for_holes_from"]
            and int(each["for_holes_from"]) <= holes <= int(each["for_holes_to"])
        ):
            shares = tuple(int(share) for share in each["per_cent"].split())
            return Procedure(each["key"], shares, int(each["rest_hours"] or 0), each["source"])
    known = ", ".join(each["key"] for each in rows)
    raise NotFound(f"no passes {key!r}: one of {known}")


def settable(share_nm: float, above_nm: float, final_nm: float) -> float:
    """Round the torque of an early pass, N m, to what a wrench can be set to.

    To 5 N m from 100 on, 1 from 10, 0.5 from 2, 0.1 below: always above the pass before and below
    the final torque, where that takes finer steps too.

    Args:
        share_nm: the share of the final torque [N m].
        above_nm: the torque of the pass before [N m].
        final_nm: the final torque [N m].

    >>> settable(13.2, 5, 40), settable(104.0, 50, 200)
    (13.0, 105.0)
    """
    step = 5.0 if share_nm >= 100 else 1.0 if share_nm >= 10 else 0.5 if share_nm >= 2 else 0.1
    while step > 1e-6:
        rounded = round(round(share_nm / step) * step, 9)
        if above_nm < rounded < final_nm:
            return rounded
        step /= 10
    return share_nm


def stages(order: Order, how: Procedure, torque_nm: float | None = None) -> tuple[Stage, ...]:
    """Return the passes for an order; ``torque_nm`` is the final torque, above 0 to 5000 N m.

    The final torque is never rounded and never exceeded. Raises `BadValue` for one out of range.

    Args:
        order: in which the holes are tightened.
        how: the passes.
        torque_nm: the final torque [N m].

    30, 60 and 100 per cent of 24 N m, to what a wrench can be set to, by hand first:

    >>> from stores.handbook.tightening.reading import read_joint
    >>> order = tightening_order(read_joint("8 on 120"))
    >>> [each.torque for each in stages(order, procedure(8), 24)]
    ['', '7 N m', '14 N m', '24 N m', '24 N m']
    """
    if torque_nm is not None:
        above_zero("torque", torque_nm, "N m", MOST_NM)
    made = [Stage("all by hand, evenly, until the faces meet", None, None, order.holes)]
    before = 0.0
    for share in how.per_cent:
        nm = torque_nm
        if torque_nm is not None and share < 100:
            nm = before = settable(torque_nm * share / 100, before, torque_nm)
        made.append(Stage("in order", share, nm, order.holes))
    again, words = _last(order)
    made.append(Stage(words, 100, torque_nm, again))
    if how.rest_h:
        words = f"after {how.rest_h} hours: {words}"
        made.append(Stage(words, 100, torque_nm, again))
    return tuple(made)


def _last(order: Order) -> tuple[tuple[int, ...], str]:
    if order.clockwise:
        start = order.clockwise[0]
        return order.clockwise, f"clockwise round from hole {start}, until no bolt moves"
    return order.holes, "in the same order again, until no bolt moves"


GENERAL = (
    "The maker's order, torque and passes come first; some heads are tightened by angle, or again "
    "after the first run, as the book says."
)

_ALIKE = "Bring every bolt to one pass before the next begins."

_SETTLES = (
    "Gaskets settle: no bolt may turn in the last pass. Tighten again later only cold, and only "
    "where the maker allows it."
)

_LENGTHS = (
    "Lengths differ: push all bolts in before tightening any; each should stand out by the same. "
    "One too long bottoms or cracks the casting, one too short strips the thread."
)

_BACK = "Loosen in the reverse order, cold, a little each at first."


@dataclass(frozen=True, slots=True)
class Plan:
    """How to tighten a joint.

    ``torque_nm`` is the final torque, N m, None if none was given; ``sources`` are keys that
    `cite` spells out; ``cautions`` are to be shown once.
    """

    joint: Joint
    order: Order
    procedure: Procedure
    torque_nm: float | None
    stages: tuple[Stage, ...]
    assumptions: tuple[str, ...]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def loosening(self) -> tuple[int, ...]:
        """Hole numbers in the order of loosening."""
        return self.order.loosening

    def turn_of(self, hole: int) -> int:
        """Return when a hole's turn comes, from 1."""
        return self.order.holes.index(hole) + 1


def plan_joint(
    joint: Joint, torque_nm: float | None = None, *, maker_order: str = "", passes: str = ""
) -> Plan:
    """Work out how to tighten a joint.

    ``torque_nm`` is the final torque, N m, above 0 and up to 5000. ``maker_order`` is the maker's
    own, ``3 1 4 2``, and always wins. ``passes`` is a key of `tightening_passes.csv`; without one
    the number of holes decides.

    Raises:
        BadValue: a torque out of range.
        NotationError: a maker's order that does not name every hole once.
        NotFound: no passes of that key.

    >>> from stores.handbook.tightening.reading import read_joint
    >>> plan_joint(read_joint("4 on 60"), maker_order="3 1 4 2").order.holes
    (3, 1, 4, 2)
    """
    if maker_order.strip():
        order = makers_order(joint, read_order(maker_order, len(joint.holes)))
    else:
        order = tightening_order(joint)
    how = procedure(len(joint.holes), passes)
    made = stages(order, how, torque_nm)
    taken = [joint.said, order.why]
    if order.shape is Shape.RING and not joint.to_scale:
        taken.append("only the directions of the holes are known")
    sources = [order.source, how.source]
    if not order.clockwise:
        sources.append("again-in-order")
    cautions = [GENERAL, _ALIKE, _SETTLES]
    if len({hole.length for hole in joint.holes}) > 1:
        cautions.insert(1, _LENGTHS)
    small = [stage for stage in made if stage.torque_nm is not None and stage.torque_nm < SMALL_NM]
    if small:
        cautions.append(
            f"{small[0].torque} is below what most torque wrenches measure: by feel and evenly."
        )
    cautions.append(_BACK)
    return Plan(
        joint,
        order,
        how,
        torque_nm,
        made,
        tuple(text for text in taken if text),
        tuple(dict.fromkeys(sources)),
        tuple(cautions),
    )
