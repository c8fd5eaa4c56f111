"""What a fastener is: the words and sizes that tell one from another, without position or place.

The class of a thread is a field (`thread_class`: 6g, 2A, "medium fit"), written right behind the
thread (M10-6g, 1/4-20 UNC-2A). The ordinary class (6g, 6H, 2A, 2B, medium) counts as none in
`same_spec`: it is what is meant where nothing is said.
"""

from dataclasses import dataclass, field, replace
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING

from stores import units

if TYPE_CHECKING:
    from stores.handbook.thread import Thread

__all__ = ["GAUGED", "NO_NOUN", "NO_SINGLE_NOUN", "Fastener", "Kind", "Measure", "Series"]

MM_PER_INCH = Fraction(254, 10)

NO_NOUN = "I don't recognise this part; kept as you wrote it"
"""The question of a size without a noun; a caller to whom that is clear may leave it out."""


NO_SINGLE_NOUN = "I can't tell which part this is; kept as you wrote it"
"""The question of a text in which two nouns, or one of two trades, leave open what it is."""


class Kind(StrEnum):
    """The noun on the label; ``part`` is anything that is no fastener."""

    BOLT = "bolt"
    SCREW = "screw"
    SETSCREW = "setscrew"
    STUD = "stud"
    STUDDING = "studding"
    NUT = "nut"
    WASHER = "washer"
    SPRING_WASHER = "spring washer"
    TAB_WASHER = "tab washer"
    TOOTHED_WASHER = "toothed washer"
    SEALING_WASHER = "sealing washer"
    SHIM = "shim"
    SPLIT_PIN = "split pin"
    ROLL_PIN = "roll pin"
    DOWEL = "dowel"
    TAPER_PIN = "taper pin"
    GROOVED_PIN = "grooved pin"
    CLEVIS_PIN = "clevis pin"
    PIN = "pin"
    CIRCLIP = "circlip"
    E_CLIP = "E-clip"
    WOODRUFF_KEY = "woodruff key"
    PARALLEL_KEY = "parallel key"
    GIB_KEY = "gib-head key"
    RIVET = "rivet"
    NAIL = "nail"
    DRIVE_SCREW = "hammer drive screw"
    O_RING = "O-ring"
    SEAL = "seal"
    GASKET = "gasket"
    BEARING = "bearing"
    BALL = "ball"
    CLIP = "clip"
    CLAMP = "clamp"
    INSERT = "insert"
    STANDOFF = "standoff"
    SPACER = "spacer"
    PLUG = "plug"
    GREASE_NIPPLE = "grease nipple"
    BLEED_NIPPLE = "bleed nipple"
    TURNBUCKLE = "turnbuckle"
    PART = "part"


class Series(StrEnum):
    """The family a thread belongs to, as the trade names it."""

    METRIC = "metric"
    METRIC_FINE = "metric fine"
    UNC = "unc"
    UNF = "unf"
    UNEF = "unef"
    UNS = "uns"
    BSW = "bsw"
    BSF = "bsf"
    CYCLE = "cycle"
    BA = "ba"
    BSP = "bsp"
    BSPT = "bspt"
    BRASS = "brass"
    NPT = "npt"
    TRAPEZOIDAL = "trapezoidal"
    WOOD = "wood"
    SELF_TAPPING = "self-tapping"


GAUGED = frozenset((Series.WOOD, Series.SELF_TAPPING))
"""Series whose sizes are gauge numbers or millimetres."""


@dataclass(frozen=True, slots=True)
class Measure:
    """An exact length as written: a number, its unit and, where the text says so, what it measures.

    ``unit`` is "mm" or "in". ``of`` is "" or one of OD, ID, dia, thick, wide, high, section, long.
    """

    value: Fraction
    unit: str
    of: str = ""

    @property
    def mm(self) -> float:
        """The length in millimetres."""
        return float(self.value if self.unit == "mm" else self.value * MM_PER_INCH)

    def number(self) -> str:
        """Write the number alone: inch sizes as workshop fractions, others as decimals."""
        return number_text(self.value, self.unit == "in")

    def __str__(self) -> str:
        tail = f" {self.of}" if self.of else ""
        return f"{self.number()} {self.unit}{tail}"


def number_text(value: Fraction, as_fraction: bool) -> str:
    """Write a number exactly: ``1 1/4`` where halves to sixty-fourths serve, else ``1.25``."""
    if value.denominator == 1:
        return str(value.numerator)
    if as_fraction and value.denominator in (2, 4, 8, 16, 32, 64):
        return units.mixed(value)
    scale = 1
    while (value * scale).denominator != 1 and scale < 10**9:
        scale *= 10
    digits = str(round(value * scale)).rjust(len(str(scale)), "0")
    places = len(str(scale)) - 1
    return f"{digits[:-places]}.{digits[-places:]}"


@dataclass(frozen=True, slots=True)
class Fastener:
    """What one kind of small part is, as far as its text says.

    A field is empty when the text does not say, or says it in a way that has two readings; then
    ``questions`` holds the question in plain words. ``unread`` keeps, as written, what no rule
    understood. Questions belong to the reading, not to the thing, and do not count for equality;
    ``count_questions`` are those of them that leave open how many there are; ``doubts`` says
    whether one of the others leaves open the kind of a fastener or its thread. A part that is asked
    about is in doubt altogether.
    """

    kind: Kind = Kind.PART
    quantity: int | None = None
    series: Series | None = None
    size: str = ""
    pitch_or_tpi: str = ""
    thread_class: str = ""
    length: Measure | None = None
    dimensions: tuple[Measure, ...] = ()
    head: str = ""
    drive: str = ""
    form: str = ""
    property_class: str = ""
    material: str = ""
    finish: str = ""
    standard: str = ""
    marks: str = ""
    name: str = ""
    unread: tuple[str, ...] = ()
    questions: tuple[str, ...] = field(default=(), compare=False)
    count_questions: tuple[str, ...] = field(default=(), compare=False)
    doubts: tuple[str, ...] = field(default=(), compare=False)

    def __str__(self) -> str:
        from stores.handbook.fastener.writing import write

        return write(self)

    @property
    def spec(self) -> str:
        """The canonical text without the quantity: what is compared, looked for and bought."""
        return str(replace(self, quantity=None))

    def same_spec(self, other: "Fastener") -> bool:
        """Return whether both describe one thing, whatever the count.

        A metric pitch that is the coarse one counts as the same as no pitch given, and a thread
        class that is the ordinary one as the same as none.
        """
        alike = (self.kind, self.size, self.length) == (other.kind, other.size, other.length)
        return alike and _bare(self) == _bare(other)

    @property
    def thread(self) -> "Thread | None":
        """The thread in the tables, or None when the text leaves it open or no table has it."""
        from stores.handbook.fastener.writing import thread_of

        return thread_of(self)

    @property
    def diameter_mm(self) -> float | None:
        """Nominal diameter in mm for searching: the thread's, else the size as written."""
        from stores.handbook.fastener.writing import diameter_mm

        return diameter_mm(self)

    @property
    def length_mm(self) -> float | None:
        """Length in mm for searching, or None."""
        return None if self.length is None else self.length.mm


def _bare(item: Fastener) -> Fastener:
    from stores.handbook.fastener.nouns import ORDINARY
    from stores.handbook.fastener.writing import COARSE_PITCH

    pitch = item.pitch_or_tpi
    if item.series is Series.METRIC and pitch == COARSE_PITCH.get(item.size):
        pitch = ""
    said = "" if item.thread_class in ORDINARY else item.thread_class
    return replace(item, quantity=None, pitch_or_tpi=pitch, thread_class=said)
