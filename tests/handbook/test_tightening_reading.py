"""Joints as they are typed at the bench, and one line for whatever is wrong with them."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stores.errors import BadValue, NotationError
from stores.handbook.tightening.joint import Form, Joint
from stores.handbook.tightening.reading import FORMS, read_joint, read_order


def spots(joint: Joint) -> list[tuple[float, float]]:
    return [(round(hole.x_mm, 3) + 0.0, round(hole.y_mm, 3) + 0.0) for hole in joint.holes]


@pytest.mark.parametrize(
    ("texts", "form", "places"),
    [
        (
            ("4 on 120", "4 on 120 mm", "4 bolts on a 120 mm circle", "4 on 12 cm", "4 On 120"),
            Form.CIRCLE,
            [(0, 60), (60, 0), (0, -60), (-60, 0)],
        ),
        (
            ("4 on 100 from 3", "4 on 100 first at 3", "4 on a 100 mm bolt circle from 3:00"),
            Form.CIRCLE,
            [(50, 0), (0, -50), (-50, 0), (0, 50)],
        ),
        (("2 on 4 in", '2 on 4"', "2 on 4 inches"), Form.CIRCLE, [(0, 50.8), (0, -50.8)]),
        (
            ("3 in row at 40", "3 in a row at 40", "row of 3 at 40 mm", "3 nuts in a row at 4 cm"),
            Form.ROW,
            [(0, 0), (40, 0), (80, 0)],
        ),
        (
            ("2 x 3 at 80 x 45", "2x3 at 80x45", "2 × 3 at 80 × 45", "2 rows of 3 at 80 x 45"),
            Form.ROWS,
            [(0, 0), (45, 0), (90, 0), (0, -80), (45, -80), (90, -80)],
        ),
        (
            ("12 3 6 9", "12, 3, 6, 9", "12:00 3.00 6 9"),
            Form.CLOCK,
            [(0, 50), (50, 0), (0, -50), (-50, 0)],
        ),
        (
            ("0,0 45,0 90,-12.5", "0, 0; 45, 0; 90, -12.5", "+0,0.\t45,0  90,-12.5"),
            Form.PLACES,
            [(0, 0), (45, 0), (90, -12.5)],
        ),
    ],
)  # fmt: skip
def test_every_form_and_its_spellings(
    texts: tuple[str, ...], form: Form, places: list[tuple[float, float]]
) -> None:
    for text in texts:
        joint = read_joint(text, "clutch cover")
        assert (joint.form, spots(joint), joint.name) == (form, places, "clutch cover"), text
        assert [hole.number for hole in joint.holes] == list(range(1, len(places) + 1))
        assert joint.to_scale == (form is not Form.CLOCK)
        assert not joint.with_lengths


@pytest.mark.parametrize(
    ("text", "lengths"),
    [
        ("12=M6x45 2 4=M6x60", ["M6x45", "", "M6x60"]),
        ("12=45, 2, 4=60", ["45", "", "60"]),
        ("0,0=45 45,0 90,12=M8x100", ["45", "", "M8x100"]),
        ("0, 0=45; 45, 0; 90, 12=1/4x2in", ["45", "", "1/4x2in"]),
        ("3 on 60 1=45 3=M6x60", ["45", "", "M6x60"]),
        ("1=45 3 on 60", ["45", "", ""]),
        ("3 on 60 1=45, 3=M6x60", ["45", "", "M6x60"]),
        ("3 in row at 20 2=45", ["", "45", ""]),
        ("12=M10x1.25x120-10. 6", ["M10x1.25x120-10.", ""]),
        ("2 x 2 at 20 x 30 4=M6x45", ["", "", "", "M6x45"]),
    ],
)
def test_what_goes_in_a_hole(text: str, lengths: list[str]) -> None:
    joint = read_joint(text)
    assert [hole.length for hole in joint.holes] == lengths
    assert joint.with_lengths


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("8 on 120", "numbered clockwise from the 12 o'clock position"),
        ("8 on 120 from 3", "numbered clockwise from the 3 o'clock position"),
        ("8 on 120 from 1:30", "numbered clockwise from the 1:30 position"),
        ("8 on 120 from 12:05", "numbered clockwise from the 12:05 position"),
        ("2 x 5 at 80 x 45", "2 rows 80 mm apart, 5 holes in each at a pitch of 45 mm"),
        ("12 3 6", "a sketch of 3 holes by the clock"),
    ],
)
def test_it_is_said_how_the_text_was_understood(text: str, said: str) -> None:
    assert said in read_joint(text).said


@pytest.mark.parametrize("text", FORMS)
def test_the_examples_of_the_messages_can_be_read(text: str) -> None:
    assert len(read_joint(text).holes) >= 3
    assert read_joint(text).said


@pytest.mark.parametrize(
    ("text", "message", "at_fault"),
    [
        ("", "no joint: expected one such as '8 on 120'", ""),
        ("   ", "no joint", "   "),
        ("8 on", "expected the diameter of the bolt circle in mm", "8 on"),
        ("8 on fifty", "expected the diameter of the bolt circle", "fifty"),
        ("8 on 0", "above 0 and up to 10000", "0"),
        ("8 on 20000", "above 0 and up to 10000", "20000"),
        ("1 on 20", "expected the number of holes, 2 to 60", "1"),
        ("61 on 20", "expected the number of holes, 2 to 60", "61"),
        ("holes on 20", "expected the number of holes", "holes"),
        ("8 on 120 from 13", "a clock position from 1 to 12", "13"),
        ("8 on 120 from 3:60", "a clock position from 1 to 12", "3:60"),
        ("8 on 120 and 6", "expected nothing more", "and"),
        ("5 in row", "expected 'at', as in '5 in row at 40', at the end", "5 in row"),
        ("5 in line at 40", "expected 'row'", "line"),
        ("2 x 5 at 80", "expected 'x', as in '2 x 5 at 80 x 45', at the end", "2 x 5 at 80"),
        ("2 x 5 80 x 45", "expected 'at'", "80"),
        ("7 x 9 at 10 x 10", "63 holes: expected 2 to 60", "7 x 9 at 10 x 10"),
        ("12 13 4", "expected clock positions from 1 to 12", "13"),
        ("12 4:75", "expected clock positions from 1 to 12", "4:75"),
        ("clutch cover", "expected clock positions from 1 to 12", "clutch"),
        ("12 4 12:00", "hole 3 is where hole 1 is", "12:00"),
        ("12", "1 hole: a joint has 2 to 60", "12"),
        ("0,0 10,0 0,0", "hole 3 is where hole 1 is", "0,0"),
        ("0,0 45", "expected a place x,y in mm", "45"),
        ("0,0 4a,5", "expected a place x,y in mm", "4a,5"),
        ("0,0 45,0=M6 x 45", "no space in the length", "x"),
        ("0,0 99999,0", "a place within 10000 mm", "99999,0"),
        ("0,0", "1 hole: a joint has 2 to 60", "0,0"),
        ("8 on 120 9=45", "a hole that is not there: they run from 1 to 8", "9"),
        ("8 on 120 3=45 3=50", "a hole that is twice there", "3"),
        ("8 on 120 x=45", "expected a hole and its length such as 3=M6x45", "x=45"),
        ("8 on 120 3=", "expected a length such as 45 or M6x45 after '='", "="),
        ("12= 3", "expected a length", "="),
        ("12=M6x45-long-tail-x 3", "a length of at most 16 characters", "M6x45-long-tail-x"),
        ("8 on ١٢٠", "expected the diameter", "١٢٠"),
    ],
)  # fmt: skip
def test_one_line_points_at_what_is_wrong(text: str, message: str, at_fault: str) -> None:
    with pytest.raises(NotationError) as caught:
        read_joint(text)
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)
    assert text[caught.value.start : caught.value.end] == at_fault


def test_the_second_of_two_holes_at_one_place_is_pointed_at() -> None:
    with pytest.raises(NotationError) as caught:
        read_joint("0,0 10,0 0,0")
    assert caught.value.start == 9


@settings(deadline=None)
@given(text=st.text(st.sampled_from("0123456789,;=.:- xonrwati×*\"'mM\t"), max_size=40))
def test_any_text_is_a_joint_or_one_clear_line(text: str) -> None:
    try:
        said = read_joint(text).said
    except (NotationError, BadValue) as error:
        said = str(error)
    assert said
    assert "\n" not in said


@pytest.mark.parametrize(
    "text", ["3 1 4 2", "order 3 1 4 2", "Order: 3, 1, 4, 2", "3-1-4-2", "3>1>4>2", " 3  1 4 2 "]
)
def test_a_makers_order(text: str) -> None:
    assert read_order(text, 4) == (3, 1, 4, 2)


@pytest.mark.parametrize(
    ("text", "message", "at_fault"),
    [
        ("3 1 4", "the order leaves out hole 2", "3 1 4"),
        ("3", "the order leaves out holes 1, 2, 4", "3"),
        ("", "the order leaves out holes 1, 2, 3, 4", ""),
        ("3 1 5 2", "no such hole: they run from 1 to 4", "5"),
        ("3 1 0 2", "no such hole", "0"),
        ("3 1 3 2", "a hole that is there twice", "3"),
        ("3 1 four 2", "expected the number of a hole", "four"),
    ],
)
def test_a_makers_order_that_is_wrong(text: str, message: str, at_fault: str) -> None:
    with pytest.raises(NotationError, match=message) as caught:
        read_order(text, 4)
    assert text[caught.value.start : caught.value.end] == at_fault
