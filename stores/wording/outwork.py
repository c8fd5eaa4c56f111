"""Outwork, in words: what is being made up, away, overdue and back."""

from typing import TYPE_CHECKING

from stores.model.outwork import Mind
from stores.text import beside, counted, day_words, join, many, plural
from stores.wording import Said
from stores.wording.marks import quoted, to_type
from stores.wording.places import piece_lines, size_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stores.model.outwork import BatchCaution
    from stores.usecases.common import WorkSaid
    from stores.usecases.outwork import (
        BatchBack,
        BatchBegun,
        BatchesListed,
        BatchFilled,
        BatchLineListed,
        BatchListed,
        BatchMarked,
        BatchPicture,
        BatchReduced,
        BatchSent,
        BatchWrittenOff,
        PiecesBack,
        PiecesSent,
    )

__all__ = [
    "HINTS",
    "REFUSALS",
    "back",
    "batch_lines",
    "begun",
    "caption",
    "cautions",
    "counted_back",
    "filled",
    "marked",
    "nothing",
    "reduced",
    "sent",
    "sent_batch",
    "written_off",
]


def _too_few(asked: int | None, item: str, text: str, in_hand: int, in_other_batches: int) -> str:
    rest = f", {in_other_batches} in other batches" if in_other_batches else ""
    return f"{asked or 'all'} of {item} {text} asked for, but only {in_hand} to hand{rest}"


def _nothing_there(firm: str, firms: tuple[str, ...]) -> str:
    others = f"; pieces are at {', '.join(firms)}" if firms else ", nor at any other firm"
    return f"nothing is away at {firm}{others}"


REFUSALS = {
    "no such batch": "no batch {batch}: " + quoted("{hint}") + " shows them",
    "batch is empty": "batch {batch} is empty: {hint}",
    "batch was sent": (
        lambda batch, firm, sent: (
            f"batch {batch} was sent to {firm} on {day_words(sent)}: begin another"
        )
    ),
    "batch not sent": "batch {batch} is not sent yet: {hint}",
    "batch is back": "all of batch {batch} is back or written off",
    "not so many for a batch": _too_few,
    "nothing in hand to put in": "no piece of {what} is to hand to put in",
    "not in this batch": "nothing of {what} is in batch {batch}",
    "not away in this batch": "nothing of {what} is away in batch {batch}",
    "no such mark": "I don't know the mark {typed!r}. Use one of: {marks}",
    "nothing to mark": (
        f"mark it with {to_type('--photographed')}, {to_type('--packed')} or "
        f"{to_type('--promised DAY')}"
    ),
    "count back first": (
        "count them back first, then: " + to_type("stores inspect WHAT {condition} WHY")
    ),
    "why written off": (
        "say why they are written off: " + to_type("-n 'the plater cannot find them'")
    ),
    "count of several": "a count needs one item: name it, as 7.2",
    "count of several to send": "a count needs one item: send the others in a second command",
    "more back than away": "{quantity} of {item} {text} counted, but {away} are away in batch "
    "{batch}: what is more goes back to the firm, or is not ours",
    "a count and all but": "count one item, or say what did not come, not both",
    "not so many away": "{quantity} of {item} {text} counted, but {away} are away at {firm}",
    "nothing came back": "nothing of it came back from {firm}: there is nothing to record",
    "condemned is not sent": lambda items: (
        f"{join(items)}: condemned pieces are not sent. To have them repaired, first "
        + quoted(f'stores inspect {items[0]} repairable "WHY" --of condemned')
    ),
    "nothing in hand to send": "no piece of {what} is to hand to send",
    "not at this firm": "nothing of {what} is at {firm}",
    "nothing at this firm": _nothing_there,
}
HINTS = {
    "batches": "stores outwork batch list",
    "put_into_batch": "stores outwork batch put {batch} WHAT",
    "send_batch": "stores outwork batch send {batch}",
}

nothing = "No batch is open."


_MIND = {
    Mind.PLATING: "{detail}",
    Mind.SOFT_IN_OVEN: "no rubber, plastic or felt in an oven: take it out",
    Mind.BEARING_IN_OVEN: "bearings do not go in an oven: grease and cage are lost",
    Mind.ZINC_IN_OVEN: "zinc castings blister in an oven and melt at 380 C",
    Mind.GRIT: "grit stays in bearings and seals: take it out",
    Mind.MASK: "say what is masked: {detail}",
    Mind.METALS: "mixed metals in one lot ({detail}): each metal needs its own bath",
    Mind.WHOLE: "take it apart before sending, or say why not",
    Mind.NOT_MARKED: "not marked as {detail} yet",
}


def cautions(minded: "Iterable[BatchCaution]", *, paper: bool = False) -> tuple[str, ...]:
    """Return what to mind of a batch, a line each, with the items that it is of; on ``paper``
    without the marks, which are not for the firm."""
    return tuple(
        _whose(each) + _MIND[each.mind].format(detail=each.detail)
        for each in minded
        if not (paper and each.mind is Mind.NOT_MARKED)
    )


def _whose(each: "BatchCaution") -> str:
    if len(each.items) == 1:
        return f"{each.items[0]} {each.texts[0]}: "
    return f"{', '.join(each.items)}: " if each.items else ""


