"""Inspections and specifications in words."""

from collections.abc import Collection, Sequence
from shlex import quote
from typing import TYPE_CHECKING

from stores.errors import shorten
from stores.model.ledger import Condition
from stores.text import beside, counted, join, many, plural
from stores.wording import Said
from stores.wording.common import pieces_there
from stores.wording.marks import plain, quoted, to_type

if TYPE_CHECKING:
    from stores.errors import StoresError
    from stores.usecases.assembling import PointMeasured
    from stores.usecases.inspect import Inspected, Specified
    from stores.usecases.sitting import InspectedEach, Inspection, ToInspect

__all__ = [
    "HINTS",
    "KEYS",
    "REFUSALS",
    "answer",
    "cautions_of_line",
    "inspected",
    "inspected_each",
    "measured",
    "no_keys",
    "sat_through",
    "specified",
    "to_inspect",
    "what_is_next",
]


_SPOIL = "Mark it scrap so that it is not fitted by mistake; keep one as a pattern to take along."


def _nothing(what: str, pieces: tuple[object, ...]) -> str:
    return (
        f"nothing in {what} is left to inspect: {pieces_there(pieces)}. To inspect them again, say "
        f"how many, or which with {to_type('--of CONDITION')}"
    )


def _marked_repairable(what: str, pieces: tuple[object, ...]) -> str:
    return f"{what} was marked repairable: {pieces_there(pieces)}. Repaired now? " + to_type(
        f'stores inspect {what} serviceable --work "WHAT WAS DONE" --by WHOM'
    )


def _list_faults(faults: tuple[tuple[str, "StoresError"], ...]) -> str:
    from stores.wording.refusals import line_of

    said = "; ".join(
        f"{number}. '{shorten(typed, 40)}': {line_of(error)}"
        for number, (typed, error) in enumerate(faults, start=1)
    )
    if len(plain(said)) > 480:  # a refusal is one line: each is named, why only of the first
        named = ", ".join(f"'{shorten(typed, 20)}'" for typed, _ in faults)
        said = f"{named}; the first: {shorten(plain(line_of(faults[0][1])), 120)}"
    return f"{plural(len(faults), 'fault')} in the list, nothing was recorded: {said}"


def _command(
    what: str, verdict: str = "", quantity: str = "", reason: str = "", said: str = ""
) -> str:
    return to_type(
        " ".join(filter(None, ("stores inspect", what, quantity, verdict, reason, said)))
    )


def _specify(what: str, text: str, *, other: bool = False) -> str:
    return to_type(f"stores piece specify {what} {quote(text)}{' --other' if other else ''}")


