"""What a person says of the order of the rebuild, and of the time it takes."""

import re

from stores import units
from stores.errors import BadValue, NotFound, Refused
from stores.model.ledger import ActKind
from stores.planning.order import LinkReason, Loop
from stores.planning.rebuild import Plan
from stores.storage import Store, Writer
from stores.storage.figures import step_row
from stores.storage.machines import machine_named
from stores.storage.planned import rebuild_of
from stores.storage.refits import stated_precedence
from stores.text import clean
from stores.usecases.common import NOTE_LENGTH, Done, select, step_of

__all__ = ["mark_access_only", "put_before", "read_minutes", "ring", "take_time", "unlink"]

_MOST = 60 * 24 * 60
"""Minutes: what takes longer is no step."""


def put_before(
    store: Store,
    first: str,
    then: str,
    *,
    reason: str = "",
    forget: bool = False,
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Say that one step goes back on before another; ``forget`` what was said of the two.

    A word that makes a ring is written down all the same: the reply names the ring and the link
    that is easiest to let go.

    Raises:
        Refused: twice the same step; nothing was said that could be forgotten.
    """
    return _say(store, first, then, "" if forget else "before", reason, machine, at)


def unlink(
    store: Store,
    first: str,
    then: str,
    *,
    reason: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Say that two steps do not matter to each other.

    Raises:
        Refused: twice the same step.
    """
    return _say(store, first, then, "free", reason, machine, at)


def _say(
    store: Store,
    first: str,
    then: str,
    kind: str,
    reason: str,
    machine: str | None,
    at: str | None,
) -> Done:
    reason = clean(reason, "the reason", most=NOTE_LENGTH, empty=True)
    with store.writing() as writer:
        chosen = [select(writer.connection, machine, what, empty=True) for what in (first, then)]
        on = chosen[0].machine
        if chosen[1].machine != on:
            raise Refused(f"{first} is of {on.name}, {then} of {chosen[1].machine.name}")
        one, other = (step_of(each) for each in chosen)
        if one == other:
            raise Refused(f"both are step {one}: an order is of two steps")
        rows = [_row(writer, on.number, step) for step in (one, other)]
        if not kind and not any(
            {said.first, said.then} == {one, other}
            for said in stated_precedence(writer.connection, on.number)
        ):
            raise Refused(f"nothing was said of steps {one} and {other}")
        words = {
            "before": f"step {one} goes on before step {other}",
            "free": f"steps {one} and {other} do not wait for each other",
            "": f"steps {one} and {other} as they came off",
        }[kind]
        act = writer.begin(ActKind.PLAN, words, reason=reason, at=at)
        writer.refit_link(act, rows[0], rows[1], kind, reason)
        plan = rebuild_of(writer.connection, on.name).plan
    notes = [ring(loop) for loop in plan.loops]
    if kind == "free":
        notes += _between(plan, one, other)
    text = words[0].upper() + words[1:]
    return Done(
        act,
        (f"{text}{chosen[0].tag}",),
        tuple(notes),
        data={"act": act, "first": one, "then": other, "kind": kind or "as recorded"},
    )


def ring(loop: Loop) -> str:
    """Say what goes round in a ring, and which link is easiest to let go."""
    members = " before ".join(str(number) for number in (*loop.members, loop.members[0]))
    weakest = loop.weakest
    how = (
        f"stores before --forget {weakest.first} {weakest.then}"
        if weakest.because is LinkReason.SAID
        else f"stores free {weakest.first} {weakest.then}"
    )
    return (
        f"A ring: step {members}. Easiest to let go: {weakest.first} before {weakest.then} "
        f"({weakest.why}): {how}"
    )


def _between(plan: Plan, one: int, other: int) -> list[str]:
    """Say where two steps let free of each other are still kept in order by a third."""
    for first, then in ((one, other), (other, one)):
        middle = plan.graph.all_after(first) & plan.graph.all_before(then)
        if middle:
            listed = ", ".join(str(number) for number in sorted(middle)[:4])
            return [f"Still in order, since between them there is step {listed}"]
    return []


def mark_access_only(
    store: Store,
    what: str,
    reached: str = "",
    *,
    takes_back: bool = False,
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Say that a step came off for access only: to reach another, the next one if not said."""
    with store.writing() as writer:
        chosen = select(writer.connection, machine, what, empty=True)
        step = step_of(chosen)
        row = _row(writer, chosen.machine.number, step)
        value = "" if takes_back else "next"
        words = f"step {step} came off for access only"
        if takes_back:
            words = f"step {step} did not come off for access only"
        elif reached:
            to = select(writer.connection, chosen.machine.name, reached, empty=True)
            value = str(step_of(to))
            if int(value) <= step:
                raise Refused(f"step {value} came off before step {step}: it was reached already")
            words += f", to reach step {value}"
        act = writer.begin(ActKind.PLAN, words, at=at)
        writer.step_choice(act, row, "access", value)
    return Done(
        act,
        (f"{words[0].upper()}{words[1:]}{chosen.tag}",),
        data={"act": act, "step": step, "access": value},
    )


def take_time(
    store: Store,
    what: str,
    time: str,
    *,
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Say how long a step takes, or "each" step of which nothing is said, or how much time there is
    in a "week"; "none" takes it back.

    Raises:
        BadValue: no time, or one that no step takes.
    """
    minutes = None if time.strip().casefold() == "none" else read_minutes(time)
    said = "nothing said" if minutes is None else in_hours(minutes)
    value = "" if minutes is None else str(minutes)
    word = what.strip().casefold()
    with store.writing() as writer:
        if word in ("each", "week"):
            if word == "week" and minutes is not None and minutes > 7 * 24 * 60:
                raise BadValue(f"{time.strip()[:40]!r}: a week has 168 hours")
            on = machine_named(writer.connection, machine)
            name = "minutes a step" if word == "each" else "minutes a week"
            words = f"a step takes {said}" if word == "each" else f"{said} a week in the workshop"
            act = writer.begin(ActKind.SETTING, f"{on.name}: {words}", at=at)
            writer.setting(act, on.number, name, value)
            tag = ""
        else:
            chosen = select(writer.connection, machine, what, empty=True)
            step = step_of(chosen)
            row = _row(writer, chosen.machine.number, step)
            words = f"step {step} takes {said}"
            act = writer.begin(ActKind.PLAN, words, at=at)
            writer.step_choice(act, row, "minutes", value)
            tag = chosen.tag
    return Done(
        act,
        (f"{words[0].upper()}{words[1:]}{tag}",),
        data={"act": act, "what": what.strip(), "minutes": minutes},
    )


def in_hours(minutes: int) -> str:
    """Say a time: ``45 min``, ``2 h``, ``1 h 30 min``."""
    hours, rest = divmod(minutes, 60)
    return (
        " ".join(
            part for part in (f"{hours} h" if hours else "", f"{rest} min" if rest else "") if part
        )
        or "0 min"
    )


def read_minutes(text: str) -> int:
    """Read a time in whole minutes: ``45 min``, ``2h``, ``1 h 30 min``, ``1.5 hours``, ``1:30``.

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
        raise BadValue(f"no time: {text.strip()[:40]!r}; write it as 45 min, 2 h or 1 h 30 min")
    if not 0 < minutes <= _MOST:
        raise BadValue(f"{text.strip()[:40]!r}: a time is a minute at least, 60 days at most")
    return minutes


def _row(writer: Writer, machine: int, step: int) -> int:
    row = step_row(writer.connection, machine, step)
    if row is None:
        raise NotFound(f"no step {step} stands: 'stores history' shows what was done")
    return row
