"""Buying: orders placed, promised, received, sent back, cancelled; and what arrives without one."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from stores.errors import BadValue, Hint, NotFound, Refused
from stores.handbook.consumables import cautions_of, read_amount
from stores.handbook.fastener import parse
from stores.model.items import Item, serves, sized
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot, record
from stores.model.money import Price, cost_of, price_for, read_money, show_money
from stores.model.orders import OrderLine, PurchaseOrder
from stores.model.stock import sizes_of, this_much
from stores.planning.counts import read_exceptions
from stores.planning.shopping import shortages
from stores.planning.status import PieceStatus
from stores.storage import Writer
from stores.storage.costs import PaidRow
from stores.storage.items import mates, read_items
from stores.storage.machines import Machine, machine_named
from stores.storage.orders import (
    PurchaseEventRow,
    PurchaseLineRow,
    PurchaseRow,
    ReceiptRow,
    next_order,
    read_orders,
)
from stores.storage.settings import read_settings
from stores.storage.writer import Made
from stores.text import clean, counted, day_words, join, plural, read_day
from stores.usecases.common import (
    NOTE_LENGTH,
    count_of,
    firm_named,
    from_hand,
    home_of,
    moves_to,
    place_named,
    select,
)
from stores.usecases.context import Ask, Context, Reply
from stores.usecases.rebuild import status_of_lacking, status_on
from stores.usecases.supplies import (
    SupplyLine,
    described,
    in_stock_already,
    read_supply,
    within,
    write_facts,
    write_supply,
)

__all__ = [
    "Bought",
    "Buy",
    "CancelOrder",
    "LineOfOrder",
    "ListOrders",
    "OrderCancelled",
    "OrderLinePriced",
    "OrderOnRecord",
    "OrderPlaced",
    "OrderPromised",
    "OrderReceived",
    "Orders",
    "PiecesPut",
    "PlaceOrder",
    "PriceOrderLine",
    "PromiseOrder",
    "ReceiveOrder",
    "SendToSupplier",
    "SentToSupplier",
    "StillToCome",
    "buy",
    "cancel_order",
    "one_order",
    "orders",
    "place_order",
    "price_order_line",
    "promise_order",
    "receive_order",
    "send_to_supplier",
]

_ITEM = re.compile(r"^\s*\d{1,6}\.\d{1,4}\s*$")


@dataclass(frozen=True, slots=True)
class PlaceOrder(Ask):
    """An order with a supplier, as typed; nothing moves until it comes.

    ``lines`` are bench lines with the price of the line, "20 M6x25 hex 8.8 = 4.20", consumables,
    "2 x 50 ml medium threadlocker", assortments, or items, 7.4, of which as many are ordered as are
    short; ``listed``: all of the shopping list too. ``promised`` is a day, ``carriage`` a sum, None
    where nothing was said. ``stock``: all of it is for the workshop, nothing for a joint.
    """

    supplier: str
    lines: Sequence[str] = ()
    listed: bool = False
    promised: str | None = None
    carriage: str | None = None
    note: str = ""
    new_firm: bool = False
    stock: bool = False


@dataclass(frozen=True, slots=True)
class LineOfOrder:
    """One line of an order; ``item`` is None where any joint may have it.

    Quantities are pieces, or so much in ``unit``, and so is ``pack``. ``stock``: it is for the
    workshop. The price is of the whole line, None where it is not known.
    """

    line: int
    what: str
    item: str | None
    quantity: int
    received: int
    sent_back: int
    cancelled: int
    outstanding: int
    price_hundredths: int | None
    unit: str = ""
    pack: int = 1
    stock: bool = False


@dataclass(frozen=True, slots=True)
class OrderOnRecord:
    """An order: how far it is, and what it costs with carriage, None where a price is not known.

    ``state`` is ordered, part received, received, sent back or cancelled; ``promised`` a day, or
    None.
    """

    order: int
    supplier: str
    machine: str
    date: str
    state: str
    promised: str | None
    outstanding: int
    currency: str
    carriage_hundredths: int | None
    total_hundredths: int | None
    note: str
    lines: tuple[LineOfOrder, ...]


@dataclass(frozen=True, slots=True)
class ListOrders:
    """The orders with something to come; with ``everything`` all of them."""

    everything: bool = False


@dataclass(frozen=True, slots=True)
class Orders:
    """Orders for a machine, by number."""

    machine: str
    orders: tuple[OrderOnRecord, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderPlaced(Reply):
    """An order on record."""

    order: int
    supplier: str
    promised: str
    currency: str
    carriage: int | None
    total: int | None
    lines: tuple[LineOfOrder, ...]


@dataclass(frozen=True, slots=True)
class ReceiveOrder(Ask):
    """An order that came, whole or in part.

    Of ``lines``, or of all; ``quantity`` of one line, as typed. ``to`` is where all of it goes; by
    default into each joint's bag, the rest loose to the bench. ``but`` says of which lines less
    came than is outstanding, and how many: ``2: 3, 4: none``.
    """

    order: int
    lines: Sequence[int] = ()
    quantity: str | None = None
    to: str | None = None
    new_place: bool = False
    but: str = ""


@dataclass(frozen=True, slots=True)
class PiecesPut:
    """Pieces that arrived, or so much in ``unit``, and where they are now: for a joint, or in the
    workshop's stock (``loose``). ``merged``: with the same thing that was there already."""

    item: str
    quantity: int
    place: str
    kind: PlaceKind
    what: str
    part: str = ""
    loose: bool = False
    unit: str = ""
    pack: int = 1
    merged: bool = False


