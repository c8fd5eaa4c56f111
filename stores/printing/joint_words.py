"""What stands round the holes of a card: head, check scale, passes, order, cautions. Pure."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from stores.errors import PrintError
from stores.handbook.tightening import Plan, cite
from stores.printing.boxes import (
    LEADING,
    MM_PER_POINT,
    Box,
    Frame,
    Measure,
    Rule,
    Tick,
    shifted,
    stroke,
    text_at,
)
from stores.printing.fit import plain, wrap
from stores.printing.paper import Slab, Words, column
from stores.printing.qr import code_box

__all__ = ["Heading", "cautions", "check_scale", "edge_mark", "head", "listed", "passes", "sign"]

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
    torque = plan.stages[-1].torque or "torque: ____ N m"
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
        return [name, Rule(name.width + 2, 7.4, width - name.width - 2, 0.2)], 9.0
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


def check_scale(width: float, measure: Measure) -> Slab:
    """Return a bar of 50 mm with a tick every 10 mm, and how to print."""
    left = 2.0
    boxes: list[Box] = [Rule(left, 6.0 - 0.15, _CHECK_MM, 0.3)]
    for at in range(6):
        x = left + 10.0 * at
        boxes.append(stroke([(x, 3.2), (x, 6.0)], 0.2))
        figure = text_at(0, 0, str(10 * at), 7.0, measure, caps=True)
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


def edge_mark(width: float, measure: Measure) -> Slab:
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
    boxes.append(Rule(x, 5.2, min(32.0, width - x), 0.2))
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
        text_at(width, 0.6, "N m", 8.5, measure, bold=True, right=True),
    ]
    y = 4.6
    for at, stage in enumerate(plan.stages, 1):
        room = width - inner if stage.per_cent is None else share - 9.0 * unit - inner
        lines = wrap(f"{at}. {stage.what}", room, size, measure)
        high = max(5.0 * unit, pitch * len(lines) + 1.6)
        boxes += [Rule(0, y, width, 0.1), Tick(0.4, y + 0.7 * unit, tick, tick)]
        for down, line in enumerate(lines):
            boxes.append(text_at(inner, y + 1.1 * unit + down * pitch, line, size, measure))
        if stage.per_cent is not None:
            top = y + 1.0 * unit
            per_cent = str(stage.per_cent)
            boxes.append(text_at(share, top, per_cent, figures, measure, bold=True, right=True))
            if stage.torque_nm is None:
                boxes.append(Rule(width - 14.0 * unit, y + high - 0.9, 14.0 * unit, 0.2))
            else:
                torque = f"{stage.torque_nm:.10g}"
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


def cautions(plan: Plan, width: float, measure: Measure, size: float = 7.5) -> Slab:
    """Return the cautions, the maker's order first, then what was taken and from where.

    In type of 8 points and more each stands on a line of its own.
    """
    back = "Loosen: " + " ".join(f"h{hole}" for hole in plan.loosening)
    more = plan.cautions[1:] if size >= 8.0 else (" ".join(plan.cautions[1:]),)
    taken = plain("Taken: " + "; ".join(plan.assumptions) + ".")
    source = plain("Source: " + "; ".join(cite(key) for key in plan.sources) + ".")
    paragraphs = [
        Words(plain(plan.cautions[0]), size, True),
        *(Words(plain(words), size) for words in more),
        Words(back, size, False, 4, "the order of loosening"),
        Words(taken, max(6.0, size - 1.5), False, 4),
        Words(source, max(6.0, size - 1.5), False, 5),
    ]
    boxes, y = column(paragraphs, 0, 1.4, width, measure)
    return Slab((Rule(0, 0.4, width, 0.2), *boxes), y)
