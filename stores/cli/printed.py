"""What every print command shares: a free name, the file at the end, showing it."""

from datetime import date
from pathlib import Path
from typing import Annotated, Any

import typer

from stores.cli import show

__all__ = ["Open", "free_name", "many", "show_file", "today"]

Open = Annotated[bool, typer.Option("--open", help="Show the PDF when it is made.")]


def today() -> str:
    """Give the day on the workshop's wall: ``14 Mar 2026``."""
    now = date.today()  # noqa: DTZ011 - the day on the workshop's wall
    return f"{now.day} {now:%b %Y}"


def free_name(name: str) -> Path:
    """Give the first free name here: sheets that are not printed yet are not written over."""
    path, number = Path(name), 1
    while path.exists():
        number += 1
        path = Path(name).with_stem(f"{Path(name).stem}-{number}")
    return path


def many(count: int, noun: str) -> str:
    """Say how many: ``1 sheet``, ``3 sheets``."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def show_file(
    printed: Any, *, json_wanted: bool, shown: bool = False, data: dict[str, Any]
) -> None:
    """Say where a file is, last of all, after what to know of it; show it if asked."""
    path = Path(printed.path).absolute()
    if json_wanted:
        show.as_json({"file": str(path), "warnings": list(printed.warnings)} | data)
    else:
        for warning in printed.warnings:
            show.paragraph(warning, first="! ", rest="  ")
        show.say(str(path))
    if shown:
        typer.launch(str(path))
