"""Putting replies on the screen, 80 columns wide, or as JSON."""

import shutil
import textwrap
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import typer

from stores.errors import StoresError
from stores.text import safe_to_show
from stores.wording.marks import plain as without_marks

if TYPE_CHECKING:
    from stores.wording import Line, Lines, Listing, Said

R = TypeVar("R")

__all__ = [
    "as_json",
    "bar",
    "json_text",
    "lines",
    "listing",
    "paragraph",
    "plain",
    "reply",
    "said",
    "say",
    "table",
]


def width() -> int:
    """Give the screen's width, at most 100 columns: longer lines are hard to read."""
    return max(40, min(100, shutil.get_terminal_size((80, 24)).columns))


def say(text: str = "", *, err: bool = False) -> None:
    """Show a line of words, without marks and without what steers a terminal."""
    typer.echo(safe_to_show(without_marks(text)), err=err)


def paragraph(text: str, *, first: str = "", rest: str = "", bullet: bool = False) -> None:
    """Show a text wrapped to the screen; ``first`` and ``rest`` begin its lines."""
    if bullet:
        first, rest = first + "- ", rest + "  "
    wrapped = textwrap.wrap(
        without_marks(text),
        width(),
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=False,  # a file's path can be copied only whole
        break_on_hyphens=False,
    )
    for line in wrapped or [first.rstrip()]:
        say(line)


def said(words: "Said") -> None:
    """Show a reply in words."""
    for line in words.lines:
        indent = " " * (len(line) - len(line.lstrip()))
        paragraph(line.strip(), first=indent, rest=indent + "     ")
    for note in words.notes:
        paragraph(note, first="", rest="  ")
    for caution in words.cautions:
        paragraph(caution, first="! ", rest="  ")


def reply(
    answer: "R",
    words: "Callable[[R], Said | Lines | Listing]",
    *,
    json_wanted: bool,
    full: bool | None = None,
) -> None:
    """Show the reply of a use-case: in words, or as it is, as JSON.

    ``full`` spells the sources of a figure out; None is where nobody can ask for that.
    """
    if json_wanted:
        as_json(answer)
        return
    from stores.wording import Lines, Listing

    shown = words(answer)
    if isinstance(shown, Listing):
        listing(shown)
    elif isinstance(shown, Lines):
        lines(shown.lines)
        if shown.sources:
            from stores.wording.reckoning import source_lines

            lines(source_lines(shown.sources, full=full))
    else:
        said(shown)


def lines(shown: "Iterable[Line]") -> None:
    """Show lines that are indented each in its own way."""
    for line in shown:
        if line.whole:
            say(line.text)
        else:
            paragraph(line.text, first=line.first, rest=line.rest)


def listing(words: "Listing") -> None:
    """Show a table, or what is said of none."""
    if words.rows or not words.empty:
        table(words.heads, words.rows, right=words.right)
    else:
        say(words.empty)


def as_json(value: Any) -> None:
    """Show a value as JSON."""
    import json

    json_text(json.dumps(plain(value), ensure_ascii=False, indent=2))


def json_text(text: str) -> None:
    """Show JSON; what would steer a terminal is written as JSON writes it, in hexadecimal."""
    if safe_to_show(text) != text:
        text = "".join(
            each if safe_to_show(each) == each else f"\\u{ord(each):04x}" for each in text
        )
    typer.echo(text)


def plain(value: Any) -> Any:
    """Turn values of ours into what JSON knows."""
    if is_dataclass(value) and not isinstance(value, type):
        value = {
            field.name: getattr(value, field.name)
            for field in fields(value)
            if not field.metadata.get("drawn")
        }
    elif isinstance(value, StoresError):
        value = {"fact": value.fact} | value.facts
    if isinstance(value, dict):
        return {str(key): plain(entry) for key, entry in value.items()}
    if isinstance(value, (list, tuple, set, frozenset)):
        return [plain(entry) for entry in value]
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, Path):
        return str(value)
    return value.isoformat() if isinstance(value, date) else value


_PHASES = {
    "look": "looking at them",
    "read": "reading labels in them",
    "keep": "keeping them",
    "check": "reading kept pictures",
    "copy": "copying pictures",
}


@contextmanager
def bar() -> Iterator[Callable[[str, int, int], None] | None]:
    """Give what moves a progress bar, on a terminal; None elsewhere."""
    from rich.console import Console
    from rich.progress import Progress

    console = Console(stderr=True)
    if not console.is_terminal:
        yield None
        return
    with Progress(console=console, transient=True) as progress:
        task = progress.add_task("", total=None)

        def move(phase: str, done: int, total: int) -> None:
            words = _PHASES.get(phase, phase)
            progress.update(task, description=words, completed=done, total=total)

        yield move


def table(
    heads: Sequence[str], rows: Iterable[Sequence[str]], *, right: Sequence[int] = ()
) -> None:
    """Show a table that folds long cells rather than cutting them."""
    from rich.box import SIMPLE_HEAD
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    made = Table(box=SIMPLE_HEAD, pad_edge=False, show_edge=False)
    for place, head in enumerate(heads):
        made.add_column(Text(head), justify="right" if place in right else "left", overflow="fold")
    for row in rows:
        made.add_row(*(Text(safe_to_show(without_marks(cell))) for cell in row))
    Console(width=width(), highlight=False, soft_wrap=False).print(made)
