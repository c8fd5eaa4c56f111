"""Where did this come from, and where is it now? By code, by words, or by measurement."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice, product
from typing import Any

from sqlalchemy import Connection

from stores import bagcode
from stores.errors import BadValue, NotationError, NotFound
from stores.handbook.fastener import Fastener, Kind, near_notation, parse
from stores.model.items import Item, Job, Step, StoryLine, serves, sizes_asked
from stores.model.labels import RestOfStep, rest_of
from stores.model.ledger import PlaceKind
from stores.planning.status import cautions_of
from stores.storage.acts import reversed_acts
from stores.storage.carried import Changes, carried
from stores.storage.items import OF_ALL, items_at, items_of_bag, lines_beside, read_items
from stores.storage.machines import machine_named, machine_numbers, read_machines
from stores.storage.places import (
    bag_coded,
    bag_codes,
    firm_names,
    place_known,
    places_inside,
    read_insides,
    stowed_places,
)
from stores.storage.search import items_like, words_recorded
from stores.storage.seldom import has_rows
from stores.text import clean, fold, nearest, slips
from stores.usecases.common import PiecesAt, Whereabouts, bag_named, pieces_of, select
from stores.usecases.context import Context
from stores.usecases.measuring import Identified, LengthRule, Measured

__all__ = [
    "Find",
    "FindMeasured",
    "FittingJoint",
    "Found",
    "FoundByMeasure",
    "FoundItem",
    "FoundJob",
    "NearWords",
    "ShortJoint",
    "find",
    "find_measured",
    "items_meant",
]

_REFERENCE = re.compile(r"^\s*\d{1,6}(\.\d{1,4})?\s*$")


LIKELY = 0.005
"""A joint that is less likely than half a per cent is not said to be short of a measured piece."""


@dataclass(frozen=True, slots=True)
class Find:
    """A bag's code, typed or scanned; a reference; a fastener; or words.

    Thread, length and head narrow down whatever is asked.
    """

    text: str = ""
    thread: str = ""
    length: str = ""
    head: str = ""


@dataclass(frozen=True, slots=True)
class FoundItem:
    """An item: as found, as specified, and where its pieces are now.

    ``step`` 0 holds loose pieces. ``fitted`` are back on the machine, ``short`` are to be bought or
    found. ``findings`` are what inspections said that is still so, ``story`` all that was found and
    done, the oldest first. ``pictures`` are of its step. ``stack`` says how thick each is, in
    order, and all. ``mixed`` are mixed up with the lines ``mixed_with``, mix-up number ``mixup``.
    """

    item: str
    machine: str
    assembly: str
    part: str
    step: int
    date: str
    note: str
    hazard: str
    position: str
    written: str
    as_found: str
    found: int
    as_specified: str
    wanted: int
    wrong: bool
    renew: str
    fitted: int
    short: int
    now: tuple[PiecesAt, ...]
    findings: str
    mixed: int = 0
    mixed_with: tuple[str, ...] = ()
    mixup: int = 0
    pictures: tuple[int, ...] = ()
    stack: str = ""
    story: tuple[StoryLine, ...] = ()
    questions: tuple[str, ...] = ()
    count_to_check: bool = False
    to_check: tuple[str, ...] = ()

    @classmethod
    def of(cls, item: Item, short: int, pictures: tuple[int, ...] = ()) -> "FoundItem":
        """Return an item's facts; ``short`` is as its machine's status says."""
        return cls(
            item=item.ref,
            machine=item.step.machine,
            assembly=item.step.assembly,
            part=item.step.part,
            step=item.step.number,
            date=item.step.date,
            note=item.step.note,
            hazard=item.step.hazard,
            position=item.position,
            written=item.written,
            as_found=item.as_found.text,
            found=item.found,
            as_specified=item.as_specified.text,
            wanted=item.wanted,
            wrong=item.wrong,
            renew=item.renew,
            fitted=item.fitted,
            short=short,
            now=pieces_of([item]),
            findings=item.verdict,
            story=item.story,
            mixed=item.mixed,
            mixed_with=tuple(each.item for each in item.mixed_with),
            mixup=item.mixup,
            pictures=pictures,
            stack=item.stack.words if item.stack else "",
            questions=item.questions,
            count_to_check=item.count_to_check,
            to_check=item.to_check,
        )


@dataclass(frozen=True, slots=True)
class ShortJoint:
    """A joint that is short of so many pieces like a loose one."""

    item: str
    machine: str
    assembly: str
    part: str
    short: int
    as_specified: str


@dataclass(frozen=True, slots=True)
class FoundJob:
    """Something done at a step that is no piece; ``undo`` says how it is undone, ``undone`` on
    which day it was, empty until then."""

    step: int
    machine: str
    assembly: str
    part: str
    date: str
    note: str
    hazard: str
    undo: str
    undone: str

    @classmethod
    def of(cls, job: Job) -> "FoundJob":
        """Return a job's facts."""
        step = job.step
        return cls(
            step.number,
            step.machine,
            step.assembly,
            step.part,
            step.date,
            step.note,
            step.hazard,
            job.reverse,
            job.done,
        )


