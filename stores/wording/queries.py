"""Questions that what was typed left open, in words."""

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from stores.text import join, many, plural
from stores.wording import Line, Lines, Said
from stores.wording.correct import corrected
from stores.wording.marks import to_type

if TYPE_CHECKING:
    from stores.usecases.queries import Answered, Queries, Query

__all__ = ["HINTS", "REFUSALS", "answered", "lettered", "listed", "one_by_one", "query"]


def _no_reading(item: str, typed: str, readings: tuple[str, ...]) -> str:
    if not readings:
        return f"{item} has no readings to pick from: write the whole line as it should be"
    return f"{item} has no reading {typed!r}: {lettered(readings)}"


def lettered(readings: Sequence[str]) -> str:
    """Return readings to pick from: ``a) 4 off M6 bolt, b) 1 off M6 bolt 4 mm long``."""
    return ", ".join(f"{chr(ord('a') + at)}) {each}" for at, each in enumerate(readings))


REFUSALS = {
    "no such reading": _no_reading,
    "no open question": (
        "{item} has no open question: {text}. To change it: "
        + to_type("stores correct line {item}")
    ),
    "answer in words": lambda item, questions: (
        f"{item} still asks {join(questions)}: write the whole line as it should be, as "
        "'2 M8x20 grub screw'"
    ),
    "answer has no count": (
        "{typed!r} does not say how many: write '4 {typed}', or '1 off {typed}' for one"
    ),
}
HINTS: dict[str, str] = {}


def listed(reply: "Queries") -> Lines:
    """Return the open questions, each with its line as it was typed and as it is on record."""
    if not reply.queries:
        return Lines([Line(f"No question is open on {reply.machine}.")])
    counts = sum(each.count_to_check for each in reply.queries)
    head = f"{plural(len(reply.queries), 'line')} of {reply.machine} to settle"
    lines = [Line(head + (f", {plural(counts, 'count')} to check" if counts else ""))]
    for each in reply.queries:
        lines += query(each)
    first = reply.queries[0]
    how = "a" if first.readings else "6" if first.count_to_check else '"2 M8x20 grub screw"'
    one = to_type(f"stores record queries {first.item} {how}")
    lines.append(Line(f"Answer one: {one}", "", "  "))
    lines.append(Line(f"All in turn: {to_type('stores record queries --each')}", "", "  "))
    return Lines(lines)


def query(each: "Query") -> list[Line]:
    """Return one line's questions."""
    return [
        Line(f"{each.item}  typed: {each.typed}", "", "     "),
        Line(f"{each.assembly}: {each.part}".strip(": ") or "loose", "     ", "     "),
        Line(
            f"on record: {many(each.found, each.recorded)}"
            + (f" ({', '.join(each.to_check)})" if each.to_check else ""),
            "     ",
            "     ",
        ),
        *(Line(f"? {question}", "     ", "       ") for question in each.questions),
        *(
            [Line(f"it may be: {lettered(each.readings)}", "     ", "       ")]
            if each.readings
            else []
        ),
    ]


def answered(reply: "Answered") -> Said:
    """Return what was put right, and what is still open."""
    said = corrected(replace(reply.corrected, asked=()))
    still = [f"Still open, {reply.item}: {question}" for question in reply.questions]
    return Said(said.lines, (*said.notes, *still))


def one_by_one(query: "Query") -> str:
    """Return what may be typed to answer one."""
    if query.count_to_check:
        return (
            f"How many, 'right' for {query.found}, or the whole line; Enter leaves it open, q stops"
        )
    return "The whole line as it should be; Enter leaves it open, q stops"
