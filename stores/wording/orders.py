"""Orders, and what is bought without one, in words."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stores.model.ledger import PlaceKind
from stores.model.money import show_money
from stores.model.stock import name_alone, sizes_of, so_much, this_much
from stores.text import counted, day_words, join, plural
from stores.wording import Listing, Said
from stores.wording.marks import quoted, to_type

if TYPE_CHECKING:
    from stores.usecases.orders import (
        Bought,
        LineOfOrder,
        OrderCancelled,
        OrderLinePriced,
        OrderOnRecord,
        OrderPlaced,
        OrderPromised,
        OrderReceived,
        Orders,
        PiecesPut,
        SentToSupplier,
    )

__all__ = [
    "HINTS",
    "REFUSALS",
    "OrderInWords",
    "bought",
    "cancelled",
    "listing",
    "one_order",
    "placed",
    "priced",
    "promised",
    "received",
    "sent_back",
]


def _more_than_came(
    quantity: int, what: str, kept: int, line: int, number: int, unit: str, pack: int
) -> str:
    came = so_much(kept, unit) if unit else str(kept)
    much = this_much(quantity, unit, what, pack)
    return f"{much} to send back, but {came} of line {line} of order {number} came"


def _buy(what: str = "") -> str:
    return to_type(f"stores buy {what}".rstrip())


def _coming(on_order: int) -> str:
    return f" more: {on_order} on order" if on_order else ""


REFUSALS = {
    "nothing to order": "nothing to order: name lines, '20 M6x25 hex', or items, 7.4",
    "nothing to order of it": lambda ref, what, on_order: (
        f"{ref} ({what}) is short of nothing{_coming(on_order)}. To "
        f"order more, say it in words, as '2 {what}'"
    ),
    "ordered for which item": "which {what}? Name the item: {items}",
    "no such order": "no order {number}: " + quoted("{hint}") + " lists them",
    "no such order line": "no line {line} in order {number}: it has {lines}",
    "order of another machine": "order {number} is for {machine}, not for {other}",
    "nothing outstanding": "nothing is outstanding there: order {number} is {state}",
    "nothing came": "nothing of order {number} came: there is nothing to record",
    "count of which line": "a count needs one line: name it by its number in the order",
    "more than outstanding": lambda quantity, outstanding, line, unit, hint: (
        f"{so_much(quantity, unit)} came, but {so_much(outstanding, unit)} are outstanding in line "
        f"{line}: record what is more with {quoted(hint)}"
    ),
    "of another unit": "{typed!r}: the line is in {unit}: write how many packs, or so many {unit}",
    "an item is no stock": (
        "{item} is of a joint: what is bought for the workshop is named in words, as '20 M6 nut'"
    ),
    "the list is for joints": (
        f"{to_type('--list')} orders what joints are short of, "
        f"{to_type('--stock')} what the workshop wants: leave one out"
    ),
    "an assortment needs counts": (
        "{typed}: say what it holds, as 'assortment: 20 M4 nut, 20 M5 nut, 10 M6 nut'"
    ),
    "why does it go back": "say why it goes back: " + to_type("-n 'bore 1 mm too small'"),
    "more than came": _more_than_came,
    "not new in hand": lambda left, line, unit, hint: (
        f"{so_much(left, unit)} of line {line} cannot go back, they are not new and to hand: take "
        f"off first what is on the machine, {quoted(hint)} its refit"
    ),
    "neither a line nor an item": ("buy takes what arrived, as 20 M6x25 hex, or one item, as 7.4"),
    "two counts": ("{line} in the line, but {beside} with " + to_type("-q") + ": which is it?"),
    "item short of nothing": lambda ref, on_order: (
        f"{ref} is short of nothing{_coming(on_order)}. Say how many were bought"
    ),
    "bought for which joint": "which {what}? Say for which joint, as in {hint}: {items}",
}
HINTS = {"orders": "stores order list", "buy": _buy, "undo": "stores undo"}


@dataclass(frozen=True, slots=True)
class OrderInWords:
    """One order: how far it is, its note, its lines, and what it comes to."""

    heading: str
    note: str
    lines: Listing
    sums: tuple[str, ...]


def placed(reply: "OrderPlaced") -> Said:
    """Return that an order is on record, line by line, and what it comes to."""
    due = f", promised for {day_words(reply.promised)}" if reply.promised else ""
    return Said(
        (
            f"Order {reply.order} with {reply.supplier}: {_how_many(reply.lines)}{due}",
            *(f"  {line.line}  {_line(line, reply.currency)}" for line in reply.lines),
            *_total(reply.total, reply.carriage, reply.currency),
        ),
        ("When it comes: " + to_type(f"stores order came {reply.order}"),),
    )


def received(reply: "OrderReceived") -> Said:
    """Return what came of an order, where it is, and what is still to come."""
    lines = [f"Order {reply.order}, from {reply.supplier}:"]
    if not any(put.unit or put.pack > 1 for put in reply.put):
        lines = [f"Order {reply.order}: {counted(reply.quantity)} from {reply.supplier}"]
    things: dict[tuple[str, str, int], list[PiecesPut]] = {}
    for put in reply.put:
        things.setdefault((put.what, put.unit, put.pack), []).append(put)
    for (what, unit, pack), shares in things.items():
        where = "; ".join(
            (f"{so_much(put.quantity, unit)} " if len(shares) > 1 else "")
            + f"{_whose(put)}, {put.kind.at(put.place)}"
            for put in shares
        )
        total = sum(put.quantity for put in shares)
        lines.append(f"  {this_much(total, unit, what, pack)}: {where}")
    if reply.waiting:
        coming = (
            this_much(each.quantity, each.unit, each.what, each.pack) for each in reply.waiting
        )
        lines.append(f"  still to come: {', '.join(coming)}")
    notes = []
    if not all(put.loose for put in reply.put):
        notes.append(
            "Try each against the old one before you scrap the old one. If it does not fit: "
            + to_type(f"stores order back {reply.order} LINE -n WHY")
        )
    if any(put.kind is PlaceKind.BAG for put in reply.put):
        notes.append(f"The bags need new labels: {to_type('stores labels')}")
    return Said(lines, tuple(notes), reply.cautions)


def _whose(put: "PiecesPut", part: str = "") -> str:
    """Return for what it is: ``for 7.2``, ``in stock as 0.3``; "with" where some was there."""
    if not put.loose:
        return f"for {put.item} {part}".rstrip()
    return f"in stock, with {put.item}" if put.merged else f"in stock as {put.item}"


def sent_back(reply: "SentToSupplier") -> Said:
    """Return what went back to the supplier."""
    awaited = "no replacement expected" if reply.refund else "replacement expected"
    pieces = this_much(reply.quantity, reply.unit, reply.what, reply.pack)
    return Said((f"Order {reply.order}: {pieces} back to {reply.supplier}, {awaited}",))


def cancelled(reply: "OrderCancelled") -> Said:
    """Return what does not come."""
    return Said(
        (f"Order {reply.order} with {reply.supplier}: {counted(reply.quantity)} cancelled",),
        ("What is still short is on the shopping list again.",),
    )


def promised(reply: "OrderPromised") -> Said:
    """Return for which day an order is promised."""
    words = f"promised for {day_words(reply.promised)}" if reply.promised else "no day promised"
    return Said((f"Order {reply.order} with {reply.supplier}: {words}",))


def priced(reply: "OrderLinePriced") -> Said:
    """Return what a line of an order costs, and the order with it."""
    price = show_money(reply.price, reply.currency)
    return Said(
        (
            f"Order {reply.order}, line {reply.line}: {price} "
            f"for {this_much(reply.quantity, reply.unit, reply.what, reply.pack)}",
            *_total(reply.total, reply.carriage, reply.currency),
        )
    )


def _line(line: "LineOfOrder", currency: str) -> str:
    known = line.price_hundredths is not None
    price = f", {show_money(line.price_hundredths or 0, currency)}" if known else ""
    ref = f" for {line.item}" if line.item else ""
    whose = ", for the workshop" if line.stock else ""
    much = this_much(line.quantity, line.unit, line.what, line.pack)
    return f"{much}{ref}{whose}{price}"


def _in_packs(line: "LineOfOrder") -> bool:
    return bool(line.unit) or bool(sizes_of(line.what))


def _how_many(lines: "Sequence[LineOfOrder]") -> str:
    """Say how much is ordered in all: ``8 pieces and 2 packs``."""
    pieces = sum(line.quantity for line in lines if not _in_packs(line))
    packs = sum(-(-line.quantity // line.pack) for line in lines if _in_packs(line))
    said = [counted(pieces)] if pieces or not packs else []
    return join([*said, *([plural(packs, "pack")] if packs else [])])


def _amount(quantity: int, line: "LineOfOrder") -> str:
    """Say so much of a line in a column: pieces, or so much in its unit."""
    if sizes_of(line.what):
        return str(quantity // line.pack)
    return so_much(quantity, line.unit) if line.unit else str(quantity)


def _total(total: int | None, carriage: int | None, currency: str) -> Sequence[str]:
    if total is None:
        return ("  a price is missing: no total",) if carriage is not None else ()
    sending = f", carriage {show_money(carriage)} in it" if carriage else ""
    return (f"  {show_money(total, currency)} in all{sending}",)


def listing(reply: "Orders") -> Listing:
    """Return the orders as a table."""
    return Listing(
        ["No", "Date", "Supplier", "State", "To come", "Promised", "Sum"],
        [
            [
                str(each.order), day_words(each.date), each.supplier, each.state,
                str(each.outstanding or ""), day_words(each.promised or ""),
                _money(each.total_hundredths, each.currency),
            ]
            for each in reply.orders
        ],
        [0, 4, 6],
        f"Nothing is on order for {reply.machine}.",
    )  # fmt: skip


def one_order(reply: "OrderOnRecord") -> OrderInWords:
    """Return one order, line by line."""
    due = f", promised for {day_words(reply.promised)}" if reply.promised else ""
    sums = (
        ("carriage", reply.carriage_hundredths),
        ("in all", reply.total_hundredths),
    )
    return OrderInWords(
        f"Order {reply.order} with {reply.supplier}, {day_words(reply.date)}: {reply.state}{due}",
        f"note: {reply.note}" if reply.note else "",
        Listing(
            ["Line", "Qty", "What", "For", "Came", "Back", "To come", "Sum"],
            [
                [
                    str(line.line), _amount(line.quantity, line),
                    name_alone(line.unit, line.what),
                    line.item or ("stock" if line.stock else ""),
                    *(
                        _amount(count, line) if count else ""
                        for count in (line.received, line.sent_back, line.outstanding)
                    ),
                    _money(line.price_hundredths),
                ]
                for line in reply.lines
            ],
            [0, 1, 4, 5, 6, 7],
        ),
        tuple(
            f"{name} {show_money(hundredths, reply.currency)}"
            for name, hundredths in sums
            if hundredths is not None
        ),
    )  # fmt: skip


def _money(hundredths: int | None, currency: str = "") -> str:
    return "" if hundredths is None else show_money(hundredths, currency)


def bought(reply: "Bought") -> Said:
    """Return what arrived and where it is."""
    price = f", {show_money(reply.price, reply.currency)}" if reply.price is not None else ""
    much = this_much(reply.quantity, reply.unit, reply.text, reply.pack)
    lines = [f"{much}, new, from {reply.firm}{price}"]
    several = len({put.what for put in reply.put}) > 1
    for put in reply.put:
        count = so_much(put.quantity, put.unit)
        if several:
            count = this_much(put.quantity, put.unit, put.what)
        lines.append(f"  {count} {_whose(put, put.part)}: {put.kind.at(put.place)}")
    short = () if reply.needed or reply.stock else (_not_short(reply.short_of),)
    return Said(lines, short, reply.cautions)


def _not_short(texts: Sequence[str]) -> str:
    more = f" and {len(texts) - 5} more" if len(texts) > 5 else ""
    near = f" The list has: {'; '.join(texts[:5])}{more}." if texts else " The list is empty."
    how = to_type("stores piece assign")
    return f"No joint is short of just that.{near} To put pieces to a joint: {how}"
