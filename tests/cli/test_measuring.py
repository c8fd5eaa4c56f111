"""Find by measurement, and what needs no stores at all: threads and hardware."""

import pytest
from conftest import Bench, kept


@kept
def british(bench: Bench) -> Bench:
    bench("strip", "Engine/Clutch", "clutch cover", "4 M6x25 hex bolt", "2 M6x40 hex bolt")
    bench("strip", "Electrics", "magneto", "3 2BA x 1/2 cheese head screw", "4 of 5 0BA x 3/4 bolt")
    bench("strip", "Frame", "chain guard", "2 off 1/4-26 cycle x 3/4 hex bolt")
    return bench


def test_the_joint_with_bag_and_step(british: Bench) -> None:
    shown = british("find", "--od", "5.9", "--pitch", "1.0", "--length", "24.8", "--angle", "60")
    assert "1.2  4 M6 x 25 hex bolt" in shown
    assert "step 1 Engine / Clutch: clutch cover" in shown
    assert "in bag A001N" in shown
    best = british.json("find", "--od", "5.9", "--pitch", "1", "-l", "24.8")["joints"][0]
    assert best["item"]["item"] == "1.2"
    assert best["probability"] > 0.9


def test_an_inch_length_and_a_thread_that_is_missing_one(british: Bench) -> None:
    best = british.json("find", "--od", "5.9", "--pitch", "1", "-l", "0.752 in")["joints"][0]
    assert best["item"]["item"] == "2.3"
    assert best["missing"] == 1


@pytest.mark.parametrize(
    ("words", "names"),
    [
        (["--od", "5.9", "--pitch", "1.0"], {"M6", "0BA"}),
        (["--od", "4.68", "--over", "8.0 over ten"], {"2BA", "#10-32 UNF", "M5"}),
        (["--od", "6.2", "--pitch", "26 tpi"], {"1/4-26 cycle", "1/4 BSF"}),
    ],
)
def test_twins_are_said_with_what_tells_them_apart(
    british: Bench, words: list[str], names: set[str]
) -> None:
    data = british.json("find", *words)
    assert any(len(names & set(twins["threads"])) >= 2 for twins in data["identified"]["twins"])
    assert "Look alike: " in british("find", *words)


def test_paint_is_asked_about_where_the_answer_turns_on_it(british: Bench) -> None:
    """6.1 mm with the paint on may be an M6, which is 5.974 mm at most (ISO 965-2, 6g)."""
    shown = british("reckon", "thread", "--od", "6.1")
    assert "Painted or rusty? The likeliest is: if painted, M6;" in shown
    assert "Say which with --surface." in shown
    told = british.json("reckon", "thread", "--od", "6.1", "--surface", "Painted")
    assert told["threads"][0]["thread"] == "M6"
    assert told["turns_on"] == []
    assert "rusty?" not in british("find", "--od", "6.1", "--surface", "painted")


def test_the_right_joint_is_found_among_many_unlikely_ones(bench: Bench) -> None:
    lines = ["2 off 1/4-20 UNC x 1 hex bolt"] * 15
    bench("strip", "Engine", "left", *lines)
    bench("strip", "Engine", "right", *lines)
    bench("strip", "Frame", "guard", "3 off 1/4 BSF x 1 hex bolt")
    words = ["--od", "6.30", "--pitch", "26 tpi", "--length", "25.3"]
    best = bench.json("find", *words, "--head", "hex")["joints"][0]
    assert (best["item"]["item"], best["item"]["as_specified"]) == ("3.2", "1/4 BSF x 1 hex bolt")
    assert best["probability"] > 0.9


def test_a_joint_is_found_by_what_should_be_there(bench: Bench) -> None:
    bench("strip", "Engine", "mount", "2 M10x60 bolt (should be 3/8 BSF x 2 bolt)")
    shown = bench("find", "--od", "9.45", "--pitch", "20 tpi", "--length", "50.8")
    assert "1.2  2 off 3/8 BSF x 2 bolt" in shown
    assert "2 SHORT" in shown
    assert "found M10 x 60 bolt" in shown
    shown = bench("find", "--od", "9.8", "--pitch", "1.5", "--length", "60")
    assert "1.2  2 M10 x 60 bolt" in shown
    assert "SHOULD BE 3/8 BSF x 2 bolt" in shown
    assert "SHORT" not in shown


def test_the_rule_for_the_length_is_said(british: Bench) -> None:
    assert "countersunk" in british(
        "find", "--od", "5.9", "--pitch", "1", "--length", "25", "--head", "csk"
    )


