"""The calculators' answers in words: the figure, what can hurt, what it depends on, sources."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from stores import units
from stores.model.work_units import VOLUMES, WorkUnits, chosen
from stores.wording import Line, Lines
from stores.wording.common import Template
from stores.wording.marks import quoted, to_type

if TYPE_CHECKING:
    from stores.handbook.bench_rules.rules import Rule
    from stores.handbook.engine import SpreadRule
    from stores.handbook.torque.maker import MakerFigure
    from stores.usecases.reckoning import Converted, Reckoned
    from stores.usecases.reckoning.bench import RuleSubjects
    from stores.usecases.reckoning.consumables import Kept, LengthsCut
    from stores.usecases.reckoning.engine import (
        BatteryReckoned,
        CompressionReckoned,
        CompressionTest,
    )
    from stores.usecases.reckoning.joint import TighteningOrder
    from stores.usecases.reckoning.oil import OilKnown
    from stores.usecases.reckoning.torque import MakerBeside, TorqueReckoned
    from stores.usecases.reckoning.wear import BoreReckoned, ReadingJudged, ToleranceLimits

__all__ = [
    "HINTS",
    "QUESTIONS",
    "REFUSALS",
    "answer",
    "answers",
    "battery",
    "bore",
    "cautions",
    "compression",
    "compression_test",
    "converted",
    "fill",
    "fit",
    "grip",
    "keeps",
    "lengths",
    "oil",
    "plug",
    "row",
    "rules",
    "slots",
    "source_lines",
    "tightening_order",
    "torque",
    "wear",
]

_ELSEWHERE = {
    "spark plug": (
        "a spark plug goes by its seat and head: "
        + to_type("stores reckon plug M14 gasket aluminium")
    ),
    "drain plug": (
        "a drain plug goes by its case: " + to_type("stores reckon plug M14 drain aluminium")
    ),
    "castle nut": (
        "a castle nut goes on to the next slot: " + to_type("stores reckon slots M12 --past 40")
    ),
}

REFUSALS: dict[str, Template] = {
    "state without a maker's figure": (
        f"{to_type('--maker-state')} goes with {to_type('--maker FIGURE')}"
    ),
    "length of thread twice": "{typed}: the length of thread is said twice; say it once",
    "engaged in nothing": (
        f"{to_type('--engaged')} is thread in a hole: say what it is in, "
        + to_type("--into aluminium")
    ),
    "adaptor without its wrench": (
        "an adaptor makes the wrench longer: say the lengths of both, "
        f"{to_type('--adaptor 60')} {to_type('--wrench 300')}"
    ),
    "a length in the bolt": (
        "{typed!r}: length of thread in the hole? Write it behind the metal, as "
        f"into aluminium 8 mm, or {to_type('--into aluminium')} {to_type('--engaged 8')}"
    ),
    "what it goes into twice": "{typed}: what it goes into is said twice; say it once",
    "torque goes elsewhere": (
        lambda typed, where: (
            f"{typed!r}: "
            + _ELSEWHERE.get(
                where,
                "the maker's figure only, for it can hurt or stretch by design; with the book's "
                "figure: " + to_type('--maker "25 N m"') + ", behind thread and state",
            )
        )
    ),
    "hardware goes elsewhere": (
        lambda typed, where: (
            f"{typed!r} is not a size in the tables: "
            + _ELSEWHERE.get(
                where,
                f"ask by its thread, as {to_type('stores reckon hardware nut M10')}; "
                "what belongs on the machine, and its torque, only the maker says",
            )
        )
    ),
    "bolt without a grip": (
        f"{to_type('--bolt')}, {to_type('--state')} and {to_type('--torque')} go with "
        f"{to_type('--grip MM')}: what is clamped"
    ),
    "nothing clamped": (
        "{typed}: say the thread and what is clamped, in mm: " + to_type("stores reckon grip M8 30")
    ),
    "case without a drain plug": (
        f"{to_type('--case')} is of a drain plug: add {to_type('--drain')}"
    ),
    "no such rule": (
        lambda typed, subjects: (
            f"no rule for {typed!r}: the subjects are {', '.join(subjects)}; "
            f"{quoted('stores reckon rules')} lists the parts"
        )
    ),
    "level or volume": (
        f"say {to_type('--to LEVEL')}, {to_type('--now LEVEL')} {to_type('--to LEVEL')}, or "
        f"{to_type('--holds ML')} by itself"
    ),
    "level without a spacer": (
        f"{to_type('--level MM')} and {to_type('--spacer LENGTH OUTSIDE INSIDE')} go together"
    ),
    "nothing of a fork": (
        f"say {to_type('--rise MM')}, {to_type('--legs LEFT RIGHT')}, or {to_type('--level MM')} "
        f"{to_type('--spacer LENGTH OD ID')}"
    ),
    "petrol twice": "the amount of petrol is said twice: say it once",
    "ratio of no tank": (
        f"{to_type('--holds')} is of a tank: say what is in it, {to_type('--tank AMOUNT')}"
    ),
    "no ratio and no amounts": (
        f"say a ratio and an amount, 25:1 5 l; or {to_type('--petrol')} and {to_type('--oil')}"
    ),
    "no amount of petrol": "how much petrol? write it after the ratio: 25:1 5 l",
    "no ratio wanted": (
        "say the ratio wanted first: " + to_type("stores reckon mixture 25:1 --tank 2l ...")
    ),
    "what to add or to hold": (
        f"say what to add, {to_type('--petrol AMOUNT')}, or what it is to hold, "
        f"{to_type('--full AMOUNT')}"
    ),
    "no ratio and no readings": (
        f"say the compression ratio, the readings ({to_type('--dry 88,71')}), or both"
    ),
    "stroke or port alone": f"{to_type('--stroke')} and {to_type('--port')} go together",
    "wet without dry": (f"a wet test is read beside the dry one: {to_type('--dry READINGS')}"),
    "more than an engine shows": (
        lambda typed, most_psi: (
            f"{typed}: over {most_psi:.0f} psi, no engine shows that: is the unit right?"
        )
    ),
    "warmth without a capacity": (
        f"{to_type('--at')} goes with {to_type('--capacity AH')}: how to charge it"
    ),
    "volts or gravity": "volts or gravity, one at a time: they are two tests",
    "no volts at rest": "say the voltage at rest, of one battery or of two 6 V in series: 12.4",
    "no gap to fill": (
        "{typed!r}: say face AREA GAP, bush OUTSIDE LENGTH GAP, or groove WIDTH DEPTH LENGTH, "
        "in mm: " + to_type("stores reckon compound bush 47 14 0.03")
    ),
    "leg and length of a weld": (
        "say leg and length of the weld, in mm; or a gas cylinder: "
        f"{to_type('--cylinder L')} {to_type('--bar BAR')} {to_type('--flow L')}"
    ),
    "gas of no cylinder": (
        f"{to_type('--cylinder')}, {to_type('--bar')} and {to_type('--flow')} go together"
    ),
    "nothing to shrink": (
        f"say the length when shrunk, in mm; or {to_type('--over MM')} and {to_type('--under MM')} "
        "together"
    ),
    "a part in no tank": (
        f"{to_type('--to')} and {to_type('--part')} are of a tank: write its inside measures, "
        "box 600 400 300"
    ),
    "length or pack": (
        f"say the length of the bead, or {to_type('--pack AMOUNT')}: one of the two"
    ),
    "no such bearing": (
        lambda typed: f"{typed!r}: no bearing of the tables; write its sizes: 20x47x14"
    ),
    "no reading of wear": "say what was measured: 19.91, or gudgeon pin 14.97",
    "no such part of wear": lambda typed, parts: (
        f"no rule of wear for {typed!r}: there are {', '.join(parts)}; or leave the name out"
    ),
    "reading of another part": (
        lambda reading_mm, nominal_mm: (
            f"{reading_mm:g} mm against {nominal_mm:g} when new: misread, or another part"
        )
    ),
}
HINTS: dict[str, str] = {}
QUESTIONS = {
    "thread": "Thread, as M8 or 1/4 BSF:",
    "mark": "Mark on the head, as 8.8 or R (Enter: none):",
    "state": "Thread and face: dry, oiled, greased, plated, moly paste, unknown?",
    "into": "Into which metal? (Enter: a nut, or steel):",
    "engaged": "Length of thread in the hole, mm (Enter: not measured):",
    "holes": "Holes, as 8 on 120 or 12 3 6 9:",
    "final torque": "Final torque, as 24 or 18 lbf ft (Enter: none):",
    "nut": "Thread of the nut, as M12:",
    "past": "Degrees past the last slot, at the torque (Enter: not known):",
    "dry figure": "The figure for dry threads, as 25 or 18 lbf ft:",
    "plug thread": "Thread of the plug, as M14:",
    "plug": "spark or drain plug?",
    "case": "The case: aluminium or cast iron?",
    "seat": "The seat: gasket or taper?",
    "head": "The head: aluminium or cast iron?",
    "shape": "Inside measures in mm: box L W H, lying D L, upright D H:",
    "level": "Up to which level, mm (Enter: full):",
    "oil": "The oil, as on the can, 20W-50 or EP 90:",
    "bronze": "Is there bronze or brass in the oil? yes, no (Enter: not known):",
    "tube": "Inside of the fork tube, mm:",
    "rise": "How far the oil has to come up, mm:",
    "ratio": "Petrol to oil, as 25:1 or 4 %:",
    "petrol": "How much petrol, as 5 l or 1 imp gallon:",
    "compression ratio": "Compression ratio, as 7.5 (Enter: not known):",
    "readings": "Readings of the dry test by cylinder, psi, as 88,71 (Enter: none):",
    "volts": "Volts at rest:",
    "fit": "Size and classes, as 12 H7/k6 or 20 h6:",
    "reading": "What was measured, mm, as 19.91 or gudgeon pin 14.97:",
    "nominal": "The size when new, mm (Enter: not known):",
    "limit": "The maker's limit, mm (Enter: not known):",
    "way": "Does wear make it larger or smaller?",
    "height": "A height and its readings along and across, mm, as top 47.52 47.55:",
    "more heights": "The next height (Enter: no more):",
    "amount": "The amount with its unit, as 18 lbf ft:",
    "unit": "Into which unit (Enter: all the usual ones):",
    "clamped": "What is clamped, without washers, mm:",
    "hole": "Depth of thread in the hole, mm (Enter: right through):",
    "bead": "How thick the bead is, mm:",
    "outline": "The outline it follows, mm (Enter: how far a pack goes):",
    "pack": "What the pack holds, as 80 ml:",
    "bolt holes": "Bolt holes with a loop round them (Enter: none):",
    "loop": "Diameter of such a loop, mm:",
    "threads": "How many of which thread, as 6 M8:",
    "more threads": "The next thread (Enter: no more):",
    "bearing": "Its number, or bore x outside x width in mm, as 20x47x14:",
    "bearing's mass": "Its mass, g: gives the first fill (Enter: not weighed):",
    "area": "The area, all sides, as 1.2 m2:",
    "solids": "Solids by volume, %, from the maker's sheet:",
    "dry film": "Dry film of a coat, micrometres, from the maker's sheet:",
    "coats": "How many coats (Enter: 1):",
    "painted by": "By gun, brush, roller or airless (Enter: gun):",
    "tin": "What a tin holds, as 500 ml (Enter: not known):",
    "parts": "Parts by volume, as on the tin, 4:1:1:",
    "ready to use": "How much ready to use, as 300 ml:",
    "sheet": "Sides of the sheet, mm, as 500x500 or A4:",
    "blank": "Sides of one gasket with its margin, mm, as 180x120:",
    "how many": "How many gaskets (Enter: what one sheet gives):",
    "run": "The length of a run, mm:",
    "more runs": "The next run, mm (Enter: no more):",
    "more lengths": "A length that is there to cut from, mm (Enter: no more):",
    "wire": "The wire: its strands, as 14/0.30, or its ohm/m:",
    "wire's length": "Its length, m:",
    "amps": "The current, A:",
    "back by": "Back by the frame, or by a wire of its own? frame, wire:",
    "gap": "What to fill, mm, as bush 47 14 0.03 or face 100cm2 0.1:",
    "leg": "Leg of the fillet, mm (Enter: only how long the gas lasts):",
    "weld's length": "Length of the weld, mm:",
    "welded by": "By rod, MIG, flux cored or submerged arc (Enter: rod):",
    "cylinder": "Water capacity of the gas cylinder, l:",
    "gauge": "Pressure on its gauge, bar:",
    "gas flow": "Flow, l/min:",
    "shrunk": "Length wanted when shrunk, mm (Enter: only which ratio):",
    "over": "The largest it has to pass over, mm:",
    "under": "The smallest it has to grip, mm:",
    "bath": "How much, as 20 l; or inside measures, mm: box L W H, upright D H:",
    "part": "The part in it, as 12 kg (Enter: none):",
    "citric": "Citric acid, g/l or % by mass, as 50 (Enter: none):",
    "consumable": "Which consumable, as DOT 4 or lithium grease:",
    "bought": "When it was bought, as 3 Nov 2025 (Enter: not known):",
    "opened": "When it was opened (Enter: not yet, or not known):",
}
"""What a calculator asks for at a terminal."""

_LABEL = 12

_BESIDE = {
    "kPa": ("psi", "bar"),
    "N m": ("lbf ft", "kgf m"),
}
"""Units in which a figure is shown beside its own, by its own; beside a volume those that a person
might work in."""


def row(label: str, text: str) -> Line:
    """Return a labelled line, wrapped under itself."""
    return Line(text, f"  {label:<{_LABEL}}", " " * (_LABEL + 2))


def _said(label: str, text: str) -> Line:
    """Return a labelled sentence of the handbook, its torques in the unit a person works in."""
    return row(label, chosen().turned(text))


def cautions(texts: Iterable[str]) -> list[Line]:
    """Return cautions, each once; torques in the unit a person works in."""
    now = chosen()
    return [
        Line(now.turned(text[:1].upper() + text[1:]), "! ", "  ") for text in dict.fromkeys(texts)
    ]


def _whole(text: str) -> Line:
    return Line(text, whole=True)


def source_lines(texts: Iterable[str], *, full: bool | None = None) -> list[Line]:
    """Return the sources: their names in a line, or in full, a line each; what is from memory says
    so.

    ``full`` is None where nobody can ask for the long form, which the answer as JSON has too.
    """
    every = [text for text in dict.fromkeys(texts) if _named(text)]
    if full:
        return [row("" if at else "source", text) for at, text in enumerate(every)]
    names = "; ".join(dict.fromkeys(map(_named, every)))
    more = ""
    if full is False and names != "; ".join(every):
        more = f" ({to_type('--sources')} spells them out)"
    return [row("source", names + more)] if names else []


def _named(source: str) -> str:
    """Return a source by its name: ``ISO 273``, ``ISO 4014 and ISO 4762 (memory)``."""
    if source.startswith("figures given by"):
        return ""
    name = re.split(r"[,;(]|: ", source, maxsplit=1)[0].strip()
    for word in ("memory", "common practice"):
        if word in source and word not in name:
            name += f" ({word})"
    return name


def _bullet(text: str) -> Line:
    return Line(text, "- ", "  ")


def fraction_words(parts: int, of: int) -> str:
    """Return parts of a whole as the trade says them.

    >>> fraction_words(8, 16), fraction_words(20, 16), fraction_words(16, 16)
    ('1/2', '1 1/4', '1')
    """
    from fractions import Fraction

    whole, rest = divmod(parts, of)
    words = [str(whole)] if whole else []
    if rest:
        words.append(str(Fraction(rest, of)))
    return " ".join(words) or "0"


def _figure(value: float, unit: str, digits: int = 3) -> str:
    """Return a figure in its unit: ``1.25 l``, ``24.6 N m``, ``62 %``, ``1/2 turn``."""
    if unit == "h":
        return f"{max(1, round(value))} h"
    if unit == "turn":
        parts = round(value * 16)
        return f"{fraction_words(parts, 16)} turn"
    if unit == "um" or (unit in _WEIGHED and abs(value) < 10):
        digits = 2
    if unit in _LARGER and abs(value) >= 1000:
        return f"{units.plain(value / 1000, digits)} {_LARGER[unit]}"
    return f"{units.plain(value, digits)} {unit}".rstrip()


_LARGER = {"ml": "l", "g": "kg"}
_WEIGHED = {"ml", "g", "cm3"}
"""Below ten of these, two figures are all that a syringe or a scale at the bench has."""


def _own(value: float, unit: str) -> str:
    """Return the unit that a person works in for a figure of this one."""
    now = chosen()
    own = {"N m": now.torque, VOLUMES[0]: now.volume_unit(value)}
    return own.get(unit, unit)


def _span(low: float, high: float, unit: str) -> str:
    """Return a range in the unit a person works in: ``1.2 to 1.3 l``, ``18 to 20 lbf ft``."""
    own = _own(high, unit)
    if own == unit:
        first, last = _figure(low, unit), _figure(high, unit)
        shared = f" {last.partition(' ')[2]}" if unit else ""
        return f"{first.removesuffix(shared)} to {last}"
    ends = [units.plain(units.convert(each, unit, own), 3) for each in (low, high)]
    return f"{ends[0]} to {ends[1]} {own}"


def _shown(value: float, unit: str) -> str:
    """Return a figure in the unit a person works in, in brackets the other units people use."""
    names = [*_BESIDE.get(unit, ())]
    if unit == VOLUMES[0]:
        words = (WorkUnits(volume=each).volume_unit(value) for each in VOLUMES[1:])
        names = [name for name in words if name != unit]
    own = _own(value, unit)
    first = _figure(value, unit)
    if own != unit:
        names = [name for name in names if name != own]
        texts = [first]
        first = _figure(float(units.convert(value, unit, own)), own)
    else:
        texts = []
    texts += [f"{units.plain(units.convert(value, unit, name), 3)} {name}" for name in names]
    return f"{first} ({', '.join(texts)})" if texts else first


def answer(reply: "Reckoned") -> Lines:
    """Return one figure, its range, and what it comes from."""
    return answers([reply])


def answers(replies: "Sequence[Reckoned]") -> Lines:
    """Return several figures, what can hurt under them, then what they come from; each once."""
    return Lines([*_figures(replies), *_behind(replies)], _whence(replies))


def _figures(replies: "Sequence[Reckoned]") -> list[Line]:
    """Return the figures with their ranges, and what can hurt right under them."""
    lines = []
    for each in map(_in_ml, replies):
        low, high = _figure(each.low, each.unit), _figure(each.high, each.unit)
        span = _span(each.low, each.high, each.unit)
        if each.unit == "turn" and low != high:  # a band by feel: its middle is no finer than it
            lines.append(Line(f"{each.what}: {low.removesuffix(' turn')} to {high}", rest="  "))
            continue
        if each.what.endswith(_CHARGE):
            lines += _charge(each)
            continue
        lines.append(Line(f"{each.what}: {_shown(each.value, each.unit)}", rest="  "))
        if each.low != each.high:
            lines.append(row("range", span))
    return [*lines, *cautions(text for each in replies for text in each.cautions)]


def _in_ml(reply: "Reckoned") -> "Reckoned":
    """Return a volume in litres in ml, as every other is; anything else as it is."""
    if reply.unit != "l":
        return reply
    value, low, high = (1000 * each for each in (reply.value, reply.low, reply.high))
    return replace(reply, value=value, low=low, high=high, unit="ml")


_CHARGE = "state of charge"


def _charge(reply: "Reckoned") -> list[Line]:
    """Return a state of charge in steps of five per cent: the sources differ by more than one."""
    about = 5 * round(reply.value / 5)
    low, high = 5 * int(reply.low // 5), -5 * int(-reply.high // 5)
    lines = [_whole(f"{reply.what}: about {about} %")]
    return [*lines, row("range", f"{low} to {high} %")] if low != high else lines


def _whence(replies: "Sequence[Reckoned]") -> list[str]:
    return [text for each in replies for text in each.sources]


def _behind(replies: "Sequence[Reckoned]") -> list[Line]:
    """Return what figures depend on and what was assumed; each once."""
    depends = dict.fromkeys(each.limiting for each in replies if each.limiting)
    assumed = dict.fromkeys(text for each in replies for text in each.assumptions)
    lines = [_said("depends on", "; ".join(depends))] if depends else []
    if assumed:
        lines.append(_said("assumed", "; ".join(assumed)))
    return lines


def grip(replies: "Sequence[Reckoned]") -> Lines:
    """Return the length of a bolt with what can hurt right under it, then how it lies."""
    first, *others = replies
    return Lines([*_figures([first]), *_figures(others), *_behind(replies)], _whence(replies))


def plug(replies: "Sequence[Reckoned]") -> Lines:
    """Return the torque of a plug, the low end to set first; then its turn and what can hurt."""
    first, *others = replies
    lines = [Line(f"Set {_shown(first.low, first.unit)}: {first.what}", rest="  ")]
    if first.low != first.high:
        high = _figure(first.high, first.unit)
        lines.append(_said("up to", f"{high}, for sound threads only"))
    turns = [each for each in _figures(others) if each.first != "! "]
    told = cautions(text for each in replies for text in each.cautions)
    return Lines([*lines, *turns, *told, *_behind(replies)], _whence(replies))


def lengths(reply: "LengthsCut") -> Lines:
    """Return the length in all and how to cut it; first of all what no length is enough for."""
    total = _figures([replace(reply.total, cautions=())])
    lines = list(total)
    if reply.short_mm:
        cuts = ", ".join(f"{units.plain(cut, 6)} mm" for cut in reply.short_mm)
        why = "enough in all, but no single length is" if reply.enough_in_all else "not enough"
        lines.append(Line(f"Short of {cuts}: {why}.", "! ", "  "))
        if not reply.sure:
            lines.append(Line("Too many lengths to try every way: there may be a better one.", "! ",
                              "  "))  # fmt: skip
    for used in reply.lengths:
        cuts = " + ".join(units.plain(cut, 6) for cut in used.cuts_mm)
        left = units.plain(used.length_mm - sum(used.cuts_mm), 6)
        lines.append(row(f"{units.plain(used.length_mm, 6)} mm", f"cut {cuts}; {left} mm left"))
    told = [*lines, *cautions(reply.total.cautions), *_behind([reply.total])]
    return Lines(told, _whence([reply.total]))


_LIFE = "a hint, from memory"


def _months(life: "tuple[int | None, int | None]") -> str:
    low, high = life
    if low is None:
        return "no figure found"
    if low == 0:
        return f"use at once, {high} months at most" if high else "use at once"
    span = f"{low} to {high}" if high not in (None, low) else f"{low}"
    return f"{span} months" if high is not None else f"{low} months or more"


def keeps(reply: "Kept") -> Lines:
    """Return how long a consumable keeps, what it can do, how to store it, when it has gone off."""
    from stores.text import day_words

    if reply.check:
        lines = [Line(f"{reply.name}: no date to go by. Check it before use", rest="  ")]
    elif reply.until is None:
        lines = [Line(reply.name, rest="  ")]
    else:
        lines = [Line(f"{reply.name}: use by {day_words(reply.until)}", rest="  ")]
        lines.append(row("counted", f"from the day {_COUNTED[reply.by]}"))
        if reply.latest and reply.latest != reply.until:
            lines.append(row("at latest", day_words(reply.latest)))
    hint = f" ({_LIFE})" if reply.basis == "memory" else ""
    lines.append(row("unopened", _months(reply.unopened) + hint))
    lines.append(row("opened", _months(reply.opened)))
    lines += cautions(reply.cautions)
    lines.append(row("store", reply.storage))
    lines.append(row("gone off", reply.gone_off))
    if reply.assumptions:
        lines.append(row("assumed", "; ".join(reply.assumptions)))
    return Lines(lines, reply.sources)


_COUNTED = {"made": "made", "bought": "bought", "opened": "opened", "label": "on the label"}


def fill(reply: "Reckoned") -> Lines:
    """Return what a case holds; of a level that is too high, what to draw off."""
    if reply.value < 0:
        reply = replace(reply, value=-reply.value, low=-reply.high, high=-reply.low, cautions=())
    return answer(reply)


def torque(reply: "TorqueReckoned") -> Lines:
    """Return the torque to set, when less is set, what can hurt; then what it depends on.

    A maker's figure comes first.
    """
    joint = f"{reply.thread} {reply.grade}, {reply.friction}"
    joint += ", set as for the slippery end" if reply.friction.unsure else ""
    into = f"into {reply.into}" if reply.into else "into a nut or steel"
    if reply.assumed_mm is not None:
        into += f", {units.plain(reply.assumed_mm, 3)} mm of thread assumed"
    now = chosen()
    names = dict.fromkeys((now.torque, "N m", "lbf ft", "kgf m"))
    own, *others = (f"{units.plain(reply.set[unit], 3)} {unit}" for unit in names)
    figure = f"{own} ({', '.join(others)})"
    if reply.maker is None:
        lines = [Line(f"Set {figure}: {joint}, {into}", rest="  ")]
    else:
        lines = _beside_maker(reply.maker, reply.friction.state)
        lines.append(Line(f"Computed {figure}: {joint}, {into}", rest="  "))
    if (longer := reply.with_adaptor) is not None:
        lengths = (units.plain(each, 3) for each in (longer.adaptor_mm, longer.wrench_mm))
        lines.append(
            Line(
                "With an adaptor of {} mm straight out on a wrench of {} mm: ".format(*lengths)
                + f"set the wrench to {chosen().to_set(longer.set_nm)}; "
                "at a right angle to it as without",
                rest="  ",
            )
        )
    first = reply.maker.cautions if reply.maker else ()
    less = () if reply.maker else _less(reply)
    lines += cautions((*first, *less, *reply.cautions))
    lines += _by_friction(reply)
    preload = reply.preload_n.times(0.001)
    lines += [
        row(
            "clamps with",
            f"{units.plain(preload.nominal, 3)} kN at {chosen().to_set(reply.set_nm)}; "
            f"{_clamping(reply)} with friction and wrench",
        ),
        _said("depends on", f"{reply.limits[0].element}: {reply.limits[0].why}"),
    ]
    if reply.stripping and reply.stripping.bolt_first:  # else it is among the cautions
        lines.append(row("first to go", reply.stripping.first))
    if reply.seat_limit_mpa is not None:
        stands = f"up to {reply.seat_mpa:.0f} MPa, it bears {reply.seat_limit_mpa:.0f} MPa"
        lines.append(row("on the seat", stands))
    return Lines([*lines, _said("assumed", "; ".join(reply.assumptions))], reply.sources)


def _clamping(reply: "TorqueReckoned") -> str:
    low, high = (
        units.plain(each * 0.001, 3) for each in (reply.preload_n.low, reply.preload_n.high)
    )
    return f"{low} kN or more" if reply.yields else f"{low} to {high} kN"


_SLIPPERY = {"oiled": "with oil or grease on it", "anti-seize": "with moly paste, graphite or wax"}


def _less(reply: "TorqueReckoned") -> list[str]:
    """Return in which cases less is set, and what happens otherwise."""
    cases = [
        f"{chosen().to_set(each.set_nm)} "
        f"{_SLIPPERY[each.state] if each.state else f'into {each.into}'}"
        for each in reply.otherwise
    ]
    told = []
    if reply.in_steel_nm is not None:
        told.append(
            f"No more than that into {reply.into}: its thread strips where steel would take "
            f"{chosen().to_set(reply.in_steel_nm)}"
        )
    if reply.assumed_mm is not None:
        told.append(
            f"Only for {units.plain(reply.assumed_mm, 3)} mm of thread in the hole, which is "
            f"assumed: less thread, less torque. Measure it, and say {to_type('--engaged MM')}"
        )
    if cases:
        told.append(f"Set less: {'; '.join(cases)}")
    if reply.yields:
        told.append(
            f"On a slippery thread {chosen().to_set(reply.set_nm)} would stretch the bolt past "
            f"its yield: not sure of the thread? Set {chosen().to_set(reply.slippery_nm)}"
        )
    return told


def _by_friction(reply: "TorqueReckoned") -> list[Line]:
    """Return the torque by friction: columns are cases of one joint, no band to choose from."""
    rub = reply.friction
    usual = reply.torque["N m"]
    if usual.slippery == usual.rough:
        return [row("by friction", f"the same, whether slippery {rub.low:g} or rough {rub.high:g}")]
    if rub.low == rub.high:
        return [row("exactly", f"{units.plain(reply.torque['N m'].usual, 3)} N m at {rub}")]
    heads = (f"slippery {rub.low:g}", f"usual {rub.nominal:g}", f"rough {rub.high:g}")
    lines = [_whole("  by friction   " + "".join(f"{head:>15}" for head in heads))]
    own = chosen().torque
    for unit in (own, "lbf ft" if own == "N m" else "N m"):
        each = reply.torque[unit]
        cells = (units.plain(value, 3) for value in (each.slippery, each.usual, each.rough))
        lines.append(_whole(f"  {unit:<14}" + "".join(f"{cell:>15}" for cell in cells)))
    return lines


def _beside_maker(both: "MakerBeside", state: str) -> list[Line]:
    """Return the maker's figure, the one to use, and how the computed one agrees."""
    maker = _maker(both.figure)
    other = both.figure.state and both.figure.state != state
    if not both.agrees and both.ratio > 1.5:
        lines = [_whole(f"Check the book first: the maker's {maker}?")]
    elif other:
        lines = [
            Line(
                f"The maker's {maker}: as it stands only for a thread that is "
                f"{both.figure.state}, not {state}"
            )
        ]
    else:
        lines = [_whole(f"Use the maker's {maker}")]
    lines.append(_said("beside it", both.words))
    if other and both.figure.state == "dry":
        reckon = to_type(f"stores reckon oiled FIGURE THREAD --to {state}")
        lines.append(row("so", f"fit it dry, or take less: {reckon}"))
    return lines


