"""What happens to pieces in the workshop: inspected, moved, stowed, lost, scrapped, specified."""

from collections.abc import Sequence
from typing import Any

from stores import queries
from stores.core.benchline import clean, read_line
from stores.core.fastener import renew_always
from stores.errors import NotFound, Refused
from stores.ledger import ActKind, Condition, Movement, PlaceKind, record
from stores.planning.items import Item, counted
from stores.services.common import (
    NOTE_LENGTH,
    Done,
    Selection,
    bag_named,
    count_of,
    from_hand,
    moves_to,
    place_named,
    select,
)
from stores.storage import Store, Writer
from stores.storage.writer import Made

__all__ = ["inspect", "lose", "move", "scrap", "specify", "stow"]

REASON_NEEDED = frozenset({Condition.CONDEMNED, Condition.REPAIRABLE, Condition.QUARANTINE})
FIT_AGAIN = frozenset({Condition.SERVICEABLE, Condition.REPAIRABLE})
INSPECTED_FROM = (
    Condition.AS_REMOVED,
    Condition.QUARANTINE,
    Condition.REPAIRABLE,
    Condition.SERVICEABLE,
    Condition.NEW,
)
ANY_CONDITION = (
    Condition.AS_REMOVED,
    Condition.SERVICEABLE,
    Condition.NEW,
    Condition.REPAIRABLE,
    Condition.QUARANTINE,
    Condition.CONDEMNED,
)
WORST_FIRST = tuple(reversed(ANY_CONDITION))


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
    condemned piece has to name it: ``of`` is the condition that the pieces have now.

    Raises:
        Refused: no reason for a bad verdict, or no such pieces.
    """
    reason = clean(reason, "the reason", most=NOTE_LENGTH, empty=True)
    count_of(quantity)
    sources = _judged_from(what, condition, quantity, reason, of)
    with store.writing() as writer:
        on = queries.machine_named(writer.connection, machine)
        chosen = select(writer.connection, on, what)
        stock = writer.stock([item.number for item in chosen.items])
        moves: list[Movement] = []
        lines: list[str] = []
        findings: list[tuple[int, int]] = []
        several = len(chosen.items) > 1
        renewed = [i for i in chosen.items if several and i.renew and condition in FIT_AGAIN]
        for item in chosen.items if quantity is None else (chosen.only,):
            if item in renewed:
                continue
            spots = from_hand(stock, item, quantity, sources, bag=chosen.bag)
            for spot, count in spots:
                moves += moves_to(item, [(spot, count)], spot.place, condition)
            count = sum(count for _, count in spots)
            if count:
                findings.append((item.number, count))
                lines.append(f"  {item.ref}  {count} {item.as_found.text}: {condition}")
        if not moves:
            raise Refused(
                f"nothing to inspect in {what}: {_states(chosen)}; "
                "say how many, or which with --of CONDITION"
            )
        act = writer.begin(
            ActKind.INSPECT,
            f"{_pieces(moves)} of {_named(chosen)} {condition}",
            reason=reason,
            at=at,
        )
        writer.move(act, record(stock, ActKind.INSPECT, moves, reason))
        for number, count in findings:
            writer.finding(act, number, count, condition, reason)
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
        (f"Inspected, {condition}{why}", *lines),
        notes,
        data=_data(act, chosen, moves) | {"condition": condition.value, "reason": reason},
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
    if of is not None:
        sources: tuple[Condition, ...] = (of,)
    elif quantity is None:
        sources = (Condition.AS_REMOVED, Condition.QUARANTINE)
    else:
        sources = INSPECTED_FROM
    return [source for source in sources if source is not condition]


def move(
    store: Store,
    what: str,
    to: str,
    *,
    quantity: int | None = None,
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Move pieces in the workshop to another bag, box, shelf or to the bench."""
    count_of(quantity)
    with store.writing() as writer:
        on = queries.machine_named(writer.connection, machine)
        chosen = select(writer.connection, on, what)
        target = place_named(writer, to)
        return _carry(
            writer,
            chosen,
            target,
            ActKind.MOVE,
            f"now {target.where}",
            quantity,
            ANY_CONDITION,
            at=at,
        )


