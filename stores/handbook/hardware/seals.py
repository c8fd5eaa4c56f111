"""Rotary shaft seals: sizes, types, materials, and the press allowance of the outside."""

from dataclasses import dataclass, replace
from functools import partial

from stores.errors import BadValue
from stores.handbook.hardware.model import Dim, Kind, Row, column, constant
from stores.handbook.table import table

__all__ = [
    "KINDS",
    "Material",
    "SealType",
    "materials",
    "od_allowance",
    "seal_type",
    "width_advice",
]


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
    """Give how far a seal's outside stands above its housing bore, mm (min, max).

    ``bore_mm`` over 0 up to 300; ``case`` is "rubber-covered case" or "metal case".
    Source: ISO 6194-1 press-fit allowance. Raises `BadValue` outside.
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
    """Give what a type letter or trade code means; several where systems share a code.

    Empty when no list has it: a maker's own code.
    """
    return tuple(
        SealType(row["type"], row["meaning"], row["system"], row["source"])
        for row in table("hardware_seal_types")
        if row["type"] == code.strip().upper()
    )


def materials() -> tuple[Material, ...]:
    """Give the lip rubbers with temperature range and lip speed. The maker's figure wins."""
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


def _outside(_: Row, value: float) -> tuple[float, float]:
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
        Dim("D", "housing bore", column("housing_d2_mm"), _outside),
        Dim("b", "width", column("width_b_mm"), _width),
    ),
    lambda row: f"{row['shaft_d1_mm']} x {row['housing_d2_mm']} x {row['width_b_mm']}",
    lambda _: "ISO 6194-1 / DIN 3760 order: shaft x housing x width",
    lambda row: (row["shaft_d1_mm"],),
    follow=("D", "b"),
    called="oil seal (shaft seal)",
    error_mm=0.1,
    advice=(
        "measure the shaft and the bore, not the seal: its lip is smaller than the shaft and its "
        "outside 0.15 to 0.35 larger than the bore",
        "a narrower seal fits; a wider one only if the housing is deep enough",
        "the list says a size can be bought, not that DIN 3760 prefers it",
        "widths under 6 are mostly needle-bearing seals",
    ),
)

KINDS = (
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
