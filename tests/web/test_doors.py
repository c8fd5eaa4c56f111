"""Whatever the command line can record or ask can be done on the pages, or says why not.

The use-cases are read from the modules: the public functions that stand on a `Context`, and the
plain ones that a command calls. Their doors are found in the tables of forms and in what the
modules of pages import.
"""

import ast
import inspect
import pkgutil
from collections.abc import Iterable
from functools import cache
from importlib import import_module
from pathlib import Path

import stores.usecases
from stores.web.deeds import SUBJECTS, deeds, inquiries
from stores.web.pages import SCREENS

ROOM = Path(stores.usecases.__file__).parent.parent

NO_DOOR = {
    "machines:check_machine": "checks before a file is begun: pages have theirs, and adding checks",
    "keeping:reload": "makes another record, which these pages do not serve: command line only",
    "rebuild:listed_steps": "the checklist as facts for a program; pages show the checklist",
    "reckoning.asking:check": "the command line asks one question after another; a form asks all",
    "reckoning.asking:next_question": "as its check: a form shows all the questions at once",
}
"""Use-cases without a page, and why."""

NO_USECASES = ("common", "context", "taking", "templates")
"""The modules that use-cases stand on."""


@cache
def usecases() -> frozenset[str]:
    """Return all use-cases, as ``module:name``; what they stand on is none."""
    called = imported(sorted((ROOM / "cli").glob("*.py")))
    found = set()
    for info in pkgutil.walk_packages(stores.usecases.__path__, "stores.usecases."):
        if info.name.removeprefix("stores.usecases.") in NO_USECASES:
            continue
        module = import_module(info.name)
        public = getattr(module, "__all__", None)
        for name, function in vars(module).items():
            if not inspect.isfunction(function) or function.__module__ != info.name:
                continue
            if name.startswith("_") or (public is not None and name not in public):
                continue
            named = f"{info.name.removeprefix('stores.usecases.')}:{name}"
            first = next(iter(inspect.signature(function).parameters), "")
            if first == "context" or named in called:
                found.add(named)
    return frozenset(found)


def imported(code: Iterable[Path | ast.AST]) -> set[str]:
    """Return what modules, or functions, use of the use-cases, as ``module:name``."""
    found = set()
    for each in code:
        tree = ast.parse(each.read_text(encoding="utf-8")) if isinstance(each, Path) else each
        nodes = list(ast.walk(tree))
        modules: dict[str, set[str]] = {}  # a name may stand for several, each in its function
        for node in nodes:
            if not (isinstance(node, ast.ImportFrom) and node.module):
                continue
            if node.module.partition(".usecases")[0] != "stores":
                continue
            home = node.module.removeprefix("stores.usecases").removeprefix(".")
            for alias in node.names:
                found.add(f"{home}:{alias.name}")
                inside = f"{home}.{alias.name}".removeprefix(".")
                modules.setdefault(alias.asname or alias.name, set()).add(inside)
        for node in nodes:
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
                found |= {f"{home}:{node.attr}" for home in modules.get(node.value.id, ())}
    return found


@cache
def doors() -> frozenset[str]:
    """Return the use-cases that have a form, or that a page calls."""
    forms = {each._usecase for each in (*deeds().values(), *inquiries().values())}
    pages = [ROOM / "web" / "pages" / f"{name}.py" for name in SCREENS]
    tables = [ROOM / "web" / "deeds" / f"{name}.py" for name in SUBJECTS]
    return forms | (imported([*pages, *tables]) & usecases())


def test_the_use_cases_are_found() -> None:
    """One of each way in which they are called, so that nothing is passed over unseen."""
    assert {
        "strip:strip",  # on a record, imported by name
        "places:move",  # on a record, called by its module
        "measuring:thread_named",  # of no record
        "reckoning.torque:torque",  # of no record, called by a module's other name
    } <= usecases()


def test_every_form_is_of_a_use_case() -> None:
    assert {each._usecase for each in (*deeds().values(), *inquiries().values())} <= usecases()


def test_every_use_case_has_a_door_or_a_reason() -> None:
    without = usecases() - doors()
    assert without == NO_DOOR.keys()


def test_no_reason_is_left_over() -> None:
    """A reason goes when its use-case has a door, and what is pending when it is there."""
    without = usecases() - doors()
    assert set(NO_DOOR) - without == set()
    assert all(len(reason.split()) > 3 for reason in NO_DOOR.values())
