"""Printing labels on sheets, rolls and tags: where each goes, and how often."""

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

from stores.errors import PrintError
from stores.model.labels import BatchTicket, BoxIndex, LabelValue
from stores.printing import stock as stocks
from stores.printing.boxes import Box, Frame, Measure, moved
from stores.printing.files import Printed, put
from stores.printing.label_values import fields_of, kind_of
from stores.printing.layout_file import best_for, load_layout
from stores.printing.layout_label import Face, Laid, lay_out

__all__ = ["Printed", "write_labels"]

_ROLL_DPI = 203
"""What a roll printer has if nothing else is said."""
_LONGER = (1.0, 1.2, 1.45, 1.75, 2.2, 2.8, 3.6, 4.8, 6.5)
"""A label cut to length is tried in these multiples of the shortest."""


def write_labels(
    values: Sequence[LabelValue],
    path: Path,
    *,
    layout: str | None = None,
    stock: str = stocks.DEFAULT,
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
    """Write labels as a PDF: of bags, boxes, parts, verdicts, batches or wires.

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
    sheet = stocks.load(stock, templates)
    dots = dpi or (0 if sheet.kind == "sheet" else _ROLL_DPI)

    def laid(measure: Measure) -> Iterable[tuple[str, Laid, float]]:
        for value in values:
            yield from _spilled(value, layout, sheet, dots, templates, measure)

    place = _Place(sheet, start, skip, copies, dx_mm, dy_mm, outlines)
    return _write(laid, path, _title(values), place, progress)


def _title(values: Sequence[LabelValue]) -> str:
    kinds = dict.fromkeys(kind_of(value) for value in values)
    kind = f"{next(iter(kinds))} " if len(kinds) == 1 else ""
    return f"{len(values)} {kind}label{'' if len(values) == 1 else 's'}"


def _face(sheet: stocks.Stock, height: float, dpi: int) -> Face:
    return Face(sheet.label_width, height, sheet.safe, sheet.hole, dpi)


def _to_length(sheet: stocks.Stock, at: Callable[[float], Laid]) -> tuple[Laid, float]:
    """Lay a label out; on a roll that is cut, as short as loses nothing and stays readable."""
    if not sheet.cut:
        return at(sheet.label_height), sheet.label_height
    heights = [sheet.label_height * factor for factor in _LONGER]
    heights = [*(height for height in heights if height < sheet.longest), sheet.longest]
    for height in heights:
        try:
            made = at(height)
        except PrintError:
            if height == sheet.longest:
                raise
            continue
        if not made.lost and not made.left:
            break
    return made, height


def _spilled(
    value: LabelValue,
    layout: str | None,
    sheet: stocks.Stock,
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
            if total > 1 and isinstance(value, BoxIndex | BatchTicket):
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
        sheet: stocks.Stock,
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
    made = list(laid(measure))
    if not made:
        raise PrintError("there are no labels to print")
    copied = [each for each in made for _ in range(place.copies)]
    spots = list(sheet.spots(len(copied), place.start, place.skip))
    pdf = Pdf(title, sheet.title, (sheet.sheet_width, sheet.sheet_height))
    warnings = [f"{code}: {lost}" for code, label, _ in made for lost in label.lost]
    page: list[Box] = []
    ends = [one.sheet != other.sheet for one, other in pairwise(spots)] + [True]
    for done, ((_, label, height), spot, last) in enumerate(
        zip(copied, spots, ends, strict=True), 1
    ):
        if place.outlines:
            edge = (sheet.label_width, height)
            page.append(Frame(spot.x, spot.y, *edge, 0.1, sheet.corner_radius))
        x, y = spot.x + place.dx, spot.y + place.dy
        page += [moved(box, x, y) for box in label.boxes]
        if last:
            if sheet.cut:
                pdf.page(page, (sheet.sheet_width, height))
            else:
                pdf.page(page)
            page = []
        if progress:
            progress(done)
    put(path, pdf.bytes())
    warnings += pdf.missing_warning()
    return Printed(path, pdf.pages, len(copied), sheet.title, tuple(warnings))
