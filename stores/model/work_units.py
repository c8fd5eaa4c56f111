"""The units that a person works in: torques and volumes, on the screen and on every sheet.

The record keeps N m and ml whatever is chosen; a choice turns figures round as they are shown, the
record's own unit in brackets behind. Who opens the door says once which choice holds
(`working_in`): it is looked up at the first figure that is shown, for most commands show none.
"""

import contextlib
import re
from collections.abc import Callable, Iterator
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache

from stores import units
from stores.errors import BadValue, StoresError

__all__ = ["SYSTEMS", "TORQUES", "VOLUMES", "WorkUnits", "chosen", "of_settings", "working_in"]

TORQUES = ("N m", "lbf ft", "lbf in", "kgf m")
VOLUMES = ("ml", "imp pint", "US pint")
"""What may be chosen; the first is the record's own."""

_OUNCES = {"imp pint": "imp fl oz", "US pint": "US fl oz"}
_GALLONS = {"imp pint": "imp gallon", "US pint": "US gallon"}
HALF_A_PINT_ML = 250.0
"""Below about half a pint volumes are told in fluid ounces, ml."""
GALLONS_ML = 10_000.0
"""From there on, about two gallons, they are told in gallons, ml: a bath or a tank."""
DROPS_ML = 10.0
"""Below it they stay in ml, whatever was chosen: a syringe or a dropper measures them."""

SYSTEMS = {
    "metric": ("N m", "ml"),
    "imperial": ("lbf ft", "imp pint"),
    "US": ("lbf ft", "US pint"),
}
"""Choices that go together."""


