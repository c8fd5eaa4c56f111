"""What stands in the way of closing a machine out, and what a day leaves behind."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from stores.model.items import Item
from stores.model.ledger import Condition, PlaceKind
from stores.model.snags import Snag
from stores.planning.assembling import HowTight, Refits, Role
from stores.planning.rebuild import cautions_of, is_safety
from stores.text import counted, many

__all__ = ["DayEnd", "day_end", "in_the_way"]


def in_the_way(items: Sequence[Item], refits: Refits, snags: Iterable[Snag]) -> list[str]:
    """Give all that stands in the way of closing a machine out; none means it may be closed.

    New pieces beyond the need are spares and may stay. What was lost and replaced is no matter.
    """
    matters: list[str] = []
    for item in items:
        name = item.as_specified.text
        to_fit = item.to_fit if item.step.number else 0
        if to_fit:
            buy = f", {item.short} to buy" if item.short else ""
            matters.append(f"not on the machine: {many(to_fit, name)} ({item.ref}){buy}")
        old = [c for c in Condition if c is not Condition.NEW]
        left = item.in_hand(*old) - min(to_fit, item.usable)
        if left > 0:
            matters.append(f"left over: {many(left, item.as_found.text)} ({item.ref})")
        for holding in item.holdings:
            if holding.kind is PlaceKind.FIRM and holding.quantity > 0:
                matters.append(
                    f"away: {many(holding.quantity, item.named(holding.condition))} ({item.ref}) "
                    f"at {holding.place}"
                )
        tight = refits.tightened.get(item.number)
        if item.fitted and tight is not None and tight.how is HowTight.FINGER:
            matters.append(f"only finger-tight: {name} ({item.ref})")
    matters += unsigned(items, refits, done_only=False)
    for step in sorted({item.step.number for item in items}):
        for point in refits.of(step).points:
            if point.found is None:
                matters.append(f"not measured: {point.name} of step {step}, {point.limits}")
            elif not point.within:
                matters.append(
                    f"outside its limits: {point.name} of step {step}, {point.measured}, "
                    f"should be {point.limits}"
                )
    matters += [f"open: {_snag(snag)}" for snag in snags]
    return matters


def unsigned(items: Iterable[Item], refits: Refits, *, done_only: bool) -> list[str]:
    """Give the steps of brakes, steering and wheels that no second person has signed for."""
    said = []
    for number, members in _by_step(items).items():
        step = members[0].step
        if done_only and any(item.to_fit for item in members):
            continue
        if is_safety(cautions_of(step, members)) and not refits.of(number).signed(Role.SECOND):
            said.append(f"no second check signed: step {number} {step.part}")
    return said


def _by_step(items: Iterable[Item]) -> dict[int, list[Item]]:
    listed = sorted((i for i in items if i.step.number), key=lambda i: (i.step.number, i.line))
    return {number: list(group) for number, group in groupby(listed, key=lambda i: i.step.number)}


@dataclass(frozen=True, slots=True)
class DayEnd:
    """What a day leaves behind, for whoever goes on: lists of lines, each with its heading."""

    lists: Mapping[str, tuple[str, ...]]


def day_end(
    items: Sequence[Item], refits: Refits, snags: Iterable[Snag], *, since: str = ""
) -> DayEnd:
    """Gather what is off and where, what is only finger-tight, what is open and what waits.

    ``since`` is the day from which steps are named one by one; those before are counted.
    """
    steps = _by_step(items)
    off, half = [], []
    before = 0
    for number, members in steps.items():
        waiting = sum(item.to_fit for item in members)
        if not waiting:
            continue
        step = members[0].step
        seats = ", ".join(dict.fromkeys(item.position for item in members if item.position))
        name = f"step {number} {step.assembly}: {step.part}" + (f" @ {seats}" if seats else "")
        if any(item.fitted for item in members):
            half.append(f"{name}, {counted(waiting)} not back yet")
        elif step.date >= since:
            off.append(name)
        else:
            before += 1
    if before:
        off.append(f"and {before} steps from before")
    tight = [
        f"{item.ref} {item.as_specified.text}, {item.step.part}"
        + (f" @ {item.position}" if item.position else "")
        for item in items
        if item.fitted
        and (left := refits.tightened.get(item.number)) is not None
        and left.how is HowTight.FINGER
    ]
    waits = [f"{counted(count)} at {firm}" for firm, count in sorted(_at_firms(items).items())]
    short = sum(item.short for item in items if item.step.number)
    if short:
        waits.append(f"{counted(short)} to buy: stores shopping")
    waits += [
        f"in quarantine: {item.undecided} of {item.ref} {item.as_found.text}"
        for item in items
        if item.undecided
    ]
    waits += unsigned(items, refits, done_only=True)
    return DayEnd(
        {
            "Off": tuple(off),
            "Only finger-tight": tuple(tight),
            "Begun and not finished": tuple(half),
            "Open": tuple(_snag(snag) for snag in snags),
            "Waits": tuple(waits),
        }
    )


def _at_firms(items: Iterable[Item]) -> dict[str, int]:
    firms: dict[str, int] = {}
    for item in items:
        for holding in item.holdings:
            if holding.kind is PlaceKind.FIRM and holding.quantity > 0:
                firms[holding.place] = firms.get(holding.place, 0) + holding.quantity
    return firms


def _snag(snag: Snag) -> str:
    return f"snag {snag.number}: {snag.words} ({snag.where})"
