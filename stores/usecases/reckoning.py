"""The calculators: what is typed in, a figure with its range, reasons and sources out.

They need no record and load no database: the asks are plain values, the figures the handbook's.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, NamedTuple, Self

from stores import units
from stores.errors import BadValue, NotationError

if TYPE_CHECKING:
    from fractions import Fraction

    from stores.handbook.answer import Answer
    from stores.handbook.bench_rules.rules import Rule
    from stores.handbook.engine import Pressure, TestVerdict
    from stores.handbook.fluids.oils import Advice
    from stores.handbook.tightening.order import Plan
    from stores.handbook.torque.answer import Limit, Range, Tightening
    from stores.handbook.torque.grades import Friction
    from stores.handbook.torque.joint import Stripping
    from stores.handbook.torque.maker import Comparison, MakerFigure
    from stores.handbook.wear import Deviations, Finding

__all__ = [
    "AskOil",
    "BatteryReckoned",
    "BoreReckoned",
    "CompressionReckoned",
    "CompressionTest",
    "Converted",
    "CylinderTested",
    "LikeGrade",
    "MakerBeside",
    "OilKnown",
    "PlacedHole",
    "ReadingJudged",
    "ReckonBattery",
    "ReckonBore",
    "ReckonCompression",
    "ReckonFill",
    "ReckonFork",
    "ReckonMixture",
    "ReckonOrder",
    "ReckonPlug",
    "ReckonSlots",
    "ReckonTorque",
    "ReckonWear",
    "Reckoned",
    "RuleSubjects",
    "TighteningOrder",
    "TighteningPass",
    "ToleranceLimits",
    "TorqueReckoned",
    "battery",
    "bore",
    "compression",
    "compression_test",
    "convert",
    "fill",
    "fit",
    "fork",
    "mixture",
    "oil",
    "oiled",
    "order",
    "plug",
    "reckoned",
    "rules",
    "slots",
    "torque",
    "wear",
]

DRAWN = {"drawn": True}
"""Marks a field of a reply that is there to be drawn from: a program is not given it."""

MOST_KPA = 4500.0
"""More than the compression of any diesel (common practice): a reading above it is misread."""

CONVERTED = {
    units.Kind.LENGTH: ("mm", "in", "thou"),
    units.Kind.TORQUE: ("N m", "lbf ft", "lbf in", "kgf m"),
    units.Kind.VOLUME: (
        "ml", "l", "imp fl oz", "imp pint", "imp quart", "imp gallon", "US fl oz", "US pint",
        "US quart", "US gallon",
    ),
    units.Kind.PRESSURE: ("kPa", "bar", "psi", "kgf/cm2"),
}  # fmt: skip
"""The units that an amount is turned into where none is named."""

_RULE_OF_OTHER_ENGINES = "tm-10-3930"
_GREW_NARROWER = ("80", "85", "90", "140", "250")
"""Gear oils that reached further before the edition of 2005."""


@dataclass(frozen=True, slots=True)
class Reckoned:
    """A figure: ``low`` <= ``value`` <= ``high``, all in ``unit``, with what it hangs on most, what
    was taken for granted, and its sources spelled out."""

    what: str
    value: float
    unit: str
    low: float
    high: float
    limiting: str
    assumptions: tuple[str, ...]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]


class ReckonTorque(NamedTuple):
    """A bolt, ``M8 8.8 oiled``, and what else is known of its joint; lengths in mm if not said.

    ``maker`` is the maker's figure and ``maker_state`` the state of the thread that it is for.
    ``older`` reckons torsion as before 2001.
    """

    bolt: str
    into: str = ""
    engaged: str = ""
    nut: str = ""
    seat: str = ""
    head: str = ""
    flats: str = ""
    face: str = ""
    hole: str = ""
    length: str = ""
    maker: str = ""
    maker_state: str = ""
    older: bool = False


@dataclass(frozen=True, slots=True)
class MakerBeside:
    """The maker's figure, the one to use, against the computed one; ``ratio`` is maker's over
    computed, ``agrees`` that scatter explains the difference."""

    use_nm: float
    figure: "MakerFigure"
    agrees: bool
    ratio: float
    words: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TorqueReckoned:
    """A torque by unit, what it brings, and what limits it; the handbook's values.

    ``preload_borne_n`` is the preload as far as the bolt bears it, ``yields`` tells that it yields
    where friction is low.
    """

    thread: str
    grade: str
    friction: "Friction"
    torque: "dict[str, Range]"
    preload_n: "Range"
    preload_borne_n: "Range"
    yields: bool
    limits: "tuple[Limit, ...]"
    seat_mpa: float
    seat_limit_mpa: float | None
    stripping: "Stripping | None"
    assumptions: tuple[str, ...]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]
    maker: MakerBeside | None


@dataclass(frozen=True, slots=True)
class CylinderTested:
    """What a compression test says of a cylinder; pressures on the gauge, kPa."""

    cylinder: int
    dry_kpa_gauge: float
    wet_kpa_gauge: float | None
    cause: str
    reason: str


@dataclass(frozen=True, slots=True)
class CompressionTest:
    """What a dry and a wet test say together; ``spread_percent`` is of the highest cylinder."""

    verdict: str
    spread_percent: float | None
    cylinders: tuple[CylinderTested, ...]
    assumptions: tuple[str, ...]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlacedHole:
    """A hole of a joint, its place in mm, and what goes in."""

    hole: int
    x_mm: float
    y_mm: float
    goes_in: str


@dataclass(frozen=True, slots=True)
class TighteningPass:
    """One pass over all holes, in this order; the share of the torque is None where no wrench is
    set."""

    what: str
    per_cent: int | None
    torque_nm: float | None
    holes: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TighteningOrder:
    """In what order and passes a joint is tightened, and loosened; ``plan`` is to be drawn."""

    torque_nm: float | None
    order: tuple[int, ...]
    loosen: tuple[int, ...]
    holes: tuple[PlacedHole, ...]
    passes: tuple[TighteningPass, ...]
    assumptions: tuple[str, ...]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]
    plan: "Plan" = field(repr=False, metadata=DRAWN)

    @classmethod
    def of(cls, plan: "Plan", **more: Any) -> Self:
        """Return a joint's plan as plain facts; ``more`` are the fields of a subclass."""
        from stores.handbook.tightening.order import cite

        return cls(
            torque_nm=plan.torque_nm,
            order=tuple(plan.order.holes),
            loosen=tuple(plan.loosening),
            holes=tuple(
                PlacedHole(hole.number, hole.x_mm, hole.y_mm, hole.length)
                for hole in plan.joint.by_number.values()
            ),
            passes=tuple(
                TighteningPass(stage.what, stage.per_cent, stage.torque_nm, tuple(stage.holes))
                for stage in plan.stages
            ),
            assumptions=tuple(plan.assumptions),
            sources=tuple(cite(key) for key in plan.sources),
            cautions=tuple(plan.cautions),
            plan=plan,
            **more,
        )


