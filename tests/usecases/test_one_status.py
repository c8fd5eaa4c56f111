"""Every place that shows how far a step is, or where its pieces are, shows the same.

Random deeds at the bench; after each, the status is compared with what `rows_of_a_rebuild` works
out from the rows of the database alone; after some, every place that shows it with every other.
"""

import random
import re
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import networkx as nx
import pytest
from conftest import Bench, examples
from postgres import copy_of
from rows_of_a_rebuild import Rebuild

from stores import storage
from stores.errors import Refused
from stores.planning.counts import MatterKind
from stores.planning.status import Status
from stores.usecases.context import Context
from stores.usecases.find import Find, find
from stores.usecases.history import audit
from stores.usecases.orders import Buy, PlaceOrder, buy, place_order
from stores.usecases.rebuild import status_on
from stores.usecases.refit import Refit, refit

STEPS = "12345678"
SAFETY = {3}  # the brakes: a second person checks
DEEDS: list[tuple[str, ...]] = [
    ("refit", "STEP", "--anyway", "--as-it-came"),
    ("refit", "STEP", "--as-it-came", "--finger-tight"),
    ("refit", "6", "--as-it-came", "--anyway"),
    ("refit", "5", "--as-it-came", "--anyway", "--finger-tight"),
    ("refit", "ITEM", "-q", "1", "--as-it-came"),
    ("inspect", "STEP", "serviceable"),
    ("inspect", "STEP", "serviceable"),
    ("inspect", "ITEM", "1", "condemned", "bent"),
    ("inspect", "ITEM", "1", "quarantine", "crack?"),
    ("buy", "ITEM"),
    ("buy", "2 M6x25 hex bolt"),
    ("send", "STEP", "--to", "Dyke Plating"),
    ("back", "Dyke Plating", "STEP"),
    ("lose", "ITEM", "-q", "1"),
    ("snag", "STEP", "leak", "weeps"),
    ("snag", "Engine", "damaged", "dent"),
    ("clear", "1", "put right"),
    ("tighten", "STEP"),
    ("sign", "STEP", "J. Teal", "--second"),
    ("clearance", "5", "end float", "--found", "0.1"),
    ("clearance", "5", "end float", "--found", "0.3"),
    ("access", "STEP"),
    ("access", "STEP", "--not"),
    ("before", "1", "4"),
    ("order", "with", "Hollin", "ITEM"),
    ("order", "came", "1"),
    ("order", "cancel", "1", "-n", "dear"),
    ("scrap", "ITEM", "-q", "1"),
    ("recover", "ITEM"),
    ("before", "7", "8"),
    ("came-off", "8.1"),
    ("left-on", "8.1"),
    ("broke", "8.1"),
    ("broke", "5.2"),
    ("refit", "7"),
    ("undo",),
]

OPENINGS: list[list[tuple[str, ...]]] = [
    [("lose", "2.2", "-q", "2"), ("lose", "4.2", "-q", "2")],  # both want the two spares
    [("buy", "2.3"), ("refit", "2", "--as-it-came"), ("snag", "Engine", "damaged", "dent")],
    [],
]
"""What chance seldom does, before it has its turn."""


@pytest.fixture(scope="module")
def stripped(tmp_path_factory: pytest.TempPathFactory) -> Path:
    bench = Bench(tmp_path_factory.mktemp("status") / "stores.db")
    bench("machine", "add", "Orrick Plover")
    bench("strip", "Frame", "engine", "2 M10x80 hex bolt", "2 M10 nut")
    bench("strip", "Engine", "cover", "4 M6x25 hex bolt", "1 gasket")
    bench("strip", "Brakes", "brake plate", "2 of 3 M8x30 hex bolt")
    bench("strip", "Frame", "side cover", "3 M6x25 hex bolt")
    bench("strip", "Engine/Top", "rocker", "2 M8x30 hex bolt")
    bench("strip", "Engine/Top", "cap", "1 M8 nut")
    bench("strip", "Engine", "drain the oil", "--job", "--undo", "fill the oil")
    bench("strip", "Frame", "2 of 3 M8x30 hex bolt, 1 seized")
    bench("figure", "clearance", "5", "end float", "0.05 to 0.15 mm")
    bench("buy", "2 M6x25 hex bolt")
    bench("inspect", "5", "serviceable")
    bench("inspect", "6", "serviceable")
    return bench.file


@pytest.mark.parametrize(
    "seed", [0, 1, *(pytest.param(seed, marks=pytest.mark.slow) for seed in (2, 3))]
)
def test_every_place_shows_the_same(stripped: Path, tmp_path: Path, seed: int) -> None:
    deeds_of(stripped, tmp_path, seed, examples(24, 36))


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4, 9))
def test_every_place_shows_the_same_after_more(stripped: Path, tmp_path: Path, seed: int) -> None:
    deeds_of(stripped, tmp_path, seed, 72)


