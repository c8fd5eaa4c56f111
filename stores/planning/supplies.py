"""Consumables on the shopping list: what the steps take, what is in stock for them, what to buy.

What is in stock is in lots: half a tube, a tin, two cans. A lot that is past its date, and brake
fluid in a tin that was opened on an earlier day, is named and never counted on. The others are
given out once, over all machines: what a person reserved to that machine or step, then what is on
order for the machine, then what is free to the machine that was begun first and on it to the step
that goes on first.

A step that is on took its own already. What was drawn for a step before it goes on is not asked for
again; neither is what a whole unit that was drawn left over for the next (`open_needs`).
"""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction
from functools import lru_cache
from math import ceil

from stores.errors import StoresError
from stores.model.items import Item, sized
from stores.model.ledger import Condition
from stores.model.money import Price, show_money
from stores.model.orders import OnOrder
from stores.model.stock import LowMark, Need, StockFacts, Use, name_alone, so_much
from stores.planning.sharing import Promise, Reserved
from stores.text import day_words, fold

__all__ = [
    "WENT_IN",
    "ConsumableLine",
    "Lot",
    "OpenNeed",
    "Shared",
    "Thing",
    "good_until",
    "lots_of",
    "open_needs",
    "priced_supplies",
    "share_supplies",
    "supply_lines",
    "thing_of",
    "usual_packs",
    "which_one",
]

WENT_IN = "went in"
"""What became of what a refit drew from stock, in the record."""

_FEW = 3
"""Rather so many small packs than one that is far too large."""

USED = ("used", WENT_IN)
"""What was used up on a step, unlike what was spilt or went off."""


@dataclass(frozen=True, slots=True)
class Thing:
    """A consumable: its kind in the handbook and what tells the variety, or its name where it is of
    none."""

    kind: str
    words: frozenset[str] = frozenset()
    name: str = ""

    def serves(self, wanted: "Thing") -> bool:
        """Return whether it serves where another is wanted: it is all of it, and may be more."""
        return (self.kind, self.name) == (wanted.kind, wanted.name) and wanted.words <= self.words


@lru_cache(maxsize=8192)
def thing_of(text: str, kind: str = "") -> Thing:
    """Return which consumable a name is of; ``kind`` is the key of its kind where that is known."""
    from stores.handbook.consumables import kind_by_key, kinds_said, variety

    found = (kind_by_key(kind),) if kind else kinds_said(text)
    if len(found) != 1:
        return Thing("", name=fold(text))
    return Thing(found[0].key, variety(found[0], text))


@dataclass(frozen=True, slots=True)
class Lot:
    """So much of a consumable that is in stock or on order.

    ``item`` is the loose item's number, 0 for what is on order for ``machine``. ``quantity`` is in
    ``unit``; where it is in cans or tubes that are counted, ``each`` holds so much. ``pack`` is
    what a full one holds, 0 for not known. ``bad`` says why it is not counted on: ``past its
    date`` or ``opened``; ``until`` is its last day.
    """

    item: int
    ref: str
    thing: Thing
    name: str
    unit: str
    quantity: int
    pack: int = 0
    each: int = 0
    opened: date | None = None
    until: date | None = None
    bad: str = ""
    machine: str = ""


def good_until(facts: StockFacts) -> date | None:
    """Return the last day that a pack is good: as printed, or by its kind and dates."""
    if not facts.kind:
        return facts.use_by
    from stores.handbook.consumables import kind_by_key, usable_until

    kind = kind_by_key(facts.kind)
    return usable_until(kind, made=facts.made, opened=facts.opened, label=facts.use_by).day


def _bad(facts: StockFacts, until: date | None, today: date) -> str:
    if facts.kind.startswith("brake-fluid") and facts.opened and facts.opened < today:
        return "opened"
    return "past its date" if until is not None and until < today else ""


