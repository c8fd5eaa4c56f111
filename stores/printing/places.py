"""The index of places on paper: bags with the box that each is in."""

from collections.abc import Sequence
from pathlib import Path

from stores.planning.places import PlaceLine
from stores.printing.boxes import Box, Measure, Stripe, plain, text_at
from stores.printing.files import Printed
from stores.printing.pages import LEFT, WIDTH, Flow, Slab, Words, column

__all__ = ["layout_places", "write_places"]

_INSIDE = LEFT + 30.0
_PIECES = LEFT + 82.0
_STEPS = LEFT + 86.0
_WHAT = LEFT + 108.0


def write_places(lines: Sequence[PlaceLine], path: Path, *, title: str, date: str) -> Printed:
    """Write the index as a PDF, upright.

    Raises:
        PrintError: a file that cannot be written.
    """
    from stores.printing.draw import measure, write_pdf

    pages = layout_places(lines, measure, title=title, date=date)
    return write_pdf(pages, path, title, "Index of places")


def layout_places(
    lines: Sequence[PlaceLine], measure: Measure, *, title: str, date: str
) -> list[list[Box]]:
    """Give the boxes of every page, in mm from its top left corner."""
    flow = Flow(plain(title), plain(date), measure)
    head, y = column([Words(plain(title), 15, bold=True, most=2, name="the heading")], LEFT, 0,
                     WIDTH, measure)  # fmt: skip
    flow.add(Slab(tuple(head), y + 4))
    heading = _heading(measure)
    flow.add(heading)
    for line in lines:
        row = _row(line, measure)
        if not flow.fits(row.height):
            flow.turn()
            flow.add(heading)
        flow.add(row)
    return flow.finished()


def _heading(measure: Measure) -> Slab:
    boxes: list[Box] = [
        text_at(LEFT, 0, "Place", 8.5, measure),
        text_at(_INSIDE, 0, "in", 8.5, measure),
        text_at(_PIECES, 0, "Pieces", 8.5, measure, right=True),
        text_at(_STEPS, 0, "Steps", 8.5, measure),
        text_at(_WHAT, 0, "What", 8.5, measure),
        Stripe(LEFT, 4.2, WIDTH, 0.3),
    ]
    return Slab(tuple(boxes), 5.6)


def _row(line: PlaceLine, measure: Measure) -> Slab:
    boxes: list[Box] = []
    low = 0.0
    for words, x, width in (
        (Words(plain(line.name), 11, bold=True, most=3, name=line.name), LEFT, 28.0),
        (Words(plain(line.inside), 10, most=3, name=line.name), _INSIDE, 38.0),
        (Words(plain(line.steps), 10, most=4, name=line.name), _STEPS, 20.0),
        (Words(plain(line.what), 9, most=8, name=line.name), _WHAT, LEFT + WIDTH - _WHAT),
    ):
        texts, y = column([words] if words.text else [], x, 0.6, width, measure)
        boxes += texts
        low = max(low, y)
    boxes.append(text_at(_PIECES, 0.6, str(line.pieces), 11, measure, bold=True, right=True))
    low = max(low, 5.5)
    boxes.append(Stripe(LEFT, low + 0.6, WIDTH, 0.1))
    return Slab(tuple(boxes), low + 1.2)
