"""A place of a label filled from the top: text shared out in lines, lists, ticks. Pure.

What is never cut has its least height kept free, a list one line, and paragraphs get what is then
left. Every line of a list stands whole, or is counted
as missing.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from stores.errors import PrintError
from stores.printing.boxes import (
    CAPS,
    CUT,
    HOOK,
    LEADING,
    MM_PER_POINT,
    READ_SIZE,
    Area,
    Box,
    Measure,
    Stripe,
    Text,
    Tick,
    below_capitals,
    cut_end,
    cut_start,
    text_at,
    wrap,
)
from stores.printing.label_flow import Filled, Page, Running, as_running
from stores.printing.label_values import Fields, Listed
from stores.printing.templates import LayoutPart

__all__ = [
    "Filled",
    "fill",
    "flow",
    "least_height",
    "row",
]


_WHOLE = 8.0
"""Points: rather break a line than shrink it further."""
_GAP_IN_ROW = 2.2
"""Millimetres between things that stand in one row."""
_CLOSE = 1.2
"""The same where room is short."""


@dataclass(frozen=True, slots=True)
class _LabelText:
    """A paragraph. ``name`` is what a warning calls it when it is cut; ``short``: other words."""

    text: str
    name: str
    bold: bool = False
    keep_end: bool = False
    short: str = ""
    least: str = ""
    right: bool = False
    largest: float = 9.0
    smallest: float = READ_SIZE
    caps: bool = False
    never: bool = False
    one_line: bool = False

    def within(self, width: float, size: float, measure: Measure) -> str:
        """Give the text, that of one line cut where a line ends."""
        if not self.one_line:
            return self.text
        return cut_end(self.text, width, size, measure, self.bold)


_LARGE = 14.0
"""Points: type that is worth breaking a line for."""
_MUCH = 1.4


def _set_block(paragraphs: Sequence[_LabelText], area: Area, measure: Measure) -> list[Text]:
    """Set paragraphs one under the other, all in one size: shrunk, then broken, then cut."""
    if not paragraphs:
        return []
    largest = max(words.largest for words in paragraphs)
    smallest = min(words.smallest for words in paragraphs)
    widest = max((measure(w.text, w.bold, 1.0) for w in paragraphs if not w.one_line), default=0.0)
    broken = _large(paragraphs, area, largest, widest, measure)
    if broken:
        return broken
    size = largest
    while size > max(_WHOLE, smallest) - 1e-9:
        pitch = size * MM_PER_POINT * LEADING
        if len(paragraphs) * pitch <= area.height + 1e-6 and widest * size <= area.width:
            whole = [[words.within(area.width, size, measure)] for words in paragraphs]
            return _stacked(paragraphs, whole, area, size, measure)
        size -= 0.5
    size = largest
    while True:
        count = int(area.height / (size * MM_PER_POINT * LEADING) + 1e-6)
        if len(paragraphs) <= count or size <= smallest:
            wrapped = _wrapped(paragraphs, area.width, size, measure)
            if sum(len(lines) for lines in wrapped) <= count:
                return _stacked(paragraphs, wrapped, area, size, measure)
            if size <= smallest:
                break
        size = max(smallest, size - 0.5)
    for words in paragraphs:
        if words.never:
            raise PrintError(f"no room for {words.text!r}: take a larger label")
    shares = _shares([len(lines) for lines in wrapped], count)
    cut = [
        _cut(words, lines, share, area.width, smallest, measure)
        for words, lines, share in zip(paragraphs, wrapped, shares, strict=True)
    ]
    return _stacked(paragraphs, cut, area, smallest, measure)


def _large(
    paragraphs: Sequence[_LabelText], area: Area, largest: float, widest: float, measure: Measure
) -> list[Text]:
    """Break lines where that gives much larger type, to be read from a step away; else nothing."""
    if not widest:
        return []
    whole = min(area.width / widest, area.height / (len(paragraphs) * MM_PER_POINT * LEADING))
    words = [word for each in paragraphs if not each.one_line for word in each.text.split()]
    longest = max((measure(word, paragraphs[0].bold, 1.0) for word in words), default=0.0)
    size = min(largest, area.width / longest * 0.98 if longest else largest)
    while size >= max(_LARGE, whole * _MUCH):
        lines = _wrapped(paragraphs, area.width, size, measure)
        count = int(area.height / (size * MM_PER_POINT * LEADING) + 1e-6)
        if sum(len(each) for each in lines) <= count:
            return _stacked(paragraphs, lines, area, size, measure)
        size -= 0.5
    return []


def _wrapped(
    paragraphs: Sequence[_LabelText], width: float, size: float, measure: Measure
) -> list[list[str]]:
    return [wrap(w.within(width, size, measure), width, size, measure, w.bold) for w in paragraphs]


def _shares(wanted: list[int], count: int) -> list[int]:
    """Share out ``count`` lines: one each, the first paragraph first, then by need."""
    given = [0] * len(wanted)
    while sum(given) < min(count, sum(wanted)):
        open_ = [at for at in range(len(wanted)) if given[at] < wanted[at]]
        at = min(open_, key=lambda at: (given[at], at))
        given[at] += 1
    return given


def _cut(
    words: _LabelText, lines: list[str], share: int, width: float, size: float, measure: Measure
) -> list[str]:
    if share >= len(lines):
        return lines
    if not share:
        return []
    if words.keep_end:
        kept = lines[-share:]
        first = cut_start(f"{lines[-share - 1]} {kept[0]}", width, size, measure, words.bold)
        return [first, *kept[1:]]
    kept = lines[:share]
    last = cut_end(f"{kept[-1]} {lines[share]}", width, size, measure, words.bold)
    return [*kept[:-1], last]


def _stacked(
    paragraphs: Sequence[_LabelText],
    lines: list[list[str]],
    area: Area,
    size: float,
    measure: Measure,
) -> list[Text]:
    boxes: list[Text] = []
    unsaid: list[str] = []
    pitch = size * MM_PER_POINT * LEADING
    for words, each in zip(paragraphs, lines, strict=True):
        shown = sum(len(line.replace(" ", "")) for line in each)
        short = shown < len(words.text.replace(" ", "")) or not each
        if words.one_line and each:
            short = False  # cut as the layout has it
        elif short or (each[-1].endswith("…") and not words.text.endswith("…")):
            unsaid.append(words.name)
        for line in each:
            y = area.y + len(boxes) * pitch
            boxes.append(text_at(area.x, y, line, size, measure, bold=words.bold))
    if unsaid and boxes:
        boxes[-1] = replace(boxes[-1], lost=f"cut to fit: {'; '.join(unsaid)}")
    return boxes


def _big_line(words: _LabelText, area: Area, height: float, measure: Measure) -> list[Text]:
    """Set one line as large as width and height allow; never cut: broken if it must be."""
    tall = CAPS + below_capitals(words.text) if words.caps else 1.0
    size = min(words.largest, height / (tall * MM_PER_POINT))
    width = measure(words.text, words.bold, 1.0)
    if width * size > area.width:
        size = area.width / width * (1 - 1e-9)
    if size < words.smallest - 1e-9:
        return _set_block([words], area, measure)
    caps = words.caps
    return [text_at(area.x, area.y, words.text, size, measure, bold=words.bold, caps=caps)]


def row(paragraphs: Sequence[_LabelText], area: Area, measure: Measure) -> list[Text]:
    """Set words side by side on one baseline, some of them at the right.

    Those at the right keep their largest size, if the others lose nothing by it. The others shrink
    together, then take their short words, then go from the end, which is said; what is never cut
    stays. The row's top is the top of ``area``.

    Raises:
        PrintError: no room for what is never cut.
    """
    small = [replace(each, largest=each.smallest) if each.right else each for each in paragraphs]
    needed = [each for each in small if each.never or not each.right]
    for words in (paragraphs, small):
        try:
            made = _row(words, area, measure)
        except PrintError:
            continue
        if not any(box.lost for box in made):
            return made
    try:
        return _row(small, area, measure)
    except PrintError:
        made = _row(needed, area, measure)
    names = [each.name for each in small if each not in needed]
    lost = "; ".join(filter(None, (made[-1].lost, f"no room for {' and '.join(names)}")))
    return [*made[:-1], replace(made[-1], lost=lost)]


def _row(paragraphs: Sequence[_LabelText], area: Area, measure: Measure) -> list[Text]:
    rights: list[Text] = []
    end = area.right
    for words in (each for each in paragraphs if each.right):
        rights.append(_at_right(words, area.x, end, measure))
        end = rights[-1].x - 1.8
    lefts = [each for each in paragraphs if not each.right]
    made = _lefts(lefts, area, end, measure) if lefts else []
    return _on_baseline([*made, *rights], area.y)


def _at_right(words: _LabelText, start: float, end: float, measure: Measure) -> Text:
    """Set words that end at ``end``: shrunk, then as their short words, then cut."""
    room = end - start
    text, lost = words.text, ""
    size = 0.0
    for text in filter(None, (words.text, words.short)):
        size = min(words.largest, room / max(1e-6, measure(text, words.bold, 1.0)))
        if size >= words.smallest - 1e-9:
            break
    else:
        if words.never:
            raise PrintError(f"no room for {words.text!r}: take a larger label")
        size = words.smallest
        text = cut_end(text, max(room, 2.0), size, measure, words.bold)
        lost = f"cut to fit: {words.name}"
    return text_at(
        end, 0, text, size, measure, bold=words.bold, caps=words.caps, right=True, lost=lost
    )


def _lefts(lefts: list[_LabelText], area: Area, end: float, measure: Measure) -> list[Text]:
    room = end - area.x
    for short in (False, True):
        texts = [(each.short or each.text) if short else each.text for each in lefts]
        width = sum(measure(text, each.bold, 1.0) for text, each in zip(texts, lefts, strict=True))
        for gap in (_GAP_IN_ROW, _CLOSE):
            most = (room - gap * (len(lefts) - 1)) / width if width else lefts[0].largest
            size = min(lefts[0].largest, int(most * 2) / 2)
            smallest = min(each.smallest for each in lefts)
            if size < smallest <= most:
                size = smallest
            if size >= smallest:
                return _side_by_side(texts, lefts, area.x, size, gap, measure)
    return _what_fits(texts, lefts, area.x, end, measure)


def _what_fits(
    texts: list[str], lefts: list[_LabelText], x: float, end: float, measure: Measure
) -> list[Text]:
    """Set what there is room for in the smallest type: what is never cut, then from the left."""
    smallest = min(each.smallest for each in lefts)
    kept = sorted(range(len(lefts)), key=lambda at: (not lefts[at].never, at))
    while kept:
        made = _side_by_side(
            [texts[at] for at in sorted(kept)],
            [lefts[at] for at in sorted(kept)],
            x,
            smallest,
            _CLOSE,
            measure,
        )
        if made[-1].x + made[-1].width <= end + 1e-9:
            break
        if lefts[kept[-1]].never:
            raise PrintError(f"no room for {texts[kept[-1]]!r}: take a larger label")
        kept.pop()
    else:
        text = cut_end(texts[0], max(end - x, 2.0), smallest, measure, lefts[0].bold)
        made = [text_at(x, 0, text, smallest, measure, bold=lefts[0].bold)]
    names = " and ".join(each.name for at, each in enumerate(lefts) if at not in kept)
    made[-1] = replace(made[-1], lost=f"no room for {names}")
    return made


def _side_by_side(
    texts: list[str], words: list[_LabelText], x: float, size: float, gap: float, measure: Measure
) -> list[Text]:
    made: list[Text] = []
    for text, each in zip(texts, words, strict=True):
        made.append(text_at(x, 0, text, size, measure, bold=each.bold))
        x += made[-1].width + gap
    return made


def _on_baseline(boxes: list[Text], top: float) -> list[Text]:
    baseline = max(box.baseline for box in boxes)
    return [replace(box, y=top + baseline - box.baseline) for box in boxes]


def _row_height(boxes: Sequence[Text], top: float) -> float:
    """Give the height of a row from its top."""
    return max(box.y + box.height for box in boxes) - top


_GAP = 1.2
"""Millimetres between what stands first in a line and its words."""
_BETWEEN = 2.5
"""Millimetres between columns."""
_LARGEST_RUN = 10.0
"""Points: type of a list that is run together."""


@dataclass(frozen=True, slots=True)
class _SetList:
    """A list as set: its boxes, how many lines it shows, and where it ends."""

    boxes: list[Box]
    shown: int
    end: float


@dataclass(frozen=True, slots=True)
class _Line:
    first: str
    what: str


def _set_list(
    listed: Sequence[Listed],
    area: Area,
    columns: int,
    measure: Measure,
    largest: float = 9.0,
    smallest: float = READ_SIZE,
    *,
    spill: bool = False,
) -> _SetList:
    """Set the lines, all of them if that is at all possible.

    They shrink, stand in up to so many columns, break over two lines, lose their least important
    words, are run together. What still does not fit is counted at the end, or with ``spill`` left
    for the next label.
    """
    if not listed:
        return _SetList([], 0, area.y)
    most = max(len(each.words) for each in listed)
    for detail in range(most):
        lines = [_Line(each.first, each.words[min(detail, len(each.words) - 1)]) for each in listed]
        whole = _whole(lines, area, columns, measure, largest, max(_WHOLE, smallest))
        if whole:
            return whole
        for size in _sizes(min(_WHOLE, largest), smallest):
            for number in range(1, columns + 1):
                made = _filled(lines, area, number, size, measure)
                if made.shown == len(lines):
                    return made
    if spill:
        bare = [_Line(each.first, each.words[-1]) for each in listed]
        tries = [_filled(bare, area, n, smallest, measure) for n in range(1, columns + 1)]
        return max(tries, key=lambda made: made.shown)
    page = Page(area, (), measure, max(smallest, min(largest, _LARGEST_RUN)), smallest)
    try:
        run = page.flow([_running_list(listed)])
    except PrintError:
        return _SetList([], 0, area.y)
    end = max((box.y + box.height for box in run.boxes), default=area.y)
    return _SetList([*run.boxes], len(listed) - run.counted, end)


def _sizes(largest: float, smallest: float) -> list[float]:
    sizes = []
    size = largest
    while size > smallest + 1e-9:
        sizes.append(size)
        size -= 0.5
    return [*sizes, smallest]


def _pitch(size: float) -> float:
    return size * MM_PER_POINT * LEADING


def _per_column(area: Area, size: float) -> int:
    unit = size * MM_PER_POINT
    return int((area.height - unit) / _pitch(size) + 1e-6) + 1 if area.height >= unit else 0


def _whole(
    lines: list[_Line],
    area: Area,
    columns: int,
    measure: Measure,
    largest: float,
    smallest: float,
) -> _SetList | None:
    """Set every line unbroken, at the largest size at which all fit; widths grow with the size."""
    first = max(measure(line.first, True, 1.0) for line in lines)
    what = max(measure(line.what, False, 1.0) for line in lines)
    for size in _sizes(largest, smallest):
        for number in range(1, columns + 1):
            width = (area.width - _BETWEEN * (number - 1)) / number
            if (first + what) * size + _GAP > width + 1e-9:
                break
            per_column = _per_column(area, size)
            if number * per_column < len(lines):
                continue
            boxes: list[Box] = []
            for at, line in enumerate(lines):
                column, row = divmod(at, per_column)
                x = area.x + column * (width + _BETWEEN) + first * size
                y = area.y + row * _pitch(size)
                boxes += [
                    text_at(x, y, line.first, size, measure, bold=True, right=True),
                    text_at(x + _GAP, y, line.what, size, measure),
                ]
            filled = min(len(lines), per_column)
            return _SetList(boxes, len(lines), area.y + filled * _pitch(size))
    return None


def _filled(lines: list[_Line], area: Area, number: int, size: float, measure: Measure) -> _SetList:
    """Fill columns from the top, breaking lines that are too long."""
    width = (area.width - _BETWEEN * (number - 1)) / number
    firsts = max(measure(line.first, True, size) for line in lines)
    room = width - firsts - _GAP
    per_column = _per_column(area, size)
    if room < 8 or not per_column:
        return _SetList([], 0, area.y)
    boxes: list[Box] = []
    column, row = 0, 0
    for shown, line in enumerate(lines):
        broken = wrap(line.what, room, size, measure) or [""]
        if row + len(broken) > per_column:
            column, row = column + 1, 0
            if column >= number or len(broken) > per_column:
                return _SetList(boxes, shown, area.bottom)
        x = area.x + column * (width + _BETWEEN) + firsts
        y = area.y + row * _pitch(size)
        boxes.append(text_at(x, y, line.first, size, measure, bold=True, right=True))
        boxes += [
            text_at(x + _GAP, y + at * _pitch(size), text, size, measure)
            for at, text in enumerate(broken)
        ]
        row += len(broken)
    end = area.bottom if column else area.y + row * _pitch(size)
    return _SetList(boxes, len(lines), end)


_FIELD = re.compile(r"\{([^{}]*)\}")
_HANGING = set("gjpqy,;()[]/")
"""What hangs below the line by more than a capital does: a place is called as a person likes."""
_BRACKETS = re.compile(r"\([^()]*\)")
_AFTER_BIG = 1.0
_BETWEEN_PARTS = 0.4
_AFTER_RULE = 0.9
_NAMES = {
    "steps": "the step",
    "pieces": "the count of pieces",
    "what": "what it is",
    "from": "from where to where",
    "measured": "what was measured",
}
_WRITE_SIZE = 8.0


@dataclass(frozen=True, slots=True)
class _Group:
    """Parts that are set together: a row, a block of paragraphs, or one part alone."""

    what: str
    part: LayoutPart
    words: tuple[_LabelText, ...] = ()
    joints: tuple[str, ...] = ()


def fill(
    parts: Sequence[LayoutPart],
    area: Area,
    fields: Fields,
    measure: Measure,
    *,
    colours: dict[str, str] | None = None,
    start: int = 0,
) -> Filled:
    """Fill an area from its top. ``start`` is the first line of a list that is not yet shown."""
    groups = _groups(parts, fields)
    made = Filled(end=area.y)
    fixed = {at: _height(group, area, measure) for at, group in enumerate(groups)}
    has_list = any(group.what == "list" for group in groups)
    later = [at for at, group in enumerate(groups) if group.part.if_room]
    for at, group in enumerate(groups):
        if at in later:
            continue
        after = [each for each in range(at + 1, len(groups)) if each not in later]
        waiting = sum(fixed[each] for each in after)
        if group.what == "big" and waiting:
            waiting += _AFTER_BIG
        left = area.bottom - made.end
        # what is never cut may take the lines of what can be
        never = left - sum(fixed[each] for each in after if groups[each].what != "block")
        # what comes first in the layout keeps a line, whatever still waits
        keeps = min(_line(group), left) if group.what == "block" else left - waiting
        rest = replace(area, y=made.end, height=max(left - waiting, keeps))
        if group.what == "big":
            _put_big(group, rest, max(rest.height, never), measure, made)
            continue
        welcome = [
            _welcome(groups[each], area, measure) for each in later if groups[each].what == "block"
        ]
        spares = [sum(welcome[:many]) for many in range(len(welcome), 0, -1)]
        _put(group, rest, fields, measure, made, has_list, colours or {}, start, spares)
        if has_list and group.what == "list":
            has_list = False
    _put_if_room([groups[at] for at in later], area, measure, made)
    return made


def least_height(
    parts: Sequence[LayoutPart], area: Area, fields: Fields, measure: Measure
) -> float:
    """Give the height that parts need in their smallest type, with one line of a list."""
    needed = (group for group in _groups(parts, fields) if not group.part.if_room)
    return sum(_height(group, area, measure) for group in needed)


def _line(group: _Group) -> float:
    """Give the height of one line of a block in its smallest type."""
    return min(words.smallest for words in group.words) * MM_PER_POINT * LEADING + 1e-6


def _put_big(group: _Group, rest: Area, most: float, measure: Measure, made: Filled) -> None:
    """Put words that are never cut: on a line as high as their share, or broken over ``most``."""
    (words,) = group.words
    height = max(rest.height * group.part.share, words.smallest * MM_PER_POINT)
    try:
        texts = _big_line(words, rest, height, measure)
    except PrintError:
        small = replace(words, largest=words.smallest)
        texts = _big_line(small, replace(rest, height=most), height, measure)
    made.boxes += texts
    made.end = max(box.y + box.height for box in texts) + _AFTER_BIG


def _put(
    group: _Group,
    rest: Area,
    fields: Fields,
    measure: Measure,
    made: Filled,
    has_list: bool,
    colours: dict[str, str],
    start: int,
    spares: Sequence[float],
) -> None:
    """Put a group. ``spares`` are heights that a list leaves free if it says as much in less, the
    most welcome first."""
    part = group.part
    if group.what == "row":
        texts = row(group.words, rest, measure)
        made.boxes += texts
        made.end += _row_height(texts, made.end) + _BETWEEN_PARTS
    elif group.what == "block":
        room = replace(rest, height=max(_line(group), rest.height * part.share))
        room = replace(room, height=min(room.height, rest.height))
        if has_list:
            room = replace(rest, height=rest.height - _for_list(group, fields, rest))
        texts = _block(group, room, measure) if room.height > 0 else []
        if not texts:
            made.unsaid += dict.fromkeys(words.name for words in group.words)
        made.boxes += texts
        made.end = max((box.y + box.height for box in texts), default=made.end) + _BETWEEN_PARTS
    elif group.what == "list":
        _put_list(part, fields.lists.get(part.text, ())[start:], rest, measure, made, spares)
    elif group.what == "ticks":
        boxes, made.end = _ticks(part, rest, measure)
        made.boxes += boxes
    elif group.what == "write":
        made.boxes += _write(part, rest.x, made.end, rest.width, measure)
        made.end += part.height
    elif group.what == "rule":
        made.boxes.append(Stripe(rest.x, made.end, rest.width, part.height))
        made.end += part.height + _AFTER_RULE
    elif group.what == "band" and fields.colour in colours:
        band = Stripe(rest.x, made.end, rest.width, part.height, colour=colours[fields.colour])
        made.boxes.append(band)
        made.end += part.height + _AFTER_RULE


def _put_list(
    part: LayoutPart,
    listed: Sequence[Listed],
    rest: Area,
    measure: Measure,
    made: Filled,
    spares: Sequence[float],
) -> None:
    """Put a list, in as little room as it is as well read in if something else is welcome there."""

    def within(area: Area) -> _SetList:
        return _set_list(
            listed, area, part.columns, measure, part.largest, part.smallest, spill=part.spill
        )

    set_ = within(rest)
    for spare in spares:
        if rest.height <= spare:
            continue
        closer = within(replace(rest, height=rest.height - spare))
        if _as_good(closer, set_):
            set_ = closer
            break
    made.boxes += set_.boxes
    made.end = set_.end
    if listed and not set_.boxes and not part.spill:
        made.unsaid.append("the list")
    rest_of_it = len(listed) - set_.shown
    made.left, made.counted = (rest_of_it, 0) if part.spill else (0, rest_of_it)


def _as_good(closer: _SetList, wider: _SetList) -> bool:
    """Tell whether a list in less room says every word of it, in type that is as well read."""
    texts = [box for box in closer.boxes if isinstance(box, Text)]
    said, meant = (
        " ".join(box.text for box in each.boxes if isinstance(box, Text)).split()
        for each in (closer, wider)
    )
    return (
        closer.shown == wider.shown
        and sorted(said) == sorted(meant)
        and all(box.size >= _WHOLE - 1e-9 and not box.lost for box in texts)
    )


def _for_list(group: _Group, fields: Fields, rest: Area) -> float:
    """Give the height that a list needs in its smallest type, but for a line of each paragraph."""
    lines = max((len(listed) for listed in fields.lists.values()), default=0)
    least = min(words.smallest for words in group.words) * MM_PER_POINT * LEADING
    others = len(group.words) * least + _BETWEEN_PARTS + 1e-6
    return max(0.0, min(rest.height - others, (lines + 0.5) * READ_SIZE * MM_PER_POINT * LEADING))


def _put_if_room(groups: list[_Group], area: Area, measure: Measure, made: Filled) -> None:
    """Put what is welcome but not needed at the bottom, as much of it as has room."""
    space = area.bottom - made.end
    groups = _with_room(groups, area, measure, space)
    heights = [_welcome(group, area, measure) for group in groups]
    while groups and sum(heights) > space + 1e-6:
        groups, heights = groups[:-1], heights[:-1]
    if not groups:
        return
    filler = next((group for group in groups if group.part.fill), None)
    extra = int((space - sum(heights)) / filler.part.height) if filler else 0
    y = area.bottom - sum(heights) - (extra * filler.part.height if filler else 0.0)
    for group in groups:
        if group.what == "ticks":
            boxes, y = _ticks(group.part, replace(area, y=y), measure)
            made.boxes += boxes
        elif group.what == "write":
            made.boxes += _write(group.part, area.x, y, area.width, measure)
            y += group.part.height
            if group is filler:
                for _ in range(extra):
                    blank = replace(group.part, text="")
                    made.boxes += _write(blank, area.x, y, area.width, measure)
                    y += group.part.height
        elif group.what == "rule":
            made.boxes.append(Stripe(area.x, y, area.width, group.part.height))
            y += group.part.height + _AFTER_RULE
        elif group.what == "block":
            height = _welcome(group, area, measure)
            made.boxes += _block(group, replace(area, y=y, height=height), measure)
            y += height
    made.end = area.bottom


def _with_room(groups: list[_Group], area: Area, measure: Measure, space: float) -> list[_Group]:
    """Leave out the texts that have no room as a whole: none of these is ever cut."""
    kept = []
    for group in groups:
        if group.what == "block":
            height = _welcome(group, area, measure)
            if height > space + 1e-6:
                continue
            space -= height
        kept.append(group)
    return kept


def _welcome(group: _Group, area: Area, measure: Measure) -> float:
    """Give the height of what is put only where there is room: of words, of all their lines."""
    if group.what != "block":
        return _height(group, area, measure)
    size = min(words.smallest for words in group.words)
    lines = sum(
        len(wrap(words.text, area.width, size, measure, words.bold)) for words in group.words
    )
    return lines * size * MM_PER_POINT * LEADING + _BETWEEN_PARTS


def _height(group: _Group, area: Area, measure: Measure) -> float:
    """Give the height that something takes whatever else there is: for words, their least."""
    part = group.part
    match group.what:
        case "ticks":
            height = _ticks(part, replace(area, y=0.0), measure)[1]
        case "write":
            height = part.height
        case "rule" | "band":
            height = part.height + _AFTER_RULE
        case "list":
            height = part.smallest * MM_PER_POINT * LEADING
        case "big":
            (words,) = group.words
            lines = CAPS + HOOK if words.caps else LEADING
            height = words.smallest * MM_PER_POINT * lines + _AFTER_BIG
        case "row":
            height = (
                _row_height(row(group.words, replace(area, y=0.0), measure), 0.0) + _BETWEEN_PARTS
            )
        case _:
            least = min(words.smallest for words in group.words)
            height = len(group.words) * least * MM_PER_POINT * LEADING + _BETWEEN_PARTS
    return height


# --- running text ---


def flow(
    parts: Sequence[LayoutPart],
    area: Area,
    blocks: Sequence[Area],
    fields: Fields,
    measure: Measure,
    *,
    start: int = 0,
) -> Filled:
    """Set parts as running text round what stands in the corners of an area.

    Raises:
        PrintError: no room for what is never left out.
    """
    running = [each for part in parts if (each := _running(part, fields, start))]
    if not running:
        return Filled(end=area.y)
    page = Page(
        area,
        tuple(blocks),
        measure,
        max(part.largest for part in parts),
        min(part.smallest for part in parts),
    )
    return page.flow(running)


_CUT_TO = (24, 12, 6)
"""Letters that are left of a text where it has no fewer words and no room."""


def _running(part: LayoutPart, fields: Fields, start: int) -> Running | None:
    """Give a part's ways to be said; None where it says nothing."""
    if part.what == "list":
        listed = fields.lists.get(part.text, ())[start:]
        return _running_list(listed, spill=part.spill) if listed else None
    words = _words(part, fields)
    if not words:
        return None
    first = words[0]
    fewer = [((said, first.bold),) for said in (first.short, first.least) if said]
    whole = tuple(((each.text, each.bold),) for each in words)
    made = list(dict.fromkeys([whole, *((each,) for each in fewer)]))
    cut_at = len(made)
    if part.if_room:
        cut_at = len(made) + 1
        made.append(())
    elif not fewer and not first.never:
        made += [
            tuple((((_cut_short(each.text, most, each.keep_end), each.bold),)) for each in words)
            for most in _CUT_TO
            if any(len(each.text) > most for each in words)
        ]
    return Running(
        tuple(made),
        first.name,
        kept=bool(_KEPT & set(part.fields)),
        welcome=part.if_room,
        matters=part.if_room and bool(fewer),
        with_count=first.never and part.if_room,
        needed=first.never and not part.if_room,
        cut_at=cut_at,
    )


