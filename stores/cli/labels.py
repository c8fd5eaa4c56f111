"""Labels: of bags, boxes, drawers, packs, parts, verdicts, batches, wires; stock and printers."""

import contextlib
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import (
    AsJson,
    Day,
    MachineName,
    TemplateFolder,
    asked,
    command,
    file_at,
    refuse_options,
)
from stores.cli.files import Open, free_name, show_file
from stores.cli.wording import option
from stores.errors import BadValue

if TYPE_CHECKING:
    from stores.model.labels import LabelSheet
    from stores.usecases.labels import Labels

__all__: list[str] = []

Kind = Annotated[
    str,
    typer.Option(
        "--as",
        metavar="KIND",
        help="bag, box, place, pack, tag, condition, batch or flag; by default what fits WHAT.",
    ),
]
Stock = Annotated[
    str,
    typer.Option(
        "--stock",
        envvar="STORES_STOCK",
        metavar="NAME",
        help="What they are printed on: roll-57, a4-24-70x37 ...",
    ),
]


@command(
    "labels",
    "stores labels",
    "stores labels --printed",
    "stores labels --printed labels-2.pdf --spoilt A001N",
    "stores labels A001N --start 5 --skip 7,9 --printer upstairs",
    'stores labels "box 3" "box 4"',
    'stores labels "drawer 3" "tin 2"',
    "stores labels 0.7",
    "stores labels 7.1 --as tag",
    'stores labels "W7: green, dynamo to headlamp" --as flag --around "6 mm"',
    takes_minus=True,
    records=True,
)
def labels(
    ctx: typer.Context,
    what: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="WHAT",
            help="Bags, boxes, drawers, 0.7 of stock; with --as also items, batches, a wire's "
            "words; with --printed: files.",
            show_default=False,
        ),
    ] = None,
    kind: Kind = "",
    out: Annotated[
        str | None,
        typer.Option(
            "--pdf", "-o", metavar="FILE", help="The PDF to write; by default the next free name."
        ),
    ] = None,
    everything: Annotated[
        bool, typer.Option("--all", help="All bags, also those whose label is up to date.")
    ] = False,
    stock: Stock = "",
    layout: Annotated[
        str, typer.Option("--layout", metavar="NAME", help="Another layout than the usual one.")
    ] = "",
    templates: TemplateFolder = "",
    thick: Annotated[
        str,
        typer.Option("--around", metavar="SIZE", help="How thick a flag's cable or hose is: 6 mm."),
    ] = "",
    start: Annotated[
        str, typer.Option(metavar="N", help="First free label of a part-used sheet.")
    ] = "1",
    skip: Annotated[
        str, typer.Option("--skip", metavar="N,N", help="Spoilt labels of the sheet.")
    ] = "",
    copies: Annotated[str, typer.Option("--copies", metavar="N", help="Of each label.")] = "1",
    printer: Annotated[
        str,
        typer.Option(
            "--printer", metavar="NAME", help="Which printer, as in stores record printer."
        ),
    ] = "",
    outlines: Annotated[bool, typer.Option("--outlines", help="Draw the labels' edges.")] = False,
    align: Annotated[
        bool, typer.Option("--align", help="A sheet to measure a printer's offset with.")
    ] = False,
    came_out: Annotated[
        bool,
        typer.Option(
            "--printed",
            "--came-out",
            help="They printed properly: all that wait, or the files named.",
        ),
    ] = False,
    spoilt: Annotated[
        list[str] | None,
        typer.Option(
            "--spoilt", metavar="BAG", help="All printed properly but this one: it is due again."
        ),
    ] = None,
    shown: Open = False,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """Labels as PDF; of bags, those that are new or changed since they were last printed.

    A drawer, tin, shelf or kit that holds stock says the sizes in it; one thing in stock says when
    it was opened, its use-by date and its hazards.

    A bag's label counts as printed once you have said so: --printed is about every file made since
    you last said it, or about those that you name.
    """
    from stores.usecases.labels import (
        AskLabels,
        AskSheet,
        MakeLabels,
        SayOut,
        label_sheet,
        labels_came_out,
        labels_made,
    )
    from stores.usecases.labels import labels as ask_labels
    from stores.usecases.templates import template_folder
    from stores.wording.labels import came_out as say_out

    named = list(what or [])
    refuse_options(named)
    with asked(ctx, machine) as context, _tried_aside() as aside:
        if came_out or spoilt:
            if out or everything or kind not in ("", "bag"):
                raise BadValue("--printed and --spoilt go by themselves: they are about files made")
            answer = labels_came_out(context, SayOut(spoilt=spoilt or (), sheets=named))
            show.reply(answer, say_out, json_wanted=json)
            return
        path = file_at(out) if out else free_name("labels.pdf")
        if aside:
            path = aside / path.name
        folder = template_folder(context.store.name, str(file_at(templates)) if templates else "")
        sheet = AskSheet(stock, start, skip, copies, printer)
        ask = AskLabels(kind, named, everything=everything, around=thick, sheet=sheet)
        if align:
            on = label_sheet(context, ask)
            _print_alignment(on, path, folder, shown=shown, json_wanted=json, kept=aside is None)
            return
        reply = ask_labels(context, ask)
        if reply.labels:
            printed = _print(
                reply, path, folder, layout=layout, outlines=outlines, json_wanted=json
            )
            if reply.kind == "bag":
                digests = {bag.code: bag.digest for bag in reply.bags}
                labels_made(context, MakeLabels(digests=digests, file=path.name))
                data: dict[str, Any] = {"bags": list(digests), "trial": aside is not None}
            else:
                data = {"labels": printed.labels, "trial": aside is not None}
            show_file(printed, json_wanted=json, shown=shown, data=data, kept=aside is None)
        elif json:
            show.as_json({"file": None, "bags": [], "trial": aside is not None})
        else:
            show.say("Every bag's label is up to date. To print them all again: --all")


