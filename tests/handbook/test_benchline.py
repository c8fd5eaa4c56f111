"""Lines of the bench that say more than a count: still on the machine, and stacks.

Thicknesses in inches are judged by the inch of 25.4 mm exactly (ISO 31-1).
"""

import csv
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stores.errors import StoresError
from stores.handbook.benchline import leaves_count_open, lines_in, open_questions, read_line
from stores.handbook.fastener import TWO_THINGS

PUBLISHED = Path(__file__).parents[1] / "published"


@given(st.integers(0, 50), st.integers(1, 50), st.integers(0, 50))
def test_what_came_off_and_what_is_still_on_make_what_was_found(
    off: int, still: int, missing: int
) -> None:
    line = read_line(f"{off} of {off + still + missing} M6x20 hex bolt, {still} seized")
    assert (line.off, line.found, line.wanted) == (off, off + still, off + still + missing)
    whole = read_line(f"{off + still} M6x20 hex bolt, {still} seized @ rear")
    assert (whole.off, whole.found, whole.wanted) == (off, off + still, off + still)
    assert (whole.position, whole.thing.spec) == ("rear", "M6 x 20 hex bolt")


@pytest.mark.parametrize(
    ("text", "how", "broken", "hole"),
    [
        ("2 M6 stud, 1 stuck fast", "stuck fast", False, ""),
        ("2 M6 stud, one seized solid", "seized solid", False, ""),
        ("2 M6 stud and 1 rusted in", "rusted in", False, ""),
        ("2 M6 stud; 1 is still on the machine", "not undone", False, ""),
        ("2 M6 stud, 1 would not undo", "would not undo", False, ""),
        ("2 M6 stud, 1 snapped off in the rear hole", "broken", True, "the rear hole"),
        ("2 M6 stud, 1 sheared in its hole @ rear", "broken", True, "its hole"),
    ],
)
def test_the_words_of_the_bench(text: str, how: str, broken: bool, hole: str) -> None:
    (one,) = read_line(text).still_on
    assert (one.count, one.how, one.broken, one.hole) == (1, how, broken, hole)


@pytest.mark.parametrize(
    "text",
    ["1 bracket, 2 broken lugs", "2 M6x20 hex bolt", "1 piston, seized", "3 stuck-on badges"],
)
def test_what_is_said_of_a_piece_is_no_count_of_those_still_on(text: str) -> None:
    assert read_line(text).still_on == ()


@given(st.lists(st.integers(1, 2999), min_size=1, max_size=8))
def test_a_stack_is_read_in_its_order(hundredths: list[int]) -> None:
    said = ", ".join(f"{each / 100:.2f}" for each in hundredths)
    line = read_line(f"shims: {said} @ left")
    assert list(line.layers) == [each * 10_000 for each in hundredths]  # nanometres
    assert (line.found, line.unit, line.position, line.thing.spec) == (
        len(hundredths), "mm", "left", "shim",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("text", "layers", "unit"),
    [
        ("shims: 10, 12 thou", [254_000, 304_800], "thou"),
        ("0.010, 0.012 in shims", [254_000, 304_800], "in"),
        ("0,3, 0,5 shims", [300_000, 500_000], "mm"),
        ("right: .3 + .5 mm thrust washers", [300_000, 500_000], "mm"),
        ("2 of 3 shims: 0.3, 0.5", [300_000, 500_000], "mm"),
    ],
)
def test_a_stack_in_other_units(text: str, layers: list[int], unit: str) -> None:
    line = read_line(text)
    assert (list(line.layers), line.unit) == (layers, unit)


@pytest.mark.parametrize(
    "text", ["1 shim 0.3 mm", "3 washers 0.5 mm", "2 M6 washer", "1 gasket: 2"]
)
def test_a_size_alone_is_no_stack(text: str) -> None:
    assert read_line(text).layers == ()


@pytest.mark.parametrize(
    "text",
    ["4 M6 stud, 1 broken", "2 of 4 M6 stud, 3 stuck", "3 shims: 0.3, 0.5", "shims: 0, 0.3"],
)
def test_what_cannot_be_is_refused(text: str) -> None:
    with pytest.raises(StoresError):
        read_line(text)


@pytest.mark.parametrize(
    ("line", "found", "spec", "asked"),
    [
        ("51220 bolt", 1, "bolt [51220]", True), ("30 hour clock", 1, "30 hour clock", True),
        ("6 volt horn", 1, "6 volt horn", True), ("1 1/8 BSF nut", 1, "BSF nut [1 1/8]", True),
        ("lots of M6 washers", 1, "M6 washer [lots of]", True),
        ("2 or 3 M8 nuts", 1, "M8 nut [2 or 3]", True), ("hose clips 3", 1, "hose clip [3]", True),
        ("M8 bolts x 6", 1, "M8 bolt [x 6]", True), ("6204 bearing", 1, "bearing 6204", False),
        ("2 ½ BSF x 2 bolt", 2, "1/2 BSF x 2 bolt", False), ("M8 nuts, 6", 6, "M8 nut", False),
        ("2 3/8 BSF nut", 2, "3/8 BSF nut", False), ("two piece ring", 1, "two piece ring", False),
    ],
)  # fmt: skip
def test_a_count_in_doubt_is_one_with_a_question(
    line: str, found: int, spec: str, asked: bool
) -> None:
    read = read_line(line)
    assert (read.found, read.thing.spec, bool(read.questions)) == (found, spec, asked)
    assert read.written == line


