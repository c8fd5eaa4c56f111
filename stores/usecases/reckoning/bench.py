"""Castle nuts, plugs, oiled threads and the rules of the bench, as they are typed."""

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from stores import units
from stores.errors import BadValue
from stores.usecases.reckoning import (
    Reckoned,
    _all,
    _amount,
    _mm,
    _mm_or_none,
    _nm,
    reckoned,
)

if TYPE_CHECKING:
    from stores.handbook.bench_rules.rules import Rule

__all__ = [
    "ReckonGrip",
    "ReckonPlug",
    "ReckonSlots",
    "RuleSubjects",
    "grip",
    "oiled",
    "plug",
    "rules",
    "slots",
]


class ReckonSlots(NamedTuple):
    """A castle nut, by thread or slots, and how many degrees it is past the last slot; with
    ``grip``, what is clamped, the stress that is added to the bolt."""

    nut: str
    past_deg: float | None = None
    holes: int = 1
    bolt: str = ""
    state: str = ""
    grip: str = ""
    torque: str = ""


class ReckonGrip(NamedTuple):
    """A joint: the thread, what is clamped, the washers; a nut, or what it is screwed into."""

    thread: str
    grip: str
    washers: str = ""
    nut: str = ""
    into: str = ""
    hole: str = ""
    length: str = ""
    threaded: str = ""


class ReckonPlug(NamedTuple):
    """A spark plug by thread, seat and head, or a drain plug by its case.

    Behind the thread may stand what else is said, ``M14 taper aluminium used``.
    """

    thread: str
    seat: str = ""
    head: str = ""
    used: bool = False
    drain: bool = False
    case: str = ""


@dataclass(frozen=True, slots=True)
class RuleSubjects:
    """What there are rules of: subjects, and kinds of part that are renewed."""

    subjects: tuple[str, ...]
    renewing: tuple[str, ...]


def slots(ask: ReckonSlots) -> tuple[Reckoned, ...]:
    """Return the turn of a castle nut to the next slot, and what it adds to the bolt.

    Raises:
        BadValue, NotationError, NotFound: what cannot be read or is in no table.
    """
    from stores.handbook.bench_rules.rules import after_turn, to_next_slot

    turn = to_next_slot(
        int(ask.nut) if ask.nut.isdecimal() else ask.nut, ask.past_deg, holes=ask.holes
    )
    if not ask.grip:
        if ask.bolt or ask.state or ask.torque:
            raise BadValue("bolt without a grip")
        return _all(turn)
    from stores.handbook.torque.joint import tighten
    from stores.handbook.torque.maker import read_bolt

    tight = tighten(read_bolt(ask.nut).thread, ask.bolt, ask.state or None)
    reached = _nm(ask.torque)
    return _all(turn, after_turn(tight, turn.value, _mm(ask.grip), torque_nm=reached))


def grip(ask: ReckonGrip) -> tuple[Reckoned, ...]:
    """Return the length of a bolt for what it clamps, and how its thread lies in the joint.

    Raises:
        BadValue, NotationError, NotFound: what cannot be read or is in no table.
    """
    from stores.handbook.grip import bolt_for

    if not ask.thread or not re.search(r"\d", ask.grip):
        raise BadValue("nothing clamped", typed=f"{ask.thread} {ask.grip}".strip()[:40])
    return _all(
        *bolt_for(
            ask.thread,
            _mm(ask.grip),
            washers_mm=_mm(ask.washers) if ask.washers else 0.0,
            nut_mm=_mm_or_none(ask.nut),
            into=ask.into,
            hole_mm=_mm_or_none(ask.hole),
            length_mm=_mm_or_none(ask.length),
            thread_mm=_mm_or_none(ask.threaded),
        )
    )