def lots_of(
    items: Iterable[Item],
    facts: Mapping[int, StockFacts],
    today: date,
    coming: Iterable[tuple[str, OnOrder]] = (),
) -> list[Lot]:
    """Return the consumables in stock, and those on order with the machine they are for.

    What is counted in cans by its words (``1 l can SAE 140``) is in, with what the cans hold.
    """
    made = []
    for item in items:
        known = facts.get(item.number, StockFacts())
        if not item.unit and not known.kind and (item.as_found.thread or item.step.number):
            continue
        count = item.in_hand(*(tuple(Condition) if item.unit else item.spare_conditions))
        if count <= 0:
            continue
        text = name_alone(item.unit, item.text)
        until = good_until(known)
        lot = Lot(
            item.number, item.ref, thing_of(text, known.kind), text, item.unit, count, known.pack,
            opened=known.opened, until=until, bad=_bad(known, until, today),
        )  # fmt: skip
        if item.unit or known.kind:
            made.append(lot)
        elif (held := _in_cans(text, count)) is not None:
            made.append(replace(held, item=item.number, ref=item.ref, bad=lot.bad))
    for machine, one in coming:
        if one.unit:
            name = name_alone(one.unit, one.text)
            made.append(Lot(0, "", thing_of(name), name, one.unit, one.quantity, machine=machine))
        elif one.item is None and (held := _in_cans(one.text, one.quantity)) is not None:
            made.append(replace(held, machine=machine))
    return made


def _in_cans(text: str, count: int) -> Lot | None:
    """Return how much so many cans, tubes or bottles hold by their words; None for other things."""
    held = _can(text)
    if held is None:
        return None
    kind, unit, name, each = held
    return Lot(0, "", thing_of(name, kind), name, unit, count * each, each, each)


@lru_cache(maxsize=8192)
def _can(text: str) -> tuple[str, str, str, int] | None:
    from stores.handbook.consumables import read_amount

    if not sized(text):
        return None
    try:
        read = read_amount(text)
    except StoresError:
        return None
    kind = read.kind
    if not read.quantity or (kind.unit == "piece" if kind else read.unit != "ml"):
        return None
    return (kind.key if kind else ""), read.unit, read.text, read.quantity


@dataclass(frozen=True, slots=True)
class OpenNeed:
    """What a step that is not on yet still takes: ``quantity`` is exact, and None where it is not
    known. ``drawn`` was taken off already: used on it before, or left over of what was drawn."""

    need: Need
    quantity: Fraction | None
    drawn: Fraction = Fraction(0)

    @property
    def thing(self) -> Thing:
        """Which consumable it is."""
        return Thing(self.need.kind, self.need.words)

    def fits(self, lot: Lot) -> bool:
        """Return whether a lot serves."""
        return lot.thing.serves(self.thing)


def open_needs(
    needs: Iterable[Need], uses: Iterable[Use], things: Mapping[int, Thing]
) -> list[OpenNeed]:
    """Return what the steps of one machine that are not on yet still take.

    ``uses`` are those on this machine, ``things`` what each loose item is, by number. The record
    draws whole units: what a step that is on had beyond its need, less than a unit, is there for
    those to come.
    """
    used: dict[tuple[int, str], list[tuple[Thing, int]]] = {}
    for use in uses:
        thing = things.get(use.item)
        if use.step and thing is not None and use.what in USED:
            used.setdefault((use.step, thing.kind), []).append((thing, use.quantity))
    listed = list(needs)
    over: dict[Thing, Fraction] = {}
    had: dict[tuple[int, Thing], Fraction] = {}
    wanted: dict[tuple[int, Thing], Fraction] = {}
    for need in listed:
        key = (need.step, Thing(need.kind, need.words))
        if need.quantity is not None:
            wanted[key] = wanted.get(key, Fraction(0)) + need.quantity
        rows = [each for each in used.get((need.step, need.kind), ()) if each[0].serves(key[1])]
        if rows:
            had[key] = Fraction(sum(count for _, count in rows))
    on = {need.step for need in listed if need.on}
    for (step, thing), drawn in had.items():
        more = drawn - wanted.get((step, thing), Fraction(0))
        if step in on and -1 < more < 1:
            over[thing] = over.get(thing, Fraction(0)) + more
    still = []
    for need in listed:
        if need.on:
            continue
        if need.quantity is None:
            still.append(OpenNeed(need, None))
            continue
        thing = Thing(need.kind, need.words)
        mine = min(need.quantity, had.get((need.step, thing), Fraction(0)))
        if mine:
            had[need.step, thing] -= mine
        spare = min(need.quantity - mine, max(over.get(thing, Fraction(0)), Fraction(0)))
        if spare:
            over[thing] -= spare
        still.append(OpenNeed(need, need.quantity - mine - spare, mine + spare))
    return still


