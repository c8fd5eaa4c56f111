"""The rebuild: the strip-down backwards, with what is ready, what waits and what to beware of."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from stores.core.cautions import cautions_for
from stores.ledger import Condition, PlaceKind
from stores.planning.items import Holding, Item, Step

__all__ = ["Line", "Stage", "out_of_order", "stages"]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the checklist: an item to fit, where to take it from, and what to mind."""

    item: Item
    flags: tuple[str, ...]
    sources: tuple[str, ...]

    @property
    def done(self) -> bool:
        """Whether nothing is left to fit."""
        return self.item.to_fit == 0


@dataclass(frozen=True, slots=True)
class Stage:
    """One step of the rebuild: the strip-down step of the same number, turned round."""

    step: Step
    lines: tuple[Line, ...]
    cautions: tuple[str, ...]

    @property
    def done(self) -> bool:
        """Whether every line is."""
        return all(line.done for line in self.lines)

    @property
    def ready(self) -> bool:
        """Whether everything still to fit is in hand."""
        return all(line.item.usable >= line.item.to_fit for line in self.lines)


def stages(items: Iterable[Item]) -> list[Stage]:
    """Turn the strip-down round: the last step off is the first one on."""
    joints = sorted(
        (item for item in items if item.step.number),
        key=lambda item: (-item.step.number, item.line),
    )
    return [
        _stage(step, list(group)) for step, group in groupby(joints, key=lambda item: item.step)
    ]


def _stage(step: Step, items: list[Item]) -> Stage:
    words = " ".join(
        [
            step.assembly,
            step.part,
            step.note,
            *(i.as_specified.text for i in items),
            *(i.written for i in items),
        ]
    )
    return Stage(step, tuple(_line(item) for item in items), cautions_for(words))


def _line(item: Item) -> Line:
    flags: list[str] = []
    if item.short:
        flags.append(f"SHORT {item.short}")
    if item.renew:
        flags.append(f"RENEW: {item.renew}")
    if item.wrong:
        flags.append(f"NOT as found ({item.as_found.text})")
    if item.found != item.wanted and not item.wrong:
        flags.append(f"{item.found} found, {item.wanted} belong here")
    if item.to_repair:
        flags.append(f"{item.to_repair} to repair")
    if item.undecided:
        flags.append(f"{item.undecided} in quarantine")
    unseen = item.in_hand(Condition.AS_REMOVED)
    if unseen and not item.renew and not item.wrong and item.to_fit:
        flags.append("not inspected")
    return Line(item, tuple(flags), tuple(_sources(item)))


def _sources(item: Item) -> list[str]:
    fit = item.fit_conditions
    usable = [
        holding
        for holding in item.holdings
        if holding.kind.in_hand and holding.condition in fit and holding.quantity > 0
    ]
    usable.sort(key=lambda holding: fit.index(holding.condition))
    lines = [f"{holding.quantity} {_state(holding)}{holding.where}" for holding in usable]
    lines += [
        f"{holding.quantity} {holding.where}"
        for holding in item.holdings
        if holding.kind is PlaceKind.FIRM and holding.quantity > 0
    ]
    return lines


def _state(holding: Holding) -> str:
    """Say the condition where it matters; "as removed" is flagged by itself."""
    return "" if holding.condition is Condition.AS_REMOVED else f"{holding.condition} "


def out_of_order(items: Iterable[Item], step: int) -> list[Step]:
    """Give the steps of the same assembly that came off after this one and are not back on yet.

    Whatever came off later usually goes on earlier; a person may know better.
    """
    everything = [item for item in items if item.step.number]
    assembly = next((i.step.assembly for i in everything if i.step.number == step), None)
    waiting = {
        item.step.number: item.step
        for item in everything
        if item.step.number > step and item.step.assembly == assembly and item.to_fit
    }
    return [waiting[number] for number in sorted(waiting, reverse=True)]
