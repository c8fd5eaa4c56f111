"""The shopping list on paper."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from stores.planning.shopping import AssemblyToInspect, ShoppingList, Shortage, ToMeasure
from stores.planning.supplies import ConsumableLine
from stores.printing.boxes import READ_SIZE, Box, Measure, Stripe, Tick, plain, text_at
from stores.printing.files import INSPECT_FIRST, Printed
from stores.printing.pages import LEFT, WIDTH, Flow, Slab, Words, column, counted_at, headings
from stores.text import plural

__all__ = ["layout_shopping", "write_shopping"]

_COUNT = LEFT + 18.0
_WHAT = LEFT + 21.0
_WHY = LEFT + 90.0
_JOINTS = LEFT + 125.0
_PRICE = LEFT + 147.0
_GAP = 3.0
_STEP = LEFT + 98.0
_FOUND = LEFT + 116.0


def write_shopping(listed: ShoppingList, path: Path, *, title: str, date: str) -> Printed:
    """Write the shopping list as a PDF, upright: a line to tick for each thing to buy.

    ``title`` heads it; ``date`` says when it was true. By supplier where there are several; what is
    inspected before it is bought has a sheet of its own, that stays in the workshop. An empty list
    makes a sheet that says so.

    Raises:
        PrintError: a file that cannot be written.
    """
    from stores.printing.draw import measure, write_pdf

    pages = layout_shopping(listed, measure, title=title, date=date)
    return write_pdf(pages, path, title, "Shopping list")


def layout_shopping(
    listed: ShoppingList, measure: Measure, *, title: str, date: str
) -> list[list[Box]]:
    """Give the boxes of every page, in mm from its top left corner."""
    flow = Flow(plain(title), plain(date), measure)
    flow.add(_front(listed, plain(title), plain(date), measure))
    heading = _heading(measure)
    if listed.lines or listed.supplies:
        flow.add(heading)
    for section in listed.sections:
        rows = [_row(_pieces(line), measure) for line in section.lines]
        rows += [_row(_supply(line), measure) for line in section.supplies]
        if listed.divided:
            name = _subheading(section.heading, measure)
            if not flow.fits(name.height + rows[0].height):
                flow.turn()
                flow.add(heading)
            flow.add(name)
        for row in rows:
            if not flow.fits(row.height):
                flow.turn()
                flow.add(heading)
            flow.add(row)
    buying = bool(listed.lines or listed.supplies)
    _add_unseen(listed.to_inspect, flow, measure, buying=buying)
    return flow.finished()


def _add_unseen(
    unseen: Sequence[AssemblyToInspect], flow: Flow, measure: Measure, *, buying: bool
) -> None:
    """What is looked at and measured before anything is bought for it: sheets of their own, by
    assembly, with a box to tick and a line to write on."""
    if not unseen:
        return
    pieces = plural(sum(each.pieces for each in unseen), "piece", marks=True)
    words = [
        Words(f"{INSPECT_FIRST}: {pieces}", 16.0, True, 2, "the heading"),
        Words("Not on the shopping list. Whether to buy is known once they are inspected.", 10.0),
    ]
    boxes, end = column(words, LEFT, 0, WIDTH, measure)
    if buying:
        flow.turn()
    flow.add(Slab(tuple(boxes), end + 3.0))
    head = _unseen_heading(measure)
    flow.add(head)
    for assembly in unseen:
        rows = [_unseen_row(each, measure) for each in assembly.lines]
        name = [_subheading(assembly.where, measure)] if assembly.where else []
        for at, row in enumerate(rows):
            above = name if at == 0 else []
            if not flow.fits(row.height + sum(each.height for each in above)):
                flow.turn()
                flow.add(_subheading(f"{INSPECT_FIRST}, continued", measure))
                flow.add(head)
                above = name
            for slab in (*above, row):
                flow.add(slab)


def _unseen_heading(measure: Measure) -> Slab:
    return headings(
        (
            (_COUNT, "Qty", True),
            (_WHAT, "What", False),
            (_STEP, "Step", False),
            (_FOUND, "Measured, condition", False),
        ),
        measure,
    )


def _unseen_row(each: ToMeasure, measure: Measure) -> Slab:
    top = 1.8
    room = _COUNT - LEFT - 7.0
    step = text_at(_STEP, 0, each.item, 10.5, measure)
    boxes: list[Box] = [
        Tick(LEFT + 0.4, top, 4.8, 4.8),
        *counted_at(_COUNT, top + 3.85, str(each.quantity), 12.0, measure, room=room),
        replace(step, y=top + 3.85 - step.baseline),
    ]
    words = Words(plain(each.what), 10.5, True, 6, f"{each.item}: what")
    texts, end = column([words], _WHAT, top + 1.04, _STEP - _WHAT - _GAP, measure)
    end = max(end, top + 4.8) + 1.2
    return Slab((*boxes, *texts, Stripe(LEFT, end, WIDTH, 0.1)), end + 0.1)


def _subheading(words: str, measure: Measure) -> Slab:
    boxes, end = column(
        [Words(plain(words), 10.5, True, 2, "a heading")], LEFT, 2.6, WIDTH, measure
    )
    return Slab(tuple(boxes), end + 0.8)


def _front(listed: ShoppingList, title: str, date: str, measure: Measure) -> Slab:
    lines, supplies = listed.lines, listed.supplies
    more = f", oil and other consumables in {plural(len(supplies), 'line', marks=True)}"
    and_more = more if supplies else ""
    total = (
        f"{plural(len(lines), 'line', marks=True)}, "
        f"{plural(listed.pieces, 'piece', marks=True)} to buy{and_more}."
        if lines or supplies
        else "Nothing to buy yet."
        if listed.measure_first
        else "Nothing to buy: the stores hold all that the rebuild needs."
    )
    words = [
        Words(title, 20.0, True, 2, "the title"),
        Words(f"{date}.  {total}" if date else total, 10.0),
    ]
    if lines:
        words.append(
            Words("As specified, not as found. Take the old piece along as a pattern.", 9.0)
        )
    boxes, y = column(words, LEFT, 0, WIDTH, measure)
    return Slab(tuple(boxes), y + 3.0)


@dataclass(frozen=True, slots=True)
class _Cells:
    quantity: str
    what: str
    why: str
    joints: str
    price: str = ""
    instead: str = ""
    pieces: bool = True


def _pieces(line: Shortage) -> _Cells:
    instead = f"or {line.instead}" if line.instead else ""
    if line.longer_in_hand:
        instead += f": {line.longer_in_hand} in hand"
    return _Cells(
        str(line.quantity),
        plain(line.what),
        plain(line.reckoning),
        plain(line.refs),
        plain(line.asked),
        plain(instead),
    )


def _supply(line: ConsumableLine) -> _Cells:
    quantity = "?" if line.quantity is None else str(line.quantity)
    return _Cells(
        quantity,
        plain(line.text),
        plain(line.why),
        plain(line.wanted_for),
        plain(line.asked),
        pieces=False,
    )


def _heading(measure: Measure) -> Slab:
    return headings(
        (
            (_COUNT, "Qty", True),
            (_WHAT, "What", False),
            (_WHY, "Why", False),
            (_JOINTS, "For joints", False),
            (_PRICE, "Supplier, price", False),
        ),
        measure,
    )


def _row(line: _Cells, measure: Measure) -> Slab:
    top = 1.8
    ref = line.what[:30]
    boxes: list[Box] = [Tick(LEFT + 0.4, top, 4.8, 4.8)]
    room = _COUNT - LEFT - 7.0
    if line.pieces:
        boxes += counted_at(_COUNT, top + 3.85, line.quantity, 12.0, measure, room=room)
    else:
        size = 12.0
        while size > READ_SIZE and measure(line.quantity, True, size) > room:
            size -= 0.5
        boxes.append(
            text_at(_COUNT, top + 0.1, line.quantity, size, measure, bold=True, right=True)
        )
    ends = [top + 4.8]
    for x, right, words in (
        (_WHAT, _WHY, Words(line.what, 10.5, True, 14, f"{ref}: what")),
        (_WHY, _JOINTS, Words(line.why, 8.5, False, 18, f"{ref}: why")),
        (_JOINTS, _PRICE, Words(line.joints, 8.5, False, 40, f"{ref}: joints")),
        (_PRICE, LEFT + WIDTH + _GAP, Words(line.price, 8.5, False, 18, f"{ref}: price")),
    ):
        if not words.text:
            continue
        small = Words(line.instead, 8.0, False, 4, f"{ref}: instead")
        texts, end = column(
            [words, small] if x == _WHAT and line.instead else [words],
            x,
            top + (0.5 if words.bold else 1.05),
            right - x - _GAP,
            measure,
        )
        boxes += texts
        ends.append(end)
    end = max(ends) + 1.2
    boxes.append(Stripe(LEFT, end, WIDTH, 0.1))
    return Slab(tuple(boxes), end + 0.1)
