"""Repairs of threads against printed drills, insert holes and rules."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stores.errors import BadValue, NotFound
from stores.handbook.repair import (
    engagement,
    engagement_materials,
    holds_a_part,
    insert_hole,
    oversizes,
)
from stores.handbook.thread import Thread, all_threads, get
from stores.handbook.thread.drills import stock_drill_mm
from stores.usecases.measuring import ThreadKnown, thread_named

PUBLISHED = Path(__file__).parents[1] / "published"


def published(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize(
    ("name", "percent", "inches"),
    [
        # Machinery's Handbook: hole = major - 1.299 x percentage / 100 / tpi (memory).
        ("1/4-20 UNC", 75, 0.2013),
        ("1/2-13 UNC", 50, 0.4500),
        ("#10-32 UNF", 75, 0.1596),
    ],
)
def test_hole_for_a_percentage(name: str, percent: float, inches: float) -> None:
    assert get(name).drill_for(percent) / 25.4 == pytest.approx(inches, abs=5e-5)


@pytest.mark.parametrize("row", published("threads_iso_metric"), ids=lambda r: r["designation"])
def test_printed_metric_drills_leave_about_three_quarters_of_the_thread(
    row: dict[str, str],
) -> None:
    """ISO 2306 drills, as printed, lie where the 70 to 86 % rule of thumb says."""
    thread = get(row["designation"])
    assert 70 < thread.percent_left_by(float(row["tap_drill_mm"])) < 86


def test_full_whitworth_thread_needs_a_hole_of_the_minor_diameter() -> None:
    """The British lists print the core diameter as the drill: full thread (threads_bsf.csv)."""
    for row in published("threads_bsf"):
        hole = get(row["designation"]).drill_for(100) / 25.4
        assert hole == pytest.approx(float(row["minor_dia_in"]), abs=5.1e-5)


@pytest.mark.parametrize(
    ("diameter", "nearest", "not_under"),
    [(2.53, 2.55, 2.55), (5.026, 5.0, 5.1), (6.2165, 6.2, 6.3), (14.3, 14.25, 14.5), (5.0, 5, 5)],
)
def test_stock_drill(diameter: float, nearest: float, not_under: float) -> None:
    assert stock_drill_mm(diameter) == pytest.approx(nearest)
    assert stock_drill_mm(diameter, not_under=True) == pytest.approx(not_under)


def test_no_stock_drill_for_nothing() -> None:
    with pytest.raises(BadValue, match=r"expected 0\.2 to 100 mm"):
        stock_drill_mm(0)


def test_next_size_up_of_a_stripped_m6_is_m7_then_m8x1() -> None:
    """M7's drill is 6.0, just the old major; M8x1 keeps the pitch and drills 7.0 (ISO 2306)."""
    first, *others = oversizes(get("M6"))
    assert (first.thread.designation, first.drill_mm, first.same_pitch) == ("M7", 6.0, True)
    assert "M8x1" in [o.thread.designation for o in others]


def test_cycle_thread_keeps_its_pitch() -> None:
    first = oversizes(get("7/16-26 cycle"))[0]
    assert (first.thread.designation, first.same_pitch) == ("1/2-26 cycle", True)


@given(st.sampled_from(all_threads()), st.booleans())
def test_an_oversize_cleans_the_hole_out(thread: Thread, any_series: bool) -> None:
    for other in oversizes(thread, any_series=any_series):
        assert other.thread.major_mm > thread.major_mm
        assert other.drill_mm >= thread.major_mm - 1e-6
        assert other.wall_mm > 0
        assert any_series or other.thread.series is thread.series


def test_a_measured_hole_decides() -> None:
    """M8x1 drills 7.0, too small for 7.1; M8x0.75 drills 7.25 (threads_iso_metric.csv)."""
    assert oversizes(get("M6"), hole_mm=7.1)[0].thread.designation == "M8x0.75"
    with pytest.raises(BadValue, match="expected more than 0"):
        oversizes(get("M6"), hole_mm=0)


@pytest.mark.parametrize("row", published("threads_insert_holes"), ids=lambda r: r["designation"])
def test_hole_for_a_wire_insert(row: dict[str, str]) -> None:
    hole = insert_hole(get(row["thread"]))
    assert hole.minor_mm == pytest.approx(float(row["minor_min_mm"]), abs=1.1e-3)
    assert hole.pitch_diameter_mm == pytest.approx(float(row["pitch_min_mm"]), abs=1e-3)
    assert hole.major_mm == pytest.approx(float(row["major_min_mm"]), abs=1e-3)
    assert hole.minor_mm <= hole.drill_mm < hole.pitch_diameter_mm


def test_no_insert_geometry_is_made_up_for_whitworth() -> None:
    with pytest.raises(BadValue, match="insert maker's table"):
        insert_hole(get("1/4 BSF"))


def test_engagement_rules_are_the_printed_ones() -> None:
    """Rules of thumb of a design-notes page and a machine design handbook; common practice."""
    bolt = get("M8")
    assert engagement(bolt, "steel").length_mm == 8
    assert engagement(bolt, "cast iron").length_mm == 12
    assert engagement(bolt, "aluminium, zinc or plastics").length_mm == 16
    load = engagement(bolt, "aluminium or magnesium alloy, shock load")
    assert load.length_mm == pytest.approx(17.6)
    assert load.rule == "2 d + 1.6 mm (common practice)"
    for material in engagement_materials():
        assert "common practice" in engagement(bolt, material).rule
        assert engagement(bolt, material).source
    with pytest.raises(NotFound, match="no engagement rule for 'cheese'"):
        engagement(bolt, "cheese")


def test_a_pipes_or_a_bottom_brackets_thread_has_no_rule_of_engagement() -> None:
    """The rules of thumb go by the diameter of a bolt: 2 d of a bottom bracket would be 70 mm."""
    assert holds_a_part(get("1.37x24 cycle"))
    assert holds_a_part(get("G1/2"))
    for bolt in ("M8", "M14x1", "M20x1", "1/4 BSF", "1/4-26 cycle", "0BA"):
        assert not holds_a_part(get(bolt)), bolt
    for name, told in (("G1/2", False), ("M8", True)):
        known = thread_named(name)
        assert isinstance(known, ThreadKnown)
        assert bool(known.engagement) is told
