"""What a torque calculation answers: an ``Answered`` of the handbook with more to say."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stores.handbook.torque.formulas import Method

if TYPE_CHECKING:
    from stores.handbook.thread import Thread
    from stores.handbook.torque.grades import Friction, Grade
    from stores.handbook.torque.joint import Bearing, Stripping

__all__ = ["GENERAL", "UNITS", "Limit", "Range", "Tightening", "in_units", "set_down"]

GENERAL = (
    "A general figure. Brakes, steering, wheels and lifting follow the maker's figure and a "
    "competent person."
)
UNITS = ("N m", "lbf ft", "lbf in", "kgf m")


@dataclass(frozen=True, slots=True)
class Range:
    """``low`` <= ``nominal`` <= ``high``, of one unit."""

    low: float
    nominal: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= self.nominal <= self.high:
            raise ValueError(f"{self.low}, {self.nominal}, {self.high} are not in order")

    def times(self, factor: float) -> "Range":
        """Return the range in a unit so many times smaller. ``factor`` is above zero."""
        return Range(self.low * factor, self.nominal * factor, self.high * factor)


@dataclass(frozen=True, slots=True)
class Limit:
    """One element of the joint and the preload, N, that it allows; ``why`` says how."""

    element: str
    preload_n: float
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Tightening:
    """A torque with its range, what limits it, and what it was worked out from.

    ``torque_nm`` is the torque that brings the limiting element to what it may carry, for a
    slippery, usual and rough thread: at ``low`` no bolt of the range is overstressed. It is no band
    to choose from; ``set_nm`` is the figure to set. ``preload_n`` is what the usual torque gives:
    lowest where friction is high, highest where it is low; of one friction figure, the scatter of
    a torque wrench. ``worst_share`` is the share of the yield that a slippery thread then uses:
    above 1 the bolt has yielded before, at ``yields_at_n``. ``seat_mpa`` is the pressure under the
    head at the highest preload that the bolt bears, ``seat_limit_mpa`` what the part stands, None
    if unknown.
    ``limits`` are all elements looked at, the weakest first.
    """

    thread: "Thread"
    grade: "Grade"
    friction: "Friction"
    head_friction: "Friction"
    bearing: "Bearing"
    method: Method
    torque_nm: Range
    preload_n: Range
    worst_share: float
    yields_at_n: float
    limits: tuple[Limit, ...]
    seat_mpa: float
    seat_limit_mpa: float | None
    stripping: "Stripping | None"
    assumptions: tuple[str, ...]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]
    assumed_mm: float | None = None
    """The length of thread in a tapped hole that was assumed, for want of one."""
    into: str = ""
    """What the tapped hole is in; empty for a nut or for steel."""
    breaks_nm: float | None = None
    """The least torque at which a screw of this kind may break, N m, where one is in print."""
    unit: str = "N m"

    @property
    def set_nm(self) -> float:
        """The torque to set, N m: the usual one, the slippery one where the state is not known;
        never rounded up."""
        unsure = self.friction.unsure or self.head_friction.unsure
        return set_down(self.torque_nm.low if unsure else self.torque_nm.nominal)

    @property
    def slippery_nm(self) -> float:
        """The torque to set where the thread is at its slipperiest, N m; never rounded up."""
        return set_down(self.torque_nm.low)

    @property
    def what(self) -> str:
        """What the figure is."""
        return f"torque of {self.thread.designation} {self.grade}, {self.friction}"

    @property
    def value(self) -> float:
        """The nominal torque, N m."""
        return self.torque_nm.nominal

    @property
    def low(self) -> float:
        """The torque for the slipperiest thread of the range, N m."""
        return self.torque_nm.low

    @property
    def high(self) -> float:
        """The torque for the roughest thread of the range, N m."""
        return self.torque_nm.high

    @property
    def preload_borne_n(self) -> Range:
        """The preload as far as the bolt bears it: beyond, it stretches and stays stretched."""
        low, nominal, high = self.preload_n.low, self.preload_n.nominal, self.preload_n.high
        return Range(low, nominal, max(nominal, min(high, self.yields_at_n)))

    @property
    def limiting(self) -> str:
        """The element that limits the torque."""
        return self.limits[0].element

    def torque(self, unit: str = "N m") -> Range:
        """Return the torque in N m, lbf ft, lbf in, kgf m or another unit of torque."""
        return in_units(self.torque_nm, unit)


def in_units(torque_nm: Range, unit: str) -> Range:
    """Return a torque in N m in another unit. Raises `BadValue` for what is no unit of torque.

    Args:
        torque_nm: the torque [N m].
        unit: one of `UNITS`.

    1 lbf ft is 1.35582 N m:

    >>> round(in_units(Range(25, 25, 25), "lbf ft").nominal, 2)
    18.44
    """
    from stores.units import Kind, convert
    from stores.units import unit as unit_of

    return torque_nm.times(float(convert(1, "N m", unit_of(unit, Kind.TORQUE))))


def set_down(torque_nm: float) -> float:
    """Return a torque as a wrench is set to it, N m, never rounded up.

    To 5 N m from 200, 1 from 20, 0.5 from 10, 0.1 from 1, 0.01 below.

    >>> set_down(24.57), set_down(10.12), set_down(0.5), set_down(331)
    (24.0, 10.0, 0.5, 330.0)
    """
    from math import floor

    steps = ((200.0, 5.0), (20.0, 1.0), (10.0, 0.5), (1.0, 0.1))
    step = next((step for least, step in steps if torque_nm >= least), 0.01)
    return round(floor(torque_nm / step + 1e-6) * step, 9)
