"""How far the rebuild is, assembly by assembly: done, ready, to do, and what holds it up."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stores.model.ledger import Condition, PlaceKind
from stores.planning.rebuild import Line, Stage
from stores.text import counted

__all__ = ["Progress", "progress", "total"]


@dataclass(frozen=True, slots=True)
class Progress:
    """One assembly: how many of its steps are done, can be done now, or wait, and for what.

    ``open`` steps have every piece on, but are still to be tightened, measured, signed or cleared.
    """

    assembly: str
    steps: int
    done: int
    open: int
    ready: int
    waits: int
    why: tuple[str, ...] = ()

    @property
    def finished(self) -> bool:
        """Whether nothing of it is left to do."""
        return self.done == self.steps


def progress(stages: Iterable[Stage], depth: int = 0) -> list[Progress]:
    """Give the progress of each assembly, in the order in which it is first met.

    ``depth`` above 0 adds up what lies deeper in the tree: 1 is the groups right on the machine.
    """
    groups: dict[str, list[Stage]] = {}
    for stage in stages:
        names = [name.strip() for name in stage.step.assembly.split("/") if name.strip()]
        groups.setdefault(" / ".join(names[: depth or None]), []).append(stage)
    return [_progress(name, members) for name, members in groups.items()]


def total(rows: Iterable[Progress]) -> Progress:
    """Add up the rows."""
    listed = list(rows)
    return Progress(
        "All",
        sum(row.steps for row in listed),
        sum(row.done for row in listed),
        sum(row.open for row in listed),
        sum(row.ready for row in listed),
        sum(row.waits for row in listed),
    )


def _progress(name: str, stages: Sequence[Stage]) -> Progress:
    done = [stage for stage in stages if stage.finished]
    owing = [stage for stage in stages if stage.owed]
    ahead = [stage for stage in stages if not stage.done]
    ready = [stage for stage in ahead if stage.ready]
    why = _why([line for stage in ahead for line in stage.lines if not line.done])
    owed = [f"step {stage.step.number}: {', '.join(stage.owed)}" for stage in owing]
    snags = [f"snag {snag.number}" for stage in ahead for snag in stage.snags]
    return Progress(
        name,
        len(stages),
        len(done),
        len(owing),
        len(ready),
        len(ahead) - len(ready),
        (*why, *owed, *snags),
    )


def _why(lines: Sequence[Line]) -> list[str]:
    """Say what the lines that are not ready wait for, pieces of a sort added up."""
    held = [line for line in lines if not line.ready]
    found = []
    if short := sum(line.short for line in held):
        found.append(f"{counted(short)} short")
    firms: dict[str, int] = {}
    for line in held:
        for holding in line.item.holdings:
            if holding.kind is PlaceKind.FIRM and holding.quantity > 0:
                firms[holding.place] = firms.get(holding.place, 0) + holding.quantity
    found += [f"{count} at {firm}" for firm, count in firms.items()]
    if repair := sum(line.item.to_repair for line in held):
        found.append(f"{repair} to repair")
    if undecided := sum(line.item.undecided for line in held):
        found.append(f"{undecided} in {Condition.QUARANTINE}")
    return found