def _maker(figure: "MakerFigure") -> str:
    """Return a maker's figure: ``24.4 N m (18 lbf ft), oiled (manual p. 41)``."""
    state = f", {figure.state}" if figure.state else ""
    now = chosen()
    span = now.torque_words(figure.low_nm, figure.high_nm)
    if not now.turns_torque:
        span += f" ({WorkUnits('lbf ft').torque_span(figure.low_nm, figure.high_nm)} lbf ft)"
    return f"{span}{state}{f' ({figure.source})' if figure.source else ''}"


def tightening_order(reply: "TighteningOrder") -> Lines:
    """Return a joint: its picture, the order with what goes in each hole, the passes."""
    from stores.handbook.tightening.picture import LEGEND, picture

    contents = {hole.hole: hole.goes_in for hole in reply.holes}
    if any(contents.values()):
        turns = "; ".join(
            f"{turn}. h{hole} {contents[hole]}".rstrip() for turn, hole in enumerate(reply.order, 1)
        )
    else:
        turns = " ".join(f"h{hole}" for hole in reply.order)
    lines = [
        *(Line(line, whole=True) for line in picture(reply.plan)),
        Line(LEGEND, "  ", "  "),
        Line(""),
        row("order", turns),
    ]
    for at, each in enumerate(reply.passes, 1):
        share = "" if each.per_cent is None else f"{each.per_cent} %: "
        torque = (
            ""
            if each.torque_nm is None
            else f"{chosen().pass_words(each.torque_nm, each.per_cent)}, "
        )
        lines.append(row(f"pass {at}", f"{share}{torque}{each.what}"))
    if reply.torque_nm is None:
        say = to_type("--torque")
        lines.append(row("", f"say {say} to have the passes in {chosen().torque}"))
    return Lines(
        [
            *lines,
            *cautions(reply.cautions),
            _said("assumed", "; ".join(reply.assumptions)),
        ],
        reply.sources,
    )


