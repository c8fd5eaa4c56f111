"""Labels printed on their stock, and a sheet that shows by how much a printer is off."""

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

from stores.errors import PrintError
from stores.model.labels import BatchTicket, BoxIndex, LabelValue, StockPlace
from stores.printing.boxes import Box, Frame, Measure, Stripe, moved, text_at
from stores.printing.files import Printed, put
from stores.printing.label_layout import Face, Laid, lay_out
from stores.printing.label_values import fields_of, kind_of
from stores.printing.raster import ROLL_DPI
from stores.printing.templates import DEFAULT, LabelStock, best_for, load_layout, load_stock

__all__ = [
    "LabelPage",
    "Printed",
    "label_pages",
    "layout_alignment",
    "write_alignment",
    "write_labels",
]


_LONGER = (1.0, 1.2, 1.45, 1.75, 2.2, 2.8, 3.6, 4.8, 6.5)
"""A label cut to length is tried in these multiples of the shortest."""


def write_labels(
    values: Sequence[LabelValue],
    path: Path,
    *,
    layout: str | None = None,
    stock: str = DEFAULT,
    start: int = 1,
    skip: Collection[int] = (),
    copies: int = 1,
    dx_mm: float = 0.0,
    dy_mm: float = 0.0,
    outlines: bool = False,
    dpi: int | None = None,
    templates: Path | None = None,
    progress: Callable[[int], None] | None = None,
) -> Printed:
    """Write labels as a PDF: of bags, boxes, drawers, packs, parts, verdicts, batches or wires.

    ``layout`` names a file of label layouts or is the path of one; none takes the one that suits
    the stock best. ``stock`` names a file of label stock or is the path of one; ``templates`` is a
    person's own folder of both. ``start`` is the place of the first label on the first sheet, from
    1, and ``skip`` are spoilt places, numbered on over the sheets. Each label is printed ``copies``
    times. ``dx_mm`` and ``dy_mm`` move all printing to the right and down, for a printer that is
    off. ``outlines`` draws the labels' edges; ``dpi`` makes the modules of codes whole dots of the
    printer (203 on a roll if nothing is said); ``progress`` is told after each label how many are
    done. A list that may spill and has no room goes on on more labels.

    Raises:
        PrintError: no labels, no such stock or layout, a layout for another kind of label, a label
            too small, a place beyond the sheet, or a file that cannot be written. Nothing is left
            half written.
    """
    sheet = load_stock(stock, templates)
    dots = dpi or (0 if sheet.kind == "sheet" else ROLL_DPI)

    def laid(measure: Measure) -> Iterable[tuple[str, Laid, float]]:
        for value in values:
            yield from _spilled(value, layout, sheet, dots, templates, measure)

    place = _Place(sheet, start, skip, copies, dx_mm, dy_mm, outlines)
    return _write(laid, path, _title(values), place, progress)


def label_pages(
    values: Sequence[LabelValue],
    *,
    layout: str | None = None,
    stock: str = DEFAULT,
    start: int = 1,
    skip: Collection[int] = (),
    copies: int = 1,
    outlines: bool = False,
    dpi: int | None = None,
    templates: Path | None = None,
) -> "Iterator[LabelPage]":
    """Lay labels out as `write_labels` prints them: page by page, to be shown or sent elsewhere.

    Raises:
        PrintError: as in `write_labels`.
    """
    from stores.printing.draw import measure

    sheet = load_stock(stock, templates)
    dots = dpi or (0 if sheet.kind == "sheet" else ROLL_DPI)
    laid = (
        each
        for value in values
        for each in _spilled(value, layout, sheet, dots, templates, measure)
    )
    return _on_sheets(laid, _Place(sheet, start, skip, copies, 0.0, 0.0, outlines))


def _title(values: Sequence[LabelValue]) -> str:
    kinds = dict.fromkeys(kind_of(value) for value in values)
    kind = f"{next(iter(kinds))} " if len(kinds) == 1 else ""
    return f"{len(values)} {kind}label{'' if len(values) == 1 else 's'}"


def _face(sheet: LabelStock, height: float, dpi: int) -> Face:
    return Face(sheet.label_width, height, sheet.safe, sheet.hole, dpi)


def _to_length(sheet: LabelStock, at: Callable[[float], Laid]) -> tuple[Laid, float]:
    """Lay a label out; on a roll that is cut, as short as loses nothing and stays readable."""
    if not sheet.cut:
        return at(sheet.label_height), sheet.label_height
    heights = [sheet.label_height * factor for factor in _LONGER]
    heights = [*(height for height in heights if height < sheet.longest), sheet.longest]
    tried: list[tuple[Laid, float]] = []
    for height in heights:
        try:
            tried.append((at(height), height))
        except PrintError:
            if height == sheet.longest:
                raise
            continue
        if not tried[-1][0].lost and not tried[-1][0].left:
            return tried[-1]
    # something has no room at any length: no longer than the shortest that shows as much
    best = min(made.short_of for made, _ in tried)
    return next(each for each in tried if each[0].short_of == best)


