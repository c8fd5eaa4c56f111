"""What the use-cases share: naming pieces, naming places, counts and conditions as typed.

A bag tells its machine by itself; a reference such as 7.2 is of the machine last worked on.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from stores import bagcode
from stores.errors import BadValue, Hint, NotationError, NotFound, Refused
from stores.handbook.benchline import BenchLine
from stores.model.items import Item, Job, Step, lies_in, path_of, work_words
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
from stores.storage.items import items_at, items_of_bag, items_of_step, read_items
from stores.storage.machines import Machine, machine_named, read_machines
from stores.storage.places import (
    assembly_paths,
    bag_coded,
    bag_codes,
    firm_names,
    has_place,
    place_known,
    place_names,
    places_inside,
    stowed_places,
)
from stores.storage.search import items_like
from stores.storage.writer import Made
from stores.text import beside, clean, fold, nearest

__all__ = [
    "NOTE_LENGTH",
    "NO_WORK",
    "REASON_NEEDED",
    "SPOKEN",
    "LooseItem",
    "PiecesAt",
    "Scope",
    "Selection",
    "Whereabouts",
    "WorkSaid",
    "assembly_named",
    "bag_named",
    "condition_first",
    "condition_named",
    "count_of",
    "firm_named",
    "from_hand",
    "home_of",
    "loose_item",
    "make_loose",
    "maybe_condition",
    "moves_to",
    "pieces_of",
    "place_named",
    "read_work",
    "refuse_beside",
    "scope_of",
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
    """So many pieces of one condition at one place; ``what`` is what they are, ``how`` they are
    still on the machine, and in which ``hole``. ``unit`` is in what they are counted."""

    quantity: int
    condition: Condition
    kind: PlaceKind
    place: str
    inside: str = ""
    what: str = ""
    how: str = ""
    hole: str = ""
    unit: str = ""

    @property
    def where(self) -> str:
        """Where they are, with what their place is inside of, or why they are still on."""
        at = self.kind.at(self.place)
        if self.how:
            at += f": {self.how}" + (f" in {self.hole}" if self.hole else "")
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
        PiecesAt(
            holding.quantity,
            holding.condition,
            holding.kind,
            holding.place,
            holding.inside,
            item.held(holding),
            holding.how,
            holding.hole,
            item.unit,
        )
        for item in items
        for holding in item.holdings
        if holding.quantity > 0
    )


@dataclass(frozen=True, slots=True)
class Selection:
    """What a person pointed at: items of one machine, and the bag when a bag code was used.

    ``job`` is what was done at the step that is no piece; only then may there be no items.
    """

    machine: Machine
    items: tuple[Item, ...]
    bag: str = ""
    several: bool = False
    called: str = ""
    job: Job | None = None

    @property
    def step(self) -> Step:
        """The step: of a job its own, else that of the first item."""
        return self.job.step if self.job is not None else self.items[0].step

    @property
    def only(self) -> Item:
        """The single item.

        Raises:
            Refused: several; a count would be ambiguous.
        """
        if len(self.items) > 1:
            raise Refused("several items", what=self.name, items=_named(self.items))
        if not self.items:
            raise _nothing_came_off(self.step)
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
            return beside(self.items[0].ref, self.items[0].text)
        return f"step {self.step.number}"


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


SPOKEN = {
    "good": Condition.SERVICEABLE,
    "repair": Condition.REPAIRABLE,
    "scrap": Condition.CONDEMNED,
    "unsure": Condition.QUARANTINE,
}
"""The short words for what an inspection may say, beside the conditions themselves."""


def condition_named(typed: str) -> Condition:
    """Return the condition that was typed; a clear beginning will do, or a word of `SPOKEN`.

    Raises:
        BadValue: none of the words.
    """
    folded = typed.strip().casefold()
    if folded in SPOKEN:
        return SPOKEN[folded]
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
        ("still on", bool(line.still_on)),
        ("stack", bool(line.layers)),
    ):
        if there:
            raise Refused("means nothing here", part=part, usecase=usecase)


def _named(items: Sequence[Item]) -> tuple[str, ...]:
    return tuple(beside(item.ref, item.text) for item in items)


def _nothing_came_off(step: Step) -> Refused:
    return Refused(
        "nothing came off",
        step=step.number,
        part=step.part,
        hint=Hint("refit", what=str(step.number)),
    )


def select(
    connection: Connection,
    machine: str | None,
    what: str,
    *,
    empty: bool = False,
    jobs: bool = False,
) -> Selection:
    """Find what a person points at: an item (``7.2``), a step (``7``) or a bag (``A001N``).

    A bag tells its machine by itself. ``empty`` lets a bag be empty for the time being: then its
    items are those that were in it. ``jobs`` lets a step be one at which nothing came off: then
    there may be no items.

    Raises:
        NotFound: nothing stands under that name.
        NotationError: none of the three; a bag code with a slip offers what it may have been.
        Refused: a bag with pieces of several machines, or of another than the one named; a step at
            which nothing came off.
    """
    item, step = _ITEM.match(what), _STEP.match(what)
    if not item and not step:
        return _select_bag(connection, machine, bag_named(connection, what), empty=empty)
    on = machine_named(connection, machine)
    number = int((item or step or [0, 0])[1])
    job = _job_of(connection, on.number, number)
    listed = items_of_step(connection, on.number, number, empty=job is not None)
    if job is not None and not listed and (item or not jobs):
        raise _nothing_came_off(job.step)
    if item:
        chosen = [found for found in listed if found.line == int(item[2])]
        if not chosen:
            raise NotFound(
                "no such item", item=what.strip(), machine=on.name, step=number,
                items=_named(listed),
            )  # fmt: skip
        listed = chosen
    several = _several(connection)
    return Selection(on, tuple(listed), several=several, job=None if item else job)


def _job_of(connection: Connection, machine: int, number: int) -> Job | None:
    from stores.storage.strip import job_of  # a row class costs a millisecond: not before

    return job_of(connection, machine, number) if number else None


@dataclass(frozen=True, slots=True)
class Scope:
    """All that a person pointed at, with the items of it.

    ``kind`` is "machine", "assembly", "step", "item", or what kind of place it is. ``place`` is the
    bag, box, shelf or firm, None where none was named; ``places`` with what sits in it.
    """

    kind: str
    name: str
    items: tuple[Item, ...]
    machine: Machine | None = None
    place: int | None = None
    places: frozenset[int] | None = None
    place_names: frozenset[str] | None = None


def scope_of(connection: Connection, machine: str | None, what: str = "") -> Scope:
    """Find what a person points at: an item (``7.2``), a step (``7``), a bag's code, a box, shelf,
    firm or the bench by name, an assembly (``Engine / Clutch``), a machine; empty for the machine
    last worked on.

    Raises:
        NotFound: nothing is called that.
        BadValue: a bag code with a slip.
    """
    if not what.strip():
        on = machine_named(connection, machine)
        return Scope("machine", on.name, tuple(read_items(connection, machine=on.number)), on)
    name = clean(what, "what is asked for")
    if _ITEM.match(name) or _STEP.match(name):
        chosen = select(connection, machine, name)
        kind = "item" if _ITEM.match(name) else "step"
        return Scope(kind, chosen.name if kind == "item" else f"step {_STEP.match(name)[1]}",  # type: ignore[index]
                     chosen.items, chosen.machine)  # fmt: skip
    place = place_known(connection, name)
    if place is None and bagcode.looks_like_code(name):
        place = place_known(connection, bag_named(connection, name))
    if place is not None:
        number, place_kind, called = place
        places = places_inside(connection, number)
        held = {item.number: item for each in places for item in items_at(connection, each)}
        return Scope(
            place_kind.value,
            f"bag {called}" if place_kind is PlaceKind.BAG else called,
            tuple(sorted(held.values(), key=_in_order)),
            None,
            number,
            places,
            frozenset(called for _, called in place_names(connection, places).values()),
        )
    if any(fold(each.name) == fold(name) for each in read_machines(connection)):
        return scope_of(connection, name)
    on = machine_named(connection, machine)
    items = [i for i in read_items(connection, machine=on.number) if i.step.number]
    inside = [item for item in items if lies_in(item.step.assembly, name)]
    if not inside:
        known = dict.fromkeys(item.step.assembly for item in items)
        raise NotFound("nothing called that", name=name, machine=on.name, assemblies=tuple(known))
    path = path_of(name)
    called = " / ".join(inside[0].step.assembly.split(" / ")[: len(path)])
    return Scope("assembly", called, tuple(inside), on)


def _in_order(item: Item) -> tuple[str, int, int]:
    return (item.step.machine, item.step.number, item.line)


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
    steps = {item.step.number for item in chosen.items} or {chosen.step.number}
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
    first = clean(text, "what is asked for", most=4000, lines=True).splitlines()[0]
    typed = bagcode.tidy(clean(first, "what is asked for"))
    if bag_coded(connection, typed) is not None:
        return typed
    codes = bag_codes(connection)
    near = tuple(bagcode.near(typed, codes)[:6])
    if not bagcode.looks_like_code(first) and not near:
        raise NotationError("not an item (7.2), a step (7) or a bag code (A001N)", first)
    try:
        bagcode.check(typed)
    except NotationError:
        raise BadValue("bag code misread", bag=typed, near=near) from None
    raise NotFound("no such bag", bag=typed, near=near)


_SENTENCE = (
    r"\b(?:same|as (?:before|above|last)|next to|along with|together with|in with|where the|see)\b"
    r"|^with\b|\b(?:bag|box|tin) (?:as|with|like)\b|\bbag of\b|^in (?:the |a )?bag\b"
)
_ABOUT = (
    r"\b(?:same|place|as|the|an?|next|to|with|bag|box|tin|of|in|along|together|like|where|see)\b"
)


def place_named(writer: Writer, text: str, *, new: bool = False) -> Made:
    """Find a place in the workshop by what a person calls it, or make it.

    ``new`` is a new bag; a bag's code is that bag; ``bench`` is the bench; what begins with box,
    tin, tray, drawer and the like is a box, anything else a shelf.

    Raises:
        Refused: no place to put a piece by hand; a name near that of an old place, or one that
            reads like a sentence, unless ``new`` says that it is a new place.
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
    if not new and not has_place(writer.connection, kind, name):
        _ask_about(writer.connection, name, codes)
    return writer.place(kind, name)


