"""Order, loops and times against published networks and against networkx.

The instances in tests/published/precedence/ name their sources row by row: course and exam examples
of the critical-path method, project networks of PSPLIB with their length without resources
("MPM-Time"), and real assembly lines with their order strength (TU Darmstadt 16/93).
"""

import json
from itertools import combinations, pairwise, permutations
from pathlib import Path
from typing import Any

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stores.planning.order import Graph, Link, LinkReason, open_loops
from stores.planning.timing import Delivery, held_up, not_before, one_pair_of_hands, times

FOLDER = Path(__file__).parents[1] / "published" / "precedence"
FILES = sorted(FOLDER.glob("*.json"))
INSTANCES = [
    pytest.param(instance, id=instance["name"])
    for file in FILES
    for instance in json.loads(file.read_text())
]


def graph_of(instance: dict[str, Any]) -> Graph[Any]:
    tasks = instance["tasks"]
    return Graph(
        [task["id"] for task in tasks],
        [(task["id"], then) for task in tasks for then in task["before"]],
    )


def durations_of(instance: dict[str, Any]) -> dict[Any, float]:
    return {task["id"]: task["duration"] for task in instance["tasks"]}


def their_graph(graph: Graph[Any]) -> Any:
    theirs = nx.DiGraph()
    theirs.add_nodes_from(graph.nodes)
    theirs.add_edges_from((a, b) for a in graph.nodes for b in graph.after[a])
    return theirs


def test_the_instances_are_there() -> None:
    assert len(FILES) == 6
    assert len(INSTANCES) == 90


@pytest.mark.parametrize("instance", INSTANCES)
def test_published_lengths_times_and_critical_tasks(instance: dict[str, Any]) -> None:
    graph, durations = graph_of(instance), durations_of(instance)
    timing = times(graph, durations)
    if instance.get("critical_path") is not None:
        assert timing.length == pytest.approx(instance["critical_path"])
    # What is longest in the graph, by networkx, with each step's time on the links that leave it.
    theirs = their_graph(graph)
    for first, then in theirs.edges:
        theirs[first][then]["weight"] = durations[first]
    theirs.add_edges_from((node, "the end", {"weight": durations[node]}) for node in graph.nodes)
    assert timing.length == pytest.approx(nx.dag_longest_path_length(theirs))
    assert sum(durations[node] for node in timing.chain) == pytest.approx(timing.length)
    assert all(b in graph.after[a] for a, b in zip(timing.chain, timing.chain[1:], strict=False))
    ids = {str(node): node for node in graph.nodes}
    for name, row in instance.get("published_times", {}).items():
        mine = timing.of[ids[name]]
        ours = {
            "ES": mine.early_start,
            "EF": mine.early_finish,
            "LS": mine.late_start,
            "LF": mine.late_finish,
            "slack": mine.slack,
        }
        for key, value in row.items():
            assert ours[key] == pytest.approx(value), (name, key)
    if "published_critical_tasks" in instance:
        assert {str(node) for node in timing.critical()} == {
            str(node) for node in instance["published_critical_tasks"]
        }


COUNTED = [param for param in INSTANCES if "published" in param.values[0]]  # type: ignore[operator]


@pytest.mark.parametrize("instance", COUNTED)
def test_published_counts_of_assembly_graphs(instance: dict[str, Any]) -> None:
    published = instance["published"]
    graph, durations = graph_of(instance), durations_of(instance)
    assert len(graph.nodes) == published["n"]
    assert sum(durations.values()) == pytest.approx(published["tsum"])
    ordered = sum(len(graph.all_after(node)) for node in graph.nodes)
    pairs = len(graph.nodes) * (len(graph.nodes) - 1) / 2
    assert 100 * ordered / pairs == pytest.approx(published["order_strength_percent"], abs=0.005)


@pytest.mark.parametrize("instance", INSTANCES)
def test_the_order_keeps_every_link_and_breaks_ties_by_rank(instance: dict[str, Any]) -> None:
    graph = graph_of(instance)
    place = {node: at for at, node in enumerate(graph.nodes)}
    order = graph.order(lambda node: -place[node])
    at = {node: where for where, node in enumerate(order)}
    assert sorted(at.values()) == list(range(len(graph.nodes)))
    assert all(at[a] < at[b] for a in graph.nodes for b in graph.after[a])
    theirs = list(
        nx.lexicographical_topological_sort(their_graph(graph), key=lambda node: -place[node])
    )
    assert order == theirs
    assert not graph.loops()


def random_graph(draw: Any, *, most: int = 9, loops: bool = False) -> tuple[int, list[Any]]:
    count = draw(st.integers(1, most))
    pairs = [(a, b) for a in range(count) for b in range(count) if a != b and (loops or a < b)]
    return count, draw(st.lists(st.sampled_from(pairs), max_size=20)) if pairs else []


@given(st.data())
def test_loops_are_those_that_networkx_finds(data: Any) -> None:
    count, pairs = random_graph(data.draw, loops=True)
    graph = Graph(range(count), pairs)
    theirs = [
        sorted(each)
        for each in nx.strongly_connected_components(their_graph(graph))
        if len(each) > 1
    ]
    assert graph.loops() == sorted(theirs)
    kept, rings = open_loops([Link(a, b, LinkReason.ORDER) for a, b in dict.fromkeys(pairs)])
    left = nx.DiGraph([(link.first, link.then) for link in kept])
    assert nx.is_directed_acyclic_graph(left)
    assert bool(rings) == bool(theirs)
    assert len(kept) + len(rings) == len(set(pairs))
    for ring in rings:  # each is a true ring of links that were there
        around = [(link.first, link.then) for link in ring.round]
        assert set(around) <= set(pairs)
        assert all(a[1] == b[0] for a, b in zip(around, around[1:] + around[:1], strict=True))


