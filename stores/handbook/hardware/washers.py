"""Washers: plain, spring, tab and sealing."""

from functools import partial

from stores.handbook.hardware.bands import it
from stores.handbook.hardware.model import Dim, Kind, Row, column, constant, thread_d
from stores.handbook.table import number, table

__all__ = ["KINDS"]


def _names(row: Row) -> tuple[str, ...]:
    """Give the names a washer goes by: its hole 8.4 in most DIN sheets, else M8 and 8."""
    thread = row["for_thread"]
    hole = row.get("d1_min_mm") or row.get("d1_mm", "")
    if thread.startswith("pin "):
        return (thread.removeprefix("pin "),)
    if row["standard"].startswith("DIN") and row["standard"] != "DIN 127 B":
        return (hole, thread, thread.removeprefix("M"))
    return (thread, thread.removeprefix("M"), hole)


def _plain(row: Row) -> str:
    standard = row["standard"].split(" (")[0]
    if standard.startswith("DIN"):
        return f"{standard} {row['d1_min_mm']}"
    size = row["for_thread"].removeprefix("pin ").removeprefix("M")
    return f"{standard} - {size}"


def _plain_notes(row: Row) -> tuple[str, ...]:
    notes = [f"for {row['for_thread']}"]
    if row["standard"] == "DIN 125-A" and row["for_thread"] == "M1.4":
        notes.append("the source prints a hole of 1.4, no clearance on the thread; 1.5 is likelier")
    if row["standard"] == "DIN 9021" and row["for_thread"] == "M5":
        notes.append("ISO 7093-1 has 1.0 thick at M5, DIN 9021 has 1.2")
    return tuple(notes)


_THREAD = thread_d("for_thread")


def _thread(row: Row) -> float | None:
    name = row["for_thread"]
    return number(name.removeprefix("pin ")) if name.startswith("pin ") else _THREAD(row)


_FOR = Dim("thread", "thread or pin it is for", _thread)


def _single(row: Row) -> str:
    return f"{row['standard'].split(' (')[0]} - {row['d1_mm']}"


KINDS = (
    Kind(
        "plain washer",
        ("washer", "flat washer", "penny washer"),
        partial(table, "hardware_plain_washers"),
        (
            Dim("d1", "hole", column("d1_min_mm"), it(14, "+")),
            Dim("d2", "outside diameter", column("d2_max_mm"), it(15, "-")),
            Dim(
                "h",
                "thickness",
                column("h_nominal_mm"),
                lambda _, h: (-max(0.05, 0.12 * h), max(0.05, 0.12 * h)),
            ),
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
        partial(table, "hardware_spring_washers"),
        (
            Dim("d1", "hole", column("d1_min_mm"), it(14, "+")),
            Dim("d2", "outside diameter", column("d2_max_mm"), it(15, "-")),
            Dim("b", "width of the section", column("section_width_b_mm"), constant(-0.2, 0.2)),
            Dim("s", "height of the section", column("section_height_s_mm"), constant(-0.15, 0.15)),
            _FOR,
            Dim("h", "least free height", column("free_height_min_mm")),
            Dim("h_max", "greatest free height", column("free_height_max_mm")),
        ),
        lambda row: f"DIN 127-B {row['for_thread'].removeprefix('M')}",
        lambda row: row["standard"],
        _names,
        typed="thread (as 8 or M8); or hole, outside diameter, thickness",
        trade=(("thread",), ("d1", "d2", "b", "s"), ("d1", "d2", "s")),
        advice=(
            "free height is about twice the section; a flat one is spent",
            "a square section (b = s) is not DIN 127",
        ),
        notes=lambda row: (f"for {row['for_thread']}",),
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
        ("copper washer", "crush washer", "sealing ring", "banjo washer", "drain plug washer"),
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
            "copper work-hardens: anneal cherry red or renew; never anneal aluminium that way",
        ),
        notes=lambda row: (f"usual on {row['usual_thread']}",) if row["usual_thread"] else (),
    ),
)
