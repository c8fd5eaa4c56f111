"""Survey lists as text files: what they say, and what is refused."""

import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from stores.errors import BadValue
from stores.planning.survey import Look, Part, SurveyList, answered, read_list
from stores.wording.refusals import line_of

PUMP = """\
# for whoever edits this
title: Hand pump
also: Pump,  lift pump , pump
note: Left is the spout's side.

[What is there]
! Wells are deep: cover the hole.
Maker's plate
Handle: play, cracks | 2 lines | left and right
[Worked]
Stroke | reading: Full  Stroke
! The handle flies up.
! Stand clear.
"""


def test_a_list_is_read_line_by_line() -> None:
    assert read_list(PUMP, "pump", "pump.txt") == SurveyList(
        "pump",
        "Hand pump",
        (
            Part(
                "What is there",
                (Look("Maker's plate"), Look("Handle: play, cracks", lines=2, sides=True)),
                "Wells are deep: cover the hole.",
            ),
            Part(
                "Worked",
                (Look("Stroke", reading="full stroke",
                      caution="The handle flies up. Stand clear."),),
            ),
        ),
        ("pump", "lift pump"),
        "Left is the spout's side.",
    )  # fmt: skip


def test_a_list_without_a_title_has_its_name() -> None:
    assert read_list("[A]\nb", "hand-pump", "f").title == "hand-pump"


def test_a_measurement_is_taken_when_a_reading_says_its_name() -> None:
    one = read_list("[A]\nb | reading: end float\nc | reading: speed\nd", "x", "f")
    assert answered([one], ["Camshaft End Float"]) == {"end float": True, "speed": False}


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ("", 1, "no question in this list"),
        ("title: x\n\n", 3, "no question in this list"),
        ("Handle: play", 1, "a heading such as"),
        ("Handle", 1, "a heading such as"),
        ("title: a\ntitle: b\n[A]\nb", 2, "title: is there already"),
        ("title:\n[A]\nb", 1, "empty"),
        ("[A", 1, "no bracket at its end"),
        ("[ ]\na", 1, "the heading is empty"),
        ("[A]\n[B]\nb", 1, "no question under 'A'"),
        ("[B]\nb\n[A]\n# end", 3, "no question under 'A'"),
        ("[A]\nb\n[a]\nc", 3, "there already"),
        ("! Hot\n[A]\nb", 1, "a caution before the first heading"),
        ("[A]\nb\n!", 3, "the caution is empty"),
        ("[A]\n| 2 lines", 2, "the question is empty"),
        ("[A]\nb | 2 rows", 2, "'2 rows' after a bar cannot be read"),
        ("[A]\nb |", 2, "after a bar cannot be read"),
        ("[A]\nb | 0 lines", 2, "'0 lines' after a bar cannot be read"),
        ("[A]\nb | 10 lines", 2, "(1 to 9)"),
        ("[A]\nb | reading:", 2, "after a bar cannot be read"),
        ("[A]\nb | 1 line | 2 lines", 2, "says it twice"),
        ("[A]\nb\x07", 2, "control character"),
        ("[A]\r\nb\r\n" + "x" * 301, 3, "301 characters long"),
    ],
)  # fmt: skip
def test_a_fault_says_the_line_and_what_to_do(text: str, line: int, says: str) -> None:
    with pytest.raises(BadValue) as refused:
        read_list(text, "x", "x.txt")
    said = line_of(refused.value)
    assert said.startswith(f"x.txt, line {line}: ")
    assert says in said
    assert "\n" not in said


PIECES = st.sampled_from(
    ["[", "]", "|", "!", "#", ":", "title", "also", "note", "reading", "lines", "left and right",
     "2", " ", "\n", "\r", "\n[A]\n", "\x0c", "\u2028", "\x00", "play", "é"]
)  # fmt: skip


@given(st.one_of(st.lists(PIECES, max_size=40).map("".join), st.text()))
@example("[A]\nb\x85\u2028c")
@example("[A]\r\r\n!\n")
def test_any_text_is_read_or_refused_with_its_line(text: str) -> None:
    made = fault = None
    try:
        made = read_list(text, "x", "x.txt")
    except BadValue as refused:
        fault = line_of(refused)
    if made is None:
        said = re.match(r"x\.txt, line (\d+): .", fault or "")
        assert said, fault
        assert 1 <= int(said[1]) <= len(re.split(r"\r\n|\r|\n", text))
        assert len((fault or "").splitlines()) == 1
    else:
        assert made.parts
        assert all(part.name and part.looks for part in made.parts)
        assert all(look.text for part in made.parts for look in part.looks)


WORD = st.text(st.sampled_from("abcdeXYZ ,;?'\u00e9"), min_size=1, max_size=30)
SAID = WORD.map(lambda text: " ".join(text.split())).filter(bool)
LOOKS = st.builds(
    Look,
    SAID,
    lines=st.integers(0, 9),
    reading=st.one_of(st.just(""), SAID.map(str.casefold)),
    sides=st.booleans(),
    caution=st.one_of(st.just(""), SAID),
)
PARTS = st.builds(
    Part, SAID, st.lists(LOOKS, min_size=1, max_size=4).map(tuple), st.one_of(st.just(""), SAID)
)
LISTS = st.builds(
    SurveyList,
    st.just("x"),
    SAID,
    st.lists(PARTS, min_size=1, max_size=3, unique_by=lambda part: part.name.casefold()).map(tuple),
    note=st.one_of(st.just(""), SAID),
)


def written(made: SurveyList) -> str:
    """Give a list as a person would type it."""
    lines = [f"title: {made.title}"]
    if made.note:
        lines.append(f"note: {made.note}")
    for part in made.parts:
        lines.append(f"[{part.name}]")
        if part.caution:
            lines.append(f"! {part.caution}")
        for look in part.looks:
            columns = [look.text]
            if look.sides:
                columns.append("left and right")
            if look.lines:
                columns.append(f"{look.lines} line" + ("s" if look.lines > 1 else ""))
            if look.reading:
                columns.append(f"reading: {look.reading}")
            lines.append(" | ".join(columns))
            if look.caution:
                lines.append(f"!{look.caution}")
    return "\n".join(lines)


@given(LISTS)
def test_what_is_typed_is_what_is_asked(made: SurveyList) -> None:
    assert read_list(written(made), "x", "x.txt") == made
