"""Counting a box by scanning what is in it, and a bag by its pieces."""

from starlette.responses import Response

from stores.bagcode import looks_like_code
from stores.usecases.counts import ComparePlace, compare_place
from stores.web.deeds.counts import FOUND, met
from stores.web.pages import Page
from stores.web.visit import Visit
from stores.wording.counts import verdict_and_note

__all__ = ["PAGES"]


def counting(visit: Visit) -> Response:
    """Show what a place should hold, what was met so far, and what is missing or extra."""
    place = visit.word("place").strip()
    if not place:
        return visit.page("counting.html", place="", reply=None)
    codes = met(visit)
    begun = bool(codes) or visit.has("scanned")
    # a bag's pieces are counted from what should be there: only what differs is tapped
    as_listed = looks_like_code(place) and not begun
    reply = compare_place(visit.context(), ComparePlace(place, codes, "" if as_listed else None))
    return visit.page(
        "counting.html",
        place=reply.place,
        reply=reply,
        codes=[code for code in codes if "=" not in code],
        found=FOUND,
        said={line.what: verdict_and_note(line) for line in reply.lines},
        begun=begun or as_listed,
    )


PAGES = (Page("/count", counting),)
