"""Closing out: notes at the end of a day, closings, where new pieces came from."""

from typing import Any

from sqlalchemy import Connection, func, or_, select
from sqlmodel import Field, SQLModel, col

from stores.model.ledger import ActKind, Condition, PlaceKind
from stores.planning.audit import Fault
from stores.planning.closing import Turn
from stores.storage.acts import is_correction, standing
from stores.storage.corrections import ITEMS, MACHINES
from stores.storage.machines import kept_for_parts
from stores.storage.tables import (
    ActRow,
    KeptSpareRow,
    MovementRow,
    PlaceRow,
)
from stores.text import day_words, local_day

__all__ = [
    "ClosingRow",
    "HandoverRow",
    "ReopeningRow",
    "bought_from",
    "closed_out",
    "closing_faults",
    "handovers",
    "turns",
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


class ReopeningRow(SQLModel, table=True):
    """A machine that was closed out is worked on again, and why."""

    __tablename__ = "reopening"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    machine_id: int = Field(foreign_key="machine.id")
    reason: str


def turns(connection: Connection, machine: int) -> list[Turn]:
    """Return when a machine was closed out and opened again, the oldest first, as far as it
    stands."""
    found = []
    for row_class, words in ((ClosingRow, ClosingRow.note), (ReopeningRow, ReopeningRow.reason)):
        rows = standing(
            connection,
            select(col(row_class.act_id), col(words).label("words"), col(ActRow.happened_at))
            .join(ActRow, col(ActRow.id) == col(row_class.act_id))
            .where(col(row_class.machine_id) == machine),
        )
        closed = row_class is ClosingRow
        found += [Turn(row.act_id, local_day(row.happened_at), closed, row.words) for row in rows]
    return sorted(found, key=lambda turn: turn.act)


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
    """Return the act, day and note by which a machine is closed out; None where it is not, was
    opened again, or where pieces of its joints have been moved since. Spares may move, and the
    record may be put right."""
    last = next(iter(turns(connection, machine)[::-1]), None)
    if last is None or not last.closed:
        return None
    rows: Any = connection.execute(
        select(col(MovementRow.act_id))
        .distinct()
        .join(ITEMS, ITEMS.c.id == col(MovementRow.item_id))
        .join(ActRow, col(ActRow.id) == col(MovementRow.act_id))
        .where(
            ITEMS.c.machine_id == machine,
            ITEMS.c.step_id.is_not(None),
            col(ActRow.kind) != ActKind.CORRECT.value,
            col(MovementRow.act_id) > last.act,
        )
    ).scalars()
    moved = any(not is_correction(connection, act) for act in rows)
    return None if moved else (last.act, last.day, last.words)


def closing_faults(connection: Connection) -> list[Fault]:
    """Return the closings that the ledger contradicts: pieces were away or left over then."""
    faults = []
    donors = kept_for_parts(connection)
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
            if words == "left over" and row.machine_id in donors:
                continue  # what a machine kept for parts has is for others
            count = _were(connection, row.machine_id, row.act_id, [kind.value for kind in kinds])
            if count:
                faults.append(
                    Fault(f"act {row.act_id}", f"closes {row.name} out with {count} pieces {words}")
                )
    return faults


def _were(connection: Connection, machine: int, act: int, kinds: list[str]) -> int:
    """Return how many old pieces of a machine were in places of these kinds before an act; sound
    spares that are kept are not counted, and nothing of the workshop's stock is."""
    kept = select(col(KeptSpareRow.item_id)).where(col(KeptSpareRow.act_id) < act)
    stock = select(col(KeptSpareRow.item_id)).where(col(KeptSpareRow.stock) == 1)
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
                ITEMS.c.id.not_in(stock),
                col(MovementRow.act_id) < act,
                col(PlaceRow.kind).in_(kinds),
                col(condition) != Condition.NEW.value,
                or_(
                    ITEMS.c.id.not_in(kept),
                    col(condition) != Condition.SERVICEABLE.value,
                ),
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