def plug(ask: ReckonPlug) -> tuple[Reckoned, ...]:
    """Return the torque of a spark plug, and its turn, or of a drain plug."""
    from stores.handbook.bench_rules.threads import drain_plug, spark_plug, spark_plug_turn

    ask = _plug_words(ask)
    if ask.case and not ask.drain:
        raise BadValue("case without a drain plug")
    if ask.drain:
        return _all(drain_plug(ask.thread, case=ask.case or None))
    kind = "used" if ask.used else "new"
    return _all(
        spark_plug(ask.thread, seat=ask.seat or None, head=ask.head or None, plug=kind),
        spark_plug_turn(seat=ask.seat or None, plug=kind),
    )


_PLUG_WORDS: dict[str, tuple[str, str | bool]] = {
    "gasket": ("seat", "gasket"), "taper": ("seat", "taper"), "tapered": ("seat", "taper"),
    "conical": ("seat", "taper"), "used": ("used", True), "drain": ("drain", True),
}  # fmt: skip
_PLUG_METALS = ("aluminium", "alloy", "aluminum", "cast iron", "iron", "magnesium", "steel")


def _plug_words(ask: ReckonPlug) -> ReckonPlug:
    """Return what was said behind the thread as what it means; options that are said win."""
    text = f" {' '.join(ask.thread.split())} "
    said: dict[str, str | bool] = {}
    for word, (name, value) in _PLUG_WORDS.items():
        bare = re.sub(rf"(?i) {word}(?: seat)?(?= )", "", text)
        if bare != text:
            text, said[name] = bare, value
    for metal in _PLUG_METALS:
        bare = re.sub(rf"(?i) (?:in |into )?{metal}(?: head| case)?(?= )", "", text)
        if bare != text:
            drain = ask.drain or bool(said.get("drain"))
            text, said["case" if drain else "head"] = bare, metal
    text = re.sub(r"(?i) (?:spark )?plug(?= )", "", text)
    kept = {name: value for name, value in said.items() if not getattr(ask, name)}
    return ask._replace(thread=text.strip(), **kept)  # type: ignore[arg-type]


def oiled(torque: str, thread: str, to: str = "oiled", was: str = "dry") -> Reckoned:
    """Return what a figure for threads in one state comes down to in another."""
    from stores.handbook.bench_rules.threads import dry_to_oiled

    words = thread.split()
    for count in (2, 1):  # "40 N m M10", typed without quotes
        unit = " ".join(words[:count])
        if torque.strip().replace(".", "", 1).isdigit() and len(words) > count and _torque(unit):
            torque, thread = f"{torque} {unit}", " ".join(words[count:])
            break
    return reckoned(dry_to_oiled(_amount(torque, units.Kind.TORQUE, "N m"), thread, to, was=was))


def _torque(word: str) -> bool:
    try:
        units.unit(word, units.Kind.TORQUE)
    except BadValue:
        return False
    return True


def rules(typed: str) -> "RuleSubjects | tuple[Rule, ...]":
    """Return the rules for a subject, else for the parts and classes that the words name; without
    words, what there are rules of.

    Raises:
        BadValue: no rule for it.
    """
    from stores.handbook.bench_rules.plating import plating_warning
    from stores.handbook.bench_rules.rules import renew_kinds, renewals, topics
    from stores.handbook.bench_rules.rules import rules as rules_of

    if not typed.strip():
        return RuleSubjects(tuple(topics()), tuple(renew_kinds()))
    try:
        fitting = list(rules_of(typed))
    except BadValue:
        fitting = []
    kinds = list(renewals(typed))
    for topic in topics():
        # A part that is also a subject, such as a castle nut, has both.
        if not fitting and kinds and topic in typed.lower():
            fitting = list(rules_of(topic))
    fitting += [rule for rule in kinds if rule.text not in {each.text for each in fitting}]
    try:
        warning = plating_warning(typed)
    except BadValue:
        if not fitting and re.search(r"\d", typed):
            raise
        warning = None
    if warning:
        fitting.append(warning)
    if not fitting:
        raise BadValue("no such rule", typed=typed[:40], subjects=tuple(topics()))
    return tuple(fitting)