def slots(replies: "Sequence[Reckoned]") -> Lines:
    """Return the turn of a castle nut with the rules that go with it."""
    from stores.handbook.bench_rules.rules import rules as rules_of

    first = rules_of("castle nut")
    figures, told = [replies[0]], []
    for share in replies[1:]:
        if share.value < 100:
            figures.append(share)
        else:
            told = [Line(f"{share.what}: past its yield", rest="  ")]
    turn = replace(
        replies[0],
        cautions=(*replies[-1].cautions, *replies[0].cautions, *first[1].cautions),
    )
    return Lines(
        [
            *told,
            *_figures([turn, *figures[1:]]),
            _rule(first[0]),
            _rule(first[2]),
            *_behind(replies),
        ],
        _whence(replies),
    )


def _rule(rule: "Rule") -> Line:
    """Return a rule, marked with where it is from: common practice, memory, a standard."""
    from stores.handbook.answer import cite

    whence = dict.fromkeys(_named(cite(key)) for key in rule.sources)
    return _bullet(f"{rule.text[:1].upper()}{rule.text[1:].rstrip('.')} ({'; '.join(whence)})")


def rules(reply: "RuleSubjects | tuple[Rule, ...]") -> Lines:
    """Return rules, each with its reason; or what there are rules of."""
    from stores.handbook.answer import cite

    if not isinstance(reply, tuple):
        return Lines(
            [
                row("subjects", ", ".join(reply.subjects)),
                row("parts", ", ".join(reply.renewing)),
                row("plating", "any class or strength: 10.9, SAE 8, 34 HRC, spring washer"),
            ]
        )
    lines = []
    for rule in reply:
        lines.append(_rule(rule))
        lines.append(Line(rule.why, "  because ", "          "))
        lines += [Line(instead, "  or ", "     ") for instead in rule.instead]
    lines += cautions(text for rule in reply for text in rule.cautions)
    return Lines(lines, [cite(key) for rule in reply for key in rule.sources])


