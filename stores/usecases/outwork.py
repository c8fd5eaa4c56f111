"""Outwork: pieces sent to another firm, counted back, written off; in batches or the short way.

Pieces in a batch move when it is sent, not when it is made up. The short way (`send`, `back`, `lose
--at`) takes what came back off the firm's oldest batches, so that both ways agree; the audit
compares them.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from sqlalchemy import Connection

from stores.errors import BadValue, Hint, NotFound, Refused
from stores.handbook.cautions import cautions_for
from stores.model.items import Item
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot, Stock, record
from stores.model.outwork import (
    MARKS,
    SENT,
    Batch,
    BatchCaution,
    BatchLine,
    cautions_of_batch,
    metal_of,
    send_first,
)
from stores.planning.counts import read_exceptions
from stores.planning.places import moved_words
from stores.storage import Writer
from stores.storage.items import items_at
from stores.storage.machines import machine_named, read_machines
from stores.storage.outwork import (
    BatchEventRow,
    BatchLineRow,
    BatchReturnRow,
    BatchRow,
    next_batch,
    read_batches,
)
from stores.storage.places import firms_with_pieces, pieces_at, sent_from
from stores.storage.writer import Made
from stores.text import beside, clean, counted, day_words, read_day
from stores.usecases.common import (
    NO_WORK,
    NOTE_LENGTH,
    Whereabouts,
    WorkSaid,
    condition_first,
    count_of,
    firm_named,
    from_hand,
    maybe_condition,
    moves_to,
    place_named,
    read_work,
    select,
)
from stores.usecases.context import Ask, Context, Reply
from stores.usecases.inspect import write_work
from stores.usecases.places import PiecesOfItem

__all__ = [
    "BatchBack",
    "BatchBegun",
    "BatchFilled",
    "BatchLineListed",
    "BatchListed",
    "BatchMarked",
    "BatchPicture",
    "BatchReduced",
    "BatchSent",
    "BatchWrittenOff",
    "BatchesListed",
    "BeginBatch",
    "CountBatchBack",
    "Despatch",
    "DespatchNote",
    "ListBatches",
    "MarkBatch",
    "PiecesBack",
    "PiecesReturned",
    "PiecesSent",
    "PutIntoBatch",
    "SendBatch",
    "SendPieces",
    "TakeBack",
    "TakeOutOfBatch",
    "WriteOff",
    "batches",
    "begin_batch",
    "count_batch_back",
    "despatch_note",
    "mark_batch",
    "put_into_batch",
    "send",
    "send_batch",
    "settle",
    "take_back",
    "take_out_of_batch",
    "write_off",
]

MOST_PICTURES = 6
"""The most pictures on an advice note."""


@dataclass(frozen=True, slots=True)
class BeginBatch(Ask):
    """A batch for a firm and one kind of work; ``finish`` is colour, thickness, sheen."""

    firm: str
    work: str
    finish: str = ""
    note: str = ""
    new_firm: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchBegun(Reply):
    """A batch that pieces can be put into."""

    batch: int
    firm: str
    work: str
    finish: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PutIntoBatch(Ask):
    """Pieces for a batch that is being made up, with what the firm must know of them.

    ``what`` are bags, steps or items; ``quantity`` is a count as typed, of one item, None for all
    in hand. ``masking`` is what is kept free: threads, bearing seats, earth points, brake bores;
    ``strength`` the strength class, or a hardness.
    """

    batch: int
    what: Sequence[str]
    quantity: str | int | None = None
    metal: str = ""
    masking: str = ""
    strength: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class BatchLineListed:
    """A line of a batch: so many pieces of an item, what they are of, and what became of them.

    ``away`` counts the pieces still to come back, none while the batch is being made up.
    """

    item: str
    machine: str
    step: int
    text: str
    quantity: int
    metal: str
    masking: str
    strength: str
    note: str
    back: int
    written_off: int
    away: int


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchFilled(Reply):
    """Pieces that were put into a batch; ``put`` counts them, ``pieces`` all that are in it."""

    batch: int
    firm: str
    put: int
    pieces: int
    lines: tuple[BatchLineListed, ...]
    minded: tuple[BatchCaution, ...]


@dataclass(frozen=True, slots=True)
class TakeOutOfBatch(Ask):
    """Pieces that do not go with a batch after all."""

    batch: int
    what: Sequence[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchReduced(Reply):
    """Pieces that are no longer in a batch."""

    batch: int
    items: tuple[PiecesOfItem, ...]


@dataclass(frozen=True, slots=True)
class MarkBatch(Ask):
    """What is done with a batch: some of `MARKS`. ``promised`` is a day, "none" for no longer."""

    batch: int
    marks: Sequence[str] = ()
    promised: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchMarked(Reply):
    """What was marked; ``promised`` is a day, empty for no longer, None where nothing was said."""

    batch: int
    firm: str
    marks: tuple[str, ...]
    promised: str | None


@dataclass(frozen=True, slots=True)
class SendBatch(Ask):
    """A batch goes out; ``promised`` is the day it is promised for."""

    batch: int
    promised: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _OfBatch(Reply):
    """So many pieces of a batch, by item."""

    batch: int
    firm: str
    pieces: int
    items: tuple[PiecesOfItem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchSent(_OfBatch):
    """A batch that is away at its firm."""

    promised: str | None
    minded: tuple[BatchCaution, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CountBatchBack(Ask):
    """What came back of a batch: all that is away, or items of it; ``condition`` is serviceable, or
    None where they are still to be inspected. ``but`` says of what fewer came than are away, and
    how many: ``1.2: 3, 2.1: none``. ``work`` is what was done to them, by the firm if nobody else
    is named."""

    batch: int
    what: Sequence[str] = ()
    quantity: str | int | None = None
    condition: str | None = None
    but: str = ""
    work: WorkSaid = NO_WORK


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchBack(_OfBatch):
    """Pieces of a batch that are back, and those that are still away."""

    still_away: int
    missing: tuple[PiecesOfItem, ...]
    inspected: bool
    work: WorkSaid | None = None


@dataclass(frozen=True, slots=True)
class WriteOff(Ask):
    """Pieces of a batch that will not come back, and why."""

    batch: int
    what: Sequence[str] = ()
    quantity: str | int | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchWrittenOff(_OfBatch):
    """Pieces that a firm lost or spoilt: they are to be bought."""


@dataclass(frozen=True, slots=True)
class ListBatches:
    """The batches that are not done, with ``everything`` the others too."""

    everything: bool = False


@dataclass(frozen=True, slots=True)
class BatchListed:
    """A batch. ``state`` is "being made up", "away" or "all back"; ``away`` counts the pieces still
    to come; ``promised`` is a day as ISO 8601."""

    batch: int
    firm: str
    work: str
    finish: str
    note: str
    state: str
    pieces: int
    away: int
    sent: str
    promised: str | None
    days_overdue: int
    lines: tuple[BatchLineListed, ...]


@dataclass(frozen=True, slots=True)
class BatchesListed:
    """Batches by number."""

    batches: tuple[BatchListed, ...]


@dataclass(frozen=True, slots=True)
class DespatchNote:
    """The note that goes with a batch."""

    batch: int


@dataclass(frozen=True, slots=True)
class BatchPicture:
    """A picture that shows pieces of a batch."""

    number: int
    caption: str
    file: Path


@dataclass(frozen=True, slots=True)
class Despatch:
    """What goes on an advice note."""

    batch: Batch
    pictures: tuple[BatchPicture, ...]
    minded: tuple[BatchCaution, ...]


@dataclass(frozen=True, slots=True)
class SendPieces(Ask):
    """Pieces sent out the short way, without a batch being made up first.

    ``what`` are bags, steps or items; ``quantity`` is a count as typed, of one item; ``of`` a
    condition, None for any but condemned; ``work`` what is to be done.
    """

    what: Sequence[str]
    firm: str
    quantity: str | int | None = None
    of: str | None = None
    work: str = ""
    new_firm: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecesSent(Reply):
    """Pieces that are away at a firm."""

    firm: str
    work: str
    pieces: int
    items: tuple[PiecesOfItem, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TakeBack(Ask):
    """What came back from a firm: all that is there, or items of it, into the bags that they were
    sent from or to the place ``to``; ``condition`` is serviceable, or None; ``but`` and ``work``
    as in `CountBatchBack`."""

    firm: str
    what: Sequence[str] = ()
    quantity: str | int | None = None
    condition: str | None = None
    to: str | None = None
    new_place: bool = False
    but: str = ""
    work: WorkSaid = NO_WORK


@dataclass(frozen=True, slots=True)
class PiecesReturned:
    """So many pieces of an item that are back, and where they are now."""

    item: str
    text: str
    quantity: int
    place: Whereabouts


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecesBack(Reply):
    """Pieces that are back from a firm; ``still_away`` counts those that are still there, and
    ``missing`` are they."""

    firm: str
    pieces: int
    items: tuple[PiecesReturned, ...]
    still_away: int
    missing: tuple[PiecesOfItem, ...]
    work: WorkSaid | None = None


def begin_batch(context: Context, ask: BeginBatch) -> BatchBegun:
    """Begin a batch for a firm and one kind of work; nothing moves until it is sent.

    Raises:
        NotationError: no firm, or no work.
    """
    firm = clean(ask.firm, "the firm", most=80)
    work = clean(ask.work, "the work", most=NOTE_LENGTH)
    finish = clean(ask.finish, "the finish", most=NOTE_LENGTH, empty=True)
    note = clean(ask.note, "the note", most=NOTE_LENGTH, empty=True)
    with context.writing(ask) as writer:
        place = firm_named(writer, PlaceKind.FIRM, firm, new=ask.new_firm)
        number = next_batch(writer.connection)
        what_for = f"{work}, {finish}" if finish else work
        act = writer.begin(
            ActKind.BATCH, f"batch {number} for {place.name}: {what_for}", at=context.at
        )
        writer.append(
            BatchRow(act_id=act, number=number, place_id=place.number, work=work, finish=finish,
                     note=note)
        )  # fmt: skip
    return BatchBegun(
        act=act, trial=ask.trial, batch=number, firm=place.name, work=work, finish=finish,
        cautions=cautions_for(work),
    )  # fmt: skip


def put_into_batch(context: Context, ask: PutIntoBatch) -> BatchFilled:
    """Put items into a batch that is being made up, counted; what was said of a line is said anew.
    Condemned pieces are left out.

    Raises:
        Refused: the batch is sent, or fewer are in hand beside what other batches hold.
        NotFound: no such batch, item, step or bag.
    """
    quantity = count_of(ask.quantity)
    metal, masking, strength, note = (
        clean(text, name, most=200, empty=True)
        for text, name in (
            (ask.metal, "metal"),
            (ask.masking, "masking"),
            (ask.strength, "strength"),
            (ask.note, "note"),
        )
    )
    with context.writing(ask) as writer:
        batch = _making(writer.connection, ask.batch)
        elsewhere = _in_other_batches(writer.connection, ask.batch)
        put: dict[int, BatchLine] = {}
        for name in ask.what:
            chosen = select(writer.connection, context.machine, name)
            for item in chosen.picked(quantity):
                others = elsewhere.get(item.number, 0)
                free = item.in_hand(*send_first(item)) - others
                count = free if quantity is None else quantity
                if count > free or not count:
                    if quantity is None and len(chosen.items) > 1:
                        continue  # of a bag or step, what is there
                    raise Refused(
                        "not so many for a batch",
                        asked=quantity,
                        item=item.ref,
                        text=item.named(send_first(item)[0]),
                        in_hand=max(0, free),
                        in_other_batches=others,
                    )
                put[item.number] = BatchLine(
                    item,
                    count,
                    metal or metal_of(item.named(send_first(item)[0])),
                    masking,
                    strength,
                    note,
                )
        if not put:
            raise Refused("nothing in hand to put in", what=tuple(ask.what))
        total = sum(line.quantity for line in put.values())
        size = moved_words((line.quantity, line.item.unit) for line in put.values())
        act = writer.begin(ActKind.BATCH, f"{size} into batch {ask.batch}", at=context.at)
        for line in put.values():
            _write_line(writer, act, batch, line)
        whole = _batch(writer.connection, ask.batch)
    return BatchFilled(
        act=act,
        trial=ask.trial,
        batch=ask.batch,
        firm=batch.firm,
        put=total,
        pieces=whole.pieces,
        lines=tuple(_listed_line(line, sent=False) for line in put.values()),
        minded=cautions_of_batch(whole),
    )


def take_out_of_batch(context: Context, ask: TakeOutOfBatch) -> BatchReduced:
    """Take items out of a batch that is being made up.

    Raises:
        Refused: the batch is sent, or has none of them.
        NotFound: no such batch, item, step or bag.
    """
    with context.writing(ask) as writer:
        batch = _making(writer.connection, ask.batch)
        lines = {line.item.number: line for line in batch.lines}
        named = dict.fromkeys(
            item.number
            for name in ask.what
            for item in select(writer.connection, context.machine, name, empty=True).items
        )
        out = [lines[number] for number in named if number in lines]
        if not out:
            raise Refused("not in this batch", what=tuple(ask.what), batch=ask.batch)
        listed = ", ".join(beside(line.item.ref, line.text) for line in out)
        act = writer.begin(ActKind.BATCH, f"out of batch {ask.batch}: {listed}", at=context.at)
        for line in out:
            writer.append(
                BatchLineRow(act_id=act, batch_id=batch.row, item_id=line.item.number, quantity=0)
            )
    return BatchReduced(
        act=act,
        trial=ask.trial,
        batch=ask.batch,
        items=_pieces((line, line.quantity) for line in out),
    )


def mark_batch(context: Context, ask: MarkBatch) -> BatchMarked:
    """Mark a batch as photographed or packed, and say for which day it is promised.

    Raises:
        Refused: nothing to mark.
        BadValue: no such mark, or no day.
        NotFound: no such batch.
    """
    for mark in ask.marks:
        if mark not in MARKS:
            raise BadValue("no such mark", typed=mark, marks=MARKS)
    values: list[tuple[str, str, str]] = [(mark, "yes", mark) for mark in ask.marks]
    day = None
    if ask.promised is not None:
        day = "" if ask.promised.strip().casefold() == "none" else _day(ask.promised)
        values.append(
            ("promised", day, f"promised for {day_words(day)}" if day else "no day promised")
        )
    if not values:
        raise Refused("nothing to mark", marks=MARKS)
    with context.writing(ask) as writer:
        batch = _batch(writer.connection, ask.batch)
        marked = ", ".join(words for _, _, words in values)
        act = writer.begin(
            ActKind.BATCH, f"batch {ask.batch} ({batch.firm}): {marked}", at=context.at
        )
        for event, value, _ in values:
            writer.append(BatchEventRow(act_id=act, batch_id=batch.row, event=event, value=value))
    return BatchMarked(
        act=act, trial=ask.trial, batch=ask.batch, firm=batch.firm, marks=tuple(ask.marks),
        promised=day,
    )  # fmt: skip


def send_batch(context: Context, ask: SendBatch) -> BatchSent:
    """Record that a batch went out: its pieces are away at the firm from now on.

    Raises:
        Refused: it is empty or sent already, or pieces of it are no longer in hand.
        BadValue: no day.
        NotFound: no such batch.
    """
    day = None if ask.promised is None else _day(ask.promised)
    with context.writing(ask) as writer:
        batch = _making(writer.connection, ask.batch)
        if not batch.lines:
            raise Refused(
                "batch is empty", batch=ask.batch, hint=Hint("put_into_batch", batch=ask.batch)
            )
        stock = writer.stock([line.item.number for line in batch.lines], [batch.place])
        before = stock.balance.copy()
        moves: list[Movement] = []
        for line in batch.lines:
            spots = from_hand(stock, line.item, line.quantity, send_first(line.item))
            for move in moves_to(line.item, spots, batch.place):
                moves.append(move)
                stock.balance.apply(move)
        size = moved_words((line.quantity, line.item.unit) for line in batch.lines)
        act = writer.begin(
            ActKind.SEND,
            f"batch {ask.batch}, {size} to {batch.firm}",
            reason=batch.work,
            at=context.at,
        )
        writer.move(act, record(replace(stock, balance=before), ActKind.SEND, moves, batch.work))
        events = {"sent": context.at or date.today().isoformat()}  # noqa: DTZ011
        if day:
            events["promised"] = day
        for event, value in events.items():
            writer.append(BatchEventRow(act_id=act, batch_id=batch.row, event=event, value=value))
    return BatchSent(
        act=act,
        trial=ask.trial,
        batch=ask.batch,
        firm=batch.firm,
        pieces=batch.pieces,
        items=_pieces((line, line.quantity) for line in batch.lines),
        promised=day,
        minded=cautions_of_batch(batch),
        cautions=cautions_for(f"{batch.work} {batch.finish}"),
    )


def count_batch_back(context: Context, ask: CountBatchBack) -> BatchBack:
    """Count a batch back, whole or piece by piece, into the bags that its pieces were sent from.

    What does not come stays away under the firm's name until it is found or written off.

    Raises:
        Refused: it is not sent, all is back, or fewer are away than are counted; a condition that
            only an inspection can give.
        NotFound: no such batch, item, step or bag.
    """
    quantity, condition = count_of(ask.quantity), _condition_on_return(ask.condition)
    with context.writing(ask) as writer:
        batch = _away(writer.connection, ask.batch)
        chosen = _chosen(writer.connection, context.machine, batch, ask.what, quantity)
        if ask.but:
            away = {line.item.number: line.away for line, _ in chosen}
            came = _came(writer.connection, context.machine, ask, away, batch.firm)
            chosen = [(line, came[line.item.number]) for line, _ in chosen]
            chosen = [(line, count) for line, count in chosen if count]
        stock = writer.stock([line.item.number for line, _ in chosen], [batch.place])
        moves = _homeward(
            writer,
            stock,
            [(line.item, count) for line, count in chosen],
            batch.place,
            condition=condition,
        )
        total = sum(move.quantity for move in moves)
        work = read_work(ask.work, batch.firm)
        size = moved_words((count, line.item.unit) for line, count in chosen)
        act = writer.begin(
            ActKind.RETURN,
            f"batch {ask.batch}, {size} back from {batch.firm}",
            reason=work.words if work is not None else "",
            at=context.at,
        )
        writer.move(act, record(writer.stock_for(moves), ActKind.RETURN, moves))
        for line, count in chosen:
            _take_off(writer, act, batch, line, count, "back")
            write_work(writer, act, line.item.number, count, work)
        left = _batch(writer.connection, ask.batch)
    return BatchBack(
        act=act,
        trial=ask.trial,
        batch=ask.batch,
        firm=batch.firm,
        pieces=total,
        items=_pieces(chosen),
        still_away=left.away,
        missing=_pieces((line, line.away) for line in left.lines if line.away),
        inspected=condition is not None,
        work=work,
    )


def write_off(context: Context, ask: WriteOff) -> BatchWrittenOff:
    """Write off pieces of a batch that will not come back: they are lost, and to be bought.

    Raises:
        Refused: no reason; it is not sent, all is back, or fewer are away than are counted.
        NotFound: no such batch, item, step or bag.
    """
    quantity = count_of(ask.quantity)
    reason = clean(ask.reason, "the reason", most=NOTE_LENGTH, empty=True)
    if not reason:
        raise Refused("why written off")
    with context.writing(ask) as writer:
        batch = _away(writer.connection, ask.batch)
        chosen = _chosen(writer.connection, context.machine, batch, ask.what, quantity)
        stock = writer.stock([line.item.number for line, _ in chosen], [batch.place])
        lost = writer.place(PlaceKind.LOST, "lost").number
        moves = [
            Movement(line.item.number, some, spot, Spot(lost, spot.condition))
            for line, count in chosen
            for spot, some in from_hand(stock, line.item, count, tuple(Condition), firm=batch.place)
        ]
        total = sum(move.quantity for move in moves)
        size = moved_words((count, line.item.unit) for line, count in chosen)
        act = writer.begin(
            ActKind.LOSE,
            f"batch {ask.batch}, {size} written off at {batch.firm}",
            reason=reason,
            at=context.at,
        )
        writer.move(act, record(writer.stock_for(moves), ActKind.LOSE, moves, reason))
        for line, count in chosen:
            _take_off(writer, act, batch, line, count, "written off")
    return BatchWrittenOff(
        act=act, trial=ask.trial, batch=ask.batch, firm=batch.firm, pieces=total,
        items=_pieces(chosen),
    )  # fmt: skip


def batches(context: Context, ask: ListBatches) -> BatchesListed:
    """Return the batches, by number, as they stand on the day of the context."""
    today = date.fromisoformat(context.at) if context.at else date.today()  # noqa: DTZ011
    with context.reading() as connection:
        every = read_batches(connection)
    return BatchesListed(
        tuple(_listed(batch, today) for batch in every if ask.everything or not batch.done)
    )


def despatch_note(context: Context, ask: DespatchNote) -> Despatch:
    """Return what goes on the note with a batch; a few pictures of each machine's pieces with it.

    Raises:
        NotFound: no such batch.
        BadValue: nothing is in it.
    """
    with context.reading() as connection:
        batch = _batch(connection, ask.batch)
        if not batch.lines:
            raise BadValue(
                "batch is empty", batch=ask.batch, hint=Hint("put_into_batch", batch=ask.batch)
            )
        pictures = tuple(_pictures(context, connection, batch)[:MOST_PICTURES])
        return Despatch(batch, pictures, cautions_of_batch(batch))


def send(context: Context, ask: SendPieces) -> PiecesSent:
    """Send pieces out to a firm at once, condemned ones left out.

    Raises:
        Refused: nothing in hand, or fewer than are asked for.
        NotFound: no such item, step or bag.
    """
    quantity, of = count_of(ask.quantity), maybe_condition(ask.of)
    firm = clean(ask.firm, "the firm", most=80)
    work = clean(ask.work, "the work", most=NOTE_LENGTH, empty=True)
    if quantity is not None and len(ask.what) > 1:
        raise Refused("count of several to send")
    with context.writing(ask) as writer:
        picked = [select(writer.connection, context.machine, name) for name in ask.what]
        place = firm_named(writer, PlaceKind.FIRM, firm, new=ask.new_firm)
        stock = writer.stock(
            {item.number for chosen in picked for item in chosen.items}, [place.number]
        )
        before = stock.balance.copy()
        moves: list[Movement] = []
        total: dict[tuple[str, str, str], int] = {}
        words = [work]
        for chosen in picked:
            for item in chosen.picked(quantity):
                order = condition_first(send_first(item), of)
                spots = from_hand(stock, item, quantity, order, bag=chosen.bag)
                for movement in moves_to(item, spots, place.number):
                    moves.append(movement)
                    stock.balance.apply(movement)  # a bag and one of its items may both be named
                    name = (item.ref, item.named(movement.source.condition), item.unit)
                    total[name] = total.get(name, 0) + movement.quantity
                    words.append(name[1])
        if not moves:
            condemned = [
                item.ref
                for chosen in picked
                for item in chosen.items
                if item.in_hand(Condition.CONDEMNED)
            ]
            if condemned and of is None:
                raise Refused("condemned is not sent", items=tuple(condemned))
            raise Refused("nothing in hand to send", what=tuple(ask.what))
        pieces = sum(total.values())
        size = moved_words((count, unit) for (_, _, unit), count in total.items())
        act = writer.begin(ActKind.SEND, f"{size} to {place.name}", reason=work, at=context.at)
        writer.move(act, record(replace(stock, balance=before), ActKind.SEND, moves, work))
    return PiecesSent(
        act=act,
        trial=ask.trial,
        firm=place.name,
        work=work,
        pieces=pieces,
        items=tuple(
            PiecesOfItem(ref, text, count, unit=unit) for (ref, text, unit), count in total.items()
        ),
        cautions=cautions_for(" ".join(words)),
    )


def take_back(context: Context, ask: TakeBack) -> PiecesBack:
    """Count pieces back from a firm, into the bags they were sent from.

    Pieces not named stay away. They may be passed as serviceable at once; every other verdict takes
    an inspection.

    Raises:
        Refused: fewer are there than are counted; a condition that only an inspection can give.
        NotFound: nothing is away at the firm; no such item, step or bag.
    """
    quantity, condition = count_of(ask.quantity), _condition_on_return(ask.condition)
    firm = clean(ask.firm, "the firm", most=80)
    work = read_work(ask.work, firm)
    with context.writing(ask) as writer:
        place = firm_named(writer, PlaceKind.FIRM, firm, new=None)
        chosen = _away_at(writer.connection, context.machine, place)
        if ask.what:
            wanted = {
                item.number
                for name in ask.what
                for item in select(writer.connection, context.machine, name, empty=True).items
            }
            chosen = [item for item in chosen if item.number in wanted]
        if not chosen:
            raise Refused("not at this firm", what=tuple(ask.what), firm=place.name)
        if quantity is not None and len(chosen) > 1:
            raise Refused("count of several")
        wanted_of: dict[int, int | None] = {item.number: quantity for item in chosen}
        if ask.but:
            away = {item.number: _at(item, place.name) for item in chosen}
            wanted_of |= _came(writer.connection, context.machine, ask, away, place.name)
            chosen = [item for item in chosen if wanted_of[item.number]]
        stock = writer.stock([item.number for item in chosen], [place.number])
        into = place_named(writer, ask.to, new=ask.new_place).number if ask.to else None
        moves = _homeward(
            writer,
            stock,
            [(item, wanted_of[item.number]) for item in chosen],
            place.number,
            into=into,
            condition=condition,
        )
        total = sum(move.quantity for move in moves)
        if work is not None and work.by == firm:
            work = replace(work, by=place.name)
        act = writer.begin(
            ActKind.RETURN,
            f"{counted(total)} back from {place.name}",
            reason=work.words if work is not None else "",
            at=context.at,
        )
        stock = writer.stock_for(moves)
        writer.move(act, record(stock, ActKind.RETURN, moves))
        settle(writer, act, place.number, moves)
        for item in chosen:
            count = sum(move.quantity for move in moves if move.item == item.number)
            if count:
                write_work(writer, act, item.number, count, work)
        still = pieces_at(writer.connection, place.number)
        left = items_at(writer.connection, place.number)
    return PiecesBack(
        act=act, trial=ask.trial, firm=place.name, pieces=total,
        items=tuple(_returned(stock, chosen, moves)), still_away=still, work=work,
        missing=tuple(
            PiecesOfItem(item.ref, item.as_found.text, count)
            for item in left
            if (count := _at(item, place.name))
        ),
    )  # fmt: skip


def _at(item: Item, firm: str) -> int:
    return sum(
        held.quantity
        for held in item.holdings
        if held.kind is PlaceKind.FIRM and held.place == firm
    )


def _came(
    connection: Connection,
    machine: str | None,
    ask: CountBatchBack | TakeBack,
    away: Mapping[int, int],
    firm: str,
) -> dict[int, int]:
    """Return how many came of each item: all that are away, but for what the ask says.

    Raises:
        Refused: a count beside it; not away there, or fewer than came; nothing came.
        BadValue: no exception.
    """
    if ask.quantity is not None:
        raise Refused("a count and all but")
    came = dict(away)
    for name, count in read_exceptions(ask.but).items():
        chosen = select(connection, machine, name, empty=True)
        for item in (chosen.only,) if count else chosen.items:
            if item.number not in away or count > away[item.number]:
                raise Refused(
                    "not so many away",
                    quantity=count,
                    item=item.ref,
                    text=item.as_found.text,
                    away=away.get(item.number, 0),
                    firm=firm,
                )
            came[item.number] = count
    if not any(came.values()):
        raise Refused("nothing came back", firm=firm)
    return came


def settle(
    writer: Writer, act: int, firm: int, moves: Sequence[Movement], outcome: str = "back"
) -> None:
    """Take what came back, or was lost there, off the firm's open batches, the oldest first."""
    left: dict[int, int] = {}
    for move in moves:
        left[move.item] = left.get(move.item, 0) + move.quantity
    for batch in read_batches(writer.connection):
        if batch.place != firm or not batch.away:
            continue
        for line in batch.lines:
            count = min(line.away, left.get(line.item.number, 0))
            if count:
                _take_off(writer, act, batch, line, count, outcome)
                left[line.item.number] -= count


