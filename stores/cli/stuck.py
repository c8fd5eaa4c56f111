"""What is still on the machine: it came off, it stays, or it broke."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, Count, Day, MachineName, asked, command, refuse_options
from stores.cli.wording import What

__all__: list[str] = []


@command(
    "came-off",
    "stores piece came-off 7.2",
    'stores piece came-off 7.2 -q 1 --to "tin 1"',
    takes_minus=True,
)
def came_off(
    ctx: typer.Context,
    what: What,
    quantity: Count = None,
    to: Annotated[
        str, typer.Option("--to", metavar="PLACE", help="Where to; by default its bag.")
    ] = "",
    note: Annotated[str, typer.Option("--note", "-n", help="How.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record that what was still on the machine came off after all, seized or broken."""
    from stores.usecases import stuck as use
    from stores.wording.stuck import came_off as said

    refuse_options([what])
    with asked(ctx, machine, on) as context:
        reply = use.came_off(context, use.TakeOff(what, quantity, to, note))
    show.reply(reply, said, json_wanted=json)


@command("left-on", 'stores piece left-on 7.2 -n "sound, and in nobody\'s way"', takes_minus=True)
def left_on(
    ctx: typer.Context,
    what: What,
    quantity: Count = None,
    note: Annotated[str, typer.Option("--note", "-n", help="Why.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record that what is still on the machine stays there for good: it counts as fitted."""
    from stores.usecases import stuck as use
    from stores.wording.stuck import left_on as said

    refuse_options([what])
    with asked(ctx, machine, on) as context:
        reply = use.left_on(context, use.LeaveOn(what, quantity, note))
    show.reply(reply, said, json_wanted=json)


@command("broke", 'stores piece broke 7.2 --hole "hole 3"', takes_minus=True)
def broke(
    ctx: typer.Context,
    what: What,
    quantity: Count = None,
    hole: Annotated[
        str, typer.Option("--hole", metavar="TEXT", help="Which hole the rest is in.")
    ] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record that a piece broke and the rest is in its hole: one to buy, a hole to drill."""
    from stores.usecases import stuck as use
    from stores.wording.stuck import broke as said

    refuse_options([what])
    with asked(ctx, machine, on) as context:
        reply = use.broke(context, use.PieceBroke(what, quantity or "1", hole))
    show.reply(reply, said, json_wanted=json)
