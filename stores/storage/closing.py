"""Closing out: notes at the end of a day, closings, where new pieces came from."""

from typing import Any

from sqlalchemy import Connection, func, select
from sqlmodel import col

from stores.model.ledger import Condition, PlaceKind
from stores.planning.audit import Fault
from stores.storage.acts import reversed_acts
from stores.storage.rows import (
    ActRow,
    ClosingRow,
    HandoverRow,
    ItemRow,
    MachineRow,
    MovementRow,
    PlaceRow,
)
from stores.text import local_day

__all__ = ["bought_from", "closed_out", "closing_faults", "handovers"]


def handovers(connection: Connection, machine: int) -> list[tuple[str, str]]:
    """Give the standing notes at the end of a day, the newest first: the day and the words."""
    gone = reversed_acts(connection)
    rows: Any = connection.execute(
        select(col(HandoverRow.act_id), col(HandoverRow.text), col(ActRow.happened_at))
        .join(ActRow, col(ActRow.id) == col(HandoverRow.act_id))
        .where(col(HandoverRow.machine_id) == machine)
        .order_by(col(HandoverRow.id).desc())
    )
    return [(local_day(row.happened_at), row.text) for row in rows if row.act_id not in gone]


def closed_out(connection: Connection, machine: int) -> tuple[int, str, str] | None:
    """Give the act, day and note by which a machine is closed out; None where it is not, or where
    its pieces have been moved since."""
    gone = reversed_acts(connection)
    rows: Any = connection.execute(
        select(col(ClosingRow.act_id), col(ClosingRow.note), col(ActRow.happened_at))
        .join(ActRow, col(ActRow.id) == col(ClosingRow.act_id))
        .where(col(ClosingRow.machine_id) == machine)
        .order_by(col(ClosingRow.id).desc())
    )
    for row in rows:
        if row.act_id in gone:
            continue
        moved = connection.execute(
            select(func.count())
            .select_from(MovementRow)
            .join(ItemRow, col(ItemRow.id) == col(MovementRow.item_id))
            .where(col(ItemRow.machine_id) == machine, col(MovementRow.act_id) > row.act_id)
        ).scalar()
        return None if moved else (row.act_id, local_day(row.happened_at), row.note)
    return None


def closing_faults(connection: Connection) -> list[Fault]:
    """Give the closings that the ledger contradicts: pieces were away or left over at the time."""
    faults = []
    rows: Any = connection.execute(
        select(col(ClosingRow.act_id), col(ClosingRow.machine_id), col(MachineRow.name))
        .join(MachineRow, col(MachineRow.id) == col(ClosingRow.machine_id))
        .order_by(col(ClosingRow.id))
    )
    for row in rows.all():
        for words, kinds in (
            ("away", [PlaceKind.FIRM]),
            ("left over", [kind for kind in PlaceKind if kind.in_hand]),
        ):
            count = _were(connection, row.machine_id, row.act_id, [kind.value for kind in kinds])
            if count:
                faults.append(
                    Fault(f"act {row.act_id}", f"closes {row.name} out with {count} pieces {words}")
                )
    return faults


def _were(connection: Connection, machine: int, act: int, kinds: list[str]) -> int:
    """Give how many old pieces of a machine were in places of these kinds before an act."""
    total = 0
    for sign, place, condition in (
        (1, MovementRow.to_place, MovementRow.to_condition),
        (-1, MovementRow.from_place, MovementRow.from_condition),
    ):
        moved = connection.execute(
            select(func.sum(col(MovementRow.quantity)))
            .join(ItemRow, col(ItemRow.id) == col(MovementRow.item_id))
            .join(PlaceRow, col(PlaceRow.id) == col(place))
            .where(
                col(ItemRow.machine_id) == machine,
                col(MovementRow.act_id) < act,
                col(PlaceRow.kind).in_(kinds),
                col(condition) != Condition.NEW.value,
            )
        ).scalar()
        total += sign * (moved or 0)
    return total


def bought_from(connection: Connection, machine: int) -> dict[int, list[str]]:
    """Give by item where its new pieces came from: ``4 from Hollin Fasteners, 2026-03-14``."""
    gone = reversed_acts(connection)
    rows: Any = connection.execute(
        select(
            col(MovementRow.item_id),
            col(MovementRow.act_id),
            col(MovementRow.quantity),
            col(PlaceRow.kind),
            col(PlaceRow.name),
            col(ActRow.happened_at),
        )
        .join(PlaceRow, col(PlaceRow.id) == col(MovementRow.from_place))
        .join(ItemRow, col(ItemRow.id) == col(MovementRow.item_id))
        .join(ActRow, col(ActRow.id) == col(MovementRow.act_id))
        .where(
            col(ItemRow.machine_id) == machine,
            col(PlaceRow.kind).in_([PlaceKind.BOUGHT.value, PlaceKind.REASSIGNED.value]),
            col(ActRow.reverses).is_(None),
        )
        .order_by(col(MovementRow.id))
    )
    found: dict[int, list[str]] = {}
    for row in rows:
        if row.act_id not in gone:
            firm = row.name if row.kind == PlaceKind.BOUGHT.value else "loose stock"
            found.setdefault(row.item_id, []).append(
                f"{row.quantity} from {firm}, {local_day(row.happened_at)}"
            )
    return found
