"""The calculators at the command line: options, text, refusals in a line, and what is loaded."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from conftest import Bench

from stores.cli.reckon import CALCULATORS

CALCULATIONS = (
    ["order", "8 on 120"],
    ["rules", "castle", "nut"],
    ["slots", "M12", "--past", "40"],
    ["torque", "M8", "8.8", "oiled"],
    ["fill", "lying", "120", "200"],
    ["mixture", "25:1", "5l"],
    ["compression", "6.3"],
    ["battery", "12.4"],
    ["convert", "18 lbf ft"],
    ["fit", "12", "H7/k6"],
    ["oil", "EP 90"],
    ["oiled", "25", "M8"],
    ["plug", "M14", "gasket", "aluminium"],
    ["fork", "32", "--rise", "15"],
    ["wear", "19.91", "--nominal", "20", "--limit", "19.90"],
    ["bore", "top 47.55 47.58", "--nominal", "47.5"],
    ["grip", "M8", "30"],
    ["bead", "3", "640"],
    ["locking", "6 M8"],
    ["grease", "6204", "--mass", "106"],
    ["paint", "1.2m2", "45", "40"],
    ["mixing", "4:1:1", "300ml"],
    ["sheet", "500x500", "180x120"],
    ["lengths", "420", "310"],
    ["volts", "14/0.30", "5m", "8.75"],
    ["keeps", "DOT 4"],
    ["compound", "bush", "47", "14", "0.03"],
    ["weld", "5", "400"],
    ["shrink", "30"],
    ["bath", "20l"],
)
"""Each calculator once."""


def test_torque_asks_dry_or_oiled_and_takes_the_weakest_class_aloud(bench: Bench) -> None:
    assert "dry or oiled?" in bench.refused("reckon", "torque", "M8", "8.8")
    assert "Strength of the bolt not known" in bench("reckon", "torque", "M8", "dry")


def test_an_adaptor_on_the_wrench(bench: Bench) -> None:
    """24 x 300/360 = 20 N m."""
    out = bench("reckon", "torque", "M8", "8.8", "oiled", "--maker", "24 N m",
                "--adaptor", "60", "--wrench", "300")  # fmt: skip
    said = " ".join(out.split())
    assert (
        "With an adaptor of 60 mm straight out on a wrench of 300 mm: set the wrench to 20 N m"
        in said
    )


def test_the_makers_torque_is_the_one_to_use(bench: Bench) -> None:
    out = bench("reckon", "torque", "M8", "8.8", "oiled", "--maker", "18 lbf ft")
    assert out.startswith("Use the maker's 24.4 N m (18 lbf ft)")
    data = bench.json("reckon", "torque", "M8", "8.8", "oiled", "--maker", "2.5 N m")
    assert data["maker"]["agrees"] is False
    assert any("kgf m" in said for said in data["maker"]["cautions"])


def test_a_dry_figure_on_an_oiled_thread_is_not_blessed(bench: Bench) -> None:
    words = [
        "reckon",
        "torque",
        "M8",
        "8.8",
        "oiled",
        "--maker",
        "18 lbf ft",
        "--maker-state",
        "dry",
    ]
    out = " ".join(bench(*words).split())
    assert "only for a thread that is dry, not oiled" in out
    assert "reckon oiled" in out


def test_an_impossible_figure_is_no_order(bench: Bench) -> None:
    out = bench("reckon", "torque", "M8", "8.8", "oiled", "--maker", "250 N m")
    assert out.startswith("Check the book first")


REFUSED = {
    "friction of 3": (["torque", "M8", "8.8", "mu 3"], "0.03 to 0.6"),
    "no such class": (["torque", "M8", "13.9", "dry"], "no 13.9"),
    "no such thread": (["torque", "M7.3", "8.8", "dry"], "M7"),
    "M6 of 40 mm pitch": (["torque", "M6 x 40 pitch", "8.8", "dry"], "40"),
    "engaged beyond the bolt": (
        ["torque", "M8x30 8.8 dry", "--into", "aluminium", "--engaged", "35"],
        "longer than the bolt",
    ),
    "friction of 3, said plainly": (["torque", "M8", "8.8", "3"], "0.03 to 0.6"),
    "a state of nobody": (["torque", "M8", "8.8", "damp"], "no friction on record"),
    "a thread that clamps nothing": (["grip", "M8"], "say the thread and what is clamped"),
    "a bolt shorter than its joint": (["grip", "M8", "30", "--length", "25"], "does not reach"),
    "a slot passed": (["slots", "M6", "--past", "70"], "passed already"),
    "worn nine times over": (["wear", "199", "--nominal", "20", "--limit", "19.9"], "misread"),
    "more than any engine": (["compression", "6.3", "--dry", "900"], "no engine shows"),
    "torque below nothing": (["torque", "M8 8.8 dry", "--maker", "-3 Nm"], "below zero"),
    "torque without a unit": (["torque", "M8 8.8 dry", "--maker", "25"], "unit"),
    "an adaptor on no wrench": (["torque", "M8 8.8 dry", "--adaptor", "60"], "--wrench 300"),
    "a wrench for no adaptor": (["torque", "M8 8.8 dry", "--wrench", "300"], "--adaptor 60"),
    "a wrench of no length": (
        ["torque", "M8 8.8 dry", "--adaptor", "60", "--wrench", "0"],
        "wrench 0 mm",
    ),
    "state without a figure": (["torque", "M8 8.8 dry", "--maker-state", "dry"], "--maker"),
    "no shape": (["fill", "ball", "3"], "not a shape"),
    "a level above the roof": (["fill", "lying", "120", "200", "--to", "145"], "0 to 120"),
    "oil below nothing": (["fill", "lying", "120", "200", "--holds", "-4 ml"], "below zero"),
    "a level now alone": (["fill", "lying", "120", "200", "--now", "20"], "--to"),
    "no grade": (["oil", "SAE 33"], "33"),
    "a claim, no designation": (["oil", "80W-90 GL-4/GL-5"], "claim"),
    "a mixture of 3 to 1": (["mixture", "3:1", "5l"], "4 to 200"),
    "a pint of nobody": (["mixture", "25:1", "2 pints"], "imperial or US"),
    "petrol without oil": (["mixture", "--petrol", "5l", "--oil", "0 ml"], "seizes"),
    "a bead of no length": (["bead", "3"], "--pack AMOUNT"),
    "thinner of what": (["mixing", "2:1 + 10 %", "500ml"], "of the paint, or of paint and"),
    "a bearing of nobody": (["grease", "99999"], "20x47x14"),
    "a blank too large": (["sheet", "A4", "400x400", "--count", "2"], "does not fit"),
    "a wire of nobody": (["volts", "65/0.30", "5m", "8"], "44/0.30"),
    "which brake fluid": (["keeps", "brake", "fluid"], "which brake fluid"),
    "a gap of no bush": (["compound", "bush", "47"], "bush 47 14 0.03"),
    "a gap of a millimetre and more": (["compound", "bush", "47", "14", "3"], "up to 1 mm"),
    "half a weld": (["weld", "5"], "leg and length"),
    "a weld by nobody": (["weld", "5", "400", "--by", "glue"], "covered rod"),
    "gas of no flow": (["weld", "--cylinder", "9", "--bar", "200"], "go together"),
    "a plug too large for heat-shrink": (
        ["shrink", "--over", "40", "--under", "5"],
        "before the plug",
    ),
    "half a ratio": (["shrink", "--over", "12"], "--under MM"),
    "a part in a volume": (["bath", "20l", "--part", "12"], "inside measures"),
    "a part larger than its tank": (
        ["bath", "box 60 60 60", "--part", "100"],
        "more than the tank holds",
    ),
    "a bath of gold": (["bath", "box 60 60 60", "--of", "gold"], "no density"),
    "a bath too strong": (["bath", "20l", "--citric", "900"], "20 to 200"),
    "paint by mop": (["paint", "1m2", "45", "40", "--by", "mop"], "known are brush"),
    "a mixture of nothing": (["mixture", "25:1"], "how much petrol"),
    "ratio of 40": (["compression", "40"], "2 to 25"),
    "wet without dry": (["compression", "7", "--wet", "90"], "--dry"),
    "more wet than dry": (["compression", "7", "--dry", "90", "--wet", "90,91"], "2 wet"),
    "a 20 V battery": (["battery", "20"], "6 V or a 12 V"),
    "a battery on charge": (["battery", "14.4"], "on charge"),
    "no battery": (["battery"], "voltage"),
    "no such fit": (["fit", "12", "Q7/z99"], "no figures for Q7"),
    "a fit of no size": (["fit", "H7/k6"], "what size"),
    "a limit on the wrong side": (
        ["wear", "19.9", "--nominal", "20", "--limit", "19.8", "--larger"],
        "other side",
    ),
    "a bore of two engines": (["bore", "top 47.5 60"], "not of one bore"),
    "a bore without heights": (["bore", "47.5 47.6"], "height"),
    "a unit of nothing": (["convert", "5", "furlongs"], "no unit"),
    "a length into a torque": (["convert", "5 mm to psi"], "length"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_nonsense_is_refused_with_the_reason(bench: Bench, case: str) -> None:
    words, reason = REFUSED[case]
    assert reason in bench.refused("reckon", *words)


def test_a_program_is_given_figures(bench: Bench) -> None:
    """An answer alone, several in a list, and amounts by their unit."""
    assert bench.json("reckon", "fill", "box 100 80 20")["unit"] == "ml"
    assert [each["unit"] for each in bench.json("reckon", "mixture", "25:1", "5l")] == ["ml", "ml"]
    assert bench.json("reckon", "convert", "1 in", "to", "mm") == {"mm": 25.4}
    assert bench.json("reckon", "fit", "12", "k6")["deviations"]["upper_um"] == 12  # ISO 286-2
    data = bench.json("reckon", "torque", "M8", "8.8", "oiled")
    assert data["torque"]["N m"]["slippery"] < data["torque"]["N m"]["rough"]
    assert data["set_nm"] == data["set"]["N m"] == 24  # VDI 2230 prints 24.6 at friction 0.12
    assert data["yields"]
    assert {"state": "anti-seize", "into": "", "set_nm": 18} in data["otherwise"]
    unsure = bench("reckon", "torque", "M8", "8.8", "unknown")
    assert "set as for the slippery end" in " ".join(unsure.split())


def test_a_torque_leads_with_the_figure_to_set_and_what_can_hurt(bench: Bench) -> None:
    lines = bench("reckon", "torque", "M8", "8.8", "oiled").splitlines()
    assert lines[0].startswith("Set 24 N m (17.5 lbf ft")
    hurts = " ".join(line for line in lines if line[0] in "! " and "by friction" not in line)
    assert "18 N m with moly paste, graphite or wax" in hurts
    assert "into aluminium" in hurts
    first = next(at for at, line in enumerate(lines) if line.startswith("  by friction"))
    assert first < 10
    assert lines[first].split() == ["by", "friction", "slippery", "0.08", "usual", "0.12", "rough",
                                    "0.16"]  # fmt: skip
    assert not any(line.startswith("!") for line in lines[first:])
    assert "source" in lines[-5] + lines[-4] + lines[-3]
    text = "\n".join(lines)
    assert "where the bolt yields" not in text
    assert "nominal" not in text
    full = " ".join(bench("reckon", "torque", "M8", "8.8", "oiled", "--sources").split())
    assert "two public reprints" in full
    assert "two public reprints" not in " ".join(text.split())


def test_a_hole_of_unknown_depth_is_to_be_measured(bench: Bench) -> None:
    """One and a half diameters were assumed: a hole less deep strips sooner, and that is said."""
    words = ("reckon", "torque", "M6", "8.8", "in", "aluminium", "oiled")
    hurts = " ".join(line for line in bench(*words).splitlines() if line[0] in "! ")
    assert "Only for 9 mm of thread in the hole, which is assumed: less thread, less" in hurts
    assert "assumed: less thread" not in " ".join(bench(*words, "--engaged", "12").split())


def test_soft_metal_is_a_caution_right_under_the_figure(bench: Bench) -> None:
    """VDI 2230 has 10.1 N m for M6 8.8 at 0.12 in steel; in cast aluminium its thread strips."""
    lines = bench("reckon", "torque", "M6", "8.8", "into", "aluminium", "oiled").splitlines()
    first = next(at for at, line in enumerate(lines) if line.startswith("!"))
    assert first == 2
    told = " ".join(line.strip() for line in lines[first : first + 2])
    assert told == (
        "! No more than that into cast aluminium: its thread strips where steel would take 10 N m"
    )
    steel = bench("reckon", "torque", "M6", "8.8", "into", "steel", "12", "mm", "oiled")
    assert "where steel would take" not in steel


@pytest.mark.parametrize(
    "typed",
    [
        "M6 8.8 into aluminium 8 mm oiled",
        "M6 8.8 oiled into aluminium, 8 mm of thread",
        "M6 8.8 in aluminium oiled 8mm deep",
        "M6 8.8 oiled into aluminium by 8 mm",
    ],
)
def test_the_length_of_thread_may_stand_behind_the_metal(bench: Bench, typed: str) -> None:
    same = bench("reckon", "torque", "M6 8.8 oiled", "--into", "aluminium", "--engaged", "8")
    assert bench("reckon", "torque", *typed.split()) == same


def test_a_length_nobody_can_place_is_asked_about(bench: Bench) -> None:
    assert "--engaged 8" in bench.refused("reckon", "torque", "M6 8.8 8 mm oiled")
    assert "--into aluminium" in bench.refused("reckon", "torque", "M6 8.8 oiled", "--engaged", "8")
    both = ("M6 8.8 oiled into aluminium 8 mm", "--engaged", "9")
    assert "said twice" in bench.refused("reckon", "torque", *both)


def test_one_figure_is_one_figure(bench: Bench) -> None:
    """EN 28839 has 2.2 N m for M5 of CuZn37, whatever the thread is like: no columns of it."""
    lines = bench("reckon", "torque", "M5", "brass", "dry").splitlines()
    assert "  by friction the same, whether slippery 0.14 or rough 0.24" in lines
    assert not any(line.startswith("  N m") for line in lines)


def test_slots_past_the_yield_say_so_and_give_no_figure(bench: Bench) -> None:
    words = ("slots", "M12", "--past", "40", "--grip", "30", "--bolt", "8.8", "--state", "oiled")
    lines = bench("reckon", *words).splitlines()
    assert lines[0].endswith("past its yield")
    assert not any("%" in line for line in lines)
    assert "change washer or nut" in " ".join(lines[:4])


def test_no_figure_is_finer_than_its_sources(bench: Bench) -> None:
    """The sources of a battery at rest differ by a tenth of a volt: 10 per cent of charge and more.
    A gasket is crushed by half a turn to three quarters (plug makers' guides)."""
    out = bench("reckon", "battery", "12.3").splitlines()
    assert (
        out[0] == "state of charge: about 55 %"
    )  # 50 + 25 x (12.30 - 12.24)/(12.45 - 12.24) is 57
    assert out[1].split()[0] == "range"
    assert all(int(word) % 5 == 0 for word in out[1].split() if word.isdigit())
    out = bench("reckon", "plug", "M14", "--seat", "gasket", "--head", "aluminium")
    assert "seat: 1/2 to 3/4 turn" in " ".join(out.split())
    assert "0.625" not in out


def test_two_batteries_in_series_are_judged_apart(bench: Bench) -> None:
    out = bench("reckon", "battery", "6.2", "6.35")
    assert "not alike: charge the first by itself" in " ".join(out.split())
    assert "hydrogen" in out


def test_a_gill_says_whose_it_is(bench: Bench) -> None:
    """A quarter of a pint, and an imperial pint is a fifth larger than a US one."""
    for unit in ("gill", "pint", "fl oz"):
        told = bench.refused("reckon", "convert", "1", unit, "ml")
        assert f"imperial or US? write imp {unit}" in told


def test_oil_says_gl5_is_not_for_bronze(bench: Bench) -> None:
    out = bench("reckon", "oil", "80W-90 GL-5", "--bronze")
    assert "Keep it out" in out
    assert "maker's oil" in out


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        (["torque", "M6", "8.8", "in", "aluminium", "oiled"], "into cast aluminium, 9 mm"),
        (["torque", "M6", "in", "aluminium", "oiled"], "Strength of the bolt not known"),
        (["convert", "998.8", "hPa", "psi"], "14.4864 psi"),  # 998.8 / 68.94757
        (["convert", "30", "psi", "bar"], "2.06843 bar"),  # 30 x 0.06894757
        (["convert", "18", "lbf", "ft", "N", "m"], "24.4047 N m"),  # 18 x 1.355818
        (["convert", "1", "in", "mm"], "25.4 mm"),
        (["convert", "1", "imp", "gill", "ml"], "142.065 ml"),  # 4546.09 ml / 32
        (["convert", "1", "lb", "g"], "453.592 g"),  # 0.45359237 kg exactly
        (["convert", "212", "F", "C"], "100 C"),
        (["convert", "20", "C"], "68 F"),
        (["convert", "45", "tonf/in2", "MPa"], "694.992 MPa"),  # 1 is 15.44426 (NIST SP 811 B.8)
        (["convert", "20", "tonf/in2"], "308.885 MPa"),  # 20 x 15.44426
        (["convert", "1", "imp", "pint"], "4 imp gill"),
        (["oil", "ATF"], "ATF: no standard"),
        (["oil", "fork", "oil", "10W"], "compare the cSt on the can"),
        (["oiled", "40", "N", "m", "M10"], "torque, M10, dry to oiled"),
        (["plug", "M14", "taper", "aluminium"], "spark plug M14, taper seat, aluminium head"),
        (["plug", "M12", "drain", "aluminium"], "drain plug M12, aluminium"),
        (["oil", "GL-4"], "not said by GL-4"),
        (["compression", "7.5:1"], "a sound engine shows"),
    ],
)
def test_as_people_type_it(bench: Bench, typed: list[str], shown: str) -> None:
    assert shown in " ".join(bench("reckon", *typed).split())


