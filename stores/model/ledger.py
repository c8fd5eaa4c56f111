"""The ledger: every piece is always somewhere.

Double-entry book-keeping, but of pieces. A movement carries both ends, so an unbalanced entry
cannot be written; balances are derived and never stored; a mistake is reversed by another act.
Everything here is pure: ``(state, request) -> Act`` or a refusal.

"Came with the machine" is a place outside. What a step takes off comes from there, so the machine's
own balance is what has been refitted, and "found" can be audited against it.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from stores.errors import BadValue, Refused
from stores.text import join

__all__ = [
    "MAX_QUANTITY",
    "Act",
    "ActKind",
    "Balance",
    "Condition",
    "Movement",
    "PlaceKind",
    "Spot",
    "Stock",
    "dependents",
    "fallen_acts",
    "record",
    "reverse",
    "standing_by",
    "take",
]

MAX_QUANTITY = 1_000_000
"""The most pieces (or millilitres, or millimetres) in one movement: beyond it is a slip."""


class Condition(StrEnum):
    """What is known of a piece. The word decides; nothing else does."""

    AS_REMOVED = "as removed"
    SERVICEABLE = "serviceable"
    REPAIRABLE = "repairable"
    CONDEMNED = "condemned"
    QUARANTINE = "quarantine"
    NEW = "new"


class PlaceKind(StrEnum):
    """Where pieces can be. Places inside the workshop never go below zero; outside ones may.

    What is ``STUCK`` was found at a step and did not come off: seized, not undone, or broken in its
    hole. It is not fitted, and cannot be picked up.
    """

    MACHINE = "machine"
    STUCK = "still on the machine"
    BAG = "bag"
    BOX = "box"
    SHELF = "shelf"
    BENCH = "bench"
    FIRM = "firm"
    CAME = "came with the machine"
    BOUGHT = "bought from"
    UNKNOWN = "unknown origin"
    HAD = "already in the workshop"
    USED = "used up"
    SCRAPPED = "scrapped"
    LOST = "lost"
    REASSIGNED = "put to another joint"

    @property
    def inside(self) -> bool:
        """Whether a balance below zero is impossible here."""
        return self in _INSIDE

    @property
    def in_hand(self) -> bool:
        """Whether a piece here can be picked up: in the workshop, but not on the machine."""
        return self in _IN_HAND

    def at(self, name: str) -> str:
        """Return where something is: ``in bag A001N``, ``on shelf 2``, ``away at Hollin``."""
        if self is PlaceKind.SHELF:
            folded = name.casefold()
            if folded.partition(" ")[0] in _SAYS_WHERE:
                return name  # "leaning by the door", "behind the mill": it says where by itself
            return f"on {name}" if folded.startswith(_ON) else f"in {name}"
        return {
            PlaceKind.BAG: f"in bag {name}",
            PlaceKind.BOX: f"in {name}",
            PlaceKind.FIRM: f"away at {name}",
            PlaceKind.MACHINE: "on the machine",
            PlaceKind.BENCH: "on the bench",
        }.get(self, self.value)


_ON = ("shelf", "rack", "hook", "peg", "wall", "floor")
_SAYS_WHERE = frozenset(
    ("above", "against", "at", "behind", "below", "beneath", "beside", "between", "by", "hanging",
     "in", "inside", "leaning", "near", "next", "on", "outside", "over", "standing", "under",
     "underneath", "upon", "with")
)  # fmt: skip
_IN_HAND = frozenset({PlaceKind.BAG, PlaceKind.BOX, PlaceKind.SHELF, PlaceKind.BENCH})
_INSIDE = _IN_HAND | {PlaceKind.MACHINE, PlaceKind.STUCK, PlaceKind.FIRM}


class ActKind(StrEnum):
    """What a person did."""

    MACHINE = "machine"
    STRIP = "strip"
    INSPECT = "inspect"
    MOVE = "move"
    STOW = "stow"
    SPECIFY = "specify"
    SEND = "send"
    RETURN = "return"
    BUY = "buy"
    REFIT = "refit"
    LOSE = "lose"
    RECOVER = "recover"
    LOOSE = "loose"
    STUCK = "stuck"
    ASSIGN = "assign"
    SCRAP = "scrap"
    SUMP = "sump"
    READING = "reading"
    TORQUE = "torque"
    JOINT = "joint"
    PICTURE = "picture"
    PRINTER = "printer"
    SNAG = "snag"
    CLEAR = "clear"
    BATCH = "batch"
    RENEW = "renew"
    ORDER = "order"
    PRICE = "price"
    SETTING = "setting"
    COUNT = "count"
    HANDOVER = "handover"
    CLOSE = "close"
    LIST = "list"
    CORRECT = "correct"
    PLAN = "plan"
    FITTING = "fitting"
    CHECK = "check"
    TIGHTEN = "tighten"
    SIGN = "sign"
    WORK = "work"
    KEEP = "keep"
    STOCK = "stock"
    RESERVE = "reserve"
    USE = "use"
    REOPEN = "reopen"
    MIX = "mix"
    SORT = "sort"
    REVERSE = "reverse"


@dataclass(frozen=True, slots=True, order=True)
class Spot:
    """A place together with the condition in which pieces lie there."""

    place: int
    condition: Condition


@dataclass(frozen=True, slots=True)
class Movement:
    """So many pieces of one item from one spot to another.

    ``quantity`` is a whole number from 1 to :data:`MAX_QUANTITY`, in the item's own unit. An
    inspection is a movement too: same place, other condition.

    Raises:
        BadValue: a quantity out of range, or two equal ends.
    """

    item: int
    quantity: int
    source: Spot
    target: Spot

    def __post_init__(self) -> None:
        if isinstance(self.quantity, bool) or not isinstance(self.quantity, int):
            raise BadValue(f"a quantity is a whole number, not {self.quantity!r}")
        if not 1 <= self.quantity <= MAX_QUANTITY:
            raise BadValue(f"a quantity is from 1 to {MAX_QUANTITY:,}, not {self.quantity:,}")
        if self.source == self.target:
            raise BadValue("a movement needs two different ends: other place, or other condition")

    def mirrored(self) -> "Movement":
        """Return the movement that takes this one back."""
        return Movement(self.item, self.quantity, self.target, self.source)


@dataclass(frozen=True, slots=True)
class Act:
    """The movements of one moment. Never edited: a mistake is reversed by another act."""

    kind: ActKind
    movements: tuple[Movement, ...] = ()
    reason: str = ""
    reverses: int | None = None


class Balance:
    """How many pieces of each item lie at each spot: the sum of all movements so far."""

    __slots__ = ("_pieces",)

    def __init__(self, pieces: Mapping[tuple[int, Spot], int] | None = None) -> None:
        self._pieces: dict[tuple[int, Spot], int] = {
            key: count for key, count in (pieces or {}).items() if count
        }

    @classmethod
    def of(cls, movements: Iterable[Movement]) -> "Balance":
        """Add up movements from nothing."""
        balance = cls()
        for movement in movements:
            balance.apply(movement)
        return balance

    def apply(self, movement: Movement) -> None:
        """Carry one movement out."""
        self._add((movement.item, movement.source), -movement.quantity)
        self._add((movement.item, movement.target), movement.quantity)

    def _add(self, key: tuple[int, Spot], count: int) -> None:
        total = self._pieces.get(key, 0) + count
        if total:
            self._pieces[key] = total
        else:
            self._pieces.pop(key, None)

    def copy(self) -> "Balance":
        """Return an independent copy."""
        return Balance(self._pieces)

    def at(self, item: int, spot: Spot) -> int:
        """Return the pieces of an item at one spot."""
        return self._pieces.get((item, spot), 0)

    def of_item(self, item: int) -> dict[Spot, int]:
        """Return all spots where an item's pieces are, negative ones included."""
        return {spot: count for (key, spot), count in self._pieces.items() if key == item}

    def total(self, item: int) -> int:
        """Return the sum over all spots, which is always zero."""
        return sum(self.of_item(item).values())

    def __iter__(self) -> Iterator[tuple[int, Spot, int]]:
        for (item, spot), count in self._pieces.items():
            yield item, spot, count

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Balance) and self._pieces == other._pieces

    __hash__ = None  # type: ignore[assignment]

    def __len__(self) -> int:
        return len(self._pieces)

    def __repr__(self) -> str:
        return f"Balance({self._pieces!r})"


