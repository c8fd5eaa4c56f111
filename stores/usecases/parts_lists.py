"""Reading a parts list in: a trial that shows each row's fate, then all rows or none.

A parts list moves no piece. Its rows are an act of their own, tied to an item only where exactly
one fits (text in the canonical notation, and the assembly if given); else the row is "new".
"""

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from itertools import islice
from tempfile import TemporaryFile

from sqlalchemy import Connection

from stores.errors import BadValue, Refused
from stores.model.ledger import ActKind
from stores.planning.parts_lists import Columns, Fate, Index, ListedPart, RowOutcome, read_part
from stores.storage.items import read_items
from stores.storage.machines import machine_named
from stores.storage.parts_lists import keep_parts, listed_parts, sources_read
from stores.text import clean
from stores.usecases.context import Ask, Context

__all__ = [
    "ListParts",
    "PartOnList",
    "PartRow",
    "PartsListRead",
    "PartsLists",
    "ReadPartsList",
    "parts_lists",
    "read_parts_list",
]

PIECE = 2000
"""Rows written at a time."""

TITLE_ROWS = 20
"""How far down the headings may stand."""

MOST_REFUSED = 20
"""Refused rows that a reply names."""


@dataclass(frozen=True, slots=True)
class ReadPartsList(Ask):
    """A parts list to be read in; a trial says what becomes of each row, and refuses none.

    ``rows`` are the line and the cells of each row, the headings among the first twenty.
    ``source`` is what the list is called: nothing is read in twice under one name. ``columns``
    name the headings that are not guessed, as typed: ``what=Part name``. ``without_refused``
    leaves out what cannot be read; else one such row stops the whole list. ``most`` is how many
    rows the reply shows, None for all.
    """

    rows: Iterable[tuple[int, Sequence[str]]]
    source: str
    columns: Sequence[str] = ()
    without_refused: bool = False
    most: int | None = None


