"""Pieces that come from and go to other firms: bought, sent out, counted back."""

import re
from collections.abc import Sequence

from stores import queries
from stores.core.benchline import clean, read_line
from stores.core.cautions import cautions_for
from stores.core.fastener import Fastener, parse, renew_always
from stores.errors import NotFound, Refused
from stores.ledger import ActKind, Condition, Movement, PlaceKind, Spot, record
from stores.planning.items import Item, counted
from stores.planning.shopping import shopping
from stores.queries import Machine
from stores.services.common import (
    NOTE_LENGTH,
    Done,
    count_of,
    from_hand,
    home_of,
    moves_to,
    place_named,
    select,
)
from stores.storage import Store, Writer
from stores.storage.writer import Made

__all__ = ["buy", "send", "take_back"]

SENT = (
    Condition.AS_REMOVED,
    Condition.REPAIRABLE,
    Condition.SERVICEABLE,
    Condition.QUARANTINE,
    Condition.NEW,
)
_ITEM = re.compile(r"^\s*\d{1,6}\.\d{1,4}\s*$")


def buy(
    store: Store,
    what: str,
    *,
    quantity: int | None = None,
    firm: str = "a supplier",
    to: str | None = None,
    reason: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Record new pieces that have arrived, and share them out over the joints that are short.

    Args:
        store: the opened stores.
        what: an item (``7.2``), or what was bought, as ``20 M6x25 hex 8.8``.
        quantity: how many, when ``what`` does not say.
        firm: who they were bought from.
        to: where they all go; by default each joint's share goes into the joint's own bag, and
            what is beyond the need to the bench as loose spares.
        reason: order number and the like.
        machine: its name, when not the one last worked on.
        at: the day, when not today.
    """
    firm = clean(firm, "the firm", most=80)
    reason = clean(reason, "the reason", most=NOTE_LENGTH, empty=True)
    count_of(quantity)
    named = None if _ITEM.match(what) else read_line(what)
    with store.writing() as writer:
        on = queries.machine_named(writer.connection, machine)
        everything = queries.items(writer.connection, machine=on.number)
        if named is None:
            item = select(writer.connection, on, what).only
            total = quantity or item.short
            if not total:
                raise Refused(f"{item.ref} is short of nothing: say how many were bought")
            shares, rest = [(item, total)], 0
            text = item.as_specified.text
        else:
            total = quantity if quantity is not None else named.found
            if not total:
                raise Refused("none bought is nothing to record")
            text = named.thing.spec
            shares, rest = _share(named.thing, total, everything)
        source = writer.firm(PlaceKind.BOUGHT, firm)
        firm = source.name
        act = writer.begin(ActKind.BUY, f"{total} {text} bought from {firm}", reason=reason, at=at)
        moves: list[Movement] = []
        lines: list[str] = []
        put: list[dict[str, object]] = []
        for item, count in shares:
            mates = [other for other in everything if other.step == item.step]
            target = place_named(writer, to) if to else home_of(writer, item, mates)
            moves.append(_bought(item.number, count, source.number, target.number))
            lines.append(f"  {count} for {item.ref} {item.step.part}: {target.where}")
            put.append({"item": item.ref, "quantity": count, "place": target.name})
        if rest and named is not None:
            ref, number, place = _loose(writer, act, on, named.thing, rest, to, what)
            moves.append(_bought(number, rest, source.number, place.number))
            lines.append(f"  {rest} loose as {ref}: {place.where}")
            put.append({"item": ref, "quantity": rest, "place": place.name})
        writer.move(
            act,
            record(
                writer.stock_for(moves),
                ActKind.BUY,
                moves,
                reason,
            ),
        )
    notes: tuple[str, ...] = ()
    if not shares:
        near = [line.text for line in shopping(everything)][:5]
        notes = (
            "No joint is short of just that."
            + (f" The list has: {'; '.join(near)}" if near else " The list is empty."),
        )
    return Done(
        act,
        (f"{total} {text}, new, from {firm}", *lines),
        notes,
        data={"act": act, "quantity": total, "text": text, "firm": firm, "put": put},
    )


def _share(
    thing: Fastener, total: int, everything: Sequence[Item]
) -> tuple[list[tuple[Item, int]], int]:
    shares = []
    rest = total
    for item in everything:
        count = min(rest, item.short) if item.step.number else 0
        if count and _same(thing, item.as_specified.text):
            shares.append((item, count))
            rest -= count
    return shares, rest


def _same(thing: Fastener, text: str) -> bool:
    return thing.spec == text or thing.same_spec(parse(text))


def _bought(item: int, count: int, firm: int, place: int) -> Movement:
    return Movement(item, count, Spot(firm, Condition.NEW), Spot(place, Condition.NEW))


def _loose(
    writer: Writer, act: int, on: Machine, thing: Fastener, rest: int, to: str | None, what: str
) -> tuple[str, int, Made]:
    place = place_named(writer, to) if to else writer.place(PlaceKind.BENCH, "bench")
    description = writer.description(thing)
    item, line = writer.item(
        act,
        on.number,
        None,
        description,
        0,
        written=what,
        position="",
        words=f"{thing.spec} {what}",
    )
    writer.specify(act, item, description, 0, renew_always(thing) or "")
    return f"0.{line}", item, place


def send(
    store: Store,
    what: Sequence[str],
    firm: str,
    *,
    quantity: int | None = None,
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
        work: what is to be done: plating, powder coat, machining.
        machine: its name, when not the one last worked on.
        at: the day, when not today.
    """
    firm = clean(firm, "the firm", most=80)
    work = clean(work, "the work", most=NOTE_LENGTH, empty=True)
    count_of(quantity)
    with store.writing() as writer:
        on = queries.machine_named(writer.connection, machine)
        picked = [select(writer.connection, on, name) for name in what]
        place = writer.firm(PlaceKind.FIRM, firm)
        firm = place.name
        stock = writer.stock(
            {item.number for chosen in picked for item in chosen.items}, [place.number]
        )
        if quantity is not None and len(picked) > 1:
            raise Refused("a count needs one item: send the others in a second command")
        moves: list[Movement] = []
        lines: list[str] = []
        texts: list[str] = []
        for chosen in picked:
            for item in chosen.items if quantity is None else (chosen.only,):
                spots = from_hand(stock, item, quantity, SENT, bag=chosen.bag)
                count = sum(count for _, count in spots)
                if count:
                    moves += moves_to(item, spots, place.number)
                    lines.append(f"  {item.ref}  {count} {item.as_found.text}")
                    texts.append(item.as_found.text)
        if not moves:
            raise Refused(f"nothing of {', '.join(what)} is in hand to send")
        total = sum(move.quantity for move in moves)
        what_for = f" for {work}" if work else ""
        act = writer.begin(ActKind.SEND, f"{counted(total)} to {firm}", reason=work, at=at)
        writer.move(act, record(stock, ActKind.SEND, moves, work))
    return Done(
        act,
        (f"Batch to {firm}{what_for}: {len(lines)} lines, {counted(total)}", *lines),
        ("Photograph them laid out, put the list in with them, and count them on return.",),
        cautions_for(" ".join((work, *texts))),
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
    """Count pieces back from a firm, into the bags they came from.

    Without ``what`` everything that is there comes back. Pieces not named stay away.
    """
    count_of(quantity)
    firm = clean(firm, "the firm", most=80)
    with store.writing() as writer:
        on = queries.machine_named(writer.connection, machine)
        place = writer.firm(PlaceKind.FIRM, firm)
        firm = place.name
        everything = queries.items(writer.connection, machine=on.number)
        away = [
            item
            for item in everything
            if any(h.kind is PlaceKind.FIRM and h.place == place.name for h in item.holdings)
        ]
        if not away:
            firms = sorted(
                {h.place for i in everything for h in i.holdings if h.kind is PlaceKind.FIRM}
            )
            there = f"; pieces are at {', '.join(firms)}" if firms else ", nor anywhere else"
            raise NotFound(f"nothing of {on.name} is away at {firm}{there}")
        chosen = away
        if what:
            wanted = {item.number for name in what for item in queries_select(writer, on, name)}
            chosen = [item for item in away if item.number in wanted]
        if not chosen:
            raise Refused(f"nothing of {', '.join(what)} is at {firm}")
        if quantity is not None and len(chosen) > 1:
            raise Refused("a count needs one item: name it, as 7.2")
        stock = writer.stock([item.number for item in chosen], [place.number])
        moves: list[Movement] = []
        lines: list[str] = []
        for item in chosen:
            spots = from_hand(
                stock, item, quantity, SENT, kinds=frozenset({PlaceKind.FIRM}), place=place.number
            )
            home = queries.last_home(writer.connection, item.number)
            if to:
                target = place_named(writer, to)
            elif home is not None:
                target = writer.place(*home)
            else:
                target = home_of(writer, item)
            moves += moves_to(item, spots, target.number, condition)
            count = sum(count for _, count in spots)
            lines.append(f"  {item.ref}  {count} {item.as_found.text}: {target.where}")
        total = sum(move.quantity for move in moves)
        act = writer.begin(ActKind.RETURN, f"{counted(total)} back from {firm}", at=at)
        writer.move(
            act,
            record(
                writer.stock_for(moves),
                ActKind.RETURN,
                moves,
            ),
        )
        still = queries.pieces_at(writer.connection, place.number)
    notes = (f"Still at {firm}: {counted(still)}.",) if still else (f"Nothing is left at {firm}.",)
    return Done(
        act,
        (f"{counted(total)} back from {firm}", *lines),
        notes,
        data={"act": act, "firm": firm, "pieces": total, "still_away": still},
    )


def queries_select(writer: Writer, on: Machine, name: str) -> Sequence[Item]:
    """Give the items that ``name`` points at, also when their bag is empty for the time being."""
    try:
        return select(writer.connection, on, name).items
    except NotFound:
        return queries.items_of_bag(writer.connection, name.strip().upper())
