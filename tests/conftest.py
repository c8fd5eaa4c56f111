"""What the tests share: a bench to type commands at."""

import contextlib
import io
import json
import pkgutil
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis.configuration import set_hypothesis_home_dir
from hypothesis.internal.conjecture import providers

import stores
from stores.cli.app import main, program
from stores.cli.overview import Overview
from stores.storage import open_store
from stores.usecases.context import Context

# A busy machine is no fault of a property: how long an example takes is measured elsewhere.
BUSY = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow], "print_blob": True}
# The ordinary run is never red by chance: the same examples each time, in CI and out of it.
settings.register_profile("steady", derandomize=True, database=None, **BUSY)
# python3 tests --search looks further: the seed comes with the command.
settings.register_profile("search", derandomize=False, database=None, max_examples=500, **BUSY)
settings.load_profile("steady")
SCRATCH = tempfile.TemporaryDirectory(prefix="stores-hypothesis-")
set_hypothesis_home_dir(SCRATCH.name)  # no .hypothesis stays behind


def pytest_configure(config: pytest.Config) -> None:
    """Make the examples depend on the seed alone.

    Hypothesis mixes in the literals of the modules that are loaded by then: which those are hangs
    on the tests that ran before in the same process. The ordinary run does without; the search has
    all of ours, loaded beforehand.
    """
    if config.getoption("hypothesis_profile", None) == "search":
        for module in pkgutil.walk_packages(stores.__path__, "stores."):
            if "migrations" not in module.name and not module.name.endswith("__main__"):
                import_module(module.name)
    elif hasattr(providers, "_get_local_constants"):
        providers._get_local_constants = lambda: providers._local_constants


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Let a search that was cut short by the clock still tell that something was red."""
    if session.testsfailed and session.config.getoption("hypothesis_profile", None) == "search":
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_unconfigure() -> None:
    SCRATCH.cleanup()


def every_command() -> dict[str, Any]:
    """Return all commands by their names, those in a group with its name before theirs."""
    listed: dict[str, Any] = {}
    todo: list[tuple[tuple[str, ...], Any]] = [((), program())]
    while todo:
        path, command = todo.pop()
        if isinstance(command, Overview):
            command.load(*command.table)
        children = getattr(command, "commands", None)
        if children is None:
            listed[" ".join(path)] = command
        else:
            todo += [((*path, name), child) for name, child in children.items()]
    return dict(sorted(listed.items()))


@dataclass(frozen=True)
class Reply:
    """What a command showed, what it said on stderr, and its exit status."""

    out: str
    err: str
    status: int

    @property
    def data(self) -> Any:
        return json.loads(self.out)


class Bench:
    """Types commands into one stores, in this process."""

    def __init__(self, file: Path) -> None:
        self.file = file

    def type(self, *words: str) -> Reply:
        out, err = io.StringIO(), io.StringIO()
        status: object = 0
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            try:
                main(["--stores", str(self.file), *words])
            except SystemExit as left:
                status = left.code
        return Reply(out.getvalue(), err.getvalue(), status if isinstance(status, int) else 0)

    def __call__(self, *words: str) -> str:
        """Type a command that must succeed; give what it shows."""
        reply = self.type(*words)
        assert reply.status == 0, reply.err
        return reply.out

    def json(self, *words: str) -> Any:
        return json.loads(self(*words, "--json"))

    def refused(self, *words: str) -> str:
        """Type a command that must be refused: one line, status 1, nothing changed."""
        before = self.everything()
        reply = self.type(*words)
        assert reply.status == 1, (reply.status, reply.out, reply.err)
        assert reply.out == ""
        assert reply.err.count("\n") == 1, reply.err
        assert reply.err.startswith("stores: ")
        assert self.everything() == before
        return reply.err

    def everything(self) -> list[str]:
        """Dump all that is in the file."""
        if not self.file.exists():
            return []
        with contextlib.closing(sqlite3.connect(self.file)) as connection:
            return list(connection.iterdump())


@pytest.fixture(scope="session")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A stores with one machine, made once and copied for each test."""
    made = Bench(tmp_path_factory.mktemp("begun") / "stores.db")
    made("machine", "add", "Orrick Plover")
    return made.file


@pytest.fixture
def bench(tmp_path: Path, begun: Path) -> Bench:
    """A bench with an empty stores and one machine."""
    shutil.copy(begun, tmp_path / "stores.db")
    return Bench(tmp_path / "stores.db")


@pytest.fixture
def context(tmp_path: Path, begun: Path) -> Iterator[Context]:
    """What a use-case stands on: a stores with one machine, nothing taken off yet."""
    shutil.copy(begun, tmp_path / "asked.db")
    with open_store(str(tmp_path / "asked.db")) as store:
        yield Context(store)


@pytest.fixture
def clutch(bench: Bench) -> Bench:
    """A bench after one step: the clutch cover is in bag A001N."""
    bench("strip", "Engine/Clutch", "clutch cover", "4 M6x25 hex bolt", "2 M6x40 bolt", "1 gasket")
    return bench
