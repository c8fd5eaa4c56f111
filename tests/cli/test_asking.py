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
        assert "Missing argument" in at.shown


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
