"""The contents on a bag's label: every line whole, or counted as missing. Pure."""

from dataclasses import dataclass, replace

from stores.planning.bags import Bag, Content
from stores.printing.boxes import LEADING, MIN_SIZE, MM_PER_POINT, Area, Box, Measure, Rule, text_at
from stores.printing.fit import plain, wrap

__all__ = ["contents_of"]

_GAP = 1.2
"""Millimetres between things that stand side by side."""
_TIGHT = 1.08
"""Leading of small contents: one line more is worth it."""


@dataclass(frozen=True, slots=True)
class _Entry:
    """A line of the contents: the count, and what they are."""

    count: str
    what: str


def contents_of(
    bag: Bag, area: Area, columns: tuple[int, ...], measure: Measure, largest: float = 9.0
) -> list[Box]:
    """Set the contents, all of them if that is at all possible."""
    full = [_entry(bag, content, 2) for content in bag.contents]
    lean = [_entry(bag, content, 1) for content in bag.contents]
    bare = [_entry(bag, content, 0) for content in bag.contents]
    sizes = (9.0, 8.5, 8.0, 7.5, 7.0, 6.5, 6.0, MIN_SIZE)
    for entries in (full, lean, bare):
        for from_, to, whole in ((largest, 6.5, True), (6.5, MIN_SIZE, False)):
            for number in columns:
                for size in (size for size in sizes if to <= size <= from_):
                    boxes, shown, ends = _columns(entries, area, number, size, measure, whole)
                    if shown == len(entries):
                        return [*boxes, *_note(area, ends, measure)]
    best: list[Box] = []
    most = -1
    for number in columns:
        boxes, shown = _with_remainder(bare, area, number, measure)
        if shown > most:
            best, most = boxes, shown
    return best


def _entry(bag: Bag, content: Content, detail: int) -> _Entry:
    """Say count and size, and the condition if there are several; more as ``detail`` grows."""
    count = str(content.quantity)
    what = plain(content.item.as_found.text)
    extra = []
    if detail == 2 and content.item.position.strip():
        extra.append(plain(content.item.position))
    if detail and len(bag.steps) > 1 and content.item.step.number:
        extra.append(f"step {content.item.step.number}")
    if len(bag.conditions) > 1:
        extra.append(content.condition.value)
    return _Entry(count, f"{what} ({', '.join(extra)})" if extra else what)


def _columns(
    entries: list[_Entry],
    area: Area,
    number: int,
    size: float,
    measure: Measure,
    whole: bool,
) -> tuple[list[Box], int, float]:
    """Fill columns from the top; give the boxes, how many entries fitted, where the last ends.

    ``whole`` refuses to break an entry over two lines.
    """
    unit = size * MM_PER_POINT
    pitch = unit * (LEADING if size >= 7 else _TIGHT)
    gap = 2.5
    width = (area.width - gap * (number - 1)) / number
    counts = max(measure(entry.count, True, size) for entry in entries)
    room = width - counts - _GAP
    per_column = int((area.height - unit) / pitch + 1e-6) + 1 if area.height >= unit else 0
    if room < 8 or not per_column:
        return [], 0, area.y
    boxes: list[Box] = []
    column, line = 0, 0
    for shown, entry in enumerate(entries):
        lines = [entry.what] if whole else wrap(entry.what, room, size, measure) or [""]
        if whole and measure(entry.what, False, size) > room:
            return boxes, shown, area.y
        if line + len(lines) > per_column:
            column, line = column + 1, 0
            if column >= number or len(lines) > per_column:
                return boxes, shown, area.bottom
        x = area.x + column * (width + gap)
        y = area.y + line * pitch
        boxes.append(text_at(x + counts, y, entry.count, size, measure, bold=True, right=True))
        for at, text in enumerate(lines):
            boxes.append(text_at(x + counts + _GAP, y + at * pitch, text, size, measure))
        line += len(lines)
    end = area.bottom if column else area.y + line * pitch
    return boxes, len(entries), end


def _with_remainder(
    entries: list[_Entry], area: Area, number: int, measure: Measure
) -> tuple[list[Box], int]:
    """Show as many entries as fit above a line that counts the rest."""
    unit = MIN_SIZE * MM_PER_POINT
    body = replace(area, height=area.height - unit * _TIGHT)
    boxes, shown, _ = _columns(entries, body, number, MIN_SIZE, measure, False)
    rest = len(entries) - shown
    words = f"+ {rest} more line{'' if rest == 1 else 's'}"
    lost = f"{rest} of {len(entries)} lines of contents do not fit"
    more = text_at(area.x, area.bottom - unit, words, MIN_SIZE, measure, bold=True, lost=lost)
    return [*boxes, more], shown


def _note(area: Area, end: float, measure: Measure) -> list[Box]:
    """A line to write on, where the contents leave room for a hand."""
    if area.bottom - end < 6.2:
        return []
    word = text_at(area.x, 0, "Note", MIN_SIZE, measure)
    word = replace(word, y=area.bottom - 0.6 - word.baseline)
    start = word.x + word.width + 0.8
    return [word, Rule(start, area.bottom - 0.6, area.right - start, 0.12)]
