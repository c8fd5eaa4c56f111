"""The calculators: the ones of every day large, the others under them."""

from starlette.responses import Response

from stores.web.deeds import inquiry_named
from stores.web.deeds.reckoning import INQUIRIES
from stores.web.pages import Page
from stores.web.visit import Link, Visit

__all__ = ["PAGES"]

OFTEN = ("reckon-torque", "thread", "reckon-oil", "reckon-mixture", "reckon-compression")
"""Asked for most at the bench."""


def reckon(visit: Visit) -> Response:
    """Show what can be reckoned."""
    often = [inquiry_named(name) for name in OFTEN]
    others = [each for each in INQUIRIES if each.name not in OFTEN]
    return visit.page(
        "reckon.html",
        often=[Link(each.title, each.address, large=True) for each in often],
        others=others,
    )


PAGES = (Page("/reckon", reckon),)
