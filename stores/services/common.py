"""What the services share: replies, naming pieces, naming places."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection

from stores import bagcode, queries
from stores.core.benchline import clean
from stores.errors import BadValue, NotationError, NotFound, Refused
from stores.ledger import MAX_QUANTITY, Condition, Movement, PlaceKind, Spot, Stock, take
from stores.planning.items import Item
from stores.queries import Machine
from stores.storage import Writer
from stores.storage.writer import Made

__all__ = [
    "Done",
    "Selection",
    "bag_named",
    "count_of",
    "from_hand",
    "home_of",
    "place_named",
    "select",
]

NOTE_LENGTH = 2000
"""The longest note or reason, in characters."""

_ITEM = re.compile(r"^\s*(\d{1,6})\.(\d{1,4})\s*$")
_STEP = re.compile(r"^\s*(?:step\s+)?(\d{1,6})\s*$", re.IGNORECASE)
_BOXES = ("box", "crate", "tin", "tub", "tray", "drawer", "case", "jar", "bin", "carton")


@dataclass(frozen=True, slots=True)
class Done:
    """The reply to an act: its number, what to show, what to mind, and the same as plain data."""

    act: int
    lines: tuple[str, ...]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    data: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Selection:
    """What a person pointed at: items, and the bag when a bag code was used."""

    items: tuple[Item, ...]
    bag: str = ""

    @property
    def only(self) -> Item:
        """The single item.

        Raises:
            Refused: several; a count would be ambiguous.
        """
        if len(self.items) > 1:
            refs = ", ".join(f"{item.ref} {item.as_found.text}" for item in self.items)
            raise Refused(f"a count needs one item; say which: {refs}")
        return self.items[0]


def count_of(quantity: int | None) -> int | None:
    """Check a count.

    Raises:
        BadValue: not from 1 to the most that one movement may carry.
    """
    if quantity is not None and not 1 <= quantity <= MAX_QUANTITY:
        raise BadValue(f"a count is from 1 to {MAX_QUANTITY:,}, not {quantity:,}")
    return quantity


def select(connection: Connection, machine: Machine, what: str) -> Selection:
    """Find what a person points at: an item (``7.2``), a step (``7``) or a bag (``A001N``).

    Raises:
        NotFound: nothing stands under that name.
        NotationError: none of the three; a bag code with a slip offers what it may have been.
    """
    item = _ITEM.match(what)
    if item:
        listed = queries.items_of_step(connection, machine.number, int(item[1]))
        chosen = [found for found in listed if found.line == int(item[2])]
        if not chosen:
            refs = ", ".join(f"{found.ref} {found.as_found.text}" for found in listed)
            raise NotFound(f"no item {what.strip()} on {machine.name}; step {item[1]} has {refs}")
        return Selection(tuple(chosen))
    step = _STEP.match(what)
    if step:
        return Selection(tuple(queries.items_of_step(connection, machine.number, int(step[1]))))
    code = bag_named(connection, what)
    held = [found for found in queries.items_of_bag(connection, code) if code in found.bags]
    if not held:
        raise NotFound(f"bag {code} is empty")
    return Selection(tuple(held), code)


def bag_named(connection: Connection, text: str) -> str:
    """Give the code of the bag that was typed or scanned.

    Raises:
        NotationError: no code, or a slip in it; offers the bags it may have been.
        NotFound: a good code, but of no bag.
    """
    codes = queries.bag_codes(connection)
    typed = bagcode.tidy(clean(text, "what is asked for"))
    if typed in codes:
        return typed
    near = bagcode.near(typed, codes)
    meant = f"; did you mean {_either(near[:6])}?" if near else ""
    if not bagcode.looks_like_code(typed) and not near:
        raise NotationError(
            "not an item (7.2), a step (7) or a bag code (A001N)", clean(text, "what is asked for")
        )
    try:
        bagcode.check(typed)
    except NotationError as error:
        raise NotationError(f"{error.message}{meant}", typed) from None
    raise NotFound(f"no bag {typed} in the stores{meant}")


def _either(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"


def place_named(writer: Writer, text: str) -> Made:
    """Find a place in the workshop by what a person calls it, or make it.

    ``new`` is a new bag; a bag's code is that bag; ``bench`` is the bench; what begins with box,
    tin, tray, drawer and the like is a box, anything else a shelf.
    """
    name = clean(text, "the place", most=60)
    folded = name.casefold()
    if folded == "new":
        return writer.new_bag()
    if bagcode.looks_like_code(name):
        code = bag_named(writer.connection, name)
        return writer.place(PlaceKind.BAG, code)
    if folded in ("bench", "the bench"):
        return writer.place(PlaceKind.BENCH, "bench")
    if folded in ("machine", "the machine", "lost", "scrap", "scrapped"):
        raise Refused(
            f"{name!r} is no place to put a piece by hand: 'stores refit', 'stores lose' and "
            "'stores scrap' are for that"
        )
    kind = PlaceKind.BOX if folded.startswith(_BOXES) else PlaceKind.SHELF
    return writer.place(kind, name)


def home_of(writer: Writer, item: Item, mates: Sequence[Item] = ()) -> Made:
    """Give the bag in which pieces of this item belong: its own, else that of its step, else the
    bench."""
    for candidate in (item, *mates):
        if candidate.bags:
            return writer.place(PlaceKind.BAG, candidate.bags[0])
    return writer.place(PlaceKind.BENCH, "bench")


def from_hand(
    stock: Stock,
    item: Item,
    quantity: int | None,
    conditions: Sequence[Condition],
    *,
    bag: str = "",
    kinds: frozenset[PlaceKind] | None = None,
    place: int | None = None,
) -> list[tuple[Spot, int]]:
    """Choose pieces of an item that can be picked up, from one bag or from anywhere in hand."""
    places = [
        number
        for number, kind in stock.kinds.items()
        if (kind in kinds if kinds is not None else kind.in_hand)
        and (place is None or number == place)
        and (not bag or (kind is PlaceKind.BAG and stock.name_place(number) == bag))
    ]
    return take(stock, item.number, quantity, places, conditions)


def moves_to(
    item: Item, chosen: Sequence[tuple[Spot, int]], place: int, condition: Condition | None = None
) -> list[Movement]:
    """Turn chosen pieces into movements to one place, as they are or in another condition."""
    return [
        Movement(item.number, count, spot, Spot(place, condition or spot.condition))
        for spot, count in chosen
        if spot != Spot(place, condition or spot.condition)
    ]
