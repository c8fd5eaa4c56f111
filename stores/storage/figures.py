"""Figures of machines: what stands of the sumps, readings, makers' torques and joints."""

from collections.abc import Collection
from fractions import Fraction
from typing import Any

from sqlalchemy import Connection, select
from sqlmodel import col

from stores.planning.figures import JointHoles, MakerTorque, Reading, SumpOnRecord
from stores.storage.acts import reversed_acts
from stores.storage.balances import of_numbers
from stores.storage.rows import (
    ActRow,
    FigureRow,
    JointRow,
    MachineRow,
    ReadingRow,
    StepRow,
    SumpRow,
)
from stores.text import local_day

__all__ = ["maker_torques", "read_joints", "read_readings", "read_sumps", "step_row"]


def read_sumps(connection: Connection, machine: int) -> list[SumpOnRecord]:
    """Give the sumps of a machine, in the order in which they were first recorded."""
    gone = reversed_acts(connection)
    rows: Any = connection.execute(
        select(SumpRow.__table__, col(MachineRow.name).label("machine"))  # type: ignore[attr-defined]
        .join(MachineRow, col(MachineRow.id) == col(SumpRow.machine_id))
        .where(col(SumpRow.machine_id) == machine)
        .order_by(col(SumpRow.id))
    )
    newest: dict[str, SumpOnRecord] = {}
    for row in rows:
        if row.act_id not in gone:
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


def read_readings(connection: Connection, machine: int) -> list[Reading]:
    """Give all standing readings of a machine, the oldest first."""
    gone = reversed_acts(connection)
    rows: Any = connection.execute(
        select(
            ReadingRow.__table__,  # type: ignore[attr-defined]
            col(MachineRow.name).label("machine"),
            col(ActRow.happened_at),
        )
        .join(MachineRow, col(MachineRow.id) == col(ReadingRow.machine_id))
        .join(ActRow, col(ActRow.id) == col(ReadingRow.act_id))
        .where(col(ReadingRow.machine_id) == machine)
        .order_by(col(ReadingRow.id))
    )
    return [
        Reading(
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
        if row.act_id not in gone
    ]


def maker_torques(connection: Connection, items: Collection[int]) -> dict[int, MakerTorque]:
    """Give the maker's torques of these items: the newest standing one of each."""
    gone = reversed_acts(connection)
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
        if row.act_id not in gone
    }


def read_joints(connection: Connection, machine: int) -> dict[int, JointHoles]:
    """Give the joints of a machine whose holes are recorded, by step number."""
    gone = reversed_acts(connection)
    rows: Any = connection.execute(
        select(
            col(JointRow.act_id),
            col(JointRow.holes),
            col(JointRow.stated_order),
            col(JointRow.source),
            col(StepRow.act_id).label("step_act"),
            col(StepRow.number),
            col(MachineRow.name).label("machine"),
        )
        .join(StepRow, col(StepRow.id) == col(JointRow.step_id))
        .join(MachineRow, col(MachineRow.id) == col(StepRow.machine_id))
        .where(col(StepRow.machine_id) == machine)
        .order_by(col(JointRow.id))
    )
    return {
        row.number: JointHoles(row.machine, row.number, row.holes, row.stated_order, row.source)
        for row in rows
        if row.act_id not in gone and row.step_act not in gone
    }


def step_row(connection: Connection, machine: int, number: int) -> int | None:
    """Give the row of a standing step, None if there is none."""
    gone = reversed_acts(connection)
    row: Any = connection.execute(
        select(col(StepRow.id), col(StepRow.act_id)).where(
            col(StepRow.machine_id) == machine, col(StepRow.number) == number
        )
    ).first()
    return None if row is None or row.act_id in gone else row.id
