"""What a calculator answers: a figure with its range, what limits it, and where it comes from.

Every calculator gives something that has the attributes of `Answered`: an `Answer` where a figure
is all there is to say, a class of its own where there is more (``Tightening`` of torque).
Their source keys are spelt out in one table, which `cite` reads.
"""

from dataclasses import dataclass
from functools import cache
from math import isfinite
from typing import Protocol

from stores.errors import BadValue, NotFound
from stores.handbook.table import table

__all__ = ["Answer", "Answered", "above_zero", "between", "cite", "not_negative"]


class Answered(Protocol):
    """What every answer of a calculator has.

    ``low`` <= ``value`` <= ``high``, all in ``unit``. ``what`` names the figure, ``limiting`` says
    what the range or the figure hangs on most, ``assumptions`` what was taken for granted;
    ``sources`` are keys that `cite` spells out; ``cautions`` are to be shown once.
    """

    @property
    def what(self) -> str: ...
    @property
    def value(self) -> float: ...
    @property
    def unit(self) -> str: ...
    @property
    def low(self) -> float: ...
    @property
    def high(self) -> float: ...
    @property
    def limiting(self) -> str: ...
    @property
    def assumptions(self) -> tuple[str, ...]: ...
    @property
    def sources(self) -> tuple[str, ...]: ...
    @property
    def cautions(self) -> tuple[str, ...]: ...


@dataclass(frozen=True, slots=True)
class Answer:
    """A figure: ``low`` <= ``value`` <= ``high``, all in ``unit``; the rest is `Answered`'s.

    A range that does not hold its value, and a figure without a source, are bugs: `ValueError`.
    """

    what: str
    value: float
    unit: str
    low: float
    high: float
    limiting: str = ""
    assumptions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.low <= self.value <= self.high:
            raise ValueError(f"{self.what}: {self.low} to {self.high} does not hold {self.value}")
        if not self.sources:
            raise ValueError(f"{self.what}: no source")


@cache
def _sources() -> dict[str, str]:
    return {row["key"]: row["source"] for row in table("sources")}


def cite(key: str) -> str:
    """Return the source that a key stands for. Raises `NotFound` for an unknown key."""
    try:
        return _sources()[key]
    except KeyError:
        raise NotFound(f"no source {key!r}") from None


def above_zero(what: str, value: float, unit: str, most: float) -> float:
    """Return a value that is above zero and up to ``most``, or raise `BadValue` saying so."""
    if not (isfinite(value) and 0 < value <= most):
        raise BadValue(f"{what} {value:g} {unit}: expected above 0 and up to {most:g} {unit}")
    return value


def not_negative(what: str, value: float, unit: str, most: float) -> float:
    """Return a value from zero to ``most``, or raise `BadValue` saying so."""
    return between(what, value, unit, 0.0, most)


def between(what: str, value: float, unit: str, least: float, most: float) -> float:
    """Return a value within its range, ends included, or raise `BadValue` saying so."""
    if not (isfinite(value) and least <= value <= most):
        said = f"{what} {value:g} {unit}".rstrip()
        raise BadValue(f"{said}: expected {least:g} to {most:g} {unit}".rstrip())
    return value
