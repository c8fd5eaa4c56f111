"""The rebuild: what a person says of its order and times, and what the record makes of it all."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from stores import units
from stores.errors import BadValue, Hint, NotFound, Refused
from stores.model.items import Description, Item, Job, Step, lies_in, serves
from stores.model.ledger import ActKind
from stores.model.snags import Snag
from stores.model.work_units import chosen
from stores.planning.assembling import Refits
from stores.planning.order import Arranged, LinkReason, Said
from stores.planning.rebuild import (
    Chase,
    Flag,
    Line,
    Plan,
    Planned,
    Progress,
    Stage,
    chase_list,
    plan,
    progress,
    total,
)
from stores.planning.sharing import Claimant, Shares, share_out
from stores.planning.shopping import longer
from stores.planning.status import (
    Blocker,
    BlockerKind,
    PieceStatus,
    State,
    Status,
    in_order,
    status_of,
)
from stores.storage import Writer
from stores.storage.assembling import read_refits
from stores.storage.carried import before, keep
from stores.storage.figures import machine_torques, read_joints, read_sumps, step_row
from stores.storage.items import (
    items_of_machine,
    loose_descriptions,
    loose_serving,
)
from stores.storage.machines import Machine, machine_named, machine_numbers, read_machines
from stores.storage.moment import answered, answered_each
from stores.storage.orders import awaited_from_suppliers
from stores.storage.outwork import awaited_from_firms
from stores.storage.rebuild import (
    RefitLinkRow,
    StepChoiceRow,
    fitted_by_day,
    stated_precedence,
)
from stores.storage.settings import SettingRow, read_settings
from stores.storage.snags import open_snags
from stores.text import clean
from stores.text import today as today_is
from stores.usecases.common import (
    NOTE_LENGTH,
    PiecesAt,
    Selection,
    count_of,
    pieces_of,
    select,
    step_of,
)
from stores.usecases.context import Ask, Context, Reply

__all__ = [
    "AccessMarked",
    "Ahead",
    "Bars",
    "Checklist",
    "Going",
    "HoldUp",
    "LetFree",
    "ListSteps",
    "ListedLine",
    "ListedStep",
    "LookAhead",
    "MarkAccess",
    "OrderRing",
    "OrderSaid",
    "PlannedStep",
    "PutBefore",
    "Rebuild",
    "RingLink",
    "StepBar",
    "StepCounts",
    "Summary",
    "TakeTime",
    "TimeTaken",
    "TorqueOfLine",
    "WorkToday",
    "ahead",
    "ahead_of",
    "bars",
    "checklist",
    "counts_of",
    "going",
    "in_hours",
    "let_free",
    "listed_steps",
    "mark_access",
    "put_before",
    "read_minutes",
    "rebuild_of",
    "rings_of",
    "short_of",
    "stages_of",
    "standing_step",
    "status_of_lacking",
    "status_on",
    "statuses_on",
    "summary",
    "summary_of",
    "take_time",
    "today_of",
    "work_today",
]

if TYPE_CHECKING:
    from stores.handbook.torque.maker import MakerFigure
    from stores.planning.assembling import Applied, Signature
    from stores.planning.figures import Fill
    from stores.planning.tightness import Tightness
    from stores.planning.timing import Outlook, Pace

_MOST = 60 * 24 * 60
"""Minutes: what takes longer is no step."""


@dataclass(frozen=True, slots=True)
class Rebuild:
    """A machine and its plan. ``hours_a_week`` is None where nobody said."""

    machine: Machine
    plan: Plan
    hours_a_week: float | None = None
    minutes: int | None = None
    facts: "dict[int, tuple[Planned, PlannedStep]]" = field(
        default_factory=dict, compare=False, repr=False
    )
    """Facts of steps that were told before, each with the planned step that they are of."""

    def told(self, each: Planned) -> "PlannedStep":
        """Return a planned step's facts; what was told of the same one is told again."""
        known = self.facts.get(each.number)
        if known is None or known[0] is not each:
            known = self.facts[each.number] = each, PlannedStep.of(each)
        return known[1]


def rebuild_of(connection: Connection, machine: str | None, *, strict: bool = False) -> Rebuild:
    """Return the plan of the rebuild of a machine.

    Raises:
        NotFound: no such machine, or nothing was stripped yet.
    """
    on = machine_named(connection, machine)
    return answered(
        connection,
        "plan",
        # some words of a plan have figures in the units that a person works in
        (on, strict, chosen()),
        lambda: _rebuild_of(connection, on, strict=strict),
    )


def _rebuild_of(connection: Connection, on: Machine, *, strict: bool) -> Rebuild:
    status = status_on(connection, on.number, strict=strict)
    if not status.steps and on.for_parts:
        raise NotFound("for parts", machine=on.name, hint=Hint("want_back", machine=on.name))
    if not status.steps:
        raise NotFound("nothing stripped", machine=on.name, hint=Hint("strip"))
    settings = read_settings(connection, on.number)
    minutes = int(settings["minutes a step"]) if "minutes a step" in settings else None
    key = (on.number, strict, chosen())
    made = plan(
        status,
        machine_torques(connection, on.number, status.pieces),
        read_joints(connection, on.number),
        minutes=minutes,
        older=before(connection, "plan", key),
    )
    keep(connection, "plan", key, made)
    facts: dict[int, tuple[Planned, PlannedStep]] = before(connection, "facts", key) or {}
    keep(connection, "facts", key, facts)
    return Rebuild(
        on,
        made,
        int(settings["minutes a week"]) / 60 if "minutes a week" in settings else None,
        minutes,
        facts,
    )


