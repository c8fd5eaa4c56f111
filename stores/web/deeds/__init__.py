"""What can be recorded and asked in a browser: one module a subject, each a table of forms.

Every deed is at ``/do/NAME`` and every inquiry at ``/ask/NAME``. A page that has a form of its own
for the same thing sends it to the same address, so that there is one answer to it.
"""

from functools import cache
from importlib import import_module
from typing import Any, TypeVar

from stores.errors import NotFound
from stores.web.forms import Deed, Inquiry

__all__ = ["PARTS", "SUBJECTS", "by_part", "deed_named", "deeds", "inquiries", "inquiry_named"]

F = TypeVar("F")

SUBJECTS = (
    "survey",
    "strip",
    "pictures",
    "find",
    "places",
    "counts",
    "mixups",
    "inspect",
    "sitting",
    "snags",
    "renewals",
    "outwork",
    "shopping",
    "orders",
    "arrived",
    "stock",
    "parts_lists",
    "rebuild",
    "refit",
    "assembling",
    "closing",
    "measuring",
    "figures",
    "reckoning",
    "work_units",
    "history",
    "queries",
    "correct",
    "machines",
    "labels",
    "inventory",
)
"""The modules of this room, in the order of the job."""

PARTS = {
    "Take apart": ("survey", "strip", "pictures"),
    "Find and put away": ("find", "places", "counts", "mixups"),
    "Inspect": ("inspect", "sitting", "snags", "renewals"),
    "Send out": ("outwork",),
    "Buy": ("shopping", "orders", "arrived", "stock", "supplies", "parts_lists"),
    "Put back": ("rebuild", "refit", "assembling", "closing"),
    "Figures": ("measuring", "figures", "reckoning", "work_units"),
    "The record": (
        "history",
        "queries",
        "correct",
        "machines",
        "labels",
        "inventory",
        "keeping",
    ),
}
"""The parts of the job, and the subjects of each, as "All jobs" shows them."""


@cache
def deeds() -> dict[str, Deed]:
    """Return all that can be recorded, by name."""
    return {each.name: each for subject in SUBJECTS for each in _module(subject).DEEDS}


@cache
def inquiries() -> dict[str, Inquiry]:
    """Return all that can be asked, by name."""
    return {each.name: each for subject in SUBJECTS for each in _module(subject).INQUIRIES}


def by_part() -> dict[str, list[Deed | Inquiry]]:
    """Return all that can be recorded and asked, by the part of the job it is of."""
    return {
        part: [
            form
            for subject in subjects
            if subject in SUBJECTS
            for form in (*_module(subject).DEEDS, *_module(subject).INQUIRIES)
        ]
        for part, subjects in PARTS.items()
    }


def deed_named(name: str) -> Deed:
    """Return a deed.

    Raises:
        NotFound: no such deed.
    """
    return _named(deeds(), name)


def inquiry_named(name: str) -> Inquiry:
    """Return an inquiry.

    Raises:
        NotFound: no such inquiry.
    """
    return _named(inquiries(), name)


def _named(known: dict[str, F], name: str) -> F:
    if name not in known:
        raise NotFound("no such page", name=name)
    return known[name]


def _module(subject: str) -> Any:
    return import_module(f"stores.web.deeds.{subject}")
