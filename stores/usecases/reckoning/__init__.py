"""The calculators: what is typed in, a figure with its range, reasons and sources out.

They need no record and load no database: the asks are plain values, the figures the handbook's.

An answer gives the figure, its range, the unit, what limits it, what was taken for granted, source
keys that `cite` spells out, cautions; nonsense is refused with the reason. Where a value is taken
for granted the answer says so; what changes a figure by much (dry or oiled, a plug's seat) is asked
for and never assumed. Who knows least must not get the most: what is left unsaid never raises a
torque. On screen the figure to set comes first, what can hurt right under it, then what it depends
on and what was assumed, sources last. What is missing is asked for at a terminal (`asking`).
Torques and volumes are shown by ``chosen()`` of `stores.model.work_units`, the units a person works
in, never by a unit of one's own; the record, its log and JSON keep N m and ml.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stores import units
from stores.errors import StoresError

if TYPE_CHECKING:
    from stores.handbook.answer import Answer

__all__ = ["Converted", "Reckoned", "convert", "reckoned"]

DRAWN = {"drawn": True}
"""Marks a field of a reply that is there to be drawn from: a program is not given it."""


CONVERTED = {
    units.Kind.LENGTH: ("mm", "in", "thou"),
    units.Kind.AREA: ("cm2", "m2", "in2", "ft2"),
    units.Kind.TORQUE: ("N m", "lbf ft", "lbf in", "kgf m"),
    units.Kind.VOLUME: (
        "ml", "l", "imp fl oz", "imp gill", "imp pint", "imp quart", "imp gallon", "US fl oz",
        "US pint", "US quart", "US gallon",
    ),
    units.Kind.PRESSURE: ("kPa", "bar", "psi", "kgf/cm2"),
    units.Kind.MASS: ("g", "kg", "lb", "cwt"),
    units.Kind.TEMPERATURE: ("C", "F"),
}  # fmt: skip
"""The units that an amount is turned into where none is named."""

STRESSES = ("MPa", "tonf/in2", "psi", "kgf/cm2", "bar")
"""Those of a pressure that is a strength of a metal, from `STRESS_KPA` on."""

STRESS_KPA = 20_000

_DEFINED = {
    units.Kind.LENGTH: ("inch-pound",),
    units.Kind.TORQUE: ("inch-pound", "gravity"),
    units.Kind.VOLUME: ("wma-1985",),
    units.Kind.PRESSURE: ("inch-pound", "gravity", "atmosphere"),
    units.Kind.MASS: ("inch-pound",),
    units.Kind.TEMPERATURE: ("celsius",),
}
"""Keys of where the units of a kind are defined."""


@dataclass(frozen=True, slots=True)
class Reckoned:
    """A figure: ``low`` <= ``value`` <= ``high``, all in ``unit``, with what it hangs on most, what
    was taken for granted, and its sources spelled out."""

    what: str
    value: float
    unit: str
    low: float
    high: float
    limiting: str
    assumptions: tuple[str, ...]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Converted:
    """An amount in other units, and where these are defined."""

    given: units.Amount
    amounts: tuple[units.Amount, ...]
    sources: tuple[str, ...]

    @property
    def by_unit(self) -> dict[str, float]:
        """The amounts by the name of their unit."""
        return {each.unit.name: float(each.value) for each in self.amounts}


def reckoned(answer: "Answer") -> Reckoned:
    """Return a figure of the handbook with its sources spelled out."""
    return Reckoned(
        answer.what,
        answer.value,
        answer.unit,
        answer.low,
        answer.high,
        answer.limiting,
        answer.assumptions,
        _cited(answer.sources),
        answer.cautions,
    )


def _two_units(typed: str) -> tuple[str, list[str]]:
    """Return ``30 psi bar`` as the amount and the unit wanted; what is one amount stays one."""
    words = typed.split()
    try:
        units.read(typed)
    except StoresError:
        known: StoresError | None = None
        for end in range(len(words) - 1, 1, -1):
            head = " ".join(words[:end])
            tail = " ".join(words[end + (words[end] in ("in", "into") and end + 1 < len(words)) :])
            try:
                units.unit(tail)
            except StoresError:
                continue
            try:
                units.read(head).to(tail)
            except StoresError as error:  # "1 gill ml": a unit to turn it into, and whose gill?
                known = known or error
                continue
            return head, [tail]
        if known is not None:
            raise known from None
    return typed, []


def _cited(keys: Sequence[str]) -> tuple[str, ...]:
    from stores.handbook.answer import cite

    return tuple(cite(key) for key in keys)


def _all(*answers: "Answer") -> tuple[Reckoned, ...]:
    return tuple(map(reckoned, answers))


def _amount(typed: str, kind: units.Kind, default: str | None = None) -> float:
    """Return an amount in the base unit of its kind: mm, N m, ml or kPa."""
    return float(units.read(typed, kind, default).base)


def _mm(typed: str) -> float:
    return _amount(typed, units.Kind.LENGTH, "mm")


def _mm_or_none(typed: str) -> float | None:
    return _mm(typed) if typed else None


def _ml(typed: str) -> float:
    """Return a volume, also ``1gal-imp`` typed without quotes."""
    return _amount(typed.replace("-", " "), units.Kind.VOLUME)


def _nm(typed: str) -> float | None:
    return _amount(typed, units.Kind.TORQUE, "N m") if typed else None


def convert(typed: str) -> Converted:
    """Return an amount in other units, exactly: ``18 lbf ft``, ``998.8 hPa to psi``, ``5 psi bar``.

    Raises:
        NotationError, BadValue: no amount, or no such unit.
    """
    first, *wanted = re.split(r"\s+(?:to|as)\s+(?=\D)", typed, maxsplit=1)
    if not wanted:
        first, wanted = _two_units(typed)
    given = units.read(first)
    usual = CONVERTED[given.unit.kind]
    if given.unit.kind is units.Kind.PRESSURE and given.base >= STRESS_KPA:
        usual = STRESSES
    names = wanted or usual
    amounts = tuple(given.to(name) for name in names)
    return Converted(given, amounts, _cited(_DEFINED[given.unit.kind]))
