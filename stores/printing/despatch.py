"""The note that goes with a batch to a firm: counts, what to mind, pictures, a signature line."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from stores.model.outwork import Batch, BatchLine
from stores.printing.boxes import (
    Box,
    Code,
    Measure,
    Picture,
    Stripe,
    Text,
    Thumbnails,
    Tick,
    plain,
    text_at,
)
from stores.printing.files import Printed, put
from stores.printing.pages import LEFT, RIGHT, WIDTH, Flow, Slab, Words, column, counted_at
from stores.printing.qr import code_box
from stores.text import day_words, plural

__all__ = ["layout_despatch", "write_despatch"]

_COUNT = LEFT + 14.0
_WHAT = LEFT + 18.0
_MORE = LEFT + 86.0
_TICKS = (RIGHT - 26.0, RIGHT - 10.0)
_TICK = 6.0
_CODE = 24.0
_PICTURE = (55.0, 41.0)
_THUMB = 480
"""Pixels of a picture's longer side."""

Captioned = tuple[Path, str]
"""A picture's file and what stands under it."""


def write_despatch(
    batch: Batch,
    path: Path,
    *,
    date: str,
    thumbs: Thumbnails,
    sender: str = "",
    pictures: Sequence[Captioned] = (),
    cautions: Sequence[str] = (),
) -> Printed:
    """Write the note as a PDF, upright.

    ``pictures`` are files, each with a caption, of which ``thumbs`` makes small upright JPEGs; what
    cannot be read is left out and said. ``cautions`` are what the firm has to mind.

    Raises:
        PrintError: a file that cannot be written.
    """
    from stores.printing.draw import Pdf, measure

    pages = layout_despatch(
        batch, measure, date=date, sender=sender, pictures=pictures, cautions=cautions
    )
    files = [box.file for page in pages for box in page if isinstance(box, Picture)]
    made = thumbs(files, _THUMB)
    pdf = Pdf(plain(f"Batch {batch.number}: {batch.firm}"), "Advice note")
    bare = []
    for page in pages:
        boxes: list[Box] = []
        for box in page:
            if isinstance(box, Picture):
                jpeg = next(made, None)
                if jpeg is None:
                    bare.append(f"picture {box.file.name} cannot be read: it is not on the note")
                    continue
                box = replace(box, jpeg=jpeg)  # noqa: PLW2901 - the same box, developed
            boxes.append(box)
        pdf.page(boxes)
    put(path, pdf.bytes())
    lost = [box.lost for page in pages for box in page if isinstance(box, Text) and box.lost]
    return Printed(path, pdf.pages, warnings=(*lost, *bare, *pdf.missing_warning()))


def layout_despatch(
    batch: Batch,
    measure: Measure,
    *,
    date: str,
    sender: str = "",
    pictures: Sequence[Captioned] = (),
    cautions: Sequence[str] = (),
) -> list[list[Box]]:
    """Give the boxes of every page, in mm from its top left corner."""
    flow = Flow(plain(f"Batch {batch.number}, {batch.firm}"), plain(date), measure)
    flow.add(_head(batch, date, sender, measure))
    heading = _heading(measure)
    flow.add(heading)
    for line in batch.lines:
        row = _row(line, measure)
        if not flow.fits(row.height):
            flow.turn()
            flow.add(heading)
        flow.add(row)
    for slab in (
        _total(batch, measure),
        *_cautions(cautions, measure),
        *_pictures(pictures, measure),
        _signatures(measure),
    ):
        if not flow.fits(slab.height):
            flow.turn()
        flow.add(slab)
    return flow.finished()


def _head(batch: Batch, date: str, sender: str, measure: Measure) -> Slab:
    width = WIDTH - _CODE - 12
    due = batch.promised
    paragraphs = [
        Words(f"Batch {batch.number}", 20, bold=True),
        Words(plain(f"To {batch.firm}: {batch.work}"), 13, bold=True, most=3, name="the work"),
    ]
    if batch.finish:
        paragraphs.append(Words(plain(f"Finish: {batch.finish}"), 11, name="the finish"))
    if batch.note:
        paragraphs.append(Words(plain(batch.note), 10.5, name="the note"))
    sent = f"Sent on {day_words(batch.sent)}" if batch.sent else f"Made up on {date}"
    promised = f", promised for {day_words(due)}" if due else ""
    paragraphs.append(Words(plain(sent + promised), 10.5))
    if sender:
        paragraphs.append(Words(plain(f"From {sender}"), 10.5, name="the sender"))
    texts, y = column(paragraphs, LEFT, 0, width, measure)
    boxes: list[Box] = [*texts, _code(batch)]
    return Slab(tuple(boxes), max(y, _CODE + 6) + 4)


