"""Buying: new pieces that arrived."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import (
    AsJson,
    Count,
    Day,
    MachineName,
    command,
    count,
    day,
    opened,
    refuse_options,
)

__all__: list[str] = []


@command(
    "buy",
    'stores buy "20 M6x25 hex 8.8" --from "Hollin Fasteners"',
    "stores buy 7.4 --from Hollin",
    takes_minus=True,
)
def buy(
    ctx: typer.Context,
    what: Annotated[
        str, typer.Argument(metavar="WHAT", help='What arrived, "20 M6x25 hex"; or an item, 7.4.')
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
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record new pieces that arrived, shared out over the joints that are short of them."""
    from stores import usecases

    refuse_options([what])
    with opened(ctx) as store:
        reply = usecases.buy(
            store,
            what,
            quantity=count(quantity),
            firm=firm,
            to=to,
            reason=note,
            machine=machine,
            at=day(on),
        )
    show.done(reply, json_wanted=json)
