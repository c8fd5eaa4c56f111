"""Labels: what was made, what came out of the printer, and how far each printer is out."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, select
from sqlmodel import Field, SQLModel, col

from stores.model.labels import Printer
from stores.storage.acts import standing
from stores.storage.balances import of_numbers
from stores.storage.tables import PlaceRow

__all__ = [
    "LabelRow",
    "OutcomeRow",
    "PrinterRow",
    "WaitingLabel",
    "labels_of",
    "labels_waiting",
    "read_printers",
]


class LabelRow(SQLModel, table=True):
    """A bag's label as it was printed: ``digest`` tells whether the contents changed since."""

    __tablename__ = "label"

    id: int | None = Field(default=None, primary_key=True)
    place_id: int = Field(foreign_key="place.id")
    printed_at: str
    digest: str
    file: str = ""


class OutcomeRow(SQLModel, table=True):
    """Whether a label came out of the printer fit to use. The newest of a label counts."""

    __tablename__ = "outcome"

    id: int | None = Field(default=None, primary_key=True)
    label_id: int = Field(foreign_key="label.id")
    good: int
    noted_at: str


@dataclass(frozen=True, slots=True)
class WaitingLabel:
    """A label that was made, of which nobody has said whether it came out."""

    label: int
    code: str
    file: str


def labels_of(
    connection: Connection, codes: Mapping[int, str]
) -> tuple[dict[str, str], dict[str, str]]:
    """Return the digests of the labels that were printed, and of those made and waiting, by code.

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
    """Return the labels that were made and are not known to have come out, the oldest first."""
    rows: Any = connection.execute(
        select(col(LabelRow.id), col(PlaceRow.name), col(LabelRow.file))
        .join(PlaceRow, col(PlaceRow.id) == col(LabelRow.place_id))
        .join(OutcomeRow, col(OutcomeRow.label_id) == col(LabelRow.id), isouter=True)
        .where(col(OutcomeRow.id).is_(None))
        .order_by(col(LabelRow.id))
    )
    return [WaitingLabel(number, name, file) for number, name, file in rows]


class PrinterRow(SQLModel, table=True):
    """How far a printer is out, in micrometres to the right and down. The newest standing counts.

    ``dpi`` is of a label printer, 0 where it does not matter.
    """

    __tablename__ = "printer"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    name: str
    key: str
    right_um: int = 0
    down_um: int = 0
    dpi: int = 0


def read_printers(connection: Connection) -> list[Printer]:
    """Return the printers on record, in the order in which they were first written down."""
    newest: dict[str, Printer] = {}
    statement = select(PrinterRow.__table__).order_by(col(PrinterRow.id))  # type: ignore[attr-defined]
    for row in standing(connection, statement):
        newest[row.key] = Printer(row.name, row.right_um / 1000, row.down_um / 1000, row.dpi)
    return list(newest.values())
