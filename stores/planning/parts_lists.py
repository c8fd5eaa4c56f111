"""A parts list read in: which column is which, what a row says, and which item it is.

A text is read as notation only where its figures can be an item's (`Index._worth_reading`): reading
costs 0.3 ms, looking at figures a hundredth. A test holds it to every published spelling.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from math import gcd

from stores.errors import BadValue, NotationError, StoresError
from stores.handbook.benchline import MAX_COUNT
from stores.handbook.fastener import parse
from stores.model.items import Item
from stores.text import MAX_TEXT, clean, words_of

__all__ = ["COLUMNS", "Columns", "Fate", "Index", "ListedPart", "RowOutcome", "read_part"]

HEADINGS = {
    "what": (
        "description", "what", "part name", "name", "item description", "part", "denomination",
        "title", "article", "item",
    ),
    "quantity": ("quantity", "qty", "no off", "off", "number off", "count", "pieces", "pcs",
                 "per machine", "no required", "required"),
    "number": ("part number", "part no", "number", "no", "reference", "ref", "code", "article no",
               "order no", "item no", "plate no", "catalogue no", "key"),
    "assembly": ("assembly", "group", "section", "plate", "fitted to", "unit", "where"),
    "note": ("note", "notes", "remark", "remarks", "comment", "comments"),
}  # fmt: skip
"""Headings that parts books and suppliers write over each column (common practice)."""

COLUMNS = tuple(HEADINGS)
_COUNT = re.compile(
    r"^\s*(\d{1,9})(?:[.,]0+)?\s*(?:off|x|pcs?\.?|pieces?|no\.?)?\s*$", re.IGNORECASE
)
_FIGURES = re.compile(r"\d+")
_RUN_TOGETHER = re.compile(r"\d\d/")
"""11/2 for 1-1/2: the figures of the canonical form are not those of the text."""
_IN_WORDS = frozenset(
    ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
     "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
     "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety", "hundred",
     "half", "quarter", "quarters", "eighth", "eighths", "sixteenth", "sixteenths", "thou",
     "inch", "inches", "in")
)  # fmt: skip
"""What may stand for figures: a text with such words is always read as notation."""
_DECIMAL = re.compile(r"(\d*)[.,](\d+)")
_SMALLEST = 128
"""The finest fraction of an inch that a decimal may stand for."""

_AS_REQUIRED = frozenset(("a/r", "ar", "as req", "as reqd", "as required"))


@dataclass(frozen=True, slots=True)
class Columns:
    """Which column of a table holds what, counted from 0; -1 where there is none."""

    what: int
    quantity: int = -1
    number: int = -1
    assembly: int = -1
    note: int = -1

    @classmethod
    def guess(cls, heads: Sequence[str], chosen: Mapping[str, str]) -> "Columns | None":
        """Return the columns by their headings; ``chosen`` names the heading of some of them.

        None where no column says what a part is: then this is no row of headings.

        Raises:
            BadValue: a name that is no column of ours.
        """
        for name in chosen:
            if name not in HEADINGS:
                raise BadValue("no such column", name=name, columns=COLUMNS)
        folded = [_fold(head) for head in heads]
        at = {}
        for name, heading in chosen.items():
            if _fold(heading) not in folded:
                return None
            at[name] = folded.index(_fold(heading))
        for name, words in HEADINGS.items():
            if name not in at:
                free = [word for word in words if word in folded]
                place = next(
                    (folded.index(w) for w in free if folded.index(w) not in at.values()), -1
                )
                if place >= 0:
                    at[name] = place
        # One heading alone may be a title that happens to be such a word.
        if "what" not in at or (len(at) < 2 and len([f for f in folded if f]) > 1 and not chosen):
            return None
        return cls(**at)

    def named(self, heads: Sequence[str]) -> dict[str, str]:
        """Return which column was taken for what: the heading of each by our name."""
        return {name: heads[at].strip() for name in COLUMNS if (at := getattr(self, name)) >= 0}


class RowOutcome(StrEnum):
    """What becomes of a row."""

    NEW = "new"
    MATCHED = "matched"
    REFUSED = "refused"
    EMPTY = "empty"


@dataclass(frozen=True, slots=True)
class ListedPart:
    """One row of a parts list. ``quantity`` 0 is as required."""

    line: int
    text: str
    quantity: int = 1
    reference: str = ""
    assembly: str = ""
    note: str = ""
    item: int | None = None


@dataclass(frozen=True, slots=True)
class Fate:
    """A row and what becomes of it.

    ``item`` is the item that it is, as ``7.2``, ``there`` how many of it belong there where the row
    says another number; ``candidates`` are the items that it may be, where several fit;
    ``reason`` is why it is refused.
    """

    outcome: RowOutcome
    line: int
    part: ListedPart | None = None
    item: str = ""
    there: int | None = None
    candidates: tuple[str, ...] = ()
    reason: str = ""


def read_part(line: int, row: Sequence[str], columns: Columns) -> Fate:
    """Return one row, not yet matched. A row with nothing in it is empty, not refused."""
    if not "".join(row).strip():
        return Fate(RowOutcome.EMPTY, line)
    size = len(row)

    def cell(at: int) -> str:
        return row[at] if 0 <= at < size else ""

    try:
        text = _kept(cell(columns.what), "the description", MAX_TEXT, empty=False)
        return Fate(
            RowOutcome.NEW,
            line,
            ListedPart(
                line,
                text,
                _quantity(cell(columns.quantity), text),
                _kept(cell(columns.number), "the part number", 80),
                _kept(cell(columns.assembly), "the assembly", 200),
                _kept(cell(columns.note), "the note", 2000),
            ),
        )
    except StoresError as error:
        return Fate(RowOutcome.REFUSED, line, reason=str(error))


class Index:
    """The items of a machine by what they are, to match the rows of a list with."""

    def __init__(self, items: Iterable[Item]) -> None:
        self._by_text: dict[str, list[Item]] = {}
        self._figures: dict[str, set[frozenset[str]]] = {}
        self._few = False
        self._worth = lru_cache(maxsize=8192)(self._worth_reading)
        for item in items:
            if item.step.number:
                for text in {item.as_found.text, item.as_specified.text}:
                    self._by_text.setdefault(text, []).append(item)
        for text in self._by_text:
            figures = frozenset(_figures(text))
            if figures:
                self._figures.setdefault(max(figures), set()).add(figures)
            else:
                self._few = True

    def _worth_reading(self, text: str) -> bool:
        """Tell whether a text can be any of the items at all: reading notation costs far more than
        looking at its figures. The canonical form has no figure that a text in figures has not."""
        if text in self._by_text:
            return True
        figures = set(_figures(text))
        if (self._few and len(figures) < 2) or not text.isascii():
            return True
        if "." in text or "," in text:
            figures |= _of_decimals(text)
        if "/" in text and _RUN_TOGETHER.search(text):
            return True
        if not _IN_WORDS.isdisjoint(text.replace("-", " ").casefold().split()):
            return True
        return any(known <= figures for one in figures for known in self._figures.get(one, ()))

    def match(self, part: ListedPart) -> Fate:
        """Return which item a row is: only where exactly one fits."""
        worth = self._worth(part.text)
        fits = self._by_text.get(spec_of(part.text)[0], []) if worth else []
        if fits and part.assembly:
            key = _path(part.assembly)
            fits = [
                item
                for item in fits
                if (path := _path(item.step.assembly)) == key
                or path.endswith(f"/{key}")
                or path.startswith(f"{key}/")
            ]
        if not fits:
            return Fate(RowOutcome.NEW, part.line, part)
        if len(fits) > 1:
            refs = tuple(item.ref for item in fits[:6])
            return Fate(RowOutcome.NEW, part.line, part, candidates=refs)
        item = fits[0]
        differs = part.quantity and part.quantity != item.wanted
        return Fate(
            RowOutcome.MATCHED,
            part.line,
            ListedPart(
                part.line, part.text, part.quantity, part.reference, part.assembly, part.note,
                item.number,
            ),
            item.ref,
            item.wanted if differs else None,
        )  # fmt: skip


@lru_cache(maxsize=8192)
def spec_of(text: str) -> tuple[str, int | None]:
    """Return a text in the canonical notation and the count in it; as it stands if no notation."""
    try:
        thing = parse(text)
    except NotationError:
        return text, None
    return thing.spec, thing.quantity


@lru_cache(maxsize=4096)
def _kept(cell: str, name: str, most: int, *, empty: bool = True) -> str:
    return clean(cell, name, most=most, empty=empty)


@lru_cache(maxsize=1024)
def _quantity_alone(said: str) -> int | None:
    """Read a quantity that a cell says, None where it says none that counts."""
    found = _COUNT.match(said)
    if found and int(found[1]) <= MAX_COUNT:
        return int(found[1])
    return 0 if said.strip().casefold().rstrip(".") in _AS_REQUIRED else None


def _quantity(said: str, text: str) -> int:
    if not said or not said.strip():
        counted = spec_of(text)[1] if text[0].isdigit() else None
        return 1 if counted is None else counted
    count = _quantity_alone(said)
    if count is not None:
        return count
    raise BadValue(f"{said.strip()[:40]!r} is no quantity: write a whole number, or A/R")


@lru_cache(maxsize=1024)
def _path(text: str) -> str:
    return "/".join(part.strip() for part in re.split(r"[/>]", text.casefold()))


def _fold(head: str) -> str:
    return " ".join(words_of(head))


def _of_decimals(text: str) -> set[str]:
    """Give the figures that decimals may become: 12.50 is 12.5, 1.5 may be 1 1/2, 2.5 cm 25 mm."""
    found: set[str] = set()
    for whole, part in _DECIMAL.findall(text):
        shorter = part.rstrip("0")
        found.add(whole.lstrip("0") or "0")  # .5 is 0.5
        found.add(shorter.lstrip("0") or "0")
        found.add((whole + shorter).lstrip("0") or "0")
        tens = whole + part[0]
        found.add(tens.lstrip("0") or "0")
        over = 10 ** len(part)
        parts, rest = divmod(int(part) * _SMALLEST, over)
        if not rest:  # a whole number of the finest fractions
            common = gcd(parts, _SMALLEST)
            above, below = parts // common, _SMALLEST // common
            found |= {str(above), str(below), str(int(whole or 0) * below + above)}
    return found


def _figures(text: str) -> list[str]:
    return [figure.lstrip("0") or "0" for figure in _FIGURES.findall(text)]
