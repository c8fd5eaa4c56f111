"""What a step has besides its items: a job that is no piece, and stacks in their order."""

from functools import cache
from typing import Any

from sqlalchemy import Connection, select
from sqlmodel import Field, SQLModel, col

from stores.model.items import RANKS_APART, Job, Stack, Step
from stores.planning.audit import Fault
from stores.storage.acts import standing
from stores.storage.balances import Wanted, of_numbers
from stores.storage.carried import carried
from stores.storage.corrections import ASSEMBLIES, ITEMS, MACHINES, STEPS
from stores.storage.tables import ActRow
from stores.text import local_day

__all__ = [
    "JobRow",
    "LayerRow",
    "job_of",
    "jobs_ticked_by",
    "open_jobs",
    "read_jobs",
    "read_stacks",
    "stack_faults",
    "ticked_off",
]


class JobRow(SQLModel, table=True):
    """Something done at a step that is not a piece; with ``done`` 1, that it is undone again.

    Of a step. ``reverse`` is how it is undone at the rebuild, empty where that was not said.
    """

    __tablename__ = "job"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    step_id: int = Field(foreign_key="step.id")
    reverse: str = ""
    done: int = 0


class LayerRow(SQLModel, table=True):
    """One shim or washer of a stack: its turn from 1, and how thick it is. Of an item."""

    __tablename__ = "layer"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    item_id: int = Field(foreign_key="item.id")
    number: int
    thickness_nm: int
    unit: str


def read_jobs(connection: Connection, machine: int) -> list[Job]:
    """Return what was done at the steps of a machine and is no piece, by step.

    Two jobs that were made one step are done when both are.
    """
    return list(
        carried(
            connection,
            "jobs",
            machine,
            ("correction", "job", "machine", "step"),
            lambda: tuple(_read_jobs(connection, machine)),
        )
    )


def _read_jobs(connection: Connection, machine: int) -> list[Job]:
    steps: dict[int, Step] = {}
    words: dict[int, dict[int, str]] = {}
    days: dict[int, dict[int, str]] = {}
    for row in standing(connection, _jobs(machine)):
        number = row.number
        if row.done and row.step_id not in words.get(number, ()):
            continue  # the step itself no longer stands
        steps.setdefault(number, _step(row))
        said = words.setdefault(number, {})
        said[row.step_id] = row.reverse or said.get(row.step_id, "")
        if row.put_right is not None:
            said[row.step_id] = row.put_right
        done = local_day(row.happened_at) if row.done else ""
        days.setdefault(number, {})[row.step_id] = done
    return [
        Job(
            steps[number],
            "; ".join(filter(None, dict.fromkeys(words[number].values()))),
            max(days[number].values()) if all(days[number].values()) else "",
        )
        for number in sorted(steps)
    ]


def open_jobs(connection: Connection, step: int) -> list[int]:
    """Return the steps, by row, of the jobs that read as this one and are not ticked off yet."""
    rows: Any = JobRow.__table__  # type: ignore[attr-defined]
    statement = (
        select(rows.c.act_id, rows.c.step_id, rows.c.done)
        .join(STEPS, STEPS.c.id == rows.c.step_id)
        .where(STEPS.c.as_id == step)
        .order_by(rows.c.id)
    )
    done = {row.step_id: bool(row.done) for row in standing(connection, statement)}
    return [number for number, ticked in done.items() if not ticked]


def ticked_off(connection: Connection, act: int) -> list[int]:
    """Return the standing acts that ticked a job off which this act recorded, the newest first."""
    rows: Any = JobRow.__table__  # type: ignore[attr-defined]
    recorded = select(rows.c.step_id).where(rows.c.act_id == act, rows.c.done == 0)
    ticks = standing(
        connection, select(rows.c.act_id).where(rows.c.step_id.in_(recorded), rows.c.done == 1)
    )
    return sorted({row.act_id for row in ticks}, reverse=True)


