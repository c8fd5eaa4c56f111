"""What was printed, put on disk whole or not at all; and the shopping list for spreadsheets."""

import errno
import os
import re
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from decimal import Decimal
from io import BytesIO, StringIO
from pathlib import Path
from typing import TYPE_CHECKING

from stores.errors import PrintError, shorten
from stores.leftovers import clear_left_over, unfinished
from stores.printing.paper import chosen_paper

if TYPE_CHECKING:
    from stores.planning.shopping import ShoppingList

__all__ = [
    "COLUMNS",
    "INSPECT_FIRST",
    "TO_INSPECT",
    "Printed",
    "Sheet",
    "as_joints",
    "as_words",
    "csv_pieces",
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
)
_WIDTHS = (10, 44, 16, 40, 20, 8, 24, 14, 50)
TO_INSPECT = ("Quantity", "What", "Kind", "Joints")
_TO_INSPECT_WIDTHS = (10, 60, 20, 24)
INSPECT_FIRST = "Inspect before buying"
_REFERENCES = frozenset(("Item", "Joints", "Of", "Which"))
"""Heads of columns that name joints, in every table."""
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def _holdable(text: str) -> str:
    """Replace what no spreadsheet file may hold with U+FFFD."""
    safe = "".join(
        char if char in "\t\n\r" or (char >= " " and char not in "\ufffe\uffff") else "\ufffd"
        for char in text
    )
    return safe.encode("utf-8", "replace").decode()  # half of a surrogate pair is no character


def harmless(text: str) -> str:
    """Put an apostrophe before a text of a CSV file that a spreadsheet would take for a formula.
    A workbook needs none: there each cell says that it is words.

    >>> harmless("=1+1")
    "'=1+1"
    """
    safe = _holdable(text)
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


def as_joints(text: str) -> str:
    """Write joints as no spreadsheet reads them for a figure or a day: 2.10 is not 2.1, nor
    October.

    >>> as_joints("2.10"), as_joints("2.2, 9.1"), as_joints("0.7"), as_joints("Gearbox")
    ('step 2.10', 'steps 2.2, 9.1', 'stock 0.7', 'Gearbox')
    """
    bare = [each for each in text.split(", ") if re.fullmatch(r"\d+\.\d+", each, re.ASCII)]
    if not bare or not text.startswith(bare[0]):
        return text
    if bare[0].startswith("0."):
        return f"stock {text}"
    return f"{'steps' if len(bare) > 1 else 'step'} {text}"


def in_hundredths(sum_of_money: int | None) -> Decimal | None:
    """Give a sum in hundredths as the figure that a person writes; None stays None."""
    return None if sum_of_money is None else Decimal(sum_of_money).scaleb(-2)


def _cells(heads: Sequence[str], rows: Iterable[Sequence[object]]) -> Iterator[list[object]]:
    """Give the rows of any table as they are written: joints by their step."""
    named = [at for at, head in enumerate(heads) if head in _REFERENCES]
    for row in rows:
        made = list(row)
        for at in named:
            made[at] = as_joints(str(made[at] or ""))
        yield made


