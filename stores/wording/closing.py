"""The end of a day and the end of the job in words."""

from collections.abc import Callable, Iterable, Sequence

from stores.planning.closing import DayEnd, KnownCopies, Turn, Unsettled, UnsettledKind
from stores.planning.places import moved_words
from stores.text import beside, counted, day_words, local_day, many, plural
from stores.usecases.closing import ClosedOut, EndOfDay, HandedOver, InTheWay, Reopened
from stores.wording import Line, Lines, Said
from stores.wording.marks import quoted, to_type

__all__ = [
    "HINTS",
    "REFUSALS",
    "closed_out",
    "copy_words",
    "day_end",
    "day_lists",
    "handed_over",
    "in_the_way",
    "opened_again",
    "turn_words",
    "unsettled",
]

SHOWN = 4
"""How many matters a refusal names; the others are counted."""


def _in_the_way(machine: str, matters: tuple[Unsettled, ...], hint: str) -> str:
    more = f"; and {len(matters) - SHOWN} more" if len(matters) > SHOWN else ""
    return (
        f"{plural(len(matters), 'point')} to settle before {machine} can be closed: "
        f"{'; '.join(map(unsettled, matters[:SHOWN]))}{more} (all: {hint})"
    )


REFUSALS = {
    "machine closed out": (
        lambda machine, day, hint: (
            f"{machine} was closed out on {day_words(day)}, nothing was changed; to work on it "
            f"again: {hint}"
        )
    ),
    "not closed out": "{machine} is not closed out",
    "closed out already": (
        lambda machine, act, day: f"{machine} is closed out already, act {act} on {day_words(day)}"
    ),
    "nothing to close": "nothing of {machine} was taken off yet: there is nothing to close",
    "in the way of closing": _in_the_way,
    "no record to bind": "nothing of {machine} was taken off yet: there is no record to bind",
}
HINTS = {
    "look before closing": "stores machine close --look",
    "reopen": 'stores machine close --reopen "WHY" -m "{machine}"',
}


def unsettled(one: Unsettled) -> str:
    """Return one thing that is not yet as it will be at the end of the job."""
    return _UNSETTLED[one.kind](one)


def _pieces(one: Unsettled) -> str:
    return f"{many(one.quantity, one.text)} ({one.item})"


def _mixed_up(one: Unsettled) -> str:
    return f"{_pieces(one)} mixed up {one.where}: sort them"


def _away(one: Unsettled) -> str:
    if one.amounts:
        return f"{moved_words(one.amounts)} at {one.where}"
    return f"away: {_pieces(one)} at {one.where}"


def _step_off(one: Unsettled) -> str:
    return f"step {one.step} {one.where}: {one.text}{_to_undo(one)}"


def _to_undo(one: Unsettled) -> str:
    if not one.to_undo:
        return ""
    return ", to be undone" + (f": {one.how}" if one.how else "")


def _steps_by_assembly(steps: Iterable[Unsettled]) -> tuple[str, ...]:
    """Return steps that are off, a line to each assembly."""
    by_assembly: dict[str, list[str]] = {}
    for one in steps:
        by_assembly.setdefault(one.where, []).append(f"{one.step} {one.text}{_to_undo(one)}")
    return tuple(
        f"{assembly}: {'step' if len(mine) == 1 else 'steps'} {'; '.join(mine)}"
        for assembly, mine in by_assembly.items()
    )


_UNSETTLED: dict[UnsettledKind, Callable[[Unsettled], str]] = {
    UnsettledKind.NOT_ON: lambda one: (
        f"not on the machine: {_pieces(one)}" + (f", {one.short} to buy" if one.short else "")
    ),
    UnsettledKind.STILL_ON: lambda one: (
        f"still on the machine: {_pieces(one)}"
        + (f", {one.why}" if one.why else "")
        + (f" in {one.where}" if one.where else "")
    ),
    UnsettledKind.LEFT_OVER: lambda one: f"left over: {_pieces(one)}",
    UnsettledKind.AWAY: _away,
    UnsettledKind.MIXED_UP: _mixed_up,
    UnsettledKind.TO_CHECK: lambda one: f"{one.why}: {one.text} ({one.item})",
    UnsettledKind.FINGER_TIGHT: lambda one: f"only finger-tight: {one.text} ({one.item})",
    UnsettledKind.NOT_UNDONE: lambda one: (
        f"not undone yet: step {one.step} {one.text}" + (f" ({one.how})" if one.how else "")
    ),
    UnsettledKind.UNSIGNED: lambda one: f"no second check signed: step {one.step} {one.text}",
    UnsettledKind.NOT_MEASURED: lambda one: (
        f"not measured: {one.text} of step {one.step}, {one.limits}"
    ),
    UnsettledKind.OUT_OF_LIMITS: lambda one: (
        f"outside its limits: {one.text} of step {one.step}, {one.measured}, should be {one.limits}"
    ),
    UnsettledKind.SNAG: lambda one: f"open: {_snag(one)}",
    UnsettledKind.OFF: _step_off,
    UnsettledKind.BEGUN: lambda one: f"{_step_off(one)}, {counted(one.quantity)} not back yet",
    UnsettledKind.TO_BUY: lambda one: (
        f"{counted(one.quantity)} to buy: {to_type('stores shopping')}"
    ),
    UnsettledKind.QUARANTINE: lambda one: (
        f"in quarantine: {one.quantity} of {beside(one.item, one.text)}"
    ),
}


