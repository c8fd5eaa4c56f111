"""The rebuild as a checklist on paper, to be ticked with oily hands; its summary on a page.

Boxes are laid out purely; none of a step's rows is divided between pages.

The code on the checklist is the bag code alone, 21 modules of 0.5 mm (4 dots at 203 dpi): a scanner
types its contents into a shell, where a second line would be a second command. Where a bag holds
pieces of other steps the checklist says so beside the code: a scan refits them all.

The summary is one page always: what lies deep in the tree is added up until it fits.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from stores.errors import PrintError
from stores.handbook.tightening.order import Plan
from stores.model.items import Job
from stores.model.snags import Snag
from stores.model.work_units import chosen
from stores.planning.assembling import Applied, CheckPoint, Role
from stores.planning.figures import Fill, what_goes_in
from stores.planning.rebuild import (
    Flag,
    HeldUp,
    Line,
    Progress,
    Stage,
    access_words,
    progress,
    total,
)
from stores.planning.status import State
from stores.printing.boxes import (
    READ_SIZE,
    Box,
    Code,
    Frame,
    Measure,
    Stripe,
    Text,
    Tick,
    cut_end,
    moved,
    plain,
    text_at,
    wrap,
)
from stores.printing.files import Printed
from stores.printing.joint_field import joint_picture
from stores.printing.pages import (
    LEFT,
    RIGHT,
    WIDTH,
    Flow,
    Slab,
    Words,
    column,
    counted_at,
    counted_width,
)
from stores.printing.qr import QUIET_MODULES, code_box, side
from stores.text import day_words, plural

__all__ = [
    "CAUTION",
    "HOW",
    "layout_checklist",
    "layout_summary",
    "write_checklist",
    "write_summary",
]


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
_ROOM_FOR_A_HAND = 5.2
"""Millimetres from the name of a line to write on down to the line."""


def tick(done: bool, top: float = AIR) -> Tick:
    """Give the square of a row."""
    return Tick(LEFT + 0.4, top, TICK, TICK, done)


def _line_row(line: Line, measure: Measure, flag: Callable[[Flag], str]) -> Slab:
    """Give the row: tick, reference, count, what and where it goes, where it lies, torque."""
    item = line.item
    boxes: list[Box] = [Stripe(LEFT, 0, WIDTH, 0.1), tick(line.finished)]
    ref = text_at(_REF, AIR + 0.9, item.ref, 8.0, measure)
    baseline = AIR + 4.1
    room = _COUNT - ref.x - ref.width - 2.0
    below = counted_width(str(item.wanted), 10.0, measure) > room
    if below:  # side by side "123.4" and "144" would read as one number
        ref, room = replace(ref, y=baseline + 1.2), _COUNT - _REF
    many = counted_at(_COUNT, baseline, str(item.wanted), 13.0, measure, room=room)
    boxes += [ref, *many]
    texts, end = column(_said(line, flag), WHAT, AIR + 1.05, _WHAT_WIDTH, measure)
    boxes += texts
    places, places_end = _places(line, AIR + 1.05, measure)
    boxes += places
    torque, torque_end = _torque(line, baseline, measure)
    boxes += torque
    return Slab(tuple(boxes), max(end, places_end, torque_end, AIR + TICK) + 1.4)


def _said(line: Line, flag: Callable[[Flag], str]) -> list[Words]:
    """What it is, where it goes, what to mind, what goes in with it, whence its torque."""
    item = line.item
    said = [Words(plain(item.as_specified.text), 11.0, True, 12, f"{item.ref}, what")]
    if item.position.strip():
        said.append(Words(plain(item.position), 9.0, False, 6, f"{item.ref}, position"))
    if item.stack:
        said.append(
            Words(plain(f"In order: {item.stack.words}"), 10.0, True, 6, f"{item.ref}, stack")
        )
    if 0 < item.fitted < item.wanted:
        said.append(Words(f"{item.fitted} on the machine already", 9.0))
    if item.work_done:
        told = "; ".join(item.work_done)
        said.append(Words(plain(told), 9.0, False, 6, f"{item.ref}, work done"))
    flags = " · ".join(plain(flag(each)) for each in line.flags)
    if flags and not line.done:
        said.append(Words(flags, 9.0, True, 10, f"{item.ref}, flags"))
    said += [
        Words(plain(f"With {each.words}"), 10.0, True, 4, f"{item.ref}, {each.kind}")
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
        Words(plain(f"Torque: {chosen().turned(caution)}"), 8.5, True, 4)
        for caution in line.tight.cautions
    ]


def _write_on(start: float, end: float, baseline: float, unit: str, measure: Measure) -> list[Box]:
    """Give a line to write a value on, and its unit behind it."""
    boxes: list[Box] = []
    if unit:
        words = text_at(end, 0, unit, 9.5, measure, right=True)
        boxes.append(replace(words, y=baseline - words.baseline))
        end = words.x - 1.2
    return [*boxes, Stripe(start, baseline + 0.4, max(1.0, end - start), 0.2)]


def _torque(line: Line, baseline: float, measure: Measure) -> tuple[list[Box], float]:
    """The maker's figure, and a line to write on what it was tightened to; boxes and their end."""
    if line.tight is None or line.finished or not line.tight.takes_torque:
        return [], 0.0
    if not line.tight.figure:
        return _tightened_to(AIR + 0.3, measure)
    unit = text_at(RIGHT, 0, chosen().torque, 9.5, measure, right=True)
    end = unit.x - 1.2
    size = 13.0
    while size > 8.0 and measure(line.tight.figure, True, size) > end - _TORQUE:
        size -= 0.5
    figure = text_at(end, 0, line.tight.figure, size, measure, bold=True, right=True)
    below, end = _tightened_to(baseline + 1.8, measure)
    boxes: list[Box] = [
        replace(unit, y=baseline - unit.baseline),
        replace(figure, y=baseline - figure.baseline),
        *below,
    ]
    return boxes, end


