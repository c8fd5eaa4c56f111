"""Every piece accounted for, and the rebuild: snags, outwork, buying, counting, order, signatures.

Revision ID: 0004
Revises: 0003
"""

import sqlalchemy as sa
from alembic import op

from stores.storage.migrations.helpers import key, link, refuse_change, whole, words

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

MOST = 1_000_000
MOST_MONEY = 2_000_000_000
"""Hundredths: twenty million of any currency, and what a whole number holds in any database."""

TABLES = (
    "snag",
    "clearing",
    "evidence",
    "batch",
    "batch_line",
    "batch_event",
    "batch_return",
    "renew_rule",
    "renew_choice",
    "purchase",
    "purchase_line",
    "purchase_event",
    "receipt",
    "price",
    "spare_rule",
    "setting",
    "debt",
    "stock_count",
    "count_line",
    "handover",
    "closing",
    "listed_part",
    "refit_link",
    "step_choice",
    "fitting",
    "check_point",
    "checked",
    "tightened",
    "signature",
)
INDEXES = (
    ("snag", "machine_id"),
    ("clearing", "snag_id"),
    ("evidence", "snag_id"),
    ("batch", "place_id"),
    ("batch_line", "batch_id"),
    ("batch_line", "item_id"),
    ("batch_event", "batch_id"),
    ("batch_return", "batch_id"),
    ("renew_choice", "item_id"),
    ("purchase", "machine_id"),
    ("purchase_line", "purchase_id"),
    ("purchase_event", "purchase_id"),
    ("receipt", "line_id"),
    ("price", "description_id"),
    ("debt", "item_id"),
    ("count_line", "count_id"),
    ("handover", "machine_id"),
    ("listed_part", "machine_id"),
    ("refit_link", "first_id"),
    ("refit_link", "then_id"),
    ("step_choice", "step_id"),
    ("fitting", "step_id"),
    ("check_point", "step_id"),
    ("checked", "point_id"),
    ("tightened", "item_id"),
    ("signature", "step_id"),
)


def upgrade() -> None:
    _survey()
    _outwork()
    _buying()
    _counting()
    _rebuild()
    for table, column in INDEXES:
        op.create_index(f"{table}_by_{column}", table, [column])
    refuse_change(TABLES)


def _named(table: str, column: str = "name") -> sa.CheckConstraint:
    return sa.CheckConstraint(f"{column} <> ''", name=f"{table}_{column}_said")


def _pieces(table: str, least: int = 1) -> sa.CheckConstraint:
    return sa.CheckConstraint(f"quantity BETWEEN {least} AND {MOST}", name=f"{table}_quantity")


