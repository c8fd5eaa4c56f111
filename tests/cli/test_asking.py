"""Calculators ask for what is missing, one thing at a time: at a terminal, and only there."""

import re
import signal
from pathlib import Path

import pytest
from conftest import Bench
from terminals import Terminal, terminal

from stores.cli.reckon import CALCULATORS
from stores.usecases.reckoning import asking
from stores.usecases.reckoning.asking import next_question
from stores.wording.reckoning import QUESTIONS


def answered(at: Terminal, *pairs: tuple[str, str]) -> None:
    for prompt, answer in pairs:
        at.wait_for(prompt)
        at.type(f"{answer}\n")


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Give a name of a stores that is not there: the calculators need none."""
    return tmp_path / "none.db"


def test_torque_asks_for_everything_one_at_a_time(file: Path) -> None:
    with terminal(file, "reckon", "torque") as at:
        answered(
            at,
            ("Thread, as M8", "M6"),
            ("Mark on the head", "8.8"),
            ("dry, oiled", "oiled"),
            ("Into which metal", "aluminium"),
            ("Length of thread in the hole", "8 mm"),
        )
        assert at.ended() == 0
        shown = " ".join(at.shown.split())
        assert "stores reckon torque M6 8.8 oiled --into aluminium --engaged '8 mm'" in shown
        assert "into cast aluminium" in shown


def test_what_was_typed_is_not_asked_again(file: Path) -> None:
    with terminal(file, "reckon", "torque", "M8", "8.8") as at:
        answered(at, ("dry, oiled", "oiled"), ("Into which metal", "a nut"))
        assert at.ended() == 0
        # VDI 2230 has 24.6 N m for M8 8.8 at friction 0.12.
        assert "Set 24 N m" in at.shown
        assert "Mark on the head" not in at.shown


def test_nothing_is_asked_where_nothing_is_missing(file: Path) -> None:
    with terminal(file, "reckon", "torque", "M8", "8.8", "oiled") as at:
        assert at.ended() == 0
        assert at.shown.startswith("Set 24 N m")


def test_an_answer_that_cannot_be_read_is_asked_again(file: Path) -> None:
    with terminal(file, "reckon", "torque") as at:
        answered(at, ("Thread, as M8", "banana"))
        at.wait_for("not a thread")
        answered(at, ("Thread, as M8", ""))
        at.wait_for("needed; Ctrl-C stops")
        answered(at, ("Thread, as M8", "M8"), ("Mark on the head", "99.9"))
        answered(at, ("there is no 99.9(?s:.)*Mark on the head", ""), ("dry, oiled", "wet"))
        answered(at, ("no friction(?s:.)*unknown\\?", "dry"), ("Into which metal", ""))
        assert at.ended() == 0
        assert "Strength of the bolt not known" in at.shown


def test_it_can_be_given_up(file: Path) -> None:
    with terminal(file, "reckon", "convert") as at:
        at.wait_for("The amount with its unit")
        at.process.send_signal(signal.SIGINT)
        assert at.ended() == 130
        assert "Traceback" not in at.shown


def test_the_end_of_what_is_typed_is_a_refusal(file: Path) -> None:
    with terminal(file, "reckon", "convert") as at:
        at.wait_for("The amount with its unit")
        at.type("\x04")
        assert at.ended() == 2
        assert "is missing" in at.shown


def test_without_a_name_the_calculators_are_shown_and_one_is_asked_for(file: Path) -> None:
    with terminal(file, "reckon") as at:
        at.wait_for("spark plugs and drain plugs")
        answered(
            at, ("Which one", "nonsense"), ("one of: torque(?s:.)*Which one", "plug"),
            ("Thread of the plug", "M14"), ("spark or drain", "s"), ("The seat", "gasket"),
            ("The head", "aluminium"),
        )  # fmt: skip
        assert at.ended() == 0
        assert "--seat gasket --head aluminium" in at.shown
        assert "spark plug M14, gasket seat, aluminium head" in " ".join(at.shown.split())


def test_no_calculator_is_an_answer_too(file: Path) -> None:
    with terminal(file, "reckon") as at:
        answered(at, ("Which one", ""))
        assert at.ended() == 0


CONVERSATIONS = {
    "order": ((("Holes", "4 on 60"), ("Final torque", "24")), "h1 h3 h2 h4"),
    "slots": ((("Thread of the nut", "M12"), ("Degrees past", "40")), "20 degrees"),
    "oiled": ((("figure for dry", "18 lbf ft"), ("Thread, as", "M8")), "dry to oiled"),
    "fill": ((("Inside measures", "box 100 80 20"), ("which level", "")), "160 ml"),
    "oil": ((("as on the can", "80W-90 GL-5"), ("bronze", "yes")), "Keep it out"),
    "fork": ((("fork tube", "32"), ("has to come up", "15")), "12.1 ml"),  # pi/4 3.2^2 1.5
    "mixture": ((("Petrol to oil", "25:1"), ("How much petrol", "5 l")), "200 ml"),
    "compression": ((("Compression ratio", ""), ("dry test", "88,71")), "cylinder 2"),
    "battery": ((("Volts at rest", "12.4"),), "state of charge"),
    "fit": ((("Size and classes", "12 H7/k6"),), "12 um interference"),  # ISO 286-2
    "wear": (
        (("measured", "19.91"), ("when new", ""), ("limit", "19.90"), ("larger or", "smaller")),
        "0.010 mm within",
    ),
    "bore": (
        (("A height", "top 47.55 47.58"), ("next height", "low 47.52 47.53"), ("next height", ""),
         ("when new", "47.5")),
        "0.030 mm, at top",
    ),
    "convert": ((("amount with", "30 psi"), ("which unit", "bar")), "2.06843 bar"),
    "grip": (
        (("Thread, as", "1/4 BSF"), ("What is clamped", "20"), ("Into which metal", "")),
        "bolt 1/4 BSF x 1 1/8 in",  # 20 + a nut of 5.08 + 2 threads of 0.98: 27.0 mm
    ),
    "bead": (
        (("thick the bead", "3"), ("outline", "640"), ("Bolt holes", "2"), ("Diameter of", "14")),
        "5.1 ml",  # pi/4 3^2 (640 + 2 pi 14)
    ),
    "locking": (
        (("which thread", "6 M8"), ("next thread", "1/4 BSF"), ("next thread", "")),
        "M8: 6 at 0.10 ml; 1/4 BSF: 1 at",
    ),
    "grease": ((("Its number", "99999"), ("no bearing(?s:.)*Its number", "6204"),
                ("Its mass", "106 g")), "grease for the first fill: 1.9 g"),
    "paint": (
        (("all sides", "1.2 m2"), ("Solids", "45 %"), ("Dry film", "40"), ("coats", "2"),
         ("By gun", "brush"), ("tin holds", "250 ml")),
        "237 ml",  # 1.2 m2 x 2 / (10 x 45 / 40) / 0.9
    ),
    "mixing": ((("Parts by", "4:1:1"), ("ready to use", "300 ml")), "hardener: 50 ml"),
    "sheet": (
        (("of the sheet", "500x500"), ("one gasket", "180x120"), ("How many", "7")), "2 sheets",
    ),
    "lengths": (
        (("length of a run", "900"), ("next run", "600"), ("next run", ""),
         ("there to cut", "800"), ("there to cut", "800"), ("there to cut", "")),
        "Short of 900 mm: enough in all",
    ),
    "volts": (
        (("The wire", "14/0.30"), ("Its length", "5 m"), ("current", "8.75"), ("Back by", "f")),
        "0.827 V",  # 0.0189 x 5 x 8.75
    ),
    "keeps": (
        (("Which consumable", "DOT 4"), ("was bought", ""), ("was opened", "15/1/2025")),
        "use by 15 Jan 2025",
    ),
    "compound": ((("What to fill", "bush 47 14 0.03"),), "0.031 ml"),  # pi 47 14 0.03/2
    "weld": (
        (("Leg of", ""), ("Water capacity", "9 l"), ("Pressure on", "200"), ("Flow", "10")),
        "180 min",  # 9 x 200 / 10
    ),
    "shrink": (
        (("when shrunk", ""), ("pass over", "12"), ("has to grip", "5")), "ratio: 3 to 1",
    ),
    "bath": (
        (("How much, as 20 l", "box 600 400 300"), ("which level", "250"), ("part in it", "12 kg"),
         ("Citric acid", "")),
        "58.5 l",  # 60 l less 12 kg of steel
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CONVERSATIONS)
def test_each_calculator_asks(file: Path, name: str) -> None:
    pairs, shown = CONVERSATIONS[name]
    with terminal(file, "reckon", name) as at:
        answered(at, *pairs)
        assert at.ended() == 0, at.shown
        assert shown in " ".join(at.shown.split())


def test_each_calculator_was_tried_and_each_question_has_words() -> None:
    assert {*CONVERSATIONS, "torque", "plug", "rules"} == set(CALCULATORS)
    for name in CALCULATORS:
        question = next_question(name, {}, {})
        assert (question is None) == (name == "rules")
        assert question is None or question.name in QUESTIONS


def test_no_question_is_without_words_and_no_words_without_a_question() -> None:
    text = Path(asking.__file__).read_text(encoding="utf-8")
    assert set(re.findall(r'Question\(\s*"([^"]+)"', text)) == set(QUESTIONS)


def test_nothing_is_asked_without_a_terminal(bench: Bench) -> None:
    for name in CALCULATORS:
        if name != "rules":
            reply = bench.type("reckon", name)
            assert reply.status in (1, 2)
            assert "?" not in reply.out
    assert "Calculators" in bench.type("reckon").out + bench.type("reckon").err


def test_nothing_is_asked_for_a_program(file: Path) -> None:
    with terminal(file, "reckon", "torque", "M8", "8.8", "--json") as at:
        assert at.ended() == 1
        assert "dry or oiled?" in " ".join(at.shown.split())
