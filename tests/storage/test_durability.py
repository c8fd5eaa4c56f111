"""Killed at any moment, or two at once: no confirmed act is lost, none is half there."""

import contextlib
import multiprocessing
import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from conftest import Bench

from stores.errors import Refused, Repeated, StorageError, StoresError
from stores.storage import open_store
from stores.storage.items import read_items
from stores.usecases.context import Context
from stores.usecases.places import LosePieces, lose
from stores.usecases.strip import Strip, strip

FORK = multiprocessing.get_context("fork") if hasattr(os, "fork") else None
PATIENCE = 300  # seconds that a child has on a busy machine; none of them should need one
pytestmark = pytest.mark.skipif(FORK is None, reason="needs fork")


@pytest.fixture(autouse=True)
def patient(monkeypatch: pytest.MonkeyPatch) -> None:
    """A writer waits for the other as long as a busy machine takes: forked children do as well."""
    monkeypatch.setattr("stores.storage.opening.BUSY_SECONDS", PATIENCE)


def strip_for_ever(file: str, confirmed: Any) -> None:
    while True:
        with open_store(file) as store:
            done = strip(Context(store), Strip("Engine", "cover", ["4 M6x25 bolt", "1 gasket"]))
        confirmed.send(done.step)


@pytest.mark.slow
@pytest.mark.parametrize("sign", [signal.SIGKILL, signal.SIGTERM])
def test_a_kill_at_any_moment_leaves_whole_acts_only(
    bench: Bench, sign: int, pytestconfig: pytest.Config
) -> None:
    assert FORK is not None
    chance, kills = random.Random(sign), pytestconfig.getoption("kills")
    known: list[int] = []
    for _ in range(kills):
        ours, theirs = FORK.Pipe(duplex=False)
        child = FORK.Process(target=strip_for_ever, args=(str(bench.file), theirs))
        with Path(os.devnull).open("w") as nowhere, contextlib.redirect_stderr(nowhere):
            child.start()
        theirs.close()
        assert ours.poll(PATIENCE), "the child confirmed nothing"
        time.sleep(chance.random() * 0.1)
        assert child.pid is not None
        os.kill(child.pid, sign)
        child.join(PATIENCE)
        assert not child.is_alive()
        with contextlib.suppress(EOFError):
            while True:
                known.append(ours.recv())
        with open_store(str(bench.file)) as store, store.reading() as connection:
            items = read_items(connection)
        assert {item.step.number for item in items} >= set(known)
        per_step: dict[int, int] = {}
        for item in items:
            per_step[item.step.number] = per_step.get(item.step.number, 0) + item.found
        assert set(per_step.values()) <= {6}, "a half act"
    assert len(known) >= kills
    assert "no fault" in bench("record", "audit")


def test_ctrl_c_inside_code_made_from_text_is_still_a_status(tmp_path: Path) -> None:
    """Under -m, CPython remembers an interrupt that passed through exec() as never handled."""
    (tmp_path / "trial.py").write_text(
        "import sys\n"
        "import stores.cli\n"
        "from stores.__main__ import main\n"
        "def run():\n"
        "    try:\n"
        "        exec('raise KeyboardInterrupt')\n"
        "    except KeyboardInterrupt:\n"
        "        sys.exit(130)\n"
        "stores.cli.main = run\n"
        "main()\n"
    )
    done = subprocess.run([sys.executable, "-m", "trial"], cwd=tmp_path, check=False)
    assert done.returncode == 130


# Types the demo in and presses Ctrl-C on itself while the call numbered so is made: a real signal.
PRESSES = """
import importlib, signal, sys
from pathlib import Path
from stores.__main__ import main

at, room, name, count = Path(sys.argv.pop()), sys.argv.pop(), sys.argv.pop(), int(sys.argv.pop())
signal.signal(signal.SIGINT, signal.default_int_handler)  # a background job has it switched off
module = importlib.import_module(room)
owner = getattr(module, "Writer", module)
real = getattr(owner, name)
calls = 0

def press(*words, **more):
    global calls
    calls += 1
    done = real(*words, **more)
    if calls == count:
        at.write_text(str(done or words[1]))  # the number of the act
        signal.raise_signal(signal.SIGINT)
    return done

setattr(owner, name, press)
main()
"""
WRITER = "stores.storage.writer"


