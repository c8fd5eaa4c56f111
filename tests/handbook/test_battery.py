"""Batteries at rest; the published rows are in test_fluids_published.py."""

from itertools import pairwise

import pytest

from stores.errors import BadValue
from stores.handbook import battery
from stores.handbook.answer import cite


def test_the_band_is_wide_where_the_sources_differ() -> None:
    got = battery.at_rest(12.0)
    assert got.low < got.value < got.high
    assert got.high - got.low > 10
    assert battery.at_rest(12.65).value == 100
    assert battery.at_rest(11.0).value == 0
    assert any("hydrogen" in caution for caution in got.cautions)
    assert all(cite(key) for key in got.sources)
    assert battery.at_rest(6.12).value == pytest.approx(50)  # half of the BCI's 12.24
    assert any("6 V charger" in caution for caution in battery.at_rest(6.12).cautions)


def test_more_volts_are_never_less_charge() -> None:
    for nominal in (6, 12):
        found = [battery.at_rest(nominal * (0.9 + at / 1000), nominal) for at in range(220)]
        for low, high in pairwise(found):
            assert (low.low, low.value, low.high) <= (high.low, high.value, high.high)


def test_rest_and_surface_charge_are_said() -> None:
    assert any("rested only 2 h" in a for a in battery.at_rest(12.4, rest_hours=2).assumptions)
    assert any("surface charge" in a for a in battery.at_rest(13.0).assumptions)
    assert any("dead cell" in a for a in battery.at_rest(10.2).assumptions)


def test_charging_by_a_tenth_and_by_the_warmth() -> None:
    """A tenth of the capacity (common practice). A vehicle battery page ends a 12 V charge at
    14.4 V at 24 C and 14.2 V at 35 C; a battery care article has 7.5 V for 6 V."""
    half = battery.at_rest(12.24)
    for at_c, volts in ((24, 14.4), (35, 14.2), (None, 14.4)):
        amperes, hours, end = battery.charging(40, half, 12, at_c)
        assert (amperes.value, end.value) == (4.0, pytest.approx(volts))
        assert hours.low < 0.5 * 40 / 4 * 1.25 < hours.high
    cold = battery.charging(40, half, 12, 0)[2].value
    assert cold == pytest.approx(14.4 + 24 * 0.2 / 11)
    end = battery.charging(14, battery.at_rest(6.1), 6, 24)[2]
    assert (end.low, end.high) == (pytest.approx(7.2), 7.5)
    assert any("6 V charger" in text for text in end.cautions)
    for capacity, at_c in ((0, 20), (-5, 20), (1000, 20), (40, 80)):
        with pytest.raises(BadValue):
            battery.charging(capacity, half, 12, at_c)


def test_two_six_volt_batteries() -> None:
    good = battery.in_series(6.30, 6.28)
    assert (good.verdict, good.total_v) == ("alike", pytest.approx(12.58))
    bad = battery.in_series(6.30, 5.95)
    assert "charge the second by itself" in bad.verdict
    assert bad.cautions


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: battery.at_rest(-12), "wrong way round"),
        (lambda: battery.at_rest(8.2), "say whether it is a 6 V or a 12 V"),
        (lambda: battery.at_rest(12.5, 6), "on charge or just off it"),
        (lambda: battery.at_rest(24.5, 24), "expected 6 or 12"),
        (lambda: battery.at_rest(14.4, 12), "on charge"),
        (lambda: battery.at_rest(float("nan"), 12), "nan V"),
        (lambda: battery.by_gravity(12.65), "specific gravity"),
        (lambda: battery.freezes_c(120), "state of charge 120 %"),
    ],
)
def test_nonsense_is_refused(call: object, message: str) -> None:
    assert callable(call)
    with pytest.raises(BadValue, match=message):
        call()
