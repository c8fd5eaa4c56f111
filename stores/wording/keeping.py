"""Copies of the record and its text, in words."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stores.text import join, plural
from stores.wording import Line, Lines
from stores.wording.marks import quoted, to_type

if TYPE_CHECKING:
    from stores.planning.audit import Fault
    from stores.usecases.keeping import Copied, NotInText, Reloaded

__all__ = ["HINTS", "REFUSALS", "copied", "left_out", "reloaded", "waiting"]

_MOST_NAMED = 3
"""Faults named one by one."""

REFUSALS = {
    "copy not whole": (
        "the copy has {copied} rows, the record {rows}: no copy was kept, try again"
    ),
    "no label folder": (
        "no folder {folder}: " + to_type("--templates") + " names that of your own label files"
    ),
    "copy differs": "the copy of {file} is not what it should be: look at the disk",
    "stores there already": ("{path} is there already: name another with " + to_type("--stores")),
    "text is not UTF-8": (
        f"this was not written by {quoted('stores record export')}: it is not UTF-8 text"
    ),
    "text has faults": lambda count, first: (
        f"the text has a fault: {first}"
        if count == 1
        else f"the text has {count} faults, the first: {first}"
    ),
}
HINTS: dict[str, str] = {}


def waiting(name: str) -> str:
    """Say why nothing happens yet."""
    return f"another command is writing to {name}; waiting"


def copied(reply: "Copied") -> Lines:
    """Return where the copy is, what it holds and what it lacks."""
    holds = [
        plural(reply.machines, "machine"),
        plural(reply.acts, "entry", "entries", marks=True),
        plural(reply.pictures, "picture", marks=True) + _megabytes(reply),
    ]
    if reply.templates:
        holds.append(plural(reply.templates, "template of your own", "templates of your own"))
    where = reply.to.with_name(f"{reply.to.stem}.pictures")
    lines = [
        Line(f"Copied to {reply.to}", whole=True),
        Line(f"Opened and checked: {join(holds)}."),
    ]
    if reply.pictures:
        lines += [
            Line("The pictures are beside it; keep both together:"),
            Line(str(where), whole=True),
        ]
    warnings = []
    if reply.left_out:
        count = plural(len(reply.left_out), "picture is", "pictures are")
        warnings.append(
            f"{count} not in the copy, the kept file here is gone or spoilt: "
            f"{_first(reply.left_out)}. If you have it still: " + to_type("stores photo add FILE")
        )
    if reply.faults:
        count = plural(len(reply.faults), "fault")
        warnings.append(
            f"The record has {count}, and so has the copy: {_first(reply.faults)}. "
            f"{quoted('stores record audit')} names them all"
        )
    if not reply.noted:
        warnings.append(
            "Nothing can be written beside the record, so the handover does not know of this copy"
        )
    return Lines([*lines, *(Line(text, "! ", "  ") for text in warnings)])


def _megabytes(reply: "Copied") -> str:
    return f" ({max(1, round(reply.picture_bytes / 1e6)):,} MB)" if reply.pictures else ""


def _first(faults: "Sequence[Fault]") -> str:
    more = f"; and {len(faults) - _MOST_NAMED} more" if len(faults) > _MOST_NAMED else ""
    return "; ".join(str(fault) for fault in faults[:_MOST_NAMED]) + more


def left_out(reply: "NotInText") -> tuple[str, ...]:
    """Return what is not in the plain text."""
    if not reply.pictures:
        return ()
    count = plural(reply.pictures, "picture is", "pictures are", marks=True)
    how = to_type("stores record copy FILE")
    return (f"{count} not in this text: for a copy with pictures use {how}",)


def reloaded(reply: "Reloaded") -> Lines:
    """Return how much was read back, and what has still to be put beside it."""
    lines = [Line(f"{reply.rows:,} rows read back into {reply.to}: no fault in the record.")]
    if not reply.pictures_missing:
        return Lines(lines)
    count = plural(reply.pictures, "picture", marks=True)
    if not reply.folder:
        where = to_type("--pictures FOLDER")
        said = f"{count} on record, not in the text: say where with {where}"
        return Lines([*lines, Line(said, "! ", "  ")])
    said = (
        f"{count} on record, {reply.pictures_missing:,} of them not here, for the text has no "
        "pictures. Put the folder of pictures here:"
    )
    return Lines([*lines, Line(said, "! ", "  "), Line(f"  {reply.folder}", whole=True)])
