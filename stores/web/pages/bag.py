"""The bag just scanned: what is in it, what can hurt, and where the rest of its step is."""

from itertools import groupby

from starlette.responses import Response

from stores.errors import NotFound
from stores.model.ledger import PlaceKind
from stores.usecases.find import Find, Found, FoundItem, find
from stores.web.pages import Page
from stores.web.visit import Visit, path_to

__all__ = ["PAGES"]


def bag(visit: Visit) -> Response:
    """Show a bag by its code."""
    reply = find(visit.context(), Find(visit.part("code")))
    if not reply.bag:
        raise NotFound("no such bag", bag=visit.part("code"), near=())
    steps = [
        (items[0], items, [rest.places for rest in reply.rest if rest.step.number == number])
        for number, items in ((n, list(g)) for n, g in groupby(reply.items, lambda i: i.step))
    ]
    visit.looking_at(f"bag {reply.bag}", path_to(f"/bag/{reply.bag}"))
    return visit.page(
        "bag.html",
        reply=reply,
        steps=steps,
        inside={item.item: _inside(reply, item) for item in reply.items},
    )


def _inside(reply: Found, item: FoundItem) -> tuple[list[object], list[object]]:
    """Return an item's pieces that are in the bag, and those that are elsewhere."""
    here = [p for p in item.now if p.kind is PlaceKind.BAG and p.place == reply.bag]
    return list(here), [p for p in item.now if p not in here]


PAGES = (Page("/bag/{code}", bag),)
