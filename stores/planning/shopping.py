"""The shopping list: what the rebuild needs and the stores cannot supply, by specification."""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from stores import units
from stores.model.items import Item, serves, sized
from stores.model.ledger import Condition, PlaceKind
from stores.planning.money import show_money
from stores.planning.oils import OilLine
from stores.planning.orders import OnOrder, Price, cost_of, price_for
from stores.planning.substitutes import longer, may_be_longer
from stores.text import many

__all__ = [
    "LostSoFar",
    "Measure",
    "Need",
    "Shortage",
    "SpareRule",
    "lost_so_far",
    "message",
    "packed",
    "shopping",
    "spare_pieces",
    "to_measure",
]


@dataclass(frozen=True, slots=True)
class Need:
    """One joint's share of a line: which item, how many, and why."""

    item: Item
    quantity: int
    why: str


@dataclass(frozen=True, slots=True)
class Shortage:
    """One line to buy: a specification, the total, and the joints that need it.

    ``quantity`` is what to buy, whole packs; ``more`` of these are spares and what a pack holds
    beyond the need. ``spare`` are loose pieces in hand and ``ordered`` what is on order, both
    taken off already. ``price`` is of the line, in hundredths, None where it is not known.
    ``longer_in_hand`` are loose pieces of the next length up, which would do with washers.
    """

    text: str
    kind: str
    quantity: int
    needs: tuple[Need, ...]
    spare: int = 0
    ordered: int = 0
    more: int = 0
    pack: int = 1
    price: int | None = None
    supplier: str = ""
    currency: str = ""
    longer_in_hand: int = 0

    @property
    def instead(self) -> str:
        """Say what may stand in for it, if anything: the next length up, with washers."""
        if not may_be_longer(need.item for need in self.needs):
            return ""
        step = longer(self.spec)
        return "" if step is None else step.said

    @property
    def packs(self) -> int:
        """How many packs that is."""
        return -(-self.quantity // self.pack)

    @property
    def asked(self) -> str:
        """Say what it costs and of whom: ``6.20 EUR, 2 packs of 4, Hollin``; empty: not known."""
        if self.price is None:
            return ""
        packs = "pack" if self.packs == 1 else "packs"
        said = [
            show_money(self.price, self.currency),
            f"{self.packs} {packs} of {self.pack}" if self.pack > 1 else "",
            self.supplier,
        ]
        return ", ".join(words for words in said if words)

    @property
    def why(self) -> str:
        """The reasons, with what was taken off and put on."""
        said = [self.reasons]
        if self.spare:
            said.append(f"less {self.spare} loose in hand")
        if self.ordered:
            said.append(f"less {self.ordered} on order")
        if self.more:
            said.append(f"{self.more} to spare")
        return "; ".join(said)

    @property
    def spec(self) -> str:
        """The specification alone, without the joint that it is for."""
        return self.needs[0].item.as_specified.text

    @property
    def reasons(self) -> str:
        """The reasons of all joints, each once."""
        return "; ".join(dict.fromkeys(need.why for need in self.needs))

    @property
    def refs(self) -> str:
        """The joints, as ``7.2, 9.1``."""
        return ", ".join(need.item.ref for need in self.needs)


def shopping(
    items: Iterable[Item],
    coming: Iterable[OnOrder] = (),
    within: Callable[[Item], bool] | None = None,
) -> list[Shortage]:
    """Add up what is short over the machine, less the loose pieces in hand, new or inspected, and
    less what is on order.

    What has no size in its specification ("gasket", "brake shoe") is not added up over joints:
    such a line names its joint. Sorted by kind, then by text. A line that loose pieces and
    orders cover in full is left out. Loose pieces and orders serve the first step first, whatever
    part of the machine is asked for; ``within`` then keeps the joints of that part.
    """
    needs: dict[str, list[Need]] = {}
    kinds: dict[str, str] = {}
    spares: list[Item] = []
    for item in items:
        text = item.as_specified.text
        if not item.step.number:
            spares.append(item)
        elif item.short:
            if not sized(text):
                text = f"{text}, for {item.step.assembly}: {item.step.part}"
            kinds[text] = item.as_specified.kind
            needs.setdefault(text, []).append(Need(item, item.short, item.why_short))
    lines = []
    orders = list(coming)
    left = [one.quantity for one in orders]
    for text, listed in needs.items():
        loose = spare_pieces(text, spares)
        kept: list[Need] = []
        to_buy = in_hand = ordered = 0
        for need in listed:
            from_loose = min(need.quantity, loose)
            loose -= from_loose
            awaited = _from_orders(need.item, need.quantity - from_loose, orders, left)
            if within is None or within(need.item):
                kept.append(need)
                to_buy += need.quantity - from_loose - awaited
                in_hand += from_loose
                ordered += awaited
        if to_buy:
            line = Shortage(text, kinds[text], to_buy, tuple(kept), in_hand, ordered)
            step = longer(line.spec) if line.instead else None
            # what another joint is short of itself does not stand in here
            free = spare_pieces(step.text, spares) if step and step.text not in needs else 0
            lines.append(replace(line, longer_in_hand=min(to_buy, free)))
    return sorted(lines, key=lambda line: (line.kind, _natural(line.text)))


def _from_orders(item: Item, wanted: int, orders: Sequence[OnOrder], left: list[int]) -> int:
    """Take so many pieces for a joint from what is on order; give how many there are."""
    taken = 0
    for at, one in enumerate(orders):
        some = min(left[at], wanted - taken)
        if some > 0 and one.is_for(item):
            taken += some
            left[at] -= some
    return taken


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
        """Give how many to buy beyond the need.

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
    """Count what was lost of a kind, by the words of a rule: ``screw``, ``split pin``."""
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
    """Put spares on by rule, round up to whole packs, and say what it costs and of whom.

    The longest name of a rule whose words are all in the text, or that is the kind, counts. A kind
    that is not added up over joints gets no spares: two gaskets of a joint are one too many.
    """
    known = sorted(rules, key=lambda rule: len(rule.name), reverse=True)
    made = []
    for line in lines:
        words = set(line.text.casefold().split()) | {line.kind.casefold()}
        rule = next((r for r in known if set(r.name.casefold().split()) <= words), None)
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
            made.append(replace(line, quantity=need + spares, more=spares))
            continue
        packs, cost = cost_of(price, need + spares)
        made.append(
            replace(
                line, quantity=packs * price.pack, more=packs * price.pack - need, pack=price.pack,
                price=cost, supplier=price.supplier, currency=price.currency,
            )
        )  # fmt: skip
    return made


@dataclass(frozen=True, slots=True)
class Measure:
    """What is not bought before it was looked at and measured."""

    item: Item
    quantity: int

    @property
    def said(self) -> str:
        """Say it: ``1.2 4 M6 x 25 hex bolt``."""
        return f"{self.item.ref}  {many(self.quantity, self.item.as_found.text)}"


def to_measure(items: Iterable[Item]) -> list[Measure]:
    """Give the pieces that nobody has judged yet and that the rebuild counts on: whether they are
    to be bought is not known. What is renewed as a rule, or wrong, is bought whatever it is like.
    """
    found = []
    for item in items:
        if not item.step.number or item.renew or item.wrong:
            continue
        seen = item.in_hand(Condition.NEW, Condition.SERVICEABLE)
        unseen = min(item.in_hand(Condition.AS_REMOVED, Condition.QUARANTINE), item.to_fit - seen)
        if unseen > 0:
            found.append(Measure(item, unseen))
    return found


def message(name: str, lines: Sequence[Shortage], oils: Sequence[OilLine] = ()) -> str:
    """Give the list as plain text for a message to a supplier: what and how many, no more."""
    said = [f"For {name}, please quote:", ""]
    said += [f"{line.quantity} off  {line.text}" for line in lines]
    said += [f"{'?' if oil.quantity is None else oil.quantity} off  {oil.text}" for oil in oils]
    return "\n".join(said)


def spare_pieces(text: str, spares: Iterable[Item]) -> int:
    """Give how many loose pieces may serve where this is specified."""
    return sum(
        spare.in_hand(*spare.spare_conditions)
        for spare in spares
        if serves(spare.as_found.text, text)
    )


def _natural(text: str) -> list[tuple[int, float, str]]:
    """Sort key that puts M4 before M10 and 1/4 before 5/16."""
    parts = re.findall(r"\d+/[1-9]\d*|\d+(?:\.\d+)?|\D+", text)
    return [
        (0, float(units.value(part)), "") if part[0].isdecimal() else (1, 0.0, part.casefold())
        for part in parts
    ]
