"""What a person said outright: whether a specification is the name of what was found; and what was
measured of a piece, beside the maker's limit.

Revision ID: 0008
Revises: 0005
"""

from alembic import op

from stores.storage.migrations.helpers import whole

revision = "0008"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("specification", whole("same", empty=True))
    op.add_column("finding", whole("measured_nm", empty=True))
    op.add_column("finding", whole("limit_nm", empty=True))
