"""The card of a joint: all holes there and legible, nothing over anything else, black on white."""

from itertools import combinations
from math import dist, hypot
from pathlib import Path
from random import Random

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from printing_reading import pictures, said

from stores.errors import BadValue, PrintError
from stores.handbook.tightening.joint import Hole, Joint
from stores.handbook.tightening.order import Plan, plan_joint
from stores.handbook.tightening.reading import read_joint
from stores.printing.boxes import MIN_SIZE, Box, Frame, Stroke, Text
from stores.printing.draw import measure
from stores.printing.joint_card import Heading, tightening_card, write_tightening_card
from stores.printing.joint_field import joint_picture

COVER = (
    "0,0=M6x40 60,-10=M6x40 120,5=M6x50 170,40=M6x50 175,90=M6x40 130,120=M6x75 80,130=M6x40 "
    "20,110=M6x35 -15,60=M6x35 80,60=M6x90"
)
PAGES = {"A4": (210.0, 297.0), "A5": (148.0, 210.0), "LETTER": (215.9, 279.4)}
"""Width and height in mm, upright: ISO 216, and ANSI/ASME Y14.1, size A."""
JOINTS = [
    COVER,
    "8 on 120",
    "40 on 300",
    "5 in row at 40",
    "2 x 5 at 80 x 45",
    "12=M6x45 2=M6x30 4 6:30=M6x60 9 10:30",
    "0,0 0,30 0,60 0,90",
    "2 on 50",
]


def circle_of(frame: Frame) -> tuple[float, float, float]:
    return frame.x + frame.width / 2, frame.y + frame.height / 2, frame.width / 2


def gap(text: Text, x: float, y: float) -> float:
    """Give the distance from a point to the nearest of a text."""
    return hypot(
        max(text.x - x, 0, x - text.x - text.width), max(text.y - y, 0, y - text.y - text.height)
    )


def overlap(one: Text, other: Text) -> bool:
    return (
        min(one.x + one.width, other.x + other.width) - max(one.x, other.x) > 0.01
        and min(one.y + one.height, other.y + other.height) - max(one.y, other.y) > 0.01
    )


def check_picture(
    plan: Plan, boxes: tuple[Box, ...], width: float, height: float, lengths: bool = True
) -> None:
    circles = [box for box in boxes if isinstance(box, Frame)]
    texts = [box for box in boxes if isinstance(box, Text)]
    assert len(circles) == len(plan.joint.holes)
    for box in boxes:
        assert -1e-6 <= box.x <= box.x + box.width <= width + 1e-6
        assert -1e-6 <= box.y <= box.y + box.height <= height + 1e-6
    for one, other in combinations(circles, 2):
        (ax, ay, reach), (bx, by, _) = circle_of(one), circle_of(other)
        assert dist((ax, ay), (bx, by)) >= 2 * reach + one.line
    for one, other in combinations(texts, 2):
        assert not overlap(one, other), (one.text, other.text)
    assert all(text.size >= MIN_SIZE for text in texts)
    beside = []
    turn_of = {}
    for text in texts:
        near = [
            (gap(text, *circle_of(circle)[:2]) - circle_of(circle)[2], at)
            for at, circle in enumerate(circles, 1)
        ]
        within = [at for way, at in near if way < 0]
        if text.text.isdigit():  # a turn: in the middle of its circle, within it
            [at] = within
            x, y, reach = circle_of(circles[at - 1])
            assert dist((text.x, text.y), (x, y)) < reach
            turn_of[at] = int(text.text)
        else:
            assert not within
            beside.append(text.text)
            if text.text.startswith("h"):  # its own circle is the nearest, or a line leads to it
                own = circle_of(circles[int(text.text[1:]) - 1])
                ends = [(box.x + x, box.y + y) for box in boxes if isinstance(box, Stroke)
                        for x, y in box.points]  # fmt: skip
                tied = any(dist(own[:2], end) < own[2] + 0.01 for end in ends)
                assert tied or min(near)[1] == int(text.text[1:])
    # Circles stand in the order of the holes.
    assert turn_of == {hole: plan.turn_of(hole) for hole in plan.joint.by_number}
    assert sorted(label for label in beside if label.startswith("h")) == sorted(
        f"h{hole}" for hole in plan.joint.by_number
    )
    if lengths:
        wanted = sorted(hole.length for hole in plan.joint.holes if hole.length)
        assert sorted(label for label in beside if not label.startswith("h")) == wanted


