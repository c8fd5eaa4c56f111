"""What labels say: of bags, boxes, drawers, packs, large parts, verdicts, batches and wires."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass

from stores.model.choices import STOCK
from stores.model.items import Item, Step
from stores.model.ledger import Condition, PlaceKind
from stores.text import day_words, many

__all__ = [
    "MENDED",
    "STOCK",
    "Bag",
    "BatchTicket",
    "BoxIndex",
    "BoxLine",
    "ConditionTag",
    "Content",
    "Flag",
    "LabelSheet",
    "LabelValue",
    "PackTag",
    "Printer",
    "RestOfStep",
    "SizeLine",
    "StockPlace",
    "Tag",
    "TicketLine",
    "bags_of",
    "rest_of",
]

MENDED = frozenset(Condition) - {Condition.CONDEMNED, Condition.NEW}
"""The conditions of pieces that work was done on, as far as any was."""


NOT_TO_FIT = (Condition.CONDEMNED, Condition.QUARANTINE)
"""The conditions that a bag's label says: what must not go on by mistake. Any other changes with
each inspection, and a sticker says it."""


@dataclass(frozen=True, slots=True)
class Content:
    """So many pieces of an item in the bag, in one condition; ``mixed`` of them are mixed up."""

    item: Item
    quantity: int
    condition: Condition
    mixed: int = 0

    @property
    def text(self) -> str:
        """Count and what they are, as ``4 M6 x 25 hex bolt``."""
        return many(self.quantity, self.item.named(self.condition))

    @property
    def to_check(self) -> tuple[str, ...]:
        """What nobody knows of them, "count to check"; new ones were counted when they came."""
        return () if self.condition is Condition.NEW else self.item.to_check

    @property
    def work_done(self) -> str:
        """What was done to them, in words; of condemned and new ones nothing."""
        return "; ".join(self.item.work_done) if self.condition in MENDED else ""


@dataclass(frozen=True, slots=True)
class RestOfStep:
    """Where else pieces of a step are: ``in bag A002K``, ``on shelf 2``, ``away at Hollin``."""

    step: Step
    places: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Bag:
    """A bag with what is in it.

    ``printed`` is the digest of its label as last printed, or none; ``made`` of one that was made
    and is not known to have come out of the printer. ``rest`` is where the rest of its steps was on
    the day ``rest_on``: that is on the label as a help, and no reason to print it again.
    """

    code: str
    contents: tuple[Content, ...]
    inside: str = ""
    printed: str = ""
    made: str = ""
    rest: tuple[RestOfStep, ...] = ()
    rest_on: str = ""

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
    def mixed_with(self) -> tuple[str, ...]:
        """The bags that it is mixed up with, or lines that are in none; empty where it is not."""
        doubtful = [content.item for content in self.contents if content.mixed]
        others: dict[str, None] = {}
        for item in doubtful:
            for each in item.mixed_with:
                others |= dict.fromkeys(each.bags or [each.item])
        others.pop(self.code, None)
        within = ("its own lines",) if doubtful and not others else ()
        return tuple(others) or within

    @property
    def pieces(self) -> int:
        """How many pieces are in it."""
        return sum(content.quantity for content in self.contents)

    @property
    def digest(self) -> str:
        """What matters at the rebuild of what the label says, as a short hash: another digest means
        that it must be reprinted.

        That is what is in the bag, how many, of which joint, and what must not be fitted; not each
        verdict, nor what was done to a piece.
        """
        said = [self.code]
        counts: dict[tuple[int, str, str], int] = {}
        for content in self.contents:
            unfit = content.condition.value if content.condition in NOT_TO_FIT else ""
            key = (content.item.number, content.item.named(content.condition), unfit)
            counts[key] = counts.get(key, 0) + content.quantity
        for content in self.contents:
            item = content.item
            unfit = content.condition.value if content.condition in NOT_TO_FIT else ""
            text = item.named(content.condition)
            quantity = counts.pop((item.number, text, unfit), 0)
            if not quantity:
                continue
            said += [item.step.machine, item.step.assembly, item.step.part, item.ref, item.position]
            said += [many(quantity, text), unfit]
            said += filter(
                None,
                (
                    item.step.hazard,
                    item.as_specified.text if item.wrong else "",
                    item.stuck_words,
                    item.stack.words if item.stack else "",
                    *content.to_check,
                ),
            )
        if self.mixed_with:
            said += ["mixed up", *self.mixed_with, *(str(each.mixed) for each in self.contents)]
        return hashlib.sha256("\x1f".join(said).encode()).hexdigest()[:16]

    @property
    def former_digest(self) -> str:
        """The digest as it was when each verdict was on the label: one printed then holds good as
        long as nothing changed."""
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
            said += [content.work_done] if content.work_done else []
            # only where there is any: a label printed before it could be said still holds good
            said += filter(None, (item.stuck_words, item.stack.words if item.stack else ""))
            said += [each for each in content.to_check if each == "count to check"]
        if self.mixed_with:
            said += ["mixed up", *self.mixed_with, *(str(each.mixed) for each in self.contents)]
        return hashlib.sha256("\x1f".join(said).encode()).hexdigest()[:16]

    @property
    def label_due(self) -> bool:
        """Whether there is no label yet, or the contents changed since it was printed."""
        return bool(self.contents) and self.printed not in (self.digest, self.former_digest)

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
        if self.mixed_with:
            lines.append(f"MIXED UP with {', '.join(self.mixed_with)}")
        return "\n".join(lines)


@dataclass(frozen=True, slots=True)
class BoxLine:
    """A bag in a box: its code, what it holds, and how many pieces."""

    code: str
    what: str
    pieces: int = 0


@dataclass(frozen=True, slots=True)
class BoxIndex:
    """A box with the bags in it. ``part`` is filled while printing: ``label 1 of 2``."""

    code: str
    bags: tuple[BoxLine, ...]
    place: str = ""
    machine: str = ""
    date: str = ""
    payload: str = ""
    part: str = ""


@dataclass(frozen=True, slots=True)
class SizeLine:
    """What of one thread is in a drawer: ``what`` are lengths and names, ``x 16, 25 hex bolt``.

    ``first`` is the thread, empty for what has none. ``more`` is what else is to be known, the most
    important first: use by, the least to be held, the condition.
    """

    first: str
    what: str
    more: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StockPlace:
    """A drawer, tin, shelf or kit with the sizes in it; no counts, for these change daily.

    ``place`` is what it sits in, ``hazards`` of all consumables in it. ``part`` is filled while
    printing: ``label 1 of 2``.
    """

    code: str
    lines: tuple[SizeLine, ...]
    place: str = ""
    hazards: tuple[str, ...] = ()
    date: str = ""
    part: str = ""

    @property
    def payload(self) -> str:
        """What the QR code says: the place first, then what is in it, for any phone."""
        said = [f"{line.first} {line.what}".strip() for line in self.lines]
        return "\n".join([self.code, *said, *(["CAUTION"] if self.hazards else []), *self.hazards])


@dataclass(frozen=True, slots=True)
class PackTag:
    """One thing in stock, by its number: a tube, a tin, a box of bolts. Days are ISO 8601 dates.

    ``holds`` is what a full pack holds, ``least`` what is to be held of it, in words.
    """

    code: str
    name: str
    holds: str = ""
    opened: str = ""
    use_by: str = ""
    batch: str = ""
    least: str = ""
    place: str = ""
    keeping: str = ""
    note: str = ""
    hazards: tuple[str, ...] = ()

    @property
    def payload(self) -> str:
        """What the QR code says: the number first, for any phone."""
        days = (("opened", self.opened), ("use by", self.use_by))
        dates = [f"{what} {day_words(each)}" for what, each in days if each]
        batch = f"batch {self.batch}" if self.batch else ""
        return "\n".join(filter(None, (self.code, self.name, *dates, batch, *self.hazards)))


@dataclass(frozen=True, slots=True)
class Tag:
    """A large part that goes into no bag. ``size`` and ``weight`` are words with their unit."""

    code: str
    part: str
    machine: str = ""
    assembly: str = ""
    step: int = 0
    size: str = ""
    weight: str = ""
    hazard: str = ""
    note: str = ""
    date: str = ""
    payload: str = ""


@dataclass(frozen=True, slots=True)
class ConditionTag:
    """What an inspection found. ``measured`` and ``limit`` are words with their unit."""

    code: str
    condition: Condition
    part: str
    reason: str = ""
    measured: str = ""
    limit: str = ""
    machine: str = ""
    date: str = ""
    by: str = ""
    payload: str = ""


@dataclass(frozen=True, slots=True)
class TicketLine:
    """So many of one thing that go out to a firm; ``bag`` is where they were taken from."""

    quantity: int
    what: str
    bag: str = ""


@dataclass(frozen=True, slots=True)
class BatchTicket:
    """Pieces that go out to a firm as a counted batch, and are counted when they are back."""

    code: str
    firm: str
    work: str
    lines: tuple[TicketLine, ...]
    machine: str = ""
    sent: str = ""
    due: str = ""
    note: str = ""
    hazard: str = ""
    payload: str = ""
    part: str = ""


@dataclass(frozen=True, slots=True)
class Flag:
    """A wire, cable or hose. ``around`` is its diameter in mm: so much of the label wraps it."""

    code: str
    what: str
    origin: str = ""
    to: str = ""
    colour: str = ""
    size: str = ""
    machine: str = ""
    around: float = 0.0
    payload: str = ""


LabelValue = Bag | BoxIndex | StockPlace | PackTag | Tag | ConditionTag | BatchTicket | Flag


@dataclass(frozen=True, slots=True)
class Printer:
    """How far a printer is out, mm to the right and down, and its dots an inch, 0 if unsaid."""

    name: str
    right_mm: float = 0.0
    down_mm: float = 0.0
    dpi: int = 0


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """How labels are put on their stock, for which printer.

    ``start`` is the first free label of a part-used sheet, from 1; ``skip`` are spoilt ones;
    ``copies`` are of each label. What is printed goes against the way that the printer is out.
    """

    stock: str
    start: int = 1
    skip: tuple[int, ...] = ()
    copies: int = 1
    printer: Printer | None = None

    @property
    def shift_mm(self) -> tuple[float, float]:
        """How far to move what is printed, mm to the right and down."""
        return (-self.printer.right_mm, -self.printer.down_mm) if self.printer else (0.0, 0.0)

    @property
    def dpi(self) -> int | None:
        """Dots an inch of the printer, None if unsaid."""
        return (self.printer.dpi or None) if self.printer else None


def rest_of(items: Iterable[Item], code: str) -> tuple[RestOfStep, ...]:
    """Return where else pieces of the steps are that a bag holds pieces of, step by step."""
    places: dict[Step, dict[str, None]] = {}
    held: dict[Step, None] = {}
    for item in items:
        if not item.step.number:
            continue
        for holding in item.holdings:
            if holding.quantity <= 0:
                continue
            if holding.kind is PlaceKind.BAG and holding.place == code:
                held[item.step] = None
            elif holding.kind.in_hand or holding.kind is PlaceKind.FIRM:
                words = holding.kind.at(holding.place)
                places.setdefault(item.step, {})[words] = None
    ordered = sorted(held, key=lambda step: (step.machine, step.number))
    return tuple(RestOfStep(step, tuple(places[step])) for step in ordered if step in places)


def bags_of(
    items: Iterable[Item],
    insides: dict[str, str],
    printed: dict[str, str],
    made: dict[str, str] | None = None,
) -> dict[str, Bag]:
    """Return the bags that hold pieces of these items, by code, and where the rest of their steps
    is, as far as it is among these items."""
    contents: dict[str, list[Content]] = {}
    of_step: dict[Step, list[Item]] = {}
    for item in items:
        of_step.setdefault(item.step, []).append(item)
        for holding in item.holdings:
            if holding.kind is PlaceKind.BAG and holding.quantity > 0:
                contents.setdefault(holding.place, []).append(
                    Content(item, holding.quantity, holding.condition, holding.mixed)
                )
    return {
        code: Bag(
            code,
            tuple(sorted(listed, key=lambda c: (c.item.step.number, c.item.line, c.condition))),
            insides.get(code, ""),
            printed.get(code, ""),
            (made or {}).get(code, ""),
            rest_of(
                [
                    item
                    for step in dict.fromkeys(content.item.step for content in listed)
                    for item in of_step[step]
                ],
                code,
            ),
        )
        for code, listed in sorted(contents.items())
    }
