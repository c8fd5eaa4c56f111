"""The examples in the docstrings of all modules are true."""

import doctest
from importlib import import_module
from pathlib import Path

import pytest

import stores

HOUSE = Path(stores.__file__).parent
WITH_EXAMPLES = sorted(
    file for file in HOUSE.rglob("*.py") if ">>> " in file.read_text(encoding="utf-8")
)


def name_of(file: Path) -> str:
    parts = file.relative_to(HOUSE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@pytest.mark.parametrize("name", [name_of(file) for file in WITH_EXAMPLES])
def test_examples_of_a_module(name: str) -> None:
    failed, tried = doctest.testmod(import_module(name))
    assert failed == 0
    assert tried
