"""Labels printed on their stock, and a sheet that shows by how much a printer is off."""

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

from stores.errors import PrintError
from stores.model.labels import BatchTicket, BoxIndex, LabelValue, StockPlace
from stores.printing.boxes import (
    MM_PER_POINT,
    READ_SIZE,
    Area,
    Box,
    Frame,
    Measure,
    Stripe,
    moved,
    text_at,
)
from stores.printing.files import Printed, put
from stores.printing.label_layout import Face, Laid, lay_out
from stores.printing.label_values import fields_of, kind_of
from stores.printing.pages import Words, column
from stores.printing.paper import chosen_paper
from stores.printing.raster import ROLL_DPI
from stores.printing.templates import (
    DEFAULT,
    LabelStock,
    best_for,
    closest_for,
    load_layout,
    load_stock,
    stems,
)

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

    lossy: list[LabelValue] = []
    less: dict[str, tuple[str, ...]] = {}

    def advice(measure: Measure) -> Iterator[str]:
        if less:
            said = dict.fromkeys(name for each in less.values() for name in each)
            many = f"{len(less)} of {len(values)} labels" if len(values) > 1 else "the label"
            yield f"No room on {many}, so shortened: {'; '.join(said)}"
        if names := larger(lossy, measure):
            yield f"Take a larger label: nothing is left out on {names}"

    def larger(short: Sequence[LabelValue], measure: Measure) -> str:
        return "" if layout else _larger(short, sheet, dpi, templates, measure)

    def laid(measure: Measure) -> Iterable[tuple[str, Laid, float]]:
        for value in values:
            try:
                made = _spilled(value, layout, sheet, dots, templates, measure)
            except PrintError as error:
                names = larger([value], measure)
                raise PrintError(f"{error} ({names} would do)") if names else error from None
            if any(each.lost for _, each, _ in made):
                lossy.append(value)
            if shorter := dict.fromkeys(name for _, each, _ in made for name in each.less):
                less[value.code] = tuple(shorter)
            yield from made

    place = _Place(sheet, start, skip, copies, dx_mm, dy_mm, outlines)
    return _write(laid, path, _title(values), place, progress, advice)


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
    """Lay out one value, over as many labels as its list needs; where a label has not even room
    for one of its lines, on one label, with those that have none counted."""
    try:
        return _on_labels(value, layout, sheet, dpi, own, measure)
    except PrintError:
        return _on_labels(value, layout, sheet, dpi, own, measure, spills=False)


