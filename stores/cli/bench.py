"""At the bench: machines, strip-down steps, inspection, refitting, undoing."""

from typing import TYPE_CHECKING, Annotated

import typer

from stores.cli import show
from stores.cli.app import (
    AsJson,
    Day,
    MachineName,
    app,
    asked,
    command,
    day,
    refuse_options,
)
from stores.cli.overview import IN_A_LINE
from stores.cli.wording import DoneBy, MeasuredThen, What, WorkDone
from stores.errors import BadValue

if TYPE_CHECKING:
    pass

__all__: list[str] = []

machine_commands = typer.Typer(
    no_args_is_help=True, rich_markup_mode=None, help="Add a machine to restore, or list them."
)
app.add_typer(machine_commands, name="machine", short_help=IN_A_LINE["machine"])


@command(
    "add",
    'stores machine add "Orrick Plover" --maker Orrick --year 1958',
    'stores machine add "Tern 50" --for-parts',
    group=machine_commands,
)
def machine_add(
    ctx: typer.Context,
    name: Annotated[str, typer.Argument(metavar="NAME", help="What you call it.")],
    maker: Annotated[str, typer.Option(help="Who made it.")] = "",
    model: Annotated[str, typer.Option(help="Model, frame or engine number.")] = "",
    year: Annotated[str, typer.Option(help="When.")] = "",
    note: Annotated[str, typer.Option("--note", "-n", help="Anything else.")] = "",
    for_parts: Annotated[
        bool, typer.Option("--for-parts", help="A donor: nothing goes back on it.")
    ] = False,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Add a machine to restore. The first one begins the stores file."""
    from stores.usecases.machines import AddMachine, add_machine, check_machine
    from stores.wording.history import machine_added

    ask = check_machine(AddMachine(name, maker, model, year, note, for_parts))
    day(on)  # before a file is begun
    with asked(ctx, on=on, create=True) as context:
        show.reply(add_machine(context, ask), machine_added, json_wanted=json)


@command(
    "for-parts",
    'stores machine for-parts "Tern 50"',
    'stores machine for-parts "Tern 50" --wants 7',
    'stores machine for-parts "Tern 50" --not',
    group=machine_commands,
)
def machine_for_parts(
    ctx: typer.Context,
    name: Annotated[str, typer.Argument(metavar="NAME", help="The machine.")],
    wants: Annotated[
        list[str] | None,
        typer.Option("--wants", metavar="STEP", help="A step that goes back all the same."),
    ] = None,
    takes_back: Annotated[
        bool, typer.Option("--not", help="Not so after all, of the machine or of these steps.")
    ] = False,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Keep a machine for its parts: nothing is bought, planned or waited for on its account."""
    from stores.usecases.machines import KeepForParts, keep_for_parts
    from stores.wording.history import for_parts

    with asked(ctx, None, on) as context:
        reply = keep_for_parts(context, KeepForParts(name, wants or [], takes_back))
    show.reply(reply, for_parts, json_wanted=json)


@command("list", "stores machine list", group=machine_commands)
def machine_list(ctx: typer.Context, json: AsJson = False) -> None:
    """List the machines."""
    from stores.usecases.machines import machines
    from stores.wording.history import machine_table

    with asked(ctx) as context:
        listed = machines(context)
    show.reply(listed, machine_table, json_wanted=json)


@command(
    "strip",
    'stores strip Engine/Clutch "clutch cover" "4 M6x25 hex 8.8" "1 gasket"',
    'stores strip Engine "left cover" "3 of 5 M6x40 csk @ rear" -b A001N',
    'stores strip Engine magneto "2 M6x30 (should be M6x25)" -p "shelf 2"',
    takes_minus=True,
)
def strip(
    ctx: typer.Context,
    assembly: Annotated[
        str, typer.Argument(metavar="ASSEMBLY", help="Where on the machine: Engine/Clutch.")
    ],
    part: Annotated[str, typer.Argument(metavar="PART", help="What came off.")],
    lines: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="LINE",
            help='What held it: "4 M6x25 hex 8.8", "3 of 4 M6 nut", "1 gasket @ rear", '
            '"2 M6x30 (should be M6x25)".',
            show_default=False,
        ),
    ] = None,
    bag: Annotated[
        str,
        typer.Option(
            "--bag", "-b", metavar="BAG", help="new, same (as the last step), a code, or a place."
        ),
    ] = "new",
    part_to: Annotated[
        str | None,
        typer.Option(
            "--part-to", "-p", metavar="PLACE", help="Where the part goes, if not in the bag."
        ),
    ] = None,
    position: Annotated[
        str, typer.Option("--at", "-a", metavar="TEXT", help="Which hole or place they sat in.")
    ] = "",
    note: Annotated[
        str, typer.Option("--note", "-n", metavar="TEXT", help="What to know at the rebuild.")
    ] = "",
    hazard: Annotated[
        str, typer.Option("--hazard", "-z", metavar="TEXT", help="What can hurt somebody.")
    ] = "",
    condition: Annotated[
        str, typer.Option("--condition", "-c", metavar="WORD", help="What is known already.")
    ] = "as removed",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record one strip-down step: what came off, what held it, and the bag it went into."""
    from stores.usecases.strip import Strip
    from stores.usecases.strip import strip as record_step
    from stores.wording.strip import stripped

    texts = list(lines or [])
    refuse_options([assembly, part, *texts])
    ask = Strip(assembly, part, texts, bag, part_to, position, note, hazard, condition)
    with asked(ctx, machine, on) as context:
        show.reply(record_step(context, ask), stripped, json_wanted=json)


@command("loose", 'stores loose "1 M8x40 hex" --to "tin 1" -n "under the bench"', takes_minus=True)
def loose(
    ctx: typer.Context,
    line: Annotated[str, typer.Argument(metavar="LINE", help='What it is: "1 M8x40 hex".')],
    to: Annotated[str, typer.Option("--to", metavar="PLACE", help="Where it goes.")] = "new",
    note: Annotated[str, typer.Option("--note", "-n", help="Where it was found.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record pieces of unknown origin: found under the bench, or came in a tin."""
    from stores.usecases.strip import Loose
    from stores.usecases.strip import loose as record_loose
    from stores.wording.strip import loose_recorded

    refuse_options([line])
    with asked(ctx, machine, on) as context:
        show.reply(record_loose(context, Loose(line, to, note)), loose_recorded, json_wanted=json)


