"""Pieces that one joint lent to another, until they are made good."""

from typing import Any

from sqlalchemy import Connection, select
from sqlmodel import col

from stores.planning.debts import Debt
from stores.queries.acts import fallen
from stores.queries.items import items, local_day
from stores.storage.rows import ActRow, DebtRow

__all__ = ["debts"]


def debts(connection: Connection) -> list[Debt]:
    """Give what joints are still owed, the oldest first.

    A debt is made good when its joint is short no longer: with a new piece, or the old one back.
    """
    gone = fallen(connection)
    rows: Any = connection.execute(
        select(DebtRow.__table__, col(ActRow.happened_at))  # type: ignore[attr-defined]
        .join(ActRow, col(ActRow.id) == col(DebtRow.act_id))
        .order_by(col(DebtRow.id))
    )
    standing = [row for row in rows if row.act_id not in gone]
    wanted = {number for row in standing for number in (row.item_id, row.to_item_id)}
    known = {item.number: item for item in items(connection, numbers=wanted)} if wanted else {}
    left = {number: item.short for number, item in known.items()}
    found = []
    for row in standing:
        if row.item_id not in known or row.to_item_id not in known:
            continue
        count = min(row.quantity, left[row.item_id])
        if count:
            left[row.item_id] -= count
            found.append(
                Debt(known[row.item_id], known[row.to_item_id], count, local_day(row.happened_at))
            )
    return found
