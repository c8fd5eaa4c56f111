"""Work done on a piece, pieces kept as spares, a machine that was closed out and is opened again.

Revision ID: 0013
Revises: 0011
"""

import sqlalchemy as sa
from alembic import op

from stores.storage.migrations.helpers import key, link, refuse_change, whole, words

revision = "0013"
down_revision = "0011"
branch_labels = None
depends_on = None

MOST = 1_000_000

TABLES = ("work_done", "kept_spare", "reopening")
INDEXES = (("work_done", "item_id"), ("kept_spare", "item_id"), ("reopening", "machine_id"))


def upgrade() -> None:
    op.create_table(
        "work_done",
        key(),
        link("act_id", "act"),
        link("item_id", "item"),
        whole("quantity"),
        words("what"),
        words("done_by"),
        words("measured"),
        words("words"),
        sa.CheckConstraint(f"quantity BETWEEN 1 AND {MOST}", name="work_done_quantity"),
        sa.CheckConstraint("what <> ''", name="work_done_what_said"),
    )
    op.create_table(
        "kept_spare",
        key(),
        link("act_id", "act"),
        link("item_id", "item"),
    )
    op.create_table(
        "reopening",
        key(),
        link("act_id", "act"),
        link("machine_id", "machine"),
        words("reason"),
        sa.CheckConstraint("reason <> ''", name="reopening_reason_said"),
    )
    for table, column in INDEXES:
        op.create_index(f"{table}_by_{column}", table, [column])
    refuse_change(TABLES)
