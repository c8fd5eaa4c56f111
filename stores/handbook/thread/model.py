"""Series of threads and the forms (profiles) they are cut to.

Truncation factors are multiples of the pitch taken off the major diameter. H is the height of the
sharp triangle.

Which spanner or key fits the heads and nuts of a thread, by the standard they were made to.

One thread: its designation, its basic dimensions and what follows from them.

`limits` builds on this module, so the properties that give limits import it when asked.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cache
from math import floor, pi, sqrt
from typing import TYPE_CHECKING

from stores.handbook.table import number, table

if TYPE_CHECKING:
    from stores.handbook.thread.drills import InchDrill

__all__ = [
    "BA",
    "CYCLE",
    "FORM",
    "ISO",
    "MM_PER_INCH",
    "UNIFIED",
    "WHITWORTH",
    "Form",
    "Limits",
    "Series",
    "Spanner",
    "Thread",
    "half_up",
    "spanners",
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
    """Round as a printed table does: a half goes up, and the dust of a float does not hide it.

    Args:
        value: the figure, in any unit.
        places: decimals to keep.

    >>> half_up(0.125, 2), round(0.125, 2)
    (0.13, 0.12)
    """
    scale = 10.0**places
    return floor(value * scale + 0.5 + 1e-6) / scale


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
    """Return every spanner on record for a series and size, empty if there is none."""
    return tuple(_spanner(row) for row in _rows().get((series, size), ()))


@cache
def _rows() -> dict[tuple[str, str], list[Mapping[str, str]]]:
    """Return the table's rows by series and size; a row is read in full when it is asked for."""
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


_DEPTH_STEP_MM = {Series.BA: 0.005, Series.G: 0.001}


@dataclass(frozen=True, slots=True)
class Limits:
    """Smallest and largest size, mm; unpacks as ``smallest, largest``.

    ``source`` names the class and the standard. ``substitute`` marks limits borrowed from another
    standard because none was found in print: a guide for naming a worn bolt, not for making one.
    """

    min_mm: float
    max_mm: float
    source: str
    substitute: bool = False

    def __iter__(self) -> Iterator[float]:
        return iter((self.min_mm, self.max_mm))

    def __contains__(self, size_mm: float) -> bool:
        return self.min_mm - 1e-9 <= size_mm <= self.max_mm + 1e-9

    @property
    def min_in(self) -> float:
        """Smallest size, inches."""
        return self.min_mm / MM_PER_INCH

    @property
    def max_in(self) -> float:
        """Largest size, inches."""
        return self.max_mm / MM_PER_INCH