def hand_on(writer: Writer, act: int, firm: int, item: int, to: int, count: int) -> None:
    """Let so many pieces of an item that are away at a firm be of another from now on, in the
    batches that they are in, the newest first."""
    for batch in reversed(read_batches(writer.connection)):
        if batch.place != firm or not batch.sent:
            continue
        for line in batch.lines:
            some = min(line.away, count) if line.item.number == item else 0
            if some:
                _write_line(writer, act, batch, replace(line, quantity=line.quantity - some))
                other = replace(line, item=replace(line.item, number=to), quantity=some)
                _write_line(writer, act, batch, other)
                count -= some


def _write_line(writer: Writer, act: int, batch: Batch, line: BatchLine) -> None:
    writer.append(
        BatchLineRow(
            act_id=act, batch_id=batch.row, item_id=line.item.number, quantity=line.quantity,
            metal=line.metal, masking=line.masking, strength=line.strength, note=line.note,
        )
    )  # fmt: skip


def _take_off(
    writer: Writer, act: int, batch: Batch, line: BatchLine, count: int, outcome: str
) -> None:
    writer.append(
        BatchReturnRow(
            act_id=act, batch_id=batch.row, item_id=line.item.number, quantity=count,
            outcome=outcome,
        )
    )  # fmt: skip