def _tightened_to(top: float, measure: Measure) -> tuple[list[Box], float]:
    """A line to write a torque on, as long as its column, its name above."""
    name = text_at(_TORQUE, top, "tightened to", 8.0, measure)
    line = top + name.baseline + _ROOM_FOR_A_HAND
    return [name, *_write_on(_TORQUE, RIGHT, line, chosen().torque, measure)], line + 1.0


def _places(line: Line, y: float, measure: Measure) -> tuple[list[Box], float]:
    """Where to take the pieces from, each place on its own lines, bag codes large."""
    ref = line.item.ref
    codes = frozenset(line.item.bags)
    to_write = line.tight and line.tight.takes_torque and not line.finished
    room = _WHERE_WIDTH if to_write else RIGHT - WHERE
    rows: list[list[Text]] = []
    if line.done:
        on = "on the machine" + (f", {line.left.words}" if line.left else "")
        when = f", {day_words(line.left.date)}" if line.left and line.left.date else ""
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
        rows.append([text_at(WHERE, 0, "none in stock", 9.0, measure)])
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


Shared = Mapping[str, Sequence[int]]
"""The steps on the list that a bag holds pieces of."""

_TITLE_TOP = 2.2
_WIDE = 92.0
"""Millimetres for the words of a row that has a line to write on at its right."""
_PICTURE = (82.0, 46.0)
"""Millimetres: width and height of a joint's picture."""
_MANY = 12
"""Holes up to which it stays so low."""
_CODE = 10.5
"""Millimetres: 21 modules of 0.5 mm, which is 4 dots of a 203 dpi printer."""
_CODE_STEP = 15.4
"""Millimetres from one row of codes to the next: the code, and its white above and below."""
_LETTERS = 14
"""Bytes that version 1 holds at level M: ISO/IEC 18004:2015, table 7."""
_BY_TITLE = 2
"""So many codes stand beside the title; more get rows of their own."""
_SIGNED_HEIGHT = 9.5


def heading(stage: Stage, shared: Shared, measure: Measure, standing: str) -> Slab:
    """Step, part, assembly and the codes of its bags; then hazard, note and cautions. ``standing``
    says what the step waits for or still owes."""
    step = stage.step
    boxes, y = _title(stage, "", measure, shared, standing)
    if step.hazard.strip():
        words = Words(f"Hazard: {plain(step.hazard)}", 11.5, True, 6, f"step {step.number}, hazard")
        slab = _framed([words], y + 1.0, measure)
        boxes += slab.boxes
        y = slab.height + 1.0
    paragraphs = []
    if stage.notes.access_only:
        paragraphs.append(Words(access_words(stage), 9.0, True))
    if step.note.strip():
        paragraphs.append(
            Words(f"Note: {plain(step.note)}", 9.0, False, 14, f"step {step.number}, note")
        )
    small, y = column(paragraphs, WHAT, y + 0.6, RIGHT - WHAT, measure)
    boxes += small
    more, y = _cautions(stage, y, measure)
    return Slab((*boxes, *more), y + 1.0)


