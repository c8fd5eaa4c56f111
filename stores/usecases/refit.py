"""Refitting: pieces go back on the machine; what is short is said before a spanner is lifted.

A step at which something was done that is no piece (`job`) is ticked off with the step: "fill the
oil" is done when its step is refitted. What is still on the machine is not fitted by it.

What is only finger-tight is neither ticked nor signed for, on paper, on the screen or by `--by`.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from stores.errors import BadValue, Hint, NotFound, Refused
from stores.model.items import Item, Job, Step, serves
from stores.model.ledger import ActKind, Condition, Movement, PlaceKind, Spot, Stock, record
from stores.planning.assembling import HowTight, Role
from stores.planning.sharing import Promise, Shares, promises_of
from stores.planning.status import (
    Blocker,
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
from stores.text import beside, clean, counted, today
from stores.usecases.assembling import read_applied, write_tightened
from stores.usecases.common import count_of, from_hand, moves_to, select
from stores.usecases.context import Ask, Context, Reply
from stores.usecases.drawing import Drawn, NotDrawn, what_to_draw
from stores.usecases.rebuild import status_on

__all__ = [
    "FittedItem",
    "ItemInBag",
    "JobDone",
    "Left",
    "OpenSnag",
    "Pieces",
    "Refit",
    "RefitStep",
    "Refitted",
    "StuckPieces",
    "refit",
]


@dataclass(frozen=True, slots=True)
class Refit(Ask):
    """Pieces of a step, a bag or one item went back on the machine.

    ``quantity`` is how many, of one item. ``anyway`` fits what is there, though something is short,
    with loose pieces that are given out to another step; and though a snag is open that it shuts
    in, or pieces are mixed up with others. ``as_it_came`` fits pieces too that nobody has looked
    over since they came off. What has a thread was left ``finger_tight``, or tightened with
    ``torque``: ``24 N m oiled``. ``by`` is who fitted it: signs for the step, once it is all on.
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
class StuckPieces:
    """So many pieces of an item that are still on the machine, and why."""

    item: str
    quantity: int
    text: str
    how: str


@dataclass(frozen=True, slots=True)
class JobDone:
    """What was done at a step, undone again; ``undo`` says how, empty where that was not said."""

    step: int
    done: str
    undo: str


@dataclass(frozen=True, slots=True)
class ItemInBag:
    """So many pieces of one condition that a bag still holds."""

    item: str
    quantity: int
    text: str
    condition: Condition


@dataclass(frozen=True, slots=True)
class OpenSnag:
    """A snag still open on ``step``; ``shut_in`` if a step was completed with it or over it."""

    snag: int
    step: int
    text: str
    shut_in: bool


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
    under it. ``snags`` of these steps are still open. ``left_over`` are old pieces without a
    place, ``left_in_bag`` what ``bag`` still holds. ``job`` was ticked off with its step, None
    where there was nothing of the kind; ``stuck`` pieces are still on the machine; ``mixed`` went
    on though they are mixed up with others. What a step takes of the stock's consumables is
    ``drawn`` once it is all on, or ``not_drawn``; ``hazards`` are the usual cautions of these.
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
    still_to_do_before: tuple[Blocker, ...]
    snags: tuple[OpenSnag, ...]
    left_over: tuple[Pieces, ...]
    mixed: tuple[Pieces, ...]
    bag: str
    left_in_bag: tuple[ItemInBag, ...]
    job: JobDone | None = None
    stuck: tuple[StuckPieces, ...] = ()
    drawn: tuple[Drawn, ...] = ()
    not_drawn: tuple[NotDrawn, ...] = ()
    hazards: tuple[str, ...] = ()


