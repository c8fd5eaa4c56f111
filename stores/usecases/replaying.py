"""The whole stores as plain text, and a stores made anew from it."""

import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from stores.errors import BadValue, Refused
from stores.planning.audit import audit
from stores.storage import Store, address_of, open_store
from stores.storage.opening import HEAD, remove, rename
from stores.storage.plain import lines_of, replay_into
from stores.storage.whole import read_record

__all__ = ["export_lines", "replay"]


def export_lines(store: Store) -> Iterator[str]:
    """Give the whole record as lines: every act, also those that were undone."""
    with store.reading() as connection:
        yield from lines_of(connection, HEAD)


def replay(where: str, lines: Iterable[str]) -> int:
    """Make a stores anew from such lines, at a path or an empty database; give the rows.

    Raises:
        BadValue: the text cannot be read.
        Refused: there is a stores already, or the text has a fault that the audit finds.
    """
    address = address_of(where)
    if address.get_backend_name() != "sqlite":
        with open_store(where, create=True) as store:
            return _replay(store, lines)
    path = Path(str(address.database))
    if path.exists():
        raise Refused(f"{path} is there already: name another with --stores")
    partial = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        with open_store(str(partial), create=True) as store:
            count = _replay(store, lines)
        rename(partial, path)
    finally:
        remove(partial)
    return count


def _replay(store: Store, lines: Iterable[str]) -> int:
    with store.writing() as writer:
        try:
            count = replay_into(writer.connection, lines, HEAD)
        except UnicodeDecodeError:
            raise BadValue("this is no stores written as text: it is not UTF-8") from None
        record, faults = read_record(writer.connection)
        faults += audit(record)
        if faults:
            raise Refused(f"the text has {len(faults)} faults, the first: {faults[0]}")
    return count
