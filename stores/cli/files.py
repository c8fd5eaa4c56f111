"""What every command that writes a file shares: a free name, saying where it is, showing it; a list
as CSV."""

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Annotated, Any

import typer

from stores.cli import show
from stores.cli.app import file_at

__all__ = ["AsCsv", "Open", "free_name", "show_file", "to_csv"]

Open = Annotated[bool, typer.Option("--open", help="Show the PDF when it is made.")]
AsCsv = Annotated[
    str | None, typer.Option("--csv", metavar="FILE", help="Write the whole list to a CSV file.")
]


def free_name(name: str) -> Path:
    """Give the first free name here: sheets that are not printed yet are not written over."""
    path, number = Path(name), 1
    while path.exists():
        number += 1
        path = Path(name).with_stem(f"{Path(name).stem}-{number}")
    return path


def show_file(
    printed: Any,
    *,
    json_wanted: bool,
    shown: bool = False,
    data: dict[str, Any],
    kept: bool = True,
) -> None:
    """Say where a file is, last of all, after what to know of it; show it if asked.

    Of what was only tried no file is ``kept``.
    """
    path = Path(printed.path).absolute()
    if json_wanted:
        file = str(path) if kept else None
        show.as_json({"file": file, "warnings": list(printed.warnings)} | data)
    else:
        for warning in printed.warnings:
            show.paragraph(warning, first="! ", rest="  ")
        if kept:
            show.say(str(path))
    if shown and kept:
        typer.launch(str(path))


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
