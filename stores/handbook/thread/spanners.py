"""Which spanner or key fits the heads and nuts of a thread, by the standard they were made to."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from stores.handbook.table import number, table
from stores.handbook.thread.form import MM_PER_INCH

__all__ = ["Spanner", "spanners"]


@dataclass(frozen=True, slots=True)
class Spanner:
    """One across-flats size that a thread is found with.

    ``system`` is the standard or practice (``ISO 272``, ``DIN before 1982``, ``JIS small hexagon``,
    ``Whitworth BS 1083`` ...), ``part`` what it turns, ``name`` what stands on the spanner.
    ``af_min_in`` is the lower limit where one is printed.
    """

    system: str
    part: str
    name: str
    af_mm: float
    af_in: float
    af_min_in: float | None
    source: str
    note: str

    def __str__(self) -> str:
        return f"{self.name} ({self.af_mm:g} mm, {self.af_in:.4g} in): {self.part}, {self.system}"


@cache
def spanners(series: str, size: str) -> tuple[Spanner, ...]:
    """Give every spanner on record for a series and size, empty if there is none."""
    return tuple(_spanner(row) for row in _rows().get((series, size), ()))


@cache
def _rows() -> dict[tuple[str, str], list[Mapping[str, str]]]:
    """Give the table's rows by series and size; a row is read in full when it is asked for."""
    rows: dict[tuple[str, str], list[Mapping[str, str]]] = {}
    for row in table("across_flats"):
        for series in row["series"].split():
            rows.setdefault((series, row["thread"]), []).append(row)
    return rows


def _spanner(row: Mapping[str, str]) -> Spanner:
    inches = number(row["af_in"])
    return Spanner(
        row["system"],
        row["part"],
        row["name"],
        float(row["af_mm"]),
        inches if inches is not None else float(row["af_mm"]) / MM_PER_INCH,
        number(row["af_min_in"]),
        row["source"],
        row["note"],
    )
