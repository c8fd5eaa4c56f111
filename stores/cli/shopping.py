"""The shopping list: on the screen, to carry, to work on, to send."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stores.cli import show
from stores.cli.app import (
    AsJson,
    Day,
    MachineName,
    asked,
    command,
    file_at,
    refuse_options,
)
from stores.cli.files import Open, show_file
from stores.cli.wording import NewFirm, option
from stores.errors import BadValue
from stores.papers import today
from stores.text import plural

if TYPE_CHECKING:
    from stores.planning.shopping import ShoppingList
    from stores.printing.files import Printed

__all__: list[str] = []


@command(
    "shopping",
    "stores shopping",
    "stores shopping Engine/Gearbox --message",
    "stores shopping --pdf list.pdf --csv list.csv --xlsx list.xlsx",
)
def shopping(
    ctx: typer.Context,
    assembly: Annotated[
        str, typer.Argument(metavar="ASSEMBLY", help="Only this assembly and those below it.")
    ] = "",
    pdf: Annotated[str | None, typer.Option("--pdf", metavar="FILE", help="As PDF.")] = None,
    csv: Annotated[str | None, typer.Option("--csv", metavar="FILE", help="As CSV.")] = None,
    xlsx: Annotated[
        str | None, typer.Option("--xlsx", metavar="FILE", help="As a spreadsheet.")
    ] = None,
    cans: Annotated[
        str, typer.Option("--cans", metavar="SIZES", help="What oil is sold in: 500ml,1l,5l.")
    ] = "",
    supplier: Annotated[
        str, typer.Option("--from", metavar="SUPPLIER", help="Only what they have a price for.")
    ] = "",
    everywhere: Annotated[
        bool, typer.Option("--all-machines", help="What all machines want, in one list.")
    ] = False,
    as_message: Annotated[
        bool, typer.Option("--message", help="Plain text, to send to a supplier.")
    ] = False,
    shown: Open = False,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """The shopping list: what the rebuild needs and the stores cannot supply, oil in whole cans."""
    from stores.usecases.shopping import WhatToBuy
    from stores.usecases.shopping import shopping as what_to_buy
    from stores.wording.shopping import message

    with asked(ctx, machine) as context:
        reply = what_to_buy(context, WhatToBuy(assembly, supplier, cans, everywhere))
    if as_message:
        show.say(message(reply))
        return
    written = _write(reply, (pdf, csv, xlsx))
    if json:
        files = [str(Path(printed.path).absolute()) for printed in written]
        show.as_json(show.plain(reply) | {"files": files})
        return
    if written:
        count = plural(len(reply.lines) + len(reply.supplies), "line")
        show.say(f"Shopping list of {reply.machine}: {count}")
        for printed in written:
            wanted = shown and printed.path.suffix == ".pdf"
            show_file(printed, json_wanted=False, shown=wanted, data={})
        return
    _show(reply)


def _write(
    listed: "ShoppingList", files: tuple[str | None, str | None, str | None]
) -> "list[Printed]":
    written: list[Printed] = []
    pdf, csv, xlsx = files
    if pdf is not None:
        from stores.printing.shopping import write_shopping

        title = f"Shopping list: {listed.machine}"
        written.append(write_shopping(listed, file_at(pdf), title=title, date=today()))
    if csv is not None or xlsx is not None:
        from stores.printing.files import write_csv, write_xlsx

        if csv is not None:
            written.append(write_csv(listed, file_at(csv)))
        if xlsx is not None:
            written.append(write_xlsx(listed, file_at(xlsx)))
    return written


def _show(reply: "ShoppingList") -> None:
    from stores.wording.shopping import listing

    words = listing(reply)
    if words is None:
        show.say(f"Nothing to buy for {reply.machine}.")
        return
    show.say(words.heading)
    for section in words.sections:
        if section.heading:
            show.say()
            show.say(section.heading)
        if section.lines:
            show.listing(section.lines)
        if section.supplies:
            show.say()
            show.listing(section.supplies)
    for text in words.assumptions:
        show.paragraph(text, bullet=True)
    for text in words.cautions:
        show.paragraph(text, first="! ", rest="  ")
    for text in words.instead:
        show.paragraph(text, bullet=True)
    if words.inspect:
        show.say()
        show.say(words.inspect[0])
    for text in words.inspect[1:]:
        show.paragraph(text, first="  ", rest="    ")


@command(
    "spares",
    "stores order spares screw 10 --least 1 --most 0.50",
    "stores order spares screw 0",
    'stores order spares "split pin" --as-lost',
    "stores order spares",
)
def spares(
    ctx: typer.Context,
    kind: Annotated[
        str, typer.Argument(metavar="KIND", help="screw, nut, split pin ...; without it, a list.")
    ] = "",
    per_cent: Annotated[
        int | None, typer.Argument(metavar="PERCENT", help="Of what is needed, rounded up.")
    ] = None,
    least: Annotated[int, typer.Option("--least", metavar="N", help="At least so many.")] = 0,
    most: Annotated[
        str | None, typer.Option("--most", metavar="SUM", help="Only if one costs no more.")
    ] = None,
    as_lost: Annotated[
        bool, typer.Option("--as-lost", help="As many per cent as were lost so far.")
    ] = False,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """How many spares to buy of a kind, for what is lost or shears; 0 is none.

    No spares unless you ask. The list shows how many of each were lost so far.
    """
    from stores.usecases.shopping import SetSpares, set_spares
    from stores.usecases.shopping import spares as list_rules
    from stores.wording.shopping import spare_rules, spares_set

    refuse_options([kind])
    with asked(ctx, on=on) as context:
        if kind or as_lost:
            ask = SetSpares(kind, per_cent, least, most, as_lost)
            show.reply(set_spares(context, ask), spares_set, json_wanted=json)
        else:
            show.reply(list_rules(context), spare_rules, json_wanted=json)


@command(
    "price",
    'stores order price "M6x25 hex 8.8" 6.40 --pack 50 --from Hollin',
    'stores order price "400 g lithium grease" 8.20 --from Hollin',
    'stores order price "assortment: 20 M4 nut, 20 M5 nut, 10 M6 nut" 6.40',
    "stores order price --currency EUR",
    "stores order price",
)
def price(
    ctx: typer.Context,
    what: Annotated[
        str,
        typer.Argument(metavar="WHAT", help="What it is, or a pack of it; without it, a list."),
    ] = "",
    sum_: Annotated[
        str, typer.Argument(metavar="SUM", help="What a pack costs, as 6.40; or none.")
    ] = "",
    pack: Annotated[
        str | None,
        typer.Option("--pack", metavar="N", help="How many in a pack, or how much; else one."),
    ] = None,
    supplier: Annotated[str, option("--from", "SUPPLIER", "Whose price it is.")] = "",
    currency: Annotated[str, option("--currency", "CODE", "EUR, GBP ... for all sums.")] = "",
    new_firm: NewFirm = False,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record what a supplier asks for a pack of something, or list what is known."""
    from stores.usecases.shopping import SetCurrency, SetPrice, set_currency, set_price
    from stores.usecases.shopping import prices as list_prices
    from stores.wording.shopping import currency as currency_set
    from stores.wording.shopping import price_set, prices

    refuse_options([what, sum_])
    if currency and (what or sum_ or supplier or pack):
        raise BadValue("--currency goes by itself: then the prices")
    with asked(ctx, on=on) as context:
        if currency:
            show.reply(set_currency(context, SetCurrency(currency)), currency_set, json_wanted=json)
        elif what:
            ask = SetPrice(what, sum_, pack, supplier, new_firm)
            show.reply(set_price(context, ask), price_set, json_wanted=json)
        else:
            show.reply(list_prices(context), prices, json_wanted=json)


