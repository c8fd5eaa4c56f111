"""How long a plan takes, beside networkx: topological sort and longest path of the same graph.

    python tests/benchmarks/plan.py

Prints ratios taken in one run; nothing depends on them.
"""

import random
import time
from collections.abc import Callable
from statistics import median

import networkx as nx

from stores.model.items import Step
from stores.planning.order import Graph, Said, derive, open_loops
from stores.planning.timing import one_pair_of_hands, times

STEPS, LINKS = 10_000, 30_000


def timed(work: Callable[[], object], runs: int = 7) -> float:
    """Give the median time of a piece of work, in seconds."""
    taken = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return median(taken)


def main() -> None:
    """Measure and print."""
    chance = random.Random(20)
    pairs: set[tuple[int, int]] = set()
    while len(pairs) < LINKS:
        a, b = sorted(chance.sample(range(STEPS), 2))
        if b - a <= 200:
            pairs.add((b, a))
    takes = {node: float(chance.randint(10, 90)) for node in range(STEPS)}
    comes = {node: float(chance.randint(0, 20_000)) for node in chance.sample(range(STEPS), 300)}
    links = sorted(pairs)

    theirs = nx.DiGraph()
    theirs.add_nodes_from(range(STEPS))
    theirs.add_edges_from((a, b, {"weight": takes[a]}) for a, b in links)

    def bare() -> None:
        list(nx.topological_sort(theirs))
        nx.dag_longest_path(theirs)

    def plan() -> None:
        graph = Graph(range(STEPS), links)
        graph.order(lambda number: -number)
        times(graph, takes)

    def more() -> None:
        graph = Graph(range(STEPS), links)
        graph.loops()
        times(graph, takes, comes)
        one_pair_of_hands(graph, takes, comes, rank=lambda number: -number)

    reference = timed(bare)
    print(f"{STEPS} steps, {LINKS} links, medians of 7, against networkx (sort + longest path):")
    print(f"  order, earliest and latest times, slack   {timed(plan) / reference:5.2f}")
    print(f"  loops, times with promised dates, bars    {timed(more) / reference:5.2f}")

    steps = [
        Step(number, "", f"{chance.choice('ABCDE')} / {chance.choice('abcdef')}", "cover")
        for number in range(1, 301)
    ]
    said = [Said(a, b, free=True) for a, b in (chance.sample(range(1, 301), 2) for _ in range(30))]

    def replan() -> None:
        kept, _ = open_loops(derive(steps, [*said, Said(100, 200)]).links)
        graph = Graph([step.number for step in steps], [(x.first, x.then) for x in kept])
        graph.order(lambda number: -number)
        times(graph, takes)

    print(f"a machine of 300 steps planned anew with one word more: {timed(replan) * 1000:.1f} ms")


if __name__ == "__main__":
    main()
