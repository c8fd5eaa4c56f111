"""What was found, in words."""

from collections.abc import Iterable
from itertools import groupby
from typing import TYPE_CHECKING

from stores.model.ledger import PlaceKind
from stores.model.stock import so_much
from stores.text import day_words, either, join, many, plural
from stores.wording import Line, Lines
from stores.wording.common import Template
from stores.wording.marks import to_type

if TYPE_CHECKING:
    from stores.usecases.common import PiecesAt
    from stores.usecases.find import FittingJoint, Found, FoundByMeasure, FoundItem, FoundJob
    from stores.usecases.measuring import Identified, LengthRule

__all__ = ["HINTS", "REFUSALS", "by_measure", "found", "threads"]


def _empty(bag: str, were: tuple[str, ...]) -> str:
    return f"bag {bag} is empty" + (f"; its pieces were {', '.join(were)}" if were else "")


def _nothing(typed: str, places: tuple[str, ...], near: str, bags: tuple[str, ...]) -> str:
    said = f"nothing like {typed!r} is recorded"
    if bags:
        return f"{said}; did you mean bag {either(bags)}? A code ends in its check letter"
    if places:
        show = to_type(f"stores place list {places[0]!r}")
        return f"{said}; did you mean the place {either(places)}? {show}"
    if near:
        return f"{said}; did you mean {near}? Nothing of that is recorded either"
    return f"{said}: try fewer words"


REFUSALS: dict[str, Template] = {
    "no such head": "no head is called {typed!r}: say hex, csk, cheese, pan, socket cap",
    "bag empty now": _empty,
    "too many words to find": "more than twenty words to find: try fewer",
    "nothing like it": _nothing,
}
HINTS: dict[str, str] = {}

NOT_SHORT = "No joint on record is short of one like it."
_LEAST = 0.005
"""What is less likely than half a per cent is not shown."""


def found(reply: "Found") -> Lines:
    """Return what fits, step by step, and where each piece is now."""
    lines: list[Line] = []
    if reply.meant:
        lines.append(Line(f"Nothing found as typed, {reply.typed!r}. Near it: {reply.meant}"))
        if reply.near:
            others = "; ".join(
                f"{each.text} ({plural(each.joints, 'joint')})" for each in reply.near
            )
            lines.append(Line(f"or did you mean {others}", "  ", "  "))
    if reply.bag:
        lines.append(Line(f"Bag {reply.bag}" + (f" ({reply.inside})" if reply.inside else "")))
        lines += [Line(caution, "! ", "  ") for caution in reply.cautions]
    elif reply.place:
        where = reply.place.kind.at(reply.place.name)
        inside = f" ({reply.inside})" if reply.inside else ""
        lines.append(Line(f"{where[:1].upper()}{where[1:]}{inside}:"))
    elif len(reply.items) > 1:
        lines.append(Line(f"{len(reply.items)} matches:"))
    for _, group in groupby(reply.items, key=lambda item: (item.machine, item.step)):
        items = list(group)
        lines += _step(items[0], named=reply.other_machines)
        for item in items:
            lines += _item(item)
        lines += _rest(reply, items[0].step)
        if items[0].pictures:
            lines.append(Line(f"pictures: {_ranges(items[0].pictures)}", "  ", "       "))
    for job in reply.jobs:
        lines += _job(job, named=reply.other_machines)
    if reply.asked_for_loose:
        lines += _short_of_one(reply)
    return Lines(lines)


def _job(job: "FoundJob", *, named: bool) -> list[Line]:
    """Return what was done at a step and is no piece."""
    tag = f"  [{job.machine}]" if named else ""
    head = f"Step {job.step}  {job.assembly}: {job.part}, {day_words(job.date)}{tag}"
    lines = [Line(head, "", "        ")]
    if job.note:
        lines.append(Line(f"note: {job.note}", "  ", "  "))
    if job.hazard:
        lines.append(Line(f"HAZARD: {job.hazard}", "! ", "  "))
    undo = job.undo or "undo this"
    state = f"done {day_words(job.undone)}" if job.undone else f"at the rebuild: {undo}"
    return [*lines, Line(f"nothing came off; {state}", "  ", "       ")]


def _rest(reply: "Found", step: int) -> list[Line]:
    """Return where else pieces of a step are, where a bag was named."""
    return [
        Line(f"rest of step {step}: {'; '.join(rest.places)}", "  ", "       ")
        for rest in reply.rest
        if rest.step.number == step
    ]


def _short_of_one(reply: "Found") -> list[Line]:
    """Return the joints that are short of a piece like the loose ones that were named."""
    if not reply.short_of_one:
        return [Line(NOT_SHORT)]
    return [Line("Short of one like it:")] + [
        Line(
            f"{each.item}  {many(each.short, each.as_specified)} short, {each.assembly}: "
            f"{each.part}" + (f"  [{each.machine}]" if reply.other_machines else ""),
            "  ",
            "       ",
        )
        for each in reply.short_of_one
    ]


