"""What the Tab key completes, asked as each shell asks it: by environment variables."""

import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest
from conftest import Bench

import stores
from stores.cli.app import COMPLETE, SHELLS
from stores.model.choices import SIDES, SURFACES, TOOLS
from stores.model.ledger import Condition
from stores.wording.commands import JOB


def completed(bench: Bench, monkeypatch: pytest.MonkeyPatch, typed: str) -> list[str]:
    """Give what bash is offered for the last word, which may be empty."""
    monkeypatch.setenv(COMPLETE, "complete_bash")
    monkeypatch.setenv("COMP_WORDS", typed)
    monkeypatch.setenv("COMP_CWORD", str(typed.count(" ")))
    return bench.type().out.split("\n")[:-1]


def test_the_words_at_the_top_and_no_short_name_of_before(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    listed = {word for words in JOB.values() for word in words}
    assert set(completed(bench, monkeypatch, "stores ")) == listed
    assert completed(bench, monkeypatch, "stores befo") == [""]


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("stores pl", {"place", "plan"}),
        ("stores plan be", {"before"}),
        ("stores order pri", {"price"}),
        ("stores order ca", {"came", "cancel"}),
        ("stores correct split", {"split", "split-step"}),
        ("stores reckon thr", {"thread"}),
        ("stores plan before --fo", {"--forget"}),
        ("stores strip --ha", {"--hazard"}),
    ],
)
def test_what_is_under_a_noun_and_options(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, typed: str, offered: set[str]
) -> None:
    # order came and order cancel begin alike; some nouns have more of their own
    assert offered <= set(completed(bench, monkeypatch, typed))


def test_zsh_and_fish_are_answered_in_their_own_way(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("_TYPER_COMPLETE_ARGS", "stores plan be")
    monkeypatch.setenv(COMPLETE, "complete_zsh")
    assert '"before"' in bench.type().out
    monkeypatch.setenv(COMPLETE, "complete_fish")
    monkeypatch.setenv("_TYPER_COMPLETE_FISH_ACTION", "get-args")
    assert bench.type().out.split()[0] == "before"


@pytest.mark.parametrize("shell", SHELLS)
def test_the_script_of_each_shell_asks_us(bench: Bench, shell: str) -> None:
    assert COMPLETE in bench("--completion", shell)


def test_a_shell_that_is_none_is_refused_in_one_line(bench: Bench) -> None:
    reply = bench.type("--completion", "tcsh")
    assert reply.status == 2
    assert "bash, zsh, fish" in reply.err
    assert len(reply.err.splitlines()) == 1


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("stores refit 1", ["1"]),
        ("stores refit 1.", ["1.1", "1.2", "1.3", "1.4"]),
        ("stores refit A0", ["A001N", "A003J"]),
        ("stores inspect a0", ["A001N", "A003J"]),
        ("stores plan before 1 ", ["1", "2", "A001N", "A003J"]),
        ("stores strip en", ["Engine", "Engine/Clutch"]),
        ("stores strip Brakes/R", ["Brakes/Rear"]),
        ("stores snag Engine le", ["leak"]),
        ("stores inspect 1 c", ["condemned"]),
        ("stores inspect 1 --of as", ["as\\ removed"]),
        ("stores strip Engine x -b s", ["same", "shelf\\ 2"]),
        ("stores strip Engine x --part-to shelf\\ ", ["shelf\\ 2"]),
        ("stores outwork back B", ["Brindlecote\\ Platers"]),
        ("stores refit 1 -m O", ["Orrick\\ Plover"]),
        ("stores labels --as t", ["tag"]),
        ("stores labels --stock roll-5", ["roll-51x32", "roll-57"]),
        ("stores machine add x --kind belt", ["belt-treadle"]),
        ("stores record units m", ["metric"]),
        ("stores machine add x --maker O", []),  # nobody can know
    ],
)
def test_values_are_words_of_a_fixed_set_or_of_the_record(
    clutch: Bench, monkeypatch: pytest.MonkeyPatch, typed: str, offered: list[str]
) -> None:
    clutch("strip", "Brakes/Rear", "brake plate", "2 M8 nut", "-p", "shelf 2")
    clutch("outwork", "send", "1.2", "--to", "Brindlecote Platers", "--for", "zinc")
    assert [each for each in at(clutch, monkeypatch, typed) if each] == offered


