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

from collections.abc import Collection, Mapping
from typing import Any

from sqlalchemy import Connection, Integer, Text, and_, column, select, text, union
from sqlmodel import Field, SQLModel, col

from stores.model.items import RANKS_APART
from stores.storage.tables import ItemRow

__all__ = [
    "ASSEMBLIES",
    "EVERY_ITEM",
    "ITEMS",
    "MACHINES",
    "STEPS",
    "CorrectionRow",
    "corrected_in",
    "given_numbers",
    "hangs_on",
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


FALLEN = (
    "WITH RECURSIVE fallen(act) AS (SELECT a.reverses FROM act a WHERE a.reverses IS NOT NULL "
    "AND NOT EXISTS (SELECT 1 FROM act l WHERE l.reverses = a.id) "
    "UNION ALL SELECT b.reverses FROM fallen f JOIN act a ON a.id = f.act "
    "JOIN act b ON b.id = a.reverses WHERE b.reverses IS NOT NULL) SELECT act FROM fallen"
)
"""The acts that no longer stand. A reversal that is not itself reversed fells its act; where that
act is a reversal too, what it reversed stands, and so on down the chain."""


def _newest(subject: str, number: str, field: str, column: str) -> str:
    return (
        f"(SELECT c.{column} FROM correction c WHERE c.subject = '{subject}' "
        f"AND c.subject_id = {number} AND c.field = '{field}' "
        f"AND c.act_id NOT IN ({FALLEN}) ORDER BY c.id DESC LIMIT 1)"
    )


def _as_read(
    subject: str,
    table: str,
    *,
    kept: Collection[str] = ("act_id",),
    words: Collection[str] = (),
    numbers: Collection[str] = (),
    more: Mapping[str, str] | None = None,
    source: str = "",
    where: str = "",
    name: str = "",
) -> Any:
    """Return a table as it reads now: columns as written, or as newly put right, and ``more``.

    The statement is text: as an expression it took SQLAlchemy longer to walk through at each use
    than the database to answer (178 ms a search by measurement, against 65).
    """
    columns = {"id": "own.id"} if source else {"id": "t.id"}
    columns |= {each: f"t.{each}" for each in kept}
    for kind, fields in (("text", words), ("number", numbers)):
        for each in fields:
            columns[each] = f"coalesce({_newest(subject, 't.id', each, kind)}, t.{each})"
    columns |= more or {}
    listed = ", ".join(f"{sql} AS {each}" for each, sql in columns.items())
    statement = text(f"SELECT {listed} FROM {source or f'{table} t'}{where}")
    whole = {"id", "as_id", "act_id", "found", "line", "rank", "number"}
    typed = [
        column(each, Integer if each in whole or each.endswith("_id") else Text) for each in columns
    ]
    return statement.columns(*typed).subquery(name)


MACHINES = _as_read(
    "machine", "machine", words=("name", "maker", "model", "year", "note"), name="machines"
)
"""The machines as they read now, with the columns of their table."""

ASSEMBLIES = _as_read(
    "assembly",
    "assembly",
    kept=("machine_id", "parent_id"),
    words=("name", "path"),
    name="assemblies",
)
"""The assemblies as they read now; two that were made one have the same path."""

STEPS = _as_read(
    "step",
    "step",
    words=("part", "note", "hazard"),
    numbers=("machine_id", "number", "assembly_id"),
    more={
        "as_id": "t.id",
        "rank": f"coalesce({_newest('step', 't.id', 'rank', 'number')}, t.number * {RANKS_APART})",
        "happened_at": f"coalesce({_newest('step', 't.id', 'happened_at', 'text')}, "
        "(SELECT a.happened_at FROM act a WHERE a.id = t.act_id))",
    },
    source="step own JOIN step t ON t.id = "
    f"coalesce({_newest('step', 'own.id', 'joined', 'number')}, own.id)",
    name="steps",
)
"""The steps as they read now. ``rank`` is the order in which they came off, ``happened_at`` when.
One that was joined to another reads as that one, ``as_id``, under its own ``id``."""


def _items(where: str, name: str) -> Any:
    return _as_read(
        "item",
        "item",
        kept=("act_id", "words"),
        words=("written", "position"),
        numbers=("machine_id", "step_id", "line", "description_id", "found"),
        where=where,
        name=name,
    )


ITEMS = _items(f" WHERE {_newest('item', 't.id', 'joined', 'number')} IS NULL", "items")
"""The lines as they read now, without those that were joined to another."""

EVERY_ITEM = _items("", "every_item")
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


def given_numbers(connection: Connection, subject: str, owner: int | None) -> list[int]:
    """Return the numbers that corrections ever gave to steps that came to a machine, or to lines
    that came to a step: none is used again. Begins with 0."""
    field, to = ("number", "machine_id") if subject == "step" else ("line", "step_id")
    row: Any = CorrectionRow.__table__  # type: ignore[attr-defined]
    came = row.alias()
    rows: Any = connection.execute(
        select(row.c.number)
        .select_from(row)
        .join(
            came,
            and_(
                came.c.act_id == row.c.act_id,
                came.c.subject == row.c.subject,
                came.c.subject_id == row.c.subject_id,
                came.c.field == to,
            ),
        )
        .where(row.c.subject == subject, row.c.field == field, came.c.number == owner)
    ).scalars()
    return [0, *rows]


_OF_THE_LINE = frozenset(("correction", "finding", "item", "movement", "specification"))


def hangs_on(connection: Connection, subject: str, number: int) -> tuple[str, ...]:
    """Return which standing rows name a step or an item beside the lines, pieces and verdicts that
    go along with it: the names of their tables."""
    from sqlalchemy import MetaData

    from stores.storage.acts import reversed_acts

    reversed_numbers = reversed_acts(connection)
    known = MetaData()
    known.reflect(connection)
    names = []
    for table in known.sorted_tables:
        of = table.c.get(f"{subject}_id")
        if table.name in _OF_THE_LINE or of is None or "act_id" not in table.c:
            continue
        acts = connection.execute(select(table.c.act_id).where(of == number)).scalars()
        if any(act not in reversed_numbers for act in acts):
            names.append(table.name)
    return tuple(names)


def corrected_in(connection: Connection, subject: str, numbers: Collection[int]) -> set[int]:
    """Return the acts that ever corrected these rows of a subject."""
    row = CorrectionRow
    return set(
        connection.execute(
            select(col(row.act_id)).where(
                col(row.subject) == subject, col(row.subject_id).in_(numbers)
            )
        ).scalars()
    )


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