class ReckonOrder(NamedTuple):
    """A joint's holes, ``8 on 120``, its final torque, the maker's order, other passes by key."""

    holes: str
    torque: str = ""
    maker: str = ""
    passes: str = ""


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


class ReckonPlug(NamedTuple):
    """A spark plug by thread, seat and head, or a drain plug by its case."""

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
    """How thick an oil is, cSt, and what is like it; ``narrower`` tells that its grade reached
    further in old books."""

    grade: str
    scale: str
    at_c: float
    least_cst: float
    below_cst: float | None
    cold: str
    edition: int
    narrower: bool
    alike: tuple[LikeGrade, ...]
    advice: "Advice | None"
    sources: tuple[str, ...]


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


class ReckonCompression(NamedTuple):
    """A cylinder's compression ratio, the day's air, and readings of a dry and a wet test."""

    ratio: float | None = None
    barometer: str = ""
    altitude_m: float = 0.0
    dry: str = ""
    wet: str = ""
    maker: str = ""
    two_stroke: bool = False
    stroke: str = ""
    port: str = ""
    unit: str = "psi"


@dataclass(frozen=True, slots=True)
class CompressionReckoned:
    """What a cylinder should show and what the tests say.

    ``answers`` end with the floor, absolute and on the gauge, and what cranking gives; empty where
    no ratio was said. ``carbon`` tells that a reading is above that.
    """

    atmosphere: Reckoned
    answers: tuple[Reckoned, ...]
    test: CompressionTest | None
    two_stroke: bool
    unit: str
    carbon: bool


class ReckonBattery(NamedTuple):
    """A battery at rest: volts of one, or of two of 6 V in series; or the gravity of its acid."""

    volts: Sequence[float] = ()
    nominal_v: int | None = None
    rested_h: float | None = None
    gravity: float | None = None
    acid_c: float = 26.7


