"""What is still on the machine, in words."""

from typing import TYPE_CHECKING

from stores.text import beside, join, many
from stores.wording import Said
from stores.wording.marks import to_type

if TYPE_CHECKING:
    from stores.usecases.stuck import Broke, CameOff, StaysOn

__all__ = ["HINTS", "REFUSALS", "broke", "came_off", "left_on"]

REFUSALS = {
    "nothing still on": "nothing of {item} ({text}) is still on the machine",
    "fewer still on": "{asked} of {item} asked for, but only {there} still on the machine",
    "fewer on the machine": (
        "{asked} of {item} broken in its hole? {there} on the machine. If it broke in your hand: "
        + to_type("stores inspect {item} 1 condemned broken")
    ),
    "a broken piece does not stay": (
        "{item} ({text}) is broken in its hole: a new one goes there, and its snag is cleared when "
        "the rest is out"
    ),
}
HINTS: dict[str, str] = {}


def came_off(reply: "CameOff") -> Said:
    """Return what came off after all, and where it is."""
    where = reply.place.kind.at(reply.place.name)
    cleared = join([str(number) for number in reply.snags])
    return Said(
        (f"Came off: {beside(reply.item, many(reply.quantity, reply.text))}, now {where}",),
        (
            *((f"Snag {cleared} cleared by that",) if reply.snags else ()),
            *_rest(reply.still_on),
        ),
    )


def left_on(reply: "StaysOn") -> Said:
    """Return what stays on for good."""
    pieces = many(reply.quantity, reply.text)
    return Said(
        (f"Left on for good: {beside(reply.item, pieces)}; it counts as fitted",),
        _rest(reply.still_on),
    )


def broke(reply: "Broke") -> Said:
    """Return what broke, and what that asks for."""
    return Said(
        (
            f"Broken in {reply.hole}: {beside(reply.item, many(reply.quantity, reply.text))}",
            f"  snag {reply.snag}: the rest to drill out",
        ),
        (
            *((f"To buy: {many(reply.short, reply.text)}",) if reply.short else ()),
            "When it is out: " + to_type(f'stores snag clear {reply.snag} "drilled out"'),
        ),
        reply.cautions,
    )


def _rest(count: int) -> tuple[str, ...]:
    return (f"{count} still on the machine",) if count else ()
