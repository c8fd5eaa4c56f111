"""How the workshop's stock holds up among 20,000 lines: ratios taken in one run.

A search by size against a hand-written SQL query that gives the same rows with all that is shown of
them; and the shopping list over three machines against that of one with as many lines, each short
of pieces that the stock may have.

Run: python tests/benchmarks/stock.py
"""

import random
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from sqlalchemy import text

from stores.handbook.fastener import parse
from stores.storage import Store, open_store
from stores.usecases.context import Context
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.shopping import WhatToBuy, shopping
from stores.usecases.stock import LookAtStock, stock
from stores.usecases.strip import Strip, strip

THREADS = ("M5", "M6", "M8", "M10", "1/4 BSF", "5/16 BSF", "1/4-26 cycle", "2BA", "1/4-20 UNC")
LENGTHS = (10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 60)
HEADS = ("hex bolt", "cheese head screw", "countersunk screw")
LINES = 20_000
STEPS = 60
ASKED = "M8 x 30 hex bolt"


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


def search(store: Store) -> int:
    """Search as the command does."""
    return len(stock(Context(store), LookAtStock(ASKED)).lines)


def by_hand(store: Store) -> int:
    """The same rows by one hand-written query over the same indexes."""
    statement = text(
        "SELECT i.id, i.line, d.text, p.name, p.kind, m.to_condition, sum(m.quantity) "
        "FROM description d JOIN item i ON i.description_id = d.id "
        "JOIN movement m ON m.item_id = i.id JOIN place p ON p.id = m.to_place "
        f"WHERE d.text = '{ASKED}' AND i.step_id IS NULL GROUP BY i.id, p.id, m.to_condition"
    )
    with store.reading() as connection:
        return len(list(connection.execute(statement)))


def median(run: Callable[[], object], times: int = 7) -> float:
    taken = []
    for _ in range(times):
        start = time.process_time()
        run()
        taken.append(time.process_time() - start)
    return statistics.median(taken)


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        with_one = open_store(str(Path(folder) / "one.db"), create=True)
        strip_down(with_one, "Plover", 3 * STEPS, 1)
        fill(with_one, LINES)
        with_three = open_store(str(Path(folder) / "three.db"), create=True)
        for at, machine in enumerate(("Plover", "Finch", "Dunlin")):
            strip_down(with_three, machine, STEPS, at)
        fill(with_three, LINES)
        assert search(with_one) == by_hand(with_one) > 10
        ours, theirs = median(lambda: search(with_one)), median(lambda: by_hand(with_one))
        print(f"a search by size among {LINES:,} lines: {1000 * ours:.1f} ms, "
              f"{ours / theirs:.2f} times a hand-written query (at most 2)")  # fmt: skip
        one = median(lambda: shopping(Context(with_one), WhatToBuy()), 3)
        three = median(lambda: shopping(Context(with_three), WhatToBuy(everywhere=True)), 3)
        print(f"a shopping list over three machines: {1000 * three:.0f} ms, "
              f"{three / one:.2f} times that of one with as many lines (at most 1.5)")  # fmt: skip
        with_one.close()
        with_three.close()


if __name__ == "__main__":
    main()