@pytest.mark.parametrize(
    ("typed", "where"),
    [
        ("wheel nut", "the maker's figure only"),
        ("M12 wheel nut oiled", "the maker's figure only"),
        ("cylinder head stud", "the maker's figure only"),
        ("big end bolt", "the maker's figure only"),
        ("brake caliper M10 8.8 dry", "the maker's figure only"),
        ("spark plug", "stores reckon plug M14 gasket aluminium"),
        ("drain plug", "stores reckon plug M14 drain aluminium"),
        ("castle nut", "stores reckon slots M12 --past 40"),
        ("M8 cheese oiled", "write what is on the head"),
        ("M8 in aluminium oiled --into steel", "said twice"),
        ("M8 8.8", "dry or oiled"),
    ],
)
def test_a_torque_that_is_none_points_to_the_right_place(
    bench: Bench, typed: str, where: str
) -> None:
    said = bench.refused("reckon", "torque", *typed.split())
    assert where in said
    assert "A2-50" not in said
    if where.startswith("stores"):
        assert bench(*where.split()[1:])  # what is pointed to answers


def test_a_plug_leads_with_the_low_end(bench: Bench) -> None:
    """Plug maker's chart: M14 gasket seat in aluminium, dry, 24.4 to 29.3 N m (converted)."""
    out = bench("reckon", "plug", "M14", "gasket", "aluminium")
    assert out.startswith("Set 24.4 N m (18 lbf ft")
    assert "up to 29.3 N m" in " ".join(" ".join(out.splitlines()[:3]).split())


