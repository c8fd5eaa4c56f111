"""Rows of accounting for every piece: snags, outwork, buying, counting, closing out.

Where a row is said to be of a name or a pair, the newest standing one counts: mending it, or taking
it back, needs no code of its own. Money is whole hundredths of the currency.
"""

from sqlmodel import Field, SQLModel

__all__ = [
    "BatchEventRow",
    "BatchLineRow",
    "BatchReturnRow",
    "BatchRow",
    "CountLineRow",
    "CountRow",
    "DebtRow",
    "ListedPartRow",
    "PriceRow",
    "PurchaseEventRow",
    "PurchaseLineRow",
    "PurchaseRow",
    "ReceiptRow",
    "RenewChoiceRow",
    "RenewRuleRow",
    "SpareRuleRow",
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


class PurchaseRow(SQLModel, table=True):
    """An order with a supplier. ``carriage`` is in hundredths of the currency."""

    __tablename__ = "purchase"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    number: int
    machine_id: int = Field(foreign_key="machine.id")
    place_id: int = Field(foreign_key="place.id")
    note: str = ""
    currency: str = ""
    carriage: int | None = None


class PurchaseLineRow(SQLModel, table=True):
    """One line of an order: a specification, or one item where a size does not tell what it is.

    ``quantity`` counts pieces, not packs; ``price`` is of the whole line, empty when not known.
    """

    __tablename__ = "purchase_line"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    purchase_id: int = Field(foreign_key="purchase.id")
    line: int
    description_id: int | None = Field(default=None, foreign_key="description.id")
    item_id: int | None = Field(default=None, foreign_key="item.id")
    words: str
    quantity: int
    pack: int = 1
    price: int | None = None


class PurchaseEventRow(SQLModel, table=True):
    """Promised for a day, paid, cancelled. Of an order and an event."""

    __tablename__ = "purchase_event"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    purchase_id: int = Field(foreign_key="purchase.id")
    event: str
    value: str = ""


class ReceiptRow(SQLModel, table=True):
    """Pieces of an order's line received, sent back or cancelled. All of them add up."""

    __tablename__ = "receipt"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    line_id: int = Field(foreign_key="purchase_line.id")
    item_id: int | None = Field(default=None, foreign_key="item.id")
    quantity: int
    outcome: str


class PriceRow(SQLModel, table=True):
    """What a supplier asks for a pack. Of a description and a supplier."""

    __tablename__ = "price"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    description_id: int = Field(foreign_key="description.id")
    supplier: str = ""
    pack: int = 1
    price: int | None = None
    currency: str = ""


class SpareRuleRow(SQLModel, table=True):
    """How many spares to buy of a kind: so much per cent, at least so many. Of a key."""

    __tablename__ = "spare_rule"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    name: str
    key: str
    per_cent: int
    least: int = 0
    most_price: int | None = None


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


class ListedPartRow(SQLModel, table=True):
    """A row of a parts list that was read in: a parts book's, or a supplier's."""

    __tablename__ = "listed_part"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    machine_id: int = Field(foreign_key="machine.id")
    item_id: int | None = Field(default=None, foreign_key="item.id")
    source: str = ""
    line: int
    reference: str = ""
    assembly: str = ""
    text: str
    quantity: int = 1
    note: str = ""
