"""Rows of what is printed and pictured: labels, printers, pictures and what they show."""

from sqlmodel import Field, SQLModel

__all__ = [
    "CaptionRow",
    "FilingRow",
    "LabelRow",
    "OutcomeRow",
    "PictureRow",
    "PrinterRow",
]


class LabelRow(SQLModel, table=True):
    """A bag's label as it was printed: ``digest`` tells whether the contents changed since."""

    __tablename__ = "label"

    id: int | None = Field(default=None, primary_key=True)
    place_id: int = Field(foreign_key="place.id")
    printed_at: str
    digest: str
    file: str = ""


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
