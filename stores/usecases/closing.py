"""The end of a day and the end of the job: a person's own words, closing out, the bound record.

Closing refuses, the audit checks it again at that moment of the ledger: nothing away or left over.
New pieces beyond the need may stay, as may sound old ones that are kept: spares. A machine that is
closed out is worked on no more until it is opened again, with a reason; the writer refuses.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stores.errors import Hint, Refused
from stores.model.figures import MakerTorque, ReadingOnRecord
from stores.model.items import Item, Job
from stores.model.ledger import ActKind
from stores.planning.assembling import Refits
from stores.planning.closing import (
    NONE_KNOWN,
    DayEnd,
    KnownCopies,
    Turn,
    Unsettled,
    day_end,
    in_the_way,
)
from stores.planning.pictures import Shot
from stores.storage.acts import act_lines
from stores.storage.assembling import read_refits
from stores.storage.closing import (
    ClosingRow,
    HandoverRow,
    ReopeningRow,
    bought_from,
    closed_out,
    handovers,
    turns,
)
from stores.storage.copies import known_copies
from stores.storage.figures import maker_torques, read_readings
from stores.storage.items import read_items
from stores.storage.machines import Machine, machine_named
from stores.text import clean, today
from stores.usecases.common import NOTE_LENGTH
from stores.usecases.context import Ask, Context, Reply
from stores.usecases.rebuild import status_on

__all__ = [
    "BoundRecord",
    "CloseOut",
    "ClosedOut",
    "EndOfDay",
    "HandOver",
    "HandedOver",
    "InTheWay",
    "Reopen",
    "Reopened",
    "bound_record",
    "close_out",
    "end_of_day",
    "hand_over",
    "look_before_closing",
    "reopen",
]

WORDS_KEPT = 2
"""How many of the last notes stand on the handover."""


@dataclass(frozen=True, slots=True)
class HandOver(Ask):
    """What a person says at the end of a day, in their own words."""

    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HandedOver(Reply):
    """Such words on record."""

    machine: str
    words: str


@dataclass(frozen=True, slots=True)
class EndOfDay:
    """What a day leaves behind: the last notes, each with its day, and what is not done; ``turns``
    say when the machine was closed out and opened again, ``copies`` when the record was
    last copied.

    Of a ``trial`` the first note is not on record.
    """

    machine: str
    words: tuple[tuple[str, str], ...]
    left: DayEnd
    trial: bool = False
    turns: tuple[Turn, ...] = ()
    copies: KnownCopies = NONE_KNOWN


@dataclass(frozen=True, slots=True)
class CloseOut(Ask):
    """A machine is to be closed out: nothing left over, short, away or open."""

    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedOut(Reply):
    """A machine closed out."""

    machine: str


@dataclass(frozen=True, slots=True)
class Reopen(Ask):
    """A machine that is closed out is worked on again, and why."""

    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Reopened(Reply):
    """A machine that was closed out on a day and may be worked on again."""

    machine: str
    closed_on: str
    reason: str


@dataclass(frozen=True, slots=True)
class InTheWay:
    """All that stands in the way of closing a machine out; ``left_over`` counts old pieces without
    a place."""

    machine: str
    in_the_way: tuple[Unsettled, ...]
    left_over: int = 0


@dataclass(frozen=True, slots=True)
class BoundRecord:
    """All that goes into the bound record of one machine.

    ``about`` is its maker, model and year. ``acts``: each is its number, day, what was done and
    why, and whether it stands. ``closed`` is the day and the note of closing it out, empty where
    it was not. ``jobs`` are what was done at steps and is no piece.
    """

    machine: str
    about: str
    items: tuple[Item, ...]
    refits: Refits
    torques: Mapping[int, MakerTorque]
    readings: Sequence[ReadingOnRecord]
    bought: Mapping[int, Sequence[str]]
    shots: Mapping[int, Sequence[Shot]]
    acts: tuple[tuple[int, str, str, str, bool], ...]
    in_the_way: tuple[Unsettled, ...]
    closed: tuple[str, ...]
    jobs: tuple[Job, ...] = ()
    turns: tuple[Turn, ...] = ()


def hand_over(context: Context, ask: HandOver) -> HandedOver:
    """Return the words that were kept.

    Raises:
        NotationError: no words, or too many.
    """
    text = clean(ask.words, "the note", most=NOTE_LENGTH)
    with context.writing(ask) as writer:
        on = machine_named(writer.connection, context.machine)
        short = text if len(text) <= 60 else f"{text[:59]}…"
        act = writer.begin(ActKind.HANDOVER, f"note for {on.name}: {short}", at=context.at)
        writer.append(HandoverRow(act_id=act, machine_id=on.number, text=text))
    return HandedOver(act=act, trial=ask.trial, machine=on.name, words=text)


def end_of_day(context: Context, note: HandedOver | None = None) -> EndOfDay:
    """Return what is off, only finger-tight, begun, open and waiting, with the last notes.

    ``note`` was handed over just now; of a trial it is among them, though not on record.
    """
    trial = note is not None and note.trial
    with context.reading() as connection:
        on = machine_named(connection, context.machine)
        words = handovers(connection, on.number)
        if note is not None and note.trial:
            words = [(context.at or today().isoformat(), note.words), *words]
        status = status_on(connection, on.number)
        told = turns(connection, on.number)
        copies = known_copies(context.store, connection)
    last = max((each.step.date for each in status.steps.values()), default="")
    left = day_end(status, since=last)
    return EndOfDay(on.name, tuple(words[:WORDS_KEPT]), left, trial, tuple(told), copies)


def close_out(context: Context, ask: CloseOut) -> ClosedOut:
    """Return that a machine is closed out: nothing left over, short or away, no snag open, all
    checks signed.

    Raises:
        Refused: something stands in the way, or it is closed out already.
    """
    note = clean(ask.note, "the note", most=NOTE_LENGTH, empty=True)
    with context.writing(ask) as writer:
        on = machine_named(writer.connection, context.machine)
        before = closed_out(writer.connection, on.number)
        if before:
            raise Refused("closed out already", machine=on.name, act=before[0], day=before[1])
        status = status_on(writer.connection, on.number)
        if not status.steps and not on.for_parts:
            raise Refused("nothing to close", machine=on.name)
        matters = in_the_way(status)
        if matters:
            raise Refused(
                "in the way of closing",
                machine=on.name,
                matters=tuple(matters),
                hint=Hint("look before closing"),
            )
        act = writer.begin(ActKind.CLOSE, f"{on.name} closed out", reason=note, at=context.at)
        writer.append(ClosingRow(act_id=act, machine_id=on.number, note=note))
    return ClosedOut(act=act, trial=ask.trial, machine=on.name)


def reopen(context: Context, ask: Reopen) -> Reopened:
    """Return that a machine that was closed out may be worked on again.

    Raises:
        Refused: it is not closed out.
        NotationError: no reason.
    """
    reason = clean(ask.reason, "the reason", most=NOTE_LENGTH)
    with context.writing(ask) as writer:
        on = machine_named(writer.connection, context.machine)
        closed = closed_out(writer.connection, on.number)
        if closed is None:
            raise Refused("not closed out", machine=on.name)
        act = writer.begin(ActKind.REOPEN, f"{on.name} opened again", reason=reason, at=context.at)
        writer.append(ReopeningRow(act_id=act, machine_id=on.number, reason=reason))
    return Reopened(act=act, trial=ask.trial, machine=on.name, closed_on=closed[1], reason=reason)


def look_before_closing(context: Context) -> InTheWay:
    """Return all that stands in the way of closing a machine out."""
    with context.reading() as connection:
        on = machine_named(connection, context.machine)
        status = status_on(connection, on.number)
        over = sum(piece.left_over for piece in status.pieces.values())
        return InTheWay(on.name, tuple(in_the_way(status)), over)


def bound_record(context: Context, pictures: str = "") -> BoundRecord:
    """Return all that goes into the bound record; ``pictures`` is the folder they are kept in,
    where that is not beside the stores.

    Raises:
        Refused: nothing was taken off yet.
    """
    from stores.storage.strip import read_jobs

    with context.reading() as connection:
        on = machine_named(connection, context.machine)
        items = read_items(connection, machine=on.number)
        jobs = read_jobs(connection, on.number)
        if not jobs and not any(item.step.number for item in items):
            raise Refused("no record to bind", machine=on.name)
        closing = closed_out(connection, on.number)
        return BoundRecord(
            on.name,
            ", ".join(filter(None, (on.maker, on.model, on.year))),
            tuple(items),
            read_refits(connection, on.number),
            maker_torques(connection, [item.number for item in items]),
            read_readings(connection, on.number),
            bought_from(connection, on.number),
            _shots(context, on, pictures),
            tuple(
                (act.number, act.happened_at[:10], act.summary, act.reason, act.stands)
                for act in reversed(act_lines(connection))
            ),
            () if closing else tuple(in_the_way(status_on(connection, on.number))),
            closing[1:] if closing else (),
            tuple(jobs),
            tuple(turns(connection, on.number)),
        )


def _shots(context: Context, machine: Machine, pictures: str) -> dict[int, list[Shot]]:
    """Return the pictures of each step, in the order they were taken."""
    from stores.storage.pictures import read_pictures
    from stores.usecases.pictures import picture_folder, shots_on_record

    with context.reading() as connection:
        if not read_pictures(connection, machine.number):
            return {}
        made = shots_on_record(connection, machine, picture_folder(context.store, pictures))
    by_step: dict[int, list[Shot]] = {}
    for shot in made:
        by_step.setdefault(shot.step, []).append(shot)
    return by_step
