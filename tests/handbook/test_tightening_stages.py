"""The passes of tightening, against the published schedules, and the whole answer."""

import csv
import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stores.errors import BadValue, NotFound
from stores.handbook.answer import cite
from stores.handbook.table import table
from stores.handbook.tightening.order import plan_joint, procedure
from stores.handbook.tightening.reading import read_joint

PUBLISHED = Path(__file__).resolve().parent.parent / "published"


def schedule(name: str) -> tuple[list[int], str]:
    """Give the shares of a published schedule that are done in the pattern, and all its words."""
    path = PUBLISHED / "bolt_tightening_passes.csv"
    with path.open(encoding="utf-8", newline="") as file:
        [steps] = [row["steps"] for row in csv.DictReader(file) if row["name"] == name]
    return [int(share) for share in re.findall(r"(\d+)% pattern", steps)], steps


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("passes-gasket-supplier", "30-60-100"),
        ("passes-pcc1-2010", "pcc-1"),
        ("passes-12-up", "20-40-80-100"),
    ],
)
def test_the_published_schedules(name: str, key: str) -> None:
    shares, words = schedule(name)
    plan = plan_joint(read_joint("16 on 200"), 100, passes=key)
    assert list(plan.procedure.per_cent) == shares
    hand, *steps = plan.stages
    assert (hand.per_cent, hand.torque_nm) == (None, None)
    assert [step.per_cent for step in steps[: len(shares)]] == shares
    assert all(step.holes == plan.order.holes for step in steps[: len(shares)])
    last = steps[len(shares)]
    assert "round" in words
    assert (last.per_cent, last.torque_nm) == (100, 100)
    assert last.holes == tuple(range(1, 17))
    rest = re.search(r"wait at least (\d+) h, repeat 100%", words)
    assert plan.procedure.rest_h == int(rest[1] if rest else 0)
    assert len(steps) == len(shares) + (2 if rest else 1)


@pytest.mark.parametrize(
    ("holes", "key"),
    [
        (2, "50-100"), (4, "50-100"),  # common practice for small joints
        (5, "30-60-100"), (11, "30-60-100"),  # gasket supplier guidance
        (12, "20-40-80-100"), (60, "20-40-80-100"),  # from 12 bolts on
    ],
)  # fmt: skip
def test_the_number_of_holes_decides(holes: int, key: str) -> None:
    assert procedure(holes).key == key


def test_unknown_passes_are_refused() -> None:
    with pytest.raises(NotFound, match="no passes 'fast': one of 50-100, 30-60-100"):
        procedure(8, "fast")


@settings(deadline=None)
@given(
    torque=st.one_of(st.floats(0.01, 5000), st.integers(1, 500).map(float)),
    holes=st.integers(2, 40),
    key=st.sampled_from(["", *(row["key"] for row in table("tightening_passes"))]),
)
def test_no_pass_goes_above_the_final_torque(torque: float, holes: int, key: str) -> None:
    plan = plan_joint(read_joint(f"{holes} on 100"), torque, passes=key)
    steps = [stage.torque_nm for stage in plan.stages if stage.torque_nm is not None]
    assert steps == sorted(steps)
    early = [nm for nm, stage in zip(steps, plan.stages[1:], strict=True) if stage.per_cent != 100]
    assert len(set(early)) == len(early)
    assert early[0] > 0
    assert early[-1] < torque
    assert set(steps[len(early) :]) == {torque}
    for stage in plan.stages:
        if stage.torque_nm and stage.per_cent:
            # Half of the coarsest step, 5 N m from 100 on, 1 from 10, 0.5 from 2, 0.1 below.
            share = torque * stage.per_cent / 100
            half = 2.5 if share >= 100 else 0.5 if share >= 10 else 0.25 if share >= 2 else 0.05
            assert abs(stage.torque_nm - share) <= half + 1e-9


def test_a_pass_is_what_a_wrench_can_be_set_to() -> None:
    plan = plan_joint(read_joint("8 on 120"), 24.5)
    assert [stage.torque_nm for stage in plan.stages] == [None, 7.5, 15, 24.5, 24.5]
    assert [stage.torque for stage in plan.stages[:2]] == ["", "7.5 N m"]


def test_without_a_torque_the_passes_are_in_per_cent() -> None:
    plan = plan_joint(read_joint("8 on 120"))
    assert [stage.per_cent for stage in plan.stages] == [None, 30, 60, 100, 100]
    assert all(stage.torque_nm is None and not stage.torque for stage in plan.stages)


@pytest.mark.parametrize("torque", [0, -1, float("nan"), float("inf"), 5001])
def test_a_torque_out_of_range_is_refused(torque: float) -> None:
    with pytest.raises(BadValue, match="expected above 0 and up to 5000 N m"):
        plan_joint(read_joint("8 on 120"), torque)


def test_the_last_pass_goes_round_a_circle_and_in_order_elsewhere() -> None:
    circle = plan_joint(read_joint("6 on 80")).stages[-1]
    head = plan_joint(read_joint("2 x 5 at 80 x 45"))
    assert circle.holes == (1, 2, 3, 4, 5, 6)
    assert "clockwise" in circle.what
    assert head.stages[-1].holes == head.order.holes
    assert "again-in-order" in head.sources


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("8 on 120", "maker's order, torque and passes come first"),
        ("8 on 120", "Gaskets settle"),
        ("8 on 120", "reverse order"),
        ("12=M6x45 2=M6x60 6 9", "Lengths differ: push all bolts in"),
        ("12=M6x45 2 6 9", "Lengths differ"),
    ],
)
def test_the_cautions(text: str, words: str) -> None:
    assert any(words in caution for caution in plan_joint(read_joint(text)).cautions)


def test_cautions_that_do_not_belong_stay_away() -> None:
    same = plan_joint(read_joint("12=45 4=45 8=45"), 24)
    assert not any("Lengths differ" in caution for caution in same.cautions)
    assert not any("most torque wrenches" in caution for caution in same.cautions)
    small = plan_joint(read_joint("8 on 40"), 3)
    assert any("0.9 N m is below what most torque wrenches" in text for text in small.cautions)


def test_every_source_is_spelled_out() -> None:
    keys = {row["source"] for row in table("tightening_passes")}
    for text in ("8 on 90", "9 on 90", "48 on 900", "5 in row at 9", "2 x 5 at 9 x 9", "12 1 6 9"):
        plan = plan_joint(read_joint(text), maker_order="")
        assert plan.sources
        assert all(plan.assumptions)
        keys |= set(plan.sources)
    assert all(cite(key) for key in keys)
    assert {"pcc-1", "again-in-order"} <= keys
    with pytest.raises(NotFound, match="no source 'hearsay'"):
        cite("hearsay")


def test_a_sketch_is_said_to_be_one() -> None:
    words = "only the directions of the holes are known"
    assert words in plan_joint(read_joint("12 1 6 9")).assumptions
    assert words not in plan_joint(read_joint("0,50 25,43 0,-50 -50,0")).assumptions
    assert words not in plan_joint(read_joint("8 on 120")).assumptions


def test_a_reading_within_tolerance_is_said() -> None:
    measured = plan_joint(read_joint("0,50 49,1 0,-50 -50,0"))
    assert any("5 % of the radius" in text for text in measured.assumptions)
    typed = plan_joint(read_joint("4 on 100"))
    assert not any("5 % of the radius" in text for text in typed.assumptions)
