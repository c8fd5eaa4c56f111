"""What a page in a browser waits for: the use-cases behind it, in one process, loaded and warm.

A record of 2,000 lines on one machine, half way through its rebuild, with stock, orders, snags,
torques and pictures; and one of 20,000 lines in bags. Processor time of this process, medians, so
that a busy machine counts for little; the first time round loads modules and is not counted.

* **anew**: the first answer of all, when nothing of an older answer serves.
* **after an act**: asked right after a line was inspected, a step refitted or the last act undone.
* **again**: asked while nothing was written since, of this or of another page of the machine.

A bag is given as so many times a bare query in SQL: the shortest that knows its lines, and one that
gives all that its page shows.

Run: python tests/benchmarks/pages.py
"""

import random
import statistics
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from sqlalchemy import text

from stores import bagcode
from stores.handbook.fastener import parse
from stores.model.ledger import PlaceKind
from stores.storage import Store, open_store
from stores.storage.corrections import FALLEN
from stores.storage.moment import Answers
from stores.text import fold
from stores.usecases.assembling import SetPoint, set_point
from stores.usecases.context import Context
from stores.usecases.correct import (
    CorrectLine,
    CorrectStep,
    JoinSteps,
    correct_line,
    correct_step,
    join_steps,
)
from stores.usecases.desk import at_a_look
from stores.usecases.find import Find, find
from stores.usecases.history import Undo, undo
from stores.usecases.inspect import Inspect, inspect
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.mixups import MixPieces, mix
from stores.usecases.next_step import OneStep, step_at_hand
from stores.usecases.orders import PlaceOrder, place_order
from stores.usecases.places import StowPlaces, stow
from stores.usecases.rebuild import (
    ListSteps,
    LookAhead,
    ahead,
    checklist,
    going,
    listed_steps,
    summary,
    work_today,
)
from stores.usecases.refit import Refit, refit
from stores.usecases.renewals import AlwaysRenew, always_renew
from stores.usecases.shopping import WhatToBuy, shopping
from stores.usecases.snags import RecordSnag, record_snag
from stores.usecases.stock import Enter, enter
from stores.usecases.work_units import SetUnits, set_units
from stores.web.server import settle

LINES = 2_000
BAGGED = 20_000
PER_STEP = 4
STEPS_LEFT = 2 * LINES // PER_STEP // 3
"""The steps before this one are still to go back on."""
THREADS = ("M5", "M6", "M8", "M10", "1/4 BSF", "5/16 BSF", "1/4-26 cycle", "2BA", "1/4-20 UNC")
LENGTHS = (10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 60)
HEADS = ("hex bolt", "cheese head screw", "countersunk screw")
OTHERS = ("gasket", "M6 plain washer", "M8 spring washer", "M6 nut", "distance piece", "clamp")
ASSEMBLIES = (
    "Engine", "Engine / Top end", "Engine / Clutch", "Gearbox", "Front brake", "Rear brake",
    "Frame", "Fork", "Electrics", "Fuel tank", "Front wheel", "Exhaust",
)  # fmt: skip
PARTS = ("cover", "bracket", "housing", "plate", "end cap", "lever", "spindle", "guard")


class _Rows:
    """Rows written by plain inserts, as the bench would have written them one act at a time."""

    def __init__(self, connection: Any) -> None:
        self.run = connection.exec_driver_sql

    def add(self, table: str, **values: object) -> int:
        """Insert a row and return its number."""
        names, marks = ", ".join(values), ", ".join("?" * len(values))
        made = self.run(
            f"INSERT INTO {table} ({names}) VALUES ({marks})", tuple(values.values())
        ).lastrowid
        return int(made)

    def act(self, kind: str) -> int:
        """Begin an act."""
        return self.add(
            "act", kind=kind, happened_at="2026-03-01", written_at="2026-03-01T10:00:00+00:00",
            summary=kind, reason="",
        )  # fmt: skip

    def move(self, act: int, item: int, count: int, **ends: Any) -> None:
        """Move pieces: ``of`` a place and condition ``to`` a place and condition."""
        (place, condition), (to, then) = ends["of"], ends["to"]
        self.add(
            "movement", act_id=act, item_id=item, quantity=count, from_place=place,
            from_condition=condition, to_place=to, to_condition=then,
        )  # fmt: skip


