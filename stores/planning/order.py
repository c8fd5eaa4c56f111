"""Which step goes back on before which: read from the strip-down, put right by a person; the graph.

What came off later goes on earlier, but only where one was under the other. Two steps are linked

* in the same assembly, or where one's assembly lies in the other's (``Engine`` and
  ``Engine / Clutch``): the later one off is the earlier one on;
* where a step took off what is an assembly of its own ("gearbox" off the frame, then the steps of
  ``Gearbox``): that is built before it goes back;
* where a step came off for access only: it goes back after the step it made way for.

Steps of assemblies beside each other do not wait for each other. In strict order everything does:
the strip-down turned round, step by step. All of it is common practice; the person knows better and
has the last word, pair by pair.

The graph's nodes are whole numbers, its links pairs (first, then). Everything in it is iterative,
so that a long chain is no deep recursion, and takes time in proportion to steps and links.

The links of a rebuild are read anew from the strip-down each time, as few as say it all; what a
person said of pairs is laid over them. Letting a pair go keeps what follows otherwise: what was
before the one stays before the other. A word that makes a ring is written down and shown as a ring
with its weakest link, never refused: the person may be half way through saying it.
"""

from collections.abc import Callable, Collection, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from heapq import heapify, heappop, heappush
from itertools import pairwise
from typing import Generic, TypeVar

from stores.model.items import Step, path_of

__all__ = [
    "Arranged",
    "Derived",
    "Graph",
    "Link",
    "LinkReason",
    "Loop",
    "Said",
    "arranged",
    "derive",
    "loops_of",
    "open_loops",
    "order_of",
]

Node = TypeVar("Node", bound=Hashable)


class LinkReason(StrEnum):
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
        return list(LinkReason).index(self)


@dataclass(frozen=True, slots=True)
class Link:
    """Step ``first`` is refitted before step ``then``."""

    first: int
    then: int
    because: LinkReason
    reason: str = ""
    date: str = ""


@dataclass(frozen=True, slots=True)
class Said:
    """What a person said of two steps, and on which day: ``first`` before ``then``, or free of each
    other."""

    first: int
    then: int
    free: bool = False
    reason: str = ""
    date: str = ""


@dataclass(frozen=True, slots=True)
class Derived:
    """The links of a machine, by first and then, and what a person said that changes nothing.

    ``idle`` are pairs let go of although a third step between them still keeps them in order: in
    that order.
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
    ordered = sorted({step.number: step for step in steps}.values(), key=_came_off)
    if strict:
        return Derived(
            tuple(
                Link(later.number, earlier.number, LinkReason.STRICT)
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
            made.add(Link(one.first, one.then, LinkReason.SAID, one.reason, one.date))
    links = tuple(sorted(made.links(), key=lambda link: (link.first, link.then)))
    graph = Graph(known, [(link.first, link.then) for link in links])
    turned = [replace(one, first=one.then, then=one.first) for one in words if one.free]
    idle = tuple(
        one
        for pair in zip((one for one in words if one.free), turned, strict=True)
        for one in pair
        if one.then in graph.all_after(one.first)
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
        if contrary and link.because is not LinkReason.SAID:
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
        what was before ``a`` is still before ``b``, and what was after ``b`` is still after ``a``,
        but for what another word says the contrary of.
        """
        pairs = {
            pair
            for one in words
            for pair in (((one.first, one.then), (one.then, one.first)) if one.free else
                         ((one.then, one.first),))
        }  # fmt: skip
        waiting = sorted(pairs)
        bypasses: list[tuple[int, int]] = []
        while waiting:
            pair = waiting.pop()
            link = self.after.get(pair[0], {}).get(pair[1])
            if link is None:
                continue
            waiting += [each for each in self._bypass(link, bypasses) if each in pairs]
        stated = Graph(
            {number for one in words for number in (one.first, one.then)},
            [(one.first, one.then) for one in words if not one.free],
        )
        if not any(stated.after.values()):
            return
        while bypasses:
            pair = bypasses.pop()
            link = self.after.get(pair[0], {}).get(pair[1])
            if link is not None and self._leads_back(pair, stated):
                self._bypass(link, bypasses)

    def _bypass(self, link: Link, bypasses: list[tuple[int, int]]) -> list[tuple[int, int]]:
        """Take a link away, keep what follows otherwise, and return the pairs that do it."""
        self.drop(link)
        made = [
            *(
                Link(one.first, link.then, min(one.because, link.because, key=_strength))
                for one in self.before.get(link.first, {}).values()
            ),
            *(
                Link(link.first, one.then, min(one.because, link.because, key=_strength))
                for one in self.after.get(link.then, {}).values()
            ),
        ]
        for one in made:
            self.add(one)
        pairs = [(one.first, one.then) for one in made]
        bypasses += pairs
        return pairs

    def _leads_back(self, pair: tuple[int, int], stated: "Graph[int]") -> bool:
        """Tell whether the second of a pair goes before the first, by the links and the words."""
        seen: set[int] = {pair[1]}
        waiting = [pair[1]]
        while waiting:
            node = waiting.pop()
            for then in (*self.after.get(node, ()), *stated.after.get(node, ())):
                if then == pair[0]:
                    return True
                if then not in seen:
                    seen.add(then)
                    waiting.append(then)
        return False