def fallen_acts(reversals: Mapping[int, int]) -> frozenset[int]:
    """Return the acts that no longer stand, from ``{reversing act: reversed act}``.

    A reversal that is itself reversed lets the first act stand again.

    >>> sorted(fallen_acts({5: 3}))
    [3]
    >>> sorted(fallen_acts({5: 3, 6: 5}))
    [5]
    """
    fallen: set[int] = set()
    for act in sorted(reversals, reverse=True):
        if act not in fallen:
            fallen.add(reversals[act])
    return frozenset(fallen)


def standing_by(reversals: Mapping[int, int], number: int) -> int:
    """Return the act by which a standing act stands: itself, or the one that brought it back last.

    ``reversals`` is ``{reversing act: reversed act}``.

    Raises:
        Refused: it does not stand: it is undone already.

    >>> standing_by({3: 1, 4: 3}, 1)
    4
    """
    reversed_by = {back: act for act, back in reversals.items()}
    upholder = number
    while upholder in reversed_by:
        back = reversed_by[upholder]
        if back not in reversed_by:
            raise Refused(f"act {number} is undone already")
        upholder = reversed_by[back]
    return upholder


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
    """Return an act of these movements.

    Movements of one act happen together: only the balance after all of them counts.

    Raises:
        Refused: a place inside the workshop would go below zero; every such place is named.
    """
    act = Act(kind, tuple(movements), reason)
    _refuse_overdraft(stock, act)
    return act


