"""When: earliest and latest times, what one pair of hands can do by when, the finish, the pace.

`times` is the critical-path method as it stands in the textbooks (Kelley and Walker, 1959): as if
there were hands enough. `one_pair_of_hands` is the person of this tool, who does one step after
another and waits only when nothing can be done. Their times are in any one unit; `outlook` lays the
steps of a plan out in days from today.

Dates are of one pair of hands, since that is who works here: any order that never waits without
need is finished as soon as any other, so the order of the list is kept. Earliest and latest times
are the textbook's, as if there were hands enough.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Generic

from stores.errors import NotFound
from stores.planning.order import Graph, Node
from stores.planning.rebuild import Plan, Planned
from stores.planning.status import OUTSIDE
from stores.text import plural

__all__ = [
    "HOURS_A_WEEK",
    "Bar",
    "Delivery",
    "Held",
    "Outlook",
    "Pace",
    "Times",
    "Timing",
    "held_up",
    "not_before",
    "one_pair_of_hands",
    "outlook",
    "pace",
    "room_after",
    "times",
]


@dataclass(frozen=True, slots=True)
class Times:
    """Earliest and latest start and finish of one step."""

    early_start: float
    early_finish: float
    late_start: float
    late_finish: float

    @property
    def slack(self) -> float:
        """By how much it may begin later without the finish being later."""
        return self.late_start - self.early_start


@dataclass(frozen=True, slots=True)
class Timing(Generic[Node]):
    """The times of all steps, the length of the whole, and one longest chain through it."""

    of: Mapping[Node, Times]
    length: float
    chain: tuple[Node, ...]

    def critical(self, within: float = 1e-9) -> list[Node]:
        """Give the steps without slack."""
        return [node for node, each in self.of.items() if each.slack <= within]


def times(
    graph: Graph[Node],
    durations: Mapping[Node, float],
    not_before: Mapping[Node, float] | None = None,
) -> Timing[Node]:
    """Reckon earliest and latest times, were there hands enough.

    Args:
        graph: the steps and their links, without a loop.
        durations: how long each step takes, 0 and more; 0 where it is not named.
        not_before: when a step may begin at the earliest, for what it has to wait for from outside.

    Raises:
        ValueError: there is a loop.
    """
    order = graph.sorted()
    released = not_before or {}
    takes = {node: durations.get(node, 0.0) for node in order}
    early = {node: released.get(node, 0.0) for node in order}
    came: dict[Node, Node] = {}
    for node in order:
        done = early[node] + takes[node]
        for then in graph.after[node]:
            if done >= early[then]:
                early[then] = done
                came[then] = node
    length = max((early[node] + takes[node] for node in order), default=0)
    late = dict.fromkeys(order, length)
    for node in reversed(order):
        start = late[node] - takes[node]
        for first in graph.before[node]:
            late[first] = min(late[first], start)
    last = next((node for node in order if early[node] + takes[node] == length), None)
    chain = [] if last is None else [last]
    while chain and chain[-1] in came:
        chain.append(came[chain[-1]])
    return Timing(
        {
            node: Times(
                early[node], early[node] + takes[node], late[node] - takes[node], late[node]
            )
            for node in order
        },
        length,
        tuple(reversed(chain)),
    )


@dataclass(frozen=True, slots=True)
class Bar(Generic[Node]):
    """A step in the working order of one person."""

    node: Node
    start: float
    finish: float


def one_pair_of_hands(
    graph: Graph[Node],
    durations: Mapping[Node, float],
    not_before: Mapping[Node, float] | None = None,
    *,
    rank: Callable[[Node], float],
) -> list[Bar[Node]]:
    """Lay the steps one after another, always the first by ``rank`` of those that can be done.

    It waits only when nothing can be done. That way no other order is finished sooner: at each
    wait everything left hangs on something that has yet to come, whatever was done first.

    Raises:
        ValueError: there is a loop.
    """
    hands = _Hands(graph, durations, rank)
    return [Bar(hands.nodes[at], start, end) for at, start, end in hands.laid(not_before or {})]


class _Hands(Generic[Node]):
    """The steps of a graph by rank, to be laid one after another several times."""

    def __init__(
        self,
        graph: Graph[Node],
        durations: Mapping[Node, float],
        rank: Callable[[Node], float],
    ) -> None:
        self.nodes = sorted(graph.nodes, key=rank)
        place = {node: at for at, node in enumerate(self.nodes)}
        self._takes = [durations.get(node, 0) for node in self.nodes]
        self._waits = [len(graph.before[node]) for node in self.nodes]
        self._after = [[place[then] for then in graph.after[node]] for node in self.nodes]

    def laid(self, released: Mapping[Node, float]) -> list[tuple[int, float, float]]:
        """Return the steps in order, by place in ``nodes``, each with when it begins and ends."""
        from heapq import heappop, heappush

        when = [released.get(node, 0) for node in self.nodes]
        waits = self._waits.copy()
        ready: list[int] = []
        coming: list[tuple[float, int]] = []
        free = [at for at, count in enumerate(waits) if not count]
        laid: list[tuple[int, float, float]] = []
        now = 0.0
        while free or ready or coming:
            for at in free:
                if when[at] > now:
                    heappush(coming, (when[at], at))
                else:
                    heappush(ready, at)
            if not ready:
                now = max(now, coming[0][0])
            while coming and coming[0][0] <= now:
                heappush(ready, heappop(coming)[1])
            at = heappop(ready)
            begun, now = now, now + self._takes[at]
            laid.append((at, begun, now))
            free = []
            for then in self._after[at]:
                waits[then] -= 1
                if not waits[then]:
                    free.append(then)
        if len(laid) < len(self.nodes):
            raise ValueError("there is a loop")
        return laid

    def finish(self, released: Mapping[Node, float]) -> float:
        """Return when the last step ends."""
        return max((end for _, _, end in self.laid(released)), default=0.0)


@dataclass(frozen=True, slots=True)
class Delivery(Generic[Node]):
    """Something promised for a time, and the steps that cannot begin before it is there."""

    name: str
    due: float
    steps: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Held:
    """What a delivery does to the finish.

    ``days`` is by how much sooner all would be finished were it here now; ``spare`` how many whole
    days later than promised it may come before the finish is later, None for a year and more.
    """

    name: str
    due: float
    days: float
    spare: int | None

    @property
    def words(self) -> str:
        """Say it: ``holds up the finish by 8 days; must not be late``."""
        whole = round(self.days)
        if self.spare is None:
            late = "more than a year in hand"
        else:
            late = f"{plural(self.spare, 'day')} in hand" if self.spare else "must not be late"
        if whole:
            return f"holds up the finish by {plural(whole, 'day')}; {late}"
        return late if self.spare == 0 else f"not critical; {late}"


def held_up(
    graph: Graph[Node],
    durations: Mapping[Node, float],
    deliveries: Sequence[Delivery[Node]],
    *,
    rank: Callable[[Node], float],
    most: int = 366,
) -> list[Held]:
    """Reckon what each delivery does to the finish of one person, the worst first."""

    hands = _Hands(graph, durations, rank)

    def finish(changed: Delivery[Node], due: float) -> float:
        return hands.finish(
            not_before(
                [
                    Delivery(each.name, due if each is changed else each.due, each.steps)
                    for each in deliveries
                ]
            )
        )

    held = []
    now = finish(deliveries[0], deliveries[0].due) if deliveries else 0.0  # as promised
    for each in deliveries:

        def late(days: int, each: Delivery[Node] = each) -> bool:
            return finish(each, each.due + days) > now + 1e-9

        spare = _most_below(most, late) if late(most) else None
        held.append(Held(each.name, each.due, now - finish(each, 0), spare))
    return sorted(held, key=lambda one: (-one.days, one.due, one.name))


def _most_below(most: int, late: Callable[[int], bool]) -> int:
    """Return the most days that are not too late, of fewer than ``most``; few are found soonest."""
    low, step = 0, 1
    while low + step < most and not late(low + step):
        low += step
        step *= 2
    high = min(low + step, most)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if late(middle) else (middle, high)
    return low


def not_before(deliveries: Iterable[Delivery[Node]]) -> dict[Node, float]:
    """Give when each step may begin, for what it waits for."""
    found: dict[Node, float] = {}
    for each in deliveries:
        for node in each.steps:
            found[node] = max(found.get(node, 0), each.due)
    return found


def room_after(graph: Graph[Node], bars: Sequence[Bar[Node]]) -> dict[Node, float]:
    """Give by how much each step may be done later than its bar: until the first of those that
    wait for it begins, or to the very end."""
    starts = {bar.node: bar.start for bar in bars}
    end = max((bar.finish for bar in bars), default=0.0)
    return {
        bar.node: min((starts[then] for then in graph.after[bar.node]), default=end) - bar.finish
        for bar in bars
    }


HOURS_A_WEEK = 8.0
"""Hours in the workshop in a week, where nothing is said: a guess, and shown as one."""


@dataclass(frozen=True, slots=True)
class Outlook:
    """The work left, laid out in days from today.

    ``timing`` is as if there were hands enough, ``bars`` the work of one person, ``finish`` its
    last day. ``undated`` are firms and purchases that no day is known for, purchases as a
    number of things: taken as if here today, so the finish is the earliest there can be.
    ``not_before`` are the days from today on which the last of what is promised for a step is
    here. ``slack`` is by how many days each step may be done later than its bar before one that
    waits for it is held up.
    """

    today: date
    hours_a_week: float
    bars: tuple[Bar[int], ...]
    timing: Timing[int]
    held: tuple[Held, ...]
    undated: tuple[str, ...]
    minutes: int
    guessed: int
    slack: Mapping[int, float] = field(default_factory=dict)
    not_before: Mapping[int, float] = field(default_factory=dict)

    @property
    def days(self) -> float:
        """Days until all is done."""
        return max((bar.finish for bar in self.bars), default=0.0)

    @property
    def finish(self) -> date:
        """The day on which it would be finished."""
        return self.day(self.days)

    def day(self, days: float) -> date:
        """Turn days from today into a date."""
        return self.today + timedelta(days=int(days + 1e-9))


def outlook(
    plan: Plan,
    today: date,
    *,
    hours_a_week: float = HOURS_A_WEEK,
    late: Mapping[str, int] | None = None,
) -> Outlook:
    """Lay the steps that are left over time.

    Args:
        plan: the plan.
        today: the day it begins.
        hours_a_week: time in the workshop.
        late: by how many days later than promised (or earlier, below zero) a firm or supplier
            delivers, by its name or the beginning of it.

    Raises:
        NotFound: nothing is awaited from one of these names.
    """
    left = plan.left
    numbers = {each.number for each in left}
    graph = plan.graph.among(numbers)
    minutes_a_day = hours_a_week * 60 / 7
    takes = {each.number: each.minutes / minutes_a_day for each in left}
    deliveries, undated = _deliveries(left, today, _matched(left, late or {}))
    ranks = plan.ranks
    released = not_before(deliveries)
    bars = tuple(one_pair_of_hands(graph, takes, released, rank=ranks.__getitem__))
    return Outlook(
        today,
        hours_a_week,
        bars,
        times(graph, takes, released),
        tuple(held_up(graph, takes, deliveries, rank=ranks.__getitem__)),
        undated,
        sum(each.minutes for each in left),
        sum(each.guessed for each in left),
        room_after(graph, bars),
        released,
    )


def _matched(left: Sequence[Planned], late: Mapping[str, int]) -> dict[str, int]:
    """Find whom each name means."""
    known = {matter.whom for each in left for matter in each.matters if matter.whom}
    found = {}
    for name, days in late.items():
        near = [whom for whom in known if whom.casefold().startswith(name.strip().casefold())]
        if not near:
            listed = f"only from {', '.join(sorted(known))}" if known else "nor from anybody else"
            raise NotFound(f"nothing is awaited from {name!r}, {listed}")
        found.update(dict.fromkeys(near, days))
    return found


def _deliveries(
    left: Sequence[Planned], today: date, late: Mapping[str, int]
) -> tuple[list[Delivery[int]], tuple[str, ...]]:
    steps: dict[tuple[str, float], list[int]] = {}
    undated: dict[str, None] = {}
    to_buy: set[str] = set()
    for each in left:
        for matter in each.matters:
            if matter.kind not in OUTSIDE:
                continue
            moved = late.get(matter.whom, 0)
            if matter.due is None and not moved:
                if matter.whom:
                    undated[matter.whom] = None
                else:
                    to_buy.add(matter.key)
                continue
            due = matter.due or today
            days = max(0, (due - today).days) + moved
            steps.setdefault((matter.whom, float(max(0, days))), []).append(each.number)
    return [
        Delivery(whom, days, tuple(dict.fromkeys(numbers)))
        for (whom, days), numbers in sorted(steps.items())
    ], (*undated, *([f"{plural(len(to_buy), 'line')} to buy"] if to_buy else []))


@dataclass(frozen=True, slots=True)
class Pace:
    """How fast pieces went back on so far, and when the rest is on at that pace."""

    pieces: int
    days: int
    a_week: float
    finish: date | None


def pace(fitted: Mapping[date, int], to_fit: int, today: date, *, window: int = 56) -> Pace | None:
    """Reckon the pace from the pieces refitted on each day, of the last eight weeks.

    From the first day on which something was refitted in that time until today, a week at least.
    None where nothing was refitted in it.
    """
    recent = {day: count for day, count in fitted.items() if (today - day).days < window and count}
    if not recent:
        return None
    days = max(7, (today - min(recent)).days + 1)
    pieces = sum(recent.values())
    if pieces <= 0:
        return None
    weekly = pieces * 7 / days
    return Pace(pieces, days, weekly, today + timedelta(days=-(-to_fit * days // pieces)))
