"""Volumes of tanks, sumps and cases from their inside measures, filled to a depth.

Measures in mm, volumes in ml (1 ml = 1000 mm3). Every shape stands on its floor: depth 0 is its
lowest point. Ends of a lying cylinder are flat.

How much a case holds, filled to a plug or a mark, and how much to add when it is low or high.

Fork oil by level: the measure from the top of the tube down to the oil.

A smaller figure is MORE oil. The level is read as the maker says; where nothing is said, spring and
spacer out, leg upright and right down, damper pumped until no bubbles come.

Reading a shape as a person types it: ``lying 120 200``, ``box 180 120 60 + lying 90 120``.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from itertools import product
from math import acos, pi, sqrt
from typing import Protocol

from stores import units
from stores.errors import BadValue, NotationError
from stores.handbook.answer import Answer, above_zero, between

__all__ = [
    "SHAPES",
    "Box",
    "Cone",
    "Lying",
    "Shape",
    "Stack",
    "Upright",
    "capacity",
    "compare_legs",
    "corners",
    "correct_level",
    "depth_of",
    "fill_to_plug",
    "level_of",
    "level_without_spacer",
    "oil_for_level",
    "read_shape",
]


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
    """Return the depth in mm at which a shape holds a volume, to a thousandth of a millimetre.

    Raises `BadValue` for a volume below zero or above what it holds full.

    Args:
        shape: of the inside.
        volume_ml: what is in it [ml].

    100 x 50 mm hold 5 ml a millimetre:

    >>> round(depth_of(read_shape("box 100 x 50 x 20"), 50), 2)
    10.0
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
    """Return the shape with each measure off either way, all of them smaller first, larger last."""
    names = [each.name for each in fields(shape)]
    found: list[Shape] = []
    for signs in product((-1, 1), repeat=len(names)):
        sizes = {n: getattr(shape, n) + s * off_mm for n, s in zip(names, signs, strict=True)}
        found.append(replace(shape, **{n: max(1e-6, size) for n, size in sizes.items()}))
    return found


def corners(shape: Shape, off_mm: float, figure: Callable[[Shape], float]) -> tuple[float, float]:
    """Return the lowest and highest figure of a shape whose measures are each off by ``off_mm``."""
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


MEASURE_OFF_MM = 1.0

_GEOMETRY = "the case is as regular as the shape, inside measures, standing level"

_OIL_CAUTION = (
    "a figure from geometry is a first fill only: fill short, let it settle, "
    "then go by the maker's plug, dipstick or mark",
)


def capacity(
    shape: Shape,
    depth_mm: float | None = None,
    *,
    off_mm: float = MEASURE_OFF_MM,
    displaced_ml: float = 0.0,
) -> Answer:
    """Return what a shape holds up to a depth in mm (full without one), in ml.

    ``off_mm``, 0 to 20, is how far each inside measure and the depth may be off; the range is over
    all of them at once. ``displaced_ml`` is what gears, shafts and baffles below the level take up.

    Raises `BadValue` for a depth outside the shape, or more displaced than it holds.

    Args:
        shape: of the inside.
        depth_mm: how deep it is filled [mm].
        off_mm: how far each measure may be off [mm].
        displaced_ml: what stands in it takes up [ml].

    100 x 50 x 20 mm are 100 ml:

    >>> capacity(read_shape("box 100 x 50 x 20")).value
    100.0
    """
    between("measure off by", off_mm, "mm", 0.0, 20.0)
    depth = shape.height_mm if depth_mm is None else depth_mm
    gross = shape.volume_ml(depth)
    between("displaced volume", displaced_ml, "ml", 0.0, gross)

    def low_fill(each: Shape) -> float:
        wanted = each.height_mm if depth_mm is None else depth - off_mm
        return each.volume_ml(min(max(0.0, wanted), each.height_mm))

    def high_fill(each: Shape) -> float:
        wanted = each.height_mm if depth_mm is None else depth + off_mm
        return each.volume_ml(min(wanted, each.height_mm))

    low = corners(shape, off_mm, low_fill)[0]
    high = corners(shape, off_mm, high_fill)[1]
    value = gross - displaced_ml
    assumptions = [_GEOMETRY, f"measures good to {off_mm:g} mm"]
    assumptions.append(
        f"{displaced_ml:g} ml taken up by parts below the level" if displaced_ml
        else "nothing inside takes up room"
    )  # fmt: skip
    return Answer(
        "capacity", value, "ml", max(0.0, min(low - displaced_ml, value)),
        max(high - displaced_ml, value), "the inside measures", tuple(assumptions),
        ("geometry",), _OIL_CAUTION,
    )  # fmt: skip


