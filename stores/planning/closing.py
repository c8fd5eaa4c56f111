"""What stands in the way of closing a machine out, and what a day leaves behind."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from stores.model.items import Item
from stores.model.ledger import PlaceKind
from stores.model.snags import Snag
from stores.planning.places import moved_words
from stores.planning.status import BlockerKind, Status, StepStatus
from stores.text import beside, counted, many, plural

__all__ = ["NONE_KNOWN", "DayEnd", "KnownCopies", "LastCopy", "Turn", "day_end", "in_the_way"]


@dataclass(frozen=True, slots=True)
class Turn:
    """A machine closed out, or opened again, with the note or the reason."""

    act: int
    day: str
    closed: bool
    words: str = ""


@dataclass(frozen=True, slots=True)
class LastCopy:
    """When a copy was made, as ISO 8601, where to, and how many acts were written since."""

    at: str
    to: str
    acts_since: int


@dataclass(frozen=True, slots=True)
class KnownCopies:
    """The last copy, None where none is known; ``ours``: it is our own command that makes them,
    which copies files and no database elsewhere."""

    last: LastCopy | None
    ours: bool


NONE_KNOWN = KnownCopies(None, ours=True)


def in_the_way(status: Status) -> list[str]:
    """Return all that stands in the way of closing a machine out; none means it may be closed.

    New pieces beyond the need are spares and may stay. What was lost and replaced is no matter, nor
    is where the workshop's own stock is.
    """
    matters: list[str] = []
    for piece in status.listed:
        item = piece.item
        name = item.as_specified.text
        if to_fit := max(0, piece.to_fit - piece.stuck, piece.short):
            buy = f", {piece.short} to buy" if piece.short else ""
            matters.append(f"not on the machine: {many(to_fit, name)} ({item.ref}){buy}")
        matters += _still_on(item)
        if piece.left_over:
            matters.append(f"left over: {many(piece.left_over, item.as_found.text)} ({item.ref})")
        for holding in () if item.stock else item.holdings:
            if holding.kind is PlaceKind.FIRM and holding.quantity > 0:
                matters.append(
                    f"away: {many(holding.quantity, item.named(holding.condition))} ({item.ref}) "
                    f"at {holding.place}"
                )
        if item.mixup:
            matters.append(f"{_mixed(item)}: sort them")
        matters += [f"{each}: {item.as_found.text} ({item.ref})" for each in item.to_check]
        if piece.finger_tight:
            matters.append(f"only finger-tight: {name} ({item.ref})")
    steps = sorted(status.steps.values(), key=lambda each: each.step.number)
    matters += [
        f"not undone yet: step {each.step.number} {each.step.part}"
        + (f" ({each.job.reverse})" if each.job.reverse else "")
        for each in steps
        if each.job is not None and not each.job.done
    ]
    matters += [_unsigned(each) for each in steps if _to_sign(each)]
    for each in steps:
        number = each.step.number
        for point in each.notes.points:
            if point.found is None:
                matters.append(f"not measured: {point.name} of step {number}, {point.limits}")
            elif not point.within:
                matters.append(
                    f"outside its limits: {point.name} of step {number}, {point.measured}, "
                    f"should be {point.limits}"
                )
    matters += [f"open: {_snag(snag)}" for snag in status.snags]
    return matters


def _still_on(item: Item) -> list[str]:
    """Say of each piece that did not come off what it is, why, and in which hole."""
    return [
        f"still on the machine: {many(held.quantity, item.as_found.text)} ({item.ref})"
        + (f", {held.how}" if held.how else "")
        + (f" in {held.hole}" if held.hole else "")
        for held in item.still_on
    ]


def _to_sign(each: StepStatus) -> bool:
    """Return whether a second person has yet to sign for a step."""
    return any(one.kind is BlockerKind.SIGN for one in each.work)


def _unsigned(each: StepStatus) -> str:
    return f"no second check signed: step {each.step.number} {each.step.part}"


@dataclass(frozen=True, slots=True)
class DayEnd:
    """What a day leaves behind, for whoever goes on: lists of lines, each with its heading."""

    lists: Mapping[str, tuple[str, ...]]


def day_end(status: Status, *, since: str = "") -> DayEnd:
    """Return what is off and where, what is only finger-tight, what is open and what waits.

    ``since`` is the day from which steps are named one by one; those before are counted.
    """
    steps = sorted(status.steps.values(), key=lambda each: each.step.number)
    pieces = list(status.joints)
    off, half = [], []
    before = 0
    for each in steps:
        if each.on:
            continue
        step = each.step
        waiting = sum(piece.to_fit for piece in each.pieces)
        items = [piece.item for piece in each.pieces]
        seats = ", ".join(dict.fromkeys(item.position for item in items if item.position))
        name = f"step {step.number} {step.assembly}: {step.part}" + (f" @ {seats}" if seats else "")
        if each.job is not None and not each.job.done:
            name += ", to be undone" + (f": {each.job.reverse}" if each.job.reverse else "")
        if any(item.fitted for item in items):
            half.append(f"{name}, {counted(waiting)} not back yet")
        elif step.date >= since:
            off.append(name)
        else:
            before += 1
    if before:
        off.append(f"{'and ' if off else ''}{plural(before, 'step')} from before")
    tight = [
        f"{beside(piece.item.ref, piece.item.as_specified.text)}, {piece.item.step.part}"
        + (f" @ {piece.item.position}" if piece.item.position else "")
        for piece in pieces
        if piece.finger_tight
    ]
    everything = [piece.item for piece in status.listed]
    mixed = [f"{_mixed(piece.item)}: sort them" for piece in status.listed if piece.item.mixup]
    waits = [
        f"{moved_words(some)} at {firm}" for firm, some in sorted(_at_firms(everything).items())
    ]
    short = sum(piece.short for piece in pieces)
    if short:
        waits.append(f"{counted(short)} to buy: stores shopping")
    for item in everything:
        waits += _still_on(item)
    waits += [
        f"in quarantine: {item.undecided} of {beside(item.ref, item.as_found.text)}"
        for item in everything
        if item.undecided
    ]
    waits += [_unsigned(each) for each in steps if each.on and _to_sign(each)]
    return DayEnd(
        {
            "Off": tuple(off),
            "Only finger-tight": tuple(tight),
            "Begun and not finished": tuple(half),
            "Mixed up": tuple(mixed),
            "Open": tuple(_snag(snag) for snag in status.snags),
            "Waits": tuple(waits),
        }
    )


def _mixed(item: Item) -> str:
    return f"{many(item.mixed, item.as_found.text)} ({item.ref}) mixed up {item.mixed_words}"


def _at_firms(items: Iterable[Item]) -> dict[str, list[tuple[int, str]]]:
    firms: dict[str, list[tuple[int, str]]] = {}
    for item in items:
        for holding in item.holdings:
            if holding.kind is PlaceKind.FIRM and holding.quantity > 0:
                firms.setdefault(holding.place, []).append((holding.quantity, item.unit))
    return firms


def _snag(snag: Snag) -> str:
    return f"snag {snag.number}: {snag.words} ({snag.where})"