def csv_pieces(
    *tables: tuple[Sequence[str], Iterable[Sequence[object]]], between: str = ""
) -> Iterator[bytes]:
    """Give tables as one CSV file, bit by bit: UTF-8 with a byte order mark, so that spreadsheets
    read it. Each table is its heads and its rows; an empty line and ``between`` part one from the
    next. Rows are written as they come, so that a long list takes no memory."""
    import csv

    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    yield b"\xef\xbb\xbf"
    for at, (heads, rows) in enumerate(tables):
        if at:
            writer.writerows(([], [between]))
        writer.writerow(heads)
        for row in _cells(heads, rows):
            writer.writerow(
                "" if cell is None else cell if isinstance(cell, int) else harmless(str(cell))
                for cell in row
            )
            if out.tell() > 1 << 16:
                yield out.getvalue().encode("utf-8")
                out.seek(0)
                out.truncate()
    yield out.getvalue().encode("utf-8")


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet of a spreadsheet file: its name, its rows under their heads, columns so wide."""

    name: str
    heads: Sequence[str]
    rows: Sequence[Sequence[object]]
    widths: Sequence[float]


def write_book(path: Path, sheets: Sequence[Sheet]) -> Printed:
    """Write a spreadsheet file: heads bold and repeated on every page, each sheet one page wide.

    Words are cells of text, whatever they look like, and stand there as they are; sums have two
    decimals.

    Raises:
        PrintError: a file that cannot be written.
    """
    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    top = Alignment(wrap_text=True, vertical="top")
    book = Workbook()
    book.remove(book.active)
    for each in sheets:
        sheet = book.create_sheet(each.name)
        for across, (head, width) in enumerate(zip(each.heads, each.widths, strict=True), 1):
            cell = sheet.cell(1, across, head)
            cell.font, cell.alignment = Font(bold=True), top
            sheet.column_dimensions[get_column_letter(across)].width = width
        for down, row in enumerate(_cells(each.heads, each.rows), 2):
            for across, value in enumerate(row, 1):
                if value is None or value == "":
                    continue
                said = _holdable(value) if isinstance(value, str) else value
                cell = sheet.cell(down, across, said)
                cell.alignment = top
                if isinstance(value, str):
                    cell.data_type, cell.number_format = "s", "@"
                elif isinstance(value, Decimal):
                    cell.number_format = "#,##0.00"
        sheet.freeze_panes = "A2"
        sheet.print_title_rows = "1:1"
        sheet.print_area = f"A1:{get_column_letter(len(each.heads))}{len(each.rows) + 1}"
        sheet.oddFooter.left.text = each.name
        sheet.oddFooter.right.text = "Page &P of &N"
        sheet.page_setup.orientation = "landscape"
        a4 = chosen_paper().name == "A4"
        sheet.page_setup.paperSize = sheet.PAPERSIZE_A4 if a4 else sheet.PAPERSIZE_LETTER
        sheet.page_setup.fitToHeight = 0
        sheet.sheet_properties.pageSetUpPr.fitToPage = True
    out = BytesIO()
    book.save(out)
    put(path, out.getvalue())
    return Printed(path, len(sheets))


def write_csv(listed: "ShoppingList", path: Path) -> Printed:
    """Write the shopping list as CSV; what is inspected before it is bought is a table by itself,
    below.

    Raises:
        PrintError: a file that cannot be written.
    """
    tables: list[tuple[Sequence[str], Iterable[Sequence[object]]]] = [(COLUMNS, _to_buy(listed))]
    if listed.measure_first:
        tables.append((TO_INSPECT, _to_inspect(listed)))
    put(path, csv_pieces(*tables, between=INSPECT_FIRST))
    return Printed(path, 1)


def write_xlsx(listed: "ShoppingList", path: Path) -> Printed:
    """Write the shopping list as a spreadsheet file; what is inspected before it is bought is a
    sheet by itself.

    Raises:
        PrintError: a file that cannot be written.
    """
    sheets = [Sheet("To buy", COLUMNS, _to_buy(listed), _WIDTHS)]
    if listed.measure_first:
        rows = _to_inspect(listed)
        sheets.append(Sheet(INSPECT_FIRST, TO_INSPECT, rows, _TO_INSPECT_WIDTHS))
    return write_book(path, sheets)


def _to_buy(listed: "ShoppingList") -> list[tuple[object, ...]]:
    """Give what is bought now, oil and other consumables last."""
    rows: list[tuple[object, ...]] = [
        (
            line.quantity, line.what, line.kind, line.reckoning, line.refs, line.pack,
            line.supplier, in_hundredths(line.price_hundredths), line.instead,
        )
        for line in listed.lines
    ]  # fmt: skip
    rows += [
        (
            line.quantity, line.text, line.sort, line.why, line.wanted_for, 1,
            line.supplier, in_hundredths(line.price), "",
        )
        for line in listed.supplies
    ]  # fmt: skip
    return rows


def _to_inspect(listed: "ShoppingList") -> list[tuple[object, ...]]:
    return [(each.quantity, each.what, each.kind, each.item) for each in listed.measure_first]