@dataclass(frozen=True, slots=True)
class BatteryReckoned:
    """State of charge, and between which temperatures each freezes; of a pair also the volts."""

    answers: tuple[Reckoned, ...]
    freezes_c: tuple[tuple[float, float], ...]
    verdict: str
    total_v: float | None
    apart_v: float | None


@dataclass(frozen=True, slots=True)
class ToleranceLimits:
    """The limits of one part, mm."""

    deviations: "Deviations"
    limits_mm: tuple[float, float]


class ReckonWear(NamedTuple):
    """A reading against the size when new and the maker's limit; mm if not said."""

    reading: str
    nominal: str = ""
    limit: str = ""
    larger: bool | None = None
    off: str = "0.005"


@dataclass(frozen=True, slots=True)
class ReadingJudged:
    """A reading judged, mm; ``share`` is what is worn of what is allowed. ``by_rule`` tells that no
    limit of the maker's but a rule of other engines stands behind it."""

    what: str
    verdict: str
    reading: Reckoned
    nominal_mm: float | None
    limit_mm: float | None
    worn_mm: float | None
    left_mm: float | None
    share: float | None
    reason: str
    by_rule: bool


class ReckonBore(NamedTuple):
    """A bore's readings by height, ``top 47.52 47.55``, along and across; limits in mm."""

    heights: Sequence[str]
    nominal: str = ""
    stroke: str = ""
    limit: str = ""
    oval: str = ""
    taper: str = ""
    piston: str = ""
    off: str = "0.005"


@dataclass(frozen=True, slots=True)
class BoreReckoned:
    """Ovality, taper and wear of a bore, each with where it is; ``clearance`` on the piston."""

    largest_mm: float
    smallest_mm: float
    ovality: Reckoned | None
    ovality_at: str
    taper: Reckoned | None
    taper_at: str
    clearance: Reckoned | None
    verdicts: tuple[ReadingJudged, ...]
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Converted:
    """An amount in other units."""

    given: units.Amount
    amounts: tuple[units.Amount, ...]

    @property
    def by_unit(self) -> dict[str, float]:
        """The amounts by the name of their unit."""
        return {each.unit.name: float(each.value) for each in self.amounts}


def reckoned(answer: "Answer") -> Reckoned:
    """Return a figure of the handbook with its sources spelled out."""
    return Reckoned(
        answer.what,
        answer.value,
        answer.unit,
        answer.low,
        answer.high,
        answer.limiting,
        answer.assumptions,
        _cited(answer.sources),
        answer.cautions,
    )


def _cited(keys: Sequence[str]) -> tuple[str, ...]:
    from stores.handbook.answer import cite

    return tuple(cite(key) for key in keys)


def _all(*answers: "Answer") -> tuple[Reckoned, ...]:
    return tuple(map(reckoned, answers))


def _amount(typed: str, kind: units.Kind, default: str | None = None) -> float:
    """Return an amount in the base unit of its kind: mm, N m, ml or kPa."""
    return float(units.read(typed, kind, default).base)


def _mm(typed: str) -> float:
    return _amount(typed, units.Kind.LENGTH, "mm")


def _mm_or_none(typed: str) -> float | None:
    return _mm(typed) if typed else None


def _ml(typed: str) -> float:
    """Return a volume, also ``1gal-imp`` typed without quotes."""
    return _amount(typed.replace("-", " "), units.Kind.VOLUME)


def _nm(typed: str) -> float | None:
    return _amount(typed, units.Kind.TORQUE, "N m") if typed else None


