"""What is still on the machine: seized, not undone, or broken in its hole; and how it ends.

It comes off after all, or it stays for good, or it breaks. A broken piece is replaced by a new one;
its hole is a snag until the rest is out, and clearing the snag scraps the rest.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from stores.errors import Refused
from stores.handbook.benchline import StillOn
from stores.handbook.cautions import SEIZED
from stores.model.items import Item
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot, Stock, record
from stores.storage import Writer
from stores.storage.acts import reversed_acts
from stores.storage.figures import step_row
from stores.storage.items import mates
from stores.storage.machines import Machine
from stores.storage.snags import ClearingRow, SnagRow, next_snag, open_snags, snag_row
from stores.storage.stuck import StillOnRow, snagged_items, why_still_on
from stores.text import beside, clean, many
from stores.usecases.common import (
    NOTE_LENGTH,
    Whereabouts,
    count_of,
    home_of,
    place_named,
    select,
)
from stores.usecases.context import Ask, Context, Reply
from stores.usecases.rebuild import status_of_lacking
from stores.usecases.strip import LeftOn

__all__ = [
    "Broke",
    "CameOff",
    "LeaveOn",
    "PieceBroke",
    "StaysOn",
    "TakeOff",
    "broke",
    "came_off",
    "leave_on",
    "left_on",
    "scrap_rest",
]


@dataclass(frozen=True, slots=True)
class TakeOff(Ask):
    """Pieces that were still on the machine came off after all; ``to`` where they go, else into the
    bag of their step."""

    what: str
    quantity: str | int | None = None
    to: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CameOff(Reply):
    """Pieces that came off, and where they are. ``still_on`` are still there; ``snags`` are cleared
    by it."""

    item: str
    quantity: int
    text: str
    place: Whereabouts
    still_on: int
    snags: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class LeaveOn(Ask):
    """Pieces that are still on the machine stay there for good."""

    what: str
    quantity: str | int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StaysOn(Reply):
    """Pieces that stay on: they count as fitted now."""

    item: str
    quantity: int
    text: str
    still_on: int


@dataclass(frozen=True, slots=True)
class PieceBroke(Ask):
    """Pieces broke: on the way out, or when they were tightened; the rest is in its ``hole``."""

    what: str
    quantity: str | int | None = "1"
    hole: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Broke(Reply):
    """Pieces broken in their hole, and the snag to clear by getting the rest out."""

    item: str
    quantity: int
    text: str
    hole: str
    snag: int
    short: int
    cautions: tuple[str, ...]


def leave_on(
    writer: Writer,
    act: int,
    machine: Machine,
    step: int,
    item: int,
    still: Sequence[StillOn],
    text: str,
    position: str,
) -> tuple[tuple[LeftOn, ...], list[Movement]]:
    """Write down why pieces of an item did not come off; return what was written, and their
    movements. ``step`` and ``item`` are rows."""
    came = writer.place_of_machine(PlaceKind.CAME, machine.number).number
    stuck = writer.place_of_machine(PlaceKind.STUCK, machine.number).number
    made, moves = [], []
    for one in still:
        condition = Condition.CONDEMNED if one.broken else Condition.AS_REMOVED
        hole = one.hole
        snag = None
        if one.broken:
            hole = hole if hole != "its hole" or not position else position
            snag = _snag(writer, act, machine, step, item, many(one.count, text), hole)
        writer.append(
            StillOnRow(
                act_id=act,
                item_id=item,
                quantity=one.count,
                condition=condition.value,
                how=one.how,
                hole=hole,
                snag_id=snag[1] if snag else None,
            )
        )
        moves.append(
            Movement(
                item,
                one.count,
                Spot(came, Condition.AS_REMOVED),
                Spot(stuck, condition),
            )
        )
        made.append(LeftOn(one.count, one.how, one.broken, hole, snag[0] if snag else None))
    return tuple(made), moves


def _snag(
    writer: Writer, act: int, machine: Machine, step: int, item: int, pieces: str, hole: str
) -> tuple[int, int]:
    """Write down a snag of a hole with a broken piece in it; return its number and its row."""
    number = next_snag(writer.connection, machine.number)
    row = writer.append(
        SnagRow(
            act_id=act,
            machine_id=machine.number,
            number=number,
            sort="damaged",
            text=f"{pieces} broken in {hole}: drill the rest out and look at the thread",
            step_id=step,
            item_id=item,
        )
    )
    return number, row


def came_off(context: Context, ask: TakeOff) -> CameOff:
    """Record that pieces came off after all: they go into their bag, a broken one condemned.

    Raises:
        Refused: none is still on, or fewer are, or the count is of several items.
        NotFound: no such item.
        BadValue: a count that cannot be read.
    """
    note = clean(ask.note, "the note", most=NOTE_LENGTH, empty=True)
    with context.writing(ask) as writer:
        item, machine = _one(writer.connection, context.machine, ask.what)
        count = _count(item, ask.quantity)
        target = (
            place_named(writer, ask.to)
            if ask.to
            else home_of(writer, item, mates(writer.connection, item))
        )
        moves = _from_machine(writer, item, count, target.number)
        snags = []
        broken = sum(holding.quantity for holding in item.still_on if holding.broken)
        if broken and count >= item.stuck + broken:  # the last of it is out of its hole
            snags = _open_snags_of(writer.connection, machine, item)
        text = item.as_found.text
        act = writer.begin(
            ActKind.STUCK,
            f"{beside(item.ref, many(count, text))} came off",
            reason=note,
            at=context.at,
        )
        writer.move(act, record(writer.stock_for(moves), ActKind.STUCK, moves))
        for _, row in snags:
            how = f"the rest of {item.ref} came out"
            writer.append(ClearingRow(act_id=act, snag_id=row, how=how, item_id=None))
    left = sum(holding.quantity for holding in item.still_on) - count
    return CameOff(
        act=act,
        trial=ask.trial,
        item=item.ref,
        quantity=count,
        text=text,
        place=Whereabouts.of(target),
        still_on=left,
        snags=tuple(number for number, _ in snags),
    )


def left_on(context: Context, ask: LeaveOn) -> StaysOn:
    """Record that pieces stay on the machine for good: they count as fitted.

    Raises:
        Refused: none is still on, fewer are, or what is there is broken.
        NotFound: no such item.
        BadValue: a count that cannot be read.
    """
    note = clean(ask.note, "the reason", most=NOTE_LENGTH, empty=True)
    with context.writing(ask) as writer:
        item, machine = _one(writer.connection, context.machine, ask.what)
        if not item.stuck and item.still_on:
            raise Refused("a broken piece does not stay", item=item.ref, text=item.as_found.text)
        count = _count(item, ask.quantity, whole=True)
        place = writer.place_of_machine(PlaceKind.MACHINE, machine.number).number
        moves = _from_machine(writer, item, count, place)
        text = item.as_found.text
        act = writer.begin(
            ActKind.STUCK,
            f"{beside(item.ref, many(count, text))} left on",
            reason=note,
            at=context.at,
        )
        writer.move(act, record(writer.stock_for(moves), ActKind.STUCK, moves))
    return StaysOn(
        act=act,
        trial=ask.trial,
        item=item.ref,
        quantity=count,
        text=text,
        still_on=sum(holding.quantity for holding in item.still_on) - count,
    )


def broke(context: Context, ask: PieceBroke) -> Broke:
    """Record that pieces broke and that the rest is in its hole: of those still on, else of those
    that were fitted. A new one is to be bought, and the hole is a snag.

    Raises:
        Refused: none of it is on the machine, or fewer are; or it is a loose piece.
        NotFound: no such item.
        BadValue: a count that cannot be read.
    """
    hole = clean(ask.hole, "the hole", most=120, empty=True)
    with context.writing(ask) as writer:
        item, machine = _one(writer.connection, context.machine, ask.what)
        count = count_of(ask.quantity) or 1
        row = step_row(writer.connection, machine.number, item.step.number)
        if row is None or count > item.stuck + item.fitted:
            raise Refused(
                "fewer on the machine", item=item.ref, asked=count, there=item.stuck + item.fitted
            )
        hole = hole or item.position or "its hole"
        stuck = writer.place_of_machine(PlaceKind.STUCK, machine.number).number
        stock = writer.stock([item.number], [stuck])
        moves = []
        left = count
        for spot, there in (
            *_on_machine(stock, item.number, PlaceKind.STUCK, Condition.AS_REMOVED),
            *_on_machine(stock, item.number, PlaceKind.MACHINE),
        ):
            some = min(left, there)
            if some > 0:
                moves.append(Movement(item.number, some, spot, Spot(stuck, Condition.CONDEMNED)))
                left -= some
        text = item.as_found.text
        act = writer.begin(
            ActKind.STUCK, f"{beside(item.ref, many(count, text))} broke in {hole}", at=context.at
        )
        writer.move(act, record(writer.stock_for(moves), ActKind.STUCK, moves))
        snag, snag_at = _snag(writer, act, machine, row, item.number, many(count, text), hole)
        writer.append(
            StillOnRow(
                act_id=act,
                item_id=item.number,
                quantity=count,
                condition=Condition.CONDEMNED.value,
                how="broken",
                hole=hole,
                snag_id=snag_at,
            )
        )
        after = select(writer.connection, machine.name, item.ref).only
        piece = status_of_lacking(writer.connection, [after]).get(after.number)
    return Broke(
        act=act,
        trial=ask.trial,
        item=item.ref,
        quantity=count,
        text=text,
        hole=hole,
        snag=snag,
        short=piece.short if piece else 0,
        cautions=(SEIZED,),
    )


def scrap_rest(writer: Writer, snag: int) -> list[Movement]:
    """Return the movements by which what was broken in its hole is scrapped, as its snag (a row) is
    cleared."""
    said = snagged_items(writer.connection, snag, reversed_acts(writer.connection))
    if not said:
        return []
    scrapped = writer.place(PlaceKind.SCRAPPED, "scrapped").number
    stock = writer.stock([item for item, _, _ in said], [scrapped])
    moves = []
    for item, condition, count in said:
        left = count
        for spot, there in _on_machine(stock, item, PlaceKind.STUCK, Condition(condition)):
            some = min(left, there)
            if some > 0:
                moves.append(Movement(item, some, spot, Spot(scrapped, spot.condition)))
                left -= some
    return moves


def _on_machine(
    stock: Stock, item: int, kind: PlaceKind, *conditions: Condition
) -> list[tuple[Spot, int]]:
    """Return where an item's pieces are on its machine, and how many, by condition.

    The step may have been under another machine then: the kind of place says it, not its name.
    """
    spots = [
        (spot, count)
        for spot, count in stock.balance.of_item(item).items()
        if count > 0
        and stock.kinds[spot.place] is kind
        and (not conditions or spot.condition in conditions)
    ]
    order = [*Condition]
    return sorted(spots, key=lambda each: (order.index(each[0].condition), each[0].place))


def _one(connection: Connection, machine: str | None, what: str) -> tuple[Item, Machine]:
    """Return the item that is meant: of a step or a bag the only one with pieces still on."""
    chosen = select(connection, machine, what, empty=True)
    still = [item for item in chosen.items if item.still_on]
    if len(chosen.items) > 1 and len(still) == 1:
        return still[0], chosen.machine
    return chosen.only, chosen.machine


def _count(item: Item, typed: str | int | None, *, whole: bool = False) -> int:
    """Return how many of those still on are meant: where that is not said all the whole ones, or
    what is broken where that is all there is."""
    there = item.stuck if whole else sum(holding.quantity for holding in item.still_on)
    count = count_of(typed)
    if not there:
        raise Refused("nothing still on", item=item.ref, text=item.as_found.text)
    if count is not None and count > there:
        raise Refused("fewer still on", item=item.ref, asked=count, there=there)
    return (item.stuck or there) if count is None else count


def _from_machine(writer: Writer, item: Item, count: int, to: int) -> list[Movement]:
    """Return the movements of so many pieces still on, the whole ones first."""
    stock = writer.stock([item.number], [to])
    moves = []
    for spot, there in _on_machine(stock, item.number, PlaceKind.STUCK):
        some = min(count, there)
        if some > 0:
            moves.append(Movement(item.number, some, spot, Spot(to, spot.condition)))
            count -= some
    return moves


def _open_snags_of(connection: Connection, machine: Machine, item: Item) -> list[tuple[int, int]]:
    """Return the open snags of holes in which pieces of an item are broken: number and row."""
    gone = reversed_acts(connection)
    why = why_still_on(connection, [item.number], gone)
    rows = {row for each in why.values() for row in each.snags}
    found = []
    for snag in open_snags(connection, machine.number):
        row = snag_row(connection, machine.number, snag.number)
        if row in rows:
            found.append((snag.number, row))
    return [(number, row) for number, row in found if row is not None]