@dataclass(frozen=True, slots=True)
class NearWords:
    """Words near those that were typed, and how many joints they find."""

    text: str
    joints: int


@dataclass(frozen=True, slots=True)
class Found:
    """What fits, by machine and step. ``bag`` and ``inside`` are given where a bag was named, and
    ``rest``: where else pieces of its steps are, as words; ``place`` and ``inside`` where a drawer,
    a box or a shelf was, and the items are all that is in it.

    ``asked_for_loose``: only loose pieces were named by their reference. ``short_of_one`` are then
    the joints that are short of a piece like these. ``jobs`` are what was done and is no piece.
    ``cautions`` are what the steps of a bag call for.
    Where nothing fits what was typed, ``meant`` are the near words that the items fit, and
    ``near`` other words near it.
    """

    bag: str
    inside: str
    other_machines: bool
    items: tuple[FoundItem, ...]
    rest: tuple[RestOfStep, ...] = ()
    asked_for_loose: bool = False
    short_of_one: tuple[ShortJoint, ...] = ()
    jobs: tuple[FoundJob, ...] = ()
    typed: str = ""
    meant: str = ""
    near: tuple[NearWords, ...] = ()
    place: Whereabouts | None = None
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FindMeasured:
    """A piece by what was measured of it, with its length and head if they are known."""

    measured: Measured
    length: str = ""
    head: str = ""


@dataclass(frozen=True, slots=True)
class FittingJoint:
    """A joint that the piece may be of. ``text`` is what fits: as found, or as specified.

    ``missed`` pieces of just that are missed; ``missing`` were not there at the strip-down,
    ``lost`` since.
    """

    probability: float
    text: str
    missed: int
    missing: int
    lost: int
    item: FoundItem


@dataclass(frozen=True, slots=True)
class FoundByMeasure:
    """Which threads it may be, by the record, and which joints, the likeliest first.

    ``no_joint`` is the chance that it is of none of them. ``length_rule`` is how a length is
    measured, None where none was given. ``short_of_one`` are the joints among them that are short
    of such a piece. A loose piece is of no joint: it is never among them.
    """

    identified: Identified
    joints: tuple[FittingJoint, ...]
    no_joint: float
    length_rule: LengthRule | None
    short_of_one: int = 0


def find(context: Context, ask: Find) -> Found:
    """Find by bag code, place, reference, by what a fastener is, or by words, in this order.

    Raises:
        NotFound: nothing fits, and nothing is near it; a place or firm of such a name is offered.
        BadValue: a bag code with a slip in it, and no such word either; or a size out of range.
        NotationError: nothing asked, or a size that cannot be read.
    """
    with context.reading() as connection:
        if not _names_a_bag(connection, ask):
            return _found(connection, ask, context.machine)[0]
        # the phone that scanned it shows it again after each look elsewhere, and the desk with it
        kept = carried(
            connection,
            "bag",
            (ask.text, context.machine),
            None,
            lambda: _kept(connection, ask, context.machine),
            lambda kept, changes: kept if _holds(connection, kept, changes) else None,
        )
        return kept.found


@dataclass(frozen=True, slots=True)
class _Kept:
    """What was found by a bag's code, whether a line lacks pieces, and all that it was read
    from."""

    found: Found
    lacking: bool
    lines: frozenset[int]


def _kept(connection: Connection, ask: Find, machine: str | None) -> _Kept:
    found, lacking = _found(connection, ask, machine)
    return _Kept(found, lacking, lines_beside(connection, found.bag))


