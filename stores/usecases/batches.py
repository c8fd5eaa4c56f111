"""Outwork in batches: made up, marked, sent, promised, counted back, written off."""

from collections.abc import Sequence
from dataclasses import replace

from stores.errors import BadValue, NotFound, Refused
from stores.handbook.cautions import cautions_for
from stores.model.items import Item
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot, record
from stores.planning.batches import MARKS, Batch, BatchLine, cautions_of_batch, metal_of
from stores.storage import Store, Writer
from stores.storage.outwork import read_batches
from stores.text import clean, counted, many, read_day, today
from stores.usecases.common import (
    NOTE_LENGTH,
    Done,
    condition_first,
    count_of,
    from_hand,
    moves_to,
    select,
)
from stores.usecases.supply import SENT, homeward

__all__ = [
    "batch_back",
    "begin_batch",
    "mark_batch",
    "put_into_batch",
    "send_batch",
    "take_out_of_batch",
    "write_off",
]


def begin_batch(
    store: Store,
    firm: str,
    work: str,
    *,
    finish: str = "",
    note: str = "",
    at: str | None = None,
) -> Done:
    """Begin a batch for a firm and one kind of work; nothing moves until it is sent."""
    firm = clean(firm, "the firm", most=80)
    work = clean(work, "the work", most=NOTE_LENGTH)
    finish = clean(finish, "the finish", most=NOTE_LENGTH, empty=True)
    note = clean(note, "the note", most=NOTE_LENGTH, empty=True)
    with store.writing() as writer:
        place = writer.firm(PlaceKind.FIRM, firm)
        number = writer.next_batch()
        said = f"batch {number} for {place.name}: {work}" + (f", {finish}" if finish else "")
        act = writer.begin(ActKind.BATCH, said, at=at)
        writer.batch(act, number, place.number, work, finish, note)
    return Done(
        act,
        (f"B{said[1:]}",),
        (f"Put pieces in: stores batch put {number} WHAT",),
        cautions_for(work),
        data={"act": act, "batch": number, "firm": place.name, "work": work},
    )


