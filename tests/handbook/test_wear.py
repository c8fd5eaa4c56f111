"""Wear and fits; the published rows are in test_fluids_published.py."""

import pytest

from stores.errors import BadValue, NotationError, NotFound
from stores.handbook import wear
from stores.handbook.answer import cite
from stores.handbook.table import table
from stores.handbook.wear import Verdict


@pytest.mark.parametrize(
    ("reading", "nominal", "limit", "verdict"),
    [
        (47.55, 47.5, 47.6, Verdict.SERVICEABLE),
        (47.60, 47.5, 47.6, Verdict.SERVICEABLE),
        (47.605, 47.5, 47.6, Verdict.QUARANTINE),
        (47.65, 47.5, 47.6, Verdict.CONDEMNED),
        (19.98, 20.0, 19.95, Verdict.SERVICEABLE),
        (19.90, 20.0, 19.95, Verdict.CONDEMNED),
        (20.10, 20.0, 19.95, Verdict.QUARANTINE),
    ],
)
def test_a_reading_against_its_limit(
    reading: float, nominal: float, limit: float, verdict: Verdict
) -> None:
    got = wear.judge("part", reading, nominal_mm=nominal, limit_mm=limit)
    assert got.verdict is verdict
    assert got.worn_mm == pytest.approx((reading - nominal) * (1 if limit > nominal else -1))


def test_without_a_limit_nothing_is_judged() -> None:
    got = wear.judge("bush", 12.03)
    assert got.verdict is Verdict.QUARANTINE
    assert "no limit known" in got.reason


READINGS = {
    "top": {"along": 47.58, "across": 47.60},
    "middle": {"along": 47.55, "across": 47.56},
    "bottom": {"along": 47.51, "across": 47.51},
}


def test_a_bore_by_hand() -> None:
    got = wear.measure_bore(
        READINGS, nominal_mm=47.5, wear_limit_mm=47.6, taper_limit_mm=0.05, ovality_limit_mm=0.05
    )
    assert got.ovality is not None
    assert got.taper is not None
    assert (got.ovality.value, got.ovality_at) == (pytest.approx(0.02), "top")
    assert (got.taper.value, got.taper_at) == (pytest.approx(0.09), "across")
    assert got.wear is not None
    assert got.wear.verdict is Verdict.SERVICEABLE
    assert {f.what: f.verdict for f in got.verdicts}["taper"] is Verdict.CONDEMNED
    one = wear.measure_bore({"top": {"along": 47.58}})
    assert one.ovality is None
    assert one.taper is None
    assert one.verdicts == ()


def test_the_rules_of_a_manual_stand_in_for_the_maker() -> None:
    got = wear.measure_bore(READINGS, nominal_mm=47.5, stroke_mm=48)
    # The manual of an 85 cm3 single of that bore: wear to 47.600, taper 0.05 (wear_rules.csv).
    limits = {f.what: f.limit_mm for f in got.verdicts}
    assert limits == {"bore": pytest.approx(47.6), "ovality": 0.05, "taper": 0.05}
    assert all(f.reading.sources == ("wear-85",) for f in got.verdicts)
    # 67 mm: the manual of a 600 cm3 four; the 350 cm3 single is rebored beyond 0.008 in.
    large = wear.measure_bore(
        {"top": {"a": 67.05, "b": 67.0}, "bottom": {"a": 67.0, "b": 67.0}}, nominal_mm=67.0
    )
    limits = {f.what: f.limit_mm for f in large.verdicts}
    assert limits == {"bore": pytest.approx(67.2032), "ovality": 0.1, "taper": 0.1}
    # 100 mm: the heavy engine of TM 10-3930, by its bore, journal and stroke.
    heavy = wear.measure_bore(
        {"top": {"a": 100.05, "b": 100.0}, "bottom": {"a": 100.0, "b": 100.0}},
        nominal_mm=100.0, stroke_mm=120.0,
    )  # fmt: skip
    limits = {f.what: f.limit_mm for f in heavy.verdicts}
    assert limits == {"bore": pytest.approx(100.1), "ovality": pytest.approx(0.04),
                      "taper": pytest.approx(0.06)}  # fmt: skip
    assert all(f.reading.sources == ("tm-10-3930",) for f in heavy.verdicts)
    assert wear.substitute("taper", 100.0) is None
    for each in (*got.verdicts, *large.verdicts, *heavy.verdicts):
        assert "is used" in each.reading.assumptions[0]
        assert set(each.reading.sources) <= set(wear.BOOKS)
    gap = wear.rule_mm("ring_gap_per_inch", 74)
    assert (gap.low, gap.high) == (pytest.approx(74 * 0.003), pytest.approx(74 * 0.004))
    for row in table("wear_rules"):
        assert all(cite(key) for key in wear.rule_mm(row["key"], 50).sources)