def by_measure(reply: "FoundByMeasure") -> Lines:
    """Return the threads by the record, then the joints, with where their pieces are."""
    lines = [
        Line("The thread, by these measurements and by what is on record:"),
        *threads(reply.identified, most=5).lines,
        Line("Joints:"),
    ]
    shown = [joint for joint in reply.joints if joint.probability >= _LEAST][:8]
    if not reply.short_of_one:
        lines.append(Line(NOT_SHORT + (" These joints have all their pieces:" if shown else "")))
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
    lines = [] if reply.threads else [Line("No thread in the tables fits.")]
    for likely in reply.threads[:most]:
        if likely.probability >= _LEAST:
            lines.append(Line(f"  {_percent(likely.probability):>9}  {likely.thread}"))
    if reply.none >= _LEAST:
        lines.append(Line(f"  {_percent(reply.none):>9}  none of these"))
    if reply.look_again:
        lines.append(Line(f"Look again: {reply.look_again}.", "", "  "))
    else:
        lines += [Line(f"Look alike: {twins.tell_apart}", "", "  ") for twins in reply.twins]
        lines += _turns_on(reply)
    return Lines(lines)


_ON = {"painted": "painted", "rusty": "rusty or worn", "bare": "bare metal"}


def _turns_on(reply: "Identified") -> list[Line]:
    """Return the question whether it is painted or rusty, where that makes the difference."""
    named = {each.surface: each.thread for each in reply.turns_on}
    if not named:
        return []
    by_thread: dict[str, list[str]] = {}
    for surface in filter(named.__contains__, _ON):
        by_thread.setdefault(named[surface], []).append(_ON[surface])
    told = "; ".join(f"if {either(on)}, {thread}" for thread, on in by_thread.items())
    asked = either([each for each in ("painted", "rusty") if each in named]).capitalize()
    how = to_type("--surface")
    return [Line(f"{asked}? The likeliest is: {told}. Say which with {how}.", "", "  ")]


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
        text = "Loose: of unknown origin" if item.machine else "In the workshop's stock"
    lines = [Line(text + (f"  [{item.machine}]" if named and item.machine else ""), "", "        ")]
    if item.note:
        lines.append(Line(f"note: {item.note}", "  ", "  "))
    if item.hazard:
        lines.append(Line(f"HAZARD: {item.hazard}", "! ", "  "))
    return lines


def _item(item: "FoundItem") -> Iterable[Line]:
    seat = f" @ {item.position}" if item.position else ""
    count = item.found if item.step else _in_hand(item)
    yield Line(f"{item.item}  {many(count, item.as_found)}{seat}", "  ", "       ")
    if item.stack:
        yield _below(f"in order: {item.stack}")
    if item.step and (item.wrong or item.found != item.wanted):
        yield _below(f"should be {many(item.wanted, item.as_specified)}")
    if item.questions:
        check = f"{', '.join(item.to_check).upper() or 'unclear'}: "
        answer = to_type(f"stores record queries {item.item}")
        yield _below(f"{check}{'; '.join(item.questions)}: {answer}")
    held = "; ".join(_held(item, pieces) for pieces in item.now)
    yield _below(held or "none in the stores")
    if item.mixup:
        with_ = join(item.mixed_with) or "each other"
        look = to_type(f"stores piece mixed {item.mixup}")
        yield _below(f"MIXED UP with {with_}, not sorted: {look}")
    if item.findings:
        yield _below(f"inspected: {item.findings}")
    if any(line.done for line in item.story):
        told = "; ".join(f"{day_words(line.date)} {line.words}" for line in item.story)
        yield _below(f"story: {told}")


def _below(text: str) -> Line:
    return Line(text, "       ", "       ")


def _in_hand(item: "FoundItem") -> int:
    return sum(pieces.quantity for pieces in item.now if pieces.kind.in_hand)


_SOMEWHERE = frozenset(
    (PlaceKind.BAG, PlaceKind.BOX, PlaceKind.SHELF, PlaceKind.BENCH, PlaceKind.FIRM,
     PlaceKind.MACHINE)
)  # fmt: skip


def _held(item: "FoundItem", pieces: "PiecesAt") -> str:
    if pieces.unit:
        return f"{so_much(pieces.quantity, pieces.unit)} {pieces.where}"
    what = f" {pieces.what}" if item.wrong and pieces.what != item.as_found else ""
    apart = "" if pieces.kind in _SOMEWHERE else ","  # in bag A001N; but: as removed, scrapped
    return f"{pieces.quantity} {pieces.condition}{what}{apart} {pieces.where}"


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
        f"{joint.missing} missing at strip-down" if joint.missing else "",
        f"{joint.lost} lost" if joint.lost else "",
        f"{item.short} short" if item.short else "",
    ]
    parts = [", ".join(part for part in missed if part).upper() if joint.missed else ""]
    if item.wrong and joint.text == item.as_found:
        parts.append(f"SHOULD BE {item.as_specified}")
    elif item.wrong:
        parts.append(f"found {item.as_found}")
    if item.mixup:
        parts.append(f"MIXED UP with {join(item.mixed_with) or 'each other'}")
    parts += [each.upper() for each in item.to_check]
    parts += ["; ".join(f"{p.quantity} {p.condition} {p.where}" for p in item.now)]
    parts += [line.done for line in item.story if line.done]
    tail = "; ".join(part for part in parts if part)
    yield Line(tail or "none in the stores", "           ", "             ")


def _ranges(numbers: tuple[int, ...]) -> str:
    from stores.planning.pictures import listed

    return listed(numbers)
