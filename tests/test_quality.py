"""Lint, format and types, as part of the test run."""

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from conftest import ALWAYS, long_tests

ROOT = Path(__file__).resolve().parent.parent


@pytest.mark.slow
@pytest.mark.parametrize(
    "words",
    [["ruff", "check"], ["ruff", "format", "--check"], ["mypy"]],
    ids=["lint", "format", "types"],
)
def test_quality(words: list[str]) -> None:
    done = subprocess.run(
        [sys.executable, "-m", *words], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_every_test_that_takes_long_is_there() -> None:
    there = set()
    for path in Path(__file__).parent.rglob("test_*.py"):
        file = path.relative_to(Path(__file__).parent).as_posix()
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            within = node.body if isinstance(node, ast.ClassDef) else [node]
            prefix = f"{node.name}::" if isinstance(node, ast.ClassDef) else ""
            there |= {
                f"{file}::{prefix}{each.name}"
                for each in within
                if isinstance(each, ast.FunctionDef)
            }
    assert (long_tests() | ALWAYS) - there == set()


def test_nothing_else_at_the_top() -> None:
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if listed.returncode:
        pytest.skip("not a git checkout")
    top = {line.split("/")[0] for line in listed.stdout.splitlines()}
    allowed = {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "stores",
        "label_templates",
        "tests",
        "demo",
    }
    assert {name for name in top if not name.startswith(".")} <= allowed


FOR_TESTS = {
    "stores.handbook.answer.Answered": "a type: the shape that every calculator's answer has",
    "stores.handbook.identify.model.chance": "one thread at a time, what the sum of all is held to",
}
"""Public functions and classes that nothing in stores/ uses, each with the reason to keep it."""


def test_nothing_in_it_is_for_tests_alone() -> None:
    """Each public function and class of stores/ is used in stores/, beyond its own body, being
    passed on by its package and being listed in ``__all__``."""
    modules = {
        ".".join(path.relative_to(ROOT).with_suffix("").parts): ast.parse(
            path.read_text(encoding="utf-8")
        )
        for path in (ROOT / "stores").rglob("*.py")
    }
    used = {name for module, tree in modules.items() for name in uses(module, tree)}
    unused = set()
    for module, tree in modules.items():
        if module.startswith("stores.storage.migrations.versions."):
            continue  # run by Alembic
        for top in tree.body:
            if not isinstance(top, ast.FunctionDef | ast.ClassDef) or top.name.startswith("_"):
                continue
            if not (module.startswith("stores.cli.") and top.decorator_list):  # run when typed
                home = module.removesuffix(".__init__")
                places = [home]  # its own, and the packages that may pass it on
                while "." in places[-1]:
                    places.append(places[-1].rpartition(".")[0])
                if not used & {f"{place}.{top.name}" for place in places}:
                    unused.add(f"{home}.{top.name}")
    assert unused == set(FOR_TESTS)


def uses(module: str, tree: ast.Module) -> Iterator[str]:  # noqa: PLR0912 - a branch a kind of node
    """Give the full names that a module uses: its own, those it imports, those of a module."""
    imported: dict[str, set[str]] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and module.startswith("stores.web.deeds"):
            named = re.fullmatch(r"([a-z_.]+):(\w+)", str(node.value))  # loaded when called for
            if named:
                for room in ("usecases", "wording"):
                    yield f"stores.{room}.{named[1]}.{named[2]}"
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("stores"):
            for each in node.names:
                full = f"{node.module}.{each.name}"
                imported.setdefault(each.asname or each.name, set()).add(full)
                if not module.endswith(".__init__"):
                    yield full
    home = module.removesuffix(".__init__")
    for top in tree.body:
        if isinstance(top, ast.Assign) and ast.unparse(top.targets[0]) == "__all__":
            continue
        names = set()
        for node in ast.walk(top):
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
                yield from (f"{full}.{node.attr}" for full in imported.get(node.value.id, ()))
            elif isinstance(node, ast.Name):
                names.add(node.id)
            elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                names.add(node.value)  # in quotes a type is named before it is there
        for name in names - {getattr(top, "name", "")}:
            yield f"{home}.{name}"
            yield from imported.get(name, ())
