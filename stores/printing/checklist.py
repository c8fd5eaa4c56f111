"""The rebuild as a checklist on paper: to be read and ticked with oily hands."""

from collections.abc import Sequence
from pathlib import Path

from stores.errors import PrintError
from stores.model.snags import Snag
from stores.planning.figures import Fill
from stores.planning.rebuild import Stage
from stores.printing.boxes import Box, Measure, Rule, Text, text_at
from stores.printing.checklist_line import AIR, TICK, WHAT, WHERE, tick, write_on
from stores.printing.checklist_step import (
    Shared,
    framed,
    heading,
    heading_again,
    snag_row,
    step_rows,
)
from stores.printing.files import Printed, put
from stores.printing.fit import plain
from stores.printing.paper import LEFT, RIGHT, WIDTH, Flow, Slab, Words, column
from stores.text import plural

__all__ = ["CAUTION", "HOW", "layout_checklist", "write_checklist"]

CAUTION = (
    "The maker's figures and procedure come first. Brakes, steering and wheels are checked by a "
    "second person before the machine moves. General torques are computed, not the maker's. Tick a "
    "line when the piece is on and tight."
)
HOW = (
    "Top to bottom, one step after the other. Codes such as A001N are written on the bags. To tick "
    "off on the screen too: type stores refit and a space, then scan the code."
)
_TOGETHER = 85.0
"""Millimetres: a stage no higher than this is not divided between pages."""


def write_checklist(
    stages: Sequence[Stage],
    path: Path,
    *,
    title: str,
    date: str,
    oils: Sequence[Fill] = (),
    snags: Sequence[Snag] = (),
) -> Printed:
    """Write the rebuild checklist as a PDF, A4 upright.

    ``title`` heads it; ``date`` says when it was true; ``oils`` are filled in the end, ``snags``
    those that hang on no step, to be cleared by then.

    Raises:
        PrintError: nothing to do, or a file that cannot be written.
    """
    from stores.printing.draw import Pdf, measure

    if not stages:
        raise PrintError("there is nothing to rebuild yet: no step has been recorded")
    pages = layout_checklist(stages, measure, title=title, date=date, oils=oils, snags=snags)
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
    snags: Sequence[Snag] = (),
) -> list[list[Box]]:
    """Give the boxes of every page, in mm from its top left corner.

    A stage's heading always has its first line under it; a stage that runs on repeats a short
    heading at the top of the next page.
    """
    flow = Flow(plain(title), plain(date), measure)
    flow.add(_front(stages, plain(title), plain(date), measure))
    shared = _shared(stages)
    for stage in stages:
        _add_stage(flow, stage, shared, measure)
    if snags:
        rows = [snag_row(snag, measure) for snag in snags]
        _add_block(flow, "Before it is closed up: snags", rows, measure)
    if oils:
        _add_block(flow, "In the end: oil", [_oil_row(fill, measure) for fill in oils], measure)
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
    above = Slab((Rule(LEFT, 0, WIDTH, 0.7), words), words.y + words.height + 1.6)
    flow.space(5.0)
    whole = above.height + sum(row.height for row in rows)
    if not flow.fits(whole if whole <= _TOGETHER else above.height + rows[0].height):
        flow.turn()
    flow.add(above)
    for row in rows:
        if not flow.fits(row.height):
            flow.turn()
        flow.add(row)


def _oil_row(fill: Fill, measure: Measure) -> Slab:
    boxes: list[Box] = [Rule(LEFT, 0, WIDTH, 0.1), tick(False)]
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
    boxes += write_on(WHERE + filled.width + 1.5, RIGHT, base, "ml", measure)
    return Slab(tuple(boxes), max(end, base + 1.0, AIR + TICK) + 1.4)


def _add_stage(flow: Flow, stage: Stage, shared: Shared, measure: Measure) -> None:
    above = heading(stage, shared, measure)
    rows = step_rows(stage, measure)
    whole = above.height + sum(row.height for row in rows)
    first = above.height + rows[0].height
    flow.space(5.0)
    if not flow.fits(whole if whole <= _TOGETHER else first):
        flow.turn()
    flow.add(above)
    for row in rows:
        if not flow.fits(row.height):
            flow.turn()
            flow.add(heading_again(stage, measure))
        flow.add(row)


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
    slab = framed([Words(CAUTION, 9.5, True), Words(HOW, 9.0)], y + 2.0, measure)
    return Slab((*boxes, *slab.boxes), slab.height + 1.0)
