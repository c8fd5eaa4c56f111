"""Taking off: one step at the bench, with as little to type as can be.

The assembly of the last step is kept, what was used last is a button, and what is typed or spoken
is shown back as understood before it is recorded.
"""

from starlette.responses import HTMLResponse, Response

from stores.errors import StoresError
from stores.usecases.strip import AtHand, at_hand, strip
from stores.web.deeds import deed_named
from stores.web.pages import Page
from stores.web.visit import Visit

__all__ = ["PAGES"]

COUNTS = ("1", "2", "3", "4", "5", "6", "8", "10", "12")
NOUNS = (
    "hex bolt",
    "nut",
    "plain washer",
    "spring washer",
    "dowel",
    "gasket",
    "O-ring",
    "split pin",
)
"""What is in most joints of most machines (common practice); what was used last comes first."""


def taking_off(visit: Visit) -> Response:
    """Show the form of a step."""
    try:
        known = at_hand(visit.context())
    except StoresError:
        known = AtHand((), (), "")
    things = tuple(dict.fromkeys((*known.things, *NOUNS)))[:12]
    return visit.page(
        "taking_off.html",
        known=known,
        assembly=visit.word("assembly") or (known.assemblies[0] if known.assemblies else ""),
        things=things,
        counts=COUNTS,
        deed=deed_named("strip"),
    )


def understood(visit: Visit) -> Response:
    """Show what a step that is being typed would be recorded as; nothing is written."""
    deed = deed_named("strip")
    if not visit.word("part").strip():
        return HTMLResponse("")
    try:
        reply = strip(visit.context(), deed.read(visit, trial=True))
    except StoresError as error:
        return visit.page("understood.html", reply=None, error=error)
    # the part is the first line of a step where it is a piece, what held it comes after
    first = 0 if reply.job else 1
    asked = [(at, line) for at, line in enumerate(reply.items[first:]) if line.questions]
    return visit.page("understood.html", reply=reply, words_of_it=deed.words(reply), asked=asked)


PAGES = (Page("/strip", taking_off), Page("/strip/understood", understood, "POST"))
