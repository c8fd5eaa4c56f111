"""All jobs: everything that can be done here, by the part of the job it is of."""

from starlette.responses import Response

from stores.web.deeds import by_part
from stores.web.pages import Page
from stores.web.visit import Link, Visit

__all__ = ["PAGES"]

SCREENS = {
    "Take apart": (Link("Take off, one step after another", "/strip"),),
    "Find and put away": (
        Link("Scan a label", "/scan"),
        Link("What is this bolt of?", "/bolt"),
        Link("Count a box or bag by scanning", "/count"),
    ),
    "Inspect": (Link("Inspect, one line after another", "/inspect"),),
    "Send out": (Link("A batch or parcel arrived", "/arrived"),),
    "Buy": (Link("Shopping, to take along", "/shopping"),),
    "Put back": (Link("What goes on next", "/next"),),
    "Figures": (Link("Calculators", "/reckon"),),
    "The record": (
        Link("Desk: the whole machine on a wide screen", "/desk"),
        Link("Choose the machine of this device", "/machine"),
        Link("Open questions, one after another", "/questions"),
        Link("Labels", "/labels"),
        Link("Sheets to print", "/paper"),
        Link("Pictures", "/pictures"),
        Link("Phones and tablets that are let in", "/devices"),
        Link("Copy the record, or all of it as text", "/keep"),
    ),
}
"""The screens that are more than one form, by the parts of the job."""


def all_jobs(visit: Visit) -> Response:
    """Show every screen and every form."""
    return visit.page("all_jobs.html", parts=by_part(), screens=SCREENS)


PAGES = (Page("/all", all_jobs),)
