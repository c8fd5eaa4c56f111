"""At the bench: machines, strip-down steps, inspection, refitting, undoing."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import (
    AsJson,
    Day,
    MachineName,
    TemplateFolder,
    app,
    asked,
    at_a_terminal,
    command,
    day,
    file_at,
    refuse_options,
)
from stores.cli.overview import IN_A_LINE
from stores.cli.wording import DoneBy, Kind, MeasuredThen, NewAssembly, NewPlace, What, WorkDone
from stores.errors import BadValue

__all__: list[str] = []

machine_commands = typer.Typer(
    no_args_is_help=True, rich_markup_mode=None, help="Add a machine to restore, or list them."
)
app.add_typer(machine_commands, name="machine", short_help=IN_A_LINE["machine"])


@command(
    "add",
    'stores machine add "Orrick Plover" --maker Orrick --kind two-wheeler',
    'stores machine add "Tern 50" --for-parts',
    line="add a machine to restore",
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
    kind: Kind = None,
    templates: TemplateFolder = "",
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Add a machine to restore. The first one begins the stores file."""
    from stores.usecases.machines import AddMachine, add_machine, check_machine
    from stores.wording.history import machine_added

    own = str(file_at(templates)) if templates else ""
    ask = AddMachine(name, maker, model, year, note, for_parts, kind or (), own)
    ask = check_machine(ask, ctx.obj)
    day(on)  # before a file is begun
    with asked(ctx, on=on, create=True) as context:
        show.reply(add_machine(context, ask), machine_added, json_wanted=json)


