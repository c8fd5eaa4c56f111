"""Rules in words: what is not plated, what is renewed, and that each has its reason and source.

Figures: ISO 898-1 and ISO 4042 as named; practice: workshop manuals and trade articles.
"""

import pytest

from stores.errors import BadValue
from stores.handbook.answer import cite
from stores.handbook.bench_rules.plating import plating_warning
from stores.handbook.bench_rules.rules import renew_kinds, renewals, rules, topics
from stores.handbook.table import table

# plating


@pytest.mark.parametrize(
    "what",
    [
        "10.9", "12.9", "class 10.9", "M8 x 30 hex 10.9", "SAE 8", "grade 8", "grade V", "grade X",
        "320 HV", "400 HV10", "34 HRC", "31 HRC", "1000 MPa", "1040 N/mm2", "67 tonf/in2",
        "150000 psi", "spring", "spring washer", "valve spring", "circlip", "roll pin",
        "socket cap screw", "grub screw", "case-hardened pin",
    ],
)  # fmt: skip
def test_strong_steel_and_springs_are_not_plated(what: str) -> None:
    """ISO 4042: 1000 MPa, 320 HV and above. SAE 8 has 1034 MPa (SAE J429), grade V 65 tonf/in2."""
    rule = plating_warning(what)
    assert rule is not None
    assert "no electroplating" in rule.text
    assert "iso-4042" in rule.sources
    assert rule.instead
    assert any("acid" in text.lower() for text in rule.cautions)


@pytest.mark.parametrize(
    "what",
    ["8.8", "9.8", "4.6", "SAE 5", "grade R", "grade T", "A4-80", "A2-70", "brass", "300 HV",
     "25 HRC", "800 MPa", "bracket", "mudguard stay"],
)  # fmt: skip
def test_milder_steel_may_be_plated(what: str) -> None:
    assert plating_warning(what) is None


def test_a_spring_retainer_is_hardened_but_no_spring() -> None:
    rule = plating_warning("valve spring retainer")
    assert rule is not None
    assert "hardened" in rule.text
    assert plating_warning("spring hook plate") is None


def test_what_is_unmarked_may_be_strong() -> None:
    for text in ("", "unknown", "unmarked"):
        rule = plating_warning(text)
        assert rule is not None
        assert "not known" in rule.text
    assert plating_warning(hardness_hv=320) is not None
    assert plating_warning(hardness_hv=319) is None
    assert plating_warning(rm_mpa=1000) is not None
    assert plating_warning("bracket", spring=True) is not None


def test_baking_is_as_platers_quote_it() -> None:
    """Trade: 190 to 220 C, 2 to 24 h, begun within 1 to 4 h; a spring is renewed."""
    bolt, spring = plating_warning("12.9"), plating_warning("valve spring")
    assert bolt is not None
    assert spring is not None
    assert any("190 to 220 C for 2 to 24 h" in text for text in bolt.cautions)
    assert not any("bakes" in text for text in spring.cautions)
    assert any("renew" in text for text in spring.instead)


# renewing


@pytest.mark.parametrize(
    "text",
    ["split pin", "cotter pins", "tab washer", "lock tab", "nylon insert nut",
     "self-locking nut M8", "crush washer", "copper washers", "O-ring 20x2", "head gasket",
     "oil seal 20x35x7", "gudgeon pin circlip", "wrist-pin clip", "lock wire", "stretch bolt",
     "angle-tightened bolt", "patch screw", "roll pin", "big-end bolts", "core plug",
     "M14 castle nut, split pin"],
)  # fmt: skip
def test_always_renewed(text: str) -> None:
    """Trade: gaskets, O-rings, oil seals, tab washers, split pins, roll pins, self-locking nuts,
    sealing washers; gudgeon-pin clips always."""
    firm = [rule for rule in renewals(text) if rule.firm]
    assert firm
    assert all(rule.why for rule in firm)


@pytest.mark.parametrize(
    "text", ["circlip", "woodruff key", "spring washer", "castle nut", "lock nut", "locknut"]
)
def test_renewed_unless_sound(text: str) -> None:
    """Trade: circlips, some manuals only if distorted; woodruff keys may stay if unworn."""
    (rule,) = renewals(text)
    assert not rule.firm


@pytest.mark.parametrize("text", ["bolt", "hex nut", "plain washer", "dowel", "", "ring spanner"])
def test_what_may_be_used_again(text: str) -> None:
    assert renewals(text) == ()


def test_all_that_a_line_names() -> None:
    texts = [rule.text for rule in renewals("4x M8 nuts, 4 tab washers, copper gasket & O-rings")]
    assert len(texts) == 3
    assert texts[0].startswith("tab washer")
    assert all(renewals(kind) for kind in renew_kinds())


# rules in words


def test_every_rule_has_a_reason_and_a_source() -> None:
    assert {"castle nut", "spark plug", "plating", "renewing", "studs", "inserts"} <= set(topics())
    for rule in rules():
        assert rule.text.endswith(".")
        assert rule.why
        assert all(cite(key) for key in rule.sources)
        assert rule.topic in topics()
    for kind in renew_kinds():
        assert all(cite(key) for rule in renewals(kind) for key in rule.sources)
    assert rules("castle") == rules("castle nut")
    with pytest.raises(BadValue, match="there are some on"):
        rules("welding")


def test_rules_of_wear_repeat_the_table_with_its_source() -> None:
    """Each figure of a rule stands in wear_rules.csv, checked there against the published rows."""
    figures = {row["key"]: row["value"] for row in table("wear_rules")}
    told = {rule.text: rule.sources for rule in rules("wear")}
    for key, words, source in (
        ("valve_stem", "Valve stem", "tm-10-3930"),
        ("journal_out_of_round", "Journal", "tm-10-3930"),
        ("end_play_over", "Crankshaft end play", "tm-10-3930"),
        ("rebore_single", "Long-stroke", "wear-350"),
        ("ring_gap_per_inch", "Piston ring", "wear-practice"),
        ("clearance_air_cooled", "Piston in an air-cooled", "wear-practice"),
    ):
        text = next(each for each in told if each.startswith(words))
        assert f"{figures[key]} in" in text or f"{figures[key]} to" in text
        assert told[text] == (source,)
    both = " ".join(rule.text for rule in rules("compression"))
    limits = {row["key"]: float(row["value"]) for row in table("fluids_compression_rules")
              if row["key"] in ("lowest_of_highest", "spread")}  # fmt: skip
    assert f"{100 * limits['lowest_of_highest']:.0f} per cent" in both
    assert f"{100 * limits['spread']:.0f} per cent" in both
