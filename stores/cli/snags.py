"""The survey before the strip-down, and the faults to clear before things are closed up."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, Day, MachineName, command, day, file_at, opened, refuse_options
from stores.cli.printed import Open, show_file, today
from stores.cli.wording import option
from stores.errors import BadValue
from stores.text import day_words, plural

__all__: list[str] = []

Shown = Annotated[
    list[int] | None, typer.Option("--picture", metavar="N", help="A picture that shows it.")
]


@command(
    "survey",
    "stores survey --pdf survey.pdf",
    "stores survey",
)
def survey(
    ctx: typer.Context,
    pdf: Annotated[
        str | None, typer.Option("--pdf", metavar="FILE", help="The sheet to fill in.")
    ] = None,
    shown: Open = False,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """What to look at before taking it apart, while it still runs; and what is on record of it."""
    from stores import queries
    from stores.planning.survey import SURVEY, answered

    with opened(ctx) as store, store.reading() as connection:
        on = queries.machine_named(connection, machine)
        known = queries.snags(connection, on.number)
        taken = {reading.subject for reading in queries.readings(connection, on.number)}
    if pdf is not None:
        from stores.printing.survey import write_survey

        printed = write_survey(file_at(pdf), machine=on.name, date=today(), snags=known)
        show_file(printed, json_wanted=json, shown=shown, data={"sheets": printed.sheets})
        return
    done = answered(taken)
    if json:
        show.as_json({"machine": on.name, "readings": done, "snags": known})
        return
    show.say(f"{on.name}: survey")
    for part in SURVEY:
        show.say()
        show.say(part.name)
        for look in part.looks:
            mark = ""
            if look.reading:
                mark = "x" if done[look.reading] else " "
            box = f"  [{mark}] " if mark else "   -  "
            show.paragraph(look.text, first=box, rest="      ")
    show.say()
    counted = plural(len(known), "snag")
    show.say(f"{counted} on record, {sum(each.open for each in known)} open")
    show.say('A fault:       stores snag Engine leak "weeps at the drain plug"')
    show.say("A measurement: stores reading compression 68 --wet 92")


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
        str, typer.Argument(metavar="SORT", help="missing, damaged, worn, leak, noted ...")
    ],
    text: Annotated[list[str], typer.Argument(metavar="WHAT", help="What is wrong.")],
    side: Annotated[str, option("--side", "SIDE", "left, right, front, rear ...")] = "",
    picture: Shown = None,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record a fault to clear before its assembly is closed up.

    It stands on the checklist of its assembly until it is cleared. The sorts: missing, damaged,
    worn, not original, leak, electrical, seized, noise, fault; noted is for the record alone.
    """
    from stores import usecases

    refuse_options([where, sort, *text])
    with opened(ctx) as store:
        reply = usecases.snag(
            store, where, sort, " ".join(text), side=side, pictures=picture or (),
            machine=machine, at=day(on),
        )  # fmt: skip
    show.done(reply, json_wanted=json)


@command("snags", "stores snags", "stores snags Engine --all")
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
    from stores import queries
    from stores.planning.items import lies_in

    with opened(ctx) as store, store.reading() as connection:
        on = queries.machine_named(connection, machine)
        known = queries.snags(connection, on.number)
    listed = [
        each for each in known if (everything or each.open) and lies_in(each.assembly, assembly)
    ]
    if json:
        show.as_json(listed)
        return
    if not listed:
        show.say(f"No snag is open on {on.name}.")
        return
    rows = []
    for each in listed:
        text = each.words
        if each.pictures:
            text += f" (picture {', '.join(str(number) for number in each.pictures)})"
        if each.cleared:
            text += f"; cleared {day_words(each.cleared_on)}: {each.cleared}"
        rows.append([str(each.number), day_words(each.date), each.where, text])
    show.table(["No", "Date", "Where", "What"], rows, right=[0])


@command(
    "clear",
    'stores clear 3 "new seal, dry after an hour\'s run"',
    "stores clear 3 --with 7.4",
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
    from stores import usecases

    with opened(ctx) as store:
        reply = usecases.clear(
            store, number, " ".join(how or []), renewed=renewed, machine=machine, at=day(on)
        )
    show.done(reply, json_wanted=json)


@command("evidence", "stores evidence 3 12 13", "stores evidence 3 12 --off")
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
    from stores import usecases

    if not pictures:
        raise BadValue("say which pictures, by their numbers")
    with opened(ctx) as store:
        reply = usecases.show_evidence(
            store, number, pictures, takes_off=off, machine=machine, at=day(on)
        )
    show.done(reply, json_wanted=json)
