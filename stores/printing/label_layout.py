"""A label laid out: the codes in their corners, then the places around them. Pure.

Values in, boxes in mm out, from the label's top left corner. Codes are as large as fits, and as a
printer with dots can print them. Nothing is drawn here.

Two QR codes stand in opposite corners of a label where the words leave room, and both say the bag
code alone, unless the layout asks for the contents: measured against one code of the same area
(`tests/benchmarks/code_survival.py`), it is read 28 points more often after stains, creases and
fading. On small labels words run round the codes (`stores.printing.label_flow`). Words come first:
a second code never costs a line of the contents. Of several layouts for a kind, the one that needs
most of the room there is gets it (`room`).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil, floor

from stores.errors import PrintError
from stores.printing.boxes import Area, Box, Code, Measure, Stripe, Text, moved
from stores.printing.label_flow import Filled, Want
from stores.printing.label_parts import fill, flow, least_height
from stores.printing.label_values import Fields
from stores.printing.qr import (
    MIN_MODULE,
    QUIET_MODULES,
    Design,
    best_design,
    code_box,
    side,
    snapped,
)
from stores.printing.templates import Layout, LayoutPart, TagHole

__all__ = ["Face", "Laid", "lay_out", "on_dots"]


_LARGEST_MODULE = 0.8
"""Millimetres: larger ones gain nothing at arm's length."""
_MODULES_ON_LARGE = 26
"""A large label is read from further off: its code may grow to this part of its room a module."""


def _second_room(first: float, free: float, margin: float, share: float) -> float:
    """Give how wide a second code may be, in mm.

    ``share`` is what it takes of the area of both, ``first`` the side of the other. ``free`` is the
    height between the white around the other and the label's edge, ``margin`` what of it is kept
    clear of dark modules at that edge.
    """
    # White of 4 of 21 modules towards the other code and to the edge, or the margin if that is more
    modules = side(1)
    high = min(
        free * modules / (modules + 2 * QUIET_MODULES),
        (free - margin) * modules / (modules + QUIET_MODULES),
    )
    return min(first * math.sqrt(share / (1 - share)), high)


def _code_in(payload: str, room: float, safe: float) -> Code:
    """Give the code of a payload that may be ``room`` mm wide, its corner at 0, 0."""
    code = code_box(payload, room, safe)
    modules = side(code.version)
    largest = max(_LARGEST_MODULE, room / _MODULES_ON_LARGE)
    module = min(room / modules, max(code.width / modules, largest))
    width = module * modules
    return replace(code, width=width, height=width, quiet=QUIET_MODULES * module)


def on_dots(code: Code, dpi: int) -> Code:
    """Shrink a code until each module is a whole number of the printer's dots.

    ``dpi`` 0 leaves it as it is: a laser printer's dots are too small to matter.

    Raises:
        PrintError: the printer's dots are too large for it.
    """
    if not dpi:
        return code
    modules = side(code.version)
    width = snapped(modules, code.width, dpi)
    return replace(code, width=width, height=width, quiet=QUIET_MODULES * width / modules)


_APART = 0.3
"""Millimetres between the white of two codes, from top to bottom."""
_CLEAR = 0.3
"""Millimetres between the white around a code and words."""
_LEAST_BESIDE = 34.0
"""Millimetres of words that must be left beside a second code."""
_TALL = 1.2
"""So many times its height must be free above a second code for words to go there."""
_ABOVE_FOOT = 0.5
"""Millimetres between the body and the foot."""


@dataclass(frozen=True, slots=True)
class Face:
    """The label to be filled: size, safe edge and hole in mm; dots per inch, 0 for any."""

    width: float
    height: float
    safe: float = 2.0
    hole: TagHole | None = None
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
    """A label as laid out; lines of its list that are left for the next one, or only counted.

    ``unsaid`` names the texts that had no room at all, ``less`` those that are in fewer words;
    ``want`` is what running text wants.
    """

    boxes: tuple[Box, ...]
    left: int = 0
    counted: int = 0
    unsaid: tuple[str, ...] = ()
    want: Want | None = None
    less: tuple[str, ...] = ()

    @property
    def lost(self) -> tuple[str, ...]:
        """What was cut or left out."""
        cut = tuple(box.lost for box in self.boxes if isinstance(box, Text) and box.lost)
        return (*cut, f"no room for {', '.join(self.unsaid)}") if self.unsaid else cut

    @property
    def short_of(self) -> tuple[int, int]:
        """How much it leaves out: texts that were cut, and lines of its list."""
        cut = sum(isinstance(box, Text) and bool(box.lost) for box in self.boxes)
        return cut + 2 * len(self.unsaid), self.left + self.counted


