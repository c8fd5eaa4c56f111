"""Reading measurements: spellings, units, uncertainty, and what is not believed.

An inch is 25.4 mm exactly (international agreement of 1959). The uncertainty of a last digit is
its step over the square root of 12 (JCGM 100, 4.3.7).
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stores.errors import BadValue, NotationError, StoresError
from stores.handbook.measure import Measure, Quantity, Tool, read_measure
from stores.handbook.table import table


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("6.2", 6.2),
        ("6.2mm", 6.2),
        (" 6,2 mm ", 6.2),
        ("0.248 in", 6.2992),
        (".248in", 6.2992),
        ('0.248"', 6.2992),
        ("0.248''", 6.2992),
        ("0.248 inches", 6.2992),
        ("248 thou", 6.2992),
        ("1/4", 6.35),
        ('15/64"', 5.953125),
        ("1 1/8 in", 28.575),
        ("1-1/8", 28.575),
        ("1⅛", 28.575),
        ("0.62 cm", 6.2),
    ],
)
def test_a_diameter_is_read_however_it_is_written(text: str, mm: float) -> None:
    measure = read_measure(text, "outside diameter")
    assert measure.quantity is Quantity.OUTSIDE
    assert measure.value == pytest.approx(mm, abs=1e-9)
    assert measure.tool is Tool.CALIPER


@pytest.mark.parametrize(
    ("text", "value", "over", "tpi", "by_gauge"),
    [
        ("26 tpi", 25.4 / 26, 1, 26, True),
        ("26", 25.4 / 26, 1, 26, True),
        ("26 t.p.i.", 25.4 / 26, 1, 26, True),
        ("26 threads per inch", 25.4 / 26, 1, 26, True),
        ("1.25", 1.25, 1, None, True),
        ("1 mm", 1.0, 1, None, True),
        ("0.98", 0.98, 1, None, False),
        ("9.8 over ten", 9.8, 10, None, False),
        ("9,8 mm over 10 crests", 9.8, 10, None, False),
        ("1/2 in over 13", 12.7, 13, None, False),
        ("4 mm", 4.0, 1, None, True),
        ("4 tpi", 6.35, 1, 4, True),
    ],
)
def test_a_pitch_is_a_blade_a_count_or_a_length(
    text: str, value: float, over: int, tpi: float | None, by_gauge: bool
) -> None:
    measure = read_measure(text, "pitch")
    assert measure.value == pytest.approx(value, abs=1e-9)
    assert (measure.over, measure.tpi, measure.by_gauge) == (over, tpi, by_gauge)


@pytest.mark.parametrize(
    ("text", "degrees"), [("60", 60), ("55°", 55), ("47.5 deg", 47.5), ("47 1/2", 47.5)]
)
def test_a_flank_angle_is_one_of_three(text: str, degrees: float) -> None:
    assert read_measure(text, "flank angle").value == degrees


@pytest.mark.parametrize(
    ("text", "tool", "sigma"),
    [
        ("6.20", None, 0.03),
        ("6.200", "micrometer", 0.005),
        ("6.2", "rule", 0.3),
        ("6", "caliper", 1 / 12**0.5),
        ("1/4", "caliper", 25.4 / 64 / 12**0.5),
        ("6.2 +/- 0.1", "caliper", 0.1),
        ("6.2 ± 0.1 mm", "caliper", 0.1),
        ("0.25 in +/- 0.002", "caliper", 0.0508),
        ("6.2 mm +/- 0.002 in", "caliper", 0.0508),
    ],
)
def test_the_uncertainty_is_the_tools_or_the_last_digits_or_said(
    text: str, tool: str | None, sigma: float
) -> None:
    assert read_measure(text, "od", tool).sigma == pytest.approx(sigma, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "kind", "message"),
    [
        ("0.25", "od", "0.25 mm outside diameter? did you mean 0.25 in? write the unit"),
        ("248", "od", "248 mm outside diameter? did you mean 248 thou? write the unit"),
        (
            "6.2 in",
            "od",
            "6.2 in outside diameter? did you mean 6.2 mm? if it is so, write 157.48 mm",
        ),
        ("0.2", "bore", "0.2 mm bore? did you mean 0.2 in? write the unit"),
        ("0.445", "across flats", "0.445 mm across flats? did you mean 0.445 in? write the unit"),
        ("0.75", "length", "0.75 mm length? did you mean 0.75 in? write the unit"),
        ("4", "pitch", "pitch 4: 4 mm or 4 tpi? write the unit"),
        ("26 mm", "pitch", "pitch 26 mm? did you mean 26 tpi"),
        ("1.25 tpi", "pitch", "1.25 tpi? did you mean 1.25 mm"),
        (
            "0.98 over ten",
            "pitch",
            "0.98 mm over 10 crests is a pitch of 0.098 mm? "
            "did you mean 0.98 in, or a pitch of 0.98 mm? write the unit",
        ),
        (
            "0.1 mm over ten",
            "pitch",
            "0.1 mm over 10 crests is a pitch of 0.01 mm? did you mean a pitch of 0.1 mm",
        ),
        ("0.05", "pitch", "pitch 0.05 mm? did you mean 0.05 in? write the unit"),
        ("58", "angle", "flank angle 58 degrees: expected 60, 55 or 47.5"),
        ("-3", "od", "outside diameter '-3': expected a number above zero"),
        ("0", "length", "length '0': expected a number above zero"),
        ("9.8 over 100", "pitch", "a pitch over 100 crests: expected 2 to 60"),
    ],
)
def test_what_is_not_believed_is_asked_about(text: str, kind: str, message: str) -> None:
    with pytest.raises(BadValue) as caught:
        read_measure(text, kind)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("", "od"),
        ("six", "od"),
        ("6..2", "od"),
        ("1/0", "od"),
        ("6.2 tpi", "od"),
        ("9.8 over ten", "od"),
        ("60 deg", "od"),
        ("26 tpi over ten", "pitch"),
        ("9.8 over many", "pitch"),
        ("60 mm", "angle"),
    ],
)
def test_what_is_no_measurement_is_a_notation_error(text: str, kind: str) -> None:
    with pytest.raises(NotationError) as caught:
        read_measure(text, kind)
    assert "\n" not in str(caught.value)


def test_unknown_kinds_and_tools_are_refused() -> None:
    with pytest.raises(BadValue, match="cannot measure 'weight': expected outside diameter"):
        read_measure("6.2", "weight")
    with pytest.raises(BadValue, match="no tool 'eye': expected caliper"):
        read_measure("6.2", "od", "eye")


def test_said_in_mm_even_the_smallest_thread_is_believed() -> None:
    """25 BA is 0.25 mm: BS 93. So rare that two decimals are asked about: 0.25 in is 1/4."""
    assert read_measure("0.250 mm", "od").value == 0.25
    with pytest.raises(BadValue, match=r"did you mean 0\.25 in"):
        read_measure("0.25 mm", "od")


def test_every_blade_of_the_gauges_is_read_as_one() -> None:
    for row in table("gauge_blades"):
        for mark in row["blades"].split():
            measure = read_measure(f"{mark} {row['unit']}", "pitch")
            assert measure.by_gauge, mark


@given(st.text(max_size=20), st.sampled_from(list(Quantity)))
def test_any_text_gives_a_measure_or_one_line(text: str, kind: Quantity) -> None:
    try:
        measure = read_measure(text, kind)
    except StoresError as error:
        said = str(error)
    else:
        assert isinstance(measure, Measure)
        said = str(measure)
        assert measure.value > 0
    assert len(said.splitlines()) == 1


@given(st.floats(1.0, 100.0), st.sampled_from(["mm", "in"]))
def test_a_figure_with_its_unit_comes_back(value: float, unit: str) -> None:
    text = f"{value / (25.4 if unit == 'in' else 1):.4f} {unit}"
    measure = read_measure(text, "od")
    assert measure.value == pytest.approx(value, abs=0.0013)
