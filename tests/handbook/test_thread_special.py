"""Taper pipe, trapezoidal, conduit, brass and model engineers' threads.

Checked against rows of the standards' own tables, from memory: ASME B1.20.1 table 2 (E0, inches),
ISO 2904 (d2, d3, D1), ISO 7-1 (d, d2, d1 at the gauge plane), DIN 40430 (core).
"""

import pytest

from stores.errors import NotFound
from stores.handbook.thread import all_threads
from stores.handbook.thread.special import SpecialThread, special, special_threads

# ASME B1.20.1 table 2: pitch diameter at the small end, E0, inches.
E0 = {
    "1/16": 0.27118, "1/8": 0.36351, "1/4": 0.47739, "3/8": 0.61201, "1/2": 0.75843,
    "3/4": 0.96768, "1": 1.21363, "1 1/4": 1.55713, "1 1/2": 1.79609, "2": 2.26902,
}  # fmt: skip
# ISO 2904: pitch diameter, core of the bolt, bore of the nut, mm.
TR = {
    "Tr 8x1.5": (7.25, 6.2, 6.5), "Tr 10x2": (9.0, 7.5, 8.0), "Tr 12x3": (10.5, 8.5, 9.0),
    "Tr 20x4": (18.0, 15.5, 16.0), "Tr 30x6": (27.0, 23.0, 24.0), "Tr 40x7": (36.5, 32.0, 33.0),
    "Tr 50x8": (46.0, 41.0, 42.0), "Tr 60x14": (53.0, 44.0, 46.0),
}  # fmt: skip
# ISO 7-1: diameters at the gauge plane, mm; they are those of ISO 228-1.
R = {
    "R 1/8": (9.728, 9.147, 8.566), "R 1/4": (13.157, 12.301, 11.445),
    "R 1/2": (20.955, 19.793, 18.631), "R 1": (33.249, 31.770, 30.291),
}  # fmt: skip
# DIN 40430: core diameter, mm. That of Pg 48 is not remembered for certain.
PG = {"7": 11.28, "9": 13.86, "11": 17.26, "13.5": 19.06, "16": 21.16, "21": 26.78, "29": 35.48,
      "36": 45.48, "42": 52.48}  # fmt: skip


@pytest.mark.parametrize(("size", "e0"), E0.items())
def test_american_taper_pipe(size: str, e0: float) -> None:
    thread = special(f"{size} NPT")
    assert thread is not None
    assert thread.pitch_diameter_mm / 25.4 == pytest.approx(e0, abs=0.6e-5)
    assert thread.tapered


@pytest.mark.parametrize(("name", "sizes"), TR.items())
def test_trapezoidal(name: str, sizes: tuple[float, float, float]) -> None:
    thread = special(name)
    assert thread is not None
    assert (thread.pitch_diameter_mm, thread.root_mm, thread.minor_mm) == pytest.approx(sizes)
    assert thread.designation == name


@pytest.mark.parametrize(("name", "sizes"), R.items())
def test_british_taper_pipe(name: str, sizes: tuple[float, float, float]) -> None:
    thread = special(name)
    assert thread is not None
    found = (thread.major_mm, thread.pitch_diameter_mm, thread.minor_mm)
    assert found == pytest.approx(sizes, abs=0.6e-3)
    # The gauge plane has the sizes of the parallel thread (ISO 7-1, ISO 228-1).
    parallel = next(t for t in all_threads() if t.designation == name.replace("R", "G"))
    assert parallel.major_mm == thread.major_mm


@pytest.mark.parametrize(("size", "core"), PG.items())
def test_conduit(size: str, core: float) -> None:
    thread = special(f"Pg {size}")
    assert thread is not None
    assert thread.minor_mm == pytest.approx(core, abs=0.02)  # the table rounds the depth


def test_brass_and_model_engineers_threads_have_the_whitworth_form() -> None:
    """BS 84: depth 0.640327 p. 1/4 x 26: 0.25 - 1.280654/26 = 0.2007 in, as 1/4 BSF."""
    brass, model = special("1/4 x 26 brass"), special("1/4 x 40 ME")
    assert brass is not None
    assert model is not None
    assert brass.minor_mm / 25.4 == pytest.approx(0.2007, abs=5e-5)
    assert model.minor_mm / 25.4 == pytest.approx(0.25 - 1.280654 / 40, abs=5e-5)


@pytest.mark.parametrize("thread", special_threads(), ids=lambda t: t.designation)
def test_each_is_whole_and_found_by_its_name(thread: SpecialThread) -> None:
    assert special(thread.designation) == thread
    assert thread.major_mm > thread.pitch_diameter_mm > thread.minor_mm >= thread.root_mm > 0
    assert (thread.gauge_mm is not None) is thread.tapered
    if thread.tapping_drill_mm is not None and thread.family != "Tr":
        # A taper tap cuts into the wall of a parallel hole: smaller than the core at the big end.
        big = thread.minor_mm + (thread.gauge_mm or 0) / 16
        assert thread.minor_mm - (thread.gauge_mm or 0) / 16 <= thread.tapping_drill_mm <= big
    assert thread.source
    assert thread.note


def test_they_stay_out_of_the_list_that_a_bolt_is_compared_with() -> None:
    names = {thread.designation for thread in all_threads()}
    assert names.isdisjoint(thread.designation for thread in special_threads())


SPELLINGS = {
    '1/2" npt': "1/2 NPT", "1/2-14 NPT": "1/2 NPT", "NPT 1/2": "1/2 NPT", "1-1/4 NPTF": "1 1/4 NPT",
    "1/4 bspt": "R 1/4", "R1/4": "R 1/4", "Rc 1/4": "R 1/4", "Rp 1 1/2": "R 1 1/2",
    "tr20x4": "Tr 20x4", "Tr 20x4-7e": "Tr 20x4", "Tr 8 x 1,5": "Tr 8x1.5",
    "trapezoidal 20 x 4": "Tr 20x4",
    "PG11": "Pg 11", "Pg 13,5": "Pg 13.5", "1/4 brass": "1/4-26 brass", "3/8 BSB": "3/8-26 brass",
    "3/16 x 40 ME": "3/16-40 ME", "3/16 ME": "3/16-40 ME",
}  # fmt: skip


@pytest.mark.parametrize(("text", "name"), SPELLINGS.items())
def test_spellings(text: str, name: str) -> None:
    thread = special(text)
    assert thread is not None
    assert thread.designation == name


@pytest.mark.parametrize(
    "text", ["M6", "1/4 BSF", "2BA", "G 1/8", "1/8 BSP", "1/4-26 cycle", "NPT"]
)
def test_other_threads_are_left_alone(text: str) -> None:
    assert special(text) is None


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("5/8 NPT", "near it: 1/2 NPT"),
        ("Tr 20", "say which: Tr 20x2, Tr 20x4"),
        ("Tr 20x3", "near it: Tr 20x2, Tr 20x4"),
        ("Pg 12", "near it: Pg 11"),
        ("1/4 ME", "say which: 1/4-40 ME, 1/4-32 ME"),
    ],
)
def test_what_no_table_holds_is_named_with_its_family(text: str, says: str) -> None:
    with pytest.raises(NotFound, match=says):
        special(text)
