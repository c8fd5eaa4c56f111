"""What the tests share: a bench to type commands at."""

import contextlib
import io
import json
import shutil
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from stores.cli.app import main
from stores.storage import open_store
from stores.usecases.context import Context

# A busy machine is no fault of a property: how long an example takes is measured elsewhere.
settings.register_profile("steady", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("steady")


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
