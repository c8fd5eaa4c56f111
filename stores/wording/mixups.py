"""What is mixed up, in words: what lies together, what tells it apart, what was sorted."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from stores.text import beside, many
from stores.wording import Line, Lines, Said
from stores.wording.marks import to_type

if TYPE_CHECKING:
    from stores.usecases.mixups import (
        MixedLine,
        MixedPair,
        MixedUpPieces,
        PiecesMixed,
        PiecesSorted,
        SortedLine,
    )

__all__ = ["HINTS", "REFUSALS", "mixed_list", "pieces_mixed", "pieces_sorted"]


def _mixups(numbers: tuple[int, ...]) -> str:
    listed = ", ".join(map(str, numbers))
    return f"mix-up {listed}" if numbers else ""


REFUSALS = {
    "mixed with what": "say what is mixed with what, two bags or lines at least: {hint}",
    "nothing in hand to mix": "nothing of {what} is in the workshop, so it cannot be mixed up",
    "the same thing": "all of it is {what} in one condition: there is nothing to tell apart",
    "nothing is mixed up": "nothing is mixed up: there is nothing to sort",
    "several are mixed up": (
        lambda mixups, hint: f"several things are mixed up, {_mixups(mixups)}: say which, {hint}"
    ),
    "no such mix-up": lambda number, mixups: (
        f"no mix-up {number}: "
        + (f"there is {_mixups(mixups)}" if mixups else "nothing is mixed up")
    ),
    "not mixed up": "{what} is not mixed up",
    "no line of sorting": (
        "{typed!r}: write what was sorted as 7.2 (all of it), 7.2=3, or 7.2=1@A003J where it is in "
        "that bag"
    ),
    "not in this mix-up": "{item} is not in mix-up {number}, which has {items}",
    "fewer are mixed up": (
        "{asked} of {item} sorted, but only {mixed} in this mix-up: count again; if the record "
        "itself is wrong, put that right first"
    ),
}
HINTS = {
    "mix": "stores piece mix A001N A003J",
    "mixed": "stores piece mixed {number}",
    "sort": "stores piece sort 1",
}


def pieces_mixed(reply: "PiecesMixed") -> Said:
    """Return what is marked as mixed up, and how to sort it."""
    each = reply.mixed
    lines = [f"Mix-up {each.mixup}: marked as mixed up, not to be refitted until sorted"]
    lines += [f"  {_line(line, each)}" for line in each.lines]
    return Said(
        lines,
        (
            *_labels(reply.bags),
            "What tells them apart: " + to_type(f"stores piece mixed {each.mixup}"),
        ),
    )


def mixed_list(replies: "tuple[MixedUpPieces, ...]") -> Lines:
    """Return what is mixed up, and what tells it apart."""
    if not replies:
        return Lines([Line("Nothing is mixed up.")])
    lines: list[Line] = []
    for each in replies:
        note = f": {each.note}" if each.note else ""
        lines.append(Line(f"Mix-up {each.mixup}{note}", rest="  "))
        lines += [Line(_line(line, each), "  ", "       ") for line in each.lines]
        lines.append(Line("To tell them apart:"))
        lines += _pairs(each.pairs)
        first = each.lines[0].item
        lines.append(
            Line(
                f"When all is sorted: {to_type(f'stores piece sort {each.mixup}')}. "
                f"Only some of them: {to_type(f'stores piece sort {each.mixup} {first}=1')}; "
                f"found in another bag: {first}=1@A003J",
                rest="  ",
            )
        )
    return Lines(lines)


def pieces_sorted(reply: "PiecesSorted") -> Said:
    """Return what is sorted, what is left, and which labels are due."""
    lines = [f"Sorted, mix-up {reply.mixup}:"]
    lines += [f"  {_sorted(line)}" for line in (*reply.lines, *reply.by_itself)]
    notes = []
    if reply.left:
        left = "; ".join(beside(line.item, many(line.quantity, line.text)) for line in reply.left)
        notes.append(f"Still mixed up: {left}")
    else:
        notes.append("Nothing of it is mixed up any more.")
    return Said(lines, (*notes, *_labels(reply.bags)))


def _labels(bags: tuple[str, ...]) -> list[str]:
    anew = to_type(f"stores labels {' '.join(bags)}")
    return [f"Labels to print again: {anew}"] if bags else []


def _line(line: "MixedLine", whole: "MixedUpPieces") -> str:
    where = "; ".join(at.where for at in line.at)
    machine = f"  [{line.machine}]" if whole.several_machines else ""
    of = f", {line.part}" if line.part and line.part != line.text else ""
    return f"{line.item}  {many(line.quantity, line.text)}{of}, {where}{machine}"


def _sorted(line: "SortedLine") -> str:
    at = line.place.kind.at(line.place.name)
    moved = ""
    if line.moved:
        moved = " (put there now)" if line.moved == line.quantity else f" ({line.moved} put there)"
    return f"{line.item}  {many(line.quantity, line.text)}, {at}{moved}"


def _pairs(pairs: "Iterable[MixedPair]") -> list[Line]:
    """Return what tells each two apart; what a look tells is said in one line."""
    lines, seen = [], []
    for pair in pairs:
        names = f"{pair.one} and {pair.other}"
        if pair.same:
            lines.append(Line(f"{names}: the same thing, either will do", "  ", "    "))
        elif not pair.tellings:
            lines.append(
                Line(
                    f"{names}: nothing on record tells them apart; look for marks, wear, pictures",
                    "  ",
                    "    ",
                )
            )
        elif pair.tellings[0].by.seen:
            seen.append(names)
        else:
            told = "; or ".join(
                f"{each.by}, {each.one} against {each.other}"
                + (f" ({each.how})" if each.how else "")
                for each in pair.tellings[:2]
            )
            lines.append(Line(f"{names}: {told}", "  ", "    "))
    if seen:
        shown = (
            "; ".join(seen[:6])
            if len(seen) <= 6
            else f"{'; '.join(seen[:6])}; and {len(seen) - 6} more"
        )
        lines.append(Line(f"by eye: {shown}", "  ", "    "))
    return lines
