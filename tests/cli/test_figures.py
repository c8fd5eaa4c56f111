"""A machine's figures: torques, sumps and readings, from the command line to paper."""

import csv
from pathlib import Path

import pytest
from conftest import Bench, kept


@kept
def stripped(bench: Bench) -> Bench:
    """A bench with a cover, a brake arm and an unmarked inch bolt off."""
    bench("strip", "Engine/Clutch", "clutch cover", "4 M6x25 hex 8.8", "1 gasket")
    bench("strip", "Brakes", "brake arm", "1 M8x30 hex 8.8")
    bench("strip", "Engine", "side cover", "5 1/4 BSF x 3/4 bolt", "2 M6 nut", "1 washer M6")
    return bench


def test_the_makers_torque_stands_on_the_checklist(stripped: Bench) -> None:
    said = stripped("figure", "torque", "1", "9 N m", "oiled", "--from", "book p. 41")
    assert "1.2  M6 x 25 hex 8.8: maker's torque 9 N m, oiled" in said
    out = stripped("rebuild")
    assert "torque 9 N m, maker's figure, oiled (book p. 41)" in out
    lines = {
        line["item"]: line["torque"]
        for stage in stripped.json("rebuild")
        for line in stage["lines"]
    }
    assert lines["1.2"]["maker"]["low_nm"] == 9
    assert lines["1.1"] is None
    assert lines["3.4"] is None  # a washer is not tightened


def test_a_figure_in_other_units_stands_as_the_book_has_it(stripped: Bench) -> None:
    said = stripped("figure", "torque", "1.2", "7 lbf ft", "dry")
    assert "maker's torque 9.49 N m (7 lbf ft), dry" in said
    assert "torque 9.49 N m, maker's figure, 7 lbf ft, dry" in stripped("rebuild")


def test_without_the_makers_torque_the_general_one_says_so(stripped: Bench) -> None:
    out = " ".join(stripped("rebuild").split())
    assert "torque: no maker's figure; class 8.8 in steel: set 7.6 N m, or 10 if oiled, 12" in out
    assert "no maker's figure; unmarked, treated as class 4.6 in steel: set" in out
    assert "less into soft metal" in out


SPECIAL = (
    "spark plug M14",
    "banjo bolt M10x1",
    "big end bolt M7x45 10.9",
    "stretch bolt M10x80 12.9",
    "main jet M6",
    "pressure switch M10",
    "M6x12 hex bolt 8.8 nylon",
)


@pytest.mark.parametrize("what", SPECIAL)
def test_what_is_no_plain_steel_bolt_gets_no_general_torque(bench: Bench, what: str) -> None:
    """Hollow, soft, stretched, or of a rule of its own: the maker's figure only."""
    bench("strip", "Engine", "part", f"1 {what}")
    lines = [line for stage in bench.json("rebuild") for line in stage["lines"]]
    assert all(not (line["torque"] or {}).get("computed") for line in lines)


@pytest.mark.parametrize(
    ("assembly", "part"),
    [("Chassis", "front hub"), ("Frame", "swing arm"), ("Frame", "footbrake pedal"),
     ("Hoist", "lifting bracket"), ("Suspension", "link")],
)  # fmt: skip
def test_safety_joints_are_known_by_more_than_one_word(
    bench: Bench, assembly: str, part: str
) -> None:
    bench("strip", assembly, part, "4 M10x30 hex bolt 8.8")
    (stage,) = bench.json("rebuild")
    assert any("second person" in caution for caution in stage["cautions"])
    assert stage["lines"][1]["torque"]["computed"] == []
    said = bench("figure", "torque", "1", "900 N m", "dry")
    assert "computed" not in said, "no figure to be pushed towards"


def test_brakes_get_the_makers_figure_only(stripped: Bench) -> None:
    """Common practice: no general figure stands in for a brake's."""
    lines = [line for stage in stripped.json("rebuild") for line in stage["lines"]]
    brake = next(line for line in lines if line["item"] == "2.2")
    assert brake["torque"]["computed"] == []
    assert brake["torque"]["cautions"] == ["the maker's figure only"]
    assert "maker's figure only" in stripped("figure", "torque", "2")


def test_a_figure_that_scatter_does_not_explain_is_flagged(stripped: Bench) -> None:
    said = " ".join(stripped("figure", "torque", "1.2", "60 N m", "oiled").split())
    assert "above what friction and scatter explain" in said
    assert "check it" in stripped("rebuild")


