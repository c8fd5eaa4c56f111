"""What is bought, priced or entered, as a person types it: one reader for all three.

A line is a fastener or part as at the bench (``20 M6x25 hex 8.8``), a consumable with its unit
(``2 x 50 ml medium threadlocker``), or an assortment of sizes (``assortment: 20 M4 nut, 10 M6
nut``) that is bought as one pack and lies in stock as its sizes.
"""

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from stores import bagcode
from stores.errors import BadValue, NotationError, Refused
from stores.handbook.benchline import BenchLine, lines_in, read_line
from stores.handbook.consumables import Amount, kinds_said, read_amount
from stores.handbook.fastener import Kind, parse, renew_always
from stores.model.items import sized
from stores.model.ledger import MAX_QUANTITY, Condition
from stores.model.stock import assorted, counted_in, so_much
from stores.storage import Writer
from stores.storage.stock import StockFactRow, loose_like, read_facts
from stores.storage.tables import KeptSpareRow
from stores.storage.writer import Made
from stores.text import many
from stores.usecases.common import count_of, refuse_beside

__all__ = [
    "SupplyLine",
    "described",
    "in_stock_already",
    "is_fastener",
    "is_measured",
    "read_supplies",
    "read_supply",
    "within",
    "write_facts",
    "write_supply",
]

_CANS = re.compile(
    r"(?i)\s*(\d{1,4}\s*[x×]\s*)?\d+(?:[.,]\d+)?\s*(?:ml|cl|l|ltrs?|lit(?:re|er)s?)\b"
)
"""A line that begins with so many cans, by their volume."""
_FLUID = re.compile(r"(?i)\b(?:cans?|bottles?|tins?|drums?|oil|fluid|SAE|ISO|VG|EP|ATF|\d+W)\b")
_ASSORTMENT = re.compile(
    r"(?i)\s*(?:(\d{1,4})\s*(?:[x×]|off)?\s*|an?\s+)?assortments?\s*(?:of|:)\s*(.+)$"
)
_COUNTED = re.compile(r"(?i)\s*(\d{1,4})\s*(?:[x×]|off)?\s+(.+)$")
_PARTS = frozenset({"small parts", "hose", "cable", "wire"})
"""Families of kinds that come by the piece and go on joints: these are bought as parts are."""


