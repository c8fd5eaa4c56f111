"""Running text round the codes of a small label: what must be on it first, the rest as room allows.

On a label as large as a stamp a line for each thing in the bag would leave most of them out in type
that is read at a bench. So texts run on, one after the other, beside the codes and between them.
Where they have no room they are said in less, the least important first, until all of them fit;
only then are lines of the list counted. A caution is said in less last of all, and never left out.
Pure.
"""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import NamedTuple

from stores.errors import PrintError
from stores.printing.boxes import LEADING, MM_PER_POINT, Area, Box, Measure, Text, fitting, text_at
from stores.printing.label_values import Listed

__all__ = ["Filled", "Page", "Running", "Want", "as_running"]

TIGHT = 1.08
"""Leading where room is short: one line more is worth it."""
_APART = 1.1
"""Millimetres between a count and what it counts: numbers never meet."""
_AT_ARMS_LENGTH = 10.5
"""Points: small letters of this font are then 2 mm high."""
_NARROWEST = 9.0
"""Millimetres: in a narrower gap between two codes stand no words."""
_NEARLY = 0.5
"""Millimetres that a line stands lower to have the width below a code."""
_BETWEEN_WORDS = re.compile(
    r"(?<! x)(?<!^Step)(?<!^\+)(?<!^Rest:) (?!x |·|more)"
    r"(?!(?<=\d )(?:\d+/\d|(?:mm|in|ml|g|V|W|A|tpi|BA|BS[FWP]|UN[CF])\b))"
)
"""Where a line may end: not within ``M6 x 25``, ``1 1/2 in``, ``1/4 BSF`` or ``Step 7``, nor before
what parts two things."""
_AND = " ·"

Words = tuple[str, bool]
"""Words and whether they are bold."""
Paragraph = tuple[Words, ...]


@dataclass(frozen=True, slots=True)
class Slot:
    """Room for one line."""

    x: float
    y: float
    width: float


@lru_cache(maxsize=512)
def slots(area: Area, blocks: tuple[Area, ...], size: float, leading: float) -> list[Slot]:
    """Give the lines that an area has beside and between what stands in its corners.

    A line may stand a little lower for the sake of the width below a code, if that is more in all.
    """
    made = [list(_slots(area, blocks, size, leading, lower)) for lower in (0.0, _NEARLY)]
    return max(made, key=lambda lines: sum(line.width for line in lines))


def _slots(
    area: Area, blocks: Sequence[Area], size: float, leading: float, lower: float
) -> Iterator[Slot]:
    high = size * MM_PER_POINT
    y = area.y
    while y + high <= area.bottom + 1e-6:
        beside = [each for each in blocks if each.y < y + high - 1e-6 and each.bottom > y + 1e-6]
        left = max([area.x, *(each.right for each in beside if each.x <= area.x + 1e-6)])
        right = min([area.right, *(each.x for each in beside if each.x > area.x + 1e-6)])
        ends = min((each.bottom for each in beside), default=area.bottom)
        if right - left < _NARROWEST or (beside and ends - y <= lower):
            if not beside:
                return
            y = ends
            continue
        yield Slot(left, y, right - left)
        y += high * leading


def run_on(
    paragraphs: Sequence[Paragraph], lines: Sequence[Slot], size: float, measure: Measure
) -> list[Text] | None:
    """Set paragraphs, each on a line of its own and as many more as it needs; None: no room."""
    boxes: list[Text] = []
    at = -1
    space = max(measure(" ", False, size), _APART)
    for paragraph in paragraphs:
        at += 1
        line: list[Words] = []
        waiting = list(reversed(_together(paragraph)))
        while waiting:
            if at >= len(lines):
                return None
            group = waiting.pop()
            longer = _joined(line, group)
            if _width(longer, size, measure, space) <= lines[at].width + 1e-9:
                line = longer
                continue
            waiting.append(group)
            if line:
                boxes += _set(line, lines[at], size, measure, space)
            elif not any(
                _width(list(group), size, measure, space) <= later.width
                for later in lines[at + 1 :]
            ):
                waiting.pop()
                line, rest = _broken(group, lines[at].width, size, measure)
                waiting += rest
                boxes += _set(line, lines[at], size, measure, space)
            at += 1
            line = []
        if line:
            boxes += _set(line, lines[at], size, measure, space)
    return boxes


@lru_cache(maxsize=4096)
def _together(paragraph: Paragraph) -> list[tuple[Words, ...]]:
    """Give what is not parted at the end of a line: words, and a count with the first of its."""
    groups: list[tuple[Words, ...]] = []
    bound: tuple[Words, ...] = ()
    for text, bold in paragraph:
        if len(paragraph) > 1 and bold and not bound and re.fullmatch(r"\d+( off)?", text):
            bound = ((text, bold),)
            continue
        for word in _BETWEEN_WORDS.split(" ".join(text.split())):
            groups.append((*bound, (word, bold)))
            bound = ()
    return [*groups, bound] if bound else groups


