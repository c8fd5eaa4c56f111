"""Hexagons and washers of inch and BA threads, chains, clips, rivets, clearances: against physics.

Published figures: tests/published/hardware_inch_hexagons.csv and hardware_toothed_washers.csv, each
row with its source. What is from memory has no published row; it must at least be a part that can
exist: flats wider than the thread, heights that rise, holes that clear.
"""

import csv
from collections import defaultdict
from itertools import pairwise
from pathlib import Path

import pytest

from stores.errors import BadValue, NotationError, NotFound
from stores.handbook.hardware.bearings import clearance_um
from stores.handbook.hardware.catalogue import get_kind
from stores.handbook.hardware.hexagons import rows as hexagons
from stores.handbook.hardware.inch_washers import of_inch, screw_outside_mm, with_inch
from stores.handbook.hardware.reading import ask, find
from stores.handbook.table import table
from stores.handbook.thread import get

PUBLISHED = Path(__file__).parents[1] / "published"


def read(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / f"hardware_{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def half_digit(text: str) -> float:
    return 0.5 * 10 ** -len(text.partition(".")[2]) + 1e-9


# Published rows.


def test_published_inch_hexagons() -> None:
    """Flats and heights to half the last printed digit, or said to disagree and really so."""
    ours = {
        (row["part"], row["thread"], row["flats_of"]): row
        for row in table("hardware_inch_hexagons")
        if row["system"] == "Unified"
    }
    flats = {(row["thread"], row["part"]): row["af_in"] for row in table("across_flats")
             if row["system"] == "Unified"}  # fmt: skip
    heads = {
        "nut": "hexagon nut",
        "thin nut": "hexagon nut",
        "machine-screw nut": "machine-screw nut",
    }
    disagree = 0
    for row in read("inch_hexagons"):
        of = heads.get(row["part"], "hexagon head")
        own = float(ours[row["part"], row["thread"], of]["height_in"])
        if row["disagrees"]:
            disagree += 1
            assert abs(own - float(row["height_in"])) > half_digit(row["height_in"]), row
        else:
            assert abs(own - float(row["height_in"])) <= half_digit(row["height_in"]), row
        if row["across_flats_in"]:
            own = float(flats[row["thread"], of])
            assert abs(own - float(row["across_flats_in"])) <= half_digit(row["across_flats_in"])
    assert disagree == 4  # 1 1/8, 1 1/4 (once of two), 1 3/8 and 1 1/2 of one list


def test_published_toothed_washers() -> None:
    metric = {row["for_thread"]: row for row in table("hardware_toothed_washers")}
    inch = {row["for_thread"]: row for row in table("hardware_toothed_washers_inch")}
    for row in read("toothed_washers"):
        unit = row["unit"]
        own = (metric if unit == "mm" else inch)[row["for_thread"]]
        for column, size in (("d1", "d1_min"), ("d2", "d2_max"), ("thickness", "thickness")):
            assert abs(float(own[f"{size}_{unit}"]) - float(row[column])) <= half_digit(row[column])


def test_published_rows_are_answered_through_the_front_door() -> None:
    """Silent at most 3 %, wrong none: every published row is asked for as it would be typed."""
    silent, asked = [], 0
    for row in read("inch_hexagons"):
        if row["disagrees"]:
            continue
        part = {"plain bolt": "bolt"}.get(row["part"], row["part"].replace("machine-screw ", ""))
        series = "UNC"
        if row["thread"].startswith("#"):
            series = {"#0": "UNF"}.get(row["thread"], "UNC")
        asked += 1
        size = "1-8" if row["thread"] == "1" else row["thread"]
        found = [
            one
            for one in ask(f"{part} {size} {series}").pieces
            if one.designation.endswith(row["part"])
        ]
        if not found:
            silent.append(row)
            continue
        letter = "k" if "bolt" in row["part"] else "m"
        assert found[0].sizes[letter] == pytest.approx(25.4 * float(row["height_in"]), abs=0.0075)
    for row in read("toothed_washers"):
        asked += 1
        found = list(ask(f"toothed washer {row['for_thread']}").matches)
        exact = [one for match in found for one in match.exact] or list(
            ask(f"toothed washer {row['for_thread']}").pieces
        )
        if not exact:
            silent.append(row)
            continue
        unit = 25.4 if row["unit"] == "in" else 1.0
        assert exact[0].sizes["d2"] == pytest.approx(unit * float(row["d2"]), abs=0.0075)
    assert asked > 80
    assert len(silent) <= 0.03 * asked, silent


# Physics of the rows.


@pytest.mark.parametrize("kind", ["inch nut", "inch bolt head"])
def test_hexagons_are_wider_than_their_thread(kind: str) -> None:
    for row in hexagons(kind):
        d, s = float(row["d_mm"]), float(row["s_mm"])
        # Number threads have small hexagons, 3/16 in on a #5 (ASME B18.6.3).
        assert 1.3 * d < s < 3 * d, row["thread"]
        if row["m_mm"]:
            low, high = 0.25 * d, 1.0 * d
            assert low < float(row["m_mm"]) <= high, row["thread"]
        if row["m_min_mm"]:
            assert float(row["m_min_mm"]) <= float(row["m_mm"]) <= float(row["m_max_mm"])
            assert float(row["m_max_mm"]) - float(row["m_min_mm"]) < 0.25 * float(row["m_mm"])


@pytest.mark.parametrize("kind", ["inch nut", "inch bolt head"])
def test_hexagons_rise_with_the_thread(kind: str) -> None:
    runs = defaultdict(list)
    for row in hexagons(kind):
        runs[row["standard"], row["part"], row["series"]].append(row)
    for run in runs.values():
        ordered = sorted(run, key=lambda row: float(row["d_mm"]))
        for before, after in pairwise(ordered):
            for column in ("s_mm", "m_mm"):
                if before[column] and after[column]:
                    assert float(before[column]) <= float(after[column]), (after["thread"], column)


def test_a_thin_nut_is_thinner_and_two_thirds_of_a_british_one() -> None:
    """BS 1083 thin nuts from 9/16 in up are two thirds of the nut (from memory)."""
    full = {}
    for row in table("hardware_inch_hexagons"):
        if row["part"] == "nut":
            full[row["system"], row["thread"]] = float(row["height_in"])
    thin = [row for row in table("hardware_inch_hexagons") if row["part"] == "thin nut"]
    assert len(thin) > 15
    for row in thin:
        share = float(row["height_in"]) / full[row["system"], row["thread"]]
        assert 0.5 < share < 0.8
        if row["system"].startswith("Whitworth") and row["thread"] != "1/2":
            assert share == pytest.approx(2 / 3, abs=0.002)


def test_british_heights_follow_their_construction() -> None:
    """A BS 1083 nut is as high as the next smaller Whitworth thread is thick; a head 2/3 d.

    That is why its flats are those of the next smaller old spanner: 1/4 W on 5/16. (memory)
    """
    sizes = [0.25, 0.3125, 0.375, 0.4375, 0.5, 0.5625, 0.625, 0.6875, 0.75, 0.875, 1.0]
    below = dict(zip(sizes[1:], sizes, strict=False))
    checked = 0
    for row in table("hardware_inch_hexagons"):
        if not row["system"].startswith("Whitworth"):
            continue
        d = screw_outside_mm(row["thread"]) / 25.4
        if row["part"] == "nut" and d in below:
            assert float(row["height_in"]) == pytest.approx(below[d], abs=0.0011)
            checked += 1
        if row["part"] == "bolt":
            assert float(row["height_min_in"]) - 1e-9 <= 2 / 3 * d + 0.001
            assert 2 / 3 * d <= float(row["height_max_in"]) + 0.001
            checked += 1
    assert checked == 17  # heads of ten sizes; nuts of those with a size below: 5/16 to 1, no 1 1/8


def test_unified_heights_follow_their_construction() -> None:
    """ASME B18.2.2: a nut is 7/8 d less 1/64 from 3/4 in up, to a 64th; a head about 5/8 d."""
    for row in table("hardware_inch_hexagons"):
        if row["system"] != "Unified" or row["thread"].startswith("#"):
            continue
        d, high = screw_outside_mm(row["thread"]) / 25.4, float(row["height_in"])
        assert high * 64 == int(high * 64)
        if row["part"] == "nut":
            assert 7 / 8 * d - 1 / 32 - 1e-9 <= high <= 7 / 8 * d + 1e-9
        if row["part"] == "bolt":
            assert high == pytest.approx(0.625 * d, abs=0.04)


def test_inch_washers_clear_their_thread_and_rise() -> None:
    runs = defaultdict(list)
    for name in ("plain", "spring", "toothed"):
        for row in with_inch(f"hardware_{name}_washers"):
            if not of_inch(row):
                continue
            thread, hole, outside = (
                float(row[column]) for column in ("thread_mm", "d1_min_mm", "d2_max_mm")
            )
            assert thread < hole < 1.2 * thread + 0.8, row["for_thread"]
            assert 1.4 * hole < outside < 4 * thread
            runs[row["standard"]].append((thread, hole, outside))
    assert len(runs) == 4
    for run in runs.values():
        for (thread1, hole1, out1), (thread2, hole2, out2) in pairwise(sorted(run)):
            assert thread1 < thread2
            assert hole1 < hole2
            assert out1 < out2


def test_inch_spring_washers_are_a_hole_and_two_sections() -> None:
    for row in table("hardware_spring_washers_inch"):
        b, s = float(row["section_width_b_in"]), float(row["section_height_s_in"])
        spread = float(row["d2_max_in"]) - float(row["d1_min_in"]) - 2 * b
        assert 0 < spread < 0.07
        assert s < b


def test_wide_washers_are_wider_than_narrow_ones() -> None:
    outside = defaultdict(dict)
    for row in table("hardware_plain_washers_inch"):
        outside[row["for_thread"]][row["standard"].rpartition(" ")[2]] = float(row["d2_max_in"])
    both = [sizes for sizes in outside.values() if len(sizes) == 2]
    assert len(both) > 6
    assert all(sizes["wide"] > sizes["narrow"] for sizes in both)


def test_toothed_washers_clear_and_are_no_spring_washers() -> None:
    for row in table("hardware_toothed_washers"):
        d = float(row["for_thread"].removeprefix("M"))
        assert d < float(row["d1_min_mm"]) <= 1.1 * d + 0.1
        assert 0.05 * d < float(row["thickness_mm"]) < 0.2 * d
        assert (
            1.3 * float(row["d1_min_mm"]) < float(row["d2_max_mm"]) < 2.3 * float(row["d1_min_mm"])
        )


def test_chains_hold_together() -> None:
    """Rollers clear their neighbours, pins their rollers; the number gives pitch and width."""
    for row in table("hardware_chains"):
        p, roller, width = (
            float(row[column])
            for column in ("pitch_mm", "roller_d1_max_mm", "inner_width_b1_min_mm")
        )
        assert 0.55 * p < roller < 0.72 * p
        assert 0.25 * p < width < 0.75 * p
        if row["pin_d2_max_mm"]:
            assert 0.4 * roller < float(row["pin_d2_max_mm"]) < 0.6 * roller
        number = row["number"]
        if row["standard"] == "ISO 10190":
            # The first figure is the pitch in eighths of an inch; 20, 25, 30 the width in
            # eightieths of an inch, a little less between the plates.
            assert p == pytest.approx(int(number[0]) * 25.4 / 8)
            if number[1:] in ("20", "25", "30"):
                assert width == pytest.approx(int(number[1:]) * 25.4 / 80, abs=0.15)
        elif number[:2] not in ("05",) and number[2:] in ("A", "B"):
            # ISO 606: the figures are the pitch in sixteenths of an inch.
            assert p == pytest.approx(int(number[:2]) * 25.4 / 16)


def test_hose_clips_leave_no_gap_in_their_series() -> None:
    runs = defaultdict(list)
    for row in table("hardware_hose_clips"):
        runs[row["standard"]].append((float(row["from_mm"]), float(row["to_mm"])))
    for run in runs.values():
        assert run == sorted(run)
        for (_, end), (start, _) in pairwise(run):
            assert start <= end + 1.0
        assert all(1.15 < high / low < 1.7 for low, high in run)


def test_rivets_go_through_their_hole() -> None:
    for row in table("hardware_blind_rivets"):
        body, hole = float(row["body_mm"]), float(row["hole_mm"])
        assert hole == pytest.approx(body + 0.1)
        assert 1.9 * body < float(row["head_dia_max_mm"]) < 2.3 * body
        if row["inch"]:
            assert body == pytest.approx(screw_outside_mm(row["inch"]), abs=0.06)


# What is typed.


@pytest.mark.parametrize(
    ("text", "designation", "spanner"),
    [
        ("nut 1/4 BSF", "1/4 BSF nut", "3/16 W / 1/4 BS"),
        ("5/16 bsf bolt", "5/16 BSF bolt", "1/4 W / 5/16 BS"),
        ("nut 7/16 UNF", "7/16 UNF nut", "11/16 in"),
        ("2BA nut", "2BA nut", "2 BA"),
    ],
)
def test_a_hexagon_by_its_thread_has_its_spanner(text: str, designation: str, spanner: str) -> None:
    first = ask(text).pieces[0]
    assert first.designation == designation
    assert first.notes[0].startswith(f"spanner {spanner},")


def test_an_inch_or_number_one_is_asked_about() -> None:
    with pytest.raises(NotationError, match="1-8 UNC, #1-64 UNC"):
        ask("nut 1 UNC")


def test_a_size_alone_is_answered_for_every_series() -> None:
    """1/4: BS 1083 0.445 in and the large 0.525, unified 7/16 in across flats."""
    flats = {one.sizes["s"] for one in ask("nut 1/4").pieces}
    assert flats == {11.303, 13.335, 11.112}
    assert ask("nut 8").matches[0].exact[0].sizes["s"] == 8  # bare figures are millimetres


@pytest.mark.parametrize(
    ("text", "designation"),
    [
        ("1/4 BSF x 1 bolt", "1/4 BSF x 1 bolt"),
        ("bolt 5/16 UNF x 1 1/2", "5/16 UNF x 1 1/2 bolt"),
        ("bolt head 3/8 BSF", "3/8 BSF bolt"),
        ("stud 1/4 BSF x 2", "1/4 BSF nut"),  # a stud has no head
    ],
)
def test_a_length_behind_the_thread_is_kept(text: str, designation: str) -> None:
    assert ask(text).pieces[0].designation == designation


def test_british_nuts_are_told_in_both_hexagons() -> None:
    """BSW had the larger hexagon before BS 1083 (1/4 W on 1/4): neither is taken silently."""
    found = {one.standard: one.sizes["s"] for one in ask("nut 1/4 BSW").pieces}
    assert found == {
        "Whitworth large (before BS 1083)": pytest.approx(0.525 * 25.4, abs=0.01),
        "Whitworth BS 1083": pytest.approx(0.445 * 25.4, abs=0.01),
    }


def test_a_height_that_we_do_not_know_is_not_made_up() -> None:
    assert "m" not in ask("2BA nut").pieces[0].sizes
    assert any("not in our list" in note for note in ask("2BA nut").pieces[0].notes)
    with pytest.raises(NotFound, match="height is not in our list"):
        ask("thin nut 1/4 BSF")


def test_a_calliper_reading_finds_inch_and_metric() -> None:
    """17.4 across the flats: 11/16 in is 17.4625 mm, DIN had 17 for M10 (ISO 272 notes)."""
    inch = [one.designation for match in ask("nut 17.4").matches for one in match.exact]
    assert any(name.startswith("7/16 UNC/UNF") for name in inch)
    both = ask("nut 17 af").matches
    assert {match.kind for match in both} == {"hex nut", "inch nut"}
    assert [match.kind for match in ask("nut M8").matches] in ([], ["hex nut"])
    assert [match.kind for match in ask("nut 13 6.5").matches] == ["hex nut"]


@pytest.mark.parametrize(
    ("text", "designation"),
    [
        ("washer 5/16 BSF", "5/16 in narrow washer"),
        ("1/4 UNF spring washer", "1/4 in spring washer"),
        ("washer #10", "#10 narrow washer"),
        ("spring washer 3/8", "3/8 in spring washer"),
        ("toothed washer M8", "DIN 6797 8"),
    ],
)
def test_washers_by_the_thread(text: str, designation: str) -> None:
    assert ask(text).matches[0].exact[0].designation == designation


def test_no_washer_of_another_thread_stands_in_for_a_ba_one() -> None:
    found = ask("2BA washer").matches[0]
    assert not found.exact
    assert found.asked["thread"] == get("2BA").major_mm


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("chain 428", ["chain 428"]),
        ("timing chain 3/8", ["chain 06B"]),
        ("08B chain", ["chain 08B"]),
        ("chain 5/8 x 1/4", ["chain 520"]),
        ("chain 12.7 8.5 7.8", ["chain 08B", "chain 428"]),
        ("chain 15.875 10.16 9.65", ["chain 10B"]),
    ],
)
def test_chains(text: str, numbers: list[str]) -> None:
    reply = ask(text)
    found = [one.designation for one in reply.pieces]
    found += [one.designation for match in reply.matches for one in match.exact]
    assert set(numbers) <= set(found)


