"""The survey sheet: what to look at before the strip-down, with room to write."""

from collections.abc import Sequence
from pathlib import Path

from stores.model.snags import Snag
from stores.planning.survey import SURVEY, Look
from stores.printing.boxes import Box, Measure, Stripe, Tick, plain, text_at
from stores.printing.files import Printed
from stores.printing.pages import LEFT, RIGHT, WIDTH, Flow, Slab, Words, column

__all__ = ["layout_survey", "write_survey"]

_TICK = 6.0
_TEXT = LEFT + 9.0
_LINE = 8.5
"""Millimetres between writing lines: for a felt pen."""


def write_survey(path: Path, *, machine: str, date: str, snags: Sequence[Snag] = ()) -> Printed:
    """Write the sheet as a PDF, A4 upright; ``snags`` on record stand at its end.

    Raises:
        PrintError: a file that cannot be written.
    """
    from stores.printing.draw import measure, write_pdf

    pages = layout_survey(measure, machine=machine, date=date, snags=snags)
    return write_pdf(pages, path, f"Survey: {machine}", "Survey before the strip-down")


def layout_survey(
    measure: Measure, *, machine: str, date: str, snags: Sequence[Snag] = ()
) -> list[list[Box]]:
    """Give the boxes of every page, in mm from its top left corner."""
    flow = Flow(plain(f"{machine}: survey before the strip-down"), plain(date), measure)
    head, y = column(
        [
            Words(plain(f"{machine}: survey before the strip-down"), 15, bold=True, most=2,
                  name="the heading"),
            Words("Left and right as seen from the seat. Afterwards write each fault down with "
                  "'stores snag', each measurement with 'stores reading'.", 9.5, name="the note"),
        ],
        LEFT, 0, WIDTH, measure,
    )  # fmt: skip
    flow.add(Slab(tuple(head), y + 3))
    for part in SURVEY:
        title, high = column([Words(part.name, 12.5, bold=True)], LEFT, 0, WIDTH, measure)
        slabs = [_look(look, measure) for look in part.looks]
        if not flow.fits(high + 2 + slabs[0].height):
            flow.turn()
        flow.space(3)
        flow.add(Slab(tuple(title), high + 2))
        for slab in slabs:
            if not flow.fits(slab.height):
                flow.turn()
            flow.add(slab)
    if snags:
        title, high = column([Words("On record", 12.5, bold=True)], LEFT, 0, WIDTH, measure)
        if not flow.fits(high + 12):
            flow.turn()
        flow.space(3)
        flow.add(Slab(tuple(title), high + 2))
    for snag in snags:
        words = f"{snag.number}  {snag.where}: {snag.words}"
        if snag.cleared:
            words += f" (cleared: {snag.cleared})"
        boxes, high = column([Words(plain(words), 10, name=f"snag {snag.number}")], LEFT, 0, WIDTH,
                             measure)  # fmt: skip
        if not flow.fits(high + 1):
            flow.turn()
        flow.add(Slab(tuple(boxes), high + 1))
    return flow.finished()


def _look(look: Look, measure: Measure) -> Slab:
    width = RIGHT - _TEXT - (24.0 if look.sides else 0)
    paragraphs = [Words(look.text, 10.5, name=look.text)]
    if look.caution:
        paragraphs.append(Words(f"! {look.caution}", 9, name=look.caution))
    boxes: list[Box] = []
    texts, y = column(paragraphs, _TEXT, 0.6, width, measure)
    boxes += texts
    boxes.append(Tick(LEFT, 0.4, _TICK, _TICK))
    if look.sides:
        for at, side in enumerate("LR"):
            x = RIGHT - 22.0 + at * 12.0
            boxes += [Tick(x, 0.4, _TICK - 1, _TICK - 1), text_at(x + 6.0, 0.8, side, 10, measure)]
    y = max(y, _TICK + 1)
    for _ in range(look.lines):
        y += _LINE
        boxes.append(Stripe(_TEXT, y - 0.8, RIGHT - _TEXT, 0.15))
    return Slab(tuple(boxes), y + 2.2)
