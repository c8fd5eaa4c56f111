"""Tightening torque, as it is typed."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from stores.errors import BadValue
from stores.usecases.reckoning import (
    _cited,
    _mm_or_none,
)

if TYPE_CHECKING:
    from stores.handbook.torque.answer import Limit, Range, Tightening
    from stores.handbook.torque.grades import Friction
    from stores.handbook.torque.joint import Stripping
    from stores.handbook.torque.maker import Comparison, MakerFigure

__all__ = ["MakerBeside", "ReckonTorque", "TorqueReckoned", "torque"]


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
