"""Sheets made of a use-case's reply: what a page is called, its date, the small pictures on it.

Every door prints through here or with a single call of `stores.printing`, so that a sheet is the
same wherever it was asked for.
"""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from stores import text
from stores.text import day_words

if TYPE_CHECKING:
    from stores.model.labels import LabelSheet
    from stores.printing.files import Printed
    from stores.usecases.closing import BoundRecord, EndOfDay
    from stores.usecases.outwork import Despatch
    from stores.usecases.rebuild import Bars, Checklist, Summary

__all__ = [
    "today",
    "write_book",
    "write_handover",
    "write_list",
    "write_note",
    "write_offset_sheet",
    "write_overview",
    "write_plan",
]


def today() -> str:
    """Give the day on the workshop's wall: ``14 Mar 2026``."""
    return day_words(text.today())


def write_handover(reply: "EndOfDay", path: Path) -> "Printed":
    """Write the end of a day."""
    from stores.photos.thumbs import small_pictures
    from stores.printing.pages import write_pages
    from stores.printing.record_book import day_parts
    from stores.wording.closing import copy_words, day_lists, turn_words
    from stores.wording.marks import plain

    turns, copies = turn_words(reply.turns), list(map(plain, copy_words(reply.copies)))
    lists = {head: list(map(plain, lines)) for head, lines in day_lists(reply.left).items()}
    return write_pages(
        lambda: day_parts(reply.machine, reply.words, lists, turns=turns, copies=copies),
        path,
        title=f"Handover: {reply.machine}",
        date=today(),
        subject="Handover",
        thumbs=small_pictures,
    )


def write_book(
    record: "BoundRecord", path: Path, progress: Callable[[], None] | None = None
) -> "Printed":
    """Write the bound record of a restoration; ``progress`` is told of each part drawn."""
    from stores.photos.thumbs import small_pictures
    from stores.printing.pages import write_pages
    from stores.printing.record_book import Book, book_parts
    from stores.wording.closing import turn_words, unsettled

    closed = ""
    if record.closed:
        closed = ": ".join(filter(None, (day_words(record.closed[0]), record.closed[1])))
    made = Book(
        record.machine,
        record.about,
        today(),
        record.items,
        record.refits,
        record.torques,
        record.readings,
        record.bought,
        record.shots,
        record.acts,
        list(map(unsettled, record.in_the_way)),
        closed,
        record.jobs,
        turn_words(record.turns),
    )
    return write_pages(
        lambda: book_parts(made),
        path,
        title=f"{made.machine}: record of the restoration",
        date=made.date,
        subject="Record of a restoration",
        thumbs=small_pictures,
        progress=progress,
    )


def write_note(reply: "Despatch", path: Path, sender: str = "") -> "Printed":
    """Write the note that goes with a batch to a firm."""
    from stores.photos.thumbs import small_pictures
    from stores.printing.despatch import write_despatch
    from stores.wording.outwork import caption, cautions

    return write_despatch(
        reply.batch,
        path,
        date=today(),
        thumbs=small_pictures,
        sender=sender,
        pictures=[(picture.file, caption(picture)) for picture in reply.pictures],
        cautions=cautions(reply.minded, paper=True),
    )


def write_list(reply: "Checklist", path: Path) -> "Printed":
    """Write the rebuild checklist."""
    from stores.printing.checklist import write_checklist
    from stores.wording.marks import plain
    from stores.wording.rebuild import ring
    from stores.wording.status import flag, standing

    return write_checklist(
        reply.stages,
        path,
        title=f"Rebuild checklist: {reply.called}",
        date=today(),
        standing=standing,
        flag=flag,
        oils=reply.oils,
        snags=reply.snags,
        rings=[[plain(line) for line in ring(each)] for each in reply.rings],
    )


def write_offset_sheet(sheet: "LabelSheet", path: Path, templates: Path | None) -> "Printed":
    """Write the sheet that a printer's offset is measured on, with what to do."""
    from stores.printing.labels import write_alignment
    from stores.printing.templates import load_stock
    from stores.wording.labels import alignment, offset_command
    from stores.wording.marks import plain

    stock = load_stock(sheet.stock, templates)
    printer = sheet.printer.name if sheet.printer else ""
    steps = alignment(stock.title, is_sheet=stock.kind == "sheet", printer=printer)
    return write_alignment(
        path,
        stock=sheet.stock,
        steps=[plain(step) for step in steps],
        command=plain(offset_command(printer)),
        dx_mm=sheet.shift_mm[0],
        dy_mm=sheet.shift_mm[1],
        templates=templates,
    )


def write_plan(reply: "Bars", path: Path) -> "Printed":
    """Write the plan as bars; of a what-if the sheet says so."""
    from stores.printing.plan_bars import write_bars
    from stores.wording.rebuild import bars_head, what_if

    return write_bars(
        reply.plan,
        reply.outlook,
        path,
        machine=reply.machine,
        summary=f"{day_words(reply.outlook.today)}. {bars_head(reply)}",
        what_if=what_if(reply),
    )


def write_overview(reply: "Summary", path: Path) -> "Printed":
    """Write how far each assembly is on one sheet."""
    from stores.printing.checklist import write_summary
    from stores.wording.status import held_up

    return write_summary(
        reply.stages,
        path,
        title=f"Rebuild summary: {reply.called}",
        date=today(),
        held_up=held_up,
    )
