"""Looking: find, audit, history."""

from typing import TYPE_CHECKING, Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, MachineName, PictureFolder, asked, command, refuse_options
from stores.cli.files import AsCsv, to_csv
from stores.cli.measuring import Angle, Bore, Flats, Od, OnThread, Over, Pitch, ToolName
from stores.errors import BadValue

if TYPE_CHECKING:
    from stores.usecases.find import FoundItem

__all__: list[str] = []


@command(
    "find",
    "stores find A001N",
    "stores find M6x25 hex",
    "stores find clutch cover",
    "stores find --thread M6 --length 25",
    "stores find --od 5.9 --pitch 1.0 --length 24.8",
    takes_minus=True,
)
def find(
    ctx: typer.Context,
    words: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="WORDS",
            help="A bag code, typed or scanned; a fastener; or words.",
            show_default=False,
        ),
    ] = None,
    thread: Annotated[str, typer.Option("--thread", "-t", help="M6, 1/4 BSF, 2BA ...")] = "",
    length: Annotated[
        str, typer.Option("--length", "-l", help="25, 3/4 in: under the head, overall if csk.")
    ] = "",
    head: Annotated[str, typer.Option("--head", help="hex, csk, pan, socket cap ...")] = "",
    od: Od = "",
    bore: Bore = "",
    pitch: Pitch = "",
    over: Over = "",
    flats: Flats = "",
    angle: Angle = "",
    tool: ToolName = "",
    surface: OnThread = "",
    csv: AsCsv = None,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """Where did this come from, and where is it now? By code, by words, or by measurement."""
    from stores.usecases.find import Find, FindMeasured, find_measured
    from stores.usecases.find import find as look_for
    from stores.usecases.measuring import Measured
    from stores.wording.find import by_measure, found

    texts = list(words or [])
    refuse_options(texts)
    measured = Measured(od, bore, pitch, over, flats, angle, tool, surface)
    if measured:
        if texts or thread:
            raise BadValue("find by measurement takes no words and no thread: leave them out")
        if csv is not None:
            raise BadValue("a search by measurement has no --csv: it weighs, it does not list")
        with asked(ctx, machine) as context:
            ranked = find_measured(context, FindMeasured(measured, length, head))
        show.reply(ranked, by_measure, json_wanted=json)
        return
    with asked(ctx, machine) as context:
        reply = look_for(context, Find(" ".join(texts), thread, length, head))
    if csv is not None:
        to_csv(csv, ITEM_HEADS, map(item_row, reply.items), quiet=json)
    if json or csv is None:
        show.reply(reply, found, json_wanted=json)


ITEM_HEADS = (
    "Item", "Machine", "Assembly", "Part", "Position", "As found", "Found", "As specified",
    "Wanted", "On the machine", "Short", "Where",
)  # fmt: skip
"""The columns of a list of items."""


def item_row(item: "FoundItem") -> tuple[object, ...]:
    """Return an item as a row of such a list."""
    held = "; ".join(f"{p.quantity} {p.condition} {p.where}" for p in item.now)
    return (
        item.item, item.machine, item.assembly, item.part, item.position, item.as_found,
        item.found, item.as_specified, item.wanted, item.fitted, item.short, held,
    )  # fmt: skip


@command("audit", "stores record audit")
def audit(ctx: typer.Context, pictures: PictureFolder = "", json: AsJson = False) -> None:
    """Is everything accounted for? If not, each fault by name; exit status 1.

    Every kept picture is read through too: one that is missing or was overwritten is a fault.
    """
    from stores.usecases.history import AskAudit
    from stores.usecases.history import audit as check
    from stores.wording.history import audited

    with asked(ctx) as context, show.bar() as moved:
        reply = check(context, AskAudit(pictures), moved)
    show.reply(reply, audited, json_wanted=json)
    if reply.faults:
        raise typer.Exit(1)


@command(
    "history",
    "stores history",
    "stores history --most 50",
    "stores history 7.2",
    "stores history A001N",
    "stores history Engine/Clutch",
    takes_minus=True,
)
def history(
    ctx: typer.Context,
    thing: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="THING",
            help="Only of this: an item (7.2), step (7), bag, box, shelf, firm, assembly.",
            show_default=False,
        ),
    ] = None,
    most: Annotated[
        str,
        typer.Option(
            "--most", metavar="N", help="How many, the newest; by default 20, of one thing all."
        ),
    ] = "",
    csv: AsCsv = None,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """What was done, the newest first. An act that was undone stays, marked.

    Of one thing it tells the whole story, the oldest first: every act that touched it, and what
    went where.
    """
    from stores.usecases.history import StoryOf, story
    from stores.usecases.history import history as list_acts
    from stores.wording.history import history_table, story_lines

    refuse_options(thing or [])
    if thing:
        if csv is not None:
            raise BadValue("the story of one thing has no --csv: take --json")
        with asked(ctx, machine) as context:
            told = story(context, StoryOf(" ".join(thing), most or None))
        show.reply(told, story_lines, json_wanted=json)
        return
    most = most or "20"
    with asked(ctx) as context:
        acts = list_acts(context, None if csv is not None else most)
    if csv is not None:
        heads = ("Act", "Date", "What", "Summary", "Reason", "Undone by")
        to_csv(
            csv,
            heads,
            (
                (
                    a.number, a.happened_at, a.kind.value, a.summary, a.reason,
                    "" if a.stands else a.reversed_by or "",
                )
                for a in acts
            ),
            quiet=json,
        )  # fmt: skip
    if json or csv is None:
        show.reply(acts, history_table, json_wanted=json)
