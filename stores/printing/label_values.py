"""The fields that a layout may show of what a label says.

A layout file names fields; ``FIELDS`` says which ones each kind of label has. Pure.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from stores.model.labels import (
    NOT_TO_FIT,
    Bag,
    BatchTicket,
    BoxIndex,
    ConditionTag,
    Content,
    Flag,
    LabelValue,
    PackTag,
    SizeLine,
    StockPlace,
    Tag,
)
from stores.model.ledger import Condition
from stores.printing.boxes import plain
from stores.text import day_words, join, plural

__all__ = [
    "FIELDS",
    "KINDS",
    "LISTS",
    "Fields",
    "Listed",
    "day",
    "fields_of",
    "kind_of",
]


@dataclass(frozen=True, slots=True)
class Listed:
    """A line of a list: what stands first in bold, and its words, the fullest first.

    Where not all lines have room, those to be ``kept`` stand and others are counted; ``marks`` are
    said even then, behind the count: what is wrong, too few or not to be fitted.
    """

    first: str
    words: tuple[str, ...]
    kept: bool = False
    marks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Fields:
    """All that a layout can show. ``short``: other words for a field that has no room; ``least``:
    still fewer, on a label as large as a stamp."""

    code: str
    payload: str
    words: Mapping[str, tuple[str, ...]]
    short: Mapping[str, str] = field(default_factory=dict)
    least: Mapping[str, str] = field(default_factory=dict)
    lists: Mapping[str, tuple[Listed, ...]] = field(default_factory=dict)
    colour: str = ""
    around: float = 0.0


FIELDS: dict[str, tuple[str, ...]] = {
    "bag": (
        "code",
        "mixed",
        "hazard",
        "machine",
        "assembly",
        "steps",
        "condition",
        "pieces",
        "date",
        "rest",
    ),
    "box": ("code", "place", "machine", "bags", "date", "part"),
    "place": ("code", "place", "hazard", "date", "part"),
    "pack": (
        "code",
        "name",
        "holds",
        "opened",
        "use_by",
        "batch",
        "least",
        "place",
        "keeping",
        "note",
        "hazard",
    ),
    "tag": (
        "code",
        "part",
        "machine",
        "assembly",
        "step",
        "size",
        "weight",
        "hazard",
        "note",
        "date",
    ),
    "condition": (
        "code",
        "condition",
        "part",
        "reason",
        "measured",
        "limit",
        "machine",
        "date",
        "by",
    ),
    "batch": (
        "code",
        "firm",
        "work",
        "machine",
        "pieces",
        "sent",
        "due",
        "note",
        "hazard",
        "part",
    ),
    "flag": ("code", "what", "from", "to", "colour", "size", "machine"),
}
"""The fields of each kind of label."""
LISTS: dict[str, tuple[str, ...]] = {
    "bag": ("contents",),
    "box": ("index",),
    "place": ("sizes",),
    "batch": ("lines",),
}
"""The lists of each kind of label."""
KINDS = tuple(FIELDS)


_KINDS: dict[type, str] = {
    Bag: "bag",
    BoxIndex: "box",
    StockPlace: "place",
    PackTag: "pack",
    Tag: "tag",
    ConditionTag: "condition",
    BatchTicket: "batch",
    Flag: "flag",
}


def kind_of(value: LabelValue) -> str:
    """Give the kind of label that a value is printed on."""
    return _KINDS[type(value)]


def day(text: str) -> str:
    """Write an ISO 8601 date, time of day or not, as ``4 Mar 2026``; leave anything else."""
    try:
        return day_words(text[:10])
    except ValueError:
        return text


def _fields(value: LabelValue, **said: str) -> Fields:
    code = plain(value.code)
    words = {name.rstrip("_"): (text,) for name, each in said.items() if (text := plain(each))} | {
        "code": (code,)
    }
    return Fields(code, value.payload or code, words)


def fields_of(value: LabelValue) -> Fields:
    """Give what a layout can show of a value, each word as it can be set."""
    match value:
        case Bag():
            return _bag(value)
        case BoxIndex():
            made = _fields(
                value,
                place=value.place,
                machine=value.machine,
                bags=plural(sum(line.pieces for line in value.bags), "piece"),
                date=day(value.date),
                part=value.part,
            )
            index = tuple(
                Listed(
                    plain(line.code),
                    _piled(plain(line.what), line.pieces),
                )
                for line in value.bags
            )
            return replace(made, lists={"index": index})
        case StockPlace() | PackTag():
            return _stock(value)
        case Tag():
            return _fields(
                value,
                part=value.part,
                machine=value.machine,
                assembly=value.assembly,
                step=str(value.step) if value.step else "",
                size=value.size,
                weight=value.weight,
                hazard=value.hazard,
                note=value.note,
                date=day(value.date),
            )
        case ConditionTag():
            made = _fields(
                value,
                condition=value.condition.value.upper(),
                part=value.part,
                reason=value.reason,
                measured=value.measured,
                limit=value.limit,
                machine=value.machine,
                date=day(value.date),
                by=value.by,
            )
            return replace(made, colour=value.condition.value)
        case BatchTicket() | Flag():
            return _batch(value) if isinstance(value, BatchTicket) else _flag(value)


def _piled(what: str, pieces: int) -> tuple[str, ...]:
    """Say what of a box a line is: ``battery, 2 pieces``, and shorter where room is short."""
    if not pieces:
        return (what,)
    return (f"{what}, {plural(pieces, 'piece')}", f"{what} ({pieces})")


def _flag(value: Flag) -> Fields:
    made = _fields(
        value,
        what=value.what,
        from_=value.origin,
        to=value.to,
        colour=value.colour,
        size=value.size,
        machine=value.machine,
    )
    return replace(made, around=value.around)


def _stock(value: StockPlace | PackTag) -> Fields:
    """A drawer with its sizes, or one thing in stock."""
    hazard = f"CAUTION: {'; '.join(value.hazards)}" if value.hazards else ""
    if isinstance(value, StockPlace):
        made = _fields(
            value,
            place=value.place,
            hazard=hazard,
            date=day(value.date),
            part=value.part,
        )
        made = replace(made, lists={"sizes": tuple(map(_size, value.lines))})
    else:
        made = _fields(
            value,
            name=value.name,
            holds=value.holds,
            opened=day(value.opened),
            use_by=day(value.use_by),
            batch=value.batch,
            least=value.least,
            place=value.place,
            keeping=value.keeping,
            note=value.note,
            hazard=hazard,
        )
    return replace(made, short=_SEE_PACK, least=_SIGN)


_SEE_PACK = {"hazard": "CAUTION: read the pack"}
"""What stands where the hazards have no room."""
_SEE_ORDER = {"hazard": "see the order"}
_SIGN = {"hazard": "CAUTION"}
"""What stands where not even that has room: never nothing."""


def _size(line: SizeLine) -> Listed:
    """Say lengths and names, and what else there is room for."""
    what = plain(line.what)
    more = [plain(each) for each in line.more]
    said = [", ".join([what, *more[:count]]) for count in range(len(more), -1, -1)]
    return Listed(plain(line.first), tuple(dict.fromkeys(said)))


def _batch(value: BatchTicket) -> Fields:
    made = _fields(
        value,
        firm=value.firm,
        work=value.work,
        machine=value.machine,
        pieces=plural(sum(line.quantity for line in value.lines), "piece"),
        sent=day(value.sent),
        due=day(value.due),
        note=value.note,
        hazard=value.hazard,
        part=value.part,
    )
    lines = []
    for line in value.lines:
        what = plain(line.what)
        full = f"{what} ({plain(line.bag)})" if line.bag else what
        lines.append(Listed(str(line.quantity), tuple(dict.fromkeys((full, what)))))
    return replace(made, lists={"lines": _counted(lines)}, short=_SEE_ORDER)


def _counted(lines: Iterable[Listed]) -> tuple[Listed, ...]:
    """Return lines that begin with a count, which is never read into a size: ``4 off``, in all of
    them where one begins with a figure."""
    listed = tuple(lines)
    if not any(words[:1].isdigit() for each in listed for words in each.words):
        return listed
    return tuple(replace(each, first=f"{each.first} off") for each in listed)


def _bag(bag: Bag) -> Fields:
    words: dict[str, tuple[str, ...]] = {
        "code": (bag.code,),
        "machine": (" · ".join(filter(None, map(plain, bag.machines))),),
        "assembly": ("; ".join(filter(None, map(plain, bag.assemblies))),),
        "steps": _steps(bag),
        "condition": (", ".join(each.value for each in bag.conditions if each in NOT_TO_FIT),),
        "pieces": (plural(bag.pieces, "piece"),),
    }
    short: dict[str, str] = {}
    hazards = dict.fromkeys(hazard for step in bag.steps if (hazard := plain(step.hazard)))
    if hazards:
        words["hazard"] = (f"CAUTION: {'; '.join(hazards)}",)
        short["hazard"] = "CAUTION: see the step"
    if bag.mixed_with:
        words["mixed"] = (f"MIXED UP with {plain(join(bag.mixed_with))}: sort first",)
        short["mixed"] = "MIXED UP"
    days = _days(bag)
    if days:
        words["date"] = (days[0] if len(days) == 1 else f"{days[0]} – {days[-1]}",)
        short["date"] = days[-1] if len(days) == 1 else f"– {days[-1]}"
    if len(bag.steps) > 1:
        numbers = ", ".join(str(step.number) for step in bag.steps if step.number)
        loose = [] if all(step.number for step in bag.steps) else ["loose"]
        short["steps"] = " and ".join([f"Steps {numbers}", *loose] if numbers else ["Loose"])
    if bag.rest:
        words["rest"] = _rest(bag)
    words = {name: texts for name, texts in words.items() if any(texts)}
    contents = _counted(_content(bag, content) for content in bag.contents)
    return Fields(bag.code, bag.payload, words, short, _least(bag, short), {"contents": contents})


def _least(bag: Bag, short: Mapping[str, str]) -> dict[str, str]:
    """Say in the fewest words what has no room: the step's number, the last part of the assembly
    (which says front or rear), places alone."""
    ends = dict.fromkeys(plain(each).rpartition("/")[2].strip() for each in bag.assemblies)
    least = {**_SIGN, "assembly": "; ".join(filter(None, ends))}
    if len(bag.steps) == 1:
        (step,) = bag.steps
        least["steps"] = f"Step {step.number}" if step.number else "Loose"
    if bag.rest:
        places = dict.fromkeys(place for each in bag.rest for place in each.places)
        least["rest"] = f"Rest: {', '.join(map(_place, places))}"
    return {name: words for name, words in least.items() if words != short.get(name)}


def _steps(bag: Bag) -> tuple[str, ...]:
    """What came off in which step: a paragraph each for two steps, one for more."""
    named = []
    for step in bag.steps:
        number = f"Step {step.number}" if step.number else "Loose"
        named.append(f"{number}  {plain(step.part)}".strip() if step.part else number)
    return tuple(named) if len(named) <= 2 else ("; ".join(named),)


def _rest(bag: Bag) -> tuple[str, ...]:
    """Where the rest of each step is, and on which day that was so."""
    when = f" ({day(bag.rest_on)})" if bag.rest_on else ""
    return tuple(
        f"Rest{f' of step {each.step.number}' if len(bag.steps) > 1 else ''}{when}: "
        + ", ".join(map(_place, each.places))
        for each in bag.rest
    )


def _place(words: str) -> str:
    return re.sub("^(in|on) ", "", plain(words))


def _days(bag: Bag) -> list[str]:
    """The days it came off, from the first."""
    dates = sorted({plain(step.date) for step in bag.steps if step.date.strip()})
    return list(dict.fromkeys(day(each) for each in dates))


def _content(bag: Bag, content: Content) -> Listed:
    """Say size and count, and the condition if there are several; more where there is room."""
    item = content.item
    what = plain(item.named(content.condition))
    position = plain(item.position)
    short = ""
    if item.stack:
        # the side that it is counted from goes last of all: on a label as large as a stamp
        short = f"{what} {plain(item.stack.words)}"
        what = f"{what}{f', {position}' if position else ''}: {plain(item.stack.words)}"
        position = ""
    if item.still_on:
        still = plain(item.stuck_words)
        short = f"{short or what}; {still.replace('still on machine', 'still on')}"
        what = f"{what}; {still}"
    number = item.step.number
    step = [f"step {number}"] if len(bag.steps) > 1 and number else []
    condition = [content.condition.value.upper()] if content.condition in NOT_TO_FIT else []
    condition += ["new"] if content.condition is Condition.NEW else []
    condition += ["MIXED UP"] if content.mixed else []
    condition += content.to_check
    least = list(condition)
    marks = [each for each in condition if each.isupper()]
    if content.condition is not Condition.NEW:
        if item.wrong:
            condition.append(f"WRONG when found: should be {plain(item.as_specified.text)}")
            least.append(f"WRONG: should be {plain(item.as_specified.text)}")
            marks.append("WRONG")
        elif item.found != item.wanted:
            condition.append(f"{item.found} of {item.wanted} were fitted")
            least.append(f"{item.found} of {item.wanted}")
            marks.append(least[-1])
    where = [position] if position else []
    details = ([*where, *step, *condition], [*where, *condition], [*where, *least])
    words = [f"{what} ({', '.join(extra)})" if extra else what for extra in details]
    words += [f"{short} ({', '.join(least)})" if least else short] if short else []
    kept = bool(item.stack or item.still_on or where or least)
    marks += ["stack"] if item.stack else []
    return Listed(str(content.quantity), tuple(dict.fromkeys(words)), kept, tuple(marks))
