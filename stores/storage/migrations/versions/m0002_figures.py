"""Figures of a machine: its sumps, readings taken, makers' torques, joints with their holes.

Revision ID: 0002
Revises: 0001
"""

import sqlalchemy as sa
from alembic import op

from stores.storage.migrations.helpers import key, link, refuse_change, whole, words

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

MOST_ML = 100_000
MOST_MNM = 10_000_000


def upgrade() -> None:
    op.create_table(
        "sump",
        key(),
        link("act_id", "act"),
        link("machine_id", "machine"),
        words("name"),
        words("key"),
        whole("number", default="1"),
        words("grade"),
        whole("dry_ml", empty=True),
        whole("refill_ml", empty=True),
        words("drain"),
        words("filler"),
        words("level"),
        words("note"),
        words("source"),
        sa.CheckConstraint("name <> ''", name="sump_named"),
        sa.CheckConstraint("number BETWEEN 0 AND 50", name="sump_number"),
        sa.CheckConstraint(f"dry_ml IS NULL OR dry_ml BETWEEN 1 AND {MOST_ML}", name="sump_dry"),
        sa.CheckConstraint(
            f"refill_ml IS NULL OR refill_ml BETWEEN 1 AND {MOST_ML}", name="sump_refill"
        ),
    )
    op.create_table(
        "reading",
        key(),
        link("act_id", "act"),
        link("machine_id", "machine"),
        words("subject"),
        words("key"),
        words("place"),
        words("state"),
        words("stage"),
        whole("thousandths"),
        words("unit"),
        words("written"),
        whole("air_pa", empty=True),
        words("note"),
        sa.CheckConstraint("subject <> ''", name="reading_named"),
        sa.CheckConstraint("stage IN ('before', 'after')", name="reading_stage"),
        sa.CheckConstraint("air_pa IS NULL OR air_pa > 0", name="reading_air"),
    )
    op.create_table(
        "figure",
        key(),
        link("act_id", "act"),
        link("item_id", "item"),
        whole("low_mnm"),
        whole("high_mnm"),
        words("state"),
        words("source"),
        words("written"),
        sa.CheckConstraint(
            f"low_mnm > 0 AND high_mnm >= low_mnm AND high_mnm <= {MOST_MNM}", name="figure_range"
        ),
    )
    op.create_table(
        "joint",
        key(),
        link("act_id", "act"),
        link("step_id", "step"),
        words("holes"),
        words("stated_order"),
        words("source"),
        sa.CheckConstraint("holes <> ''", name="joint_holes"),
    )
    for table, columns in (
        ("sump", ["machine_id"]),
        ("reading", ["machine_id"]),
        ("figure", ["item_id"]),
        ("joint", ["step_id"]),
    ):
        op.create_index(f"{table}_by_{'_'.join(columns)}", table, columns)
    refuse_change(("sump", "reading", "figure", "joint"))
