"""Orders with suppliers, and what is still to come of them."""

from collections.abc import Collection
from dataclasses import replace
from datetime import date
from typing import Any

from sqlalchemy import Connection, func, select
from sqlmodel import Field, SQLModel, col

from stores.model.ledger import PlaceKind
from stores.model.orders import OnOrder, OrderLine, PurchaseOrder
from stores.model.stock import sizes_of
from stores.planning.audit import Fault
from stores.planning.status import Awaited
from stores.storage.acts import reversed_acts, standing
from stores.storage.carried import carried
from stores.storage.corrections import MACHINES
from stores.storage.items import ITEM_TABLES, read_items
from stores.storage.tables import ActRow, DescriptionRow, MovementRow, PlaceRow
from stores.text import local_day

__all__ = [
    "PurchaseEventRow",
    "PurchaseLineRow",
    "PurchaseRow",
    "ReceiptRow",
    "awaited_from_suppliers",
    "next_order",
    "order_faults",
    "order_in_use",
    "read_on_order",
    "read_orders",
]


class PurchaseRow(SQLModel, table=True):
    """An order with a supplier. ``carriage`` is in hundredths of the currency."""

    __tablename__ = "purchase"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    number: int
    machine_id: int = Field(foreign_key="machine.id")
    place_id: int = Field(foreign_key="place.id")
    note: str = ""
    currency: str = ""
    carriage: int | None = None


class PurchaseLineRow(SQLModel, table=True):
    """One line of an order: a specification, or one item where a size does not tell what it is.

    ``quantity`` counts pieces, not packs, or so much in ``unit``; ``price`` is of the whole line,
    empty when not known. ``stock`` 1: it is the workshop's, not the machine's.
    """

    __tablename__ = "purchase_line"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    purchase_id: int = Field(foreign_key="purchase.id")
    line: int
    description_id: int | None = Field(default=None, foreign_key="description.id")
    item_id: int | None = Field(default=None, foreign_key="item.id")
    words: str
    quantity: int
    pack: int = 1
    price: int | None = None
    unit: str = ""
    stock: int = 0


class PurchaseEventRow(SQLModel, table=True):
    """Promised for a day, paid, cancelled. Of an order and an event."""

    __tablename__ = "purchase_event"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    purchase_id: int = Field(foreign_key="purchase.id")
    event: str
    value: str = ""


class ReceiptRow(SQLModel, table=True):
    """Pieces of an order's line received, sent back or cancelled. All of them add up."""

    __tablename__ = "receipt"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    line_id: int = Field(foreign_key="purchase_line.id")
    item_id: int | None = Field(default=None, foreign_key="item.id")
    quantity: int
    outcome: str


def next_order(connection: Connection) -> int:
    """Return the next number of an order: none is used twice."""
    return int(connection.execute(select(func.max(col(PurchaseRow.number)))).scalar() or 0) + 1


def read_orders(
    connection: Connection,
    machine: int | None = None,
    numbers: Collection[int] | None = None,
) -> list[PurchaseOrder]:
    """Return the standing orders by number; of one machine, or those of these numbers."""
    statement: Any = (
        select(
            PurchaseRow.__table__,  # type: ignore[attr-defined]
            col(PlaceRow.name).label("supplier"),
            MACHINES.c.name.label("machine"),
            col(ActRow.happened_at),
        )
        .select_from(PurchaseRow)
        .join(PlaceRow, col(PlaceRow.id) == col(PurchaseRow.place_id))
        .join(MACHINES, MACHINES.c.id == col(PurchaseRow.machine_id))
        .join(ActRow, col(ActRow.id) == col(PurchaseRow.act_id))
        .order_by(col(PurchaseRow.number))
    )
    rows = [
        row
        for row in standing(connection, statement)
        if (machine is None or row.machine_id == machine)
        and (numbers is None or row.number in numbers)
    ]
    if not rows:
        return []
    lines, events = _lines(connection), _events(connection)
    named = {line.item for of in lines.values() for line in of if line.item is not None}
    refs = {item.number: item.ref for item in read_items(connection, numbers=named, verdicts=False)}
    return [
        PurchaseOrder(
            row.number, row.supplier, row.machine, local_day(row.happened_at), row.note,
            row.currency, row.carriage,
            promised=events.get(row.id, {}).get("promised", ""),
            paid=events.get(row.id, {}).get("paid", ""),
            lines=tuple(
                replace(line, ref=refs.get(line.item or 0, "")) for line in lines.get(row.id, ())
            ),
            row=row.id, place=row.place_id, machine_number=row.machine_id,
        )
        for row in rows
    ]  # fmt: skip


def read_on_order(connection: Connection, machine: int | None = None) -> list[OnOrder]:
    """Return what is still to come of every order: of which item or description, how many, from
    whom, on which order, and for which day it is promised (None where there is none). Of an
    assortment each of its sizes."""
    return [
        OnOrder(
            text, count, order.supplier, order.number, order.promised or None, line.item,
            line.unit, line.pack, line.stock,
        )
        for order in read_orders(connection, machine)
        for line in order.lines
        if line.outstanding
        for count, text in _sizes(line)
    ]  # fmt: skip


def _sizes(line: OrderLine) -> list[tuple[int, str]]:
    packs = line.outstanding // line.pack
    sizes = sizes_of(line.text)
    if sizes:
        return [(count * packs, text) for count, text in sizes if packs]
    return [(line.outstanding, line.text)]


def awaited_from_suppliers(connection: Connection, machine: int | None = None) -> list[Awaited]:
    """Return the same for the plan."""
    return list(
        carried(
            connection,
            "awaited from suppliers",
            machine,
            _OF_ORDERS | ITEM_TABLES,
            lambda: tuple(_awaited(connection, machine)),
            # which line of a step an item is, no act changes but a correction
            lambda older, changes: None if changes.within(_OF_ORDERS) else older,
        )
    )


