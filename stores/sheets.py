"""Rows of a table in a file, CSV or XLSX, one at a time: memory does not grow with the file."""

import codecs
import csv
import io
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path
from typing import Any

from stores.errors import BadValue, NotFound

__all__ = ["Sheet", "open_sheet"]

_SEPARATORS = (",", ";", "\t", "|")
_PIECE = 1 << 20
_BOOKS = (".xlsx", ".xlsm")


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
            first = file.readline(_PIECE)
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


class _Book(Sheet):
    def __iter__(self) -> Iterator[tuple[int, list[str]]]:
        import openpyxl
        from openpyxl.utils.exceptions import InvalidFileException

        try:
            book = openpyxl.load_workbook(self.path, read_only=True, data_only=True)
        except (OSError, ValueError, KeyError, SyntaxError, InvalidFileException) as error:
            raise self._unread(error) from None
        except Exception as error:  # zipfile and zlib have no common error
            if type(error).__module__ in ("zipfile", "zlib"):
                raise self._unread(error) from None
            raise
        try:
            if self.name and self.name not in book.sheetnames:
                raise NotFound(
                    f"{self.path.name} has no sheet {self.name!r}: {', '.join(book.sheetnames)}"
                )
            page = book[self.name] if self.name else book.worksheets[0]
            self.total = page.max_row or 0
            for line, row in enumerate(page.iter_rows(values_only=True), start=1):
                self.done = line
                yield line, [_said(cell) for cell in row]
        except (SyntaxError, ValueError, KeyError, IndexError) as error:
            raise self._unread(error) from None
        finally:
            book.close()

    def _unread(self, error: Exception) -> BadValue:
        return BadValue(f"{self.path.name} cannot be read as a workbook: {error}")


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
            raise BadValue(f"{path.name} is an old workbook: save it as XLSX or CSV first")
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