def _holds(connection: Connection, kept: _Kept, changes: Changes) -> bool:
    """Return whether what was found is the same still: no act has touched its lines, and no other
    line came into the bag. Whether what lacks is short depends on much else."""
    return (
        not kept.lacking
        and not changes.within((*OF_ALL, "caption", "filing", "picture", "stowing"))
        and kept.lines.isdisjoint(changes.all())
        and kept.lines == lines_beside(connection, kept.found.bag)
    )


def _found(connection: Connection, ask: Find, machine: str | None) -> tuple[Found, bool]:
    """Return what is found, and whether any of it lacks pieces."""
    coded = _names_a_bag(connection, ask)
    place = None if coded else _place_meant(connection, ask)
    named = bool(place) or coded
    jobs = [] if named else _jobs_like(connection, ask, machine)
    meant = (
        _Meant(place.items, inside=place.inside)
        if place
        else _look_for(connection, ask, machine, jobs)
    )
    items, bag, near = meant.items, meant.bag, meant.near
    several = len(machine_numbers(connection)) > 1
    pictures = _pictures(connection, items)
    short = _short(connection, items)
    loose = bool(_REFERENCE.match(ask.text) and items) and not any(
        item.step.number for item in items
    )
    loose = loose and not any(item.unit for item in items)
    joints = _short_of_one(connection, items) if loose else ()
    found = Found(
        bag,
        meant.inside,
        several,
        tuple(
            FoundItem.of(
                item,
                short.get(item.number, 0),
                tuple(pictures.get((item.step.machine, item.step.number), ())),
            )
            for item in items
        ),
        meant.rest,
        loose,
        joints,
        tuple(map(FoundJob.of, jobs)),
        " ".join(ask.text.split())[:60] if near else "",
        near[0].text if near else "",
        tuple(near[1:]),
        place.where if place else None,
        meant.cautions,
    )
    return found, bool(short)


