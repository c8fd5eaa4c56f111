"""Refitting: pieces go back on the machine; what is short is said before a spanner is lifted."""

from collections.abc import Sequence

from stores import queries
from stores.errors import Refused
from stores.ledger import ActKind, Condition, Movement, PlaceKind, Spot, Stock, record
from stores.planning.items import Item, counted, many, serves
from stores.planning.rebuild import cautions_of, out_of_order
from stores.services.common import Done, count_of, from_hand, moves_to, select
from stores.storage import Store, Writer

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
        chosen = select(writer.connection, machine, what)
        on = chosen.machine
        if any(item.step.number == 0 for item in chosen.items):
            raise Refused(
                "loose pieces belong to no joint: refit the joint, and they are used there"
            )
        items = chosen.picked(quantity)
        spares = queries.loose_items(writer.connection, on.number)
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
            fitted = min(asked, item.usable)
            if fitted:
                spots = from_hand(stock, item, fitted, item.fit_conditions)
                moves += moves_to(item, spots, place.number)
            drawn = _draw(writer, stock, item, asked - fitted, spares, place.number)
            moves += drawn
            fitted += sum(m.quantity for m in drawn if m.item == item.number)
            if fitted:
                lines.append(f"  {item.ref}  {many(fitted, item.as_specified.text)}{_seat(item)}")
            if fitted < asked:
                short.append(f"{many(asked - fitted, item.as_specified.text)} ({item.ref})")
        if not moves and not short:
            raise Refused(f"{what} is all back on the machine already")
        if short and (not anyway or not moves):
            rest = "; fit what is there with --anyway" if moves else ""
            raise Refused(f"short of {', '.join(short)}{rest}")
        count = sum(m.quantity for m in moves if m.target.place == place.number)
        steps = {item.step.number: item.step for item in items}
        name = ", ".join(f"step {number} {step.part}" for number, step in steps.items())
        act = writer.begin(ActKind.REFIT, f"{counted(count)} refitted: {name}", at=at)
        writer.move(act, record(writer.stock_for(moves), ActKind.REFIT, moves))
        after = [
            mate
            for number in steps
            for mate in queries.mates(
                writer.connection, next(i for i in items if i.step.number == number)
            )
        ]
    notes, waiting = _notes(items, list({item.number: item for item in after}.values()), short)
    cautions: list[str] = []
    for step in steps.values():
        cautions += [f"HAZARD: {step.hazard}"] if step.hazard else []
        cautions += cautions_of(step, [item for item in items if item.step == step])
    return Done(
        act,
        (f"Refitted, {counted(count)}: {name}{chosen.tag}", *lines),
        tuple(notes),
        tuple(dict.fromkeys(cautions)),
        data={"act": act, "pieces": count, "short": short, "not_back_yet": waiting},
    )


def _draw(
    writer: Writer, stock: Stock, item: Item, missing: int, spares: Sequence[Item], machine: int
) -> list[Movement]:
    """Let loose pieces of the same specification take the place of what is missing."""
    moves: list[Movement] = []
    for spare in spares:
        if missing <= 0 or not serves(spare.as_found.text, item.as_specified.text):
            continue
        free = from_hand(stock, spare, None, spare.spare_conditions)
        count = min(sum(some for _, some in free), missing)
        if not count:
            continue
        other = writer.place(PlaceKind.REASSIGNED, "put to another joint").number
        for spot, some in from_hand(stock, spare, count, spare.spare_conditions):
            passing = Spot(other, spot.condition)
            drawn = Movement(spare.number, some, spot, passing)
            stock.balance.apply(drawn)
            moves += [drawn, Movement(item.number, some, passing, Spot(machine, spot.condition))]
        missing -= count
    return moves


def _seat(item: Item) -> str:
    return f"  @ {item.position}" if item.position else ""


def _notes(
    items: Sequence[Item], after: Sequence[Item], short: Sequence[str]
) -> tuple[list[str], list[int]]:
    notes = [f"STILL SHORT: {text}" for text in short]
    fitted = {item.step.number for item in items}
    waiting = {
        step.number: step
        for number in fitted
        for step in out_of_order(after, number)
        if step.number not in fitted
    }
    if waiting:
        listed = ", ".join(f"{number} {step.part}" for number, step in list(waiting.items())[:4])
        notes.append(f"Came off later, usually goes on first, and is not back yet: step {listed}")
    touched = {item.number for item in items}
    old = [
        f"{item.ref} {many(left, item.as_found.text)}"
        for item in after
        if item.number in touched
        and not item.to_fit
        and (left := item.left_over - item.in_hand(Condition.NEW)) > 0
    ]
    if old:
        number = min(fitted)
        notes.append(f"Old pieces left over: {'; '.join(old)} (stores scrap {number})")
    return notes, sorted(waiting)
