"""What was printed, put on disk whole or not at all; and the shopping list for spreadsheets."""

import os
import secrets
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from stores.errors import PrintError, shorten

if TYPE_CHECKING:
    import pandas as pd

    from stores.planning.shopping import ShoppingList

__all__ = ["COLUMNS", "Printed", "harmless", "put", "write_csv", "write_xlsx"]


@dataclass(frozen=True, slots=True)
class Printed:
    """A file that was made. ``warnings`` say what a person should know before using it."""

    path: Path
    sheets: int
    labels: int = 0
    stock: str = ""
    warnings: tuple[str, ...] = ()


def put(path: Path, data: bytes | Iterable[bytes]) -> None:
    """Write a file, whole or in pieces, so that it is there whole, or as it was before.

    Raises:
        PrintError: the folder is missing or may not be written, the disk is full, or the file
            there is a database: a stores is never written over.
    """
    pieces = [data] if isinstance(data, bytes) else data
    try:
        target = Path(os.path.realpath(path))
        if target.is_dir():
            raise PrintError(f"cannot write {path}: it is a folder; give the name of a file")
        if not target.parent.is_dir():
            raise PrintError(f"cannot write {path}: there is no folder {target.parent}")
        if target.exists() and not target.is_file():
            with target.open("wb") as device:  # or a pipe: written to, never replaced
                device.writelines(pieces)
            return
        _spare_a_record(path, target)
        part = target.parent / f".{secrets.token_hex(8)}.part"
        try:
            with part.open("xb") as file:
                file.writelines(pieces)
                file.flush()
                os.fsync(file.fileno())
            part.replace(target)
        except BaseException:
            with suppress(OSError):
                part.unlink()
            raise
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise PrintError(f"cannot write {shorten(str(path), 200)}: {reason}") from error


def _spare_a_record(path: Path, target: Path) -> None:
    """Refuse to write over a database, or over the files that a database keeps beside itself."""
    names = [target.name]
    names += [target.name.removesuffix(tail) for tail in ("-wal", "-shm", "-journal")]
    for name in dict.fromkeys(names):
        beside = target.with_name(name) if name else target
        if beside.is_file():
            with beside.open("rb") as file:
                if file.read(16) == b"SQLite format 3\0":
                    raise PrintError(f"{path} is a database or belongs to one: give another name")


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


def write_csv(listed: "ShoppingList", path: Path) -> Printed:
    """Write the shopping list as CSV: UTF-8 with a byte order mark, so that spreadsheets read it.

    Raises:
        PrintError: a file that cannot be written.
    """
    text = _frame(listed).to_csv(index=False, lineterminator="\r\n")
    put(path, text.encode("utf-8-sig"))
    return Printed(path, 1)


def write_xlsx(listed: "ShoppingList", path: Path) -> Printed:
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


def _frame(listed: "ShoppingList") -> "pd.DataFrame":
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
            *map(harmless, (line.text, line.sort, line.why, line.wanted_for)),
            1,
            harmless(line.supplier),
            _money(line.price),
            "",
            NOW,
        )
        for line in listed.supplies
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
