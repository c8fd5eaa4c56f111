"""Pieces that go to other firms and come back: sent out, counted back."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from stores.errors import NotFound, Refused
from stores.handbook.benchline import clean
from stores.handbook.cautions import cautions_for
from stores.model.items import Item, counted, many
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Stock, record
from stores.storage import Store, Writer
from stores.storage.items import items_at
from stores.storage.machines import machine_named
from stores.storage.outwork import read_batches
from stores.storage.places import firms_with_pieces, pieces_at, sent_from
from stores.storage.writer import Made
from stores.usecases.common import (
    NOTE_LENGTH,
    Done,
    condition_first,
    count_of,
    from_hand,
    moves_to,
    place_named,
    select,
)

__all__ = ["SENT", "homeward", "send", "settle", "take_back"]

SENT = (
    Condition.AS_REMOVED,
    Condition.REPAIRABLE,
    Condition.SERVICEABLE,
    Condition.QUARANTINE,
    Condition.NEW,
)


def send(
    store: Store,
    what: Sequence[str],
    firm: str,
    *,
    quantity: int | None = None,
    of: Condition | None = None,
    work: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Send pieces out to a firm as one counted batch, condemned ones left out.

    Args:
        store: the opened stores.
        what: bags, steps or items.
        firm: the firm that does the work.
        quantity: how many, when a single item is sent in part.
        of: only the pieces in this condition.
        work: what is to be done: plating, powder coat, machining.
        machine: its name, when not the one last worked on.
        at: the day, when not today.
    """
    firm = clean(firm, "the firm", most=80)
    work = clean(work, "the work", most=NOTE_LENGTH, empty=True)
    count_of(quantity)
    if quantity is not None and len(what) > 1:
        raise Refused("a count needs one item: send the others in a second command")
    with store.writing() as writer:
        picked = [select(writer.connection, machine, name) for name in what]
        place = writer.firm(PlaceKind.FIRM, firm)
        firm = place.name
        stock = writer.stock(
            {item.number for chosen in picked for item in chosen.items}, [place.number]
        )
        before = stock.balance.copy()
        moves: list[Movement] = []
        sent: dict[tuple[str, str], int] = {}
        words = [work]
        for chosen in picked:
            for item in chosen.picked(quantity):
                spots = from_hand(stock, item, quantity, condition_first(SENT, of), bag=chosen.bag)
                for movement in moves_to(item, spots, place.number):
                    moves.append(movement)
                    stock.balance.apply(movement)  # a bag and one of its items may both be named
                    name = (item.ref, item.named(movement.source.condition))
                    sent[name] = sent.get(name, 0) + movement.quantity
                    words.append(item.as_found.text)
        if not moves:
            raise Refused(f"nothing of {', '.join(what)} is in hand to send")
        total = sum(move.quantity for move in moves)
        act = writer.begin(ActKind.SEND, f"{counted(total)} to {firm}", reason=work, at=at)
        writer.move(
            act,
            record(replace(stock, balance=before), ActKind.SEND, moves, work),
        )
    what_for = f" for {work}" if work else ""
    lines = [f"  {ref}  {many(count, text)}" for (ref, text), count in sent.items()]
    return Done(
        act,
        (f"Batch to {firm}{what_for}: {len(lines)} lines, {counted(total)}", *lines),
        ("Photograph them laid out, put the list in with them, and count them on return.",),
        cautions_for(" ".join(words)),
        data={"act": act, "firm": firm, "work": work, "pieces": total},
    )


