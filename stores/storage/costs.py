"""What was paid without an order, what each lot in stock cost, and what machines drew of it."""

from collections.abc import Collection

from sqlalchemy import Connection, select
from sqlmodel import Field, SQLModel, col

from stores.model.ledger import ActKind, PlaceKind
from stores.planning.costs import Draw, Lot, Payment
from stores.storage.acts import reversed_acts, standing
from stores.storage.balances import of_numbers
from stores.storage.corrections import MACHINES
from stores.storage.items import read_items
from stores.storage.orders import PurchaseLineRow, ReceiptRow, read_orders
from stores.storage.stock import StockUseRow
from stores.storage.tables import ActRow, ItemRow, MovementRow, PlaceRow

__all__ = ["PaidRow", "read_draws", "read_lots", "read_payments"]


class PaidRow(SQLModel, table=True):
    """What was paid for all that an act brought in without an order, in hundredths; no price: it
    is not known. No machine: it is the workshop's."""

    __tablename__ = "paid"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    machine_id: int | None = Field(default=None, foreign_key="machine.id")
    price: int | None = None
    currency: str = ""


def read_payments(connection: Connection) -> list[Payment]:
    """Return what was bought without an order, the oldest first: for which machine, empty for the
    workshop, and what was paid, None where that is not known.

    Older records do not say for whom it was: pieces bought then are the machine's at whose joints
    they are, or for which they were entered.
    """
    rows = standing(
        connection,
        select(
            col(PaidRow.act_id), col(PaidRow.price), col(PaidRow.currency), MACHINES.c.name,
            col(ActRow.summary),
        )
        .select_from(PaidRow)
        .join(ActRow, col(ActRow.id) == col(PaidRow.act_id))
        .join(MACHINES, MACHINES.c.id == col(PaidRow.machine_id), isouter=True)
        .order_by(col(PaidRow.id)),
    )  # fmt: skip
    made = {
        row.act_id: Payment(row.act_id, row.name or "", row.price, row.currency, row.summary)
        for row in rows
    }
    received = set(connection.execute(select(col(ReceiptRow.act_id))).scalars())
    older = standing(
        connection,
        select(
            col(ActRow.id).label("act_id"), col(ActRow.summary), col(ActRow.kind), MACHINES.c.name
        )
        .select_from(MovementRow)
        .join(ActRow, col(ActRow.id) == col(MovementRow.act_id))
        .join(PlaceRow, col(PlaceRow.id) == col(MovementRow.from_place))
        .join(ItemRow, col(ItemRow.id) == col(MovementRow.item_id))
        .join(MACHINES, MACHINES.c.id == col(ItemRow.machine_id), isouter=True)
        .where(
            col(ActRow.kind).in_([ActKind.BUY.value, ActKind.STOCK.value]),
            col(PlaceRow.kind) == PlaceKind.BOUGHT.value,
        )
        .order_by(col(ActRow.id)),
    )
    for row in older:
        if row.act_id not in received and row.act_id not in made:
            whose = "" if row.kind == ActKind.STOCK.value else row.name or ""
            made[row.act_id] = Payment(row.act_id, whose, None, "", row.summary)
    return [made[act] for act in sorted(made)]


def read_lots(connection: Connection, items: Collection[int]) -> list[Lot]:
    """Return how each of these loose items came in, the oldest first, and what was paid for it.

    What went back to the supplier is taken off the newest of its order's line.
    """
    back = reversed_acts(connection)
    rows = of_numbers(
        connection,
        select(
            col(MovementRow.act_id), col(MovementRow.item_id), col(MovementRow.quantity),
            col(PlaceRow.kind), col(ActRow.reverses), col(ActRow.kind).label("act_kind"),
        )
        .join(PlaceRow, col(PlaceRow.id) == col(MovementRow.from_place))
        .join(ActRow, col(ActRow.id) == col(MovementRow.act_id)),
        col(MovementRow.item_id),
        items,
    )  # fmt: skip
    came: dict[tuple[int, int], int] = {}
    bought: set[int] = set()
    entered: set[int] = set()
    for row in rows:
        if not PlaceKind(row.kind).inside and row.act_id not in back and row.reverses is None:
            key = (row.act_id, row.item_id)
            came[key] = came.get(key, 0) + row.quantity
            if row.kind == PlaceKind.BOUGHT.value:
                bought.add(row.act_id)
                if row.act_kind == ActKind.STOCK.value:
                    entered.add(row.act_id)
    priced = _received(connection, bought) | _paid(connection, bought)
    lots = []
    for (act, item), quantity in sorted(came.items()):
        lot = priced.get((act, item))
        if lot is None:
            lots.append(Lot(item, quantity, None, "", for_stock=act in entered))
        elif lot.quantity:
            lots.append(lot)
    return lots


