"""How the workshop's stock holds up among 20,000 lines: ratios taken in one run.

A search by size against two hand-written SQL queries: the shortest that knows the lines, and one
that gives what is there now with all that is shown of it, but for who gets it. With nothing kept,
as a new process begins, right after an act, and later. And the shopping list over three machines
against that of one with as many lines, each short of pieces that the stock may have; with nothing
kept, and later.

Run: python tests/benchmarks/stock.py
"""

import random
import statistics
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

from sqlalchemy import text

from stores.handbook.fastener import parse
from stores.storage import Store, open_store
from stores.storage.corrections import FALLEN
from stores.storage.moment import Answers
from stores.usecases.common import WorkSaid
from stores.usecases.context import Context
from stores.usecases.correct import CorrectLine, CorrectStep, correct_line, correct_step
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.mixups import MixPieces, mix
from stores.usecases.places import StowPlaces, stow
from stores.usecases.shopping import WhatToBuy, shopping
from stores.usecases.stock import Enter, LookAtStock, Reserve, enter, reserve, stock
from stores.usecases.strip import Strip, strip

THREADS = ("M5", "M6", "M8", "M10", "1/4 BSF", "5/16 BSF", "1/4-26 cycle", "2BA", "1/4-20 UNC")
LENGTHS = (10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 60)
HEADS = ("hex bolt", "cheese head screw", "countersunk screw")
LINES = 20_000
STEPS = 60


def fill(store: Store, count: int) -> None:
    """Put so many lines into stock, by plain inserts."""
    chance = random.Random(count)
    with store.writing() as writer:
        described = [
            writer.description(parse(f"{thread} x {length} {head}"))
            for thread in THREADS
            for length in LENGTHS
            for head in HEADS
        ]
        run = writer.connection.exec_driver_sql
        places = []
        for drawer in range(1, 101):
            run(
                "INSERT INTO place (kind, name, key) VALUES ('box', ?, ?)",
                (f"drawer {drawer}", f"drawer {drawer}"),
            )
            places.append(run("SELECT max(id) FROM place").scalar())
        run("INSERT INTO place (kind, name, key) VALUES ('already in the workshop', 'h', 'h')")
        had = run("SELECT max(id) FROM place").scalar()
        first = (run("SELECT max(id) FROM item").scalar() or 0) + 1
        act = (run("SELECT max(id) FROM act").scalar() or 0) + 1
        run(
            "INSERT INTO act (kind, happened_at, written_at, summary) VALUES "
            "('stock', '2026-01-01', '2026-01-01', 'x')"
        )
        for line in range(1, count + 1):
            what, item = chance.choice(described), first + line - 1
            run(
                "INSERT INTO item (act_id, machine_id, line, description_id, found, written, words)"
                " VALUES (?, 1, ?, ?, 0, 'x', 'x')",
                (act, line, what),
            )
            run(
                "INSERT INTO specification (act_id, item_id, description_id, quantity) "
                "VALUES (?, ?, ?, 0)",
                (act, item, what),
            )
            run("INSERT INTO kept_spare (act_id, item_id, stock) VALUES (?, ?, 1)", (act, item))
            run(
                "INSERT INTO movement (act_id, item_id, quantity, from_place, from_condition, "
                "to_place, to_condition) VALUES (?, ?, ?, ?, 'new', ?, 'new')",
                (act, item, chance.randint(1, 20), had, chance.choice(places)),
            )
    with store.engine.connect() as connection:
        connection.exec_driver_sql("ANALYZE")


def strip_down(store: Store, machine: str, steps: int, seed: int) -> None:
    """Take so many steps off a machine, each short of pieces."""
    add_machine(Context(store), AddMachine(machine))
    chance = random.Random(seed)
    for step in range(steps):
        lines = [
            f"0 of {chance.randint(1, 8)} {chance.choice(THREADS)} x {chance.choice(LENGTHS)} "
            f"{chance.choice(HEADS)}"
            for _ in range(4)
        ]
        strip(Context(store, machine), Strip("Engine", f"part {step}", lines))


def live(store: Store) -> None:
    """Leave a little of all that a year at the bench leaves: something put right, a stack of shims,
    bags tipped together, work done, a drawer in a cabinet, something kept for a step."""
    context = Context(store)
    strip(context, Strip("Engine", "shimmed", ["0.3, 0.5, 0.1 shims", "2 M6x25 hex bolt"]))
    correct_step(context, CorrectStep("1", part="cover"))
    correct_line(context, CorrectLine("2.1", "7 M6x25 hex bolt"))
    mix(context, MixPieces(["181.1", "181.2"]))
    inspect(context, Inspect("181.3", "serviceable", work=WorkSaid("cleaned")))
    stow(context, StowPlaces(["drawer 1", "drawer 2"], "cabinet", new_place=True))
    had = enter(context, Enter(["200 ml cutting oil", "12 M6x25 hex bolt"], to="drawer 3"))
    reserve(context, Reserve(had.lines[1].item, step=1))


def search(store: Store, asked: str) -> int:
    """Search as the command does."""
    return len(stock(Context(store), LookAtStock(asked)).lines)


def by_hand(store: Store, asked: str) -> int:
    """Ask for what came in of a thing, and where to: the shortest query that knows the lines."""
    with store.reading() as connection:
        return len(list(connection.execute(text(SHORT), {"asked": asked})))


def whole_by_hand(store: Store, asked: str) -> int:
    """Ask for what is there of it now, with all that is shown but for who gets it."""
    with store.reading() as connection:
        rows = connection.execute(text(WHOLE), {"asked": asked})
        return len({row.id for row in rows})


