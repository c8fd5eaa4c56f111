"""Bulb caps (IEC 60061) and lamp categories (UN Regulation 37)."""

import re
from functools import partial

from stores.handbook.hardware.model import Dim, Kind, Row, column, constant
from stores.handbook.table import table

__all__ = ["KINDS", "cap_of_category", "cap_rule"]

_CONTACTS = {"s": 1, "d": 2, "t": 3, "q": 4, "p": 5}
_FAMILY = {
    "B": "bayonet",
    "BA": "automotive bayonet",
    "BAU": "bayonet with displaced pins",
    "BAW": "bayonet with displaced pins",
    "BAX": "bayonet with displaced pins",
    "BAY": "bayonet with displaced pins",
    "BAZ": "bayonet with displaced pins",
    "E": "Edison screw",
    "P": "prefocus",
    "PG": "prefocus",
    "PK": "prefocus with a cable",
    "PX": "prefocus, keyed",
    "SV": "festoon",
    "W": "wedge",
}


def cap_rule(cap: str) -> tuple[str, float, int | None] | None:
    """Read a cap by the IEC 60061 rule: family, shell or collar in mm, contacts if marked.

    ``BAY15d`` gives ("bayonet with displaced pins", 15.0, 2). A wedge gives its width. None when
    the text is no cap.
    """
    read = re.fullmatch(r"([A-Z]+)(\d+(?:\.\d+)?)(?:x(\d+(?:\.\d+)?))?([sdtqp])?", cap.strip())
    if read is None or read[1] not in _FAMILY:
        return None
    size = float(read[3] or read[2])
    return _FAMILY[read[1]], size, _CONTACTS.get(read[4] or "")


def cap_of_category(category: str) -> tuple[str, int] | None:
    """Give the cap and the number of filaments of a lamp category ("P21/5W"), or None."""
    for row in table("hardware_bulb_categories"):
        if row["category"].upper() == category.strip().upper():
            return row["cap"], int(row["filaments"])
    return None


def _notes(row: Row) -> tuple[str, ...]:
    uses = [
        other["category"]
        for other in table("hardware_bulb_categories")
        if other["cap"] == row["cap"]
    ]
    return (row["meaning"], *((f"categories: {', '.join(uses)}",) if uses else ()))


KINDS = (
    Kind(
        "bulb cap",
        ("bulb", "lamp cap", "bulb base"),
        partial(table, "hardware_bulb_caps"),
        (Dim("d", "shell or collar diameter", column("principal_dia_mm"), constant(-0.35, 0.1)),),
        lambda row: row["cap"],
        lambda _: "IEC 60061",
        lambda row: (row["cap"],),
        advice=(
            "Y, U, W or X after BA marks displaced pins: not interchangeable",
            "then match the voltage, 6 or 12 V, and the watts",
        ),
        notes=_notes,
    ),
)
