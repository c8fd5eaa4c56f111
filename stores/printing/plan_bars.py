"""The plan as bars over time, assembly by assembly.

A bar is the time of one pair of hands. What can be begun today is black, what waits for something
is hatched; a line before a bar runs to the day that a delivery is promised for, a dashed one behind
it to the day by which the step has to be done. None of that is told by colour alone.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path

from stores.planning.rebuild import Plan, Planned
from stores.planning.status import State
from stores.planning.timing import Bar, Outlook
from stores.printing.boxes import (
    Box,
    Frame,
    Measure,
    Stripe,
    cut_end,
    moved,
    plain,
    stroke,
    text_at,
)
from stores.printing.files import Printed
from stores.printing.pages import LEFT, RIGHT, WIDTH, Flow, Slab, Words, column
from stores.text import day_words

__all__ = ["layout_bars", "write_bars"]

_NAMES = 62.0
"""Millimetres for a step's name."""
_X = LEFT + _NAMES + 3.0
_ROW = 5.6
_TOP = 0.6
_THICK = 3.0
_HATCH = 1.1
"""Millimetres from one stroke of a hatched bar to the next."""
_LEAST = 0.6
"""Millimetres of slack below which none is drawn."""


def write_bars(
    plan: Plan,
    outlook: Outlook,
    path: Path,
    *,
    machine: str,
    summary: str,
    what_if: str = "",
) -> Printed:
    """Write the plan as a PDF, upright: a bar for each step that is left.

    ``summary`` says how much is left and when it is finished; ``what_if`` what was taken to be
    otherwise than promised, empty for the plan as it is.

    Raises:
        PrintError: a file that cannot be written.
    """
    from stores.printing.draw import measure, write_pdf

    pages = layout_bars(plan, outlook, measure, machine=machine, summary=summary, what_if=what_if)
    return write_pdf(pages, path, f"Plan: {machine}", "Plan of the rebuild")


def layout_bars(
    plan: Plan,
    outlook: Outlook,
    measure: Measure,
    *,
    machine: str,
    summary: str,
    what_if: str = "",
) -> list[list[Box]]:
    """Give the boxes of every page, in mm from its top left corner.

    An assembly's name always has its first step under it, and is repeated on the next page.
    """
    name, today = plain(machine), day_words(outlook.today)
    flow = Flow(f"What if: {name}" if what_if else name, today, measure)
    for slab in _front(outlook, name, summary, plain(what_if), measure):
        if not flow.fits(slab.height):
            flow.turn()
        flow.add(slab)
    if not outlook.bars:
        return flow.finished()
    days = max(outlook.days, 1.0)
    scale = _scale(outlook, days, measure)
    flow.add(_legend(measure))
    begun = False
    for assembly, bars in _by_assembly(plan, outlook.bars).items():
        heading = _assembly(assembly, measure)
        for at, bar in enumerate(bars):
            row = _row(plan.by_number[bar.node], outlook, bar, days, measure)
            above = heading.height if at == 0 else 0.0
            if not begun or not flow.fits(above + row.height):
                needed = scale.height + heading.height + row.height
                if begun or not flow.fits(needed):
                    flow.turn()
                flow.add(scale)
                flow.add(_assembly(f"{assembly}, continued", measure) if at else heading)
                begun = True
            elif at == 0:
                flow.add(heading)
            flow.add(row)
    return flow.finished()


def _by_assembly(plan: Plan, bars: Sequence[Bar[int]]) -> dict[str, list[Bar[int]]]:
    """Give the bars of each assembly, the one that is begun first on top."""
    found: dict[str, list[Bar[int]]] = {}
    for bar in bars:
        found.setdefault(plan.by_number[bar.node].stage.step.assembly, []).append(bar)
    return found


def _front(
    outlook: Outlook, machine: str, summary: str, what_if: str, measure: Measure
) -> list[Slab]:
    """Title, what was taken to be otherwise, the finish, and what holds it up."""
    title = f"{machine}: what if" if what_if else f"{machine}: the plan of the rebuild"
    made = [_paragraph(Words(title, 16.0, True, 2, "the heading"), measure)]
    if what_if:
        texts, end = column(
            [Words(what_if, 12.0, True, 6, "what if")], LEFT + 3.0, 2.6, WIDTH - 6.0, measure
        )
        edge = Frame(LEFT + 0.3, 0.8, WIDTH - 0.6, end + 0.4, 0.6, 0.8)
        made.append(Slab((edge, *texts), end + 3.0))
    made.append(_paragraph(Words(plain(summary), 10.0, name="the summary"), measure))
    for held in outlook.held:
        words = f"{plain(held.name)}, {day_words(outlook.day(held.due))}: {held.words}"
        made.append(_paragraph(Words(words, 10.0, name=held.name), measure))
    if outlook.undated:
        names = plain(", ".join(outlook.undated))
        words = f"No date yet: {names}"
        made.append(_paragraph(Words(words, 10.0, most=6, name="what has no date"), measure))
    return made


