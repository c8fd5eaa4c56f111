"""Pieces that come from other firms: bought, and shared out over the joints that are short."""

import re
from collections.abc import Sequence

from stores import bagcode
from stores.errors import Refused
from stores.handbook.benchline import read_line
from stores.handbook.fastener import Fastener, renew_always
from stores.model.items import Item, serves, sized
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot, record
from stores.planning.shopping import shopping
from stores.storage import Store, Writer
from stores.storage.items import mates, read_items
from stores.storage.machines import Machine, machine_named
from stores.text import clean, many
from stores.usecases.common import (
    NOTE_LENGTH,
    Done,
    count_of,
    home_of,
    place_named,
    refuse_beside,
    select,
)

__all__ = ["buy", "loose_of"]

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
    if named is not None:
        refuse_beside(named, "buy", "say what arrived, as 20 M6x25 hex")
        if bagcode.looks_like_code(what) or what.strip().isdigit():
            raise Refused("buy takes what arrived, as 20 M6x25 hex, or one item, as 7.4")
        if quantity is not None and named.counted and quantity != named.found:
            raise Refused(f"{named.found} in the line, but {quantity} with -q: which is it?")
    with store.writing() as writer:
        if named is None:
            chosen = select(writer.connection, machine, what)
            on, item = chosen.machine, chosen.only
            total = quantity or item.short
            if not total:
                raise Refused(f"{item.ref} is short of nothing: say how many were bought")
            shares, rest, text = [(item, total)], 0, item.as_specified.text
            everything: Sequence[Item] = mates(writer.connection, item)
        else:
            on = machine_named(writer.connection, machine)
            everything = read_items(writer.connection, machine=on.number)
            total = quantity if quantity is not None else named.found
            if not total:
                raise Refused("none bought is nothing to record")
            text = named.thing.spec
            shares, rest = _share(named.thing, total, everything)
        source = writer.firm(PlaceKind.BOUGHT, firm)
        firm = source.name
        into = place_named(writer, to) if to else None
        act = writer.begin(
            ActKind.BUY, f"{many(total, text)} bought from {firm}", reason=reason, at=at
        )
        moves: list[Movement] = []
        lines: list[str] = []
        put: list[dict[str, object]] = []
        for item, count in shares:
            target = into or home_of(writer, item, everything)
            moves.append(_bought(item.number, count, source.number, target.number))
            lines.append(f"  {count} for {item.ref} {item.step.part}: {target.where}")
            put.append({"item": item.ref, "quantity": count, "place": target.name})
        if rest and named is not None:
            target = into or writer.place(PlaceKind.BENCH, "bench")
            ref, number = loose_of(writer, act, on, named.thing, what)
            moves.append(_bought(number, rest, source.number, target.number))
            lines.append(f"  {rest} loose as {ref}: {target.where}")
            put.append({"item": ref, "quantity": rest, "place": target.name})
        writer.move(act, record(writer.stock_for(moves), ActKind.BUY, moves, reason))
    return Done(
        act,
        (f"{many(total, text)}, new, from {firm}", *lines),
        () if shares else (_not_short(everything),),
        data={"act": act, "quantity": total, "text": text, "firm": firm, "put": put},
    )


def _not_short(everything: Sequence[Item]) -> str:
    near = [line.text for line in shopping(everything)]
    more = f" and {len(near) - 5} more" if len(near) > 5 else ""
    listed = f" The list has: {'; '.join(near[:5])}{more}." if near else " The list is empty."
    return f"No joint is short of just that.{listed} To put pieces to a joint: stores assign"


def _share(
    thing: Fastener, total: int, everything: Sequence[Item]
) -> tuple[list[tuple[Item, int]], int]:
    """Share what arrived out over the joints that are short of it, in the order of the steps."""
    text = thing.spec
    short = [item for item in everything if item.step.number and item.short]
    fits = [item for item in short if serves(text, item.as_specified.text)]
    if not sized(text):
        fits = [item for item in short if item.as_specified.text == text]
        if len(fits) > 1:
            refs = ", ".join(f"{item.ref} ({item.step.part})" for item in fits)
            raise Refused(
                f"which {text}? Say for which joint, as in stores buy {fits[0].ref}: {refs}"
            )
    shares = []
    rest = total
    for item in fits:
        count = min(rest, item.short)
        if count:
            shares.append((item, count))
            rest -= count
    return shares, rest


def _bought(item: int, count: int, firm: int, place: int) -> Movement:
    return Movement(item, count, Spot(firm, Condition.NEW), Spot(place, Condition.NEW))


def loose_of(writer: Writer, act: int, on: Machine, thing: Fastener, what: str) -> tuple[str, int]:
    """Write down loose pieces that no joint asked for; give their name and row."""
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
    return f"0.{line}", item