def refit(context: Context, ask: Refit) -> Refitted:
    """Return what went back on the machine.

    New pieces are taken first, then inspected ones, then those as removed; loose spares of the
    same specification fill what is short.

    Raises:
        Refused: the step is not ready for a reason of its own (`status`): something is short or
            still on the machine or mixed up, or a snag is open that it would shut in, unless
            ``anyway`` is set; pieces that nobody has looked over, unless ``as_it_came`` is set or
            they came off for access only; a torque for several things.
        NotFound: the machine is kept for parts, and the step is not wanted back.
        BadValue, NotationError: a count or a torque that cannot be read.
    """
    quantity = count_of(ask.quantity)
    left = _left(ask)
    if ask.by and ask.finger_tight:
        raise Refused("nobody signs for finger-tight")
    by = clean(ask.by, "the name", most=80, empty=True)
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what, jobs=True)
        on = chosen.machine
        if any(item.step.number == 0 for item in chosen.items):
            raise Refused("loose pieces have no joint")
        if any(item.for_parts for item in chosen.items):
            raise NotFound("for parts", machine=on.name, hint=Hint("want_back", machine=on.name))
        items = chosen.picked(quantity)
        job = chosen.job if chosen.job is not None and not chosen.job.done else None
        if left is not None:
            _one_torque(left, items)
        status = status_on(writer.connection, on.number)
        place = writer.place_of_machine(PlaceKind.MACHINE, on.number).number
        fitting = _fit_all(writer, status, items, quantity, place, anyway=ask.anyway)
        moves = fitting.moves
        if not moves and not fitting.short and job is None:
            raise Refused("all back already", what=ask.what)
        steps = {item.step.number: item.step for item in items}
        if chosen.job is not None:
            steps.setdefault(chosen.job.step.number, chosen.job.step)
        stuck = _in_the_way(items, quantity)
        if stuck and not ask.anyway:
            raise Refused(
                "still on the machine",
                items=stuck,
                fits=bool(moves),
                hint=Hint("left on", what=stuck[0].item),
            )
        _refuse(status, steps, fitting, place, ask, job=job)
        count = sum(m.quantity for m in moves if m.target.place == place)
        completed = [
            number
            for number in _completed(status, steps, moves, place)
            if job is not None or (its := status.steps[number].job) is None or its.done
        ]
        draws = what_to_draw(
            writer, status, on.name, completed,
            [each.item for each in status.pieces.values() if not each.item.step.number],
        )  # fmt: skip
        moves = [*moves, *draws.moves]
        name = ", ".join(f"step {number} {step.part}" for number, step in steps.items())
        done = ["undone" + (f", {job.reverse}" if job.reverse else "")] if job else []
        fitted = [f"{counted(count)} refitted"] if count or not job else []
        act = writer.begin(ActKind.REFIT, f"{'; '.join((*fitted, *done))}: {name}", at=context.at)
        if job is not None:
            _tick_job(writer, act, on, job)
        writer.move(act, record(writer.stock_for(moves), ActKind.REFIT, moves))
        _note_drawn(writer, act, on, items, fitting.drawn)
        draws.write(writer, act, on.number, (context.at or today().isoformat())[:10])
        if left is not None:
            _leave(writer, act, items, left, fitting.tight)
        signed = _sign(writer, act, on, steps, by) if by else ()
        after = [
            item
            for step in steps
            for item in items_of_step(writer.connection, on.number, step, empty=True)
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
            dict.fromkeys(one for number in steps for one in status.steps[number].before)
        ),
        snags=_open_snags(status, steps, moves, place),
        left_over=tuple(
            Pieces(item.ref, left_over(item), item.as_found.text)
            for item in after
            if item.number in touched and left_over(item)
        ),
        mixed=tuple(fitting.mixed),
        bag=chosen.bag,
        left_in_bag=_left_in(chosen.bag, held),
        job=JobDone(job.step.number, job.step.part, job.reverse) if job else None,
        stuck=_in_the_way(after, None),
        drawn=tuple(draws.drawn),
        not_drawn=tuple(draws.not_drawn),
        hazards=tuple(draws.hazards),
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
    loose = [
        piece.item
        for piece in status.pieces.values()
        if not piece.item.step.number and not piece.item.unit
    ]
    stock = writer.stock([item.number for item in (*items, *loose)])
    shares = status.shares
    # What is given out to no step may go on this one: it may be wanted before its own are back.
    spares = [
        (
            spare,
            spare.in_hand(*spare.spare_conditions)
            if anyway
            else shares.left.get(spare.number, 0) - shares.kept.get(spare.number, 0),
        )
        for spare in loose
    ]
    done = _Fitting()
    for item in items:
        piece = status.pieces[item.number]
        _fit(writer, stock, piece, quantity, spares, machine, done)
    done.kept = () if anyway else _kept(items, loose, shares)
    return done