def status_on(
    connection: Connection,
    machine: int,
    *,
    strict: bool = False,
) -> Status:
    """Return how far every step of a machine is."""
    return statuses_on(connection, [machine], strict=strict)[machine]


def statuses_on(
    connection: Connection,
    machines: Sequence[int],
    *,
    strict: bool = False,
) -> dict[int, Status]:
    """Return how far every step of these machines is, by their numbers. The workshop's loose pieces
    are shared out once, over all machines."""
    return answered_each(
        connection,
        "strict status" if strict else "status",
        machines,
        lambda missing: _statuses_on(connection, missing, strict=strict),
    )


def _statuses_on(
    connection: Connection, machines: Sequence[int], *, strict: bool
) -> dict[int, Status]:
    known = {each.number: each.name for each in read_machines(connection)}
    members = {number: _Members.read(connection, number) for number in machines}
    drawing = _Drawing.of(connection, known, members)
    stock = drawing.stock(connection)
    shares = drawing.shares(connection, stock, strict=strict)
    firms = awaited_from_firms(connection)
    made = {}
    for number, of in members.items():
        key = (number, strict)
        made[number] = status_of(
            [*of.items, *stock],
            of.refits,
            of.said,
            machine=known[number],
            shares=shares,
            snags=open_snags(connection, number),
            awaited=[*firms, *awaited_from_suppliers(connection, number)],
            jobs=of.jobs,
            strict=strict,
            ordered=of.in_order(strict=strict),
            older=before(connection, "status", key),
        )
        keep(connection, "status", key, made[number])
    return made


@dataclass(frozen=True, slots=True)
class _Drawing:
    """The machines' joints that pieces are still to go on, and the descriptions of what is loose,
    as text and thread. Of a large stock what serves nowhere need not be read."""

    machines: Mapping[int, str]
    members: "Mapping[int, _Members]"
    specs: Mapping[str, str]
    loose: Mapping[int, tuple[str, str]]

    @classmethod
    def of(
        cls,
        connection: Connection,
        machines: Mapping[int, str],
        read: "Mapping[int, _Members]",
    ) -> "_Drawing":
        """Read what draws on the stock. ``read`` are the machines that were read already."""
        loose = loose_descriptions(connection)
        members = {
            number: read.get(number) or _Members.read(connection, number, verdicts=False)
            for number in (machines if loose else read)
        }
        specs = {
            item.as_specified.text: item.as_specified.thread
            for of in members.values()
            for item in of.items
            if item.to_fit
        }
        return cls(machines, members, specs, loose)

    def stock(self, connection: Connection) -> list[Item]:
        """Read the loose items that matter: all that serve at some joint, or stand in for what
        does; what has no thread; and what is not the workshop's."""
        if not self.loose:
            return []
        instead = {
            step.text: thread
            for spec, thread in self.specs.items()
            if (step := longer(spec)) is not None
        }
        plain = {number for number, (_, thread) in self.loose.items() if not thread}
        serving = plain | self._serving({**instead, **self.specs})
        return loose_serving(connection, serving)

    def _serving(self, specs: Mapping[str, str]) -> set[int]:
        """Return the descriptions of loose items that serve where one of these is specified."""
        by_thread: dict[str, list[str]] = {}
        for spec, thread in specs.items():
            by_thread.setdefault(thread, []).append(spec)
        return {
            number
            for number, (text, thread) in self.loose.items()
            if any(
                serves(text, spec)
                for spec in (*by_thread.get(thread, ()), *(by_thread.get("", ()) if thread else ()))
            )
        }

    def shares(
        self, connection: Connection, stock: Sequence[Item], *, strict: bool = False
    ) -> Shares | None:
        """Return who gets which loose pieces, None where there are none to give."""
        if not any(item.sure(*item.spare_conditions) for item in stock if not item.unit):
            return None
        from stores.storage.stock import read_reserved

        claimants = [
            Claimant(name, self.members[number].joints_in_order(strict=strict))
            for number, name in self.machines.items()
            if any(item.lacking for item in self.members[number].items)
        ]
        key = (strict, tuple(self.machines))
        made = share_out(
            stock, claimants, read_reserved(connection), before(connection, "shares", key)
        )
        keep(connection, "shares", key, made)
        return made


@dataclass(frozen=True, slots=True)
class _Members:
    """A machine's joints and jobs, and what is known of their order."""

    items: Sequence[Item]
    refits: Refits
    said: Sequence[Said]
    jobs: Sequence[Job]
    orders: dict[bool, "tuple[dict[int, tuple[Step, list[Item]]], Arranged]"] = field(
        default_factory=dict, compare=False, repr=False
    )

    @classmethod
    def read(
        cls,
        connection: Connection,
        machine: int,
        *,
        verdicts: bool = True,
    ) -> "_Members":
        from stores.storage.strip import read_jobs

        return cls(
            items_of_machine(connection, machine, verdicts=verdicts),
            read_refits(connection, machine),
            stated_precedence(connection, machine),
            read_jobs(connection, machine),
        )

    def in_order(self, *, strict: bool) -> "tuple[dict[int, tuple[Step, list[Item]]], Arranged]":
        """Return the steps in the order in which they go on, worked out once."""
        if strict not in self.orders:
            self.orders[strict] = in_order(
                self.items, self.refits, self.said, jobs=self.jobs, strict=strict
            )
        return self.orders[strict]

    def joints_in_order(self, *, strict: bool) -> list[Item]:
        """Return the joints in the order in which they go on."""
        members, _ = self.in_order(strict=strict)
        return [item for _, its in members.values() for item in its]


