"""Printers: how far each is out."""

from stores.web.forms import Deed, Field, Inquiry
from stores.web.visit import Link

DEEDS = (
    Deed(
        "printer", "How far a printer is out", "Record it",
        "printers:set_printer", "printers:SetPrinter", "printers:recorded",
        Field("name", "Printer", hint="What you call it, as upstairs"),
        Field("right", "How far to the right", hint="mm, as 0.5; - to the left", option="--right"),
        Field("down", "How far below", hint="mm, as 1.2; - above", option="--down"),
        Field("dpi", "Dots an inch of a label printer", hint="As 203", option="--dpi", more=True),
        next=lambda _reply: [Link("The printers", "/ask/printers")],
        intro="Measured on an alignment sheet; its sheets are shifted the other way.",
    ),
)  # fmt: skip
INQUIRIES = (
    Inquiry("printers", "The printers", "Show", "printers:printers", "", "printers:listing"),
)
