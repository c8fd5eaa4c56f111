"""Balances as the database adds them up: one statement, on any database."""

import json
from collections.abc import Collection
from functools import cache, lru_cache
from typing import Any

from sqlalchemy import (
    ARRAY,
    BigInteger,
    BindParameter,
    Boolean,
    Connection,
    Dialect,
    Select,
    SelectBase,
    String,
    TypeDecorator,
    bindparam,
    func,
    select,
    union_all,
)
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.sql.functions import FunctionElement
from sqlmodel import col

from stores.model.ledger import Balance, Condition, Spot
from stores.storage.tables import MovementRow

__all__ = ["NUMBERS", "Wanted", "among", "balance_of", "balances", "of_numbers", "pieces_of"]

Wanted = Collection[int] | SelectBase | None
"""Rows by their numbers, or by a statement that gives these and may give more; None is all."""


class _Numbers(TypeDecorator[Collection[int]]):
    """Numbers as one value: a list in JSON for SQLite, an array elsewhere."""

    impl = String
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> Any:
        """Give the type that carries them there."""
        return dialect.type_descriptor(
            String() if dialect.name == "sqlite" else ARRAY(BigInteger())
        )

    def process_bind_param(self, value: Any, dialect: Dialect) -> Any:
        """Write them down in the order of their size, so that rows come in the same everywhere."""
        return json.dumps(sorted(value)) if dialect.name == "sqlite" else sorted(value)


class _Among(FunctionElement[bool]):
    type = Boolean()
    inherit_cache = True

    def self_group(self, against: Any = None) -> Any:
        """Stand as it is beside others: compared with 1, it would be found by no index."""
        return self


@compiles(_Among)
def _among_elsewhere(element: Any, compiler: Any, **words: Any) -> str:
    column, numbers = (compiler.process(each, **words) for each in element.clauses)
    return f"{column} = ANY ({numbers})"


@compiles(_Among, "sqlite")
def _among_in_sqlite(element: Any, compiler: Any, **words: Any) -> str:
    column, numbers = (compiler.process(each, **words) for each in element.clauses)
    return f"{column} IN (SELECT value FROM json_each({numbers}))"


NUMBERS: BindParameter[Any] = bindparam("numbers", type_=_Numbers())
"""Numbers that a statement is given when it is run."""


def among(column: Any, numbers: Collection[int] | BindParameter[Any]) -> Any:
    """Return the condition that a column is one of these numbers, however many.

    They are one value and not one each: a statement has the same text for any of them, so that a
    database and its driver prepare it once, and no limit on values has to be kept to.
    """
    given = isinstance(numbers, BindParameter)
    return _Among(column, numbers if given else bindparam(None, numbers, type_=_Numbers()))


def within(column: Any, value: object) -> Any:
    """Return the condition that a column is a value, or lies within the two ends of a range."""
    return column.between(*value) if isinstance(value, tuple) else column == value


_CONDITIONS = {each.value: each for each in Condition}


def _one_of(column: Any, wanted: Collection[int] | SelectBase | BindParameter[Any]) -> Any:
    return column.in_(wanted) if isinstance(wanted, SelectBase) else among(column, wanted)


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
        arriving = arriving.where(_one_of(col(move.item_id), items))
        leaving = leaving.where(_one_of(col(move.item_id), items))
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
        rows = connection.execute(_balances_of_some(), {"numbers": items}).all() if items else []
    return [
        (item, place, _CONDITIONS[condition], int(count)) for item, place, condition, count in rows
    ]


@cache
def _balances_of_some() -> Select[Any]:
    return balances(NUMBERS)


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
    if not numbers:
        return []
    return list(connection.execute(_narrowed(statement, column), {"numbers": numbers}).all())


@lru_cache(maxsize=64)
def _narrowed(statement: Any, column: Any) -> Any:
    """Return a statement for given rows. One that is built once, and asked again and again, is
    narrowed once too: a database answers sooner than a statement is put together."""
    return statement.where(among(column, NUMBERS))
