"""Every place that shows how far a step is, or where its pieces are, shows the same.

Random deeds at the bench; after each few, every place is compared with every other, and with a
reckoning of its own: what is ready from the holdings and from the ancestors in networkx's graph.
"""

import random
import re
import shutil
from collections import Counter
from pathlib import Path

import networkx as nx
import pytest
from conftest import Bench

from stores.errors import Refused
from stores.model.ledger import Condition
from stores.planning.status import Status, is_safety
from stores.storage import open_store
from stores.usecases.context import Context
from stores.usecases.rebuild import status_on
from stores.usecases.refit import Refit, refit

STEPS = "12345678"
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
    ("snag", "Engine", "fault", "dent"),
    ("clear", "1", "put right"),
    ("tighten", "STEP"),
    ("sign", "STEP", "J. Teal", "--second"),
    ("clearance", "5", "end float", "--found", "0.1"),
    ("clearance", "5", "end float", "--found", "0.3"),
    ("access", "STEP"),
    ("before", "1", "4"),
    ("before", "7", "8"),
    ("came-off", "8.1"),
    ("left-on", "8.1"),
    ("broke", "8.1"),
    ("broke", "5.2"),
    ("refit", "7"),
    ("undo",),
]


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
    bench("clearance", "5", "end float", "0.05 to 0.15 mm")
    bench("inspect", "5", "serviceable")
    bench("inspect", "6", "serviceable")
    return bench.file


@pytest.mark.parametrize("seed", range(3))
def test_every_place_shows_the_same(stripped: Path, tmp_path: Path, seed: int) -> None:
    bench = Bench(tmp_path / "stores.db")
    shutil.copy(stripped, bench.file)
    chance = random.Random(seed)
    for _ in range(14):
        step, line = chance.choice(STEPS), chance.choice("11112")
        words = {"STEP": step, "ITEM": f"{step}.{line}"}
        deed = [words.get(word, word) for word in chance.choice(DEEDS)]
        assert bench.type(*deed).status in (0, 1)  # a refusal is as good
    compare(bench)


def compare(bench: Bench) -> None:
    with open_store(str(bench.file)) as store, store.reading() as connection:
        status = status_on(connection, 1)
    reckon(status)
    states = {number: each.state.value for number, each in status.steps.items()}
    short = sum(each.short for each in status.pieces.values())
    shown_in_plans(bench, status, states)
    shown_on_the_checklist(bench, status, states)
    assert sum(line["quantity"] for line in bench.json("shopping")["lines"]) == short
    lists = bench.json("handover")["lists"]
    to_buy = [line for line in lists["Waits"] if "to buy" in line]
    assert [int(line.split()[0]) for line in to_buy] == ([short] if short else [])
    unsigned = [line for line in lists["Waits"] if "no second check" in line]
    assert len(unsigned) == sum(
        any(one.kind == "get signed" for one in each.owes) for each in status.steps.values()
    )
    steps_off = [*lists["Off"], *lists["Begun and not finished"]]
    assert {int(line.split()[1]) for line in steps_off} == {
        number for number, state in states.items() if state in ("waits", "ready")
    }
    shown_when_closing(bench, status)
    with open_store(str(bench.file)) as store:
        for number, each in status.steps.items():
            if not each.on:
                tried(Context(store), status, number)


