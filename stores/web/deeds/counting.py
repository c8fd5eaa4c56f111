"""A count of a place by tapping and scanning: what was met, and how many of each item."""

from stores.usecases.counts import CountPlace
from stores.web.forms import Deed, Field
from stores.web.visit import Visit, lines_of

FOUND = "found-"
"""Before an item's number: the field that says how many of it there are."""


def met(visit: Visit) -> list[str]:
    """Return what was met, as a count takes it: codes as scanned, items as ``7.2=3``."""
    codes = [line for text in visit.words("scanned") for line in lines_of(text)]
    sent = visit.request.query_params if visit.form is None else visit.form
    counts = {name: visit.word(name).strip() for name in sent if name.startswith(FOUND)}
    return codes + [f"{name.removeprefix(FOUND)}={n or 0}" for name, n in counts.items()]


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
INQUIRIES = ()