def build(file: Path, count: int) -> Store:
    """Fill a stores with ``count`` lines, four to a step and a bag to each: a third of the steps
    are inspected, a third back on, one line in fifteen short; a picture for every other step."""
    store = open_store(str(file), create=True)
    add_machine(Context(store), AddMachine("Orrick Plover"))
    chance = random.Random(count)
    steps = count // PER_STEP
    with store.writing() as writer:
        rows = _Rows(writer.connection)
        texts = [f"{t} x {long} {head}" for t in THREADS for long in LENGTHS for head in HEADS]
        things = [parse(each) for each in (*texts, *OTHERS)]
        described = [(writer.description(each), each.spec) for each in things]
        came = writer.place_of_machine(PlaceKind.CAME, 1).number
        fitted = writer.place_of_machine(PlaceKind.MACHINE, 1).number
        assemblies: dict[str, int] = {}
        for path in ASSEMBLIES:
            above, _, name = path.rpartition(" / ")
            assemblies[path] = rows.add(
                "assembly", machine_id=1, name=name, path=path, parent_id=assemblies.get(above)
            )
        for number in range(1, steps + 1):
            path, part = ASSEMBLIES[number * len(ASSEMBLIES) // (steps + 1)], chance.choice(PARTS)
            act = rows.act("strip")
            step = rows.add(
                "step", act_id=act, machine_id=1, number=number, assembly_id=assemblies[path],
                part=f"{part} {number}", note="", hazard="",
            )  # fmt: skip
            code = bagcode.nth(number)
            bag = rows.add("place", kind="bag", name=code, key=fold(code))
            items = []
            for line in range(1, PER_STEP + 1):
                what, words = chance.choice(described)
                short = int(chance.random() < 0.07)
                item = rows.add(
                    "item", act_id=act, machine_id=1, step_id=step, line=line,
                    description_id=what, found=4 - short, written=f"4 {words}", position="",
                    words=fold(f"{words} 4 {words} {part} {number} {path}"), unit="", formerly="",
                )  # fmt: skip
                rows.add(
                    "specification", act_id=act, item_id=item, description_id=what, quantity=4,
                    missing=short,
                )  # fmt: skip
                rows.move(act, item, 4 - short, of=(came, "as removed"), to=(bag, "as removed"))
                items.append((item, 4 - short))
            if number % 2:
                picture = rows.add(
                    "picture", act_id=act, machine_id=1, number=number, digest=f"{number:064x}",
                    name=f"p{number}.jpg", width=4000, height=3000, format="JPEG", size=3_000_000,
                )  # fmt: skip
                rows.add("filing", act_id=act, picture_id=picture, step_id=step, how="by hand")
            if number % 3 != 1:
                act = rows.act("inspect")
                for item, pieces in items:
                    rows.add(
                        "finding", act_id=act, item_id=item, quantity=pieces,
                        condition="serviceable", reason="",
                    )  # fmt: skip
                    rows.move(
                        act, item, pieces, of=(bag, "as removed"), to=(bag, "serviceable")
                    )  # fmt: skip
            if number > 2 * steps / 3 and number % 3 != 1:
                act = rows.act("refit")
                for item, pieces in items:
                    rows.move(
                        act, item, pieces, of=(bag, "serviceable"), to=(fitted, "serviceable")
                    )
    return store


def furnish(store: Store) -> None:
    """Add what a rebuild has besides its lines: stock, an order, snags, torques, clearances."""
    context = Context(store)
    lines = [
        f"{6 + at} {thread} x {long} {head}"
        for at, (thread, long, head) in enumerate(
            (thread, long, head) for thread in THREADS[:4] for long in LENGTHS[:6] for head in HEADS
        )
    ]
    enter(context, Enter(lines, to="bench"))
    place_order(context, PlaceOrder("Hollin", ["20 M10 x 60 hex bolt", "10 2BA x 60 hex bolt"],
                                    promised="2027-03-01", new_firm=True))  # fmt: skip
    for at in range(20):
        record_snag(context, RecordSnag(ASSEMBLIES[at % len(ASSEMBLIES)], "leak", f"weeps {at}"))
    for at in range(10):
        set_point(context, SetPoint(str(5 + 9 * at), "end float", "0.05 to 0.15 mm"))


def lived_in(store: Store) -> None:
    """Add what a year of work leaves in any record: bags in boxes, slips put right, bags tipped
    together, choices, acts undone."""
    context = Context(store)
    for at in range(20):
        bags = [bagcode.nth(10 + 40 * at + each) for each in range(10)]
        stow(context, StowPlaces(bags, f"box {at + 1}", new_place=True))
    stow(context, StowPlaces([f"box {at + 1}" for at in range(20)], "shelf 1", new_place=True))
    for at in range(12):
        correct_step(context, CorrectStep(str(100 + at), note=f"seen late {at}"))
        correct_line(context, CorrectLine(f"{130 + at}.1", position=f"hole {at}"))
    for at in range(4):
        correct_line(context, CorrectLine(f"{160 + at}.4", to_step=str(170 + at), pieces_too=True))
        mix(context, MixPieces([bagcode.nth(400 + 2 * at), bagcode.nth(401 + 2 * at)]))
    join_steps(context, JoinSteps("180", "181"))
    always_renew(context, AlwaysRenew("gasket", "ours"))
    always_renew(context, AlwaysRenew("190.1", "worn"))
    set_units(context, SetUnits("imperial"))
    for step in (1, 4):
        inspect(context, Inspect(f"{step}.1", "serviceable"))
        undo(context, Undo())


def short_query(store: Store, code: str) -> int:
    """The shortest query that knows the lines in a bag and those of their steps: as they were
    written, with nothing of what was put right or undone since, no verdicts, no outer places."""
    statement = text(
        "WITH inside AS (SELECT DISTINCT i.step_id FROM place p "
        "JOIN movement m ON m.to_place = p.id JOIN item i ON i.id = m.item_id "
        "WHERE p.kind = 'bag' AND p.key = :key), "
        "beside AS (SELECT i.* FROM inside n JOIN item i ON i.step_id = n.step_id), "
        f"{MOVED} SELECT b.id, b.line, d.text, s.quantity, t.number, t.part, t.note, t.hazard, "
        "a.path, p.kind, p.name, m.state, sum(m.n), (SELECT group_concat(c.number) FROM filing f "
        "JOIN picture c ON c.id = f.picture_id WHERE f.step_id = t.id) "
        "FROM beside b JOIN description d ON d.id = b.description_id "
        "JOIN specification s ON s.item_id = b.id JOIN step t ON t.id = b.step_id "
        "JOIN assembly a ON a.id = t.assembly_id JOIN moved m ON m.item_id = b.id "
        "JOIN place p ON p.id = m.place GROUP BY b.id, p.id, m.state HAVING sum(m.n) > 0"
    )
    with store.reading() as connection:
        return len(connection.execute(statement, {"key": fold(code)}).all())


def whole_query(store: Store, code: str) -> int:
    """One query that gives what a bag's page shows of it: as it reads now, with what was put right
    and without what was undone, with verdicts, mix-ups, pictures, and what its place sits in."""
    with store.reading() as connection:
        return len(connection.execute(text(WHOLE), {"key": fold(code)}).all())


MOVED = (
    "moved AS (SELECT m.item_id, m.to_place AS place, m.to_condition AS state, m.quantity AS n "
    "FROM beside b JOIN movement m ON m.item_id = b.id UNION ALL "
    "SELECT m.item_id, m.from_place, m.from_condition, -m.quantity "
    "FROM beside b JOIN movement m ON m.item_id = b.id)"
)


def _stands(row: str) -> str:
    return f"{row}.act_id NOT IN (SELECT act FROM gone)"


def _now(subject: str, number: str, field: str, kind: str = "text") -> str:
    return (
        f"(SELECT c.{kind} FROM correction c WHERE c.subject = '{subject}' AND c.subject_id = "
        f"{number} AND c.field = '{field}' AND {_stands('c')} ORDER BY c.id DESC LIMIT 1)"
    )


def _inside(place: str) -> str:
    return (
        f"(SELECT w.inside_id FROM stowing w WHERE w.place_id = {place} AND {_stands('w')} "
        "ORDER BY w.id DESC LIMIT 1)"
    )


WHOLE = f"""
WITH gone AS MATERIALIZED ({FALLEN}),
held AS (
  SELECT i.id, coalesce({_now("item", "i.id", "step_id", "number")}, i.step_id) AS step
  FROM place p JOIN movement m ON m.to_place = p.id JOIN item i ON i.id = m.item_id
  WHERE p.kind = 'bag' AND p.key = :key),
of AS (SELECT DISTINCT coalesce({_now("step", "h.step", "joined", "number")}, h.step) AS step
  FROM held h),
rows AS (
  SELECT step AS id FROM of UNION
  SELECT c.subject_id FROM correction c JOIN of ON c.number = of.step
  WHERE c.subject = 'step' AND c.field = 'joined'),
maybe AS (
  SELECT i.id FROM item i JOIN rows r ON i.step_id = r.id
  UNION SELECT c.subject_id FROM correction c JOIN rows r ON c.number = r.id
  WHERE c.subject = 'item' AND c.field = 'step_id'),
beside AS (
  SELECT i.id, i.found, i.unit, i.machine_id,
    coalesce({_now("item", "i.id", "line", "number")}, i.line) AS line,
    coalesce({_now("item", "i.id", "written")}, i.written) AS written,
    coalesce({_now("item", "i.id", "position")}, i.position) AS position,
    coalesce({_now("item", "i.id", "description_id", "number")}, i.description_id) AS what,
    coalesce({_now("item", "i.id", "step_id", "number")}, i.step_id) AS step
  FROM maybe y JOIN item i ON i.id = y.id
  WHERE {_stands("i")} AND {_now("item", "i.id", "joined", "number")} IS NULL
    AND {_now("item", "i.id", "dropped", "number")} IS NULL),
{MOVED}
SELECT b.id, b.line, b.written, b.position, b.found, d.text,
  (SELECT e.text || s.quantity || s.renew FROM specification s
   JOIN description e ON e.id = s.description_id
   WHERE s.item_id = b.id AND {_stands("s")} ORDER BY s.id DESC LIMIT 1),
  (SELECT group_concat(f.quantity || f.condition || f.reason) FROM finding f
   WHERE f.item_id = b.id AND {_stands("f")}),
  (SELECT count(*) FROM mix_up_line x JOIN mix_up u ON u.id = x.mix_up_id
   WHERE x.item_id = b.id AND {_stands("u")}),
  t.number, coalesce({_now("step", "t.id", "part")}, t.part),
  coalesce({_now("step", "t.id", "note")}, t.note),
  coalesce({_now("step", "t.id", "hazard")}, t.hazard),
  coalesce({_now("step", "t.id", "happened_at")}, k.happened_at),
  coalesce({_now("assembly", "a.id", "path")}, a.path),
  coalesce({_now("machine", "n.id", "name")}, n.name),
  p.kind, p.name, o.name, (SELECT q.name FROM place q WHERE q.id = {_inside("o.id")}),
  m.state, sum(m.n),
  (SELECT group_concat(c.number) FROM filing f JOIN picture c ON c.id = f.picture_id
   WHERE f.step_id = t.id AND {_stands("f")} AND {_stands("c")})
FROM beside b JOIN description d ON d.id = b.what
JOIN step w ON w.id = b.step
JOIN step t ON t.id = coalesce({_now("step", "w.id", "joined", "number")}, w.id)
JOIN act k ON k.id = t.act_id JOIN assembly a ON a.id = t.assembly_id
JOIN machine n ON n.id = t.machine_id
JOIN moved m ON m.item_id = b.id JOIN place p ON p.id = m.place
LEFT JOIN place o ON o.id = {_inside("p.id")}
GROUP BY b.id, p.id, m.state HAVING sum(m.n) > 0
"""


def processor_ms(run: Callable[[], object], times: int = 7) -> float:
    """Median processor time of this process, in ms."""
    taken = []
    for _ in range(times):
        begin = time.process_time()
        run()
        taken.append(time.process_time() - begin)
    return statistics.median(taken) * 1000


def in_turn(works: Sequence[Callable[[], object]], times: int) -> list[float]:
    """Median processor time of each in ms, taken in turn, so that a busy machine slows all alike.
    What gives a time is timed by itself."""
    taken: list[list[float]] = [[] for _ in works]
    for _ in range(times):
        for at, work in enumerate(works):
            begin = time.process_time()
            own = work()
            taken[at].append(own if isinstance(own, float) else time.process_time() - begin)
    return [statistics.median(each) * 1000 for each in taken]


def after_an_act(context: Context, run: Callable[[], object], times: int = 9) -> float:
    """Median processor time of the answer right after an act, in ms; each time another act."""
    acts: list[Callable[[int], object]] = [
        lambda step: inspect(context, Inspect(f"{step}.1", "serviceable")),
        lambda step: refit(context, Refit(str(step + 1), as_it_came=True, anyway=True)),
        lambda _: undo(context, Undo()),
    ]
    taken = []
    for number in range(times):
        acts[number % len(acts)](next(_STEPS))
        begin = time.process_time()
        run()
        taken.append(time.process_time() - begin)
    return statistics.median(taken) * 1000


_STEPS = iter(range(1, STEPS_LEFT, 3))
"""Steps of which nothing is back on."""


def anew(store: Store, run: Callable[[], object]) -> Callable[[], object]:
    """Ask as after an act: nothing that was worked out before serves."""

    def asked() -> object:
        store.answers = Answers()
        return run()

    return asked


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        store = build(Path(folder) / "lines.db", LINES)
        furnish(store)
        context = Context(store)
        settle()  # as the pages' server does
        pages: dict[str, Callable[[], object]] = {
            "what goes on next": lambda: step_at_hand(context, OneStep()),
            "the desk": lambda: at_a_look(context),
            "a step by its number": lambda: step_at_hand(context, OneStep("250")),
            "assemblies: summary": lambda: summary(context),
            "how far it has got": lambda: going(context),
            "the plan, every step": lambda: ahead(context, LookAhead()),
            "today": lambda: work_today(context),
            "the checklist": lambda: checklist(context, ListSteps()),
            "the checklist's facts": lambda: listed_steps(context, ListSteps()),
            "what to buy": lambda: shopping(context, WhatToBuy()),
            "a bag by its code": lambda: find(context, Find(bagcode.nth(10))),
        }
        print(
            f"{LINES:,} lines, processor time{'anew':>18}{'after an act':>15}{'again':>9}"
            "   (aim: at most 50 ms)"
        )
        for name, run in pages.items():
            run()  # modules and compiled statements
            first = processor_ms(anew(store, run))
            later, again = after_an_act(context, run), processor_ms(run)
            print(f"  {name:<28}{first:>10.1f} ms{later:>12.1f} ms{again:>9.1f} ms")
        store.close()
        store = build(Path(folder) / "bags.db", BAGGED)
        lived_in(store)
        context = Context(store)
        code = bagcode.nth(10)

        def bag() -> object:
            return find(context, Find(code))

        assert whole_query(store, code) >= PER_STEP <= short_query(store, code)
        bag()

        steps, others = iter(range(1003, BAGGED // PER_STEP, 3)), iter(range(1004, 2000, 3))

        def later(ask: Callable[[], Find]) -> float:
            inspect(context, Inspect(f"{next(steps)}.1", "serviceable"))
            begin = time.process_time()
            find(context, ask())
            return time.process_time() - begin

        works: dict[str, Callable[[], object]] = {
            "anew": anew(store, bag),
            "after an act, never looked at": lambda: later(lambda: Find(bagcode.nth(next(others)))),
            "after an act on others": lambda: later(lambda: Find(code)),
            "again": bag,
        }
        queries = [lambda: short_query(store, code), lambda: whole_query(store, code)]
        short, whole, *taken = in_turn([*queries, *works.values()], 31)
        print(f"{BAGGED:,} lines: a bag by its code; the shortest query takes {short:.1f} ms, "
              f"that of all that is shown {whole:.1f} ms (aim: at most 2)")  # fmt: skip
        for name, each in zip(works, taken, strict=True):
            print(f"  {name:<32}{each:>6.1f} ms, {each / short:.1f} short queries, "
                  f"{each / whole:.1f} whole ones")  # fmt: skip
        store.close()


if __name__ == "__main__":
    main()
