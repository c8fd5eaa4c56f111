"""What is where: the places that hold something, and what is in each.

The index on the wall and the inventory are both made of this.
"""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from stores.model.items import Holding, Item
from stores.model.ledger import Condition, PlaceKind
from stores.model.stock import so_much, this_much
from stores.text import counted, fold, plural

__all__ = ["HEADS", "Held", "PlaceLine", "count_words", "in_order", "moved_words", "places_of"]

HEADS = ("Place", "Inside", "Pieces", "Machine", "Steps", "What")
"""The columns of the index, on screen, on paper and in files alike."""


@dataclass(frozen=True, slots=True)
class Held:
    """So much of an item in a place, in ``unit``, empty for pieces; of step 0 are loose ones.

    ``mixed`` of them are mixed up with others; ``to_check`` says what nobody
    knows of them: "count to check".
    ``part`` is what came off in the step. ``value`` is in hundredths, None where it is not known or
    nobody asked.
    """

    item: str
    machine: str
    step: int
    text: str
    quantity: int
    mixed: int = 0
    unit: str = ""
    condition: Condition = Condition.AS_REMOVED
    part: str = ""
    to_check: tuple[str, ...] = ()
    value: int | None = None

    @property
    def new(self) -> bool:
        """Whether they are new pieces, not old ones; what is poured or weighed is neither."""
        return self.condition is Condition.NEW and not self.unit

    @property
    def state(self) -> str:
        """What they are like, in a few words; half a tube is in no condition."""
        said = ["" if self.unit else str(self.condition)]
        said += [f"{self.mixed} MIXED UP"] if self.mixed else []
        said += self.to_check
        return ", ".join(filter(None, said))


@dataclass(frozen=True, slots=True)
class PlaceLine:
    """A place that holds something, and what it stands in, from the inside out.

    ``pieces`` are counted pieces alone, ``amounts`` how many things are measured in ml and the
    like.
    """

    name: str
    kind: PlaceKind
    inside: str
    pieces: int
    held: tuple[Held, ...]
    amounts: int = 0

    @property
    def machines(self) -> str:
        """Return the machines that they are of; the workshop's own is of none."""
        return ", ".join(dict.fromkeys(each.machine for each in self.held if each.machine))

    @property
    def steps(self) -> str:
        """Return the steps that they came off in; loose pieces are of none."""
        numbers = sorted({each.step for each in self.held})
        return ", ".join(str(number) if number else "loose" for number in numbers)

    @property
    def what(self) -> str:
        """Return what is in it, in a line."""
        return "; ".join(
            this_much(each.quantity, each.unit, each.text)
            + (" (new)" if each.new else "")
            + (" MIXED UP" if each.mixed else "")
            + (f" ({', '.join(each.to_check)})" if each.to_check else "")
            for each in self.held
        )

    @property
    def counts(self) -> str:
        """Return how much is in it, in words."""
        return count_words(self.pieces, self.amounts)

    @property
    def row(self) -> tuple[str, str, int, str, str, str]:
        """Return its cells, under `HEADS`."""
        return (self.name, self.inside, self.pieces, self.machines, self.steps, self.what)

    @property
    def value(self) -> int:
        """Return what it is worth as far as that is known, in hundredths."""
        return sum(each.value or 0 for each in self.held)

    @property
    def unpriced(self) -> int:
        """Return how many of its lines have no known value."""
        return sum(each.value is None for each in self.held)


def count_words(pieces: int, amounts: int) -> str:
    """Say how much it is: so many pieces, and things measured in ml and the like.

    >>> count_words(3, 0), count_words(1, 2), count_words(0, 1)
    ('3 pieces', '1 piece and 2 consumables', '1 consumable')
    """
    said = [counted(pieces)] if pieces or not amounts else []
    return " and ".join([*said, *([plural(amounts, "consumable")] if amounts else [])])


def moved_words(amounts: Iterable[tuple[int, str]]) -> str:
    """Say how much was moved: each is so much of one thing, in its unit, empty for pieces.

    >>> moved_words([(3, ""), (1, "")]), moved_words([(30, "ml")])
    ('4 pieces', '30 ml')
    >>> moved_words([(2, ""), (30, "ml"), (5, "g")])
    '2 pieces and 2 consumables'
    """
    all_of = list(amounts)
    measured = [(count, unit) for count, unit in all_of if unit]
    if len(all_of) == 1 and measured:
        return so_much(*measured[0])
    return count_words(sum(count for count, unit in all_of if not unit), len(measured))


def places_of(
    items: Iterable[Item],
    within: str = "",
    *,
    of: Condition | None = None,
    worth: Callable[[Item, Holding], int | None] | None = None,
) -> list[PlaceLine]:
    """Return the places in the workshop and at firms that hold something: box 2 before box 10.

    ``within`` is the name of a place: then it alone, and what stands in it; ``of`` a condition,
    None for any. ``worth`` says what a holding is worth, in hundredths.
    """
    held: dict[tuple[PlaceKind, str, str], list[Held]] = {}
    for item in items:
        for holding in item.holdings:
            if holding.quantity > 0 and (holding.kind.in_hand or holding.kind is PlaceKind.FIRM):
                if of is not None and holding.condition is not of:
                    continue
                key = (holding.kind, holding.place, holding.inside)
                step = item.step
                held.setdefault(key, []).append(
                    Held(
                        item.ref, step.machine, step.number, item.named(holding.condition),
                        holding.quantity, holding.mixed, item.unit, holding.condition, step.part,
                        () if holding.condition is Condition.NEW else item.to_check,
                        worth(item, holding) if worth else None,
                    )
                )  # fmt: skip
    wanted = fold(within)
    lines = [
        PlaceLine(
            name, kind, inside, sum(each.quantity for each in things if not each.unit),
            tuple(things), sum(bool(each.unit) for each in things),
        )
        for (kind, name, inside), things in held.items()
        if not wanted
        or wanted == name.casefold()
        or wanted in [part.strip() for part in inside.casefold().split(",")]
    ]  # fmt: skip
    return sorted(lines, key=lambda line: in_order(line.name))


def in_order(name: str) -> list[tuple[int, int, str]]:
    """Return what sorts names as a person counts: box 2 before box 10."""
    return [
        (0, int(part), "") if part.isdigit() else (1, 0, part.casefold())
        for part in re.findall(r"\d+|\D+", name)
    ]
