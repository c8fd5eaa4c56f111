"""What the tests share: a bench to type commands at.

Properties have the same examples each time, whatever was imported by the tests before; hence
Hypothesis is one version in pyproject.toml. A property that takes long has few examples in the
ordinary run and all of them with the slow tests: ``examples(4, 12)``. What takes longer than a
third of a second is in long.txt and run with the slow tests; of a test with four cases or more the
first is always run. ``--times`` with a whole run measures that list anew: on an idle machine. A
record that a fixture writes is written once and copied for each test after (`kept`).

The use-cases are asked on PostgreSQL too, with the slow tests: a path then stands for a database of
a server of our own (`postgres`), so that a test says nothing of it and copies with ``copy_of``,
never with ``shutil``. What there is only with files is marked ``files_alone``; of what takes long
the first case is asked."""

import contextlib
import inspect
import io
import json
import pkgutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis.configuration import set_hypothesis_home_dir
from hypothesis.internal.conjecture import providers
from postgres import STANDING, Databases, copy_of, postgresql, standing_on
from sqlalchemy import Engine

import stores
from stores.cli.app import main, program
from stores.cli.overview import Noun
from stores.storage import open_store, opening
from stores.usecases.context import Context

# A busy machine is no fault of a property: how long an example takes is measured elsewhere.
BUSY = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow], "print_blob": True}
# The ordinary run is never red by chance: the same examples each time, in CI and out of it.
settings.register_profile("steady", derandomize=True, database=None, **BUSY)
# With the slow tests, as CI runs them, there are more of them: `examples`.
settings.register_profile("whole", settings.get_profile("steady"))
# python3 tests --search looks further: the seed comes with the command.
settings.register_profile("search", derandomize=False, database=None, max_examples=500, **BUSY)
if settings.get_current_profile_name() not in ("whole", "search"):
    # this file is loaded twice, as pytest's and as what tests import from: the second time, whoever
    # runs the tests has chosen already
    settings.load_profile("steady")
SCRATCH = tempfile.TemporaryDirectory(prefix="stores-hypothesis-")
set_hypothesis_home_dir(SCRATCH.name)  # no .hypothesis stays behind


LONG_LIST = Path(__file__).with_name("long.txt")
LONG = 0.35
"""Seconds that a case takes on an idle machine from which on its test is on that list."""
ALWAYS = {
    "cli/test_demo.py::test_it_ends_with_the_path_of_each_file_and_what_to_do_next",
    "cli/test_first_to_last.py::test_every_piece_is_accounted_for_to_the_end",
    "test_imports.py::test_no_module_waits_for_itself_to_load",
    "test_quality.py::test_nothing_in_it_is_for_tests_alone",
    "test_readme.py::test_the_documents_show_what_the_commands_answer",
    "usecases/test_against_a_table.py::"
    "test_any_sequence_of_acts_leaves_the_pieces_where_the_table_has_them",
    "web/test_a_morning.py::test_a_morning",
    "web/test_crowd.py::test_what_a_few_are_told_is_on_record_once",
    "web/test_pages_hold.py::test_a_sample_of_pages_holds_on_each_screen",
}
"""However long these take, they are in the ordinary run: each goes through most of the house."""
TIMES: dict[str, dict[str, float]] = {}
"""Seconds by test and case, where they are measured."""


def long_tests() -> set[str]:
    """Read the tests that take long: ``cli/test_help.py::test_every_command``."""
    listed, file = set(), ""
    for line in LONG_LIST.read_text(encoding="utf-8").splitlines():
        if line.startswith("  "):
            listed.add(f"{file}::{line.strip()}")
        elif not line.startswith("#"):
            file = line.strip()
    return listed


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--times", action="store_true", help="measure which tests take long: long.txt")
    parser.addoption("--hostile", type=int, default=1000, help="how many inputs anybody may type")
    parser.addoption("--hostile-seed", type=int, default=1)
    parser.addoption("--acts", type=int, default=400, help="how many are done and undone to zero")
    parser.addoption("--acts-seed", type=int, default=1)
    parser.addoption("--kills", type=int, default=12, help="how often a writer is killed, each way")