def test_a_worn_chain_is_two_percent_longer() -> None:
    """20 pitches of 1/2 in are 254 mm; 2 % more is 259.08. (common practice, no source)"""
    notes = ask("chain 428").pieces[0].notes
    assert any("254.0 mm new; at 259.1" in note and "common practice" in note for note in notes)


def test_the_clip_offered_first_has_the_hose_in_the_middle_of_its_range() -> None:
    found = find(get_kind("hose clip"), [30.0])
    first, *others = found.exact
    assert (first.sizes["D_min"] + first.sizes["D"]) / 2 == pytest.approx(30, abs=1)
    assert others
    for one in found.exact:
        assert one.sizes["D_min"] <= 30.05
        assert one.sizes["D"] >= 29.95
    assert not find(get_kind("hose clip"), [500.0]).exact
    assert ask("hose clip 1/2").matches[0].exact[0].designation == "hose clip 10-16"


def test_rivets_by_body_and_length() -> None:
    rivet = ask("blind rivet 3.2 x 8").pieces[0]
    assert rivet.sizes["hole"] == 3.3
    assert rivet.notes[0].startswith("clamps about 3.2 mm")  # 8 - 1.5 x 3.2
    assert ask("blind rivet 1/8").matches[0].exact[0].sizes["d"] == 3.2
    with pytest.raises(BadValue, match="nothing left to clamp"):
        ask("blind rivet 4.8 x 6")
    with pytest.raises(NotFound, match="no blind rivet of 7 mm"):
        ask("blind rivet 7 x 20")


