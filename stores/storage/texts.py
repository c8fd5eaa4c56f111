"""What is written in each row, looked at value by value: for a record that others may have written.

A person's own words go through `stores.text.clean` before they are kept. A plain text that is read
in, or a file that somebody sent, went through nothing of ours: the same is asked of it here.
"""

import re
from collections.abc import Callable, Iterator
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Integer, column, inspect, select, table
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
    faults: list[Fault] = []
    for (_, name), columns in sorted(inspect(connection).get_multi_columns().items()):
        if name == "alembic_version":
            continue
        whole = {each["name"] for each in columns if isinstance(each["type"], Integer)}
        rows: Any = select(*(column(each["name"]) for each in columns)).select_from(table(name))
        try:
            for row in connection.execute(rows.order_by(column("id"))).mappings():
                where = f"{name} {row['id']}"
                faults += [Fault(where, what) for what in _row_faults(name, whole, row)]
        except (OperationalError, UnicodeDecodeError):
            faults.append(Fault(name, "has a text that is not UTF-8"))
    return faults


def _row_faults(of: str, whole: set[str], row: Any) -> Iterator[str]:
    for name, value in row.items():
        if value is None:
            continue
        if name in whole:
            if not isinstance(value, int):
                yield f"{name} is no whole number"
        elif not isinstance(value, str):
            yield f"{name} is no text"
        else:
            if unkept := _unkept(value):
                yield f"{name}: {unkept}"
            rule = _RULES.get((of, name))
            if rule and (fault := rule(value, row)):
                yield f"{name}: {fault}"


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
