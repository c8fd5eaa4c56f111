"""Counting a box or shelf."""

from pathlib import Path
from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, Day, MachineName, asked, command, file_at, refuse_options
from stores.cli.lists import AsCsv, to_csv
from stores.cli.wording import option
from stores.errors import BadValue, NotFound

__all__: list[str] = []


@command(
    "count",
    'stores count "box 3" A001N A003J',
    "stores count A001N 1.2=4 1.3=2",
    'stores count "shelf 2" --file scanned.txt --accept -n "spring count"',
)
def count(
    ctx: typer.Context,
    place: Annotated[str, typer.Argument(metavar="PLACE", help="A bag, box, shelf, or bench.")],
    scanned: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="CODES", help="Bag codes, box names, items as 7.2=3.", show_default=False
        ),
    ] = None,
    file: Annotated[str, option("--file", "FILE", "A code a line; - reads what is typed.")] = "",
    accept: Annotated[
        bool, typer.Option("--accept", help="Record it; else only the differences are shown.")
    ] = False,
    note: Annotated[str, typer.Option("--note", "-n", help="Why they differ.")] = "",
    csv: AsCsv = None,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Count a box or shelf: what is expected, found, missing, strange.

    With --accept what is missing is recorded lost, and what is too many comes back from there, or
    else from unknown origin; a bag found here is recorded here.
    """
    from stores.usecases import counts as use
    from stores.wording import counts as words

    texts = list(scanned or [])
    refuse_options([place, *texts])
    if file:
        texts += _lines_of(file)
    reply: use.PlaceCounted | use.PlaceCompared
    if not texts and not accept and not json:
        show.paragraph(words.uncounted)
    with asked(ctx, machine, on) as context:
        if accept:
            reply = use.count_place(context, use.CountPlace(place, texts, note))
        else:
            reply = use.compare_place(context, use.ComparePlace(place, texts))
    if csv is not None:
        to_csv(csv, words.HEADS, words.rows(reply), quiet=json)
    if json:
        show.as_json(reply)
        return
    if reply.lines:
        show.listing(words.listing(reply))
    if isinstance(reply, use.PlaceCounted):
        show.said(words.recorded(reply))
    else:
        for line in words.compared(reply):
            show.say(line)


def _lines_of(file: str) -> list[str]:
    try:
        if file == "-":
            text = typer.get_text_stream("stdin").read()
        else:
            path: Path = file_at(file)
            if not path.is_file():
                raise NotFound(f"no file {path}: give a text file with a code a line")
            text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise BadValue(f"cannot read {file}: {error}") from None
    return [line.strip() for line in text.splitlines() if line.strip()]
