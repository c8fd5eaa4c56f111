"""The plan of a rebuild: every step in an order that works, as screen and sheets show it.

How far a step is and what it waits for is `status`'s to say; here it gets what is shown beside it:
sources and flags of each line, torques, tightening order, times, what to buy or chase first.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from stores.model.items import Holding, Item, Job, Step
from stores.model.ledger import Condition, PlaceKind
from stores.model.snags import Snag
from stores.planning.assembling import StepNotes
from stores.planning.order import Derived, Graph, Loop
from stores.planning.status import (
    OUTSIDE,
    Blocker,
    BlockerKind,
    PieceStatus,
    State,
    Status,
    StepStatus,
    is_safety,
)

if TYPE_CHECKING:
    from stores.handbook.tightening.order import Plan as JointPlan
    from stores.model.figures import JointHoles, MakerTorque
    from stores.planning.assembling import Applied, Tightened
    from stores.planning.tightness import Tightness

__all__ = [
    "MINUTES",
    "Chase",
    "Flag",
    "FlagKind",
    "Line",
    "Plan",
    "Planned",
    "Progress",
    "Stage",
    "access_words",
    "chase_list",
    "next_of",
    "plan",
    "progress",
    "stages",
    "total",
]

MINUTES = 30
"""What a step is taken to last where nothing is said of it: a guess, and shown as one."""


class FlagKind(StrEnum):
    """What is to be minded of a line or a step."""

    SHORT = "short"
    ON_ORDER = "on order"
    RENEW = "renew"
    OLD_FOR_NEW = "old where new goes on"
    WRONG = "wrong when found"
    OTHER_COUNT = "another count was fitted"
    IN_DOUBT = "in doubt"
    REPAIR = "to repair"
    QUARANTINE = "in quarantine"
    MIXED_UP = "mixed up"
    UNINSPECTED = "not inspected"
    OUT_OF_LIMITS = "out of limits"


@dataclass(frozen=True, slots=True)
class Flag:
    """Something to mind: so many pieces ``count``, of so many ``of`` that should be.

    ``text`` is what it is about: why it is renewed, what was found instead, what is in doubt, what
    it is mixed up with, what was measured. ``item`` is whose it is where a step says it, ``named``
    what is renewed or measured there, and ``should`` what ought to be there, or the limits.
    """

    kind: FlagKind
    count: int = 0
    of: int = 0
    text: str = ""
    item: str = ""
    named: str = ""
    should: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the checklist: an item to fit, where to take it from, and what to mind.

    ``tight`` is what is known of its torque, None for what is not tightened. ``applied`` goes in
    with it; ``left`` is how it was left on the machine, None where nothing was said.
    """

    status: PieceStatus
    flags: tuple[Flag, ...]
    sources: tuple[str, ...]
    tight: "Tightness | None" = None
    applied: "tuple[Applied, ...]" = ()
    left: "Tightened | None" = None

    @property
    def item(self) -> Item:
        """The item that it is of."""
        return self.status.item

    @property
    def done(self) -> bool:
        """Whether nothing is left to fit."""
        return self.status.on

    @property
    def finished(self) -> bool:
        """Whether it is on and tight, as far as anybody said."""
        return self.status.on and not self.status.finger_tight

    @property
    def short(self) -> int:
        """Pieces to buy for it that are not on order."""
        return self.status.short


@dataclass(frozen=True, slots=True)
class Beside:
    """What is known beside the status: the makers' torques and how each was left, by item; where
    the holes are, by step."""

    torques: "Mapping[int, MakerTorque]"
    left: "Mapping[int, Tightened]"
    holes: "Mapping[int, JointHoles]"

    @classmethod
    def of(
        cls,
        status: Status,
        torques: "Mapping[int, MakerTorque] | None",
        holes: "Mapping[int, JointHoles] | None",
    ) -> "Beside":
        """Put together what is known beside a status."""
        return cls(torques or {}, status.tightened, holes or {})

    def same_for(self, older: "Beside | None") -> "Callable[[StepStatus], bool]":
        """Return what tells whether it is for a step as it was."""
        if older is None:
            return lambda _: False
        items = _differing(self.torques, older.torques) | _differing(self.left, older.left)
        steps = _differing(self.holes, older.holes)
        return lambda each: (
            each.step.number not in steps
            and (not items or items.isdisjoint(piece.item.number for piece in each.pieces))
        )


