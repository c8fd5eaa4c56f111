"""The bench: one field for whatever is in hand, what comes next, and the last entries."""

from starlette.responses import Response

from stores.usecases.find import Find, find
from stores.usecases.history import history
from stores.web.pages import Page
from stores.web.visit import Visit, path_to
from stores.wording.find import found

__all__ = ["PAGES"]

LAST_ENTRIES = 5


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
    return visit.page("found.html", typed=typed, words_found=found(reply))


PAGES = (Page("/", bench), Page("/told", told), Page("/find", look_for))