@dataclass(frozen=True, slots=True)
class SupplyLine:
    """One thing to enter, buy, order or price: ``quantity`` in ``unit``, empty for pieces.

    ``text`` is its description. ``pack`` is what a pack holds, 0 where that was not said;
    ``amount`` is set for a consumable, ``bench`` for anything else, ``sizes`` for an assortment:
    how many of what each pack of it holds.
    """

    quantity: int
    unit: str
    text: str
    written: str
    pack: int = 0
    amount: Amount | None = None
    bench: BenchLine | None = None
    sizes: tuple[tuple[int, str], ...] = ()
    questions: tuple[str, ...] = ()

    @property
    def for_stock(self) -> bool:
        """Whether it is the workshop's whoever buys it: consumables and assortments."""
        return self.bench is None

    @property
    def family(self) -> str:
        """What a consumable or assortment is filed under."""
        if self.sizes:
            return "assortment"
        return self.amount.kind.family if self.amount and self.amount.kind else "consumable"

    @property
    def bought_pack(self) -> int:
        """What one pack of it holds where it is bought: what is said to weigh or hold so much and
        no more is one pack. 0 for what is bought by the piece or off the reel."""
        return self.pack or (self.quantity if self.unit in ("ml", "g") else 0)

    @property
    def facts(self) -> dict[str, str]:
        """What is known of it by the line alone, by the names that stock keeps it under."""
        facts = {}
        if self.amount and self.amount.kind:
            facts["kind"] = self.amount.kind.key
        if self.pack and not self.sizes:
            facts["pack"] = str(self.pack)
        return facts

    @property
    def each(self) -> tuple["SupplyLine", ...]:
        """The lines it lies in stock as: the sizes of an assortment, or itself."""
        packs = self.quantity // self.pack if self.sizes else 0
        counts = [(count * packs, text) for count, text in self.sizes]
        return tuple(
            SupplyLine(count, "", text, many(count, text), bench=read_line(many(count, text)))
            for count, text in counts
        ) or (self,)

    def packs(self, count: int | None) -> "SupplyLine":
        """Return it as it is bought: in packs, as many as were said beside the line.

        Raises:
            Refused: the line has several already.
        """
        if count is None:
            return replace(self, pack=self.bought_pack)
        one = self.bought_pack or 1
        if self.quantity != one and self.quantity != one * count:
            raise Refused("two counts", line=self.quantity // one, beside=count)
        return replace(self, quantity=within(one * count, self.unit, self.written), pack=one)


def read_supply(
    typed: str, usecase: str = "enter", joints: Collection[str] | None = None
) -> SupplyLine:
    """Read one line: a fastener as at the bench, a consumable by the handbook's names.

    ``joints`` are the specifications that joints are short of, where a line may be for one: what
    one of them is called goes there, and small parts by the piece are parts.

    Raises:
        NotationError, BadValue: it cannot be read, or something has to be asked.
        Refused: what only a strip-down's line may say; nothing of it; a count in question.
    """
    if found := _ASSORTMENT.match(typed):
        return _assortment(typed, count_of(found[1]) or 1, found[2])
    if joints is None or not _is_part(typed, joints):
        named = kinds_said(typed) and not is_fastener(typed)
        cans = _CANS.match(typed)
        if named or (cans and (cans[1] or _FLUID.search(typed))):
            return _consumable(typed)
    line = read_line(typed)
    refuse_beside(line, usecase)
    if line.count_questions and usecase != "price":  # the bench may guess, a till may not
        raise Refused("count in question", question=line.count_questions[0], text=line.thing.spec)
    if bagcode.looks_like_code(typed):
        raise Refused("neither a line nor an item")
    return SupplyLine(line.found, "", line.thing.spec, typed, bench=line, questions=line.questions)


def read_supplies(typed: str) -> list[SupplyLine]:
    """Read one line as it is entered into stock: two things with a count each are two.

    Raises:
        NotationError, BadValue, Refused: as of one.
    """
    if _ASSORTMENT.match(typed):
        return [read_supply(typed)]
    return [read_supply(each) for each in lines_in(typed)]


def _is_part(typed: str, joints: Collection[str]) -> bool:
    """Tell whether a line is a part: what a joint is short of, or a small part by the piece."""
    kinds = kinds_said(typed)
    if kinds and all(kind.unit == "piece" and kind.family in _PARTS for kind in kinds):
        return True
    try:
        return read_line(typed).thing.spec in joints
    except (NotationError, BadValue):
        return False


def _consumable(typed: str) -> SupplyLine:
    amount = read_amount(typed)
    if not amount.quantity:
        raise Refused("none is nothing to record")
    unit = "" if amount.unit == "piece" else amount.unit
    name = amount.text or (amount.kind.name if amount.kind else typed)
    quantity = within(amount.quantity, unit, typed)
    pack = amount.pack or _one_of_several(typed, quantity)
    return SupplyLine(quantity, unit, counted_in(unit, name), typed, pack, amount)


def _one_of_several(typed: str, quantity: int) -> int:
    """Return what one holds where the count stands before the name and the size behind it, as on
    a shopping list: ``2 off SAE 140, 1 l``; 0 for anything else."""
    found = _COUNTED.match(typed)
    if found is None:
        return 0
    try:
        one = read_amount(found[2]).quantity
    except (NotationError, BadValue):
        return 0
    return one if one * int(found[1]) == quantity else 0


def _assortment(typed: str, packs: int, listed: str) -> SupplyLine:
    """Read an assortment: so many packs, and what each holds."""
    sizes: dict[str, int] = {}
    for part in filter(str.strip, re.split(r";" if ";" in listed else r",", listed)):
        line = read_line(part)
        refuse_beside(line, "enter")
        if not line.counted or not line.found:
            raise BadValue("an assortment needs counts", typed=part.strip()[:60])
        sizes[line.thing.spec] = sizes.get(line.thing.spec, 0) + line.found
    if len(sizes) < 2:
        raise BadValue("an assortment needs counts", typed=listed.strip()[:60])
    of = tuple((count, text) for text, count in sizes.items())
    pack = sum(sizes.values())
    quantity = within(pack * packs, "", typed)
    return SupplyLine(quantity, "", assorted(of), typed, pack, sizes=of)


def is_fastener(typed: str) -> bool:
    """Tell whether a line has a thread, or a size with a noun of the trade: an M6 plain washer."""
    try:
        thing = read_line(typed).thing
    except (NotationError, BadValue):
        return False
    return thing.thread is not None or (thing.kind is not Kind.PART and sized(thing.spec))


def is_measured(typed: str) -> bool:
    """Tell a consumable that is poured or weighed: what it holds is no count."""
    kinds = () if is_fastener(typed) else kinds_said(typed)
    return bool(kinds) and all(kind.unit in ("ml", "g") for kind in kinds)


def within(quantity: int, unit: str, typed: str) -> int:
    """Return a quantity, or refuse what no ledger holds.

    Raises:
        BadValue: more than a million of its unit.
    """
    if quantity > MAX_QUANTITY:
        raise BadValue("too much in one line", typed=typed[:60], most=so_much(MAX_QUANTITY, unit))
    return quantity


def described(writer: Writer, line: SupplyLine) -> int:
    """Return the number of a line's description, written down if it is new."""
    if line.bench is not None:
        return writer.description(line.bench.thing)
    return writer.described_as(line.text, line.family)


def write_supply(writer: Writer, act: int, machine: int, line: SupplyLine) -> tuple[int, int]:
    """Write down a thing of the workshop's stock; return its row and its number after ``0.``"""
    description, words, renew = described(writer, line), line.text, ""
    if line.amount is None:
        renew = renew_always(parse(line.text)) or ""
    else:
        kind = line.amount.kind
        words = f"{line.text} {line.family} {kind.name if kind else ''}"
    item, number = writer.item(
        act, machine, None, description, 0, written=line.written, position="",
        words=f"{words} {line.written}", unit=line.unit, stock=True,
    )  # fmt: skip
    writer.specify(act, item, description, 0, renew)
    writer.append(KeptSpareRow(act_id=act, item_id=item, stock=1))
    return item, number


def write_facts(writer: Writer, act: int, item: int, facts: Mapping[str, str]) -> None:
    """Write down what is known of a thing in stock, by name."""
    for name, value in facts.items():
        writer.append(StockFactRow(act_id=act, item_id=item, name=name, value=value))


def in_stock_already(
    writer: Writer, line: SupplyLine, machine: str
) -> tuple[str, int, Made] | None:
    """Return the thing in stock that new packs go to: its name, its row, and where it lies.

    The same thing in packs of the same size, none of them opened, with no date and no batch of its
    own, all of it new; pieces also entered for the same machine. None where there is none.
    """
    items = [
        item
        for item in loose_like(writer.connection, line.text)
        if item.stock and item.unit == line.unit and item.as_found.text == line.text
        and (item.unit or item.entered_for == machine)
    ]  # fmt: skip
    known = read_facts(writer.connection, {item.number for item in items})
    for item in items:
        here = [held for held in item.holdings if held.kind.in_hand and held.quantity > 0]
        facts = known.get(item.number)
        own = (facts.kind, facts.pack) if facts else ("", 0)
        dated = facts and (facts.made or facts.opened or facts.use_by or facts.batch)
        begun = own[1] and item.in_hand(Condition.NEW) % own[1]
        if (
            here
            and not dated
            and not begun
            and own == (line.facts.get("kind", ""), int(line.facts.get("pack", "0")))
            and all(held.condition is Condition.NEW and not held.mixed for held in here)
        ):
            return item.ref, item.number, writer.place(here[0].kind, here[0].place)
    return None
