"""One line of a strip-down step, as it is said at the bench.

::

    4 M6x25 hex 8.8                       four there, and four belong there
    3 of 4 M6x25 hex                      three there, four belong there
    0 of 1 gasket                         none there, one belongs there
    2 M6x40 @ rear, by the dowel          with the position
    4 M6x30 hex (should be M6x25 hex)     as found, and as specified
    4 M6x30 hex (should be 6 M6x25)       another count as well

"Found is not proved": the previous owner's bolt may be wrong, so both are kept apart.
"""

import re
from dataclasses import dataclass, replace

from stores.core.fastener import Fastener, Kind, parse
from stores.errors import NotationError

__all__ = ["MAX_COUNT", "MAX_TEXT", "BenchLine", "clean", "read_line"]

MAX_COUNT = 1_000_000
"""The most pieces in one line: beyond it is a slip."""

MAX_TEXT = 500
"""The longest text of one line, name, note or reason, in characters."""

_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")
_MANY = re.compile(r"^\s*\d{7,}\s")
_OF = re.compile(r"^\s*(\d{1,9})\s+of\s+(\d{1,9})\s+(?=\S)", re.IGNORECASE)
_SHOULD = re.compile(
    r"\s*\(?\s*\bshould\s+(?:have\s+been|be)\b\s*:?\s*(?P<text>.+?)\s*$", re.IGNORECASE
)
_POSITION = re.compile(r"\s+@\s*(?P<text>[^@]+?)\s*$")


@dataclass(frozen=True, slots=True)
class BenchLine:
    """What one line says: as found, as specified, and the position; whether it gave a count."""

    found: int
    thing: Fastener
    wanted: int
    specified: Fastener
    position: str
    written: str
    counted: bool

    @property
    def questions(self) -> tuple[str, ...]:
        """What is ambiguous, in plain words."""
        return tuple(dict.fromkeys((*self.thing.questions, *self.specified.questions)))


def clean(text: str, what: str, *, most: int = MAX_TEXT, empty: bool = False) -> str:
    """Take the spaces off a text's ends and refuse what cannot be kept or printed.

    Args:
        text: as typed.
        what: what it is, for the error.
        most: the longest text, in characters.
        empty: whether an empty text will do.

    Raises:
        NotationError: empty, too long, or with control characters; says where.
    """
    tidy = text.strip()
    if not tidy and not empty:
        raise NotationError(f"{what} is empty: say what it is", text)
    if len(tidy) > most:
        raise NotationError(
            f"{what} is {len(tidy):,} characters long, {most} are the most: shorten it", tidy
        )
    bad = _CONTROL.search(tidy)
    if bad:
        raise NotationError(
            f"{what} has a control character (code {ord(bad[0])}) at character {bad.start() + 1}: "
            "leave it out",
            "",
        )
    return tidy


def read_line(text: str) -> BenchLine:
    """Read one line.

    Raises:
        NotationError: nothing there, a count that cannot be, or notation that cannot be read;
            points at the characters.
    """
    written = clean(text, "a line of the step")
    rest, tail = _part_should(written)
    rest, position = _part_position(rest)
    if tail is not None:
        tail, elsewhere = _part_position(tail)
        position = position or elsewhere
    found, wanted, rest = _part_counts(rest)
    many = _MANY.match(rest)
    if many:
        raise NotationError(f"more than {MAX_COUNT:,} in one line: is that a slip?", many[0].strip())
    thing = parse(rest)
    if found is not None and thing.quantity is not None:
        raise NotationError("two counts in one line: say '3 of 4 M6x25'", written)
    counted = found is not None or thing.quantity is not None
    if found is None:
        found = 1 if thing.quantity is None else thing.quantity
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
        counted,
    )


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
        drive=specified.drive or thing.drive,
        form=specified.form or thing.form,
    )
