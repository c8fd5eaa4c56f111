"""Pieces that one joint lent to another, until they are made good."""

from typing import Any

from sqlalchemy import Connection, func, select
from sqlmodel import col

from stores.planning.audit import Fault
from stores.planning.debts import Debt
from stores.storage.acts import reversed_acts
from stores.storage.items import read_items
from stores.storage.rows import ActRow, DebtRow, MovementRow
from stores.text import local_day

__all__ = ["debt_faults", "read_debts"]


def read_debts(connection: Connection) -> list[Debt]:
    """Give what joints are still owed, the oldest first.

    A debt is made good when its joint is short no longer: with a new piece, or the old one back.
    """
    gone = reversed_acts(connection)
    rows: Any = connection.execute(
        select(DebtRow.__table__, col(ActRow.happened_at))  # type: ignore[attr-defined]
        .join(ActRow, col(ActRow.id) == col(DebtRow.act_id))
        .order_by(col(DebtRow.id))
    )
    standing = [row for row in rows if row.act_id not in gone]
    wanted = {number for row in standing for number in (row.item_id, row.to_item_id)}
    known = {item.number: item for item in read_items(connection, numbers=wanted)} if wanted else {}
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


def debt_faults(connection: Connection) -> list[Fault]:
    """Give the debts that the ledger does not bear out: in the same act as many pieces left the
    joint that is owed them as came to the other."""
    gone = reversed_acts(connection)
    faults = []
    rows: Any = connection.execute(select(DebtRow.__table__).order_by(col(DebtRow.id)))  # type: ignore[attr-defined]
    for row in [row for row in rows if row.act_id not in gone]:
        left, came = (
            _pieces(connection, row.act_id, item) for item in (row.item_id, row.to_item_id)
        )
        if row.item_id == row.to_item_id or not left == came == row.quantity:
            faults.append(
                Fault(
                    f"act {row.act_id}",
                    f"a debt of {row.quantity}, but {left} left the joint and {came} came to the "
                    "other",
                )
            )
    return faults


def _pieces(connection: Connection, act: int, item: int) -> int:
    """Give how many pieces of an item an act moved; each robbed piece moves once for either."""
    moved = connection.execute(
        select(func.sum(col(MovementRow.quantity))).where(
            col(MovementRow.act_id) == act, col(MovementRow.item_id) == item
        )
    ).scalar()
    return int(moved or 0)
