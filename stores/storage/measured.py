"""The joints of which a measured piece may be: by thread and length, through the indexes."""

from collections.abc import Collection, Iterable
from typing import Any

from sqlalchemy import Connection, and_, func, select, union_all
from sqlmodel import col

from stores.model.items import Item
from stores.model.ledger import PlaceKind
from stores.planning.whence import Candidate
from stores.storage.corrections import ITEMS, perhaps
from stores.storage.items import DESCRIBED, described, read_items
from stores.storage.tables import DescriptionRow, ItemRow, MovementRow, PlaceRow, SpecificationRow

__all__ = ["candidates", "items_in_all", "joints_of", "threads_recorded"]

MOST = 12
"""Joints of each sort and description that are looked at: more than a screen shows."""


def candidates(
    connection: Connection,
    threads: Collection[str],
    length_um: tuple[int, int] | None = None,
    *,
    machine: int | None = None,
) -> list[Candidate]:
    """Give the descriptions with one of these threads and a length within these limits, or with
    none, and of how many joints each is, as found or as specified."""
    row = DescriptionRow
    plain: Any = select(col(row.id), *DESCRIBED).where(col(row.thread).in_(sorted(threads)))
    statements = [plain]
    if length_um is not None:
        low, high = length_um
        statements = [
            plain.where(col(row.length_um).between(low, high)),
            plain.where(col(row.length_um).is_(None)),
        ]
    known = {row.id: described(row) for each in statements for row in connection.execute(each)}
    if not known:
        return []
    here = [] if machine is None else [ITEMS.c.machine_id == machine]
    found: Any = (
        select(ITEMS.c.description_id, func.count())
        .where(
            ITEMS.c.id.in_(perhaps(ItemRow, "description_id", known)),
            ITEMS.c.description_id.in_(known),
            ITEMS.c.step_id.is_not(None),
            *here,
        )
        .group_by(ITEMS.c.description_id)
    )
    wanted: Any = (
        select(col(SpecificationRow.description_id), func.count())
        .where(col(SpecificationRow.description_id).in_(known), col(SpecificationRow.differs) == 1)
        .group_by(col(SpecificationRow.description_id))
    )
    counts: dict[int, int] = {}
    for statement in (found, wanted):
        for number, count in connection.execute(statement):
            counts[number] = counts.get(number, 0) + count
    return [Candidate(number, known[number], count) for number, count in counts.items()]


def joints_of(
    connection: Connection, descriptions: Iterable[int], *, machine: int | None = None
) -> list[Item]:
    """Give joints of these descriptions: of each sort, lost, missing, specified otherwise than
    found, and the rest, some of every description."""
    wanted = list(descriptions)
    if not wanted:
        return []
    # a loose piece is of no joint: measured again, it would only find itself
    here: list[Any] = [ITEMS.c.step_id.is_not(None)]
    here += [] if machine is None else [ITEMS.c.machine_id == machine]
    of_these = ITEMS.c.id.in_(perhaps(ItemRow, "description_id", wanted))
    ours = and_(of_these, ITEMS.c.description_id.in_(wanted))
    lost = select(col(MovementRow.item_id)).where(
        col(MovementRow.to_place).in_(
            select(col(PlaceRow.id)).where(col(PlaceRow.kind) == PlaceKind.LOST.value)
        )
    )
    specified = (
        select(col(SpecificationRow.item_id))
        .join(ITEMS, ITEMS.c.id == col(SpecificationRow.item_id))
        .where(col(SpecificationRow.description_id).in_(wanted), *here)
    )
    statements: list[Any] = [
        select(ITEMS.c.id).where(ITEMS.c.id.in_(lost), ours, *here).limit(MOST),
        specified.where(col(SpecificationRow.missing) > 0).limit(MOST),
        specified.where(col(SpecificationRow.differs) == 1).limit(MOST),
    ]
    each = [
        select(ITEMS.c.id)
        .where(
            ITEMS.c.id.in_(perhaps(ItemRow, "description_id", [number])),
            ITEMS.c.description_id == number,
            *here,
        )
        .order_by(ITEMS.c.id)
        .limit(MOST)
        .subquery()
        for number in wanted
    ]
    statements.append(union_all(*(select(some.c.id) for some in each)))
    numbers: set[int] = set()
    for statement in statements:
        numbers.update(connection.execute(statement).scalars())
    return read_items(connection, numbers=numbers, verdicts=False)


def items_in_all(connection: Connection) -> int:
    """Give how many items there are: none is ever deleted, so the highest number."""
    return connection.execute(select(func.max(col(ItemRow.id)))).scalar() or 0


def threads_recorded(connection: Connection) -> dict[str, float]:
    """Give the threads on record, each with of how many different things it is."""
    rows: Any = connection.execute(
        select(col(DescriptionRow.thread), func.count())
        .where(col(DescriptionRow.thread) != "")
        .group_by(col(DescriptionRow.thread))
    )
    return {thread: float(count) for thread, count in rows}
