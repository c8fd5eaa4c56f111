"""Acts: what stands, the history, and the whole record for the audit."""

from collections.abc import Collection, Iterable
from typing import Any

from sqlalchemy import Connection, func, select
from sqlmodel import col

from stores.model.ledger import ActKind, fallen_acts
from stores.model.record import ActLine
from stores.storage.balances import of_numbers
from stores.storage.carried import carried
from stores.storage.corrections import STEPS
from stores.storage.moment import mark_of, moment_of
from stores.storage.seldom import has_rows
from stores.storage.tables import ActRow

__all__ = [
    "ActLine",
    "act_lines",
    "act_of_step",
    "act_summary",
    "acts_of",
    "is_correction",
    "newest_act",
    "reversed_acts",
    "standing",
    "step_of_act",
]


def reversed_acts(connection: Connection) -> frozenset[int]:
    """Give the acts that no longer stand; while a moment is read, they are looked up once."""
    moment = moment_of(connection)
    if moment is None:
        return fallen_acts(_reversals(connection))
    if moment.gone is None:
        moment.gone = frozenset()
        if has_rows(connection, "act"):
            moment.gone = carried(
                connection, "gone", "", ("act",), lambda: fallen_acts(_reversals(connection))
            )
    return moment.gone


def standing(connection: Connection, statement: Any) -> list[Any]:
    """Return the rows of a statement that are in force: those of acts that were not reversed.

    The statement gives each row its act's number as ``act_id``.
    """
    reversed_numbers = reversed_acts(connection)
    return [row for row in connection.execute(statement) if row.act_id not in reversed_numbers]


def _reversals(connection: Connection) -> dict[int, int]:
    rows: Any = connection.execute(
        select(col(ActRow.id), col(ActRow.reverses)).where(col(ActRow.reverses).is_not(None))
    )
    return {act: back for act, back in rows}  # noqa: C416 - typed rows


def newest_act(connection: Connection) -> int:
    """Give the number of the newest act, 0 before there is one."""
    moment = moment_of(connection)
    if moment is not None:
        newest = mark_of(connection, moment)
        return newest.act if newest else 0
    return int(connection.execute(select(func.max(col(ActRow.id)))).scalar() or 0)


def act_lines(
    connection: Connection, most: int | None = None, before: int | None = None
) -> list[ActLine]:
    """Give the acts, the newest first, or only those before one."""
    statement = select(ActRow.__table__).order_by(col(ActRow.id).desc())  # type: ignore[attr-defined]
    if before is not None:
        statement = statement.where(col(ActRow.id) < before)
    if most is not None:
        statement = statement.limit(most)
    return _lines(connection, connection.execute(statement))


def acts_of(connection: Connection, numbers: Collection[int]) -> list[ActLine]:
    """Give the acts of these numbers, the oldest first."""
    statement = select(ActRow.__table__)  # type: ignore[attr-defined]
    rows = of_numbers(connection, statement, col(ActRow.id), numbers)
    return _lines(connection, sorted(rows, key=lambda row: row.id))


def _lines(connection: Connection, rows: Iterable[Any]) -> list[ActLine]:
    gone = reversed_acts(connection)
    by = {back: act for act, back in _reversals(connection).items()}
    return [
        ActLine(
            row.id,
            ActKind(row.kind),
            row.happened_at,
            row.summary,
            row.reason,
            row.reverses,
            by.get(row.id),
            row.id not in gone,
        )
        for row in rows
    ]


def act_of_step(connection: Connection, machine: int, number: int) -> int | None:
    """Give the act that recorded a step; of steps that were made one, that which the others read
    as."""
    found: int | None = connection.execute(
        select(STEPS.c.act_id).where(
            STEPS.c.machine_id == machine, STEPS.c.number == number, STEPS.c.id == STEPS.c.as_id
        )
    ).scalar()
    return found


def step_of_act(connection: Connection, act: int) -> int | None:
    """Give the step that an act recorded, None if it recorded none."""
    number: int | None = connection.execute(
        select(STEPS.c.number).where(STEPS.c.act_id == act).order_by(STEPS.c.id)
    ).scalar()
    return number


def is_correction(connection: Connection, number: int) -> bool:
    """Return whether an act put the record right, took that back, or brought it back."""
    back = _reversals(connection)
    while number in back:
        number = back[number]
    return act_summary(connection, number)[1] is ActKind.CORRECT


def act_summary(connection: Connection, number: int) -> tuple[str, ActKind | None]:
    """Give what an act did and its kind; nothing when there is no such act."""
    row: Any = connection.execute(
        select(col(ActRow.summary), col(ActRow.kind)).where(col(ActRow.id) == number)
    ).first()
    return (row.summary, ActKind(row.kind)) if row else ("", None)