def _cautions(stage: Stage, y: float, measure: Measure) -> tuple[list[Box], float]:
    """What can hurt, beside a thick bar and larger than all that a line says of its pieces."""
    if not stage.cautions:
        return [], y
    top = y + 0.8
    words = [Words(plain(caution), 11.0, True) for caution in stage.cautions]
    texts, end = column(words, WHAT + 3.2, top, RIGHT - WHAT - 3.2, measure)
    return [Stripe(WHAT, top, 1.4, end - top - 0.6), *texts], end


def _heading_again(stage: Stage, measure: Measure) -> Slab:
    """The short heading on the next page: step, part, and the hazard once more."""
    boxes, y = _title(stage, " (continued)", measure, {})
    if stage.step.hazard.strip():
        words = Words(f"Hazard: {plain(stage.step.hazard)}", 9.0, True, 2)
        more, y = column([words], LEFT, y + 0.4, WIDTH, measure)
        boxes += [replace(box, lost="") for box in more]  # the warning was given the first time
    return Slab(tuple(boxes), y + 1.0)


def _framed(paragraphs: list[Words], y: float, measure: Measure) -> Slab:
    """Give paragraphs in a frame as wide as the page."""
    inner, end = column(paragraphs, LEFT + 3.0, y + 1.8, WIDTH - 6.0, measure)
    frame = Frame(LEFT + 0.3, y, WIDTH - 0.6, end + 0.9 - y, 0.6, 0.8)
    return Slab((frame, *inner), end + 0.9)


def _step_rows(
    stage: Stage, measure: Measure, flag: Callable[[Flag], str]
) -> tuple[list[Slab], range]:
    """Give the rows of a step in the order of work, none of which is divided between pages; and
    which of them are a joint: from its first bolt to the picture of how it is tightened."""
    rows = [snag_row(snag, measure) for snag in stage.snags]
    if stage.job:
        rows.append(_job_row(stage.job, measure))
    rows += [_applied_row(each, stage, measure) for each in stage.applied]
    bolts = [at for at, line in enumerate(stage.lines, len(rows)) if line.tight]
    rows += [_line_row(line, measure, flag) for line in stage.lines]
    joint = range(0)
    if stage.joint and not stage.finished:
        joint = range(bolts[0] if bolts else len(rows), len(rows) + 1)
        rows.append(_joint(stage.joint, stage.holes_doubt, _contents(stage), measure))
    rows += [_point_row(point, measure) for point in stage.notes.points]
    last = rows.pop() if rows else Slab((), 0.0)
    for role in (Role.FITTED, Role.SECOND) if stage.safety else (Role.FITTED,):
        last = _joined(last, _signature(role, stage, measure))
    return [*rows, last], joint


def _title(
    stage: Stage, more: str, measure: Measure, shared: Shared, standing: str = ""
) -> tuple[list[Box], float]:
    step = stage.step
    number = text_at(LEFT, _TITLE_TOP, f"Step {step.number}", 14.0, measure, bold=True)
    x = max(WHAT, number.x + number.width + 3.0)
    codes = [] if more else [_bag(code, stage, shared, measure) for code in _scanned(stage)]
    beside = codes if len(codes) <= _BY_TITLE else []
    edge = RIGHT
    boxes: list[Box] = [Stripe(LEFT, 0, WIDTH, 0.7), number]
    for slab, width in reversed(beside):
        edge -= width
        boxes += [moved(box, edge, 0.7) for box in slab]
    words = [Words((plain(step.part) or "(no part named)") + more, 14.0, True, 4,
                   f"step {step.number}, part")]  # fmt: skip
    path = plain(step.assembly)
    if path:
        words.append(Words(path, 9.5, False, 4, f"step {step.number}, assembly"))
    under = number.y + number.height
    if not more:
        if standing:
            words.append(Words(plain(standing), 10.0, True, 4, f"step {step.number}, waits for"))
        state, under = _state(stage, under + 1.6, measure)
        boxes += state
    titles, y = column(words, x, _TITLE_TOP, edge - x - (2.0 if beside else 0.0), measure)
    y = max(y, under) + 0.6
    if beside:
        y = max(y, 0.7 + _CODE_STEP - 1.0)
    left = LEFT
    for slab, width in codes if not beside else []:
        if left + width > RIGHT:
            left, y = LEFT, y + _CODE_STEP
        boxes += [moved(box, left, y) for box in slab]
        left += width
    if codes and not beside:
        y += _CODE_STEP
    return [*boxes, *titles], y


_STATES = {State.READY: "READY", State.WAITS: "WAITS", State.ON: "ON", State.FINISHED: "DONE"}


