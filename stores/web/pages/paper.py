"""Paper: every sheet as a PDF that opens in the browser, to print or to keep.

The command line writes the same files; a table is the same in a spreadsheet's format.
"""

import shutil
import subprocess
import tempfile
from collections.abc import Callable
from pathlib import Path

from starlette.responses import Response

from stores import papers
from stores.errors import NotFound, PrintError
from stores.web.pages import Page
from stores.web.visit import Link, Told, Visit
from stores.wording import Said

__all__ = ["PAGES", "printer_here", "sent_to_printer"]

Maker = Callable[[Visit, Path], object]
TYPES = {
    ".pdf": "application/pdf",
    ".csv": "text/csv; charset=utf-8",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
PRINTS_WITHIN = 30.0
"""Seconds that the computer's print command may take."""


def _checklist(visit: Visit, path: Path) -> object:
    from stores.usecases.rebuild import ListSteps, checklist

    ask = ListSteps(visit.word("assembly"), visit.has("everything"), visit.has("next"))
    return papers.write_list(checklist(visit.context(), ask), path)


def _summary(visit: Visit, path: Path) -> object:
    from stores.usecases.rebuild import summary

    return papers.write_overview(summary(visit.context(), visit.word("assembly")), path)


def _plan(visit: Visit, path: Path) -> object:
    from stores.usecases.rebuild import LookAhead, bars

    ask = LookAhead(visit.words("late"), visit.has("strict"))
    return papers.write_plan(bars(visit.context(), ask), path)


def _handover(visit: Visit, path: Path) -> object:
    from stores.usecases.closing import end_of_day

    return papers.write_handover(end_of_day(visit.context(), None), path)


def _book(visit: Visit, path: Path) -> object:
    from stores.usecases.closing import bound_record

    return papers.write_book(bound_record(visit.context(), visit.house.pictures), path)


def _note(visit: Visit, path: Path) -> object:
    from stores.usecases.outwork import DespatchNote, despatch_note

    number = _whole(visit.word("batch"))
    return papers.write_note(
        despatch_note(visit.context(), DespatchNote(number)), path, visit.word("sender")
    )


def _shopping(visit: Visit, path: Path) -> object:
    from stores.printing.files import write_csv, write_xlsx
    from stores.printing.shopping import write_shopping
    from stores.usecases.shopping import WhatToBuy, shopping

    listed = shopping(
        visit.context(), WhatToBuy(visit.word("assembly"), everywhere=visit.has("everywhere"))
    )
    if path.suffix == ".csv":
        return write_csv(listed, path)
    if path.suffix == ".xlsx":
        return write_xlsx(listed, path)
    title = f"Shopping list: {listed.machine}"
    return write_shopping(listed, path, title=title, date=papers.today())


def _inventory(visit: Visit, path: Path) -> object:
    from stores.printing.inventory import write_inventory, write_inventory_xlsx
    from stores.usecases.inventory import TakeInventory, inventory

    reply = inventory(visit.context(), TakeInventory(visit.word("what")))
    if path.suffix == ".xlsx":
        return write_inventory_xlsx(reply, path)
    return write_inventory(reply, path, date=papers.today())


def _places(visit: Visit, path: Path) -> object:
    from stores.printing.places import write_places
    from stores.usecases.places import ListPlaces, places

    within = visit.word("within")
    title = f"What is in {within}" if within else "Index of places"
    reply = places(visit.context(), ListPlaces(within))
    return write_places(reply.places, path, title=title, date=papers.today())


def _pictures(visit: Visit, path: Path) -> object:
    from stores.photos.thumbs import small_pictures
    from stores.printing.photo_index import write_photo_index
    from stores.usecases.pictures import SheetPictures, picture_sheets

    asked = SheetPictures(visit.word("assembly"), folder=visit.house.pictures)
    reply = picture_sheets(visit.context(), asked)
    return write_photo_index(
        reply.shots,
        path,
        title=f"Pictures: {reply.machine}",
        date=papers.today(),
        per_page=_whole(visit.word("per_page", "12")),
        paper=visit.word("paper"),
        thumbs=small_pictures,
    )


def _survey(visit: Visit, path: Path) -> object:
    from stores.printing.survey import write_survey
    from stores.usecases.survey import AskSurvey, survey

    reply = survey(visit.context(), AskSurvey((), visit.house.templates))
    return write_survey(
        path, machine=reply.machine, date=papers.today(), lists=reply.lists, snags=reply.snags
    )


def _joint(visit: Visit, path: Path) -> object:
    from stores.printing.joint_card import Heading, write_hole_card, write_tightening_card
    from stores.usecases.figures import joint_of

    reply = joint_of(visit.context(), visit.word("step"))
    title = f"Step {reply.step}: {reply.part}"
    if visit.has("holes"):
        heading = Heading(title, reply.machine, reply.bag, papers.today(), reply.goes_in)
        return write_hole_card(reply.plan, path, heading, visit.word("paper"))
    heading = Heading(title, date=papers.today())
    return write_tightening_card(reply.plan, path, heading, visit.word("paper", "A5"))


MAKERS: dict[str, tuple[Maker, str]] = {
    "checklist": (_checklist, "The rebuild checklist"),
    "summary": (_summary, "How far each assembly is"),
    "plan": (_plan, "The plan as bars"),
    "handover": (_handover, "The end of a day"),
    "shopping": (_shopping, "The shopping list"),
    "inventory": (_inventory, "Everything there is"),
    "places": (_places, "Which bag is in which box"),
    "pictures": (_pictures, "Index of pictures"),
    "survey": (_survey, "What to look at before it is taken apart"),
    "note": (_note, "The advice note that goes with a batch"),
    "joint": (_joint, "A joint's card"),
    "book": (_book, "The bound record"),
}
"""Every sheet by its name in the address: what makes it, and what it is."""
ANY_TIME = ("checklist", "summary", "plan", "handover", "shopping", "inventory", "places",
            "pictures", "survey", "book")  # fmt: skip
"""Those that need nothing named."""


def _whole(text: str) -> int:
    return int(text) if text.isdecimal() and len(text) < 9 else 0


def _made(visit: Visit, name: str, suffix: str) -> bytes:
    if name not in MAKERS or suffix not in TYPES:
        raise NotFound("no such page", name=name + suffix)
    with tempfile.TemporaryDirectory(prefix="stores-") as folder:
        path = Path(folder) / f"{name}{suffix}"
        MAKERS[name][0](visit, path)
        return path.read_bytes()


def sheet(visit: Visit) -> Response:
    """Give a sheet."""
    name, dot, kind = visit.part("name").partition(".")
    suffix = dot + kind or ".pdf"
    made = _made(visit, name, suffix)
    how = "inline" if suffix == ".pdf" else "attachment"
    return Response(
        made,
        media_type=TYPES[suffix],
        headers={"content-disposition": f'{how}; filename="{name}{suffix}"'},
    )


def sheets(visit: Visit) -> Response:
    """Show what can be printed."""
    return visit.page(
        "paper.html",
        sheets=[(name, MAKERS[name][1]) for name in ANY_TIME],
        printer=printer_here(),
    )


def printer_here() -> bool:
    """Tell whether this computer can be asked to print."""
    return shutil.which("lp") is not None


def sent_to_printer(made: bytes, title: str, *options: str) -> str:
    """Send a file to this computer's printer; return what its print command says.

    Raises:
        PrintError: it has no print command, or that fails.
    """
    command = shutil.which("lp")
    if command is None:
        raise PrintError("this computer has no print command (lp): open the PDF and print that")
    try:
        done = subprocess.run(
            [command, "-t", title, *options, "-"],
            input=made,
            capture_output=True,
            timeout=PRINTS_WITHIN,
        )
    except (OSError, subprocess.SubprocessError) as error:
        raise PrintError(f"the printer could not be asked: {error}") from error
    if done.returncode:
        said = " ".join(done.stderr.decode(errors="replace").split())[:200]
        raise PrintError(f"the printer refused: {said or f'status {done.returncode}'}")
    return " ".join(done.stdout.decode(errors="replace").split())[:200]


def send(visit: Visit) -> Response:
    """Print a sheet on this computer's printer."""
    name = visit.part("name")
    said = sent_to_printer(_made(visit, name, ".pdf"), name)
    words = Said((f"{MAKERS[name][1]}: sent to the printer",), (said,) if said else ())
    return visit.to("/paper", Told(words, links=(Link("Paper", "/paper"),)), visit.word("key"))


PAGES = (
    Page("/paper", sheets),
    Page("/paper/{name}", sheet, long=True),
    Page("/print/{name}", send, "POST", long=True),
)