def fill_to_plug(
    shape: Shape, plug_mm: float, *, off_mm: float = MEASURE_OFF_MM, displaced_ml: float = 0.0
) -> Answer:
    """Return what fills a case until it runs out of a level plug, ml.

    ``plug_mm`` is the height of the lower edge of the plug's hole above the lowest point inside:
    oil runs out over that edge, not over the middle of the hole.

    Args:
        shape: of the inside.
        plug_mm: height of the lower edge of the hole [mm].
        off_mm: how far each measure may be off [mm].
        displaced_ml: what stands in it takes up [ml].

    >>> fill_to_plug(read_shape("box 100 x 50 x 20"), 10).value
    50.0
    """
    found = capacity(shape, plug_mm, off_mm=off_mm, displaced_ml=displaced_ml)
    return Answer(
        "fill to the level plug", found.value, "ml", found.low, found.high,
        "the height of the plug's lower edge",
        (*found.assumptions, "measured to the lower edge of the hole"), found.sources,
        found.cautions,
    )  # fmt: skip


def correct_level(
    shape: Shape, now_mm: float, wanted_mm: float, *, off_mm: float = MEASURE_OFF_MM
) -> Answer:
    """Return what to add (above zero) or draw off (below zero) to bring a level to another, ml.

    The range is that of both levels read wrong by ``off_mm``, opposite ways.

    Args:
        shape: of the inside.
        now_mm: the level now [mm].
        wanted_mm: the level that it should have [mm].
        off_mm: how far each level may be misread [mm].

    2 mm of 5 ml each:

    >>> round(correct_level(read_shape("box 100 x 50 x 20"), 8, 10).value, 2)
    10.0
    """
    between("level off by", off_mm, "mm", 0.0, 20.0)
    value = shape.volume_ml(wanted_mm) - shape.volume_ml(now_mm)

    def at(depth: float) -> float:
        return shape.volume_ml(min(max(0.0, depth), shape.height_mm))

    low = at(wanted_mm - off_mm) - at(now_mm + off_mm)
    high = at(wanted_mm + off_mm) - at(now_mm - off_mm)
    return Answer(
        "add" if value >= 0 else "draw off", value, "ml", min(low, value), max(high, value),
        "the reading of the level", (_GEOMETRY, f"levels read to {off_mm:g} mm"), ("geometry",),
        ("add in small amounts and wait: thick oil takes minutes to find its level",),
    )  # fmt: skip


def level_of(shape: Shape, volume_ml: float, *, off_mm: float = MEASURE_OFF_MM) -> Answer:
    """Return the level, mm above the lowest point inside, at which a shape holds a volume.

    The range is over all inside measures off by ``off_mm``, 0 to 20, at once; a case that is
    smaller than measured stands full where it would run over.

    Raises `BadValue` for more than the shape holds.

    Args:
        shape: of the inside.
        volume_ml: what is in it [ml].
        off_mm: how far each measure may be off [mm].

    >>> round(level_of(read_shape("box 100 x 50 x 20"), 50).value, 2)
    10.0
    """
    between("measure off by", off_mm, "mm", 0.0, 20.0)

    def depth(each: Shape) -> float:
        return depth_of(each, min(volume_ml, each.volume_ml(each.height_mm)))

    value = depth_of(shape, volume_ml)
    low, high = corners(shape, off_mm, depth)
    return Answer(
        "level", value, "mm", min(low, value), max(high, value), "the inside measures",
        (_GEOMETRY, f"measures good to {off_mm:g} mm", "nothing inside takes up room"),
        ("geometry",), _OIL_CAUTION,
    )  # fmt: skip


