"""Labels and printers: what was made, what came out, how far a printer is out."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, select
from sqlmodel import col

from stores.storage.acts import reversed_acts
from stores.storage.balances import of_numbers
from stores.storage.rows import LabelRow, OutcomeRow, PlaceRow, PrinterRow

__all__ = ["Printer", "WaitingLabel", "labels_of", "labels_waiting", "read_printers"]


@dataclass(frozen=True, slots=True)
class WaitingLabel:
    """A label that was made, of which nobody has said whether it came out."""

    label: int
    code: str
    file: str


@dataclass(frozen=True, slots=True)
class Printer:
    """How far a printer is out, mm to the right and down, and its dots an inch, 0 if unsaid."""

    name: str
    right_mm: float = 0.0
    down_mm: float = 0.0
    dpi: int = 0


def labels_of(
    connection: Connection, codes: Mapping[int, str]
) -> tuple[dict[str, str], dict[str, str]]:
    """Give the digests of the labels that were printed, and of those made and waiting, by code.

    ``codes`` are the bags by their place.
    """
    statement: Any = (
        select(col(LabelRow.place_id), col(LabelRow.digest), col(OutcomeRow.good))
        .join(OutcomeRow, col(OutcomeRow.label_id) == col(LabelRow.id), isouter=True)
        .order_by(col(LabelRow.id), col(OutcomeRow.id))
    )
    printed: dict[str, str] = {}
    made: dict[str, str] = {}
    for place, digest, good in of_numbers(connection, statement, col(LabelRow.place_id), codes):
        if good is None:
            made[codes[place]] = digest
            continue
        made.pop(codes[place], None)
        if good:
            printed[codes[place]] = digest
    return printed, made


def labels_waiting(connection: Connection) -> list[WaitingLabel]:
    """Give the labels that were made and are not known to have come out, the newest of each bag."""
    rows: Any = connection.execute(
        select(col(LabelRow.id), col(PlaceRow.name), col(LabelRow.file))
        .join(PlaceRow, col(PlaceRow.id) == col(LabelRow.place_id))
        .join(OutcomeRow, col(OutcomeRow.label_id) == col(LabelRow.id), isouter=True)
        .where(col(OutcomeRow.id).is_(None))
        .order_by(col(LabelRow.id))
    )
    return [WaitingLabel(number, name, file) for number, name, file in rows]


def read_printers(connection: Connection) -> list[Printer]:
    """Give the printers on record, in the order in which they were first written down."""
    gone = reversed_acts(connection)
    rows: Any = connection.execute(
        select(PrinterRow.__table__).order_by(col(PrinterRow.id))  # type: ignore[attr-defined]
    )
    newest: dict[str, Printer] = {}
    for row in rows:
        if row.act_id not in gone:
            newest[row.key] = Printer(row.name, row.right_um / 1000, row.down_um / 1000, row.dpi)
    return list(newest.values())
