"""Units against their legal definitions, and every conversion against pint."""

import csv
import unicodedata
from fractions import Fraction
from itertools import permutations
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stores import units
from stores.errors import BadValue, NotationError
from stores.units import Kind, convert, plain, read, unit

PUBLISHED = Path(__file__).parent / "published"

# Our name -> pint's.
PINT = {
    "mm": "millimeter", "cm": "centimeter", "m": "meter", "um": "micrometer", "in": "inch",
    "thou": "thou", "ft": "foot", "yd": "yard", "mm2": "millimeter**2",
    "cm2": "centimeter**2", "m2": "meter**2", "in2": "inch**2", "ft2": "foot**2", "oz av": "ounce",
    "N m": "newton*meter", "N cm": "newton*centimeter",
    "kgf m": "kilogram_force*meter", "kgf cm": "kilogram_force*centimeter",
    "lbf ft": "pound_force*foot", "lbf in": "pound_force*inch", "ozf in": "ounce_force*inch",
    "ml": "milliliter", "cl": "centiliter", "dl": "deciliter", "l": "liter", "in3": "inch**3",
    "imp gallon": "imperial_gallon", "imp quart": "imperial_quart", "imp pint": "imperial_pint",
    "imp fl oz": "imperial_fluid_ounce", "US gallon": "gallon", "US quart": "liquid_quart",
    "US pint": "pint", "US fl oz": "fluid_ounce", "kPa": "kilopascal", "Pa": "pascal",
    "hPa": "hectopascal", "MPa": "megapascal", "bar": "bar", "psi": "psi",
    "kgf/cm2": "kilogram_force/centimeter**2", "atm": "atmosphere", "mmHg": "millimeter_Hg",
    "inHg": "inch_Hg", "imp gill": "imperial_gill", "US gill": "gill", "g": "gram",
    "kg": "kilogram", "lb": "pound", "cwt": "long_hundredweight", "C": "degC", "F": "degF",
    "tonf/in2": "UK_force_ton/inch**2",
}  # fmt: skip
ALL = [unit(name) for name in PINT]
PAIRS = [pair for pair in permutations(ALL, 2) if pair[0].kind is pair[1].kind]


def test_every_unit_is_judged() -> None:
    assert {each.name for each in units._units()} == set(PINT)


def test_every_pair_against_pint() -> None:
    pint = pytest.importorskip("pint")
    registry = pint.UnitRegistry()
    for start, end in PAIRS:
        theirs = registry.Quantity(1.0, PINT[start.name]).to(PINT[end.name]).magnitude
        assert float(convert(1, start, end)) == pytest.approx(theirs, rel=1e-9), (start, end)


@pytest.mark.parametrize(("start", "end"), PAIRS, ids=str)
def test_there_and_back_is_exact(start: units.Unit, end: units.Unit) -> None:
    assert convert(convert(Fraction(7, 3), start, end), end, start) == Fraction(7, 3)


def rows() -> list[dict[str, str]]:
    with (PUBLISHED / "fluids_units.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


NAMES = {
    "imperial gallon": "imp gallon", "imperial quart": "imp quart", "imperial pint": "imp pint",
    "US liquid pint": "US pint", "US fluid ounce": "US fl oz", "cc (cubic centimetre)": "cc",
    "pound-force per square inch": "psi", "standard atmosphere": "atm", "bar": "bar",
    "kgf/cm2 (technical atmosphere)": "kgf/cm2", "pound-force foot": "lbf ft",
    "kilogram-force metre": "kgf m",
}  # fmt: skip


@pytest.mark.parametrize("row", rows(), ids=lambda r: f"{r['unit']} in {r['in']}")
def test_published_unit(row: dict[str, str]) -> None:
    if row["in"] == "count":
        small, large = row["unit"].replace("imperial", "imp").split(" per ")
        got = convert(1, large, small)
    else:
        got = convert(1, NAMES[row["unit"]], row["in"])
    if row["exactness"] == "exact":
        assert got == Fraction(row["value"])
    else:
        assert abs(got - Fraction(row["value"])) <= Fraction(1, 2) * Fraction(1, 10) ** len(
            row["value"].partition(".")[2]
        )


@pytest.mark.parametrize(
    ("text", "kind", "name", "value"),
    [
        ("1 1/2 imp pint", Kind.VOLUME, "imp pint", "3/2"),
        ("2½ pints imperial", Kind.VOLUME, "imp pint", "5/2"),
        ("0,75 L", Kind.VOLUME, "l", "3/4"),
        ("0,750 l", Kind.VOLUME, "l", "3/4"),
        ("750cc", Kind.VOLUME, "ml", "750"),
        ("5 U.S. fl. oz.", Kind.VOLUME, "US fl oz", "5"),
        ("12 lb-ft", Kind.TORQUE, "lbf ft", "12"),
        ("12 ft.lb", Kind.TORQUE, "lbf ft", "12"),
        ("8 Nm", Kind.TORQUE, "N m", "8"),
        ("1.2 mkg", Kind.TORQUE, "kgf m", "6/5"),
        ("998.8 mbar", Kind.PRESSURE, "hPa", "9988/10"),
        ("7 kg/cm2", Kind.PRESSURE, "kgf/cm2", "7"),
        ('3/8"', Kind.LENGTH, "in", "3/8"),
        ("8 thou", Kind.LENGTH, "thou", "8"),
    ],
)
def test_ways_of_writing(text: str, kind: Kind, name: str, value: str) -> None:
    got = read(text, kind)
    assert (got.unit.name, got.value) == (name, Fraction(value))


@pytest.mark.parametrize(
    ("text", "error", "message"),
    [
        ("1 pint", BadValue, "imperial or US"),
        ("2 gal", BadValue, "imperial or US"),
        ("6 fl oz", BadValue, "imperial or US"),
        ("-3 ml", BadValue, "nothing below zero"),
        ("1,500 ml", NotationError, "1.500 or 1500"),
        ("1,500.5 ml", NotationError, "without marks between thousands"),
        ("3", BadValue, "write the unit"),
        ("3 furlongs", BadValue, "no unit 'furlongs'"),
        ("3 mm", BadValue, "not a unit of volume"),
        ("some ml", NotationError, "expected a number"),
        ("1/0 ml", NotationError, "a fraction of nothing"),
        ("", NotationError, "expected a number"),
    ],
)
def test_what_is_refused(text: str, error: type[Exception], message: str) -> None:
    with pytest.raises(error, match=message):
        read(text, Kind.VOLUME)


def test_other_kinds_do_not_convert() -> None:
    with pytest.raises(BadValue, match="not a unit of volume"):
        convert(1, "ml", "mm")
    with pytest.raises(BadValue, match="finite"):
        convert(float("nan"), "ml", "l")
    with pytest.raises(BadValue, match="nm"):
        unit("nm")


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [("1.75975", 4, "1.76"), ("1234.5", 2, "1234"), ("0.000123456", 3, "0.000123"), ("0", 3, "0"),
     ("-2.50", 4, "-2.5"), ("100", 2, "100"), ("0.0999", 2, "0.1")],
)  # fmt: skip
def test_numbers_are_written_plainly(value: str, digits: int, text: str) -> None:
    assert plain(Fraction(value), digits) == text


