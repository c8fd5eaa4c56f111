"""A sheet that shows by how much a printer is off: rulers at edges of labels. Pure, then drawn."""

from pathlib import Path

from stores.printing import stock as stocks
from stores.printing.boxes import Box, Measure, Rule, moved, text_at
from stores.printing.files import Printed, put

__all__ = ["layout_alignment", "write_alignment"]

_REACH = 5
"""Millimetres that a ruler goes on both sides of an edge."""


def layout_alignment(
    stock: stocks.Stock, measure: Measure, dx_mm: float = 0.0, dy_mm: float = 0.0
) -> list[Box]:
    """Give the boxes of the sheet: a cross at each label's corners, a ruler across two edges.

    The figure that lies on the real label's edge is the offset to give. It counts in what was
    given already.
    """
    boxes: list[Box] = []
    spots = list(stock.spots(stock.per_sheet))
    width, height = stock.label_width, stock.label_height
    for spot in spots:
        for x in (spot.x, spot.x + width):
            for y in (spot.y, spot.y + height):
                boxes += [Rule(x - 1.5, y - 0.05, 3, 0.1), Rule(x - 0.05, y - 1.5, 0.1, 3)]
    first, last = spots[0], spots[-1]
    for x, y in ((first.x, first.y + height * 0.3), (last.x + width, last.y + height * 0.3)):
        boxes += _ruler(x, y, dx_mm, measure, down=False)
    for x, y in ((first.x + width * 0.7, first.y), (last.x + width * 0.3, last.y + height)):
        boxes += _ruler(x, y, dy_mm, measure, down=True)
    left, top = stock.left, stock.top
    size = 7.0 if width >= 60 else 5.5
    row = (stock.rows // 2) * stock.down if stock.rows > 2 else height * 0.55
    words = ("Print at 100 %. Hold against", "the labels: the figure on", "the edge is the offset.")
    for at, said in enumerate(words):
        y = top + row + 2 + at * size * 0.42
        boxes.append(text_at(left + 8, y, said, size, measure))
    sheet_width = stock.sheet_width
    shifted = [moved(box, dx_mm, dy_mm) for box in boxes]
    return [
        box
        for box in shifted
        if box.x >= 0
        and box.y >= 0
        and box.x + box.width <= sheet_width
        and box.y + box.height <= stock.sheet_height
    ]


def _ruler(x: float, y: float, offset: float, measure: Measure, *, down: bool) -> list[Box]:
    """A ruler across an edge, from its middle; ``down``: the edge lies level."""
    boxes: list[Box] = []
    for half in range(-2 * _REACH, 2 * _REACH + 1):
        mm = half / 2
        length = 3.0 if half % 2 == 0 else 1.6
        if down:
            boxes.append(Rule(x, y + mm - 0.04, length, 0.08))
        else:
            boxes.append(Rule(x + mm - 0.04, y, 0.08, length))
        if half % 4 == 0:
            figure = f"{mm + offset:+g}" if mm + offset else "0"
            width = measure(figure, False, 5.5)
            at = (x + 3.4, y + mm - 1.0) if down else (x + mm - width / 2, y + 3.3)
            boxes.append(text_at(*at, figure, 5.5, measure))
    return boxes


def write_alignment(
    path: Path,
    *,
    stock: str = stocks.DEFAULT,
    dx_mm: float = 0.0,
    dy_mm: float = 0.0,
    templates: Path | None = None,
) -> Printed:
    """Write the alignment sheet of a stock as a PDF, moved by the offsets given so far.

    Raises:
        PrintError: no such stock, or the file cannot be written.
    """
    from stores.printing.draw import Pdf, measure

    sheet = stocks.load(stock, templates)
    pdf = Pdf(f"Alignment: {sheet.title}", sheet.title, (sheet.sheet_width, sheet.sheet_height))
    pdf.page(layout_alignment(sheet, measure, dx_mm, dy_mm))
    put(path, pdf.bytes())
    return Printed(path, pdf.pages, 0, sheet.title, ())
