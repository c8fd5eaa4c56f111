"""Hardware as a person types it: the same size typed two ways is the same answer.

Expected designations are those of the standards named beside them; a number that a person reads off
a piece is taken as the trade takes it (nominal first, length last; common practice).
"""

import json
import shlex

import pytest
from conftest import Bench


def first(bench: Bench, typed: str) -> str:
    """Give the designation that the answer begins with."""
    data = bench.json("reckon", "hardware", *shlex.split(typed))
    return str(
        data[0]["designation"] if isinstance(data, list) else data["exact"][0]["designation"]
    )


@pytest.mark.parametrize(
    ("ways", "designation"),
    [
        # ISO 1234: the hole is the nominal size.
        (["split pin 3.2 32", "split pin 3.2x32", '"3.2 x 32 split pin"'], "ISO 1234 - 3.2 x 32"),
        (["split pin 1.6 16", "split pin 1.6x16", "cotter pin 1,6x16"], "ISO 1234 - 1.6 x 16"),
        (["split pin 5 50", "split pin 5mm x 50mm"], "ISO 1234 - 5 x 50"),
        # 2.7 is no hole of the list, but lies in the 2.7 to 2.9 of the 3.2 pin itself.
        (["split pin 2.7 40"], "ISO 1234 - 3.2 x 40"),
        (["split pin 3.2"], "ISO 1234 - 3.2"),
        (["dowel pin 6 20", "dowel 6x20", "parallel pin 6 x 20"], "ISO 2338 - 6 x 20"),
        (["parallel key 6 6 20", "key 6x6x20", "key 6 20"], "DIN 6885 - 6 x 6 x 20"),
        (["roll pin 4 20", "slotted spring pin 4x20"], "ISO 8752 - 4 x 20"),
        # DIN 6888: 3 wide, a disc of 13, 5 high.
        (["woodruff key 3 13", "woodruff key 3 5", "woodruff 3x5x13"], "DIN 6888 - 3 x 5"),
        # ASME B17.2: 404 is 4/32 wide and 4/8 across.
        (["woodruff 404", "woodruff key no 404", "woodruff key 1/8 1/2"], "Woodruff key 404"),
        (["hex bolt M8 40", "hex bolt M8x40", "hex bolt 8 40"], "ISO 4014/4017 M8 x 40"),
        (["washer 8", '"M8 washer"', "plain washer M8"], "ISO 7089 - 8"),
        (["bearing 20 47 14", "20x47x14 bearing", "bearing 20mm 47mm 14mm", "20 47 14"], "6204"),
        (["bearing 3/4 1 7/8 9/16", "bearing '3/4\" x 1-7/8\" x 9/16\"'"], "RLS6"),
        (["bearing 3/4 2 11/16"], "RMS6"),
        (["oil seal 20/35/7", "shaft seal 20 35 7", "seal 20-35-7"], "20 x 35 x 7"),
        (["steel ball 1/4", "1/4 ball", "ball ¼"], "ball 1/4 in"),
        (["needle bearing 20 26 16", "HK2016"], "HK2016"),
        (["roller bearing 20 47 14", "NU204"], "NU204"),
        (["external circlip 20", "circlip external 20", "external retaining ring 20"],
         "DIN 471 - 20 x 1.2"),
        (["internal circlip 20", "DIN 472 - 20"], "DIN 472 - 20 x 1"),
        (["E15", "magneto bearing 15 35 8"], "magneto bearing E15"),
        (["L17"], "magneto bearing L17"),
    ],
)  # fmt: skip
def test_the_same_size_typed_in_several_ways(
    bench: Bench, ways: list[str], designation: str
) -> None:
    assert {way: first(bench, way) for way in ways} == dict.fromkeys(ways, designation)


def test_penny_washer_by_its_sizes(bench: Bench) -> None:
    """DIN 9021 and ISO 7093-1 have 6.4 x 18 x 1.6 for M6."""
    data = bench.json("reckon", "hardware", "penny", "washer", "6.4", "18", "1.6")
    assert {"DIN 9021 6.4", "ISO 7093-1 - 6"} == {one["designation"] for one in data["exact"]}


