"""What the rebuilds take of the workshop's consumables, and who gets what is there."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from stores.model.items import Item
from stores.model.orders import OnOrder
from stores.model.stock import StockFacts, Use, name_alone
from stores.planning.needs import needs_of
from stores.planning.oils import Oil, oil_of
from stores.planning.status import Status
from stores.planning.supplies import USED, Lot, OpenNeed, Thing, lots_of, open_needs, thing_of
from stores.storage.stock import read_facts, read_uses
from stores.text import today as today_is

__all__ = ["Supplies", "hazards_of"]


def hazards_of(kind: str) -> tuple[str, ...]:
    """Return the usual cautions of a kind of consumable, by its key; none where it cannot hurt."""
    from stores.handbook.consumables import cautions_of, kind_by_key

    of = kind_by_key(kind)
    if all(each == "none" for each in of.hazards):
        return (of.caution,) if of.caution else ()
    return cautions_of(of)


@dataclass(frozen=True, slots=True)
class Supplies:
    """The consumables in stock, and what was used of them; ``things`` says by the number of a loose
    item what it is."""

    lots: Sequence[Lot]
    uses: Sequence[Use]
    things: Mapping[int, Thing]
    names: Mapping[int, str]

    @classmethod
    def read(
        cls,
        connection: Connection,
        loose: Iterable[Item],
        coming: Iterable[tuple[str, OnOrder]] = (),
    ) -> "Supplies":
        """Read them; ``loose`` are all loose items, ``coming`` is on order, by machine."""
        items = {item.number: item for item in loose}
        facts = read_facts(connection)
        uses = read_uses(connection)
        of = {use.item for use in uses}
        names = {
            number: name_alone(item.unit, item.text)
            for number, item in items.items()
            if number in of and (item.unit or facts.get(number, StockFacts()).kind)
        }
        things = {
            number: thing_of(name, facts.get(number, StockFacts()).kind)
            for number, name in names.items()
        }
        return cls(lots_of(items.values(), facts, today_is(), coming), uses, things, names)

    def open_needs(self, status: Status, machine: str) -> list[OpenNeed]:
        """Return what the steps of a machine that are not on yet still take, in order."""
        needs = needs_of(status)
        if not needs:
            return []
        mine = [use for use in self.uses if use.machine == machine]
        return open_needs(needs, mine, self.things)

    def poured(self, status: Status, machine: str) -> list[Oil]:
        """Return the oil that was used on a machine, but for what its steps took as was said: it is
        in its sumps already."""
        of_steps = {(need.step, need.kind) for need in needs_of(status)}
        return [
            oil_of(use.quantity, self.names[use.item])
            for use in self.uses
            if use.machine == machine
            and use.what in USED
            and use.quantity
            and use.item in self.names
            and (use.step, self.things[use.item].kind) not in of_steps
        ]