@dataclass(frozen=True, slots=True)
class PartRow:
    """What becomes of a row of a parts list.

    ``quantity`` is None of a refused row, 0 for as required. ``item`` is the item that it is, and
    ``there`` how many belong there, where that is another number; ``candidates`` are the items
    that it may be, where several fit; ``reason`` is why it is refused.
    """

    line: int
    fate: RowOutcome
    quantity: int | None
    what: str
    number: str
    assembly: str
    item: str
    there: int | None
    candidates: tuple[str, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class PartsListRead:
    """What became of a list: how many rows of which fate, by which columns.

    ``act`` is None of a trial. ``columns`` are the headings taken, by our names of them.
    ``refused`` are the first refused rows, ``fates`` the first rows of all.
    """

    act: int | None
    trial: bool
    machine: str
    source: str
    columns: dict[str, str]
    rows: dict[str, int]
    refused: tuple[PartRow, ...]
    fates: tuple[PartRow, ...]


@dataclass(frozen=True, slots=True)
class ListParts:
    """The parts lists that were read in; ``most`` is how many rows to give, None for all."""

    most: int | None = None


@dataclass(frozen=True, slots=True)
class PartOnList:
    """A row of a parts list on record; ``quantity`` 0 is as required, ``item`` as ``7.2``."""

    source: str
    line: int
    number: str
    quantity: int
    what: str
    assembly: str
    item: str
    note: str


@dataclass(frozen=True, slots=True)
class PartsLists:
    """Rows of a machine's parts lists, of ``total`` in all."""

    machine: str
    parts: tuple[PartOnList, ...]
    total: int


def read_parts_list(
    context: Context,
    ask: ReadPartsList,
    *,
    each: Callable[[PartRow], None] | None = None,
    progress: Callable[[], None] | None = None,
) -> PartsListRead:
    """Record a parts list, in one transaction; or try it.

    ``each`` is called with every row that is not empty, ``progress`` now and then: a list may have
    tens of thousands of rows.

    Raises:
        BadValue: no headings.
        Refused: read already; or, unless it is a trial, a row that is refused, or no row at all.
    """
    source = clean(ask.source, "the name of the list", most=200)
    chosen = _columns_named(ask.columns)
    tally = _Tally(ask.most, each)
    with ExitStack() as stack:
        rows = iter(ask.rows) if ask.trial else stack.enter_context(_read_through(ask.rows))
        writer = None if ask.trial else stack.enter_context(context.writing(ask))
        connection: Connection = (
            writer.connection if writer else stack.enter_context(context.reading())
        )
        on = machine_named(connection, context.machine)
        earlier = sources_read(connection, on.number).get(source)
        if earlier:
            raise Refused("parts list read already", source=source, act=earlier)
        columns, heads = _headings(rows, chosen, source)
        index = Index(read_items(connection, machine=on.number, verdicts=False))
        act = writer.begin(ActKind.LIST, f"parts list {source}", at=context.at) if writer else None
        parts = _parts(rows, columns, index, tally)
        while piece := list(islice(parts, PIECE)):
            if act and (ask.without_refused or not tally.counts[RowOutcome.REFUSED]):
                keep_parts(connection, act, on.number, source, piece)
            if progress:
                progress()
        if writer:
            _refuse(tally, source, without_refused=ask.without_refused)
    return PartsListRead(
        act, ask.trial, on.name, source, columns.named(heads), tally.counts, tuple(tally.refused),
        tuple(tally.rows),
    )  # fmt: skip


@contextmanager
def _read_through(
    rows: Iterable[tuple[int, Sequence[str]]],
) -> Iterator[Iterator[tuple[int, Sequence[str]]]]:
    """Give rows that were all read before: nobody who writes waits for a slow or a faulty file."""
    with TemporaryFile("w+", encoding="utf-8") as file:
        file.writelines(f"{json.dumps((line, list(cells)))}\n" for line, cells in rows)
        file.seek(0)
        yield ((line, cells) for line, cells in map(json.loads, file))


def parts_lists(context: Context, ask: ListParts) -> PartsLists:
    """Return the rows of the parts lists that were read in."""
    with context.reading() as connection:
        on = machine_named(connection, context.machine)
        listed = listed_parts(connection, on.number)
        parts = tuple(
            PartOnList(
                source, part.line, part.reference, part.quantity, part.text, part.assembly, ref,
                part.note,
            )
            for source, part, ref in islice(listed, ask.most)
        )  # fmt: skip
        return PartsLists(on.name, parts, len(parts) + sum(1 for _ in listed))


class _Tally:
    """What became of the rows so far."""

    def __init__(self, most: int | None, each: Callable[[PartRow], None] | None) -> None:
        self.counts: dict[str, int] = dict.fromkeys(map(str, RowOutcome), 0)
        self.refused: list[PartRow] = []
        self.rows: list[PartRow] = []
        self._most = most
        self._each = each

    def add(self, fate: Fate) -> None:
        """Count a row, and keep it as far as the reply shows it."""
        self.counts[fate.outcome] += 1
        if fate.outcome is RowOutcome.EMPTY:
            return
        refused = fate.outcome is RowOutcome.REFUSED and len(self.refused) < MOST_REFUSED
        shown = self._most is None or len(self.rows) < self._most
        if not (refused or shown or self._each):
            return
        row = _row(fate)
        if refused:
            self.refused.append(row)
        if shown:
            self.rows.append(row)
        if self._each:
            self._each(row)


def _row(fate: Fate) -> PartRow:
    part = fate.part
    return PartRow(
        fate.line, fate.outcome, part.quantity if part else None, part.text if part else "",
        part.reference if part else "", part.assembly if part else "", fate.item, fate.there,
        fate.candidates, fate.reason,
    )  # fmt: skip


def _columns_named(typed: Sequence[str]) -> dict[str, str]:
    chosen = {}
    for text in typed:
        name, equals, heading = text.partition("=")
        if not equals or not heading.strip():
            raise BadValue("not a column", typed=text[:40])
        chosen[name.strip().casefold()] = heading
    return chosen


def _headings(
    rows: Iterator[tuple[int, Sequence[str]]], chosen: Mapping[str, str], source: str
) -> tuple[Columns, Sequence[str]]:
    seen = []
    for _, heads in islice(rows, TITLE_ROWS):
        columns = Columns.guess(heads, chosen)
        if columns is not None:
            return columns, heads
        seen += [head.strip() for head in heads if head.strip()]
    raise BadValue("no heading", source=source, chosen=dict(chosen), there=tuple(seen[:8]))


def _parts(
    rows: Iterator[tuple[int, Sequence[str]]], columns: Columns, index: Index, tally: _Tally
) -> Iterator[ListedPart]:
    for line, row in rows:
        fate = read_part(line, row, columns)
        if fate.part is not None:
            fate = index.match(fate.part)
        tally.add(fate)
        if fate.part is not None:
            yield fate.part


def _refuse(tally: _Tally, source: str, *, without_refused: bool) -> None:
    bad = tally.counts[RowOutcome.REFUSED]
    if bad and not without_refused:
        first = tally.refused[0]
        raise Refused(
            "row of a parts list", source=source, line=first.line, reason=first.reason, rows=bad
        )
    if not tally.counts[RowOutcome.NEW] + tally.counts[RowOutcome.MATCHED]:
        raise Refused("no row to read in", source=source)
