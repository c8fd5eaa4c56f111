"""One step as it is worked on: what goes on next, or any other step, with all that belongs to it.

It is the checklist's step of the same number, with its pictures: no second answer, but one that
writes out a single step of hundreds.
"""

from dataclasses import dataclass, field

from sqlalchemy import Connection

from stores.errors import Hint, NotFound
from stores.planning.rebuild import Stage, next_of
from stores.planning.status import State
from stores.storage.machines import read_machines
from stores.storage.pictures import pictures_of
from stores.usecases.common import select, step_of
from stores.usecases.context import Context
from stores.usecases.rebuild import (
    ListedStep,
    OrderRing,
    StepCounts,
    counts_of,
    rebuild_of,
    rings_of,
    stages_of,
)

__all__ = ["OneStep", "StepAtHand", "StepReady", "step_at_hand"]


_LONGEST = 6
"""Digits: no step has a longer number."""


@dataclass(frozen=True, slots=True)
class OneStep:
    """What goes on next, on the machine or in an ``assembly``; or the step that ``what`` names: a
    step (``7``), an item of it (``7.2``) or its bag."""

    what: str = ""
    assembly: str = ""


@dataclass(frozen=True, slots=True)
class StepReady:
    """A step that can go on now: its number, and the part that goes back on."""

    number: int
    part: str


@dataclass(frozen=True, slots=True)
class StepAtHand:
    """A step to work on; ``step`` None where all is finished. ``counts`` are of the whole machine.

    ``bags`` hold what is still to be fitted; ``unlocks`` are the steps that only it holds back, and
    ``then`` is the next in order that is not finished. ``minutes`` is how long it takes. ``doubt``
    says so where the holes on record are not as many as what is tightened. ``rings`` are those that
    it is in. ``pictures`` are the numbers of those that show it, its bags or its pieces. ``before``
    is the one before it that is not finished, ``ready`` are those that are ready, both of the
    assembly that was asked for. ``stage`` is the step as the checklist draws it.
    """

    machine: str
    other_machines: bool
    counts: StepCounts
    step: ListedStep | None
    bags: tuple[str, ...] = ()
    unlocks: tuple[int, ...] = ()
    then: int | None = None
    minutes: int | None = None
    minutes_guessed: bool = False
    doubt: str = ""
    rings: tuple[OrderRing, ...] = ()
    pictures: tuple[int, ...] = ()
    before: int | None = None
    ready: tuple[StepReady, ...] = ()
    stage: Stage | None = field(default=None, repr=False, metadata={"drawn": True})


def step_at_hand(context: Context, ask: OneStep) -> StepAtHand:
    """Return the step that goes on next, or the one asked for, with all that belongs to it.

    Raises:
        NotFound: no such step or assembly, or nothing was stripped yet.
        Refused: pieces of several steps, or loose ones.
    """
    with context.reading() as connection:
        on, number = _asked_for(connection, context.machine, ask.what)
        made = rebuild_of(connection, on)
        several = len(read_machines(connection)) > 1
        counts = counts_of(made.plan)
        stages = stages_of(made, ask.assembly)
        left = [each.step.number for each in stages if not each.finished]
        if number is None:
            upcoming = next_of(stages)
            if upcoming is None:
                return StepAtHand(made.machine.name, several, counts, None)
            number = upcoming.step.number
        planned = made.plan.by_number.get(number)
        if planned is None:
            raise NotFound("no such step", step=number, hint=Hint("history"))
        stage = planned.stage
        items = [line.item for line in stage.lines]
        pictures = pictures_of(connection, items, [stage.step])
    before: list[int] = []
    after = left
    if planned.number in left:
        at = left.index(planned.number)
        before, after = left[:at], left[at + 1 :]
    return StepAtHand(
        made.machine.name,
        several,
        counts,
        ListedStep.of(stage),
        stage.bags,
        planned.unlocks,
        after[0] if after else None,
        planned.minutes,
        planned.guessed,
        stage.holes_doubt,
        tuple(ring for ring in rings_of(made.plan) if planned.number in ring.members),
        tuple(pictures.get((stage.step.machine, planned.number), ())),
        before[-1] if before else None,
        tuple(
            StepReady(each.step.number, each.step.part)
            for each in stages
            if each.status.state is State.READY
        ),
        stage,
    )


def _asked_for(
    connection: Connection, machine: str | None, what: str
) -> tuple[str | None, int | None]:
    """Return the machine and the number of the step that is named, None where none is."""
    if not what.strip():
        return machine, None
    if what.strip().isdecimal() and len(what.strip()) <= _LONGEST and int(what) > 0:
        return machine, int(what)  # its lines are read with the plan
    chosen = select(connection, machine, what, empty=True, jobs=True)
    return chosen.machine.name, step_of(chosen)
