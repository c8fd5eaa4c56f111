"""What was found and is still on the machine: why it did not come off, and in which hole."""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, func, select
from sqlmodel import Field, SQLModel, col

from stores.model.ledger import PlaceKind
from stores.planning.audit import Fault
from stores.storage.balances import Wanted, of_numbers
from stores.storage.corrections import ITEMS, STEPS
from stores.storage.tables import MovementRow, PlaceRow

__all__ = ["StillOnRow", "Why", "snagged_items", "still_on_faults", "why_still_on"]


class StillOnRow(SQLModel, table=True):
    """Why so many pieces of an item are still on the machine, in which condition, in which hole.

    ``snag_id`` is the snag that is cleared once a broken piece is out of its hole.
    """

    __tablename__ = "still_on"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    item_id: int = Field(foreign_key="item.id")
    quantity: int
    condition: str
    how: str
    hole: str = ""
    snag_id: int | None = Field(default=None, foreign_key="snag.id")


@dataclass(frozen=True, slots=True)
class Why:
    """Why pieces are still on: in words, and in which hole; the snags to clear by that."""

    how: str
    hole: str
    snags: tuple[int, ...]


def why_still_on(
    connection: Connection, wanted: Wanted, gone: frozenset[int]
) -> dict[tuple[int, str], Why]:
    """Return why pieces are still on the machine, by item and condition: all that was said and
    stands, each once."""
    statement: Any = select(StillOnRow.__table__).order_by(col(StillOnRow.id))  # type: ignore[attr-defined]
    said: dict[tuple[int, str], list[Any]] = {}
    for row in of_numbers(connection, statement, col(StillOnRow.item_id), wanted):
        if row.act_id not in gone:
            said.setdefault((row.item_id, row.condition), []).append(row)
    return {
        key: Why(
            " and ".join(dict.fromkeys(row.how for row in rows)),
            " and ".join(dict.fromkeys(row.hole for row in rows if row.hole)),
            tuple(dict.fromkeys(row.snag_id for row in rows if row.snag_id)),
        )
        for key, rows in said.items()
    }


def snagged_items(
    connection: Connection, snag: int, gone: frozenset[int]
) -> list[tuple[int, str, int]]:
    """Return the items of which broken pieces go with a snag: item, condition and how many."""
    rows: Any = connection.execute(
        select(StillOnRow.__table__).where(col(StillOnRow.snag_id) == snag)  # type: ignore[attr-defined]
    )
    return [(row.item_id, row.condition, row.quantity) for row in rows if row.act_id not in gone]


def still_on_faults(connection: Connection) -> list[Fault]:
    """Return the items of which another number of pieces was left on the machine than is said."""
    said: Any = connection.execute(
        select(
            col(StillOnRow.act_id),
            col(StillOnRow.item_id),
            col(StillOnRow.condition),
            func.sum(col(StillOnRow.quantity)),
        ).group_by(col(StillOnRow.act_id), col(StillOnRow.item_id), col(StillOnRow.condition))
    )
    moved: Any = connection.execute(
        select(
            col(MovementRow.act_id),
            col(MovementRow.item_id),
            col(MovementRow.to_condition),
            func.sum(col(MovementRow.quantity)),
        )
        .join(PlaceRow, col(PlaceRow.id) == col(MovementRow.to_place))
        .where(
            col(PlaceRow.kind) == PlaceKind.STUCK.value,
            col(MovementRow.act_id).not_in(_reversing()),
        )
        .group_by(col(MovementRow.act_id), col(MovementRow.item_id), col(MovementRow.to_condition))
    )
    words = {tuple(row)[:3]: int(row[3]) for row in said}
    pieces = {tuple(row)[:3]: int(row[3]) for row in moved}
    names = _names(connection, {item for _, item, _ in words.keys() | pieces.keys()})
    return [
        Fault(
            f"act {act}",
            f"{words.get((act, item, condition), 0)} of {names.get(item, f'item {item}')} said "
            f"to be still on the machine, but {pieces.get((act, item, condition), 0)} moved",
        )
        for act, item, condition in sorted(words.keys() | pieces.keys())
        if words.get((act, item, condition), 0) != pieces.get((act, item, condition), 0)
    ]


def _reversing() -> Any:
    from stores.storage.tables import ActRow

    return select(col(ActRow.id)).where(col(ActRow.reverses).is_not(None))


def _names(connection: Connection, items: Collection[int]) -> dict[int, str]:
    statement: Any = (
        select(ITEMS.c.id, ITEMS.c.line, STEPS.c.number.label("step"))
        .select_from(ITEMS)
        .join(STEPS, STEPS.c.id == ITEMS.c.step_id, isouter=True)
    )
    rows = of_numbers(connection, statement, ITEMS.c.id, items)
    return {row.id: f"{row.step or 0}.{row.line}" for row in rows}