def _ask_about(connection: Connection, name: str, codes: Sequence[str]) -> None:
    """Refuse a name that is hardly that of a new place."""
    inside = [code for word in name.split() if (code := bagcode.tidy(word.strip("(),"))) in codes]
    if inside:
        raise Refused("a bag in the name", name=name, bag=inside[0])
    if near := nearest(name, stowed_places(connection)):
        raise Refused("near an old place", name=name, near=tuple(near))
    if re.search(_SENTENCE, fold(name)):
        about = re.sub(_ABOUT, " ", fold(name)).split()
        found = items_like(connection, words=about) if about else []
        bags = dict.fromkeys(code for item in found for code in item.bags)
        raise Refused("a sentence for a place", name=name, bags=tuple(bags)[:3])


def firm_named(writer: Writer, kind: PlaceKind, text: str, *, new: bool | None = False) -> Made:
    """Find a firm by its name or a clear beginning of it, or make it.

    ``new`` None is for what can only be done at a firm that there is.

    Raises:
        Refused: a name near that of an old firm, unless ``new`` says that it is another.
    """
    name = clean(text, "the firm", most=80)
    if not new:
        known = firm_names(writer.connection)
        begins = [each for each in known if fold(each).startswith(f"{fold(name)} ")]
        exact = any(fold(each) == fold(name) for each in known)
        near = [] if exact or len(begins) == 1 else nearest(name, known)
        if near and new is None:
            raise Refused("no firm but near one", name=name, near=tuple(near))
        if near:
            raise Refused("near an old firm", name=name, near=tuple(near))
    return writer.firm(kind, name)