def status_of_lacking(connection: Connection, items: Iterable[Item]) -> dict[int, PieceStatus]:
    """Return the status of those of these items that lack pieces, by number.

    What lacks none of its own is short of none: no machine is looked over for it.
    """
    lacking = [item for item in items if item.step.number and item.lacking]
    if not lacking:
        return {}
    found: dict[int, PieceStatus] = {}
    machines = machine_numbers(connection)
    for name in dict.fromkeys(item.step.machine for item in lacking):
        pieces = status_on(connection, machines[name]).pieces
        found |= {item.number: pieces[item.number] for item in lacking if item.step.machine == name}
    return found


def short_of(connection: Connection, items: Iterable[Item]) -> dict[int, int]:
    """Return how many pieces are short of those of these items that lack any, by number.

    Where nothing loose and nothing on order serves at an item, all that it lacks is short: there is
    nothing to hand out, and no machine is looked over for it.
    """
    lacking = [item for item in items if item.step.number and item.lacking]
    if not lacking:
        return {}
    loose = set(loose_descriptions(connection).values())
    machines = machine_numbers(connection)
    coming = {
        name: awaited_from_suppliers(connection, machines[name])
        for name in {item.step.machine for item in lacking}
    }
    supplied = [
        item
        for item in lacking
        if any(one.is_for(item) for one in coming[item.step.machine])
        or any(_may_serve(text, thread, item.as_specified) for text, thread in loose)
    ]
    alone = {item.number: item.lacking for item in lacking}
    handed_out = status_of_lacking(connection, supplied)
    return alone | {number: piece.short for number, piece in handed_out.items()}


def _may_serve(text: str, thread: str, specified: Description) -> bool:
    same = not thread or not specified.thread or thread == specified.thread
    return same and serves(text, specified.text)


@dataclass(frozen=True, slots=True)
class PutBefore(Ask):
    """One step goes back on before another; ``forget`` what was said of the two."""

    first: str
    then: str
    reason: str = ""
    forget: bool = False


@dataclass(frozen=True, slots=True)
class LetFree(Ask):
    """Two steps do not matter to each other."""

    first: str
    then: str
    reason: str = ""


@dataclass(frozen=True, slots=True)
class RingLink:
    """One step before another in a ring, and why: ``because`` the record has it so or a person said
    so, on ``date`` and for a ``reason``.

    ``assembly`` is the one that both are of, where that is why.
    """

    first: int
    then: int
    because: LinkReason
    assembly: str = ""
    reason: str = ""
    date: str = ""

    @property
    def by_hand(self) -> bool:
        """Whether it is a person's word."""
        return self.because is LinkReason.SAID