def test_a_size_off_the_list_says_what_misses_in_each(bench: Bench) -> None:
    """ISO 1234 lists neither 3 nor a length of 30: 3.2 and 28 or 32 come nearest."""
    shown = bench("reckon", "hardware", "split", "pin", "3", "30")
    assert "None is just that size" in shown
    assert "ISO 1234 - 3.2 x 28" in shown
    assert "ISO 1234 - 3.2 x 32" in shown
    assert "hole -0.2 mm, length +2 mm" in shown


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("nut 17 af", "DIN 934 M10"),  # DIN 934: 17 across flats is M10
        ("bolt 13 a/f", "ISO 4014/4017 M8"),  # ISO 4014: 13 across flats is M8
        ("key shaft 20", "DIN 6885 - 6 x 6"),  # DIN 6885-1: over 17 up to 22 mm
        ("key for a 20 mm shaft", "DIN 6885 - 6 x 6"),
        ("6x6", "DIN 6885 - 6 x 6"),
        ("nut 1/4 BSF", "1/4 BSF nut  inch nut, Whitworth BS 1083: s 11.303, m 5.08"),  # 0.445 in
        ("5/16 BSF bolt", "5/16 BSF bolt  inch bolt head, Whitworth BS 1083: s 13.335"),  # 0.525 in
        ("washer 1/4", "1/4 in narrow washer"),
        ("chain 428", "chain 428"),
        ("hose clip 30", "hose clip 1 "),  # BS 5315 (memory): 25 to 35 mm
        ("blind rivet 3.2 x 8", "blind rivet 3.2 x 8"),
        ("bearing clearance 20", "clearance of a 20 mm bore"),
        ("bulb 6V 21W", "BA15s"),  # UNECE Regulation 37: P21W has the cap BA15s
        ("bulb 12V 21/5W", "BAY15d"),
    ],
)
def test_hardware_as_people_type_it(bench: Bench, typed: str, first: str) -> None:
    out = bench("reckon", "hardware", *typed.split())
    assert out.startswith(first)
    if typed.startswith("bulb 6V"):
        assert "order it by cap, 6 V and 21 W" in " ".join(out.split())


def test_a_whitworth_nut_says_what_stands_on_the_spanner(bench: Bench) -> None:
    """BS 1083: a 1/4 in hexagon takes the spanner marked 1/4 BS, which is 3/16 W of the old ones;
    before it the 1/4 W hexagon of 0.525 in was usual for BSW."""
    out = " ".join(bench("reckon", "hardware", "nut", "1/4", "BSW").split())
    assert "spanner 3/16 W / 1/4 BS" in out
    assert "1/4 W / 5/16 BS" in out
    assert "spanner 3/16 W / 1/4 BS" in " ".join(bench("reckon", "thread", "1/4 BSW").split())
    # BS 190, the large hexagon, is from memory; BS 1083 is Machinery's Handbook's.
    lines = " ".join(bench("reckon", "thread", "1/4 BSW").split())
    assert "spanner 1/4 W / 5/16 BS (from memory)" in lines
    assert "spanner 3/16 W / 1/4 BS (from" not in lines
    af = " ".join(bench("reckon", "hardware", "nut", "7/16", "af").split())
    assert "1/4 UNC/UNF nut" in af  # ASME B18.2.2: 7/16 across flats is 1/4
    assert "thread of a bolt 22 mm on one up to 125 mm long" in " ".join(
        bench("reckon", "thread", "M8").split()
    )


def test_each_clip_offered_says_that_it_is_from_memory(bench: Bench) -> None:
    lines = [
        line
        for line in bench("reckon", "hardware", "hose", "clip", "20").splitlines()
        if "mm" in line
    ]
    others = [line for line in lines if line.startswith("or ")]
    assert len(others) > 2
    assert all(line.endswith("(from memory)") for line in others)


def test_a_thread_says_how_high_its_nut_and_head_are(bench: Bench) -> None:
    """BS 1083 (memory): nut of 5/16 at most 0.250 in, head 0.218; ASME B18.2.2: nut 17/64 in."""
    bsf = " ".join(bench("reckon", "thread", "5/16 BSF").split())
    assert "height 6.35 mm: nut, Whitworth BS 1083 (from memory)" in bsf
    assert "height 5.54 mm: head of a bolt, Whitworth BS 1083 (from memory)" in bsf
    assert "height 6.75 mm: nut, Unified" in " ".join(bench("reckon", "thread", "5/16 UNF").split())
    assert "height" not in bench("reckon", "thread", "2BA")


