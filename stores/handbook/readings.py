"""What a line with a question in it may have meant, each written so that the question is answered.

Made by rules of what was left unread: a bare figure is a count or a length, threads an inch without
a series fit two. Each is read before it is offered: it leaves less open than the line that was
typed, and nothing that this had not left open.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from stores.errors import StoresError
from stores.handbook.benchline import BenchLine, lines_in, read_line, says_how_many, things_in
from stores.handbook.fastener import TWO_THINGS, Fastener, Kind
from stores.handbook.fastener.model import Series
from stores.handbook.thread.catalogue import find

__all__ = ["MOST_READINGS", "readings"]

MOST_READINGS = 4
"""So many are offered: more are not read on a phone."""

_FIGURES = re.compile(r"(?<![\d.,/])\d{1,3}(?![\d.,/])")
_BARE = re.compile(r"[x×\s,(-]*\d{1,3}[\s,)]*(?:off|pcs)?", re.IGNORECASE)
_EITHER = re.compile(r"\d{1,3}\s*(?:or|to)\s*\d{1,3}", re.IGNORECASE)
_LONG = frozenset({Kind.BOLT, Kind.SCREW, Kind.STUD})
_KNOWN = frozenset(series.value for series in Series)
_LONGEST = {"mm": 400, "in": 12}
"""What is still likely of a bolt; longer ones say their unit (common practice)."""
_SET_SCREW = re.compile(r"(?:\bhex )?\bset screw\b")
_SET_SCREWS = ("hex full thread set screw", "grub screw")


def readings(written: str) -> tuple[str, ...]:
    """Return up to four lines that this one may have meant; none where no rule knows any.

    >>> readings("M6 bolts x 4")
    ('4 off M6 bolt', '1 off M6 bolt 4 mm long')
    >>> readings("1/4 x 20 tpi nut")
    ('1 off 1/4 BSW nut', '1 off 1/4 UNC nut')
    >>> readings("2 cotter 5/32 x 1 1/2")
    ('2 split pin 5/32 x 1 1/2', '2 tapered cotter 5/32 x 1 1/2')
    >>> readings("4 M6x25 hex")
    ()
    """
    try:
        line = read_line(written)
    except StoresError:
        return ()
    if not line.questions or line.layers or line.still_on or line.thing != line.specified:
        return ()
    if written.count("@") > 1:  # two places: that is two lines
        return ()
    if TWO_THINGS in line.thing.questions:
        return _apart(line)[:MOST_READINGS]
    tail = f" @ {line.position}" if line.position else ""
    offered: dict[tuple[int, str], str] = {}
    for candidate, answered in _candidates(line):
        try:
            read = read_line(candidate + tail)
        except StoresError:
            continue
        fewer = set(read.questions) < set(line.questions)
        if fewer and not _left_out(written, candidate + tail, answered) and _all_read(read):
            offered.setdefault((read.found, read.thing.spec), candidate + tail)
    return tuple(offered.values())[:MOST_READINGS]


def _apart(line: BenchLine) -> tuple[str, ...]:
    """Return two things as lines that each have their count: what has none is as many as the first,
    or one, and what has no size as large as what has one, or not.

    >>> readings("4 M6x25 bolts and nuts")
    ('4 off M6 x 25 bolt and 4 off M6 nut', '4 off M6 x 25 bolt and 1 off M6 nut', \
'4 off M6 x 25 bolt and 4 off nut', '4 off M6 x 25 bolt and 1 off nut')
    """
    tail = f" @ {line.position}" if line.position else ""
    things = [read_line(each) for each in things_in(line.written)]
    size = next((each.thing for each in things if each.thing.series is not None), None)
    offered: dict[str, None] = {}
    for sized, count in ((size, line.found), (size, 1), (None, line.found), (None, 1)):
        said = []
        for at, each in enumerate(things):
            thing = each.thing
            if sized is not None and thing.kind in _OF_ONE_SIZE and not thing.size:
                thing = replace(
                    thing, series=sized.series, size=sized.size, pitch_or_tpi=sized.pitch_or_tpi
                )
            many = each.found if says_how_many(each.written) or not at else count
            said.append(f"{many} off {thing.spec}")
        candidate = f"{', '.join(said[:-1])} and {said[-1]}{tail}" if things else ""
        lines = lines_in(candidate or line.written)
        if len(lines) != len(things):
            continue
        open_ones = {question for each in lines for question in read_line(each).questions}
        if open_ones < set(line.questions):
            offered.setdefault(candidate)
    return tuple(offered)


_OF_ONE_SIZE = frozenset(
    (Kind.BOLT, Kind.SCREW, Kind.STUD, Kind.NUT, Kind.WASHER, Kind.SPRING_WASHER)
)
"""What goes together in one size."""


def _left_out(written: str, candidate: str, answered: Sequence[str]) -> bool:
    """Tell whether a figure that was typed is in a reading no more, but for those it answers."""
    figures = re.findall(r"\d+", candidate)
    for each in re.findall(r"\d+", written):
        if each in figures:
            figures.remove(each)
        elif each not in answered:
            return True
    return False


def _all_read(line: BenchLine) -> bool:
    return not any(re.search(r"\d", words) for words in line.thing.unread)


def _candidates(line: BenchLine) -> Iterator[tuple[str, Sequence[str]]]:
    """Give what the line may have meant, each with the figures that it answers otherwise."""
    thing = line.thing
    short = line.found != line.wanted  # what is missing stays missing, whatever the thing is
    count = f"{line.found} of {line.wanted}" if short else f"{line.found} off"
    for words in thing.unread:
        figures = _FIGURES.findall(words)
        rest = replace(thing, unread=tuple(each for each in thing.unread if each != words))
        if _EITHER.fullmatch(words) and not line.counted:
            yield from ((f"{int(each)} off {rest.spec}", figures) for each in figures)
        if not _BARE.fullmatch(words):
            continue
        (figure,) = figures
        for each in _threads(rest, figure):
            yield f"{count} {each.spec}", figures
        if not line.counted:
            yield f"{int(figure)} off {rest.spec}", ()
        unit = "in" if "/" in rest.size else "mm"
        if _may_be_long(rest) and int(figure) <= _LONGEST[unit]:
            yield f"{count} {rest.spec} {int(figure)} {unit} long", ()
    if thing.pitch_or_tpi and thing.series is None:
        for each in _threads(thing, thing.pitch_or_tpi):
            yield f"{count} {each.spec}", re.findall(r"\d+", thing.pitch_or_tpi)
    if _SET_SCREW.search(thing.spec):
        for meant in _SET_SCREWS:
            yield f"{count} {_SET_SCREW.sub(meant, thing.spec)}", ()
    else:
        yield from ((each, ()) for each in _in_other_words(line))


_ASKED = re.compile(r"(?P<word>[^:]+): (?P<things>an? .+)\?")
_OR = re.compile(r" or |, ")
_ASIDE = re.compile(r"\b(?:an?|the) |\s*\([^)]*\)")


def _in_other_words(line: BenchLine) -> Iterator[str]:
    """Give the line with a word that is asked about as each of the things that it may be: of
    "cotter: a split pin (American), or a tapered cotter (British)?" two."""
    said = line.written.partition("@")[0].strip()
    for question in line.questions:
        asked = _ASKED.fullmatch(question)
        if not asked:
            continue
        word = re.compile(rf"\b{re.escape(asked['word'])}\b", re.IGNORECASE)
        for thing in _things(asked["things"]):
            yield word.sub(lambda _, thing=thing: thing, said, count=1)  # type: ignore[misc]


def _things(words: str) -> Iterator[str]:
    """Give the things of "a cheese or socket head, or the cylinder head of an engine", each as a
    line may name it; what takes more than three words is no name of a piece."""
    for group in _ASIDE.sub("", words).split(", or "):
        things = _OR.split(group)
        head = " head" if things[-1].endswith(" head") else ""
        for thing in things:
            named = thing if thing.endswith(head) else thing + head
            if len(named.split()) <= _MOST_WORDS:
                yield named


_MOST_WORDS = 3


def _threads(thing: Fastener, pitch: str) -> list[Fastener]:
    """Return a thing without a series in each that has its size with that pitch."""
    if thing.series is not None or not thing.size:
        return []
    try:
        threads = find(None, thing.size, pitch)
    except StoresError:
        return []
    return [
        replace(thing, series=Series(thread.series.value), pitch_or_tpi="")
        for thread in threads
        if thread.series.value in _KNOWN
    ]


def _may_be_long(thing: Fastener) -> bool:
    return thing.kind in _LONG and thing.length is None and bool(thing.size)
