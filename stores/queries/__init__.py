"""Read-only questions. Each takes a connection that sees one moment and gives plain values.

What not every command asks is loaded when it is first asked for; `stores.queries.measured` is not
even offered here: only a search by measurement needs it.
"""

from importlib import import_module
from typing import TYPE_CHECKING

from stores.queries.acts import (
    ActLine,
    act_lines,
    act_of_step,
    act_summary,
    fallen,
)
from stores.queries.items import (
    items,
    items_at,
    items_of_bag,
    items_of_step,
    loose_items,
    mates,
)
from stores.queries.machines import (
    Machine,
    machine_named,
    machine_of_act,
    machine_of_items,
    machines,
)
from stores.queries.places import (
    bag_codes,
    firms_with_pieces,
    insides,
    last_place,
    pieces_at,
    place_names,
    places_above,
    sent_from,
    stowed_in_a_ring,
)
from stores.queries.search import (
    bags,
    items_like,
)

if TYPE_CHECKING:
    from stores.queries.batch_list import awaited_from_firms, batch_faults, batches
    from stores.queries.choices import settings
    from stores.queries.debt_list import debt_faults, debts
    from stores.queries.figures import (
        joints,
        maker_torques,
        readings,
        step_row,
        sumps,
    )
    from stores.queries.order_list import (
        awaited_from_suppliers,
        bought,
        on_order,
        order_faults,
        order_in_use,
        orders,
        prices,
        spare_rules,
    )
    from stores.queries.paper import (
        Printer,
        labels_waiting,
        printers,
    )
    from stores.queries.picture_list import (
        bag_place,
        pictures,
        pictures_of,
        step_moments,
        steps_by_number,
        steps_of_bags,
    )
    from stores.queries.plan import fitted_by_day, refits, stated_precedence
    from stores.queries.planned import Rebuild, rebuild_of, status_on
    from stores.queries.snag_list import open_snags, snag_row, snags
    from stores.queries.whole import (
        record,
    )

__all__ = [
    "ActLine",
    "Machine",
    "Printer",
    "Rebuild",
    "act_lines",
    "act_of_step",
    "act_summary",
    "awaited_from_firms",
    "awaited_from_suppliers",
    "bag_codes",
    "bag_place",
    "bags",
    "batch_faults",
    "batches",
    "bought",
    "debt_faults",
    "debts",
    "fallen",
    "firms_with_pieces",
    "fitted_by_day",
    "insides",
    "items",
    "items_at",
    "items_like",
    "items_of_bag",
    "items_of_step",
    "joints",
    "labels_waiting",
    "last_place",
    "loose_items",
    "machine_named",
    "machine_of_act",
    "machine_of_items",
    "machines",
    "maker_torques",
    "mates",
    "on_order",
    "open_snags",
    "order_faults",
    "order_in_use",
    "orders",
    "pictures",
    "pictures_of",
    "pieces_at",
    "place_names",
    "places_above",
    "prices",
    "printers",
    "readings",
    "rebuild_of",
    "record",
    "refits",
    "sent_from",
    "settings",
    "snag_row",
    "snags",
    "spare_rules",
    "stated_precedence",
    "status_on",
    "step_moments",
    "step_row",
    "steps_by_number",
    "steps_of_bags",
    "stowed_in_a_ring",
    "sumps",
]

_LATER = {
    "debt_list": ("debt_faults", "debts"),
    "figures": (
        "joints",
        "maker_torques",
        "readings",
        "step_row",
        "sumps",
    ),
    "order_list": (
        "awaited_from_suppliers",
        "bought",
        "on_order",
        "order_faults",
        "order_in_use",
        "orders",
        "prices",
        "spare_rules",
    ),
    "paper": (
        "Printer",
        "labels_waiting",
        "printers",
    ),
    "picture_list": (
        "bag_place",
        "pictures",
        "pictures_of",
        "step_moments",
        "steps_by_number",
        "steps_of_bags",
    ),
    "plan": ("fitted_by_day", "refits", "stated_precedence"),
    "planned": ("Rebuild", "rebuild_of", "status_on"),
    "batch_list": ("awaited_from_firms", "batch_faults", "batches"),
    "choices": ("settings",),
    "snag_list": ("open_snags", "snag_row", "snags"),
    "whole": ("record",),
}


def __getattr__(name: str) -> object:
    for home, names in _LATER.items():
        if name in names:
            return getattr(import_module(f"{__name__}.{home}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
