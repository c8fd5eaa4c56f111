"""What is known and wanted of pieces: inspected, and specified."""

from stores.errors import Refused
from stores.handbook.benchline import read_line
from stores.handbook.fastener import renew_always
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot, record
from stores.planning.items import Item, agree
from stores.storage import Store, Writer
from stores.text import clean, counted, many
from stores.usecases.common import (
    NOTE_LENGTH,
    Done,
    Selection,
    count_of,
    from_hand,
    moves_to,
    refuse_beside,
    select,
)

__all__ = ["REASON_NEEDED", "inspect", "specify"]

REASON_NEEDED = frozenset({Condition.CONDEMNED, Condition.REPAIRABLE, Condition.QUARANTINE})
"""The verdicts that say nothing to whoever reads them later, unless they say why."""

FIT_AGAIN = frozenset({Condition.SERVICEABLE, Condition.REPAIRABLE})
INSPECTED_FROM = (
    Condition.AS_REMOVED,
    Condition.QUARANTINE,
    Condition.REPAIRABLE,
    Condition.SERVICEABLE,
    Condition.NEW,
)


def inspect(
    store: Store,
    what: str,
    condition: Condition,
    *,
    quantity: int | None = None,
    reason: str = "",
    of: Condition | None = None,
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Say of so many pieces what condition they are in, and why.

    Without a count it is about all pieces that nobody has judged yet. A better verdict on a
    condemned piece has to name it: ``of`` is the condition that the pieces have now. When a whole
    step or bag is passed, kinds that are renewed as a rule are left out, and named.

    Raises:
        Refused: no reason for a bad verdict, or no such pieces.
    """
    reason = clean(reason, "the reason", most=NOTE_LENGTH, empty=True)
    count_of(quantity)
    sources = _judged_from(what, condition, quantity, reason, of)
    with store.writing() as writer:
        chosen = select(writer.connection, machine, what)
        stock = writer.stock([item.number for item in chosen.items])
        moves: list[Movement] = []
        findings: list[tuple[Item, int]] = []
        several = len(chosen.items) > 1
        renewed = [i for i in chosen.items if several and i.renew and condition in FIT_AGAIN]
        for item in chosen.picked(quantity):
            if item in renewed:
                continue
            spots = from_hand(stock, item, quantity, sources, bag=chosen.bag)
            if not spots and not several and of is None and condition in REASON_NEEDED:
                # One item named by itself, judged already: a worse verdict mends the better one.
                known = [each for each in INSPECTED_FROM if each is not condition]
                spots = from_hand(stock, item, quantity, known, bag=chosen.bag)
            for spot, count in spots:
                moves += moves_to(item, [(spot, count)], spot.place, condition)
            if spots:
                findings.append((item, sum(count for _, count in spots)))
        if not moves:
            raise Refused(
                f"nothing to inspect in {what}: {chosen.states}; "
                "say how many, or which with --of CONDITION"
            )
        total = sum(move.quantity for move in moves)
        act = writer.begin(
            ActKind.INSPECT,
            f"{counted(total)} of {chosen.name} {condition}",
            reason=reason,
            at=at,
        )
        writer.move(act, record(stock, ActKind.INSPECT, moves, reason))
        for item, count in findings:
            writer.finding(act, item.number, count, condition, reason)
    why = f": {reason}" if reason else ""
    notes: tuple[str, ...] = ()
    if renewed:
        names = ", ".join(f"{item.ref} {item.as_found.text}" for item in renewed)
        notes = (f"Left out, renewed as a rule: {names}",)
    if condition is Condition.CONDEMNED:
        notes += (
            "Spoil or mark it so that it cannot creep back; keep one as a pattern to buy by.",
        )
    return Done(
        act,
        (
            f"Inspected, {condition}{why}{chosen.tag}",
            *(f"  {item.ref}  {many(count, item.as_found.text)}" for item, count in findings),
        ),
        notes,
        data={
            "act": act,
            "condition": condition.value,
            "reason": reason,
            "items": [{"item": item.ref, "quantity": count} for item, count in findings],
        },
    )


def _judged_from(
    what: str, condition: Condition, quantity: int | None, reason: str, of: Condition | None
) -> list[Condition]:
    """Give the conditions that pieces may have now to be judged so; refuse what is no verdict."""
    if condition is Condition.NEW:
        raise Refused("an inspection makes nothing new: 'stores buy' brings new pieces in")
    if condition is Condition.AS_REMOVED:
        raise Refused("'as removed' means not inspected: to take a verdict back, 'stores undo'")
    if condition in REASON_NEEDED and not reason:
        raise Refused(f"say why: stores inspect {what} {condition} REASON")
    if reason.isdigit():
        raise Refused(
            f"is {reason} the count? It goes before: stores inspect {what} {reason} {condition}"
        )
    if of is not None:
        sources: tuple[Condition, ...] = (of,)
    elif quantity is None:
        sources = (Condition.AS_REMOVED, Condition.QUARANTINE)
    else:
        sources = INSPECTED_FROM
    return [source for source in sources if source is not condition]


def specify(
    store: Store,
    what: str,
    text: str = "",
    *,
    reuse: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Say what should be at a joint, when the parts book or a measurement has told.

    New pieces that were bought to the old specification, and are now the wrong thing, become loose
    spares where they lie.

    Args:
        store: the opened stores.
        what: the item, ``7.2``.
        text: what should be there, as ``4 M6x25 hex 8.8``; empty leaves it as it is.
        reuse: why a kind that is renewed as a rule may be used again here.
        machine: its name, when not the one last worked on.
        at: the day, when not today.

    Raises:
        Refused: nothing said, or pieces of the old specification are on the machine.
    """
    reuse = clean(reuse, "the reason", most=NOTE_LENGTH, empty=True)
    if not text.strip() and not reuse:
        raise Refused("say what should be there, as in: stores specify 7.2 '4 M6x25 hex'")
    line = read_line(text) if text.strip() else None
    if line is not None:
        refuse_beside(line, "specify", "say only what should be there, as 4 M6x25 hex")
    with store.writing() as writer:
        chosen = select(writer.connection, machine, what)
        item = chosen.only
        spec = line.thing.spec if line else item.as_specified.text
        wanted = line.wanted if line and line.counted else item.wanted
        kept = bool(reuse) or (not item.renew and bool(item.as_specified.renew))
        other = not agree(item.as_specified.text, spec)
        if other and item.fitted:
            raise Refused(
                f"{many(item.fitted, item.as_specified.text)} are on the machine already: "
                "undo the refit first"
            )
        description = writer.description(line.thing) if line else writer.known_description(spec)
        renew = item.renew if line is None else renew_always(line.thing) or ""
        act = writer.begin(
            ActKind.SPECIFY, f"{item.ref} should be {many(wanted, spec)}", reason=reuse, at=at
        )
        writer.specify(act, item.number, description, wanted, "" if kept else renew)
        spare = _let_loose(writer, act, chosen, item) if other else ""
    said = f"{item.ref}  {many(item.found, item.as_found.text)} found"
    if spec != item.as_found.text or wanted != item.found:
        said += f", should be {many(wanted, spec)}"
    if reuse:
        said += f"; may be used again: {reuse}"
    return Done(
        act,
        (said,),
        (spare,) if spare else (),
        data={"act": act, "item": item.ref, "wanted": wanted, "as_specified": spec},
    )


def _let_loose(writer: Writer, act: int, chosen: Selection, item: Item) -> str:
    """Turn an item's new pieces, bought to a specification that fell, into loose spares."""
    stock = writer.stock([item.number])
    spots = [
        (spot, count)
        for spot, count in stock.balance.of_item(item.number).items()
        if spot.condition is Condition.NEW and count > 0 and stock.kinds[spot.place].inside
    ]
    if not spots:
        return ""
    was = item.as_specified.text
    description = writer.known_description(was)
    number, line = writer.item(
        act,
        chosen.machine.number,
        None,
        description,
        0,
        written=was,
        position="",
        words=f"{was} {item.step.part} {item.step.assembly}",
    )
    writer.specify(act, number, description, 0, item.renew)
    other = writer.place(PlaceKind.REASSIGNED, "put to another joint").number
    moves = []
    for spot, count in spots:
        passing = Spot(other, spot.condition)
        moves += [
            Movement(item.number, count, spot, passing),
            Movement(number, count, passing, spot),
        ]
    writer.move(act, record(writer.stock_for(moves), ActKind.SPECIFY, moves))
    total = sum(count for _, count in spots)
    return f"{total} new {was}, bought to the old specification, are loose spares now: 0.{line}"
