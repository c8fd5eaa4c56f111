"""A card for a cover or joint that the bolts are pushed through, each at its own hole.

At full size where it fits the page, upright or on its side; where only the list is in the way, the
list goes on the back. Otherwise at the largest simple scale that fits, said large. On a smaller
scale and on a sketch the circles keep the bolts' own size where there is room for their heads, so
that bolts can be pushed through all the same.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import isfinite
from pathlib import Path

from stores.errors import BadValue, PrintError
from stores.handbook.tightening.order import Plan
from stores.printing.boxes import Measure, Text
from stores.printing.files import Printed, put
from stores.printing.fit import plain
from stores.printing.hole_field import field_marks
from stores.printing.hole_labels import STYLES
from stores.printing.hole_marks import HolePdf, Mark, Point, Slab, shifted
from stores.printing.hole_places import (
    SCALES,
    Placed,
    bolt_diameter,
    bolt_sizes,
    place_holes,
    too_close,
)
from stores.printing.hole_words import (
    Said,
    cautions,
    check_scale,
    edge_mark,
    head,
    listed,
    passes,
    sign,
)
from stores.printing.paper import Words, column

__all__ = ["DEFAULT_BOLT_MM", "MARGIN", "PAGES", "HoleCard", "layout_hole_card", "write_hole_card"]

PAGES = {"A4": (210.0, 297.0), "LETTER": (215.9, 279.4)}
"""Width and height in mm, upright: ISO 216 and US Letter."""
MARGIN = 10.0
"""Millimetres: more than any office printer leaves white."""
DEFAULT_BOLT_MM = 6.0
"""Diameter of the circle of a hole whose words name no thread."""
_LEAST_BOLT, _LARGEST_BOLT = 1.0, 100.0
_LONGEST_WORDS = 80
_MOST_TRIED = 2
"""Scales at which the holes fit and their labels do not, before giving up."""
_COLUMN = 64.0
_GAP = 4.0
_PASSES = 66.0
_LEAST_FIELD = 30.0
_TURN_BACK = "Order as a list, passes and all cautions: on the back."


@dataclass(frozen=True, slots=True)
class HoleCard:
    """A card that was laid out: its pages, each ``size`` mm wide and high.

    ``scale`` is one to so many, 0 for a sketch without one; ``push_through``: the circles have the
    bolts' own size. ``field`` is the corner of the picture of the holes on the first page.
    """

    size: tuple[float, float]
    pages: tuple[tuple[Mark, ...], ...]
    scale: int
    push_through: bool
    placed: Placed
    field: Point
    warnings: tuple[str, ...] = ()


def write_hole_card(
    plan: Plan,
    path: Path,
    *,
    title: str = "",
    machine: str = "",
    bag: str = "",
    page: str = "A4",
    date: str = "",
    torque: str = "",
    words: Mapping[int, str] | None = None,
    diameter_mm: float = DEFAULT_BOLT_MM,
    outline: Sequence[Point] = (),
) -> Printed:
    """Write the card as a PDF of one page, or of two: front and back of one sheet.

    Arguments as `layout_hole_card`.

    Raises:
        BadValue: another page, a diameter out of range, words for a hole that is not there.
        PrintError: a joint that fits at no scale, or a file that cannot be written.
    """
    from stores.printing.draw import measure

    card = layout_hole_card(
        plan,
        measure,
        title=title,
        machine=machine,
        bag=bag,
        page=page,
        date=date,
        torque=torque,
        words=words,
        diameter_mm=diameter_mm,
        outline=outline,
    )
    pdf = HolePdf(_title(plan, title), "Hole card", card.size)
    for marks in card.pages:
        pdf.card(marks)
    put(path, pdf.bytes())
    return Printed(
        path,
        1,
        stock=page.upper().replace("LETTER", "Letter"),
        warnings=(*card.warnings, *pdf.missing_warning()),
    )


def layout_hole_card(
    plan: Plan,
    measure: Measure,
    *,
    title: str = "",
    machine: str = "",
    bag: str = "",
    page: str = "A4",
    date: str = "",
    torque: str = "",
    words: Mapping[int, str] | None = None,
    diameter_mm: float = DEFAULT_BOLT_MM,
    outline: Sequence[Point] = (),
) -> HoleCard:
    """Lay the card out, in mm from the page's top left corner.

    ``title`` is step and part, the joint's name if empty; ``page`` is A4 or Letter; ``torque`` in
    words stands for the plan's. ``words`` are what goes into each hole, by its number, for those
    whose own words (`Hole.length`) are not enough. ``diameter_mm`` (1 to 100) is the bolt of a
    hole whose words name no thread. ``outline`` is the edge of the cover in the joint's own
    coordinates, mm; without one a guess is drawn dashed.

    Raises as `write_hole_card`.
    """
    if page.upper() not in PAGES:
        raise BadValue(f"no page {page!r} for a hole card: A4 or Letter")
    if not _LEAST_BOLT <= diameter_mm <= _LARGEST_BOLT:
        raise BadValue(
            f"a bolt of {diameter_mm:g} mm: expected {_LEAST_BOLT:g} to {_LARGEST_BOLT:g} mm"
        )
    said = Said(
        _title(plan, title),
        plain(machine),
        plain(bag),
        plain(date),
        plain(torque),
        _goes_in(plan, words or {}),
    )
    edge = _outline(outline)
    sizes = bolt_sizes(plan.joint, said.words, diameter_mm)
    notes = _notes(plan, said, sizes, diameter_mm)
    tried = 0
    for scale in SCALES if plan.joint.to_scale else SCALES[:1]:
        frames = _frames(plan, said, PAGES[page.upper()], scale, notes, measure)
        for full, frame in product((True, False), frames):
            for placed in place_holes(plan, said.words, sizes, frame.field, scale, edge):
                for style in STYLES:
                    if style.full is not full:
                        continue
                    marks = field_marks(placed, frame.field, style, measure)
                    if marks is not None:
                        found = _Found(scale, full, placed, marks, notes, bool(edge))
                        return _card(plan, said, frame, found, measure)
        tried += any(
            place_holes(plan, said.words, sizes, frame.field, scale, edge) for frame in frames
        )
        if tried == _MOST_TRIED:  # still smaller makes no more room for words
            break
    raise PrintError(f"{len(plan.joint.holes)} holes do not fit on {page} at any scale")


def _title(plan: Plan, title: str) -> str:
    return plain(title) or plain(plan.joint.name) or "Hole card"


def _outline(points: Sequence[Point]) -> tuple[Point, ...]:
    """Give a known edge closed."""
    if not points:
        return ()
    if len(points) < 3 or not all(isfinite(value) for point in points for value in point):
        raise BadValue("an outline takes three places in mm or more")
    return (*points, points[0])


def _goes_in(plan: Plan, words: Mapping[int, str]) -> dict[int, str]:
    """What goes into each hole in one line."""
    holes = plan.joint.by_number
    for number in words:
        if number not in holes:
            raise BadValue(f"words for hole {number}: the holes run from 1 to {len(holes)}")
    said = {number: plain(words.get(number, hole.length)) for number, hole in holes.items()}
    for number, text in said.items():
        if len(text) > _LONGEST_WORDS:
            raise BadValue(
                f"hole {number}: {len(text)} characters of words, expected {_LONGEST_WORDS} at most"
            )
    return said


@dataclass(frozen=True, slots=True)
class _Frame:
    """A page: ``field`` mm wide and high at ``corner`` for the holes, the sign, the rest."""

    size: tuple[float, float]
    corner: Point
    field: tuple[float, float]
    sign: Point
    sign_width: float
    rest: tuple[Mark, ...]
    back: bool


@dataclass(frozen=True, slots=True)
class _Found:
    """Holes and labels that fitted into a frame."""

    scale: int
    full: bool
    placed: Placed
    marks: list[Mark]
    notes: tuple[str, ...]
    outline_given: bool


def _notes(
    plan: Plan, said: Said, sizes: Mapping[int, float], diameter_mm: float
) -> tuple[str, ...]:
    """What a person must know of the circles."""
    said_by = [bolt_diameter(said.words[number]) is not None for number in plan.joint.by_number]
    notes = []
    if not all(said_by):
        which = "Where no thread is named the" if any(said_by) else "No threads are named: the"
        notes.append(f"{which} circle is {diameter_mm:g} mm wide.")
    close = too_close(plan.joint, sizes)
    if close:
        notes.append(
            f"Holes {close[0]} and {close[1]} are closer than their bolts are thick: measure again."
        )
    return tuple(notes)


def _sign(plan: Plan, scale: int, own_size: bool, guessed: bool, notes: Sequence[str]) -> list[str]:
    """The scale in large words, then what it means for the bolts."""
    if not plan.joint.to_scale:
        large = "NOT TO SCALE"
        small = "A sketch by the clock: distances are not known."
    elif scale == 1:
        large, small = "FULL SIZE 1 : 1", ""
    else:
        large, small = f"SCALE 1 : {scale}", f"Not full size: the joint is {scale} times as large."
    if own_size:
        circles = "Circles are as wide as the bolts: slit the stars, push the bolts through."
    else:
        circles = "The circles are drawn smaller than the bolts, which do not go through."
    edge = "The dashed edge is a guess." if guessed else ""
    return [large, " ".join(text for text in (small, circles, edge, *notes) if text)]


def _frames(
    plan: Plan,
    said: Said,
    upright: tuple[float, float],
    scale: int,
    notes: Sequence[str],
    measure: Measure,
) -> list[_Frame]:
    """Give the ways to divide the page, the best first; those with a back come last."""
    on_side = upright[::-1]
    makers = [
        (_banded, upright, False),
        (_columned, on_side, False),
        (_banded, on_side, False),
        (_banded, upright, True),
        (_columned, on_side, True),
        (_banded, on_side, True),
    ]
    signs = [_sign(plan, scale, own_size, True, notes) for own_size in (True, False)]
    frames = [make(plan, said, size, back, signs, measure) for make, size, back in makers]
    return [frame for frame in frames if min(frame.field) >= _LEAST_FIELD]


def _banded(
    plan: Plan,
    said: Said,
    size: tuple[float, float],
    back: bool,
    signs: Sequence[Sequence[str]],
    measure: Measure,
) -> _Frame:
    """Head above the holes, list and cautions below."""
    width = size[0] - 2 * MARGIN
    top = head(plan, said, width, measure)
    marks = shifted(top.marks, MARGIN, MARGIN)
    y = MARGIN + top.height + 0.5
    half = (width - _GAP) / 2
    scale = check_scale(half, measure)
    marks += shifted(scale.marks, MARGIN + half + _GAP, y)
    at = (MARGIN, y)
    y += max(scale.height, *(sign(words, half, measure).height for words in signs)) + 1.5
    edge = edge_mark(width, measure)
    marks += shifted(edge.marks, MARGIN, y)
    y += edge.height
    below = _short(plan, width, measure) if back else _below(plan, said, width, measure)
    bottom = size[1] - MARGIN - below.height
    marks += shifted(below.marks, MARGIN, bottom)
    return _Frame(size, (MARGIN, y), (width, bottom - y - 1.0), at, half, tuple(marks), back)


def _columned(
    plan: Plan,
    said: Said,
    size: tuple[float, float],
    back: bool,
    signs: Sequence[Sequence[str]],
    measure: Measure,
) -> _Frame:
    """The holes on the left over the whole height, everything else in a column on the right."""
    left = size[0] - MARGIN - _COLUMN
    width = left - _GAP - MARGIN
    y = MARGIN
    marks: list[Mark] = []
    top = head(plan, said, _COLUMN, measure)
    marks += shifted(top.marks, left, y)
    y += top.height + 0.5
    at = (left, y)
    y += max(sign(words, _COLUMN, measure).height for words in signs) + 1.5
    slabs = [check_scale(_COLUMN, measure)]
    if back:
        slabs.append(_short(plan, _COLUMN, measure))
    else:
        slabs += [
            passes(plan, said, _COLUMN, measure),
            listed(plan, said, _COLUMN, measure),
            cautions(plan, _COLUMN, measure, 7.0),
        ]
    for slab in slabs:
        marks += shifted(slab.marks, left, y)
        y += slab.height + 1.0
    edge = edge_mark(width, measure)
    marks += shifted(edge.marks, MARGIN, MARGIN)
    high = size[1] - 2 * MARGIN - edge.height
    if y > size[1] - MARGIN:
        high = 0.0  # the column does not fit: the frame is dropped
    return _Frame(
        size, (MARGIN, MARGIN + edge.height), (width, high), at, _COLUMN, tuple(marks), back
    )


def _below(plan: Plan, said: Said, width: float, measure: Measure) -> Slab:
    """Passes and list side by side, cautions under them."""
    left = passes(plan, said, _PASSES, measure)
    right = listed(plan, said, width - _PASSES - 2 * _GAP, measure)
    under = cautions(plan, width, measure)
    y = max(left.height, right.height)
    marks = [
        *left.marks,
        *shifted(right.marks, _PASSES + 2 * _GAP, 0),
        *shifted(under.marks, 0, y),
    ]
    return Slab(tuple(marks), y + under.height)


def _short(plan: Plan, width: float, measure: Measure) -> Slab:
    """The first caution, and that the rest is on the back."""
    texts, y = column(
        [Words(plain(plan.cautions[0]), 7.5, True), Words(_TURN_BACK, 8.0)], 0, 1.0, width, measure
    )
    return Slab(tuple(texts), y)


def _back(plan: Plan, said: Said, size: tuple[float, float], measure: Measure) -> list[Mark]:
    width = size[0] - 2 * MARGIN
    marks: list[Mark] = []
    y = MARGIN
    for slab in (head(plan, said, width, measure), _below(plan, said, width, measure)):
        marks += shifted(slab.marks, MARGIN, y)
        y += slab.height + 2.0
    if y > size[1] - MARGIN + 2.0:
        raise PrintError("the words of the holes do not fit on the back of the card: shorten them")
    return marks


def _card(plan: Plan, said: Said, frame: _Frame, found: _Found, measure: Measure) -> HoleCard:
    placed, scale = found.placed, found.scale
    guessed = placed.guessed and bool(placed.outline)
    words = _sign(plan, scale, placed.own_size, guessed, found.notes)
    front = [
        *shifted(found.marks, *frame.corner),
        *frame.rest,
        *shifted(sign(words, frame.sign_width, measure).marks, *frame.sign),
    ]
    pages = [tuple(front)]
    if frame.back:
        pages.append(tuple(_back(plan, said, frame.size, measure)))
    warnings = [*found.notes]
    if scale != 1:
        warnings.append(f"drawn at 1:{scale}: the page is too small for full size")
    if not placed.own_size:
        warnings.append("the circles are smaller than the bolts, which do not go through")
    if not found.full and any(said.words.values()):
        warnings.append("no room beside the holes for what goes in: it is in the list")
    if found.outline_given and not plan.joint.to_scale:
        warnings.append("the outline is left out: a sketch has no scale")
    if frame.back:
        warnings.append("front and back: print both pages on one sheet")
    lost = [mark.lost for page in pages for mark in page if isinstance(mark, Text) and mark.lost]
    return HoleCard(
        frame.size,
        tuple(pages),
        scale if plan.joint.to_scale else 0,
        placed.own_size,
        placed,
        frame.corner,
        tuple(dict.fromkeys((*warnings, *lost))),
    )
