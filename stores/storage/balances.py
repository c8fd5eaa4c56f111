"""Balances as the database adds them up: one statement, on any database."""

from collections.abc import Collection, Iterable
from functools import cache, lru_cache
from typing import Any

from sqlalchemy import (
    BindParameter,
    Connection,
    Select,
    SelectBase,
    bindparam,
    func,
    select,
    union_all,
)
from sqlmodel import col

from stores.model.ledger import Balance, Condition, Spot
from stores.storage.tables import MovementRow

__all__ = ["Wanted", "balance_of", "balances", "chunks", "of_numbers", "pieces_of"]

Wanted = Collection[int] | SelectBase | None
"""Rows by their numbers, or by a statement that gives these and may give more; None is all."""

CHUNK = 500
"""Item numbers in one statement: databases limit how many values one may carry."""


_CONDITIONS = {each.value: each for each in Condition}


def balances(items: Wanted | BindParameter[Any], place: int | None = None) -> Select[Any]:
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
    return Balance(
        {
            (item, Spot(place, condition)): count
            for item, place, condition, count in pieces_of(connection, items)
        }
    )


def pieces_of(connection: Connection, items: Wanted) -> list[tuple[int, int, Condition, int]]:
    """Read how many pieces of these items, or of all, are at which place in which condition; the
    items may be a statement that gives their numbers."""
    if items is None or isinstance(items, SelectBase):
        rows = connection.execute(balances(items)).all()
    else:
        some = _balances_of_some()
        rows = [
            row for chunk in chunks(items) for row in connection.execute(some, {"numbers": chunk})
        ]
    return [
        (item, place, _CONDITIONS[condition], int(count)) for item, place, condition, count in rows
    ]


@cache
def _balances_of_some() -> Select[Any]:
    return balances(bindparam("numbers", expanding=True))


def chunks(numbers: Iterable[int]) -> list[list[int]]:
    """Cut numbers into lists short enough for one statement."""
    listed = sorted(numbers)
    return [listed[start : start + CHUNK] for start in range(0, len(listed), CHUNK)]


def of_numbers(
    connection: Connection,
    statement: Any,
    column: Any,
    numbers: Wanted,
) -> list[Any]:
    """Run a statement for the rows whose ``column`` is among these numbers, or for all; they may be
    a statement that gives them."""
    if numbers is None:
        return list(connection.execute(statement).all())
    if isinstance(numbers, SelectBase):
        return list(connection.execute(statement.where(column.in_(numbers))).all())
    rows: list[Any] = []
    narrowed = _narrowed(statement, column)
    for chunk in chunks(numbers):
        rows += connection.execute(narrowed, {"numbers": chunk}).all()
    return rows


@lru_cache(maxsize=64)
def _narrowed(statement: Any, column: Any) -> Any:
    """Return a statement for given rows. One that is built once, and asked again and again, is
    narrowed once too: a database answers sooner than a statement is put together."""
    return statement.where(column.in_(bindparam("numbers", expanding=True)))