def pytest_configure(config: pytest.Config) -> None:
    """Make the examples depend on the seed alone.

    Hypothesis mixes in the literals of the modules that are loaded by then: which those are hangs
    on the tests that ran before in the same process. The ordinary run does without; the search has
    all of ours, loaded beforehand.
    """
    if config.getoption("hypothesis_profile", None) == "search":
        for module in pkgutil.walk_packages(stores.__path__, "stores."):
            if "migrations" not in module.name and not module.name.endswith("__main__"):
                import_module(module.name)
        return
    if config.getoption("markexpr") != "not slow":
        settings.load_profile("whole")
    if hasattr(providers, "_get_local_constants"):
        providers._get_local_constants = lambda: providers._local_constants


@pytest.hookimpl(wrapper=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> Iterator[None]:
    """Mark as slow what takes long, all but the first case of a test with four or more.

    What is asked on a server too is slow there. Of what takes long the first case alone is, and
    nothing of what is slow with files: more of the same. It comes last: once a worker has the
    server, whatever it opens is there.
    """
    listed = long_tests()
    cases: dict[str, list[pytest.Item]] = {}
    on_a_server: dict[str, list[pytest.Item]] = {}
    for item in items:
        name = item.nodeid.removeprefix("tests/").split("[")[0]
        if is_on_a_server(item):
            on_a_server.setdefault(name, []).append(item)
        elif name in listed:
            cases.setdefault(name, []).append(item)
    for several in cases.values():
        for item in several[1:] if len(several) >= 4 else several:
            item.add_marker(pytest.mark.slow)
    passed_over = {
        item
        for name, several in on_a_server.items()
        for at, item in enumerate(several)
        if item.get_closest_marker("slow") or (at and name in listed)
    }
    for item in (each for several in on_a_server.values() for each in several):
        item.add_marker(pytest.mark.slow)
    if passed_over:
        items[0].config.hook.pytest_deselected(items=list(passed_over))
        items[:] = [item for item in items if item not in passed_over]
    yield
    items.sort(key=is_on_a_server)


def is_on_a_server(item: pytest.Item) -> bool:
    """Tell whether a test writes its records to a server, where the same on files is a test too."""
    call = getattr(item, "callspec", None)
    return call is not None and call.params.get("stands", "file") != "file"


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    if "postgresql" in report.nodeid:  # the list is of what takes long with files
        return
    name, _, case = report.nodeid.removeprefix("tests/").partition("[")
    times = TIMES.setdefault(name, {})
    times[case] = times.get(case, 0.0) + report.duration


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Let a search that was cut short by the clock still tell that something was red; write down
    which tests take long, where that was asked for."""
    if session.testsfailed and session.config.getoption("hypothesis_profile", None) == "search":
        session.exitstatus = pytest.ExitCode.TESTS_FAILED
    if not session.config.getoption("--times") or hasattr(session.config, "workerinput"):
        return
    heading = [
        line for line in LONG_LIST.read_text(encoding="utf-8").splitlines() if line[:1] == "#"
    ]
    by_file: dict[str, list[str]] = {}
    for name, cases in sorted(TIMES.items()):
        if sum(cases.values()) / len(cases) > LONG and name not in ALWAYS:
            file, _, test = name.partition("::")
            by_file.setdefault(file, []).append(f"  {test}\n")
    parts = [f"\n{file}\n{''.join(tests)}" for file, tests in by_file.items()]
    LONG_LIST.write_text("\n".join(heading) + "\n" + "".join(parts), encoding="utf-8")


def pytest_unconfigure() -> None:
    SCRATCH.cleanup()


def pytest_terminal_summary(terminalreporter: Any) -> None:
    """Say once, and not test by test, that there was no browser to try the pages in."""
    skipped = terminalreporter.stats.get("skipped", ())
    reasons = [str(report.longrepr[2]) for report in skipped if isinstance(report.longrepr, tuple)]
    untried = [reason for reason in reasons if "no browser here" in reason]
    if untried:
        reason = untried[0].removeprefix("Skipped: ")
        terminalreporter.write_line(f"{len(untried)} tests of the pages skipped: {reason}")


def examples(ordinary: int, whole: int) -> int:
    """How many examples a property that takes long has: in the ordinary run, and in the whole."""
    return ordinary if settings.get_current_profile_name() == "steady" else whole


def every_command() -> dict[str, Any]:
    """Return all commands that are listed, those under a noun with the noun before theirs."""
    listed: dict[str, Any] = {}
    todo: list[tuple[tuple[str, ...], Any]] = [((), program())]
    while todo:
        path, command = todo.pop()
        if getattr(command, "hidden", False):
            continue
        names = command.list_commands(None) if hasattr(command, "list_commands") else None
        if names is None:
            listed[" ".join(path)] = command
            continue
        children = {name: command.get_command(None, name) for name in names}
        if isinstance(command, Noun) and command.by_itself is not None:
            listed[" ".join(path)] = command.by_itself
            children = {
                name: child for name, child in children.items() if child is not command.by_itself
            }
        todo += [((*path, name), child) for name, child in children.items()]
    return dict(sorted(listed.items()))


@dataclass(frozen=True)
class Reply:
    """What a command showed, what it said on stderr, and its exit status."""

    out: str
    err: str
    status: int

    @property
    def data(self) -> Any:
        return json.loads(self.out)


def dump_of(file: Path) -> list[str]:
    """Every row of a stores as SQL, nothing of one that is not there: what is compared when
    nothing may have changed."""
    if STANDING:
        return STANDING[0].rows(file)
    if not file.exists():
        return []
    with contextlib.closing(sqlite3.connect(file)) as connection:
        return list(connection.iterdump())


class Bench:
    """Types commands into one stores, in this process."""

    def __init__(self, file: Path) -> None:
        self.file = file

    def type(self, *words: str) -> Reply:
        out, err = io.StringIO(), io.StringIO()
        status: object = 0
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            try:
                main(["--stores", str(self.file), *words])
            except SystemExit as left:
                status = left.code
        return Reply(out.getvalue(), err.getvalue(), status if isinstance(status, int) else 0)

    def __call__(self, *words: str) -> str:
        """Type a command that must succeed; give what it shows."""
        reply = self.type(*words)
        assert reply.status == 0, reply.err
        return reply.out

    def json(self, *words: str) -> Any:
        return json.loads(self(*words, "--json"))

    def refused(self, *words: str) -> str:
        """Type a command that must be refused: one line, status 1, nothing changed."""
        before = self.written()
        reply = self.type(*words)
        assert reply.status == 1, (reply.status, reply.out, reply.err)
        assert reply.out == ""
        assert reply.err.count("\n") == 1, reply.err
        assert reply.err.startswith("stores: ")
        assert self.written() == before
        return reply.err

    def written(self) -> list[bytes]:
        """Give the file and its write-ahead log as they lie there, sooner than `everything`."""
        return [
            path.read_bytes() if path.exists() else b""
            for path in (self.file, self.file.with_name(f"{self.file.name}-wal"))
        ]

    def everything(self) -> list[str]:
        """Dump all that is in the file."""
        return dump_of(self.file)


@pytest.fixture(scope="session", autouse=True)
def _statements_compiled_once() -> Iterator[None]:
    """Let every stores that is opened in this process use the statements compiled for the first.

    SQLAlchemy keeps them by engine and dialect, of which each opening makes new ones; a person's
    command opens one stores, a test run some ten thousand. A third of the time of tests/usecases,
    half of that of tests/cli.
    """
    first: dict[Any, Engine] = {}
    made_anew = opening.create_engine

    def made(*words: Any, **options: Any) -> Engine:
        engine = made_anew(*words, **options)
        file = engine.dialect.name == "sqlite"  # a server's dialect knows things of that server
        one = first.setdefault("sqlite" if file else engine.url.set(database=None), engine)
        engine.dialect = engine.pool._dialect = one.dialect
        engine._compiled_cache = one._compiled_cache
        if STANDING and not file:
            STANDING[0].share(engine)
        return engine

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(opening, "create_engine", made)
        yield


@pytest.fixture(scope="session")
def databases() -> Iterator[Databases]:
    """A server that keeps a record for each path."""
    with postgresql() as address:
        several = Databases(address)
        yield several
        several.close()


@pytest.fixture(scope="session")
def stands(request: pytest.FixtureRequest) -> Iterator[str]:
    """What the records of a test stand on: a file each, or where a test is run for that too, a
    database of PostgreSQL each."""
    kind = getattr(request, "param", "file")
    if kind == "file":
        yield kind
        return
    databases: Databases = request.getfixturevalue("databases")
    with standing_on(databases):
        yield kind


@pytest.fixture(scope="session")
def begun(tmp_path_factory: pytest.TempPathFactory, stands: str) -> Path:
    """A stores with one machine, made once and copied for each test."""
    made = Bench(tmp_path_factory.mktemp("begun") / "stores.db")
    made("machine", "add", "Orrick Plover")
    return made.file


@pytest.fixture(scope="session")
def demo_built(tmp_path_factory: pytest.TempPathFactory, stands: str) -> tuple[Path, str]:
    """The demo's folder, built once, and what was said meanwhile: to look at, not to write in."""
    into = tmp_path_factory.mktemp("a workshop") / "demo"
    with pytest.MonkeyPatch.context() as patch:
        # its own days, whatever day it is: other days are longer or shorter on paper
        patch.setattr("stores.cli.demo.moved_to", lambda typed, _now: typed)
        return into, Bench(into / "none.db")("demo", str(into))


@pytest.fixture
def bench(tmp_path: Path, begun: Path) -> Bench:
    """A bench with an empty stores and one machine."""
    copy_of(begun, tmp_path / "stores.db")
    return Bench(tmp_path / "stores.db")


@pytest.fixture
def context(tmp_path: Path, begun: Path) -> Iterator[Context]:
    """What a use-case stands on: a stores with one machine, nothing taken off yet."""
    copy_of(begun, tmp_path / "asked.db")
    with open_store(str(tmp_path / "asked.db")) as store:
        yield Context(store)


def kept(build: Callable[[Any], Any]) -> Any:
    """Make a fixture of what writes a record: it is written once, and copied for each test after.

    ``build`` is given the bench or the context that it names, or such a fixture as this, and gives
    it back, alone or with what it found on the way; it writes into the stores and nowhere else.
    """
    (before,) = inspect.signature(build).parameters
    made: dict[str, tuple[Path, Any]] = {}

    @pytest.fixture(name=build.__name__)
    def copied(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Any:
        given = request.getfixturevalue(before)
        held = given[0] if isinstance(given, tuple) else given
        file = Path(held.store.name) if isinstance(held, Context) else held.file
        stands = request.getfixturevalue("stands")
        if stands not in made:
            found = build(given)
            made[stands] = (tmp_path_factory.mktemp("kept") / "stores.db", found)
            copy_of(file, made[stands][0])
            return found
        keeps, found = made[stands]
        copy_of(keeps, file)

        def here(each: Any) -> Any:
            if isinstance(each, Context):
                return replace(each, store=held.store)
            return held if type(each) is type(held) else each

        return tuple(map(here, found)) if isinstance(found, tuple) else here(found)

    return copied


@kept
def clutch(bench: Bench) -> Bench:
    """A bench after one step: the clutch cover is in bag A001N."""
    bench("strip", "Engine/Clutch", "clutch cover", "4 M6x25 hex bolt", "2 M6x40 bolt", "1 gasket")
    return bench
