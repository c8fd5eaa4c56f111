"""What was tipped together is marked as mixed up until it is sorted.

Revision ID: 0011
Revises: 0005
"""

import sqlalchemy as sa
from alembic import op

from stores.storage.migrations.helpers import key, link, refuse_change, whole, words

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "mix_up",
        key(),
        link("act_id", "act"),
        whole("number"),
        words("note"),
        sa.UniqueConstraint("number", name="mix_up_numbered_once"),
        sa.CheckConstraint("number > 0", name="mix_up_number"),
    )
    op.create_table(
        "mix_up_line",
        key(),
        link("act_id", "act"),
        link("mix_up_id", "mix_up"),
        link("item_id", "item"),
        link("place_id", "place"),
        words("condition"),
        whole("quantity"),
        whole("sorted", default="0"),
        sa.CheckConstraint("quantity BETWEEN 1 AND 1000000", name="mix_up_line_quantity"),
        sa.CheckConstraint("condition <> ''", name="mix_up_line_condition_said"),
        sa.CheckConstraint("sorted IN (0, 1)", name="mix_up_line_sorted_either"),
    )
    op.create_index("mix_up_line_by_mix_up_id", "mix_up_line", ["mix_up_id"])
    op.create_index("mix_up_line_by_item_id", "mix_up_line", ["item_id"])
    refuse_change(("mix_up", "mix_up_line"))