def _day(typed: str) -> str:
    return read_day(typed, ahead=True).isoformat()


def _condition_on_return(typed: str | None) -> Condition | None:
    condition = maybe_condition(typed)
    if condition not in (None, Condition.SERVICEABLE):
        raise Refused("count back first", condition=condition)
    return condition


def _batch(connection: Connection, number: int) -> Batch:
    read = read_batches(connection, [number])
    if not read:
        raise NotFound("no such batch", batch=number, hint=Hint("batches"))
    return read[0]


def _making(connection: Connection, number: int) -> Batch:
    batch = _batch(connection, number)
    if batch.sent:
        raise Refused("batch was sent", batch=number, firm=batch.firm, sent=batch.sent)
    return batch


def _away(connection: Connection, number: int) -> Batch:
    batch = _batch(connection, number)
    if not batch.sent:
        raise Refused("batch not sent", batch=number, hint=Hint("send_batch", batch=number))
    if not batch.away:
        raise Refused("batch is back", batch=number)
    return batch


def _in_other_batches(connection: Connection, but: int) -> dict[int, int]:
    """Return how many pieces of each item lie in other batches that are being made up."""
    held: dict[int, int] = {}
    for batch in read_batches(connection):
        if not batch.sent and batch.number != but:
            for line in batch.lines:
                held[line.item.number] = held.get(line.item.number, 0) + line.quantity
    return held