@dataclass(frozen=True, slots=True)
class Thread:
    """A screw thread of one series, size and pitch.

    ``size`` is what the trade writes: ``M6``, ``1/4``, ``2BA``, ``#10``, ``G 1/8``. ``tpi`` is None
    where the standard gives a pitch in mm. ``coarse`` is true for the coarse pitch of ISO 261, for
    BSW and for UNC. ``choice`` is the column of ISO 261 (1 first, 2 second, 3 third), None for any
    other thread. ``standard`` is false for a thread built by `custom`, that no table holds.

    ``tabulated_drill_mm`` is the printed tapping drill, if there is one; ``inch_drills`` are the
    number, letter or fraction drills for about 75 % and about 50 % of thread (Unified).

    Names in ``_mm``, ``_in``, ``_mm2`` and ``_in2`` carry their unit. ``major``, ``pitch``,
    ``effective`` and ``minor`` are in the unit of the standard: inches for BSW, BSF, cycle and
    Unified, else mm. Figures are not rounded, except where the standard rounds on the way (depth
    of BA and G; root, stress area and limits of Unified).
    """

    series: Series
    size: str
    major_mm: float
    pitch_mm: float
    tpi: float | None
    flank_angle_deg: float
    coarse: bool
    choice: int | None = None
    source: str = field(default="", compare=False)
    note: str = field(default="", compare=False)
    standard: bool = True
    tabulated_drill_mm: float | None = field(default=None, compare=False)
    inch_drills: tuple[str, str] | None = field(default=None, compare=False)

    # ---- names

    @property
    def designation(self) -> str:
        """Canonical name: ``M6``, ``M8x1``, ``1/4 BSW``, ``1/4-26 cycle``, ``2BA``, ``G 1/8``."""
        pitch = f"{self.tpi or self.pitch_mm:g}"
        match self.series:
            case Series.METRIC:
                return self.size if self.coarse else f"{self.size}x{pitch}"
            case Series.BA:
                return self.size if self.standard else f"{self.size}x{pitch}"
            case Series.G:
                return self.size if self.standard else f"{self.size}-{pitch}"
            case Series.BSW | Series.BSF if self.standard:
                return f"{self.size} {self.series.upper()}"
            case Series.CYCLE:
                return f"{self.size}-{pitch} cycle"
            case _:
                return f"{self.size}-{pitch} {self.series.upper()}"

    def __str__(self) -> str:
        return self.designation

    @property
    def form(self) -> Form:
        """The thread form, with the standard it is taken from."""
        return FORM[self.series]

    # ---- in the unit of the standard

    @property
    def unit_mm(self) -> float:
        """Millimetres in the unit the standard is written in: 25.4 or 1."""
        return MM_PER_INCH if self.series.in_inches else 1.0

    @property
    def major(self) -> float:
        """Basic major diameter, in the unit of the standard."""
        # Sizes are whole 1/64 or 1/1000 of an inch: rounding undoes the detour by millimetres.
        return round(self.major_mm / self.unit_mm, 9)

    @property
    def pitch(self) -> float:
        """Pitch, in the unit of the standard."""
        return 1 / self.tpi if self.tpi and self.series.in_inches else self.pitch_mm

    @property
    def effective(self) -> float:
        """Basic pitch (effective) diameter, in the unit of the standard."""
        return self._less(self.form.effective)

    @property
    def minor(self) -> float:
        """Basic minor diameter, in the unit of the standard."""
        return self._less(self.form.minor)

    def _less(self, pitches: float) -> float:
        """Return the major diameter less so many pitches."""
        if step := _DEPTH_STEP_MM.get(self.series):
            # The standard rounds the depth, and everything follows the rounded depth.
            depth = half_up(self.form.effective * self.pitch_mm / step, 0) * step
            return self.major_mm - pitches / self.form.effective * depth
        return self.major - pitches * self.pitch

    # ---- dimensions

    @property
    def major_in(self) -> float:
        """Basic major diameter, inches."""
        return round(self.major_mm / MM_PER_INCH, 9)

    @property
    def pitch_diameter_mm(self) -> float:
        """Basic pitch (effective) diameter, mm."""
        return self.effective * self.unit_mm

    @property
    def pitch_diameter_in(self) -> float:
        """Basic pitch (effective) diameter, inches."""
        return self.pitch_diameter_mm / MM_PER_INCH

    @property
    def minor_mm(self) -> float:
        """Basic minor diameter, mm: the bore of the nut (D1 of ISO 724)."""
        return self.minor * self.unit_mm

    @property
    def minor_in(self) -> float:
        """Basic minor diameter, inches: the bore of the nut."""
        return self.minor_mm / MM_PER_INCH

    @property
    def root_mm(self) -> float:
        """Minor diameter of the bolt, mm: d3 of ISO 724 (rounded root); UNR root for Unified."""
        if self.form is UNIFIED:
            # H/8 below the nut's minor diameter as printed: so the tables of ASME B1.1 come out.
            below = (UNIFIED.root - UNIFIED.minor) * self.pitch
            return (half_up(self.minor, 4) - below) * MM_PER_INCH
        return self._less(self.form.root) * self.unit_mm

    @property
    def root_in(self) -> float:
        """Minor diameter of the bolt, inches."""
        return self.root_mm / MM_PER_INCH

    @property
    def stress_area_mm2(self) -> float:
        """Tensile stress area, mm2, by the formula that ``form.stress_source`` names."""
        diameter = self._less(self.form.stress)
        if self.form is UNIFIED:
            # pi (d2/2 - 3H/16)^2 with d2 to four decimals and 3H/16 to five: so the tables of
            # ASME B1.1 come out.
            less = half_up((UNIFIED.stress - UNIFIED.effective) / 2 * self.pitch, 5)
            diameter = half_up(self.effective, 4) - 2 * less
        return pi / 4 * (diameter * self.unit_mm) ** 2

    @property
    def stress_area_in2(self) -> float:
        """Tensile stress area, square inches."""
        return self.stress_area_mm2 / MM_PER_INCH**2

    # ---- tapping drill

    def drill_for(self, percent: float) -> float:
        """Return the hole, mm, that leaves a percentage of full thread (100 is `form.full`)."""
        return self.major_mm - percent / 100 * self._full_mm

    def percent_left_by(self, hole_mm: float) -> float:
        """Return the percentage of full thread that tapping a hole of ``hole_mm`` leaves."""
        return 100 * (self.major_mm - hole_mm) / self._full_mm

    @property
    def _full_mm(self) -> float:
        return (self.major - self._less(self.form.full)) * self.unit_mm

    @property
    def tapping_drill_mm(self) -> float:
        """Tapping drill, mm: the tabulated drill, else by the rule `tapping_drill_source` names."""
        if self.tabulated_drill_mm is not None:
            return self.tabulated_drill_mm
        from stores.handbook.thread.drills import choose

        return choose(self).mm

    @property
    def tapping_drill_source(self) -> str:
        """Table or rule that `tapping_drill_mm` comes from."""
        if self.tabulated_drill_mm is not None:
            return self.source.rpartition("tapping drill: ")[2]
        from stores.handbook.thread.drills import choose

        return f"rule: {choose(self).rule} (common practice)"

    @property
    def tapping_drill_in(self) -> "InchDrill | None":
        """Number, letter or fraction drill nearest the same hole; None where none fits."""
        from stores.handbook.thread.drills import inch_drill

        return inch_drill(self)

    # ---- limits of size

    @property
    def external_major_limits_mm(self) -> Limits:
        """Limits of the bolt's major diameter; see `limits.external_major` for the classes."""
        from stores.handbook.thread import limits

        return limits.external_major(self)

    @property
    def external_pitch_limits_mm(self) -> Limits:
        """Limits of the bolt's pitch diameter, same classes."""
        from stores.handbook.thread import limits

        return limits.external_pitch(self)

    @property
    def external_minor_limits_mm(self) -> Limits | None:
        """Limits of the bolt's minor diameter, None where the standard states none."""
        from stores.handbook.thread import limits

        return limits.external_minor(self)

    @property
    def internal_minor_limits_mm(self) -> Limits | None:
        """Limits of the nut's minor diameter, None where none was found in print."""
        from stores.handbook.thread import limits

        return limits.internal_minor(self)

    @property
    def internal_pitch_limits_mm(self) -> Limits | None:
        """Limits of the nut's pitch diameter, None where none was found in print."""
        from stores.handbook.thread import limits

        return limits.internal_pitch(self)

    # ---- spanners

    @property
    def spanners(self) -> tuple[Spanner, ...]:
        """Across-flats sizes this thread is found with, each with its standard; may be empty."""
        return spanners(self.series.value, self.size)