@contextlib.contextmanager
def _tried_aside() -> Iterator[Path | None]:
    """Give where a tried sheet is laid out, a folder that goes again; None for one that stays."""
    from stores.usecases.context import is_trial

    if not is_trial():
        yield None
        return
    with tempfile.TemporaryDirectory(prefix="stores-") as folder:
        yield Path(folder)


def _print(
    reply: "Labels",
    path: Path,
    templates: Path | None,
    *,
    layout: str,
    outlines: bool,
    json_wanted: bool,
) -> Any:
    """Write labels as PDF and say what was made."""
    from stores.printing.labels import write_labels
    from stores.printing.templates import load_stock
    from stores.wording.labels import made

    sheet = reply.sheet
    printed = write_labels(
        reply.labels,
        path,
        layout=layout or None,
        stock=sheet.stock,
        start=sheet.start,
        skip=sheet.skip,
        copies=sheet.copies,
        dx_mm=sheet.shift_mm[0],
        dy_mm=sheet.shift_mm[1],
        outlines=outlines,
        dpi=sheet.dpi,
        templates=templates,
    )
    if not json_wanted:
        stock = load_stock(sheet.stock, templates)
        for line in made(
            reply,
            sheets=printed.sheets,
            pieces=printed.labels,
            stock=printed.stock,
            is_sheet=stock.kind == "sheet",
            width_mm=stock.label_width,
        ):
            show.paragraph(line)
    return printed


def _print_alignment(
    sheet: "LabelSheet",
    path: Path,
    templates: Path | None,
    *,
    shown: bool,
    json_wanted: bool,
    kept: bool,
) -> None:
    from stores.papers import write_offset_sheet
    from stores.printing.templates import load_stock
    from stores.wording.labels import alignment, offset_command

    printed = write_offset_sheet(sheet, path, templates)
    if not json_wanted:
        is_sheet = load_stock(sheet.stock, templates).kind == "sheet"
        printer = sheet.printer.name if sheet.printer else ""
        for line in alignment(printed.stock, is_sheet=is_sheet, printer=printer):
            show.paragraph(line, rest="   ")
        show.paragraph(offset_command(printer), first="   ", rest="   ")
    show_file(printed, json_wanted=json_wanted, shown=shown, data={"trial": not kept}, kept=kept)


@command(
    "printer",
    "stores record printer upstairs --right 0.5 --down -1.2",
    "stores record printer thermal --dpi 203",
    "stores record printer",
)
def printer(
    ctx: typer.Context,
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="What you call it; without it, all are listed.")
    ] = "",
    right: Annotated[
        str, option("--right", "MM", "How far it prints to the right; - to the left.")
    ] = "",
    down: Annotated[str, option("--down", "MM", "How far below; - above.")] = "",
    dpi: Annotated[str, option("--dpi", "N", "Dots an inch of a label printer.")] = "",
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record how far a printer is out; its sheets are shifted the other way.

    Measure it on the sheet of 'stores labels --align'.
    """
    from stores.usecases.labels import SetPrinter, printers, set_printer
    from stores.wording.labels import printer_recorded, printers_listed

    with asked(ctx, on=on) as context:
        if name.strip() or right or down or dpi:
            ask = SetPrinter(name, right, down, dpi)
            show.reply(set_printer(context, ask), printer_recorded, json_wanted=json)
        else:
            show.reply(printers(context), printers_listed, json_wanted=json)
