"""Cards of a joint: one that the bolts are pushed through, and one of the order to tighten in.

The card for the bolts is at full size where it fits the page, upright or on its side; where only
the list is in the way, the list goes on the back. Otherwise at the largest simple scale that fits,
said large. On a smaller scale and on a sketch the rings keep the bolts' own size where there is
room for their heads, so that bolts can be pushed through all the same.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import product
from pathlib import Path

from stores.errors import BadValue, PrintError
from stores.handbook.answer import cite
from stores.handbook.tightening.order import Plan
from stores.model.work_units import chosen
from stores.printing.boxes import (
    LEADING,
    MM_PER_POINT,
    READ_SIZE,
    Box,
    Frame,
    Measure,
    Stripe,
    Text,
    Tick,
    plain,
    shifted,
    stroke,
    text_at,
    wrap,
)
from stores.printing.files import Printed, put
from stores.printing.joint_field import (
    CARD_LOOKS,
    EMPTY,
    SCALES,
    Field,
    bolt_diameter,
    drawn_field,
    joint_picture,
    placed_at_scale,
    too_close,
)
from stores.printing.pages import Slab, Words, column
from stores.printing.paper import card_paper, paper_named
from stores.printing.qr import code_box

__all__ = [
    "MARGIN",
    "Heading",
    "JointCard",
    "hole_card",
    "tightening_card",
    "write_hole_card",
    "write_tightening_card",
]


_CHECK_MM = 50.0
"""Millimetres: the length of the check scale."""
_CODE = 19.0
_LEAST_CODE = 14.0
"""Points: a bag code in smaller type is not read from a shelf."""
_QUIET = 2.2
_ROW = 3.7
_BAG = 78.0
_BELOW_EACH_OTHER = 100.0
"""Millimetres of width under which things stand one below the other."""


@dataclass(frozen=True, slots=True)
class Heading:
    """What heads a card: step and part, or the joint's name if empty; machine, bag, date.

    ``goes_in`` says what goes into each hole, by its number, where its own words (`Hole.length`)
    are not enough. ``bag`` None: the card has no place for one.
    """

    title: str = ""
    machine: str = ""
    bag: str | None = ""
    date: str = ""
    goes_in: Mapping[int, str] = field(default_factory=dict)

    @property
    def payload(self) -> str:
        """What the QR code says: the bag first."""
        return "\n".join(text for text in (self.bag, self.machine, self.title) if text)


def head(plan: Plan, heading: Heading, width: float, measure: Measure) -> Slab:
    """Return machine, title, torque, what goes in; bag code, large, with its QR code at right."""
    narrow = width < _BELOW_EACH_OTHER
    code, code_high, room = list[Box](), 0.0, width
    if heading.bag is not None:
        code, code_high = _bag(heading, min(width, _BAG), measure)
        room = width if narrow else width - _BAG - 4.0
    final = plan.stages[-1].torque_nm
    torque = f"torque: ____ {chosen().torque}" if final is None else chosen().torque_words(final)
    facts = [f"{len(plan.joint.holes)} holes", torque, *([heading.date] if heading.date else [])]
    paragraphs = [
        *([Words(heading.machine, 10.0, False, 2, "the machine")] if heading.machine else []),
        Words(heading.title, 14.0 if narrow else 17.0, True, 3, "the title"),
        Words(" · ".join(facts), 10.0, True, 3, "torque and date"),
    ]
    goes_in = _counted(heading.goes_in.values(), len(plan.joint.holes))
    if goes_in:
        paragraphs.append(Words(f"Goes in: {goes_in}", 8.5, False, 4, "what goes in, counted"))
    texts, y = column(paragraphs, 0, code_high + 1.5 if narrow else 0, room, measure)
    boxes = [*shifted(code, width - min(width, _BAG), 0), *texts]
    return Slab(tuple(boxes), max(y, code_high) + 0.8)


def _bag(heading: Heading, width: float, measure: Measure) -> tuple[list[Box], float]:
    """The bag code as large as fits beside its QR code; a line to write it on if there is none."""
    if not heading.bag:
        name = text_at(0, 3.0, "Bag:", 10.0, measure, bold=True)
        return [name, Stripe(name.width + 2, 7.4, width - name.width - 2, 0.2)], 9.0
    code = code_box(heading.payload, _CODE, _QUIET)
    code = replace(code, x=width - code.width - code.quiet, y=code.quiet)
    room = code.x - code.quiet - 1.0
    size = min(34.0, 34.0 * room / measure(heading.bag, True, 34.0))
    if size < _LEAST_CODE:
        raise PrintError(f"the bag code {heading.bag[:40]!r} is too long for a hole card")
    small = text_at(0, 0.6, "Bag", 8.5, measure)
    big = text_at(room, small.y + small.height + 1.0, heading.bag, size, measure, bold=True,
                  caps=True, right=True)  # fmt: skip
    return [replace(small, x=big.x), big, code], code.height + 2 * code.quiet


def _counted(words: Iterable[str], holes: int) -> str:
    """Return what goes in, counted: ``12 × M6x45 · 4 × M6x60``."""
    counts = Counter(text for text in words if text)
    parts = [f"{count} × {text}" for text, count in counts.items()]
    unsaid = holes - sum(counts.values())
    if counts and unsaid:
        parts.append(f"{unsaid} not said")
    return " · ".join(parts)


def sign(words: Sequence[str], width: float, measure: Measure) -> Slab:
    """Return the scale, said large in a frame, and what it means under it."""
    size = 17.0
    while measure(words[0], True, size) > width - 5.0:
        size -= 0.5
    big = text_at(2.5, 1.7, words[0], size, measure, bold=True, caps=True)
    small, y = column(
        [Words(text, 8.0, False, 8, "the note on the scale") for text in words[1:]],
        2.5,
        big.y + big.height + 1.3,
        width - 5.0,
        measure,
    )
    high = y + 0.7
    return Slab((Frame(0.25, 0.25, width - 0.5, high - 0.5, 0.5, 1.0), big, *small), high)


def _check_scale(width: float, measure: Measure) -> Slab:
    """Return a bar of 50 mm with a tick every 10 mm, and how to print."""
    left = 2.0
    boxes: list[Box] = [Stripe(left, 6.0 - 0.15, _CHECK_MM, 0.3)]
    for at in range(6):
        x = left + 10.0 * at
        boxes.append(stroke([(x, 3.2), (x, 6.0)], 0.2))
        figure = text_at(0, 0, str(10 * at), READ_SIZE, measure, caps=True)
        boxes.append(replace(figure, x=x - figure.width / 2, y=0.8))
    beside = width > _BELOW_EACH_OTHER
    x = left + _CHECK_MM + 4.0 if beside else 0.0
    texts, y = column(
        [
            Words("This bar is 50 mm long: check it with a rule.", 8.0, False, 3),
            Words("Print at 100 %, not “fit to page”.", 8.0, True, 2),
        ],
        x,
        0.6 if beside else 7.2,
        width - x,
        measure,
    )
    return Slab((*boxes, *texts), max(y, 6.4) + 0.6)


def _edge_mark(width: float, measure: Measure) -> Slab:
    """Return an arrow at the top of the holes, and boxes to say by hand which edge that is."""
    boxes: list[Box] = [stroke([(1.6, 6.2), (1.6, 0.6), (0.3, 2.8), (1.6, 0.6), (2.9, 2.8)], 0.4)]
    x = 4.6
    for words in ("This edge is:", "up", "front"):
        if words != "This edge is:":
            boxes.append(Tick(x, 1.6, 3.6, 3.6))
            x += 4.8
        text = text_at(x, 1.8, words, 9.0, measure)
        boxes.append(text)
        x += text.width + 3.0
    boxes.append(Stripe(x, 5.2, min(32.0, width - x), 0.2))
    key = "Seen from the bolt heads. In the box: its turn; h: the hole."
    seen = text_at(width, 2.0, key, 8.0, measure, right=True)
    if seen.x > x + 34:
        boxes.append(seen)
    return Slab(tuple(boxes), 7.4)


def passes(plan: Plan, width: float, measure: Measure, size: float = 8.0) -> Slab:
    """Return the passes: a tick each, what to do, per cent and torque, or a line to write it on.

    ``size`` is that of the words in points.
    """
    unit = size / 8.0
    share = width - 19.0 * unit
    tick = 3.6 * unit
    inner = tick + 2.0
    pitch = size * MM_PER_POINT * LEADING
    figures = size + 0.5
    boxes: list[Box] = [
        text_at(0, 0.6, "Passes", 9.0, measure, bold=True),
        text_at(share, 0.6, "%", 8.5, measure, bold=True, right=True),
        text_at(width, 0.6, chosen().torque, 8.5, measure, bold=True, right=True),
    ]
    y = 4.6
    for at, stage in enumerate(plan.stages, 1):
        room = width - inner if stage.per_cent is None else share - 9.0 * unit - inner
        lines = wrap(f"{at}. {stage.what}", room, size, measure)
        high = max(5.0 * unit, pitch * len(lines) + 1.6)
        boxes += [Stripe(0, y, width, 0.1), Tick(0.4, y + 0.7 * unit, tick, tick)]
        for down, line in enumerate(lines):
            boxes.append(text_at(inner, y + 1.1 * unit + down * pitch, line, size, measure))
        if stage.per_cent is not None:
            top = y + 1.0 * unit
            per_cent = str(stage.per_cent)
            boxes.append(text_at(share, top, per_cent, figures, measure, bold=True, right=True))
            if stage.torque_nm is None:
                boxes.append(Stripe(width - 14.0 * unit, y + high - 0.9, 14.0 * unit, 0.2))
            else:
                torque = chosen().pass_words(stage.torque_nm, stage.per_cent).split(" ")[0]
                boxes.append(text_at(width, top, torque, figures, measure, bold=True, right=True))
        y += high
    return Slab(tuple(boxes), y + 1.0)


def listed(plan: Plan, goes_in: Mapping[int, str], width: float, measure: Measure) -> Slab:
    """Return the order as a list in columns, read down: turn, hole, what goes in."""
    rows = [
        (f"{turn}:", f"h{hole}", goes_in.get(hole, ""))
        for turn, hole in enumerate(plan.order.holes, 1)
    ]
    number = max(measure(turn, True, 8.5) for turn, _, _ in rows)
    name = max(measure(hole, False, 8.5) for _, hole, _ in rows)
    longest = max(measure(words, False, 8.0) for _, _, words in rows)
    fixed = number + name + 1.6
    wide = fixed + (min(longest, 44.0) + 1.4 if longest else 0.0) + 4.0
    columns = max(1, min(len(rows), int((width + 4.0) // min(wide, width))))
    # no more columns than give each a few rows: a list is read down
    columns = min(columns, max(1, -(-len(rows) // 3)))
    wide = width / columns
    room = max(10.0, wide - fixed - 5.4)
    lines = [wrap(words, room, 8.0, measure) or [""] for _, _, words in rows]
    boxes: list[Box] = [text_at(0, 0.6, "Turn: hole, read down", 9.0, measure, bold=True)]
    top = 4.8
    deep, starts = _split([len(each) for each in lines], columns)
    x, y = 0.0, top
    for at, ((turn, hole, _), words) in enumerate(zip(rows, lines, strict=True)):
        if at in starts and at:
            x, y = x + wide, top
        boxes.append(text_at(x + number, y, turn, 8.5, measure, bold=True, right=True))
        boxes.append(text_at(x + number + 1.2, y, hole, 8.5, measure))
        for down, line in enumerate(words):
            if line:
                boxes.append(text_at(x + fixed + 1.4, y + 0.1 + down * _ROW, line, 8.0, measure))
        y += len(words) * _ROW
    return Slab(tuple(boxes), top + deep * _ROW + 1.0)


def _split(sizes: Sequence[int], columns: int) -> tuple[int, set[int]]:
    """Break entries so many lines high into columns as low as can be; give height and starts."""
    deep = max(-(-sum(sizes) // columns), *sizes)
    while True:
        starts, filled = {0}, 0
        for at, size in enumerate(sizes):
            if filled + size > deep:
                starts.add(at)
                filled = 0
            filled += size
        if len(starts) <= columns:
            return deep, starts
        deep += 1


def cautions(plan: Plan, width: float, measure: Measure, *, apart: bool = False) -> Slab:
    """Return the cautions, the maker's order first, then what was taken and from where.

    ``apart``: each stands on a line of its own.
    """
    back = "Loosen: " + " ".join(f"h{hole}" for hole in plan.loosening)
    told = [chosen().turned(caution) for caution in plan.cautions[1:]]
    more = told if apart else [" ".join(told)]
    taken = plain("Assumed: " + "; ".join(plan.assumptions) + ".")
    source = plain("Source: " + "; ".join(cite(key) for key in plan.sources) + ".")
    paragraphs = [
        Words(plain(plan.cautions[0]), READ_SIZE, True),
        *(Words(plain(words), READ_SIZE) for words in more),
        Words(back, READ_SIZE, False, 4, "the order of loosening"),
        Words(taken, READ_SIZE, False, 12),
        Words(source, READ_SIZE, False, 12),
    ]
    boxes, y = column(paragraphs, 0, 1.4, width, measure)
    return Slab((Stripe(0, 0.4, width, 0.2), *boxes), y)


MARGIN = 10.0
"""Millimetres: more than any office printer leaves white."""
_PUNCHED = 16.0
"""Millimetres at the left of a card to file: wide enough for punched holes."""
_BOLT = 6.0
"""Millimetres: diameter of the ring of a hole whose words name no thread."""
_LONGEST_WORDS = 80
_MOST_TRIED = 2
"""Scales at which the holes fit and their labels do not, before giving up."""
_COLUMN = 64.0
_GAP = 4.0
_PASSES = 66.0
_LEAST_FIELD = 30.0
_LEAST_PICTURE = 50.0
_AROUND = 16.0
"""Millimetres above and below the holes of a picture together, for rings and words."""


@dataclass(frozen=True, slots=True)
class JointCard:
    """A card that was laid out: its pages, each ``size`` mm wide and high, and its title.

    ``scale`` is one to so many, 0 for a sketch without one. ``field`` are the holes from the
    ``corner`` of the picture on the first page; its rings are empty on a card of the order.
    """

    title: str
    size: tuple[float, float]
    pages: tuple[tuple[Box, ...], ...]
    scale: int = 0
    field: Field = EMPTY
    corner: tuple[float, float] = (0.0, 0.0)
    warnings: tuple[str, ...] = ()


def write_hole_card(plan: Plan, path: Path, heading: Heading, page: str = "") -> Printed:
    """Write the card for the bolts as a PDF of one page, or of two: front and back of one sheet.

    Arguments and errors as `hole_card`; PrintError too for a file that cannot be written.
    """
    from stores.printing.draw import measure

    printed = _write(hole_card(plan, measure, heading, page), path, "Hole card")
    return replace(printed, sheets=1, stock=page.upper().replace("LETTER", "Letter"))


def write_tightening_card(plan: Plan, path: Path, heading: Heading, page: str = "A5") -> Printed:
    """Write the card of the order as a PDF of one page, A5, A4 or Letter upright.

    Arguments and errors as `tightening_card`; PrintError too for a file that cannot be written.
    """
    from stores.printing.draw import measure

    return _write(tightening_card(plan, measure, heading, page), path, "Tightening order")


def _write(card: JointCard, path: Path, subject: str) -> Printed:
    from stores.printing.draw import Pdf

    pdf = Pdf(card.title, subject, card.size)
    for boxes in card.pages:
        pdf.page(boxes)
    put(path, pdf.bytes())
    return Printed(path, pdf.pages, warnings=(*card.warnings, *pdf.missing_warning()))


def tightening_card(plan: Plan, measure: Measure, heading: Heading, page: str = "A5") -> JointCard:
    """Return the card of the order: picture, passes to tick, order as a list, cautions.

    The picture takes what the words leave, on A5, A4 or Letter upright.

    Raises:
        BadValue: another page.
        PrintError: too many holes for the page.
    """
    size = card_paper(page).size
    heading = replace(_plain(plan, heading, "Tightening order"), bag=None, goes_in={})
    width = size[0] - _PUNCHED - MARGIN
    legend = (
        "In the circle: the turn to tighten. Beside it: the hole"
        f"{' and what goes in' if plan.joint.with_lengths else ''}."
        f"{'' if plan.joint.to_scale else ' A sketch, not to scale.'}"
    )
    key, y = column([Words(legend, 8.0)], 0, 0, width, measure)
    top = [
        head(plan, heading, width, measure),
        Slab((*key, Stripe(0, y + 0.4, width, 0.3)), y + 2.2),
    ]
    lengths = {number: plain(hole.length) for number, hole in plan.joint.by_number.items()}
    line = Slab((Stripe(0, 0.2, width, 0.3),), 0.8)
    for below in (
        [line, passes(plan, width, measure, 10.0), line, listed(plan, lengths, width, measure)],
        [line, _beside(plan, lengths, width, measure)],
    ):
        below.append(cautions(plan, width, measure, apart=True))
        words = sum(slab.height for slab in (*top, *below))
        high = min(size[1] - 2 * MARGIN - words, _wanted(plan, width))
        if high >= _LEAST_PICTURE:
            picture = Slab(joint_picture(plan, width, high, measure), high)
            boxes = _stacked((*top, picture, *below), _PUNCHED, MARGIN)[0]
            return JointCard(heading.title, size, (tuple(boxes),), warnings=_lost(boxes))
    raise PrintError(
        f"{len(plan.joint.holes)} holes and their list do not fit on {card_paper(page).name}"
        + (": take A4" if card_paper(page).name == "A5" else "")
    )


def hole_card(plan: Plan, measure: Measure, heading: Heading, page: str = "") -> JointCard:
    """Return the card for the bolts, on A4 or Letter.

    Raises:
        BadValue: another page, or what goes into a hole is too long.
        PrintError: a joint that fits at no scale, or words that fit on no card.
    """
    size = paper_named(page).size
    heading = _plain(plan, heading, "Hole card")
    for number, text in heading.goes_in.items():
        if len(text) > _LONGEST_WORDS:
            raise BadValue(
                f"hole {number}: {len(text)} characters of words, expected {_LONGEST_WORDS} at most"
            )
    sizes = {number: bolt_diameter(words) for number, words in heading.goes_in.items()}
    bolts = {number: bolt or _BOLT for number, bolt in sizes.items()}
    notes = _notes(plan, sizes, bolts)
    tried = 0
    for scale in SCALES if plan.joint.to_scale else SCALES[:1]:
        card = _HoleCard(plan, heading, measure, notes, scale)
        ways = [
            (frame, placed)
            for frame in card.frames(size)
            for placed in placed_at_scale(plan, heading.goes_in, bolts, frame.room, scale)
        ]
        for full, (frame, placed) in product((True, False), ways):
            for look in CARD_LOOKS:
                boxes = look.full is full and drawn_field(placed, frame.room, look, measure)
                if boxes:
                    return card.card(frame, placed, full, boxes)
        tried += bool(ways)
        if tried == _MOST_TRIED:  # still smaller makes no more room for words
            break
    raise PrintError(f"{len(plan.joint.holes)} holes do not fit on {page} at any scale")


def _plain(plan: Plan, heading: Heading, fallback: str) -> Heading:
    """Bring all words to what can be set, with what goes into every hole."""
    goes_in = {
        number: plain(heading.goes_in.get(number, hole.length))
        for number, hole in plan.joint.by_number.items()
    }
    title = plain(heading.title) or plain(plan.joint.name) or fallback
    bag = plain(heading.bag or "")
    return Heading(title, plain(heading.machine), bag, plain(heading.date), goes_in)


def _lost(boxes: Iterable[Box]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(box.lost for box in boxes if isinstance(box, Text) and box.lost))


def _stacked(
    slabs: Iterable[Slab], x: float, y: float, gap: float = 0.0
) -> tuple[list[Box], float]:
    """Set slabs one under the other; give the boxes and where the last one ends."""
    boxes: list[Box] = []
    for slab in slabs:
        boxes += shifted(slab.boxes, x, y)
        y += slab.height + gap
    return boxes, y


def _wanted(plan: Plan, width: float) -> float:
    """Return the height in mm that the picture would fill at the full width."""
    xs = [hole.x_mm for hole in plan.joint.holes]
    ys = [hole.y_mm for hole in plan.joint.holes]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    return max(_LEAST_PICTURE, min(1.0, high / wide if wide else 1.0) * width + _AROUND)


def _beside(plan: Plan, goes_in: Mapping[int, str], width: float, measure: Measure) -> Slab:
    """Passes and list side by side."""
    left = passes(plan, _PASSES, measure)
    right = listed(plan, goes_in, width - _PASSES - 2 * _GAP, measure)
    boxes = (*left.boxes, *shifted(right.boxes, _PASSES + 2 * _GAP, 0))
    return Slab(boxes, max(left.height, right.height))


# the card for the bolts


@dataclass(frozen=True, slots=True)
class _Frame:
    """A page: ``room`` mm wide and high at ``corner`` for the holes, the sign, the rest."""

    size: tuple[float, float]
    corner: tuple[float, float]
    room: tuple[float, float]
    sign: tuple[float, float]
    sign_width: float
    rest: list[Box]
    back: bool


def _notes(
    plan: Plan, sizes: Mapping[int, float | None], bolts: Mapping[int, float]
) -> tuple[str, ...]:
    """What a person must know of the circles."""
    notes = []
    if None in sizes.values():
        some = any(size is not None for size in sizes.values())
        which = "Where no thread is named the" if some else "No threads are named: the"
        notes.append(f"{which} circle is {_BOLT:g} mm wide.")
    close = too_close(plan.joint, bolts)
    if close:
        notes.append(
            f"Holes {close[0]} and {close[1]} are closer than their bolts are thick: measure again."
        )
    return tuple(notes)


@dataclass(frozen=True, slots=True)
class _HoleCard:
    """The card for the bolts at one scale: what is on it, and the ways to divide its page."""

    plan: Plan
    heading: Heading
    measure: Measure
    notes: tuple[str, ...]
    scale: int

    def frames(self, upright: tuple[float, float]) -> list[_Frame]:
        """Return the ways to divide the page, the best first; those with a back come last."""
        on_side = upright[::-1]
        frames = [
            make(size, back)
            for back in (False, True)
            for make, size in (
                (self._banded, upright),
                (self._columned, on_side),
                (self._banded, on_side),
            )
        ]
        return [frame for frame in frames if min(frame.room) >= _LEAST_FIELD]

    def card(self, frame: _Frame, field: Field, full: bool, holes: list[Box]) -> JointCard:
        """Return the card with holes and labels that fitted into a frame, ``full`` or not."""
        words = self._scale_words(field.own_size, bool(field.outline))
        scale = sign(words, frame.sign_width, self.measure)
        front = [
            *shifted(holes, *frame.corner),
            *frame.rest,
            *shifted(scale.boxes, *frame.sign),
        ]
        pages = [tuple(front), *([self._back(frame.size)] if frame.back else [])]
        warnings = [*self.notes]
        if self.scale != 1:
            warnings.append(f"drawn at 1:{self.scale}: the page is too small for full size")
        if not field.own_size:
            warnings.append("the circles are smaller than the bolts, which do not go through")
        if not full and any(self.heading.goes_in.values()):
            warnings.append("no room beside the holes for what goes in: it is in the list")
        if frame.back:
            warnings.append("front and back: print both pages on one sheet")
        warnings += [lost for page in pages for lost in _lost(page)]
        return JointCard(
            self.heading.title,
            frame.size,
            tuple(pages),
            self.scale if self.plan.joint.to_scale else 0,
            field,
            frame.corner,
            tuple(dict.fromkeys(warnings)),
        )

    def _scale_words(self, own_size: bool, guessed: bool = True) -> list[str]:
        """The scale in large words, then what it means for the bolts."""
        large, small = f"SCALE 1 : {self.scale}", ""
        if not self.plan.joint.to_scale:
            large, small = "NOT TO SCALE", "A sketch by the clock: distances are not known."
        elif self.scale == 1:
            large = "FULL SIZE 1 : 1"
        else:
            small = f"Not full size: the joint is {self.scale} times as large."
        circles = "The circles are drawn smaller than the bolts, which do not go through."
        if own_size:
            circles = "Circles are as wide as the bolts: slit the stars, push the bolts through."
        edge = "Dashed outline: not the true shape." if guessed else ""
        return [large, " ".join(text for text in (small, circles, edge, *self.notes) if text)]

    def _sign_height(self, width: float) -> float:
        """The room of the sign, whichever of its words will stand there."""
        signs = [self._scale_words(own_size) for own_size in (True, False)]
        return max(sign(words, width, self.measure).height for words in signs)

    def _banded(self, size: tuple[float, float], back: bool) -> _Frame:
        """Head above the holes, list and cautions below."""
        width = size[0] - 2 * MARGIN
        half = (width - _GAP) / 2
        boxes, y = _stacked([head(self.plan, self.heading, width, self.measure)], MARGIN, MARGIN)
        y += 0.5
        at = (MARGIN, y)
        scale = _check_scale(half, self.measure)
        boxes += shifted(scale.boxes, MARGIN + half + _GAP, y)
        y += max(scale.height, self._sign_height(half)) + 1.5
        edge, y = _stacked([_edge_mark(width, self.measure)], MARGIN, y)
        below = self._short(width) if back else self._below(width)
        bottom = size[1] - MARGIN - below.height
        rest = [*boxes, *edge, *shifted(below.boxes, MARGIN, bottom)]
        return _Frame(size, (MARGIN, y), (width, bottom - y - 1.0), at, half, rest, back)

    def _columned(self, size: tuple[float, float], back: bool) -> _Frame:
        """The holes on the left over the whole height, all else in a column on the right."""
        plan, measure = self.plan, self.measure
        left = size[0] - MARGIN - _COLUMN
        width = left - _GAP - MARGIN
        boxes, y = _stacked([head(plan, self.heading, _COLUMN, measure)], left, MARGIN)
        y += 0.5
        at = (left, y)
        slabs = [_check_scale(_COLUMN, measure)]
        if back:
            slabs.append(self._short(_COLUMN))
        else:
            slabs += [
                passes(plan, _COLUMN, measure),
                listed(plan, self.heading.goes_in, _COLUMN, measure),
                cautions(plan, _COLUMN, measure),
            ]
        more, y = _stacked(slabs, left, y + self._sign_height(_COLUMN) + 1.5, 1.0)
        edge, top = _stacked([_edge_mark(width, measure)], MARGIN, MARGIN)
        # a column that does not fit leaves no height: the frame is dropped
        high = 0.0 if y > size[1] - MARGIN else size[1] - MARGIN - top
        rest = [*boxes, *more, *edge]
        return _Frame(size, (MARGIN, top), (width, high), at, _COLUMN, rest, back)

    def _below(self, width: float) -> Slab:
        """Passes and list side by side, cautions under them."""
        beside = _beside(self.plan, self.heading.goes_in, width, self.measure)
        boxes, y = _stacked([beside, cautions(self.plan, width, self.measure)], 0, 0)
        return Slab(tuple(boxes), y)

    def _short(self, width: float) -> Slab:
        """The first caution, and that the rest is on the back."""
        turn_back = "Order as a list, passes and all cautions: on the back."
        words = [Words(plain(self.plan.cautions[0]), READ_SIZE, True), Words(turn_back, 8.0)]
        texts, y = column(words, 0, 1.0, width, self.measure)
        return Slab(tuple(texts), y)

    def _back(self, size: tuple[float, float]) -> tuple[Box, ...]:
        width = size[0] - 2 * MARGIN
        slabs = [head(self.plan, self.heading, width, self.measure), self._below(width)]
        boxes, y = _stacked(slabs, MARGIN, MARGIN, 2.0)
        if y > size[1] - MARGIN + 2.0:
            raise PrintError(
                "the words of the holes do not fit on the back of the card: shorten them"
            )
        return tuple(boxes)
