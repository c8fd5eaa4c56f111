"""The rebuild on one page: each assembly, how far it is, and what holds it up."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from stores.errors import PrintError
from stores.planning.rebuild import Progress, Stage, progress, total
from stores.printing.boxes import Box, Measure, Rule, Text, Tick, text_at
from stores.printing.files import Printed, put
from stores.printing.fit import plain
from stores.printing.paper import LEFT, RIGHT, WIDTH, Flow, Slab, Words, column

__all__ = ["layout_summary", "write_summary"]

_TICK = 7.0
_NAME = LEFT + 10.0
_NAME_WIDTH = 61.0
_COUNTS = tuple(LEFT + at for at in (82.0, 92.5, 101.5, 114.5, 127.0))
"""Millimetres: the right edges of steps, done, on, ready, waits."""
_WHY = LEFT + 133.0
_TOP = 1.5


def write_summary(stages: Sequence[Stage], path: Path, *, title: str, date: str) -> Printed:
    """Write the summary as a PDF of one page, A4 upright.

    Raises:
        PrintError: no stages, or a file that cannot be written.
    """
    from stores.printing.draw import Pdf, measure

    if not stages:
        raise PrintError("there is nothing to rebuild yet: no step has been recorded")
    boxes = layout_summary(stages, measure, title=title, date=date)
    pdf = Pdf(plain(title), "Rebuild summary")
    pdf.page(boxes)
    put(path, pdf.bytes())
    lost = [box.lost for box in boxes if isinstance(box, Text) and box.lost]
    return Printed(path, pdf.pages, warnings=(*lost, *pdf.missing_warning()))


def layout_summary(
    stages: Sequence[Stage], measure: Measure, *, title: str, date: str
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
            if boxes := _page(rows, measure, title, date, most):
                return boxes
    kept = len(rows)
    while kept > 1:
        kept -= 1
        if boxes := _page(rows, measure, title, date, 1, kept):
            return boxes
    raise PrintError("the summary does not fit a page: print one assembly at a time")


def _page(
    rows: Sequence[Progress],
    measure: Measure,
    title: str,
    date: str,
    most: int,
    kept: int | None = None,
) -> list[Box]:
    """Give the page with these rows, empty if they do not fit it."""
    flow = Flow(plain(title), plain(date), measure)
    flow.add(_front(plain(title), plain(date), measure))
    for row in rows[:kept]:
        flow.add(_row(row, most, measure))
    left = len(rows) - len(rows[:kept])
    if left:
        words = f"and {left} more assemblies"
        lost = f"{left} of {len(rows)} assemblies do not fit the page"
        more = text_at(_NAME, 1.5, words, 9.5, measure, bold=True, lost=lost)
        flow.add(Slab((more,), 7.0))
    flow.add(_row(total(rows), most, measure, last=True))
    return flow.finished()[0] if len(flow.pages) == 1 and flow.fits(0.0) else []


def _front(title: str, date: str, measure: Measure) -> Slab:
    boxes: list[Box] = []
    heads, y = column([Words(title, 20.0, True, 2, "the title")], LEFT, 0, WIDTH, measure)
    boxes += heads
    said = (
        f"{date}.  " if date else ""
    ) + "On: every piece is on, but something is still to be done. Waits: something is not in hand."
    words, y = column([Words(said, 9.0)], LEFT, y + 1.0, WIDTH, measure)
    boxes += words
    top = y + 4.0
    boxes.append(text_at(_NAME, top, "Assembly", 9.0, measure, bold=True))
    for edge, name in zip(_COUNTS, ("Steps", "Done", "On", "Ready", "Waits"), strict=True):
        boxes.append(text_at(edge, top, name, 9.0, measure, bold=True, right=True))
    boxes.append(text_at(_WHY, top, "Held up by", 9.0, measure, bold=True))
    return Slab(tuple(boxes), top + 5.0)


def _row(row: Progress, most: int, measure: Measure, *, last: bool = False) -> Slab:
    name = plain(row.assembly) or "(no assembly named)"
    rule = Rule(LEFT, 0, WIDTH, 0.7 if last else 0.1)
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
    why = [Words(plain("; ".join(row.why)), 8.5, False, most, f"{name[:30]}: what holds it up")]
    more, other = column(why if row.why else [], _WHY, _TOP + 1.0, RIGHT - _WHY, measure)
    boxes += more
    return Slab(tuple(boxes), max(end, other, _TOP + _TICK) + 1.3)
