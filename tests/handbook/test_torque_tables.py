"""Every published torque table is looked at by a test, row by row; units judged by pint.

The figures stand in tests/published/torque_*.csv, each row with its source. A row that cannot be
reproduced within its own rounding is named with its reason in torque_explained*.csv.
"""

import csv
from pathlib import Path

import pytest

from stores import units
from stores.errors import BadValue
from stores.handbook.bench_rules.threads import lubrication_cut
from stores.handbook.repair import engagement
from stores.handbook.thread import Thread, get
from stores.handbook.torque.formulas import coefficient_mm
from stores.handbook.torque.grades import find_grade, friction, nut_proof_n
from stores.handbook.torque.joint import (
    bearing,
    tighten,
    wrench_setting,
)

TESTS = Path(__file__).resolve().parent.parent
PUBLISHED = TESTS / "published"


def rows(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("# ")))


def half_unit(printed: str) -> float:
    return float(0.5 * 10 ** -len(printed.partition(".")[2]) * 1.001)


def test_every_torque_table_is_read_by_a_test() -> None:
    texts = [path.read_text(encoding="utf-8") for path in TESTS.rglob("test_*.py")]
    unread = [
        path.stem
        for path in sorted(PUBLISHED.glob("torque_*.csv"))
        if not any(f'"{path.stem}"' in text for text in texts)
    ]
    assert not unread


# torque_units: what is no unit of torque, length or pressure of ours is built from those that are.
BUILT = {
    "lbf": lambda: units.convert(1, "lbf in", "N m") / units.convert(1, "in", "m"),
    "kgf": lambda: units.convert(1, "kgf m", "N m"),
    "tonf (UK, 2240 lbf)": lambda: (
        2240 * units.convert(1, "lbf in", "N m") / units.convert(1, "in", "m")
    ),
    "tonf/in2 (UK)": lambda: units.convert(2240, "psi", "MPa"),
    "kgf/mm2": lambda: units.convert(100, "kgf/cm2", "MPa"),
}


@pytest.mark.parametrize("row", rows("torque_units"), ids=lambda r: str(r["unit"]))
def test_unit_factors_to_the_last_printed_digit(row: dict[str, str]) -> None:
    from decimal import Decimal
    from fractions import Fraction

    base = row["base"].replace(".", " ")
    if row["unit"] in BUILT:
        factor = Fraction(BUILT[row["unit"]]())
    else:
        factor = Fraction(units.convert(1, row["unit"].replace(".", " "), base))
    printed = Fraction(Decimal(row["to_N_m_or_base"]))
    if row["exact"] == "yes":
        assert factor == printed
    else:
        assert abs(factor - printed) <= printed / 10**36


TORQUE_UNITS = {
    "N m": "newton * meter",
    "N cm": "newton * centimeter",
    "kgf m": "kilogram_force * meter",
    "kgf cm": "kilogram_force * centimeter",
    "lbf ft": "force_pound * foot",
    "lbf in": "force_pound * inch",
    "ozf in": "force_ounce * inch",
}


def test_pint_judges_every_torque_conversion() -> None:
    pint = pytest.importorskip("pint")
    registry = pint.UnitRegistry()
    for ours, theirs in TORQUE_UNITS.items():
        for other, their_other in TORQUE_UNITS.items():
            expected = registry.Quantity(17.3, theirs).to(their_other).magnitude
            assert float(units.convert(17.3, ours, other)) == pytest.approx(expected, rel=1e-12)
        shown = tighten(get("M8"), "8.8", 0.12).torque(ours)
        for end in ("low", "nominal", "high"):
            nm = getattr(tighten(get("M8"), "8.8", 0.12).torque_nm, end)
            expected = registry.Quantity(nm, "newton * meter").to(theirs).magnitude
            assert getattr(shown, end) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("word", ["psi", "mm", "furlong", ""])
def test_a_torque_is_given_in_units_of_torque_only(word: str) -> None:
    with pytest.raises(BadValue):
        tighten(get("M8"), "8.8", 0.12).torque(word)


@pytest.mark.parametrize("row", rows("torque_head_bearing"), ids=lambda r: str(r["thread"]))
def test_heads_and_holes(row: dict[str, str]) -> None:
    thread = get(row["thread"])
    assert thread.pitch_mm == float(row["pitch_mm"])
    for hole in ("fine", "medium", "coarse"):
        ring = bearing(thread, hole=hole)
        assert ring.hole_mm == float(row[f"hole_{hole}_mm"])
        assert ring.face_mm == float(row["dw_min_hex_mm"])
    mean = bearing(thread).mean_mm
    assert mean == pytest.approx(float(row["D_Km_hex_mm"]), abs=half_unit(row["D_Km_hex_mm"]))
    flats = float(row["width_across_flats_mm"])
    assert bearing(thread, flats_mm=flats) == bearing(thread)  # these are the usual flats
    assert flats in {each.af_mm for each in thread.spanners}
    if row["dw_min_socket_cap_mm"]:
        assert bearing(thread, "socket cap").face_mm == float(row["dw_min_socket_cap_mm"])


