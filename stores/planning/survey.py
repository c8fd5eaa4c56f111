"""What to look at, listen to and measure before a machine is taken apart, while it still runs.

What is asked depends on the kind of machine. Each kind has a list of its own, a text file that a
person can copy and edit::

    # A line that begins with # is for whoever edits the file.
    title: Stationary engine
    also: engine, pump set
    note: Left and right as seen from the flywheel.

    [While it runs]
    ! A caution under a heading is for all of the group.
    Leaks, wiped clean and run: from which joint | 2 lines | left and right
    Charging voltage | reading: charging
    ! A caution under a question is for that question.

Bars part a question from what goes with it, in any order: how many ``lines`` to write on, from 1 to
9 (without it the answer is written beside the question), ``left and right`` where the side matters,
and ``reading:`` with what the record calls the measurement.

The lists that come with the program are common practice of restorers and workshop manuals; no
single source.

A list fills one page of A4 at most, and warns before hands go near (`tests/cli/test_survey.py`).
Which list fits is asked, never assumed.
"""

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from stores.errors import BadValue, StoresError
from stores.text import clean, fold

__all__ = ["Look", "Part", "SurveyList", "answered", "read_list"]

MOST = 300
"""The longest question, caution or note, in characters."""
MOST_LINES = 9


@dataclass(frozen=True, slots=True)
class Look:
    """One thing to look at. ``lines`` are writing lines under it on the sheet, 0 for room beside
    it; ``reading`` is what the record calls the measurement, empty where words are the answer;
    ``sides`` asks which side."""

    text: str
    lines: int = 0
    reading: str = ""
    sides: bool = False
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """Part of the survey, in the order in which it is walked through; ``caution`` is for all."""

    name: str
    looks: tuple[Look, ...]
    caution: str = ""


@dataclass(frozen=True, slots=True)
class SurveyList:
    """The survey of one kind of machine. ``kind`` is its file's name, ``also`` other words for it,
    folded; ``note`` says what to know before, as where left and right are."""

    kind: str
    title: str
    parts: tuple[Part, ...]
    also: tuple[str, ...] = ()
    note: str = ""


def read_list(text: str, kind: str, file: str) -> SurveyList:
    """Read the list of a kind of machine; ``file`` is what a fault calls it.

    Raises:
        BadValue: a line that cannot be read; says which, and what to do.
    """
    reading = _Reading(kind, file)
    lines = re.split(r"\r\n|\r|\n", text)  # as an editor counts them
    for at, line in enumerate(lines, 1):
        if line.strip() and not line.lstrip().startswith("#"):
            reading.line(at, line.strip())
    return reading.finished(len(lines))


def answered(lists: Sequence[SurveyList], readings: Collection[str]) -> dict[str, bool]:
    """Tell of each measurement of the survey whether it was taken: the names of ``readings``."""
    known = [fold(name) for name in readings]
    return {
        look.reading: any(look.reading in name for name in known)
        for each in lists
        for part in each.parts
        for look in part.looks
        if look.reading
    }


@dataclass(slots=True)
class _Reading:
    """A file being read line by line."""

    kind: str
    file: str
    keys: dict[str, str] = field(default_factory=dict)
    parts: list[Part] = field(default_factory=list)
    begun: int = 0
    """The line of the last heading."""

    def fault(self, fact: str, line: int, **facts: Any) -> BadValue:
        return BadValue(fact, file=self.file, line=line, **facts)

    def tidy(self, text: str, what: str, line: int) -> str:
        try:
            return clean(text, what, most=MOST)
        except StoresError as error:
            raise self.fault("survey line unfit", line, reason=str(error)) from None

    def line(self, at: int, line: str) -> None:
        if line.startswith("["):
            self.heading(at, line)
        elif line.startswith("!"):
            self.caution(at, line[1:])
        elif self.parts:
            part = self.parts[-1]
            self.parts[-1] = replace(part, looks=(*part.looks, self.look(at, line)))
        else:
            self.key(at, line)

    def heading(self, at: int, line: str) -> None:
        if not line.endswith("]"):
            raise self.fault("survey heading not closed", at, typed=line[:40])
        name = self.tidy(line[1:-1], "the heading", at)
        if any(fold(name) == fold(part.name) for part in self.parts):
            raise self.fault("survey heading twice", at, typed=name[:40])
        self.asks_something()
        self.parts.append(Part(name, ()))
        self.begun = at

    def asks_something(self) -> None:
        if self.parts and not self.parts[-1].looks:
            raise self.fault("survey heading empty", self.begun, typed=self.parts[-1].name[:40])

    def caution(self, at: int, text: str) -> None:
        if not self.parts:
            raise self.fault("survey caution of nothing", at)
        words = self.tidy(text, "the caution", at)
        part = self.parts[-1]
        if not part.looks:
            whole = self.tidy(f"{part.caution} {words}", "the caution", at)
            self.parts[-1] = replace(part, caution=whole)
            return
        *before, last = part.looks
        whole = self.tidy(f"{last.caution} {words}", "the caution", at)
        self.parts[-1] = replace(part, looks=(*before, replace(last, caution=whole)))

    def key(self, at: int, line: str) -> None:
        name, colon, value = line.partition(":")
        name = name.strip().casefold()
        if not colon or name not in ("title", "also", "note"):
            raise self.fault("survey line before a heading", at, typed=line[:40])
        if name in self.keys:
            raise self.fault("survey setting twice", at, typed=name)
        self.keys[name] = self.tidy(value, f"what comes after {name}:", at)

    def look(self, at: int, line: str) -> Look:
        words, *columns = line.split("|")
        look = Look(self.tidy(words, "the question", at))
        given: set[str] = set()
        for column in columns:
            what = fold(column)
            count = re.fullmatch(rf"([1-{MOST_LINES}]) ?lines?", what)
            reading = re.fullmatch(r"reading: ?(.+)", what)
            if count:
                name, look = "lines", replace(look, lines=int(count[1]))
            elif reading:
                said = fold(self.tidy(reading[1], "the reading", at))
                name, look = "reading", replace(look, reading=said)
            elif what == "left and right":
                name, look = "sides", replace(look, sides=True)
            else:
                raise self.fault("survey column unknown", at, typed=column.strip()[:40])
            if name in given:
                raise self.fault("survey column twice", at, typed=column.strip()[:40])
            given.add(name)
        return look

    def finished(self, lines: int) -> SurveyList:
        if not self.parts:
            raise self.fault("survey list empty", max(1, lines))
        self.asks_something()
        also = [fold(word) for word in self.keys.get("also", "").split(",")]
        return SurveyList(
            self.kind,
            self.keys.get("title", self.kind),
            tuple(self.parts),
            tuple(dict.fromkeys(word for word in also if word)),
            self.keys.get("note", ""),
        )
