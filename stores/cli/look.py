"""Looking: find, rebuild, audit, history."""

from itertools import groupby
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import AsJson, MachineName, command, count, opened, refuse_options
from stores.cli.lists import AsCsv, to_csv
from stores.cli.measuring import (
    Angle,
    Bore,
    Flats,
    Measured,
    Od,
    Over,
    Pitch,
    ToolName,
    data_of,
    head_named,
    identify_from,
    length_rule_of,
    rank_joints,
    show_identification,
    show_joints,
)
from stores.cli.printed import Open
from stores.cli.wording import item_data
from stores.errors import BadValue

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stores.planning.rebuild import Stage

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
    csv: AsCsv = None,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """Where did this come from, and where is it now? By code, by words, or by measurement."""
    from stores.cli.finding import look_for
    from stores.planning.pictures import listed
    from stores.storage.machines import read_machines
    from stores.storage.pictures import pictures_of

    texts = list(words or [])
    refuse_options(texts)
    measured = Measured(od, bore, pitch, over, flats, angle, tool)
    if measured:
        if texts or thread:
            raise BadValue("find by measurement takes no words and no thread: leave them out")
        if csv is not None:
            raise BadValue("a search by measurement has no --csv: it weighs, it does not list")
        _find_measured(ctx, measured, length=length, head=head, machine=machine, json_wanted=json)
        return
    with opened(ctx) as store, store.reading() as connection:
        found = look_for(
            connection, " ".join(texts), thread=thread, length=length, head=head, machine=machine
        )
        many_machines = len(read_machines(connection)) > 1
        pictures = pictures_of(connection, found.items)
    if csv is not None:
        to_csv(csv, ITEM_HEADS, map(item_row, found.items), quiet=json)
    if json:
        items = [
            item_data(item) | {"pictures": pictures.get((item.step.machine, item.step.number), [])}
            for item in found.items
        ]
        show.as_json({"bag": found.bag, "items": items})
    if json or csv is not None:
        return
    if found.bag:
        inside = f" ({found.inside})" if found.inside else ""
        show.say(f"Bag {found.bag}{inside}")
    elif len(found.items) > 1:
        show.say(f"{len(found.items)} joints fit:")
    for step, group in groupby(found.items, key=lambda item: item.step):
        _show_step(step, many=many_machines)
        for item in group:
            _show_item(item)
        numbers = pictures.get((step.machine, step.number))
        if numbers:
            show.paragraph(f"pictures: {listed(numbers)}", first="  ", rest="       ")


def _find_measured(
    ctx: typer.Context,
    measured: Measured,
    *,
    length: str,
    head: str,
    machine: str | None,
    json_wanted: bool,
) -> None:
    from stores.storage.machines import machine_named
    from stores.storage.measured import threads_recorded

    named = head_named(head)
    found = identify_from(measured, head)
    with opened(ctx) as store, store.reading() as connection:
        number = machine_named(connection, machine).number if machine else None
        ranked = rank_joints(
            connection, found, length=length, head=named, tool=measured.tool, machine=number
        )
        known = identify_from(measured, head, threads_recorded(connection))
    if json_wanted:
        show.as_json(data_of(known, ranked))
        return
    show.say("Thread, with what this stores has on record:")
    show_identification(known, most=5)
    show.say("Joints:")
    show_joints(ranked)
    if length:
        show.paragraph(f"Length: {length_rule_of(named)}", rest="  ")


def _show_step(step: Any, *, many: bool) -> None:
    text = f"Step {step.number}  {step.assembly}: {step.part}, off {show.as_date(step.date)}"
    if not step.number:
        text = "Loose: unknown origin, or spares"
    show.paragraph(text + (f"  [{step.machine}]" if many else ""), rest="        ")
    if step.note:
        show.paragraph(f"note: {step.note}", first="  ", rest="  ")
    if step.hazard:
        show.paragraph(f"HAZARD: {step.hazard}", first="! ", rest="  ")


def _show_item(item: Any) -> None:
    from stores.model.items import many

    seat = f" @ {item.position}" if item.position else ""
    loose = not item.step.number
    count = sum(h.quantity for h in item.holdings if h.kind.in_hand) if loose else item.found
    show.paragraph(
        f"{item.ref}  {many(count, item.as_found.text)}{seat}", first="  ", rest="       "
    )
    lines = []
    if not loose and (item.wrong or item.found != item.wanted):
        lines.append(f"should be {many(item.wanted, item.as_specified.text)}")
    held = [holding for holding in item.holdings if holding.quantity > 0]
    lines.append("; ".join(_held(item, holding) for holding in held) or "none in the stores")
    if item.verdict:
        lines.append(f"inspected: {item.verdict}")
    for line in lines:
        show.paragraph(line, first="       ", rest="       ")


def _held(item: Any, holding: Any) -> str:
    what = f" {item.as_specified.text}" if item.wrong and holding.condition.value == "new" else ""
    return f"{holding.quantity} {holding.condition}{what} {holding.where}"


ITEM_HEADS = (
    "Item", "Machine", "Assembly", "Part", "Position", "As found", "Found", "As specified",
    "Wanted", "On the machine", "Short", "Where",
)  # fmt: skip
"""The columns of a list of items."""


def item_row(item: Any) -> tuple[object, ...]:
    """Give an item as a row of such a list."""
    held = "; ".join(
        f"{h.quantity} {h.condition} {h.where}" for h in item.holdings if h.quantity > 0
    )
    return (
        item.ref, item.step.machine, item.step.assembly, item.step.part, item.position,
        item.as_found.text, item.found, item.as_specified.text, item.wanted, item.fitted,
        item.short, held,
    )  # fmt: skip


