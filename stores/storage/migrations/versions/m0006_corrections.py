"""What was written wrong can be put right: a newer word on a fact, beside what was written.

Revision ID: 0006
Revises: 0005
"""

import sqlalchemy as sa
from alembic import op

from stores.storage.migrations.helpers import key, link, refuse_change, whole, words

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "correction",
        key(),
        link("act_id", "act"),
        words("subject"),
        whole("subject_id"),
        words("field"),
        words("text"),
        whole("number", empty=True),
        words("folded"),
        sa.CheckConstraint(
            "subject IN ('machine', 'assembly', 'step', 'item')", name="correction_subject"
        ),
        sa.CheckConstraint("field <> ''", name="correction_field"),
    )
    op.create_index("correction_of", "correction", ["subject", "subject_id", "field"])
    op.create_index("correction_act", "correction", ["act_id"])
    refuse_change(("correction",))