@dataclass(slots=True)
class Shared:
    """What is given to whom. ``given`` is by the place of a need among those that asked; ``free``
    is what nobody has of each lot, ``kept`` what is still reserved, by lot, machine and step.
    """

    lots: Sequence[Lot]
    given: list[dict[int, Fraction]]
    free: list[Fraction]
    kept: dict[tuple[int, str, int], Fraction]

    def of(self, place: int) -> list[tuple[Lot, Fraction]]:
        """Return what a need gets, and how much of it."""
        return [(self.lots[lot], some) for lot, some in self.given[place].items()]

    def there(self, thing: Thing) -> Fraction:
        """Return how much of a thing is given to none, reserved or not."""
        fits = {at for at, lot in enumerate(self.lots) if lot.thing.serves(thing)}
        return sum((self.free[at] for at in fits), Fraction(0)) + sum(
            (some for (at, _, _), some in self.kept.items() if at in fits), Fraction(0)
        )

    def kept_of(self, fits: Callable[[Lot], bool]) -> tuple[tuple[Promise, ...], list[Lot]]:
        """Return for whom what fits is kept, in whole units, and which lots that is of."""
        kept = [(key, some) for key, some in self.kept.items() if some and fits(self.lots[key[0]])]
        return (
            tuple(Promise(machine, step, "", ceil(some)) for (_, machine, step), some in kept),
            list(dict.fromkeys(self.lots[at] for (at, _, _), _ in kept)),
        )

    def take(
        self,
        machine: str,
        fits: Callable[[Lot], bool],
        most: Fraction,
        *,
        steps: Collection[int] | None = None,
        free: bool = True,
    ) -> dict[int, Fraction]:
        """Take what fits for a machine, at most so much: of what is kept for these ``steps`` of it
        (0: for the machine as a whole; None: for any); and where ``free``, then of what is on order
        for it, and of what nobody has. Return how much of which lot, by place."""
        taken: dict[int, Fraction] = {}

        def some(at: int, there: Fraction) -> Fraction:
            count = max(Fraction(0), min(there, most - sum(taken.values(), Fraction(0))))
            if count:
                taken[at] = taken.get(at, Fraction(0)) + count
            return count

        order = sorted(
            (at for at, lot in enumerate(self.lots) if fits(lot)),
            key=lambda at: _first(self.lots[at]),
        )
        for key in [key for key in self.kept if key[0] in order and key[1] == machine]:
            if steps is None or key[2] in steps:
                self.kept[key] -= some(key[0], self.kept[key])
        if free:
            for own in (True, False):
                for at in order:
                    whose = self.lots[at].machine
                    if (whose == machine) if own else not whose:
                        self.free[at] -= some(at, self.free[at])
        return taken


def share_supplies(
    lots: Sequence[Lot], needs: Sequence[OpenNeed], reserved: Iterable[Reserved] = ()
) -> Shared:
    """Return what each need gets of what is in stock or on order.

    ``needs`` are in order: those of the machine that was begun first, and on it the step that goes
    on first, come first.
    """
    free = [Fraction(0) if lot.bad else Fraction(lot.quantity) for lot in lots]
    kept: dict[tuple[int, str, int], Fraction] = {}
    at = {lot.item: place for place, lot in enumerate(lots) if lot.item}
    for one in reserved:
        if (place := at.get(one.spare)) is None:
            continue
        count = min(Fraction(one.quantity * max(1, lots[place].each)), free[place])
        if count:
            free[place] -= count
            key = (place, one.machine, one.step)
            kept[key] = kept.get(key, Fraction(0)) + count
    shared = Shared(lots, [{} for _ in needs], free, kept)
    for kept_for in ("step", "machine", ""):
        for whom, each in enumerate(needs):
            mine = shared.given[whom]
            most = (each.quantity or Fraction(0)) - sum(mine.values(), Fraction(0))
            if most > 0:
                steps = {"step": (each.need.step,), "machine": (0,)}.get(kept_for, ())
                taken = shared.take(
                    each.need.machine, each.fits, most, steps=steps, free=not kept_for
                )
                for place, some in taken.items():
                    mine[place] = mine.get(place, Fraction(0)) + some
    return shared


