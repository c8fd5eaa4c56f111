"""Buying for the workshop: a line's unit and whose it is, and what was paid without an order.

Revision ID: 0017
Revises: 0016
"""

import sqlalchemy as sa
from alembic import op

from stores.storage.migrations.helpers import key, link, refuse_change, whole, words

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None

MOST_MONEY = 2_000_000_000


def upgrade() -> None:
    op.add_column("purchase_line", words("unit"))
    op.add_column("purchase_line", whole("stock", default="0"))
    op.create_table(
        "paid",
        key(),
        link("act_id", "act"),
        link("machine_id", "machine", empty=True),
        whole("price", empty=True),
        words("currency"),
        sa.CheckConstraint(f"price BETWEEN 0 AND {MOST_MONEY}", name="paid_price"),
    )
    op.create_index("paid_by_act_id", "paid", ["act_id"])
    refuse_change(("paid",))