RULE_OF = {  # the table's words and ours
    "steel": "steel",
    "cast iron, brass, bronze": "cast iron;brass or bronze",
    "aluminium, zinc, plastics": "aluminium, zinc or plastics",
    "steel or cast iron (steel stud)": "steel or cast iron, stud",
    "hardened steel or high-strength bronze": "hardened steel or strong bronze",
    "aluminium or magnesium alloy, normal load": "aluminium or magnesium alloy, ordinary load",
    "aluminium or magnesium alloy, shock load": "aluminium or magnesium alloy, shock load",
}


@pytest.mark.parametrize("size", ["M6", "M10", "3/8 BSF"])
@pytest.mark.parametrize(
    "row", rows("torque_engagement_rules"), ids=lambda r: str(r["tapped_material"])
)
def test_engagement_rules(row: dict[str, str], size: str) -> None:
    thread = get(size)
    multiple, _, extra = row["multiple_of_d"].partition(" d + ")
    expected = float(multiple) * thread.major_mm + float(extra.removesuffix(" mm") or 0)
    for material in RULE_OF[row["tapped_material"]].split(";"):
        assert engagement(thread, material).length_mm == pytest.approx(expected)


# torque_friction, table by table; a table that nobody looks at is an error.

STATE_OF = {  # the table's words for the state of a steel thread, and ours
    "non-plated, black finish": "dry", "zinc-plated": "plated", "lubricated": "oiled",
    "cadmium-plated": "cadmium", "anti-seize compound": "anti-seize", "dry steel": "dry",
    "machine oil, steel": "oiled", "cadmium, steel": "cadmium",
    "phosphate and oil, steel": "phosphated and oiled", "zinc, steel": "plated",
    "302 stainless on stainless": "dry", "zinc flake, steel": "zinc flake", "clean dry": "dry",
    "threadlocker on steel": "locking compound", "threadlocker on phosphate": "locking compound",
    "threadlocker on cadmium": "locking compound",
}  # fmt: skip


def of_table(name: str) -> list[dict[str, str]]:
    return [row for row in rows("torque_friction") if row["table"] == name]


def factor(mu: float) -> float:
    """K of an M8 hexagon bolt: the sizes differ by less than a hundredth."""
    return nut_factor(get("M8"), mu)


def nut_factor(thread: Thread, mu: float) -> float:
    """K of T = K F d, the same friction in the thread and under the head."""
    return coefficient_mm(thread, mu, mu, bearing(thread).mean_mm) / thread.major_mm


def changed(thread: Thread, was: float, now: float) -> float:
    """What a torque is multiplied by to keep the preload when the friction is another one."""
    return nut_factor(thread, now) / nut_factor(thread, was)


def test_nut_factors_in_print_fit_the_friction_of_the_state() -> None:
    """A single figure lies in our range; a printed range overlaps ours and holds our usual one."""
    apart = set()
    for row in of_table("nut factor K"):
        state = friction(STATE_OF[row["item"]], stainless="stainless" in row["item"])
        low, usual, high = (factor(mu) for mu in (state.low, state.nominal, state.high))
        if row["nominal"]:
            slack = half_unit(row["nominal"])
            fits = low - slack <= float(row["nominal"]) <= high + slack
        else:
            least, most = float(row["low"]), float(row["high"])
            fits = least <= usual <= most and low <= most and least <= high
        if not fits:
            apart.add((row["item"], row["condition"], row["source"]))
    listed = rows("torque_explained_friction")
    assert apart == {(row["item"], row["condition"], row["source"]) for row in listed}
    assert all(row["reason"] for row in listed)


def test_k_hardly_depends_on_the_size() -> None:
    for size in ("M6", "M10", "M16", "M24"):
        thread = get(size)
        for mu in (0.08, 0.14, 0.24):
            assert nut_factor(thread, mu) == pytest.approx(factor(mu), abs=0.015)


def test_stainless_without_lubricant_is_in_class_e() -> None:
    worst = next(row for row in of_table("friction class") if row["item"] == "E")
    assert friction("dry", stainless=True).nominal >= float(worst["low"])


