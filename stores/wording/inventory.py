"""The inventory in words."""

from typing import TYPE_CHECKING

from stores.model.money import show_money
from stores.model.stock import name_alone, so_much
from stores.planning.inventory import held_by, value_words
from stores.wording import Listing
from stores.wording.marks import to_type

if TYPE_CHECKING:
    from stores.model.ledger import Condition
    from stores.planning.inventory import Inventory
    from stores.planning.places import Held, PlaceLine

__all__ = ["HINTS", "REFUSALS", "heading", "place", "place_rows"]


def _none(what: str, condition: "Condition | None", machine: str) -> str:
    of = f" of {machine}" if machine else ""
    how = f" that is {condition}" if condition else ""
    return (
        f"nothing like {what!r}{of}{how} is in the stores"
        if what
        else f"nothing{of}{how} is in the stores"
    )


REFUSALS = {"nothing of it held": _none}
HINTS: dict[str, str] = {}


def heading(reply: "Inventory") -> tuple[str, ...]:
    """Return what the list is, what it comes to, and what the values mean."""
    lines = [f"{reply.title}: {reply.counts}"]
    if reply.unpriced == reply.lines:
        return (*lines, f"No price known: {to_type('stores order price')} says what things cost.")
    said = value_words(reply)
    return (*lines, f"{said[:1].upper()}{said[1:]}. Value: what it costs new, newest price.")


def place(line: "PlaceLine", currency: str) -> str:
    """Return the heading of a place."""
    where = line.kind.at(line.name)
    inside = f" ({line.inside})" if line.inside else ""
    worth = "" if line.unpriced == len(line.held) else f"; {value_words(line, currency)}"
    return f"{where[:1].upper()}{where[1:]}{inside}: {line.counts}{worth}"


def place_rows(line: "PlaceLine", *, valued: bool) -> Listing:
    """Return what is in a place, a line each; with values where any is known."""
    heads = ["Count", "What", "Condition", "Belongs to"] + (["Value"] if valued else [])
    return Listing(heads, [_row(each, valued=valued) for each in line.held], right=(0, 4))


def _row(held: "Held", *, valued: bool) -> list[str]:
    row = [
        so_much(held.quantity, held.unit), name_alone(held.unit, held.text), held.state,
        held_by(held),
    ]  # fmt: skip
    return row + ([show_money(held.value) if held.value is not None else ""] if valued else [])
