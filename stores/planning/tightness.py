"""How tight each line of the rebuild is: the maker's figure first, the computed one beside it.

A general torque never stands where it could hurt: a line whose cautions ask for a second person
(`is_safety`) gets the maker's figure or none. An unmarked bolt is not called wrong by a maker's
figure; it is told what class the figure calls for.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from stores.errors import NotationError, StoresError
from stores.handbook.fastener import Kind, parse
from stores.handbook.torque.answer import Tightening, set_down
from stores.handbook.torque.joint import tighten
from stores.handbook.torque.maker import MakerFigure, compare
from stores.model.figures import MakerTorque
from stores.model.items import Description, Item
from stores.model.work_units import WorkUnits, chosen
from stores.units import plain

__all__ = [
    "THREADED",
    "Tightness",
    "basis_words",
    "computed_for",
    "general_words",
    "threaded",
    "tightness",
]

THREADED = frozenset(
    (
        Kind.BOLT,
        Kind.SCREW,
        Kind.SETSCREW,
        Kind.STUD,
        Kind.NUT,
        Kind.PLUG,
        Kind.BLEED_NIPPLE,
        Kind.GREASE_NIPPLE,
    )
)
"""Kinds that are tightened."""

_COMPUTED = frozenset((Kind.BOLT, Kind.SCREW, Kind.PART))
"""Kinds whose strength decides: a nut's, a stud's or a plug's torque hangs on the other part."""

_HEADS = {"": "hex", "hex": "hex", "socket cap": "socket cap"}
"""Heads whose bearing face is in the tables: screws for a screwdriver have no torque."""

_SCREWED_IN = frozenset((Kind.STUD, Kind.SETSCREW, Kind.GREASE_NIPPLE))
"""Kinds that are screwed home; where a maker gives a torque for one, that is its torque."""
_FOR_A_SCREWDRIVER = frozenset(
    ("binding", "bugle", "cheese", "countersunk", "fillister", "instrument", "mushroom", "pan",
     "raised countersunk", "round", "truss", "wafer")
)  # fmt: skip
"""Heads with a slot or a cross where no drive is said: no torque wrench turns them."""

_SPECIAL = re.compile(
    r"(?i)\b(?:banjo|hollow|union|big[- ]?end|con(?:necting)?[- ]?rod|main bearing|stretch|nylon|"
    r"plastic|eye ?bolts?|lifting|shear|drain|plug|jet|switch|sender|bleed|spark)\b"
)
"""What goes by its maker's figure alone: not solid, not steel, stretched, or of another rule."""

_STATES = ("oiled", "dry")
_CLASSES = ("5.8", "8.8", "10.9", "12.9")


@dataclass(frozen=True, slots=True)
class Tightness:
    """What is known of a line's torque.

    ``maker`` is the maker's figure, the one to use, None if none is recorded. ``computed`` are
    general figures, for oiled and dry where nothing says which; ``cautions`` what to mind.
    """

    maker: MakerFigure | None
    computed: tuple[Tightening, ...]
    cautions: tuple[str, ...] = ()
    written: str = ""
    """The maker's figure as the book has it, where that is not in N m."""
    by_wrench: bool = True
    """Whether a spanner or a socket turns it, or what it is screwed into."""

    @property
    def takes_torque(self) -> bool:
        """Whether a wrench is set for it: there is a figure, or one is to be looked up."""
        return self.known or bool(self.cautions) or self.by_wrench

    @property
    def known(self) -> bool:
        """Whether there is any figure, the maker's or a computed one."""
        return self.maker is not None or bool(self.computed)

    @property
    def figure(self) -> str:
        """The maker's figure in the unit a person works in: ``25``, ``18 to 20``; empty where there
        is none."""
        if self.maker is None:
            return ""
        return chosen().torque_span(self.maker.low_nm, self.maker.high_nm)

    @property
    def basis(self) -> str:
        """What the maker's figure is for, the figure in another unit, and where it is printed."""
        if self.maker is None:
            return ""
        other = chosen().beside(self.maker.low_nm, self.maker.high_nm, self.written)
        return f"maker's figure, {basis_words(self.maker.state, self.maker.source, other)}"

    @property
    def general(self) -> str:
        """The computed figures in a line, the one to set first: that of a slippery thread, for
        nobody said what the thread is like nor what it goes into."""
        if not self.computed:
            return ""
        grade = self.computed[0].grade
        figures = [
            (each.friction.state, each.slippery_nm, set_down(each.value)) for each in self.computed
        ]
        words = general_words(str(grade), grade.unknown, figures)
        return words if self.maker else f"no maker's figure; {words}"


