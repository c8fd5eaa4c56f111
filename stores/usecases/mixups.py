"""Bags that were tipped together, and pieces of which nobody knows any more which is which."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from sqlalchemy import Connection

from stores.errors import BadValue, Hint, NotFound, Refused
from stores.model.items import Item
from stores.model.ledger import ActKind, Movement, PlaceKind, Spot, record
from stores.model.mixups import Mixed
from stores.planning.mixups import Telling, tell_apart
from stores.storage import Writer
from stores.storage.items import read_items
from stores.storage.machines import machine_named, read_machines
from stores.storage.mixups import MixedUp, MixUpLineRow, MixUpRow, mixed_up, next_mixup
from stores.storage.places import place_names
from stores.storage.writer import Made
from stores.text import clean, fold
from stores.usecases.common import (
    NOTE_LENGTH,
    PiecesAt,
    Whereabouts,
    bag_named,
    count_of,
    place_named,
    select,
)
from stores.usecases.context import Ask, Context, Reply

__all__ = [
    "ListMixed",
    "MixPieces",
    "MixedLine",
    "MixedPair",
    "MixedUpPieces",
    "PiecesMixed",
    "PiecesSorted",
    "SortPieces",
    "SortedLine",
    "mix",
    "mixed",
    "sort",
]

_SORTED = re.compile(r"\s*(\d{1,6}\.\d{1,4})\s*(?:=\s*([^@\s]+)\s*)?(?:@\s*(.+?)\s*)?")


@dataclass(frozen=True, slots=True)
class MixPieces(Ask):
    """Bags that were tipped together, steps or items that cannot be told apart: two or more."""

    what: Sequence[str]
    note: str = ""


@dataclass(frozen=True, slots=True)
class MixedLine:
    """So many pieces of a line that are mixed up: what they are, and where."""

    item: str
    machine: str
    assembly: str
    part: str
    text: str
    quantity: int
    at: tuple[PiecesAt, ...]


@dataclass(frozen=True, slots=True)
class MixedPair:
    """Two lines that are mixed up and what tells them apart. ``same``: nothing does, since they are
    the same thing, and either will do; with neither the record does not know."""

    one: str
    other: str
    tellings: tuple[Telling, ...]
    same: bool


@dataclass(frozen=True, slots=True)
class MixedUpPieces:
    """What lies mixed up and how to sort it."""

    mixup: int
    note: str
    date: str
    several_machines: bool
    lines: tuple[MixedLine, ...]
    pairs: tuple[MixedPair, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecesMixed(Reply):
    """Pieces that are marked as mixed up; ``bags`` are those whose labels are due for it."""

    mixed: MixedUpPieces
    bags: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ListMixed:
    """What is mixed up: all, or the mix-up of a number, or that of a bag or an item."""

    which: str = ""


@dataclass(frozen=True, slots=True)
class SortPieces(Ask):
    """What was sorted from a mix-up: all of it, or so many of a line, and where they are now.

    ``which`` is the mix-up's number, a bag or an item of it; empty where there is only one.
    ``lines`` are ``7.2`` (all of it), ``7.2=3`` (three of it), ``7.2=1@A003J`` (one of it turned
    out to be in A003J); none of them is all, where the record has it.
    """

    which: str = ""
    lines: Sequence[str] = ()
    new_place: bool = False


@dataclass(frozen=True, slots=True)
class SortedLine:
    """So many pieces of a line that are sorted. ``moved`` of them are in ``place`` now and were
    not on record there."""

    item: str
    text: str
    quantity: int
    place: Whereabouts
    moved: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecesSorted(Reply):
    """Pieces that are told apart again. ``left`` are still mixed up; ``by_itself`` is what was left
    of one thing alone, so that it is sorted too."""

    mixup: int
    lines: tuple[SortedLine, ...]
    by_itself: tuple[SortedLine, ...]
    left: tuple[MixedLine, ...]
    bags: tuple[str, ...]


def mix(context: Context, ask: MixPieces) -> PiecesMixed:
    """Record that pieces are mixed up: nothing of them is refitted until they are sorted.

    What is mixed up already, and shares a line with these, becomes one mix-up with them.

    Raises:
        NotFound: no such bag, step or item, or nothing of it in hand.
        Refused: fewer than two, or all of it is one and the same line in one condition.
    """
    note = clean(ask.note, "the note", most=NOTE_LENGTH, empty=True)
    if len(dict.fromkeys(fold(each) for each in ask.what)) < 2:
        raise Refused("mixed with what", hint=Hint("mix"))
    lots: dict[tuple[int, str, PlaceKind, str], int] = {}
    numbers: dict[int, Item] = {}
    with context.writing(ask) as writer:
        for what in ask.what:
            chosen = select(writer.connection, context.machine, what)
            there = [
                (item, held)
                for item in chosen.items
                for held in item.holdings
                if held.kind.in_hand
                and held.quantity > 0
                and (not chosen.bag or (held.kind is PlaceKind.BAG and held.place == chosen.bag))
            ]
            if not there:
                raise NotFound("nothing in hand to mix", what=chosen.name)
            for item, held in there:
                lots[item.number, held.condition.value, held.kind, held.place] = held.quantity
                numbers[item.number] = item
        if len({(item, condition) for item, condition, _, _ in lots}) < 2:
            raise Refused("the same thing", what=next(iter(numbers.values())).ref)
        number = next_mixup(writer.connection)
        names = " and ".join(" ".join(each.split()) for each in ask.what)
        act = writer.begin(
            ActKind.MIX, f"mix-up {number}: {names} mixed up", reason=note, at=context.at
        )
        row = writer.append(MixUpRow(act_id=act, number=number, note=note))
        for (lot, condition, kind, place), quantity in lots.items():
            writer.append(
                MixUpLineRow(
                    act_id=act,
                    mix_up_id=row,
                    item_id=lot,
                    place_id=writer.place(kind, place).number,
                    condition=condition,
                    quantity=quantity,
                )
            )
        found = mixed_up(writer.connection)
        whole = _facts(writer.connection, found, next(e for e in found.mixed if e.number == number))
    return PiecesMixed(act=act, trial=ask.trial, mixed=whole, bags=_bags(whole.lines))


def mixed(context: Context, ask: ListMixed) -> tuple[MixedUpPieces, ...]:
    """Return what is mixed up, and what tells it apart.

    Raises:
        NotFound: no mix-up of that number, or that bag or item is in none.
    """
    with context.reading() as connection:
        found = mixed_up(connection)
        listed = (
            [_named(connection, context, found, ask.which)] if ask.which.strip() else found.mixed
        )
        return tuple(_facts(connection, found, each) for each in listed)


def sort(context: Context, ask: SortPieces) -> PiecesSorted:
    """Record what was sorted from a mix-up, and where it is now.

    What is then left of one line in one condition is sorted with it: nothing else is left that it
    could be.

    Raises:
        NotFound: no such mix-up, or no such place.
        Refused: nothing is mixed up; or several things are and it is not said which; or a line is
            not in it, or has fewer pieces in it.
        BadValue: a line that cannot be read.
    """
    with context.writing(ask) as writer:
        connection = writer.connection
        found = mixed_up(connection)
        if not found.mixed:
            raise Refused("nothing is mixed up")
        if ask.which.strip():
            whole = _named(connection, context, found, ask.which)
        elif len(found.mixed) > 1:
            numbers = tuple(each.number for each in found.mixed)
            raise Refused("several are mixed up", mixups=numbers, hint=Hint("sort"))
        else:
            whole = found.mixed[0]
        left = dict(whole.pieces)
        items = {item.number: item for item in read_items(connection, numbers=whole.items)}
        read = [_read(context, connection, found, whole, line) for line in ask.lines]
        act = writer.begin(ActKind.SORT, f"mix-up {whole.number} sorted", at=context.at)
        sorting = _Sorting(writer, act, found.rows[whole.number], items, left)
        lines: list[SortedLine] = []
        for item, quantity, place in read:
            lines += sorting.take(
                item, quantity, place_named(writer, place, new=ask.new_place) if place else None
            )
        if not ask.lines:
            lines = [each for item in items.values() for each in sorting.rest(item.number)]
        alone: list[SortedLine] = []
        kinds = {(item, spot.condition) for (item, spot), count in left.items() if count}
        if ask.lines and len(kinds) == 1:
            alone = sorting.rest(kinds.pop()[0])
        moves = sorting.moves
        writer.move(act, record(writer.stock_for(moves), ActKind.SORT, moves))
        before = _facts(connection, found, whole)
        after = mixed_up(connection)
        still = next((each for each in after.mixed if set(each.items) & set(whole.items)), None)
        rest = _facts(connection, after, still).lines if still else ()
    return PiecesSorted(
        act=act,
        trial=ask.trial,
        mixup=whole.number,
        lines=tuple(lines),
        by_itself=tuple(alone),
        left=rest,
        bags=tuple(
            dict.fromkeys(
                (
                    *_bags(before.lines),
                    *(each.place.name for each in lines if each.place.kind is PlaceKind.BAG),
                )
            )
        ),
    )


class _Sorting:
    """Takes sorted pieces out of what is left of a mix-up, and moves them where they are."""

    def __init__(
        self,
        writer: Writer,
        act: int,
        row: int,
        items: Mapping[int, Item],
        left: dict[tuple[int, Spot], int],
    ) -> None:
        self.writer, self.act, self.row, self.items, self.left = writer, act, row, items, left
        self.moves: list[Movement] = []
        self.places = place_names(writer.connection, {spot.place for _, spot in left})

    def take(self, item: int, quantity: int | None, place: Made | None) -> list[SortedLine]:
        """Sort so many pieces of an item, those first that are on record in the place named."""
        whole = self.items[item]
        there = {
            spot: count
            for (of, spot), count in self.left.items()
            if of == item and count and (place is None or self.places[spot.place][0].in_hand)
        }
        most = sum(there.values())
        asked = most if quantity is None else quantity
        if not most or asked > most:
            raise Refused("fewer are mixed up", item=whole.ref, mixed=most, asked=asked)
        number = place.number if place is not None else None
        made: list[SortedLine] = []
        for spot in sorted(there, key=lambda each: each.place != number):
            some = min(asked, there[spot])
            if not some:
                break
            asked -= some
            self._unmark(item, spot, some)
            away = place is not None and spot.place != place.number
            if place is not None and away:
                target = Spot(place.number, spot.condition)
                self.moves.append(Movement(item, some, spot, target))
            where = (
                Whereabouts.of(place)
                if place is not None
                else Whereabouts(*self.places[spot.place])
            )
            text = whole.named(spot.condition)
            made.append(SortedLine(whole.ref, text, some, where, some if away else 0))
        return made

    def rest(self, item: int) -> list[SortedLine]:
        """Sort all that is left of an item, each piece where the record has it."""
        made = []
        for (of, spot), count in list(self.left.items()):
            if of == item and count:
                self._unmark(item, spot, count)
                whole = self.items[item]
                where = Whereabouts(*self.places[spot.place])
                made.append(SortedLine(whole.ref, whole.named(spot.condition), count, where, 0))
        return made

    def _unmark(self, item: int, spot: Spot, count: int) -> None:
        self.left[item, spot] -= count
        self.writer.append(
            MixUpLineRow(
                act_id=self.act,
                mix_up_id=self.row,
                item_id=item,
                place_id=spot.place,
                condition=spot.condition.value,
                quantity=count,
                sorted=1,
            )
        )


def _named(connection: Connection, context: Context, found: MixedUp, which: str) -> Mixed:
    """Return the mix-up that is meant by its number, by a bag in it or by a line of it."""
    typed = which.strip()
    if typed.isdecimal():
        for each in found.mixed:
            if each.number == int(typed):
                return each
        numbers = tuple(each.number for each in found.mixed)
        raise NotFound("no such mix-up", number=typed[:20], mixups=numbers)
    if re.fullmatch(r"\d{1,6}\.\d{1,4}", typed):
        meant = {
            item.number for item in select(connection, context.machine, typed, empty=True).items
        }
        for each in found.mixed:
            if meant & set(each.items):
                return each
    else:
        code = bag_named(connection, typed)
        for each in found.mixed:
            if any(code in found.names[item].bags for item in each.items):
                return each
    raise NotFound("not mixed up", what=typed[:40])


def _read(
    context: Context, connection: Connection, found: MixedUp, whole: Mixed, line: str
) -> tuple[int, int | None, str]:
    """Return the item of a line such as ``7.2=1@A003J``, how many pieces, and where they are."""
    read = _SORTED.fullmatch(clean(line, "what was sorted", most=200))
    if read is None:
        raise BadValue("no line of sorting", typed=line.strip()[:60])
    fits = [item for item in whole.items if found.names[item].item == read[1]]
    if len(fits) > 1:
        on = machine_named(connection, context.machine).name
        fits = [item for item in fits if found.names[item].machine == on]
    if not fits:
        refs = tuple(found.names[item].item for item in whole.items)
        raise Refused("not in this mix-up", item=read[1], number=whole.number, items=refs)
    return fits[0], count_of(read[2]), read[3] or ""


def _facts(connection: Connection, found: MixedUp, whole: Mixed) -> MixedUpPieces:
    """Return a mix-up with its lines, and what tells each two of them apart."""
    lines = []
    texts: dict[str, str] = {}
    items = read_items(connection, numbers=whole.items, verdicts=False)
    several = len({item.step.machine for item in items}) > 1
    for item in items:
        at = tuple(
            PiecesAt(held.mixed, held.condition, held.kind, held.place, held.inside)
            for held in item.holdings
            if held.mixed
        )
        if not at:
            continue
        text = item.named(at[0].condition)
        step = item.step
        pieces = sum(each.quantity for each in at)
        lines.append(MixedLine(item.ref, step.machine, step.assembly, step.part, text, pieces, at))
        texts[f"{item.ref} of {step.machine}" if several else item.ref] = text
    pairs = []
    for (one, text), (other, its) in combinations(texts.items(), 2):
        apart = tell_apart(text, its)
        pairs.append(MixedPair(one, other, apart.tellings, apart.same))
    many_machines = len(read_machines(connection)) > 1
    return MixedUpPieces(
        whole.number, whole.note, whole.date, many_machines, tuple(lines), tuple(pairs)
    )


def _bags(lines: Sequence[MixedLine]) -> tuple[str, ...]:
    return tuple(sorted({at.place for line in lines for at in line.at if at.kind is PlaceKind.BAG}))