def _chosen(
    connection: Connection,
    machine: str | None,
    batch: Batch,
    what: Sequence[str],
    quantity: int | None,
) -> list[tuple[BatchLine, int]]:
    lines = [line for line in batch.lines if line.away]
    if what:
        wanted = {
            item.number
            for name in what
            for item in select(connection, machine, name, empty=True).items
        }
        lines = [line for line in lines if line.item.number in wanted]
    if not lines:
        raise Refused("not away in this batch", what=tuple(what), batch=batch.number)
    if quantity is not None and len(lines) > 1:
        raise Refused("count of several")
    if quantity is not None and quantity > lines[0].away:
        raise Refused(
            "more back than away",
            quantity=quantity,
            item=lines[0].item.ref,
            text=lines[0].text,
            away=lines[0].away,
            batch=batch.number,
        )
    return [(line, line.away if quantity is None else quantity) for line in lines]


def _away_at(connection: Connection, machine: str | None, place: Made) -> list[Item]:
    """Return the items with pieces at a firm; of any machine, unless one is named."""
    away = [
        item
        for item in items_at(connection, place.number)
        if any(h.kind is PlaceKind.FIRM and h.place == place.name for h in item.holdings)
    ]
    if machine is not None:
        on = machine_named(connection, machine)
        away = [item for item in away if item.step.machine == on.name]
    if not away:
        raise NotFound(
            "nothing at this firm", firm=place.name, firms=tuple(firms_with_pieces(connection))
        )
    return away


