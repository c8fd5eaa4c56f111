"""What a rebuild uses up: how much of which consumable goes in with each step.

How much it is says, in this order,

1. the person, with ``stores refit apply ... --takes``: an amount, or measures that a rule works
   out;
2. the rule, where the item says enough: threadlocker by thread and count, grease of a rolling
   bearing by its designation;
3. nobody: then it is not known, and that is said. It is never guessed.

The maker's figure comes before all three; a person gives it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction

from stores.errors import StoresError
from stores.model.items import Item, Step
from stores.model.stock import Need
from stores.planning.assembling import Applied, StepNotes
from stores.planning.status import Status, StepStatus

__all__ = ["needs_at", "needs_of", "with_amounts"]


def needs_of(status: Status) -> list[Need]:
    """Return what the steps of a machine use up, in the order in which they go on."""
    return [
        need
        for each in status.steps.values()
        if each.notes.applied
        for need in needs_at(
            each.step, [piece.item for piece in each.pieces], each.notes, on=each.on
        )
    ]


def with_amounts(each: StepStatus) -> tuple[Applied, ...]:
    """Return what goes in with a step and its items, with how much of it where that is known."""
    if not each.notes.applied:
        return ()
    needs = needs_at(each.step, [piece.item for piece in each.pieces], each.notes)
    return tuple(
        replace(applied, amount=need.amount if need.quantity else "none", basis=need.basis)
        if need.quantity is not None
        else applied
        for applied, need in zip(each.notes.applied, needs, strict=True)
    )


def needs_at(
    step: Step, items: Sequence[Item], notes: StepNotes, *, on: bool = False
) -> tuple[Need, ...]:
    """Return what one step uses up, a need for each thing that was said to go in.

    ``items`` are all of the step, ``notes`` what is known of it.
    """
    return tuple(_need(step, items, notes, applied, on=on) for applied in notes.applied)


def _need(
    step: Step, items: Sequence[Item], notes: StepNotes, applied: Applied, *, on: bool
) -> Need:
    from stores.handbook.consumables import full_name, kinds_said, variety

    kinds = kinds_said(applied.text)
    bare = Need(step.machine, step.number, step.part, applied.line, applied.text, on=on)
    if len(kinds) != 1:
        return replace(bare, choices=tuple(kind.name for kind in kinds))
    (kind,) = kinds
    words = variety(kind, applied.text)
    name = full_name(kind, words)
    unit = "" if kind.unit == "piece" else kind.unit
    named = replace(bare, name=name, kind=kind.key, words=words, unit=unit)
    said = next((one for one in notes.takes if (one.line, one.name) == (applied.line, name)), None)
    if said is not None:
        return replace(named, quantity=said.quantity, basis=said.basis)
    here = [item for item in items if not applied.line or item.line == applied.line]
    if kind.key.startswith("threadlocker-"):
        return _threads(named, here)
    if kind.family == "grease" and applied.line:
        return _bearing(named, here)
    return named


def _threads(need: Need, items: Iterable[Item]) -> Need:
    """Work out threadlocker by the threads it goes on: of a whole step its bolts, screws and studs;
    its nuts where it has none of these, for a bolt and its nut share one gap."""
    from stores.handbook.consumables import threadlocker
    from stores.handbook.fastener import Kind
    from stores.handbook.thread import get

    listed = [item for item in items if item.as_specified.thread and item.wanted]
    if not need.line:
        male = {Kind.BOLT.value, Kind.SCREW.value, Kind.SETSCREW.value, Kind.STUD.value}
        listed = [item for item in listed if item.as_specified.kind in male] or [
            item for item in listed if item.as_specified.kind == Kind.NUT.value
        ]
    counted: dict[str, int] = {}
    for item in listed:
        thread = item.as_specified.thread
        counted[thread] = counted.get(thread, 0) + item.wanted
    if not counted:
        return need
    try:
        answer = threadlocker([(get(thread), count) for thread, count in counted.items()])
    except StoresError:  # a thread of no table
        return need
    many = ", ".join(f"{count} off {thread}" for thread, count in counted.items())
    exact = Fraction(answer.value).limit_denominator(1000)
    return replace(
        need, quantity=exact, basis=f"{many}: four times the gap of the thread, our rule"
    )


def _bearing(need: Need, items: Sequence[Item]) -> Need:
    """Work out the grease of rolling bearings by their designation."""
    from stores.handbook.consumables import bearing_size, grease_basis, replenish

    (item,) = items if len(items) == 1 else (None,)
    size = bearing_size(item.as_specified.text) if item is not None else None
    if item is None or size is None or not item.wanted:
        return need
    name, outside, width, closed = size
    if closed:
        return replace(need, quantity=Fraction(0), basis=f"{name}: closed, comes filled")
    grams = Fraction(replenish(outside, width).value).limit_denominator(1000) * item.wanted
    many = f"{item.wanted} off " if item.wanted > 1 else ""
    return replace(
        need, quantity=grams, basis=grease_basis(f"{many}{name}, {outside:g} x {width:g} mm")
    )
