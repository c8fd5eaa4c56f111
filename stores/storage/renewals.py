"""What a person said of what is fitted new: rules for kinds, and choices for single items.

Read through bare columns: `items` asks this for every command, and a row class costs a millisecond.
"""

from collections.abc import Collection
from typing import Any

from sqlalchemy import Connection, column, select, table

from stores.model.renewals import RenewChoice, RenewRule
from stores.storage.carried import carried
from stores.storage.seldom import has_rows

__all__ = ["renew_choices", "renew_rules"]

_RULES = table(
    "renew_rule",
    *(column(name) for name in ("id", "act_id", "name", "key", "renew", "reason")),
)
_CHOICES = table(
    "renew_choice", *(column(name) for name in ("id", "act_id", "item_id", "renew", "reason"))
)


def renew_rules(connection: Connection, gone: Collection[int]) -> dict[str, RenewRule]:
    """Return a person's own rules by key; the newest standing one of a key counts."""
    return carried(
        connection, "renewal rules", "", ("renew_rule",), lambda: _renew_rules(connection, gone)
    )


def _renew_rules(connection: Connection, gone: Collection[int]) -> dict[str, RenewRule]:
    if not has_rows(connection, "renew_rule"):
        return {}
    rows: Any = connection.execute(select(_RULES).order_by(_RULES.c.id))
    return {
        row.key: RenewRule(row.name, row.key, row.reason, bool(row.renew), ours=True)
        for row in rows
        if row.act_id not in gone
    }


def renew_choices(connection: Connection, gone: Collection[int]) -> dict[int, RenewChoice]:
    """Return what a person decided of single items, by item."""
    return carried(
        connection,
        "renewal choices",
        "",
        ("renew_choice",),
        lambda: _renew_choices(connection, gone),
    )


def _renew_choices(connection: Connection, gone: Collection[int]) -> dict[int, RenewChoice]:
    if not has_rows(connection, "renew_choice"):
        return {}
    rows: Any = connection.execute(select(_CHOICES).order_by(_CHOICES.c.id))
    found: dict[int, RenewChoice] = {}
    for row in rows:
        if row.act_id in gone:
            continue
        found.pop(row.item_id, None)
        if row.renew >= 0:
            found[row.item_id] = RenewChoice(bool(row.renew), row.reason)
    return found
