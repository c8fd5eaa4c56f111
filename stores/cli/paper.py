"""What is printed: labels, the checklist, the shopping list."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import AsJson, MachineName, command, count, file_at, opened
from stores.errors import BadValue

if TYPE_CHECKING:
    from stores.planning.oils import Fill
    from stores.planning.rebuild import Stage
    from stores.services.labels import Outcome

__all__: list[str] = ["print_checklist"]


def _today() -> str:
    today = date.today()  # noqa: DTZ011 - the day on the workshop's wall
    return f"{today.day} {today:%b %Y}"


def _free(name: str) -> Path:
    """Give the first free name here: sheets that are not printed yet are not written over."""
    path, number = Path(name), 1
    while path.exists():
        number += 1
        path = Path(name).with_stem(f"{Path(name).stem}-{number}")
    return path


def _many(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def _printed(printed: Any, *, json_wanted: bool, data: dict[str, Any]) -> None:
    path = Path(printed.path).absolute()
    if json_wanted:
        show.as_json({"file": str(path), "warnings": list(printed.warnings)} | data)
        return
    for warning in printed.warnings:
        show.paragraph(warning, first="! ", rest="  ")
    show.say(str(path))


@command(
    "labels",
    "stores labels",
    "stores labels --came-out",
    "stores labels --spoilt A001N",
    "stores labels A001N --start 5",
)
def labels(
    ctx: typer.Context,
    codes: Annotated[
        list[str] | None,
        typer.Argument(metavar="BAG", help="Only these bags.", show_default=False),
    ] = None,
    out: Annotated[
        str | None,
        typer.Option(
            "--out", "-o", metavar="FILE", help="The PDF to write; by default the next free name."
        ),
    ] = None,
    everything: Annotated[
        bool, typer.Option("--all", help="All bags, also those whose label is up to date.")
    ] = False,
    stock: Annotated[
        str, typer.Option(metavar="NAME", help="The label sheet, by its geometry.")
    ] = "a4-21-63.5x38.1",
    start: Annotated[
        str, typer.Option(metavar="N", help="First free label of a part-used sheet.")
    ] = "1",
    outlines: Annotated[bool, typer.Option("--outlines", help="Draw the labels' edges.")] = False,
    came_out: Annotated[
        bool, typer.Option("--came-out", help="Those made last came out: they count from now on.")
    ] = False,
    spoilt: Annotated[
        list[str] | None,
        typer.Option("--spoilt", metavar="BAG", help="They came out, but for this one; again."),
    ] = None,
    json: AsJson = False,
) -> None:
    """Bag labels as PDF: those that are new or changed since they were last printed.

    A label counts as printed once you have said that it came out of the printer.
    """
    from stores import services
    from stores.printing.labels import write_bag_labels

    first = count(start) or 0
    if first < 1:
        raise BadValue(f"labels are counted from 1, not {start}")
    if came_out or spoilt:
        if codes or out or everything:
            raise BadValue("--came-out and --spoilt go by themselves: they are about the last made")
        with opened(ctx) as store:
            _show_outcome(services.labels_came_out(store, spoilt or []), json_wanted=json)
        return
    path = file_at(out) if out else _free("labels.pdf")
    with opened(ctx) as store:
        due = services.due_bags(store, codes or [], everything=everything)
        if not due:
            if json:
                show.as_json({"file": None, "bags": []})
            else:
                show.say("Every bag's label is up to date. To print them all again: --all")
            return
        printed = write_bag_labels(due, path, stock=stock, start=first, outlines=outlines)
        services.labels_made(store, due, path.name)
    if not json:
        listed = ", ".join(bag.code for bag in due[:8])
        more = f" and {len(due) - 8} more" if len(due) > 8 else ""
        show.paragraph(
            f"{_many(len(due), 'label')} on {_many(printed.sheets, 'sheet')}, {printed.stock}: "
            f"{listed}{more}"
        )
        old = [bag.code for bag in due if bag.superseded]
        if old:
            show.paragraph(f"In place of the old label, take that off: {', '.join(old)}")
        show.say("Print at 100 %, not 'fit to page'. Then: stores labels --came-out")
    _printed(printed, json_wanted=json, data={"bags": [bag.code for bag in due]})


def _show_outcome(outcome: "Outcome", *, json_wanted: bool) -> None:
    if json_wanted:
        show.as_json(outcome)
        return
    if outcome.good:
        show.paragraph(f"Printed: {', '.join(outcome.good)}", rest="  ")
    if outcome.spoilt:
        show.paragraph(f"Spoilt, due again: {', '.join(outcome.spoilt)}", rest="  ")


def print_checklist(
    stages: "Sequence[Stage]",
    pdf: str,
    name: str,
    *,
    oils: "Sequence[Fill]" = (),
    json_wanted: bool,
) -> None:
    """Write the checklist as PDF and say where."""
    from stores.printing.checklist import write_checklist

    printed = write_checklist(
        stages, file_at(pdf), title=f"Rebuild checklist: {name}", date=_today(), oils=oils
    )
    if not json_wanted:
        sheets = _many(printed.sheets, "sheet")
        show.say(f"Rebuild checklist of {name}: {_many(len(stages), 'step')} on {sheets}")
    _printed(printed, json_wanted=json_wanted, data={"steps": len(stages)})


@command(
    "shopping",
    "stores shopping",
    "stores shopping --pdf list.pdf --csv list.csv --xlsx list.xlsx",
)
def shopping(
    ctx: typer.Context,
    pdf: Annotated[str | None, typer.Option("--pdf", metavar="FILE", help="As PDF.")] = None,
    csv: Annotated[str | None, typer.Option("--csv", metavar="FILE", help="As CSV.")] = None,
    xlsx: Annotated[
        str | None, typer.Option("--xlsx", metavar="FILE", help="As a spreadsheet.")
    ] = None,
    cans: Annotated[
        str, typer.Option("--cans", metavar="SIZES", help="What oil is sold in: 500ml,1l,5l.")
    ] = "",
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """The shopping list: what the rebuild needs and the stores cannot supply, oil in whole cans."""
    from stores import queries
    from stores.planning.oils import SIZES_ML, oil_lines, oil_to_buy, read_sizes
    from stores.planning.shopping import shopping as shortages

    sizes = read_sizes(cans) if cans else SIZES_ML
    with opened(ctx) as store, store.reading() as connection:
        on = queries.machine_named(connection, machine)
        lines = shortages(queries.items(connection, machine=on.number))
        sumps = queries.sumps(connection, on.number)
    oil = oil_to_buy(sumps, sizes)
    oils = oil_lines(oil)
    written = []
    if pdf is not None:
        from stores.printing.shopping import write_shopping

        printed = write_shopping(
            lines, file_at(pdf), title=f"Shopping list: {on.name}", date=_today(), oils=oils
        )
        written.append(printed)
    if csv is not None or xlsx is not None:
        from stores.printing.tables import write_csv, write_xlsx

        if csv is not None:
            written.append(write_csv(lines, file_at(csv), oils=oils))
        if xlsx is not None:
            written.append(write_xlsx(lines, file_at(xlsx), oils=oils))
    if json:
        show.as_json(
            {
                "files": [str(Path(p.path).absolute()) for p in written],
                "lines": [
                    {
                        "quantity": line.quantity,
                        "what": line.text,
                        "kind": line.kind,
                        "why": line.reasons,
                        "for": [need.item.ref for need in line.needs],
                    }
                    for line in lines
                ],
                "oil": oils,
            }
        )
        return
    if written:
        show.say(f"Shopping list of {on.name}: {_many(len(lines) + len(oils), 'line')}")
        for printed in written:
            _printed(printed, json_wanted=False, data={})
        return
    if not lines and not oils:
        show.say(f"Nothing to buy for {on.name}.")
        return
    show.say(
        f"Shopping list of {on.name}: {_many(len(lines), 'line')}, "
        f"{_many(sum(line.quantity for line in lines), 'piece')}"
    )
    if lines:
        show.table(
            ["Qty", "What", "Why", "For"],
            [[str(line.quantity), line.text, line.reasons, line.refs] for line in lines],
            right=[0],
        )
    if oils:
        show.say()
        show.table(
            ["Qty", "Oil", "Why", "For"],
            [
                [
                    "?" if line.quantity is None else str(line.quantity),
                    line.text,
                    line.why,
                    line.sumps,
                ]
                for line in oils
            ],
            right=[0],
        )
        for said in oil.assumptions:
            if "only the" in said:
                show.paragraph(said, bullet=True)
        show.paragraph(oil.cautions[0][:1].upper() + oil.cautions[0][1:], first="! ", rest="  ")