def at(bench: Bench, monkeypatch: pytest.MonkeyPatch, typed: str) -> list[str]:
    """Give what bash is offered for the last word, on the bench's record."""
    words = typed.replace("\\ ", "\0").split(" ")
    with monkeypatch.context() as shell:
        shell.setenv(COMPLETE, "complete_bash")
        shell.setenv("COMP_WORDS", typed)
        shell.setenv("COMP_CWORD", str(len(words) - 1))
        shell.setenv("STORES", str(bench.file))
        return bench.type().out.split("\n")


def test_what_was_taken_back_or_put_right_is_offered_as_it_reads_now(
    clutch: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    clutch("strip", "Forks", "lower leg", "2 M8 nut")
    clutch("correct", "assembly", "Forks", "Front fork")
    assert "Front\\ fork" in at(clutch, monkeypatch, "stores strip F")
    assert "Forks" not in at(clutch, monkeypatch, "stores strip F")
    clutch("correct", "drop", "2.2")
    assert at(clutch, monkeypatch, "stores inspect 2.")[:-1] == ["2.1"]
    clutch("undo")
    assert at(clutch, monkeypatch, "stores inspect 2.")[:-1] == ["2.1", "2.2"]
    clutch("undo", "step", "2")
    assert "2" not in at(clutch, monkeypatch, "stores inspect ")
    assert "Front\\ fork" not in at(clutch, monkeypatch, "stores strip F")


@pytest.mark.parametrize("what", ["missing", "no record", "a server"])
def test_whatever_is_wrong_nothing_is_said(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    if what == "no record":
        bench.file.write_bytes(b"this is no database at all" * 300)
    where = "postgresql+psycopg://nobody@localhost:1/x" if what == "a server" else str(bench.file)
    monkeypatch.setenv(COMPLETE, "complete_bash")
    monkeypatch.setenv("COMP_WORDS", "stores inspect A")
    monkeypatch.setenv("COMP_CWORD", "2")
    monkeypatch.setenv("STORES", where)
    reply = bench.type()
    assert (reply.status, reply.out.strip(), reply.err) == (0, "", "")


def test_the_fixed_words_are_those_that_are_taken(clutch: Bench) -> None:
    for tool in TOOLS:
        clutch("find", "--od", "5.9", "--pitch", "1.0", "--tool", tool)
    for surface in SURFACES:
        clutch("find", "--od", "5.9", "--pitch", "1.0", "--surface", surface)
    for side in SIDES:
        clutch("snag", "Engine/Clutch", "leak", "weeps", "--side", side)
    from stores.cli.completing import _CONDITIONS, _VERDICTS

    assert set(_CONDITIONS) == set(Condition)
    assert set(_VERDICTS) < set(_CONDITIONS)


def test_a_press_of_the_key_is_answered_within_300_ms(clutch: Bench) -> None:
    """Of this process's own time, so that a busy machine is no fault of ours."""
    environment = {
        **os.environ,
        "PYTHONPATH": str(Path(stores.__file__).parent.parent),
        COMPLETE: "complete_bash",
        "COMP_WORDS": "stores inspect A0",
        "COMP_CWORD": "2",
        "STORES": str(clutch.file),
    }
    spent = []
    for _ in range(3):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        done = subprocess.run(
            [sys.executable, "-m", "stores"],
            env=environment, capture_output=True, text=True, check=True,
        )  # fmt: skip
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        spent.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
        assert done.stdout.split() == ["A001N"]
    assert min(spent) < 0.3
