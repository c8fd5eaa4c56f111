"""What is to be ordered, line by line, before it is written down."""

import re
from collections.abc import Sequence

from stores.errors import Refused
from stores.handbook.benchline import read_line
from stores.model.items import Item, sized
from stores.planning.money import read_money
from stores.planning.orders import Price, cost_of, price_for
from stores.storage import Writer
from stores.usecases.common import refuse_beside, select

__all__ = ["Wanted", "by_the_list", "wanted_of"]

_ITEM = re.compile(r"^\s*\d{1,6}\.\d{1,4}\s*$")


class Wanted:
    """A line of an order before it is written down."""

    def __init__(
        self, text: str, quantity: int, item: Item | None = None, price: int | None = None
    ) -> None:
        self.text, self.quantity, self.item, self.price = text, quantity, item, price
        self.pack = 1


def wanted_of(writer: Writer, text: str, machine: str | None, everything: Sequence[Item]) -> Wanted:
    """Read a line of an order: words with a count, or an item; with the price of it all.

    Raises:
        Refused: an item that is short of nothing, or words of several items without a size.
    """
    what, equals, sum_ = text.partition("=")
    price = read_money(sum_) if equals else None
    if _ITEM.match(what):
        named = select(writer.connection, machine, what, empty=True).only
        if not named.short:
            raise Refused(
                f"{named.ref} {named.as_specified.text} is short of nothing: "
                f"say what to order in words, as '2 {named.as_specified.text}'"
            )
        return Wanted(named.as_specified.text, named.short, named, price)
    line = read_line(what)
    refuse_beside(line, "order", "say what is ordered, as 20 M6x25 hex")
    if not line.found:
        raise Refused("none ordered is nothing to record")
    spec = line.thing.spec
    item: Item | None = None
    if not sized(spec):
        fits = [each for each in everything if each.short and each.as_specified.text == spec]
        if len(fits) > 1:
            refs = ", ".join(f"{each.ref} ({each.step.part})" for each in fits)
            raise Refused(f"which {spec}? Name the item: {refs}")
        item = fits[0] if fits else None
    return Wanted(spec, line.found, item, price)


def by_the_list(line: Wanted, known: Sequence[Price], supplier: str) -> None:
    """Price a line by the price list, where nobody said what it costs."""
    price = price_for(known, line.text, line.quantity, supplier) if line.price is None else None
    if price is None:
        return
    _, line.price = cost_of(price, line.quantity)
    line.pack = price.pack
