"""The clearance groups of a bore, as they are asked for.

::

    >>> clearance_groups("C3 20")[0].notes[0]
    'C3 13 to 28 micrometres, radial, before it is fitted'
"""

import re

from stores.errors import NotFound
from stores.handbook.hardware.bearings import clearance_rows
from stores.handbook.hardware.model import Piece

__all__ = ["clearance_groups"]


_CLEARANCE = (
    r"(?i)(?:(?P<form>roller|ball) )?(?:bearing )?clearances?(?P<forms> roller)?"
    r"(?: (?P<group>c[0-5]|cn))?(?: (?:of|for|bore|a))*(?: (?P<bore>\d+(?:\.\d+)?))(?: ?mm)?"
    r"(?: bore)?(?: (?P<behind>c[0-5]|cn))?"
    r"|(?:bearing )?(?P<first>c[0-5]|cn) (?:(?:of|for|bore|a) )*(?P<then>\d+(?:\.\d+)?)(?: ?mm)?"
    r"(?: bore)?"
)


def clearance_groups(text: str) -> tuple[Piece, ...]:
    """Read "bearing clearance 20", "C3 20": the clearance groups of a bore, micrometres."""
    read = re.fullmatch(_CLEARANCE, text)
    if not read:
        return ()
    bore = float(read["bore"] or read["then"])
    wanted = (read["group"] or read["behind"] or read["first"] or "").upper().replace("C0", "CN")
    form = (read["form"] or read["forms"] or "").strip().lower()
    found = []
    for roller in (False, True):
        if form and (form == "roller") != roller:
            continue
        rows = [
            row
            for row in clearance_rows(bore, roller=roller)
            if not wanted or row["group"] == wanted
        ]
        if not rows:
            continue
        said = ", ".join(f"{row['group']} {row['min_um']} to {row['max_um']}" for row in rows)
        source = "; ".join(dict.fromkeys(row["source"] for row in rows))
        memory = ("from memory: check it before ordering",) if "memory" in source else ()
        kind = "cylindrical roller, straight bore" if roller else "deep groove ball"
        found.append(
            Piece(
                f"clearance of a {bore:g} mm bore", "bearing", "ISO 5753-1", {"d": bore}, {}, {},
                source, (*memory, f"{said} micrometres, radial, before it is fitted", _COPY), kind,
            )
        )  # fmt: skip
    if not found:
        raise NotFound(f"no clearance listed for a bore of {bore:g} mm {wanted}".strip())
    return tuple(found)


_COPY = "CN bears no mark; copy the old bearing's: a caliper cannot tell C3 from normal"
