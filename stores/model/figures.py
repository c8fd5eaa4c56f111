"""A machine's figures as the record has them: sumps, readings, makers' torques, joints."""

from dataclasses import dataclass
from fractions import Fraction

from stores.model.work_units import WorkUnits, chosen

__all__ = ["JointHoles", "MakerTorque", "ReadingOnRecord", "SumpOnRecord", "contents"]


@dataclass(frozen=True, slots=True)
class SumpOnRecord:
    """A sump with its points; ``grade`` in its canonical writing, empty where nobody knows it."""

    machine: str
    name: str
    number: int = 1
    grade: str = ""
    dry_ml: int | None = None
    refill_ml: int | None = None
    drain: str = ""
    filler: str = ""
    level: str = ""
    note: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class ReadingOnRecord:
    """Something measured: ``value`` in ``unit``, ``stage`` before or after the work.

    A pressure is in kPa on the gauge; ``air_kpa`` is what the air had, None where not recorded.
    """

    machine: str
    act: int
    subject: str
    place: str
    state: str
    stage: str
    value: Fraction
    unit: str
    written: str
    date: str
    air_kpa: Fraction | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class MakerTorque:
    """The maker's torque of an item, N m, with what it is for and where it is printed."""

    item: int
    low_nm: float
    high_nm: float
    state: str = ""
    source: str = ""
    written: str = ""


@dataclass(frozen=True, slots=True)
class JointHoles:
    """Where the holes of a step's joint are, as typed; ``order`` is the maker's, empty if none."""

    machine: str
    step: int
    holes: str
    order: str = ""
    source: str = ""


def contents(sump: SumpOnRecord, shown: WorkUnits | None = None) -> str:
    """Return what a sump holds in a line: ``2 of, 190 ml dry, 160 ml refill, SAE 20``; in the units
    that a person works in, or in others."""
    shown = shown or chosen()
    parts = [f"{sump.number} of"] if sump.number > 1 else []
    for word, ml in (("dry", sump.dry_ml), ("refill", sump.refill_ml)):
        if ml is not None:
            parts.append(f"{shown.volume_words(ml)} {word}")
    parts.append(sump.grade or "grade not known")
    return ", ".join(parts)