def _state(stage: Stage, y: float, measure: Measure) -> tuple[list[Box], float]:
    """Say how far the step is, in a frame where it can be done now; boxes and where they end."""
    state = stage.status.state
    ready = state is State.READY
    words = text_at(
        LEFT + (2.0 if ready else 0.0), y + 0.9, _STATES[state], 11.0, measure, bold=True, caps=True
    )
    end = words.y + words.height + 0.9
    if not ready:
        return [words], end
    return [Frame(LEFT + 0.3, y, words.width + 3.4, end - y, 0.6, 0.8), words], end + 0.3


def _scanned(stage: Stage) -> list[str]:
    """Give the bag codes that the smallest symbol holds: every code that the stores give out."""
    return [code for code in stage.bags if code.isascii() and 0 < len(code) <= _LETTERS]


def _bag(code: str, stage: Stage, shared: Shared, measure: Measure) -> tuple[list[Box], float]:
    """A bag's code to scan, its name before it, what else is in it; boxes and their width."""
    drawn = code_box(code, _CODE, _CODE * QUIET_MODULES / 21)
    drawn = _largest(drawn)
    name = text_at(0, 5.0, code, 12.0, measure, bold=True)
    others = [f"{each}" for each in shared.get(code, ()) if each != stage.step.number]
    boxes: list[Box] = [name]
    width = name.width
    if others:
        said = f"with {'step' if len(others) == 1 else 'steps'} {', '.join(others[:3])}"
        said += " …" if len(others) > 3 else ""
        also = text_at(0, name.y + name.height + 1.0, said, READ_SIZE, measure)
        width = max(width, also.width)
        boxes.append(also)
    white = drawn.quiet
    boxes.append(moved(drawn, width + white, white))
    return boxes, width + drawn.width + 2 * white


def _largest(code: Code) -> Code:
    """Give the code as wide as its room; its white is four of its modules."""
    return replace(
        code, width=_CODE, height=_CODE, quiet=_CODE / side(code.version) * QUIET_MODULES
    )


def snag_row(snag: Snag, measure: Measure) -> Slab:
    """A fault to clear first, and a line to write on how."""
    words = [
        Words(plain(f"Snag {snag.number} to clear: {snag.words}"), 11.0, True, 8,
              f"snag {snag.number}"),
        Words(plain(f"at {snag.where}"), 9.0, False, 2, f"snag {snag.number}: where"),
    ]  # fmt: skip
    return _to_write(words, "how", "", measure)


def _job_row(job: Job, measure: Measure) -> Slab:
    """What was done that is no piece, to be undone: "fill the oil"."""
    name = f"step {job.step.number}, what to undo"
    words = [Words(plain(job.words), 11.0, True, 6, name)]
    if job.done:
        words.append(Words(f"done {day_words(job.done)}", 9.0))
    elif job.reverse:
        words.append(Words(plain(f"At the strip-down: {job.step.part}"), 9.0, False, 3, name))
    texts, end = column(words, WHAT, AIR + 1.05, RIGHT - WHAT, measure)
    boxes: list[Box] = [Stripe(LEFT, 0, WIDTH, 0.1), tick(bool(job.done)), *texts]
    return Slab(tuple(boxes), max(end, AIR + TICK) + 1.4)


def _applied_row(each: Applied, stage: Stage, measure: Measure) -> Slab:
    """What goes in with the whole step."""
    done = stage.done
    name = f"step {stage.step.number}, {each.kind}"
    words = [Words(plain(each.words), 11.0, True, 6, name)]
    texts, end = column(words, WHAT, AIR + 1.05, RIGHT - WHAT, measure)
    kind = text_at(LEFT + 9.2, AIR + 0.9, each.kind.split()[0], 8.0, measure)
    boxes: list[Box] = [Stripe(LEFT, 0, WIDTH, 0.1), tick(done), kind, *texts]
    return Slab(tuple(boxes), max(end, AIR + TICK) + 1.4)