def _differing(one: Mapping[int, object], other: Mapping[int, object]) -> set[int]:
    return {key for key in one.keys() | other.keys() if one.get(key) != other.get(key)}


@dataclass(frozen=True, slots=True)
class Stage:
    """One step of the rebuild: the strip-down step of the same number, turned round."""

    status: StepStatus
    lines: tuple[Line, ...]
    joint: "JointPlan | None" = None
    """How its bolts are tightened, where the holes are recorded."""
    snags: tuple[Snag, ...] = ()
    """Faults to clear before this step shuts them in."""
    minutes: int = MINUTES
    """How long it takes, in the workshop."""
    goes_in: "tuple[Applied, ...]" = ()
    """What goes in with the step and with its items."""

    @property
    def step(self) -> Step:
        """The step as it was stripped."""
        return self.status.step

    @property
    def job(self) -> Job | None:
        """What was done at it that is no piece, to be undone again."""
        return self.status.job

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to beware of."""
        return self.status.cautions

    @property
    def notes(self) -> StepNotes:
        """What goes in, what is measured, who signed."""
        return self.status.notes

    @property
    def safety(self) -> bool:
        """Whether a second person checks it: brakes, steering, wheels."""
        return is_safety(self.cautions)

    @property
    def bags(self) -> tuple[str, ...]:
        """The codes of the bags that hold what is still to be fitted, each once."""
        open_lines = (line for line in self.lines if not line.done)
        return tuple(dict.fromkeys(code for line in open_lines for code in line.item.bags))

    @property
    def applied(self) -> "tuple[Applied, ...]":
        """What goes in with the step as a whole."""
        return tuple(each for each in self.goes_in if not each.line)

    @property
    def finished(self) -> bool:
        """Whether every piece is on and nothing is owed."""
        return self.status.state is State.FINISHED

    @property
    def done(self) -> bool:
        """Whether every piece is on, finished or not."""
        return self.status.on

    @property
    def held_up(self) -> "HeldUp":
        """What it waits for or owes, pieces of a sort added up."""
        return _held_up((self,))

    @property
    def holes_doubt(self) -> str:
        """Say so where the holes on record are not as many as what is tightened."""
        bolts = sum(line.item.wanted for line in self.lines if line.tight)
        holes = len(self.joint.joint.holes) if self.joint else bolts
        return "" if holes == bolts else f"{holes} holes, but {bolts} to tighten: look again"


def stages(
    status: Status,
    torques: "Mapping[int, MakerTorque] | None" = None,
    holes: "Mapping[int, JointHoles] | None" = None,
    *,
    minutes: int | None = None,
    older: "Plan | None" = None,
) -> list[Stage]:
    """Return the steps in the order of refitting, with what is shown of each.

    Args:
        status: of one machine.
        torques: the makers' figures by item.
        holes: where those of a joint are, by step number.
        minutes: what a step lasts where nothing is said of it; None: `MINUTES`.
        older: the plan of an earlier moment, in the same units: what of it has the same reasons is
            taken over as it is.
    """
    # a strip-down step needs none of these
    from stores.planning.needs import with_amounts
    from stores.planning.tightness import tightness

    tightened = status.tightened
    known = older.by_number if older else {}
    same = Beside.of(status, torques, holes).same_for(older.beside if older else None)
    made = []
    for number, each in status.steps.items():
        takes = each.notes.minutes or minutes or MINUTES
        was = known[number].stage if number in known else None
        if was and was.status is each and was.minutes == takes and same(each):
            made.append(was)
            continue
        there = (holes or {}).get(number)
        safety = is_safety(each.cautions)
        goes_in = with_amounts(each)
        lines = tuple(
            Line(
                piece,
                tuple(_flags(piece)),
                tuple(_sources(piece)),
                tightness(piece.item, (torques or {}).get(piece.item.number), safety=safety),
                tuple(one for one in goes_in if one.line == piece.item.line),
                tightened.get(piece.item.number),
            )
            for piece in each.pieces
        )
        joint = _joint(there, lines) if there else None
        made.append(Stage(each, lines, joint, each.snags, takes, goes_in))
    return made


def next_of(stages: Iterable[Stage]) -> Stage | None:
    """Return the step to work on next: the first that is on and not finished, else the first that
    is ready, else the first that waits; None where all are finished."""
    first: dict[State, Stage] = {}
    for each in stages:
        first.setdefault(each.status.state, each)
    return first.get(State.ON) or first.get(State.READY) or first.get(State.WAITS)


def access_words(stage: Stage) -> str:
    """Say that a step came off only to make way, and for which; empty where it did not."""
    if not stage.notes.access_only:
        return ""
    to = f" to step {stage.notes.access_to}" if stage.notes.access_to else ""
    return f"Taken off for access only{to}."


def _joint(holes: "JointHoles", lines: Iterable[Line]) -> "JointPlan":
    """Plan a joint with the maker's torque of its step, where there is only one."""
    from stores.planning.figures import joint_plan

    figures = {
        float(f"{line.tight.maker.nominal_nm:.3g}")  # 2.5 kgf m is set as 24.5 N m, not 24.517
        for line in lines
        if line.tight and line.tight.maker
    }
    return joint_plan(holes, figures.pop() if len(figures) == 1 else None)


