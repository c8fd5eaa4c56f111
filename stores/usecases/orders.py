"""Orders with suppliers: placed, promised, received, sent back, cancelled; and prices."""

from collections.abc import Sequence

from stores.errors import NotFound, Refused
from stores.handbook.fastener import parse
from stores.model.items import Item, serves, sized
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot, record
from stores.planning.money import read_money, show_money
from stores.planning.orders import Order, OrderLine, same_firm
from stores.planning.shopping import packed, shopping
from stores.storage import Store, Writer
from stores.storage.items import mates, read_items
from stores.storage.machines import machine_named
from stores.storage.orders import read_on_order, read_orders, read_prices, spare_rules
from stores.storage.settings import read_settings
from stores.text import clean, counted, many, read_day
from stores.usecases.common import (
    NOTE_LENGTH,
    Done,
    count_of,
    from_hand,
    home_of,
    moves_to,
    place_named,
)
from stores.usecases.order_lines import Wanted, by_the_list, wanted_of
from stores.usecases.supply import loose_of

__all__ = [
    "cancel_order",
    "order",
    "order_back",
    "order_came",
    "price_order_line",
    "promise_order",
]


def order(
    store: Store,
    supplier: str,
    what: Sequence[str],
    *,
    listed: bool = False,
    promised: str | None = None,
    carriage: str | None = None,
    note: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Write down an order; nothing moves until it comes.

    Args:
        store: the opened stores.
        supplier: who it is with.
        what: lines, as "20 M6x25 hex 8.8 = 4.20" with the price of the line, or an item, 7.4, of
            which as many are ordered as are short.
        listed: all of the shopping list too.
        promised: the day, as 2026-12-03.
        carriage: what sending it costs.
        note: their order number and the like.
        machine: its name, when not the one last worked on.
        at: the day, when not today.

    Raises:
        Refused: nothing to order; an item that is short of nothing.
        BadValue: not a sum of money, not a day.
    """
    supplier = clean(supplier, "the supplier", most=80)
    note = clean(note, "the note", most=NOTE_LENGTH, empty=True)
    day = None if promised is None else read_day(promised, ahead=True).isoformat()
    sending = None if carriage is None else read_money(carriage)
    with store.writing() as writer:
        on = machine_named(writer.connection, machine)
        everything = read_items(writer.connection, machine=on.number)
        coming = read_on_order(writer.connection, on.number)
        lines = [wanted_of(writer, text, machine, everything) for text in what]
        currency = read_settings(writer.connection).get("currency", "")
        known = [price for price in read_prices(writer.connection) if price.currency == currency]
        if listed:
            theirs = [
                each for each in known if not each.supplier or same_firm(each.supplier, supplier)
            ]
            rules = spare_rules(writer.connection)
            for short in packed(shopping(everything, coming), theirs, rules):
                item = None if sized(short.spec) else short.needs[0].item
                line = Wanted(short.spec, short.quantity, item, short.price)
                line.pack = short.pack
                lines.append(line)
        if not lines:
            raise Refused("nothing to order: name lines, '20 M6x25 hex', or items, 7.4")
        place = writer.firm(PlaceKind.BOUGHT, supplier)
        number = writer.next_purchase()
        pieces = sum(line.quantity for line in lines)
        act = writer.begin(
            ActKind.ORDER,
            f"order {number} with {place.name}: {counted(pieces)}",
            reason=note,
            at=at,
        )
        row = writer.purchase(
            act, number, on.number, place.number, note=note, currency=currency, carriage=sending
        )
        for at_line, line in enumerate(lines, 1):
            by_the_list(line, known, place.name)
            writer.purchase_line(
                act, row, at_line, words=line.text, quantity=line.quantity,
                description=writer.description(parse(line.text)),
                item=line.item.number if line.item else None, pack=line.pack, price=line.price,
            )  # fmt: skip
        if day:
            writer.purchase_event(act, row, "promised", day)
        made = _order(writer, number)
    due = f", promised for {day}" if day else ""
    return Done(
        act,
        (
            f"Order {number} with {made.supplier}: {counted(sum(x.quantity for x in made.lines))}"
            f"{due}",
            *(f"  {line.line}  {_said(line, made.currency)}" for line in made.lines),
            *(_total(made)),
        ),
        (f"When it comes: stores order came {number}",),
        data={"act": act, "order": number, "supplier": made.supplier, "total": made.total},
    )


def order_came(
    store: Store,
    number: int,
    lines: Sequence[int] = (),
    *,
    quantity: int | None = None,
    to: str | None = None,
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Record that an order came, whole or in part: shared out over the joints that are short.

    Args:
        store: the opened stores.
        number: the order.
        lines: which of its lines; by default all that is outstanding.
        quantity: how many of one line.
        to: where it all goes; by default into each joint's bag, the rest loose to the bench.
        machine: unused but for checking that the order is of that machine.
        at: the day, when not today.

    Raises:
        Refused: nothing outstanding, or more came than was ordered.
    """
    count_of(quantity)
    with store.writing() as writer:
        made = _order(writer, number)
        _of_machine(writer, made, machine)
        chosen = _chosen(made, lines, quantity)
        everything = read_items(writer.connection, machine=made.machine_number)
        into = place_named(writer, to) if to else None
        total = sum(count for _, count in chosen)
        act = writer.begin(
            ActKind.BUY, f"order {number}, {counted(total)} from {made.supplier}", at=at
        )
        short = {item.number: item.short for item in everything if item.step.number}
        on = machine_named(writer.connection, made.machine)
        moves: list[Movement] = []
        said: list[str] = []
        put: list[dict[str, object]] = []
        for line, count in chosen:
            shares, rest = _share(line, count, everything, short)
            for item, some in shares:
                target = into or home_of(writer, item, mates(writer.connection, item))
                moves.append(_move(item.number, some, made.place, target.number))
                writer.receipt(act, line.rows[-1], item.number, some, "received")
                said.append(f"  {many(some, line.text)} for {item.ref}: {target.where}")
                put.append({"item": item.ref, "quantity": some, "place": target.name})
            if rest:
                target = into or writer.place(PlaceKind.BENCH, "bench")
                ref, fresh = loose_of(writer, act, on, parse(line.text), line.text)
                moves.append(_move(fresh, rest, made.place, target.number))
                writer.receipt(act, line.rows[-1], fresh, rest, "received")
                said.append(f"  {many(rest, line.text)} loose as {ref}: {target.where}")
                put.append({"item": ref, "quantity": rest, "place": target.name})
        writer.move(act, record(writer.stock_for(moves), ActKind.BUY, moves))
        left = _order(writer, number)
    waiting = [
        f"  still to come: {many(line.outstanding, line.text)}"
        for line in left.lines
        if line.outstanding
    ]
    return Done(
        act,
        (f"Order {number}: {counted(total)} from {made.supplier}", *said, *waiting),
        (
            "Try each against the old piece before that is scrapped; if it does not fit: "
            f"stores order back {number} LINE -n WHY",
            "Bags whose contents changed are due for a label: stores labels",
        ),
        data={"act": act, "order": number, "quantity": total, "put": put,
              "outstanding": left.outstanding},
    )  # fmt: skip


def _share(
    line: OrderLine, count: int, everything: Sequence[Item], short: dict[int, int]
) -> tuple[list[tuple[Item, int]], int]:
    """Share out what came of a line, the first step first; ``short`` is used up on the way."""
    if line.item is not None:
        mine = [item for item in everything if item.number == line.item]
        if mine:
            short[line.item] = max(0, short.get(line.item, 0) - count)
            return [(mine[0], count)], 0
    shares = []
    for item in everything:
        some = min(count, short.get(item.number, 0))
        if some and serves(line.text, item.as_specified.text):
            shares.append((item, some))
            short[item.number] -= some
            count -= some
    return shares, count


def _move(item: int, count: int, supplier: int, place: int) -> Movement:
    return Movement(item, count, Spot(supplier, Condition.NEW), Spot(place, Condition.NEW))


def order_back(
    store: Store,
    number: int,
    line: int,
    *,
    quantity: int | None = None,
    reason: str = "",
    refund: bool = False,
    at: str | None = None,
) -> Done:
    """Send pieces of an order's line back: they do not fit. Others are awaited in their place,
    with ``refund`` they are not. The old piece is where it was.

    Raises:
        Refused: no reason, or fewer pieces of it are in hand, new.
    """
    count_of(quantity)
    reason = clean(reason, "the reason", most=NOTE_LENGTH, empty=True)
    if not reason:
        raise Refused("say why it goes back: -n 'bore 1 mm too small'")
    with store.writing() as writer:
        made = _order(writer, number)
        of = _line_of(made, line)
        left = of.kept if quantity is None else quantity
        if not left or left > of.kept:
            raise Refused(
                f"{many(left or of.quantity, of.text)} to send back, but {of.kept} of line {line} "
                f"of order {number} came"
            )
        known = {item.number: item for item in read_items(writer.connection, numbers=of.lots)}
        stock = writer.stock(list(known), [made.place])
        moves: list[Movement] = []
        shares: list[tuple[int, int]] = []
        for item in known.values():
            here = item.in_hand(Condition.NEW)
            some = min(left, of.lots[item.number], here)
            if some > 0:
                spots = from_hand(stock, item, some, (Condition.NEW,))
                moves += moves_to(item, spots, made.place)
                shares.append((item.number, some))
                left -= some
        if left:
            raise Refused(
                f"{left} more of line {line} asked for than are new in hand: what is on the "
                "machine comes off first, 'stores undo' its refit"
            )
        total = sum(count for _, count in shares)
        act = writer.begin(
            ActKind.ORDER,
            f"order {number}, {many(total, of.text)} back to {made.supplier}",
            reason=reason,
            at=at,
        )
        writer.move(act, record(writer.stock_for(moves), ActKind.ORDER, moves, reason))
        for item_number, some in shares:
            writer.receipt(act, of.rows[-1], item_number, some, "sent back")
        if refund:
            writer.receipt(act, of.rows[-1], None, total, "cancelled")
    awaited = "not awaited again" if refund else "awaited again"
    return Done(
        act,
        (f"Order {number}: {many(total, of.text)} back to {made.supplier}, {awaited}",),
        data={"act": act, "order": number, "quantity": total, "refund": refund},
    )


def cancel_order(
    store: Store,
    number: int,
    lines: Sequence[int] = (),
    *,
    reason: str = "",
    at: str | None = None,
) -> Done:
    """Cancel what is outstanding of an order, or of some of its lines.

    Raises:
        Refused: nothing is outstanding.
    """
    reason = clean(reason, "the reason", most=NOTE_LENGTH, empty=True)
    with store.writing() as writer:
        made = _order(writer, number)
        chosen = _chosen(made, lines, None)
        total = sum(count for _, count in chosen)
        act = writer.begin(
            ActKind.ORDER,
            f"order {number} with {made.supplier}: {counted(total)} cancelled",
            reason=reason,
            at=at,
        )
        for line, count in chosen:
            writer.receipt(act, line.rows[-1], None, count, "cancelled")
    return Done(
        act,
        (f"Order {number} with {made.supplier}: {counted(total)} cancelled",),
        ("They are on the shopping list again.",),
        data={"act": act, "order": number, "quantity": total},
    )


def promise_order(store: Store, number: int, day: str, *, at: str | None = None) -> Done:
    """Say for which day an order is promised; "none" takes it back.

    Raises:
        BadValue: no day.
    """
    when = "" if day.strip().casefold() == "none" else read_day(day, ahead=True).isoformat()
    with store.writing() as writer:
        made = _order(writer, number)
        said = f"promised for {when}" if when else "no day promised"
        act = writer.begin(ActKind.ORDER, f"order {number} with {made.supplier}: {said}", at=at)
        writer.purchase_event(act, made.row, "promised", when)
    return Done(
        act, (f"Order {number} with {made.supplier}: {said}",), data={"act": act, "promised": when}
    )


def price_order_line(
    store: Store, number: int, line: int, price: str, *, at: str | None = None
) -> Done:
    """Say what a line of an order costs, all of it: by the invoice, say.

    Raises:
        NotFound: no such order or line.
        BadValue: not a sum of money.
    """
    asked = read_money(price)
    with store.writing() as writer:
        made = _order(writer, number)
        of = _line_of(made, line)
        said = f"order {number}, line {line}: {show_money(asked, made.currency)}"
        act = writer.begin(ActKind.ORDER, said, at=at)
        writer.purchase_line(
            act, made.row, line, words=of.text, quantity=of.quantity,
            description=writer.known_description(of.text), item=of.item, pack=of.pack, price=asked,
        )  # fmt: skip
        made = _order(writer, number)
    return Done(
        act,
        (f"O{said[1:]} for {many(of.quantity, of.text)}", *_total(made)),
        data={"act": act, "order": number, "line": line, "price": asked, "total": made.total},
    )


def _order(writer: Writer, number: int) -> Order:
    found = read_orders(writer.connection, numbers=[number])
    if not found:
        raise NotFound(f"no order {number}: 'stores order list' lists them")
    return found[0]


def _of_machine(writer: Writer, made: Order, machine: str | None) -> None:
    if machine is not None:
        on = machine_named(writer.connection, machine)
        if on.number != made.machine_number:
            raise Refused(f"order {made.number} is for {made.machine}, not for {on.name}")


def _line_of(made: Order, line: int) -> OrderLine:
    for each in made.lines:
        if each.line == line:
            return each
    raise NotFound(f"no line {line} in order {made.number}: it has {len(made.lines)}")


def _chosen(made: Order, lines: Sequence[int], quantity: int | None) -> list[tuple[OrderLine, int]]:
    wanted = [_line_of(made, line) for line in dict.fromkeys(lines)] or list(made.lines)
    open_ = [line for line in wanted if line.outstanding]
    if not open_:
        raise Refused(f"nothing is outstanding there: order {made.number} is {made.state}")
    if quantity is None:
        return [(line, line.outstanding) for line in open_]
    if len(open_) > 1:
        raise Refused("a count needs one line: name it by its number in the order")
    if quantity > open_[0].outstanding:
        raise Refused(
            f"{quantity} came, but {open_[0].outstanding} are outstanding in line "
            f"{open_[0].line}: record what is more with 'stores buy'"
        )
    return [(open_[0], quantity)]


def _said(line: OrderLine, currency: str) -> str:
    price = f", {show_money(line.price, currency)}" if line.price is not None else ""
    ref = f" for {line.ref}" if line.ref else ""
    return f"{many(line.quantity, line.text)}{ref}{price}"


def _total(made: Order) -> tuple[str, ...]:
    if made.total is None:
        return ("  a price is missing: no total",) if made.carriage is not None else ()
    sent = f", carriage {show_money(made.carriage)} in it" if made.carriage else ""
    return (f"  {show_money(made.total, made.currency)} in all{sent}",)
