"""What was printed, put on disk whole or not at all; and the shopping list for spreadsheets."""

import errno
import os
import re
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from stores.errors import PrintError, shorten
from stores.leftovers import clear_left_over, unfinished

if TYPE_CHECKING:
    import pandas as pd

    from stores.planning.shopping import ShoppingList

__all__ = [
    "COLUMNS",
    "Printed",
    "Sheet",
    "as_words",
    "harmless",
    "in_hundredths",
    "put",
    "refuse_unwritable",
    "write_book",
    "write_csv",
    "write_xlsx",
]


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
        target = _target(path)
        if target.exists() and not target.is_file():
            with target.open("wb") as device:  # or a pipe: written to, never replaced
                device.writelines(pieces)
            return
        clear_left_over(target)
        part = unfinished(target)
        part.unlink(missing_ok=True)
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
        raise _refusal(path, error) from error


def refuse_unwritable(path: Path) -> None:
    """Refuse a file that `put` would refuse, as far as that can be told without writing: before
    something is recorded that the file is to show.

    Raises:
        PrintError: the folder is missing or may not be written, the name is none, or the file
            there is a database.
    """
    try:
        target = _target(path)
        if not target.exists() or target.is_file():
            if not os.access(target.parent, os.W_OK | os.X_OK):
                raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        elif not os.access(target, os.W_OK):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
    except (OSError, ValueError) as error:
        raise _refusal(path, error) from error


def _target(path: Path) -> Path:
    """Return where a file of this name is written."""
    target = Path(os.path.realpath(path))
    with suppress(FileNotFoundError):
        target.stat()  # no name that the disk can have is an error here
    if target.is_dir():
        raise PrintError(f"cannot write {path}: it is a folder; give the name of a file")
    if not target.parent.is_dir():
        raise PrintError(f"cannot write {path}: there is no folder {target.parent}")
    if not target.exists() or target.is_file():
        _spare_a_record(path, target)
    return target


def _refusal(path: Path, error: Exception) -> PrintError:
    reason = getattr(error, "strerror", None) or error
    return PrintError(f"cannot write {shorten(str(path), 200)}: {reason}")


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


_MONTH = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?"
_READ_OTHERWISE = (
    r"[-+(]?[£$€]?[\d.,' ]*\d(?:[.,]?e[-+]?\d+)?\s?%?\)?",  # a figure
    r"(?:\d+ )?\d+/\d+",  # a fraction, or a day
    r"\d{1,4}[-/. ]\d{1,2}(?:[-/. ]\d{1,4})?",
    r"\d{1,2}:\d\d(?::\d\d)?(?: ?[ap]m)?",
    rf"\d{{1,4}}[-/. ]?{_MONTH}(?:[-/. ,]*\d{{2,4}})?",
    rf"{_MONTH}[-/. ]?\d{{1,4}}(?:[-/. ,]+\d{{2,4}})?",
    r"true|false",
)


def as_words(text: str) -> str:
    """Make a text harmless, and put an apostrophe before one that a spreadsheet would read as a
    figure or a date: ``7.10`` is not 7.1, and ``1/4`` no day in April.

    >>> as_words("7.10"), as_words("1/4"), as_words("Mar 3"), as_words("1/4 BSF nut")
    ("'7.10", "'1/4", "'Mar 3", '1/4 BSF nut')
    """
    safe = harmless(text)
    plain = safe.strip()
    if any(re.fullmatch(each, plain, re.IGNORECASE | re.ASCII) for each in _READ_OTHERWISE):
        return f"'{safe}"
    return safe


def in_hundredths(sum_of_money: int | None) -> Decimal | None:
    """Give a sum in hundredths as the figure that a person writes; None stays None."""
    return None if sum_of_money is None else Decimal(sum_of_money).scaleb(-2)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet of a spreadsheet file: its name, its rows under their heads, columns so wide."""

    name: str
    heads: Sequence[str]
    rows: Sequence[Sequence[object]]
    widths: Sequence[float]


def write_book(path: Path, sheets: Sequence[Sheet]) -> Printed:
    """Write a spreadsheet file: heads bold and repeated on every page, each sheet one page wide.

    Words are cells of text, whatever they look like; sums have two decimals.

    Raises:
        PrintError: a file that cannot be written.
    """
    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    book = Workbook()
    book.remove(book.active)
    for each in sheets:
        sheet = book.create_sheet(each.name)
        for across, (head, width) in enumerate(zip(each.heads, each.widths, strict=True), 1):
            sheet.cell(1, across, head).font = Font(bold=True)
            sheet.column_dimensions[get_column_letter(across)].width = width
        for down, row in enumerate(each.rows, 2):
            for across, value in enumerate(row, 1):
                if value is None or value == "":
                    continue
                said = harmless(value) if isinstance(value, str) else value
                cell = sheet.cell(down, across, said)
                if isinstance(value, str):
                    cell.data_type, cell.number_format = "s", "@"
                    cell.alignment = Alignment(wrap_text=True, vertical="top")
                elif isinstance(value, Decimal):
                    cell.number_format = "#,##0.00"
        sheet.freeze_panes = "A2"
        sheet.print_title_rows = "1:1"
        sheet.print_area = f"A1:{get_column_letter(len(each.heads))}{len(each.rows) + 1}"
        sheet.page_setup.orientation = "landscape"
        sheet.page_setup.paperSize = sheet.PAPERSIZE_A4
        sheet.page_setup.fitToHeight = 0
        sheet.sheet_properties.pageSetUpPr.fitToPage = True
    out = BytesIO()
    book.save(out)
    put(path, out.getvalue())
    return Printed(path, len(sheets))


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
            in_hundredths(line.price_hundredths),
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
            in_hundredths(line.price),
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
