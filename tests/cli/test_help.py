"""Help: every command is described, has an example that can be typed, and fits 80 columns."""

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from conftest import Bench, every_command

import stores
from stores.cli.app import program
from stores.cli.overview import IN_A_LINE
from stores.wording.commands import JOB, NOUNS, spelling

COMMANDS = every_command()
GROUPS = {"renew", "batch"}
"""Under a noun, with commands of their own."""


def examples(found: Any) -> list[str]:
    return [
        line.strip() for line in found.epilog.splitlines() if line.strip().startswith("stores ")
    ]


def test_the_main_job_is_all_there() -> None:
    for name in (
        "machine add",
        "strip",
        "labels",
        "find",
        "inspect",
        "rebuild",
        "refit",
        "shopping",
        "record audit",
        "undo",
        "history",
        "demo",
    ):
        assert name in COMMANDS


def test_the_overview_has_two_dozen_words_by_the_part_of_the_job(
    bench: Bench, monkeypatch: Any
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    shown = bench("--help")
    words = [word for part in JOB.values() for word in part]
    assert len(words) == len(set(words)) <= 25
    assert "..." not in shown[shown.index("Take apart:") :]
    for part, under in JOB.items():
        assert f"{part}:\n" in shown
        for word in under:
            assert f"\n  {word} " in shown


@pytest.mark.parametrize("noun", NOUNS)
def test_a_noun_lists_all_that_is_under_it(bench: Bench, monkeypatch: Any, noun: str) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    shown = bench(noun, "--help")
    assert max(map(len, shown.splitlines())) <= 80
    for member, name in NOUNS[noun].items():
        assert f"\n  {member} " in shown or name == noun
        assert f"{noun} {member}" in COMMANDS or name == noun or name in GROUPS


def test_every_command_is_at_the_top_or_under_one_noun() -> None:
    under = [name for members in NOUNS.values() for name in members.values()]
    assert len(under) == len(set(under))
    words = {word for part in JOB.values() for word in part}
    assert {*IN_A_LINE} <= {*under, *words}
    assert {*under} <= {*IN_A_LINE}
    assert words <= {*IN_A_LINE, *NOUNS}


OLD = sorted(name for name in IN_A_LINE if spelling(name) != name)
FORMER = "|".join([*map(re.escape, OLD), "(?:outwork )?batch note"])


@pytest.mark.parametrize("name", sorted({*OLD} - GROUPS))
def test_the_short_name_of_before_still_works_and_is_listed_nowhere(
    bench: Bench, name: str
) -> None:
    noun, member = spelling(name).split()
    assert program().get_command(None, name).epilog == COMMANDS[f"{noun} {member}"].epilog
    reply = bench.type(name, "--help")
    assert reply.status == 0
    assert f"stores {noun} {member}" in reply.out, "its examples have the new one"
    assert f"\n  {name} " not in bench("--help")


ROOT = Path(__file__).parents[2]
SAID = [
    *(path for kind in ("py", "html", "js") for path in sorted(ROOT.glob(f"stores/**/*.{kind}"))),
    *sorted(ROOT.glob("*.md")),
    *(path for kind in ("md", "txt", "sh") for path in sorted(ROOT.glob(f"demo/*.{kind}"))),
    *(
        path
        for kind in ("txt", "toml")
        for path in sorted(ROOT.glob(f"label_templates/**/*.{kind}"))
    ),
]
"""Whatever says a command to a person."""


@pytest.mark.parametrize("path", SAID, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_sentence_names_an_old_spelling(path: Path) -> None:
    typed = re.compile(rf"""(?:["'`(>]|^\s*|\$ )stores ({FORMER})(?![\w-])""", re.MULTILINE)
    assert not typed.findall(path.read_text(encoding="utf-8"))


def test_an_old_spelling_would_be_found() -> None:
    # the test above passes over nothing: every word of before is in its pattern
    assert all(re.fullmatch(FORMER, name) for name in [*OLD, "batch note", "outwork batch note"])


@pytest.mark.parametrize("name", OLD)
def test_a_refusal_calls_a_command_as_it_is_typed_today(bench: Bench, name: str) -> None:
    reply = bench.type(name, "--no-such-option")
    assert reply.status == 2
    assert f"see 'stores {spelling(name)} --help'" in reply.err


def test_a_noun_alone_that_must_be_told_more_gives_its_list(clutch: Bench) -> None:
    clutch("snag", "1.2", "damaged", "thread pulled")
    assert clutch("snag") == clutch("snag", "list")
    assert "thread pulled" in clutch("snag")


@pytest.mark.parametrize("words", [("order",), ("machine",), ("outwork", "batch"), ("correct",)])
def test_no_line_of_a_list_of_commands_is_cut(
    bench: Bench, monkeypatch: Any, words: tuple[str, ...]
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    listed = bench(*words, "--help").split("Commands:")[1]
    assert "..." not in listed
    assert max(map(len, listed.splitlines())) <= 80


LISTS = [(), *((noun,) for noun in NOUNS), ("photo",), ("correct",), ("outwork", "batch"),
         ("piece", "renew")]  # fmt: skip
"""Whatever lists commands: the top, the nouns, and the groups that are no noun."""


@pytest.mark.parametrize("words", LISTS, ids=" ".join)
def test_all_lists_of_commands_are_in_one_style(
    bench: Bench, monkeypatch: Any, words: tuple[str, ...]
) -> None:
    """Short lines, that are no sentences: small letters at the beginning, no stop at the end."""
    monkeypatch.setenv("COLUMNS", "200")
    listed = re.split(r"^(?!Usage|Options|Arguments)\S.*:$", bench(*words, "--help"), flags=re.M)[
        1:
    ]
    rows = [row for part in listed for row in re.findall(r"^  ([\w-]+)  +(\S.*)$", part, re.M)]
    assert len(rows) > 1
    for name, line in rows:
        assert line[0].islower(), f"{name}: {line}"
        assert not line.endswith("."), f"{name}: {line}"
        assert len(line) <= 66, f"{name}: {line}"


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (("refit",), "WHAT is missing: an item (7.2), a step (7) or a bag (A001N). For example: "
                     "stores refit 7; see 'stores refit --help'"),
        (("snag", "1"), "SORT is missing"),
        (("outwork", "send", "1"), "--to FIRM is missing: who does the work. For example: "
                                   'stores outwork send A001N 9.1 --to'),
    ],
)  # fmt: skip
def test_what_is_left_out_is_asked_for_with_an_example(
    bench: Bench, typed: tuple[str, ...], said: str
) -> None:
    reply = bench.type(*typed)
    assert reply.status == 2
    assert said in reply.err
    assert len(reply.err.splitlines()) == 1


@pytest.mark.parametrize("name", COMMANDS)
def test_help_has_no_word_of_a_programmers(bench: Bench, name: str) -> None:
    shown = bench(*name.split(), "--help")
    assert not re.search(r"<(str|int|float|list\[|Path)|env var|\{[A-Z]", shown)


def test_the_advice_note_by_its_name_of_before(bench: Bench) -> None:
    shown = bench("outwork", "batch", "--help")
    assert "\n  advice-note " in shown
    assert "\n  note " not in shown
    assert "advice note" in bench("batch", "note", "--help")


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        (("piece", "movee"), "'move'"),
        (("plan", "befor", "3"), "'before'"),
        (("recrd",), "'record'"),
        (("handovr",), "'record handover'"),
    ],
)
def test_a_slip_of_a_name_is_one_line(bench: Bench, typed: tuple[str, ...], meant: str) -> None:
    reply = bench.type(*typed)
    assert reply.status == 2
    assert len(reply.err.splitlines()) == 1
    assert meant in reply.err


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_and_an_example(bench: Bench, name: str) -> None:
    reply = bench.type(*name.split(), "--help")
    assert reply.status == 0
    assert "Example:" in reply.out
    assert COMMANDS[name].help.strip()
    assert examples(COMMANDS[name])
    for parameter in COMMANDS[name].params:
        assert getattr(parameter, "help", "x"), f"{name}: {parameter.name} has no help"


