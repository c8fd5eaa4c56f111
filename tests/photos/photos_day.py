"""Invented days at the bench: which step each picture is of, when it was taken, what was recorded.

Four ways to work, as people do. *Tidy*: a step is photographed before, during and after, and
recorded when it is done; its label is often in a last picture with the bag. *Afterwards*: it is
recorded as soon as it is off, then laid out and photographed with its label. *Hurried*: two or
three steps are stripped, then recorded one after the other. *Paper*: the day is only entered as a
day, evenings later, from notes; labels stand in the pictures. The camera is a few seconds out.

The days of even seeds were looked at while the rule was made, those of odd seeds were not.
"""

import random
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from stores.photos.filing import Labels, StepTime, offers

MORNING = datetime(2026, 3, 4, 9, 0, tzinfo=UTC)
LOOKED_AT, HELD_APART = range(0, 40, 2), range(1, 40, 2)
WAYS = ("tidy", "afterwards", "hurried", "paper")


@dataclass
class Day:
    """Pictures as (number, when, the label in it or none), by what step each is; the records."""

    pictures: list[tuple[int, datetime, str | None]] = field(default_factory=list)
    truth: dict[int, int] = field(default_factory=dict)
    records: dict[int, str] = field(default_factory=dict)
    bags: dict[str, int] = field(default_factory=dict)

    def taken(self, step: int, when: datetime, label: str | None = None) -> None:
        number = len(self.pictures) + 1
        self.pictures.append((number, when, label))
        self.truth[number] = step


def day(seed: int, way: str, steps: int = 16) -> Day:
    """Make a day of so many steps, some eight pictures each."""
    chance = random.Random(f"{way} {seed}")

    def minutes(low: float, high: float) -> timedelta:
        return timedelta(minutes=chance.uniform(low, high))

    made = Day()
    now = MORNING
    drift = timedelta(seconds=chance.uniform(-40, 40))
    waiting: list[int] = []
    for step in range(1, steps + 1):
        now += minutes(2, 12)  # fetching tools, reading the book
        if way == "afterwards":
            now += minutes(3, 20)  # the work itself
            made.taken(step, now + drift)
            now += minutes(0.3, 1.5)
            made.records[step] = now.isoformat()
        for _ in range(chance.randint(1, 3)):  # as found, or laid out after the record
            made.taken(step, now + drift)
            now += minutes(0.1, 0.6)
        for _ in range(chance.randint(1, 4)):  # as it comes apart
            now += minutes(1, 7) if way != "afterwards" else minutes(0.1, 1)
            made.taken(step, now + drift)
        now += minutes(0.5, 4)
        for _ in range(chance.randint(1, 3)):  # laid out on the bench
            made.taken(step, now + drift)
            now += minutes(0.1, 0.5)
        bag = f"B{step}"
        made.bags[bag] = step
        waiting.append(step)
        if way == "afterwards":
            waiting = []
        elif way == "tidy" or len(waiting) == 3 or step == steps or chance.random() < 0.3:
            for each in waiting:
                now += minutes(0.3, 1.5)
                made.records[each] = now.isoformat() if way != "paper" else "2026-03-04"
            waiting = []
        if chance.random() < (0.9 if way == "paper" else 0.5):
            now += minutes(0.3, 2)
            made.taken(step, now + drift, bag)
            for _ in range(chance.randint(0, 2)):
                now += minutes(0.1, 0.5)
                made.taken(step, now + drift)
        if step == steps // 2:
            now += minutes(40, 80)  # dinner
    return made


def judged(made: Day, *, label_first: bool = False) -> tuple[int, int]:
    """Return how many offers of a day are right and how many wrong.

    With ``label_first`` a picture is offered to the label last shown before it, as it once was.
    """
    labels = {
        number: Labels(number, label, (label,)) for number, _, label in made.pictures if label
    }
    right = wrong = 0
    last = 0
    for offer in offers(
        [(number, when) for number, when, _ in made.pictures],
        labels,
        [StepTime(step, when) for step, when in made.records.items()],
    ):
        if offer.picture in labels:
            last = made.bags[str(labels[offer.picture].bag)]
            continue
        step = made.bags[offer.bags[0]] if offer.bags else offer.step
        if label_first:
            step = last
        if step:
            right += step == made.truth[offer.picture]
            wrong += step != made.truth[offer.picture]
    return right, wrong
