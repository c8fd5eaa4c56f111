"""Consumables: what people call them and how they say how much; the unit sums are by hand."""

import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from stores.errors import BadValue, NotationError, NotFound, StoresError
from stores.handbook.consumables import (
    Consumable,
    consumables,
    kind_by_key,
    kind_named,
    kinds_said,
    read_amount,
)


@pytest.mark.parametrize(
    ("said", "key"),
    [
        ("medium threadlocker", "threadlocker-medium"),
        ("Medium Strength Thread Locker", "threadlocker-medium"),
        ("stud lock", "threadlocker-high"),
        ("flange sealant", "flange-sealant"),
        ("lithium grease", "lithium-grease"),
        ("lithum greese", "lithium-grease"),
        ("copper grease", "anti-seize-copper"),
        ("red rubber grease", "rubber-grease"),
        ("SAE 140", "gear-oil"),
        ("EP 90", "gear-oil"),
        ("80W/90", "gear-oil"),
        ("20W/50", "engine-oil"),
        ("DOT 4", "brake-fluid-glycol"),
        ("DOT 5.1", "brake-fluid-glycol"),
        ("DOT 5", "brake-fluid-silicone"),
        ("wire", "electrical-wire"),
        ("red wire 1 mm", "electrical-wire"),
        ("locking wire", "locking-wire"),
        ("wire wool", "wire-wool"),
        ("1.5 mm gasket paper", "gasket-paper"),
        ("wet and dry P400", "abrasive-paper"),
        ("cutting disks", "cutting-disc"),
        ("superglue", "cyanoacrylate"),
        ("white spirit", "white-spirit"),
        ("fuel pipe", "fuel-hose"),
        ("O-rings", "o-rings"),
        ("split pins", "split-pins"),
        ("copper washers", "sealing-washers"),
        ("citric acid", "citric-acid"),
        ("distilled water", "distilled-water"),
    ],
)
def test_what_people_call_it(said: str, key: str) -> None:
    assert kind_named(said).key == key


@pytest.mark.parametrize("said", ["oil filter", "paint brush", "wire loom", "fuel pump", "magneto"])
def test_another_thing_is_none_of_them(said: str) -> None:
    assert kinds_said(said) == ()
    with pytest.raises(NotFound, match=re.escape(repr(said))):
        kind_named(said)


@pytest.mark.parametrize(
    ("said", "among"),
    [
        ("brake fluid", {"brake-fluid-glycol", "brake-fluid-silicone"}),
        ("threadlocker", {"threadlocker-low", "threadlocker-high"}),
        ("grease", {"lithium-grease", "calcium-grease"}),
        ("silicone sealant", {"silicone-acetic", "silicone-neutral"}),
        ("primer", {"primer", "etch-primer"}),
    ],
)
def test_a_name_of_several_is_asked_about(said: str, among: set[str]) -> None:
    assert among <= {kind.key for kind in kinds_said(said)}
    with pytest.raises(BadValue, match=f"which {said}"):
        kind_named(said)


@pytest.mark.parametrize("kind", consumables(), ids=lambda kind: kind.key)
def test_each_kind_is_sound_and_found_by_its_names(kind: Consumable) -> None:
    assert kind_named(kind.name) is kind
    assert all(kind in kinds_said(name) for name in kind.names)
    assert kind.unit in ("ml", "g", "mm", "cm2", "piece")
    assert kind.basis in ("published", "mixed", "memory")
    for low, high in (kind.unopened, kind.opened):
        assert low is None or 0 <= low <= (600 if high is None else high)
    assert kind.density is None or kind.unit in ("ml", "g")
    assert all((kind.key, kind.family, kind.hazards, kind.source, kind.disposal))


def test_keys_are_unique_and_unknown_ones_refused() -> None:
    keys = [kind.key for kind in consumables()]
    assert len(set(keys)) == len(keys) == 141
    assert kind_by_key("petrol").name == "petrol"
    with pytest.raises(NotFound, match="no kind of consumable 'nectar'"):
        kind_by_key("nectar")
    with pytest.raises(NotationError, match="which consumable"):
        kind_named("  ")


