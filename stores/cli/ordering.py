"""What a person says of the order of the rebuild, and of the time it takes."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, Day, MachineName, asked, command, refuse_options

__all__: list[str] = []

First = Annotated[str, typer.Argument(metavar="STEP", help="A step (7) or a bag (A001N).")]
Then = Annotated[str, typer.Argument(metavar="OTHER", help="Another step or bag.")]
Because = Annotated[str, typer.Option("--note", "-n", help="Why.")]


@command("before", "stores before 12 9", 'stores before 12 9 -n "the seal has to see oil"')
def before(
    ctx: typer.Context,
    first: First,
    then: Then,
    note: Because = "",
    forget: Annotated[
        bool, typer.Option("--forget", help="As they came off: forget what was said of the two.")
    ] = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say that a step goes back on before another."""
    from stores.usecases.rebuild import PutBefore, put_before
    from stores.wording.rebuild import order_said

    refuse_options([first, then])
    with asked(ctx, machine, on) as context:
        reply = put_before(context, PutBefore(first, then, note, forget))
    show.reply(reply, order_said, json_wanted=json)


@command("free", "stores free 12 9")
def free(
    ctx: typer.Context,
    first: First,
    then: Then,
    note: Because = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say that two steps do not matter to each other.

    'stores before --forget' takes that back.
    """
    from stores.usecases.rebuild import LetFree, let_free
    from stores.wording.rebuild import order_said

    refuse_options([first, then])
    with asked(ctx, machine, on) as context:
        reply = let_free(context, LetFree(first, then, note))
    show.reply(reply, order_said, json_wanted=json)


@command("access", "stores access 12", "stores access 12 15", "stores access 12 --not")
def access(
    ctx: typer.Context,
    step: First,
    reached: Annotated[
        str, typer.Argument(metavar="OTHER", help="What it made way for; else the next step.")
    ] = "",
    takes_back: Annotated[bool, typer.Option("--not", help="It did not, after all.")] = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say that a step came off for access only: it goes back after what it made way for."""
    from stores.usecases.rebuild import MarkAccess, mark_access
    from stores.wording.rebuild import access_marked

    refuse_options([step, reached])
    with asked(ctx, machine, on) as context:
        reply = mark_access(context, MarkAccess(step, reached, takes_back))
    show.reply(reply, access_marked, json_wanted=json)


@command("takes", "stores takes 7 45 min", "stores takes each 20 min", "stores takes week 6 h")
def takes(
    ctx: typer.Context,
    what: Annotated[str, typer.Argument(metavar="WHAT", help="A step or a bag; each; or week.")],
    time: Annotated[
        list[str], typer.Argument(metavar="TIME", help="45 min, 2 h, 1 h 30 min; none.")
    ],
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say how long a step takes to refit, or how much time there is.

    "each" is a step of which nothing is said, "week" the time in the workshop in a week.
    """
    from stores.usecases.rebuild import TakeTime, take_time
    from stores.wording.rebuild import time_taken

    refuse_options([what, *time])
    with asked(ctx, machine, on) as context:
        reply = take_time(context, TakeTime(what, " ".join(time)))
    show.reply(reply, time_taken, json_wanted=json)