def test_clearance_groups_of_a_bore() -> None:
    """NSK E1102 Table 9.9, over 18 up to 24 mm: C2 0-10, CN 5-20, C3 13-28, C4 20-36, C5 28-48."""
    ball, roller = ask("bearing clearance 20").pieces
    assert "C2 0 to 10, CN 5 to 20, C3 13 to 28, C4 20 to 36, C5 28 to 48" in ball.notes[0]
    assert "from memory" in roller.notes[0]
    assert "C3 35 to 60" in roller.notes[1]  # ISO 5753-1, from memory
    assert ask("C3 20").pieces[0].notes[0].startswith("C3 13 to 28 micrometres")
    assert ask("clearance 20 C3").pieces[0].notes == ask("C3 20").pieces[0].notes
    assert len(ask("roller clearance 25").pieces) == 1
    with pytest.raises(NotFound, match="no clearance listed"):
        ask("C3 500")


def test_roller_clearance_is_more_than_that_of_a_ball() -> None:
    for bore in (15, 20, 25, 35, 45, 60):
        for group in ("CN", "C3"):
            ball = clearance_um(bore, group)
            roller = clearance_um(bore, group, roller=True)
            assert ball
            assert roller
            assert roller[0] > ball[0]
            assert roller[1] > ball[1]


