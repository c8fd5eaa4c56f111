"""Refitting: pieces go back on the machine; what is short is said before a spanner is lifted."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from stores.errors import Refused
from stores.model.items import Item, Step, serves
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot, Stock, record
from stores.planning.assembling import HowTight, Role, Tightened
from stores.planning.rebuild import cautions_of, out_of_order
from stores.planning.tightness import threaded
from stores.storage import Store, Writer
from stores.storage.figures import step_row
from stores.storage.items import items_of_bag, items_of_step, loose_items, mates
from stores.storage.machines import Machine
from stores.storage.refits import read_refits, stated_precedence
from stores.text import clean, counted, many
from stores.usecases.assembling import write_tightened
from stores.usecases.common import Done, count_of, from_hand, moves_to, select

if TYPE_CHECKING:
    from stores.planning.links import Said

__all__ = ["Left", "refit"]


def refit(
    store: Store,
    what: str,
    *,
    quantity: int | None = None,
    anyway: bool = False,
    as_it_came: bool = False,
    left: "Left | None" = None,
    by: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Record that pieces went back on the machine: of a step, a bag or one item.

    New pieces are taken first, then inspected ones, then those as removed; loose spares of the
    same specification fill what is short.

    Args:
        store: the opened stores.
        what: a step, a bag or an item.
        quantity: how many, of one item.
        anyway: fit what is there, though something is short.
        as_it_came: fit pieces too that nobody has looked over since they came off.
        left: how what has a thread was left: finger-tight, or tightened and with what torque.
        by: who fitted it: signs for the step, once it is all on.
        machine: its name, when not the one last worked on.
        at: the day, when not today.

    Raises:
        Refused: something is short, unless ``anyway`` is set: then what is there is fitted; pieces
            that nobody has looked over, unless ``as_it_came`` is set or they came off for access
            only; a torque for several things.
    """
    count_of(quantity)
    if by and left is not None and left.how is HowTight.FINGER:
        raise Refused(
            "nobody signs for what is only finger-tight: leave out --by, then stores tighten and "
            "stores sign"
        )
    by = clean(by, "the name", most=80, empty=True)
    with store.writing() as writer:
        chosen = select(writer.connection, machine, what)
        on = chosen.machine
        if any(item.step.number == 0 for item in chosen.items):
            raise Refused(
                "loose pieces belong to no joint: refit the joint, and they are used there"
            )
        items = chosen.picked(quantity)
        if left is not None:
            _one_torque(left, items)
        spares = loose_items(writer.connection, on.number)
        stock = writer.stock([item.number for item in (*items, *spares)])
        place = writer.place(PlaceKind.MACHINE, on.name)
        done = _Fitted()
        for item in items:
            _fit(writer, stock, item, quantity, spares, place.number, done)
        moves, short = done.moves, done.short
        if not moves and not short:
            raise Refused(f"{what} is all back on the machine already")
        if short and (not anyway or not moves):
            rest = "; fit what is there with --anyway" if moves else ""
            raise Refused(f"short of {', '.join(short)}{rest}")
        access = read_refits(writer.connection, on.number).made_way
        unseen = _unseen(items, moves, access)
        if unseen and not as_it_came:
            raise Refused(
                f"nobody has looked over {', '.join(unseen)}: 'stores inspect {what} serviceable' "
                "first; or as they came off, with --as-it-came"
            )
        count = sum(m.quantity for m in moves if m.target.place == place.number)
        steps = {item.step.number: item.step for item in items}
        name = ", ".join(f"step {number} {step.part}" for number, step in steps.items())
        act = writer.begin(ActKind.REFIT, f"{counted(count)} refitted: {name}", at=at)
        writer.move(act, record(writer.stock_for(moves), ActKind.REFIT, moves))
        lines = done.lines
        if left is not None:
            lines.append(_leave(writer, act, items, left, done.tight))
        lines += _sign(writer, act, on, steps, by) if by else []
        said = stated_precedence(writer.connection, on.number)
        after = _around(writer, on.number, items, said)
        held = items_of_bag(writer.connection, chosen.bag) if chosen.bag else []
    notes, waiting = _notes(items, after, short, said, access)
    still = _left_in(chosen.bag, held)
    if still:
        notes.append(f"Still in bag {chosen.bag}: {'; '.join(still)}. Is that right?")
    cautions: list[str] = []
    for step in steps.values():
        cautions += [f"HAZARD: {step.hazard}"] if step.hazard else []
        cautions += cautions_of(step, [item for item in items if item.step == step])
    return Done(
        act,
        (f"Refitted, {counted(count)}: {name}{chosen.tag}", *lines),
        tuple(notes),
        tuple(dict.fromkeys(cautions)),
        data={
            "act": act,
            "pieces": count,
            "short": short,
            "not_back_yet": waiting,
            "left_over": _over(items, after),
            "left_in_bag": still,
        },
    )


def _unseen(
    items: Sequence[Item], moves: Sequence[Movement], access: Mapping[int, int | None]
) -> list[str]:
    """Say which pieces that go on nobody has looked over, but for those off for access only: what
    is not known to be good is not taken for good."""
    found = []
    for item in items:
        pieces = sum(
            move.quantity
            for move in moves
            if move.item == item.number and move.source.condition is Condition.AS_REMOVED
        )
        if pieces and item.step.number not in access:
            found.append(f"{many(pieces, item.as_found.text)} ({item.ref})")
    return found


