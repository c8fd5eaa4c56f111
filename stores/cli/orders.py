"""Orders with suppliers, and what is bought without one."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, Count, Day, MachineName, app, asked, command, refuse_options
from stores.cli.overview import IN_A_LINE
from stores.cli.wording import NewFirm, NewPlace

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


ForStock = Annotated[
    bool, typer.Option("--stock", help="For the workshop's stock, not for a joint.")
]


@command(
    "with",
    'stores order with "Hollin Fasteners" "20 M6x25 hex 8.8 = 4.20" 7.4',
    "stores order with Hollin --list --promised 2027-01-15 --carriage 3.95",
    'stores order with Hollin "400 g lithium grease = 8.20" "50 M6 nut" --stock',
    line="place an order with a supplier",
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
        str | None, typer.Option("--promised", metavar="DAY", help="As 15 Jan, or friday.")
    ] = None,
    carriage: Annotated[
        str | None, typer.Option("--carriage", metavar="SUM", help="What sending it costs.")
    ] = None,
    note: Annotated[str, typer.Option("--note", "-n", help="Their number and the like.")] = "",
    stock: ForStock = False,
    new_firm: NewFirm = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record an order; nothing is in the stores until it comes."""
    from stores.usecases.orders import PlaceOrder, place_order
    from stores.wording.orders import placed

    refuse_options([supplier, *(what or [])])
    ask = PlaceOrder(
        supplier,
        what or (),
        listed=listed,
        promised=promised,
        carriage=carriage,
        note=note,
        new_firm=new_firm,
        stock=stock,
    )
    with asked(ctx, machine, on) as context:
        show.reply(place_order(context, ask), placed, json_wanted=json)


