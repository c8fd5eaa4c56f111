"""Pins, keys, balls: split pins, dowels, spring pins, parallel and Woodruff keys, steel balls.

Washers: plain, spring, tab and sealing.

Heads and nuts from across flats, head diameter and height.

Bulb caps (IEC 60061) and lamp categories (UN Regulation 37).
"""

from functools import cache, partial
from types import MappingProxyType

from stores.errors import BadValue
from stores.handbook.hardware.inch_washers import (
    inch_band,
    inch_name,
    inch_notes,
    of_inch,
    with_inch,
)
from stores.handbook.hardware.match import piece
from stores.handbook.hardware.model import (
    Dim,
    Kind,
    Piece,
    Row,
    as_fraction,
    between,
    column,
    constant,
    it,
    shown,
    thread_d,
)
from stores.handbook.table import number, table

__all__ = [
    "BULBS",
    "HEADED",
    "PINS_AND_KEYS",
    "WASHERS",
    "cap_of_category",
    "key_for_shaft",
    "split_pin_for",
]


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
    """Return the metric keys, and the inch keys with the two sizes that their number holds."""
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


PINS_AND_KEYS = (
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
    """Return the split pin for a bolt or a clevis pin of that diameter in mm.

    ``used_in`` is "bolt" or "clevis pin". For a castle nut prefer the nut's own pin
    (``by_size("castle nut", ...)``). Source: ISO 1234 ranges, from memory. Raises `BadValue`
    outside the ranges.

    Args:
        diameter_mm: of the bolt or pin [mm].
        used_in: "bolt" or "clevis pin".

    ISO 1234: a pin of 3.2 mm for bolts over 11 up to 14 mm:

    >>> split_pin_for(12).designation
    'ISO 1234 - 3.2'
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
    """Return the DIN 6885-1 key and its slot depths for a shaft diameter in mm, over 6 up to 130.

    The machine's own key wins where it differs. Raises `BadValue` outside the range.

    Args:
        shaft_mm: the shaft's diameter [mm].

    DIN 6885-1: 6 x 6 for shafts over 17 up to 22 mm, 3.5 mm deep in the shaft:

    >>> key = key_for_shaft(20)
    >>> key.designation, key.sizes["t1"]
    ('DIN 6885 - 6 x 6', 3.5)
    """
    kind = next(kind for kind in PINS_AND_KEYS if kind.name == "parallel key")
    for row in kind.rows():
        if float(row["shaft_over_mm"]) < shaft_mm <= float(row["shaft_up_to_mm"]):
            return piece(kind, row)
    raise BadValue(f"no DIN 6885 key listed for a shaft of {shaft_mm:g} mm (over 6 up to 130)")


def _names(row: Row) -> tuple[str, ...]:
    """Return the names a washer goes by: its hole 8.4 in most DIN sheets, else M8 and 8."""
    thread = row["for_thread"]
    if of_inch(row):
        return (thread,)
    hole = row.get("d1_min_mm") or row.get("d1_mm", "")
    if thread.startswith("pin "):
        return (thread.removeprefix("pin "),)
    if row["standard"].startswith("DIN") and row["standard"] != "DIN 127 B":
        return (hole, thread, thread.removeprefix("M"))
    return (thread, thread.removeprefix("M"), hole)


def _plain(row: Row) -> str:
    standard = row["standard"].split(" (")[0]
    if of_inch(row):
        return inch_name(row, "washer")
    if standard.startswith("DIN"):
        return f"{standard} {row['d1_min_mm']}"
    size = row["for_thread"].removeprefix("pin ").removeprefix("M")
    return f"{standard} - {size}"


def _plain_notes(row: Row) -> tuple[str, ...]:
    if of_inch(row):
        return inch_notes(row)
    notes = [f"for {row['for_thread']}"]
    if row["standard"] == "DIN 125-A" and row["for_thread"] == "M1.4":
        notes.append("the source prints a hole of 1.4, no clearance on the thread; 1.5 is likelier")
    if row["standard"] == "DIN 9021" and row["for_thread"] == "M5":
        notes.append("ISO 7093-1 has 1.0 thick at M5, DIN 9021 has 1.2")
    return tuple(notes)


_THREAD = thread_d("for_thread")


def _thread(row: Row) -> float | None:
    if of_inch(row):
        return float(row["thread_mm"])
    name = row["for_thread"]
    return number(name.removeprefix("pin ")) if name.startswith("pin ") else _THREAD(row)


_FOR = Dim("thread", "thread or pin it is for", _thread)


def _single(row: Row) -> str:
    return f"{row['standard'].split(' (')[0]} - {row['d1_mm']}"


def _thickness(row: Row, value: float) -> tuple[float, float]:
    spread = 0.25 * value if of_inch(row) else max(0.05, 0.12 * value)
    return (-spread, spread)


WASHERS = (
    Kind(
        "plain washer",
        ("washer", "flat washer", "penny washer", "narrow washer", "wide washer"),
        partial(with_inch, "hardware_plain_washers"),
        (
            # Inch washers have their tolerances both ways of the basic size (ASME B18.22.1, from
            # memory): hole -0.13 mm, a quarter of the thickness.
            Dim("d1", "hole", column("d1_min_mm"), inch_band(-0.13, 0.4, it(14, "+"))),
            Dim("d2", "outside diameter", column("d2_max_mm"), inch_band(-0.2, 0.8, it(15, "-"))),
            Dim("h", "thickness", column("h_nominal_mm"), _thickness),
            _FOR,
            Dim("h_max", "greatest thickness", column("h_max_mm")),
        ),
        _plain,
        lambda row: row["standard"],
        _names,
        typed="thread (as 8 or M8); or hole, outside diameter, thickness",
        trade=(("thread",), ("d1", "d2", "h"), ("thread", "d2", "h")),
        advice=(
            "h is the nominal thickness; some lists print the maximum",
            "DIN 125 and ISO 7089 agree up to M36 where both have the size",
        ),
        notes=_plain_notes,
    ),
    Kind(
        "spring washer",
        ("lock washer", "split washer"),
        partial(with_inch, "hardware_spring_washers"),
        (
            Dim("d1", "hole", column("d1_min_mm"), it(14, "+")),
            Dim("d2", "outside diameter", column("d2_max_mm"), it(15, "-")),
            Dim("b", "width of the section", column("section_width_b_mm"), constant(-0.2, 0.2)),
            Dim("s", "height of the section", column("section_height_s_mm"), constant(-0.15, 0.15)),
            _FOR,
            Dim("h", "least free height", column("free_height_min_mm")),
            Dim("h_max", "greatest free height", column("free_height_max_mm")),
        ),
        lambda row: (
            inch_name(row, "spring washer")
            if of_inch(row)
            else f"DIN 127-B {row['for_thread'].removeprefix('M')}"
        ),
        lambda row: row["standard"],
        _names,
        typed="thread (as 8 or M8); or hole, outside diameter, thickness",
        trade=(("thread",), ("d1", "d2", "b", "s"), ("d1", "d2", "s")),
        advice=(
            "free height is about twice the section; a flat one is spent",
            "a square section (b = s) is not DIN 127",
        ),
        notes=lambda row: inch_notes(row) if of_inch(row) else (f"for {row['for_thread']}",),
    ),
    Kind(
        "toothed washer",
        (
            "tooth washer",
            "shakeproof",
            "shakeproof washer",
            "star washer",
            "tooth lock washer",
            "serrated washer",
            "internal tooth washer",
            "external tooth washer",
        ),
        partial(with_inch, "hardware_toothed_washers"),
        (
            Dim("d1", "hole", column("d1_min_mm"), it(14, "+")),
            Dim("d2", "outside diameter", column("d2_max_mm"), it(15, "-")),
            Dim("s", "thickness of the sheet", column("thickness_mm"), constant(-0.1, 0.1)),
            _FOR,
        ),
        lambda row: (
            inch_name(row, "toothed washer")
            if of_inch(row)
            else f"DIN 6797 {row['for_thread'].removeprefix('M')}"
        ),
        lambda row: row["standard"],
        lambda row: (row["for_thread"], row["for_thread"].removeprefix("M")),
        typed="thread (as 8 or M8); or hole, outside diameter, thickness",
        trade=(("thread",), ("d1", "d2", "s")),
        advice=(
            "say teeth outside (A), inside (J) or countersunk (V)",
            "used once: flattened teeth hold no more; not under a part that must stay flat",
        ),
        notes=lambda row: (
            (*inch_notes(row), "teeth inside; with teeth outside the diameter differs")
            if of_inch(row)
            else (f"for {row['for_thread']}; form A teeth outside, J inside, same sizes",)
        ),
    ),
    Kind(
        "tab washer",
        ("locking tab", "lock tab", "tab lock washer"),
        partial(table, "hardware_tab_washers"),
        (
            Dim("d1", "hole", column("d1_mm"), it(14, "+")),
            Dim("d2", "outside diameter", column("d2_mm"), it(15, "-")),
            Dim("b", "width of the tab", column("tab_width_mm"), it(15, "js")),
            Dim("L", "length of the tab from the centre", column("tab_length_mm"), it(15, "js")),
            Dim("s", "thickness", column("thickness_mm"), constant(-0.1, 0.1)),
            _FOR,
        ),
        _single,
        lambda row: row["standard"],
        _names,
        typed="thread (as 8 or M8); or hole, outside diameter, thickness",
        trade=(("thread",), ("d1", "d2", "b", "L", "s"), ("d1", "d2", "s")),
        advice=("single use: a tab bent twice breaks",),
        notes=lambda row: (f"for {row['for_thread']}",),
    ),
    Kind(
        "sealing washer",
        (
            "copper washer",
            "crush washer",
            "sealing ring",
            "banjo washer",
            "drain plug washer",
            "fibre washer",
            "fiber washer",
            "aluminium washer",
        ),
        partial(table, "hardware_sealing_washers"),
        (
            Dim("d1", "hole", column("d1_mm"), constant(0.0, 0.4)),
            Dim("d2", "outside diameter", column("d2_mm"), constant(-0.3)),
            Dim("h", "thickness", column("h_mm"), constant(-0.4, 0.2)),
            Dim("thread", "thread it is usual on", thread_d("usual_thread")),
        ),
        lambda row: f"DIN 7603-A {row['d1_mm']} x {row['d2_mm']}",
        lambda row: row["standard"],
        lambda row: (row["d1_mm"],),
        follow=("d2", "h"),
        trade=(("d1", "d2", "h"), ("thread",)),
        called="copper washer (sealing washer)",
        advice=(
            "a used ring is thinner than listed; nearly every size of this table is from memory",
            "made in copper, aluminium, soft iron and fibre: say which; fibre swells in oil and "
            "seals, is used once and not where it is hot (common practice)",
            "copper work-hardens: anneal cherry red or renew; never anneal aluminium that way",
        ),
        notes=lambda row: (f"usual on {row['usual_thread']}",) if row["usual_thread"] else (),
    ),
)

_CHANGED = {"M10", "M12", "M14", "M22"}


def _thread_names(row: Row) -> tuple[str, ...]:
    return (row["thread"], row["thread"].removeprefix("M"))


def _flats_note(row: Row) -> tuple[str, ...]:
    if row["thread"] not in _CHANGED:
        return ()
    return ("across flats of M10, M12, M14 and M22 differ between DIN (older) and ISO",)


def _bolt(row: Row) -> str:
    left, right = row["standard"].split(" / ")
    return f"{left}/{right.split()[1]} {row['thread']}"


def _nut(row: Row) -> str:
    return f"{row['standard'].split(' (')[0]} {row['thread']}"


def _head(row: Row) -> str:
    return f"{' '.join(row['standard'].split()[:2])} {row['thread']}"


def _sunk_note(row: Row) -> tuple[str, ...]:
    if "countersunk" in row["standard"]:
        return ("length is measured overall", "older DIN and ISO heads differ: compare both")
    return ("length is measured under the head",)


_D = Dim("d", "thread outside diameter", thread_d("thread"), constant(-0.35))

HEADED = (
    Kind(
        "hex bolt",
        (
            "hexagon bolt",
            "hex screw",
            "hexagon screw",
            "bolt",
            "set screw hexagon",
            "bolt head",
        ),
        partial(table, "hardware_hex_bolts"),
        (
            Dim("s", "across flats", column("across_flats_s_mm"), it(14, "-")),
            Dim("k", "head height", column("head_height_k_mm"), it(15, "js")),
            _D,
            Dim("P", "pitch", column("pitch_mm")),
        ),
        _bolt,
        lambda row: row["standard"],
        _thread_names,
        length=True,
        advice=(
            "length is measured under the head; round up to the standard step",
            "a worn 16 or 17 across flats both mean M10: measure the thread",
        ),
        notes=_flats_note,
        length_standard="ISO 4014 + ISO 4017",
        trade=(("s", "k", "d"), ("d", "length")),
        typed="across flats, head height; or thread, length (as M8 x 40)",
    ),
    Kind(
        "hex nut",
        ("hexagon nut", "nut", "thin nut", "lock nut", "locknut"),
        partial(table, "hardware_hex_nuts"),
        (
            Dim("s", "across flats", column("across_flats_s_mm"), it(14, "-")),
            Dim("m", "height", column("height_m_max_mm"), it(14, "-")),
            _D,
        ),
        _nut,
        lambda row: row["standard"],
        _thread_names,
        trade=(("s", "m", "d"), ("d",)),
        typed="across flats, height; or thread (as M8)",
        advice=("ISO nuts are taller than DIN 934; a thin nut alone carries less load",),
        notes=_flats_note,
    ),
    Kind(
        "castle nut",
        ("castellated nut", "slotted nut"),
        partial(table, "hardware_castle_nuts"),
        (
            Dim("s", "across flats", column("across_flats_s_mm"), it(14, "-")),
            Dim("m", "height", column("height_m_mm"), it(14, "-")),
            Dim(
                "w",
                "height to the bottom of the slot",
                column("slot_base_height_w_mm"),
                it(14, "-"),
            ),
            Dim("n", "slot width", column("slot_width_min_mm"), constant(0.0, 0.5)),
            _D,
            Dim("pin", "split pin, nominal", column("split_pin_nominal_mm")),
            Dim("pin_length", "length of the split pin", column("split_pin_length_mm")),
        ),
        lambda row: f"DIN 935-1 {row['thread']}",
        lambda _: "DIN 935-1",
        _thread_names,
        trade=(("s", "m", "w", "n"), ("d",)),
        typed="across flats, height; or thread (as M8)",
        advice=("always a new split pin; tighten on to the next slot, never back off to it",),
        notes=lambda row: (
            f"split pin ISO 1234 - {row['split_pin_nominal_mm']} x {row['split_pin_length_mm']}",
            *_flats_note(row),
        ),
    ),
    Kind(
        "socket cap screw",
        ("socket cap", "socket head cap screw", "allen screw", "cap screw"),
        partial(table, "hardware_socket_cap"),
        (
            Dim(
                "dk",
                "head diameter",
                column("head_dia_dk_max_mm"),
                lambda row, value: (it(14, "-")(row, value)[0], 0.5),
            ),
            Dim("k", "head height", column("head_height_k_mm"), it(14, "-")),
            Dim("key", "hexagon key", column("hex_key_s_mm"), constant(0.0, 0.2)),
            _D,
            Dim("t", "socket depth", column("socket_depth_t_min_mm"), constant(0.0, 1.0)),
        ),
        lambda row: f"ISO 4762 {row['thread']}",
        lambda row: row["standard"],
        _thread_names,
        length=True,
        advice=("a knurled head measures up to about 0.5 mm over the plain maximum",),
        length_standard="ISO 4762",
        trade=(("dk", "k", "key"), ("d", "length")),
        typed="head diameter, head height, hexagon key; or thread, length",
    ),
    Kind(
        "slotted head",
        ("slotted screw", "machine screw", "cheese head", "pan head", "countersunk", "screw"),
        partial(table, "hardware_slotted_heads"),
        (
            Dim("dk", "head diameter", column("head_dia_dk_mm"), it(14, "-")),
            Dim("k", "head height", column("head_height_k_mm"), it(14, "-")),
            Dim("n", "slot width", column("slot_width_n_min_mm"), constant(0.0, 0.25)),
            _D,
        ),
        _head,
        lambda row: row["standard"],
        _thread_names,
        length=True,
        notes=_sunk_note,
        length_standard="ISO 1207",
        trade=(("dk", "k", "n"), ("d", "length")),
        typed="head diameter, head height, slot width; or thread, length",
    ),
    Kind(
        "grease nipple",
        ("nipple", "lubricating nipple"),
        partial(table, "hardware_grease_nipples"),
        (
            Dim("d", "thread outside diameter", thread_d("thread"), constant(-0.3)),
            Dim("s", "across flats", column("across_flats_mm"), it(14, "-")),
        ),
        lambda row: f"DIN 71412-{row['form'][0]} {row['thread']}",
        lambda row: f"DIN 71412 form {row['form']}",
        lambda row: (row["thread"],),
        advice=(
            "find the pitch before buying: M6, 1/4 BSF and 1/4 UNF look alike",
            "every size of this table is from memory",
        ),
    ),
)


def cap_of_category(category: str) -> tuple[str, int] | None:
    """Return the cap and the number of filaments of a lamp category ("P21/5W"), or None.

    The lamp with a stop and a tail filament of UNECE Regulation 37:

    >>> cap_of_category("P21/5W")
    ('BAY15d', 2)
    """
    for row in table("hardware_bulb_categories"):
        if row["category"].upper() == category.strip().upper():
            return row["cap"], int(row["filaments"])
    return None


def _notes(row: Row) -> tuple[str, ...]:
    uses = [
        other["category"]
        for other in table("hardware_bulb_categories")
        if other["cap"] == row["cap"]
    ]
    return (row["meaning"], *((f"categories: {', '.join(uses)}",) if uses else ()))


BULBS = (
    Kind(
        "bulb cap",
        ("bulb", "lamp cap", "bulb base"),
        partial(table, "hardware_bulb_caps"),
        (Dim("d", "shell or collar diameter", column("principal_dia_mm"), constant(-0.35, 0.1)),),
        lambda row: row["cap"],
        lambda _: "IEC 60061",
        lambda row: (row["cap"],),
        advice=(
            "Y, U, W or X after BA marks displaced pins: not interchangeable",
            "then match the voltage, 6 or 12 V, and the watts",
        ),
        notes=_notes,
    ),
)