@pytest.mark.parametrize(
    ("said", "canonical"),
    [
        ("2 sheets of 1.5 mm gasket paper 500 x 500",
         "5000 cm2 of 1.5 mm gasket paper (sheets 500 x 500 mm)"),
        ("2 500 x 500 sheets of 1.5 mm gasket paper",
         "5000 cm2 of 1.5 mm gasket paper (sheets 500 x 500 mm)"),
        ("half a sheet of 0.5 mm gasket paper 500 x 1000 mm",
         "about 2500 cm2 of 0.5 mm gasket paper (sheets 500 x 1000 mm)"),
        ("A4 sheet of gasket paper", "624 cm2 of gasket paper (sheets 210 x 297 mm)"),
        ("cork 12 x 12 in", "930 cm2 of cork (sheets 305 x 305 mm)"),
        ("0.5 m2 cork", "5000 cm2 of cork"),
        ("half a 50 ml tube of flange sealant", "about 25 ml of flange sealant (pack 50 ml)"),
        ("flange sealant 50 ml tube, half full", "about 25 ml of flange sealant (pack 50 ml)"),
        ("flange sealant, 2 tubes 50 ml", "100 ml of flange sealant (pack 50 ml)"),
        ("2 x 50 ml tubes of flange sealant", "100 ml of flange sealant (pack 50 ml)"),
        ("2 tubes 50 ml", "100 ml (pack 50 ml)"),
        ("20 m of wire", "20000 mm of wire"),
        ("20 m of 1.5 mm wire", "20000 mm of 1.5 mm wire"),
        ("12 ft of wire", "3658 mm of wire"),
        ("masking tape 25 mm, 50 m roll", "50000 mm of masking tape 25 mm (pack 50000 mm)"),
        ("1 roll masking tape 50 m x 25 mm", "50000 mm of masking tape 25 mm (pack 50000 mm)"),
        ("1 l can SAE 140", "1000 ml of SAE 140 (pack 1000 ml)"),
        ("gear oil SAE 90 1 l can", "1000 ml of gear oil SAE 90 (pack 1000 ml)"),
        ("3/4 of a 400 g cartridge lithium grease",
         "about 300 g of lithium grease (pack 400 g)"),
        ("two and a half 400 g cartridges lithium grease",
         "about 1000 g of lithium grease (pack 400 g)"),
        ("1½ tins of 500 ml enamel", "about 750 ml of enamel (pack 500 ml)"),
        ("500 ml DOT 4 bottle, a quarter used", "about 375 ml of DOT 4 (pack 500 ml)"),
        ("75 % of a 1 l tin of enamel", "about 750 ml of enamel (pack 1000 ml)"),
        ("two thirds of a 5 l can of engine oil left",
         "about 3333 ml of engine oil (pack 5000 ml)"),
        ("half a litre of gear oil", "500 ml of gear oil"),
        ("about 200 ml of white spirit", "about 200 ml of white spirit"),
        ("1 imp gallon white spirit", "4546 ml of white spirit"),
        ("4 oz of lithium grease", "113 g of lithium grease"),
        ("100 split pins", "100 pieces of split pins"),
        ("2 boxes of 100 nitrile gloves", "200 pieces of nitrile gloves (pack 100 pieces)"),
        ("half a box of 100 nitrile gloves", "about 50 pieces of nitrile gloves (pack 100 pieces)"),
        ("3 pairs of latex gloves", "6 pieces of latex gloves"),
        ("a dozen 35 A fuses", "12 pieces of 35 A fuses"),
        ("2 cutting discs 115 mm", "2 pieces of cutting discs 115 mm"),
        ("10 sheets of P400 wet and dry", "10 pieces of P400 wet and dry"),
        ("cable ties x 100", "100 pieces of cable ties"),
        ("9 l of argon at 200 bar", "about 1800000 ml of argon"),
        ("200 ml of blorf", "200 ml of blorf"),
        ("400 g tin lithium grease, 150 g left", "150 g of lithium grease (pack 400 g)"),
        ("box of 100 nitrile gloves, about 40 left",
         "about 40 pieces of nitrile gloves (pack 100 pieces)"),
        ("24 ml epoxy, about half", "about 12 ml of epoxy (pack 24 ml)"),
        ("20 litre drum of white spirit three quarters full",
         "about 15000 ml of white spirit (pack 20000 ml)"),
        ("gasket paper, 1 m x 500 mm", "5000 cm2 of gasket paper (sheets 1000 x 500 mm)"),
        ("0.1 mm shim brass 150 x 300", "450 cm2 of 0.1 mm shim brass (sheets 150 x 300 mm)"),
        ("roll electrical tape 20 m x 19 mm",
         "20000 mm of electrical tape 19 mm (pack 20000 mm)"),
        ("2 stroke oil 500 ml", "500 ml of 2 stroke oil"),
        ("3 tins of 2 pack paint 1 l", "3000 ml of 2 pack paint (pack 1000 ml)"),
        ("cup grease 500 g", "500 g of cup grease"),
        ("glass bead, 2 bags 25 kg", "50000 g of glass bead (pack 25000 g)"),
        ("100 6013 rods 2.5 mm", "100 pieces of 6013 rods 2.5 mm"),
        ("10 off 3.2 x 40 split pins", "10 pieces of 3.2 x 40 split pins"),
        ("5m 1/4 in fuel hose", "5000 mm of 1/4 in fuel hose"),
        ("two tins red oxide 1 litre each", "2000 ml of red oxide (pack 1000 ml)"),
    ],
)  # fmt: skip
def test_amounts_as_they_are_said(said: str, canonical: str) -> None:
    made = read_amount(said)
    assert str(made) == canonical
    assert made.words == said
    assert read_amount(canonical) == made


