"""Volumes of tanks, sumps and cases from their inside measures, filled to a depth.

Measures in mm, volumes in ml (1 ml = 1000 mm3). Every shape stands on its floor: depth 0 is its
lowest point. Ends of a lying cylinder are flat.
"""

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from itertools import product
from math import acos, pi, sqrt
from typing import Protocol

from stores.errors import BadValue
from stores.handbook.answer import above_zero, between

__all__ = ["Box", "Cone", "Lying", "Shape", "Stack", "Upright", "corners", "depth_of"]

LONGEST_MM = 3000.0


class Shape(Protocol):
    """Anything that holds a volume up to a depth."""

    @property
    def height_mm(self) -> float:
        """Inside height, from the floor to the roof."""

    def volume_ml(self, depth_mm: float) -> float:
        """Volume up to a depth from 0 to the height."""

    def surface_mm2(self, depth_mm: float) -> float:
        """Area of the oil's surface at a depth."""


def _depth(shape: Shape, depth_mm: float) -> float:
    return between("depth", depth_mm, "mm", 0.0, shape.height_mm)


def _check_sizes(shape: object, *names: str) -> None:
    for name in names:
        what = name.removesuffix("_mm").replace("_", " ")
        above_zero(what, getattr(shape, name), "mm", LONGEST_MM)


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangular box."""

    length_mm: float
    width_mm: float
    height_mm: float

    def __post_init__(self) -> None:
        _check_sizes(self, "length_mm", "width_mm", "height_mm")

    def volume_ml(self, depth_mm: float) -> float:
        """Volume up to a depth, ml."""
        return self.length_mm * self.width_mm * _depth(self, depth_mm) / 1000

    def surface_mm2(self, depth_mm: float) -> float:
        """Area of the surface, mm2."""
        _depth(self, depth_mm)
        return self.length_mm * self.width_mm


@dataclass(frozen=True, slots=True)
class Upright:
    """A cylinder that stands on its end."""

    diameter_mm: float
    height_mm: float

    def __post_init__(self) -> None:
        _check_sizes(self, "diameter_mm", "height_mm")

    def volume_ml(self, depth_mm: float) -> float:
        """Volume up to a depth, ml."""
        return self.surface_mm2(depth_mm) * depth_mm / 1000

    def surface_mm2(self, depth_mm: float) -> float:
        """Area of the surface, mm2."""
        _depth(self, depth_mm)
        return pi / 4 * self.diameter_mm**2


@dataclass(frozen=True, slots=True)
class Lying:
    """A cylinder that lies on its side, with flat ends."""

    diameter_mm: float
    length_mm: float

    def __post_init__(self) -> None:
        _check_sizes(self, "diameter_mm", "length_mm")

    @property
    def height_mm(self) -> float:
        """The diameter."""
        return self.diameter_mm

    def volume_ml(self, depth_mm: float) -> float:
        """Circular segment times length: L (r2 acos((r-h)/r) - (r-h) sqrt(2rh - h2)), ml."""
        r, h = self.diameter_mm / 2, _depth(self, depth_mm)
        segment = r * r * acos((r - h) / r) - (r - h) * sqrt(max(0.0, 2 * r * h - h * h))
        return segment * self.length_mm / 1000

    def surface_mm2(self, depth_mm: float) -> float:
        """Area of the surface, mm2: the chord times the length."""
        h = _depth(self, depth_mm)
        return 2 * sqrt(max(0.0, h * (self.diameter_mm - h))) * self.length_mm


@dataclass(frozen=True, slots=True)
class Cone:
    """A cone or a part of one on an upright axis; one of the diameters may be zero."""

    bottom_mm: float
    top_mm: float
    height_mm: float

    def __post_init__(self) -> None:
        for what, size in (("bottom diameter", self.bottom_mm), ("top diameter", self.top_mm)):
            between(what, size, "mm", 0.0, LONGEST_MM)
        if self.bottom_mm == self.top_mm == 0:
            raise BadValue("a cone with both diameters 0 holds nothing")
        _check_sizes(self, "height_mm")

    def _across(self, depth_mm: float) -> float:
        return self.bottom_mm + (self.top_mm - self.bottom_mm) * depth_mm / self.height_mm

    def volume_ml(self, depth_mm: float) -> float:
        """Frustum up to a depth: pi h (D2 + D d + d2) / 12, ml."""
        h = _depth(self, depth_mm)
        low, high = self.bottom_mm, self._across(h)
        return pi * h * (low * low + low * high + high * high) / 12000

    def surface_mm2(self, depth_mm: float) -> float:
        """Area of the surface, mm2."""
        return pi / 4 * self._across(_depth(self, depth_mm)) ** 2


@dataclass(frozen=True, slots=True)
class Stack:
    """Shapes side by side or one on another: pairs of the height of the floor, mm, and the shape.

    A case is often a box with a half round or a well below: give each its own floor above the
    lowest point.
    """

    parts: tuple[tuple[float, Shape], ...]

    def __post_init__(self) -> None:
        if not self.parts:
            raise BadValue("a case of no shapes holds nothing")
        for floor, _ in self.parts:
            between("floor", floor, "mm", 0.0, LONGEST_MM)

    @property
    def height_mm(self) -> float:
        """From the lowest floor to the highest roof."""
        return max(floor + shape.height_mm for floor, shape in self.parts)

    def volume_ml(self, depth_mm: float) -> float:
        """Volume up to a depth, ml."""
        _depth(self, depth_mm)
        return sum(
            shape.volume_ml(min(max(depth_mm - floor, 0.0), shape.height_mm))
            for floor, shape in self.parts
        )

    def surface_mm2(self, depth_mm: float) -> float:
        """Area of the surface, mm2; at a joint of two shapes, of the upper one."""
        _depth(self, depth_mm)
        wet = [(f, s) for f, s in self.parts if f <= depth_mm < f + s.height_mm]
        if not wet:
            wet = [(f, s) for f, s in self.parts if f <= depth_mm <= f + s.height_mm]
        return sum(shape.surface_mm2(depth_mm - floor) for floor, shape in wet)


def depth_of(shape: Shape, volume_ml: float) -> float:
    """Give the depth in mm at which a shape holds a volume, to a thousandth of a millimetre.

    Raises `BadValue` for a volume below zero or above what it holds full.
    """
    full = shape.volume_ml(shape.height_mm)
    between("volume", volume_ml, "ml", 0.0, full)
    low, high = 0.0, shape.height_mm
    while high - low > 1e-4:
        middle = (low + high) / 2
        if shape.volume_ml(middle) < volume_ml:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _varied(shape: Box | Upright | Lying | Cone, off_mm: float) -> list[Shape]:
    """Give the shape with each measure off either way, all of them smaller first, larger last."""
    names = [each.name for each in fields(shape)]
    found: list[Shape] = []
    for signs in product((-1, 1), repeat=len(names)):
        sizes = {n: getattr(shape, n) + s * off_mm for n, s in zip(names, signs, strict=True)}
        found.append(replace(shape, **{n: max(1e-6, size) for n, size in sizes.items()}))
    return found


def corners(shape: Shape, off_mm: float, figure: Callable[[Shape], float]) -> tuple[float, float]:
    """Give the lowest and highest figure of a shape whose measures are each off by ``off_mm``."""
    if off_mm == 0:
        return figure(shape), figure(shape)
    variants: list[Shape]
    if isinstance(shape, Stack):
        # All measures of a stack off the same way: a caliper, or a wall, that errs does so alike.
        pairs = [
            [(floor, each) for each in (_varied(part, off_mm)[0], _varied(part, off_mm)[-1])]
            for floor, part in shape.parts
            if isinstance(part, (Box, Upright, Lying, Cone))
        ]
        if len(pairs) != len(shape.parts):
            raise BadValue("a stack inside a stack has no range: give its shapes in one")
        variants = [Stack(tuple(side)) for side in zip(*pairs, strict=True)]
    elif isinstance(shape, (Box, Upright, Lying, Cone)):
        variants = [*_varied(shape, off_mm)]
    else:
        raise BadValue(f"no range for the shape {type(shape).__name__}")
    found = [figure(each) for each in variants]
    return min(found), max(found)
