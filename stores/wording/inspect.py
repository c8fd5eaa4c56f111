"""Inspections and specifications in words."""

from typing import TYPE_CHECKING

from stores.model.ledger import Condition
from stores.text import many
from stores.wording import Said
from stores.wording.common import pieces_there

if TYPE_CHECKING:
    from stores.usecases.inspect import Inspected, Specified

__all__ = ["HINTS", "REFUSALS", "inspected", "specified"]


def _nothing(what: str, pieces: tuple[object, ...]) -> str:
    return (
        f"nothing to inspect in {what}: {pieces_there(pieces)}; "
        "say how many, or which with --of CONDITION"
    )


def _marked_repairable(what: str, pieces: tuple[object, ...]) -> str:
    return (
        f"{what} was marked repairable: {pieces_there(pieces)}. Repaired now? stores inspect "
        f'{what} serviceable --work "WHAT WAS DONE" --by WHOM'
    )


def _command(what: str, verdict: str, quantity: str = "", reason: str = "") -> str:
    return " ".join(part for part in ("stores inspect", what, quantity, verdict, reason) if part)


REFUSALS = {
    "a verdict or a reading": "a verdict or a reading, not both: the limit gives the verdict",
    "no verdict": "say the verdict: serviceable, repairable, condemned or quarantine",
    "what was measured": "say what was measured, and the tool's uncertainty above 0",
    "nothing to inspect": _nothing,
    "marked repairable": _marked_repairable,
    "an inspection makes nothing new": (
        "an inspection makes nothing new: '{hint}' brings new pieces in"
    ),
    "as removed is no verdict": (
        "'as removed' means not inspected: to take a verdict back, '{hint}'"
    ),
    "verdict needs a reason": "say why: {hint}",
    "count behind the verdict": "is {count} the count? It goes before: {hint}",
    "nothing specified": "say what should be there, as in: stores specify 7.2 '4 M6x25 hex'",
    "on the machine already": (
        lambda quantity, text: (
            f"{many(quantity, text)} are on the machine already: undo the refit first"
        )
    ),
}
HINTS = {"inspect": _command, "undo": "stores undo"}


def inspected(reply: "Inspected") -> Said:
    """Return what has which verdict now, and what was left out."""
    tag = f"  [{reply.machine}]" if reply.other_machines else ""
    why = f": {reply.reason}" if reply.reason else ""
    notes = []
    if reply.left_out:
        names = ", ".join(f"{each.item} {each.text}" for each in reply.left_out)
        notes.append(f"Left out, renewed as a rule: {names}")
    if reply.condition is Condition.CONDEMNED:
        notes.append(
            "Spoil or mark it so that it cannot creep back; keep one as a pattern to buy by."
        )
    items = [f"  {each.item}  {many(each.quantity, each.text)}" for each in reply.items]
    done = [f"Work done: {reply.work.words}"] if reply.work is not None else []
    if reply.condition is None:
        names = " ".join(each.item for each in reply.items)
        return Said(
            (f"{done[0]}{tag}", *items), (f"When inspected: stores inspect {names} serviceable",)
        )
    return Said((f"Inspected, {reply.condition}{why}{tag}", *items, *done), notes)


def specified(reply: "Specified") -> Said:
    """Return what is specified at a joint, beside what was found."""
    line = f"{reply.item}  {many(reply.found, reply.as_found)} found"
    if reply.as_specified != reply.as_found or reply.wanted != reply.found:
        line += f", should be {many(reply.wanted, reply.as_specified)}"
    if reply.reuse:
        line += f"; may be used again: {reply.reuse}"
    spare = reply.spare
    return Said(
        (line,),
        ()
        if spare is None
        else (
            f"{spare.quantity} new {spare.text}, bought to the old specification, are loose "
            f"spares now: {spare.item}",
        ),
    )
