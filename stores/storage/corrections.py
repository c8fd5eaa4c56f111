"""Corrections: the newest word on a fact, and the record as it reads with them.

A correction says what was true all along. It is a row of its own, by subject, field and the act
that brought it: what was written first stays in its table, for the history, and undoing the act
brings the word before it back. ``MACHINES``, ``ASSEMBLIES``, ``STEPS`` and ``ITEMS`` are the tables
as they read with every correction in force. Whoever reads the record reads these; the rows of
`stores.storage.tables` are for writing, and for the history of a fact.

Everything is worked out by the database in the statement that asks, so that no reader can forget
it. Which acts no longer stand is worked out there too: a chain of reversals, each of the one
before, leaves an act in force where their number is even, as `stores.model.ledger.fallen_acts` says
of numbers that are in hand.

Two steps or two lines that were joined: the second reads as the first from then on, so that what
was filed under it, a picture or a snag, is found there.
"""

from collections.abc import Collection
from typing import Any

from sqlalchemy import Connection, Subquery, exists, func, literal_column, select, union
from sqlmodel import Field, SQLModel, col

from stores.model.items import RANKS_APART
from stores.storage.tables import (
    ActRow,
    AssemblyRow,
    ItemRow,
    MachineRow,
    StepRow,
)

__all__ = [
    "ASSEMBLIES",
    "EVERY_ITEM",
    "ITEMS",
    "MACHINES",
    "STEPS",
    "CorrectionRow",
    "fallen_act_numbers",
    "items_corrected_to",
    "perhaps",
    "standing_words",
]


class CorrectionRow(SQLModel, table=True):
    """One fact put right: of a machine, an assembly, a step or an item, its field and new value.

    ``text`` or ``number`` is the value, by field; ``folded`` is what ``find`` looks through.
    """

    __tablename__ = "correction"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    subject: str
    subject_id: int
    field: str
    text: str = ""
    number: int | None = None
    folded: str = ""


def fallen_act_numbers() -> Any:
    """Return the statement that gives the acts that no longer stand.

    A reversal that is not itself reversed fells its act; where that act is a reversal too, what it
    reversed stands, and so on down the chain.
    """
    act: Any = ActRow.__table__  # type: ignore[attr-defined]
    later, felled, back = act.alias("later"), act.alias("felled"), act.alias("back")
    first = (
        select(act.c.reverses.label("act"))
        .where(act.c.reverses.is_not(None), ~exists().where(later.c.reverses == act.c.id))
        .cte("fallen", recursive=True)
    )
    chain = first.union_all(
        select(back.c.reverses)
        .select_from(first)
        .join(felled, felled.c.id == first.c.act)
        .join(back, back.c.id == felled.c.reverses)
        .where(back.c.reverses.is_not(None))
    )
    return select(chain.c.act)


_FALLEN = fallen_act_numbers()


def _newest(subject: str, number: Any, field: str, column: str) -> Any:
    row: Any = CorrectionRow.__table__.alias()  # type: ignore[attr-defined]
    return (
        select(row.c[column])
        .where(
            row.c.subject == literal_column(f"'{subject}'"),
            row.c.subject_id == number,
            row.c.field == literal_column(f"'{field}'"),
            row.c.act_id.not_in(_FALLEN),
        )
        .order_by(row.c.id.desc())
        .limit(1)
        .scalar_subquery()
    )


def _now(subject: str, table: Any, field: str, *, number: bool = False) -> Any:
    """Return a column as it reads now: its newest correction, else what was written."""
    new = _newest(subject, table.c.id, field, "number" if number else "text")
    return func.coalesce(new, table.c[field]).label(field)


def _machines() -> Subquery:
    table: Any = MachineRow.__table__  # type: ignore[attr-defined]
    fields = ("name", "maker", "model", "year", "note")
    return select(
        table.c.id, table.c.act_id, *(_now("machine", table, field) for field in fields)
    ).subquery("machines")


def _assemblies() -> Subquery:
    table: Any = AssemblyRow.__table__  # type: ignore[attr-defined]
    return select(
        table.c.id,
        table.c.machine_id,
        table.c.parent_id,
        _now("assembly", table, "name"),
        _now("assembly", table, "path"),
    ).subquery("assemblies")


