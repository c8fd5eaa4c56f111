"""Corrections as rows: what no longer stands, what is wrong of them, and how they travel."""

import contextlib
import random
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from conftest import Bench
from hypothesis import example, given, settings
from hypothesis import strategies as st
from postgres import postgresql
from sqlalchemy import Connection, create_engine, text

from stores.model.ledger import fallen_acts
from stores.storage import migrate, open_store, opening
from stores.storage.corrections import FALLEN, correction_faults
from stores.storage.items import read_items
from stores.usecases.context import Context
from stores.usecases.correct import (
    AddLine,
    CorrectAssembly,
    CorrectLine,
    CorrectMachine,
    CorrectStep,
    JoinLines,
    JoinSteps,
    SplitLine,
    SplitStep,
    add_line,
    correct_assembly,
    correct_line,
    correct_machine,
    correct_step,
    join_lines,
    join_steps,
    split_line,
    split_step,
)
from stores.usecases.history import Undo, audit, undo
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.strip import Strip, strip

CHAINS = st.lists(st.tuples(st.booleans(), st.integers(0, 9)), max_size=24)
"""For each act after the first: whether it is a reversal, and of which that is not reversed yet."""


def reversals_of(chain: list[tuple[bool, int]]) -> dict[int, int | None]:
    """Acts by number, each with the act that it reverses: none is reversed twice."""
    acts: dict[int, int | None] = {1: None}
    for number, (reverses, which) in enumerate(chain, 2):
        free = [act for act in acts if act not in acts.values()]
        acts[number] = free[which % len(free)] if reverses and free else None
    return acts


def fallen_in(connection: Connection, acts: dict[int, int | None]) -> set[int]:
    """What the statement says of these acts, in a table of its own of that name."""
    connection.execute(text("CREATE TEMPORARY TABLE act (id INTEGER, reverses INTEGER)"))
    for number, back in acts.items():
        connection.execute(text("INSERT INTO act VALUES (:n, :b)"), {"n": number, "b": back})
    found = set(connection.execute(text(FALLEN)).scalars())
    connection.execute(text("DROP TABLE act"))
    return found


@given(chain=CHAINS)
@example(chain=[(True, 0)])
@example(chain=[(True, 0), (True, 0)])
@example(chain=[(True, 0), (True, 0), (True, 0), (False, 0), (True, 1)])
@settings(max_examples=60)
def test_the_database_says_of_the_acts_that_fell_what_the_model_says(
    chain: list[tuple[bool, int]],
) -> None:
    acts = reversals_of(chain)
    engine = create_engine("sqlite://")
    with engine.connect() as connection:
        said = fallen_in(connection, acts)
    assert said == fallen_acts({act: back for act, back in acts.items() if back is not None})
    # And by hand: of a chain of reversals the last one stands, and every second one before it.
    reversed_by = {back: act for act, back in acts.items() if back is not None}
    for act in acts:
        later, at = 0, act
        while at in reversed_by:
            at, later = reversed_by[at], later + 1
        assert (act in said) == (later % 2 == 1)


@pytest.fixture
def corrected(context: Context) -> Context:
    """A record with a correction of each sort, on two machines."""
    correct_everything(context)
    assert audit(context).faults == ()
    return context


def correct_everything(context: Context) -> None:
    at = Context(context.store, machine="Orrick")
    strip(at, Strip("Engin/Cluch", "cluch cover", ["4 M6x25 hex bolt", "1 gasket"]))  # 1
    strip(
        at, Strip("Engine/Clutch", "pressure plate", ["6 spring", "1 stud"], new_assembly=True)
    )  # 2
    strip(at, Strip("Engine", "sump", ["12 M6x20 hex bolt", "2 M6x20 hex bolt"]))  # 3
    strip(at, Strip("Engine", "sump plug", ["1 washer"]))  # 4
    add_machine(at, AddMachine("Finch"))
    correct_assembly(at, CorrectAssembly("Engin / Cluch", "Engine / Clutch", join=True))
    correct_step(at, CorrectStep("1", part="clutch cover", came_off_after="2", more="stiff"))
    correct_line(at, CorrectLine("1.2", "5 M6x30 hex bolt @ top"))
    correct_line(at, CorrectLine("1.3", to_step="2", pieces_too=True))
    add_line(at, AddLine("1", "2 dowel"))
    join_lines(at, JoinLines("3.2", "3.3"))
    split_line(at, SplitLine("3.2", "3 M8x20 hex bolt @ rear"))
    split_step(at, SplitStep("2", ["2.3"], "stud"))
    join_steps(at, JoinSteps("3", "4"))
    correct_machine(at, CorrectMachine("Orrick Plover II"))
    correct_step(at, CorrectStep("1", to_machine="Finch"))