def test_fits_from_memory_say_so(bench: Bench) -> None:
    assert "ISO 286-1 and ISO 286-2 (memory)" in bench("reckon", "fit", "12", "H7/k6")
    assert "ISO 286-1 and ISO 286-2 (memory)" in bench("reckon", "fit", "20", "h6")


def test_an_oils_limits_from_memory_say_so(bench: Bench) -> None:
    assert "doubtful" in bench("reckon", "oil", "SAE 90")  # J306 of 2019: its row is from memory
    assert "doubtful" not in bench("reckon", "oil", "ISO VG 32")
    assert bench.json("reckon", "oil", "SAE 90")["memory"]


def test_ep_is_not_for_bronze_without_the_makers_word(bench: Bench) -> None:
    """EP is the additive itself (API 1560 has it in GL-4 and GL-5): ask, and say so first."""
    for words in (("EP", "90"), ("SAE", "90", "EP")):
        out = bench("reckon", "oil", *words)
        assert out.splitlines()[1].startswith("! Ask the maker: EP means extreme-pressure")
        assert "is there bronze or brass" in " ".join(out.split())
        assert "unknown" not in out
    out = " ".join(bench("reckon", "oil", "EP", "90", "--bronze").split())
    assert "Keep it out" in out
    assert "not on bronze without the maker's word" in out