@pytest.mark.parametrize("text", ["gudgeon pin circlip 20", "piston pin wire clip 15"])
def test_a_gudgeon_pins_clip_is_ordered_by_pin_and_wire(text: str) -> None:
    with pytest.raises(NotFound, match="pin's diameter and the wire's thickness"):
        ask(text)


def test_fibre_washers_are_sealing_washers() -> None:
    found = ask("fibre washer 10 14").matches[0]
    assert found.kind == "sealing washer"
    assert any("fibre" in note for note in found.notes)
    assert get_kind("fibre washer").name == "sealing washer"


# A thread described, a thread alone, and screws that no spanner turns.


@pytest.mark.parametrize(
    ("text", "threads"),
    [
        ("1/4 x 20 bolt", ("1/4 BSW", "1/4-20 UNC")), ("nut 3/8 x 16", ("3/8 BSW", "3/8-16 UNC")),
        ("1/4 x 26 nut", ("1/4 BSF", "1/4-26 cycle")),
        ("5/16 x 18 x 1 bolt", ("5/16 BSW", "5/16-18 UNC")),
    ],
)  # fmt: skip
def test_a_size_and_pitch_of_two_threads_is_asked_as_of_a_thread(
    text: str, threads: tuple[str, str]
) -> None:
    """Threads per inch: BS 84, ASME B1.1 and the cycle standard, as in tests/published."""
    with pytest.raises(NotationError, match="say which") as refused:
        ask(text)
    assert all(name in str(refused.value) for name in threads)


