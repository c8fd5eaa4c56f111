"""Those who write at the same time, threads and processes, take turns: first come, first served."""

import contextlib
import sqlite3
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from conftest import Bench
from writing import writers

from stores.errors import Refused
from stores.storage import Store, open_store, turns
from stores.usecases.context import Context
from stores.usecases.history import audit, history
from stores.usecases.strip import Strip, strip


@pytest.fixture
def impatient(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A stores whose database waits for no other writer: it refuses at once."""
    monkeypatch.setattr("stores.storage.opening.BUSY_SECONDS", 0)
    return bench.file


def step(store: Store, name: str) -> None:
    strip(Context(store), Strip("Engine", name, ["4 M6x25 bolt"], key=name))


def test_threads_take_turns_and_none_is_refused(impatient: Path) -> None:
    names = [f"cover {number}" for number in range(60)]
    with open_store(str(impatient)) as store, ThreadPoolExecutor(20) as threads:
        list(threads.map(lambda name: step(store, name), names))
        written = {act.summary for act in history(Context(store), 100)}
        assert audit(Context(store)).faults == ()
    assert sum("cover" in summary for summary in written) == len(names)


def test_a_refusal_lets_the_next_one_write(impatient: Path) -> None:
    with open_store(str(impatient)) as store:

        def refused() -> None:
            with store.writing():
                raise Refused("no")

        with pytest.raises(Refused):
            refused()
        other = threading.Thread(target=step, args=(store, "cover"))
        other.start()
        other.join(60)
        assert not other.is_alive()
        assert any("cover" in act.summary for act in history(Context(store), 5))


def test_nobody_gets_in_while_another_writes(impatient: Path) -> None:
    with open_store(str(impatient)) as store:
        other = threading.Thread(target=step, args=(store, "cover"))
        with store.writing():
            other.start()
            other.join(0.2)
            assert other.is_alive()
            assert not any("cover" in act.summary for act in history(Context(store), 5))
        other.join(60)
        assert any("cover" in act.summary for act in history(Context(store), 5))


@pytest.fixture
def turn_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The folder in which the files of turns are, none of which may stay."""
    folder = tmp_path / "temporary"
    folder.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(folder))
    yield folder
    assert list(folder.iterdir()) == []


def test_those_who_wait_write_in_the_order_in_which_they_asked(
    bench: Bench, turn_files: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each has the file open for itself, as processes have."""
    pytest.importorskip("fcntl")
    monkeypatch.setattr(turns, "TOLD_AFTER", 0.0)
    names = ["first", "second", "third", "fourth"]

    def write(name: str, waits: threading.Event) -> None:
        with open_store(str(bench.file)) as store:
            store.told_to_wait = waits.set
            step(store, name)

    several = []
    with open_store(str(bench.file)) as holding, holding.writing():
        for name in names:
            waits = threading.Event()
            several.append(threading.Thread(target=write, args=(name, waits)))
            several[-1].start()
            assert waits.wait(60)
    for one in several:
        one.join(60)
    with open_store(str(bench.file)) as store:
        written = [act.summary for act in history(Context(store), 4)]
    assert [name for act in reversed(written) for name in names if name in act] == names


def test_who_waits_for_long_is_told(
    bench: Bench, turn_files: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(turns, "TOLD_AFTER", 0.05)
    other = sqlite3.connect(bench.file, isolation_level=None, check_same_thread=False)
    with contextlib.closing(other):
        other.execute("BEGIN IMMEDIATE")
        done = threading.Timer(0.3, other.rollback)
        done.start()
        reply = bench.type("strip", "Engine", "cover", "4 M6x25 bolt")
        done.join()
    assert reply.status == 0
    assert reply.err.startswith("stores: another command is writing to ")
    assert reply.err.endswith("; waiting\n")
    assert reply.err.count("\n") == 1


def test_who_waits_for_nobody_is_told_nothing(
    bench: Bench, turn_files: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a busy machine a command may take long to begin, with no other one writing."""
    monkeypatch.setattr(turns, "TOLD_AFTER", 0.0)
    assert bench.type("strip", "Engine", "cover", "4 M6x25 bolt").err == ""


def test_a_turn_file_that_was_left_is_used_and_deleted(bench: Bench, turn_files: Path) -> None:
    pytest.importorskip("fcntl")
    turns.turn_file(bench.file).touch()
    bench("strip", "Engine", "cover", "4 M6x25 bolt")


@pytest.mark.parametrize("lacking", ["locks", "folder"])
def test_where_no_turn_is_to_be_had_the_database_keeps_them_apart(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, lacking: str
) -> None:
    if lacking == "locks":
        monkeypatch.setattr(turns, "fcntl", None)
    else:
        monkeypatch.setattr("tempfile.tempdir", "/nonexistent")

    def write(name: str) -> None:
        with open_store(str(bench.file)) as store:
            step(store, name)

    names = [f"cover {number}" for number in range(12)]
    with ThreadPoolExecutor(4) as threads:
        list(threads.map(write, names))
    assert "no fault" in bench("record", "audit")
    with open_store(str(bench.file)) as store:
        written = [act.summary for act in history(Context(store), 20)]
    assert sum("cover" in summary for summary in written) == 12


def test_a_turn_that_does_not_come_is_given_up_and_not_kept(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever has the turn may be stopped and never write: the others do."""
    pytest.importorskip("fcntl")
    monkeypatch.setattr(turns, "IN_QUEUE", 0.1)
    with turns.turn(bench.file, turns.Waiting()) as held:
        assert held
        bench("strip", "Engine", "cover", "4 M6x25 bolt")
        with turns.turn(bench.file, turns.Waiting()) as second:
            assert not second
    for _ in range(100):  # the one who gave up lets go of what it is given late
        with turns.turn(bench.file, turns.Waiting()) as again:
            if again:
                break
        time.sleep(0.02)
    assert again
    turns.clear_turn(bench.file)
    assert not turns.turn_file(bench.file).exists()


def test_one_may_write_into_two_records_at_once(bench: Bench, tmp_path: Path) -> None:
    """Nobody waits for the turn that it has itself: it is over when the writing begins."""
    other = Bench(tmp_path / "other.db")
    other("machine", "add", "Hollin Wren")
    with open_store(str(bench.file)) as one, open_store(str(other.file)) as two:
        with one.writing():
            step(two, "cover")
        with two.writing():
            step(one, "cover")
    assert "cover" in bench("history")
    assert "cover" in other("history")


@pytest.mark.slow
@pytest.mark.parametrize("number", [8, 32])
def test_of_many_processes_none_is_turned_away(bench: Bench, turn_files: Path, number: int) -> None:
    seen = writers(bench.file, number, 5)
    assert [each.refused for each in seen] == [0] * number
    with open_store(str(bench.file)) as store:
        written = {act.summary for act in history(Context(store), 10 * number)}
        assert audit(Context(store)).faults == ()
    assert sum("cover" in summary for summary in written) == 5 * number
