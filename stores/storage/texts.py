"""What is written in each row, looked at value by value: for a record that others may have written.

A person's own words go through `stores.text.clean` before they are kept. A plain text that is read
in, or a file that somebody sent, went through nothing of ours: the same is asked of it here.
"""

import re
from collections.abc import Callable, Iterator
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Integer, MetaData, select
from sqlalchemy.exc import OperationalError

from stores.errors import BadValue, NotationError
from stores.model.work_units import TORQUES, VOLUMES
from stores.planning.audit import Fault
from stores.text import clean

__all__ = ["text_faults"]

_LONGEST = 1_000_000
_PICTURE = re.compile(r"[0-9a-f]{64}")
_FORMATS = (".jpg", ".png", ".heic")
_WHOLE = ("minutes a step", "minutes a week", "seconds that the camera is fast")
"""Settings that are a whole number."""


def text_faults(connection: Connection) -> list[Fault]:
    """Return every value that is not of the sort that its column holds, or that none of our own
    commands would have kept: control characters, half a character, a day that is none, the name of
    a picture's file that is no digest."""
    known = MetaData()
    known.reflect(connection)
    faults: list[Fault] = []
    for table in known.sorted_tables:
        if table.name == "alembic_version":
            continue
        whole = {column.name for column in table.columns if isinstance(column.type, Integer)}
        try:
            for row in connection.execute(select(table).order_by(table.c.id)).mappings():
                where = f"{table.name} {row['id']}"
                faults += [Fault(where, what) for what in _row_faults(table.name, whole, row)]
        except (OperationalError, UnicodeDecodeError):
            faults.append(Fault(table.name, "has a text that is not UTF-8"))
    return faults


def _row_faults(table: str, whole: set[str], row: Any) -> Iterator[str]:
    for column, value in row.items():
        if value is None:
            continue
        if column in whole:
            if not isinstance(value, int):
                yield f"{column} is no whole number"
        elif not isinstance(value, str):
            yield f"{column} is no text"
        else:
            if unkept := _unkept(value):
                yield f"{column}: {unkept}"
            rule = _RULES.get((table, column))
            if rule and (fault := rule(value, row)):
                yield f"{column}: {fault}"


def _unkept(value: str) -> str:
    """Return why a text is one that is never kept; empty for any other."""
    try:
        clean(value, "it", most=_LONGEST, empty=True, lines=True)
    except (BadValue, NotationError) as error:
        return str(error)
    return ""


def _moment(value: str, _row: Any) -> str:
    try:
        datetime.fromisoformat(value)
    except ValueError:
        return "no day or time"
    return ""


def _taken(value: str, row: Any) -> str:
    return _moment(value, row) if value else ""


def _digest(value: str, _row: Any) -> str:
    return "" if _PICTURE.fullmatch(value) else "no digest of a picture"


def _format(value: str, _row: Any) -> str:
    return "" if value in _FORMATS else f"none of {', '.join(_FORMATS)}"


def _setting(value: str, row: Any) -> str:
    of = {"torque unit": TORQUES, "volume unit": VOLUMES}.get(row["name"])
    if not value or (of is not None and value in of):
        return ""
    if of is not None:
        return f"{row['name']} is none of {', '.join(of)}"
    if row["name"] in _WHOLE and not re.fullmatch(r"-?\d{1,9}", value, re.ASCII):
        return f"{row['name']} is no whole number"
    return ""


_RULES: dict[tuple[str, str], Callable[[str, Any], str]] = {
    ("act", "written_at"): _moment,
    ("picture", "taken_at"): _taken,
    ("picture", "digest"): _digest,
    ("picture", "format"): _format,
    ("setting", "value"): _setting,
}
