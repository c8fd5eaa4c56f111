"""The rebuild as a checklist on paper: to be read and ticked with oily hands."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from stores.core.tightening import Plan
from stores.errors import PrintError
from stores.planning.oils import Fill
from stores.planning.rebuild import SECOND_CHECK, Line, Stage
from stores.planning.tightness import Tightness
from stores.printing.boxes import Box, Frame, Measure, Rule, Text, Tick, moved, text_at
from stores.printing.files import Printed, put
from stores.printing.fit import cut_end, plain, wrap
from stores.printing.joint_picture import joint_boxes
from stores.printing.paper import LEFT, RIGHT, WIDTH, Flow, Slab, Words, column

__all__ = ["CAUTION", "layout_checklist", "write_checklist"]

CAUTION = (
    "The maker's figures and procedure come first. Brakes, steering and wheels are checked by a "
    "second person before the machine moves. General torques are computed, not the maker's. Tick a "
    "line when the piece is on and tight."
)
_TOGETHER = 85.0
"""Millimetres: a stage no higher than this is not divided between pages."""

_TICK = 5.2
_REF = LEFT + 8.0
_COUNT = LEFT + 27.0
_WHAT = LEFT + 29.5
_WHAT_WIDTH = 73.0
_WHERE = LEFT + 105.5
_WHERE_WIDTH = 47.0
_TORQUE = RIGHT - 25.0
_PLACE_PITCH = 4.9
_PICTURE = (82.0, 46.0)
"""Millimetres: width and height of a joint's picture."""
_MANY = 12
"""Holes up to which it stays so low."""
_MOST_PLACES = 24


def write_checklist(
    stages: Sequence[Stage],
    path: Path,
    *,
    title: str,
    date: str,
    oils: Sequence[Fill] = (),
) -> Printed:
    """Write the rebuild checklist as a PDF, A4 upright.

    ``title`` heads it; ``date`` says when it was true; ``oils`` are filled in the end.

    Raises:
        PrintError: no stages, or a file that cannot be written.
    """
    from stores.printing.draw import Pdf, measure

    if not stages:
        raise PrintError("there is nothing to rebuild yet: no step has been recorded")
    pages = layout_checklist(stages, measure, title=title, date=date, oils=oils)
    pdf = Pdf(plain(title), "Rebuild checklist")
    for page in pages:
        pdf.page(page)
    put(path, pdf.bytes())
    lost = [box.lost for page in pages for box in page if isinstance(box, Text) and box.lost]
    return Printed(path, pdf.pages, warnings=(*lost, *pdf.missing_warning()))


def layout_checklist(
    stages: Sequence[Stage],
    measure: Measure,
    *,
    title: str,
    date: str,
    oils: Sequence[Fill] = (),
) -> list[list[Box]]:
    """Give the boxes of every page, in mm from its top left corner.

    A stage's heading always has its first line under it; a stage that runs on repeats a short
    heading at the top of the next page.
    """
    flow = Flow(plain(title), plain(date), measure)
    flow.add(_front(stages, plain(title), plain(date), measure))
    for stage in stages:
        _add_stage(flow, stage, measure)
    if oils:
        _add_oils(flow, oils, measure)
    return flow.finished()


def _add_oils(flow: Flow, oils: Sequence[Fill], measure: Measure) -> None:
    """What to fill once everything is together, a line to tick for each sump."""
    title = text_at(LEFT, 2.2, "In the end: oil", 14.0, measure, bold=True)
    heading = Slab((Rule(LEFT, 0, WIDTH, 0.7), title), title.y + title.height + 1.6)
    rows = [_oil_row(fill, measure) for fill in oils]
    flow.space(5.0)
    whole = heading.height + sum(row.height for row in rows)
    if not flow.fits(whole if whole <= _TOGETHER else heading.height + rows[0].height):
        flow.turn()
    flow.add(heading)
    for row in rows:
        if not flow.fits(row.height):
            flow.turn()
        flow.add(row)