def _running_list(listed: Sequence[Listed], *, spill: bool = False) -> Running:
    details = range(max(len(each.words) for each in listed))
    ways = tuple(tuple(as_running(each, detail) for each in listed) for detail in details)
    return Running(ways, "the list", listed=tuple(listed), spill=spill)


_KEPT = frozenset({"hazard", "mixed"})
"""Fields that are said in less after all others: what can hurt, and what must not be fitted."""


def _cut_short(text: str, most: int, keep_end: bool) -> str:
    if len(text) <= most:
        return text
    return f"{CUT}{text[-most:].lstrip()}" if keep_end else f"{text[:most].rstrip()}{CUT}"


# --- which parts are set together ---


def _groups(parts: Sequence[LayoutPart], fields: Fields) -> list[_Group]:
    groups: list[_Group] = []
    at = 0
    while at < len(parts):
        part = parts[at]
        at += 1
        if part.what != "text":
            if part.what != "list" or fields.lists.get(part.text):
                groups.append(_Group(part.what, part))
            continue
        together = [part]
        while at < len(parts) and parts[at].beside:
            together.append(parts[at])
            at += 1
        words = [each for one in together for each in _words(one, fields)]
        if not words:
            continue
        if len(together) > 1 or part.right:
            groups.append(_Group("row", part, tuple(words)))
        elif part.cut == "never":
            groups.append(_Group("big", part, tuple(words)))
        else:
            _add_block(groups, part, words)
    return groups


