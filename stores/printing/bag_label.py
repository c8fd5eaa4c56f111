"""The layout of a bag's label, for any size of label. Pure: boxes in mm, nothing is drawn here.

Top left the bag code, large; under it machine, assembly and what came off; top right the QR code;
under a rule the contents; at the foot condition, pieces, date and, in the corner furthest from the
large one, the bag code again: a stain that takes one leaves the other. So it is with the QR code:
where the contents leave room, a second one that says the bag code alone stands in the opposite
corner (`stores.printing.qr.best_design` has the measurement). On a small label there is no room for
the rule and the foot: the contents go on under the heading, and the one code is the bag code's.
"""

from dataclasses import dataclass, replace
from datetime import date

from stores.errors import PrintError
from stores.planning.bags import Bag
from stores.printing.bag_contents import contents_of
from stores.printing.boxes import (
    CAPS,
    LEADING,
    MIN_SIZE,
    MM_PER_POINT,
    Area,
    Box,
    Code,
    Measure,
    Rule,
    Text,
    text_at,
)
from stores.printing.fit import cut_end, cut_start, plain, wrap
from stores.printing.qr import MIN_MODULE, best_design, code_box, short, side

__all__ = ["MIN_SIZE", "layout_bag_label"]

_COMPACT_BELOW = 26.0
"""Millimetres between the safe edges, in height, under which a label is laid out compactly."""
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_GAP = 1.2
"""Millimetres between things that stand side by side."""


@dataclass(frozen=True, slots=True)
class _Words:
    """A paragraph of the heading. ``name`` is what a warning calls it when it is cut."""

    text: str
    name: str
    bold: bool = False
    keep_end: bool = False


def layout_bag_label(
    bag: Bag, label_width: float, label_height: float, measure: Measure, safe: float = 2.0
) -> tuple[Box, ...]:
    """Give the boxes of a label, in mm from the label's top left corner.

    Every box lies at least ``safe`` mm inside the label; only the white around the QR code may
    reach into that margin. Words shrink to 5.5 points, then break, then are cut with an ellipsis;
    the bag code, counts and sizes are never cut: contents that do not fit are counted instead.

    Raises:
        PrintError: the label is too small for the code and a line of contents.
    """
    area = Area(safe, safe, label_width - 2 * safe, label_height - 2 * safe)
    small = area.height < _COMPACT_BELOW
    room = min(area.height * (0.62 if small else 0.5), area.width * 0.4, 24.0)
    if room < side(1) * MIN_MODULE or area.height < 12:
        raise PrintError(
            f"a label of {label_width:g} x {label_height:g} mm is too small for a bag label"
        )
    design = best_design(label_width, label_height)
    whole = design.whole or not small
    code = code_box(bag.payload if whole else short(bag.payload), room, safe)
    inset = max(safe, code.quiet)
    code = replace(code, x=label_width - inset - code.width, y=inset)
    left = replace(area, width=code.x - code.quiet - 0.3 - area.x)
    under = code.y + code.height + code.quiet
    if small:
        return (code, *_compact(bag, area, left, under, measure))
    share = design.second_share if design.codes == 2 else 0.0
    second = _second_code(bag, area, under, code.width, share)
    return (code, *_large(bag, area, left, under, second, measure))


def _second_code(bag: Bag, area: Area, quiet_end: float, first: float, share: float) -> Code | None:
    """Give the code of the bag code alone, bottom left, as far as there is height for it.

    ``share`` is what it takes of the area of both codes, ``first`` the side of the other.
    """
    if not share:
        return None
    safe = area.y
    # The white around it needs 4 of 21 modules above, beside and, in the margin, below.
    high = (area.bottom + safe - quiet_end - 0.2) * side(1) / (side(1) + 8)
    room = min(first * (share / (1 - share)) ** 0.5, high)
    if room < side(1) * MIN_MODULE:
        return None
    code = code_box(short(bag.payload), room, safe)
    inset = max(safe, code.quiet)
    return replace(code, x=inset, y=area.bottom + safe - inset - code.height)


def _large(
    bag: Bag,
    area: Area,
    left: Area,
    quiet_end: float,
    second: Code | None,
    measure: Measure,
) -> list[Box]:
    head_height = quiet_end - area.y
    boxes: list[Box] = [
        _big_code(bag.code, left, head_height * (0.31 if area.height < 32 else 0.36), 30.0, measure)
    ]
    under = boxes[0].y + boxes[0].height + 1.2
    heading = Area(left.x, under, left.width, area.y + head_height - under - 0.4)
    boxes += _heading(bag, heading, measure)
    boxes.append(Rule(area.x, area.y + head_height, area.width, 0.2))
    top = area.y + head_height + 0.2 + 0.9
    if second is not None:
        beside = second.x + second.width + second.quiet + 0.3
        lower = _lower(bag, replace(area, x=beside, width=area.right - beside), top, measure)
        # Words come before a second code: it stands only where nothing is lost by it.
        if not any(isinstance(box, Text) and box.lost for box in lower):
            return [*boxes, second, *lower]
    return [*boxes, *_lower(bag, area, top, measure)]