def _around(
    writer: Writer, machine: int, items: Sequence[Item], said: "Sequence[Said]"
) -> list[Item]:
    """Give the items of the assemblies of these, and of the steps that were said to go before."""
    steps = {item.step.number: item for item in items}
    found = [mate for item in steps.values() for mate in mates(writer.connection, item)]
    known = {item.step.number for item in found}
    for one in said:
        if one.then in steps and one.first not in known:
            found += items_of_step(writer.connection, machine, one.first)
    return list({item.number: item for item in found}.values())


@dataclass(frozen=True, slots=True)
class Left:
    """How what was refitted was left: finger-tight, or tightened, with the torque if measured."""

    how: HowTight
    torque_nm: float | None = None
    state: str = ""
    written: str = ""

    @property
    def words(self) -> str:
        """Say it as a line."""
        return Tightened(0, 1, self.how, self.torque_nm, self.state, self.written).words


@dataclass(slots=True)
class _Fitted:
    """What a refit comes to so far: movements, lines to show, what is short, what has a thread."""

    moves: list[Movement] = field(default_factory=list)
    lines: list[str] = field(default_factory=list)
    short: list[str] = field(default_factory=list)
    tight: dict[int, int] = field(default_factory=dict)


def _fit(
    writer: Writer,
    stock: Stock,
    item: Item,
    quantity: int | None,
    spares: Sequence[Item],
    machine: int,
    done: _Fitted,
) -> None:
    """Put pieces of one item on the machine: its own first, then loose ones that serve."""
    asked = item.to_fit if quantity is None else quantity
    text = item.as_specified.text
    if asked > item.to_fit:
        raise Refused(
            f"{asked} of {item.ref} {text} to fit, but only {item.to_fit} still missing on the "
            "machine"
        )
    fitted = min(asked, item.usable)
    if fitted:
        spots = from_hand(stock, item, fitted, item.fit_conditions)
        done.moves += moves_to(item, spots, machine)
    drawn = _draw(writer, stock, item, asked - fitted, spares, machine)
    done.moves += drawn
    fitted += sum(m.quantity for m in drawn if m.item == item.number)
    if fitted:
        done.lines.append(f"  {item.ref}  {many(fitted, text)}{_seat(item)}")
        if threaded(item.as_specified):
            done.tight[item.number] = item.fitted + fitted
    if fitted < asked:
        done.short.append(f"{many(asked - fitted, text)} ({item.ref})")


def _leave(
    writer: Writer, act: int, items: Sequence[Item], left: Left, tight: Mapping[int, int]
) -> str:
    """Write down how what was fitted was left."""
    touched = [item for item in items if item.number in tight]
    if not touched:
        raise Refused("nothing that was fitted has a thread to tighten")
    write_tightened(writer, act, touched, left.how, left.torque_nm, left.state, left.written, tight)
    return f"  {left.words}"


def _one_torque(left: Left, items: Sequence[Item]) -> None:
    """Refuse a torque for several things: each has its own."""
    found = [item for item in items if threaded(item.as_specified)]
    if left.torque_nm is not None and len(found) > 1:
        refs = ", ".join(f"{item.ref} {item.as_specified.text}" for item in found)
        raise Refused(f"a torque is of one thing; refit, then stores tighten each: {refs}")


def _sign(writer: Writer, act: int, on: "Machine", steps: Mapping[int, Step], by: str) -> list[str]:
    """Let who fitted them sign for the steps that are all on by now."""
    signed = []
    for number in steps:
        whole = items_of_step(writer.connection, on.number, number)
        row = step_row(writer.connection, on.number, number)
        if row is not None and not any(item.to_fit for item in whole):
            writer.signature(act, row, Role.FITTED.value, by)
            signed.append(f"  step {number}: {Role.FITTED}, {by}")
    return signed


def _left_in(bag: str, items: Sequence[Item]) -> list[str]:
    """Say what a bag still holds."""
    return [
        f"{item.ref} {many(holding.quantity, item.named(holding.condition))}, {holding.condition}"
        for item in items
        for holding in item.holdings
        if holding.kind is PlaceKind.BAG and holding.place == bag and holding.quantity > 0
    ]


def _over(items: Sequence[Item], after: Sequence[Item]) -> list[str]:
    """Give the items that are all on, of which old pieces are left that can be thrown out."""
    touched = {item.number for item in items}
    return list(
        dict.fromkeys(
            item.ref
            for item in after
            if item.number in touched
            and not item.to_fit
            and item.left_over - item.in_hand(Condition.NEW) > 0
        )
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
    items: Sequence[Item],
    after: Sequence[Item],
    short: Sequence[str],
    said: "Sequence[Said]",
    access: Mapping[int, int | None],
) -> tuple[list[str], list[int]]:
    notes = [f"STILL SHORT: {text}" for text in short]
    fitted = {item.step.number for item in items}
    waiting = {
        step.number: step
        for number in fitted
        for step in out_of_order(after, number, said, access)
        if step.number not in fitted
    }
    if waiting:
        listed = ", ".join(f"{number} {step.part}" for number, step in list(waiting.items())[:4])
        notes.append(f"Goes on before, and is not back yet: step {listed}")
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
