"""Faults to clear before things are closed up."""

from stores.model.snags import SORTS
from stores.web.deeds.fields import NEW_ASSEMBLY
from stores.web.forms import Deed, Field, Inquiry

_NUMBER = Field("number", "Snag", "number", "Its number, as 3")

DEEDS = (
    Deed(
        "snag",
        "A fault to clear",
        "Record it",
        "snags:record_snag",
        "snags:RecordSnag",
        "snags:recorded",
        Field("where", "Where", hint="Item as 7.2, step, bag or assembly; or machine"),
        Field("sort", "What sort", "choice",
              choices={"": "–", **{sort: f"{sort}: {what}" for sort, what in SORTS.items()}}),
        Field("text", "What is wrong", hint="As weeps at the drain plug"),
        Field("side", "Side", hint="left, right, front, rear", option="--side", more=True),
        Field("pictures", "Pictures that show it", hint="Their numbers, as 12, 13",
              option="--picture", more=True),
        NEW_ASSEMBLY,
        line="It stays on the checklist until it is cleared",
    ),
    Deed(
        "snag-cleared",
        "A fault is cleared",
        "Record it",
        "snags:clear_snag",
        "snags:ClearSnag",
        "snags:cleared",
        _NUMBER,
        Field("how", "What was found or done", hint="As new seal, dry after an hour's run"),
        Field("renewed", "The part that was renewed", hint="An item, as 7.4", option="--with"),
    ),
    Deed(
        "snag-pictures",
        "Pictures of a fault",
        "Record it",
        "snags:show_snag",
        "snags:ShowSnag",
        "snags:shown",
        _NUMBER,
        Field("pictures", "Pictures", hint="Their numbers, as 12, 13"),
        Field("takes_off", "They do not show it after all", "tick", option="--off", more=True),
    ),
)  # fmt: skip
INQUIRIES = (
    Inquiry(
        "snags",
        "Faults still to clear",
        "Show",
        "snags:snags",
        "snags:ListSnags",
        "snags:listing",
        Field("assembly", "Only of this assembly", hint="As Engine"),
        Field("everything", "Cleared ones, and what is only noted, too", "tick", option="--all"),
    ),
)
