"""What the tables say of a thread or of hardware, by name or by what was measured.

Needs no record: nothing of it is loaded here.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stores.errors import BadValue, NotationError, NotFound, Refused

if TYPE_CHECKING:
    from stores.handbook.hardware import Piece
    from stores.handbook.identify import Identification
    from stores.handbook.lengths import ThreadedPart
    from stores.handbook.thread.model import Spanner

__all__ = [
    "Engaged",
    "Hardware",
    "HardwareBySize",
    "HardwarePiece",
    "HexagonHeight",
    "Identified",
    "LengthRule",
    "Measured",
    "NextSizeUp",
    "OnSurface",
    "SpecialThreadKnown",
    "ThreadKnown",
    "facts_of",
    "hardware",
    "hardware_kinds",
    "head_named",
    "identified",
    "identify_from",
    "length_rule_of",
    "thread_named",
]


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured of a piece, as typed; empty where it was not.

    ``od`` and ``bore`` are diameters, ``pitch`` by thread gauge, ``over`` a length over crests
    ("9.8 over ten"), ``flats`` across flats, ``angle`` of the flanks, ``tool`` what with,
    ``surface`` what is on the thread: painted, rusty or bare.
    """

    od: str = ""
    bore: str = ""
    pitch: str = ""
    over: str = ""
    flats: str = ""
    angle: str = ""
    tool: str = ""
    surface: str = ""

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
class OnSurface:
    """The likeliest thread where the surface is so, and how likely it then is, 0 to 1."""

    surface: str
    thread: str
    probability: float


@dataclass(frozen=True, slots=True)
class Identified:
    """The threads that fit, the likeliest first; ``none`` is the chance that it is none of them.

    ``look_again`` names the reading that contradicts the others, empty where none does.
    ``turns_on`` is asked about: what it is painted, rusty or bare, where that makes the difference.
    """

    threads: tuple[LikelyThread, ...]
    none: float
    twins: tuple[TwinThreads, ...]
    look_again: str = ""
    turns_on: tuple[OnSurface, ...] = ()


@dataclass(frozen=True, slots=True)
class LengthRule:
    """How the length of a head is measured (ISO 225); all empty for heads at large."""

    head: str = ""
    rule: str = ""
    start: str = ""
    end: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class NextSizeUp:
    """A thread whose tapping drill removes a stripped one."""

    thread: str
    drill_mm: float


@dataclass(frozen=True, slots=True)
class Engaged:
    """The least length of full thread in a material, mm."""

    material: str
    length_mm: float


@dataclass(frozen=True, slots=True)
class HexagonHeight:
    """How high a nut or a head is, mm, by which standard; ``memory`` says it is from memory."""

    part: str
    standard: str
    height_mm: float
    memory: bool


@dataclass(frozen=True, slots=True)
class ThreadKnown:
    """A thread's sizes, drills and spanners; lengths in mm but where the name says inches.

    ``outside_limits_mm`` are those of a bolt as made, ``insert_drill_mm`` is None where no wire
    insert is made, ``engagement`` empty for the thread of a pipe or of a part as wide as a bottom
    bracket's, ``bolt_threaded`` how much of a metric hexagon bolt is threaded,
    ``tapping_left_percent`` the share of the thread that the drill leaves, ``heights`` those of
    nuts and heads of an inch thread.
    """

    thread: str
    series: str
    major_mm: float
    major_in: float
    pitch_mm: float
    tpi: float | None
    flank_angle_deg: float
    effective_mm: float
    minor_mm: float
    root_mm: float
    stress_area_mm2: float
    outside_limits_mm: tuple[float, float]
    outside_limits_source: str
    tapping_drill_mm: float
    tapping_drill_inch: str | None
    tapping_drill_in: float | None
    tapping_drill_source: str
    tapping_left_percent: float
    spanners: "tuple[Spanner, ...]"
    oversizes: tuple[NextSizeUp, ...]
    insert_drill_mm: float | None
    engagement: tuple[Engaged, ...]
    source: str
    bolt_threaded: "tuple[ThreadedPart, ...]" = ()
    heights: tuple[HexagonHeight, ...] = ()


@dataclass(frozen=True, slots=True)
class SpecialThreadKnown:
    """A thread that is no bolt thread: taper pipe, trapezoidal, conduit, brass, ME; mm.

    ``gauge_mm`` is how far a taper thread goes together by hand.
    """

    thread: str
    family_name: str
    family: str
    size: str
    major_mm: float
    pitch_mm: float
    tpi: float | None
    pitch_diameter_mm: float
    minor_mm: float
    root_mm: float
    flank_angle_deg: float
    gauge_mm: float | None
    tapping_drill_mm: float | None
    source: str
    tapered: bool
    note: str


@dataclass(frozen=True, slots=True)
class HardwarePiece:
    """A piece of a standard's list, with its sizes in mm; ``misses`` is measured minus table.

    ``form`` is the type of a bearing.
    """

    designation: str
    kind: str
    standard: str
    sizes: Mapping[str, float]
    misses: Mapping[str, float]
    source: str
    notes: tuple[str, ...]
    form: str


