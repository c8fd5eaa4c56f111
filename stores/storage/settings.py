"""Choices for the whole stores or for one machine."""

from sqlalchemy import Connection, or_, select
from sqlmodel import Field, SQLModel, col

from stores.storage.acts import standing
from stores.storage.carried import carried
from stores.storage.seldom import has_rows

__all__ = ["SettingRow", "read_settings"]


class SettingRow(SQLModel, table=True):
    """A choice for the whole stores or one machine: the currency, hours a week. Of a name."""

    __tablename__ = "setting"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    machine_id: int | None = Field(default=None, foreign_key="machine.id")
    name: str
    value: str = ""


def read_settings(connection: Connection, machine: int | None = None) -> dict[str, str]:
    """Return what was chosen, by name: of the whole stores, and over it of one machine.

    An empty value is as if nothing had been chosen.
    """
    return dict(
        carried(
            connection,
            "settings",
            machine,
            ("setting",),
            lambda: _read_settings(connection, machine),
        )
    )


def _read_settings(connection: Connection, machine: int | None) -> dict[str, str]:
    if not has_rows(connection, "setting"):
        return {}
    rows = standing(
        connection,
        select(
            col(SettingRow.act_id),
            col(SettingRow.machine_id),
            col(SettingRow.name),
            col(SettingRow.value),
        )
        .where(or_(col(SettingRow.machine_id).is_(None), col(SettingRow.machine_id) == machine))
        .order_by(col(SettingRow.id)),
    )
    choices = {(row.machine_id is not None, row.name): row.value for row in rows}
    common = {name: value for (own, name), value in choices.items() if not own and value}
    return common | {name: value for (own, name), value in choices.items() if own and value}
