"""What to look for at an inspection: words only, found by what a part is called."""

import re

import pytest

from stores.handbook.inspection import POINTS, points_for


@pytest.mark.parametrize(
    ("words", "first"),
    [
        ("M6 x 25 hex bolt", "Necked"),
        ("M10 nut", "Thread pulled"),
        ("clutch spring", "Free length"),
        ("spring washer", "Dished"),
        ("clutch cover", "Joint face"),
        ("brake shoe", "Thickness"),
        ("gudgeon pin", "Bent"),
        ("piston ring", "Gap"),
        ("6204 bearing", "Clean and oil"),
        ("thing like a brass hat", ""),
        ("ringlet", ""),
    ],
)
def test_the_last_word_that_is_known_decides(words: str, first: str) -> None:
    assert points_for(words).startswith(first)
    assert bool(points_for(words)) == bool(first)


def test_they_are_short_and_hold_no_limit() -> None:
    for pattern, points in POINTS:
        assert re.compile(pattern)
        assert len(points) <= 100
        assert not re.search(r"\d", points), points