def _joined(line: list[Words], group: Sequence[Words]) -> list[Words]:
    made = list(line)
    for text, bold in group:
        if made and made[-1][1] == bold:
            made[-1] = (f"{made[-1][0]} {text}", bold)
        else:
            made.append((text, bold))
    return made


def _width(line: Sequence[Words], size: float, measure: Measure, space: float) -> float:
    line = _ended(line)
    return sum(measure(text, bold, size) for text, bold in line) + space * (len(line) - 1)


def _ended(line: Sequence[Words]) -> Sequence[Words]:
    """A line as it stands: what parts two things is not needed at its end."""
    text, bold = line[-1]
    return [*line[:-1], (text.removesuffix(_AND), bold)]


def _set(
    line: Sequence[Words], slot: Slot, size: float, measure: Measure, space: float
) -> Iterator[Text]:
    x = slot.x
    for text, bold in _ended(line):
        box = text_at(x, slot.y, text, size, measure, bold=bold)
        x += box.width + space
        yield box


def _broken(
    group: tuple[Words, ...], width: float, size: float, measure: Measure
) -> tuple[list[Words], list[tuple[Words, ...]]]:
    """Break what is too wide for every line: a count from its words, or a word in the middle."""
    if len(group) > 1:
        return _broken(group[:1], width, size, measure)[0], [group[1:]]
    ((text, bold),) = group
    head = fitting(text, width, size, measure, bold)
    rest = text[head:].lstrip()
    return [(text[:head].rstrip(), bold)], [((rest, bold),)] if rest else []


def _in_one(paragraphs: Sequence[Paragraph]) -> list[Paragraph]:
    """Run paragraphs together, a point between two of them."""
    parted = [(*each[:-1], (each[-1][0] + _AND, each[-1][1])) for each in paragraphs[:-1] if each]
    return [tuple(words for each in (*parted, *paragraphs[-1:]) for words in each)]


@dataclass(frozen=True, slots=True)
class Running:
    """A text or list of a layout: its ways to be said, the fullest first.

    ``kept`` is what is said in less only after all others. ``welcome`` may go, and nobody is told;
    what ``matters`` of it is rather there than a second code. ``with_count`` is there again once
    lines of the list are counted, and what is ``needed`` is always there. Of a list the ways are
    its lines, each the same thing in fewer words; from ``cut_at`` on a text is cut, which is told.
    """

    ways: tuple[tuple[Paragraph, ...], ...]
    name: str = ""
    kept: bool = False
    welcome: bool = False
    matters: bool = False
    with_count: bool = False
    needed: bool = False
    listed: tuple[Listed, ...] = ()
    spill: bool = False
    cut_at: int = 99


def as_running(line: Listed, detail: int) -> Paragraph:
    """Give a line of a list: what stands first in bold, and its words."""
    what = (line.words[min(detail, len(line.words) - 1)], False)
    return ((line.first, True), what) if line.first else (what,)


class Want(NamedTuple):
    """What running text wants, the worst first.

    Cautions that are in fewer words, texts that matter and are not there, others in fewer words;
    how close it is set (0 in lines, 2 all run together), and by how much its type is smaller than
    is read at arm's length, in half points.
    """

    cautions: int = 0
    missing: int = 0
    fewer: int = 0
    close: int = 0
    small: int = 0


