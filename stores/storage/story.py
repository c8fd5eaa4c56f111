"""The story of one thing: every act that touched it, found through the tables as they are.

A table says by its foreign keys what a row is of, so a table that comes later is in the story by
itself. It is followed downwards: from a step to its items, from a snag to its clearing. Upwards
only from a line to its batch or order, and from there to what happened to all of that.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, MetaData, or_, select
from sqlmodel import col

from stores.model.items import lies_in
from stores.storage.balances import among, of_numbers
from stores.storage.corrections import ASSEMBLIES, EVERY_ITEM, STEPS, corrected_in
from stores.storage.labels import LabelRow, OutcomeRow
from stores.storage.tables import ActRow, DescriptionRow, FindingRow, MovementRow

__all__ = [
    "LabelMade", "acts_touching", "assembly_rows", "findings_within", "item_row",
    "items_of_steps", "labels_made", "movements_within", "read_refs", "step_rows", "written",
]  # fmt: skip

_WHOLE = {"batch_line": "batch", "purchase_line": "purchase", "filing": "picture"}
"""Of a line also what it is a line of, with what happened to the whole of that."""
_OF_THE_WHOLE = frozenset({"batch_event", "purchase_event", "caption"})
_NO_PARENT = frozenset({"act", "movement", "description"})


@dataclass(frozen=True, slots=True)
class LabelMade:
    """A label of a bag that was made; ``good`` tells whether it came out, None where not said."""

    place: int
    at: str
    good: bool | None


def acts_touching(connection: Connection, things: Mapping[str, Collection[int]]) -> set[int]:
    """Return the acts that wrote these rows or anything about them, with those that took them back.

    ``things`` are rows by table: ``{"item": [3], "step": [1]}``.
    """
    known = MetaData()
    known.reflect(connection)
    acts: set[int] = set()
    found: dict[str, set[int]] = {}
    new = {name: set(rows) for name, rows in things.items()}
    while any(new.values()):
        for name, rows in new.items():
            found.setdefault(name, set()).update(rows)
            _note(connection, known.tables[name], rows, acts)
        above, new = new, {}
        for table in known.sorted_tables:
            if "id" not in table.c or table.name == "act":
                continue
            keys = [
                (next(iter(column.foreign_keys)).column.table.name, column)
                for column in table.c
                if column.foreign_keys
            ]
            for parent, column in keys:
                rows = above.get(parent, set()) if parent not in _NO_PARENT else set()
                fresh = _children(connection, table, column, rows) - found.get(table.name, set())
                if fresh:
                    new.setdefault(table.name, set()).update(fresh)
    for name in ("machine", "assembly", "step", "item"):
        acts.update(corrected_in(connection, name, found.get(name, ())))
    _note_wholes(connection, known, found, acts)
    return acts | _taking_back(connection, acts)


def _note_wholes(
    connection: Connection, known: MetaData, found: Mapping[str, Collection[int]], acts: set[int]
) -> None:
    """Add the acts of what these rows are lines of, with what happened to the whole of that."""
    wholes: dict[str, set[int]] = {}
    for line, whole in _WHOLE.items():
        table = known.tables[line]
        if rows := found.get(line):
            of_rows: Any = select(table.c[f"{whole}_id"]).where(among(table.c.id, rows))
            wholes.setdefault(whole, set()).update(connection.execute(of_rows).scalars())
    for name, rows in wholes.items():
        _note(connection, known.tables[name], rows, acts)
        for table in known.sorted_tables:
            if table.name in _OF_THE_WHOLE and f"{name}_id" in table.c:
                children = _children(connection, table, table.c[f"{name}_id"], rows)
                _note(connection, table, children, acts)


def _children(connection: Connection, table: Any, column: Any, rows: Collection[int]) -> set[int]:
    if not rows:
        return set()
    return set(connection.execute(select(table.c.id).where(among(column, rows))).scalars())


def _note(connection: Connection, table: Any, rows: Collection[int], acts: set[int]) -> None:
    if "act_id" in table.c and rows:
        of_rows = select(table.c.act_id).where(among(table.c.id, rows))
        acts.update(connection.execute(of_rows).scalars())


def _taking_back(connection: Connection, acts: Collection[int]) -> set[int]:
    rows: Any = connection.execute(
        select(col(ActRow.id), col(ActRow.reverses))
        .where(col(ActRow.reverses).is_not(None))
        .order_by(col(ActRow.id))
    )
    taking: set[int] = set()
    for act, back in rows:
        if back in acts or back in taking:
            taking.add(act)
    return taking


def step_rows(connection: Connection, machine: int, numbers: Collection[int]) -> list[int]:
    """Return the rows of these steps of a machine, also of those that were taken back."""
    statement: Any = select(STEPS.c.id).where(STEPS.c.machine_id == machine)
    rows = of_numbers(connection, statement, STEPS.c.number, numbers)
    return [number for (number,) in rows]


def item_row(connection: Connection, machine: int, step: int, line: int) -> int | None:
    """Return the row of an item, also of one that was taken back, None if there never was one."""
    statement: Any = select(EVERY_ITEM.c.id).where(EVERY_ITEM.c.line == line)
    if not step:
        statement = statement.where(EVERY_ITEM.c.step_id.is_(None))
    else:
        statement = statement.where(
            EVERY_ITEM.c.machine_id == machine,
            EVERY_ITEM.c.step_id.in_(
                select(STEPS.c.id).where(STEPS.c.machine_id == machine, STEPS.c.number == step)
            ),
        )
    found: int | None = connection.execute(statement).scalar()
    return found


def items_of_steps(connection: Connection, steps: Collection[int]) -> list[int]:
    """Return the items of these rows of steps, also those that were taken back."""
    statement: Any = select(EVERY_ITEM.c.id)
    rows = of_numbers(connection, statement, EVERY_ITEM.c.step_id, steps)
    return [number for (number,) in rows]


def read_refs(connection: Connection, items: Collection[int]) -> dict[int, tuple[str, str]]:
    """Return how these items are named, as ``7.2``, and what they are."""
    statement: Any = (
        select(EVERY_ITEM.c.id, EVERY_ITEM.c.step_id, EVERY_ITEM.c.line, col(DescriptionRow.text))
        .select_from(EVERY_ITEM)
        .join(DescriptionRow, col(DescriptionRow.id) == EVERY_ITEM.c.description_id)
    )
    rows = of_numbers(connection, statement, EVERY_ITEM.c.id, items)
    listed = {row.step_id for row in rows if row.step_id is not None}
    steps = {
        row.id: row.number
        for row in of_numbers(connection, select(STEPS.c.id, STEPS.c.number), STEPS.c.id, listed)
    }
    return {row.id: (f"{steps.get(row.step_id, 0)}.{row.line}", row.text) for row in rows}


def assembly_rows(connection: Connection, machine: int, path: str) -> list[int]:
    """Return an assembly of a machine and those in it."""
    rows: Any = connection.execute(
        select(ASSEMBLIES.c.id, ASSEMBLIES.c.path).where(ASSEMBLIES.c.machine_id == machine)
    )
    return [number for number, name in rows if lies_in(name, path)]


def movements_within(
    connection: Connection,
    acts: Collection[int],
    items: Collection[int] | None,
    places: Collection[int] | None,
) -> list[Any]:
    """Return the movements of these acts: of these items, or into and out of these places."""
    statement: Any = select(MovementRow.__table__).order_by(col(MovementRow.id))  # type: ignore[attr-defined]
    if places is not None:
        statement = statement.where(
            or_(col(MovementRow.from_place).in_(places), col(MovementRow.to_place).in_(places))
        )
    rows = of_numbers(connection, statement, col(MovementRow.act_id), acts)
    return [row for row in rows if items is None or row.item_id in items]


def findings_within(connection: Connection, acts: Collection[int]) -> list[Any]:
    """Return what was found at the inspections among these acts."""
    statement: Any = select(FindingRow.__table__).order_by(col(FindingRow.id))  # type: ignore[attr-defined]
    return of_numbers(connection, statement, col(FindingRow.act_id), acts)


def labels_made(connection: Connection, places: Collection[int]) -> list[LabelMade]:
    """Return the labels that were made for these bags, the oldest first."""
    statement: Any = (
        select(
            col(LabelRow.id),
            col(LabelRow.place_id),
            col(LabelRow.printed_at),
            col(OutcomeRow.good),
        )
        .join(OutcomeRow, col(OutcomeRow.label_id) == col(LabelRow.id), isouter=True)
        .order_by(col(LabelRow.id), col(OutcomeRow.id))
    )
    made: dict[int, LabelMade] = {}
    for row in of_numbers(connection, statement, col(LabelRow.place_id), places):
        good = None if row.good is None else bool(row.good)
        made[row.id] = LabelMade(row.place_id, row.printed_at, good)
    return list(made.values())


def written(connection: Connection, acts: Iterable[int]) -> dict[int, str]:
    """Return when each of these acts was written down."""
    statement: Any = select(col(ActRow.id), col(ActRow.written_at))
    rows = of_numbers(connection, statement, col(ActRow.id), list(acts))
    return {number: at for number, at in rows}  # noqa: C416 - typed rows
