"""What was done: the history, taking it back, and whether everything is accounted for.

An act is not undone while an item that it brought in has pieces from elsewhere: they would be out
of sight, on an item that no longer stands. The audit checks for such pieces too.
"""

from dataclasses import dataclass

from sqlalchemy import Connection

from stores.errors import BadValue, Hint, NotFound, Refused
from stores.model.ledger import Act, ActKind, reverse
from stores.model.outwork import Debt
from stores.planning.audit import Fault
from stores.planning.audit import audit as audit_record
from stores.planning.counts import Stocktake, stocktake
from stores.storage import Writer
from stores.storage.acts import ActLine, act_lines, act_of_step, act_summary
from stores.storage.items import read_items
from stores.storage.machines import machine_named, machine_of_act, machine_of_items, read_machines
from stores.storage.opening import file_check
from stores.storage.orders import order_faults, order_in_use
from stores.storage.outwork import batch_faults, debt_faults, read_debts, work_faults
from stores.storage.parts_lists import list_read_twice
from stores.storage.places import stowed_in_a_ring
from stores.storage.search import read_bags
from stores.storage.whole import read_record
from stores.text import clean, fold
from stores.usecases.common import NOTE_LENGTH, count_of
from stores.usecases.context import Ask, Context, Reply

__all__ = ["Audit", "Undo", "Undone", "audit", "history", "undo"]


@dataclass(frozen=True, slots=True)
class Undo(Ask):
    """An act to take back: of this number, or without one the last that stands.

    ``by`` says what the number is of: "act", "step", or "" where only one of them can be meant.
    """

    number: str | int | None = None
    by: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Undone(Reply):
    """An act taken back; ``act`` is the one that took it back and can be undone in turn."""

    undone: int
    summary: str
    pieces: int


@dataclass(frozen=True, slots=True)
class Audit:
    """Every fault of the record, and what is where. ``stocktake`` is None where the record cannot
    be read: the faults say what cannot."""

    faults: tuple[Fault, ...]
    stocktake: Stocktake | None
    debts: tuple[Debt, ...]


def history(context: Context, most: str | int | None = None) -> tuple[ActLine, ...]:
    """Return what was done, the newest first; an act that was undone is among it, marked.

    Raises:
        BadValue: not a count of at least 1.
    """
    try:
        wanted = count_of(most)
    except BadValue:
        raise BadValue("how many acts", typed=str(most)[:20]) from None
    with context.reading() as connection:
        return tuple(act_lines(connection, wanted))


def undo(context: Context, ask: Undo) -> Undone:
    """Take an act back. The record keeps both.

    Raises:
        NotFound: nothing to undo, or no such act.
        Refused: it is undone already, its pieces have moved on since, or the number is of an act
            and of a step.
    """
    reason = clean(ask.reason, "the reason", most=NOTE_LENGTH, empty=True)
    number = _number(ask.number)
    with context.writing(ask) as writer:
        reversed_numbers = writer.fallen()
        if number is not None:
            number = _act_meant(writer.connection, number, ask.by, context.machine)
        else:
            number = _last_act(writer, reversed_numbers)
        row_and_act = writer.act(number)
        if row_and_act is None:
            raise NotFound("no such act", act=number, hint=Hint("history"))
        row, act = row_and_act
        if number in reversed_numbers:
            raise Refused("undone already", act=number, summary=row.summary)
        if act.kind is ActKind.MACHINE:
            _refuse_machine_in_use(writer.connection, number)
        if act.kind is ActKind.ORDER and (used := order_in_use(writer.connection, number)):
            raise Refused("order in use", order=used, hint=Hint("history"))
        try:
            back = reverse(writer.stock_for(act.movements), number, act, writer.reversals(), reason)
        except Refused:
            later = writer.later_acts(number, {move.item for move in act.movements})
            raise Refused(
                "moved on since", act=number, summary=row.summary, later=tuple(later)
            ) from None
        _refuse_stranding(writer, number, back)
        if act.kind is ActKind.REVERSE:
            _refuse_orphan(writer, number)
        word = "redo" if act.kind is ActKind.REVERSE else "undo"
        written = writer.begin(
            ActKind.REVERSE,
            f"{word} act {number}: {row.summary}",
            reason=reason,
            at=context.at,
            reverses=back.reverses,
        )
        writer.move(written, back)
        if stowed_in_a_ring(writer.connection):
            raise Refused("a box inside itself")
        if word == "redo" and (twice := list_read_twice(writer.connection)):
            raise Refused("list read in again", name=twice[0], act=twice[1])
    return Undone(
        act=written,
        trial=ask.trial,
        undone=number,
        summary=row.summary,
        pieces=sum(movement.quantity for movement in act.movements),
    )


