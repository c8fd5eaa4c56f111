"""The database address is a setting: the main job on PostgreSQL, which is stricter than SQLite."""

import contextlib
import io
import socket
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from postgres import postgresql
from sqlalchemy.exc import DBAPIError

from stores.cli.app import main
from stores.errors import StorageError
from stores.storage import open_store
from stores.storage.quick import Names, quick_names
from stores.usecases.context import Context
from stores.usecases.history import audit, history
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.strip import Strip, strip

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    with postgresql() as address:
        yield address


def type_in(address: str, *words: str) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    status: Any = 0
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            main(["--stores", address, *words])
        except SystemExit as left:
            status = left.code or 0
    return status, out.getvalue(), err.getvalue()


def test_the_main_job_on_postgresql(address: str, tmp_path: Path) -> None:
    status, _, err = type_in(address, "find", "A001N")
    assert (status, err.count("\n")) == (1, 1)
    for words, said in (
        (["machine", "add", "Orrick Plover"], "Orrick Plover added"),
        (["strip", "Engine/Clutch", "clutch cover", "3 of 4 M6x25 hex bolt", "1 gasket"], "A001N"),
        (["strip", "Engine", "Крышка", "2 M6x30 bolt (should be M6x35 bolt)"], "A003J"),
        (["find", "A001N"], "clutch cover"),
        (["find", "крышка"], "Крышка"),
        (["find", "M6x25"], "3 as removed in bag A001N"),
        (["inspect", "1.2", "1", "condemned", "bent"], "condemned"),
        (["shopping"], "M6 x 25 hex bolt"),
        (["labels", "-o", str(tmp_path / "labels.pdf")], "2 labels"),
        (["stow", "A001N", "box 1"], "in box 1"),
        (["send", "1.2", "--to", "Brindlecote"], "2 pieces"),
        (["back", "Brindlecote"], "Nothing is left"),
        (["buy", "2 M6x25 hex bolt"], "for 1.2"),
        (["inspect", "1", "serviceable"], "serviceable"),
        (["refit", "1", "--anyway"], "STILL SHORT: 1 gasket"),
        (["undo"], "Undone"),
        (["torque", "1.2", "9 N m", "oiled"], "9 N m"),
        (["joint", "1", "4 on 60"], "h1 h3 h2 h4"),
        (["sump", "Gearbox", "--oil", "SAE 90", "--dry", "1l"], "1,000 ml dry"),
        (["reading", "compression", "88", "--wet", "92"], "cylinder 1"),
        (["reading"], "88 psi"),
        (["shopping"], "SAE 90, 1 l"),
        (["rebuild"], "Step 2"),
        (["history"], "undo act"),
        (["stock", "enter", "6 M6x30 hex bolt", "2 M6 nut", "--to", "drawer 3"], "drawer 3"),
        (["stock", "M6x30 bolt"], "6 M6 x 30 hex bolt, new; in drawer 3"),
        (["stock", "0.2"], "M6 nut"),
        (["stock", "drawer 3"], "M6 nut"),
        (["audit"], "no fault"),
    ):
        status, out, err = type_in(address, *words)
        assert status == 0, (words, err)
        assert said in out, words


@pytest.mark.parametrize("deed", ["UPDATE movement SET quantity = 9", "DELETE FROM act"])
def test_postgresql_too_refuses_to_change_what_is_written(address: str, deed: str) -> None:
    with (
        open_store(address, create=True) as store,
        store.engine.connect() as connection,
        pytest.raises(DBAPIError, match="what is written stays"),
    ):
        connection.exec_driver_sql(deed)


