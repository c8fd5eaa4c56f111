"""The shopping list: what the rebuild needs and the stores cannot supply, by specification.

One value, `ShoppingList`, that screen, paper, tables, messages, orders and costs all show.

What may stand in for a bolt or screw that is not to be had is the next length up, with a washer
(common practice, no source): the thread stays the same in diameter and pitch (fine never goes into
coarse), head and class stay the same, the washer under the head takes up what is too long, and a
blind hole takes no longer screw. A countersunk or headless one has no place for a washer.

What has no size is not added up on the shopping list: two gaskets of different joints are two
things.

No spares are bought unasked: no figure for them has a source. What has no size gets none.
"""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from stores import units
from stores.errors import StoresError
from stores.handbook.fastener import Kind, parse
from stores.handbook.lengths import next_length
from stores.model.items import Item, serves, sized
from stores.model.ledger import Condition, PlaceKind
from stores.model.money import Price, cost_of, price_for, show_money
from stores.model.stock import LowMark
from stores.planning.status import PieceStatus, Status, cautions_of, is_safety
from stores.planning.supplies import ConsumableLine

__all__ = [
    "AssemblyToInspect",
    "LostSoFar",
    "ShoppingList",
    "Shortage",
    "SpareRule",
    "ToMeasure",
    "longer",
    "lost_so_far",
    "low_lines",
    "packed",
    "shortages",
    "to_measure",
]

_HEADS = frozenset({"hex", "hex flange", "socket cap", "low socket cap", "cheese", "pan", "round"})
"""Heads that a washer goes under."""
_MOST_OVER = 6.5
"""Millimetres that washers may take up: 5 mm or a quarter of an inch, a step of the lists. More is
a stack of washers that nobody should tighten (common practice)."""