@command(
    "list",
    "stores order list",
    "stores order list --all",
    line="the orders with something still to come",
    group=order_commands,
)
def list_orders(
    ctx: typer.Context,
    everything: Annotated[
        bool, typer.Option("--all", help="Those with nothing outstanding, too.")
    ] = False,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """The orders with something still to come."""
    from stores.usecases.orders import ListOrders, orders
    from stores.wording.orders import listing

    with asked(ctx, machine) as context:
        reply = orders(context, ListOrders(everything))
    show.reply(reply, listing, json_wanted=json)


@command("show", "stores order show 1", line="one order, line by line", group=order_commands)
def show_order(ctx: typer.Context, number: Number, json: AsJson = False) -> None:
    """One order, line by line."""
    from stores.usecases.orders import one_order
    from stores.wording.orders import one_order as in_words

    with asked(ctx) as context:
        reply = one_order(context, number)
    if json:
        show.as_json(reply)
        return
    words = in_words(reply)
    show.paragraph(words.heading)
    if words.note:
        show.paragraph(words.note, first="  ", rest="  ")
    show.listing(words.lines)
    for line in words.sums:
        show.say(line)


@command(
    "came",
    "stores order came 1",
    "stores order came 1 2 -q 12",
    'stores order came 1 --all-but "2: 3, 4: none"',
    line="what came of an order, put into the bags that need it",
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
    new_place: NewPlace = False,
    but: Annotated[
        str,
        typer.Option(
            "--all-but", metavar="LIST", help="All came, except '2: 3, 4: none', by line."
        ),
    ] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record that an order came, whole or in part, into the bags of the joints that need it."""
    from stores.usecases.orders import ReceiveOrder, receive_order
    from stores.wording.orders import received

    with asked(ctx, machine, on) as context:
        reply = receive_order(
            context, ReceiveOrder(number, lines or (), quantity, to, new_place, but)
        )
        show.reply(reply, received, json_wanted=json)


@command(
    "back",
    'stores order back 1 2 -q 4 -n "thread too coarse"',
    line="send back what does not fit",
    group=order_commands,
)
def back(
    ctx: typer.Context,
    number: Number,
    line: Annotated[int, typer.Argument(metavar="LINE", help="Which line.")],
    quantity: Count = None,
    note: Annotated[str, typer.Option("--note", "-n", help="Why it goes back.")] = "",
    refund: Annotated[
        bool, typer.Option("--refund", help="Money back: no replacement expected.")
    ] = False,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Send back what does not fit; the old piece is still where it was."""
    from stores.usecases.orders import SendToSupplier, send_to_supplier
    from stores.wording.orders import sent_back

    with asked(ctx, on=on) as context:
        reply = send_to_supplier(context, SendToSupplier(number, line, quantity, note, refund))
        show.reply(reply, sent_back, json_wanted=json)


@command(
    "cancel",
    "stores order cancel 1",
    "stores order cancel 1 2",
    line="cancel what is still to come",
    group=order_commands,
)
def cancel(
    ctx: typer.Context,
    number: Number,
    lines: Lines = None,
    note: Annotated[str, typer.Option("--note", "-n", help="Why.")] = "",
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Cancel what is still to come of an order, or of some of its lines."""
    from stores.usecases.orders import CancelOrder, cancel_order
    from stores.wording.orders import cancelled

    with asked(ctx, on=on) as context:
        reply = cancel_order(context, CancelOrder(number, lines or (), note))
        show.reply(reply, cancelled, json_wanted=json)


@command(
    "promised",
    "stores order promised 1 2027-01-22",
    line="say for which day an order is promised",
    group=order_commands,
)
def promised(
    ctx: typer.Context,
    number: Number,
    when: Annotated[str, typer.Argument(metavar="DAY", help="As 22 Jan, or friday; or none.")],
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say for which day an order is promised."""
    from stores.usecases.orders import PromiseOrder, promise_order
    from stores.wording.orders import promised as in_words

    with asked(ctx, on=on) as context:
        show.reply(promise_order(context, PromiseOrder(number, when)), in_words, json_wanted=json)


@command(
    "costs",
    "stores order costs 1 2 4.20",
    line="say what a line of an order costs",
    group=order_commands,
)
def costs(
    ctx: typer.Context,
    number: Number,
    line: Annotated[int, typer.Argument(metavar="LINE", help="Which line.")],
    sum_: Annotated[str, typer.Argument(metavar="SUM", help="What all of the line costs.")],
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say what a line of an order costs in all, as on the invoice."""
    from stores.usecases.orders import PriceOrderLine, price_order_line
    from stores.wording.orders import priced

    with asked(ctx, on=on) as context:
        reply = price_order_line(context, PriceOrderLine(number, line, sum_))
        show.reply(reply, priced, json_wanted=json)


@command(
    "buy",
    'stores buy "20 M6x25 hex 8.8" --from "Hollin Fasteners"',
    "stores buy 7.4 --from Hollin",
    'stores buy "2 x 50 ml medium threadlocker" --from Hollin --price 13.00',
    'stores buy "100 M6 nut" --stock --to "drawer 3"',
    takes_minus=True,
)
def buy(
    ctx: typer.Context,
    what: Annotated[
        str, typer.Argument(metavar="WHAT", help="What arrived, '20 M6 nut', '1 l SAE 30'; or 7.4.")
    ],
    quantity: Count = None,
    firm: Annotated[
        str, typer.Option("--from", metavar="FIRM", help="Who it was bought from.")
    ] = "a supplier",
    to: Annotated[
        str | None,
        typer.Option("--to", metavar="PLACE", help="Where it all goes; by default into the bags."),
    ] = None,
    note: Annotated[str, typer.Option("--note", "-n", help="Order number and the like.")] = "",
    stock: ForStock = False,
    price: Annotated[
        str | None, typer.Option("--price", metavar="SUM", help="What was paid for all of it.")
    ] = None,
    new_firm: NewFirm = False,
    new_place: NewPlace = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record new pieces that arrived, shared out over the joints that are short of them.

    Consumables and assortments go into the workshop's stock, and with --stock all of it does.
    """
    from stores.usecases.orders import Buy
    from stores.usecases.orders import buy as record_bought
    from stores.wording.orders import bought

    refuse_options([what])
    with asked(ctx, machine, on) as context:
        reply = record_bought(
            context, Buy(what, quantity, firm, to, note, new_place, new_firm, stock, price)
        )
        show.reply(reply, bought, json_wanted=json)
