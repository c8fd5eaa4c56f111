"""Balances as the database adds them up: one statement, on any database."""

from collections.abc import Collection, Iterable
from typing import Any

from sqlalchemy import Connection, Select, func, select, union_all
from sqlmodel import col

from stores.model.ledger import Balance, Condition, Spot
from stores.storage.tables import MovementRow

__all__ = ["balance_of", "balances", "chunks", "of_numbers"]

CHUNK = 500
"""Item numbers in one statement: databases limit how many values one may carry."""


def balances(items: Collection[int] | None, place: int | None = None) -> Select[Any]:
    """Give the statement that adds up (item, place, condition, pieces), zeros left out."""
    move = MovementRow
    arriving: Any = select(
        col(move.item_id).label("item"),
        col(move.to_place).label("place"),
        col(move.to_condition).label("condition"),
        col(move.quantity).label("pieces"),
    )
    leaving: Any = select(
        col(move.item_id), col(move.from_place), col(move.from_condition), -col(move.quantity)
    )
    if items is not None:
        arriving = arriving.where(col(move.item_id).in_(items))
        leaving = leaving.where(col(move.item_id).in_(items))
    if place is not None:
        arriving = arriving.where(col(move.to_place) == place)
        leaving = leaving.where(col(move.from_place) == place)
    both = union_all(arriving, leaving).subquery()
    total = func.sum(both.c.pieces)
    return (
        select(both.c.item, both.c.place, both.c.condition, total.label("pieces"))
        .group_by(both.c.item, both.c.place, both.c.condition)
        .having(total != 0)
    )


def balance_of(connection: Connection, items: Collection[int] | None) -> Balance:
    """Read the balance of these items, or of all."""
    pieces: dict[tuple[int, Spot], int] = {}
    for chunk in [None] if items is None else chunks(items):
        for item, place, condition, count in connection.execute(balances(chunk)):
            pieces[item, Spot(place, Condition(condition))] = int(count)
    return Balance(pieces)


def chunks(numbers: Iterable[int]) -> list[list[int]]:
    """Cut numbers into lists short enough for one statement."""
    listed = sorted(numbers)
    return [listed[start : start + CHUNK] for start in range(0, len(listed), CHUNK)]


def of_numbers(
    connection: Connection, statement: Any, column: Any, numbers: Collection[int] | None
) -> list[Any]:
    """Run a statement for the rows whose ``column`` is among these numbers, or for all."""
    if numbers is None:
        return list(connection.execute(statement))
    rows: list[Any] = []
    for chunk in chunks(numbers):
        rows += connection.execute(statement.where(column.in_(chunk)))
    return rows
