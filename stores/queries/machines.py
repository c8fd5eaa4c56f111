"""Machines: which there are, and which one a person means."""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, select
from sqlmodel import col

from stores.errors import NotFound, Refused
from stores.queries.acts import fallen
from stores.storage.rows import MachineRow, StepRow

__all__ = ["Machine", "machine_named", "machine_of_act", "machines"]


@dataclass(frozen=True, slots=True)
class Machine:
    """What is being restored."""

    number: int
    name: str
    maker: str = ""
    model: str = ""
    year: str = ""
    note: str = ""
    steps: int = 0


def machines(connection: Connection) -> list[Machine]:
    """Give the machines, in the order in which they were added."""
    gone = fallen(connection)
    steps: dict[int, int] = {}
    for machine, act in connection.execute(select(col(StepRow.machine_id), col(StepRow.act_id))):
        if act not in gone:
            steps[machine] = steps.get(machine, 0) + 1
    rows = connection.execute(select(MachineRow.__table__).order_by(col(MachineRow.id)))  # type: ignore[attr-defined]
    return [
        Machine(row.id, row.name, row.maker, row.model, row.year, row.note, steps.get(row.id, 0))
        for row in rows
        if row.act_id not in gone
    ]


def machine_named(connection: Connection, name: str | None) -> Machine:
    """Give the machine of this name, or the beginning of its name; without one, the only machine,
    or the one last worked on.

    Raises:
        NotFound: none, or no machine is called that.
        Refused: the beginning fits several.
    """
    known = machines(connection)
    if not known:
        raise NotFound("no machine yet: add one with 'stores machine add NAME'")
    if name is None:
        if len(known) == 1:
            return known[0]
        gone = fallen(connection)
        by_number = {machine.number: machine for machine in known}
        rows = connection.execute(
            select(col(StepRow.machine_id), col(StepRow.act_id)).order_by(col(StepRow.id).desc())
        )
        for machine, act in rows:
            if act not in gone and machine in by_number:
                return by_number[machine]
        return known[-1]
    wanted = " ".join(name.casefold().split())
    exact = [machine for machine in known if machine.name.casefold() == wanted]
    near = exact or [machine for machine in known if machine.name.casefold().startswith(wanted)]
    names = ", ".join(machine.name for machine in near or known)
    if not near:
        raise NotFound(f"no machine called {name!r} here; there is {names}")
    if len(near) > 1:
        raise Refused(f"{name!r} fits several machines ({names}): write more of the name")
    return near[0]


def machine_of_act(connection: Connection, act: int) -> Machine | None:
    """Give the machine that an act added."""
    row: Any = connection.execute(
        select(col(MachineRow.id), col(MachineRow.name)).where(col(MachineRow.act_id) == act)
    ).first()
    return Machine(row.id, row.name) if row else None
