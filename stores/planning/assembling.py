"""What is known of a step for its refit: what goes in with it, what is measured, tight and signed.

Plain values, as read from the record; the newest standing one of each.
"""

import re
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from stores.model.work_units import chosen

__all__ = [
    "Applied",
    "CheckPoint",
    "HowTight",
    "Refits",
    "Role",
    "Signature",
    "StepNotes",
    "TakesSaid",
    "Tightened",
]


class HowTight(StrEnum):
    """How pieces were left."""

    FINGER = "finger-tight"
    TIGHT = "tightened"


class Role(StrEnum):
    """Who signs for a step."""

    FITTED = "fitted"
    SECOND = "second person"


@dataclass(frozen=True, slots=True)
class Applied:
    """What goes in with a step or one of its items: locking compound, sealant, grease, oil.

    ``line`` is the item's line within the step, 0 for the step as a whole. ``amount`` is how much,
    empty where that is not known, and ``basis`` how it was worked out (`stores.planning.needs`).
    """

    step: int
    line: int
    kind: str
    text: str
    amount: str = ""
    basis: str = ""

    @property
    def words(self) -> str:
        """Say what goes in and how much: ``medium threadlocker: 0.2 ml (as said)``."""
        return f"{self.text}: {self.amount} ({self.basis})" if self.amount else self.text


@dataclass(frozen=True, slots=True)
class TakesSaid:
    """How much of a thing goes in, as a person said: exact, in ``unit``, empty for pieces; and how
    that was worked out. ``line`` is the item's line within the step, 0 for the step as a whole."""

    step: int
    line: int
    name: str
    unit: str
    quantity: Fraction
    basis: str


@dataclass(frozen=True, slots=True)
class CheckPoint:
    """Something to measure when a step is refitted, with its limits in ``unit``.

    ``low`` or ``high`` None is no limit on that side; ``found`` is what was measured last.
    """

    number: int
    step: int
    name: str
    low: Fraction | None = None
    high: Fraction | None = None
    unit: str = ""
    source: str = ""
    found: Fraction | None = None
    date: str = ""

    @property
    def limits(self) -> str:
        """Say the limits: ``0.05 to 0.15 mm``, ``at most 0.1 mm``."""
        low, high = _figure(self.low), _figure(self.high)
        if low and high:
            return f"{low} {self.unit}" if low == high else f"{low} to {high} {self.unit}"
        if high:
            return f"at most {high} {self.unit}"
        return f"at least {low} {self.unit}" if low else f"in {self.unit}"

    @property
    def measured(self) -> str:
        """Say what was measured, empty where nothing was."""
        return "" if self.found is None else f"{_figure(self.found)} {self.unit}"

    @property
    def within(self) -> bool | None:
        """Whether what was measured keeps to the limits, None where nothing was measured."""
        if self.found is None:
            return None
        return (self.low is None or self.low <= self.found) and (
            self.high is None or self.found <= self.high
        )


def _figure(value: Fraction | None) -> str:
    return "" if value is None else f"{float(value):g}"


@dataclass(frozen=True, slots=True)
class Tightened:
    """How pieces of an item were left, with the torque applied, None when none was measured."""

    item: int
    quantity: int
    how: HowTight
    torque_nm: float | None = None
    state: str = ""
    written: str = ""
    date: str = ""

    @property
    def words(self) -> str:
        """Say it: ``tightened to 24 N m, oiled``."""
        if self.how is HowTight.FINGER:
            return "only finger-tight"
        said = self.how.value
        if self.torque_nm is not None:
            now = chosen()
            said += f" to {now.torque_span(self.torque_nm, self.torque_nm)} {now.torque}"
            in_nm = re.search(r"(?i)n[ .]?m\b", self.written)
            other = now.beside(self.torque_nm, self.torque_nm, "" if in_nm else self.written)
            said += f" ({other})" if other else ""
        return said + (f", {self.state}" if self.state else "")


@dataclass(frozen=True, slots=True)
class Signature:
    """Who signed for a step, and when."""

    step: int
    role: Role
    name: str
    date: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class StepNotes:
    """All that is known of one step for its refit."""

    applied: tuple[Applied, ...] = ()
    points: tuple[CheckPoint, ...] = ()
    signatures: tuple[Signature, ...] = ()
    minutes: int | None = None
    access_only: bool = False
    access_to: int | None = None
    """The step that it made way for, where that was said."""
    takes: tuple[TakesSaid, ...] = ()
    """How much goes in, where a person said so."""

    def signed(self, role: Role) -> Signature | None:
        """Give the signature in a role, if there is one."""
        return next((each for each in self.signatures if each.role is role), None)


@dataclass(frozen=True, slots=True)
class Refits:
    """The same for a whole machine: by step number, and by item number how tight it was left."""

    steps: dict[int, StepNotes] = field(default_factory=dict)
    tightened: dict[int, Tightened] = field(default_factory=dict)

    def of(self, step: int) -> StepNotes:
        """Give what is known of a step."""
        return self.steps.get(step, _NOTHING)

    @property
    def access_only(self) -> dict[int, int | None]:
        """The steps that came off for access only, with the step that each made way for."""
        return {number: of.access_to for number, of in self.steps.items() if of.access_only}


_NOTHING = StepNotes()