def take_back(
    store: Store,
    firm: str,
    what: Sequence[str] = (),
    *,
    quantity: int | None = None,
    condition: Condition | None = None,
    to: str | None = None,
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Count pieces back from a firm, into the bags they were sent from.

    Without ``what`` everything that is there comes back. Pieces not named stay away. They may be
    passed as serviceable at once; every other verdict takes an inspection.
    """
    count_of(quantity)
    if condition not in (None, Condition.SERVICEABLE):
        raise Refused(f"count them back first, then: stores inspect WHAT {condition} WHY")
    firm = clean(firm, "the firm", most=80)
    with store.writing() as writer:
        place = writer.firm(PlaceKind.FIRM, firm)
        firm = place.name
        away = _away(writer, machine, place)
        chosen = away
        if what:
            wanted = {
                item.number
                for name in what
                for item in select(writer.connection, machine, name, empty=True).items
            }
            chosen = [item for item in away if item.number in wanted]
        if not chosen:
            raise Refused(f"nothing of {', '.join(what)} is at {firm}")
        if quantity is not None and len(chosen) > 1:
            raise Refused("a count needs one item: name it, as 7.2")
        numbers = [item.number for item in chosen]
        stock = writer.stock(numbers, [place.number])
        into = place_named(writer, to).number if to else None
        moves = homeward(
            writer,
            stock,
            [(item, quantity) for item in chosen],
            place.number,
            into=into,
            condition=condition,
        )
        total = sum(move.quantity for move in moves)
        act = writer.begin(ActKind.RETURN, f"{counted(total)} back from {firm}", at=at)
        stock = writer.stock_for(moves)
        writer.move(act, record(stock, ActKind.RETURN, moves))
        settle(writer, act, place.number, moves)
        still = pieces_at(writer.connection, place.number)
    return Done(
        act,
        (f"{counted(total)} back from {firm}", *_returned(stock, chosen, moves)),
        (f"Still at {firm}: {counted(still)}." if still else f"Nothing is left at {firm}.",),
        data={"act": act, "firm": firm, "pieces": total, "still_away": still},
    )


def homeward(
    writer: Writer,
    stock: Stock,
    wanted: Sequence[tuple[Item, int | None]],
    firm: int,
    *,
    into: int | None = None,
    condition: Condition | None = None,
) -> list[Movement]:
    """Give the movements from a firm back to where pieces were sent from, or into one place.

    Of each item so many, None for all that are there; what has no home goes to the bench.
    """
    homes = sent_from(writer.connection, firm, [item.number for item, _ in wanted])
    bench = writer.place(PlaceKind.BENCH, "bench").number
    moves: list[Movement] = []
    for item, quantity in wanted:
        left = homes.get(item.number, []) if into is None else []
        for spot, count in from_hand(stock, item, quantity, SENT, firm=firm):
            for target, some in _home(left, count, bench if into is None else into):
                moves += moves_to(item, [(spot, some)], target, condition)
    return moves


def settle(
    writer: Writer, act: int, firm: int, moves: Sequence[Movement], outcome: str = "back"
) -> None:
    """Take what came back, or was lost there, off the firm's open batches, the oldest first."""
    back: dict[int, int] = {}
    for move in moves:
        back[move.item] = back.get(move.item, 0) + move.quantity
    for batch in read_batches(writer.connection):
        if batch.place != firm or not batch.away:
            continue
        for line in batch.lines:
            count = min(line.away, back.get(line.item.number, 0))
            if count:
                writer.batch_return(act, batch.row, line.item.number, count, outcome)
                back[line.item.number] -= count


def _away(writer: Writer, machine: str | None, place: Made) -> list[Item]:
    """Give the items with pieces at a firm; of any machine, unless one is named."""
    away = [
        item
        for item in items_at(writer.connection, place.number)
        if any(h.kind is PlaceKind.FIRM and h.place == place.name for h in item.holdings)
    ]
    if machine is not None:
        on = machine_named(writer.connection, machine)
        away = [item for item in away if item.step.machine == on.name]
    if not away:
        firms = firms_with_pieces(writer.connection)
        there = f"; pieces are at {', '.join(firms)}" if firms else ", nor at any other firm"
        raise NotFound(f"nothing is away at {place.name}{there}")
    return away


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


def _returned(stock: Stock, chosen: Sequence[Item], moves: Sequence[Movement]) -> list[str]:
    lines = []
    for item in chosen:
        for place in dict.fromkeys(m.target.place for m in moves if m.item == item.number):
            count = sum(
                m.quantity for m in moves if m.item == item.number and m.target.place == place
            )
            where = stock.kinds[place].at(stock.name_place(place))
            lines.append(f"  {item.ref}  {many(count, item.as_found.text)}: {where}")
    return lines
