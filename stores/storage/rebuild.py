"""The order of a rebuild and its times, as a person said them, and what was refitted when."""

from datetime import date
from typing import Any

from sqlalchemy import Connection, select
from sqlmodel import Field, SQLModel, col

from stores.model.ledger import ActKind, PlaceKind
from stores.planning.order import Said
from stores.storage.acts import reversed_acts, standing
from stores.storage.carried import carried
from stores.storage.corrections import ITEMS, steps_now
from stores.storage.tables import ActRow, MovementRow, PlaceRow
from stores.text import local_day

__all__ = ["RefitLinkRow", "StepChoiceRow", "fitted_by_day", "stated_precedence"]


class RefitLinkRow(SQLModel, table=True):
    """What a person says of the order of two steps. Of a pair of steps, either way round.

    ``kind`` is "before" (``first`` is refitted before ``then``), "free" (these two do not matter to
    each other) or "" (as the record has it).
    """

    __tablename__ = "refit_link"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    first_id: int = Field(foreign_key="step.id")
    then_id: int = Field(foreign_key="step.id")
    kind: str
    reason: str = ""


class StepChoiceRow(SQLModel, table=True):
    """Something said of a step for its refit: "minutes" it takes, "access" only. Of a name."""

    __tablename__ = "step_choice"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    step_id: int = Field(foreign_key="step.id")
    name: str
    value: str = ""


def stated_precedence(connection: Connection, machine: int) -> list[Said]:
    """Return what a person said of the order of two steps.

    The newest standing word of each pair of steps, whichever way round it was said.
    """
    return list(
        carried(
            connection,
            "stated precedence",
            machine,
            ("correction", "refit_link", "step"),
            lambda: tuple(_stated_precedence(connection, machine)),
        )
    )


def _stated_precedence(connection: Connection, machine: int) -> list[Said]:
    link: Any = RefitLinkRow.__table__  # type: ignore[attr-defined]
    rows = standing(
        connection,
        select(link, col(ActRow.happened_at))
        .join(ActRow, col(ActRow.id) == link.c.act_id)
        .order_by(link.c.id),
    )
    steps = steps_now(
        connection, {number for row in rows for number in (row.first_id, row.then_id)}
    )
    fallen = reversed_acts(connection)
    said: dict[frozenset[int], Said] = {}
    for row in rows:
        first, then = steps[row.first_id], steps[row.then_id]
        if (first.machine_id, then.machine_id) != (machine, machine):
            continue
        if fallen & {first.act_id, then.act_id}:
            continue
        pair = frozenset((first.number, then.number))
        said.pop(pair, None)
        if row.kind:
            said[pair] = Said(
                first.number,
                then.number,
                row.kind == "free",
                row.reason,
                local_day(row.happened_at),
            )
    return list(said.values())


def fitted_by_day(connection: Connection, machine: int) -> dict[date, int]:
    """Return how many pieces were refitted on each day."""
    rows = standing(
        connection,
        select(col(ActRow.id).label("act_id"), col(ActRow.happened_at), col(MovementRow.quantity))
        .join(MovementRow, col(MovementRow.act_id) == col(ActRow.id))
        .join(ITEMS, ITEMS.c.id == col(MovementRow.item_id))
        .join(PlaceRow, col(PlaceRow.id) == col(MovementRow.to_place))
        .where(
            ITEMS.c.machine_id == machine,
            col(ActRow.kind) == ActKind.REFIT.value,
            col(PlaceRow.kind) == PlaceKind.MACHINE.value,
        ),
    )
    days: dict[date, int] = {}
    for row in rows:
        day = date.fromisoformat(local_day(row.happened_at))
        days[day] = days.get(day, 0) + row.quantity
    return days
