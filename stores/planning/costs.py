"""What machines took from the workshop's stock is worth, by what was paid for it.

The lot that came first is used first; a lot is worth what was paid for it, no more and no less,
however it is drawn: shares are whole hundredths that add up to it. What a machine itself paid for
stays its own cost, whoever uses the rest; what was there before anybody wrote down a price costs
nothing.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from stores.model.stock import this_much

__all__ = ["Draw", "Drawn", "Lot", "Payment", "value_draws"]


@dataclass(frozen=True, slots=True)
class Payment:
    """What was bought without an order, by its act: for a ``machine``, empty for the workshop, at
    a price in hundredths, None where it is not known. ``words`` say what."""

    act: int
    machine: str
    price: int | None
    currency: str
    words: str


@dataclass(frozen=True, slots=True)
class Lot:
    """So much of a loose item that came in at once; ``paid`` in hundredths, None where no price is
    known. ``for_stock``: the workshop bought it, not a machine."""

    item: int
    quantity: int
    paid: int | None
    currency: str = ""
    for_stock: bool = True


@dataclass(frozen=True, slots=True)
class Draw:
    """So much of a loose item that was taken, by a ``machine``; empty for none in particular."""

    item: int
    machine: str
    quantity: int
    text: str = ""
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Drawn:
    """What each machine took from what the workshop paid for, in hundredths, and what of it has no
    known price, in words."""

    worth: dict[str, int]
    unpriced: dict[str, tuple[str, ...]]


def value_draws(lots: Iterable[Lot], draws: Iterable[Draw], currency: str) -> Drawn:
    """Return what was drawn by each machine, at the price paid for the lots it came from.

    >>> value_draws([Lot(1, 3, 100), Lot(1, 10, 500)], [Draw(1, "A", 1), Draw(1, "B", 4)], "").worth
    {'A': 33, 'B': 167}
    """
    left: dict[int, list[list[int]]] = {}
    known: dict[int, list[Lot]] = {}
    for lot in lots:
        left.setdefault(lot.item, []).append([lot.quantity])
        known.setdefault(lot.item, []).append(lot)
    worth: dict[str, int] = {}
    unpriced: dict[str, dict[str, int]] = {}
    named: dict[str, Draw] = {}
    for draw in draws:
        wanted = draw.quantity
        for lot, rest in zip(known.get(draw.item, ()), left.get(draw.item, ()), strict=True):
            some = min(wanted, rest[0])
            if not some:
                continue
            begun = lot.quantity - rest[0]
            rest[0] -= some
            wanted -= some
            if not draw.machine or not lot.for_stock:
                continue
            if lot.paid is None or lot.currency != currency:
                words = unpriced.setdefault(draw.machine, {})
                words[draw.text] = words.get(draw.text, 0) + some
                named[draw.text] = draw
                continue
            share = lot.paid * (begun + some) // lot.quantity - lot.paid * begun // lot.quantity
            worth[draw.machine] = worth.get(draw.machine, 0) + share
    return Drawn(
        worth,
        {
            machine: tuple(
                this_much(count, named[text].unit, text) for text, count in texts.items()
            )
            for machine, texts in unpriced.items()
        },
    )