_SOURCES = ("fork-article",)

_STATE = "spring and spacer out, leg upright and fully down, pumped free of bubbles"

_CAUTION = (
    "a smaller level figure means more oil; too much oil can lock a fork or burst a seal",
    "forks hold you up: the maker's level and a competent person come first",
)


def _tube(what: str, value: float) -> float:
    return above_zero(what, value, "mm", 80.0)


def oil_for_level(tube_bore_mm: float, rise_mm: float, *, off_mm: float = 0.5) -> Answer:
    """Return the oil that raises the level in one leg by ``rise_mm`` (draw off below zero), ml.

    pi D2 / 4 x rise with the bore of the tube. Tube up to 80 mm, rise -400 to 400 mm.

    Args:
        tube_bore_mm: inside diameter of the tube [mm].
        rise_mm: how far the level is to rise [mm].
        off_mm: how far each measure may be off [mm].

    pi / 4 x 30 x 30 x 10 mm are 7.07 ml:

    >>> round(oil_for_level(30, 10).value, 2)
    7.07
    """
    _tube("tube bore", tube_bore_mm)
    between("rise", rise_mm, "mm", -400.0, 400.0)
    between("level off by", off_mm, "mm", 0.0, 10.0)
    area = pi / 4 * tube_bore_mm**2 / 1000
    return Answer(
        "oil for each leg", area * rise_mm, "ml", area * (rise_mm - off_mm),
        area * (rise_mm + off_mm), "the reading of the level",
        (_STATE, f"level read to {off_mm:g} mm", "nothing but oil in the tube over that length"),
        _SOURCES, _CAUTION,
    )  # fmt: skip


def level_without_spacer(
    level_mm: float, spacer_length_mm: float, spacer_od_mm: float, spacer_id_mm: float,
    tube_bore_mm: float,
) -> Answer:  # fmt: skip
    """Return the level to set without the spacer tube, mm, where the maker's is with the tube in.

    level + L (OD2 - ID2) / D2: what the spacer pushed aside is no longer there, so the oil stands
    lower and the figure is larger. Valid while the whole spacer is below the oil.

    Raises `BadValue` for a spacer that does not go into the tube or has no wall.

    Args:
        level_mm: the maker's, with the tube in [mm].
        spacer_length_mm: length of the spacer [mm].
        spacer_od_mm: its outside diameter [mm].
        spacer_id_mm: its inside diameter [mm].
        tube_bore_mm: inside diameter of the fork tube [mm].

    150 + 100 x (25 x 25 - 21 x 21) / (35 x 35):

    >>> round(level_without_spacer(150, 100, 25, 21, 35).value, 1)
    165.0
    """
    between("level", level_mm, "mm", 0.0, 600.0)
    between("spacer length", spacer_length_mm, "mm", 0.0, 600.0)
    _tube("tube bore", tube_bore_mm)
    above_zero("spacer outside", spacer_od_mm, "mm", tube_bore_mm)
    if not 0 <= spacer_id_mm < spacer_od_mm:
        raise BadValue(f"a spacer {spacer_od_mm:g} mm outside has no bore of {spacer_id_mm:g} mm")
    drop = spacer_length_mm * (spacer_od_mm**2 - spacer_id_mm**2) / tube_bore_mm**2
    return Answer(
        "level without the spacer", level_mm + drop, "mm", level_mm + drop * 0.95,
        level_mm + drop * 1.05, "the wall of the spacer",
        (_STATE, "the whole spacer is below the oil", "spacer volume good to 5 per cent"),
        _SOURCES, _CAUTION,
    )  # fmt: skip


