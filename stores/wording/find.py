"""What was found, in words."""

from collections.abc import Iterable
from itertools import groupby
from typing import TYPE_CHECKING

from stores.model.ledger import Condition
from stores.text import day_words, many
from stores.wording import Line, Lines

if TYPE_CHECKING:
    from stores.usecases.common import PiecesAt
    from stores.usecases.find import FittingJoint, Found, FoundByMeasure, FoundItem
    from stores.usecases.measuring import Identified, LengthRule

__all__ = ["HINTS", "REFUSALS", "by_measure", "found", "threads"]


def _empty(bag: str, were: tuple[str, ...]) -> str:
    return f"bag {bag} is empty" + (f"; its pieces were {', '.join(were)}" if were else "")


REFUSALS = {
    "no such head": "no head is called {typed!r}: say hex, csk, cheese, pan, socket cap",
    "bag empty now": _empty,
    "too many words to find": "more than twenty words to find: try fewer",
    "nothing like it": "nothing like {typed!r} is recorded: try fewer words",
}
HINTS: dict[str, str] = {}

_LEAST = 0.005
"""What is less likely than half a per cent is not shown."""


def found(reply: "Found") -> Lines:
    """Return what fits, step by step, and where each piece is now."""
    lines: list[Line] = []
    if reply.bag:
        lines.append(Line(f"Bag {reply.bag}" + (f" ({reply.inside})" if reply.inside else "")))
    elif len(reply.items) > 1:
        lines.append(Line(f"{len(reply.items)} joints fit:"))
    for _, group in groupby(reply.items, key=lambda item: (item.machine, item.step)):
        items = list(group)
        lines += _step(items[0], named=reply.other_machines)
        for item in items:
            lines += _item(item)
        if items[0].pictures:
            lines.append(Line(f"pictures: {_ranges(items[0].pictures)}", "  ", "       "))
    return Lines(lines)


def by_measure(reply: "FoundByMeasure") -> Lines:
    """Return the threads by the record, then the joints, with where their pieces are."""
    lines = [
        Line("Thread, with what this stores has on record:"),
        *threads(reply.identified, most=5).lines,
        Line("Joints:"),
    ]
    shown = [joint for joint in reply.joints if joint.probability >= _LEAST][:8]
    if not shown:
        lines.append(Line("Nothing recorded fits: it is of no joint that has been stripped."))
    for joint in shown:
        lines += _joint(joint)
    remaining = 1 - sum(joint.probability for joint in shown)
    if shown and remaining >= _LEAST:
        lines.append(Line(f"{_percent(remaining):>9}  another joint, or none that is recorded"))
    if reply.length_rule is not None:
        lines.append(Line(f"Length: {_rule(reply.length_rule)}", "", "  "))
    return Lines(lines)


def threads(reply: "Identified", *, most: int = 8) -> Lines:
    """Return the threads that fit and how twins are told apart."""
    lines = [] if reply.threads else [Line("No thread of the tables fits.")]
    for likely in reply.threads[:most]:
        if likely.probability >= _LEAST:
            lines.append(Line(f"  {_percent(likely.probability):>9}  {likely.thread}"))
    if reply.none >= _LEAST:
        lines.append(Line(f"  {_percent(reply.none):>9}  none of these"))
    if reply.look_again:
        lines.append(Line(f"Look again: {reply.look_again}.", "", "  "))
    else:
        lines += [Line(f"Twins: {twins.tell_apart}", "", "  ") for twins in reply.twins]
    return Lines(lines)


def _percent(probability: float) -> str:
    from stores.handbook.identify.model import percent

    return percent(probability)


def _rule(rule: "LengthRule") -> str:
    if rule.head:
        return f"{rule.head}: {rule.rule}, from {rule.start} to {rule.end} ({rule.source})"
    return "under the head; countersunk and headless screws overall (ISO 225)"


def _step(item: "FoundItem", *, named: bool) -> list[Line]:
    text = f"Step {item.step}  {item.assembly}: {item.part}, off {day_words(item.date)}"
    if not item.step:
        text = "Loose: unknown origin, or spares"
    lines = [Line(text + (f"  [{item.machine}]" if named else ""), "", "        ")]
    if item.note:
        lines.append(Line(f"note: {item.note}", "  ", "  "))
    if item.hazard:
        lines.append(Line(f"HAZARD: {item.hazard}", "! ", "  "))
    return lines


def _item(item: "FoundItem") -> Iterable[Line]:
    seat = f" @ {item.position}" if item.position else ""
    count = item.found if item.step else _in_hand(item)
    yield Line(f"{item.item}  {many(count, item.as_found)}{seat}", "  ", "       ")
    if item.step and (item.wrong or item.found != item.wanted):
        yield _below(f"should be {many(item.wanted, item.as_specified)}")
    held = "; ".join(_held(item, pieces) for pieces in item.now)
    yield _below(held or "none in the stores")
    if item.findings:
        yield _below(f"inspected: {item.findings}")
    if any(line.done for line in item.story):
        told = "; ".join(f"{day_words(line.date)} {line.words}" for line in item.story)
        yield _below(f"story: {told}")


def _below(text: str) -> Line:
    return Line(text, "       ", "       ")


def _in_hand(item: "FoundItem") -> int:
    return sum(pieces.quantity for pieces in item.now if pieces.kind.in_hand)


def _held(item: "FoundItem", pieces: "PiecesAt") -> str:
    what = f" {item.as_specified}" if item.wrong and pieces.condition is Condition.NEW else ""
    return f"{pieces.quantity} {pieces.condition}{what} {pieces.where}"


def _joint(joint: "FittingJoint") -> Iterable[Line]:
    item = joint.item
    seat = f" @ {item.position}" if item.position else ""
    if not item.step:
        count = _in_hand(item)
    else:
        count = item.found if joint.text == item.as_found and item.found else item.wanted
    yield Line(
        f"{_percent(joint.probability):>9}  {item.item}  {many(count, joint.text)}{seat}",
        "",
        "             ",
    )
    where = f"step {item.step} {item.assembly}: {item.part}" if item.step else "loose"
    yield Line(where, "           ", "             ")
    missed = [
        f"{joint.missing} missing as found" if joint.missing else "",
        f"{joint.lost} lost" if joint.lost else "",
        f"{item.short} short" if item.short else "",
    ]
    parts = [", ".join(part for part in missed if part).upper() if joint.missed else ""]
    if item.wrong and joint.text == item.as_found:
        parts.append(f"SHOULD BE {item.as_specified}")
    elif item.wrong:
        parts.append(f"found {item.as_found}")
    parts += ["; ".join(f"{p.quantity} {p.condition} {p.where}" for p in item.now)]
    parts += [line.done for line in item.story if line.done]
    tail = "; ".join(part for part in parts if part)
    yield Line(tail or "none in the stores", "           ", "             ")


def _ranges(numbers: tuple[int, ...]) -> str:
    from stores.planning.pictures import listed

    return listed(numbers)
