"""What happens to pieces in the workshop: moved, stowed, lost and found, scrapped, reassigned."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from stores.errors import NotFound, Refused
from stores.model.items import Item, clash
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot, record
from stores.storage import Store, Writer
from stores.storage.items import mates
from stores.storage.places import places_above
from stores.storage.writer import Made
from stores.text import clean, counted, many
from stores.usecases.common import (
    NOTE_LENGTH,
    Done,
    Selection,
    condition_first,
    count_of,
    from_hand,
    home_of,
    moves_to,
    place_named,
    select,
)

__all__ = ["assign", "lose", "move", "recover", "scrap", "stow"]

ANY_CONDITION = (
    Condition.AS_REMOVED,
    Condition.SERVICEABLE,
    Condition.NEW,
    Condition.REPAIRABLE,
    Condition.QUARANTINE,
    Condition.CONDEMNED,
)
WORST_FIRST = (
    Condition.CONDEMNED,
    Condition.QUARANTINE,
    Condition.REPAIRABLE,
    Condition.AS_REMOVED,
    Condition.SERVICEABLE,
    Condition.NEW,
)


def move(
    store: Store,
    what: str,
    to: str,
    *,
    quantity: int | None = None,
    of: Condition | None = None,
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Move pieces in the workshop to another bag, box, shelf or to the bench."""
    count_of(quantity)
    with store.writing() as writer:
        chosen = select(writer.connection, machine, what)
        target = place_named(writer, to)
        moves = _gather(writer, chosen, target.number, quantity, condition_first(ANY_CONDITION, of))
        where = f"now {target.where}" + (_new(target) if target.new else "")
        return _write(writer, chosen, moves, ActKind.MOVE, where, at=at)