def test_a_seal_off_the_list_is_asked_for_by_its_size(bench: Bench) -> None:
    """Makers sell more sizes than any list has; a seal for another shaft never stands in."""
    shown = " ".join(bench("reckon", "hardware", "shaft", "seal", "23.5", "36", "7").split())
    assert "Not in our list, which is not complete: ask for 23.5 x 36 x 7 by its size" in shown
    assert "just that size" not in shown
    assert "24 x 36 x 7" not in shown
    data = bench.json("reckon", "hardware", "shaft", "seal", "23.5", "36", "7")
    assert data["exact"] == data["nearest"] == []
    near = bench.json("reckon", "hardware", "shaft", "seal", "20", "61", "7")
    assert near["exact"] == []
    assert near["nearest"]
    assert {one["sizes"]["d1"] for one in near["nearest"]} == {20}


def test_a_width_a_quarter_off_is_not_exact(bench: Bench) -> None:
    """The width T of a 30204 is 15.25 with no minus tolerance (ISO 492, from memory)."""
    shown = bench("reckon", "hardware", "bearing", "20", "47", "15")
    assert "None is just that size" in shown
    assert "d fits, D fits, B -0.25 mm" in shown


@pytest.mark.parametrize(
    ("typed", "question", "meant"),
    [
        ("bearing 0.75 1.875 0.5625", "did you mean inches? 3/4 x 1 7/8 x 9/16 in", "RLS6"),
        ("steel ball 0.25", "did you mean inches?", "ball 1/4 in"),
        ("bearing 2 4.7 1.4", "did you mean cm?", "6204"),
        ("bearing 47 20 14", "did you mean 20 x 47 x 14", "6204"),
    ],
)
def test_another_unit_or_order_is_asked_about(
    bench: Bench, typed: str, question: str, meant: str
) -> None:
    shown = " ".join(bench("reckon", "hardware", *typed.split()).split())
    assert question in shown
    assert meant in shown
    assert "R1 " not in shown


def test_a_circlip_is_for_a_shaft_or_a_bore(bench: Bench) -> None:
    shown = bench("reckon", "hardware", "circlip", "20")
    assert "DIN 471 - 20 x 1.2  external circlip (retaining ring)" in shown
    assert "DIN 472 - 20 x 1  internal circlip (retaining ring)" in shown


def test_the_kinds_are_in_words(bench: Bench) -> None:
    shown = bench("reckon", "hardware")
    for words in (
        "external circlip (retaining ring)",
        "hole it goes in (the nominal size), length",
    ):
        assert words in shown
    assert "at least" not in shown


@pytest.mark.parametrize("typed", ["bearing 20 47 14", "6204-2RS C3", "bearing 20 47 15"])
def test_a_bearing_has_at_most_three_notes_on_the_screen(bench: Bench, typed: str) -> None:
    lines = bench("reckon", "hardware", *typed.split()).splitlines()
    notes = [line for line in lines if line.startswith("- ")]
    own = [line for line in lines if line.startswith("    ") and "measured" not in line]
    assert len(notes) <= 3
    assert any("more note" in line for line in lines)
    assert len(json.dumps(bench.json("reckon", "hardware", *typed.split()))) > sum(
        map(len, notes + own)
    )


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("bearng 20 47 14", "did you mean bearing?"),
        ("frog 20 30", "no kind of hardware called 'frog'"),
        ("bearing", "bore, outside diameter, width"),
        ("bearing 20 wide", "'wide' is not a size"),
        ("bearing -20 47 14", "more than zero"),
        ("bearing 20 47 14 5", "4 sizes for a bearing: give bore, outside diameter, width"),
        ("bearing 1/0 47 14", "not a size: 1/0"),
        ("dowel 6 20 5", "3 sizes for a dowel pin: give diameter, length"),
        ("split pin hole=3.2 32", "name every size or none"),
        ("split pin q=3.2", "has no size 'q'"),
    ],
)
def test_mistakes_are_answered_in_one_line(bench: Bench, typed: str, said: str) -> None:
    assert said in bench.refused("reckon", "hardware", *typed.split())


def test_sizes_can_be_named(bench: Bench) -> None:
    """DIN 471: the groove of a 20 mm shaft is 19 across and 1.3 wide."""
    assert first(bench, "external circlip d2=19 m=1.3") == "DIN 471 - 20 x 1.2"


@pytest.mark.parametrize(
    "words", ["tab washer 1/4", "sealing washer 1/4", "split pin 1/8 1", "circlip shaft 3/4"]
)
def test_no_metric_piece_is_the_one_for_inches(bench: Bench, words: str) -> None:
    """A split pin of 1/8 in is 3.175 mm: ISO 1234 has 3.2, which is near and not it."""
    out = bench("reckon", "hardware", *words.split())
    assert out.startswith("None is just that size")
    assert "measured beside it" in out
