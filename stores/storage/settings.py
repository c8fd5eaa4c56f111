"""Choices for the whole stores or for one machine."""

from typing import Any

from sqlalchemy import Connection, or_, select
from sqlmodel import col

from stores.storage.acts import reversed_acts
from stores.storage.rows import SettingRow

__all__ = ["read_settings"]


def read_settings(connection: Connection, machine: int | None = None) -> dict[str, str]:
    """Give what was chosen, by name: of the whole stores, and over it of one machine.

    An empty value is as if nothing had been chosen.
    """
    gone = reversed_acts(connection)
    rows: Any = connection.execute(
        select(
            col(SettingRow.act_id),
            col(SettingRow.machine_id),
            col(SettingRow.name),
            col(SettingRow.value),
        )
        .where(or_(col(SettingRow.machine_id).is_(None), col(SettingRow.machine_id) == machine))
        .order_by(col(SettingRow.id))
    )
    found: dict[tuple[bool, str], str] = {}
    for row in rows:
        if row.act_id not in gone:
            found[row.machine_id is not None, row.name] = row.value
    common = {name: value for (own, name), value in found.items() if not own and value}
    return common | {name: value for (own, name), value in found.items() if own and value}
