"""Refitting on the command line: ticking off what is back on the machine."""

import sys
from typing import TYPE_CHECKING, Annotated

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
from stores.cli.wording import What
from stores.errors import BadValue

if TYPE_CHECKING:
    from stores.storage import Store

__all__: list[str] = []


@command(
    "refit",
    "stores refit 7",
    "stores refit A001N --finger-tight",
    'stores refit 7.2 --torque "24 N m oiled" --by "A. Marl"',
    takes_minus=True,
)
def refit(
    ctx: typer.Context,
    what: What,
    quantity: Count = None,
    anyway: Annotated[
        bool, typer.Option("--anyway", help="Fit what is there, though something is short.")
    ] = False,
    as_it_came: Annotated[
        bool,
        typer.Option("--as-it-came", help="Pieces too that nobody has looked over."),
    ] = False,
    torque: Annotated[
        str, typer.Option("--torque", metavar="TORQUE", help="What was put on: 24 N m oiled.")
    ] = "",
    finger: Annotated[
        bool, typer.Option("--finger-tight", help="On, but not tightened yet.")
    ] = False,
    by: Annotated[str, typer.Option("--by", metavar="NAME", help="Who fitted it: signs.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Tick off: a step, a bag's contents or one item is back on the machine.

    What nobody has looked over does not go on ('stores inspect 7 serviceable' says that it is
    good), unless it came off for access only. In a terminal it asks what to do with old pieces
    that are left over.
    """
    from stores import usecases
    from stores.planning.assembling import HowTight

    refuse_options([what])
    if torque and finger:
        raise BadValue("--torque and --finger-tight: which is it?")
    left = usecases.Left(HowTight.FINGER) if finger else None
    if torque:
        from stores.cli.assembling import read_applied

        newton_metres, written, state = read_applied(torque)
        left = usecases.Left(HowTight.TIGHT, newton_metres, state, written)
    with opened(ctx) as store:
        reply = usecases.refit(
            store,
            what,
            quantity=count(quantity),
            anyway=anyway,
            as_it_came=as_it_came,
            left=left,
            by=by,
            machine=machine,
            at=day(on),
        )
        show.done(reply, json_wanted=json)
        if not json and sys.stdin.isatty() and sys.stdout.isatty():
            _ask_left_over(store, reply.data["left_over"], machine)


def _ask_left_over(store: "Store", refs: list[str], machine: str | None) -> None:
    """Ask of each item whether its old pieces, left in the bag, are thrown out."""
    from stores.errors import Refused
    from stores.usecases.context import Context
    from stores.usecases.places import ScrapPieces, scrap
    from stores.wording.places import scrapped
    from stores.wording.refusals import line_of

    for ref in refs:
        if typer.confirm(f"Throw out the old pieces of {ref} that are left?", default=False):
            try:
                reply = scrap(Context(store, machine), ScrapPieces(ref, reason="replaced"))
            except Refused as refusal:
                show.paragraph(f"Kept: {line_of(refusal)}", rest="  ")
            else:
                show.reply(reply, scrapped, json_wanted=False)
