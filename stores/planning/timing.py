"""When: earliest and latest times along the links, and what one pair of hands can do by when.

`times` is the critical-path method as it stands in the textbooks (Kelley and Walker, 1959): as if
there were hands enough. `one_pair_of_hands` is the person of this tool, who does one step after
another and waits only when nothing can be done. Times are in any one unit; here in days.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic

from stores.planning.precedence import Graph, Node
from stores.text import plural

__all__ = [
    "Bar",
    "Delivery",
    "Held",
    "Times",
    "Timing",
    "held_up",
    "not_before",
    "one_pair_of_hands",
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
        said = (
            f"holds up the finish by {plural(whole, 'day')}"
            if whole
            else "does not hold up the finish"
        )
        if self.spare is None:
            return f"{said}, and may be as late as it likes"
        late = f"has {plural(self.spare, 'day')} to spare" if self.spare else "must not be late"
        return f"{said}, and {late}"


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