def _paragraph(words: Words, measure: Measure) -> Slab:
    boxes, end = column([words], LEFT, 0, WIDTH, measure)
    return Slab(tuple(boxes), end + 0.4)


def _legend(measure: Measure) -> Slab:
    """What the bars and lines mean, each beside an example of itself."""
    y, x = 3.0, LEFT
    boxes: list[Box] = []
    for sample, wide, said in (
        (_bar(0, 0, 7.0, hatched=False), 7.0, "ready"),
        (_bar(0, 0, 7.0, hatched=True), 7.0, "waits for something"),
        (_awaited(0, 9.0, 0), 9.0, "until the day promised"),
        (_slack(0, 9.0, 0), 9.0, "may be done as late as here"),
    ):
        words = text_at(x + wide + 1.8, y - 0.1, said, 9.0, measure)
        boxes += [*(moved(box, x, y) for box in sample), words]
        x = words.x + words.width + 5.0
    return Slab(tuple(boxes), y + _THICK + 2.0)


def _place(days: float, whole: float) -> float:
    return _X + (RIGHT - _X) * min(1.0, max(0.0, days / whole))


def _scale(outlook: Outlook, days: float, measure: Measure) -> Slab:
    """Write the days over the bars: the first of each month, or each week of a short plan."""
    boxes: list[Box] = [Stripe(LEFT, 7.0, WIDTH, 0.3)]
    edge = LEFT
    for day in _marks(outlook.today, days):
        x = _place((day - outlook.today).days, days)
        words = f"{day.day} {day:%b}" + (f" {day:%Y}" if day.month == 1 else "")
        label = text_at(x, 2.4, words, 8.5, measure)
        if label.x > edge and label.x + label.width <= RIGHT:
            boxes += [label, Stripe(x, 5.8, 0.2, 1.2)]
            edge = label.x + label.width + 2.0
    return Slab(tuple(boxes), 8.0)


def _marks(first: date, days: float) -> list[date]:
    last = first + timedelta(days=int(days))
    if days <= 70:
        return [first + timedelta(days=at) for at in range(0, int(days) + 1, 7)]
    marks = [first]
    day = date(first.year, first.month, 1)
    while day <= last:
        day = date(day.year + day.month // 12, day.month % 12 + 1, 1)
        if day <= last:
            marks.append(day)
    return marks


def _assembly(name: str, measure: Measure) -> Slab:
    words = cut_end(plain(name) or "(no assembly named)", WIDTH, 10, measure, bold=True)
    return Slab((text_at(LEFT, 1.6, words, 10, measure, bold=True),), 6.2)


def _row(each: Planned, outlook: Outlook, bar: Bar[int], days: float, measure: Measure) -> Slab:
    step = each.stage.step
    number = text_at(LEFT + 8.0, _TOP, f"{step.number}", 9, measure, right=True)
    name = cut_end(plain(step.part), _NAMES - 10.0, 9, measure)
    start, finish = _place(bar.start, days), _place(bar.finish, days)
    start = min(start, RIGHT - 0.5)
    boxes: list[Box] = [
        number,
        text_at(LEFT + 10.0, _TOP, name, 9, measure),
        *_bar(start, _TOP, max(0.5, finish - start), hatched=each.state is not State.READY),
        Stripe(LEFT, _ROW - 0.9, WIDTH, 0.1, "#b0b0b0"),
    ]
    late = _place(bar.finish + outlook.slack.get(bar.node, 0.0), days)
    if late - finish > _LEAST:
        boxes += _slack(finish, late, _TOP)
    due = outlook.not_before.get(bar.node, 0.0)
    if due > 0:
        boxes += _awaited(_X, _place(due, days), _TOP)
    return Slab(tuple(boxes), _ROW)


def _bar(x: float, y: float, width: float, *, hatched: bool) -> list[Box]:
    """A black bar, or an outline with slanting strokes in it."""
    if not hatched:
        return [Stripe(x, y, width, _THICK)]
    boxes: list[Box] = [Frame(x, y, width, _THICK, 0.25)]
    at = _HATCH
    while at < width + _THICK:
        # one stroke rises to the right, from the lower or the left edge to the upper or the right
        left, right = max(0.0, at - _THICK), min(width, at)
        low, high = y + min(_THICK, at), y + max(0.0, at - width)
        boxes.append(stroke([(x + left, low), (x + right, high)], 0.2))
        at += _HATCH
    return boxes


def _awaited(start: float, end: float, y: float) -> list[Box]:
    """A line to the day that something is promised for, with a stroke there."""
    return [
        Stripe(start, y + _THICK / 2, end - start, 0.2),
        Stripe(min(end, RIGHT - 0.4), y, 0.4, _THICK),
    ]


def _slack(start: float, end: float, y: float) -> list[Box]:
    """A dashed line to the day by which a step has to be done, with a small end."""
    middle = y + _THICK / 2
    return [
        stroke([(start, middle), (end, middle)], 0.3, (0.9, 0.7)),
        stroke([(end - 0.1, middle - 0.9), (end - 0.1, middle + 0.9)], 0.2),
    ]