PUBLISHED_PARTS = (  # part, size when new mm, limit mm: worked from tests/published/wear_rules.csv
    ("journal ovality", 50.8, 0.0004 * 50.8),  # TM 10-3930: 0.0004 in per inch of diameter
    ("crankshaft end float", 0.2, 0.2 + 0.005 * 25.4),  # TM 10-3930: 0.005 in over high limit
    ("valve stem", 7.0, 7.0 - 0.001 * 25.4),  # TM 10-3930: 0.001 in in all
    ("valve seat width", 1.2, 1.2 * 1.15),  # TM 10-3930: plus 15 percent
    ("piston clearance", None, 0.1),  # manual of an 85 cm3 two-stroke single
)


@pytest.mark.parametrize(("part", "nominal", "limit"), PUBLISHED_PARTS, ids=str)
def test_parts_with_a_page_behind_them(part: str, nominal: float | None, limit: float) -> None:
    rule = wear.part_rule(part, nominal)
    assert rule.limit_mm == pytest.approx(limit)
    assert not rule.memory
    beyond = limit + 0.05 if rule.grows else limit - 0.05
    found = wear.judge_part(part, beyond, nominal_mm=nominal)
    assert found.verdict is Verdict.CONDEMNED
    assert found.reading.sources == (rule.source,)
    assert rule.source in wear.BOOKS
    assert "is used" in found.reading.assumptions[0]


def test_parts_from_memory_say_so_and_the_makers_limit_wins() -> None:
    """Common practice, no source: which way each wears is what can be checked."""
    smaller = {"gudgeon pin", "piston skirt", "cam lobe", "valve stem"}
    for part in wear.parts():
        rule = wear.part_rule(part, 20.0)
        assert rule.grows == (part not in smaller), part
        found = wear.judge_part(part, rule.limit_mm, nominal_mm=20.0)
        assert ("from memory: doubtful" in found.reading.assumptions[0]) is rule.memory
        assert rule.memory == (part not in {name for name, _, _ in PUBLISHED_PARTS})
        maker = wear.judge_part(part, 21.0 if rule.grows else 19.0, limit_mm=20.0)
        assert maker.verdict is Verdict.CONDEMNED
        assert maker.reading.sources == ("maker",)


@pytest.mark.parametrize(
    ("typed", "part"),
    [
        ("little end bush", "small end"), ("piston pin", "gudgeon pin"), ("crankpin",
         "journal ovality"), ("end-play", "crankshaft end float"), ("cam lift", "cam lobe"),
        ("inlet valve guide", "inlet valve guide"), ("exhaust guide", "exhaust valve guide"),
        ("guide", "valve guide"), ("small end clearance", "pin clearance"),
        ("gudgeon pin play", "pin clearance"), ("ring groove", "ring side clearance"),
        ("camshaft journal", "camshaft journal"), ("skirt", "piston skirt"), ("brake pad", ""),
    ],
)  # fmt: skip
def test_parts_by_their_names(typed: str, part: str) -> None:
    assert wear.part_named(typed) == part


def test_each_rule_names_its_book() -> None:
    """The key is that of the source that the row prints."""
    words = {"tm-10-3930": "TM 10-3930", "wear-85": "85 cm3", "wear-350": "350 cm3",
             "wear-450": "450 cm3", "wear-600": "600 cm3", "wear-practice": "common practice",
             "wear-memory": "memory"}  # fmt: skip
    for row in (*table("wear_rules"), *table("wear_parts")):
        assert words[row["book"]] in row["source"], row


