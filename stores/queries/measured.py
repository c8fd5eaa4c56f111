"""The joints of which a measured piece may be: by thread and length, through the indexes."""

from collections.abc import Collection
from typing import Any

from sqlalchemy import Connection, func, select
from sqlmodel import col

from stores.ledger import PlaceKind
from stores.planning.items import Item
from stores.queries.items import items
from stores.storage.rows import DescriptionRow, ItemRow, MovementRow, PlaceRow, SpecificationRow

__all__ = ["MOST", "joints_of"]

MOST = 24
"""Joints of each sort that are looked at: three times what a screen shows."""


def joints_of(
    connection: Connection,
    threads: Collection[str],
    length_um: tuple[int, int] | None = None,
    *,
    machine: int | None = None,
    most: int = MOST,
) -> tuple[list[Item], dict[str, int], int]:
    """Give joints whose pieces have one of these threads and a length within these limits.

    Joints with a piece lost or missing come first, then others, ``most`` of each. What has no
    length in its description is among them. Beside the joints: how many there are by description,
    also those that are not listed, and how many items there are in all.
    """
    wanted = _descriptions(connection, threads, length_um)
    if not wanted:
        return [], {}, _items_in_all(connection)
    here = [] if machine is None else [col(ItemRow.machine_id) == machine]
    counts: Any = connection.execute(
        select(col(ItemRow.description_id), func.count())
        .where(col(ItemRow.description_id).in_(wanted), *here)
        .group_by(col(ItemRow.description_id))
    )
    number = {wanted[description]: count for description, count in counts}
    lost = (
        select(col(ItemRow.id))
        .join(MovementRow, col(MovementRow.item_id) == col(ItemRow.id))
        .join(PlaceRow, col(PlaceRow.id) == col(MovementRow.to_place))
        .where(
            col(PlaceRow.kind) == PlaceKind.LOST.value,
            col(ItemRow.description_id).in_(wanted),
            *here,
        )
    )
    missing = (
        select(col(ItemRow.id))
        .join(SpecificationRow, col(SpecificationRow.item_id) == col(ItemRow.id))
        .where(
            col(SpecificationRow.description_id).in_(wanted),
            col(ItemRow.found) < col(SpecificationRow.quantity),
            *here,
        )
    )
    others = (
        select(col(ItemRow.id))
        .where(col(ItemRow.description_id).in_(wanted), *here)
        .order_by(col(ItemRow.id))
    )
    numbers: set[int] = set()
    for statement in (lost, missing, others):
        found: Any = connection.execute(statement.limit(most)).scalars()
        numbers.update(found)
    return items(connection, numbers=numbers, verdicts=False), number, _items_in_all(connection)


def _descriptions(
    connection: Connection, threads: Collection[str], length_um: tuple[int, int] | None
) -> dict[int, str]:
    found: dict[int, str] = {}
    row = DescriptionRow
    plain: Any = select(col(row.id), col(row.text)).where(col(row.thread).in_(sorted(threads)))
    statements = [plain]
    if length_um is not None:
        low, high = length_um
        statements = [
            plain.where(col(row.length_um).between(low, high)),
            plain.where(col(row.length_um).is_(None)),
        ]
    for statement in statements:
        for number, text in connection.execute(statement):
            found[number] = text
    return found


def _items_in_all(connection: Connection) -> int:
    """Items are never deleted, so the highest number is how many there are."""
    return connection.execute(select(func.max(col(ItemRow.id)))).scalar() or 0
