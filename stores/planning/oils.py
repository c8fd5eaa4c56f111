"""Oil for the rebuild: what to buy for all sumps, by grade."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stores import units
from stores.errors import BadValue, NotationError, StoresError
from stores.handbook.fluids.oils import Grade, ShoppingOil, buy, need_of, read_grade
from stores.model.figures import SumpOnRecord
from stores.model.items import Item
from stores.model.ledger import Condition
from stores.model.money import show_money
from stores.model.orders import OnOrder
from stores.model.work_units import chosen
from stores.planning.figures import sump_of
from stores.text import words_of

__all__ = [
    "SIZES_ML",
    "Oil",
    "OilLine",
    "oil_at_hand",
    "oil_lines",
    "oil_to_buy",
    "read_oil",
    "read_sizes",
]

SIZES_ML = (500, 1000, 5000)
"""Containers that most oil is sold in (common practice)."""


_VOLUME = (
    r"(?i)(?:\b(\d{1,4})\s*[x×]\s*)?\b(\d+(?:[.,]\d+)?)\s*"
    r"(ml|cl|l|ltrs?|lit(?:re|er)s?|(?:imp|us)\s+(?:pints?|quarts?|gallons?))\b"
)
_CANS = frozenset(
    ("can", "cans", "bottle", "bottles", "tin", "tins", "drum", "drums", "jug", "jugs", "of", "x")
)


@dataclass(frozen=True, slots=True)
class Oil:
    """So much of an oil as words have it: ``1 l can SAE 140``. ``grade`` is None for one that goes
    by another name, whose words are in ``name``."""

    ml: int
    grade: Grade | None
    name: frozenset[str]


def read_oil(text: str) -> Oil | None:
    """Return the oil that a container is of by its words; None where they name no volume.

    >>> str(read_oil("1 l can SAE 140").grade), read_oil("SAE 20W-50, 500 ml").ml
    ('SAE 140', 500)
    """
    found = re.search(_VOLUME, text)
    if found is None:
        return None
    unit = "l" if found[3].casefold().startswith("l") else found[3]
    try:
        each = units.read(f"{found[2].replace(',', '.')} {unit}", units.Kind.VOLUME)
    except StoresError:
        return None
    rest = f"{text[: found.start()]} {text[found.end() :]}"
    words = [word for word in rest.replace(",", " ").split() if word.casefold() not in _CANS]
    try:
        grade = read_grade(" ".join(words))
    except (BadValue, NotationError):
        grade = None
    return Oil(round(each.base) * int(found[1] or 1), grade, frozenset(words_of(" ".join(words))))


def oil_at_hand(items: Iterable[Item], coming: Iterable[OnOrder] = ()) -> list[Oil]:
    """Return the oil in cans that is loose in the workshop, and then what is on order."""
    counted = [
        (item.named(Condition.NEW), item.in_hand(*item.spare_conditions))
        for item in items
        if not item.step.number
    ]
    counted += [(one.text, one.quantity) for one in coming if one.item is None]
    return [
        Oil(oil.ml * count, oil.grade, oil.name)
        for text, count in counted
        if count > 0 and (oil := read_oil(text)) is not None
    ]


def oil_to_buy(
    sumps: Iterable[SumpOnRecord],
    sizes_ml: Sequence[int] = SIZES_ML,
    *,
    stripped: bool = True,
    at_hand: Iterable[Oil] = (),
) -> ShoppingOil:
    """Return what to buy for these sumps, after a strip-down or after a drain, beside what is
    there or on order."""
    there = [(oil.grade, oil.ml) for oil in at_hand if oil.grade is not None]
    return buy([sump_of(sump) for sump in sumps], sizes_ml, stripped=stripped, at_hand=there)


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


def oil_lines(
    oil: ShoppingOil, sumps: Iterable[SumpOnRecord] = (), at_hand: Iterable[Oil] = ()
) -> list[OilLine]:
    """Return what is to be bought in lines, a can size each; what cannot be reckoned comes last,
    with what the record says of it. ``at_hand`` is taken off what goes by a name alone."""
    lines = []
    by_name = [(each.name, each.ml) for each in at_hand if each.grade is None]
    for each in oil.purchases:
        why = f"{_ml(each.need_ml)} needed{_less(each.at_hand_ml)}, {_ml(each.over_ml)} over"
        for size, count in each.containers:
            what = f"{each.grade}, {_can(size)}"
            lines.append(OilLine(count, what, why, ", ".join(each.sumps)))
    known = {sump.name: sump for sump in sumps}
    for name, why in oil.unknown:
        sump = known.get(name)
        need = need_of(sump_of(sump), stripped=True).high if sump else None
        said = why
        if need is not None and sump and sump.grade:
            there = _by_name(by_name, sump.grade, need)
            if there == need:
                continue
            said = f"{_ml(need)} needed{_less(there)}"
        lines.append(OilLine(None, sump.grade if sump and sump.grade else "oil", said, name))
    return lines


def _ml(ml: int) -> str:
    return chosen().volume_words(ml)


def _less(ml: int) -> str:
    return f", less {_ml(ml)} bought or on order" if ml else ""


def _by_name(lots: list[tuple[frozenset[str], int]], name: str, need: int) -> int:
    """Take so much of an oil of this name from what there is; return how much that is."""
    asked, taken = frozenset(words_of(name)), 0
    for at, (words, ml) in enumerate(lots):
        if asked <= words:
            some = min(ml, need - taken)
            lots[at] = (words, ml - some)
            taken += some
    return taken


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
