"""Figures of machines: sumps, readings, makers' torques, joints with their holes.

A machine's figures are acts too: sumps, readings, makers' torques and the holes of a joint are rows
with an act and no movement. The newest standing one counts, so mending one and taking it back need
no code of their own.
"""

from collections.abc import Collection
from fractions import Fraction
from typing import Any

from sqlalchemy import Connection, select
from sqlmodel import Field, SQLModel, col

from stores.model.figures import JointHoles, MakerTorque, ReadingOnRecord, SumpOnRecord
from stores.storage.acts import reversed_acts, standing
from stores.storage.balances import of_numbers
from stores.storage.carried import carried
from stores.storage.corrections import MACHINES, STEPS
from stores.storage.tables import ActRow
from stores.text import local_day

__all__ = [
    "FigureRow",
    "JointRow",
    "ReadingRow",
    "SumpRow",
    "machine_torques",
    "maker_torques",
    "read_joints",
    "read_readings",
    "read_sumps",
    "step_row",
]


class SumpRow(SQLModel, table=True):
    """A place of the machine that holds oil. The newest standing one of a name counts.

    ``number`` is how many alike there are, 0 when it turned out not to exist.
    """

    __tablename__ = "sump"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    machine_id: int = Field(foreign_key="machine.id")
    name: str
    key: str
    number: int = 1
    grade: str = ""
    dry_ml: int | None = None
    refill_ml: int | None = None
    drain: str = ""
    filler: str = ""
    level: str = ""
    note: str = ""
    source: str = ""


class ReadingRow(SQLModel, table=True):
    """Something measured on the machine as a whole, before or after the work.

    ``thousandths`` of ``unit``; a pressure is in kPa on the gauge, ``air_pa`` what the air had.
    """

    __tablename__ = "reading"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    machine_id: int = Field(foreign_key="machine.id")
    subject: str
    key: str
    place: str = ""
    state: str = ""
    stage: str
    thousandths: int
    unit: str = ""
    written: str = ""
    air_pa: int | None = None
    note: str = ""


class FigureRow(SQLModel, table=True):
    """The maker's torque of an item, in thousandths of a newton metre. The newest counts."""

    __tablename__ = "figure"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    item_id: int = Field(foreign_key="item.id")
    low_mnm: int
    high_mnm: int
    state: str = ""
    source: str = ""
    written: str = ""


class JointRow(SQLModel, table=True):
    """Where the holes of a step's joint are, as it was typed. The newest standing one counts."""

    __tablename__ = "joint"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    step_id: int = Field(foreign_key="step.id")
    holes: str
    stated_order: str = ""
    source: str = ""


def read_sumps(connection: Connection, machine: int) -> list[SumpOnRecord]:
    """Return the sumps of a machine, in the order in which they were first recorded."""
    rows = standing(
        connection,
        select(SumpRow.__table__, MACHINES.c.name.label("machine"))  # type: ignore[attr-defined]
        .select_from(SumpRow)
        .join(MACHINES, MACHINES.c.id == col(SumpRow.machine_id))
        .where(col(SumpRow.machine_id) == machine)
        .order_by(col(SumpRow.id)),
    )
    newest: dict[str, SumpOnRecord] = {}
    for row in rows:
        newest[row.key] = SumpOnRecord(
            row.machine,
            row.name,
            row.number,
            row.grade,
            row.dry_ml,
            row.refill_ml,
            row.drain,
            row.filler,
            row.level,
            row.note,
            row.source,
        )
    return [sump for sump in newest.values() if sump.number]


def read_readings(connection: Connection, machine: int) -> list[ReadingOnRecord]:
    """Return all standing readings of a machine, the oldest first."""
    rows = standing(
        connection,
        select(
            ReadingRow.__table__,  # type: ignore[attr-defined]
            MACHINES.c.name.label("machine"),
            col(ActRow.happened_at),
        )
        .select_from(ReadingRow)
        .join(MACHINES, MACHINES.c.id == col(ReadingRow.machine_id))
        .join(ActRow, col(ActRow.id) == col(ReadingRow.act_id))
        .where(col(ReadingRow.machine_id) == machine)
        .order_by(col(ReadingRow.id)),
    )
    return [
        ReadingOnRecord(
            row.machine,
            row.act_id,
            row.subject,
            row.place,
            row.state,
            row.stage,
            Fraction(row.thousandths, 1000),
            row.unit,
            row.written,
            local_day(row.happened_at),
            None if row.air_pa is None else Fraction(row.air_pa, 1000),
            row.note,
        )
        for row in rows
    ]


def maker_torques(connection: Connection, items: Collection[int]) -> dict[int, MakerTorque]:
    """Return the maker's torques of these items: the newest standing one of each."""
    reversed_numbers = reversed_acts(connection)
    statement: Any = select(FigureRow.__table__).order_by(col(FigureRow.id))  # type: ignore[attr-defined]
    return {
        row.item_id: MakerTorque(
            row.item_id,
            row.low_mnm / 1000,
            row.high_mnm / 1000,
            row.state,
            row.source,
            row.written,
        )
        for row in of_numbers(connection, statement, col(FigureRow.item_id), items)
        if row.act_id not in reversed_numbers
    }


def machine_torques(
    connection: Connection, machine: int, items: Collection[int]
) -> dict[int, MakerTorque]:
    """Return the maker's torques of these items, all of a machine, or of more than these."""
    return carried(
        connection,
        "torques",
        machine,
        ("figure", "item", "correction"),
        lambda: maker_torques(connection, items),
    )


def read_joints(connection: Connection, machine: int) -> dict[int, JointHoles]:
    """Return the joints of a machine whose holes are recorded, by step number."""
    return carried(
        connection,
        "joints",
        machine,
        ("joint", "machine", "step", "correction"),
        lambda: _read_joints(connection, machine),
    )


def _read_joints(connection: Connection, machine: int) -> dict[int, JointHoles]:
    reversed_numbers = reversed_acts(connection)
    rows: Any = connection.execute(
        select(
            col(JointRow.act_id),
            col(JointRow.holes),
            col(JointRow.stated_order),
            col(JointRow.source),
            STEPS.c.act_id.label("step_act"),
            STEPS.c.number,
            MACHINES.c.name.label("machine"),
        )
        .select_from(JointRow)
        .join(STEPS, STEPS.c.id == col(JointRow.step_id))
        .join(MACHINES, MACHINES.c.id == STEPS.c.machine_id)
        .where(STEPS.c.machine_id == machine)
        .order_by(col(JointRow.id))
    )
    return {
        row.number: JointHoles(row.machine, row.number, row.holes, row.stated_order, row.source)
        for row in rows
        if row.act_id not in reversed_numbers and row.step_act not in reversed_numbers
    }


def step_row(connection: Connection, machine: int, number: int) -> int | None:
    """Return the row of a standing step, None if there is none; of steps that were made one, that
    which the others read as."""
    reversed_numbers = reversed_acts(connection)
    row: Any = connection.execute(
        select(STEPS.c.id, STEPS.c.act_id).where(
            STEPS.c.machine_id == machine, STEPS.c.number == number, STEPS.c.id == STEPS.c.as_id
        )
    ).first()
    return None if row is None or row.act_id in reversed_numbers else row.id