@command("audit", "stores audit")
def audit(ctx: typer.Context, json: AsJson = False) -> None:
    """Is everything accounted for? If not, each fault by name; exit status 1."""
    from stores import usecases
    from stores.planning.counts import stocktake
    from stores.storage.items import read_items
    from stores.storage.outwork import read_debts
    from stores.storage.search import read_bags

    with opened(ctx) as store:
        faults = usecases.audit(store)
        try:
            with store.reading() as connection:
                items = read_items(connection)
                taken = stocktake(items, read_bags(connection, items))
                owed = read_debts(connection)
        except (KeyError, TypeError, ValueError):
            if not faults:
                raise
            taken, owed = (
                None,
                [],
            )  # what cannot be read cannot be counted; the faults say what that is
    if json:
        show.as_json({"faults": faults, "stocktake": taken, "debts": [d.words for d in owed]})
        if faults:
            raise typer.Exit(1)
        return
    if taken is not None:
        show.say(f"{taken.pieces} pieces of {taken.items} items:")
        for name, number in taken.groups:
            show.say(f"  {number:>6}  {name}")
        matters = [*taken.open_matters, *(f"debt: {debt.words}" for debt in owed)]
        if matters:
            show.say("Open matters:")
            for matter in matters:
                show.paragraph(matter, bullet=True)
    for fault in faults:
        show.paragraph(f"FAULT  {fault}", rest="       ")
    if faults:
        raise typer.Exit(1)
    show.say("Everything is accounted for: no fault in the record.")


COMMAND_OF = {"reverse": "undo", "return": "back"}
"""Acts that a person knows by the command, not by their name in the record."""


@command("history", "stores history", "stores history --most 50", takes_minus=True)
def history(
    ctx: typer.Context,
    most: Annotated[
        str, typer.Option("--most", metavar="N", help="How many acts, the newest first.")
    ] = "20",
    csv: AsCsv = None,
    json: AsJson = False,
) -> None:
    """What was done, the newest first. An act that was undone stays, marked."""
    from stores.storage.acts import act_lines

    wanted = count(most) or 0
    if wanted < 1:
        raise BadValue(f"how many acts? At least 1, not {most[:20]}")
    with opened(ctx) as store, store.reading() as connection:
        acts = act_lines(connection, None if csv is not None else wanted)
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
        if not json:
            return
    if json:
        show.as_json(acts)
        return
    rows = []
    for act in acts:
        text = act.summary + (f": {act.reason}" if act.reason else "")
        if not act.stands:
            text = f"(undone by act {act.reversed_by}) {text}"
        done = COMMAND_OF.get(act.kind.value, act.kind.value)
        rows.append([str(act.number), show.as_date(act.happened_at), done, text])
    show.table(["Act", "Date", "What", ""], rows, right=[0])


@command(
    "rebuild",
    "stores rebuild",
    "stores rebuild Engine --pdf checklist.pdf",
    "stores rebuild --next",
    "stores rebuild --summary --pdf summary.pdf",
)
def rebuild(
    ctx: typer.Context,
    assembly: Annotated[
        str, typer.Argument(metavar="ASSEMBLY", help="Only this assembly and those below it.")
    ] = "",
    pdf: Annotated[
        str | None, typer.Option("--pdf", metavar="FILE", help="Print to a PDF.")
    ] = None,
    everything: Annotated[
        bool, typer.Option("--all", help="Steps that are back on the machine, too.")
    ] = False,
    only_next: Annotated[bool, typer.Option("--next", help="Only the next step to fit.")] = False,
    summary: Annotated[
        bool, typer.Option("--summary", help="On one page: each assembly and what holds it up.")
    ] = False,
    shown: Open = False,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """The rebuild checklist: the strip-down backwards, with bags, counts and cautions.

    A step stays on it until its pieces are on and tight, measured and signed for.
    """
    from stores.cli import rebuilding
    from stores.cli.paper import print_checklist, print_summary

    if summary and only_next:
        raise BadValue("--summary and --next: which is it?")
    with opened(ctx) as store, store.reading() as connection:
        name, stages, snags = rebuilding.stages_of(connection, machine, assembly)
        # Oil goes in when all is together: it is on the list of the whole machine only.
        whole = not assembly and not only_next
        oils = rebuilding.fills_of(connection, machine) if whole else []
    called = f"{name}, {stages[0].step.assembly}" if assembly and _one(stages) else name
    if summary:
        if pdf is not None:
            print_summary(stages, pdf, called, json_wanted=json, shown=shown)
        else:
            rebuilding.show_summary(stages, called, json_wanted=json)
        return
    listed = [stage for stage in stages if everything or not stage.finished]
    if only_next:
        listed = listed[:1]
    if pdf is not None:
        ends = (oils, snags) if whole else ((), ())
        print_checklist(listed, pdf, called, ends, json_wanted=json, shown=shown)
    elif json:
        show.as_json([rebuilding.stage_data(stage) for stage in listed])
    else:
        rebuilding.show_stages(listed, name, len(stages))
        if whole and snags:
            show.say()
            show.say("Before it is closed up:")
            rebuilding.show_snags(snags)
        rebuilding.show_fills(oils)


def _one(stages: "Sequence[Stage]") -> bool:
    return len({stage.step.assembly for stage in stages}) == 1
