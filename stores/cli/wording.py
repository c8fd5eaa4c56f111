"""Words that the commands share: what is pointed at, conditions."""

from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores.errors import BadValue

if TYPE_CHECKING:
    from stores.model.ledger import Condition

__all__ = ["Of", "What", "condition_named", "maybe_condition", "option"]

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


def maybe_condition(text: str | None) -> "Condition | None":
    """Read a condition word, if one was given."""
    return None if text is None else condition_named(text)


def condition_named(text: str) -> "Condition":
    """Read a condition word; a clear beginning will do.

    Raises:
        BadValue: none of the words.
    """
    from stores.model.ledger import Condition

    said = text.strip().casefold()
    fits = [word for word in Condition if said and word.value.startswith(said)]
    if len(fits) != 1:
        words = ", ".join(Condition)
        raise BadValue(f"{text.strip()[:40]!r} is no condition; the words are: {words}")
    return fits[0]
