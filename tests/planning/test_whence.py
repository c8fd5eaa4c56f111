"""From a measured piece to its joint."""

from dataclasses import replace

import pytest

from stores.handbook.fastener import parse
from stores.handbook.identify import TRADE, Measurement, identify
from stores.model.items import Description, Holding, Item, Step
from stores.model.ledger import Condition, PlaceKind
from stores.planning.whence import Candidate, Length, Whence, likeliest, whence


def joint(number: int, text: str, found: int = 4, wanted: int | None = None) -> Item:
    read = parse(text)
    thread = read.thread
    what = Description(
        text,
        read.kind.value,
        thread=thread.designation if thread else "",
        diameter_um=round((read.diameter_mm or 0) * 1000) or None,
        length_um=None if read.length_mm is None else round(read.length_mm * 1000),
        head=read.head,
    )
    step = Step(number, "Plover", "Engine", f"cover {number}")
    held = (Holding(found, f"A00{number}", PlaceKind.BAG, Condition.AS_REMOVED),) if found else ()
    return Item(
        number, 1, step, what, found, what, found if wanted is None else wanted, holdings=held
    )


def candidates(items: list[Item]) -> list[Candidate]:
    counts: dict[Description, int] = {}
    for item in items:
        for what in {item.as_found, item.as_specified}:
            counts[what] = counts.get(what, 0) + 1
    return [Candidate(at, what, count) for at, (what, count) in enumerate(counts.items())]


def ranked(
    items: list[Item], length: float | None = None, head: str = "", **measured: str
) -> Whence:
    return whence(
        identify(Measurement.read(**measured, head=head if "flats" in measured else ""), TRADE),  # type: ignore[arg-type]
        items,
        candidates(items),
        len(items),
        length=None if length is None else Length(length),
        head=head,
    )


BOLTS = [
    joint(1, "M6 x 25 hex bolt"),
    joint(2, "M6 x 40 hex bolt"),
    joint(3, "2BA x 1/2 cheese head screw"),
    joint(4, "1/4-26 cycle x 3/4 hex bolt"),
    joint(5, "M6 nut"),
    joint(6, "M6 spring washer"),
]


def test_probabilities_and_none_sum_to_one() -> None:
    found = ranked(BOLTS, outside="5.9", pitch="1.0")
    assert sum(each.probability for each in found.joints) + found.none_share == pytest.approx(1)


def test_length_tells_two_joints_of_one_thread_apart() -> None:
    assert ranked(BOLTS, 24.8, outside="5.9").joints[0].item.number == 1
    assert ranked(BOLTS, 39.7, outside="5.9").joints[0].item.number == 2


def test_a_length_of_no_joint_is_of_none() -> None:
    """ISO 4759-1 allows a 25 mm screw of grade B 1.05 mm either way: 33 mm is none of them."""
    found = ranked(BOLTS, 33.0, outside="5.9", pitch="1.0")
    assert found.none_share > 0.99


def test_washers_have_no_thread_and_nuts_an_inner_one() -> None:
    kinds = {each.item.number for each in ranked(BOLTS, outside="5.8", pitch="1.0").joints}
    assert kinds == {1, 2}
    assert [each.item.number for each in ranked(BOLTS, bore="5.0", pitch="1.0").joints] == [5]


def test_a_joint_that_misses_a_bolt_comes_before_one_that_does_not() -> None:
    items = [joint(1, "M6 x 25 hex bolt"), joint(2, "M6 x 25 hex bolt", 3, 4)]
    first, second = ranked(items, 25.0, outside="5.9").joints
    assert (first.item.number, first.missed) == (2, 1)
    assert first.probability == pytest.approx(5 * second.probability)


def test_the_head_tells_joints_apart() -> None:
    items = [joint(1, "M6 x 25 hex bolt"), joint(2, "M6 x 25 countersunk screw")]
    assert ranked(items, 25.0, "countersunk", outside="5.9").joints[0].item.number == 2
    assert ranked(items, 25.0, "hex", outside="5.9").joints[0].item.number == 1