@dataclass(frozen=True, slots=True)
class _Meant:
    """The items that are meant; the bag that was named, what it sits in, and where the rest of its
    steps is; near words that fit, the first of them those of the items."""

    items: list[Item]
    bag: str = ""
    inside: str = ""
    rest: tuple[RestOfStep, ...] = ()
    near: tuple[NearWords, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Place:
    """A place with all that is in it, and what it sits in."""

    where: Whereabouts
    items: list[Item]
    inside: str


def _place_meant(connection: Connection, ask: Find) -> _Place | None:
    """Return the drawer, box or shelf whose name was typed, or whose label was scanned, if there is
    anything in it: the first line of what the code says is the place."""
    lines = ask.text.strip()[:4000].splitlines()
    if not lines or ask.thread or ask.length or ask.head:
        return None
    known = place_known(connection, " ".join(lines[0].split()))
    if known is None and len(lines) == 1:
        known = _label_in_a_line(connection, lines[0])
    if known is None or known[1] not in (PlaceKind.BOX, PlaceKind.SHELF, PlaceKind.BENCH):
        return None
    number, kind, name = known
    gone = reversed_acts(connection)
    items: dict[int, Item] = {}
    for each in sorted(places_inside(connection, number)):
        items |= {item.number: item for item in items_at(connection, each)}
    if not items:
        return None
    inside = read_insides(connection, gone, [number]).get(number, "")
    ordered = sorted(
        items.values(), key=lambda item: (item.step.machine, item.step.number, item.line)
    )
    return _Place(Whereabouts(kind, name), ordered, inside)


_MANY_WORDS = 4
"""A line that begins with a place and goes on for so many words is what a scanner typed."""


def _label_in_a_line(connection: Connection, text: str) -> tuple[int, PlaceKind, str] | None:
    """Return the place whose label a scanner typed in one line: its name, then what is in it."""
    said = fold(text)
    names = [
        name
        for name in stowed_places(connection)
        if said.startswith(fold(name) + " ")
        and len(said.split()) >= len(name.split()) + _MANY_WORDS
    ]
    return place_known(connection, max(names, key=len)) if names else None


def _jobs_like(connection: Connection, ask: Find, machine: str | None) -> list[Job]:
    """Return the jobs named by their step, or whose words hold all that were asked for."""
    from stores.storage.strip import read_jobs

    words = fold(ask.text).split()
    if not words or ask.thread or ask.length or ask.head:
        return []
    if _REFERENCE.match(ask.text):
        if not ask.text.strip().isdecimal() or not read_machines(connection):
            return []
        on = machine_named(connection, machine)
        number = int(ask.text)
        return [job for job in read_jobs(connection, on.number) if job.step.number == number]
    machines = [machine_named(connection, machine)] if machine else read_machines(connection)
    return [
        job
        for each in machines
        for job in read_jobs(connection, each.number)
        if all(word in _said_of(job) for word in words)
    ]


def _said_of(job: Job) -> str:
    step = job.step
    return fold(f"{step.part} {job.reverse} {step.assembly} {step.note} {step.hazard}")


def _short_of_one(connection: Connection, loose: list[Item]) -> tuple[ShortJoint, ...]:
    """Return the joints that are short of a piece like one of these loose ones."""
    return tuple(
        ShortJoint(
            item.ref,
            item.step.machine,
            item.step.assembly,
            item.step.part,
            item.lacking,
            item.as_specified.text,
        )
        for item in read_items(connection, verdicts=False)
        if item.step.number
        and item.lacking
        and any(serves(one.as_found.text, item.as_specified.text) for one in loose)
    )


def find_measured(context: Context, ask: FindMeasured) -> FoundByMeasure:
    """Rank the recorded joints that a measured piece may be of.

    Raises:
        BadValue, NotationError: a measurement that cannot be, or cannot be read.
    """
    from stores.handbook.measure import Quantity, read_measure
    from stores.planning.whence import Length, likeliest, reach_mm, whence
    from stores.storage.measured import candidates, items_in_all, joints_of, threads_recorded
    from stores.usecases.measuring import facts_of, head_named, identify_from, length_rule_of

    head = head_named(ask.head)
    by_trade = identify_from(ask.measured, ask.head)
    span = under = None
    if ask.length:
        read = read_measure(ask.length, Quantity.LENGTH, ask.measured.tool or None)
        under = Length(read.value, read.tool)
        reach = reach_mm(read.tool, read.value)
        span = (round((read.value - reach) * 1000), round((read.value + reach) * 1000))
    threads = [match.thread.designation for match in by_trade.matches]
    with context.reading() as connection:
        machine = machine_named(connection, context.machine).number if context.machine else None
        descriptions = candidates(connection, threads, span, machine=machine)
        worth = likeliest(by_trade, descriptions, length=under, head=head)
        items = joints_of(connection, [each.number for each in worth], machine=machine)
        ranked = whence(
            by_trade, items, descriptions, items_in_all(connection), length=under, head=head
        )
        by_record = identify_from(ask.measured, ask.head, threads_recorded(connection))
        short = _short(connection, [joint.item for joint in ranked.joints])
    return FoundByMeasure(
        facts_of(by_record),
        tuple(
            FittingJoint(
                joint.probability,
                joint.what,
                joint.missed,
                max(0, joint.item.wanted - joint.item.found),
                joint.item.count(PlaceKind.LOST),
                FoundItem.of(joint.item, short.get(joint.item.number, 0)),
            )
            for joint in ranked.joints
        ),
        ranked.none_share,
        length_rule_of(head) if ask.length else None,
        sum(bool(joint.missed) for joint in ranked.joints if joint.probability >= LIKELY),
    )


def _pictures(connection: Connection, items: Sequence[Item]) -> dict[tuple[str, int], list[int]]:
    """Return which pictures show these items, by machine and step."""
    if not has_rows(connection, "filing"):
        return {}
    from stores.storage.pictures import pictures_of  # only who has some loads what reads them

    return pictures_of(connection, items)


def _short(connection: Connection, items: Sequence[Item]) -> dict[int, int]:
    """Return how many pieces of these items are short, as every list has it."""
    if not any(item.step.number and item.lacking for item in items):
        return {}
    # a search that finds nothing lacking does without what the rebuild stands on
    from stores.usecases.rebuild import short_of

    return short_of(connection, items)


def _look_for(connection: Connection, ask: Find, machine: str | None, jobs: list[Job]) -> _Meant:
    """Return the items that fit; where nothing fits and there are no jobs, those of near words that
    do."""
    text = clean(ask.text, "what to find", most=4000, empty=True, lines=True)
    sizes = _sizes(ask)
    if not text and not sizes:
        raise NotationError("say what to find: a bag code, a fastener, or words", "")
    slip: BadValue | NotFound | None = None
    if _scanned(connection, text):
        return _bag(connection, text.split()[0])
    if bagcode.looks_like_code(text) and not sizes:
        try:
            return _bag(connection, text)
        except (BadValue, NotFound) as error:
            slip = error
    first = text.splitlines()[0] if text else ""
    if first != text and _REFERENCE.match(first) and not sizes:  # a scanned label of one thing
        on = _machine_on(connection, text) or machine
        return _Meant(list(select(connection, on, first).items))
    if _REFERENCE.match(text) and not sizes:
        return _Meant(list(select(connection, machine, text, jobs=bool(jobs)).items))
    number = machine_named(connection, machine).number if machine else None
    text = clean(text, "what to find", empty=True)
    if len(text.split()) > 20:
        raise BadValue("too many words to find")
    items = items_meant(connection, text, sizes, number)
    if items or jobs:
        return _Meant(items)
    if slip is not None:
        raise slip
    found = _near(connection, text, sizes, number)
    if found:
        near = tuple(NearWords(words, len(listed)) for words, listed in found)
        return _Meant(found[0][1], near=near)
    asked = " ".join(part for part in (text, ask.thread, ask.length, ask.head) if part)
    raise NotFound(
        "nothing like it",
        typed=asked[:60],
        places=_places_called(connection, text),
        near=_notation(text),
        bags=_bags_begun(connection, text) if not sizes else (),
    )


def _bags_begun(connection: Connection, text: str) -> tuple[str, ...]:
    """Return the bags whose code was typed without its check letter, or with a slip in it."""
    if not re.fullmatch(r"[A-Za-z]\d{3,5}", text):
        return ()
    return tuple(bagcode.near(bagcode.tidy(text), bag_codes(connection))[:6])


_MOST_NEAR = 3
"""So many near words are offered, and as many for each word."""


def _near(
    connection: Connection, text: str, sizes: dict[str, Any], machine: int | None
) -> list[tuple[str, list[Item]]]:
    """Return near words that find something, with what they find: those words that are nowhere on
    record are put as the nearest that are."""
    words = [word for word in text.split() if word != "@"]
    if not words:
        return []
    known = words_recorded(connection, machine)
    choices: list[list[str]] = []
    for word in words:
        folded = fold(word)
        if not word.isalpha() or any(folded in other for other in known):
            choices.append([word])
            continue
        near = nearest(word, known, len(known))
        near.sort(key=lambda each, at=folded: (slips(at, each, 3), -known[each], each))  # type: ignore[misc]
        if not near:
            return []
        choices.append([each.upper() if word.isupper() else each for each in near[:_MOST_NEAR]])
    found: list[tuple[str, list[Item]]] = []
    for combined in islice(product(*choices), 2 * _MOST_NEAR):
        said = " ".join(combined)
        if said != " ".join(words) and (items := items_meant(connection, said, sizes, machine)):
            found.append((said, items))
        if len(found) == _MOST_NEAR or (found and len(found[0][1]) > _MANY):
            break
    return found


_MANY = 100
"""Joints: where so many are found, other near words are not looked for."""


def _places_called(connection: Connection, text: str) -> tuple[str, ...]:
    """Return the places and firms that are called so, or nearly."""
    names = [*stowed_places(connection), *firm_names(connection)]
    same = [name for name in names if fold(name) == fold(text)]
    return tuple(dict.fromkeys((*same, *nearest(text, names))))[:_MOST_NEAR]


def _notation(text: str) -> str:
    """Return the text with words near the notation's put right, ``1/4 BSF``; empty for none."""
    slipped = {word: near[0] for word, near in near_notation(text)}
    return " ".join(slipped.get(word, word) for word in text.split()) if slipped else ""


def _machine_on(connection: Connection, scanned: str) -> str | None:
    """Return the machine that the second line of a scanned label names, None where it does not."""
    second = fold(scanned.splitlines()[1])
    return next((on.name for on in read_machines(connection) if fold(on.name) == second), None)


def _names_a_bag(connection: Connection, ask: Find) -> bool:
    """Tell whether a bag's code is all that was typed: then no words are looked for."""
    typed = ask.text.strip()
    return (
        not (ask.thread or ask.length or ask.head)
        and bagcode.looks_like_code(typed)
        and bag_coded(connection, bagcode.tidy(typed)) is not None
    )


def _scanned(connection: Connection, text: str) -> bool:
    """Tell whether this is a label's whole text as a scanner types it, in one line or several."""
    words = text.split()
    return len(words) > 1 and bag_coded(connection, bagcode.tidy(words[0])) is not None


def _bag(connection: Connection, text: str) -> _Meant:
    code = bag_named(connection, text)
    beside = read_items(connection, numbers=lines_beside(connection, code))
    held = [item for item in beside if code in item.bags]
    if not held:
        were = items_of_bag(connection, code)
        raise NotFound("bag empty now", bag=code, were=tuple(item.text for item in were[:4]))
    inside = next(
        holding.inside
        for holding in held[0].holdings
        if (holding.kind, holding.place) == (PlaceKind.BAG, code)
    )
    steps: dict[Step, list[Item]] = {item.step: [] for item in held if item.step.number}
    beside = [item for item in beside if item.step.number]
    for item in beside:
        if item.step in steps:
            steps[item.step].append(item)
    cautions = dict.fromkeys(c for step, of in steps.items() for c in cautions_of(step, of))
    rest = rest_of(beside, code)
    return _Meant(held, code, inside, rest, cautions=tuple(cautions))


def _sizes(ask: Find) -> dict[str, Any]:
    """Return the sizes that were asked for by name, as the search takes them."""
    if not (ask.thread.strip() or ask.length.strip() or ask.head.strip()):
        return {}
    # what knows of measuring is read in only where something was measured
    from stores.handbook.measure import Quantity, Tool, read_measure
    from stores.planning.whence import reach_mm
    from stores.usecases.measuring import head_named

    sizes: dict[str, Any] = {}
    if ask.thread.strip():
        sizes |= _thread_asked(clean(ask.thread, "the thread"))
    if ask.length.strip():
        read = read_measure(ask.length, Quantity.LENGTH)
        reach = reach_mm(Tool.CALIPER, read.value, odd=False)
        sizes["length_um"] = (
            round((read.value - reach) * 1000),
            round((read.value + reach) * 1000),
        )
    if ask.head.strip():
        sizes["head"] = head_named(clean(ask.head, "the head"))
    return sizes


def _thread_asked(typed: str) -> dict[str, Any]:
    """Return a thread of the tables, or the diameter of one that they do not have.

    Raises:
        NotFound: no table holds it, as M6x2; those near it are named.
        NotationError: not a thread, or one of several.
    """
    from stores.handbook.thread import named

    thing = parse(typed)
    if thing.thread is not None and not thing.unread:
        return {"thread": thing.thread.designation}
    try:
        return {"thread": named(typed).designation}
    except NotationError:
        if thing.diameter_mm is None or thing.unread:
            raise
    return _thread(thing, typed)


def _thread(read: Fastener, typed: str) -> dict[str, Any]:
    if read.thread is not None:
        return {"thread": read.thread.designation}
    if read.diameter_mm is not None:
        return {"diameter_um": round(read.diameter_mm * 1000)}
    raise NotationError("not a thread; write it as M6, 1/4 BSF or 2BA", typed)


def items_meant(
    connection: Connection, text: str, sizes: dict[str, Any], machine: int | None
) -> list[Item]:
    """Return the items that a person means by words: a fastener like that first; where there is
    none, what all the words were said of."""
    thing = _fastener(text)
    if thing is not None:
        across, length = sizes_asked(text)
        asked: dict[str, Any] = {}
        if thing.diameter_mm is not None:
            asked = {"diameter_um": across} if across else _thread(thing, text)
        if length is not None:
            asked["length_um"] = length
        if thing.head:
            asked["head"] = thing.head
        words = thing.name.split()
        if thing.kind is not Kind.PART:
            words.append(thing.kind.value)
        items = items_like(connection, words=words, machine=machine, **(asked | sizes))
        if across:  # of the same family of threads
            items = [item for item in items if _of_series(thing, item)]
        if items:
            return items
    words = [word for word in text.split() if word != "@"]
    return items_like(connection, words=words, machine=machine, **sizes)


def _of_series(asked: Fastener, item: Item) -> bool:
    texts = (item.as_found.text, item.as_specified.text)
    return any(parse(text).series == asked.series for text in texts)


def _fastener(text: str) -> Fastener | None:
    try:
        thing = parse(text)
    except NotationError:
        return None
    return None if thing.diameter_mm is None and thing.length_mm is None else thing
