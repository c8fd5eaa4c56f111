"""Read-only questions. Each takes a connection that sees one moment and gives plain values."""

from stores.queries.acts import ActLine, act_lines, fallen
from stores.queries.items import items, items_of_bag, items_of_step
from stores.queries.machines import Machine, machine_named, machine_of_act, machines
from stores.queries.places import bag_codes, insides, last_bag, last_home, pieces_at
from stores.queries.search import bags, items_like
from stores.queries.whole import record

__all__ = [
    "ActLine",
    "Machine",
    "act_lines",
    "bag_codes",
    "bags",
    "fallen",
    "insides",
    "items",
    "items_like",
    "items_of_bag",
    "items_of_step",
    "last_bag",
    "last_home",
    "machine_named",
    "machine_of_act",
    "machines",
    "pieces_at",
    "record",
]
