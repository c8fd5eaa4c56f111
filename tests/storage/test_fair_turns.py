"""Programs that write to one record wait for each other in turn."""

import os
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from conftest import Bench

import stores
from stores.storage import open_store
from stores.storage.turns import SOON, said_after_a_while, turn_at
from stores.usecases.context import Context
from stores.usecases.history import audit, history

WRITER = """
import sys, time
from stores.storage import open_store
from stores.usecases.context import Context
from stores.usecases.strip import Strip, strip
file, name, acts = sys.argv[1], sys.argv[2], int(sys.argv[3])
with open_store(file) as store:
    print("ready", flush=True)
    sys.stdin.readline()
    for at in range(acts):
        begun = time.monotonic()
        strip(Context(store), Strip("Engine", f"{name}.{at}", ["4 M6x25 bolt"], key=f"{name} {at}"))
        print(time.monotonic() - begun, flush=True)
"""
"""Writes so many acts as soon as it is told to, and prints how long each took."""


def crowd(file: Path, writers: int, acts: int) -> list[float]:
    """Let so many processes write at once; give how long each act took, waiting included."""
    environment = {**os.environ, "PYTHONPATH": str(Path(stores.__file__).parent.parent)}
    begun = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, str(file), f"cover {at}", str(acts)],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=environment,
        )
        for at in range(writers)
    ]  # fmt: skip
    for each in begun:
        assert each.stdout is not None
        assert each.stdout.readline() == "ready\n"
    for each in begun:
        assert each.stdin is not None
        each.stdin.write("go\n")
        each.stdin.flush()
    answers = [each.communicate(timeout=280)[0] for each in begun]
    assert [each.returncode for each in begun] == [0] * writers
    return [float(took) for answer in answers for took in answer.split()]


@pytest.mark.parametrize(
    ("writers", "acts"), [(4, 5), pytest.param(32, 10, marks=pytest.mark.slow)]
)
def test_each_act_of_many_programs_is_there_once_and_none_is_turned_away(
    bench: Bench, writers: int, acts: int
) -> None:
    taken = crowd(bench.file, writers, acts)
    assert len(taken) == writers * acts
    with open_store(str(bench.file)) as store:
        written = [each.summary for each in history(Context(store), 10_000)]
        assert audit(Context(store)).faults == ()
    assert sum("cover" in summary for summary in written) == writers * acts
    assert [path.name for path in bench.file.parent.iterdir()] == [bench.file.name]


def test_who_has_the_turn_may_take_it_again(tmp_path: Path) -> None:
    with turn_at(tmp_path / "stores.db"), turn_at(tmp_path / "stores.db"):
        pass
    with turn_at(tmp_path / "stores.db"):
        pass


def test_two_records_in_one_folder_do_not_wait_for_each_other(tmp_path: Path) -> None:
    got = threading.Event()

    def other() -> None:
        with turn_at(tmp_path / "b.db"):
            got.set()

    with turn_at(tmp_path / "a.db"):
        threading.Thread(target=other).start()
        assert got.wait(60)


def test_a_process_begun_meanwhile_does_not_hold_the_turn(tmp_path: Path) -> None:
    """One that was forked has the file of the lock open as well."""
    if not hasattr(os, "fork"):
        pytest.skip("no fork on this system")
    with turn_at(tmp_path / "stores.db"):
        read, write = os.pipe()
        child = os.fork()
        if not child:
            os.close(write)
            os.read(read, 1)
            os._exit(0)
    try:
        done = subprocess.run(
            [sys.executable, "-c", "import sys; from pathlib import Path\n"
             "from stores.storage.turns import turn_at\n"
             "with turn_at(Path(sys.argv[1])): print('mine')", str(tmp_path / "stores.db")],
            capture_output=True, text=True, timeout=60, check=True,
            env={**os.environ, "PYTHONPATH": str(Path(stores.__file__).parent.parent)},
        )  # fmt: skip
        assert done.stdout == "mine\n"
    finally:
        os.write(write, b"x")
        os.waitpid(child, 0)


def test_who_waits_longer_than_a_second_is_told(tmp_path: Path) -> None:
    told = threading.Event()
    said_after_a_while(told.set)
    file = tmp_path / "stores.db"
    holder = subprocess.Popen(
        [sys.executable, "-c", "import sys; from pathlib import Path\n"
         "from stores.storage.turns import turn_at\n"
         "with turn_at(Path(sys.argv[1])):\n print('mine', flush=True); sys.stdin.readline()",
         str(file)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONPATH": str(Path(stores.__file__).parent.parent)},
    )  # fmt: skip
    try:
        assert holder.stdout is not None
        assert holder.stdout.readline() == "mine\n"
        waiting = threading.Thread(target=lambda: turn_at(file).__enter__(), daemon=True)
        begun = time.monotonic()
        waiting.start()
        assert told.wait(60)
        assert time.monotonic() - begun >= SOON * 0.9
    finally:
        holder.communicate("\n", timeout=60)
        said_after_a_while(lambda: None)
