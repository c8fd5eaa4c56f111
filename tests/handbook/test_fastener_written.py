"""Slips of the bench and the class of a thread: what is read, what is asked, what is kept.

Meanings set down by hand before the reading: ISO 965-1, ASME B1.1 and BS 84 for the classes, the
rest common practice.
"""

import pytest

from stores.handbook.fastener import Kind, parse
from stores.handbook.thread import get

# ISO 965-1 (M10-6g, M8x1-6H/6g), ASME B1.1 (1/4-20 UNC-2A), BS 84 (close, medium, free).
CLASSES = {
    "M10-6g": ("6g", "M10-6g"),
    "M10 6g bolt": ("6g", "M10-6g bolt"),
    "M10-6g x 40 bolt": ("6g", "M10-6g x 40 bolt"),
    "M10-6gx40 bolt": ("6g", "M10-6g x 40 bolt"),
    "M8x1-6H/6g nut": ("6H/6g", "M8 x 1-6H/6g nut"),
    "M12 - 4g6g - 10.9 bolt": ("4g6g", "M12-4g6g bolt 10.9"),
    "1/4-20 UNC-2A x 1 bolt": ("2A", "1/4-20 UNC-2A x 1 bolt"),
    "1/4-28 UNF 3B nut": ("3B", "1/4-28 UNF-3B nut"),
    "#10-32 UNF2A screw": ("2A", "#10-32 UNF-2A screw"),
    "1/4-20-2A x 1 bolt": ("2A", "1/4-20 UNC-2A x 1 bolt"),
    "M8 x 30 bolt medium fit": ("medium fit", "M8 x 30 bolt medium fit"),
    "1/4 BSF nut close fit": ("close fit", "1/4 BSF nut close fit"),
}


@pytest.mark.parametrize(("text", "kept"), CLASSES.items())
def test_the_class_of_a_thread_is_kept(text: str, kept: tuple[str, str]) -> None:
    item = parse(text)
    assert (item.thread_class, str(item)) == kept
    assert parse(str(item)) == item
    assert not item.unread


@pytest.mark.parametrize("ordinary", ["M10-6g x 40 bolt", "M10 x 40 bolt medium fit"])
def test_the_ordinary_class_is_what_is_meant_where_none_is_said(ordinary: str) -> None:
    assert parse(ordinary).same_spec(parse("M10 x 40 bolt"))
    assert not parse("M10-4h x 40 bolt").same_spec(parse("M10 x 40 bolt"))


# A word of a class is no class without a thread, and no class beside another thing.
@pytest.mark.parametrize("text", ["medium fit gasket", "fuse 2A", "6g weight", "door 2B"])
def test_no_class_without_a_thread(text: str) -> None:
    assert parse(text).thread_class == ""


# What may be two things is asked and stays as it was written.
@pytest.mark.parametrize(
    ("text", "kept", "asks"),
    [
        ("1/4 BSF x 1 bolt, close fit", "close fit", "shank"),
        ("1 of 2 1/4 BSF nut", "1 of 2 1/4", "the size 2 1/4"),
        ("7/8 x 3/4 BSW bolt", "7/8 x 3/4", "which is the diameter"),
        ("6 balls 3/16 in x 2", "x 2", "a second count"),
        ("M6 x 20 chsk screw", "chsk", "cheese head"),
        ("stud 5/16 BSF/BSW x 2", "BSF or BSW", "which end"),
        ("8 x 3/4 woodscrew", "#8 x 3/4", "for a count write it as"),
        ("11/2 BSW nut", "1-1/2", "read as 1 1/2"),
        ('2" x 3/8 UNC bolt', "3/8 UNC x 2", "length written first"),
    ],
)
def test_a_slip_is_asked_about(text: str, kept: str, asks: str) -> None:
    item = parse(text)
    assert kept in str(item)
    assert any(asks in question for question in item.questions)
    assert parse(str(item)) == item


# The diameter stands first as ever: a short screw, a nut, a proper fraction, a size with a series.
@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("1/2 x 3/8 BSW grub screw", "[1/2 x 3/8]"),
        ("1/4 x 1/2 BSF bolt", "1/4 BSF x 1/2 bolt"),
        ("1/4 BSW x 1 csk", "1/4 BSW x 1 countersunk screw"),
        ("11/16 BSF nut", "11/16 BSF nut"),
        ("15/16 BSW nut", "15/16 BSW nut"),
        ("5 of 6 M6 x 20 bolt", "5 M6 x 20 bolt (of 6)"),
        ("18 balls 1/4 in", "18 off 1/4 in loose ball"),
        ("8 off 3/4 wood screw", "8 off"),
        ("1/4-20 x 1 bolt", "1/4-20 UNC x 1 bolt"),
    ],
)
def test_what_was_right_stays_right(text: str, canonical: str) -> None:
    assert canonical in str(parse(text))


def test_an_ambiguous_tpi_leaves_only_the_series_open() -> None:
    item = parse("1/4 x 20 tpi x 1 bolt")  # BS 84 and ASME B1.1: both have 1/4-20
    assert (item.kind, item.size, item.pitch_or_tpi, item.series) == (Kind.BOLT, "1/4", "20", None)
    assert item.length_mm == pytest.approx(25.4)
    assert not item.unread
    assert parse(str(item)) == item


@pytest.mark.parametrize("letter", "ABCDEFGH")
def test_the_form_of_a_washer_is_kept(letter: str) -> None:
    assert parse(f"Fächerscheibe {letter} 6,4").marks == f"form {letter}"
    assert parse(f"Faecherscheibe {letter} 6,4") == parse(f"Fächerscheibe {letter} 6,4")


# Names with the same figures and words. Common practice.
@pytest.mark.parametrize(
    "text", ["chain 11/2 pitch", "8 x 3/4 chain cover", "tyre 2 x 19", "fuse 2A", "capheadstock"]
)
def test_a_plain_part_is_no_fastener(text: str) -> None:
    assert parse(text).kind is Kind.PART
    assert parse(text).series is None


# ISO 965-1, ASME B1.1 and BS 84: the class stands after the thread and names no other one.
@pytest.mark.parametrize(
    ("text", "thread"),
    [
        ("M10 6g", "M10"),
        ("M10-6g", "M10"),
        ("M10x1-6H/6g", "M10x1"),
        ("M10 medium fit", "M10"),
        ("1/4-20 UNC 2A", "1/4-20 UNC"),
        ("1/4-20 UNC-2A", "1/4-20 UNC"),
        ("1/4 BSF medium fit", "1/4 BSF"),
        ("1/4 BSW, free class", "1/4 BSW"),
    ],
)
def test_a_thread_is_known_by_its_name_and_class(text: str, thread: str) -> None:
    assert get(text).designation == thread


def test_the_trapezoidal_thread_has_a_pitch_and_then_a_length() -> None:
    """ISO 2902: Tr 20 x 4 is 20 mm and 4 mm of pitch; nothing in it is a count."""
    nut, bar = parse("2 Tr 20x4 nuts"), parse("Tr20x4x300 studding")
    assert (nut.quantity, nut.size, nut.pitch_or_tpi, nut.length) == (2, "Tr20", "4", None)
    assert (bar.quantity, bar.size, bar.pitch_or_tpi) == (None, "Tr20", "4")
    assert bar.length_mm == 300
    assert nut.diameter_mm == 20
    for item in (nut, bar, parse("Tr 30x6-7e nut"), parse("Tr 20x4 LH nut")):
        assert parse(str(item)) == item
    assert nut.thread is None  # no bolt thread: it is not compared with measured bolts
