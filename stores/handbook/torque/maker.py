"""The maker's figure beside the computed one: it wins, and a great difference is flagged.

Reading what a person types: the bolt, its class, the state of the thread; a maker's figure.
"""

import re
from dataclasses import dataclass
from math import isfinite

from stores import units
from stores.errors import BadValue, NotationError, NotFound
from stores.handbook.thread import Thread, get, named
from stores.handbook.thread.catalogue import TwoThreads
from stores.handbook.torque.answer import Tightening
from stores.handbook.torque.grades import friction, material

__all__ = [
    "Bolt",
    "Comparison",
    "MakerFigure",
    "compare",
    "goes_elsewhere",
    "read_bolt",
    "read_maker",
    "split_into",
]


# Units a figure is most often mistaken for, in N m.
_MISTAKES = (
    ("lbf ft", 1.3558179483314004),
    ("kgf m", 9.80665),
    ("lbf in", 0.1129848290276167),
    ("kgf cm", 0.0980665),
)


@dataclass(frozen=True, slots=True)
class MakerFigure:
    """A maker's torque, N m: one figure or a range; ``state`` dry or oiled if the book says.

    Raises `BadValue` for figures not above zero or out of order.
    """

    low_nm: float
    high_nm: float
    state: str = ""
    source: str = ""

    def __post_init__(self) -> None:
        good = isfinite(self.low_nm) and isfinite(self.high_nm)
        if not (good and 0 < self.low_nm <= self.high_nm <= 10000):
            raise BadValue(
                f"maker's torque {self.low_nm:g} to {self.high_nm:g} N m: expected above 0, up to "
                "10000, the smaller first"
            )

    @property
    def nominal_nm(self) -> float:
        """The middle of the range, N m: what to set."""
        return (self.low_nm + self.high_nm) / 2


@dataclass(frozen=True, slots=True)
class Comparison:
    """The maker's figure, which is the one to use, against the computed one.

    ``agrees`` is whether the two differ by no more than ``low_nm`` to ``high_nm``, what friction
    and the scatter of a torque wrench explain; ``ratio`` is maker's over computed.
    """

    maker: MakerFigure
    computed: Tightening
    low_nm: float
    high_nm: float
    agrees: bool
    ratio: float
    words: str
    cautions: tuple[str, ...]

    @property
    def use_nm(self) -> float:
        """The torque to use, N m: always the maker's."""
        return self.maker.nominal_nm


def compare(maker: MakerFigure, computed: Tightening) -> Comparison:
    """Set a maker's figure beside the computed one, and flag what scatter does not explain.

    Explained is anything within the computed range widened by the scatter of preload at one torque
    (25 % lubricated, 35 % dry: NASA TM-106943).
    """
    scatter = computed.friction.scatter
    low = min(computed.low, computed.value * (1 - scatter))
    high = max(computed.high, computed.value * (1 + scatter))
    agrees = maker.low_nm <= high and maker.high_nm >= low
    ratio = maker.nominal_nm / computed.value
    told = []
    if not maker.state:
        told.append("The maker's figure does not say dry or oiled: look it up before oiling.")
    elif maker.state.strip().lower() != computed.friction.state:
        told.append(
            f"The maker's figure is for {maker.state}, the computed one for {computed.friction}."
        )
    if agrees:
        words = f"agrees with the computed {units.plain(computed.value, 3)} N m within the scatter"
    else:
        side = "below" if ratio < 1 else "above"
        words = (
            f"{100 * ratio:.0f} % of the computed {units.plain(computed.value, 3)} N m: {side} "
            f"what friction and scatter explain ({units.plain(low, 3)} to "
            f"{units.plain(high, 3)} N m)"
        )
        told.append(_advice(maker, low, high, ratio))
    return Comparison(maker, computed, low, high, agrees, ratio, words, tuple(told))


