"""Rows of the record itself: acts, machines, places, steps, items, movements, findings.

Times are text, ISO 8601 in UTC; a bare date is a day that somebody gave.
"""

from sqlmodel import Field, SQLModel

__all__ = [
    "ActRow",
    "AssemblyRow",
    "DescriptionRow",
    "FindingRow",
    "ItemRow",
    "KeptSpareRow",
    "MachineRow",
    "MovementRow",
    "PlaceRow",
    "SpecificationRow",
    "StepRow",
    "WorkRow",
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
    key: str | None = Field(default=None, unique=True)


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

    ``step_id`` is empty for loose pieces and for the workshop's stock; ``machine_id`` is then the
    machine that was being worked on, ``line`` a number of its own over all machines, ``formerly``
    what it was called before that was so. ``unit`` is in what it is counted: empty for pieces, or
    ml, g, mm, cm2. ``words`` is all that ``find`` looks through, folded: description, part,
    assembly, note, position.
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
    unit: str = ""
    formerly: str = ""


class SpecificationRow(SQLModel, table=True):
    """As specified: what should be at the joint. The newest standing one counts.

    ``differs`` is 1 where it names another thing than was found, ``missing`` how many fewer were
    found: both are known when it is written, and searched by. ``same`` is what a person said: 1,
    this is the name of what was found; 0, another thing; empty, nothing: the words tell.
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
    same: int | None = None


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
    """What an inspection said of so many pieces, and why.

    ``measured_nm`` and ``limit_nm`` are what was measured of one, and the maker's limit, in
    nanometres, so that thousandths of an inch are whole numbers too.
    """

    __tablename__ = "finding"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    item_id: int = Field(foreign_key="item.id")
    quantity: int
    condition: str
    reason: str = ""
    words: str = ""
    measured_nm: int | None = None
    limit_nm: int | None = None


class WorkRow(SQLModel, table=True):
    """What was done to so many pieces, by whom, and what they measured afterwards."""

    __tablename__ = "work_done"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    item_id: int = Field(foreign_key="item.id")
    quantity: int
    what: str
    done_by: str = ""
    measured: str = ""
    words: str = ""


class KeptSpareRow(SQLModel, table=True):
    """Loose pieces that the workshop keeps: sound ones are left over no longer; with ``stock`` 1
    none of them is, whatever it is like."""

    __tablename__ = "kept_spare"

    id: int | None = Field(default=None, primary_key=True)
    act_id: int = Field(foreign_key="act.id")
    item_id: int = Field(foreign_key="item.id")
    stock: int = 0