def _flags(piece: PieceStatus) -> list[Flag]:
    """Return what to mind of a line before it goes on."""
    item = piece.item
    flags: list[Flag] = []
    if piece.short:
        flags.append(Flag(FlagKind.SHORT, piece.short))
    if piece.on_order:
        flags.append(Flag(FlagKind.ON_ORDER, piece.on_order))
    if item.renew:
        flags.append(Flag(FlagKind.RENEW, text=item.renew))
    if item.wrong:
        flags.append(Flag(FlagKind.WRONG, text=item.as_found.text))
    if item.found != item.wanted and not item.wrong:
        flags.append(Flag(FlagKind.OTHER_COUNT, item.found, item.wanted))
    flags += [Flag(FlagKind.IN_DOUBT, text=each) for each in item.in_doubt]
    if item.to_repair:
        flags.append(Flag(FlagKind.REPAIR, item.to_repair))
    if item.undecided:
        flags.append(Flag(FlagKind.QUARANTINE, item.undecided))
    if item.mixup and not piece.on:
        flags.append(Flag(FlagKind.MIXED_UP, item.mixed, text=item.mixed_words))
    if piece.uninspected:
        flags.append(Flag(FlagKind.UNINSPECTED, piece.uninspected))
    return flags


def _sources(piece: PieceStatus) -> list[str]:
    """Return where the pieces of a line are."""
    item = piece.item
    fit = item.fit_conditions
    usable = [
        holding
        for holding in item.holdings
        if holding.kind.in_hand and holding.condition in fit and holding.quantity > 0
    ]
    usable.sort(key=lambda holding: fit.index(holding.condition))
    lines = [f"{holding.quantity} {_condition(holding)}{holding.where}" for holding in usable]
    lines += [
        f"{holding.quantity} {holding.where}"
        for holding in item.holdings
        if holding.kind is PlaceKind.FIRM and holding.quantity > 0
    ]
    lines += [f"{count} loose as {loose.ref}" for loose, count in piece.loose]
    return lines + [f"{holding.quantity} {holding.where}" for holding in item.still_on]


def _condition(holding: Holding) -> str:
    """Say the condition where it matters; "as removed" is flagged by itself."""
    return "" if holding.condition is Condition.AS_REMOVED else f"{holding.condition} "


