"""What the Tab key completes, asked as each shell asks it: by environment variables."""

import pytest
from conftest import Bench

from stores.cli.app import COMPLETE, SHELLS
from stores.wording.commands import JOB


def completed(bench: Bench, monkeypatch: pytest.MonkeyPatch, typed: str) -> list[str]:
    """Give what bash is offered for the last word, which may be empty."""
    monkeypatch.setenv(COMPLETE, "complete_bash")
    monkeypatch.setenv("COMP_WORDS", typed)
    monkeypatch.setenv("COMP_CWORD", str(typed.count(" ")))
    return bench.type().out.split()


def test_the_words_at_the_top_and_no_short_name_of_before(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    listed = {word for words in JOB.values() for word in words}
    assert set(completed(bench, monkeypatch, "stores ")) == listed
    assert completed(bench, monkeypatch, "stores befo") == []


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
