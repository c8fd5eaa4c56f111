"""The hazards that steps of a strip-down bring with them, each met by its usual caution.

Common practice of workshop manuals and safety leaflets; no single source.
"""

import pytest

from stores.handbook.cautions import CAUTIONS, SECOND_PERSON, cautions_for

HAZARDS = [
    ("drum brake, 2 brake shoe", "asbestos"),
    ("clutch plates", "asbestos"),
    ("cylinder head gasket (exhaust)", "asbestos"),
    ("exhaust gasket", "do not scrape"),
    ("fork cap, left", "Springs fly"),
    ("2 circlip 40 internal", "Circlips fly"),
    ("gas damper, rear", "never open a gas damper"),
    ("air forks", "let the air out first"),
    ("battery", "hydrogen and acid"),
    ("petrol tank", "no hot work"),
    ("bolts, cadmium plated", "no dry brushing"),
    ("cleaned on the wire wheel", "missiles"),
    ("derusting in acid", "hydrogen embrittlement"),
    ("4 M10x40 bolt 10.9", "hydrogen embrittlement"),
    ("2 bearing 6203", "air line"),
    ("crankcase", "count it out before closing"),
    ("handlebar", "second person"),
    ("rear wheel", "second person"),
    ("lifting eye bolt", "rated parts"),
    ("new brake fluid", "never from an old opened tin"),
    ("DOT 4", "never from an old opened tin"),
    ("two-pack black", "air-fed hood"),
    ("cellulose thinners", "lidded metal bin"),
    ("chlorinated brake cleaner", "never before welding"),
    ("medium threadlocker", "allergic"),
    ("argon", "never in a pit"),
    ("oxy-acetylene", "flashback arrestors"),
    ("cutting disc", "past its date"),
    ("boiled linseed oil", "heat by themselves"),
    ("caustic soda", "never with aluminium"),
]


@pytest.mark.parametrize(("words", "said"), HAZARDS, ids=[words for words, _ in HAZARDS])
def test_a_hazard_has_its_caution(words: str, said: str) -> None:
    assert any(said in caution for caution in cautions_for(words))


@pytest.mark.parametrize(
    "words", ["saddle", "petcock lever", "mudguard", "silencer clip", "number plate", "tool box"]
)
def test_what_is_harmless_has_none(words: str) -> None:
    assert cautions_for(words) == ()


def test_cautions_do_not_repeat_themselves() -> None:
    said = cautions_for("brake shoe, brake plate, brake lining, circlip, circlip")
    assert len(said) == len(set(said)) == 2


def test_each_caution_that_asks_for_a_second_person_is_known_for_it() -> None:
    assert {text for _, text in CAUTIONS if "second person" in text} == SECOND_PERSON
