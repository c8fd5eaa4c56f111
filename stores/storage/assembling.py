"""What is known of steps for their refit: what goes in, what is measured, how tight, who signed."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from sqlalchemy import Connection, Row, case, select
from sqlmodel import Field, SQLModel, col

from stores.model.ledger import ActKind, PlaceKind
from stores.model.stock import name_alone
from stores.planning.assembling import (
    Applied,
    CheckPoint,
    HowTight,
    Refits,
    Role,
    Signature,
    StepNotes,
    TakesSaid,
    Tightened,
)
from stores.storage.acts import reversed_acts
from stores.storage.balances import of_numbers
from stores.storage.carried import Changes, before, carried, keep
from stores.storage.corrections import ITEMS, STEPS, lines_now, step_numbered_then, steps_now
from stores.storage.rebuild import StepChoiceRow
from stores.storage.stock import StockNeedRow
from stores.storage.tables import ActRow, DescriptionRow, MovementRow, PlaceRow
from stores.text import local_day

__all__ = [
    "CheckPointRow",
    "CheckedRow",
    "FittingRow",
    "SignatureRow",
    "TightenedRow",
    "fitted_machines",
    "read_access",
    "read_refits",
]


class FittingRow(SQLModel, table=True):
    """What goes in with a step or one of its items: locking compound, sealant, grease, oil.

    Of a step, item and kind; an empty text takes it away.
    """

    __tablename__ = "fitting"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    step_id: int = Field(foreign_key="step.id")
    item_id: int | None = Field(default=None, foreign_key="item.id")
    kind: str
    text: str


class CheckPointRow(SQLModel, table=True):
    """Something to measure when a step is refitted: a clearance, an end float.

    Limits in thousandths of ``unit``. Of a step and its key; an empty ``unit`` takes it away.
    """

    __tablename__ = "check_point"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    step_id: int = Field(foreign_key="step.id")
    name: str
    key: str
    low: int | None = None
    high: int | None = None
    unit: str = ""
    source: str = ""


class CheckedRow(SQLModel, table=True):
    """What was measured at such a point, in thousandths of its unit. Of a point."""

    __tablename__ = "checked"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    point_id: int = Field(foreign_key="check_point.id")
    thousandths: int
    written: str = ""


class TightenedRow(SQLModel, table=True):
    """How pieces of an item were left: finger-tight, or tightened, with the torque applied.

    Of an item; the torque in thousandths of a newton metre, empty when none was measured.
    """

    __tablename__ = "tightened"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    item_id: int = Field(foreign_key="item.id")
    quantity: int
    how: str
    torque_mnm: int | None = None
    state: str = ""
    written: str = ""


class SignatureRow(SQLModel, table=True):
    """Who fitted a step, and who checked it as the second person. Of a step and a role."""

    __tablename__ = "signature"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    step_id: int = Field(foreign_key="step.id")
    role: str
    name: str
    note: str = ""


def fitted_machines(connection: Connection) -> set[int]:
    """Return the machines at some step of which something was said to go in."""
    rows: Any = connection.execute(
        select(STEPS.c.machine_id)
        .join(FittingRow, col(FittingRow.step_id) == STEPS.c.id)
        .distinct()
    )
    return {row.machine_id for row in rows}


def read_refits(connection: Connection, machine: int) -> Refits:
    """Return what is known of the steps of a machine for their refit."""
    said = _said(connection, machine)
    fitted = carried(
        connection,
        "fitted",
        machine,
        ("correction", "item", "movement"),
        lambda: _last_fitted(connection, machine),
        lambda older, changes: _fitted_now(connection, machine, older, changes),
    )
    older: tuple[_Said, Mapping[int, Any], Refits] | None = before(connection, "refits", machine)
    if older and older[0] is said and older[1] == fitted:
        return older[2]
    made = _refits(said, fitted)
    keep(connection, "refits", machine, (said, fitted, made))
    return made


def _said(connection: Connection, machine: int) -> "_Said":
    return carried(
        connection,
        "said for refit",
        machine,
        _SAID_FOR_REFIT,
        lambda: _Said.of(connection, machine),
    )


_SAID_FOR_REFIT = frozenset(
    (
        "check_point",
        "checked",
        "correction",
        "fitting",
        "item",
        "signature",
        "step",
        "step_choice",
        "stock_need",
        "tightened",
    )
)
"""The tables that what is said of steps for their refit is read from."""


@dataclass(frozen=True, slots=True)
class _Said:
    """What was said of a machine's steps, whatever is on by now: the rows of signatures, and how
    items were left, each with its act."""

    applied: Collection[Applied]
    takes: Collection[TakesSaid]
    points: Collection[CheckPoint]
    signed: Collection["_OfStep"]
    chosen: "_Chosen"
    tightened: Collection[tuple[int, Tightened]]

    @classmethod
    def of(cls, connection: Connection, machine: int) -> "_Said":
        """Read it."""
        fallen = reversed_acts(connection)
        applied: dict[tuple[int, int, str], Applied] = {}
        for each in _of_steps(connection, FittingRow, machine, line=True):
            one = Applied(each.step, each.line, each.row.kind, each.row.text)
            applied.pop((one.step, one.line, one.kind), None)
            if one.text:
                applied[one.step, one.line, one.kind] = one
        return cls(
            list(applied.values()),
            _takes(connection, machine),
            _points(connection, machine, fallen),
            _of_steps(connection, SignatureRow, machine),
            _chosen(connection, machine),
            _tightened(connection, machine, fallen),
        )


@dataclass(frozen=True, slots=True)
class _Chosen:
    """What was chosen for steps: the minutes each takes, and whether it came off for access only,
    to which step."""

    minutes: Mapping[int, int | None]
    access: Mapping[int, tuple[bool, int | None]]


def _chosen(connection: Connection, machine: int) -> _Chosen:
    return carried(
        connection,
        "chosen for steps",
        machine,
        ("correction", "step", "step_choice"),
        lambda: _read_chosen(connection, machine),
    )


def _read_chosen(connection: Connection, machine: int) -> _Chosen:
    choices = _of_steps(connection, StepChoiceRow, machine)
    now = _numbers_now(connection, machine, [each.row for each in choices])
    minutes: dict[int, int | None] = {}
    access: dict[int, tuple[bool, int | None]] = {}
    for each in choices:
        row, step = each.row, each.step
        if row.name == "minutes":
            minutes[step] = int(row.value) if row.value else None
        elif row.name == "access":
            number = now.get(row.id)
            access[step] = bool(row.value), None if number == step else number
    return _Chosen(minutes, access)


def _refits(said: _Said, fitted: Mapping[int, Row[Any]]) -> Refits:
    steps: dict[int, StepNotes] = {}

    def add(step: int, **more: Any) -> None:
        steps[step] = replace(steps.get(step, StepNotes()), **more)

    for one in said.applied:
        add(one.step, applied=(*_now(steps, one.step).applied, one))
    for takes in said.takes:
        add(takes.step, takes=(*_now(steps, takes.step).takes, takes))
    for point in said.points:
        add(point.step, points=(*_now(steps, point.step).points, point))

    # Who signed, or tightened, did so of the pieces that were on by then: what was fitted since
    # has to be looked at again.
    by_step: dict[int, int] = {}
    for row in fitted.values():
        by_step[row.step_id] = max(row.act, by_step.get(row.step_id, 0))
    signed: dict[tuple[int, Role], Signature] = {}
    for each in said.signed:
        row = each.row
        if row.act_id < by_step.get(each.of_step, 0):
            continue
        role = Role(row.role)
        signed[each.step, role] = Signature(
            each.step, role, row.name, local_day(row.happened_at), row.note
        )
    for by in signed.values():
        add(by.step, signatures=(*_now(steps, by.step).signatures, by))

    for step, minutes in said.chosen.minutes.items():
        add(step, minutes=minutes)
    for step, (only, to) in said.chosen.access.items():
        add(step, access_only=only, access_to=to)
    tight = {
        one.item: one
        for act, one in said.tightened
        if one.item in fitted and act >= fitted[one.item].act
    }
    return Refits(steps, tight)


def read_access(connection: Connection, machine: int) -> dict[int, int | None]:
    """Return the steps that came off for access only, with the step that each made way for."""
    access = _chosen(connection, machine).access
    return {step: to for step, (only, to) in access.items() if only}


def _fitted_now(
    connection: Connection, machine: int, older: dict[int, Row[Any]], changes: Changes
) -> dict[int, Row[Any]] | None:
    if changes.within(("correction",)):
        return None
    touched = changes.of(("item", "movement"))
    kept = {number: row for number, row in older.items() if number not in touched}
    return kept | _last_fitted(connection, machine, touched) if touched else older


def _numbers_now(connection: Connection, machine: int, choices: Collection[Any]) -> dict[int, int]:
    """Return what the steps that access was made to are numbered now, by choice.

    A number was written down as it read then, on the machine that the step was of then. One that
    went to another machine since has none here.
    """
    numbers = {
        row.id: int(row.value) for row in choices if row.name == "access" and row.value.isdigit()
    }
    if not numbers:
        return {}
    meant = {
        row.id: step_numbered_then(connection, row.step_id, numbers[row.id], row.act_id)
        for row in choices
        if row.id in numbers
    }
    reading: Any = connection.execute(
        select(STEPS.c.id, STEPS.c.number).where(
            STEPS.c.machine_id == machine, STEPS.c.id.in_(set(meant.values()))
        )
    )
    now = {row.id: row.number for row in reading}
    return {choice: now[step] for choice, step in meant.items() if step in now}


def _now(steps: dict[int, StepNotes], step: int) -> StepNotes:
    return steps.get(step, StepNotes())


@dataclass(frozen=True, slots=True)
class _OfStep:
    """A standing row that hangs on a step, as that reads now: its number, the step ``of_step`` that
    it reads as, and the number of the line of it, 0 for none."""

    row: Row[Any]
    step: int
    of_step: int
    line: int


def _of_steps(
    connection: Connection, table: type[SQLModel], machine: int, *, line: bool = False
) -> list[_OfStep]:
    """Read the standing rows of a table that hang on standing steps of a machine, the oldest
    first; ``line``: a line's row is of the step that the line was put right to."""
    fallen = reversed_acts(connection)
    rows = table.__table__  # type: ignore[attr-defined]
    found: Any = connection.execute(
        select(rows, col(ActRow.happened_at))
        .join(ActRow, col(ActRow.id) == rows.c.act_id)
        .order_by(rows.c.id)
    )
    standing = [row for row in found if row.act_id not in fallen]
    lines: dict[int, Row[Any]] = {}
    if line:
        lines = lines_now(connection, {row.item_id for row in standing if row.item_id is not None})
    hung = [(row, lines.get(row.item_id) if line else None) for row in standing]
    steps = steps_now(connection, {(of or row).step_id for row, of in hung} - {None})
    of_machine = []
    for row, of in hung:
        step = steps.get((of or row).step_id)
        if step is not None and step.machine_id == machine and step.act_id not in fallen:
            of_machine.append(_OfStep(row, step.number, step.as_id, of.line if of else 0))
    return of_machine


