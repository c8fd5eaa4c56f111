"""Oil for the rebuild: what to buy for all sumps, by grade."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stores import units
from stores.errors import NotationError
from stores.handbook.fluids.oils import ShoppingOil, buy, need_of
from stores.model.figures import SumpOnRecord
from stores.model.money import show_money
from stores.planning.figures import sump_of

__all__ = [
    "SIZES_ML",
    "OilLine",
    "oil_lines",
    "oil_to_buy",
    "read_sizes",
]

SIZES_ML = (500, 1000, 5000)
"""Containers that most oil is sold in (common practice)."""


def oil_to_buy(
    sumps: Iterable[SumpOnRecord], sizes_ml: Sequence[int] = SIZES_ML, *, stripped: bool = True
) -> ShoppingOil:
    """Return what to buy for these sumps, after a strip-down or after a drain."""
    return buy([sump_of(sump) for sump in sumps], sizes_ml, stripped=stripped)


@dataclass(frozen=True, slots=True)
class OilLine:
    """One line of the shopping list: so many cans of a grade and why.

    ``quantity`` is None for a sump of which too little is known to buy anything. ``price`` is of
    the line, in hundredths, None where it is not known.
    """

    quantity: int | None
    text: str
    why: str
    sumps: str
    price: int | None = None
    supplier: str = ""
    currency: str = ""

    @property
    def asked(self) -> str:
        """What it costs and of whom; empty where that is not known."""
        if self.price is None:
            return ""
        return ", ".join(filter(None, (show_money(self.price, self.currency), self.supplier)))


def oil_lines(oil: ShoppingOil, sumps: Iterable[SumpOnRecord] = ()) -> list[OilLine]:
    """Return what is to be bought in lines, a can size each; what cannot be reckoned comes last,
    with what the record says of it."""
    lines = []
    for each in oil.purchases:
        why = f"{each.need_ml:,} ml needed, {each.over_ml:,} ml over"
        for size, count in each.containers:
            what = f"{each.grade}, {_can(size)}"
            lines.append(OilLine(count, what, why, ", ".join(each.sumps)))
    known = {sump.name: sump for sump in sumps}
    for name, why in oil.unknown:
        sump = known.get(name)
        need = need_of(sump_of(sump), stripped=True).high if sump else None
        said = why if need is None or not (sump and sump.grade) else f"{need:,} ml needed"
        lines.append(OilLine(None, sump.grade if sump and sump.grade else "oil", said, name))
    return lines


def _can(ml: int) -> str:
    return f"{ml / 1000:g} l" if ml >= 1000 else f"{ml} ml"


def read_sizes(text: str) -> tuple[int, ...]:
    """Return the container sizes that were typed: ``1l, 5l``, ``500ml 1l``.

    Raises `NotationError` for none, `BadValue` for a unit that is none.
    """
    parts = [part for part in text.replace(";", ",").split(",") if part.strip()]
    if not parts:
        raise NotationError("no container size: write them as 500ml, 1l, 5l", text)
    return tuple(round(units.read(part, units.Kind.VOLUME).base) for part in parts)