def _point_row(point: CheckPoint, measure: Measure) -> Slab:
    """What is measured, its limits and a line to write on; or what it measured."""
    words = [
        Words(plain(f"Measure the {point.name}"), 11.0, True, 4, point.name),
        Words(plain(point.limits), 11.0, True, 2, f"{point.name}: limits"),
    ]
    if point.source:
        words.append(Words(plain(point.source), 8.5, False, 2, f"{point.name}: source"))
    if point.found is None:
        return _to_write(words, "measured", point.unit, measure)
    verdict = "" if point.within else ", OUT OF LIMITS"
    when = f", {day_words(point.date)}" if point.date else ""
    found = Words(plain(f"measured {point.measured}{verdict}{when}"), 10.0, not point.within, 3)
    texts, end = column(words, WHAT, AIR + 1.05, WHERE - WHAT - 2.0, measure)
    more, other = column([found], WHERE, AIR + 1.05, RIGHT - WHERE, measure)
    boxes: list[Box] = [Stripe(LEFT, 0, WIDTH, 0.1), tick(bool(point.within)), *texts, *more]
    return Slab(tuple(boxes), max(end, other, AIR + TICK) + 1.4)


def _to_write(words: list[Words], label: str, unit: str, measure: Measure) -> Slab:
    """A row with a tick, and at its right a line to write on."""
    texts, end = column(words, WHAT, AIR + 1.05, _WIDE, measure)
    start = text_at(WHAT + _WIDE + 2.0, 0, label, 9.0, measure)
    base = AIR + TICK
    boxes: list[Box] = [Stripe(LEFT, 0, WIDTH, 0.1), tick(False), *texts]
    boxes.append(replace(start, y=base - start.baseline))
    boxes += _write_on(start.x + start.width + 1.5, RIGHT, base, plain(unit), measure)
    return Slab(tuple(boxes), max(end, base) + 1.8)


def _contents(stage: Stage) -> list[str]:
    """Say what goes into which holes, where more than one thing does."""

    if stage.joint is None:
        return []
    by_thing: dict[str, list[int]] = {}
    for hole, thing in sorted(
        what_goes_in(stage.joint, (line.item for line in stage.lines)).items()
    ):
        by_thing.setdefault(thing, []).append(hole)
    return [
        f"{', '.join(f'h{hole}' for hole in holes)}: {thing}" for thing, holes in by_thing.items()
    ]


def _joint(plan: Plan, doubt: str, contents: Sequence[str], measure: Measure) -> Slab:
    """The joint's picture, and beside it the order and the passes."""
    top = 2.0
    high = _PICTURE[1] if len(plan.joint.holes) <= _MANY else _PICTURE[1] * 1.4
    boxes: list[Box] = [Stripe(LEFT, 0, WIDTH, 0.1)]
    try:
        drawn = joint_picture(plan, _PICTURE[0], high, measure)
    except PrintError:
        drawn, high = (), 0.0
    boxes += [moved(box, WHAT - 18.5, top) for box in drawn]
    holes = plan.joint.by_number
    order = ", ".join(
        f"{turn}: h{number}" + (f" {holes[number].length}" if holes[number].length else "")
        for turn, number in enumerate(plan.order.holes, 1)
    )
    words = [
        Words("Tightening order", 10.0, True),
        Words(plain(f"{order}."), 9.0, False, 14, "the tightening order"),
    ]
    words += [Words(plain(said), 9.0, True, 3, "what goes in") for said in contents]
    if doubt:
        words.append(Words(plain(doubt), 9.0, True))
    for at, stage in enumerate(plan.stages, 1):
        share = "" if stage.per_cent is None else f"{stage.per_cent} %: "
        torque = ""
        if stage.torque_nm is not None:
            torque = f"{chosen().pass_words(stage.torque_nm, stage.per_cent)}, "
        words.append(Words(plain(f"Pass {at}: {share}{torque}{stage.what}"), 8.5))
    texts, end = column(words, WHERE - 8.0, top + 0.6, RIGHT - WHERE + 8.0, measure)
    return Slab((*boxes, *texts), max(top + high, end) + 1.6)


def _joined(upper: Slab, lower: Slab) -> Slab:
    below = tuple(moved(box, 0, upper.height) for box in lower.boxes)
    return Slab((*upper.boxes, *below), upper.height + lower.height)


def _signature(role: Role, stage: Stage, measure: Measure) -> Slab:
    """A line to sign on, or who signed."""
    label = "Checked by a second person" if role is Role.SECOND else "Fitted by"
    words = text_at(LEFT, 4.2, label, 9.5, measure, bold=True)
    base = words.y + words.baseline
    start = words.x + words.width + 2.0
    boxes: list[Box] = [Stripe(LEFT, 0, WIDTH, 0.1), words]
    signed = stage.notes.signed(role)
    if signed is not None:
        said = ", ".join(
            each for each in (signed.name, day_words(signed.date), signed.note) if each
        )
        lines = [Words(plain(said), 9.5, False, 3, f"step {stage.step.number}, who signed")]
        texts, end = column(lines, start, words.y, RIGHT - start, measure)
        return Slab((*boxes, *texts), max(_SIGNED_HEIGHT, end + 1.0))
    date = text_at(RIGHT - 42.0, words.y, "date", 9.5, measure)
    boxes += [
        Stripe(start, base + 0.4, date.x - 2.0 - start, 0.2),
        date,
        Stripe(date.x + date.width + 1.5, base + 0.4, RIGHT - date.x - date.width - 1.5, 0.2),
    ]
    return Slab(tuple(boxes), _SIGNED_HEIGHT)