def lose(
    store: Store,
    what: str,
    *,
    quantity: int | None = None,
    reason: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Record that pieces cannot be found: "lost" is a place too."""
    count_of(quantity)
    with store.writing() as writer:
        on = queries.machine_named(writer.connection, machine)
        chosen = select(writer.connection, on, what)
        lost = writer.place(PlaceKind.LOST, "lost")
        return _carry(
            writer,
            chosen,
            lost,
            ActKind.LOSE,
            "lost",
            quantity,
            ANY_CONDITION,
            at=at,
            reason=reason,
        )


def scrap(
    store: Store,
    what: str,
    *,
    quantity: int | None = None,
    reason: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Throw pieces out, the worst first; without a count only those that will not be used again:
    condemned ones, and old ones of a kind that is renewed."""
    count_of(quantity)
    with store.writing() as writer:
        on = queries.machine_named(writer.connection, machine)
        chosen = select(writer.connection, on, what)
        scrapped = writer.place(PlaceKind.SCRAPPED, "scrapped")
        if quantity is not None:
            return _carry(
                writer,
                chosen,
                scrapped,
                ActKind.SCRAP,
                "scrapped",
                quantity,
                WORST_FIRST,
                at=at,
                reason=reason,
            )
        stock = writer.stock([item.number for item in chosen.items])
        moves = []
        for item in chosen.items:
            dead = [c for c in WORST_FIRST if c not in item.fit_conditions]
            if not (item.renew or item.wrong):
                dead = [Condition.CONDEMNED]
            moves += moves_to(
                item, from_hand(stock, item, None, dead, bag=chosen.bag), scrapped.number
            )
        if not moves:
            raise Refused(f"nothing in {what} is condemned or due for renewal: say how many")
        return _write(writer, chosen, moves, ActKind.SCRAP, "scrapped", at=at, reason=reason)


def _carry(
    writer: Writer,
    chosen: Selection,
    target: Made,
    kind: ActKind,
    where: str,
    quantity: int | None,
    conditions: Sequence[Condition],
    *,
    at: str | None,
    reason: str = "",
) -> Done:
    stock = writer.stock([item.number for item in chosen.items], [target.number])
    moves: list[Movement] = []
    for item in chosen.items if quantity is None else (chosen.only,):
        spots = from_hand(stock, item, quantity, conditions, bag=chosen.bag)
        moves += moves_to(item, spots, target.number)
    if not moves:
        raise Refused(f"no piece of {_named(chosen)} is in hand to move: {_states(chosen)}")
    return _write(writer, chosen, moves, kind, where, at=at, reason=reason)


def _write(
    writer: Writer,
    chosen: Selection,
    moves: list[Movement],
    kind: ActKind,
    where: str,
    *,
    at: str | None,
    reason: str = "",
) -> Done:
    reason = clean(reason, "the reason", most=NOTE_LENGTH, empty=True)
    stock = writer.stock_for(moves)
    act = writer.begin(kind, f"{_pieces(moves)} of {_named(chosen)} {where}", reason=reason, at=at)
    writer.move(act, record(stock, kind, moves, reason))
    names = {item.number: item for item in chosen.items}
    lines = []
    for item in chosen.items:
        count = sum(m.quantity for m in moves if m.item == item.number)
        if count:
            lines.append(f"  {item.ref}  {count} {names[item.number].as_found.text}")
    return Done(
        act,
        (f"{_pieces(moves)} {where}", *lines),
        data=_data(act, chosen, moves) | {"where": where},
    )


def stow(store: Store, what: Sequence[str], inside: str, *, at: str | None = None) -> Done:
    """Put bags or boxes into a box or on to a shelf."""
    with store.writing() as writer:
        target = place_named(writer, inside)
        if target.kind is PlaceKind.BAG:
            raise Refused("a bag goes into a box or on to a shelf, not into a bag")
        placed = [place_named(writer, name) for name in what]
        if any(made.new for made in placed):
            missing = ", ".join(made.name for made in placed if made.new)
            raise NotFound(f"no bag or box called {missing}")
        if target.number in {made.number for made in placed}:
            raise Refused(f"{target.name} cannot sit inside itself")
        chains = queries.insides(writer.connection, writer.fallen())
        inside_of = chains.get(target.number, "").split(", ")
        for made in placed:
            if made.name in inside_of:
                raise Refused(f"{target.name} sits in {made.name}: take it out first")
        names = ", ".join(made.name for made in placed)
        act = writer.begin(ActKind.STOW, f"{names} into {target.name}", at=at)
        for made in placed:
            writer.stow(act, made.number, target.number)
    new = (f"New place: {target.name}",) if target.new else ()
    return Done(
        act,
        (*new, f"{names} now {target.where}"),
        data={"act": act, "stowed": [made.name for made in placed], "inside": target.name},
    )


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

    Args:
        store: the opened stores.
        what: the item, ``7.2``.
        text: what should be there, as ``4 M6x25 hex 8.8``; empty leaves it as it is.
        reuse: why a kind that is renewed as a rule may be used again here.
        machine: its name, when not the one last worked on.
        at: the day, when not today.
    """
    reuse = clean(reuse, "the reason", most=NOTE_LENGTH, empty=True)
    if not text.strip() and not reuse:
        raise Refused("say what should be there, as in: stores specify 7.2 '4 M6x25 hex'")
    line = read_line(text) if text.strip() else None
    with store.writing() as writer:
        on = queries.machine_named(writer.connection, machine)
        item = select(writer.connection, on, what).only
        if line is None:
            named = read_line(item.as_specified.text).thing
            wanted = item.wanted
        else:
            named = line.thing
            wanted = line.found if line.counted else item.wanted
        description = writer.description(named)
        renew = "" if reuse else renew_always(named) or ""
        act = writer.begin(
            ActKind.SPECIFY, f"{item.ref} should be {wanted} {named.spec}", reason=reuse, at=at
        )
        writer.specify(act, item.number, description, wanted, renew)
    said = f"{item.ref}  {item.found} {item.as_found.text} found"
    if named.spec != item.as_found.text or wanted != item.found:
        said += f", should be {wanted} {named.spec}"
    if reuse:
        said += f"; may be used again: {reuse}"
    return Done(
        act,
        (said,),
        data={"act": act, "item": item.ref, "wanted": wanted, "as_specified": named.spec},
    )


def _pieces(moves: Sequence[Movement]) -> str:
    count = sum(move.quantity for move in moves)
    return counted(count)


def _named(chosen: Selection) -> str:
    if chosen.bag:
        return f"bag {chosen.bag}"
    if len(chosen.items) == 1:
        return f"{chosen.items[0].ref} {chosen.items[0].as_found.text}"
    return f"step {chosen.items[0].step.number}"


def _states(chosen: Selection) -> str:
    said = [
        f"{holding.quantity} {holding.condition} {holding.where}"
        for item in chosen.items
        for holding in item.holdings
        if holding.quantity > 0
    ]
    return ", ".join(said[:6]) or "no pieces"


def _data(act: int, chosen: Selection, moves: Sequence[Movement]) -> dict[str, Any]:
    return {
        "act": act,
        "items": [
            {"item": item.ref, "quantity": sum(m.quantity for m in moves if m.item == item.number)}
            for item in _moved(chosen.items, moves)
        ],
    }


def _moved(items: Sequence[Item], moves: Sequence[Movement]) -> list[Item]:
    numbers = {move.item for move in moves}
    return [item for item in items if item.number in numbers]


def find_bag(store: Store, text: str) -> str:
    """Give the code of the bag that was typed or scanned, from any scan text."""
    with store.reading() as connection:
        return bag_named(connection, text)
