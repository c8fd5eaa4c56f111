"""Rows of a table in a file, CSV or XLSX, one at a time: memory does not grow with the file."""

import codecs
import csv
import io
import zipfile
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path
from typing import Any

from stores.errors import BadValue, NotFound

__all__ = ["Sheet", "open_sheet"]

_SEPARATORS = (",", ";", "\t", "|")
_PIECE = 1 << 20
_BOOKS = (".xlsx", ".xlsm")
MOST_ROWS = 1 << 20
"""The last row that a workbook has."""
MOST_COLUMNS = 256
"""What stands further right is no parts list but a stray cell, and is not read."""
MOST_CELLS = 4_000_000
MOST_UNPACKED = 300 << 20
"""Bytes of a workbook once it is unpacked: a few kB may unpack to many GB."""


class Sheet:
    """A table being read. ``done`` of ``total`` tells how far: bytes of a CSV, rows of a workbook.

    Going through it gives each row's line, counted from 1, and its cells as text.
    """

    def __init__(self, path: Path, name: str = "") -> None:
        self.path = path
        self.name = name
        self.done = 0
        self.total = 0

    def __iter__(self) -> Iterator[tuple[int, list[str]]]:
        raise NotImplementedError


class _Csv(Sheet):
    def __init__(self, path: Path) -> None:
        super().__init__(path)
        self.total = path.stat().st_size
        self._encoding = _encoding(path)

    def __iter__(self) -> Iterator[tuple[int, list[str]]]:
        with (
            self.path.open("rb") as plain,
            io.TextIOWrapper(plain, encoding=self._encoding, newline="") as file,
        ):
            try:
                first = file.readline(_PIECE)
            except UnicodeDecodeError:
                raise self._cut_short(0) from None
            separator = max(_SEPARATORS, key=first.count)
            file.seek(0)
            reader = csv.reader(file, delimiter=separator)
            line = 1
            try:
                for row in reader:
                    yield line, row
                    line = reader.line_num + 1
                    self.done = plain.tell()
            except csv.Error as error:
                raise BadValue(
                    f"{self.path.name}, line {line}: cannot be read as CSV ({error})"
                ) from None
            except UnicodeDecodeError:
                raise self._cut_short(line) from None

    def _cut_short(self, line: int) -> BadValue:
        return BadValue(
            f"{self.path.name}, after line {line}: the file is cut short, or not all of it is "
            f"{self._encoding.upper()}: save it anew as CSV in UTF-8"
        )


class _Book(Sheet):
    """Of a workbook only the cells that exist are read; a stray one far away costs nothing."""

    def __iter__(self) -> Iterator[tuple[int, list[str]]]:
        self._refuse_what_unpacks_to_too_much()
        import openpyxl

        try:
            book = openpyxl.load_workbook(self.path, read_only=True, data_only=True)
        except Exception as error:  # anything at all, of a file that was made to be odd
            raise self._unread() from error
        try:
            if self.name and self.name not in book.sheetnames:
                raise NotFound(
                    f"{self.path.name} has no sheet {self.name!r}: {', '.join(book.sheetnames)}"
                )
            yield from self._rows(book[self.name] if self.name else book.worksheets[0])
        except (BadValue, NotFound):
            raise
        except Exception as error:
            raise self._unread() from error
        finally:
            book.close()

    def _rows(self, page: Any) -> Iterator[tuple[int, list[str]]]:
        self.total = min(page.max_row or 0, MOST_ROWS)
        cells, before = 0, None
        rows = page.iter_rows(max_row=MOST_ROWS, max_col=MOST_COLUMNS, values_only=True)
        for line, row in enumerate(rows, start=1):
            self.done = line
            if row is before:  # the one row that stands for all that are not there
                continue
            before = row
            filled = len(row)
            while filled and row[filled - 1] is None:
                filled -= 1
            cells += filled
            if cells > MOST_CELLS:
                raise BadValue(
                    f"{self.path.name} has over {MOST_CELLS:,} cells: give the parts list alone"
                )
            if filled:
                yield line, [_said(cell) for cell in row[:filled]]

    def _refuse_what_unpacks_to_too_much(self) -> None:
        try:
            with zipfile.ZipFile(self.path) as packed:
                size = sum(each.file_size for each in packed.infolist())
                secret = any(each.flag_bits & 1 for each in packed.infolist())
        except Exception as error:
            raise self._unread() from error
        if secret:
            raise BadValue(f"{self.path.name} has a password: save it without one, or as CSV")
        if size > MOST_UNPACKED:
            raise BadValue(
                f"{self.path.name} unpacks to {size >> 20:,} MB, {MOST_UNPACKED >> 20} are the "
                "most: save the parts list alone, or as CSV"
            )

    def _unread(self) -> BadValue:
        return BadValue(
            f"{self.path.name} cannot be read as a workbook: save it anew as XLSX, or as CSV"
        )


def open_sheet(path: Path, sheet: str = "") -> Sheet:
    """Give the rows of a CSV or XLSX file; ``sheet`` names one of a workbook, else the first.

    A CSV may be separated by commas, semicolons, tabs or bars, in UTF-8, UTF-16 with its mark, or
    else taken as Windows-1252.

    Raises:
        NotFound: no such file.
        BadValue: it cannot be read.
    """
    if not path.is_file():
        raise NotFound(f"no file {path}: give a parts list as CSV or XLSX")
    try:
        with path.open("rb") as file:
            head = file.read(8)
        if head.startswith(b"PK") or path.suffix.lower() in _BOOKS:
            return _Book(path, sheet)
        if head.startswith(b"\xd0\xcf\x11\xe0"):
            raise BadValue(
                f"{path.name} is an old workbook, or one with a password: "
                "save it as XLSX without one, or as CSV"
            )
        return _Csv(path)
    except OSError as error:
        raise BadValue(f"cannot read {path}: {error.strerror or error}") from None


def _encoding(path: Path) -> str:
    with path.open("rb") as file:
        head = file.read(2)
        if head in (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE):
            return "utf-16"
        file.seek(0)
        decoder = codecs.getincrementaldecoder("utf-8")()
        try:
            while piece := file.read(_PIECE):
                decoder.decode(piece)
            decoder.decode(b"", final=True)
        except UnicodeDecodeError:
            return "cp1252" if _fits(path, "cp1252") else "latin-1"
    return "utf-8-sig"


def _fits(path: Path, encoding: str) -> bool:
    try:
        with path.open(encoding=encoding) as file:
            while file.read(_PIECE):
                pass
    except UnicodeDecodeError:
        return False
    return True


def _said(cell: Any) -> str:
    if cell is None:
        return ""
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    if isinstance(cell, datetime):
        return cell.isoformat(sep=" ", timespec="minutes")
    return cell.isoformat() if isinstance(cell, date) else str(cell)
