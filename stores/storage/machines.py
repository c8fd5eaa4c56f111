"""Machines: which there are, and which one a person means."""

from collections.abc import Collection
from functools import cache
from typing import Any

from sqlalchemy import Connection, column, func, select, table, text

from stores.errors import Hint, NotFound, Refused
from stores.model.record import Machine
from stores.storage.acts import reversed_acts
from stores.storage.balances import of_numbers
from stores.storage.carried import carried
from stores.storage.corrections import FALLEN, ITEMS, MACHINES, STEPS
from stores.storage.seldom import has_rows
from stores.text import fold

__all__ = [
    "FOR_PARTS",
    "WANTED_BACK",
    "Machine",
    "kept_for_parts",
    "machine_named",
    "machine_numbers",
    "machine_of_act",
    "machine_of_items",
    "read_machines",
]

FOR_PARTS = "for parts"
"""The setting of a machine that is kept for its parts: "yes", or empty for no longer."""
WANTED_BACK = "wanted back"
"""The choice of a step of such a machine that is to go back on all the same: "yes" or empty."""


def kept_for_parts(connection: Connection) -> dict[int, frozenset[int]]:
    """Return the machines that are kept for parts, each with the rows of the steps that are wanted
    back all the same."""
    tables = ("correction", "setting", "step", "step_choice")
    return carried(connection, "for parts", "", tables, lambda: _kept_for_parts(connection))


def _kept_for_parts(connection: Connection) -> dict[int, frozenset[int]]:
    any_chosen = has_rows(connection, "setting")
    rows: Any = connection.execute(_rows_for_parts()).all() if any_chosen else []
    if not rows:
        return {}
    gone = reversed_acts(connection)
    said = {row.machine_id: row.value for row in rows if row.act_id not in gone}
    wanted: dict[int, str] = {}
    choice = _TABLES["step_choice"]
    wishes: Any = connection.execute(
        select(choice.c.act_id, STEPS.c.as_id, choice.c.value)
        .select_from(choice)
        .join(STEPS, STEPS.c.id == choice.c.step_id)
        .where(choice.c.name == WANTED_BACK)
        .order_by(choice.c.id)
    )
    for row in wishes:
        if row.act_id not in gone:
            wanted[row.as_id] = row.value
    back = frozenset(step for step, value in wanted.items() if value)
    return {machine: back for machine, value in said.items() if value}


# Their row classes are not needed for this, and would slow down every command.
_TABLES = {
    name: table(name, *map(column, ("id", "act_id", "machine_id", "step_id", "name", "value")))
    for name in ("setting", "step_choice")
}


@cache
def _rows_for_parts() -> Any:
    setting = _TABLES["setting"]
    return (
        select(setting.c.act_id, setting.c.machine_id, setting.c.value)
        .where(setting.c.name == FOR_PARTS, setting.c.machine_id.is_not(None))
        .order_by(setting.c.id)
    )


def read_machines(connection: Connection) -> list[Machine]:
    """Give the machines, in the order in which they were added."""
    return list(
        carried(
            connection,
            "machines",
            "",
            ("correction", "machine", "setting", "step", "step_choice"),
            lambda: tuple(_read_machines(connection)),
        )
    )


def _read_machines(connection: Connection) -> list[Machine]:
    gone = reversed_acts(connection)
    counts: Any = connection.execute(
        select(STEPS.c.machine_id, func.count(STEPS.c.as_id.distinct()))
        .where(text(f"steps.act_id NOT IN ({FALLEN})"))
        .group_by(STEPS.c.machine_id)
    )
    steps = {machine: int(count) for machine, count in counts}
    donors = kept_for_parts(connection)
    rows: tuple[Any, ...] = carried(
        connection,
        "machine rows",
        "",
        ("correction", "machine"),
        lambda: tuple(connection.execute(select(MACHINES).order_by(MACHINES.c.id))),
    )
    return [
        Machine(
            row.id,
            row.name,
            row.maker,
            row.model,
            row.year,
            row.note,
            steps.get(row.id, 0),
            row.id in donors,
        )
        for row in rows
        if row.act_id not in gone
    ]


def machine_numbers(connection: Connection) -> dict[str, int]:
    """Return the machines by their names, where no more of them is needed."""

    def read() -> dict[str, int]:
        gone = reversed_acts(connection)
        rows = connection.execute(_rows_of_machines())
        return {row.name: row.id for row in rows if row.act_id not in gone}

    return carried(connection, "machine numbers", "", ("correction", "machine"), read)


@cache
def _rows_of_machines() -> Any:
    columns = MACHINES.c
    return select(columns.id, columns.name, columns.act_id).order_by(columns.id)


def machine_named(connection: Connection, name: str | None) -> Machine:
    """Give the machine of this name, or the beginning of its name; without one, the only machine,
    or the one last worked on.

    Raises:
        NotFound: none, or no machine is called that.
        Refused: the beginning fits several.
    """
    known = read_machines(connection)
    if not known:
        raise NotFound("no machine yet", hint=Hint("add_machine"))
    if name is None:
        if len(known) == 1:
            return known[0]
        return _last_worked_on(connection, known)
    wanted = fold(name)
    exact = [machine for machine in known if fold(machine.name) == wanted]
    near = exact or [machine for machine in known if fold(machine.name).startswith(wanted)]
    names = tuple(machine.name for machine in near or known)
    if not near:
        raise NotFound("no such machine", name=name, machines=names)
    if len(near) > 1:
        raise Refused("several machines", name=name, machines=names)
    return near[0]


def _last_worked_on(connection: Connection, known: list[Machine]) -> Machine:
    """Give the machine of the newest standing step, or the one that was added after it."""
    gone = reversed_acts(connection)
    by_number = {machine.number: machine for machine in known}
    steps: Any = connection.execute(
        select(STEPS.c.machine_id, STEPS.c.act_id).order_by(STEPS.c.id.desc())
    )
    last = next(((m, act) for m, act in steps if act not in gone and m in by_number), None)
    added: Any = connection.execute(
        select(MACHINES.c.act_id).where(MACHINES.c.id == known[-1].number)
    ).scalar()
    return known[-1] if last is None or added > last[1] else by_number[last[0]]


def machine_of_act(connection: Connection, act: int) -> Machine | None:
    """Give the machine that an act added."""
    row: Any = connection.execute(
        select(MACHINES.c.id, MACHINES.c.name).where(MACHINES.c.act_id == act)
    ).first()
    return Machine(row.id, row.name) if row else None


def machine_of_items(connection: Connection, items: Collection[int]) -> Machine | None:
    """Give the machine that these items belong to, if there are any."""
    rows: Any = of_numbers(
        connection,
        select(MACHINES.c.id, MACHINES.c.name)
        .select_from(MACHINES)
        .join(ITEMS, ITEMS.c.machine_id == MACHINES.c.id),
        ITEMS.c.id,
        items,
    )
    return Machine(rows[0].id, rows[0].name) if rows else None
