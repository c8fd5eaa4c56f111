"""The tables as SQLModel rows. Rows stay in this room and in queries; the domain has its own types.

A ``table=True`` row checks nothing by itself, so what must hold is a CHECK constraint or a trigger
in the migrations. Sizes are whole micrometres, quantities whole numbers: SQLite would keep a
decimal as a float. Times are text, ISO 8601 in UTC, so that every database sorts them alike.

The rows of `accounts` and `plan` are imported from there by those who need them: making a class for
each takes longer than many a command.
"""

from stores.storage.rows.figures import (
    FigureRow,
    JointRow,
    ReadingRow,
    SumpRow,
)
from stores.storage.rows.paper import (
    CaptionRow,
    FilingRow,
    LabelRow,
    OutcomeRow,
    PictureRow,
    PrinterRow,
)
from stores.storage.rows.record import (
    ActRow,
    AssemblyRow,
    DescriptionRow,
    FindingRow,
    ItemRow,
    MachineRow,
    MovementRow,
    PlaceRow,
    SpecificationRow,
    StepRow,
    StowingRow,
)

__all__ = [
    "ActRow",
    "AssemblyRow",
    "CaptionRow",
    "DescriptionRow",
    "FigureRow",
    "FilingRow",
    "FindingRow",
    "ItemRow",
    "JointRow",
    "LabelRow",
    "MachineRow",
    "MovementRow",
    "OutcomeRow",
    "PictureRow",
    "PlaceRow",
    "PrinterRow",
    "ReadingRow",
    "SpecificationRow",
    "StepRow",
    "StowingRow",
    "SumpRow",
]
