"""Prices, and rules for spares: what the shopping list is priced and rounded up by."""

from typing import Any

from sqlalchemy import Connection, select
from sqlmodel import Field, SQLModel, col

from stores.model.money import Price
from stores.planning.shopping import SpareRule
from stores.storage.acts import standing
from stores.storage.tables import DescriptionRow

__all__ = ["PriceRow", "SpareRuleRow", "read_prices", "spare_rules"]


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


def read_prices(connection: Connection) -> list[Price]:
    """Return the standing prices: the newest of a description, a supplier and a pack."""
    rows = standing(
        connection,
        select(PriceRow.__table__, col(DescriptionRow.text))  # type: ignore[attr-defined]
        .join(DescriptionRow, col(DescriptionRow.id) == col(PriceRow.description_id))
        .order_by(col(PriceRow.id)),
    )
    newest: dict[tuple[int, str, int], Any] = {
        (row.description_id, row.supplier.casefold(), row.pack): row for row in rows
    }
    return sorted(
        (
            Price(row.text, row.supplier, row.pack, row.price, row.currency, row.act_id)
            for row in newest.values()
            if row.price is not None
        ),
        key=lambda price: (price.text, price.supplier.casefold(), price.pack),
    )


def spare_rules(connection: Connection) -> list[SpareRule]:
    """Return the standing rules for spares; the newest of a kind counts, 0 of nothing is none."""
    rows = standing(
        connection,
        select(SpareRuleRow.__table__).order_by(col(SpareRuleRow.id)),  # type: ignore[attr-defined]
    )
    newest = {row.key: row for row in rows}
    return [
        SpareRule(row.name, row.per_cent, row.least, row.most_price)
        for row in newest.values()
        if row.per_cent or row.least
    ]
