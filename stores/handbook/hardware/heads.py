"""Heads and nuts from across flats, head diameter and height."""

from functools import partial

from stores.handbook.hardware.bands import it
from stores.handbook.hardware.model import Dim, Kind, Row, column, constant, thread_d
from stores.handbook.table import table

__all__ = ["KINDS"]

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

KINDS = (
    Kind(
        "hex bolt",
        ("hexagon bolt", "hex screw", "hexagon screw", "bolt", "set screw hexagon"),
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
