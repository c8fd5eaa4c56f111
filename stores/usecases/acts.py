"""Machines, undoing, and the audit."""

from sqlalchemy import Connection

from stores.errors import BadValue, NotFound, Refused
from stores.handbook.benchline import clean
from stores.model.items import counted
from stores.model.ledger import Act, ActKind, Fault, PlaceKind, reverse
from stores.model.ledger import audit as audit_record
from stores.storage import Store, Writer
from stores.storage.acts import act_of_step, act_summary
from stores.storage.items import read_items
from stores.storage.machines import machine_named, machine_of_act, machine_of_items, read_machines
from stores.storage.opening import file_check
from stores.storage.orders import order_faults, order_in_use
from stores.storage.outwork import batch_faults, debt_faults
from stores.storage.parts_lists import list_read_twice
from stores.storage.places import stowed_in_a_ring
from stores.storage.whole import read_record
from stores.storage.writer import fold
from stores.usecases.common import NOTE_LENGTH, Done

__all__ = ["act_named", "add_machine", "audit", "check_machine", "undo"]


def add_machine(
    store: Store,
    name: str,
    *,
    maker: str = "",
    model: str = "",
    year: str = "",
    note: str = "",
    at: str | None = None,
) -> Done:
    """Add a machine to restore.

    Raises:
        Refused: there is one of that name.
        NotationError: no name, or text that cannot be kept.
    """
    name, maker, model, year, note = check_machine(
        name, maker=maker, model=model, year=year, note=note
    )
    with store.writing() as writer:
        known = read_machines(writer.connection)
        if fold(name) in {fold(machine.name) for machine in known}:
            raise Refused(f"there is a machine called {name!r} already: give this one another name")
        act = writer.begin(ActKind.MACHINE, f"machine {name} added", at=at)
        writer.machine(act, name, maker=maker, model=model, year=year, note=note)
        writer.place(PlaceKind.MACHINE, name)
    return Done(
        act,
        (f"Machine {name} added to {store.short_name}.",),
        ('Next: stores strip "ASSEMBLY" "WHAT CAME OFF" "4 M6x25 hex" ...',),
        data={"act": act, "machine": name},
    )


def check_machine(
    name: str, *, maker: str = "", model: str = "", year: str = "", note: str = ""
) -> tuple[str, str, str, str, str]:
    """Check what is said of a machine, before a file is begun for it; give it tidied.

    Raises:
        NotationError, BadValue: no name, or text that cannot be kept.
    """
    return (
        clean(name, "the machine's name", most=80),
        clean(maker, "the maker", most=80, empty=True),
        clean(model, "the model", most=80, empty=True),
        clean(year, "the year", most=80, empty=True),
        clean(note, "the note", most=NOTE_LENGTH, empty=True),
    )


def act_named(store: Store, number: int, by: str = "", *, machine: str | None = None) -> int:
    """Give the act that a person means by a number: of an act, or of a step.

    Raises:
        NotFound: no such step.
        Refused: there is a step of that number, which is another act, and neither was said.
    """
    with store.reading() as connection:
        if by == "act":
            return number
        step = None
        if read_machines(connection):
            on = machine_named(connection, machine)
            step = act_of_step(connection, on.number, number)
        if by == "step":
            if step is None:
                raise NotFound(f"no step {number}: 'stores history' lists what was done")
            return step
        summary, kind = act_summary(connection, number)
        if step is not None and step != number and kind is not ActKind.REVERSE and summary:
            raise Refused(
                f"act {number} is '{summary}', step {number} is act {step}: "
                f"say 'stores undo act {number}' or 'stores undo step {number}'"
            )
    return number