REFUSALS = {
    "a verdict or a reading": "a verdict or a reading, not both: the limit gives the verdict",
    "no such verdict": (
        "I don't know the verdict {typed!r}. Use one of: good, repair, scrap, unsure"
    ),
    "no verdict": "say the verdict: good, repair, scrap or unsure",
    "what was measured": "say what was measured, and the tool's uncertainty above 0",
    "nothing to inspect": _nothing,
    "marked repairable": _marked_repairable,
    "an inspection makes nothing new": (
        "an inspection makes nothing new: " + quoted("{hint}") + " brings new pieces in"
    ),
    "as removed is no verdict": (
        "'as removed' means not inspected: to take a verdict back, " + quoted("{hint}")
    ),
    "verdict needs a reason": "say why: {hint}",
    "count behind the verdict": (
        "is {count} the count? It goes before: {hint}; if it belongs to the reason, put the reason "
        "in quotes"
    ),
    "a verdict said twice": (
        f"give the verdicts in one way: behind what they are of, or with {to_type('--list')}"
    ),
    "verdict without a count": (
        "several verdicts, but one has no count: say how many of each, or 'rest': {hint}"
    ),
    "a verdict within the reason": (
        "{word!r} within the reason looks like another verdict: give each verdict its own count, "
        "as in: {hint}"
    ),
    "verdict without a reason": "say why it is {verdict}: write the reason behind it",
    "nothing left to inspect": lambda what, pieces: (
        f"nothing left to inspect in {what}: {pieces_there(pieces)}"
    ),
    "an empty list": "the list is empty: write it as '1.1 good; 1.2 3 good 1 scrap necked'",
    "no verdict in the list": "no verdict for {what}: write {what} good, or {what} scrap WHY",
    "verdicts without counts": (
        "several verdicts for {what} need a count before each: {what} 3 good 1 scrap WHY"
    ),
    "count behind a verdict": (
        "is {count} the count? It goes before the verdict: {what} {count} {verdict}"
    ),
    "faults in a list": _list_faults,
    "nothing specified": (
        "say what should be there, as in: " + to_type("stores piece specify 7.2 '4 M6x25 hex'")
    ),
    "on the machine already": (
        lambda quantity, text: (
            f"{many(quantity, text)} are on the machine already: undo the refit first"
        )
    ),
    "a loose piece is what it is": (
        "{item} is loose: nothing else should be there; say what it is, without "
        + to_type("--other")
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
        f"there instead: {quoted(hint + ' --name')} if it is the name, "
        f"{quoted(hint + ' --other')} if not"
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
    if reply.work is not None and all(each.condition is None for each in reply.items):
        names = " ".join(each.item for each in reply.items)
        return Said(
            (
                f"Work done: {reply.work.words}{tag}",
                *(f"  {each.item}  {many(each.quantity, each.text)}" for each in reply.items),
            ),
            ("When inspected: " + to_type(f"stores inspect {names} serviceable"),),
        )
    lines: list[str] = []
    heading = ""
    for each in reply.items:
        why = f": {each.reason}" if each.reason else ""
        head = f"Inspected, {each.condition}{why}{tag}"
        if head != heading:
            lines.append(head)
            heading = head
        loose = f" (loose now; {each.bought_for} is short of it again)" if each.bought_for else ""
        was = f", was {join(each.were)}" if each.were else ""
        lines.append(f"  {each.item}  {many(each.quantity, each.text)}{was}{loose}")
    if reply.work is not None:
        conditions = {each.condition for each in reply.items}
        passed = len(conditions) > 1 and Condition.SERVICEABLE in conditions
        lines.append(f"Work done{' on those that passed' if passed else ''}: {reply.work.words}")
    notes = []
    if reply.left_out:
        names = ", ".join(beside(each.item, each.text) for each in reply.left_out)
        notes.append(f"Left out, always renewed: {names}")
    for each in reply.left_condemned:
        why = f" ({each.reason})" if each.reason else ""
        notes.append(
            f"Still condemned: {beside(each.item, many(each.quantity, each.text))}{why}. "
            "Sound after all? "
            + to_type(f"stores inspect {each.item} {each.quantity} serviceable --of condemned")
        )
    if any(each.condition is Condition.CONDEMNED for each in reply.items):
        notes.append(_SPOIL)
    return Said(lines, notes)


def _differs(fields: tuple[str, ...]) -> str:
    return f"another {join([_FIELDS.get(each, each) for each in fields])}"


def inspected_each(reply: "InspectedEach") -> Said:
    """Return what has which verdict now, a line for each item."""
    lines = []
    left_out: dict[str, None] = {}
    for each in reply.verdicts:
        why = f": {each.reason}" if each.reason else ""
        lines += [
            f"  {item.item}  {many(item.quantity, item.text)}  {each.condition}{why}"
            for item in each.items
        ]
        left_out |= dict.fromkeys(beside(item.item, item.text) for item in each.left_out)
    notes = [f"Left out, always renewed: {', '.join(left_out)}"] if left_out else []
    if any(each.condition is Condition.CONDEMNED for each in reply.verdicts):
        notes.append(_SPOIL)
    return Said((f"{counted(reply.pieces)} inspected", *lines), notes)


KEYS = (
    "g good, r repair, s scrap, u unsure; 3g: three of them good; w why; Enter skip, b back, q stop"
)
"""The keys of a sitting."""


no_keys = "going through them key by key needs a terminal; without one give a list: " + to_type(
    'stores inspect --list "1.1 good; 1.2 3 good 1 scrap necked"'
)


def to_inspect(reply: "Inspection") -> Said:
    """Return how much there is to inspect, and what is left out."""
    left_out = ", ".join(beside(each.item, each.text) for each in reply.left_out)
    notes = (f"Left out, always renewed: {left_out}",) if left_out else ()
    if not reply.lines:
        return Said((f"Nothing left to inspect in {reply.name}.",), notes)
    pieces = sum(line.quantity for line in reply.lines)
    lines = plural(len(reply.lines), "line")
    return Said((f"To inspect in {reply.name}: {lines}, {counted(pieces)}",), (*notes, KEYS))


def cautions_of_line(line: "ToInspect") -> tuple[str, ...]:
    """Return what can hurt at a line of a sitting."""
    return ((f"HAZARD: {line.hazard}",) if line.hazard else ()) + line.cautions


def what_is_next(
    line: "ToInspect", left: int, number: int, of: int, shown: Collection[str] = ()
) -> Said:
    """Return a line of a sitting: what it is, how many, where, and what to look for.

    ``shown`` are cautions that another line of the step has just shown.
    """
    at = f"  @ {line.position}" if line.position else ""
    where = ", ".join(filter(None, (line.assembly, line.part)))
    held = "; ".join(dict.fromkeys(f"{each.condition}, {each.where}" for each in line.pieces))
    lines = [
        f"{number} of {of}   {line.item}  {many(left, line.text)}{at}",
        f"     {where}; {held}" if where else f"     {held}",
    ]
    if line.verdict:
        lines.append(f"     so far: {line.verdict}")
    if line.points:
        lines.append(f"     Look for: {line.points}")
    for limit in line.limits:
        found = f"; last measured {limit.found}" if limit.found else ""
        lines.append(f"     Limit on record: {limit.name}, {limit.limits}{found} (m to measure)")
    return Said(lines, (), [each for each in cautions_of_line(line) if each not in shown])


def answer(reply: "InspectedEach") -> str:
    """Return an answer that was recorded."""
    (each,) = reply.verdicts
    why = f": {each.reason}" if each.reason else ""
    return f"     recorded: {reply.pieces} {each.condition}{why}"


def measured(reply: "PointMeasured") -> str:
    """Return what was measured beside its limits."""
    verdict = "within" if reply.within else "NOT within"
    return f"{reply.name} {reply.found:g} {reply.unit}, {verdict} {reply.limits}"


def sat_through(given: "Sequence[InspectedEach]", skipped: int, last: int) -> Said:
    """Return what a sitting came to; ``last`` is the newest act that stands of it."""
    sums: dict[str, int] = {}
    for reply in given:
        for each in reply.verdicts:
            sums[each.condition] = sums.get(each.condition, 0) + reply.pieces
    if not sums:
        return Said(("Nothing was recorded.",))
    said = ", ".join(f"{count} {condition}" for condition, count in sums.items())
    pieces = counted(sum(sums.values()))
    passed = f"; {plural(skipped, 'line')} skipped" if skipped else ""
    notes = [f"To take the last answer back: {to_type(f'stores undo act {last}')}"]
    if Condition.CONDEMNED in sums:
        notes.append(_SPOIL)
    return Said((f"Recorded, {pieces} inspected: {said}{passed}.",), notes)


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
        notes.append(
            f"Understood as the name of what was recorded as {reply.as_found}: nothing to buy."
        )
        if not reply.said_so and not reply.item.startswith("0."):
            again = _specify(reply.item, reply.as_specified, other=True)
            notes.append(f"If it should be there instead: {again}")
    elif reply.taken_as == "another thing" and reply.as_found != reply.as_specified:
        why = f" ({_differs(reply.differences)})" if reply.differences else ""
        notes.append(
            f"Understood as something other than was found{why}: the old ones are not refitted."
        )
    spare = reply.spare
    if spare is not None:
        notes.append(
            f"{spare.quantity} new {spare.text}, bought to the old specification, are loose "
            f"spares now: {spare.item}"
        )
    return Said((line,), notes)
