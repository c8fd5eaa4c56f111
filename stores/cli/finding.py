"""What somebody who types into ``find`` means: a bag, a fastener, or words."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stores import bagcode, queries
from stores.core.benchline import clean
from stores.core.fastener import Kind, parse
from stores.errors import NotationError, NotFound
from stores.planning.items import Item
from stores.services.common import bag_named

if TYPE_CHECKING:
    from sqlalchemy import Connection

__all__ = ["Found", "look_for"]


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
    machine: int | None = None,
) -> Found:
    """Find by bag code, by what a fastener is, or by words, in this order.

    Raises:
        NotFound: nothing fits.
        NotationError: a bag code with a slip in it, or nothing asked.
    """
    sized = " ".join(part for part in (thread, f"x {length}" if length else "", head) if part)
    asked = clean(f"{text} {sized}".strip(), "what to find", most=4000)
    if bagcode.looks_like_code(text):
        return _bag(connection, text)
    found = _like_fastener(connection, asked, length, machine)
    if not found:
        words = [word for word in text.split() if word != "@"]
        found = queries.items_like(connection, words=words, machine=machine) if words else []
    if not found:
        raise NotFound(f"nothing like {asked[:60]!r} is recorded: try fewer words")
    return Found(found)


def _bag(connection: "Connection", text: str) -> Found:
    code = bag_named(connection, text)
    held = [item for item in queries.items_of_bag(connection, code) if code in item.bags]
    if not held:
        were = queries.items_of_bag(connection, code)
        past = "; its pieces were " + ", ".join(i.as_found.text for i in were[:4]) if were else ""
        raise NotFound(f"bag {code} is empty{past}")
    bag = queries.bags(connection, held)[code]
    return Found(held, code, bag.inside)


def _like_fastener(
    connection: "Connection", asked: str, length: str, machine: int | None
) -> list[Item]:
    try:
        thing = parse(asked)
    except NotationError:
        if length:
            raise
        return []
    if thing.diameter_mm is None and thing.length_mm is None:
        return []
    known = thing.thread
    return queries.items_like(
        connection,
        words=[*thing.name.split(), *([] if thing.kind is Kind.PART else [thing.kind.value])],
        thread=known.designation if known else "",
        diameter_um=None if known or thing.diameter_mm is None else round(thing.diameter_mm * 1000),
        length_um=None if thing.length_mm is None else round(thing.length_mm * 1000),
        head=thing.head,
        machine=machine,
    )
