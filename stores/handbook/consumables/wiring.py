"""Wire: its resistance and rating by its strands, and the voltage lost along it."""

import re
from dataclasses import dataclass
from functools import cache

from stores import units
from stores.errors import NotationError, NotFound
from stores.handbook.answer import Answer, above_zero
from stores.handbook.table import table

__all__ = ["Wire", "voltage_drop", "wire_of_strands", "wires"]

_CAUTIONS = (
    "battery off, earth first; a fuse to the wire, near the battery, never a larger one",
    "the maker's diagram comes first; say which insulation: thin wall carries more",
)


@dataclass(frozen=True, slots=True)
class Wire:
    """PVC wire by its strands: section mm2, ohm to the metre and the rating in A of its table."""

    strands: str
    mm2: float
    ohm_per_m: float
    amps: float


@cache
def wires() -> tuple[Wire, ...]:
    """Return the wires of the table, thinnest first."""
    return tuple(
        Wire(row["strands"], float(row["mm2"]), float(row["ohm_per_m"]), float(row["amps"]))
        for row in table("consumables_wire")
    )


def wire_of_strands(text: str) -> Wire:
    """Return a wire by its strands: ``14/0.30``, ``14/.30``, ``14 / 0,3 mm``.

    Raises `NotationError` for what is none, `NotFound` for strands that the table does not have.

    >>> wire_of_strands("14/.30").ohm_per_m
    0.0189
    """
    found = re.fullmatch(
        rf"\s*(?P<count>\d{{1,4}})\s*/\s*(?P<strand>{units.NUMBER})\s*(?:mm)?\s*", units.level(text)
    )
    if found is None:
        raise NotationError("cannot read the strands of a wire; write them as 14/0.30", text)
    count, strand = int(found["count"]), units.value(found["strand"])
    for wire in wires():
        own, size = wire.strands.split("/")
        if int(own) == count and units.value(size) == strand:
            return wire
    known = ", ".join(wire.strands for wire in wires())
    raise NotFound(f"no wire {text.strip()!r} in the table: it has {known}")


def voltage_drop(
    ohm_per_m: float, length_m: float, amps: float, *, both_ways: bool = False
) -> Answer:
    """Return the voltage lost along a wire, V: ohm/m x m x A; there and back counts twice.

    Args:
        ohm_per_m: resistance of the wire, near 20 C [ohm/m], up to 1.
        length_m: length [m], up to 100.
        amps: current [A], up to 1000.
        both_ways: whether it comes back by a wire of its own, and not by the frame.

    >>> round(voltage_drop(0.0189, 5, 8.75).value, 3)
    0.827
    """
    above_zero("resistance", ohm_per_m, "ohm/m", 1.0)
    above_zero("length", length_m, "m", 100.0)
    above_zero("current", amps, "A", 1000.0)
    volts = ohm_per_m * length_m * amps * (2 if both_ways else 1)
    taken = ("there and back by wire" if both_ways else "one way: it comes back by the frame",
             "near 20 C; a hot wire loses more; joints not counted")  # fmt: skip
    hot = tuple(
        f"{wire.strands} is rated {wire.amps:g} A: too thin for {amps:g} A, it gets hot"
        for wire in wires()
        if abs(wire.ohm_per_m - ohm_per_m) < 1e-9 and amps > wire.amps
    )
    return Answer("voltage lost", volts, "V", volts, 1.2 * volts, "the joints and the warmth",
                  taken, ("wire-chart",), (*hot, *_CAUTIONS))  # fmt: skip
