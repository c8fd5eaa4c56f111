"""A label laid out: the codes in their corners, then the places around them. Pure.

Values in, boxes in mm out, from the label's top left corner. Nothing is drawn here.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil, floor

from stores.errors import PrintError
from stores.printing.boxes import Area, Box, Code, Measure, Rule, Text, moved
from stores.printing.label_codes import code_in, second_for, snapped
from stores.printing.label_values import Fields
from stores.printing.layout_file import Layout, Part
from stores.printing.layout_parts import Filled, fill
from stores.printing.qr import MIN_MODULE, side
from stores.printing.stock import Hole

__all__ = ["Face", "Laid", "lay_out"]

_CLEAR = 0.3
"""Millimetres between the white around a code and words."""
_LEAST_BESIDE = 34.0
"""Millimetres of words that must be left beside a second code."""


@dataclass(frozen=True, slots=True)
class Face:
    """The label to be filled: size, safe edge and hole in mm; dots per inch, 0 for any."""

    width: float
    height: float
    safe: float = 2.0
    hole: Hole | None = None
    dpi: int = 0

    @property
    def area(self) -> Area:
        """What may be printed on: within the safe edges and under the hole."""
        top = self.safe
        if self.hole:
            top = max(top, self.hole.y + self.hole.radius_kept)
        return Area(self.safe, top, self.width - 2 * self.safe, self.height - self.safe - top)


@dataclass(frozen=True, slots=True)
class Laid:
    """A label as laid out, and how many lines of its list are left for the next one."""

    boxes: tuple[Box, ...]
    left: int = 0

    @property
    def lost(self) -> tuple[str, ...]:
        """What was cut or left out."""
        return tuple(box.lost for box in self.boxes if isinstance(box, Text) and box.lost)


def lay_out(fields: Fields, layout: Layout, face: Face, measure: Measure, start: int = 0) -> Laid:
    """Give the boxes of a label, in mm from its top left corner.

    Every box lies within the safe edges; only the white around a code may reach into them.
    ``start`` is the first line of a list that no label before has shown.

    Raises:
        PrintError: the label is too small for this layout.
    """
    if layout.fold:
        return _folded(fields, layout, face, measure)
    twice = layout.second and second_for(face.area)
    made = _laid(fields, layout, face, measure, start, twice)
    if twice and (made.lost or made.left):
        # rather all the words with one code than fewer of them with two
        once = _laid(fields, layout, face, measure, start, False)
        if len(once.lost) < len(made.lost) or once.left < made.left:
            return once
    return made


def _folded(fields: Fields, layout: Layout, face: Face, measure: Measure) -> Laid:
    """The same twice, so much apart as goes round the cable, and the line to fold along."""
    if face.hole:
        raise PrintError(f"a {layout.kind} label folds: it needs a stock without a hole")
    wrap = max(layout.fold, fields.around * 3.1416)
    half = (face.width - wrap) / 2
    least = layout.room[0] / 2
    doubt = ""
    if half - face.safe < least:
        half = least + face.safe
        wrap = face.width - 2 * half
        if wrap < fields.around * 3.1416:
            doubt = (
                f"a cable of {fields.around:g} mm is too thick for this label: the halves do not "
                "meet; take a longer one"
            )
    if wrap < 1:
        raise PrintError(f"a label {face.width:g} mm wide is too small for a {layout.kind} label")
    # towards the fold no edge can shift: there is no margin to keep
    one = _laid(fields, layout, replace(face, width=half), measure, 0, False)
    apart = face.width - half
    if face.dpi:
        dot = 25.4 / face.dpi
        apart = floor(apart / dot + 1e-6) * dot
    dashes = [
        Rule(face.width / 2 - 0.075, y, 0.15, 1.2)
        for y in _steps(face.safe, face.height - face.safe - 1.2, 2.4)
    ]
    other = [moved(box, apart, 0) for box in one.boxes]
    bare = [replace(box, lost="") if isinstance(box, Text) else box for box in other]
    boxes = list(one.boxes)
    first = next((at for at, box in enumerate(boxes) if isinstance(box, Text)), None)
    if doubt and first is not None:
        said = boxes[first]
        if isinstance(said, Text):
            boxes[first] = replace(said, lost="; ".join(filter(None, (said.lost, doubt))))
    return Laid((*boxes, *dashes, *bare))


def _steps(first: float, last: float, step: float) -> list[float]:
    count = max(1, int((last - first) / step) + 1)
    slack = (last - first - (count - 1) * step) / 2
    return [first + slack + at * step for at in range(count)]


def _laid(
    fields: Fields, layout: Layout, face: Face, measure: Measure, start: int, twice: bool
) -> Laid:
    area = face.area
    room = min(area.height * layout.share, area.width * layout.across, layout.largest)
    if room < side(1) * MIN_MODULE - 1e-9:
        raise PrintError(
            f"a label of {face.width:g} x {face.height:g} mm is too small for a {layout.kind} label"
        )
    code = snapped(_fitting(fields, room, face.safe), face.dpi)
    inset = max(face.safe, code.quiet)
    top = layout.corner == "top right"
    y = max(area.y, code.quiet) if top else face.height - inset - code.height
    code = _on_dots(replace(code, x=face.width - inset - code.width, y=y), face.dpi, down=top)
    beside = replace(area, width=code.x - code.quiet - _CLEAR - area.x)
    filling = _Filling(fields, layout, measure, start)
    if layout.column:
        return filling.column(face, area, beside, code)
    if top:
        return filling.top(face, area, beside, code, twice)
    return filling.bottom(area, beside, code)


def _fitting(fields: Fields, room: float, safe: float) -> Code:
    """Give the code of all that is to be said, or of the code alone where that has no room."""
    try:
        return code_in(fields.payload, room, safe)
    except PrintError:
        if fields.payload == fields.code:
            raise
        # so short a code is read from less, which leaves a line for words
        return code_in(fields.code, max(side(1) * MIN_MODULE, room * 0.75), safe)


def _on_dots(code: Code, dpi: int, *, down: bool) -> Code:
    """Move a code to where the printer's dots are, by less than one of them, inwards."""
    if not dpi:
        return code
    dot = 25.4 / dpi
    y = ceil(code.y / dot - 1e-6) if down else floor(code.y / dot + 1e-6)
    return replace(code, x=floor(code.x / dot + 1e-6) * dot, y=y * dot)


