"""The units a person works in, in words."""

from typing import TYPE_CHECKING

from stores.text import either, join
from stores.wording import Said
from stores.wording.marks import to_type

if TYPE_CHECKING:
    from stores.usecases.work_units import UnitsChosen, UnitsSet

__all__ = ["HINTS", "REFUSALS", "recorded", "shown"]

REFUSALS = {
    "no such work unit": lambda typed, known: f"{typed!r}: choose {either(known)}",
    "no such system of units": lambda typed, systems: (
        f"{typed!r}: choose {either(systems)}, or {to_type('--torque')} and {to_type('--volume')} "
        "by themselves"
    ),
    "which work units": lambda systems: f"say which units: {either(systems)}",
}
HINTS: dict[str, str] = {}


def _several(unit: str) -> str:
    return f"{unit}s" if unit.endswith("pint") else unit


def recorded(reply: "UnitsSet") -> Said:
    """Return the units from now on."""
    return Said(
        (f"Torques in {reply.torque}, volumes in {_several(reply.volume)} from now on.",),
        (
            "The record keeps N m and ml; what was written from a book stays as it is.",
            "A torque typed without a unit is still N m: write the unit.",
        ),
    )


def shown(reply: "UnitsChosen") -> Said:
    """Return the units of now, and what there is to choose from."""
    return Said(
        (
            f"Torques in {reply.torque}, volumes in {_several(reply.volume)}.",
            f"To change: {to_type('stores record units')} {join(reply.systems, 'or')}; "
            f"{to_type('--torque')} {either(reply.torques)}; "
            f"{to_type('--volume')} {either(reply.volumes)}.",
        )
    )
