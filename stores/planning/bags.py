"""A bag as its label shows it."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass

from stores.model.items import Item, Step
from stores.model.ledger import Condition, PlaceKind
from stores.text import many

__all__ = ["Bag", "Content", "bags_of"]


@dataclass(frozen=True, slots=True)
class Content:
    """So many pieces of an item in the bag, in one condition."""

    item: Item
    quantity: int
    condition: Condition

    @property
    def text(self) -> str:
        """Count and what they are, as ``4 M6 x 25 hex bolt``."""
        return many(self.quantity, self.item.named(self.condition))


@dataclass(frozen=True, slots=True)
class Bag:
    """A bag with what is in it.

    ``printed`` is the digest of its label as last printed, or none; ``made`` of one that was made
    and is not known to have come out of the printer.
    """

    code: str
    contents: tuple[Content, ...]
    inside: str = ""
    printed: str = ""
    made: str = ""

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps that the contents came off in, in order."""
        steps = dict.fromkeys(content.item.step for content in self.contents)
        return tuple(sorted(steps, key=lambda step: (step.machine, step.number)))

    @property
    def machines(self) -> tuple[str, ...]:
        """The machines that the contents belong to."""
        return tuple(dict.fromkeys(content.item.step.machine for content in self.contents))

    @property
    def assemblies(self) -> tuple[str, ...]:
        """The assemblies that the contents came from."""
        return tuple(dict.fromkeys(step.assembly for step in self.steps if step.assembly))

    @property
    def conditions(self) -> tuple[Condition, ...]:
        """The conditions in the bag, each once."""
        return tuple(dict.fromkeys(content.condition for content in self.contents))

    @property
    def pieces(self) -> int:
        """How many pieces are in it."""
        return sum(content.quantity for content in self.contents)

    @property
    def digest(self) -> str:
        """What the label says, as a short hash: another digest means that it must be reprinted."""
        said = [self.code]
        for content in self.contents:
            item = content.item
            said += [
                item.step.machine,
                item.step.assembly,
                item.step.part,
                item.ref,
                item.position,
                content.text,
                content.condition.value,
            ]
        return hashlib.sha256("\x1f".join(said).encode()).hexdigest()[:16]

    @property
    def label_due(self) -> bool:
        """Whether there is no label yet, or the contents changed since it was printed."""
        return bool(self.contents) and self.printed != self.digest

    @property
    def superseded(self) -> bool:
        """Whether there is a label on the bag that no longer says what is in it."""
        return self.label_due and bool(self.printed)

    @property
    def payload(self) -> str:
        """What the QR code says: the code first, then what is in the bag, for any phone."""
        lines = [self.code]
        lines += self.machines
        for step in self.steps:
            named = f"{step.assembly}, step {step.number}: {step.part}"
            lines.append(named if step.number else "loose pieces")
        lines += [content.text for content in self.contents]
        return "\n".join(lines)


def bags_of(
    items: Iterable[Item],
    insides: dict[str, str],
    printed: dict[str, str],
    made: dict[str, str] | None = None,
) -> dict[str, Bag]:
    """Gather the bags that hold pieces of these items."""
    contents: dict[str, list[Content]] = {}
    for item in items:
        for holding in item.holdings:
            if holding.kind is PlaceKind.BAG and holding.quantity > 0:
                contents.setdefault(holding.place, []).append(
                    Content(item, holding.quantity, holding.condition)
                )
    return {
        code: Bag(
            code,
            tuple(sorted(listed, key=lambda c: (c.item.step.number, c.item.line, c.condition))),
            insides.get(code, ""),
            printed.get(code, ""),
            (made or {}).get(code, ""),
        )
        for code, listed in sorted(contents.items())
    }
