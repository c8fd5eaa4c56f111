"""Filing by label, never under a wrong bag; and by time, offered where that is not certain."""

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stores import bagcode
from stores.errors import BadValue, StoresError
from stores.photos.filing import (
    LONGEST_GAP,
    SLACK,
    BagFiling,
    StepTime,
    file_by_label,
    file_by_time,
)

KNOWN = ("A001N", "A003J", "A004H")


def code_of(text: str) -> str | None:
    try:
        return bagcode.check(text)
    except StoresError:
        return None


def filed(*shown: str) -> list[BagFiling[int]]:
    codes = {at: texts.split("|") for at, texts in enumerate(shown) if texts}
    return file_by_label(range(len(shown)), codes, known=KNOWN, bag_code_of=code_of)


def test_a_label_files_its_picture_and_offers_what_follows() -> None:
    found = filed("", "A001N\nclutch", "", "", "A003J", "", "A003J", "")
    assert [each.bag for each in found] == [None, "A001N", None, None, "A003J", None, "A003J", None]
    offered = [None, None, "A001N", "A001N", None, "A003J", None, "A003J"]
    assert [each.offered for each in found] == offered
    assert not any(each.unknown or each.foreign for each in found)


def test_two_bags_in_one_picture_are_filed_under_none() -> None:
    found = filed("A004H", "A003J|A001N", "")
    assert (found[1].bag, found[1].offered, found[1].seen) == (None, None, ("A001N", "A003J"))
    assert found[2].offered is None
    assert filed("A001N|A001N\nreprinted")[0].bag == "A001N"


def test_a_bag_not_known_is_said_and_ends_the_offer() -> None:
    stranger = bagcode.nth(500)
    found = filed("A001N", stranger, "")
    assert (found[1].bag, found[1].unknown, found[2].offered) == (None, (stranger,), None)
    both = filed(f"A001N|{stranger}", "")
    assert (both[0].bag, both[0].unknown, both[1].offered) == ("A001N", (stranger,), "A001N")


def test_a_code_that_is_no_bags_is_said_and_ends_nothing() -> None:
    misread = "A001K"  # the check letter is N
    found = filed("A001N", f"https://example.org/|{misread}", "")
    assert (found[1].bag, found[1].offered, found[2].offered) == (None, "A001N", "A001N")
    assert found[1].foreign == (misread, "https://example.org/")


TEXTS = st.sampled_from([*KNOWN, "a001n\nlower", bagcode.nth(700), "A001K", "carton 12", "", "\n"])


@given(st.lists(st.lists(TEXTS, max_size=3), max_size=12))
def test_whatever_is_shown(shown: list[list[str]]) -> None:
    found = file_by_label(
        range(len(shown)), dict(enumerate(shown)), known=KNOWN, bag_code_of=code_of
    )
    assert [each.picture for each in found] == list(range(len(shown)))
    last: set[str] = set()
    for texts, filing in zip(shown, found, strict=True):
        bags = {code for text in texts if (code := code_of(text))}
        known = bags & set(KNOWN)
        assert filing.bag is None or {filing.bag} == known
        assert (filing.bag is not None) == (len(known) == 1)
        assert set(filing.seen) == known
        assert set(filing.unknown) == bags - known
        assert filing.bag is None or filing.offered is None
        assert filing.offered is None or (not bags and {filing.offered} == last)
        if bags:
            last = known if len(known) == 1 else set()


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


def test_camera_clocks() -> None:
    """A camera 62 minutes fast, in a workshop an hour ahead of UTC."""
    zone = timezone(timedelta(hours=1))
    shown = datetime(2026, 3, 4, 12, 22)  # noqa: DTZ001 (what the camera says at 11:20 there)
    (filing,) = file_by_time([("a", shown)], STEPS, -62 * 60, zone=zone)
    assert filing.step == 2
    west = timezone(timedelta(hours=-5))
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
    assert (none.step, none.offered) == (None, ())
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
