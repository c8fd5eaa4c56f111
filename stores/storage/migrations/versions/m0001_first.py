"""The first form of the stores.

Revision ID: 0001
Revises:
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

MAX_QUANTITY = 1_000_000
CONDITIONS = "'as removed', 'serviceable', 'repairable', 'condemned', 'quarantine', 'new'"

APPEND_ONLY = (
    "act",
    "machine",
    "assembly",
    "place",
    "step",
    "description",
    "item",
    "specification",
    "movement",
    "finding",
    "stowing",
    "label",
)


def key(name: str = "id") -> sa.Column[int]:
    return sa.Column(name, sa.Integer, primary_key=True)


def whole(name: str, *, empty: bool = False) -> sa.Column[int]:
    return sa.Column(name, sa.Integer, nullable=empty)


def words(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text, nullable=False, server_default="")


def link(name: str, table: str, *, empty: bool = False) -> sa.Column[int]:
    return sa.Column(name, sa.Integer, sa.ForeignKey(f"{table}.id"), nullable=empty)


def upgrade() -> None:
    op.create_table(
        "act",
        key(),
        words("kind"),
        words("happened_at"),
        words("written_at"),
        words("reason"),
        words("summary"),
        sa.Column("reverses", sa.Integer, sa.ForeignKey("act.id"), unique=True),
        sa.CheckConstraint("reverses IS NULL OR reverses < id", name="act_reverses_earlier"),
        sa.CheckConstraint("(kind = 'reverse') = (reverses IS NOT NULL)", name="act_reversal"),
    )
    op.create_table(
        "machine",
        key(),
        link("act_id", "act"),
        words("name"),
        words("maker"),
        words("model"),
        words("year"),
        words("note"),
        sa.CheckConstraint("name <> ''", name="machine_named"),
    )
    op.create_table(
        "assembly",
        key(),
        link("machine_id", "machine"),
        link("parent_id", "assembly", empty=True),
        words("name"),
        words("path"),
        sa.UniqueConstraint("machine_id", "path", name="assembly_once"),
    )
    op.create_table(
        "place",
        key(),
        words("kind"),
        words("name"),
        words("key"),
        sa.UniqueConstraint("kind", "key", name="place_once"),
        sa.CheckConstraint("name <> ''", name="place_named"),
    )
    op.create_table(
        "step",
        key(),
        link("act_id", "act"),
        link("machine_id", "machine"),
        whole("number"),
        link("assembly_id", "assembly"),
        words("part"),
        words("note"),
        words("hazard"),
        sa.UniqueConstraint("machine_id", "number", name="step_numbered_once"),
        sa.CheckConstraint("number > 0", name="step_number"),
    )
    op.create_table(
        "description",
        key(),
        sa.Column("text", sa.Text, nullable=False, unique=True),
        words("kind"),
        words("thread"),
        whole("diameter_um", empty=True),
        whole("length_um", empty=True),
        words("head"),
        words("words"),
        words("renew"),
        sa.CheckConstraint("diameter_um IS NULL OR diameter_um > 0", name="description_diameter"),
        sa.CheckConstraint("length_um IS NULL OR length_um > 0", name="description_length"),
    )
    op.create_table(
        "item",
        key(),
        link("act_id", "act"),
        link("machine_id", "machine"),
        link("step_id", "step", empty=True),
        whole("line"),
        link("description_id", "description"),
        whole("found"),
        words("written"),
        words("position"),
        words("words"),
        sa.CheckConstraint(f"found BETWEEN 0 AND {MAX_QUANTITY}", name="item_found"),
        sa.CheckConstraint("line > 0", name="item_line"),
    )
    op.create_table(
        "specification",
        key(),
        link("act_id", "act"),
        link("item_id", "item"),
        link("description_id", "description"),
        whole("quantity"),
        words("renew"),
        sa.Column("differs", sa.Integer, nullable=False, server_default="0"),
        sa.Column("missing", sa.Integer, nullable=False, server_default="0"),
        sa.CheckConstraint(f"quantity BETWEEN 0 AND {MAX_QUANTITY}", name="specification_quantity"),
    )
    op.create_table(
        "movement",
        key(),
        link("act_id", "act"),
        link("item_id", "item"),
        whole("quantity"),
        link("from_place", "place"),
        words("from_condition"),
        link("to_place", "place"),
        words("to_condition"),
        sa.CheckConstraint(f"quantity BETWEEN 1 AND {MAX_QUANTITY}", name="movement_quantity"),
        sa.CheckConstraint(f"from_condition IN ({CONDITIONS})", name="movement_from_condition"),
        sa.CheckConstraint(f"to_condition IN ({CONDITIONS})", name="movement_to_condition"),
        sa.CheckConstraint(
            "from_place <> to_place OR from_condition <> to_condition", name="movement_two_ends"
        ),
    )
    op.create_table(
        "finding",
        key(),
        link("act_id", "act"),
        link("item_id", "item"),
        whole("quantity"),
        words("condition"),
        words("reason"),
        words("words"),
        sa.CheckConstraint(f"quantity BETWEEN 1 AND {MAX_QUANTITY}", name="finding_quantity"),
        sa.CheckConstraint(f"condition IN ({CONDITIONS})", name="finding_condition"),
    )
    op.create_table(
        "stowing",
        key(),
        link("act_id", "act"),
        link("place_id", "place"),
        link("inside_id", "place", empty=True),
        sa.CheckConstraint("place_id <> inside_id", name="stowing_elsewhere"),
    )
    op.create_table(
        "label",
        key(),
        link("place_id", "place"),
        words("printed_at"),
        words("digest"),
        words("file"),
    )
    for table, columns in (
        ("movement", ["item_id"]),
        ("movement", ["act_id"]),
        ("movement", ["to_place"]),
        ("movement", ["from_place"]),
        ("item", ["description_id", "machine_id"]),
        ("item", ["step_id"]),
        ("step", ["assembly_id"]),
        ("step", ["act_id"]),
        ("specification", ["item_id"]),
        ("specification", ["description_id", "differs"]),
        ("specification", ["description_id", "missing"]),
        ("finding", ["item_id"]),
        ("stowing", ["place_id"]),
        ("label", ["place_id"]),
        ("description", ["thread", "length_um"]),
        ("description", ["diameter_um", "length_um"]),
    ):
        op.create_index(f"{table}_by_{'_'.join(columns)}", table, columns)
    _refuse_change()


def _refuse_change() -> None:
    """Let the database itself refuse to change or delete what was written."""
    if op.get_bind().dialect.name == "sqlite":
        for table in APPEND_ONLY:
            # REPLACE deletes without firing the trigger on DELETE.
            op.execute(
                f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} "
                f"WHEN EXISTS (SELECT 1 FROM {table} WHERE id = NEW.id) BEGIN "
                f"SELECT RAISE(ABORT, '{table}: what is written stays; reverse the act'); END"
            )
            for deed in ("UPDATE", "DELETE"):
                op.execute(
                    f"CREATE TRIGGER {table}_no_{deed.lower()} BEFORE {deed} ON {table} BEGIN "
                    f"SELECT RAISE(ABORT, '{table}: what is written stays; reverse the act'); END"
                )
        return
    op.execute(
        "CREATE FUNCTION stores_refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        "RAISE EXCEPTION '%: what is written stays; reverse the act', TG_TABLE_NAME; END $$"
    )
    for table in APPEND_ONLY:
        op.execute(
            f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION stores_refuse_change()"
        )