@dataclass(frozen=True, slots=True)
class Planned:
    """A step in the plan.

    ``unlocks`` are the steps that only it holds back. ``flags`` say what is amiss whether or not
    anything is waited for; ``bare`` are the items that take a torque and have no figure for it.
    """

    stage: Stage
    unlocks: tuple[int, ...] = ()
    flags: tuple[Flag, ...] = ()
    bare: tuple[str, ...] = ()

    @property
    def minutes(self) -> int:
        """How long it takes, in the workshop."""
        return self.stage.minutes

    @property
    def guessed(self) -> bool:
        """Whether nobody said how long it takes."""
        return self.stage.notes.minutes is None

    @property
    def state(self) -> State:
        """How far it is."""
        return self.stage.status.state

    @property
    def behind(self) -> tuple[int, ...]:
        """The steps that go on before it and are not on."""
        return self.stage.status.behind

    @property
    def matters(self) -> tuple[Blocker, ...]:
        """What it waits for besides other steps."""
        return tuple(one for one in self.stage.status.blockers if one.kind is not BlockerKind.STEP)

    @property
    def at_hand(self) -> bool:
        """Whether only the person's own work stands before it: to inspect, to clear, to sign."""
        return (
            self.state is State.WAITS
            and not self.behind
            and all(matter.kind not in OUTSIDE for matter in self.matters)
        )

    @property
    def number(self) -> int:
        """The step's number."""
        return self.stage.step.number

    @property
    def name(self) -> str:
        """Say which step: ``Step 7 Engine: cover``."""
        step = self.stage.step
        return f"Step {step.number}  {step.assembly}: {step.part}"


@dataclass(frozen=True, slots=True)
class Plan:
    """Every step of a machine, in an order that keeps every link."""

    steps: tuple[Planned, ...]
    status: Status
    by_number: Mapping[int, Planned] = field(default_factory=dict)
    beside: Beside | None = field(default=None, compare=False, repr=False)

    @property
    def graph(self) -> Graph[int]:
        """The steps and their links, without a ring."""
        return self.status.graph

    @property
    def derived(self) -> Derived:
        """The links with their reasons."""
        return self.status.derived

    @property
    def loops(self) -> tuple[Loop, ...]:
        """The rings that were opened."""
        return self.status.loops

    @property
    def loose_snags(self) -> tuple[Snag, ...]:
        """The snags that are of no step."""
        return self.status.loose_snags

    def of(self, *states: State) -> list[Planned]:
        """Return the steps in these states, in order."""
        return [each for each in self.steps if each.state in states]

    @property
    def left(self) -> list[Planned]:
        """The steps that are not on yet, in order: the work that takes time."""
        return self.of(State.WAITS, State.READY)

    @property
    def ranks(self) -> dict[int, int]:
        """Where each step stands in the order."""
        return {each.number: at for at, each in enumerate(self.steps)}


def plan(
    status: Status,
    torques: "Mapping[int, MakerTorque] | None" = None,
    holes: "Mapping[int, JointHoles] | None" = None,
    *,
    minutes: int | None = None,
    older: Plan | None = None,
) -> Plan:
    """Return the plan of the rebuild of one machine.

    Args:
        status: of the machine.
        torques: the makers' figures by item.
        holes: where those of a joint are, by step number.
        minutes: what a step lasts where nothing is said of it; None: `MINUTES`.
        older: the plan of an earlier moment, as of `stages`.
    """
    on = {number for number, each in status.steps.items() if each.on}
    known = older.by_number if older else {}
    made: dict[int, Planned] = {}
    for stage in stages(status, torques, holes, minutes=minutes, older=older):
        number = stage.step.number
        unlocks = () if number in on else tuple(status.graph.unlocks(number, on))
        was = known.get(number)
        if was is not None and was.stage is stage:
            made[number] = was if was.unlocks == unlocks else replace(was, unlocks=unlocks)
            continue
        made[number] = Planned(stage, unlocks, tuple(_amiss(stage)), _bare(stage))
    return Plan(tuple(made.values()), status, made, Beside.of(status, torques, holes))


