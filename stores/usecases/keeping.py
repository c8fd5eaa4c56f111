"""Keeping the record: a second copy, the whole as plain text, and a stores made anew from it."""

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from stores.errors import BadValue, Refused
from stores.planning.audit import audit
from stores.storage import Store, address_of, open_store
from stores.storage.opening import HEAD, remove, rename
from stores.storage.plain import lines_of, replay_into
from stores.storage.whole import read_record
from stores.usecases.context import Context

__all__ = ["Copied", "Copy", "Reload", "Reloaded", "copy", "export", "reload"]


@dataclass(frozen=True, slots=True)
class Copy:
    """A second copy of the whole record, at a path where nothing is yet."""

    to: Path


@dataclass(frozen=True, slots=True)
class Copied:
    """Where the copy is."""

    to: Path


@dataclass(frozen=True, slots=True)
class Reload:
    """A stores to be made from the lines of an export: at a path, or in an empty database."""

    to: str
    lines: Iterable[str]


@dataclass(frozen=True, slots=True)
class Reloaded:
    """A stores made anew: its rows, without a fault that the audit finds."""

    to: str
    rows: int


def copy(context: Context, ask: Copy) -> Copied:
    """Make a second copy of the whole record.

    Raises:
        StorageError: there is a file already, it cannot be written, or the stores is no file.
    """
    context.store.copy(ask.to)
    return Copied(ask.to)


def export(context: Context) -> Iterator[str]:
    """Return the whole record as lines without their ends: every act, also those undone."""
    with context.reading() as connection:
        yield from lines_of(connection, HEAD)


def reload(ask: Reload) -> Reloaded:
    """Make a stores anew, whole or not at all.

    Raises:
        BadValue: the text cannot be read.
        Refused: there is a stores already, or the text has a fault that the audit finds.
    """
    address = address_of(ask.to)
    if address.get_backend_name() != "sqlite":
        with open_store(ask.to, create=True) as store:
            return Reloaded(ask.to, _reload(store, ask.lines))
    path = Path(str(address.database))
    if path.exists():
        raise Refused("stores there already", path=path)
    partial = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        with open_store(str(partial), create=True) as store:
            rows = _reload(store, ask.lines)
        rename(partial, path)
    finally:
        remove(partial)
    return Reloaded(ask.to, rows)


def _reload(store: Store, lines: Iterable[str]) -> int:
    with store.writing() as writer:
        try:
            rows = replay_into(writer.connection, lines, HEAD)
        except UnicodeDecodeError:
            raise BadValue("text is not UTF-8") from None
        record, faults = read_record(writer.connection)
        faults += audit(record)
        if faults:
            raise Refused("text has faults", count=len(faults), first=str(faults[0]))
    return rows
