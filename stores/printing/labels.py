"""Printing labels for bags on sheets of stock."""

from collections.abc import Callable, Sequence
from pathlib import Path

from stores.errors import PrintError
from stores.planning.bags import Bag
from stores.printing import stock as stocks
from stores.printing.bag_label import layout_bag_label
from stores.printing.boxes import Box, Frame, Text, moved
from stores.printing.files import Printed, put

__all__ = ["Printed", "write_bag_labels"]


def write_bag_labels(
    bags: Sequence[Bag],
    path: Path,
    *,
    stock: str = stocks.DEFAULT,
    start: int = 1,
    outlines: bool = False,
    progress: Callable[[int], None] | None = None,
) -> Printed:
    """Write the labels of these bags as a PDF.

    ``stock`` names a file of label templates or is the path of one; ``start`` is the place of the
    first label on the first sheet, from 1, so that a begun sheet can be used up; ``outlines``
    draws the labels' edges, for a trial on plain paper; ``progress`` is told after each label how
    many are done.

    Raises:
        PrintError: no labels, no such stock, a start beyond the sheet, or a file that cannot be
            written. Nothing is left half written.
    """
    from stores.printing.draw import Pdf, measure

    if not bags:
        raise PrintError("there are no labels to print")
    sheet = stocks.load(stock)
    spots = list(sheet.spots(len(bags), start))
    count = "1 bag" if len(bags) == 1 else f"{len(bags)} bags"
    pdf = Pdf(f"Bag labels: {count}", f"{sheet.title}", (sheet.sheet_width, sheet.sheet_height))
    warnings: list[str] = []
    page: list[Box] = []
    under_way = 0
    for done, (bag, spot) in enumerate(zip(bags, spots, strict=True), 1):
        if spot.sheet != under_way:
            pdf.page(page)
            page, under_way = [], spot.sheet
        boxes = layout_bag_label(bag, sheet.label_width, sheet.label_height, measure, sheet.safe)
        warnings += [
            f"{bag.code}: {box.lost}" for box in boxes if isinstance(box, Text) and box.lost
        ]
        if outlines:
            edge = (sheet.label_width, sheet.label_height)
            page.append(Frame(spot.x, spot.y, *edge, 0.1, sheet.corner_radius))
        page += [moved(box, spot.x, spot.y) for box in boxes]
        if progress:
            progress(done)
    pdf.page(page)
    put(path, pdf.bytes())
    warnings += pdf.missing_warning()
    return Printed(path, pdf.pages, len(bags), sheet.title, tuple(warnings))