def _add_block(groups: list[_Group], part: LayoutPart, words: list[_LabelText]) -> None:
    """Begin a block, or go on with the one under way if its type is the same."""
    joints = (part.join,) * len(words)
    last = groups[-1] if groups else None
    if last and last.what == "block" and last.part.largest == part.largest:
        groups[-1] = replace(last, words=(*last.words, *words), joints=(*last.joints, *joints))
    else:
        groups.append(_Group("block", part, tuple(words), joints))


def _words(part: LayoutPart, fields: Fields) -> list[_LabelText]:
    """Give the paragraphs of a text; none where all its fields are empty."""
    name = next((_NAMES.get(each, f"the {each}") for each in part.fields), "words of the layout")
    if part.fields and not any(fields.words.get(each) for each in part.fields):
        return []
    short = least = ""
    if part.text == f"{{{part.fields[0]}}}" if part.fields else False:
        texts = fields.words[part.fields[0]]
        short = fields.short.get(part.fields[0], "")
        least = fields.least.get(part.fields[0], "")
    else:
        whole = _BRACKETS.sub(lambda found: found[0] if _says(found[0], fields) else "", part.text)
        said = _FIELD.sub(lambda found: "; ".join(fields.words.get(found[1], ())), whole)
        texts = (said.strip(),)
        if fields.short.keys() & set(part.fields):
            short = _FIELD.sub(
                lambda found: fields.short.get(found[1], "; ".join(fields.words.get(found[1], ()))),
                whole,
            ).strip()
    return [
        _LabelText(
            text,
            name,
            bold=part.bold,
            keep_end=part.cut == "start",
            short=short,
            least=least,
            right=part.right,
            largest=part.largest,
            smallest=part.smallest,
            caps=part.text == "{code}" and not set(text) & _HANGING,
            never=part.cut == "never",
            one_line=part.cut == "line",
        )
        for text in texts
    ]


