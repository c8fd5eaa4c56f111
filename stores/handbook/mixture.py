"""Two-stroke mixture: petrol and oil by ratio, both ways, and topping up a tank.

``p:1`` is p parts of petrol to 1 part of oil (common practice). Oil for petrol is petrol / p; oil
in so much ready mixture is mixture / (p + 1). The two differ: every answer says which it is. The
arithmetic is exact; the range is that of the measures.
"""

import re
from dataclasses import dataclass
from fractions import Fraction

from stores import units
from stores.errors import BadValue, NotationError
from stores.handbook.answer import Answer, between

__all__ = [
    "LEANEST",
    "RICHEST",
    "TopUp",
    "adding_petrol",
    "oil_for_petrol",
    "oil_in_mixture",
    "petrol_for_oil",
    "ratio_of",
    "read_ratio",
    "top_up",
]

Number = int | float | Fraction

RICHEST, LEANEST = 4, 200
"""Ratios between which an answer is given: running-in mixtures of old engines to the thinnest of
injected oil (common practice)."""

MEASURE = Fraction(2, 100)
"""A measuring jug or a pump, either way (assumption)."""

MOST_ML = 1_000_000
SOURCES = ("mix-arithmetic",)
CAUTIONS = (
    "petrol: outdoors or well aired, engine cold, no flame or spark, a can made for fuel",
    "the maker's ratio for the engine and for the kind of oil comes first",
)


def _ratio(ratio: Number) -> Fraction:
    between("ratio", float(ratio), "to 1", RICHEST, LEANEST)
    return Fraction(ratio).limit_denominator(10**6) if isinstance(ratio, float) else Fraction(ratio)


def _volume(what: str, ml: Number) -> Fraction:
    between(what, float(ml), "ml", 0.0, MOST_ML)
    return Fraction(ml)


def read_ratio(text: str) -> Fraction:
    """Read a ratio as parts of petrol to one of oil.

    ``25:1``, ``1:25``, ``25 to 1``, ``4 %`` (oil, of the petrol: 25:1), ``1/2 pint to the gallon``
    (16:1). A bare number is p of p:1.

    Raises `NotationError` for what is no ratio, `BadValue` for one out of range or where imperial
    and US measures differ and it does not say which.

    4 parts in a hundred are 1 in 25; half a pint is a sixteenth of a gallon:

    >>> int(read_ratio("4 %")), int(read_ratio("1/2 pint to the gallon"))
    (25, 16)
    """
    plain = text.strip().lower()
    found = re.fullmatch(r"(.+?)\s*(?:%|per\s*cent|percent)(?:\s*(?:of)?\s*oil)?", plain)
    if found:
        share, rest = units.read_number(found[1])
        if rest or share <= 0:
            raise NotationError("cannot read a mixture ratio", text)
        return _ratio(100 / share)
    found = re.fullmatch(r"(\d+(?:[.,]\d+)?)(?:\s*(?::|/|to)\s*(\d+(?:[.,]\d+)?))?", plain)
    if found:
        first = units.read_number(found[1])[0]
        second = units.read_number(found[2])[0] if found[2] else Fraction(1)
        if 1 not in (first, second):
            raise NotationError("a ratio is so many to 1", text)
        return _ratio(max(first, second))
    found = re.fullmatch(r"(.+?)\s*(?:to\s+the|to\s+an?|to|per|in)\s+(.+)", plain)
    if found is None:
        raise NotationError("cannot read a mixture ratio", text)
    return _ratio(_by_measures(found[1], found[2], text))


def _by_measures(oil: str, petrol: str, text: str) -> Fraction:
    """Read "half a pint to the gallon": what imperial and US say, if they agree."""
    oil = re.sub(r"^half\s+an?\b|^half\b", "1/2", oil)
    petrol = petrol if petrol[:1].isdigit() else f"1 {petrol}"
    answers: set[Fraction] = set()
    for whose in ("", "imp ", "US "):
        try:
            pair = [_measured(each, whose) for each in (oil, petrol)]
        except BadValue as error:
            if whose == "US " and not answers:
                raise error
            continue
        if pair[0] == 0:
            raise NotationError("a ratio without oil", text)
        answers.add(pair[1] / pair[0])
    if len(answers) > 1:
        raise BadValue(f"{text.strip()!r}: imperial and US measures differ here; write which")
    return answers.pop()


def _measured(text: str, whose: str) -> Fraction:
    value, word = units.read_number(text)
    try:
        return units.Amount(value, units.unit(word, units.Kind.VOLUME)).base
    except BadValue:
        if not whose:
            raise
        return units.Amount(value, units.unit(whose + word, units.Kind.VOLUME)).base


def _answer(
    what: str, value: Fraction, unit: str, *assumptions: str, off: Fraction = MEASURE
) -> Answer:
    return Answer(
        what, float(value), unit, float(value * (1 - off)), float(value * (1 + off)),
        "the measuring of petrol and oil",
        (*assumptions, f"measured to {100 * MEASURE} %"), SOURCES, CAUTIONS,
    )  # fmt: skip


def oil_for_petrol(petrol_ml: Number, ratio: Number) -> Answer:
    """Return the oil to add to so much petrol, ml: petrol / p.

    Args:
        petrol_ml: the petrol [ml].
        ratio: parts of petrol to one of oil [1].

    >>> oil_for_petrol(5000, 25).value
    200.0
    """
    p = _ratio(ratio)
    oil = _volume("petrol", petrol_ml) / p
    return _answer("oil to add to the petrol", oil, "ml", "the volume is petrol alone, before oil")


