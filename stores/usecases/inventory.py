"""The inventory: one list of everything there is, with its place, condition, count and value."""

from dataclasses import dataclass

from sqlalchemy import Connection

from stores.errors import NotFound
from stores.planning.inventory import Inventory, draw_up
from stores.storage.items import read_items
from stores.storage.machines import machine_named
from stores.storage.places import place_known
from stores.storage.settings import read_settings
from stores.text import clean
from stores.usecases.common import maybe_condition
from stores.usecases.context import Context
from stores.usecases.find import items_meant
from stores.usecases.shopping import prices_in

__all__ = ["TakeInventory", "inventory"]


@dataclass(frozen=True, slots=True)
class TakeInventory:
    """What is held, of the machine that is named and of all else where none is.

    ``what`` narrows it down: a place with all that stands in it, a size (``M6``) or words. ``of``
    is a condition as typed, None for any.
    """

    what: str = ""
    of: str | None = None


def inventory(context: Context, ask: TakeInventory) -> Inventory:
    """Return everything that is held in the workshop or at a firm, place by place.

    What is on a machine is not in it. Of one machine it holds what came off that, and none of the
    workshop's stock.

    Raises:
        NotFound: nothing like it is held; no such machine.
        BadValue: no such condition.
    """
    asked = clean(ask.what, "what is asked for", most=200, empty=True)
    of = maybe_condition(ask.of)
    with context.reading() as connection:
        on = machine_named(connection, context.machine) if context.machine else None
        place = _place_called(connection, asked)
        if asked and not place:
            items = items_meant(connection, asked, {}, on.number if on else None)
        else:
            items = read_items(connection, machine=on.number if on else None, verdicts=False)
        if on:
            items = [item for item in items if item.step.number]
        currency = read_settings(connection).get("currency", "")
        made = draw_up(
            items, prices_in(connection, currency), asked=place or asked, within=place, of=of,
            machine=on.name if on else "", currency=currency,
        )  # fmt: skip
    if not made.places:
        raise NotFound("nothing of it held", what=asked, condition=of, machine=made.machine)
    return made


def _place_called(connection: Connection, name: str) -> str:
    """Return the place that is called so, as its name is written; empty where none is."""
    known = place_known(connection, name) if name else None
    return known[2] if known else ""
