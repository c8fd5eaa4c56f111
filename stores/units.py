"""Numbers, and lengths, areas, torques, volumes and pressures: read, show and convert, exactly.

Here is the one reading of a number. Everybody else cuts a figure out of a text by a rule of their
own (`NUMBER` and `FRACTION` are there for patterns), and has `value` read it.

Every factor is a fraction made from the legal definitions, so that a conversion there and back
gives the same number. Sources: inch and pound, international agreement of 1959; standard gravity
9.80665 m/s2, CGPM 1901; imperial gallon 4.54609 l, Weights and Measures Act 1985 schedule 1; US
gallon 231 cubic inches, NIST Handbook 44 appendix C; standard atmosphere 101325 Pa, CGPM 1954;
conventional mercury 13595.1 kg/m3, NIST SP 811 appendix B.

A pint, quart, gallon or fluid ounce must say whose it is: an imperial pint is a fifth larger than
a US pint. A comma is a decimal comma; ``1,500`` may be either and is asked about.
"""

import re
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cache, lru_cache

from stores.errors import BadValue, NotationError

__all__ = [
    "FRACTION", "LEVEL", "NUMBER", "VULGAR", "Amount", "Kind", "Unit", "convert", "level", "mixed",
    "plain", "read", "read_number", "read_span", "spelt", "unit", "value",
]  # fmt: skip

Number = int | float | Fraction


