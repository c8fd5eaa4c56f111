"""Snags of a machine, with their pictures and how they were cleared."""

from typing import Any

from sqlalchemy import Connection, select
from sqlmodel import col

from stores.planning.snags import Snag
from stores.queries.acts import fallen
from stores.storage.rows import (
    ActRow,
    AssemblyRow,
    ClearingRow,
    EvidenceRow,
    ItemRow,
    PictureRow,
    SnagRow,
    StepRow,
)
from stores.text import local_day

__all__ = ["open_snags", "snag_row", "snags"]


def snags(connection: Connection, machine: int) -> list[Snag]:
    """Give the standing snags of a machine, open and cleared, by number."""
    gone = fallen(connection)
    cleared = _clearings(connection, machine, gone)
    pictures = _pictures(connection, gone)
    names = _assemblies(connection)
    rows: Any = connection.execute(
        select(
            SnagRow.__table__,  # type: ignore[attr-defined]
            col(ActRow.happened_at),
            col(StepRow.number).label("step"),
            col(StepRow.assembly_id).label("step_assembly"),
            col(ItemRow.line).label("line"),
        )
        .join(ActRow, col(ActRow.id) == col(SnagRow.act_id))
        .join(StepRow, col(StepRow.id) == col(SnagRow.step_id), isouter=True)
        .join(ItemRow, col(ItemRow.id) == col(SnagRow.item_id), isouter=True)
        .where(col(SnagRow.machine_id) == machine)
        .order_by(col(SnagRow.number))
    )
    found = []
    for row in rows:
        if row.act_id in gone:
            continue
        how, day = cleared.get(row.id, ("", ""))
        found.append(
            Snag(
                row.number,
                row.sort,
                row.text,
                row.side,
                names.get(row.assembly_id or row.step_assembly, ""),
                row.step,
                f"{row.step}.{row.line}" if row.line else "",
                local_day(row.happened_at),
                how,
                day,
                tuple(pictures.get(row.id, ())),
            )
        )
    return found


def open_snags(connection: Connection, machine: int) -> list[Snag]:
    """Give the snags of a machine that are still to be cleared, by number."""
    return [snag for snag in snags(connection, machine) if snag.open]


def snag_row(connection: Connection, machine: int, number: int) -> int | None:
    """Give the row of a standing snag, None if there is none."""
    gone = fallen(connection)
    row: Any = connection.execute(
        select(col(SnagRow.id), col(SnagRow.act_id)).where(
            col(SnagRow.machine_id) == machine, col(SnagRow.number) == number
        )
    ).first()
    return None if row is None or row.act_id in gone else row.id


def _clearings(
    connection: Connection, machine: int, gone: frozenset[int]
) -> dict[int, tuple[str, str]]:
    rows: Any = connection.execute(
        select(
            col(ClearingRow.act_id),
            col(ClearingRow.snag_id),
            col(ClearingRow.how),
            col(ActRow.happened_at),
        )
        .join(ActRow, col(ActRow.id) == col(ClearingRow.act_id))
        .join(SnagRow, col(SnagRow.id) == col(ClearingRow.snag_id))
        .where(col(SnagRow.machine_id) == machine)
        .order_by(col(ClearingRow.id))
    )
    return {
        row.snag_id: (row.how, local_day(row.happened_at)) for row in rows if row.act_id not in gone
    }


def _pictures(connection: Connection, gone: frozenset[int]) -> dict[int, list[int]]:
    rows: Any = connection.execute(
        select(
            col(EvidenceRow.act_id),
            col(EvidenceRow.snag_id),
            col(EvidenceRow.taken_off),
            col(PictureRow.number),
        )
        .join(PictureRow, col(PictureRow.id) == col(EvidenceRow.picture_id))
        .order_by(col(EvidenceRow.id))
    )
    found: dict[int, dict[int, None]] = {}
    for row in rows:
        if row.act_id in gone:
            continue
        shown = found.setdefault(row.snag_id, {})
        if row.taken_off:
            shown.pop(row.number, None)
        else:
            shown[row.number] = None
    return {snag: sorted(shown) for snag, shown in found.items()}


def _assemblies(connection: Connection) -> dict[int, str]:
    rows: Any = connection.execute(select(col(AssemblyRow.id), col(AssemblyRow.path)))
    return {row.id: row.path for row in rows}
