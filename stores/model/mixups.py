"""Mixed up: pieces of several lines that lie together until somebody sorts them.

A mix-up marks so many pieces at a spot; sorting takes the mark off again. In between the marks go
where the pieces go: what is taken from a spot is taken as unmarked first, since whoever picks there
knows those. Mix-ups that share a line are one: what was tipped together is tipped together.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from stores.model.ledger import Movement, Spot

__all__ = ["Fellow", "Mark", "MixUp", "Mixed", "Slip", "follow", "together"]


@dataclass(frozen=True, slots=True)
class Mark:
    """So many pieces at a spot that an act says are mixed up, or sorted."""

    act: int
    mixup: int
    item: int
    spot: Spot
    quantity: int
    sorted: bool = False


@dataclass(frozen=True, slots=True)
class Slip:
    """A mark that cannot be: more pieces than were there, or than were mixed up."""

    mark: Mark
    there: int


@dataclass(frozen=True, slots=True)
class MixUp:
    """What was once said to be mixed up: its number, why, the day, and its items."""

    number: int
    note: str
    date: str
    items: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Mixed:
    """Mix-ups that are one, as far as they are not sorted: pieces by item and spot.

    ``number`` is that of the newest.
    """

    number: int
    note: str
    date: str
    pieces: Mapping[tuple[int, Spot], int]

    @property
    def items(self) -> tuple[int, ...]:
        """The items with pieces in it."""
        return tuple(dict.fromkeys(item for item, _ in self.pieces))


@dataclass(frozen=True, slots=True)
class Fellow:
    """Another line that a line is mixed up with: its reference, what it is, and its bags."""

    item: str
    machine: str
    text: str
    bags: tuple[str, ...] = ()


def follow(
    marks: Iterable[Mark], movements: Iterable[tuple[int, Movement]]
) -> tuple[dict[tuple[int, Spot], int], list[Slip]]:
    """Return how many pieces of each item are still mixed up at each spot, and the impossible.

    Args:
        marks: those of the acts that stand.
        movements: all of these items, each with its act; reversals and what they took back left
            out.
    """
    by_act: dict[int, tuple[list[Mark], list[Movement]]] = {}
    for mark in marks:
        by_act.setdefault(mark.act, ([], []))[0].append(mark)
    for act, movement in movements:
        by_act.setdefault(act, ([], []))[1].append(movement)
    there: dict[tuple[int, Spot], int] = {}
    mixed: dict[tuple[int, Spot], int] = {}
    slips: list[Slip] = []
    for act in sorted(by_act):
        said, moved = by_act[act]
        for mark in said:
            key = (mark.item, mark.spot)
            before = mixed.get(key, 0)
            most = before if mark.sorted else there.get(key, 0)
            if mark.quantity > most:
                slips.append(Slip(mark, max(0, most)))
            mixed[key] = (
                max(0, before - mark.quantity) if mark.sorted else max(before, mark.quantity)
            )
        for move in moved:
            source, target = (move.item, move.source), (move.item, move.target)
            known = max(0, there.get(source, 0) - mixed.get(source, 0))
            doubtful = min(mixed.get(source, 0), max(0, move.quantity - known))
            there[source] = there.get(source, 0) - move.quantity
            there[target] = there.get(target, 0) + move.quantity
            mixed[source] = mixed.get(source, 0) - doubtful
            mixed[target] = mixed.get(target, 0) + doubtful
    return {key: count for key, count in mixed.items() if count}, slips


def together(mixups: Sequence[MixUp], pieces: Mapping[tuple[int, Spot], int]) -> list[Mixed]:
    """Return what is still mixed up, mix-ups that share an item as one, the oldest first."""
    groups: list[tuple[list[MixUp], set[int]]] = []
    for each in mixups:
        joined, items = [each], set(each.items)
        apart = []
        for group in groups:
            if group[1] & items:
                joined = [*group[0], *joined]
                items |= group[1]
            else:
                apart.append(group)
        groups = [*apart, (joined, items)]
    made = []
    for joined, items in groups:
        newest = max(joined, key=lambda each: each.number)
        left = {key: count for key, count in pieces.items() if key[0] in items}
        if left:
            made.append(Mixed(newest.number, newest.note, newest.date, left))
    return sorted(made, key=lambda each: each.number)
