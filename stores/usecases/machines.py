"""Machines: what is being restored, or a donor kept for parts."""

from dataclasses import dataclass, replace

from stores.errors import Refused
from stores.model.ledger import ActKind, PlaceKind
from stores.storage.machines import Machine, read_machines
from stores.text import clean, fold
from stores.usecases.common import NOTE_LENGTH
from stores.usecases.context import Ask, Context, Reply

__all__ = ["AddMachine", "MachineAdded", "add_machine", "check_machine", "machines"]


@dataclass(frozen=True, slots=True)
class AddMachine(Ask):
    """A machine to restore."""

    name: str
    maker: str = ""
    model: str = ""
    year: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineAdded(Reply):
    """A machine on record; ``stores`` is the file or database it was added to."""

    machine: str
    stores: str


def check_machine(ask: AddMachine) -> AddMachine:
    """Return what is said of a machine, tidied: checked before a file is begun for it.

    Raises:
        NotationError, BadValue: no name, or text that cannot be kept.
    """
    return replace(
        ask,
        name=clean(ask.name, "the machine's name", most=80),
        maker=clean(ask.maker, "the maker", most=80, empty=True),
        model=clean(ask.model, "the model", most=80, empty=True),
        year=clean(ask.year, "the year", most=80, empty=True),
        note=clean(ask.note, "the note", most=NOTE_LENGTH, empty=True),
    )


def add_machine(context: Context, ask: AddMachine) -> MachineAdded:
    """Add a machine to restore.

    Raises:
        Refused: there is one of that name.
        NotationError: no name, or text that cannot be kept.
    """
    tidy = check_machine(ask)
    with context.writing(ask) as writer:
        names = {fold(machine.name) for machine in read_machines(writer.connection)}
        if fold(tidy.name) in names:
            raise Refused("machine's name taken", name=tidy.name)
        act = writer.begin(ActKind.MACHINE, f"machine {tidy.name} added", at=context.at)
        writer.machine(
            act, tidy.name, maker=tidy.maker, model=tidy.model, year=tidy.year, note=tidy.note
        )
        writer.place(PlaceKind.MACHINE, tidy.name)
    return MachineAdded(
        act=act, trial=ask.trial, machine=tidy.name, stores=context.store.short_name
    )


def machines(context: Context) -> tuple[Machine, ...]:
    """Return the machines, in the order in which they were added."""
    with context.reading() as connection:
        return tuple(read_machines(connection))
