"""Labels: of bags, boxes, large parts, verdicts, batches and wires, on any stock and printer."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import (
    AsJson,
    MachineName,
    command,
    count,
    file_at,
    opened,
    refuse_options,
)
from stores.cli.label_words import around, label_values
from stores.cli.printed import Open, free_name, many, show_file
from stores.errors import BadValue, NotFound

if TYPE_CHECKING:
    from stores.planning.bags import Bag
    from stores.storage import Store
    from stores.usecases.labels import Outcome

__all__: list[str] = []

STOCK = {
    "bag": "a4-21-63.5x38.1",
    "box": "a4-14-99.1x38.1",
    "tag": "tag-79x159",
    "condition": "a4-14-99.1x38.1",
    "batch": "a4-14-99.1x38.1",
    "flag": "a4-21-63.5x38.1",
}
"""The kinds of label, and the stock of each if none is named."""

Kind = Annotated[
    str,
    typer.Option("--as", metavar="KIND", help="bag, box, tag, condition, batch or flag."),
]
Stock = Annotated[
    str,
    typer.Option(
        "--stock", envvar="STORES_STOCK", metavar="NAME", help="The stock, by its geometry."
    ),
]
Templates = Annotated[
    str,
    typer.Option(
        "--templates",
        envvar="STORES_TEMPLATES",
        metavar="FOLDER",
        help="A folder of your own stock and layouts.",
    ),
]


@dataclass(frozen=True, slots=True)
class Sheet:
    """How labels are put on their stock."""

    stock: str
    start: int
    skip: tuple[int, ...]
    copies: int
    outlines: bool
    right_mm: float
    down_mm: float
    dpi: int | None
    templates: Path | None

    @property
    def options(self) -> dict[str, Any]:
        """The same as what the printing side takes: printing moves against the printer's way."""
        return {
            "stock": self.stock,
            "start": self.start,
            "skip": self.skip,
            "copies": self.copies,
            "dx_mm": -self.right_mm,
            "dy_mm": -self.down_mm,
            "outlines": self.outlines,
            "dpi": self.dpi,
            "templates": self.templates,
        }


@command(
    "labels",
    "stores labels",
    "stores labels --came-out",
    "stores labels A001N --start 5 --skip 7,9 --printer upstairs",
    'stores labels "box 3" --as box',
    "stores labels 7.1 --as tag",
    'stores labels "W7: green, dynamo to headlamp" --as flag --around "6 mm"',
    takes_minus=True,
)
def labels(
    ctx: typer.Context,
    what: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="WHAT",
            help="Bags; with --as: boxes, items, batches, or a wire's words.",
            show_default=False,
        ),
    ] = None,
    kind: Kind = "bag",
    out: Annotated[
        str | None,
        typer.Option(
            "--out", "-o", metavar="FILE", help="The PDF to write; by default the next free name."
        ),
    ] = None,
    everything: Annotated[
        bool, typer.Option("--all", help="All bags, also those whose label is up to date.")
    ] = False,
    stock: Stock = "",
    layout: Annotated[
        str, typer.Option("--layout", metavar="NAME", help="Another layout than the usual one.")
    ] = "",
    templates: Templates = "",
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
        str, typer.Option("--printer", metavar="NAME", help="Its offset and dots: stores printer.")
    ] = "",
    outlines: Annotated[bool, typer.Option("--outlines", help="Draw the labels' edges.")] = False,
    align: Annotated[
        bool, typer.Option("--align", help="A sheet to measure a printer's offset with.")
    ] = False,
    came_out: Annotated[
        bool, typer.Option("--came-out", help="Those made last came out: they count from now on.")
    ] = False,
    spoilt: Annotated[
        list[str] | None,
        typer.Option("--spoilt", metavar="BAG", help="They came out, but for this one; again."),
    ] = None,
    shown: Open = False,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """Labels as PDF; of bags, those that are new or changed since they were last printed.

    A bag's label counts as printed once you have said that it came out of the printer.
    """
    from stores import usecases
    from stores.printing.labels import write_labels

    named = list(what or [])
    refuse_options(named)
    if kind not in STOCK:
        raise BadValue(f"no label {kind!r}: there are {', '.join(STOCK)}")
    if thick and kind != "flag":
        raise BadValue("--around is the diameter of a cable or hose: with --as flag")
    if came_out or spoilt:
        if named or out or everything or kind != "bag":
            raise BadValue("--came-out and --spoilt go by themselves: they are about the last made")
        with opened(ctx) as store:
            _show_outcome(usecases.labels_came_out(store, spoilt or []), json_wanted=json)
        return
    path = file_at(out) if out else free_name("labels.pdf")
    with opened(ctx) as store:
        sheet = _sheet(
            store, stock or STOCK[kind], start, skip, copies, printer, templates, outlines=outlines
        )
        options = sheet.options | {"layout": layout or None}
        if align:
            _write_alignment(path, sheet, shown=shown, json_wanted=json)
        elif kind == "bag":
            due = usecases.due_bags(store, named, everything=everything)
            if due:
                printed = write_labels(due, path, **options)
                usecases.labels_made(store, due, path.name)
                _show_bags(printed, sheet, due, shown=shown, json_wanted=json)
            elif json:
                show.as_json({"file": None, "bags": []})
            else:
                show.say("Every bag's label is up to date. To print them all again: --all")
        else:
            with store.reading() as connection:
                values = label_values(connection, kind, named, machine)
            printed = write_labels(around(values, thick) if thick else values, path, **options)
            if not json:
                _say_printed(printed, sheet, many(len(values), f"{kind} label"))
            show_file(printed, json_wanted=json, shown=shown, data={"labels": printed.labels})


