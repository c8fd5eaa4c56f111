"""The shopping list as a table for spreadsheets."""

from collections.abc import Sequence
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from stores.planning.oils import OilLine
from stores.planning.shopping import Shortage
from stores.printing.files import Printed, put

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["COLUMNS", "harmless", "write_csv", "write_xlsx"]

COLUMNS = ("Quantity", "What", "Kind", "Why", "Joints", "Pack", "Supplier", "Price")
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


def write_csv(lines: Sequence[Shortage], path: Path, *, oils: Sequence[OilLine] = ()) -> Printed:
    """Write the shopping list as CSV: UTF-8 with a byte order mark, so that spreadsheets read it.

    Raises:
        PrintError: a file that cannot be written.
    """
    text = _frame(lines, oils).to_csv(index=False, lineterminator="\r\n")
    put(path, text.encode("utf-8-sig"))
    return Printed(path, 1)


def write_xlsx(lines: Sequence[Shortage], path: Path, *, oils: Sequence[OilLine] = ()) -> Printed:
    """Write the shopping list as a spreadsheet file.

    Raises:
        PrintError: a file that cannot be written.
    """
    import pandas as pd

    out = BytesIO()
    with pd.ExcelWriter(out, engine="openpyxl") as book:
        _frame(lines, oils).to_excel(book, sheet_name="Shopping", index=False)
        sheet = book.sheets["Shopping"]
        sheet.freeze_panes = "A2"
        for column, width in zip("ABCDEFGH", (10, 44, 16, 40, 20, 8, 24, 14), strict=True):
            sheet.column_dimensions[column].width = width
    put(path, out.getvalue())
    return Printed(path, 1)


def _frame(lines: Sequence[Shortage], oils: Sequence[OilLine]) -> "pd.DataFrame":
    import pandas as pd

    rows: list[tuple[object, ...]] = [
        (
            line.quantity,
            *map(harmless, (line.text, line.kind, line.why, line.refs)),
            line.pack,
            harmless(line.supplier),
            None if line.price is None else Decimal(line.price).scaleb(-2),
        )
        for line in lines
    ]
    rows += [
        (line.quantity, *map(harmless, (line.text, "oil", line.why, line.sumps)), 1, "", None)
        for line in oils
    ]
    frame = pd.DataFrame(rows, columns=list(COLUMNS))
    return frame.astype({COLUMNS[0]: "Int64"})  # whole numbers, also where one is not known
