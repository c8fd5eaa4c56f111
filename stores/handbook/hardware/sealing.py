"""O-rings: dash sizes, metric rings, tolerances and the families that stand in for each other.

::

    >>> round(id_tolerance(20.0), 2), family(1.8)[0]
    (0.26, 1.78)

Retaining rings DIN 471, 472 and 6799, from the shaft, the bore, the ring or the groove.

Rotary shaft seals: sizes, types, materials, and the press allowance of the outside.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache, partial
from types import MappingProxyType

from stores.errors import BadValue
from stores.handbook.hardware.model import Band, Dim, Kind, Row, column, constant, plus_minus
from stores.handbook.table import number, table

__all__ = [
    "INCH_SECTIONS",
    "NOMINAL",
    "O_RINGS",
    "RETAINING_RINGS",
    "SHAFT_SEALS",
    "Material",
    "SealType",
    "family",
    "id_tolerance",
    "materials",
    "nominal_ring",
    "od_allowance",
    "outside",
    "seal_type",
    "section_tolerance",
    "width_advice",
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
    """Return the real bore and section, mm, of a ring named in fractions.

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
    """Return the plus-or-minus tolerance on the inside diameter in mm, ISO 3601-1 class B.

    0.009 x ID^0.95 + 0.11, metric rings. A published page prints the exponent as 0.93, but its own
    figures from 5 to 640 mm only come out with 0.95. Dash rings have their own, tighter tolerance.

    Args:
        id_mm: inside diameter [mm].

    0.009 x 20^0.95 + 0.11 = 0.265:

    >>> round(id_tolerance(20), 3)
    0.265
    """
    if not id_mm > 0:
        raise BadValue(f"O-ring inside diameter {id_mm} mm: it must be more than zero")
    return 0.009 * float(id_mm**0.95) + 0.11


def section_tolerance(cs_mm: float) -> float:
    """Return the plus-or-minus tolerance on the section in mm, ISO 3601-1 class B, 0.8 to 8.4 mm.

    Raises `BadValue` outside that range.
    """
    for row in table("hardware_oring_tolerances"):
        if float(row["over_mm"]) < cs_mm <= float(row["incl_mm"]):
            return float(row["tol_plus_minus_mm"])
    raise BadValue(f"no section tolerance for {cs_mm:g} mm (over 0.8 up to 8.4)")


def outside(id_mm: float, cs_mm: float) -> float:
    """Return the outside diameter in mm: inside diameter plus two sections.

    Args:
        id_mm: inside diameter [mm].
        cs_mm: section [mm].

    >>> outside(12.0, 2.0)
    16.0
    """
    return id_mm + 2 * cs_mm


def family(cs_mm: float) -> tuple[float, ...]:
    """Return the nominal sections in mm that stand in for that one, itself among them if listed."""
    for sections in _FAMILIES:
        if any(abs(cs_mm - section) < 1e-6 for section in sections):
            return sections
    return (cs_mm,)


@cache
def rows() -> tuple[Row, ...]:
    """Return the rings of every list as rows: dash, DIN 3771, JIS B 2401, whole millimetres."""
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

O_RINGS = (
    _RING,
    replace(
        _RING,
        name="o-ring by outside",
        words=("o-ring outside", "o-ring by od"),
        trade=(("OD", "CS"),),
        dims=(_RING.dims[2], _RING.dims[1], _RING.dims[0], *_RING.dims[3:]),
    ),
)


def _band(minus: str, plus: str, row: Row, _: float) -> tuple[float, float]:
    return (number(row[minus]) or 0.0, number(row[plus]) or 0.0)


_FREE = partial(_band, "free_tol_minus_mm", "free_tol_plus_mm")

_GROOVE = partial(_band, "groove_tol_minus_mm", "groove_tol_plus_mm")


def _dims(where: str) -> tuple[Dim, ...]:
    free = "free inside diameter" if where == "shaft" else "free outside diameter"
    return (
        Dim("d1", where, column("nominal_d1_mm"), constant(-0.1, 0.1)),
        Dim("s", "thickness", column("thickness_s_mm"), constant(-0.1)),
        Dim("d3", free, column("free_dia_d3_mm"), _FREE),
        Dim("d2", "groove diameter", column("groove_dia_d2_mm"), _GROOVE),
        Dim("m", "groove width", column("groove_width_m_min_mm"), constant(0.0, 0.14)),
        Dim("t", "groove depth", column("groove_depth_t_mm"), constant(-0.1, 0.1)),
        Dim("a", "greatest lug height", column("lug_height_a_max_mm"), constant(-0.8)),
    )