def test_the_order_of_a_joint_is_shown_and_printed(bench: Bench, tmp_path: Path) -> None:
    data = bench.json("reckon", "order", "8 on 120", "--torque", "24")
    assert data["order"] == [1, 5, 3, 7, 2, 6, 4, 8]
    assert set(data) == {"torque_nm", "order", "loosen", "holes", "passes", "assumptions",
                         "sources", "cautions"}  # fmt: skip
    path = tmp_path / "card.pdf"
    bench("reckon", "order", "8 on 120", "--torque", "24", "--pdf", str(path))
    assert path.stat().st_size > 1000


def test_a_part_of_an_engine_has_a_rule_where_the_limit_is_unknown(bench: Bench) -> None:
    lines = bench("reckon", "wear", "gudgeon", "pin", "14.98", "--nominal", "15").splitlines()
    assert lines[0].startswith("by rule, no verdict: gudgeon pin 14.98 mm: 0.010 mm within")
    assert lines[1].startswith("! A sense check: no maker's limit")
    assert "from memory: doubtful" in lines[2]
    assert bench.json("reckon", "wear", "skirt 46.3", "--nominal", "46.5")["by_rule"]
    told = bench.refused("reckon", "wear", "brake pad 3")
    assert "small end" in told
    assert "no rule of wear for 'brake pad'" in told
    limit = bench("reckon", "wear", "brake pad 3", "--nominal", "5", "--limit", "2")
    assert limit.startswith("serviceable: brake pad 3 mm")