def oil(reply: "OilKnown") -> Lines:
    """Return how thick an oil is, what is like it, and what to mind."""
    texts = ["the maker's oil for the machine comes first"]
    edition = f", {reply.edition}" if reply.edition else ""
    lines = [_whole(f"{reply.grade}: {reply.scale}{edition}")]
    if reply.advice:
        lines += cautions([f"{reply.advice.verdict}: {reply.advice.reason}"])
        texts += reply.advice.cautions
    lines += cautions(texts)
    if reply.least_cst is None or reply.at_c is None:
        said = f"not said by {reply.grade}: look on the can for a number, as SAE 90 or 80W-90"
        return Lines([*lines, row("thickness", said)], reply.sources)
    doubt = " (from memory: doubtful)" if reply.memory else ""
    least = _figure(reply.least_cst, "cSt")
    if reply.ungraded and reply.below_cst is not None:
        lines += _ungraded(reply, reply.least_cst, reply.below_cst)
        return Lines(lines, reply.sources)
    upper = "" if reply.below_cst is None else f", below {_figure(reply.below_cst, 'cSt')}"
    lines.append(row("thickness", f"{least} or more{upper} at {reply.at_c:g} C{doubt}"))
    if reply.typical_cst is not None:
        typical = _figure(reply.typical_cst, "cSt")
        lines.append(row("", f"a plain mineral oil about {typical} at 100 C (from memory)"))
    if reply.cold:
        lines.append(row("cold", reply.cold))
    if reply.narrower:
        since, year = reply.narrower
        edition = to_type(f"--edition {year}")
        lines.append(row("old books", f"before {since} a grade covered a wider range: {edition}"))
    if reply.alike:
        names = ", ".join(f"{each.grade} ({each.scale})" for each in reply.alike)
        lines.append(row("about alike", f"{names}, in thickness at 100 C alone"))
    return Lines(lines, reply.sources)


