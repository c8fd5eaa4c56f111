"""Facts to English: what a use-case replied, what was refused, what to do next.

The only room with sentences. One module a subject; each has functions that turn a reply into
`Said` lines or a `Listing`, and the subject's `REFUSALS` and `HINTS`. Nothing ever reads a
sentence back: what is to be typed within one is marked where it is written (`wording.marks`).
"""

from collections.abc import Sequence
from typing import NamedTuple

__all__ = ["SUBJECTS", "Line", "Lines", "Listing", "Said"]

SUBJECTS = (
    "common",
    "correct",
    "counts",
    "find",
    "history",
    "inspect",
    "inventory",
    "labels",
    "mixups",
    "orders",
    "outwork",
    "parts_lists",
    "pictures",
    "places",
    "queries",
    "renewals",
    "shopping",
    "figures",
    "keeping",
    "reckoning",
    "assembling",
    "closing",
    "rebuild",
    "refit",
    "snags",
    "strip",
    "survey",
    "stock",
    "stuck",
    "work_units",
)
"""The modules of this room that have refusals and hints."""


class Said(NamedTuple):
    """A reply in words: what was understood, what to mind, and the cautions."""

    lines: Sequence[str] = ()
    notes: Sequence[str] = ()
    cautions: Sequence[str] = ()


class Line(NamedTuple):
    """One line, wrapped to the screen: ``first`` and ``rest`` begin what it comes to.

    A ``whole`` one, of a drawing or a name, is shown as it is.
    """

    text: str
    first: str = ""
    rest: str = ""
    whole: bool = False


class Lines(NamedTuple):
    """Lines that are indented each in its own way; ``sources`` are shown last, named or in full."""

    lines: Sequence[Line]
    sources: Sequence[str] = ()


class Listing(NamedTuple):
    """A table in words. ``right`` names the columns of figures; ``empty`` is said of no rows."""

    heads: Sequence[str]
    rows: Sequence[Sequence[str]]
    right: Sequence[int] = ()
    empty: str = ""