@pytest.mark.parametrize("text", JOINTS)
@pytest.mark.parametrize(("width", "height"), [(180, 150), (110, 90), (80, 80), (60, 120)])
def test_the_picture_fits_the_box(text: str, width: float, height: float) -> None:
    plan = plan_joint(read_joint(text))
    if (text, width) == ("40 on 300", 60):
        pytest.skip("forty holes do not fit so small a box")
    check_picture(plan, joint_picture(plan, width, height, measure), width, height)


@pytest.mark.parametrize("count", range(3, 33))
def test_any_circle_fits_the_width_of_a5(count: int) -> None:
    plan = plan_joint(read_joint(f"{count} on 100"))
    boxes = joint_picture(plan, 122, 100, measure)
    check_picture(plan, boxes, 122, 100)
    # Nothing had to be moved: the circles lie on a circle still.
    centres = [circle_of(box)[:2] for box in boxes if isinstance(box, Frame)]
    middle = [sum(each) / count for each in zip(*centres, strict=True)]
    ways = [dist(centre, middle) for centre in centres]
    assert max(ways) - min(ways) < 0.01


@settings(deadline=None, max_examples=40)
@given(seed=st.integers(0, 10**6), count=st.integers(2, 16), lengths=st.booleans())
def test_any_cover_of_a_crankcase_fits_a5(seed: int, count: int, lengths: bool) -> None:
    chance = Random(seed)
    holes: list[Hole] = []
    while len(holes) < count:
        x, y = chance.uniform(0, 250), chance.uniform(0, 180)
        if all(dist((x, y), (hole.x_mm, hole.y_mm)) > 20 for hole in holes):
            length = f"M6x{5 * chance.randint(4, 20)}" if lengths else ""
            holes.append(Hole(len(holes) + 1, x, y, length))
    plan = plan_joint(Joint(tuple(holes)))
    check_picture(plan, joint_picture(plan, 122, 95, measure), 122, 95)


def test_holes_lie_as_on_the_joint() -> None:
    plan = plan_joint(read_joint(COVER))
    boxes = joint_picture(plan, 150, 120, measure)
    circles = [circle_of(box) for box in boxes if isinstance(box, Frame)]
    holes = plan.joint.holes
    scales = [
        dist(circles[a][:2], circles[b][:2])
        / dist((holes[a].x_mm, holes[a].y_mm), (holes[b].x_mm, holes[b].y_mm))
        for a, b in combinations(range(len(holes)), 2)
    ]
    assert max(scales) == pytest.approx(min(scales), rel=1e-6)
    assert circles[6][1] < circles[1][1]  # hole 7 is the uppermost, hole 2 the lowest


def test_holes_close_together_are_moved_apart_by_no_more_than_a_circle() -> None:
    plan = plan_joint(read_joint("0,0 1,0 300,0 300,200 0,200"))
    boxes = joint_picture(plan, 120, 90, measure)
    check_picture(plan, boxes, 120, 90)


