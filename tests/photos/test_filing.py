"""Filing by one label, never under a wrong bag; all else is offered to what is nearest in time."""

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st
from photos_day import HELD_APART, WAYS, day, judged

from stores import bagcode
from stores.errors import BadValue, StoresError
from stores.photos.filing import LONGEST_GAP, Labels, Offer, StepTime, offers, read_labels

KNOWN = ("A001N", "A003J", "A004H")
START = datetime(2026, 3, 4, 10, 0, tzinfo=UTC)


def code_of(text: str) -> str | None:
    try:
        return bagcode.check(text)
    except StoresError:
        return None


def labels(*shown: str) -> dict[int, Labels[int]]:
    codes = {at: texts.split("|") for at, texts in enumerate(shown) if texts}
    return read_labels(range(len(shown)), codes, known=KNOWN, bag_code_of=code_of)


def offered(*shown: str, times: list[float] | None = None) -> list[tuple[str, ...]]:
    """What pictures are offered to that show such labels, at such minutes or without a time."""
    taken = [START + timedelta(minutes=minute) for minute in times or ()]
    pictures = [(at, taken[at] if times else None) for at in range(len(shown))]
    return [each.bags for each in offers(pictures, labels(*shown), ())]


def test_one_label_files_its_picture() -> None:
    found = labels("", "A001N\nclutch", "A003J", "A001N|A001N\nreprinted")
    assert {at: each.bag for at, each in found.items()} == {1: "A001N", 2: "A003J", 3: "A001N"}


def test_a_picture_of_several_labels_is_filed_under_none_and_offered_to_all() -> None:
    found = labels("A003J|A001N")
    assert (found[0].bag, found[0].seen) == (None, ("A001N", "A003J"))
    assert offered("A004H", "A003J|A001N", times=[0, 1]) == [(), ("A001N", "A003J")]


def test_codes_that_are_not_known_are_told() -> None:
    stranger, misread = bagcode.nth(500), "A001K"  # the check letter is N
    found = labels(stranger, f"A001N|{stranger}", f"https://example.org/|{misread}")
    assert (found[0].bag, found[0].unknown) == (None, (stranger,))
    assert (found[1].bag, found[1].unknown) == ("A001N", (stranger,))
    assert (found[2].bag, found[2].foreign) == (None, (misread, "https://example.org/"))


def test_the_nearest_label_is_offered_whether_it_came_before_or_after() -> None:
    shown = ("A001N", "", "", "", "A003J", "")
    bags = offered(*shown, times=[0, 1, 4.9, 5, 10, 12])
    assert bags == [(), ("A001N",), ("A001N",), ("A001N",), (), ("A003J",)]
    assert offered("A001N", "", "A003J", times=[0, 5.1, 10])[1] == ("A003J",)
    assert offered("A001N", "", times=[0, 121])[1] == ()  # LONGEST_GAP


def test_a_label_that_cannot_be_placed_hides_those_beyond_it() -> None:
    stranger = bagcode.nth(500)
    for unplaced in (stranger, "A003J|A004H"):
        assert offered("A001N", unplaced, "", times=[0, 1, 2])[2] == ()
        assert offered("", unplaced, "A001N", times=[0, 1, 2])[0] == ()
    assert offered("A001N", "hello", "", times=[0, 1, 2])[2] == ("A001N",)  # hides nothing


def test_a_picture_without_a_time_goes_by_the_label_before_it() -> None:
    shown = ("", "A001N", "", bagcode.nth(500), "", "A003J", "")
    assert offered(*shown) == [(), (), ("A001N",), (), (), (), ("A003J",)]


TEXTS = st.sampled_from([*KNOWN, "a001n\nlower", bagcode.nth(700), "A001K", "carton 12", "", "\n"])


@given(st.lists(st.lists(TEXTS, max_size=3), max_size=12))
def test_whatever_is_shown(shown: list[list[str]]) -> None:
    found = read_labels(range(len(shown)), dict(enumerate(shown)), known=KNOWN, bag_code_of=code_of)
    for at, texts in enumerate(shown):
        bags = {code for text in texts if (code := code_of(text))}
        known = bags & set(KNOWN)
        if at not in found:
            assert not texts
            continue
        assert found[at].bag == (next(iter(known)) if len(known) == 1 else None)
        assert set(found[at].seen) == known
        assert set(found[at].unknown) == bags - known


DAY = datetime(2026, 3, 4, tzinfo=UTC)
STEPS = (
    StepTime(1, "2026-03-04T10:00:00Z"),
    StepTime(2, "2026-03-04T10:40:00Z"),
    StepTime(3, "2026-03-04T18:00:00+00:00"),
    StepTime(4, "2026-03-05"),
)


def at(hour: int, minute: int = 0, second: int = 0, day: int = 0) -> datetime:
    return DAY + timedelta(days=day, hours=hour, minutes=minute, seconds=second)


def step_of(taken: datetime, *steps: StepTime, offset: float = 0, **more: object) -> int | None:
    (offer,) = offers([("a", taken)], {}, steps or STEPS, offset, **more)  # type: ignore[arg-type]
    assert not offer.bags
    return offer.step


