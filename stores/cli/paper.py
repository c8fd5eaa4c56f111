"""What is printed: labels, the checklist, the shopping list."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, Day, command, day, file_at, opened
from stores.cli.printed import show_file, today
from stores.errors import BadValue
from stores.text import plural

if TYPE_CHECKING:
    from stores.model.snags import Snag
    from stores.planning.figures import Fill
    from stores.planning.rebuild import Stage

__all__: list[str] = ["print_checklist", "print_summary"]


@command(
    "printer",
    "stores printer upstairs --right 0.5 --down -1.2",
    "stores printer thermal --dpi 203",
    "stores printer",
)
def printer(
    ctx: typer.Context,
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="What you call it; without it, all are listed.")
    ] = "",
    right: Annotated[
        float | None,
        typer.Option(
            "--right", metavar="MM", help="How far it prints to the right; - to the left."
        ),
    ] = None,
    down: Annotated[
        float | None, typer.Option("--down", metavar="MM", help="How far below; - above.")
    ] = None,
    dpi: Annotated[
        int | None, typer.Option("--dpi", metavar="N", help="Dots an inch of a label printer.")
    ] = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Record how far a printer is out; its sheets are shifted the other way.

    Measure it on the sheet of 'stores labels --align'.
    """
    from stores import usecases
    from stores.storage.labels import read_printers

    if not name.strip():
        if right is not None or down is not None or dpi is not None:
            raise BadValue("name the printer first: stores printer upstairs --right 0.5")
        with opened(ctx) as store, store.reading() as connection:
            listed = read_printers(connection)
        if json:
            show.as_json(listed)
        elif not listed:
            show.say("No printer is recorded: stores printer NAME --right 0.5 --down -1.2")
        else:
            show.table(
                ["Printer", "Right", "Down", "Dots an inch"],
                [
                    [p.name, f"{p.right_mm:+g} mm", f"{p.down_mm:+g} mm", str(p.dpi or "")]
                    for p in listed
                ],
                right=[1, 2, 3],
            )
        return
    with opened(ctx) as store:
        reply = usecases.set_printer(store, name, right_mm=right, down_mm=down, dpi=dpi, at=day(on))
    show.done(reply, json_wanted=json)


def print_checklist(
    stages: "Sequence[Stage]",
    pdf: str,
    name: str,
    ends: "tuple[Sequence[Fill], Sequence[Snag]]" = ((), ()),
    *,
    json_wanted: bool,
    shown: bool = False,
) -> None:
    """Write the checklist as PDF and say where; ``ends``: the oil and the snags of no step."""
    from stores.printing.checklist import write_checklist

    printed = write_checklist(
        stages,
        file_at(pdf),
        title=f"Rebuild checklist: {name}",
        date=today(),
        oils=ends[0],
        snags=ends[1],
    )
    if not json_wanted:
        sheets = plural(printed.sheets, "sheet")
        show.say(f"Rebuild checklist of {name}: {plural(len(stages), 'step')} on {sheets} of A4")
    show_file(printed, json_wanted=json_wanted, shown=shown, data={"steps": len(stages)})


def print_summary(
    stages: "Sequence[Stage]", pdf: str, name: str, *, json_wanted: bool, shown: bool = False
) -> None:
    """Write the summary as PDF and say where."""
    from stores.printing.rebuild_summary import write_summary

    printed = write_summary(stages, file_at(pdf), title=f"Rebuild summary: {name}", date=today())
    if not json_wanted:
        show.say(f"Rebuild summary of {name}: {plural(len(stages), 'step')} on one sheet of A4")
    show_file(printed, json_wanted=json_wanted, shown=shown, data={"steps": len(stages)})
