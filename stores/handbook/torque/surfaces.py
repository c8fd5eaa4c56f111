"""Friction of thread and head: what a state of the surfaces is known to give, as a range."""

import re
from dataclasses import dataclass
from functools import cache
from math import isfinite
from types import MappingProxyType

from stores import units
from stores.errors import BadValue
from stores.handbook.table import table
from stores.text import fold

__all__ = ["LEAST", "MOST", "Friction", "friction", "states"]

LEAST, MOST = 0.03, 0.60
"""Friction outside this is refused: class A of VDI 2230 table A5 starts at 0.04, and dry stainless,
the worst in print, reaches a nut factor of 0.5, about 0.45 as friction."""


@dataclass(frozen=True, slots=True)
class Friction:
    """Friction coefficient: ``low`` <= ``nominal`` <= ``high``, the same for thread and head.

    ``scatter`` is the share by which preload at one torque spreads either way (NASA TM-106943:
    0.25 lubricated, 0.35 dry). ``note`` is what the table warns of.
    """

    state: str
    low: float
    nominal: float
    high: float
    scatter: float
    sources: tuple[str, ...]
    source: str
    note: str = ""

    def __str__(self) -> str:
        if self.low == self.high:
            return f"friction {self.nominal:g}"
        return f"{self.state}, friction {self.nominal:g} ({self.low:g} to {self.high:g})"


def states(*, stainless: bool = False) -> tuple[str, ...]:
    """Give the names of the states that have a range."""
    return tuple(_states("stainless" if stainless else "steel"))


@cache
def _states(material: str) -> MappingProxyType[str, Friction]:
    found = {}
    for row in table("torque_friction_states"):
        if row["material"] == material:
            found[row["state"]] = Friction(
                row["state"], float(row["low"]), float(row["nominal"]), float(row["high"]),
                float(row["scatter"]), ("vdi2230-a5", "nasa-106943"), row["source"], row["note"],
            )  # fmt: skip
    return MappingProxyType(found)


@cache
def _words(material: str) -> dict[str, str]:
    words = {}
    for row in table("torque_friction_states"):
        if row["material"] == material:
            words[row["state"]] = row["state"]
            words.update({word.strip(): row["state"] for word in row["words"].split(";")})
    return words


def _class(letter: str) -> Friction:
    row = next(row for row in table("torque_friction_classes") if row["class"] == letter)
    low, nominal, high, scatter = (
        float(row[column]) for column in ("low", "nominal", "high", "scatter")
    )
    return Friction(
        f"class {letter}", low, nominal, high, scatter, ("vdi2230-a5", "nasa-106943"),
        row["source"], row["what"],
    )  # fmt: skip


def friction(state: "str | float | Friction | None", *, stainless: bool = False) -> Friction:
    """Give the range that a state (``dry``, ``oiled`` ...), a figure or a range of them means.

    ``0.12`` is one figure, ``0.10-0.14`` a range, ``class B`` one of VDI 2230 table A5. Stainless
    has ranges of its own. Raises `BadValue` for None or an empty text (dry or oiled is asked, never
    assumed), for a state that has no range and for friction outside 0.03 to 0.60.
    """
    if isinstance(state, Friction):
        return state
    known = ", ".join(states(stainless=stainless))
    if state is None or (isinstance(state, str) and not state.strip()):
        raise BadValue(f"dry or oiled? the torque hangs on it; say one of: {known}; or a figure")
    if isinstance(state, str):
        word = fold(state)
        material = "stainless" if stainless else "steel"
        if found := re.fullmatch(r"(?:friction )?class ([a-e])", word):
            return _class(found[1].upper())
        if word in _words(material):
            return _states(material)[_words(material)[word]]
        figures = re.fullmatch(r"(?:mu )?(\d*[.,]?\d+)(?: ?(?:-|–|to) ?(\d*[.,]?\d+))?", word)
        if figures is None:
            raise BadValue(f"no friction on record for {state.strip()!r}; known are: {known}")
        low, high = (float(units.value(text or figures[1])) for text in figures.groups())
    else:
        low = high = float(state)
    for value in (low, high):
        if not (isfinite(value) and LEAST <= value <= MOST):
            raise BadValue(
                f"friction {value:g}: expected {LEAST:g} to {MOST:g}; the slipperiest paste has "
                "about 0.04, dry stainless about 0.45"
            )
    if low > high:
        raise BadValue(f"friction {low:g} to {high:g}: the smaller figure comes first")
    middle = round((low + high) / 2, 6)
    return Friction("as given", low, middle, high, 0.25, ("given", "nasa-106943"), "as given")
