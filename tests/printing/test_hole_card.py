"""Hole cards: exact at full size, nothing over anything else, all words there, the code read."""

from itertools import combinations
from math import dist, hypot
from pathlib import Path
from random import Random

import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from printing_reading import MM, pictures, read_code, said

from stores.errors import BadValue, PrintError
from stores.handbook.tightening.joint import Hole, Joint
from stores.handbook.tightening.order import Plan, plan_joint
from stores.handbook.tightening.reading import read_joint
from stores.printing.boxes import MIN_SIZE, Code, Frame, Text
from stores.printing.draw import measure
from stores.printing.joint_card import MARGIN, Heading, JointCard, hole_card, write_hole_card
from stores.printing.joint_field import bolt_diameter

HEAD = "2 x 5 at 60 x 40 " + " ".join(f"{at}=M8x{60 + at}" for at in range(1, 11))
CASE = (
    "0,0=M6x40 60,-10=M6x40 120,5=M6x50 170,8=M6x50 230,0=M6x40 285,15=M6x75 290,60=M6x75 "
    "270,110=M6x35 225,150=M6x35 160,165=M6x90 100,170=M6x40 40,160=M6x40 -10,120=M6x40 "
    "-5,60=M6x50 130,80=M6x110 200,75=M6x110"
)
JOINTS = ["5 on 140", "8 on 120", "60 on 150", "60 on 500", "5 in row at 40", HEAD, CASE,
          "12=M6x45 2=M6x30 4 6:30=M6x60 9 10:30", "2 on 20"]  # fmt: skip


def rings(card: JointCard) -> list[Frame]:
    """The circles of the holes, in the order of their numbers."""
    return [
        box
        for box in card.pages[0]
        if isinstance(box, Frame) and box.width == box.height and box.radius == box.width / 2
    ]


def overlap(one: Text | Frame, other: Text | Frame) -> bool:
    return (
        min(one.x + one.width, other.x + other.width) - max(one.x, other.x) > 0.01
        and min(one.y + one.height, other.y + other.height) - max(one.y, other.y) > 0.01
    )


def check(card: JointCard) -> None:
    for page in card.pages:
        for box in page:
            assert MARGIN - 1e-6 <= box.x <= box.x + box.width <= card.size[0] - MARGIN + 0.01
            assert MARGIN - 1e-6 <= box.y <= box.y + box.height <= card.size[1] - MARGIN + 0.01
        texts = [box for box in page if isinstance(box, Text)]
        for one, other in combinations(texts, 2):
            assert not overlap(one, other), (one.text, other.text)
        for text in texts:
            assert text.size >= MIN_SIZE
            assert not text.text.endswith("…")
            for code in page:
                if isinstance(code, Code):
                    off = max(code.x - text.x - text.width, text.y - code.y - code.height)
                    assert off >= code.quiet - 0.01
    circles = rings(card)
    assert len(circles) == len(card.field.rings)
    for ring, near in combinations(circles, 2):
        assert dist(middle(ring), middle(near)) >= (ring.width + near.width) / 2
    for circle, spot in zip(circles, card.field.rings, strict=True):
        # a head of twice the bolt's diameter covers no word
        clear = circle.width if card.field.own_size else circle.width / 2
        assert spot.radius == pytest.approx(circle.width / 2)
        for text in (box for box in card.pages[0] if isinstance(box, Text)):
            assert away(text, middle(circle)) >= clear


def middle(frame: Frame) -> tuple[float, float]:
    return frame.x + frame.width / 2, frame.y + frame.height / 2


def away(box: Text, point: tuple[float, float]) -> float:
    return hypot(
        max(box.x - point[0], 0, point[0] - box.x - box.width),
        max(box.y - point[1], 0, point[1] - box.y - box.height),
    )


def labelled(plan: Plan, card: JointCard, words: bool = True) -> None:
    """Every hole has its turn, its number and what goes in on the front."""
    texts = [box.text for box in card.pages[0] if isinstance(box, Text)]
    for hole in plan.joint.holes:
        assert f"h{hole.number}" in texts
        if words and hole.length:
            assert hole.length in texts


