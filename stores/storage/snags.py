"""Snags of a machine, the pictures that show them, and how they were cleared."""

from typing import Any

from sqlalchemy import Connection, func, select
from sqlmodel import Field, SQLModel, col

from stores.model.snags import Snag
from stores.storage.acts import standing
from stores.storage.carried import carried
from stores.storage.corrections import ASSEMBLIES, ITEMS, STEPS
from stores.storage.pictures import PictureRow
from stores.storage.tables import ActRow
from stores.text import local_day

__all__ = [
    "ClearingRow",
    "EvidenceRow",
    "SnagRow",
    "next_snag",
    "open_snags",
    "read_snags",
    "snag_row",
]


class SnagRow(SQLModel, table=True):
    """A fault to clear before an assembly is closed up, numbered within its machine.

    ``sort`` is missing, damaged, not original, leak and the like, or "noted" for what is only put
    on record and needs no clearing.
    """

    __tablename__ = "snag"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    machine_id: int = Field(foreign_key="machine.id")
    number: int
    sort: str
    text: str
    side: str = ""
    assembly_id: int | None = Field(default=None, foreign_key="assembly.id")
    step_id: int | None = Field(default=None, foreign_key="step.id")
    item_id: int | None = Field(default=None, foreign_key="item.id")


class ClearingRow(SQLModel, table=True):
    """How a snag was cleared: a finding, or a renewed part."""

    __tablename__ = "clearing"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    snag_id: int = Field(foreign_key="snag.id")
    how: str
    item_id: int | None = Field(default=None, foreign_key="item.id")


class EvidenceRow(SQLModel, table=True):
    """A picture that shows a snag. Of a pair."""

    __tablename__ = "evidence"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    snag_id: int = Field(foreign_key="snag.id")
    picture_id: int = Field(foreign_key="picture.id")
    taken_off: int = 0


def read_snags(connection: Connection, machine: int) -> list[Snag]:
    """Return the snags of a machine that stand, open and cleared, by number."""
    clearings = _clearings(connection, machine)
    pictures = _pictures(connection)
    rows: Any = connection.execute(select(ASSEMBLIES.c.id, ASSEMBLIES.c.path))
    assemblies = {row.id: row.path for row in rows}
    of = STEPS.alias("of_step")
    rows = standing(
        connection,
        select(
            SnagRow.__table__,  # type: ignore[attr-defined]
            col(ActRow.happened_at),
            of.c.number.label("step"),
            of.c.assembly_id.label("step_assembly"),
            ITEMS.c.line.label("line"),
        )
        .select_from(SnagRow)
        .join(ActRow, col(ActRow.id) == col(SnagRow.act_id))
        .join(ITEMS, ITEMS.c.id == col(SnagRow.item_id), isouter=True)
        # a line is of the step that it is put right to
        .join(of, of.c.id == func.coalesce(ITEMS.c.step_id, col(SnagRow.step_id)), isouter=True)
        .where(col(SnagRow.machine_id) == machine)
        .order_by(col(SnagRow.number)),
    )
    return [
        Snag(
            row.number,
            row.sort,
            row.text,
            row.side,
            assemblies.get(row.step_assembly or row.assembly_id, ""),
            row.step,
            f"{row.step}.{row.line}" if row.line else "",
            local_day(row.happened_at),
            *clearings.get(row.id, ("", "")),
            tuple(pictures.get(row.id, ())),
        )
        for row in rows
    ]


def open_snags(connection: Connection, machine: int) -> list[Snag]:
    """Return the snags of a machine that are still to be cleared, by number."""
    return list(
        carried(
            connection,
            "open snags",
            machine,
            ("assembly", "clearing", "correction", "evidence", "item", "picture", "snag", "step"),
            lambda: tuple(snag for snag in read_snags(connection, machine) if snag.open),
        )
    )


def snag_row(connection: Connection, machine: int, number: int) -> int | None:
    """Return the row of a standing snag, None if there is none."""
    rows = standing(
        connection,
        select(col(SnagRow.id), col(SnagRow.act_id)).where(
            col(SnagRow.machine_id) == machine, col(SnagRow.number) == number
        ),
    )
    return rows[0].id if rows else None


def next_snag(connection: Connection, machine: int) -> int:
    """Return the next number of a machine's snags: none is used twice."""
    last = connection.execute(
        select(func.max(col(SnagRow.number))).where(col(SnagRow.machine_id) == machine)
    ).scalar()
    return int(last or 0) + 1


def _clearings(connection: Connection, machine: int) -> dict[int, tuple[str, str]]:
    rows = standing(
        connection,
        select(
            col(ClearingRow.act_id),
            col(ClearingRow.snag_id),
            col(ClearingRow.how),
            col(ActRow.happened_at),
        )
        .join(ActRow, col(ActRow.id) == col(ClearingRow.act_id))
        .join(SnagRow, col(SnagRow.id) == col(ClearingRow.snag_id))
        .where(col(SnagRow.machine_id) == machine)
        .order_by(col(ClearingRow.id)),
    )
    return {row.snag_id: (row.how, local_day(row.happened_at)) for row in rows}


def _pictures(connection: Connection) -> dict[int, list[int]]:
    rows = standing(
        connection,
        select(
            col(EvidenceRow.act_id),
            col(EvidenceRow.snag_id),
            col(EvidenceRow.taken_off),
            col(PictureRow.number),
        )
        .join(PictureRow, col(PictureRow.id) == col(EvidenceRow.picture_id))
        .order_by(col(EvidenceRow.id)),
    )
    shown: dict[int, set[int]] = {}
    for row in rows:
        numbers = shown.setdefault(row.snag_id, set())
        (numbers.discard if row.taken_off else numbers.add)(row.number)
    return {snag: sorted(numbers) for snag, numbers in shown.items()}
