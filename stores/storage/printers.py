"""Printers: how far each is out."""

from sqlalchemy import Connection, select
from sqlmodel import Field, SQLModel, col

from stores.model.labels import Printer
from stores.storage.acts import standing

__all__ = ["PrinterRow", "read_printers"]


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