@command("budget", "stores machine costs", "stores machine costs --all-machines")
def budget(
    ctx: typer.Context,
    everywhere: Annotated[
        bool, typer.Option("--all-machines", help="A table of all machines and the workshop.")
    ] = False,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """What it has cost so far, what is on order, and what is still to buy at known prices.

    What was bought for the workshop is its own cost until a machine uses it.
    """
    from stores.usecases.shopping import all_costs
    from stores.usecases.shopping import budget as add_up
    from stores.wording.shopping import all_costs as in_a_table
    from stores.wording.shopping import all_unpriced, costs

    if everywhere:
        if machine is not None:
            raise BadValue("--all-machines is of every machine: leave --machine out")
        with asked(ctx) as context:
            every = all_costs(context)
        show.reply(every, in_a_table, json_wanted=json)
        _unpriced(() if json else all_unpriced(every))
        return
    with asked(ctx, machine) as context:
        reply = add_up(context)
    if json:
        show.as_json(reply)
        return
    for words in costs(reply):
        for line in words.lines:
            show.say(line)
        _unpriced(words.unpriced)


def _unpriced(texts: Sequence[str]) -> None:
    if texts:
        show.say("No price yet, so left out of the total:")
        for text in texts:
            show.paragraph(text, bullet=True)