def test_what_a_person_said_is_the_last_of_a_ring_to_be_let_go() -> None:
    """Step 9 was written down too late: it came off before 7, and so nothing says it is after 8."""
    links = [
        Link(7, 9, LinkReason.SAID),
        Link(9, 8, LinkReason.ORDER),
        Link(8, 7, LinkReason.WITHIN),
        Link(3, 2, LinkReason.ORDER),
    ]
    kept, (ring,) = open_loops(links)
    assert set(ring.members) == {7, 8, 9}
    assert ring.offered == (links[1], links[2], links[0])
    assert set(kept) == {links[0], links[2], links[3]}


@given(st.data())
def test_what_is_ready_and_what_a_step_unlocks(data: Any) -> None:
    """Doing whatever is ready always ends with everything done."""
    count, pairs = random_graph(data.draw)
    graph = Graph(range(count), pairs)
    done: set[int] = set()
    while len(done) < count:
        ready = graph.ready(done)
        assert ready
        node = data.draw(st.sampled_from(ready))
        promised = graph.unlocks(node, done)
        before = set(ready)
        done.add(node)
        assert set(graph.ready(done)) == (before - {node}) | set(promised)


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_no_order_of_one_person_is_finished_sooner(data: Any) -> None:
    """Against every order there is, each step begun as soon as it may be."""
    count, pairs = random_graph(data.draw, most=6)
    graph = Graph(range(count), pairs)
    takes = {node: data.draw(st.integers(0, 5)) for node in graph.nodes}
    comes = {node: data.draw(st.integers(0, 12)) for node in graph.nodes}
    bars = one_pair_of_hands(graph, takes, comes, rank=lambda node: -node)
    assert sorted(bar.node for bar in bars) == list(graph.nodes)
    finish = {bar.node: bar.finish for bar in bars}
    for bar in bars:
        assert bar.start >= comes[bar.node]
        assert all(finish[first] <= bar.start for first in graph.before[bar.node])
    assert all(a.finish <= b.start for a, b in pairwise(bars))
    best = None
    for order in permutations(graph.nodes):
        at = {node: where for where, node in enumerate(order)}
        if any(at[a] > at[b] for a in graph.nodes for b in graph.after[a]):
            continue
        now = 0
        for node in order:
            now = max(now, comes[node]) + takes[node]
        best = now if best is None else min(best, now)
    assert bars[-1].finish == best


def test_what_a_late_delivery_does_to_the_finish_worked_by_hand() -> None:
    """Three steps of 2 days, c after a and b. Step a waits for the plater (day 10), b for an order
    (day 3). b is done from 3 to 5, then nothing can be done until 10; a 10 to 12, c 12 to 14.
    With the plating here now: a 0 to 2, b 3 to 5, c 5 to 7, so it holds up 7 days and has no spare.
    The order: were it here now, the finish is still 14. It may come on day 10 (7 late): a 10 to 12,
    b 12 to 14, c 14 to 16 is later already; on day 8 (5 late) b is done from 8 to 10, and on day 9
    it lasts to 11, a day too long. So it has 5 days to spare."""
    graph = Graph("abc", [("a", "c"), ("b", "c")])
    takes = dict.fromkeys("abc", 2.0)
    deliveries = [Delivery("plater", 10, ("a",)), Delivery("order", 3, ("b",))]
    bars = one_pair_of_hands(graph, takes, not_before(deliveries), rank=ord)
    assert [(bar.node, bar.start, bar.finish) for bar in bars] == [
        ("b", 3, 5), ("a", 10, 12), ("c", 12, 14),
    ]  # fmt: skip
    plater, order = held_up(graph, takes, deliveries, rank=ord)
    assert (plater.name, plater.days, plater.spare) == ("plater", 7, 0)
    assert (order.name, order.days, order.spare) == ("order", 0, 5)


def test_a_link_with_itself_or_with_nothing_is_refused() -> None:
    for pair in ((1, 1), (1, 3), (3, 1)):
        with pytest.raises(ValueError, match="no link"):
            Graph([1, 2], [pair])
    with pytest.raises(ValueError, match="loop"):
        times(Graph([1, 2], [(1, 2), (2, 1)]), {})


def test_a_chain_of_many_steps_is_no_deep_recursion() -> None:
    count = 20_000
    graph = Graph(range(count), [(at, at + 1) for at in range(count - 1)])
    assert graph.order(float) == list(range(count))
    assert not graph.loops()
    assert times(graph, dict.fromkeys(graph.nodes, 1)).length == count
    ring = Graph(range(count), [(at, (at + 1) % count) for at in range(count)])
    assert [len(loop) for loop in ring.loops()] == [count]


def test_valid_orders_counted() -> None:
    """The number of valid orders of a small published graph, counted by brute force over subsets
    here, is what networkx counts too."""
    instance = next(param.values[0] for param in INSTANCES if param.id == "order-line-8")
    graph = graph_of(instance)  # type: ignore[arg-type]
    theirs = sum(1 for _ in nx.all_topological_sorts(their_graph(graph)))
    ways = {frozenset(): 1}
    for size in range(len(graph.nodes)):
        for subset in combinations(graph.nodes, size):
            done = frozenset(subset)
            for node in graph.ready(done) if done in ways else ():
                key = done | {node}
                ways[key] = ways.get(key, 0) + ways[done]
    assert ways[frozenset(graph.nodes)] == theirs
