"""A list on a label: every line whole, or counted as missing. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stores.printing.boxes import LEADING, MIN_SIZE, MM_PER_POINT, Area, Box, Measure, text_at
from stores.printing.fit import wrap
from stores.printing.label_values import Listed

__all__ = ["SetList", "set_list"]

_GAP = 1.2
"""Millimetres between what stands first in a line and its words."""
_BETWEEN = 2.5
"""Millimetres between columns."""
_TIGHT = 1.08
"""Leading of small contents: one line more is worth it."""


@dataclass(frozen=True, slots=True)
class SetList:
    """A list as set: its boxes, how many lines it shows, and where it ends."""

    boxes: list[Box]
    shown: int
    end: float


@dataclass(frozen=True, slots=True)
class _Line:
    first: str
    what: str


def set_list(
    listed: Sequence[Listed],
    area: Area,
    columns: int,
    measure: Measure,
    largest: float = 9.0,
    smallest: float = MIN_SIZE,
    *,
    spill: bool = False,
) -> SetList:
    """Set the lines, all of them if that is at all possible.

    They shrink, stand in up to so many columns, break over two lines, lose their least important
    words. What still does not fit is counted in a last line, or with ``spill`` left for the next
    label.
    """
    if not listed:
        return SetList([], 0, area.y)
    most = max(len(each.words) for each in listed)
    for detail in range(most):
        lines = [_Line(each.first, each.words[min(detail, len(each.words) - 1)]) for each in listed]
        whole = _whole(lines, area, columns, measure, largest, max(6.5, smallest))
        if whole:
            return whole
        for size in _sizes(min(6.5, largest), smallest):
            for number in range(1, columns + 1):
                made = _filled(lines, area, number, size, measure)
                if made.shown == len(lines):
                    return made
    bare = [_Line(each.first, each.words[-1]) for each in listed]
    if spill:
        tries = [_filled(bare, area, n, smallest, measure) for n in range(1, columns + 1)]
        return max(tries, key=lambda made: made.shown)
    counted = [_with_remainder(bare, area, n, measure) for n in range(1, columns + 1)]
    return max(counted, key=lambda made: made.shown)


def _sizes(largest: float, smallest: float) -> list[float]:
    sizes = []
    size = largest
    while size > smallest + 1e-9:
        sizes.append(size)
        size -= 0.5
    return [*sizes, smallest]


def _pitch(size: float) -> float:
    return size * MM_PER_POINT * (LEADING if size >= 7 else _TIGHT)


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
) -> SetList | None:
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
            return SetList(boxes, len(lines), area.y + filled * _pitch(size))
    return None


def _filled(lines: list[_Line], area: Area, number: int, size: float, measure: Measure) -> SetList:
    """Fill columns from the top, breaking lines that are too long."""
    width = (area.width - _BETWEEN * (number - 1)) / number
    firsts = max(measure(line.first, True, size) for line in lines)
    room = width - firsts - _GAP
    per_column = _per_column(area, size)
    if room < 8 or not per_column:
        return SetList([], 0, area.y)
    boxes: list[Box] = []
    column, row = 0, 0
    for shown, line in enumerate(lines):
        broken = wrap(line.what, room, size, measure) or [""]
        if row + len(broken) > per_column:
            column, row = column + 1, 0
            if column >= number or len(broken) > per_column:
                return SetList(boxes, shown, area.bottom)
        x = area.x + column * (width + _BETWEEN) + firsts
        y = area.y + row * _pitch(size)
        boxes.append(text_at(x, y, line.first, size, measure, bold=True, right=True))
        boxes += [
            text_at(x + _GAP, y + at * _pitch(size), text, size, measure)
            for at, text in enumerate(broken)
        ]
        row += len(broken)
    end = area.bottom if column else area.y + row * _pitch(size)
    return SetList(boxes, len(lines), end)


def _with_remainder(lines: list[_Line], area: Area, number: int, measure: Measure) -> SetList:
    """Show as many lines as fit above one that counts the rest."""
    unit = MIN_SIZE * MM_PER_POINT
    body = replace(area, height=area.height - unit * _TIGHT)
    made = _filled(lines, body, number, MIN_SIZE, measure)
    rest = len(lines) - made.shown
    words = f"+ {rest} more line{'' if rest == 1 else 's'}"
    lost = f"{rest} of {len(lines)} lines of contents do not fit"
    more = text_at(area.x, area.bottom - unit, words, MIN_SIZE, measure, bold=True, lost=lost)
    return SetList([*made.boxes, more], made.shown, area.bottom)
