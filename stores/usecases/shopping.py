"""What is to be bought, what it costs, how many spares of it, and what all of it comes to.

`usecases.shopping.draw_up` makes the one list that screen, PDF, CSV, XLSX, message, order and
budget show; the value is `planning.shopping.ShoppingList`.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from sqlalchemy import Connection

from stores.errors import BadValue, Hint, NotFound, Refused
from stores.handbook.consumables import amount_apart
from stores.handbook.fluids.oils import ShoppingOil
from stores.model.items import Item, lies_in, sized
from stores.model.ledger import ActKind, PlaceKind
from stores.model.money import Price, read_currency, read_money, same_firm, show_money
from stores.model.orders import Budget, OnOrder, budget_of
from stores.model.stock import UNITS, LowMark, counted_in, name_alone, so_much
from stores.planning.costs import value_draws
from stores.planning.oils import (
    SIZES_ML,
    oil_given,
    oil_lines,
    oil_to_buy,
    read_sizes,
    sump_for,
)
from stores.planning.shopping import (
    ShoppingList,
    Shortage,
    lost_so_far,
    low_lines,
    packed,
    shortages,
    to_measure,
)
from stores.planning.status import Status
from stores.planning.supplies import (
    ConsumableLine,
    priced_supplies,
    share_supplies,
    supply_lines,
)
from stores.storage.assembling import fitted_machines
from stores.storage.costs import read_draws, read_lots, read_payments
from stores.storage.figures import read_sumps
from stores.storage.items import read_items, read_loose
from stores.storage.machines import Machine, machine_named, read_machines
from stores.storage.orders import read_on_order, read_orders
from stores.storage.settings import SettingRow, read_settings
from stores.storage.shopping import PriceRow, SpareRuleRow, read_prices, spare_rules
from stores.storage.stock import low_marks, read_reserved
from stores.text import clean, fold
from stores.usecases.common import count_of, firm_named
from stores.usecases.context import Ask, Context, Reply
from stores.usecases.rebuild import statuses_on
from stores.usecases.supplies import described, is_measured, read_supply
from stores.usecases.taking import Supplies

__all__ = [
    "Costs",
    "CurrencySet",
    "PriceSet",
    "Prices",
    "SetCurrency",
    "SetPrice",
    "SetSpares",
    "SpareRuleInForce",
    "SpareRules",
    "SparesSet",
    "WhatToBuy",
    "all_costs",
    "budget",
    "draw_up",
    "prices",
    "prices_in",
    "set_currency",
    "set_price",
    "set_spares",
    "shopping",
    "spares",
]


@dataclass(frozen=True, slots=True)
class WhatToBuy:
    """The shopping list, or a part of it.

    Of one ``assembly`` and those below it, without oil; or of one ``supplier``: what they have a
    price for, and nothing to be measured first. ``cans`` are the sizes oil is sold in, as typed:
    ``500ml, 1l``. ``everywhere``: of all machines that are being restored, added up.
    """

    assembly: str = ""
    supplier: str = ""
    cans: str = ""
    everywhere: bool = False


@dataclass(frozen=True, slots=True)
class SetPrice(Ask):
    """What a supplier asks for a pack of something.

    ``what`` is a bench line without a count, or a consumable by its pack, ``400 g lithium grease``;
    ``price`` a sum, as 6.40, or "none" where it is not known; ``pack`` how many are in a pack, or
    how much of a consumable, None for one; no ``supplier``: anybody.
    """

    what: str
    price: str
    pack: str | None = None
    supplier: str = ""
    new_firm: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceSet(Reply):
    """A price on record, in hundredths; None: it is not known any more. ``pack`` is in ``unit``,
    empty for pieces."""

    what: str
    supplier: str
    pack: int
    price: int | None
    currency: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class SetCurrency(Ask):
    """In which currency sums are from now on: three letters."""

    currency: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrencySet(Reply):
    """The currency of sums from now on; what is on record keeps its own."""

    currency: str


@dataclass(frozen=True, slots=True)
class Prices:
    """All prices that stand."""

    prices: tuple[Price, ...]


@dataclass(frozen=True, slots=True)
class Costs:
    """What each machine has cost and will, and last the workshop; in hundredths of one currency."""

    currency: str
    costs: tuple[Budget, ...]


@dataclass(frozen=True, slots=True)
class SetSpares(Ask):
    """How many spares to buy of a kind: per cent of the need, rounded up, and at least so many.

    ``kind`` are words that a line of the list has: screw, nut, split pin. ``per_cent`` is 0 to 1000
    and ``least`` 0 to 10000; both 0: none are bought any more. ``most_price`` is a sum as typed:
    only where one piece costs no more. ``as_lost``: as many per cent as the record lost so far.
    """

    kind: str
    per_cent: int | None = None
    least: int = 0
    most_price: str | None = None
    as_lost: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SparesSet(Reply):
    """A rule for spares; ``most_price`` in hundredths."""

    kind: str
    per_cent: int
    least: int
    most_price: int | None


@dataclass(frozen=True, slots=True)
class SpareRuleInForce:
    """A rule for spares, beside how many of the kind were lost so far, of how many."""

    name: str
    per_cent: int
    least: int
    most_price: int | None
    lost: int
    of: int


@dataclass(frozen=True, slots=True)
class SpareRules:
    """All rules for spares that stand."""

    rules: tuple[SpareRuleInForce, ...]


def shopping(context: Context, ask: WhatToBuy) -> ShoppingList:
    """Return what to buy: the one list that every sheet, table, message, order and cost shows.

    Raises:
        NotFound: nothing came off such an assembly.
        NotationError, BadValue: no sizes of cans.
    """
    with context.reading() as connection:
        if ask.everywhere:
            if ask.assembly.strip():
                raise Refused("an assembly is of one machine")
            return draw_up(connection, read_machines(connection), ask)
        return draw_up(connection, [machine_named(connection, context.machine)], ask)


def draw_up(
    connection: Connection, machines: Sequence[Machine], ask: WhatToBuy, *, asked_of: str = ""
) -> ShoppingList:
    """Return the shopping list of a machine, or of several; with ``asked_of`` at the prices of this
    firm alone, and of nobody in particular."""
    sizes = read_sizes(ask.cans) if ask.cans else SIZES_ML
    part = ask.assembly.strip()

    def within(item: Item) -> bool:
        return not part or (bool(item.step.number) and lies_in(item.step.assembly, part))

    statuses = statuses_on(connection, [on.number for on in machines])
    joints = [piece.item for status in statuses.values() for piece in status.joints]
    # the stock is the same for all of them
    first = next(iter(statuses.values()), None)
    loose = {piece.item.number: piece.item for piece in first.loose} if first else {}
    marks = [] if part else low_marks(connection)
    if part and not any(map(within, joints)):
        raise NotFound("nothing came off there", assembly=ask.assembly)
    known = prices_in(connection, read_settings(connection).get("currency", ""))
    if asked_of:
        known = [
            price for price in known if not price.supplier or same_firm(price.supplier, asked_of)
        ]
    coming = [(on.name, one) for on in machines for one in read_on_order(connection, on.number)]
    lines = shortages(list(statuses.values()), within)
    if pieces := [mark for mark in marks if not mark.unit and not _is_consumable(mark.text)]:
        stock = read_loose(connection, verdicts=False)
        left = {item.number: item.sure(*item.spare_conditions) for item in stock if not item.unit}
        left |= first.shares.left if first else {}
        lines = low_lines(lines, pieces, stock, left, _beyond(coming, lines))
    lines = packed(lines, known, spare_rules(connection))
    fluid, supplies = _supplies(
        connection, machines, statuses, loose, coming, sizes,
        [mark for mark in marks if mark.unit or _is_consumable(mark.text)], part,
    )  # fmt: skip
    supplies = priced_supplies(supplies, _by_the_pack(known))
    unseen = to_measure(list(filter(within, joints)))
    if ask.supplier:
        begins = ask.supplier.casefold()
        lines = [line for line in lines if line.supplier.casefold().startswith(begins)]
        supplies = [line for line in supplies if line.supplier.casefold().startswith(begins)]
        unseen = []
    return ShoppingList(
        " and ".join(on.name for on in machines),
        tuple(lines),
        tuple(unseen),
        tuple(supplies),
        fluid.assumptions if supplies else (),
        fluid.cautions if fluid.purchases or fluid.unknown else (),
    )


def _is_consumable(text: str) -> bool:
    """Tell whether what is counted in pieces is one of the handbook's consumables, and no fastener:
    nitrile gloves, cable ties."""
    from stores.handbook.consumables import kinds_said

    return not sized(text) and len(kinds_said(text)) == 1


def _beyond(coming: Iterable[tuple[str, OnOrder]], lines: Iterable[Shortage]) -> dict[str, int]:
    """Return how many of each specification are on order beyond what the joints wait for."""
    beyond: dict[str, int] = {}
    for _, one in coming:
        if one.item is None:
            beyond[one.text] = beyond.get(one.text, 0) + one.quantity
    for line in lines:
        if line.spec in beyond:
            beyond[line.spec] -= line.on_order
    return beyond


def _supplies(
    connection: Connection,
    machines: Sequence[Machine],
    statuses: Mapping[int, Status],
    loose: Mapping[int, Item],
    coming: Iterable[tuple[str, OnOrder]],
    sizes: Sequence[int],
    marks: Sequence[LowMark],
    part: str,
) -> tuple[ShoppingOil, list[ConsumableLine]]:
    """Return what to buy of oil and other consumables for these machines.

    Machines that were begun before take theirs first, whether or not they are asked about.
    """
    asked = {on.number for on in machines}
    supplies = Supplies.read(connection, loose.values(), coming)
    before: dict[int, Status] = {}
    if supplies.lots:
        earlier = [
            on.number
            for on in read_machines(connection)
            if on.number not in asked and not on.for_parts and on.number < max(asked, default=0)
        ]
        taking = fitted_machines(connection) | {
            number for number in earlier if read_sumps(connection, number)
        }
        if rest := [number for number in earlier if number in taking]:
            before = {
                number: status
                for number, status in statuses_on(connection, rest).items()
                if any(not step.on for step in status.steps.values())
            }
    every = dict(sorted({**before, **statuses}.items()))
    names = {on.number: on.name for on in read_machines(connection)}
    needs = [
        need
        for number, status in every.items()
        for need in supplies.open_needs(status, names[number])
        if not part
        or number not in asked
        or lies_in(status.steps[need.need.step].step.assembly, part)
    ]
    kept_for_parts = {on.number for on in machines if on.for_parts}
    sumps = [
        sump
        for number in every
        if number not in kept_for_parts and not (part and number in asked)
        for sump in read_sumps(connection, number)
    ]
    of_steps = [(need, sump_for(need)) for need in needs]
    sumps += [sump for _, sump in of_steps if sump is not None]
    first = [names[number] for number in every]
    sumps.sort(key=lambda sump: first.index(sump.machine))
    others = [need for need, sump in of_steps if sump is None]
    shared = share_supplies(supplies.lots, others, read_reserved(connection))
    poured = {
        names[number]: supplies.poured(status, names[number]) for number, status in every.items()
    }
    given = oil_given(sumps, shared, poured)
    listed = [names[number] for number in sorted(asked)]
    mine = [sump for sump in sumps if sump.machine in listed]
    at_hand = [oil for name in listed for oil in given.get(name, ())]
    fluid = oil_to_buy(mine, sizes, at_hand=at_hand)
    lines = oil_lines(fluid, mine, at_hand)
    return fluid, [*lines, *supply_lines(shared, others, listed, marks)]


def _by_the_pack(prices: Iterable[Price]) -> list[Price]:
    """Return prices as the list names consumables: ``SAE 140, 1 l`` for 1000 ml of SAE 140."""
    made = []
    for price in prices:
        unit = next((u for u in UNITS if u and price.text.startswith(counted_in(u, ""))), "")
        text = f"{name_alone(unit, price.text)}, {so_much(price.pack, unit)}"
        made.append(replace(price, text=text, pack=1) if unit else price)
    return made


def prices_in(connection: Connection, currency: str) -> list[Price]:
    """Return the prices on record that are in this currency."""
    return [price for price in read_prices(connection) if price.currency == currency]


def budget(context: Context) -> Budget:
    """Return what a machine has cost so far, what is on order, and what is to buy at known prices;
    beside it the workshop's own costs.

    All sums are in hundredths of the currency of now.
    """
    with context.reading() as connection:
        on = machine_named(connection, context.machine)
        return replace(_costs_of(connection, [on])[0], workshop=_costs_of(connection, [None])[0])


def all_costs(context: Context) -> Costs:
    """Return what each machine and the workshop has cost; what was paid is in one of them, once."""
    with context.reading() as connection:
        machines = read_machines(connection)
        currency = read_settings(connection).get("currency", "")
        return Costs(currency, tuple(_costs_of(connection, [*machines, None])))


def _costs_of(connection: Connection, whose: Sequence[Machine | None]) -> list[Budget]:
    """Return the costs of these machines, None for the workshop."""
    currency = read_settings(connection).get("currency", "")
    orders = read_orders(connection)
    payments = read_payments(connection)
    draws = read_draws(connection)
    drawn = value_draws(read_lots(connection, {draw.item for draw in draws}), draws, currency)
    made = []
    for on in whose:
        name = on.name if on else ""
        to_come: list[tuple[str, int | None]] = []
        if on is not None:
            listed = draw_up(connection, [on], WhatToBuy())
            to_come = [(line.what, line.price_hundredths) for line in listed.lines]
            to_come += [(line.text, line.price) for line in listed.supplies]
        mine = [each for each in payments if each.machine == name]
        known = {each.act: each.price for each in mine if each.currency == currency}
        made.append(
            budget_of(
                name,
                [
                    each.part(stock=on is None)
                    for each in orders
                    if on is None or each.machine_number == on.number
                ],
                to_come,
                currency,
                [each.words for each in mine if known.get(each.act) is None],
                paid=sum(price for price in known.values() if price is not None),
                drawn=drawn.worth.get(name, 0) if on else -sum(drawn.worth.values()),
                drawn_unpriced=drawn.unpriced.get(name, ()),
            )
        )
    return made


def set_price(context: Context, ask: SetPrice) -> PriceSet:
    """Record what a supplier asks for a pack of something.

    Raises:
        BadValue: not a sum of money, not a count.
        Refused: a count in the line.
    """
    if not ask.price.strip():
        raise BadValue("what does it cost", hint=Hint("set_price", what=ask.what.strip()[:40]))
    supplier = clean(ask.supplier, "the supplier", most=80, empty=True)
    count, what = ask.pack, ask.what
    if count is not None and is_measured(what) and not amount_apart(what)[1]:
        count, what = None, f"{count} {what}"  # "flange sealant" by the 50 ml
    line = read_supply(what, "price", ())
    pack = count_of(count) or 1
    if line.bench is None:
        if count is not None:
            raise Refused("the pack is in the line", size=line.quantity, unit=line.unit)
        pack = line.pack or line.quantity
        if line.quantity != pack:
            raise Refused("a price is of one pack", packs=line.quantity // pack)
    elif line.bench.counted:
        raise Refused("a price is of a pack")
    price = None if ask.price.strip().casefold() == "none" else read_money(ask.price)
    text = line.text
    with context.writing(ask) as writer:
        currency = read_settings(writer.connection).get("currency", "")
        if supplier:
            supplier = firm_named(writer, PlaceKind.BOUGHT, supplier, new=ask.new_firm).name
        words = "not known" if price is None else show_money(price, currency)
        whose = f" from {supplier}" if supplier else ""
        packs = f" for a pack of {so_much(pack, line.unit)}" if pack > 1 else ""
        what = name_alone(line.unit, text)
        act = writer.begin(ActKind.PRICE, f"{what}{whose}: {words}{packs}", at=context.at)
        writer.append(
            PriceRow(
                act_id=act, description_id=described(writer, line), supplier=supplier,
                pack=pack, price=price, currency=currency,
            )
        )  # fmt: skip
    return PriceSet(
        act=act, trial=ask.trial, what=text, supplier=supplier, pack=pack, price=price,
        currency=currency, unit=line.unit,
    )  # fmt: skip


def set_currency(context: Context, ask: SetCurrency) -> CurrencySet:
    """Record in which currency sums are from now on.

    Raises:
        BadValue: not three letters.
    """
    code = read_currency(ask.currency)
    with context.writing(ask) as writer:
        act = writer.begin(ActKind.SETTING, f"currency {code}", at=context.at)
        writer.append(SettingRow(act_id=act, machine_id=None, name="currency", value=code))
    return CurrencySet(act=act, trial=ask.trial, currency=code)


def prices(context: Context) -> Prices:
    """Return what suppliers ask, by the newest word of each."""
    with context.reading() as connection:
        return Prices(tuple(read_prices(connection)))


def set_spares(context: Context, ask: SetSpares) -> SparesSet:
    """Record how many spares to buy of a kind.

    Raises:
        BadValue: no per cent, or out of range, or not a sum of money.
    """
    if ask.as_lost and (ask.per_cent is not None or not ask.kind.strip()):
        raise BadValue("lost already says how many", hint=Hint("set_spares", kind="screw"))
    kind = clean(ask.kind, "the kind", most=80)
    if not ask.as_lost and ask.per_cent is None:
        raise BadValue("how many per cent", hint=Hint("set_spares", kind=kind[:40], per_cent=10))
    if ask.per_cent is not None and not 0 <= ask.per_cent <= 1000:
        raise BadValue("per cent out of range", per_cent=ask.per_cent)
    if not 0 <= ask.least <= 10_000:
        raise BadValue("least out of range", least=ask.least)
    most = None if ask.most_price is None else read_money(ask.most_price)
    with context.writing(ask) as writer:
        per_cent = ask.per_cent
        if per_cent is None:
            per_cent = lost_so_far(kind, read_items(writer.connection)).per_cent
        some = per_cent or ask.least
        words = f"{per_cent} per cent, at least {ask.least}" if some else "none"
        if most is not None and some:
            words += f", where one costs no more than {show_money(most)}"
        act = writer.begin(ActKind.SETTING, f"spares of {kind}: {words}", at=context.at)
        writer.append(
            SpareRuleRow(
                act_id=act, name=kind, key=fold(kind), per_cent=per_cent, least=ask.least,
                most_price=most,
            )
        )  # fmt: skip
    return SparesSet(
        act=act, trial=ask.trial, kind=kind, per_cent=per_cent, least=ask.least, most_price=most
    )


def spares(context: Context) -> SpareRules:
    """Return the rules for spares, with what was lost so far of each kind."""
    with context.reading() as connection:
        rules = spare_rules(connection)
        items = read_items(connection) if rules else []
    lost = [lost_so_far(rule.name, items) for rule in rules]
    return SpareRules(
        tuple(
            SpareRuleInForce(
                rule.name, rule.per_cent, rule.least, rule.most_price, count.lost, count.of
            )
            for rule, count in zip(rules, lost, strict=True)
        )
    )
