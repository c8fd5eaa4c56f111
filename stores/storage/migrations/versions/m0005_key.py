"""An ask may carry a key: the same key twice is one act.

Revision ID: 0005
Revises: 0004
"""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("act", sa.Column("key", sa.Text, nullable=True))
    op.create_index("act_key_once", "act", ["key"], unique=True)