@pytest.mark.parametrize(
    "words", ["should be", "shoud be", "shoudl be", "s/b", "ought to be", "should of been"]
)
def test_what_it_should_be_however_it_is_spelt(words: str) -> None:
    line = read_line(f"4 M6x30 bolt ({words} M6x25)")
    assert (line.thing.spec, line.specified.spec) == ("M6 x 30 bolt", "M6 x 25 bolt")


def test_none_of_so_many_off() -> None:
    line = read_line("0 of 2 off 5/16 BSW x 3/4 bolt")
    assert (line.found, line.wanted, line.thing.spec) == (0, 2, "5/16 BSW x 3/4 bolt")


def test_what_lists_ask_of_a_line_is_what_the_line_asks() -> None:
    """The short way to whether a count is open leaves none out of the hard texts."""
    for name in ("fastener_text", "fastener_text_more"):
        with (PUBLISHED / f"{name}.csv").open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                counting = open_questions(row["text"])[1]
                assert leaves_count_open(row["text"]) == bool(counting), row["text"]


@pytest.mark.parametrize(
    "text",
    [
        "3 or 4 M6 nuts", "M6 nuts, 3 or 4", "about 10 off M6 nuts", "M6 nuts, about 10 off",
        "M6 nuts, a few", "lots of M6 nuts", "M6 bolts x 4", "44120 bolt", "82 degree thermostat",
        "10 32 screw", "several M6 washers", "M6 nuts 5-6", "1 or 2 nuts", "1 box of nuts", "2 pin",
    ],
)  # fmt: skip
def test_a_count_that_was_not_stated_is_one_and_asked(text: str) -> None:
    line = read_line(text)
    assert line.found == 1
    assert line.count_questions
    assert leaves_count_open(text)


@pytest.mark.parametrize(
    "text",
    [
        "4 M6 nut",
        "1 M6 nut",
        "M6 nut",
        "magneto",
        "1 gasket",
        "3 of 4 M6 nut",
        "M6 nuts x4",
        "1 pin",
        "1 mm shim",
        "1 BA nut",
    ],
)
def test_a_count_that_was_stated_is_not_asked(text: str) -> None:
    assert not read_line(text).count_questions
    assert not leaves_count_open(text)


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("two springs and a nut", ("two springs", "a nut")),
        ("2 springs + 2 M6 nuts", ("2 springs", "2 M6 nuts")),
        ("3 M6 bolts, 3 washers and a gasket @ rear",
         ("3 M6 bolts @ rear", "3 washers @ rear", "a gasket @ rear")),
        ("4 M6x25 hex bolts & 4 off 1/4 BSF nuts", ("4 M6x25 hex bolts", "4 off 1/4 BSF nuts")),
        # how many of one there are is not said, or of what a number is
        ("M6x25 bolt and nut", ()),
        ("spring and 2 nuts", ()),
        ("two ba nut and a four ba nut", ()),
        ("4 bolts for cover and a bracket", ()),
        ("2 of 3 springs and a nut", ()),
        ("2 M6 bolts and 1 seized", ()),
        ("4 M6 nuts and 2 washers should be 4 M8 nuts", ()),
        ("3 shims: 0.3, 0.5, 0.1", ()),
        ("one and a half inch pin", ()),
        ("bolt, 2 off, M6x25", ()),
        ("2 M6 bolts, 1 long and 1 short", ()),
        ("cover, 4 hole flange", ()),
        ("head and barrel studs", ()),
    ],
)  # fmt: skip
def test_two_things_with_a_count_each_are_two_lines(text: str, lines: tuple[str, ...]) -> None:
    assert lines_in(text) == (lines or (text,))


@pytest.mark.parametrize(
    "text",
    [
        "M6x25 bolt and nut", "4 M6x25 bolts and nuts", "spring and 2 nuts", "spring & nut",
        "spring & clip", "clip & spring", "M6 bolt & spring",
        "a spring and clip", "2 springs, a nut", "cover, 4 bolts", "cam follower and a spring",
    ],
)  # fmt: skip
def test_what_may_be_two_things_is_asked_about_and_no_word_is_lost(text: str) -> None:
    line = read_line(text)
    assert TWO_THINGS in line.questions
    words, said = (
        {word.rstrip("s") for word in re.findall("[a-z]{2,}", each)}
        for each in (text, line.thing.spec)
    )
    assert words - {"and"} <= said


def test_a_length_that_was_guessed_leaves_the_kind_as_it_is() -> None:
    assert read_line("4 M8x30 or longer").doubts == ()
    assert read_line("4 spring and a nut").doubts == ("kind",)
