"""Two-stroke mixture: what is poured in, weighed against parts of petrol and oil by hand."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stores.errors import BadValue, NotationError
from stores.handbook import mixture
from stores.handbook.answer import cite
from stores.handbook.mixture import read_ratio


@pytest.mark.parametrize(
    ("text", "ratio"),
    [("25:1", 25), ("1:25", 25), ("25 to 1", 25), ("25", 25), ("4 %", 25), ("4 per cent oil", 25),
     ("1/2 pint to the gallon", 16), ("half a pint to the gallon", 16),
     ("1 imp pint per imp gallon", 8), ("3.2 imp fl oz to 1 imp gallon", 50),
     ("100 ml to 2.5 l", 25), ("16,5:1", Fraction(33, 2))],
)  # fmt: skip
def test_ratios_are_read(text: str, ratio: Fraction) -> None:
    assert read_ratio(text) == ratio


@pytest.mark.parametrize(
    ("text", "error", "message"),
    [
        ("2:3", NotationError, "so many to 1"),
        ("plenty", NotationError, "cannot read"),
        ("0 %", NotationError, "cannot read"),
        ("1:2", BadValue, "ratio 2 to 1: expected 4 to 200"),
        ("1000:1", BadValue, "expected 4 to 200"),
        ("5 fl oz to the gallon", BadValue, "imperial and US measures differ"),
        ("3 mm to the gallon", BadValue, "mm"),
        ("0 pint to the gallon", NotationError, "without oil"),
    ],
)
def test_ratios_refused(text: str, error: type[Exception], message: str) -> None:
    with pytest.raises(error, match=message):
        read_ratio(text)


def test_oil_for_petrol_and_oil_in_mixture_differ_and_say_so() -> None:
    added, within = mixture.oil_for_petrol(5000, 25), mixture.oil_in_mixture(5200, 25)
    assert added.value == within.value == 200  # 5000 of petrol and 200 of oil are 5200
    assert mixture.oil_in_mixture(5000, 25).value == pytest.approx(5000 / 26)
    assert "petrol alone" in added.assumptions[0]
    assert "together" in within.assumptions[0]
    assert mixture.petrol_for_oil(200, 25).value == 5000
    assert mixture.ratio_of(5000, 200).value == 25
    for answer in (added, within):
        assert answer.low < answer.value < answer.high
        assert any("no flame" in caution for caution in answer.cautions)
        assert all(cite(key) for key in answer.sources)


volumes = st.integers(1, 20_000)
ratios = st.integers(8, 100)


@given(volumes, ratios, volumes, ratios)
def test_topping_up_gives_the_ratio_or_says_why_not(
    held: int, old: int, more: int, new: int
) -> None:
    total = held + more
    oil_before = Fraction(held, old + 1)
    wanted = Fraction(total, new + 1)
    try:
        got = mixture.top_up(held, old, total, new)
    except BadValue as error:
        too_rich, too_lean = wanted < oil_before, total - wanted < held - oil_before
        assert ("too much oil" in str(error), "too little oil" in str(error)) == (  # noqa: PT017
            too_rich,
            too_lean,
        )
        return
    assert oil_before + Fraction(got.oil.value) == pytest.approx(wanted, rel=1e-9)
    assert got.oil.value + got.petrol.value == pytest.approx(more, rel=1e-9)


@given(volumes, ratios, volumes, ratios)
def test_petrol_from_the_pump(held: int, old: int, petrol: int, new: int) -> None:
    oil_before = Fraction(held, old + 1)
    try:
        got = mixture.adding_petrol(held, old, petrol, new)
    except BadValue:
        assert (held - oil_before + petrol) < oil_before * new
        return
    oil = float(oil_before) + got.oil.value
    assert (float(held - oil_before) + petrol) / oil == pytest.approx(new, rel=1e-9)


def test_a_tank_of_plain_petrol_and_a_full_tank() -> None:
    got = mixture.adding_petrol(5000, None, 0, 25)
    assert got.oil.value == 200
    with pytest.raises(BadValue, match="drain first"):
        mixture.top_up(6000, 25, 5000, 25)
    with pytest.raises(BadValue, match="fill to at least"):
        mixture.top_up(4000, 16, 4100, 50)
    with pytest.raises(BadValue, match="in the tank -1 ml"):
        mixture.top_up(-1, 16, 4100, 50)
    with pytest.raises(BadValue, match="without oil"):
        mixture.ratio_of(5000, 0)
