"""One picture on an index sheet: the photograph, and the words that say what it shows. Pure."""

from dataclasses import dataclass, replace
from datetime import datetime

from stores.planning.pictures import Shot
from stores.printing.boxes import Area, Box, Frame, Measure, Picture, Text, text_at
from stores.printing.fit import cut_end, cut_start, plain, wrap
from stores.printing.paper import Words, column

__all__ = ["Cell", "absent", "cells_of", "file_name", "time_of"]

_GAP = 1.2
"""Millimetres between things that stand side by side."""
_NUMBER = 11.0
_CODES = ((12.0, 2), (10.0, 3), (8.0, 99))
"""Points that the bag codes are set in, and up to how many rows."""
_CLEAR = 0.8
"""Millimetres more between the number's frame and the codes under it."""
_SMALL = 8.5
_PATH = 7.0
_LINE = _SMALL * 25.4 / 72 * 1.22
"""Millimetres from one line of the caption to the next, as `column` sets it."""
_HEAD = 5.3
"""Millimetres for the number and one row of codes."""
_LEAST = 0.34
"""Of the cell: the picture is never lower, however many bags it shows."""
_WORDS = 0.5
"""Of the cell: how high the words may grow for a long caption."""
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands in one place of the grid, from 0, 0 at its own top left corner."""

    boxes: tuple[Box, ...]


def time_of(taken: str) -> str:
    """Say when a picture was taken, as short as can be.

    >>> time_of("2026-03-04T14:05:33"), time_of("2026-03-04"), time_of("")
    ('4 Mar 2026, 14:05', '4 Mar 2026', 'no time')
    """
    words = plain(taken)
    try:
        at = datetime.fromisoformat(words)
    except ValueError:
        return words or "no time"
    day = f"{at.day} {_MONTHS[at.month - 1]} {at.year}"
    return f"{day}, {at:%H:%M}" if len(words) > 10 else day


def file_name(shot_file: object) -> str:
    """Give a file's name or path so that it can be set and shown, whatever bytes are in it."""
    return plain(str(shot_file).encode(errors="replace").decode())


def cells_of(shot: Shot, width: float, height: float, measure: Measure, path: bool) -> list[Cell]:
    """Give the cell of a picture, and more of them where it shows more bags than one can name.

    ``path`` names the assembly in the cell, for sheets that no assembly heads.
    """
    number = _number(shot, "", measure)
    rest = [plain(code) for code in shot.bags if plain(code)]
    below = _below(shot, width, measure, path)
    fixed = _fixed(below)
    caption = _caption(shot)
    usual = max(2, min(6, int((height - width * 0.75 - fixed - _HEAD) / _LINE)))
    usual_height = _HEAD + fixed + usual * _LINE
    codes_height = height * (1 - _LEAST) - fixed - 1.3 - (_LINE if caption else 0.0)
    codes, rest = _codes(rest, number, width, codes_height, measure)
    first = max(box.y + box.height for box in (*number, *codes)) + 1.3
    words, end = _under(below, first, width, measure)
    if caption:
        room = max(usual_height, height * _WORDS)
        most = max(1, int((room - end) / _LINE + 0.05))
        said = Words(caption, _SMALL, False, most, f"picture {shot.number}, caption")
        more, end = column([said], 0, end, width, measure)
        words += more
    top = height - max(end, usual_height)
    picture = Picture(0, 0, width, top - 1.6, shot.file, shot.number)
    placed = [replace(box, y=box.y + top) for box in (*number, *codes, *words)]
    cells = [Cell((_shaped(picture, shot), *placed))]
    while rest:
        number = _number(shot, ", more bags", measure)
        codes, rest = _codes(rest, number, width, height, measure)
        cells.append(Cell((*number, *codes)))
    return cells


def _shaped(picture: Picture, shot: Shot) -> Picture:
    """Bring the box to the picture's own shape, turned upright, in the middle of its room."""
    wide, high = shot.width, shot.height
    if wide < 1 or high < 1:
        return picture
    if shot.turn in range(5, 9):
        wide, high = high, wide
    scale = min(picture.width / wide, picture.height / high)
    width, height = wide * scale, high * scale
    x, y = (picture.width - width) / 2, (picture.height - height) / 2
    return replace(picture, x=picture.x + x, y=picture.y + y, width=width, height=height)


