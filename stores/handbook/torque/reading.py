"""Reading what a person types: the bolt, its class, the state of the thread; a maker's figure."""

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stores import units
from stores.errors import BadValue, NotationError, NotFound
from stores.handbook.thread import Thread, get
from stores.handbook.torque.surfaces import friction

if TYPE_CHECKING:
    from stores.handbook.torque.maker import MakerFigure

__all__ = ["Bolt", "read_bolt", "read_maker"]

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
    """
    words = text.split()
    words, state = _state(words)
    if not words:
        raise NotationError("no thread in it: write it as M8 8.8 oiled", text)
    # "M8 8.8": the plain case is tried first, for it costs the least.
    plain = _METRIC.fullmatch(words[0]) and words[1:2] not in (["x"], ["X"])
    for end in (1,) if plain else range(len(words), 0, -1):
        try:
            thread = get(" ".join(words[:end]))
        except (NotationError, NotFound):
            continue
        return Bolt(thread, " ".join(words[end:]), state)
    return _fastener(words, state, text)


_CLASS = re.compile(r"\d{1,2}\.\d|[ACFacf]\d-\d{2,3}")


def _state(words: list[str]) -> tuple[list[str], str | None]:
    if len(words) > 2 and _CLASS.fullmatch(words[-2]):
        return words[:-1], words[-1]  # whatever stands behind a class is meant as its state
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
    if item.thread is None:
        get(" ".join(words))  # says what is wrong with it, or what is near
        raise NotationError("no thread in it: write it as M8 8.8 oiled", text)
    return Bolt(
        item.thread, item.property_class or item.material or "", state, item.length_mm,
        item.head or "",
    )  # fmt: skip


def read_maker(text: str, state: str = "", source: str = "") -> "MakerFigure":
    """Read a maker's torque: ``25 N m``, ``18 to 20 lbf ft``, ``2,5-3 kgf m``.

    Raises `NotationError` for what is none, `BadValue` for a figure without a unit, or out of
    order.
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
    from stores.handbook.torque.maker import MakerFigure

    return MakerFigure(low, high, state, source)
