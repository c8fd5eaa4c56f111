"""What every print command shares: a free name, the file at the end, showing it."""

from pathlib import Path
from typing import Annotated, Any

import typer

from stores.cli import show

__all__ = ["Open", "free_name", "show_file"]

Open = Annotated[bool, typer.Option("--open", help="Show the PDF when it is made.")]


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