def _first(lot: Lot) -> tuple[bool, bool, int]:
    """Return in which order lots are drawn: opened ones first, then by number; to come last."""
    return not lot.item, lot.opened is None, lot.item


@dataclass(frozen=True, slots=True)
class ConsumableLine:
    """One line of the shopping list: so many packs of oil or of another consumable, and why.

    ``quantity`` is None where too little is known to buy anything. ``wanted_for`` names sumps,
    items and steps. ``sort`` is ``oil`` or ``consumable``; ``pack`` is what one pack holds of that
    ``kind`` and variety. ``price`` is of the line, in hundredths, None where it is not known.
    """

    quantity: int | None
    text: str
    why: str
    wanted_for: str
    sort: str = "oil"
    kind: str = ""
    words: tuple[str, ...] = ()
    pack: int = 0
    price: int | None = None
    supplier: str = ""
    currency: str = ""

    @property
    def asked(self) -> str:
        """What it costs and of whom; empty where that is not known."""
        if self.price is None:
            return ""
        return ", ".join(filter(None, (show_money(self.price, self.currency), self.supplier)))


def usual_packs(kind: str) -> tuple[int, ...]:
    """Return the usual packs of a kind, in its unit, the smallest first; of sheets none."""
    from stores.handbook.consumables import kind_by_key, read_amount

    of = kind_by_key(kind)
    if of.unit in ("piece", "cm2"):
        return ()
    found = set()
    for text in of.packs:
        try:
            read = read_amount(text, kind=of)
        except StoresError:
            continue
        if not read.estimated:
            found.add(read.quantity)
    return tuple(sorted(found))


@dataclass(slots=True)
class _Sum:
    """What is added up of one thing over the steps that want it."""

    name: str
    unit: str
    needed: Fraction = Fraction(0)
    stock: Fraction = Fraction(0)
    coming: Fraction = Fraction(0)
    least: int = 0
    to_hold: Fraction = Fraction(0)
    refs: dict[str, Fraction] = field(default_factory=dict)

    @property
    def short(self) -> Fraction:
        """How much to buy, in whole packs or not."""
        return self.needed - self.stock - self.coming + self.to_hold


def supply_lines(
    shared: Shared,
    needs: Sequence[OpenNeed],
    listed: Iterable[str],
    marks: Iterable[LowMark] = (),
) -> list[ConsumableLine]:
    """Return what to buy for the machines that are ``listed``, by name: what their steps take less
    what they are given, and what is below the least to be held, in whole packs.

    ``needs`` are those that were shared out, of other machines too.
    """
    names = list(listed)
    sums: dict[Thing, _Sum] = {}
    open_ones: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for place, each in enumerate(needs):
        need = each.need
        if need.machine not in names:
            continue
        ref = f"{need.machine} {need.ref}" if len(names) > 1 else need.ref
        if each.quantity is None:
            open_ones.setdefault((need.name or need.said, need.choices), []).append(ref)
            continue
        total = sums.setdefault(each.thing, _Sum(need.name, need.unit))
        total.needed += each.quantity
        if each.quantity:
            total.refs[ref] = total.refs.get(ref, Fraction(0)) + each.quantity
        for lot, some in shared.of(place):
            if lot.item:
                total.stock += some
            else:
                total.coming += some
    for mark in marks:
        thing = thing_of(name_alone(mark.unit, mark.text))
        there = shared.there(thing)
        if there < mark.least:
            total = sums.setdefault(thing, _Sum(_full(thing, mark), mark.unit))
            total.least = max(total.least, mark.least)
            total.to_hold = max(total.to_hold, mark.least - there)
    lines = [_line(thing, total, shared.lots) for thing, total in sums.items() if total.short > 0]
    lines.sort(key=lambda line: line.text.casefold())
    for (name, choices), refs in open_ones.items():
        which = which_one(choices) if choices else "how much is not known"
        lines.append(ConsumableLine(None, name, which, ", ".join(refs), "consumable"))
    return lines