def _strength(because: LinkReason) -> int:
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
        near.sort(key=_came_off, reverse=True)
        kept: list[tuple[str, ...]] = []
        for earlier in near:
            there = path_of(earlier.assembly)
            if not any(_related(there, one) for one in kept):
                kept.append(there)
                why = LinkReason.ORDER if there == path else LinkReason.WITHIN
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
            if _came_off(part) > _came_off(whole):
                links.append(Link(part.number, whole.number, LinkReason.BUILT))
            else:  # it came off in place, before the whole did
                links.append(Link(whole.number, part.number, LinkReason.ORDER))
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
            reached = next(iter(numbers[numbers.index(number) + 1 :]), None)
        if reached in set(numbers) - {number}:
            links.append(Link(int(reached or 0), number, LinkReason.ACCESS))
    return links


class Graph(Generic[Node]):
    """Steps and which goes before which. A pair given twice counts once; a step never waits for
    itself (such a pair is a loop, and refused).

    Raises:
        ValueError: a link of a step with itself, or with one that is not there.
    """

    def __init__(self, nodes: Iterable[Node], links: Iterable[tuple[Node, Node]]) -> None:
        self.nodes: tuple[Node, ...] = tuple(dict.fromkeys(nodes))
        after: dict[Node, list[Node]] = {node: [] for node in self.nodes}
        before: dict[Node, list[Node]] = {node: [] for node in self.nodes}
        self.after: Mapping[Node, Sequence[Node]] = after
        self.before: Mapping[Node, Sequence[Node]] = before
        for first, then in dict.fromkeys(links):
            if first == then or first not in after or then not in before:
                raise ValueError(f"no link from {first} to {then}")
            after[first].append(then)
            before[then].append(first)

    def order(self, rank: Callable[[Node], float]) -> list[Node]:
        """Give the steps so that every link is kept; of those that may come next, the smallest
        ``rank`` first. What is on a loop, or comes after one, is left out.
        """
        waits = {node: len(before) for node, before in self.before.items()}
        ranks = {node: (rank(node), at) for at, node in enumerate(self.nodes)}
        ready = [(ranks[node], node) for node in self.nodes if not waits[node]]
        heapify(ready)
        made: list[Node] = []
        while ready:
            node = heappop(ready)[1]
            made.append(node)
            for then in self.after[node]:
                waits[then] -= 1
                if not waits[then]:
                    heappush(ready, (ranks[then], then))
        return made

    def sorted(self) -> list[Node]:
        """Give the steps in any order that keeps every link, the same every time.

        Raises:
            ValueError: there is a loop.
        """
        waits = {node: len(before) for node, before in self.before.items()}
        made = [node for node in self.nodes if not waits[node]]
        for node in made:
            for then in self.after[node]:
                waits[then] -= 1
                if not waits[then]:
                    made.append(then)
        if len(made) < len(self.nodes):
            raise ValueError("there is a loop")
        return made

    def loops(self) -> list[list[Node]]:
        """Give the sets of steps that wait for each other (the strongly connected components of
        more than one), in the order of their first step."""
        return loops_of(self.nodes, self.after)

    def ready(self, done: Collection[Node]) -> list[Node]:
        """Give the steps not done whose every step before is done."""
        kept = done if isinstance(done, set | frozenset) else set(done)
        return [
            node
            for node in self.nodes
            if node not in kept and all(one in kept for one in self.before[node])
        ]

    def unlocks(self, node: Node, done: Collection[Node]) -> list[Node]:
        """Give the steps that only this one still holds back."""
        kept = {*done, node}
        return [
            then
            for then in self.after[node]
            if then not in kept and all(one in kept for one in self.before[then])
        ]

    def among(self, nodes: Collection[Node]) -> "Graph[Node]":
        """Give the graph of these steps alone, with the links between them."""
        return Graph(
            [node for node in self.nodes if node in nodes],
            [(a, b) for a in self.nodes if a in nodes for b in self.after[a] if b in nodes],
        )

    def all_before(self, node: Node) -> set[Node]:
        """Give every step that comes before this one, directly or through others."""
        return _reach(node, self.before)

    def all_after(self, node: Node) -> set[Node]:
        """Give every step that comes after this one, directly or through others."""
        return _reach(node, self.after)


