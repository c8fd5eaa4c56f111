"""Text and days: what is cleaned, folded, counted and joined, and every way to write a day."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stores import text
from stores.errors import BadValue, NotationError

TODAY = date(2026, 11, 26)
"""A Thursday, as any almanac says: 1 January 2026 was one too."""


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("2026-03-14", date(2026, 3, 14)),
        (" 2026-03-14 ", date(2026, 3, 14)),
        ("today", TODAY),
        ("Yesterday", date(2026, 11, 25)),
        ("Wednesday", date(2026, 11, 25)),
        ("fri", date(2026, 11, 20)),
        ("Sat.", date(2026, 11, 21)),
        ("tues", date(2026, 11, 24)),
        ("3 Nov", date(2026, 11, 3)),
        ("3rd november", date(2026, 11, 3)),
        ("26 Nov", TODAY),
        ("27 Nov", date(2025, 11, 27)),  # this year's has not come yet
        ("24 dec", date(2025, 12, 24)),
        ("29 Feb", date(2024, 2, 29)),
        ("3 Nov 2025", date(2025, 11, 3)),
        ("3-Nov-2025", date(2025, 11, 3)),
        ("12 Sept 2026", date(2026, 9, 12)),
        ("3/11/2026", date(2026, 11, 3)),
        ("03/11/2026", date(2026, 11, 3)),
        ("3.11.2026", date(2026, 11, 3)),
        ("2026-11-27", date(2026, 11, 27)),  # a clock that is ahead
    ],
)
def test_a_day_that_was(typed: str, day: date) -> None:
    assert text.read_day(typed, TODAY) == day


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("tomorrow", date(2026, 11, 27)),
        ("friday", date(2026, 11, 27)),
        ("wed", date(2026, 12, 2)),
        ("24 Dec", date(2026, 12, 24)),
        ("3 Nov", date(2027, 11, 3)),
        ("29 feb", date(2028, 2, 29)),
        ("3/12/2026", date(2026, 12, 3)),
        ("2026-03-14", date(2026, 3, 14)),  # written up later
    ],
)
def test_a_day_that_is_promised(typed: str, day: date) -> None:
    assert text.read_day(typed, TODAY, ahead=True) == day


@pytest.mark.parametrize(
    "typed",
    ["", "soon", "31 June 2026", "31 June", "30 Feb", "11/13/2026", "3/13", "3.11/2026", "3/11/226",
     "2026-02-30", "tomorrow", "3 Now", "0 Nov", "٣ Nov", "3 Nov 12026", "nov", "2026", "3 Mayor"],
)  # fmt: skip
def test_no_day(typed: str) -> None:
    with pytest.raises(BadValue, match=r"not a day: .*write it as 3 Nov 2026 or 3/11/2026"):
        text.read_day(typed, TODAY)


def test_what_has_not_come_yet() -> None:
    for typed in ("2026-11-28", "28/11/2026", "28 Nov 2026", "28.11.26"):
        with pytest.raises(
            BadValue, match="28 Nov 2026 has not come yet; did you mean 28 Nov 2025"
        ):
            text.read_day(typed, TODAY)
    with pytest.raises(BadValue, match="27 Nov 2026 has not come yet"):
        text.read_day("27/11/2026", TODAY)
    with pytest.raises(BadValue, match=r"3 Nov 2027 has not come yet; did you mean 3 Nov 2026\?"):
        text.read_day("3rd of November 2027", TODAY)


def test_todays_weekday_is_asked_about() -> None:
    with pytest.raises(BadValue, match="Thursday: today or 19 Nov 2026"):
        text.read_day("Thursday", TODAY)
    with pytest.raises(BadValue, match="thu: today or 3 Dec 2026"):
        text.read_day("thu", TODAY, ahead=True)
    assert text.read_day("last thursday", TODAY) == date(2026, 11, 19)
    with pytest.raises(BadValue, match="next friday: 27 Nov 2026 or 4 Dec 2026"):
        text.read_day("next friday", TODAY, ahead=True)


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("3 Nov", date(2026, 11, 3)),
        ("3rd of November", date(2026, 11, 3)),
        ("the 3rd of november 2025", date(2025, 11, 3)),
        ("November 3", date(2026, 11, 3)),
        ("Nov 3rd, 2025", date(2025, 11, 3)),
        ("3/11", date(2026, 11, 3)),
        ("3/11/26", date(2026, 11, 3)),
        ("3.11.26", date(2026, 11, 3)),
        ("3. 11. 2026", date(2026, 11, 3)),
        ("3-11-2026", date(2026, 11, 3)),
        ("3 Nov '25", date(2025, 11, 3)),
        ("1 Dec", date(2025, 12, 1)),
        ("last friday", date(2026, 11, 20)),
        ("on monday", date(2026, 11, 23)),
        ("this monday", date(2026, 11, 23)),
        ("the day before yesterday", date(2026, 11, 24)),
        ("two days ago", date(2026, 11, 24)),
        ("10 days ago", date(2026, 11, 16)),
        ("a week ago", date(2026, 11, 19)),
    ],
)
def test_a_day_as_people_write_it(typed: str, day: date) -> None:
    assert text.read_day(typed, TODAY) == day


@pytest.mark.parametrize(
    ("typed", "names", "near"),
    [
        ("shef 2", ["shelf 2", "shelf 3", "box 2"], ["shelf 2"]),
        ("shelf2", ["shelf 2", "shelf 22"], ["shelf 2"]),
        ("shelf 3", ["shelf 2"], []),
        ("box D", ["box C", "Box d"], []),
        ("Harris Platng", ["Harris Plating", "Vale Plating"], ["Harris Plating"]),
        ("Dyke Plating", ["Vale Plating"], []),
        ("BFS", ["BSF", "BSW"], ["BSF"]),
        ("UFN", ["UNF", "UNC"], ["UNF"]),
        ("BSFF", ["BSF", "BSP"], ["BSF"]),
        ("mmm", ["mm"], ["mm"]),
        ("sump", ["pump"], []),  # of so short a word a wrong letter makes another
        ("M6", ["M8"], []),
        ("magnetto", ["magneto", "magnet"], ["magneto"]),
        ("gear box", ["gearbox"], ["gearbox"]),
        ("crankshaft", ["camshaft"], []),
        ("shelf 2", ["Shelf 2"], []),
    ],
)
def test_names_that_may_have_been_meant(typed: str, names: list[str], near: list[str]) -> None:
    assert text.nearest(typed, names) == near


@given(st.text("abcd", max_size=6), st.text("abcd", max_size=6))
def test_slips_are_counted_alike_either_way(one: str, other: str) -> None:
    count = text.slips(one, other, 9)
    assert count == text.slips(other, one, 9)
    assert (count == 0) == (one == other)
    assert abs(len(one) - len(other)) <= count <= max(len(one), len(other))
    assert text.slips(one, other, 1) == min(count, 2)


@given(st.dates(date(1900, 1, 1), date(2100, 12, 31)))
def test_a_day_is_read_as_it_is_written(day: date) -> None:
    for written in (
        text.day_words(day), day.isoformat(), f"{day.day}/{day.month}/{day.year}",
        f"{day:%d.%m.%Y}",
    ):  # fmt: skip
        assert text.read_day(written, date(2100, 12, 31)) == day


@given(st.dates(date(2000, 1, 1), date(2090, 12, 31)), st.integers(1, 6))
def test_a_weekday_is_the_last_one_or_the_next(now: date, days: int) -> None:
    was, comes = now - timedelta(days=days), now + timedelta(days=days)
    assert text.read_day(f"{was:%A}", now) == was
    assert text.read_day(f"{comes:%a}", now, ahead=True) == comes


def test_a_day_is_written() -> None:
    assert text.day_words(date(2026, 11, 3)) == "3 Nov 2026"
    assert text.day_words("2026-03-14") == "14 Mar 2026"
    assert text.day_words("") == ""
    with pytest.raises(ValueError, match="soon"):
        text.day_words("soon")


def test_a_moment_is_of_the_day_at_the_workshop(monkeypatch: pytest.MonkeyPatch) -> None:
    import time

    monkeypatch.setenv("TZ", "XXX-5")  # five hours ahead of UTC
    time.tzset()
    try:
        assert text.local_day("2026-03-14T20:30:00+00:00") == "2026-03-15"
        assert text.day_words("2026-03-14T20:30:00+00:00") == "15 Mar 2026"
        assert text.local_day("2026-03-14") == "2026-03-14"
    finally:
        monkeypatch.undo()
        time.tzset()


def test_clean() -> None:
    assert text.clean("  M6\t x\n25 ", "a line") == "M6 x 25"
    assert text.clean("４ M6", "a line") == "4 M6"
    assert text.clean("e\u0301", "a name") == "é"
    assert text.clean("one\ntwo", "a label", lines=True) == "one\ntwo"
    assert text.clean(" ", "the note", empty=True) == ""


@pytest.mark.parametrize(
    ("typed", "error", "message"),
    [
        (" ", NotationError, "a line is empty"),
        ("x" * 501, NotationError, "501 characters long, 500 are the most"),
        ("M6\x1b[2J", BadValue, r"control character \(code 27\) at character 3"),
        ("M6\u202e", BadValue, "control character"),
    ],
)
def test_what_cannot_be_kept(typed: str, error: type[Exception], message: str) -> None:
    with pytest.raises(error, match=message):
        text.clean(typed, "a line")


@given(st.text(max_size=60))
def test_folding_twice_changes_nothing(name: str) -> None:
    once = text.fold(name)
    assert text.fold(f"  {once}\n") == text.fold(once)
    assert "  " not in once


def test_names_are_folded() -> None:
    assert text.fold("  Shelf\u00a0 B ") == "shelf b"
    assert text.fold("Große Kiste") == text.fold("GROSSE KISTE")
    assert text.fold("Cafe\u0301") == text.fold("CAFÉ")
    assert text.words_of("Part-No. / Qty") == ("part", "no", "qty")


def test_counting() -> None:
    assert text.many(4, "M6 nut") == "4 M6 nut"
    assert text.many(2, "1/4 BSF nut") == "2 off 1/4 BSF nut"
    assert [text.counted(n) for n in (0, 1, 2)] == ["0 pieces", "1 piece", "2 pieces"]
    assert text.plural(2, "assembly", "assemblies") == "2 assemblies"
    assert text.plural(1200, "line") == "1200 lines"
    assert text.plural(1200, "line", marks=True) == "1,200 lines"


def test_joining() -> None:
    assert [text.join("abc"[:n]) for n in range(4)] == ["", "a", "a and b", "a, b and c"]
    assert [text.either("abc"[:n]) for n in range(1, 4)] == ["a", "a or b", "a, b or c"]


@pytest.mark.parametrize("typed", ["~nosuch/x.pdf", "a\0b", " ", "g\ud800.pdf"])
def test_what_no_file_can_be_called(typed: str) -> None:
    with pytest.raises(BadValue, match="not the name of a file"):
        text.path_of(typed)