@pytest.mark.parametrize("name", COMMANDS)
def test_every_example_can_be_typed(name: str) -> None:
    for example in examples(COMMANDS[name]):
        words = shlex.split(example)
        assert words[: 1 + len(name.split())] == ["stores", *name.split()]
        COMMANDS[name].make_context(name, words[1 + len(name.split()) :], resilient_parsing=False)


@pytest.mark.parametrize("name", ["", *COMMANDS])
def test_help_fits_80_columns(bench: Bench, monkeypatch: Any, name: str) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    out = bench.type(*name.split(), "--help").out
    assert max(map(len, out.splitlines())) <= 80


def test_help_loads_nothing_heavy() -> None:
    """At the bench a second of waiting is long: what help and calculators load is held here."""
    code = (
        "import sys\nfrom stores.cli.app import main\n"
        "try: main(sys.argv[1:])\nexcept SystemExit: pass\n"
        "print(sorted(m for m in sys.modules if m in HEAVY))"
    ).replace("HEAVY", repr(HEAVY))
    for words in (["--help"], ["strip", "--help"]):
        done = subprocess.run(
            [sys.executable, "-c", code, *words], capture_output=True, text=True, check=True
        )
        assert done.stdout.splitlines()[-1] == "[]", words


def test_what_only_pages_need_is_loaded_by_serve_alone(bench: Bench) -> None:
    code = (
        "import sys\nfrom stores.cli.app import main\n"
        "try: main(sys.argv[1:])\nexcept SystemExit: pass\n"
        f"print(sorted(m for m in sys.modules if m in {PAGES!r}))"
    )
    for words in (["strip", "Engine", "cap", "4 M6x25"], ["find", "cap"], ["labels"],
                  ["serve", "--help"], ["rebuild", "--pdf", "rebuild.pdf"]):  # fmt: skip
        done = subprocess.run(
            [sys.executable, "-c", code, "--stores", str(bench.file), *words],
            capture_output=True,
            text=True,
            check=True,
            cwd=bench.file.parent,
            env={**os.environ, "PYTHONPATH": str(Path(stores.__file__).parent.parent)},
        )
        assert done.stdout.splitlines()[-1] == "[]", words


PAGES = ("starlette", "uvicorn", "jinja2", "anyio", "cryptography", "stores.web")
HEAVY = (
    "sqlmodel", "sqlalchemy", "pandas", "reportlab", "qrcode", "rich", "alembic",
    "stores.handbook.fastener", "stores.model.items", "stores.model.ledger", "stores.storage",
    *PAGES,
)  # fmt: skip