def _amiss(stage: Stage) -> list[Flag]:
    """Return what is amiss with a step, whatever it waits for."""
    flags = []
    for line in stage.lines:
        item = line.item
        old = 0
        if item.renew:
            old = item.in_hand(Condition.SERVICEABLE) + item.count(
                PlaceKind.MACHINE,
                conditions=[each for each in Condition if each is not Condition.NEW],
            )
        if old:
            flags.append(
                Flag(FlagKind.OLD_FOR_NEW, old, text=item.renew, item=item.ref,
                     named=item.as_specified.text)
            )  # fmt: skip
        if item.wrong:
            flags.append(
                Flag(FlagKind.WRONG, text=item.as_found.text, item=item.ref,
                     should=item.as_specified.text)
            )  # fmt: skip
        elif item.found != item.wanted:
            flags.append(Flag(FlagKind.OTHER_COUNT, item.found, item.wanted, item=item.ref))
    flags += [
        Flag(FlagKind.OUT_OF_LIMITS, text=point.measured, named=point.name, should=point.limits)
        for point in stage.notes.points
        if point.within is False
    ]
    return flags


def _bare(stage: Stage) -> tuple[str, ...]:
    """Return the items that take a torque and have no figure for it, until they are tight."""
    return tuple(
        line.item.ref
        for line in stage.lines
        if line.tight and line.tight.takes_torque and not line.tight.known and line.left is None
    )


_LOOKED_AT = 200
"""Of this many shortest sets of matters the best is taken: plans of workshops have far fewer."""


@dataclass(frozen=True, slots=True)
class Chase:
    """Blockers to settle together, and the steps that can then be done, one after another."""

    matters: tuple[Blocker, ...]
    steps: tuple[int, ...]


def chase_list(plan: Plan, most: int | None = None) -> list[Chase]:
    """Give what to settle, what lets most steps go ahead for each matter first.

    Only what depends on somebody else is on it. A step counts once nothing is left to buy or chase
    for it or for any step before it: the rest can be done at the bench. At each turn the set with
    the most steps for each matter is taken (the greedy rule for covering); of equals the shorter
    set, then the one whose step comes first. Settling the whole list frees every step.
    """
    bits: dict[str, int] = {}
    matters: list[list[Blocker]] = []
    needs: dict[int, int] = {}
    for each in plan.steps:
        own = 0
        if not each.stage.status.on:
            for matter in each.matters:
                if matter.kind not in OUTSIDE:
                    continue
                at = bits.setdefault(matter.key, len(bits))
                if at == len(matters):
                    matters.append([])
                matters[at].append(matter)
                own |= 1 << at
        for first in plan.graph.before[each.number]:
            own |= needs.get(first, 0)
        needs[each.number] = own
    waiting = {
        each.number: needs[each.number]
        for each in plan.steps
        if not each.stage.status.on and needs[each.number]
    }
    had = 0
    found: list[Chase] = []
    while waiting and (most is None or len(found) < most):
        chosen = _best(list(waiting.values()), had)
        had |= chosen
        freed = tuple(number for number, need in waiting.items() if not need & ~had)
        for number in freed:
            del waiting[number]
        said = [one for at, group in enumerate(matters) if chosen >> at & 1 for one in group]
        found.append(Chase(tuple(dict.fromkeys(said)), freed))
    return found


def _best(needs: Sequence[int], had: int) -> int:
    """Choose the set of matters, as bits, that frees the most steps for each matter."""
    missing = Counter(need & ~had for need in needs)
    sets = sorted(missing, key=int.bit_count)[:_LOOKED_AT]
    best, value = sets[0], 0.0
    for each in sets:
        freed = sum(steps for need, steps in missing.items() if not need & ~each)
        worth = freed / each.bit_count()
        if worth > value:
            best, value = each, worth
    return best


@dataclass(frozen=True, slots=True)
class HeldUp:
    """What steps wait for or owe, pieces of a sort added up.

    ``short`` pieces are to buy, ``chased`` are with a firm or, ``ordered``, with a supplier, and
    ``pieces`` are here and want something done. ``first`` are the steps that go on before, ``owed``
    is by step what is to be done at it, and ``snags`` are to be cleared.
    """

    short: int = 0
    chased: tuple["Chased", ...] = ()
    pieces: tuple[tuple[BlockerKind, int], ...] = ()
    first: tuple[int, ...] = ()
    owed: tuple[tuple[int, tuple[Blocker, ...]], ...] = ()
    snags: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Chased:
    """So many pieces that somebody has to send."""

    whom: str
    quantity: int
    ordered: bool


