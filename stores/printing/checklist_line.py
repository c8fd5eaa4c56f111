"""One item of the rebuild checklist: a tick, what it is, where it lies, how tight it goes. Pure."""

from dataclasses import replace

from stores.planning.rebuild import Line
from stores.printing.boxes import Box, Measure, Rule, Text, Tick, text_at
from stores.printing.fit import cut_end, plain, wrap
from stores.printing.paper import LEFT, RIGHT, WIDTH, Slab, Words, column

__all__ = ["AIR", "TICK", "WHAT", "WHERE", "line_row", "tick", "write_on"]

TICK = 7.0
"""Millimetres: what is ticked with a thick pencil and dirty hands."""
AIR = 1.6
"""Millimetres of white above what stands in a row."""
_REF = LEFT + 9.2
_COUNT = LEFT + 28.0
WHAT = LEFT + 30.5
_WHAT_WIDTH = 70.0
WHERE = LEFT + 103.0
_WHERE_WIDTH = 41.0
"""Millimetres beside a torque; without one a place may run to the edge."""
_TORQUE = RIGHT - 34.0
_PLACE_PITCH = 4.9
_MOST_PLACES = 24
_NEXT = 7.5
"""Millimetres from a figure down to the line to write on: room for a hand."""


def tick(done: bool, top: float = AIR) -> Tick:
    """Give the square of a row."""
    return Tick(LEFT + 0.4, top, TICK, TICK, done)


def line_row(line: Line, measure: Measure) -> Slab:
    """Give the row: tick, reference, count, what and where it goes, where it lies, torque."""
    item = line.item
    boxes: list[Box] = [Rule(LEFT, 0, WIDTH, 0.1), tick(line.finished)]
    ref = text_at(_REF, AIR + 0.9, item.ref, 8.0, measure)
    number = str(item.wanted)
    count_size = 13.0
    while count_size > 5.5 and measure(number, True, count_size) > _COUNT - ref.x - ref.width - 1.0:
        count_size -= 0.5
        if count_size < 8:
            ref = text_at(_REF, AIR + 0.9, item.ref, 5.5, measure)
    boxes.append(ref)
    count = text_at(_COUNT, 0, number, count_size, measure, bold=True, right=True)
    baseline = AIR + 4.1
    boxes.append(replace(count, y=baseline - count.baseline))
    texts, end = column(_said(line), WHAT, AIR + 1.05, _WHAT_WIDTH, measure)
    boxes += texts
    places, places_end = _places(line, AIR + 1.05, measure)
    boxes += places
    torque, torque_end = _torque(line, baseline, measure)
    boxes += torque
    return Slab(tuple(boxes), max(end, places_end, torque_end, AIR + TICK) + 1.4)


def _said(line: Line) -> list[Words]:
    """What it is, where it goes, what to mind, what goes in with it, whence its torque."""
    item = line.item
    said = [Words(plain(item.as_specified.text), 11.0, True, 12, f"{item.ref}, what")]
    if item.position.strip():
        said.append(Words(plain(item.position), 9.0, False, 6, f"{item.ref}, position"))
    if 0 < item.fitted < item.wanted:
        said.append(Words(f"{item.fitted} on the machine already", 9.0))
    flags = " · ".join(plain(flag) for flag in line.flags)
    if flags and not line.done:
        said.append(Words(flags, 9.0, True, 10, f"{item.ref}, flags"))
    said += [
        Words(plain(f"With {each.text}"), 10.0, True, 4, f"{item.ref}, {each.kind}")
        for each in line.applied
    ]
    return said + _torque_words(line)


def _torque_words(line: Line) -> list[Words]:
    """What a torque comes from: the maker's figure, else the general one; and what to mind."""
    if line.tight is None or line.finished:
        return []
    said = line.tight.basis or line.tight.general
    words = [Words(plain(f"Torque: {said}"), 8.5, False, 4)] if said else []
    return words + [
        Words(plain(f"Torque: {caution}"), 8.5, True, 4) for caution in line.tight.cautions
    ]