def test_each_book_is_named_beside_a_spread(bench: Bench) -> None:
    text = " ".join(bench("reckon", "compression", "--dry", "140,123").split())
    assert "over 10 % (marine engine page); within 20 % (common practice)" in text
    assert "above 70 % of the highest (car-maker workshop procedure)" in text
    assert "above 75 % of the highest (common practice)" in text


def test_each_calculator_is_among_those_tried() -> None:
    assert {words[0] for words in CALCULATIONS} == set(CALCULATORS)


@pytest.mark.parametrize("words", CALCULATIONS, ids=lambda words: words[0])
def test_every_calculator_spells_its_sources_out_and_last(bench: Bench, words: list[str]) -> None:
    brief = bench("reckon", *words).splitlines()
    full = bench("reckon", *words, "--sources").splitlines()
    at = max(at for at, line in enumerate(brief) if line.startswith("  source "))
    assert full[:at] == brief[:at]  # nothing but the sources is longer
    assert full[at].startswith("  source ")
    names, spelt = (" ".join(" ".join(shown[at:]).split()) for shown in (brief, full))
    if words[0] in ("wear", "mixing", "lengths"):  # a maker's figure, sums: no more words
        assert names == spelt
    else:
        assert names.endswith(" (--sources spells them out)")
        assert len(spelt) > len(names.removesuffix(" (--sources spells them out)"))
    assert not any(line.startswith("!") for line in full[at:])
    assert all(len(line) <= 80 for line in full[at:])


