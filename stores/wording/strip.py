"""The strip-down in words: steps, and loose pieces."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from stores.model.ledger import PlaceKind
from stores.text import many
from stores.wording import Said
from stores.wording.common import unclear
from stores.wording.marks import quoted, to_type

if TYPE_CHECKING:
    from stores.usecases.common import Whereabouts
    from stores.usecases.strip import LooseRecorded, Stripped, StrippedLine

__all__ = ["HINTS", "REFUSALS", "loose_recorded", "stripped"]

REFUSALS = {
    "too many lines in a step": "{lines} lines in one step: at most {most}; make it two steps",
    "a job or a piece": (
        lambda part, hint: (
            f"{part!r}: something done, with no piece? Then: {hint}. If it is a piece, give its "
            f"count: '1 off {part}'"
        )
    ),
    "a job goes nowhere": "{part!r} is a job, no piece: leave " + to_type("--part-to") + " out",
    "nothing to strip": "nothing came off and nothing is missing: there is nothing to record",
    "what comes off is not new": (
        "what comes off is not new: " + quoted("{hint}") + " brings new pieces in"
    ),
    "condition needs a note": ("{condition} needs a reason: say it with " + to_type("--note")),
    "no last step": (
        f"there is no last step yet: leave {to_type('--bag')} out and a new one is used"
    ),
    "none is nothing to record": "none found: there is nothing to record",
}
HINTS = {
    "buy": "stores buy",
    "strip a job": (
        lambda assembly, part: f'stores strip "{assembly}" "{part}" --job --undo "how it is undone"'
    ),
}


def stripped(reply: "Stripped") -> Said:
    """Return what was understood of a step, line by line."""
    places = dict.fromkeys(place for place in (reply.into, reply.aside) if place is not None)
    return Said(
        (
            f"Step {reply.step}  {reply.assembly}: {reply.part}  [{reply.machine}]",
            *([f"New assembly: {reply.assembly}"] if reply.new_assembly else []),
            *_places(places),
            *([f"  nothing came off. At the rebuild: {_undone(reply)}"] if reply.job else []),
            *(f"  {_line(line)}" for line in reply.items),
            *(f"  {words}" for line in reply.items for words in _left(line)),
        ),
        (
            *unclear((each.item, each.questions) for each in reply.items),
            *(
                [f"There is no bag {reply.left_out}: some numbers are left out on purpose"]
                if reply.left_out
                else []
            ),
            *_ends(reply),
            *(
                f"{pair.items[0]} and {pair.items[1]} make {pair.total} {pair.text} in all: "
                f"is that right? To put it right: {quoted('stores piece specify')}"
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
        (
            *unclear([(reply.item, reply.questions)]),
            "When you know its joint: " + to_type(f"stores piece assign {reply.item} 7.2"),
        ),
    )


def _undone(reply: "Stripped") -> str:
    return reply.undo or f"undo this: {reply.part}"


def _left(line: "StrippedLine") -> list[str]:
    """Return what is still on the machine, and why."""
    return [
        f"{line.item}  {each.quantity} still on the machine: {each.how}"
        + (f" in {each.hole}" if each.hole else "")
        + (f" (snag {each.snag})" if each.snag else "")
        for each in line.still_on
    ]


def _ends(reply: "Stripped") -> list[str]:
    """Return what to do with what is still on the machine."""
    whole = [line.item for line in reply.items if any(not each.broken for each in line.still_on)]
    broken = [line.item for line in reply.items if any(each.broken for each in line.still_on)]
    notes = []
    if whole:
        first = whole[0]
        notes.append(
            f"When it comes off: {to_type(f'stores piece came-off {first}')}; "
            f"if it stays: {to_type(f'stores piece left-on {first}')}; "
            f"if it breaks: {to_type(f'stores piece broke {first}')}"
        )
    if broken:
        shopping = to_type("stores shopping")
        notes.append(f"A new one for the broken one is on the shopping list: {shopping}")
    return notes


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
    where = "" if place.kind is PlaceKind.STUCK else where
    text = f"{line.item}  {many(line.found, line.as_found)}" + (f", {where}" if where else "")
    if line.still_on:
        left = sum(each.quantity for each in line.still_on)
        text += f", {line.found - left} came off"
    if line.stack:
        text += f": {line.stack}"
    if line.position:
        text += f"  @ {line.position}"
    if line.as_found != line.as_specified:
        text += f"  SHOULD BE {many(line.wanted, line.as_specified)}"
    elif line.found != line.wanted:
        text += f"  ({line.found} of {line.wanted} were fitted)"
    return text + ("  [renew]" if line.renew else "")
