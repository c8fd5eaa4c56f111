"""What a description is looked for by: its thread, diameter, length and head, its words.

The text is what was said. All else is read from it when it is written down, so that a search by
size asks an index and reads no text; where the two disagree, the text is right, and the audit says
so. A text that is reloaded is read anew.
"""

from typing import Any

from sqlalchemy import Connection, select

from stores.errors import StoresError
from stores.handbook.fastener import Fastener, Kind, parse, renew_always
from stores.planning.audit import Fault
from stores.storage.tables import DescriptionRow
from stores.text import fold

__all__ = ["description_faults", "read_anew", "read_from"]

_KINDS = frozenset(kind.value for kind in Kind)
"""What is of another kind is a consumable: its name is no fastener's and has no sizes."""


def read_from(thing: Fastener) -> dict[str, Any]:
    """Return what is written down beside the text of a fastener or a part."""
    thread = thing.thread
    return {
        "kind": str(thing.kind),
        "thread": thread.designation if thread else "",
        "diameter_um": _micrometres(thing.diameter_mm),
        "length_um": _micrometres(thing.length_mm),
        "head": thing.head or "",
        "renew": renew_always(thing) or "",
    }


def read_anew(text: str, kind: str) -> dict[str, Any]:
    """Return what belongs beside a text of this kind, as it is read now."""
    nothing = {"kind": kind, "thread": "", "diameter_um": None, "length_um": None, "head": ""}
    if kind in _KINDS:
        try:
            return {**read_from(parse(text)), "words": fold(text)}
        except StoresError:
            return {**nothing, "renew": "", "words": fold(text)}
    return {**nothing, "words": fold(text)}


def description_faults(connection: Connection) -> list[Fault]:
    """Return the descriptions that are looked for as something else than their text says."""
    rows: Any = DescriptionRow.__table__  # type: ignore[attr-defined]
    return [
        Fault(
            f"description {row['id']}",
            f"{row['text']!r} is looked for by the {name.replace('_um', ' in micrometres')} "
            f"{row[name] or 'none'}, but says {value or 'none'}",
        )
        for row in connection.execute(select(rows).order_by(rows.c.id)).mappings()
        if isinstance(row["text"], str)  # anything else is a fault of its own
        for name, value in read_anew(row["text"], row["kind"]).items()
        if row[name] != value
    ]


def _micrometres(millimetres: float | None) -> int | None:
    return None if millimetres is None else round(millimetres * 1000) or None