CUT_OF = {"graphite": "anti-seize", "white grease": "greased", "SAE 30 oil": "oiled",
          "SAE 40 oil": "oiled", "none": "dry"}  # fmt: skip


def test_cuts_from_dry_in_print_are_inside_the_range_given() -> None:
    for row in of_table("torque reduction against dry, percent"):
        found = lubrication_cut("M10", CUT_OF[row["item"]])
        assert found.low <= float(row["low"]) + 1e-9
        assert float(row["high"]) <= found.high + 1e-9


def test_multiplier_of_a_vehicle_manual() -> None:
    (oil,) = of_table("torque multiplier")
    found = lubrication_cut("M8", "oiled")
    assert found.low <= 100 * (1 - float(oil["nominal"])) <= found.high


def test_multipliers_by_finish() -> None:
    """Zinc on plain or zinc, waxed or not: each figure in print is inside our range."""
    found = lubrication_cut("M8", "plated")
    table = of_table("torque multiplier by finish (base mu 0.14)")
    assert {row["item"] for row in table} == {"nut self", "nut zinc", "nut zinc and wax"}
    for row in table:
        assert found.low <= round(100 * (1 - float(row["nominal"])), 9) <= found.high


def test_threadlocker_rows() -> None:
    """1.1 on a table for 0.14 is inside our range; that sources disagree is said."""
    state, thread = friction("locking compound"), get("M8")
    for row in of_table("threadlocker"):
        if row["nominal"]:
            low, high = (changed(thread, 0.14, mu) for mu in (state.low, state.high))
            assert low <= float(row["nominal"]) <= high
        else:
            assert row["item"] == "direction of effect"
            assert "sources disagree" in state.note


def test_scatter_by_method() -> None:
    """NASA TM-106943 has the same two: 0.35 dry, 0.25 lubricated."""
    printed = {row["item"]: row["nominal"] for row in of_table("preload scatter +/- percent")}
    assert 100 * friction("dry").scatter == float(printed["torque wrench, unlubricated"])
    assert 100 * friction("oiled").scatter == float(printed["torque wrench, lubricated"])


def test_no_table_of_friction_is_left_out() -> None:
    assert {row["table"] for row in rows("torque_friction")} == {
        "friction class",  # test_torque_published and above
        "nut factor K",
        "threadlocker",
        "torque reduction against dry, percent",
        "torque multiplier",
        "torque multiplier by finish (base mu 0.14)",
        "preload scatter +/- percent",
    }


def test_worked_example_2_greatest_preload() -> None:
    """M12 x 40 8.8 zinc-plated, lowest mu 0.14: 41.9 kN at most (technical section F.051 of a
    fastener distributor)."""
    most = tighten(get("M12"), "8.8", 0.14).preload_n.nominal
    assert most / 1000 == pytest.approx(41.9, abs=0.05)


def test_worked_example_6_is_arithmetic_not_the_sheet() -> None:
    """130 lbf ft dry at 0.17 to 0.09: the sheet prints 53, its own ratio gives 68.8."""
    assert pytest.approx(68.8, abs=0.05) == 130 * 0.09 / 0.17
    ours = 130 * changed(get("1/2 UNC"), 0.17, 0.09)
    assert 60 < ours < 80  # friction moves the torque a little less than in proportion


def test_extension_rule() -> None:
    """torque_trade: actual = set x (L1 + offset)/L1."""
    row = next(row for row in rows("torque_trade") if row["topic"] == "extension")
    assert "actual = set x (L1 + offset)/L1" in row["note"]
    for length, offset in ((300.0, 60.0), (450.0, 100.0)):
        setting = wrench_setting(80, length, offset)
        assert setting * (length + offset) / length == pytest.approx(80)


@pytest.mark.parametrize(
    ("nut", "bolt"), [("6", "6.8"), ("8", "8.8"), ("9", "9.8"), ("10", "10.9"), ("12", "12.9")]
)
def test_a_full_nut_outlasts_the_yield_of_its_bolt(nut: str, bolt: str) -> None:
    """ISO 898-2: a nut carries the bolt of its class up to the bolt's yield without stripping."""
    for size in ("M5", "M6", "M8", "M10", "M12", "M14", "M16"):
        thread = get(size)
        held = find_grade(bolt, thread).yield_mpa * thread.stress_area_mm2
        assert nut_proof_n(thread, nut) >= held
        if nut != "6":  # a thin nut, 500 MPa, does not hold an 8.8 bolt at its 640
            assert nut_proof_n(thread, "05") < held
    assert nut_proof_n(get("M10"), "04") < nut_proof_n(get("M10"), "05")