def _ungraded(reply: "OilKnown", least: float, most: float) -> list[Line]:
    """Return how thick the cans of an oil are that no standard grades."""
    lines = cautions(["The mark says little: compare the cSt on the can, and go by the maker's"])
    span = f"{units.plain(least, 3)} to {_figure(most, 'cSt')} at {reply.at_c:g} C"
    lines.append(row("thickness", f"cans have {span} (from memory: doubtful)"))
    names = ", ".join(each.grade for each in reply.alike)
    lines.append(row("about alike", f"{names}, in thickness at 40 C alone"))
    return [*lines, row("", reply.note)] if reply.note else lines


def compression(reply: "CompressionReckoned") -> Lines:
    """Return what a sound engine shows, in one range, with what the tests say; then why."""
    lines: list[Line] = []
    usual = reply.usual
    told = list(usual.cautions) if usual else []
    if usual:
        lines.append(_whole(f"a sound engine shows {_psi(usual.low, usual.high)} on the tester"))
    if reply.carbon:
        told.insert(
            0, "more than cranking gives at this ratio: carbon, another ratio, or the tester"
        )
    if reply.test:
        told += reply.test.cautions
        lines += _cylinders(reply.test, reply.unit)
    lines += cautions(told)
    tested = reply.test.sources if reply.test else ()
    ranged = (*reply.atmosphere.sources, *reply.usual.sources) if reply.usual else ()
    return Lines([*lines, *_floor(reply)], (*ranged, *tested))