def test_lengths_that_find_no_room_are_left_to_the_list_and_that_is_said() -> None:
    holes = tuple(Hole(at, at % 6 * 10, at // 6 * 10, "M10x1.25x120LH") for at in range(1, 31))
    plan = plan_joint(Joint(holes))
    boxes = joint_picture(plan, 70, 70, measure)
    check_picture(plan, boxes, 70, 70, lengths=False)
    lost = [box.lost for box in boxes if isinstance(box, Text) and box.lost]
    assert lost == ["no room in the picture for what goes into the holes"]


@pytest.mark.parametrize("size", [(5, 5), (20, 3), (30, 30)])
def test_too_small_a_box_is_refused(size: tuple[float, float]) -> None:
    with pytest.raises(PrintError, match="too small for a picture of 40 holes"):
        joint_picture(plan_joint(read_joint("40 on 300")), *size, measure)


@pytest.mark.parametrize("text", JOINTS)
@pytest.mark.parametrize("paper", ["A5", "A4"])
@pytest.mark.parametrize("torque", [None, 24.5])
def test_nothing_on_the_card_runs_into_anything_or_off_the_page(
    text: str, paper: str, torque: float | None
) -> None:
    plan = plan_joint(read_joint(text, "Clutch cover"), torque, passes="pcc-1")
    [boxes] = tightening_card(plan, measure, Heading(date="25 Nov 2026"), paper).pages
    width, height = PAGES[paper]
    for box in boxes:
        assert 10 <= box.x <= box.x + box.width <= width - 9.9
        assert 9.9 <= box.y <= box.y + box.height <= height - 5
    texts = [box for box in boxes if isinstance(box, Text)]
    for one, other in combinations(texts, 2):
        assert not overlap(one, other), (one.text, other.text)
    assert not [box.lost for box in texts if box.lost]
    assert not [box.text for box in texts if box.text.endswith("…")]


def test_what_the_card_says(tmp_path: Path) -> None:
    plan = plan_joint(read_joint(COVER, "Clutch cover"), 10)
    printed = write_tightening_card(plan, tmp_path / "card.pdf", Heading(date="25 Nov 2026"))
    assert (printed.sheets, printed.warnings) == (1, ())
    words = said(printed.path)
    for text in (
        "Clutch cover", "10 holes", "10 N m", "25 Nov 2026", "all by hand", "30", "60", "M6x75",
        "Lengths differ: push all bolts in", "The maker's order, torque and passes come first",
        "Source: common practice",
        "Loosen: " + " ".join(f"h{hole}" for hole in plan.loosening),
    ):  # fmt: skip
        assert text.replace(" ", "") in words, text
    for turn, hole in enumerate(plan.order.holes, 1):
        assert f"{turn}:h{hole}" in words


@pytest.mark.parametrize("paper", ["A5", "A4", "a4", "Letter"])
def test_the_page_has_its_size_and_is_black_and_white(tmp_path: Path, paper: str) -> None:
    plan = plan_joint(read_joint("8 on 120"), 24)
    printed = write_tightening_card(plan, tmp_path / "card.pdf", Heading("Magneto flange"), paper)
    document = pypdfium2.PdfDocument(printed.path)
    size = [side * 25.4 / 72 for side in document[0].get_size()]
    assert size == pytest.approx(PAGES[paper.upper()], abs=0.1)
    colours = document[0].render(scale=1).to_pil().convert("RGB").getcolors(100_000)
    assert colours
    assert all(max(colour) - min(colour) <= 4 for _, colour in colours)
    document.close()


def test_the_circles_are_drawn_where_the_layout_says(tmp_path: Path) -> None:
    plan = plan_joint(read_joint("8 on 120"), 24)
    [boxes] = tightening_card(plan, measure, Heading()).pages
    printed = write_tightening_card(plan, tmp_path / "card.pdf", Heading())
    [picture] = pictures(printed.path, 254)  # ten dots to the millimetre
    rings = [circle_of(box) for box in boxes if isinstance(box, Frame)]
    assert len(rings) == 8
    for x, y, reach in rings:
        for ux, uy in ((1, 0), (0.6, 0.8), (-1, 0), (0.6, -0.8)):
            rim = (round(10 * (x + reach * ux)), round(10 * (y + reach * uy)))
            around = picture.crop((rim[0] - 2, rim[1] - 2, rim[0] + 3, rim[1] + 3))
            assert around.getextrema()[0] < 100


def test_the_same_card_gives_the_same_bytes(tmp_path: Path) -> None:
    plan = plan_joint(read_joint(COVER), 10)
    for name in ("one.pdf", "two.pdf"):
        write_tightening_card(plan, tmp_path / name, Heading())
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()


def test_sixty_holes_fit_a4(tmp_path: Path) -> None:
    plan = plan_joint(read_joint("60 on 500"), 24)
    printed = write_tightening_card(plan, tmp_path / "card.pdf", Heading(), "A4")
    assert printed.warnings == ()


def test_too_many_holes_for_a5_say_so() -> None:
    holes = " ".join(f"{at}=M10x120" for at in range(1, 61))
    plan = plan_joint(read_joint(f"60 on 500 {holes}"), 24)
    with pytest.raises(PrintError, match="take A4"):
        tightening_card(plan, measure, Heading(), "A5")


def test_another_paper_is_refused() -> None:
    with pytest.raises(BadValue, match="no paper 'A3' for a joint card: A5, A4 or Letter"):
        tightening_card(plan_joint(read_joint("8 on 120")), measure, Heading(), "A3")