def test_as_specified_counts_where_the_wrong_piece_was_found() -> None:
    wrong = joint(1, "M8 x 25 hex bolt")
    right = joint(1, "M6 x 25 hex bolt").as_specified
    found = ranked([replace(wrong, as_specified=right)], 25.0, outside="5.9", pitch="1.0")
    assert found.joints[0].probability > 0.9


def test_joints_that_are_not_listed_keep_their_share() -> None:
    items = [joint(number, "M6 x 25 hex bolt") for number in range(1, 11)]
    known = candidates(items)
    found = identify(Measurement.read(outside="5.9", pitch="1.0"))
    everything = whence(found, items, known, 10)
    for listed in (4, 0):
        some = whence(found, items[:listed], known, 10)
        assert all(
            one.probability == pytest.approx(everything.joints[0].probability)
            for one in some.joints
        )
        assert sum(each.probability for each in some.joints) + some.none_share == pytest.approx(1)


def test_the_likeliest_descriptions_come_first_however_many_others_there_are() -> None:
    items = [joint(n, "1/4-20 UNC x 1 hex bolt") for n in range(1, 31)]
    items += [joint(n, "1/4 BSF x 1 hex bolt") for n in range(31, 34)]
    found = identify(Measurement.read(outside="6.30", pitch="26 tpi"))
    best = likeliest(found, candidates(items), length=Length(25.3), head="hex")[0]
    assert best.what.text == "1/4 BSF x 1 hex bolt"


def test_a_wrong_piece_is_not_the_one_that_is_missed() -> None:
    """M10 bolts were found where 3/8 BSF belong: a loose M10 is not what is short there."""
    wrong = joint(1, "M10 x 60 bolt", 2)
    right = replace(wrong, as_specified=joint(1, "3/8 BSF x 2 bolt").as_specified)
    plain = joint(2, "M10 x 60 bolt", 2)
    first = ranked([right, plain], 60.0, outside="9.8", pitch="1.5")
    assert first.joints[0].probability == pytest.approx(first.joints[1].probability)
    assert {each.what for each in first.joints} == {"M10 x 60 bolt"}
    short = ranked([right, plain], 50.8, outside="9.45", pitch="20 tpi")
    assert (short.joints[0].item.number, short.joints[0].what) == (1, "3/8 BSF x 2 bolt")
    assert short.joints[0].missed


HEADS = [
    joint(1, "M6 x 25 hex bolt"),
    joint(2, "M6 x 25 stud"),
    joint(3, "M6 x 25 countersunk screw"),
    joint(4, "M6 x 25 hex flange bolt"),
]


def test_measured_flats_speak_against_heads_without_any() -> None:
    """Common practice: a spanner does not fit a countersunk screw or a stud."""
    share = {
        each.item.number: each.probability
        for each in ranked(HEADS, outside="5.9", flats="10").joints
    }
    assert share[1] == pytest.approx(share[4])
    assert share[2] < share[1] / 20
    assert share[3] < share[1] / 20


def test_a_flange_bolt_is_found_by_its_smaller_flats() -> None:
    """DIN 6921: M6 has 8 mm across flats (from memory)."""
    found = ranked(HEADS, None, "hex flange", outside="5.9", flats="8")
    assert found.joints[0].item.number == 4


def test_a_nut_can_be_said_instead_of_a_head() -> None:
    found = ranked(BOLTS, None, "nut", outside="5.9")
    assert [each.item.number for each in found.joints] == [5]


def test_a_head_of_another_kind_rules_a_joint_out() -> None:
    """Nobody takes a countersunk screw for a hexagon bolt."""
    only = [joint(1, "M6 x 16 countersunk screw")]
    found = ranked(only, 16.1, "hex", outside="5.9", pitch="1.0")
    assert found.none_share > 0.5