def _lower(bag: Bag, area: Area, top: float, measure: Measure) -> list[Box]:
    """The contents, and the foot under them."""
    foot = _foot(bag, area, measure)
    body = Area(area.x, top, area.width, min(box.y for box in foot) - 0.5 - top)
    return [*foot, *contents_of(bag, body, (1, 2, 3), measure)]


def _heading(bag: Bag, area: Area, measure: Measure) -> list[Text]:
    """Machine, assembly and steps: each on its own line, or closer together to lose nothing."""
    machine = _Words(" · ".join(plain(name) for name in bag.machines), "the machine")
    where = "; ".join(plain(name) for name in bag.assemblies)
    assembly = _Words(where, "the assembly", keep_end=True)
    both = _Words(f"{machine.text}: {where}", "the assembly") if where else machine
    steps = _steps(bag)
    closer = [_Words("; ".join(words.text for words in steps), "the step", bold=True)]
    boxes: list[Text] = []
    for paragraphs in (
        [machine, assembly, *steps],
        [both, *steps],
        [both, *closer],
        [machine, assembly, *closer],
    ):
        boxes = _block([words for words in paragraphs if words.text], area, measure)
        if not any(box.lost for box in boxes):
            break
    return boxes


def _compact(bag: Bag, area: Area, left: Area, quiet_end: float, measure: Measure) -> list[Box]:
    boxes: list[Box] = [_big_code(bag.code, left, 4.2, 16.0, measure)]
    under = boxes[0].y + boxes[0].height + 0.7
    unit = MIN_SIZE * MM_PER_POINT
    line = unit * LEADING
    machine = " · ".join(plain(name) for name in bag.machines)
    heading = Area(left.x, under, left.width, 2 * line)
    paragraphs = [_Words(machine, "the machine"), *_steps(bag)[:1]]
    if len(bag.steps) > 1:
        more = ", ".join(str(step.number) for step in bag.steps)
        paragraphs[1] = _Words(f"Steps {more}", "the steps", bold=True)
    boxes += _block([words for words in paragraphs if words.text], heading, measure, MIN_SIZE)
    again = text_at(area.right, 0, bag.code, 7.5, measure, bold=True, caps=True, right=True)
    boxes.append(replace(again, y=area.bottom - again.height))
    date_y = area.bottom - again.height - 0.7 - unit
    day = text_at(area.right, date_y, _date(bag), MIN_SIZE, measure, right=True)
    if day.text and day.x >= left.right and date_y >= quiet_end:
        boxes.append(day)
    else:
        boxes[-1] = replace(again, y=area.bottom - again.height, lost="no room for the date")
    width = min(left.right, again.x - _GAP) - area.x
    foot = _condition_and_pieces(bag, Area(area.x, area.bottom - unit, width, unit), measure)
    boxes += foot
    top = under + 2 * line + 0.2
    body = replace(left, y=top, height=foot[0].y - 0.2 - top)
    boxes += contents_of(bag, body, (1,), measure, 7.5)
    return boxes


def _condition_and_pieces(bag: Bag, area: Area, measure: Measure) -> list[Text]:
    for said in (_conditions(bag), "mixed"):
        row = _row(said, [_pieces(bag)], area.x, MIN_SIZE, measure, 1.2)
        if row[-1].x + row[-1].width <= area.right:
            break
    else:
        row = [replace(row[0], lost="no room for the count of pieces")]
    return [replace(box, y=area.y) for box in row]


def _big_code(code: str, left: Area, height: float, most: float, measure: Measure) -> Text:
    """The bag code as large as width and height allow; never cut."""
    size = min(most, height / (CAPS * MM_PER_POINT))
    width = measure(code, True, size)
    if width > left.width:
        size *= left.width / width
    return text_at(left.x, left.y, code, size, measure, bold=True, caps=True)


def _steps(bag: Bag) -> list[_Words]:
    """What came off in which step: a paragraph each for two steps, one for more."""
    named = []
    for step in bag.steps:
        number = f"Step {step.number}" if step.number else "Loose"
        named.append(f"{number}  {plain(step.part)}".strip() if step.part else number)
    if len(named) > 2:
        named = ["; ".join(named)]
    return [_Words(words, "the step", bold=True) for words in named]


def _conditions(bag: Bag) -> str:
    return ", ".join(condition.value for condition in bag.conditions)


def _pieces(bag: Bag) -> str:
    return f"{bag.pieces} piece{'' if bag.pieces == 1 else 's'}"


def _date(bag: Bag) -> str:
    """The day it came off, or the first and the last day."""
    dates = sorted({plain(step.date) for step in bag.steps if step.date.strip()})
    said = list(dict.fromkeys(_day(each) for each in dates))
    return said[0] if len(said) == 1 else f"{said[0]} – {said[-1]}" if said else ""


