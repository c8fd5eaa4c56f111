"""One place of a label filled from the top with the parts that a layout names. Pure."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from stores.errors import PrintError
from stores.printing.boxes import (
    CAPS,
    HOOK,
    LEADING,
    MIN_SIZE,
    MM_PER_POINT,
    Area,
    Box,
    Measure,
    Rule,
    Text,
    Tick,
    text_at,
)
from stores.printing.fit import cut_end
from stores.printing.label_list import set_list
from stores.printing.label_values import Fields, Listed
from stores.printing.layout_file import Part
from stores.printing.layout_text import Words, big_line, row, row_height, set_block

__all__ = ["Filled", "fill", "least_height"]

_FIELD = re.compile(r"\{([^{}]*)\}")
_BRACKETS = re.compile(r"\([^()]*\)")
_AFTER_BIG = 1.0
_BETWEEN = 0.4
_AFTER_RULE = 0.9
_NAMES = {"steps": "the step", "pieces": "the count of pieces", "what": "what it is"}
_WRITE_SIZE = 6.5


@dataclass(slots=True)
class Filled:
    """Boxes, where they end, and how many lines of a list are left for the next label or counted.

    ``counted`` lines of a list have no room and no other label: one line says how many they are.
    ``unsaid`` names the texts that had no room at all.
    """

    boxes: list[Box] = field(default_factory=list)
    end: float = 0.0
    left: int = 0
    counted: int = 0
    unsaid: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Group:
    """Parts that are set together: a row, a block of paragraphs, or one part alone."""

    what: str
    part: Part
    words: tuple[Words, ...] = ()
    joints: tuple[str, ...] = ()


def fill(
    parts: Sequence[Part],
    area: Area,
    fields: Fields,
    measure: Measure,
    *,
    colours: dict[str, str] | None = None,
    start: int = 0,
) -> Filled:
    """Fill an area from its top. ``start`` is the first line of a list that is not yet shown."""
    groups = _groups(parts, fields)
    made = Filled(end=area.y)
    fixed = {at: _height(group, area, measure) for at, group in enumerate(groups)}
    has_list = any(group.what == "list" for group in groups)
    later = [at for at, group in enumerate(groups) if group.part.if_room]
    for at, group in enumerate(groups):
        if at in later:
            continue
        after = [each for each in range(at + 1, len(groups)) if each not in later]
        waiting = sum(fixed[each] for each in after)
        if group.what == "big" and waiting:
            waiting += _AFTER_BIG
        left = area.bottom - made.end
        # what is never cut may take the lines of what can be
        never = left - sum(fixed[each] for each in after if groups[each].what != "block")
        # what comes first in the layout keeps a line, whatever still waits
        keeps = min(_line(group), left) if group.what == "block" else left - waiting
        rest = replace(area, y=made.end, height=max(left - waiting, keeps))
        if group.what == "big":
            _put_big(group, rest, max(rest.height, never), measure, made)
            continue
        _put(group, rest, fields, measure, made, has_list, colours or {}, start)
        if has_list and group.what == "list":
            has_list = False
    _put_if_room([groups[at] for at in later], area, measure, made)
    return made


def least_height(parts: Sequence[Part], area: Area, fields: Fields, measure: Measure) -> float:
    """Give the height that parts need in their smallest type, with one line of a list."""
    needed = (group for group in _groups(parts, fields) if not group.part.if_room)
    return sum(_height(group, area, measure) for group in needed)


def _line(group: _Group) -> float:
    """Give the height of one line of a block in its smallest type."""
    return min(words.smallest for words in group.words) * MM_PER_POINT * LEADING + 1e-6


def _put_big(group: _Group, rest: Area, most: float, measure: Measure, made: Filled) -> None:
    """Put words that are never cut: on a line as high as their share, or broken over ``most``."""
    (words,) = group.words
    height = max(rest.height * group.part.share, words.smallest * MM_PER_POINT)
    try:
        texts = big_line(words, rest, height, measure)
    except PrintError:
        small = replace(words, largest=words.smallest)
        texts = big_line(small, replace(rest, height=most), height, measure)
    made.boxes += texts
    made.end = max(box.y + box.height for box in texts) + _AFTER_BIG


def _put(
    group: _Group,
    rest: Area,
    fields: Fields,
    measure: Measure,
    made: Filled,
    has_list: bool,
    colours: dict[str, str],
    start: int,
) -> None:
    part = group.part
    if group.what == "row":
        texts = row(group.words, rest, measure)
        made.boxes += texts
        made.end += row_height(texts, made.end) + _BETWEEN
    elif group.what == "block":
        room = replace(rest, height=max(_line(group), rest.height * part.share))
        room = replace(room, height=min(room.height, rest.height))
        if has_list:
            room = replace(rest, height=rest.height - _for_list(group, fields, rest))
        texts = _block(group, room, measure) if room.height > 0 else []
        if not texts:
            made.unsaid += dict.fromkeys(words.name for words in group.words)
        made.boxes += texts
        made.end = max((box.y + box.height for box in texts), default=made.end) + _BETWEEN
    elif group.what == "list":
        listed: Sequence[Listed] = fields.lists.get(part.text, ())[start:]
        set_ = set_list(
            listed, rest, part.columns, measure, part.largest, part.smallest, spill=part.spill
        )
        made.boxes += set_.boxes
        made.end = set_.end
        rest_of_it = len(listed) - set_.shown
        made.left, made.counted = (rest_of_it, 0) if part.spill else (0, rest_of_it)
    elif group.what == "ticks":
        boxes, made.end = _ticks(part, rest, measure)
        made.boxes += boxes
    elif group.what == "write":
        made.boxes += _write(part, rest.x, made.end, rest.width, measure)
        made.end += part.height
    elif group.what == "rule":
        made.boxes.append(Rule(rest.x, made.end, rest.width, part.height))
        made.end += part.height + _AFTER_RULE
    elif group.what == "band" and fields.colour in colours:
        band = Rule(rest.x, made.end, rest.width, part.height, colour=colours[fields.colour])
        made.boxes.append(band)
        made.end += part.height + _AFTER_RULE


def _for_list(group: _Group, fields: Fields, rest: Area) -> float:
    """Give the height that a list needs in its smallest type, but for a line of each paragraph."""
    lines = max((len(listed) for listed in fields.lists.values()), default=0)
    least = min(words.smallest for words in group.words) * MM_PER_POINT * LEADING
    others = len(group.words) * least + _BETWEEN + 1e-6
    return max(0.0, min(rest.height - others, (lines + 0.5) * MIN_SIZE * MM_PER_POINT * LEADING))


def _put_if_room(groups: list[_Group], area: Area, measure: Measure, made: Filled) -> None:
    """Put what is welcome but not needed at the bottom, as much of it as has room."""
    space = area.bottom - made.end
    heights = [_height(group, area, measure) for group in groups]
    while groups and sum(heights) > space + 1e-6:
        groups, heights = groups[:-1], heights[:-1]
    if not groups:
        return
    filler = next((group for group in groups if group.part.fill), None)
    extra = int((space - sum(heights)) / filler.part.height) if filler else 0
    y = area.bottom - sum(heights) - (extra * filler.part.height if filler else 0.0)
    for group in groups:
        if group.what == "ticks":
            boxes, y = _ticks(group.part, replace(area, y=y), measure)
            made.boxes += boxes
        elif group.what == "write":
            made.boxes += _write(group.part, area.x, y, area.width, measure)
            y += group.part.height
            if group is filler:
                for _ in range(extra):
                    blank = replace(group.part, text="")
                    made.boxes += _write(blank, area.x, y, area.width, measure)
                    y += group.part.height
        elif group.what == "rule":
            made.boxes.append(Rule(area.x, y, area.width, group.part.height))
            y += group.part.height + _AFTER_RULE
    made.end = area.bottom


def _height(group: _Group, area: Area, measure: Measure) -> float:
    """Give the height that something takes whatever else there is: for words, their least."""
    part = group.part
    match group.what:
        case "ticks":
            height = _ticks(part, replace(area, y=0.0), measure)[1]
        case "write":
            height = part.height
        case "rule" | "band":
            height = part.height + _AFTER_RULE
        case "list":
            height = part.smallest * MM_PER_POINT * LEADING
        case "big":
            (words,) = group.words
            lines = CAPS + HOOK if words.caps else LEADING
            height = words.smallest * MM_PER_POINT * lines + _AFTER_BIG
        case "row":
            height = row_height(row(group.words, replace(area, y=0.0), measure), 0.0) + _BETWEEN
        case _:
            least = min(words.smallest for words in group.words)
            height = len(group.words) * least * MM_PER_POINT * LEADING + _BETWEEN
    return height


# --- which parts are set together ---


def _groups(parts: Sequence[Part], fields: Fields) -> list[_Group]:
    groups: list[_Group] = []
    at = 0
    while at < len(parts):
        part = parts[at]
        at += 1
        if part.what != "text":
            if part.what != "list" or fields.lists.get(part.text):
                groups.append(_Group(part.what, part))
            continue
        together = [part]
        while at < len(parts) and parts[at].beside:
            together.append(parts[at])
            at += 1
        words = [each for one in together for each in _words(one, fields)]
        if not words:
            continue
        if len(together) > 1 or part.right:
            groups.append(_Group("row", part, tuple(words)))
        elif part.cut == "never":
            groups.append(_Group("big", part, tuple(words)))
        else:
            _add_block(groups, part, words)
    return groups


def _add_block(groups: list[_Group], part: Part, words: list[Words]) -> None:
    """Begin a block, or go on with the one under way if its type is the same."""
    joints = (part.join,) * len(words)
    last = groups[-1] if groups else None
    if last and last.what == "block" and last.part.largest == part.largest:
        groups[-1] = replace(last, words=(*last.words, *words), joints=(*last.joints, *joints))
    else:
        groups.append(_Group("block", part, tuple(words), joints))


def _words(part: Part, fields: Fields) -> list[Words]:
    """Give the paragraphs of a text; none where all its fields are empty."""
    name = next((_NAMES.get(each, f"the {each}") for each in part.fields), "words of the layout")
    if part.fields and not any(fields.words.get(each) for each in part.fields):
        return []
    short = ""
    if part.text == f"{{{part.fields[0]}}}" if part.fields else False:
        texts = fields.words[part.fields[0]]
        short = fields.short.get(part.fields[0], "")
    else:
        whole = _BRACKETS.sub(lambda found: found[0] if _says(found[0], fields) else "", part.text)
        said = _FIELD.sub(lambda found: "; ".join(fields.words.get(found[1], ())), whole)
        texts = (said.strip(),)
    return [
        Words(
            text,
            name,
            bold=part.bold,
            keep_end=part.cut == "start",
            short=short,
            right=part.right,
            largest=part.largest,
            smallest=part.smallest,
            caps=part.text == "{code}",
            never=part.cut == "never",
        )
        for text in texts
    ]


def _says(text: str, fields: Fields) -> bool:
    """Whether a text has no field, or one that has words."""
    named = _FIELD.findall(text)
    return not named or any(fields.words.get(name) for name in named)


def _block(group: _Group, area: Area, measure: Measure) -> list[Text]:
    """Set paragraphs; where something is lost, run together what the layout says may be."""
    boxes = set_block(group.words, area, measure)
    if _all_said(boxes, group.words):
        return boxes
    for words in _run_together(group):
        closer = set_block(words, area, measure)
        if _all_said(closer, words):
            return closer
        if not any(box.lost for box in boxes):
            continue  # a word is broken, but all of it is there
        boxes = closer
    return boxes


def _all_said(boxes: Sequence[Text], words: Sequence[Words]) -> bool:
    """Whether all words are there and none is broken in the middle."""
    return " ".join(box.text for box in boxes) == " ".join(each.text for each in words)


def _run_together(group: _Group) -> list[list[Words]]:
    """Give the ways to set it closer: the first lines joined, then all that may be."""
    ways: list[list[Words]] = []
    for most, shortened in ((1, False), (len(group.words), True)):
        words: list[Words] = []
        joined = 0
        for each, joint in zip(group.words, group.joints, strict=True):
            if joint and joined < most and words and words[-1].bold == each.bold:
                last = words[-1]
                words[-1] = replace(each, text=f"{last.text}{joint}{each.text}")
                joined += 1
            elif each.short and shortened:
                if not words or words[-1].text != each.short:
                    words.append(replace(each, text=each.short))
            else:
                words.append(each)
        if words != list(group.words) and words not in ways:
            ways.append(words)
    return ways


# --- what a hand fills in ---


def _ticks(part: Part, area: Area, measure: Measure) -> tuple[list[Box], float]:
    """Squares to tick with their words, in as many rows as they need."""
    boxes: list[Box] = []
    size = max(MIN_SIZE, min(part.largest, part.height / MM_PER_POINT))
    x, y = area.x, area.y + 0.4
    square = part.height
    for said in part.ticks:
        word = cut_end(said, area.width - square - 1.0, size, measure)
        width = square + 0.9 + measure(word, False, size)
        if x > area.x and x + width > area.right + 1e-6:
            x, y = area.x, y + square + 1.2
        text = text_at(x + square + 0.9, 0, word, size, measure)
        boxes.append(Tick(x, y, square, square))
        boxes.append(replace(text, y=y + max(0.0, (square - text.height) / 2)))
        x += width + 2.6
    return boxes, y + max(square, size * MM_PER_POINT) + 0.6


def _write(part: Part, x: float, y: float, width: float, measure: Measure) -> list[Box]:
    """A line to write on, with a word before it, so high that a hand can write on it."""
    bottom = y + part.height - 0.6
    if not part.text:
        return [Rule(x, bottom, width, 0.12)]
    size = min(_WRITE_SIZE, part.largest)
    word = text_at(x, 0, cut_end(part.text, width * 0.6, size, measure), size, measure)
    # the word stands on the line; a "y" hangs below it, inside the height
    word = replace(word, y=bottom - word.height + 0.0)
    start = x + word.width + 0.8
    return [word, Rule(start, bottom, max(1.0, x + width - start), 0.12)]