@pytest.mark.parametrize("text", JOINTS)
@pytest.mark.parametrize("page", ["A4", "Letter"])
def test_nothing_runs_into_anything_or_off_the_page(text: str, page: str) -> None:
    plan = plan_joint(read_joint(text, "Cover"), 24.5)
    heading = Heading("Step 7.2: cover", "Teasel 250", "B7K-3Q")
    card = hole_card(plan, measure, heading, page)
    check(card)
    labelled(plan, card)


@settings(deadline=None, max_examples=30)
@given(
    seed=st.integers(0, 10**6),
    count=st.integers(2, 24),
    size=st.sampled_from([60, 150, 400]),
    words=st.sampled_from(["", "M6x45", "M8x100", "1/4UNCx1"]),
)
def test_any_cover(seed: int, count: int, size: int, words: str) -> None:
    chance = Random(seed)
    holes: list[Hole] = []
    for _ in range(2000):
        place = (chance.uniform(0, size), chance.uniform(0, 0.7 * size))
        if len(holes) < count and all(dist(place, (h.x_mm, h.y_mm)) > 17 for h in holes):
            holes.append(Hole(len(holes) + 1, *place, words))
    if len(holes) < 2:
        return
    plan = plan_joint(Joint(tuple(holes)))
    card = hole_card(plan, measure, Heading("Cover", bag="B7K-3Q"))
    check(card)
    labelled(plan, card)


@pytest.mark.parametrize("text", ["8 on 120", "5 on 140", HEAD, "0,0=M5x20 33.3,7.25 90,61.4=M10"])
def test_full_size_is_exact_in_the_pdf(tmp_path: Path, text: str) -> None:
    plan = plan_joint(read_joint(text))
    write_hole_card(plan, tmp_path / "card.pdf", Heading())
    card = hole_card(plan, measure, Heading())
    assert card.scale == 1
    assert card.field.own_size
    with pdfplumber.open(tmp_path / "card.pdf") as document:
        round_ones = [
            (float(c["x0"] + c["x1"]) / 2 * MM, float(c["top"] + c["bottom"]) / 2 * MM,
             float(c["width"]) * MM)
            for c in document.pages[0].curves
            if abs(c["width"] - c["height"]) < 0.01 and len(c["pts"]) > 4
        ]  # fmt: skip
        ticks = sorted({
            round(float(line["x0"]) * MM, 3)
            for line in document.pages[0].lines
            if abs(line["width"]) < 0.01 and abs(float(line["height"]) * MM - 2.8) < 0.01
        })  # fmt: skip
    holes = plan.joint.holes
    drawn = []
    for spot, hole in zip(card.field.rings, holes, strict=True):
        place = (spot.x + card.corner[0], spot.y + card.corner[1])
        nearest = min(round_ones, key=lambda ring: dist(ring[:2], place))
        assert nearest[2] == pytest.approx(bolt_diameter(hole.length) or 6.0, abs=0.05)
        drawn.append(nearest[:2])
    for a, b in combinations(range(len(holes)), 2):
        true = dist((holes[a].x_mm, holes[a].y_mm), (holes[b].x_mm, holes[b].y_mm))
        assert dist(drawn[a], drawn[b]) == pytest.approx(true, abs=0.05)
    assert [tick - ticks[0] for tick in ticks] == pytest.approx([0, 10, 20, 30, 40, 50], abs=0.05)


@pytest.mark.parametrize(
    ("words", "mm"),
    # ISO 261; 1/4 in; BS 93 0 BA and 2 BA, in mm
    [("M6x45", 6), ("M10x1.25x40", 10), ("1/4UNCx1", 6.35), ("2BA", 4.7), ("0BA", 6),
     ("M6 x 45 hex bolt, plain washer", 6), ("45", None), ("", None), ("?!", None)],
)  # fmt: skip
def test_the_circle_is_as_wide_as_the_thread(words: str, mm: float | None) -> None:
    assert bolt_diameter(words) == (None if mm is None else pytest.approx(mm, abs=0.01))


