"""The inventory: everything there is, place by place, and what it is worth as far as is known."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stores.model.items import Holding, Item
from stores.model.ledger import Condition
from stores.model.money import Price, newest_price, show_money, worth
from stores.model.stock import name_alone
from stores.planning.places import Held, PlaceLine, count_words, places_of
from stores.text import fold, plural

__all__ = ["HEADS", "Inventory", "draw_up", "held_by", "value_words"]

HEADS = ("Place", "Sits in", "Count", "Unit", "What", "Condition", "Of", "Value")
"""The columns of the inventory in files."""


@dataclass(frozen=True, slots=True)
class Inventory:
    """Everything that is held in the workshop or at a firm: not what is on a machine.

    ``asked`` is the place or the words that narrow it, ``machine`` the one it is of, empty for all
    of them and the workshop's stock; ``currency`` that of all values. ``lines`` are so many, and
    ``unpriced`` of them without a known value; ``pieces`` are counted pieces alone, ``amounts``
    things measured in ml and the like; ``value`` is in hundredths.
    """

    asked: str
    machine: str
    currency: str
    places: tuple[PlaceLine, ...]
    lines: int
    pieces: int
    amounts: int
    value: int
    unpriced: int

    @property
    def title(self) -> str:
        """What the list is called."""
        whose = f" of {self.machine}" if self.machine else ""
        return f"Inventory{whose}" + (f": {self.asked}" if self.asked else "")

    @property
    def totals(self) -> str:
        """Everything counted, and what it is worth, in a line."""
        return f"{self.counts}; {value_words(self)}"

    @property
    def counts(self) -> str:
        """Everything counted, in a line."""
        return f"{plural(len(self.places), 'place')}, {count_words(self.pieces, self.amounts)}"

    def rows(self) -> list[tuple[str, str, int, str, str, str, str, int | None]]:
        """Return its cells, a line for all of an item in one place and condition, under `HEADS`."""
        return [
            (
                place.name, place.inside, held.quantity, held.unit or "pieces",
                name_alone(held.unit, held.text), held.state, held_by(held), held.value,
            )
            for place in self.places
            for held in place.held
        ]  # fmt: skip


def held_by(held: Held) -> str:
    """Say what a thing is of: a machine's joint, the workshop's stock, or nobody knows."""
    if held.step:
        return f"{held.machine} {held.item} {held.part}"
    return f"{held.machine}, loose {held.item}" if held.machine else f"stock {held.item}"


def value_words(of: Inventory | PlaceLine, currency: str = "") -> str:
    """Say what it is worth, and of how many lines that is not known."""
    lines = of.lines if isinstance(of, Inventory) else len(of.held)
    currency = of.currency if isinstance(of, Inventory) else currency
    if of.unpriced == lines:
        return "no price known"
    short = f", {plural(of.unpriced, 'line')} without a price" if of.unpriced else ""
    return f"value {show_money(of.value, currency)}{short}"


def draw_up(
    items: Iterable[Item],
    prices: Sequence[Price],
    *,
    asked: str = "",
    within: str = "",
    of: Condition | None = None,
    machine: str = "",
    currency: str = "",
) -> Inventory:
    """Return the inventory of these items; within a place, or of a condition, if that is asked.

    What it costs new by the newest price of its specification is what a thing is worth; condemned
    pieces are worth nothing. Where no price is on record no value is known at all.
    """
    newest: dict[str, Price | None] = {}

    def value(item: Item, holding: Holding) -> int | None:
        if holding.condition is Condition.CONDEMNED:
            return 0
        text = item.named(holding.condition)
        if text not in newest:
            newest[text] = newest_price(prices, text)
        price = newest[text]
        return worth(price, holding.quantity) if price else None

    places = places_of(sorted(items, key=_order), within, of=of, worth=value if prices else None)
    return Inventory(
        asked, machine, currency, tuple(places),
        sum(len(place.held) for place in places),
        sum(place.pieces for place in places),
        sum(place.amounts for place in places),
        sum(place.value for place in places),
        sum(place.unpriced for place in places),
    )  # fmt: skip


def _order(item: Item) -> tuple[bool, str, int, bool, int, str, int, str, int]:
    """By joint, then what is loose: by thread and length, what is measured last."""
    if item.step.number:
        return (False, item.step.machine, item.step.number, False, 0, "", 0, "", item.line)
    known = item.as_found
    return (
        True, "", 0, bool(item.unit), known.diameter_um or 10**9, known.thread,
        known.length_um or 0, fold(name_alone(item.unit, known.text)), item.line,
    )  # fmt: skip
