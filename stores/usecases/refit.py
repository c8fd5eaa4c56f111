"""Refitting: pieces go back on the machine; what is short is said before a spanner is lifted.

What is only finger-tight is neither ticked nor signed for, on paper, on the screen or by `--by`.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from stores.errors import BadValue, Hint, NotFound, Refused
from stores.model.items import Item, Step, serves
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot, Stock, record
from stores.planning.assembling import HowTight, Role
from stores.planning.status import (
    BlockerKind,
    PieceStatus,
    Status,
    cautions_of,
    left_over,
)
from stores.planning.tightness import threaded
from stores.storage import Writer
from stores.storage.assembling import SignatureRow
from stores.storage.figures import step_row
from stores.storage.items import items_of_bag, items_of_step
from stores.storage.machines import Machine
from stores.text import clean, counted
from stores.usecases.assembling import read_applied, write_tightened
from stores.usecases.common import count_of, from_hand, moves_to, select
from stores.usecases.context import Ask, Context, Reply
from stores.usecases.rebuild import status_on

__all__ = ["FittedItem", "ItemInBag", "Left", "Pieces", "Refit", "RefitStep", "Refitted", "refit"]


@dataclass(frozen=True, slots=True)
class Refit(Ask):
    """Pieces of a step, a bag or one item went back on the machine.

    ``quantity`` is how many, of one item. ``anyway`` fits what is there, though something is short,
    with loose pieces that are given out to another step; and though a snag is open that it shuts
    in. ``as_it_came`` fits pieces too that nobody has looked over since they came off. What has a
    thread was left ``finger_tight``, or tightened with ``torque``: ``24 N m oiled``. ``by`` is who
    fitted it: signs for the step, once it is all on.
    """

    what: str
    quantity: str | int | None = None
    anyway: bool = False
    as_it_came: bool = False
    torque: str = ""
    finger_tight: bool = False
    by: str = ""


@dataclass(frozen=True, slots=True)
class RefitStep:
    """A step that was worked on, and what to beware of at it."""

    step: int
    part: str
    hazard: str = ""
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Pieces:
    """So many pieces of an item."""

    item: str
    quantity: int
    text: str


@dataclass(frozen=True, slots=True)
class FittedItem:
    """So many pieces of an item that went on, and where they sit."""

    item: str
    quantity: int
    text: str
    position: str


@dataclass(frozen=True, slots=True)
class ItemInBag:
    """So many pieces of one condition that a bag still holds."""

    item: str
    quantity: int
    text: str
    condition: Condition


@dataclass(frozen=True, slots=True)
class Left:
    """How what was refitted was left: finger-tight, or tightened, with the torque if measured."""

    how: HowTight
    torque_nm: float | None = None
    state: str = ""
    written: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Refitted(Reply):
    """What went on.

    ``signed`` are the steps that ``by`` signed for. ``short`` is still to fit and not to hand;
    ``not_back_yet`` should have gone on before, ``still_to_do_before`` is owed by what lies right
    under it. ``left_over`` are old pieces without a place, ``left_in_bag`` what ``bag`` still
    holds.
    """

    machine: str
    other_machines: bool
    steps: tuple[RefitStep, ...]
    pieces: int
    items: tuple[FittedItem, ...]
    left: Left | None
    by: str
    signed: tuple[int, ...]
    short: tuple[Pieces, ...]
    not_back_yet: tuple[RefitStep, ...]
    still_to_do_before: tuple[str, ...]
    left_over: tuple[Pieces, ...]
    bag: str
    left_in_bag: tuple[ItemInBag, ...]


def refit(context: Context, ask: Refit) -> Refitted:
    """Return what went back on the machine.

    New pieces are taken first, then inspected ones, then those as removed; loose spares of the
    same specification fill what is short.

    Raises:
        Refused: the step is not ready for a reason of its own (`status`): something is short, or a
            snag is open that it would shut in, unless ``anyway`` is set; pieces
            that nobody has looked over, unless ``as_it_came`` is set or they came off for access
            only; a torque for several things.
        NotFound: the machine is kept for parts, and the step is not wanted back.
        BadValue, NotationError: a count or a torque that cannot be read.
    """
    quantity = count_of(ask.quantity)
    left = _left(ask)
    if ask.by and ask.finger_tight:
        raise Refused("nobody signs for finger-tight")
    by = clean(ask.by, "the name", most=80, empty=True)
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what)
        on = chosen.machine
        if any(item.step.number == 0 for item in chosen.items):
            raise Refused("loose pieces have no joint")
        if any(item.for_parts for item in chosen.items):
            raise NotFound("for parts", machine=on.name, hint=Hint("want_back", machine=on.name))
        items = chosen.picked(quantity)
        if left is not None:
            _one_torque(left, items)
        status = status_on(writer.connection, on.number)
        place = writer.place(PlaceKind.MACHINE, on.name).number
        fitting = _fit_all(writer, status, items, quantity, place, anyway=ask.anyway)
        moves = fitting.moves
        if not moves and not fitting.short:
            raise Refused("all back already", what=ask.what)
        steps = {item.step.number: item.step for item in items}
        _refuse(status, steps, fitting, place, ask)
        count = sum(m.quantity for m in moves if m.target.place == place)
        name = ", ".join(f"step {number} {step.part}" for number, step in steps.items())
        act = writer.begin(ActKind.REFIT, f"{counted(count)} refitted: {name}", at=context.at)
        writer.move(act, record(writer.stock_for(moves), ActKind.REFIT, moves))
        if left is not None:
            _leave(writer, act, items, left, fitting.tight)
        signed = _sign(writer, act, on, steps, by) if by else ()
        after = [
            item for step in steps for item in items_of_step(writer.connection, on.number, step)
        ]
        held = items_of_bag(writer.connection, chosen.bag) if chosen.bag else []
    touched = {item.number for item in items}
    behind = {first for number in steps for first in status.steps[number].behind} - set(steps)
    return Refitted(
        act=act,
        trial=ask.trial,
        machine=on.name,
        other_machines=chosen.several,
        steps=tuple(
            RefitStep(
                number,
                step.part,
                step.hazard,
                tuple(cautions_of(step, [item for item in items if item.step == step])),
            )
            for number, step in steps.items()
        ),
        pieces=count,
        items=tuple(fitting.items),
        left=left,
        by=by,
        signed=signed,
        short=tuple(fitting.short),
        not_back_yet=tuple(
            RefitStep(number, each.step.part)
            for number, each in status.steps.items()
            if number in behind
        ),
        still_to_do_before=tuple(
            dict.fromkeys(one.said for number in steps for one in status.steps[number].before)
        ),
        left_over=tuple(
            Pieces(item.ref, left_over(item), item.as_found.text)
            for item in after
            if item.number in touched and left_over(item)
        ),
        bag=chosen.bag,
        left_in_bag=_left_in(chosen.bag, held),
    )


def _left(ask: Refit) -> Left | None:
    """Return how what has a thread was left, None where nothing was said."""
    if ask.torque and ask.finger_tight:
        raise BadValue("torque and finger-tight")
    if ask.torque:
        newton_metres, written, state = read_applied(ask.torque)
        return Left(HowTight.TIGHT, newton_metres, state, written)
    return Left(HowTight.FINGER) if ask.finger_tight else None


def _fit_all(
    writer: Writer,
    status: Status,
    items: Sequence[Item],
    quantity: int | None,
    machine: int,
    *,
    anyway: bool,
) -> "_Fitting":
    """Return what a refit of these comes to; nothing is written yet."""
    loose = [piece.item for piece in status.pieces.values() if not piece.item.step.number]
    stock = writer.stock([item.number for item in (*items, *loose)])
    given: dict[int, int] = {}
    for piece in status.pieces.values():
        for spare, count in piece.loose:
            given[spare.number] = given.get(spare.number, 0) + count
    # What is given out to no step may go on this one: it may be wanted before its own are back.
    spares = [
        (
            spare,
            spare.in_hand(*spare.spare_conditions) - (0 if anyway else given.get(spare.number, 0)),
        )
        for spare in loose
    ]
    given_out = [spare for spare in loose if given.get(spare.number)]
    done = _Fitting()
    for item in items:
        piece = status.pieces[item.number]
        _fit(writer, stock, piece, quantity, spares, machine, done)
    done.kept = not anyway and _kept(items, given_out)
    return done


def _refuse(
    status: Status, steps: Iterable[int], fitting: "_Fitting", machine: int, ask: Refit
) -> None:
    """Refuse what is not ready for a reason of its own."""
    moves, short = fitting.moves, fitting.short
    if short and (not ask.anyway or not moves):
        raise Refused(
            "short of pieces", items=tuple(short), fits=bool(moves), spoken_for=fitting.kept
        )
    unseen = _unseen(status, moves)
    if unseen and not ask.as_it_came:
        raise Refused(
            "not looked over",
            items=unseen,
            hint=Hint("inspect", what=ask.what, verdict="serviceable"),
        )
    snags = _shut_in(status, steps, moves, machine)
    if snags and not ask.anyway:
        raise Refused("a snag would be shut in", matters=tuple(snags))


def _unseen(status: Status, moves: Sequence[Movement]) -> tuple[Pieces, ...]:
    """Return the pieces that go on and still want inspecting: what is not known to be good is not
    taken for good."""
    counts: dict[int, int] = {}
    for move in moves:
        if move.source.condition is Condition.AS_REMOVED and status.pieces[move.item].uninspected:
            counts[move.item] = counts.get(move.item, 0) + move.quantity
    items = {number: status.pieces[number].item for number in counts}
    return tuple(
        Pieces(items[number].ref, count, items[number].as_found.text)
        for number, count in counts.items()
    )


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


@dataclass(slots=True)
class _Fitting:
    """What a refit comes to so far: movements, what goes on, what is short, what has a thread."""

    moves: list[Movement] = field(default_factory=list)
    items: list[FittedItem] = field(default_factory=list)
    short: list[Pieces] = field(default_factory=list)
    kept: bool = False
    """Whether loose pieces would serve that are given out to other steps."""
    tight: dict[int, int] = field(default_factory=dict)


def _fit(
    writer: Writer,
    stock: Stock,
    piece: PieceStatus,
    quantity: int | None,
    spares: Sequence[tuple[Item, int]],
    machine: int,
    done: _Fitting,
) -> None:
    """Put pieces of one item on the machine: its own first, then the loose ones given out to it,
    then of ``spares`` that serve at most so many."""
    item = piece.item
    asked = item.to_fit if quantity is None else quantity
    text = item.as_specified.text
    if asked > item.to_fit:
        raise Refused(
            "more than is missing", asked=asked, item=item.ref, text=text, missing=item.to_fit
        )
    fitted = min(asked, item.usable)
    if fitted:
        spots = from_hand(stock, item, fitted, item.fit_conditions)
        done.moves += moves_to(item, spots, machine)
    rest = [(spare, most) for spare, most in spares if serves(spare.as_found.text, text)]
    drawn = _draw(writer, stock, item, asked - fitted, (*piece.loose, *rest), machine)
    done.moves += drawn
    fitted += sum(m.quantity for m in drawn if m.item == item.number)
    if fitted:
        done.items.append(FittedItem(item.ref, fitted, text, item.position))
        if threaded(item.as_specified):
            done.tight[item.number] = item.fitted + fitted
    if fitted < asked:
        done.short.append(Pieces(item.ref, asked - fitted, text))


def _leave(
    writer: Writer, act: int, items: Sequence[Item], left: Left, tight: Mapping[int, int]
) -> None:
    """Write down how what was fitted was left."""
    touched = [item for item in items if item.number in tight]
    if not touched:
        raise Refused("nothing fitted has a thread")
    write_tightened(writer, act, touched, left.how, left.torque_nm, left.state, left.written, tight)


def _one_torque(left: Left, items: Sequence[Item]) -> None:
    """Refuse a torque for several things: each has its own."""
    several = [item for item in items if threaded(item.as_specified)]
    if left.torque_nm is not None and len(several) > 1:
        names = tuple(f"{item.ref} {item.as_specified.text}" for item in several)
        raise Refused("a torque is of one thing", items=names, hint=Hint("tighten"))


def _sign(
    writer: Writer, act: int, on: Machine, steps: Mapping[int, Step], by: str
) -> tuple[int, ...]:
    """Let who fitted them sign for the steps that are all on by now; return these."""
    signed = []
    for number in steps:
        whole = items_of_step(writer.connection, on.number, number)
        row = step_row(writer.connection, on.number, number)
        if row is not None and not any(item.to_fit for item in whole):
            writer.append(SignatureRow(act_id=act, step_id=row, role=Role.FITTED.value, name=by))
            signed.append(number)
    return tuple(signed)


def _left_in(bag: str, items: Sequence[Item]) -> tuple[ItemInBag, ...]:
    """Return what a bag still holds."""
    return tuple(
        ItemInBag(item.ref, holding.quantity, item.named(holding.condition), holding.condition)
        for item in items
        for holding in item.holdings
        if holding.kind is PlaceKind.BAG and holding.place == bag and holding.quantity > 0
    )


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
