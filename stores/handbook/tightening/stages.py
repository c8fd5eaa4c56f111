"""The passes in which a joint is brought to its torque.

All bolts go by hand first, then in the order at a share of the torque, then at the full torque;
a last pass at the full torque shows whether any still turns. Shares by `tightening_passes.csv`.
"""

from dataclasses import dataclass

from stores.errors import NotFound
from stores.handbook.answer import above_zero
from stores.handbook.table import table
from stores.handbook.tightening.order import Order

__all__ = ["MOST_NM", "SMALL_NM", "Procedure", "Stage", "procedure", "settable", "stages"]

MOST_NM = 5000.0
SMALL_NM = 2.0
"""Most workshop torque wrenches measure nothing below this (common practice)."""


@dataclass(frozen=True, slots=True)
class Procedure:
    """Shares of the final torque, per cent, rising to 100; ``rest_h`` hours, then once more."""

    key: str
    per_cent: tuple[int, ...]
    rest_h: int
    source: str


@dataclass(frozen=True, slots=True)
class Stage:
    """One pass over all holes.

    ``per_cent`` is None where no wrench is set; ``torque_nm`` also where no torque was given.
    ``holes`` is the order of this pass.
    """

    what: str
    per_cent: int | None
    torque_nm: float | None
    holes: tuple[int, ...]

    @property
    def torque(self) -> str:
        """The torque in words: ``12.5 N m``; empty if there is none."""
        return "" if self.torque_nm is None else f"{self.torque_nm:.10g} N m"


def procedure(holes: int, key: str = "") -> Procedure:
    """Give the procedure of that key, or the one for so many holes.

    Raises `NotFound` for an unknown key, naming those that are known.
    """
    rows = table("tightening_passes")
    for row in rows:
        if row["key"] == key.strip().lower() or (
            not key
            and row["for_holes_from"]
            and int(row["for_holes_from"]) <= holes <= int(row["for_holes_to"])
        ):
            shares = tuple(int(share) for share in row["per_cent"].split())
            return Procedure(row["key"], shares, int(row["rest_hours"] or 0), row["source"])
    known = ", ".join(row["key"] for row in rows)
    raise NotFound(f"no passes {key!r}: one of {known}")


def settable(share_nm: float, above_nm: float, final_nm: float) -> float:
    """Round the torque of an early pass, N m, to what a wrench can be set to.

    To 5 N m from 100 on, 1 from 10, 0.5 from 2, 0.1 below: always above the pass before and below
    the final torque, where that takes finer steps too.
    """
    step = 5.0 if share_nm >= 100 else 1.0 if share_nm >= 10 else 0.5 if share_nm >= 2 else 0.1
    while step > 1e-6:
        rounded = round(round(share_nm / step) * step, 9)
        if above_nm < rounded < final_nm:
            return rounded
        step /= 10
    return share_nm


def stages(order: Order, how: Procedure, torque_nm: float | None = None) -> tuple[Stage, ...]:
    """Give the passes for an order. ``torque_nm`` is the final torque, N m, above 0 and up to 5000.

    The final torque is never rounded and never exceeded. Raises `BadValue` for one out of range.
    """
    if torque_nm is not None:
        above_zero("torque", torque_nm, "N m", MOST_NM)
    made = [Stage("all by hand, evenly, until the faces meet", None, None, order.holes)]
    before = 0.0
    for share in how.per_cent:
        nm = torque_nm
        if torque_nm is not None and share < 100:
            nm = before = settable(torque_nm * share / 100, before, torque_nm)
        made.append(Stage("in order", share, nm, order.holes))
    again, words = _last(order)
    made.append(Stage(words, 100, torque_nm, again))
    if how.rest_h:
        words = f"after {how.rest_h} hours: {words}"
        made.append(Stage(words, 100, torque_nm, again))
    return tuple(made)


def _last(order: Order) -> tuple[tuple[int, ...], str]:
    if order.clockwise:
        start = order.clockwise[0]
        return order.clockwise, f"clockwise round from hole {start}, until none turns"
    return order.holes, "in the same order again, until none turns"
