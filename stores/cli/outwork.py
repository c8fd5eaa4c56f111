"""Outwork: batches made up, sent with a note and counted back; and the short way out and back."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import (
    AsJson,
    Count,
    Day,
    MachineName,
    app,
    asked,
    command,
    file_at,
    refuse_options,
)
from stores.cli.files import Open, free_name, show_file
from stores.cli.overview import IN_A_LINE
from stores.cli.wording import DoneBy, MeasuredThen, NewFirm, NewPlace, Of, WorkDone, option

__all__: list[str] = []

batch_commands = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Outwork in batches: make one up, send it with a note, count it back.",
)
app.add_typer(batch_commands, name="batch", short_help=IN_A_LINE["batch"])

Number = Annotated[int, typer.Argument(metavar="BATCH", help="Its number.")]
Condition = Annotated[
    str | None, typer.Option("--condition", "-c", metavar="WORD", help="Their condition now.")
]
Things = Annotated[list[str], typer.Argument(metavar="WHAT", help="Bags, steps or items.")]
SomeThings = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="WHAT", help="Items, steps or bags; by default all.", show_default=False
    ),
]
AllBut = Annotated[
    str,
    typer.Option(
        "--all-but", metavar="LIST", help="All came, except: '1.2: 3, 2.1: none' came of these."
    ),
]


@command(
    "begin",
    'stores outwork batch begin "Brindlecote Platers" --for "zinc plating"',
    'stores outwork batch begin Brindlecote --for zinc --finish "bright, 8 um"',
    line="begin a batch for a firm",
    group=batch_commands,
)
def begin(
    ctx: typer.Context,
    firm: Annotated[str, typer.Argument(metavar="FIRM", help="Who does the work.")],
    work: Annotated[str, typer.Option("--for", metavar="WORK", help="What is to be done.")],
    finish: Annotated[str, option("--finish", "TEXT", "Colour, thickness, sheen.")] = "",
    note: Annotated[str, typer.Option("--note", "-n", help="Anything else for the firm.")] = "",
    new_firm: NewFirm = False,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Begin a batch for a firm; nothing moves until it is sent."""

    from stores.usecases import outwork as use
    from stores.wording.outwork import begun

    with asked(ctx, None, on) as context:
        reply = use.begin_batch(context, use.BeginBatch(firm, work, finish, note, new_firm))
    show.reply(reply, begun, json_wanted=json)


