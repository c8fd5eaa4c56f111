"""Refitting: pieces go back on the machine; what is short is said before a spanner is lifted."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from stores.errors import Refused
from stores.model.items import Item, Step, serves
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot, Stock, record
from stores.planning.assembling import HowTight, Role, Tightened
from stores.planning.status import (
    BlockerKind,
    PieceStatus,
    Status,
    cautions_of,
    left_over,
)
from stores.planning.tightness import threaded
from stores.storage import Store, Writer
from stores.storage.figures import step_row
from stores.storage.items import items_of_bag, items_of_step
from stores.storage.machines import Machine
from stores.storage.planned import status_on
from stores.text import clean, counted, many
from stores.usecases.assembling import write_tightened
from stores.usecases.common import Done, count_of, from_hand, moves_to, select

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
        anyway: fit what is there, though something is short, with loose pieces that are given out
            to another step; and though a snag is open that it shuts in.
        as_it_came: fit pieces too that nobody has looked over since they came off.
        left: how what has a thread was left: finger-tight, or tightened and with what torque.
        by: who fitted it: signs for the step, once it is all on.
        machine: its name, when not the one last worked on.
        at: the day, when not today.

    Raises:
        Refused: the step is not ready for a reason of its own (`status`): something is short, or a
            snag is open that it would shut in, unless ``anyway`` is set; pieces
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
        status = status_on(writer.connection, on.number)
        place = writer.place(PlaceKind.MACHINE, on.name).number
        done = _fit_all(writer, status, items, quantity, place, anyway=anyway)
        moves, short = done.moves, done.short
        if not moves and not short:
            raise Refused(f"{what} is all back on the machine already")
        steps = {item.step.number: item.step for item in items}
        _refuse(status, steps, done, place, what, anyway=anyway, as_it_came=as_it_came)
        count = sum(m.quantity for m in moves if m.target.place == place)
        name = ", ".join(f"step {number} {step.part}" for number, step in steps.items())
        act = writer.begin(ActKind.REFIT, f"{counted(count)} refitted: {name}", at=at)
        writer.move(act, record(writer.stock_for(moves), ActKind.REFIT, moves))
        lines = done.lines
        if left is not None:
            lines.append(_leave(writer, act, items, left, done.tight))
        lines += _sign(writer, act, on, steps, by) if by else []
        after = [
            item for step in steps for item in items_of_step(writer.connection, on.number, step)
        ]
        touched = {item.number for item in items}
        held = items_of_bag(writer.connection, chosen.bag) if chosen.bag else []
    over = {item.ref: item for item in after if item.number in touched and left_over(item)}
    notes, waiting, owed = _notes(status, steps, short)
    if over:
        old = [f"{ref} {many(left_over(item), item.as_found.text)}" for ref, item in over.items()]
        notes.append(f"Old pieces left over: {'; '.join(old)} (stores scrap {min(steps)})")
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
            "still_to_do_before": owed,
            "left_over": list(over),
            "left_in_bag": still,
        },
    )


def _fit_all(
    writer: Writer,
    status: Status,
    items: Sequence[Item],
    quantity: int | None,
    machine: int,
    *,
    anyway: bool,
) -> "_Fitted":
    """Return what a refit of these comes to; nothing is written yet."""
    spares = [piece.item for piece in status.pieces.values() if not piece.item.step.number]
    stock = writer.stock([item.number for item in (*items, *spares)])
    done = _Fitted()
    for item in items:
        piece = status.pieces[item.number]
        _fit(writer, stock, piece, quantity, spares if anyway else (), machine, done)
    done.kept = not anyway and _kept(items, spares)
    return done


def _refuse(
    status: Status,
    steps: Iterable[int],
    done: "_Fitted",
    machine: int,
    what: str,
    *,
    anyway: bool,
    as_it_came: bool,
) -> None:
    """Refuse what is not ready for a reason of its own."""
    moves, short = done.moves, done.short
    if short and (not anyway or not moves):
        rest = "; fit what is there with --anyway" if moves else ""
        if done.kept:
            rest = "; what is loose is for a step that goes on first: take it with --anyway"
        raise Refused(f"short of {', '.join(short)}{rest}")
    unseen = _unseen(status, moves)
    if unseen and not as_it_came:
        raise Refused(
            f"nobody has looked over {', '.join(unseen)}: 'stores inspect {what} serviceable' "
            "first; or as they came off, with --as-it-came"
        )
    snags = _shut_in(status, steps, moves, machine)
    if snags and not anyway:
        raise Refused(f"first {'; '.join(snags)}; or shut it in all the same with --anyway")


def _unseen(status: Status, moves: Sequence[Movement]) -> list[str]:
    """Say which pieces that go on still want inspecting: what is not known to be good is not taken
    for good."""
    counts: dict[int, int] = {}
    for move in moves:
        if move.source.condition is Condition.AS_REMOVED and status.pieces[move.item].uninspected:
            counts[move.item] = counts.get(move.item, 0) + move.quantity
    items = {number: status.pieces[number].item for number in counts}
    return [
        f"{many(count, items[number].as_found.text)} ({items[number].ref})"
        for number, count in counts.items()
    ]


def _kept(items: Sequence[Item], spares: Sequence[Item]) -> bool:
    """Return whether loose pieces would serve that are given out to other steps."""
    return any(
        serves(spare.as_found.text, item.as_specified.text)
        for spare in spares
        if spare.in_hand(*spare.spare_conditions)
        for item in items
        if item.to_fit > item.usable
    )


def _shut_in(
    status: Status, steps: Iterable[int], moves: Sequence[Movement], machine: int
) -> list[str]:
    """Return the snags to clear that this refit would shut in: those of steps that it completes."""
    going = {
        number: sum(m.quantity for m in moves if m.item == number and m.target.place == machine)
        for number in status.pieces
    }
    return [
        blocker.said
        for number in steps
        if all(going[piece.item.number] >= piece.to_fit for piece in status.steps[number].pieces)
        for blocker in status.steps[number].own
        if blocker.kind is BlockerKind.CLEAR
    ]


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
    kept: bool = False
    """Whether loose pieces would serve that are given out to other steps."""
    tight: dict[int, int] = field(default_factory=dict)


def _fit(
    writer: Writer,
    stock: Stock,
    piece: PieceStatus,
    quantity: int | None,
    spares: Sequence[Item],
    machine: int,
    done: _Fitted,
) -> None:
    """Put pieces of one item on the machine: its own first, then the loose ones given out to it,
    then any of ``spares`` that serve."""
    item = piece.item
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
    rest = [(spare, asked) for spare in spares if serves(spare.as_found.text, text)]
    drawn = _draw(writer, stock, item, asked - fitted, (*piece.loose, *rest), machine)
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


def _draw(
    writer: Writer,
    stock: Stock,
    item: Item,
    missing: int,
    loose: Iterable[tuple[Item, int]],
    machine: int,
) -> list[Movement]:
    """Let loose pieces, at most so many of each, take the place of what is missing."""
    moves: list[Movement] = []
    for spare, most in loose:
        free = from_hand(stock, spare, None, spare.spare_conditions) if missing > 0 else []
        count = min(sum(some for _, some in free), missing, most)
        if count <= 0:
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
    status: Status, steps: Mapping[int, Step], short: Sequence[str]
) -> tuple[list[str], list[int], list[str]]:
    """Return the notes on what is short and on what should have gone on first, the steps that are
    not back, and what the steps right under these still owe."""
    notes = [f"STILL SHORT: {text}" for text in short]
    behind = {first for number in steps for first in status.steps[number].behind} - set(steps)
    waiting = [each.step for number, each in status.steps.items() if number in behind]
    if waiting:
        listed = ", ".join(f"{step.number} {step.part}" for step in waiting[:4])
        notes.append(f"Goes on before, and is not back yet: step {listed}")
    owed = list(dict.fromkeys(one.said for number in steps for one in status.steps[number].before))
    if owed:
        notes.append(f"Still to do on what goes on before: {'; '.join(owed)}")
    return notes, sorted(behind), owed
