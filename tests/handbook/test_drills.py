"""Tapping drills against printed rows, the limits of the nut's bore, and the drills of a shop.

``tests/published/drills_tapping.csv``: rows of drill tables. ``drills_inch.csv``: number and letter
drills of a public table, most of them rounded to three decimals.
"""

import csv
from pathlib import Path

import pytest

from stores.handbook.thread import Thread, all_threads, get
from stores.handbook.thread.drills import inch_drill, inch_drills, stock_drill_mm

PUBLISHED = Path(__file__).parents[1] / "published"
NO_STOCK = {"25BA", "1 1/2-18 UNEF", "1 9/16-18 UNEF"}
"""25BA: 0.16 to 0.187 mm, no drill so small. The two UNEF: 36.57 to 36.89 and 38.16 to 38.48 mm,
between halves of a millimetre (ASME B1.1: D - 1.0825 P, and 0.25 P - 0.4 P2 above it)."""


def published(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", published("drills_tapping"), ids=lambda r: r["designation"])
def test_the_printed_drill_comes_out(row: dict[str, str]) -> None:
    assert get(row["designation"]).tapping_drill_mm == pytest.approx(float(row["drill_mm"]))


def of_the_shop(drill: float) -> bool:
    """Common practice: hundredths to 1 mm, then 0.05, 0.1, 0.25 and 0.5 mm (see `drills`)."""
    steps = ((1, 0.01), (3, 0.05), (14, 0.1), (32, 0.25), (100, 0.5))
    step = next((s for top, s in steps if drill <= top), None)
    return step is not None and abs(drill / step - round(drill / step)) < 1e-6


@pytest.mark.parametrize("thread", all_threads(), ids=str)
def test_a_tapping_drill_is_a_stock_drill_within_the_bore_of_the_nut(thread: Thread) -> None:
    """Limits: ISO 965-1 6H, BS 84, BS 93, ASME B1.1 2B, ISO 228-1, which test_thread.py checks."""
    drill, limits = thread.tapping_drill_mm, thread.internal_minor_limits_mm
    low, high = limits or (thread.minor_mm, thread.drill_for(60))
    assert low - 0.001 <= drill <= high + 0.001
    bored = thread.designation in NO_STOCK or drill > 100
    assert ("no stock drill" in thread.tapping_drill_source) is bored
    assert bored or of_the_shop(drill)


@pytest.mark.parametrize("thread", all_threads(), ids=str)
def test_a_tapping_drill_leaves_the_usual_share_of_the_thread(thread: Thread) -> None:
    """60 to 90 % of full thread (common practice), to a rounding of the drill of half a step.

    Half a step is 0.025 to 0.25 mm, in per cent of the thread that is cut: more on fine threads.
    """
    drill = thread.tapping_drill_mm
    half_step = next(
        s for top, s in ((3, 0.025), (14, 0.05), (32, 0.125), (999, 0.25)) if drill <= top
    )
    play = thread.percent_left_by(0) - thread.percent_left_by(half_step)
    assert 60 - play <= thread.percent_left_by(drill) <= 90 + play


@pytest.mark.parametrize("row", published("drills_inch"), ids=lambda r: r["name"])
def test_number_and_letter_drills(row: dict[str, str]) -> None:
    ours = next(drill for drill in inch_drills() if drill.name == row["name"])
    # The public table cuts .2055 to .205 and rounds .1695 to .17: a unit of its last digit.
    assert ours.inches == pytest.approx(float(row["d_in"]), abs=0.00051)


def test_the_inch_drills_are_whole() -> None:
    """ASME B94.11M: numbers 1 to 80, letters A to Z; E is 1/4 in."""
    names = [drill.name for drill in inch_drills()]
    assert len(names) == len(set(names)) == 80 + 26 + 96
    sizes = {drill.name: drill.inches for drill in inch_drills()}
    assert sizes["E"] == sizes["1/4"] == 0.25
    numbers = [sizes[f"#{n}"] for n in range(1, 81)]
    assert numbers == sorted(numbers, reverse=True)


@pytest.mark.parametrize(
    ("name", "drill"),
    [
        # Drill charts (memory): 1/4-20 UNC #7, 3/8-16 UNC 5/16, 3/8 cycle 11/32, 5/16-18 UNC F.
        ("1/4-20 UNC", "#7"),
        ("3/8-16 UNC", "5/16"),
        ("3/8-26 cycle", "11/32"),
        ("5/16-18 UNC", "F"),
        ("#10-32 UNF", "#21"),
    ],
)
def test_the_inch_drill_of_the_charts(name: str, drill: str) -> None:
    found = inch_drill(get(name))
    assert found is not None
    assert found.name == drill


@pytest.mark.parametrize("row", published("drills_inch"), ids=lambda r: r["name"])
def test_a_drill_is_its_own_nearest(row: dict[str, str]) -> None:
    size = float(row["d_in"]) * 25.4
    assert abs(stock_drill_mm(size) - size) <= 0.051 if size < 14 else True