def lay_out(fields: Fields, layout: Layout, face: Face, measure: Measure, start: int = 0) -> Laid:
    """Give the boxes of a label, in mm from its top left corner.

    Every box lies within the safe edges; only the white around a code may reach into them.
    ``start`` is the first line of a list that no label before has shown.

    How many codes there are is what `stores.printing.qr.best_design` measured for the size; the
    layout may do without the second, or ask for the contents in the first.

    Raises:
        PrintError: the label is too small for this layout.
    """
    if layout.fold:
        return _folded(fields, layout, face, measure)
    if layout.around:
        return _around(fields, layout, face, measure, start)
    design = best_design(face.width, face.height, contents=layout.contents)
    once = replace(design, codes=1)
    if not (layout.second and design.codes > 1):
        return _laid(fields, layout, face, measure, start, once)
    made = _laid(fields, layout, face, measure, start, design)
    if made.lost or made.left:
        # rather all the words with one code than fewer of them with two
        alone = _laid(fields, layout, face, measure, start, once)
        if alone.short_of < made.short_of:
            return alone
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
    # the other half has it again
    design = replace(best_design(face.width, face.height, contents=layout.contents), codes=1)
    mine = replace(face, width=half)
    if layout.around:
        one = _around(fields, layout, mine, measure, 0)
    else:
        one = _laid(fields, layout, mine, measure, 0, design)
    apart = face.width - half
    if face.dpi:
        dot = 25.4 / face.dpi
        apart = floor(apart / dot + 1e-6) * dot
    dashes = [
        Stripe(face.width / 2 - 0.075, y, 0.15, 1.2)
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
    return Laid((*boxes, *dashes, *bare), unsaid=one.unsaid)


_LARGE = (1.0, 0.9, 0.82, 0.75, 0.62)
"""How large a code is tried, of what the layout lets one take."""


@dataclass(frozen=True, slots=True)
class _Round:
    """A way to lay out words that run round codes: the codes' rooms in mm; whether all lines begin
    beside the second code; whether the bag code in words is as large as may be."""

    rooms: tuple[float, float]
    straight: bool = True
    tall: bool = False


def _around(fields: Fields, layout: Layout, face: Face, measure: Measure, start: int) -> Laid:
    """Words that run round the codes: all words before two codes, then fuller words and lines by
    themselves before larger codes.

    Raises:
        PrintError: the label is too small for this layout.
    """
    area = face.area
    room = min(area.height * layout.share, area.width * layout.across, layout.largest)
    tried: list[tuple[tuple[object, ...], Laid, _Round]] = []
    refused: list[PrintError] = []

    def attempt(way: _Round) -> None:
        try:
            made = _run_round(fields, layout, face, measure, start, way)
        except PrintError as error:
            refused.append(error)
            return
        one = not way.rooms[1]
        want = made.want or Want()
        order = (
            made.short_of, want.cautions, want.missing, one, want.fewer, not way.straight,
            want.close, want.small, -way.rooms[0], not way.tall,
        )  # fmt: skip
        tried.append((order, made, way))

    least = side(1) * MIN_MODULE
    rooms = [room * share for share in _LARGE if room * share > least]
    rooms += [least] if room * _LARGE[-1] < least <= room else []
    if not rooms:
        raise _too_small(face, layout)
    attempt(_Round((rooms[-1], 0.0)))
    whole = any(made.short_of == (0, 0) for _, made, _ in tried)
    # what has no room beside one small code has none beside more or larger ones
    for size in (rooms if whole else rooms[-1:]) if layout.second else ():
        for straight in (True, False):
            attempt(_Round((size, size), straight))
    said = (made for _, made, _ in tried[1:] if made.short_of == (0, 0))
    if not any(not made.want or not (made.want.cautions or made.want.missing) for made in said):
        for size in rooms[:-1] if whole else rooms[1:-1:2]:
            attempt(_Round((size, 0.0)))
    if not tried:
        raise refused[-1]
    attempt(replace(min(tried, key=lambda each: each[0])[2], tall=True))
    return min(tried, key=lambda each: each[0])[1]


def _run_round(
    fields: Fields, layout: Layout, face: Face, measure: Measure, start: int, way: _Round
) -> Laid:
    """Lay a label out in one of the ways.

    Raises:
        PrintError: no room for the codes or for what is never left out.
    """
    area = face.area
    if min(room for room in way.rooms if room) < side(1) * MIN_MODULE - 1e-9:
        raise _too_small(face, layout)
    top = layout.corner == "top right"
    codes = [
        _cornered(
            on_dots(_code_in(fields.code, room, face.safe), face.dpi),
            face,
            right=not at,
            top=top != bool(at),
        )
        for at, room in enumerate(way.rooms)
        if room
    ]
    first = codes[0]
    blocks = [
        Area(x, y, each.width + 2 * each.quiet + _CLEAR, each.height + 2 * each.quiet)
        for at, each in enumerate(codes)
        for x, y in [(each.x - each.quiet - (0 if at else _CLEAR), each.y - each.quiet)]
    ]
    if len(blocks) > 1 and blocks[1].right > blocks[0].x and blocks[1].y < blocks[0].bottom:
        raise _too_small(face, layout)
    beside = first.x - first.quiet - _CLEAR - area.x if top else area.width
    above = min([each.y for each in blocks if each.y > area.y], default=area.bottom) - area.y
    parts = layout.head
    if not way.tall:
        parts = tuple(replace(part, largest=part.smallest) for part in parts)
    filling = _Filling(fields, layout, measure, start)
    head = filling.fill(parts, Area(area.x, area.y, beside, area.height))
    if head.end - area.y > above:
        raise _too_small(face, layout)
    if way.straight:
        blocks[1:] = [
            replace(each, y=head.end, height=each.bottom - head.end) for each in blocks[1:]
        ]
    words = replace(area, y=head.end, height=max(0.0, area.bottom - head.end))
    body = flow(layout.body, words, blocks, fields, measure, start=start)
    return filling.laid(codes, head, body)


def _steps(first: float, last: float, step: float) -> list[float]:
    count = max(1, int((last - first) / step) + 1)
    slack = (last - first - (count - 1) * step) / 2
    return [first + slack + at * step for at in range(count)]


def _laid(
    fields: Fields, layout: Layout, face: Face, measure: Measure, start: int, design: Design
) -> Laid:
    area = face.area
    room = min(area.height * layout.share, area.width * layout.across, layout.largest)
    if room < side(1) * MIN_MODULE - 1e-9:
        raise _too_small(face, layout)
    top = layout.corner == "top right"
    if layout.second and not design.whole:
        room = min(room, _equal_room(face))
    first = _first(fields, face, room, whole=design.whole, top=top)
    if first.x < area.x - 1e-6:  # the white around it left less room than there seemed to be
        first = _first(fields, face, room - (area.x - first.x), whole=False, top=top)
    second = None
    if design.codes > 1:
        second = _second(fields, face, first, design, top=not top)
    filling = _Filling(fields, layout, measure, start)
    beside = replace(area, width=first.x - first.quiet - _CLEAR - area.x)
    if layout.column:
        return filling.column(face, area, beside, first, second)
    return (filling.top if top else filling.bottom)(area, beside, first, second)


def _first(fields: Fields, face: Face, room: float, *, whole: bool, top: bool) -> Code:
    code = on_dots(_fitting(fields, room, face.safe, whole=whole), face.dpi)
    return _cornered(code, face, right=True, top=top)


def _equal_room(face: Face) -> float:
    """Give how wide each of two codes as large as each other may be, one above the other, in mm."""
    modules, quiet = side(1), QUIET_MODULES
    top, bottom = face.area.y, face.safe
    free = face.height - _APART
    by_white = free * modules / (2 * (modules + 2 * quiet))
    module = by_white / modules
    if top <= quiet * module and bottom <= quiet * module:
        return by_white
    return max(0.0, (free - top - bottom) / (2 * (modules + quiet)) * modules)


def _too_small(face: Face, layout: Layout) -> PrintError:
    size = f"{face.width:g} x {face.height:g} mm"
    return PrintError(f"a label of {size} is too small for a {layout.kind} label")


def _fitting(fields: Fields, room: float, safe: float, *, whole: bool) -> Code:
    """Give the code of all that is to be said, or of the code alone where that has no room."""
    if not whole:
        return _code_in(fields.code, room, safe)
    try:
        return _code_in(fields.payload, room, safe)
    except PrintError:
        if fields.payload == fields.code:
            raise
        # so short a code is read from less, which leaves a line for words
        return _code_in(fields.code, max(side(1) * MIN_MODULE, room * 0.75), safe)


def _second(fields: Fields, face: Face, first: Code, design: Design, *, top: bool) -> Code | None:
    """Give the code once more, at the left: the bag code alone, so that its modules are large.

    None where there is no room for it above or under the first one's white.
    """
    if top:
        free, margin = first.y - first.quiet, face.area.y
    else:
        free, margin = face.height - (first.y + first.height + first.quiet), face.safe
    room = _second_room(first.width, free - _APART + 0.1, margin, design.second_share)
    if room < side(1) * MIN_MODULE - 1e-9:
        return None
    code = on_dots(_code_in(fields.code, room, face.safe), face.dpi)
    if code.height + code.quiet + max(margin, code.quiet) > free:
        return None
    return _cornered(code, face, right=False, top=top)


def _cornered(code: Code, face: Face, *, right: bool, top: bool) -> Code:
    """Put a code into a corner, on the printer's dots, its white inside the label."""
    inset = max(face.safe, code.quiet)
    x = face.width - inset - code.width if right else inset
    y = max(face.area.y, code.quiet) if top else face.height - inset - code.height
    if not face.dpi:
        return replace(code, x=x, y=y)
    dot = 25.4 / face.dpi
    column = floor(x / dot + 1e-6) if right else ceil(x / dot - 1e-6)
    row = ceil(y / dot - 1e-6) if top else floor(y / dot + 1e-6)
    return replace(code, x=column * dot, y=row * dot)


def _lower(area: Area, second: Code | None) -> tuple[Area, Area]:
    """Give the room of the body and of the foot: beside a second code that stands in the corner.

    Where there is much room above that code, the body has it, in full width.
    """
    if second is None:
        return area, area
    left = second.x + second.width + second.quiet + _CLEAR
    beside = replace(area, x=left, width=area.right - left)
    above = second.y - second.quiet - area.y
    if above > _TALL * (second.height + 2 * second.quiet):
        return replace(area, height=above), beside
    return beside, beside


@dataclass(frozen=True, slots=True)
class _Filling:
    """The places of one label, filled around its codes."""

    fields: Fields
    layout: Layout
    measure: Measure
    start: int

    def fill(self, parts: Sequence[LayoutPart], area: Area) -> Filled:
        colours = dict(self.layout.colours)
        return fill(parts, area, self.fields, self.measure, colours=colours, start=self.start)

    def _head(self, parts: Sequence[LayoutPart], area: Area) -> Filled:
        """Fill a place from the top, and leave the body under it what that needs at least."""
        least = least_height(self.layout.body, area, self.fields, self.measure)
        return self.fill(parts, replace(area, height=max(0.0, area.height - least)))

    def _low(self, parts: Sequence[LayoutPart], area: Area, most: float) -> tuple[Filled, float]:
        """Fill a place and stand it on the area's bottom; give where it begins."""
        made = self.fill(parts, replace(area, y=0.0, height=most))
        if not made.boxes:
            return made, area.bottom
        shift = area.bottom - max(box.y + box.height for box in made.boxes)
        made.boxes = [moved(box, 0, shift) for box in made.boxes]
        return made, shift

    def _body(self, area: Area, foot_top: float) -> Filled:
        bottom = min(area.bottom, foot_top - _ABOVE_FOOT)
        return self.fill(self.layout.body, replace(area, height=max(0.0, bottom - area.y)))

    @staticmethod
    def laid(codes: Sequence[Code | None], *places: Filled) -> Laid:
        return Laid(
            (
                *(code for code in codes if code),
                *(box for place in places for box in place.boxes),
            ),
            max(place.left for place in places),
            sum(place.counted for place in places),
            tuple(name for place in places for name in place.unsaid),
            next((place.want for place in places if place.want is not None), None),
            tuple(name for place in places for name in place.less),
        )

    def top(self, area: Area, beside: Area, first: Code, second: Code | None) -> Laid:
        """The code top right, the head beside it, body and foot under both."""
        end = first.y + first.height + first.quiet
        head = self.fill(self.layout.head, replace(beside, height=end - 0.4 - area.y))
        under = replace(area, y=end, height=area.bottom - end)
        body_area, foot_area = _lower(under, second)
        if foot_area.width < _LEAST_BESIDE:
            second, body_area, foot_area = None, under, under
        foot, foot_top = self._low(self.layout.foot, foot_area, under.height * 0.5)
        body = self._body(body_area, foot_top)
        return self.laid((first, second), head, body, foot)

    def bottom(self, area: Area, beside: Area, first: Code, second: Code | None) -> Laid:
        """The code bottom right, the foot beside it, head and body over the whole width.

        A second code stands top left, beside the first lines of the head: those up to the bag code.
        """
        top = first.y - first.quiet
        foot_area = replace(beside, y=top, height=area.bottom - top)
        foot, _ = self._low(self.layout.foot, foot_area, foot_area.height)
        above, first_lines, head = replace(area, height=top - area.y), Filled(), self.layout.head
        if second is not None:
            end = second.y + second.height + second.quiet
            left = second.x + second.width + second.quiet + _CLEAR
            begin, head = _up_to_code(head)
            room = Area(left, area.y, area.right - left, end - area.y)
            first_lines = self.fill(begin, room)
            below = max(end, first_lines.end)
            above = replace(area, y=below, height=max(0.0, top - below))
        rest_of_it = self._head(head, above)
        room = replace(area, y=rest_of_it.end, height=max(0.0, top - rest_of_it.end))
        body = self.fill(self.layout.body, room)
        return self.laid((first, second), first_lines, rest_of_it, body, foot)

    def column(
        self, face: Face, area: Area, beside: Area, first: Code, second: Code | None
    ) -> Laid:
        """The code in a column of its own, at the right; everything else beside it."""
        end = first.y + first.height + first.quiet
        left = beside.right + 2 * _CLEAR
        under_area = Area(left, end, area.right - left, area.bottom - end)
        under, under_top = self._low(self.layout.under, under_area, under_area.height)
        if under_top < end - 1e-6:
            raise _too_small(face, self.layout)
        _, foot_area = _lower(beside, second)
        foot, foot_top = self._low(self.layout.foot, foot_area, area.height * 0.5)
        ends = foot_top - 0.2
        if second is not None:
            ends = min(ends, second.y - second.quiet)
        head = self._head(self.layout.head, replace(beside, height=ends - area.y))
        rest = replace(beside, y=head.end, height=max(0.0, beside.bottom - head.end))
        body = self._body(_lower(rest, second)[0], foot_top)
        return self.laid((first, second), head, body, foot, under)


def _up_to_code(
    head: tuple[LayoutPart, ...],
) -> tuple[tuple[LayoutPart, ...], tuple[LayoutPart, ...]]:
    """Part a head after its bag code, which may be as high as there is room; or take all of it."""
    for at, part in enumerate(head):
        if part.cut == "never" and "code" in part.fields:
            return (*head[:at], replace(part, share=1.0)), head[at + 1 :]
    return head, ()