def _oil_row(fill: Fill, measure: Measure) -> Slab:
    top = 1.6
    boxes: list[Box] = [
        Rule(LEFT, 0, WIDTH, 0.1),
        Tick(LEFT + 0.4, top, _TICK, _TICK, False),
    ]
    name = plain(fill.name)
    left = [Words(name, 11.0, True, 4, f"oil: {name[:30]}")]
    left += [Words(plain(point), 8.5, False, 4, f"{name[:30]}: points") for point in fill.points]
    texts, end = column(left, _WHAT - 17.0, top + 1.05, 90.0, measure)
    boxes += texts
    right = [
        Words(plain(fill.oil), 11.0, True, 3, f"{name[:30]}: oil"),
        Words(plain(fill.amount), 10.0, False, 4, f"{name[:30]}: amount"),
    ]
    more, other = column(right, _WHERE, top + 1.05, RIGHT - _WHERE, measure)
    boxes += more
    return Slab(tuple(boxes), max(end, other, top + _TICK) + 1.4)


def _add_stage(flow: Flow, stage: Stage, measure: Measure) -> None:
    heading = _heading(stage, measure)
    rows = [_row(line, measure) for line in stage.lines]
    if stage.joint and not stage.done:
        rows.append(_joint(stage.joint, stage.holes_doubt, measure))
    if SECOND_CHECK in " ".join(stage.cautions):
        last = rows.pop() if rows else Slab((), 0.0)
        rows.append(_joined(last, _second_person(measure)))
    whole = heading.height + sum(row.height for row in rows)
    first = heading.height + (rows[0].height if rows else 0.0)
    flow.space(5.0)
    if not flow.fits(whole if whole <= _TOGETHER else first):
        flow.turn()
    flow.add(heading)
    for row in rows:
        if not flow.fits(row.height):
            flow.turn()
            flow.add(_heading_again(stage, measure))
        flow.add(row)


def _joint(plan: Plan, doubt: str, measure: Measure) -> Slab:
    """The joint's picture, and beside it the order and the passes."""
    top = 2.0
    high = _PICTURE[1] if len(plan.joint.holes) <= _MANY else _PICTURE[1] * 1.4
    boxes: list[Box] = [Rule(LEFT, 0, WIDTH, 0.1)]
    try:
        drawn = joint_boxes(plan, _PICTURE[0], high, measure)
    except PrintError:
        drawn, high = (), 0.0
    boxes += [moved(box, _WHAT - 17.0, top) for box in drawn]
    holes = plan.joint.by_number
    order = ", ".join(
        f"{turn}: h{number}" + (f" {holes[number].length}" if holes[number].length else "")
        for turn, number in enumerate(plan.order.holes, 1)
    )
    words = [
        Words("Tightening order", 10.0, True),
        Words(plain(f"{order}."), 9.0, False, 14, "the tightening order"),
    ]
    if doubt:
        words.append(Words(plain(doubt), 9.0, True))
    for at, stage in enumerate(plan.stages, 1):
        share = "" if stage.per_cent is None else f"{stage.per_cent} %: "
        torque = f"{stage.torque}, " if stage.torque else ""
        words.append(Words(plain(f"Pass {at}: {share}{torque}{stage.what}"), 8.5))
    texts, end = column(words, _WHERE - 8.0, top + 0.6, RIGHT - _WHERE + 8.0, measure)
    return Slab((*boxes, *texts), max(top + high, end) + 1.6)


def _joined(upper: Slab, lower: Slab) -> Slab:
    below = tuple(moved(box, 0, upper.height) for box in lower.boxes)
    return Slab((*upper.boxes, *below), upper.height + lower.height)


def _front(stages: Sequence[Stage], title: str, date: str, measure: Measure) -> Slab:
    """Title, totals and the caution, on top of the first page."""
    boxes: list[Box] = []
    heads, y = column([Words(title, 20.0, True, 2, "the title")], LEFT, 0, WIDTH, measure)
    boxes += heads
    lines = [line for stage in stages for line in stage.lines]
    short = sum(line.short for line in lines)
    away = sum(line.item.away for line in lines if line.item.to_fit)
    done = sum(line.done for line in lines)
    totals = ", ".join(
        [
            _counted(len(stages), "step"),
            _counted(len(lines), "line") + (f" of which {done} done" if done else ""),
            f"{_counted(short, 'piece')} short",
            f"{_counted(away, 'piece')} away",
        ]
    )
    said, y = column(
        [Words(f"{date}.  {totals}." if date else f"{totals}.", 10.0)], LEFT, y + 1, WIDTH, measure
    )
    boxes += said
    slab = _framed([Words(CAUTION, 9.5, True)], y + 2.0, measure)
    return Slab((*boxes, *slab.boxes), slab.height + 1.0)