def _takes(connection: Connection, machine: int) -> list[TakesSaid]:
    """Return how much goes in, as it was said last; 0 leaves it to the rule."""
    rows = _of_steps(connection, StockNeedRow, machine, line=True)
    if not rows:
        return []
    texts: Any = connection.execute(
        select(col(DescriptionRow.id), col(DescriptionRow.text)).where(
            col(DescriptionRow.id).in_(sorted({each.row.description_id for each in rows}))
        )
    )
    names = {number: text for number, text in texts}  # noqa: C416 - typed rows
    newest: dict[tuple[int, int, str], TakesSaid] = {}
    for each in rows:
        row = each.row
        name = name_alone(row.unit, names[row.description_id])
        newest[each.step, each.line, name] = TakesSaid(
            each.step, each.line, name, row.unit, Fraction(row.quantity, 1000), row.basis
        )
    return [said for said in newest.values() if said.quantity]


def _points(connection: Connection, machine: int, fallen: Collection[int]) -> list[CheckPoint]:
    points: dict[tuple[int, str], CheckPoint] = {}
    keys: dict[int, tuple[int, str]] = {}
    for each in _of_steps(connection, CheckPointRow, machine):
        row, key = each.row, (each.step, each.row.key)
        keys[row.id] = key
        points.pop(key, None)
        if row.unit:
            points[key] = CheckPoint(
                row.id, each.step, row.name, _thousandth(row.low), _thousandth(row.high), row.unit,
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
        if row.act_id not in fallen and point is not None:
            points[keys[row.point_id]] = replace(
                point, found=_thousandth(row.thousandths), date=local_day(row.happened_at)
            )
    return list(points.values())


def _thousandth(value: int | None) -> Fraction | None:
    return None if value is None else Fraction(value, 1000)


def _last_fitted(
    connection: Connection, machine: int, items: Collection[int] | None = None
) -> dict[int, Row[Any]]:
    """Return, by item, the newest standing act that put pieces of it on the machine; of all of its
    items or of these."""
    fallen = reversed_acts(connection)
    statement = (
        select(
            ITEMS.c.id.label("item"),
            ITEMS.c.step_id,
            # what a line was given by a correction was on the machine before
            case((col(ActRow.kind) == ActKind.CORRECT.value, 0), else_=col(ActRow.id)).label("act"),
            col(ActRow.id).label("by"),
        )
        .select_from(ITEMS)
        .join(MovementRow, col(MovementRow.item_id) == ITEMS.c.id)
        .join(PlaceRow, col(PlaceRow.id) == col(MovementRow.to_place))
        .join(ActRow, col(ActRow.id) == col(MovementRow.act_id))
        .where(
            ITEMS.c.machine_id == machine,
            col(PlaceRow.kind) == PlaceKind.MACHINE.value,
            col(ActRow.reverses).is_(None),
        )
    )
    rows = of_numbers(connection, statement, ITEMS.c.id, items)
    rows.sort(key=lambda row: row.act)
    return {row.item: row for row in rows if row.by not in fallen}


def _tightened(
    connection: Connection, machine: int, fallen: Collection[int]
) -> list[tuple[int, Tightened]]:
    """Return how items were left, each with its act, the oldest first."""
    rows: Any = connection.execute(
        select(TightenedRow.__table__, col(ActRow.happened_at))  # type: ignore[attr-defined]
        .select_from(TightenedRow)
        .join(ITEMS, ITEMS.c.id == col(TightenedRow.item_id))
        .join(ActRow, col(ActRow.id) == col(TightenedRow.act_id))
        .where(ITEMS.c.machine_id == machine)
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
        if row.act_id not in fallen
    ]