def test_an_unmarked_bolt_is_told_what_class_the_torque_calls_for(stripped: Bench) -> None:
    """VDI 2230: M6 oiled, class 5.8 stands about 5 to 8 N m, class 8.8 about 8 to 12."""
    stripped("strip", "Engine", "chaincase", "6 M6x30 hex bolt")
    said = " ".join(stripped("figure", "torque", "4.2", "9 N m", "oiled").split())
    assert "needs a bolt of class 8.8 or above: check its head" in said
    said = " ".join(stripped("figure", "torque", "4.2", "60 N m", "oiled").split())
    assert "more than any bolt of this size can take" in said


def test_a_figure_can_be_mended_and_taken_back(stripped: Bench) -> None:
    stripped("figure", "torque", "1.2", "9 N m", "dry")
    stripped("figure", "torque", "1.2", "8 to 10 N m", "oiled")
    assert "8 to 10 N m" in stripped("figure", "torque", "1.2")
    stripped("undo")
    assert "9 N m, dry" in stripped("figure", "torque", "1.2")
    stripped("undo")
    stripped("undo")  # brings nothing back: the first undo stands, so this undoes the first figure


def test_what_has_no_thread_has_no_torque(stripped: Bench) -> None:
    assert "no thread" in stripped.refused("figure", "torque", "1.3", "9 N m")
    assert "say which: 3.2: 1/4 BSF x 3/4 bolt, 3.3 M6 nut" in stripped.refused(
        "figure", "torque", "3", "9 N m"
    )


