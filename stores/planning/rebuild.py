"""The rebuild: the strip-down backwards, with what is ready, what waits and what to beware of."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import TYPE_CHECKING

from stores.core.cautions import cautions_for
from stores.ledger import Condition, PlaceKind
from stores.planning.items import Holding, Item, Step, serves

if TYPE_CHECKING:
    from stores.core.tightening import Plan
    from stores.planning.figures import JointHoles, MakerTorque
    from stores.planning.links import Said
    from stores.planning.tightness import Tightness

__all__ = [
    "SECOND_CHECK",
    "Line",
    "Stage",
    "cautions_of",
    "is_safety",
    "out_of_order",
    "stages",
]

SECOND_CHECK = "second person"
"""In the words of every caution that wants two pairs of eyes."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the checklist: an item to fit, where to take it from, and what to mind.

    ``spare`` is how many loose pieces of the same thing fill what is short; ``tight`` what is known
    of its torque, None for what is not tightened.
    """

    item: Item
    flags: tuple[str, ...]
    sources: tuple[str, ...]
    spare: int = 0
    tight: "Tightness | None" = None

    @property
    def done(self) -> bool:
        """Whether nothing is left to fit."""
        return self.item.to_fit == 0

    @property
    def short(self) -> int:
        """Pieces to buy for it."""
        return max(0, self.item.short - self.spare)

    @property
    def ready(self) -> bool:
        """Whether everything still to fit is in hand."""
        return self.item.usable + self.spare >= self.item.to_fit


@dataclass(frozen=True, slots=True)
class Stage:
    """One step of the rebuild: the strip-down step of the same number, turned round."""

    step: Step
    lines: tuple[Line, ...]
    cautions: tuple[str, ...]
    joint: "Plan | None" = None
    """How its bolts are tightened, where the holes are recorded."""

    @property
    def holes_doubt(self) -> str:
        """Say so where the holes on record are not as many as what is tightened."""
        bolts = sum(line.item.wanted for line in self.lines if line.tight)
        holes = len(self.joint.joint.holes) if self.joint else bolts
        return "" if holes == bolts else f"{holes} holes, but {bolts} to tighten: look again"

    @property
    def done(self) -> bool:
        """Whether every line is."""
        return all(line.done for line in self.lines)

    @property
    def ready(self) -> bool:
        """Whether everything still to fit is in hand."""
        return all(line.ready for line in self.lines)


def stages(
    items: Iterable[Item],
    torques: "Mapping[int, MakerTorque] | None" = None,
    holes: "Mapping[int, JointHoles] | None" = None,
) -> list[Stage]:
    """Turn the strip-down round: the last step off is the first one on.

    Loose pieces go to the lines that come first. ``torques`` are the makers' figures by item,
    ``holes`` where those of a joint are by step number; both of one machine.
    """
    from stores.planning.tightness import tightness  # a strip-down step needs none of it

    listed = list(items)
    free = {item.number: item.in_hand(*item.spare_conditions) for item in listed}
    spares = [item for item in listed if not item.step.number and free[item.number]]
    joints = sorted(
        (item for item in listed if item.step.number),
        key=lambda item: (-item.step.number, item.line),
    )
    made = []
    for step, group in groupby(joints, key=lambda item: item.step):
        members = list(group)
        cautions = cautions_of(step, members)
        safety = is_safety(cautions)
        lines = tuple(
            replace(
                _line(item, spares, free),
                tight=tightness(item, (torques or {}).get(item.number), safety=safety),
            )
            for item in members
        )
        there = (holes or {}).get(step.number)
        made.append(Stage(step, lines, cautions, _joint(there, lines) if there else None))
    return made


def _joint(holes: "JointHoles", lines: Iterable[Line]) -> "Plan":
    """Plan a joint with the maker's torque of its step, where there is only one."""
    from stores.planning.holes import joint_plan

    figures = {
        float(f"{line.tight.maker.nominal_nm:.3g}")  # 2.5 kgf m is set as 24.5 N m, not 24.517
        for line in lines
        if line.tight and line.tight.maker
    }
    return joint_plan(holes, figures.pop() if len(figures) == 1 else None)


def cautions_of(step: Step, items: Iterable[Item]) -> tuple[str, ...]:
    """Give the cautions that the words of a step call for."""
    words = [step.assembly, step.part, step.note]
    for item in items:
        words += [item.as_specified.text, item.written]
    return cautions_for(" / ".join(words))


def is_safety(cautions: Iterable[str]) -> bool:
    """Tell whether these cautions are of brakes, steering or wheels: a second person checks."""
    return any(SECOND_CHECK in caution for caution in cautions)


def _line(item: Item, spares: Iterable[Item], free: dict[int, int]) -> Line:
    sources = _sources(item)
    spare = 0
    wanted = min(item.short, max(0, item.to_fit - item.usable))
    for loose in spares if wanted else ():
        count = min(wanted - spare, free[loose.number])
        if count > 0 and serves(loose.as_found.text, item.as_specified.text):
            free[loose.number] -= count
            spare += count
            sources.append(f"{count} loose as {loose.ref}")
    flags: list[str] = []
    if item.short > spare:
        flags.append(f"SHORT {item.short - spare}")
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
    return Line(item, tuple(flags), tuple(sources), spare)


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


def out_of_order(
    items: Iterable[Item],
    step: int,
    said: "Sequence[Said]" = (),
    access: "Mapping[int, int | None] | None" = None,
) -> list[Step]:
    """Give the steps among these that go on before this one and are not back on yet, the first to
    go on first. ``said`` and ``access`` are what a person said of their order.
    """
    from stores.planning.links import derive
    from stores.planning.precedence import Graph, open_loops

    steps: dict[int, Step] = {}
    waiting: set[int] = set()
    for item in items:
        if item.step.number:
            steps[item.step.number] = item.step
            if item.to_fit:
                waiting.add(item.step.number)
    if step not in steps:
        return []
    kept, _ = open_loops(derive(steps.values(), said, access=access).links)
    graph = Graph(steps, [(link.first, link.then) for link in kept])
    before = graph.all_before(step) & waiting
    return [steps[each] for each in graph.order(lambda number: -number) if each in before]