@dataclass(frozen=True, slots=True)
class Progress:
    """One assembly: how many of its steps are finished, on, ready, or wait, and for what.

    ``open`` steps have every piece on, but are still to be tightened, measured, signed or cleared.
    ``fitted`` and ``to_fit`` count pieces, ``minutes`` is the work left on steps not on yet.
    """

    assembly: str
    steps: int
    done: int
    open: int
    ready: int
    waits: int
    fitted: int = 0
    to_fit: int = 0
    minutes: int = 0
    held_up: HeldUp = HeldUp()

    @property
    def finished(self) -> bool:
        """Whether nothing of it is left to do."""
        return self.done == self.steps


def progress(stages: Iterable[Stage], depth: int = 0) -> list[Progress]:
    """Return the progress of each assembly, in the order in which it is first met.

    ``depth`` above 0 adds up what lies deeper in the tree: 1 is the groups right on the machine.
    """
    groups: dict[str, list[Stage]] = {}
    for each in stages:
        names = [name.strip() for name in each.step.assembly.split("/") if name.strip()]
        groups.setdefault(" / ".join(names[: depth or None]), []).append(each)
    return [_progress(name, members) for name, members in groups.items()]


def total(rows: Iterable[Progress]) -> Progress:
    """Return the sum of the rows."""
    listed = list(rows)
    counts = ("steps", "done", "open", "ready", "waits", "fitted", "to_fit", "minutes")
    return Progress("All", *(sum(getattr(row, name) for row in listed) for name in counts))


def _progress(name: str, members: Sequence[Stage]) -> Progress:
    states = [each.status.state for each in members]
    pieces = [line.status for each in members for line in each.lines]
    to_fit = sum(piece.to_fit for piece in pieces)
    return Progress(
        name,
        len(members),
        states.count(State.FINISHED),
        states.count(State.ON),
        states.count(State.READY),
        states.count(State.WAITS),
        sum(piece.item.wanted for piece in pieces) - to_fit,
        to_fit,
        sum(each.minutes for each in members if not each.status.on),
        _held_up(members),
    )


_OF_STEPS = (
    BlockerKind.TIGHTEN,
    BlockerKind.MEASURE,
    BlockerKind.CORRECT,
    BlockerKind.SIGN,
    BlockerKind.CLEAR,
)
"""What is to be done at a step besides putting its pieces on."""
_HERE = (
    BlockerKind.REPAIR,
    BlockerKind.DECIDE,
    BlockerKind.SORT,
    BlockerKind.INSPECT,
    BlockerKind.FREE,
)
"""What is to be done with pieces that are in the workshop."""


def _held_up(members: Sequence[Stage]) -> HeldUp:
    """Return what the steps of an assembly wait for or owe."""
    here = {each.step.number for each in members}
    blockers = dict.fromkeys(one for each in members for one in each.status.blockers)
    chased: dict[tuple[str, bool], int] = {}
    for one in blockers:
        if one.kind is BlockerKind.CHASE:
            key = (one.whom, one.ordered)
            chased[key] = chased.get(key, 0) + one.quantity
    pieces = {kind: sum(one.quantity for one in blockers if one.kind is kind) for kind in _HERE}
    owing = {each.step.number: each.status.owes for each in members if each.status.owes}
    for one in blockers:
        if one.step not in here and one.kind in _OF_STEPS:
            owing[one.step] = (*owing.get(one.step, ()), one)
    first = {one.step for one in blockers if one.kind is BlockerKind.STEP} - here
    return HeldUp(
        sum(one.quantity for one in blockers if one.kind is BlockerKind.BUY),
        tuple(Chased(whom, count, ordered) for (whom, ordered), count in chased.items()),
        tuple((kind, count) for kind, count in pieces.items() if count),
        tuple(sorted(first, reverse=True)),
        tuple(owing.items()),
        tuple(one.snag for one in blockers if one.snag is not None and not _on(one, members)),
    )


def _on(blocker: Blocker, members: Iterable[Stage]) -> bool:
    """Return whether a blocker lies with a step that is on, so that it is named as owed."""
    waiting = {each.step.number for each in members if not each.status.on}
    return blocker.step not in waiting
