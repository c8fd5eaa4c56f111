"""Tables that have no row in most records: which of them have any is asked once, and not each.

Mix-ups, stacks of shims, renewals: few records have all of them, and each is looked for wherever an
item is read.
"""

from sqlalchemy import Connection, text

from stores.storage.carried import Changes, carried
from stores.storage.moment import moment_of

__all__ = ["SELDOM", "WHICH", "has_rows"]

SELDOM = (
    "act",
    "closing",
    "correction",
    "filing",
    "layer",
    "mix_up_line",
    "renew_choice",
    "renew_rule",
    "setting",
    "stowing",
    "work_done",
)
"""The tables; of acts those that take another one back."""

WHICH = text(
    " UNION ALL ".join(
        f"SELECT '{table}' WHERE EXISTS (SELECT 1 FROM {table}"
        + (" WHERE reverses IS NOT NULL)" if table == "act" else ")")
        for table in SELDOM
    )
)
"""The statement that gives those with rows."""


def has_rows(connection: Connection, table: str) -> bool:
    """Return whether one of these tables has any row, also of an act that was taken back; where
    something is being written already, that it may have."""
    if moment_of(connection) is None:
        return True
    there = carried(connection, "seldom", "", SELDOM, lambda: _with_rows(connection), _mended)
    return table in there


def _with_rows(connection: Connection) -> frozenset[str]:
    return frozenset(connection.execute(WHICH).scalars())


def _mended(older: frozenset[str], changes: Changes) -> frozenset[str]:
    return older | changes.rows.keys()
