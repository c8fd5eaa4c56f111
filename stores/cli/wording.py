"""Words that the commands share: what is pointed at, conditions."""

from typing import Annotated, Any

import typer

__all__ = [
    "DoneBy",
    "Kind",
    "MeasuredThen",
    "NewAssembly",
    "NewFirm",
    "NewPlace",
    "Of",
    "What",
    "WorkDone",
    "option",
]

Of = Annotated[
    str | None,
    typer.Option("--of", metavar="WORD", help="Only pieces in this condition."),
]
What = Annotated[
    str,
    typer.Argument(
        metavar="WHAT", help="An item (7.2), a step (7) or a bag (A001N).", show_default=False
    ),
]


WorkDone = Annotated[
    str, typer.Option("--work", metavar="TEXT", help="What was done: welded, ground, plated.")
]
DoneBy = Annotated[str, typer.Option("--by", metavar="NAME", help="Who did the work.")]
Kind = Annotated[
    list[str] | None,
    typer.Option("--kind", metavar="KIND", help="Kind of machine, for its survey: two-wheeler ..."),
]
MeasuredThen = Annotated[
    str, typer.Option("--measured", metavar="TEXT", help="What it measured after the work.")
]
NewPlace = Annotated[
    bool,
    typer.Option(
        "--new-place", help="It is a new place, though its name is odd or like an old one."
    ),
]
NewFirm = Annotated[
    bool, typer.Option("--new-firm", help="It is another firm, though its name is like an old one.")
]
NewAssembly = Annotated[
    bool,
    typer.Option(
        "--new-assembly", help="It is a new assembly, though its name is like an old one."
    ),
]


def option(flag: str, metavar: str, words: str) -> Any:
    """Give an option with its help in one line."""
    return typer.Option(flag, metavar=metavar, help=words)
