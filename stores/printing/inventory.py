"""The inventory on paper, and as rows for a spreadsheet."""

from collections.abc import Iterator
from pathlib import Path

from stores.model.money import show_money
from stores.model.stock import name_alone, so_much
from stores.planning.inventory import HEADS, Inventory, held_by, value_words
from stores.planning.places import Held, PlaceLine
from stores.printing.boxes import READ_SIZE, Box, Measure, Stripe, plain, text_at
from stores.printing.files import Printed, Sheet, as_words, in_hundredths, write_book
from stores.printing.pages import (
    LEFT,
    RIGHT,
    WIDTH,
    Flow,
    Slab,
    Words,
    column,
    counted_at,
    headings,
)

__all__ = ["cells", "layout_inventory", "write_inventory", "write_inventory_xlsx"]

_COUNT = LEFT + 21.0
_WHAT = LEFT + 24.0
_CONDITION = LEFT + 93.0
_OF = LEFT + 119.0
_VALUE = RIGHT
_GAP = 2.5


def write_inventory(listed: Inventory, path: Path, *, date: str) -> Printed:
    """Write the inventory as a PDF, upright: place by place, each with its totals.

    Raises:
        PrintError: a file that cannot be written.
    """
    from stores.printing.draw import measure, write_pdf

    pages = layout_inventory(listed, measure, date=date)
    return write_pdf(pages, path, listed.title, "Inventory")


def layout_inventory(listed: Inventory, measure: Measure, *, date: str) -> list[list[Box]]:
    """Give the boxes of every page, in mm from its top left corner."""
    title, day = plain(listed.title), plain(date)
    flow = Flow(title, day, measure)
    flow.add(_front(listed, title, day, measure))
    heading = _heading(measure, valued=listed.unpriced < listed.lines)
    for place in listed.places:
        name = _place(place, listed.currency, measure)
        rows = [_row(held, measure) for held in place.held]
        flow.space(3.0)
        if not flow.fits(name.height + heading.height + rows[0].height):
            flow.turn()
        flow.add(name)
        flow.add(heading)
        for row in rows:
            if not flow.fits(row.height):
                flow.turn()
                flow.add(_continued(place, measure))
                flow.add(heading)
            flow.add(row)
    end = _end(listed, measure)
    if not flow.fits(end.height):
        flow.turn()
    flow.add(end)
    return flow.finished()


def _front(listed: Inventory, title: str, day: str, measure: Measure) -> Slab:
    words = [Words(title, 20.0, True, 3, "the title"), Words(f"{day}.  {listed.totals}.", 11.0)]
    if listed.unpriced < listed.lines:
        words.append(
            Words("Value: what it costs new, by the newest price; condemned pieces: nothing.", 9.5)
        )
    boxes, y = column(words, LEFT, 0, WIDTH, measure)
    return Slab(tuple(boxes), y + 2.0)


def _where(place: PlaceLine) -> str:
    where = place.kind.at(place.name)
    inside = f"  ({place.inside})" if place.inside else ""
    return plain(f"{where[:1].upper()}{where[1:]}{inside}")


def _place(place: PlaceLine, currency: str, measure: Measure) -> Slab:
    said = place.counts
    if place.unpriced < len(place.held):
        said += f"; {value_words(place, currency)}"
    words = [Words(_where(place), 14.0, True, 3, place.name), Words(said, 10.5)]
    boxes, y = column(words, LEFT, 0, WIDTH, measure)
    return Slab(tuple(boxes), y + 1.2)


def _continued(place: PlaceLine, measure: Measure) -> Slab:
    words = [Words(f"{_where(place)}, continued", 11.0, True, 2, place.name)]
    boxes, y = column(words, LEFT, 0, WIDTH, measure)
    return Slab(tuple(boxes), y + 1.2)


def _heading(measure: Measure, *, valued: bool) -> Slab:
    return headings(
        (
            (_COUNT, "Count", True),
            (_WHAT, "What", False),
            (_CONDITION, "Condition", False),
            (_OF, "Of", False),
            *([(_VALUE, "Value", True)] if valued else []),
        ),
        measure,
        rule=0.4,
        height=5.0,
    )


def _row(held: Held, measure: Measure) -> Slab:
    top = 0.8
    value = "" if held.value is None else show_money(held.value)
    boxes: list[Box] = []
    low = top + 5.0
    count = so_much(held.quantity, held.unit)
    if held.unit:
        size = 11.5
        while size > READ_SIZE and measure(count, True, size) > _COUNT - LEFT:
            size -= 0.5
        boxes.append(text_at(_COUNT, top, count, size, measure, bold=True, right=True))
    else:
        boxes += counted_at(_COUNT, top + 3.7, count, 11.5, measure, room=_COUNT - LEFT)
    width = measure(value, False, 10.5) + _GAP if value else 0.0
    if value:
        boxes.append(text_at(_VALUE, top + 0.3, value, 10.5, measure, right=True))
    for text, points, x, right in (
        (name_alone(held.unit, held.text), 11.0, _WHAT, _CONDITION - _GAP),
        (held.state, 10.0, _CONDITION, _OF - _GAP),
        (held_by(held), 10.0, _OF, RIGHT - width),
    ):
        words = Words(plain(text), points, most=8, name=held.item)
        texts, end = column(
            [words] if words.text else [], x, top + (11.5 - points) * 0.3, right - x, measure
        )
        boxes += texts
        low = max(low, end)
    boxes.append(Stripe(LEFT, low + 0.6, WIDTH, 0.1))
    return Slab(tuple(boxes), low + 0.9)


def _end(listed: Inventory, measure: Measure) -> Slab:
    boxes, y = column([Words(f"In all: {listed.totals}", 12.0, True, 3)], LEFT, 4, WIDTH, measure)
    return Slab(tuple(boxes), y)


def cells(listed: Inventory) -> Iterator[tuple[object, ...]]:
    """Give the rows for a CSV file: no word that a spreadsheet reads as a date or a figure."""
    for *words, value in listed.rows():
        yield (
            *(as_words(cell) if isinstance(cell, str) else cell for cell in words),
            "" if value is None else str(in_hundredths(value)),
        )


_WIDTHS = (18, 22, 9, 8, 44, 16, 40, 12)
_TOTALS = ("Place", "Sits in", "Pieces", "Consumables", "Value", "Lines without a price")
_TOTAL_WIDTHS = (24, 28, 10, 14, 12, 24)


def write_inventory_xlsx(listed: Inventory, path: Path) -> Printed:
    """Write the inventory as a spreadsheet file: every line, and a sheet of totals by place.

    Raises:
        PrintError: a file that cannot be written.
    """
    lines = [(*words, in_hundredths(value)) for *words, value in listed.rows()]
    totals: list[tuple[object, ...]] = [
        (
            place.name, place.inside, place.pieces, place.amounts,
            in_hundredths(None if place.unpriced == len(place.held) else place.value),
            place.unpriced,
        )
        for place in listed.places
    ]  # fmt: skip
    none = listed.unpriced == listed.lines
    totals.append(
        (
            "In all", "", listed.pieces, listed.amounts,
            in_hundredths(None if none else listed.value), listed.unpriced,
        )
    )  # fmt: skip
    currency = f", {listed.currency}" if listed.currency else ""
    heads, total_heads = (
        tuple(f"Value{currency}" if head == "Value" else head for head in each)
        for each in (HEADS, _TOTALS)
    )
    return write_book(
        path,
        (
            Sheet("Inventory", heads, lines, _WIDTHS),
            Sheet("By place", total_heads, totals, _TOTAL_WIDTHS),
        ),
    )
