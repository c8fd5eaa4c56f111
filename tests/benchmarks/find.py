"""How a search by measurement holds up among many items: ratios taken in one run.

The same search among 1,000 and among 100,000 items, and a hand-written SQL query over the same
indexes that returns the same rows. Items are drawn from some 300 descriptions of fasteners, one
item in fifty with a piece missing.

Run: python tests/benchmarks/find.py
"""

import random
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from sqlalchemy import text

from stores.handbook.fastener import parse
from stores.handbook.identify import Measurement, identify
from stores.planning.whence import Length, likeliest, reach_mm, whence
from stores.storage import Store, measured, open_store
from stores.storage.measured import MOST
from stores.usecases.context import Context
from stores.usecases.machines import AddMachine, add_machine

THREADS = ("M5", "M6", "M8", "M10", "1/4 BSF", "5/16 BSF", "1/4-26 cycle", "2BA", "1/4-20 UNC")
LENGTHS = (10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 60)
HEADS = ("hex bolt", "cheese head screw", "countersunk screw")
MEASURED = Measurement.read(outside="5.9", pitch="1.0")
LENGTH = 24.8


def build(file: Path, count: int) -> Store:
    """Fill a stores with ``count`` items, four pieces each, by plain inserts."""
    store = open_store(str(file), create=True)
    add_machine(Context(store), AddMachine("Plover"))
    chance = random.Random(count)
    with store.writing() as writer:
        described = [
            writer.description(parse(f"{thread} x {length} {head}"))
            for thread in THREADS
            for length in LENGTHS
            for head in HEADS
        ]
        run = writer.connection.exec_driver_sql
        run("INSERT INTO place (kind, name, key) VALUES ('came with the machine', 'P', 'p')")
        came = run("SELECT max(id) FROM place").scalar()
        run("INSERT INTO assembly (machine_id, name, path) VALUES (1, 'E', 'E')")
        per_step = 4
        for number in range(1, count // per_step + 1):
            run(
                "INSERT INTO act (kind, happened_at, written_at, summary) VALUES "
                "('strip', '2026-01-01', '2026-01-01', 'x')"
            )
            act = number + 1
            run(
                "INSERT INTO step (act_id, machine_id, number, assembly_id, part) "
                "VALUES (?, 1, ?, 1, ?)",
                (act, number, f"part {number}"),
            )
            run(
                "INSERT INTO place (kind, name, key) VALUES ('bag', ?, ?)",
                (f"bag {number}", f"bag {number}"),
            )
            for line in range(1, per_step + 1):
                what = chance.choice(described)
                item = (number - 1) * per_step + line
                run(
                    "INSERT INTO item (act_id, machine_id, step_id, line, description_id, found, "
                    "written) VALUES (?, 1, ?, ?, ?, 4, 'x')",
                    (act, number, line, what),
                )
                missing = int(chance.random() < 0.02)
                run(
                    "INSERT INTO specification (act_id, item_id, description_id, quantity, "
                    "missing) VALUES (?, ?, ?, ?, ?)",
                    (act, item, what, 4 + missing, missing),
                )
                run(
                    "INSERT INTO movement (act_id, item_id, quantity, from_place, from_condition, "
                    "to_place, to_condition) VALUES (?, ?, 4, ?, 'as removed', ?, 'as removed')",
                    (act, item, came, (came or 0) + number),
                )
    with store.engine.connect() as connection:
        connection.exec_driver_sql("ANALYZE")
    return store


def search(store: Store) -> list[int]:
    """Search as the command does."""
    reach = reach_mm(Length(LENGTH).tool, LENGTH)
    span = (round((LENGTH - reach) * 1000), round((LENGTH + reach) * 1000))
    found = identify(MEASURED)
    length = Length(LENGTH)
    with store.reading() as connection:
        threads = [match.thread.designation for match in found.matches]
        known = measured.candidates(connection, threads, span)
        worth = likeliest(found, known, length=length)
        items = measured.joints_of(connection, [each.number for each in worth])
        recorded = measured.items_in_all(connection)
    ranked = whence(found, items, known, recorded, length=length)
    return [joint.item.number for joint in ranked.joints]


def by_hand(store: Store) -> list[int]:
    """The same rows by one hand-written query over the same indexes: joints with a piece lost or
    missing first, then others, with all that is shown of them."""
    found = identify(MEASURED)
    threads = ", ".join(f"'{m.thread.designation}'" for m in found.matches)
    reach = reach_mm(Length(LENGTH).tool, LENGTH)
    low, high = round((LENGTH - reach) * 1000), round((LENGTH + reach) * 1000)
    statement = text(
        "WITH what AS (SELECT id, text FROM description WHERE "
        f"thread IN ({threads}) AND length_um BETWEEN {low} AND {high}), "
        "lost AS (SELECT i.id FROM movement m JOIN place p ON p.id = m.to_place "
        "JOIN item i ON i.id = m.item_id JOIN what w ON w.id = i.description_id "
        f"WHERE p.kind = 'lost' LIMIT {MOST}), "
        "missing AS (SELECT s.item_id AS id FROM what w "
        "JOIN specification s ON s.description_id = w.id "
        f"WHERE s.missing > 0 LIMIT {MOST}), "
        "differs AS (SELECT s.item_id AS id FROM what w "
        "JOIN specification s ON s.description_id = w.id "
        f"WHERE s.differs = 1 LIMIT {MOST}), "
        "ordered AS (SELECT i.id, row_number() OVER (PARTITION BY w.id ORDER BY i.id) AS at "
        "FROM what w JOIN item i ON i.description_id = w.id), "
        f"others AS (SELECT id FROM ordered WHERE at <= {MOST}), "
        "wanted AS (SELECT id FROM lost UNION SELECT id FROM missing UNION "
        "SELECT id FROM differs UNION SELECT id FROM others) "
        "SELECT i.id, d.text, s.quantity, t.number, t.part, a.path, p.name, m.to_condition, "
        "sum(m.quantity) FROM wanted w JOIN item i ON i.id = w.id "
        "JOIN description d ON d.id = i.description_id "
        "JOIN specification s ON s.item_id = i.id JOIN step t ON t.id = i.step_id "
        "JOIN assembly a ON a.id = t.assembly_id JOIN movement m ON m.item_id = i.id "
        "JOIN place p ON p.id = m.to_place GROUP BY i.id"
    )
    with store.reading() as connection:
        return [row[0] for row in connection.execute(statement)]


def in_turn(works: list[Callable[[], object]], runs: int) -> list[float]:
    """Median seconds of each, taken in turn so that a busy machine slows all alike."""
    times: list[list[float]] = [[] for _ in works]
    for _ in range(runs):
        for at, work in enumerate(works):
            begin = time.perf_counter()
            work()
            times[at].append(time.perf_counter() - begin)
    return [statistics.median(each) for each in times]


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        few = build(Path(folder) / "few.db", 1_000)
        many = build(Path(folder) / "many.db", 100_000)
        rows_few, rows_many = search(few), search(many)
        print(f"joints ranked: {len(rows_few)} among 1,000 items, {len(rows_many)} among 100,000")
        assert sorted(by_hand(many)) == sorted(rows_many)
        small, large, hand = in_turn(
            [lambda: search(few), lambda: search(many), lambda: by_hand(many)], 21
        )
        few.close()
        many.close()
    print(f"search among 1,000: {small * 1000:.1f} ms, among 100,000: {large * 1000:.1f} ms")
    print(f"100,000 : 1,000              = {large / small:.2f}   (aim: at most 3)")
    print(f"100,000 : hand-written query = {large / hand:.2f}   (aim: at most 2)")


if __name__ == "__main__":
    main()
