"""An older stores is brought up to date by itself, after a copy was made."""

import contextlib
import importlib
import json
import pkgutil
import shutil
import sqlite3
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from conftest import Bench
from sqlalchemy import create_engine, inspect
from sqlmodel import SQLModel

from stores import storage
from stores.errors import StorageError
from stores.storage import migrate, open_store, opening

NEXT = """
import sqlalchemy as sa
from alembic import op

revision = "0000next"
down_revision = "{head}"

def upgrade() -> None:
    op.add_column("place", sa.Column("colour", sa.Text, server_default="grey"))
    {more}
"""


@pytest.fixture
def newer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Pretend that the program is one migration further on."""
    scripts = tmp_path / "migrations"
    shutil.copytree(migrate.SCRIPTS, scripts)
    more = scripts / "versions" / "m9999_next.py"
    more.write_text(NEXT.format(head=opening.HEAD, more="pass"))
    monkeypatch.setattr(migrate, "SCRIPTS", scripts)
    monkeypatch.setattr(opening, "HEAD", "0000next")
    return more


def test_the_head_is_the_newest_migration() -> None:
    assert migrate.known_versions()[0] == opening.HEAD


def test_the_migrations_make_just_the_tables_of_the_rows(bench: Bench) -> None:
    with open_store(str(bench.file)) as store:
        found = inspect(store.engine)
        made = {
            table: {column["name"] for column in found.get_columns(table)}
            for table in found.get_table_names()
            if table != "alembic_version"
        }
    for module in pkgutil.walk_packages(storage.__path__, "stores.storage."):
        if ".migrations" not in module.name:
            importlib.import_module(module.name)
    tables = SQLModel.metadata.tables.values()
    wanted = {table.name: {column.name for column in table.columns} for table in tables}
    assert made == wanted


def test_an_older_stores_is_copied_and_brought_up_to_date(clutch: Bench, newer: Path) -> None:
    before = clutch.everything()
    assert "clutch cover" in clutch("find", "A001N")
    copy = Bench(clutch.file.with_name("stores.db.before-0000next"))
    assert copy.everything() == before
    with contextlib.closing(sqlite3.connect(clutch.file)) as connection:
        assert connection.execute("SELECT DISTINCT colour FROM place").fetchall() == [("grey",)]
    assert "clutch cover" in clutch("find", "A001N")
    assert "no fault" in clutch("record", "audit")


def test_a_migration_that_fails_changes_nothing(clutch: Bench, newer: Path) -> None:
    newer.write_text(
        NEXT.format(head=migrate.known_versions()[1], more="op.execute('SELECT * FROM nowhere')")
    )
    before = clutch.everything()
    with pytest.raises(StorageError):
        open_store(str(clutch.file))
    assert clutch.everything() == before


def test_a_second_copy_does_not_overwrite_the_first(clutch: Bench, newer: Path) -> None:
    first = clutch.file.with_name("stores.db.before-0000next")
    first.write_text("somebody's copy")
    clutch("find", "A001N")
    assert first.read_text() == "somebody's copy"
    assert clutch.file.with_name("stores.db.before-0000next-2").exists()


def test_a_migration_that_fails_again_and_again_leaves_one_copy(clutch: Bench, newer: Path) -> None:
    newer.write_text(
        NEXT.format(head=migrate.known_versions()[1], more="op.execute('SELECT * FROM nowhere')")
    )
    for _ in range(3):
        with pytest.raises(StorageError):
            open_store(str(clutch.file))
    copies = list(clutch.file.parent.glob("*before-*"))
    assert copies == [clutch.file.with_name("stores.db.before-0000next")]


def test_eight_openings_at_once_make_one_copy(clutch: Bench, newer: Path) -> None:
    start = threading.Barrier(8)

    def opening_it(_: int) -> None:
        start.wait()
        open_store(str(clutch.file)).close()

    with ThreadPoolExecutor(8) as threads:
        list(threads.map(opening_it, range(8)))
    copies = list(clutch.file.parent.glob("*before-*"))
    assert copies == [clutch.file.with_name("stores.db.before-0000next")]


def test_the_first_form_is_brought_up_to_date_with_all_that_is_in_it(
    clutch: Bench, tmp_path: Path
) -> None:
    """A stores as the first version wrote it: its rows are carried over by hand."""
    old = tmp_path / "old.db"
    engine = create_engine(f"sqlite:///{old}")
    migrate.upgrade(engine, "0001")
    engine.dispose()
    with contextlib.closing(sqlite3.connect(old)) as connection:
        first = {row[0] for row in connection.execute("SELECT name FROM sqlite_master")}
        assert "movement" in first
        assert not first & {"sump", "reading", "figure", "joint", "picture", "outcome"}
        connection.execute("ATTACH ? AS now", (str(clutch.file),))
        for table in ("act", "machine", "assembly", "place", "step", "description", "item",
                      "specification", "movement", "finding", "stowing", "label"):  # fmt: skip
            columns = ", ".join(
                row[1] for row in connection.execute(f"PRAGMA main.table_info({table})")
            )
            connection.execute(
                f"INSERT INTO main.{table} ({columns}) SELECT {columns} FROM now.{table}"
            )
        connection.execute(f"PRAGMA application_id = {opening.APPLICATION_ID}")
        connection.commit()
    bench = Bench(old)
    before = bench.everything()
    assert "clutch cover" in bench("find", "A001N")
    assert Bench(old.with_name(f"old.db.before-{opening.HEAD}")).everything() == before
    bench("figure", "torque", "1.2", "9 N m", "oiled")
    bench("figure", "sump", "Gearbox", "--oil", "SAE 90")
    assert "no fault" in bench("record", "audit")
    with contextlib.closing(sqlite3.connect(old)) as connection:
        for table in ("sump", "figure"):
            for deed in (f"UPDATE {table} SET source = 'x'", f"DELETE FROM {table}"):
                with pytest.raises(sqlite3.DatabaseError, match="what is written stays"):
                    connection.execute(deed)


@pytest.fixture
def two_tins(bench: Bench) -> Bench:
    """Loose pieces found while two machines were worked on in turn."""
    bench("piece", "loose", "1 M7x22 hex bolt", "--to", "tin 1")
    bench("machine", "add", "Tern 50")
    bench("piece", "loose", "2 M8 nut", "--to", "tin 2", "-m", "Tern")
    bench("piece", "loose", "3 M6 nut", "--to", "tin 1", "-m", "Orrick")
    return bench


NUMBERED = {"0.1": "M7 x 22 hex bolt", "0.2": "M8 nut", "0.3": "M6 nut"}
"""One number each, in the order in which they were entered."""


def numbers(bench: Bench) -> dict[str, str]:
    for machine in ("Orrick", "Tern"):  # the same from every machine
        shown = {
            item["item"]: item["as_found"]
            for item in bench.json("find", "M", "-m", machine)["items"]
        }
        assert {ref: text for ref, text in shown.items() if ref.startswith("0.")} == NUMBERED
    return {line["item"]: line["formerly"] for line in bench.json("stock")["lines"]}


def test_loose_pieces_of_an_older_stores_get_one_number_each(
    two_tins: Bench, tmp_path: Path
) -> None:
    old = tmp_path / "old.db"
    engine = create_engine(f"sqlite:///{old}")
    migrate.upgrade(engine, "0013")
    engine.dispose()
    with contextlib.closing(sqlite3.connect(old)) as connection:
        connection.execute("ATTACH ? AS now", (str(two_tins.file),))
        tables = [
            row[0]
            for row in connection.execute(
                "SELECT name FROM main.sqlite_master WHERE type = 'table' "
                "AND name <> 'alembic_version' AND name NOT LIKE 'sqlite_%'"
            )
        ]
        for table in tables:
            columns = [row[1] for row in connection.execute(f"PRAGMA main.table_info({table})")]
            names = ", ".join(columns)
            # as they were numbered: for each machine apart
            taken = names
            if table == "item":
                taken = ", ".join(
                    "row_number() OVER (PARTITION BY machine_id ORDER BY id)"
                    if name == "line"
                    else name
                    for name in columns
                )
            connection.execute(
                f"INSERT INTO main.{table} ({names}) SELECT {taken} FROM now.{table} ORDER BY id"
            )
        connection.execute(f"PRAGMA application_id = {opening.APPLICATION_ID}")
        connection.commit()
    bench = Bench(old)
    assert numbers(bench) == {"0.1": "", "0.2": "0.1 of Tern 50", "0.3": "0.2 of Orrick Plover"}
    assert "no fault" in bench("record", "audit")
    assert "0.4" in bench("piece", "loose", "1 M5 nut", "--to", "tin 1")
    with (
        contextlib.closing(sqlite3.connect(old)) as connection,
        pytest.raises(sqlite3.DatabaseError, match="what is written stays"),
    ):
        connection.execute("UPDATE item SET line = 9")


def test_so_do_those_of_an_older_text(two_tins: Bench, tmp_path: Path) -> None:
    old = tmp_path / "old.db"
    engine = create_engine(f"sqlite:///{old}")
    migrate.upgrade(engine, "0013")
    found = inspect(engine)
    columns = {
        table: {column["name"] for column in found.get_columns(table)}
        for table in found.get_table_names()
    }
    engine.dispose()
    text = tmp_path / "old.jsonl"
    two_tins("order", "with", "Hollin", "10 M5 nut = 3.00", "-m", "Tern")
    two_tins("export", str(text))
    head, *rows, end = map(json.loads, text.read_text(encoding="utf-8").splitlines())
    head["tables"] = "0013"
    numbered: dict[int, int] = {}
    for table, row in rows:
        if table == "item" and row["step_id"] is None:
            numbered[row["machine_id"]] = numbered.get(row["machine_id"], 0) + 1
            row["line"] = numbered[row["machine_id"]]
        for name in row.keys() - columns[table]:
            del row[name]
    lines = [json.dumps(each) for each in (head, *rows, end)]
    text.write_text("\n".join(lines) + "\n", encoding="utf-8")
    again = Bench(tmp_path / "again.db")
    again("record", "reload", str(text))
    assert numbers(again) == {"0.1": "", "0.2": "0.1 of Tern 50", "0.3": "0.2 of Orrick Plover"}
    assert "no fault" in again("record", "audit")
