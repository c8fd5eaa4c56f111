"""Refitting on the command line: ticking off what is back on the machine."""

import sys
from typing import TYPE_CHECKING, Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, Count, Day, MachineName, asked, command, refuse_options
from stores.cli.wording import What

if TYPE_CHECKING:
    from stores.usecases.context import Context

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
        typer.Option("--as-it-came", help="Uninspected pieces too, as they came off."),
    ] = False,
    torque: Annotated[
        str,
        typer.Option("--torque", metavar="TORQUE", help="What it was tightened to: 24 N m oiled."),
    ] = "",
    finger: Annotated[
        bool, typer.Option("--finger-tight", help="On, but not tightened yet.")
    ] = False,
    by: Annotated[
        str, typer.Option("--by", metavar="NAME", help="Who fitted it, and signs for it.")
    ] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Tick off: a step, a bag's contents or one item is back on the machine.

    Uninspected pieces are not refitted ('stores inspect 7 serviceable' says that it is
    good), unless it came off for access only. In a terminal it asks what to do with old pieces
    that are left over.
    """
    from stores.usecases.refit import Refit
    from stores.usecases.refit import refit as put_back
    from stores.wording.refit import refitted

    refuse_options([what])
    ask = Refit(what, quantity, anyway, as_it_came, torque, finger, by)
    with asked(ctx, machine, on) as context:
        reply = put_back(context, ask)
        show.reply(reply, refitted, json_wanted=json)
        if not json and not reply.trial and sys.stdin.isatty() and sys.stdout.isatty():
            _ask_left_over(context, [each.item for each in reply.left_over])


def _ask_left_over(context: "Context", refs: list[str]) -> None:
    """Ask of each item whether its old pieces, left in the bag, are thrown out."""
    from stores.errors import Refused
    from stores.usecases.places import ScrapPieces, scrap
    from stores.wording.places import scrapped
    from stores.wording.refusals import line_of

    for ref in refs:
        if typer.confirm(f"Throw out the old pieces of {ref} that are left?", default=False):
            try:
                reply = scrap(context, ScrapPieces(ref, reason="replaced"))
            except Refused as refusal:
                show.paragraph(f"Kept: {line_of(refusal)}", rest="  ")
            else:
                show.reply(reply, scrapped, json_wanted=False)