def _order(kind: Kind, name: str, called: str, words: tuple[str, ...], *first: str) -> Kind:
    """Return the same kind with other sizes asked first."""
    by_name = {dim.name: dim for dim in kind.dims}
    rest = tuple(dim for dim in kind.dims if dim.name not in first)
    dims = (*(by_name[dim] for dim in first), *rest)
    return replace(kind, name=name, words=words, dims=dims, trade=(first,), called=called, typed="")


_ADVICE = (
    "a ring once spread further than fitting needs is renewed; gudgeon-pin clips always",
    "up to 1.2 mm several sizes share a thickness: use the groove and the free diameter together",
)

_SHAFT = Kind(
    "external retaining ring",
    ("external circlip", "circlip shaft", "shaft circlip", "din 471"),
    partial(table, "hardware_retaining_rings_shaft"),
    _dims("shaft"),
    lambda row: f"DIN 471 - {row['nominal_d1_mm']} x {row['thickness_s_mm']}",
    lambda _: "DIN 471",
    lambda row: (row["nominal_d1_mm"],),
    follow=("s",),
    trade=(("d1", "s", "d3"), ("d1", "d2", "m")),
    called="external circlip (retaining ring)",
    typed="shaft, thickness",
    advice=_ADVICE,
)

_BORE = replace(
    _SHAFT,
    name="internal retaining ring",
    called="internal circlip (retaining ring)",
    typed="bore, thickness",
    words=("internal circlip", "circlip bore", "bore circlip", "din 472"),
    rows=partial(table, "hardware_retaining_rings_bore"),
    dims=_dims("bore"),
    designate=lambda row: f"DIN 472 - {row['nominal_d1_mm']} x {row['thickness_s_mm']}",
    standard=lambda _: "DIN 472",
)

_CLIP = Kind(
    "e-clip",
    ("e clip", "retaining washer", "din 6799"),
    partial(table, "hardware_e_clips"),
    (
        Dim("d2", "groove diameter", column("groove_dia_d2_mm"), constant(-0.1)),
        Dim("s", "thickness", column("thickness_s_mm"), constant(-0.05, 0.05)),
        Dim(
            "d3", "outside diameter when fitted", column("outside_dia_fitted_d3_mm"), constant(-0.4)
        ),
        Dim("a", "gape", column("gape_a_mm"), constant(-0.3, 0.1)),
        Dim("shaft_from", "smallest shaft", column("shaft_from_mm")),
        Dim("shaft_to", "largest shaft", column("shaft_to_mm")),
        Dim("m", "groove width", column("groove_width_m_min_mm"), constant(0.0, 0.1)),
    ),
    lambda row: f"DIN 6799 - {row['groove_dia_d2_mm']}",
    lambda _: "DIN 6799",
    lambda row: (row["groove_dia_d2_mm"],),
    typed="groove diameter, thickness",
    trade=(("d2", "s", "d3"),),
    advice=("named by the groove diameter, not by the shaft",),
    notes=lambda row: (f"for shafts {row['shaft_from_mm']} to {row['shaft_to_mm']} mm",),
)

RETAINING_RINGS = (
    _SHAFT,
    _BORE,
    _CLIP,
    _order(
        _SHAFT,
        "external ring groove",
        "groove for an external circlip",
        ("shaft groove", "external circlip groove", "groove on a shaft", "external groove"),
        "d2",
        "m",
    ),
    _order(
        _BORE,
        "internal ring groove",
        "groove for an internal circlip",
        ("bore groove", "internal circlip groove", "groove in a bore", "internal groove"),
        "d2",
        "m",
    ),
    _order(
        _SHAFT,
        "loose external ring",
        "external circlip in hand",
        ("free external ring", "loose external circlip", "external circlip in hand"),
        "d3",
        "s",
    ),
    _order(
        _BORE,
        "loose internal ring",
        "internal circlip in hand",
        ("free internal ring", "loose internal circlip", "internal circlip in hand"),
        "d3",
        "s",
    ),
)


@dataclass(frozen=True, slots=True)
class SealType:
    """A type letter or trade code of a shaft seal."""

    code: str
    meaning: str
    system: str
    source: str


@dataclass(frozen=True, slots=True)
class Material:
    """A lip rubber: working range in degrees Celsius, highest lip speed in m/s."""

    code: str
    name: str
    min_c: float
    max_c: float
    lip_speed_m_s: float
    source: str


