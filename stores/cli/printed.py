"""What every print command shares: a free name, the file at the end, showing it."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores import text
from stores.cli import show
from stores.cli.app import file_at
from stores.text import day_words, plural

if TYPE_CHECKING:
    from stores.model.snags import Snag
    from stores.planning.figures import Fill
    from stores.planning.rebuild import Stage

__all__ = [
    "Open",
    "free_name",
    "print_checklist",
    "print_summary",
    "show_file",
    "today",
]

Open = Annotated[bool, typer.Option("--open", help="Show the PDF when it is made.")]


def today() -> str:
    """Give the day on the workshop's wall: ``14 Mar 2026``."""
    return day_words(text.today())


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


def print_checklist(
    stages: "Sequence[Stage]",
    pdf: str,
    name: str,
    ends: "tuple[Sequence[Fill], Sequence[Snag]]" = ((), ()),
    rings: "Sequence[Sequence[str]]" = (),
    *,
    json_wanted: bool,
    shown: bool = False,
) -> None:
    """Write the checklist as PDF and say where; ``ends``: the oil and the snags of no step;
    ``rings`` are the lines of orders that contradict each other."""
    from stores.printing.checklist import write_checklist

    printed = write_checklist(
        stages,
        file_at(pdf),
        title=f"Rebuild checklist: {name}",
        date=today(),
        oils=ends[0],
        snags=ends[1],
        rings=rings,
    )
    if not json_wanted:
        sheets = plural(printed.sheets, "sheet")
        show.say(f"Rebuild checklist of {name}: {plural(len(stages), 'step')} on {sheets} of A4")
    show_file(printed, json_wanted=json_wanted, shown=shown, data={"steps": len(stages)})


def print_summary(
    stages: "Sequence[Stage]", pdf: str, name: str, *, json_wanted: bool, shown: bool = False
) -> None:
    """Write the summary as PDF and say where."""

    from stores.printing.checklist import write_summary

    printed = write_summary(stages, file_at(pdf), title=f"Rebuild summary: {name}", date=today())
    if not json_wanted:
        show.say(f"Rebuild summary of {name}: {plural(len(stages), 'step')} on one sheet of A4")
    show_file(printed, json_wanted=json_wanted, shown=shown, data={"steps": len(stages)})