@dataclass(frozen=True, slots=True)
class OrderRing:
    """Steps that wait for each other in a ring, and its links, the easiest to let go first.

    The plan does without the first of them until one is let go.
    """

    members: tuple[int, ...]
    links: tuple[RingLink, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderSaid(Reply):
    """What was said of the order of two steps.

    ``kind`` is "before", "free" or "as recorded". Of two that were let free of each other
    ``still_waits`` is the one that waits all the same, and ``between`` are the steps that keep it
    so.
    """

    machine: str
    other_machines: bool
    first: int
    then: int
    kind: str
    rings: tuple[OrderRing, ...]
    still_waits: int | None
    between: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class MarkAccess(Ask):
    """A step came off for access only: to reach another, the next one if not said."""

    what: str
    reached: str = ""
    takes_back: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class AccessMarked(Reply):
    """Whether a step came off for access only: ``access`` is the step it made way for, "next", or
    empty where it did not."""

    machine: str
    other_machines: bool
    step: int
    access: str


@dataclass(frozen=True, slots=True)
class TakeTime(Ask):
    """How long a step takes, or "each" step of which nothing is said, or how much time there is in
    a "week"; "none" takes it back."""

    what: str
    time: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeTaken(Reply):
    """A time on record, in minutes; None where it was taken back. ``step`` is None of "each" and
    "week"."""

    machine: str
    other_machines: bool
    what: str
    step: int | None
    minutes: int | None


def put_before(context: Context, ask: PutBefore) -> OrderSaid:
    """Return that one step goes back on before another, or that what was said of them is forgotten.

    A word that makes a ring is written down all the same: the reply names the ring and the link
    that is easiest to let go.

    Raises:
        Refused: twice the same step; nothing was said that could be forgotten.
    """
    return _say(context, ask, "" if ask.forget else "before")


def let_free(context: Context, ask: LetFree) -> OrderSaid:
    """Return that two steps do not matter to each other.

    Raises:
        Refused: twice the same step.
    """
    return _say(context, ask, "free")


def _say(context: Context, ask: PutBefore | LetFree, kind: str) -> OrderSaid:
    reason = clean(ask.reason, "the reason", most=NOTE_LENGTH, empty=True)
    with context.writing(ask) as writer:
        chosen = [
            select(writer.connection, context.machine, what, empty=True, jobs=True)
            for what in (ask.first, ask.then)
        ]
        on = chosen[0].machine
        if chosen[1].machine != on:
            raise Refused(
                "steps of two machines",
                first=ask.first,
                machine=on.name,
                then=ask.then,
                other=chosen[1].machine.name,
            )
        one, other = (step_of(each) for each in chosen)
        if one == other:
            raise Refused("an order of one step", step=one)
        rows = [
            standing_step(writer, each, step)
            for each, step in zip(chosen, (one, other), strict=True)
        ]
        if not kind and not any(
            {said.first, said.then} == {one, other}
            for said in stated_precedence(writer.connection, on.number)
        ):
            raise Refused("nothing was said of them", first=one, then=other)
        words = {
            "before": f"step {one} goes on before step {other}",
            "free": f"steps {one} and {other} do not wait for each other",
            "": f"steps {one} and {other} as they came off",
        }[kind]
        act = writer.begin(ActKind.PLAN, words, reason=reason, at=context.at)
        writer.append(
            RefitLinkRow(act_id=act, first_id=rows[0], then_id=rows[1], kind=kind, reason=reason)
        )
        planned = rebuild_of(writer.connection, on.name).plan
    waits, between = _between(planned, one, other) if kind == "free" else (None, ())
    return OrderSaid(
        act=act,
        trial=ask.trial,
        machine=on.name,
        other_machines=chosen[0].several,
        first=one,
        then=other,
        kind=kind or "as recorded",
        rings=rings_of(planned),
        still_waits=waits,
        between=between,
    )


def rings_of(planned: Plan) -> tuple[OrderRing, ...]:
    """Return the rings of a plan."""
    return tuple(
        OrderRing(
            tuple(loop.members),
            tuple(
                RingLink(
                    link.first,
                    link.then,
                    link.because,
                    planned.by_number[link.first].stage.step.assembly
                    if link.because is LinkReason.ORDER
                    else "",
                    link.reason,
                    link.date,
                )
                for link in loop.offered
            ),
        )
        for loop in planned.loops
    )


def _between(planned: Plan, one: int, other: int) -> tuple[int | None, tuple[int, ...]]:
    """Return which of two that were let free still waits, and the steps between that keep it so."""
    for first, then in ((one, other), (other, one)):
        if not {first, then} <= set(planned.graph.nodes):
            continue  # of a machine kept for parts, and not wanted back
        middle = planned.graph.all_after(first) & planned.graph.all_before(then)
        if middle:
            return then, tuple(sorted(middle))
    return None, ()


def mark_access(context: Context, ask: MarkAccess) -> AccessMarked:
    """Return whether a step came off for access only, and to reach which.

    Raises:
        Refused: what it is to have made way for came off before it.
    """
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what, empty=True, jobs=True)
        step = step_of(chosen)
        row = standing_step(writer, chosen, step)
        value = "" if ask.takes_back else "next"
        words = f"step {step} came off for access only"
        if ask.takes_back:
            words = f"step {step} did not come off for access only"
        elif ask.reached:
            to = select(writer.connection, chosen.machine.name, ask.reached, empty=True, jobs=True)
            value = str(step_of(to))
            if to.step.came_off <= chosen.step.came_off:
                raise Refused("reached already", step=step, other=int(value))
            words += f", to reach step {value}"
        act = writer.begin(ActKind.PLAN, words, at=context.at)
        writer.append(StepChoiceRow(act_id=act, step_id=row, name="access", value=value))
    return AccessMarked(
        act=act,
        trial=ask.trial,
        machine=chosen.machine.name,
        other_machines=chosen.several,
        step=step,
        access=value,
    )


def take_time(context: Context, ask: TakeTime) -> TimeTaken:
    """Return how long a step takes, or each, or how much time there is in a week.

    Raises:
        BadValue: no time, or one that no step takes.
    """
    minutes = None if ask.time.strip().casefold() == "none" else read_minutes(ask.time)
    time = "nothing said" if minutes is None else in_hours(minutes)
    value = "" if minutes is None else str(minutes)
    word = ask.what.strip().casefold()
    with context.writing(ask) as writer:
        if word in ("each", "week"):
            if word == "week" and minutes is not None and minutes > 7 * 24 * 60:
                raise BadValue("longer than a week", typed=ask.time.strip()[:40])
            on, several, step = machine_named(writer.connection, context.machine), False, None
            name = "minutes a step" if word == "each" else "minutes a week"
            words = f"a step takes {time}" if word == "each" else f"{time} a week in the workshop"
            act = writer.begin(ActKind.SETTING, f"{on.name}: {words}", at=context.at)
            writer.append(SettingRow(act_id=act, machine_id=on.number, name=name, value=value))
        else:
            chosen = select(writer.connection, context.machine, ask.what, empty=True, jobs=True)
            on, several, step = chosen.machine, chosen.several, step_of(chosen)
            row = standing_step(writer, chosen, step)
            act = writer.begin(ActKind.PLAN, f"step {step} takes {time}", at=context.at)
            writer.append(StepChoiceRow(act_id=act, step_id=row, name="minutes", value=value))
    return TimeTaken(
        act=act,
        trial=ask.trial,
        machine=on.name,
        other_machines=several,
        what=ask.what.strip(),
        step=step,
        minutes=minutes,
    )