@command(
    "put",
    "stores outwork batch put 1 A001N 9.1 --metal steel",
    'stores outwork batch put 1 12.1 -q 4 --class 8.8 --mask "earth point"',
    line="put pieces into a batch",
    group=batch_commands,
)
def put(
    ctx: typer.Context,
    number: Number,
    what: Things,
    quantity: Count = None,
    metal: Annotated[str, option("--metal", "METAL", "steel, aluminium, brass ...")] = "",
    masking: Annotated[
        str, option("--mask", "TEXT", "threads, bearing seats, earth points, brake bores")
    ] = "",
    strength: Annotated[str, option("--class", "CLASS", "8.8, 10.9, 34 HRC ...")] = "",
    note: Annotated[str, typer.Option("--note", "-n", help="For the firm, of these.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Put pieces into a batch, counted, with what the firm must know of them."""

    from stores.usecases import outwork as use
    from stores.wording.outwork import filled

    refuse_options(what)
    ask = use.PutIntoBatch(number, what, quantity, metal, masking, strength, note)
    with asked(ctx, machine, on) as context:
        reply = use.put_into_batch(context, ask)
    show.reply(reply, filled, json_wanted=json)


@command(
    "out", "stores outwork batch out 1 9.1", line="take pieces out of a batch", group=batch_commands
)
def out(
    ctx: typer.Context,
    number: Number,
    what: Things,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Take pieces out of a batch that is not sent yet."""

    from stores.usecases import outwork as use
    from stores.wording.outwork import reduced

    refuse_options(what)
    with asked(ctx, machine, on) as context:
        reply = use.take_out_of_batch(context, use.TakeOutOfBatch(number, what))
    show.reply(reply, reduced, json_wanted=json)


@command(
    "mark",
    "stores outwork batch mark 1 --photographed --packed",
    "stores outwork batch mark 1 --promised 2027-02-19",
    line="tick photographed or packed; the promised day",
    group=batch_commands,
)
def mark(
    ctx: typer.Context,
    number: Number,
    photographed: Annotated[
        bool, typer.Option("--photographed", help="Laid out and photographed.")
    ] = False,
    packed: Annotated[bool, typer.Option("--packed", help="Packed, the note put in.")] = False,
    promised: Annotated[
        str | None,
        typer.Option("--promised", metavar="DAY", help="The day it is promised for; or none."),
    ] = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Tick what is done with a batch, or say for which day it is promised."""

    from stores.usecases import outwork as use
    from stores.wording.outwork import marked

    ticks = {"photographed": photographed, "packed": packed}
    ask = use.MarkBatch(number, [name for name in ticks if ticks[name]], promised)
    with asked(ctx, None, on) as context:
        reply = use.mark_batch(context, ask)
    show.reply(reply, marked, json_wanted=json)


@command(
    "send",
    "stores outwork batch send 1 --promised 2027-02-19",
    line="send a batch: its pieces are away from now on",
    group=batch_commands,
)
def send(
    ctx: typer.Context,
    number: Number,
    promised: Annotated[
        str | None, typer.Option("--promised", metavar="DAY", help="Promised for this day.")
    ] = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Send a batch: its pieces are away at the firm from now on."""

    from stores.usecases import outwork as use
    from stores.wording.outwork import sent_batch

    with asked(ctx, None, on) as context:
        reply = use.send_batch(context, use.SendBatch(number, promised))
    show.reply(reply, sent_batch, json_wanted=json)


@command(
    "back",
    "stores outwork batch back 1",
    "stores outwork batch back 1 12.1 -q 3 -c serviceable",
    'stores outwork batch back 1 --work "zinc plated, bright"',
    'stores outwork batch back 1 --all-but "1.2: 3, 2.1: none"',
    line="count a batch back",
    group=batch_commands,
)
def back(
    ctx: typer.Context,
    number: Number,
    what: SomeThings = None,
    quantity: Count = None,
    condition: Condition = None,
    work: WorkDone = "",
    by: DoneBy = "",
    measured: MeasuredThen = "",
    but: AllBut = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Count a batch back, whole or piece by piece; what is short stays away."""

    from stores.usecases import outwork as use
    from stores.usecases.common import WorkSaid
    from stores.wording.outwork import counted_back

    refuse_options(what or [])
    done = WorkSaid(work, by, measured)
    ask = use.CountBatchBack(number, what or [], quantity, condition, but, done)
    with asked(ctx, machine, on) as context:
        reply = use.count_batch_back(context, ask)
    show.reply(reply, counted_back, json_wanted=json)


@command(
    "off",
    'stores outwork batch off 1 12.1 -q 1 -n "lost in the vat"',
    line="write off pieces that will not come back",
    group=batch_commands,
)
def off(
    ctx: typer.Context,
    number: Number,
    what: SomeThings = None,
    quantity: Count = None,
    note: Annotated[str, typer.Option("--note", "-n", help="Why.")] = "",
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Write off pieces that will not come back: they are lost, and to be bought."""

    from stores.usecases import outwork as use
    from stores.wording.outwork import written_off

    refuse_options(what or [])
    with asked(ctx, machine, on) as context:
        reply = use.write_off(context, use.WriteOff(number, what or [], quantity, note))
    show.reply(reply, written_off, json_wanted=json)


@command(
    "advice-note",
    "stores outwork batch advice-note 1",
    "stores outwork batch advice-note 1 -o note.pdf",
    line="print the advice note to go with a batch",
    group=batch_commands,
    former="note",
)
def note(
    ctx: typer.Context,
    number: Number,
    output: Annotated[
        str,
        typer.Option(
            "--pdf", "-o", metavar="FILE", help="The PDF to write; by default named after it."
        ),
    ] = "",
    sender: Annotated[str, option("--name", "NAME", "Who sends it, and how to reach them.")] = "",
    shown: Open = False,
    json: AsJson = False,
) -> None:
    """Print the advice note of a batch: counts, metal, masking, pictures, warnings, signature."""

    from stores.usecases import outwork as use

    with asked(ctx) as context:
        reply = use.despatch_note(context, use.DespatchNote(number))
    from stores.papers import write_note

    path = file_at(output) if output else free_name(f"batch-{number}.pdf")
    printed = write_note(reply, path, sender)
    show_file(printed, json_wanted=json, shown=shown, data={"sheets": printed.sheets})


@command(
    "list",
    "stores outwork batch list",
    "stores outwork batch list --all",
    line="the batches, and what each holds up",
    group=batch_commands,
    records=False,
)
def batch_list(
    ctx: typer.Context,
    everything: Annotated[
        bool, typer.Option("--all", help="Those that are all back, too.")
    ] = False,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """The batches: what is being made up, away, overdue, and what each holds up."""
    from stores.usecases import outwork as use
    from stores.wording.outwork import batch_lines, nothing

    with asked(ctx, None, on) as context:
        reply = use.batches(context, use.ListBatches(everything))
    if json:
        show.as_json(reply)
        return
    listed = batch_lines(reply)
    if not listed:
        show.say(nothing)
    for head, lines in listed:
        show.paragraph(head, rest="  ")
        for line in lines:
            show.paragraph(line, first="  ", rest="       ")


@command(
    "send",
    'stores outwork send A001N 9.1 --to "Brindlecote Platers" --for zinc',
    takes_minus=True,
)
def send_short(
    ctx: typer.Context,
    what: Annotated[list[str], typer.Argument(metavar="WHAT", help="Bags, steps or items.")],
    firm: Annotated[str, typer.Option("--to", metavar="FIRM", help="Who does the work.")],
    work: Annotated[str, typer.Option("--for", metavar="WORK", help="What is to be done.")] = "",
    quantity: Count = None,
    of: Of = None,
    new_firm: NewFirm = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Send pieces out to another firm as one counted batch."""
    from stores.usecases import outwork as use
    from stores.wording.outwork import sent

    refuse_options(what)
    with asked(ctx, machine, on) as context:
        reply = use.send(context, use.SendPieces(what, firm, quantity, of, work, new_firm))
    show.reply(reply, sent, json_wanted=json)


@command(
    "back",
    'stores outwork back "Brindlecote Platers"',
    'stores outwork back "Brindlecote Platers" 7.2 -q 3 -c serviceable',
    'stores outwork back Harris 9.1 --work welded --measured "19.98 mm"',
    'stores outwork back "Brindlecote Platers" --all-but "1.2: 3"',
    takes_minus=True,
)
def back_short(
    ctx: typer.Context,
    firm: Annotated[str, typer.Argument(metavar="FIRM", help="Who sent them back.")],
    what: Annotated[
        list[str] | None,
        typer.Argument(metavar="WHAT", help="What came; by default all.", show_default=False),
    ] = None,
    quantity: Count = None,
    condition: Condition = None,
    but: AllBut = "",
    to: Annotated[
        str | None,
        typer.Option("--to", metavar="PLACE", help="Where to; by default where they came from."),
    ] = None,
    work: WorkDone = "",
    by: DoneBy = "",
    measured: MeasuredThen = "",
    new_place: NewPlace = False,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Count pieces back from a firm; what did not come back stays on its account.

    The work is the firm's unless somebody else is named, and becomes part of the pieces' story.
    """
    from stores.usecases import outwork as use
    from stores.usecases.common import WorkSaid
    from stores.wording.outwork import back

    refuse_options([firm, *(what or [])])
    done = WorkSaid(work, by, measured)
    ask = use.TakeBack(firm, what or [], quantity, condition, to, new_place, but, done)
    with asked(ctx, machine, on) as context:
        reply = use.take_back(context, ask)
    show.reply(reply, back, json_wanted=json)