def _says(text: str, fields: Fields) -> bool:
    """Whether a text has no field, or one that has words."""
    named = _FIELD.findall(text)
    return not named or any(fields.words.get(name) for name in named)


def _block(group: _Group, area: Area, measure: Measure) -> list[Text]:
    """Set paragraphs; where something is lost, run together what the layout says may be."""
    boxes = _set_block(group.words, area, measure)
    if _all_said(boxes, group.words):
        return boxes
    for words in _run_together(group):
        closer = _set_block(words, area, measure)
        if _all_said(closer, words):
            return closer
        if not any(box.lost for box in boxes):
            continue  # a word is broken, but all of it is there
        boxes = closer
    return boxes


def _all_said(boxes: Sequence[Text], words: Sequence[_LabelText]) -> bool:
    """Whether all words are there and none is broken in the middle."""
    return " ".join(box.text for box in boxes) == " ".join(each.text for each in words)


def _run_together(group: _Group) -> list[list[_LabelText]]:
    """Give the ways to set it closer: the first lines joined, then all that may be."""
    ways: list[list[_LabelText]] = []
    for most, shortened in ((1, False), (len(group.words), True)):
        words: list[_LabelText] = []
        joined = 0
        for each, joint in zip(group.words, group.joints, strict=True):
            if joint and joined < most and words and words[-1].bold == each.bold:
                last = words[-1]
                words[-1] = replace(each, text=f"{last.text}{joint}{each.text}")
                joined += 1
            elif each.short and shortened:
                if not words or words[-1].text != each.short:
                    words.append(replace(each, text=each.short))
            else:
                words.append(each)
        if words != list(group.words) and words not in ways:
            ways.append(words)
    return ways