def in_hours(minutes: int) -> str:
    """Return a time as it is written: ``45 min``, ``2 h``, ``1 h 30 min``."""
    hours, rest = divmod(minutes, 60)
    return (
        " ".join(
            part for part in (f"{hours} h" if hours else "", f"{rest} min" if rest else "") if part
        )
        or "0 min"
    )


def read_minutes(text: str) -> int:
    """Return a time in whole minutes: ``45 min``, ``2h``, ``1 h 30 min``, ``1.5 hours``, ``1:30``.

    Raises:
        BadValue: no time with its unit, or more than 60 days.
    """
    plain = text.strip().casefold()
    clock = re.fullmatch(r"(\d{1,3}):([0-5]\d)", plain)
    parts = re.fullmatch(
        r"(?:(\d{1,5}(?:[.,]\d{1,9})?)\s*h(?:(?:ou)?rs?)?)?\s*(?:(\d{1,6})\s*m(?:in(?:ute)?s?)?)?",
        plain,
        re.ASCII,
    )
    if clock:
        minutes = int(clock[1]) * 60 + int(clock[2])
    elif plain and parts:
        minutes = round(units.value(parts[1] or "0") * 60) + int(parts[2] or 0)
    else:
        raise BadValue("no time", typed=text.strip()[:40])
    if not 0 < minutes <= _MOST:
        raise BadValue("time out of range", typed=text.strip()[:40])
    return minutes


def standing_step(writer: Writer, chosen: Selection, step: int) -> int:
    """Return the row of a step that stands.

    Raises:
        NotFound: it was undone.
    """
    row = step_row(writer.connection, chosen.machine.number, step)
    if row is None:
        raise NotFound("no such step", step=step, hint=Hint("history"))
    return row


@dataclass(frozen=True, slots=True)
class StepCounts:
    """How many steps there are, and how many in each state."""

    steps: int
    done: int
    on: int
    ready: int
    waits: int


@dataclass(frozen=True, slots=True)
class PlannedStep:
    """A step of the plan: how far it is, what it waits for, what it frees, how long it takes.

    ``no_torque_figure`` are the items that are tightened and have none; ``bags`` hold its pieces.
    ``job``: something was done at it that is no piece, and ``undo`` says how that is undone.
    """

    step: int
    assembly: str
    part: str
    state: State
    waits_for_steps: tuple[int, ...]
    waits_for: tuple[Blocker, ...]
    still_to_do: tuple[Blocker, ...]
    unlocks: tuple[int, ...]
    flags: tuple[Flag, ...]
    no_torque_figure: tuple[str, ...]
    minutes: int
    minutes_guessed: bool
    bags: tuple[str, ...]
    job: bool = False
    undo: str = ""

    @classmethod
    def of(cls, each: Planned) -> "PlannedStep":
        """Return a planned step's facts."""
        step = each.stage.step
        return cls(
            step.number,
            step.assembly,
            step.part,
            each.state,
            each.behind,
            each.matters,
            each.stage.status.owes,
            each.unlocks,
            each.flags,
            each.bare,
            each.minutes,
            each.guessed,
            tuple(sorted({bag for line in each.stage.lines for bag in line.item.bags})),
            each.stage.job is not None,
            each.stage.job.reverse if each.stage.job else "",
        )


@dataclass(frozen=True, slots=True)
class WorkToday:
    """What can be refitted today: ``ready`` now, ``at_hand`` after some work at the bench.

    ``chase`` is what to buy or chase, what frees most steps first. ``rings`` are steps that
    wait for each other.
    """

    machine: str
    counts: StepCounts
    ready: tuple[PlannedStep, ...]
    at_hand: tuple[PlannedStep, ...]
    chase: tuple[Chase, ...]
    rings: tuple[OrderRing, ...]


@dataclass(frozen=True, slots=True)
class LookAhead:
    """When it may be finished. ``late`` are firms and by how many days, ``Vale Plating=14``;
    ``strict`` is the strip-down turned round, whatever was said."""

    late: Sequence[str] = ()
    strict: bool = False


@dataclass(frozen=True, slots=True)
class HoldUp:
    """What a delivery does to the finish: by how many days it holds it up, how late it may be.

    ``whole_days`` is ``holds_up_days`` to the nearest day; ``days_to_spare`` None is a year or
    more.
    """

    whom: str
    day: date
    holds_up_days: float
    whole_days: int
    days_to_spare: int | None


@dataclass(frozen=True, slots=True)
class StepBar:
    """When a step is worked on, ``begin`` and ``end`` in days from today; ``slack_days`` is how
    much later it may be."""

    step: int
    assembly: str
    part: str
    begin: float
    end: float
    start: date
    finish: date
    slack_days: float


