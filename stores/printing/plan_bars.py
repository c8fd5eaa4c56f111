"""The plan as bars over time."""

from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path

from stores.planning.rebuild import Plan
from stores.planning.status import Blocker, BlockerKind
from stores.planning.timing import Bar, Outlook
from stores.printing.boxes import Box, Measure, Stripe, cut_end, plain, text_at
from stores.printing.files import Printed
from stores.printing.pages import LEFT, RIGHT, WIDTH, Flow, Slab, Words, column

__all__ = ["layout_bars", "write_bars"]

_NAMES = 62.0
"""Millimetres for a step's name."""
_X = LEFT + _NAMES + 3.0
_ROW = 5.6
_THICK = 3.0


def write_bars(plan: Plan, outlook: Outlook, path: Path, *, machine: str) -> Printed:
    """Write the plan as a PDF, upright: a bar for each step that is left.

    Raises:
        PrintError: a file that cannot be written.
    """
    from stores.printing.draw import measure, write_pdf

    pages = layout_bars(plan, outlook, measure, machine=machine)
    return write_pdf(pages, path, f"Plan: {machine}", "Plan of the rebuild")


def layout_bars(plan: Plan, outlook: Outlook, measure: Measure, *, machine: str) -> list[list[Box]]:
    """Give the boxes of every page, in mm from its top left corner.

    A bar is the time of one pair of hands; a thin line before it, up to a stroke, is what the step
    waits for from outside.
    """
    today = f"{outlook.today.day} {outlook.today:%b %Y}"
    flow = Flow(plain(machine), today, measure)
    flow.add(_front(outlook, plain(machine), today, measure))
    days = max(outlook.days, 1.0)
    for at, bar in enumerate(outlook.bars):
        if not at or not flow.fits(_ROW):
            if at:
                flow.turn()
            flow.add(_scale(outlook, days, measure))
        flow.add(_row(plan, outlook, bar, days, measure))
    return flow.finished()


def _front(outlook: Outlook, machine: str, today: str, measure: Measure) -> Slab:
    finish = f"{outlook.finish.day} {outlook.finish:%b %Y}"
    early = " at the earliest" if outlook.undated else ""
    hours = outlook.minutes / 60
    left = "1 step" if len(outlook.bars) == 1 else f"{len(outlook.bars)} steps"
    paragraphs = [
        Words(f"{machine}: the plan of the rebuild", 15, bold=True, most=2, name="the heading"),
        Words(
            f"{today}. {left} left, {hours:.3g} hours of work at "
            f"{outlook.hours_a_week:.3g} a week. Finished on {finish}{early}.",
            10,
            name="the summary",
        ),
    ]
    for held in outlook.held:
        due = outlook.day(held.due)
        words = f"{plain(held.name)}, {due.day} {due:%b %Y}: {held.words}"
        paragraphs.append(Words(words, 10, name=held.name))
    if outlook.undated:
        names = plain(", ".join(outlook.undated))
        paragraphs.append(Words(f"No date yet: {names}", 10, most=6, name="what has no date"))
    boxes, y = column(paragraphs, LEFT, 0, WIDTH, measure)
    return Slab(tuple(boxes), y + 4)


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
    return Slab(tuple(boxes), 9.0)


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


def _row(plan: Plan, outlook: Outlook, bar: Bar[int], days: float, measure: Measure) -> Slab:
    each = plan.by_number[bar.node]
    step = each.stage.step
    name = cut_end(plain(f"{step.number}  {step.assembly}: {step.part}"), _NAMES, 9, measure)
    start, finish = _place(bar.start, days), _place(bar.finish, days)
    boxes: list[Box] = [
        text_at(LEFT, 0.6, name, 9, measure),
        Stripe(min(start, RIGHT - 0.5), 0.6, max(0.5, finish - start), _THICK),
        Stripe(LEFT, _ROW - 0.9, WIDTH, 0.1, "#b0b0b0"),
    ]
    due = _due(each.matters, outlook.today)
    if due > 0:
        x = _place(due, days)
        boxes += [
            Stripe(_X, 0.6 + _THICK / 2, x - _X, 0.2),
            Stripe(min(x, RIGHT - 0.4), 0.6, 0.4, _THICK),
        ]
    return Slab(tuple(boxes), _ROW)


def _due(matters: Sequence[Blocker], today: date) -> float:
    """Give the days until the last of what is promised is here, 0 where nothing is."""
    found = 0.0
    for matter in matters:
        if matter.due is not None and matter.kind is BlockerKind.CHASE:
            found = max(found, (matter.due - today).days)
    return found