def torque(ask: ReckonTorque) -> TorqueReckoned:
    """Return how tight a bolt is to be, what limits it, and the maker's figure beside it.

    Raises:
        BadValue, NotationError, NotFound: what cannot be read or is in no table.
    """
    from stores.handbook.torque.answer import UNITS
    from stores.handbook.torque.formulas import Method
    from stores.handbook.torque.grades import friction
    from stores.handbook.torque.joint import tighten
    from stores.handbook.torque.maker import compare, read_bolt, read_maker

    bolt = read_bolt(ask.bolt)
    figure = read_maker(ask.maker, ask.maker_state) if ask.maker else None
    if ask.maker_state and not ask.maker:
        raise BadValue("state without a maker's figure")

    def tight(state: str | None) -> "Tightening":
        return tighten(
            bolt.thread,
            bolt.grade,
            state,
            head=ask.head or ("socket cap" if bolt.head == "socket cap" else "hex"),
            flats_mm=_mm_or_none(ask.flats),
            face_mm=_mm_or_none(ask.face),
            hole_mm=_mm_or_none(ask.hole),
            nut_class=ask.nut or None,
            into=ask.into or None,
            engagement_mm=_mm_or_none(ask.engaged),
            bolt_length_mm=_mm_or_none(ask.length) or bolt.length_mm,
            seat=ask.seat or None,
            method=Method.OLDER if ask.older else Method.PRESENT,
        )

    answer = tight(bolt.state)
    both: Comparison | None = None
    if figure and figure.state:  # against the torque for the state that the figure is for
        state = friction(figure.state).state
        both = compare(replace(figure, state=state), tight(state))
    elif figure:
        both = compare(figure, answer)
    return TorqueReckoned(
        answer.thread.designation,
        str(answer.grade),
        answer.friction,
        {unit: answer.torque(unit) for unit in UNITS},
        answer.preload_n,
        answer.preload_borne_n,
        answer.worst_share > 1,
        answer.limits,
        answer.seat_mpa,
        answer.seat_limit_mpa,
        answer.stripping,
        answer.assumptions,
        _cited(answer.sources),
        answer.cautions,
        None
        if both is None
        else MakerBeside(
            both.use_nm, both.maker, both.agrees, both.ratio, both.words, both.cautions
        ),
    )


def order(ask: ReckonOrder) -> TighteningOrder:
    """Return the order and passes in which a joint is tightened.

    Raises:
        NotationError, BadValue: holes, an order or a torque that cannot be.
    """
    from stores.handbook.tightening.order import plan_joint
    from stores.handbook.tightening.reading import read_joint

    final = _nm(ask.torque)
    if final is not None:  # 10 lbf ft is set as 13.56 N m: no wrench has more figures
        final = float(f"{final:.4g}")
    joint = read_joint(ask.holes)
    return TighteningOrder.of(plan_joint(joint, final, maker_order=ask.maker, passes=ask.passes))


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


def plug(ask: ReckonPlug) -> tuple[Reckoned, ...]:
    """Return the torque of a spark plug, and its turn, or of a drain plug."""
    from stores.handbook.bench_rules.threads import drain_plug, spark_plug, spark_plug_turn

    if ask.case and not ask.drain:
        raise BadValue("case without a drain plug")
    if ask.drain:
        return _all(drain_plug(ask.thread, case=ask.case or None))
    kind = "used" if ask.used else "new"
    return _all(
        spark_plug(ask.thread, seat=ask.seat or None, head=ask.head or None, plug=kind),
        spark_plug_turn(seat=ask.seat or None, plug=kind),
    )


def oiled(torque: str, thread: str, to: str = "oiled", was: str = "dry") -> Reckoned:
    """Return what a figure for threads in one state comes down to in another."""
    from stores.handbook.bench_rules.threads import dry_to_oiled

    return reckoned(dry_to_oiled(_amount(torque, units.Kind.TORQUE, "N m"), thread, to, was=was))


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
    from stores.handbook.fluids.oils import Scale, alike, gear_oil_advice, limits, read_grade

    grade = read_grade(ask.grade)
    thickness = limits(grade, ask.edition)
    like = alike(grade, ask.edition) if grade.scale is not Scale.VG and grade.hot else ()
    advice = None
    if grade.service or ask.hypoid or ask.bronze is not None:
        advice = gear_oil_advice(grade.service, ask.bronze, hypoid=ask.hypoid)
    gear = grade.scale is Scale.GEAR and ask.edition is None
    keys = (*thickness.sources, *(advice.sources if advice else ()))
    return OilKnown(
        str(grade),
        grade.scale,
        thickness.at_c,
        thickness.least_cst,
        thickness.below_cst,
        thickness.cold,
        thickness.edition,
        gear and grade.hot in _GREW_NARROWER,
        tuple(LikeGrade(str(each), each.scale) for each in like),
        advice,
        _cited(keys),
    )


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


