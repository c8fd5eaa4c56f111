"""The bolt of a joint: hand-worked, and what must hold for every joint.

ISO 888: b = 2 d + 6 up to 125 mm (tests/published/torque_thread_length.csv has rows of it), nut M8
of ISO 4032 at most 6.8 high (tests/published/hardware_hex_nuts.csv), M6 5.2. Two threads out of a
nut, one at least, and clear of the bottom of a blind hole: common practice, no source.
"""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stores.errors import BadValue, NotFound
from stores.handbook.answer import Answer
from stores.handbook.grip import bolt_for, nut_height_mm, threaded_mm
from stores.handbook.thread import get

PUBLISHED = Path(__file__).parents[1] / "published"


def by_name(answers: tuple[Answer, ...]) -> dict[str, float]:
    return {
        answer.what.partition(",")[-1].strip() or answer.what: answer.value for answer in answers
    }


def test_a_bolt_through_30_mm() -> None:
    """30 + 6.8 + 2 x 1.25 = 39.3, so 40; 40 - 22 = 18 plain; 30 - 18 = 12 in the joint; 3.2 out."""
    found = by_name(bolt_for("M8", 30))
    assert found == {
        "length under the head": 40,
        "plain shank": 18,
        "thread that lies in the joint": 12,
        "out of the nut": pytest.approx(3.2),
    }


def test_washers_count_as_clamped() -> None:
    """30 + 2 x 1.6 + 6.8 + 2.5 = 42.5, so 45."""
    found = by_name(bolt_for("M8", 30, washers_mm=3.2))
    assert found["length under the head"] == 45
    assert found["thread that lies in the joint"] == pytest.approx(33.2 - (45 - 22))


def test_a_bolt_into_aluminium() -> None:
    """12 + 2 d = 24, so 25; 13 in the hole; b of M6 is 18: 7 plain, 5 of thread in the joint."""
    found = by_name(bolt_for("M6", 12, into="aluminium"))
    assert found["length under the head"] == 25
    assert found["screwed into the hole"] == 13
    assert found["plain shank"] == 7


def told(answers: tuple[Answer, ...]) -> str:
    return " ".join(answers[0].cautions)


def test_what_does_not_clamp_is_said() -> None:
    """M8 x 60 through 35: the shank is 38 long, longer than the joint."""
    assert "nothing is clamped" in told(bolt_for("M8", 35, length_mm=60))
    assert "nothing is clamped" not in told(bolt_for("M8", 35))
    assert "not through the nut" in told(bolt_for("M8", 30, length_mm=35))
    # 13 mm of bolt in a hole threaded 14 deep: less than two threads of 1 mm are left.
    assert "bottom of the hole" in told(bolt_for("M6", 12, into="aluminium", hole_mm=14))
    assert "bottom of the hole" not in told(bolt_for("M6", 12, into="aluminium", hole_mm=15))
    assert "strips" in told(bolt_for("M6", 12, into="aluminium", length_mm=20))


def test_what_is_threaded_is_measured_where_no_list_has_it() -> None:
    unknown = bolt_for("1/4 BSF", 20)
    assert "measure it" in told(unknown)
    assert "plain shank" not in by_name(unknown)
    # 20 + 5.08 + 2 x 25.4 / 26 = 27.03: 1 1/8 in is 28.575; 28.575 - 15 = 13.575 plain.
    known = by_name(bolt_for("1/4 BSF", 20, thread_mm=15))
    assert known["plain shank"] == pytest.approx(13.575)
    assert "nothing is clamped" in told(bolt_for("1/4 BSF", 20, thread_mm=8))


def test_published_threads_of_bolts() -> None:
    with (PUBLISHED / "torque_thread_length.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) > 10
    for row in rows:
        length = {"l<=125": 125.0, "125<l<=200": 200.0, "l>200": 201.0}[row["length_range_mm"]]
        found = threaded_mm(get(row["thread"]), length)
        assert found
        assert found[0] == float(row["b_mm"])


def test_unified_threads_of_bolts() -> None:
    """ASME B18.2.1 (memory): 2 d + 1/4 in up to 6 in: 3/4 in of thread on 1/4, 1 in on 3/8."""
    for name, inches in (("1/4 UNF", 0.75), ("3/8 UNC", 1.0), ("1/2 UNF", 1.25)):
        found = threaded_mm(get(name), 100)
        assert found
        assert found[0] == pytest.approx(25.4 * inches)
    assert threaded_mm(get("3/8 BSF"), 50) is None


def test_nut_heights() -> None:
    assert nut_height_mm(get("M8")) == (6.8, "nut ISO 4032")
    assert nut_height_mm(get("M8x1"))[0] == 6.8
    assert nut_height_mm(get("M7")) == (5.5, "nut DIN 934")
    assert nut_height_mm(get("1/4 UNF"))[0] == pytest.approx(0.226 * 25.4, abs=0.01)
    assert nut_height_mm(get("2BA")) == (4.7, "nut as high as the thread is thick")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ({"grip_mm": 0}, "grip"),
        ({"grip_mm": float("nan")}, "grip"),
        ({"grip_mm": 30, "length_mm": 30}, "does not reach through"),
        ({"grip_mm": 30, "hole_mm": 20}, "goes with what the bolt is screwed into"),
        ({"grip_mm": 30, "washers_mm": -1}, "washers"),
        ({"grip_mm": 30, "nut_mm": 0}, "nut"),
        ({"grip_mm": 30, "thread_mm": 80}, "thread on the bolt"),
        ({"grip_mm": 500}, "no bolt is made"),
    ],
)
def test_joints_that_cannot_be(words: dict[str, float], says: str) -> None:
    with pytest.raises(BadValue, match=says):
        bolt_for("M8", **words)  # type: ignore[arg-type]


def test_no_bolt_of_a_pipe_and_no_rule_for_cheese() -> None:
    with pytest.raises(BadValue, match="not of a bolt"):
        bolt_for("G1/4", 20)
    with pytest.raises(NotFound, match="no engagement rule"):
        bolt_for("M8", 20, into="cheese")


@given(
    st.sampled_from(["M5", "M6", "M8", "M10", "M12", "M8x1", "5/16 UNF", "1/2 UNC", "3/8 BSF"]),
    st.floats(3, 120),
    st.floats(0, 6),
)
def test_every_bolt_offered_comes_through_its_nut(name: str, grip: float, washers: float) -> None:
    """Two threads at least; plain shank and thread make up what is clamped where both are known."""
    found = by_name(bolt_for(name, grip, washers_mm=washers))
    assert found["out of the nut"] >= 2 * get(name).pitch_mm - 1e-5
    if "plain shank" in found and found["thread that lies in the joint"]:
        total = found["plain shank"] + found["thread that lies in the joint"]
        assert total == pytest.approx(grip + washers)
