"""Outwork: batches, what came back and what is promised; and what a robbed joint is owed."""

from collections.abc import Collection
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, func, or_, select
from sqlmodel import Field, SQLModel, col

from stores.model.ledger import PlaceKind
from stores.model.outwork import Batch, BatchLine, Debt
from stores.planning.audit import Fault
from stores.planning.status import Awaited
from stores.storage.acts import reversed_acts, standing
from stores.storage.carried import Changes, carried
from stores.storage.items import ITEM_TABLES, OF_ALL, read_items
from stores.storage.tables import ActRow, MovementRow, PlaceRow, WorkRow
from stores.text import local_day

__all__ = [
    "BatchEventRow",
    "BatchLineRow",
    "BatchReturnRow",
    "BatchRow",
    "DebtRow",
    "awaited_from_firms",
    "batch_faults",
    "batch_needed_by",
    "batch_undone",
    "debt_faults",
    "next_batch",
    "read_batches",
    "read_debts",
    "work_faults",
]


class BatchRow(SQLModel, table=True):
    """Outwork: a lot of pieces made up for one firm and one kind of work."""

    __tablename__ = "batch"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    number: int
    place_id: int = Field(foreign_key="place.id")
    work: str = ""
    finish: str = ""
    note: str = ""


class BatchLineRow(SQLModel, table=True):
    """So many pieces of an item in a batch. Of a pair; ``quantity`` 0 takes the line out."""

    __tablename__ = "batch_line"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    batch_id: int = Field(foreign_key="batch.id")
    item_id: int = Field(foreign_key="item.id")
    quantity: int
    metal: str = ""
    masking: str = ""
    strength: str = ""
    note: str = ""


class BatchEventRow(SQLModel, table=True):
    """What happened to a batch as a whole: photographed, packed, sent, promised for a day, closed.

    Of a batch and an event; ``value`` is the day, or 0 to take a mark away.
    """

    __tablename__ = "batch_event"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    batch_id: int = Field(foreign_key="batch.id")
    event: str
    value: str = ""


class BatchReturnRow(SQLModel, table=True):
    """Pieces of a batch that came back, or were written off. All of them add up."""

    __tablename__ = "batch_return"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    batch_id: int = Field(foreign_key="batch.id")
    item_id: int = Field(foreign_key="item.id")
    quantity: int
    outcome: str


class DebtRow(SQLModel, table=True):
    """Pieces robbed from one joint for another: the donor is owed them."""

    __tablename__ = "debt"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    item_id: int = Field(foreign_key="item.id")
    to_item_id: int = Field(foreign_key="item.id")
    quantity: int
    note: str = ""


def next_batch(connection: Connection) -> int:
    """Return the next number of a batch: none is used twice."""
    return int(connection.execute(select(func.max(col(BatchRow.number)))).scalar() or 0) + 1


def read_batches(connection: Connection, numbers: Collection[int] | None = None) -> list[Batch]:
    """Return the standing batches by number; all, or those of these numbers."""
    rows = standing(
        connection,
        select(BatchRow.__table__, col(PlaceRow.name).label("firm"))  # type: ignore[attr-defined]
        .join(PlaceRow, col(PlaceRow.id) == col(BatchRow.place_id))
        .order_by(col(BatchRow.number)),
    )
    bare = [
        Batch(row.number, row.firm, row.work, row.finish, row.note, row=row.id, place=row.place_id)
        for row in rows
        if numbers is None or row.number in numbers
    ]
    if not bare:
        return []
    lines = _lines(connection)
    returns = _returns(connection)
    events = _events(connection)
    wanted = {item for each in bare for item in lines.get(each.row, {})}
    items = {item.number: item for item in read_items(connection, numbers=wanted, verdicts=False)}
    made = []
    for each in bare:
        of_batch = []
        for number, row in lines.get(each.row, {}).items():
            if number not in items or not row.quantity:
                continue
            back, off = returns.get((each.row, number), (0, 0))
            of_batch.append(
                BatchLine(items[number], row.quantity, row.metal, row.masking, row.strength,
                          row.note, back, off)
            )  # fmt: skip
        of_batch.sort(key=lambda line: (line.item.step.number, line.item.line))
        made.append(replace(each, lines=tuple(of_batch), events=events.get(each.row, {})))
    return made


