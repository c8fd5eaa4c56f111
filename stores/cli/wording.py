"""Words that the commands share: what is pointed at, conditions."""

from typing import TYPE_CHECKING, Annotated, Any

import typer

from stores.errors import BadValue

if TYPE_CHECKING:
    from stores.model.ledger import Condition

__all__ = ["Of", "What", "condition_named", "item_data", "maybe_condition", "option"]

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


def item_data(item: Any) -> dict[str, Any]:
    """Give an item as plain data."""
    return {
        "item": item.ref,
        "machine": item.step.machine,
        "assembly": item.step.assembly,
        "part": item.step.part,
        "step": item.step.number,
        "date": item.step.date,
        "position": item.position,
        "written": item.written,
        "as_found": item.as_found.text,
        "found": item.found,
        "as_specified": item.as_specified.text,
        "wanted": item.wanted,
        "renew": item.renew,
        "fitted": item.fitted,
        "short": item.short,
        "now": [
            {
                "quantity": holding.quantity,
                "condition": holding.condition.value,
                "kind": holding.kind.value,
                "place": holding.place,
                "inside": holding.inside,
            }
            for holding in item.holdings
            if holding.quantity > 0
        ],
        "findings": item.verdict,
    }
