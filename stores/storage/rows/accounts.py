"""Rows of accounting for every piece: outwork, renewing, settings, counting, closing out.

Where a row is said to be of a name or a pair, the newest standing one counts: mending it, or taking
it back, needs no code of its own. Money is whole hundredths of the currency.
"""

from sqlmodel import Field, SQLModel

__all__ = [
    "BatchEventRow",
    "BatchLineRow",
    "BatchReturnRow",
    "BatchRow",
    "ClosingRow",
    "CountLineRow",
    "CountRow",
    "DebtRow",
    "HandoverRow",
    "RenewChoiceRow",
    "RenewRuleRow",
    "SettingRow",
]


class BatchRow(SQLModel, table=True):
    """Outwork: a lot of pieces made up for one firm and one kind of work."""

    __tablename__ = "batch"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    number: int
    place_id: int = Field(foreign_key="place.id")
    work: str = ""
    finish: str = ""
    note: str = ""


class BatchLineRow(SQLModel, table=True):
    """So many pieces of an item in a batch. Of a pair; ``quantity`` 0 takes the line out."""

    __tablename__ = "batch_line"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    batch_id: int = Field(foreign_key="batch.id")
    item_id: int = Field(foreign_key="item.id")
    quantity: int
    metal: str = ""
    masking: str = ""
    strength: str = ""
    note: str = ""


class BatchEventRow(SQLModel, table=True):
    """What happened to a batch as a whole: photographed, packed, sent, promised for a day, closed.

    Of a batch and an event; ``value`` is the day, or 0 to take a mark away.
    """

    __tablename__ = "batch_event"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    batch_id: int = Field(foreign_key="batch.id")
    event: str
    value: str = ""


class BatchReturnRow(SQLModel, table=True):
    """Pieces of a batch that came back, or were written off. All of them add up."""

    __tablename__ = "batch_return"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    batch_id: int = Field(foreign_key="batch.id")
    item_id: int = Field(foreign_key="item.id")
    quantity: int
    outcome: str


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


class DebtRow(SQLModel, table=True):
    """Pieces robbed from one joint for another: the donor is owed them."""

    __tablename__ = "debt"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    item_id: int = Field(foreign_key="item.id")
    to_item_id: int = Field(foreign_key="item.id")
    quantity: int
    note: str = ""


class CountRow(SQLModel, table=True):
    """A stock-take of one place."""

    __tablename__ = "stock_count"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    place_id: int = Field(foreign_key="place.id")
    note: str = ""


class CountLineRow(SQLModel, table=True):
    """What a stock-take expected and found: pieces of an item, a bag, or something strange."""

    __tablename__ = "count_line"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    count_id: int = Field(foreign_key="stock_count.id")
    place_id: int | None = Field(default=None, foreign_key="place.id")
    item_id: int | None = Field(default=None, foreign_key="item.id")
    words: str = ""
    expected: int
    found: int


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
