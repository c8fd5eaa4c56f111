"""Words that the commands share: what is pointed at, conditions."""

from typing import Annotated, Any

import typer

__all__ = ["Of", "What", "option"]

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


def option(flag: str, metavar: str, words: str) -> Any:
    """Give an option with its help in one line."""
    return typer.Option(flag, metavar=metavar, help=words)