def _received(connection: Connection, acts: Collection[int]) -> dict[tuple[int, int], Lot]:
    """Return the lots that came of orders, by act and item, less what went back."""
    receipt, line = ReceiptRow, PurchaseLineRow
    rows = standing(
        connection,
        select(
            col(receipt.act_id), col(receipt.item_id), col(receipt.quantity),
            col(receipt.outcome), col(line.purchase_id), col(line.line),
        )
        .join(line, col(line.id) == col(receipt.line_id))
        .where(col(receipt.item_id).is_not(None))
        .order_by(col(receipt.id)),
    )  # fmt: skip
    of: dict[tuple[int, int], list[list[int]]] = {}
    for row in rows:
        lots = of.setdefault((row.purchase_id, row.line), [])
        if row.outcome == "received":
            lots.append([row.act_id, row.item_id, row.quantity])
            continue
        left = row.quantity
        for lot in reversed(lots):
            some = min(left, lot[2]) if lot[1] == row.item_id else 0
            lot[2] -= some
            left -= some
    wanted = {key for key, lots in of.items() if any(lot[0] in acts for lot in lots)}
    found: dict[tuple[int, int], Lot] = {}
    for order in read_orders(connection) if wanted else ():
        for each in order.lines:
            before = 0
            for act, item, quantity in of.get((order.row, each.line), ()):
                first, last = each.cost(before), each.cost(before + quantity)
                before += quantity
                paid = None if first is None or last is None else last - first
                found[act, item] = Lot(item, quantity, paid, order.currency, for_stock=each.stock)
    return found


def _paid(connection: Connection, acts: Collection[int]) -> dict[tuple[int, int], Lot]:
    """Return the lots that came without an order, by act and item: each has its share of what was
    paid, by its pieces."""
    paid = {
        row.act_id: row
        for row in standing(connection, select(PaidRow.__table__))  # type: ignore[attr-defined]
        if row.act_id in acts
    }
    rows = of_numbers(
        connection,
        select(col(MovementRow.act_id), col(MovementRow.item_id), col(MovementRow.quantity)),
        col(MovementRow.act_id),
        set(paid),
    )
    lots: dict[int, dict[int, int]] = {}
    for row in rows:
        of = lots.setdefault(row.act_id, {})
        of[row.item_id] = of.get(row.item_id, 0) + row.quantity
    found = {}
    for act, of in lots.items():
        row, every, before = paid[act], sum(of.values()), 0
        for item, quantity in of.items():
            share = None
            if row.price is not None:
                share = row.price * (before + quantity) // every - row.price * before // every
            before += quantity
            found[act, item] = Lot(
                item, quantity, share, row.currency, for_stock=row.machine_id is None
            )
    return found


def read_draws(connection: Connection) -> list[Draw]:
    """Return what was taken from stock, the oldest first: by which machine, empty for none."""
    row = StockUseRow
    rows = standing(
        connection,
        select(col(row.act_id), col(row.item_id), col(row.quantity), MACHINES.c.name)
        .select_from(row)
        .join(MACHINES, MACHINES.c.id == col(row.machine_id), isouter=True)
        .order_by(col(row.id)),
    )
    drawn = {each.item_id for each in rows}
    names = {item.number: item for item in read_items(connection, numbers=drawn, verdicts=False)}
    return [
        Draw(each.item_id, each.name or "", each.quantity, item.text, item.unit)
        for each in rows
        if (item := names.get(each.item_id))
    ]
