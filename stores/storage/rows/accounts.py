"""Rows of accounting for every piece: renewing, settings, closing out.

Where a row is said to be of a name or a pair, the newest standing one counts: mending it, or taking
it back, needs no code of its own. Money is whole hundredths of the currency.
"""

from sqlmodel import Field, SQLModel

__all__ = [
    "ClosingRow",
    "HandoverRow",
    "RenewChoiceRow",
    "RenewRuleRow",
    "SettingRow",
]


class RenewRuleRow(SQLModel, table=True):
    """A kind that is always renewed, or with ``renew`` 0 no longer is. Of a key."""

    __tablename__ = "renew_rule"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    name: str
    key: str
    renew: int
    reason: str = ""


class RenewChoiceRow(SQLModel, table=True):
    """What a person decided of one item, whatever the rule says. Of an item; ``renew`` -1 is the
    rule again."""

    __tablename__ = "renew_choice"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    item_id: int = Field(foreign_key="item.id")
    renew: int
    reason: str = ""


class SettingRow(SQLModel, table=True):
    """A choice for the whole stores or one machine: the currency, hours a week. Of a name."""

    __tablename__ = "setting"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    machine_id: int | None = Field(default=None, foreign_key="machine.id")
    name: str
    value: str = ""


class HandoverRow(SQLModel, table=True):
    """What a person wrote down at the end of a day."""

    __tablename__ = "handover"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    machine_id: int = Field(foreign_key="machine.id")
    text: str


class ClosingRow(SQLModel, table=True):
    """A machine closed out: nothing left over, nothing short, nothing away, no snag open."""

    __tablename__ = "closing"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    machine_id: int = Field(foreign_key="machine.id")
    note: str = ""