@dataclass(frozen=True, slots=True)
class Shortage:
    """One line to buy: a specification, the total, and the joints that need it.

    ``quantity`` is what to buy, whole packs; ``to_spare`` of these are spares and what a pack holds
    beyond the need. ``what`` names the joint where a specification without a size says too little;
    ``spec`` is the specification alone. ``why`` are the reasons of all joints, each once.
    ``loose`` are loose pieces in hand and ``on_order`` what is on order, both taken off already.
    ``price_hundredths`` is of the line, None where it is not known. ``instead`` is what may stand
    in for it; ``longer_in_hand`` are loose pieces of that which are free.
    """

    quantity: int
    what: str
    kind: str
    why: str
    joints: tuple[str, ...]
    spec: str
    loose: int = 0
    on_order: int = 0
    to_spare: int = 0
    pack: int = 1
    supplier: str = ""
    price_hundredths: int | None = None
    currency: str = ""
    instead: str = ""
    longer_in_hand: int = 0

    @property
    def packs(self) -> int:
        """How many packs that is."""
        return -(-self.quantity // self.pack)

    @property
    def asked(self) -> str:
        """What it costs and of whom: ``6.20 EUR, 2 packs of 4, Hollin``; empty: not known."""
        if self.price_hundredths is None:
            return ""
        packs = "pack" if self.packs == 1 else "packs"
        parts = [
            show_money(self.price_hundredths, self.currency),
            f"{self.packs} {packs} of {self.pack}" if self.pack > 1 else "",
            self.supplier,
        ]
        return ", ".join(words for words in parts if words)

    @property
    def reckoning(self) -> str:
        """The reasons, with what was taken off and put on."""
        parts = [self.why]
        if self.loose:
            parts.append(f"less {self.loose} loose in stock")
        if self.on_order:
            parts.append(f"less {self.on_order} on order")
        if self.to_spare:
            parts.append(f"{self.to_spare} to spare")
        return "; ".join(parts)

    @property
    def refs(self) -> str:
        """The joints, as ``7.2, 9.1``."""
        return ", ".join(self.joints)


@dataclass(frozen=True, slots=True)
class ToMeasure:
    """What is not bought before it was looked at and measured; ``where`` is its assembly, with the
    machine where several are bought for."""

    item: str
    what: str
    kind: str
    quantity: int
    where: str = ""


@dataclass(frozen=True, slots=True)
class AssemblyToInspect:
    """What is to be inspected of one assembly: a person looks over one after the other."""

    where: str
    lines: tuple[ToMeasure, ...]

    @property
    def pieces(self) -> int:
        """So many pieces."""
        return sum(line.quantity for line in self.lines)


@dataclass(frozen=True, slots=True)
class SupplierSection:
    """What one supplier has a price for; no name: what nobody has one for."""

    supplier: str
    lines: tuple[Shortage, ...]
    supplies: tuple[ConsumableLine, ...]

    @property
    def cost(self) -> int:
        """The sum of the prices known, in hundredths."""
        prices = [line.price_hundredths for line in self.lines] + [
            line.price for line in self.supplies
        ]
        return sum(price for price in prices if price is not None)

    @property
    def heading(self) -> str:
        """Whose it is and what it comes to: ``Hollin: 4 lines, 23.10 EUR``."""
        count = len(self.lines) + len(self.supplies)
        lines = f"{count} line" if count == 1 else f"{count} lines"
        if not self.supplier and not self.cost:
            return f"No price known: {lines}"
        currencies = [line.currency for line in self.lines]
        currencies += [line.currency for line in self.supplies]
        currency = next(filter(None, currencies), "")
        return f"{self.supplier or 'Anybody'}: {lines}, {show_money(self.cost, currency)}"


@dataclass(frozen=True, slots=True)
class ShoppingList:
    """What to buy now, consumables apart, and what is not bought before it is measured.

    ``assumptions`` and ``cautions`` are of the oil.
    """

    machine: str = ""
    lines: tuple[Shortage, ...] = ()
    measure_first: tuple[ToMeasure, ...] = ()
    supplies: tuple[ConsumableLine, ...] = ()
    assumptions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    @property
    def pieces(self) -> int:
        """Pieces to buy, oil and other consumables apart."""
        return sum(line.quantity for line in self.lines)

    @property
    def to_inspect(self) -> tuple[AssemblyToInspect, ...]:
        """What is to be inspected first, by assembly, as paper and screen show it."""
        groups: dict[str, list[ToMeasure]] = {}
        for line in self.measure_first:
            groups.setdefault(line.where, []).append(line)
        return tuple(AssemblyToInspect(where, tuple(lines)) for where, lines in groups.items())

    @property
    def sections(self) -> tuple[SupplierSection, ...]:
        """By supplier, in the order of the alphabet; what nobody has a price for comes last."""
        of_lines = {line: _group(line.supplier, line.price_hundredths) for line in self.lines}
        others = {line: _group(line.supplier, line.price) for line in self.supplies}
        return tuple(
            SupplierSection(
                group[2],
                tuple(line for line in self.lines if of_lines[line] == group),
                tuple(line for line in self.supplies if others[line] == group),
            )
            for group in sorted({*of_lines.values(), *others.values()})
        )

    @property
    def divided(self) -> bool:
        """Whether it is worth headings: several suppliers, or one and what has no price."""
        return len(self.sections) > 1


def _group(supplier: str, price: int | None) -> tuple[bool, str, str]:
    """Return where a line stands: whether it has no price, and whose that is, folded to sort by."""
    whose = "" if price is None else supplier
    return price is None, whose.casefold(), whose


def shortages(
    machines: Sequence[Status], within: Callable[[Item], bool] | None = None
) -> list[Shortage]:
    """Return what is short over these machines: what `stores.planning.status` says of each piece.

    What has no size in its specification ("gasket", "brake shoe") is not added up over joints:
    such a line names its joint. Sorted by kind, then by text. A line that loose pieces and
    orders cover in full is left out; ``within`` keeps the joints of a part of the machine. Of
    several machines each joint is named with its own.
    """
    needs: dict[str, list[PieceStatus]] = {}
    for status in machines:
        for piece in status.joints:
            item, text = piece.item, piece.item.as_specified.text
            if item.lacking:
                if not sized(text):
                    text = f"{text}, for {item.step.assembly}: {item.step.part}"
                    if len(machines) > 1:
                        text += f" of {item.step.machine}"
                needs.setdefault(text, []).append(piece)
    # what is left of the loose pieces is so once all have theirs, whichever machine is looked at
    left = machines[0].shares.left if machines else {}
    spares = [p.item for p in machines[0].loose if left.get(p.item.number)] if machines else []
    lines = []
    for text, listed in needs.items():
        kept = [piece for piece in listed if within is None or within(piece.item)]
        to_buy = sum(piece.short for piece in kept)
        if not to_buy:
            continue
        items = [piece.item for piece in kept]
        spec = items[0].as_specified.text
        step = longer(spec) if may_be_longer(items) else None
        free = sum(
            left[spare.number]
            for spare in spares
            if step and serves(spare.as_found.text, step.text)
        )
        lines.append(
            Shortage(
                to_buy, text, items[-1].as_specified.kind,
                "; ".join(dict.fromkeys((*(i.why_lacking for i in items), *_to_check(items)))),
                tuple(f"{i.step.machine} {i.ref}" if len(machines) > 1 else i.ref for i in items),
                spec, sum(piece.spare for piece in kept), sum(piece.on_order for piece in kept),
                instead=step.words if step else "", longer_in_hand=min(to_buy, free),
            )
        )  # fmt: skip
    return sorted(lines, key=lambda line: (line.kind, _natural(line.what)))


def low_lines(
    lines: Sequence[Shortage],
    marks: Iterable[LowMark],
    stock: Iterable[Item],
    left: Mapping[int, int],
    coming: Mapping[str, int],
) -> list[Shortage]:
    """Return the lines with the pieces that are below the least to be held.

    What the joints take is theirs already: ``left`` are how many of each loose item, by number, are
    given to none; ``coming`` how many of a specification are on order beyond what joints wait for.
    """
    made = list(lines)
    spares = [(item, left.get(item.number, 0)) for item in stock if not item.unit]
    for mark in marks:
        there = sum(
            count
            for item, count in spares
            if count and (item.as_found.text == mark.text or serves(item.as_found.text, mark.text))
        )
        there += sum(
            count for text, count in coming.items() if text == mark.text or serves(text, mark.text)
        )
        short = mark.least - there
        if short <= 0:
            continue
        why = f"running low: at least {mark.least} to be held"
        at = next((at for at, line in enumerate(made) if line.spec == mark.text), None)
        if at is None:
            made.append(Shortage(short, mark.text, _kind_of(mark.text), why, ("stock",), mark.text))
        else:
            line = made[at]
            made[at] = replace(
                line, quantity=line.quantity + short, why=f"{line.why}; {why}",
                joints=(*line.joints, "stock"),
            )  # fmt: skip
    return sorted(made, key=lambda line: (line.kind, _natural(line.what)))


def _kind_of(text: str) -> str:
    try:
        return parse(text).kind.value
    except StoresError:
        return Kind.PART.value


def _to_check(items: Iterable[Item]) -> list[str]:
    """Say what is in question: more may be short than is known, or another thing."""
    refs: dict[str, list[str]] = {}
    for item in items:
        for each in item.to_check:
            refs.setdefault(each, []).append(item.ref)
    return [f"{each}: {', '.join(named)}" for each, named in refs.items()]


@dataclass(frozen=True, slots=True)
class SpareRule:
    """So many spares of a kind: per cent of the need, rounded up, and at least so many.

    None of what costs more than ``most_price`` a piece, in hundredths; None: whatever it costs.
    """

    name: str
    per_cent: int
    least: int = 0
    most_price: int | None = None

    def spares(self, need: int) -> int:
        """Return how many to buy beyond the need.

        >>> SpareRule("screw", 10, 1).spares(12), SpareRule("screw", 10, 1).spares(4)
        (2, 1)
        """
        return max(self.least, -(-need * self.per_cent // 100))


@dataclass(frozen=True, slots=True)
class LostSoFar:
    """How many pieces of a kind the record has lost, of how many: its own chance of loss."""

    lost: int
    of: int

    @property
    def per_cent(self) -> int:
        """In per cent, rounded up.

        >>> LostSoFar(3, 61).per_cent
        5
        """
        return -(-100 * self.lost // self.of) if self.of else 0

    def __str__(self) -> str:
        return f"{self.lost} of {self.of}"


def lost_so_far(name: str, items: Iterable[Item]) -> LostSoFar:
    """Return what was lost of a kind, by the words of a rule: ``screw``, ``split pin``."""
    wanted = set(name.casefold().split())
    lost = of = 0
    for item in items:
        about = item.as_found
        if wanted <= set(about.text.casefold().split()) | {about.kind.casefold()}:
            lost += item.count(PlaceKind.LOST)
            of += item.found
    return LostSoFar(lost, of)


def packed(
    lines: Iterable[Shortage], prices: Sequence[Price], rules: Iterable[SpareRule] = ()
) -> list[Shortage]:
    """Return the lines with spares by rule, rounded up to whole packs, and what they cost of whom.

    The longest name of a rule whose words are all in the text, or that is the kind, counts. A kind
    that is not added up over joints gets no spares: two gaskets of a joint are one too many.
    """
    by_length = sorted(rules, key=lambda rule: len(rule.name), reverse=True)
    made = []
    for line in lines:
        words = set(line.what.casefold().split()) | {line.kind.casefold()}
        rule = next((r for r in by_length if set(r.name.casefold().split()) <= words), None)
        need, spares = line.quantity, 0
        price = price_for(prices, line.spec, need)
        dear = (
            rule is not None
            and rule.most_price is not None
            and price is not None
            and price.price > rule.most_price * price.pack
        )
        if rule is not None and sized(line.spec) and not dear:
            spares = rule.spares(need)
            price = price_for(prices, line.spec, need + spares)
        if price is None:
            made.append(replace(line, quantity=need + spares, to_spare=spares))
            continue
        packs, cost = cost_of(price, need + spares)
        made.append(
            replace(
                line, quantity=packs * price.pack, to_spare=packs * price.pack - need,
                pack=price.pack, price_hundredths=cost, supplier=price.supplier,
                currency=price.currency,
            )
        )  # fmt: skip
    return made


def to_measure(items: Sequence[Item]) -> list[ToMeasure]:
    """Return the pieces that nobody has inspected yet and that the rebuild counts on: whether they
    are to be bought is not known. What is renewed as a rule, or wrong, is bought whatever it is
    like.
    """
    pieces = []
    several = len({item.step.machine for item in items if item.step.number}) > 1
    for item in items:
        if not item.step.number or item.renew or item.wrong:
            continue
        seen = item.in_hand(Condition.NEW, Condition.SERVICEABLE)
        unseen = min(item.in_hand(Condition.AS_REMOVED, Condition.QUARANTINE), item.to_fit - seen)
        if unseen > 0:
            of = f"{item.step.machine}: " if several else ""
            pieces.append(
                ToMeasure(
                    item.ref, item.as_found.text, item.as_found.kind, unseen,
                    f"{of}{item.step.assembly}",
                )
            )  # fmt: skip
    return pieces


@dataclass(frozen=True, slots=True)
class Longer:
    """The next length up: its specification, and by how much it is too long."""

    text: str
    over_mm: float

    @property
    def words(self) -> str:
        """It with its condition: ``M6 x 30 bolt, with 5 mm of washers; not in a blind hole``."""
        return f"{self.text}, with {self.over_mm:.2g} mm of washers; not in a blind hole"


@lru_cache(maxsize=4096)
def longer(specified: str) -> Longer | None:
    """Return the next of the standard lengths, all else the same; None if none may be.

    >>> longer("M6 x 25 hex bolt").text
    'M6 x 30 hex bolt'
    """
    try:
        wanted = parse(specified)
    except StoresError:
        return None
    if wanted.kind not in (Kind.BOLT, Kind.SCREW) or not (wanted.series and wanted.size):
        return None
    if wanted.head not in _HEADS or not wanted.length:
        return None
    step = next_length(wanted.length.mm, inch=wanted.length.unit == "in")
    if step is None or step.mm - wanted.length.mm > _MOST_OVER:
        return None
    length = replace(wanted.length, value=_exact(step.text))
    return Longer(replace(wanted, quantity=None, length=length).spec, step.mm - wanted.length.mm)


def _exact(text: str) -> Fraction:
    """Read ``1 1/2`` or ``30``."""
    return sum((Fraction(part) for part in text.split()), Fraction(0))


def may_be_longer(items: Iterable[Item]) -> bool:
    """Return whether none of these joints is of brakes, steering or wheels: there nothing stands in
    for what the maker specified."""
    return not any(is_safety(cautions_of(item.step, [item])) for item in items)


def _natural(text: str) -> list[tuple[int, float, str]]:
    """Sort key that puts M4 before M10 and 1/4 before 5/16."""
    parts = re.findall(r"\d+/[1-9]\d*|\d+(?:\.\d+)?|\D+", text)
    return [
        (0, float(units.value(part)), "") if part[0].isdecimal() else (1, 0.0, part.casefold())
        for part in parts
    ]
