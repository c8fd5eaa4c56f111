"""Rows of a machine's figures: sumps, readings, makers' torques, joints with their holes."""

from sqlmodel import Field, SQLModel

__all__ = [
    "FigureRow",
    "JointRow",
    "ReadingRow",
    "SumpRow",
]


class SumpRow(SQLModel, table=True):
    """A place of the machine that holds oil. The newest standing one of a name counts.

    ``number`` is how many alike there are, 0 when it turned out not to exist.
    """

    __tablename__ = "sump"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    machine_id: int = Field(foreign_key="machine.id")
    name: str
    key: str
    number: int = 1
    grade: str = ""
    dry_ml: int | None = None
    refill_ml: int | None = None
    drain: str = ""
    filler: str = ""
    level: str = ""
    note: str = ""
    source: str = ""


class ReadingRow(SQLModel, table=True):
    """Something measured on the machine as a whole, before or after the work.

    ``thousandths`` of ``unit``; a pressure is in kPa on the gauge, ``air_pa`` what the air had.
    """

    __tablename__ = "reading"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    machine_id: int = Field(foreign_key="machine.id")
    subject: str
    key: str
    place: str = ""
    state: str = ""
    stage: str
    thousandths: int
    unit: str = ""
    written: str = ""
    air_pa: int | None = None
    note: str = ""


class FigureRow(SQLModel, table=True):
    """The maker's torque of an item, in thousandths of a newton metre. The newest counts."""

    __tablename__ = "figure"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    item_id: int = Field(foreign_key="item.id")
    low_mnm: int
    high_mnm: int
    state: str = ""
    source: str = ""
    written: str = ""


class JointRow(SQLModel, table=True):
    """Where the holes of a step's joint are, as it was typed. The newest standing one counts."""

    __tablename__ = "joint"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    step_id: int = Field(foreign_key="step.id")
    holes: str
    stated_order: str = ""
    source: str = ""