@dataclass(frozen=True, slots=True)
class StillToCome:
    """What is still to come of a line: pieces, or so much in ``unit``."""

    what: str
    quantity: int
    unit: str = ""
    pack: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderReceived(Reply):
    """What came of an order, where it was put, and what is still to come.

    ``quantity`` and ``outstanding`` count pieces, and packs of what comes in packs.
    """

    order: int
    supplier: str
    quantity: int
    put: tuple[PiecesPut, ...]
    waiting: tuple[StillToCome, ...]
    outstanding: int
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SendToSupplier(Ask):
    """Pieces of an order's line that do not fit and go back.

    Others are awaited in their place, with ``refund`` they are not. ``quantity`` is as typed, None
    for all that came.
    """

    order: int
    line: int
    quantity: str | None = None
    why: str = ""
    refund: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SentToSupplier(Reply):
    """Pieces that went back to the supplier."""

    order: int
    supplier: str
    quantity: int
    what: str
    refund: bool
    unit: str = ""
    pack: int = 1


@dataclass(frozen=True, slots=True)
class CancelOrder(Ask):
    """What is outstanding of an order, or of some of its lines, does not come."""

    order: int
    lines: Sequence[int] = ()
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderCancelled(Reply):
    """Pieces that do not come; they are on the shopping list again."""

    order: int
    supplier: str
    quantity: int


@dataclass(frozen=True, slots=True)
class PromiseOrder(Ask):
    """For which day an order is promised; "none" takes it back."""

    order: int
    day: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderPromised(Reply):
    """The day for which an order is promised, empty for none."""

    order: int
    supplier: str
    promised: str


@dataclass(frozen=True, slots=True)
class PriceOrderLine(Ask):
    """What all of a line of an order costs, a sum as typed: by the invoice, say."""

    order: int
    line: int
    price: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLinePriced(Reply):
    """What a line costs, and the order with it; in hundredths."""

    order: int
    line: int
    quantity: int
    what: str
    price: int
    currency: str
    carriage: int | None
    total: int | None
    unit: str = ""
    pack: int = 1


@dataclass(frozen=True, slots=True)
class Buy(Ask):
    """New pieces that arrived without an order, shared out over the joints that are short of them.

    ``what`` is an item (``7.2``) or a bench line (``20 M6x25 hex 8.8``); ``quantity`` is as typed,
    where the line has none. ``to`` is where all of it goes; by default each joint's share goes into
    the joint's own bag, and what is beyond the need to the bench: it is the workshop's stock. With
    ``stock`` the workshop bought it, and all of it goes there: joints draw on it. Consumables and
    assortments always do. ``price`` is what was paid for all of it, as typed.
    """

    what: str
    quantity: str | None = None
    firm: str = "a supplier"
    to: str | None = None
    note: str = ""
    new_place: bool = False
    new_firm: bool = False
    stock: bool = False
    price: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bought(Reply):
    """What arrived and where it is now; ``quantity`` in ``unit``, ``price`` in hundredths.

    ``needed`` False: no joint is short of just that, and ``short_of`` is what the machine's joints
    are short of. ``stock``: it was bought for the workshop, whatever joints are short of.
    """

    quantity: int
    text: str
    firm: str
    put: tuple[PiecesPut, ...]
    needed: bool
    short_of: tuple[str, ...]
    unit: str = ""
    pack: int = 1
    stock: bool = False
    price: int | None = None
    currency: str = ""
    cautions: tuple[str, ...] = ()


