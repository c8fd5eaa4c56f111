"""The workshop's stock: one number for each on all machines, units, what is known of a pack.

Loose items were numbered for each machine apart. From here on 0.3 is one thing, whatever machine
it is asked from: those that clash are numbered anew, and keep their old number in words.

Revision ID: 0016
Revises: 0013
"""

import sqlalchemy as sa
from alembic import op

from stores.storage.migrations.helpers import (
    allow_change,
    key,
    link,
    refuse_change,
    whole,
    words,
)
from stores.storage.renumbering import RANKED

revision = "0016"
down_revision = "0013"
branch_labels = None
depends_on = None

MOST = 1_000_000

TABLES = ("stock_fact", "low_mark", "reservation", "stock_need", "stock_use")
INDEXES = (
    ("stock_fact", "item_id"),
    ("reservation", "item_id"),
    ("stock_need", "step_id"),
    ("stock_use", "item_id"),
)


def upgrade() -> None:
    op.add_column("item", words("unit"))
    op.add_column("item", words("formerly"))
    op.add_column("kept_spare", whole("stock", default="0"))
    allow_change(("item",))
    for number, line, formerly in op.get_bind().execute(sa.text(RANKED)).all():
        op.get_bind().execute(
            sa.text("UPDATE item SET line = :line, formerly = :formerly WHERE id = :number"),
            {"line": line, "formerly": formerly, "number": number},
        )
    refuse_change(("item",))
    op.create_table(
        "stock_fact",
        key(),
        link("act_id", "act"),
        link("item_id", "item"),
        words("name"),
        words("value"),
        sa.CheckConstraint("name <> ''", name="stock_fact_named"),
    )
    op.create_table(
        "low_mark",
        key(),
        link("act_id", "act"),
        link("description_id", "description"),
        words("unit"),
        whole("least"),
        sa.CheckConstraint(f"least BETWEEN 0 AND {MOST}", name="low_mark_least"),
    )
    op.create_table(
        "reservation",
        key(),
        link("act_id", "act"),
        link("item_id", "item"),
        link("machine_id", "machine"),
        link("step_id", "step", empty=True),
        whole("quantity"),
        sa.CheckConstraint(f"quantity BETWEEN 0 AND {MOST}", name="reservation_quantity"),
    )
    op.create_table(
        "stock_need",
        key(),
        link("act_id", "act"),
        link("step_id", "step"),
        link("item_id", "item", empty=True),
        link("description_id", "description"),
        words("unit"),
        whole("quantity"),
        words("basis"),
        sa.CheckConstraint(f"quantity BETWEEN 0 AND {MOST} * 1000", name="stock_need_quantity"),
    )
    op.create_table(
        "stock_use",
        key(),
        link("act_id", "act"),
        link("item_id", "item"),
        link("machine_id", "machine", empty=True),
        link("step_id", "step", empty=True),
        whole("quantity"),
        words("what"),
        words("basis"),
        sa.CheckConstraint(f"quantity BETWEEN 0 AND {MOST}", name="stock_use_quantity"),
    )
    for table, column in INDEXES:
        op.create_index(f"{table}_by_{column}", table, [column])
    refuse_change(TABLES)
