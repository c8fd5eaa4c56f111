"""Batches of outwork, with their lines, what came back and what is promised."""

from collections.abc import Collection
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, select
from sqlmodel import col

from stores.model.ledger import PlaceKind
from stores.planning.audit import Fault
from stores.planning.batches import Batch, BatchLine
from stores.planning.status import Awaited
from stores.storage.acts import reversed_acts
from stores.storage.items import read_items
from stores.storage.rows import BatchEventRow, BatchLineRow, BatchReturnRow, BatchRow, PlaceRow

__all__ = ["awaited_from_firms", "batch_faults", "read_batches"]


def read_batches(connection: Connection, numbers: Collection[int] | None = None) -> list[Batch]:
    """Give the standing batches by number; all, or those of these numbers."""
    gone = reversed_acts(connection)
    rows: Any = connection.execute(
        select(BatchRow.__table__, col(PlaceRow.name).label("firm"))  # type: ignore[attr-defined]
        .join(PlaceRow, col(PlaceRow.id) == col(BatchRow.place_id))
        .order_by(col(BatchRow.number))
    )
    found = [
        Batch(row.number, row.firm, row.work, row.finish, row.note, row=row.id, place=row.place_id)
        for row in rows
        if row.act_id not in gone and (numbers is None or row.number in numbers)
    ]
    if not found:
        return []
    lines = _lines(connection, gone)
    returns = _returns(connection, gone)
    events = _events(connection, gone)
    wanted = {item for each in found for item in lines.get(each.row, {})}
    known = {item.number: item for item in read_items(connection, numbers=wanted, verdicts=False)}
    made = []
    for each in found:
        of_batch = []
        for number, row in lines.get(each.row, {}).items():
            if number not in known or not row.quantity:
                continue
            back, off = returns.get((each.row, number), (0, 0))
            of_batch.append(
                BatchLine(known[number], row.quantity, row.metal, row.masking, row.strength,
                          row.note, back, off)
            )  # fmt: skip
        of_batch.sort(key=lambda line: (line.item.step.number, line.item.line))
        made.append(replace(each, lines=tuple(of_batch), events=events.get(each.row, {})))
    return made


def awaited_from_firms(connection: Connection) -> list[Awaited]:
    """Give the pieces of batches that are still away, with the day promised."""
    return [
        Awaited(batch.firm, line.away, line.item.number, line.text, batch.promised)
        for batch in read_batches(connection)
        if batch.sent
        for line in batch.lines
        if line.away
    ]


def batch_faults(connection: Connection) -> list[Fault]:
    """Give what does not agree between batches and the ledger: more back than went, or more said
    to be away than pieces are at the firm."""
    faults = []
    away: dict[tuple[str, int], int] = {}
    known = {}
    for batch in read_batches(connection):
        for line in batch.lines:
            known[line.item.number] = line.item
            if line.back + line.off > line.quantity:
                faults.append(
                    Fault(
                        f"batch {batch.number}",
                        f"{line.back + line.off} of {line.item.ref} back, but {line.quantity} sent",
                    )
                )
            if batch.sent:
                key = (batch.firm, line.item.number)
                away[key] = away.get(key, 0) + line.away
    for (firm, number), count in away.items():
        item = known[number]
        there = sum(
            holding.quantity
            for holding in item.holdings
            if holding.kind is PlaceKind.FIRM and holding.place == firm
        )
        if count > there:
            faults.append(
                Fault(
                    f"outwork at {firm}",
                    f"{count} of {item.ref} away by its batches, {there} there",
                )
            )
    return faults


def _lines(connection: Connection, gone: frozenset[int]) -> dict[int, dict[int, Any]]:
    rows: Any = connection.execute(
        select(BatchLineRow.__table__).order_by(col(BatchLineRow.id))  # type: ignore[attr-defined]
    )
    found: dict[int, dict[int, Any]] = {}
    for row in rows:
        if row.act_id not in gone:
            found.setdefault(row.batch_id, {})[row.item_id] = row
    return found


def _returns(
    connection: Connection, gone: frozenset[int]
) -> dict[tuple[int, int], tuple[int, int]]:
    rows: Any = connection.execute(select(BatchReturnRow.__table__))  # type: ignore[attr-defined]
    found: dict[tuple[int, int], tuple[int, int]] = {}
    for row in rows:
        if row.act_id in gone:
            continue
        back, off = found.get((row.batch_id, row.item_id), (0, 0))
        if row.outcome == "back":
            back += row.quantity
        else:
            off += row.quantity
        found[row.batch_id, row.item_id] = back, off
    return found


def _events(connection: Connection, gone: frozenset[int]) -> dict[int, dict[str, str]]:
    rows: Any = connection.execute(
        select(BatchEventRow.__table__).order_by(col(BatchEventRow.id))  # type: ignore[attr-defined]
    )
    found: dict[int, dict[str, str]] = {}
    for row in rows:
        if row.act_id in gone:
            continue
        marks = found.setdefault(row.batch_id, {})
        if row.value:
            marks[row.event] = row.value
        else:
            marks.pop(row.event, None)
    return found