def test_the_plain_text_goes_from_one_database_to_another(address: str, tmp_path: Path) -> None:
    """PostgreSQL to SQLite and back into another PostgreSQL: the same text each time."""
    import psycopg

    plain = address.replace("postgresql+psycopg://", "postgresql://")
    with psycopg.connect(plain, autocommit=True) as connection:
        for name in ("first", "again"):
            connection.execute(f"CREATE DATABASE {name}")  # type: ignore[call-overload]
    first, again = (address.replace("/postgres?", f"/{name}?") for name in ("first", "again"))
    assert address not in (first, again)
    again = again.replace("://postgres:@", "://postgres:h0llin@")  # this server asks for none
    assert "h0llin" in again
    for words in (
        ("machine", "add", "Orrick Plover"),
        ("strip", "Engine/Clutch", "clutch cover", "3 of 4 M6x25 hex bolt", "1 gasket"),
        ("strip", "Engine", "Крышка", "2 M6x30 bolt (should be M6x35 bolt)"),
        ("inspect", "1.2", "1", "condemned", "bent"),
        ("undo",),
        ("order", "with", "Hollin", "4 M6x25 hex bolt = 3.20"),
    ):
        status, _, err = type_in(first, *words)
        assert status == 0, err
    texts = []
    for at, (source, target) in enumerate(
        ((first, str(tmp_path / "copy.db")), (str(tmp_path / "copy.db"), again), (again, ""))
    ):
        file = tmp_path / f"{at}.jsonl"
        status, _, err = type_in(source, "export", str(file))
        assert status == 0, err
        texts.append(file.read_text(encoding="utf-8"))
        if target:
            status, out, err = type_in(target, "replay", str(file))
            assert status == 0, err
            assert "h0llin" not in out + err
            assert "no fault" in type_in(target, "audit")[1]
    assert texts[0] == texts[1] == texts[2]
    # and one can work on in it
    status, out, err = type_in(again, "strip", "Engine", "oil pump", "2 M6x20 hex bolt")
    assert (status, "Step 3" in out) == (0, True), err


@pytest.fixture
def empty(address: str) -> Iterator[str]:
    """The address of a database of its own, on a server that has every transaction serializable."""
    import psycopg

    plain = address.replace("postgresql+psycopg://", "postgresql://")
    with psycopg.connect(plain, autocommit=True) as connection:
        connection.execute("CREATE DATABASE crowded")
        connection.execute(
            "ALTER DATABASE crowded SET default_transaction_isolation = 'serializable'"
        )
        yield address.replace("/postgres?", "/crowded?")
        connection.execute("DROP DATABASE crowded WITH (FORCE)")


def test_six_openings_of_an_empty_database_begin_it_once(empty: str) -> None:
    start = threading.Barrier(6)

    def begin(number: int) -> None:
        start.wait()
        with open_store(empty, create=True) as store:
            add_machine(Context(store), AddMachine(f"Orrick {number}"))
            for step in range(4):
                strip(
                    Context(store, f"Orrick {number}"),
                    Strip("Engine", f"cover {step}", ["4 M6x25 bolt"]),
                )

    with ThreadPoolExecutor(6) as threads:
        list(threads.map(begin, range(6)))
    with open_store(empty) as store:
        assert audit(Context(store)).faults == ()
        names = {act.summary for act in history(Context(store), 100)}
        assert sum("cover" in name for name in names) == 24


