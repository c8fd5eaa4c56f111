"""A count of everything: how many pieces are where, and what still needs a decision."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from stores.model.items import Item
from stores.model.labels import Bag
from stores.model.ledger import PlaceKind
from stores.planning.status import left_over
from stores.text import counted

__all__ = ["Stocktake", "stocktake"]

GROUPS = (
    ("in bags", (PlaceKind.BAG,)),
    ("in boxes and on shelves", (PlaceKind.BOX, PlaceKind.SHELF)),
    ("on the bench", (PlaceKind.BENCH,)),
    ("away at firms", (PlaceKind.FIRM,)),
    ("back on the machine", (PlaceKind.MACHINE,)),
    ("scrapped", (PlaceKind.SCRAPPED,)),
    ("lost", (PlaceKind.LOST,)),
)


@dataclass(frozen=True, slots=True)
class Stocktake:
    """Pieces by where they are, and open matters: no faults, but not to be forgotten."""

    items: int
    pieces: int
    groups: tuple[tuple[str, int], ...]
    open_matters: tuple[str, ...]


def stocktake(items: Iterable[Item], bags: Mapping[str, Bag]) -> Stocktake:
    """Count all pieces and gather what is open."""
    listed = list(items)
    groups = tuple(
        (name, count)
        for name, kinds in GROUPS
        if (count := sum(item.count(*kinds) for item in listed))
    )
    matters: list[str] = []
    for item in listed:
        name = f"{item.ref} {item.as_found.text}"
        lost = item.count(PlaceKind.LOST)
        if lost:
            still = f", {item.short} to buy" if item.short else ", replaced"
            matters.append(f"lost: {lost} of {name}{still}")
        unknown = -item.count(PlaceKind.UNKNOWN)
        if unknown > 0:
            matters.append(f"unknown origin: {unknown} of {name}")
        if item.undecided:
            matters.append(f"quarantine: {item.undecided} of {name}")
        left = left_over(item) if item.step.number else 0
        if left:
            matters.append(f"left over: {left} of {name}")
    firms: dict[str, int] = {}
    for item in listed:
        for holding in item.holdings:
            if holding.kind is PlaceKind.FIRM:
                firms[holding.place] = firms.get(holding.place, 0) + holding.quantity
    matters += [f"away: {counted(count)} at {firm}" for firm, count in sorted(firms.items())]
    due = [bag.code for bag in bags.values() if bag.label_due]
    if due:
        more = f" and {len(due) - 6} more" if len(due) > 6 else ""
        matters.append(f"labels to print: {', '.join(due[:6])}{more}")
    return Stocktake(len(listed), sum(count for _, count in groups), groups, tuple(matters))