@pytest.mark.parametrize(
    ("subject", "row", "field", "value", "number", "said"),
    [
        ("step", 99, "part", "hub", None, "step 99 is not on record"),
        ("item", 1, "colour", "red", None, "an? item has no 'colour'"),
        ("machine", 1, "found", "", 4, "a machine has no 'found'"),
        ("item", 1, "found", "four", None, "found is a word where a number belongs"),
        ("step", 1, "part", "", 3, "part is a word where a number belongs, or none"),
        ("item", 1, "description_id", "", 99, "names description 99"),
        ("item", 1, "step_id", "", 99, "names step 99"),
        ("step", 1, "assembly_id", "", 99, "names assembly 99"),
        ("step", 1, "machine_id", "", 99, "names machine 99"),
        ("item", 1, "verdict", "", 99, "names act 99"),
        ("step", 2, "joined", "", 99, "names step 99"),
        ("item", 2, "joined", "", 1, "item 2: is one with another line, but 4 are still of it"),
        ("item", 2, "joined", "", 1, "item 2: is one with another line, but 4 were found"),
        ("step", 2, "joined", "", 2, "step 2: was made one with itself, in a ring"),
        ("machine", 1, "name", "FINCH", None, "there are two machines of that name"),
        ("step", 2, "number", "", 1, "step 1: there are two steps of that number"),
        ("item", 2, "line", "", 1, "line 1.1: there are two lines of that number"),
        ("item", 4, "step_id", "", 1, "step 2: has no line left"),
    ],
)
def test_a_bad_row_is_a_fault_by_name(
    context: Context, subject: str, row: int, field: str, value: str, number: int, said: str
) -> None:
    add_machine(context, AddMachine("Finch"))
    at = Context(context.store, machine="Orrick")
    strip(at, Strip("Engine", "cover", ["4 M6x25 hex bolt", "1 gasket"]))
    strip(at, Strip("Engine", "hub"))
    assert audit(context).faults == ()
    with context.store.engine.begin() as connection:
        connection.execute(
            text(
                "INSERT INTO correction (act_id, subject, subject_id, field, text, number, folded) "
                "VALUES (1, :subject, :row, :field, :value, :number, '')"
            ),
            {"subject": subject, "row": row, "field": field, "value": value, "number": number},
        )
        found = [str(fault) for fault in correction_faults(connection)]
    assert any(said.replace("an? ", "") in each for each in found), found
    assert {str(fault) for fault in audit(context).faults} >= set(found)


def test_things_made_one_in_a_ring_are_faults(context: Context) -> None:
    for part in ("cover", "hub", "plug"):
        strip(context, Strip("Engine", part))
    rows = [("step", 1, 2), ("step", 2, 1), ("item", 3, 2), ("item", 2, 1)]
    with context.store.engine.begin() as connection:
        for subject, one, other in rows:
            connection.execute(
                text(
                    "INSERT INTO correction (act_id, subject, subject_id, field, text, number, "
                    "folded) VALUES (1, :subject, :one, 'joined', '', :other, '')"
                ),
                {"subject": subject, "one": one, "other": other},
            )
        found = {str(fault) for fault in correction_faults(connection)}
    assert {f"step {n}: was made one with itself, in a ring" for n in (1, 2)} <= found
    assert "item 3: was made one with one that is another's by now" in found


def test_a_step_of_a_machine_that_does_not_stand_is_a_fault(context: Context) -> None:
    strip(context, Strip("Engine", "cover"))
    strip(context, Strip("Engine", "hub"))
    added = add_machine(context, AddMachine("Finch")).act
    undo(context, Undo(added, by="act"))
    with context.store.engine.begin() as connection:
        for subject in ("step", "item"):
            connection.execute(
                text(
                    "INSERT INTO correction (act_id, subject, subject_id, field, text, number, "
                    "folded) VALUES (1, :subject, 1, 'machine_id', '', 2, '')"
                ),
                {"subject": subject},
            )
        found = {str(fault) for fault in correction_faults(connection)}
    assert "step 1: its machine does not stand" in found