def _homeward(
    writer: Writer,
    stock: Stock,
    wanted: Sequence[tuple[Item, int | None]],
    firm: int,
    *,
    into: int | None = None,
    condition: Condition | None = None,
) -> list[Movement]:
    """Return the movements from a firm back to where pieces were sent from, or into one place.

    Of each item so many, None for all that are there; what has no home goes to the bench.
    """
    homes = sent_from(writer.connection, firm, [item.number for item, _ in wanted])
    bench = writer.place(PlaceKind.BENCH, "bench").number
    moves: list[Movement] = []
    for item, quantity in wanted:
        left = homes.get(item.number, []) if into is None else []
        for spot, count in from_hand(stock, item, quantity, SENT, firm=firm):
            # where only new ones are fitted, a new one that is found good stays new
            new = spot.condition is Condition.NEW and item.fit_conditions == (Condition.NEW,)
            for target, some in _home(left, count, bench if into is None else into):
                moves += moves_to(item, [(spot, some)], target, None if new else condition)
    return moves


def _home(left: list[tuple[int, int]], count: int, otherwise: int) -> Iterator[tuple[int, int]]:
    """Share pieces out over the places they were sent from, using these up."""
    while count and left:
        place, there = left.pop(0)
        some = min(count, there)
        yield place, some
        count -= some
        if there > some:
            left.insert(0, (place, there - some))
    if count:
        yield otherwise, count


