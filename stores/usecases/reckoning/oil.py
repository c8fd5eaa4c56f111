"""Oil: what a case holds, grades, forks and mixture, as they are typed."""

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from stores import units
from stores.errors import BadValue, NotationError
from stores.usecases.reckoning import Reckoned, _all, _amount, _cited, _ml, _mm, reckoned

if TYPE_CHECKING:
    from fractions import Fraction

    from stores.handbook.fluids.oils import Advice

__all__ = [
    "AskOil",
    "LikeGrade",
    "OilKnown",
    "ReckonFill",
    "ReckonFork",
    "ReckonMixture",
    "fill",
    "fork",
    "mixture",
    "oil",
]

_GREW_NARROWER = {
    **dict.fromkeys(("80", "85", "90", "140", "250"), (2005, 1991)),
    "20": (2013, 2009),
}
"""Grades that reached further in old books: since when they do no more, and the edition to ask."""


class ReckonFill(NamedTuple):
    """A case by its inside measures, ``lying 120 200``: full, to a level, from one level to
    another, or at what level a volume stands. ``off`` is how far a measure may be out."""

    shape: str
    to: str = ""
    now: str = ""
    holds: str = ""
    inside: str = ""
    off: str = "1"


class AskOil(NamedTuple):
    """An oil as on the can; is there bronze in it, is it of a hypoid axle, by which edition."""

    grade: str
    bronze: bool | None = None
    hypoid: bool = False
    edition: int | None = None


@dataclass(frozen=True, slots=True)
class LikeGrade:
    """A grade of another scale that is about as thick."""

    grade: str
    scale: str


@dataclass(frozen=True, slots=True)
class OilKnown:
    """How thick an oil is, cSt, and what is like it. ``narrower`` is since when its grade does not
    reach as far as in old books, and which edition has that; ``memory`` tells that a figure of it
    is from memory. A designation alone, GL-4, says nothing of thickness: the figures are None.
    ``typical_cst`` is what a plain mineral oil of a VG grade has at 100 C. No standard grades a
    fork oil or an ATF (``ungraded``): the figures are those of the cans there are."""

    grade: str
    scale: str
    at_c: float | None
    least_cst: float | None
    below_cst: float | None
    cold: str
    edition: int | None
    narrower: tuple[int, int] | None
    alike: tuple[LikeGrade, ...]
    advice: "Advice | None"
    sources: tuple[str, ...]
    memory: bool
    typical_cst: float | None = None
    ungraded: bool = False
    note: str = ""


class ReckonFork(NamedTuple):
    """A fork tube: a rise of the oil, the levels of both legs, or the level with a spacer in."""

    bore: str
    rise: str = ""
    legs: tuple[str, str] | None = None
    level: str = ""
    spacer: tuple[str, str, str] | None = None


class ReckonMixture(NamedTuple):
    """Two-stroke petrol: a ratio and an amount as typed in a row, or each by itself; a tank that is
    topped up, with the ratio it holds and what it is to hold."""

    typed: str = ""
    petrol: str = ""
    oil: str = ""
    tank: str = ""
    holds: str = ""
    full: str = ""


def fill(ask: ReckonFill) -> Reckoned:
    """Return what a case holds, what to add to it, below zero to draw off, or a level.

    Raises:
        BadValue, NotationError: a shape or measure that cannot be, or too much said at once.
    """
    from stores.handbook.fluids.capacity import (
        capacity,
        correct_level,
        fill_to_plug,
        level_of,
        read_shape,
    )

    case = read_shape(ask.shape)
    if (ask.now and not ask.to) or (ask.holds and (ask.now or ask.to)):
        raise BadValue("level or volume")
    off = _mm(ask.off)
    if ask.holds:
        volume = _amount(ask.holds, units.Kind.VOLUME, "ml")
        return reckoned(level_of(case, volume, off_mm=off))
    if ask.now:
        return reckoned(correct_level(case, _mm(ask.now), _mm(ask.to), off_mm=off))
    inside = _amount(ask.inside, units.Kind.VOLUME, "ml") if ask.inside else 0.0
    if ask.to:
        return reckoned(fill_to_plug(case, _mm(ask.to), off_mm=off, displaced_ml=inside))
    return reckoned(capacity(case, off_mm=off, displaced_ml=inside))


