"""Consumables: the kinds, how an amount is said, how long it keeps, and how much a job takes.

`kind_named` and `read_amount` read what a person types, `usable_until` counts the life in store,
`cautions_of` says what a kind can do to somebody. The rules are pure arithmetic, each with its
source, its limits and what it assumed: sealant and threadlocker (`joints`), grease (`grease`),
paint (`paint`), baths and acids (`baths`), sheets and lengths (`cutting`), welding (`welding`) and
wire (`wiring`). `read_takes` reads their measures, `variety` what tells one of a kind from others.
"""

from stores.handbook.consumables.baths import (
    citric_acid,
    citric_acid_by_mass,
    tank_with_part,
)
from stores.handbook.consumables.cutting import (
    Cutting,
    blanks_from_sheet,
    cut_lengths,
    heat_shrink,
    runs,
    sheets_for_blanks,
    shrink_ratio,
)
from stores.handbook.consumables.grease import (
    first_fill,
    free_space,
    replenish,
)
from stores.handbook.consumables.hazards import (
    cautions_of,
    hazards_of_sheet,
)
from stores.handbook.consumables.joints import (
    bead,
    bead_length,
    film,
    retaining,
    square_joint,
    square_joint_length,
    thread_gap,
    threadlocker,
    threadlocker_allowance,
)
from stores.handbook.consumables.keeping import (
    Until,
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
from stores.handbook.consumables.paint import (
    LOSSES,
    Parts,
    mix,
    paint_to_buy,
    practical_rate,
    read_parts,
    wet_film,
)
from stores.handbook.consumables.reading import (
    Amount,
    read_amount,
)
from stores.handbook.consumables.takes import (
    AS_SAID,
    Takes,
    amount_apart,
    bearing_size,
    grease_basis,
    read_takes,
)
from stores.handbook.consumables.variety import (
    full_name,
    variety,
)
from stores.handbook.consumables.welding import (
    EFFICIENCIES,
    filler,
    fillet,
    gas_minutes,
)
from stores.handbook.consumables.wiring import (
    Wire,
    voltage_drop,
    wire_of_strands,
    wires,
)

__all__ = [
    "AS_SAID",
    "EFFICIENCIES",
    "LOSSES",
    "Amount",
    "Consumable",
    "Cutting",
    "Parts",
    "Takes",
    "Until",
    "Wire",
    "amount_apart",
    "bead",
    "bead_length",
    "bearing_size",
    "blanks_from_sheet",
    "cautions_of",
    "citric_acid",
    "citric_acid_by_mass",
    "consumables",
    "cut_lengths",
    "filler",
    "fillet",
    "film",
    "first_fill",
    "free_space",
    "full_name",
    "gas_minutes",
    "grease_basis",
    "hazards_of_sheet",
    "heat_shrink",
    "kind_by_key",
    "kind_named",
    "kinds_said",
    "mix",
    "paint_to_buy",
    "practical_rate",
    "read_amount",
    "read_parts",
    "read_takes",
    "replenish",
    "retaining",
    "runs",
    "sheets_for_blanks",
    "shrink_ratio",
    "square_joint",
    "square_joint_length",
    "tank_with_part",
    "thread_gap",
    "threadlocker",
    "threadlocker_allowance",
    "usable_until",
    "variety",
    "voltage_drop",
    "wet_film",
    "whole_packs",
    "wire_of_strands",
    "wires",
]