def begun(reply: "BatchBegun") -> Said:
    """Return that a batch is begun, and how to put pieces in."""
    finish = f", {reply.finish}" if reply.finish else ""
    return Said(
        (f"Batch {reply.batch} for {reply.firm}: {reply.work}{finish}",),
        (f"Put pieces in: {HINTS['put_into_batch'].format(batch=reply.batch)}",),
        reply.cautions,
    )


def filled(reply: "BatchFilled") -> Said:
    """Return what was put into a batch."""
    head = (
        f"Batch {reply.batch} for {reply.firm}: {counted(reply.put)} put in, {reply.pieces} in all"
    )
    lines = [
        f"  {line.item}  {many(line.quantity, line.text)}{_details(line, '  ')}"
        for line in reply.lines
    ]
    return Said((head, *lines), (), cautions(reply.minded))


def reduced(reply: "BatchReduced") -> Said:
    """Return what is no longer in a batch."""
    listed = ", ".join(beside(each.item, each.text) for each in reply.items)
    return Said((f"Out of batch {reply.batch}: {listed}",))


def marked(reply: "BatchMarked") -> Said:
    """Return what was marked."""
    words = list(reply.marks)
    if reply.promised is not None:
        words.append(
            f"promised for {day_words(reply.promised)}" if reply.promised else "no day promised"
        )
    return Said((f"Batch {reply.batch} for {reply.firm}: {', '.join(words)}",))


def sent_batch(reply: "BatchSent") -> Said:
    """Return that a batch is away."""
    due = f", promised for {day_words(reply.promised)}" if reply.promised else ""
    return Said(
        (
            f"Batch {reply.batch} is away at {reply.firm}: {size_of(reply.items)}{due}",
            *piece_lines(reply.items),
        ),
        (
            "The advice note to go with it: "
            + to_type(f"stores outwork batch advice-note {reply.batch}"),
        ),
        (*cautions(reply.minded), *reply.cautions),
    )


def counted_back(reply: "BatchBack") -> Said:
    """Return what is back of a batch, and what is still away."""
    return Said(
        (
            f"Batch {reply.batch}: {size_of(reply.items)} back from {reply.firm}",
            *piece_lines(reply.items),
            *(f"  still away: {line.lstrip()}" for line in piece_lines(reply.missing)),
            *_work_done(reply.work),
        ),
        () if reply.inspected else (f"Inspect each: {to_type('stores inspect WHAT serviceable')}",),
    )


def written_off(reply: "BatchWrittenOff") -> Said:
    """Return what was written off, and where it is listed now."""
    return Said(
        (
            f"Batch {reply.batch}: {size_of(reply.items)} written off at {reply.firm}",
            *piece_lines(reply.items),
        ),
        (
            "On the shopping list now. If found: "
            + to_type(f"stores piece recover {reply.items[0].item}"),
        ),
    )


def sent(reply: "PiecesSent") -> Said:
    """Return what is away at a firm."""
    what_for = f" for {reply.work}" if reply.work else ""
    lines = piece_lines(reply.items)
    size = f"{plural(len(lines), 'line')}, {size_of(reply.items)}"
    return Said(
        (
            f"Sent to {reply.firm}{what_for}: {size}",
            *lines,
        ),
        ("Photograph them laid out, put the list in with them, and count them on return.",),
        reply.cautions,
    )


def back(reply: "PiecesBack") -> Said:
    """Return what is back from a firm, where it is now, and what is still there."""
    lines = [
        f"  {each.item}  {many(each.quantity, each.text)}: {each.place.kind.at(each.place.name)}"
        for each in reply.items
    ]
    still = (
        f"Still at {reply.firm}: {counted(reply.still_away)}."
        if reply.still_away
        else f"Nothing is left at {reply.firm}."
    )
    lines += [f"  still away: {line.lstrip()}" for line in piece_lines(reply.missing)]
    head = f"{counted(reply.pieces)} back from {reply.firm}"
    return Said((head, *lines, *_work_done(reply.work)), (still,))


def _work_done(work: "WorkSaid | None") -> list[str]:
    return [f"Work done: {work.words}"] if work is not None else []


def batch_lines(reply: "BatchesListed") -> list[tuple[str, list[str]]]:
    """Return each batch: a line that says how far it is, and a line for each item in it."""
    return [(_head(each), _open_lines(each)) for each in reply.batches]


def caption(picture: "BatchPicture") -> str:
    """Return what stands under a picture on the advice note."""
    return f"Picture {picture.number}" + (f": {picture.caption}" if picture.caption else "")


def _head(each: "BatchListed") -> str:
    state = f"{each.away} of {each.pieces} away" if each.state == "away" else each.state
    due = f", promised for {day_words(each.promised)}" if each.promised else ""
    over = f", {each.days_overdue} DAYS OVERDUE" if each.days_overdue else ""
    return f"Batch {each.batch}  {each.firm}: {each.work}; {state}{due}{over}"


def _open_lines(each: "BatchListed") -> list[str]:
    lines = []
    for line in each.lines:
        count = line.away if each.sent else line.quantity
        if count or not each.sent:
            held = f", holds up step {line.step}" if line.step else ""
            back = f", {line.back} of {line.quantity} back" if each.sent and line.back else ""
            lines.append(f"{line.item}  {many(count, line.text)}{_details(line, ' ')}{back}{held}")
    return lines


def _details(line: "BatchLineListed", space: str) -> str:
    from stores.model.outwork import details

    words = details(line.metal, line.strength, line.masking, line.note)
    return f"{space}({words})" if words else ""