def test_a_weight_of_what_is_kept_by_volume_is_an_estimate_by_its_density() -> None:
    made = read_amount("400 g gear oil")
    assert (made.unit, made.quantity, made.estimated) == ("ml", 444, True)  # 400 / 0.9, memory


@pytest.mark.parametrize(
    ("said", "error", "message"),
    [
        ("half a tube of flange sealant", BadValue, "how much is in one tube of flange sealant"),
        ("about a third left", BadValue, "how much is in one pack"),
        ("2 flange sealant", BadValue, "usual: 25 ml, 50 ml, 300 ml"),
        ("about a cupful", NotationError, "'cupful' at character 9"),
        ("some grease", NotationError, "Measure or weigh it"),
        ("500 g grease", BadValue, "which grease"),
        ("1/2 pint of oil", BadValue, "imperial or US"),
        ("1 1/2 l can of gear oil", BadValue, "write 1 x 1/2 l, or 1.5 l"),
        ("1,500 ml gear oil", NotationError, "1.500 or 1500"),
        ("25 mm masking tape", BadValue, "the width or bore"),
        ("cork 12 x 12", BadValue, "mm or inches"),
        ("2 m felt strip", BadValue, "how wide"),
        ("9 l cylinder of argon", BadValue, "water capacity"),
        ("1 kg rutile electrodes", BadValue, "by the piece"),
        ("2 m of engine oil", BadValue, "recorded in ml"),
        ("2 tins and half a tin of enamel 1 l", NotationError, "two amounts"),
        ("2 of 3 fuses", NotationError, "two counts"),
        ("nearly full 1 l can of gear oil", NotationError, "Measure or weigh it"),
        ("99999999 l gear oil", BadValue, "slip"),
        ("0.2 ml of gear oil", BadValue, "too little"),
        ("-5 ml gear oil", NotationError, "how much of it"),
        ("gear oil", NotationError, "how much of it"),
        ("tin of enamel 1 litre, nearly empty", NotationError, "a share, as a third left"),
        ("250g reel of solder, a bit left", NotationError, "'a bit left' at character 22"),
        ("400 g tin lithium grease, 500 g left", BadValue, "more than one pack holds"),
        ("400 g tin lithium grease, 3 left", BadValue, "write the unit"),
        ("2 x 400 g tins lithium grease, 150 g left", NotationError, "a line of their own"),
        ("hose clips 12-20 mm x 4", NotationError, "how many"),
        ("25 m of cable", BadValue, "which cable"),
        ("", NotationError, "empty"),
    ],
)
def test_what_cannot_be_told_is_asked(said: str, error: type[StoresError], message: str) -> None:
    with pytest.raises(error, match=message):
        read_amount(said)


