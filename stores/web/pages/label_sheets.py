"""Labels: those that are due, as they will stand on their sheet, and that they came out.

A label counts as printed once a person said so. A file of labels waits until then under its name.
"""

import tempfile
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from starlette.responses import Response

from stores.errors import BadValue, Refused, StoresError
from stores.papers import write_offset_sheet
from stores.usecases.labels import (
    AskLabels,
    AskSheet,
    Labels,
    MakeLabels,
    SayOut,
    label_sheet,
    labels,
    labels_came_out,
    labels_made,
    printers,
)
from stores.usecases.templates import template_folder
from stores.web.pages import Page
from stores.web.pages.paper import printer_here, sent_to_printer
from stores.web.visit import Link, Told, Visit, path_to
from stores.wording import Said
from stores.wording.labels import came_out

__all__ = ["PAGES"]


@dataclass(frozen=True, slots=True)
class Wanted:
    """Labels as they were asked for, and their folder of templates."""

    reply: Labels
    layout: str
    templates: Path | None


FIELDS = ("what", "kind", "around", "stock", "start", "skip", "copies", "printer", "layout", "all")


def _wanted(visit: Visit) -> Wanted:
    what = [word for text in visit.words("what") for word in text.split(",")]
    sheet = AskSheet(
        visit.word("stock"),
        visit.word("start") or "1",
        visit.word("skip"),
        visit.word("copies") or "1",
        visit.word("printer"),
    )
    ask = AskLabels(
        visit.word("kind"),
        [word.strip() for word in what if word.strip()],
        everything=visit.word("all") != "",
        around=visit.word("around"),
        sheet=sheet,
    )
    reply = labels(visit.context(), ask)
    folder = template_folder(visit.house.store.name, visit.house.templates)
    return Wanted(reply, visit.word("layout"), folder)


def _query(visit: Visit) -> dict[str, str]:
    return {name: ",".join(visit.words(name)) for name in FIELDS if visit.word(name)}


def due(visit: Visit) -> Response:
    """Show the labels that are due, or those asked for, and how they will stand on the sheet."""
    from stores.printing.templates import stems

    error: StoresError | None = None
    wanted = None
    try:
        wanted = _wanted(visit)
    except StoresError as refusal:
        error = refusal
    try:
        waiting = labels_came_out(visit.context(), SayOut(trial=True)).sheets
    except Refused:  # none waits
        waiting = ()
    sheet = wanted.reply.sheet if wanted else None
    return visit.page(
        "label_sheets.html",
        422 if error else 200,
        error=error,
        found=wanted.reply.labels if wanted else (),
        sheet=sheet,
        stocks=stems("stock", wanted.templates if wanted else None),
        printers=[each.name for each in printers(visit.context()).printers],
        typed={name: visit.word(name) for name in FIELDS},
        picture=path_to("/labels/sheet.svg", **_query(visit)) if wanted else "",
        query=_query(visit),
        waiting=waiting,
        printer=printer_here(),
    )


def picture(visit: Visit) -> Response:
    """Show the first sheet as it will be printed."""
    from stores.printing.draw import measure
    from stores.printing.labels import label_pages
    from stores.printing.svg import svg

    wanted = _wanted(visit)
    sheet = wanted.reply.sheet
    if not wanted.reply.labels:
        raise BadValue("no label is due")
    page = next(
        label_pages(
            wanted.reply.labels,
            layout=wanted.layout or None,
            stock=sheet.stock,
            start=sheet.start,
            skip=sheet.skip,
            copies=sheet.copies,
            outlines=True,
            dpi=sheet.dpi,
            templates=wanted.templates,
        )
    )
    drawn = svg(page.boxes, page.width, page.height, measure, "The first sheet of labels")
    return Response(drawn, media_type="image/svg+xml")


def make(visit: Visit) -> Response:
    """Make the labels: as PDF to open, for the computer's printer, or in ZPL for a thermal one."""
    wanted = _wanted(visit)
    how = visit.word("how") or "pdf"
    if not wanted.reply.labels:
        raise BadValue("no label is due")
    now = datetime.now(tz=UTC).astimezone()
    name = f"labels-{now:%d%b-%H%M%S}.{'zpl' if 'zpl' in how else 'pdf'}"
    made = _zpl(wanted) if "zpl" in how else _pdf(wanted)
    said = ""
    if how in ("print", "zpl-print"):
        raw = ("-o", "raw") if how == "zpl-print" else ()
        printer = visit.word("queue").strip()
        said = sent_to_printer(made, name, *raw, *(("-d", printer) if printer else ()))
    if wanted.reply.kind == "bag":
        digests = {bag.code: bag.digest for bag in wanted.reply.bags}
        labels_made(visit.context(), MakeLabels(digests=digests, file=name))
    if how in ("print", "zpl-print"):
        words = Said((f"{len(wanted.reply.labels)} labels: sent to the printer",), (said,))
        return visit.to("/labels", Told(words, links=(Link("Labels", "/labels"),)))
    kind = "application/pdf" if how == "pdf" else "application/octet-stream"
    held = "inline" if how == "pdf" else "attachment"
    headers = {"content-disposition": f'{held}; filename="{name}"'}
    return Response(made, media_type=kind, headers=headers)


def _pdf(wanted: Wanted) -> bytes:
    from stores.printing.labels import write_labels

    sheet = wanted.reply.sheet
    with tempfile.TemporaryDirectory(prefix="stores-") as folder:
        path = Path(folder) / "labels.pdf"
        write_labels(
            wanted.reply.labels,
            path,
            layout=wanted.layout or None,
            stock=sheet.stock,
            start=sheet.start,
            skip=sheet.skip,
            copies=sheet.copies,
            dx_mm=sheet.shift_mm[0],
            dy_mm=sheet.shift_mm[1],
            dpi=sheet.dpi,
            templates=wanted.templates,
        )
        return path.read_bytes()


def _zpl(wanted: Wanted) -> bytes:
    from stores.printing.labels import label_pages
    from stores.printing.raster import ROLL_DPI, zpl

    sheet = wanted.reply.sheet
    pages = label_pages(
        wanted.reply.labels,
        layout=wanted.layout or None,
        stock=sheet.stock,
        copies=sheet.copies,
        dpi=sheet.dpi or ROLL_DPI,
        templates=wanted.templates,
    )
    return zpl(pages, sheet.dpi or ROLL_DPI)


def alignment(visit: Visit) -> Response:
    """Give a sheet to measure with how far a printer is out."""
    sheet = label_sheet(visit.context(), AskLabels(sheet=AskSheet(stock=visit.word("stock"))))
    folder = template_folder(visit.house.store.name, visit.house.templates)
    with tempfile.TemporaryDirectory(prefix="stores-") as made:
        path = Path(made) / "alignment.pdf"
        write_offset_sheet(sheet, path, folder)
        headers = {"content-disposition": f'inline; filename="{path.name}"'}
        return Response(path.read_bytes(), media_type="application/pdf", headers=headers)


def out(visit: Visit) -> Response:
    """Record that labels came out of the printer, but for the spoilt ones."""
    spoilt = [word.strip() for word in visit.word("spoilt").replace(",", " ").split()]
    reply = labels_came_out(visit.context(), SayOut(spoilt=spoilt, sheets=visit.words("sheet")))
    return visit.to("/labels", Told(came_out(reply)), visit.word("key"))


PAGES = (
    Page("/labels", due),
    Page("/labels/sheet.svg", picture, long=True),
    Page("/labels/align", alignment, long=True),
    Page("/labels/made", make, "POST", long=True),
    Page("/labels/out", out, "POST"),
)
