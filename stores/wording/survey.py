"""The survey before the strip-down, in words."""

from typing import TYPE_CHECKING

from stores.planning.survey import MOST_LINES
from stores.text import join, plural
from stores.wording import Line, Lines
from stores.wording.marks import quoted, to_type

if TYPE_CHECKING:
    from stores.planning.survey import Look, SurveyList
    from stores.usecases.survey import Survey

__all__ = ["HINTS", "REFUSALS", "kind_kept", "shown"]

_LINE = "{file}, line {line}: "
REFUSALS = {
    "which kind of machine": (
        "what kind of machine is {machine}? Say it once, with "
        + quoted("{hint}")
        + ". It is one of: {kinds}; or several, with commas between"
    ),
    "no such kind of machine": (
        "I don't know the kind of machine {typed!r}. Use one of: {kinds}; or copy a list in "
        "label_templates/surveys and give yours that name"
    ),
    "several kinds of machine": (
        "{typed!r} may be any of: {kinds}. Name one, or several with commas between"
    ),
    "no survey list": (
        "the list {kind!r} of this machine is gone: put its file back, or give another "
        + to_type("--kind")
        + ": {kinds}"
    ),
    "survey list unread": "{file}: cannot be read ({reason})",
    "survey list not UTF-8": _LINE + "not UTF-8 text: save the file as UTF-8",
    "survey line unfit": _LINE + "{reason}",
    "survey heading not closed": (
        _LINE + "the heading {typed!r} has no bracket at its end: write [While it runs]"
    ),
    "survey heading twice": (
        _LINE + "the heading {typed!r} is there already: put the questions under the first one"
    ),
    "survey heading empty": (
        _LINE + "no question under {typed!r}: write one, or take the heading out"
    ),
    "survey caution of nothing": (
        _LINE + "a caution before the first heading: put it under a heading or a question"
    ),
    "survey line before a heading": (
        _LINE + "before {typed!r} a heading such as [What is there] is missing; above the first "
        "one only title:, also: and note: may come"
    ),
    "survey setting twice": _LINE + "{typed}: is there already: take one of them out",
    "survey column unknown": (
        _LINE + "{typed!r} after a bar cannot be read: use '2 lines' (1 to "
        f"{MOST_LINES}), 'left and right' or 'reading: NAME'"
    ),
    "survey column twice": _LINE + "{typed!r} says it twice: take one out",
    "survey list empty": (
        _LINE + "no question in this list: write a heading such as [What is there], and questions "
        "under it"
    ),
}
HINTS = {"survey": "stores machine survey --kind KIND"}


def kind_kept(reply: "Survey") -> list[str]:
    """Return that the kinds of a machine were recorded, where they were."""
    if reply.act is None:
        return []
    was = f" (was {join(reply.before)})" if reply.before else ""
    return [f"Recorded: {reply.machine} is of the kind {join(reply.kinds)}{was}"]


def shown(reply: "Survey") -> Lines:
    """Return what to look at, what was measured of it, and how to write it down."""
    lines = [Line(line) for line in kind_kept(reply)]
    lines.append(Line(f"{reply.machine}: survey"))
    for each in reply.lists:
        lines += _list(each, reply.readings)
    lines += [
        Line(""),
        Line(f"{plural(len(reply.snags), 'snag')} on record, {reply.open} open"),
        Line(
            "To record a fault:       "
            + to_type('stores snag Engine leak "weeps at the drain plug"')
        ),
    ]
    if "compression" in reply.readings:
        example = to_type("stores figure reading compression 68 --wet 92")
        lines.append(Line(f"To record a measurement: {example}"))
    elif reply.readings:
        example = to_type(f'stores figure reading "{next(iter(reply.readings))}" READING')
        lines.append(Line(f"To record a measurement: {example}"))
    return Lines(lines)


def _list(each: "SurveyList", readings: dict[str, bool]) -> list[Line]:
    lines = [Line(f"{each.title}. {each.note}".strip())]
    for part in each.parts:
        lines += [Line(""), Line(part.name)]
        if part.caution:
            lines.append(Line(part.caution, "  ! ", "    "))
        for look in part.looks:
            lines += _look(look, readings)
    return lines


def _look(look: "Look", readings: dict[str, bool]) -> list[Line]:
    mark = ("x" if readings[look.reading] else " ") if look.reading else ""
    lines = [Line(look.text, f"  [{mark}] " if mark else "   -  ", "      ")]
    if look.caution:
        lines.append(Line(look.caution, "      ! ", "        "))
    return lines