def _returned(
    stock: Stock, chosen: Sequence[Item], moves: Sequence[Movement]
) -> Iterator[PiecesReturned]:
    for item in chosen:
        mine = [move for move in moves if move.item == item.number]
        counts: dict[tuple[int, str], int] = {}
        for move in mine:
            key = (move.target.place, item.named(move.source.condition))
            counts[key] = counts.get(key, 0) + move.quantity
        for (place, text), count in counts.items():
            where = Whereabouts(stock.kinds[place], stock.name_place(place))
            yield PiecesReturned(item.ref, text, count, where)


def _pieces(lines: Iterable[tuple[BatchLine, int]]) -> tuple[PiecesOfItem, ...]:
    return tuple(
        PiecesOfItem(line.item.ref, line.text, count, unit=line.item.unit) for line, count in lines
    )


def _listed(batch: Batch, today: date) -> BatchListed:
    return BatchListed(
        batch.number, batch.firm, batch.work, batch.finish, batch.note, batch.state, batch.pieces,
        batch.away, batch.sent, batch.promised.isoformat() if batch.promised else None,
        batch.overdue(today),
        tuple(_listed_line(line, sent=bool(batch.sent)) for line in batch.lines),
    )  # fmt: skip


def _listed_line(line: BatchLine, *, sent: bool) -> BatchLineListed:
    step = line.item.step
    return BatchLineListed(
        line.item.ref, step.machine, step.number, line.text, line.quantity, line.metal,
        line.masking, line.strength, line.note, line.back, line.off, line.away if sent else 0,
    )  # fmt: skip


def _pictures(context: Context, connection: Connection, batch: Batch) -> list[BatchPicture]:
    from stores.storage.pictures import pictures_of, read_pictures
    from stores.usecases.pictures import picture_folder

    wanted = pictures_of(connection, [line.item for line in batch.lines])
    if not wanted:
        return []
    try:
        folder = picture_folder(context.store)
    except Refused:
        return []
    pictures = []
    for machine in read_machines(connection):
        numbers = {n for (name, _), each in wanted.items() if name == machine.name for n in each}
        for each in read_pictures(connection, machine.number) if numbers else ():
            if each.number in numbers:
                file = folder / each.digest[:2] / f"{each.digest}{each.format}"
                pictures.append(BatchPicture(each.number, each.caption, file))
    return pictures
