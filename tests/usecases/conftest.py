"""The use-cases are asked on PostgreSQL too, with the slow tests."""

from collections.abc import Generator
from typing import Any

import pytest
from conftest import is_on_a_server
from hypothesis import settings
from postgres import STANDING

FEW = 1
"""Examples of a property on a server."""


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Have what writes a record write it to a file and to a server; not what is of files alone."""
    if hasattr(metafunc.module, "Context") and "stands" in metafunc.fixturenames:
        kinds = ["file"]
        if not metafunc.definition.get_closest_marker("files_alone"):
            kinds.append("postgresql")
        metafunc.parametrize("stands", kinds, indirect=True, scope="session")


@pytest.fixture(autouse=True, scope="session")
def _stands(stands: str) -> None:
    """Every test here stands on something."""


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item: pytest.Item) -> Generator[None, None, None]:
    """Look at few examples of a property on a server: the files have them all."""
    test: Any = getattr(item, "obj", None)
    whole = getattr(test, "_hypothesis_internal_use_settings", None)
    if whole is None or not is_on_a_server(item):
        yield
        return
    test._hypothesis_internal_use_settings = settings(whole, max_examples=FEW)
    try:
        yield
    finally:
        test._hypothesis_internal_use_settings = whole


@pytest.hookimpl(trylast=True)
def pytest_runtest_teardown(item: pytest.Item) -> None:
    """Drop the databases that a test alone had."""
    if STANDING:
        STANDING[0].clear(item.config._tmp_path_factory.getbasetemp())