def _reach(node: Node, links: Mapping[Node, Sequence[Node]]) -> set[Node]:
    found: set[Node] = set()
    waiting = list(links[node])
    while waiting:
        one = waiting.pop()
        if one not in found:
            found.add(one)
            waiting.extend(links[one])
    return found


def loops_of(nodes: Sequence[Node], after: Mapping[Node, Sequence[Node]]) -> list[list[Node]]:
    """Give the strongly connected components of more than one node, by their first node.

    Two searches, one along the links and one against them: A. V. Aho, J. E. Hopcroft, J. D. Ullman,
    "Data Structures and Algorithms" (1983), section 6.7.
    """
    before: dict[Node, list[Node]] = {node: [] for node in nodes}
    for node in nodes:
        for then in after[node]:
            before[then].append(node)
    place = {node: at for at, node in enumerate(nodes)}
    taken: set[Node] = set()
    found: list[list[Node]] = []
    for root in reversed(_left(nodes, after)):
        if root in taken:
            continue
        taken.add(root)
        members = [root]
        for node in members:
            for first in before[node]:
                if first not in taken:
                    taken.add(first)
                    members.append(first)
        if len(members) > 1:
            found.append(sorted(members, key=place.__getitem__))
    return sorted(found, key=lambda members: place[members[0]])


def _left(nodes: Sequence[Node], after: Mapping[Node, Sequence[Node]]) -> list[Node]:
    """Give the nodes in the order in which a depth-first search leaves them for good."""
    seen: set[Node] = set()
    left: list[Node] = []
    for root in nodes:
        if root in seen:
            continue
        seen.add(root)
        work = [(root, iter(after[root]))]
        while work:
            node, rest = work[-1]
            then = next((one for one in rest if one not in seen), None)
            if then is None:
                left.append(node)
                work.pop()
            else:
                seen.add(then)
                work.append((then, iter(after[then])))
    return left


@dataclass(frozen=True, slots=True)
class Loop:
    """Steps that wait for each other in a ring, and the link that is easiest to let go.

    ``offered`` are its links, the one to let go first at the head; what a person said comes last.
    """

    round: tuple[Link, ...]
    offered: tuple[Link, ...]

    @property
    def weakest(self) -> Link:
        """The link to let go first."""
        return self.offered[0]

    @property
    def members(self) -> tuple[int, ...]:
        """The steps of the ring, in the order of their links."""
        return tuple(link.first for link in self.round)


