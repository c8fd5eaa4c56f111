"""What is carried over from one act to the next is what would be read anew, after any deed.

One stores is kept open over a long life at the bench, as a page server keeps it; after each deed
its plan, status and desk are held against those of a stores that knows nothing. What a reading is
said to depend on is held against the tables that its statements name.
"""

import random
import re
import sys
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from conftest import Bench, examples
from sqlalchemy import Connection, event, inspect

from stores import bagcode, storage
from stores.errors import StoresError
from stores.model.ledger import ActKind
from stores.storage import carried as carrying
from stores.storage import seldom
from stores.storage.carried import changes_since
from stores.storage.items import items_of_machine, read_items
from stores.storage.moment import Answers, Journal, Mark, mark_of, moment_of
from stores.storage.sharing import WITH_DESCRIPTIONS
from stores.usecases.context import Context
from stores.usecases.desk import at_a_look
from stores.usecases.find import Find, find
from stores.usecases.next_step import OneStep, step_at_hand
from stores.usecases.rebuild import rebuild_of
from stores.usecases.stock import LookAtStock, stock

pytestmark = pytest.mark.files_alone

DEEDS: list[tuple[str, ...]] = [
    ("strip", "Engine", "cover NUMBER", "4 M6x25 hex bolt", "1 gasket"),
    ("strip", "Frame", "drain NUMBER", "--job", "--undo", "fill"),
    ("strip", "Frame", "2 of 3 M8x30 hex bolt, 1 seized"),
    ("inspect", "STEP", "serviceable"),
    ("inspect", "ITEM", "1", "condemned", "bent"),
    ("inspect", "ITEM", "1", "repairable", "worn"),
    ("refit", "STEP", "--anyway", "--as-it-came"),
    ("refit", "ITEM", "-q", "1", "--as-it-came", "--anyway", "--finger-tight"),
    ("refit", "tighten", "STEP"),
    ("refit", "sign", "STEP", "J. Teal", "--second"),
    ("refit", "apply", "STEP", "threadlocker"),
    ("buy", "ITEM"),
    ("buy", "2 M6x25 hex bolt"),
    ("order", "with", "Hollin", "1 M8x30 hex bolt", "--new-firm"),
    ("order", "with", "Hollin", "2 M6x25 hex bolt", "--new-firm"),
    ("order", "came", "SMALL"),
    ("order", "cancel", "SMALL", "-n", "dear"),
    ("order", "promised", "SMALL", "2027-0SMALL-01"),
    ("outwork", "send", "STEP", "--to", "Dyke Plating"),
    ("outwork", "batch", "mark", "SMALL", "--promised", "2027-0SMALL-01"),
    ("outwork", "back", "Dyke Plating"),
    ("piece", "move", "ITEM", "BOX"),
    ("piece", "lose", "ITEM", "-q", "1"),
    ("piece", "recover", "ITEM"),
    ("piece", "mix", "ITEM", "ITEM"),
    ("piece", "renew", "add", "hex bolt"),
    ("piece", "renew", "add", "ITEM"),
    ("piece", "renew", "remove", "split pin"),
    ("piece", "keep"),
    ("piece", "specify", "ITEM", "M6x30 hex bolt"),
    ("piece", "came-off", "ITEM"),
    ("place", "stow", "BAG", "BOX"),
    ("place", "stow", "BOX", "shelf 1"),
    ("snag", "STEP", "leak", "weeps"),
    ("snag", "Engine", "damaged", "dent", "--side", "left"),
    ("snag", "clear", "1", "put right"),
    ("figure", "torque", "ITEM", "24 N m"),
    ("figure", "clearance", "STEP", "end float", "0.05 to 0.15 mm"),
    ("figure", "clearance", "STEP", "end float", "--found", "0.1"),
    ("plan", "before", "STEP", "STEP"),
    ("plan", "access", "STEP"),
    ("plan", "takes", "STEP", "45 min"),
    ("plan", "takes", "week", "6 h"),
    ("stock", "reserve", "0.1", "-q", "1", "--step", "STEP"),
    ("stock", "enter", "6 M6x25 hex bolt"),
    ("correct", "step", "STEP", "--part", "other NUMBER"),
    ("correct", "line", "ITEM", "3 M6x25 hex bolt"),
    ("correct", "assembly", "Engine", "Motor"),
    ("correct", "machine", "--name", "Orrick Plover NUMBER"),
    ("record", "units", "imperial"),
    ("machine", "for-parts", "Dunnock"),
    ("machine", "for-parts", "Dunnock", "--not"),
    ("undo",),
    ("undo", "ACT"),
    ("undo",),
]  # fmt: skip


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    bench = Bench(tmp_path_factory.mktemp("carried") / "stores.db")
    bench("machine", "add", "Dunnock")
    bench("strip", "Engine", "cover", "4 M6x25 hex bolt")
    bench("machine", "add", "Orrick Plover")
    bench("strip", "Frame", "engine", "2 M10x80 hex bolt", "2 M10 nut")
    bench("strip", "Engine", "cover", "4 M6x25 hex bolt", "1 gasket", "1 split pin")
    bench("strip", "Brakes", "brake plate", "2 of 3 M8x30 hex bolt")
    bench("strip", "Frame", "side cover", "3 M6x25 hex bolt")
    bench("stock", "enter", "2 M6x25 hex bolt")
    return bench.file


