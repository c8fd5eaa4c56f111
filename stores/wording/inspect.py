"""Inspections and specifications in words."""

from shlex import quote
from typing import TYPE_CHECKING

from stores.model.ledger import Condition
from stores.text import join, many
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


def _command(
    what: str, verdict: str = "", quantity: str = "", reason: str = "", said: str = ""
) -> str:
    parts = ("stores inspect", what, quantity, verdict, reason, said)
    return " ".join(part for part in parts if part)


def _specify(what: str, text: str, *, other: bool = False) -> str:
    return f"stores specify {what} {quote(text)}{' --other' if other else ''}"


REFUSALS = {
    "a verdict or a reading": "a verdict or a reading, not both: the limit gives the verdict",
    "no verdict": "say the verdict: serviceable, repairable, condemned or quarantine",
    "what was measured": "say what was measured, and the tool's uncertainty above 0",
    "nothing to inspect": _nothing,
    "an inspection makes nothing new": (
        "an inspection makes nothing new: '{hint}' brings new pieces in"
    ),
    "as removed is no verdict": (
        "'as removed' means not inspected: to take a verdict back, '{hint}'"
    ),
    "verdict needs a reason": "say why: {hint}",
    "count behind the verdict": (
        "is {count} the count? It goes before: {hint}; if it belongs to the reason, put the reason "
        "in quotes"
    ),
    "a verdict said twice": "say the verdicts in one way",
    "verdict without a count": (
        "several verdicts, but one has no count: say how many of each, or 'rest': {hint}"
    ),
    "a verdict within the reason": (
        "{word!r} within the reason looks like another verdict: give each verdict its own count, "
        "as in: {hint}"
    ),
    "nothing specified": "say what should be there, as in: stores specify 7.2 '4 M6x25 hex'",
    "on the machine already": (
        lambda quantity, text: (
            f"{many(quantity, text)} are on the machine already: undo the refit first"
        )
    ),
    "a loose piece is what it is": (
        "{item} is loose: nothing else should be there; say what it is, without --other"
    ),
    "that is what was found": (
        "{text} is what was found at {item}: say what should be there instead"
    ),
    "not its name": lambda item, found, text, differences, hint: (
        f"{text} is not another name for the {found} found at {item}: {_differs(differences)}; "
        f"if it should be there instead: {hint}"
    ),
    "a name or another thing": lambda item, found, text, hint: (
        f"I can't tell whether {text} is the name of the {found} found at {item}, or should be "
        f"there instead: '{hint} --name' if it is the name, '{hint} --other' if not"
    ),
}
HINTS = {"inspect": _command, "specify": _specify, "undo": "stores undo"}

_FIELDS = {
    "series": "thread",
    "pitch_or_tpi": "pitch",
    "thread_class": "thread class",
    "property_class": "class",
}
"""What a person calls the fields of a description, where that is another word."""


def inspected(reply: "Inspected") -> Said:
    """Return what has which verdict now, and what was left out or as it was."""
    tag = f"  [{reply.machine}]" if reply.other_machines else ""
    lines: list[str] = []
    heading = ""
    for each in reply.items:
        why = f": {each.reason}" if each.reason else ""
        head = f"Inspected, {each.condition}{why}{tag}"
        if head != heading:
            lines.append(head)
            heading = head
        loose = f" (loose now; {each.bought_for} is short of it again)" if each.bought_for else ""
        lines.append(f"  {each.item}  {many(each.quantity, each.text)}{loose}")
    notes = []
    if reply.left_out:
        names = ", ".join(f"{each.item} {each.text}" for each in reply.left_out)
        notes.append(f"Left out, renewed as a rule: {names}")
    for each in reply.left_condemned:
        why = f" ({each.reason})" if each.reason else ""
        notes.append(
            f"Still condemned: {each.item} {many(each.quantity, each.text)}{why}. Sound after all? "
            f"stores inspect {each.item} {each.quantity} serviceable --of condemned"
        )
    if any(each.condition is Condition.CONDEMNED for each in reply.items):
        notes.append(
            "Spoil or mark it so that it cannot creep back; keep one as a pattern to buy by."
        )
    return Said(lines, notes)


def _differs(fields: tuple[str, ...]) -> str:
    return f"another {join([_FIELDS.get(each, each) for each in fields])}"


def specified(reply: "Specified") -> Said:
    """Return what is specified at a joint beside what was found, and how it was taken."""
    name = reply.taken_as == "the name of what was found"
    line = (
        f"{reply.item}  {many(reply.found, reply.as_specified if name else reply.as_found)} found"
    )
    if reply.wanted != reply.found or (not name and reply.as_specified != reply.as_found):
        line += f", should be {many(reply.wanted, reply.as_specified)}"
    if reply.reuse:
        line += f"; may be used again: {reply.reuse}"
    notes = []
    if name and reply.as_found != reply.as_specified:
        notes.append(f"Taken as the name of what was recorded as {reply.as_found}: nothing to buy.")
        if not reply.said_so and not reply.item.startswith("0."):
            again = _specify(reply.item, reply.as_specified, other=True)
            notes.append(f"If it should be there instead: {again}")
    elif reply.taken_as == "another thing" and reply.as_found != reply.as_specified:
        why = f" ({_differs(reply.differences)})" if reply.differences else ""
        notes.append(f"Taken as another thing than was found{why}: the old ones are not refitted.")
    spare = reply.spare
    if spare is not None:
        notes.append(
            f"{spare.quantity} new {spare.text}, bought to the old specification, are loose "
            f"spares now: {spare.item}"
        )
    return Said((line,), notes)
