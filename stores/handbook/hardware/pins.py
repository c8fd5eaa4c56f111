"""Pins, keys, balls: split pins, dowels, spring pins, parallel and Woodruff keys, steel balls."""

from functools import cache, partial
from types import MappingProxyType

from stores.errors import BadValue
from stores.handbook.hardware.bands import between
from stores.handbook.hardware.match import piece
from stores.handbook.hardware.model import (
    Dim,
    Kind,
    Piece,
    Row,
    as_fraction,
    column,
    constant,
    shown,
)
from stores.handbook.table import number, table

__all__ = ["KINDS", "key_for_shaft", "split_pin_for"]

_SPLIT = Kind(
    "split pin",
    ("cotter pin",),
    partial(table, "hardware_split_pins"),
    (
        Dim("hole", "hole, the nominal size", column("hole_dia_mm"), constant(-0.05, 0.1)),
        Dim(
            "d",
            "thickness of the pin itself",
            column("wire_dia_max_mm"),
            between(column("wire_dia_min_mm"), column("wire_dia_max_mm")),
        ),
        Dim(
            "c",
            "width of the eye",
            column("eye_width_max_mm"),
            between(column("eye_width_min_mm"), column("eye_width_max_mm")),
        ),
        Dim("b", "length of the eye", column("eye_length_approx_mm"), constant(-1.0, 1.0)),
        Dim("d_min", "least thickness of the pin", column("wire_dia_min_mm")),
        Dim("c_min", "least width of the eye", column("eye_width_min_mm")),
    ),
    lambda row: f"ISO 1234 - {row['nominal_mm']}",
    lambda _: "ISO 1234",
    lambda row: (row["nominal_mm"],),
    length=True,
    advice=(
        "the nominal size is the hole; the pin is thinner",
        "single use: always a new split pin",
    ),
    length_standard="ISO 1234",
    trade=(("hole", "length"), ("d", "length")),
    typed="hole it goes in (the nominal size), length",
)


def _dowel(row: Row) -> str:
    return f"{row['standard'].split(' (')[0]} - {row['diameter_mm']}"


def _dowel_band(row: Row, value: float) -> tuple[float, float]:
    # m6 at its largest, h8 at its smallest (ISO 286-2, coarse); ISO 8734 has m6 only.
    h8 = 0.014 if value <= 3 else 0.018 if value <= 6 else 0.022 if value <= 10 else 0.033
    return (-h8 if row["standard"].startswith("ISO 2338") else 0.0, 0.025)


def _taper(row: Row) -> str:
    metric = row["family"].startswith("ISO")
    return f"{row['family']} - {row['name']}" if metric else f"taper pin {row['name']}"


def _taper_notes(row: Row) -> tuple[str, ...]:
    return (f"diameter of the {row['end']} end; taper 1 in {row['taper']} on the diameter",)


@cache
def _woodruff_rows() -> tuple[Row, ...]:
    """Give the metric keys, and the inch keys with the two sizes that their number holds."""
    made: list[Row] = list(table("hardware_woodruff_keys"))
    for row in table("hardware_woodruff_keys_inch"):
        whole, _, half = row["number"].partition(".")
        width = int(whole[:-2]) / 32
        disc = (int(whole[-2:]) + (0.5 if half else 0)) / 8
        sizes = {
            "width_b_mm": shown(25.4 * width),
            "height_h_mm": shown(25.4 * float(row["height_max_in"])),
            "disc_dia_mm": shown(25.4 * disc),
        }
        made.append(MappingProxyType({**row, **sizes}))
    return tuple(made)


def _woodruff_name(row: Row) -> str:
    if "number" in row:
        return f"Woodruff key {row['number']}"
    return f"DIN 6888 - {row['width_b_mm']} x {row['height_h_mm']}"


def _woodruff_names(row: Row) -> tuple[str, ...]:
    number = row.get("number")
    return (number, number.replace(".5", " 1/2")) if number else (row["width_b_mm"],)


def _woodruff_notes(row: Row) -> tuple[str, ...]:
    if "number" not in row:
        return ()
    width, disc = (as_fraction(float(row[name]) / 25.4) for name in ("width_b_mm", "disc_dia_mm"))
    return (f"{width} in wide, disc {disc} in",)