def od_allowance(bore_mm: float, case: str = "rubber-covered case") -> tuple[float, float]:
    """Return how far a seal's outside stands above its housing bore, mm (min, max).

    ``bore_mm`` over 0 up to 300; ``case`` is "rubber-covered case" or "metal case".
    Source: ISO 6194-1 press-fit allowance. Raises `BadValue` outside.

    Args:
        bore_mm: of the housing [mm].
        case: what the seal's outside is.

    ISO 6194-1: 0.15 to 0.30 mm for rubber in bores up to 50 mm:

    >>> od_allowance(47)
    (0.15, 0.3)
    """
    rows = table("hardware_seal_od_allowance")
    cases = {row["case"] for row in rows}
    if case not in cases:
        raise BadValue(f"seal case {case!r}: one of {', '.join(sorted(cases))}")
    for row in rows:
        inside = float(row["bore_over_mm"]) < bore_mm <= float(row["bore_incl_mm"])
        if row["case"] == case and inside:
            return (float(row["od_above_bore_min_mm"]), float(row["od_above_bore_max_mm"]))
    raise BadValue(f"no press allowance for a bore of {bore_mm:g} mm (over 0 up to 300)")


def seal_type(code: str) -> tuple[SealType, ...]:
    """Return what a type letter or trade code means; several where systems share a code.

    Empty when no list has it: a maker's own code.
    """
    return tuple(
        SealType(row["type"], row["meaning"], row["system"], row["source"])
        for row in table("hardware_seal_types")
        if row["type"] == code.strip().upper()
    )


def materials() -> tuple[Material, ...]:
    """Return the lip rubbers with temperature range and lip speed. The maker's figure wins."""
    return tuple(
        Material(
            row["code"],
            row["material"].replace("_", " "),
            float(row["min_C"]),
            float(row["max_C"]),
            float(row["max_lip_speed_m_s"]),
            row["source"],
        )
        for row in table("hardware_seal_materials")
    )


def width_advice(wanted_mm: float, offered_mm: float) -> str:
    """Say whether a seal of another width can stand in (common practice)."""
    if abs(wanted_mm - offered_mm) < 1e-9:
        return "same width"
    if offered_mm < wanted_mm:
        return (
            "narrower: fits; drive it to the depth where the lip runs on a sound part of the shaft"
        )
    return "wider: only if the housing is deep enough and nothing behind it is touched"


def _press_allowance(_: Row, value: float) -> tuple[float, float]:
    # A seal measured instead of its bore reads larger by the press allowance.
    return (0.0, od_allowance(value)[1] if value <= 300 else 0.45)


def _width(_: Row, value: float) -> tuple[float, float]:
    spread = 0.2 if value <= 10 else 0.3
    return (-spread, spread)


_SEAL = Kind(
    "shaft seal",
    ("oil seal", "seal", "rotary shaft seal", "lip seal"),
    partial(table, "hardware_shaft_seals"),
    (
        Dim("d1", "shaft", column("shaft_d1_mm")),
        Dim("D", "housing bore", column("housing_d2_mm"), _press_allowance),
        Dim("b", "width", column("width_b_mm"), _width),
    ),
    lambda row: f"{row['shaft_d1_mm']} x {row['housing_d2_mm']} x {row['width_b_mm']}",
    lambda _: "ISO 6194-1 / DIN 3760 order: shaft x housing x width",
    lambda row: (row["shaft_d1_mm"],),
    follow=("D", "b"),
    called="oil seal (shaft seal)",
    error_mm=0.1,
    same="d1",
    advice=(
        "measure the shaft and the bore, not the seal: its lip is smaller than the shaft and its "
        "outside 0.15 to 0.35 larger than the bore",
        "a narrower seal fits; a wider one only if the housing is deep enough",
        "the list says a size can be bought, not that DIN 3760 prefers it",
        "widths under 6 are mostly needle-bearing seals",
    ),
)

SHAFT_SEALS = (
    _SEAL,
    # The free lip is about 0.6 to 2 mm under the shaft (common practice): several sizes may fit.
    replace(
        _SEAL,
        name="old shaft seal",
        called="oil seal in hand",
        words=("seal in hand", "loose shaft seal"),
        dims=(
            replace(_SEAL.dims[0], words="bore of the free lip", band=constant(-2.2, -0.2)),
            *_SEAL.dims[1:],
        ),
        advice=(
            "measured on the seal itself: the lip is worn or shrunk, so confirm on the shaft",
            *_SEAL.advice[1:],
        ),
    ),
)