def deeds_of(stripped: Path, folder: Path, seed: int, count: int) -> None:
    """Do so many deeds, hold the status against the rows after each, the screens after some."""
    bench = Bench(folder / "stores.db")
    copy_of(stripped, bench.file)
    chance, opening = random.Random(seed), OPENINGS[seed % len(OPENINGS)]
    for number in range(count):
        step, line = chance.choice(STEPS), chance.choice("11222")
        words = {"STEP": step, "ITEM": f"{step}.{line}"}
        drawn = opening[number] if number < len(opening) else chance.choice(DEEDS)
        deed = [words.get(word, word) for word in drawn]
        status = bench.type(*deed).status
        assert status in (0, 1)  # a refusal is as good
        if status == 0:
            hold_against_rows(status_of(bench), bench.file)
        if number % 36 == 35 or number == count - 1:
            compare(bench)


def compare(bench: Bench) -> None:
    status = status_of(bench)
    hold_against_rows(status, bench.file)
    states = {number: each.state.value for number, each in status.steps.items()}
    short = sum(each.short for each in status.pieces.values())
    shown_in_plans(bench, status, states)
    shown_on_the_checklist(bench, status, states)
    assert sum(line["quantity"] for line in bench.json("shopping")["lines"]) == short
    left = bench.json("record", "handover")["left"]
    to_buy = [one["quantity"] for one in left["waits"] if one["kind"] == "to buy"]
    assert to_buy == ([short] if short else [])
    unsigned = [one for one in left["waits"] if one["kind"] == "unsigned"]
    assert len(unsigned) == sum(
        any(one.kind == "get signed" for one in each.owes) for each in status.steps.values()
    )
    assert {one["step"] for one in [*left["off"], *left["begun"]]} == {
        number for number, state in states.items() if state in ("waits", "ready")
    }
    shown_when_closing(bench, status)
    with storage.open_store(str(bench.file)) as store:
        context = Context(store)
        for number, each in status.steps.items():
            if not each.on:
                tried(context, status, number)
        shown_where_it_is_short(context, status)


def status_of(bench: Bench) -> Status:
    with storage.open_store(str(bench.file)) as store, store.reading() as connection:
        return status_on(connection, 1)


def hold_against_rows(status: Status, file: Path) -> None:
    """Hold each number and state against what the rows say."""
    rows = Rebuild(file, SAFETY)
    order = list(status.steps)
    graph = rows.graph()
    if nx.is_directed_acyclic_graph(graph):
        assert all(order.index(first) < order.index(then) for first, then in graph.edges)
    else:  # which link gives way is another test's
        assert status.loops
        graph = nx.DiGraph((a, b) for a in status.graph.nodes for b in status.graph.after[a])
        graph.add_nodes_from(order)
    pieces = rows.pieces(order)
    assert set(status.pieces) <= set(pieces)
    for item, mine in pieces.items():
        if item not in status.pieces:  # of the workshop's, and serves nowhere: it is not looked at
            assert (mine.step, mine.left_over) == (0, 0), mine.ref
            continue
        theirs = status.pieces[item]
        for name in COUNTS:
            assert getattr(theirs, name) == getattr(mine, name), (mine.ref, name)
    for number, step in rows.look(order, graph, pieces).items():
        each = status.steps[number]
        assert each.state.value == step.state, number
        assert Counter(one.kind.value for one in each.work) == Counter(step.work), number
        assert [snag.number for snag in each.snags] == step.snags, number
        if (
            number
            in {piece.step for piece in pieces.values() if piece.to_fit} | rows.jobs_to_undo()
        ):
            assert set(each.behind) == step.behind, number
        else:
            assert not each.behind


COUNTS = (
    "to_fit", "to_hand", "spare", "uninspected", "to_repair", "undecided", "away", "on_order",
    "short", "left_over", "finger_tight",
)  # fmt: skip


def shown_in_plans(bench: Bench, status: Status, states: dict[int, str]) -> None:
    plan = bench.json("plan")["steps"]
    assert {each["step"]: each["state"] for each in plan} == states
    for each in plan:
        assert tuple(each["waits_for_steps"]) == status.steps[each["step"]].behind
    today = bench.json("plan", "today")
    assert [each["step"] for each in today["ready"]] == [n for n in states if states[n] == "ready"]
    wanted = Counter(states.values())
    counts = {
        "done": wanted["finished"],
        "open": wanted["on"],
        "ready": wanted["ready"],
        "waits": wanted["waits"],
    }
    for rows in (bench.json("plan", "progress")["assemblies"], bench.json("rebuild", "--summary")):
        assert {name: sum(row[name] for row in rows) for name in counts} == counts
    done, opened, ready, waits = counts.values()
    said = f"{done} done, {opened} on but not finished, {ready} ready, {waits} waiting"
    for command in ("today", "plan", "progress"):
        assert said in " ".join(bench(command).split())
    assert said.replace(" done", " of 8 steps done") in " ".join(
        bench("rebuild", "--summary").split()
    )


