"""Moving pieces about: to another place, lost and found, thrown out, to another joint."""

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
from stores.cli.wording import Of, What, maybe_condition
from stores.errors import BadValue

__all__: list[str] = []


@command("move", 'stores move 7.1 "shelf 2"', "stores move 7.2 A003J -q 2", takes_minus=True)
def move(
    ctx: typer.Context,
    what: What,
    to: Annotated[str, typer.Argument(metavar="TO", help="A bag, new, a box, a shelf, bench.")],
    quantity: Count = None,
    of: Of = None,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Move pieces in the workshop to another bag, box, shelf or the bench."""
    from stores import usecases

    refuse_options([what, to])
    with opened(ctx) as store:
        reply = usecases.move(
            store,
            what,
            to,
            quantity=count(quantity),
            of=maybe_condition(of),
            machine=machine,
            at=day(on),
        )
    show.done(reply, json_wanted=json)


@command("stow", 'stores stow A001N A003J "box 3"', 'stores stow "box 3" "shelf 1"')
def stow(
    ctx: typer.Context,
    names: Annotated[
        list[str], typer.Argument(metavar="BAG", help="Bags or boxes, then where to.")
    ],
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Put bags into a box, or a box on to a shelf."""
    from stores import usecases

    if len(names) < 2:
        raise BadValue('say what goes where: stores stow A001N "box 3"')
    with opened(ctx) as store:
        reply = usecases.stow(store, names[:-1], names[-1], at=day(on))
    show.done(reply, json_wanted=json)


@command("lose", 'stores lose 7.2 -q 1 -n "rolled under the lathe"', takes_minus=True)
def lose(
    ctx: typer.Context,
    what: What,
    quantity: Count = None,
    of: Of = None,
    at_firm: Annotated[
        str | None, typer.Option("--at", metavar="FIRM", help="The firm that lost them.")
    ] = None,
    note: Annotated[str, typer.Option("--note", "-n", help="What happened.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record that pieces cannot be found; they go on the shopping list."""
    from stores import usecases

    refuse_options([what])
    with opened(ctx) as store:
        reply = usecases.lose(
            store,
            what,
            quantity=count(quantity),
            of=maybe_condition(of),
            firm=at_firm,
            reason=note,
            machine=machine,
            at=day(on),
        )
    show.done(reply, json_wanted=json)


@command("recover", "stores recover 7.2", 'stores recover 7.2 -q 1 --to "tin 1"', takes_minus=True)
def recover(
    ctx: typer.Context,
    what: What,
    quantity: Count = None,
    to: Annotated[
        str | None, typer.Option("--to", metavar="PLACE", help="Where to; by default its bag.")
    ] = None,
    note: Annotated[str, typer.Option("--note", "-n", help="Where it was.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record that lost pieces turned up again."""
    from stores import usecases

    refuse_options([what])
    with opened(ctx) as store:
        reply = usecases.recover(
            store, what, quantity=count(quantity), to=to, reason=note, machine=machine, at=day(on)
        )
    show.done(reply, json_wanted=json)


@command("scrap", "stores scrap 7", 'stores scrap 7.2 -q 1 -n "sheared"', takes_minus=True)
def scrap(
    ctx: typer.Context,
    what: What,
    quantity: Count = None,
    of: Of = None,
    note: Annotated[str, typer.Option("--note", "-n", help="Why.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Throw pieces out; without a count only condemned ones, and old ones replaced by new ones.

    One is kept as a pattern until the new one fits; only a count throws that out too.
    """
    from stores import usecases

    refuse_options([what])
    with opened(ctx) as store:
        reply = usecases.scrap(
            store,
            what,
            quantity=count(quantity),
            of=maybe_condition(of),
            reason=note,
            machine=machine,
            at=day(on),
        )
    show.done(reply, json_wanted=json)


@command(
    "assign",
    "stores assign 0.1 7.2",
    "stores assign 9.3 7.2 -q 1",
    'stores assign 4.2 7.2 -q 1 -m "Tern 50" --of-machine Plover',
    takes_minus=True,
)
def assign(
    ctx: typer.Context,
    what: What,
    to: Annotated[str, typer.Argument(metavar="ITEM", help="The joint they belong to, 7.2.")],
    quantity: Count = None,
    of: Of = None,
    anyway: Annotated[
        bool, typer.Option("--anyway", help="Though it is another thing than belongs there.")
    ] = False,
    other: Annotated[
        str | None,
        typer.Option("--of-machine", metavar="NAME", help="The machine of that joint, if another."),
    ] = None,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say which joint a loose piece belongs to, or take a piece of one joint for another.

    A joint that is short by it, on this machine or another, is owed it: 'stores audit' says so
    until it is made good.
    """
    from stores import usecases

    refuse_options([what, to])
    with opened(ctx) as store:
        reply = usecases.assign(
            store,
            what,
            to,
            quantity=count(quantity),
            of=maybe_condition(of),
            anyway=anyway,
            machine=machine,
            other=other,
            at=day(on),
        )
    show.done(reply, json_wanted=json)