def _snag(one: Unsettled) -> str:
    return f"snag {one.snag}: {one.text} ({one.where})"


def _only_finger_tight(one: Unsettled) -> str:
    seats = f" @ {', '.join(one.positions)}" if one.positions else ""
    return f"{beside(one.item, one.text)}, {one.part}{seats}"


def day_lists(left: DayEnd) -> dict[str, tuple[str, ...]]:
    """Return what a day leaves behind, lines under their headings."""
    off, before = tuple(map(unsettled, left.off)), _steps_by_assembly(left.earlier)
    return {
        "Off": off or before,
        **({"Off from before": before} if off and before else {}),
        "Only finger-tight": tuple(map(_only_finger_tight, left.finger_tight)),
        "Begun and not finished": tuple(map(unsettled, left.begun)),
        "Mixed up": tuple(map(unsettled, left.mixed_up)),
        "Open": tuple(map(_snag, left.snags)),
        "Waits": tuple(map(unsettled, left.waits)),
    }


def day_end(reply: EndOfDay) -> Lines:
    """Return the last notes and the lists of what is off, open and waiting."""
    lines = [Line(f"Handover: {reply.machine}")]
    lines += [Line(words, rest="  ") for words in turn_words(reply.turns)]
    lines += [Line(f"{day_words(day)}: {words}", rest="  ") for day, words in reply.words]
    lists = day_lists(reply.left)
    for heading, matters in lists.items():
        if matters:
            lines.append(Line(heading))
            lines += [Line(matter, "  - ", "  ") for matter in matters]
    if not any(lists.values()):
        lines.append(Line("Nothing is off, open or waiting."))
    return Lines([*lines, *(Line(words, rest="  ") for words in copy_words(reply.copies))])


def copy_words(known: KnownCopies) -> list[str]:
    """Return when the record was last copied, where to, and what is in no copy yet."""
    if not known.ours:
        return []
    how = to_type("stores record copy FILE")
    if known.last is None:
        return [f"No copy of this record is known. To make one: {how}"]
    count = plural(known.last.acts_since, "entry", "entries", marks=True)
    since = f"{count} since then: {how}" if known.last.acts_since else "Nothing recorded since then"
    return [f"Last copy: {day_words(local_day(known.last.at))}, {known.last.to}", since]


def handed_over(reply: HandedOver) -> Said:
    """Return that a note for the next day is kept."""
    return Said((f"Kept for tomorrow, {reply.machine}: {reply.words}",))


def turn_words(turns: Sequence[Turn]) -> list[str]:
    """Return when a machine was closed out and opened again, a line each."""
    return [
        f"{'Closed out' if turn.closed else 'Opened again'} on {day_words(turn.day)}"
        + (f": {turn.words}" if turn.words else "")
        for turn in turns
    ]


def opened_again(reply: Reopened) -> Said:
    """Return that a machine may be worked on again."""
    return Said(
        (
            f"{reply.machine}, closed out on {day_words(reply.closed_on)}, is open again: "
            f"{reply.reason}",
        ),
        (f"When it is done: {to_type('stores machine close')}",),
    )


def closed_out(reply: ClosedOut) -> Said:
    """Return that a machine is closed out."""
    return Said(
        (f"{reply.machine} is closed out: nothing left over, nothing short, nothing away.",),
        (f"Its bound record: {to_type('stores machine book book.pdf')}",),
    )


def in_the_way(reply: InTheWay) -> Lines:
    """Return what is in the way of closing a machine out."""
    count = len(reply.in_the_way)
    end = (
        f"{plural(count, 'point')} to settle before {reply.machine} can be closed."
        if count
        else f"Nothing is left to settle: {reply.machine} can be closed. "
        + to_type("stores machine close")
    )
    lines = [*(Line(unsettled(one), "- ", "  ") for one in reply.in_the_way), Line(end)]
    if reply.left_over:
        lines.append(
            Line(
                "What is left over: sound pieces stay as spares with "
                f"{quoted('stores piece keep all left over')}, "
                f"throw out the rest with {quoted('stores piece scrap all left over')}",
                rest="  ",
            )
        )
    return Lines(lines)
