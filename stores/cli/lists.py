"""What the commands that show a list share: the same list as CSV."""

from collections.abc import Iterable, Sequence
from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import file_at

__all__ = ["AsCsv", "to_csv"]

AsCsv = Annotated[
    str | None, typer.Option("--csv", metavar="FILE", help="Write the whole list to a CSV file.")
]


def to_csv(
    name: str, heads: Sequence[str], rows: Iterable[Sequence[object]], *, quiet: bool = False
) -> None:
    """Write a list as CSV for a spreadsheet, whole or not at all, and say where it is.

    Raises:
        PrintError, BadValue: a file that cannot be written.
    """
    from stores.printing.files import csv_pieces, put

    path = file_at(name)
    put(path, csv_pieces((heads, rows)))
    if not quiet:
        show.say(str(path))
