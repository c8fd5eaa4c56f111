"""What the bench meets: jobs without a piece, what is still on the machine, stacks in their order.

Revision ID: 0010
Revises: 0005
"""

import sqlalchemy as sa
from alembic import op

from stores.storage.migrations.helpers import key, link, refuse_change, whole, words

revision = "0010"
down_revision = "0008"
branch_labels = None
depends_on = None

MOST = 1_000_000
THICKEST = 50_000_000
"""Nanometres."""


def upgrade() -> None:
    op.create_table(
        "job",
        key(),
        link("act_id", "act"),
        link("step_id", "step"),
        words("reverse"),
        whole("done", default="0"),
        sa.CheckConstraint("done IN (0, 1)", name="job_done_either"),
    )
    op.create_table(
        "still_on",
        key(),
        link("act_id", "act"),
        link("item_id", "item"),
        whole("quantity"),
        words("condition"),
        words("how"),
        words("hole"),
        link("snag_id", "snag", empty=True),
        sa.CheckConstraint(f"quantity BETWEEN 1 AND {MOST}", name="still_on_quantity"),
        sa.CheckConstraint("how <> ''", name="still_on_how_said"),
    )
    op.create_table(
        "layer",
        key(),
        link("act_id", "act"),
        link("item_id", "item"),
        whole("number"),
        whole("thickness_nm"),
        words("unit"),
        sa.UniqueConstraint("act_id", "item_id", "number", name="layer_numbered_once"),
        sa.CheckConstraint("number > 0", name="layer_number"),
        sa.CheckConstraint(f"thickness_nm BETWEEN 1 AND {THICKEST}", name="layer_thickness"),
        sa.CheckConstraint("unit IN ('mm', 'in', 'thou')", name="layer_unit_known"),
    )
    op.create_index("job_by_step_id", "job", ["step_id"])
    op.create_index("still_on_by_item_id", "still_on", ["item_id"])
    op.create_index("layer_by_item_id", "layer", ["item_id"])
    refuse_change(("job", "still_on", "layer"))
