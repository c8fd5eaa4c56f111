"""The inventory: on the screen, on paper, for a spreadsheet."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, MachineName, asked, command, file_at
from stores.cli.files import Open, show_file, to_csv
from stores.cli.wording import Of
from stores.papers import today

if TYPE_CHECKING:
    from stores.planning.inventory import Inventory

__all__: list[str] = []


@command(
    "inventory",
    "stores stock inventory",
    'stores stock inventory "drawer 3"',
    "stores stock inventory M6 --of new",
    "stores stock inventory --pdf inventory.pdf --xlsx inventory.xlsx",
)
def inventory(
    ctx: typer.Context,
    what: Annotated[
        str, typer.Argument(metavar="WHAT", help="Only this place, this size, or these words.")
    ] = "",
    of: Of = None,
    pdf: Annotated[str | None, typer.Option("--pdf", metavar="FILE", help="As PDF.")] = None,
    csv: Annotated[str | None, typer.Option("--csv", metavar="FILE", help="As CSV.")] = None,
    xlsx: Annotated[
        str | None, typer.Option("--xlsx", metavar="FILE", help="As a spreadsheet.")
    ] = None,
    shown: Open = False,
    machine: MachineName = None,
    json: AsJson = False,
) -> None:
    """One list of everything: what came off the machines, loose pieces, stock and consumables.

    Place by place, with condition and count, and what it costs new where a price is known. What is
    fitted is not in it. With -m: what came off that machine alone.
    """
    from stores.usecases.inventory import TakeInventory
    from stores.usecases.inventory import inventory as take

    with asked(ctx, machine) as context:
        reply = take(context, TakeInventory(what, of))
    if named := [each for each in (pdf, csv, xlsx) if each is not None]:
        from stores.printing.files import refuse_unwritable

        for each in named:  # before the first is written, and said to be
            refuse_unwritable(file_at(each))
    if json:
        files = _write(reply, pdf, csv, xlsx, quiet=True)
        show.as_json(show.plain(reply) | {"files": [str(path.absolute()) for path in files]})
    elif pdf is not None or csv is not None or xlsx is not None:
        show.say(f"{reply.title}: {reply.counts}")
        files = _write(reply, pdf, csv, xlsx, quiet=False)
        if shown and pdf is not None:
            typer.launch(str(files[0].absolute()))
    else:
        _show(reply)


def _write(
    reply: "Inventory", pdf: str | None, csv: str | None, xlsx: str | None, *, quiet: bool
) -> list[Path]:
    from stores.planning.inventory import HEADS

    written: list[Path] = []
    if pdf is not None:
        from stores.printing.inventory import write_inventory

        printed = write_inventory(reply, file_at(pdf), date=today())
        written.append(printed.path)
        if not quiet:
            show_file(printed, json_wanted=False, data={})
    if csv is not None:
        from stores.printing.inventory import cells

        to_csv(csv, HEADS, cells(reply), quiet=quiet)
        written.append(file_at(csv))
    if xlsx is not None:
        from stores.printing.inventory import write_inventory_xlsx

        printed = write_inventory_xlsx(reply, file_at(xlsx))
        written.append(printed.path)
        if not quiet:
            show_file(printed, json_wanted=False, data={})
    return written


def _show(reply: "Inventory") -> None:
    from stores.wording.inventory import heading, place, place_rows

    for line in heading(reply):
        show.paragraph(line)
    valued = reply.unpriced < reply.lines
    for each in reply.places:
        show.say()
        show.paragraph(place(each, reply.currency))
        show.listing(place_rows(each, valued=valued))
