"""The tables of what is renewed. Apart from their reading, which every command asks for through
bare columns: making a row class costs more than reading the rows."""

from sqlmodel import Field, SQLModel

__all__ = ["RenewChoiceRow", "RenewRuleRow"]


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
