"""To and from other firms: sending out, counting back."""

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
from stores.cli.wording import Of, maybe_condition

__all__: list[str] = []


@command(
    "send",
    'stores send A001N 9.1 --to "Brindlecote Platers" --for "zinc plating"',
    takes_minus=True,
)
def send(
    ctx: typer.Context,
    what: Annotated[list[str], typer.Argument(metavar="WHAT", help="Bags, steps or items.")],
    firm: Annotated[str, typer.Option("--to", metavar="FIRM", help="Who does the work.")],
    work: Annotated[str, typer.Option("--for", metavar="WORK", help="What is to be done.")] = "",
    quantity: Count = None,
    of: Of = None,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Send pieces out to another firm as one counted batch."""
    from stores import usecases

    refuse_options(what)
    with opened(ctx) as store:
        reply = usecases.send(
            store,
            what,
            firm,
            quantity=count(quantity),
            of=maybe_condition(of),
            work=work,
            machine=machine,
            at=day(on),
        )
    show.done(reply, json_wanted=json)


@command(
    "back",
    'stores back "Brindlecote Platers"',
    'stores back "Brindlecote Platers" 7.2 -q 3 -c serviceable',
    takes_minus=True,
)
def back(
    ctx: typer.Context,
    firm: Annotated[str, typer.Argument(metavar="FIRM", help="Who sent them back.")],
    what: Annotated[
        list[str] | None,
        typer.Argument(metavar="WHAT", help="What came; by default all.", show_default=False),
    ] = None,
    quantity: Count = None,
    condition: Annotated[
        str | None, typer.Option("--condition", "-c", metavar="WORD", help="Their condition now.")
    ] = None,
    to: Annotated[
        str | None,
        typer.Option("--to", metavar="PLACE", help="Where to; by default where they came from."),
    ] = None,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Count pieces back from a firm; what did not come back stays on its account."""
    from stores import usecases

    refuse_options([firm, *(what or [])])
    with opened(ctx) as store:
        reply = usecases.take_back(
            store,
            firm,
            what or [],
            quantity=count(quantity),
            condition=maybe_condition(condition),
            to=to,
            machine=machine,
            at=day(on),
        )
    show.done(reply, json_wanted=json)
