"""What a look-up gives back, and what a kind of hardware is made of.

Tolerance bands: how far from the table's figure a good piece may lie.
"""

import math
from bisect import bisect_left
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from stores import units
from stores.handbook.table import number

__all__ = [
    "LENGTH",
    "Band",
    "Dim",
    "Kind",
    "Match",
    "Piece",
    "Row",
    "as_fraction",
    "between",
    "column",
    "constant",
    "it",
    "plus_minus",
    "shown",
    "thread_d",
    "width_of",
]


Row = Mapping[str, str]

Band = Callable[[Row, float], tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Piece:
    """One row of a standard's list.

    ``sizes`` are the table's figures in mm. ``misses`` is measured minus table, in mm, for each
    size that was given: plus means the piece in hand is larger. ``beyond`` is the part of it, in mm
    without sign, that neither the measuring error nor the row's tolerance explains; all zero means
    the piece fits. Both are empty where a designation was read.
    """

    designation: str
    kind: str
    standard: str
    sizes: Mapping[str, float]
    misses: Mapping[str, float]
    beyond: Mapping[str, float]
    source: str
    notes: tuple[str, ...] = ()
    form: str = ""
    """Of a bearing its type, such as deep groove ball bearing."""

    def __str__(self) -> str:
        sizes = ", ".join(f"{name} {shown(value)}" for name, value in self.sizes.items())
        return f"{self.designation} ({sizes})"


@dataclass(frozen=True, slots=True)
class Match:
    """What fits the measurements, and what comes nearest.

    ``exact`` holds every row that each measurement fits within the measuring error and the row's
    own tolerance, the closest first; more than one means the sizes alone do not tell them apart.
    ``nearest`` holds the next rows, nearest first. Where nothing fits but would in inches, in cm or
    in another order, ``question`` asks whether that was meant and ``meant`` holds what fits then.
    """

    kind: str
    asked: Mapping[str, float]
    error_mm: float
    exact: tuple[Piece, ...]
    nearest: tuple[Piece, ...]
    notes: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    question: str = ""
    meant: tuple[Piece, ...] = ()

    @property
    def best(self) -> Piece | None:
        """Return the first exact piece, or the nearest if none is; None if neither is listed."""
        return next(iter((*self.exact, *self.nearest)), None)


def no_band(_: Row, __: float) -> tuple[float, float]:
    return (0.0, 0.0)


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Dim:
    """One dimension of a kind: its letter, its words, where it stands and its tolerance.

    ``band`` gives how far below (first, zero or negative) and above the table's figure a good piece
    may lie, in mm. ``ranged`` is a range that a clip closes over: its middle is the best fit.
    """

    name: str
    words: str
    value: Callable[[Row], float | None]
    band: Band = no_band
    ranged: bool = False


# No row has it: it comes from the standard's list of lengths. Cut ends and heads are not exact.
LENGTH = Dim("length", "length", lambda _: None, lambda _, __: (-0.5, 0.5))


def no_notes(_: Row) -> tuple[str, ...]:
    return ()


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Kind:
    """A kind of hardware: its table, its dimensions in asking order, how it is named.

    ``names`` gives the first size by which a row is called; ``follow`` names the dimensions that
    may stand after it, and ``length`` says whether a length may end the designation. ``trade``
    holds the orders in which sizes are given without their names, the usual one first; "length"
    may stand in them. ``called`` is the name that a person knows better, ``typed`` the sizes in
    words where the usual order does not say it all.
    """

    name: str
    words: tuple[str, ...]
    rows: Callable[[], tuple[Row, ...]]
    dims: tuple[Dim, ...]
    designate: Callable[[Row], str]
    standard: Callable[[Row], str]
    names: Callable[[Row], tuple[str, ...]]
    follow: tuple[str, ...] = ()
    length: bool = False
    error_mm: float = 0.05
    advice: tuple[str, ...] = ()
    notes: Callable[[Row], tuple[str, ...]] = no_notes
    length_standard: str = ""
    trade: tuple[tuple[str, ...], ...] = ()
    called: str = ""
    typed: str = ""
    same: str = ""
    """A dimension that nothing may miss: a seal for another shaft does not seal. The table of such
    a kind is no full list: what is not in it may still be made, and is asked for by its size."""
    fold: bool = False  # list near rows of the same sizes once: the first one's notes name the rest

    def dim(self, name: str) -> Dim | None:
        """Return the dimension with that letter, or None; of a kind sold by length, the length."""
        if self.length and name == LENGTH.name:
            return LENGTH
        return next((dim for dim in self.dims if dim.name == name), None)

    @property
    def orders(self) -> tuple[tuple[str, ...], ...]:
        """Return the orders in which sizes are taken when they are not named."""
        return self.trade or (tuple(dim.name for dim in self.dims),)


def column(name: str) -> Callable[[Row], float | None]:
    """Return a reader of one column; an empty or missing cell is None."""

    def read(row: Row) -> float | None:
        return number(row.get(name, ""))

    return read


def constant(below: float, above: float = 0.0) -> Band:
    """Return a band that is the same for every size, in mm."""
    return lambda _, __: (below, above)


# Outside diameters of inch and pipe threads that hardware tables name by the thread: d, or the
# major diameter of ISO 228-1 for G.
_INCH_D = {
    "G1/8": 9.728,
    "G1/4": 13.157,
    "1/4-26 BSF": 6.35,
    "1/4-28 UNF": 6.35,
    "5/16-22 BSF": 7.938,
}


def thread_d(name: str) -> Callable[[Row], float | None]:
    """Return a reader of the thread's outside diameter from a column like "M8" or "M8x1"."""

    def read(row: Row) -> float | None:
        text = row.get(name, "")
        if text in _INCH_D:
            return _INCH_D[text]
        try:
            return float(text.removeprefix("M").split("x")[0])
        except ValueError:
            return None

    return read


def as_fraction(inches: float) -> str:
    """Return an inch size as it is spoken of: 1 7/8; a decimal where no 64th is within 0.001."""
    parts = round(inches * 64)
    if parts == 0 or abs(inches - parts / 64) > 0.001:
        return shown(inches)
    return units.mixed(Fraction(parts, 64))


def shown(value: float) -> str:
    """Return a size as it is printed in a list: no trailing zeros, at most four places."""
    if not math.isfinite(value):
        return str(value)
    return f"{value:.4f}".rstrip("0").rstrip(".")


# ISO 286-1 standard tolerances, mm, for nominal sizes up to and including the limit (memory).
_UP_TO = (3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0)

_GRADES = {
    13: (0.14, 0.18, 0.22, 0.27, 0.33, 0.39, 0.46, 0.54, 0.63, 0.72, 0.81),
    14: (0.25, 0.30, 0.36, 0.43, 0.52, 0.62, 0.74, 0.87, 1.00, 1.15, 1.30),
    15: (0.40, 0.48, 0.58, 0.70, 0.84, 1.00, 1.20, 1.40, 1.60, 1.85, 2.10),
}


def width_of(grade: int, size_mm: float) -> float:
    """Return the width in mm of ISO tolerance grade 13, 14 or 15; above 315 mm, the last."""
    widths = _GRADES[grade]
    return widths[min(bisect_left(_UP_TO, size_mm), len(widths) - 1)]


def it(grade: int, side: str) -> Band:
    """Return a band of one grade: "-" for a shaft (h), "+" for a hole (H), "js" half each way."""

    def band(_: Row, value: float) -> tuple[float, float]:
        width = width_of(grade, value)
        if side == "js":
            return (-width / 2, width / 2)
        return (-width, 0.0) if side == "-" else (0.0, width)

    return band


def plus_minus(column: str, otherwise: float) -> Band:
    """Return a band from a column that holds a plus-or-minus tolerance in mm."""

    def band(row: Row, _: float) -> tuple[float, float]:
        tolerance = number(row.get(column, ""))
        spread = otherwise if tolerance is None else tolerance
        return (-spread, spread)

    return band


def between(low: Callable[[Row], float | None], high: Callable[[Row], float | None]) -> Band:
    """Return the band from one figure of the row to another."""

    def band(row: Row, value: float) -> tuple[float, float]:
        bottom, top = low(row), high(row)
        return (
            min(0.0, (value if bottom is None else bottom) - value),
            max(0.0, (value if top is None else top) - value),
        )

    return band
