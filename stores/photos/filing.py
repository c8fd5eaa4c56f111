"""Which bag or step a picture belongs to: by the labels it shows, by when it was taken.

Pure: no file is opened here. A step is recorded when it is done, so its pictures come before its
record: from the end of the step before to its own. Two limits keep that honest. After a night's
sleep the step before is far away, and what was taken then may be of anything: beyond
``LONGEST_GAP`` a picture is offered, not filed. And clocks differ a little: within ``SLACK`` of a
record a picture may be of the step that was ending or of the one that began, so it is offered to
both.
"""

from bisect import bisect_left
from collections.abc import Callable, Container, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from typing import Generic, TypeVar

from stores.errors import BadValue

__all__ = [
    "LONGEST_GAP",
    "SLACK",
    "BagFiling",
    "StepTime",
    "TimeFiling",
    "file_by_label",
    "file_by_time",
]

Picture = TypeVar("Picture", bound=Hashable)

LONGEST_GAP = timedelta(hours=2)
"""Longer than a step takes at the bench, shorter than the break between two evenings' work."""
SLACK = timedelta(seconds=60)
"""What a camera's clock and the stores' may differ by after the offset is set, with some to spare:
a camera's clock gains or loses a few seconds a week, and a clock photographed shows minutes."""


@dataclass(frozen=True, slots=True)
class BagFiling(Generic[Picture]):
    """What the labels say of one picture.

    ``bag`` is the bag it is filed under, or None; ``offered`` the bag whose label was last shown
    before it, which somebody has to say yes to. ``seen`` are the known bags that it shows,
    ``unknown`` the bag codes of no bag here, ``foreign`` codes that are no bag's at all.
    """

    picture: Picture
    bag: str | None = None
    offered: str | None = None
    seen: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()
    foreign: tuple[str, ...] = ()


def file_by_label(
    pictures: Sequence[Picture],
    codes: Mapping[Picture, Iterable[str]],
    *,
    known: Container[str],
    bag_code_of: Callable[[str], str | None],
) -> list[BagFiling[Picture]]:
    """File pictures, in the order they were taken, under the bags whose labels they show.

    ``codes`` are the texts read in each picture; ``bag_code_of`` gives the bag code in a text, or
    None where its form or check letter is not that of a bag code; ``known`` are the bags there are.

    A picture is filed only under the one known bag that it shows. With two, it is filed under
    none, for nobody can tell which of them is meant. Those that show no bag's label are offered to
    the bag last shown. A label that cannot be placed (two bags, or a bag not known) ends that, as
    any other label would: what follows may well belong to it.
    """
    filings: list[BagFiling[Picture]] = []
    shown_last: str | None = None
    for picture in pictures:
        seen: dict[str, None] = {}
        unknown: dict[str, None] = {}
        foreign: dict[str, None] = {}
        for text in codes.get(picture, ()):
            code = bag_code_of(text)
            if code is None:
                foreign[text] = None
            elif code in known:
                seen[code] = None
            else:
                unknown[code] = None
        bag = next(iter(seen)) if len(seen) == 1 else None
        offered = None
        if seen or unknown:
            shown_last = bag
        else:
            offered = shown_last
        filings.append(
            BagFiling(
                picture,
                bag,
                offered,
                tuple(sorted(seen)),
                tuple(sorted(unknown)),
                tuple(sorted(foreign)),
            )
        )
    return filings


@dataclass(frozen=True, slots=True)
class StepTime:
    """When a step was recorded: ISO 8601 with an offset or Z, or a bare day that somebody gave."""

    step: int
    recorded: str


@dataclass(frozen=True, slots=True)
class TimeFiling(Generic[Picture]):
    """What the time says of one picture: the step it is filed under, or None; or the steps that it
    is offered to, the likeliest first."""

    picture: Picture
    step: int | None = None
    offered: tuple[int, ...] = ()


def file_by_time(
    pictures: Sequence[tuple[Picture, datetime | None]],
    step_times: Iterable[StepTime],
    offset_seconds: float = 0.0,
    slack: timedelta = SLACK,
    *,
    longest_gap: timedelta = LONGEST_GAP,
    zone: tzinfo | None = None,
) -> list[TimeFiling[Picture]]:
    """File each picture under the step in whose time it was taken.

    ``offset_seconds`` is added to the camera's clock; ``zone`` is the workshop's, for cameras that
    write no offset from UTC and for days. A step of which only the day is known is never filed
    under; it is offered to pictures of its day that no other step claims.

    Raises:
        BadValue: a step time that is none, a slack or gap below zero.
    """
    if slack < timedelta() or longest_gap <= timedelta():
        raise BadValue("slack and longest gap must not be below zero")
    by_time: dict[datetime, list[int]] = {}
    by_day: dict[date, list[int]] = {}
    for each in step_times:
        moment = _recorded(each, zone)
        if isinstance(moment, datetime):
            by_time.setdefault(moment, []).append(each.step)
        else:
            by_day.setdefault(moment, []).append(each.step)
    steps = _Steps(tuple(sorted(by_time)), by_time, by_day, slack, longest_gap)
    filings = []
    for picture, taken in pictures:
        if taken is None:
            filings.append(TimeFiling(picture))
            continue
        try:
            moment = _at(taken, zone) + timedelta(seconds=offset_seconds)
        except OverflowError:
            filings.append(TimeFiling(picture))
            continue
        step, offered = _place(moment, moment.astimezone(zone or UTC).date(), steps)
        filings.append(TimeFiling(picture, step, tuple(dict.fromkeys(offered))))
    return filings


@dataclass(frozen=True, slots=True)
class _Steps:
    times: tuple[datetime, ...]
    by_time: dict[datetime, list[int]]
    by_day: dict[date, list[int]]
    slack: timedelta
    gap: timedelta


def _place(moment: datetime, day: date, steps: _Steps) -> tuple[int | None, list[int]]:
    """Return the step of one moment, or those it is offered to."""
    at = bisect_left(steps.times, moment)
    coming = steps.times[at] if at < len(steps.times) else None
    gone = steps.times[at - 1] if at else None
    after = steps.by_time[coming] if coming and coming - moment <= steps.gap else []
    before = steps.by_time[gone] if gone and moment - gone <= steps.gap else []
    days = steps.by_day.get(day, [])
    if gone and moment - gone <= steps.slack:
        return None, [*steps.by_time[gone], *after, *days]
    following = steps.times[at + 1] if at + 1 < len(steps.times) else None
    if coming and following and coming - moment <= steps.slack and following - coming <= steps.gap:
        return None, [*after, *steps.by_time[following], *days]
    if len(after) == 1:
        return after[0], []
    return None, [*(after or before), *days]


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
