"""The shopping list as a whole: one value that screen, paper, tables and messages all show."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from stores.model.items import Item
from stores.planning.money import show_money
from stores.planning.oils import OilLine
from stores.planning.orders import OnOrder, Price
from stores.planning.shopping import Measure, Shortage, SpareRule, packed, shopping, to_measure

__all__ = ["Section", "ToBuy", "priced_oils", "to_buy"]


@dataclass(frozen=True, slots=True)
class Section:
    """What one supplier has a price for; no name: what nobody has one for."""

    supplier: str
    lines: tuple[Shortage, ...]
    oils: tuple[OilLine, ...]

    @property
    def cost(self) -> int:
        """The sum of the prices known, in hundredths."""
        return sum(price for price in self._prices if price is not None)

    @property
    def _prices(self) -> list[int | None]:
        return [line.price for line in self.lines] + [line.price for line in self.oils]

    @property
    def heading(self) -> str:
        """Say whose it is and what it comes to: ``Hollin: 4 lines, 23.10 EUR``."""
        count = len(self.lines) + len(self.oils)
        lines = f"{count} line" if count == 1 else f"{count} lines"
        if not self.supplier and not self.cost:
            return f"No price known: {lines}"
        known = [line.currency for line in self.lines] + [line.currency for line in self.oils]
        currency = next(filter(None, known), "")
        return f"{self.supplier or 'Anybody'}: {lines}, {show_money(self.cost, currency)}"


@dataclass(frozen=True, slots=True)
class ToBuy:
    """What to buy now, oil apart, and what is not bought before it is measured."""

    lines: tuple[Shortage, ...] = ()
    oils: tuple[OilLine, ...] = ()
    unseen: tuple[Measure, ...] = ()

    @property
    def pieces(self) -> int:
        """Pieces to buy, oil apart."""
        return sum(line.quantity for line in self.lines)

    @property
    def sections(self) -> tuple[Section, ...]:
        """By supplier, in the order of the alphabet; what nobody has a price for comes last."""
        groups = {_group(line) for line in self.lines} | {_group(line) for line in self.oils}
        return tuple(
            Section(
                group[2],
                tuple(line for line in self.lines if _group(line) == group),
                tuple(line for line in self.oils if _group(line) == group),
            )
            for group in sorted(groups)
        )

    @property
    def divided(self) -> bool:
        """Whether it is worth headings: several suppliers, or one and what has no price."""
        return len(self.sections) > 1

    @property
    def at_hand(self) -> tuple[Shortage, ...]:
        """Lines for which longer pieces lie in the stores that would do with washers."""
        return tuple(line for line in self.lines if line.longer_in_hand)


def _group(line: Shortage | OilLine) -> tuple[bool, str, str]:
    """Give where a line stands: whether it has no price, and whose that is, folded to sort by."""
    supplier = "" if line.price is None else line.supplier
    return line.price is None, supplier.casefold(), supplier


def to_buy(
    items: Sequence[Item],
    coming: Iterable[OnOrder],
    prices: Sequence[Price],
    rules: Iterable[SpareRule],
    oils: Iterable[OilLine] = (),
    *,
    within: Callable[[Item], bool] | None = None,
    supplier: str = "",
) -> ToBuy:
    """Draw up the list. ``prices`` are of one currency; ``within`` keeps the joints of a part of
    the machine. Of one ``supplier``: what they have a price for, and nothing to be measured first.
    """
    lines = packed(shopping(items, coming, within), prices, rules)
    filled = priced_oils(oils, prices)
    unseen = to_measure(item for item in items if within is None or within(item))
    if supplier:
        begins = supplier.casefold()
        lines = [line for line in lines if line.supplier.casefold().startswith(begins)]
        filled = [line for line in filled if line.supplier.casefold().startswith(begins)]
        unseen = []
    return ToBuy(tuple(lines), tuple(filled), tuple(unseen))


def priced_oils(oils: Iterable[OilLine], prices: Iterable[Price]) -> list[OilLine]:
    """Put on what cans cost: a price is recorded of the can as the list has it, ``SAE 30, 1 l``."""
    known = list(prices)
    made = []
    for line in oils:
        wanted = _words(line.text)
        offers = [price for price in known if _words(price.text) == wanted]
        best = min(
            offers, key=lambda price: (price.price / price.pack, price.supplier), default=None
        )
        if best is None or line.quantity is None:
            made.append(line)
            continue
        cost = -(-line.quantity // best.pack) * best.price
        made.append(replace(line, price=cost, supplier=best.supplier, currency=best.currency))
    return made


def _words(text: str) -> tuple[str, ...]:
    return tuple(text.casefold().replace(",", " ").split())
