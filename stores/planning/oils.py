"""Oil for the rebuild: what each sump takes, and what to buy for all of them by grade."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stores import units
from stores.errors import BadValue, NotationError
from stores.handbook.fluids.oils import ShoppingOil, Sump, buy, need_of, read_grade
from stores.model.money import show_money
from stores.planning.figures import SumpOnRecord

__all__ = [
    "SIZES_ML",
    "Fill",
    "OilLine",
    "fills",
    "oil_lines",
    "oil_to_buy",
    "read_sizes",
    "sump_of",
]

SIZES_ML = (500, 1000, 5000)
"""Containers that most oil is sold in (common practice)."""


@dataclass(frozen=True, slots=True)
class Fill:
    """One line of the checklist: what to fill with what, how much, and where to look."""

    name: str
    oil: str
    amount: str
    points: tuple[str, ...]


def sump_of(sump: SumpOnRecord) -> Sump:
    """Return a sump on record as the oil side reckons with it.

    Raises:
        BadValue: a refill above the dry fill, or a number or volume out of range.
    """
    try:
        grade = read_grade(sump.grade) if sump.grade else None
    except (BadValue, NotationError):
        grade = None  # kept as the book has it: bought by its name
    return Sump(sump.name, grade, sump.dry_ml, sump.refill_ml, sump.number)


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


def fills(sumps: Iterable[SumpOnRecord]) -> list[Fill]:
    """Return what has to be filled once everything is together, with the dry fill where known."""
    made = []
    for sump in sumps:
        need = need_of(sump_of(sump), stripped=True)
        each = "" if sump.number == 1 else f", {sump.number} of"
        single = None if need.ml is None else need.ml // sump.number
        amount = "capacity not known" if single is None else _volume(single)
        if sump.number > 1 and single is not None:
            amount += " each"
        if need.high is not None and need.ml is not None and need.high > need.ml:
            amount += f", may take {_volume(need.high // sump.number)}"
        points = tuple(
            f"{word}: {text}"
            for word, text in (("fill", sump.filler), ("level", sump.level), ("drain", sump.drain))
            if text
        )
        points += tuple(text for text in (sump.note, sump.source) if text)
        made.append(Fill(sump.name + each, sump.grade or "grade not known", amount, points))
    return made


def _volume(ml: int) -> str:
    pints = units.plain(units.convert(ml, "ml", "imp pint"), 2)
    return f"{ml:,} ml ({pints} imp pint)"


def read_sizes(text: str) -> tuple[int, ...]:
    """Return the container sizes that were typed: ``1l, 5l``, ``500ml 1l``.

    Raises `NotationError` for none, `BadValue` for a unit that is none.
    """
    parts = [part for part in text.replace(";", ",").split(",") if part.strip()]
    if not parts:
        raise NotationError("no container size: write them as 500ml, 1l, 5l", text)
    return tuple(round(units.read(part, units.Kind.VOLUME).base) for part in parts)
