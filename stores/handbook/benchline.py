"""One line of a strip-down step, as it is said at the bench.

::

    4 M6x25 hex 8.8                       four there, and four belong there
    3 of 4 M6x25 hex                      three there, four belong there
    0 of 1 gasket                         none there, one belongs there
    2 M6x40 @ rear, by the dowel          with the position
    4 M6x30 hex (should be M6x25 hex)     as found, and as specified
    4 M6x30 hex (should be 6 M6x25)       another count as well
    3 of 4 M6x20 hex bolt, 1 seized       three came off, one is still on the machine
    4 M6 stud, 1 broken in hole 3         three came off, of one a piece is in its hole
    3 shims: 0.3, 0.5, 0.1 @ left         a stack, in the order in which they sat
    left, from the gear out: 0.3, 0.5, 0.1 shims

"Found is not proved": the previous owner's bolt may be wrong, so both are kept apart.
"""

import re
from dataclasses import dataclass, replace
from functools import lru_cache

from stores import units
from stores.errors import BadValue, NotationError, StoresError
from stores.handbook.fastener import (
    A_GUESS,
    NO_NOUN,
    TWO_THINGS,
    Fastener,
    Kind,
    Series,
    is_noun,
    links,
    near_notation,
    parse,
)
from stores.text import clean, either

__all__ = [
    "MAX_COUNT",
    "BenchLine",
    "StillOn",
    "doubts_of",
    "leaves_count_open",
    "lines_in",
    "may_leave_doubt",
    "open_questions",
    "read_line",
    "says_how_many",
    "things_in",
]

MAX_COUNT = 1_000_000
"""The most pieces in one line: beyond it is a slip."""

