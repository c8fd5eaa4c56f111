"""What people write is read right or asked about: a number that was guessed is a question.

Texts made up after the classes of mistakes that other people's lists brought to light; the
meanings are those of the trade (memory). ``ASKED`` in place of a count or a size: it stays open,
the words stay as typed, and a question is put.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stores.handbook.fastener import parse

ASKED = None


def judge(text: str, quantity: int | None, *, asked: bool) -> None:
    item = parse(text)
    assert item.quantity == quantity
    assert bool(item.questions) is asked, item.questions
    assert parse(str(item)) == item


@pytest.mark.parametrize(
    "text",
    [
        "6203 bearing", "30206 taper roller bearing", "51105 thrust bearing", "608 bearing",
        "22208 spherical roller bearing", "1205 self-aligning bearing", "626 bearings",
        "GASKET, ROCKER COVER (204511)", "gasket (88231)", "316 stainless M8 washer",
        "304 stainless steel M4 nut", "M5 nut 303 stainless", "eleven sixty-fourths washer",
        "seven thirty-seconds split pin", "5 thirty-seconds washer",
    ],
)  # fmt: skip
def test_a_number_that_names_the_thing_is_no_count(text: str) -> None:
    judge(text, None, asked=False)


@pytest.mark.parametrize(
    "text",
    [
        "51220 bolt", "7781 M6 nut", "933 M8", "985 M10", "250 M6 nuts", "912 M5 screw",
        "125 M8 washer", "M8 washer (250)", "about 12 M6 nuts", "approx. 20 washers M8",
        "ca 15 M5 nuts", "~8 M6 washers", "lots of M6 washers", "several 2BA nuts",
        "2 or 3 M8 nuts", "5 to 6 1/4 BSF nuts", "3-4 washers M6", "jubilee clips 3",
        "M8 bolts - 7", "1/4 BSF bolts, 9", "M10 nuts 8", "M6 hex bolt 25", "M8-30 bolt",
    ],
)  # fmt: skip
def test_a_count_in_doubt_is_asked_about(text: str) -> None:
    judge(text, ASKED, asked=True)
    figures = [part for part in text.split() if part.isdigit() and len(part) > 2]
    assert all(part in str(parse(text)) for part in figures)


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("250 off M6 nuts", 250), ("300 x M6 nuts", 300), ("500 pcs M5 washer", 500),
        ("two hundred and fifty M6 nuts", 250), ("M8 washer (250 off)", 250), ("20 M6 nuts", 20),
        ("2 6203 bearings", 2), ("6203 bearing x2", 2), ("M12 nuts - 6", 6), ("M8 washers, 14", 14),
        ("2BA nuts 9", 9), ("1/4 BSF nuts - 5", 5), ("M8 bolt (4x; for the sump)", 4),
        ("M8 bolt (3 off, long)", 3), ("125 M6 bolts", 125), ("Mutter M8 (12)", 12),
    ],
)  # fmt: skip
def test_a_count_that_is_said_is_read(text: str, count: int) -> None:
    judge(text, count, asked=False)


NOUNS = ("bolt", "M6 nut", "gasket", "1/4 BSF nut", "washer", "hex bolt M8 x 30", "stud", "circlip")


@given(st.integers(201, 999_999), st.sampled_from(NOUNS))
def test_no_large_bare_figure_is_a_count(number: int, noun: str) -> None:
    for text in (f"{number} {noun}", f"{noun} ({number})", f"{noun} {number}", f"{noun}, {number}"):
        item = parse(text)
        assert item.quantity is None
        assert str(number) in str(item)
        assert parse(str(item)) == item
    assert parse(f"{number} off {noun}").quantity == number