def _in_the_way(items: Sequence[Item], quantity: int | None) -> tuple[StuckPieces, ...]:
    """Return the pieces that are still on where so many of these items are to be fitted."""
    return tuple(
        StuckPieces(
            item.ref,
            item.stuck,
            item.as_found.text,
            " and ".join(
                dict.fromkeys(one.how for one in item.still_on if one.how and not one.broken)
            ),
        )
        for item in items
        if item.stuck and item.to_fit and (quantity is None or quantity > item.to_fit - item.stuck)
    )


def _tick_job(writer: Writer, act: int, on: Machine, job: Job) -> None:
    from stores.storage.strip import JobRow, open_jobs

    row = step_row(writer.connection, on.number, job.step.number)
    if row is None:
        raise AssertionError("a job's step stands")
    for each in open_jobs(writer.connection, row):
        writer.append(JobRow(act_id=act, step_id=each, done=1))


def _refuse(
    status: Status,
    steps: Iterable[int],
    fitting: "_Fitting",
    machine: int,
    ask: Refit,
    *,
    job: Job | None,
) -> None:
    """Refuse what is not ready for a reason of its own."""
    moves, short = fitting.moves, fitting.short
    if short and (not ask.anyway or not (moves or job)):
        raise Refused(
            "short of pieces", items=tuple(short), fits=bool(moves), spoken_for=fitting.kept,
            coming=tuple(fitting.coming),
        )  # fmt: skip
    if fitting.mixed and not ask.anyway:
        doubtful = next(iter(fitting.mixed_in))
        raise Refused("mixed up", items=tuple(fitting.mixed), hint=Hint("mixed", number=doubtful))
    unseen = _unseen(status, moves)
    if unseen and not ask.as_it_came:
        raise Refused(
            "not looked over",
            items=unseen,
            hint=Hint("inspect", what=ask.what, verdict="serviceable"),
        )
    completed = [
        number
        for number in steps
        if (open_job := status.steps[number].job) is None or open_job.done or job is not None
    ]
    snags = _shut_in(status, completed, moves, machine)
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


def _kept(items: Sequence[Item], spares: Sequence[Item], shares: Shares) -> tuple[Promise, ...]:
    """Return who gets the loose pieces that would serve here: other steps, or whom they are kept
    for."""
    promised = promises_of(shares)
    return tuple(
        promise
        for spare in spares
        if spare.number in promised and spare.in_hand(*spare.spare_conditions)
        if any(
            serves(spare.as_found.text, item.as_specified.text)
            for item in items
            if item.to_fit > item.usable
        )
        for promise in promised[spare.number]
        if all(promise.item != item.ref or promise.machine != item.step.machine for item in items)
    )


def _shut_in(
    status: Status, steps: Iterable[int], moves: Sequence[Movement], machine: int
) -> list[Blocker]:
    """Return the snags to clear that this refit would shut in: those of steps that it completes,
    and of what lies right under these."""
    completed = _completed(status, steps, moves, machine)
    return [
        blocker
        for number in completed
        for blocker in status.steps[number].blockers
        if blocker.kind is BlockerKind.CLEAR
    ]


def _completed(
    status: Status, steps: Iterable[int], moves: Sequence[Movement], machine: int
) -> list[int]:
    """Return the steps that are all on with these movements, and were not."""
    going = {
        number: sum(m.quantity for m in moves if m.item == number and m.target.place == machine)
        for number in status.pieces
    }
    return [
        number
        for number in steps
        if not status.steps[number].on
        and all(going[piece.item.number] >= piece.to_fit for piece in status.steps[number].pieces)
    ]


def _open_snags(
    status: Status, steps: Iterable[int], moves: Sequence[Movement], machine: int
) -> tuple[OpenSnag, ...]:
    """Return the snags that are still open on the steps that were worked on, or right under one
    that was completed."""
    completed = _completed(status, steps, moves, machine)
    found: dict[int, OpenSnag] = {}
    for number in steps:
        before = status.steps[number].before if number in completed else ()
        under = [one.step for one in before if one.kind is BlockerKind.CLEAR]
        for step in (number, *dict.fromkeys(under)):
            for snag in status.steps[step].snags:
                shut = OpenSnag(snag.number, step, snag.words, number in completed)
                found.setdefault(snag.number, shut)
    return tuple(found.values())