_MIXED = re.compile(r"^\s*(\d{1,6})\s+(?=(\d+[/⁄∕]\d+|[½¼¾⅛⅜⅝⅞]))")
_SO_LONG = re.compile(r"^\S+\s*(?:inch(?:es)?|ins?\b\.?|[\"″”])\s*(?:long|lg)\b", re.IGNORECASE)
_LEADING = re.compile(r"^\s*(\d{1,6})\s+(?!off\b|x\b)([^\W\d].*)$")
_BARE = re.compile(r"^\s*\d+(\s+(of\s+\d+|off))?\s*$")
_MISSING = re.compile(r"^\s*\d*\s*(?:off\s+)?missing\b|\b(?:is|are)?\s*missing\s*$", re.IGNORECASE)
_THOUSANDS = re.compile(r"^\s*\d{1,3},\d{3}\s+\D")
_RATING = re.compile(
    r"^\s*(\d{1,6})\s+((?:v|w|a|ah|mm|cm|cc|ml|volts?|watts?|amps?|tooth|teeth|pin|way|link|hole|"
    r"stroke|speed)\s+\w.*)$",
    re.IGNORECASE,
)
_MAY_COUNT = re.compile(
    r"\d|[½¼¾⅛⅜⅝⅞]|\b(?:few|lots?|loads?|plenty|several|many|various|some|handful|dozens|bunch|tin|"
    r"jar|pile|number|about|approx\w*|circa|roughly|around|two|three|four|five|six|seven|eight|nine|"
    r"ten|twelve)\b",
    re.IGNORECASE,
)
_SO_MANY = re.compile(r"\d{1,6} (?:off )?M\d+(?: ?x ?\d+(?:\.\d+)?)*(?: [A-Za-z]+)+")
_COUNT = re.compile(r"^\d+\s*(?:x|off|no\.?)?\s+", re.IGNORECASE)
_MANY = re.compile(r"^\s*\d{7,}\s")
_OF = re.compile(
    r"^\s*(\d{1,9})\s+of\s+(\d{1,9})\s+(?:(?:off|pcs|pieces)\s+)?(?=\S)", re.IGNORECASE
)
_SHOULD = re.compile(
    r"\s*\(?\s*\b(?:(?:sh?ould|shoud|shoudl|shuold|shld|ought\s+to)\s+(?:(?:have|of)\s+been|be)|"
    r"s/b|supposed\s+to\s+be)\b\s*:?\s*(?P<text>.+?)\s*$",
    re.IGNORECASE,
)
_POSITION = re.compile(r"\s+@\s*(?P<text>[^@]+?)\s*$")
_STILL = re.compile(
    r"\s*(?:[,;(]|\band\b)\s*(?P<count>\d{1,6}|one|two|three|four|all|both)\s+"
    r"(?:(?:is|are)\s+)?(?:still\s+on(?:\s+the\s+machine)?\s*[,:]?\s+)?"
    r"(?:(?P<how>stuck(?:\s+fast)?|seized(?:\s+(?:solid|in))?|rusted\s+(?:in|on|solid)|"
    r"not\s+undone|left\s+on|rounded(?:\s+off)?|still\s+on(?:\s+the\s+machine)?|"
    r"(?:won['\u2019]?t|will\s+not|would\s+not|wouldn['\u2019]?t)\s+"
    r"(?:undo|move|turn|budge|come\s+(?:off|out|undone)))|"
    r"(?P<broke>broken|broke|snapped|sheared)(?:\s+off)?)"
    r"(?:\s+(?:in|at|inside)\s+(?P<hole>[^,;()@]+?))?"
    r"\s*\)?(?=\s*(?:[,;@]|\band\b|\(?\s*\bshould\b|$))",
    re.IGNORECASE,
)
_FEW = {"one": 1, "two": 2, "three": 3, "four": 4}
_OWN_HOLE = ("hole", "its hole", "the hole", "their holes", "place", "the machine")
_LAYER = r"(?:\d{1,3}(?:[.,]\d{1,4})?|[.,]\d{1,4})"
_LAYERS = rf"{_LAYER}(?:\s*(?:[,;+/]|and)\s*{_LAYER})*"
_THICK = r"(?:mm|thou|in(?:ch(?:es)?)?|\"|″)"
_LAYER_NOUN = (
    r"(?:[a-z-]+\s+){0,3}?(?:shims?|washers?|spacers?|distance\s+pieces?|packings?|discs?|rings?)"
)
_STACK_AFTER = re.compile(
    rf"(?P<noun>{_LAYER_NOUN})\s*:\s*(?P<layers>{_LAYERS})\s*(?P<unit>{_THICK})?\s*", re.IGNORECASE
)
_STACK_BEFORE = re.compile(
    rf"(?:(?P<side>[^:]*[^\s:]):\s*)?(?P<layers>{_LAYER}(?:\s*(?:[,;+/]|and)\s*{_LAYER})+)"
    rf"\s*(?P<unit>{_THICK})?\s+(?P<noun>{_LAYER_NOUN})\s*",
    re.IGNORECASE,
)
_THICKEST = 50_000_000
"""Nanometres: what is thicker is no shim."""


@dataclass(frozen=True, slots=True)
class StillOn:
    """So many pieces that were found and did not come off, and why: ``seized``, ``not undone``.

    ``broken`` ones came off in part; the rest is in its ``hole``, empty where that is not said.
    """

    count: int
    how: str
    broken: bool = False
    hole: str = ""