def _show_bags(
    printed: Any, sheet: Sheet, due: "list[Bag]", *, shown: bool, json_wanted: bool
) -> None:
    """Say which bags' labels were made, and which old ones come off."""
    if not json_wanted:
        listed = ", ".join(bag.code for bag in due[:8])
        more = f" and {len(due) - 8} more" if len(due) > 8 else ""
        _say_printed(printed, sheet, many(len(due), "label"), f": {listed}{more}")
        old = [bag.code for bag in due if bag.superseded]
        if old:
            show.paragraph(f"In place of the old label, take that off: {', '.join(old)}")
        show.say("Then: stores labels --came-out")
    data = {"bags": [bag.code for bag in due]}
    show_file(printed, json_wanted=json_wanted, shown=shown, data=data)


def _say_printed(printed: Any, sheet: Sheet, counted: str, more: str = "") -> None:
    """Say what was made, on how many sheets of what stock, and how to load them."""
    from stores.printing.templates import load_stock

    stock = load_stock(sheet.stock, sheet.templates)
    fed = many(printed.sheets, "sheet") if stock.kind == "sheet" else many(printed.labels, "piece")
    show.paragraph(f"{counted} on {fed}, {printed.stock}{more}")
    how = "Print at 100 %, not 'fit to page'"
    if stock.kind == "sheet" and sheet.start > 1:
        gone = "label 1 is" if sheet.start == 2 else f"labels 1 to {sheet.start - 1} are"
        how += f", the part-used sheet first, the way up that its {gone} gone"
    elif stock.kind != "sheet":
        how += f": the paper's size is the label's, {stock.label_width:g} mm wide"
    show.paragraph(how + ".")


def _sheet(
    store: "Store",
    stock: str,
    start: str,
    skip: str,
    copies: str,
    printer: str,
    templates: str,
    *,
    outlines: bool,
) -> Sheet:
    first, each = count(start) or 0, count(copies) or 0
    if first < 1:
        raise BadValue(f"labels are counted from 1, not {start}")
    if not 1 <= each <= 100:
        raise BadValue(f"copies: from 1 to 100, not {copies}")
    spoilt = tuple(count(part) or 0 for part in skip.replace(",", " ").split())
    if any(number < 1 for number in spoilt):
        raise BadValue(f"labels are counted from 1, not {skip}")
    folder = file_at(templates) if templates else None
    right = down = 0.0
    dpi: int | None = None
    if printer:
        known = _printer_named(store, printer)
        right, down, dpi = known.right_mm, known.down_mm, known.dpi or None
    return Sheet(stock, first, spoilt, each, outlines, right, down, dpi, folder)


def _printer_named(store: "Store", name: str) -> Any:
    from stores import queries
    from stores.storage.writer import fold

    with store.reading() as connection:
        listed = queries.printers(connection)
    found = [each for each in listed if fold(each.name).startswith(fold(name))]
    if len(found) != 1:
        names = ", ".join(each.name for each in listed) or "none"
        raise NotFound(f"no printer {name!r}; recorded: {names} (stores printer NAME --right MM)")
    return found[0]


def _write_alignment(path: Path, sheet: Sheet, *, shown: bool, json_wanted: bool) -> None:
    from stores.printing.labels import write_alignment

    printed = write_alignment(
        path,
        stock=sheet.stock,
        dx_mm=-sheet.right_mm,
        dy_mm=-sheet.down_mm,
        templates=sheet.templates,
    )
    if not json_wanted:
        show.paragraph(
            f"An alignment sheet for {printed.stock}: print it on one, at 100 %, then: "
            "stores printer NAME --right MM --down MM, with what you read off."
        )
    show_file(printed, json_wanted=json_wanted, shown=shown, data={})


def _show_outcome(outcome: "Outcome", *, json_wanted: bool) -> None:
    if json_wanted:
        show.as_json(outcome)
        return
    if outcome.good:
        show.paragraph(f"Printed: {', '.join(outcome.good)}", rest="  ")
    if outcome.spoilt:
        show.paragraph(f"Spoilt, due again: {', '.join(outcome.spoilt)}", rest="  ")
