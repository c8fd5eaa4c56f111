"""Tolerance bands: how far from the table's figure a good piece may lie."""

from bisect import bisect_left
from collections.abc import Callable

from stores.handbook.hardware.model import Band, Row
from stores.handbook.table import number

__all__ = ["between", "it", "plus_minus", "width_of"]

# ISO 286-1 standard tolerances, mm, for nominal sizes up to and including the limit (memory).
_UP_TO = (3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0)
_GRADES = {
    13: (0.14, 0.18, 0.22, 0.27, 0.33, 0.39, 0.46, 0.54, 0.63, 0.72, 0.81),
    14: (0.25, 0.30, 0.36, 0.43, 0.52, 0.62, 0.74, 0.87, 1.00, 1.15, 1.30),
    15: (0.40, 0.48, 0.58, 0.70, 0.84, 1.00, 1.20, 1.40, 1.60, 1.85, 2.10),
}


def width_of(grade: int, size_mm: float) -> float:
    """Give the width in mm of ISO tolerance grade 13, 14 or 15; above 315 mm, the last."""
    widths = _GRADES[grade]
    return widths[min(bisect_left(_UP_TO, size_mm), len(widths) - 1)]


def it(grade: int, side: str) -> Band:
    """Give a band of one grade: "-" for a shaft (h), "+" for a hole (H), "js" for half each way."""

    def band(_: Row, value: float) -> tuple[float, float]:
        width = width_of(grade, value)
        if side == "js":
            return (-width / 2, width / 2)
        return (-width, 0.0) if side == "-" else (0.0, width)

    return band


def plus_minus(column: str, otherwise: float) -> Band:
    """Give a band from a column that holds a plus-or-minus tolerance in mm."""

    def band(row: Row, _: float) -> tuple[float, float]:
        tolerance = number(row.get(column, ""))
        spread = otherwise if tolerance is None else tolerance
        return (-spread, spread)

    return band


def between(low: Callable[[Row], float | None], high: Callable[[Row], float | None]) -> Band:
    """Give the band from one figure of the row to another."""

    def band(row: Row, value: float) -> tuple[float, float]:
        bottom, top = low(row), high(row)
        return (
            min(0.0, (value if bottom is None else bottom) - value),
            max(0.0, (value if top is None else top) - value),
        )

    return band
