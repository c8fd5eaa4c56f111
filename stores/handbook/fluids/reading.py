"""Reading a shape as a person types it: ``lying 120 200``, ``box 180 120 60 + lying 90 120``."""

import re

from stores import units
from stores.errors import NotationError
from stores.handbook.fluids.shapes import Box, Cone, Lying, Shape, Stack, Upright

__all__ = ["SHAPES", "read_shape"]

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
