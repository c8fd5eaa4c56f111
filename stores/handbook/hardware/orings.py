"""O-rings: dash sizes, metric rings, tolerances and the families that stand in for each other.

::

    >>> round(id_tolerance(20.0), 2), family(1.8)[0]
    (0.26, 1.78)
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cache
from types import MappingProxyType

from stores.errors import BadValue
from stores.handbook.hardware.bands import plus_minus
from stores.handbook.hardware.model import Band, Dim, Kind, Row, column
from stores.handbook.table import number, table

__all__ = [
    "INCH_SECTIONS",
    "KINDS",
    "NOMINAL",
    "family",
    "id_tolerance",
    "nominal_ring",
    "outside",
    "same_family",
    "section_tolerance",
]

# Inch section and the metric one that is the same family (hardware notes, section 3; ISO 3601-1).
_FAMILIES = ((1.78, 1.8), (2.62, 2.65), (3.53, 3.55), (5.33, 5.3), (6.99, 7.0))


# A nominal inch section is not its real size (AS568 / ISO 3601-1).
INCH_SECTIONS = {"1/16": 1.78, "3/32": 2.62, "1/8": 3.53, "3/16": 5.33, "1/4": 6.99}
NOMINAL = (
    "the fractions are names: the section is thicker than its own, the bore as much smaller; with "
    "a caliper in hand give what it says"
)
"""What a ring asked for by fractions is told."""


def nominal_ring(sizes_mm: Sequence[float], texts: Sequence[str]) -> tuple[float, float] | None:
    """Give the real bore and section, mm, of a ring named in fractions.

    They are bore and outside, or bore and section.

    AS568 names (from memory): 1 1/16 x 1 5/16 is section 1/8, which is 3.53 mm, and the bore is
    smaller than 1 1/16 in by what the section is over 1/8 in. None where the fractions name no
    section of AS568.
    """
    if len(sizes_mm) != 2:
        return None
    bore, other = sizes_mm
    if other > bore:
        half = Fraction((other - bore) / 2 / 25.4).limit_denominator(64)
        name = f"{half.numerator}/{half.denominator}"
    else:
        name = texts[1]
    real = INCH_SECTIONS.get(name)
    return None if real is None else (bore - (real - float(Fraction(name)) * 25.4), real)


def id_tolerance(id_mm: float) -> float:
    """Give the plus-or-minus tolerance on the inside diameter in mm, ISO 3601-1 class B.

    0.009 x ID^0.95 + 0.11, metric rings. A published page prints the exponent as 0.93, but its own
    figures from 5 to 640 mm only come out with 0.95. Dash rings have their own, tighter tolerance.
    """
    if not id_mm > 0:
        raise BadValue(f"O-ring inside diameter {id_mm} mm: it must be more than zero")
    return 0.009 * float(id_mm**0.95) + 0.11


def section_tolerance(cs_mm: float) -> float:
    """Give the plus-or-minus tolerance on the section in mm, ISO 3601-1 class B, 0.8 to 8.4 mm.

    Raises `BadValue` outside that range.
    """
    for row in table("hardware_oring_tolerances"):
        if float(row["over_mm"]) < cs_mm <= float(row["incl_mm"]):
            return float(row["tol_plus_minus_mm"])
    raise BadValue(f"no section tolerance for {cs_mm:g} mm (over 0.8 up to 8.4)")


def outside(id_mm: float, cs_mm: float) -> float:
    """Give the outside diameter in mm: inside diameter plus two sections."""
    return id_mm + 2 * cs_mm


def family(cs_mm: float) -> tuple[float, ...]:
    """Give the nominal sections in mm that stand in for that one, itself among them if listed."""
    for sections in _FAMILIES:
        if any(abs(cs_mm - section) < 1e-6 for section in sections):
            return sections
    return (cs_mm,)


def same_family(one_mm: float, other_mm: float) -> bool:
    """Tell whether two nominal sections are one family: 1.78 and 1.8 are, 2.4 and 2.5 are not."""
    return any(abs(section - other_mm) < 1e-6 for section in family(one_mm))


@cache
def rows() -> tuple[Row, ...]:
    """Give the rings of every list as rows: dash, DIN 3771, JIS B 2401, whole-millimetre trade."""
    made: list[Row] = []
    for row in table("hardware_orings"):
        made.append(MappingProxyType({**row, "series": "AS568", "name": row["dash"]}))
    made.extend(table("hardware_orings_metric"))
    listed = {(row["id_mm"], row["cs_mm"]) for row in made}
    for section, (low, high) in _TRADE.items():
        for bore in range(low, high + 1):
            if (str(bore), section) not in listed:
                made.append(
                    MappingProxyType(
                        {
                            "series": "metric trade",
                            "name": f"{bore} x {section}",
                            "id_mm": str(bore),
                            "cs_mm": section,
                            "source": "common practice: metric rings are sold in whole "
                            "millimetres of bore for each cord section",
                        }
                    )
                )
    return tuple(made)


_TRADE = {
    "1": (2, 40),
    "1.5": (2, 60),
    "2": (2, 100),
    "2.5": (3, 120),
    "3": (5, 200),
    "3.5": (10, 150),
    "4": (10, 200),
    "5": (15, 200),
    "6": (20, 200),
}


def _id_band(row: Row, value: float) -> tuple[float, float]:
    return plus_minus("id_tol_mm", id_tolerance(value))(row, value)


def _cs_band(row: Row, value: float) -> tuple[float, float]:
    return plus_minus("cs_tol_mm", section_tolerance(value) if value > 0.8 else 0.08)(row, value)


def _od_band(row: Row, value: float) -> tuple[float, float]:
    inner = _id_band(row, float(row["id_mm"]))[1]
    return (-inner - 0.1, inner + 0.1)


def _outside(row: Row) -> float | None:
    inner, section = number(row["id_mm"]), number(row["cs_mm"])
    return None if inner is None or section is None else round(outside(inner, section), 3)


def _designate(row: Row) -> str:
    if row["series"] == "AS568":
        return f"AS568-{row['dash']}"
    if row["series"] == "JIS B 2401":
        return f"JIS B 2401 {row['name']}"
    if row["series"] == "DIN 3771":
        return f"DIN 3771 {row['name']}"
    return f"O-ring {row['name']}"


def _standard(row: Row) -> str:
    return "AS568 / ISO 3601-1" if row["series"] == "AS568" else row["series"]


def _names(row: Row) -> tuple[str, ...]:
    if row["series"] == "metric trade":
        return (row["id_mm"],)
    if row["series"] == "DIN 3771":
        return (row["id_mm"], row["name"])
    return (row["name"], "-" + row["name"], row["id_mm"])


def _notes(row: Row) -> tuple[str, ...]:
    section = float(row["cs_mm"])
    others = [f"{other:g}" for other in family(section) if abs(other - section) > 1e-6]
    return (f"same family as section {', '.join(others)}",) if others else ()


_TIGHT: Band = _id_band
_RING = Kind(
    "o-ring",
    ("o ring", "oring", "toroidal ring"),
    rows,
    (
        Dim("ID", "inside diameter", column("id_mm"), _TIGHT),
        Dim("CS", "cross-section", column("cs_mm"), _cs_band),
        Dim("OD", "outside diameter", _outside, _od_band),
        Dim("ID_tol", "plus or minus on the inside diameter", column("id_tol_mm")),
        Dim("CS_tol", "plus or minus on the cross-section", column("cs_tol_mm")),
    ),
    _designate,
    _standard,
    _names,
    follow=("CS",),
    trade=(("ID", "CS"), ("ID", "OD")),
    error_mm=0.1,
    advice=(
        "an old ring is swollen, flattened or shrunk: trust the groove and the section first",
        "sections 1.78 and 1.8, 2.62 and 2.65, 3.53 and 3.55 are the same family; 2.4 and 2.5 are "
        "not",
        "O-rings are renewed whenever a joint is opened",
    ),
    notes=_notes,
)

KINDS = (
    _RING,
    replace(
        _RING,
        name="o-ring by outside",
        words=("o-ring outside", "o-ring by od"),
        trade=(("OD", "CS"),),
        dims=(_RING.dims[2], _RING.dims[1], _RING.dims[0], *_RING.dims[3:]),
    ),
)
