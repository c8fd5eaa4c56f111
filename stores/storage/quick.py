"""What a calculator has to know of a record, read without loading what a database takes to load.

A calculator answers in a tenth of a second; SQLAlchemy alone takes several. Only settings of the
whole stores are read so, and what cannot be read is as if nothing had been chosen.
"""

import contextlib
import importlib.util
import re
import sqlite3
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import quote

from stores.storage.as_read import FALLEN, JOINED_STEPS, PATH, THERE, newest

__all__ = ["Names", "quick_names", "quick_settings"]


class Names(NamedTuple):
    """What things are called in a stores, as they read now and as far as they stand."""

    machines: tuple[str, ...] = ()
    assemblies: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    items: tuple[str, ...] = ()
    bags: tuple[str, ...] = ()
    places: tuple[str, ...] = ()
    firms: tuple[str, ...] = ()


def quick_settings(where: str) -> dict[str, str]:
    """Return what was chosen for the whole stores at a path or database address, by name.

    Empty where there is no stores, or none that can be read. Choices taken back do not count.
    """
    if "://" in where:
        return _by_the_long_way(where)
    try:
        with _looked_into(where, seconds=1.0) as connection:
            return {} if connection is None else _chosen(connection)
    except _UNREADABLE:
        return {}


def quick_names(where: str) -> Names:
    """Return what things are called in the stores at a path or database address, to complete what
    is being typed.

    Nothing where there is none, where it cannot be read, or where a server takes longer than a
    person waits at each press of a key.
    """
    if "://" in where:
        return _of_a_server(where)
    try:
        with _looked_into(where, seconds=0.1) as connection:
            if connection is None:
                return Names()
            return _named(connection.execute)
    except _UNREADABLE:
        return Names()


def _named(execute: Callable[[str], Any]) -> Names:
    every = [execute(statement).fetchall() for statement in _NAMES]
    return Names(*(tuple(str(name) for (name,) in rows) for rows in every))


_PATIENCE = 1.0
"""Seconds: whoever presses the key and sees nothing presses it again."""


def _of_a_server(where: str) -> Names:
    """Ask a server without SQLAlchemy, in a thread that is left to itself when it takes too long:
    a name that nobody answers to keeps one waiting for minutes."""
    found: list[Names] = []

    def ask() -> None:
        import psycopg

        address = re.sub(r"^postgresql\+\w+:", "postgresql:", where)
        with contextlib.suppress(psycopg.Error), psycopg.connect(address) as connection:
            connection.read_only = True
            found.append(_named(connection.execute))

    if where.startswith("postgresql") and importlib.util.find_spec("psycopg"):
        asking = threading.Thread(target=ask, daemon=True)
        asking.start()
        asking.join(_PATIENCE)
    return found[0] if found else Names()


_UNREADABLE = (sqlite3.Error, OSError, RuntimeError, ValueError)
_STANDS = f"act_id NOT IN ({FALLEN})"
_STEPS = (
    f"SELECT own.id AS id, coalesce({newest('step', 't.id', 'number', 'number')}, t.number) AS n, "
    f"coalesce({newest('step', 't.id', 'assembly_id', 'number')}, t.assembly_id) AS of_assembly "
    f"FROM {JOINED_STEPS} WHERE own.{_STANDS}"
)
_LINE = f"coalesce({newest('item', 't.id', 'line', 'number')}, t.line)"
_OF_STEP = f"coalesce({newest('item', 't.id', 'step_id', 'number')}, t.step_id)"
_NAMES = (
    f"SELECT coalesce({newest('machine', 't.id', 'name', 'text')}, t.name) FROM machine t "
    f"WHERE t.{_STANDS} ORDER BY t.id",
    f"SELECT DISTINCT {PATH} AS path FROM assembly t "
    f"WHERE t.id IN (SELECT of_assembly FROM ({_STEPS}) s) ORDER BY path",
    f"SELECT DISTINCT n FROM ({_STEPS}) s ORDER BY n",
    f"SELECT s.n || '.' || {_LINE} FROM item t JOIN ({_STEPS}) s ON s.id = {_OF_STEP}{THERE} "
    f"AND t.{_STANDS} UNION SELECT '0.' || {_LINE} FROM item t{THERE} AND t.step_id IS NULL "
    f"AND t.{_STANDS}",
    "SELECT name FROM place WHERE kind = 'bag' AND id IN (SELECT to_place FROM movement "
    f"WHERE {_STANDS}) ORDER BY name",
    "SELECT name FROM place WHERE kind IN ('box', 'shelf') ORDER BY name",
    "SELECT DISTINCT name FROM place WHERE kind IN ('firm', 'bought from') ORDER BY name",
)
"""The statements of `Names`, in the order of its fields."""


@contextlib.contextmanager
def _looked_into(where: str, *, seconds: float) -> Iterator[sqlite3.Connection | None]:
    """Open a file to read only, waiting no longer than that for a writer; None where there is
    none."""
    path = Path(where).expanduser().absolute()
    if "://" in where or not path.is_file():
        yield None
        return
    with contextlib.closing(
        sqlite3.connect(f"file:{quote(str(path))}?mode=ro", uri=True, timeout=seconds)
    ) as connection:
        yield connection


def _chosen(connection: sqlite3.Connection) -> dict[str, str]:
    rows = connection.execute(
        "SELECT act_id, name, value FROM setting WHERE machine_id IS NULL ORDER BY id"
    ).fetchall()
    if not rows:
        return {}
    from stores.model.ledger import fallen_acts

    back = "SELECT id, reverses FROM act WHERE reverses IS NOT NULL"
    fallen = fallen_acts(dict(connection.execute(back).fetchall()))
    chosen = {name: value for act, name, value in rows if act not in fallen}
    return {name: value for name, value in chosen.items() if value}


def _by_the_long_way(where: str) -> dict[str, str]:
    from stores.errors import StoresError
    from stores.storage.opening import open_store
    from stores.storage.settings import read_settings

    try:
        with open_store(where) as store, store.reading() as connection:
            return read_settings(connection)
    except StoresError:
        return {}