def _number(typed: str | int | None) -> int | None:
    try:
        return count_of(typed)
    except BadValue as error:
        if error.fact == "count out of range":
            raise BadValue("acts begin at 1", act=error.facts["count"]) from None
        raise


def _last_act(writer: Writer, reversed_numbers: frozenset[int]) -> int:
    for act, kind in writer.acts_newest_first():
        if act not in reversed_numbers and kind is not ActKind.REVERSE:
            return act
    raise NotFound("nothing to undo")


def _act_meant(connection: Connection, number: int, by: str, machine: str | None) -> int:
    """Return the act that a person means by a number: of an act, or of a step."""
    if by == "act":
        return number
    step_act = None
    if read_machines(connection):
        step_act = act_of_step(connection, machine_named(connection, machine).number, number)
    if by == "step":
        if step_act is None:
            raise NotFound("no step of that number", step=number, hint=Hint("history"))
        return step_act
    summary, kind = act_summary(connection, number)
    if step_act not in (None, number) and kind is not ActKind.REVERSE and summary:
        raise Refused("an act and a step", number=number, summary=summary, act=step_act)
    return number


def _refuse_machine_in_use(connection: Connection, number: int) -> None:
    machine = machine_of_act(connection, number)
    if machine is not None and read_items(connection, machine=machine.number):
        raise Refused("machine has steps", machine=machine.name)


def _refuse_stranding(writer: Writer, number: int, back: Act) -> None:
    """Refuse to undo an act whose items have had pieces since: they would be out of sight."""
    born = writer.items_born(number)
    stock = writer.stock(born)
    for movement in back.movements:
        stock.balance.apply(movement)
    left = sorted({item for item, _, _ in stock.balance if item in born})
    if left:
        names = tuple(stock.name_item(item) for item in left[:3])
        raise Refused("items moved since", act=number, items=names)


def _refuse_orphan(writer: Writer, number: int) -> None:
    """Refuse to bring an act back when its machine is undone, or its name is taken."""
    origin = number
    while (found := writer.act(origin)) is not None and found[1].reverses is not None:
        origin = found[1].reverses
    machines = read_machines(writer.connection)
    added = machine_of_act(writer.connection, origin)
    if added is not None and fold(added.name) in {fold(machine.name) for machine in machines}:
        raise Refused("machine's name taken by now", machine=added.name)
    owner = machine_of_items(writer.connection, writer.items_born(origin))
    if owner is not None and owner.number not in {machine.number for machine in machines}:
        raise Refused("its machine is undone", machine=owner.name)


def audit(context: Context) -> Audit:
    """Check the whole record: every fault, and what is where; no fault means that every piece is
    accounted for."""
    from stores.storage.closing import closing_faults
    from stores.storage.counts import count_faults

    with context.reading() as connection:
        record, faults = read_record(connection)
        faults += audit_record(record)
        faults += count_faults(connection) + closing_faults(connection)
        faults += [Fault("the file", fault) for fault in file_check(connection)]
        faults += batch_faults(connection)
        faults += order_faults(connection)
        faults += debt_faults(connection)
        faults += work_faults(connection)
        for name in stowed_in_a_ring(connection):
            faults.append(Fault(name, "sits inside itself by way of others"))
        try:
            items = read_items(connection)
            counted = stocktake(items, read_bags(connection, items))
            debts = tuple(read_debts(connection))
        except (KeyError, TypeError, ValueError):
            # What cannot be read cannot be counted; the faults say what that is.
            if not faults:
                raise
            return Audit(tuple(faults), None, ())
    return Audit(tuple(faults), counted, debts)