def _counted(count: int, noun: str) -> str:
    return f"{count:,} {noun}{'' if count == 1 else 's'}"


def _framed(paragraphs: list[Words], y: float, measure: Measure) -> Slab:
    inner, end = column(paragraphs, LEFT + 3.0, y + 1.8, WIDTH - 6.0, measure)
    frame = Frame(LEFT + 0.3, y, WIDTH - 0.6, end + 0.9 - y, 0.6, 0.8)
    return Slab((frame, *inner), end + 0.9)


def _name(stage: Stage) -> str:
    return plain(stage.step.part) or "(no part named)"


def _heading(stage: Stage, measure: Measure) -> Slab:
    """Step, part and assembly under a thick rule; then hazard, note and cautions."""
    step = stage.step
    boxes, y = _title(stage, "", measure)
    if step.hazard.strip():
        slab = _framed(
            [Words(f"Hazard: {plain(step.hazard)}", 10.0, True, 6, f"step {step.number}, hazard")],
            y + 1.0,
            measure,
        )
        boxes += slab.boxes
        y = slab.height + 1.0
    paragraphs = []
    if step.note.strip():
        paragraphs.append(
            Words(f"Note: {plain(step.note)}", 9.0, False, 14, f"step {step.number}, note")
        )
    paragraphs += [Words(plain(caution), 8.5) for caution in stage.cautions]
    small, y = column(paragraphs, _WHAT, y + 0.6, RIGHT - _WHAT, measure)
    boxes += small
    return Slab(tuple(boxes), y + 1.0)


def _heading_again(stage: Stage, measure: Measure) -> Slab:
    boxes, y = _title(stage, " (continued)", measure)
    if stage.step.hazard.strip():
        words = Words(f"Hazard: {plain(stage.step.hazard)}", 9.0, True, 2)
        more, y = column([words], LEFT, y + 0.4, WIDTH, measure)
        boxes += [replace(box, lost="") for box in more]  # the warning was given the first time
    return Slab(tuple(boxes), y + 1.0)


def _title(stage: Stage, more: str, measure: Measure) -> tuple[list[Box], float]:
    step = stage.step
    number = text_at(LEFT, 2.2, f"Step {step.number}", 14.0, measure, bold=True)
    x = max(_WHAT, number.x + number.width + 3.0)
    words = [
        Words(_name(stage) + more, 14.0, True, 3, f"step {step.number}, part"),
    ]
    path = plain(step.assembly)
    if path:
        words.append(Words(path, 9.5, False, 2, f"step {step.number}, assembly"))
    titles, y = column(words, x, 2.2, RIGHT - x, measure)
    return [Rule(LEFT, 0, WIDTH, 0.7), number, *titles], max(y, number.y + number.height) + 0.6


def _row(line: Line, measure: Measure) -> Slab:
    """One line: tick, reference, count, what and where it goes, where it lies, torque."""
    item = line.item
    top = 1.6
    boxes: list[Box] = [Rule(LEFT, 0, WIDTH, 0.1)]
    boxes.append(Tick(LEFT + 0.4, top, _TICK, _TICK, line.done))
    ref = text_at(_REF, top + 0.9, item.ref, 8.0, measure)
    number = str(item.wanted)
    count_size = 13.0
    while count_size > 5.5 and measure(number, True, count_size) > _COUNT - ref.x - ref.width - 1.0:
        count_size -= 0.5
        if count_size < 8:
            ref = text_at(_REF, top + 0.9, item.ref, 5.5, measure)
    boxes.append(ref)
    count = text_at(_COUNT, 0, number, count_size, measure, bold=True, right=True)
    baseline = top + 4.1
    boxes.append(replace(count, y=baseline - count.baseline))
    what = [Words(plain(item.as_specified.text), 11.0, True, 12, f"{item.ref}, what")]
    if item.position.strip():
        what.append(Words(plain(item.position), 9.0, False, 6, f"{item.ref}, position"))
    if 0 < item.fitted < item.wanted:
        what.append(Words(f"{item.fitted} on the machine already", 9.0))
    flags = " · ".join(plain(flag) for flag in line.flags)
    if flags:
        what.append(Words(flags, 9.0, True, 10, f"{item.ref}, flags"))
    what += _torque_words(line)
    texts, end = column(what, _WHAT, top + 1.05, _WHAT_WIDTH, measure)
    boxes += texts
    places, places_end = _places(line, top + 1.05, measure)
    boxes += places
    if line.tight is not None and not line.done:
        boxes += _torque(line.tight, baseline, measure)
    return Slab(tuple(boxes), max(end, places_end, top + _TICK) + 1.4)


