"""A joint from what a person types at the bench.

====================================  ===========================================================
``8 on 120``                          bolt circle, mm; numbered clockwise, the first at 12 o'clock
``8 on 120 from 1:30``                the first hole at half past one
``5 in row at 40``                    one row, the pitch in mm; numbered from the left
``2 x 5 at 80 x 45``                  two rows 80 mm apart, five in each at a pitch of 45 mm;
                                      numbered row by row from the top, each from the left
``12 2 4 6:30 9 10:30``               clock positions round a rough sketch
``0,0 45,0 90,12``                    places in mm, to the right and up; ``0, 0; 45, 0`` too
====================================  ===========================================================

What goes in a hole follows an equals sign: ``12=M6x45`` or ``0,0=45`` after a place, ``3=45``
(hole 3) after the other forms. Distances are in mm unless ``in`` or ``cm`` follows.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import cos, pi, sin

from stores import units
from stores.errors import NotationError
from stores.handbook.tightening.joint import MOST_HOLES, Form, Hole, Joint

__all__ = ["FORMS", "read_joint", "read_order"]

FORMS = (
    "8 on 120",
    "8 on 120 from 1:30",
    "5 in row at 40",
    "2 x 5 at 80 x 45",
    "12 2 4 6:30 9 10:30",
    "0,0 45,0 90,12",
)
"""One example of each form."""

_SKETCH_MM = 50.0
_LONGEST_MM = 10_000.0
_LONGEST_LENGTH = 16
_UNITS = ("mm", "cm", "in", "inch", "inches", '"')
_NOUNS = frozenset(
    f"{noun}{end}"
    for noun in ("hole", "bolt", "stud", "screw", "nut", "fastener")
    for end in ("", "s")
)
_FORM_WORDS = frozenset(("on", "row", "rows", "at"))
_TOKEN = re.compile(r"\d+(?:[.:]\d+)*|\.\d+|[^\W\d_]+|\S")
_NUMBER = re.compile(r"\d+(?:\.\d+)?|\.\d+", re.ASCII)
_CLOCK = re.compile(r"(\d{1,2})(?:[:.](\d{2}))?", re.ASCII)
_PLACE = re.compile(
    r"([-+]?(?:\d+(?:\.\d*)?|\.\d+))\s*,\s*([-+]?(?:\d+(?:\.\d*)?|\.\d+))", re.ASCII
)
_ASSIGNED = re.compile(r"(?<!\S)([^\s=]+)=([^\s,;]*)[,;]?")


@dataclass(frozen=True, slots=True)
class _Token:
    text: str
    start: int
    end: int


class _Reader:
    """Words of a text, taken from the left; every refusal points at the one that is wrong."""

    def __init__(self, text: str, tokens: Sequence[_Token], example: str) -> None:
        self.text = text
        self._left = list(tokens)
        self._example = example

    def peek(self) -> str:
        return self._left[0].text.lower() if self._left else ""

    def refuse(self, expected: str) -> NotationError:
        message = f"expected {expected}, as in '{self._example}'"
        if not self._left:
            return NotationError(f"{message}, at the end", self.text)
        return NotationError(message, self.text, self._left[0].start, self._left[0].end)

    def take(self, *words: str) -> bool:
        """Take a word if it is one of these."""
        if self.peek() in words:
            self._left.pop(0)
            return True
        return False

    def need(self, expected: str, *words: str) -> None:
        if not self.take(*words):
            raise self.refuse(expected)

    def count(self, what: str, least: int) -> int:
        if not (self.peek().isascii() and self.peek().isdigit()) or not (
            least <= int(self.peek()[:9]) <= MOST_HOLES
        ):
            raise self.refuse(f"{what}, {least} to {MOST_HOLES}")
        return int(self._left.pop(0).text)

    def mm(self, what: str) -> float:
        read = _NUMBER.fullmatch(self.peek())
        unit = self._left[1].text.lower() if len(self._left) > 1 else ""
        figure = units.value(read[0]) if read else 0
        value = float(units.convert(figure, unit if unit in _UNITS else "mm", "mm"))
        if not 0 < value <= _LONGEST_MM:
            raise self.refuse(f"{what} in mm, above 0 and up to {_LONGEST_MM:g}")
        del self._left[: 2 if unit in _UNITS else 1]
        return value

    def clock(self) -> float:
        turn = _turn(self.peek())
        if turn is None:
            raise self.refuse("a clock position from 1 to 12")
        self._left.pop(0)
        return turn

    def finish(self) -> None:
        if self._left:
            raise self.refuse("nothing more")


def read_joint(text: str, name: str = "") -> Joint:
    """Read a joint from one of the forms above.

    Raises:
        NotationError: text in none of the forms; it knows the characters at fault.
        BadValue: fewer than 2 or more than 60 holes, or two holes at one place.

    Args:
        text: in one of `FORMS`; sizes without a unit are in mm.
        name: what the joint is called.

    Eight holes on a circle of 120 mm, the first at the top, 60 mm from the middle:

    >>> joint = read_joint("8 on 120")
    >>> len(joint.holes), joint.holes[0].y_mm
    (8, 60.0)
    """
    bare = _ASSIGNED.sub(lambda found: _blank(found[0]), text)
    words = set(re.findall(r"[^\W\d_]+|[×*]", bare.lower()))
    where = re.sub(r"=[^\s,;]*", lambda found: _blank(found[0]), text)
    if not text.strip():
        raise NotationError(f"no joint: expected one such as '{FORMS[0]}'", text)
    if "," in where and not words & _FORM_WORDS and not _listed_clock(where):
        return _places(text, name)
    read: Callable[[_Reader], tuple[list[tuple[float, float]], Form, str]]
    if "on" in words:
        read, example = _circle, FORMS[1 if words & {"from", "first"} else 0]
    elif words & {"row", "in"}:
        read, example = _row, FORMS[2]
    elif words & {"x", "×", "*", "at", "by", "rows"}:
        read, example = _rows, FORMS[3]
    else:
        return _sketch(text, name)
    reader = _Reader(text, _tokens(bare), example)
    spots, form, said = read(reader)
    reader.finish()
    return Joint(_holes(spots, _lengths(text, len(spots))), name, form, said)


def read_order(text: str, holes: int) -> tuple[int, ...]:
    """Read a maker's own order, ``3 1 4 2``: every hole from 1 to ``holes`` once.

    Hyphens, commas and the word ``order`` in front are passed over.

    Raises:
        NotationError: what is no number, a hole that is not there, twice there or left out.

    >>> read_order("3 1 4 2", 4)
    (3, 1, 4, 2)
    """
    taken: dict[int, None] = {}
    for found in re.finditer(r"[^\s,;>–-]+", text):
        word = found[0]
        if word.lower() in ("order", "order:"):
            continue
        span = (text, found.start(), found.end())
        if not (word.isascii() and word.isdigit()):
            raise NotationError("expected the number of a hole", *span)
        hole = int(word[:9])
        if not 1 <= hole <= holes:
            raise NotationError(f"no such hole: they run from 1 to {holes}", *span)
        if hole in taken:
            raise NotationError("a hole that is there twice", *span)
        taken[hole] = None
    missing = [str(hole) for hole in range(1, holes + 1) if hole not in taken]
    if missing:
        raise NotationError(
            f"the order leaves out hole{'s' if len(missing) > 1 else ''} {', '.join(missing)}", text
        )
    return tuple(taken)


def _blank(text: str) -> str:
    return " " * len(text)


def _tokens(bare: str) -> list[_Token]:
    return [_Token(found[0], found.start(), found.end()) for found in _TOKEN.finditer(bare)]


def _holes(spots: Sequence[tuple[float, float]], lengths: dict[int, str]) -> tuple[Hole, ...]:
    return tuple(Hole(at, x, y, lengths.get(at, "")) for at, (x, y) in enumerate(spots, 1))


def _turn(text: str) -> float | None:
    """Read a clock position as a share of a full turn from 12 o'clock; None if it is none."""
    read = _CLOCK.fullmatch(text)
    if not read or not 1 <= int(read[1]) <= 12 or int(read[2] or 0) > 59:
        return None
    return (int(read[1]) % 12 + int(read[2] or 0) / 60) / 12