@dataclass(frozen=True, slots=True)
class Ahead:
    """The work left, laid out in days.

    ``hours_guessed``: nobody said how much time there is in a week. ``minutes_a_step`` is what a
    step takes of which nothing is said, None for the guess; ``steps_guessed`` of ``steps_left`` go
    by it. ``no_date_yet`` are firms and purchases without a day. ``days_later`` is what being
    ``late`` does to the finish, below 0 sooner. ``chain`` are the steps that wait for each other
    longest. ``idle`` are pairs let free that a third step keeps in order.
    """

    machine: str
    counts: StepCounts
    today: date
    finish: date
    days: float
    minutes_left: int
    hours_a_week: float
    hours_guessed: bool
    minutes_a_step: int | None
    steps_left: int
    steps_guessed: int
    no_date_yet: tuple[str, ...]
    late: Mapping[str, int]
    days_later: int
    chain: tuple[int, ...]
    deliveries: tuple[HoldUp, ...]
    rings: tuple[OrderRing, ...]
    idle: tuple[tuple[int, int], ...]
    snags_of_no_step: tuple[Snag, ...]
    steps: tuple[PlannedStep, ...]
    bars: tuple[StepBar, ...]


@dataclass(frozen=True, slots=True)
class Bars:
    """The plan and its outlook, to be drawn; with what is late by how many days, how many days
    later that is finished, and whether it is the strip-down turned round."""

    machine: str
    plan: Plan
    outlook: "Outlook"
    late: Mapping[str, int]
    days_later: int
    strict: bool


@dataclass(frozen=True, slots=True)
class Going:
    """How far each assembly is, and the pace so far, None where nothing was refitted lately."""

    machine: str
    counts: StepCounts
    assemblies: tuple[Progress, ...]
    pieces_to_fit: int
    pieces_a_week: float | None
    finish: date | None
    pace: "Pace | None"


@dataclass(frozen=True, slots=True)
class ListSteps:
    """The checklist of the machine or of an ``assembly``: steps that are not finished, or
    ``everything``, or ``only_next`` the next one."""

    assembly: str = ""
    everything: bool = False
    only_next: bool = False


@dataclass(frozen=True, slots=True)
class Checklist:
    """The steps that are listed, of ``total``. ``called`` is the machine, with the assembly where
    it is of one. ``snags`` are of no step, ``oils`` go in when all is together: both are on the
    list of the whole machine only. ``rings`` are steps on it that wait for each other."""

    machine: str
    called: str
    stages: tuple[Stage, ...]
    total: int
    snags: tuple[Snag, ...]
    oils: "tuple[Fill, ...]"
    rings: tuple[OrderRing, ...]


@dataclass(frozen=True, slots=True)
class PointOnStep:
    """What is measured at a step: its limits, and what it measured in ``unit``, if anything."""

    name: str
    limits: str
    source: str
    measured: float | None
    unit: str
    within: bool | None


@dataclass(frozen=True, slots=True)
class GeneralTorque:
    """A computed torque of a line, in N m, for bolts of a ``grade`` that are dry or oiled:
    ``set_nm`` is the figure to set, the others what it would be by friction."""

    state: str
    grade: str
    set_nm: float
    slippery_nm: float
    usual_nm: float
    rough_nm: float


@dataclass(frozen=True, slots=True)
class TorqueOfLine:
    """What is known of a line's torque: the maker's figure, which is the one to use, and the
    computed ones."""

    maker: "MakerFigure | None"
    computed: tuple[GeneralTorque, ...]
    cautions: tuple[str, ...]

    @classmethod
    def of(cls, tight: "Tightness") -> "TorqueOfLine":
        """Return what is known of a torque."""
        return cls(
            tight.maker,
            tuple(
                GeneralTorque(
                    each.friction.state,
                    str(each.grade),
                    each.slippery_nm,
                    each.low,
                    each.value,
                    each.high,
                )
                for each in tight.computed
            ),
            tight.cautions,
        )


@dataclass(frozen=True, slots=True)
class ListedLine:
    """A line of the checklist: the item, how many pieces are where, and how tight it is.

    ``sources`` are where to take its pieces from, ``flags`` what to mind, ``left`` how it was left.
    ``still_on`` says what did not come off and why, ``stack`` how thick each is, in order.
    """

    item: str
    machine: str
    assembly: str
    part: str
    step: int
    date: str
    position: str
    written: str
    as_found: str
    found: int
    as_specified: str
    wanted: int
    renew: str
    fitted: int
    short: int
    now: tuple[PiecesAt, ...]
    findings: str
    work_done: tuple[str, ...]
    to_fit: int
    to_hand: int
    on_order: int
    away: int
    left_over: int
    flags: tuple[Flag, ...]
    sources: tuple[str, ...]
    torque: TorqueOfLine | None
    goes_in: "tuple[Applied, ...]"
    left: str
    torque_put_on_nm: float | None
    still_on: str = ""
    stack: str = ""

    @classmethod
    def of(cls, line: Line) -> "ListedLine":
        """Return a line's facts."""
        item, status, step = line.item, line.status, line.item.step
        return cls(
            item=item.ref,
            machine=step.machine,
            assembly=step.assembly,
            part=step.part,
            step=step.number,
            date=step.date,
            position=item.position,
            written=item.written,
            as_found=item.as_found.text,
            found=item.found,
            as_specified=item.as_specified.text,
            wanted=item.wanted,
            renew=item.renew,
            fitted=item.fitted,
            short=status.short,
            now=pieces_of([item]),
            findings=item.verdict,
            work_done=item.work_done,
            to_fit=status.to_fit,
            to_hand=status.to_hand,
            on_order=status.on_order,
            away=status.away,
            left_over=status.left_over,
            flags=line.flags,
            sources=line.sources,
            torque=TorqueOfLine.of(line.tight) if line.tight else None,
            goes_in=line.applied,
            left=line.left.words if line.left else "",
            torque_put_on_nm=line.left.torque_nm if line.left else None,
            still_on=item.stuck_words,
            stack=item.stack.words if item.stack else "",
        )


