"""Series of threads and the forms (profiles) they are cut to.

Truncation factors are multiples of the pitch taken off the major diameter. H is the height of the
sharp triangle.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import floor, sqrt

__all__ = [
    "BA",
    "CYCLE",
    "FORM",
    "ISO",
    "MM_PER_INCH",
    "UNIFIED",
    "WHITWORTH",
    "Form",
    "Series",
    "half_up",
]

MM_PER_INCH = 25.4


class Series(StrEnum):
    """Families of threads. Metric coarse and fine are told apart by `Thread.coarse`."""

    METRIC = "metric"
    BSW = "bsw"
    BSF = "bsf"
    CYCLE = "cycle"
    BA = "ba"
    UNC = "unc"
    UNF = "unf"
    UNEF = "unef"
    G = "g"

    @property
    def in_inches(self) -> bool:
        """Whether the standard states its figures in inches (G is tabulated in mm)."""
        return self in _INCH

    @property
    def by_tpi(self) -> bool:
        """Whether the pitch is written as threads per inch."""
        return self in _INCH or self is Series.G


_INCH = frozenset(
    {Series.BSW, Series.BSF, Series.CYCLE, Series.UNC, Series.UNF, Series.UNEF},
)


@dataclass(frozen=True, slots=True)
class Form:
    """A thread form: what is taken off the major diameter, in pitches.

    ``effective``, ``minor`` (nut bore, or basic) and ``root`` (bolt) give the pitch, minor and root
    diameters. ``stress`` gives the diameter of the stress area; ``stress_source`` says on what
    authority. ``full`` is what counts as 100 % of thread when a tapping drill is chosen: twice the
    depth of the basic external thread.
    """

    name: str
    flank_angle_deg: float
    effective: float
    minor: float
    root: float
    stress: float
    full: float
    source: str
    stress_source: str


_H60 = sqrt(3) / 2
_MEAN = "common practice: circle on the mean of effective and minor diameter; no table in print"

ISO = Form(
    "ISO metric", 60.0, 3 / 4 * _H60, 5 / 4 * _H60, 17 / 12 * _H60, 13 / 12 * _H60, 3 / 2 * _H60,
    "ISO 68-1, ISO 724", "ISO 898-1: circle on the mean of d2 and d3",
)  # fmt: skip
UNIFIED = Form(
    "Unified", 60.0, 3 / 4 * _H60, 5 / 4 * _H60, 11 / 8 * _H60, 9 / 8 * _H60, 3 / 2 * _H60,
    "ASME B1.1 (root of the UNR bolt)", "ASME B1.1: pi (d2/2 - 3H/16)^2, as its tables round it",
)  # fmt: skip
WHITWORTH = Form(
    "Whitworth", 55.0, 0.640327, 1.280654, 1.280654, 0.960491, 1.280654,
    "BS 84; ISO 228-1 for G", _MEAN,
)  # fmt: skip
CYCLE = Form("cycle", 60.0, 0.5327, 1.0654, 1.0654, 0.79905, 1.0654, "BS 811", _MEAN)
BA = Form("BA", 47.5, 0.6, 1.2, 1.2, 0.9, 1.2, "BS 93", _MEAN)

FORM = {
    Series.METRIC: ISO,
    Series.BSW: WHITWORTH,
    Series.BSF: WHITWORTH,
    Series.CYCLE: CYCLE,
    Series.BA: BA,
    Series.UNC: UNIFIED,
    Series.UNF: UNIFIED,
    Series.UNEF: UNIFIED,
    Series.G: WHITWORTH,
}


def half_up(value: float, places: int) -> float:
    """Round as a printed table does: a half goes up, and the dust of a float does not hide it."""
    scale = 10.0**places
    return floor(value * scale + 0.5 + 1e-6) / scale