@pytest.mark.parametrize(
    "typed", ["M8 8.8 oiled", "M6 8.8 into aluminium oiled", "1/4 BSF R dry", "M5 brass dry"]
)
def test_the_first_screen_has_what_is_needed(bench: Bench, typed: str) -> None:
    """24 lines of 80 columns: the figure, every caution, the torque by friction, what limits it."""
    lines = bench("reckon", "torque", *typed.split()).splitlines()
    first = next(at for at, line in enumerate(lines) if line.startswith("  assumed"))
    assert first <= 22
    assert all(len(line) <= 80 for line in lines)


@pytest.mark.parametrize("words", CALCULATIONS, ids=lambda words: words[0])
def test_each_answer_fits_a_screen(bench: Bench, words: list[str]) -> None:
    """24 lines of 80 columns with the line that was typed: the figure first, then what can hurt,
    and nothing that can hurt further down."""
    if words[0] in ("order", "torque"):  # a drawing first; tried by itself above
        return
    lines = bench("reckon", *words).splitlines()
    assert len(lines) <= 23
    assert all(len(line) <= 80 for line in lines)
    behind = [
        at for at, line in enumerate(lines) if re.match("  (depends on|assumed|source)", line)
    ]
    hurts = [at for at, line in enumerate(lines) if line.startswith("! ")]
    assert not hurts or not behind or max(hurts) < min(behind)


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("oiled 25 M8", r"  range       [\d.]+ to [\d.]+ N m"),
        ("mixture 25:1 5l", r"  range       196 to 204 ml"),  # 5 l / 25, 2 % either way
        ("fill lying 120 200 --to 60", r"  range       [\d.]+ to [\d.]+ l"),
        ("bead 3 --pack 80ml", r"  range       [\d.]+ to [\d.]+ m"),
    ],
)
def test_a_range_has_its_unit_once(bench: Bench, typed: str, shown: str) -> None:
    lines = bench("reckon", *typed.split()).splitlines()
    assert any(re.fullmatch(shown, line) for line in lines), lines