@dataclass(slots=True)
class Filled:
    """Boxes, where they end, and how many lines of a list are left for the next label or counted.

    ``counted`` lines of a list have no room and no other label: one line says how many they are.
    ``unsaid`` names the texts that had no room at all, ``less`` those that are in fewer words;
    ``want`` is what running text wants.
    """

    boxes: list[Box] = field(default_factory=list)
    end: float = 0.0
    left: int = 0
    counted: int = 0
    unsaid: list[str] = field(default_factory=list)
    want: Want | None = None
    less: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Page:
    """Where running text goes, and in what type."""

    area: Area
    blocks: tuple[Area, ...]
    measure: Measure
    largest: float
    smallest: float

    def fits(
        self, told: Sequence[Sequence[Paragraph]], close: int, size: float, leading: float
    ) -> list[Text] | None:
        """Set what each part says: 0 in lines, 1 each part run together, 2 all of them."""
        if close == 0:
            paragraphs = [each for part in told for each in part]
        elif close == 1:
            paragraphs = [each for part in told if part for each in _in_one(part)]
        else:
            paragraphs = _in_one([each for part in told for each in part])
        lines = slots(self.area, self.blocks, size, leading)
        wide = sum(self.measure(*words, size) for each in paragraphs for words in each)
        if wide > sum(line.width for line in lines):
            return None  # soon said: most of what is tried has no room by far
        return run_on([each for each in paragraphs if each], lines, size, self.measure)

    def has_room(self, told: Sequence[Sequence[Paragraph]]) -> bool:
        """Whether all of it has room, set as close as it may be."""
        return self.fits(told, 2, self.smallest, TIGHT) is not None

    def best(self, told: Sequence[Sequence[Paragraph]]) -> tuple[list[Text], tuple[int, int]]:
        """Set it as it reads best: in lines before run together, then large, then wide apart; give
        how close it is set, and how much smaller than is read at arm's length.

        Raises:
            PrintError: no room.
        """
        for close in (0, 1, 2):
            size = self.largest
            while size >= self.smallest - 1e-9:
                for leading in (LEADING, TIGHT):
                    made = self.fits(told, close, size, leading)
                    if made is not None:
                        return made, (close, max(0, round(2 * (_AT_ARMS_LENGTH - size))))
                size -= 0.5
        raise PrintError("no room for what must be on a label: take a larger label")

    def flow(self, parts: Sequence[Running]) -> Filled:
        """Set parts, all of them if that is at all possible.

        Raises:
            PrintError: no room for what is never left out.
        """
        for ways in _ladder(parts):
            told = [part.ways[way] for part, way in zip(parts, ways, strict=True)]
            if self.has_room(told):
                boxes, close = self.best(told)
                return Filled(
                    [*_marked(boxes, parts, ways)],
                    self.area.bottom,
                    want=_want(parts, ways, close),
                    less=_less(parts, ways),
                )
        return self._without_all_lines(parts)

    def _without_all_lines(self, parts: Sequence[Running]) -> Filled:
        """Set as many lines of the list as there is room for, everything else in its least."""
        least = [0 if part.with_count else len(part.ways) - 1 for part in parts]
        at = next((at for at, part in enumerate(parts) if part.listed), -1)
        if at < 0:
            return self._unsaid(parts, least)
        part, ways = parts[at], list(least)
        marked = True

        def told(shown: Sequence[Listed]) -> list[Sequence[Paragraph]]:
            said: list[Sequence[Paragraph]] = [
                each.ways[way] for each, way in zip(parts, ways, strict=True)
            ]
            lines = [as_running(each, len(each.words) - 1) for each in shown]
            more = [] if part.spill else _counted(part.listed, shown, marked=marked)
            said[at] = (*lines, *more)
            return said

        counts = [other for other, each in enumerate(parts) if each.with_count]

        def tries() -> Iterator[tuple[int, list[Listed], list[int]]]:
            for way in (0, -1):  # rather what is wrong than how many pieces there are
                for other in counts:
                    ways[other] = way % len(parts[other].ways)
                shown = self._lines_with_room(part, told)
                if self.has_room(told(shown)):
                    yield sum(each.kept for each in shown), shown, list(ways)

        found = list(tries())
        if not found:
            marked = False
            found = list(tries()) or [(0, [], list(least))]
        _, shown, ways[:] = max(found, key=lambda each: each[0])
        if part.spill and not shown:  # rather a line on each label than any other text
            bare = [each for each in parts if each.listed or each.kept or each.needed]
            if len(bare) < len(parts):
                made = self._without_all_lines(bare)
                made.unsaid += [
                    each.name for each in parts if each not in bare and not each.welcome
                ]
                return made
        if (part.spill and not shown) or not self.has_room(told(shown)):
            return self._unsaid(parts, least)
        for other in range(len(parts)):  # what comes first has its fuller words again
            while other != at and ways[other]:
                ways[other] -= 1
                if not self.has_room(told(shown)):
                    ways[other] += 1
                    break
        boxes, close = self.best(told(shown))
        boxes, want = _marked(boxes, parts, ways), _want(parts, ways, close)
        rest, less = len(part.listed) - len(shown), _less(parts, ways)
        if part.spill:
            return Filled([*boxes], self.area.bottom, left=rest, want=want, less=less)
        boxes[-1] = _losing(boxes[-1], _no_room(part.listed, shown))
        silent = not marked and any(each.marks for each in part.listed if each not in shown)
        unsaid = ["what is wrong, too few or not to be fitted"] if silent else []
        return Filled([*boxes], self.area.bottom, 0, rest, unsaid, want, less)

    def _lines_with_room(
        self,
        part: Running,
        told: Callable[[Sequence[Listed]], Sequence[Sequence[Paragraph]]],
    ) -> list[Listed]:
        """Give the lines to be shown, in order: of those that spill the first ones, else those that
        are kept before any other."""
        shown: list[int] = []
        order = range(len(part.listed))
        if part.spill:
            for at in order:
                if not self.has_room(told(part.listed[: at + 1])):
                    break
                shown.append(at)
        else:
            for at in sorted(order, key=lambda at: not part.listed[at].kept):
                trial = sorted([*shown, at])
                if self.has_room(told([part.listed[each] for each in trial])):
                    shown = trial
        return [part.listed[at] for at in shown]

    def _unsaid(self, parts: Sequence[Running], least: Sequence[int]) -> Filled:
        """Set what has room of the parts, what is needed first; the list is counted."""
        told: list[Sequence[Paragraph]] = [() for _ in parts]
        unsaid: list[str] = []
        counted = 0
        needed = [part.kept or part.needed or part.with_count for part in parts]
        for at in sorted(range(len(parts)), key=lambda at: not needed[at]):
            part = parts[at]
            if part.spill:
                raise PrintError("no room for a line of the list: take a larger label")
            counted = max(counted, len(part.listed))
            more = _counted(part.listed, (), marked=False)
            told[at] = more if part.listed else part.ways[least[at]]
            if self.has_room(told):
                continue
            told[at] = ()
            if needed[at]:
                raise PrintError(f"no room for {part.name}: take a larger label")
            if not part.welcome:
                unsaid.append(part.name)
        boxes, close = self.best(told) if any(told) else ([], (0, 0))
        if counted and boxes:
            listed = next(part.listed for part in parts if part.listed)
            boxes[-1] = _losing(boxes[-1], _no_room(listed, ()))
        said = [way if each else 0 for each, way in zip(told, least, strict=True)]
        boxes = _marked(boxes, parts, said)
        want, less = _want(parts, least, close), _less(parts, said)
        return Filled([*boxes], self.area.bottom, 0, counted, unsaid, want, less)


