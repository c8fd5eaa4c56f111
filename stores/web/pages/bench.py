"""The bench: one field for whatever is in hand, what comes next, and the last entries."""

from itertools import groupby

from starlette.responses import Response

from stores.usecases.find import Find, find
from stores.usecases.history import history
from stores.web.pages import Page
from stores.web.visit import Visit, path_to
from stores.wording.find import found

__all__ = ["PAGES"]

LAST_ENTRIES = 5
MOST = 60
"""The most joints that a phone is shown of one search."""


def bench(visit: Visit) -> Response:
    """Show the bench."""
    return visit.page("bench.html", acts=history(visit.context(), LAST_ENTRIES))


def told(visit: Visit) -> Response:
    """Show what the last form recorded, and nothing else."""
    return visit.page("told.html")


def look_for(visit: Visit) -> Response:
    """Find what is in hand: a code, a reference, a fastener, or words. A bag has its own page."""
    typed = visit.word("q").strip()
    if not typed:
        return visit.to("/")
    reply = find(visit.context(), Find(typed))
    if reply.bag:
        return visit.to(path_to(f"/bag/{reply.bag}"))
    steps = [
        (items[0], items)
        for items in (
            list(g) for _, g in groupby(reply.items[:MOST], lambda i: (i.machine, i.step))
        )
    ]
    return visit.page(
        "found.html",
        typed=typed,
        reply=reply,
        steps=steps,
        shown=min(MOST, len(reply.items)),
        words_found=found(reply),
    )


PAGES = (Page("/", bench), Page("/told", told), Page("/find", look_for))
