"""The workshop's stock: what is known of a pack, low marks, what is reserved, wanted and used."""

from collections.abc import Collection
from dataclasses import dataclass
from functools import cache
from typing import Any

from sqlalchemy import Connection, select
from sqlmodel import Field, SQLModel, col

from stores.model.items import Item
from stores.model.stock import LowMark, StockFacts, Use
from stores.planning.sharing import Reserved
from stores.storage.acts import reversed_acts, standing
from stores.storage.balances import of_numbers
from stores.storage.carried import carried
from stores.storage.corrections import ITEMS, MACHINES, STEPS, steps_now
from stores.storage.items import read_items
from stores.storage.moment import answered
from stores.storage.tables import ActRow, DescriptionRow, ItemRow
from stores.text import local_day

__all__ = [
    "LowMarkRow",
    "Reservation",
    "ReservationRow",
    "StockFactRow",
    "StockNeedRow",
    "StockUseRow",
    "loose_like",
    "low_marks",
    "measured_items",
    "read_facts",
    "read_reservations",
    "read_reserved",
    "read_uses",
]


class StockFactRow(SQLModel, table=True):
    """One thing known of a loose item: its pack, when it was opened, use by, batch number. Of a
    name; the newest standing word counts, an empty one takes it back."""

    __tablename__ = "stock_fact"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    item_id: int = Field(foreign_key="item.id")
    name: str
    value: str = ""


class LowMarkRow(SQLModel, table=True):
    """The least that the workshop wants to hold of a thing; 0 for no such wish."""

    __tablename__ = "low_mark"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    description_id: int = Field(foreign_key="description.id")
    unit: str = ""
    least: int


class ReservationRow(SQLModel, table=True):
    """So many of a loose item that are kept for a machine, or for one step of it; 0 lets them go.
    The newest standing word of an item, machine and step counts."""

    __tablename__ = "reservation"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    item_id: int = Field(foreign_key="item.id")
    machine_id: int = Field(foreign_key="machine.id")
    step_id: int | None = Field(default=None, foreign_key="step.id")
    quantity: int


class StockNeedRow(SQLModel, table=True):
    """So much of a consumable that a step, or one item of it, will use up, as a person said, in
    thousandths of its unit (a drop is 0.05 ml), and how that was worked out. The newest standing
    word of a step, an item and a thing counts; 0 leaves it to the rule again."""

    __tablename__ = "stock_need"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    step_id: int = Field(foreign_key="step.id")
    item_id: int | None = Field(default=None, foreign_key="item.id")
    description_id: int = Field(foreign_key="description.id")
    unit: str = ""
    quantity: int
    basis: str = ""


class StockUseRow(SQLModel, table=True):
    """So much of a loose item that went to a machine or a step, on what and by which rule.

    0 where the whole unit that was drawn before, for another step, is enough for this one too.
    """

    __tablename__ = "stock_use"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    item_id: int = Field(foreign_key="item.id")
    machine_id: int | None = Field(default=None, foreign_key="machine.id")
    step_id: int | None = Field(default=None, foreign_key="step.id")
    quantity: int
    what: str = ""
    basis: str = ""


def read_facts(
    connection: Connection, items: Collection[int] | None = None
) -> dict[int, StockFacts]:
    """Return what is known of loose items, by number; of these, or of all."""
    rows = of_numbers(connection, _rows_of_facts(), col(StockFactRow.item_id), items)
    said: dict[int, dict[str, str]] = {}
    for each in _standing_rows(connection, rows):
        said.setdefault(each.item_id, {})[each.name] = each.value
    return {number: StockFacts.of(facts) for number, facts in said.items()}


@cache
def _rows_of_facts() -> Any:
    row = StockFactRow
    return select(
        col(row.id), col(row.act_id), col(row.item_id), col(row.name), col(row.value)
    ).order_by(col(row.id))


def loose_like(connection: Connection, text: str) -> list[Item]:
    """Return the loose items that are described so, the oldest first."""
    rows: Any = connection.execute(
        select(ITEMS.c.id)
        .join(DescriptionRow, col(DescriptionRow.id) == ITEMS.c.description_id)
        .where(ITEMS.c.step_id.is_(None), col(DescriptionRow.text) == text)
    )
    numbers = sorted(row.id for row in rows)
    return read_items(connection, numbers=numbers, verdicts=False) if numbers else []


def low_marks(connection: Connection) -> list[LowMark]:
    """Return the least that is to be held, of each thing of which that was said."""
    return list(
        carried(connection, "low marks", "", ("low_mark",), lambda: tuple(_low_marks(connection)))
    )


def _low_marks(connection: Connection) -> list[LowMark]:
    row = LowMarkRow
    found: dict[tuple[str, str], int] = {}
    for each in standing(
        connection,
        select(col(row.act_id), col(row.unit), col(row.least), col(DescriptionRow.text))
        .join(DescriptionRow, col(DescriptionRow.id) == col(row.description_id))
        .order_by(col(row.id)),
    ):
        found[each.text, each.unit] = each.least
    return [LowMark(text, unit, least) for (text, unit), least in found.items() if least]


