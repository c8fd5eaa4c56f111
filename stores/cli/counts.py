"""Counting a box or shelf."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stores.cli import show
from stores.cli.app import (
    AsJson,
    Day,
    MachineName,
    asked,
    at_a_terminal,
    command,
    file_at,
    refuse_options,
)
from stores.cli.files import AsCsv, to_csv
from stores.cli.wording import option
from stores.errors import BadValue, NotFound

if TYPE_CHECKING:
    from stores.usecases.context import Context
    from stores.usecases.counts import CountPlace, PlaceCompared

__all__: list[str] = []


@command(
    "count",
    'stores place count "box 3" A001N A003J',
    "stores place count A001N 1.2=4 1.3=2",
    'stores place count "shelf 2" --file scanned.txt --accept -n "spring count"',
    'stores place count A001N --as-listed-but "1.2: 3, 1.3: none"',
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
    but: Annotated[
        str | None,
        option(
            "--as-listed-but",
            "LIST",
            "All is there, except: '1.2: 3, 2.1: none'; '' if nothing differs.",
        ),
    ] = None,
    accept: Annotated[
        bool, typer.Option("--accept", help="Record it; else only the differences are shown.")
    ] = False,
    note: Annotated[str, typer.Option("--note", "-n", help="Why they differ.")] = "",
    csv: AsCsv = None,
    machine: MachineName = None,
    on: Day = None,
    json: AsJson = False,
) -> None:
    """Count a box or shelf: what is expected, found, missing, extra.

    With --as-listed-but only what differs is typed; in a terminal the differences are shown, and it
    asks before it records them.

    With --accept what is missing is recorded lost. Extra pieces are taken from those that were
    lost, or else are of unknown origin. A bag found here is recorded here.
    """
    from stores.usecases import counts as use
    from stores.wording import counts as words

    texts = list(scanned or [])
    refuse_options([place, *texts])
    if file:
        texts += _lines_of(file)
    reply: use.PlaceCounted | use.PlaceCompared
    uncounted = not texts and but is None and not accept and not json
    with asked(ctx, machine, on) as context:
        if accept:
            reply = use.count_place(context, use.CountPlace(place, texts, note, but))
        else:
            reply = compared = use.compare_place(context, use.ComparePlace(place, texts, but))
            if but is not None and not json and csv is None and at_a_terminal():
                _ask(context, use.CountPlace(place, texts, note, but), compared)
                return
    if csv is not None:
        to_csv(csv, words.HEADS, words.rows(reply), quiet=json)
    if json:
        show.as_json(reply)
        return
    if uncounted:
        show.paragraph(words.uncounted)
    if reply.lines:
        show.listing(words.listing(reply))
    if isinstance(reply, use.PlaceCounted):
        show.said(words.recorded(reply))
    else:
        for line in words.compared(reply):
            show.say(line)


def _ask(context: "Context", ask: "CountPlace", compared: "PlaceCompared") -> None:
    """Show how a count differs, and ask whether to record it and why it differs."""
    from stores.usecases.counts import count_place
    from stores.wording import counts as words

    if compared.lines:
        show.listing(words.listing(compared))
    if not typer.confirm(words.record_it, default=False):
        show.say(words.compared(compared)[0])
        return
    if compared.differences and not ask.reason:
        ask = replace(ask, reason=typer.prompt(words.why_they_differ, prompt_suffix=" "))
    show.said(words.recorded(count_place(context, ask)))


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
