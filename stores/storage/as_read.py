"""The statements by which the record is read with its corrections, as text alone.

`stores.storage.corrections` makes tables of them; what has to answer before SQLAlchemy is loaded
asks the database itself (`stores.storage.quick`).
"""

import re
from collections.abc import Collection, Mapping

__all__ = ["FALLEN", "JOINED_STEPS", "PATH", "THERE", "as_read", "as_written", "newest"]

FALLEN = (
    "WITH RECURSIVE fallen(act) AS (SELECT a.reverses FROM act a WHERE a.reverses IS NOT NULL "
    "AND NOT EXISTS (SELECT 1 FROM act l WHERE l.reverses = a.id) "
    "UNION ALL SELECT b.reverses FROM fallen f JOIN act a ON a.id = f.act "
    "JOIN act b ON b.id = a.reverses WHERE b.reverses IS NOT NULL) SELECT act FROM fallen"
)
"""The acts that no longer stand. A reversal that is not itself reversed fells its act; where that
act is a reversal too, what it reversed stands, and so on down the chain."""


def newest(subject: str, number: str, field: str, column: str) -> str:
    """Return the expression of what a fact was last put right to, NULL where it never was."""
    return (
        f"(SELECT c.{column} FROM correction c WHERE c.subject = '{subject}' "
        f"AND c.subject_id = {number} AND c.field = '{field}' "
        f"AND c.act_id NOT IN ({FALLEN}) ORDER BY c.id DESC LIMIT 1)"
    )


PATH = f"coalesce({newest('assembly', 't.id', 'path', 'text')}, rtrim(t.path, '/'))"
"""The path of an assembly ``t`` as it reads now."""
JOINED_STEPS = (
    "step own JOIN step t ON t.id = "
    f"coalesce({newest('step', 'own.id', 'joined', 'number')}, own.id)"
)
"""The steps ``own`` beside the step ``t`` that each reads as now."""
THERE = (
    f" WHERE {newest('item', 't.id', 'joined', 'number')} IS NULL"
    f" AND {newest('item', 't.id', 'dropped', 'number')} IS NULL"
)
"""Of the lines ``t`` those that were neither joined to another nor never there."""


def as_read(
    subject: str,
    table: str,
    *,
    kept: Collection[str] = ("act_id",),
    words: Collection[str] = (),
    numbers: Collection[str] = (),
    more: Mapping[str, str] | None = None,
    source: str = "",
    where: str = "",
) -> tuple[str, tuple[str, ...]]:
    """Return the statement of a table as it reads now, and its columns: as written, or as newly put
    right, and ``more``."""
    columns = {"id": "own.id"} if source else {"id": "t.id"}
    columns |= {each: f"t.{each}" for each in kept}
    for kind, fields in (("text", words), ("number", numbers)):
        for each in fields:
            columns[each] = f"coalesce({newest(subject, 't.id', each, kind)}, t.{each})"
    columns |= more or {}
    listed = ", ".join(f"{sql} AS {each}" for each, sql in columns.items())
    return f"SELECT {listed} FROM {source or f'{table} t'}{where}", tuple(columns)


def as_written(statement: str) -> str:
    """Return such a statement for rows that nothing was ever put right of: it looks for no newest
    word of anything, and is a third as long."""
    return re.sub(r"\(SELECT c\.\w+ FROM correction c .*? LIMIT 1\)", "NULL", statement)