def test_a_figure_that_no_thread_has_is_a_length_still() -> None:
    assert all(" x 1 " in piece.designation for piece in ask("1/4 x 1 bolt").pieces)
    assert {piece.designation for piece in ask("1/4 x 28 x 1 bolt").pieces} == {"1/4 UNF bolt"}


@pytest.mark.parametrize("name", ["1/4 BSW", "1/4 BSF", "5/16 UNF", "4BA", "5/16 cycle"])
def test_a_thread_alone_gives_the_head_and_the_nut(name: str) -> None:
    both = [*ask(f"{name} bolt").pieces, *ask(f"{name} nut").pieces]
    assert both
    assert list(ask(name).pieces) == both
    assert {piece.kind for piece in both} == {"inch nut", "inch bolt head"}


def test_a_slotted_screw_has_its_thread_and_no_spanner() -> None:
    """Outside diameters of BA screws: BS 93, tests/published/threads_ba.csv."""
    with (PUBLISHED / "threads_ba.csv").open(encoding="utf-8", newline="") as file:
        sizes = {row["designation"]: float(row["d_mm"]) for row in csv.DictReader(file)}
    assert len(sizes) > 10
    for name, major in sizes.items():
        for head in ("cheese head", "countersunk", "round head"):
            (piece,) = ask(f"{name} {head} screw").pieces
            assert piece.sizes["d"] == pytest.approx(major, abs=0.0051)
            assert any("no spanner" in note for note in piece.notes)
            assert name.replace(" ", "") in piece.designation
    assert ask("1/4 BSF x 3/4 cheese head screw").pieces[0].sizes["d"] == pytest.approx(6.35)
