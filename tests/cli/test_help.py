"""Help: every command is described, has an example that can be typed, and fits 80 columns."""

import os
import shlex
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from conftest import Bench, every_command

import stores
from stores.cli.overview import IN_A_LINE

COMMANDS = every_command()


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
        "audit",
        "undo",
        "history",
        "demo",
    ):
        assert name in COMMANDS


def test_the_overview_names_every_command_without_cutting(bench: Bench, monkeypatch: Any) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    shown = bench("--help")
    assert "..." not in shown.split("Commands:")[1]
    assert {name.split()[0] for name in COMMANDS} == set(IN_A_LINE)
    for name, line in IN_A_LINE.items():
        assert f"  {name} " in shown
        assert line in shown


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