@pytest.mark.parametrize(
    ("taken", "step"),
    [
        (at(9, 30), 1),
        (at(7, 59), None),  # over two hours before the first record
        (at(10), 1),
        (at(10, 0, 30), 1),
        (at(10, 19), 1),
        (at(10, 20), 2),  # as near to both: a step is recorded when it is done
        (at(10, 21), 2),
        (at(12, 39), 2),
        (at(13), None),
        (at(17), 3),
        (at(19, 59), 3),
        (at(12, day=1), 4),  # the only step of that day
        (at(12, day=2), None),
    ],
)
def test_the_nearest_record_is_offered(taken: datetime, step: int | None) -> None:
    assert step_of(taken, zone=UTC) == step


def test_a_label_is_offered_before_a_record_that_is_no_nearer() -> None:
    shown = {"label": Labels("label", "A001N", ("A001N",))}

    def offer(minute: int) -> Offer[str]:
        pictures = [("label", at(9, 50)), ("a", at(9, minute))]
        return offers(pictures, shown, STEPS)[1]

    assert offer(54) == Offer("a", ("A001N",))
    assert offer(55) == Offer("a", ("A001N",))
    assert offer(56) == Offer("a", (), 1)


def test_days_alone_never_gather_a_days_pictures_under_one_step() -> None:
    """Three steps entered with a bare day; labels are what tells their pictures apart."""
    steps = [StepTime(number, "2026-03-04") for number in (1, 2, 3)]
    pictures = [(minute, at(10, minute)) for minute in range(0, 60, 5)]
    assert {each.step for each in offers(pictures, {}, steps, zone=UTC)} == {None}
    shown = {10: Labels(10, "A001N", ("A001N",)), 40: Labels(40, "A003J", ("A003J",))}
    made = {each.picture: each for each in offers(pictures, shown, steps, zone=UTC)}
    assert made[0].bags == made[20].bags == made[25].bags == ("A001N",)
    assert made[30].bags == made[55].bags == ("A003J",)
    assert {each.step for each in made.values()} == {None}
    # one of them recorded by the clock: far from that, nothing says which it is of
    steps[2] = StepTime(3, "2026-03-04T18:00:00Z")
    assert {each.step for each in offers(pictures, {}, steps[1:], zone=UTC)} == {None}


def test_camera_clocks() -> None:
    """A camera 62 minutes fast, in a workshop an hour ahead of UTC."""
    zone = timezone(timedelta(hours=1))
    shown = datetime(2026, 3, 4, 12, 32)  # noqa: DTZ001 (what the camera says at 11:30 there)
    assert step_of(shown, offset=-62 * 60, zone=zone) == 2
    west = timezone(timedelta(hours=-5))
    assert step_of(at(10, 30).astimezone(west), zone=zone) == 2


def test_days_are_those_of_the_workshop() -> None:
    zone = timezone(timedelta(hours=10))
    assert step_of(at(20), STEPS[3], zone=zone) == 4
    assert step_of(at(20).astimezone(zone), STEPS[3]) == 4
    assert step_of(at(20), STEPS[3], zone=UTC) is None


def test_a_picture_beyond_time() -> None:
    assert step_of(datetime.max, offset=86_400.0) is None  # noqa: DTZ901


def test_nonsense_is_refused() -> None:
    with pytest.raises(BadValue, match="step 7"):
        offers([], {}, [StepTime(7, "last week")])
    with pytest.raises(BadValue):
        offers([], {}, [], longest_gap=timedelta(-1))


MINUTES = st.integers(0, 3 * 24 * 60)


@given(st.lists(MINUTES, max_size=12), st.lists(MINUTES, max_size=12), st.integers(-90, 90))
def test_whatever_the_times(records: list[int], taken: list[int], offset: int) -> None:
    """No record is nearer than the one offered; nothing is offered where none is within the gap."""
    ends = {number: DAY + timedelta(minutes=minute) for number, minute in enumerate(records, 1)}
    steps = [StepTime(number, end.isoformat()) for number, end in ends.items()]
    pictures = [(at, DAY + timedelta(minutes=minute)) for at, minute in enumerate(taken)]
    shifted = [(at, moment - timedelta(seconds=offset)) for at, moment in pictures]
    for (_, moment), offer in zip(pictures, offers(shifted, {}, steps, offset), strict=True):
        nearest = min((abs(end - moment) for end in ends.values()), default=timedelta.max)
        if offer.step is None:
            assert nearest > LONGEST_GAP
        else:
            assert abs(ends[offer.step] - moment) == nearest <= LONGEST_GAP


@pytest.mark.parametrize("way", WAYS)
def test_on_days_never_looked_at_the_nearest_is_right_far_oftener_than_the_label_before(
    way: str,
) -> None:
    """Twenty days of some 130 pictures each. Where records and labels stand amid a step's pictures
    all but a few are right; where steps are recorded in a row, no clock can tell them apart."""
    days = [day(seed, way) for seed in HELD_APART]
    assert all(len(each.pictures) > 90 for each in days)
    right, wrong = map(sum, zip(*map(judged, days), strict=True))
    first, not_first = map(
        sum, zip(*(judged(each, label_first=True) for each in days), strict=True)
    )
    assert right / (right + wrong) > 4 * first / (first + not_first)
    if way == "afterwards":
        assert right / (right + wrong) > 0.97
