"""A count of a place: by tapping and scanning, or compared with the record, nothing written."""

from stores.usecases.counts import ComparePlace, CountPlace, PlaceCompared
from stores.web.forms import Deed, Field, Inquiry, Words
from stores.web.visit import Visit, lines_of
from stores.wording import Said
from stores.wording.counts import compared, listing

FOUND = "found-"
"""Before an item's number: the field that says how many of it there are."""


def _codes(visit: Visit) -> list[str]:
    return [line for text in visit.words("scanned") for line in lines_of(text)]


def met(visit: Visit) -> list[str]:
    """Return what was met, as a count takes it: codes as scanned, items as ``7.2=3``."""
    sent = visit.request.query_params if visit.form is None else visit.form
    counts = {name: visit.word(name).strip() for name in sent if name.startswith(FOUND)}
    return _codes(visit) + [f"{name.removeprefix(FOUND)}={n or 0}" for name, n in counts.items()]


BUT = Field(
    "but",
    "All is there, except",
    hint="As 1.2: 3, 2.1: none; then scan nothing",
    option="--as-listed-but",
    more=True,
)
AS_LISTED = Field("listed", "All is there as listed", "tick", option="--as-listed-but", more=True)


def as_listed_but(visit: Visit) -> str | None:
    """Return what is not as listed where the rest is, None where everything was counted."""
    return visit.word("but").strip() or ("" if visit.word("listed") else None)


def _compared(reply: PlaceCompared) -> Words:
    return [Said(compared(reply)[:1]), listing(reply)]


def _ask(visit: Visit) -> ComparePlace:
    return ComparePlace(visit.word("place"), _codes(visit), as_listed_but(visit))


DEEDS = (
    Deed(
        "counted",
        "Count a box",
        "Record the count",
        "counts:count_place",
        "counts:CountPlace",
        "counts:recorded",
        Field("place", "Bag, box or shelf"),
        Field("scanned", "What is in it", "lines", "A code a line; pieces as 7.2=3"),
        Field("reason", "Why it differs", option="--note"),
        BUT,
        AS_LISTED,
        make=lambda visit: CountPlace(
            visit.word("place"), met(visit), visit.word("reason"), as_listed_but(visit)
        ),
        kept=lambda visit: {"scanned": "\n".join(met(visit))},
    ),
)
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
