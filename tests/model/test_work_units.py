"""The units a person works in: figures turned round as an independent library has them."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stores.errors import BadValue
from stores.model.work_units import TORQUES, VOLUMES, WorkUnits, chosen, of_settings, working_in

UNITS = pint.UnitRegistry()
NAMES = {"N m": "N*m", "lbf ft": "lbf*ft", "lbf in": "lbf*in", "kgf m": "kgf*m",
         "ml": "ml", "imp pint": "imperial_pint", "US pint": "pint",
         "imp fl oz": "imperial_fluid_ounce", "US fl oz": "fluid_ounce",
         "imp gallon": "imperial_gallon", "US gallon": "gallon"}  # fmt: skip


def turned(value: float, unit: str, to: str) -> float:
    return float(UNITS.Quantity(value, NAMES[unit]).to(NAMES[to]).magnitude)


def leading(text: str) -> float:
    return float(text.split(" ", maxsplit=1)[0].replace(",", ""))


@given(nm=st.floats(0.1, 500), unit=st.sampled_from(TORQUES))
def test_a_torque_is_the_same_in_any_unit(nm: float, unit: str) -> None:
    """To three figures; the record's own unit is always there."""
    words = WorkUnits(torque=unit).torque_words(nm)
    assert leading(words) == pytest.approx(turned(nm, "N m", unit), rel=5.1e-3)
    assert unit in words
    assert "N m" in words


@given(nm=st.floats(0.5, 500), unit=st.sampled_from(TORQUES[1:]))
def test_a_figure_to_set_is_never_rounded_up(nm: float, unit: str) -> None:
    own = leading(WorkUnits(torque=unit).to_set(nm))
    assert own <= turned(nm, "N m", unit) * (1 + 1e-9)
    assert own >= 0.9 * turned(nm, "N m", unit) - 0.01  # a wrench's step at most


@given(ml=st.floats(1, 20_000), unit=st.sampled_from(VOLUMES))
def test_a_volume_is_the_same_in_any_unit(ml: float, unit: str) -> None:
    words = WorkUnits(volume=unit).volume_words(round(ml))
    shown = " ".join(words.split(" (")[0].split(" ")[1:])
    assert leading(words) == pytest.approx(turned(round(ml), "ml", shown), rel=5.1e-3)
    assert "ml" in words


def test_less_than_half_a_pint_is_told_in_ounces() -> None:
    """Weights and Measures Act 1985: a pint is 20 fluid ounces, 568.26125 ml."""
    assert WorkUnits(volume="imp pint").volume_words(200) == "7.04 imp fl oz (200 ml)"
    assert WorkUnits(volume="imp pint").volume_words(568) == "1 imp pint (568 ml)"


def test_a_bath_is_told_in_gallons_and_drops_in_ml() -> None:
    """Weights and Measures Act 1985: a gallon is 4.54609 l; a few ml are no part of an ounce."""
    assert WorkUnits(volume="imp pint").volume_words(45461) == "10 imp gallon (45,461 ml)"
    assert WorkUnits(volume="US pint").volume_words(4) == "4 ml"


def test_what_a_book_says_stays_beside() -> None:
    """18 lbf ft is 24.4 N m (NIST SP 811: 1 lbf ft is 1.355818 N m)."""
    feet, metres, kilos = WorkUnits("lbf ft"), WorkUnits(), WorkUnits("kgf m")
    assert feet.beside(24.405, 24.405, "18 lbf ft") == "24.4 N m"
    assert feet.beside(24.405, 24.405, "2.49 kgf m") == "2.49 kgf m"
    assert feet.beside(24.405, 24.405, "") == "24.4 N m"
    assert metres.beside(24.405, 24.405, "18 lbf ft") == "18 lbf ft"
    assert metres.beside(24.4, 24.4, "") == ""
    assert kilos.as_written(24.517, 24.517, "2.5 kgf m") == "2.5 kgf m"
    assert (
        feet.as_written(24.405, 27.116, "24.4 to 27.1 N m") == "24.4 to 27.1 N m (18 to 20 lbf ft)"
    )
    assert feet.beside(1, 1, "hand tight") == "hand tight"


def test_sentences_are_turned_once() -> None:
    feet = WorkUnits("lbf ft")
    told = feet.turned("above what scatter explains (24.4 to 27.1 N m), not 13.6 N m")
    assert told == (
        "above what scatter explains (18 to 20 lbf ft (24.4 to 27.1 N m)), not 10 lbf ft (13.6 N m)"
    )
    assert feet.turned(told) == told
    assert WorkUnits().turned(told) == told
    assert feet.turned("0.12 friction, 640 MPa, M8, NAS 3 N max") == (
        "0.12 friction, 640 MPa, M8, NAS 3 N max"
    )


def test_the_last_pass_is_the_figure_itself() -> None:
    """A maker's 25 N m are 18.44 lbf ft, and no wrench's step rounds them away."""
    assert WorkUnits("lbf ft").pass_words(25, 100) == "18.4 lbf ft (25 N m)"
    assert WorkUnits("lbf ft").pass_words(12.5, 50) == "9.2 lbf ft (12.5 N m)"
    assert WorkUnits().pass_words(12.5, 50) == "12.5 N m"


def test_a_choice_holds_within_and_is_looked_up_when_it_is_needed() -> None:
    looked: list[int] = []

    def choice() -> WorkUnits:
        looked.append(1)
        return WorkUnits("lbf ft")

    assert chosen() == WorkUnits()
    with working_in(choice):
        assert looked == []
        assert chosen().torque == "lbf ft"
        assert chosen().torque == "lbf ft"
        assert looked == [1]
    assert chosen() == WorkUnits()


def test_settings_and_nonsense() -> None:
    assert of_settings({}) == WorkUnits()
    assert of_settings({"torque unit": "kgf m", "volume unit": ""}) == WorkUnits("kgf m", "ml")
    with pytest.raises(BadValue, match="no such work unit"):
        WorkUnits("stone")
