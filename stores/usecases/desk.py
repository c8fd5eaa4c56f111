"""The whole of a machine at one look: how far it is, what to do today, the plan, the last entries.

No second answer: each is the reply of the use-case of that name, all of one moment.
"""

from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection

from stores.errors import NotFound, Refused
from stores.model.record import Machine
from stores.model.work_units import chosen
from stores.storage.acts import ActLine, act_lines, newest_act
from stores.storage.machines import machine_named, read_machines
from stores.storage.moment import answered
from stores.text import today
from stores.usecases.context import Context
from stores.usecases.rebuild import (
    Ahead,
    Summary,
    WorkToday,
    ahead_of,
    rebuild_of,
    stages_of,
    summary_of,
    today_of,
)

__all__ = ["AtALook", "RebuildAtALook", "at_a_look"]

MOST_TO_CHASE = 5


@dataclass(frozen=True, slots=True)
class RebuildAtALook:
    """How far a rebuild is, what to do today, and when it may be finished."""

    summary: Summary
    today: WorkToday
    ahead: Ahead


@dataclass(frozen=True, slots=True)
class AtALook:
    """A machine at one look. ``newest`` is the number of the newest act, ``entries`` the last.

    ``machine`` is None before there is one, and where the one asked for is none or is several;
    ``rebuild`` is None with ``lacking``, the reason, where nothing is there to be put back.
    """

    machines: tuple[Machine, ...]
    machine: Machine | None
    newest: int
    entries: tuple[ActLine, ...]
    rebuild: RebuildAtALook | None = None
    lacking: NotFound | None = None


def at_a_look(context: Context, entries: int = 6) -> AtALook:
    """Return a machine at one look, with so many of the last entries."""
    with context.reading() as connection:
        listed = tuple(read_machines(connection))
        newest, last = newest_act(connection), tuple(act_lines(connection, entries))
        try:
            on = machine_named(connection, context.machine)
        except (NotFound, Refused):
            return AtALook(listed, None, newest, last)
        try:
            day = date.fromisoformat(context.at) if context.at else today()
            whole = _rebuild(connection, on, day)
        except NotFound as error:
            return AtALook(listed, on, newest, last, lacking=error)
    return AtALook(listed, on, newest, last, whole)


def _rebuild(connection: Connection, on: Machine, day: date) -> RebuildAtALook:
    made = rebuild_of(connection, on.name)
    return answered(
        connection,
        "at a look",
        # some words of a plan have figures in the units that a person works in
        (on, day, chosen()),
        lambda: RebuildAtALook(
            summary_of(made.machine.name, stages_of(made, "")),
            today_of(made, MOST_TO_CHASE),
            ahead_of(made, day, {}),
        ),
    )
