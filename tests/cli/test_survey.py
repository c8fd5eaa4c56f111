"""The survey on screen and on paper, with the lists that come with the program."""

import re
from pathlib import Path

import pdfplumber
import pytest
from conftest import Bench

from stores.planning.survey import Look, SurveyList, read_list
from stores.resources import templates

LISTS = {
    kind: read_list(path.read_text(encoding="utf-8"), kind, path.name)
    for kind, path in templates("surveys", ".txt").items()
}

# What a two-wheeler was asked before other kinds had lists: the questions, the writing lines, the
# measurement, whether the side is asked, the caution.
TWO_WHEELER = [
    (
        "What is there",
        [
            (
                "Frame and engine numbers, photographed; do they agree with the papers?",
                2,
                "",
                False,
                "",
            ),
            (
                "Missing parts, against the parts book or a photograph of the model",
                3,
                "",
                False,
                "",
            ),
            ("Not original: parts, colours, fasteners of another thread", 2, "", False, ""),
            ("Repairs by earlier owners: welds, sleeves, inserts, sealant, wire", 2, "", True, ""),
            ("Broken, cracked, bent, seized; heads already rounded", 2, "", True, ""),
        ],
    ),
    (
        "While it runs",
        [
            (
                "Compression, warm, throttle open: dry, then wet with a spoon of oil",
                1,
                "compression",
                False,
                "",
            ),
            ("Starting: cold, hot; how many kicks, which settings", 1, "", False, ""),
            ("Charging voltage at a fast tickover, lights off and on", 1, "charging", False, ""),
            (
                "Battery at rest",
                1,
                "battery at rest",
                False,
                "Hydrogen and acid: ventilate, no sparks, rings off.",
            ),
            ("Smoke: colour, when", 1, "", False, ""),
            ("Noises: where, at what speed, cold or hot", 2, "", True, ""),
            ("Gears: which jump out, grate, will not go in", 1, "", False, ""),
            ("Clutch: slips, drags; free play", 1, "", False, ""),
            ("Lights, horn, ignition that come and go; with what movement", 2, "", False, ""),
            (
                "Leaks, wiped clean and run: oil, fuel, coolant; from which joint",
                3,
                "",
                True,
                "Fuel: no flame or spark, ventilate.",
            ),
        ],
    ),
    (
        "Standing still",
        [
            (
                "Brakes: bind, pull, lever travel",
                1,
                "",
                True,
                "Old linings may hold asbestos: no air line, no dry brushing.",
            ),
            ("Steering: notch, play; wheel bearings, spokes, rims", 2, "", False, ""),
            ("Fork, suspension, spindles, bushes: play and stiffness", 1, "", True, ""),
            ("Chain, sprockets, belts: wear, alignment", 1, "", False, ""),
            ("Tank inside: rust, old sealer", 1, "", False, ""),
            (
                "Wiring: joints by hand, bare wire, earths; a picture of every joint",
                2,
                "",
                False,
                "",
            ),
            ("Routing of cables, pipes and hoses: pictures from both sides", 1, "", True, ""),
            (
                "End float and play in shafts and wheels, before slackening",
                2,
                "end float",
                False,
                "",
            ),
        ],
    ),
]


def looks(each: SurveyList) -> list[Look]:
    return [look for part in each.parts for look in part.looks]


def text_of(path: Path) -> list[str]:
    with pdfplumber.open(path) as pdf:
        return [" ".join((page.extract_text() or "").split()) for page in pdf.pages]


def test_there_is_a_list_for_each_kind() -> None:
    assert set(LISTS) == {
        "two-wheeler", "stationary-engine", "gearbox-axle", "belt-treadle", "electrical",
        "mechanism",
    }  # fmt: skip


def test_a_two_wheeler_is_asked_what_it_was_asked_before() -> None:
    assert [
        (
            part.name,
            [(look.text, look.lines, look.reading, look.sides, look.caution)
             for look in part.looks],
        )
        for part in LISTS["two-wheeler"].parts
    ] == TWO_WHEELER  # fmt: skip
    assert LISTS["two-wheeler"].note == "Left and right as seen from the seat."


@pytest.mark.parametrize("kind", sorted(LISTS))
def test_the_sheet_asks_all_of_a_kind(bench: Bench, tmp_path: Path, kind: str) -> None:
    path = tmp_path / "survey.pdf"
    said = bench("machine", "survey", "--kind", kind, "--pdf", str(path))
    assert said.startswith(f"Recorded: Orrick Plover is of the kind {kind}\n")
    pages = text_of(path)
    assert len(pages) == 1 or kind == "two-wheeler"
    words = "".join(" ".join(pages).split())
    for part in LISTS[kind].parts:
        for text in (part.name, part.caution):
            assert "".join(text.split()) in words
    for look in looks(LISTS[kind]):
        assert "".join(f"! {look.caution}".split()) in words or not look.caution
    with pdfplumber.open(path) as pdf:
        beside = 126.0 * 72 / 25.4  # writing room begins there, letters for the sides beyond it
        left = "".join(
            "".join((page.crop((0, 0, beside, page.height)).extract_text() or "").split())
            for page in pdf.pages
        )
    for look in looks(LISTS[kind]):
        assert "".join(look.text.split())[:30] in left


