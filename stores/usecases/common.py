"""What the use-cases share: naming pieces, naming places, counts and conditions as typed.

A bag tells its machine by itself; a reference such as 7.2 is of the machine last worked on.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from stores import bagcode
from stores.errors import BadValue, NotationError, NotFound, Refused
from stores.handbook.benchline import BenchLine
from stores.model.items import Item, work_words
from stores.model.ledger import (
    MAX_QUANTITY,
    ActKind,
    Condition,
    Movement,
    PlaceKind,
    Spot,
    Stock,
    record,
    take,
)
from stores.storage import Writer
from stores.storage.items import items_of_bag, items_of_step
from stores.storage.machines import Machine, machine_named, read_machines
from stores.storage.places import bag_codes
from stores.storage.writer import Made
from stores.text import clean, fold

__all__ = [
    "NOTE_LENGTH",
    "NO_WORK",
    "REASON_NEEDED",
    "LooseItem",
    "PiecesAt",
    "Selection",
    "Whereabouts",
    "WorkSaid",
    "bag_named",
    "condition_first",
    "condition_named",
    "count_of",
    "from_hand",
    "home_of",
    "let_loose",
    "maybe_condition",
    "moves_to",
    "pieces_of",
    "place_named",
    "read_work",
    "refuse_beside",
    "select",
    "step_of",
]

NOTE_LENGTH = 2000
"""The longest note or reason, in characters."""

REASON_NEEDED = frozenset({Condition.CONDEMNED, Condition.REPAIRABLE, Condition.QUARANTINE})
"""The verdicts that say nothing to whoever reads them later, unless they say why."""

_ITEM = re.compile(r"^\s*(\d{1,6})\.(\d{1,4})\s*$")
_STEP = re.compile(r"^\s*(?:step\s+)?(\d{1,6})\s*$", re.IGNORECASE)
_BOXES = frozenset(
    ("box", "crate", "tin", "tub", "tray", "drawer", "case", "jar", "bin", "carton", "can", "pot")
)


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """A place by its kind and name, and whether it was made just now."""

    kind: PlaceKind
    name: str
    new: bool = False

    @classmethod
    def of(cls, place: Made) -> "Whereabouts":
        """Return where a place that was looked up is."""
        if place.kind is None:
            raise AssertionError("a place has a kind")
        return cls(place.kind, place.name, place.new)


@dataclass(frozen=True, slots=True)
class PiecesAt:
    """So many pieces of one condition at one place."""

    quantity: int
    condition: Condition
    kind: PlaceKind
    place: str
    inside: str = ""

    @property
    def where(self) -> str:
        """Where they are, with what their place is inside of."""
        at = self.kind.at(self.place)
        return f"{at} ({self.inside})" if self.inside else at

    def __str__(self) -> str:
        return f"{self.quantity} {self.condition} {self.where}"


@dataclass(frozen=True, slots=True)
class WorkSaid:
    """What was done to pieces, by whom, and what they measured afterwards; as typed in an ask."""

    what: str = ""
    by: str = ""
    measured: str = ""

    @property
    def words(self) -> str:
        """What was done, by whom and what it measured, in a line."""
        return work_words(self.what, self.by, self.measured)


NO_WORK = WorkSaid()
"""Nothing was said of work."""


def read_work(said: WorkSaid, by: str = "") -> WorkSaid | None:
    """Return what was done, tidied, None where nothing was said. ``by`` did it, if nobody is named.

    Raises:
        BadValue: by whom or measured, but not what was done.
    """
    what = clean(said.what, "the work done", most=200, empty=True)
    named = clean(said.by, "who did the work", most=80, empty=True)
    measured = clean(said.measured, "what it measured", most=80, empty=True)
    if not what:
        if named or measured:
            raise BadValue("work not said")
        return None
    return WorkSaid(what, named or by, measured)


def pieces_of(items: Iterable[Item]) -> tuple[PiecesAt, ...]:
    """Return what the pieces of these items are, and where."""
    return tuple(
        PiecesAt(holding.quantity, holding.condition, holding.kind, holding.place, holding.inside)
        for item in items
        for holding in item.holdings
        if holding.quantity > 0
    )


@dataclass(frozen=True, slots=True)
class Selection:
    """What a person pointed at: items of one machine, and the bag when a bag code was used."""

    machine: Machine
    items: tuple[Item, ...]
    bag: str = ""
    several: bool = False
    called: str = ""

    @property
    def only(self) -> Item:
        """The single item.

        Raises:
            Refused: several; a count would be ambiguous.
        """
        if len(self.items) > 1:
            raise Refused("several items", items=_named(self.items))
        return self.items[0]

    def picked(self, quantity: int | None) -> tuple[Item, ...]:
        """The items that a command is about: with a count there must be only one."""
        return self.items if quantity is None else (self.only,)

    @property
    def name(self) -> str:
        """Name it in a line."""
        if self.called:
            return self.called
        if self.bag:
            return f"bag {self.bag}"
        if len(self.items) == 1:
            return f"{self.items[0].ref} {self.items[0].as_found.text}"
        return f"step {self.items[0].step.number}"


def count_of(quantity: int | str | None) -> int | None:
    """Return a count, read if it is as typed; None where none was said.

    Raises:
        BadValue: no whole number, or not from 1 to the most that one movement may carry.
    """
    if isinstance(quantity, str):
        digits = quantity.strip().replace("−", "-")
        if not re.fullmatch(r"[+-]?\d{1,12}", digits):
            raise BadValue("no count", typed=quantity.strip()[:40])
        quantity = int(digits)
    if quantity is not None and not 1 <= quantity <= MAX_QUANTITY:
        raise BadValue("count out of range", most=MAX_QUANTITY, count=quantity)
    return quantity


def condition_named(typed: str) -> Condition:
    """Return the condition that was typed; a clear beginning will do.

    Raises:
        BadValue: none of the words.
    """
    folded = typed.strip().casefold()
    fits = [condition for condition in Condition if folded and condition.value.startswith(folded)]
    if len(fits) != 1:
        raise BadValue("no condition", typed=typed.strip()[:40], conditions=tuple(Condition))
    return fits[0]


def maybe_condition(typed: str | None) -> Condition | None:
    """Return the condition that was typed, None where none was."""
    return None if typed is None else condition_named(typed)


def refuse_beside(line: BenchLine, usecase: str) -> None:
    """Refuse what a strip-down line may say, but this use-case would have to drop.

    Raises:
        Refused: a position, "should be", or "3 of 4".
    """
    for part, there in (
        ("position", bool(line.position)),
        ("should be", line.specified.spec != line.thing.spec),
        ("of", line.wanted != line.found),
    ):
        if there:
            raise Refused("means nothing here", part=part, usecase=usecase)


def _named(items: Sequence[Item]) -> tuple[str, ...]:
    return tuple(f"{item.ref} {item.as_found.text}" for item in items)


def select(
    connection: Connection, machine: str | None, what: str, *, empty: bool = False
) -> Selection:
    """Find what a person points at: an item (``7.2``), a step (``7``) or a bag (``A001N``).

    A bag tells its machine by itself. ``empty`` lets a bag be empty for the time being: then its
    items are those that were in it.

    Raises:
        NotFound: nothing stands under that name.
        NotationError: none of the three; a bag code with a slip offers what it may have been.
        Refused: a bag with pieces of several machines, or of another than the one named.
    """
    item, step = _ITEM.match(what), _STEP.match(what)
    if not item and not step:
        return _select_bag(connection, machine, bag_named(connection, what), empty=empty)
    on = machine_named(connection, machine)
    number = int((item or step or [0, 0])[1])
    listed = items_of_step(connection, on.number, number)
    if item:
        chosen = [found for found in listed if found.line == int(item[2])]
        if not chosen:
            raise NotFound(
                "no such item", item=what.strip(), machine=on.name, step=number,
                items=_named(listed),
            )  # fmt: skip
        listed = chosen
    return Selection(on, tuple(listed), several=_several(connection))


def _several(connection: Connection) -> bool:
    return len(read_machines(connection)) > 1


def _select_bag(
    connection: Connection, machine: str | None, code: str, *, empty: bool
) -> Selection:
    were = items_of_bag(connection, code)
    held = [found for found in were if code in found.bags]
    if not held and not (empty and were):
        raise NotFound("bag empty", bag=code)
    chosen = held or were
    names = dict.fromkeys(found.step.machine for found in chosen)
    if machine is not None:
        on = machine_named(connection, machine)
        chosen = [found for found in chosen if found.step.machine == on.name]
        if not chosen:
            raise NotFound(
                "nothing of it in the bag", bag=code, machine=on.name, others=tuple(names)
            )
    elif len(names) > 1:
        raise Refused("bag of several machines", bag=code, machines=tuple(names))
    else:
        on = machine_named(connection, next(iter(names)))
    return Selection(on, tuple(chosen), code, several=_several(connection))


def step_of(chosen: Selection) -> int:
    """Return the one step that a selection is of.

    Raises:
        Refused: pieces of several steps, or loose ones.
    """
    steps = {item.step.number for item in chosen.items}
    if len(steps) > 1:
        raise Refused("pieces of several steps", what=chosen.name, steps=tuple(sorted(steps)))
    number = steps.pop()
    if not number:
        raise Refused("loose pieces are of no joint")
    return number


def bag_named(connection: Connection, text: str) -> str:
    """Give the code of the bag that was typed or scanned.

    Raises:
        NotationError: no code at all.
        BadValue: a slip in it; offers the bags it may have been.
        NotFound: a good code, but of no bag.
    """
    codes = bag_codes(connection)
    first = clean(text, "what is asked for", most=4000, lines=True).splitlines()[0]
    typed = bagcode.tidy(clean(first, "what is asked for"))
    if typed in codes:
        return typed
    near = tuple(bagcode.near(typed, codes)[:6])
    if not bagcode.looks_like_code(first) and not near:
        raise NotationError("not an item (7.2), a step (7) or a bag code (A001N)", first)
    try:
        bagcode.check(typed)
    except NotationError:
        raise BadValue("bag code misread", bag=typed, near=near) from None
    raise NotFound("no such bag", bag=typed, near=near)


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
        raise Refused("not a place to put it by hand", name=name)
    first = folded.split()[0].rstrip("0123456789.-") if folded.split() else ""
    if folded == "same" or not any(c.isalpha() for c in name) or _ITEM.match(name):
        raise Refused("no place", name=name)
    codes = bag_codes(writer.connection)
    near = bagcode.near(bagcode.tidy(name), codes) if any(c.isdigit() for c in name) else []
    if near:
        raise Refused("no bag but near one", name=name, near=tuple(near[:6]))
    kind = PlaceKind.BOX if first.removesuffix("s") in _BOXES else PlaceKind.SHELF
    return writer.place(kind, name)


def home_of(writer: Writer, item: Item, mates: Sequence[Item] = ()) -> Made:
    """Give the bag in which pieces of this item belong: its own, else that of its step, else the
    bench."""
    for candidate in (item, *mates):
        if candidate.bags and candidate.step == item.step:
            return writer.place(PlaceKind.BAG, candidate.bags[0])
    return writer.place(PlaceKind.BENCH, "bench")


def from_hand(
    stock: Stock,
    item: Item,
    quantity: int | None,
    conditions: Sequence[Condition],
    *,
    bag: str = "",
    firm: int | None = None,
    but: int | None = None,
    at: str = "",
) -> list[tuple[Spot, int]]:
    """Choose pieces of an item that can be picked up: anywhere in hand, or from one bag only, or
    from one firm, or from the place called ``at``; but not from the place ``but``, where they are
    to go."""
    places = [
        number
        for number, kind in stock.kinds.items()
        if (number == firm if firm is not None else kind.in_hand)
        and number != but
        and (not bag or (kind is PlaceKind.BAG and stock.name_place(number) == bag))
        and (not at or fold(stock.name_place(number)) == fold(at))
    ]
    return take(stock, item.number, quantity, places, conditions)


def condition_first(order: Sequence[Condition], of: Condition | None) -> Sequence[Condition]:
    """Give the conditions to take pieces in: the one that was named, else by preference."""
    return (of,) if of is not None else order


def moves_to(
    item: Item, chosen: Sequence[tuple[Spot, int]], place: int, condition: Condition | None = None
) -> list[Movement]:
    """Turn chosen pieces into movements to one place, as they are or in another condition."""
    return [
        Movement(item.number, count, spot, Spot(place, condition or spot.condition))
        for spot, count in chosen
        if spot != Spot(place, condition or spot.condition)
    ]


@dataclass(frozen=True, slots=True)
class LooseItem:
    """Pieces that are of no joint any more: the row of their item, and how it is called."""

    number: int
    item: str


def let_loose(
    writer: Writer,
    act: int,
    machine: int,
    item: Item,
    spots: Sequence[tuple[Spot, int]],
    text: str,
    kind: ActKind,
) -> LooseItem:
    """Turn pieces of a joint into loose ones under a number of their own, where they lie."""
    description = writer.known_description(text)
    number, line = writer.item(
        act,
        machine,
        None,
        description,
        0,
        written=text,
        position="",
        words=f"{text} {item.step.part} {item.step.assembly}",
    )
    writer.specify(act, number, description, 0, item.renew)
    other = writer.place(PlaceKind.REASSIGNED, "put to another joint").number
    moves = []
    for spot, count in spots:
        passing = Spot(other, spot.condition)
        moves += [
            Movement(item.number, count, spot, passing),
            Movement(number, count, passing, spot),
        ]
    writer.move(act, record(writer.stock_for(moves), kind, moves))
    return LooseItem(number, f"0.{line}")
