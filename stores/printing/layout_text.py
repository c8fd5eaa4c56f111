"""Setting words in an area of a label: shrunk, then broken, then cut with a mark. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stores.errors import PrintError
from stores.printing.boxes import CAPS, LEADING, MM_PER_POINT, Area, Measure, Text, text_at
from stores.printing.fit import cut_end, cut_start, wrap

__all__ = ["Words", "big_line", "row", "row_height", "set_block"]

_WHOLE = 6.5
"""Points: rather break a line than shrink it further."""
_GAP = 2.2
"""Millimetres between things that stand in one row."""
_CLOSE = 1.2
"""The same where room is short."""


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph. ``name`` is what a warning calls it when it is cut; ``short``: other words."""

    text: str
    name: str
    bold: bool = False
    keep_end: bool = False
    short: str = ""
    right: bool = False
    largest: float = 9.0
    smallest: float = 5.5
    caps: bool = False
    never: bool = False


_LARGE = 14.0
"""Points: type that is worth breaking a line for."""
_MUCH = 1.4


def set_block(paragraphs: Sequence[Words], area: Area, measure: Measure) -> list[Text]:
    """Set paragraphs one under the other, all in one size: shrunk, then broken, then cut."""
    if not paragraphs:
        return []
    largest = max(words.largest for words in paragraphs)
    smallest = min(words.smallest for words in paragraphs)
    widest = max(measure(words.text, words.bold, 1.0) for words in paragraphs)
    broken = _large(paragraphs, area, largest, widest, measure)
    if broken:
        return broken
    size = largest
    while size > max(_WHOLE, smallest) - 1e-9:
        pitch = size * MM_PER_POINT * LEADING
        if len(paragraphs) * pitch <= area.height + 1e-6 and widest * size <= area.width:
            return _stacked(paragraphs, [[words.text] for words in paragraphs], area, size, measure)
        size -= 0.5
    size = largest
    while True:
        count = int(area.height / (size * MM_PER_POINT * LEADING) + 1e-6)
        if len(paragraphs) <= count or size <= smallest:
            wrapped = [wrap(w.text, area.width, size, measure, w.bold) for w in paragraphs]
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
    paragraphs: Sequence[Words], area: Area, largest: float, widest: float, measure: Measure
) -> list[Text]:
    """Break lines where that gives much larger type, to be read from a step away; else nothing."""
    whole = min(area.width / widest, area.height / (len(paragraphs) * MM_PER_POINT * LEADING))
    words = [word for each in paragraphs for word in each.text.split()]
    longest = max((measure(word, paragraphs[0].bold, 1.0) for word in words), default=0.0)
    size = min(largest, area.width / longest * 0.98 if longest else largest)
    while size >= max(_LARGE, whole * _MUCH):
        lines = [wrap(w.text, area.width, size, measure, w.bold) for w in paragraphs]
        count = int(area.height / (size * MM_PER_POINT * LEADING) + 1e-6)
        if sum(len(each) for each in lines) <= count:
            return _stacked(paragraphs, lines, area, size, measure)
        size -= 0.5
    return []


def _shares(wanted: list[int], count: int) -> list[int]:
    """Share out ``count`` lines: one each, the first paragraph first, then by need."""
    given = [0] * len(wanted)
    while sum(given) < min(count, sum(wanted)):
        open_ = [at for at in range(len(wanted)) if given[at] < wanted[at]]
        at = min(open_, key=lambda at: (given[at], at))
        given[at] += 1
    return given


def _cut(
    words: Words, lines: list[str], share: int, width: float, size: float, measure: Measure
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
    paragraphs: Sequence[Words],
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
        if short or (each[-1].endswith("…") and not words.text.endswith("…")):
            unsaid.append(words.name)
        for line in each:
            y = area.y + len(boxes) * pitch
            boxes.append(text_at(area.x, y, line, size, measure, bold=words.bold))
    if unsaid and boxes:
        boxes[-1] = replace(boxes[-1], lost=f"cut to fit: {'; '.join(unsaid)}")
    return boxes


def big_line(words: Words, area: Area, height: float, measure: Measure) -> list[Text]:
    """Set one line as large as width and height allow; never cut: broken if it must be."""
    size = min(words.largest, height / ((CAPS if words.caps else 1.0) * MM_PER_POINT))
    width = measure(words.text, words.bold, 1.0)
    if width * size > area.width:
        size = area.width / width * (1 - 1e-9)
    if size < words.smallest and not (words.caps and size >= words.smallest * 0.75):
        return set_block([words], area, measure)
    caps = words.caps
    return [text_at(area.x, area.y, words.text, size, measure, bold=words.bold, caps=caps)]


def row(paragraphs: Sequence[Words], area: Area, measure: Measure) -> list[Text]:
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


def _row(paragraphs: Sequence[Words], area: Area, measure: Measure) -> list[Text]:
    rights: list[Text] = []
    end = area.right
    for words in (each for each in paragraphs if each.right):
        rights.append(_at_right(words, area.x, end, measure))
        end = rights[-1].x - 1.8
    lefts = [each for each in paragraphs if not each.right]
    made = _lefts(lefts, area, end, measure) if lefts else []
    return _on_baseline([*made, *rights], area.y)


def _at_right(words: Words, start: float, end: float, measure: Measure) -> Text:
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


def _lefts(lefts: list[Words], area: Area, end: float, measure: Measure) -> list[Text]:
    room = end - area.x
    for short in (False, True):
        texts = [(each.short or each.text) if short else each.text for each in lefts]
        width = sum(measure(text, each.bold, 1.0) for text, each in zip(texts, lefts, strict=True))
        for gap in (_GAP, _CLOSE):
            most = (room - gap * (len(lefts) - 1)) / width if width else lefts[0].largest
            size = min(lefts[0].largest, int(most * 2) / 2)
            smallest = min(each.smallest for each in lefts)
            if size < smallest <= most:
                size = smallest
            if size >= smallest:
                return _side_by_side(texts, lefts, area.x, size, gap, measure)
    return _what_fits(texts, lefts, area.x, end, measure)


def _what_fits(
    texts: list[str], lefts: list[Words], x: float, end: float, measure: Measure
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
    texts: list[str], words: list[Words], x: float, size: float, gap: float, measure: Measure
) -> list[Text]:
    made: list[Text] = []
    for text, each in zip(texts, words, strict=True):
        made.append(text_at(x, 0, text, size, measure, bold=each.bold))
        x += made[-1].width + gap
    return made


def _on_baseline(boxes: list[Text], top: float) -> list[Text]:
    baseline = max(box.baseline for box in boxes)
    return [replace(box, y=top + baseline - box.baseline) for box in boxes]


def row_height(boxes: Sequence[Text], top: float) -> float:
    """Give the height of a row from its top."""
    return max(box.y + box.height for box in boxes) - top
