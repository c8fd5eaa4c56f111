"""Keeping the record: a second copy of all beside it, and all of it as plain text to download."""

from pathlib import Path, PurePath
from typing import Any

from starlette.responses import Response, StreamingResponse

from stores.errors import BadValue, StoresError
from stores.usecases.keeping import Copy, copies, copy, export, not_in_text
from stores.web.pages import Page
from stores.web.visit import Link, Told, Visit
from stores.wording.closing import copy_words
from stores.wording.keeping import copied, left_out

__all__ = ["PAGES"]

LONGEST = 100
"""Letters of a copy's name."""


def keep(visit: Visit) -> Response:
    """Show how the record is kept."""
    return visit.page("keep.html", **_shown(visit))


def _shown(visit: Visit) -> dict[str, Any]:
    """Return what the page shows: when the record was last copied, what its text lacks."""
    return {
        "copies": copy_words(copies(visit.context())),
        "notes": left_out(not_in_text(visit.context())),
        "name": visit.word("name"),
    }


def copy_beside(visit: Visit) -> Response:
    """Make a second copy under a name beside the record, nowhere else."""
    try:
        ask = Copy(_beside(visit), visit.house.pictures, visit.house.templates)
        reply = copy(visit.context(), ask)
    except StoresError as error:
        return visit.page("keep.html", 422, error=error, **_shown(visit))
    told = Told(copied(reply), links=(Link("Keeping the record", "/keep"),))
    return visit.to("/told", told, visit.word("key"))


def _beside(visit: Visit) -> Path:
    """Return where a copy of this name goes.

    Raises:
        BadValue: it is no plain name; the record is no file that something could stand beside.
    """
    name = visit.word("name").strip()
    if "://" in visit.house.where:
        raise BadValue("the record is in a database: its own tools copy that; the text is below")
    plain = PurePath(name.replace("\\", "/")).name == name and name.isprintable()
    if not plain or not name or name.startswith(".") or len(name) > LONGEST or ":" in name:
        raise BadValue(f"a plain name for the copy, as spring; not {name[:40]!r}")
    named = name if name.casefold().endswith(".db") else f"{name}.db"
    return Path(visit.house.where).absolute().parent / named


def text(visit: Visit) -> Response:
    """Give the whole record as plain text, a line for each row."""
    lines = export(visit.context())
    return StreamingResponse(
        (f"{line}\n" for line in lines),
        media_type="application/jsonl; charset=utf-8",
        headers={"content-disposition": 'attachment; filename="stores.jsonl"'},
    )


PAGES = (
    Page("/keep", keep),
    Page("/keep", copy_beside, "POST", long=True),
    Page("/keep/text", text, long=True),
)
