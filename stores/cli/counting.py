"""Counting a box or shelf."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stores.cli import show
from stores.cli.app import AsJson, Day, MachineName, command, day, file_at, opened, refuse_options
from stores.cli.lists import AsCsv, to_csv
from stores.cli.wording import option
from stores.errors import BadValue, NotFound

if TYPE_CHECKING:
    from stores.usecases import Counted

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
    from stores import usecases

    texts = list(scanned or [])
    refuse_options([place, *texts])
    if file:
        texts += _lines_of(file)
    if not texts and not accept:
        show.paragraph("Nothing was counted yet; this is what should be there.")
    with opened(ctx) as store:
        taken = usecases.count_place(
            store, place, texts, accept=accept, reason=note, machine=machine, at=day(on)
        )
    rows = [(line.name, line.expected, line.found, line.verdict, line.note) for line in taken.lines]
    if csv is not None:
        to_csv(csv, ("What", "Expected", "Found", "Verdict", "Note"), rows, quiet=json)
    if json:
        heads = ("what", "expected", "found", "verdict", "note")
        show.as_json(
            {
                "place": taken.place,
                "act": taken.done.act if taken.done else None,
                "lines": [dict(zip(heads, row, strict=True)) for row in rows],
            }
        )
        return
    _show(taken)


def _show(taken: "Counted") -> None:
    if taken.lines:
        show.table(
            ["What", "Expected", "Found", ""],
            [
                [
                    line.name,
                    str(line.expected),
                    str(line.found),
                    "" if line.verdict == "right" else ": ".join(
                        filter(None, (line.verdict, line.note))
                    ),
                ]
                for line in taken.lines
            ],
            right=[1, 2],
        )  # fmt: skip
    if taken.done:
        show.done(taken.done, json_wanted=False)
        return
    said = f"{taken.differences} differ" if taken.differences else "all as expected"
    show.say(f"{taken.place}: {len(taken.lines)} lines, {said}. Nothing was written.")
    if taken.differences:
        show.say('To record it: the same command with --accept -n "WHY"')


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
