"""A count of one place beside what is expected there; and a count of everything."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from stores.errors import BadValue, StoresError
from stores.handbook.benchline import MAX_COUNT
from stores.model.items import Item
from stores.model.labels import Bag
from stores.model.ledger import PlaceKind
from stores.planning.status import PieceStatus, left_over

__all__ = ["CountLine", "MatterKind", "Met", "OpenMatter", "Stocktake", "compare", "read_counted",
           "read_exceptions", "stocktake"]  # fmt: skip

_ITEM = re.compile(r"^\s*(\d{1,6}\.\d{1,4})\s*(?:=\s*(\S+)\s*)?$")


@dataclass(frozen=True, slots=True)
class Met:
    """What one line that was typed or scanned names: "item", "place", or "words" for neither.

    ``number`` is the row of the item or place, 0 for words; ``unread`` is why they are neither.
    """

    kind: str
    number: int
    name: str
    count: int = 1
    unread: StoresError | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class CountLine:
    """One thing that was expected or found: an item by its number, or a bag or box by its place.

    ``name`` is what a person calls it; ``number`` is 0 for what is not in the record.
    ``recorded_in`` is where an extra bag or box should be by the record.
    """

    kind: str
    number: int
    name: str
    expected: int
    found: int
    recorded_in: str = ""
    unread: StoresError | None = field(default=None, compare=False)

    @property
    def verdict(self) -> str:
        """What it is: "right", "missing", "too many", or "extra", which was not expected."""
        if self.found == self.expected:
            return "right"
        if self.found < self.expected:
            return "missing"
        return "too many" if self.expected else "extra"


def read_counted(text: str) -> tuple[str, int] | None:
    """Return an item that was counted, as ``7.2=3``, or one more piece of it, as ``7.2``.

    None where it is no item: a code, or a name.

    Raises:
        BadValue: what stands behind the sign is no count.
    """
    match = _ITEM.match(text)
    if not match:
        return None
    typed = match[2] or "1"
    if not typed.isdecimal() or int(typed) > MAX_COUNT:
        raise BadValue("no count of an item", typed=typed[:20], item=match[1])
    return match[1], int(typed)


def read_exceptions(text: str) -> dict[str, int]:
    """Return what differs from a list, as ``1.2: 3, 2.1: none``: how many there are, by name.

    Between name and count is a colon, ``=`` or a space; entries are parted by commas, semicolons
    or new lines.

    Raises:
        BadValue: no count behind a name, a name without a count, or one that is named twice.
    """
    found: dict[str, int] = {}
    for part in re.split(r"[,;\n]", text):
        typed = " ".join(part.split())
        if not typed:
            continue
        read = re.fullmatch(r"([^:=]+?)(?:\s*[:=]\s*|\s)([^:=\s]+)", typed)
        name, count = read.groups() if read else ("", "")
        count = "0" if count.casefold() in _NONE else count
        if not count.isdecimal() or int(count) > MAX_COUNT:
            raise BadValue("no exception", typed=typed[:40])
        if name in found:
            raise BadValue("excepted twice", name=name[:40])
        found[name] = int(count)
    return found


_NONE = frozenset({"none", "no", "nothing", "missing", "nil"})


def compare(
    expected: Mapping[tuple[str, int], tuple[str, int]], counts: Iterable[Met]
) -> list[CountLine]:
    """Return what was counted beside what was expected.

    Args:
        expected: name and count, by kind and number.
        counts: what was counted, as often as it was met. Pieces of an item add up; a bag or a word
            met twice is the same one.
    """
    lines: dict[tuple[str, int, str], CountLine] = {
        (kind, number, ""): CountLine(kind, number, name, count, 0)
        for (kind, number), (name, count) in expected.items()
    }
    for met in counts:
        key = (met.kind, met.number, "" if met.number else met.name)
        line = lines.get(key) or CountLine(met.kind, met.number, met.name, 0, 0)
        count = line.found + met.count if met.kind == "item" else 1
        lines[key] = replace(line, found=count, unread=met.unread or line.unread)
    return list(lines.values())


GROUPS = (
    ("in bags", (PlaceKind.BAG,)),
    ("in boxes and on shelves", (PlaceKind.BOX, PlaceKind.SHELF)),
    ("on the bench", (PlaceKind.BENCH,)),
    ("away at firms", (PlaceKind.FIRM,)),
    ("back on the machine", (PlaceKind.MACHINE,)),
    ("still on the machine", (PlaceKind.STUCK,)),
    ("scrapped", (PlaceKind.SCRAPPED,)),
    ("lost", (PlaceKind.LOST,)),
)


class MatterKind(StrEnum):
    """What is open of pieces, and no fault."""

    LOST = "lost"
    UNKNOWN = "unknown origin"
    STILL_ON = "still on"
    QUARANTINE = "quarantine"
    MIXED_UP = "mixed up"
    LEFT_OVER = "left over"
    AWAY = "away"
    LABELS = "labels to print"


@dataclass(frozen=True, slots=True)
class OpenMatter:
    """So many pieces of an item that something is open of, or are away, or labels that are due.

    ``where`` is how they are still on, with what they are mixed up, or the firm that they are away
    at. Of lost ones of a joint ``short``, ``on_order`` and ``spare`` say what makes up for them,
    ``replaced`` that all of it is made up for. ``bags`` are those whose labels are due.
    """

    kind: MatterKind
    quantity: int
    item: str = ""
    text: str = ""
    where: str = ""
    short: int = 0
    on_order: int = 0
    spare: int = 0
    replaced: bool = False
    bags: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Stocktake:
    """Pieces by where they are, and open matters: no faults, but not to be forgotten."""

    items: int
    pieces: int
    groups: tuple[tuple[str, int], ...]
    open_matters: tuple[OpenMatter, ...]


def stocktake(
    items: Iterable[Item], bags: Mapping[str, Bag], lacking: Mapping[int, PieceStatus]
) -> Stocktake:
    """Return how many pieces are where, and what is open; ``lacking`` is the status of the items
    that lack pieces, by number. What is poured, weighed or cut is no pieces, and not counted."""
    listed = [item for item in items if not item.unit]
    groups = tuple(
        (name, count)
        for name, kinds in GROUPS
        if (count := sum(item.count(*kinds) for item in listed))
    )
    matters: list[OpenMatter] = []
    for item in listed:
        gone = [held for held in item.holdings if held.kind is PlaceKind.LOST]
        lost = sum(held.quantity for held in gone)
        if lost:
            matters.append(_lost(item, lost, item.names(gone), lacking.get(item.number)))
        unknown = min(-item.count(PlaceKind.UNKNOWN), _still_its_own(item))
        counts = (
            (MatterKind.UNKNOWN, max(0, unknown), ""),
            *((MatterKind.STILL_ON, held.quantity, held.where) for held in item.still_on),
            (MatterKind.QUARANTINE, item.undecided, ""),
            (MatterKind.MIXED_UP, item.mixed, item.mixed_words) if item.mixup else None,
            (MatterKind.LEFT_OVER, left_over(item) if item.step.number else 0, ""),
        )
        matters += [
            OpenMatter(kind, count, item.ref, item.as_found.text, where)
            for kind, count, where in filter(None, counts)
            if count or kind in (MatterKind.STILL_ON, MatterKind.MIXED_UP)
        ]
    firms: dict[str, int] = {}
    for item in listed:
        for holding in item.holdings:
            if holding.kind is PlaceKind.FIRM:
                firms[holding.place] = firms.get(holding.place, 0) + holding.quantity
    matters += [
        OpenMatter(MatterKind.AWAY, count, where=firm) for firm, count in sorted(firms.items())
    ]
    due = tuple(bag.code for bag in bags.values() if bag.label_due)
    if due:
        matters.append(OpenMatter(MatterKind.LABELS, len(due), bags=due))
    return Stocktake(len(listed), sum(count for _, count in groups), groups, tuple(matters))


def _still_its_own(item: Item) -> int:
    """Return the pieces of an item that were neither given to another joint nor thrown out."""
    return sum(
        holding.quantity
        for holding in item.holdings
        if holding.quantity > 0 and holding.kind not in (PlaceKind.REASSIGNED, PlaceKind.SCRAPPED)
    )


def _lost(item: Item, quantity: int, text: str, piece: PieceStatus | None) -> OpenMatter:
    """Return lost pieces of an item, and what becomes of its joint."""
    of_joint = bool(item.step.number)
    made_up = piece if of_joint else None
    return OpenMatter(
        MatterKind.LOST,
        quantity,
        item.ref,
        text,
        short=made_up.short if made_up else 0,
        on_order=made_up.on_order if made_up else 0,
        spare=made_up.spare if made_up else 0,
        replaced=of_joint and piece is None,
    )