@command(
    "inspect",
    "stores inspect A001N serviceable",
    "stores inspect 7.2 2 condemned necked below the head",
    "stores inspect 7.1 --reading 19.91 --nominal 20 --limit 19.90 --named pin",
    'stores inspect 7.1 serviceable --work welded --by Harris --measured "19.98"',
    takes_minus=True,
)
def inspect(
    ctx: typer.Context,
    what: What,
    verdict: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[N] VERDICT [WHY]",
            help="serviceable, repairable, condemned or quarantine; and why.",
            show_default=False,
        ),
    ] = None,
    of: Annotated[
        str | None,
        typer.Option("--of", metavar="WORD", help="The condition that the pieces have now."),
    ] = None,
    reading: Annotated[
        str, typer.Option("--reading", metavar="MM", help="Measured: the limit gives the verdict.")
    ] = "",
    nominal: Annotated[str, typer.Option("--nominal", metavar="MM", help="Size when new.")] = "",
    limit: Annotated[str, typer.Option("--limit", metavar="MM", help="The maker's limit.")] = "",
    larger: Annotated[
        bool | None,
        typer.Option("--larger/--smaller", help="Which way wear goes, where it is not clear."),
    ] = None,
    off: Annotated[
        str, typer.Option("--off", metavar="MM", help="Standard uncertainty of the tool.")
    ] = "0.005",
    named: Annotated[
        str, typer.Option("--named", metavar="TEXT", help="What was measured: pin, bore.")
    ] = "reading",
    work: WorkDone = "",
    by: DoneBy = "",
    measured_then: MeasuredThen = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record the condition of pieces, and why; or let a reading say it.

    Work done on them becomes part of their story, with a verdict or by itself.
    """
    from stores.usecases.common import WorkSaid
    from stores.usecases.inspect import Inspect, MeasuredAgainstLimit
    from stores.usecases.inspect import inspect as record_verdict
    from stores.wording.inspect import inspected

    words = list(verdict or [])
    refuse_options([what, *words])
    quantity = words.pop(0) if words and words[0][:1] in "0123456789-+−" else None
    if (nominal or limit) and not reading:
        raise BadValue("--nominal and --limit go with --reading MM")
    measured = MeasuredAgainstLimit(reading, nominal, limit, larger, off, named)
    ask = Inspect(
        what,
        words[0] if words else "",
        " ".join(words[1:]),
        quantity,
        of,
        measured if reading else None,
        WorkSaid(work, by, measured_then),
    )
    with asked(ctx, machine, on) as context:
        show.reply(record_verdict(context, ask), inspected, json_wanted=json)


@command(
    "specify",
    'stores specify 7.2 "4 M6x25 hex 8.8"',
    'stores specify 7.4 --reuse "soft copper, annealed"',
    takes_minus=True,
)
def specify(
    ctx: typer.Context,
    what: What,
    text: Annotated[str, typer.Argument(metavar="LINE", help="What should be there.")] = "",
    reuse: Annotated[
        str, typer.Option("--reuse", metavar="WHY", help="Use again, though usually renewed.")
    ] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say what should be at a joint, when the parts book or a measurement has told."""
    from stores.usecases.inspect import Specify
    from stores.usecases.inspect import specify as record_specification
    from stores.wording.inspect import specified

    refuse_options([what, text])
    with asked(ctx, machine, on) as context:
        reply = record_specification(context, Specify(what, text, reuse))
        show.reply(reply, specified, json_wanted=json)


@command("undo", "stores undo", "stores undo act 41", "stores undo step 9", takes_minus=True)
def undo(
    ctx: typer.Context,
    which: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="ACT",
            help="'act 41', 'step 9', or nothing for the last act.",
            show_default=False,
        ),
    ] = None,
    note: Annotated[str, typer.Option("--note", "-n", help="Why.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Take back the last act, or the act of this number. The history keeps both."""
    from stores.usecases.history import Undo
    from stores.usecases.history import undo as take_back
    from stores.wording.history import undone

    words = [word.casefold() for word in which or []]
    refuse_options(words)
    by = words.pop(0) if words and words[0] in ("act", "step") else ""
    if len(words) > 1 or (by and not words):
        raise BadValue("say which, as in: stores undo act 41, or stores undo step 9")
    ask = Undo(words[0] if words else None, by, note)
    with asked(ctx, machine, on) as context:
        show.reply(take_back(context, ask), undone, json_wanted=json)
