"""Lint, format and types, as part of the test run."""

import subprocess
import sys
from pathlib import Path

import pytest

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
