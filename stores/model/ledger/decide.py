"""Decide purely: from what is there and what is asked, to an act or a refusal."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from stores.errors import Refused
from stores.model.ledger.model import Act, ActKind, Balance, Condition, Movement, PlaceKind, Spot

__all__ = ["Stock", "record", "reverse", "take"]


@dataclass(frozen=True, slots=True)
class Stock:
    """The part of the ledger that a request touches.

    ``kinds`` tells of every place concerned what it is; ``name_item`` and ``name_place`` are used
    in refusals only.
    """

    balance: Balance
    kinds: Mapping[int, PlaceKind]
    name_item: Callable[[int], str] = field(default=lambda item: f"item {item}")
    name_place: Callable[[int], str] = field(default=lambda place: f"place {place}")


def record(stock: Stock, kind: ActKind, movements: Iterable[Movement], reason: str = "") -> Act:
    """Make an act of these movements.

    Movements of one act happen together: only the balance after all of them counts.

    Raises:
        Refused: a place inside the workshop would go below zero; every such place is named.
    """
    act = Act(kind, tuple(movements), reason)
    _refuse_overdraft(stock, act)
    return act


def reverse(stock: Stock, number: int, act: Act, reason: str = "") -> Act:
    """Make the act that takes act ``number`` back.

    Raises:
        Refused: the pieces have moved on since, so that taking them back would leave a place
            below zero.
    """
    back = Act(
        ActKind.REVERSE,
        tuple(movement.mirrored() for movement in reversed(act.movements)),
        reason,
        reverses=number,
    )
    try:
        _refuse_overdraft(stock, back)
    except Refused as refusal:
        raise Refused(
            f"act {number} cannot be undone, its pieces have moved on: {refusal}; "
            "undo the later act first"
        ) from refusal
    return back


def take(
    stock: Stock,
    item: int,
    quantity: int | None,
    places: Sequence[int],
    conditions: Sequence[Condition],
) -> list[tuple[Spot, int]]:
    """Choose which pieces to pick up: ``conditions`` in order of preference, then ``places``.

    Give the spots and how many from each. ``quantity`` None takes all that match.

    Raises:
        Refused: fewer pieces are there than were asked for.
    """
    chosen: list[tuple[Spot, int]] = []
    wanted = quantity
    for condition in conditions:
        for place in places:
            there = stock.balance.at(item, Spot(place, condition))
            count = there if wanted is None else min(there, wanted)
            if count > 0:
                chosen.append((Spot(place, condition), count))
                if wanted is not None:
                    wanted -= count
    if wanted:
        there = (quantity or 0) - wanted
        raise Refused(
            f"{quantity} of {stock.name_item(item)} asked for, but only {there} there: "
            "nothing was changed"
            if there
            else f"{quantity} of {stock.name_item(item)} asked for, but none there: "
            "nothing was changed"
        )
    return chosen


def _refuse_overdraft(stock: Stock, act: Act) -> None:
    after = stock.balance.copy()
    for movement in act.movements:
        after.apply(movement)
    short = [
        f"{stock.name_place(spot.place)} would hold {count} of {stock.name_item(item)}"
        f" ({spot.condition})"
        for item, spot, count in after
        if count < 0 and stock.kinds[spot.place].inside
    ]
    if short:
        raise Refused("; ".join(sorted(short)))
