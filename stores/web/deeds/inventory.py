"""The inventory: everything there is, place by place."""

from stores.planning.inventory import Inventory
from stores.web.deeds.fields import OF
from stores.web.forms import Deed, Field, Inquiry, Words
from stores.wording import Lines, Listing, Said
from stores.wording.inventory import heading, place, place_rows


def _list(reply: Inventory) -> Words:
    shown: list[Said | Lines | Listing] = [Said(heading(reply))]
    valued = reply.unpriced < reply.lines
    for each in reply.places:
        shown += [Said((place(each, reply.currency),)), place_rows(each, valued=valued)]
    return shown


DEEDS: tuple[Deed, ...] = ()
INQUIRIES = (
    Inquiry(
        "inventory", "The inventory", "Show",
        "inventory:inventory", "inventory:TakeInventory", _list,
        Field("what", "Only", hint="A place, a size, or words, as drawer 3, M6"),
        OF,
        paper="/paper/inventory", line="Place by place, with what it costs new",
    ),
)  # fmt: skip
