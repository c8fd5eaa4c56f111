"""Shopping: the list, what things cost, the currency, the budget, spares."""

from stores.model.orders import Budget
from stores.planning.shopping import ShoppingList
from stores.usecases.shopping import Costs
from stores.web.deeds.fields import NEW_FIRM
from stores.web.forms import Deed, Field, Inquiry, Words
from stores.web.visit import Link
from stores.wording import Lines, Listing, Said
from stores.wording.shopping import all_costs, all_unpriced, costs, listing, message


def _list(reply: ShoppingList) -> Words:
    words = listing(reply)
    if words is None:
        return Said((f"Nothing to buy for {reply.machine}.",))
    shown: list[Said | Lines | Listing] = [Said((words.heading,), (), words.cautions)]
    for section in words.sections:
        if section.heading:
            shown.append(Said((section.heading,)))
        shown += [each for each in (section.lines, section.supplies) if each]
    return [*shown, Said((), [*words.assumptions, *words.instead, *words.inspect])]


def _unpriced(texts: tuple[str, ...]) -> list[str]:
    return [f"No price yet, so left out of the total: {text}" for text in texts]


def _budget(reply: Budget) -> Words:
    return [Said(each.lines, _unpriced(each.unpriced)) for each in costs(reply)]


def _all_costs(reply: Costs) -> Words:
    return [all_costs(reply), Said((), _unpriced(all_unpriced(reply)))]


_LIST = (
    Field("assembly", "Only for this assembly", hint="As Engine/Gearbox"),
    Field("supplier", "Only what they have a price for", option="--from"),
    Field("everywhere", "What all machines want, in one list", "tick", option="--all-machines"),
    Field("cans", "What oil is sold in", hint="As 500ml, 1l, 5l", option="--cans", more=True),
)

DEEDS = (
    Deed(
        "price", "What something costs", "Record it",
        "shopping:set_price", "shopping:SetPrice", "shopping:price_set",
        Field("what", "What it is, or a pack of it", hint="As M6x25 hex 8.8, 400 g lithium grease"),
        Field("price", "What a pack costs", hint="As 6.40; or none"),
        Field("pack", "How many in a pack", hint="Empty: one", option="--pack"),
        Field("supplier", "Who asks that", option="--from"),
        NEW_FIRM,
        next=lambda _reply: [Link("The prices", "/ask/prices")],
    ),
    Deed(
        "currency", "The currency of all sums", "Record it",
        "shopping:set_currency", "shopping:SetCurrency", "shopping:currency",
        Field("currency", "Currency", hint="Three letters, as EUR, GBP", option="--currency"),
    ),
    Deed(
        "spares", "How many spares to buy", "Record it",
        "shopping:set_spares", "shopping:SetSpares", "shopping:spares_set",
        Field("kind", "Kind", hint="As screw, nut, split pin"),
        Field("per_cent", "Per cent of what is needed", "number", "Rounded up; 0: none"),
        Field("least", "At least so many", "number", option="--least"),
        Field("most_price", "Only if one costs no more", hint="As 0.50", option="--most",
              more=True),
        Field("as_lost", "As many per cent as were lost so far", "tick", option="--as-lost",
              more=True),
        next=lambda _reply: [Link("The spares", "/ask/spares")],
        line="Of a kind, for what is lost or shears",
    ),
)  # fmt: skip
INQUIRIES = (
    Inquiry(
        "shopping-list", "The shopping list", "Show",
        "shopping:shopping", "shopping:WhatToBuy", _list, *_LIST,
        paper="/paper/shopping", line="Of an assembly, a supplier, or all machines",
    ),
    Inquiry(
        "shopping-message", "Shopping as a message", "Show",
        "shopping:shopping", "shopping:WhatToBuy",
        lambda reply: Said(message(reply).splitlines()), *_LIST, line="To send to a supplier",
    ),
    Inquiry("prices", "The prices", "Show", "shopping:prices", "", "shopping:prices"),
    Inquiry("budget", "What it costs", "Show", "shopping:budget", "", _budget,
            line="So far, on order, still to buy"),
    Inquiry("costs", "What all machines cost", "Show", "shopping:all_costs", "", _all_costs),
    Inquiry("spares", "The spares", "Show", "shopping:spares", "", "shopping:spare_rules",
            line="What is bought over, and what was lost so far"),
)  # fmt: skip