def write_on(start: float, end: float, baseline: float, unit: str, measure: Measure) -> list[Box]:
    """Give a line to write a value on, and its unit behind it."""
    boxes: list[Box] = []
    if unit:
        words = text_at(end, 0, unit, 9.5, measure, right=True)
        boxes.append(replace(words, y=baseline - words.baseline))
        end = words.x - 1.2
    return [*boxes, Rule(start, baseline + 0.4, max(1.0, end - start), 0.2)]


def _torque(line: Line, baseline: float, measure: Measure) -> tuple[list[Box], float]:
    """The maker's figure, and a line to write on what was put on; boxes and where they end."""
    if line.tight is None or line.finished:
        return [], 0.0
    if not line.tight.figure:
        return write_on(_TORQUE, RIGHT, baseline, "N m", measure), baseline + 1.0
    unit = text_at(RIGHT, 0, "N m", 9.5, measure, right=True)
    end = unit.x - 1.2
    size = 13.0
    while size > 8.0 and measure(line.tight.figure, True, size) > end - _TORQUE:
        size -= 0.5
    figure = text_at(end, 0, line.tight.figure, size, measure, bold=True, right=True)
    below = baseline + _NEXT
    on = text_at(_TORQUE, 0, "put on", 8.0, measure)
    boxes: list[Box] = [
        replace(unit, y=baseline - unit.baseline),
        replace(figure, y=baseline - figure.baseline),
        replace(on, y=below - on.baseline),
        *write_on(on.x + on.width + 1.2, RIGHT, below, "N m", measure),
    ]
    return boxes, below + 1.0


def _places(line: Line, y: float, measure: Measure) -> tuple[list[Box], float]:
    """Where to take the pieces from, each place on its own lines, bag codes large."""
    ref = line.item.ref
    codes = frozenset(line.item.bags)
    room = _WHERE_WIDTH if line.tight and not line.finished else RIGHT - WHERE
    rows: list[list[Text]] = []
    if line.done:
        on = "on the machine" + (f", {line.left.words}" if line.left else "")
        when = f", {line.left.date}" if line.left and line.left.date else ""
        said = wrap(plain(on + when), room, 9.0, measure)
        rows += [[text_at(WHERE, 0, words, 9.0, measure)] for words in said[:4]]
    for at, place in enumerate(() if line.done else line.sources):
        more = _place(place, codes, room, f"cut to fit: {ref}, place", measure)
        if len(rows) + len(more) > _MOST_PLACES:
            rest = len(line.sources) - at
            words = f"+ {rest} more place{'' if rest == 1 else 's'}"
            lost = f"{ref}: {rest} of {len(line.sources)} places do not fit"
            rows.append([text_at(WHERE, 0, words, 9.0, measure, bold=True, lost=lost)])
            break
        rows += more
    if not line.sources and not line.done:
        rows.append([text_at(WHERE, 0, "nothing in hand", 9.0, measure)])
    boxes: list[Box] = [
        replace(box, y=y + at * _PLACE_PITCH + 3.05 - box.baseline)
        for at, row in enumerate(rows)
        for box in row
    ]
    return boxes, y + len(rows) * _PLACE_PITCH


def _place(
    place: str, codes: frozenset[str], room: float, cut: str, measure: Measure
) -> list[list[Text]]:
    """Set one place in at most three rows of words."""
    rows: list[list[Text]] = [[]]
    for word in plain(place).split():
        bold = word.strip("(),;") in codes
        size = 12.0 if bold else 9.0
        for part in wrap(word, room, size, measure, bold):
            last = rows[-1][-1] if rows[-1] else None
            box = text_at(
                last.x + last.width + 1.1 if last else WHERE, 0, part, size, measure, bold=bold
            )
            if last and box.x + box.width > WHERE + room:
                rows.append([])
                box = replace(box, x=WHERE)
            rows[-1].append(box)
    if len(rows) > 3:
        words = " ".join(box.text for box in rows[2]) + " …"
        words = cut_end(words, room, 9.0, measure)
        rows = [*rows[:2], [text_at(WHERE, 0, words, 9.0, measure, lost=cut)]]
    return rows