@command(
    "for-parts",
    'stores machine for-parts "Tern 50"',
    'stores machine for-parts "Tern 50" --wants 7',
    'stores machine for-parts "Tern 50" --not',
    line="keep a machine for its parts: nothing goes back on it",
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
        bool,
        typer.Option("--not", help="Restore it after all; with --wants, leave those steps off."),
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


@command("list", "stores machine list", line="the machines there are", group=machine_commands)
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
    'stores strip Engine "rocker cover" "3 of 4 M6x20 hex bolt, 1 seized"',
    'stores strip Engine gear "left, from the gear out: 0.3, 0.5, 0.1 shims"',
    'stores strip Engine "drain the oil" --job --undo "fill the oil, 1.2 l"',
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
    job: Annotated[
        bool, typer.Option("--job", help="Nothing came off: the oil drained, a chain slackened.")
    ] = False,
    undo: Annotated[
        str, typer.Option("--undo", metavar="TEXT", help="How such a job is undone at the rebuild.")
    ] = "",
    new_assembly: NewAssembly = False,
    new_place: NewPlace = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record one strip-down step: what came off, what held it, and the bag it went into.

    What did not come off is said in its line: 3 of 4 M6x20, 1 seized; 1 broken in hole 3.
    """
    from stores.usecases.strip import Strip
    from stores.usecases.strip import strip as record_step
    from stores.wording.strip import stripped

    texts = list(lines or [])
    refuse_options([assembly, part, *texts])
    ask = Strip(
        assembly,
        part,
        texts,
        bag,
        part_to,
        position,
        note,
        hazard,
        condition,
        job,
        undo,
        new_place,
        new_assembly,
    )
    with asked(ctx, machine, on) as context:
        show.reply(record_step(context, ask), stripped, json_wanted=json)


@command(
    "loose", 'stores piece loose "1 M8x40 hex" --to "tin 1" -n "under the bench"', takes_minus=True
)
def loose(
    ctx: typer.Context,
    line: Annotated[str, typer.Argument(metavar="LINE", help='What it is: "1 M8x40 hex".')],
    to: Annotated[str, typer.Option("--to", metavar="PLACE", help="Where it goes.")] = "new",
    note: Annotated[str, typer.Option("--note", "-n", help="Where it was found.")] = "",
    new_place: NewPlace = False,
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
        show.reply(
            record_loose(context, Loose(line, to, note, new_place)),
            loose_recorded,
            json_wanted=json,
        )


@command(
    "inspect",
    "stores inspect A001N serviceable",
    "stores inspect 7.2 4 serviceable 2 condemned necked below the head",
    "stores inspect 7.1 --reading 19.91 --nominal 20 --limit 19.90 --named pin",
    'stores inspect 7.1 serviceable --work welded --by Harris --measured "19.98"',
    "stores inspect Engine/Clutch",
    'stores inspect --list "1.1 good; 1.2 3 good 1 scrap necked; 2.1 repair bent"',
    takes_minus=True,
)
def inspect(
    ctx: typer.Context,
    what: Annotated[
        str,
        typer.Argument(
            metavar="WHAT",
            help="An item (7.2), a step (7), a bag (A001N); in one sitting also a box, an "
            "assembly, or nothing for the machine.",
            show_default=False,
        ),
    ] = "",
    verdict: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[N] VERDICT [WHY]",
            help="good, repair, scrap or unsure (serviceable, repairable, condemned, "
            "quarantine); and why. "
            "Then N more, and the next.",
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
    listed: Annotated[
        str,
        typer.Option(
            "--list", metavar="LIST", help="Many at once: '1.1 good; 1.2 3 good 1 scrap necked'."
        ),
    ] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record the condition of pieces, and why; or let a measurement decide.

    Without a verdict it goes through all that is not inspected yet, line by line, a key for each
    answer; every answer is recorded at once. Work done on the pieces becomes part of their story,
    with a verdict or by itself.
    """
    from stores.usecases.common import WorkSaid
    from stores.usecases.inspect import Inspect, MeasuredAgainstLimit
    from stores.usecases.inspect import inspect as record_verdict
    from stores.wording.inspect import inspected

    words = list(verdict or [])
    refuse_options([what, *words])
    done = WorkSaid(work, by, measured_then)
    if listed and (what or words or reading or done.words):
        raise BadValue("--list says all of it: leave the rest out")
    if listed:
        _inspect_list(ctx, listed, machine, on, json_wanted=json)
        return
    if not (words or reading or nominal or limit or done.words):
        _inspect_in_one_sitting(ctx, what, machine, on, json_wanted=json)
        return
    if (nominal or limit) and not reading:
        raise BadValue("--nominal and --limit go with --reading MM")
    counts = bool(words) and words[0][:1] in "0123456789-+−"
    if reading:
        quantity = words.pop(0) if counts else None
        measured = MeasuredAgainstLimit(reading, nominal, limit, larger, off, named)
        ask = Inspect(what, " ".join(words), quantity=quantity, of=of, measured=measured, work=done)
    elif done.words and len(words) == counts:
        ask = Inspect(what, quantity=words[0] if words else None, of=of, work=done)
    else:
        ask = Inspect(what, of=of, said=words, work=done)
    with asked(ctx, machine, on) as context:
        show.reply(record_verdict(context, ask), inspected, json_wanted=json)


def _inspect_list(
    ctx: typer.Context, listed: str, machine: str | None, on: str | None, *, json_wanted: bool
) -> None:
    from stores.usecases.sitting import InspectEach, inspect_each
    from stores.wording.inspect import inspected_each

    with asked(ctx, machine, on) as context:
        reply = inspect_each(context, InspectEach(listed=listed))
    show.reply(reply, inspected_each, json_wanted=json_wanted)


def _inspect_in_one_sitting(
    ctx: typer.Context, what: str, machine: str | None, on: str | None, *, json_wanted: bool
) -> None:
    from stores.usecases.sitting import InspectionOf, to_inspect
    from stores.wording import inspect as words

    with asked(ctx, machine, on) as context:
        inspection = to_inspect(context, InspectionOf(what))
        if json_wanted:
            show.as_json(inspection)
            return
        if not inspection.lines:
            show.said(words.to_inspect(inspection))
            return
        if not at_a_terminal():
            raise BadValue(words.no_keys)
        from stores.cli.keys import keyboard
        from stores.cli.sitting import sit

        with keyboard() as keys:
            sit(context, inspection, keys, inspection.within)


@command(
    "specify",
    'stores piece specify 7.2 "4 M6x25 hex 8.8"',
    'stores piece specify 7.1 "pilot jet cap" --name',
    'stores piece specify 7.4 --reuse "soft copper, annealed"',
    takes_minus=True,
)
def specify(
    ctx: typer.Context,
    what: What,
    text: Annotated[str, typer.Argument(metavar="LINE", help="What should be there.")] = "",
    same: Annotated[
        bool | None,
        typer.Option(
            "--name/--other", help="The name of what was found, or another thing instead of it."
        ),
    ] = None,
    reuse: Annotated[
        str, typer.Option("--reuse", metavar="WHY", help="Use again, though usually renewed.")
    ] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Say what should be at a joint, or the name of what was found there, once you know it."""
    from stores.usecases.inspect import Specify
    from stores.usecases.inspect import specify as record_specification
    from stores.wording.inspect import specified

    refuse_options([what, text])
    with asked(ctx, machine, on) as context:
        reply = record_specification(context, Specify(what, text, reuse, same))
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
