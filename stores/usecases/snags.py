"""Snags: faults seen before or during the strip-down, and how they were cleared."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from stores import queries
from stores.errors import BadValue, NotFound, Refused
from stores.handbook.cautions import cautions_for
from stores.model.ledger import ActKind
from stores.planning.snags import NOTED, SORTS, Snag
from stores.queries import Machine
from stores.storage import Store, Writer
from stores.text import clean, fold
from stores.usecases.common import NOTE_LENGTH, Done, select
from stores.usecases.figures import step_of
from stores.usecases.stripping import read_path

__all__ = ["clear", "show_evidence", "snag", "sort_named"]

SIDES = ("left", "right", "front", "rear", "top", "bottom", "inside", "outside")
_POINTS = re.compile(r"\d{1,6}(?:\.\d{1,4})?|[A-Za-z]\d{3}[A-Za-z]")


def sort_named(text: str) -> str:
    """Read a sort of fault; a clear beginning will do.

    Raises:
        BadValue: none of them.
    """
    said = fold(text)
    fits = [sort for sort in SORTS if said and sort.startswith(said)]
    if said in SORTS:
        return said
    if len(fits) != 1:
        listed = ", ".join(SORTS)
        raise BadValue(f"{text.strip()[:40]!r} is no sort of fault; say one of: {listed}")
    return fits[0]


@dataclass(frozen=True, slots=True)
class _Where:
    on: Machine
    said: str
    tag: str = ""
    assembly: int | None = None
    step: int | None = None
    item: int | None = None


def snag(
    store: Store,
    where: str,
    sort: str,
    text: str,
    *,
    side: str = "",
    pictures: Sequence[int] = (),
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Record a fault of an assembly, a step, an item, or the machine as a whole.

    Args:
        store: the opened stores.
        where: an item (``7.2``), a step (``7``), a bag, an assembly (``Engine / Top``, made if it
            is new: a survey comes before the strip-down), or "machine".
        sort: one of `SORTS`; "noted" is for the record alone.
        text: what is wrong.
        side: left, right, front ... in the direction of travel.
        pictures: the numbers of pictures that show it.
        machine: its name, when not the one last worked on.
        at: the day, when not today.
    """
    sort = sort_named(sort)
    text = clean(text, "what is wrong", most=NOTE_LENGTH)
    side = clean(side, "the side", most=40, empty=True)
    with store.writing() as writer:
        there = _where(writer, machine, where)
        known = queries.snags(writer.connection, there.on.number)
        number = writer.next_snag(there.on.number)
        rows = _pictures(writer, there.on, pictures)
        shown = f"{sort}: {text}" + (f", {side}" if side else "")
        act = writer.begin(ActKind.SNAG, f"snag {number}, {there.said}: {shown}", at=at)
        row = writer.snag(
            act, there.on.number, number, sort, text, side=side,
            assembly=there.assembly, step=there.step, item=there.item,
        )  # fmt: skip
        for picture in rows:
            writer.evidence(act, row, picture)
    left = sum(one.open for one in known) + (sort != NOTED)
    return Done(
        act,
        (f"Snag {number}, {there.said}: {shown}{there.tag}",),
        (f"{left} open",),
        cautions_for(f"{where} {text}"),
        data={"act": act, "snag": number, "sort": sort, "text": text, "where": there.said},
    )


def _where(writer: Writer, machine: str | None, where: str) -> _Where:
    plain = where.strip()
    if _POINTS.fullmatch(plain):
        chosen = select(writer.connection, machine, plain, empty=True)
        on = chosen.machine
        item = chosen.only if "." in plain else None
        number = step_of(chosen)
        row = queries.step_row(writer.connection, on.number, number)
        if row is None and item is None:
            raise NotFound(f"no step {number} stands: 'stores history' shows what was done")
        said = f"{item.ref} {item.as_found.text}" if item else f"step {number}"
        return _Where(on, said, chosen.tag, step=row, item=item.number if item else None)
    on = queries.machine_named(writer.connection, machine)
    if plain.casefold() in ("machine", "the machine"):
        return _Where(on, "the machine")
    made = writer.assembly(on.number, read_path(plain))
    return _Where(on, made.name, assembly=made.number)


def _pictures(writer: Writer, on: Machine, numbers: Sequence[int]) -> list[int]:
    if not numbers:
        return []
    known: dict[int, Any] = {
        each.number: each.row for each in queries.pictures(writer.connection, on.number)
    }
    for number in numbers:
        if number not in known:
            raise NotFound(f"no picture {number} of {on.name}: 'stores photo list' shows them")
    return [known[number] for number in dict.fromkeys(numbers)]


def _known(writer: Writer, machine: str | None, number: int) -> tuple[Machine, Snag, int]:
    on = queries.machine_named(writer.connection, machine)
    found = next(
        (s for s in queries.snags(writer.connection, on.number) if s.number == number), None
    )
    row = queries.snag_row(writer.connection, on.number, number)
    if found is None or row is None:
        raise NotFound(f"no snag {number} on {on.name}: 'stores snags --all' lists them")
    return on, found, row


def clear(
    store: Store,
    number: int,
    how: str,
    *,
    renewed: str = "",
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Say that a snag is cleared: by what was found or done, or by a renewed part.

    Raises:
        Refused: it is cleared already, it needs no clearing, or nothing says how; the part named
            is not a new one.
    """
    how = clean(how, "how it was cleared", most=NOTE_LENGTH, empty=True)
    with store.writing() as writer:
        on, found, row = _known(writer, machine, number)
        if found.sort == NOTED:
            raise Refused(f"snag {number} is noted only: it needs no clearing")
        if found.cleared:
            raise Refused(f"snag {number} is cleared already: {found.cleared}")
        item = None
        if renewed:
            chosen = select(writer.connection, on.name, renewed)
            item = chosen.only
            how = how or f"renewed: {item.ref} {item.as_specified.text}"
        if not how:
            raise Refused(f"how was snag {number} cleared? Say what was found or done, or --with")
        act = writer.begin(ActKind.CLEAR, f"snag {number} ({found.words}): {how}", at=at)
        writer.clearing(act, row, how, item.number if item else None)
        left = sum(one.open for one in queries.snags(writer.connection, on.number))
    return Done(
        act,
        (f"Snag {number} cleared ({found.words}): {how}",),
        (f"{left} open" if left else "No snag is open",),
        data={"act": act, "snag": number, "how": how, "open": left},
    )


def show_evidence(
    store: Store,
    number: int,
    pictures: Sequence[int],
    *,
    takes_off: bool = False,
    machine: str | None = None,
    at: str | None = None,
) -> Done:
    """Say that pictures show a snag, or with ``takes_off`` that they do not."""
    with store.writing() as writer:
        on, found, row = _known(writer, machine, number)
        rows = _pictures(writer, on, pictures)
        if not rows:
            raise Refused("say which pictures, by their numbers")
        listed = ", ".join(str(each) for each in dict.fromkeys(pictures))
        word = "no longer of" if takes_off else "of"
        text = f"picture {listed} {word} snag {number} ({found.words})"
        act = writer.begin(ActKind.SNAG, text, at=at)
        for picture in rows:
            writer.evidence(act, row, picture, taken_off=takes_off)
    return Done(act, (f"P{text[1:]}",), data={"act": act, "snag": number, "pictures": pictures})
