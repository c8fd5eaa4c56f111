"""The tables as SQLModel rows. Rows stay in this room and in queries; the domain has its own types.

A ``table=True`` row checks nothing by itself, so what must hold is a CHECK constraint or a trigger
in the migrations. Sizes are whole micrometres, quantities whole numbers: SQLite would keep a
decimal as a float. Times are text, ISO 8601 in UTC, so that every database sorts them alike.
"""

from sqlmodel import Field, SQLModel

__all__ = [
    "ActRow",
    "AssemblyRow",
    "CaptionRow",
    "DescriptionRow",
    "FigureRow",
    "FilingRow",
    "FindingRow",
    "ItemRow",
    "JointRow",
    "LabelRow",
    "MachineRow",
    "MovementRow",
    "OutcomeRow",
    "PictureRow",
    "PlaceRow",
    "PrinterRow",
    "ReadingRow",
    "SpecificationRow",
    "StepRow",
    "StowingRow",
    "SumpRow",
]


class ActRow(SQLModel, table=True):
    """An act: what was done, when it happened and when it was written down."""

    __tablename__ = "act"

    id: int | None = Field(default=None, primary_key=True)
    kind: str
    happened_at: str
    written_at: str
    reason: str = ""
    summary: str = ""
    reverses: int | None = Field(default=None, foreign_key="act.id", unique=True)


class MachineRow(SQLModel, table=True):
    """What is being restored."""

    __tablename__ = "machine"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    name: str
    maker: str = ""
    model: str = ""
    year: str = ""
    note: str = ""


class AssemblyRow(SQLModel, table=True):
    """A named group on the machine; ``parent_id`` makes the tree."""

    __tablename__ = "assembly"

    id: int | None = Field(default=None, primary_key=True)
    machine_id: int = Field(foreign_key="machine.id")
    parent_id: int | None = Field(default=None, foreign_key="assembly.id")
    name: str
    path: str


class PlaceRow(SQLModel, table=True):
    """Where pieces can be. ``key`` is the name folded for comparison, unique within a kind."""

    __tablename__ = "place"

    id: int | None = Field(default=None, primary_key=True)
    kind: str
    name: str
    key: str


class StepRow(SQLModel, table=True):
    """One removal at the bench, numbered in the order done."""

    __tablename__ = "step"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    machine_id: int = Field(foreign_key="machine.id")
    number: int
    assembly_id: int = Field(foreign_key="assembly.id")
    part: str
    note: str = ""
    hazard: str = ""


class DescriptionRow(SQLModel, table=True):
    """What a thing is, in the canonical notation: one row for each different one."""

    __tablename__ = "description"

    id: int | None = Field(default=None, primary_key=True)
    text: str = Field(unique=True)
    kind: str
    thread: str = ""
    diameter_um: int | None = None
    length_um: int | None = None
    head: str = ""
    words: str = ""
    renew: str = ""


class ItemRow(SQLModel, table=True):
    """One kind of thing at one joint, as it was found.

    ``step_id`` is empty for loose pieces: spares, and pieces of unknown origin. ``words`` is all
    that ``find`` looks through, folded: description, part, assembly, note, position.
    """

    __tablename__ = "item"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    machine_id: int = Field(foreign_key="machine.id")
    step_id: int | None = Field(default=None, foreign_key="step.id")
    line: int
    description_id: int = Field(foreign_key="description.id")
    found: int
    written: str
    position: str = ""
    words: str = ""


class SpecificationRow(SQLModel, table=True):
    """As specified: what should be at the joint. The newest standing one counts.

    ``differs`` is 1 where it names another thing than was found, ``missing`` how many fewer were
    found: both are known when it is written, and searched by.
    """

    __tablename__ = "specification"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    item_id: int = Field(foreign_key="item.id")
    description_id: int = Field(foreign_key="description.id")
    quantity: int
    renew: str = ""
    differs: int = 0
    missing: int = 0


class MovementRow(SQLModel, table=True):
    """So many pieces of an item from one place and condition to another."""

    __tablename__ = "movement"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    item_id: int = Field(foreign_key="item.id")
    quantity: int
    from_place: int = Field(foreign_key="place.id")
    from_condition: str
    to_place: int = Field(foreign_key="place.id")
    to_condition: str


class FindingRow(SQLModel, table=True):
    """What an inspection said of so many pieces, and why."""

    __tablename__ = "finding"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    item_id: int = Field(foreign_key="item.id")
    quantity: int
    condition: str
    reason: str = ""
    words: str = ""


class StowingRow(SQLModel, table=True):
    """A bag put into a box, a box on to a shelf. The newest standing one counts."""

    __tablename__ = "stowing"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    place_id: int = Field(foreign_key="place.id")
    inside_id: int | None = Field(default=None, foreign_key="place.id")


class LabelRow(SQLModel, table=True):
    """A bag's label as it was printed: ``digest`` tells whether the contents changed since."""

    __tablename__ = "label"

    id: int | None = Field(default=None, primary_key=True)
    place_id: int = Field(foreign_key="place.id")
    printed_at: str
    digest: str
    file: str = ""


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


class OutcomeRow(SQLModel, table=True):
    """Whether a label came out of the printer fit to use. The newest of a label counts."""

    __tablename__ = "outcome"

    id: int | None = Field(default=None, primary_key=True)
    label_id: int = Field(foreign_key="label.id")
    good: int
    noted_at: str


class PrinterRow(SQLModel, table=True):
    """How far a printer is out, in micrometres to the right and down. The newest standing counts.

    ``dpi`` is of a label printer, 0 where it does not matter.
    """

    __tablename__ = "printer"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    name: str
    key: str
    right_um: int = 0
    down_um: int = 0
    dpi: int = 0


class PictureRow(SQLModel, table=True):
    """A picture, kept by the digest of its content; ``turn`` is the EXIF orientation."""

    __tablename__ = "picture"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    machine_id: int = Field(foreign_key="machine.id")
    number: int
    digest: str
    name: str = ""
    taken_at: str = ""
    width: int
    height: int
    turn: int = 1
    format: str = ""
    size: int


class FilingRow(SQLModel, table=True):
    """What a picture shows: a step, a bag or an item. The newest standing one of a pair counts."""

    __tablename__ = "filing"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    picture_id: int = Field(foreign_key="picture.id")
    step_id: int | None = Field(default=None, foreign_key="step.id")
    place_id: int | None = Field(default=None, foreign_key="place.id")
    item_id: int | None = Field(default=None, foreign_key="item.id")
    how: str = ""
    taken_off: int = 0


class CaptionRow(SQLModel, table=True):
    """What is written under a picture. The newest standing one counts."""

    __tablename__ = "caption"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    picture_id: int = Field(foreign_key="picture.id")
    text: str = ""