def _either(table: str, column: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(f"{column} IN (0, 1)", name=f"{table}_{column}_either")


def _money(table: str, column: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(
        f"{column} IS NULL OR {column} BETWEEN 0 AND {MOST_MONEY}", name=f"{table}_{column}_money"
    )


def _of(table: str, column: str, allowed: tuple[str, ...]) -> sa.CheckConstraint:
    listed = ", ".join(f"'{word}'" for word in allowed)
    return sa.CheckConstraint(f"{column} IN ({listed})", name=f"{table}_{column}_known")


def _survey() -> None:
    op.create_table(
        "snag",
        key(),
        link("act_id", "act"),
        link("machine_id", "machine"),
        whole("number"),
        words("sort"),
        words("text"),
        words("side"),
        link("assembly_id", "assembly", empty=True),
        link("step_id", "step", empty=True),
        link("item_id", "item", empty=True),
        sa.UniqueConstraint("machine_id", "number", name="snag_numbered_once"),
        sa.CheckConstraint("number > 0", name="snag_number"),
        _named("snag", "sort"),
        _named("snag", "text"),
    )
    op.create_table(
        "clearing",
        key(),
        link("act_id", "act"),
        link("snag_id", "snag"),
        words("how"),
        link("item_id", "item", empty=True),
        _named("clearing", "how"),
    )
    op.create_table(
        "evidence",
        key(),
        link("act_id", "act"),
        link("snag_id", "snag"),
        link("picture_id", "picture"),
        whole("taken_off", default="0"),
        _either("evidence", "taken_off"),
    )


def _outwork() -> None:
    op.create_table(
        "batch",
        key(),
        link("act_id", "act"),
        whole("number"),
        link("place_id", "place"),
        words("work"),
        words("finish"),
        words("note"),
        sa.UniqueConstraint("number", name="batch_numbered_once"),
        sa.CheckConstraint("number > 0", name="batch_number"),
    )
    op.create_table(
        "batch_line",
        key(),
        link("act_id", "act"),
        link("batch_id", "batch"),
        link("item_id", "item"),
        whole("quantity"),
        words("metal"),
        words("masking"),
        words("strength"),
        words("note"),
        _pieces("batch_line", 0),
    )
    op.create_table(
        "batch_event",
        key(),
        link("act_id", "act"),
        link("batch_id", "batch"),
        words("event"),
        words("value"),
        _of("batch_event", "event", ("photographed", "packed", "sent", "promised", "closed")),
    )
    op.create_table(
        "batch_return",
        key(),
        link("act_id", "act"),
        link("batch_id", "batch"),
        link("item_id", "item"),
        whole("quantity"),
        words("outcome"),
        _pieces("batch_return"),
        _of("batch_return", "outcome", ("back", "written off")),
    )


def _buying() -> None:
    op.create_table(
        "renew_rule",
        key(),
        link("act_id", "act"),
        words("name"),
        words("key"),
        whole("renew"),
        words("reason"),
        _named("renew_rule"),
        _either("renew_rule", "renew"),
    )
    op.create_table(
        "renew_choice",
        key(),
        link("act_id", "act"),
        link("item_id", "item"),
        whole("renew"),
        words("reason"),
        sa.CheckConstraint("renew IN (-1, 0, 1)", name="renew_choice_known"),
    )
    op.create_table(
        "purchase",
        key(),
        link("act_id", "act"),
        whole("number"),
        link("machine_id", "machine"),
        link("place_id", "place"),
        words("note"),
        words("currency"),
        whole("carriage", empty=True),
        sa.UniqueConstraint("number", name="purchase_numbered_once"),
        sa.CheckConstraint("number > 0", name="purchase_number"),
        _money("purchase", "carriage"),
    )
    op.create_table(
        "purchase_line",
        key(),
        link("act_id", "act"),
        link("purchase_id", "purchase"),
        whole("line"),
        link("description_id", "description", empty=True),
        link("item_id", "item", empty=True),
        words("words"),
        whole("quantity"),
        whole("pack", default="1"),
        whole("price", empty=True),
        sa.CheckConstraint("line > 0", name="purchase_line_line"),
        sa.CheckConstraint(f"pack BETWEEN 1 AND {MOST}", name="purchase_line_pack"),
        _named("purchase_line", "words"),
        _pieces("purchase_line"),
        _money("purchase_line", "price"),
    )
    op.create_table(
        "purchase_event",
        key(),
        link("act_id", "act"),
        link("purchase_id", "purchase"),
        words("event"),
        words("value"),
        _of("purchase_event", "event", ("promised", "paid", "cancelled")),
    )
    op.create_table(
        "receipt",
        key(),
        link("act_id", "act"),
        link("line_id", "purchase_line"),
        link("item_id", "item", empty=True),
        whole("quantity"),
        words("outcome"),
        _pieces("receipt"),
        _of("receipt", "outcome", ("received", "sent back", "cancelled")),
    )
    op.create_table(
        "price",
        key(),
        link("act_id", "act"),
        link("description_id", "description"),
        words("supplier"),
        whole("pack", default="1"),
        whole("price", empty=True),
        words("currency"),
        sa.CheckConstraint(f"pack BETWEEN 1 AND {MOST}", name="price_pack"),
        _money("price", "price"),
    )
    op.create_table(
        "spare_rule",
        key(),
        link("act_id", "act"),
        words("name"),
        words("key"),
        whole("per_cent"),
        whole("least", default="0"),
        whole("most_price", empty=True),
        _named("spare_rule"),
        sa.CheckConstraint("per_cent BETWEEN 0 AND 1000", name="spare_rule_share"),
        sa.CheckConstraint("least BETWEEN 0 AND 10000", name="spare_rule_least"),
        _money("spare_rule", "most_price"),
    )
    op.create_table(
        "setting",
        key(),
        link("act_id", "act"),
        link("machine_id", "machine", empty=True),
        words("name"),
        words("value"),
        _named("setting"),
    )
    op.create_table(
        "debt",
        key(),
        link("act_id", "act"),
        link("item_id", "item"),
        link("to_item_id", "item"),
        whole("quantity"),
        words("note"),
        _pieces("debt"),
        sa.CheckConstraint("item_id <> to_item_id", name="debt_elsewhere"),
    )


def _counting() -> None:
    op.create_table(
        "stock_count",
        key(),
        link("act_id", "act"),
        link("place_id", "place"),
        words("note"),
    )
    op.create_table(
        "count_line",
        key(),
        link("act_id", "act"),
        link("count_id", "stock_count"),
        link("place_id", "place", empty=True),
        link("item_id", "item", empty=True),
        words("words"),
        whole("expected"),
        whole("found"),
        sa.CheckConstraint(
            f"expected BETWEEN 0 AND {MOST} AND found BETWEEN 0 AND {MOST}",
            name="count_line_counts",
        ),
    )
    op.create_table(
        "handover",
        key(),
        link("act_id", "act"),
        link("machine_id", "machine"),
        words("text"),
        _named("handover", "text"),
    )
    op.create_table(
        "closing",
        key(),
        link("act_id", "act"),
        link("machine_id", "machine"),
        words("note"),
    )
    op.create_table(
        "listed_part",
        key(),
        link("act_id", "act"),
        link("machine_id", "machine"),
        link("item_id", "item", empty=True),
        words("source"),
        whole("line"),
        words("reference"),
        words("assembly"),
        words("text"),
        whole("quantity", default="1"),
        words("note"),
        _named("listed_part", "text"),
        sa.CheckConstraint("line > 0", name="listed_part_line"),
        _pieces("listed_part", 0),
    )


def _rebuild() -> None:
    op.create_table(
        "refit_link",
        key(),
        link("act_id", "act"),
        link("first_id", "step"),
        link("then_id", "step"),
        words("kind"),
        words("reason"),
        _of("refit_link", "kind", ("before", "free", "")),
        sa.CheckConstraint("first_id <> then_id", name="refit_link_of_two"),
    )
    op.create_table(
        "step_choice",
        key(),
        link("act_id", "act"),
        link("step_id", "step"),
        words("name"),
        words("value"),
        _named("step_choice"),
    )
    op.create_table(
        "fitting",
        key(),
        link("act_id", "act"),
        link("step_id", "step"),
        link("item_id", "item", empty=True),
        words("kind"),
        words("text"),
        _named("fitting", "kind"),
    )
    op.create_table(
        "check_point",
        key(),
        link("act_id", "act"),
        link("step_id", "step"),
        words("name"),
        words("key"),
        whole("low", empty=True),
        whole("high", empty=True),
        words("unit"),
        words("source"),
        _named("check_point"),
        sa.CheckConstraint("low IS NULL OR high IS NULL OR low <= high", name="check_point_limits"),
    )
    op.create_table(
        "checked",
        key(),
        link("act_id", "act"),
        link("point_id", "check_point"),
        whole("thousandths"),
        words("written"),
    )
    op.create_table(
        "tightened",
        key(),
        link("act_id", "act"),
        link("item_id", "item"),
        whole("quantity"),
        words("how"),
        whole("torque_mnm", empty=True),
        words("state"),
        words("written"),
        _pieces("tightened"),
        _of("tightened", "how", ("finger-tight", "tightened")),
        sa.CheckConstraint(
            "torque_mnm IS NULL OR torque_mnm BETWEEN 1 AND 10000000", name="tightened_torque"
        ),
    )
    op.create_table(
        "signature",
        key(),
        link("act_id", "act"),
        link("step_id", "step"),
        words("role"),
        words("name"),
        words("note"),
        _of("signature", "role", ("fitted", "second person")),
        _named("signature"),
    )
