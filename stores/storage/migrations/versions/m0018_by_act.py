"""Rows are found by their act, and what is filed by what it is tied to, without a look at all.

Revision ID: 0018
Revises: 0017
"""

from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None

LARGE = ("caption", "filing", "finding", "item", "picture", "specification")
"""Tables that grow with a record; the other ones have few rows."""


def upgrade() -> None:
    for table in LARGE:
        op.create_index(f"{table}_by_act_id", table, ["act_id"])
    for column in ("step_id", "item_id", "place_id"):
        op.create_index(f"filing_by_{column}", "filing", [column])
