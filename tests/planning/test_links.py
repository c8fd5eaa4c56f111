"""Which step goes back on before which."""

from itertools import combinations

import networkx as nx
from hypothesis import given
from hypothesis import strategies as st

from stores.model.items import Step
from stores.planning.order import Graph, LinkReason, Said, derive

ASSEMBLIES = ("Frame", "Engine", "Engine / Clutch", "Engine / Top", "Engine / Top / Valves")


def step(number: int, assembly: str, part: str = "cover") -> Step:
    return Step(number, "Plover", assembly, part)


def closure(derived: object, steps: list[Step]) -> set[tuple[int, int]]:
    graph = Graph([one.number for one in steps], derived.pairs())  # type: ignore[attr-defined]
    return {(a, b) for a in graph.nodes for b in graph.all_after(a)}


def full(steps: list[Step]) -> set[tuple[int, int]]:
    """Every pair that the rule puts in order, without leaving any out: the later one off first,
    where one's assembly is the other's or lies in it; and what follows from those."""

    def path(one: Step) -> list[str]:
        return one.assembly.split(" / ")

    pairs = [
        (later.number, earlier.number)
        for earlier, later in combinations(sorted(steps, key=lambda one: one.number), 2)
        if all(a == b for a, b in zip(path(earlier), path(later), strict=False))
    ]
    graph = nx.DiGraph()
    graph.add_nodes_from(one.number for one in steps)
    graph.add_edges_from(pairs)
    return set(nx.transitive_closure(graph).edges)


@st.composite
def strip_downs(draw: st.DrawFn) -> list[Step]:
    names = draw(st.lists(st.sampled_from(ASSEMBLIES), min_size=1, max_size=14))
    return [step(number, name) for number, name in enumerate(names, 1)]


@given(strip_downs())
def test_the_few_links_say_as_much_as_all_pairs(steps: list[Step]) -> None:
    derived = derive(steps)
    assert closure(derived, steps) == full(steps)
    assert len(derived.links) <= len(steps) * len(ASSEMBLIES)


@given(strip_downs(), st.data())
def test_letting_pairs_go_takes_away_those_and_nothing_else(
    steps: list[Step], data: st.DataObject
) -> None:
    """The relation without the pairs let go, where no third step still lies between."""
    numbers = [one.number for one in steps]
    pairs = [(a, b) for a, b in combinations(numbers, 2)]
    if not pairs:
        return
    words = [
        Said(a, b, free=True) for a, b in data.draw(st.lists(st.sampled_from(pairs), max_size=4))
    ]
    derived = derive(steps, words)
    let_go = {frozenset((word.first, word.then)) for word in words}
    rest = {pair for pair in full(steps) if frozenset(pair) not in let_go}
    expected = set(nx.transitive_closure(nx.DiGraph(rest)).edges) if rest else set()
    assert closure(derived, steps) == expected
    left = {frozenset(pair) for pair in expected}
    assert {frozenset((word.first, word.then)) for word in derived.idle} == let_go & left


@given(strip_downs())
def test_strict_order_is_the_plain_reverse(steps: list[Step]) -> None:
    graph = Graph([one.number for one in steps], derive(steps, strict=True).pairs())
    backwards = sorted((one.number for one in steps), reverse=True)
    assert graph.order(lambda number: number) == backwards


def test_an_engine_is_built_before_it_goes_back_and_what_came_off_in_place_after() -> None:
    """Worked by hand: the carburettor (1) came off the engine in the frame, then the engine (2),
    then on the bench its cover (3) and its barrel (4)."""
    steps = [
        step(1, "Engine", "carburettor"),
        step(2, "Frame", "engine unit"),
        step(3, "Engine", "cover"),
        step(4, "Engine / Top", "barrel"),
        step(5, "Frame", "engine bolts"),
    ]
    derived = derive(steps)
    assert {(4, 3), (3, 2), (4, 2), (2, 1), (5, 2)} <= closure(derived, steps)
    assert (5, 4) not in closure(derived, steps)  # the frame's bolts do not wait for the barrel
    because = {(link.first, link.then): link.because for link in derived.links}
    assert because[4, 2] == LinkReason.BUILT or because[3, 2] == LinkReason.BUILT


def test_a_step_for_access_goes_back_after_what_it_made_way_for() -> None:
    steps = [step(1, "Frame", "footrest"), step(2, "Engine", "cover"), step(3, "Wheels", "wheel")]
    assert closure(derive(steps), steps) == set()
    assert derive(steps, access={1: None}).pairs() == [(2, 1)]
    assert derive(steps, access={1: 3}).pairs() == [(3, 1)]
    assert derive(steps, access={3: None}).pairs() == []  # nothing came off after it


def test_a_persons_word_turns_a_pair_round_and_nothing_else() -> None:
    steps = [step(number, "Engine") for number in (1, 2, 3, 4)]
    derived = derive(steps, [Said(2, 3, reason="the seal must see oil")])
    assert Graph([1, 2, 3, 4], derived.pairs()).order(lambda number: -number) == [4, 2, 3, 1]
    said = next(link for link in derived.links if link.because is LinkReason.SAID)
    assert said.reason == "the seal must see oil"


def test_a_word_against_two_links_is_a_ring() -> None:
    steps = [step(number, "Engine") for number in (1, 2, 3)]
    assert Graph([1, 2, 3], derive(steps, [Said(1, 3)]).pairs()).loops() == [[1, 2, 3]]


def test_what_was_said_of_steps_no_longer_there_is_left_out() -> None:
    steps = [step(1, "Engine"), step(3, "Engine")]
    assert derive(steps, [Said(2, 3), Said(1, 1)]).pairs() == [(3, 1)]