CAUTION = (
    "The maker's figures and procedure come first. Brakes, steering and wheels are checked by a "
    "second person before the machine moves. General torques are computed, not the maker's. Tick a "
    "line when the piece is on and tight."
)
HOW = (
    "Top to bottom, one step after the other. READY: can be fitted today. WAITS: beside it is what "
    "for. Codes such as A001N are written on the bags; some numbers are left out on purpose. To "
    "tick off on the screen too: type stores refit and a space, then scan the code."
)
_TOGETHER = 100.0
"""Millimetres: a stage no higher than this is not divided between pages."""


def write_checklist(
    stages: Sequence[Stage],
    path: Path,
    *,
    title: str,
    date: str,
    standing: Callable[[Stage], str],
    flag: Callable[[Flag], str],
    oils: Sequence[Fill] = (),
    snags: Sequence[Snag] = (),
    rings: Sequence[Sequence[str]] = (),
) -> Printed:
    """Write the rebuild checklist as a PDF, upright.

    ``title`` heads it; ``date`` says when it was true; ``standing`` what a step waits for or still
    owes, in a line, ``flag`` what is to be minded; ``oils`` are filled in the end, ``snags``
    those that hang on no step, to be cleared by then; ``rings`` what to say of each set of orders
    that contradict each other, line by line.

    Raises:
        PrintError: nothing to do, or a file that cannot be written.
    """
    from stores.printing.draw import measure, write_pdf

    if not stages:
        raise PrintError("there is nothing to rebuild yet: no step has been recorded")
    pages = layout_checklist(
        stages,
        measure,
        title=title,
        date=date,
        standing=standing,
        flag=flag,
        oils=oils,
        snags=snags,
        rings=rings,
    )
    return write_pdf(pages, path, title, "Rebuild checklist")


def layout_checklist(
    stages: Sequence[Stage],
    measure: Measure,
    *,
    title: str,
    date: str,
    standing: Callable[[Stage], str],
    flag: Callable[[Flag], str],
    oils: Sequence[Fill] = (),
    snags: Sequence[Snag] = (),
    rings: Sequence[Sequence[str]] = (),
) -> list[list[Box]]:
    """Give the boxes of every page, in mm from its top left corner.

    A stage's heading always has its first line under it; a stage that runs on repeats a short
    heading at the top of the next page. Bolts and the picture of how they are tightened are on one
    page.
    """
    flow = Flow(plain(title), plain(date), measure)
    flow.add(_front(stages, plain(title), plain(date), measure))
    shared = _shared(stages)
    for lines in rings:
        _add_block(
            flow, plain(lines[0]), [_plain_row(line, measure) for line in lines[1:]], measure
        )
    for stage in stages:
        _add_stage(flow, stage, shared, measure, standing(stage), flag)
    if snags:
        rows = [snag_row(snag, measure) for snag in snags]
        _add_block(flow, "Before it is closed up: snags", rows, measure)
    if oils:
        _add_block(flow, "Last job: oil", [_oil_row(fill, measure) for fill in oils], measure)
    return flow.finished()


def _shared(stages: Sequence[Stage]) -> Shared:
    """Give, by bag, the steps that it holds pieces of."""
    found: dict[str, list[int]] = {}
    for stage in stages:
        for code in stage.bags:
            found.setdefault(code, []).append(stage.step.number)
    return found


def _add_block(flow: Flow, title: str, rows: Sequence[Slab], measure: Measure) -> None:
    """Add what is done once everything is together, under a heading of its own."""
    words = text_at(LEFT, 2.2, title, 14.0, measure, bold=True)
    above = Slab((Stripe(LEFT, 0, WIDTH, 0.7), words), words.y + words.height + 1.6)
    flow.space(5.0)
    whole = above.height + sum(row.height for row in rows)
    if not flow.fits(whole if whole <= _TOGETHER else above.height + rows[0].height):
        flow.turn()
    flow.add(above)
    for row in rows:
        if not flow.fits(row.height):
            flow.turn()
        flow.add(row)


