"""Reading a parts list in, and showing what was read."""

import contextlib
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import AsJson, Day, MachineName, command, day, file_at, opened
from stores.cli.lists import AsCsv, to_csv
from stores.cli.wording import option
from stores.errors import BadValue

if TYPE_CHECKING:
    from stores.planning.parts_list import Fate
    from stores.sheets import Sheet
    from stores.usecases import Read

__all__ = ["progress_of"]

SHOWN = 40
"""Rows shown on the screen; the rest is counted, and whole in the CSV."""

HEADS = ("Line", "Fate", "Quantity", "What", "Number", "Assembly", "Which")


@command(
    "parts",
    "stores parts book.csv",
    'stores parts book.xlsx --column what="Part" --accept',
    "stores parts --csv parts.csv",
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
            raise BadValue("which file? stores parts book.csv --accept")
        _show_listed(ctx, csv, machine, json_wanted=json)
        return
    from stores import usecases
    from stores.sheets import open_sheet

    path = file_at(file)
    rows = open_sheet(path, sheet)
    fates: list[Fate] = []
    with contextlib.ExitStack() as stack:
        kept = stack.enter_context(_spooled()) if csv else None
        store = stack.enter_context(opened(ctx))
        step = stack.enter_context(progress_of(rows, "Reading the list"))

        def take(fate: "Fate") -> None:
            if len(fates) < SHOWN or json:
                fates.append(fate)
            if kept:
                kept[0](_row(fate))

        read = usecases.read_list(
            store,
            rows,
            source or path.name,
            chosen=_chosen(column or []),
            accept=accept,
            without_refused=without_refused,
            machine=machine,
            each=take,
            progress=step,
            at=day(on),
        )
        if csv and kept:
            to_csv(csv, HEADS, kept[1](), quiet=json)
    _show_read(read, fates, json_wanted=json)


def _show_read(read: "Read", fates: "Sequence[Fate]", *, json_wanted: bool) -> None:
    if json_wanted:
        show.as_json(
            {
                "machine": read.machine,
                "columns": read.columns,
                "rows": read.counts,
                "act": read.done.act if read.done else None,
                "fates": [dict(zip(HEADS, _row(fate), strict=True)) for fate in fates],
            }
        )
        return
    if read.done:
        show.done(read.done, json_wanted=False)
        return
    show.paragraph(f"Columns: {read.columns}", rest="  ")
    show.table(
        ["Line", "Fate", "Qty", "What", ""],
        [[str(r[0]), r[1], str(r[2]), str(r[3]), r[6]] for r in map(_row, fates)],
        right=[0, 2],
    )
    total = sum(read.counts.values()) - read.counts["empty"]
    if total > len(fates):
        show.say(f"... and {total - len(fates):,} more rows (all of them: --csv FILE)")
    late = [fate for fate in read.refused if fate not in fates]
    for fate in late:
        show.paragraph(f"line {fate.line} refused: {fate.reason}", rest="  ")
    said = ", ".join(f"{count:,} {name}" for name, count in read.counts.items() if count)
    show.say(f"Trial for {read.machine}: {said or 'no rows'}. Nothing was written.")
    if read.counts["refused"]:
        show.paragraph("Mend the refused rows, or add --without-refused.", rest="  ")
    show.say("To read it in: the same command with --accept")


def _row(fate: "Fate") -> tuple[Any, ...]:
    part = fate.part
    if part is None:
        return fate.line, fate.outcome.value, "", "", "", "", fate.reason
    count = part.quantity or "A/R"
    return (
        fate.line, fate.outcome.value, count, part.text, part.reference, part.assembly, fate.reason,
    )  # fmt: skip


def _chosen(texts: Sequence[str]) -> dict[str, str]:
    chosen = {}
    for text in texts:
        name, equals, heading = text.partition("=")
        if not equals or not heading.strip():
            raise BadValue(f'--column {text[:40]!r}: write it as what="Part name"')
        chosen[name.strip().casefold()] = heading
    return chosen


def _show_listed(
    ctx: typer.Context, csv: str | None, machine: str | None, *, json_wanted: bool
) -> None:
    from itertools import islice

    from stores.storage.machines import machine_named
    from stores.storage.parts_lists import listed_parts

    heads = ("List", "Line", "Number", "Quantity", "What", "Assembly", "Item", "Note")
    with opened(ctx) as store, store.reading() as connection:
        on = machine_named(connection, machine)
        rows = (
            (
                source, part.line, part.reference, part.quantity or "A/R", part.text,
                part.assembly, ref, part.note,
            )
            for source, part, ref in listed_parts(connection, on.number)
        )  # fmt: skip
        if csv:
            to_csv(csv, heads, rows)
            return
        if json_wanted:
            show.as_json([dict(zip(heads, row, strict=True)) for row in rows])
            return
        shown = list(islice(rows, SHOWN))
        more = sum(1 for _ in rows)
    if not shown:
        show.say(f"No parts list was read in for {on.name}: stores parts FILE")
        return
    show.table(
        ["List", "Line", "Number", "Qty", "What", "Item"],
        [[str(cell) for cell in (*row[:5], row[6])] for row in shown],
        right=[1, 3],
    )
    if more:
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
def progress_of(sheet: "Sheet", words: str) -> Iterator[Callable[[], None] | None]:
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
