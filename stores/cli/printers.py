"""Printers: how far each is out."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, Day, asked, command
from stores.cli.wording import option

__all__: list[str] = []


@command(
    "printer",
    "stores record printer upstairs --right 0.5 --down -1.2",
    "stores record printer thermal --dpi 203",
    "stores record printer",
)
def printer(
    ctx: typer.Context,
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="What you call it; without it, all are listed.")
    ] = "",
    right: Annotated[
        str, option("--right", "MM", "How far it prints to the right; - to the left.")
    ] = "",
    down: Annotated[str, option("--down", "MM", "How far below; - above.")] = "",
    dpi: Annotated[str, option("--dpi", "N", "Dots an inch of a label printer.")] = "",
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record how far a printer is out; its sheets are shifted the other way.

    Measure it on the sheet of 'stores labels --align'.
    """
    from stores.usecases.printers import SetPrinter, printers, set_printer
    from stores.wording.printers import listing, recorded

    with asked(ctx, on=on) as context:
        if name.strip() or right or down or dpi:
            ask = SetPrinter(name, right, down, dpi)
            show.reply(set_printer(context, ask), recorded, json_wanted=json)
        else:
            show.reply(printers(context), listing, json_wanted=json)