_OF_ORDERS = frozenset(
    ("correction", "item", "machine", "purchase", "purchase_event", "purchase_line", "receipt")
)


def _awaited(connection: Connection, machine: int | None) -> list[Awaited]:
    return [
        Awaited(
            one.supplier,
            one.quantity,
            one.item,
            one.text,
            date.fromisoformat(one.promised) if one.promised else None,
            ordered=True,
        )
        for one in read_on_order(connection, machine)
        if not one.unit
    ]


def order_in_use(connection: Connection, act: int) -> int | None:
    """Return the number of the order that an act began or added to, if pieces of it came since."""
    begun: Any = connection.execute(
        select(col(PurchaseRow.id), col(PurchaseRow.number)).where(col(PurchaseRow.act_id) == act)
    )
    for row, number in begun:
        if standing(
            connection,
            select(col(ReceiptRow.act_id))
            .join(PurchaseLineRow, col(PurchaseLineRow.id) == col(ReceiptRow.line_id))
            .where(col(PurchaseLineRow.purchase_id) == row),
        ):
            return int(number)
    return None


def order_faults(connection: Connection) -> list[Fault]:
    """Return what does not agree between orders, receipts and the ledger."""
    faults = []
    lines: set[int] = set()
    for order in read_orders(connection):
        for line in order.lines:
            lines.update(line.rows)
            if line.over:
                faults.append(
                    Fault(
                        f"order {order.number}, line {line.line}",
                        f"{line.kept} received and {line.cancelled} cancelled, "
                        f"but {line.quantity} ordered",
                    )
                )
            if line.sent_back > line.received:
                faults.append(
                    Fault(
                        f"order {order.number}, line {line.line}",
                        f"{line.sent_back} sent back, but {line.received} received",
                    )
                )
    counts: dict[tuple[int, int | None, str], int] = {}
    for row in standing(connection, select(ReceiptRow.__table__)):  # type: ignore[attr-defined]
        if row.line_id not in lines:
            faults.append(Fault(f"act {row.act_id}", "a receipt of an order that does not stand"))
        elif row.outcome != "cancelled":
            key = (row.act_id, row.item_id, row.outcome)
            counts[key] = counts.get(key, 0) + row.quantity
    bought = select(col(PlaceRow.id)).where(col(PlaceRow.kind) == PlaceKind.BOUGHT.value)
    for (act, item, outcome), quantity in counts.items():
        end = MovementRow.from_place if outcome == "received" else MovementRow.to_place
        moved: Any = connection.execute(
            select(col(MovementRow.quantity)).where(
                col(MovementRow.act_id) == act,
                col(MovementRow.item_id) == item,
                col(end).in_(bought),
            )
        ).scalars()
        count = sum(moved)
        if count != quantity:
            faults.append(
                Fault(f"act {act}", f"{quantity} {outcome} by its order, but {count} moved")
            )
    return faults


def _lines(connection: Connection) -> dict[int, list[OrderLine]]:
    rows: Any = connection.execute(
        select(PurchaseLineRow.__table__, col(DescriptionRow.text))  # type: ignore[attr-defined]
        .join(
            DescriptionRow,
            col(DescriptionRow.id) == col(PurchaseLineRow.description_id),
            isouter=True,
        )
        .order_by(col(PurchaseLineRow.id))
    )
    fallen = reversed_acts(connection)
    newest: dict[tuple[int, int], Any] = {}
    every: dict[tuple[int, int], list[int]] = {}
    for row in rows:
        every.setdefault((row.purchase_id, row.line), []).append(row.id)
        if row.act_id not in fallen:
            newest[row.purchase_id, row.line] = row
    counts, lots = _receipts(connection)
    lines: dict[int, list[OrderLine]] = {}
    for key in sorted(newest):
        row, of = newest[key], every[key]
        share: dict[int, int] = {}
        for number in of:
            for item, count in lots.get(number, {}).items():
                share[item] = share.get(item, 0) + count
        lines.setdefault(row.purchase_id, []).append(
            OrderLine(
                row.line, row.text or row.words, row.quantity, row.pack, row.price, row.item_id,
                received=sum(counts.get((number, "received"), 0) for number in of),
                sent_back=sum(counts.get((number, "sent back"), 0) for number in of),
                cancelled=sum(counts.get((number, "cancelled"), 0) for number in of),
                lots=share, rows=tuple(of), unit=row.unit, stock=bool(row.stock),
            )
        )  # fmt: skip
    return lines


def _receipts(
    connection: Connection,
) -> tuple[dict[tuple[int, str], int], dict[int, dict[int, int]]]:
    rows = standing(
        connection,
        select(ReceiptRow.__table__).order_by(col(ReceiptRow.id)),  # type: ignore[attr-defined]
    )
    counts: dict[tuple[int, str], int] = {}
    lots: dict[int, dict[int, int]] = {}
    for row in rows:
        key = (row.line_id, row.outcome)
        counts[key] = counts.get(key, 0) + row.quantity
        if row.item_id is not None:
            sign = 1 if row.outcome == "received" else -1
            of = lots.setdefault(row.line_id, {})
            of[row.item_id] = of.get(row.item_id, 0) + sign * row.quantity
    return counts, lots


def _events(connection: Connection) -> dict[int, dict[str, str]]:
    rows = standing(
        connection,
        select(PurchaseEventRow.__table__).order_by(  # type: ignore[attr-defined]
            col(PurchaseEventRow.id)
        ),
    )
    events: dict[int, dict[str, str]] = {}
    for row in rows:
        events.setdefault(row.purchase_id, {})[row.event] = row.value
    return events