def _spot(turn: float, radius: float) -> tuple[float, float]:
    return radius * sin(2 * pi * turn), radius * cos(2 * pi * turn)


def _circle(reader: _Reader) -> tuple[list[tuple[float, float]], Form, str]:
    count = reader.count("the number of holes", 2)
    reader.take(*_NOUNS)
    reader.need("'on'", "on")
    reader.take("a", "an", "the")
    diameter = reader.mm("the diameter of the bolt circle")
    reader.take("bolt", "pitch")
    reader.take("circle", "pcd")
    first = 0.0
    if reader.peek() in ("from", "first"):
        reader.take("first")
        reader.take("from", "at")
        first = reader.clock()
    spots = [_spot(first + at / count, diameter / 2) for at in range(count)]
    said = f"{count} holes on a {diameter:g} mm circle, numbered clockwise from the {_hour(first)}"
    return spots, Form.CIRCLE, said


def _hour(turn: float) -> str:
    hours, minutes = divmod(round(turn * 720), 60)
    return f"{hours or 12}:{minutes:02} position" if minutes else f"{hours or 12} o'clock position"


def _row(reader: _Reader) -> tuple[list[tuple[float, float]], Form, str]:
    if reader.take("row"):
        reader.need("'of'", "of")
        count = reader.count("the number of holes", 2)
        reader.take(*_NOUNS)
    else:
        count = reader.count("the number of holes", 2)
        reader.take(*_NOUNS)
        reader.need("'in'", "in")
        reader.take("a", "one")
        reader.need("'row'", "row")
    reader.need("'at'", "at")
    pitch = reader.mm("the pitch")
    spots = [(at * pitch, 0.0) for at in range(count)]
    return spots, Form.ROW, f"{count} holes in a row, {pitch:g} mm apart, numbered from the left"


