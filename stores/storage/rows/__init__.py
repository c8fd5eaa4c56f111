"""The tables as SQLModel rows. Rows stay in this room and in queries; the domain has its own types.

A ``table=True`` row checks nothing by itself, so what must hold is a CHECK constraint or a trigger
in the migrations. Sizes are whole micrometres, quantities whole numbers: SQLite would keep a
decimal as a float. Times are text, ISO 8601 in UTC, so that every database sorts them alike.

Making a class for each table takes longer than many a command, so that only the record's own are
made at once, the others when one of them is first asked for (``rows.FigureRow``).
"""

from importlib import import_module
from typing import TYPE_CHECKING

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

if TYPE_CHECKING:
    from stores.storage.rows.accounts import (
        BatchEventRow,
        BatchLineRow,
        BatchReturnRow,
        BatchRow,
        CountLineRow,
        CountRow,
        DebtRow,
        ListedPartRow,
        PriceRow,
        PurchaseEventRow,
        PurchaseLineRow,
        PurchaseRow,
        ReceiptRow,
        RenewChoiceRow,
        RenewRuleRow,
        SpareRuleRow,
    )
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

__all__ = [
    "ActRow",
    "AssemblyRow",
    "BatchEventRow",
    "BatchLineRow",
    "BatchReturnRow",
    "BatchRow",
    "CaptionRow",
    "CountLineRow",
    "CountRow",
    "DebtRow",
    "DescriptionRow",
    "FigureRow",
    "FilingRow",
    "FindingRow",
    "ItemRow",
    "JointRow",
    "LabelRow",
    "ListedPartRow",
    "MachineRow",
    "MovementRow",
    "OutcomeRow",
    "PictureRow",
    "PlaceRow",
    "PriceRow",
    "PrinterRow",
    "PurchaseEventRow",
    "PurchaseLineRow",
    "PurchaseRow",
    "ReadingRow",
    "ReceiptRow",
    "RenewChoiceRow",
    "RenewRuleRow",
    "SpareRuleRow",
    "SpecificationRow",
    "StepRow",
    "StowingRow",
    "SumpRow",
]

_LATER = ("figures", "paper", "accounts")


def __getattr__(name: str) -> object:
    if name in __all__:
        for home in _LATER:
            module = import_module(f"{__name__}.{home}")
            if name in module.__all__:
                return getattr(module, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