def test_piston_clearance() -> None:
    got = wear.clearance(47.55, 47.46)
    assert got.value == pytest.approx(0.09)
    assert got.high - got.value == pytest.approx(2 * 2**0.5 * 0.005)


# ISO 286-2 tables, from memory: class, size, upper, lower.
@pytest.mark.parametrize(
    ("name", "size", "upper", "lower"),
    [("H7", 60, 30, 0), ("h6", 60, 0, -19), ("k6", 60, 21, 2), ("m6", 100, 35, 13),
     ("p6", 100, 59, 37), ("r6", 60, 60, 41), ("s6", 25, 48, 35), ("g6", 100, -12, -34),
     ("f7", 25, -20, -41), ("K7", 25, 6, -15), ("P7", 25, -14, -35), ("M7", 100, 0, -35),
     ("N9", 25, 0, -52), ("JS7", 25, 10.5, -10.5), ("J7", 60, 18, -12), ("H11", 25, 130, 0),
     ("c11", 35, -120, -280), ("d9", 25, -65, -117), ("F8", 25, 53, 20), ("N7", 2, -4, -14),
     ("K8", 25, 10, -23), ("S7", 25, -27, -48), ("js5", 3, 2, -2)],
)  # fmt: skip
def test_more_classes(name: str, size: float, upper: float, lower: float) -> None:
    got = wear.deviations(name, size)
    assert (got.upper_um, got.lower_um) == (upper, lower)


@pytest.mark.parametrize("letter", ["p", "r", "s"])
@pytest.mark.parametrize("size", [5, 15, 40, 100])
def test_hole_and_shaft_systems_fit_alike(letter: str, size: float) -> None:
    """ISO 286-1, 4.3.3: H7/p6 and P7/h6 have the same clearance."""
    one, other = wear.fit(f"{size} H7/{letter}6"), wear.fit(f"{size} {letter.upper()}7/h6")
    assert (one.low, one.high) == (other.low, other.high)
    assert "interference" in one.what


@pytest.mark.parametrize(
    ("call", "error", "message"),
    [
        (lambda: wear.fit("H7/k6"), BadValue, "at what size"),
        (lambda: wear.fit("tight"), NotationError, "cannot read a fit"),
        (lambda: wear.deviations("q6", 20), BadValue, "no figures for q6"),
        (lambda: wear.deviations("H99", 20), BadValue, "IT99"),
        (lambda: wear.deviations("H7", 0), BadValue, "size 0 mm"),
        (lambda: wear.deviations("7H", 20), NotationError, "tolerance class"),
        (lambda: wear.judge("x", -1), BadValue, "x: reading -1 mm"),
        (lambda: wear.judge("x", 5, limit_mm=5.1), BadValue, "larger or smaller"),
        (lambda: wear.judge("x", 5, nominal_mm=5, limit_mm=4.9, grows=True), BadValue,
         "on the other side"),
        (lambda: wear.measure_bore({}), BadValue, "at least one reading"),
        (lambda: wear.measure_bore({"top": {"a": 47, "b": 74}}), BadValue, "not of one bore"),
        (lambda: wear.clearance(47.5, 47.6), BadValue, "does not run"),
        (lambda: wear.rule_mm("bore_wear"), BadValue, "goes by the bore"),
        (lambda: wear.rule_mm("luck"), NotFound, "no wear rule"),
        (lambda: wear.part_rule("luck"), NotFound, "no rule of wear"),
        (lambda: wear.part_rule("gudgeon pin"), BadValue, "its size when new"),
        (lambda: wear.judge_part("journal ovality", 37.96, nominal_mm=38), BadValue, "is a size"),
        (lambda: wear.part_rule("gudgeon pin", -1), BadValue, "nominal -1 mm"),
    ],
)  # fmt: skip
def test_nonsense_is_refused(call: object, error: type[Exception], message: str) -> None:
    assert callable(call)
    with pytest.raises(error, match=message):
        call()
