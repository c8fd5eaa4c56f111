"""Where did this come from, and where is it now? By code, by words, or by measurement."""

import re
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection

from stores import bagcode
from stores.errors import BadValue, NotationError, NotFound
from stores.handbook.fastener import Fastener, Kind, parse
from stores.model.items import Item, StoryLine
from stores.model.ledger import PlaceKind
from stores.storage.items import items_of_bag
from stores.storage.machines import machine_named, read_machines
from stores.storage.pictures import pictures_of
from stores.storage.places import bag_codes
from stores.storage.search import items_like, read_bags
from stores.text import clean
from stores.usecases.common import PiecesAt, bag_named, pieces_of, select
from stores.usecases.context import Context
from stores.usecases.measuring import Identified, LengthRule, Measured

__all__ = [
    "Find",
    "FindMeasured",
    "FittingJoint",
    "Found",
    "FoundByMeasure",
    "FoundItem",
    "find",
    "find_measured",
]

_REFERENCE = re.compile(r"^\s*\d{1,6}(\.\d{1,4})?\s*$")


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
    done, the oldest first. ``pictures`` are of its step.
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
    story: tuple[StoryLine, ...] = ()
    pictures: tuple[int, ...] = ()

    @classmethod
    def of(cls, item: Item, pictures: tuple[int, ...] = ()) -> "FoundItem":
        """Return an item's facts."""
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
            short=item.short,
            now=pieces_of([item]),
            findings=item.verdict,
            story=item.story,
            pictures=pictures,
        )


@dataclass(frozen=True, slots=True)
class Found:
    """What fits, by machine and step. ``bag`` and ``inside`` are given where a bag was named."""

    bag: str
    inside: str
    other_machines: bool
    items: tuple[FoundItem, ...]


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
    measured, None where none was given.
    """

    identified: Identified
    joints: tuple[FittingJoint, ...]
    no_joint: float
    length_rule: LengthRule | None


def find(context: Context, ask: Find) -> Found:
    """Find by bag code, by reference, by what a fastener is, or by words, in this order.

    Raises:
        NotFound: nothing fits.
        BadValue: a bag code with a slip in it, and no such word either; or a size out of range.
        NotationError: nothing asked, or a size that cannot be read.
    """
    with context.reading() as connection:
        items, bag = _look_for(connection, ask, context.machine)
        inside = read_bags(connection, items)[bag].inside if bag else ""
        several = len(read_machines(connection)) > 1
        pictures = pictures_of(connection, items)
    return Found(
        bag,
        inside,
        several,
        tuple(
            FoundItem.of(item, tuple(pictures.get((item.step.machine, item.step.number), ())))
            for item in items
        ),
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
    return FoundByMeasure(
        facts_of(by_record),
        tuple(
            FittingJoint(
                joint.probability,
                joint.what,
                joint.missed,
                max(0, joint.item.wanted - joint.item.found),
                joint.item.count(PlaceKind.LOST),
                FoundItem.of(joint.item),
            )
            for joint in ranked.joints
        ),
        ranked.none_share,
        length_rule_of(head) if ask.length else None,
    )


def _look_for(connection: Connection, ask: Find, machine: str | None) -> tuple[list[Item], str]:
    """Return the items that fit, and the bag where one was named."""
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
    if _REFERENCE.match(text) and not sizes:
        return list(select(connection, machine, text).items), ""
    number = machine_named(connection, machine).number if machine else None
    text = clean(text, "what to find", empty=True)
    if len(text.split()) > 20:
        raise BadValue("too many words to find")
    items = _like(connection, text, sizes, number)
    if items:
        return items, ""
    if slip is not None:
        raise slip
    asked = " ".join(part for part in (text, ask.thread, ask.length, ask.head) if part)
    raise NotFound("nothing like it", typed=asked[:60])


def _scanned(connection: Connection, text: str) -> bool:
    """Tell whether this is a label's whole text as a scanner types it, in one line or several."""
    words = text.split()
    return len(words) > 1 and bagcode.tidy(words[0]) in bag_codes(connection)


def _bag(connection: Connection, text: str) -> tuple[list[Item], str]:
    code = bag_named(connection, text)
    were = items_of_bag(connection, code)
    held = [item for item in were if code in item.bags]
    if not held:
        raise NotFound(
            "bag empty now", bag=code, were=tuple(item.as_found.text for item in were[:4])
        )
    return held, code


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
        sizes |= _thread(parse(clean(ask.thread, "the thread")), ask.thread)
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


def _thread(read: Fastener, typed: str) -> dict[str, Any]:
    if read.thread is not None:
        return {"thread": read.thread.designation}
    if read.diameter_mm is not None:
        return {"diameter_um": round(read.diameter_mm * 1000)}
    raise NotationError("not a thread; write it as M6, 1/4 BSF or 2BA", typed)


def _like(
    connection: Connection, text: str, sizes: dict[str, Any], machine: int | None
) -> list[Item]:
    """Look for a fastener first; where there is none like it, for the words as they were said."""
    thing = _fastener(text)
    if thing is not None:
        asked = _thread(thing, text) if thing.diameter_mm is not None else {}
        if thing.length_mm is not None:
            asked["length_um"] = round(thing.length_mm * 1000)
        if thing.head:
            asked["head"] = thing.head
        words = thing.name.split()
        if thing.kind is not Kind.PART:
            words.append(thing.kind.value)
        items = items_like(connection, words=words, machine=machine, **(asked | sizes))
        if items:
            return items
    words = [word for word in text.split() if word != "@"]
    return items_like(connection, words=words, machine=machine, **sizes)


def _fastener(text: str) -> Fastener | None:
    try:
        thing = parse(text)
    except NotationError:
        return None
    return None if thing.diameter_mm is None and thing.length_mm is None else thing
