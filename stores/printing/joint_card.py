"""A card for one joint: its picture, the passes to tick, the order as a list, and cautions."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from stores.errors import BadValue, PrintError
from stores.handbook.answer import cite
from stores.handbook.tightening.order import Plan
from stores.handbook.tightening.picture import order_list
from stores.printing.boxes import Box, Measure, Rule, Text, Tick, moved, text_at
from stores.printing.files import Printed, put
from stores.printing.fit import cut_end, plain
from stores.printing.joint_picture import joint_boxes
from stores.printing.paper import Slab, Words, column

__all__ = ["PAPERS", "joint_boxes", "layout_joint_card", "write_joint_card"]

PAPERS = {"A4": (210.0, 297.0), "A5": (148.0, 210.0)}
"""Width and height in mm, upright: ISO 216."""
_LEFT = 16.0
"""Millimetres: wide enough for punched holes."""
_RIGHT = 10.0
_TOP = 10.0
_BOTTOM = 9.0
_LEAST_PICTURE = 50.0
_MARGIN = 16.0
"""Millimetres above and below the holes together, for circles and words."""
_PASS = 6.2
"""Millimetres of height for a pass with its tick."""
_LEGEND = "In the circle: the turn to tighten. Beside it: the hole"


def write_joint_card(
    plan: Plan, path: Path, *, title: str = "", date: str = "", paper: str = "A5"
) -> Printed:
    """Write the card of a joint as a PDF of one page, A5 or A4 upright.

    ``title`` heads it, the joint's name if empty; ``date`` says when it was made.

    Raises:
        BadValue: another paper.
        PrintError: too many holes for the paper, or a file that cannot be written.
    """
    from stores.printing.draw import Pdf, measure

    boxes = layout_joint_card(plan, measure, title=title, date=date, paper=paper)
    pdf = Pdf(_title(plan, title), "Tightening order", PAPERS[paper.upper()])
    pdf.page(boxes)
    put(path, pdf.bytes())
    lost = [box.lost for box in boxes if isinstance(box, Text) and box.lost]
    return Printed(path, pdf.pages, warnings=(*lost, *pdf.missing_warning()))


@dataclass(frozen=True, slots=True)
class _Page:
    width: float
    height: float

    @property
    def room(self) -> float:
        return self.width - _LEFT - _RIGHT


def layout_joint_card(
    plan: Plan, measure: Measure, *, title: str = "", date: str = "", paper: str = "A5"
) -> list[Box]:
    """Give the boxes of the card, in mm from the page's top left corner.

    The picture takes what the words leave. Raises as `write_joint_card`.
    """
    if paper.upper() not in PAPERS:
        raise BadValue(f"no paper {paper!r} for a joint card: A4 or A5")
    page = _Page(*PAPERS[paper.upper()])
    head = _head(plan, _title(plan, title), plain(date), page, measure)
    below = [
        _passes(plan, page, measure),
        _listed(plan, page, measure),
        _cautions(plan, page, measure),
    ]
    words = head.height + sum(slab.height for slab in below)
    height = min(page.height - _TOP - _BOTTOM - words, _wanted(plan, page))
    if height < _LEAST_PICTURE:
        raise PrintError(
            f"{len(plan.joint.holes)} holes and their list do not fit on {paper.upper()}"
            + (": take A4" if paper.upper() == "A5" else "")
        )
    picture = Slab(joint_boxes(plan, page.room, height, measure), height)
    boxes: list[Box] = []
    y = _TOP
    for slab in (head, picture, *below):
        boxes += [moved(box, _LEFT, y) for box in slab.boxes]
        y += slab.height
    return boxes


def _wanted(plan: Plan, page: _Page) -> float:
    """Give the height in mm that the picture would fill at the full width."""
    xs = [hole.x_mm for hole in plan.joint.holes]
    ys = [hole.y_mm for hole in plan.joint.holes]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    return max(_LEAST_PICTURE, min(1.0, high / wide if wide else 1.0) * page.room + _MARGIN)


def _title(plan: Plan, title: str) -> str:
    return plain(title) or plain(plan.joint.name) or "Tightening order"


def _head(plan: Plan, title: str, date: str, page: _Page, measure: Measure) -> Slab:
    count = len(plan.joint.holes)
    torque = plan.stages[-1].torque
    said = [f"{count} holes", torque or "torque: ____ N m", *([date] if date else [])]
    boxes, y = column(
        [
            Words(title, 16.0, True, 2, "the title"),
            Words(" · ".join(said), 10.0, True),
            Words(
                f"{_LEGEND}{' and what goes in' if plan.joint.with_lengths else ''}."
                f"{'' if plan.joint.to_scale else ' A sketch, not to scale.'}",
                8.0,
            ),
        ],
        0,
        0,
        page.room,
        measure,
    )
    return Slab((*boxes, Rule(0, y + 0.4, page.room, 0.3)), y + 2.2)


def _passes(plan: Plan, page: _Page, measure: Measure) -> Slab:
    """The passes: a tick each, what to do, per cent and torque, or a line to write it on."""
    right = page.room
    share = right - 27.0
    boxes: list[Box] = [
        Rule(0, 1.0, right, 0.3),
        text_at(0, 1.9, "Passes", 8.5, measure, bold=True),
        text_at(share, 1.9, "%", 8.5, measure, bold=True, right=True),
        text_at(right, 1.9, "N m", 8.5, measure, bold=True, right=True),
    ]
    y = 5.8
    for at, stage in enumerate(plan.stages, 1):
        boxes += [Rule(0, y, right, 0.1), Tick(0.4, y + 1.0, 4.2, 4.2)]
        words, size, room = f"{at}. {stage.what}", 9.0, share - 16.0
        while size > 6.5 and measure(words, False, size) > room:
            size -= 0.5
        words = cut_end(words, room, size, measure)
        boxes.append(text_at(7.0, y + 1.5, words, size, measure))
        if stage.per_cent is not None:
            boxes.append(
                text_at(share, y + 1.3, str(stage.per_cent), 10.0, measure, bold=True, right=True)
            )
            if stage.torque_nm is None:
                boxes.append(Rule(right - 18.0, y + _PASS - 1.2, 18.0, 0.2))
            else:
                torque = f"{stage.torque_nm:.10g}"
                boxes.append(text_at(right, y + 1.3, torque, 10.0, measure, bold=True, right=True))
        y += _PASS
    return Slab(tuple(boxes), y + 0.6)


def _listed(plan: Plan, page: _Page, measure: Measure) -> Slab:
    """The order as a list in columns, read down, and the order of loosening."""
    rows = order_list(plan)
    columns = min(len(rows), max(2, int(page.room // (30.0 if plan.joint.with_lengths else 19.0))))
    deep = -(-len(rows) // columns)
    wide = page.room / columns
    pitch = 4.0
    boxes: list[Box] = [
        Rule(0, 0.4, page.room, 0.3),
        text_at(0, 1.3, "Turn: hole, read down", 8.5, measure, bold=True),
    ]
    top = 5.4
    for at, (turn, hole, length) in enumerate(rows):
        x, y = at // deep * wide, top + at % deep * pitch
        number = text_at(x + 6.0, y, f"{turn}:", 8.5, measure, bold=True, right=True)
        label = text_at(x + 7.0, y, f"h{hole}", 8.5, measure)
        boxes += [number, label]
        if length:
            room = wide - (label.x - x) - label.width - 2.5
            said = cut_end(plain(length), room, 8.0, measure)
            boxes.append(text_at(label.x + label.width + 1.2, y + 0.1, said, 8.0, measure))
    y = top + deep * pitch
    back = "Loosen: " + " ".join(f"h{hole}" for hole in plan.loosening)
    more, y = column(
        [Words(back, 8.0, False, 4, "the order of loosening")], 0, y + 0.8, page.room, measure
    )
    return Slab((*boxes, *more), y + 0.8)


def _cautions(plan: Plan, page: _Page, measure: Measure) -> Slab:
    paragraphs: Sequence[Words] = [
        *(Words(plain(words), 8.0, at == 0) for at, words in enumerate(plan.cautions)),
        Words(plain("Taken: " + "; ".join(plan.assumptions) + "."), 6.5),
        Words(plain("Source: " + "; ".join(cite(key) for key in plan.sources) + "."), 6.5),
    ]
    boxes, y = column(paragraphs, 0, 1.6, page.room, measure)
    return Slab((Rule(0, 0.4, page.room, 0.3), *boxes), y)