class Kind(StrEnum):
    """What a unit measures. The base units are mm, cm2, N m, ml, kPa, g and C."""

    LENGTH = "length"
    AREA = "area"
    TORQUE = "torque"
    VOLUME = "volume"
    PRESSURE = "pressure"
    MASS = "mass"
    TEMPERATURE = "temperature"


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: ``factor`` base units exactly; ``words`` are other ways to write it."""

    name: str
    kind: Kind
    factor: Fraction
    words: tuple[str, ...] = ()
    zero: Fraction = Fraction(0)
    """What its nought is in base units: of Fahrenheit not nought."""

    def __str__(self) -> str:
        return self.name


@dataclass(frozen=True, slots=True)
class Amount:
    """A number of a unit, exact."""

    value: Fraction
    unit: Unit

    @property
    def base(self) -> Fraction:
        """The amount in the base unit of its kind: mm, cm2, N m, ml, kPa, g or C."""
        return self.value * self.unit.factor + self.unit.zero

    def to(self, word: str | Unit) -> "Amount":
        """Give the same amount in another unit of its kind. Raises `BadValue` for another kind."""
        other = word if isinstance(word, Unit) else unit(word, self.unit.kind)
        if other.kind is not self.unit.kind:
            raise BadValue(f"{other} is not a unit of {self.unit.kind}")
        return Amount((self.base - other.zero) / other.factor, other)

    def text(self, digits: int = 4) -> str:
        """Write it, rounded to so many significant digits."""
        return f"{plain(self.value, digits)} {self.unit}"

    def __str__(self) -> str:
        return self.text()


_INCH = Fraction("25.4")
_POUND = Fraction("0.45359237")
_GRAVITY = Fraction("9.80665")
_IMPERIAL = Fraction("4546.09")
_US = 231 * _INCH**3 / 1000
_LBF = _POUND * _GRAVITY
_MMHG = Fraction("13595.1") * _GRAVITY / 1000 / 1000  # kPa


def _gallons() -> tuple[Unit, ...]:
    units = []
    for name, gallon, spellings in (
        ("imp", _IMPERIAL, "imp,imperial,uk,british"),
        ("US", _US, "us,u s,american"),
    ):
        for measure, parts, words in (
            ("gallon", 1, "gallon,gallons,gal,gals,galls,gall"),
            ("quart", 4, "quart,quarts,qt,qts"),
            ("pint", 8, "pint,pints,pt,pts"),
            ("gill", 32, "gill,gills"),
            ("fl oz", 160 if name == "imp" else 128,
             "fl oz,fluid ounce,fluid ounces,floz,fl ozs,oz"),
        ):  # fmt: skip
            pairs = [(who, what) for who in spellings.split(",") for what in words.split(",")]
            if name == "US":
                pairs += [("us", f"liquid {w}") for w in words.split(",")]
                pairs += [("us", f"liq {w}") for w in words.split(",")]
            both = [f"{who} {what}" for who, what in pairs]
            both += [f"{what} {who}" for who, what in pairs]
            units.append(Unit(f"{name} {measure}", Kind.VOLUME, gallon / parts, tuple(both)))
    return tuple(units)


@cache
def _units() -> tuple[Unit, ...]:
    one = Fraction(1)

    def make(name: str, kind: Kind, factor: Fraction, words: str = "") -> Unit:
        return Unit(name, kind, factor, tuple(w for w in words.split(",") if w))

    length, area, torque = Kind.LENGTH, Kind.AREA, Kind.TORQUE
    volume, pressure = Kind.VOLUME, Kind.PRESSURE
    return (
        make("mm", length, one, "millimetre,millimetres,millimeter,millimeters"),
        make("cm", length, one * 10, "centimetre,centimetres,centimeter,centimeters"),
        make("m", length, one * 1000, "metre,metres,meter,meters"),
        make("um", length, one / 1000, "µm,micron,microns,micrometre,micrometres,micrometer"),
        make("in", length, _INCH, "inch,inches,ins,\",''"),
        make("thou", length, _INCH / 1000, "thousandths,mil,mils"),
        make("ft", length, _INCH * 12, "foot,feet,'"),
        make("yd", length, _INCH * 36, "yard,yards,yds"),
        make("mm2", area, one / 100, "mm²,sq mm,square millimetre,square millimetres"),
        make("cm2", area, one, "cm²,sq cm,square centimetre,square centimetres"),
        make("m2", area, one * 10_000, "m²,sq m,square metre,square metres,square meters"),
        make("in2", area, _INCH**2 / 100, "in²,sq in,sq ins,square inch,square inches"),
        make("ft2", area, (_INCH * 12) ** 2 / 100, "ft²,sq ft,square foot,square feet"),
        make("N m", torque, one, "nm,n.m,newton metre,newton metres,newton meters"),
        make("N cm", torque, one / 100, "ncm"),
        make("kgf m", torque, _GRAVITY, "kgfm,kg m,kgm,mkg,m kg,m kgf,mkp,kpm,kp m,m kp"),
        make("kgf cm", torque, _GRAVITY / 100, "kgfcm,kg cm,kgcm,cm kg,cmkg,cm kgf,kp cm"),
        make("lbf ft", torque, _LBF * _INCH * 12 / 1000,
             "lb ft,ft lb,ft lbf,ft lbs,lbs ft,lbft,ftlb,ftlbs,lbfft,foot pound,foot pounds,"
             "pound foot,pounds feet,pound feet"),
        make("lbf in", torque, _LBF * _INCH / 1000,
             "lb in,in lb,in lbf,in lbs,lbs in,lbin,inlb,inlbs,lbfin,inch pound,inch pounds,"
             "pound inch"),
        make("ozf in", torque, _LBF * _INCH / 16000, "oz in,in oz,ozin"),
        make("ml", volume, one, "cc,cm3,cm³,c.c.,millilitre,millilitres,milliliter,milliliters"),
        make("cl", volume, one * 10, "centilitre,centilitres"),
        make("dl", volume, one * 100, "decilitre,decilitres"),
        make("l", volume, one * 1000, "litre,litres,liter,liters,ltr,ltrs,dm3,dm³"),
        make("in3", volume, _INCH**3 / 1000, "in³,cu in,cubic inch,cubic inches"),
        *_gallons(),
        make("kPa", pressure, one),
        make("Pa", pressure, one / 1000, "pascal,pascals"),
        make("hPa", pressure, one / 10, "mbar,mb,millibar,millibars"),
        make("MPa", pressure, one * 1000, "n/mm2,n/mm²"),
        make("bar", pressure, one * 100, "bars"),
        make("psi", pressure, _LBF / _INCH**2 * 1000,
             "lbf/in2,lb/in2,lbf/in²,lb/in²,lbs/in2,lb/sq in,lbf/sq in,pounds per square inch,"
             "lb per sq in"),
        make("kgf/cm2", pressure, _GRAVITY * 10,
             "kg/cm2,kgf/cm²,kg/cm²,kp/cm2,kp/cm²,technical atmosphere"),
        make("tonf/in2", pressure, _LBF * 2240 / _INCH**2 * 1000,
             "tonf/in²,ton/in2,ton/in²,tons/in2,tons/sq in,ton/sq in,tsi,tons per square inch"),
        make("g", Kind.MASS, one, "gm,gms,gram,grams,gramme,grammes"),
        make("kg", Kind.MASS, one * 1000, "kilogram,kilograms,kilo,kilos"),
        make("lb", Kind.MASS, _POUND * 1000, "lbs,pound,pounds"),
        make("oz av", Kind.MASS, _POUND * 1000 / 16, "oz,ounce,ounces,ozs"),
        make("cwt", Kind.MASS, _POUND * 112000, "hundredweight"),
        make("C", Kind.TEMPERATURE, one, "°c,deg c,celsius,degrees c,degrees celsius"),
        Unit("F", Kind.TEMPERATURE, Fraction(5, 9),
             ("°f", "deg f", "fahrenheit", "degrees f", "degrees fahrenheit"),
             Fraction(-160, 9)),
        make("atm", pressure, Fraction("101.325"), "standard atmosphere,atmospheres"),
        make("mmHg", pressure, _MMHG, "mm hg"),
        make("inHg", pressure, _MMHG * _INCH, "in hg,inches of mercury,inch of mercury"),
    )  # fmt: skip


# Lower case serves for words, but not for these: mm and Mm, mPa and MPa, nm and N m.
_CASED = {"mPa": "millipascal", "Mm": "megametre", "nm": "nanometre", "PA": "no unit", "ML": "ml"}
_WHOSE = (
    r"(?:gallons?|galls?|gals?|quarts?|qts?|pints?|pts?|gills?|fl\s*oz|fluid ounces?|oz|ounces?)"
)


def _key(word: str) -> str:
    """Give a spelling to look up: case, full stops, middle dots, hyphens and spaces aside."""
    word = level(word).strip().lower().replace("μ", "µ")
    word = re.sub(r"[.·⋅*-]", " ", word)
    return re.sub(r"\s+", " ", word).strip()


@cache
def _words() -> dict[str, tuple[Unit, ...]]:
    found: dict[str, tuple[Unit, ...]] = {}
    for each in _units():
        for word in {_key(word) for word in (each.name, *each.words)}:
            found[word] = (*found.get(word, ()), each)
    return found


def unit(word: str, kind: Kind | None = None) -> Unit:
    """Give the unit that a word means, of one kind if that is known.

    Raises `BadValue` for a word that is no unit, a unit of another kind, or a pint, quart, gallon
    or fluid ounce that does not say whether it is imperial or US.
    """
    for each in _units():  # its own name needs no list of all spellings
        if each.name == word and kind in (None, each.kind):
            return each
    key = _key(word)
    if word.strip() in ("nm", "mPa", "Mm") and not (word.strip() == "nm" and kind is Kind.TORQUE):
        raise BadValue(f"{word.strip()!r} is a {_CASED[word.strip()]}: N m, MPa or mm meant?")
    if re.fullmatch(_WHOSE, key) and kind in (None, Kind.VOLUME):
        raise BadValue(f"{word.strip()!r}: imperial or US? write imp {key} or US {key}")
    found = _words().get(key, ())
    fitting = tuple(each for each in found if kind in (None, each.kind))
    if fitting:
        return fitting[0]
    if found:
        raise BadValue(f"{word.strip()!r} is not a unit of {kind}")
    known = ", ".join(each.name for each in _units() if kind in (None, each.kind))
    raise BadValue(f"no unit {word.strip()!r}: known are {known}")


LEVEL = str.maketrans(
    {
        **dict.fromkeys("‐‑‒–—−", "-"),
        **dict.fromkeys("“”„″‟〃", '"'),
        **dict.fromkeys("‘’‚′`´", "'"),
        **dict.fromkeys("×✕✖⨯∗", "x"),
        **dict.fromkeys("\u00a0\u2007\u2009\u202f\u3000\t\r\n", " "),
        **dict.fromkeys("⁄∕／⧸", "/"),
    }
)
"""Signs that mean the same, each levelled to one: a place in the text stays the same place."""

VULGAR = {
    **{"½": Fraction(1, 2), "¼": Fraction(1, 4), "¾": Fraction(3, 4)},
    **dict(zip("⅛⅜⅝⅞", (Fraction(above, 8) for above in (1, 3, 5, 7)), strict=True)),
    **{"⅓": Fraction(1, 3), "⅔": Fraction(2, 3), "⅙": Fraction(1, 6), "⅚": Fraction(5, 6)},
    **dict(zip("⅕⅖⅗⅘", (Fraction(above, 5) for above in (1, 2, 3, 4)), strict=True)),
    **{"⅐": Fraction(1, 7), "⅑": Fraction(1, 9), "⅒": Fraction(1, 10)},
}
"""The vulgar fractions of Unicode and what they are worth."""

NUMBER = r"(?:\d{1,6}(?:[.,]\d{1,6})?|[.,]\d{1,6})"
"""A plain number inside a pattern, with a decimal point or comma; read what it finds by `value`."""

FRACTION = r"(?:(?P<whole>\d{1,6})[\s-]+)?(?P<above>\d{1,4})\s*/\s*(?P<below>\d{1,4})(?!\d)"
"""A fraction or mixed number inside a pattern: ``1/4``, ``1 1/4``, ``1-1/4``."""

_READ = (
    rf"(?a)\s*(?P<sign>[-+])?\s*(?:(?:(?P<before>\d{{1,6}})[\s-]*)?(?P<glyph>[{''.join(VULGAR)}])"
    rf"|{FRACTION}|(?P<number>\d[\d.,]*|[.,]\d+))"
)
_TO = rf"\s*(?:-|to\b|\.\.\.?|…)\s*(?=[\d.,{''.join(VULGAR)}])"


def level(text: str) -> str:
    """Return a text with the signs that mean the same levelled, as long as it was: the dashes,
    inch marks, multiplication signs, fraction slashes and spaces."""
    return text.translate(LEVEL)


def spelt(text: str) -> str:
    """Return a text levelled, its vulgar fractions spelt out after a space: ``1½`` is ``1 1/2``."""
    text = level(text)
    if not text.isascii():
        for glyph, worth in VULGAR.items():
            text = text.replace(glyph, f" {worth}")
    return text


@lru_cache(maxsize=4096)
def value(text: str) -> Fraction:
    """Return the number that a text is, exact: ``2``, ``2.5``, ``2,5``, ``-2``, ``1/2``, ``1½``.

    The one reading of figures: who has cut a number out of a text has it read here. A comma is a
    decimal comma whatever follows it.

    Raises `NotationError` for a text that is no number, or has anything beside it.
    """
    if text.isascii() and text.isdigit():
        return Fraction(int(text))
    number, end = _number(text, asking=False)
    if text[end:].strip():
        raise NotationError("expected a number and no more", text, end)
    return number


def read_number(text: str) -> tuple[Fraction, str]:
    """Return the number that a text begins with, exact, and the rest of the text.

    ``2``, ``2.5``, ``2,5``, ``1/2``, ``1 1/2``, ``1-1/2``, ``1½``; a sign may stand before it.
    Raises `NotationError` where no number stands or where a comma may mark thousands.
    """
    number, end = _number(text, asking=True)
    return number, text[end:].strip()


def read_span(text: str) -> tuple[Fraction, Fraction, str]:
    """Return the two ends of a span that a text begins with, and the rest of the text.

    ``18 to 20 lbf ft``, ``0.05-0.15 mm``, ``1/2...3/4 in``; one number is both ends. A span rises,
    so that ``1-1/2`` is one and a half.

    Raises `NotationError` where no number stands or a comma may mark thousands. Whether the ends
    are in order is for the caller.
    """
    level_text = level(text)
    dots = re.match(r"[^.]*(?:\.\d+[^.]*)?(?=\.\.)", level_text)
    low, end = _number(text[: dots.end()] if dots else text, asking=True)
    to = re.match(_TO, level_text[end:], re.IGNORECASE)
    if to is None:
        return low, low, text[end:].strip()
    high, rest = read_number(text[end + to.end() :])
    return low, high, rest


def _number(text: str, *, asking: bool) -> tuple[Fraction, int]:
    """Return the number that a text begins with, and where it ends."""
    found = re.match(_READ, level(text))
    if found is None:
        raise NotationError("expected a number", text)
    if found["glyph"]:
        number = int(found["before"] or 0) + VULGAR[found["glyph"]]
    elif found["above"]:
        if int(found["below"]) == 0:
            raise NotationError("a fraction of nothing", text)
        number = int(found["whole"] or 0) + Fraction(int(found["above"]), int(found["below"]))
    else:
        number = _decimal(found["number"], text, asking=asking)
    return (-number if found["sign"] == "-" else number), found.end()


def _decimal(digits: str, text: str, *, asking: bool) -> Fraction:
    marks = [mark for mark in digits if mark in ".,"]
    if len(marks) > 1 or digits[-1] in ".,":
        raise NotationError("write the number without marks between thousands", text)
    if len(digits) > 15:
        raise NotationError("a number of more than 15 digits", text)
    whole, _, part = digits.partition(",")
    if asking and marks == [","] and len(part) == 3 and whole.strip("0"):
        raise NotationError(f"{digits}: {whole}.{part} or {whole}{part}? write it so", text)
    return Fraction(digits.replace(",", "."))


def read(text: str, kind: Kind | None = None, default: str | None = None) -> Amount:
    """Read an amount: ``1 1/2 imp pint``, ``0,75 l``, ``12 lbf ft``, ``998.8 hPa``, ``3/8 in``.

    ``kind`` is what it has to measure; ``default`` the unit of a bare number. Negative amounts are
    refused: nothing here is measured below nothing.

    Raises `NotationError` for what is no amount, `BadValue` for an unknown or open unit, a bare
    number without a default, a negative amount.
    """
    number, rest = read_number(text)
    if number < 0:
        raise BadValue(f"{text.strip()!r}: expected nothing below zero")
    if rest:
        return Amount(number, unit(rest, kind))
    if default is None:
        raise BadValue(f"{text.strip()!r}: write the unit")
    return Amount(number, unit(default, kind))


def convert(value: Number, from_unit: str | Unit, to_unit: str | Unit) -> Fraction:
    """Convert a number between two units of one kind, exactly (a float as it stands in memory).

    Raises `BadValue` when the units measure different things or one is unknown or open, or the
    value is not finite.
    """
    try:
        exact = Fraction(value)
    except (ValueError, OverflowError):
        raise BadValue(f"{value}: expected a finite number") from None
    start = from_unit if isinstance(from_unit, Unit) else unit(from_unit)
    return Amount(exact, start).to(to_unit).value


def plain(value: Number, digits: int = 4) -> str:
    """Write a number rounded to significant digits, without exponent or trailing zeros.

    Whole digits are never rounded away: 1234.5 to two digits is 1234. Half goes to even.
    """
    exact = Fraction(value)
    if exact == 0:
        return "0"
    size = abs(exact)
    before = len(str(int(size))) if size >= 1 else -_zeros(size)
    places = max(0, digits - before)
    scaled = round(size * 10**places)
    text = f"{scaled // 10**places}.{scaled % 10**places:0{places}d}" if places else str(scaled)
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"-{text}" if exact < 0 and text != "0" else text


def mixed(value: Fraction) -> str:
    """Return a number as a fraction is written, exact and in lowest terms: ``3``, ``1 1/4``.

    >>> mixed(Fraction(5, 4)), mixed(Fraction(-1, 2)), mixed(Fraction(3))
    ('1 1/4', '-1/2', '3')
    """
    whole, rest = divmod(abs(value.numerator), value.denominator)
    text = f"{rest}/{value.denominator}" if rest else str(whole)
    text = f"{whole} {text}" if whole and rest else text
    return f"-{text}" if value < 0 else text


def _zeros(size: Fraction) -> int:
    """Count the noughts between the point and the first digit of a number below 1."""
    count = 0
    while size * 10 < 1 and count < 30:
        size *= 10
        count += 1
    return count
