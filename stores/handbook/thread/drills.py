"""Drills that a shop stocks, and which of them to take before a tap.

Metric jobbing drills in the steps that are common practice (ISO 235 has more of them; lists
differ); number, letter and fraction drills of ASME B94.11M from ``tables/drills_inch.csv``.

A tapping drill is a drill that a shop has, within the nut's minor limits of the standard,
aimed at d - P for 60 degrees and at 80 % for the British forms. A
printed drill that is outside the limits or no stock size is not taken; `KNOWN_DISAGREEMENTS` names
each.
"""

from bisect import bisect_left
from functools import cache, lru_cache
from typing import NamedTuple

from stores.errors import BadValue
from stores.handbook.table import table
from stores.handbook.thread.model import ISO, MM_PER_INCH, UNIFIED, Thread

__all__ = ["Choice", "InchDrill", "choose", "inch_drill", "inch_drills", "stock_drill_mm"]

_FEWEST = 60.0
"""Per cent of thread that a hole must leave where no standard limits the nut's bore."""


class InchDrill(NamedTuple):
    """A number, letter or fraction drill: ``#7``, ``F``, ``27/64``."""

    name: str
    inches: float

    @property
    def mm(self) -> float:
        """Diameter, mm."""
        return self.inches * MM_PER_INCH


class Choice(NamedTuple):
    """A tapping drill, mm, and the rule that it was chosen by."""

    mm: float
    rule: str


@cache
def _stock() -> tuple[float, ...]:
    """Return the metric drills, 0.2 to 100 mm.

    Below 1 mm in hundredths ending in 0, 2, 5 and 8, to 3 mm in 0.05, to 14 in 0.1, to 32 in 0.25,
    then in 0.5.
    """
    small = [hundredths / 100 for hundredths in range(20, 100) if hundredths % 10 in (0, 2, 5, 8)]
    steps = ((100, 300, 5), (300, 1400, 10), (1400, 3200, 25), (3200, 10001, 50))
    return (*small, *(at / 100 for first, last, step in steps for at in range(first, last, step)))


def stock_drill_mm(diameter_mm: float, *, not_under: bool = False) -> float:
    """Return the nearest metric drill, or the first not under the diameter.

    A micrometre over a drill is that drill: it cuts larger than that (common practice: 0.05 mm at
    3 mm, 0.1 mm at 10). Raises `BadValue` outside 0.2 to 100 mm.

    Args:
        diameter_mm: the hole that is wanted [mm].
        not_under: never a smaller one.

    >>> stock_drill_mm(6.78), stock_drill_mm(6.82, not_under=True)
    (6.8, 6.9)
    """
    if not 0.2 <= diameter_mm <= 100:
        raise BadValue(f"drill {diameter_mm:g} mm: expected 0.2 to 100 mm")
    drills = _stock()
    at = bisect_left(drills, diameter_mm - 0.001)
    if not_under or at == 0:
        return drills[at]
    below, above = drills[at - 1], drills[min(at, len(drills) - 1)]
    # Half way between two of them, the larger spares the tap.
    return below if diameter_mm - below < above - diameter_mm - 1e-9 else above


@cache
def inch_drills() -> tuple[InchDrill, ...]:
    """Return the number, letter and fraction drills to 1 1/2 in, from the smallest."""
    named = [InchDrill(row["name"], float(row["d_in"])) for row in table("drills_inch")]
    parts = [InchDrill(_fraction(at), at / 64) for at in range(1, 97)]
    return tuple(sorted((*named, *parts), key=lambda drill: drill.inches))


def _fraction(parts: int) -> str:
    whole, above, below = parts // 64, parts % 64, 64
    while above and above % 2 == 0:
        above, below = above // 2, below // 2
    return " ".join(t for t in (str(whole or ""), f"{above}/{below}" if above else "") if t)


def _aim(thread: Thread) -> tuple[float, str]:
    """Return the hole to aim at, mm: d - P for 60 degrees ISO and Unified (77 %), else 80 %."""
    if thread.form in (ISO, UNIFIED):
        return thread.major_mm - thread.pitch_mm, "major diameter less the pitch"
    return thread.drill_for(80), "80 % of full thread"


def _bounds(thread: Thread) -> tuple[float, float, str]:
    """Return the least and largest hole, mm, and what sets them."""
    limits = thread.internal_minor_limits_mm
    if limits is None or not thread.standard:
        return thread.minor_mm, thread.drill_for(_FEWEST), f"core, and {_FEWEST:g} % of full thread"
    return limits.min_mm, limits.max_mm, f"nut's bore, {limits.source}"


@lru_cache(maxsize=2048)
def choose(thread: Thread) -> Choice:
    """Choose the stock drill nearest to about three quarters of full thread.

    It lies within the limits of the nut's minor diameter. Where no drill is made so small or so
    large, or none lies within, the hole aimed at is given as it is, and the rule says so.

    6.8 mm for M8 (ISO 2306):

    >>> from stores.handbook.thread import get
    >>> choose(get("M8")).mm
    6.8
    """
    aim, of_what = _aim(thread)
    low, high, bounds = _bounds(thread)
    within = [drill for drill in _stock() if low - 0.001 <= drill <= high + 0.001]
    if within and aim <= _stock()[-1]:
        best = min(within, key=lambda drill: (round(abs(drill - aim), 6), -drill))
        return Choice(best, f"stock drill nearest {of_what}, within the {bounds}")
    aim = round(min(max(aim, low), high), 3)
    return Choice(aim, f"no stock drill within the {bounds}: {of_what}, bored or reamed")


@lru_cache(maxsize=2048)
def inch_drill(thread: Thread) -> InchDrill | None:
    """Return the number, letter or fraction drill nearest to what `choose` aims at.

    None where none lies within the limits of the nut's minor diameter.

    The usual drill for 1/4-20 UNC is number 7, 0.201 in (ASME B1.1 tap drill tables):

    >>> from stores.handbook.thread import get
    >>> inch_drill(get("1/4 UNC"))
    InchDrill(name='#7', inches=0.201)
    """
    aim, _ = _aim(thread)
    low, high, _ = _bounds(thread)
    within = [drill for drill in inch_drills() if low - 0.001 <= drill.mm <= high + 0.001]
    return min(within, key=lambda drill: (abs(drill.mm - aim), -drill.mm), default=None)
