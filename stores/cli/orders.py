"""Orders with suppliers, prices, and what it all costs."""

from typing import Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import (
    AsJson,
    Count,
    Day,
    MachineName,
    app,
    command,
    count,
    day,
    opened,
    refuse_options,
)
from stores.cli.overview import IN_A_LINE
from stores.cli.wording import option
from stores.errors import BadValue, NotFound
from stores.text import day_words

__all__: list[str] = []

order_commands = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Orders with suppliers: place one, receive it, send back what does not fit.",
)
app.add_typer(order_commands, name="order", short_help=IN_A_LINE["order"])

Number = Annotated[int, typer.Argument(metavar="ORDER", help="Its number.")]
Lines = Annotated[
    list[int] | None,
    typer.Argument(metavar="LINES", help="Which lines; by default all.", show_default=False),
]


@command(
    "with",
    'stores order with "Hollin Fasteners" "20 M6x25 hex 8.8 = 4.20" 7.4',
    "stores order with Hollin --list --promised 2027-01-15 --carriage 3.95",
    group=order_commands,
)
def place(
    ctx: typer.Context,
    supplier: Annotated[str, typer.Argument(metavar="SUPPLIER", help="Who it is with.")],
    what: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="LINES", help="'20 M6x25 hex = 4.20', or an item, 7.4.", show_default=False
        ),
    ] = None,
    listed: Annotated[
        bool, typer.Option("--list", help="All of the shopping list, in whole packs.")
    ] = False,
    promised: Annotated[
        str | None, typer.Option("--promised", metavar="DAY", help="As 2027-01-15.")
    ] = None,
    carriage: Annotated[
        str | None, typer.Option("--carriage", metavar="SUM", help="What sending it costs.")
    ] = None,
    note: Annotated[str, typer.Option("--note", "-n", help="Their number and the like.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record an order; nothing is in the stores until it comes."""
    from stores import usecases

    refuse_options([supplier, *(what or [])])
    with opened(ctx) as store:
        reply = usecases.order(
            store, supplier, what or [], listed=listed, promised=promised, carriage=carriage,
            note=note, machine=machine, at=day(on),
        )  # fmt: skip
    show.done(reply, json_wanted=json)


@command("list", "stores order list", "stores order list --all", group=order_commands)
def list_orders(
    ctx: typer.Context,
    everything: Annotated[
        bool, typer.Option("--all", help="Those with nothing outstanding, too.")
    ] = False,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """The orders with something still to come."""
    from stores.planning.money import show_money
    from stores.storage.machines import machine_named
    from stores.storage.orders import read_orders

    with opened(ctx) as store, store.reading() as connection:
        on = machine_named(connection, machine)
        found = [
            each for each in read_orders(connection, on.number) if everything or each.outstanding
        ]
    if json:
        show.as_json([_data(each) for each in found])
        return
    if not found:
        show.say(f"Nothing is on order for {on.name}.")
        return
    show.table(
        ["No", "Date", "Supplier", "State", "To come", "Promised", "Sum"],
        [
            [
                str(each.number), day_words(each.date), each.supplier, each.state,
                str(each.outstanding or ""), day_words(each.promised),
                "" if each.total is None else show_money(each.total, each.currency),
            ]
            for each in found
        ],
        right=[0, 4, 6],
    )  # fmt: skip


@command("show", "stores order show 1", group=order_commands)
def show_order(ctx: typer.Context, number: Number, json: AsJson = False) -> None:
    """One order, line by line."""
    from stores.planning.money import show_money
    from stores.storage.orders import read_orders

    with opened(ctx) as store, store.reading() as connection:
        found = read_orders(connection, numbers=[number])
    if not found:
        raise NotFound(f"no order {number}: 'stores order list' lists them")
    each = found[0]
    if json:
        show.as_json(_data(each))
        return
    due = f", promised for {day_words(each.promised)}" if each.promised else ""
    show.paragraph(
        f"Order {number} with {each.supplier}, {day_words(each.date)}: {each.state}{due}"
    )
    if each.note:
        show.paragraph(f"note: {each.note}", first="  ", rest="  ")
    show.table(
        ["Line", "Qty", "What", "For", "Came", "Back", "To come", "Sum"],
        [
            [
                str(line.line), str(line.quantity), line.text, line.ref, str(line.received or ""),
                str(line.sent_back or ""), str(line.outstanding or ""),
                "" if line.price is None else show_money(line.price),
            ]
            for line in each.lines
        ],
        right=[0, 1, 4, 5, 6, 7],
    )  # fmt: skip
    if each.carriage is not None:
        show.say(f"carriage {show_money(each.carriage, each.currency)}")
    if each.total is not None:
        show.say(f"in all {show_money(each.total, each.currency)}")


def _data(each: Any) -> dict[str, Any]:
    return {
        "order": each.number,
        "supplier": each.supplier,
        "machine": each.machine,
        "date": each.date,
        "state": each.state,
        "promised": each.promised or None,
        "outstanding": each.outstanding,
        "currency": each.currency,
        "carriage_hundredths": each.carriage,
        "total_hundredths": each.total,
        "lines": [
            {
                "line": line.line,
                "what": line.text,
                "item": line.ref or None,
                "quantity": line.quantity,
                "received": line.received,
                "sent_back": line.sent_back,
                "cancelled": line.cancelled,
                "outstanding": line.outstanding,
                "price_hundredths": line.price,
            }
            for line in each.lines
        ],
    }


@command(
    "came",
    "stores order came 1",
    "stores order came 1 2 -q 12",
    group=order_commands,
)
def came(
    ctx: typer.Context,
    number: Number,
    lines: Lines = None,
    quantity: Count = None,
    to: Annotated[
        str | None,
        typer.Option("--to", metavar="PLACE", help="Where it all goes; by default into the bags."),
    ] = None,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record that an order came, whole or in part, into the bags of the joints that need it."""
    from stores import usecases

    with opened(ctx) as store:
        reply = usecases.order_came(
            store, number, lines or (), quantity=count(quantity), to=to, machine=machine,
            at=day(on),
        )  # fmt: skip
    show.done(reply, json_wanted=json)


@command("back", 'stores order back 1 2 -q 4 -n "thread too coarse"', group=order_commands)
def back(
    ctx: typer.Context,
    number: Number,
    line: Annotated[int, typer.Argument(metavar="LINE", help="Which line.")],
    quantity: Count = None,
    note: Annotated[str, typer.Option("--note", "-n", help="Why it goes back.")] = "",
    refund: Annotated[
        bool, typer.Option("--refund", help="No other is awaited in its place.")
    ] = False,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Send back what does not fit; the old piece is still where it was."""
    from stores import usecases

    with opened(ctx) as store:
        reply = usecases.order_back(
            store, number, line, quantity=count(quantity), reason=note, refund=refund, at=day(on)
        )
    show.done(reply, json_wanted=json)


@command("cancel", "stores order cancel 1", "stores order cancel 1 2", group=order_commands)
def cancel(
    ctx: typer.Context,
    number: Number,
    lines: Lines = None,
    note: Annotated[str, typer.Option("--note", "-n", help="Why.")] = "",
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Cancel what is still to come of an order, or of some of its lines."""
    from stores import usecases

    with opened(ctx) as store:
        reply = usecases.cancel_order(store, number, lines or (), reason=note, at=day(on))
    show.done(reply, json_wanted=json)


@command("promised", "stores order promised 1 2027-01-22", group=order_commands)
def promised(
    ctx: typer.Context,
    number: Number,
    when: Annotated[str, typer.Argument(metavar="DAY", help="As 2027-01-22; or none.")],
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say for which day an order is promised."""
    from stores import usecases

    with opened(ctx) as store:
        reply = usecases.promise_order(store, number, when, at=day(on))
    show.done(reply, json_wanted=json)


@command("costs", "stores order costs 1 2 4.20", group=order_commands)
def costs(
    ctx: typer.Context,
    number: Number,
    line: Annotated[int, typer.Argument(metavar="LINE", help="Which line.")],
    sum_: Annotated[str, typer.Argument(metavar="SUM", help="What all of the line costs.")],
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say what a line of an order costs, all of it: by the invoice, say."""
    from stores import usecases

    with opened(ctx) as store:
        reply = usecases.price_order_line(store, number, line, sum_, at=day(on))
    show.done(reply, json_wanted=json)


@command(
    "price",
    'stores price "M6x25 hex 8.8" 6.40 --pack 50 --from Hollin',
    "stores price --currency EUR",
    "stores price",
)
def price(
    ctx: typer.Context,
    what: Annotated[
        str, typer.Argument(metavar="WHAT", help="What it is; without it, all prices are listed.")
    ] = "",
    sum_: Annotated[
        str, typer.Argument(metavar="SUM", help="What a pack costs, as 6.40; or none.")
    ] = "",
    pack: Annotated[
        str | None, typer.Option("--pack", metavar="N", help="How many in a pack; else one.")
    ] = None,
    supplier: Annotated[str, option("--from", "SUPPLIER", "Who asks that.")] = "",
    currency: Annotated[str, option("--currency", "CODE", "EUR, GBP ... for all sums.")] = "",
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record what a supplier asks for a pack of something, or list what is known."""
    from stores import usecases
    from stores.planning.money import show_money
    from stores.storage.orders import read_prices

    refuse_options([what, sum_])
    if currency:
        if what or sum_ or supplier or pack:
            raise BadValue("--currency goes by itself: then the prices")
        with opened(ctx) as store:
            reply = usecases.set_currency(store, currency, at=day(on))
        show.done(reply, json_wanted=json)
        return
    if what:
        if not sum_:
            raise BadValue(f"say what it costs: stores price {what[:40]!r} 6.40")
        with opened(ctx) as store:
            reply = usecases.set_price(
                store, what, sum_, pack=count(pack), supplier=supplier, at=day(on)
            )
        show.done(reply, json_wanted=json)
        return
    with opened(ctx) as store, store.reading() as connection:
        known = read_prices(connection)
    if json:
        show.as_json(known)
    elif not known:
        show.say('No price is recorded: stores price "M6x25 hex" 6.40 --pack 50')
    else:
        show.table(
            ["What", "Supplier", "Pack", "Price"],
            [
                [each.text, each.supplier, str(each.pack), show_money(each.price, each.currency)]
                for each in known
            ],
            right=[2, 3],
        )


@command("budget", "stores budget")
def budget(ctx: typer.Context, machine: MachineName = None, json: AsJson = False) -> None:
    """What it has cost so far, what is on order, and what is still to buy at known prices."""
    from stores.planning.money import show_money
    from stores.planning.oils import oil_lines, oil_to_buy
    from stores.planning.orders import budget_of
    from stores.planning.to_buy import to_buy
    from stores.storage.figures import read_sumps
    from stores.storage.items import read_items
    from stores.storage.machines import machine_named
    from stores.storage.orders import (
        read_bought,
        read_on_order,
        read_orders,
        read_prices,
        spare_rules,
    )
    from stores.storage.settings import read_settings

    with opened(ctx) as store, store.reading() as connection:
        on = machine_named(connection, machine)
        currency = read_settings(connection).get("currency", "")
        known = [each for each in read_prices(connection) if each.currency == currency]
        sumps = read_sumps(connection, on.number)
        listed = to_buy(
            read_items(connection, machine=on.number),
            read_on_order(connection, on.number),
            known,
            spare_rules(connection),
            oil_lines(oil_to_buy(sumps), sumps),
        )
        to_come = [(line.text, line.price) for line in listed.lines]
        to_come += [(line.text, line.price) for line in listed.oils]
        made = budget_of(
            read_orders(connection, on.number),
            to_come,
            currency,
            read_bought(connection, on.number),
        )
    if json:
        show.as_json(made)
        return
    show.say(f"{on.name}" + (f", in {currency}" if currency else ""))
    for name, hundredths in (
        ("came", made.came),
        ("on order", made.awaited),
        ("still to buy", made.to_come),
        ("in all", made.total),
    ):
        show.say(f"  {show_money(hundredths):>14}  {name}")
    if made.unpriced:
        show.say("In no sum, for want of a price:")
        for text in made.unpriced:
            show.paragraph(text, bullet=True)
