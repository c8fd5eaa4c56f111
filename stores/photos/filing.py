"""Which bag or step a picture belongs to: by the labels it shows, by when it was taken.

Pure: no file is opened here. A picture is filed only under the one known bag whose label it shows.
Everything else is offered, and a person says yes. The rule of the offer:

- A picture that shows the labels of several bags is offered to all of these.
- Any other is offered to the nearest in time of these four: the label read in a picture before it,
  the label read in a picture after it, the step recorded before it, the step recorded after it.
  Of two that are equally near the label comes first, then the step recorded after it, for a step
  is recorded when it is done.
- A picture whose labels cannot be placed (several bags, a bag not known) hides the labels beyond
  it: what is near it may well belong to it.
- Farther than ``LONGEST_GAP`` from all four, it is offered to nothing: it may be of anything.
- A step of which only the day is known has no time to be near to. It is offered to the pictures of
  its day only where it is the day's one step, and no label is near them.
- A picture without a time is offered to the label last shown before it, in the order in which the
  camera numbered them.

Nothing is filed by the clock alone: what was taken between two records may be of either.
"""

from bisect import bisect_left
from collections.abc import Callable, Container, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from typing import Generic, TypeVar

from stores.errors import BadValue

__all__ = [
    "LONGEST_GAP",
    "Labels",
    "Offer",
    "StepTime",
    "offers",
    "read_labels",
]

Picture = TypeVar("Picture", bound=Hashable)

LONGEST_GAP = timedelta(hours=2)
"""Longer than a step takes at the bench, shorter than the break between two evenings' work."""


@dataclass(frozen=True, slots=True)
class Labels(Generic[Picture]):
    """What the labels say of one picture that shows a code.

    ``bag`` is the bag it is filed under, or None; ``seen`` are the known bags that it shows,
    ``unknown`` the bag codes of no bag here, ``foreign`` codes that are no bag's at all.
    """

    picture: Picture
    bag: str | None = None
    seen: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()
    foreign: tuple[str, ...] = ()


def read_labels(
    pictures: Iterable[Picture],
    codes: Mapping[Picture, Iterable[str]],
    *,
    known: Container[str],
    bag_code_of: Callable[[str], str | None],
) -> dict[Picture, Labels[Picture]]:
    """Return what the labels say of the pictures that show a code.

    ``codes`` are the texts read in each picture; ``bag_code_of`` gives the bag code in a text, or
    None where its form or check letter is not that of a bag code; ``known`` are the bags there are.
    A picture is filed only under the one known bag that it shows: with two, nobody can tell which
    of them is meant.
    """
    found: dict[Picture, Labels[Picture]] = {}
    for picture in pictures:
        seen: set[str] = set()
        unknown: set[str] = set()
        foreign: set[str] = set()
        for text in codes.get(picture, ()):
            code = bag_code_of(text)
            if code is None:
                foreign.add(text)
            else:
                (seen if code in known else unknown).add(code)
        if seen or unknown or foreign:
            bag = next(iter(seen)) if len(seen) == 1 else None
            told = (tuple(sorted(each)) for each in (seen, unknown, foreign))
            found[picture] = Labels(picture, bag, *told)
    return found


@dataclass(frozen=True, slots=True)
class StepTime:
    """When a step was recorded: ISO 8601 with an offset or Z, or a bare day that somebody gave."""

    step: int
    recorded: str


@dataclass(frozen=True, slots=True)
class Offer(Generic[Picture]):
    """What one picture is offered to: bags, or a step; or nothing."""

    picture: Picture
    bags: tuple[str, ...] = ()
    step: int | None = None


