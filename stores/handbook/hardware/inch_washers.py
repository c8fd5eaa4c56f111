"""Washers for threads in inches, beside the metric ones of the same kind; sizes in mm.

::

    >>> rows = with_inch("hardware_plain_washers")
    >>> [row["d1_min_mm"] for row in rows if row["for_thread"] == "1/4"]
    ['7.14', '7.92']
"""

from functools import cache
from types import MappingProxyType

from stores import units
from stores.handbook.hardware.model import Band, Row, shown
from stores.handbook.table import table

__all__ = ["inch_band", "inch_name", "inch_notes", "of_inch", "screw_outside_mm", "with_inch"]

_MM = 25.4


def screw_outside_mm(size: str) -> float:
    """Return the outside diameter of an inch thread by its size, mm.

    A number of ASME B1.1 is 0.060 in and 0.013 in more for each; ``5/16`` is itself.

    >>> round(screw_outside_mm("#10"), 3), screw_outside_mm("1/4")
    (4.826, 6.35)
    """
    if size.startswith("#"):
        return _MM * (0.060 + 0.013 * int(size[1:]))
    return _MM * float(units.value(size))


@cache
def with_inch(name: str) -> tuple[Row, ...]:
    """Return the metric washers of a table and the inch ones of its neighbour, in its columns."""
    metric = table(name)
    return (*metric, *(_in_mm(row, list(metric[0])) for row in table(f"{name}_inch")))


def _in_mm(row: Row, columns: list[str]) -> Row:
    sizes = {
        column.removesuffix("_in") + "_mm": shown(round(_MM * float(value), 2))
        for column, value in row.items()
        if column.endswith("_in")
    }
    return MappingProxyType(
        {
            **dict.fromkeys(columns, ""),
            **row,
            **sizes,
            "thread_mm": shown(round(screw_outside_mm(row["for_thread"]), 3)),
        }
    )


def of_inch(row: Row) -> bool:
    """Return whether a washer is for a thread in inches."""
    return "thread_mm" in row


def inch_band(low: float, high: float, metric: Band) -> Band:
    """Return a band of inch washers in mm, and that of the metric ones."""
    return lambda row, value: (low, high) if of_inch(row) else metric(row, value)


def inch_name(row: Row, kind: str) -> str:
    """Return what an inch washer is called: its thread, then narrow or wide, then its kind."""
    series = row["standard"].rpartition(" ")[2]
    width = f"{series} " if series in ("narrow", "wide") else ""
    return f"{row['for_thread']}{'' if row['for_thread'].startswith('#') else ' in'} {width}{kind}"


def inch_notes(row: Row) -> tuple[str, ...]:
    """Return what thread an inch washer is for: BSF, BSW, UNF and UNC share their diameters."""
    size = row["for_thread"]
    series = "UNF and UNC" if size.startswith("#") else "BSF, BSW, UNF and UNC alike"
    return (f"for {size} {series}; older British washers differ: measure",)