def which_one(kinds: Sequence[str]) -> str:
    """Ask which of several kinds is meant; their names have commas in them."""
    some = [*kinds[:4], *(["another"] if len(kinds) > 4 else [])]
    return f"which one? {'; '.join(some)}"


def _full(thing: Thing, mark: LowMark) -> str:
    if not thing.kind:
        return name_alone(mark.unit, mark.text)
    from stores.handbook.consumables import full_name, kind_by_key

    return full_name(kind_by_key(thing.kind), thing.words)


def _line(thing: Thing, total: _Sum, lots: Sequence[Lot]) -> ConsumableLine:
    """Return the line of a thing, in packs as the workshop has had them, else in usual ones."""
    from stores.handbook.consumables import whole_packs

    of_it = [lot for lot in lots if lot.thing.serves(thing)]
    known = [lot for lot in of_it if lot.pack and lot.item]
    if known:
        pack = max(known, key=lambda lot: lot.item).pack
    else:
        pack = _best_pack(total.short, usual_packs(thing.kind) if thing.kind else ())
    if not pack:
        pack = 1 if not total.unit else ceil(total.short)
    packs = int(whole_packs(float(total.short), pack, unit=total.unit).value)
    over = packs * pack - total.short
    why = _why(total, over, [lot for lot in of_it if lot.bad])
    sized_text = f"{total.name}, {so_much(pack, total.unit)}" if total.unit else total.name
    refs = [*total.refs, *(["stock"] if total.to_hold else [])]
    return ConsumableLine(
        packs, sized_text, why, ", ".join(refs), "consumable", thing.kind,
        tuple(sorted(thing.words)), pack,
    )  # fmt: skip


def _best_pack(short: Fraction, usual: Sequence[int]) -> int:
    """Return the usual pack to buy: of those of which a few are enough, the least bought in all;
    else the largest. 0 where none is usual."""
    few = [size for size in usual if size * _FEW >= short]
    return min(
        few, key=lambda size: (ceil(short / size) * size, -size), default=max(usual, default=0)
    )


def _why(total: _Sum, over: Fraction, bad: Iterable[Lot]) -> str:
    said = []
    if total.needed:
        said.append(f"{so_much(total.needed, total.unit)} needed")
    if total.stock:
        said.append(f"less {so_much(total.stock, total.unit)} in stock")
    if total.coming:
        said.append(f"less {so_much(total.coming, total.unit)} on order")
    if total.to_hold:
        said.append(
            f"{so_much(total.to_hold, total.unit)} short of the "
            f"{so_much(total.least, total.unit)} to be held"
        )
    if over:
        said.append(f"{so_much(over, total.unit)} over")
    said += [f"not counted: {_not_counted(lot)}" for lot in bad]
    return ", ".join(said)


def _not_counted(lot: Lot) -> str:
    since = f" since {day_words(lot.until)}" if lot.bad != "opened" and lot.until else ""
    return f"{so_much(lot.quantity, lot.unit)} of {lot.ref}, {lot.bad}{since}"


def priced_supplies(
    lines: Iterable[ConsumableLine], prices: Iterable[Price]
) -> list[ConsumableLine]:
    """Return the lines with their prices: one is of a pack as the list has it, ``SAE 30, 1 l``, by
    these words or by any other name of the same thing and size."""
    offers = list(prices)
    made = []
    for line in lines:
        wanted = _words(line.text)
        fits = [price for price in offers if _words(price.text) == wanted or _same(line, price)]
        best = min(fits, key=lambda price: (price.price / price.pack, price.supplier), default=None)
        if best is None or line.quantity is None:
            made.append(line)
            continue
        cost = -(-line.quantity // best.pack) * best.price
        made.append(replace(line, price=cost, supplier=best.supplier, currency=best.currency))
    return made


def _same(line: ConsumableLine, price: Price) -> bool:
    if not line.kind:
        return False
    held = _can(price.text)
    if held is None:
        return False
    kind, _, name, each = held
    return (kind, each) == (line.kind, line.pack) and thing_of(name, kind) == Thing(
        line.kind, frozenset(line.words)
    )


def _words(text: str) -> tuple[str, ...]:
    return tuple(text.casefold().replace(",", " ").split())
