"""Paper and pictures: whether a label came out, printers' offsets, pictures and what they show.

Revision ID: 0003
Revises: 0002
"""

import sqlalchemy as sa
from alembic import op

from stores.storage.migrations.helpers import key, link, refuse_change, whole, words

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "outcome",
        key(),
        link("label_id", "label"),
        whole("good"),
        words("noted_at"),
        sa.CheckConstraint("good IN (0, 1)", name="outcome_good"),
    )
    op.create_table(
        "printer",
        key(),
        link("act_id", "act"),
        words("name"),
        words("key"),
        whole("right_um", default="0"),
        whole("down_um", default="0"),
        whole("dpi", default="0"),
        sa.CheckConstraint("name <> ''", name="printer_named"),
        sa.CheckConstraint(
            "right_um BETWEEN -20000 AND 20000 AND down_um BETWEEN -20000 AND 20000",
            name="printer_offset",
        ),
        sa.CheckConstraint("dpi BETWEEN 0 AND 2400", name="printer_dpi"),
    )
    op.create_table(
        "picture",
        key(),
        link("act_id", "act"),
        link("machine_id", "machine"),
        whole("number"),
        words("digest"),
        words("name"),
        words("taken_at"),
        whole("width"),
        whole("height"),
        whole("turn", default="1"),
        words("format"),
        whole("size"),
        sa.UniqueConstraint("machine_id", "number", name="picture_numbered_once"),
        sa.CheckConstraint("number > 0", name="picture_number"),
        sa.CheckConstraint("width > 0 AND height > 0 AND size > 0", name="picture_sizes"),
        sa.CheckConstraint("turn BETWEEN 1 AND 8", name="picture_turn"),
    )
    op.create_table(
        "filing",
        key(),
        link("act_id", "act"),
        link("picture_id", "picture"),
        link("step_id", "step", empty=True),
        link("place_id", "place", empty=True),
        link("item_id", "item", empty=True),
        words("how"),
        whole("taken_off", default="0"),
        sa.CheckConstraint(
            "(step_id IS NOT NULL) + (place_id IS NOT NULL) + (item_id IS NOT NULL) = 1"
            if op.get_bind().dialect.name == "sqlite"
            else "(step_id IS NOT NULL)::int + (place_id IS NOT NULL)::int "
            "+ (item_id IS NOT NULL)::int = 1",
            name="filing_of_one_thing",
        ),
        sa.CheckConstraint("taken_off IN (0, 1)", name="filing_taken_off"),
    )
    op.create_table(
        "caption",
        key(),
        link("act_id", "act"),
        link("picture_id", "picture"),
        words("text"),
    )
    for table, columns in (
        ("outcome", ["label_id"]),
        ("picture", ["machine_id"]),
        ("picture", ["digest"]),
        ("filing", ["picture_id"]),
        ("caption", ["picture_id"]),
    ):
        op.create_index(f"{table}_by_{'_'.join(columns)}", table, columns)
    # Labels of before counted as printed when they were made.
    op.execute("INSERT INTO outcome (label_id, good, noted_at) SELECT id, 1, printed_at FROM label")
    refuse_change(("outcome", "printer", "picture", "filing", "caption"))