def test_mixed_numbers_are_written() -> None:
    assert [units.mixed(Fraction(n, 4)) for n in (0, 1, 2, 4, 7, -5)] == [
        "0", "1/4", "1/2", "1", "1 3/4", "-1 1/4",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "low", "high", "rest"),
    [
        ("18 to 20 lbf ft", "18", "20", "lbf ft"),
        ("2,5-3 kgf m", "2.5", "3", "kgf m"),
        ("0.05...0.15 mm", "0.05", "0.15", "mm"),
        (".05 .. .15 mm", "0.05", "0.15", "mm"),
        ("0.05…0.15 mm", "0.05", "0.15", "mm"),
        ("1/2-3/4 in", "1/2", "3/4", "in"),
        ("1 1/2–2 in", "3/2", "2", "in"),
        ("1-1/2 in", "3/2", "3/2", "in"),
        ("1-1/2 to 1¾ in", "3/2", "7/4", "in"),
        ("-5 TO 5 deg", "-5", "5", "deg"),
        ("3 turns", "3", "3", "turns"),
        ("25", "25", "25", ""),
    ],
)
def test_spans(text: str, low: str, high: str, rest: str) -> None:
    assert units.read_span(text) == (Fraction(low), Fraction(high), rest)


@pytest.mark.parametrize("text", ["", "to 5 mm", "1,500 to 2,000 mm", "5 to 1,500 mm", "1/0 mm"])
def test_no_span(text: str) -> None:
    with pytest.raises(NotationError):
        units.read_span(text)


def test_vulgar_fractions_are_worth_what_unicode_says() -> None:
    assert len(units.VULGAR) == 18
    for glyph, worth in units.VULGAR.items():
        assert float(worth) == pytest.approx(unicodedata.numeric(glyph)), glyph


def test_levelling_keeps_every_place() -> None:
    text = "“1⁄2” × 3 − 4′\u00a0x"
    assert units.level(text) == '"1/2" x 3 - 4\' x'
    assert units.spelt("M6 × 1½") == "M6 x 1 1/2"


def test_a_number_and_no_more() -> None:
    for text in ("", " ", "2 mm", "1.2.3", "1/2/3", "--2", "2-", "1,2,3", "nan", "1e3", "²", "٣"):
        with pytest.raises(NotationError):
            units.value(text)


NUMBERS = st.fractions(Fraction(0), Fraction(9999), max_denominator=64)
HUNDREDTHS = st.integers(0, 10**8).map(lambda number: Fraction(number, 100))


@given(NUMBERS)
def test_a_mixed_number_is_read_as_written(number: Fraction) -> None:
    whole, rest = divmod(number, 1)
    part = f"{rest.numerator}/{rest.denominator}"
    for text in (f"{whole} {part}", f"{whole}-{part}", f" {whole} - {part} ".replace("/", "⁄")):
        assert units.value(text) == number
    assert units.value(units.mixed(number)) == number
    assert units.value(f"−{whole} {part}") == -number
    assert units.read_number(f"{whole} {part} in") == (number, "in")


@given(HUNDREDTHS, st.sampled_from(".,"))
def test_a_decimal_is_read_as_written(number: Fraction, mark: str) -> None:
    text = f"{float(number):.2f}".replace(".", mark)
    assert units.value(text) == number
    assert units.read_number(f"{text}mm") == (number, "mm")


@given(HUNDREDTHS, st.sampled_from(ALL))
def test_an_amount_is_read_as_written(number: Fraction, of: units.Unit) -> None:
    written = units.Amount(number, of)
    assert read(written.text(digits=12), of.kind) == written


@given(NUMBERS, NUMBERS, st.sampled_from((" to ", "-", " – ", "...", " .. ")))
def test_a_span_is_read_as_written(one: Fraction, other: Fraction, to: str) -> None:
    low, high = sorted((Fraction(round(one * 100), 100), Fraction(round(other * 100), 100)))
    text = f"{float(low):.2f}{to}{float(high):.2f} N m"
    assert units.read_span(text) == (low, high, "N m")