@dataclass(frozen=True, slots=True)
class WorkUnits:
    """The units chosen. Raises `BadValue` for one that there is no choice of."""

    torque: str = TORQUES[0]
    volume: str = VOLUMES[0]

    def __post_init__(self) -> None:
        for word, known in ((self.torque, TORQUES), (self.volume, VOLUMES)):
            if word not in known:
                raise BadValue("no such work unit", typed=word, known=known)

    def torque_of(self, newton_metres: float) -> float:
        """Return a torque in the unit chosen."""
        return float(units.convert(newton_metres, "N m", self.torque))

    def torque_span(self, low_nm: float, high_nm: float) -> str:
        """Return a torque without its unit: ``18``, ``18 to 20``.

        >>> WorkUnits("lbf ft").torque_span(24.405, 27.116)
        '18 to 20'
        """
        low, high = (units.plain(self.torque_of(each), 3) for each in (low_nm, high_nm))
        return low if low == high else f"{low} to {high}"

    def torque_words(self, low_nm: float, high_nm: float | None = None) -> str:
        """Return a torque: ``24.4 N m``, or ``18 lbf ft (24.4 N m)`` where that was chosen.

        >>> WorkUnits("lbf ft").torque_words(24.405)
        '18 lbf ft (24.4 N m)'
        """
        high_nm = low_nm if high_nm is None else high_nm
        figure = f"{self.torque_span(low_nm, high_nm)} {self.torque}"
        return figure + (f" ({self.torque_beside(low_nm, high_nm)})" if self.turns_torque else "")

    def torque_beside(self, low_nm: float, high_nm: float) -> str:
        """Return a torque in the record's unit: ``24.4 N m``."""
        return f"{WorkUnits().torque_span(low_nm, high_nm)} N m"

    def beside(self, low_nm: float, high_nm: float, written: str) -> str:
        """Return a book's figure as it stands beside the one shown: as the book has it, else in
        N m; empty where that is the one shown.

        ``written`` is the book's figure where that is not in N m.

        >>> WorkUnits("lbf ft").beside(24.405, 24.405, "18 lbf ft"), WorkUnits().beside(9, 9, "")
        ('24.4 N m', '')
        """
        if self.turns_torque and (not written or self._has(written)):
            return self.torque_beside(low_nm, high_nm)
        return written

    def as_written(self, low_nm: float, high_nm: float, written: str) -> str:
        """Return a book's figure as the book has it, the unit chosen behind where it is another.

        >>> WorkUnits("lbf ft").as_written(25, 25, "25 N m")
        '25 N m (18.4 lbf ft)'
        """
        if not self.turns_torque or self._has(written):
            return written
        return f"{written} ({self.torque_span(low_nm, high_nm)} {self.torque})"

    def _has(self, written: str) -> bool:
        """Return whether a figure as a book has it is in the unit chosen."""
        try:
            *_, word = units.read_span(written)
            return units.unit(word, units.Kind.TORQUE).name == self.torque
        except StoresError:
            return False

    def to_set(self, newton_metres: float) -> str:
        """Return a torque as a wrench is set to it, never rounded up: ``13 lbf ft (18 N m)``.

        18.5 N m are 13.64 lbf ft:

        >>> WorkUnits("lbf ft").to_set(18.5), WorkUnits().to_set(18.5)
        ('13.5 lbf ft (18.5 N m)', '18.5 N m')
        """
        from stores.handbook.torque.answer import set_down

        beside = f"{units.plain(newton_metres, 3)} N m"
        if not self.turns_torque:
            return beside
        own = units.plain(set_down(self.torque_of(newton_metres)), 3)
        return f"{own} {self.torque} ({beside})"

    def pass_words(self, newton_metres: float, per_cent: int | None) -> str:
        """Return the torque of a pass over a joint: the last is the figure itself, and those on the
        way to it are what a wrench is set to.

        >>> WorkUnits("lbf ft").pass_words(25, 100), WorkUnits("lbf ft").pass_words(7.5, 30)
        ('18.4 lbf ft (25 N m)', '5.5 lbf ft (7.5 N m)')
        """
        if per_cent == 100:
            return self.torque_words(newton_metres)
        return self.to_set(newton_metres)

    def volume_words(self, millilitres: float) -> str:
        """Return a volume: ``1,400 ml``, or ``2.46 imp pint (1,400 ml)`` where that was chosen.

        An imperial pint is 568.26 ml:

        >>> WorkUnits(volume="imp pint").volume_words(1400), WorkUnits().volume_words(1400)
        ('2.46 imp pint (1,400 ml)', '1,400 ml')
        """
        own, beside = f"{millilitres:,.0f} ml", self.volume_beside(millilitres)
        return f"{beside} ({own})" if beside else own

    def volume_beside(self, millilitres: float) -> str:
        """Return a volume in the unit chosen, to stand beside its ml; empty where that is ml.

        A pint is 568.26 ml:

        >>> WorkUnits(volume="imp pint").volume_beside(340), WorkUnits().volume_beside(340)
        ('0.598 imp pint', '')
        """
        unit = self.volume_unit(millilitres)
        if unit == VOLUMES[0]:
            return ""
        return f"{units.plain(units.convert(millilitres, VOLUMES[0], unit), 3)} {unit}"

    def volume_unit(self, millilitres: float) -> str:
        """Return the unit for a volume: below half a pint the fluid ounce, of a few drops ml, of a
        bath the gallon.

        >>> WorkUnits(volume="imp pint").volume_unit(200), WorkUnits().volume_unit(200)
        ('imp fl oz', 'ml')
        """
        if abs(millilitres) < DROPS_ML:
            return VOLUMES[0]
        size = abs(millilitres)
        other = _OUNCES if size < HALF_A_PINT_ML else _GALLONS if size >= GALLONS_ML else {}
        return other.get(self.volume, self.volume)

    def turned(self, text: str) -> str:
        """Return a sentence with each torque in N m turned round: ``8 lbf ft (10.8 N m)``.

        What stands in brackets behind the unit chosen is turned already.

        >>> WorkUnits("lbf ft").turned("may break from 3.8 N m on")
        'may break from 2.8 lbf ft (3.8 N m) on'
        """
        if not self.turns_torque:
            return text

        def turn(found: re.Match[str]) -> str:
            if text[: found.start()].endswith(f"{self.torque} ("):
                return found[0]
            low, high = float(found[1]), float(found[2] or found[1])
            return f"{self.torque_span(low, high)} {self.torque} ({found[0]})"

        return re.sub(r"(?<![\d.])(\d[\d.]*)(?: to (\d[\d.]*))? N m\b", turn, text)

    @property
    def turns_torque(self) -> bool:
        """Whether torques are shown in another unit than the record's."""
        return self.torque != TORQUES[0]


def of_settings(settings: dict[str, str]) -> WorkUnits:
    """Return the units that the settings of a record choose, the record's own where none is."""
    return WorkUnits(
        settings.get("torque unit") or TORQUES[0], settings.get("volume unit") or VOLUMES[0]
    )


_CHOSEN: ContextVar[Callable[[], WorkUnits]] = ContextVar("chosen", default=WorkUnits)


@contextlib.contextmanager
def working_in(choice: Callable[[], WorkUnits]) -> Iterator[None]:
    """Show figures in these units meanwhile; the choice is looked up once, when one is shown."""
    before = _CHOSEN.set(cache(choice))
    try:
        yield
    finally:
        _CHOSEN.reset(before)


def chosen() -> WorkUnits:
    """Return the units that figures are shown in now."""
    return _CHOSEN.get()()
