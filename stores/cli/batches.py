"""Outwork in batches: made up, sent with a note, counted back."""

from datetime import date
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import (
    AsJson,
    Count,
    Day,
    MachineName,
    app,
    command,
    count,
    day,
    file_at,
    opened,
    refuse_options,
)
from stores.cli.overview import IN_A_LINE
from stores.cli.printed import Open, free_name, show_file, today
from stores.cli.wording import maybe_condition, option
from stores.errors import BadValue, NotFound
from stores.text import day_words

if TYPE_CHECKING:
    from pathlib import Path

    from sqlalchemy import Connection

    from stores.planning.batches import Batch
    from stores.storage import Store

__all__: list[str] = []

batch_commands = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Outwork in batches: make one up, send it with a note, count it back.",
)
app.add_typer(batch_commands, name="batch", short_help=IN_A_LINE["batch"])

Number = Annotated[int, typer.Argument(metavar="BATCH", help="Its number.")]
Things = Annotated[list[str], typer.Argument(metavar="WHAT", help="Bags, steps or items.")]
SomeThings = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="WHAT", help="Items, steps or bags; by default all.", show_default=False
    ),
]


@command(
    "begin",
    'stores batch begin "Brindlecote Platers" --for "zinc plating"',
    'stores batch begin Brindlecote --for zinc --finish "bright, 8 um"',
    group=batch_commands,
)
def begin(
    ctx: typer.Context,
    firm: Annotated[str, typer.Argument(metavar="FIRM", help="Who does the work.")],
    work: Annotated[str, typer.Option("--for", metavar="WORK", help="What is to be done.")],
    finish: Annotated[str, option("--finish", "TEXT", "Colour, thickness, sheen.")] = "",
    note: Annotated[str, typer.Option("--note", "-n", help="Anything else for the firm.")] = "",
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Begin a batch for a firm; nothing moves until it is sent."""
    from stores import usecases

    with opened(ctx) as store:
        reply = usecases.begin_batch(store, firm, work, finish=finish, note=note, at=day(on))
    show.done(reply, json_wanted=json)


@command(
    "put",
    "stores batch put 1 A001N 9.1 --metal steel",
    'stores batch put 1 12.1 -q 4 --class 8.8 --mask "threads, earth point"',
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
    from stores import usecases

    refuse_options(what)
    with opened(ctx) as store:
        reply = usecases.put_into_batch(
            store, number, what, quantity=count(quantity), metal=metal, masking=masking,
            strength=strength, note=note, machine=machine, at=day(on),
        )  # fmt: skip
    show.done(reply, json_wanted=json)


@command("out", "stores batch out 1 9.1", group=batch_commands)
def out(
    ctx: typer.Context,
    number: Number,
    what: Things,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Take pieces out of a batch that is not sent yet."""
    from stores import usecases

    refuse_options(what)
    with opened(ctx) as store:
        reply = usecases.take_out_of_batch(store, number, what, machine=machine, at=day(on))
    show.done(reply, json_wanted=json)


@command(
    "mark",
    "stores batch mark 1 --photographed --packed",
    "stores batch mark 1 --promised 2027-02-19",
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
        str | None, typer.Option("--promised", metavar="DAY", help="Promised for; none.")
    ] = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Tick what is done with a batch, or say for which day it is promised."""
    from stores import usecases

    marks = [name for name, said in (("photographed", photographed), ("packed", packed)) if said]
    with opened(ctx) as store:
        reply = usecases.mark_batch(store, number, marks, promised=promised, at=day(on))
    show.done(reply, json_wanted=json)


@command("send", "stores batch send 1 --promised 2027-02-19", group=batch_commands)
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
    from stores import usecases

    with opened(ctx) as store:
        reply = usecases.send_batch(store, number, promised=promised, at=day(on))
    show.done(reply, json_wanted=json)


@command(
    "back",
    "stores batch back 1",
    "stores batch back 1 12.1 -q 3 -c serviceable",
    group=batch_commands,
)
def back(
    ctx: typer.Context,
    number: Number,
    what: SomeThings = None,
    quantity: Count = None,
    condition: Annotated[
        str | None, typer.Option("--condition", "-c", metavar="WORD", help="Their condition now.")
    ] = None,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Count a batch back, whole or piece by piece; what is short stays away."""
    from stores import usecases

    refuse_options(what or [])
    with opened(ctx) as store:
        reply = usecases.batch_back(
            store, number, what or [], quantity=count(quantity),
            condition=maybe_condition(condition), machine=machine, at=day(on),
        )  # fmt: skip
    show.done(reply, json_wanted=json)


@command("off", 'stores batch off 1 12.1 -q 1 -n "lost in the vat"', group=batch_commands)
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
    from stores import usecases

    refuse_options(what or [])
    with opened(ctx) as store:
        reply = usecases.write_off(
            store, number, what or [], quantity=count(quantity), reason=note, machine=machine,
            at=day(on),
        )  # fmt: skip
    show.done(reply, json_wanted=json)


@command("note", "stores batch note 1", "stores batch note 1 -o note.pdf", group=batch_commands)
def note(
    ctx: typer.Context,
    number: Number,
    output: Annotated[
        str, typer.Option("--output", "-o", metavar="FILE", help="Where to; else named for it.")
    ] = "",
    sender: Annotated[str, option("--name", "NAME", "Who sends it, with how to be reached.")] = "",
    shown: Open = False,
    json: AsJson = False,
) -> None:
    """Print the despatch note: counts, metal, masking, pictures, warnings, signature."""
    from stores.photos.thumbs import small_pictures
    from stores.printing.despatch import write_despatch
    from stores.storage.outwork import read_batches

    with opened(ctx) as store, store.reading() as connection:
        found = _one(read_batches(connection, [number]), number)
        files = _pictures(store, connection, found)
    path = file_at(output) if output else free_name(f"batch-{number}.pdf")
    printed = write_despatch(
        found, path, date=today(), thumbs=small_pictures, sender=sender, pictures=files
    )
    show_file(printed, json_wanted=json, shown=shown, data={"sheets": printed.sheets})


@command("list", "stores batch list", "stores batch list --all", group=batch_commands)
def batch_list(
    ctx: typer.Context,
    everything: Annotated[
        bool, typer.Option("--all", help="Those that are all back, too.")
    ] = False,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """The batches: what is being made up, away, overdue, and what each holds up."""
    from stores.storage.outwork import read_batches

    with opened(ctx) as store, store.reading() as connection:
        found = read_batches(connection)
    said = day(on)
    now = date.fromisoformat(said) if said else date.today()  # noqa: DTZ011 - on the wall
    listed = [each for each in found if everything or not each.done]
    if json:
        show.as_json([_data(each, now) for each in listed])
        return
    if not listed:
        show.say("No batch is open.")
    for each in listed:
        _show(each, now)


MOST_PICTURES = 6


def _pictures(store: "Store", connection: "Connection", batch: "Batch") -> "list[tuple[Path, str]]":
    """Give the pictures that show what is in a batch, some of each machine."""
    from stores.errors import Refused
    from stores.storage.machines import read_machines
    from stores.storage.pictures import pictures_of, read_pictures
    from stores.usecases.pictures import picture_folder

    items = [line.item for line in batch.lines]
    wanted = pictures_of(connection, items)
    if not wanted:
        return []
    try:
        folder = picture_folder(store)
    except Refused:
        return []
    files = []
    for machine in read_machines(connection):
        numbers = {n for (name, _), found in wanted.items() if name == machine.name for n in found}
        for each in read_pictures(connection, machine.number) if numbers else ():
            if each.number in numbers:
                path = folder / each.digest[:2] / f"{each.digest}{each.format}"
                words = f"Picture {each.number}" + (f": {each.caption}" if each.caption else "")
                files.append((path, words))
    return files[:MOST_PICTURES]


def _one(found: "list[Batch]", number: int) -> "Batch":
    if not found:
        raise NotFound(f"no batch {number}: 'stores batch list' shows them")
    if not found[0].lines:
        raise BadValue(f"batch {number} is empty: stores batch put {number} WHAT")
    return found[0]


def _show(each: "Batch", now: date) -> None:
    from stores.text import many

    late = each.overdue(now)
    due = f", promised for {day_words(each.promised.isoformat())}" if each.promised else ""
    over = f", {late} DAYS OVERDUE" if late else ""
    show.paragraph(
        f"Batch {each.number}  {each.firm}: {each.work}; {each.state}{due}{over}", rest="  "
    )
    for line in each.lines:
        count_now = line.away if each.sent else line.quantity
        if count_now or not each.sent:
            held = f", holds up step {line.item.step.number}" if line.item.step.number else ""
            more = f" ({line.details})" if line.details else ""
            show.paragraph(
                f"{line.item.ref}  {many(count_now, line.text)}{more}{held}", first="  ",
                rest="       ",
            )  # fmt: skip


def _data(each: "Batch", now: date) -> dict[str, Any]:
    return {
        "batch": each.number,
        "firm": each.firm,
        "work": each.work,
        "finish": each.finish,
        "note": each.note,
        "state": each.state,
        "sent": each.sent,
        "promised": each.promised.isoformat() if each.promised else None,
        "days_overdue": each.overdue(now),
        "lines": [
            {
                "item": line.item.ref,
                "machine": line.item.step.machine,
                "text": line.text,
                "quantity": line.quantity,
                "metal": line.metal,
                "masking": line.masking,
                "class": line.strength,
                "note": line.note,
                "back": line.back,
                "written_off": line.off,
                "away": line.away if each.sent else 0,
            }
            for line in each.lines
        ],
    }