def compression(ask: ReckonCompression) -> CompressionReckoned:
    """Return what a cylinder should show, and what a dry and a wet test say together.

    Raises:
        BadValue, NotationError: too little said, or a reading that cannot be.
    """
    from stores.handbook import engine as squeeze
    from stores.handbook.engine import judge

    barometer = _amount(ask.barometer, units.Kind.PRESSURE, "hPa") * 10 if ask.barometer else None
    air = squeeze.atmosphere(ask.altitude_m, barometer)
    if ask.ratio is None and not ask.dry:
        raise BadValue("no ratio and no readings")
    if bool(ask.stroke) != bool(ask.port):
        raise BadValue("stroke or port alone")
    answers: list[Answer] = []
    floor = None
    if ask.ratio is not None:
        ratio = ask.ratio
        if ask.stroke:
            trapped = squeeze.trapped_ratio(ratio, _mm(ask.stroke), _mm(ask.port))
            answers.append(trapped)
            ratio = trapped.value
        floor = squeeze.floor(ratio, air.value, gauge=True)
        answers += [
            squeeze.floor(ratio, air.value),
            floor,
            squeeze.expected(ratio, air.value, gauge=True),
        ]
    verdict, carbon = None, False
    if ask.dry:
        dry = [each for each in _pressures(ask.dry, ask.unit, air.value) if each]
        maker = _pressures(ask.maker, ask.unit, air.value) if ask.maker else []
        verdict = judge(
            dry,
            _pressures(ask.wet, ask.unit, air.value) if ask.wet else (),
            two_stroke=ask.two_stroke,
            maker_low=next(iter(maker), None),
            floor_kpa=floor.value if floor else None,
        )
        carbon = floor is not None and max(each.gauge_kpa for each in dry) > answers[-1].high
    elif ask.wet:
        raise BadValue("wet without dry")
    return CompressionReckoned(
        reckoned(air),
        _all(*answers),
        compression_test(verdict) if verdict else None,
        ask.two_stroke,
        ask.unit,
        carbon,
    )


def _pressures(text: str, unit: str, atmosphere_kpa: float) -> "list[Pressure | None]":
    """Return readings in a row: ``88,71``, ``6.1bar, -, 5.9bar``; None is one not taken."""
    from stores.handbook.engine import read_pressure

    pressures: list[Pressure | None] = []
    for part in re.split(r"\s*[,;]\s*|\s+(?=[-\d])", text.strip()):
        if part == "-":
            pressures.append(None)
            continue
        bare = re.fullmatch(r"[\d.]+", part)
        read = read_pressure(f"{part} {unit}" if bare else part, atmosphere_kpa=atmosphere_kpa)
        if read.gauge_kpa > MOST_KPA:
            raise BadValue("more than an engine shows", typed=part, most_psi=MOST_KPA / 6.894757)
        pressures.append(read)
    return pressures


def battery(ask: ReckonBattery) -> BatteryReckoned:
    """Return the state of charge of a lead-acid battery at rest.

    Raises:
        BadValue: volts and gravity at once, neither, or one out of range.
    """
    from stores.handbook.battery import at_rest, by_gravity, freezes_between, in_series

    volts = list(ask.volts)
    if ask.gravity is not None and volts:
        raise BadValue("volts or gravity")
    pair = None
    if ask.gravity is not None:
        answers = [by_gravity(ask.gravity, ask.acid_c)]
    elif len(volts) == 1:
        answers = [at_rest(volts[0], ask.nominal_v, rest_hours=ask.rested_h)]
    elif len(volts) == 2:
        pair = in_series(volts[0], volts[1], rest_hours=ask.rested_h)
        answers = [pair.first, pair.second]
    else:
        raise BadValue("no volts at rest")
    return BatteryReckoned(
        _all(*answers),
        tuple(freezes_between(answer.low) for answer in answers),
        pair.verdict if pair else "",
        pair.total_v if pair else None,
        pair.apart_v if pair else None,
    )


def fit(typed: str) -> Reckoned | ToleranceLimits:
    """Return the clearance of a pair, ``12 H7/k6``, in micrometres, or the limits of one part,
    ``20 h6``: ISO 286."""
    from stores.handbook.wear import deviations
    from stores.handbook.wear import fit as fit_of

    one = re.fullmatch(r"\s*(\S+)\s*(?:mm\s*)?\s+([A-Za-z]{1,2}\d{1,2})\s*", typed)
    if not one:
        return reckoned(fit_of(typed))
    limits = deviations(one[2], _mm(one[1]))
    return ToleranceLimits(limits, limits.limits_mm)