@dataclass(frozen=True, slots=True)
class Reservation:
    """What a person keeps for a machine or a step: ``quantity`` as said, ``left`` of it not drawn
    yet. ``rows`` are the rows of that step for which it was said, several where steps were joined.
    """

    item: int
    machine: str
    step: int
    quantity: int
    left: int
    date: str = ""
    rows: tuple[int, ...] = ()


def read_reservations(connection: Connection) -> list[Reservation]:
    """Return what is reserved, with what is left of it; for steps that were joined, in one."""
    tables = ("correction", "machine", "reservation", "step", "stock_use")

    def work() -> tuple[Reservation, ...]:
        return tuple(_read_reservations(connection))

    return list(carried(connection, "reservations", "", tables, work))


def _read_reservations(connection: Connection) -> list[Reservation]:
    row, used = ReservationRow, StockUseRow
    newest: dict[tuple[int, int, int | None], Any] = {}
    for each in standing(
        connection,
        select(
            col(row.act_id),
            col(row.item_id),
            col(row.machine_id),
            col(row.step_id),
            col(row.quantity),
            MACHINES.c.name,
            col(ActRow.happened_at),
        )
        .select_from(row)
        .join(MACHINES, MACHINES.c.id == col(row.machine_id))
        .join(ActRow, col(ActRow.id) == col(row.act_id))
        .order_by(col(row.id)),
    ):
        newest[each.item_id, each.machine_id, each.step_id] = each
    if not newest:
        return []
    drawn = standing(
        connection,
        select(
            col(used.act_id),
            col(used.item_id),
            col(used.machine_id),
            col(used.step_id),
            col(used.quantity),
        ),
    )
    steps = steps_now(connection, {each.step_id for each in (*newest.values(), *drawn)} - {None})

    def read_as(step: int | None) -> int | None:
        return steps[step].as_id if step else None

    def number_of(step: int | None) -> int:
        return steps[step].number if step else 0

    said: dict[tuple[int, int, int | None], list[Any]] = {}
    for each in newest.values():
        if each.quantity:
            key = each.item_id, each.machine_id, read_as(each.step_id)
            said.setdefault(key, []).append(each)
    left = {key: each.quantity for key, each in newest.items()}
    for use in drawn:
        todo = use.quantity
        for step in dict.fromkeys((read_as(use.step_id), None)):
            for one in said.get((use.item_id, use.machine_id, step), ()):
                if use.act_id > one.act_id:
                    key = (one.item_id, one.machine_id, one.step_id)
                    some = min(todo, left[key])
                    left[key] -= some
                    todo -= some
    return [
        Reservation(
            item, ones[-1].name, number_of(ones[-1].step_id), sum(one.quantity for one in ones),
            sum(left[one.item_id, one.machine_id, one.step_id] for one in ones),
            local_day(max(one.happened_at for one in ones)),
            tuple(one.step_id for one in ones if one.step_id),
        )
        for (item, _, _), ones in said.items()
    ]  # fmt: skip


def read_reserved(connection: Connection) -> tuple[Reserved, ...]:
    """Return what is left of each reservation, as it is shared out."""
    return answered(
        connection,
        "reserved",
        "",
        lambda: tuple(
            Reserved(one.item, one.machine, one.step, one.left)
            for one in read_reservations(connection)
            if one.left
        ),
    )


def measured_items(connection: Connection, items: Collection[int]) -> set[int]:
    """Return which of these items are measured, in ml, g, mm or cm2, and not counted in pieces."""
    rows = of_numbers(
        connection, select(col(ItemRow.id)).where(col(ItemRow.unit) != ""), col(ItemRow.id), items
    )
    return {row.id for row in rows}


def read_uses(connection: Connection, items: Collection[int] | None = None) -> list[Use]:
    """Return what was used of loose items, the oldest first."""
    row = StockUseRow
    statement: Any = (
        select(
            col(row.act_id),
            col(row.item_id),
            col(row.quantity),
            col(row.what),
            col(row.basis),
            MACHINES.c.name,
            STEPS.c.number,
            col(ActRow.happened_at),
        )
        .select_from(row)
        .join(ActRow, col(ActRow.id) == col(row.act_id))
        .join(MACHINES, MACHINES.c.id == col(row.machine_id), isouter=True)
        .join(STEPS, STEPS.c.id == col(row.step_id), isouter=True)
        .order_by(col(row.id))
    )
    rows = of_numbers(connection, statement, col(row.item_id), items)
    return [
        Use(
            each.item_id, each.name or "", each.number or 0, each.quantity, each.what, each.basis,
            local_day(each.happened_at),
        )
        for each in _standing_rows(connection, rows)
    ]  # fmt: skip


def _standing_rows(connection: Connection, rows: list[Any]) -> list[Any]:
    gone = reversed_acts(connection)
    return [row for row in rows if row.act_id not in gone]
