"""The plan of a rebuild: every step in an order that works, what each waits for, what is amiss."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from enum import StrEnum

from stores.model.items import Item
from stores.model.ledger import Condition, PlaceKind
from stores.model.snags import Snag
from stores.planning.assembling import HowTight, Refits, Role, StepNotes
from stores.planning.links import Derived, Said, derive
from stores.planning.precedence import Graph, Loop, order_of
from stores.planning.rebuild import Line, Stage, is_safety, share_snags
from stores.text import many

__all__ = [
    "MINUTES",
    "OUTSIDE",
    "Awaited",
    "Matter",
    "Plan",
    "Planned",
    "State",
    "Want",
    "plan",
]

MINUTES = 30
"""What a step is taken to last where nothing is said of it: a guess, and shown as one."""


class State(StrEnum):
    """How far a step of the rebuild is."""

    DONE = "done"
    READY = "ready"
    WAITS = "waits"


class Want(StrEnum):
    """What has to be done about a matter before its step can be."""

    CHASE = "chase"
    BUY = "buy"
    REPAIR = "repair"
    INSPECT = "inspect"
    DECIDE = "decide on"
    CLEAR = "clear"
    MEASURE = "measure"
    TIGHTEN = "tighten"
    SIGN = "get signed"


OUTSIDE = (Want.CHASE, Want.BUY)
"""What hangs on somebody else; the rest a person can do at the bench."""


@dataclass(frozen=True, slots=True)
class Matter:
    """One thing that a step waits for, besides other steps.

    ``key`` is the same for what is settled at one go: one firm's batch, one order, one item.
    ``due`` is the day promised, None where there is none; ``whom`` the firm or supplier.
    """

    want: Want
    words: str
    key: str
    whom: str = ""
    due: date | None = None

    @property
    def said(self) -> str:
        """Say it: ``chase 12 pieces at Vale Plating, promised 2026-12-03``."""
        when = f", promised {self.due.isoformat()}" if self.due else ""
        return f"{self.want} {self.words}{when}"


@dataclass(frozen=True, slots=True)
class Awaited:
    """Pieces that somebody has promised: of an item, or of any joint with this specification."""

    whom: str
    quantity: int
    item: int | None = None
    text: str = ""
    due: date | None = None
    ordered: bool = False


@dataclass(frozen=True, slots=True)
class Planned:
    """A step in the plan.

    ``behind`` are the steps not done that go before it, ``unlocks`` those that only it holds back.
    ``flags`` say what is amiss whether or not anything is waited for; ``bare`` are the items that
    are tightened and have no torque figure.
    """

    stage: Stage
    state: State
    matters: tuple[Matter, ...] = ()
    behind: tuple[int, ...] = ()
    unlocks: tuple[int, ...] = ()
    flags: tuple[str, ...] = ()
    minutes: int = MINUTES
    guessed: bool = True
    bare: tuple[str, ...] = ()

    @property
    def at_hand(self) -> bool:
        """Whether only the person's own work stands before it: to inspect, to clear, to sign."""
        return (
            self.state is State.WAITS
            and not self.behind
            and all(matter.want not in OUTSIDE for matter in self.matters)
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
    graph: Graph[int]
    derived: Derived
    loops: tuple[Loop, ...] = ()
    loose_snags: tuple[Snag, ...] = ()
    by_number: Mapping[int, Planned] = field(default_factory=dict)

    def of(self, *states: State) -> list[Planned]:
        """Give the steps in these states, in order."""
        return [each for each in self.steps if each.state in states]

    @property
    def ranks(self) -> dict[int, int]:
        """Where each step stands in the order."""
        return {each.number: at for at, each in enumerate(self.steps)}


def plan(
    stages: Sequence[Stage],
    refits: Refits | None = None,
    said: Sequence[Said] = (),
    *,
    snags: Sequence[Snag] = (),
    awaited: Sequence[Awaited] = (),
    strict: bool = False,
    minutes: int | None = None,
) -> Plan:
    """Plan the rebuild of one machine.

    Args:
        stages: its steps, as `rebuild.stages` gives them.
        refits: what is known of the steps for their refit.
        said: what a person said of the order of two steps.
        snags: the faults still to clear.
        awaited: pieces at firms and on order, with the day promised.
        strict: the strip-down turned round, whatever was said.
        minutes: what a step lasts where nothing is said of it.
    """
    notes = refits or Refits()
    derived = derive([stage.step for stage in stages], said, access=notes.made_way, strict=strict)
    order, graph, loops = order_of((stage.step.number for stage in stages), derived.links)
    by_number = {stage.step.number: stage for stage in stages}
    done = {number for number, stage in by_number.items() if stage.done}
    hung, loose = share_snags([by_number[number] for number in order], snags)
    faults = {each.step.number: list(map(_to_clear, each.snags)) for each in hung if each.snags}
    still_open = {number: _left_open(by_number[number], notes) for number in done}
    coming = _Coming(awaited)
    made: dict[int, Planned] = {}
    for number in order:
        stage = by_number[number]
        of = notes.of(number)
        flags, bare = _flags(stage, of), _bare(stage, notes)
        if number in done:
            flags += [f"still to {matter.said}" for matter in still_open[number]]
            flags += [f"still to {matter.said}" for matter in faults.get(number, ())]
            made[number] = Planned(stage, State.DONE, flags=tuple(flags), bare=bare)
            continue
        matters = [
            *(matter for line in stage.lines for matter in _matters(line, coming)),
            *faults.get(number, ()),
            *(matter for first in graph.before[number] for matter in still_open.get(first, ())),
        ]
        behind = tuple(first for first in graph.before[number] if first not in done)
        made[number] = Planned(
            stage,
            State.WAITS if matters or behind else State.READY,
            tuple(dict.fromkeys(matters)),
            behind,
            tuple(graph.unlocks(number, done)),
            tuple(flags),
            of.minutes or minutes or MINUTES,
            of.minutes is None,
            bare,
        )
    steps = tuple(made[number] for number in order)
    return Plan(steps, graph, derived, tuple(loops), loose, made)


class _Coming:
    """Promised pieces, handed out to the lines that need them, the first step first."""

    def __init__(self, awaited: Sequence[Awaited]) -> None:
        self.left = list(awaited)

    def at(self, item: Item, firm: str) -> date | None:
        """Give the day a firm promised pieces of an item for: the last, where there are several."""
        days = [
            one.due
            for one in self.left
            if not one.ordered and one.whom == firm and one.item == item.number
        ]
        known = [day for day in days if day]
        return max(known) if known and len(known) == len(days) else None

    def take(self, item: Item, wanted: int) -> list[Awaited]:
        """Take pieces on order for an item: its own first, then any of its specification."""
        taken = []
        text = item.as_specified.text
        mine = sorted(
            (at for at, one in enumerate(self.left) if one.ordered and one.quantity > 0
             and (one.item == item.number or (one.item is None and one.text == text))),
            key=lambda at: (self.left[at].item is None, self.left[at].due or date.max),
        )  # fmt: skip
        for at in mine:
            count = min(wanted, self.left[at].quantity)
            if count:
                taken.append(replace(self.left[at], quantity=count))
                self.left[at] = replace(self.left[at], quantity=self.left[at].quantity - count)
                wanted -= count
        return taken


def _matters(line: Line, coming: _Coming) -> list[Matter]:
    """Give what one line of a step waits for: to be here, whole, and looked at."""
    item = line.item
    if line.done:
        return []
    text = item.as_specified.text
    found = []
    short = line.short
    for one in coming.take(item, short):
        short -= one.quantity
        words = f"{many(one.quantity, text)} on order from {one.whom}"
        found.append(Matter(Want.CHASE, words, f"order {one.whom} {one.due}", one.whom, one.due))
    if short:
        key = f"buy {text}" if any(each.isdigit() for each in text) else f"buy {item.ref}"
        found.append(Matter(Want.BUY, f"{many(short, text)} for {item.ref}", key))
    if item.away and item.to_fit > item.usable + line.spare:
        for holding in item.holdings:
            if holding.kind is PlaceKind.FIRM and holding.quantity > 0:
                words = f"{many(holding.quantity, text)} of {item.ref} at {holding.place}"
                due = coming.at(item, holding.place)
                found.append(
                    Matter(Want.CHASE, words, f"at {holding.place} {due}", holding.place, due)
                )
    if item.to_fit > item.usable + line.spare:
        for want, count in ((Want.REPAIR, item.to_repair), (Want.DECIDE, item.undecided)):
            if count:
                found.append(
                    Matter(want, f"{many(count, item.as_found.text)} ({item.ref})",
                           f"{want} {item.ref}")
                )  # fmt: skip
    seen = item.in_hand(Condition.NEW, Condition.SERVICEABLE) + line.spare
    unseen = min(item.in_hand(Condition.AS_REMOVED), item.to_fit - seen)
    if unseen > 0 and not item.renew and not item.wrong:
        found.append(
            Matter(Want.INSPECT, f"{many(unseen, item.as_found.text)} ({item.ref})",
                   f"inspect step {item.step.number}")
        )  # fmt: skip
    return found


def _left_open(stage: Stage, notes: Refits) -> list[Matter]:
    """Give what is still to be done on a step that is back on: nothing may shut it in before."""
    number = stage.step.number
    of = notes.of(number)
    found = []
    for point in of.points:
        if point.found is None:
            found.append(
                Matter(Want.MEASURE, f"the {point.name} of step {number}",
                       f"measure {number} {point.name}")
            )  # fmt: skip
    loose = [
        line.item.ref
        for line in stage.lines
        if (left := notes.tightened.get(line.item.number)) and left.how is HowTight.FINGER
    ]
    if loose:
        words = f"{', '.join(loose)}, only finger-tight"
        found.append(Matter(Want.TIGHTEN, words, f"tighten {number}"))
    if is_safety(stage.cautions) and not of.signed(Role.SECOND):
        words = f"step {number} {stage.step.part} by a second person"
        found.append(Matter(Want.SIGN, words, f"sign {number}"))
    return found


def _flags(stage: Stage, of: StepNotes) -> list[str]:
    """Say what is amiss with a step, whatever it waits for."""
    flags = []
    for line in stage.lines:
        item = line.item
        old = item.in_hand(Condition.SERVICEABLE) + item.count(
            PlaceKind.MACHINE,
            conditions=[each for each in Condition if each is not Condition.NEW],
        )
        if item.renew and old:
            flags.append(
                f"{item.ref} {item.as_specified.text} is renewed ({item.renew}), but {old} old "
                f"{'is' if old == 1 else 'are'} marked for use or fitted"
            )
        if item.wrong:
            flags.append(
                f"{item.ref}: found {item.as_found.text}, should be {item.as_specified.text}"
            )
        elif item.found != item.wanted:
            flags.append(f"{item.ref}: {item.found} found, {item.wanted} belong here")
    flags += [
        f"{point.name}: {point.measured} measured, limits {point.limits}"
        for point in of.points
        if point.within is False
    ]
    return flags


def _bare(stage: Stage, notes: Refits) -> tuple[str, ...]:
    """Give the items that are tightened and have no torque figure, until they are tight."""
    return tuple(
        line.item.ref
        for line in stage.lines
        if line.tight
        and not line.tight.figure
        and not line.tight.general
        and line.item.number not in notes.tightened
    )


def _to_clear(snag: Snag) -> Matter:
    return Matter(Want.CLEAR, f"snag {snag.number}: {snag.words}", f"snag {snag.number}")