def basis_words(state: str, source: str, written: str) -> str:
    """Return what a maker's figure is for and where it is printed: ``oiled (p. 41)``."""
    state = state or "book silent on oil"
    return (f"{written}, " if written else "") + state + (f" ({source})" if source else "")


def general_words(grade: str, unmarked: bool, figures: Sequence[tuple[str, float, float]]) -> str:
    """Return computed figures in a line, the one to set first.

    ``figures`` are a state of the thread with the torque of a slippery and of a usual one, N m.

    >>> general_words("class 8.8", False, [("oiled", 7.6, 10.0), ("dry", 11.0, 12.0)])
    'class 8.8 in steel: set 7.6 N m, or 10 if oiled, 12 if dry; less into soft metal'
    """
    now = chosen()
    name = f"unmarked, treated as {grade}" if unmarked else grade
    usual = ", ".join(f"{_bare(most, now)} if {state}" for state, _, most in figures)
    least = now.to_set(min(slippery for _, slippery, _ in figures))
    return f"{name} in steel: set {least}, or {usual}; less into soft metal"


def _bare(torque_nm: float, now: WorkUnits) -> str:
    """Return a torque to set without its unit, never rounded up."""
    return plain(set_down(now.torque_of(torque_nm)) if now.turns_torque else torque_nm, 3)


def threaded(what: Description) -> bool:
    """Tell whether it is tightened: a size without a noun ("M6 x 25 hex") is taken for a bolt."""
    return what.kind in THREADED or (what.kind == Kind.PART and bool(what.thread))


@lru_cache(maxsize=1024)
def computed_for(text: str, state: str = "") -> tuple[Tightening, ...]:
    """Give the general torques of a bolt or screw in the notation, oiled and dry if not said.

    Empty where none can be given: no thread, a kind whose strength is another part's, a class that
    its tables do not hold.
    """
    try:
        thing = parse(text)
    except NotationError:
        return ()
    head = _HEADS.get(thing.head or "")
    plain_size = thing.kind is not Kind.PART or not thing.name
    if thing.thread is None or thing.kind not in _COMPUTED or head is None or not plain_size:
        return ()
    if _SPECIAL.search(text):
        return ()
    grade = thing.property_class or (thing.material or "")
    found = []
    for each in (state,) if state else _STATES:
        try:
            found.append(tighten(thing.thread, grade, each, head=head))
        except StoresError:
            continue
    return tuple(found)


def tightness(item: Item, maker: MakerTorque | None, *, safety: bool = False) -> Tightness | None:
    """Give what is known of an item's torque; None for what is not tightened.

    ``safety`` is a joint of brakes, steering or wheels: there no computed figure is given.
    """
    if not threaded(item.as_specified):
        return None
    figure, written = None, ""
    if maker is not None:
        figure = MakerFigure(maker.low_nm, maker.high_nm, maker.state, maker.source)
        written = "" if re.search(r"(?i)\bn[ .]?m\b|\dn[ .]?m\b", maker.written) else maker.written
    if safety:
        only = () if figure else ("the maker's figure only",)
        return Tightness(figure, (), only, written)
    if _SPECIAL.search(item.as_specified.text) and figure is None:
        return Tightness(None, (), ("the maker's figure only",))
    computed = computed_for(item.as_specified.text, maker.state if maker else "")
    told = _doubts(item, figure, computed) if figure and computed else ()
    return Tightness(figure, computed, told, written, _by_wrench(item.as_specified))


def _by_wrench(what: Description) -> bool:
    """Tell whether a wrench can be set for it."""
    if what.kind in _SCREWED_IN:
        return False
    if what.head not in _FOR_A_SCREWDRIVER:
        return True
    try:
        return parse(what.text).drive not in ("", "slot", "cross")
    except NotationError:
        return False


def _doubts(item: Item, figure: MakerFigure, computed: tuple[Tightening, ...]) -> tuple[str, ...]:
    """Say where a maker's figure and the computed ones differ by more than scatter explains."""
    answers = [compare(figure, each) for each in computed]
    if any(answer.agrees for answer in answers):
        return ()
    if computed[0].grade.unknown and answers[0].ratio > 1:
        return (_wanted(item.as_specified.text, figure),)
    return (f"{answers[0].words}: check it",)


def _wanted(text: str, maker: MakerFigure) -> str:
    """Say of an unmarked bolt what class the maker's torque calls for."""
    for grade in _CLASSES:
        # Oiled comes first where nothing is said: there a torque pulls hardest.
        for each in computed_for(f"{text} {grade}", maker.state)[:1]:
            if maker.high_nm <= each.high:
                return f"needs a bolt of class {grade} or above: check its head"
    return "more than any bolt of this size can take: check the figure"
