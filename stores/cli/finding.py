"""What somebody who types into ``find`` means: a bag, an item, a step, a fastener, or words."""

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from stores import bagcode, queries
from stores.errors import BadValue, NotationError, NotFound
from stores.handbook.fastener import Fastener, Kind, parse
from stores.planning.items import Item
from stores.text import clean
from stores.usecases.common import bag_named, select

if TYPE_CHECKING:
    from sqlalchemy import Connection

__all__ = ["Found", "look_for"]

_REFERENCE = re.compile(r"^\s*\d{1,6}(\.\d{1,4})?\s*$")


@dataclass(frozen=True, slots=True)
class Found:
    """What was found: a bag's contents, or joints."""

    items: list[Item]
    bag: str = ""
    inside: str = ""


def look_for(
    connection: "Connection",
    text: str,
    *,
    thread: str = "",
    length: str = "",
    head: str = "",
    machine: str | None = None,
) -> Found:
    """Find by bag code, by reference, by what a fastener is, or by words, in this order.

    Thread, length and head narrow down whatever is asked.

    Raises:
        NotFound: nothing fits.
        BadValue: a bag code with a slip in it, and no such word either; or a size out of range.
        NotationError: nothing asked, or a size that cannot be read.
    """
    text = clean(text, "what to find", most=4000, empty=True, lines=True)
    sizes = _sizes(thread, length, head)
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
        return Found(list(select(connection, machine, text).items))
    number = queries.machine_named(connection, machine).number if machine else None
    text = clean(text, "what to find", empty=True)
    if len(text.split()) > 20:
        raise BadValue("more than twenty words to find: try fewer")
    found = _like(connection, text, sizes, number)
    if found:
        return Found(found)
    if slip is not None:
        raise slip
    asked = " ".join(part for part in (text, thread, length, head) if part)
    raise NotFound(f"nothing like {asked[:60]!r} is recorded: try fewer words")


def _scanned(connection: "Connection", text: str) -> bool:
    """Tell whether this is a label's whole text as a scanner types it, in one line or several."""
    words = text.split()
    return len(words) > 1 and bagcode.tidy(words[0]) in queries.bag_codes(connection)


def _bag(connection: "Connection", text: str) -> Found:
    code = bag_named(connection, text)
    were = queries.items_of_bag(connection, code)
    held = [item for item in were if code in item.bags]
    if not held:
        past = "; its pieces were " + ", ".join(i.as_found.text for i in were[:4]) if were else ""
        raise NotFound(f"bag {code} is empty{past}")
    bag = queries.bags(connection, held)[code]
    return Found(held, code, bag.inside)


def _sizes(thread: str, length: str, head: str) -> dict[str, Any]:
    """Read the sizes that were asked for by name."""
    if not (thread.strip() or length.strip() or head.strip()):
        return {}
    # what knows of measuring is read in only where something was measured
    from stores.cli.measuring import head_named
    from stores.handbook.measure import Quantity, Tool, read_measure
    from stores.planning.whence import reach_mm

    sizes: dict[str, Any] = {}
    if thread.strip():
        sizes |= _thread(parse(clean(thread, "the thread")), thread)
    if length.strip():
        read = read_measure(length, Quantity.LENGTH)
        reach = reach_mm(Tool.CALIPER, read.value, odd=False)
        sizes["length_um"] = (
            round((read.value - reach) * 1000),
            round((read.value + reach) * 1000),
        )
    if head.strip():
        sizes["head"] = head_named(clean(head, "the head"))
    return sizes


def _thread(read: Fastener, said: str) -> dict[str, Any]:
    if read.thread is not None:
        return {"thread": read.thread.designation}
    if read.diameter_mm is not None:
        return {"diameter_um": round(read.diameter_mm * 1000)}
    raise NotationError("not a thread; write it as M6, 1/4 BSF or 2BA", said)


def _like(
    connection: "Connection", text: str, sizes: dict[str, Any], machine: int | None
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
        found = queries.items_like(connection, words=words, machine=machine, **(asked | sizes))
        if found:
            return found
    words = [word for word in text.split() if word != "@"]
    return queries.items_like(connection, words=words, machine=machine, **sizes)


def _fastener(text: str) -> Fastener | None:
    try:
        thing = parse(text)
    except NotationError:
        return None
    return None if thing.diameter_mm is None and thing.length_mm is None else thing
