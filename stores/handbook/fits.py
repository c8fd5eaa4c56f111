"""Limits and fits of ISO 286: deviations of shafts and holes, and the clearance of a pair.

Sizes above 0 and up to 500 mm (c, r and s up to 180 mm), grades 4 to 12. Shafts c to h, js, j, k,
m, n, p, r, s and holes C to H, JS, J, K, M, N, P, R, S. Ranges are "over, up to and including".
"""

import re
from dataclasses import dataclass
from enum import Enum

from stores import units
from stores.errors import BadValue, NotationError
from stores.handbook.answer import Answer, between
from stores.handbook.table import table

__all__ = ["Deviations", "deviations", "fit", "grade_um"]

_SOURCES = ("iso-286",)
GRADES = range(4, 13)


@dataclass(frozen=True, slots=True)
class Deviations:
    """Upper and lower deviation of a tolerance class at a size, micrometres."""

    name: str
    size_mm: float
    upper_um: float
    lower_um: float
    hole: bool

    @property
    def limits_mm(self) -> tuple[float, float]:
        """Smallest and largest size, mm."""
        return self.size_mm + self.lower_um / 1000, self.size_mm + self.upper_um / 1000


def grade_um(grade: int, size_mm: float) -> float:
    """Give a standard tolerance, IT4 to IT12, in micrometres (ISO 286-1 table 1)."""
    between("size", size_mm, "mm", 1e-6, 500.0)
    if grade not in GRADES:
        raise BadValue(f"IT{grade}: there are IT{GRADES[0]} to IT{GRADES[-1]}")
    for row in table("fits_grades"):
        if float(row["over_mm"]) < size_mm <= float(row["incl_mm"]):
            return float(row[f"it{grade}_um"])
    raise AssertionError("sizes up to 500 mm have their grade")


def _fundamental(letter: str, size_mm: float) -> float | None:
    for row in table("fits_deviations"):
        if row["letter"] == letter and float(row["over_mm"]) < size_mm <= float(row["incl_mm"]):
            return float(row["deviation_um"])
    return None


def deviations(name: str, size_mm: float) -> Deviations:
    """Give the deviations of a class, ``h6`` (shaft) or ``H7`` (hole), at a size in mm.

    Raises `NotationError` for what is no class, `BadValue` for one there are no figures of.
    """
    found = re.fullmatch(r"([A-Z]{1,2}|[a-z]{1,2})(\d{1,2})", name.strip(), re.ASCII)
    if found is None:
        raise NotationError("cannot read a tolerance class such as H7 or h6", name)
    letter, grade = found[1], int(found[2])
    width = grade_um(grade, size_mm)
    ends = _hole(letter, grade, size_mm) if letter.isupper() else _shaft(letter, grade, size_mm)
    if ends is None:
        raise BadValue(f"no figures for {name.strip()} at {size_mm:g} mm")
    side, own = ends
    upper, lower = (own, own - width) if side is _Side.UPPER else (own + width, own)
    return Deviations(name.strip(), size_mm, upper, lower, letter.isupper())


class _Side(Enum):
    UPPER = "upper"
    LOWER = "lower"


_End = tuple[_Side, float]


def _shaft(letter: str, grade: int, size_mm: float) -> _End | None:
    """Give the fundamental deviation of a shaft and which side it is; the other is a grade away."""
    if letter == "h":
        return _Side.UPPER, 0.0
    if letter == "js":
        return _Side.UPPER, grade_um(grade, size_mm) / 2
    own = _fundamental(f"j{grade}" if letter == "j" else letter, size_mm)
    if own is None:
        return None
    if letter in "cdefg":
        return _Side.UPPER, own
    # k is 0 outside grades 4 to 7 (ISO 286-1 table 4).
    return _Side.LOWER, own if letter != "k" or 4 <= grade <= 7 else 0.0


def _hole(letter: str, grade: int, size_mm: float) -> _End | None:
    """Give the fundamental deviation of a hole and which side it is.

    C to H mirror the shaft; the tighter ones do so with a shift (`_tight_hole`).
    """
    if letter == "H":
        return _Side.LOWER, 0.0
    if letter == "JS":
        return _Side.UPPER, grade_um(grade, size_mm) / 2
    own = _fundamental(f"J{grade}" if letter == "J" else letter.lower(), size_mm)
    if own is None or len(letter) > 1:
        return None
    if letter in "CDEFG":
        return _Side.LOWER, -own
    upper = own if letter == "J" else _tight_hole(letter, grade, size_mm, own)
    return None if upper is None else (_Side.UPPER, upper)


def _tight_hole(letter: str, grade: int, size_mm: float, shaft_um: float) -> float | None:
    """Give the upper deviation of the holes K to S.

    K, M, N up to grade 8 and P to S up to grade 7 mirror the shaft shifted, above 3 mm, by
    Δ = IT(n) - IT(n-1), so that H7/p6 and P7/h6 fit alike (ISO 286-1, 4.3.3).
    """
    if grade <= (8 if letter in "KMN" else 7):
        # ISO 286-1 table 5: M6 from 250 to 315 mm is -9, where the rule gives -11.
        if letter == "M" and grade == 6 and 250 < size_mm <= 315:
            return -9.0
        if size_mm <= 3:
            return -shaft_um
        if grade - 1 not in GRADES:
            return None
        return -shaft_um + grade_um(grade, size_mm) - grade_um(grade - 1, size_mm)
    if letter == "K":
        return 0.0 if size_mm <= 3 else None
    return 0.0 if letter == "N" and size_mm > 3 else -shaft_um


def fit(text: str, size_mm: float | None = None) -> Answer:
    """Give the clearance of a fit, micrometres: ``12 H7/k6``, or ``H7/k6`` with the size.

    Low is hole lower less shaft upper, high is hole upper less shaft lower; below zero is
    interference. The value is the middle.

    Raises `NotationError` for what is no fit, `BadValue` where no size is given or no figures are.
    """
    found = re.fullmatch(
        r"(?:[Øø⌀]?\s*(\d+(?:[.,]\d+)?)\s*(?:mm)?\s*)?"
        r"([A-Z]{1,2}\d{1,2})\s*[/ -]\s*([a-z]{1,2}\d{1,2})",
        text.strip(),
    )
    if found is None:
        raise NotationError("cannot read a fit such as 12 H7/k6", text)
    if found[1]:
        size_mm = float(units.value(found[1]))
    if size_mm is None:
        raise BadValue(f"{text.strip()}: at what size? write 12 {text.strip()}")
    hole, shaft = deviations(found[2], size_mm), deviations(found[3], size_mm)
    low, high = hole.lower_um - shaft.upper_um, hole.upper_um - shaft.lower_um
    kind = "clearance" if low >= 0 else "interference" if high <= 0 else "transition"
    return Answer(
        f"{kind} fit", (low + high) / 2, "um", low, high, "the tolerances of both parts",
        ("new parts, both at 20 C, below zero is interference",), _SOURCES,
        ("copy what was fitted or the drawing says; a housing is tight cold, loose hot",),
    )  # fmt: skip