REFUSED = {
    "torque of nothing": (["torque", "9.1", "9 N m"], "no step 9"),
    "torque without a unit": (["torque", "1.2", "9"], "unit"),
    "torque below nothing": (["torque", "1.2", "-9 N m"], "below zero"),
    "torque of a crane": (["torque", "1.2", "90000 N m"], "up to 10000"),
    "torque upside down": (["torque", "1.2", "10 to 8 N m"], "smaller"),
    "a state of nobody": (["torque", "1.2", "9 N m", "damp"], "no friction on record"),
    "more than any engine": (["reading", "compression", "900"], "no engine shows"),
    "source without a figure": (["torque", "1.2", "--from", "book"], "--from"),
    "no grade": (["sump", "Gearbox", "--oil", "SAE 33"], "33"),
    "no volume": (["sump", "Gearbox", "--dry", "much"], "number"),
    "a pint of nobody": (["sump", "Gearbox", "--dry", "2 pints"], "imperial or US"),
    "refill above the dry fill": (["sump", "Box", "--dry", "1l", "--refill", "2l"], "wrong way"),
    "a lake": (["sump", "Gearbox", "--dry", "900 l"], "ml"),
    "sump of 0": (["sump", "Gearbox", "--number", "0"], "1 to 50"),
    "sump unnamed": (["sump", "--oil", "SAE 90"], "name the sump"),
    "sump that is not there": (["sump", "Gearbox", "--none"], "no sump"),
    "reading of nothing": (["reading", "compression"], "no reading"),
    "reading of words": (["reading", "compression", "plenty"], "number"),
    "reading below nothing": (["reading", "compression", "88,-5"], "below zero"),
    "wet before dry": (["reading", "compression", "88", "--wet", "90,91"], "2 wet"),
    "wet volts": (["reading", "voltage", "7", "--wet", "8"], "compression test"),
    "barometer of the moon": (["reading", "compression", "88", "--barometer", "3"], "barometer"),
    "reading unnamed": (["reading", "", "88"], "what was measured"),
    "cans of nothing": (["shopping", "--cans", "big"], "number"),
    "reading and verdict": (
        ["inspect", "1.2", "serviceable", "--reading", "5.9", "--limit", "5.8"],
        "not both",
    ),
    "limit without a reading": (["inspect", "1.2", "--limit", "5.8"], "--reading"),
    "limit on the wrong side": (
        ["inspect", "1.2", "--reading", "5.9", "--nominal", "6", "--limit", "5.8", "--larger"],
        "other side",
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_bad_input_is_one_line_and_changes_nothing(stripped: Bench, case: str) -> None:
    words, reason = REFUSED[case]
    assert reason in stripped.refused(*words)


def test_sumps_are_listed(bench: Bench) -> None:
    bench("figure", "sump", "Gearbox", "--oil", "SAE 90 GL-4", "--dry", "1.4l")
    bench("figure", "sump", "gearbox", "--refill", "1.2 l", "--drain", "plug under the box")
    (box,) = bench.json("figure", "sump")
    assert (box["name"], box["grade"]) == ("Gearbox", "SAE 90 GL-4")
    assert (box["dry_ml"], box["refill_ml"]) == (1400, 1200)
    assert "Gearbox: taken off the list." in bench("figure", "sump", "Gearbox", "--none")
    assert bench.json("figure", "sump") == []
    assert "No sump of Orrick Plover is recorded" in bench("figure", "sump")


def test_oil_is_bought_in_whole_cans_by_grade(bench: Bench, tmp_path: Path) -> None:
    """Worked by hand: 1,400 ml of SAE 90 from cans of 1 l and half a litre is 1 + 1, 100 ml over;
    two legs of 190 ml are 380 ml, one half litre; a sump of unknown grade is named, not guessed."""
    bench("figure", "sump", "Gearbox", "--oil", "SAE 90 GL-4", "--dry", "1.4l", "--refill", "1.2l")
    bench("figure", "sump", "Fork leg", "--number", "2", "--oil", "SAE 20", "--dry", "190ml")
    bench("figure", "sump", "Hub")
    wanted = [
        (1, "SAE 20, 500 ml", "380 ml needed, 120 ml over", "Fork leg"),
        (1, "SAE 90 GL-4, 1 l", "1,400 ml needed, 100 ml over", "Gearbox"),
        (1, "SAE 90 GL-4, 500 ml", "1,400 ml needed, 100 ml over", "Gearbox"),
        (None, "oil", "grade not known", "Hub"),
    ]
    oil = bench.json("shopping")["supplies"]
    assert [(o["quantity"], o["text"], o["why"], o["wanted_for"]) for o in oil] == wanted
    path = tmp_path / "list.csv"
    bench("shopping", "--csv", str(path))
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [
        (int(row["Quantity"]) if row["Quantity"] else None, row["What"], row["Why"], row["Joints"])
        for row in rows
    ] == wanted
    whole = bench.json("shopping", "--cans", "1l")["supplies"]
    assert [(o["quantity"], o["text"]) for o in whole if o["quantity"]] == [
        (1, "SAE 20, 1 l"),
        (2, "SAE 90 GL-4, 1 l"),
    ]


def test_an_oil_by_another_name_is_kept_and_bought_by_it(bench: Bench) -> None:
    assert "bought by that name" in bench("figure", "sump", "Box", "--oil", "ATF", "--dry", "1l")
    bench("figure", "sump", "Axle", "--oil", "EP 90")
    assert bench.json("figure", "sump")[1]["grade"] == "SAE 90 EP"
    lines = [(o["text"], o["why"]) for o in bench.json("shopping")["supplies"]]
    assert lines == [("ATF", "1,000 ml needed"), ("SAE 90 EP", "capacity not known")]


def test_what_to_fill_stands_at_the_end_of_the_checklist(stripped: Bench, tmp_path: Path) -> None:
    import pdfplumber

    stripped(
        "figure", "sump", "Gearbox", "--oil", "SAE 90", "--dry", "1.4l", "--filler", "top cover"
    )
    out = stripped("rebuild")
    assert out.index("Last job: oil") > out.index("Step 1")
    assert "Gearbox: 1,400 ml (2.5 imp pint), SAE 90" in out
    assert "Last job" not in stripped("rebuild", "Brakes")
    path = tmp_path / "checklist.pdf"
    stripped("figure", "torque", "1", "9 N m", "oiled")
    stripped("rebuild", "--pdf", str(path))
    with pdfplumber.open(path) as pdf:
        text = " ".join((page.extract_text() or "") for page in pdf.pages)
    for words in ("Last job: oil", "SAE 90", "1,400 ml", "fill: top cover", "9 N m"):
        assert words in text


def test_readings_before_and_after_stand_side_by_side(bench: Bench) -> None:
    out = bench(
        "figure", "reading", "compression", "130,80", "--wet", "135,115", "--barometer", "1005"
    )
    assert "cylinder 2: dry 80, wet 115 psi: rings or bore" in out
    bench("figure", "reading", "compression", "140", "138", "--after")
    kept = bench.json("figure", "reading")
    assert len(kept) == 6
    first = kept[0]
    assert first["value"] == pytest.approx(130 * 6.894757293168361, abs=0.001)
    assert (first["unit"], first["air_kpa"], first["stage"]) == ("kPa", 100.5, "before")
    shown = bench("figure", "reading")
    assert "130 psi" in shown
    assert "140 psi" in shown
    bench("undo")
    assert len(bench.json("figure", "reading")) == 4


def test_a_reading_gives_the_verdict(stripped: Bench) -> None:
    stripped("inspect", "1.2", "--reading", "5.80", "--nominal", "6", "--limit", "5.9")
    stripped("inspect", "1.2", "3", "--reading", "5.98", "--nominal", "6", "--limit", "5.9")
    (item,) = [i for i in stripped.json("find", "1.2")["items"] if i["item"] == "1.2"]
    states = {held["condition"]: held["quantity"] for held in item["now"]}
    assert states == {"condemned": 1, "serviceable": 3}
    assert "0.100 mm beyond the limit 5.9" in " ".join(stripped("find", "1.2").split())
    assert "no fault" in stripped("record", "audit")


def test_a_joint_is_tightened_in_order(stripped: Bench, tmp_path: Path) -> None:
    """ASME PCC-1 legacy cross pattern of eight bolts: 1 5 3 7 2 6 4 8."""
    import pdfplumber

    reply = stripped.json("figure", "joint", "1", "8 on 120")
    assert reply["order"] == [1, 5, 3, 7, 2, 6, 4, 8]
    stripped("figure", "torque", "1.2", "10 N m", "oiled")
    plan = stripped.json("figure", "joint", "1")
    assert plan["loosen"] == [8, 4, 6, 2, 7, 3, 5, 1]
    assert [stage["torque_nm"] for stage in plan["passes"]] == [None, 3, 6, 10, 10]
    out = " ".join(stripped("rebuild").split())
    assert "tightening order: h1 h5 h3 h7 h2 h6 h4 h8" in out
    assert "30 % 3 N m; 60 % 6 N m; 100 % 10 N m" in out
    (stage,) = [stage for stage in stripped.json("rebuild") if stage["step"]["number"] == 1]
    assert stage["order"] == [1, 5, 3, 7, 2, 6, 4, 8]
    for words in (["rebuild"], ["joint", "1"]):
        path = tmp_path / f"{words[0]}.pdf"
        stripped(*words, "--pdf", str(path))
        with pdfplumber.open(path) as pdf:
            text = " ".join(" ".join((page.extract_text() or "").split()) for page in pdf.pages)
        for label in ("h1", "h8", "until"):
            assert label in text


def test_holes_and_bolts_that_do_not_agree_are_pointed_out(stripped: Bench) -> None:
    assert "5 holes, but step 1 has 4 to tighten" in stripped("figure", "joint", "1", "5 on 60")
    assert "but" not in stripped("figure", "joint", "1", "4 on 60")


JOINTS_REFUSED = {
    "no such step": (["joint", "9", "4 on 60"], "no step 9"),
    "no holes": (["joint", "1", "many"], "many"),
    "one hole": (["joint", "1", "1 on 60"], "hole"),
    "a hole twice in the order": (["joint", "1", "4 on 60", "--order", "1 2 2 4"], "2"),
    "a hole left out of the order": (["joint", "1", "4 on 60", "--order", "1 2 3"], "4"),
    "an order without holes": (["joint", "1", "--order", "1 2"], "go with the holes"),
}


@pytest.mark.parametrize("case", JOINTS_REFUSED)
def test_a_bad_joint_is_refused(stripped: Bench, case: str) -> None:
    words, reason = JOINTS_REFUSED[case]
    assert reason in stripped.refused(*words)


def test_a_test_and_a_joint_show_their_sources(clutch: Bench) -> None:
    """No --sources here: the names stand alone."""
    for words in (("reading", "compression", "88", "71"), ("joint", "1", "4 on 60")):
        clutch(*words)
    text = " ".join(clutch("figure", "joint", "1").split())
    assert text.endswith("source ASME PCC-1-2010 table 4 (memory); common practice")
    text = " ".join(clutch("figure", "reading", "compression", "88", "71", "--after").split())
    assert "source car-maker workshop procedure;" in text
    assert "--sources" not in text
