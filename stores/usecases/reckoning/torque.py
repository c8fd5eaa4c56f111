"""Tightening torque, as it is typed."""

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from stores.errors import BadValue
from stores.usecases.reckoning import (
    _cited,
    _mm,
    _mm_or_none,
)

if TYPE_CHECKING:
    from stores.handbook.torque.answer import Limit, Range, Tightening
    from stores.handbook.torque.grades import Friction
    from stores.handbook.torque.joint import Stripping
    from stores.handbook.torque.maker import Comparison, MakerFigure

__all__ = [
    "ByFriction",
    "MakerBeside",
    "Otherwise",
    "ReckonTorque",
    "TorqueReckoned",
    "WithAdaptor",
    "torque",
]


class ReckonTorque(NamedTuple):
    """A bolt, ``M8 8.8 oiled``, and what else is known of its joint; lengths in mm if not said.

    ``maker`` is the maker's figure and ``maker_state`` the state of the thread that it is for.
    ``older`` reckons torsion as before 2001. ``adaptor`` and ``wrench`` are the lengths of an
    adaptor that is put on the wrench and of the wrench itself, from the handle to the drive.
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
    adaptor: str = ""
    wrench: str = ""


@dataclass(frozen=True, slots=True)
class WithAdaptor:
    """What is set on a wrench with an adaptor straight out from it; lengths as reckoned with."""

    set_nm: float
    adaptor_mm: float
    wrench_mm: float


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
class ByFriction:
    """The torque of one joint for a thread that is slippery, as usual, or rough: no band to choose
    from."""

    slippery: float
    usual: float
    rough: float


@dataclass(frozen=True, slots=True)
class Otherwise:
    """Where less is set than was answered: a state of the thread, or a metal it goes into."""

    state: str
    into: str
    set_nm: float


@dataclass(frozen=True, slots=True)
class TorqueReckoned:
    """How tight: ``set_nm`` is the figure to set, ``set`` the same by unit; the rest explains it.

    ``torque`` is by unit and friction, ``preload_n`` what the figure to set brings, ``yields``
    tells that it takes a slippery bolt past its yield. ``otherwise`` are the cases in which less is
    set, ``into`` what it goes into, empty for a nut or steel; ``assumed_mm`` the thread assumed
    there, ``in_steel_nm`` what would be set in steel, None where that is no more.
    ``with_adaptor`` is what the wrench is set to for ``set_nm``, or for the maker's figure.
    """

    thread: str
    grade: str
    friction: "Friction"
    set_nm: float
    set: dict[str, float]
    slippery_nm: float
    otherwise: tuple[Otherwise, ...]
    into: str
    assumed_mm: float | None
    in_steel_nm: float | None
    torque: dict[str, ByFriction]
    preload_n: "Range"
    yields: bool
    limits: "tuple[Limit, ...]"
    seat_mpa: float
    seat_limit_mpa: float | None
    stripping: "Stripping | None"
    assumptions: tuple[str, ...]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]
    maker: MakerBeside | None
    with_adaptor: WithAdaptor | None


def _with_adaptor(ask: ReckonTorque, wanted_nm: float) -> WithAdaptor | None:
    from stores.handbook.torque.answer import set_down
    from stores.handbook.torque.joint import wrench_setting

    if bool(ask.adaptor) != bool(ask.wrench):
        raise BadValue("adaptor without its wrench")
    if not ask.adaptor:
        return None
    adaptor, wrench = _mm(ask.adaptor), _mm(ask.wrench)
    return WithAdaptor(set_down(wrench_setting(wanted_nm, wrench, adaptor)), adaptor, wrench)


def torque(ask: ReckonTorque) -> TorqueReckoned:
    """Return how tight a bolt is to be, what limits it, and the maker's figure beside it.

    Raises:
        BadValue, NotationError, NotFound: what cannot be read or is in no table.
    """
    from stores.errors import StoresError
    from stores.handbook.torque.answer import UNITS, Range, in_units, set_down
    from stores.handbook.torque.formulas import Method
    from stores.handbook.torque.grades import friction
    from stores.handbook.torque.joint import tighten
    from stores.handbook.torque.maker import (
        compare,
        goes_elsewhere,
        read_bolt,
        read_maker,
        split_into,
    )

    if not ask.maker and (where := goes_elsewhere(ask.bolt)):
        raise BadValue("torque goes elsewhere", typed=ask.bolt[:40], where=where)
    text, metal, deep = split_into(ask.bolt)
    if metal and ask.into:
        raise BadValue("what it goes into twice", typed=ask.bolt[:40])
    if deep and ask.engaged:
        raise BadValue("length of thread twice", typed=ask.bolt[:40])
    ask = ask._replace(bolt=text, into=ask.into or metal, engaged=ask.engaged or deep)
    if ask.engaged and not ask.into:
        raise BadValue("engaged in nothing")
    bolt = read_bolt(ask.bolt)
    if length := re.search(r"(?i)(?<![\d.,])\d[\d.,]*\s?mm\b", bolt.grade):
        raise BadValue("a length in the bolt", typed=length[0])
    figure = read_maker(ask.maker, ask.maker_state) if ask.maker else None
    if ask.maker_state and not ask.maker:
        raise BadValue("state without a maker's figure")

    def tight(state: "str | Friction | None", into: str | None = None) -> "Tightening":
        into = ask.into if into is None else into
        return tighten(
            bolt.thread,
            bolt.grade,
            state,
            head=ask.head or ("socket cap" if bolt.head == "socket cap" else "hex"),
            flats_mm=_mm_or_none(ask.flats),
            face_mm=_mm_or_none(ask.face),
            hole_mm=_mm_or_none(ask.hole),
            nut_class=ask.nut or None,
            into=into or None,
            engagement_mm=_mm_or_none(ask.engaged) if into else None,
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
    sets = answer.set_nm
    share = sets / answer.value
    steel = tight(bolt.state, "").set_nm if ask.into else sets
    otherwise = []
    given = answer.friction.low == answer.friction.high  # then the thread's state is known
    cases = [] if given else [("oiled", ask.into), ("anti-seize", ask.into)]
    cases += [] if ask.into or ask.nut else [(bolt.state or "", "aluminium")]
    for state, into in cases:
        try:
            other = tight(state, into)
        except StoresError:
            continue
        if other.set_nm < sets:
            changed = "" if state == bolt.state else state
            otherwise.append(Otherwise(changed, into if into != ask.into else "", other.set_nm))
    by_unit = {unit: answer.torque(unit) for unit in UNITS}
    return TorqueReckoned(
        thread=answer.thread.designation,
        grade=str(answer.grade),
        friction=answer.friction,
        set_nm=sets,
        set={
            unit: sets
            if unit == "N m"
            else set_down(in_units(Range(sets, sets, sets), unit).nominal)
            for unit in UNITS
        },
        slippery_nm=answer.slippery_nm,
        otherwise=tuple(otherwise),
        into=answer.into,
        assumed_mm=answer.assumed_mm,
        in_steel_nm=steel if steel > sets else None,
        torque={
            unit: ByFriction(each.low, each.nominal, each.high) for unit, each in by_unit.items()
        },
        preload_n=answer.preload_n.times(share),
        yields=answer.worst_share * share > 1,
        limits=answer.limits,
        seat_mpa=answer.seat_mpa,
        seat_limit_mpa=answer.seat_limit_mpa,
        stripping=answer.stripping,
        assumptions=answer.assumptions,
        sources=_cited(answer.sources),
        cautions=answer.cautions,
        maker=None
        if both is None
        else MakerBeside(
            both.use_nm, both.maker, both.agrees, both.ratio, both.words, both.cautions
        ),
        with_adaptor=_with_adaptor(ask, both.use_nm if both else sets),
    )