def jobs_ticked_by(connection: Connection, act: int) -> set[int]:
    """Return the acts that recorded the jobs which this act ticked off."""
    rows: Any = JobRow.__table__  # type: ignore[attr-defined]
    ticked = select(rows.c.step_id).where(rows.c.act_id == act, rows.c.done == 1)
    recorded = select(rows.c.act_id).where(rows.c.step_id.in_(ticked), rows.c.done == 0)
    return set(connection.execute(recorded).scalars())


def job_of(connection: Connection, machine: int, number: int) -> Job | None:
    """Return what was done at a step and is no piece, None where all of it is pieces."""
    return next((job for job in read_jobs(connection, machine) if job.step.number == number), None)


def _jobs(machine: int) -> Any:
    return (
        select(
            JobRow.__table__,  # type: ignore[attr-defined]
            STEPS.c.number,
            STEPS.c.part,
            STEPS.c.note,
            STEPS.c.hazard,
            STEPS.c.reverse.label("put_right"),
            STEPS.c.rank,
            STEPS.c.happened_at.label("step_day"),
            ASSEMBLIES.c.path,
            MACHINES.c.name.label("machine"),
            col(ActRow.happened_at),
        )
        .select_from(JobRow)
        .join(STEPS, STEPS.c.id == col(JobRow.step_id))
        .join(ASSEMBLIES, ASSEMBLIES.c.id == STEPS.c.assembly_id)
        .join(MACHINES, MACHINES.c.id == STEPS.c.machine_id)
        .join(ActRow, col(ActRow.id) == col(JobRow.act_id))
        .where(STEPS.c.machine_id == machine)
        .order_by(col(JobRow.id))
    )


def _step(row: Any) -> Step:
    day = local_day(row.step_day)
    rank = None if row.rank == row.number * RANKS_APART else row.rank
    return Step(row.number, row.machine, row.path, row.part, day, row.note, row.hazard, rank)


def read_stacks(connection: Connection, wanted: Wanted, gone: frozenset[int]) -> dict[int, Stack]:
    """Return the stacks of items: of each the one that was said last."""
    said: dict[int, tuple[int, list[int], str]] = {}
    for row in of_numbers(connection, _rows_of_layers(), col(LayerRow.item_id), wanted):
        if row.act_id in gone:
            continue
        act, layers, _ = said.get(row.item_id, (0, [], ""))
        layers = layers if act == row.act_id else []
        said[row.item_id] = (row.act_id, [*layers, row.thickness_nm], row.unit)
    return {item: Stack(tuple(layers), unit) for item, (_, layers, unit) in said.items()}


@cache
def _rows_of_layers() -> Any:
    rows: Any = LayerRow.__table__  # type: ignore[attr-defined]
    return select(rows).order_by(rows.c.act_id, rows.c.number)


def stack_faults(connection: Connection) -> list[Fault]:
    """Return the stacks whose layers are not as many as the pieces found, or not one after
    another."""
    rows: Any = connection.execute(
        select(
            LayerRow.__table__,  # type: ignore[attr-defined]
            ITEMS.c.act_id.label("item_act"),
            ITEMS.c.found,
            ITEMS.c.line,
            STEPS.c.number.label("step"),
        )
        .select_from(LayerRow)
        .join(ITEMS, ITEMS.c.id == col(LayerRow.item_id))
        .join(STEPS, STEPS.c.id == ITEMS.c.step_id, isouter=True)
        .order_by(col(LayerRow.item_id), col(LayerRow.number))
    )
    stacks: dict[tuple[int, int], list[Any]] = {}
    for row in rows:
        stacks.setdefault((row.item_id, row.act_id), []).append(row)
    faults = []
    for layers in stacks.values():
        first = layers[0]
        turns = [row.number for row in layers]
        whole = first.act_id != first.item_act or len(layers) == first.found
        if not whole or turns != list(range(1, len(layers) + 1)):
            said = f"a stack of {len(layers)}, but {first.found} found"
            faults.append(Fault(f"{first.step or 0}.{first.line}", said))
    return faults
