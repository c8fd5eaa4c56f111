"""The audit: every fault of a record at once, each by name. A new rule is one function."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

from stores.model.ledger import (
    Act,
    ActKind,
    Balance,
    Movement,
    PlaceKind,
    fallen_acts,
)

__all__ = ["Fault", "Record", "audit"]


@dataclass(frozen=True, slots=True)
class Fault:
    """Something that is not as it must be: where, and what."""

    where: str
    what: str

    def __str__(self) -> str:
        return f"{self.where}: {self.what}"


@dataclass(frozen=True, slots=True)
class Record:
    """All that was ever written: acts by number in order, the kinds of places, names to show.

    ``found`` tells for each item that a standing strip act brought in how many pieces came with
    the machine; ``fallen_items`` are those whose act no longer stands;
    ``judged`` is what the findings say, as pieces by (act, item); ``gapless`` whether this
    database numbers acts without a gap.
    """

    acts: Mapping[int, Act]
    kinds: Mapping[int, PlaceKind]
    item_names: Mapping[int, str]
    place_names: Mapping[int, str]
    found: Mapping[int, int]
    fallen_items: frozenset[int] = frozenset()
    judged: Mapping[tuple[int, int], int] = field(default_factory=dict)
    gapless: bool = True

    def item(self, number: int) -> str:
        """Return the name of an item."""
        return self.item_names.get(number, f"item {number}")

    def place(self, number: int) -> str:
        """Return the name of a place."""
        return self.place_names.get(number, f"place {number}")


def audit(record: Record) -> list[Fault]:
    """Return the faults of every check; an empty list means that everything is accounted for."""
    return [fault for check in CHECKS for fault in check(record)]


def check_ends(record: Record) -> Iterator[Fault]:
    """Both ends of every movement and its item are known."""
    for number, act in record.acts.items():
        for movement in act.movements:
            if movement.item not in record.item_names:
                yield Fault(f"act {number}", f"moves item {movement.item}, which is not recorded")
            for spot in (movement.source, movement.target):
                if spot.place not in record.kinds:
                    yield Fault(f"act {number}", f"names place {spot.place}, which is not recorded")


def check_never_below_zero(record: Record) -> Iterator[Fault]:
    """At no moment did a place inside the workshop hold fewer than no pieces."""
    balance = Balance()
    for number, act in record.acts.items():
        for movement in act.movements:
            balance.apply(movement)
        touched = {
            (movement.item, spot)
            for movement in act.movements
            for spot in (movement.source, movement.target)
        }
        for item, spot in sorted(touched):
            kind = record.kinds.get(spot.place)
            count = balance.at(item, spot)
            if count < 0 and kind is not None and kind.inside:
                yield Fault(
                    f"act {number}",
                    f"leaves {count} of {record.item(item)} ({spot.condition}) "
                    f"in {record.place(spot.place)}",
                )


def check_sums(record: Record) -> Iterator[Fault]:
    """Over all places the pieces of an item add up to nothing: none made, none vanished."""
    totals: dict[int, int] = {}
    for item, _, count in Balance.of(m for act in record.acts.values() for m in act.movements):
        totals[item] = totals.get(item, 0) + count
    for item, total in totals.items():
        if total:
            yield Fault(record.item(item), f"all places add up to {total}, not to 0")


def check_reversals(record: Record) -> Iterator[Fault]:
    """A reversal mirrors an earlier act, movement for movement, and no act is reversed twice."""
    seen: dict[int, int] = {}
    for number, act in record.acts.items():
        if (act.kind is ActKind.REVERSE) != (act.reverses is not None):
            yield Fault(
                f"act {number}", "is a reversal that names no act, or names one and is none"
            )
        if act.reverses is None:
            continue
        if act.reverses in seen:
            yield Fault(
                f"act {number}", f"reverses act {act.reverses}, as act {seen[act.reverses]} did"
            )
        seen[act.reverses] = number
        first = record.acts.get(act.reverses)
        if first is None or act.reverses >= number:
            yield Fault(f"act {number}", f"reverses act {act.reverses}, which is not before it")
        elif _bundle(move.mirrored() for move in first.movements) != _bundle(iter(act.movements)):
            yield Fault(f"act {number}", f"does not mirror act {act.reverses}, which it reverses")


def check_found(record: Record) -> Iterator[Fault]:
    """What came with the machine is what the strip-down recorded as found, or was put right to."""
    fallen = fallen_acts(
        {number: act.reverses for number, act in record.acts.items() if act.reverses is not None}
    )
    balance = Balance.of(
        move
        for number, act in record.acts.items()
        if number not in fallen and act.kind in (ActKind.STRIP, ActKind.CORRECT)
        for move in act.movements
    )
    came: dict[int, int] = {}
    for item, spot, count in balance:
        if record.kinds.get(spot.place) is PlaceKind.CAME:
            came[item] = came.get(item, 0) - count
    for item in sorted(came.keys() | record.found.keys()):
        recorded, moved = record.found.get(item, 0), came.get(item, 0)
        if recorded != moved:
            yield Fault(record.item(item), f"found {recorded}, but {moved} came off the machine")


def check_fallen_items(record: Record) -> Iterator[Fault]:
    """What an act brought in that no longer stands, holds no pieces: none can be out of sight."""
    for item, spot, count in Balance.of(m for act in record.acts.values() for m in act.movements):
        if item in record.fallen_items:
            yield Fault(
                record.item(item),
                f"was undone, but {count} ({spot.condition}) are in {record.place(spot.place)}",
            )


def check_findings(record: Record) -> Iterator[Fault]:
    """An inspection moved just the pieces that its findings speak of: a new piece that failed is
    handed over by its joint, and judged as the loose piece that it is then."""
    for number, act in record.acts.items():
        if act.kind is not ActKind.INSPECT:
            continue
        moved: dict[int, int] = {}
        for movement in act.movements:
            if record.kinds.get(movement.target.place) is not PlaceKind.REASSIGNED:
                moved[movement.item] = moved.get(movement.item, 0) + movement.quantity
        said = {item: count for (of, item), count in record.judged.items() if of == number}
        for item in sorted(moved.keys() | said.keys()):
            if moved.get(item, 0) != said.get(item, 0):
                yield Fault(
                    f"act {number}",
                    f"judged {said.get(item, 0)} of {record.item(item)}, "
                    f"but moved {moved.get(item, 0)}",
                )


def check_numbers(record: Record) -> Iterator[Fault]:
    """Acts are numbered without a gap: none has been taken out of the record."""
    if not record.gapless:
        return
    last = 0
    for number in sorted(record.acts):
        if number != last + 1:
            yield Fault(f"act {number}", f"follows act {last}: what is between is missing")
        last = number


def _bundle(movements: Iterator[Movement]) -> list[tuple[int, int, object, object]]:
    return sorted(
        ((move.item, move.quantity, move.source, move.target) for move in movements),
        key=repr,
    )


CHECKS: tuple[Callable[[Record], Iterator[Fault]], ...] = (
    check_ends,
    check_never_below_zero,
    check_sums,
    check_reversals,
    check_found,
    check_fallen_items,
    check_findings,
    check_numbers,
)