def awaited_from_firms(connection: Connection) -> list[Awaited]:
    """Return the pieces of batches that are still away, with the day promised."""

    def mended(older: tuple[Awaited, ...], changes: Changes) -> tuple[Awaited, ...] | None:
        away = {one.item for one in older}
        return None if changes.within(_OF_BATCHES) or away & changes.all() else older

    def read() -> tuple[Awaited, ...]:
        return tuple(_awaited(connection))

    tables = _OF_BATCHES | ITEM_TABLES
    listed = carried(connection, "awaited from firms", "", tables, read, mended)
    return list(listed)


_OF_BATCHES = OF_ALL | {"batch", "batch_event", "batch_line", "batch_return", "item"}


def _awaited(connection: Connection) -> list[Awaited]:
    return [
        Awaited(batch.firm, line.away, line.item.number, line.text, batch.promised)
        for batch in read_batches(connection)
        if batch.sent
        for line in batch.lines
        if line.away
    ]


def batch_faults(connection: Connection) -> list[Fault]:
    """Return what does not agree between batches and the ledger: more back than went, or more said
    to be away than pieces are at the firm."""
    faults = []
    away: dict[tuple[str, int], int] = {}
    known = {}
    for batch in read_batches(connection):
        for line in batch.lines:
            known[line.item.number] = line.item
            if line.back + line.off > line.quantity:
                faults.append(
                    Fault(
                        f"batch {batch.number}",
                        f"{line.back + line.off} of {line.item.ref} back, but {line.quantity} sent",
                    )
                )
            if batch.sent:
                key = (batch.firm, line.item.number)
                away[key] = away.get(key, 0) + line.away
    for (firm, number), count in away.items():
        item = known[number]
        there = sum(
            holding.quantity
            for holding in item.holdings
            if holding.kind is PlaceKind.FIRM and holding.place == firm
        )
        if count > there:
            faults.append(
                Fault(
                    f"outwork at {firm}",
                    f"{count} of {item.ref} away by its batches, {there} there",
                )
            )
    return faults


def batch_needed_by(connection: Connection, act: int) -> list[int]:
    """Return the standing acts that cannot go without what this one did for a batch, the newest
    first: a batch that was begun is filled, and what was put in is sent."""
    batch, line, event = BatchRow, BatchLineRow, BatchEventRow
    begun = select(col(batch.id)).where(col(batch.act_id) == act)
    filled = select(col(line.batch_id)).where(col(line.act_id) == act)
    put_in = select(col(line.act_id)).where(col(line.batch_id).in_(begun))
    sent = select(col(event.act_id)).where(
        col(event.event) == "sent",
        or_(col(event.batch_id).in_(begun), col(event.batch_id).in_(filled)),
    )
    later = {
        row.act_id
        for statement in (put_in, sent)
        for row in standing(connection, statement)
        if row.act_id > act
    }
    return sorted(later, reverse=True)


def batch_undone(connection: Connection, act: int) -> int | None:
    """Return the act that began the batch which this one filled or sent, where that no longer
    stands; of a batch that was sent, also the one that put in what is no longer in it."""
    batch, line, event = BatchRow, BatchLineRow, BatchEventRow
    filled = select(col(line.batch_id)).where(col(line.act_id) == act)
    sent = select(col(event.batch_id)).where(col(event.event) == "sent", col(event.act_id) == act)
    own = or_(col(batch.id).in_(filled), col(batch.id).in_(sent))
    gone = reversed_acts(connection)
    begun: Any = connection.execute(select(col(batch.act_id)).where(own)).scalars()
    for number in begun:
        if number in gone:
            return int(number)
    for row in connection.execute(sent):
        there = _lines(connection).get(row.batch_id, {})
        moved: Any = connection.execute(
            select(col(MovementRow.item_id), func.sum(col(MovementRow.quantity)))
            .where(col(MovementRow.act_id) == act)
            .group_by(col(MovementRow.item_id))
        )
        for item, count in moved:
            if item not in there or there[item].quantity < count:
                lines = select(func.max(col(line.act_id))).where(
                    col(line.batch_id) == row.batch_id, col(line.item_id) == item
                )
                return int(connection.execute(lines).scalar_one())
    return None


