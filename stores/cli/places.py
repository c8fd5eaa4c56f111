"""Which bag is in which box."""

from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, MachineName, command, file_at, opened
from stores.cli.lists import AsCsv, to_csv
from stores.cli.printed import Open, show_file, today
from stores.errors import NotFound
from stores.text import counted, plural

__all__: list[str] = []


@command(
    "places",
    "stores places",
    'stores places "box 3"',
    "stores places --pdf places.pdf",
    "stores places --csv places.csv",
)
def places(
    ctx: typer.Context,
    within: Annotated[
        str, typer.Argument(metavar="PLACE", help="Only this box, shelf, bag or firm.")
    ] = "",
    pdf: Annotated[
        str | None, typer.Option("--pdf", metavar="FILE", help="Print to a PDF.")
    ] = None,
    csv: AsCsv = None,
    shown: Open = False,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """Which bag is in which box, and what is in each: the index on the wall."""
    from stores.planning.places import HEADS, places_of
    from stores.storage.items import read_items
    from stores.storage.machines import machine_named

    with opened(ctx) as store, store.reading() as connection:
        on = machine_named(connection, machine).number if machine else None
        lines = places_of(read_items(connection, machine=on, verdicts=False), within)
    if not lines:
        raise NotFound(f"nothing is in {within!r}" if within else "nothing is in the stores yet")
    if csv is not None:
        to_csv(csv, HEADS, [line.row for line in lines], quiet=json)
    if pdf is not None:
        from stores.printing.places import write_places

        title = f"What is in {within}" if within else "Index of places"
        printed = write_places(lines, file_at(pdf), title=title, date=today())
        show_file(printed, json_wanted=json, shown=shown, data={"sheets": printed.sheets})
    elif json:
        show.as_json([dict(zip(HEADS, line.row, strict=True)) for line in lines])
    elif csv is None:
        pieces = counted(sum(line.pieces for line in lines))
        show.say(f"{plural(len(lines), 'place')}, {pieces}")
        for line in lines:
            inside = f"  in {line.inside}" if line.inside else ""
            of = line.steps if line.steps == "loose" else f"step {line.steps}"
            show.paragraph(
                f"{line.name}{inside}: {counted(line.pieces)}, {of}: {line.what}", rest="    "
            )