@dataclass(frozen=True, slots=True)
class BenchLine:
    """What one line says: as found, as specified, and the position.

    ``written`` is the whole line, ``said`` the thing alone in the person's own words, ``counted``
    whether a count was given. ``asked`` is what is open about the count, which is then 1.
    ``still_on`` of those found did not come off. ``layers`` are the
    thicknesses of a stack in nanometres, in order, ``unit`` what they were measured in.
    """

    found: int
    thing: Fastener
    wanted: int
    specified: Fastener
    position: str
    written: str
    said: str
    counted: bool
    still_on: tuple[StillOn, ...] = ()
    layers: tuple[int, ...] = ()
    unit: str = ""
    asked: tuple[str, ...] = ()

    @property
    def off(self) -> int:
        """How many came off: what was found, less what is still on the machine."""
        return self.found - sum(one.count for one in self.still_on)

    @property
    def count_questions(self) -> tuple[str, ...]:
        """What of the questions leaves open how many there are; the count is then 1."""
        return () if self.counted else (*self.asked, *self.thing.count_questions)

    @property
    def questions(self) -> tuple[str, ...]:
        """What is ambiguous, in plain words. A size without a noun is clear enough at the bench.

        Words that are near one of the notation's are asked about too, as BFS is near BSF.
        """
        both = (self.thing, self.specified)
        asked = [
            question
            for thing in both
            for question in thing.questions
            if not (thing.series and question == NO_NOUN)
        ]
        slips = [
            f"{word}: did you mean {either(near)}?"
            for thing in both
            for word, near in near_notation(thing.name)
        ]
        return tuple(dict.fromkeys((*self.asked, *asked, *slips)))

    @property
    def doubts(self) -> tuple[str, ...]:
        """Which of the kind and the thread its questions leave open: "kind", "thread"."""
        said: set[str] = set()
        for thing in (self.thing, self.specified):
            said.update(thing.doubts)
            others = {*thing.count_questions, *((NO_NOUN,) if thing.series else ())}
            others.update(each for each in thing.questions if each.endswith(A_GUESS))
            if thing.kind is Kind.PART and not set(thing.questions) <= others:
                said.add("kind")
            if thing.series is None and _names_series(thing.name):
                said.add("thread")
        return tuple(sorted(said))


def _names_series(name: str) -> bool:
    """Tell BFS, a slip of the pen for a thread, in a name."""
    return any(set(near) & _SERIES for _, near in near_notation(name))


_SERIES = frozenset(series.value.upper() for series in Series)


@lru_cache(maxsize=4096)
def doubts_of(written: str) -> tuple[str, ...]:
    """Return which of the kind and the thread a line that was typed leaves open.

    >>> doubts_of("2 cotter 3/8"), doubts_of("1/4 x 20 tpi bolt"), doubts_of("4 M6 nut")
    (('kind',), ('thread',), ())
    """
    line = _read(written)
    return () if line is None else line.doubts


_THREAD_SAID = re.compile(
    r"\bM\d|\dBA\b|\bTr\d|\b(?:UNC|UNF|UNEF|UNS|BSW|BSF|cycle|BSP|BSPT|BSB|NPT|wood|self-tapping)\b"
)
_THREADED = frozenset(
    (Kind.BOLT, Kind.SCREW, Kind.STUD, Kind.STUDDING, Kind.NUT, Kind.PLUG, Kind.INSERT,
     Kind.STANDOFF)
)  # fmt: skip
_TWO_KINDS = frozenset((Kind.PART, Kind.PIN, Kind.WASHER, Kind.SPRING_WASHER))


def may_leave_doubt(kind: str, text: str) -> bool:
    """Tell whether a line read as this may leave its kind or thread open; most do not.

    Lists ask it of every line, so that not every one is read again.

    >>> may_leave_doubt("nut", "M6 nut"), may_leave_doubt("nut", "3/8 nut")
    (False, True)
    """
    if kind in _TWO_KINDS or "[" in text:
        return True
    return kind in _THREADED and not _THREAD_SAID.search(text)