def place_order(context: Context, ask: PlaceOrder) -> OrderPlaced:
    """Record an order.

    Raises:
        Refused: nothing to order; an item that is short of nothing.
        BadValue: not a sum of money, not a day.
    """
    # the list takes more to load than all else that is bought
    from stores.usecases.shopping import WhatToBuy, draw_up, prices_in

    supplier = clean(ask.supplier, "the supplier", most=80)
    note = clean(ask.note, "the note", most=NOTE_LENGTH, empty=True)
    if ask.stock and ask.listed:
        raise Refused("the list is for joints")
    promised = "" if ask.promised is None else _day(ask.promised)
    carriage = None if ask.carriage is None else read_money(ask.carriage)
    with context.writing(ask) as writer:
        on = machine_named(writer.connection, context.machine)
        items = read_items(writer.connection, machine=on.number)
        lines = [
            _wanted(writer, text, context.machine, items, stock=ask.stock) for text in ask.lines
        ]
        currency = read_settings(writer.connection).get("currency", "")
        if ask.listed:
            listed = draw_up(writer.connection, [on], WhatToBuy(), asked_of=supplier)
            by_ref = {item.ref: item for item in items}
            lines += [
                _Wanted(
                    short.spec, short.quantity,
                    None if sized(short.spec) else by_ref.get(short.joints[0]),
                    short.price_hundredths, short.pack,
                )
                for short in listed.lines
            ]  # fmt: skip
            lines += [
                replace(_wanted_supply(read_supply(can.text).packs(can.quantity)), price=can.price)
                for can in listed.supplies
                if can.quantity
            ]
        if not lines:
            raise Refused("nothing to order")
        place = firm_named(writer, PlaceKind.BOUGHT, supplier, new=ask.new_firm)
        number = next_order(writer.connection)
        act = writer.begin(
            ActKind.ORDER,
            f"order {number} with {place.name}: {_how_many(line.as_ordered for line in lines)}",
            reason=note,
            at=context.at,
        )
        row = writer.append(
            PurchaseRow(
                act_id=act, number=number, machine_id=on.number, place_id=place.number, note=note,
                currency=currency, carriage=carriage,
            ),
            of_stock=all(line.stock for line in lines),
        )  # fmt: skip
        known = prices_in(writer.connection, currency)
        for at_line, line in enumerate(lines, 1):
            priced = _by_the_list(line, known, place.name)
            writer.append(
                PurchaseLineRow(
                    act_id=act, purchase_id=row, line=at_line, words=line.text,
                    quantity=line.quantity, description_id=line.described(writer),
                    item_id=line.item.number if line.item else None, pack=priced.pack,
                    price=priced.price, unit=line.unit, stock=int(line.stock),
                )
            )  # fmt: skip
        if promised:
            writer.append(
                PurchaseEventRow(act_id=act, purchase_id=row, event="promised", value=promised)
            )
        made = _order(writer, number)
    return OrderPlaced(
        act=act, trial=ask.trial, order=number, supplier=made.supplier, promised=promised,
        currency=made.currency, carriage=made.carriage, total=made.total,
        lines=tuple(map(_line_on_record, made.lines)),
    )  # fmt: skip


def receive_order(context: Context, ask: ReceiveOrder) -> OrderReceived:
    """Record that an order came, whole or in part: shared out over the joints that are short.

    Raises:
        NotFound: no such order or line.
        Refused: nothing outstanding, more came than was ordered, or an order of another machine.
    """
    with context.writing(ask) as writer:
        made = _order(writer, ask.order)
        if context.machine is not None:
            named = machine_named(writer.connection, context.machine)
            if named.number != made.machine_number:
                raise Refused(
                    "order of another machine",
                    number=made.number,
                    machine=made.machine,
                    other=named.name,
                )
        chosen = _chosen(made, ask.lines, ask.quantity)
        if ask.but:
            chosen = _all_but(made, chosen, ask)
        items = read_items(writer.connection, machine=made.machine_number)
        into = place_named(writer, ask.to, new=ask.new_place) if ask.to else None
        act = writer.begin(
            ActKind.BUY,
            f"order {ask.order}, {_how_many(chosen)} from {made.supplier}",
            at=context.at,
        )
        short = {item.number: item.lacking for item in items if item.step.number}
        on = machine_named(writer.connection, made.machine)
        moves: list[Movement] = []
        put: list[PiecesPut] = []
        cautions: dict[str, None] = {}
        for line, count in chosen:
            if line.stock:
                for each in _supply_of(line, count).each:
                    moved, where = _into_stock(writer, act, on, each, made.place, into)
                    cautions |= dict.fromkeys(_cautions(each))
                    put.append(where)
                    moves.append(moved)
                    _receipt(writer, act, line, moved.item, moved.quantity, "received")
                continue
            shares, rest = _shares_of_line(line, count, items, short)
            arrived = []
            for item, some in shares:
                target = into or home_of(writer, item, mates(writer.connection, item))
                arrived.append((item.number, some))
                put.append(_put(item.ref, some, target, line.text, item.step.part))
                moves.append(_arrives(item.number, some, made.place, target.number))
            if rest:
                spare = replace(_supply_of(line, rest), written=line.text)
                moved, where = _into_stock(writer, act, on, spare, made.place, into, merged=False)
                arrived.append((moved.item, rest))
                put.append(where)
                moves.append(moved)
            for number, some in arrived:
                _receipt(writer, act, line, number, some, "received")
        writer.move(act, record(writer.stock_for(moves), ActKind.BUY, moves))
        left = _order(writer, ask.order)
    return OrderReceived(
        act=act,
        trial=ask.trial,
        order=ask.order,
        supplier=made.supplier,
        quantity=sum(line.count(count) for line, count in chosen),
        put=tuple(put),
        waiting=tuple(
            StillToCome(line.text, line.outstanding, line.unit, line.pack)
            for line in left.lines
            if line.outstanding
        ),
        outstanding=left.outstanding,
        cautions=tuple(cautions),
    )


