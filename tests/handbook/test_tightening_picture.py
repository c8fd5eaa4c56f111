"""The joint on the screen: everything there, nothing over anything else, true to its places."""

import re
from itertools import combinations, pairwise
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stores.handbook.tightening.joint import Hole, Joint
from stores.handbook.tightening.order import Plan, plan_joint
from stores.handbook.tightening.picture import picture
from stores.handbook.tightening.reading import read_joint

_LABEL = re.compile(r"\[(\d+)\]h(\d+)")


def labels(lines: list[str]) -> dict[int, tuple[int, float, float]]:
    """Give turn, column of the middle and line of each hole."""
    found = {}
    for row, line in enumerate(lines):
        for label in _LABEL.finditer(line):
            hole = int(label[2])
            assert hole not in found
            found[hole] = (int(label[1]), (label.start() + label.end()) / 2, row)
    return found


def check(plan: Plan, lines: list[str], height: int = 22) -> None:
    assert len(lines) <= height
    assert max(map(len, lines)) <= 76
    assert lines[0].strip()
    assert lines[-1].strip()
    assert {hole: at[0] for hole, at in labels(lines).items()} == {
        hole: turn for turn, hole in enumerate(plan.order.holes, 1)
    }
    rest = _LABEL.sub(" ", "\n".join(lines)).split()
    assert sorted(rest) == sorted(hole.length for hole in plan.joint.holes if hole.length)
    # One blank at least between two things in a line.
    assert not re.search(r"h\d+\[|\]\[", "\n".join(lines))


@settings(deadline=None)
@given(seed=st.integers(0, 10**6), count=st.integers(2, 40), lengths=st.booleans())
def test_any_joint_is_drawn_whole(seed: int, count: int, lengths: bool) -> None:
    chance = Random(seed)
    holes = tuple(
        Hole(at, chance.uniform(0, 300), chance.uniform(0, 200), f"M6x{at}" if lengths else "")
        for at in range(1, count + 1)
    )
    plan = plan_joint(Joint(holes))
    check(plan, picture(plan))


@pytest.mark.parametrize("count", range(3, 41))
def test_any_circle_is_drawn_whole(count: int) -> None:
    plan = plan_joint(read_joint(f"{count} on 100"))
    check(plan, picture(plan))


@pytest.mark.parametrize(
    "text",
    [
        "20 in row at 10",
        "0,0 0,10 0,20 0,30 0,40",
        "2 x 10 at 5 x 45",
        "5 x 8 at 20 x 20",
        "0,0 0.1,0 50,50",
    ],
)
def test_rows_and_crowds_are_drawn_whole(text: str) -> None:
    plan = plan_joint(read_joint(text))
    check(plan, picture(plan))


def test_sixty_long_labels_still_come_out() -> None:
    holes = tuple(Hole(at, at % 3, at // 3, "M10x1.25x120LH") for at in range(1, 61))
    plan = plan_joint(Joint(holes))
    lines = picture(plan)
    check(plan, lines, len(lines))
    assert picture(plan, width=40, height=8)


def test_a_circle_looks_round() -> None:
    # A terminal's cell is about twice as high as wide.
    found = labels(picture(plan_joint(read_joint("4 on 100"))))
    across = found[2][1] - found[4][1]
    down = found[3][2] - found[1][2]
    assert across / down == pytest.approx(2, rel=0.06)


def test_a_row_takes_the_width_evenly() -> None:
    lines = picture(plan_joint(read_joint("6 in row at 20")))
    columns = [column for _, (_, column, _) in sorted(labels(lines).items())]
    steps = [after - before for before, after in pairwise(columns)]
    assert max(steps) - min(steps) <= 1
    assert columns[0] < 6
    assert columns[-1] > 70


def test_holes_lie_to_one_another_as_on_the_joint() -> None:
    joint = read_joint("0,0 60,-10 120,5 170,40 175,90 130,120 80,130 20,110 -15,60 80,60")
    found = labels(picture(plan_joint(joint)))
    for one, other in combinations(joint.holes, 2):
        if other.x_mm - one.x_mm > 20:
            assert found[other.number][1] > found[one.number][1]
        if other.y_mm - one.y_mm > 20:  # up on the joint, up on the screen
            assert found[other.number][2] < found[one.number][2]


def test_what_goes_in_stands_under_its_hole() -> None:
    lines = picture(plan_joint(read_joint("12=M6x45 4 8")))
    [row] = [at for at, line in enumerate(lines) if "]h1" in line]
    label = _LABEL.search(lines[row])
    assert label
    assert "M6x45" in lines[row + 1][label.start() - 1 : label.end() + 1]


def test_too_small_a_screen_is_a_mistake_of_the_caller() -> None:
    with pytest.raises(ValueError, match="too few"):
        picture(plan_joint(read_joint("4 on 50")), width=20)
