"""What every migration after the first uses: columns, and triggers that refuse change."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

__all__ = ["allow_change", "key", "link", "refuse_change", "whole", "words"]


def key(name: str = "id") -> sa.Column[int]:
    """A primary key."""
    return sa.Column(name, sa.Integer, primary_key=True)


def whole(name: str, *, empty: bool = False, default: str | None = None) -> sa.Column[int]:
    """A whole number."""
    return sa.Column(name, sa.Integer, nullable=empty, server_default=default)


def words(name: str) -> sa.Column[str]:
    """A text, empty by default."""
    return sa.Column(name, sa.Text, nullable=False, server_default="")


def link(name: str, table: str, *, empty: bool = False) -> sa.Column[int]:
    """A row of another table."""
    return sa.Column(name, sa.Integer, sa.ForeignKey(f"{table}.id"), nullable=empty)


def refuse_change(tables: Sequence[str]) -> None:
    """Let the database itself refuse to change or delete what was written in these tables."""
    said = "what is written stays; reverse the act"
    if op.get_bind().dialect.name == "sqlite":
        for table in tables:
            # REPLACE deletes without firing the trigger on DELETE.
            op.execute(
                f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} "
                f"WHEN EXISTS (SELECT 1 FROM {table} WHERE id = NEW.id) BEGIN "
                f"SELECT RAISE(ABORT, '{table}: {said}'); END"
            )
            for deed in ("UPDATE", "DELETE"):
                op.execute(
                    f"CREATE TRIGGER {table}_no_{deed.lower()} BEFORE {deed} ON {table} BEGIN "
                    f"SELECT RAISE(ABORT, '{table}: {said}'); END"
                )
        return
    for table in tables:  # the function was made by the first migration
        op.execute(
            f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION stores_refuse_change()"
        )


def allow_change(tables: Sequence[str]) -> None:
    """Let these tables be changed until `refuse_change` is said of them again."""
    sqlite = op.get_bind().dialect.name == "sqlite"
    for table in tables:
        if sqlite:
            for deed in ("replace", "update", "delete"):
                op.execute(f"DROP TRIGGER IF EXISTS {table}_no_{deed}")
        else:
            op.execute(f"DROP TRIGGER IF EXISTS {table}_no_change ON {table}")
