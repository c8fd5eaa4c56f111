"""The demo: an invented strip-down, typed in command by command as a person would."""

import contextlib
import io
import os
import re
import shlex
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import command, file_at
from stores.errors import StorageError, StoresError
from stores.text import today

__all__ = ["Typed", "moved_to", "read_script", "type_in"]

SCRIPT = "strip-down.txt"
NOTE = "demo-acts.txt"
PRINTS = (
    ("bag labels", "labels.pdf", ("labels", "--pdf")),
    ("rebuild checklist", "checklist.pdf", ("rebuild", "--pdf")),
    ("the plan as bars", "plan.pdf", ("plan", "--pdf")),
    ("survey sheet", "survey.pdf", ("machine", "survey", "--pdf")),
    ("shopping list", "shopping.pdf", ("shopping", "--pdf")),
    ("shopping list for a spreadsheet", "shopping.csv", ("shopping", "--csv")),
    ("the same as a workbook", "shopping.xlsx", ("shopping", "--xlsx")),
)


@dataclass(frozen=True, slots=True)
class Typed:
    """One command of the script: the day, the line as typed, its words, and where it stands."""

    day: str
    line: str
    words: tuple[str, ...]
    number: int


def read_script(path: Path) -> list[Typed]:
    """Read a script: lines that begin with ``stores``, and ``on 2026-03-14`` for the day.

    Raises:
        StoresError: a line that is neither, with its number.
    """
    typed: list[Typed] = []
    day = ""
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        text = line.strip()
        if not text or text.startswith("#"):
            continue
        words = shlex.split(text)
        if words[0] == "on" and len(words) == 2:
            day = words[1]
        elif words[0] == "stores":
            typed.append(Typed(day, text, tuple(words[1:]), number))
        else:
            raise StoresError(f"{path.name}, line {number}: neither a day nor a command: {text}")
    return typed


_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")


def moved_to(typed: Sequence[Typed], now: date) -> list[Typed]:
    """Return the script as if its last day were within the last week: whole weeks later or earlier,
    so that nothing in it is two years overdue, and a Saturday stays one."""
    days = [date.fromisoformat(each.day) for each in typed if each.day]
    weeks = timedelta(weeks=(now - max(days, default=now)).days // 7)

    def later(text: str) -> str:
        return _DAY.sub(lambda day: (date.fromisoformat(day[0]) + weeks).isoformat(), text)

    return [
        replace(
            each, day=later(each.day), line=later(each.line), words=tuple(map(later, each.words))
        )
        for each in typed
    ]


@command("demo", "stores demo", "stores demo /tmp/try")
def demo(
    folder: Annotated[
        str, typer.Argument(metavar="FOLDER", help="Where to build it.")
    ] = "stores-demo",
) -> None:
    """Build an invented strip-down and print everything from it, to look at and try out."""
    from stores import resources

    into = file_at(folder)
    file = into / "stores.db"
    if into.is_dir() and any(into.iterdir()) and not (into / NOTE).is_file():
        raise StorageError(f"{into} holds files of yours: give the demo a folder of its own")
    try:
        into.mkdir(parents=True, exist_ok=True)
        (into / NOTE).touch()
        kept = _clear(file)
    except OSError as error:
        raise StorageError(f"cannot build the demo in {into}: {error.strerror}") from error
    if kept:
        show.say(f"You had worked in the last demo: it is kept as {kept}")
    typed = moved_to(read_script(resources.folder("demo") / SCRIPT), today())
    for entry in _progress(typed):
        type_in(file, entry)
    _note_size(file)
    show.say(f"{len(typed)} commands typed in, into {file}")
    for name, target, words in PRINTS:
        path = into / target
        run(["--stores", str(file), *words, str(path)])
        show.say(f"  {name + ':':<34}{path}")
    show.say("Next: look at the PDFs, then ask it something:")
    program = _program()
    show.say(f"  cd {shlex.quote(str(into))}")
    for line in (
        "find clutch cover",
        "find --od 5.9 --pitch 1.0",
        "plan today",
        "plan",
        "record audit",
    ):
        show.say(f"  {program} {line}")
    show.say("look at it in a browser, here or with --phone on a phone (Ctrl-C stops it):")
    show.say(f"  {program} serve")
    show.say("and begin your own, in a folder of its own:")
    show.say(f"  {program} machine add NAME")


def type_in(file: Path, typed: Typed) -> str:
    """Carry one command of the script out and give its reply.

    Raises:
        StoresError: it failed; names the line.
    """
    try:
        return run(["--stores", str(file), *typed.words], day=typed.day)
    except StoresError as error:
        raise StoresError(f"line {typed.number} of the demo: {error}") from error


def run(words: Sequence[str], *, day: str = "") -> str:
    """Run a command within this process, on a day, and give what it shows.

    Raises:
        StoresError: it failed; gives what it said.
    """
    from stores.cli.app import program

    shown, said = io.StringIO(), io.StringIO()
    with (
        contextlib.redirect_stdout(shown),
        contextlib.redirect_stderr(said),
        _environment("STORES_ON", day),
        _environment("STORES_MACHINE", ""),
    ):
        try:
            status = program()(list(words), prog_name="stores", standalone_mode=False)
        except Exception as error:
            if isinstance(error, StoresError) or hasattr(error, "format_message"):
                raise StoresError(str(error)) from error
            raise
    if status == 130:
        raise KeyboardInterrupt
    if status:
        raise StoresError(said.getvalue().strip().removeprefix("stores: ") or f"status {status}")
    return shown.getvalue()


@contextlib.contextmanager
def _environment(name: str, value: str) -> Iterator[None]:
    before = os.environ.get(name)
    if value:
        os.environ[name] = value
    else:
        os.environ.pop(name, None)
    try:
        yield
    finally:
        os.environ.pop(name, None)
        if before is not None:
            os.environ[name] = before


def _clear(file: Path) -> str:
    """Make room for a new demo; what somebody has worked in is moved aside, not deleted."""
    from stores.storage.opening import remove, rename

    if not file.exists():
        return ""
    if _size(file) == _noted(file):
        remove(file)
        return ""
    number = 1
    while (aside := file.with_name(f"kept-{number}.db")).exists():
        number += 1
    rename(file, aside)
    return aside.name


def _size(file: Path) -> str:
    from stores.errors import NotFound
    from stores.storage import open_store
    from stores.storage.acts import act_lines

    try:
        with open_store(str(file)) as store, store.reading() as connection:
            acts = act_lines(connection, 1)
    except NotFound:  # stopped before it was begun
        return ""
    return str(acts[0].number if acts else 0)


def _noted(file: Path) -> str:
    note = file.with_name(NOTE)
    return note.read_text() if note.exists() else ""


def _note_size(file: Path) -> None:
    file.with_name(NOTE).write_text(_size(file))


def _progress(typed: Sequence[Typed]) -> Iterator[Typed]:
    from rich.console import Console
    from rich.progress import track

    console = Console(stderr=True)
    if not console.is_terminal:
        yield from typed
        return
    yield from track(typed, description="Strip-down", console=console, transient=True)


def _program() -> str:
    """Say how to call this program from any folder."""
    import shutil
    import sys

    if shutil.which("stores"):
        return "stores"
    beside = Path(sys.executable).with_name("stores")
    if beside.exists():
        return shlex.quote(str(beside))
    return f"{shlex.quote(sys.executable)} -m stores"