def _steps() -> Subquery:
    """A step that was joined to another reads as that one, under its own ``id``."""
    own: Any = StepRow.__table__.alias("own_step")  # type: ignore[attr-defined]
    table: Any = StepRow.__table__.alias("as_step")  # type: ignore[attr-defined]
    act: Any = ActRow.__table__  # type: ignore[attr-defined]
    happened = select(act.c.happened_at).where(act.c.id == table.c.act_id).scalar_subquery()
    rank = func.coalesce(
        _newest("step", table.c.id, "rank", "number"), table.c.number * RANKS_APART
    )
    return (
        select(
            own.c.id,
            table.c.act_id,
            table.c.id.label("as_id"),
            _now("step", table, "machine_id", number=True),
            _now("step", table, "number", number=True),
            _now("step", table, "assembly_id", number=True),
            _now("step", table, "part"),
            _now("step", table, "note"),
            _now("step", table, "hazard"),
            rank.label("rank"),
            func.coalesce(_newest("step", table.c.id, "happened_at", "text"), happened).label(
                "happened_at"
            ),
        )
        .select_from(own)
        .join(
            table,
            table.c.id == func.coalesce(_newest("step", own.c.id, "joined", "number"), own.c.id),
        )
        .subquery("steps")
    )


def _items(*, joined: bool) -> Subquery:
    table: Any = ItemRow.__table__  # type: ignore[attr-defined]
    statement = select(
        table.c.id,
        table.c.act_id,
        _now("item", table, "machine_id", number=True),
        _now("item", table, "step_id", number=True),
        _now("item", table, "line", number=True),
        _now("item", table, "description_id", number=True),
        _now("item", table, "found", number=True),
        _now("item", table, "written"),
        _now("item", table, "position"),
        table.c.words,
    )
    if not joined:
        statement = statement.where(_newest("item", table.c.id, "joined", "number").is_(None))
    return statement.subquery("items")


MACHINES = _machines()
"""The machines as they read now, with the columns of their table."""

ASSEMBLIES = _assemblies()
"""The assemblies as they read now; two that were made one have the same path."""

STEPS = _steps()
"""The steps as they read now. ``rank`` is the order in which they came off, ``happened_at`` when;
``as_id`` is the row's own number, or that of the step that it was joined to."""

ITEMS = _items(joined=False)
"""The lines as they read now, without those that were joined to another."""

EVERY_ITEM = _items(joined=True)
"""The lines as they read now, with those that were joined to another: they hold no pieces."""


def perhaps(table: type[SQLModel], field: str, values: Any) -> Any:
    """Return the statement of the rows' numbers that were written, or ever corrected, to values.

    The columns of a table as it reads now are worked out, and no index knows them: this narrows a
    search down by the indexes that there are. What it gives has to be looked at again.
    """
    rows: Any = table.__table__  # type: ignore[attr-defined]
    row: Any = CorrectionRow.__table__.alias()  # type: ignore[attr-defined]
    return union(
        select(rows.c.id).where(rows.c[field].in_(values)),
        select(row.c.subject_id).where(
            row.c.subject == rows.name, row.c.field == field, row.c.number.in_(values)
        ),
    )


def items_corrected_to(connection: Connection, like: str) -> set[int]:
    """Return the items that were ever corrected to words like these: the line itself, the step that
    it is of, or the step's assembly. What this gives has to be looked at again."""
    row = CorrectionRow
    numbers: dict[str, set[int]] = {"machine": set(), "assembly": set(), "step": set()}
    numbers["item"] = set()
    for subject, number in connection.execute(
        select(col(row.subject), col(row.subject_id)).where(col(row.folded).like(like, escape="\\"))
    ):
        numbers[subject].add(number)
    steps = numbers["step"]
    if numbers["assembly"]:
        steps |= set(
            connection.execute(
                select(STEPS.c.id).where(STEPS.c.assembly_id.in_(numbers["assembly"]))
            ).scalars()
        )
    if steps:
        of_steps = select(STEPS.c.id).where(STEPS.c.as_id.in_(steps))
        rows = sorted(set(connection.execute(of_steps).scalars()))
        found = connection.execute(perhaps(ItemRow, "step_id", rows)).scalars()
        return numbers["item"] | set(found)
    return numbers["item"]


def standing_words(
    connection: Connection, subject: str, numbers: Collection[int]
) -> list[tuple[int, int, str, str, int | None]]:
    """Return the corrections in force of these rows, the oldest first: act, row, field, value."""
    from stores.storage.acts import standing

    row = CorrectionRow
    statement = (
        select(col(row.act_id), col(row.subject_id), col(row.field), col(row.text), col(row.number))
        .where(col(row.subject) == subject, col(row.subject_id).in_(numbers))
        .order_by(col(row.id))
    )
    return [tuple(each) for each in standing(connection, statement)]
