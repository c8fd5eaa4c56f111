"""Which step goes back on before which: read from the strip-down, then put right by a person.

What came off later goes on earlier, but only where one was under the other. Two steps are linked

* in the same assembly, or where one's assembly lies in the other's (``Engine`` and
  ``Engine / Clutch``): the later one off is the earlier one on;
* where a step took off what is an assembly of its own ("gearbox" off the frame, then the steps of
  ``Gearbox``): that is built before it goes back;
* where a step came off for access only: it goes back after the step it made way for.

Steps of assemblies beside each other do not wait for each other. In strict order everything does:
the strip-down turned round, step by step. All of it is common practice; the person knows better and
has the last word, pair by pair.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from stores.model.items import Step, path_of
from stores.planning.precedence import Graph

__all__ = ["Because", "Derived", "Link", "Said", "derive"]


class Because(StrEnum):
    """Why one step goes on before another, the weakest reason first."""

    STRICT = "the strip-down turned round"
    ACCESS = "it came off for access only"
    WITHIN = "an assembly and one inside it"
    ORDER = "the order in which they came off"
    BUILT = "built before it goes back"
    SAID = "as you said"

    @property
    def strength(self) -> int:
        """How much it takes to let go of such a link; the person's word weighs most."""
        return list(Because).index(self)


@dataclass(frozen=True, slots=True)
class Link:
    """Step ``first`` is refitted before step ``then``."""

    first: int
    then: int
    because: Because
    reason: str = ""

    @property
    def why(self) -> str:
        """Say why, in a person's own words where there are any."""
        return f"{self.because}: {self.reason}" if self.reason else str(self.because)


@dataclass(frozen=True, slots=True)
class Said:
    """What a person said of two steps: ``first`` before ``then``, or free of each other."""

    first: int
    then: int
    free: bool = False
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Derived:
    """The links of a machine, by first and then, and what a person said that changes nothing.

    ``idle`` are pairs let go of although a third step between them still keeps them in order.
    """

    links: tuple[Link, ...]
    idle: tuple[Said, ...] = ()

    def pairs(self) -> list[tuple[int, int]]:
        """Give first and then of every link."""
        return [(link.first, link.then) for link in self.links]


_FILLER = frozenset(
    ("the", "a", "an", "complete", "whole", "bare", "assembly", "assy", "unit", "off", "out")
)


def derive(
    steps: Iterable[Step],
    said: Sequence[Said] = (),
    *,
    access: Mapping[int, int | None] | None = None,
    strict: bool = False,
) -> Derived:
    """Give the links between the steps of one machine.

    ``access`` are the steps that came off for access only, with the step each made way for; None is
    the next one that came off. In ``strict`` order nothing that was said counts, nor need it.
    """
    ordered = sorted({step.number: step for step in steps}.values(), key=lambda one: one.number)
    if strict:
        return Derived(
            tuple(
                Link(later.number, earlier.number, Because.STRICT)
                for earlier, later in pairwise(ordered)
            )
        )
    made = _Links()
    for link in (*_nested(ordered), *_built(ordered), *_access(ordered, access or {})):
        made.add(link)
    known = {step.number for step in ordered}
    words = [one for one in said if {one.first, one.then} <= known and one.first != one.then]
    made.release(words)
    for one in words:
        if not one.free:
            made.add(Link(one.first, one.then, Because.SAID, one.reason))
    links = tuple(sorted(made.links(), key=lambda link: (link.first, link.then)))
    graph = Graph(known, [(link.first, link.then) for link in links])
    idle = tuple(
        one
        for one in words
        if one.free
        and (one.then in graph.all_after(one.first) or one.first in graph.all_after(one.then))
    )
    return Derived(links, idle)


