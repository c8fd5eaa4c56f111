"""Bags, stages and shortages of an invented machine, built in one line each."""

from dataclasses import replace

from stores.model.items import Description, Holding, Item, Step
from stores.model.labels import Bag, Content, bags_of
from stores.model.ledger import Condition, PlaceKind
from stores.planning.rebuild import Stage, stages
from stores.planning.shopping import Shortage, shortages

MACHINE = "Orrick Plover 150"

CODES = ["A001N", "A002K", "A003H", "A004E", "A005C", "A0010X"]


def step(number: int = 7, part: str = "Clutch cover", **more: str) -> Step:
    known = {"machine": MACHINE, "assembly": "Engine / Clutch", "date": "2026-03-04"} | more
    return Step(number, part=part, **known)


def item(
    line: int = 1,
    text: str = "M6 x 25 hex bolt",
    quantity: int = 6,
    *,
    off: Step | None = None,
    kind: str = "bolt",
    position: str = "",
    bag: str = "A001N",
    condition: Condition = Condition.AS_REMOVED,
    **more: object,
) -> Item:
    about = Description(text, kind)
    holding = Holding(quantity, bag, PlaceKind.BAG, condition)
    of = off or step()
    number = line + 1000 * of.number
    made = Item(number, line, of, about, quantity, about, quantity, "", position, text, (holding,))
    return replace(made, **more)


def bag(code: str = "A001N", *items: Item) -> Bag:
    contents = tuple(
        Content(each, holding.quantity, holding.condition)
        for each in items or (item(),)
        for holding in each.holdings
    )
    return Bag(code, contents)


__all__ = [
    "CODES",
    "MACHINE",
    "Condition",
    "Holding",
    "PlaceKind",
    "Shortage",
    "Stage",
    "bag",
    "bags_of",
    "item",
    "shortages",
    "stages",
    "step",
]