@lru_cache(maxsize=4096)
def open_questions(written: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what a line that was typed leaves open, and what of that is how many there are.

    >>> open_questions("M6 nuts, 3 or 4")[1]
    ('3 or 4: how many exactly?',)
    >>> open_questions("4 M6 nut")
    ((), ())
    """
    line = _read(written)
    return ((), ()) if line is None else (line.questions, line.count_questions)


@lru_cache(maxsize=4096)
def leaves_count_open(written: str) -> bool:
    """Return whether a line that was typed leaves open how many there are.

    Lists ask it of every line: so many of a metric thread, and what has neither a figure nor a word
    for a few, are not read for it.

    >>> leaves_count_open("3 or 4 M6 nuts"), leaves_count_open("1 M6x25 hex bolt")
    (True, False)
    >>> leaves_count_open("5 ish M6 nuts"), leaves_count_open("5 nuts")
    (True, False)
    """
    if _SO_MANY.fullmatch(written) or not _MAY_COUNT.search(written):
        return False
    line = _read(written)
    return line is not None and bool(line.count_questions)


def _read(written: str) -> BenchLine | None:
    try:
        return read_line(written)
    except StoresError:
        return None


def read_line(text: str) -> BenchLine:
    """Read one line.

    Raises:
        NotationError: nothing there, a count that cannot be, or notation that cannot be read;
            points at the characters.
        BadValue: a control character, or what is missing said in words.

    >>> line = read_line("3 of 4 M6 nut @ rear")
    >>> line.found, line.wanted, str(line.thing), line.position
    (3, 4, 'M6 nut', 'rear')
    """
    written = clean(text, "a line of the step")
    rest, still = _part_still_on(written)
    rest, tail = _part_should(rest)
    rest, position = _part_position(rest)
    rest, layers, unit, side = _part_layers(rest)
    position = position or side
    if tail is not None:
        tail, elsewhere = _part_position(tail)
        position = position or elsewhere
    found, wanted, rest = _part_counts(rest)
    many = _MANY.match(rest)
    if many:
        raise NotationError(
            f"more than {MAX_COUNT:,} in one line: is that a slip?", many[0].strip()
        )
    if found is None:
        rest = _count_before_fraction(rest)
        _refuse_doubtful_count(rest)
    thing = parse(rest)
    if found is None and _RATING.match(rest):
        thing = replace(parse(f"1 off {rest}"), quantity=None)  # "12 V bulb": no dozen
    asked = _doubtful_count(rest, thing) if found is None else ()
    if found is not None and thing.quantity is not None:
        raise NotationError("two counts in one line: say '3 of 4 M6x25'", written)
    counted = found is not None or thing.quantity is not None
    if found is None:
        found = 1 if thing.quantity is None else thing.quantity
    if layers:
        if counted and found != len(layers):
            raise NotationError(
                f"{found} in the stack, but {len(layers)} "
                f"thickness{'' if len(layers) == 1 else 'es'}: give each its own, in order",
                written,
            )
        found = len(layers)
    still_on = _still_on(still, found, wanted, written)
    if wanted is not None:
        found += sum(one.count for one in still_on)
    specified = thing if tail is None else _fill(parse(tail), thing)
    if tail is not None and specified.quantity is not None:
        wanted = specified.quantity
    return BenchLine(
        found,
        replace(thing, quantity=None),
        found if wanted is None else wanted,
        replace(specified, quantity=None),
        position,
        written,
        _COUNT.sub("", rest) if thing.quantity is not None else rest,
        counted,
        still_on,
        layers,
        unit,
        asked,
    )


_JOINT = re.compile(r"\s+(?:and|plus)\s+|\s*[&+;]\s*|\s*,\s+(?:and\s+)?", re.IGNORECASE)
_ONE_OF_IT = re.compile(r"an?\s+", re.IGNORECASE)


def lines_in(text: str) -> tuple[str, ...]:
    """Return the lines that a text is: two where each of two things has its own count. Where that
    is not sure it is left as it is, and what is read of it asks about it.

    >>> lines_in("two springs and a nut @ left")
    ('two springs @ left', 'a nut @ left')
    >>> lines_in("M6x25 bolt and nut")
    ('M6x25 bolt and nut',)
    """
    things = things_in(text)
    return things if things and all(map(says_how_many, things)) else (text,)


def says_how_many(text: str) -> bool:
    """Tell a line with a count, or with "a" before it.

    >>> says_how_many("a spring"), says_how_many("2 springs"), says_how_many("spring")
    (True, True, False)
    """
    return bool(_ONE_OF_IT.match(text)) or read_line(text).counted


MAX_THINGS = 8
"""So many things are in one text at most: more is a list, not a line."""


def things_in(text: str) -> tuple[str, ...]:
    """Return the things of a text that reads as two, each with the place that was said of them.

    None where the text is one thing, or which words are of which is not sure.

    >>> things_in("M6x25 bolt and nut @ left"), things_in("2 studs for cap and nut")
    (('M6x25 bolt @ left', 'nut @ left'), ())
    """
    whole = _read(text)
    if whole is None or TWO_THINGS not in whole.thing.questions:
        return ()
    if whole.still_on or whole.layers or whole.found != whole.wanted or whole.asked:
        return ()
    if whole.thing != whole.specified:
        return ()
    rest, position = _part_position(whole.written)
    tail = f" @ {position}" if position else ""
    found: list[str] = []
    at = 0
    for joint in _JOINT.finditer(rest):
        behind = _JOINT.split(rest[joint.end() :], maxsplit=1)[0]
        if _names_something(behind):
            found.append(rest[at : joint.start()])
            at = joint.end()
    found.append(rest[at:])
    if not 1 < len(found) <= MAX_THINGS or any(map(links, " ".join(found[:-1]).split())):
        return ()
    things = tuple(f"{each}{tail}" for each in found)
    return things if all(map(_by_itself, things)) else ()


def _names_something(text: str) -> bool:
    return any(map(is_noun, text.split()))


def _by_itself(text: str) -> bool:
    """Tell one thing that reads without a question of how many there are, or of which."""
    line = _read(text)
    if line is None or not line.found or line.found != line.wanted or line.still_on:
        return False
    return TWO_THINGS not in line.thing.questions and not line.count_questions


def _part_still_on(written: str) -> tuple[str, list[re.Match[str]]]:
    """Take out what a line says is still on the machine."""
    found = list(_STILL.finditer(written))
    for one in reversed(found):
        written = f"{written[: one.start()]} {written[one.end() :]}".strip()
    return written, found


def _still_on(
    said: list[re.Match[str]], found: int, wanted: int | None, written: str
) -> tuple[StillOn, ...]:
    """Return what is still on the machine. After ``3 of 4`` it comes to the three that came off;
    after a plain count, of all there were, it is part of them."""
    room = found if wanted is None else wanted - found
    made = []
    for one in said:
        typed = one["count"].casefold()
        if typed in ("all", "both"):
            count = room if typed == "all" else 2
        else:
            count = _FEW.get(typed) or int(typed)
        broken = bool(one["broke"])
        hole = " ".join((one["hole"] or "").split())
        if broken and not hole:
            raise BadValue(
                f"is the broken one still in its hole? Write '{count} {one['broke']} in hole 3'; "
                "if all of it came off, leave that out and inspect it: condemned"
            )
        how = "broken" if broken else " ".join(one["how"].casefold().split())
        how = "not undone" if how in ("left on", "still on", "still on the machine") else how
        if hole.casefold() in _OWN_HOLE:
            hole = "its hole" if broken else ""
        made.append(StillOn(count, how, broken, hole))
    total = sum(one.count for one in made)
    if made and (total > room or not all(one.count for one in made)):
        raise NotationError(
            f"{found} came off and {total} still on make {found + total}, but {wanted} belong here"
            if wanted is not None
            else f"{total} still on the machine, but only {found} were there",
            written,
        )
    return tuple(made)


def _part_layers(text: str) -> tuple[str, tuple[int, ...], str, str]:
    """Take the thicknesses of a stack out of a line; return it without, they, unit and side."""
    head = re.match(r"(?i)\s*(?:\d{1,6}\s+of\s+\d{1,6}\s+|\d{1,6}\s+(?:off\s+)?)?(?=[a-z])", text)
    start = head.end() if head else 0
    match = _STACK_AFTER.fullmatch(text, start) or _STACK_BEFORE.fullmatch(text)
    if not match:
        return text, (), "", ""
    unit = {"mm": "mm", "thou": "thou"}.get((match["unit"] or "mm").casefold(), "in")
    figures = re.findall(_LAYER, _points(match["layers"]))
    layers = []
    for figure in figures:
        size = round(units.read(f"{figure} {unit}", units.Kind.LENGTH).base * 1_000_000)
        if not 0 < size <= _THICKEST:
            raise BadValue(f"{figure} {unit} thick: is that a slip?")
        layers.append(size)
    side = match.groupdict().get("side") or ""
    if match.re is _STACK_AFTER:
        return f"{text[:start]}{match['noun']}", tuple(layers), unit, ""
    return f"{len(layers)} {match['noun']}", tuple(layers), unit, side.strip()


def _points(layers: str) -> str:
    """Return figures with points: where there is none, a comma inside a figure is one."""
    if "." in layers or not re.search(r"\d,\d", layers) or not re.search(r"[;+/]|,\s|and", layers):
        return layers
    return re.sub(r"(?<=\d),(?=\d)", ".", layers)


def _count_before_fraction(text: str) -> str:
    """At the bench a line begins with its count: ``2 5/16 BSF nut`` is two of 5/16.

    Only after a one is a size as likely: 1 1/4 in nuts hold forks and wheels.
    """
    mixed = _MIXED.match(text)
    if not mixed:
        return text
    rest = text[mixed.end() :]
    if int(mixed[1]) == 1 or _SO_LONG.match(rest):
        return text  # one off, or one and a quarter: the count is 1, the size is asked about
    return f"{mixed[1]} off {rest}"


def _doubtful_count(text: str, thing: Fastener) -> tuple[str, ...]:
    """Ask about a first figure that may be a count, a rating or part of a name: a one is one
    either way."""
    found = _RATING.match(text) or _LEADING.match(text)
    if (
        found is None
        or int(found[1]) == 1
        or any(found[1] in question for question in thing.questions)
    ):
        return ()
    rated = found.re is _RATING
    if thing.quantity is not None or not (rated or thing.kind is Kind.PART or thing.unread):
        return ()
    return (f"{found[1]}: so many, or part of the name? Counted as 1; else write {found[1]} off",)


def _refuse_doubtful_count(text: str) -> None:
    """Refuse a count of nothing, what is missing said in words, and marks between thousands."""
    if _BARE.match(text):
        raise NotationError("a count, but of what? Write it as 4 M6x25", text)
    if _MISSING.search(text):
        raise BadValue("what is missing is said by the counts: 0 of 2 M6x25, or 3 of 4 M6 nut")
    if _THOUSANDS.match(text):
        raise NotationError("write a count without a comma, as 1000", text)


def _part_should(written: str) -> tuple[str, str | None]:
    should = _SHOULD.search(written)
    if not should:
        return written, None
    head, tail = written[: should.start()], should["text"]
    if should[0].lstrip().startswith("("):
        tail, bracket, behind = tail.partition(")")
        if not bracket:
            raise NotationError("the bracket is not closed", written, should.start())
        head += behind
    if not head.strip():
        raise NotationError("say first what was found, then what it should be", written)
    return head.strip(), tail


def _part_position(text: str) -> tuple[str, str]:
    place = _POSITION.search(text)
    return (text[: place.start()], place["text"]) if place else (text, "")


def _part_counts(text: str) -> tuple[int | None, int | None, str]:
    if _BARE.match(text):
        raise NotationError("a count, but of what? Write it as 4 M6x25", text)
    counts = _OF.match(text)
    if not counts:
        return None, None, text
    found, wanted = int(counts[1]), int(counts[2])
    if wanted == 0:
        raise NotationError("none of none is nothing: say how many belong there", text)
    if max(found, wanted) > MAX_COUNT:
        raise NotationError(f"more than {MAX_COUNT:,} in one line: is that a slip?", text)
    return found, wanted, text[counts.end() :]


def _fill(specified: Fastener, thing: Fastener) -> Fastener:
    """Take from the thing as found what the specification leaves out: kind and head."""
    if specified.series is None or specified.kind not in (Kind.PART, thing.kind):
        return specified
    return replace(
        specified,
        kind=thing.kind,
        head=specified.head or thing.head,
        drive=specified.drive or ("" if specified.head else thing.drive),
        form=specified.form or ("" if specified.head else thing.form),
        questions=(),
        count_questions=(),
        doubts=(),
    )
