"""Saying how many spares to buy of a kind."""

from stores.errors import BadValue
from stores.model.ledger import ActKind
from stores.planning.money import read_money, show_money
from stores.storage import Store
from stores.text import clean, fold
from stores.usecases.common import Done

__all__ = ["set_spares"]


def set_spares(
    store: Store,
    kind: str,
    per_cent: int,
    *,
    least: int = 0,
    most_price: str | None = None,
    at: str | None = None,
) -> Done:
    """Say how many spares to buy of a kind: per cent of the need, rounded up, and at least so many.

    Args:
        store: the opened stores.
        kind: screw, nut, split pin: words that a line of the list has.
        per_cent: 0 to 1000; with ``least`` 0 too, none are bought any more.
        least: 0 to 10000.
        most_price: only where one piece costs no more than this.
        at: the day, when not today.

    Raises:
        BadValue: out of range, or not a sum of money.
    """
    kind = clean(kind, "the kind", most=80)
    if not 0 <= per_cent <= 1000:
        raise BadValue(f"per cent of the need is from 0 to 1000, not {per_cent}")
    if not 0 <= least <= 10_000:
        raise BadValue(f"at least so many is from 0 to 10,000, not {least}")
    most = None if most_price is None else read_money(most_price)
    said = f"{per_cent} per cent, at least {least}" if per_cent or least else "none"
    if most is not None and (per_cent or least):
        said += f", where one costs no more than {show_money(most)}"
    with store.writing() as writer:
        act = writer.begin(ActKind.SETTING, f"spares of {kind}: {said}", at=at)
        writer.spare_rule(act, kind, fold(kind), per_cent, least, most)
    return Done(
        act,
        (f"Spares of {kind}: {said}",),
        data={"act": act, "kind": kind, "per_cent": per_cent, "least": least, "most_price": most},
    )