@dataclass(slots=True)
class _Fitting:
    """What a refit comes to so far: movements, what goes on, what is short, what has a thread."""

    moves: list[Movement] = field(default_factory=list)
    items: list[FittedItem] = field(default_factory=list)
    short: list[Pieces] = field(default_factory=list)
    kept: tuple[Promise, ...] = ()
    """Who else gets loose pieces that would serve."""
    coming: list[Blocker] = field(default_factory=list)
    """What of that is on order, or away at a firm."""
    tight: dict[int, int] = field(default_factory=dict)
    mixed: list[Pieces] = field(default_factory=list)
    """What of that is mixed up with others; ``mixed_in`` are the numbers of the mix-ups."""
    mixed_in: dict[int, None] = field(default_factory=dict)
    drawn: list[tuple[int, int, int]] = field(default_factory=list)
    """What came from the workshop's loose pieces: joint, loose item, how many."""


def _note_drawn(
    writer: Writer,
    act: int,
    on: Machine,
    items: Iterable[Item],
    drawn: Iterable[tuple[int, int, int]],
) -> None:
    """Write down which loose pieces went to which step, for whom they may have been reserved."""
    from stores.storage.stock import StockUseRow

    steps = {item.number: item.step.number for item in items}
    for joint, spare, count in drawn:
        writer.append(
            StockUseRow(
                act_id=act, item_id=spare, machine_id=on.number,
                step_id=step_row(writer.connection, on.number, steps[joint]), quantity=count,
            )
        )  # fmt: skip


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
        spots, doubtful = _sure_first(stock, item, fitted, item.fit_conditions)
        done.moves += moves_to(item, spots, machine)
        if doubtful:
            done.mixed.append(Pieces(item.ref, doubtful, item.as_found.text))
            done.mixed_in[item.mixup] = None
    rest = [(spare, most) for spare, most in spares if serves(spare.as_found.text, text)]
    drawn = _draw(writer, stock, item, asked - fitted, (*piece.loose, *rest), machine)
    done.moves += drawn
    done.drawn += [
        (item.number, move.item, move.quantity) for move in drawn if move.item != item.number
    ]
    fitted += sum(m.quantity for m in drawn if m.item == item.number)
    if fitted:
        done.items.append(FittedItem(item.ref, fitted, text, item.position))
        if threaded(item.as_specified):
            done.tight[item.number] = item.fitted + fitted
    if fitted < asked:
        done.short.append(Pieces(item.ref, asked - fitted, text))
        done.coming += [each for each in piece.blockers if each.kind is BlockerKind.CHASE]


def _sure_first(
    stock: Stock, item: Item, quantity: int, conditions: Sequence[Condition]
) -> tuple[list[tuple[Spot, int]], int]:
    """Return so many pieces in hand, those that are mixed up with others last; and how many of them
    are mixed up."""
    everywhere = from_hand(stock, item, None, conditions)
    mixed = {
        (held.kind, held.place, held.condition): held.mixed
        for held in item.holdings
        if held.kind.in_hand and held.mixed
    }
    if not mixed:
        return from_hand(stock, item, quantity, conditions), 0
    chosen: dict[Spot, int] = {}
    doubtful = 0
    for last in (False, True):
        for spot, count in everywhere:
            key = (stock.kinds[spot.place], stock.name_place(spot.place), spot.condition)
            there = mixed.get(key, 0) if last else count - mixed.get(key, 0)
            some = min(there, quantity - sum(chosen.values()))
            if some > 0:
                chosen[spot] = chosen.get(spot, 0) + some
                doubtful += some if last else 0
    return list(chosen.items()), doubtful


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
        names = tuple(beside(item.ref, item.as_specified.text) for item in several)
        raise Refused("a torque is of one thing", items=names, hint=Hint("tighten"))


def _sign(
    writer: Writer, act: int, on: Machine, steps: Mapping[int, Step], by: str
) -> tuple[int, ...]:
    """Let who fitted them sign for the steps that are all on by now; return these."""
    from stores.storage.strip import job_of

    signed = []
    for number in steps:
        whole = items_of_step(writer.connection, on.number, number, empty=True)
        row = step_row(writer.connection, on.number, number)
        job = job_of(writer.connection, on.number, number)
        all_on = not any(item.to_fit for item in whole) and (job is None or job.done)
        if row is not None and all_on:
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
        for spot, some in _sure_first(stock, spare, count, spare.spare_conditions)[0]:
            passing = Spot(other, spot.condition)
            drawn = Movement(spare.number, some, spot, passing)
            stock.balance.apply(drawn)
            moves += [drawn, Movement(item.number, some, passing, Spot(machine, spot.condition))]
        missing -= count
    return moves
