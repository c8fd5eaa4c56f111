"""Parts lists that were read in, as far as they stand."""

from collections.abc import Iterator
from typing import Any

from sqlalchemy import Connection, select
from sqlmodel import col

from stores.model.ledger import ActKind
from stores.planning.parts_list import ListedPart
from stores.storage.acts import reversed_acts
from stores.storage.rows import ActRow, ItemRow, ListedPartRow, StepRow

__all__ = ["list_read_twice", "listed_parts", "sources_read"]


def sources_read(connection: Connection, machine: int) -> dict[str, int]:
    """Give the lists read in for a machine by name, each with its standing act."""
    return {source: act for act, on, source in _lists(connection) if on == machine}


def list_read_twice(connection: Connection) -> tuple[str, int] | None:
    """Give a list that stands twice on one machine, with the later act; None where none does."""
    seen = set()
    for act, machine, source in _lists(connection):
        if (machine, source) in seen:
            return source, act
        seen.add((machine, source))
    return None


def _lists(connection: Connection) -> Iterator[tuple[int, int, str]]:
    """Go through the standing lists: the act, the machine, the name."""
    gone = reversed_acts(connection)
    acts: Any = connection.execute(
        select(col(ActRow.id))
        .where(col(ActRow.kind) == ActKind.LIST.value)
        .order_by(col(ActRow.id))
    ).scalars()
    for act in [act for act in acts if act not in gone]:
        row: Any = connection.execute(
            select(col(ListedPartRow.source), col(ListedPartRow.machine_id))
            .where(col(ListedPartRow.act_id) == act)
            .limit(1)
        ).first()
        if row is not None:
            yield act, row.machine_id, row.source


def listed_parts(connection: Connection, machine: int) -> Iterator[tuple[str, ListedPart, str]]:
    """Go through the standing rows: the list's name, the row, and the item it is, as ``7.2``."""
    gone = reversed_acts(connection)
    rows: Any = connection.execute(
        select(
            ListedPartRow.__table__,  # type: ignore[attr-defined]
            col(StepRow.number).label("step"),
            col(ItemRow.line).label("item_line"),
            col(ItemRow.act_id).label("item_act"),
        )
        .join(ItemRow, col(ItemRow.id) == col(ListedPartRow.item_id), isouter=True)
        .join(StepRow, col(StepRow.id) == col(ItemRow.step_id), isouter=True)
        .where(col(ListedPartRow.machine_id) == machine)
        .order_by(col(ListedPartRow.id))
    )
    for row in rows:
        if row.act_id in gone:
            continue
        stands = row.item_id is not None and row.item_act not in gone
        part = ListedPart(
            row.line, row.text, row.quantity, row.reference, row.assembly, row.note, row.item_id
        )
        yield row.source, part, f"{row.step or 0}.{row.item_line}" if stands else ""