SHORT = (
    "SELECT i.id, i.line, d.text, p.name, p.kind, m.to_condition, sum(m.quantity) "
    "FROM description d JOIN item i ON i.description_id = d.id "
    "JOIN movement m ON m.item_id = i.id JOIN place p ON p.id = m.to_place "
    "WHERE d.text = :asked AND i.step_id IS NULL GROUP BY i.id, p.id, m.to_condition"
)
WHOLE = f"""
WITH lines AS (
  SELECT i.id, i.line, i.unit, i.formerly, d.text FROM description d
  JOIN item i ON i.description_id = d.id
  WHERE d.text = :asked AND i.step_id IS NULL AND i.act_id NOT IN ({FALLEN})),
moved AS (
  SELECT item_id, to_place AS place, to_condition AS condition, quantity
  FROM movement WHERE item_id IN (SELECT id FROM lines) UNION ALL
  SELECT item_id, from_place, from_condition, -quantity
  FROM movement WHERE item_id IN (SELECT id FROM lines))
SELECT l.id, l.line, l.unit, l.formerly, l.text, p.kind, p.name, m.condition, sum(m.quantity),
  (SELECT d.text FROM specification s JOIN description d ON d.id = s.description_id
   WHERE s.item_id = l.id AND s.act_id NOT IN ({FALLEN}) ORDER BY s.id DESC LIMIT 1),
  (SELECT o.name FROM stowing w JOIN place o ON o.id = w.inside_id
   WHERE w.place_id = p.id AND w.act_id NOT IN ({FALLEN}) ORDER BY w.id DESC LIMIT 1),
  (SELECT f.value FROM stock_fact f WHERE f.item_id = l.id AND f.name = 'use by'
   AND f.act_id NOT IN ({FALLEN}) ORDER BY f.id DESC LIMIT 1),
  (SELECT sum(r.quantity) FROM reservation r WHERE r.item_id = l.id
   AND r.act_id NOT IN ({FALLEN}))
FROM lines l JOIN moved m ON m.item_id = l.id JOIN place p ON p.id = m.place
WHERE p.kind IN ('bag', 'box', 'shelf', 'bench')
GROUP BY l.id, p.id, m.condition HAVING sum(m.quantity) <> 0
"""


def median(run: Callable[[], object], times: int = 7) -> float:
    taken = []
    for _ in range(times):
        start = time.process_time()
        run()
        taken.append(time.process_time() - start)
    return statistics.median(taken)


def compare(store: Store) -> None:
    """Print what a search takes beside the queries: as the first of a process, right after an act,
    and when others were asked before it.

    No size is asked twice, so that no answer is kept; each is asked by hand too.
    """
    asks = [
        f"{thread} x {length} {head}"
        for thread in THREADS
        if thread.startswith("M")
        for length in LENGTHS
        for head in HEADS
    ]
    random.Random(1).shuffle(asks)
    taken: dict[str, list[float]] = {}

    def timed(name: str, way: Callable[[Store, str], int], asked: str) -> int:
        start = time.process_time()
        count = way(store, asked)
        taken.setdefault(name, []).append(time.process_time() - start)
        return count

    searches = {"nothing kept": forget, "right after an act": deed, "later": None}
    for at, asked in enumerate(asks[:96]):
        name, before = list(searches.items())[at // 8 % 3]
        if before is not None:
            before(store)
        counts = {
            timed(name, search, asked),
            timed("short", by_hand, asked),
            timed("whole", whole_by_hand, asked),
        }
        assert len(counts) == 1, (asked, counts)
    each = {name: 1000 * statistics.median(times) for name, times in taken.items()}
    print(f"a size among {LINES:,} lines of stock, by the shortest query there is: "
          f"{each['short']:.1f} ms, with all that is shown: {each['whole']:.1f} ms")  # fmt: skip
    for name in searches:
        times = f"{each[name] / each['short']:.1f} times the short query, "
        times += f"{each[name] / each['whole']:.1f} times the whole one (at most 2)"
        print(f"search, {name}: {each[name]:.1f} ms, {times}")


def forget(store: Store) -> None:
    """Begin as a new process does."""
    store.answers = Answers()


def deed(store: Store) -> None:
    """Put something into stock, which is an act."""
    enter(Context(store), Enter(["1 M5 nut"], to="drawer 1"))


def listed(store: Store, *, kept: bool) -> int:
    """Draw up the shopping list over all machines of a stores, with nothing kept or with all."""
    if not kept:
        store.answers = Answers()
    return len(shopping(Context(store), WhatToBuy(everywhere=True)).lines)


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        with_one = open_store(str(Path(folder) / "one.db"), create=True)
        strip_down(with_one, "Plover", 3 * STEPS, 1)
        fill(with_one, LINES)
        with_three = open_store(str(Path(folder) / "three.db"), create=True)
        for at, machine in enumerate(("Plover", "Finch", "Dunlin")):
            strip_down(with_three, machine, STEPS, at)
        fill(with_three, LINES)
        live(with_one)
        compare(with_one)
        for kept in (False, True):
            one, three = (
                median(partial(listed, each, kept=kept), 3) for each in (with_one, with_three)
            )
            print(f"a shopping list over three machines, {'again' if kept else 'anew'}: "
                  f"{1000 * three:.0f} ms, {three / one:.2f} times that of one with as many lines "
                  "(at most 1.5)")  # fmt: skip
        with_one.close()
        with_three.close()


if __name__ == "__main__":
    main()
