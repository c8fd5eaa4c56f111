"""The standards' tables: CSV files in ``stores/handbook/tables``, one loader for all of them.

A table is comma-separated with a header line. Lines that begin with ``#`` before the header are
comments (below it they are data: ``#10`` is a size). It must have a ``source`` column, and every
row must fill it: a figure without a source is not used.
"""

from functools import cache
from operator import itemgetter
from pathlib import Path
from types import MappingProxyType

from stores.errors import BadValue

__all__ = ["columns", "number", "table"]


@cache
def table(name: str) -> tuple[MappingProxyType[str, str], ...]:
    """Return the rows of ``stores/handbook/tables/<name>.csv`` as mappings, column to text.

    Raises `BadValue` naming the file and the line when there is no such table, a row is longer
    or shorter than the header, or a row has no source.
    """
    header, rows = _rows(name)
    return tuple(MappingProxyType(dict(zip(header, row, strict=True))) for row in rows)


def columns(name: str, first: str, second: str, *others: str) -> list[tuple[str, ...]]:
    """Return columns of a table, row by row: of thousands of rows mappings take their time.

    Raises as `table` does, and `ValueError` for a column that is not there.
    """
    header, rows = _rows(name)
    return list(map(itemgetter(*map(header.index, (first, second, *others))), rows))


def _rows(name: str) -> tuple[list[str], list[list[str]]]:
    import csv  # a calculator that never opens a table should not pay for it

    lines = _read(name).decode("utf-8").splitlines()
    comments = next((at for at, line in enumerate(lines) if not line.startswith("#")), len(lines))
    reader = csv.reader(lines[comments:], strict=True)
    header = next(reader, [])
    if "source" not in header:
        raise BadValue(f"{name}.csv has no source column")
    rows, wide, source = list(reader), len(header), header.index("source")
    for at, row in enumerate(rows, comments + 2):
        if len(row) != wide:
            raise BadValue(f"{name}.csv line {at}: {len(row)} fields, {wide} expected")
        if not row[source].strip():
            raise BadValue(f"{name}.csv line {at}: no source")
    return header, rows


def _read(name: str) -> bytes:
    """Read a table as the plain file that it is, beside the code.

    `importlib.resources` and `pkgutil` take as long to load as a small calculator takes to answer.
    """
    try:
        return (Path(__file__).parent / "tables" / f"{name}.csv").read_bytes()
    except OSError:
        raise BadValue(f"no table {name!r} in stores/handbook/tables") from None


def number(text: str) -> float | None:
    """Return a cell as a number; an empty cell is None."""
    return float(text) if text else None