def _plain_row(text: str, measure: Measure) -> Slab:
    """A line to read."""
    boxes, y = column([Words(plain(text), 9.5, False, 4, "order")], LEFT, 0.6, WIDTH, measure)
    return Slab(tuple(boxes), y + 0.6)


def _oil_row(fill: Fill, measure: Measure) -> Slab:
    boxes: list[Box] = [Stripe(LEFT, 0, WIDTH, 0.1), tick(False)]
    name = plain(fill.name)
    left = [Words(name, 11.0, True, 4, f"oil: {name[:30]}")]
    left += [Words(plain(point), 8.5, False, 4, f"{name[:30]}: points") for point in fill.points]
    texts, end = column(left, WHAT - 18.5, AIR + 1.05, 88.0, measure)
    boxes += texts
    right = [
        Words(plain(fill.oil), 11.0, True, 3, f"{name[:30]}: oil"),
        Words(plain(fill.amount), 10.0, False, 4, f"{name[:30]}: amount"),
    ]
    more, other = column(right, WHERE, AIR + 1.05, RIGHT - WHERE, measure)
    boxes += more
    base = other + 6.0
    filled = text_at(WHERE, 0, "filled", 9.0, measure)
    boxes.append(text_at(WHERE, base - filled.baseline, "filled", 9.0, measure))
    boxes += _write_on(WHERE + filled.width + 1.5, RIGHT, base, chosen().volume, measure)
    return Slab(tuple(boxes), max(end, base + 1.0, AIR + TICK) + 1.4)


def _add_stage(
    flow: Flow,
    stage: Stage,
    shared: Shared,
    measure: Measure,
    standing: str,
    flag: Callable[[Flag], str],
) -> None:
    above = heading(stage, shared, measure, standing)
    rows, joint = _step_rows(stage, measure, flag)
    again = _heading_again(stage, measure)
    kept = _kept(rows, joint, flow.page - again.height)
    whole = above.height + sum(row.height for row in rows)
    together = flow.page if joint else _TOGETHER
    flow.space(5.0)
    if not flow.fits(whole if whole <= together else above.height + kept.get(0, rows[0].height)):
        flow.turn()
    flow.add(above)
    for at, row in enumerate(rows):
        if not flow.fits(kept.get(at, row.height)):
            flow.turn()
            flow.add(again)
        flow.add(row)


def _kept(rows: Sequence[Slab], joint: range, room: float) -> dict[int, float]:
    """Give the height of what is not to be parted, by the row that it begins with: the bolts of a
    joint and its picture, where one page has room for them; else as many as it has room for."""
    for first in joint:
        height = sum(rows[at].height for at in range(first, joint.stop))
        if height <= room:
            return {first: height}
    return {}


def _front(stages: Sequence[Stage], title: str, date: str, measure: Measure) -> Slab:
    """Title, totals and the caution, on top of the first page."""
    boxes: list[Box] = []
    heads, y = column([Words(title, 20.0, True, 2, "the title")], LEFT, 0, WIDTH, measure)
    boxes += heads
    lines = [line for stage in stages for line in stage.lines]
    short = sum(line.short for line in lines)
    away = sum(line.status.away for line in lines)
    done = sum(line.done for line in lines)
    totals = ", ".join(
        [
            plural(len(stages), "step", marks=True),
            plural(len(lines), "line", marks=True) + (f" of which {done} done" if done else ""),
            f"{plural(short, 'piece', marks=True)} short",
            f"{plural(away, 'piece', marks=True)} away",
        ]
    )
    said, y = column(
        [Words(f"{date}.  {totals}." if date else f"{totals}.", 10.0)], LEFT, y + 1, WIDTH, measure
    )
    boxes += said
    slab = _framed([Words(CAUTION, 9.5, True), Words(HOW, 9.0)], y + 2.0, measure)
    return Slab((*boxes, *slab.boxes), slab.height + 1.0)


_TICK = 7.0
_NAME = LEFT + 10.0
_NAME_WIDTH = 61.0
_COUNTS = tuple(LEFT + at for at in (82.0, 92.5, 101.5, 114.5, 127.0))
"""Millimetres: the right edges of steps, done, on, ready, waits."""
_WHY = LEFT + 133.0
_TOP = 1.5


