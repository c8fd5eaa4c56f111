"""A thread and hardware by name or by measurement; the options of measuring."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, command, refuse_options
from stores.errors import BadValue

__all__ = ["Angle", "Bore", "Flats", "Od", "OnThread", "Over", "Pitch", "ToolName"]

Od = Annotated[
    str, typer.Option("--od", metavar="SIZE", help="Measured outside diameter: 5.9, 0.248 in.")
]
Bore = Annotated[
    str, typer.Option("--bore", metavar="SIZE", help="Measured bore of a nut or tapped hole.")
]
Pitch = Annotated[
    str, typer.Option("--pitch", metavar="PITCH", help="By thread gauge: 1.0, 26 tpi.")
]
Over = Annotated[
    str, typer.Option("--over", metavar="SIZE", help='Length over crests: "9.8 over ten".')
]
Flats = Annotated[str, typer.Option("--flats", metavar="SIZE", help="Measured across flats.")]
Angle = Annotated[str, typer.Option("--angle", metavar="DEG", help="Flank angle: 60, 55, 47.5.")]
OnThread = Annotated[
    str, typer.Option("--surface", metavar="WHAT", help="On the thread: painted, rusty or bare.")
]
ToolName = Annotated[
    str, typer.Option("--tool", metavar="TOOL", help="caliper, micrometer or rule.")
]


@command(
    "thread",
    "stores reckon thread 1/4 BSF",
    "stores reckon thread --od 5.9 --pitch 1.0",
    'stores reckon thread --od "0.248 in" --over "9.8 over ten" --flats 10',
    takes_minus=True,
)
def thread(
    name: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="NAME", help="M6, M8x1, 1/4 BSF, 2BA, 1/2 NPT, Tr 20x4.", show_default=False
        ),
    ] = None,
    od: Od = "",
    bore: Bore = "",
    pitch: Pitch = "",
    over: Over = "",
    flats: Flats = "",
    angle: Angle = "",
    head: Annotated[str, typer.Option("--head", help="hex, nut, socket cap ...")] = "",
    tool: ToolName = "",
    surface: OnThread = "",
    evenly: Annotated[
        bool, typer.Option("--evenly", help="Rare threads count as much as common ones.")
    ] = False,
    json: AsJson = False,
) -> None:
    """A thread's sizes, drills and spanners by its name; or which thread it is, by measurement."""
    from stores.usecases.measuring import Measured, identified

    words = list(name or [])
    refuse_options(words)
    measured = Measured(od, bore, pitch, over, flats, angle, tool, surface)
    if words and measured:
        raise BadValue("a name, or what was measured, not both; quote a unit: --od '0.25 in'")
    if not words and not measured:
        raise BadValue("give a thread's name, or what was measured: stores reckon thread --od 5.9")
    if measured:
        from stores.wording.find import threads

        show.reply(identified(measured, head, evenly=evenly), threads, json_wanted=json)
        return
    from stores.usecases.measuring import thread_named
    from stores.wording.measuring import thread as thread_lines

    show.reply(thread_named(" ".join(words)), thread_lines, json_wanted=json)


@command(
    "hardware",
    "stores reckon hardware bearing 20 47 14",
    "stores reckon hardware shaft seal 20 35 7",
    "stores reckon hardware split pin 3.2 32",
    "stores reckon hardware bearing 3/4 1 7/8 9/16",
    'stores reckon hardware "6204-2RS C3"',
    takes_minus=True,
)
def hardware(
    words: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="KIND SIZES | NAME",
            help="A kind and its sizes in mm, or a designation; without anything, the kinds.",
            show_default=False,
        ),
    ] = None,
    json: AsJson = False,
) -> None:
    """What to order: bearings, seals, O-rings, circlips, washers, pins, keys and balls by size."""
    from stores.usecases import measuring
    from stores.wording import measuring as words_of

    typed = list(words or [])
    refuse_options(typed)
    if typed:
        reply = measuring.hardware(" ".join(typed))
        show.reply(reply, words_of.hardware, json_wanted=json)
    else:
        show.reply(measuring.hardware_kinds(), words_of.kinds, json_wanted=json)
