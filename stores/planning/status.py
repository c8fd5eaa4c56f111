"""How far a step is and what it waits for, how many pieces are to hand: worked out here alone.

Every screen, sheet, answer for a program and refusal shows what `status_of` says.

A step **waits**, is **ready**, is **on** but not finished, or is **finished**. It is ready when

* every step that goes on before it is on. It need not be finished, further down: what it owes has
  been shut in already or can be got at. But what the step right under this one still owes (to
  tighten, measure, put right, sign, clear) stands in its way, since this step would shut it in;
* nothing of it is still on the machine that has yet to come off or be left on for good;
* all its pieces are to hand: new, or inspected and serviceable. As they came off is enough only for
  a step that came off for access alone, whose pieces nobody doubted, and never for what is renewed
  or was wrong. Pieces that are mixed up with others are not to hand until they are sorted;
* no snag is open that it would shut in: of the step itself, or of its assembly where this is the
  last step of it still to go on.

It is on when every piece is, and finished when it owes nothing besides. A job ("drain the oil") is
on when somebody ticked it off.

What stands in the way of a step is its own (pieces, a snag) or lies with the step before. `refit`
refuses the first and only notes the second: at the bench one sees whether it can be got at, and
bolts are often left finger-tight until what lies above is lined up.

Pieces on order for any joint go to the step that goes on first, and so do loose pieces, over all
machines (`stores.planning.sharing`). A piece is given out once: two steps are never ready for the
same spare, and two machines never count on one piece.

`refit --anyway` takes a spare that is given out to another step. "Done" on the screen, on paper and
in `--json` is finished. `tests/usecases/test_one_status.py` compares every place that shows a
state.

A snag hangs on its own step or the last open one of its assembly (the last one, where all are on);
what hangs on none is cleared in the end.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from enum import StrEnum
from itertools import groupby
from operator import is_

from stores.handbook.cautions import SECOND_PERSON, SEIZED, cautions_for
from stores.model.items import Item, Job, Step, path_of, serves
from stores.model.ledger import Condition, PlaceKind
from stores.model.snags import Snag
from stores.planning.assembling import HowTight, Refits, Role, StepNotes, Tightened
from stores.planning.order import Arranged, Derived, Graph, Loop, Said, arranged
from stores.planning.sharing import Claimant, Shares, share_out

__all__ = [
    "OUTSIDE",
    "Awaited",
    "Blocker",
    "BlockerKind",
    "PieceStatus",
    "State",
    "Status",
    "StepStatus",
    "arranged_steps",
    "cautions_of",
    "in_order",
    "is_safety",
    "left_over",
    "status_of",
]


class State(StrEnum):
    """How far a step of the rebuild is."""

    WAITS = "waits"
    READY = "ready"
    ON = "on"
    FINISHED = "finished"


class BlockerKind(StrEnum):
    """What has to be done about a blocker: a word that goes before what it is of."""

    STEP = "refit"
    CHASE = "chase"
    BUY = "buy"
    REPAIR = "repair"
    SORT = "sort"
    INSPECT = "inspect"
    DECIDE = "decide on"
    FREE = "free"
    CLEAR = "clear"
    TIGHTEN = "tighten"
    MEASURE = "measure"
    CORRECT = "put right"
    SIGN = "get signed"


OUTSIDE = (BlockerKind.CHASE, BlockerKind.BUY)
"""What depends on somebody else; the rest a person can do at the bench."""


@dataclass(frozen=True, slots=True)
class Blocker:
    """One thing that stands in the way of a step, or that a step owes.

    ``key`` is the same for what is settled at one go: one firm's batch, one order, one item.
    ``step`` is the step it lies with: the step itself, or one that goes on before. ``text`` is what
    the pieces are, what came off in the step, what is to be measured, or the snag. ``item`` is the
    item's number, ``refs`` what it goes by (7.2), or several, and ``quantity`` how many pieces,
    where it is of pieces. ``due`` is the day promised, None where there is none; ``whom`` the firm
    or supplier. ``ordered`` pieces come from a supplier, others are back from a firm. ``why`` they
    did not come off, or with what they are mixed up.
    """

    kind: BlockerKind
    text: str
    key: str
    step: int
    whom: str = ""
    due: date | None = None
    item: int | None = None
    quantity: int = 0
    refs: tuple[str, ...] = ()
    ordered: bool = False
    why: str = ""
    snag: int | None = None


@dataclass(frozen=True, slots=True)
class Awaited:
    """Pieces that somebody has promised: of an item, or of any joint with this specification."""

    whom: str
    quantity: int
    item: int | None = None
    text: str = ""
    due: date | None = None
    ordered: bool = False

    def is_for(self, item: Item) -> bool:
        """Return whether they serve at this item."""
        if self.item is not None:
            return self.item == item.number
        return serves(self.text, item.as_specified.text)


@dataclass(frozen=True, slots=True)
class PieceStatus:
    """How many pieces of an item are where, for the rebuild. All counts are of pieces, 0 and more.

    ``to_hand`` may go on now, ``loose`` of them are spares, by the loose item they are taken from.
    ``uninspected`` are here, but nobody has said what they are worth; ``mixed`` are here, but mixed
    up with others. ``short`` are to buy: neither
    here nor coming back, less what is ``on_order``. ``left_over`` are old pieces without a place.
    ``stuck`` ones did not come off and are whole; they are not fitted.
    """

    item: Item
    to_fit: int = 0
    to_hand: int = 0
    loose: tuple[tuple[Item, int], ...] = ()
    uninspected: int = 0
    to_repair: int = 0
    undecided: int = 0
    away: int = 0
    on_order: int = 0
    short: int = 0
    left_over: int = 0
    mixed: int = 0
    finger_tight: bool = False
    blockers: tuple[Blocker, ...] = ()
    stuck: int = 0

    @property
    def spare(self) -> int:
        """How many loose pieces are handed out to it."""
        return sum(count for _, count in self.loose)

    @property
    def promised(self) -> bool:
        """Whether it has, or might have, a part in what others have promised."""
        return bool(self.short or self.on_order or self.away)

    @property
    def on(self) -> bool:
        """Whether nothing of it is left to fit."""
        return self.to_fit == 0

    @property
    def ready(self) -> bool:
        """Whether all that is left to fit is to hand."""
        return self.to_hand >= self.to_fit


@dataclass(frozen=True, slots=True)
class StepStatus:
    """How far a step is: what it waits for until it is on, what it owes once it is.

    ``work`` is what is to be done besides putting pieces on, whether they are on or not. ``job`` is
    what was done at it that is no piece, None where there is nothing of the kind.
    """

    step: Step
    state: State
    pieces: tuple[PieceStatus, ...]
    blockers: tuple[Blocker, ...] = ()
    work: tuple[Blocker, ...] = ()
    cautions: tuple[str, ...] = ()
    notes: StepNotes = field(default_factory=StepNotes)
    snags: tuple[Snag, ...] = ()
    job: Job | None = None

    @property
    def on(self) -> bool:
        """Whether every piece is on, finished or not."""
        return self.state in (State.ON, State.FINISHED)

    @property
    def owes(self) -> tuple[Blocker, ...]:
        """What is still to be done before it is finished; empty while pieces are missing."""
        return self.work if self.on else ()

    @property
    def behind(self) -> tuple[int, ...]:
        """The steps that go on before it and are not on, the nearest ones."""
        return tuple(one.step for one in self.blockers if one.kind is BlockerKind.STEP)

    @property
    def own(self) -> tuple[Blocker, ...]:
        """What stands in its way and is of the step itself: its pieces, a snag it would shut in."""
        return tuple(one for one in self.blockers if one.step == self.step.number)

    @property
    def before(self) -> tuple[Blocker, ...]:
        """What the steps right under it still owe."""
        return tuple(
            one
            for one in self.blockers
            if one.step != self.step.number and one.kind is not BlockerKind.STEP
        )


@dataclass(frozen=True, slots=True)
class Status:
    """Every step of a machine in the order of refitting, and every item of it by its number.

    ``joints`` are its own items by their reference, ``loose`` those that are of no step: of a large
    stock very many, and the same for every machine.
    """

    steps: Mapping[int, StepStatus]
    pieces: Mapping[int, PieceStatus]
    graph: Graph[int]
    derived: Derived
    loops: tuple[Loop, ...] = ()
    loose_snags: tuple[Snag, ...] = ()
    tightened: Mapping[int, Tightened] = field(default_factory=dict)
    shares: Shares = field(default_factory=Shares)
    joints: tuple[PieceStatus, ...] = ()
    loose: tuple[PieceStatus, ...] = ()

    @property
    def listed(self) -> list[PieceStatus]:
        """The items by their reference, loose ones first."""
        return [*self.loose, *self.joints]

    @property
    def snags(self) -> list[Snag]:
        """The snags that are open, by number."""
        shut_in = (snag for each in self.steps.values() for snag in each.snags)
        return sorted((*shut_in, *self.loose_snags), key=lambda snag: snag.number)

    def of(self, *states: State) -> list[StepStatus]:
        """Return the steps in these states, in order."""
        return [each for each in self.steps.values() if each.state in states]


def in_order(
    items: Iterable[Item],
    refits: Refits | None = None,
    said: Sequence[Said] = (),
    *,
    jobs: Iterable[Job] = (),
    strict: bool = False,
) -> tuple[dict[int, tuple[Step, list[Item]]], Arranged]:
    """Return the steps of a rebuild with their items, by number in the order of refitting, and how
    that order comes about. The arguments are those of `status_of`."""
    notes = refits or Refits()
    joints = sorted(
        (item for item in items if item.step.number and not item.for_parts),
        key=lambda item: (item.step.came_off, item.step.number, item.line),
    )
    members = {
        step.number: (step, list(group)) for step, group in groupby(joints, lambda item: item.step)
    }
    for job in jobs:
        members.setdefault(job.step.number, (job.step, []))
    made = arranged_steps(
        (step for step, _ in members.values()), notes.access_only, said, strict=strict
    )
    return {number: members[number] for number in made.order}, made


def arranged_steps(
    steps: Iterable[Step],
    access_only: Mapping[int, int | None],
    said: Iterable[Said] = (),
    *,
    strict: bool = False,
) -> Arranged:
    """Return how the order of refitting of a machine's steps comes about, where they are known but
    not what is of them. ``access_only`` came off for access alone, each with what it made way for.
    """
    by_number = {step.number: step for step in steps}
    came_off = sorted(by_number.values(), key=lambda step: (step.came_off, step.number))
    return arranged(tuple(came_off), tuple(said), tuple(sorted(access_only.items())), strict=strict)


def status_of(
    items: Iterable[Item],
    refits: Refits | None = None,
    said: Sequence[Said] = (),
    *,
    machine: str = "",
    shares: Shares | None = None,
    snags: Iterable[Snag] = (),
    awaited: Iterable[Awaited] = (),
    jobs: Iterable[Job] = (),
    strict: bool = False,
    ordered: tuple[dict[int, tuple[Step, list[Item]]], Arranged] | None = None,
    older: Status | None = None,
) -> Status:
    """Return how far every step of one machine is.

    Args:
        items: all of the machine, and all loose pieces. Steps of a machine that is kept for parts
            are no steps of a rebuild, but for those that are wanted back.
        refits: what is known of the steps for their refit.
        said: what a person said of the order of two steps.
        snags: the faults still to clear.
        machine: its name.
        shares: who gets which of the loose pieces, where others draw on them too.
        awaited: pieces at firms and on order, with the day promised.
        jobs: what was done at steps that is no piece.
        strict: the strip-down turned round, whatever was said.
        ordered: what `in_order` makes of these, where it was asked before.
        older: how far they were, of an earlier moment of the same record: what of it has the same
            reasons is taken over as it is, object for object.
    """
    listed = list(items)
    notes = refits or Refits()
    of_job = {job.step.number: job for job in jobs}
    members, made = ordered or in_order(listed, notes, said, jobs=of_job.values(), strict=strict)
    order, graph = made.order, made.graph
    if shares is None:
        mine = Claimant(machine, [item for _, its in members.values() for item in its])
        shares = share_out([item for item in listed if not item.step.number], [mine])
    supply = _Supply(shares, awaited, notes, older)
    access = notes.access_only
    of_step = {
        number: supply.pieces(number, members[number][1], access=number in access)
        for number in order
    }
    pieces = {piece.item.number: piece for each in of_step.values() for piece in each}
    on = {
        number
        for number in order
        if all(piece.on for piece in of_step[number])
        and (number not in of_job or of_job[number].done)
    }
    shut_in, loose_snags = _share_snags(members, order, on, snags)
    known = older.steps if older else {}
    owed: dict[int, tuple[Blocker, ...]] = {}
    nearest: dict[int, dict[int, None]] = {}
    firsts = {number: _first(members[number][0]) for number in order if number not in on}
    steps: dict[int, StepStatus] = {}
    for number in order:
        step = members[number][0]
        was, of, snagged = known.get(number), notes.of(number), shut_in[number]
        same = was is not None and was.pieces is of_step[number] and was.step == step
        cautions = was.cautions if was and same else cautions_of(step, members[number][1])
        if was and same and was.notes == of and was.snags == snagged:
            owed[number] = was.work
        else:
            owed[number] = tuple(_owed(step, of_step[number], notes, cautions, snagged))
        not_on: dict[int, None] = {}
        for first in graph.before[number]:
            not_on |= nearest[first] if first in on else {first: None}
        nearest[number] = not_on
        blockers: list[Blocker] = []
        if number not in on:
            blockers += [firsts[first] for first in not_on]
            blockers += [one for piece in of_step[number] for one in piece.blockers]
            blockers += [_clear(snag, number) for snag in snagged]
            blockers += [
                one for first in graph.before[number] if first in on for one in owed[first]
            ]
        if number in on:
            state = State.ON if owed[number] else State.FINISHED
        else:
            state = State.WAITS if blockers else State.READY
        now = StepStatus(
            step,
            state,
            of_step[number],
            tuple(dict.fromkeys(blockers)),
            owed[number],
            cautions,
            of,
            snagged,
            of_job.get(number),
        )
        steps[number] = was if was is not None and same and was == now else now
    for item in listed:
        if item.number not in pieces:
            # what was found at another machine is for that one to account for
            elsewhere = machine and not item.step.number and item.step.machine != machine
            over = 0 if elsewhere else left_over(item)
            pieces[item.number] = PieceStatus(item, left_over=over)
    if any(item.for_parts and item.step.number for item in listed):
        loose_snags = ()  # of what is not wanted back nothing is put right
    in_turn = sorted(pieces.values(), key=lambda each: (each.item.step.number, each.item.line))
    return Status(
        steps, pieces, graph, made.derived, made.loops, loose_snags, notes.tightened, shares,
        tuple(each for each in in_turn if each.item.step.number),
        tuple(each for each in in_turn if not each.item.step.number),
    )  # fmt: skip


def left_over(item: Item) -> int:
    """Return how many old pieces of an item are in hand without a place to go to.

    None of a machine that is kept for parts: they are for others. Sound spares that the workshop
    keeps have their place, and so has all of its stock.

    Of a joint: once all of it is on the machine, every old piece of it; until then it may still be
    wanted. Loose pieces have no place by nature. New ones beyond the need are spares.
    """
    if item.for_parts or item.stock or (item.step.number and item.to_fit):
        return 0
    return item.in_hand(*(_NEITHER_NEW_NOR_SOUND if item.kept else _NOT_NEW))


_NOT_NEW = tuple(each for each in Condition if each is not Condition.NEW)
_NEITHER_NEW_NOR_SOUND = tuple(each for each in _NOT_NEW if each is not Condition.SERVICEABLE)


def cautions_of(step: Step, items: Iterable[Item]) -> tuple[str, ...]:
    """Return the cautions that the words of a step call for."""
    words = [step.assembly, step.part, step.note]
    listed = list(items)
    for item in listed:
        words += [item.as_specified.text, item.written]
    made = cautions_for(" / ".join(words))
    return (*made, SEIZED) if any(item.still_on for item in listed) else made


def is_safety(cautions: Iterable[str]) -> bool:
    """Return whether these cautions are of brakes, steering or wheels: a second person checks."""
    return not SECOND_PERSON.isdisjoint(cautions)


class _Supply:
    """Loose pieces and promised ones, handed out to the items that come for them in turn."""

    def __init__(
        self,
        shares: Shares,
        awaited: Iterable[Awaited],
        notes: Refits,
        older: Status | None = None,
    ) -> None:
        self.shares = shares
        self.awaited = list(awaited)
        self.tightened = notes.tightened
        self.older = older
        # nothing but the item itself, and what others have promised, can make a difference
        self.alike = (
            older is not None
            and older.tightened == notes.tightened
            and older.shares.given == shares.given
        )

    def pieces(self, step: int, items: Sequence[Item], *, access: bool) -> tuple[PieceStatus, ...]:
        """Return how the items of a step are off, and take from the supply what they need."""
        was = self.older.steps.get(step) if self.older else None
        known = was.pieces if was and was.notes.access_only == access else ()
        if (
            self.alike
            and len(known) == len(items)
            and not any(
                piece.item is not item or piece.promised
                for piece, item in zip(known, items, strict=True)
            )
        ):
            return known
        found = []
        for at, item in enumerate(items):
            tight = self.tightened.get(item.number)
            finger = tight is not None and tight.how is HowTight.FINGER
            piece = known[at] if at < len(known) else None
            if piece is None or not self._still(piece, item, finger=finger):
                now = self.piece(item, finger=finger, access=access)
                piece = piece if piece == now else now
            found.append(piece)
        same = len(known) == len(found) and all(map(is_, known, found))
        return known if same else tuple(found)

    def _still(self, piece: PieceStatus, item: Item, *, finger: bool) -> bool:
        """Return whether an item is off as it was: neither it nor what it got is another, and it
        has no part in what others have promised."""
        return (
            piece.item is item
            and piece.finger_tight is finger
            and not piece.promised
            and (not piece.to_fit or piece.loose == self.shares.of(item))
        )

    def piece(self, item: Item, *, finger: bool, access: bool) -> PieceStatus:
        """Return how an item is off, and take from the supply what it needs."""
        to_fit = item.to_fit
        if not to_fit:
            return PieceStatus(item, left_over=left_over(item), finger_tight=finger)
        loose = self.shares.of(item)
        spare = sum(count for _, count in loose)
        good = [Condition.NEW]
        if not item.renew and not item.wrong:
            good.append(Condition.SERVICEABLE)
            if access:
                good.append(Condition.AS_REMOVED)
        seen, sure = item.in_hand(*good) + spare, item.sure(*good) + spare
        unseen = doubtless = 0
        if Condition.AS_REMOVED in item.fit_conditions and Condition.AS_REMOVED not in good:
            unseen = max(0, min(item.in_hand(Condition.AS_REMOVED), to_fit - seen))
            doubtless = item.sure(Condition.AS_REMOVED)
        mixed = max(0, min(item.usable + spare, to_fit) - sure - doubtless)
        coming = self._ordered(item, item.lacking - spare)
        on_order = sum(one.quantity for one in coming)
        made = PieceStatus(
            item,
            to_fit,
            min(to_fit, sure),
            loose,
            unseen,
            item.to_repair,
            item.undecided,
            item.away,
            on_order,
            max(0, item.lacking - spare - on_order),
            mixed=mixed,
            finger_tight=finger,
            stuck=item.stuck,
        )
        blockers = self._blockers(made, coming)
        return replace(made, blockers=tuple(blockers)) if blockers else made

    def _ordered(self, item: Item, wanted: int) -> list[Awaited]:
        """Return pieces on order for an item: its own first, then any that serve."""
        taken = []
        mine = sorted(
            (
                at
                for at, one in enumerate(self.awaited if wanted > 0 else ())
                if one.ordered and one.quantity > 0 and one.is_for(item)
            ),
            key=lambda at: (self.awaited[at].item is None, self.awaited[at].due or date.max),
        )
        for at in mine:
            one = self.awaited[at]
            count = min(wanted, one.quantity)
            if count:
                taken.append(replace(one, quantity=count))
                self.awaited[at] = replace(one, quantity=one.quantity - count)
                wanted -= count
        return taken

    def _due(self, item: Item, firm: str) -> date | None:
        """Return the day a firm promised pieces of an item for: the last, where there are several;
        None where one has no day."""
        days = [
            one.due
            for one in self.awaited
            if not one.ordered and one.whom == firm and one.item == item.number
        ]
        sure = [day for day in days if day]
        return max(sure) if sure and len(sure) == len(days) else None

    def _blockers(self, piece: PieceStatus, coming: Iterable[Awaited]) -> list[Blocker]:
        """Return what the pieces of an item wait for: to be here, whole, and inspected."""
        item, step = piece.item, piece.item.step.number
        text = item.as_specified.text
        made: list[Blocker] = []

        def add(
            kind: BlockerKind,
            count: int,
            key: str,
            text: str = item.as_found.text,
            whom: str = "",
            due: date | None = None,
            why: str = "",
            *,
            ordered: bool = False,
        ) -> None:
            number, refs = item.number, (item.ref,)
            made.append(
                Blocker(kind, text, key, step, whom, due, number, count, refs, ordered, why)
            )

        for one in coming:
            key = f"order {one.whom} {one.due}"
            add(BlockerKind.CHASE, one.quantity, key, text, one.whom, one.due, ordered=True)
        if piece.short:
            sized = any(each.isdigit() for each in text)
            key = f"buy {text}" if sized else f"buy {item.ref}"
            add(BlockerKind.BUY, piece.short, key, text)
        if piece.mixed:
            add(BlockerKind.SORT, piece.mixed, f"sort {item.mixup}", why=item.mixed_words)
        here = item.usable + piece.spare
        if here < piece.to_fit:
            for holding in item.holdings if piece.away else ():
                if holding.kind is PlaceKind.FIRM and holding.quantity > 0:
                    due = self._due(item, holding.place)
                    key = f"at {holding.place} {due}"
                    add(BlockerKind.CHASE, holding.quantity, key, text, holding.place, due)
            for kind, count in (
                (BlockerKind.REPAIR, piece.to_repair),
                (BlockerKind.DECIDE, piece.undecided),
            ):
                if count:
                    add(kind, count, f"{kind} {item.ref}")
        if piece.stuck:
            why = "; ".join(
                dict.fromkeys(one.how for one in item.still_on if one.how and not one.broken)
            )
            add(BlockerKind.FREE, piece.stuck, f"free {item.ref}", why=why)
        if piece.uninspected:
            add(BlockerKind.INSPECT, piece.uninspected, f"inspect step {step}")
        return made


def _owed(
    step: Step,
    pieces: Iterable[PieceStatus],
    notes: Refits,
    cautions: Iterable[str],
    snags: Iterable[Snag],
) -> list[Blocker]:
    """Return what is to be done on a step besides putting its pieces on."""
    number, of = step.number, notes.of(step.number)
    made: list[Blocker] = []

    if refs := tuple(piece.item.ref for piece in pieces if piece.finger_tight):
        made.append(Blocker(BlockerKind.TIGHTEN, step.part, f"tighten {number}", number, refs=refs))
    made += [
        Blocker(BlockerKind.MEASURE, point.name, f"measure {number} {point.name}", number)
        for point in of.points
        if point.found is None
    ]
    made += [
        Blocker(BlockerKind.CORRECT, point.name, f"put right {number} {point.name}", number)
        for point in of.points
        if point.within is False
    ]
    if is_safety(cautions) and not of.signed(Role.SECOND):
        made.append(Blocker(BlockerKind.SIGN, step.part, f"sign {number}", number))
    return made + [_clear(snag, number) for snag in snags]


def _clear(snag: Snag, step: int) -> Blocker:
    return Blocker(BlockerKind.CLEAR, snag.words, f"snag {snag.number}", step, snag=snag.number)


def _first(step: Step) -> Blocker:
    return Blocker(BlockerKind.STEP, step.part, f"step {step.number}", step.number)


def _share_snags(
    members: Mapping[int, tuple[Step, Sequence[Item]]],
    order: Sequence[int],
    on: set[int],
    snags: Iterable[Snag],
) -> tuple[dict[int, tuple[Snag, ...]], tuple[Snag, ...]]:
    """Return the snags of each step, and those of none.

    A snag is of the step that would shut it in: its own step, or the last one of its assembly that
    is still to go on; of the last one, where all are on. One of a side is of the steps of its side
    where there are any, and never of the other side's.
    """
    shared: dict[int, list[Snag]] = {number: [] for number in order}
    of_assembly: dict[str, list[tuple[int, int]]] = {}
    for rank, number in enumerate(order):
        of_assembly.setdefault(members[number][0].assembly, []).append((rank, number))
    loose = []
    for snag in snags:
        if snag.step in shared:
            shared[snag.step or 0].append(snag)
            continue
        near = sorted(
            each for assembly, its in of_assembly.items() if snag.is_of(assembly) for each in its
        )
        beside = {number: _side_beside(snag, *members[number]) for _, number in near}
        best = max(beside.values(), default=0)
        within = [number for number, side in beside.items() if side == best >= 0]
        waiting = [number for number in within if number not in on]
        if within:
            shared[(waiting or within)[-1]].append(snag)
        else:
            loose.append(snag)
    return {number: tuple(each) for number, each in shared.items()}, tuple(loose)


def _side_beside(snag: Snag, step: Step, items: Iterable[Item]) -> int:
    """Return how a snag's side goes with what is said of a step within the snag's assembly."""
    if not snag.side:
        return 0
    within = path_of(step.assembly)[len(path_of(snag.assembly)) :]
    return snag.side_beside(" ".join([*within, step.part, *(item.position for item in items)]))
