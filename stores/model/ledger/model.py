"""Movements, acts and the balance that is derived from them."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from stores.errors import BadValue

__all__ = [
    "MAX_QUANTITY",
    "Act",
    "ActKind",
    "Balance",
    "Condition",
    "Movement",
    "PlaceKind",
    "Spot",
    "fallen_acts",
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
    """Where pieces can be. Places inside the workshop never go below zero; outside ones may."""

    MACHINE = "machine"
    BAG = "bag"
    BOX = "box"
    SHELF = "shelf"
    BENCH = "bench"
    FIRM = "firm"
    CAME = "came with the machine"
    BOUGHT = "bought from"
    UNKNOWN = "unknown origin"
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
        """Say where something is: ``in bag A001N``, ``on shelf 2``, ``away at Hollin``."""
        if self is PlaceKind.SHELF:
            return f"on {name}" if name.casefold().startswith(_ON) else f"in {name}"
        return {
            PlaceKind.BAG: f"in bag {name}",
            PlaceKind.BOX: f"in {name}",
            PlaceKind.FIRM: f"away at {name}",
            PlaceKind.MACHINE: "on the machine",
            PlaceKind.BENCH: "on the bench",
        }.get(self, self.value)


_ON = ("shelf", "rack", "hook", "peg", "wall", "floor")
_IN_HAND = frozenset({PlaceKind.BAG, PlaceKind.BOX, PlaceKind.SHELF, PlaceKind.BENCH})
_INSIDE = _IN_HAND | {PlaceKind.MACHINE, PlaceKind.FIRM}


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
    PLAN = "plan"
    FITTING = "fitting"
    CHECK = "check"
    TIGHTEN = "tighten"
    SIGN = "sign"
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
        """Give the movement that takes this one back."""
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
        """Give an independent copy."""
        return Balance(self._pieces)

    def at(self, item: int, spot: Spot) -> int:
        """Give the pieces of an item at one spot."""
        return self._pieces.get((item, spot), 0)

    def of_item(self, item: int) -> dict[Spot, int]:
        """Give all spots where an item's pieces are, negative ones included."""
        return {spot: count for (key, spot), count in self._pieces.items() if key == item}

    def total(self, item: int) -> int:
        """Give the sum over all spots, which is always zero."""
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
    """Give the acts that no longer stand, from ``{reversing act: reversed act}``.

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
