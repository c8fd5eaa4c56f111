"""Reading a parts list in, and showing what was read."""

import contextlib
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import AsJson, Day, MachineName, asked, command, file_at
from stores.cli.files import AsCsv, to_csv
from stores.cli.wording import option
from stores.errors import BadValue

if TYPE_CHECKING:
    from stores.sheets import Sheet
    from stores.usecases.parts_lists import PartsListRead

__all__: list[str] = []

SHOWN = 40
"""Rows shown on the screen; the rest is counted, and whole in the CSV."""


@command(
    "parts",
    "stores order parts-list book.csv",
    'stores order parts-list book.xlsx --column what="Part" --accept',
    "stores order parts-list --csv parts.csv",
)
def parts(
    ctx: typer.Context,
    file: Annotated[
        str | None,
        typer.Argument(
            metavar="FILE", help="A CSV or XLSX; without it, what was read in.", show_default=False
        ),
    ] = None,
    accept: Annotated[
        bool, typer.Option("--accept", help="Read it in; else it is a trial.")
    ] = False,
    column: Annotated[
        list[str] | None,
        option("--column", "NAME=HEADING", "what, quantity, number, assembly or note."),
    ] = None,
    source: Annotated[str, option("--from", "NAME", "What the list is called.")] = "",
    sheet: Annotated[str, option("--sheet", "NAME", "Which sheet of a workbook.")] = "",
    without_refused: Annotated[
        bool, typer.Option("--without-refused", help="Leave out rows that cannot be read.")
    ] = False,
    csv: AsCsv = None,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Read in a parts list, the parts book's or a supplier's: first a trial.

    The trial says what becomes of each row: new, matched to an item, or refused, and why. Columns
    are found by their headings. With --accept all rows are read in, or none.
    """
    if file is None:
        if accept or column or source or sheet or without_refused:
            raise BadValue("which file? stores order parts-list book.csv --accept")
        _show_listed(ctx, csv, machine, json_wanted=json)
        return
    from stores.sheets import open_sheet
    from stores.usecases.context import is_trial
    from stores.usecases.parts_lists import PartRow, ReadPartsList, read_parts_list
    from stores.wording.parts_lists import FATE_HEADS, fate_cells

    path = file_at(file)
    rows = open_sheet(path, sheet)
    ask = ReadPartsList(
        rows, source or path.name, column or (), without_refused=without_refused,
        most=None if json else SHOWN, trial=not accept or is_trial(),
    )  # fmt: skip
    with contextlib.ExitStack() as stack:
        kept = stack.enter_context(_spooled()) if csv else None
        context = stack.enter_context(asked(ctx, machine, on))
        step = stack.enter_context(_progress_of(rows, "Reading the list"))

        def keep(row: PartRow) -> None:
            if kept:
                kept[0](fate_cells(row))

        reply = read_parts_list(context, ask, each=keep if kept else None, progress=step)
        if csv and kept:
            to_csv(csv, FATE_HEADS, kept[1](), quiet=json)
    _show_read(reply, json_wanted=json)


def _show_read(reply: "PartsListRead", *, json_wanted: bool) -> None:
    from stores.wording.parts_lists import read_in, trial

    if json_wanted:
        show.as_json(reply)
        return
    if not reply.trial:
        show.said(read_in(reply))
        return
    words = trial(reply)
    show.paragraph(f"Columns: {words.columns}", rest="  ")
    show.listing(words.rows)
    if words.more > 0:
        show.say(f"... and {words.more:,} more rows (all of them: --csv FILE)")
    for text in words.refused:
        show.paragraph(text, rest="  ")
    show.say(words.total)
    if words.mend:
        show.paragraph(words.mend, rest="  ")
    show.say("To read it in: the same command with --accept")


def _show_listed(
    ctx: typer.Context, csv: str | None, machine: str | None, *, json_wanted: bool
) -> None:
    from stores.usecases.parts_lists import ListParts, parts_lists
    from stores.wording.parts_lists import LIST_HEADS, cells_of, listing

    with asked(ctx, machine) as context:
        reply = parts_lists(context, ListParts(None if csv or json_wanted else SHOWN))
    if csv:
        to_csv(csv, LIST_HEADS, map(cells_of, reply.parts))
        return
    show.reply(reply, listing, json_wanted=json_wanted)
    if not json_wanted and reply.total > len(reply.parts):
        more = reply.total - len(reply.parts)
        show.say(f"... and {more:,} more rows (all of them: --csv FILE)")


@contextlib.contextmanager
def _spooled() -> Iterator[tuple[Callable[[Sequence[Any]], None], Callable[[], Iterator[Any]]]]:
    """Keep rows in a temporary file until they are wanted: nothing is half written."""
    import json
    import tempfile

    with tempfile.TemporaryFile("w+", encoding="utf-8") as file:

        def add(row: Sequence[Any]) -> None:
            file.write(json.dumps(list(row)) + "\n")

        def back() -> Iterator[Any]:
            file.seek(0)
            return (json.loads(line) for line in file)

        yield add, back


@contextlib.contextmanager
def _progress_of(sheet: "Sheet", words: str) -> Iterator[Callable[[], None] | None]:
    """Give what moves a progress bar along with the reading, on a terminal; None elsewhere."""
    from rich.console import Console

    console = Console(stderr=True)
    if not console.is_terminal:
        yield None
        return
    from rich.progress import Progress

    with Progress(console=console, transient=True) as bar:
        task = bar.add_task(words, total=None)

        def step() -> None:
            bar.update(task, completed=sheet.done, total=sheet.total or None)

        yield step
