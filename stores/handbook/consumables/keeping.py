"""How long a consumable keeps: until when it may be used, opened or not.

The date on the pack comes before every figure here. Of the lives that texts give, the shortest is
the one to go by; the longest is where it ends.
"""

from calendar import monthrange
from dataclasses import dataclass
from datetime import date

from stores.errors import BadValue
from stores.handbook.answer import Answer, between
from stores.handbook.consumables.kinds import Consumable

__all__ = [
    "BRAKE_FLUID",
    "Until",
    "usable_until",
    "whole_packs",
]


@dataclass(frozen=True, slots=True)
class Until:
    """Until when a pack may be used.

    ``day`` is the cautious date, ``latest`` the longest that any text allows; None where nothing
    is dated. ``by`` is what ``day`` is counted from: ``made``, ``bought``, ``opened`` or ``label``.
    ``check`` means that it cannot be told, so that the pack is inspected before use; ``final`` that
    no inspection stretches the date.
    """

    day: date | None
    latest: date | None
    by: str
    check: bool
    final: bool
    assumptions: tuple[str, ...]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]


def _later(day: date, months: int) -> date:
    """Return the day so many months later; the last of a month that is too short."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def usable_until(
    kind: Consumable,
    *,
    made: date | None = None,
    bought: date | None = None,
    opened: date | None = None,
    label: date | None = None,
    unopened_months: int | None = None,
    opened_months: int | None = None,
) -> Until:
    """Return until when a pack may be used: the earliest of what its dates allow.

    Args:
        kind: the kind of consumable.
        made: the day it was made, packed, cured or sealed; of a month its first.
        bought: the day it was bought, which counts where it is not known when it was made.
        opened: the day it was first opened.
        label: the date on the pack itself, which stands for made and bought.
        unopened_months: the life that the pack or its maker gives, in place of the table's [month].
        opened_months: the same once opened [month].

    Raises `BadValue` for a life below 0 or above 600 months, or for opened before made.

    24 months from March 2024, but opened in January 2025 and good for 12 months from then:

    >>> from stores.handbook.consumables import kind_named
    >>> until = usable_until(kind_named("antifreeze"), made=date(2024, 3, 1),
    ...     opened=date(2025, 1, 15), unopened_months=24, opened_months=12)
    >>> until.day.isoformat(), until.by
    ('2026-01-15', 'opened')
    """
    if opened and made and opened < made:
        raise BadValue("opened before it was made: check the dates")
    for months in (unopened_months, opened_months):
        if months is not None:
            between("life", months, "months", 0, 600)
    assumptions: list[str] = []
    whole = (unopened_months, unopened_months) if unopened_months is not None else kind.unopened
    after = (opened_months, opened_months) if opened_months is not None else kind.opened
    ends: list[tuple[date, date | None, str]] = []
    if label:
        ends.append((label, label, "label"))
    elif whole[0] is not None and (start := made or bought):
        by = "made" if made else "bought"
        end = None if whole[1] is None else _later(start, whole[1])
        ends.append((_later(start, whole[0]), end, by))
        if not made:
            assumptions.append("counted from the day bought: the day made is not known")
    if opened and after[0] is not None:
        end = None if after[1] is None else _later(opened, after[1])
        ends.append((_later(opened, after[0]), end, "opened"))
    elif opened and kind.dated:
        assumptions.append("no life once opened was found: the unopened one is a limit, no promise")
    if kind.basis != "published" and (unopened_months, opened_months) == (None, None):
        assumptions.append("its life in store is from memory: a hint")
    dated = kind.dated or label is not None or unopened_months is not None
    if not dated:
        assumptions.append(f"{kind.name}: {kind.life_note or 'no dated life'}")
    day, _, by = min(ends, default=(None, None, ""), key=lambda end: end[0] or date.max)
    latest = min((end for _, end, _ in ends if end is not None), default=None)
    sources = ("consumables-life",)
    return Until(day, latest, by, dated and not ends, kind.final, tuple(assumptions), sources,
                 (_LABEL_FIRST, *_PAST.get(kind.final, ()), *_keeping(kind)))  # fmt: skip


_LABEL_FIRST = "the date and the storage on the pack's own label come first"
_PAST = {
    True: ("past the date: not used, whatever it looks like",),
    False: ("past the date is not the same as spoilt: inspect and try it before it is trusted",),
}
BRAKE_FLUID = (
    "Brake fluid from an old opened tin is never used: it has taken up water. A fresh sealed "
    "bottle, and a second person checks the brakes."
)
"""What goes with brake fluid, whatever its date (common practice)."""


def _keeping(kind: Consumable) -> tuple[str, ...]:
    return (BRAKE_FLUID,) if kind.key == "brake-fluid-glycol" else ()


def whole_packs(need: float, pack: float, in_stock: float = 0.0, unit: str = "ml") -> Answer:
    """Return how many whole packs to buy: what is needed less what is there, rounded up.

    Args:
        need: what the job takes [unit].
        pack: what one pack holds [unit].
        in_stock: what is there and usable [unit].
        unit: the unit of all three.

    2350 ml with 180 in stock, in tins of 1000:

    >>> whole_packs(2350, 1000, 180).value
    3.0
    """
    from math import ceil

    between("need", need, unit, 0.0, 1e9)
    between("in stock", in_stock, unit, 0.0, 1e9)
    if not pack > 0:
        raise BadValue(f"a pack of {pack:g} {unit}: expected above 0")
    between("pack", pack, unit, 0.0, 1e9)
    short = max(0.0, need - in_stock)
    packs = float(ceil(round(short / pack, 9)))
    left = in_stock + packs * pack - need
    return Answer(
        "to buy", packs, "pack" if packs == 1 else "packs", packs, packs, "the size of the pack",
        (f"{left:.0f} {unit} left over", "what is in stock is in date and of the same kind"),
        ("arithmetic",), (_LABEL_FIRST,),
    )  # fmt: skip
