"""Closing out: notes at the end of a day, closings, where new pieces came from."""

from typing import Any

from sqlalchemy import Connection, func, select
from sqlmodel import Field, SQLModel, col

from stores.model.ledger import Condition, PlaceKind
from stores.planning.audit import Fault
from stores.storage.acts import standing
from stores.storage.corrections import ITEMS, MACHINES
from stores.storage.tables import ActRow, MovementRow, PlaceRow
from stores.text import day_words, local_day

__all__ = [
    "ClosingRow",
    "HandoverRow",
    "bought_from",
    "closed_out",
    "closing_faults",
    "handovers",
]


class HandoverRow(SQLModel, table=True):
    """What a person wrote down at the end of a day."""

    __tablename__ = "handover"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    machine_id: int = Field(foreign_key="machine.id")
    text: str


class ClosingRow(SQLModel, table=True):
    """A machine closed out: nothing left over, nothing short, nothing away, no snag open."""

    __tablename__ = "closing"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    machine_id: int = Field(foreign_key="machine.id")
    note: str = ""


def handovers(connection: Connection, machine: int) -> list[tuple[str, str]]:
    """Return the standing notes at the end of a day, the newest first: the day and the words."""
    rows = standing(
        connection,
        select(col(HandoverRow.act_id), col(HandoverRow.text), col(ActRow.happened_at))
        .join(ActRow, col(ActRow.id) == col(HandoverRow.act_id))
        .where(col(HandoverRow.machine_id) == machine)
        .order_by(col(HandoverRow.id).desc()),
    )
    return [(local_day(row.happened_at), row.text) for row in rows]


def closed_out(connection: Connection, machine: int) -> tuple[int, str, str] | None:
    """Return the act, day and note by which a machine is closed out; None where it is not, or where
    its pieces have been moved since."""
    rows = standing(
        connection,
        select(col(ClosingRow.act_id), col(ClosingRow.note), col(ActRow.happened_at))
        .join(ActRow, col(ActRow.id) == col(ClosingRow.act_id))
        .where(col(ClosingRow.machine_id) == machine)
        .order_by(col(ClosingRow.id).desc()),
    )
    if not rows:
        return None
    last = rows[0]
    later = connection.execute(
        select(func.count())
        .select_from(MovementRow)
        .join(ITEMS, ITEMS.c.id == col(MovementRow.item_id))
        .where(ITEMS.c.machine_id == machine, col(MovementRow.act_id) > last.act_id)
    ).scalar()
    return None if later else (last.act_id, local_day(last.happened_at), last.note)


def closing_faults(connection: Connection) -> list[Fault]:
    """Return the closings that the ledger contradicts: pieces were away or left over then."""
    faults = []
    rows: Any = connection.execute(
        select(col(ClosingRow.act_id), col(ClosingRow.machine_id), MACHINES.c.name)
        .select_from(ClosingRow)
        .join(MACHINES, MACHINES.c.id == col(ClosingRow.machine_id))
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
    """Return how many old pieces of a machine were in places of these kinds before an act."""
    total = 0
    for sign, place, condition in (
        (1, MovementRow.to_place, MovementRow.to_condition),
        (-1, MovementRow.from_place, MovementRow.from_condition),
    ):
        moved = connection.execute(
            select(func.sum(col(MovementRow.quantity)))
            .join(ITEMS, ITEMS.c.id == col(MovementRow.item_id))
            .join(PlaceRow, col(PlaceRow.id) == col(place))
            .where(
                ITEMS.c.machine_id == machine,
                col(MovementRow.act_id) < act,
                col(PlaceRow.kind).in_(kinds),
                col(condition) != Condition.NEW.value,
            )
        ).scalar()
        total += sign * (moved or 0)
    return total


def bought_from(connection: Connection, machine: int) -> dict[int, list[str]]:
    """Return by item where pieces came from that did not come with it, the new ones first:
    ``new: 4 from Hollin Fasteners, 14 Mar 2026``."""
    rows = standing(
        connection,
        select(
            col(MovementRow.item_id),
            col(MovementRow.act_id),
            col(MovementRow.quantity),
            col(MovementRow.to_condition),
            col(PlaceRow.kind),
            col(PlaceRow.name),
            col(ActRow.happened_at),
        )
        .select_from(MovementRow)
        .join(PlaceRow, col(PlaceRow.id) == col(MovementRow.from_place))
        .join(ITEMS, ITEMS.c.id == col(MovementRow.item_id))
        .join(ActRow, col(ActRow.id) == col(MovementRow.act_id))
        .where(
            ITEMS.c.machine_id == machine,
            col(PlaceRow.kind).in_([PlaceKind.BOUGHT.value, PlaceKind.REASSIGNED.value]),
            col(ActRow.reverses).is_(None),
        )
        .order_by(col(MovementRow.id)),
    )
    sources: dict[int, dict[bool, list[str]]] = {}
    for row in rows:
        firm = row.name if row.kind == PlaceKind.BOUGHT.value else "loose stock"
        new = row.to_condition == Condition.NEW.value
        sources.setdefault(row.item_id, {True: [], False: []})[new].append(
            f"{row.quantity} from {firm}, {day_words(local_day(row.happened_at))}"
        )
    return {
        item: [
            f"{'new' if new else 'not new'}: {'; '.join(texts)}"
            for new, texts in listed.items()
            if texts
        ]
        for item, listed in sources.items()
    }