@pytest.mark.parametrize("kind", sorted(LISTS))
def test_the_screen_asks_all_of_a_kind_in_80_columns(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, kind: str
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    said = bench("machine", "survey", "--kind", kind)
    assert max(map(len, said.splitlines())) <= 80
    words = " ".join(said.split())
    for part in LISTS[kind].parts:
        assert part.name in words
        assert part.caution in words
        for look in part.looks:
            mark = "[ ] " if look.reading else "- "
            assert mark + look.text in words
            assert look.caution in words


# Common practice, no source: what must be warned of before hands go near.
@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("belt-treadle", ["pinch", "locked off", "comes? to rest|come to rest", "asbestos"]),
        ("stationary-engine", ["flywheel keeps its energy", "kicks back", "Fuel", "asbestos",
                               "gas kills", "High voltage", "Scalding"]),
        ("electrical", ["Capacitors stay charged", "Mains kills", "locked off", "proved dead",
                        "asbestos", "competent person", "PCB"]),
        ("gearbox-axle", ["stands", "asbestos", "springs fly", "hanging load", "chocked"]),
        ("mechanism", ["springs", "let down", "load that hangs", "lead", "pinch"]),
        ("two-wheeler", ["Hydrogen", "Fuel", "asbestos"]),
    ],
)  # fmt: skip
def test_each_kind_has_its_cautions(bench: Bench, kind: str, words: list[str]) -> None:
    said = " ".join(bench("machine", "survey", "--kind", kind).split())
    for each in words:
        assert re.search(each, said, re.IGNORECASE), each


@pytest.mark.parametrize("kind", sorted(set(LISTS) - {"two-wheeler"}))
def test_only_a_two_wheeler_is_asked_about_kicks_horn_and_forks(kind: str) -> None:
    each = LISTS[kind]
    asked = " ".join(look.text for look in looks(each)).casefold()
    for word in ("kicks", "horn", "forks", "front fork", "handlebar", "saddle", "from the seat"):
        assert word not in asked
    assert "from the seat" not in each.note


def test_other_words_for_a_kind_are_no_list_of_another() -> None:
    for kind, each in LISTS.items():
        for word in each.also:
            shared = {other for other, its in LISTS.items() if word in its.also}
            assert shared == {kind} or word in ("cultivator", "rotary hoe")
            assert word.replace(" ", "-") not in LISTS


def test_a_machine_is_added_with_its_kind(bench: Bench) -> None:
    assert "Kind: belt-treadle" in bench("machine", "add", "Brindle 3", "--kind", "treadle lathe")
    assert bench.json("machine", "survey", "-m", "Brindle")["kinds"] == ["belt-treadle"]


def test_a_first_machine_of_no_known_kind_begins_no_file(tmp_path: Path) -> None:
    bench = Bench(tmp_path / "new.db")
    assert "boat" in bench.refused("machine", "add", "Tern", "--kind", "boat")
    assert not bench.file.exists()
    (tmp_path / "new.templates").mkdir()
    (tmp_path / "new.templates" / "boat.txt").write_text("[Hull]\nFrames")
    assert "Kind: boat" in bench("machine", "add", "Tern", "--kind", "boat")


def test_several_kinds_have_a_page_each_and_what_is_on_record(bench: Bench, tmp_path: Path) -> None:
    bench("snag", "machine", "leak", "weeps at the bottom", "--side", "left")
    path = tmp_path / "survey.pdf"
    bench("machine", "survey", "--kind", "engine", "--kind", "gearbox", "--pdf", str(path))
    pages = text_of(path)
    starts = [page for page in pages if "survey before the strip-down Stationary" in page
              or "survey before the strip-down Gearbox" in page]  # fmt: skip
    assert len(starts) == 2
    assert "leak: weeps at the bottom, left" in pages[-1]


def test_a_bad_list_is_one_line_and_writes_nothing(bench: Bench, tmp_path: Path) -> None:
    own = tmp_path / "mine"
    own.mkdir()
    (own / "mechanism.txt").write_text("[Rollers\n")
    said = bench.refused(
        "machine",
        "survey",
        "--kind",
        "mechanism",
        "--templates",
        str(own),
        "--pdf",
        str(tmp_path / "a.pdf"),
    )
    assert "mechanism.txt, line 1: the heading '[Rollers' has no bracket at its end" in said
    assert not (tmp_path / "a.pdf").exists()


def test_a_reading_answers_its_question(bench: Bench) -> None:
    assert bench.json("machine", "survey", "--kind", "moped")["readings"]["compression"] is False
    bench("figure", "reading", "compression", "68 psi")
    assert bench.json("machine", "survey")["readings"]["compression"] is True
    assert "[x] Compression" in bench("machine", "survey")
