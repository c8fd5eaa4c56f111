"""What was tipped together: mark it, see what tells it apart, say what was sorted."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, Day, MachineName, asked, command, refuse_options
from stores.cli.wording import NewPlace

__all__: list[str] = []


@command(
    "mix", 'stores piece mix A001N A003J -n "both fell off the bench"', "stores piece mix 7.2 9.1",
    takes_minus=True,
)  # fmt: skip
def mix(
    ctx: typer.Context,
    what: Annotated[
        list[str],
        typer.Argument(metavar="WHAT", help="Bags or items that are mixed up, two or more."),
    ],
    note: Annotated[str, typer.Option("--note", "-n", help="What happened.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record that bags were tipped together, or pieces cannot be told apart.

    They are marked on label, list and checklist, and not refitted, until they are sorted.
    """
    from stores.usecases.mixups import MixPieces
    from stores.usecases.mixups import mix as record_mixup
    from stores.wording.mixups import pieces_mixed

    refuse_options(what)
    with asked(ctx, machine, on) as context:
        show.reply(record_mixup(context, MixPieces(what, note)), pieces_mixed, json_wanted=json)


@command("mixed", "stores piece mixed", "stores piece mixed 1", "stores piece mixed A001N")
def mixed(
    ctx: typer.Context,
    which: Annotated[
        str, typer.Argument(metavar="N", help="A mix-up, or a bag or item of it; by default all.")
    ] = "",
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """What is mixed up, and which measurement tells it apart."""
    from stores.usecases.mixups import ListMixed
    from stores.usecases.mixups import mixed as list_mixed
    from stores.wording.mixups import mixed_list

    with asked(ctx, machine) as context:
        show.reply(list_mixed(context, ListMixed(which)), mixed_list, json_wanted=json)


@command(
    "sort",
    "stores piece sort 1",
    "stores piece sort 1 7.2=3 7.2=1@A003J",
    takes_minus=True,
)
def sort(
    ctx: typer.Context,
    which: Annotated[
        str, typer.Argument(metavar="N", help="The mix-up, or a bag or item of it.")
    ] = "",
    lines: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="LINE",
            help="How many of an item, 7.2=3; and where they are, 7.2=1@A003J. Left out: all of "
            "it, where the record has it.",
            show_default=False,
        ),
    ] = None,
    new_place: NewPlace = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say what was sorted of a mix-up, and where it is now."""
    from stores.usecases.mixups import SortPieces
    from stores.usecases.mixups import sort as record_sorted
    from stores.wording.mixups import pieces_sorted

    texts = list(lines or [])
    refuse_options([which, *texts])
    with asked(ctx, machine, on) as context:
        reply = record_sorted(context, SortPieces(which, texts, new_place))
    show.reply(reply, pieces_sorted, json_wanted=json)