def _rows(reader: _Reader) -> tuple[list[tuple[float, float]], Form, str]:
    signs = ("x", "×", "*", "by")
    rows = reader.count("the number of rows", 1)
    if not (reader.take("rows", "row") and reader.take("of")):
        reader.need("'x'", *signs)
    each = reader.count("the number of holes in a row", 1)
    if not 2 <= rows * each <= MOST_HOLES:
        raise NotationError(f"{rows * each} holes: expected 2 to {MOST_HOLES}", reader.text.strip())
    reader.take(*_NOUNS)
    reader.need("'at'", "at")
    apart = reader.mm("the distance between the rows")
    reader.need("'x'", *signs)
    pitch = reader.mm("the pitch in a row")
    spots = [(at * pitch, -row * apart) for row in range(rows) for at in range(each)]
    said = (
        f"{rows} rows {apart:g} mm apart, {each} holes in each at a pitch of {pitch:g} mm, "
        "numbered row by row from the top, each from the left"
    )
    return spots, Form.ROWS, said


def _lengths(text: str, count: int) -> dict[int, str]:
    """Read ``3=M6x45`` after a form that numbers its holes."""
    lengths: dict[int, str] = {}
    for found in _ASSIGNED.finditer(text):
        start, end = found.span(1)
        if not (found[1].isascii() and found[1].isdigit()):
            raise NotationError(
                "expected a hole and its length such as 3=M6x45", text, start, found.end(2)
            )
        hole = int(found[1][:9])
        if not 1 <= hole <= count or hole in lengths:
            why = "twice there" if hole in lengths else f"not there: they run from 1 to {count}"
            raise NotationError(f"a hole that is {why}", text, start, end)
        lengths[hole] = _length(text, *found.span(2))
    return lengths


