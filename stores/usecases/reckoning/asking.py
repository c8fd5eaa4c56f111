"""What a calculator has not been told yet: one question after the other, for whoever can be asked.

A door that talks to a person asks `next_question` until there is none, holds each answer to
`check`, and adds it to what was typed (`Question.words`). Who cannot be asked gets the refusal.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from stores import units
from stores.errors import NotationError, StoresError

__all__ = ["Question", "check", "next_question"]

Given = Mapping[str, object]
"""What was typed, by the name of the parameter."""


_MORE = "more "
"""Begins the name of a question that is asked again until it is left out."""

_WORDS_FOR_NOTHING = {"none", "no", "nothing", "not known", "nut", "a nut", "-", "?"}


@dataclass(frozen=True, slots=True)
class Question:
    """Something a calculator wants to know; an answer may be left out unless it is ``needed``.

    ``before`` is what stands before the answer on the command line: an option, or nothing. Of
    ``choices`` one is taken, whatever its case or how much of it is typed, and stands for options.
    """

    name: str
    before: tuple[str, ...] = ()
    needed: bool = True
    choices: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def left_out(self, answer: str) -> bool:
        """Return whether an answer leaves it out: nothing, or a word for nothing."""
        return not answer or (
            not self.needed and not self.choices and answer.lower() in _WORDS_FOR_NOTHING
        )

    def words(self, answer: str) -> tuple[str, ...]:
        """Return what an answer adds to what was typed, nothing where it was left out."""
        if self.left_out(answer):
            return ()
        if self.choices:
            chosen = (put for word, put in self.choices.items() if word.startswith(answer.lower()))
            return next(chosen, ())
        return (*self.before, answer)


def next_question(calculator: str, given: Given, asked: Mapping[str, str]) -> Question | None:
    """Return what is to be asked next, None where nothing is missing.

    Args:
        calculator: its name, as on the command line.
        given: what was typed and answered so far, by the name of the parameter.
        asked: the questions that were asked already, each with its answer.

    >>> next_question("torque", {"words": ["M8"]}, {}).name
    'mark'
    >>> next_question("torque", {"words": ["M8", "8.8", "oiled"]}, {}) is None
    True
    """
    missing = _MISSING.get(calculator)
    if missing is None:
        return None
    for question in missing(given, asked):
        more = question.name.startswith(_MORE) and asked.get(question.name)
        if question.name not in asked or more:
            return question
    return None


def check(question: Question, answer: str, given: Given) -> None:
    """Hold an answer to what can be read.

    Raises:
        BadValue, NotationError, NotFound: as the calculator itself does.
    """
    if held := _CHECKS.get(question.name):
        held(answer, given)


def _text(given: Given, name: str = "words") -> str:
    found = given.get(name) or ""
    return found if isinstance(found, str) else " ".join(str(each) for each in found)  # type: ignore[attr-defined]


_Missing = Iterator[Question]


def _torque(given: Given, asked: Mapping[str, str]) -> _Missing:
    from stores.handbook.torque.maker import goes_elsewhere, read_bolt, split_into

    text = _text(given)
    if not text.strip():
        yield Question("thread")
        return
    try:
        rest, metal, deep = split_into(text)
        bolt = read_bolt(rest)
    except StoresError:
        return
    if goes_elsewhere(text) or not (asked or bolt.state is None):
        return
    if not bolt.grade:
        yield Question("mark", needed=False)
    if bolt.state is None:
        yield Question("state")
    into = metal or _text(given, "into")
    if not into and not given.get("nut"):
        yield Question("into", ("--into",), needed=False)
    if into and not (deep or given.get("engaged")):
        yield Question("engaged", ("--engaged",), needed=False)


def _order(given: Given, asked: Mapping[str, str]) -> _Missing:
    if not given.get("holes"):
        yield Question("holes")
    elif asked and not given.get("torque"):
        yield Question("final torque", ("--torque",), needed=False)


def _slots(given: Given, asked: Mapping[str, str]) -> _Missing:
    if not given.get("nut"):
        yield Question("nut")
    elif asked and given.get("past") is None:
        yield Question("past", ("--past",), needed=False)


def _oiled(given: Given, _: Mapping[str, str]) -> _Missing:
    if not given.get("torque"):
        yield Question("dry figure")
    elif not given.get("thread"):
        yield Question("thread")


def _plug(given: Given, asked: Mapping[str, str]) -> _Missing:
    text = _text(given, "thread").lower()
    if not text:
        yield Question("plug thread")
        return
    drain = bool(given.get("drain") or given.get("case")) or "drain" in text or "sump" in text
    known = drain or given.get("seat") or given.get("head") or re.search(r"gasket|taper", text)
    if not known:
        yield Question("plug", choices={"spark": (), "drain": ("--drain",)})
    metal = re.search(r"alu|iron|steel|magnes|brass", text)
    if drain:
        if not (metal or given.get("case")):
            yield Question("case", ("--case",))
        return
    if not (given.get("seat") or re.search(r"gasket|taper", text)):
        yield Question("seat", ("--seat",))
    if not (metal or given.get("head")):
        yield Question("head", ("--head",))


def _fill(given: Given, asked: Mapping[str, str]) -> _Missing:
    if not given.get("shape"):
        yield Question("shape")
    elif asked:
        yield Question("level", ("--to",), needed=False)


def _oil(given: Given, asked: Mapping[str, str]) -> _Missing:
    from stores.handbook.fluids.oils import Scale, read_grade

    text = _text(given, "grade")
    if not text.strip():
        yield Question("oil")
        return
    try:
        gear = read_grade(text).scale is Scale.GEAR
    except StoresError:
        gear = False
    if asked and gear and given.get("bronze") is None:
        choices = {"yes": ("--bronze",), "no": ("--no-bronze",)}
        yield Question("bronze", needed=False, choices=choices)


def _fork(given: Given, _: Mapping[str, str]) -> _Missing:
    if not given.get("bore"):
        yield Question("tube")
    elif not (given.get("rise") or given.get("legs") or given.get("level")):
        yield Question("rise", ("--rise",))


def _mixture(given: Given, _: Mapping[str, str]) -> _Missing:
    text = _text(given).strip()
    if any(given.get(each) for each in ("petrol", "oil", "tank", "full")):
        return
    if not text:
        yield Question("ratio")
    elif re.fullmatch(r"\S+|[\d.,]+\s*%", text):
        yield Question("petrol", ("--petrol",))


def _compression(given: Given, asked: Mapping[str, str]) -> _Missing:
    if not given.get("ratio") and (asked or not given.get("dry")):
        yield Question("compression ratio", needed=False)
    if asked and not given.get("dry"):
        yield Question("readings", ("--dry",), needed=False)


def _battery(given: Given, _: Mapping[str, str]) -> _Missing:
    if not given.get("volts") and given.get("gravity") is None:
        yield Question("volts")


def _fit(given: Given, _: Mapping[str, str]) -> _Missing:
    if not given.get("words"):
        yield Question("fit")


def _wear(given: Given, asked: Mapping[str, str]) -> _Missing:
    if not given.get("reading"):
        yield Question("reading")
        return
    if not asked:
        return
    if not given.get("nominal"):
        yield Question("nominal", ("--nominal",), needed=False)
    if not given.get("limit"):
        yield Question("limit", ("--limit",), needed=False)
    elif not given.get("nominal") and given.get("larger") is None:
        choices = {"larger": ("--larger",), "smaller": ("--smaller",)}
        yield Question("way", choices=choices)


def _bore(given: Given, asked: Mapping[str, str]) -> _Missing:
    if not given.get("heights"):
        yield Question("height")
    elif asked:
        yield Question("more heights", needed=False)
        if not given.get("nominal"):
            yield Question("nominal", ("--nominal",), needed=False)


def _grip(given: Given, asked: Mapping[str, str]) -> _Missing:
    text = _text(given)
    if not text.strip():
        yield Question("thread")
        return
    *thread, clamped = text.split()
    if not (thread and re.search(r"\d", clamped)):
        yield Question("clamped")
    if asked and not given.get("nut"):
        yield Question("into", ("--into",), needed=False)
        if given.get("into") and not given.get("hole"):
            yield Question("hole", ("--hole",), needed=False)


def _bead(given: Given, asked: Mapping[str, str]) -> _Missing:
    if not given.get("width"):
        yield Question("bead")
        return
    pack = given.get("pack")
    if not (given.get("length") or pack):
        yield Question("outline", needed=False)
        yield Question("pack", ("--pack",))
    elif asked and not pack and not given.get("holes"):
        yield Question("bolt holes", ("--holes",), needed=False)
    if given.get("holes") and not given.get("loop"):
        yield Question("loop", ("--loop",))


def _locking(given: Given, asked: Mapping[str, str]) -> _Missing:
    if not given.get("threads"):
        yield Question("threads")
    elif asked:
        yield Question("more threads", needed=False)


def _grease(given: Given, asked: Mapping[str, str]) -> _Missing:
    if not given.get("bearing"):
        yield Question("bearing")
    elif asked and not given.get("mass"):
        yield Question("bearing's mass", ("--mass",), needed=False)


def _paint(given: Given, asked: Mapping[str, str]) -> _Missing:
    asks = {"area": Question("area"), "solids": Question("solids"), "film": Question("dry film")}
    for name, question in asks.items():
        if not given.get(name):
            yield question
            return
    if not asked:
        return
    yield Question("coats", ("--coats",), needed=False)
    ways = {way: ("--by", way) for way in ("gun", "brush", "roller", "airless")}
    yield Question("painted by", needed=False, choices=ways)
    yield Question("tin", ("--pack",), needed=False)


def _mixing(given: Given, _: Mapping[str, str]) -> _Missing:
    if not given.get("parts"):
        yield Question("parts")
    elif not given.get("ready"):
        yield Question("ready to use")


def _sheet(given: Given, asked: Mapping[str, str]) -> _Missing:
    if not given.get("sides"):
        yield Question("sheet")
    elif not given.get("blank"):
        yield Question("blank")
    elif asked and given.get("count") is None:
        yield Question("how many", ("--count",), needed=False)


def _lengths(given: Given, asked: Mapping[str, str]) -> _Missing:
    if not given.get("runs"):
        yield Question("run")
    elif asked:
        yield Question("more runs", needed=False)
        yield Question("more lengths", ("--from",), needed=False)


def _compound(given: Given, _: Mapping[str, str]) -> _Missing:
    if not given.get("gap"):
        yield Question("gap")


def _weld(given: Given, asked: Mapping[str, str]) -> _Missing:
    gas = {
        "cylinder": Question("cylinder", ("--cylinder",)),
        "bar": Question("gauge", ("--bar",)),
        "flow": Question("gas flow", ("--flow",)),
    }
    if given.get("leg"):
        if not given.get("length"):
            yield Question("weld's length")
        if asked:
            ways = {"rod": (), "mig": ("--by", "MIG"), "flux cored": ("--by", "flux cored"),
                    "submerged arc": ("--by", "submerged arc")}  # fmt: skip
            yield Question("welded by", needed=False, choices=ways)
        return
    if not any(given.get(name) for name in gas):
        yield Question("leg", needed=False)
    for name, question in gas.items():
        if not given.get(name):
            yield question


def _shrink(given: Given, asked: Mapping[str, str]) -> _Missing:
    over, under = given.get("over"), given.get("under")
    if not (given.get("length") or over or under):
        yield Question("shrunk", needed=False)
    if over or under or (asked and not given.get("length")):
        if not over:
            yield Question("over", ("--over",))
        if not under:
            yield Question("under", ("--under",))


def _bath(given: Given, asked: Mapping[str, str]) -> _Missing:
    text = _text(given, "bath").strip()
    if not text:
        yield Question("bath")
    elif asked:
        if text[:1].isalpha():
            yield Question("level", ("--to",), needed=False)
            yield Question("part", ("--part",), needed=False)
        yield Question("citric", ("--citric",), needed=False)


def _volts(given: Given, asked: Mapping[str, str]) -> _Missing:
    asks = {"wire": Question("wire"), "length": Question("wire's length"), "amps": Question("amps")}
    for name, question in asks.items():
        if not given.get(name):
            yield question
            return
    if asked and not given.get("both_ways"):
        choices = {"frame": (), "wire": ("--both-ways",)}
        yield Question("back by", choices=choices)


def _keeps(given: Given, asked: Mapping[str, str]) -> _Missing:
    if not given.get("name"):
        yield Question("consumable")
    elif asked:
        if not (given.get("bought") or given.get("made")):
            yield Question("bought", ("--bought",), needed=False)
        if not given.get("opened"):
            yield Question("opened", ("--opened",), needed=False)


def _convert(given: Given, asked: Mapping[str, str]) -> _Missing:
    if not given.get("words"):
        yield Question("amount")
    elif asked:
        yield Question("unit", ("to",), needed=False)


_MISSING: Mapping[str, Callable[[Given, Mapping[str, str]], _Missing]] = {
    "torque": _torque, "order": _order, "slots": _slots, "oiled": _oiled, "plug": _plug,
    "fill": _fill, "oil": _oil, "fork": _fork, "mixture": _mixture, "compression": _compression,
    "battery": _battery, "fit": _fit, "wear": _wear, "bore": _bore, "convert": _convert,
    "grip": _grip, "bead": _bead, "locking": _locking, "grease": _grease, "paint": _paint,
    "mixing": _mixing, "sheet": _sheet, "lengths": _lengths, "volts": _volts, "keeps": _keeps,
    "compound": _compound, "weld": _weld, "shrink": _shrink, "bath": _bath,
}  # fmt: skip
"""What each calculator misses. Rules go without: their subjects are an answer of their own."""


def _is_thread(answer: str, _: Given) -> None:
    from stores.handbook.torque.maker import read_bolt

    read_bolt(answer)


def _is_mark(answer: str, given: Given) -> None:
    from stores.handbook.torque.grades import find_grade
    from stores.handbook.torque.maker import read_bolt, split_into

    find_grade(answer, read_bolt(split_into(_text(given))[0]).thread)


def _is_state(answer: str, given: Given) -> None:
    from stores.handbook.torque.grades import find_grade, friction
    from stores.handbook.torque.maker import read_bolt, split_into

    bolt = read_bolt(split_into(_text(given))[0])
    friction(answer, stainless=find_grade(bolt.grade, bolt.thread).stainless)


def _is_metal(answer: str, _: Given) -> None:
    from stores.handbook.torque.grades import material

    material(answer)


def _is_oil(answer: str, _: Given) -> None:
    from stores.usecases.reckoning.oil import AskOil, oil

    oil(AskOil(answer))


def _is_of(kind: units.Kind, default: str | None = None) -> Callable[[str, Given], None]:
    def held(answer: str, _: Given) -> None:
        units.read(answer, kind, default)

    return held


def _is_number(answer: str, _: Given) -> None:
    units.read_number(answer)


def _is_count(answer: str, _: Given) -> None:
    if not re.fullmatch(r"\d{1,4}", answer):
        raise NotationError("expected a whole number", answer)


def _is_reckoned(reckon: Callable[[Any, str], object]) -> Callable[[str, Given], None]:
    """Hold an answer to a calculator of consumables, with figures that suit for all the rest."""

    def held(answer: str, _: Given) -> None:
        from stores.usecases.reckoning import consumables

        reckon(consumables, answer)

    return held


_CHECKS: Mapping[str, Callable[[str, Given], None]] = {
    "thread": _is_thread,
    "mark": _is_mark,
    "state": _is_state,
    "into": _is_metal,
    "oil": _is_oil,
    "final torque": _is_of(units.Kind.TORQUE, "N m"),
    "dry figure": _is_of(units.Kind.TORQUE, "N m"),
    "petrol": _is_of(units.Kind.VOLUME),
    **dict.fromkeys(
        ("engaged", "level", "tube", "rise", "nominal", "limit"), _is_of(units.Kind.LENGTH, "mm")
    ),
    **dict.fromkeys(
        (
            "clamped",
            "hole",
            "loop",
            "run",
            "more runs",
            "more lengths",
            "leg",
            "weld's length",
            "shrunk",
            "over",
            "under",
        ),
        _is_of(units.Kind.LENGTH, "mm"),
    ),
    "part": _is_of(units.Kind.MASS, "kg"),
    "cylinder": _is_of(units.Kind.VOLUME, "l"),
    "gauge": _is_of(units.Kind.PRESSURE, "bar"),
    "bearing's mass": _is_of(units.Kind.MASS, "g"),
    "tin": _is_of(units.Kind.VOLUME),
    **dict.fromkeys(("past", "volts", "gas flow"), _is_number),
    **dict.fromkeys(("bolt holes", "coats", "how many"), _is_count),
    "bead": _is_reckoned(lambda by, typed: by.bead(by.ReckonBead(typed, "100"))),
    "outline": _is_reckoned(lambda by, typed: by.bead(by.ReckonBead("3", typed))),
    "pack": _is_reckoned(lambda by, typed: by.bead(by.ReckonBead("3", pack=typed))),
    **dict.fromkeys(
        ("threads", "more threads"), _is_reckoned(lambda by, typed: by.locking([typed]))
    ),
    "bearing": _is_reckoned(lambda by, typed: by.grease(by.ReckonGrease(typed))),
    "area": _is_reckoned(lambda by, typed: by.paint(by.ReckonPaint(typed, "50", "50"))),
    "solids": _is_reckoned(lambda by, typed: by.paint(by.ReckonPaint("1", typed, "50"))),
    "dry film": _is_reckoned(lambda by, typed: by.paint(by.ReckonPaint("1", "50", typed))),
    "parts": _is_reckoned(lambda by, typed: by.mixing(typed, "100 ml")),
    "ready to use": _is_reckoned(lambda by, typed: by.mixing("1:1", typed)),
    "sheet": _is_reckoned(lambda by, typed: by.sheet(by.ReckonSheet(typed, "10x10"))),
    "blank": _is_reckoned(lambda by, typed: by.sheet(by.ReckonSheet("A4", typed))),
    "gap": _is_reckoned(lambda by, typed: by.compound(by.ReckonCompound(typed))),
    "bath": _is_reckoned(lambda by, typed: by.bath(by.ReckonBath(typed))),
    "citric": _is_reckoned(lambda by, typed: by.bath(by.ReckonBath("1 l", citric=typed))),
    "wire": _is_reckoned(lambda by, typed: by.volts(by.ReckonVolts(typed, "1", "1"))),
    "wire's length": _is_reckoned(
        lambda by, typed: by.volts(by.ReckonVolts("14/0.30", typed, "1"))
    ),
    "amps": _is_reckoned(lambda by, typed: by.volts(by.ReckonVolts("14/0.30", "1", typed))),
    "consumable": _is_reckoned(lambda by, typed: by.keeps(by.AskKeeps(typed))),
    "bought": _is_reckoned(lambda by, typed: by.keeps(by.AskKeeps("split pins", bought=typed))),
    "opened": _is_reckoned(lambda by, typed: by.keeps(by.AskKeeps("split pins", opened=typed))),
}
