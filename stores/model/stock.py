"""What is known of the workshop's stock beside what and where it is."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from stores.text import many

__all__ = [
    "UNITS",
    "LowMark",
    "Need",
    "StockFacts",
    "Use",
    "assorted",
    "counted_in",
    "name_alone",
    "sizes_of",
    "so_much",
    "this_much",
]

UNITS = ("", "ml", "g", "mm", "cm2")
"""In what loose items are counted; empty for pieces. Quantities are whole numbers of these."""

_LARGER = {"ml": ("l", 1000), "g": ("kg", 1000), "mm": ("m", 1000), "cm2": ("m2", 10_000)}


def so_much(quantity: int | Fraction, unit: str) -> str:
    """Say a quantity as a person would: the larger unit where it takes no more digits. What is not
    whole is said to three figures.

    >>> so_much(340, "ml"), so_much(2500, "ml"), so_much(20_000, "mm"), so_much(3, "")
    ('340 ml', '2.5 l', '20 m', '3')
    >>> so_much(1234, "mm"), so_much(Fraction("4.5239"), "ml")
    ('1234 mm', '4.52 ml')
    """
    if quantity != int(quantity):
        if quantity < 1000:
            said = f"{float(quantity):.3g}" if quantity >= 1 else f"{float(quantity):.2g}"
            return f"{said} {unit}".strip()
        quantity = round(quantity)
    quantity = int(quantity)
    if not unit:
        return f"{quantity:,}"
    larger, of = _LARGER[unit]
    if quantity >= of and quantity * 100 % of == 0:
        return f"{quantity / of:g} {larger}"
    return f"{quantity} {unit}"


def counted_in(unit: str, name: str) -> str:
    """Return the description of what is counted in a unit, so that a count before it reads right:
    340 ``ml of flange sealant``.

    >>> counted_in("ml", "flange sealant"), counted_in("", "nitrile gloves")
    ('ml of flange sealant', 'nitrile gloves')
    """
    return f"{unit} of {name}" if unit else name


def name_alone(unit: str, text: str) -> str:
    """Return the name in such a description."""
    return text.removeprefix(f"{unit} of ") if unit else text


def this_much(quantity: int, unit: str, text: str, pack: int = 0) -> str:
    """Say so much of a thing, in whole packs where it is bought in them.

    >>> this_much(100, "ml", "ml of flange sealant", 50), this_much(75, "ml", "ml of grease", 50)
    ('2 x 50 ml of flange sealant', '75 ml of grease')
    >>> this_much(100, "", "assortment: 20 M4 nut; 30 M5 nut", 50), this_much(3, "", "M6 nut")
    ('2 x assortment: 20 M4 nut; 30 M5 nut', '3 M6 nut')
    """
    in_packs = bool(unit) or bool(sizes_of(text))
    packs = quantity // pack if in_packs and pack and quantity % pack == 0 else 0
    times = f"{packs} x " if packs > 1 else ""
    if unit:
        size = so_much(pack if packs else quantity, unit)
        return f"{times}{size} of {name_alone(unit, text)}"
    if packs:
        return f"{times}{text}"
    return many(quantity, text)


_ASSORTED = "assortment: "


def assorted(sizes: Iterable[tuple[int, str]]) -> str:
    """Return the description of a pack of several sizes: how many of what.

    >>> assorted([(20, "M4 nut"), (10, "M6 nut")])
    'assortment: 20 M4 nut; 10 M6 nut'
    """
    return _ASSORTED + "; ".join(many(count, text) for count, text in sizes)


def sizes_of(text: str) -> tuple[tuple[int, str], ...]:
    """Return what a pack of such a description holds; empty for anything else.

    >>> sizes_of("assortment: 20 M4 nut; 2 off 1/4 BSF nut"), sizes_of("M4 nut")
    (((20, 'M4 nut'), (2, '1/4 BSF nut')), ())
    """
    if not text.startswith(_ASSORTED):
        return ()
    parts = [
        re.fullmatch(r"(\d+) (?:off )?(.+)", part) for part in text[len(_ASSORTED) :].split("; ")
    ]
    return tuple((int(part[1]), part[2]) for part in parts if part)


@dataclass(frozen=True, slots=True)
class StockFacts:
    """What is known of a pack. ``pack`` is what a full one holds, in the item's unit, 0 for not
    known. ``opened`` and ``made`` are days, ``use_by`` the last day it is good, as printed on it.
    ``kind`` is the key of its kind in the handbook's table of consumables, empty for none.
    """

    kind: str = ""
    pack: int = 0
    made: date | None = None
    opened: date | None = None
    use_by: date | None = None
    batch: str = ""
    hazard: str = ""
    keeping: str = ""
    note: str = ""

    @classmethod
    def of(cls, said: Mapping[str, str]) -> "StockFacts":
        """Read what was said, by name; what is empty was taken back."""

        def day(name: str) -> date | None:
            return date.fromisoformat(said[name]) if said.get(name) else None

        return cls(
            said.get("kind", ""),
            int(said.get("pack") or 0),
            day("made"),
            day("opened"),
            day("use by"),
            said.get("batch", ""),
            said.get("hazard", ""),
            said.get("keeping", ""),
            said.get("note", ""),
        )


@dataclass(frozen=True, slots=True)
class LowMark:
    """The least that the workshop wants to hold of a thing, by its specification."""

    text: str
    unit: str
    least: int


@dataclass(frozen=True, slots=True)
class Need:
    """What goes in with a step, or with its item of this ``line`` (0: the step as a whole).

    ``said`` is how a person named it, ``name`` its full name in the handbook, ``kind`` the key of
    its kind there, empty where the words name none or may be of several (``choices``); ``words``
    tell its variety. ``quantity`` in ``unit`` is exact, None where nothing says how much; ``basis``
    is how it was worked out. ``on``: the step is on already.
    """

    machine: str
    step: int
    part: str
    line: int
    said: str
    name: str = ""
    kind: str = ""
    words: frozenset[str] = frozenset()
    unit: str = ""
    quantity: Fraction | None = None
    basis: str = ""
    choices: tuple[str, ...] = ()
    on: bool = False

    @property
    def ref(self) -> str:
        """Where it goes in: ``7.2``, or ``step 7``."""
        return f"{self.step}.{self.line}" if self.line else f"step {self.step}"

    @property
    def amount(self) -> str:
        """How much; empty where that is not known."""
        return "" if self.quantity is None else so_much(self.quantity, self.unit)


@dataclass(frozen=True, slots=True)
class Use:
    """So much of a loose item (its number) that went to a machine, and to a step if not 0."""

    item: int
    machine: str
    step: int
    quantity: int
    what: str
    basis: str
    date: str