def test_a_wire_that_is_too_thin_says_so_under_the_figure(bench: Bench) -> None:
    """The cable chart rates 14/0.30 at 8.75 A."""
    out = bench("reckon", "volts", "14/0.30", "5m", "12").splitlines()
    assert out[2].startswith("! 14/0.30 is rated 8.75 A: too thin for 12 A")
    assert "too thin" not in bench("reckon", "volts", "14/0.30", "5m", "8.75")


def test_volumes_of_consumables_are_in_the_persons_unit(bench: Bench) -> None:
    """A fluid ounce is 28.413 ml, an imperial gallon 4.54609 l (Weights and Measures Act 1985)."""
    bench("strip", "Engine", "cover", "1 gasket")
    bench("record", "units", "imperial")
    first = bench("reckon", "mixing", "4:1:1", "300ml").splitlines()
    assert first[0].startswith("paint: 7.04 imp fl oz (200 ml")  # 200 / 28.413
    assert first[1].split() == ["range", "6.9", "to", "7.18", "imp", "fl", "oz"]
    assert bench("reckon", "bead", "3", "640").startswith("sealant: 4.5 ml\n")
    tank = ("bath", "box 600 400 300", "--to", "250", "--part", "12kg")
    assert bench("reckon", *tank).startswith("liquid: 12.9 imp gallon (58.5 l,")  # 58.47 / 4.546


def test_a_bolt_too_long_for_its_hole_is_no_answer(bench: Bench) -> None:
    """2 d of thread in aluminium (machine design handbooks) is 16 mm of an M8: a hole of 15 mm has
    no room for that, and a bolt that bottoms cracks the case."""
    words = ("grip", "M8", "30", "--into", "aluminium", "--hole")
    out = bench("reckon", *words, "15").splitlines()
    assert out[0].startswith("no length made fits that hole; too long is bolt M8")
    assert out[1].startswith("! It touches the bottom")
    fits = bench("reckon", *words, "30").splitlines()
    assert fits[0].startswith("bolt M8, length under the head: 50 mm")
    in_hand = bench("reckon", *words, "15", "--length", "50").splitlines()
    assert in_hand[0].startswith("bolt M8")
    assert in_hand[1].startswith("! It touches the bottom")


def test_acid_is_worn_goggles_for_and_springs_are_kept_out(bench: Bench) -> None:
    out = bench("reckon", "bath", "20l").splitlines()
    assert out[0] == "citric acid: 1 kg"  # 20 x 50 g
    assert out[2].startswith("! Goggles and gloves")
    assert "Never springs, nor bolts of 10.9" in "\n".join(out)


def test_a_full_fillet_is_bought_for(bench: Bench) -> None:
    """A flat fillet of 10 mm over 1 m is 392.5 g; full it takes a fifth more, and of a rod 59 to
    66 % gets into the weld (filler metal handbook): up to 798 g."""
    rods, packs, metal = bench.json("reckon", "weld", "10", "1000", "--pack", "500 g")
    assert round(metal["value"], 1) == 392.5
    assert round(rods["low"], 1) == 594.7
    assert round(rods["high"], 1) == 798.3
    assert packs["value"] == 2


