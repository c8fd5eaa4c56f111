"""Inspection line by line: one verdict on pieces of one item."""

from stores.usecases.common import SPOKEN
from stores.usecases.sitting import InspectEach, InspectedEach, ItemVerdict
from stores.web.forms import Deed, Field
from stores.web.visit import Visit
from stores.wording import Said
from stores.wording.inspect import answer


def _verdict(visit: Visit) -> InspectEach:
    verdict = ItemVerdict(
        visit.word("item"),
        visit.word("verdict"),
        visit.word("quantity") or None,
        visit.word("reason"),
    )
    return InspectEach([verdict], within=visit.word("within"), undecided=True)


def _words(reply: InspectedEach) -> Said:
    (each,) = reply.verdicts
    named = ", ".join(f"{item.item} {item.text}" for item in each.items)
    return Said((f"{named}: {answer(reply).strip()}",))


DEEDS = (
    Deed(
        "verdict",
        "Inspect",
        "Record it",
        "sitting:inspect_each",
        "sitting:InspectEach",
        _words,
        Field("item", "Which", hint="An item, step or bag, as 7.2"),
        Field("verdict", "How it is", "choice", choices=tuple(SPOKEN)),
        Field("quantity", "How many", "number", "Empty: all that is not decided yet"),
        Field("reason", "Why"),
        Field("within", "Only what is in this bag, box or shelf", more=True),
        make=_verdict,
    ),
)
INQUIRIES = ()