def _advice(maker: MakerFigure, low: float, high: float, ratio: float) -> str:
    for name, factor in _MISTAKES:
        if low <= maker.nominal_nm * factor <= high:
            return f"Read as {name} it would agree: check the unit in the book."
    if ratio < 1:
        return (
            "The maker asks for less: a gasket, a weak thread or a weaker bolt than was taken. "
            "Keep to the maker's figure."
        )
    return (
        "The maker asks for more than this bolt should stand: check thread, mark and figure before "
        "tightening."
    )


# A figure alone may be a class or grade; "mu 3" is meant as friction, and refused as such.
_FRICTION = re.compile(
    r"0?[.,]\d+(?: ?(?:-|–|to) ?0?[.,]\d+)?|mu [\d.,]+(?: ?(?:-|–|to) ?[\d.,]+)?"
)

_METRIC = re.compile(r"[Mm]\d+(?:[.,]\d+)?(?:[xX]\d(?:[.,]\d+)?)?")

_MOST_WORDS = 4


@dataclass(frozen=True, slots=True)
class Bolt:
    """A bolt as typed: ``grade`` is empty where nothing was said, ``state`` None likewise."""

    thread: Thread
    grade: str = ""
    state: str | None = None
    length_mm: float | None = None
    head: str = ""


def read_bolt(text: str) -> Bolt:
    """Read ``M8 8.8 oiled``, ``1/4 BSF grade R dry``, ``M8 x 30 hex 8.8 zinc``, ``M6 0.10-0.14``.

    The thread comes first, then what is marked on it, the state of thread and face last. A whole
    fastener in the notation will do.

    Raises `NotationError` or `NotFound` where there is no thread in it.

    >>> bolt = read_bolt("M8 8.8 oiled")
    >>> bolt.thread.designation, bolt.grade, bolt.state
    ('M8', '8.8', 'oiled')
    >>> read_bolt("M8 oiled 8.8") == bolt
    True
    """
    words = text.split()
    words, state = _state(words)
    if not words:
        raise NotationError("no thread in it: write it as M8 8.8 oiled", text)
    # "M8 8.8": the plain case is tried first, for it costs the least.
    plain = _METRIC.fullmatch(words[0]) and words[1:2] not in (["x"], ["X"])
    for end in (1,) if plain else range(len(words), 0, -1):
        try:
            thread = named(" ".join(words[:end]))
        except TwoThreads:
            raise
        except (NotationError, NotFound):
            continue
        return Bolt(thread, " ".join(words[end:]), state)
    return _fastener(words, state, text)


_CLASS = re.compile(r"\d{1,2}\.\d|[ACFacf]\d-\d{2,3}")


def _state(words: list[str]) -> tuple[list[str], str | None]:
    if len(words) > 2 and _CLASS.fullmatch(words[-2]):
        return words[:-1], words[-1]  # whatever stands behind a class is meant as its state
    if len(words) > 2 and _CLASS.fullmatch(words[-1]):  # the class last: M8 oiled 8.8
        before, said = _state(words[:-1])
        if said is not None:
            return [*before, words[-1]], said
    for count in range(min(_MOST_WORDS, len(words) - 1), 0, -1):
        last = " ".join(words[-count:]).lower()
        if _FRICTION.fullmatch(last) or _known(last):
            return words[:-count], last.removeprefix("mu ")
    return words, None


def _known(word: str) -> bool:
    if word[0].isdigit():
        return False
    for stainless in (False, True):
        try:
            friction(word, stainless=stainless)
        except BadValue:
            continue
        return True
    return False


def _fastener(words: list[str], state: str | None, text: str) -> Bolt:
    from stores.handbook.fastener import parse

    item = parse(" ".join(words))
    if item.thread is None and item.size and item.questions:
        raise NotationError(f"{item.questions[0].rstrip('?')}: say which", text)
    if item.thread is None:
        get(" ".join(words))  # says what is wrong with it, or what is near
        raise NotationError("no thread in it: write it as M8 8.8 oiled", text)
    return Bolt(
        item.thread, item.property_class or item.material or "", state, item.length_mm,
        item.head or "",
    )  # fmt: skip