def write_summary(
    stages: Sequence[Stage],
    path: Path,
    *,
    title: str,
    date: str,
    held_up: Callable[[HeldUp], str],
) -> Printed:
    """Write the summary as a PDF of one page, upright; ``held_up`` says in a line by what.

    Raises:
        PrintError: no stages, or a file that cannot be written.
    """
    from stores.printing.draw import measure, write_pdf

    if not stages:
        raise PrintError("there is nothing to rebuild yet: no step has been recorded")
    boxes = layout_summary(stages, measure, title=title, date=date, held_up=held_up)
    return write_pdf([boxes], path, title, "Rebuild summary")


def layout_summary(
    stages: Sequence[Stage],
    measure: Measure,
    *,
    title: str,
    date: str,
    held_up: Callable[[HeldUp], str],
) -> list[Box]:
    """Give the boxes of the page.

    Where the assemblies are too many for it, those deep in the tree are added up into the one they
    are in; where even that is too much, the last ones are left out and a warning says how many.
    """
    deepest = max(stage.step.assembly.count("/") + 1 for stage in stages)
    rows: list[Progress] = []
    for depth in range(deepest, 0, -1):
        rows = progress(stages, depth)
        for most in (6, 3, 2):
            if boxes := _page(rows, measure, title, date, held_up, most):
                return boxes
    kept = len(rows)
    while kept > 1:
        kept -= 1
        if boxes := _page(rows, measure, title, date, held_up, 1, kept):
            return boxes
    raise PrintError("the summary does not fit a page: print one assembly at a time")


def _page(
    rows: Sequence[Progress],
    measure: Measure,
    title: str,
    date: str,
    held_up: Callable[[HeldUp], str],
    most: int,
    kept: int | None = None,
) -> list[Box]:
    """Give the page with these rows, empty if they do not fit it."""
    flow = Flow(plain(title), plain(date), measure)
    flow.add(_summary_front(plain(title), plain(date), measure))
    for row in rows[:kept]:
        flow.add(_row(row, most, measure, held_up(row.held_up)))
    left = len(rows) - len(rows[:kept])
    if left:
        words = f"and {left} more assemblies"
        lost = f"{left} of {len(rows)} assemblies do not fit the page"
        more = text_at(_NAME, 1.5, words, 9.5, measure, bold=True, lost=lost)
        flow.add(Slab((more,), 7.0))
    flow.add(_row(total(rows), most, measure, last=True))
    return flow.finished()[0] if len(flow.pages) == 1 and flow.fits(0.0) else []


def _summary_front(title: str, date: str, measure: Measure) -> Slab:
    boxes: list[Box] = []
    heads, y = column([Words(title, 20.0, True, 2, "the title")], LEFT, 0, WIDTH, measure)
    boxes += heads
    meaning = (
        "On: every piece is on, but something is still to be done. "
        "Waits: something else comes first."
    )
    said = f"{date}.  {meaning}" if date else meaning
    words, y = column([Words(said, 9.0)], LEFT, y + 1.0, WIDTH, measure)
    boxes += words
    top = y + 4.0
    boxes.append(text_at(_NAME, top, "Assembly", 9.0, measure, bold=True))
    for edge, name in zip(_COUNTS, ("Steps", "Done", "On", "Ready", "Waits"), strict=True):
        boxes.append(text_at(edge, top, name, 9.0, measure, bold=True, right=True))
    boxes.append(text_at(_WHY, top, "Held up by", 9.0, measure, bold=True))
    return Slab(tuple(boxes), top + 5.0)


def _row(
    row: Progress, most: int, measure: Measure, held_up: str = "", *, last: bool = False
) -> Slab:
    name = plain(row.assembly) or "(no assembly named)"
    rule = Stripe(LEFT, 0, WIDTH, 0.7 if last else 0.1)
    boxes: list[Box] = [rule]
    if not last:
        boxes.append(Tick(LEFT + 0.4, _TOP, _TICK, _TICK, row.finished))
    words = [Words(name, 10.5, True, max(2, most), f"{name[:30]}: name")]
    texts, end = column(words, _NAME, _TOP + 1.0, _NAME_WIDTH, measure)
    boxes += texts
    baseline = _TOP + 4.1
    for edge, count in zip(
        _COUNTS, (row.steps, row.done, row.open, row.ready, row.waits), strict=True
    ):
        figure = text_at(edge, 0, f"{count:,}" if count else "·", 10.5, measure, right=True)
        boxes.append(replace(figure, y=baseline - figure.baseline))
    why = [Words(plain(held_up), 8.5, False, most, f"{name[:30]}: what holds it up")]
    more, other = column(why if held_up else [], _WHY, _TOP + 1.0, RIGHT - _WHY, measure)
    boxes += more
    return Slab(tuple(boxes), max(end, other, _TOP + _TICK) + 1.3)