# --- what a hand fills in ---


def _ticks(part: LayoutPart, area: Area, measure: Measure) -> tuple[list[Box], float]:
    """Squares to tick with their words, in as many rows as they need."""
    boxes: list[Box] = []
    size = max(READ_SIZE, min(part.largest, part.height / MM_PER_POINT))
    x, y = area.x, area.y + 0.4
    square = part.height
    for said in part.ticks:
        word = cut_end(said, area.width - square - 1.0, size, measure)
        width = square + 0.9 + measure(word, False, size)
        if x > area.x and x + width > area.right + 1e-6:
            x, y = area.x, y + square + 1.2
        text = text_at(x + square + 0.9, 0, word, size, measure)
        boxes.append(Tick(x, y, square, square))
        boxes.append(replace(text, y=y + max(0.0, (square - text.height) / 2)))
        x += width + 2.6
    return boxes, y + max(square, size * MM_PER_POINT) + 0.6


def _write(part: LayoutPart, x: float, y: float, width: float, measure: Measure) -> list[Box]:
    """A line to write on, with a word before it, so high that a hand can write on it."""
    bottom = y + part.height - 0.6
    if not part.text:
        return [Stripe(x, bottom, width, 0.12)]
    size = min(_WRITE_SIZE, part.largest)
    word = text_at(x, 0, cut_end(part.text, width * 0.6, size, measure), size, measure)
    # the word stands on the line; a "y" hangs below it, inside the height
    word = replace(word, y=bottom - word.height + 0.0)
    start = x + word.width + 0.8
    return [word, Stripe(start, bottom, max(1.0, x + width - start), 0.12)]
