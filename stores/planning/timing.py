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
from dataclasses import dataclass
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
    from heapq import heappop, heappush

    released = not_before or {}
    waits = {node: len(before) for node, before in graph.before.items()}
    place = {node: at for at, node in enumerate(graph.nodes)}
    ready: list[tuple[float, int, Node]] = []
    coming: list[tuple[float, int, Node]] = []
    now = 0.0

    def let(node: Node) -> None:
        when = released.get(node, 0)
        if when > now:
            heappush(coming, (when, place[node], node))
        else:
            heappush(ready, (rank(node), place[node], node))

    for node in graph.nodes:
        if not waits[node]:
            let(node)
    bars: list[Bar[Node]] = []
    while ready or coming:
        if not ready:
            now = max(now, coming[0][0])
        while coming and coming[0][0] <= now:
            node = heappop(coming)[2]
            heappush(ready, (rank(node), place[node], node))
        node = heappop(ready)[2]
        bars.append(Bar(node, now, now + durations.get(node, 0)))
        now = bars[-1].finish
        for then in graph.after[node]:
            waits[then] -= 1
            if not waits[then]:
                let(then)
    if len(bars) < len(graph.nodes):
        raise ValueError("there is a loop")
    return bars


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
        """Say it: ``holds up the finish by 8 days and must not be late``."""
        whole = round(self.days)
        said = f"holds up the finish by {plural(whole, 'day')}" if whole else "not critical"
        if self.spare is None:
            return f"{said}; any day will do"
        late = f"{plural(self.spare, 'day')} in hand" if self.spare else "must not be late"
        return f"{said}; {late}"


def held_up(
    graph: Graph[Node],
    durations: Mapping[Node, float],
    deliveries: Sequence[Delivery[Node]],
    *,
    rank: Callable[[Node], float],
    most: int = 366,
) -> list[Held]:
    """Reckon what each delivery does to the finish of one person, the worst first."""

    def finish(changed: Delivery[Node], due: float) -> float:
        return _finish(
            one_pair_of_hands(
                graph,
                durations,
                not_before(
                    [
                        Delivery(each.name, due if each is changed else each.due, each.steps)
                        for each in deliveries
                    ]
                ),
                rank=rank,
            )
        )

    held = []
    for each in deliveries:
        now = finish(each, each.due)
        low, high = 0, most
        while low < high:  # the most days late that leave the finish where it is
            middle = (low + high + 1) // 2
            if finish(each, each.due + middle) > now + 1e-9:
                high = middle - 1
            else:
                low = middle
        held.append(Held(each.name, each.due, now - finish(each, 0), None if low == most else low))
    return sorted(held, key=lambda one: (-one.days, one.due, one.name))


def not_before(deliveries: Iterable[Delivery[Node]]) -> dict[Node, float]:
    """Give when each step may begin, for what it waits for."""
    found: dict[Node, float] = {}
    for each in deliveries:
        for node in each.steps:
            found[node] = max(found.get(node, 0), each.due)
    return found


def _finish(bars: Sequence[Bar[Node]]) -> float:
    return max((bar.finish for bar in bars), default=0)


HOURS_A_WEEK = 8.0
"""Hours in the workshop in a week, where nothing is said: a guess, and shown as one."""


@dataclass(frozen=True, slots=True)
class Outlook:
    """The work left, laid out in days from today.

    ``timing`` is as if there were hands enough, ``bars`` the work of one person, ``finish`` its
    last day. ``undated`` are firms and purchases that no day is known for, purchases as a
    number of things: taken as if here today, so the finish is the earliest there can be.
    """

    today: date
    hours_a_week: float
    bars: tuple[Bar[int], ...]
    timing: Timing[int]
    held: tuple[Held, ...]
    undated: tuple[str, ...]
    minutes: int
    guessed: int

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
    return Outlook(
        today,
        hours_a_week,
        tuple(one_pair_of_hands(graph, takes, released, rank=ranks.__getitem__)),
        times(graph, takes, released),
        tuple(held_up(graph, takes, deliveries, rank=ranks.__getitem__)),
        undated,
        sum(each.minutes for each in left),
        sum(each.guessed for each in left),
    )


def _matched(left: Sequence[Planned], late: Mapping[str, int]) -> dict[str, int]:
    """Find whom each name means."""
    known = {matter.whom for each in left for matter in each.matters if matter.whom}
    found = {}
    for name, days in late.items():
        near = [whom for whom in known if whom.casefold().startswith(name.strip().casefold())]
        if not near:
            listed = ", ".join(sorted(known)) or "nobody"
            raise NotFound(f"nothing is awaited from {name!r}; there is {listed}")
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
    ], (*undated, *([f"{len(to_buy)} to buy"] if to_buy else []))


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