KINDS = (
    _SPLIT,
    Kind(
        "dowel pin",
        ("dowel", "parallel pin", "cylindrical pin"),
        partial(table, "hardware_dowel_pins"),
        (
            Dim("d", "diameter", column("diameter_mm"), _dowel_band),
            Dim("c", "end chamfer", column("end_chamfer_c_mm"), constant(-0.2, 0.2)),
        ),
        _dowel,
        lambda row: row["standard"],
        lambda row: (row["diameter_mm"],),
        length=True,
        error_mm=0.02,
        advice=(
            "a file skates on a hardened dowel (ISO 8734) and bites a soft one (ISO 2338)",
            "m6 is a press fit; measure with a micrometer",
        ),
        length_standard="ISO 2338",
        trade=(("d", "length"),),
    ),
    Kind(
        "taper pin",
        ("tapered pin", "conical pin"),
        partial(table, "hardware_taper_pins"),
        (
            Dim("d", "named end", column("d_mm"), constant(-0.03, 0.1)),
            Dim("taper", "length in which the diameter grows by 1", column("taper")),
        ),
        _taper,
        lambda row: row["family"],
        lambda row: (row["name"],),
        length=True,
        notes=_taper_notes,
        length_standard="ISO 2339",
        trade=(("d", "length"),),
        typed="diameter of the small end (inch pins: of the large end), length",
        advice=(
            "metric: the small end names it; inch: the large end, by number",
            "driven out from the small end; the holes are reamed together",
        ),
    ),
    Kind(
        "slotted spring pin",
        ("spring pin", "roll pin", "tension pin"),
        partial(table, "hardware_slotted_spring_pins"),
        (
            Dim(
                "hole", "hole, the nominal size", column("nominal_hole_dia_mm"), constant(0.0, 0.1)
            ),
            Dim("d1", "free diameter", column("free_dia_max_mm"), constant(-0.3)),
            Dim("s", "wall", column("wall_s_mm"), constant(-0.1, 0.1)),
        ),
        lambda row: f"ISO 8752 - {row['nominal_hole_dia_mm']}",
        lambda _: "ISO 8752",
        lambda row: (row["nominal_hole_dia_mm"],),
        length=True,
        advice=("named by the hole; the free pin is larger",),
        length_standard="ISO 8752",
        trade=(("hole", "length"), ("d1", "length")),
        called="roll pin (slotted spring pin)",
        typed="hole it goes in (the nominal size), length",
    ),
    Kind(
        "woodruff key",
        ("woodruff", "half-moon key", "half moon key"),
        _woodruff_rows,
        (
            Dim("b", "width", column("width_b_mm"), constant(-0.04, 0.03)),
            Dim("h", "height", column("height_h_mm"), constant(-0.15)),
            Dim("D", "diameter of the disc", column("disc_dia_mm"), constant(-0.3)),
            Dim("t1", "slot depth in the shaft", column("shaft_depth_t1_mm"), constant(-0.1, 0.2)),
            Dim("t2", "slot depth in the hub", column("hub_depth_t2_mm"), constant(-0.1, 0.2)),
        ),
        _woodruff_name,
        lambda row: "ASME B17.2" if "number" in row else "DIN 6888 (ISO 3912)",
        _woodruff_names,
        notes=_woodruff_notes,
        follow=("h", "D"),
        trade=(("b", "h", "D"), ("b", "D", "h")),
        typed="width, diameter of the disc or height; or its number (as 404)",
        advice=("the slot in the shaft is shallower than the key; slot depths are from memory",),
    ),
    Kind(
        "parallel key",
        ("key", "feather key", "sunk key"),
        partial(table, "hardware_parallel_keys"),
        (
            Dim("b", "width", column("key_width_mm"), constant(-0.06)),
            Dim("h", "height", column("key_height_mm"), constant(-0.12)),
            Dim("t1", "slot depth in the shaft", column("shaft_depth_t1_mm"), constant(0.0, 0.2)),
            Dim("t2", "slot depth in the hub", column("hub_depth_t2_mm"), constant(0.0, 0.2)),
            Dim("shaft_over", "shaft over", column("shaft_over_mm")),
            Dim("shaft_up_to", "shaft up to", column("shaft_up_to_mm")),
        ),
        lambda row: f"DIN 6885 - {row['key_width_mm']} x {row['key_height_mm']}",
        lambda _: "DIN 6885-1",
        lambda row: (row["key_width_mm"],),
        follow=("h",),
        length=True,
        notes=lambda row: (
            f"for shafts over {row['shaft_over_mm']} up to {row['shaft_up_to_mm']} mm",
        ),
        length_standard="DIN 6885",
        trade=(("b", "h", "length"), ("b", "length")),
        typed="width, height, length",
    ),
    Kind(
        "steel ball",
        ("ball", "balls", "bearing ball", "loose ball"),
        partial(table, "hardware_steel_balls"),
        (Dim("d", "diameter", column("diameter_mm"), constant(-0.003, 0.003)),),
        lambda row: f"ball {row['nominal']}",
        lambda row: f"ISO 3290 ({row['family']})",
        lambda row: (
            row["nominal"],
            row["nominal"].removesuffix(" mm").removesuffix(" in"),
            row["diameter_mm"],
        ),
        error_mm=0.01,
        advice=(
            "use a micrometer: 3.97 is 5/32 in, not 4 mm; 5.56 is 7/32 in, not 5.5 mm",
            "renew the whole set",
        ),
    ),
)


def split_pin_for(diameter_mm: float, used_in: str = "bolt") -> Piece:
    """Give the split pin for a bolt or a clevis pin of that diameter in mm.

    ``used_in`` is "bolt" or "clevis pin". For a castle nut prefer the nut's own pin
    (``by_size("castle nut", ...)``). Source: ISO 1234 ranges, from memory. Raises `BadValue`
    outside the ranges.
    """
    uses = {row["used_in"] for row in table("hardware_split_pin_ranges")}
    if used_in not in uses:
        raise BadValue(f"split pin in a {used_in!r}: one of {', '.join(sorted(uses))}")
    for row in table("hardware_split_pin_ranges"):
        low = number(row["over_mm"]) or 0.0
        if row["used_in"] == used_in and low < diameter_mm <= float(row["up_to_mm"]):
            nominal = row["nominal_mm"]
            return piece(_SPLIT, next(r for r in _SPLIT.rows() if r["nominal_mm"] == nominal))
    raise BadValue(f"no split pin listed for a {used_in} of {diameter_mm:g} mm")


def key_for_shaft(shaft_mm: float) -> Piece:
    """Give the DIN 6885-1 key and its slot depths for a shaft diameter in mm, over 6 up to 130.

    The machine's own key wins where it differs. Raises `BadValue` outside the range.
    """
    kind = next(kind for kind in KINDS if kind.name == "parallel key")
    for row in kind.rows():
        if float(row["shaft_over_mm"]) < shaft_mm <= float(row["shaft_up_to_mm"]):
            return piece(kind, row)
    raise BadValue(f"no DIN 6885 key listed for a shaft of {shaft_mm:g} mm (over 6 up to 130)")
