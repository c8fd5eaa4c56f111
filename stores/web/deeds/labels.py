"""Labels: which are due, and that they came out; how far a printer is out.

The desk makes the sheets.
"""

from stores.usecases.labels import Labels
from stores.web.forms import Deed, Field, Inquiry
from stores.web.visit import Link
from stores.wording import Listing


def _due(reply: Labels) -> Listing:
    return Listing(
        ["Bag", "Old label"],
        [[bag.code, "take it off" if bag.superseded else ""] for bag in reply.bags],
        empty="Every bag's label is up to date.",
    )


DEEDS = (
    Deed(
        "labels-out", "Labels printed", "Record it",
        "labels:labels_came_out", "labels:SayOut", "labels:came_out",
        Field("spoilt", "Spoilt ones, due again", "lines", "Bag codes, one a line; empty: none",
              option="--spoilt"),
        Field("sheets", "Only these files", "lines", "Empty: all that were made", more=True),
        next=lambda _reply: [Link("Labels that are due", "/ask/labels-due")],
        dated=False, line="The printer gave them, but for some",
    ),
    Deed(
        "printer", "How far a printer is out", "Record it",
        "labels:set_printer", "labels:SetPrinter", "labels:printer_recorded",
        Field("name", "Printer", hint="What you call it, as upstairs"),
        Field("right", "How far to the right", hint="mm, as 0.5; - to the left", option="--right"),
        Field("down", "How far below", hint="mm, as 1.2; - above", option="--down"),
        Field("dpi", "Dots an inch of a label printer", hint="As 203", option="--dpi", more=True),
        next=lambda _reply: [Link("The printers", "/ask/printers")],
        intro="Measured on an alignment sheet; its sheets are shifted the other way.",
    ),
)  # fmt: skip
INQUIRIES = (
    Inquiry(
        "labels-due", "Labels that are due", "Show", "labels:labels", "labels:AskLabels", _due,
        paper="/labels",
    ),
    Inquiry("printers", "The printers", "Show", "labels:printers", "", "labels:printers_listed"),
)  # fmt: skip
