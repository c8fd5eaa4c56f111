"""When it may be finished: bars over time for one pair of hands, what is late, the pace so far."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from stores.errors import NotFound
from stores.planning.plan import OUTSIDE, Plan, Planned, State
from stores.planning.timing import (
    Bar,
    Delivery,
    Held,
    Timing,
    held_up,
    not_before,
    one_pair_of_hands,
    times,
)

__all__ = ["HOURS_A_WEEK", "Outlook", "Pace", "Progress", "outlook", "pace", "progress"]

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
    left = [each for each in plan.steps if each.state is not State.DONE]
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
            if matter.want not in OUTSIDE:
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
class Progress:
    """How far an assembly is: steps done, ready and waiting, pieces on and still to go on."""

    assembly: str
    done: int = 0
    ready: int = 0
    waits: int = 0
    fitted: int = 0
    to_fit: int = 0
    minutes: int = 0

    @property
    def steps(self) -> int:
        """All its steps."""
        return self.done + self.ready + self.waits


def progress(plan: Plan) -> list[Progress]:
    """Count steps and pieces by assembly, in the order of the names."""
    found: dict[str, list[Planned]] = {}
    for each in plan.steps:
        found.setdefault(each.stage.step.assembly, []).append(each)
    made = []
    for name in sorted(found, key=str.casefold):
        each_of = found[name]
        states = Counter(each.state for each in each_of)
        items = [line.item for each in each_of for line in each.stage.lines]
        made.append(
            Progress(
                name,
                states[State.DONE],
                states[State.READY],
                states[State.WAITS],
                sum(min(item.fitted, item.wanted) for item in items),
                sum(item.to_fit for item in items),
                sum(each.minutes for each in each_of if each.state is not State.DONE),
            )
        )
    return made


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