def oil(ask: AskOil) -> OilKnown:
    """Return how thick an oil is, what is like it, and GL-4 against GL-5.

    Raises:
        BadValue, NotationError: no such grade, or edition.
    """
    from stores.handbook.fluids.oils import (
        Scale,
        across,
        alike,
        gear_oil_advice,
        limits,
        read_grade,
        typical_cst,
        ungraded,
    )

    bare = re.fullmatch(r"(?i)(?:API\s*)?GL\s*-?\s*(\d)\s*(?:(?:gear )?oil)?", ask.grade.strip())
    if bare:
        return _designation(f"GL-{bare[1]}", ask)
    if known := ungraded(ask.grade):
        return OilKnown(
            known.name, "no standard", 40.0, known.least_cst, known.most_cst, "", None, None,
            tuple(LikeGrade(str(each), each.scale) for each in known.alike), None,
            _cited(known.sources), memory=True, ungraded=True, note=known.note,
        )  # fmt: skip
    grade = read_grade(ask.grade)
    thickness = limits(grade, ask.edition)
    like = alike(grade, ask.edition) if grade.scale is not Scale.VG and grade.hot else ()
    crossed = across(grade, ask.edition)
    advice = None
    if grade.service or grade.ep or ask.hypoid or ask.bronze is not None:
        advice = gear_oil_advice(grade.service, ask.bronze, hypoid=ask.hypoid, ep=grade.ep)
    narrower = _GREW_NARROWER.get(grade.hot) if grade.scale is not Scale.VG else None
    keys = [*thickness.sources, *(each.sources[0] for each in map(limits, (*like, *crossed)))]
    keys += [*(["vg-beside-sae"] if crossed else []), *(advice.sources if advice else ())]
    return OilKnown(
        str(grade),
        grade.scale,
        thickness.at_c,
        thickness.least_cst,
        thickness.below_cst,
        thickness.cold,
        thickness.edition,
        narrower if ask.edition is None else None,
        tuple(LikeGrade(str(each), each.scale) for each in (*like, *crossed)),
        advice,
        _cited(keys),
        thickness.memory,
        typical_cst(grade),
    )


def _designation(service: str, ask: AskOil) -> OilKnown:
    """Return what a designation alone says: which additives, and nothing of thickness."""
    from stores.handbook.fluids.oils import gear_oil_advice

    advice = gear_oil_advice(service, ask.bronze, hypoid=ask.hypoid)
    return OilKnown(
        service, "API 1560", None, None, None, "", None, narrower=None, alike=(),
        advice=advice, sources=_cited(advice.sources), memory=False,
    )  # fmt: skip


def fork(ask: ReckonFork) -> tuple[Reckoned, ...]:
    """Return what a rise takes, what a leg lacks, the level without the spacer: what was asked."""
    from stores.handbook.fluids.capacity import compare_legs, level_without_spacer, oil_for_level

    across = _mm(ask.bore)
    answers = []
    if ask.rise:
        answers.append(oil_for_level(across, _mm(ask.rise)))
    if ask.legs:
        answers.append(compare_legs(_mm(ask.legs[0]), _mm(ask.legs[1]), across))
    if bool(ask.level) != bool(ask.spacer):
        raise BadValue("level without a spacer")
    if ask.spacer:
        length, outside, within = (_mm(each) for each in ask.spacer)
        answers.append(level_without_spacer(_mm(ask.level), length, outside, within, across))
    if not answers:
        raise BadValue("nothing of a fork")
    return _all(*answers)


def mixture(ask: ReckonMixture) -> tuple[Reckoned, ...]:
    """Return oil for petrol, petrol for oil, the ratio of both, or how to top a tank up.

    Raises:
        BadValue, NotationError: too little said, or twice, or what cannot be read.
    """
    ratio, much = _ratio_and_amount(ask.typed)
    if much and ask.petrol:
        raise BadValue("petrol twice")
    petrol = much or ask.petrol
    if ask.tank or ask.full:
        return _topping_up(ask, ratio, petrol)
    if ask.holds:
        raise BadValue("ratio of no tank")
    return _mixing(ratio, petrol, ask.oil)


def _mixing(ratio: "Fraction | None", petrol: str, oil: str) -> tuple[Reckoned, ...]:
    from stores.handbook import mixture as mix

    if ratio is None:
        if not (petrol and oil):
            raise BadValue("no ratio and no amounts")
        return _all(mix.ratio_of(_ml(petrol), _ml(oil)))
    if oil:
        return _all(mix.petrol_for_oil(_ml(oil), ratio))
    if not petrol:
        raise BadValue("no amount of petrol")
    much = _ml(petrol)
    return _all(mix.oil_for_petrol(much, ratio), mix.oil_in_mixture(much, ratio))


def _topping_up(ask: ReckonMixture, ratio: "Fraction | None", petrol: str) -> tuple[Reckoned, ...]:
    from stores.handbook import mixture as mix

    if ratio is None:
        raise BadValue("no ratio wanted")
    if bool(ask.full) == bool(petrol):
        raise BadValue("what to add or to hold")
    held, of = _ml(ask.tank or "0 ml"), mix.read_ratio(ask.holds) if ask.holds else None
    if ask.full:
        top = mix.top_up(held, of, _ml(ask.full), ratio)
    else:
        top = mix.adding_petrol(held, of, _ml(petrol), ratio)
    return _all(top.petrol, top.oil)


def _ratio_and_amount(text: str) -> "tuple[Fraction | None, str]":
    """Return "25:1 5 l" as the ratio and the amount; a text without a ratio is an amount."""
    from stores.handbook.mixture import read_ratio

    words = text.split()
    wrong: BadValue | None = None
    for end in range(len(words), 0, -1):
        first = " ".join(words[:end])
        if end < len(words) and re.fullmatch(r"[\d.,]+", first):
            continue  # "5 l" is no ratio of 5
        try:
            return read_ratio(first), " ".join(words[end:])
        except NotationError:
            continue
        except BadValue as error:
            wrong = error
    if re.search(r"[:%]| to ", text):
        if wrong:
            raise wrong
        read_ratio(text)  # says what is wrong with it
    return None, text
