"""The shopping list: what the rebuild needs and the stores cannot supply, by specification."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from stores.planning.items import Item, serves, sized
from stores.planning.orders import OnOrder

__all__ = ["Need", "Shortage", "shopping", "spare_pieces"]


@dataclass(frozen=True, slots=True)
class Need:
    """One joint's share of a line: which item, how many, and why."""

    item: Item
    quantity: int
    why: str


@dataclass(frozen=True, slots=True)
class Shortage:
    """One line to buy: a specification, the total, and the joints that need it."""

    text: str
    kind: str
    quantity: int
    needs: tuple[Need, ...]
    spare: int = 0
    ordered: int = 0

    @property
    def spec(self) -> str:
        """The specification alone, without the joint that it is for."""
        return self.needs[0].item.as_specified.text

    @property
    def reasons(self) -> str:
        """The reasons of all joints, each once."""
        return "; ".join(dict.fromkeys(need.why for need in self.needs))

    @property
    def refs(self) -> str:
        """The joints, as ``7.2, 9.1``."""
        return ", ".join(need.item.ref for need in self.needs)


def shopping(items: Iterable[Item], coming: Iterable[OnOrder] = ()) -> list[Shortage]:
    """Add up what is short over the machine, less the loose pieces in hand, new or inspected, and
    less what is on order.

    What has no size in its specification ("gasket", "brake shoe") is not added up over joints:
    such a line names its joint. Sorted by kind, then by text. A line that loose pieces and
    orders cover in full is left out.
    """
    needs: dict[str, list[Need]] = {}
    kinds: dict[str, str] = {}
    spares: list[Item] = []
    for item in items:
        text = item.as_specified.text
        if not item.step.number:
            spares.append(item)
        elif item.short:
            if not sized(text):
                text = f"{text}, for {item.step.assembly}: {item.step.part}"
            kinds[text] = item.as_specified.kind
            needs.setdefault(text, []).append(Need(item, item.short, item.why_short))
    lines = []
    orders = list(coming)
    left = [one.quantity for one in orders]
    for text, listed in needs.items():
        total = sum(need.quantity for need in listed)
        loose = min(total, spare_pieces(text, spares))
        ordered = 0
        for at, one in enumerate(orders):
            some = min(left[at], total - loose - ordered)
            if some > 0 and any(one.is_for(need.item) for need in listed):
                ordered += some
                left[at] -= some
        to_buy = total - loose - ordered
        if to_buy:
            lines.append(Shortage(text, kinds[text], to_buy, tuple(listed), loose, ordered))
    return sorted(lines, key=lambda line: (line.kind, _natural(line.text)))


def spare_pieces(text: str, spares: Iterable[Item]) -> int:
    """Give how many loose pieces may serve where this is specified."""
    return sum(
        spare.in_hand(*spare.spare_conditions)
        for spare in spares
        if serves(spare.as_found.text, text)
    )


def _natural(text: str) -> list[tuple[int, float, str]]:
    """Sort key that puts M4 before M10 and 1/4 before 5/16."""
    parts = re.findall(r"\d+/[1-9]\d*|\d+(?:\.\d+)?|\D+", text)
    return [
        (0, float(Fraction(part)), "") if part[0].isdecimal() else (1, 0.0, part.casefold())
        for part in parts
    ]
