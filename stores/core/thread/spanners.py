"""Which spanner or key fits the heads and nuts of a thread, by the standard they were made to."""

from dataclasses import dataclass
from functools import cache

from stores.core.tables import number, table
from stores.core.thread.form import MM_PER_INCH

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


def spanners(series: str, size: str) -> tuple[Spanner, ...]:
    """Give every spanner on record for a series and size, empty if there is none."""
    return _index().get((series, size), ())


@cache
def _index() -> dict[tuple[str, str], tuple[Spanner, ...]]:
    index: dict[tuple[str, str], list[Spanner]] = {}
    for row in table("across_flats"):
        inches = number(row["af_in"])
        spanner = Spanner(
            row["system"],
            row["part"],
            row["name"],
            float(row["af_mm"]),
            inches if inches is not None else float(row["af_mm"]) / MM_PER_INCH,
            number(row["af_min_in"]),
            row["source"],
            row["note"],
        )
        for series in row["series"].split():
            index.setdefault((series, row["thread"]), []).append(spanner)
    return {key: tuple(found) for key, found in index.items()}
