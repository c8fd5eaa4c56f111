"""The holes of a card drawn: circles to push bolts through, labels, the edge of the cover. Pure."""

from collections.abc import Sequence
from itertools import pairwise
from math import cos, hypot, pi, sin

from stores.printing.boxes import Frame, Measure
from stores.printing.hole_labels import Label, Style, place_labels
from stores.printing.hole_marks import Mark, Point, Stroke, stroke
from stores.printing.hole_places import Placed, Spot

__all__ = ["field_marks"]

_LINE = 0.35
_SLIT = 0.2
_LEAST_STAR = 1.6
"""Millimetres: radius below which there is a cross alone, no star of slits."""
_DASH = (2.5, 1.5)


def field_marks(
    placed: Placed, field: tuple[float, float], style: Style, measure: Measure
) -> list[Mark] | None:
    """Give the marks of the holes from the field's top left corner; None if labels find no room."""
    labels = place_labels(placed.spots, field, style, measure)
    if labels is None:
        return None
    marks: list[Mark] = [*_edge(placed, labels)]
    for spot in placed.spots:
        marks += _hole(spot)
    for label in labels:
        marks += [label.line, label.frame, *label.texts]
    return marks


def _hole(spot: Spot) -> list[Mark]:
    """A circle as wide as the bolt, a cross through its middle, slits as a star."""
    radius = spot.radius
    circle = Frame(
        spot.x - radius, spot.y - radius, 2 * radius, 2 * radius, min(_LINE, radius / 3), radius
    )
    reach = radius + min(0.9, 0.3 * radius)
    marks: list[Mark] = [circle]
    for turn in (0.0, pi / 2):
        marks.append(_through(spot, turn, reach, 0.15))
    if radius >= _LEAST_STAR:
        marks += [_through(spot, turn, radius, _SLIT) for turn in (pi / 4, 3 * pi / 4)]
    return marks


def _through(spot: Spot, turn: float, reach: float, line: float) -> Stroke:
    x, y = reach * cos(turn), reach * sin(turn)
    return stroke([(spot.x - x, spot.y - y), (spot.x + x, spot.y + y)], line)


def _edge(placed: Placed, labels: Sequence[Label]) -> list[Stroke]:
    """The edge of the cover, left out where words stand or a head will lie."""
    kept: list[list[Point]] = [[]]
    for before, after in pairwise(placed.outline):
        way = hypot(after[0] - before[0], after[1] - before[1])
        steps = max(1, int(way / 0.5))
        for at in range(steps + 1):
            share = at / steps
            point = (
                before[0] + share * (after[0] - before[0]),
                before[1] + share * (after[1] - before[1]),
            )
            if _hidden(point, labels):
                if kept[-1]:
                    kept.append([])
            else:
                kept[-1].append(point)
    dash = _DASH if placed.guessed else ()
    line = 0.15 if placed.guessed else 0.3
    return [stroke(points, line, dash) for points in kept if len(points) > 2]


def _hidden(point: Point, labels: Sequence[Label]) -> bool:
    return any(
        label.x - 0.8 <= point[0] <= label.x + label.width + 0.8
        and label.y - 0.8 <= point[1] <= label.y + label.height + 0.8
        for label in labels
    )
