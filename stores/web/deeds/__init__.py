"""What can be recorded and asked in a browser: one module a subject, each a table of forms.

Every deed is at ``/do/NAME`` and every inquiry at ``/ask/NAME``. A page that has a form of its own
for the same thing sends it to the same address, so that there is one answer to it.
"""

from functools import cache
from importlib import import_module
from typing import Any, TypeVar

from stores.errors import NotFound
from stores.web.forms import Deed, Inquiry

__all__ = ["SUBJECTS", "deed_named", "deeds", "inquiries", "inquiry_named"]

F = TypeVar("F")

SUBJECTS = ("history", "strip", "pictures", "refit", "sitting", "counting", "arrived")
"""The modules of this room, in the order of the job."""


@cache
def deeds() -> dict[str, Deed]:
    """Return all that can be recorded, by name."""
    return {each.name: each for subject in SUBJECTS for each in _module(subject).DEEDS}


@cache
def inquiries() -> dict[str, Inquiry]:
    """Return all that can be asked, by name."""
    return {each.name: each for subject in SUBJECTS for each in _module(subject).INQUIRIES}


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