def _floor(reply: "CompressionReckoned") -> list[Line]:
    """Return why the range is what it is, the floor, and the day's air."""
    air = reply.atmosphere
    day = f"the day's air: {units.plain(air.value * 10, 4)} hPa"
    tested = reply.test
    if not reply.usual:
        return [row("air", day), *([_tested(tested)] if tested else ())]
    absolute, gauge, _ = reply.answers[-3:]
    assumed = [*air.assumptions, *absolute.assumptions[2:], *reply.usual.assumptions]
    if tested:
        assumed = [*tested.assumptions, *assumed]
    return [
        *(
            _whole(f"{each.what}: {units.plain(each.value, 3)} {each.unit}")
            for each in reply.answers[:-3]
        ),
        _said("because", reply.usual.limiting),
        row("floor", f"{_psi(absolute.value)} absolute; a tester shows {_psi(gauge.value)}"),
        _said("assumed", "; ".join(dict.fromkeys((day, *assumed)))),
    ]


def _psi(*kilopascals: float) -> str:
    both = [
        " to ".join(units.plain(units.convert(each, "kPa", unit), digits) for each in kilopascals)
        for unit, digits in (("psi", 3), ("bar", 2))
    ]
    return f"{both[0]} psi ({both[1]} bar)"


def compression_test(reply: "CompressionTest", unit: str = "psi") -> Lines:
    """Return a compression test, cylinder by cylinder, what it points to, and what can hurt."""
    return Lines(
        [*_cylinders(reply, unit), *cautions(reply.cautions), _tested(reply)], reply.sources
    )


