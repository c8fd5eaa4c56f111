"""The front door of hardware: by size, by designation, and what it says beside the figures.

Facts quoted here are from the hardware notes' own text (sections 1 to 6) unless a line says
otherwise; whole tables are held in test_hardware_published.py and test_hardware_tables.py.
"""

import math
import re
import subprocess
import sys

import pytest
from conftest import examples
from hypothesis import given
from hypothesis import strategies as st

from stores.errors import BadValue, NotationError, NotFound, StoresError
from stores.handbook.hardware.bearings import clearance_um, explain
from stores.handbook.hardware.catalogue import STANDARDS, all_kinds, get_kind
from stores.handbook.hardware.fixings import key_for_shaft, split_pin_for
from stores.handbook.hardware.match import lengths, piece, steps_about
from stores.handbook.hardware.reading import find, read_designation
from stores.handbook.hardware.sealing import (
    family,
    id_tolerance,
    od_allowance,
    outside,
    seal_type,
    section_tolerance,
    width_advice,
)

KINDS = [kind.name for kind in all_kinds()]


def names(kind: str, *sizes: float | None, **options: object) -> list[str]:
    found = find(get_kind(kind), sizes, **options)  # type: ignore[arg-type]
    return [one.designation for one in found.exact]


@pytest.mark.parametrize("name", KINDS)
def test_round_trip_of_every_row(name: str) -> None:
    """A row's designation reads back to a row of the same sizes; its sizes give the designation."""
    kind = get_kind(name)
    rows = kind.rows()
    step = max(1, len(rows) // examples(40, 150))
    for row in rows[::step]:
        one = piece(kind, row)
        back = read_designation(one.designation)
        assert any(dict(other.sizes) == dict(one.sizes) for other in back), one.designation
        dims = [dim.name for dim in kind.dims if dim.name in one.sizes][:3]
        sizes = [one.sizes[dim] for dim in dims]
        if name == "old shaft seal":
            continue  # its first size is the lip's, always under the shaft it is listed by
        again = find(get_kind(name), sizes, dims=dims, limit=0)
        assert one.designation in {other.designation for other in again.exact}
        for other in again.exact:
            if other.designation == one.designation and dict(other.sizes) == dict(one.sizes):
                assert not any(other.misses.values())


@pytest.mark.parametrize("name", KINDS)
def test_every_answer_has_a_source_and_says_its_assumptions(name: str) -> None:
    kind = get_kind(name)
    first = kind.dim(kind.orders[0][0])
    assert first is not None
    value = first.value(kind.rows()[len(kind.rows()) // 2])
    assert value is not None
    found = find(get_kind(name), [value - 1 if name == "old shaft seal" else value])
    assert found.exact
    assert all(one.source.strip() and one.standard.strip() for one in found.exact)
    assert any("measuring error" in line for line in found.assumptions)
    assert set(found.asked) == {first.name}


# Bearings. Sizes and names from ISO 15 catalogues, quoted in the notes or known to every fitter.


@pytest.mark.parametrize(
    ("sizes", "designation"),
    [
        ((20, 47, 14), "6204"),
        ((8, 22, 7), "608"),
        ((6, 19, 6), "626"),
        ((10, 26, 8), "6000"),
        ((17, 40, 12), "6203"),
        ((25, 62, 17), "6305"),
        ((20, 42, 8), "16004"),
        ((20, 32, 7), "6804"),
        ((22, 50, 14), "62/22"),
        ((100, 180, 34), "6220"),
        ((20, 47, 15.25), "30204"),
        ((25.4, 57.15, 15.875), "RLS8"),
        ((12.7, 28.575, 7.938), "R8 ZZ"),
    ],
)
def test_bearing_from_its_sizes(sizes: tuple[float, float, float], designation: str) -> None:
    assert designation in names("bearing", *sizes)


@pytest.mark.parametrize(
    ("text", "designation"),
    [
        ("6204", "6204"),
        ("6204-2RS C3", "6204"),
        ("6204-2RS1/C3", "6204"),
        ("6204 2rs c3 bearing", "6204"),
        ("608ZZ", "608"),
        ("NU 205 ECP/C3", "NU205"),
        ("62/22", "62/22"),
        ("61804", "6804"),
        ("61804-2Z", "6804"),
        ("618/8", "688"),
        ("619/5", "695"),
        ("32005", "32005X"),
        ("RLS8", "RLS8"),
        ("R8-2RS", "R8 ZZ"),
        ("6202-5/8", "6202-5/8"),
        ("MR105", "MR105"),
        ("16004", "16004"),
        ("1628", "1628"),
    ],
)
def test_bearing_from_its_marking(text: str, designation: str) -> None:
    assert read_designation(text)[0].designation == designation


def test_open_and_closed_small_inch_bearings_are_both_given() -> None:
    assert [one.designation for one in read_designation("R6")] == ["R6", "R6 ZZ"]
    open_one, closed = read_designation("R6")
    assert open_one.sizes["B"] < closed.sizes["B"]
    assert (open_one.sizes["d"], open_one.sizes["D"]) == (closed.sizes["d"], closed.sizes["D"])


def test_types_that_share_sizes_are_all_given_and_told_apart() -> None:
    found = find(get_kind("bearing"), (20, 47, 14))
    given_names = [one.designation for one in found.exact]
    assert {"6204", "7204", "1204", "NU204"} <= set(given_names)
    assert given_names[0] == "6204"
    types = {one.designation: one.notes[0] for one in found.exact}
    assert "self-aligning" in types["1204"]
    assert "cylindrical" in types["NU204"]
    assert any("tell them apart" in note for note in found.notes)


def test_bearings_that_share_two_sizes_are_pointed_out() -> None:
    """607, 626 and 635 share 19 x 6; 6000 and 629 share 26 x 8."""
    note = " ".join(find(get_kind("bearing"), (7, 19, 6)).notes)
    assert "626 (6)" in note
    assert "635 (5)" in note
    assert "629 (9)" in " ".join(find(get_kind("bearing"), (10, 26, 8)).notes)


def test_special_bore() -> None:
    """A 6202 with a 5/8 in bore exists: check d even when D and B fit."""
    assert names("bearing", 15.88, 35, 11)[0] == "6202-5/8"
    found = find(get_kind("bearing"), (14.5, 35, 11))
    assert not found.exact
    assert any("special bore" in note for note in found.notes)
    assert any("only d differs" in note for note in found.notes)


def test_miss_is_measured_minus_table() -> None:
    found = find(get_kind("bearing"), (20, 47.5, 14))
    assert not found.exact
    best = found.best
    assert best is not None
    assert best.designation == "6204"
    assert dict(best.misses) == {"d": 0.0, "D": 0.5, "B": 0.0}
    assert max(map(abs, best.misses.values())) == 0.5


def test_beyond_is_what_error_and_tolerance_leave() -> None:
    """A 6204's D is 47 with no plus tolerance (ISO 492): 47.5 is 0.45 beyond a caliper's 0.05."""
    best = find(get_kind("bearing"), (20, 47.5, 13.9)).best
    assert best is not None
    assert dict(best.beyond) == {"d": 0.0, "D": 0.45, "B": 0.0}
    assert dict(best.misses) == {"d": 0.0, "D": 0.5, "B": -0.1}
    for one in find(get_kind("bearing"), (20, 47, 14)).exact:
        assert not any(one.beyond.values())


def test_rows_from_memory_say_so() -> None:
    remembered = read_designation("DIN 7603-A 14 x 18")[0]
    assert "memory" in remembered.source
    assert any("from memory" in note for note in remembered.notes)
    sourced = read_designation("6204")[0]
    assert not any("memory" in note for note in sourced.notes)


def test_a_length_between_the_steps_is_pointed_out() -> None:
    """ISO 4017 lists 25 and 30 but not 27; ISO 1234 lists 22."""
    notes = " ".join(read_designation("ISO 4017 M8 x 27")[0].notes)
    assert "27 is no standard length of ISO 4017, the next is 30" in notes
    assert "no standard length" not in " ".join(read_designation("ISO 4017 M8 x 25")[0].notes)
    assert "no standard length" not in " ".join(read_designation("ISO 1234 - 3.2 x 22")[0].notes)


def test_near_bearings_of_the_same_sizes_are_listed_once() -> None:
    found = find(get_kind("bearing"), (20, 47.5, 14), limit=8)
    sizes = [tuple(one.sizes.values()) for one in found.nearest]
    assert len(set(sizes)) == len(sizes) == 8


def test_marking_taken_apart() -> None:
    mark = explain("6204-2RS C3")
    assert mark.base == "6204"
    assert [suffix for suffix, _ in mark.suffixes] == ["2RS", "C3"]
    assert mark.bore_mm == 20
    assert mark.clearance_group == "C3"
    assert mark.clearance_um == (13, 28)  # NSK E1102 Table 9.9, over 18 up to 24 mm
    assert explain("6204").clearance_um == (5, 20)
    assert explain("6204 ZZC3").clearance_group == "C3"
    assert explain("NU204 C3").clearance_um == (35, 60)  # ISO 5753-1, from memory
    assert any("from memory" in note for note in explain("NU204 C3").notes)
    assert explain("30204").clearance_um is None  # set when it is fitted
    strange = explain("6204-XYZ9")
    assert strange.unread == ("XYZ9",)
    assert any("maker's own" in note for note in strange.notes)
    assert any("not in the tables" in note for note in explain("6399").notes)


def test_suffix_meanings_come_with_the_designation() -> None:
    notes = " ".join(read_designation("6204-2RS C3")[0].notes)
    assert "2RS: rubber contact seal both sides" in notes
    assert "13 to 28 micrometres" in notes


def test_clearance_outside_the_table() -> None:
    assert clearance_um(500) is None
    assert clearance_um(20, "c0") == clearance_um(20)
    with pytest.raises(BadValue, match="clearance group"):
        clearance_um(20, "C9")


# Seals.


def test_seal_from_shaft_and_bore() -> None:
    assert "20 x 35 x 7" in names("oil seal", 20, 35, 7)


def test_seal_measured_itself_reads_large() -> None:
    """A caliper over a 35 mm seal may read 35.15 to 35.30."""
    for reading in (35.15, 35.30):
        assert names("shaft seal", 20, reading, 7) == ["20 x 35 x 7"]


def test_seal_notes_name_the_reading_and_the_other_widths() -> None:
    found = find(get_kind("shaft seal"), (20, 35.25, 7))
    assert any("if it is the bore, the bore is oversize" in note for note in found.notes)
    wide = find(get_kind("shaft seal"), (20, 35, 9))
    assert not wide.exact
    assert any("20 x 35 x 8 is narrower: fits" in note for note in wide.notes)
    assert any("20 x 35 x 10 is wider: only if" in note for note in wide.notes)


def test_old_seal_lip_is_smaller_than_the_shaft() -> None:
    assert "20 x 35 x 7" in names("old shaft seal", 19.0, 35.2, 7)
    assert "20 x 35 x 7" not in names("shaft seal", 19.0, 35.2, 7)


def test_seal_advice_and_widths() -> None:
    advice = " ".join(find(get_kind("shaft seal"), (20, 35, 7)).notes)
    assert "not the seal" in advice
    assert width_advice(7, 7) == "same width"
    assert width_advice(7, 6).startswith("narrower: fits")
    assert "deep enough" in width_advice(7, 10)


def test_seal_trade_codes() -> None:
    """SC, BA, R are type A; TC, BASL, RST are type AS."""
    assert "dust lip" in seal_type("tc")[0].meaning
    assert "no dust lip" in seal_type("R")[0].meaning
    assert seal_type("ZZZ") == ()
    piece_notes = read_designation("20x35x7 TC NBR")[0].notes
    assert any("dust lip" in note for note in piece_notes)


def test_seal_allowance_refuses() -> None:
    with pytest.raises(BadValue, match="no press allowance"):
        od_allowance(400)
    with pytest.raises(BadValue, match="seal case"):
        od_allowance(40, "wood")


# O-rings.


def test_oring_dash_from_its_sizes() -> None:
    assert "AS568-214" in names("o-ring", 25, 3.5)  # 24.99 x 3.53
    assert read_designation("-214")[0].sizes["ID"] == 24.99
    for text in ("AS568-214", "AS568A-214", "AS 568 214", "dash 214", "O-ring -214", "o-ring 214"):
        assert read_designation(text)[0].designation == "AS568-214"


def test_oring_from_outside() -> None:
    """OD = ID + 2 CS: 24.99 + 2 x 3.53 = 32.05."""
    assert outside(24.99, 3.53) == pytest.approx(32.05)
    assert "AS568-214" in names("o-ring by outside", 32.05, 3.53)
    assert "AS568-214" in names("o-ring", 32.05, 3.53, dims=["OD", "CS"])


def test_oring_class_b_formula() -> None:
    """ISO 3601-1 class B, published points from 5 to 320 mm; the printed exponent 0.93 fails."""
    for bore, printed in ((5, 0.15), (10, 0.19), (20, 0.26), (40, 0.41), (320, 2.27)):
        assert id_tolerance(bore) == pytest.approx(printed, abs=0.005)
    assert abs(0.009 * 320**0.93 + 0.11 - 2.27) > 0.1
    with pytest.raises(BadValue):
        id_tolerance(0)
    with pytest.raises(BadValue):
        section_tolerance(9)


def test_oring_families() -> None:
    for one, other in ((1.78, 1.8), (2.62, 2.65), (3.53, 3.55)):
        assert other in family(one)
        assert one in family(other)
    assert family(2.4) == (2.4,)
    found = find(get_kind("o-ring"), (25, 3.55))
    assert any("same family" in note for one in found.exact for note in one.notes)
    assert any("swollen" in note for note in found.notes)


def test_metric_oring() -> None:
    assert read_designation("O-ring 25 x 3")[0].sizes["CS"] == 3
    assert read_designation("JIS B 2401 P22")[0].sizes["ID"] == 21.8  # JIS B 2401, memory
    assert read_designation("DIN 3771 25 x 3,55")[0].sizes["CS"] == 3.55


# Retaining rings.


def test_ring_from_shaft_groove_or_the_ring() -> None:
    for sizes, kind in (((20,), "external circlip"), ((19, 1.3), "shaft groove")):
        assert names(kind, *sizes) == ["DIN 471 - 20 x 1.2"]
    assert "DIN 471 - 20 x 1.2" in names("loose external ring", 18.4, 1.2)
    assert names("bore groove", 49.5, 1.9) == ["DIN 472 - 47 x 1.75"]
    assert read_designation("DIN 472 47 x 1.75")[0].sizes["d2"] == 49.5


def test_a_circlip_is_on_a_shaft_or_in_a_bore() -> None:
    found = [one.designation for one in read_designation("circlip 20")]
    assert found == ["DIN 471 - 20 x 1.2", "DIN 472 - 20 x 1"]
    with pytest.raises(BadValue, match="external retaining ring or internal retaining ring"):
        find(get_kind("circlip"), (20,))


def test_wrong_thickness_is_not_in_the_tables() -> None:
    with pytest.raises(NotFound):
        read_designation("DIN 471 - 20 x 2")


def test_e_clip_is_named_by_the_groove() -> None:
    """DIN 6799 - 7 sits in a groove of 7 on shafts of 8 to 11."""
    assert names("e-clip", 7) == ["DIN 6799 - 7"]


# Washers, pins, keys, balls.


def test_washers_with_the_same_sizes_are_all_given() -> None:
    found = names("washer", 8.4, 16, 1.6)
    assert {"DIN 125-A 8.4", "ISO 7089 - 8"} <= set(found)
    assert names("washer", 8.4, 16, 1.6, standard="ISO 7089") == ["ISO 7089 - 8"]
    assert "DIN 9021 8.4" in names("penny washer", 8.4, 24, 2)


def test_thread_and_hole_names_of_washers_do_not_mix() -> None:
    """M2 is the washer with a 2.2 hole, though the M1.8 washer has a hole of 2."""
    assert read_designation("DIN 125-A M2")[0].sizes["d1"] == 2.2
    assert read_designation("DIN 125-A 2")[0].sizes["d1"] == 2
    assert read_designation("DIN 125 M8")[0].sizes["d1"] == 8.4
    assert read_designation("ISO 7089-8-200HV")[0].designation == "ISO 7089 - 8"


def test_din_9021_at_m5_is_thicker_than_iso_7093() -> None:
    din, iso = read_designation("DIN 9021 M5")[0], read_designation("ISO 7093-1 5")[0]
    assert (din.sizes["h"], iso.sizes["h"]) == (1.2, 1.0)
    assert any("ISO 7093-1" in note for note in din.notes)


def test_sealing_washer_order() -> None:
    one = read_designation("DIN 7603-A 14 x 18 x 1.5")[0]
    assert (one.sizes["d1"], one.sizes["d2"], one.sizes["h"]) == (14, 18, 1.5)
    assert any("anneal" in note for note in find(get_kind("copper washer"), (14, 18)).notes)


def test_split_pin_is_named_by_the_hole() -> None:
    """The 3.2 pin is 2.7 to 2.9 thick (ISO 1234, memory; the fitted range 11 to 14 too)."""
    assert names("split pin", 2.8) == ["ISO 1234 - 3.2"]
    assert names("split pin", 3.2, dims=["hole"]) == ["ISO 1234 - 3.2"]
    assert split_pin_for(12).designation == "ISO 1234 - 3.2"
    assert split_pin_for(12, "clevis pin").designation == "ISO 1234 - 3.2"
    with pytest.raises(BadValue, match="no split pin"):
        split_pin_for(900)
    with pytest.raises(BadValue, match="split pin in a"):
        split_pin_for(12, "nail")


def test_castle_nut_names_its_pin() -> None:
    """DIN 935-1 M12: pin 3.2 x 22."""
    assert "split pin ISO 1234 - 3.2 x 22" in read_designation("DIN 935 M12")[0].notes


def test_key_for_a_shaft() -> None:
    key = key_for_shaft(25)  # DIN 6885-1: over 22 up to 30, 8 x 7, t1 4, t2 3.3
    assert key.designation == "DIN 6885 - 8 x 7"
    assert (key.sizes["t1"], key.sizes["t2"]) == (4, 3.3)
    with pytest.raises(BadValue, match="no DIN 6885"):
        key_for_shaft(6)


def test_ball_readings_that_mislead() -> None:
    """3.97 is 5/32 in, not 4 mm; 5.55 is 7/32 in, not 5.5 (published confusion)."""
    assert names("steel ball", 3.97) == ["ball 5/32 in"]
    assert names("ball", 5.55) == ["ball 7/32 in"]
    assert set(names("ball", 3.97, error_mm=0.05)) == {"ball 5/32 in", "ball 4 mm"}
    assert read_designation("ball 4 mm")[0].sizes["d"] == 4
    assert read_designation("5/32 ball")[0].sizes["d"] == pytest.approx(25.4 * 5 / 32, abs=5e-5)
    assert read_designation("ball 1 1/4 in")[0].sizes["d"] == pytest.approx(31.75)


# Heads.


def test_a_16_or_17_flat_both_mean_m10() -> None:
    assert "ISO 4014/4017 M10" in names("hex bolt", 16, 6.4)
    assert "DIN 931/933 M10" in names("hex bolt", 17, 6.4)
    assert any("M10" in note for note in find(get_kind("hex bolt"), (16, 6.4)).notes)


def test_older_numbers_lead_to_the_same_sizes() -> None:
    for old, new in (
        ("DIN 912 M8 x 30", "ISO 4762 M8 x 30"),
        ("DIN 1481 4 x 20", "ISO 8752 4 x 20"),
        ("DIN 94 3.2 x 20", "ISO 1234 3.2 x 20"),
        ("DIN 6325 6 m6 x 20", "ISO 8734 6 x 20"),
        ("DIN 933 M8 x 20", "DIN 931 M8 x 20"),
    ):
        assert read_designation(old)[0].designation == read_designation(new)[0].designation


@pytest.mark.parametrize(
    ("text", "designation"),
    [
        ("DIN 934 - M8 - 8", "DIN 934 M8"),
        ("ISO 4762 - M6x20 - 8.8", "ISO 4762 M6 x 20"),
        ("ISO 4017 - M8 x 30 - A2-70", "ISO 4014/4017 M8 x 30"),
        ("DIN EN ISO 4032 - M10 - 10", "ISO 4032 M10"),
        ("din933 m8x30", "DIN 931/933 M8 x 30"),
        ("M12 castle nut", "DIN 935-1 M12"),
        ("grease nipple M8x1", "DIN 71412-A M8x1"),
        ("split pin 3,2x20", "ISO 1234 - 3.2 x 20"),
        ("key 8x7x40", "DIN 6885 - 8 x 7 x 40"),
        ("DIN 125-A8,4", "DIN 125-A 8.4"),
        ("DIN 7603 A14x18", "DIN 7603-A 14 x 18"),
        ("20mm external circlip", "DIN 471 - 20 x 1.2"),
        ("roll pin 4x20", "ISO 8752 - 4 x 20"),
        ("woodruff 4 x 6.5 x 16", "DIN 6888 - 4 x 6.5"),
        ("1/4-26 BSF grease nipple", "DIN 71412-A 1/4-26 BSF"),
    ],
)
def test_designations_as_people_write_them(text: str, designation: str) -> None:
    """Ways of writing from common practice; each must lead to one standard row first."""
    first = read_designation(text)[0]
    assert first.designation == designation
    assert not any("no standard length" in note for note in first.notes)


def test_a_thread_size_finds_the_washers_of_every_standard() -> None:
    standards = {one.standard.split(" (", maxsplit=1)[0] for one in read_designation("washer M8")}
    assert {"ISO 7089", "DIN 125-A", "DIN 9021", "ISO 7093-1"} <= standards


def test_countersunk_length_is_overall() -> None:
    assert any("overall" in note for note in read_designation("DIN 963 M5 x 20")[0].notes)
    assert any("under the head" in note for note in read_designation("DIN 84 M5 x 20")[0].notes)


def test_standard_lengths() -> None:
    assert steps_about("ISO 4017", 23.4) == (25, 20)
    assert {6.0, 8.0} <= set(lengths("ISO 1580"))  # a source prints 68
    assert 68.0 not in lengths("ISO 1580")
    with pytest.raises(BadValue, match="no lengths listed"):
        lengths("ISO 1")


def test_bulbs() -> None:
    """IEC 60061: a cap is named by its diameter, of a wedge by the second figure, its width."""
    assert read_designation("P21/5W")[0].designation == "BAY15d"
    assert any("not interchangeable" in note for note in find(get_kind("bulb"), (15,)).notes)
    for one in get_kind("bulb cap").rows():
        name = re.fullmatch(r"[A-Z]+(?:[\d.]+x)?([\d.]+)[sdtqp]?", one["cap"])
        assert name is None or float(name[1]) == float(one["principal_dia_mm"])


# Refusals and odd input.


@pytest.mark.parametrize("name", STANDARDS)
def test_every_standard_leads_to_rows(name: str) -> None:
    kind_name, begins = STANDARDS[name]
    kind = get_kind(kind_name)
    assert any(kind.standard(row).startswith(begins) for row in kind.rows())
    assert get_kind(name).name in {kind_name}


@pytest.mark.parametrize(
    ("kind", "sizes", "options", "message"),
    [
        ("wheel", (1,), {}, "no kind of hardware called 'wheel'; there are: bearing"),
        ("bearing", (), {}, "no size given"),
        ("bearing", (None, None), {}, "no size given"),
        ("bearing", (0, 47, 14), {}, "must be more than zero"),
        ("bearing", (-1,), {}, "must be more than zero"),
        ("bearing", (math.nan,), {}, "must be more than zero"),
        ("bearing", (math.inf,), {}, "must be more than zero"),
        ("bearing", (1, 2, 3, 4), {}, "4 sizes for a bearing; they are d, D, B"),
        ("bearing", (20,), {"dims": ["z"]}, "has no size 'z'; it has d .bore."),
        ("bearing", (20, 47), {"dims": ["d"]}, "2 sizes for a bearing"),
        ("bearing", (20,), {"error_mm": -1}, "measuring error"),
        ("bearing", (20,), {"error_mm": math.nan}, "measuring error"),
        ("bearing", (20,), {"limit": -1}, "limit -1"),
        ("plain washer", (8.4,), {"standard": "DIN 1"}, "no plain washer to 'DIN 1'; the tables"),
    ],
)
def test_by_size_refuses(
    kind: str, sizes: tuple[float, ...], options: dict[str, object], message: str
) -> None:
    with pytest.raises(BadValue, match=message):
        find(get_kind(kind), sizes, **options)  # type: ignore[arg-type]


def test_a_size_not_measured_is_left_out() -> None:
    found = find(get_kind("bearing"), (20, None, 14))
    assert set(found.asked) == {"d", "B"}
    assert "6204" in {one.designation for one in found.exact}


def test_nothing_listed_is_no_answer_but_no_crash() -> None:
    assert find(get_kind("bearing"), (14.5, 35, 11), limit=0).best is None


@pytest.mark.parametrize("text", ["", "   ", "hello", "M8", "M20", "!!!", "20 x 35"])
def test_unreadable_designations(text: str) -> None:
    with pytest.raises(NotationError):
        read_designation(text)


@pytest.mark.parametrize(
    "text", ["6399", "DIN 471 - 4711", "AS568-999", "33 x 44 x 55", "ball 9/11 in", "DIN 125-A M77"]
)
def test_readable_but_not_listed(text: str) -> None:
    with pytest.raises(NotFound, match="not in the tables"):
        read_designation(text)


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused_in_one_line(text: str) -> None:
    message = "read"
    try:
        assert read_designation(text)
    except StoresError as error:
        message = str(error)
    assert message
    assert "\n" not in message


@given(
    st.from_regex(
        r"(DIN|ISO|AS|JIS B)? ?[0-9]{1,5}(-[A-C0-9])? ?-? ?M?[0-9.,/]{1,5}( ?x ?[0-9.]{1,5}){0,3}",
        fullmatch=True,
    )
)
def test_anything_like_a_designation_is_read_or_refused(text: str) -> None:
    message = "read"
    try:
        assert read_designation(text)
    except StoresError as error:
        message = str(error)
    assert message


@given(
    st.sampled_from(["bearing", "washer", "o-ring", "e-clip", "hex nut"]),
    st.lists(st.floats(0.5, 120), min_size=1, max_size=3),
    st.floats(0, 0.3),
)
def test_by_size_is_sound(kind: str, sizes: list[float], error: float) -> None:
    """Exact pieces miss by no more than error and band; a larger error never loses one."""
    most = max(len(order) for order in get_kind(kind).orders)
    found = find(get_kind(kind), sizes[:most], error_mm=error)
    wider = find(get_kind(kind), sizes[:most], error_mm=error + 0.2)
    exact = [one.designation for one in found.exact]
    assert set(exact) <= {one.designation for one in wider.exact}
    for one in (*found.exact, *found.nearest):
        for name, miss in one.misses.items():
            assert miss == pytest.approx(found.asked[name] - one.sizes[name], abs=1e-4)


def opened_by(code: str) -> tuple[set[str], set[str]]:
    """Run code in a fresh Python; give the tables it opened and the modules it loaded."""
    script = (
        "import sys\n"
        "tables = set()\n"
        "def hook(event, args):\n"
        "    if event == 'open' and str(args[0]).endswith('.csv'):\n"
        "        tables.add(str(args[0]).replace('\\\\', '/').rpartition('/')[2])\n"
        "sys.addaudithook(hook)\n"
        f"{code}\n"
        "print(*sorted(tables))\n"
        "print(*sorted(sys.modules))\n"
    )
    ran = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    tables, modules = ran.stdout.splitlines()
    return set(tables.split()), set(modules.split())


def test_naming_the_package_loads_no_table_and_no_subject() -> None:
    tables, modules = opened_by("import stores.handbook.hardware")
    assert tables == set()
    assert "stores.handbook.hardware.bearings" not in modules
    assert "csv" not in modules


def test_tables_are_opened_per_kind() -> None:
    tables, _ = opened_by(
        "from stores.handbook.hardware.catalogue import get_kind\n"
        "from stores.handbook.hardware.reading import find\n"
        "find(get_kind('hex nut'), [13, 6.5])"
    )
    assert tables == {"hardware_hex_nuts.csv"}
    tables, _ = opened_by(
        "from stores.handbook.hardware.reading import read_designation; read_designation('6204')"
    )
    assert tables
    assert not {name for name in tables if "bearing" not in name and "bulb" not in name}
