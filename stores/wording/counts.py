"""Counts of a place, in words: what is expected, found, missing and extra."""

from typing import TYPE_CHECKING

from stores.text import counted, plural
from stores.wording import Listing, Said
from stores.wording.marks import plain, to_type
from stores.wording.refusals import line_of

if TYPE_CHECKING:
    from stores.usecases.counts import LineCounted, PlaceCompared, PlaceCounted

__all__ = ["HEADS", "HINTS", "REFUSALS", "compared", "listing", "record_it", "recorded", "rows",
           "uncounted", "verdict_and_note", "why_they_differ"]  # fmt: skip

REFUSALS = {
    "no count of an item": "I can't read {typed!r} as a count of {item}: write it as {item}=3",
    "no exception": "I can't read {typed!r}: write what and how many there are, as 1.2: 3 or "
    "2.1: none",
    "excepted twice": "{name} is named twice: say once how many there are",
    "counted and as listed": "say what was counted, or what differs from the list: not both",
    "not listed here": "{name} is not listed in {place}: leave it out",
    "in a place within": "{name} is in {inner}, which is in {place}: count {inner} by itself",
    "no such box or shelf": "no box or shelf called {name!r}: nothing was ever put there",
    "why does the count differ": (
        lambda differences, place: (
            f"{plural(differences, 'difference')} in {place}: say why, with {to_type('-n')}"
        )
    ),
    "a place that cannot be in it": "{name} cannot be in {place}: count a bag by its items, as "
    "7.2=3",
    "it holds the place counted": "{name} holds the place that is counted: it cannot be inside it",
}
HINTS: dict[str, str] = {}

HEADS = ("What", "Expected", "Found", "Verdict", "Note")
"""The columns of a count in a file."""

uncounted = "Nothing was counted yet; this is what should be there."


def rows(reply: "PlaceCompared | PlaceCounted") -> list[tuple[str, int, int, str, str]]:
    """Return the lines of a count for a file, under `HEADS`."""
    return [
        (line.what, line.expected, line.found, _verdict(line), plain(_note(line)))
        for line in reply.lines
    ]


def listing(reply: "PlaceCompared | PlaceCounted") -> Listing:
    """Return a count as a table; nothing is said of what is right."""
    table = []
    for line in reply.lines:
        words = verdict_and_note(line)
        table.append([line.what, str(line.expected), str(line.found), words])
    return Listing(["What", "Expected", "Found", ""], table, [1, 2])


def verdict_and_note(line: "LineCounted") -> str:
    """Return what is to be said of a line of a count, nothing of what is right."""
    verdict = _verdict(line)
    return ": ".join(filter(None, ("" if verdict == "right" else verdict, _note(line))))


record_it = "Record this count?"
why_they_differ = "Why do they differ?"


def compared(reply: "PlaceCompared") -> list[str]:
    """Return how a count compares with the record, and how to record it."""
    differ = plural(reply.differences, "difference") if reply.differences else "all as expected"
    count = plural(len(reply.lines), "line")
    lines = [f"{reply.place}: {count}, {differ}. Nothing was written."]
    if reply.differences:
        how = to_type("--accept") + " " + to_type('-n "WHY"')
        lines.append(f"To record it: the same command with {how}")
    return lines


def recorded(reply: "PlaceCounted") -> Said:
    """Return that a count is on record."""
    where = reply.kind.at(reply.place)
    verdict = plural(reply.differences, "difference") if reply.differences else "as expected"
    moved = f"; {counted(reply.moved)} moved" if reply.moved else ""
    return Said((f"Counted {where}: {verdict}{moved}",))


def _verdict(line: "LineCounted") -> str:
    if line.verdict == "extra":
        return "not understood" if line.unread else "does not belong here"
    if line.verdict == "too many":
        return f"{line.found - line.expected} too many"
    if line.verdict == "missing" and line.kind == "item":
        return f"{line.expected - line.found} missing"
    return line.verdict


def _note(line: "LineCounted") -> str:
    if line.recorded_in:
        return f"recorded in {line.recorded_in}"
    return line_of(line.unread) if line.unread else ""
