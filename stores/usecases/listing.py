"""Reading a parts list in: a trial that shows each row's fate, then all rows or none."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field
from itertools import islice

from sqlalchemy import Connection

from stores.errors import BadValue, Refused
from stores.model.ledger import ActKind
from stores.planning.parts_list import Columns, Fate, Index, ListedPart, Outcome, read_part
from stores.storage import Store, Writer
from stores.storage.items import read_items
from stores.storage.machines import machine_named
from stores.storage.parts_lists import sources_read
from stores.text import clean
from stores.usecases.common import Done

__all__ = ["Read", "read_list"]

PIECE = 2000
"""Rows written at a time."""

TITLE_ROWS = 20
"""How far down the headings may stand."""


@dataclass(slots=True)
class Read:
    """What became of a list: counts by fate, which columns were taken, the act if it was kept."""

    machine: str
    columns: str = ""
    counts: dict[str, int] = field(default_factory=lambda: dict.fromkeys(map(str, Outcome), 0))
    refused: list[Fate] = field(default_factory=list)
    done: Done | None = None


def read_list(
    store: Store,
    rows: Iterable[tuple[int, Sequence[str]]],
    source: str,
    *,
    chosen: Mapping[str, str] | None = None,
    accept: bool = False,
    without_refused: bool = False,
    machine: str | None = None,
    each: Callable[[Fate], None] | None = None,
    progress: Callable[[], None] | None = None,
    at: str | None = None,
) -> Read:
    """Read a parts list; with ``accept`` write it down, in one transaction.

    Args:
        store: the opened stores.
        rows: line and cells of each row, the headings among the first twenty.
        source: what the list is called: nothing is read in twice under one name.
        chosen: the headings of columns that are not guessed, by name.
        accept: write it down; else it is a trial and nothing is written.
        without_refused: leave out what is refused; else one such row stops the whole list.
        machine: its name, when not the one last worked on.
        each: called with every row's fate.
        progress: called now and then.
        at: the day, when not today.

    Raises:
        BadValue: no headings.
        Refused: read already; with ``accept``: a row that is refused, or no row at all.
    """
    source = clean(source, "the name of the list", most=200)
    with ExitStack() as stack:
        writer = stack.enter_context(store.writing()) if accept else None
        connection: Connection = (
            writer.connection if writer else stack.enter_context(store.reading())
        )
        on = machine_named(connection, machine)
        known = sources_read(connection, on.number).get(source)
        if known:
            raise Refused(
                f"{source!r} was read in already, act {known}: undo that first, or name this one "
                "otherwise with --from"
            )
        read = Read(on.name)
        going = iter(rows)
        columns = _headings(going, chosen or {}, source, read)
        index = Index(read_items(connection, machine=on.number, verdicts=False))
        act = writer.begin(ActKind.LIST, f"parts list {source}", at=at) if writer else 0
        fates = _fates(going, columns, index, read, each)
        while piece := list(islice(fates, PIECE)):
            if writer and (without_refused or not read.counts[Outcome.REFUSED]):
                writer.listed_parts(act, on.number, source, piece)
            if progress:
                progress()
        if writer:
            _keep(writer, read, source, act, without_refused=without_refused)
    return read


def _headings(
    rows: Iterator[tuple[int, Sequence[str]]], chosen: Mapping[str, str], source: str, read: Read
) -> Columns:
    seen = []
    for _, heads in islice(rows, TITLE_ROWS):
        columns = Columns.guess(heads, chosen)
        if columns is not None:
            read.columns = columns.said(heads)
            return columns
        seen += [head.strip() for head in heads if head.strip()]
    there = f"; there is: {', '.join(seen[:8])}"[:300] if seen else "; the list is empty"
    wanted = ", ".join(f"{name}={head}" for name, head in chosen.items()) or "what a part is"
    raise BadValue(f"{source}: no heading for {wanted}: say it with --column what=HEADING{there}")


def _fates(
    rows: Iterator[tuple[int, Sequence[str]]],
    columns: Columns,
    index: Index,
    read: Read,
    each: Callable[[Fate], None] | None,
) -> Iterator[ListedPart]:
    for line, row in rows:
        fate = read_part(line, row, columns)
        if fate.part is not None:
            fate = index.match(fate.part)
        read.counts[fate.outcome] += 1
        if fate.outcome is Outcome.REFUSED and len(read.refused) < 20:
            read.refused.append(fate)
        if each and fate.outcome is not Outcome.EMPTY:
            each(fate)
        if fate.part is not None:
            yield fate.part


def _keep(writer: Writer, read: Read, source: str, act: int, *, without_refused: bool) -> None:
    kept = read.counts[Outcome.NEW] + read.counts[Outcome.MATCHED]
    bad = read.counts[Outcome.REFUSED]
    if bad and not without_refused:
        first = read.refused[0]
        raise Refused(
            f"{source}, line {first.line}: {first.reason}; {bad} such in all, nothing was read in: "
            "mend them, or leave them out with --without-refused"
        )
    if not kept:
        raise Refused(f"{source} has no row to read in")
    out = (f"{bad} refused and left out: lines {_lines(read.refused, bad)}",) if bad else ()
    read.done = Done(
        act,
        (
            f"Parts list {source} read in for {read.machine}: {kept} rows, "
            f"{read.counts[Outcome.MATCHED]} matched to items",
        ),
        out,
        data={"act": act, "machine": read.machine, "source": source, "rows": read.counts},
    )


def _lines(fates: Sequence[Fate], total: int) -> str:
    named = ", ".join(str(fate.line) for fate in fates)
    return named if total == len(fates) else f"{named} and {total - len(fates)} more"