def undo(
    store: Store, number: int | None = None, *, reason: str = "", at: str | None = None
) -> Done:
    """Take back the last act that stands, or the act of this number. The record keeps both.

    Raises:
        NotFound: nothing to undo, or no such act.
        Refused: it is undone already, or its pieces have moved on since.
    """
    reason = clean(reason, "the reason", most=NOTE_LENGTH, empty=True)
    if number is not None and number < 1:
        raise BadValue(f"acts are numbered from 1, there is no act {number}")
    with store.writing() as writer:
        gone = writer.fallen()
        if number is None:
            number = next(
                (
                    act
                    for act, kind in writer.acts_newest_first()
                    if act not in gone and kind is not ActKind.REVERSE
                ),
                None,
            )
            if number is None:
                raise NotFound("there is nothing to undo")
        found = writer.act(number)
        if found is None:
            raise NotFound(f"no act {number}: 'stores history' lists them")
        row, act = found
        if number in gone:
            raise Refused(f"act {number} ({row.summary}) is undone already")
        if act.kind is ActKind.MACHINE:
            _refuse_machine_in_use(writer.connection, number)
        if act.kind is ActKind.ORDER and (used := order_in_use(writer.connection, number)):
            raise Refused(
                f"pieces of order {used} came or were cancelled since: undo that first, "
                "'stores history' lists it"
            )
        # An act that was undone and brought back stands by the act that brought it back.
        upheld_by = writer.upheld_by(number)
        try:
            back = reverse(
                writer.stock_for(act.movements), upheld_by, _of(writer, upheld_by), reason
            )
        except Refused:
            later = writer.later_acts(number, {move.item for move in act.movements})
            listed = ", ".join(str(each) for each in later)
            raise Refused(
                f"act {number} ({row.summary}) cannot be undone, its pieces have moved on since: "
                f"undo first act {listed}"
            ) from None
        _refuse_stranding(writer, number, back)
        if act.kind is ActKind.REVERSE:
            _refuse_orphan(writer, number)
        word = "redo" if act.kind is ActKind.REVERSE else "undo"
        written = writer.begin(
            ActKind.REVERSE,
            f"{word} act {number}: {row.summary}",
            reason=reason,
            at=at,
            reverses=upheld_by,
        )
        writer.move(written, back)
        if stowed_in_a_ring(writer.connection):
            raise Refused("that would put a box inside itself: undo the later 'stow' first")
        if word == "redo" and (twice := list_read_twice(writer.connection)):
            raise Refused(f"{twice[0]!r} was read in again since: undo act {twice[1]} first")
    pieces = sum(movement.quantity for movement in act.movements)
    what = f"{counted(pieces)} put back" if pieces else "no piece moved"
    return Done(
        written,
        (f"Undone: act {number}, {row.summary} ({what}).",),
        (f"To bring it back: stores undo act {written}",),
        data={"act": written, "undone": number, "summary": row.summary, "pieces": pieces},
    )


def _refuse_machine_in_use(connection: Connection, number: int) -> None:
    machine = machine_of_act(connection, number)
    if machine is not None and read_items(connection, machine=machine.number):
        raise Refused(
            f"machine {machine.name} has steps: undo those first, then the machine itself"
        )


def _of(writer: Writer, number: int) -> Act:
    found = writer.act(number)
    if found is None:
        raise NotFound(f"no act {number}")
    return found[1]


def _refuse_stranding(writer: Writer, number: int, back: Act) -> None:
    """Refuse to undo an act whose items have had pieces since: they would be out of sight."""
    born = writer.items_born(number)
    stock = writer.stock(born)
    for movement in back.movements:
        stock.balance.apply(movement)
    left = sorted({item for item, _, _ in stock.balance if item in born})
    if left:
        names = ", ".join(stock.name_item(item) for item in left[:3])
        raise Refused(f"act {number} cannot be undone, {names} moved since: undo that first")


def _refuse_orphan(writer: Writer, number: int) -> None:
    """Refuse to bring an act back when its machine is undone, or its name is taken."""
    origin = number
    while (found := writer.act(origin)) is not None and found[1].reverses is not None:
        origin = found[1].reverses
    machines = read_machines(writer.connection)
    added = machine_of_act(writer.connection, origin)
    if added is not None and fold(added.name) in {fold(machine.name) for machine in machines}:
        raise Refused(f"there is another machine called {added.name} by now")
    owner = machine_of_items(writer.connection, writer.items_born(origin))
    if owner is not None and owner.number not in {machine.number for machine in machines}:
        raise Refused(f"its machine {owner.name} is undone: bring that back first")


def audit(store: Store) -> list[Fault]:
    """Check the whole record and give every fault; none means that every piece is accounted for."""
    from stores.storage.closing import closing_faults
    from stores.storage.counts import count_faults

    with store.reading() as connection:
        record, faults = read_record(connection)
        faults += audit_record(record)
        faults += count_faults(connection) + closing_faults(connection)
        faults += [Fault("the file", fault) for fault in file_check(connection)]
        faults += batch_faults(connection)
        faults += order_faults(connection)
        faults += debt_faults(connection)
        for name in stowed_in_a_ring(connection):
            faults.append(Fault(name, "sits inside itself by way of others"))
    return faults
