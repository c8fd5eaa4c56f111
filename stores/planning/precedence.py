"""Order among steps: a list that keeps every link, the loops, what is ready, what it unlocks.

Nodes are whole numbers, links are pairs (first, then). Everything here is iterative, so that a long
chain is no deep recursion, and takes time in proportion to steps and links.
"""

from collections.abc import Callable, Collection, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from typing import TYPE_CHECKING, Generic, TypeVar

if TYPE_CHECKING:
    from stores.planning.links import Link

__all__ = ["Graph", "Loop", "loops_of", "open_loops", "order_of"]

Node = TypeVar("Node", bound=Hashable)


class Graph(Generic[Node]):
    """Steps and which goes before which. A pair given twice counts once; a step never waits for
    itself (such a pair is a loop, and refused).

    Raises:
        ValueError: a link of a step with itself, or with one that is not there.
    """

    def __init__(self, nodes: Iterable[Node], links: Iterable[tuple[Node, Node]]) -> None:
        self.nodes: tuple[Node, ...] = tuple(dict.fromkeys(nodes))
        self.after: dict[Node, list[Node]] = {node: [] for node in self.nodes}
        self.before: dict[Node, list[Node]] = {node: [] for node in self.nodes}
        after, before = self.after, self.before
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
    """Steps that wait for each other in a ring, and the link that is easiest to let go."""

    round: "tuple[Link, ...]"
    weakest: "Link"

    @property
    def members(self) -> tuple[int, ...]:
        """The steps of the ring, in the order of their links."""
        return tuple(link.first for link in self.round)


def open_loops(links: "Iterable[Link]") -> "tuple[list[Link], list[Loop]]":
    """Let go of one link of every ring until there is none, and give what is left and the rings.

    The weakest reason goes first; of equals, the link that spans the most steps, since it is the
    least likely to be one piece lying on another.
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
            weakest = min(
                around,
                key=lambda link: (
                    link.because.strength,
                    -abs(link.first - link.then),
                    link.first,
                    link.then,
                ),
            )
            rings.append(Loop(around, weakest))
            del kept[weakest.first, weakest.then]


def order_of(
    steps: Iterable[int], links: "Iterable[Link]"
) -> tuple[list[int], Graph[int], list[Loop]]:
    """Give the order of refitting, the graph without its rings, and the rings.

    Of steps that may come next, the one that came off last goes first.
    """
    kept, rings = open_loops(links)
    graph = Graph(sorted(steps, reverse=True), [(link.first, link.then) for link in kept])
    return graph.order(lambda number: -number), graph, rings


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
