"""Orders with suppliers, what is still to come of them, and prices."""

from collections.abc import Collection
from dataclasses import replace
from datetime import date
from typing import Any

from sqlalchemy import Connection, select
from sqlmodel import col

from stores.model.ledger import ActKind, PlaceKind
from stores.planning.audit import Fault
from stores.planning.orders import OnOrder, Order, OrderLine, Price
from stores.planning.shopping import SpareRule
from stores.planning.status import Awaited
from stores.storage.acts import reversed_acts
from stores.storage.items import read_items
from stores.storage.rows import (
    ActRow,
    DescriptionRow,
    MachineRow,
    MovementRow,
    PlaceRow,
    PriceRow,
    PurchaseEventRow,
    PurchaseLineRow,
    PurchaseRow,
    ReceiptRow,
    SpareRuleRow,
)
from stores.text import local_day

__all__ = [
    "awaited_from_suppliers",
    "order_faults",
    "order_in_use",
    "read_bought",
    "read_on_order",
    "read_orders",
    "read_prices",
    "spare_rules",
]


def read_bought(connection: Connection, machine: int) -> list[str]:
    """Say what was bought for a machine without an order: ``8 M8 nut bought from Hollin``."""
    gone = reversed_acts(connection)
    here = {item.number for item in read_items(connection, machine=machine)}
    rows: Any = connection.execute(
        select(col(ActRow.id), col(ActRow.summary), col(MovementRow.item_id))
        .join(MovementRow, col(MovementRow.act_id) == col(ActRow.id))
        .where(col(ActRow.kind) == ActKind.BUY)
        .order_by(col(ActRow.id))
    )
    received = set(connection.execute(select(col(ReceiptRow.act_id))).scalars())
    left = gone | received
    said = {row.id: row.summary for row in rows if row.id not in left and row.item_id in here}
    return list(said.values())


def read_orders(
    connection: Connection,
    machine: int | None = None,
    numbers: Collection[int] | None = None,
) -> list[Order]:
    """Give the standing orders by number; of one machine, or those of these numbers."""
    gone = reversed_acts(connection)
    rows: Any = connection.execute(
        select(
            PurchaseRow.__table__,  # type: ignore[attr-defined]
            col(PlaceRow.name).label("supplier"),
            col(MachineRow.name).label("machine"),
            col(ActRow.happened_at),
        )
        .join(PlaceRow, col(PlaceRow.id) == col(PurchaseRow.place_id))
        .join(MachineRow, col(MachineRow.id) == col(PurchaseRow.machine_id))
        .join(ActRow, col(ActRow.id) == col(PurchaseRow.act_id))
        .order_by(col(PurchaseRow.number))
    )
    found = [
        Order(row.number, row.supplier, row.machine, local_day(row.happened_at), row.note,
              row.currency, row.carriage, row=row.id, place=row.place_id,
              machine_number=row.machine_id)
        for row in rows
        if row.act_id not in gone
        and (machine is None or row.machine_id == machine)
        and (numbers is None or row.number in numbers)
    ]  # fmt: skip
    if not found:
        return []
    lines, events = _lines(connection, gone), _events(connection, gone)
    named = {line.item for of in lines.values() for line in of if line.item is not None}
    refs = {item.number: item.ref for item in read_items(connection, numbers=named, verdicts=False)}
    return [
        replace(
            order,
            lines=tuple(
                replace(line, ref=refs.get(line.item or 0, "")) for line in lines.get(order.row, ())
            ),
            promised=events.get(order.row, {}).get("promised", ""),
            paid=events.get(order.row, {}).get("paid", ""),
        )
        for order in found
    ]


def read_on_order(connection: Connection, machine: int | None = None) -> list[OnOrder]:
    """Give what is still to come of every order: of which item or description, how many, from
    whom, on which order, and for which day it is promised (None where there is none)."""
    return [
        OnOrder(
            line.text, line.outstanding, order.supplier, order.number, order.promised or None,
            line.item,
        )
        for order in read_orders(connection, machine)
        for line in order.lines
        if line.outstanding
    ]  # fmt: skip


def awaited_from_suppliers(connection: Connection, machine: int | None = None) -> list[Awaited]:
    """Give the same for the plan."""
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
    ]


def order_in_use(connection: Connection, act: int) -> int | None:
    """Give the number of the order that an act began or added to, if pieces of it came since."""
    gone = reversed_acts(connection)
    begun: Any = connection.execute(
        select(col(PurchaseRow.id), col(PurchaseRow.number)).where(col(PurchaseRow.act_id) == act)
    )
    for row, number in begun:
        used: Any = connection.execute(
            select(col(ReceiptRow.act_id))
            .join(PurchaseLineRow, col(PurchaseLineRow.id) == col(ReceiptRow.line_id))
            .where(col(PurchaseLineRow.purchase_id) == row)
        )
        if any(act_id not in gone for (act_id,) in used):
            return int(number)
    return None