@dataclass(frozen=True, slots=True)
class ListedStep:
    """A step of the checklist: how far it is, what goes in, is measured, signed, and its lines.

    ``second_person``: two pairs of eyes are wanted. ``order`` is the order of tightening its holes,
    None where they are not on record. ``job``: something was done at it that is no piece, and
    ``undo`` says how that is undone.
    """

    step: Step
    state: State
    ready: bool
    done: bool
    waits_for_steps: tuple[int, ...]
    waits_for: tuple[Blocker, ...]
    still_to_do: tuple[Blocker, ...]
    cautions: tuple[str, ...]
    second_person: bool
    access_only: bool
    order: tuple[int, ...] | None
    snags: tuple[Snag, ...]
    goes_in: "tuple[Applied, ...]"
    measure: tuple[PointOnStep, ...]
    signed: "tuple[Signature, ...]"
    lines: tuple[ListedLine, ...]
    job: bool = False
    undo: str = ""
    job_done: bool = False

    @classmethod
    def of(cls, stage: Stage) -> "ListedStep":
        """Return the facts of a step of the checklist."""
        status, notes = stage.status, stage.notes
        return cls(
            step=stage.step,
            state=status.state,
            ready=status.state is State.READY,
            done=stage.finished,
            waits_for_steps=status.behind,
            waits_for=tuple(one for one in status.blockers if one.kind is not BlockerKind.STEP),
            still_to_do=status.owes,
            cautions=stage.cautions,
            second_person=stage.safety,
            access_only=notes.access_only,
            order=tuple(stage.joint.order.holes) if stage.joint else None,
            snags=stage.snags,
            goes_in=stage.applied,
            measure=tuple(
                PointOnStep(
                    point.name,
                    point.limits,
                    point.source,
                    None if point.found is None else float(point.found),
                    point.unit,
                    point.within,
                )
                for point in notes.points
            ),
            signed=notes.signatures,
            lines=tuple(map(ListedLine.of, stage.lines)),
            job=stage.job is not None,
            undo=stage.job.reverse if stage.job else "",
            job_done=bool(stage.job and stage.job.done),
        )


@dataclass(frozen=True, slots=True)
class Summary:
    """How far each assembly is and what holds it up, and all of them together."""

    called: str
    stages: tuple[Stage, ...]
    rows: tuple[Progress, ...]
    whole: Progress


def work_today(context: Context, most: str | int = 5, *, strict: bool = False) -> WorkToday:
    """Return what can be refitted today, and at most so many things to buy or chase.

    Raises:
        BadValue: none, or no number.
        NotFound: nothing was stripped yet.
    """
    typed = str(most).strip().replace("−", "-")
    if re.fullmatch(r"[+-]?\d{1,12}", typed) and int(typed) < 1:
        raise BadValue("how many matters", typed=str(most)[:20])
    wanted = count_of(most)
    with context.reading() as connection:
        made = rebuild_of(connection, context.machine, strict=strict)
    return today_of(made, wanted)


def today_of(made: Rebuild, most: int | None) -> WorkToday:
    """Return what can be refitted today of a rebuild, and at most so many things to chase."""
    return WorkToday(
        made.machine.name,
        counts_of(made.plan),
        tuple(map(made.told, made.plan.of(State.READY))),
        tuple(made.told(each) for each in made.plan.steps if each.at_hand),
        tuple(chase_list(made.plan, most)),
        rings_of(made.plan),
    )


def ahead(context: Context, ask: LookAhead) -> Ahead:
    """Return when it may be finished, what holds it up, and what is amiss.

    Raises:
        BadValue: a firm without days.
        NotFound: nothing was stripped yet.
    """
    late = _late(ask.late)
    with context.reading() as connection:
        made = rebuild_of(connection, context.machine, strict=ask.strict)
    return ahead_of(made, _day(context), late)


def ahead_of(made: Rebuild, day: date, late: Mapping[str, int]) -> Ahead:
    """Return when a rebuild may be finished from a day on, with what is late by how many days."""
    before, after = _outlooks(made, day, late)
    return Ahead(
        made.machine.name,
        counts_of(made.plan),
        after.today,
        after.finish,
        after.days,
        after.minutes,
        after.hours_a_week,
        made.hours_a_week is None,
        made.minutes,
        len(after.bars),
        after.guessed,
        tuple(after.undated),
        dict(late),
        (after.finish - before.finish).days,
        tuple(after.timing.chain),
        tuple(
            HoldUp(
                held.name, after.day(held.due), round(held.days, 1), round(held.days), held.spare
            )
            for held in after.held
        ),
        rings_of(made.plan),
        tuple((word.first, word.then) for word in made.plan.derived.idle),
        made.plan.loose_snags,
        tuple(map(made.told, made.plan.steps)),
        tuple(
            StepBar(
                bar.node,
                made.plan.by_number[bar.node].stage.step.assembly,
                made.plan.by_number[bar.node].stage.step.part,
                bar.start,
                bar.finish,
                after.day(bar.start),
                after.day(bar.finish),
                round(after.timing.of[bar.node].slack, 2),
            )
            for bar in after.bars
        ),
    )


