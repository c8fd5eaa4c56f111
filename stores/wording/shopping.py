"""The shopping list, prices, spares and what all of it comes to, in words."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stores.model.money import show_money
from stores.model.stock import UNITS, counted_in, name_alone, so_much
from stores.text import counted, plural
from stores.wording import Listing, Said
from stores.wording.marks import to_type

if TYPE_CHECKING:
    from stores.model.money import Price
    from stores.model.orders import Budget
    from stores.planning.shopping import ShoppingList, Shortage
    from stores.planning.supplies import ConsumableLine
    from stores.usecases.shopping import Costs, CurrencySet, Prices, PriceSet, SpareRules, SparesSet

__all__ = [
    "HINTS",
    "REFUSALS",
    "CostsInWords",
    "ListInWords",
    "SectionInWords",
    "all_costs",
    "all_unpriced",
    "costs",
    "currency",
    "inspect_first",
    "listing",
    "message",
    "price_set",
    "prices",
    "spare_rules",
    "spares_set",
]


def _set_spares(kind: str, per_cent: int | None = None) -> str:
    return to_type(f"stores order spares {kind} {'--as-lost' if per_cent is None else per_cent}")


REFUSALS = {
    "not a sum of money": "not a sum of money: {typed!r}; write it as 4.20",
    "sum too large": "{typed} is more than can be kept: at most {most}",
    "not a currency": "a currency is three letters, such as EUR, not {typed!r}",
    "an assembly is of one machine": (
        f"an assembly is of one machine: leave {to_type('--all-machines')} out"
    ),
    "nothing came off there": "no assembly {assembly!r}: nothing came off one of that name",
    "what does it cost": "say what it costs: {hint}",
    "a price is of a pack": (
        f"a price is of a pack: leave the count out, and say {to_type('--pack 50')}"
    ),
    "a price is of one pack": (
        "a price is of one pack, this is of {packs}: say what one costs, as '50 ml threadlocker'"
    ),
    "the pack is in the line": lambda size, unit: (
        f"the line says a pack of {so_much(size, unit)}: leave {to_type('--pack')} out"
    ),
    "how many per cent": "say how many per cent: {hint}",
    "lost already says how many": (to_type("--as-lost") + " takes a kind and no per cent: {hint}"),
    "per cent out of range": "per cent of what is needed: from 0 to 1000, not {per_cent}",
    "least out of range": "the least number of spares is from 0 to 10,000, not {least}",
}
HINTS = {"set_price": "stores order price {what!r} 6.40", "set_spares": _set_spares}


@dataclass(frozen=True, slots=True)
class SectionInWords:
    """What one supplier has a price for: pieces, and consumables."""

    heading: str
    lines: Listing | None
    supplies: Listing | None


@dataclass(frozen=True, slots=True)
class ListInWords:
    """The shopping list: how long it is, its tables, what else to know, and what to inspect."""

    heading: str
    sections: tuple[SectionInWords, ...]
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]
    instead: tuple[str, ...]
    inspect: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CostsInWords:
    """What a machine costs: the sums, and what is in none of them."""

    lines: tuple[str, ...]
    unpriced: tuple[str, ...]


def inspect_first(reply: "ShoppingList", *, by_line: bool = True) -> tuple[str, ...]:
    """Return what is to be inspected before it is bought, an assembly a line below the sum; nothing
    for nothing. ``by_line`` names the lines of each: a phone shows them one by one in its place."""
    if not reply.measure_first:
        return ()
    unseen = sum(each.quantity for each in reply.measure_first)
    return (
        f"Inspect before buying: {counted(unseen)}",
        *(
            f"{each.where}: {counted(each.pieces)}"
            + (f", {', '.join(line.item for line in each.lines)}" if by_line else "")
            for each in reply.to_inspect
        ),
    )


def listing(reply: "ShoppingList") -> ListInWords | None:
    """Return the shopping list in words; None where there is nothing to buy."""
    if not reply.lines and not reply.supplies and not reply.measure_first:
        return None
    return ListInWords(
        f"Shopping list of {reply.machine}: {plural(len(reply.lines), 'line')}, "
        f"{counted(reply.pieces)}",
        tuple(
            SectionInWords(
                section.heading if reply.divided else "",
                _pieces(section.lines) if section.lines else None,
                _supplies(section.supplies) if section.supplies else None,
            )
            for section in reply.sections
        ),
        tuple(text for text in reply.assumptions if "only the" in text),
        tuple(text[:1].upper() + text[1:] for text in reply.cautions[:1]),
        tuple(
            f"{line.longer_in_hand} in stock would do for {line.what}: {line.instead}"
            for line in reply.lines
            if line.longer_in_hand
        ),
        inspect_first(reply),
    )


def _pieces(lines: "Sequence[Shortage]") -> Listing:
    priced = any(line.asked for line in lines)
    return Listing(
        ["Qty", "What", "Why", "For"] + (["Price"] if priced else []),
        [
            [str(line.quantity), line.what, line.reckoning, line.refs]
            + ([line.asked] if priced else [])
            for line in lines
        ],
        [0],
    )


def _supplies(lines: "Sequence[ConsumableLine]") -> Listing:
    priced = any(line.asked for line in lines)
    return Listing(
        ["Qty", "Oil and other consumables", "Why", "For"] + (["Price"] if priced else []),
        [
            [_quantity(line), line.text, line.why, line.wanted_for]
            + ([line.asked] if priced else [])
            for line in lines
        ],
        [0],
    )


def _quantity(line: "ConsumableLine") -> str:
    return "?" if line.quantity is None else str(line.quantity)


def message(reply: "ShoppingList") -> str:
    """Return the list as plain text for a message to a supplier: what and how many, no more."""
    lines = [f"For {reply.machine}, please quote:", ""]
    lines += [f"{line.quantity} off  {line.what}" for line in reply.lines]
    lines += [
        f"{_quantity(line)} off  {line.text}"
        for line in reply.supplies
        if line.quantity is not None or line.sort == "oil"
    ]
    return "\n".join(lines)


def price_set(reply: "PriceSet") -> Said:
    """Return what a supplier asks."""
    asked = "not known" if reply.price is None else show_money(reply.price, reply.currency)
    whose = f" from {reply.supplier}" if reply.supplier else ""
    packs = f" for a pack of {so_much(reply.pack, reply.unit)}" if reply.pack > 1 else ""
    return Said((f"{name_alone(reply.unit, reply.what)}{whose}: {asked}{packs}",))


def currency(reply: "CurrencySet") -> Said:
    """Return in which currency sums are."""
    return Said(
        (f"Sums are in {reply.currency} from now on.",),
        ("Orders and prices on record keep the currency they were written in.",),
    )


def _by_pack(price: "Price") -> tuple[str, str, str]:
    """Return what a price is of, whose, and how much is in a pack."""
    unit = next(
        (each for each in UNITS if each and price.text.startswith(counted_in(each, ""))), ""
    )
    return name_alone(unit, price.text), price.supplier, so_much(price.pack, unit)


def prices(reply: "Prices") -> Listing:
    """Return the prices as a table."""
    return Listing(
        ["What", "Supplier", "Pack", "Price"],
        [[*_by_pack(each), show_money(each.price, each.currency)] for each in reply.prices],
        [2, 3],
        "No price is recorded: " + to_type('stores order price "M6x25 hex" 6.40 --pack 50'),
    )


def spares_set(reply: "SparesSet") -> Said:
    """Return how many spares of a kind are bought."""
    some = reply.per_cent or reply.least
    words = f"{reply.per_cent} per cent, at least {reply.least}" if some else "none"
    if reply.most_price is not None and some:
        words += f", where one costs no more than {show_money(reply.most_price)}"
    return Said((f"Spares of {reply.kind}: {words}",))


def spare_rules(reply: "SpareRules") -> Listing:
    """Return the rules for spares as a table."""
    return Listing(
        ["Kind", "Per cent", "At least", "Only up to", "Lost so far"],
        [
            [
                rule.name, str(rule.per_cent), str(rule.least),
                "" if rule.most_price is None else show_money(rule.most_price),
                f"{rule.lost} of {rule.of}",
            ]
            for rule in reply.rules
        ],
        [1, 2, 3, 4],
        f"No spares unless you ask, as: {to_type('stores order spares screw 10 --least 1')}",
    )  # fmt: skip


def costs(reply: "Budget") -> tuple[CostsInWords, ...]:
    """Return what a machine has cost and will, and beside it what the workshop has, if anything."""
    own = [reply]
    workshop = reply.workshop
    if workshop and (workshop.came or workshop.awaited or workshop.drawn or workshop.unpriced):
        own.append(workshop)
    return tuple(map(_costs, own))


def _costs(reply: "Budget") -> CostsInWords:
    sums = [("came", reply.came)]
    if reply.drawn and reply.machine:
        sums.append(("from the workshop's stock", reply.drawn))
    elif reply.drawn:
        sums.append(("used on machines", reply.drawn))
    sums.append(("on order", reply.awaited))
    if reply.machine:
        sums.append(("still to buy", reply.to_come))
    sums.append(("in all", reply.total))
    whose = reply.machine or "The workshop's stock"
    return CostsInWords(
        (
            whose + (f", in {reply.currency}" if reply.currency else ""),
            *(f"  {_signed(hundredths):>14}  {name}" for name, hundredths in sums),
        ),
        reply.unpriced,
    )


def _signed(hundredths: int) -> str:
    return f"-{show_money(-hundredths)}" if hundredths < 0 else show_money(hundredths)


def all_costs(reply: "Costs") -> Listing:
    """Return what each machine and the workshop has cost, and the sum of all."""
    rows = [
        (
            each.machine or "the workshop's stock",
            (each.came, each.drawn, each.paid, each.awaited, each.to_come),
        )
        for each in reply.costs
    ]
    sums = tuple(sum(values) for values in zip(*(values for _, values in rows), strict=True))
    money = f" {reply.currency}" if reply.currency else ""
    return Listing(
        ["", "Came", "From stock", f"Paid{money}", "On order", "To buy"],
        [[name, *map(_signed, values)] for name, values in [*rows, ("in all", sums)]],
        [1, 2, 3, 4, 5],
        f"No machine yet: {to_type('stores machine add')}",
    )


def all_unpriced(reply: "Costs") -> tuple[str, ...]:
    """Return what is in no sum, and whose it is."""
    return tuple(
        f"{each.machine or 'the workshop'}: {text}"
        for each in reply.costs
        for text in each.unpriced
    )
