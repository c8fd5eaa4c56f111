"""Labels: what was made, and what came out of the printer."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, select
from sqlmodel import Field, SQLModel, col

from stores.storage.balances import of_numbers
from stores.storage.tables import PlaceRow

__all__ = ["LabelRow", "OutcomeRow", "WaitingLabel", "labels_of", "labels_waiting"]


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