class _Links:
    """The links while they are made: the strongest reason of each pair, and both directions."""

    def __init__(self) -> None:
        self.after: dict[int, dict[int, Link]] = {}
        self.before: dict[int, dict[int, Link]] = {}

    def add(self, link: Link) -> None:
        """Add a link, unless a stronger one says the same or any says the contrary."""
        if link.first == link.then:
            return
        contrary = self.after.get(link.then, {}).get(link.first)
        if contrary and link.because is not Because.SAID:
            if contrary.because.strength >= link.because.strength:
                return
            self.drop(contrary)
        same = self.after.get(link.first, {}).get(link.then)
        if same and same.because.strength >= link.because.strength:
            return
        self.after.setdefault(link.first, {})[link.then] = link
        self.before.setdefault(link.then, {})[link.first] = link

    def drop(self, link: Link) -> None:
        """Take a link away."""
        del self.after[link.first][link.then]
        del self.before[link.then][link.first]

    def links(self) -> list[Link]:
        """Give all links."""
        return [link for row in self.after.values() for link in row.values()]

    def release(self, words: Sequence[Said]) -> None:
        """Let go of the derived links of these pairs, and of nothing that follows otherwise.

        The derived links leave out what follows from others. When ``a`` before ``b`` is let go,
        what was before ``a`` is still before ``b``, and what was after ``b`` is still after ``a``.
        """
        pairs = {
            pair
            for one in words
            for pair in (((one.first, one.then), (one.then, one.first)) if one.free else
                         ((one.then, one.first),))
        }  # fmt: skip
        waiting = sorted(pairs)
        while waiting:
            pair = waiting.pop()
            link = self.after.get(pair[0], {}).get(pair[1])
            if link is None:
                continue
            self.drop(link)
            befores = list(self.before.get(link.first, {}).values())
            afters = list(self.after.get(link.then, {}).values())
            for one in befores:
                self.add(Link(one.first, link.then, min(one.because, link.because, key=_strength)))
                if (one.first, link.then) in pairs:
                    waiting.append((one.first, link.then))
            for one in afters:
                self.add(Link(link.first, one.then, min(one.because, link.because, key=_strength)))
                if (link.first, one.then) in pairs:
                    waiting.append((link.first, one.then))


def _strength(because: Because) -> int:
    return because.strength


def _nested(ordered: Sequence[Step]) -> list[Link]:
    """Link each step to those that came off before it in its assembly, one around or one inside.

    Only the last of each, unless a later one of the others implies it.
    """
    last: dict[tuple[str, ...], Step] = {}
    below: dict[tuple[str, ...], set[tuple[str, ...]]] = {}
    links: list[Link] = []
    for step in ordered:
        path = path_of(step.assembly)
        around = [path[:length] for length in range(len(path) + 1)]
        near = [last[one] for one in (*around, *below.get(path, ())) if one in last and one]
        near.sort(key=lambda one: -one.number)
        kept: list[tuple[str, ...]] = []
        for earlier in near:
            there = path_of(earlier.assembly)
            if not any(_related(there, one) for one in kept):
                kept.append(there)
                why = Because.ORDER if there == path else Because.WITHIN
                links.append(Link(step.number, earlier.number, why))
        last[path] = step
        for one in around[:-1]:
            below.setdefault(one, set()).add(path)
    return links


def _related(one: tuple[str, ...], other: tuple[str, ...]) -> bool:
    short = min(len(one), len(other))
    return one[:short] == other[:short]


def _built(ordered: Sequence[Step]) -> list[Link]:
    """Link the steps of an assembly to the step that took the whole of it off."""
    by_name: dict[frozenset[str], list[Step]] = {}
    for step in ordered:
        path = path_of(step.assembly)
        # A step of Engine / Top is one of the engine's too.
        for name in path:
            by_name.setdefault(_words(name), []).append(step)
    links: list[Link] = []
    for whole in ordered:
        own = path_of(whole.assembly)
        for part in by_name.get(_words(whole.part), ()):
            if part is whole or _related(own, path_of(part.assembly)):
                continue
            if part.number > whole.number:
                links.append(Link(part.number, whole.number, Because.BUILT))
            else:  # it came off in place, before the whole did
                links.append(Link(whole.number, part.number, Because.ORDER))
    return links


def _words(text: str) -> frozenset[str]:
    plain = "".join(each if each.isalnum() else " " for each in text.casefold()).split()
    kept = [word for word in plain if word not in _FILLER and not word.isdigit()]
    return frozenset(word[:-1] if len(word) > 3 and word.endswith("s") else word for word in kept)


def _access(ordered: Sequence[Step], access: Mapping[int, int | None]) -> list[Link]:
    numbers = [step.number for step in ordered]
    links = []
    for number in numbers:
        if number not in access:
            continue
        reached = access[number]
        if reached is None:
            reached = next((later for later in numbers if later > number), None)
        if reached in set(numbers) - {number}:
            links.append(Link(int(reached or 0), number, Because.ACCESS))
    return links
