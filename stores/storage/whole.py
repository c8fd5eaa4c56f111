"""The whole record, for the audit: read so that what cannot be read is a fault, not a crash.

What is written in each row is looked at value by value, for a record that others may have written.
A person's own words go through `stores.text.clean` before they are kept. A plain text that is read
in, or a file that somebody sent, went through nothing of ours: the same is asked of it here.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Integer, column, inspect, select, table
from sqlalchemy.exc import OperationalError
from sqlmodel import col

from stores import bagcode
from stores.errors import BadValue, NotationError, StoresError
from stores.model.ledger import Act, ActKind, Condition, Movement, PlaceKind, Spot, fallen_acts
from stores.model.work_units import TORQUES, VOLUMES
from stores.planning.audit import Fault, Record
from stores.storage.corrections import EVERY_ITEM, STEPS
from stores.storage.opening import numbers_have_no_gaps
from stores.storage.tables import (
    ActRow,
    DescriptionRow,
    FindingRow,
    MovementRow,
    PlaceRow,
    SpecificationRow,
)
from stores.text import clean

__all__ = ["read_record", "text_faults"]

_LONGEST = 1_000_000
_PICTURE = re.compile(r"[0-9a-f]{64}")
_FORMATS = (".jpg", ".png", ".heic")
_WHOLE = ("minutes a step", "minutes a week", "seconds that the camera is fast")
"""Settings that are a whole number."""


def read_record(connection: Connection) -> tuple[Record, list[Fault]]:
    """Read all that was ever written, and the faults of what cannot be read."""
    faults: list[Fault] = []
    moves: dict[int, list[Movement]] = {}
    for row in _rows(connection, MovementRow):
        move = _read(faults, f"act {row.act_id}, movement {row.id}", _movement, row)
        if move is not None:
            moves.setdefault(row.act_id, []).append(move)
    acts: dict[int, Act] = {}
    for row in _rows(connection, ActRow):
        where = f"act {row.id}"
        _read(faults, where, datetime.fromisoformat, row.happened_at)
        kind = _read(faults, where, ActKind, row.kind)
        if kind is not None:
            acts[row.id] = Act(kind, tuple(moves.get(row.id, ())), row.reason, row.reverses)
    kinds: dict[int, PlaceKind] = {}
    names: dict[int, str] = {}
    for row in _rows(connection, PlaceRow):
        names[row.id] = str(row.name)
        place = _read(faults, f"place {row.id}", PlaceKind, row.kind)
        if place is not None:
            kinds[row.id] = place
        if place is PlaceKind.BAG:
            _read(faults, f"bag {row.name}", bagcode.check, str(row.name))
    gone = fallen_acts({n: act.reverses for n, act in acts.items() if act.reverses is not None})
    items = _items(connection)
    faults += _unspecified(connection, items)
    return (
        Record(
            acts,
            kinds,
            {row.id: f"{row.number or 0}.{row.line} {row.text or '?'}" for row in items},
            names,
            {
                row.id: row.found
                for row in items
                if row.act_id not in gone and row.step_id is not None and row.found
            },
            frozenset(row.id for row in items if row.act_id in gone),
            _judged(connection),
            gapless=numbers_have_no_gaps(connection),
        ),
        faults,
    )


def _rows(connection: Connection, table: Any) -> Any:
    return connection.execute(select(table.__table__).order_by(col(table.id)))


def _read(faults: list[Fault], where: str, read: Callable[[Any], Any], value: Any) -> Any:
    try:
        return read(value)
    except (StoresError, ValueError, TypeError) as error:
        faults.append(Fault(where, f"cannot be read: {error}"))
        return None


def _movement(row: Any) -> Movement:
    return Movement(
        row.item_id,
        row.quantity,
        Spot(row.from_place, Condition(row.from_condition)),
        Spot(row.to_place, Condition(row.to_condition)),
    )


def _items(connection: Connection) -> list[Any]:
    statement: Any = (
        select(
            EVERY_ITEM.c.id,
            EVERY_ITEM.c.act_id,
            EVERY_ITEM.c.step_id,
            EVERY_ITEM.c.line,
            EVERY_ITEM.c.found,
            col(DescriptionRow.text),
            STEPS.c.number,
        )
        .select_from(EVERY_ITEM)
        .join(DescriptionRow, col(DescriptionRow.id) == EVERY_ITEM.c.description_id, isouter=True)
        .join(STEPS, STEPS.c.id == EVERY_ITEM.c.step_id, isouter=True)
        .order_by(EVERY_ITEM.c.id)
    )
    return list(connection.execute(statement))


def _unspecified(connection: Connection, items: list[Any]) -> list[Fault]:
    """Every item was specified when it was written down."""
    rows: Any = connection.execute(
        select(col(SpecificationRow.item_id), col(SpecificationRow.act_id))
    )
    specified = {(item, act) for item, act in rows}
    return [
        Fault(f"{row.number or 0}.{row.line} {row.text}", "its specification is missing")
        for row in items
        if (row.id, row.act_id) not in specified
    ]


def _judged(connection: Connection) -> Mapping[tuple[int, int], int]:
    judged: dict[tuple[int, int], int] = {}
    for row in _rows(connection, FindingRow):
        if isinstance(row.quantity, int):
            key = (row.act_id, row.item_id)
            judged[key] = judged.get(key, 0) + row.quantity
    return judged


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