def _length(text: str, start: int, end: int) -> str:
    words = text[start:end]
    if not words:
        raise NotationError("expected a length such as 45 or M6x45 after '='", text, start - 1, end)
    if len(words) > _LONGEST_LENGTH or not words.isprintable():
        raise NotationError(
            f"a length of at most {_LONGEST_LENGTH} characters was expected", text, start, end
        )
    return words


def _listed_clock(bare: str) -> bool:
    """Whether the commas only stand between clock positions: ``12, 2, 4:30``."""
    parts = [part.strip() for part in bare.split(",")]
    return (
        ";" not in bare
        and re.search(r",(?!\s)", bare.rstrip(", ")) is None
        and all(_turn(part) is not None for part in parts if part)
    )


def _sketch(text: str, name: str) -> Joint:
    spots: list[tuple[float, float]] = []
    lengths: dict[int, str] = {}
    hours: dict[float, int] = {}
    for found in re.finditer(r"[^\s,]+", text):
        word, sign, _ = found[0].partition("=")
        turn = _turn(word)
        if turn is None:
            raise NotationError(
                "expected clock positions from 1 to 12 such as '12 2 4 6:30', or a form such as "
                f"'{FORMS[0]}', '{FORMS[2]}', '{FORMS[3]}'",
                text, found.start(), found.start() + len(word),
            )  # fmt: skip
        if turn in hours:
            raise NotationError(
                f"hole {len(spots) + 1} is where hole {hours[turn]} is",
                text, found.start(), found.start() + len(word),
            )  # fmt: skip
        spots.append(_spot(turn, _SKETCH_MM))
        hours[turn] = len(spots)
        if sign:
            lengths[len(spots)] = _length(text, found.start() + len(word) + 1, found.end())
    _enough(len(spots), text)
    said = (
        f"a sketch of {len(spots)} holes by the clock, numbered as typed; distances are not known"
    )
    return Joint(_holes(spots, lengths), name, Form.CLOCK, said)


def _places(text: str, name: str) -> Joint:
    spots: list[tuple[float, float]] = []
    lengths: dict[int, str] = {}
    known: dict[tuple[float, float], int] = {}
    pattern = r"[^;]+" if ";" in text else r"\S+"
    for found in re.finditer(pattern, text):
        start = found.start() + len(found[0]) - len(found[0].lstrip())
        typed = found[0].strip()
        if not typed:
            continue
        word, sign, _ = typed.partition("=")
        read = _PLACE.fullmatch(word.strip().removesuffix("mm").strip())
        if not read:
            raise NotationError(
                "expected a place x,y in mm such as 45,12 or 45,12=M6x45, no space in the length",
                text, start, start + len(word),
            )  # fmt: skip
        place = (_figure(read[1]), _figure(read[2]))
        if max(map(abs, place)) > _LONGEST_MM:
            raise NotationError(
                f"a place within {_LONGEST_MM:g} mm was expected", text, start, start + len(word)
            )
        if place in known:
            raise NotationError(
                f"hole {len(spots) + 1} is where hole {known[place]} is",
                text, start, start + len(word),
            )  # fmt: skip
        spots.append(place)
        known[place] = len(spots)
        if sign:
            lengths[len(spots)] = _length(text, start + len(word) + 1, start + len(typed))
    _enough(len(spots), text)
    said = f"{len(spots)} holes by their places in mm, numbered as typed"
    return Joint(_holes(spots, lengths), name, Form.PLACES, said)


def _figure(text: str) -> float:
    return float(units.value(text.removesuffix(".")))


def _enough(count: int, text: str) -> None:
    if not 2 <= count <= MOST_HOLES:
        holes = "1 hole" if count == 1 else f"{count} holes"
        raise NotationError(f"{holes}: a joint has 2 to {MOST_HOLES}", text)
