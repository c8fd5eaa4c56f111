"""A joint to be tightened: its holes, where they lie and what goes into them."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import hypot, isfinite
from types import MappingProxyType

from stores.errors import BadValue

__all__ = ["MOST_HOLES", "Form", "Hole", "Joint"]

MOST_HOLES = 60
_LARGEST_MM = 100_000.0
_SAME_PLACE = 1e-6
"""Of the size of the joint: two holes closer than this are one."""


class Form(StrEnum):
    """How the places of the holes were given."""

    CIRCLE = "bolt circle"
    ROW = "row"
    ROWS = "rows"
    CLOCK = "clock positions"
    PLACES = "places"


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole: its number on the joint and its place, mm, ``x_mm`` to the right, ``y_mm`` up.

    ``length`` is what goes in it, in the person's own words (``M6x45``); empty if all are alike.
    """

    number: int
    x_mm: float
    y_mm: float
    length: str = ""


@dataclass(frozen=True, slots=True)
class Joint:
    """Two to sixty holes, numbered 1 to so many, no two at one place.

    ``to_scale`` is False for a sketch: only the directions are known. ``said`` is how the text was
    understood, to be shown with the answer.

    Raises:
        BadValue: too few or too many holes, numbers that do not run from 1, a place that is no
            number, two holes at one place.
    """

    holes: tuple[Hole, ...]
    name: str = ""
    form: Form = Form.PLACES
    said: str = ""

    def __post_init__(self) -> None:
        count = len(self.holes)
        if not 2 <= count <= MOST_HOLES:
            raise BadValue(f"a joint of {count} holes: expected 2 to {MOST_HOLES}")
        numbers = sorted(hole.number for hole in self.holes)
        if numbers != list(range(1, count + 1)):
            raise BadValue(f"the holes are numbered {numbers}: expected 1 to {count}, each once")
        for hole in self.holes:
            for value in (hole.x_mm, hole.y_mm):
                if not (isfinite(value) and abs(value) <= _LARGEST_MM):
                    raise BadValue(
                        f"hole {hole.number} at {hole.x_mm:g},{hole.y_mm:g} mm: expected within "
                        f"{_LARGEST_MM:g} mm"
                    )
        twins = self.twins()
        if twins:
            raise BadValue(f"holes {twins[0]} and {twins[1]} are at one place")

    def twins(self) -> tuple[int, int] | None:
        """Give the numbers of the first two holes at one place, None if there are none."""
        ordered = sorted(self.holes, key=lambda hole: hole.number)
        near = _SAME_PLACE * self.size_mm
        for at, second in enumerate(ordered):
            for first in ordered[:at]:
                if hypot(first.x_mm - second.x_mm, first.y_mm - second.y_mm) <= near:
                    return first.number, second.number
        return None

    @property
    def size_mm(self) -> float:
        """The larger side of the upright rectangle that holds the holes, mm."""
        xs = [hole.x_mm for hole in self.holes]
        ys = [hole.y_mm for hole in self.holes]
        return max(max(xs) - min(xs), max(ys) - min(ys))

    @property
    def to_scale(self) -> bool:
        """Whether distances are known, not the directions alone."""
        return self.form is not Form.CLOCK

    @property
    def by_number(self) -> Mapping[int, Hole]:
        """The holes by their numbers, lowest first."""
        ordered = sorted(self.holes, key=lambda hole: hole.number)
        return MappingProxyType({hole.number: hole for hole in ordered})

    @property
    def with_lengths(self) -> bool:
        """Whether any hole has its own length."""
        return any(hole.length for hole in self.holes)
