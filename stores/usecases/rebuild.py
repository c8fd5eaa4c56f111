"""The rebuild: what a person says of its order and times, and what the record makes of it all."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from stores import units
from stores.errors import BadValue, Hint, NotFound, Refused
from stores.model.items import Item
from stores.model.ledger import ActKind
from stores.planning.order import LinkReason
from stores.planning.rebuild import Plan, plan
from stores.planning.status import Status, status_of
from stores.storage import Writer
from stores.storage.assembling import read_refits
from stores.storage.figures import maker_torques, read_joints, step_row
from stores.storage.items import read_items
from stores.storage.machines import Machine, machine_named
from stores.storage.orders import awaited_from_suppliers
from stores.storage.outwork import awaited_from_firms
from stores.storage.rebuild import RefitLinkRow, StepChoiceRow, stated_precedence
from stores.storage.settings import SettingRow, read_settings
from stores.storage.snags import open_snags
from stores.text import clean
from stores.usecases.common import NOTE_LENGTH, Selection, select
from stores.usecases.context import Ask, Context, Reply
from stores.usecases.figures import step_of

__all__ = [
    "AccessMarked",
    "LetFree",
    "MarkAccess",
    "OrderSaid",
    "PutBefore",
    "Rebuild",
    "Ring",
    "TakeTime",
    "TimeTaken",
    "in_hours",
    "let_free",
    "mark_access",
    "put_before",
    "read_minutes",
    "rebuild_of",
    "rings_of",
    "standing_step",
    "status_on",
    "take_time",
]

_MOST = 60 * 24 * 60
"""Minutes: what takes longer is no step."""


@dataclass(frozen=True, slots=True)
class Rebuild:
    """A machine and its plan. ``hours_a_week`` is None where nobody said."""

    machine: Machine
    plan: Plan
    hours_a_week: float | None = None
    minutes: int | None = None


def rebuild_of(connection: Connection, machine: str | None, *, strict: bool = False) -> Rebuild:
    """Return the plan of the rebuild of a machine.

    Raises:
        NotFound: no such machine, or nothing was stripped yet.
    """
    on = machine_named(connection, machine)
    listed = read_items(connection, machine=on.number)
    status = status_on(connection, on.number, listed, strict=strict)
    if not status.steps:
        raise NotFound("nothing stripped", machine=on.name, hint=Hint("strip"))
    chosen = read_settings(connection, on.number)
    minutes = int(chosen["minutes a step"]) if "minutes a step" in chosen else None
    return Rebuild(
        on,
        plan(
            status,
            maker_torques(connection, [item.number for item in listed]),
            read_joints(connection, on.number),
            minutes=minutes,
        ),
        int(chosen["minutes a week"]) / 60 if "minutes a week" in chosen else None,
        minutes,
    )


def status_on(
    connection: Connection,
    machine: int,
    listed: Sequence[Item] | None = None,
    *,
    strict: bool = False,
) -> Status:
    """Return how far every step of a machine is. ``listed`` are all its items, where they have been
    read already."""
    return status_of(
        read_items(connection, machine=machine) if listed is None else listed,
        read_refits(connection, machine),
        stated_precedence(connection, machine),
        snags=open_snags(connection, machine),
        awaited=[*awaited_from_firms(connection), *awaited_from_suppliers(connection, machine)],
        strict=strict,
    )


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
class Ring:
    """Steps that wait for each other in a ring, and the link that is easiest to let go.

    ``by_hand`` where that link is a person's word.
    """

    members: tuple[int, ...]
    first: int
    then: int
    why: str
    by_hand: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderSaid(Reply):
    """What was said of the order of two steps.

    ``kind`` is "before", "free" or "as recorded". ``between`` are steps that still keep the two in
    order, where they were let free of each other.
    """

    machine: str
    other_machines: bool
    first: int
    then: int
    kind: str
    rings: tuple[Ring, ...]
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
            select(writer.connection, context.machine, what, empty=True)
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
    return OrderSaid(
        act=act,
        trial=ask.trial,
        machine=on.name,
        other_machines=chosen[0].several,
        first=one,
        then=other,
        kind=kind or "as recorded",
        rings=rings_of(planned),
        between=_between(planned, one, other) if kind == "free" else (),
    )


def rings_of(planned: Plan) -> tuple[Ring, ...]:
    """Return the rings of a plan."""
    return tuple(
        Ring(
            tuple(loop.members),
            loop.weakest.first,
            loop.weakest.then,
            loop.weakest.why,
            loop.weakest.because is LinkReason.SAID,
        )
        for loop in planned.loops
    )


def _between(planned: Plan, one: int, other: int) -> tuple[int, ...]:
    """Return the steps that still keep two in order that were let free of each other."""
    for first, then in ((one, other), (other, one)):
        middle = planned.graph.all_after(first) & planned.graph.all_before(then)
        if middle:
            return tuple(sorted(middle))
    return ()


def mark_access(context: Context, ask: MarkAccess) -> AccessMarked:
    """Return whether a step came off for access only, and to reach which.

    Raises:
        Refused: what it is to have made way for came off before it.
    """
    with context.writing(ask) as writer:
        chosen = select(writer.connection, context.machine, ask.what, empty=True)
        step = step_of(chosen)
        row = standing_step(writer, chosen, step)
        value = "" if ask.takes_back else "next"
        words = f"step {step} came off for access only"
        if ask.takes_back:
            words = f"step {step} did not come off for access only"
        elif ask.reached:
            to = select(writer.connection, chosen.machine.name, ask.reached, empty=True)
            value = str(step_of(to))
            if int(value) <= step:
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
            chosen = select(writer.connection, context.machine, ask.what, empty=True)
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