def _torque_words(line: Line) -> list[Words]:
    """What a torque comes from: the maker's figure, else the general one; and what to mind."""
    if line.tight is None or line.done:
        return []
    said = line.tight.basis or line.tight.general
    words = [Words(plain(f"Torque: {said}"), 8.5, False, 4)] if said else []
    return words + [
        Words(plain(f"Torque: {caution}"), 8.5, True, 4) for caution in line.tight.cautions
    ]


def _torque(tight: Tightness, baseline: float, measure: Measure) -> list[Box]:
    """The maker's figure, or a line to write one on."""
    unit = text_at(RIGHT, 0, "N m", 9.5, measure, right=True)
    boxes: list[Box] = [replace(unit, y=baseline - unit.baseline)]
    end = unit.x - 1.2
    if not tight.figure:
        return [*boxes, Rule(_TORQUE, baseline + 0.4, end - _TORQUE, 0.2)]
    size = 13.0
    while size > 8.0 and measure(tight.figure, True, size) > end - _TORQUE:
        size -= 0.5
    figure = text_at(end, 0, tight.figure, size, measure, bold=True, right=True)
    return [*boxes, replace(figure, y=baseline - figure.baseline)]


def _places(line: Line, y: float, measure: Measure) -> tuple[list[Box], float]:
    """Where to take the pieces from, each place on its own lines, bag codes large."""
    ref = line.item.ref
    codes = frozenset(line.item.bags)
    rows: list[list[Text]] = []
    for at, place in enumerate(line.sources):
        more = _place(place, codes, f"cut to fit: {ref}, place", measure)
        if len(rows) + len(more) > _MOST_PLACES:
            rest = len(line.sources) - at
            words = f"+ {rest} more place{'' if rest == 1 else 's'}"
            lost = f"{ref}: {rest} of {len(line.sources)} places do not fit"
            rows.append([text_at(_WHERE, 0, words, 9.0, measure, bold=True, lost=lost)])
            break
        rows += more
    if not line.sources and not line.done:
        rows.append([text_at(_WHERE, 0, "nothing in hand", 9.0, measure)])
    boxes: list[Box] = [
        replace(box, y=y + at * _PLACE_PITCH + 3.05 - box.baseline)
        for at, row in enumerate(rows)
        for box in row
    ]
    return boxes, y + len(rows) * _PLACE_PITCH


def _place(place: str, codes: frozenset[str], cut: str, measure: Measure) -> list[list[Text]]:
    """Set one place in at most three rows of words."""
    rows: list[list[Text]] = [[]]
    for word in plain(place).split():
        bold = word.strip("(),;") in codes
        size = 12.0 if bold else 9.0
        for part in wrap(word, _WHERE_WIDTH, size, measure, bold):
            last = rows[-1][-1] if rows[-1] else None
            box = text_at(
                last.x + last.width + 1.1 if last else _WHERE, 0, part, size, measure, bold=bold
            )
            if last and box.x + box.width > _WHERE + _WHERE_WIDTH:
                rows.append([])
                box = replace(box, x=_WHERE)
            rows[-1].append(box)
    if len(rows) > 3:
        words = " ".join(box.text for box in rows[2]) + " …"
        words = cut_end(words, _WHERE_WIDTH, 9.0, measure)
        rows = [*rows[:2], [text_at(_WHERE, 0, words, 9.0, measure, lost=cut)]]
    return rows


def _second_person(measure: Measure) -> Slab:
    """A line to sign for the second pair of eyes."""
    words = text_at(LEFT, 3.4, "Checked by a second person", 9.5, measure, bold=True)
    base = words.y + words.baseline
    date = text_at(RIGHT - 38.0, words.y, "date", 9.5, measure)
    start = words.x + words.width + 2.0
    return Slab(
        (
            Rule(LEFT, 0, WIDTH, 0.1),
            words,
            Rule(start, base + 0.4, date.x - 2.0 - start, 0.2),
            date,
            Rule(date.x + date.width + 1.5, base + 0.4, RIGHT - date.x - date.width - 1.5, 0.2),
        ),
        9.0,
    )