@pytest.mark.slow
@pytest.mark.parametrize(
    ("room", "name", "count"),
    [
        (WRITER, "begin", 1),
        (WRITER, "begin", 5),
        (WRITER, "move", 1),
        (WRITER, "move", 40),
        ("stores.cli.demo", "type_in", 50),
    ],
)
def test_ctrl_c_in_the_middle_of_the_demo(tmp_path: Path, room: str, name: str, count: int) -> None:
    """It is stopped inside an act, head or movements just written, and between two of them."""
    (tmp_path / "trial.py").write_text(PRESSES)
    folder, at = tmp_path / "demo", tmp_path / "at"
    done = subprocess.run(
        [sys.executable, "-m", "trial", "demo", str(folder), str(count), name, room, str(at)],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert at.exists(), done.stderr
    assert done.returncode == 130
    assert "stopped" in done.stderr
    assert done.stderr.count("\n") == 1
    left = Bench(folder / "stores.db")
    assert "no fault" in left("audit")
    if room == WRITER:
        numbers = [act["number"] for act in left.json("history", "--most", "200")]
        assert numbers == list(range(int(at.read_text()) - 1, 0, -1)), "no half act, none missing"


def strip_some(file: str, count: int, start: Any, said: Any) -> None:
    start.wait()
    for _ in range(count):
        with open_store(file) as store:
            said.send(strip(Context(store), Strip("Engine", "cover", ["4 M6x25 bolt"])))
    said.close()


def test_two_at_once_both_succeed_and_no_number_is_given_twice(bench: Bench) -> None:
    assert FORK is not None
    start = FORK.Barrier(2)
    pipes = [FORK.Pipe(duplex=False) for _ in range(2)]
    children = [
        FORK.Process(target=strip_some, args=(str(bench.file), 8, start, theirs))
        for _, theirs in pipes
    ]
    for child in children:
        child.start()
    said = []
    for ours, theirs in pipes:
        theirs.close()
        with contextlib.suppress(EOFError):
            while True:
                said.append(ours.recv())
    for child in children:
        child.join(PATIENCE)
        assert child.exitcode == 0
    assert sorted(step.step for step in said) == list(range(1, 17))
    assert len({step.bag for step in said}) == 16
    assert bench.json("record", "audit")["stocktake"]["pieces"] == 16 * 5


def take_the_last(file: str, start: Any, said: Any) -> None:
    start.wait()
    try:
        with open_store(file) as store:
            lose(Context(store), LosePieces("1.2", "1"))
        said.send("taken")
    except Refused as refusal:
        said.send(str(refusal))


def test_two_at_once_cannot_both_take_the_last_piece(bench: Bench) -> None:
    assert FORK is not None
    bench("strip", "Engine", "cover", "1 M6x25 bolt")
    start = FORK.Barrier(2)
    pipes = [FORK.Pipe(duplex=False) for _ in range(2)]
    children = [
        FORK.Process(target=take_the_last, args=(str(bench.file), start, theirs))
        for _, theirs in pipes
    ]
    for child in children:
        child.start()
    said = sorted(ours.recv() for ours, _ in pipes)
    for child in children:
        child.join(PATIENCE)
    assert said[1] == "taken"
    assert "but none there" in said[0]
    assert "no fault" in bench("record", "audit")


def test_a_writer_that_waits_too_long_is_refused_in_one_line(
    clutch: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("stores.storage.opening.BUSY_SECONDS", 0.1)
    with contextlib.closing(sqlite3.connect(clutch.file, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        assert "another command is writing" in clutch.type("strip", "Engine", "cap").err
        assert "clutch cover" in clutch("find", "A001N"), "reading goes on meanwhile"


def test_a_full_disk_leaves_no_half_act(clutch: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """SQLite's own limit on pages stands for the full disk: it fails the same write."""
    before = clutch.everything()
    store = open_store(str(clutch.file))
    monkeypatch.setattr("stores.usecases.strip.MAX_LINES", 100_000)

    from sqlalchemy import event

    @event.listens_for(store.engine, "connect")
    def limit(connection: Any, _record: Any) -> None:
        pages = connection.execute("PRAGMA page_count").fetchone()[0]
        connection.execute(f"PRAGMA max_page_count = {pages}")

    with store, pytest.raises(StorageError, match="disk is full"):
        strip(
            Context(store),
            Strip("Engine", "cover", [f"1 part number {n} " + "x" * 300 for n in range(400)]),
        )
    assert clutch.everything() == before


@pytest.mark.parametrize(
    ("kept", "said"),
    [(True, "yet it is recorded: do not do it again"), (False, "it may be recorded (it is not")],
)
def test_a_commit_that_fails_says_whether_the_act_is_there(
    clutch: Bench, monkeypatch: pytest.MonkeyPatch, kept: bool, said: str
) -> None:
    """The disk fails while the commit is made safe: what was written may be there, or not."""
    from sqlalchemy.engine.default import DefaultDialect

    def failing(_dialect: object, connection: Any) -> None:
        if kept or not connection.total_changes:
            connection.commit()
        else:
            connection.rollback()
        if connection.total_changes:
            raise sqlite3.OperationalError("disk I/O error")

    with monkeypatch.context() as patched:
        patched.setattr(DefaultDialect, "do_commit", failing)
        with pytest.raises(StorageError) as failed, open_store(str(clutch.file)) as store:
            strip(Context(store), Strip("Engine", "oil pump", ["2 M6x20 bolt"], key="once"))
    assert said in str(failed.value)
    assert "nothing was changed" not in str(failed.value)
    assert ("oil pump" in clutch("history")) == kept
    with open_store(str(clutch.file)) as store:  # asked again with its key, it is one act
        if kept:
            with pytest.raises(Repeated):
                strip(Context(store), Strip("Engine", "oil pump", ["2 M6x20 bolt"], key="once"))
        else:
            strip(Context(store), Strip("Engine", "oil pump", ["2 M6x20 bolt"], key="once"))
    assert clutch("history").count("oil pump") == 1
    assert "no fault" in clutch("record", "audit")


def test_a_full_disk_can_still_be_read(clutch: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """There is no room for the index of the log: SQLite's file for it cannot be made."""
    folder = clutch.file.with_name("stores.db-shm")
    folder.mkdir()  # stands in its way, as a full disk does
    assert "clutch cover" in clutch("find", "A001N")
    assert "no fault" in clutch("record", "audit")


@pytest.mark.parametrize(
    "deed", ["UPDATE {} SET id = id + 1", "DELETE FROM {}", "REPLACE INTO {} SELECT * FROM {}"]
)
@pytest.mark.parametrize(
    "table",
    [
        "act",
        "machine",
        "assembly",
        "place",
        "step",
        "description",
        "item",
        "specification",
        "movement",
        "finding",
        "stowing",
        "label",
        "outcome",
    ],
)
def test_the_database_itself_refuses_to_change_what_is_written(
    clutch: Bench, tmp_path: Path, table: str, deed: str
) -> None:
    clutch("inspect", "1.2", "serviceable")
    clutch("place", "stow", "A001N", "box 1")
    clutch("labels", "-o", str(tmp_path / "labels.pdf"))
    clutch("labels", "--printed")
    with (
        contextlib.closing(sqlite3.connect(clutch.file)) as connection,
        pytest.raises(sqlite3.IntegrityError, match="what is written stays"),
    ):
        connection.execute(deed.replace("{}", table))


@pytest.mark.parametrize(
    "values",
    [
        "(1, 1, -5, 1, 'new', 2, 'new')",
        "(1, 1, 0, 1, 'new', 2, 'new')",
        "(1, 1, 'abc', 1, 'new', 2, 'new')",
        "(1, 1, 1000000001, 1, 'new', 2, 'new')",
        "(1, 1, 1, 1, 'new', 1, 'new')",
        "(1, 1, 1, 1, 'splendid', 2, 'new')",
        "(1, 999, 1, 1, 'new', 2, 'new')",
        "(999, 1, 1, 1, 'new', 2, 'new')",
    ],
)
def test_the_database_itself_refuses_an_impossible_movement(clutch: Bench, values: str) -> None:
    with contextlib.closing(sqlite3.connect(clutch.file)) as connection:
        connection.execute("PRAGMA foreign_keys = ON")
        with pytest.raises(sqlite3.IntegrityError):
            connection.execute(
                "INSERT INTO movement (act_id, item_id, quantity, from_place, from_condition, "
                f"to_place, to_condition) VALUES {values}"
            )


def test_an_error_in_the_middle_of_an_act_leaves_nothing(
    clutch: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = clutch.everything()

    def broken(*_: object) -> None:
        raise StoresError("the lamp went out")

    monkeypatch.setattr("stores.storage.writer.Writer.move", broken)
    assert clutch.type("strip", "Gearbox", "cover", "4 M8 nut").status == 1
    assert clutch.everything() == before


def test_no_stray_files_are_left(clutch: Bench, tmp_path: Path) -> None:
    assert {path.name for path in tmp_path.iterdir()} == {"stores.db"}
