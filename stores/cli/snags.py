"""The faults to clear before things are closed up."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import (
    AsJson,
    Day,
    MachineName,
    asked,
    command,
    refuse_options,
)
from stores.cli.wording import NewAssembly, option

__all__: list[str] = []

Shown = Annotated[
    list[int] | None, typer.Option("--picture", metavar="N", help="A picture that shows it.")
]


@command(
    "snag",
    'stores snag Engine leak "weeps at the drain plug" --side left',
    'stores snag 7.2 damaged "thread pulled" --picture 12',
    'stores snag machine noted "matching numbers"',
)
def snag(
    ctx: typer.Context,
    where: Annotated[
        str, typer.Argument(metavar="WHERE", help="An item, step, bag or assembly; or machine.")
    ],
    sort: Annotated[
        str,
        typer.Argument(
            metavar="SORT", help="What sort of fault: missing, damaged, worn, leak, noted ..."
        ),
    ],
    text: Annotated[list[str], typer.Argument(metavar="WHAT", help="What is wrong.")],
    side: Annotated[str, option("--side", "SIDE", "left, right, front, rear ...")] = "",
    picture: Shown = None,
    new_assembly: NewAssembly = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record a fault to clear before its assembly is closed up.

    It is on the checklist of its assembly until it is cleared. The sorts: missing, damaged,
    worn, not original, leak, electrical, seized, noise, fault; noted is for the record alone.
    """
    from stores.usecases.snags import RecordSnag, record_snag
    from stores.wording.snags import recorded

    refuse_options([where, sort, *text])
    ask = RecordSnag(
        where, sort, " ".join(text), side=side, pictures=picture or (), new_assembly=new_assembly
    )
    with asked(ctx, machine, on) as context:
        show.reply(record_snag(context, ask), recorded, json_wanted=json)


@command("snags", "stores snag list", "stores snag list Engine --all")
def snags(
    ctx: typer.Context,
    assembly: Annotated[
        str, typer.Argument(metavar="ASSEMBLY", help="Only of this assembly and those in it.")
    ] = "",
    everything: Annotated[
        bool, typer.Option("--all", help="Cleared ones, and what is noted only, too.")
    ] = False,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """The faults still to clear."""
    from stores.usecases.snags import ListSnags
    from stores.usecases.snags import snags as list_snags
    from stores.wording.snags import listing

    with asked(ctx, machine) as context:
        reply = list_snags(context, ListSnags(assembly, everything))
    show.reply(reply, listing, json_wanted=json)


@command(
    "clear",
    'stores snag clear 3 "new seal, dry after an hour\'s run"',
    "stores snag clear 3 --with 7.4",
)
def clear(
    ctx: typer.Context,
    number: Annotated[int, typer.Argument(metavar="SNAG", help="Its number.")],
    how: Annotated[
        list[str] | None,
        typer.Argument(metavar="HOW", help="What was found or done.", show_default=False),
    ] = None,
    renewed: Annotated[str, option("--with", "ITEM", "The part that was renewed.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say how a snag was cleared: by what was found or done, or by a renewed part."""
    from stores.usecases.snags import ClearSnag, clear_snag
    from stores.wording.snags import cleared

    ask = ClearSnag(number, " ".join(how or []), renewed)
    with asked(ctx, machine, on) as context:
        show.reply(clear_snag(context, ask), cleared, json_wanted=json)


@command("evidence", "stores snag picture 3 12 13", "stores snag picture 3 12 --off")
def evidence(
    ctx: typer.Context,
    number: Annotated[int, typer.Argument(metavar="SNAG", help="Its number.")],
    pictures: Annotated[list[int], typer.Argument(metavar="PICTURES", help="Their numbers.")],
    off: Annotated[bool, typer.Option("--off", help="They do not show it after all.")] = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say which pictures show a snag."""
    from stores.usecases.snags import ShowSnag, show_snag
    from stores.wording.snags import shown

    with asked(ctx, machine, on) as context:
        show.reply(
            show_snag(context, ShowSnag(number, pictures, takes_off=off)), shown, json_wanted=json
        )
