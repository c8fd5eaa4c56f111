"""The fastener parser on readings that were wrong and raised no question.

The meanings are those of the person who judged them and of the trade (memory), except number sizes
and their threads per inch: ASME B1.1.
"""

import csv
from fractions import Fraction
from math import gcd
from pathlib import Path

import pytest

from stores.handbook.fastener import Kind, parse

PUBLISHED = Path(__file__).parents[1] / "published"


def rows(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


MORE = rows("fastener_text_more")


# Readings that a judge found wrong without a question; the meanings are the judge's.
@pytest.mark.parametrize(
    "row", [row for row in MORE if row["style"] == "judged"], ids=lambda row: row["text"]
)
def test_what_was_judged_is_read_so(row: dict[str, str]) -> None:
    item = parse(row["text"])
    count = "" if item.quantity is None else str(item.quantity)
    size = item.size.lstrip("M#") if item.kind is not Kind.BEARING else ""
    assert (count, item.series or "") == (row["quantity"], row["series"])
    assert (size, item.pitch_or_tpi) == (row["diameter"].lstrip("#"), row["pitch_or_tpi"])
    assert str(item.length or "") == row["length"]
    assert not item.dimensions
    assert bool(item.questions) == row["note"].startswith("ASK")


STROKES = [
    f"{above}/{below}"
    for below in (4, 8, 16, 32, 64)
    for above in range(2, below)
    if gcd(above, below) > 1
]
SPOKEN = ["two quarters", "four eighths", "six sixteenths", "ten thirty seconds", "two eighth"]


@pytest.mark.parametrize("written", [*STROKES, *SPOKEN])
@pytest.mark.parametrize(
    "shape",
    [
        "BSF nut {}", "1/4 BSF x {} bolt", "M6 x {} screw", "washer {}", "ring {} x 1 circlip",
        "{} x 1 split pin", "1-{} BSF bolt", "bearing {} x 1", "dowel 1/4 x {}", "O-ring {} x 1/8",
    ],
)  # fmt: skip
def test_a_fraction_that_can_be_made_smaller_is_never_read(shape: str, written: str) -> None:
    text = shape.format(written)
    item = parse(text)
    if text.startswith(("two", "four", "six", "ten")):  # said first: a count and a unit fraction
        assert item.quantity is not None
        assert Fraction(item.size).numerator == 1
        return
    assert item.questions
    assert item.length is None
    assert not item.dimensions
    assert item.size in ("", "1/4", "M6")
    assert written in str(item)
    assert parse(str(item)) == item


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("4 10/32 screws", "4 off #10-32 UNF screw"),
        ("4 x 10/32 screws", "4 off #10-32 UNF screw"),
        ("6 10 32 UNF x 1/2 screws", "6 off #10-32 UNF x 1/2 screw"),
        ("ten thirty two UNF by half inch screw", "#10-32 UNF x 1/2 screw"),
        ("10/32 x 1/2", "#10-32 UNF x 1/2"),
        ("12/32 UNEF screw", "#12-32 UNEF screw"),
        ("twelve sixteenth split pins", "12 off 1/16 split pin"),
        ("eight eighth split pins", "8 off 1/8 split pin"),
        ("two quarter by one inch BSF bolts", "2 off 1/4 BSF x 1 bolt"),
        ("bearing 6204 x 2", "2 bearing 6204"),
        ("2 x 6204", "2 bearing 6204"),
        ("608x2", "2 bearing 608"),
        ("608 x 22 x 7 bearing", "608 x 22 x 7 mm bearing"),
        ("608x2 belt", "608x2 belt"),
        ("bulb 10/32W", "bulb 10/32W"),
        ("gear 12/24 teeth", "gear 12/24 teeth"),
        ("M12x1,25x80 bolt", "M12 x 1.25 x 80 bolt"),
        ("M8x12,5 bolt", "M8 x 12.5 bolt"),
        ("7/8-20 UNEF nut", "7/8-20 UNEF nut"),
        ("• M6 bolt", "M6 bolt"),
    ],
)
def test_what_stands_near_the_judged_texts(text: str, canonical: str) -> None:
    item = parse(text)
    assert str(item) == canonical
    assert parse(canonical) == item


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("M6 x 20 stud sq section bolt", "M6 x 20 stud sq section bolt"),
        ("M8 stud hex bolt", "M8 stud hex bolt"),
        ("M8 stud plate bolts", "M8 stud plate bolt"),
        ("M6 x 20 stud bolt", "M6 x 20 stud"),
        ("bolt, stud, M6x20", "M6 x 20 stud"),
        ("stud M6 bolt", "M6 stud"),
        ("stud 8.8 zinc bolt M6", "M6 stud 8.8 zinc"),
    ],
)
def test_a_bolt_is_a_stud_only_where_no_other_word_parts_the_two(text: str, canonical: str) -> None:
    item = parse(text)
    assert str(item) == canonical
    assert parse(canonical) == item


@pytest.mark.parametrize("sign", "∞±★€%~§→<>^")
def test_no_symbol_vanishes(sign: str) -> None:
    for shape in ("{} bolts", "{} M6 bolt", "M6 x 20 bolt {}", "M6 {} nut", "clutch {} cover"):
        assert sign in str(parse(shape.format(sign)))


@pytest.mark.parametrize(
    ("text", "length", "kept"),
    [
        ("M6 x 30 hex bolt, replaces 1/4 BSF x 1 1/4", 30.0, "replaces 1/4 BSF x 1 1/4"),
        ("M6 x 20 bolt, was 1/4 BSF x 3/4", 20.0, "was 1/4 BSF x 3/4"),
        ("M8 x 40 bolt in place of 5/16 BSF x 1 1/2", 40.0, "in place of 5/16 BSF x 1 1/2"),
    ],
)
def test_what_a_thing_replaces_is_no_part_of_its_size(text: str, length: float, kept: str) -> None:
    """A restorer's commonest remark: the figures after it are those of another thing."""
    item = parse(text)
    assert item.length_mm == length
    assert item.unread == (kept,)
    assert parse(str(item)) == item


def test_a_size_by_threads_per_inch_may_be_bsw_or_unc() -> None:
    """BS 84 and ASME B1.1 both have 1/4 with 20 threads per inch, of other angles."""
    assert any("BSW or UNC" in question for question in parse("1/4 x 20 tpi x 1 bolt").questions)
    assert parse("1/4-20 x 1 bolt").thread is not None