def reverse(
    stock: Stock, number: int, act: Act, reversals: Mapping[int, int], reason: str = ""
) -> Act:
    """Return the act that takes act ``number`` back.

    ``reversals`` are those of the whole record, ``{reversing act: reversed act}``. An act that was
    undone and brought back can be undone again: what is reversed is the act that brought it back
    (:func:`standing_by`), so that no act is ever reversed twice.

    Raises:
        Refused: it is undone already; or the pieces have moved on since, so that taking them back
            would leave a place below zero.
    """
    back = Act(
        ActKind.REVERSE,
        tuple(movement.mirrored() for movement in reversed(act.movements)),
        reason,
        reverses=standing_by(reversals, number),
    )
    try:
        _refuse_overdraft(stock, back)
    except Refused as refusal:
        raise Refused(
            f"act {number} cannot be undone, its pieces have moved on: {refusal}; "
            "undo the later act first"
        ) from refusal
    return back


def dependents(stock: Stock, act: Act, later: Sequence[tuple[int, Act]]) -> tuple[int, ...]:
    """Return which later acts used what this act brought about, the newest first.

    They are those that a record without the act could not have: a place inside the workshop would
    have gone below zero. Pieces that moved on and came back have moved on too; were that passed
    over, what took them there and back could no longer be undone at all.

    Args:
        stock: the balance as it is now.
        act: the act that is to be taken back.
        later: the acts that stand and came after it, oldest first; only movements of items that
            ``stock`` knows of.
    """
    real = stock.balance.copy()
    for _, each in reversed(later):
        for movement in reversed(each.movements):
            real.apply(movement.mirrored())
    bare = real.copy()
    for movement in reversed(act.movements):
        bare.apply(movement.mirrored())
    found: list[int] = []
    for number, each in later:
        for movement in each.movements:
            real.apply(movement)
            bare.apply(movement)
        touched = {(m.item, spot) for m in each.movements for spot in (m.source, m.target)}
        if any(
            stock.kinds[spot.place].inside and bare.at(item, spot) < min(0, real.at(item, spot))
            for item, spot in touched
        ):
            found.append(number)
            for movement in reversed(each.movements):
                bare.apply(movement.mirrored())
    return tuple(reversed(found))


def take(
    stock: Stock,
    item: int,
    quantity: int | None,
    places: Sequence[int],
    conditions: Sequence[Condition],
) -> list[tuple[Spot, int]]:
    """Return which pieces to pick up: the spots, and how many from each.

    ``conditions`` are in order of preference, then ``places``; ``quantity`` None takes all that
    match.

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
        found = f"only {there}" if there else "none"
        raise Refused(
            f"{quantity} of {stock.name_item(item)} asked for, but {found} there"
            f"{_but(stock, item, places, conditions)}: nothing was changed"
        )
    return chosen


def _but(stock: Stock, item: int, places: Sequence[int], conditions: Sequence[Condition]) -> str:
    """Say what else is there, in a condition that was not asked for."""
    others = [
        f"{count} {condition}"
        for condition in Condition
        if condition not in conditions
        and (count := sum(stock.balance.at(item, Spot(place, condition)) for place in places)) > 0
    ]
    return f" besides {join(others)}" if others else ""


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
