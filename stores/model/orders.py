"""Orders with suppliers: what was ordered, came, went back, and what all of it costs.

An order's line is of an order and a number; the newest standing row counts (a price by the invoice
is a new row). Receipts hang on any row of the line. What went back is awaited again, unless a
cancelled receipt goes with it. An order is not undone while a receipt of it stands.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from stores.model.items import Item, serves
from stores.model.stock import name_alone, sizes_of

__all__ = [
    "Budget",
    "OnOrder",
    "OrderLine",
    "PurchaseOrder",
    "budget_of",
]


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One line: so many pieces of a specification, or for one item where a size does not tell.

    ``quantity`` is in ``unit``, empty for pieces; so is ``pack``. ``stock``: it is for the
    workshop, not for the machine. ``price`` is of the whole line, in hundredths, None where it is
    not known. ``rows`` are the numbers of its rows in the record, the newest last. ``lots`` say how
    many pieces came for which item, less those that went back.
    """

    line: int
    text: str
    quantity: int
    pack: int = 1
    price: int | None = None
    item: int | None = None
    ref: str = ""
    received: int = 0
    sent_back: int = 0
    cancelled: int = 0
    lots: dict[int, int] = field(default_factory=dict)
    rows: tuple[int, ...] = ()
    unit: str = ""
    stock: bool = False

    @property
    def in_packs(self) -> bool:
        """Whether it is counted in packs: a consumable by weight or volume, an assortment."""
        return bool(self.unit) or bool(sizes_of(self.text))

    def count(self, quantity: int) -> int:
        """Return so much of it as a person counts it: pieces, or packs begun."""
        return -(-quantity // self.pack) if self.in_packs else quantity

    @property
    def outstanding(self) -> int:
        """Pieces still to come: what went back is awaited again unless it was cancelled."""
        return max(0, self.quantity - self.received + self.sent_back - self.cancelled)

    @property
    def kept(self) -> int:
        """Pieces that came and did not go back."""
        return self.received - self.sent_back

    @property
    def over(self) -> int:
        """Pieces beyond what was ordered: a fault of the record."""
        return max(0, self.received - self.sent_back + self.cancelled - self.quantity)

    def cost(self, pieces: int) -> int | None:
        """Return what so many of its pieces cost, in hundredths, halves up; None if not known."""
        return None if self.price is None else _share(self.price, pieces, self.quantity)


def _share(price: int, pieces: int, of: int) -> int:
    return (2 * price * pieces + of) // (2 * of)


@dataclass(frozen=True, slots=True)
class PurchaseOrder:
    """An order with a supplier. ``promised`` is a day as 2026-12-03, or empty. ``begun``: of what
    this is a part of, something came."""

    number: int
    supplier: str
    machine: str
    date: str = ""
    note: str = ""
    currency: str = ""
    carriage: int | None = None
    promised: str = ""
    paid: str = ""
    lines: tuple[OrderLine, ...] = ()
    row: int = 0
    place: int = 0
    machine_number: int = 0
    begun: bool = False

    @property
    def outstanding(self) -> int:
        """Pieces still to come, and packs of what comes in packs."""
        return sum(line.count(line.outstanding) for line in self.lines)

    @property
    def state(self) -> str:
        """How far it is: ordered, part received, received, sent back or cancelled."""
        came = sum(line.received for line in self.lines)
        if self.outstanding:
            return "part received" if came else "ordered"
        kept = sum(line.kept for line in self.lines)
        return "received" if kept else ("sent back" if came else "cancelled")

    def part(self, *, stock: bool) -> "PurchaseOrder":
        """Return what of it is for the workshop, or for the machine.

        The carriage goes with the machine's part while anything of that comes or came, else with
        the workshop's: with one of them, whole.
        """
        alive = any(line.received or line.outstanding for line in self.lines if not line.stock)
        return replace(
            self,
            lines=tuple(line for line in self.lines if line.stock == stock),
            carriage=self.carriage if stock != alive else None,
            begun=any(line.received for line in self.lines),
        )

    @property
    def total(self) -> int | None:
        """What it costs with carriage, less what was cancelled; None where a price is not known."""
        costs = [line.cost(line.quantity - line.cancelled) for line in self.lines]
        if self.state == "cancelled":
            return 0
        return (
            None
            if None in costs
            else sum(cost for cost in costs if cost is not None) + (self.carriage or 0)
        )


@dataclass(frozen=True, slots=True)
class OnOrder:
    """What is still to come of one line, of one item or of a specification: pieces, or so much in
    ``unit``, in packs of ``pack``. ``stock``: for the workshop."""

    text: str
    quantity: int
    supplier: str
    order: int
    promised: str | None = None
    item: int | None = None
    unit: str = ""
    pack: int = 1
    stock: bool = False

    def is_for(self, item: Item) -> bool:
        """Return whether they serve at this item."""
        if self.item is not None:
            return self.item == item.number
        return serves(self.text, item.as_specified.text)


@dataclass(frozen=True, slots=True)
class Budget:
    """What a machine or the workshop has cost and will: all sums in hundredths of one currency.

    ``machine`` is empty for the workshop. ``came`` was received, ``awaited`` is on order,
    ``to_come`` on the shopping list by the prices known; ``drawn`` is what a machine took from the
    workshop's stock at the price paid, below zero for the workshop that bought it. ``unpriced``
    names what no price is known of; these are in no sum. ``workshop``: the workshop's own, beside
    that of a machine.
    """

    machine: str
    currency: str
    came: int
    awaited: int
    to_come: int
    unpriced: tuple[str, ...] = ()
    drawn: int = 0
    workshop: "Budget | None" = None

    @property
    def paid(self) -> int:
        """What was paid for it: what came, and what it took from the workshop's stock."""
        return self.came + self.drawn

    @property
    def total(self) -> int:
        """All that it costs."""
        return self.paid + self.awaited + self.to_come


def budget_of(
    machine: str,
    orders: Iterable[PurchaseOrder],
    to_buy: Iterable[tuple[str, int | None]],
    currency: str,
    bought: Iterable[str] = (),
    *,
    paid: int = 0,
    drawn: int = 0,
    drawn_unpriced: Iterable[str] = (),
) -> Budget:
    """Return the sum of what came, of what is on order and of what is still to buy.

    Carriage counts as having come with the first piece of an order, also where that went back. A
    sum in another currency is not added, but named. ``to_buy`` are the lines of the shopping list
    with what they cost, in hundredths; ``bought`` names what came without an order, of which no
    price is on record, and ``paid`` is what was paid for the rest of that. ``drawn`` is what was
    taken from the workshop's stock, ``drawn_unpriced`` names what of it no price is known of.
    """
    came, awaited, to_come = paid, 0, 0
    unpriced = []
    for order in orders:
        if order.state == "cancelled":
            continue
        if order.currency != currency:
            unpriced.append(f"order {order.number}, in {order.currency or 'no currency'}")
            continue
        some = order.begun or any(line.received for line in order.lines)
        came += (order.carriage or 0) if some else 0
        awaited += 0 if some else (order.carriage or 0)
        for line in order.lines:
            here, both = line.cost(line.kept), line.cost(line.kept + line.outstanding)
            if here is None or both is None:
                if line.kept or line.outstanding:
                    name = name_alone(line.unit, line.text)
                    unpriced.append(f"order {order.number}, {name}")
                continue
            came += here
            awaited += both - here  # so that the parts add up to the price
    unpriced += [f"{text}, without an order" for text in bought]
    unpriced += [f"from stock, {text}" for text in drawn_unpriced]
    for text, price in to_buy:
        if price is None:
            unpriced.append(f"to buy, {text}")
        else:
            to_come += price
    return Budget(machine, currency, came, awaited, to_come, tuple(unpriced), drawn)