def test_a_known_pack_answers_for_a_share() -> None:
    kind = kind_named("flange sealant")
    left = read_amount("about a third left", kind, 50)
    assert (left.kind, left.unit, left.quantity, left.estimated) == (kind, "ml", 17, True)
    assert read_amount("half a tube", kind, 50).quantity == 25
    assert read_amount("2 tubes", kind, 50).quantity == 100
    assert read_amount("32 ml", kind, 50).pack is None
    assert read_amount("empty", kind, 50).quantity == 0
    with pytest.raises(BadValue, match="write the unit"):
        read_amount("32", kind, 50)
    fuses = read_amount("32", kind_named("fuses"))
    assert (fuses.quantity, fuses.unit, fuses.estimated) == (32, "piece", False)


SIZES = {"ml": ["ml", "l"], "g": ["g", "kg"], "mm": ["m"]}
PACKS = {"ml": "tube tin can bottle", "g": "tin cartridge tub", "mm": "roll reel coil"}


@st.composite
def lines(draw: st.DrawFn) -> tuple[str, int | None]:
    """Draw a line and, where it says whole packs, what it comes to in base units."""
    kind = draw(st.sampled_from(consumables()))
    names = [name for name in (kind.name, *kind.names) if kinds_said(name) == (kind,)]
    name = draw(st.sampled_from(names))
    count = draw(st.integers(1, 40))
    if kind.unit == "piece":
        size = draw(st.integers(1, 500))
        form = draw(st.sampled_from(["{c} boxes of {s} {n}", "about {c} packets of {s} {n}"]))
        return form.format(c=count, s=size, n=name), count * size
    if kind.unit == "cm2":
        wide, long = draw(st.integers(6, 150)) * 10, draw(st.integers(6, 150)) * 10
        form = draw(
            st.sampled_from(["{c} sheets of {n} {w} x {l} mm", "{c} {w} x {l} mm sheets {n}"])
        )
        return form.format(c=count, n=name, w=wide, l=long), count * wide * long // 100
    unit = draw(st.sampled_from(SIZES[kind.unit]))
    pack = draw(st.sampled_from(PACKS[kind.unit].split()))
    size = draw(st.integers(1, 900))
    form, factor = draw(
        st.sampled_from(
            [("{c} x {s} {u} {p}s of {n}", 1), ("{c} {p}s of {s} {u} {n}", 1),
             ("{n}, {c} {p}s {s} {u}", 1), ("half a {s} {u} {p} of {n}", 0),
             ("about a third of a {s} {u} {p} of {n}", 0), ("{n} {s} {u} {p}, two thirds full", 0)]
        )
    )  # fmt: skip
    whole = count * size * {"l": 1000, "kg": 1000, "m": 1000}.get(unit, 1) * factor
    return form.format(c=count, s=size, u=unit, p=pack, n=name), whole or None


@given(lines())
@example(("40 boxes of 1 nitrile gloves", 40))
def test_an_amount_reads_back_to_itself(line: tuple[str, int | None]) -> None:
    text, whole = line
    try:
        made = read_amount(text)
    except BadValue as error:
        said = str(error)
    else:
        said = ""
    if said:
        assert re.search("too little|water capacity|which is the length", said), text
        return
    assert made.kind is not None
    if whole is not None:
        assert made.quantity == whole
    assert read_amount(str(made)) == made
    assert str(read_amount(str(made))) == str(made)


@given(st.text(max_size=60))
@example("1/0 l oil")
@example("9 l at bar argon")
@example("½")
@example("1 x x 2 mm cork")
def test_anything_typed_is_read_or_refused_in_one_line(text: str) -> None:
    made, said = None, ""
    try:
        made = read_amount(text)
    except StoresError as error:
        said = str(error)
    assert "\n" not in said
    assert made is None or read_amount(str(made)) == made
