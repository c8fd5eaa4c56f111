"""Machines: what is being restored, or a donor kept for parts."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from stores.errors import Hint, Refused
from stores.model.ledger import ActKind, PlaceKind
from stores.storage.machines import (
    FOR_PARTS,
    WANTED_BACK,
    Machine,
    kept_for_parts,
    machine_named,
    read_machines,
)
from stores.storage.settings import SettingRow
from stores.text import clean, fold
from stores.usecases.common import NOTE_LENGTH, select, step_of
from stores.usecases.context import Ask, Context, Reply
from stores.usecases.templates import template_folder

__all__ = [
    "AddMachine",
    "KeepForParts",
    "KeptForParts",
    "MachineAdded",
    "add_machine",
    "check_machine",
    "keep_for_parts",
    "machines",
]


@dataclass(frozen=True, slots=True)
class AddMachine(Ask):
    """A machine to restore, or a donor that is kept ``for_parts``.

    ``kinds`` are the kinds of machine that it is, for its survey, and ``templates`` the folder of a
    person's own lists, as `stores.usecases.survey.AskSurvey` has them.
    """

    name: str
    maker: str = ""
    model: str = ""
    year: str = ""
    note: str = ""
    for_parts: bool = False
    kinds: Sequence[str] = ()
    templates: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineAdded(Reply):
    """A machine on record; ``stores`` is the file or database it was added to."""

    machine: str
    stores: str
    for_parts: bool = False
    kinds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class KeepForParts(Ask):
    """A machine is kept for its parts and wants nothing back, but for the steps that it ``wants``.

    ``takes_back``: it is to be restored after all, or these steps are not wanted back after all.
    """

    name: str
    wants: Sequence[str] = ()
    takes_back: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptForParts(Reply):
    """Whether a machine is kept for its parts, and which steps are wanted back all the same."""

    machine: str
    for_parts: bool
    wanted: tuple[int, ...]


def check_machine(ask: AddMachine, stores: str) -> AddMachine:
    """Return what is said of a machine, tidied: checked before a file, ``stores``, is begun for it.

    Raises:
        NotationError, BadValue: no name, text that cannot be kept, or a word that fits several
            kinds of machine.
        NotFound: no such kind of machine.
    """
    return replace(
        ask,
        name=clean(ask.name, "the machine's name", most=80),
        maker=clean(ask.maker, "the maker", most=80, empty=True),
        model=clean(ask.model, "the model", most=80, empty=True),
        year=clean(ask.year, "the year", most=80, empty=True),
        note=clean(ask.note, "the note", most=NOTE_LENGTH, empty=True),
        kinds=_kinds(ask.kinds, template_folder(stores, ask.templates)),
    )


def _kinds(typed: Sequence[str], own: Path | None) -> tuple[str, ...]:
    if not typed:
        return ()
    from stores.usecases.survey import kinds_named

    return kinds_named(typed, own)


def add_machine(context: Context, ask: AddMachine) -> MachineAdded:
    """Add a machine to restore.

    Raises:
        Refused: there is one of that name.
        NotationError: no name, or text that cannot be kept.
        NotFound, BadValue: no such kind of machine, or a word that fits several.
    """
    tidy = check_machine(ask, context.store.name)
    with context.writing(ask) as writer:
        names = {fold(machine.name) for machine in read_machines(writer.connection)}
        if fold(tidy.name) in names:
            raise Refused("machine's name taken", name=tidy.name)
        act = writer.begin(ActKind.MACHINE, f"machine {tidy.name} added", at=context.at)
        number = writer.machine(
            act, tidy.name, maker=tidy.maker, model=tidy.model, year=tidy.year, note=tidy.note
        )
        writer.place(PlaceKind.MACHINE, tidy.name)
        if tidy.for_parts:
            writer.append(SettingRow(act_id=act, machine_id=number, name=FOR_PARTS, value="yes"))
        if tidy.kinds:
            from stores.usecases.survey import kind_row

            writer.append(kind_row(act, number, tidy.kinds))
    return MachineAdded(
        act=act,
        trial=ask.trial,
        machine=tidy.name,
        stores=context.store.short_name,
        for_parts=tidy.for_parts,
        kinds=tuple(tidy.kinds),
    )


def keep_for_parts(context: Context, ask: KeepForParts) -> KeptForParts:
    """Record that a machine is kept for its parts: nothing is bought, planned or waited for on its
    account. What it has been owed until then stays on record, and counts again when this is taken
    back.

    Raises:
        Refused: it is so already; steps wanted back of a machine that is to be restored.
        NotFound: no such machine or step.
        NotationError: no name: the machine last worked on is never meant here.
    """
    from stores.storage.items import read_items
    from stores.storage.rebuild import StepChoiceRow
    from stores.usecases.rebuild import standing_step

    name = clean(ask.name, "the machine's name", most=80)
    with context.writing(ask) as writer:
        on = machine_named(writer.connection, name)
        value = "" if ask.takes_back else "yes"
        if ask.wants:
            if not on.for_parts:
                raise Refused(
                    "not kept for parts", machine=on.name, hint=Hint("for_parts", name=on.name)
                )
            steps = {
                step_of(chosen): chosen
                for what in ask.wants
                for chosen in [select(writer.connection, on.name, what, empty=True)]
            }
            listed = ", ".join(map(str, steps))
            words = "not wanted back" if ask.takes_back else "wanted back"
            act = writer.begin(ActKind.PLAN, f"{on.name}, step {listed}: {words}", at=context.at)
            for step, chosen in steps.items():
                row = standing_step(writer, chosen, step)
                writer.append(StepChoiceRow(act_id=act, step_id=row, name=WANTED_BACK, value=value))
        else:
            if on.for_parts is not ask.takes_back:
                raise Refused(
                    "to be restored already" if ask.takes_back else "kept for parts already",
                    machine=on.name,
                )
            words = "to be restored" if ask.takes_back else "kept for parts"
            act = writer.begin(ActKind.SETTING, f"{on.name}: {words}", at=context.at)
            writer.append(SettingRow(act_id=act, machine_id=on.number, name=FOR_PARTS, value=value))
        back = kept_for_parts(writer.connection).get(on.number, frozenset())
        wanted = {
            item.step.number
            for item in read_items(writer.connection, machine=on.number, verdicts=False)
            if back and item.step.number and not item.for_parts
        }
        now = machine_named(writer.connection, on.name)
    return KeptForParts(
        act=act,
        trial=ask.trial,
        machine=on.name,
        for_parts=now.for_parts,
        wanted=tuple(sorted(wanted)),
    )


def machine_worked_on(context: Context) -> Machine:
    """Return the machine that is meant: the one named, else the only one or the last worked on.

    Raises:
        NotFound: there is none yet, or none of this name.
        Refused: the beginning of a name that fits several.
    """
    with context.reading() as connection:
        return machine_named(connection, context.machine)


def machines(context: Context) -> tuple[Machine, ...]:
    """Return the machines, in the order in which they were added."""
    with context.reading() as connection:
        return tuple(read_machines(connection))