def lose(
    store: Store,
    what: str,
    *,
    quantity: int | None = None,
    of: Condition | None = None,
    firm: str | None = None,
    reason: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Record that pieces cannot be found: "lost" is a place too. ``firm`` says who lost them."""
    count_of(quantity)
    with store.writing() as writer:
        chosen = select(writer.connection, machine, what, empty=firm is not None)
        lost = writer.place(PlaceKind.LOST, "lost")
        away = writer.firm(PlaceKind.FIRM, clean(firm, "the firm", most=80)) if firm else None
        moves = _gather(
            writer,
            chosen,
            lost.number,
            quantity,
            condition_first(ANY_CONDITION, of),
            firm=away.number if away else None,
        )
        where = f"lost at {away.name}" if away else "lost"
        reply = _write(writer, chosen, moves, ActKind.LOSE, where, at=at, reason=reason)
        if away and reply.act is not None:
            from stores.usecases.supply import settle

            settle(writer, reply.act, away.number, moves, "written off")
        return reply


def recover(
    store: Store,
    what: str,
    *,
    quantity: int | None = None,
    to: str | None = None,
    reason: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Record that lost pieces turned up; they go back into their bag."""
    count_of(quantity)
    with store.writing() as writer:
        chosen = select(writer.connection, machine, what, empty=True)
        lost = writer.place(PlaceKind.LOST, "lost")
        made = place_named(writer, to) if to else None
        moves: list[Movement] = []
        stock = writer.stock([item.number for item in chosen.items])
        where = set()
        for item in chosen.picked(quantity):
            # "Lost" may go below zero, so what may be taken from it is counted here.
            there = {c: -stock.balance.at(item.number, Spot(lost.number, c)) for c in ANY_CONDITION}
            missing = {c: -count for c, count in there.items() if count < 0}
            asked = sum(missing.values()) if quantity is None else quantity
            if asked > sum(missing.values()):
                raise Refused(f"only {sum(missing.values())} of {item.ref} were recorded lost")
            target = made or home_of(writer, item, mates(writer.connection, item))
            for condition, count in missing.items():
                some = min(count, asked)
                if some:
                    moves.append(
                        Movement(
                            item.number,
                            some,
                            Spot(lost.number, condition),
                            Spot(target.number, condition),
                        )
                    )
                    where.add(target.where)
                    asked -= some
        if not moves:
            raise Refused(f"nothing of {chosen.name} was recorded lost")
        places = f"found, now {' and '.join(sorted(where))}"
        return _write(writer, chosen, moves, ActKind.RECOVER, places, at=at, reason=reason)


def scrap(
    store: Store,
    what: str,
    *,
    quantity: int | None = None,
    of: Condition | None = None,
    reason: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Throw pieces out, the worst first; without a count only those that will not be used again:
    condemned ones, and old ones that have been replaced by new ones.

    Of condemned ones that nothing else of the joint is in hand for, one is kept as a pattern until
    the joint has all its pieces on again; only a count throws that out too.
    """
    count_of(quantity)
    patterns: list[str] = []
    with store.writing() as writer:
        chosen = select(writer.connection, machine, what)
        scrapped = writer.place(PlaceKind.SCRAPPED, "scrapped")
        if quantity is not None or of is not None:
            order = condition_first(WORST_FIRST, of)
            moves = _gather(writer, chosen, scrapped.number, quantity, order)
        else:
            stock = writer.stock([item.number for item in chosen.items])
            moves = []
            for item in chosen.items:
                condemned = item.in_hand(Condition.CONDEMNED)
                if condemned and _is_pattern(item):
                    patterns.append(item.ref)
                    spots = from_hand(
                        stock, item, condemned - 1, [Condition.CONDEMNED], bag=chosen.bag
                    )
                    moves += moves_to(item, spots, scrapped.number) if condemned > 1 else []
                    continue
                dead = [Condition.CONDEMNED]
                if (item.renew or item.wrong) and not item.to_fit:
                    dead = [c for c in WORST_FIRST if c not in item.fit_conditions]
                spots = from_hand(stock, item, None, dead, bag=chosen.bag)
                moves += moves_to(item, spots, scrapped.number)
            if not moves:
                raise Refused(
                    f"nothing in {what} to throw out yet: old pieces are kept as patterns until "
                    "the new ones fit; to throw them out, say how many"
                )
        done = _write(writer, chosen, moves, ActKind.SCRAP, "scrapped", at=at, reason=reason)
    if patterns:
        kept = f"Kept as a pattern until the new one fits, one of {', '.join(patterns)}"
        done = replace(done, notes=(*done.notes, kept))
    return done


def _is_pattern(item: Item) -> bool:
    """Tell whether a condemned piece is still the only old one: whether a new one fits is not known
    before it is on."""
    others = [c for c in Condition if c not in (Condition.CONDEMNED, Condition.NEW)]
    return bool(item.step.number and item.to_fit) and not item.in_hand(*others)


def assign(
    store: Store,
    what: str,
    to: str,
    *,
    quantity: int | None = None,
    of: Condition | None = None,
    anyway: bool = False,
    machine: str | None = None,
    other: str | None = None,
    at: str | None = None,
) -> Done:
    """Say that pieces belong to another joint: a loose piece that was recognised, or a piece that
    one joint lends to another, of this machine or the ``other``. They stay where they lie.

    A joint that is short by it is owed them: `read_debts` lists that until it is made good.

    Raises:
        Refused: another thread, size, kind or head than belongs there, unless ``anyway`` is set.
    """
    count_of(quantity)
    with store.writing() as writer:
        chosen = select(writer.connection, machine, what)
        target = select(writer.connection, other or chosen.machine.name, to, empty=True).only
        if target.number in {item.number for item in chosen.items}:
            raise Refused(f"{to} is the same joint")
        if not anyway and clash(chosen.only.as_found.text, target.as_specified.text):
            raise Refused(
                f"{chosen.only.ref} is {chosen.only.as_found.text}, but {target.ref} wants "
                f"{target.as_specified.text}: not the same; --anyway if you are sure"
            )
        stock = writer.stock([item.number for item in chosen.items])
        lent = writer.place(PlaceKind.REASSIGNED, "put to another joint").number
        moves: list[Movement] = []
        item = chosen.only
        for spot, count in from_hand(
            stock, item, quantity, condition_first(ANY_CONDITION, of), bag=chosen.bag
        ):
            passing = Spot(lent, spot.condition)
            moves += [
                Movement(item.number, count, spot, passing),
                Movement(target.number, count, passing, spot),
            ]
        if not moves:
            raise Refused(f"no piece of {chosen.name} is in hand: {chosen.states}")
        total = sum(m.quantity for m in moves) // 2
        where = f"for {target.ref} {target.step.part}"
        act = writer.begin(ActKind.ASSIGN, f"{counted(total)} of {chosen.name} {where}", at=at)
        writer.move(act, record(writer.stock_for(moves), ActKind.ASSIGN, moves))
        short = bool(item.step.number) and item.to_fit > item.usable - total
        if short:
            writer.debt(act, item.number, target.number, total)
    owed = f"{counted(total)} owed to {item.ref} on {item.step.machine}: it is on the shopping list"
    return Done(
        act,
        (f"{counted(total)} of {item.ref} {item.as_found.text} now {where}{chosen.tag}",),
        (owed,) if short else (),
        data={"act": act, "item": item.ref, "for": target.ref, "quantity": total},
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
        above = places_above(writer.connection, writer.fallen(), target.number)
        for made in placed:
            if made.number in above:
                raise Refused(f"{target.name} sits in {made.name}: take it out first")
        names = ", ".join(dict.fromkeys(made.name for made in placed))
        act = writer.begin(ActKind.STOW, f"{names} {target.where}", at=at)
        for number in dict.fromkeys(made.number for made in placed):
            writer.stow(act, number, target.number)
    new = (f"New place: {target.name}",) if target.new else ()
    return Done(
        act,
        (*new, f"{names} now {target.where}"),
        data={"act": act, "stowed": [made.name for made in placed], "inside": target.name},
    )


def _new(target: Made) -> str:
    return "" if target.kind is PlaceKind.BENCH else ", which is new"


def _gather(
    writer: Writer,
    chosen: Selection,
    target: int,
    quantity: int | None,
    conditions: Sequence[Condition],
    *,
    firm: int | None = None,
) -> list[Movement]:
    places = [target] if firm is None else [target, firm]
    stock = writer.stock([item.number for item in chosen.items], places)
    moves: list[Movement] = []
    for item in chosen.picked(quantity):
        bag = "" if firm is not None else chosen.bag
        spots = from_hand(stock, item, quantity, conditions, bag=bag, firm=firm, but=target)
        moves += moves_to(item, spots, target)
    if not moves:
        raise Refused(f"no such piece of {chosen.name} to take: {chosen.states}")
    return moves


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
    total = counted(sum(move.quantity for move in moves))
    act = writer.begin(kind, f"{total} of {chosen.name} {where}", reason=reason, at=at)
    writer.move(act, record(writer.stock_for(moves), kind, moves, reason))
    lines: list[str] = []
    data: list[dict[str, Any]] = []
    for item in chosen.items:
        count = sum(m.quantity for m in moves if m.item == item.number)
        if count:
            lines.append(f"  {item.ref}  {many(count, item.as_found.text)}")
            data.append({"item": item.ref, "quantity": count})
    return Done(
        act,
        (f"{total} {where}{chosen.tag}", *lines),
        data={"act": act, "where": where, "items": data},
    )