def _on_labels(
    value: LabelValue,
    layout: str | None,
    sheet: LabelStock,
    dpi: int,
    own: Path | None,
    measure: Measure,
    *,
    spills: bool = True,
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
        if not spills:
            chosen = chosen.on_one_label
        made = lay_out(fields_of(said), chosen, face, measure, start)
        if layout is not None or chosen.around or not (made.counted or made.left):
            return made
        # words that run on take less room than those that stand in their places
        closer = closest_for(kind, face.area.width, face.area.height, own)
        if closer is None:
            return made
        try:
            closer = closer if spills else closer.on_one_label
            run_on = lay_out(fields_of(said), closer, face, measure, start)
        except PrintError:
            return made
        return run_on if run_on.short_of < made.short_of else made

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


def _larger(
    values: Sequence[LabelValue],
    sheet: LabelStock,
    dpi: int | None,
    own: Path | None,
    measure: Measure,
) -> str:
    """Name the smallest sheet and the smallest roll on which these labels lose nothing: sheets of
    the paper that the person has."""
    area = sheet.label_width * sheet.label_height
    stocks = [load_stock(name, own) for name in stems("stock", own)]
    paper = (
        (sheet.sheet_width, sheet.sheet_height) if sheet.kind == "sheet" else chosen_paper().size
    )
    stocks = sorted(
        (
            each
            for each in stocks
            if each.label_width * each.label_height > area
            and (each.kind == "roll" or (each.sheet_width, each.sheet_height) == paper)
        ),
        key=lambda each: (each.label_width * each.label_height, each.name),
    )
    found = {}
    for stock in stocks:
        if stock.kind in found:
            continue
        dots = dpi or (0 if stock.kind == "sheet" else ROLL_DPI)
        longest = replace(stock, label_height=stock.longest, longest=0.0) if stock.cut else stock
        try:
            loses = any(
                laid.lost
                for value in values
                for _, laid, _ in _spilled(value, None, longest, dots, own, measure)
            )
        except PrintError:
            continue
        if not loses:
            found[stock.kind] = stock.name
    return " or ".join(found.values()) if values else ""


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
    advice: Callable[[Measure], Iterable[str]],
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
    warnings = (*lost, *advice(measure), *pdf.missing_warning())
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
"""Millimetres that a scale goes on both sides of an edge."""
_FIGURES = READ_SIZE
"""Points: the figures of a scale, in two rows so that none runs into the next."""
_INSIDE = 14.0
"""Millimetres from an edge: within it stand the scales of the only label of a page."""


def layout_alignment(
    stock: LabelStock,
    measure: Measure,
    steps: Sequence[str] = (),
    command: str = "",
    dx_mm: float = 0.0,
    dy_mm: float = 0.0,
) -> list[list[Box]]:
    """Give the boxes of the sheet: a cross at each label's corners, a scale across four edges, and
    what to do with it.

    The figure that lies on the real label's edge is by how much the printer is out: it counts in
    what was given already. ``steps`` stand in the labels that no scale is in, the command under
    the last one; where a page is one label that is too small for them, on further labels.
    """
    boxes: list[Box] = []
    spots = list(stock.spots(stock.per_sheet))
    width, height = stock.label_width, stock.label_height
    for spot in spots:
        for x in (spot.x, spot.x + width):
            for y in (spot.y, spot.y + height):
                boxes += [Stripe(x - 1.5, y - 0.05, 3, 0.1), Stripe(x - 0.05, y - 1.5, 0.1, 3)]
    first, last = spots[0], spots[-1]
    scales: list[Box] = []
    for x, y, end in (
        (first.x, first.y + height * 0.3, False), (last.x + width, last.y + height * 0.3, True),
    ):  # fmt: skip
        scales += _level_scale(x, y, dx_mm, measure, end=end)
    for x, y in ((first.x + width * 0.65, first.y), (last.x + width * 0.22, last.y + height)):
        scales += _upright_scale(x, y, dy_mm, measure, end=y > first.y)
    said, more = _directions(stock, steps, command, scales, measure)
    page = [
        box
        for box in (moved(each, dx_mm, dy_mm) for each in [*boxes, *scales])
        if box.x >= 0
        and box.y >= 0
        and box.x + box.width <= stock.sheet_width
        and box.y + box.height <= stock.sheet_height
    ]
    return [[*page, *said], *more]


def _level_scale(x: float, y: float, offset: float, measure: Measure, *, end: bool) -> list[Box]:
    """A scale across an upright edge: how far to the right it prints."""
    boxes: list[Box] = []
    for figure, at in _marks(offset):
        zero = figure == 0
        length, thick = _tick(figure)
        boxes.append(Stripe(x + at - thick / 2, y, thick, length))
        if figure % 2 == 0:
            words = f"{figure:+g}" if figure else "0"
            wide = measure(words, zero, _FIGURES)
            row = 0.0 if figure % 4 == 0 else 2.7
            boxes.append(
                text_at(x + at - wide / 2, y + 5.2 + row, words, _FIGURES, measure, bold=zero)
            )
    name = text_at(x, y + 10.9, "RIGHT", _FIGURES, measure, bold=True)
    boxes.append(replace(name, x=x - name.width - 0.6 if end else x + 0.6))
    return boxes


def _upright_scale(x: float, y: float, offset: float, measure: Measure, *, end: bool) -> list[Box]:
    """A scale across a level edge: how far below it prints."""
    boxes: list[Box] = []
    for figure, at in _marks(offset):
        zero = figure == 0
        length, thick = _tick(figure)
        boxes.append(Stripe(x, y + at - thick / 2, length, thick))
        if figure % 2 == 0:
            words = f"{figure:+g}" if figure else "0"
            column_x = 5.2 if figure % 4 == 0 else 9.0
            top = y + at - _FIGURES * MM_PER_POINT / 2
            boxes.append(text_at(x + column_x, top, words, _FIGURES, measure, bold=zero))
    name = y - _REACH - 4.4 if end else y + _REACH + 1.8
    return [*boxes, text_at(x, name, "DOWN", _FIGURES, measure, bold=True)]


def _marks(offset: float) -> Iterator[tuple[float, float]]:
    """Give the figures of a scale, by halves, and how far from the edge each mark is printed.

    What is printed so far to the right leaves the edge that far to the left: figures grow against
    the way that is plus.
    """
    for half in range(-2 * _REACH, 2 * _REACH + 1):
        figure = half / 2 - round(2 * offset) / 2
        yield figure, -figure - offset


def _tick(figure: float) -> tuple[float, float]:
    """Give a mark's length and how thick it is."""
    if figure == 0:
        return 4.8, 0.3
    if figure % 2 == 0:
        return 4.4, 0.12
    return (3.0 if figure % 1 == 0 else 1.6), 0.08


def _directions(
    stock: LabelStock,
    steps: Sequence[str],
    command: str,
    scales: Sequence[Box],
    measure: Measure,
) -> tuple[list[Box], list[list[Box]]]:
    """Set what to do: on the page itself, and on further labels where it has no room."""
    if not steps:
        return [], []
    told = [[Words(step, 0.0, most=99)] for step in steps]
    if command:
        told[-1].append(Words(command, 0.0, True, 99))
    width, height = stock.label_width, stock.label_height
    if stock.per_sheet > 1:
        spots = stock.spots(stock.per_sheet)
        areas = [Area(spot.x + 3, spot.y + 2.4, width - 6, height - 4.8) for spot in spots]
        free = [area for area in areas if not any(_touches(area, box) for box in scales)]
        if len(free) >= len(told):
            places = list(zip(free, told, strict=False))
            size = _size_for(places, measure)
            return [box for area, words in places for box in _set(words, area, size, measure)], []
    wide, high = stock.sheet_width, stock.sheet_height
    inner = Area(_INSIDE, _INSIDE, wide - 2 * _INSIDE, high - 2 * _INSIDE)
    everything = [words for each in told for words in each]
    if inner.width >= 50 and _fits(everything, inner, READ_SIZE, measure):
        size = _size_for([(inner, everything)], measure)
        return _set(everything, inner, size, measure), []
    label = Area(2.4, 2.0, wide - 4.8, high - 4.0)
    pages: list[list[Words]] = []
    for each in told:
        if pages and _fits([*pages[-1], *each], label, READ_SIZE, measure):
            pages[-1] += each
        else:
            pages.append(each)
    size = _size_for([(label, words) for words in pages], measure)
    return [], [_set(words, label, size, measure) for words in pages]


def _touches(area: Area, box: Box) -> bool:
    return (
        box.x < area.right and box.x + box.width > area.x
        and box.y < area.bottom and box.y + box.height > area.y
    )  # fmt: skip


def _size_for(places: Sequence[tuple[Area, Sequence[Words]]], measure: Measure) -> float:
    """Give the largest type, 11 points at most, that all of it fits in."""
    size = 11.0
    while size > READ_SIZE and not all(_fits(words, area, size, measure) for area, words in places):
        size -= 0.5
    return size


def _fits(words: Sequence[Words], area: Area, size: float, measure: Measure) -> bool:
    sized = [replace(each, size=size) for each in words]
    return column(sized, 0, 0, area.width, measure)[1] <= area.height


def _set(words: Sequence[Words], area: Area, size: float, measure: Measure) -> list[Box]:
    sized = [replace(each, size=size) for each in words]
    return [*column(sized, area.x, area.y, area.width, measure)[0]]


def write_alignment(
    path: Path,
    *,
    stock: str = DEFAULT,
    steps: Sequence[str] = (),
    command: str = "",
    dx_mm: float = 0.0,
    dy_mm: float = 0.0,
    templates: Path | None = None,
) -> Printed:
    """Write the alignment sheet of a stock as a PDF, moved by the offsets given so far, with what
    to do with it.

    Raises:
        PrintError: no such stock, or the file cannot be written.
    """
    from stores.printing.draw import Pdf, measure

    sheet = load_stock(stock, templates)
    pdf = Pdf(f"Alignment: {sheet.title}", sheet.title, (sheet.sheet_width, sheet.sheet_height))
    for page in layout_alignment(sheet, measure, steps, command, dx_mm, dy_mm):
        pdf.page(page)
    put(path, pdf.bytes())
    return Printed(path, pdf.pages, 0, sheet.title, ())