def _number(shot: Shot, more: str, measure: Measure) -> list[Box]:
    """The picture's number in a frame, so that it is not taken for a bag's code."""
    size = _NUMBER if not more else 9.0
    text = text_at(1.1, 0.9, f"{shot.number}{more}", size, measure, bold=True, caps=True)
    return [Frame(0.15, 0.15, text.width + 1.9, text.y + text.height + 0.75, 0.3, 0.6), text]


def _codes(
    codes: list[str],
    number: list[Box],
    width: float,
    room: float,
    measure: Measure,
) -> tuple[list[Text], list[str]]:
    """Set the bags' codes beside the number and under it; give what found no room."""
    start = number[0].x + number[0].width + 2.0
    first = number[1].y + number[1].height
    boxes: list[Text] = []
    for size, most in _CODES:
        boxes, rows = [], 1
        pitch = max(text_at(0, 0, "J", size, measure, caps=True).height + 1.0, size * 0.4)
        x, left = start, list(codes)
        while left:
            parts = wrap(left[0], width, size, measure, bold=True)
            row: list[Text] = []
            for at, part in enumerate(parts):
                wide = measure(part, True, size)
                if at or (x > 0 and x + wide > width + 1e-6):
                    x, rows = 0.0, rows + 1
                box = text_at(x, 0, part, size, measure, bold=True, caps=True)
                y = first + (rows - 1) * pitch - box.baseline
                row.append(replace(box, y=max(0.0, y + (_CLEAR if rows > 1 else 0.0))))
                x += wide + 2.4
            if row[-1].y + row[-1].height > room and boxes:
                break
            boxes += row
            left.pop(0)
        if not left and rows <= most:
            return boxes, []
    return boxes, left


def _below(shot: Shot, width: float, measure: Measure, path: bool) -> list[list[Text]]:
    """The rows under the number: step and time, and the assembly where no heading has it."""
    name = f"Step {shot.step}" if shot.step else "no step"
    step = text_at(0, 0, name, _SMALL, measure, bold=True)
    when = cut_end(time_of(shot.taken), width, _SMALL, measure)
    time = text_at(width, 0, when, _SMALL, measure, right=True)
    rows = [[step, time]] if step.width + _GAP <= time.x else [[step], [time]]
    if path and plain(shot.assembly):
        words = cut_start(plain(shot.assembly), width, _PATH, measure)
        rows.append([text_at(0, 0, words, _PATH, measure)])
    return rows


def _fixed(rows: list[list[Text]]) -> float:
    """Give the height of the rows between the number and the caption, in mm."""
    return sum(row[0].height * 1.22 for row in rows)


def _under(
    rows: list[list[Text]], y: float, width: float, measure: Measure
) -> tuple[list[Text], float]:
    boxes: list[Text] = []
    for row in rows:
        boxes += [replace(box, y=y) for box in row]
        y += row[0].height * 1.22
    return boxes, y


def _caption(shot: Shot) -> str:
    return ": ".join(words for words in (plain(shot.part), plain(shot.caption)) if words)


def absent(picture: Picture, reason: str, measure: Measure) -> list[Box]:
    """Say in the picture's place that it is not there, and which file it was."""
    room = Area(picture.x + 1.5, picture.y + 1.5, picture.width - 3.0, picture.height - 3.0)
    edge = Frame(picture.x, picture.y, picture.width, picture.height, 0.3)
    name = file_name(picture.file.name)
    boxes: list[Box] = [edge]
    said = wrap(f"Picture {reason}", room.width, _SMALL, measure, True)
    lines = [(line, True) for line in said]
    lines += [(line, False) for line in wrap(name, room.width, _SMALL, measure)]
    y = room.y
    for at, (line, bold) in enumerate(lines):
        last = y + 2 * _LINE > room.bottom and at + 1 < len(lines)
        words = cut_end(f"{line} …", room.width, _SMALL, measure, bold) if last else line
        if y + _SMALL * 25.4 / 72 > room.bottom:
            break
        boxes.append(text_at(room.x, y, words, _SMALL, measure, bold=bold))
        if last:
            break
        y += _LINE
    return boxes
