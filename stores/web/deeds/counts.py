"""A count of a place against the record; nothing is written."""

from stores.usecases.counts import ComparePlace, PlaceCompared
from stores.web.deeds.counting import AS_LISTED, BUT, as_listed_but
from stores.web.forms import Deed, Field, Inquiry, Words
from stores.web.visit import Visit, lines_of
from stores.wording import Said
from stores.wording.counts import compared, listing


def _compared(reply: PlaceCompared) -> Words:
    return [Said(compared(reply)[:1]), listing(reply)]


def _ask(visit: Visit) -> ComparePlace:
    codes = [line for text in visit.words("scanned") for line in lines_of(text)]
    return ComparePlace(visit.word("place"), codes, as_listed_but(visit))


DEEDS: tuple[Deed, ...] = ()
INQUIRIES = (
    Inquiry(
        "compare",
        "Compare a count with the record",
        "Compare",
        "counts:compare_place",
        "counts:ComparePlace",
        _compared,
        Field("place", "Bag, box or shelf", hint="As box 3"),
        Field("scanned", "What is in it", "lines", "A code a line; pieces as 7.2=3"),
        BUT,
        AS_LISTED,
        make=_ask,
        at_once=False,
        line="Nothing is recorded",
    ),
)