def test_waiting_has_a_limit_and_a_word_there_too(
    empty: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("stores.storage.opening.IN_QUEUE", 0.4)
    monkeypatch.setattr("stores.storage.opening.TOLD_AFTER", 0.05)
    monkeypatch.setattr("stores.storage.turns.TOLD_AFTER", 0.05)
    assert type_in(empty, "machine", "add", "Orrick Plover")[0] == 0
    with open_store(empty) as store, store.writing():
        status, _, err = type_in(empty, "strip", "Engine", "cover", "4 M6x25 bolt")
    assert status == 1
    told, refused = err.splitlines()
    assert told.endswith("; waiting")
    assert refused.endswith(
        "another command is writing; nothing was changed, try again in a moment"
    )


def test_an_act_that_a_deadlock_took_back_is_tried_again(empty: str) -> None:
    """Another program holds a table that the act needs, and then wants one that the act has."""
    import psycopg

    assert type_in(empty, "machine", "add", "Orrick Plover")[0] == 0
    plain = empty.replace("postgresql+psycopg://", "postgresql://")
    with psycopg.connect(plain, autocommit=True) as server:
        server.execute("ALTER DATABASE crowded SET deadlock_timeout = '100ms'")
    with (
        psycopg.connect(plain) as other,
        ThreadPoolExecutor(1) as thread,
        psycopg.connect(plain, autocommit=True) as looking,
    ):
        other.execute("SET deadlock_timeout = '60s'")  # it is not the one that gives up
        other.execute("LOCK TABLE step IN ACCESS EXCLUSIVE MODE")
        act = thread.submit(type_in, empty, "strip", "Engine", "cover", "4 M6x25 bolt")
        waits = "SELECT count(*) FROM pg_locks WHERE NOT granted AND relation = 'step'::regclass"
        while not looking.execute(waits).fetchone()[0]:  # type: ignore[index]
            assert not act.done(), act.result()
        other.execute("LOCK TABLE act IN ACCESS EXCLUSIVE MODE")
        (deadlocks,) = looking.execute(  # type: ignore[misc]
            "SELECT deadlocks FROM pg_stat_database WHERE datname = 'crowded'"
        ).fetchone()
        other.rollback()
        status, _, err = act.result()
    assert (status, err) == (0, "")
    _, out, _ = type_in(empty, "history")
    assert out.count("cover") == 1
    assert "no fault" in type_in(empty, "audit")[1]
    with psycopg.connect(plain, autocommit=True) as server:
        seen = server.execute("SELECT deadlocks FROM pg_stat_database WHERE datname = 'crowded'")
        assert seen.fetchone()[0] >= max(1, deadlocks)  # type: ignore[index]


def test_a_number_that_it_does_not_keep_is_refused_in_our_words(empty: str) -> None:
    with (
        open_store(empty, create=True) as store,
        pytest.raises(StorageError, match="a number in this is larger than it keeps"),
        store.writing() as writer,
    ):
        writer.connection.exec_driver_sql("SELECT (10 ^ 12)::bigint::int")


def test_a_server_offers_the_tab_key_what_a_file_does(tmp_path: Path) -> None:
    """Renamed and joined, dropped and undone: the same statements of the same record."""
    with postgresql() as server:
        offered = []
        for where in (server, str(tmp_path / "stores.db")):
            for words in (
                ["machine", "add", "Orrick Plover"],
                ["strip", "Forks/Left", "lower leg", "2 M8 nut", "1 gasket", "-p", "shelf 2"],
                ["strip", "Engine", "cover", "4 M6x25 hex bolt"],
                ["strip", "Engine", "cap", "4 M6x25 hex bolt"],
                ["correct", "assembly", "Forks", "Front fork"],
                ["correct", "drop", "1.3"],
                ["correct", "join-steps", "2", "3"],
                ["stock", "enter", "6 M6 nut", "--from", "Hollin"],
                ["strip", "Frame", "stay"],
                ["undo"],
            ):
                assert type_in(where, *words)[0] == 0, words
            offered.append(quick_names(where))
    assert offered[0] == offered[1]
    assert all(offered[0])
    assert "1.3" not in offered[0].items


def test_a_server_that_does_not_answer_offers_nothing_and_keeps_nobody_waiting(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("stores.storage.quick._PATIENCE", 0.2)
    with socket.create_server(("127.0.0.1", 0)) as deaf:  # takes the call and says nothing
        where = f"postgresql+psycopg://marl@127.0.0.1:{deaf.getsockname()[1]}/stores"
        began = time.monotonic()
        assert quick_names(where) == Names()
        assert time.monotonic() - began < 20  # libpq alone would wait for ever
