"""Parts lists that are read in, in words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stores.planning.parts_lists import RowOutcome
from stores.wording import Listing, Said
from stores.wording.marks import to_type

if TYPE_CHECKING:
    from stores.usecases.parts_lists import PartOnList, PartRow, PartsListRead, PartsLists

__all__ = [
    "FATE_HEADS",
    "HINTS",
    "LIST_HEADS",
    "REFUSALS",
    "TrialInWords",
    "cells_of",
    "fate_cells",
    "listing",
    "read_in",
    "trial",
]

FATE_HEADS = ("Line", "Outcome", "Quantity", "What", "Number", "Assembly", "Which")
"""Heads of the table of what becomes of each row."""

LIST_HEADS = ("List", "Line", "Number", "Quantity", "What", "Assembly", "Item", "Note")
"""Heads of the table of what was read in."""


def _no_heading(source: str, chosen: Mapping[str, str], there: Sequence[str]) -> str:
    wanted = ", ".join(f"{name}={head}" for name, head in chosen.items()) or "what a part is"
    seen = f"; there is: {', '.join(there)}"[:300] if there else "; the list is empty"
    how = to_type("--column what=HEADING")
    return f"{source}: no heading for {wanted}: say it with {how}{seen}"


REFUSALS = {
    "not a column": to_type("--column") + ' {typed!r}: write it as what="Part name"',
    "no such column": "no column is called {name!r}; they are: {columns}",
    "no heading": _no_heading,
    "parts list read already": (
        "{source!r} was read in already, act {act}: undo that first, or give this one "
        "another name with " + to_type("--from")
    ),
    "row of a parts list": (
        "{source}, line {line}: {reason}; {rows} such in all, nothing was read in: mend them, or "
        "leave them out with " + to_type("--without-refused")
    ),
    "no row to read in": "{source} has no row to read in",
}
HINTS: dict[str, str] = {}


@dataclass(frozen=True, slots=True)
class TrialInWords:
    """A trial: the columns taken, what becomes of the rows, and how many there are of each."""

    columns: str
    rows: Listing
    more: int
    refused: tuple[str, ...]
    total: str
    mend: str


def read_in(reply: "PartsListRead") -> Said:
    """Return that a list is on record."""
    kept = reply.rows[RowOutcome.NEW] + reply.rows[RowOutcome.MATCHED]
    bad = reply.rows[RowOutcome.REFUSED]
    lines = ", ".join(str(row.line) for row in reply.refused)
    if bad > len(reply.refused):
        lines += f" and {bad - len(reply.refused)} more"
    return Said(
        (
            f"Parts list {reply.source} read in for {reply.machine}: {kept} rows, "
            f"{reply.rows[RowOutcome.MATCHED]} matched to items",
        ),
        (f"{bad} refused and left out: lines {lines}",) if bad else (),
    )


def trial(reply: "PartsListRead") -> TrialInWords:
    """Return what would become of the rows."""
    cells = [fate_cells(row) for row in reply.fates]
    counts = ", ".join(f"{count:,} {name}" for name, count in reply.rows.items() if count)
    total = sum(reply.rows.values()) - reply.rows[RowOutcome.EMPTY]
    return TrialInWords(
        ", ".join(f"{name} = {heading!r}" for name, heading in reply.columns.items()),
        Listing(
            ["Line", "Outcome", "Qty", "What", ""],
            [[str(c[0]), str(c[1]), str(c[2]), str(c[3]), str(c[6])] for c in cells],
            [0, 2],
        ),
        total - len(reply.fates),
        tuple(
            f"line {row.line} refused: {row.reason}"
            for row in reply.refused
            if row not in reply.fates
        ),
        f"Trial for {reply.machine}: {counts or 'no rows'}. Nothing was written.",
        f"Mend the refused rows, or add {to_type('--without-refused')}."
        if reply.rows[RowOutcome.REFUSED]
        else "",
    )


def fate_cells(row: "PartRow") -> tuple[int | str, ...]:
    """Return a row under `FATE_HEADS`."""
    quantity: int | str = "" if row.quantity is None else row.quantity or "A/R"
    return row.line, row.fate.value, quantity, row.what, row.number, row.assembly, _which(row)


def _which(row: "PartRow") -> str:
    if row.candidates:
        return f"may be any of {', '.join(row.candidates)}"
    if row.there is not None:
        return f"{row.item}, but {row.there} there"
    return row.item or row.reason


def cells_of(part: "PartOnList") -> tuple[int | str, ...]:
    """Return a row on record under `LIST_HEADS`."""
    return (
        part.source, part.line, part.number, part.quantity or "A/R", part.what, part.assembly,
        part.item, part.note,
    )  # fmt: skip


def listing(reply: "PartsLists") -> Listing:
    """Return what was read in as a table."""
    return Listing(
        ["List", "Line", "Number", "Qty", "What", "Item"],
        [[str(cell) for cell in (*cells[:5], cells[6])] for cells in map(cells_of, reply.parts)],
        [1, 3],
        f"No parts list was read in for {reply.machine}: {to_type('stores order parts-list FILE')}",
    )