def compare_legs(left_mm: float, right_mm: float, tube_bore_mm: float) -> Answer:
    """Return how much oil the lower-filled leg lacks, ml, from the levels of both legs, mm.

    Args:
        left_mm: from the top of the tube down to the oil [mm].
        right_mm: the same of the other leg [mm].
        tube_bore_mm: inside diameter of the tubes [mm].

    5 mm lower in a tube of 30 mm: pi / 4 x 30 x 30 x 5 mm are 3.53 ml:

    >>> round(compare_legs(150, 155, 30).value, 2)
    3.53
    """
    for leg, level in (("left", left_mm), ("right", right_mm)):
        between(f"{leg} level", level, "mm", 0.0, 600.0)
    _tube("tube bore", tube_bore_mm)
    area = pi / 4 * tube_bore_mm**2 / 1000
    short = "right" if right_mm > left_mm else "left"
    lacks = area * abs(right_mm - left_mm)
    what = f"the {short} leg lacks" if lacks else "the legs are alike"
    return Answer(
        what, lacks, "ml", max(0.0, lacks - area), lacks + area, "the reading of both levels",
        (_STATE, "levels read to 0.5 mm each"), _SOURCES, _CAUTION,
    )  # fmt: skip


SHAPES = {
    "box": (Box, "length, width, height"),
    "lying": (Lying, "diameter, length: a cylinder on its side"),
    "upright": (Upright, "diameter, height: a cylinder on its end"),
    "cone": (Cone, "diameter at the bottom, at the top, height"),
}

"""The words for the shapes, each with its measures in order."""

_BEGINS = frozenset((*"0123456789.,", *units.VULGAR))


def read_shape(text: str) -> Shape:
    """Read one shape, or several joined by ``+``, each standing on the one before.

    Measures are inside measures, in mm unless they say otherwise (``4 in``). ``at 40`` puts a shape
    that far above the lowest point instead of on top of the one before.

    Raises `NotationError` for what is no shape, `BadValue` for measures out of range.

    >>> box = read_shape("box 100 x 50 x 20")
    >>> box.length_mm, box.width_mm, box.height_mm
    (100.0, 50.0, 20.0)
    """
    parts: list[tuple[float, Shape]] = []
    top = 0.0
    for words in text.split("+"):
        body, _, floor = words.partition(" at ")
        shape = _one(body, text)
        at = float(units.read(floor, units.Kind.LENGTH, "mm").base) if floor.strip() else top
        parts.append((at, shape))
        top = at + shape.height_mm
    if len(parts) == 1 and parts[0][0] == 0:
        return parts[0][1]
    return Stack(tuple(parts))


def _one(words: str, text: str) -> Shape:
    name, _, rest = words.strip().lower().partition(" ")
    known = "; ".join(f"{word} ({measures})" for word, (_, measures) in SHAPES.items())
    if name not in SHAPES:
        raise NotationError(f"not a shape; there are {known}", text)
    kind, measures = SHAPES[name]
    rest, sizes = units.level(rest).replace("x", " ").strip(), []
    while rest:
        if rest[0] not in _BEGINS:
            raise NotationError(f"cannot read the measures of a {name}: {measures}", text)
        value, rest = units.read_number(rest)
        unit = re.match(r"mm|cm|in\b|\"", rest)
        rest = rest[unit.end() :].strip() if unit else rest
        sizes.append(float(units.convert(value, unit[0] if unit else "mm", "mm")))
    wanted = measures.split(":")[0].count(",") + 1
    if len(sizes) != wanted:
        raise NotationError(f"a {name} needs {wanted} measures, {measures}", text)
    shape: Shape = kind(*sizes)
    return shape