def read_prices(connection: Connection) -> list[Price]:
    """Give the standing prices: the newest of a description, a supplier and a pack."""
    gone = reversed_acts(connection)
    rows: Any = connection.execute(
        select(PriceRow.__table__, col(DescriptionRow.text))  # type: ignore[attr-defined]
        .join(DescriptionRow, col(DescriptionRow.id) == col(PriceRow.description_id))
        .order_by(col(PriceRow.id))
    )
    found: dict[tuple[int, str, int], Any] = {}
    for row in rows:
        if row.act_id not in gone:
            found[row.description_id, row.supplier.casefold(), row.pack] = row
    return sorted(
        (
            Price(row.text, row.supplier, row.pack, row.price, row.currency)
            for row in found.values()
            if row.price is not None
        ),
        key=lambda price: (price.text, price.supplier.casefold(), price.pack),
    )


def spare_rules(connection: Connection) -> list[SpareRule]:
    """Give the standing rules for spares; the newest of a kind counts, 0 of nothing is none."""
    gone = reversed_acts(connection)
    rows: Any = connection.execute(
        select(SpareRuleRow.__table__).order_by(col(SpareRuleRow.id))  # type: ignore[attr-defined]
    )
    newest = {row.key: row for row in rows if row.act_id not in gone}
    return [
        SpareRule(row.name, row.per_cent, row.least, row.most_price)
        for row in newest.values()
        if row.per_cent or row.least
    ]


def order_faults(connection: Connection) -> list[Fault]:
    """Give what does not agree between orders, receipts and the ledger."""
    faults = []
    known: dict[int, tuple[int, int]] = {}
    for order in read_orders(connection):
        for line in order.lines:
            known |= dict.fromkeys(line.rows, (order.number, line.line))
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
    gone = reversed_acts(connection)
    said: dict[tuple[int, int | None, str], int] = {}
    receipts: Any = connection.execute(select(ReceiptRow.__table__))  # type: ignore[attr-defined]
    for row in receipts:
        if row.act_id in gone:
            continue
        if row.line_id not in known:
            faults.append(Fault(f"act {row.act_id}", "a receipt of an order that does not stand"))
        elif row.outcome != "cancelled":
            key = (row.act_id, row.item_id, row.outcome)
            said[key] = said.get(key, 0) + row.quantity
    bought = select(col(PlaceRow.id)).where(col(PlaceRow.kind) == PlaceKind.BOUGHT.value)
    for (act, item, outcome), quantity in said.items():
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


def _lines(connection: Connection, gone: Collection[int]) -> dict[int, list[OrderLine]]:
    rows: Any = connection.execute(
        select(PurchaseLineRow.__table__, col(DescriptionRow.text))  # type: ignore[attr-defined]
        .join(
            DescriptionRow,
            col(DescriptionRow.id) == col(PurchaseLineRow.description_id),
            isouter=True,
        )
        .order_by(col(PurchaseLineRow.id))
    )
    newest: dict[tuple[int, int], Any] = {}
    every: dict[tuple[int, int], list[int]] = {}
    for row in rows:
        every.setdefault((row.purchase_id, row.line), []).append(row.id)
        if row.act_id not in gone:
            newest[row.purchase_id, row.line] = row
    counts, lots = _receipts(connection, gone)
    found: dict[int, list[OrderLine]] = {}
    for key in sorted(newest):
        row, of = newest[key], every[key]
        share: dict[int, int] = {}
        for number in of:
            for item, count in lots.get(number, {}).items():
                share[item] = share.get(item, 0) + count
        found.setdefault(row.purchase_id, []).append(
            OrderLine(
                row.line, row.text or row.words, row.quantity, row.pack, row.price, row.item_id,
                received=sum(counts.get((number, "received"), 0) for number in of),
                sent_back=sum(counts.get((number, "sent back"), 0) for number in of),
                cancelled=sum(counts.get((number, "cancelled"), 0) for number in of),
                lots=share, rows=tuple(of),
            )
        )  # fmt: skip
    return found


def _receipts(
    connection: Connection, gone: Collection[int]
) -> tuple[dict[tuple[int, str], int], dict[int, dict[int, int]]]:
    rows: Any = connection.execute(
        select(ReceiptRow.__table__).order_by(col(ReceiptRow.id))  # type: ignore[attr-defined]
    )
    counts: dict[tuple[int, str], int] = {}
    lots: dict[int, dict[int, int]] = {}
    for row in rows:
        if row.act_id in gone:
            continue
        key = (row.line_id, row.outcome)
        counts[key] = counts.get(key, 0) + row.quantity
        if row.item_id is not None:
            sign = 1 if row.outcome == "received" else -1
            of = lots.setdefault(row.line_id, {})
            of[row.item_id] = of.get(row.item_id, 0) + sign * row.quantity
    return counts, lots


def _events(connection: Connection, gone: Collection[int]) -> dict[int, dict[str, str]]:
    rows: Any = connection.execute(
        select(PurchaseEventRow.__table__).order_by(  # type: ignore[attr-defined]
            col(PurchaseEventRow.id)
        )
    )
    found: dict[int, dict[str, str]] = {}
    for row in rows:
        if row.act_id not in gone:
            found.setdefault(row.purchase_id, {})[row.event] = row.value
    return found
