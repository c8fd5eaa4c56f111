"""The strip-down in words: steps, and loose pieces."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from stores.model.ledger import PlaceKind
from stores.text import many
from stores.wording import Said

if TYPE_CHECKING:
    from stores.usecases.common import Whereabouts
    from stores.usecases.strip import LooseRecorded, Stripped, StrippedLine

__all__ = ["HINTS", "REFUSALS", "loose_recorded", "stripped"]

REFUSALS = {
    "too many lines in a step": "{lines} lines in one step, {most} are the most: make it two",
    "nothing to strip": "nothing came off and nothing is missing: there is nothing to record",
    "what comes off is not new": "what comes off is not new: '{hint}' brings new pieces in",
    "condition needs a note": "{condition} needs a reason: say it with --note",
    "no last step": "there is no last step yet: leave --bag away and a new one is used",
    "none is nothing to record": "none found is nothing to record",
}
HINTS = {"buy": "stores buy"}


def stripped(reply: "Stripped") -> Said:
    """Return what was understood of a step, line by line."""
    places = dict.fromkeys(place for place in (reply.into, reply.aside) if place is not None)
    return Said(
        (
            f"Step {reply.step}  {reply.assembly}: {reply.part}  [{reply.machine}]",
            *([f"New assembly: {reply.assembly}"] if reply.new_assembly else []),
            *_places(places),
            *(f"  {_line(line)}" for line in reply.items),
        ),
        (
            *(f"Unclear: {question}" for question in reply.questions),
            *(
                f"{pair.items[0]} and {pair.items[1]} make {pair.total} {pair.text} in all: "
                "is that right? 'stores specify' mends it."
                for pair in reply.counted_twice
            ),
        ),
        ((f"HAZARD: {reply.hazard}",) if reply.hazard else ()) + reply.cautions,
    )


def loose_recorded(reply: "LooseRecorded") -> Said:
    """Return that loose pieces are on record, and what to do once their joint is known."""
    where = reply.place.kind.at(reply.place.name)
    return Said(
        (f"{reply.item}  {many(reply.quantity, reply.text)} of unknown origin, {where}",),
        (f"When you know its joint: stores assign {reply.item} 7.2",),
    )


def _places(places: "Iterable[Whereabouts]") -> list[str]:
    lines = []
    for place in places:
        if place.kind is PlaceKind.BAG:
            lines.append(f"{'New bag' if place.new else 'Bag'} {place.name}")
        elif place.new:
            lines.append(f"New place: {place.name}")
    return lines


def _line(line: "StrippedLine") -> str:
    place = line.place
    where = "" if place.kind is PlaceKind.BAG or not line.found else place.kind.at(place.name)
    text = f"{line.item}  {many(line.found, line.as_found)}" + (f", {where}" if where else "")
    if line.position:
        text += f"  @ {line.position}"
    if line.as_found != line.as_specified:
        text += f"  SHOULD BE {many(line.wanted, line.as_specified)}"
    elif line.found != line.wanted:
        text += f"  ({line.wanted} belong here)"
    return text + ("  [renew]" if line.renew else "")
