"""Printers, in words."""

from typing import TYPE_CHECKING

from stores.wording import Listing, Said
from stores.wording.marks import to_type

if TYPE_CHECKING:
    from stores.usecases.printers import PrinterRecorded, Printers

__all__ = ["HINTS", "REFUSALS", "listing", "recorded"]

REFUSALS = {
    "which printer": (
        "name the printer first: " + to_type("stores record printer upstairs --right 0.5")
    ),
    "how far out": (
        f"say how far it is out, as in {to_type('--right 0.5')} {to_type('--down -1.2')}"
    ),
    "printer too far out": lambda mm, way, most: f"{mm:g} mm {way}: expected -{most:g} to {most:g}",
    "no such resolution": (
        "{dpi} dots an inch: expected 100 to 2400, label printers have 203 or 300"
    ),
    "no such printer": lambda name, printers: (
        f"no printer {name!r}; recorded: {', '.join(printers) or 'none'} "
        f"({to_type('stores record printer NAME --right MM')})"
    ),
}
HINTS: dict[str, str] = {}


def recorded(reply: "PrinterRecorded") -> Said:
    """Return how far a printer is out."""
    words = f"{reply.printer}: {reply.right_mm:+g} mm to the right, {reply.down_mm:+g} mm down"
    words += f", {reply.dpi} dots an inch" if reply.dpi else ""
    return Said(
        (f"Printer {words}",),
        (
            "Sheets for it are shifted the other way: "
            + to_type(f"stores labels --printer {reply.printer!r}"),
        ),
    )


def listing(reply: "Printers") -> Listing:
    """Return the printers as a table."""
    return Listing(
        ["Printer", "Right", "Down", "Dots an inch"],
        [
            [each.name, f"{each.right_mm:+g} mm", f"{each.down_mm:+g} mm", str(each.dpi or "")]
            for each in reply.printers
        ],
        [1, 2, 3],
        f"No printer is recorded: {to_type('stores record printer NAME --right 0.5 --down -1.2')}",
    )
