"""Outwork: batches of pieces for a firm, what to mind of them, and what a robbed joint is owed."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from stores.errors import BadValue, NotationError
from stores.handbook.bench_rules.plating import plating_warning
from stores.handbook.fastener import parse
from stores.model.items import Item
from stores.model.ledger import Condition, PlaceKind
from stores.text import many

__all__ = [
    "MARKS",
    "SENT",
    "Batch",
    "BatchCaution",
    "BatchLine",
    "Debt",
    "Mind",
    "cautions_of_batch",
    "details",
    "metal_of",
    "send_first",
]

MARKS = ("photographed", "packed")
"""What is ticked before a batch goes out."""

SENT = (
    Condition.AS_REMOVED,
    Condition.REPAIRABLE,
    Condition.SERVICEABLE,
    Condition.QUARANTINE,
    Condition.NEW,
)
"""What goes out to a firm, and in which order: never what is condemned."""

_ELECTRO = re.compile(
    r"(?i)\b(?:electro\w*|zinc|plat(?:e|ed|ing)|re-?plat\w*|chrom\w*|nickel\w*|cadmium|cad|"
    r"galvani[sz]\w*|copper(?:ed| plat\w*)|passivat\w*|pickl\w*|acid)\b"
)
_OVEN = re.compile(
    r"(?i)\b(?:powder\w*|oven|bak(?:e|ed|ing)|stov(?:e|ed|ing)|heat treat\w*|anneal\w*|braz\w*|"
    r"hot (?:tank|dip)|galvani[sz]\w*|caustic)\b"
)
_BLAST = re.compile(r"(?i)\b(?:blast\w*|bead\w*|shot ?peen\w*|vapou?r hon\w*|tumbl\w*)\b")
_COAT = re.compile(r"(?i)\b(?:powder\w*|paint\w*|coat\w*|enamel\w*|plat(?:e|ed|ing)|zinc|chrom\w*|"
                   r"nickel\w*|stov\w*|blast\w*)\b")  # fmt: skip
_SOFT = re.compile(
    r"(?i)\b(?:rubber\w*|o-?rings?|seals?|nylocs?|nylon|plastic|gaskets?|bonded|grommets?|boots?|"
    r"gaiters?|hoses?|silentblocs?|bakelite|fibre|felt|loom|cables?|fork legs? complete)\b"
)
_BEARING = re.compile(
    r"(?i)\b(?:bearings?|bush(?:es)?|races?|bearing balls?)\b(?! (?:housing|cap)s?)"
)
_MASKED = (
    (re.compile(r"(?i)\b(?:crank ?case|cover|housing|hub|case|carrier|plate|yoke|head ?stock)s?\b"),
     "bearing seats and threads"),
    (re.compile(r"(?i)\bbrake (?:drum|plate|cylinder|caliper|hub)s?|calipers?|master cylinders?\b"),
     "brake bores and faces"),
    (re.compile(r"(?i)\b(?:frame|bracket|lug|engine mount\w*|lamp|magneto|dynamo)s?\b"),
     "earth points and threads"),
)  # fmt: skip
_WHOLE = re.compile(r"(?i)\b(?:assembl(?:y|ies)|complete|unit|wheel|fork legs?|caliper)\b")
_METALS = (
    ("aluminium", r"alumin\w*|alloy|ally|dural\w*"),
    ("magnesium", r"magnes\w*|elektron"),
    ("brass", r"brass|bronze|gunmetal"),
    ("copper", r"copper"),
    ("zinc alloy", r"zinc alloy|mazak|zamak|pot ?metal|monkey ?metal|die[- ]?cast\w*"),
    ("stainless steel", r"stainless|a2|a4|inox"),
    ("cast iron", r"cast iron"),
    ("steel", r"steel|mild steel|iron|spring steel"),
)


@dataclass(frozen=True, slots=True)
class BatchLine:
    """So many pieces of an item in a batch, what they are of and what is to be masked.

    ``back`` came back, ``off`` were written off.
    """

    item: Item
    quantity: int
    metal: str = ""
    masking: str = ""
    strength: str = ""
    note: str = ""
    back: int = 0
    off: int = 0

    @property
    def text(self) -> str:
        """What the pieces are: those at a firm, else those that would be sent."""
        item = self.item
        away = [each for each in item.holdings if each.kind is PlaceKind.FIRM and each.quantity > 0]
        return item.names(away) if away else item.named(send_first(item)[0])

    @property
    def away(self) -> int:
        """Pieces still to come back, once it was sent."""
        return max(0, self.quantity - self.back - self.off)

    @property
    def details(self) -> str:
        """Return metal, class, masking and note in a line."""
        return details(self.metal, self.strength, self.masking, self.note)


@dataclass(frozen=True, slots=True)
class Batch:
    """A lot for one firm and one kind of work. ``events`` are its marks: sent, promised, packed."""

    number: int
    firm: str
    work: str = ""
    finish: str = ""
    note: str = ""
    lines: tuple[BatchLine, ...] = ()
    events: dict[str, str] = field(default_factory=dict)
    row: int = 0
    place: int = 0

    @property
    def sent(self) -> str:
        """The day on which it was sent, empty while it is made up."""
        return self.events.get("sent", "")

    @property
    def promised(self) -> date | None:
        """The day for which it is promised."""
        day = self.events.get("promised", "")
        return date.fromisoformat(day) if day else None

    @property
    def pieces(self) -> int:
        """Pieces in it."""
        return sum(line.quantity for line in self.lines)

    @property
    def away(self) -> int:
        """Pieces still to come back."""
        return sum(line.away for line in self.lines) if self.sent else 0

    @property
    def done(self) -> bool:
        """Whether it was sent and every piece is back or written off."""
        return bool(self.sent) and not self.away

    def overdue(self, today: date) -> int:
        """Days over the promised day, 0 while it is not over, or nothing is away."""
        if not self.away or self.promised is None:
            return 0
        return max(0, (today - self.promised).days)

    @property
    def state(self) -> str:
        """How far it is: "being made up", "away" or "all back"."""
        if not self.sent:
            return "being made up"
        return "away" if self.away else "all back"


@dataclass(frozen=True, slots=True)
class Debt:
    """So many pieces that ``item`` is owed, since they went to ``taken_for``."""

    item: Item
    taken_for: Item
    quantity: int
    date: str = ""


def send_first(item: Item) -> tuple[Condition, ...]:
    """Return in which conditions its pieces go out to a firm, and in which order: never what is
    condemned. Where the old ones are another thing than belongs there, the new ones go alone."""
    if item.wrong and item.in_hand(Condition.NEW):
        return (Condition.NEW,)
    return SENT


def details(metal: str, strength: str, masking: str, note: str) -> str:
    """Return what a firm must know of pieces, in a line; empty where nothing was said."""
    parts = (metal, strength, f"mask {masking}" if masking else "", note)
    return "; ".join(part for part in parts if part)


def metal_of(text: str) -> str:
    """Return the metal that words name: ``alloy`` is aluminium; empty where none is named."""
    try:
        said = f"{parse(text).material or ''} {text}"
    except NotationError:
        said = text
    for metal, words in _METALS:
        if re.search(rf"(?i)\b(?:{words})\b", said):
            return metal
    return ""


class Mind(StrEnum):
    """What there is to mind of a batch."""

    PLATING = "plating"
    SOFT_IN_OVEN = "soft in an oven"
    BEARING_IN_OVEN = "bearing in an oven"
    ZINC_IN_OVEN = "zinc in an oven"
    GRIT = "grit"
    MASK = "mask"
    METALS = "mixed metals"
    WHOLE = "not stripped"
    NOT_MARKED = "not marked"


@dataclass(frozen=True, slots=True)
class BatchCaution:
    """Something to mind of these items, by number; ``texts`` are what their pieces are.

    ``detail`` is the rule against plating, what is to be masked, the metals with their items, or
    the marks that are missing.
    """

    mind: Mind
    items: tuple[str, ...] = ()
    texts: tuple[str, ...] = ()
    detail: str = ""


def cautions_of_batch(batch: Batch) -> tuple[BatchCaution, ...]:
    """Return what to mind before this batch goes out, the worst first, each once.

    Strong steel and springs against electroplating (ISO 4042, by `plating_warning`); what an oven
    spoils; mixed metals; what is not stripped; masking not said; what is not marked as done.
    """
    work = f"{batch.work} {batch.finish}"
    minded: dict[tuple[Mind, str], list[BatchLine]] = {}
    for line in batch.lines:
        for mind, detail in _of_line(line, work):
            minded.setdefault((mind, detail), []).append(line)
    listed = _metals(batch.lines, work)
    if listed:
        minded[Mind.METALS, listed] = []
    for line in batch.lines:
        if _WHOLE.search(f"{line.text} {line.item.written}") and _COAT.search(work):
            minded.setdefault((Mind.WHOLE, ""), []).append(line)
    missing = [mark for mark in MARKS if mark not in batch.events and not batch.sent]
    if missing:
        minded[Mind.NOT_MARKED, " or ".join(missing)] = []
    return tuple(
        BatchCaution(
            mind,
            tuple(line.item.ref for line in lines),
            tuple(many(line.quantity, line.text) for line in lines),
            detail,
        )
        for (mind, detail), lines in minded.items()
    )


def _of_line(line: BatchLine, work: str) -> list[tuple[Mind, str]]:
    words = f"{line.text} {line.item.written}"
    minded: list[tuple[Mind, str]] = []
    if _ELECTRO.search(work) and (line.metal or "steel") in ("steel", "cast iron", ""):
        rule = _plating(line)
        minded += [(Mind.PLATING, rule)] if rule else []
    if _OVEN.search(work):
        if _SOFT.search(line.text):
            minded.append((Mind.SOFT_IN_OVEN, ""))
        if _BEARING.search(line.text):
            minded.append((Mind.BEARING_IN_OVEN, ""))
        if line.metal == "zinc alloy":
            minded.append((Mind.ZINC_IN_OVEN, ""))
    if _BLAST.search(work) and (_BEARING.search(line.text) or _SOFT.search(line.text)):
        minded.append((Mind.GRIT, ""))
    if _COAT.search(work) and not line.masking:
        for pattern, what in _MASKED:
            if pattern.search(words) and line.item.as_found.kind == "part":
                minded.append((Mind.MASK, what))
                break
    return minded


def _plating(line: BatchLine) -> str:
    thing = line.strength
    spring = "spring" in f"{line.text} {line.metal}".casefold() and "seat" not in line.text
    if not thing:
        try:
            read = parse(line.text)
        except NotationError:
            read = None
        thing = (read.property_class or "") if read else ""
    bolts = ("bolt", "screw", "stud", "setscrew")
    rule = None
    try:
        rule = plating_warning(thing or line.text, spring=spring)
    except BadValue:
        if line.strength:  # said by the person, and no class: may be anything
            rule = plating_warning("", spring=spring)
    if rule is None and not thing and line.item.as_found.kind in bolts:
        rule = plating_warning("")  # not marked: it may be strong
    return f"{rule.text} ({rule.why})" if rule else ""


def _metals(lines: Sequence[BatchLine], work: str) -> str:
    if not work.strip():
        return ""
    found: dict[str, list[str]] = {}
    for line in lines:
        found.setdefault(line.metal or metal_of(line.text), []).append(line.item.ref)
    known = {metal: refs for metal, refs in found.items() if metal}
    if len(known) < 2:
        return ""
    return "; ".join(f"{metal} {', '.join(refs)}" for metal, refs in known.items())