def petrol_for_oil(oil_ml: Number, ratio: Number) -> Answer:
    """Return the petrol that so much oil serves, ml: oil x p.

    Args:
        oil_ml: the oil [ml].
        ratio: parts of petrol to one of oil [1].

    >>> petrol_for_oil(200, 25).value
    5000.0
    """
    petrol = _volume("oil", oil_ml) * _ratio(ratio)
    return _answer("petrol for the oil", petrol, "ml", "the volume is petrol alone, before oil")


def oil_in_mixture(mixture_ml: Number, ratio: Number) -> Answer:
    """Return the oil in so much ready mixture, ml: mixture / (p + 1).

    Args:
        mixture_ml: the ready mixture [ml].
        ratio: parts of petrol to one of oil [1].

    One part of 26:

    >>> oil_in_mixture(2600, 25).value
    100.0
    """
    oil = _volume("mixture", mixture_ml) / (_ratio(ratio) + 1)
    return _answer(
        "oil, if that is petrol and oil together",
        oil,
        "ml",
        "the volume is petrol and oil together",
    )


def ratio_of(petrol_ml: Number, oil_ml: Number) -> Answer:
    """Return the ratio that so much petrol and oil make, parts of petrol to 1.

    Raises `BadValue` without oil, or for a ratio out of range.

    Args:
        petrol_ml: the petrol [ml].
        oil_ml: the oil [ml].

    >>> ratio_of(5000, 200).value
    25.0
    """
    petrol, oil = _volume("petrol", petrol_ml), _volume("oil", oil_ml)
    if oil == 0:
        raise BadValue("petrol without oil is no mixture: a two-stroke without an oil pump seizes")
    value = _ratio(petrol / oil)
    said = "the volume is petrol alone, before oil"
    return _answer("ratio", value, "to 1", said, off=2 * MEASURE)


@dataclass(frozen=True, slots=True)
class TopUp:
    """What to add to a tank, ml, and what it holds then."""

    oil: Answer
    petrol: Answer
    total_ml: float
    ratio: float


def _held(tank_ml: Number, tank_ratio: Number | None) -> tuple[Fraction, Fraction]:
    """Return the petrol and the oil in a tank; no ratio means plain petrol."""
    held = _volume("in the tank", tank_ml)
    if tank_ratio is None:
        return held, Fraction(0)
    oil = held / (_ratio(tank_ratio) + 1)
    return held - oil, oil


def top_up(tank_ml: Number, tank_ratio: Number | None, total_ml: Number, ratio: Number) -> TopUp:
    """Return petrol and oil, ml, to bring a tank of another ratio up to a total at a new one.

    ``tank_ratio`` None is plain petrol. Measure what is in the tank: a guess of it is a guess of
    the mixture.

    Raises `BadValue` when the tank holds more than the total, or so much oil (or petrol) already
    that the ratio cannot be reached at that total; the error says at what total it can.

    Args:
        tank_ml: what is in the tank [ml].
        tank_ratio: its parts of petrol to one of oil [1].
        total_ml: what is to be in it [ml].
        ratio: parts of petrol to one of oil wanted [1].

    5200 ml at 25:1 are 5000 of petrol and 200 of oil; 1000 of petrol are there:

    >>> more = top_up(1000, None, 5200, 25)
    >>> more.petrol.value, more.oil.value
    (4000.0, 200.0)
    """
    petrol, oil = _held(tank_ml, tank_ratio)
    total, p = _volume("total", total_ml), _ratio(ratio)
    if total < petrol + oil:
        raise BadValue(
            f"the tank holds {float(petrol + oil):g} ml, more than {float(total):g} ml: drain first"
        )
    more_oil = total / (p + 1) - oil
    more_petrol = total * p / (p + 1) - petrol
    if more_oil < 0:
        least = oil * (p + 1)
        raise BadValue(
            f"too much oil in the tank for {float(p):g}:1 at {float(total):g} ml: "
            f"fill to at least {float(least):.0f} ml, or drain some"
        )
    if more_petrol < 0:
        least = petrol * (p + 1) / p
        raise BadValue(
            f"too little oil in the tank for {float(p):g}:1 at {float(total):g} ml: "
            f"fill to at least {float(least):.0f} ml, or drain some"
        )
    return _topped(more_oil, more_petrol, total, p)


def adding_petrol(
    tank_ml: Number, tank_ratio: Number | None, petrol_ml: Number, ratio: Number
) -> TopUp:
    """Return the oil to add with so much petrol at the pump, so that the tank has the ratio, ml.

    Raises `BadValue` when there is more oil in the tank already than the ratio wants.

    Args:
        tank_ml: what is in the tank [ml].
        tank_ratio: its parts of petrol to one of oil [1].
        petrol_ml: petrol that is put in [ml].
        ratio: parts of petrol to one of oil wanted [1].

    5000 ml of petrol at 25:1 want 200 of oil:

    >>> adding_petrol(2000, None, 3000, 25).oil.value
    200.0
    """
    petrol, oil = _held(tank_ml, tank_ratio)
    p = _ratio(ratio)
    more = _volume("petrol to add", petrol_ml)
    more_oil = (petrol + more) / p - oil
    if more_oil < 0:
        raise BadValue(
            f"too much oil in the tank for {float(p):g}:1: "
            f"add at least {float(oil * p - petrol):.0f} ml of petrol"
        )
    return _topped(more_oil, more, petrol + more + oil + more_oil, p)


def _topped(oil: Fraction, petrol: Fraction, total: Fraction, ratio: Fraction) -> TopUp:
    said = "what is in the tank was measured and well mixed"
    return TopUp(
        _answer("oil to add", oil, "ml", said), _answer("petrol to add", petrol, "ml", said),
        float(total), float(ratio),
    )  # fmt: skip