def bars(context: Context, ask: LookAhead) -> Bars:
    """Return the plan as it is drawn on paper.

    Raises:
        BadValue: a firm without days.
        NotFound: nothing was stripped yet.
    """
    late = _late(ask.late)
    with context.reading() as connection:
        made = rebuild_of(connection, context.machine, strict=ask.strict)
    before, after = _outlooks(made, _day(context), late)
    later = (after.finish - before.finish).days
    return Bars(made.machine.name, made.plan, after, late, later, ask.strict)


def _outlooks(made: Rebuild, day: date, late: Mapping[str, int]) -> "tuple[Outlook, Outlook]":
    """Return the outlook of a rebuild as promised, and with what is late."""
    from stores.planning.timing import HOURS_A_WEEK, outlook

    hours = made.hours_a_week or HOURS_A_WEEK
    before = outlook(made.plan, day, hours_a_week=hours)
    after = outlook(made.plan, day, hours_a_week=hours, late=late) if late else before
    return before, after


def _day(context: Context) -> date:
    return date.fromisoformat(context.at) if context.at else today_is()


def _late(texts: Sequence[str]) -> dict[str, int]:
    late = {}
    for text in texts:
        name, sign, days = text.rpartition("=")
        if not sign or not name.strip() or not re.fullmatch(r"\s*[+-]?\d{1,4}\s*", days):
            raise BadValue("no days late", typed=text[:60])
        late[name.strip()] = int(days)
    return late


def going(context: Context) -> Going:
    """Return how far each assembly is, and when all is back on at the pace so far.

    Raises:
        NotFound: nothing was stripped yet.
    """
    from stores.planning.timing import pace

    with context.reading() as connection:
        made = rebuild_of(connection, context.machine)
        days = fitted_by_day(connection, made.machine.number)
    rows = sorted(
        progress(each.stage for each in made.plan.steps), key=lambda row: row.assembly.casefold()
    )
    left = sum(each.to_fit for each in rows)
    at_pace = pace(days, left, _day(context))
    return Going(
        made.machine.name,
        counts_of(made.plan),
        tuple(rows),
        left,
        round(at_pace.a_week, 1) if at_pace else None,
        at_pace.finish if at_pace else None,
        at_pace,
    )


def checklist(context: Context, ask: ListSteps) -> Checklist:
    """Return the rebuild checklist: the strip-down backwards.

    Raises:
        NotFound: no such assembly, or nothing was stripped yet.
    """
    from stores.planning.figures import fills

    made, called, stages, snags = _stages(context, ask.assembly)
    listed = [stage for stage in stages if ask.everything or not stage.finished]
    # Oil goes in when all is together: it is on the list of the whole machine only.
    whole = not ask.assembly and not ask.only_next
    oils: tuple[Fill, ...] = ()
    if whole:
        with context.reading() as connection:
            oils = tuple(fills(read_sumps(connection, made.machine.number)))
    shown = {stage.step.number for stage in listed}
    return Checklist(
        made.machine.name,
        called,
        tuple(listed[:1] if ask.only_next else listed),
        len(stages),
        snags if whole else (),
        oils,
        tuple(ring for ring in rings_of(made.plan) if shown.intersection(ring.members)),
    )


def listed_steps(context: Context, ask: ListSteps) -> tuple[ListedStep, ...]:
    """Return the facts of the steps on the checklist.

    Raises:
        NotFound: no such assembly, or nothing was stripped yet.
    """
    return tuple(map(ListedStep.of, checklist(context, ask).stages))


def summary(context: Context, assembly: str = "") -> Summary:
    """Return how far each assembly is, and what holds it up.

    Raises:
        NotFound: no such assembly, or nothing was stripped yet.
    """
    _, called, stages, _ = _stages(context, assembly)
    return summary_of(called, stages)


def summary_of(called: str, stages: Sequence[Stage]) -> Summary:
    """Return how far each assembly of these steps is."""
    rows = progress(stages)
    return Summary(called, tuple(stages), tuple(rows), total(rows))


def _stages(context: Context, assembly: str) -> tuple[Rebuild, str, list[Stage], tuple[Snag, ...]]:
    """Return a rebuild, what it is called, its stages, of one assembly if asked, and the snags of
    no step."""
    with context.reading() as connection:
        made = rebuild_of(connection, context.machine)
    stages = stages_of(made, assembly)
    called = made.machine.name
    if not assembly.strip():
        return made, called, stages, made.plan.loose_snags
    if len({stage.step.assembly for stage in stages}) == 1:
        called += f", {stages[0].step.assembly}"
    return made, called, stages, ()


def stages_of(made: Rebuild, assembly: str) -> list[Stage]:
    """Return the steps of a rebuild, or those of an assembly, in the order of refitting.

    Raises:
        NotFound: no such assembly.
    """
    every = [each.stage for each in made.plan.steps]
    stages = [stage for stage in every if lies_in(stage.step.assembly, assembly)]
    if not stages:
        raise NotFound(
            "no such assembly",
            assembly=assembly,
            machine=made.machine.name,
            assemblies=tuple(dict.fromkeys(stage.step.assembly for stage in every)),
        )
    return stages


def counts_of(planned: Plan) -> StepCounts:
    """Return how many steps of a plan are in each state."""
    states = (State.FINISHED, State.ON, State.READY, State.WAITS)
    return StepCounts(len(planned.steps), *(len(planned.of(state)) for state in states))
