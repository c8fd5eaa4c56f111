"""The rebuild: the strip-down backwards, with what is ready, what waits and what to beware of."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby
from typing import TYPE_CHECKING

from stores.handbook.cautions import cautions_for
from stores.model.items import Holding, Item, Step, serves
from stores.model.ledger import Condition, PlaceKind
from stores.planning.assembling import HowTight, Refits, Role, StepNotes

if TYPE_CHECKING:
    from stores.handbook.tightening import Plan
    from stores.model.snags import Snag
    from stores.planning.assembling import Applied, Tightened
    from stores.planning.figures import JointHoles, MakerTorque
    from stores.planning.links import Said
    from stores.planning.tightness import Tightness

__all__ = [
    "SECOND_CHECK",
    "Line",
    "Stage",
    "access_words",
    "cautions_of",
    "is_safety",
    "out_of_order",
    "share_snags",
    "stages",
]

SECOND_CHECK = "second person"
"""In the words of every caution that wants two pairs of eyes."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the checklist: an item to fit, where to take it from, and what to mind.

    ``spare`` is how many loose pieces of the same thing fill what is short; ``tight`` what is known
    of its torque, None for what is not tightened. ``applied`` goes in with it; ``left`` is how it
    was left on the machine, None where nothing was said.
    """

    item: Item
    flags: tuple[str, ...]
    sources: tuple[str, ...]
    spare: int = 0
    tight: "Tightness | None" = None
    applied: "tuple[Applied, ...]" = ()
    left: "Tightened | None" = None

    @property
    def done(self) -> bool:
        """Whether nothing is left to fit."""
        return self.item.to_fit == 0

    @property
    def loose(self) -> bool:
        """Whether it is on, but only finger-tight."""
        return self.done and self.left is not None and self.left.how is HowTight.FINGER

    @property
    def finished(self) -> bool:
        """Whether it is on and tight, as far as anybody said."""
        return self.done and not self.loose

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
    notes: StepNotes = field(default_factory=StepNotes)
    """What goes in, what is measured, who signed."""
    snags: "tuple[Snag, ...]" = ()
    """Faults to clear before this step shuts them in."""

    @property
    def safety(self) -> bool:
        """Whether a second person checks it: brakes, steering, wheels."""
        return is_safety(self.cautions)

    @property
    def bags(self) -> tuple[str, ...]:
        """The codes of the bags that hold what is still to be fitted, each once."""
        open_lines = (line for line in self.lines if not line.done)
        return tuple(dict.fromkeys(code for line in open_lines for code in line.item.bags))

    @property
    def applied(self) -> "tuple[Applied, ...]":
        """What goes in with the step as a whole."""
        return tuple(each for each in self.notes.applied if not each.line)

    @property
    def owed(self) -> tuple[str, ...]:
        """What is still to be done once every piece is on; empty while pieces are missing."""
        if not self.done:
            return ()
        loose = [f"tighten {line.item.ref}" for line in self.lines if line.loose]
        measure = [f"measure {point.name}" for point in self.notes.points if point.found is None]
        outside = [
            f"{point.name} is out of its limits"
            for point in self.notes.points
            if point.within is False
        ]
        sign = self.safety and not self.notes.signed(Role.SECOND)
        snags = [f"clear snag {snag.number}" for snag in self.snags]
        return (*loose, *measure, *outside, *(["second person signs"] if sign else []), *snags)

    @property
    def finished(self) -> bool:
        """Whether every piece is on and nothing is owed."""
        return self.done and not self.owed

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
    refits: Refits | None = None,
    *,
    order: Sequence[int] | None = None,
) -> list[Stage]:
    """Turn the strip-down round: the last step off is the first one on.

    Loose pieces go to the lines that come first.

    Args:
        items: of one machine, loose pieces too.
        torques: the makers' figures by item.
        holes: where those of a joint are, by step number.
        refits: what is known of the steps for their refit.
        order: step numbers in the order of refitting; steps it does not name come last, the plain
            way round.
    """
    from stores.planning.tightness import tightness  # a strip-down step needs none of it

    listed = list(items)
    free = {item.number: item.in_hand(*item.spare_conditions) for item in listed}
    spares = [item for item in listed if not item.step.number and free[item.number]]
    ranks = {number: at for at, number in enumerate(order or ())}
    joints = sorted(
        (item for item in listed if item.step.number),
        key=lambda item: (*_turn(ranks, item.step.number), item.line),
    )
    known = refits or Refits()
    made = []
    for step, group in groupby(joints, key=lambda item: item.step):
        members = list(group)
        cautions = cautions_of(step, members)
        safety = is_safety(cautions)
        notes = known.of(step.number)
        lines = tuple(
            replace(
                _line(item, spares, free),
                tight=tightness(item, (torques or {}).get(item.number), safety=safety),
                applied=tuple(each for each in notes.applied if each.line == item.line),
                left=known.tightened.get(item.number),
            )
            for item in members
        )
        there = (holes or {}).get(step.number)
        joint = _joint(there, lines) if there else None
        made.append(Stage(step, lines, cautions, joint, notes))
    return made


def access_words(stage: Stage) -> str:
    """Say that a step came off only to make way, and for which; empty where it did not."""
    if not stage.notes.access_only:
        return ""
    to = f" to step {stage.notes.access_to}" if stage.notes.access_to else ""
    return f"Taken off only for access{to}: nothing else to do here."


def _turn(ranks: Mapping[int, int], step: int) -> tuple[int, int]:
    """Give where a step comes: by its rank, or after all ranked ones, the last off first."""
    return ranks.get(step, len(ranks)), -step


def share_snags(
    listed: Sequence[Stage], snags: "Iterable[Snag]"
) -> "tuple[list[Stage], tuple[Snag, ...]]":
    """Hang each snag on the step that would shut it in; give the stages, and what hangs on none.

    That is its own step, or the last one of its assembly that is still to be done.
    """
    by_step = {stage.step.number: at for at, stage in enumerate(listed)}
    mine: dict[int, list[Snag]] = {}
    loose = []
    for snag in snags:
        at = by_step.get(snag.step) if snag.step is not None else None
        if at is None:
            within = [at for at, each in enumerate(listed) if snag.is_of(each.step.assembly)]
            waiting = [at for at in within if not listed[at].done]
            at = next(iter((waiting or within)[-1:]), None)
        if at is None:
            loose.append(snag)
        else:
            mine.setdefault(at, []).append(snag)
    shared = [replace(each, snags=tuple(mine.get(at, ()))) for at, each in enumerate(listed)]
    return shared, tuple(loose)


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
    from stores.planning.precedence import order_of

    steps: dict[int, Step] = {}
    waiting: set[int] = set()
    for item in items:
        if item.step.number:
            steps[item.step.number] = item.step
            if item.to_fit:
                waiting.add(item.step.number)
    if step not in steps:
        return []
    order, graph, _ = order_of(steps, derive(steps.values(), said, access=access).links)
    before = graph.all_before(step) & waiting
    return [steps[each] for each in order if each in before]
