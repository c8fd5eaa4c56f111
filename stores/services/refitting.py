"""Refitting: pieces go back on the machine; what is short is said before a spanner is lifted."""

from collections.abc import Sequence

from stores import queries
from stores.core.cautions import cautions_for
from stores.errors import Refused
from stores.ledger import ActKind, Condition, Movement, PlaceKind, Spot, Stock, record
from stores.planning.items import Item, counted
from stores.planning.rebuild import out_of_order
from stores.services.common import Done, count_of, from_hand, moves_to, select
from stores.storage import Store
from stores.storage.writer import Writer

__all__ = ["refit"]


def refit(
    store: Store,
    what: str,
    *,
    quantity: int | None = None,
    anyway: bool = False,
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Record that pieces went back on the machine: of a step, a bag or one item.

    New pieces are taken first, then inspected ones, then those as removed; loose spares of the
    same specification fill what is short.

    Raises:
        Refused: something is short, unless ``anyway`` is set: then what is there is fitted.
    """
    count_of(quantity)
    with store.writing() as writer:
        on = queries.machine_named(writer.connection, machine)
        chosen = select(writer.connection, on, what)
        everything = queries.items(writer.connection, machine=on.number)
        if any(item.step.number == 0 for item in chosen.items):
            raise Refused(
                "loose pieces belong to no joint: refit the joint, and they are used there"
            )
        items = [chosen.only] if quantity is not None else list(chosen.items)
        spares = [item for item in everything if not item.step.number and item.usable]
        stock = writer.stock([item.number for item in (*items, *spares)])
        place = writer.place(PlaceKind.MACHINE, on.name)
        moves: list[Movement] = []
        lines: list[str] = []
        short: list[str] = []
        for item in items:
            asked = item.to_fit if quantity is None else quantity
            if asked > item.to_fit:
                raise Refused(
                    f"{asked} of {item.ref} {item.as_specified.text} to fit, but only "
                    f"{item.to_fit} still missing on the machine"
                )
            here = min(asked, item.usable)
            if here:
                spots = from_hand(stock, item, here, item.fit_conditions, bag="")
                moves += moves_to(item, spots, place.number)
            drawn = _draw(writer, stock, item, asked - here, spares, place.number)
            moves += drawn
            fitted = here + sum(m.quantity for m in drawn if m.item == item.number)
            if fitted:
                lines.append(f"  {item.ref}  {fitted} {item.as_specified.text}{_seat(item)}")
            if fitted < asked:
                short.append(f"{asked - fitted} {item.as_specified.text} ({item.ref})")
        if not moves and not short:
            raise Refused(f"{what} is all back on the machine already")
        if short and (not anyway or not moves):
            rest = "; fit what is there with --anyway" if moves else ""
            raise Refused(f"short of {', '.join(short)}{rest}")
        count = sum(m.quantity for m in moves if m.target.place == place.number)
        name = f"step {items[0].step.number} {items[0].step.part}"
        act = writer.begin(ActKind.REFIT, f"{counted(count)} refitted: {name}", at=at)
        writer.move(
            act,
            record(writer.stock_for(moves), ActKind.REFIT, moves),
        )
        after = queries.items(writer.connection, machine=on.number)
    return _reply(act, name, count, lines, short, items, after)


def _draw(
    writer: Writer, stock: Stock, item: Item, missing: int, spares: Sequence[Item], machine: int
) -> list[Movement]:
    """Let loose pieces of the same specification take the place of what is missing."""
    moves: list[Movement] = []
    for spare in spares:
        if missing <= 0 or spare.as_found.text != item.as_specified.text:
            continue
        free = sum(count for spot, count in from_hand(stock, spare, None, (Condition.NEW,)))
        count = min(free, missing)
        if not count:
            continue
        other = writer.place(PlaceKind.REASSIGNED, "put to another joint").number
        moves += moves_to(spare, from_hand(stock, spare, count, (Condition.NEW,)), other)
        for move in moves:
            if move.item == spare.number:
                stock.balance.apply(move)
        moves.append(
            Movement(item.number, count, Spot(other, Condition.NEW), Spot(machine, Condition.NEW))
        )
        missing -= count
    return moves


def _seat(item: Item) -> str:
    return f"  @ {item.position}" if item.position else ""


def _reply(
    act: int,
    name: str,
    count: int,
    lines: Sequence[str],
    short: Sequence[str],
    items: Sequence[Item],
    after: Sequence[Item],
) -> Done:
    notes = [f"STILL SHORT: {text}" for text in short]
    step = items[0].step.number
    waiting = out_of_order(after, step)
    if waiting:
        listed = ", ".join(f"{s.number} {s.part}" for s in waiting[:4])
        notes.append(f"Came off later, usually goes on first, and is not back yet: step {listed}")
    touched = {item.number for item in items}
    old = [
        f"{item.ref} {left} {item.as_found.text}"
        for item in after
        if item.number in touched
        and (left := item.left_over - item.in_hand(Condition.NEW)) > 0
        and not item.to_fit
    ]
    if old:
        notes.append(f"Old pieces left over: {'; '.join(old)} (stores scrap {step})")
    words = " ".join(
        (
            items[0].step.assembly,
            items[0].step.part,
            *(i.as_specified.text for i in items),
            *(i.written for i in items),
        )
    )
    hazard = items[0].step.hazard
    return Done(
        act,
        (f"Refitted, {counted(count)}: {name}", *lines),
        tuple(notes),
        ((f"HAZARD: {hazard}",) if hazard else ()) + cautions_for(words),
        data={
            "act": act,
            "pieces": count,
            "short": list(short),
            "not_back_yet": [s.number for s in waiting],
        },
    )