_DEEP = r"\d[\d.,/ ]*\s?(?:mm|in|\")"
_INTO = re.compile(
    r"(?i)\s(?:in|into)\s+(?P<metal>(?:cast |wrought |grey |mild )?[a-z]+)"
    rf"(?:[\s,]+(?:by |with )?(?P<deep>{_DEEP})(?:\s+(?:deep|engaged|of thread|thread))?)?"
    r"(?=[\s,]|$)"
)
_ENGAGED = re.compile(
    rf"(?i)\s(?P<deep>{_DEEP})\s+(?:deep|engaged|of thread|thread|in the hole)(?=[\s,]|$)"
)

# What goes by another rule or by its maker alone, whatever its thread.
_ELSEWHERE = (
    (r"spark(?:ing)?[- ]?plug", "spark plug"),
    (r"(?:drain|sump|filler|level)[- ]?plug", "drain plug"),
    (r"castle(?:d|lated)? nut|slotted nut", "castle nut"),
    (
        r"wheel|brak\w*|caliper|steer\w*|spindle|axle|yoke|fork|swing(?:ing)?[- ]?arm|"
        r"cylinder head|head (?:stud|bolt|nut)|big[- ]?end|con(?:necting)?[- ]?rod|main bearing|"
        r"flywheel|crank(?:shaft)?|cam(?:shaft)?|clutch|sprocket|banjo|union|seat ?belt|tow\w*|"
        r"lifting|eye ?bolt",
        "maker",
    ),
)


def goes_elsewhere(text: str) -> str:
    """Return by what a named joint goes: ``spark plug``, ``drain plug``, ``castle nut``, ``maker``
    for the maker's figure alone; empty for a bolt that has no such name.

    >>> goes_elsewhere("wheel nut"), goes_elsewhere("M8 8.8 oiled")
    ('maker', '')
    """
    for words, where in _ELSEWHERE:
        if re.search(rf"(?i)\b(?:{words})s?\b", text):
            return where
    return ""


def split_into(text: str) -> tuple[str, str, str]:
    """Return ``M6 8.8 in aluminium 8 mm oiled`` without the metal it goes into and the length of
    thread in it; the metal; and that length as typed. Each is empty where it is not said.

    >>> split_into("M6 8.8 in aluminium oiled")
    ('M6 8.8 oiled', 'cast aluminium', '')
    >>> split_into("M6 8.8 oiled into aluminium, 8 mm of thread")
    ('M6 8.8 oiled', 'cast aluminium', '8 mm')
    """
    for found in _INTO.finditer(text):
        try:
            metal = material(found["metal"])
        except BadValue:
            continue
        rest, deep = f"{text[: found.start()]}{text[found.end() :]}", found["deep"] or ""
        if not deep and (said := _ENGAGED.search(rest)):
            rest, deep = f"{rest[: said.start()]}{rest[said.end() :]}", said["deep"]
        return rest, metal.name, deep
    return text, "", ""


def read_maker(text: str, state: str = "", source: str = "") -> "MakerFigure":
    """Read a maker's torque: ``25 N m``, ``18 to 20 lbf ft``, ``2,5-3 kgf m``.

    Raises `NotationError` for what is none, `BadValue` for a figure without a unit, or out of
    order.

    Args:
        text: the figure as printed, with its unit.
        state: what the book says of the thread: dry, oiled.
        source: where it is printed.

    18 lbf ft is 18 x 1.35582 N m:

    >>> figure = read_maker("18 to 20 lbf ft")
    >>> round(figure.low_nm, 1), round(figure.high_nm, 1)
    (24.4, 27.1)
    """
    try:
        *ends, unit = units.read_span(text)
    except NotationError:
        said = "cannot read a torque such as 25 N m or 18 to 20 lbf ft"
        raise NotationError(said, text) from None
    if min(ends) < 0:
        raise BadValue(f"{text.strip()!r}: expected nothing below zero")
    if not unit:
        raise BadValue(f"{text.strip()!r}: write the unit")
    factor = units.unit(unit, units.Kind.TORQUE).factor
    low, high = (float(end * factor) for end in ends)
    if low > high:
        raise BadValue(f"{text.strip()!r}: the smaller figure comes first")

    return MakerFigure(low, high, state, source)
