"""Connections that are kept open while a record is served, and the two promises about its file."""

import shutil
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import event

from stores.storage import Store, open_store
from stores.storage.kept_open import AT_MOST
from stores.usecases.context import Context
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.machines import machines as listed


def begun(file: Path, machine: str) -> Path:
    with open_store(str(file), create=True) as store:
        add_machine(Context(store), AddMachine(machine))
    return file


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Store]:
    with open_store(str(begun(tmp_path / "stores.db", "Orrick Plover"))) as store:
        store.keep_open()
        yield store


def machines(store: Store) -> list[str]:
    return [each.name for each in listed(Context(store))]


def until(true: object) -> None:
    """Wait until something is so; a test that waits for ever is stopped by the run itself."""
    while not true():  # type: ignore[operator]
        time.sleep(0.01)


def test_one_question_after_another_uses_the_same_connection(served: Store) -> None:
    opened: list[object] = []
    event.listen(served.engine, "connect", lambda *made: opened.append(made))
    asked = time.monotonic()
    for _ in range(20):
        machines(served)
    # one a second, were this machine so slow that it was quiet in between
    assert 1 <= len(opened) <= 1 + (time.monotonic() - asked)


def test_after_a_little_quiet_the_file_alone_is_the_whole_record(
    served: Store, tmp_path: Path
) -> None:
    log = Path(served.name + "-wal")
    add_machine(Context(served), AddMachine("Hexham Wren"))
    until(lambda: not log.exists())
    plain = Path(shutil.copy(served.name, tmp_path / "plain.db"))
    with open_store(str(plain)) as copy:
        assert machines(copy) == ["Orrick Plover", "Hexham Wren"]
    assert machines(served) == ["Orrick Plover", "Hexham Wren"]  # and it goes on


def test_another_file_in_its_place_is_seen_at_once(served: Store, tmp_path: Path) -> None:
    assert machines(served) == ["Orrick Plover"]
    other = begun(tmp_path / "other.db", "Hexham Wren")
    other.replace(served.name)
    assert machines(served) == ["Hexham Wren"]


def test_many_at_once_are_all_answered_and_few_connections_stay(served: Store) -> None:
    answers: list[list[str]] = []
    begin = threading.Barrier(3 * AT_MOST)

    def ask() -> None:
        begin.wait()
        answers.append(machines(served))

    threads = [threading.Thread(target=ask) for _ in range(3 * AT_MOST)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert answers == [["Orrick Plover"]] * (3 * AT_MOST)
    assert served.engine.pool.checkedout() == 0  # type: ignore[attr-defined]
    assert served.engine.pool.checkedin() <= AT_MOST  # type: ignore[attr-defined]


def test_a_closed_record_leaves_nothing_beside_its_file(tmp_path: Path) -> None:
    file = begun(tmp_path / "stores.db", "Orrick Plover")
    with open_store(str(file)) as store:
        store.keep_open()
        add_machine(Context(store), AddMachine("Hexham Wren"))
    assert [each.name for each in tmp_path.iterdir()] == ["stores.db"]
