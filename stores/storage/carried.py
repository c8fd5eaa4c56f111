"""What is carried over from one act to the next, instead of being read anew.

An act touches a few lines of a record, and what is read of thousands of others stays as it was.
`changes_since` says which rows are of the acts that came since, and of those that no longer stand,
or stand again, through them; `carried` gives an answer of an earlier moment where none of these are
in the tables it was read from, and lets it be mended where they are few.

Nothing is carried over that is not asked for again in the same process: a command reads once.
"""

from collections.abc import Callable, Collection, Hashable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from sqlalchemy import Connection, TextClause, text

from stores.storage.moment import Mark, Moment, mark_of, moment_of, subject_of

__all__ = ["FEW", "Changes", "before", "carried", "changes_since", "keep"]

Value = TypeVar("Value")

FEW = 40
"""So many acts at most are looked through; after more, what was read is read anew."""


@dataclass(frozen=True, slots=True)
class Changes:
    """What came between two moments: which tables have rows of it, and of what. ``rows`` are by
    table the items that its rows are of; of stowing, the places. The table ``act`` is among them
    where an act takes another one back."""

    rows: Mapping[str, frozenset[int]]

    def within(self, tables: Collection[str]) -> bool:
        """Return whether any of these tables has rows of it."""
        return not self.rows.keys().isdisjoint(tables)

    def all(self) -> frozenset[int]:
        """Return whose rows of any table they are."""
        return self.of(self.rows)

    def of(self, tables: Collection[str]) -> frozenset[int]:
        """Return whose rows of these tables they are."""
        found = (self.rows[table] for table in tables if table in self.rows)
        return frozenset().union(*found)


def carried(
    connection: Connection,
    name: str,
    key: Hashable,
    tables: Collection[str] | None,
    work: Callable[[], Value],
    mend: Callable[[Value, Changes], Value | None] | None = None,
) -> Value:
    """Return what ``work`` reads from these tables, or what it read before and still holds.

    Args:
        connection: on which a moment is read.
        name: of the answer.
        key: all that it depends on besides the record.
        tables: all tables of acts whose rows it depends on; None where ``mend`` alone says, of any
            act, whether it still holds.
        work: reads it anew.
        mend: makes of an older answer the one of now, given what came since; None where that cannot
            be done. Without it an answer is read anew where one of its tables has rows of that.
    """
    moment = moment_of(connection)
    if moment is None:
        return work()
    now = mark_of(connection, moment)
    kept = moment.answers.last(name, key)
    value: Value | None = None
    if kept is not None:
        then, older = kept
        if then == now:
            return older  # type: ignore[no-any-return]
        changes = changes_since(connection, then)
        if changes is not None and tables is not None and not changes.within(tables):
            value = older
        elif changes is not None and mend is not None:
            value = mend(older, changes)
    if value is None:
        value = work()
    moment.answers.keep_last(name, key, now, value)
    return value


def before(connection: Connection, name: str, key: Hashable) -> Any:
    """Return the answer that `keep` kept last under this name, of whatever moment, None before."""
    moment = moment_of(connection)
    kept = moment.answers.last(name, key) if moment else None
    return kept[1] if kept else None


def keep(connection: Connection, name: str, key: Hashable, value: Any) -> None:
    """Keep an answer for `before`: who takes it up looks at what of it still holds."""
    moment = moment_of(connection)
    if moment is not None:
        moment.answers.keep_last(name, key, mark_of(connection, moment), value)


def changes_since(connection: Connection, then: Mark | None) -> Changes | None:
    """Return what came since the act ``then`` was the newest; None where that cannot be said: too
    much, or it is another record."""
    moment = moment_of(connection)
    if moment is None or then is None:
        return None
    if then not in moment.changes:
        moment.changes[then] = _changes_since(connection, moment, then)
    changes: Changes | None = moment.changes[then]
    return changes


def _changes_since(connection: Connection, moment: Moment, then: Mark) -> Changes | None:
    now, journal = mark_of(connection, moment), moment.answers.journal
    if now is None:
        return None
    rows = journal.since(then, now)
    newest = journal.newest()
    if rows is None and newest is not None and then.act < newest.act < now.act:
        later = _rows_since(connection, moment, newest)
        if later is not None:
            journal.add(newest, now, later)
            rows = journal.since(then, now)
    if rows is None:
        rows = _rows_since(connection, moment, then)
        if rows is not None:
            journal.add(then, now, rows)
    return None if rows is None else Changes(rows)


def _rows_since(
    connection: Connection, moment: Moment, then: Mark
) -> dict[str, frozenset[int]] | None:
    acts, takes_back = [moment.mark.act] if moment.mark else [], False
    if moment.before != then:
        known = connection.execute(_ACTS_SINCE, {"act": then.act, "most": FEW + 2}).all()
        if not known or Mark(*known[0][:-1]) != then or len(known) > FEW + 1:
            return None
        acts = [act.id for act in known[1:]]
        takes_back = any(act.reverses is not None for act in known[1:])
    if takes_back:
        acts = list(connection.execute(_TOUCHED, {"act": then.act}).scalars())
    rows: dict[str, set[int]] = {"act": {0}} if takes_back else {}
    if moment.answers.of_acts is None:
        moment.answers.of_acts = _rows_of_acts(connection)
    for act in acts:
        for table, number in connection.execute(moment.answers.of_acts, {"act": act}):
            rows.setdefault(table, set()).add(number)
    return {table: frozenset(each) for table, each in rows.items()}


_ACTS_SINCE = text(
    "SELECT id, kind, happened_at, written_at, summary, reverses FROM act WHERE id >= :act "
    "ORDER BY id LIMIT :most"
)
_TOUCHED = text(
    "WITH RECURSIVE touched(id) AS (SELECT id FROM act WHERE id > :act "
    "UNION SELECT act.reverses FROM act JOIN touched ON act.id = touched.id "
    "WHERE act.reverses IS NOT NULL) SELECT id FROM touched"
)
"""What an act reverses stands no longer, or stands again, and so on down the chain."""


_COLUMNS = {
    "sqlite": "SELECT m.name, p.name FROM sqlite_master m JOIN pragma_table_info(m.name) p "
    "WHERE m.type = 'table'",
    "postgresql": "SELECT table_name, column_name FROM information_schema.columns "
    "WHERE table_schema = current_schema()",
}
"""Plain selects, for what is no select ends the moment."""


def _rows_of_acts(connection: Connection) -> TextClause:
    """Return the statement that gives the tables with rows of an act, and whose these are."""
    columns: dict[str, set[str]] = {}
    for table, column in connection.exec_driver_sql(_COLUMNS[connection.dialect.name]):
        columns.setdefault(table, set()).add(column)
    parts = []
    for table, own in columns.items():
        if "act_id" in own:
            subject = subject_of(table, own) or "0"
            parts.append(
                f"SELECT DISTINCT '{table}', coalesce({subject}, 0) FROM {table} "
                "WHERE act_id = :act"
            )
    return text(" UNION ALL ".join(parts))
