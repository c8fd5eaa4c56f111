"""A stock-take of one place: what should be there, what was counted, and where they differ."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from stores.errors import BadValue
from stores.handbook.benchline import MAX_COUNT

__all__ = ["CountLine", "compare", "read_counted"]

_ITEM = re.compile(r"^\s*(\d{1,6}\.\d{1,4})\s*(?:=\s*(\S+)\s*)?$")


@dataclass(frozen=True, slots=True)
class CountLine:
    """One thing that was expected or found: an item by its number, or a bag or box by its place.

    ``name`` is what a person calls it; ``number`` is 0 for what is not in the record.
    """

    kind: str
    number: int
    name: str
    expected: int
    found: int
    note: str = ""

    @property
    def verdict(self) -> str:
        """Say what it is: as expected, missing, more than expected, or strange."""
        if self.found == self.expected:
            return "right"
        if self.found < self.expected:
            return f"{self.expected - self.found} missing" if self.kind == "item" else "missing"
        if not self.expected:
            return "strange"
        return f"{self.found - self.expected} too many"


def read_counted(text: str) -> tuple[str, int] | None:
    """Read an item that was counted, as ``7.2=3``, or one more piece of it, as ``7.2``.

    None where it is no item: a code, or a name.

    Raises:
        BadValue: what stands behind the sign is no count.
    """
    found = _ITEM.match(text)
    if not found:
        return None
    said = found[2] or "1"
    if not said.isdecimal() or int(said) > MAX_COUNT:
        raise BadValue(f"{said[:20]!r} is no count of {found[1]}: write it as {found[1]}=3")
    return found[1], int(said)


def compare(
    expected: Mapping[tuple[str, int], tuple[str, int]],
    counted: Iterable[tuple[str, int, str, int, str]],
) -> list[CountLine]:
    """Set what was counted beside what was expected.

    Args:
        expected: name and count, by kind and number.
        counted: kind, number, name, count and a note, as often as it was met. Pieces of an item add
            up; a bag or a word met twice is the same one.
    """
    lines: dict[tuple[str, int, str], CountLine] = {
        (kind, number, ""): CountLine(kind, number, name, count, 0)
        for (kind, number), (name, count) in expected.items()
    }
    for kind, number, name, count, note in counted:
        key = (kind, number, "" if number else name)
        known = lines.get(key) or CountLine(kind, number, name, 0, 0)
        found = known.found + count if kind == "item" else 1
        lines[key] = CountLine(kind, number, known.name, known.expected, found, note or known.note)
    return list(lines.values())
