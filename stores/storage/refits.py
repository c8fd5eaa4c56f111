"""What stands of the plan of a rebuild: what a person said of order, and what is known of steps."""

from collections.abc import Collection
from dataclasses import replace
from datetime import date
from fractions import Fraction
from typing import Any

from sqlalchemy import Connection, Row, select
from sqlmodel import SQLModel, col

from stores.model.ledger import ActKind, PlaceKind
from stores.planning.assembling import (
    Applied,
    CheckPoint,
    HowTight,
    Refits,
    Role,
    Signature,
    StepNotes,
    Tightened,
)
from stores.planning.order import Said
from stores.storage.acts import reversed_acts
from stores.storage.rows import (
    ActRow,
    CheckedRow,
    CheckPointRow,
    FittingRow,
    ItemRow,
    MovementRow,
    PlaceRow,
    RefitLinkRow,
    SignatureRow,
    StepChoiceRow,
    StepRow,
    TightenedRow,
)
from stores.text import local_day

__all__ = ["fitted_by_day", "read_refits", "stated_precedence"]


def read_refits(connection: Connection, machine: int) -> Refits:
    """Give what is known of the steps of a machine for their refit."""
    gone = reversed_acts(connection)
    steps: dict[int, StepNotes] = {}

    def add(step: int, **more: Any) -> None:
        steps[step] = replace(steps.get(step, StepNotes()), **more)

    applied: dict[tuple[int, int, str], Applied] = {}
    for row in _of_steps(connection, FittingRow, machine, gone, line=True):
        one = Applied(row.step, row.item_line or 0, row.kind, row.text)
        applied.pop((one.step, one.line, one.kind), None)
        if one.text:
            applied[one.step, one.line, one.kind] = one
    for one in applied.values():
        add(one.step, applied=(*_now(steps, one.step).applied, one))

    for point in _points(connection, machine, gone):
        add(point.step, points=(*_now(steps, point.step).points, point))

    # Who signed, or tightened, did so of the pieces that were on by then: what was fitted since
    # has to be looked at again.
    fitted = _last_fitted(connection, machine, gone)
    by_step: dict[int, int] = {}
    for row in fitted.values():
        by_step[row.step_id] = max(row.act, by_step.get(row.step_id, 0))
    signed: dict[tuple[int, Role], Signature] = {}
    for row in _of_steps(connection, SignatureRow, machine, gone):
        if row.act_id < by_step.get(row.step_id, 0):
            continue
        role = Role(row.role)
        signed[row.step, role] = Signature(
            row.step, role, row.name, local_day(row.happened_at), row.note
        )
    for by in signed.values():
        add(by.step, signatures=(*_now(steps, by.step).signatures, by))

    for row in _of_steps(connection, StepChoiceRow, machine, gone):
        if row.name == "minutes":
            add(row.step, minutes=int(row.value) if row.value else None)
        elif row.name == "access":
            number = int(row.value) if row.value.isdigit() else None
            add(row.step, access_only=bool(row.value), access_to=number)
    tight = {
        one.item: one
        for act, one in _tightened(connection, machine, gone)
        if one.item in fitted and act >= fitted[one.item].act
    }
    return Refits(steps, tight)


def stated_precedence(connection: Connection, machine: int) -> list[Said]:
    """Give what a person said of the order of two steps.

    The newest standing word of each pair of steps, whichever way round it was said.
    """
    gone = reversed_acts(connection)
    first, then = StepRow.__table__.alias("first"), StepRow.__table__.alias("other")  # type: ignore[attr-defined]
    rows: Any = connection.execute(
        select(
            col(RefitLinkRow.act_id),
            col(RefitLinkRow.kind),
            col(RefitLinkRow.reason),
            first.c.number.label("first_step"),
            then.c.number.label("then_step"),
            first.c.act_id.label("first_act"),
            then.c.act_id.label("then_act"),
        )
        .join(first, first.c.id == col(RefitLinkRow.first_id))
        .join(then, then.c.id == col(RefitLinkRow.then_id))
        .where(first.c.machine_id == machine)
        .order_by(col(RefitLinkRow.id))
    )
    said: dict[frozenset[int], Said] = {}
    for row in rows:
        if gone & {row.act_id, row.first_act, row.then_act}:
            continue
        pair = frozenset((row.first_step, row.then_step))
        said.pop(pair, None)
        if row.kind:
            said[pair] = Said(row.first_step, row.then_step, row.kind == "free", row.reason)
    return list(said.values())


def _now(steps: dict[int, StepNotes], step: int) -> StepNotes:
    return steps.get(step, StepNotes())