def test_nothing_recorded_fits(british: Bench) -> None:
    assert "Nothing recorded fits" in british("find", "--od", "11.9", "--pitch", "1.75")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["find", "--od", "0.25"], "0.25 in"),
        (["find", "--od", "-3"], "-3"),
        (["find", "--od", "wide"], "wide"),
        (["find", "--od", "5.9", "--bore", "5.0"], "one of them"),
        (["find", "clutch", "--od", "5.9"], "no words"),
        (["find", "--od", "5.9", "--tool", "eye"], "eye"),
        (["find", "--od", "5.9", "--surface", "wet"], "wet"),
        (["find", "--od", "5.9", "--length", "0.9"], "0.9"),
        (["find", "--angle", "90"], "90"),
        (["find", "--od", "5.9", "--head", "banana"], "banana"),
        (["find", "--head", "banana"], "banana"),
        (["thread"], "thread"),
        (["thread", "M6", "--od", "6"], "not both"),
        (["thread", "M6x40"], "M6"),
        (["thread", "frog"], "frog"),
        (["hardware", "bearing", "20", "wide"], "wide"),
        (["hardware", "bearing", "-20", "47", "14"], "20"),
        (["hardware", "frog"], "frog"),
        (["hardware", "bearing", "0", "47", "14"], "0"),
    ],
)
def test_bad_measurements_are_refused_in_one_line(
    british: Bench, words: list[str], said: str
) -> None:
    assert said in british.refused(*words)


class TestWithoutAStores:
    """No file is opened, none is made."""

    def test_a_thread_by_its_name(self, tmp_path) -> None:  # type: ignore[no-untyped-def]
        bench = Bench(tmp_path / "none.db")
        shown = bench("reckon", "thread", "1/4", "BSF")
        assert "26 tpi" in shown
        assert "55 degrees" in shown
        data = bench.json("reckon", "thread", "M8")
        assert data["stress_area_mm2"] == pytest.approx(36.6, abs=0.05)  # ISO 898-1 table 4
        assert not bench.file.exists()

    @pytest.mark.parametrize(
        ("words", "says"),
        [
            (["1/2", "NPT"], "0.8400 in"),  # ASME B1.20.1: outside diameter of 1/2 in pipe
            (["R", "1/4"], "13.157 mm"),  # ISO 7-1: gauge diameter
            (["Tr", "20x4"], "15.500 mm"),  # ISO 2904: core of the bolt
            (["Pg", "11"], "18.600 mm"),  # DIN 40430: outside diameter
            (["1/4", "brass"], "26 tpi"),
        ],
    )
    def test_a_thread_beside_the_bolt_threads(self, tmp_path, words, says) -> None:  # type: ignore[no-untyped-def]
        bench = Bench(tmp_path / "none.db")
        assert says in bench("reckon", "thread", *words)
        assert bench.json("reckon", "thread", *words)["note"]
        assert not bench.file.exists()

    def test_a_thread_by_measurement(self, tmp_path) -> None:  # type: ignore[no-untyped-def]
        assert "2BA" in Bench(tmp_path / "none.db")(
            "reckon", "thread", "--od", "4.68", "--angle", "47.5"
        )

    @pytest.mark.parametrize(
        ("words", "designation"),
        [
            (["bearing", "20", "47", "14"], "6204"),  # ISO 15, dimension series 02
            (["bearing", "20x47x14"], "6204"),
            (["shaft", "seal", "20", "35", "7"], "20 x 35 x 7"),
            (["oil", "seal", "20x35x7"], "20 x 35 x 7"),
        ],
    )
    def test_hardware_by_its_size(self, tmp_path, words, designation) -> None:  # type: ignore[no-untyped-def]
        data = Bench(tmp_path / "none.db").json("reckon", "hardware", *words)
        assert data["exact"][0]["designation"] == designation

    def test_the_nearest_and_by_how_much_it_misses(self, tmp_path) -> None:  # type: ignore[no-untyped-def]
        shown = Bench(tmp_path / "none.db")("reckon", "hardware", "bearing", "20", "46", "14")
        assert "None is just that size" in shown
        assert "6204" in shown
        assert "D -1 mm" in shown

    def test_the_kinds(self, tmp_path) -> None:  # type: ignore[no-untyped-def]
        assert "bearing" in Bench(tmp_path / "none.db")("reckon", "hardware")


def test_a_length_beside_a_thread_lists_that_length_alone(bench: Bench) -> None:
    """M3 x 4 and M3 x 6 are not M3 x 5: grade B is 0.6 mm either way (js17, ISO 4759-1)."""
    bench("strip", "Engine", "cover", "1 M3x4 bolt", "1 M3x5 bolt", "1 M3x6 bolt")
    found = bench.json("find", "--thread", "M3", "--length", "5")["items"]
    assert [each["as_found"] for each in found] == ["M3 x 5 bolt"]