def _day(text: str) -> str:
    """Write an ISO 8601 date, time of day or not, as ``4 Mar 2026``; leave anything else."""
    try:
        day = date.fromisoformat(text[:10])
    except ValueError:
        return text
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def _block(
    paragraphs: list[_Words], area: Area, measure: Measure, largest: float = 9.0
) -> list[Text]:
    """Set paragraphs one under the other: shrunk, then broken, then cut."""
    if not paragraphs:
        return []
    size = largest
    while size > 6.5:
        pitch = size * MM_PER_POINT * LEADING
        if len(paragraphs) * pitch <= area.height and all(
            measure(words.text, words.bold, size) <= area.width for words in paragraphs
        ):
            return _stacked(paragraphs, [[words.text] for words in paragraphs], area, size, measure)
        size -= 0.5
    size = largest
    while True:
        wrapped = [wrap(w.text, area.width, size, measure, w.bold) for w in paragraphs]
        count = int(area.height / (size * MM_PER_POINT * LEADING) + 1e-6)
        if sum(len(lines) for lines in wrapped) <= count:
            return _stacked(paragraphs, wrapped, area, size, measure)
        if size <= MIN_SIZE:
            break
        size = max(MIN_SIZE, size - 0.5)
    shares = _shares([len(lines) for lines in wrapped], count)
    cut = [
        _cut(words, lines, share, area.width, measure)
        for words, lines, share in zip(paragraphs, wrapped, shares, strict=True)
    ]
    return _stacked(paragraphs, cut, area, MIN_SIZE, measure)


def _shares(wanted: list[int], count: int) -> list[int]:
    """Share out ``count`` lines: one each, the last paragraph first, then by need."""
    given = [0] * len(wanted)
    while sum(given) < min(count, sum(wanted)):
        open_ = [at for at in range(len(wanted)) if given[at] < wanted[at]]
        at = min(open_, key=lambda at: (given[at], -at))
        given[at] += 1
    return given


def _cut(words: _Words, lines: list[str], share: int, width: float, measure: Measure) -> list[str]:
    if share >= len(lines):
        return lines
    if not share:
        return []
    if words.keep_end:
        kept = lines[-share:]
        first = cut_start(f"{lines[-share - 1]} {kept[0]}", width, MIN_SIZE, measure, words.bold)
        return [first, *kept[1:]]
    kept = lines[:share]
    last = cut_end(f"{kept[-1]} {lines[share]}", width, MIN_SIZE, measure, words.bold)
    return [*kept[:-1], last]


def _stacked(
    paragraphs: list[_Words],
    lines: list[list[str]],
    area: Area,
    size: float,
    measure: Measure,
) -> list[Text]:
    boxes: list[Text] = []
    unsaid = ""
    pitch = size * MM_PER_POINT * LEADING
    for words, each in zip(paragraphs, lines, strict=True):
        shown = " ".join(each)
        if len(shown.replace(" ", "")) < len(words.text.replace(" ", "")) or not each:
            unsaid = f"{unsaid}; {words.name}" if unsaid else f"cut to fit: {words.name}"
        for line in each:
            boxes.append(
                text_at(area.x, area.y + len(boxes) * pitch, line, size, measure, bold=words.bold)
            )
    if unsaid and boxes:
        boxes[-1] = replace(boxes[-1], lost=unsaid)
    return boxes


def _foot(bag: Bag, area: Area, measure: Measure) -> list[Text]:
    """Condition words, pieces and date on the left, the code again in the corner.

    Condition words are not cut. Where they do not fit, the word is "mixed", and every line of
    the contents has its own.
    """
    again = text_at(area.right, 0, bag.code, 9.0, measure, bold=True, caps=True, right=True)
    end = again.x - 1.5 * _GAP
    rest = [text for text in (_pieces(bag), _date(bag)) if text]
    for said in (_conditions(bag), "mixed"):
        for size in (7.5, 7.0, 6.5, 6.0, MIN_SIZE):
            row = _row(said, rest, area.x, size, measure)
            if row[-1].x + row[-1].width <= end:
                return _on_foot(row, again, area.bottom)
    kept = [box for box in row if box.x + box.width <= end] or row[:1]
    kept[-1] = replace(kept[-1], lost="no room for the count of pieces and the date")
    return _on_foot(kept, again, area.bottom)


def _row(
    bold: str, rest: list[str], x: float, size: float, measure: Measure, gap: float = 2.2
) -> list[Text]:
    row: list[Text] = []
    for text in [bold, *rest]:
        if text:
            row.append(text_at(x, 0, text, size, measure, bold=text is bold))
            x += row[-1].width + gap
    return row


def _on_foot(row: list[Text], again: Text, bottom: float) -> list[Text]:
    """Stand a row and the second bag code on one baseline, nothing hanging below the bottom."""
    baseline = bottom - max(box.height - box.baseline for box in (*row, again))
    return [replace(box, y=baseline - box.baseline) for box in (*row, again)]