def send_to_supplier(context: Context, ask: SendToSupplier) -> SentToSupplier:
    """Record that pieces of an order's line go back. The old piece is where it was.

    Raises:
        NotFound: no such order or line.
        Refused: no reason, or fewer pieces of it are in hand, new.
    """
    why = clean(ask.why, "the reason", most=NOTE_LENGTH, empty=True)
    if not why:
        raise Refused("why does it go back")
    with context.writing(ask) as writer:
        made = _order(writer, ask.order)
        of = _line_of(made, ask.line)
        left = _so_much_of(of, ask.quantity) if ask.quantity is not None else of.kept
        if not left or left > of.kept:
            raise Refused(
                "more than came", quantity=left or of.quantity, what=of.text, kept=of.kept,
                line=ask.line, number=ask.order, unit=of.unit, pack=of.pack,
            )  # fmt: skip
        size = {text: count * left // of.pack for count, text in sizes_of(of.text)}
        items = {item.number: item for item in read_items(writer.connection, numbers=of.lots)}
        stock = writer.stock(list(items), [made.place])
        moves: list[Movement] = []
        shares: list[tuple[int, int]] = []
        for item in items.values():
            some = min(
                left, of.lots[item.number], item.in_hand(Condition.NEW),
                *([size[item.as_found.text]] if size else []),
            )  # fmt: skip
            if some > 0:
                spots = from_hand(stock, item, some, (Condition.NEW,))
                moves += moves_to(item, spots, made.place)
                if size:
                    size[item.as_found.text] -= some
                shares.append((item.number, some))
                left -= some
        if left:
            raise Refused(
                "not new in hand", left=left, line=ask.line, unit=of.unit, hint=Hint("undo")
            )
        total = sum(count for _, count in shares)
        act = writer.begin(
            ActKind.ORDER,
            f"order {ask.order}, {this_much(total, of.unit, of.text, of.pack)} "
            f"back to {made.supplier}",
            reason=why,
            at=context.at,
        )
        writer.move(act, record(writer.stock_for(moves), ActKind.ORDER, moves, why))
        for number, some in shares:
            _receipt(writer, act, of, number, some, "sent back")
        if ask.refund:
            _receipt(writer, act, of, None, total, "cancelled")
    return SentToSupplier(
        act=act, trial=ask.trial, order=ask.order, supplier=made.supplier, quantity=total,
        what=of.text, refund=ask.refund, unit=of.unit, pack=of.pack,
    )  # fmt: skip


def cancel_order(context: Context, ask: CancelOrder) -> OrderCancelled:
    """Record that what is outstanding of an order, or of some of its lines, does not come.

    Raises:
        NotFound: no such order or line.
        Refused: nothing is outstanding.
    """
    why = clean(ask.why, "the reason", most=NOTE_LENGTH, empty=True)
    with context.writing(ask) as writer:
        made = _order(writer, ask.order)
        chosen = _chosen(made, ask.lines, None)
        act = writer.begin(
            ActKind.ORDER,
            f"order {ask.order} with {made.supplier}: {_how_many(chosen)} cancelled",
            reason=why,
            at=context.at,
        )
        for line, count in chosen:
            _receipt(writer, act, line, None, count, "cancelled")
    return OrderCancelled(
        act=act, trial=ask.trial, order=ask.order, supplier=made.supplier,
        quantity=sum(line.count(count) for line, count in chosen),
    )  # fmt: skip


def promise_order(context: Context, ask: PromiseOrder) -> OrderPromised:
    """Record for which day an order is promised.

    Raises:
        NotFound: no such order.
        BadValue: no day.
    """
    when = "" if ask.day.strip().casefold() == "none" else _day(ask.day)
    with context.writing(ask) as writer:
        made = _order(writer, ask.order)
        words = f"promised for {day_words(when)}" if when else "no day promised"
        act = writer.begin(
            ActKind.ORDER, f"order {ask.order} with {made.supplier}: {words}", at=context.at
        )
        writer.append(
            PurchaseEventRow(act_id=act, purchase_id=made.row, event="promised", value=when)
        )
    return OrderPromised(
        act=act, trial=ask.trial, order=ask.order, supplier=made.supplier, promised=when
    )


def price_order_line(context: Context, ask: PriceOrderLine) -> OrderLinePriced:
    """Record what a line of an order costs, all of it.

    Raises:
        NotFound: no such order or line.
        BadValue: not a sum of money.
    """
    price = read_money(ask.price)
    with context.writing(ask) as writer:
        made = _order(writer, ask.order)
        of = _line_of(made, ask.line)
        act = writer.begin(
            ActKind.ORDER,
            f"order {ask.order}, line {ask.line}: {show_money(price, made.currency)}",
            at=context.at,
        )
        writer.append(
            PurchaseLineRow(
                act_id=act, purchase_id=made.row, line=ask.line, words=of.text,
                quantity=of.quantity, description_id=writer.known_description(of.text),
                item_id=of.item, pack=of.pack, price=price, unit=of.unit, stock=int(of.stock),
            )
        )  # fmt: skip
        made = _order(writer, ask.order)
    return OrderLinePriced(
        act=act, trial=ask.trial, order=ask.order, line=ask.line, quantity=of.quantity,
        what=of.text, price=price, currency=made.currency, carriage=made.carriage, total=made.total,
        unit=of.unit, pack=of.pack,
    )  # fmt: skip


def orders(context: Context, ask: ListOrders) -> Orders:
    """Return the orders for a machine."""
    with context.reading() as connection:
        on = machine_named(connection, context.machine)
        every = read_orders(connection, on.number)
    return Orders(
        on.name, tuple(_on_record(each) for each in every if ask.everything or each.outstanding)
    )


def one_order(context: Context, number: int) -> OrderOnRecord:
    """Return one order, line by line.

    Raises:
        NotFound: no such order.
    """
    with context.reading() as connection:
        listed = read_orders(connection, numbers=[number])
    return _on_record(_only(listed, number))


def buy(context: Context, ask: Buy) -> Bought:
    """Record new pieces that arrived without an order.

    Raises:
        NotationError: neither an item nor a bench line.
        Refused: no count, two counts, or several joints that it may be for.
    """
    firm = clean(ask.firm, "the firm", most=80)
    note = clean(ask.note, "the reason", most=NOTE_LENGTH, empty=True)
    quantity = count_of(ask.quantity)
    price = None if ask.price is None else read_money(ask.price)
    with context.writing(ask) as writer:
        line = None
        shares: list[tuple[Item, int]] = []
        if _ITEM.match(ask.what):
            chosen = select(writer.connection, context.machine, ask.what)
            on, item = chosen.machine, chosen.only
            if ask.stock:
                raise Refused("an item is no stock", item=item.ref)
            total = quantity or _short_of(writer, item)
            shares, text, unit, pack = [(item, total)], item.as_specified.text, "", 1
            everything: Sequence[Item] = mates(writer.connection, item)
        else:
            on = machine_named(writer.connection, context.machine)
            everything = read_items(writer.connection, machine=on.number)
            line = _bought_line(ask.what, quantity, () if ask.stock else everything)
            total, text, unit, pack = line.quantity, line.text, line.unit, line.pack or 1
            if not (ask.stock or line.for_stock):
                short = status_of_lacking(writer.connection, everything)
                shares = _shares_bought(text, total, everything, short)
        for_stock = line is not None and (ask.stock or line.for_stock)
        rest = total - sum(count for _, count in shares)
        source = firm_named(writer, PlaceKind.BOUGHT, firm, new=ask.new_firm)
        into = place_named(writer, ask.to, new=ask.new_place) if ask.to else None
        act = writer.begin(
            ActKind.BUY,
            f"{this_much(total, unit, text, pack)} bought from {source.name}",
            reason=note,
            at=context.at,
        )
        currency = read_settings(writer.connection).get("currency", "")
        writer.append(
            PaidRow(
                act_id=act, machine_id=None if for_stock else on.number, price=price,
                currency=currency,
            )
        )  # fmt: skip
        moves: list[Movement] = []
        put: list[PiecesPut] = []
        for item, count in shares:
            target = into or home_of(writer, item, everything)
            moves.append(_arrives(item.number, count, source.number, target.number))
            put.append(_put(item.ref, count, target, text, item.step.part))
        if line is not None and (rest or not shares):
            for each in replace(line, quantity=rest).each:
                moved, where = _into_stock(
                    writer, act, on, each, source.number, into, merged=for_stock
                )
                moves.append(moved)
                put.append(where)
        listed = tuple(each.what for each in shortages([status_on(writer.connection, on.number)]))
        writer.move(act, record(writer.stock_for(moves), ActKind.BUY, moves, note))
    return Bought(
        act=act,
        trial=ask.trial,
        quantity=total,
        text=text,
        firm=source.name,
        put=tuple(put),
        needed=bool(shares),
        short_of=() if shares else listed,
        unit=unit,
        pack=pack,
        stock=for_stock,
        price=price,
        currency=currency,
        cautions=_cautions(line) if line is not None else (),
    )


def _bought_line(typed: str, quantity: int | None, items: Sequence[Item]) -> SupplyLine:
    """Read what was bought, with a count beside it: of pieces, or of packs."""
    line = read_supply(typed, "buy", _short_specs(items))
    if line.bench is None:
        return line.packs(quantity)
    if quantity is not None and line.bench.counted and quantity != line.quantity:
        raise Refused("two counts", line=line.quantity, beside=quantity)
    return line if quantity is None else replace(line, quantity=quantity)


def _short_specs(items: Sequence[Item]) -> frozenset[str]:
    """Return what joints are short of, by the words of their specification."""
    return frozenset(item.as_specified.text for item in items if item.step.number and item.lacking)


@dataclass(frozen=True, slots=True)
class _Wanted:
    """A line of an order before it is written down."""

    text: str
    quantity: int
    item: Item | None = None
    price: int | None = None
    pack: int = 1
    unit: str = ""
    stock: bool = False
    supply: SupplyLine | None = None

    @property
    def as_ordered(self) -> tuple[OrderLine, int]:
        """The line as the order will have it."""
        of = OrderLine(1, self.text, self.quantity, self.pack, unit=self.unit)
        return of, self.quantity

    def described(self, writer: Writer) -> int:
        """Return its description's number, written down if it is new."""
        if self.supply is not None:
            return described(writer, self.supply)
        return writer.description(parse(self.text))


def _wanted_supply(line: SupplyLine) -> _Wanted:
    return _Wanted(
        line.text, line.quantity, pack=line.bought_pack or 1, unit=line.unit, stock=True,
        supply=line,
    )  # fmt: skip


def _wanted(
    writer: Writer, typed: str, machine: str | None, items: Sequence[Item], *, stock: bool
) -> _Wanted:
    """Read a line of an order: words with a count, or an item; with the price of it all."""
    what, equals, sum_ = typed.partition("=")
    price = read_money(sum_) if equals else None
    if _ITEM.match(what):
        named = select(writer.connection, machine, what, empty=True).only
        if stock:
            raise Refused("an item is no stock", item=named.ref)
        text = named.as_specified.text
        piece = status_of_lacking(writer.connection, [named]).get(named.number)
        if piece is None or not piece.short:
            on_order = piece.on_order if piece else 0
            raise Refused("nothing to order of it", ref=named.ref, what=text, on_order=on_order)
        return _Wanted(text, piece.short, named, price)
    line = read_supply(what, "order", _short_specs(() if stock else items))
    if line.for_stock:
        return replace(_wanted_supply(line), price=price)
    spec = line.text
    item: Item | None = None
    if not sized(spec) and not stock:
        fits = [each for each in items if each.lacking and each.as_specified.text == spec]
        if len(fits) > 1:
            raise Refused("ordered for which item", what=spec, items=_named(fits))
        item = fits[0] if fits else None
    return _Wanted(spec, line.quantity, item, price, stock=stock)


def _short_of(writer: Writer, item: Item) -> int:
    """Return how many pieces of an item are to buy.

    Raises:
        Refused: none: its joint has them, or they are on order.
    """
    piece = status_of_lacking(writer.connection, [item]).get(item.number)
    if piece is None or not piece.short:
        on_order = piece.on_order if piece else 0
        raise Refused("item short of nothing", ref=item.ref, on_order=on_order)
    return piece.short


def _named(items: Sequence[Item]) -> tuple[str, ...]:
    return tuple(f"{item.ref} ({item.step.part})" for item in items)


def _by_the_list(line: _Wanted, known: Sequence[Price], supplier: str) -> _Wanted:
    """Price a line by the price list, where nobody said what it costs."""
    if line.unit and line.pack > 1:  # a pack of its size has its own price
        known = [price for price in known if price.pack == line.pack]
    price = price_for(known, line.text, line.quantity, supplier) if line.price is None else None
    if price is None:
        return line
    return replace(
        line, price=cost_of(price, line.quantity)[1],
        pack=line.pack if line.supply and line.pack > 1 else price.pack,
    )  # fmt: skip


def _shares_of_line(
    line: OrderLine, count: int, items: Sequence[Item], short: dict[int, int]
) -> tuple[list[tuple[Item, int]], int]:
    """Share out what came of a line, the first step first; ``short`` is used up on the way."""
    if line.item is not None:
        mine = [item for item in items if item.number == line.item]
        if mine:
            short[line.item] = max(0, short.get(line.item, 0) - count)
            return [(mine[0], count)], 0
    shares = []
    for item in items:
        some = min(count, short.get(item.number, 0))
        if some and serves(line.text, item.as_specified.text):
            shares.append((item, some))
            short[item.number] -= some
            count -= some
    return shares, count


def _shares_bought(
    text: str, total: int, items: Sequence[Item], lacking: Mapping[int, PieceStatus]
) -> list[tuple[Item, int]]:
    """Share what arrived out over the joints that are short of it, in the order of the steps."""
    short = [item for item in items if item.number in lacking and lacking[item.number].short]
    fits = [item for item in short if serves(text, item.as_specified.text)]
    if not sized(text):
        fits = [item for item in short if item.as_specified.text == text]
        if len(fits) > 1:
            raise Refused(
                "bought for which joint", what=text, items=_named(fits),
                hint=Hint("buy", what=fits[0].ref),
            )  # fmt: skip
    shares = []
    rest = total
    for item in fits:
        count = min(rest, lacking[item.number].short)
        if count:
            shares.append((item, count))
            rest -= count
    return shares


def _supply_of(line: OrderLine, quantity: int) -> SupplyLine:
    """Return what came of an order's line as it goes into stock."""
    if sizes := sizes_of(line.text):
        return SupplyLine(quantity, "", line.text, line.text, line.pack, sizes=sizes)
    typed = this_much(quantity, line.unit, line.text)
    read = read_supply(typed, "order", () if line.stock else {line.text})
    pack = line.pack if read.amount is not None and line.pack > 1 else 0
    return replace(read, quantity=quantity, unit=line.unit, text=line.text, pack=pack)


def _into_stock(
    writer: Writer, act: int, on: Machine, line: SupplyLine, source: int, into: Made | None,
    *, merged: bool = True,
) -> tuple[Movement, PiecesPut]:  # fmt: skip
    """Put what was bought into the workshop's stock: with ``merged`` to the same thing, where
    there is some of it unopened, else under a number of its own."""
    there = in_stock_already(writer, line, on.name) if merged else None
    if there is not None:
        ref, item, lies = there
    else:
        item, number = write_supply(writer, act, on.number, line)
        write_facts(writer, act, item, line.facts)
        ref, lies = f"0.{number}", writer.place(PlaceKind.BENCH, "bench")
    target = into or lies
    put = _put(ref, line.quantity, target, line.text, loose=True)
    return (
        _arrives(item, line.quantity, source, target.number),
        replace(put, unit=line.unit, pack=line.pack or 1, merged=there is not None),
    )


def _cautions(line: SupplyLine) -> tuple[str, ...]:
    return cautions_of(line.amount.kind) if line.amount and line.amount.kind else ()


def _how_many(lines: Iterable[tuple[OrderLine, int]]) -> str:
    """Say how much these lines are in all: ``8 pieces and 2 packs``."""
    listed = list(lines)
    pieces = sum(count for line, count in listed if not line.in_packs)
    packs = sum(line.count(count) for line, count in listed if line.in_packs)
    said = [counted(pieces)] if pieces or not packs else []
    return join([*said, *([plural(packs, "pack")] if packs else [])])


def _put(
    ref: str, count: int, target: Made, what: str, part: str = "", *, loose: bool = False
) -> PiecesPut:
    kind = target.kind or PlaceKind.BENCH
    return PiecesPut(ref, count, target.name, kind, what, part, loose)


def _arrives(item: int, count: int, supplier: int, place: int) -> Movement:
    return Movement(item, count, Spot(supplier, Condition.NEW), Spot(place, Condition.NEW))


def _receipt(
    writer: Writer, act: int, line: OrderLine, item: int | None, count: int, outcome: str
) -> None:
    writer.append(
        ReceiptRow(act_id=act, line_id=line.rows[-1], item_id=item, quantity=count, outcome=outcome)
    )


def _day(typed: str) -> str:
    return read_day(typed, ahead=True).isoformat()


def _order(writer: Writer, number: int) -> PurchaseOrder:
    return _only(read_orders(writer.connection, numbers=[number]), number)


def _only(listed: Sequence[PurchaseOrder], number: int) -> PurchaseOrder:
    if not listed:
        raise NotFound("no such order", number=number, hint=Hint("orders"))
    return listed[0]


def _line_of(made: PurchaseOrder, line: int) -> OrderLine:
    for each in made.lines:
        if each.line == line:
            return each
    raise NotFound("no such order line", line=line, number=made.number, lines=len(made.lines))


def _chosen(
    made: PurchaseOrder, lines: Sequence[int], typed: str | None
) -> list[tuple[OrderLine, int]]:
    wanted = [_line_of(made, line) for line in dict.fromkeys(lines)] or list(made.lines)
    waiting = [line for line in wanted if line.outstanding]
    if not waiting:
        raise Refused("nothing outstanding", number=made.number, state=made.state)
    if typed is None:
        return [(line, line.outstanding) for line in waiting]
    if len(waiting) > 1:
        raise Refused("count of which line")
    first = waiting[0]
    quantity = _so_much_of(first, typed)
    if quantity > first.outstanding:
        raise Refused(
            "more than outstanding", quantity=quantity, outstanding=first.outstanding,
            line=first.line, unit=first.unit, hint=Hint("buy"),
        )  # fmt: skip
    return [(first, quantity)]


def _all_but(
    made: PurchaseOrder, chosen: Sequence[tuple[OrderLine, int]], ask: ReceiveOrder
) -> list[tuple[OrderLine, int]]:
    """Return what came of each line: all that is outstanding, but for what the ask says.

    Raises:
        Refused: a count beside it, more than is outstanding, or nothing came.
        NotFound: no such line. BadValue: no exception.
    """
    if ask.quantity is not None:
        raise Refused("a count and all but")
    came = {line.line: (line, count) for line, count in chosen}
    for name, count in read_exceptions(ask.but).items():
        if not name.isdecimal():
            raise BadValue("no exception", typed=name[:40])
        line = _line_of(made, int(name))
        quantity = _so_much_of(line, count) if count else 0
        if line.line not in came or quantity > line.outstanding:
            raise Refused(
                "more than outstanding", quantity=quantity, outstanding=line.outstanding,
                line=line.line, unit=line.unit, hint=Hint("buy"),
            )  # fmt: skip
        came[line.line] = (line, quantity)
    if not any(count for _, count in came.values()):
        raise Refused("nothing came", number=made.number)
    return [(line, count) for line, count in came.values() if count]


def _so_much_of(line: OrderLine, typed: str | int) -> int:
    """Read how much of a line: pieces; of what comes in packs so many packs, or ``50 ml``."""
    if line.unit and not str(typed).strip().isdecimal():
        read = read_amount(str(typed), pack=line.pack if line.pack > 1 else None)
        if read.unit != line.unit:
            raise BadValue("of another unit", typed=str(typed)[:40], unit=line.unit)
        return within(read.quantity, line.unit, str(typed))
    count = count_of(typed) or 0
    return within(count * line.pack, line.unit, str(typed)) if line.in_packs else count


def _on_record(made: PurchaseOrder) -> OrderOnRecord:
    return OrderOnRecord(
        made.number, made.supplier, made.machine, made.date, made.state,
        made.promised or None, made.outstanding, made.currency, made.carriage, made.total,
        made.note, tuple(map(_line_on_record, made.lines)),
    )  # fmt: skip


def _line_on_record(line: OrderLine) -> LineOfOrder:
    return LineOfOrder(
        line.line, line.text, line.ref or None, line.quantity, line.received, line.sent_back,
        line.cancelled, line.outstanding, line.price, line.unit, line.pack, line.stock,
    )  # fmt: skip
