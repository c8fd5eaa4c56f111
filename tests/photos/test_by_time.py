"""Filing by time: into the step whose time it is, offered where that is not certain."""

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stores.errors import BadValue
from stores.photos.by_time import LONGEST_GAP, SLACK, StepTime, file_by_time, offset_from

DAY = datetime(2026, 3, 4, tzinfo=UTC)
STEPS = (
    StepTime(1, "2026-03-04T10:00:00Z"),
    StepTime(2, "2026-03-04T10:40:00Z"),
    StepTime(3, "2026-03-04T18:00:00+00:00"),
    StepTime(4, "2026-03-05"),
)


def at(hour: int, minute: int = 0, second: int = 0, day: int = 0) -> datetime:
    return DAY + timedelta(days=day, hours=hour, minutes=minute, seconds=second)


@pytest.mark.parametrize(
    ("taken", "step", "offered"),
    [
        (at(9, 30), 1, ()),
        (at(9, 58), 1, ()),
        (at(7, 59), None, ()),  # over two hours before the first record
        (at(10, 0, 30), None, (1, 2)),  # as step 1 ended
        (at(9, 59, 30), None, (1, 2)),
        (at(10, 20), 2, ()),
        (at(11), None, (2,)),  # after the last of that spell
        (at(13), None, ()),
        (at(17), 3, ()),
        (at(17, 59, 50), 3, ()),  # no step follows that could claim it
        (at(12, day=1), None, (4,)),
        (at(12, day=2), None, ()),
    ],
)
def test_a_picture_belongs_to_the_step_that_was_being_done(
    taken: datetime, step: int | None, offered: tuple[int, ...]
) -> None:
    (filing,) = file_by_time([("a", taken)], STEPS)
    assert (filing.step, filing.offered) == (step, offered)
    assert bool(filing.note) == (step is None)


def test_camera_clocks() -> None:
    """A camera 62 minutes fast, in a workshop an hour ahead of UTC."""
    zone = timezone(timedelta(hours=1))
    shown = datetime(2026, 3, 4, 12, 22)  # noqa: DTZ001 (what the camera says at 11:20 there)
    offset = offset_from(shown, at(10, 20), zone)
    assert offset == -62 * 60
    (filing,) = file_by_time([("a", shown)], STEPS, offset, zone=zone)
    assert filing.step == 2
    assert offset_from(at(10, 21), at(10, 20)) == -60
    west = timezone(timedelta(hours=-5))
    assert offset_from(at(10, 20).astimezone(west), at(10, 20)) == 0
    (filing,) = file_by_time([("a", at(10, 20).astimezone(west))], STEPS, zone=zone)
    assert filing.step == 2


def test_days_are_those_of_the_workshop() -> None:
    zone = timezone(timedelta(hours=10))
    (filing,) = file_by_time([("a", at(20))], STEPS[3:], zone=zone)
    assert filing.offered == (4,)


def test_steps_recorded_together_are_all_offered() -> None:
    steps = [StepTime(number, "2026-03-04T10:00:00Z") for number in (1, 2, 3)]
    (filing,) = file_by_time([("a", at(9, 30))], steps)
    assert (filing.step, filing.offered) == (None, (1, 2, 3))


def test_a_picture_without_time_and_one_beyond_time() -> None:
    beyond = datetime.max  # noqa: DTZ901
    none, far = file_by_time([("a", None), ("b", beyond)], STEPS, 86_400.0)
    assert (none.step, none.offered, none.note) == (None, (), "tells no time")
    assert (far.step, far.offered) == (None, ())


def test_nonsense_is_refused() -> None:
    with pytest.raises(BadValue, match="step 7"):
        file_by_time([], [StepTime(7, "last week")])
    with pytest.raises(BadValue):
        file_by_time([], [], slack=timedelta(-1))


MINUTES = st.integers(0, 3 * 24 * 60)


@given(st.lists(MINUTES, max_size=12), st.lists(MINUTES, max_size=12), st.integers(-90, 90))
def test_whatever_the_times(records: list[int], taken: list[int], offset: int) -> None:
    """Filed means: one step ends at or after it, within the gap, none between, none close by."""
    ends = {number: DAY + timedelta(minutes=minute) for number, minute in enumerate(records)}
    steps = [StepTime(number, end.isoformat()) for number, end in ends.items()]
    pictures = [(at, DAY + timedelta(minutes=minute)) for at, minute in enumerate(taken)]
    shifted = [(at, moment - timedelta(seconds=offset)) for at, moment in pictures]
    for (_, moment), filing in zip(pictures, file_by_time(shifted, steps, offset), strict=True):
        assert filing.step is None or not filing.offered
        for step in filing.offered:
            assert abs(ends[step] - moment) <= LONGEST_GAP + SLACK
        if filing.step is None:
            continue
        end = ends[filing.step]
        assert timedelta() <= end - moment <= LONGEST_GAP
        others = [each for number, each in ends.items() if number != filing.step]
        assert not any(moment - SLACK <= each <= end for each in others)
