"""A rule of the bench: what to do, why, and who says so.

What is renewed at every rebuild, and what may be looked at first.

Castle nuts: on to the next slot, never back, and what the extra turn does to the bolt.
"""

import re
from dataclasses import dataclass
from functools import cache
from math import asin, degrees, isfinite
from typing import TYPE_CHECKING

from stores.errors import BadValue
from stores.handbook.answer import Answer, above_zero, between
from stores.handbook.table import table
from stores.text import fold
from stores.units import plain

if TYPE_CHECKING:
    from stores.handbook.thread import Thread
    from stores.handbook.torque.answer import Tightening

__all__ = [
    "GENERAL",
    "Rule",
    "after_turn",
    "extra_preload",
    "renew_kinds",
    "renewals",
    "rules",
    "slots_of",
    "to_next_slot",
    "topics",
]


GENERAL = (
    "A general figure: the maker's comes first. Brakes, steering, wheels and lifting follow the "
    "maker's figure and a competent person."
)


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule in words: ``text`` is what to do, ``why`` the reason.

    ``sources`` are keys that `stores.handbook.answer.cite` spells out; ``practice`` among them is
    common practice. ``instead`` are other ways, ``cautions`` are to be shown once. ``firm`` is
    false where the rule leaves it to a look at the part.
    """

    topic: str
    text: str
    why: str
    sources: tuple[str, ...]
    instead: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    firm: bool = True

    def __post_init__(self) -> None:
        if not self.sources:
            raise ValueError(f"{self.text}: no source")


@cache
def _rules() -> tuple[Rule, ...]:
    return tuple(
        Rule(
            row["topic"],
            row["text"],
            row["why"],
            tuple(row["keys"].split(";")),
            cautions=(row["caution"],) if row["caution"] else (),
        )
        for row in table("torque_rules")
    )


def topics() -> tuple[str, ...]:
    """Return the subjects that have rules, in the order in which work meets them."""
    return tuple(dict.fromkeys(rule.topic for rule in _rules()))


def rules(topic: str = "") -> tuple[Rule, ...]:
    """Return the rules of a subject, all of them for an empty one.

    A topic may be shortened to what only one begins with. Raises `BadValue` for one unknown.
    """
    word = fold(topic)
    if not word:
        return _rules()
    found = [name for name in topics() if name.startswith(word) or word.startswith(name)]
    if len(found) != 1:
        raise BadValue(f"no rules on {topic.strip()!r}; there are some on: {', '.join(topics())}")
    return tuple(rule for rule in _rules() if rule.topic == found[0])


def _plain(text: str) -> str:
    words = re.sub(r"[-/]", " ", text.lower()).split()
    return " ".join(word.removesuffix("s") if len(word) > 3 else word for word in words)


@cache
def _names() -> tuple[tuple[str, str], ...]:
    """Return every name of a kind, the longest first, so that it is found before its part."""
    names = {
        _plain(name): row["kind"]
        for row in table("torque_renew")
        for name in (row["kind"], *row["words"].split(";"))
    }
    return tuple(sorted(names.items(), key=lambda pair: -len(pair[0])))


@cache
def _kinds() -> dict[str, Rule]:
    rules = {}
    for row in table("torque_renew"):
        always = row["when"] == "always"
        rules[row["kind"]] = Rule(
            "renewing",
            f"{row['kind']}: always a new one" if always else f"{row['kind']}: renew unless sound",
            row["why"],
            ("standard-practices",) if "standard practices" in row["source"] else
            ("trade-practice", "practice"),
            instead=(row["exception"],) if row["exception"] else (),
            cautions=("The maker's list of parts to renew comes first.",),
            firm=always,
        )  # fmt: skip
    return rules


def renew_kinds() -> tuple[str, ...]:
    """Return the kinds that there is a rule for."""
    return tuple(_kinds())


def renewals(text: str) -> tuple[Rule, ...]:
    """Return the rules for every kind that the words name: ``M14 castle nut, split pin``."""
    words = re.sub(r"[^\w\s/-]", " ", text)
    left, found = f" {_plain(words)} ", {}
    for name, kind in _names():
        at = left.find(f" {name} ")
        if at >= 0:
            found[kind] = at
            left = left.replace(f" {name} ", " " + "#" * len(name) + " ")
    return tuple(_kinds()[kind] for kind in sorted(found, key=lambda kind: found[kind]))


_SIX_UP_TO_MM = 39.0

_ELASTIC_MPA = 205_000.0

_PARTS_SHARE = 1 / 3

"""Give of the clamped parts against that of the bolt: a joint constant of 0.25, the middle of
0.2 to 0.3 that steel parts have (Shigley); 0 is rigid parts, 1 parts as soft as the bolt."""


def slots_of(nut: "str | int | Thread") -> int:
    """Return how many slots a castle nut has: six up to M39, eight above (DIN 935-1, from memory).

    A number is taken as counted on the nut. Raises `BadValue` for fewer than 4 or more than 12 of
    them, and for an odd number, which no pin goes straight through.

    >>> slots_of("M12"), slots_of("M42")
    (6, 8)
    """
    counted = _counted(nut)
    if counted is not None:
        if not 4 <= counted <= 12 or counted % 2:
            raise BadValue(f"{counted} slots: castle nuts have 6, large ones 8; count them again")
        return counted
    return 6 if _thread(nut).major_mm <= _SIX_UP_TO_MM else 8


def _counted(nut: "str | int | Thread") -> int | None:
    if isinstance(nut, str):
        found = re.fullmatch(r"\s*(\d{1,3})(?: ?slots?)?\s*", nut)
        return int(found[1]) if found else None
    return nut if isinstance(nut, int) else None


def _thread(nut: "str | int | Thread") -> "Thread":
    from stores.handbook.thread import named

    return named(str(nut)) if isinstance(nut, (str, int)) else nut


def to_next_slot(
    nut: "str | int | Thread", angle_deg: float | None = None, *, holes: int = 1
) -> Answer:
    """Return the extra turn, degrees, that brings the next slot in line with the pin hole.

    ``nut`` is a thread (``M12``), or the number of slots as counted. ``angle_deg`` is how far the
    nut stands past the last slot that lined up, when the torque is reached; None is not looked at
    yet: then the answer is the most it can be. ``holes`` is 2 for a bolt drilled twice, crosswise.
    Where DIN 935-1 has the size, the range is the play of the split pin in the slot.

    Raises `BadValue` for a nut that has no such slots, an angle below 0 or beyond the next slot.

    Args:
        nut: its thread, or how many slots were counted.
        angle_deg: how far it stands past a slot that lined up [degrees].
        holes: pin holes through the bolt.

    Six slots are 60 degrees apart; 40 past one leaves 20:

    >>> to_next_slot("M12", 40).value
    20.0
    """
    count = slots_of(nut)
    if holes not in (1, 2):
        raise BadValue(f"{holes} pin holes through the bolt: expected 1 or 2")
    step = 360 / count
    if holes == 2 and count % 4:
        step /= 2  # the second hole stands at a right angle, halfway between two slots
    counted = _counted(nut) is not None
    who = f"castle nut of {count} slots" if counted else f"castle nut {nut}"
    whence = " as counted" if counted else " as DIN 935-1 has them: count them"
    told = [f"{count} slots{whence}; they line up every {step:g} degrees"]
    keys = ["din-935", "service-manuals", "ac-43-13"]
    cautions = (
        "On to the next slot, never back; a new split pin. If the turn is more than the maker's "
        "highest torque allows: another nut or washer, or begin again at the lowest torque.",
        GENERAL,
    )
    if angle_deg is None:
        told.append("the nut not looked at: anything up to one step")
        return Answer(
            f"extra turn of a {who}, at most", step, "degrees", 0.0, step, "where the nut stops",
            tuple(told), tuple(keys), cautions,
        )  # fmt: skip
    if isfinite(angle_deg) and angle_deg > step:
        raise BadValue(
            f"{angle_deg:g} degrees past the last slot: they line up every {step:g}, so the next "
            "was passed already; measure from the last that lined up"
        )
    between("past the last slot", angle_deg, "degrees", 0.0, step)
    turn = (step - angle_deg % step) % step
    play = _play_deg(nut)
    if play:
        told.append(f"the pin has {play:.1f} degrees of play either way in the slot")
    low = max(0.0, turn - play)
    if step - turn <= play:  # it went past, but the pin still goes in
        low = 0.0
        told.append("as it stands the pin may just go in: try it first")
    return Answer(
        f"extra turn of a {who}", turn, "degrees", low, turn + play, "where the nut stops",
        tuple(told), tuple(keys), cautions,
    )  # fmt: skip


def _play_deg(nut: "str | int | Thread") -> float:
    if _counted(nut) is not None:
        return 0.0
    thread = _thread(nut)
    for row in table("hardware_castle_nuts"):
        if row["thread"] == thread.size:
            loose = float(row["slot_width_min_mm"]) - float(row["split_pin_nominal_mm"])
            return degrees(asin(loose / thread.major_mm))
    return 0.0


def extra_preload(thread: "str | Thread", turn_deg: float, grip_mm: float) -> Answer:
    """Return the preload, N, that a further turn adds to a bolt already tight.

    ``grip_mm`` is what is clamped between head and nut. The turn shares itself between bolt and
    parts; rigid parts are the high end, parts as soft as the bolt the low one. Within the elastic:
    a bolt past its yield takes less.

    Raises `BadValue` for a turn outside 0 to 360 degrees, a grip not above 0 or over a metre.

    Args:
        thread: the bolt's.
        turn_deg: the further turn [degrees].
        grip_mm: what is clamped [mm].

    >>> extra_preload("M8", 0, 40).value
    0.0
    """
    screw = _thread(thread)
    between("turn", turn_deg, "degrees", 0.0, 360.0)
    if not (isfinite(grip_mm) and 0 < grip_mm <= 1000):
        raise BadValue(f"grip {grip_mm:g} mm: expected above 0 and up to 1000 mm")
    # Half a diameter of head and of nut gives with the shank (VDI 2230).
    length = grip_mm + screw.major_mm
    rigid = _ELASTIC_MPA * screw.stress_area_mm2 / length * screw.pitch_mm * turn_deg / 360
    return Answer(
        f"preload that {turn_deg:g} degrees add to {screw.designation}",
        rigid / (1 + _PARTS_SHARE), "N", rigid / 2, rigid, "how soft the clamped parts are",
        (
            f"steel bolt, {grip_mm:g} mm clamped, threaded all the way",
            "parts give a third of what the bolt gives; range: rigid parts to parts as soft",
        ),
        ("shigley-joint", "vdi2230"), (GENERAL,),
    )  # fmt: skip


def after_turn(
    tight: "Tightening", turn_deg: float, grip_mm: float, *, torque_nm: float | None = None
) -> Answer:
    """Return the share of its yield, per cent, that the shank uses after a further turn.

    ``tight`` is what `stores.handbook.torque.tighten` gave for the bolt; ``torque_nm`` the torque
    reached, its usual one if not given. At 100 the bolt stretches for good: change washer or nut
    rather than turn; beyond it nothing can be reckoned, so no figure is above 100.
    Raises `BadValue` for a torque not above 0.
    """
    from stores.handbook.torque.formulas import stress_mpa

    more = extra_preload(tight.thread, turn_deg, grip_mm)
    reached = tight.value if torque_nm is None else above_zero("torque", torque_nm, "N m", 10000)
    preload = tight.preload_n.times(reached / tight.value)
    at = {
        "low": (preload.low, tight.friction.high, more.low),
        "value": (preload.nominal, tight.friction.nominal, more.value),
        "high": (preload.high, tight.friction.low, more.high),
    }
    share = {
        name: 100 * stress_mpa(tight.thread, force + extra, mu, tight.method)
        / tight.grade.yield_mpa
        for name, (force, mu, extra) in at.items()
    }  # fmt: skip
    value, low, high = share["value"], min(share.values()), max(share.values())
    told = (f"torque reached {plain(reached, 3)} N m", *more.assumptions)
    cautions = list(more.cautions)
    if value > 100:
        cautions.insert(0, "The bolt would pass its yield: change washer or nut, do not turn on.")
    elif high > 100:
        cautions.insert(0, "If friction is low the bolt may pass its yield: start at the low end.")
    return Answer(
        f"share of the yield of {tight.thread.designation} {tight.grade} after {turn_deg:g} "
        "degrees more",
        min(value, 100.0), "%", min(low, 100.0), min(high, 100.0),
        "friction, and how soft the clamped parts are",
        told, tuple(dict.fromkeys((*tight.sources, *more.sources))), tuple(cautions),
    )  # fmt: skip