@dataclass(frozen=True, slots=True)
class HardwareBySize:
    """What of a kind fits, what is nearest, and what would fit if something else was meant."""

    kind: str
    asked_mm: Mapping[str, float]
    exact: tuple[HardwarePiece, ...]
    nearest: tuple[HardwarePiece, ...]
    notes: tuple[str, ...]
    question: str
    meant: tuple[HardwarePiece, ...]


Hardware = tuple[HardwarePiece, ...] | HardwareBySize | tuple[HardwareBySize, ...]
"""Pieces of a name; what fits by size, of one kind or of several that the words leave open."""


def thread_named(name: str) -> ThreadKnown | SpecialThreadKnown:
    """Return what the tables say of a thread.

    Raises:
        NotFound, NotationError: no such thread.
    """
    from stores.handbook import repair
    from stores.handbook.hardware.hexagons import of_thread
    from stores.handbook.lengths import threaded_parts
    from stores.handbook.thread import named
    from stores.handbook.thread.special import special

    if (other := special(name)) is not None:
        return SpecialThreadKnown(
            other.designation, other.name, other.family, other.size, other.major_mm,
            other.pitch_mm, other.tpi, other.pitch_diameter_mm, other.minor_mm, other.root_mm,
            other.flank_angle_deg, other.gauge_mm, other.tapping_drill_mm, other.source,
            other.tapered, other.note,
        )  # fmt: skip
    thread = named(name)
    limits, inch = thread.external_major_limits_mm, thread.tapping_drill_in
    try:
        insert = repair.insert_hole(thread).drill_mm
    except BadValue:
        insert = None
    return ThreadKnown(
        thread.designation,
        thread.series,
        thread.major_mm,
        thread.major_in,
        thread.pitch_mm,
        thread.tpi,
        thread.flank_angle_deg,
        thread.pitch_diameter_mm,
        thread.minor_mm,
        thread.root_mm,
        thread.stress_area_mm2,
        (limits.min_mm, limits.max_mm),
        limits.source,
        thread.tapping_drill_mm,
        inch.name if inch else None,
        inch.inches if inch else None,
        thread.tapping_drill_source,
        thread.percent_left_by(thread.tapping_drill_mm),
        tuple(thread.spanners),
        tuple(
            NextSizeUp(bigger.thread.designation, bigger.drill_mm)
            for bigger in repair.oversizes(thread)[:2]
        ),
        insert,
        tuple(
            Engaged(material, repair.engagement(thread, material).length_mm)
            for material in repair.engagement_materials()
            if not repair.holds_a_part(thread)
        ),
        thread.source,
        threaded_parts(thread),
        tuple(
            HexagonHeight(
                row["part"],
                row["standard"],
                float(row["m_mm"]),
                row["height_source"].startswith("from memory"),
            )
            for kind in ("inch nut", "inch bolt head")
            for row in of_thread(thread, kind)
            if row["m_mm"]
        ),
    )


def hardware_kinds() -> dict[str, tuple[tuple[str, str], ...]]:
    """Return the kinds of hardware with the letter and name of each size, in the order typed."""
    from stores.handbook.hardware import dimensions, kinds

    return {kind: tuple(dimensions(kind)) for kind in kinds()}


def hardware(typed: str) -> Hardware:
    """Return what to order: a kind and its sizes in mm, or a designation, as typed.

    Raises:
        BadValue, NotationError, NotFound: no kind, no sizes, or nothing of that name.
        Refused: a joint that goes by its maker, or by another rule.
    """
    from stores.handbook.hardware.reading import ask

    try:
        reply = ask(typed)
    except (BadValue, NotationError, NotFound):
        from stores.handbook.torque.maker import goes_elsewhere

        if where := goes_elsewhere(typed):
            raise Refused("hardware goes elsewhere", typed=typed, where=where) from None
        raise
    if reply.pieces:
        return tuple(map(_piece, reply.pieces))
    matches = tuple(
        HardwareBySize(
            match.kind,
            dict(match.asked),
            tuple(map(_piece, match.exact)),
            tuple(map(_piece, match.nearest)),
            match.notes,
            match.question,
            tuple(map(_piece, match.meant)),
        )
        for match in reply.matches
    )
    return matches[0] if len(matches) == 1 else matches


def _piece(piece: "Piece") -> HardwarePiece:
    return HardwarePiece(
        piece.designation,
        piece.kind,
        piece.standard,
        dict(piece.sizes),
        dict(piece.misses),
        piece.source,
        piece.notes,
        piece.form,
    )


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
        surface=measured.surface,
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
        tuple(
            OnSurface(each.surface.value, each.thread.designation, each.probability)
            for each in identification.turns_on
        ),
    )


# What the trade calls a head beside the words of the notation.
_HEADS = {
    **dict.fromkeys(("allen", "inbus", "hex socket", "internal hex", "skt"), "socket cap"),
    **dict.fromkeys(("12 point", "twelve point", "bihex", "bi hex"), "12-point"),
    **dict.fromkeys(("coach", "carriage", "saucer"), "cup"),
    **dict.fromkeys(("none", "no", "stud"), "headless"),
    **dict.fromkeys(("outside hex", "external hex", "6 point", "6 sided"), "hex"),
}


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
    head: str = _HEADS.get(text.lower().replace("-", " ").removesuffix(" head"), "") or (
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
