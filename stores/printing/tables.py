"""The shopping list as a table for spreadsheets."""

from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from stores.planning.shopping import ShoppingList
from stores.printing.files import Printed, put

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["COLUMNS", "harmless", "write_csv", "write_xlsx"]

COLUMNS = (
    "Quantity",
    "What",
    "Kind",
    "Why",
    "Joints",
    "Pack",
    "Supplier",
    "Price",
    "Instead",
    "When",
)
_WIDTHS = (10, 44, 16, 40, 20, 8, 24, 14, 50, 16)
NOW, LATER = "buy now", "measure first"
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def harmless(text: str) -> str:
    """Put an apostrophe before a text that a spreadsheet would take for a formula.

    Characters that no spreadsheet file may hold become U+FFFD.

    >>> harmless("=1+1")
    "'=1+1"
    """
    safe = "".join(
        char if char in "\t\n\r" or (char >= " " and char not in "\ufffe\uffff") else "\ufffd"
        for char in text
    )
    safe = safe.encode("utf-8", "replace").decode()  # half of a surrogate pair is no character
    return f"'{safe}" if safe.startswith(_FORMULA) or safe.lstrip().startswith(_FORMULA) else safe


def write_csv(listed: ShoppingList, path: Path) -> Printed:
    """Write the shopping list as CSV: UTF-8 with a byte order mark, so that spreadsheets read it.

    Raises:
        PrintError: a file that cannot be written.
    """
    text = _frame(listed).to_csv(index=False, lineterminator="\r\n")
    put(path, text.encode("utf-8-sig"))
    return Printed(path, 1)


def write_xlsx(listed: ShoppingList, path: Path) -> Printed:
    """Write the shopping list as a spreadsheet file.

    Raises:
        PrintError: a file that cannot be written.
    """
    import pandas as pd

    out = BytesIO()
    with pd.ExcelWriter(out, engine="openpyxl") as book:
        _frame(listed).to_excel(book, sheet_name="Shopping", index=False)
        sheet = book.sheets["Shopping"]
        sheet.freeze_panes = "A2"
        for column, width in zip("ABCDEFGHIJ", _WIDTHS, strict=True):
            sheet.column_dimensions[column].width = width
    put(path, out.getvalue())
    return Printed(path, 1)


def _frame(listed: ShoppingList) -> "pd.DataFrame":
    import pandas as pd

    rows: list[tuple[object, ...]] = [
        (
            line.quantity,
            *map(harmless, (line.what, line.kind, line.reckoning, line.refs)),
            line.pack,
            harmless(line.supplier),
            _money(line.price_hundredths),
            harmless(line.instead),
            NOW,
        )
        for line in listed.lines
    ]
    rows += [
        (
            line.quantity,
            *map(harmless, (line.text, "oil", line.why, line.sumps)),
            1,
            harmless(line.supplier),
            _money(line.price),
            "",
            NOW,
        )
        for line in listed.oil
    ]
    rows += [
        (
            each.quantity,
            *map(harmless, (each.what, each.kind, "", each.item)),
            1,
            "",
            None,
            "",
            LATER,
        )
        for each in listed.measure_first
    ]
    frame = pd.DataFrame(rows, columns=list(COLUMNS))
    return frame.astype({COLUMNS[0]: "Int64"})  # whole numbers, also where one is not known


def _money(hundredths: int | None) -> Decimal | None:
    return None if hundredths is None else Decimal(hundredths).scaleb(-2)
