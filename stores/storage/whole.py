"""The whole record, for the audit: read so that what cannot be read is a fault, not a crash."""

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, select
from sqlmodel import col

from stores import bagcode
from stores.errors import StoresError
from stores.model.ledger import Act, ActKind, Condition, Movement, PlaceKind, Spot, fallen_acts
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

__all__ = ["read_record"]


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