def read_debts(connection: Connection) -> list[Debt]:
    """Return what joints are still owed, the oldest first.

    A debt is made good when its joint lacks nothing: with a new piece, or the old one back.
    """
    rows = standing(
        connection,
        select(DebtRow.__table__, col(ActRow.happened_at))  # type: ignore[attr-defined]
        .join(ActRow, col(ActRow.id) == col(DebtRow.act_id))
        .order_by(col(DebtRow.id)),
    )
    wanted = {number for row in rows for number in (row.item_id, row.to_item_id)}
    items = {item.number: item for item in read_items(connection, numbers=wanted)} if wanted else {}
    left = {number: item.lacking for number, item in items.items()}
    debts = []
    for row in rows:
        if row.item_id not in items or row.to_item_id not in items:
            continue
        count = min(row.quantity, left[row.item_id])
        if count:
            left[row.item_id] -= count
            debts.append(
                Debt(items[row.item_id], items[row.to_item_id], count, local_day(row.happened_at))
            )
    return debts


def debt_faults(connection: Connection) -> list[Fault]:
    """Return the debts that the ledger does not bear out: in the same act as many pieces left the
    joint that is owed them as came to the other."""
    faults = []
    for row in standing(connection, _every(DebtRow)):
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


def work_faults(connection: Connection) -> list[Fault]:
    """Return the work that the ledger does not bear out: an act that moved pieces of the item, but
    fewer than it says were worked on."""
    faults = []
    for row in standing(connection, _every(WorkRow)):
        moved = _pieces(connection, row.act_id, row.item_id)
        if moved and moved < row.quantity:
            faults.append(
                Fault(f"act {row.act_id}", f"work on {row.quantity} pieces, but {moved} were moved")
            )
    return faults


def _lines(connection: Connection) -> dict[int, dict[int, Any]]:
    """Return the newest row of each batch and item."""
    lines: dict[int, dict[int, Any]] = {}
    for row in standing(connection, _every(BatchLineRow)):
        lines.setdefault(row.batch_id, {})[row.item_id] = row
    return lines


def _returns(connection: Connection) -> dict[tuple[int, int], tuple[int, int]]:
    """Return how many pieces of each batch and item are back, and written off."""
    returns: dict[tuple[int, int], tuple[int, int]] = {}
    for row in standing(connection, _every(BatchReturnRow)):
        back, off = returns.get((row.batch_id, row.item_id), (0, 0))
        if row.outcome == "back":
            back += row.quantity
        else:
            off += row.quantity
        returns[row.batch_id, row.item_id] = back, off
    return returns


def _events(connection: Connection) -> dict[int, dict[str, str]]:
    """Return what is marked of each batch; an empty value takes a mark away."""
    events: dict[int, dict[str, str]] = {}
    for row in standing(connection, _every(BatchEventRow)):
        marks = events.setdefault(row.batch_id, {})
        if row.value:
            marks[row.event] = row.value
        else:
            marks.pop(row.event, None)
    return events


def _every(table: Any) -> Any:
    return select(table.__table__).order_by(table.__table__.c.id)


def _pieces(connection: Connection, act: int, item: int) -> int:
    """Return how many pieces of an item an act moved; each robbed piece moves once for either."""
    moved = connection.execute(
        select(func.sum(col(MovementRow.quantity))).where(
            col(MovementRow.act_id) == act, col(MovementRow.item_id) == item
        )
    ).scalar()
    return int(moved or 0)
