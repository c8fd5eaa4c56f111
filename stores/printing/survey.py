"""The survey sheet: what to look at before the strip-down, with room to write."""

from collections.abc import Sequence
from pathlib import Path

from stores.model.snags import Snag
from stores.planning.survey import Look, Part, SurveyList
from stores.printing.boxes import Box, Measure, Stripe, Tick, plain, text_at
from stores.printing.files import Printed
from stores.printing.pages import LEFT, RIGHT, WIDTH, Flow, Slab, Words, column

__all__ = ["layout_survey", "write_survey"]

_TICK = 6.0
_TEXT = LEFT + 9.0
_LINE = 8.5
"""Millimetres between writing lines: for a felt pen."""
_BESIDE = 104.0
"""How wide a question is, in mm, that has room for its answer beside it."""
_SIDES = 24.0


def write_survey(
    path: Path,
    *,
    machine: str,
    date: str,
    lists: Sequence[SurveyList],
    snags: Sequence[Snag] = (),
) -> Printed:
    """Write the sheets as a PDF, upright, each list on a page of its own; ``snags`` on record
    stand at their end.

    Raises:
        PrintError: a file that cannot be written.
    """
    from stores.printing.draw import measure, write_pdf

    pages = layout_survey(measure, machine=machine, date=date, lists=lists, snags=snags)
    return write_pdf(pages, path, f"Survey: {machine}", "Survey before the strip-down")


def layout_survey(
    measure: Measure,
    *,
    machine: str,
    date: str,
    lists: Sequence[SurveyList],
    snags: Sequence[Snag] = (),
) -> list[list[Box]]:
    """Give the boxes of every page, in mm from its top left corner."""
    flow = Flow(plain(f"{machine}: survey before the strip-down"), plain(date), measure)
    for each in lists:
        if not flow.fresh:
            flow.turn()
        flow.add(_head(each, machine, measure))
        for part in each.parts:
            _add(flow, part, measure)
    rows = [_on_record(snag, measure) for snag in snags]
    if rows:
        title, high = column([Words("On record", 12.5, bold=True)], LEFT, 0, WIDTH, measure)
        if not flow.fits(_ABOVE + high + 2 + rows[0].height):
            flow.turn()
        flow.space(_ABOVE)
        flow.add(Slab(tuple(title), high + 2))
    for row in rows:
        if not flow.fits(row.height):
            flow.turn()
        flow.add(row)
    return flow.finished()


_ABOVE = 3.0
"""Millimetres of white above a heading."""


def _on_record(snag: Snag, measure: Measure) -> Slab:
    words = f"{snag.number}  {snag.where}: {snag.words}"
    if snag.cleared:
        words += f" (cleared: {snag.cleared})"
    boxes, high = column(
        [Words(plain(words), 10, name=f"snag {snag.number}")], LEFT, 0, WIDTH, measure
    )
    return Slab(tuple(boxes), high + 1)


def _head(each: SurveyList, machine: str, measure: Measure) -> Slab:
    note = " ".join(
        (
            f"{each.title}. {each.note}".strip(),
            "Afterwards write each fault down with 'stores snag', each measurement with "
            "'stores figure reading'.",
        )
    )
    boxes, y = column(
        [
            Words(plain(f"{machine}: survey before the strip-down"), 15, bold=True, most=2,
                  name="the heading"),
            Words(plain(note), 9.5, name="the note"),
        ],
        LEFT, 0, WIDTH, measure,
    )  # fmt: skip
    return Slab(tuple(boxes), y + 3)


def _add(flow: Flow, part: Part, measure: Measure) -> None:
    """Put down a part, its heading on the page of its first question."""
    words = [Words(plain(part.name), 12.5, bold=True, name=part.name)]
    if part.caution:
        words.append(Words(plain(f"! {part.caution}"), 9, name=part.caution))
    title, high = column(words, LEFT, 0, WIDTH, measure)
    slabs = [_look(look, measure) for look in part.looks]
    if not flow.fits(_ABOVE + high + 2 + slabs[0].height):
        flow.turn()
    flow.space(_ABOVE)
    flow.add(Slab(tuple(title), high + 2))
    for slab in slabs:
        if not flow.fits(slab.height):
            flow.turn()
        flow.add(slab)


def _look(look: Look, measure: Measure) -> Slab:
    end = RIGHT - (_SIDES if look.sides else 0)
    width = end - _TEXT if look.lines else _BESIDE
    boxes: list[Box] = [Tick(LEFT, 0.4, _TICK, _TICK)]
    texts, y = column([Words(plain(look.text), 10.5, name=look.text)], _TEXT, 0.6, width, measure)
    boxes += texts
    if look.sides:
        for at, side in enumerate("LR"):
            x = RIGHT - 22.0 + at * 12.0
            boxes += [Tick(x, 0.4, _TICK - 1, _TICK - 1), text_at(x + 6.0, 0.8, side, 10, measure)]
    if not look.lines:
        y = max(y, _TICK + 1)
        boxes.append(Stripe(_TEXT + _BESIDE + 3, y - 0.8, end - _TEXT - _BESIDE - 3, 0.15))
    if look.caution:
        warning = [Words(plain(f"! {look.caution}"), 9, name=look.caution)]
        texts, y = column(warning, _TEXT, y, RIGHT - _TEXT, measure)
        boxes += texts
    y = max(y, _TICK + 1)
    for _ in range(look.lines):
        y += _LINE
        boxes.append(Stripe(_TEXT, y - 0.8, RIGHT - _TEXT, 0.15))
    return Slab(tuple(boxes), y + (2.2 if look.lines else 1.2))
