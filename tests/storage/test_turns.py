"""Many threads of one process write one after another, without waiting in the database."""

import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from conftest import Bench

from stores.errors import Refused
from stores.storage import Store, open_store
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