def test_each_rule_is_marked_with_where_it_is_from(bench: Bench) -> None:
    for subject in ("castle nut", "spark plug", "wear", "lubrication", "torque wrench", "10.9"):
        text = bench("reckon", "rules", *subject.split())
        rules = " ".join(text.split()).split("- ")[1:]
        assert rules
        assert all(re.search(r"\(.+\) because", rule) for rule in rules), text
    assert "down the nut (common practice) because" in " ".join(
        bench("reckon", "rules", "castle", "nut").split()
    )


def test_rules_of_the_bench_have_reasons_and_sources(bench: Bench) -> None:
    assert "never back" in bench("reckon", "rules", "castle nut")
    assert "no electroplating" in bench("reckon", "rules", "10.9")
    assert "always a new one" in bench("reckon", "rules", "split", "pin")
    assert "castle nut" in bench.json("reckon", "rules")["subjects"]


def test_a_castle_nut_goes_on(bench: Bench) -> None:
    """Six slots are 60 degrees apart: 40 past the last, the next is 20 further on."""
    out = bench("reckon", "slots", "M12", "--past", "40", "--bolt", "8.8", "--state", "oiled",
                "--grip", "30")  # fmt: skip
    assert "would pass its yield" in out


def test_plugs_ask_for_seat_and_metal(bench: Bench) -> None:
    assert "seat" in bench.refused("reckon", "plug", "M14")
    assert "--drain" in bench.refused("reckon", "plug", "M12", "--case", "aluminium")
    torque, turn = bench.json("reckon", "plug", "M14", "--seat", "gasket", "--head", "aluminium")
    assert torque["unit"] == "N m"
    assert (turn["low"], turn["high"]) == (0.5, 0.75)


def test_a_length_that_is_short_is_said_first(bench: Bench) -> None:
    out = bench("reckon", "lengths", "900", "600", "--from", "800", "--from", "800")
    assert out.splitlines()[1] == "! Short of 900 mm: enough in all, but no single length is."
    assert "cut 600; 200 mm left" in out
    data = bench.json("reckon", "lengths", "900", "600", "--from", "800", "--from", "800")
    assert (data["short_mm"], data["enough_in_all"]) == ([900.0], True)


def test_old_brake_fluid_is_never_used(bench: Bench) -> None:
    out = " ".join(bench("reckon", "keeps", "DOT", "4", "--opened", "2025-01-15").split())
    assert "use by 15 Jan 2025" in out
    assert "from an old opened tin is never used" in out
    assert "hazardous waste point" in out
    undated = bench("reckon", "keeps", "split", "pins")
    assert undated.splitlines()[0] == "split pins"


def test_a_gasket_sheet_and_a_tin_of_paint(bench: Bench) -> None:
    sheets, blanks = bench.json("reckon", "sheet", "500x500", "180x120", "--count", "7")
    assert (sheets["value"], blanks["value"]) == (2, 6)
    need, tins, *_ = bench.json("reckon", "paint", "1.2m2", "45", "40", "--coats", "2",
                                "--loss", "40%", "--pack", "250ml")  # fmt: skip
    assert round(need["value"], 1) == 355.6  # 1.2 m2 x 2 / (10 x 45 / 40) / 0.6
    assert tins["value"] == 2


def test_a_calculator_loads_no_database() -> None:
    """One after another in one process: the first that loads something heavy is named."""
    code = (
        "import json, sys\nfrom stores.cli.app import main\n"
        "for words in json.loads(sys.argv[1]):\n"
        "    try: main(['reckon', *words])\n"
        "    except SystemExit: pass\n"
        "    heavy = ('sqlmodel', 'sqlalchemy', 'pandas', 'reportlab', 'alembic', 'rich')\n"
        "    loaded = [name for name in heavy if name in sys.modules]\n"
        "    if loaded: sys.exit(f'{words[0]} loads {loaded}')\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, json.dumps([list(words) for words in CALCULATIONS])],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert len(done.stdout.splitlines()) > 2 * len(CALCULATIONS)
