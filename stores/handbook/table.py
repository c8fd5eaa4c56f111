"""The standards' tables: CSV files in ``stores/handbook/tables``, one loader for all of them.

A table is comma-separated with a header line. Lines that begin with ``#`` before the header are
comments (below it they are data: ``#10`` is a size). It must have a ``source`` column, and every
row must fill it: a figure without a source is not used.
"""

from functools import cache
from pathlib import Path
from types import MappingProxyType

from stores.errors import BadValue

__all__ = ["number", "table"]


@cache
def table(name: str) -> tuple[MappingProxyType[str, str], ...]:
    """Return the rows of ``stores/handbook/tables/<name>.csv`` as mappings, column to text.

    Raises `BadValue` naming the file and the line when there is no such table, a row is longer
    or shorter than the header, or a row has no source.
    """
    import csv  # a calculator that never opens a table should not pay for it

    lines = _read(name).decode("utf-8").splitlines()
    comments = next((at for at, line in enumerate(lines) if not line.startswith("#")), len(lines))
    reader = csv.reader(lines[comments:], strict=True)
    header = next(reader, [])
    if "source" not in header:
        raise BadValue(f"{name}.csv has no source column")
    rows = []
    for at, fields in enumerate(reader, comments + 2):
        if len(fields) != len(header):
            raise BadValue(f"{name}.csv line {at}: {len(fields)} fields, {len(header)} expected")
        row = dict(zip(header, fields, strict=True))
        if not row["source"].strip():
            raise BadValue(f"{name}.csv line {at}: no source")
        rows.append(MappingProxyType(row))
    return tuple(rows)


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