def offers(
    pictures: Sequence[tuple[Picture, datetime | None]],
    labels: Mapping[Picture, Labels[Picture]],
    step_times: Iterable[StepTime],
    offset_seconds: float = 0.0,
    *,
    longest_gap: timedelta = LONGEST_GAP,
    zone: tzinfo | None = None,
) -> list[Offer[Picture]]:
    """Offer each picture that is not filed by its label, by the rule at the head of this module.

    ``pictures`` are in the order in which they were taken, with the camera's time; to that
    ``offset_seconds`` is added. ``zone`` is the workshop's, for cameras that write no offset from
    UTC and for days; without one a picture's day is that of its own time.

    Raises:
        BadValue: a step time that is none, a gap below zero.
    """
    if longest_gap <= timedelta():
        raise BadValue("the longest gap must not be below zero")
    placing = {picture: each for picture, each in labels.items() if each.seen or each.unknown}
    moments = {
        picture: moment
        for picture, taken in pictures
        if (moment := _shifted(taken, offset_seconds, zone)) is not None
    }
    steps = _Steps.of(step_times, zone)
    shown = sorted(
        ((moments[picture], each) for picture, each in placing.items() if picture in moments),
        key=lambda pair: pair[0],
    )
    at_labels = [moment for moment, _ in shown]
    made = []
    last: str | None = None
    for picture, _ in pictures:
        if picture in placing:
            each = placing[picture]
            last = each.bag
            made.append(Offer(picture, () if each.bag else each.seen))
            continue
        if picture not in moments:
            made.append(Offer(picture, (last,) if last else ()))
            continue
        moment = moments[picture]
        at = bisect_left(at_labels, moment)
        near: list[tuple[timedelta, int, str | int]] = [
            (abs(when - moment), 0, each.bag)
            for when, each in shown[max(0, at - 1) : at + 1]
            if each.bag
        ]
        near += steps.beside(moment)
        if near := [each for each in near if each[0] <= longest_gap]:
            what = min(near, key=lambda each: each[:2])[2]
            made.append(_offer(picture, what))
        else:
            day = (moment.astimezone(zone) if zone else moment).date()
            made.append(Offer(picture, (), steps.only_on(day)))
    return made


def _offer(picture: Picture, what: str | int) -> Offer[Picture]:
    return Offer(picture, (what,)) if isinstance(what, str) else Offer(picture, (), what)


@dataclass(frozen=True, slots=True)
class _Steps:
    """When steps were recorded, in order; and which steps each day has."""

    times: tuple[datetime, ...]
    numbers: tuple[int, ...]
    days: Mapping[date, Sequence[int]]

    @classmethod
    def of(cls, step_times: Iterable[StepTime], zone: tzinfo | None) -> "_Steps":
        timed: list[tuple[datetime, int]] = []
        days: dict[date, list[int]] = {}
        for each in step_times:
            moment = _recorded(each, zone)
            if isinstance(moment, datetime):
                timed.append((moment, each.step))
                moment = moment.astimezone(zone).date()
            days.setdefault(moment, []).append(each.step)
        timed.sort()
        return cls(tuple(when for when, _ in timed), tuple(step for _, step in timed), days)

    def beside(self, moment: datetime) -> list[tuple[timedelta, int, str | int]]:
        """Return how far the records after and before a moment are; the one after comes first."""
        at = bisect_left(self.times, moment)
        near: list[tuple[timedelta, int, str | int]] = []
        if at < len(self.times):
            near.append((self.times[at] - moment, 1, self.numbers[at]))
        if at:
            near.append((moment - self.times[at - 1], 2, self.numbers[at - 1]))
        return near

    def only_on(self, day: date) -> int | None:
        """Return the step of a day that has no other."""
        steps = self.days.get(day, ())
        return steps[0] if len(steps) == 1 and steps[0] not in self.numbers else None


def _shifted(taken: datetime | None, offset_seconds: float, zone: tzinfo | None) -> datetime | None:
    """Return when a picture was taken by the workshop's clock, None where that cannot be said."""
    if taken is None:
        return None
    try:
        aware = taken.replace(tzinfo=zone or UTC) if taken.tzinfo is None else taken
        moment = aware + timedelta(seconds=offset_seconds)
        moment.astimezone(UTC)  # what lies at the end of the calendar cannot be told elsewhere
    except OverflowError:
        return None
    return moment


def _recorded(each: StepTime, zone: tzinfo | None) -> datetime | date:
    text = each.recorded.strip()
    try:
        return (
            date.fromisoformat(text)
            if len(text) == 10
            else _at(datetime.fromisoformat(text), UTC if zone is None else zone)
        )
    except (ValueError, OverflowError) as error:
        raise BadValue(f"step {each.step} has a time that is none: {text!r}") from error


def _at(moment: datetime, zone: tzinfo | None) -> datetime:
    if moment.tzinfo is None:
        moment = moment.replace(tzinfo=zone or UTC)
    return moment.astimezone(UTC)
