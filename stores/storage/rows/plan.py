"""Rows of the rebuild: its order, what each step takes, what was tightened, measured and signed."""

from sqlmodel import Field, SQLModel

__all__ = [
    "CheckPointRow",
    "CheckedRow",
    "FittingRow",
    "RefitLinkRow",
    "SignatureRow",
    "StepChoiceRow",
    "TightenedRow",
]


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
