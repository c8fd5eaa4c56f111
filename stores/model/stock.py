"""What is known of the workshop's stock beside what and where it is."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

__all__ = ["UNITS", "LowMark", "Need", "StockFacts", "Use", "counted_in", "name_alone", "so_much"]

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
