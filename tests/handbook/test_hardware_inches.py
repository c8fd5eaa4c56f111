"""Sizes in inches, wrong units and contradictions: what the look-up of hardware says of them.

Expected: AS568 sizes and the fractions they are named by (memory), ISO 15 (6204: 20 x 47 x 14),
ASME B18.8.2 and ISO 2339 taper pins (memory), DIN 471 (smallest ring 3 mm).
"""

import pytest

from stores.errors import BadValue, NotFound
from stores.handbook.hardware.reading import ask
from stores.handbook.hardware.sealing import nominal_ring
from stores.handbook.table import table

# AS568 names: nominal bore and outside, or bore and section, to the dash number (memory).
RINGS = {
    "o-ring 1 1/16 1 5/16": "AS568-215",
    "o-ring 1/2 11/16": "AS568-112",
    "o-ring 1/2 3/32": "AS568-112",
    "o-ring 1/2 5/8": "AS568-014",
    "o-ring 3/4 1": "AS568-210",
    "o-ring 1/2 3/4": "AS568-206",
    "o-ring 1 1/2 1 7/8": "AS568-325",
    "o-ring 4 1/2 5": "AS568-425",
}


@pytest.mark.parametrize(("text", "dash"), RINGS.items())
def test_a_ring_named_by_fractions(text: str, dash: str) -> None:
    found = ask(text).matches[0]
    assert found.exact[0].designation == dash


def test_the_bore_is_smaller_by_what_the_section_is_thicker() -> None:
    """1 1/16 in is 26.9875 mm; section 3.53 is 0.355 over 1/8 in (3.175): 26.9875 - 0.355."""
    bore, section = nominal_ring([26.9875, 33.3375], ["1 1/16", "1 5/16"]) or (0, 0)
    assert bore == pytest.approx(26.6325)
    assert section == 3.53


@pytest.mark.parametrize("sizes", [[26.9875], [26.9875, 28.0], [10.0, 12.0, 14.0]])
def test_no_ring_of_another_section_is_made_up(sizes: list[float]) -> None:
    assert nominal_ring(sizes, ["1 1/16", "1 1/10", "?"]) is None


def test_a_metric_ring_by_bore_and_outside() -> None:
    """20 + 2 x 2.5 = 25."""
    assert ask("o-ring 20 25").matches[0].exact[0].designation == "O-ring 20 x 2.5"
    assert ask("o-ring 20 2.5").matches[0].exact[0].designation == "O-ring 20 x 2.5"


def test_a_size_that_is_a_fraction_of_an_inch_is_said_to_be_one() -> None:
    found = ask("dowel 6.35 25").matches[0]
    assert not found.exact
    assert not found.question
    assert found.notes[0] == "6.35 mm is 1/4 in"
    assert "no inch sizes of the dowel pin" in found.notes[1]
    assert found.nearest[0].misses["d"] == pytest.approx(0.35)  # 6.35 - 6


@pytest.mark.parametrize("text", ["tab washer 1/4", "split pin 1/8 1", "dowel 1/4 1"])
def test_no_inch_table_is_said(text: str) -> None:
    found = ask(text).matches[0]
    assert not found.exact
    assert found.notes[0].startswith("no inch sizes of the")


@pytest.mark.parametrize("text", ["steel ball 1/4", "woodruff key 1/8 1/2", "dowel 6 24"])
def test_nothing_is_said_where_the_table_has_it(text: str) -> None:
    found = ask(text).matches[0]
    assert found.exact
    assert not any("no inch sizes" in note or note[-3:] == " in" for note in found.notes)


def test_one_millimetre_or_one_inch() -> None:
    found = ask("circlip shaft 1").matches[0]
    assert "smallest is 3 mm" in found.question
    assert "1 in, 25.4 mm" in found.question
    assert found.meant[0].sizes["d1"] == 25
    assert not ask("circlip shaft 2").matches[0].question  # 2 mm is near 3; 2 in is no slip of it


def test_a_number_and_sizes_that_agree_with_it() -> None:
    for size in ("20", "47", "14"):
        assert ask(f"bearing 6204 {size}").pieces[0].designation == "6204"
    for size in ("30", "20 48", "47 12"):
        with pytest.raises(BadValue, match="6204 is 20 x 47 x 14 mm"):
            ask(f"bearing 6204 {size}")


def test_taper_pins() -> None:
    assert ask("taper pin 6 40").matches[0].exact[0].designation == "ISO 2339 - 6 x 40"
    assert ask("DIN 1 - 6 x 30").pieces[0].designation == "ISO 2339 - 6 x 30"
    four = ask("taper pin No 4").pieces[0]  # ASME B18.8.2: 0.250 in at the large end
    assert four.sizes["d"] == pytest.approx(6.35)
    assert ask("taper pin No 7/0").pieces[0].sizes["d"] == pytest.approx(0.0625 * 25.4)
    with pytest.raises(NotFound):
        ask("taper pin No 99")


def test_taper_pin_numbers_rise() -> None:
    inch = [float(r["d_mm"]) for r in table("hardware_taper_pins") if r["end"] == "large"]
    assert inch == sorted(inch)
    assert len(inch) == 17
    # 1 in 48 is the quarter inch to the foot of ASME B18.8.2: 12 / 0.25.
    assert {r["taper"] for r in table("hardware_taper_pins") if r["end"] == "large"} == {"48"}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("dowel 0.25 1", "1/4 x 1 in, 6.35 x 25.4 mm"),
        ("oil seal 0.75 1.25 .25", "3/4 x 1 1/4 x 1/4 in"),
        ("key 0.25 0.25 1", "1/4 x 1/4 x 1 in"),
        ("tab washer 0.25", "the nearest is metric"),
        ("washer 0.25", "1/4 in fits"),
        ("bearing 0.75 1.875 0.5625", "3/4 x 1 7/8 x 9/16 in fits"),  # RLS6 of BS 292
        ("bearing 2 4.7 1.4", "did you mean cm? 20 x 47 x 14 mm"),
    ],
)
def test_sizes_written_as_inches_or_centimetres_are_asked_about(text: str, says: str) -> None:
    found = ask(text).matches[0]
    assert not found.exact
    assert says in found.question
    assert found.meant