def shown_on_the_checklist(bench: Bench, status: Status, states: dict[int, str]) -> None:
    listed = {each["step"]["number"]: each for each in bench.json("rebuild", "--all")}
    assert {number: each["state"] for number, each in listed.items()} == states
    for number, each in listed.items():
        assert each["ready"] == (states[number] == "ready")
        assert each["done"] == (states[number] == "finished")
        assert bool(each["still_to_do"]) == (states[number] == "on")
        for line, piece in zip(each["lines"], status.steps[number].pieces, strict=True):
            for name in ("to_fit", "to_hand", "short", "on_order", "away", "left_over"):
                assert line[name] == getattr(piece, name), (number, name)
            assert any(each["kind"] == "not inspected" for each in line["flags"]) == bool(
                piece.uninspected
            )
    shown = " ".join(bench("rebuild", "--all").split())
    marks = re.findall(r"Step (\d+) [^\[]*? \[(done|ready|WAITS|ON)", shown)
    words = {"finished": "done", "ready": "ready", "waits": "WAITS", "on": "ON"}
    assert {int(number): mark for number, mark in marks} == {
        number: words[state] for number, state in states.items()
    }
    open_steps = [each["step"]["number"] for each in bench.json("rebuild")]
    assert open_steps == [number for number in states if states[number] != "finished"]


def shown_when_closing(bench: Bench, status: Status) -> None:
    matters = bench.json("machine", "close", "--look")["in_the_way"]
    off = [matter for matter in matters if matter["kind"] == "not on"]
    assert len(off) == sum(
        piece.to_fit > piece.stuck or piece.short > 0 for piece in status.pieces.values()
    )
    still_on = [matter for matter in matters if matter["kind"] == "still on"]
    assert len(still_on) == sum(len(piece.item.still_on) for piece in status.pieces.values())
    undone = [matter for matter in matters if matter["kind"] == "not undone"]
    assert len(undone) == sum(
        each.job is not None and not each.job.done for each in status.steps.values()
    )
    assert sum(matter["short"] for matter in off) == sum(
        piece.short for piece in status.pieces.values()
    )
    left = [matter for matter in matters if matter["kind"] == "left over"]
    assert len(left) == sum(piece.left_over > 0 for piece in status.pieces.values())
    finished = all(each.state.value == "finished" for each in status.steps.values())
    if not matters:
        assert finished


def shown_where_it_is_short(context: Context, status: Status) -> None:
    """A search, what a purchase and an order take without a count, and the audit say the same."""
    for piece in status.listed:
        ref, short = piece.item.ref, piece.short
        assert [each.short for each in find(context, Find(ref)).items] == [short], ref
        if not piece.item.step.number:
            continue
        bought, refusal = taken(lambda ref=ref: buy(context, Buy(ref, firm="Hollin", trial=True)))
        assert (bought and bought.quantity) == short, ref
        if refusal is not None:
            assert refusal.fact == "item short of nothing"
            assert refusal.facts["on_order"] == piece.on_order
        ask = PlaceOrder("Hollin", [ref], trial=True)
        placed, refusal = taken(lambda ask=ask: place_order(context, ask))
        assert (placed and sum(line.quantity for line in placed.lines)) == short, ref
        assert refusal is None or refusal.fact == "nothing to order of it"
    counted = audit(context).stocktake
    assert counted is not None
    for piece in status.listed:
        lost = [
            each
            for each in counted.open_matters
            if (each.kind, each.item) == (MatterKind.LOST, piece.item.ref)
        ]
        if lost and piece.item.step.number:
            assert (lost[0].short, lost[0].on_order) == (piece.short, piece.on_order)


def taken(do: Callable[[], Any]) -> tuple[Any, Refused | None]:
    """Return the reply, or 0 and what was refused."""
    try:
        return do(), None
    except Refused as refusal:
        return 0, refusal


def tried(context: Context, status: Status, number: int) -> None:
    """Try to refit a step: it is taken as status says, and what goes before is noted."""
    each = status.steps[number]
    try:
        reply = refit(context, Refit(str(number), trial=True))
    except Refused:
        reply = None
    snags = [one for one in each.before if one.kind.value == "clear"]  # right under it
    assert (reply is None) == bool(each.own or snags), (number, each.blockers)
    if reply is not None:
        assert {one.step for one in reply.not_back_yet} == set(each.behind)
        assert reply.still_to_do_before == each.before
        assert each.state.value == "ready" or each.behind or each.before
