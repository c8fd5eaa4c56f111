"""Consumables: the kinds, how an amount is said, how long it keeps, and how much a job takes.

`kind_named` and `read_amount` read what a person types; `usable_until` counts the life in store.
"""

from stores.handbook.consumables.keeping import (
    Quarter,
    RubberLife,
    Until,
    read_quarter,
    rubber_in_store,
    usable_until,
    whole_packs,
)
from stores.handbook.consumables.kinds import (
    Consumable,
    consumables,
    kind_by_key,
    kind_named,
    kinds_said,
)
from stores.handbook.consumables.reading import Amount, read_amount

__all__ = [
    "Amount",
    "Consumable",
    "Quarter",
    "RubberLife",
    "Until",
    "consumables",
    "kind_by_key",
    "kind_named",
    "kinds_said",
    "read_amount",
    "read_quarter",
    "rubber_in_store",
    "usable_until",
    "whole_packs",
]