def _want(parts: Sequence[Running], ways: Sequence[int], close: tuple[int, int]) -> Want:
    said = list(zip(parts, ways, strict=True))
    return Want(
        sum(way for part, way in said if part.kept),
        sum(part.matters and not part.ways[way] for part, way in said),
        sum(way for part, way in said if not part.kept and (part.matters or not part.welcome)),
        *close,
    )


def _less(parts: Sequence[Running], ways: Sequence[int]) -> tuple[str, ...]:
    """Name what is in fewer words, or has none, and is not told otherwise."""
    return tuple(
        part.name
        for part, way in zip(parts, ways, strict=True)
        if 0 < way < part.cut_at and (part.matters or not part.welcome) and not part.listed
    )


def _marked(boxes: list[Text], parts: Sequence[Running], ways: Sequence[int]) -> list[Text]:
    """Say at the last box which texts are cut."""
    cut = [part.name for part, way in zip(parts, ways, strict=True) if way >= part.cut_at]
    if cut and boxes:
        boxes[-1] = _losing(boxes[-1], f"cut to fit: {'; '.join(cut)}")
    return boxes


def _counted(listed: Sequence[Listed], shown: Sequence[Listed], *, marked: bool) -> list[Paragraph]:
    """Count the lines that are not shown, and say what is wrong among them."""
    missing = [each for each in listed if each not in shown]
    if not missing:
        return []
    marks = dict.fromkeys(mark for each in missing for mark in each.marks)
    count: Words = (f"+ {len(missing)} more", True)
    return [(count, (f"({', '.join(marks)})", False)) if marks and marked else (count,)]


_NAMED = 3
"""Lines that have no room are named up to so many."""


def _no_room(listed: Sequence[Listed], shown: Sequence[Listed]) -> str:
    """Say how many lines have room, and which have none."""
    missing = [f"{each.first} {each.words[-1]}".strip() for each in listed if each not in shown]
    named = "; ".join(missing[:_NAMED])
    more = f" and {len(missing) - _NAMED} more" if len(missing) > _NAMED else ""
    return f"room for {len(shown)} of {len(listed)} lines only, not for {named}{more}"


def _losing(box: Text, what: str) -> Text:
    return replace(box, lost="; ".join(filter(None, (box.lost, what))))


def _ladder(parts: Sequence[Running]) -> Iterator[list[int]]:
    """Give the ways to say all parts, from the fullest: each in less, the last of them first; what
    is kept, when all others say the least."""
    ways = [0 for _ in parts]
    yield ways
    for kept in (False, True):
        mine = [at for at, part in enumerate(parts) if part.kept == kept]
        while any(ways[at] < len(parts[at].ways) - 1 for at in mine):
            for at in reversed(mine):
                if ways[at] < len(parts[at].ways) - 1:
                    ways[at] += 1
                    yield ways
