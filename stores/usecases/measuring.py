"""Which thread it is, from what was measured. Needs no record: nothing of it is loaded here."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stores.errors import BadValue, NotFound

if TYPE_CHECKING:
    from stores.handbook.identify import Identification

__all__ = [
    "Identified",
    "LengthRule",
    "Measured",
    "facts_of",
    "head_named",
    "identified",
    "identify_from",
    "length_rule_of",
]


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured of a piece, as typed; empty where it was not.

    ``od`` and ``bore`` are diameters, ``pitch`` by thread gauge, ``over`` a length over crests
    ("9.8 over ten"), ``flats`` across flats, ``angle`` of the flanks, ``tool`` what with.
    """

    od: str = ""
    bore: str = ""
    pitch: str = ""
    over: str = ""
    flats: str = ""
    angle: str = ""
    tool: str = ""

    def __bool__(self) -> bool:
        return any((self.od, self.bore, self.pitch, self.over, self.flats, self.angle))


@dataclass(frozen=True, slots=True)
class LikelyThread:
    """A thread and how likely it is, 0 to 1."""

    thread: str
    probability: float


@dataclass(frozen=True, slots=True)
class TwinThreads:
    """Threads that these measurements cannot tell apart, and what would."""

    threads: tuple[str, ...]
    tell_apart: str


@dataclass(frozen=True, slots=True)
class Identified:
    """The threads that fit, the likeliest first; ``none`` is the chance that it is none of them.

    ``look_again`` names the reading that contradicts the others, empty where none does.
    """

    threads: tuple[LikelyThread, ...]
    none: float
    twins: tuple[TwinThreads, ...]
    look_again: str = ""


@dataclass(frozen=True, slots=True)
class LengthRule:
    """How the length of a head is measured (ISO 225); all empty for heads at large."""

    head: str = ""
    rule: str = ""
    start: str = ""
    end: str = ""
    source: str = ""


def identified(measured: Measured, head: str = "", *, evenly: bool = False) -> Identified:
    """Return which thread it may be; rare threads count as much as common ones with ``evenly``.

    Raises:
        BadValue: a measurement out of range, or no such head.
        NotationError: a measurement that cannot be read.
    """
    head_named(head)
    return facts_of(identify_from(measured, head, evenly=evenly))


def identify_from(
    measured: Measured,
    head: str = "",
    recorded: Mapping[str, float] | None = None,
    *,
    evenly: bool = False,
) -> "Identification":
    """Return the handbook's identification; ``recorded`` are threads on record, with weights.

    Without them, threads count as they are common in the trade, or ``evenly``.
    """
    from stores.handbook.identify import TRADE, Measurement, identify

    measurement = Measurement.read(
        outside=measured.od,
        bore=measured.bore,
        pitch=measured.pitch,
        over=measured.over,
        flats=measured.flats,
        angle=measured.angle,
        tool=measured.tool,
        head=head if measured.flats else "",
    )
    return identify(measurement, recorded or (None if evenly else TRADE))


def facts_of(identification: "Identification") -> Identified:
    """Return an identification as plain facts."""
    from stores.handbook.identify import TRADE, contradiction

    return Identified(
        tuple(
            LikelyThread(match.thread.designation, match.probability)
            for match in identification.matches
        ),
        identification.none_share,
        tuple(TwinThreads(tuple(twins.names), str(twins)) for twins in identification.twins),
        str(contradiction(identification.measurement, TRADE) or ""),
    )


def head_named(typed: str) -> str:
    """Return the name of a head, empty for none.

    Raises:
        BadValue: no head that the trade knows.
    """
    from stores.handbook.fastener import parse

    text = typed.strip()
    if not text:
        return ""
    if re.fullmatch(r"(?:hex(?:agon)? )?nut", text.lower()):
        return "nut"
    head: str = (
        parse(f"M6 x 20 {text[:40]} head screw").head or parse(f"M6 x 20 {text[:40]} bolt").head
    )
    if not head:
        raise BadValue("no such head", typed=text[:40])
    return head


def length_rule_of(head: str) -> LengthRule:
    """Return how the length is measured (ISO 225) for a head, or for heads at large."""
    from stores.handbook.lengths import length_rule

    if not head:
        return LengthRule()
    try:
        rule = length_rule(head)
    except NotFound:
        return LengthRule()
    return LengthRule(rule.head, rule.rule, rule.start, rule.end, rule.source)