def wear(ask: ReckonWear) -> ReadingJudged:
    """Return how far something is worn, and what is left.

    Raises:
        BadValue: no reading, or one that is of another part.
    """
    from stores.handbook.wear import judge

    value = _mm_or_none(ask.reading)
    if value is None:
        raise BadValue("no reading of wear")
    new = _mm_or_none(ask.nominal)
    if new and not 0.5 * new <= value <= 2 * new:
        raise BadValue("reading of another part", reading_mm=value, nominal_mm=new)
    return _judged(
        judge(
            "reading",
            value,
            nominal_mm=new,
            limit_mm=_mm_or_none(ask.limit),
            grows=ask.larger,
            sigma_mm=_mm_or_none(ask.off) or 0.005,
        )
    )


def _judged(finding: "Finding") -> ReadingJudged:
    return ReadingJudged(
        finding.what,
        finding.verdict,
        reckoned(finding.reading),
        finding.nominal_mm,
        finding.limit_mm,
        finding.worn_mm,
        finding.left_mm,
        finding.share,
        finding.reason,
        _RULE_OF_OTHER_ENGINES in finding.reading.sources,
    )


def bore(ask: ReckonBore) -> BoreReckoned:
    """Return ovality, taper and wear of a bore from its readings at several heights.

    Raises:
        NotationError, BadValue: readings that cannot be read, or are of another part.
    """
    from stores.handbook.wear import clearance, measure_bore

    measured = measure_bore(
        _heights(ask.heights),
        nominal_mm=_mm_or_none(ask.nominal),
        stroke_mm=_mm_or_none(ask.stroke),
        wear_limit_mm=_mm_or_none(ask.limit),
        ovality_limit_mm=_mm_or_none(ask.oval),
        taper_limit_mm=_mm_or_none(ask.taper),
        sigma_mm=_mm_or_none(ask.off) or 0.005,
    )
    skirt = _mm_or_none(ask.piston)
    gap = None if skirt is None else clearance(measured.smallest_mm, skirt)
    keys = [key for each in measured.verdicts for key in each.reading.sources]
    for answer in (measured.ovality, measured.taper, gap):
        keys += answer.sources if answer else ()
    return BoreReckoned(
        measured.largest_mm,
        measured.smallest_mm,
        reckoned(measured.ovality) if measured.ovality else None,
        measured.ovality_at,
        reckoned(measured.taper) if measured.taper else None,
        measured.taper_at,
        reckoned(gap) if gap else None,
        tuple(map(_judged, measured.verdicts)),
        _cited(keys or ["wear-practice"]),
    )


def _heights(texts: Sequence[str]) -> Mapping[str, Mapping[str, float]]:
    """Return bore readings by height: ``top 47.52 47.55`` is along and across the crank."""
    readings: dict[str, dict[str, float]] = {}
    for text in texts:
        for part in re.split(r"[;,](?!\d)", text):
            height, *sizes = part.split() or [""]
            if not height or not sizes or height[0].isdigit() or len(sizes) > 6:
                raise NotationError("write a height and its readings: top 47.52 47.55", text)
            names = ("along", "across", "third", "fourth", "fifth", "sixth")
            readings[height] = {name: _mm(size) for name, size in zip(names, sizes, strict=False)}
    return readings


def convert(typed: str) -> Converted:
    """Return an amount in other units, exactly: ``18 lbf ft``, ``998.8 hPa to psi``.

    Raises:
        NotationError, BadValue: no amount, or no such unit.
    """
    first, *wanted = re.split(r"\s+(?:to|as)\s+(?=\D)", typed, maxsplit=1)
    given = units.read(first)
    names = wanted or CONVERTED[given.unit.kind]
    return Converted(given, tuple(given.to(name) for name in names))


def compression_test(verdict: "TestVerdict") -> CompressionTest:
    """Return a compression test that was judged as plain facts."""
    from stores.handbook.answer import cite

    return CompressionTest(
        verdict.verdict,
        verdict.spread.value if verdict.spread else None,
        tuple(
            CylinderTested(
                each.number,
                each.dry.gauge_kpa,
                None if each.wet is None else each.wet.gauge_kpa,
                each.cause,
                each.reason,
            )
            for each in verdict.cylinders
        ),
        verdict.assumptions,
        tuple(cite(key) for key in verdict.sources),
        verdict.cautions,
    )