def test_a_cover_too_large_is_drawn_smaller_and_that_is_said_large(tmp_path: Path) -> None:
    plan = plan_joint(read_joint(CASE, "Crankcase"), 12)
    printed = write_hole_card(plan, tmp_path / "card.pdf", Heading(bag="B81-MA"))
    assert "drawn at 1:2: the page is too small for full size" in printed.warnings
    card = hole_card(plan, measure, Heading(bag="B81-MA"))
    [large] = [b for b in card.pages[0] if isinstance(b, Text) and b.text == "SCALE 1 : 2"]
    assert large.size >= 14
    assert {ring.width for ring in rings(card)} == {6.0}  # bolts go through all the same
    assert card.field.own_size


def test_a_sketch_says_that_it_is_not_to_scale() -> None:
    plan = plan_joint(read_joint(" ".join(f"{hour}=M6x45" for hour in range(1, 13))))
    card = hole_card(plan, measure, Heading())
    [large] = [b for b in card.pages[0] if isinstance(b, Text) and b.text == "NOT TO SCALE"]
    assert large.size >= 14
    assert (card.scale, card.field.own_size) == (0, True)


def test_what_the_card_says_and_its_code(tmp_path: Path) -> None:
    plan = plan_joint(read_joint("8 on 120 3=M6x45", "Cover"), 10)
    words = {1: "M6 x 45 hex bolt, plain washer"}
    path = tmp_path / "card.pdf"
    heading = Heading("Step 7.2: clutch cover", "Teasel 250", "B7K-3Q", "25 Nov 2026", words)
    printed = write_hole_card(plan, path, heading)
    assert printed.sheets == 1
    shown = said(path)
    for text in (
        "Step 7.2: clutch cover", "Teasel 250", "B7K-3Q", "25 Nov 2026", "10 N m",
        "hex bolt", "plain washer", "M6x45", "FULL SIZE 1 : 1", (
            "Dashed outline: not the true "
            "shape"
        ),
        "This bar is 50 mm long", "Print at 100 %, not “fit to page”", "up", "front",
        "The maker's order, torque and passes come first", "6 not said",
        "Where no thread is named the circle is 6 mm wide",
    ):  # fmt: skip
        assert text.replace(" ", "") in shown, text
    for turn, hole in enumerate(plan.order.holes, 1):
        assert f"{turn}:h{hole}" in shown
    for dpi in (203, 300):
        read = read_code(pictures(path, dpi)[0])
        assert read.split("\n") == ["B7K-3Q", "Teasel 250", "Step 7.2: clutch cover"]


def test_the_same_card_gives_the_same_bytes(tmp_path: Path) -> None:
    plan = plan_joint(read_joint(CASE), 10)
    for name in ("one.pdf", "two.pdf"):
        write_hole_card(plan, tmp_path / name, Heading(bag="B7K-3Q"))
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()


def test_holes_closer_than_their_bolts_are_named() -> None:
    plan = plan_joint(read_joint("0,0=M8 5,0=M8 60,0=M8"))
    card = hole_card(plan, measure, Heading())
    check(card)
    assert card.warnings[0].startswith("Holes 1 and 2 are closer than their bolts are thick")
    assert not card.field.own_size


def test_refusals(tmp_path: Path) -> None:
    plan = plan_joint(read_joint("8 on 120"))
    with pytest.raises(BadValue, match="no paper 'A3' for the sheets"):
        hole_card(plan, measure, Heading(), "A3")
    with pytest.raises(BadValue, match="81 characters"):
        hole_card(plan, measure, Heading(goes_in={1: "x" * 81}))
    with pytest.raises(PrintError, match="too long for a hole card"):
        hole_card(plan, measure, Heading(bag="B" * 40))
    with pytest.raises(PrintError, match="no folder"):
        write_hole_card(plan, tmp_path / "none" / "card.pdf", Heading())
