"""Parts lists that were read in, as far as they stand."""

from collections.abc import Iterable, Iterator
from typing import Any

from sqlalchemy import Connection, insert, select
from sqlmodel import Field, SQLModel, col

from stores.model.ledger import ActKind
from stores.planning.parts_lists import ListedPart
from stores.storage.acts import reversed_acts
from stores.storage.corrections import ITEMS, STEPS
from stores.storage.tables import ActRow

__all__ = ["ListedPartRow", "keep_parts", "list_read_twice", "listed_parts", "sources_read"]


class ListedPartRow(SQLModel, table=True):
    """A row of a parts list that was read in: a parts book's, or a supplier's."""

    __tablename__ = "listed_part"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    machine_id: int = Field(foreign_key="machine.id")
    item_id: int | None = Field(default=None, foreign_key="item.id")
    source: str = ""
    line: int
    reference: str = ""
    assembly: str = ""
    text: str
    quantity: int = 1
    note: str = ""


def keep_parts(
    connection: Connection, act: int, machine: int, source: str, parts: Iterable[ListedPart]
) -> None:
    """Write rows of a parts list, many in one statement: a list may have tens of thousands."""
    connection.execute(
        insert(ListedPartRow.__table__),  # type: ignore[attr-defined]
        [
            {
                "act_id": act,
                "machine_id": machine,
                "item_id": part.item,
                "source": source,
                "line": part.line,
                "reference": part.reference,
                "assembly": part.assembly,
                "text": part.text,
                "quantity": part.quantity,
                "note": part.note,
            }
            for part in parts
        ],
    )


def sources_read(connection: Connection, machine: int) -> dict[str, int]:
    """Return the lists read in for a machine by name, each with its standing act."""
    return {source: act for act, on, source in _lists(connection) if on == machine}


def list_read_twice(connection: Connection) -> tuple[str, int] | None:
    """Return a list that stands twice on one machine, with the later act; None where none does."""
    seen = set()
    for act, machine, source in _lists(connection):
        if (machine, source) in seen:
            return source, act
        seen.add((machine, source))
    return None


def _lists(connection: Connection) -> Iterator[tuple[int, int, str]]:
    """Go through the standing lists: the act, the machine, the name."""
    fallen = reversed_acts(connection)
    acts: Any = connection.execute(
        select(col(ActRow.id))
        .where(col(ActRow.kind) == ActKind.LIST.value)
        .order_by(col(ActRow.id))
    ).scalars()
    for act in [act for act in acts if act not in fallen]:
        row: Any = connection.execute(
            select(col(ListedPartRow.source), col(ListedPartRow.machine_id))
            .where(col(ListedPartRow.act_id) == act)
            .limit(1)
        ).first()
        if row is not None:
            yield act, row.machine_id, row.source


def listed_parts(connection: Connection, machine: int) -> Iterator[tuple[str, ListedPart, str]]:
    """Go through the standing rows: the list's name, the row, and the item it is, as ``7.2``."""
    fallen = reversed_acts(connection)
    rows: Any = connection.execute(
        select(
            ListedPartRow.__table__,  # type: ignore[attr-defined]
            STEPS.c.number.label("step"),
            ITEMS.c.line.label("item_line"),
            ITEMS.c.act_id.label("item_act"),
        )
        .select_from(ListedPartRow)
        .join(ITEMS, ITEMS.c.id == col(ListedPartRow.item_id), isouter=True)
        .join(STEPS, STEPS.c.id == ITEMS.c.step_id, isouter=True)
        .where(col(ListedPartRow.machine_id) == machine)
        .order_by(col(ListedPartRow.id))
    )
    for row in rows:
        if row.act_id in fallen:
            continue
        stands = row.item_id is not None and row.item_act not in fallen
        part = ListedPart(
            row.line, row.text, row.quantity, row.reference, row.assembly, row.note, row.item_id
        )
        yield row.source, part, f"{row.step or 0}.{row.item_line}" if stands else ""