def test_the_plain_text_carries_corrections(corrected: Context, tmp_path: Path) -> None:
    bench = Bench(tmp_path / "asked.db")
    bench("record", "export", str(tmp_path / "all.jsonl"))
    again = Bench(tmp_path / "again.db")
    again("record", "reload", str(tmp_path / "all.jsonl"))
    with open_store(str(again.file)) as store, corrected.reading() as ours, store.reading() as one:
        assert read_items(one) == read_items(ours)
    assert "no fault" in again("record", "audit")
    again("record", "export", str(tmp_path / "again.jsonl"))
    assert (tmp_path / "again.jsonl").read_bytes() == (tmp_path / "all.jsonl").read_bytes()


@pytest.mark.parametrize("version", ["0004", "0005"])
def test_an_older_stores_reads_as_it_did_and_can_be_put_right(
    bench: Bench, tmp_path: Path, version: str
) -> None:
    """The rows of a stores of now without a correction, in the tables that there were then."""
    bench("strip", "Engine/Clutch", "cluch cover", "4 M6x25 hex bolt", "1 gasket")
    bench("inspect", "1.2", "3", "serviceable")
    bench("place", "stow", "A001N", "box 1")
    bench("figure", "torque", "1.2", "9 N m", "oiled")
    old = tmp_path / "old.db"
    engine = create_engine(f"sqlite:///{old}")
    migrate.upgrade(engine, version)
    engine.dispose()
    with contextlib.closing(sqlite3.connect(old)) as connection:
        named = "SELECT name FROM sqlite_master WHERE type = 'table'"
        tables = {row[0] for row in connection.execute(named)}
        assert "correction" not in tables
        connection.execute("ATTACH ? AS now", (str(bench.file),))
        for table in tables - {"alembic_version"}:
            known = connection.execute(f"PRAGMA main.table_info({table})")
            columns = ", ".join(f'"{row[1]}"' for row in known)
            connection.execute(
                f'INSERT INTO main."{table}" ({columns}) SELECT {columns} FROM now."{table}"'
            )
        connection.execute(f"PRAGMA application_id = {opening.APPLICATION_ID}")
        connection.commit()
    older = Bench(old)
    for command in (("find", "A001N", "--json"), ("rebuild", "--all", "--json"), ("history",)):
        assert older(*command) == bench(*command), command
    older("correct", "step", "1", "--part", "clutch cover")
    assert "clutch cover" in older("find", "A001N")
    assert "no fault" in older("audit")
    with contextlib.closing(sqlite3.connect(old)) as connection:
        for deed in ("UPDATE correction SET text = 'x'", "DELETE FROM correction"):
            with pytest.raises(sqlite3.DatabaseError, match="what is written stays"):
                connection.execute(deed)


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    with postgresql() as address:
        yield address


@pytest.mark.slow
def test_postgresql_says_the_same_of_the_acts_that_fell(address: str) -> None:
    engine = create_engine(address)
    for seed in range(40):
        chance = random.Random(seed)
        acts = reversals_of([(chance.random() < 0.7, chance.randint(0, 9)) for _ in range(20)])
        with engine.connect() as connection:
            said = fallen_in(connection, acts)
        assert said == fallen_acts({act: back for act, back in acts.items() if back is not None})
    engine.dispose()


@pytest.mark.slow
def test_postgresql_reads_the_same_of_the_same_corrections(
    address: str, corrected: Context
) -> None:
    with open_store(address, create=True) as store:
        at = Context(store)
        add_machine(at, AddMachine("Orrick Plover"))
        correct_everything(at)
        assert audit(at).faults == ()
        with at.reading() as theirs, corrected.reading() as ours:
            assert read_items(theirs) == read_items(ours)
        last = correct_machine(Context(store, machine="Finch"), CorrectMachine("Finch 2")).act
        undo(at, Undo(last, by="act"))
        assert audit(at).faults == ()