@dataclass(frozen=True, slots=True)
class Arranged:
    """The steps of a machine in the order of refitting, by number, from what that is derived, the
    graph without its rings, and the rings."""

    order: tuple[int, ...]
    derived: Derived
    graph: "Graph[int]"
    loops: tuple[Loop, ...]


def open_loops(links: Iterable[Link]) -> tuple[list[Link], list[Loop]]:
    """Let go of one link of every ring until there is none, and give what is left and the rings.

    What a person said is the last to go. Where their word is against the order of removal, the step
    recorded after the other is out of its place in the record, since one forgets to write down what
    came off and does so later: its links to those recorded before it are the first to go. Of others
    the weakest reason goes first; of equals, the link that spans the most steps, since it is the
    least likely to be one piece lying on another; of a person's words the oldest.
    """
    kept = {(link.first, link.then): link for link in links}
    rings: list[Loop] = []
    while True:
        after: dict[int, list[int]] = {}
        for first, then in kept:
            after.setdefault(first, []).append(then)
            after.setdefault(then, [])
        groups = loops_of(sorted(after), after)
        if not groups:
            return list(kept.values()), rings
        for group in groups:
            ring = _ring(set(group), after, group[0])
            around = tuple(
                kept[first, then] for first, then in zip(ring, ring[1:] + ring[:1], strict=True)
            )
            offered = _offered(around)
            rings.append(Loop(around, offered))
            del kept[offered[0].first, offered[0].then]


def _offered(around: Sequence[Link]) -> tuple[Link, ...]:
    """Give the links of a ring, the easiest to let go first."""
    late = {
        link.then for link in around if link.because is LinkReason.SAID and link.then > link.first
    }
    return tuple(
        sorted(
            around,
            key=lambda link: (
                link.because is LinkReason.SAID,
                link.because is LinkReason.BUILT,
                not (link.first in late and link.then < link.first),
                link.because.strength,
                link.date,
                -abs(link.first - link.then),
                link.first,
                link.then,
            ),
        )
    )


def order_of(
    steps: Iterable[int], links: Iterable[Link]
) -> tuple[list[int], Graph[int], list[Loop]]:
    """Give the order of refitting, the graph without its rings, and the rings.

    ``steps`` are in the order in which they came off. Of steps that may come next, the one that
    came off last goes first.
    """
    ordered = list(dict.fromkeys(steps))
    came_off = {number: at for at, number in enumerate(ordered)}
    kept, rings = open_loops(links)
    graph = Graph(reversed(ordered), [(link.first, link.then) for link in kept])
    return graph.order(lambda number: -came_off[number]), graph, rings


@lru_cache(maxsize=16)
def arranged(
    steps: tuple[Step, ...],
    said: tuple[Said, ...] = (),
    access: tuple[tuple[int, int | None], ...] = (),
    *,
    strict: bool = False,
) -> Arranged:
    """Give the order of refitting of the steps of one machine, in the order in which they came off.

    The arguments are those of `derive`. What is asked for again, on a page that is looked at
    again or after a deed that leaves the order alone, is not worked out again.
    """
    derived = derive(steps, said, access=dict(access), strict=strict)
    order, graph, loops = order_of((step.number for step in steps), derived.links)
    return Arranged(tuple(order), derived, graph, tuple(loops))


def _came_off(step: Step) -> tuple[int, int]:
    return step.came_off, step.number


def _ring(members: set[int], after: Mapping[int, Sequence[int]], start: int) -> list[int]:
    """Give a shortest ring through a step of a component, by breadth-first search."""
    came: dict[int, int] = {}
    waiting = [start]
    for node in waiting:
        for then in after[node]:
            if then == start:
                path = [node]
                while path[-1] != start:
                    path.append(came[path[-1]])
                return path[::-1]
            if then in members and then not in came:
                came[then] = node
                waiting.append(then)
    raise ValueError(f"step {start} is on no ring")