def _code(batch: Batch) -> Code:
    words = f"batch {batch.number}\n{batch.firm}\n{batch.pieces} pieces"
    code = code_box(words, _CODE)
    return replace(code, x=RIGHT - code.width - 2.5, y=2.5)


def _heading(measure: Measure) -> Slab:
    boxes: list[Box] = [
        text_at(_COUNT, 0, "Pieces", 8.5, measure, right=True),
        text_at(_WHAT, 0, "What", 8.5, measure),
        text_at(_MORE, 0, "Metal, class, masking", 8.5, measure),
        text_at(_TICKS[0] + _TICK, 0, "out", 8.5, measure, right=True),
        text_at(_TICKS[1] + _TICK, 0, "back", 8.5, measure, right=True),
        Stripe(LEFT, 4.2, WIDTH, 0.3),
    ]
    return Slab(tuple(boxes), 5.6)


def _row(line: BatchLine, measure: Measure) -> Slab:
    what, low = column(
        [
            Words(plain(line.text), 11, bold=True, most=3, name=line.item.ref),
            Words(plain(f"{line.item.ref}  {line.item.step.part}"), 8.5, name=line.item.ref),
        ],
        _WHAT, 0.6, _MORE - _WHAT - 4, measure,
    )  # fmt: skip
    more, other = column(
        [Words(plain(line.details), 10, most=6, name=line.item.ref)] if line.details else [],
        _MORE, 0.8, _TICKS[0] - _MORE - 4, measure,
    )  # fmt: skip
    height = max(low, other, _TICK + 1.5) + 1.2
    boxes: list[Box] = [
        *counted_at(_COUNT, 5.0, str(line.quantity), 14.0, measure, room=_COUNT - LEFT),
        *what,
        *more,
        *(Tick(x, 0.6, _TICK, _TICK) for x in _TICKS),
        Stripe(LEFT, height - 0.4, WIDTH, 0.1),
    ]
    return Slab(tuple(boxes), height + 0.6)


def _total(batch: Batch, measure: Measure) -> Slab:
    many = f"{plural(batch.pieces, 'piece')} in {plural(len(batch.lines), 'line')}"
    words = f"{many}. Count them on arrival and before they leave."
    boxes, y = column([Words(words, 11, bold=True)], LEFT, 1, WIDTH, measure)
    return Slab(tuple(boxes), y + 3)


def _cautions(cautions: Sequence[str], measure: Measure) -> list[Slab]:
    slabs = []
    for text in cautions:
        boxes, y = column(
            [Words(plain(f"! {text}"), 10, bold=True, most=8, name="a warning")], LEFT, 0, WIDTH,
            measure,
        )  # fmt: skip
        slabs.append(Slab(tuple(boxes), y + 1.5))
    return slabs


def _pictures(pictures: Sequence[Captioned], measure: Measure) -> list[Slab]:
    slabs = []
    for first in range(0, len(pictures), 3):
        boxes: list[Box] = []
        for at, (file, words) in enumerate(pictures[first : first + 3]):
            x = LEFT + at * (_PICTURE[0] + 6.0)
            boxes.append(Picture(x, 1.0, *_PICTURE, file))
            texts, _ = column(
                [Words(plain(words), 8.5, most=1, name="a caption")], x, _PICTURE[1] + 2.0,
                _PICTURE[0], measure,
            )  # fmt: skip
            boxes += texts
        slabs.append(Slab(tuple(boxes), _PICTURE[1] + 8.0))
    return slabs


def _signatures(measure: Measure) -> Slab:
    boxes: list[Box] = []
    half = WIDTH / 2
    for at, words in enumerate(("Received, counted (name, date)", "Back, counted (name, date)")):
        x = LEFT + at * half
        boxes += [Stripe(x, 16.0, half - 8.0, 0.25), text_at(x, 17.0, words, 8.5, measure)]
    return Slab(tuple(boxes), 22.0)