def _cylinders(reply: "CompressionTest", unit: str) -> list[Line]:
    """Return the verdict on each cylinder, and on all of them where there are several."""
    lines = []
    for each in reply.cylinders:
        wet = "" if each.wet_kpa_gauge is None else f", wet {_gauge(each.wet_kpa_gauge, unit)}"
        lines.append(
            Line(
                f"cylinder {each.cylinder}: dry {_gauge(each.dry_kpa_gauge, unit)}{wet} {unit}: "
                f"{each.cause}",
                rest="  ",
            )
        )
    if reply.spread_percent is not None:
        told = [_spread_rule(each) for each in reply.spread_rules]
        lines.append(
            row(
                "spread",
                f"{units.plain(reply.spread_percent, 2)} % of the highest: {'; '.join(told)}",
            )
        )
    each_by_itself = "; ".join(
        f"cylinder {each.cylinder}: {each.cause}" for each in reply.cylinders
    )
    alone = len(reply.cylinders) == 1 and reply.verdict.endswith(reply.cylinders[0].cause)
    if not alone and reply.verdict != each_by_itself:
        lines.append(row("so", reply.verdict))
    return lines


def _spread_rule(rule: "SpreadRule") -> str:
    """Return what one book says: ``over the 10 % of marine engine page``."""
    share = f"{100 * rule.share:.0f} %"
    practice = "common practice" in rule.source
    book = "common practice" if practice else re.split(r" on | \(", rule.source)[0]
    if rule.least:
        said = f"lowest {'above' if rule.kept else 'below'} {share} of the highest"
    else:
        said = f"{'within' if rule.kept else 'over'} {share}"
    return f"{said} ({book})"