def _of_steps(
    connection: Connection,
    table: type[SQLModel],
    machine: int,
    gone: Collection[int],
    *,
    line: bool = False,
) -> list[Any]:
    """Read the standing rows of a table that hang on standing steps, the oldest first."""
    rows = table.__table__  # type: ignore[attr-defined]
    columns = [rows, col(StepRow.number).label("step"), col(StepRow.act_id).label("step_act")]
    columns += [col(ActRow.happened_at)]
    if line:
        columns.append(col(ItemRow.line).label("item_line"))
    statement = (
        select(*columns)
        .join(StepRow, col(StepRow.id) == rows.c.step_id)
        .join(ActRow, col(ActRow.id) == rows.c.act_id)
        .where(col(StepRow.machine_id) == machine)
        .order_by(rows.c.id)
    )
    if line:
        statement = statement.join(ItemRow, col(ItemRow.id) == rows.c.item_id, isouter=True)
    found: Any = connection.execute(statement)
    return [row for row in found if row.act_id not in gone and row.step_act not in gone]


def _points(connection: Connection, machine: int, gone: Collection[int]) -> list[CheckPoint]:
    points: dict[tuple[int, str], CheckPoint] = {}
    keys: dict[int, tuple[int, str]] = {}
    for row in _of_steps(connection, CheckPointRow, machine, gone):
        key = (row.step, row.key)
        keys[row.id] = key
        points.pop(key, None)
        if row.unit:
            points[key] = CheckPoint(
                row.id, row.step, row.name, _thousandth(row.low), _thousandth(row.high), row.unit,
                row.source,
            )  # fmt: skip
    measured: Any = connection.execute(
        select(
            col(CheckedRow.act_id),
            col(CheckedRow.point_id),
            col(CheckedRow.thousandths),
            col(ActRow.happened_at),
        )
        .join(ActRow, col(ActRow.id) == col(CheckedRow.act_id))
        .order_by(col(CheckedRow.id))
    )
    for row in measured:
        point = points.get(keys.get(row.point_id, (0, "")))
        if row.act_id not in gone and point is not None:
            points[keys[row.point_id]] = replace(
                point, found=_thousandth(row.thousandths), date=local_day(row.happened_at)
            )
    return list(points.values())


def _thousandth(value: int | None) -> Fraction | None:
    return None if value is None else Fraction(value, 1000)


def _last_fitted(
    connection: Connection, machine: int, gone: Collection[int]
) -> dict[int, Row[Any]]:
    """Give, by item, the newest standing act that put pieces of it on the machine."""
    rows: Any = connection.execute(
        select(
            col(ItemRow.id).label("item"),
            col(ItemRow.step_id),
            col(ActRow.id).label("act"),
        )
        .join(MovementRow, col(MovementRow.item_id) == col(ItemRow.id))
        .join(PlaceRow, col(PlaceRow.id) == col(MovementRow.to_place))
        .join(ActRow, col(ActRow.id) == col(MovementRow.act_id))
        .where(
            col(ItemRow.machine_id) == machine,
            col(PlaceRow.kind) == PlaceKind.MACHINE.value,
            col(ActRow.reverses).is_(None),
        )
        .order_by(col(ActRow.id))
    )
    return {row.item: row for row in rows if row.act not in gone}


def _tightened(
    connection: Connection, machine: int, gone: Collection[int]
) -> list[tuple[int, Tightened]]:
    """Give how items were left, each with its act, the oldest first."""
    rows: Any = connection.execute(
        select(TightenedRow.__table__, col(ActRow.happened_at))  # type: ignore[attr-defined]
        .join(ItemRow, col(ItemRow.id) == col(TightenedRow.item_id))
        .join(ActRow, col(ActRow.id) == col(TightenedRow.act_id))
        .where(col(ItemRow.machine_id) == machine)
        .order_by(col(TightenedRow.id))
    )
    return [
        (
            row.act_id,
            Tightened(
                row.item_id,
                row.quantity,
                HowTight(row.how),
                None if row.torque_mnm is None else row.torque_mnm / 1000,
                row.state,
                row.written,
                local_day(row.happened_at),
            ),
        )
        for row in rows
        if row.act_id not in gone
    ]


def fitted_by_day(connection: Connection, machine: int) -> dict[date, int]:
    """Give how many pieces were refitted on each day."""
    gone = reversed_acts(connection)
    rows: Any = connection.execute(
        select(col(ActRow.id), col(ActRow.happened_at), col(MovementRow.quantity))
        .join(MovementRow, col(MovementRow.act_id) == col(ActRow.id))
        .join(ItemRow, col(ItemRow.id) == col(MovementRow.item_id))
        .join(PlaceRow, col(PlaceRow.id) == col(MovementRow.to_place))
        .where(
            col(ItemRow.machine_id) == machine,
            col(ActRow.kind) == ActKind.REFIT.value,
            col(PlaceRow.kind) == PlaceKind.MACHINE.value,
        )
    )
    days: dict[date, int] = {}
    for row in rows:
        if row.id not in gone:
            day = date.fromisoformat(local_day(row.happened_at))
            days[day] = days.get(day, 0) + row.quantity
    return days
