"""One step of the rebuild checklist: heading, rows, what is measured, who signs. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from stores.errors import PrintError
from stores.handbook.tightening import Plan
from stores.model.snags import Snag
from stores.planning.assembling import Applied, CheckPoint, Role
from stores.planning.rebuild import Stage, access_words
from stores.printing.boxes import Box, Code, Frame, Measure, Rule, moved, text_at
from stores.printing.checklist_line import AIR, TICK, WHAT, WHERE, line_row, tick, write_on
from stores.printing.fit import plain
from stores.printing.joint_picture import joint_boxes
from stores.printing.paper import LEFT, RIGHT, WIDTH, Slab, Words, column
from stores.printing.qr import QUIET_MODULES, code_box, side

__all__ = ["Shared", "framed", "heading", "heading_again", "snag_row", "step_rows"]

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


def heading(stage: Stage, shared: Shared, measure: Measure) -> Slab:
    """Step, part, assembly and the codes of its bags; then hazard, note and cautions."""
    step = stage.step
    boxes, y = _title(stage, "", measure, shared)
    if step.hazard.strip():
        words = Words(f"Hazard: {plain(step.hazard)}", 10.0, True, 6, f"step {step.number}, hazard")
        slab = framed([words], y + 1.0, measure)
        boxes += slab.boxes
        y = slab.height + 1.0
    paragraphs = []
    if stage.notes.access_only:
        paragraphs.append(Words(access_words(stage), 9.0, True))
    if step.note.strip():
        paragraphs.append(
            Words(f"Note: {plain(step.note)}", 9.0, False, 14, f"step {step.number}, note")
        )
    paragraphs += [Words(plain(caution), 8.5) for caution in stage.cautions]
    small, y = column(paragraphs, WHAT, y + 0.6, RIGHT - WHAT, measure)
    boxes += small
    return Slab(tuple(boxes), y + 1.0)


def heading_again(stage: Stage, measure: Measure) -> Slab:
    """The short heading on the next page: step, part, and the hazard once more."""
    boxes, y = _title(stage, " (continued)", measure, {})
    if stage.step.hazard.strip():
        words = Words(f"Hazard: {plain(stage.step.hazard)}", 9.0, True, 2)
        more, y = column([words], LEFT, y + 0.4, WIDTH, measure)
        boxes += [replace(box, lost="") for box in more]  # the warning was given the first time
    return Slab(tuple(boxes), y + 1.0)


def framed(paragraphs: list[Words], y: float, measure: Measure) -> Slab:
    """Give paragraphs in a frame as wide as the page."""
    inner, end = column(paragraphs, LEFT + 3.0, y + 1.8, WIDTH - 6.0, measure)
    frame = Frame(LEFT + 0.3, y, WIDTH - 0.6, end + 0.9 - y, 0.6, 0.8)
    return Slab((frame, *inner), end + 0.9)


def step_rows(stage: Stage, measure: Measure) -> list[Slab]:
    """Give the rows of a step in the order of work; none is divided between pages."""
    rows = [snag_row(snag, measure) for snag in stage.snags]
    rows += [_applied_row(each, stage, measure) for each in stage.applied]
    rows += [line_row(line, measure) for line in stage.lines]
    if stage.joint and not stage.finished:
        rows.append(_joint(stage.joint, stage.holes_doubt, _contents(stage), measure))
    rows += [_point_row(point, measure) for point in stage.notes.points]
    last = rows.pop() if rows else Slab((), 0.0)
    for role in (Role.FITTED, Role.SECOND) if stage.safety else (Role.FITTED,):
        last = _joined(last, _signature(role, stage, measure))
    return [*rows, last]


def _title(stage: Stage, more: str, measure: Measure, shared: Shared) -> tuple[list[Box], float]:
    step = stage.step
    number = text_at(LEFT, _TITLE_TOP, f"Step {step.number}", 14.0, measure, bold=True)
    x = max(WHAT, number.x + number.width + 3.0)
    codes = [] if more else [_bag(code, stage, shared, measure) for code in _scanned(stage)]
    beside = codes if len(codes) <= _BY_TITLE else []
    edge = RIGHT
    boxes: list[Box] = [Rule(LEFT, 0, WIDTH, 0.7), number]
    for slab, width in reversed(beside):
        edge -= width
        boxes += [moved(box, edge, 0.7) for box in slab]
    words = [Words((plain(step.part) or "(no part named)") + more, 14.0, True, 4,
                   f"step {step.number}, part")]  # fmt: skip
    path = plain(step.assembly)
    if path:
        words.append(Words(path, 9.5, False, 4, f"step {step.number}, assembly"))
    if stage.finished and not more:
        words.append(Words("Done.", 10.0, True))
    elif stage.owed and not more:
        owed = f"All on; still to do: {plain(', '.join(stage.owed))}."
        words.append(Words(owed, 10.0, True, 4, f"step {step.number}, still to do"))
    titles, y = column(words, x, _TITLE_TOP, edge - x - (2.0 if beside else 0.0), measure)
    y = max(y, number.y + number.height) + 0.6
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
        also = text_at(0, name.y + name.height + 1.0, said, 7.5, measure)
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


def _applied_row(each: Applied, stage: Stage, measure: Measure) -> Slab:
    """What goes in with the whole step."""
    done = stage.done
    name = f"step {stage.step.number}, {each.kind}"
    words = [Words(plain(each.text), 11.0, True, 6, name)]
    texts, end = column(words, WHAT, AIR + 1.05, RIGHT - WHAT, measure)
    kind = text_at(LEFT + 9.2, AIR + 0.9, each.kind.split()[0], 8.0, measure)
    boxes: list[Box] = [Rule(LEFT, 0, WIDTH, 0.1), tick(done), kind, *texts]
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
    when = f", {point.date}" if point.date else ""
    found = Words(plain(f"measured {point.measured}{verdict}{when}"), 10.0, not point.within, 3)
    texts, end = column(words, WHAT, AIR + 1.05, WHERE - WHAT - 2.0, measure)
    more, other = column([found], WHERE, AIR + 1.05, RIGHT - WHERE, measure)
    boxes: list[Box] = [Rule(LEFT, 0, WIDTH, 0.1), tick(bool(point.within)), *texts, *more]
    return Slab(tuple(boxes), max(end, other, AIR + TICK) + 1.4)


def _to_write(words: list[Words], label: str, unit: str, measure: Measure) -> Slab:
    """A row with a tick, and at its right a line to write on."""
    texts, end = column(words, WHAT, AIR + 1.05, _WIDE, measure)
    start = text_at(WHAT + _WIDE + 2.0, 0, label, 9.0, measure)
    base = AIR + TICK
    boxes: list[Box] = [Rule(LEFT, 0, WIDTH, 0.1), tick(False), *texts]
    boxes.append(replace(start, y=base - start.baseline))
    boxes += write_on(start.x + start.width + 1.5, RIGHT, base, plain(unit), measure)
    return Slab(tuple(boxes), max(end, base) + 1.8)


def _contents(stage: Stage) -> list[str]:
    """Say what goes into which holes, where more than one thing does."""
    from stores.planning.figures import what_goes_in

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
    boxes: list[Box] = [Rule(LEFT, 0, WIDTH, 0.1)]
    try:
        drawn = joint_boxes(plan, _PICTURE[0], high, measure)
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
        torque = f"{stage.torque}, " if stage.torque else ""
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
    boxes: list[Box] = [Rule(LEFT, 0, WIDTH, 0.1), words]
    signed = stage.notes.signed(role)
    if signed is not None:
        said = ", ".join(each for each in (signed.name, signed.date, signed.note) if each)
        lines = [Words(plain(said), 9.5, False, 3, f"step {stage.step.number}, who signed")]
        texts, end = column(lines, start, words.y, RIGHT - start, measure)
        return Slab((*boxes, *texts), max(_SIGNED_HEIGHT, end + 1.0))
    date = text_at(RIGHT - 42.0, words.y, "date", 9.5, measure)
    boxes += [
        Rule(start, base + 0.4, date.x - 2.0 - start, 0.2),
        date,
        Rule(date.x + date.width + 1.5, base + 0.4, RIGHT - date.x - date.width - 1.5, 0.2),
    ]
    return Slab(tuple(boxes), _SIGNED_HEIGHT)