def reckon(status: Status) -> None:
    """Reckon the states anew: from the graph with networkx, and from the holdings."""
    graph = nx.DiGraph()
    graph.add_nodes_from(status.steps)
    graph.add_edges_from((a, b) for a in status.graph.nodes for b in status.graph.after[a])
    on = {
        number
        for number, each in status.steps.items()
        if all(piece.item.fitted >= piece.item.wanted for piece in each.pieces)
        and (each.job is None or each.job.done)
    }
    order = list(status.steps)
    assert all(order.index(a) < order.index(b) for a, b in graph.edges)
    for number, each in status.steps.items():
        bare = nx.ancestors(graph, number) - on
        assert bool(each.behind) == bool(bare - {number}) or number in on
        assert set(each.behind) <= bare
        to_hand = all(
            piece.item.in_hand(
                Condition.NEW,
                *(
                    ()
                    if piece.item.renew or piece.item.wrong
                    else (Condition.SERVICEABLE, Condition.AS_REMOVED)
                    if each.notes.access_only
                    else (Condition.SERVICEABLE,)
                ),
            )
            + piece.spare
            >= piece.item.wanted - piece.item.fitted
            for piece in each.pieces
        ) and not any(piece.item.stuck for piece in each.pieces if piece.to_fit)
        owing = any(status.steps[first].owes for first in graph.predecessors(number) if first in on)
        ready = number not in on and to_hand and not bare and not owing and not each.snags
        assert (each.state.value == "ready") == ready
        signed = any(one.role.value == "second person" for one in each.notes.signatures)
        finished = (
            number in on
            and not each.snags
            and all(point.within for point in each.notes.points)
            and not any(piece.finger_tight for piece in each.pieces)
            and (signed or not is_safety(each.cautions))
        )
        assert (each.state.value == "finished") == finished


def shown_in_plans(bench: Bench, status: Status, states: dict[int, str]) -> None:
    plan = bench.json("plan")["steps"]
    assert {each["step"]: each["state"] for each in plan} == states
    for each in plan:
        assert tuple(each["waits_for_steps"]) == status.steps[each["step"]].behind
    today = bench.json("today")
    assert [each["step"] for each in today["ready"]] == [n for n in states if states[n] == "ready"]
    wanted = Counter(states.values())
    counts = {
        "done": wanted["finished"],
        "open": wanted["on"],
        "ready": wanted["ready"],
        "waits": wanted["waits"],
    }
    for rows in (bench.json("progress")["assemblies"], bench.json("rebuild", "--summary")):
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
            assert ("not inspected" in line["flags"]) == bool(piece.uninspected)
    shown = " ".join(bench("rebuild", "--all").split())
    marks = re.findall(r"Step (\d+) [^\[]*? \[(done|ready|WAITS|ON)", shown)
    words = {"finished": "done", "ready": "ready", "waits": "WAITS", "on": "ON"}
    assert {int(number): mark for number, mark in marks} == {
        number: words[state] for number, state in states.items()
    }
    open_steps = [each["step"]["number"] for each in bench.json("rebuild")]
    assert open_steps == [number for number in states if states[number] != "finished"]


def shown_when_closing(bench: Bench, status: Status) -> None:
    matters = bench.json("close", "--look")["in_the_way"]
    off = [matter for matter in matters if matter.startswith("not on the machine")]
    assert len(off) == sum(
        piece.to_fit > piece.stuck or piece.short > 0 for piece in status.pieces.values()
    )
    still_on = [matter for matter in matters if matter.startswith("still on the machine")]
    assert len(still_on) == sum(len(piece.item.still_on) for piece in status.pieces.values())
    undone = [matter for matter in matters if matter.startswith("not undone yet")]
    assert len(undone) == sum(
        each.job is not None and not each.job.done for each in status.steps.values()
    )
    assert sum(int(n) for n in re.findall(r", (\d+) to buy", " ".join(off))) == sum(
        piece.short for piece in status.pieces.values()
    )
    left = [matter for matter in matters if matter.startswith("left over")]
    assert len(left) == sum(piece.left_over > 0 for piece in status.pieces.values())
    finished = all(each.state.value == "finished" for each in status.steps.values())
    if not matters:
        assert finished


def tried(context: Context, status: Status, number: int) -> None:
    """Try to refit a step: it is taken as status says, and what goes before is noted."""
    each = status.steps[number]
    try:
        reply = refit(context, Refit(str(number), trial=True))
    except Refused:
        reply = None
    assert (reply is None) == bool(each.own), (number, each.blockers)
    if reply is not None:
        assert {one.step for one in reply.not_back_yet} == set(each.behind)
        assert reply.still_to_do_before == tuple(one.said for one in each.before)
        assert each.state.value == "ready" or each.behind or each.before