def _tested(reply: "CompressionTest") -> Line:
    return _said("assumed", "; ".join(reply.assumptions))


def _gauge(kilopascals: float, unit: str) -> str:
    return units.plain(units.convert(kilopascals, "kPa", unit), 3)


def battery(reply: "BatteryReckoned") -> Lines:
    """Return the state of charge, and how much frost it stands."""
    lines = []
    if reply.total_v is not None and reply.apart_v is not None:
        total, apart = units.plain(reply.total_v, 4), units.plain(reply.apart_v, 2)
        lines.append(Line(f"{total} V together, {apart} V apart: {reply.verdict}", rest="  "))
    warm, cold = max(reply.freezes_c)
    text = f"from about {warm:.0f} C at the low end of the range (the sources: to {cold:.0f})"
    return Lines(
        [
            *lines,
            *_figures([*_each(reply), *reply.charging]),
            row("freezes", text),
            *_behind([*reply.answers, *reply.charging]),
        ],
        _whence([*reply.answers, *reply.charging]),
    )


def _each(reply: "BatteryReckoned") -> "list[Reckoned]":
    """Return what is known of each battery; of two in series which one it is of."""
    if len(reply.answers) == 1:
        return [*reply.answers]
    return [
        replace(each, what=f"battery {number}, {each.what}")
        for number, each in enumerate(reply.answers, 1)
    ]


def fit(reply: "Reckoned | ToleranceLimits") -> Lines:
    """Return the clearance of a pair, or the limits of one part."""
    from stores.handbook.answer import cite
    from stores.usecases.reckoning.wear import ToleranceLimits

    if isinstance(reply, ToleranceLimits):
        part, (low, high) = reply.deviations, reply.limits_mm
        kind = "hole" if part.hole else "shaft"
        return Lines(
            [
                _whole(f"{kind} {part.size_mm:g} {part.name}: {low:.4f} to {high:.4f} mm"),
                row("deviation", f"{part.lower_um:+g} to {part.upper_um:+g} um"),
            ],
            [cite("iso-286")],
        )
    return Lines(
        [
            _whole(f"{reply.what}: {_micrometres(reply.low)} to {_micrometres(reply.high)}"),
            row("", f"{reply.low / 1000:+.4f} to {reply.high / 1000:+.4f} mm"),
            *cautions(reply.cautions),
            _said("depends on", reply.limiting),
            _said("assumed", "; ".join(reply.assumptions)),
        ],
        reply.sources,
    )


def _micrometres(value: float) -> str:
    word = "clearance" if value >= 0 else "interference"
    return f"{abs(value):g} um {word}"


def wear(reply: "ReadingJudged") -> Lines:
    """Return a verdict on a reading."""
    verdict = "by rule, no verdict" if reply.by_rule else reply.verdict
    lines = [Line(f"{verdict}: {reply.reason}", rest="  ")]
    if reply.by_rule:
        lines += cautions([f"A sense check: {reply.reading.assumptions[0]}"])
    if reply.share is not None:
        text = f"{reply.worn_mm:.3f} mm, {100 * reply.share:.0f} % of what is allowed"
        lines.append(row("worn", text))
    reading = reply.reading
    return Lines(
        [
            *lines,
            row("range", f"{reading.low:.3f} to {reading.high:.3f} mm"),
            *cautions(reading.cautions),
            _said("assumed", "; ".join(reading.assumptions[reply.by_rule :])),
        ],
        reading.sources,
    )


def bore(reply: "BoreReckoned") -> Lines:
    """Return ovality, taper and wear of a bore."""
    lines = [_whole(f"bore {reply.smallest_mm:.3f} to {reply.largest_mm:.3f} mm")]
    if reply.ovality:
        lines.append(row("ovality", f"{reply.ovality.value:.3f} mm, at {reply.ovality_at}"))
    if reply.taper:
        lines.append(row("taper", f"{reply.taper.value:.3f} mm, {reply.taper_at} the bore"))
    if gap := reply.clearance:
        text = f"{gap.value:.3f} mm ({gap.low:.3f} to {gap.high:.3f}) on the piston"
        lines.append(row("clearance", text))
    # The rule of another engine is a sense check, no verdict.
    lines += [
        row("by rule" if each.by_rule else str(each.verdict), each.reason)
        for each in reply.verdicts
    ]
    if not reply.verdicts:
        lines.append(row("verdict", f"none: say {to_type('--nominal')}, or the maker's limits"))
    figures = [each for each in (reply.ovality, reply.taper, reply.clearance) if each]
    lines += cautions(text for each in figures for text in each.cautions)
    assumed = [text for each in reply.verdicts if each.by_rule for text in each.reading.assumptions]
    if assumed:
        lines.append(_said("assumed", "; ".join(dict.fromkeys(assumed))))
    return Lines(lines, reply.sources)


def converted(reply: "Converted") -> Lines:
    """Return an amount in other units."""
    return Lines(
        [
            _whole(f"{reply.given.text(9)} ="),
            *(row("", each.text(6)) for each in reply.amounts if each.unit != reply.given.unit),
        ],
        reply.sources,
    )