def put_into_batch(
    store: Store,
    number: int,
    what: Sequence[str],
    *,
    quantity: int | None = None,
    metal: str = "",
    masking: str = "",
    strength: str = "",
    note: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Put items into a batch that is being made up, counted; what was said of a line is said anew.

    Args:
        store: the opened stores.
        number: the batch.
        what: bags, steps or items; condemned pieces are left out.
        quantity: how many, of one item; else all that are in hand.
        metal: what they are of.
        masking: what is to be masked: threads, bearing seats, earth points, brake bores.
        strength: the strength class, or a hardness.
        note: anything else for the firm.
        machine: its name, when not the one last worked on.
        at: the day, when not today.

    Raises:
        Refused: the batch is sent, or fewer are in hand beside what other batches hold.
    """
    count_of(quantity)
    said = {
        name: clean(text, name, most=200, empty=True)
        for name, text in (
            ("metal", metal), ("masking", masking), ("strength", strength), ("note", note)
        )
    }  # fmt: skip
    with store.writing() as writer:
        batch = _making(writer, number)
        taken = _taken(writer, number)
        lines = []
        put: list[tuple[Item, int]] = []
        for name in what:
            chosen = select(writer.connection, machine, name)
            for item in chosen.picked(quantity):
                free = item.in_hand(*SENT) - taken.get(item.number, 0)
                count = free if quantity is None else quantity
                if count > free or not count:
                    rest = (
                        f", {taken[item.number]} in other batches" if taken.get(item.number) else ""
                    )
                    if quantity is None and len(chosen.items) > 1:
                        continue  # of a bag or step, what is there
                    raise Refused(
                        f"{quantity or 'all'} of {item.ref} {item.as_found.text} asked for, "
                        f"but {max(0, free)} in hand{rest}"
                    )
                put.append((item, count))
        if not put:
            raise Refused(f"nothing of {', '.join(what)} is in hand to put in")
        total = sum(count for _, count in put)
        act = writer.begin(ActKind.BATCH, f"{counted(total)} into batch {number}", at=at)
        for item, count in dict(put).items():
            own = said | {"metal": said["metal"] or metal_of(item.as_found.text)}
            writer.batch_line(act, batch.row, item.number, count, **own)
            line = BatchLine(
                item, count, own["metal"], own["masking"], own["strength"], own["note"]
            )
            lines.append(f"  {item.ref}  {many(count, item.as_found.text)}{_tail(line)}")
        made = _batch(writer, number)
    return Done(
        act,
        (f"Batch {number} for {batch.firm}: {counted(total)} put in, {made.pieces} in all", *lines),
        (),
        cautions_of_batch(made),
        data={"act": act, "batch": number, "pieces": made.pieces},
    )


def _tail(line: BatchLine) -> str:
    return f"  ({line.details})" if line.details else ""


def take_out_of_batch(
    store: Store,
    number: int,
    what: Sequence[str],
    *,
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Take items out of a batch that is being made up."""
    with store.writing() as writer:
        batch = _making(writer, number)
        held = {line.item.number for line in batch.lines}
        gone = [
            item
            for name in what
            for item in select(writer.connection, machine, name, empty=True).items
            if item.number in held
        ]
        if not gone:
            raise Refused(f"nothing of {', '.join(what)} is in batch {number}")
        listed = ", ".join(f"{item.ref} {item.as_found.text}" for item in gone)
        act = writer.begin(ActKind.BATCH, f"out of batch {number}: {listed}", at=at)
        for item in gone:
            writer.batch_line(act, batch.row, item.number, 0)
    return Done(act, (f"Out of batch {number}: {listed}",), data={"act": act, "batch": number})


def mark_batch(
    store: Store,
    number: int,
    marks: Sequence[str],
    *,
    promised: str | None = None,
    at: str | None = None,
) -> Done:
    """Mark a batch as photographed or packed, and say for which day it is promised.

    ``promised`` is a day as 2026-03-14, or "none".

    Raises:
        Refused: nothing to mark.
        BadValue: no such mark, or no day.
    """
    wrong = [mark for mark in marks if mark not in MARKS]
    if wrong:
        raise BadValue(f"{wrong[0]!r} is no mark: {', '.join(MARKS)}")
    values: list[tuple[str, str, str]] = [(mark, "yes", mark) for mark in marks]
    if promised is not None:
        day = (
            ""
            if promised.strip().casefold() == "none"
            else read_day(promised, ahead=True).isoformat()
        )
        values.append(("promised", day, f"promised for {day}" if day else "no day promised"))
    if not values:
        raise Refused("mark it with --photographed, --packed or --promised DAY")
    with store.writing() as writer:
        batch = _batch(writer, number)
        said = ", ".join(words for _, _, words in values)
        act = writer.begin(ActKind.BATCH, f"batch {number} ({batch.firm}): {said}", at=at)
        for event, value, _ in values:
            writer.batch_event(act, batch.row, event, value)
    return Done(
        act, (f"Batch {number} for {batch.firm}: {said}",), data={"act": act, "batch": number}
    )


def send_batch(
    store: Store, number: int, *, promised: str | None = None, at: str | None = None
) -> Done:
    """Send a batch: its pieces are away at the firm from now on.

    Raises:
        Refused: it is empty or sent already, or pieces of it are no longer in hand.
    """
    day = None if promised is None else read_day(promised, ahead=True).isoformat()
    with store.writing() as writer:
        batch = _making(writer, number)
        if not batch.lines:
            raise Refused(f"batch {number} is empty: stores batch put {number} WHAT")
        stock = writer.stock([line.item.number for line in batch.lines], [batch.place])
        before = stock.balance.copy()
        moves: list[Movement] = []
        for line in batch.lines:
            spots = from_hand(stock, line.item, line.quantity, condition_first(SENT, None))
            for move in moves_to(line.item, spots, batch.place):
                moves.append(move)
                stock.balance.apply(move)
        act = writer.begin(
            ActKind.SEND,
            f"batch {number}, {counted(batch.pieces)} to {batch.firm}",
            reason=batch.work,
            at=at,
        )
        writer.move(act, record(replace(stock, balance=before), ActKind.SEND, moves, batch.work))
        writer.batch_event(act, batch.row, "sent", at or today().isoformat())
        if day:
            writer.batch_event(act, batch.row, "promised", day)
        made = _batch(writer, number)
    lines = [f"  {line.item.ref}  {many(line.quantity, line.text)}" for line in batch.lines]
    due = f", promised for {day}" if day else ""
    return Done(
        act,
        (f"Batch {number} is away at {batch.firm}: {counted(batch.pieces)}{due}", *lines),
        (f"The note to go with it: stores batch note {number}",),
        (*cautions_of_batch(batch), *cautions_for(f"{batch.work} {batch.finish}")),
        data={"act": act, "batch": number, "pieces": made.pieces, "promised": day},
    )


def batch_back(
    store: Store,
    number: int,
    what: Sequence[str] = (),
    *,
    quantity: int | None = None,
    condition: Condition | None = None,
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Count a batch back, whole or piece by piece, into the bags that its pieces were sent from.

    What does not come stays away under the firm's name until it is found or written off.
    """
    count_of(quantity)
    if condition not in (None, Condition.SERVICEABLE):
        raise Refused(f"count them back first, then: stores inspect WHAT {condition} WHY")
    with store.writing() as writer:
        batch = _away(writer, number)
        chosen = _chosen(writer, batch, what, quantity, machine)
        numbers = [line.item.number for line, _ in chosen]
        stock = writer.stock(numbers, [batch.place])
        moves = homeward(
            writer,
            stock,
            [(line.item, count) for line, count in chosen],
            batch.place,
            condition=condition,
        )
        total = sum(move.quantity for move in moves)
        act = writer.begin(
            ActKind.RETURN, f"batch {number}, {counted(total)} back from {batch.firm}", at=at
        )
        writer.move(act, record(writer.stock_for(moves), ActKind.RETURN, moves))
        for line, count in chosen:
            writer.batch_return(act, batch.row, line.item.number, count, "back")
        left = _batch(writer, number)
    still = [
        f"  still away: {line.item.ref}  {many(line.away, line.text)}"
        for line in left.lines
        if line.away
    ]
    return Done(
        act,
        (
            f"Batch {number}: {counted(total)} back from {batch.firm}",
            *(f"  {line.item.ref}  {many(count, line.text)}" for line, count in chosen),
            *still,
        ),
        ("Look each over: stores inspect WHAT serviceable",) if condition is None else (),
        data={"act": act, "batch": number, "pieces": total, "still_away": left.away},
    )


def write_off(
    store: Store,
    number: int,
    what: Sequence[str] = (),
    *,
    quantity: int | None = None,
    reason: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Write off pieces of a batch that will not come back: they are lost, and to be bought."""
    count_of(quantity)
    reason = clean(reason, "the reason", most=NOTE_LENGTH, empty=True)
    if not reason:
        raise Refused("say why they are written off: -n 'the plater cannot find them'")
    with store.writing() as writer:
        batch = _away(writer, number)
        chosen = _chosen(writer, batch, what, quantity, machine)
        stock = writer.stock([line.item.number for line, _ in chosen], [batch.place])
        lost = writer.place(PlaceKind.LOST, "lost").number
        moves = []
        for line, count in chosen:
            spots = from_hand(stock, line.item, count, tuple(Condition), firm=batch.place)
            moves += [
                Movement(line.item.number, some, spot, Spot(lost, spot.condition))
                for spot, some in spots
            ]
        total = sum(move.quantity for move in moves)
        act = writer.begin(
            ActKind.LOSE,
            f"batch {number}, {counted(total)} written off at {batch.firm}",
            reason=reason,
            at=at,
        )
        writer.move(act, record(writer.stock_for(moves), ActKind.LOSE, moves, reason))
        for line, count in chosen:
            writer.batch_return(act, batch.row, line.item.number, count, "written off")
    lines = [f"  {line.item.ref}  {many(count, line.text)}" for line, count in chosen]
    return Done(
        act,
        (f"Batch {number}: {counted(total)} written off at {batch.firm}", *lines),
        ("They are on the shopping list now; if they turn up: stores recover WHAT",),
        data={"act": act, "batch": number, "pieces": total},
    )


def _chosen(
    writer: Writer, batch: Batch, what: Sequence[str], quantity: int | None, machine: str | None
) -> list[tuple[BatchLine, int]]:
    lines = [line for line in batch.lines if line.away]
    if what:
        wanted = {
            item.number
            for name in what
            for item in select(writer.connection, machine, name, empty=True).items
        }
        lines = [line for line in lines if line.item.number in wanted]
    if not lines:
        raise Refused(f"nothing of {', '.join(what)} is away in batch {batch.number}")
    if quantity is not None and len(lines) > 1:
        raise Refused("a count needs one item: name it, as 7.2")
    if quantity is not None and quantity > lines[0].away:
        line = lines[0]
        raise Refused(
            f"{quantity} of {line.item.ref} {line.text} counted, but {line.away} are away in batch "
            f"{batch.number}: what is more goes back to the firm, or is not ours"
        )
    return [(line, line.away if quantity is None else quantity) for line in lines]


def _taken(writer: Writer, but: int) -> dict[int, int]:
    """Give how many pieces of each item lie in other batches that are being made up."""
    taken: dict[int, int] = {}
    for batch in read_batches(writer.connection):
        if not batch.sent and batch.number != but:
            for line in batch.lines:
                taken[line.item.number] = taken.get(line.item.number, 0) + line.quantity
    return taken


def _batch(writer: Writer, number: int) -> Batch:
    found = read_batches(writer.connection, [number])
    if not found:
        raise NotFound(f"no batch {number}: 'stores batch list' shows them")
    return found[0]


def _making(writer: Writer, number: int) -> Batch:
    batch = _batch(writer, number)
    if batch.sent:
        raise Refused(f"batch {number} was sent to {batch.firm} on {batch.sent}: begin another")
    return batch


def _away(writer: Writer, number: int) -> Batch:
    batch = _batch(writer, number)
    if not batch.sent:
        raise Refused(f"batch {number} is not sent yet: stores batch send {number}")
    if not batch.away:
        raise Refused(f"all of batch {number} is back or written off")
    return batch
