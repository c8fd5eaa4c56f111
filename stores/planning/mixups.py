"""What tells two things apart that lie mixed up: a look, or which measurement."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from typing import TYPE_CHECKING

from stores.errors import NotationError
from stores.handbook.fastener import Kind, parse
from stores.model.items import sized

if TYPE_CHECKING:
    from stores.handbook.fastener import Fastener

__all__ = ["Apart", "By", "Telling", "tell_apart"]


class By(StrEnum):
    """What tells two things apart. The first ones are seen, the others measured or read."""

    KIND = "kind"
    NAME = "name"
    HEAD = "head"
    DRIVE = "drive"
    FORM = "form"
    MATERIAL = "material"
    THREAD = "thread"
    LENGTH = "length"
    SIZE = "size"
    GRADE = "grade"
    MARKS = "marks"
    STANDARD = "standard"
    FINISH = "finish"

    @property
    def seen(self) -> bool:
        """Whether a look is enough."""
        return self in _SEEN


_SEEN = frozenset({By.KIND, By.NAME, By.HEAD, By.DRIVE, By.FORM, By.MATERIAL})

_FIELDS = (
    (By.HEAD, "head"),
    (By.DRIVE, "drive"),
    (By.FORM, "form"),
    (By.MATERIAL, "material"),
    (By.GRADE, "property_class"),
    (By.MARKS, "marks"),
    (By.STANDARD, "standard"),
    (By.FINISH, "finish"),
)


@dataclass(frozen=True, slots=True)
class Telling:
    """One thing that tells two apart: what it is of each, and how to measure it where the handbook
    says so."""

    by: By
    one: str
    other: str
    how: str = ""


@dataclass(frozen=True, slots=True)
class Apart:
    """What tells two things apart, the simplest first. ``same`` where they are one and the same
    thing, so that either will do; with neither the record does not know."""

    tellings: tuple[Telling, ...] = ()
    same: bool = False


@lru_cache(maxsize=1024)
def tell_apart(one: str, other: str) -> Apart:
    """Return what tells two descriptions apart.

    What both say and says the same is the same thing only with a size: two brake shoes may still
    each have its own place.
    """
    try:
        ours, theirs = parse(one), parse(other)
    except NotationError:
        return Apart()
    found = sorted(_tellings(ours, theirs), key=lambda each: list(By).index(each.by))
    if found:
        return Apart(tuple(found))
    fastener = ours.kind is not Kind.PART and theirs.kind is not Kind.PART
    return Apart(same=fastener and sized(one) and ours.same_spec(theirs))


def _tellings(ours: "Fastener", theirs: "Fastener") -> Iterator[Telling]:
    if Kind.PART not in (ours.kind, theirs.kind) and ours.kind is not theirs.kind:
        yield Telling(By.KIND, ours.kind, theirs.kind)
    elif ours.name != theirs.name and (ours.name or theirs.name):
        yield Telling(By.NAME, ours.name or ours.spec, theirs.name or theirs.spec)
    for by, name in _FIELDS:
        mine, other = getattr(ours, name), getattr(theirs, name)
        if mine and other and mine != other:
            yield Telling(by, mine, other)
    yield from _thread(ours, theirs)
    if ours.length and theirs.length and _unlike(ours.length.mm, theirs.length.mm):
        yield Telling(By.LENGTH, str(ours.length), str(theirs.length))
    if (
        ours.dimensions
        and theirs.dimensions
        and [each.mm for each in ours.dimensions] != [each.mm for each in theirs.dimensions]
    ):
        yield Telling(
            By.SIZE, " x ".join(map(str, ours.dimensions)), " x ".join(map(str, theirs.dimensions))
        )


def _unlike(one: float, other: float) -> bool:
    """Return whether two lengths are further apart than screws of one length are."""
    from stores.handbook.measure import Tool
    from stores.planning.whence import reach_mm

    return abs(one - other) > reach_mm(Tool.CALIPER, max(one, other), odd=False)


def _thread(ours: "Fastener", theirs: "Fastener") -> Iterator[Telling]:
    one, other = ours.thread, theirs.thread
    if one is not None and other is not None:
        if one.designation != other.designation:
            nuts = Kind.NUT in (ours.kind, theirs.kind)
            how = _measurement(one.designation, other.designation, "nut" if nuts else "")
            yield Telling(By.THREAD, one.designation, other.designation, how)
    elif ours.size and theirs.size and ours.size != theirs.size:
        yield Telling(By.SIZE, ours.size, theirs.size)


@lru_cache(maxsize=256)
def _measurement(one: str, other: str, head: str) -> str:
    """Return the measurement that tells two threads apart, empty where none at the bench does."""
    from stores.handbook.identify import Measurement, advise
    from stores.handbook.thread import get

    advice = advise({get(one): 0.5, get(other): 0.5}, Measurement(head=head))
    return advice[0].text if advice and advice[0].bits >= 0.1 else ""
