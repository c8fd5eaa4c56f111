"""Lengths of screws against the published rules and limits."""

import csv
from pathlib import Path

import numpy as np
import pytest

from stores.errors import BadValue, NotFound
from stores.handbook.lengths import (
    length_likelihood,
    length_rule,
    length_tolerance_mm,
    threaded_parts,
)
from stores.handbook.thread import get

PUBLISHED = Path(__file__).parents[1] / "published"


def published(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", published("length_heads"), ids=lambda r: r["head"])
def test_each_head_is_measured_as_iso_225_has_it(row: dict[str, str]) -> None:
    rule = length_rule(row["head"])
    assert rule.overall == (row["overall"] == "yes")
    assert row["words"] in rule.rule


@pytest.mark.parametrize(
    ("word", "head"),
    [("csk", "countersunk"), ("Cheese head", "cheese"), ("grub screw", "headless"),
     ("raised csk", "raised countersunk"), ("hex-flange", "hex flange"), ("Hexagon", "hex")],
)  # fmt: skip
def test_heads_go_by_many_names(word: str, head: str) -> None:
    assert length_rule(word).head == head


def test_an_unknown_head_names_those_there_are() -> None:
    with pytest.raises(NotFound, match="no length rule for the head 'pointed': known are hex,"):
        length_rule("pointed")


@pytest.mark.parametrize("row", published("length_limits"), ids=lambda r: r["nominal_mm"])
def test_limits_of_grade_a_lengths(row: dict[str, str]) -> None:
    nominal = float(row["nominal_mm"])
    off = length_tolerance_mm(nominal)
    # Printed to one or two decimals: half the last digit.
    half = 0.05 if len(row["max_mm"].partition(".")[2]) < 2 else 0.005
    assert nominal + off == pytest.approx(float(row["max_mm"]), abs=half + 1e-9)
    assert nominal - off == pytest.approx(float(row["min_mm"]), abs=half + 1e-9)


@pytest.mark.parametrize("row", published("length_tolerance"), ids=lambda r: r["nominal_mm"])
def test_tolerances_of_both_grades(row: dict[str, str]) -> None:
    nominal = float(row["nominal_mm"])
    assert length_tolerance_mm(nominal, "A") == pytest.approx(float(row["js15_mm"]), abs=0.005)
    assert length_tolerance_mm(nominal, "B") == pytest.approx(float(row["js17_mm"]), abs=0.005)


@pytest.mark.parametrize("head", ["hex", "raised countersunk"])
@pytest.mark.parametrize("tool", ["caliper", "rule"])
@pytest.mark.parametrize("nominal", [6.0, 25.0, 200.0])
def test_the_likelihood_is_a_density(nominal: float, tool: str, head: str) -> None:
    x = np.linspace(max(nominal - 80, -80), nominal + 80, 20001)  # a few are far off
    total = sum(length_likelihood(v, nominal, head, tool) for v in x.tolist()) * (x[1] - x[0])
    assert total == pytest.approx(1, abs=1e-6)
    off = 0.3
    assert length_likelihood(nominal + off, nominal, head, tool) == pytest.approx(
        length_likelihood(nominal - off, nominal, head, tool)
    )


def test_errors_say_what_is_expected() -> None:
    with pytest.raises(BadValue, match="product grade 'D': expected A, B or C"):
        length_tolerance_mm(25, "D")
    with pytest.raises(BadValue, match="length 0 mm: expected above 0 and up to 500 mm"):
        length_tolerance_mm(0)
    with pytest.raises(BadValue, match="no tool 'eye'"):
        length_likelihood(25, 25, tool="eye")


def test_how_much_of_a_bolt_is_threaded() -> None:
    """Every printed row of ISO 888: b = 2 d + 6, 12 or 25 by the length of the bolt."""
    printed = published("torque_thread_length")
    for row in printed:
        at = {"l<=125": 0, "125<l<=200": 1, "l>200": 2}[row["length_range_mm"]]
        assert threaded_parts(get(row["thread"]))[at].thread_mm == float(row["b_mm"])
    assert len(printed) > 10
    assert threaded_parts(get("1/4 BSF")) == ()
