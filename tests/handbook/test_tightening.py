"""The order of tightening: the published rows, and the rules for joints that have none."""

import csv
from itertools import pairwise
from math import cos, hypot, pi, sin
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stores.errors import BadValue
from stores.handbook.tightening.joint import (
    Form,
    Hole,
    Joint,
    cross_pattern,
    middle,
    neighbours,
    places_of,
)
from stores.handbook.tightening.order import Shape, makers_order, plan_joint, tightening_order
from stores.handbook.tightening.reading import read_joint

PUBLISHED = Path(__file__).resolve().parent.parent / "published"


def rows(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


PRINTED = [
    *((int(row["holes"]), row["order"].split()) for row in rows("bolt_tightening_orders")),
    *(
        (int(row["bolts"]), row["order_numbered_clockwise"].split("-"))
        for row in rows("torque_sequence")
    ),
]
"""Sources in the rows: ASME PCC-1-2010 table 4 (most from memory) and a flange torque guide."""


@pytest.mark.parametrize(("bolts", "order"), PRINTED, ids=lambda value: str(value)[:3])
def test_every_published_row_comes_out(bolts: int, order: list[str]) -> None:
    printed = tuple(map(int, order))
    assert cross_pattern(bolts) == printed
    typed = tightening_order(read_joint(f"{bolts} on 120 from 2:17"))
    assert (typed.holes, typed.shape) == (printed, Shape.CIRCLE)


def test_the_published_rows_are_all_there() -> None:
    assert sorted(bolts for bolts, _ in PRINTED) == [4, 8, 12, 16, 20, 24, 28, 32]


def test_forty_eight_bolts_go_in_groups_of_four() -> None:
    # The row grouping-48 of bolt_tightening_passes.csv: after bolts 1 to 4 the next is group 7.
    [rule] = [row["rule"] for row in rows("bolt_tightening_passes") if row["name"] == "grouping-48"]
    assert "after bolts 1 to 4 the next is group 7" in rule
    order = cross_pattern(48)
    assert order[:8] == (1, 2, 3, 4, 25, 26, 27, 28)
    assert [last // 4 for last in order[3::4]] == [int(each) for each in dict(PRINTED)[12]]


@pytest.mark.parametrize(
    ("bolts", "star"),
    [
        # Common practice of wheel nuts and small flanges.
        (3, (1, 2, 3)),
        (5, (1, 3, 5, 2, 4)),
        (6, (1, 4, 2, 5, 3, 6)),
    ],
)
def test_the_usual_stars(bolts: int, star: tuple[int, ...]) -> None:
    assert cross_pattern(bolts) == star


@pytest.mark.parametrize("bolts", range(3, 41))
def test_a_circle_of_any_number(bolts: int) -> None:
    order = cross_pattern(bolts)
    assert order[0] == 1
    assert sorted(order) == list(range(1, bolts + 1))
    if bolts >= 5:
        assert not any((one - other) % bolts in (1, bolts - 1) for one, other in pairwise(order))
    if bolts % 2 == 0:
        # Gasket supplier guidance: each bolt is followed by the one opposite.
        pairs = zip(order[::2], order[1::2], strict=True)
        assert all(abs(one - two) == bolts // 2 for one, two in pairs)
    if bolts % 4 == 0:
        # "12 and 6 o'clock; then the pair half-way (3 and 9)", the row passes-gasket-supplier.
        assert order[:4] == tuple(1 + at * bolts // 4 for at in (0, 2, 1, 3))


@pytest.mark.parametrize(
    ("bolts", "source"),
    [(4, "pcc-1"), (6, "halving"), (32, "pcc-1"), (36, "halving"), (48, "groups-of-four")],
)
def test_what_is_not_printed_does_not_claim_to_be(bolts: int, source: str) -> None:
    assert tightening_order(read_joint(f"{bolts} on 300")).source == source


@pytest.mark.parametrize("bolts", [1, 0, -4, 61])
def test_numbers_of_bolts_out_of_range(bolts: int) -> None:
    with pytest.raises(BadValue, match="expected 2 to 60"):
        cross_pattern(bolts)


@settings(deadline=None)
@given(
    bolts=st.integers(3, 40),
    turn=st.floats(0, 360),
    radius=st.floats(1, 2000),
    x=st.floats(-900, 900),
)
def test_a_circle_is_recognised_wherever_it_lies(
    bolts: int, turn: float, radius: float, x: float
) -> None:
    joint = placed([clock(360 * at / bolts + turn, radius, x, -x / 3) for at in range(bolts)])
    order = tightening_order(joint)
    assert (order.shape, order.holes) == (Shape.CIRCLE, cross_pattern(bolts))


@settings(deadline=None)
@given(bolts=st.integers(4, 24), seed=st.integers(0, 10**6))
def test_a_circle_measured_with_a_rule_is_still_one(bolts: int, seed: int) -> None:
    chance = Random(seed)
    places = [
        clock(360 / bolts * (at + chance.uniform(-0.08, 0.08)), 100 * chance.uniform(0.985, 1.015))
        for at in range(bolts)
    ]
    assert tightening_order(placed(places)).holes == cross_pattern(bolts)


def test_a_circle_typed_in_any_direction_goes_clockwise_from_hole_1() -> None:
    order = tightening_order(placed([clock(-45.0 * at, 50) for at in range(8)]))
    assert order.clockwise == (1, 8, 7, 6, 5, 4, 3, 2)
    assert order.holes == (1, 5, 7, 3, 8, 4, 6, 2)


def placed(places: list[tuple[float, float]], lengths: dict[int, str] | None = None) -> Joint:
    lengths = lengths or {}
    return Joint(tuple(Hole(at, x, y, lengths.get(at, "")) for at, (x, y) in enumerate(places, 1)))


def clock(degrees: float, radius: float, x: float = 0.0, y: float = 0.0) -> tuple[float, float]:
    turn = degrees * pi / 180
    return x + radius * sin(turn), y + radius * cos(turn)


def turned(joint: Joint, degrees: float, scale: float, x: float, y: float) -> Joint:
    c, s = scale * cos(degrees * pi / 180), scale * sin(degrees * pi / 180)
    return placed([(x + c * h.x_mm - s * h.y_mm, y + s * h.x_mm + c * h.y_mm) for h in joint.holes])


@st.composite
def covers(draw: st.DrawFn) -> Joint:
    """Any places: random ones have no ties."""
    chance = Random(draw(st.integers(0, 10**9)))
    count = draw(st.integers(2, 24))
    return placed([(chance.uniform(0, 300), chance.uniform(0, 180)) for _ in range(count)])


TEXTS = st.one_of(
    st.builds("{} in row at {}".format, st.integers(2, 20), st.integers(5, 80)),
    st.builds("2 x {} at {} x {}".format, st.integers(2, 8), *[st.integers(5, 90)] * 2),
    st.builds("{} x {} at 40 x 37".format, *[st.integers(3, 5)] * 2),
)
FORMS = st.one_of(covers(), TEXTS.map(read_joint))


@settings(deadline=None)
@given(joint=FORMS)
def test_every_hole_comes_once_and_is_loosened_in_reverse(joint: Joint) -> None:
    order = tightening_order(joint)
    assert sorted(order.holes) == list(range(1, len(joint.holes) + 1))
    assert order.loosening == tuple(reversed(order.holes))
    assert tightening_order(joint) == order


@settings(deadline=None)
@given(
    joint=FORMS,
    degrees=st.floats(0, 360),
    scale=st.floats(0.1, 9),
    x=st.floats(-500, 500),
    y=st.floats(-500, 500),
)
def test_the_order_does_not_hang_on_where_the_joint_lies_or_how_it_is_turned(
    joint: Joint, degrees: float, scale: float, x: float, y: float
) -> None:
    moved = turned(joint, degrees, scale, x, y)
    here, there = tightening_order(joint), tightening_order(moved)
    assert (there.holes, there.shape) == (here.holes, here.shape)


@settings(deadline=None)
@given(joint=FORMS)
def test_the_order_goes_by_place_not_by_length(joint: Joint) -> None:
    long = placed(
        [(hole.x_mm, hole.y_mm) for hole in joint.holes],
        {hole.number: f"M6x{90 - hole.number}" for hole in joint.holes},
    )
    assert tightening_order(long).holes == tightening_order(joint).holes


@pytest.mark.parametrize("count", range(2, 21))
def test_a_row_goes_from_the_middle_to_the_ends_in_turn(count: int) -> None:
    # Common practice: from the middle outwards, alternating sides.
    order = tightening_order(read_joint(f"{count} in row at 25"))
    assert order.shape is Shape.ROW
    off = [hole - (count + 1) / 2 for hole in order.holes]
    assert [abs(each) for each in off] == sorted(abs(each) for each in off)
    sides = [each > 0 for each in off if each]
    assert all(one != other for one, other in pairwise(sides))


@pytest.mark.parametrize("count", range(2, 13))
@pytest.mark.parametrize("apart", [15, 80, 300])
def test_two_rows_go_from_the_middle_to_the_ends_crosswise(count: int, apart: int) -> None:
    # Workshop manuals: "from the inside to the outside", "from middle and outwards", crisscross
    # (the row of torque_trade.csv on rectangular covers and cylinder heads).
    joint = read_joint(f"2 x {count} at {apart} x 45")
    order = tightening_order(joint)
    off = [(hole - 1) % count - (count - 1) / 2 for hole in order.holes]
    assert [abs(each) for each in off] == sorted(abs(each) for each in off)
    top = [hole <= count for hole in order.holes]
    start = 2 if count % 2 else 0
    if start:
        assert off[:2] == [0, 0]
    for at in range(start, 2 * count, 2):  # each is followed by the one diagonally opposite
        assert off[at] == -off[at + 1]
        assert top[at] != top[at + 1]
    along = [
        (one, other)
        for one, other in pairwise(order.holes)
        if abs(one - other) == 1 and (one <= count) == (other <= count)
    ]
    # The middle four of an even number lie square: both that are left are neighbours there.
    assert len(along) <= (count % 2 == 0 and apart < 45)


@settings(deadline=None)
@given(
    count=st.integers(2, 7),
    apart=st.integers(60, 120),
    data=st.data(),
)
def test_two_rows_go_crosswise_however_they_are_numbered(
    count: int, apart: int, data: st.DataObject
) -> None:
    cells = [(row, at) for row in (0, 1) for at in range(count)]
    numbered = data.draw(st.permutations(cells))
    order = tightening_order(placed([(at * 45.0, row * -apart) for row, at in numbered]))
    if count == 2:
        return  # four holes on a circle
    assert order.shape is Shape.TWO_ROWS
    done = [numbered[hole - 1] for hole in order.holes]
    off = [abs(at - (count - 1) / 2) for _, at in done]
    assert off == sorted(off)
    middle_column = {cell for cell in done if cell[1] == (count - 1) / 2}
    middle_four = set(done[:4]) if count % 2 == 0 else set()
    for one, other in pairwise(done):
        beside = abs(one[0] - other[0]) + abs(one[1] - other[1]) == 1
        # The middle column goes straight across; of the middle four the further one is taken,
        # and the rows are further apart than the columns here.
        assert not beside or {one, other} in (middle_column, {one, other} & middle_four)
        if beside:
            assert one[0] != other[0]


@pytest.mark.parametrize(
    "places",
    [
        "0,0 40,0 80,0 20,60 60,60 100,60",  # staggered
        "0,0 40,12 80,0 0,60 40,48 80,60",  # waisted
        "0,0 40,0 80,0 0,60 40,60",  # one missing
    ],
)
def test_what_does_not_face_each_other_is_not_two_rows(places: str) -> None:
    assert tightening_order(read_joint(places)).shape is not Shape.TWO_ROWS


@settings(deadline=None)
@given(
    half=st.integers(2, 6),
    seed=st.integers(0, 10**6),
    degrees=st.floats(0, 360),
    apart=st.floats(50, 90),
)
def test_two_rows_are_recognised_from_measured_places(
    half: int, seed: int, degrees: float, apart: float
) -> None:
    chance = Random(seed)
    places = [
        (at * 40 + chance.uniform(-1, 1), row * -apart + chance.uniform(-1, 1))
        for row in (0, 1)
        for at in range(half)
    ]
    order = tightening_order(turned(placed(places), degrees, 1, 0, 0))
    ideal = tightening_order(read_joint(f"2 x {half} at {apart:.3f} x 40"))
    if half > 2:
        assert (order.shape, order.holes) == (Shape.TWO_ROWS, ideal.holes)


@settings(deadline=None)
@given(minutes=st.sets(st.integers(0, 143), min_size=5, max_size=24))
def test_a_sketch_by_the_clock_never_goes_from_neighbour_to_neighbour(minutes: set[int]) -> None:
    hands = sorted(minutes)
    words = [f"{5 * m // 60 or 12}:{5 * m % 60:02}" for m in hands]
    order = tightening_order(read_joint(" ".join(words)))
    gaps = [(b - a) % 144 for a, b in pairwise([*hands, hands[0] + 144])]
    if max(gaps) >= 72:
        assert order.shape is not Shape.RING
        return
    assert order.clockwise == tuple(range(1, len(hands) + 1))
    assert not any((a - b) % len(hands) in (1, len(hands) - 1) for a, b in pairwise(order.holes))


def test_a_sketch_starts_with_opposite_pairs() -> None:
    # Gasket supplier guidance: 12 and 6 o'clock, then 3 and 9.
    order = tightening_order(read_joint("12 1 2 3 4 5 6 9"))
    assert order.shape is Shape.RING
    assert set(order.holes[:2]) == {1, 7}
    assert set(order.holes[2:4]) == {4, 8}


IRREGULAR = "0,0 60,-10 120,5 170,40 175,90 130,120 80,130 20,110 -15,60 80,60"


def test_an_irregular_cover_goes_from_its_middle_outwards() -> None:
    joint = read_joint(IRREGULAR)
    order = tightening_order(joint)
    assert order.shape is Shape.OTHER
    assert order.holes[0] == 10  # the one within the cover
    places = places_of(joint)
    centre = middle(places)
    for one, other in list(zip(order.holes[1::2], order.holes[2::2], strict=False)):
        ax, ay = (places[one][at] - centre[at] for at in (0, 1))
        bx, by = (places[other][at] - centre[at] for at in (0, 1))
        assert ax * bx + ay * by < 0, f"{one} and {other} lie on one side of the middle"
    near = neighbours(places)
    assert not any(other in near[one] for one, other in list(pairwise(order.holes))[1:])


@settings(deadline=None)
@given(joint=covers())
def test_an_irregular_cover_starts_in_the_middle(joint: Joint) -> None:
    order = tightening_order(joint)
    if order.shape is not Shape.OTHER:
        return
    places = places_of(joint)
    centre = middle(places)
    away = {hole: hypot(x - centre[0], y - centre[1]) for hole, (x, y) in places.items()}
    most = max(away.values())
    assert away[order.holes[0]] <= min(away.values()) + 0.02 * most
    half = len(order.holes) // 2
    inner = sum(away[hole] for hole in order.holes[:half]) / half
    outer = sum(away[hole] for hole in order.holes[-half:]) / half
    assert inner <= outer + 0.02 * most


def test_neighbours_seldom_follow_one_another_on_any_cover() -> None:
    # 600 covers of 8 to 24 holes thrown at random. The first step may lead to a neighbour: the
    # two nearest the middle often are.
    chance = Random(7)
    steps = faults = 0
    for _ in range(600):
        count = chance.randint(8, 24)
        joint = placed([(chance.uniform(0, 300), chance.uniform(0, 200)) for _ in range(count)])
        near = neighbours(places_of(joint))
        holes = tightening_order(joint).holes
        steps += count - 2
        faults += sum(other in near[one] for one, other in pairwise(holes[1:]))
    assert faults <= 0.02 * steps


def test_neighbours_are_those_with_nothing_between() -> None:
    square = places_of(read_joint("0,0 10,0 10,10 0,10"))
    assert neighbours(square) == {
        1: frozenset((2, 4)), 2: frozenset((1, 3)), 3: frozenset((2, 4)), 4: frozenset((1, 3)),
    }  # fmt: skip


def test_the_middle_is_that_of_the_cover_not_of_a_cluster() -> None:
    crowded = places_of(read_joint("0,0 100,0 100,60 0,60 2,2 4,2 2,4"))
    assert middle(crowded) == pytest.approx((50, 30))
    assert middle(places_of(read_joint("3 in row at 10"))) == pytest.approx((10, 0))


def test_the_middle_is_the_centroid_of_any_handbook() -> None:
    # Triangle: a third of the height. Trapezium, parallel sides a above b: h/3 (2a + b)/(a + b).
    triangle = places_of(read_joint("0,0 90,0 0,60"))
    assert middle(triangle) == pytest.approx((30, 20))
    trapezium = places_of(read_joint("107,-3 7,-3 87,27 27,27"))
    assert middle(trapezium) == pytest.approx((57, -3 + 30 / 3 * (2 * 60 + 100) / (60 + 100)))


def test_the_makers_own_order_wins() -> None:
    plan = plan_joint(read_joint("4 on 50"), 10, maker_order="3 1 4 2")
    assert plan.order.holes == (3, 1, 4, 2)
    assert plan.loosening == (2, 4, 1, 3)
    assert plan.order.shape is Shape.MAKER
    assert plan.sources[0] == "makers-order"
    assert plan.turn_of(4) == 3
    with pytest.raises(BadValue, match="every hole once"):
        makers_order(read_joint("4 on 50"), (1, 2, 3))


@pytest.mark.parametrize(
    ("holes", "message"),
    [
        ((Hole(1, 0, 0),), "a joint of 1 holes: expected 2 to 60"),
        (tuple(Hole(at, at, 0) for at in range(1, 62)), "a joint of 61 holes"),
        ((Hole(1, 0, 0), Hole(3, 1, 0)), "expected 1 to 2, each once"),
        ((Hole(1, 0, 0), Hole(1, 1, 0)), "expected 1 to 2, each once"),
        ((Hole(1, 0, 0), Hole(2, float("nan"), 0)), "hole 2 at nan,0 mm"),
        ((Hole(1, 0, 0), Hole(2, 1e9, 0)), "hole 2 at 1e\\+09,0 mm"),
        ((Hole(1, 5, 5), Hole(2, 0, 5), Hole(3, 5, 5)), "holes 1 and 3 are at one place"),
    ],
)
def test_what_is_no_joint_is_refused(holes: tuple[Hole, ...], message: str) -> None:
    with pytest.raises(BadValue, match=message):
        Joint(holes)


def test_holes_may_be_given_in_any_order() -> None:
    joint = Joint((Hole(2, 0, 0), Hole(3, 10, 0), Hole(1, -10, 0, "M6")), form=Form.PLACES)
    assert list(joint.by_number) == [1, 2, 3]
    assert tightening_order(joint).holes == (2, 1, 3)
    assert joint.with_lengths