def _spilled(
    value: LabelValue,
    layout: str | None,
    sheet: LabelStock,
    dpi: int,
    own: Path | None,
    measure: Measure,
) -> list[tuple[str, Laid, float]]:
    """Lay out one value, over as many labels as its list needs; each says which of how many."""
    kind = kind_of(value)

    def one(said: LabelValue, start: int, height: float) -> Laid:
        face = _face(sheet, height, dpi)
        if layout is None:
            chosen = best_for(kind, face.area.width, face.area.height, own)
        else:
            chosen = load_layout(layout, own)
        if chosen.kind != kind:
            raise PrintError(f"the layout {chosen.name} is for a {chosen.kind} label, not a {kind}")
        return lay_out(fields_of(said), chosen, face, measure, start)

    total = 1
    while True:
        made: list[tuple[str, Laid, float]] = []
        lines = max((len(each) for each in fields_of(value).lists.values()), default=0)
        start = 0
        while True:
            said = value
            if total > 1 and isinstance(value, BoxIndex | BatchTicket | StockPlace):
                said = replace(value, part=f"label {len(made) + 1} of {total}")
            laid, height = _to_length(sheet, lambda h, s=said, at=start: one(s, at, h))  # type: ignore[misc]
            made.append((value.code, laid, height))
            if not laid.left:
                break
            if lines - laid.left <= start:
                raise PrintError(f"{value.code}: no room for a line of its list on {sheet.name}")
            start = lines - laid.left
        if len(made) <= total:
            return made
        total = len(made)


class _Place:
    """Where labels go on the stock."""

    def __init__(
        self,
        sheet: LabelStock,
        start: int,
        skip: Collection[int],
        copies: int,
        dx: float,
        dy: float,
        outlines: bool,
    ) -> None:
        if not 1 <= copies <= 1000:
            raise PrintError(f"copies are counted from 1 to 1000, not {copies}")
        if not (abs(dx) <= 50 and abs(dy) <= 50):
            raise PrintError(f"an offset is at most 50 mm, not {dx:g} and {dy:g}")
        self.sheet, self.start, self.skip, self.copies = sheet, start, frozenset(skip), copies
        self.dx, self.dy, self.outlines = dx, dy, outlines


def _write(
    laid: Callable[[Measure], Iterable[tuple[str, Laid, float]]],
    path: Path,
    title: str,
    place: _Place,
    progress: Callable[[int], None] | None,
) -> Printed:
    from stores.printing.draw import Pdf, measure

    sheet = place.sheet
    pages = _on_sheets(laid(measure), place)
    pdf = Pdf(title, sheet.title, (sheet.sheet_width, sheet.sheet_height))
    lost: dict[str, None] = {}
    done = 0
    for page in pages:
        if sheet.cut:
            pdf.page(page.boxes, (sheet.sheet_width, page.height))
        else:
            pdf.page(page.boxes)
        lost |= dict.fromkeys(page.lost)
        for _ in range(page.labels):
            done += 1
            if progress:
                progress(done)
    put(path, pdf.bytes())
    warnings = (*lost, *pdf.missing_warning())
    return Printed(path, pdf.pages, done, sheet.title, warnings)


@dataclass(frozen=True, slots=True)
class LabelPage:
    """A sheet of labels, or one label of a roll: its boxes in mm, its size, and what was left out
    of them."""

    boxes: tuple[Box, ...]
    width: float
    height: float
    labels: int
    lost: tuple[str, ...]


def _on_sheets(laid: Iterable[tuple[str, Laid, float]], place: _Place) -> Iterator[LabelPage]:
    """Give labels as they stand on their sheets, one after another."""
    sheet = place.sheet
    made = list(laid)
    if not made:
        raise PrintError("there are no labels to print")
    copied = [each for each in made for _ in range(place.copies)]
    spots = list(sheet.spots(len(copied), place.start, place.skip))
    ends = [one.sheet != other.sheet for one, other in pairwise(spots)] + [True]
    page: list[Box] = []
    lost: dict[str, None] = {}
    count = 0
    for (code, label, height), spot, last in zip(copied, spots, ends, strict=True):
        if place.outlines:
            edge = (sheet.label_width, height)
            page.append(Frame(spot.x, spot.y, *edge, 0.1, sheet.corner_radius))
        x, y = spot.x + place.dx, spot.y + place.dy
        page += [moved(box, x, y) for box in label.boxes]
        lost |= dict.fromkeys(f"{code}: {words}" for words in label.lost)
        count += 1
        if last:
            high = height if sheet.cut else sheet.sheet_height
            yield LabelPage(tuple(page), sheet.sheet_width, high, count, tuple(lost))
            page, lost, count = [], {}, 0


_REACH = 5
"""Millimetres that a ruler goes on both sides of an edge."""


def layout_alignment(
    stock: LabelStock, measure: Measure, dx_mm: float = 0.0, dy_mm: float = 0.0
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
                boxes += [Stripe(x - 1.5, y - 0.05, 3, 0.1), Stripe(x - 0.05, y - 1.5, 0.1, 3)]
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
            boxes.append(Stripe(x, y + mm - 0.04, length, 0.08))
        else:
            boxes.append(Stripe(x + mm - 0.04, y, 0.08, length))
        if half % 4 == 0:
            figure = f"{mm + offset:+g}" if mm + offset else "0"
            width = measure(figure, False, 5.5)
            at = (x + 3.4, y + mm - 1.0) if down else (x + mm - width / 2, y + 3.3)
            boxes.append(text_at(*at, figure, 5.5, measure))
    return boxes


def write_alignment(
    path: Path,
    *,
    stock: str = DEFAULT,
    dx_mm: float = 0.0,
    dy_mm: float = 0.0,
    templates: Path | None = None,
) -> Printed:
    """Write the alignment sheet of a stock as a PDF, moved by the offsets given so far.

    Raises:
        PrintError: no such stock, or the file cannot be written.
    """
    from stores.printing.draw import Pdf, measure

    sheet = load_stock(stock, templates)
    pdf = Pdf(f"Alignment: {sheet.title}", sheet.title, (sheet.sheet_width, sheet.sheet_height))
    pdf.page(layout_alignment(sheet, measure, dx_mm, dy_mm))
    put(path, pdf.bytes())
    return Printed(path, pdf.pages, 0, sheet.title, ())
