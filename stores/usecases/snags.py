"""Snags: faults seen before or during the strip-down, and how they were cleared."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from stores.errors import BadValue, Hint, NotFound, Refused
from stores.handbook.cautions import cautions_for
from stores.model.items import lies_in
from stores.model.ledger import ActKind, record
from stores.model.snags import NOTED, SORTS, Snag
from stores.storage import Writer
from stores.storage.figures import step_row
from stores.storage.machines import Machine, machine_named
from stores.storage.pictures import read_pictures
from stores.storage.snags import ClearingRow, EvidenceRow, SnagRow, next_snag, read_snags, snag_row
from stores.text import beside, clean
from stores.usecases.common import NOTE_LENGTH, assembly_named, select, step_of
from stores.usecases.context import Ask, Context, Reply
from stores.usecases.strip import read_path

__all__ = [
    "ClearSnag",
    "ListSnags",
    "PicturesOfSnag",
    "RecordSnag",
    "ShowSnag",
    "SnagCleared",
    "SnagRecorded",
    "Snags",
    "clear_snag",
    "record_snag",
    "show_snag",
    "snags",
    "sort_named",
]

_POINTS = re.compile(r"\d{1,6}(?:\.\d{1,4})?|[A-Za-z]\d{3}[A-Za-z]")


@dataclass(frozen=True, slots=True)
class RecordSnag(Ask):
    """A fault of an assembly, a step, an item, or the machine as a whole.

    ``where`` is an item (``7.2``), a step (``7``), a bag, an assembly (``Engine / Top``, made if it
    is new: a survey comes before the strip-down), or "machine". ``sort`` is one of `SORTS`, or a
    clear beginning of one. ``side`` is in the direction of travel. ``pictures`` are their numbers.
    """

    where: str
    sort: str
    text: str
    side: str = ""
    pictures: Sequence[int] = ()
    new_assembly: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SnagRecorded(Reply):
    """A snag on record. Of ``item``, ``step`` and ``assembly`` one is given, or none: the machine.

    ``open`` counts the machine's open ones, this one with them. ``other_machines`` tells that the
    stores has several, so that the machine must be named.
    """

    machine: str
    other_machines: bool
    snag: int
    sort: str
    text: str
    side: str
    item: str
    name: str
    step: int | None
    assembly: str
    open: int
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ClearSnag(Ask):
    """How a snag was cleared: what was found or done, or the part that was renewed."""

    number: int
    how: str = ""
    renewed: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SnagCleared(Reply):
    """A snag that no longer stands in the way; ``open`` counts those that do. ``scrapped`` pieces
    were broken in the hole that it was of."""

    snag: Snag
    how: str
    open: int
    scrapped: int = 0


@dataclass(frozen=True, slots=True)
class ShowSnag(Ask):
    """Which pictures show a snag; with ``takes_off`` that they do not."""

    number: int
    pictures: Sequence[int]
    takes_off: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PicturesOfSnag(Reply):
    """Pictures that show a snag, or no longer do."""

    snag: Snag
    pictures: tuple[int, ...]
    taken_off: bool


@dataclass(frozen=True, slots=True)
class ListSnags:
    """The open snags, of one assembly and those in it if named; with ``everything`` all of them."""

    assembly: str = ""
    everything: bool = False


@dataclass(frozen=True, slots=True)
class Snags:
    """Snags of a machine, by number."""

    machine: str
    snags: tuple[Snag, ...]


def sort_named(typed: str) -> str:
    """Return the sort of fault that was typed; a clear beginning will do.

    Raises:
        BadValue: none of them.
    """
    folded = " ".join(typed.casefold().split())
    fits = [sort for sort in SORTS if folded and sort.startswith(folded)]
    if folded in SORTS:
        return folded
    if len(fits) != 1:
        raise BadValue("no such sort of fault", typed=typed.strip()[:40], sorts=tuple(SORTS))
    return fits[0]


def record_snag(context: Context, ask: RecordSnag) -> SnagRecorded:
    """Record a fault to clear before its assembly is closed up.

    Raises:
        BadValue: no such sort.
        NotFound: no such item, step, bag or picture.
        NotationError: nothing said, or text that cannot be kept.
    """
    sort = sort_named(ask.sort)
    text = clean(ask.text, "what is wrong", most=NOTE_LENGTH)
    side = clean(ask.side, "the side", most=40, empty=True)
    with context.writing(ask) as writer:
        target = _target(writer, context.machine, ask.where, new=ask.new_assembly)
        machine = target.machine
        before = read_snags(writer.connection, machine.number)
        number = next_snag(writer.connection, machine.number)
        pictures = _picture_rows(writer, machine, ask.pictures)
        words = f"{sort}: {text}" + (f", {side}" if side else "")
        act = writer.begin(ActKind.SNAG, f"snag {number}, {target.words}: {words}", at=context.at)
        row = writer.append(
            SnagRow(
                act_id=act, machine_id=machine.number, number=number, sort=sort, text=text,
                side=side, assembly_id=target.assembly_row, step_id=target.step_row,
                item_id=target.item_row,
            )
        )  # fmt: skip
        for picture in pictures:
            writer.append(EvidenceRow(act_id=act, snag_id=row, picture_id=picture))
    return SnagRecorded(
        act=act,
        trial=ask.trial,
        machine=machine.name,
        other_machines=target.other_machines,
        snag=number,
        sort=sort,
        text=text,
        side=side,
        item=target.item,
        name=target.name,
        step=target.step,
        assembly=target.assembly,
        open=sum(snag.open for snag in before) + (sort != NOTED),
        cautions=cautions_for(f"{ask.where} {text}"),
    )


def clear_snag(context: Context, ask: ClearSnag) -> SnagCleared:
    """Record that a snag is cleared.

    Raises:
        Refused: it is cleared already, it needs no clearing, or nothing says how.
        NotFound: no such snag, or no such part.
    """
    how = clean(ask.how, "how it was cleared", most=NOTE_LENGTH, empty=True)
    with context.writing(ask) as writer:
        machine, snag, row = _snag(writer, context.machine, ask.number)
        if snag.sort == NOTED:
            raise Refused("snag only noted", number=ask.number)
        if snag.cleared:
            raise Refused("snag cleared already", number=ask.number, how=snag.cleared)
        item = None
        if ask.renewed:
            item = select(writer.connection, machine.name, ask.renewed).only
            how = how or f"renewed: {beside(item.ref, item.as_specified.text)}"
        if not how:
            raise Refused("how was it cleared", number=ask.number)
        from stores.usecases.stuck import scrap_rest

        rest = scrap_rest(writer, row)
        act = writer.begin(ActKind.CLEAR, f"snag {ask.number} ({snag.words}): {how}", at=context.at)
        if rest:
            writer.move(act, record(writer.stock_for(rest), ActKind.CLEAR, rest))
        writer.append(
            ClearingRow(act_id=act, snag_id=row, how=how, item_id=item.number if item else None)
        )
        remaining = sum(each.open for each in read_snags(writer.connection, machine.number))
    return SnagCleared(
        act=act,
        trial=ask.trial,
        snag=snag,
        how=how,
        open=remaining,
        scrapped=sum(move.quantity for move in rest),
    )


def show_snag(context: Context, ask: ShowSnag) -> PicturesOfSnag:
    """Record which pictures show a snag, or that they do not.

    Raises:
        NotFound: no such snag or picture.
        Refused: no picture named.
    """
    with context.writing(ask) as writer:
        machine, snag, row = _snag(writer, context.machine, ask.number)
        pictures = _picture_rows(writer, machine, ask.pictures)
        if not pictures:
            raise Refused("which pictures")
        numbers = tuple(dict.fromkeys(ask.pictures))
        word = "no longer of" if ask.takes_off else "of"
        listed = ", ".join(str(each) for each in numbers)
        act = writer.begin(
            ActKind.SNAG,
            f"picture {listed} {word} snag {ask.number} ({snag.words})",
            at=context.at,
        )
        for picture in pictures:
            writer.append(
                EvidenceRow(
                    act_id=act, snag_id=row, picture_id=picture, taken_off=int(ask.takes_off)
                )
            )
    return PicturesOfSnag(
        act=act, trial=ask.trial, snag=snag, pictures=numbers, taken_off=ask.takes_off
    )


def snags(context: Context, ask: ListSnags) -> Snags:
    """Return the snags of a machine."""
    with context.reading() as connection:
        machine = machine_named(connection, context.machine)
        every = read_snags(connection, machine.number)
    return Snags(
        machine.name,
        tuple(
            snag
            for snag in every
            if (ask.everything or snag.open) and lies_in(snag.assembly, ask.assembly)
        ),
    )


@dataclass(frozen=True, slots=True)
class _Target:
    """What a snag is of."""

    machine: Machine
    other_machines: bool = False
    item: str = ""
    name: str = ""
    step: int | None = None
    assembly: str = ""
    item_row: int | None = None
    step_row: int | None = None
    assembly_row: int | None = None

    @property
    def words(self) -> str:
        """It in the summary of the act."""
        if self.item:
            return f"{self.item} {self.name}"
        return self.assembly or (f"step {self.step}" if self.step else "the machine")


def _target(writer: Writer, machine: str | None, where: str, *, new: bool) -> _Target:
    typed = where.strip()
    if _POINTS.fullmatch(typed):
        chosen = select(writer.connection, machine, typed, empty=True, jobs=True)
        item = chosen.only if "." in typed else None
        number = step_of(chosen)
        row = step_row(writer.connection, chosen.machine.number, number)
        if row is None and item is None:
            raise NotFound("no such step", step=number, hint=Hint("history"))
        return _Target(
            chosen.machine,
            chosen.several,
            item=item.ref if item else "",
            name=item.text if item else "",
            step=number,
            item_row=item.number if item else None,
            step_row=row,
        )
    on = machine_named(writer.connection, machine)
    if typed.casefold() in ("machine", "the machine"):
        return _Target(on)
    assembly = assembly_named(writer, on.number, read_path(typed), new=new)
    return _Target(on, assembly=assembly.name, assembly_row=assembly.number)


def _picture_rows(writer: Writer, machine: Machine, numbers: Sequence[int]) -> list[int]:
    if not numbers:
        return []
    rows = {each.number: each.row for each in read_pictures(writer.connection, machine.number)}
    for number in numbers:
        if number not in rows:
            raise NotFound(
                "no such picture", number=number, machine=machine.name, hint=Hint("pictures")
            )
    return [rows[number] for number in dict.fromkeys(numbers)]


def _snag(writer: Writer, machine: str | None, number: int) -> tuple[Machine, Snag, int]:
    on = machine_named(writer.connection, machine)
    listed = {snag.number: snag for snag in read_snags(writer.connection, on.number)}
    row = snag_row(writer.connection, on.number, number)
    if number not in listed or row is None:
        raise NotFound("no such snag", number=number, machine=on.name, hint=Hint("snags"))
    return on, listed[number], row
