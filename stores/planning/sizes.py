"""The sizes in a drawer, put together as its label has them: M6 x 16, 20, 25 hex bolt."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import groupby

from stores.errors import NotationError
from stores.handbook.fastener import parse
from stores.handbook.fastener.writing import designation
from stores.model.labels import SizeLine

__all__ = ["Sized", "size_lines"]


@dataclass(frozen=True, slots=True)
class Sized:
    """A thing in a drawer: its description, and what else is to be known of it in words."""

    text: str
    more: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Read:
    """Such a thing with its thread, length and name apart; ``rank`` is the diameter and length."""

    rank: tuple[float, str, float]
    thread: str
    length: str
    name: str
    more: tuple[str, ...]

    @property
    def order(self) -> tuple[float, str, bool, str, tuple[str, ...], float, str]:
        """By thread, what has a length first, then by name."""
        name = self.name if self.length or not self.thread else ""
        return (*self.rank[:2], not self.length, name, self.more, self.rank[2], self.name)

    @property
    def alike(self) -> tuple[str, str | None, tuple[str, ...]]:
        """What has this in common goes on one line; no name for what has a thread alone."""
        return self.thread, self.name if self.length or not self.thread else None, self.more


def size_lines(things: Iterable[Sized]) -> tuple[SizeLine, ...]:
    """Return what is in a drawer, a line for what is alike but for its length: by thread, then
    what has no thread, by name.

    What is to be known of one thing alone has a line of its own.
    """
    read = sorted(map(_read, things), key=lambda each: each.order)
    lines = []
    for (thread, name, more), group in groupby(read, key=lambda each: each.alike):
        each = list(group)
        if not thread:
            lines += [SizeLine("", one.name, more) for one in each]
        elif name is None:  # nuts, washers: all of one thread that have no length
            names = dict.fromkeys(one.name for one in each)
            lines.append(SizeLine(thread, ", ".join(names), more))
        else:
            lengths = dict.fromkeys(one.length for one in each)
            lines.append(SizeLine(thread, f"x {', '.join(lengths)} {name}".strip(), more))
    return tuple(lines)


_LONGEST = 16
"""Letters of a thread that stand first in a line; what is longer is said with the rest."""


def _read(thing: Sized) -> _Read:
    """Part a description into thread, length and name; what has no thread is all name."""
    bare = _Read((float("inf"), "", 0.0), "", "", thing.text, thing.more)
    try:
        read = parse(thing.text)
    except NotationError:
        return bare
    whole = designation(read)
    thread = designation(replace(read, length=None))
    if (
        read.diameter_mm is None
        or read.series is None
        or not thread
        or len(thread) > _LONGEST
        or not thing.text.startswith(whole)
        or not whole.startswith(thread)
    ):
        return bare
    length = whole.removeprefix(thread).removeprefix(" x ")
    rank = (read.diameter_mm, thread, read.length_mm or 0.0)
    return _Read(rank, thread, length, thing.text.removeprefix(whole).strip(), thing.more)
