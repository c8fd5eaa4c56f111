"""The whole stores as plain text, and back: JSON lines, one row each, in an order that replays.

::

    {"stores": 1, "tables": "0011"}
    ["act", {"id": 1, "kind": "machine", ...}]
    ...
    {"rows": 412}

A row comes after all that it names. The last line counts the rows, so that a torn file is noticed.
What is read from a description's text is read anew: an older program may have read it otherwise.

The plain text is every row in an order that replays, its last line counts them; it is written
beside, audited inside the transaction, then renamed. A faulty record can be exported, not replayed.
"""

import json
import re
from collections.abc import Iterable, Iterator
from typing import Any

from sqlalchemy import Connection, MetaData, Table, func, insert, select

from stores.errors import BadValue, Refused
from stores.storage.descriptions import read_anew
from stores.storage.renumbering import Renumbered

__all__ = ["FORMAT", "count_rows", "lines_of", "replay_into"]

FORMAT = 1
"""The number of this way of writing."""

OLDER = frozenset({"0004", "0005", "0006", "0008", "0010", "0011", "0013"})
"""Versions of the tables whose text reads in: what came since may be empty, and loose items are
numbered anew where two had one number."""

_ADDED: dict[str, dict[str, Any]] = {
    "item": {"unit": "", "formerly": ""},
    "kept_spare": {"stock": 0},
    "purchase_line": {"unit": "", "stock": 0},
}
"""Columns that an older text has not got, with what they are then."""

_HALF = re.compile("[\ud800-\udfff]")
_PIECE = 1000
_KEPT_APART = "alembic_version"


def lines_of(connection: Connection, version: str) -> Iterator[str]:
    """Give every row that was ever written, as lines without their ends; memory stays flat."""
    yield _line({"stores": FORMAT, "tables": version})
    count = 0
    for table in _tables(connection):
        rows = connection.execution_options(yield_per=_PIECE).execute(
            select(table).order_by(table.c.id)
        )
        for row in rows.mappings():
            yield _line([table.name, dict(row)])
            count += 1
    yield _line({"rows": count})


def count_rows(connection: Connection, only: str = "") -> int:
    """Count every row that was ever written, or those of one table."""
    tables = [each for each in _tables(connection) if only in ("", each.name)]
    counts = (connection.execute(select(func.count()).select_from(table)) for table in tables)
    return sum(int(count.scalar_one()) for count in counts)


def replay_into(connection: Connection, lines: Iterable[str], version: str) -> int:
    """Write such lines into an empty stores, within the transaction it is given; give the rows.

    Raises:
        BadValue: not such text, torn, or of another version; says which line.
        Refused: the stores is not empty.
    """
    tables = {table.name: table for table in _tables(connection)}
    order = {name: place for place, name in enumerate(tables)}
    if connection.execute(select(func.count()).select_from(tables["act"])).scalar():
        raise Refused("that record has entries already: reload into a new file")
    waiting: list[dict[str, Any]] = []
    older: Renumbered | None = None
    current = ""
    count, number, end = 0, 0, None

    def flush() -> None:
        if waiting:
            connection.execute(insert(tables[current]), waiting)
            waiting.clear()

    for number, line in enumerate(lines, start=1):
        said = _read(line, number)
        if number == 1:
            _check_head(said, version)
            older = Renumbered() if said["tables"] != version else None
            continue
        if end is not None:
            raise BadValue(f"line {number}: there is more after the last line")
        if isinstance(said, dict):
            end = said.get("rows")
            continue
        name, row = _row(said, number, tables, older=older is not None)
        if older is not None:
            older.take(name, row)
        if name == "description" and isinstance(row["text"], str):
            row |= read_anew(row["text"], row["kind"])
        if name != current or len(waiting) >= _PIECE:
            if order[name] < order.get(current, -1):
                raise BadValue(f"line {number}: a row of {name} after rows of {current}")
            flush()
            current = name
        waiting.append(row)
        count += 1
    flush()
    if end != count:
        raise BadValue(f"the text is not whole: it stops after line {number:,}, {count:,} rows")
    _go_on_numbering(connection, tables.values())
    return count


def _tables(connection: Connection) -> list[Table]:
    known = MetaData()
    known.reflect(connection)
    return [table for table in known.sorted_tables if table.name != _KEPT_APART]


def _line(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(", ", ": "))


def _read(line: str, number: int) -> Any:
    try:
        return json.loads(line)
    except (ValueError, RecursionError):
        raise BadValue(f"line {number}: no line of a stores written as text") from None


def _check_head(said: Any, version: str) -> None:
    if not isinstance(said, dict) or said.get("stores") != FORMAT:
        raise BadValue("line 1: this was not written by 'stores record export'")
    if said.get("tables") not in OLDER | {version}:
        raise BadValue(
            f"line 1: written with tables {str(said.get('tables'))[:20]!r}, this program has "
            f"{version!r}: export it again with this program, or reload it with the other"
        )


def _row(
    said: Any, number: int, tables: dict[str, Table], *, older: bool
) -> tuple[str, dict[str, Any]]:
    if not (isinstance(said, list) and len(said) == 2 and isinstance(said[1], dict)):
        raise BadValue(f"line {number}: no row: it should be a table's name and its columns")
    name, row = said
    if not isinstance(name, str) or name not in tables:
        raise BadValue(f"line {number}: there is no table {str(name)[:40]!r}")
    columns = {column.name for column in tables[name].columns}
    added = _ADDED.get(name, {}) if older else {}
    row = {column.name: None for column in tables[name].columns if column.nullable} | added | row
    if set(row) != columns:
        odd = ", ".join(sorted(set(row) ^ columns))
        raise BadValue(f"line {number}: a row of {name} with other columns: {odd[:100]}")
    for column, value in row.items():
        whole = isinstance(value, int) and not isinstance(value, bool) and abs(value) < 1 << 63
        if not (value is None or whole or isinstance(value, str)):
            raise BadValue(f"line {number}: {column} is neither text nor a whole number")
        if isinstance(value, str) and _HALF.search(value):
            raise BadValue(f"line {number}: {column} has half a character, so it is no text")
    return name, row


def _go_on_numbering(connection: Connection, tables: Iterable[Table]) -> None:
    """Let the numbers of new rows go on after the last: PostgreSQL counts them apart."""
    if connection.dialect.name != "postgresql":
        return
    for table in tables:
        last = connection.execute(select(func.max(table.c.id))).scalar()
        if last is not None:
            connection.execute(
                select(func.setval(func.pg_get_serial_sequence(table.name, "id"), last))
            )