def assembly_named(
    writer: Writer, machine: int, path: tuple[str, ...], *, new: bool = False
) -> Made:
    """Find an assembly by its path from the machine down, or make it and those above it.

    Raises:
        Refused: it is not there, but one is whose path is near, or that is called so and lies
            deeper, unless ``new`` says that it is another one.
    """
    if not new and (near := _near_assemblies(assembly_paths(writer.connection, machine), path)):
        raise Refused("near an old assembly", name=" / ".join(path), near=near)
    return writer.assembly(machine, path)


def _near_assemblies(known: Sequence[str], path: tuple[str, ...]) -> tuple[str, ...]:
    """Return the paths that somebody may have meant: each level that is not there as the nearest
    that is; or a name that stands alone and lies deeper."""
    paths = {fold(each): each for each in known}
    if fold(" / ".join(path)) in paths:
        return ()
    meant: list[tuple[str, ...]] = [()]
    slipped = False
    for name in path:
        walked: list[tuple[str, ...]] = []
        for above in meant:
            whole = fold(" / ".join((*above, name)))
            if whole in paths:
                walked.append(tuple(paths[whole].split(" / ")))
                continue
            depth = len(above)
            beside = [
                each.split(" / ")[-1]
                for each in known
                if each.count(" / ") == depth
                and fold(each).startswith(fold(" / ".join((*above, ""))) if above else "")
            ]
            near = nearest(name, beside)
            slipped = slipped or bool(near)
            walked += [(*above, each) for each in near or [name]]
        meant = walked
    if slipped:
        return tuple(" / ".join(each) for each in meant)
    if len(path) == 1:
        deeper = [each for each in known if " / " in each]
        name = path[0]
        same = [each for each in deeper if fold(each.split(" / ")[-1]) == fold(name)]
        return tuple(same[:3])
    return ()


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


def loose_item(writer: Writer, act: int, machine: int, item: Item, text: str) -> LooseItem:
    """Write a loose item down that pieces of a joint become: no piece of it is anywhere yet."""
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
    return LooseItem(number, f"0.{line}")


def make_loose(
    writer: Writer,
    act: int,
    machine: int,
    item: Item,
    spots: Sequence[tuple[Spot, int]],
    text: str,
    kind: ActKind,
) -> LooseItem:
    """Turn pieces of a joint into loose ones under a number of their own, where they lie."""
    loose = loose_item(writer, act, machine, item, text)
    other = writer.place(PlaceKind.REASSIGNED, "put to another joint").number
    moves = []
    for spot, count in spots:
        passing = Spot(other, spot.condition)
        moves += [
            Movement(item.number, count, spot, passing),
            Movement(loose.number, count, passing, spot),
        ]
    writer.move(act, record(writer.stock_for(moves), kind, moves))
    return loose