@pytest.mark.parametrize(
    "seed", [0, *(pytest.param(seed, marks=pytest.mark.slow) for seed in range(1, 7))]
)
def test_what_is_carried_over_is_what_would_be_read(begun: Path, tmp_path: Path, seed: int) -> None:
    bench = Bench(tmp_path / "stores.db")
    bench.file.write_bytes(begun.read_bytes())
    chance = random.Random(seed)
    kept = storage.open_store(str(bench.file))
    same = done = 0
    for number in range(examples(24, 60)):
        deed = [_word(each, chance, number) for each in chance.choice(DEEDS)]
        if bench.type(*deed).status:
            continue
        done += 1
        before = _items(kept)
        fresh = storage.open_store(str(bench.file))
        for machine in (None, "Dunnock", "Orrick Plover"):
            assert _seen(kept, machine) == _seen(fresh, machine), deed
        fresh.close()
        now = _items(kept)
        same += sum(before.get(key) is item for key, item in now.items())
    kept.close()
    assert done > examples(8, 20)
    assert same > 10 * done  # it is carried over, not read anew


def test_a_reading_depends_on_no_other_tables_than_it_says(
    begun: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench = Bench(tmp_path / "stores.db")
    bench.file.write_bytes(begun.read_bytes())
    chance = random.Random(1)
    for number in range(150):
        bench.type(*(_word(each, chance, number) for each in chance.choice(DEEDS)))
    store = storage.open_store(str(bench.file))
    with store.reading() as connection:
        of_acts = {
            table
            for table in inspect(connection).get_table_names()
            if any(each["name"] == "act_id" for each in inspect(connection).get_columns(table))
        }
    assert len(of_acts) > 50
    statements: list[str] = []
    named: dict[str, set[str]] = {}
    said: dict[str, set[str]] = {}
    plain = carrying.carried

    def watched(
        connection: Connection, name: str, key: Any, tables: Any, work: Any, mend: Any = None
    ) -> Any:
        def watched_work() -> Any:
            begin = len(statements)
            made = work()
            named.setdefault(name, set()).update(
                of_acts.intersection(_TABLE.findall(" ".join(statements[begin:])))
            )
            return made

        said.setdefault(name, set()).update(of_acts if tables is None else tables)
        return plain(connection, name, key, tables, watched_work, mend)

    def listened(_connection: Connection, _cursor: Any, statement: str, *_: Any) -> None:
        if statement != str(seldom.WHICH):  # asks for all of them at once
            statements.append(statement)

    def watched_rows(connection: Connection, table: str) -> bool:
        there = seldom.has_rows(connection, table)
        statements.append(f"SELECT 1 FROM {table}")
        return there

    for module in [each for each in sys.modules.values() if each.__name__.startswith("stores.")]:
        if getattr(module, "carried", None) is plain:
            monkeypatch.setattr(module, "carried", watched)
        if module is not seldom and hasattr(module, "has_rows"):
            monkeypatch.setattr(module, "has_rows", watched_rows)
    for machine in ("Dunnock", "Orrick"):
        store.answers = Answers()
        engine = store.engine
        event.listen(engine, "before_cursor_execute", listened)
        _seen(store, machine)
    store.close()
    assert len(named) > 12
    for name, tables in named.items():
        assert tables <= said[name], name


_TABLE = re.compile(r"(?:\b(?:FROM|JOIN)|,)\s+([a-z_]+)\b(?!\.)")


def _word(word: str, chance: random.Random, number: int) -> str:
    step = chance.choice("1234567")
    made = {
        "STEP": step,
        "ITEM": f"{step}.{chance.choice('12223')}",
        "BAG": bagcode.nth(chance.randrange(1, 7)),
        "BOX": chance.choice(("box 1", "box 2")),
        "ACT": str(chance.randrange(8, 9 + number)),
    }
    word = made.get(word, word).replace("NUMBER", str(number))
    return word.replace("SMALL", chance.choice("123"))


def _items(store: storage.Store) -> dict[int, Any]:
    with store.reading() as connection:
        return {item.number: item for item in items_of_machine(connection, 2)}


def _seen(store: storage.Store, machine: str | None) -> list[Any]:
    context = Context(store, machine)
    found: list[Any] = []
    for ask in (
        lambda: _look(context),
        lambda: step_at_hand(context, OneStep()),
        lambda: _plan(store, machine),
        *(partial(find, context, Find(bagcode.nth(number))) for number in range(1, 7)),
        lambda: stock(context, LookAtStock("M6 x 25 hex bolt")),
    ):
        try:
            found.append(ask())
        except StoresError as error:  # the same refusal is as good
            found.append((type(error), str(error)))
    return found


def _look(context: Context) -> Any:
    look = at_a_look(context)
    return replace(look, lacking=None), str(look.lacking)


def _plan(store: storage.Store, machine: str | None) -> Any:
    with store.reading() as connection:
        made = rebuild_of(connection, machine)
        for number in (1, 2):
            listed = read_items(connection, machine=number, loose=False)
            assert list(items_of_machine(connection, number)) == listed
        return made, dict(made.plan.status.pieces), made.plan.status.snags, made.plan.status.shares


def test_what_is_told_of_a_deed_is_what_would_be_looked_up(
    begun: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Who writes tells the journal what it wrote: the same as whoever finds the act on record."""
    bench = Bench(tmp_path / "stores.db")
    bench.file.write_bytes(begun.read_bytes())
    told: list[tuple[Mark, Mark, dict[str, frozenset[int]]]] = []
    monkeypatch.setattr(Journal, "add", lambda _, *what: told.append(what))
    chance = random.Random(7)
    kinds: set[str] = set()
    for number in range(examples(90, 300)):
        deed = [_word(each, chance, number) for each in chance.choice(DEEDS)]
        told.clear()
        if bench.type(*deed).status or not told:
            continue
        fresh = storage.open_store(str(bench.file))
        with fresh.reading() as connection:
            for then, now, rows in told[-1:]:
                moment = moment_of(connection)
                assert moment is not None
                assert mark_of(connection, moment) == now, deed
                looked_up = changes_since(connection, then)
                assert looked_up is not None
                assert looked_up.rows == rows, deed
                kinds |= rows.keys()
        fresh.close()
    assert {"movement", "item", "finding", "specification"} < kinds


def test_a_row_written_past_the_writer_is_looked_up(begun: Path, tmp_path: Path) -> None:
    bench = Bench(tmp_path / "stores.db")
    bench.file.write_bytes(begun.read_bytes())
    store = storage.open_store(str(bench.file))
    with store.writing() as writer:
        act = writer.begin(ActKind.INSPECT, "seen")
        writer.connection.exec_driver_sql(
            "INSERT INTO finding (act_id, item_id, quantity, condition, reason) "
            "VALUES (?, 1, 1, 'serviceable', '')",
            (act,),
        )
    assert store.answers.journal.newest() is None
    store.close()


def test_what_is_described_comes_with_a_row_that_says_so(begun: Path) -> None:
    store = storage.open_store(str(begun))
    with store.reading() as connection:
        seen = inspect(connection)
        describing = {
            table
            for table in seen.get_table_names()
            if any(key["referred_table"] == "description" for key in seen.get_foreign_keys(table))
        }
        of_acts = {
            table
            for table in describing
            if any(column["name"] == "act_id" for column in seen.get_columns(table))
        }
    store.close()
    assert describing == of_acts
    assert of_acts | {"correction"} == WITH_DESCRIPTIONS
