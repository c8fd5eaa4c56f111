"""The index of places: which bag is in which box, and what is in each."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from stores.model.items import Item
from stores.model.ledger import Condition, PlaceKind
from stores.text import fold, many

__all__ = ["HEADS", "Held", "PlaceLine", "in_order", "places_of"]

HEADS = ("Place", "Inside", "Pieces", "Machine", "Steps", "What")
"""The columns of the index, on screen, on paper and in files alike."""


@dataclass(frozen=True, slots=True)
class Held:
    """So many pieces of an item in a place, old or ``new``; of step 0 are loose ones. ``mixed`` of
    them are mixed up with others; ``to_check``: nobody knows how many they were."""

    item: str
    machine: str
    step: int
    text: str
    quantity: int
    mixed: int = 0
    new: bool = False
    to_check: bool = False


@dataclass(frozen=True, slots=True)
class PlaceLine:
    """A place that holds pieces, and what it stands in, from the inside out."""

    name: str
    kind: PlaceKind
    inside: str
    pieces: int
    held: tuple[Held, ...]

    @property
    def machines(self) -> str:
        """Return the machines that they are of."""
        return ", ".join(dict.fromkeys(each.machine for each in self.held))

    @property
    def steps(self) -> str:
        """Return the steps that they came off in; loose pieces are of none."""
        numbers = sorted({each.step for each in self.held})
        return ", ".join(str(number) if number else "loose" for number in numbers)

    @property
    def what(self) -> str:
        """Return what is in it, in a line."""
        return "; ".join(
            many(each.quantity, each.text)
            + (" (new)" if each.new else "")
            + (" MIXED UP" if each.mixed else "")
            + (" (count to check)" if each.to_check else "")
            for each in self.held
        )

    @property
    def row(self) -> tuple[str, str, int, str, str, str]:
        """Return its cells, under `HEADS`."""
        return (self.name, self.inside, self.pieces, self.machines, self.steps, self.what)


def places_of(items: Iterable[Item], within: str = "") -> list[PlaceLine]:
    """Return the places in the workshop and at firms that hold pieces: box 2 before box 10.

    ``within`` is the name of a place: then it alone, and what stands in it.
    """
    held: dict[tuple[PlaceKind, str, str], list[Held]] = {}
    for item in items:
        for holding in item.holdings:
            if holding.quantity > 0 and (holding.kind.in_hand or holding.kind is PlaceKind.FIRM):
                key = (holding.kind, holding.place, holding.inside)
                text = item.named(holding.condition)
                step = item.step
                held.setdefault(key, []).append(
                    Held(
                        item.ref, step.machine, step.number, text, holding.quantity, holding.mixed,
                        holding.condition is Condition.NEW,
                        item.count_to_check and holding.condition is not Condition.NEW,
                    )
                )  # fmt: skip
    wanted = fold(within)
    lines = [
        PlaceLine(name, kind, inside, sum(each.quantity for each in pieces), tuple(pieces))
        for (kind, name, inside), pieces in held.items()
        if not wanted
        or wanted == name.casefold()
        or wanted in [part.strip() for part in inside.casefold().split(",")]
    ]
    return sorted(lines, key=lambda line: in_order(line.name))


def in_order(name: str) -> list[tuple[int, int, str]]:
    """Return what sorts names as a person counts: box 2 before box 10."""
    return [
        (0, int(part), "") if part.isdigit() else (1, 0, part.casefold())
        for part in re.findall(r"\d+|\D+", name)
    ]