@dataclass(frozen=True, slots=True)
class _Filling:
    """The places of one label, filled around its codes."""

    fields: Fields
    layout: Layout
    measure: Measure
    start: int

    def _fill(self, parts: Sequence[Part], area: Area) -> Filled:
        colours = dict(self.layout.colours)
        return fill(parts, area, self.fields, self.measure, colours=colours, start=self.start)

    def _foot(self, area: Area, most: float) -> tuple[list[Box], float]:
        """Fill the foot and stand it on the bottom; give where it begins."""
        made = self._fill(self.layout.foot, replace(area, y=0.0, height=most))
        bottom = max((box.y + box.height for box in made.boxes), default=0.0)
        shift = area.bottom - bottom
        return [moved(box, 0, shift) for box in made.boxes], shift if made.boxes else area.bottom

    def top(self, face: Face, area: Area, beside: Area, code: Code, twice: bool) -> Laid:
        """The code top right, the head beside it, body and foot under both."""
        end = code.y + code.height + code.quiet
        head = self._fill(self.layout.head, replace(beside, height=end - 0.4 - area.y))
        under = replace(area, y=end, height=area.bottom - end)
        foot_area = body_area = under
        codes = [code]
        if twice:
            other = self._second(face, area)
            room = under.right - (other.x + other.width + other.quiet + _CLEAR)
            top = other.y - other.quiet
            if room >= _LEAST_BESIDE and top >= end:
                codes.append(other)
                foot_area = replace(under, x=under.right - room, width=room)
                body_area = foot_area
                if top - end > 1.2 * (other.height + 2 * other.quiet):
                    # a tall label: the body keeps its width and ends above the second code
                    body_area = replace(under, height=top - end)
        foot, foot_top = self._foot(foot_area, under.height * 0.5)
        bottom = min(body_area.bottom, foot_top - 0.5) if foot else body_area.bottom
        body = self._fill(self.layout.body, replace(body_area, height=bottom - body_area.y))
        return Laid((*codes, *head.boxes, *body.boxes, *foot), body.left)

    def _second(self, face: Face, area: Area) -> Code:
        """The code once more, bottom left: the bag code alone, so that its modules are large."""
        room = min(self.layout.largest, 0.26 * area.height + 3.0, area.width * 0.3)
        room = max(room, side(1) * MIN_MODULE)
        other = snapped(code_in(self.fields.code, room, face.safe), face.dpi)
        inset = max(face.safe, other.quiet)
        placed = replace(other, x=inset, y=face.height - inset - other.height)
        dots = _on_dots(placed, face.dpi, down=False)
        return replace(dots, x=dots.x + 25.4 / face.dpi) if dots.x < inset - 1e-9 else dots

    def bottom(self, area: Area, beside: Area, code: Code) -> Laid:
        """The code bottom right, the foot beside it, head and body over the whole width."""
        top = code.y - code.quiet
        foot, _ = self._foot(replace(beside, y=top, height=area.bottom - top), area.bottom - top)
        above = replace(area, height=top - area.y)
        head = self._fill(self.layout.head, above)
        rest = replace(area, y=head.end, height=max(0.0, top - head.end))
        body = self._fill(self.layout.body, rest)
        return Laid((code, *head.boxes, *body.boxes, *foot), body.left)

    def column(self, face: Face, area: Area, beside: Area, code: Code) -> Laid:
        """The code in a column of its own, at the right; everything else beside it."""
        end = code.y + code.height + code.quiet
        under_area = Area(beside.right + 0.6, end, area.right - beside.right - 0.6, 0.0)
        under_area = replace(under_area, height=area.bottom - end)
        made = self._fill(self.layout.under, replace(under_area, y=0.0))
        bottom = max((box.y + box.height for box in made.boxes), default=0.0)
        under: list[Box] = [moved(box, 0, area.bottom - bottom) for box in made.boxes]
        if under and min(box.y for box in under) < end - 1e-6:
            raise PrintError(
                f"a label of {face.width:g} x {face.height:g} mm is too small "
                f"for a {self.layout.kind} label"
            )
        foot, foot_top = self._foot(beside, area.height * 0.5)
        head = self._fill(self.layout.head, replace(beside, height=foot_top - 0.2 - area.y))
        rest = replace(beside, y=head.end, height=max(0.0, foot_top - 0.2 - head.end))
        body = self._fill(self.layout.body, rest)
        return Laid((code, *head.boxes, *body.boxes, *foot, *under), body.left)
